//! Plans of the demo books: what a place sign promises holds on every tune, in every edition and on every built-in box; pins
//! carried over to another box; what `plan` and `keys` print.

use crate::program::{copy_of, run, run_in};
use boxwright::book::{self, Book, Playing, TuneEntry};
use boxwright::diag::{Sink, Sources};
use boxwright::fingering::{Plan, PlannedNote};
use boxwright::instrument::{ButtonId, builtin};
use boxwright::pipeline;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

const BOOKS: [(&str, &[Option<&str>]); 3] = [
    ("guide", &[None]),
    ("first-steps", &[None]),
    ("lantern-nights", &[None, Some("fourth-start"), Some("gc-learners"), Some("teacher")]),
];

fn folder(name: &str) -> String {
    format!("{}/books/{name}", env!("CARGO_MANIFEST_DIR"))
}

fn read(name: &str, edition: Option<&str>) -> Book {
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let mut files = |path: &str| fs::read(path).map_err(|error| error.to_string());
    let path = format!("{}/book.yaml", folder(name));
    let book = book::read(&path, edition, &mut files, &mut sources, &mut sink).expect("the demo book reads");
    assert!(!sink.has_errors(), "{name} {edition:?}: {:?}", sink.items());
    book
}

/// From one place sign to the next: the place holds, each button has one finger, and the place is named by a row that is
/// played or by the author. Gives how many signs there are, and how many notes lie on another row than their place.
fn check(entry: &TuneEntry, plan: &Plan, context: &str) -> (usize, usize) {
    let own = |place: ButtonId| entry.request.pins.iter().any(|pin| pin.wish.place == Some(place));
    let mut spans: Vec<Vec<&PlannedNote>> = Vec::new();
    for note in plan.notes.iter().flatten() {
        match spans.last_mut().filter(|_| !note.place_moves) {
            Some(span) => span.push(note),
            None => spans.push(vec![note]),
        }
    }
    let mut across = 0;
    for span in &spans {
        let place = span[0].place.0;
        let mut fingers: BTreeMap<ButtonId, u8> = BTreeMap::new();
        for note in span {
            let address = entry.tune.address(note.id);
            assert_eq!(note.place.0, place, "{context} {address}: another place and no sign");
            for press in &note.presses {
                let known = *fingers.entry(press.button).or_insert(press.finger);
                assert_eq!(known, press.finger, "{context} {address}: {} changes its finger at {place}", press.button);
                across += usize::from(press.button.row != place.row);
            }
        }
        let played = fingers.keys().any(|button| button.row == place.row);
        assert!(played || own(place), "{context}: {place} is named, only {:?} are played", fingers.keys());
    }
    (spans.len(), across)
}

#[test]
fn from_sign_to_sign_the_place_and_each_buttons_finger_hold_in_every_edition() {
    let mut seen = (0, 0);
    for (name, editions) in BOOKS {
        for edition in editions {
            let book = read(name, *edition);
            let planned = pipeline::plan(&book, &mut Sink::default());
            for (entry, plan) in book.tunes().zip(&planned.plans) {
                let (signs, across) = check(entry, plan, &format!("{name} {edition:?} {}", entry.id));
                seen = (seen.0 + signs, seen.1 + across);
            }
        }
    }
    assert!(seen.0 > 200 && seen.1 > 500, "{seen:?}");
}

#[test]
fn they_hold_on_every_built_in_box() {
    let mut seen = (0, 0);
    for name in ["first-steps", "lantern-nights"] {
        let book = read(name, None);
        for (id, _) in builtin() {
            let instrument = book::builtin_box(id).expect("it is built in");
            for entry in book.tunes() {
                let path = format!("{}/tunes/{}.yaml", folder(name), entry.id);
                let playing =
                    Playing { weights: entry.request.weights.clone(), reversal_under: entry.request.reversal_under };
                let (mut sources, mut sink) = (Sources::default(), Sink::default());
                let mut files = |path: &str| fs::read(path).map_err(|error| error.to_string());
                let carried = book::read_tune(
                    &path,
                    &instrument,
                    Some(&book.instrument),
                    Some(&playing),
                    &mut files,
                    &mut sources,
                    &mut sink,
                );
                let Some(carried) = carried else { panic!("{path}: {:?}", sink.items()) };
                let plan = pipeline::plan_tune(&carried, &instrument, false, &mut sink);
                let (signs, across) = check(&carried, &plan, &format!("{id} {}", entry.id));
                seen = (seen.0 + signs, seen.1 + across);
            }
        }
    }
    assert!(seen.0 > 2000 && seen.1 > 5000, "{seen:?}");
}
