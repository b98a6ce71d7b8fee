//! Tests of whole lines: collisions, evenness, nothing lost, hostile input.

use super::canvas::{Kind, Label};
use super::collision::{Collision, collisions};
use super::*;
use crate::fingering::Plan;
use crate::style::{Family, Signs};
use crate::tune::Tune;

fn style(space: f64) -> EngravingStyle {
    EngravingStyle {
        space: Abs::mm(space),
        spacing: 1.0,
        lines: 1.0,
        marks: 1.0,
        text: 1.0,
        most_bars: None,
        signs: Signs::default(),
        labels: Family::Sans,
        language: "en-GB".into(),
    }
}

const WIDTH: f64 = 175.0;

fn score<'a>(tune: &'a Tune, plan: Option<&'a Plan>) -> Score<'a> {
    Score { id: "made-up", tune, plan, instrument: None, counts: &[] }
}

/// Engraves and gives the collisions of every line.
fn collide(tune: &Tune, plan: Option<&Plan>, style: &EngravingStyle, fonts: &Fonts) -> Vec<Collision> {
    let letters = Lettering::new(fonts, style);
    let score = score(tune, plan);
    let job = Job { score: &score, style, letters: &letters };
    let work = prepare(job, Abs::mm(WIDTH), &mut Sink::default()).expect("the tune has bars");
    let mut all = Vec::new();
    for line in castoff::lines(&work.pieces, &work.costs) {
        let (layout, canvas) = system::canvas(&work, line, None);
        all.extend(collisions(&canvas));
        for ink in canvas.inks() {
            let inside = ink.area.left >= -0.01 && ink.area.right <= layout.width + 0.01;
            if !inside {
                let at = (ink.area.left, ink.area.right);
                all.push(Collision { first: ink.label, second: Label::new(Kind::Staff, 99), at });
            }
        }
    }
    all
}

#[test]
fn plans_by_lot_do_not_collide() {
    let fonts = Fonts::embedded();
    let mut all = Vec::new();
    for seed in 1..=40 {
        let tune = made_up::tune(seed, 10);
        let plan = made_up::plan(seed, &tune);
        let mut look = style([1.4, 1.75, 2.3][usize::try_from(seed % 3).expect("small")]);
        if seed % 2 == 0 {
            look.signs.buttons = crate::style::ButtonLook::Below;
        }
        if seed % 5 == 0 {
            look.signs.direction = crate::style::DirectionLook::Words;
        }
        all.extend(collide(&tune, Some(&plan), &look, &fonts).into_iter().map(|c| (seed, c)));
    }
    assert!(all.is_empty(), "{}", report(&all));
}

#[test]
fn melodies_by_lot_do_not_collide() {
    let fonts = Fonts::embedded();
    let mut all = Vec::new();
    for seed in 1..=60 {
        let tune = made_up::tune(seed, 12);
        all.extend(collide(&tune, None, &style(1.75), &fonts).into_iter().map(|c| (seed, c)));
    }
    assert!(all.is_empty(), "{}", report(&all));
}

/// Collisions by kind, most frequent first, each with one example.
fn report(all: &[(u64, Collision)]) -> String {
    let mut kinds: Vec<(String, usize, String)> = Vec::new();
    for (seed, c) in all {
        let name = format!(
            "{:?} / {:?}{}",
            c.first.kind,
            c.second.kind,
            if c.first.of == c.second.of { " (same)" } else { "" }
        );
        match kinds.iter_mut().find(|(known, ..)| *known == name) {
            Some(known) => known.1 += 1,
            None => kinds.push((name, 1, format!("seed {seed} {:?} of {} {}", c.at, c.first.of, c.second.of))),
        }
    }
    kinds.sort_by_key(|kind| std::cmp::Reverse(kind.1));
    let lines: Vec<String> =
        kinds.iter().map(|(name, count, example)| format!("{count:5} {name}: {example}")).collect();
    format!("{} collisions\n{}", all.len(), lines.join("\n"))
}
