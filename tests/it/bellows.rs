//! Bellows that last: random tunes on every built-in box, each plan played through here with a reckoning of its own.
//!
//! The reckoning shares nothing with the solver but the figures that stand in its documentation: a melody note moves the
//! bellows by two parts a millisecond, a bass or a chord by three, and a chord that is touched sounds for half a beat at the most
//! (common practice, no source); a full bellows is what one note with bass and chord uses up in the box's seconds. On no pass
//! may the bellows run out unless the plan says so, nor come into their last tenth.

use boxwright::book;
use boxwright::diag::{Excerpt, Sink, Sources};
use boxwright::fingering::{Air, Plan, Request, plan};
use boxwright::instrument::{Direction, Instrument, LeftKind, builtin};
use boxwright::reader::abc;
use boxwright::tune::{Fraction, Tune, played};
use std::collections::BTreeMap;

use crate::invent::Dice;

/// Tunes on each box.
const TUNES: usize = 5;

/// A pitch in ABC, spelt with a sharp where it needs a sign.
fn letter(midi: i32) -> String {
    let name = ["=C", "^C", "=D", "^D", "=E", "=F", "^F", "=G", "^G", "=A", "^A", "=B"][midi.rem_euclid(12) as usize];
    let octave = midi.div_euclid(12) - 1;
    let (sign, letter) = name.split_at(1);
    let letter = if octave >= 5 { letter.to_lowercase() } else { letter.to_owned() };
    let marks = if octave >= 5 { "'".repeat((octave - 5) as usize) } else { ",".repeat((4 - octave) as usize) };
    format!("{sign}{letter}{marks}")
}

/// A tune of a few bars with repeats, rests and chord symbols, all of whose notes are on the box.
fn invented(dice: &mut Dice, instrument: &Instrument) -> String {
    let pitches: Vec<i32> = instrument.buttons().flat_map(|(_, b)| [b.push.midi(), b.pull.midi()]).collect();
    let left = &instrument.left.buttons;
    let mut music = format!("X:1\nT:Invented\nM:4/4\nL:1/8\nQ:1/4={}\nK:C\n|: ", 60 + dice.below(100));
    let bars = 4 + dice.below(10);
    for bar in 0..bars {
        if !left.is_empty() && dice.chance(70) {
            let button = dice.pick(left);
            let way = *dice.pick(&Direction::BOTH);
            music += &format!("\"{}\"", button.sound(way).name(LeftKind::Bass));
        }
        let mut room = 8;
        while room > 0 {
            let length = (1 + dice.below(4)).min(room);
            room -= length;
            let note = if dice.chance(8) { "z".to_owned() } else { letter(*dice.pick(&pitches)) };
            music += &format!("{note}{length} ");
        }
        music += if bar + 1 == bars {
            ":|\n"
        } else if bar == 3 {
            ":: "
        } else {
            "| "
        };
    }
    music
}

fn read(text: &str) -> Tune {
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let file = sources.add("tune.abc", text);
    let tunes = abc::read(&Excerpt::whole(file, text), &abc::AbcOptions::default(), &mut sink);
    assert!(!sink.has_errors(), "{text}\n{:?}", sink.items());
    tunes.into_iter().next().expect("one tune")
}

/// The first bar at which the bellows run out on some pass, played through from whichever opening helps most. Openings are in
/// milliseconds of a single part; what rounding to whole milliseconds may do is allowed for.
fn runs_out(tune: &Tune, plan: &Plan, instrument: &Instrument) -> Option<usize> {
    let full = instrument.bellows.seconds * 1000.0 * 8.0;
    let wholes = tune.tempo.as_ref().and_then(|tempo| tempo.wholes_a_minute()).expect("the tune has a tempo");
    let millis = |length: Fraction| {
        length.num() as f64 / length.den() as f64 * 60_000.0 * wholes.den() as f64 / wholes.num() as f64
    };
    let air: BTreeMap<_, _> = plan.bellows.air.iter().map(|point| (point.after, point.air)).collect();
    let sounds = |press: &boxwright::fingering::LeftPress, way: Direction| {
        instrument.left.buttons[press.button.0].sound(way).name(press.kind) == *press.name
    };
    let mut now = plan.notes.iter().flatten().next().map_or(Direction::Push, |note| note.direction);
    let (mut least, mut most, mut slack) = (0.0_f64, full, 1.0);
    for passage in played(tune) {
        for event in &tune.bars[passage.bar].events {
            let note = event.head().and_then(|id| plan.note(id));
            let mut parts = 0.0;
            if let Some(note) = note {
                now = note.direction;
                parts += millis(event.duration.0) * 2.0 * note.presses.len() as f64;
            }
            for press in plan.left.iter().filter(|press| press.bar == passage.bar && !press.dropped) {
                let beat = tune.meter_at(passage.bar).beat().0;
                let touched = press.kind == LeftKind::Chord && !press.held && press.duration.0 <= beat;
                let half = Fraction::new(beat.num(), beat.den() * 2);
                let length = if touched { press.duration.0.min(half) } else { press.duration.0 };
                let (from, to) = (press.onset.0, press.onset.0 + length);
                let over = to.min(event.onset.0 + event.duration.0) - from.max(event.onset.0);
                if over > Fraction::ZERO {
                    if note.is_none() && !sounds(press, now) {
                        now = now.turned();
                    }
                    parts += millis(over) * 3.0;
                }
            }
            slack += 12.0;
            let way = if now == Direction::Push { -parts } else { parts };
            (least, most) = ((least + way).max(0.0), (most + way).min(full));
            if least > most + slack {
                return Some(passage.bar);
            }
            match event.head().and_then(|id| air.get(&id)) {
                Some(Air::Open) => most = full,
                Some(Air::Close) => least = 0.0,
                None => {}
            }
        }
    }
    None
}

#[test]
fn no_plan_runs_out_on_any_pass_unless_it_says_so() {
    let mut dice = Dice::new(20_260_901);
    let (mut lasted, mut aired, mut drained, mut close) = (0, 0, 0, 0);
    for (id, _) in builtin() {
        let mut instrument = book::builtin_box(id).expect("the box is built in");
        for _ in 0..TUNES {
            let text = invented(&mut dice, &instrument);
            let tune = read(&text);
            // From bellows that hold a crotchet to such that hold a few bars.
            instrument.bellows.seconds = (4 + dice.below(40)) as f64 / 10.0;
            let plan = plan(&tune, &instrument, &Request::default(), &mut Sink::default());
            let curve = &plan.bellows.curve;
            if plan.bellows.runs_out.is_some() {
                drained += 1;
                continue;
            }
            let out = runs_out(&tune, &plan, &instrument);
            assert_eq!(out, None, "{id}, {} s:\n{text}", instrument.bellows.seconds);
            assert!(curve.least_open >= 0.0 && curve.most_open <= 1.0, "{id}: {curve:?}");
            // Rounding may move an opening by half a hundredth.
            let keeps = |least: f64| {
                let near = |open: f64| open < least || open > 1.0 - least;
                !curve.points(&tune).any(|point| point.from != point.to && (near(point.from) || near(point.to)))
            };
            let said = plan.bellows.close.is_some();
            assert!(
                if said { !keeps(0.0951) } else { keeps(0.0949) },
                "{id}, {} s, {said}:\n{text}",
                instrument.bellows.seconds
            );
            close += usize::from(said);
            assert!(plan.cost.total >= plan.bellows.free_cost, "{id}: bellows never make a plan cheaper");
            lasted += 1;
            aired += usize::from(!plan.bellows.air.is_empty());
        }
    }
    // The dice must have reached what the test is for.
    let reached = lasted > 25 && aired > 8 && drained > 2 && close > 5 && lasted - close > 5;
    assert!(reached, "{lasted} lasted, {aired} of them with air, {close} close to an end, {drained} drained");
}
