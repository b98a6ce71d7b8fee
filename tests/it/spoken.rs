//! What a reading file says to someone who hears it, against what is printed and against the model.
//!
//! What ought to be said is worked out here from the ink, the plan and the box; only the words themselves are shared knowledge.
//! Sources: WCAG 2, success criterion 1.1.1 (a text alternative serves the same purpose); ISO 14289-1, 7.1 and 7.3.

use crate::program::{copy_of, run, tune_books};
use boxwright::book::{self, Book};
use boxwright::diag::{Sink, Sources};
use boxwright::font::{FaceId, Fonts};
use boxwright::frame::{Frame, Group, Item, Role, TextRun};
use boxwright::instrument::{Direction, LeftKind};
use boxwright::page::Document;
use boxwright::pipeline::{self, Planned};
use boxwright::tune::{Pitch, PitchClass};
use lopdf::{Dictionary, Object};
use std::fs;

/// A demo book, composed; in another language where one is named.
pub fn composed(name: &str, edition: Option<&str>, language: &str, look: impl FnOnce(&Planned, &Document, &Fonts)) {
    let path = format!("{}/books/{name}/book.yaml", env!("CARGO_MANIFEST_DIR"));
    let mut files = |path: &str| -> Result<Vec<u8>, String> {
        let bytes = fs::read(path).map_err(|error| error.to_string())?;
        if !path.ends_with("book.yaml") {
            return Ok(bytes);
        }
        let text = String::from_utf8(bytes).expect("it is text");
        Ok(text.replace("language: en-GB", &format!("language: {language}")).into_bytes())
    };
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let book = book::read(&path, edition, &mut files, &mut sources, &mut sink).expect("the book reads");
    let fonts = Fonts::embedded();
    let planned = pipeline::plan(&book, &mut sink);
    let document = pipeline::compose(&planned, &fonts, &mut sink);
    look(&planned, &document, &fonts);
}

/// All tagged groups of all pages.
pub fn tagged(document: &Document) -> Vec<&Group> {
    fn walk<'d>(frame: &'d Frame, found: &mut Vec<&'d Group>) {
        for (_, item) in frame.items() {
            if let Item::Group(group) = item {
                found.extend(group.tag.as_ref().map(|_| &**group));
                walk(&group.frame, found);
            }
        }
    }
    let mut found = Vec::new();
    document.pages.iter().for_each(|page| walk(&page.frame, &mut found));
    found
}

/// All runs inside a frame.
fn runs(frame: &Frame) -> Vec<&TextRun> {
    let mut found = Vec::new();
    for (_, item) in frame.items() {
        match item {
            Item::Text(run) => found.push(run),
            Item::Group(group) => found.extend(runs(&group.frame)),
            _ => {}
        }
    }
    found
}

/// The alternatives of figures.
pub fn alternatives(document: &Document) -> Vec<(String, &Group)> {
    let figures =
        tagged(document).into_iter().filter(|group| group.tag.as_ref().is_some_and(|t| t.role == Role::Figure));
    figures.map(|group| (alternative(group), group)).collect()
}

pub fn alternative(group: &Group) -> String {
    let alt = group.tag.as_ref().and_then(|tag| tag.alt.as_deref()).unwrap_or_default();
    alt.replace('\u{a0}', " ")
}

/// The numbers that follow `finger` or `fingers` in a text.
fn fingers_said(text: &str) -> usize {
    let one = text.matches("finger ").count();
    let several = text.split("fingers ").skip(1).map(|rest| {
        let list = rest.split([',', ';', '.']).next().unwrap_or_default();
        list.split(" and ").count()
    });
    one + several.sum::<usize>()
}

/// The fingers printed inside a frame: digits in the music's face.
fn fingers_printed(frame: &Frame, music: FaceId) -> usize {
    let digits =
        runs(frame).into_iter().filter(|run| run.face == music && ["1", "2", "3", "4", "5"].contains(&&*run.text));
    digits.count()
}

#[test]
fn every_finger_place_and_air_that_is_printed_is_said() {
    for (name, edition) in &tune_books() {
        composed(name, edition.as_deref(), "en-GB", |planned, document, fonts| {
            let mut systems = 0;
            let (mut places, mut air) = (0, 0);
            for (alt, group) in alternatives(document) {
                if !["Bar ", "The pick-up", "The second half"].iter().any(|begins| alt.starts_with(begins)) {
                    continue;
                }
                systems += 1;
                assert_eq!(
                    fingers_said(&alt),
                    fingers_printed(&group.frame, fonts.music_face()),
                    "{name} {edition:?}: {alt}"
                );
                let words = |word: &str| runs(&group.frame).iter().filter(|run| &*run.text == word).count();
                for word in ["air in", "air out"] {
                    assert_eq!(alt.matches(word).count(), words(word), "{name} {edition:?}: {word} in {alt}");
                }
                places += alt.matches("hand to ").count();
                air += words("air in") + words("air out");
            }
            assert!(systems > 10, "{name} {edition:?} has {systems} lines of music");
            let moves =
                planned.plans.iter().flat_map(|plan| plan.notes.iter().flatten()).filter(|note| note.place_moves);
            assert_eq!(places, moves.count(), "{name} {edition:?}: places of the hand");
            assert!(name != "lantern-nights" || air > 0, "{name} {edition:?} has air to take");
        });
    }
}

#[test]
fn every_sung_word_is_said() {
    composed("lantern-nights", None, "en-GB", |planned, document, _| {
        let said: String = alternatives(document).into_iter().map(|(alt, _)| alt).collect();
        let events = planned.book.tunes().flat_map(|tune| &tune.tune.bars).flat_map(|bar| &bar.events);
        let mut count = 0;
        for lyric in events.flat_map(|event| event.lyrics.iter().flatten()) {
            let syllable = lyric.text.trim_end_matches([',', ';', ':', '.']);
            assert!(said.contains(syllable), "{syllable}");
            count += 1;
        }
        assert!(count > 40, "{count} syllables");
        for tune in planned.book.tunes() {
            let key = tune.tune.key.tonic.map(|(tonic, mode)| format!("{} {}", note(tonic), mode.name()));
            let metre = tune.tune.meter.figures().map(|(beats, unit)| format!("; {beats}/{unit} time"));
            let wanted = format!("{}{}", key.unwrap_or_default(), metre.unwrap_or_default());
            assert!(said.contains(&wanted), "{}: {wanted}", tune.title);
        }
    });
}

/// The name of a note in English.
fn note(class: PitchClass) -> String {
    let sign = match class.alter {
        1 => " sharp",
        -1 => " flat",
        _ => "",
    };
    format!("{}{sign}", class.step.letter())
}

/// The name of a note in French.
fn french(class: PitchClass) -> String {
    const NAMES: [(char, &str); 7] =
        [('C', "do"), ('D', "ré"), ('E', "mi"), ('F', "fa"), ('G', "sol"), ('A', "la"), ('B', "si")];
    let name = NAMES.iter().find(|(letter, _)| *letter == class.step.letter()).expect("a letter").1;
    let sign = match class.alter {
        1 => " dièse",
        -1 => " bémol",
        _ => "",
    };
    format!("{name}{sign}")
}

/// What a language calls things on the box.
struct Box {
    tag: &'static str,
    button: &'static str,
    ways: [&'static str; 2],
    note: fn(PitchClass) -> String,
    /// The octave of the A of 440 Hz.
    octave: i8,
    left: fn(&str, LeftKind) -> String,
    minor: &'static str,
}

const LANGUAGES: [Box; 3] = [
    Box {
        tag: "en-GB",
        button: "button",
        ways: ["push", "pull"],
        note,
        octave: 4,
        left: english_left,
        minor: " minor",
    },
    Box {
        tag: "en-US",
        button: "button",
        ways: ["push", "pull"],
        note,
        octave: 4,
        left: english_left,
        minor: " minor",
    },
    Box {
        tag: "fr",
        button: "touche",
        ways: ["poussé", "tiré"],
        note: french,
        octave: 3,
        left: french_left,
        minor: " mineur",
    },
];

fn english_left(name: &str, kind: LeftKind) -> String {
    format!("{name} {}", if kind == LeftKind::Bass { "bass" } else { "chord" })
}

fn french_left(name: &str, kind: LeftKind) -> String {
    format!("{} de {name}", if kind == LeftKind::Bass { "basse" } else { "accord" })
}

/// Every button of a book's box, in the words of a language.
fn buttons(book: &Book, words: &Box, name: impl Fn(Pitch) -> String) -> Vec<String> {
    let [push, pull] = words.ways;
    let right = book.instrument.buttons().map(|(id, button)| {
        let [pushed, pulled] = [button.push, button.pull].map(&name);
        format!("{} {}: {push} {pushed}, {pull} {pulled}", words.button, id.number)
    });
    right.collect()
}

#[test]
fn the_box_is_heard_button_by_button() {
    for words in LANGUAGES {
        // Each box in English; in the other languages the shapes that the page takes.
        let all =
            |edition: &Option<String>| words.tag == "en-GB" || matches!(edition.as_deref(), None | Some("large-print"));
        for (name, edition) in tune_books().into_iter().filter(|(_, edition)| all(edition)) {
            composed(&name, edition.as_deref(), words.tag, |planned, document, _| {
                let book = planned.book;
                let alternatives = alternatives(document);
                let all: Vec<&str> = alternatives.iter().map(|(alt, _)| alt.as_str()).collect();
                let count = |wanted: &str| all.iter().map(|alt| alt.matches(wanted).count()).sum::<usize>();
                let drawn = buttons(book, &words, |pitch| (words.note)(pitch.class()));
                let on_staff = buttons(book, &words, |pitch| {
                    // A 4 is the A of 440 Hz where octaves are counted from C (common practice, no source).
                    format!(
                        "{} {}",
                        (words.note)(pitch.class()),
                        i32::from(words.octave) + (pitch.midi() - 60).div_euclid(12)
                    )
                });
                for button in drawn.iter().chain(&on_staff) {
                    let alike = drawn.iter().chain(&on_staff).filter(|other| *other == button).count();
                    let found = all.iter().filter(|alt| alt.contains(button.as_str())).count();
                    assert!(found > 0 && count(button) >= alike, "{name} {edition:?} {}: {button}", words.tag);
                }
                let [push, pull] = words.ways;
                for button in &book.instrument.left.buttons {
                    let [pushed, pulled] = Direction::BOTH.map(|direction| {
                        let sound = button.sound(direction);
                        let minor = sound.name(button.kind).ends_with('m') && button.kind == LeftKind::Chord;
                        let third = if minor { words.minor } else { "" };
                        (words.left)(&format!("{}{third}", (words.note)(sound.root)), button.kind)
                    });
                    let wanted = format!("{} {}: {push} {pushed}, {pull} {pulled}", words.button, button.number);
                    assert!(count(&wanted) > 0, "{name} {edition:?} {}: {wanted}", words.tag);
                }
            });
        }
    }
}

#[test]
fn a_french_book_speaks_french() {
    composed("lantern-nights", None, "fr", |_, document, _| {
        let mut count = 0;
        for (alt, group) in alternatives(document) {
            // What a picture of the author's shows is said in the author's words.
            if group.frame.items().iter().any(|(_, item)| matches!(item, Item::Image(_) | Item::Drawing(_))) {
                continue;
            }
            let words: Vec<&str> = alt.split(|c: char| !c.is_alphabetic()).collect();
            for english in ["push", "pull", "bar", "finger", "button", "row", "bass", "chord", "left", "hand", "words"]
            {
                assert!(!words.contains(&english), "{english:?} in {alt}");
            }
            count += 1;
        }
        assert!(count > 100, "{count} alternatives");
    });
}

#[test]
fn numbers_of_bars_are_no_headings_and_speeds_say_their_note() {
    for (name, edition) in &tune_books() {
        composed(name, edition.as_deref(), "en-GB", |_, document, fonts| {
            let (mut labels, mut speeds) = (0, 0);
            for group in tagged(document) {
                let said: String = runs(&group.frame).iter().map(|run| &*run.text).collect();
                match group.tag.as_ref().map(|tag| tag.role) {
                    Some(Role::Heading(_)) => {
                        assert!(said.contains(char::is_alphabetic), "{name} {edition:?}: the heading {said:?}");
                    }
                    Some(Role::Span) if alternative(group).starts_with("Bar") => labels += 1,
                    _ => {}
                }
            }
            for page in &document.pages {
                let all = runs(&page.frame);
                for (nth, run) in all.iter().enumerate().filter(|(_, run)| run.text.starts_with(" = ")) {
                    // Dots, which say nothing, may stand between the note and its rate.
                    let note =
                        all[..nth].iter().rev().find(|run| run.face == fonts.music_face() && !run.text.is_empty());
                    let note = note.map(|run| run.text.trim_start_matches("dotted "));
                    assert!(
                        note.is_some_and(|note| ["minim", "crotchet", "quaver"].contains(&note)),
                        "{note:?}{}",
                        run.text
                    );
                    speeds += 1;
                }
            }
            assert!(speeds > 3, "{name} {edition:?}: {speeds} speeds");
            assert!(name == "first-steps" || labels > 30, "{name} {edition:?}: {labels} labels of bars");
        });
    }
}

/// The dictionary behind an object.
pub fn dictionary<'p>(pdf: &'p lopdf::Document, object: &'p Object) -> Option<&'p Dictionary> {
    pdf.dereference(object).ok()?.1.as_dict().ok()
}

/// What stands under an element.
pub fn kids<'p>(pdf: &'p lopdf::Document, element: &'p Dictionary) -> Vec<&'p Dictionary> {
    let kids = element.get(b"K").and_then(Object::as_array).map(Vec::as_slice).unwrap_or_default();
    kids.iter().filter_map(|kid| dictionary(pdf, kid)).collect()
}

/// The type of an element; nothing for content.
pub fn kind(element: &Dictionary) -> &[u8] {
    element.get(b"S").and_then(Object::as_name).unwrap_or_default()
}

/// The scope of a heading cell.
fn scope(cell: &Dictionary) -> &[u8] {
    cell.get(b"A").and_then(Object::as_dict).and_then(|a| a.get(b"Scope")).and_then(Object::as_name).unwrap_or_default()
}

#[test]
fn what_pages_part_is_one_element() {
    for edition in ["", "large-print"] {
        let (_keep, book) = copy_of("lantern-nights");
        let (source, target) = (book.join("book.yaml"), book.join("a.pdf"));
        let (source, target) = (source.to_string_lossy().into_owned(), target.to_string_lossy().into_owned());
        let mut words = vec!["bind", &source, "-o", &target];
        if !edition.is_empty() {
            words.extend(["--edition", edition]);
        }
        assert_eq!(run(&words).status, 0);
        let pdf = lopdf::Document::load_mem(&fs::read(&target).expect("it is there")).expect("it opens");
        let root = dictionary(&pdf, pdf.catalog().expect("a catalog").get(b"StructTreeRoot").expect("a tree"))
            .expect("a root");
        let document = dictionary(&pdf, root.get(b"K").expect("kids")).expect("a document");
        let tops = kids(&pdf, document);
        let of = |name: &[u8]| tops.iter().copied().filter(|top| kind(top) == name).collect::<Vec<_>>();
        assert_eq!(of(b"TOC").len(), 1, "one contents");
        for table in of(b"Table") {
            let rows = kids(&pdf, table);
            for (nth, row) in rows.iter().enumerate() {
                let heads: Vec<_> = kids(&pdf, row).into_iter().filter(|cell| kind(cell) == b"TH").collect();
                let column = heads.iter().filter(|cell| scope(cell) == b"Column").count();
                // Its column heads stand in its first row, and nowhere else.
                assert_eq!(column > 0, nth == 0, "{edition}: row {nth} of {}", rows.len());
            }
        }
        // The log's rows are on three pages at least, under heads of their weeks.
        let log = of(b"Table").into_iter().max_by_key(|table| kids(&pdf, table).len()).expect("the log");
        let cells = kids(&pdf, log).into_iter().flat_map(|row| kids(&pdf, row));
        let weeks = cells.filter(|cell| kind(cell) == b"TH" && scope(cell) == b"Row").count();
        assert!(weeks > 8, "{edition}: {weeks} weeks");
        // A paragraph that a page parts has content on both.
        let parted =
            of(b"P").into_iter().filter(|p| kids(&pdf, p).iter().any(|kid| kid.has(b"MCID") && kid.has(b"Pg")));
        assert!(edition.is_empty() || parted.count() >= 4, "parted paragraphs");
    }
}
