//! The rows of `bounds.rs` for whole books: what a look from outside found, by the commands that lay out, write and play.

use crate::hostile_rows::{
    BOOK,
    Fate::{Bounded, Refused},
    Row,
};

/// A book whose editions lead out of its folder: nothing is written, whichever command asks.
fn edition_rows() -> Vec<Row> {
    let text = format!("{BOOK}editions:\n  x/../../away: {{title: B}}\n");
    let row = |words, fate| Row {
        name: "an edition that leads out of the folder",
        words,
        // A folder by the name that the file's name would begin with.
        files: vec![("book.yaml", text.clone().into_bytes()), ("book.x/a.txt", Vec::new())],
        fate,
    };
    let place = Refused("book.yaml:16:3: error[edition-name]");
    vec![
        row(vec!["check", "book.yaml"], place),
        row(vec!["bind", "book.yaml", "--all-editions"], place),
        row(vec!["bind", "book.yaml", "--edition", "x/../../away"], place),
        row(vec!["proof", "book.yaml", "--edition", "x/../../away"], place),
        row(vec!["practice", "book.yaml", "--edition", "x/../../away"], place),
    ]
}

/// Two hundred complaints on one line of 8 MB.
fn long_line_rows() -> Vec<Row> {
    let twice = format!("{BOOK}x: {{{} b: \"{}\"}}\n", "a: 1, ".repeat(250), "x".repeat(7_900_000));
    let wrong = format!(
        "{BOOK}x: {{{}}}\n",
        (0..400).fold(String::new(), |out, n| out + &" ".repeat(19_000) + &format!("k{n}: 1,"))
    );
    let row = |name, text: String, fate| Row {
        name,
        words: vec!["check", "book.yaml"],
        files: vec![("book.yaml", text.into_bytes())],
        fate,
    };
    vec![
        row("one key 250 times on a line of 7.9 MB", twice, Refused("book.yaml:15:")),
        row("400 keys on a line of 7.6 MB", wrong, Bounded),
    ]
}

/// Notes that are split into so many that a tune of four kilobytes is one of a hundred pages.
fn long_note_rows() -> Vec<Row> {
    let tune = |body: &str| format!("title: T\nid: t\nkind: tune\nmusic: |\n  L:1/1\n  M:none\n  K:D\n{body}");
    let line = |bar: &str, times| format!("  {}\n", bar.repeat(times));
    let rows = |name, body: String| {
        let row =
            |words| Row { name, words, files: vec![("t.yaml", tune(&body).into_bytes())], fate: Refused("t.yaml:8:") };
        let bound = Row { fate: Bounded, ..row(vec!["keys", "t.yaml"]) };
        [row(vec!["plan", "t.yaml"]), row(vec!["check", "book.yaml"]), row(vec!["bind", "book.yaml"]), bound]
    };
    let score = {
        let bar = "<note><pitch><step>D</step><octave>5</octave></pitch><duration>256</duration></note></measure>\n<measure number=\"2\">";
        "<?xml version=\"1.0\"?>\n<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>B</part-name></score-part>\
         </part-list><part id=\"P1\"><measure number=\"1\"><attributes><divisions>1</divisions></attributes>\n"
            .to_owned()
            + &bar.repeat(4_000)
            + "</measure></part></score-partwise>"
    };
    let by_score = |words, fate| Row {
        name: "4,000 bars of 64 whole notes each in a score",
        words,
        files: vec![
            ("t.yaml", b"title: T\nid: t\nkind: tune\nmusic: {file: a.musicxml}\n".to_vec()),
            ("a.musicxml", score.clone().into_bytes()),
        ],
        fate,
    };
    [
        rows("1,000 notes of 64 whole notes", line("A64 ", 1_000)),
        rows("1,000 bars of 64 whole notes", line("A64|", 1_000)),
        rows("3,000 chords of 64 whole notes", line("[DFA]64", 3_000)),
        rows("9,000 notes in a bar", line("A", 9_000)),
    ]
    .into_iter()
    .flatten()
    .chain([by_score(vec!["plan", "t.yaml"], Bounded), by_score(vec!["bind", "book.yaml"], Bounded)])
    .collect()
}

/// All rows.
pub fn rows() -> Vec<Row> {
    [edition_rows(), long_line_rows(), long_note_rows()].into_iter().flatten().collect()
}
