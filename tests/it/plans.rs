//! Plans of the demo books: what a place sign promises holds on every tune, in every edition and on every built-in box; pins
//! carried over to another box; what `plan` and `keys` print.

use crate::program::{books, copy_of, run, run_in};
use boxwright::book::{self, Book, Playing, TuneEntry};
use boxwright::diag::{Sink, Sources};
use boxwright::fingering::{Plan, PlannedNote};
use boxwright::instrument::{ButtonId, RowAt, builtin};
use boxwright::pipeline;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

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

/// From one place sign to the next: the place holds, each button of its row has one finger and each other button two
/// neighbouring ones at the most (the hand may lean by half a button), and the place is named by a row that is played or by
/// the author; where the index finger plays the very note below a sign, it plays the button that the sign names. Gives how many signs there are, and how many notes lie on another row than their place.
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
                let most = u8::from(press.button.row != place.row);
                let said = format!("{context} {address}: {} changes its finger at {place}", press.button);
                assert!(known.abs_diff(press.finger) <= most, "{said}");
                across += usize::from(press.button.row != place.row);
            }
        }
        if let Some(index) = span[0].presses.iter().find(|press| press.finger == 1).filter(|_| !own(place)) {
            assert_eq!(index.button, place, "{context} {}: the sign is not true", entry.tune.address(span[0].id));
        }
        let played = fingers.keys().any(|button| button.row == place.row);
        let lowest = place == ButtonId { row: RowAt::Outer, number: 1 };
        assert!(played || own(place) || lowest, "{context}: {place} is named, only {:?} are played", fingers.keys());
    }
    (spans.len(), across)
}

#[test]
fn from_sign_to_sign_the_place_and_each_buttons_finger_hold_in_every_edition() {
    let mut seen = (0, 0);
    for (name, editions) in &books() {
        for edition in [None].into_iter().chain(editions.iter().map(|name| Some(name.as_str()))) {
            let book = read(name, edition);
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

/// A tune with a pin of each kind, written for the D/G box of its book.
const CARRIED: &str = "title: Carried Over
id: carried
rights: CC0
music: |
  M:4/4
  L:1/4
  Q:1/4=100
  K:G
  G A B c | d2 B2 | A4 |
pins:
  - {bar: 1, place: {row: inner, button: 3}}
  - {bar: 1, note: 2, is: A4, row: outer, button: 5}
  - {bar: 2, note: 1, is: D5, row: inner, button: 5}
  - {bar: 3, note: 1, is: A4, for: [gc-21-third], direction: pull}
";

/// Runs `plan --box` on it; gives the lines of its notes and what was complained of.
fn carried(instrument: &str) -> (String, String, i32) {
    let (_keep, book) = copy_of("first-steps");
    fs::write(book.join("tunes/carried.yaml"), CARRIED).expect("the tune is written");
    let run = run_in(Path::new(&book), &["plan", "tunes/carried.yaml", "--book", "book.yaml", "--box", instrument]);
    let notes = run.out.split("\n\n").nth(1).unwrap_or_default().lines().map(str::trim_end).collect::<Vec<_>>();
    (notes.join("\n"), run.err, run.status)
}

#[test]
fn pins_go_over_to_a_box_of_the_same_family_button_by_button() {
    let (notes, complaints, status) = carried("dg-23-fourth");
    assert_eq!((complaints.as_str(), status), ("", 0));
    assert_eq!(
        notes,
        "  bar.note  pitch   row    button  bellows  finger  how       hand
  1.1       G4      inner  4       push     1       press     index on inner 4, pinned
  1.2       A4      outer  6       push     3       press     pinned
  1.3       B4      inner  5       push     2       press
  1.4       C5      inner  5       pull     2       replay
  2.1       D5      inner  6       push     3       press     pinned
  2.2       B4      inner  5       push     2       press
  3.1       A4      outer  6       push     3       press"
    );
}

#[test]
fn pins_go_over_to_another_family_by_their_notes_or_are_dropped_with_a_warning() {
    let (notes, complaints, status) = carried("gc-21-third");
    assert_eq!(status, 0);
    // The pair G4/A4 lies two buttons further on; A4/B4 and D5/E5 are no pairs of that box. A pin for it alone holds.
    assert!(
        notes.contains("\n  1.1       G4      inner  5       push     1       press     index on inner 5, pinned\n")
    );
    assert!(notes.ends_with("\n  3.1       A4      inner  5       pull     1       press     pinned"), "{notes}");
    assert_eq!(
        complaints,
        "tunes/carried.yaml:12:5: warning[pin-dropped]: the pin on button outer 5 has no counterpart on the box gc-21-third
  12 |   - {bar: 1, note: 2, is: A4, row: outer, button: 5}
     |     ^
  hint: write a pin of its own for it: `for: [gc-21-third]`

tunes/carried.yaml:13:5: warning[pin-dropped]: the pin on button inner 5 has no counterpart on the box gc-21-third
  13 |   - {bar: 2, note: 1, is: D5, row: inner, button: 5}
     |     ^
  hint: write a pin of its own for it: `for: [gc-21-third]`

2 warnings
"
    );
}

#[test]
fn a_box_without_the_row_drops_its_pins_and_names_the_note_it_has_not() {
    let (notes, complaints, status) = carried("d-10");
    assert_eq!(status, 1);
    assert!(notes.contains("\n  1.2       A4      outer  5       push     2       press     pinned\n"), "{notes}");
    assert!(notes.contains("\n  1.4       is not on this box\n"), "{notes}");
    for said in [
        "error[not-on-box]: C5 (note 1.4) is not on the box d-10",
        "warning[pin-dropped]: the pin on the place inner 3 has no counterpart on the box d-10",
        "warning[pin-dropped]: the pin on button inner 5 has no counterpart on the box d-10",
        "1 error, 2 warnings",
    ] {
        assert!(complaints.contains(said), "{said}\n{complaints}");
    }
}

#[test]
fn chords_that_cannot_be_played_are_not_said_to_be_missing() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let tune = keep.path().join("chords.yaml");
    // One direction each, a hand too wide, five pitches, a pitch that is not there.
    let music = "title: Chords\nid: chords\nmusic: |\n  L:1/4\n  K:G\n  [cd] [A,b] [GBdgb] [^Gd] |\n";
    fs::write(&tune, music).expect("the tune is written");
    let said = run(&["plan", &tune.to_string_lossy()]);
    for (note, why) in [
        ("1.1", "cannot be played: its notes do not sound in one direction"),
        ("1.2", "cannot be played: its notes lie too far apart for one hand"),
        ("1.3", "cannot be played: it has more notes than a hand has fingers"),
        ("1.4", "is not on this box"),
    ] {
        assert!(said.out.contains(&format!("\n  {note}       {why}\n")), "{note} {why}\n{}", said.out);
    }
}

#[test]
fn a_grace_that_goes_against_its_note_is_said_to_and_is_on_no_page_and_in_no_sound() {
    let (_keep, book) = copy_of("first-steps");
    let (graces, plain) = ("{c}d3 |: G A {B}d :| d3", "d3 |: G A {B}d :| d3");
    let text = CARRIED.split("pins:").next().expect("its music").replace("M:4/4", "M:3/4");
    let tune = |music: &str| text.replace("G A B c | d2 B2 | A4 |", music);
    let run = |music: &str| {
        fs::write(book.join("tunes/carried.yaml"), tune(music)).expect("the tune is written");
        run_in(Path::new(&book), &["plan", "tunes/carried.yaml", "--book", "book.yaml"])
    };
    let with = run(graces);
    assert!(
        with.out.contains("  1.1g1     is left out: it does not sound on the push like its note\n"),
        "{}",
        with.out
    );
    assert!(with.err.contains("warning[grace-left-out]"), "{}", with.err);
    let without = run(plain);
    let lines =
        |out: &str| out.lines().filter(|line| !line.contains("left out")).map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(lines(&with.out), lines(&without.out), "it costs nothing and turns nothing");
}

#[test]
fn a_place_that_a_bar_cannot_be_played_from_is_refused_at_its_line() {
    let (_keep, book) = copy_of("first-steps");
    let text = CARRIED.replace("bar: 1, place: {row: inner, button: 3}", "bars: 1-3, place: {row: inner, button: 5}");
    fs::write(book.join("tunes/carried.yaml"), text).expect("the tune is written");
    let path = book.join("tunes/carried.yaml").to_string_lossy().into_owned();
    let run = run(&["plan", &path]);
    assert_eq!(run.status, 1);
    let said = "carried.yaml:11:5: error[pin-cannot-hold]: the pin on note 1.1 cannot hold: with the index finger on inner 5, no finger reaches G4";
    assert!(run.err.contains(said), "{}", run.err);
}

#[test]
fn a_tune_of_a_book_is_complained_of_once_and_for_its_own_faults_alone() {
    let (_keep, book) = copy_of("first-steps");
    fs::write(book.join("tunes/carried.yaml"), CARRIED).expect("the tune is written");
    let text = fs::read_to_string(book.join("book.yaml")).expect("the book is there");
    let listed = text.replace("tunes/two-gates.yaml", "tunes/two-gates.yaml, tunes/carried.yaml, tunes/other.yaml");
    assert_ne!(listed, text);
    fs::write(book.join("book.yaml"), listed).expect("the book is written");
    fs::write(book.join("tunes/other.yaml"), CARRIED.replace("id: carried", "id: [").as_bytes())
        .expect("it is written");
    let asked = ["plan", "tunes/carried.yaml", "--book", "book.yaml"];
    let run = run_in(Path::new(&book), &asked);
    assert_eq!((run.err.as_str(), run.status), ("", 0));
    fs::write(book.join("tunes/carried.yaml"), CARRIED.replace("bar: 2,", "bar: 9,")).expect("the tune is written");
    let run = run_in(Path::new(&book), &asked);
    assert_eq!((run.err.matches("error[").count(), run.status), (1, 1), "{}", run.err);
}
