//! Mistakes in keys, values, paths, pins and the left hand, each with its full message.

use super::{BOOK, TUNE, about_book, about_tune, read_texts};
use crate::book::read_box;
use crate::diag::{Sink, Sources};

fn book(from: &str, to: &str) -> Vec<String> {
    assert!(BOOK.contains(from), "{from}");
    about_book(&BOOK.replacen(from, to, 1))
}

/// The complaints about the tune with some lines more.
fn tune(more: &str) -> Vec<String> {
    about_tune(&format!("{TUNE}{more}"))
}

#[test]
fn unknown_keys_name_the_nearest() {
    assert_eq!(
        book("title: Small", "title: Small\nsubtitel: S\nstaff: 8mm\nzebra: 1"),
        [
            "book.yaml:4:1: error unknown-key: `subtitel` is no key of a book [did you mean `subtitle`?]",
            "book.yaml:5:1: error unknown-key: `staff` is no key of a book [`staff` belongs under `type:`]",
            "book.yaml:6:1: error unknown-key: `zebra` is no key of a book [known here: `book`, `id`, `title`, `subtitle`, \
             `author`, `date`, `impression`, `language`, `box`, `shelf`, `imprint`, `page`, `type`, `signs`, `playing`, \
             `extras`, `front`, `chapters`, `back`, `press`, `editions`]",
        ]
    );
    assert_eq!(
        tune("pins:\n  - {bar: 1, note: 1, buton: 3}\n"),
        ["kettle.yaml:9:23: error unknown-key: `buton` is no key of a pin [did you mean `button`?]"]
    );
    assert_eq!(
        about_book(&format!("{BOOK}editions:\n  big: {{titel: Big, id: other}}\n")),
        [
            "book.yaml:10:9: error unknown-key: `titel` is no key of an edition [did you mean `title`?]",
            "book.yaml:10:21: error unknown-key: `id` is no key of an edition [`id` is a key of a book: it belongs at the \
             left margin]",
        ]
    );
}

#[test]
fn missing_keys_and_wrong_shapes() {
    assert_eq!(book("id: small\n", ""), ["book.yaml:1:1: error missing-key: a book needs `id` [add `id: ...`]"]);
    assert_eq!(
        book("title: Small", "title: [Small]"),
        ["book.yaml:3:8: error wrong-shape: `title` must be one value, not a list \
             [put it in quotes if brackets or colons belong to it]"]
    );
    assert_eq!(
        book("[kettle.yaml]", "kettle.yaml"),
        ["book.yaml:8:12: error wrong-shape: `tunes` must be a list, not one value \
          [write `[kettle.yaml]`, or one value a line, each after `- `]"]
    );
    // What is to be written is said in the author's words, or with the key that comes first.
    for (line, code, hint) in [
        ("extras: place-maps", "wrong-shape", "write `[place-maps]`, or one value a line, each after `- `"),
        ("imprint: rights.md", "wrong-shape", "write `{key: value}`, or one `key: value` a line, indented"),
        ("signs: arrows", "wrong-shape", "write `signs: {direction: arrows}`"),
        ("type: \"{\"", "wrong-shape", "write `{key: value}`, or one `key: value` a line, indented"),
        (
            "chapters: {title: One}",
            "wrong-shape",
            "begin each with a hyphen, `- title: ...`, its other keys on lines below, as far indented",
        ),
        ("page: {orientation: upright}", "unknown-word", "did you mean `portrait`?"),
    ] {
        let text = if line.starts_with("chapters") {
            book("chapters:", &format!("{line}\nx:"))
        } else {
            book("chapters:", &format!("{line}\nchapters:"))
        };
        let first = text.iter().find(|said| said.contains(&format!("error {code}:")));
        assert!(first.is_some_and(|said| said.ends_with(&format!("[{hint}]"))), "{line}: {text:?}");
    }
    assert_eq!(
        book("chapters:", "page: a4\nchapters:"),
        ["book.yaml:6:7: error wrong-shape: `page` must be a map of keys, not one value [write `page: {size: a4}`]"]
    );
    assert_eq!(
        book("chapters:", "type:\nchapters:"),
        ["book.yaml:6:1: error no-value: `type` has no value [write a value after the colon, or take the key out]"]
    );
    assert_eq!(
        book("chapters:", "page: {size: [210mm]}\nchapters:"),
        ["book.yaml:6:14: error wrong-length: `size` has 1 value, not 2 \
             [write 2 values with commas between, in `[` and `]`]"]
    );
}

#[test]
fn wrong_values() {
    let wrong = |line: &str| book("chapters:", &format!("{line}\nchapters:"));
    assert_eq!(
        wrong("type: {text: 11}"),
        ["book.yaml:6:14: error wrong-value: `11` has no unit (`text`) \
          [write a length with its unit, such as `3mm`, `11pt`, `1.2cm` or `0.5in`]"]
    );
    assert_eq!(
        wrong("page: {size: a4, binding: comp}"),
        ["book.yaml:6:27: error unknown-word: `comp` is not known here (`binding`) [did you mean `comb`?]"]
    );
    assert_eq!(
        wrong("front: [title, contens]"),
        ["book.yaml:6:16: error unknown-word: `contens` is not known here (in `front`) [did you mean `contents`?]"]
    );
    assert_eq!(
        wrong("page: {size: folio}"),
        ["book.yaml:6:14: error unknown-word: `folio` is not known here (`size`) \
          [known here: `a5`, `b5`, `a4`, `b4`, `letter`, `concert`]"]
    );
    assert_eq!(
        wrong("impression: first"),
        [
            "book.yaml:6:13: error wrong-value: `first` is not a whole number (`impression`) [write a whole number from 1 to 999]"
        ]
    );
    assert_eq!(
        wrong("type: {most-bars: 0}"),
        ["book.yaml:6:19: error wrong-value: `0` is out of range (`most-bars`) [write a whole number from 1 to 16]"]
    );
    assert_eq!(
        book("2026-09-01", "2026-09-31"),
        ["book.yaml:4:7: error wrong-value: `2026-09-31` has no such day (`date`) \
          [write a date as year, month, day, such as `2026-09-01`]"]
    );
    assert_eq!(
        wrong("playing: {reversal-under: 0.3}"),
        [
            "book.yaml:6:27: error wrong-value: `0.3` has no unit (`reversal-under`) [write a time in seconds, such as `0.30s`]"
        ]
    );
    assert_eq!(
        wrong("imprint: {isbn: 978-3-16-148410-1}"),
        ["book.yaml:6:17: error wrong-value: the last digit of this ISBN should be 0 (`isbn`) \
          [write an ISBN of thirteen digits with or without hyphens, or `none`]"]
    );
    assert_eq!(
        book("dg-21-third", "dg-21-thrid"),
        ["book.yaml:5:6: error unknown-box: there is no built-in box `dg-21-thrid` [did you mean `dg-21-third`?]"]
    );
    assert_eq!(
        wrong("signs: {rows: {outer: square}}"),
        ["book.yaml:6:15: error same-heads: two rows have the same head, so no reader can tell them apart \
             [give each row a shape of its own]"]
    );
    assert_eq!(
        wrong("type: {family: fonts/}"),
        ["book.yaml:6:16: error no-fonts: `fonts/` can't be read [`fonts/`: there is no such file]"]
    );
}

#[test]
fn paths_that_lead_nowhere_or_out() {
    let missing = "there is no such file";
    assert_eq!(
        book("kettle.yaml", "kettel.yaml"),
        [format!("book.yaml:8:13: error missing-file: `kettel.yaml` can't be read [`kettel.yaml`: {missing}]")]
    );
    let hint = "[a book's files lie in its folder, or in the one folder that `shelf:` names]";
    assert_eq!(
        book("kettle.yaml", "../kettle.yaml"),
        [format!("book.yaml:8:13: error path-outside: `../kettle.yaml` leads out of the book's folder {hint}")]
    );
    assert_eq!(
        book("kettle.yaml", "/kettle.yaml"),
        [
            "book.yaml:8:13: error wrong-value: `/kettle.yaml` is an absolute path: it works on one computer only (in `tunes`) \
          [write the path of a file from the folder of this one, with `/` between folders]"
        ]
    );
    assert_eq!(
        tune("commentary: kettle.md\n"),
        [format!("kettle.yaml:8:13: error missing-file: `kettle.md` can't be read [`kettle.md`: {missing}]")]
    );
    assert_eq!(
        tune("commentary: |\n  See ![the hand](hand.png).\n"),
        [format!("kettle.yaml:9:19: error missing-file: `hand.png` can't be read [`hand.png`: {missing}]")]
    );
    assert_eq!(
        book("chapters:", "shelf: ../..\nchapters:"),
        [
            "book.yaml:6:8: error path-outside: `../..` opens all that lies around the book [name one folder, such as `../tunes`]"
        ]
    );
    let (book, none) = read_texts(
        &[("book.yaml", &BOOK.replace("chapters:", "shelf: ../tunes\nchapters:")), ("./../tunes/kettle.yaml", TUNE)],
        None,
    );
    assert_eq!(none, Vec::<String>::new());
    assert_eq!(book.map(|book| book.tunes().count()), Some(1));
}

#[test]
fn tunes_that_meet_twice() {
    assert_eq!(
        book("[kettle.yaml]", "[kettle.yaml, kettle.yaml]"),
        [
            "book.yaml:8:26: error duplicate-tune: `kettle.yaml` is in this book twice; the first is on line 8 [keep one of them]"
        ]
    );
    let two = BOOK.replace("[kettle.yaml]", "[kettle.yaml, other.yaml]");
    let (_, complaints) = read_texts(&[("book.yaml", &two), ("kettle.yaml", TUNE), ("other.yaml", TUNE)], None);
    assert_eq!(
        complaints,
        ["other.yaml:2:5: error duplicate-id: the id `kettle` is taken by `kettle.yaml` \
          [give each tune an id of its own; reprints are compared by it]"]
    );
}

#[test]
fn pins_that_point_at_nothing() {
    let pin = |pin: &str| tune(&format!("pins:\n  - {pin}\n"));
    assert_eq!(
        pin("{bar: 1, note: 2, is: G4, direction: push}"),
        ["kettle.yaml:9:27: error pin-guard: note 2 of bar 1 is B4, not G4 \
          [G4 is note 1 of this bar; or was the tune edited?]"]
    );
    assert_eq!(
        pin("{bar: 1, note: 2, is: E5, direction: push}"),
        ["kettle.yaml:9:27: error pin-guard: note 2 of bar 1 is B4, not E5 \
          [was the tune edited? If the pin is still meant, write `is: B4`]"]
    );
    assert_eq!(
        pin("{bar: 9, direction: push}"),
        ["kettle.yaml:9:11: error no-such-bar: there is no bar 9: the tune has bars 1 to 4 \
             [bars are counted as written, a pick-up is bar 0]"]
    );
    assert_eq!(
        pin("{bars: 3\u{2013}7, direction: push}"),
        ["kettle.yaml:9:12: error no-such-bar: there is no bar 7: the tune has bars 1 to 4 \
             [bars are counted as written, a pick-up is bar 0]"]
    );
    assert_eq!(
        pin("{bar: 1, note: 3, direction: push}"),
        ["kettle.yaml:9:20: error no-such-note: bar 1 has 2 notes, and no note 3 \
          [notes are counted in their bar; a chord is one note]"]
    );
    assert_eq!(
        pin("{bar: 1, note: 1g1, direction: push}"),
        ["kettle.yaml:9:20: error no-such-note: note 1 of bar 1 has no grace note 1 before it \
          [notes are counted in their bar; a chord is one note]"]
    );
    assert_eq!(
        pin("{bar: 1}"),
        ["kettle.yaml:9:5: error empty-pin: this pin fixes nothing [say what is fixed: `direction`, `row`, `button`, \
          `finger`, `sound`, `place`, `air` or `left-hand`]"]
    );
    assert_eq!(
        pin("{direction: push}"),
        ["kettle.yaml:9:5: error missing-key: this pin does not say which bar [add `bar: ...`]"]
    );
    assert_eq!(
        pin("{bar: 1, note: 1, row: inner, button: 19}"),
        [
            "kettle.yaml:9:43: error no-such-button: the inner row of `dg-21-third` has 10 buttons, and none numbered 19 \
             [`boxwright boxes dg-21-third` draws it]"
        ]
    );
    assert_eq!(
        pin("{bar: 1, note: 1, row: half, button: 1}"),
        ["kettle.yaml:9:28: error no-such-button: `dg-21-third` has no half row \
             [`boxwright boxes dg-21-third` draws it]"]
    );
    assert_eq!(
        pin("{bar: 1, air: open}"),
        ["kettle.yaml:9:19: error missing-key: air is taken after a note [add `after: ...` with the note's number]"]
    );
    assert_eq!(
        pin("{bar: 1, note: 1, tone: D5, direction: push}"),
        ["kettle.yaml:9:29: error no-such-tone: D5 is not in this chord, which is G4 \
             [name one of its notes, or `top`]"]
    );
    assert_eq!(
        pin("{bar: 1, direction: push, for: [dg-12]}"),
        ["kettle.yaml:9:36: error unknown-box: there is no built-in box `dg-12` \
          [built-in boxes of these keys: `dg-21-third`, `dg-21-third-accidentals`, `dg-21-fourth`, `dg-23-fourth`]"]
    );
    // A pin for another box is checked and then left alone.
    assert_eq!(pin("{bar: 1, direction: push, for: [gc-21-third]}"), Vec::<String>::new());
}

#[test]
fn the_left_hand() {
    let left = |bar: &str| tune(&format!("left-hand:\n  bars:\n    - {bar}\n"));
    assert_eq!(left("{bar: 1, play: \"G, g, .\"}"), Vec::<String>::new());
    assert_eq!(
        left("{bar: 1, play: \"G, x, .\"}"),
        [
            "kettle.yaml:10:22: error wrong-value: `x` is neither a bass nor a chord (`play`) [write beats parted by commas, \
          capitals for basses and small letters for chords, such as `G, g, g`; `-` holds, `.` rests]"
        ]
    );
    assert_eq!(
        left("{bar: 7, play: \"G, g, .\"}"),
        ["kettle.yaml:10:13: error no-such-bar: there is no bar 7: the tune has bars 1 to 4 \
             [bars are counted as written, a pick-up is bar 0]"]
    );
    assert_eq!(
        tune("left-hand: {pattern: waltzz}\n"),
        ["kettle.yaml:8:22: error unknown-pattern: there is no left-hand pattern `waltzz` [did you mean `waltz`?]"]
    );
    assert_eq!(
        tune("left-hand:\n  bars:\n    - {bar: 1, play: none}\n    - {bar: 1, play: none}\n"),
        ["kettle.yaml:11:13: error duplicate-bar: bar 1 of the left hand is written twice; the first is on line 10 \
          [keep one of them]"]
    );
}

#[test]
fn music_that_cannot_be_used() {
    let music = |music: &str| about_tune(&format!("title: Kettle\nid: kettle\nmusic: {music}\n"));
    assert_eq!(
        music(">\n  K:G\n  G2"),
        [
            "kettle.yaml:4:3: error folded-music: `>` joins the lines of this block, which ABC does not allow [write `music: |`]"
        ]
    );
    assert_eq!(
        music("{file: x.abc}"),
        ["kettle.yaml:3:15: error missing-file: `x.abc` can't be read [`x.abc`: there is no such file]"]
    );
    let with = |music: &str, abc: &str| {
        let tune = format!("title: Kettle\nid: kettle\nmusic: {music}\n");
        read_texts(&[("book.yaml", BOOK), ("kettle.yaml", &tune), ("x.abc", abc)], None).1
    };
    let two = "X:1\nT:One\nM:2/4\nL:1/4\nK:G\nGB|\n\nX:2\nT:Two\nM:2/4\nL:1/4\nK:G\nAc|\n";
    assert_eq!(
        with("x.abc", two),
        ["kettle.yaml:3:8: error many-tunes: there are 2 tunes in here \
          [choose one: `music: {file: ..., tune: 12}`, by its number (`X:`)]"]
    );
    assert_eq!(with("{file: x.abc, tune: 2}", two), Vec::<String>::new());
    let score = "<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>M</part-name></score-part>\
                 </part-list><part id=\"P1\"><measure number=\"1\"><attributes><divisions>1</divisions><key><fifths>1</fifths>\
                 </key><time><beats>2</beats><beat-type>4</beat-type></time></attributes><note><pitch><step>G</step><octave>4\
                 </octave></pitch><duration>2</duration><type>half</type></note></measure></part></score-partwise>";
    let tune_of = |path: &str, text: &str| {
        let tune = format!("title: Kettle\nid: kettle\nmusic: {path}\n");
        read_texts(&[("book.yaml", BOOK), ("kettle.yaml", &tune), (path, text)], None)
    };
    let (book, none) = tune_of("x.musicxml", score);
    assert_eq!(none, Vec::<String>::new());
    assert_eq!(book.and_then(|book| book.tunes().next().map(|tune| tune.tune.note_count())), Some(1));
    let (_, complaints) = tune_of("x.musicxml", "no score");
    assert!(complaints.len() == 1 && complaints[0].starts_with("x.musicxml:1:1: error "), "{complaints:?}");
    assert_eq!(
        tune("transpose: H\n"),
        [
            "kettle.yaml:8:12: error wrong-value: `H` is not a key (`transpose`) [write a key such as `D`, `Em` or `A dorian`, \
          or `none`]"
        ]
    );
    assert_eq!(
        tune("transpose: Dm\n"),
        ["kettle.yaml:8:12: error other-mode: a tune in major can't be transposed into minor \
          [a key of the same mode, or the letter alone]"]
    );
}

#[test]
fn all_mistakes_of_a_run_come_at_once() {
    let book = BOOK.replace("title: Small", "titel: Small").replace("a comment", "").replace("id: small", "id: Small!");
    let tune =
        TUNE.replace("title: Kettle", "title: 7\nlevel: high").replace("id: kettle", "id: kettle\npractise: [80%]");
    let (_, complaints) = read_texts(&[("book.yaml", &book), ("kettle.yaml", &tune)], None);
    let codes: Vec<&str> =
        complaints.iter().filter_map(|text| text.split("error ").nth(1)?.split(':').next()).collect();
    let all = ["wrong-value", "unknown-key", "number-for-text", "wrong-value", "unknown-key"];
    assert_eq!(codes, all, "a book without title and a tune without one are read to their ends: {complaints:?}");
    let (_, complaints) = read_texts(&[("book.yaml", &format!("{BOOK}zebra: 1\n")), ("kettle.yaml", &tune)], None);
    let codes: Vec<&str> =
        complaints.iter().filter_map(|text| text.split("error ").nth(1)?.split(':').next()).collect();
    assert_eq!(codes, ["unknown-key", "number-for-text", "wrong-value", "unknown-key"], "{complaints:?}");
}

/// The complaints about a box with these rows and this left hand, each by its place and code.
fn own_box(rows: &str, left: &str) -> Vec<String> {
    let text = format!("name: X\nrows: {rows}\nleft: {left}\n");
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let mut files = |_: &str| Ok::<_, String>(text.clone().into_bytes());
    let read = read_box("boxes/b.yaml", &mut files, &mut sources, &mut sink);
    assert!(read.is_some() || sink.has_errors(), "no box, and no word on why");
    let told = sink.items().iter().map(|item| {
        let at = item.place.expect("it has a place");
        format!("{}:{} {}", at.line, at.column, item.code)
    });
    told.collect()
}

#[test]
fn a_box_without_buttons_is_told_once() {
    let left = "{rows: [outer], buttons: [{row: outer, kind: bass, push: D, pull: A}]}";
    let row = |buttons: &str| format!("[{{at: outer, start: 1, buttons: [{buttons}]}}]");
    let sound = row("[D4, E4]");
    assert_eq!(own_box(&sound, left), Vec::<String>::new());
    assert_eq!(own_box("[]", left), ["2:7 no-outer-row"]);
    assert_eq!(own_box("[{at: inner, start: 1, buttons: [[D4, E4]]}]", left), ["2:7 no-outer-row"]);
    assert_eq!(own_box(&row(&["[D4, E4]"; 50].join(",")), left), ["2:39 wrong-length"]);
    assert_eq!(own_box(&row(""), left), ["2:39 wrong-length"]);
    assert_eq!(own_box(&sound, "{rows: [outer]}"), ["3:7 missing-key"]);
    assert_eq!(own_box(&sound, "{rows: [], buttons: []}"), ["3:27 wrong-length"]);
}
