//! Tests of the rows over and in the staff that only whole lines show: their order, their lines, what they cut. Judged on the
//! printed page; sources are named beside the rules.

use super::canvas::{Ink, Kind};
use super::testing::{notes, plain_style, tune_of};
use super::*;
use crate::fingering::Plan;
use crate::style::{LeftLook, Signs};
use crate::tune::{
    Annotation, ChordQuality, ChordSymbol, Duration, Ending, Mark, Meter, Placement, Tempo, Tune, thin_vec,
};

/// The ink of each line of a tune, at normal print, without the left hand.
fn lines(tune: &Tune, plan: Option<&Plan>) -> Vec<Vec<Ink>> {
    let fonts = Fonts::embedded();
    let style = EngravingStyle { signs: Signs { left: LeftLook::None, ..Signs::default() }, ..plain_style() };
    let letters = Lettering::new(&fonts, &style);
    let score = Score { id: "rows", tune, plan, instrument: None, counts: &[] };
    let job = Job { score: &score, style: &style, letters: &letters };
    let work = prepare(job, Abs::mm(175.0), &mut Sink::default()).expect("the tune has bars");
    let lines = castoff::lines(&work.pieces, &work.costs);
    lines.into_iter().map(|line| system::canvas(&work, line, None).1.inks().to_vec()).collect()
}

fn of(inks: &[Ink], kind: Kind) -> impl Iterator<Item = &Ink> {
    inks.iter().filter(move |ink| ink.label.kind == kind)
}

/// A bar's part of the direction band reaches a little under the next one's, so that no white seam shows between them.
#[test]
fn parts_of_the_band_lap_at_barlines() {
    let mut seen = 0;
    for seed in 1..=12 {
        let tune = made_up::tune(seed, 12);
        let plan = made_up::plan(seed, &tune);
        for inks in lines(&tune, Some(&plan)) {
            let band: Vec<&Ink> = of(&inks, Kind::Direction).filter(|ink| ink.label.of != usize::MAX).collect();
            for pair in band.windows(2).filter(|pair| pair[0].label == pair[1].label) {
                let lap = pair[0].area.right - pair[1].area.left;
                assert!(lap > 0.0 && lap < 0.2, "seed {seed}: {lap}");
                seen += 1;
            }
        }
    }
    assert!(seen >= 20, "{seen}");
}

/// Chord symbols, tempi and endings' lines stand over the lanes of the hand all along a line: rows never change places (the order of rows is our
/// own, `system.rs`).
#[test]
fn rows_outside_the_lanes_stand_over_them_all_along() {
    for seed in 1..=8 {
        let mut tune = made_up::tune(seed, 8);
        for (index, bar) in tune.bars.iter_mut().enumerate().skip(1) {
            let tempo = Tempo { before: None, beat: vec![Duration::new(1, 4)], bpm: Some(90), after: None };
            bar.tempo = Some(tempo.into());
            bar.ending = Some(Ending { passes: vec![1], last_bar: index, closed: true });
            if let Some(event) = bar.events.iter_mut().rfind(|event| event.head().is_some()) {
                event.chord_symbols =
                    thin_vec![ChordSymbol { text: "G".into(), root: None, quality: ChordQuality::Major, bass: None }];
            }
        }
        let plan = made_up::plan(seed, &tune);
        for inks in lines(&tune, Some(&plan)) {
            let top = [Kind::Finger, Kind::Place, Kind::Direction]
                .into_iter()
                .flat_map(|kind| of(&inks, kind))
                .map(|ink| ink.area.top)
                .fold(0.0, f64::max);
            let outside: Vec<&Ink> = of(&inks, Kind::ChordSymbol).chain(of(&inks, Kind::Tempo)).collect();
            assert!(!outside.is_empty(), "seed {seed}");
            for ink in outside {
                assert!(ink.area.bottom > top, "seed {seed}: {:?} {} under {top}", ink.label.kind, ink.area.bottom);
            }
            for ink in of(&inks, Kind::Ending) {
                let line = ink.area.right - ink.area.left > 3.0;
                assert!(!line || ink.area.top > top, "seed {seed}: ending at {} under {top}", ink.area.top);
            }
        }
    }
}

/// A caesura cuts the top line (E. Gould, *Behind Bars*, from memory).
#[test]
fn a_caesura_cuts_the_top_line() {
    let mut bar = notes("G4/2 B4/2 D5/2 B4/2");
    bar[1].marks.push(Mark::Caesura);
    let all = lines(&tune_of(Meter::simple(4, 4), &[bar.clone(), bar]), None);
    let strokes: Vec<&Ink> = all.iter().flat_map(|inks| of(inks, Kind::Breath)).collect();
    assert_eq!(strokes.len(), 2);
    for stroke in strokes {
        assert!(stroke.area.bottom < 3.5 && stroke.area.top > 4.5, "{:?}", stroke.area);
    }
}

/// Texts of one bar have one baseline (common practice, no source).
#[test]
fn texts_of_a_bar_stand_on_one_line() {
    let mut bar = notes("G4/2 A4/2 G4/2 A4/2");
    for event in &mut bar {
        event.annotations.push(Annotation { placement: Placement::Above, text: "one".into() });
    }
    let all = lines(&tune_of(Meter::simple(4, 4), &[bar.clone(), bar]), None);
    let feet: Vec<f64> = all.iter().flat_map(|inks| of(inks, Kind::Annotation)).map(|ink| ink.area.bottom).collect();
    assert_eq!(feet.len(), 8);
    assert!(feet.iter().all(|foot| (foot - feet[0]).abs() < 0.01), "{feet:?}");
}

/// The bar number stands over its line's clef, under the lanes of the hand (E. Gould, *Behind Bars*, from memory: over the clef).
#[test]
fn the_bar_number_stands_right_over_the_clef() {
    let tune = made_up::tune(3, 24);
    let plan = made_up::plan(3, &tune);
    let mut seen = 0;
    for inks in lines(&tune, Some(&plan)).iter().skip(1) {
        let one = |kind| of(inks, kind).next().expect("every line has one").area;
        let (number, clef, word) = (one(Kind::BarNumber), one(Kind::Clef), one(Kind::Direction));
        assert!((0.25..0.8).contains(&(number.bottom - clef.top)), "{number:?} over {clef:?}");
        assert!(word.bottom - number.top > 0.2, "{word:?} over {number:?}");
        seen += 1;
    }
    assert!(seen >= 2, "{seen} lines");
}
