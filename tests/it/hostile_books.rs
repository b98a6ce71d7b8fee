//! The rows of `bounds.rs` for whole books: what a look from outside found, by the commands that lay out, write and play.

use crate::hostile_rows::{
    BOOK,
    Fate::{Bounded, Refused, Told},
    Row, png_of,
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

/// A name that lives as long as the rows.
fn name(number: usize, ending: &str) -> &'static str {
    Box::leak(format!("p{number}.{ending}").into_boxed_str())
}

/// A JPEG in grey of so many blocks of 8 by 8 pixels, all of one grey: one table of codes, of one code each (ITU-T T.81, annex F).
fn jpeg(blocks: usize) -> Vec<u8> {
    let side = u16::try_from(blocks * 8).expect("it is small").to_be_bytes();
    let mut out = b"\xff\xd8\xff\xdb\0\x43\0".to_vec();
    out.extend([1; 64]);
    out.extend([0xff, 0xc0, 0, 11, 8, side[0], side[1], side[0], side[1], 1, 1, 0x11, 0]);
    for class in [0, 0x10] {
        // One code of one bit, for no difference and for the end of the block.
        out.extend([0xff, 0xc4, 0, 20, class, 1]);
        out.extend([0; 15]);
        out.push(0);
    }
    out.extend([0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0]);
    // Two bits a block, both nought.
    out.extend(vec![0; (blocks * blocks).div_ceil(4)]);
    out.extend([0xff, 0xd9]);
    out
}

/// Pictures, drawings and tables that are many or large together.
fn page_rows() -> Vec<Row> {
    let album = |name: &'static str, words, shown: &str, files: Vec<(&'static str, Vec<u8>)>, fate| {
        let text = format!("# A\n\n{shown}\n").into_bytes();
        Row { name, words, files: std::iter::once(("t.md", text)).chain(files).collect(), fate }
    };
    let check = || vec!["check", "book.yaml"];
    let bind = || vec!["bind", "book.yaml"];
    let proof = || vec!["proof", "book.yaml"];
    let one = |bytes: Vec<u8>| vec![("p0.png", bytes)];
    let (largest, shown) = (png_of(0, 12_000, 9_000, 8, 108_100_000), "![a](p0.png)");
    let bits = png_of(0, 12_000, 9_000, 1, 13_600_000);
    let many: Vec<_> = (0..16).map(|n| (name(n, "png"), png_of(0, 3_000, 3_000, 8, 9_100_000))).collect();
    let all_shown =
        |count, ending| (0..count).fold(String::new(), |out, n| out + &format!("![a]({})\n\n", name(n, ending)));
    let cut = jpeg(40);
    let cut = cut[..cut.len() / 2].to_vec();
    let drawing = |points: usize| {
        let inside =
            (0..points / 100).fold(String::new(), |out, n| out + &format!("<path d='M{n} 0{}'/>\n", "h1v1".repeat(50)));
        format!("<svg xmlns='http://www.w3.org/2000/svg' width='96' height='96'>{inside}</svg>").into_bytes()
    };
    let drawings: Vec<_> = (0..300).map(|n| (name(n, "svg"), drawing(40_000))).collect();
    let row = format!("{}|\n", "|a".repeat(300));
    let table = format!("{row}{}|\n{}", "|-".repeat(300), row.repeat(180));
    vec![
        album("a picture of 12,000 by 9,000 in grey", check(), shown, one(largest.clone()), Bounded),
        album("a picture of 12,000 by 9,000 in grey", proof(), shown, one(largest), Bounded),
        album("a picture of 12,000 by 9,000 in black and white", check(), shown, one(bits.clone()), Bounded),
        album("a picture of 12,000 by 9,000 in black and white", proof(), shown, one(bits), Bounded),
        album("16 pictures of 3,000 by 3,000", proof(), &all_shown(16, "png"), many, Bounded),
        album("a JPEG that is whole", check(), "![a](p0.jpg)", vec![("p0.jpg", jpeg(40))], Bounded),
        album(
            "a JPEG cut to half",
            check(),
            "![a](p0.jpg)",
            vec![("p0.jpg", cut)],
            Told("t.md:3:1: warning[bad-picture]"),
        ),
        album("300 drawings of 40,000 points", check(), &all_shown(300, "svg"), drawings, Refused("error[too-large]")),
        album(
            "a drawing of 40,000 points shown 400 times",
            bind(),
            &"![a](p0.svg)\n\n".repeat(400),
            vec![("p0.svg", drawing(40_000))],
            Refused("t.md:51:6: error[too-large]"),
        ),
        album(
            "a drawing of 4,000 points shown 200 times",
            bind(),
            &"![a](p0.svg)\n\n".repeat(200),
            vec![("p0.svg", drawing(4_000))],
            Bounded,
        ),
        album("a table of 300 columns and 180 rows", check(), &table, Vec::new(), Told("warning[wide-table]")),
    ]
}

/// All rows.
pub fn rows() -> Vec<Row> {
    [edition_rows(), long_line_rows(), long_note_rows(), page_rows()].into_iter().flatten().collect()
}
