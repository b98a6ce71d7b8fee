//! The examples of the author's handbook, block for block, as they are printed there.

use super::{BOOK, TUNE, read_texts};
use crate::book::{CommentaryPlace, builtin_box, preset_text, presets, read_box};
use crate::diag::{Sink, Sources};
use crate::fingering::{Air, LeftPattern, NoteSpan, Sound, Style};
use crate::instrument::{Direction, RowAt};
use crate::style::{Binding, TunePages};
use crate::tune::{BarLabel, Fraction};

const EXAMPLE_BOOK: &str = r#"book: 1                          # version of this format
id: lantern-nights-2026          # stays the same for ever; reprints are compared by it
title: Lantern Nights
subtitle: A first term on the two-row box
author: R. Quill                 # invented, like all demo data
date: 2026-09-01                 # the only date in the file; no clock is read
impression: 1
language: en-GB                  # wording of generated text: en-GB (crotchet), en-US (quarter note)
box: dg-21-third                 # built in (`boxwright boxes`) or a file: boxes/mine.yaml
shelf: ../tunes                  # one folder of tunes shared by several books; optional
imprint: {publisher: Lantern Room Press, isbn: none, notice: rights.md}
page: {size: a4, orientation: portrait, binding: comb, tunes: new-page}   # a5 b5 a4 b4 letter concert [210mm, 297mm]; saddle perfect comb wire ring none; run-on
type: {text: 11pt, staff: 7.5mm, family: serif}         # serif, sans, legible, or a folder of fonts
signs:                           # the row code and the marks: the author's choice; the key page follows it
  rows: {outer: oval, inner: square, half: triangle}
  sounding: hold-bar             # reversal and replay marks: hold-bar, or signs: {reversal: "…", replay: "…"} with characters of the author's
  direction: band                # band, arrows, words, none
  buttons: none                  # none, below
  fingers: above
  finger-one: index              # index, thumb; said in the key
  left-hand: two-lines           # chord line over bass line; or one-line, none
  counting: none
playing: {style: smooth, reversal-under: 0.30s}         # solver settings, see below
front: [title, imprint, contents, my-box, key, holding, how-to]
chapters:
  - title: "Week 1: one row at a time"
    text: weeks/1.md
    tunes: [tunes/tin-lantern.yaml, {file: tunes/ferry-rope.yaml, style: along}]
back: [chord-chart, scales, practice-log, glossary, index]
press: {bleed: 3mm, marks: [crop], condition: FOGRA52, stock: {grams: 100, bulk: 1.2}, spot: none}   # used by `bind --for press`
editions:                        # this book with some keys replaced, merged key by key
  large-print: {like: large-print, imprint: {isbn: none}}
  fourth-start: {box: dg-23-fourth}
  gc-learners: {box: gc-21-third, pitch: with-box}       # keep: same sounding notes; with-box: moved with the box, same buttons
  teacher: {like: teacher}
"#;

const EXAMPLE_TUNE: &str = r#"title: The Tin Lantern
id: tin-lantern
composer: R. Quill               # or trad.; also arranger:, source:, rights:
rights: CC0
kind: tune                       # or exercise
level: 1
teaches: [one row, four buttons]
music: |                         # a `|` block of ABC, or `file: x.abc` (with `tune: 12` to choose one), x.musicxml, x.mxl
  M:3/4
  L:1/4
  Q:1/4=120
  K:G
  |: "D"d f a | "G"g2 d | "C"e g e | "D"d3 | "G"B d g | "C"e2 c | "D"A f A | "G"G3 :|
transpose: none                  # or a key: D; `boxwright keys` ranks them
left-hand:
  pattern: auto                  # auto (from the metre), none, or a pattern's name
  bars:
    - {bar: 4, play: "D, d, ."}
pins:                            # what the author fixes; the solver settles the rest
  - {bars: 1-2, direction: push}
  - {bar: 3, note: 1, is: E5, row: inner, button: 5, sound: reversal}     # or replay
  - {bar: 5, place: {row: inner, button: 3}}            # index finger on that button through the bar
  - {bar: 6, after: 1, air: open}                       # or close
  - {bar: 8, left-hand: none}
commentary: tin-lantern.md       # or a `|` block of the same Markdown
commentary-place: after          # or between: after the system that ends its bars
teacher-notes: none
link: https://example.org/tin-lantern                   # printed as a QR code
practice: [60%, 80%, 100%]
"#;

const EXAMPLE_BOX: &str = r#"name: D/G, 21 buttons, third-button start, low notes
family: dg
like: none                       # or a built-in box, of which single keys and buttons are replaced
rows:                            # buttons from the chin end, [push, pull], scientific pitch, middle reed
  - {at: outer, name: D, start: 3, offset: 0.0, buttons: [[F#3, A3], [A3, C#4], [D4, E4]]}   # and so on
  - {at: inner, name: G, start: 3, offset: 0.5, buttons: [[B3, D4], [D4, F#4], [G4, A4]]}
left:                            # in physical order from the chin, per row; name -> sound
  rows: [outer, inner]
  buttons:
    - {row: outer, kind: chord, push: D, pull: A}
    - {row: outer, kind: bass, push: D, pull: A}
thirds: in
bellows: {seconds: 9, source: measured with a stopwatch}   # a full bellows, one melody note with bass and chord
"#;

#[test]
fn the_book_and_the_tune() {
    let ferry = TUNE.replace("id: kettle", "id: ferry-rope");
    let texts = [
        ("book.yaml", EXAMPLE_BOOK),
        ("tunes/tin-lantern.yaml", EXAMPLE_TUNE),
        ("tunes/ferry-rope.yaml", ferry.as_str()),
        ("tunes/tin-lantern.md", "## Bars 1-2\n{walk 1-2}\n"),
        ("weeks/1.md", "Sit well.\n"),
        ("rights.md", "All rights.\n"),
    ];
    let (book, complaints) = read_texts(&texts, None);
    assert_eq!(complaints, Vec::<String>::new());
    let book = book.expect("it is sound");
    assert_eq!((book.page.binding, book.page.tunes), (Binding::Comb, TunePages::NewPage));
    assert_eq!(book.playing.reversal_under, Fraction::new(3, 10));
    assert_eq!(book.editions, ["large-print", "fourth-start", "gc-learners", "teacher"]);
    assert_eq!((book.front.len(), book.back.len()), (7, 5));
    assert!((book.engraving.space.to_mm() - 1.875).abs() < 1e-9);
    let tunes: Vec<_> = book.tunes().collect();
    assert_eq!((tunes[0].request.weights.style, tunes[1].request.weights.style), (Style::Smooth, Style::Along));
    let tune = tunes[0];
    assert_eq!((tune.practice.as_slice(), tune.commentary_place), (&[60, 80, 100][..], CommentaryPlace::After));
    assert_eq!(tune.commentary.as_ref().map(|text| text.text.lines().count()), Some(2));
    let request = &tune.request;
    assert_eq!(request.left.pattern, LeftPattern::Auto);
    let left: Vec<_> = request.left.bars.iter().map(|bar| (bar.bar.number, bar.beats.as_ref().map(Vec::len))).collect();
    assert_eq!(left, [(4, Some(3)), (8, None)]);
    let pins = &request.pins;
    assert_eq!(pins[0].target.span, NoteSpan::Bars(BarLabel::new(1), BarLabel::new(2)));
    assert_eq!(pins[0].wish.direction, Some(Direction::Push));
    assert_eq!(
        (pins[1].wish.row, pins[1].wish.button, pins[1].wish.sound),
        (Some(RowAt::Inner), Some(5), Some(Sound::Reversal))
    );
    let place = pins[2].wish.place.map(|button| button.number);
    assert_eq!((pins[2].target.span, place), (NoteSpan::Bars(BarLabel::new(5), BarLabel::new(5)), Some(3)));
    assert_eq!(pins[3].wish.air, Some(Air::Open));
    assert_eq!(pins.len(), 4);
}

/// Lines and columns of music inside YAML are those of the file.
/// An edition for players alone: neither the words under the notes nor those below the tune.
#[test]
fn sung_words_can_be_left_off() {
    let tune = format!("{TUNE}  w: The jug is blue, so am I.\n  W: 2. The cup has gone.\n");
    let book = format!(
        "{BOOK}editions:\n  players: {{signs: {{sung-words: none}}}}\n  singers: {{signs: {{sung-words: below}}}}\n"
    );
    let texts = [("book.yaml", book.as_str()), ("kettle.yaml", tune.as_str())];
    let words = |edition: Option<&str>| {
        let (book, told) = read_texts(&texts, edition);
        assert_eq!(told, Vec::<String>::new());
        let book = book.expect("it is sound");
        let tune = &book.tunes().next().expect("it has a tune").tune;
        let sung = tune.bars.iter().flat_map(|bar| &bar.events).filter(|event| !event.lyrics.is_empty()).count();
        (sung, tune.words.len(), tune.note_count())
    };
    assert_eq!(words(None), (7, 1, 7));
    assert_eq!(words(Some("singers")), (7, 1, 7));
    assert_eq!(words(Some("players")), (0, 0, 7));
}

#[test]
fn music_knows_its_place_in_the_file() {
    let (book, _) = read_texts(&[("book.yaml", BOOK), ("kettle.yaml", TUNE)], None);
    let book = book.expect("it is sound");
    let tune = &book.tunes().next().expect("one tune").tune;
    let place = tune.bars[0].events[0].place.expect("the reader keeps places");
    // Line 7 is `  "G"G2 B | ...`; the note is the sixth character.
    assert_eq!((place.line, place.column), (7, 6));
}

#[test]
fn the_box() {
    let mut sources = Sources::default();
    let mut sink = Sink::default();
    let mut files = |_: &str| Ok::<_, String>(EXAMPLE_BOX.as_bytes().to_vec());
    let instrument = read_box("boxes/mine.yaml", &mut files, &mut sources, &mut sink).expect("it is sound");
    assert!(sink.items().is_empty(), "{:?}", sink.items());
    let built_in = builtin_box("dg-21-third").expect("it is built in");
    for (row, whole) in instrument.rows.iter().zip(&built_in.rows) {
        assert_eq!(row.buttons[..], whole.buttons[..3]);
    }
    assert_eq!((instrument.bellows.seconds, instrument.left.buttons.len()), (9.0, 2));
}

#[test]
fn every_preset_can_be_laid_over_a_book() {
    for (name, preset) in presets() {
        let (book, complaints) = read_texts(&[("book.yaml", BOOK), ("kettle.yaml", TUNE)], Some(name));
        assert_eq!(complaints, Vec::<String>::new(), "{name}");
        assert!(book.expect("it is sound").has(preset));
        // An author who writes a preset's values into an edition gets them checked like any others.
        let indented: String = preset_text(preset).lines().map(|line| format!("    {line}\n")).collect();
        let with = format!("{BOOK}editions:\n  own:\n{indented}");
        let (_, complaints) = read_texts(&[("book.yaml", &with), ("kettle.yaml", TUNE)], Some("own"));
        assert_eq!(complaints, Vec::<String>::new(), "{name}");
    }
}

#[test]
fn the_first_book_is_sound_as_it_is() {
    let files = crate::book::new_book("evening-class", r#"The "Evening" Class: 1 \ 2"#);
    let texts: Vec<(&str, &str)> = files.iter().map(|(path, text)| (*path, text.as_str())).collect();
    for edition in [None, Some("large-print"), Some("teacher")] {
        let (book, complaints) = read_texts(&texts, edition);
        assert_eq!(complaints, Vec::<String>::new());
        let book = book.expect("it is sound");
        assert_eq!((book.id.as_str(), book.tunes().count()), ("evening-class", 1));
        assert!(book.title.starts_with("The") && book.title.ends_with(r"Class: 1 \ 2"), "{}", book.title);
    }
}
