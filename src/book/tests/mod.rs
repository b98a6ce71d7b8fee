//! Whole books through the room: the demo books, editions, the examples of the format, and every message with its full text.

mod examples;
mod hazards;
mod mistakes;

use super::*;
use crate::diag::{Sink, Sources};
use std::path::Path;

/// A small sound book; tests replace pieces of it.
const BOOK: &str = "\
book: 1
id: small
title: Small
date: 2026-09-01
box: dg-21-third
chapters:
  - title: One
    tunes: [kettle.yaml]
";

/// A small sound tune.
const TUNE: &str = "\
title: Kettle
id: kettle
music: |
  M:3/4
  L:1/4
  K:G
  \"G\"G2 B | \"D\"d2 c | \"G\"B2 A | \"G\"G3 |]
";

/// Complaints as the report prints them, without the line itself.
fn complaints(sources: &Sources, sink: &Sink) -> Vec<String> {
    let text = |item: &&crate::diag::Diagnostic| {
        let place =
            item.place.map_or(String::new(), |at| format!("{}:{}:{}: ", sources.path(at.file), at.line, at.column));
        let hints: Vec<String> = item.hints.iter().map(|hint| format!(" [{hint}]")).collect();
        format!("{place}{:?} {}: {}{}", item.severity, item.code, item.message, hints.concat()).to_lowercase_start()
    };
    sink.sorted().iter().map(text).collect()
}

trait LowercaseStart {
    fn to_lowercase_start(self) -> String;
}

impl LowercaseStart for String {
    fn to_lowercase_start(self) -> String {
        self.replace(": Error ", ": error ").replace(": Warning ", ": warning ")
    }
}

/// Reads a book from texts by path; a path that is not among them is missing.
fn read_texts(texts: &[(&str, &str)], edition: Option<&str>) -> (Option<Book>, Vec<String>) {
    let mut sources = Sources::default();
    let mut sink = Sink::default();
    let mut files = |path: &str| {
        let found = texts.iter().find(|(known, _)| *known == path);
        found.map(|(_, text)| text.as_bytes().to_vec()).ok_or_else(|| "there is no such file".to_owned())
    };
    let book = read("book.yaml", edition, &mut files, &mut sources, &mut sink);
    (book, complaints(&sources, &sink))
}

/// The complaints about a book text, its tune being sound.
fn about_book(book: &str) -> Vec<String> {
    read_texts(&[("book.yaml", book), ("kettle.yaml", TUNE)], None).1
}

/// The complaints about a tune text in a sound book.
fn about_tune(tune: &str) -> Vec<String> {
    read_texts(&[("book.yaml", BOOK), ("kettle.yaml", tune)], None).1
}

/// Reads a demo book from the repository.
fn demo(name: &str, edition: Option<&str>) -> (Option<Book>, Vec<String>) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = |path: &str| std::fs::read(root.join(path)).map_err(|error| error.to_string());
    let mut sources = Sources::default();
    let mut sink = Sink::default();
    let book = read(&format!("books/{name}/book.yaml"), edition, &mut files, &mut sources, &mut sink);
    (book, complaints(&sources, &sink))
}

#[test]
fn the_small_book_is_sound() {
    assert_eq!(about_book(BOOK), Vec::<String>::new());
}

#[test]
fn the_demo_books_read_without_complaint() {
    for name in ["first-steps", "lantern-nights"] {
        let (book, complaints) = demo(name, None);
        assert_eq!(complaints, Vec::<String>::new(), "{name}");
        let book = book.expect("a book without errors is there");
        assert!(book.tunes().count() >= 3);
        assert!(book.tunes().all(|tune| tune.tune.note_count() > 0 && tune.commentary.is_some()));
        for edition in &book.editions {
            let (other, complaints) = demo(name, Some(edition));
            let errors: Vec<_> = complaints.iter().filter(|text| !text.contains(": warning ")).collect();
            assert_eq!(errors, Vec::<&String>::new(), "{name} {edition}");
            assert_eq!(other.map(|other| other.tunes().count()), Some(book.tunes().count()), "{name} {edition}");
        }
    }
}

#[test]
fn an_edition_replaces_keys_one_by_one() {
    let book = format!(
        "{BOOK}type: {{text: 10pt, family: serif}}\nimprint: {{publisher: P, isbn: 978-3-16-148410-0}}\neditions:\n  \
         big: {{like: large-print, imprint: {{isbn: none}}}}\n  bigger: {{like: big, type: {{text: 24pt, leading: 30pt}}}}\n"
    );
    let texts = [("book.yaml", book.as_str()), ("kettle.yaml", TUNE)];
    let (plain, none) = read_texts(&texts, None);
    assert_eq!(none, Vec::<String>::new());
    let plain = plain.expect("it is sound");
    assert_eq!((plain.text.size.to_pt().round(), plain.editions.clone()), (10.0, vec!["big".into(), "bigger".into()]));
    let (bigger, none) = read_texts(&texts, Some("bigger"));
    assert_eq!(none, Vec::<String>::new());
    let bigger = bigger.expect("it is sound");
    assert_eq!(bigger.text.size.to_pt().round(), 24.0);
    assert_eq!(bigger.text.family, crate::style::Family::Legible);
    assert_eq!(bigger.imprint, Imprint { publisher: Some("P".into()), isbn: None, notice: None });
    assert_eq!(bigger.presets, [Preset::LargePrint]);
    assert_eq!(bigger.edition.as_deref(), Some("bigger"));
    let (_, complaints) = read_texts(&texts, Some("biger"));
    assert_eq!(complaints, ["Error unknown-edition: there is no edition `biger` [did you mean `bigger`?]"]);
    // A preset can be asked for by its name, although the book lists no such edition.
    let (teacher, none) = read_texts(&texts, Some("teacher"));
    assert_eq!(none, Vec::<String>::new());
    assert!(teacher.expect("it is sound").shows(Extra::RunnersUp));
}

/// ISBN Users' Manual: an edition or format that is sold by itself has a number of its own.
#[test]
fn an_edition_has_no_isbn_but_its_own() {
    let book = format!(
        "{BOOK}imprint: {{publisher: P, isbn: 978-3-16-148410-0}}\neditions:\n  big: {{like: large-print}}\n  \
         own: {{imprint: {{isbn: 978-1-86197-876-9}}}}\n  more: {{like: own}}\n"
    );
    let texts = [("book.yaml", book.as_str()), ("kettle.yaml", TUNE)];
    let isbn = |edition| {
        let (book, complaints) = read_texts(&texts, edition);
        assert_eq!(complaints, Vec::<String>::new(), "{edition:?}");
        let imprint = book.expect("it is sound").imprint;
        assert_eq!(imprint.publisher.as_deref(), Some("P"), "{edition:?}");
        imprint.isbn
    };
    assert_eq!(isbn(None).as_deref(), Some("978-3-16-148410-0"));
    assert_eq!(isbn(Some("own")).as_deref(), Some("978-1-86197-876-9"));
    assert_eq!([isbn(Some("big")), isbn(Some("more")), isbn(Some("teacher"))], [None, None, None]);
}

#[test]
fn an_edition_is_called_by_no_name_that_another_file_has() {
    let book = format!(
        "{BOOK}editions:\n  kettle: {{like: large-print}}\n  press: {{like: teacher}}\n  plain: {{like: teacher}}\n"
    );
    let texts = [("book.yaml", book.as_str()), ("kettle.yaml", TUNE)];
    let press = "book.yaml:11:3: error edition-name: an edition can't be called `press`: files for the press, imposed sheets and \
                 reprints are called by that word [give another name, such as `press-copy`: the bound file is called by it]";
    let kettle = "book.yaml:10:3: error edition-name: an edition can't be called `kettle`: a tune of the book has that id, and its \
                  handout that name [give the edition another name: `bind --only` calls the tune's handout by its id]";
    assert_eq!(read_texts(&texts, None).1, [kettle, press]);
    assert_eq!(read_texts(&texts, Some("kettle")).1, [kettle]);
    assert_eq!(read_texts(&texts, Some("press")).1, [press]);
    assert_eq!(read_texts(&texts, Some("plain")).1, Vec::<String>::new());
}

#[test]
fn an_edition_that_stands_on_itself_is_refused() {
    let book = format!("{BOOK}editions:\n  a: {{like: b}}\n  b: {{like: a}}\n");
    let (_, complaints) = read_texts(&[("book.yaml", &book), ("kettle.yaml", TUNE)], Some("a"));
    assert_eq!(
        complaints,
        ["book.yaml:11:13: error edition-circle: the edition `a` stands on itself \
         [let `like:` lead to another edition or to a preset]"]
    );
}

#[test]
fn on_another_box_notes_stay_or_move() {
    let book =
        format!("{BOOK}editions:\n  keep: {{box: gc-21-third}}\n  move: {{box: gc-21-third, pitch: with-box}}\n");
    let texts = [("book.yaml", book.as_str()), ("kettle.yaml", TUNE)];
    let first = |edition| {
        let (book, complaints) = read_texts(&texts, edition);
        assert_eq!(complaints, Vec::<String>::new());
        let book = book.expect("it is sound");
        let tune = &book.tunes().next().expect("one tune").tune;
        let event = &tune.bars[0].events[0];
        (event.notes()[0].pitch.to_string(), event.chord_symbols[0].text.clone(), tune.key.fifths)
    };
    assert_eq!(first(None), ("G4".into(), "G".into(), 1));
    assert_eq!(first(Some("keep")), ("G4".into(), "G".into(), 1));
    assert_eq!(first(Some("move")), ("C4".into(), "C".into(), 0));
}

#[test]
fn on_another_box_pins_are_carried_over() {
    let book = format!(
        "{BOOK}editions:\n  fourth: {{box: dg-23-fourth}}\n  other: {{box: bc-21}}\n  move: {{box: gc-21-third, pitch: with-box}}\n"
    );
    let tune = format!(
        "{TUNE}left-hand:\n  bars:\n    - {{bar: 2, play: \"D, d, .\"}}\npins:\n  - {{bar: 1, note: 1, is: G4, row: inner, \
         button: 3}}\n  - {{bar: 2, note: 1, direction: pull, for: [dg-23-fourth]}}\n"
    );
    let texts = [("book.yaml", book.as_str()), ("kettle.yaml", tune.as_str())];
    let asked = |edition| {
        let (book, complaints) = read_texts(&texts, edition);
        let request = book.expect("it is sound").tunes().next().expect("one tune").request.clone();
        let pins: Vec<_> = request.pins.iter().map(|pin| (pin.wish.button, pin.wish.direction.is_some())).collect();
        (pins, request.left.bars[0].beats.clone().expect("it is written out")[0].clone(), complaints)
    };
    let press = |name: &str| vec![crate::fingering::LeftToken::Press(vec![name.to_owned()])];
    assert_eq!(asked(None), (vec![(Some(3), false)], press("D"), vec![]));
    assert_eq!(asked(Some("fourth")), (vec![(Some(4), false), (None, true)], press("D"), vec![]));
    assert_eq!(asked(Some("move")), (vec![(Some(3), false)], press("G"), vec![]));
    // Another family: the button that gives the same pair of notes.
    assert_eq!(asked(Some("other")), (vec![(Some(5), false)], press("D"), vec![]));
}

#[test]
fn a_transposed_tune_moves_with_its_chords() {
    let tune = format!("{TUNE}transpose: D\npins:\n  - {{bar: 1, note: 1, is: D4, direction: push}}\n");
    let (book, complaints) = read_texts(&[("book.yaml", BOOK), ("kettle.yaml", &tune)], None);
    assert_eq!(complaints, Vec::<String>::new());
    let book = book.expect("it is sound");
    let tune = &book.tunes().next().expect("one tune").tune;
    assert_eq!(tune.bars[1].events[0].chord_symbols[0].text, "A");
    assert_eq!(tune.bars[1].events[0].notes()[0].pitch.to_string(), "A4");
}

#[test]
fn a_settled_plan_is_read_beside_its_tune() {
    let settled = "settled: 1\ntune: kettle\nboxes:\n  \"dg-21-third\":\n    - {bar: 1, note: 1, is: [G4], direction: push, \
                   place: {row: inner, button: 3}, presses: [{row: inner, button: 3, finger: 1}]}\n    - {bar: 1, note: 2, \
                   is: [C5], direction: push, place: {row: inner, button: 3}, presses: [{row: inner, button: 4, finger: 2}]}\n    \
                   - {bar: 9, note: 1, is: [C5], direction: push, place: {row: inner, button: 3}, presses: []}\n";
    let texts = [("book.yaml", BOOK), ("kettle.yaml", TUNE), ("kettle.settled.yaml", settled)];
    let (book, complaints) = read_texts(&texts, None);
    assert_eq!(
        complaints,
        ["kettle.settled.yaml:4:3: warning settled-gone: 2 notes of the settled plan are no longer in the tune \
          [look at the plan, then run `boxwright settle` again]"]
    );
    let book = book.expect("a warning does not keep a book from being bound");
    let settled = book.tunes().next().and_then(|tune| tune.request.settled.clone()).expect("it is there");
    let still: Vec<bool> = settled.notes.iter().map(|note| note.still_there).collect();
    assert_eq!(still, [true, false]);
}

#[test]
fn hostile_texts_end_in_complaints() {
    let deep = format!("book: {}", "[".repeat(100_000));
    let wide = format!("book: [{}]", "x, ".repeat(210_000));
    let anchors = "a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\n".to_owned();
    let many = "key: 1\n".repeat(10_000);
    let keys: String = (0..10_000).map(|n| format!("k{n}: 1\n")).collect();
    for text in
        [deep, wide, anchors, many, keys, "\u{0}".into(), "- ".repeat(50_000), "? [a]\n: b".into(), String::new()]
    {
        let found = about_book(&text);
        assert!(!found.is_empty() && found.len() <= 400, "{}", &text[..text.len().min(40)]);
    }
}
