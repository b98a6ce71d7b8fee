//! The rows of `bounds.rs`: hostile files for every reader, each with the command that reads it and what must come of it.

use crate::hostile_pdfs;
use flate2::{Compression, write::ZlibEncoder};
use std::fmt::Write as _;
use std::io::Write as _;
use zip::write::SimpleFileOptions;

/// A good book.
pub const BOOK: &str = "book: 1\nid: a\ntitle: A\nauthor: B\ndate: 2026-01-01\nimpression: 1\nlanguage: en-GB\nbox: dg-21-third\n\
                    imprint: {publisher: P, isbn: none}\nfront: [title]\nchapters:\n  - title: One\n    text: t.md\n    tunes: [t.yaml]\n";
/// Its tune.
pub const TUNE: &str = "title: T\nid: t\nkind: tune\nmusic: |\n  M:2/4\n  L:1/8\n  K:D\n  \"D\"dA FA|\n";
const ABC: &str = "X:1\nT:t\nM:4/4\nL:1/8\nK:C\n";
const SCORE: &str = "<?xml version=\"1.0\"?>\n<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>B</part-name>\
                     </score-part></part-list><part id=\"P1\"><measure number=\"1\"><attributes><divisions>1</divisions></attributes>\n";
const SCORE_END: &str = "</measure></part></score-partwise>";
const NOTE: &str = "<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note>";

/// What must come of a row.
#[derive(Clone, Copy)]
pub enum Fate {
    /// Refused with this in what is said: a place, a code or a reason.
    Refused(&'static str),
    /// Left out with this in what is said; the rest is read.
    Told(&'static str),
    /// Read, with or without complaints, within the bounds.
    Bounded,
}
use Fate::{Bounded, Refused, Told};

/// A row: its name, the command's words, the files that differ from a good book, and what must come of it.
pub struct Row {
    pub name: &'static str,
    pub words: Vec<&'static str>,
    pub files: Vec<(&'static str, Vec<u8>)>,
    pub fate: Fate,
}

fn book(name: &'static str, file: &'static str, text: impl Into<Vec<u8>>, fate: Fate) -> Row {
    Row { name, words: vec!["check", "book.yaml"], files: vec![(file, text.into())], fate }
}

fn bring(name: &'static str, file: &'static str, text: impl Into<Vec<u8>>, fate: Fate) -> Row {
    Row { name, words: vec!["bring", file, "--json"], files: vec![(file, text.into())], fate }
}

fn yaml_rows() -> Vec<Row> {
    let chapters = |line: &str, times| BOOK.to_owned() + &line.repeat(times);
    let tunes = |list: String| BOOK.replace("[t.yaml]", &format!("[{list}]"));
    let missing = (0..20_000).map(|n| format!("m{n}.yaml")).collect::<Vec<_>>().join(",");
    let titled = |title: &str| BOOK.replace("title: A", &format!("title: {title}"));
    let long = |key: &str| format!("{key}: {}", "a".repeat(3_000_000));
    let editions = (0..2_000).fold(String::new(), |out, n| out + &format!("  e{n}: {{title: B}}\n"));
    let numbered = "title: T\nid: t\nkind: tune\nmusic: {file: a.abc, tune: 999999999999}\n";
    let blocks = (0..3_000).fold(String::new(), |mut out, depth| {
        let _ = writeln!(out, "{:1$}a:", "", depth);
        out
    });
    vec![
        book(
            "anchors that multiply",
            "book.yaml",
            format!("a: &a [x,x]\nb: &b [*a,*a,*a]\n{BOOK}"),
            Refused("book.yaml:1:4"),
        ),
        book("lists in lists", "book.yaml", format!("{BOOK}x: {}", "[".repeat(100_000)), Refused("book.yaml:15")),
        book("maps in maps", "book.yaml", format!("{BOOK}{blocks}"), Refused("too-deep")),
        book("a question in a question", "book.yaml", format!("{BOOK}{}", "? ".repeat(2_000_000)), Refused("too-deep")),
        book(
            "braces",
            "book.yaml",
            format!("{BOOK}{}{}", "{".repeat(200_000), "}".repeat(200_000)),
            Refused("book.yaml:15"),
        ),
        book(
            "300,000 keys",
            "book.yaml",
            (0..300_000).fold(BOOK.to_owned(), |out, n| out + &format!("k{n}: 1\n")),
            Refused("too-large"),
        ),
        book("one key 300,000 times", "book.yaml", chapters("a: 1\n", 300_000), Refused("duplicate-key")),
        book("a line of 7.9 MB", "book.yaml", format!("{BOOK}x: {}", "a".repeat(7_900_000)), Refused("book.yaml:15:1")),
        book("10 MB", "book.yaml", format!("{BOOK}x: {}", "a".repeat(10_000_000)), Refused("too-large")),
        book("colons", "book.yaml", format!("{BOOK}x: {}", "a: ".repeat(2_000_000)), Refused("book.yaml:15")),
        book("comments", "book.yaml", chapters("# a\n", 1_900_000), Bounded),
        book("a NUL", "book.yaml", format!("{BOOK}x: \0\n"), Refused("book.yaml:15:4")),
        book("no UTF-8", "book.yaml", [BOOK.as_bytes(), b"x: \xff\xfe\n"].concat(), Refused("line 15")),
        book("60,000 chapters", "book.yaml", chapters("  - {title: b}\n", 60_000), Refused("too-many")),
        book("60,000 times one tune", "book.yaml", tunes(["t.yaml"; 60_000].join(",")), Refused("too-many")),
        book("20,000 tunes that are not there", "book.yaml", tunes(missing), Refused("too-many")),
        book(
            "absurd numbers",
            "book.yaml",
            BOOK.replace("impression: 1", "impression: 99999999999999999999"),
            Refused("book.yaml:6:13"),
        ),
        book(
            "a font of one's own",
            "book.yaml",
            format!("{BOOK}type: {{family: ./own.ttf}}\n"),
            Refused("book.yaml:15:16"),
        ),
        book("a title of 7 MB", "book.yaml", titled(&"a".repeat(7_500_000)), Refused("book.yaml:3:8")),
        book("a title of a million words", "book.yaml", titled(&"a word ".repeat(1_000_000)), Refused("book.yaml:3:8")),
        book("a tune's title of 3 MB", "t.yaml", TUNE.replace("title: T", &long("title")), Refused("t.yaml:1:8")),
        book("a tune's composer of 3 MB", "t.yaml", format!("{TUNE}{}\n", long("composer")), Refused("t.yaml:9:11")),
        book("2,000 editions", "book.yaml", format!("{BOOK}editions:\n{editions}"), Refused("too-many")),
        book(
            "an edition of 3 MB by name",
            "book.yaml",
            format!("{BOOK}editions:\n  ? {}\n  : {{title: B}}\n", "a".repeat(3_000_000)),
            Refused("book.yaml:16:"),
        ),
        book("a tune out of numbers", "t.yaml", numbered, Refused("t.yaml:4:28")),
        book("a tune outside", "book.yaml", tunes("../../etc/passwd.yaml".into()), Refused("path-outside")),
        book("a tune from the root", "book.yaml", tunes("/etc/passwd.yaml".into()), Refused("book.yaml:14:13")),
        book("a shelf of everything", "book.yaml", format!("{BOOK}shelf: ../..\n"), Refused("path-outside")),
        book(
            "40,000 pins",
            "t.yaml",
            TUNE.to_owned() + "pins:\n" + &"  - {bar: 1, note: 1, button: 3}\n".repeat(40_000),
            Refused("t.yaml"),
        ),
        book("music of 7 MB", "t.yaml", TUNE.to_owned() + &"  \"D\"dA FA|\n".repeat(500_000), Refused("t.yaml")),
        book("a picture named 11,000 times", "t.md", "![a](b.png)".repeat(11_000), Refused("missing-file")),
        book(
            "a settled plan of nonsense",
            "t.settled.yaml",
            "settled: 1\ntune: t\nboxes: ".to_owned() + &"[".repeat(60_000),
            Refused("t.settled.yaml"),
        ),
    ]
}

fn abc_rows() -> Vec<Row> {
    let abc = |name, text: String, fate| bring(name, "a.abc", text, fate);
    let voices = (0..200_000).fold("X:1\nT:t\n".to_owned(), |out, n| out + &format!("V:{n}\n"));
    let macros = (0..26u8).fold("X:1\nT:t\n".to_owned(), |out, n| {
        out + &format!("m: {} = {}\n", char::from(b'A' + n % 7), "ABCDEFGabc".repeat(20))
    });
    vec![
        abc("a line of 7 MB", ABC.to_owned() + &"A".repeat(7_000_000), Refused("a.abc:6:1")),
        abc("10 MB of bars", ABC.to_owned() + &"ABcd efga|".repeat(1_000_000), Refused("8 megabytes")),
        abc("60 MB", ABC.to_owned() + &"ABcd efga|\n".repeat(5_400_000), Refused("8 megabytes")),
        abc("7 MB of bars", ABC.to_owned() + &("ABcd efga|".repeat(50) + "\n").repeat(14_000), Bounded),
        abc("2,000,000 lines", "X:1\n".to_owned() + &"T:a\n".repeat(2_000_000), Refused("a.abc:1:1")),
        abc("300,000 titles", "X:1\n".to_owned() + &"T:a\n".repeat(300_000) + "K:C\nA\n", Refused("a.abc:20001:1")),
        abc("130,000 tunes", "X:1\nK:C\n\n".repeat(130_000), Refused("a.abc:60001:1")),
        abc("words without end", format!("{ABC}ABcd|\n{}", "w: a b c d\n".repeat(390_000)), Refused("tune-too-long")),
        abc("a field that goes on", format!("{ABC}A\nw:a\n{}", "+:b\n".repeat(390_000)), Refused("tune-too-long")),
        abc("lines that go on", format!("{ABC}{}", "A\\\n".repeat(390_000)), Refused("tune-too-long")),
        abc("macros upon macros", macros + "K:C\n" + &("A".repeat(60_000) + "\n").repeat(100), Bounded),
        abc(
            "parts in parts",
            format!("X:1\nT:t\nP:{}99{}\nK:C\nP:A\nA|\n", "(A".repeat(500), ")99".repeat(499)),
            Bounded,
        ),
        abc(
            "parts without end",
            format!("X:1\nT:t\nP:{}\nK:C\nP:A\n{}\n", "A99".repeat(20_000), "|:A:|".repeat(900)),
            Bounded,
        ),
        abc(
            "repeats upon repeats",
            format!("{ABC}{}", ("|:".to_owned() + &":".repeat(60) + "A" + &":".repeat(60) + "|").repeat(400)),
            Bounded,
        ),
        abc("rests of 999,999,999 bars", format!("{ABC}{}", "Z999999999|".repeat(5_000)), Bounded),
        abc("rests of 499 bars", format!("{ABC}{}", "Z499|".repeat(10_000)), Bounded),
        abc("tuplets of 9,999", format!("{ABC}{}", "(9999:9999:9999".repeat(4_000)), Bounded),
        abc("200,000 voices", voices + "K:C\nA\n", Bounded),
        abc("voices in turn", format!("{ABC}{}", "[V:1]A[V:2]A\n".repeat(15_000)), Bounded),
        abc("endings without end", format!("{ABC}{}", "A|[1-64".repeat(4_000)), Bounded),
        abc(
            "slurs in slurs",
            format!("{ABC}{}", ("(".repeat(30_000) + "A" + &")".repeat(30_000) + "\n").repeat(50)),
            Bounded,
        ),
        abc("ties without end", format!("{ABC}{}", ("A-".repeat(30_000) + "\n").repeat(100)), Bounded),
        abc("graces without end", format!("{ABC}{}", ("{".to_owned() + &"g".repeat(60) + "}A").repeat(900)), Bounded),
        abc("typeset text without end", format!("{ABC}%%begintext\n{}", "a\n".repeat(390_000)), Bounded),
        bring("no UTF-8 at all", "a.abc", [b"X:1\nK:C\n".as_slice(), &b"\xff\xc3".repeat(3_000_000)].concat(), Bounded),
        abc("NULs", ABC.to_owned() + &"\0".repeat(5_000_000), Bounded),
    ]
}

fn xml_rows() -> Vec<Row> {
    let xml = |name, text: String, fate| bring(name, "a.musicxml", text, fate);
    let laughs = "<!DOCTYPE a [<!ENTITY a \"aaaa\">\n<!ENTITY b \"&a;&a;&a;\">]><score-partwise>&b;</score-partwise>";
    let attributes = (0..60_000).fold("<score-partwise".to_owned(), |out, n| out + &format!(" a{n}=\"1\""));
    let names = "<score-part id=\"Q\"/>".repeat(300_000);
    let parts =
        (0..500).fold(String::new(), |out, n| out + &format!("<part id=\"p{n}\"><measure>{NOTE}</measure></part>"));
    let crowded = format!("<score-partwise><part-list>{names}</part-list>{parts}</score-partwise>");
    let spaces = (0..5_000).fold("<score-partwise".to_owned(), |out, n| out + &format!(" xmlns:a{n}='u{n}'"));
    vec![
        xml("entities that multiply", laughs.to_owned(), Refused("a.musicxml:1:14")),
        xml(
            "an entity from outside",
            "<!DOCTYPE a SYSTEM \"file:///etc/passwd\">\n<score-partwise/>".to_owned(),
            Bounded,
        ),
        xml("elements in elements", "<a>".repeat(1_000_000), Refused("a.musicxml:1:")),
        xml(
            "6,000,000 elements",
            format!("{SCORE}{}{SCORE_END}", "<a/>".repeat(4_000_000)),
            Refused("score-too-large"),
        ),
        xml("200,000 notes", format!("{SCORE}{}{SCORE_END}", NOTE.repeat(200_000)), Bounded),
        xml("60,000 attributes", attributes + "/>", Refused("a.musicxml:1:1")),
        xml("5,000 namespaces", spaces + "/>", Refused("a.musicxml:1:1")),
        xml("nothing but <", "<".repeat(8_000_000), Refused("a.musicxml:1:")),
        xml("text that is not closed", format!("{SCORE}{}", "<![CDATA[".repeat(1_000_000)), Refused("a.musicxml:")),
        xml(
            "1,900,000 comments",
            format!("{SCORE}{}{SCORE_END}", "<!--a-->".repeat(1_900_000)),
            Refused("score-too-large"),
        ),
        xml(
            "100,000 bars",
            format!("{SCORE}{}{SCORE_END}", format!("{NOTE}</measure><measure number=\"2\">").repeat(100_000)),
            Bounded,
        ),
        xml(
            "absurd figures",
            SCORE.replace("<divisions>1", "<divisions>1e-300")
                + &NOTE.replace("<duration>1", "<duration>99999999999999999999")
                + &NOTE.replace("<octave>4", "<octave>999999999")
                + "<backup><duration>1e308</duration></backup><barline><repeat direction=\"backward\" times=\"999999999\"/></barline>"
                + SCORE_END,
            Bounded,
        ),
        xml("500 parts among 300,000 names", crowded, Bounded),
        bring("16 MB of no text", "a.musicxml", vec![0xff; 16_000_000], Refused("a.musicxml:1:1")),
        bring("60 MB of no text", "a.musicxml", vec![0xff; 60_000_000], Refused("16 megabytes")),
        bring(
            "zip: 200 MB of blanks",
            "a.mxl",
            package(&[("META-INF/container.xml", CONTAINER.into()), ("a.xml", vec![b' '; 200_000_000])]),
            Refused("a.mxl:1:1"),
        ),
        bring(
            "zip: a container of 200 MB",
            "a.mxl",
            package(&[("META-INF/container.xml", vec![b' '; 200_000_000])]),
            Refused("a.mxl:1:1"),
        ),
        bring(
            "zip: elements without end",
            "a.mxl",
            package(&[("a.xml", ("<a>".to_owned() + &"<b/>".repeat(4_000_000)).into())]),
            Refused("a.mxl:1:1"),
        ),
        bring("zip: 60,000 entries", "a.mxl", package(&many_entries()), Refused("a.mxl:1:1")),
        bring(
            "zip: a path outside",
            "a.mxl",
            package(&[(
                "META-INF/container.xml",
                CONTAINER.replace("a.xml", "../../../../../../../etc/passwd").into(),
            )]),
            Refused("a.mxl:1:1"),
        ),
        bring("zip: cut", "a.mxl", package(&[("a.xml", vec![b' '; 5_000])])[..60].to_vec(), Refused("a.mxl:1:1")),
    ]
}

const CONTAINER: &str = "<container><rootfiles><rootfile full-path=\"a.xml\"/></rootfiles></container>";

fn many_entries() -> Vec<(&'static str, Vec<u8>)> {
    // Names must differ; the file names are all that counts here.
    (0..60_000).map(|n| (&*Box::leak(format!("{n}.xml").into_boxed_str()), Vec::new())).collect()
}

fn package(entries: &[(&str, Vec<u8>)]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, bytes) in entries {
        zip.start_file(*name, SimpleFileOptions::default()).expect("an entry is begun");
        zip.write_all(bytes).expect("an entry is written");
    }
    zip.finish().expect("the package is closed").into_inner()
}

fn prose_rows() -> Vec<Row> {
    let md = |name, text: String, fate| book(name, "t.md", text, fate);
    let ticks = (1..500).fold(String::new(), |out, n| out + &"`".repeat(n) + "a");
    vec![
        md("quotations in quotations", ">".repeat(125_000), Bounded),
        md("lists in lists", "- ".repeat(62_000), Bounded),
        md("open brackets", "[".repeat(125_000), Bounded),
        md("open links", "[a](".repeat(31_000), Bounded),
        md("stars", "*a **b ".repeat(18_000), Bounded),
        md("runs of ticks", ticks, Bounded),
        md("facts", "{how 1.1}".repeat(14_000), Refused("t.md:1:1")),
        md("braces", "{".repeat(125_000), Bounded),
        md(
            "a table of 5,000 columns",
            "|a".repeat(5_000) + "|\n" + &"|-".repeat(5_000) + "|\n" + &"|b".repeat(5_000) + "|\n",
            Bounded,
        ),
        md(
            "references",
            (0..8_000).fold(String::new(), |out, n| out + &format!("[a{n}]: /u\n")) + &"[a]".repeat(8_000),
            Bounded,
        ),
        md("one word", "a".repeat(125_000), Bounded),
        md("40,000 soft hyphens", "a\u{ad}".repeat(40_000), Bounded),
        md("8 MB of line ends", "\n".repeat(8_000_000), Refused("t.md:1:1")),
        md("60 MB of line ends", "\n".repeat(60_000_000), Refused("book.yaml:13:11")),
        md("NULs", "a\0b".repeat(40_000), Bounded),
        book("no UTF-8 in prose", "t.md", vec![0xff; 1_000], Refused("book.yaml:13:11")),
    ]
}

/// A PNG that says it is so large, its pixels a run of deflated zeros; in colour and with what shows through, `bits` each.
pub fn png(width: u32, height: u32, bits: u8, zeros: usize) -> Vec<u8> {
    png_of(6, width, height, bits, zeros)
}

/// The same of a type of colour, 0 for grey.
pub fn png_of(colour: u8, width: u32, height: u32, bits: u8, zeros: usize) -> Vec<u8> {
    let mut out = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut head = [width.to_be_bytes(), height.to_be_bytes()].concat();
    head.extend([bits, colour, 0, 0, 0]);
    out.extend(chunk(b"IHDR", &head));
    out.extend(chunk(b"IDAT", &deflated(zeros)));
    out.extend(chunk(b"IEND", b""));
    out
}

fn chunk(name: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let mut crc = flate2::Crc::new();
    crc.update(name);
    crc.update(data);
    let length = u32::try_from(data.len()).expect("a chunk is small").to_be_bytes();
    [&length[..], name, data, &crc.sum().to_be_bytes()].concat()
}

pub fn deflated(zeros: usize) -> Vec<u8> {
    let mut deflate = ZlibEncoder::new(Vec::new(), Compression::best());
    let block = [0; 65_536];
    for _ in 0..zeros / block.len() {
        deflate.write_all(&block).expect("zeros are deflated");
    }
    deflate.finish().expect("zeros are deflated")
}

fn picture_rows() -> Vec<Row> {
    let shown = |name, bytes: Vec<u8>| Row {
        name,
        words: vec!["check", "book.yaml"],
        files: vec![("t.md", b"# A\n\n![a](a.png)\n".to_vec()), ("a.png", bytes)],
        fate: Told("t.md:3:"),
    };
    let jpeg = |width: u16, height: u16| {
        let (w, h) = (width.to_be_bytes(), height.to_be_bytes());
        [
            &[0xff, 0xd8, 0xff, 0xc0, 0, 11, 8, h[0], h[1], w[0], w[1], 1, 1, 0x11, 0][..],
            &[0xff, 0xda, 0, 8, 1, 1, 0, 0, 63, 0],
        ]
        .concat()
    };
    let large = png(3_000, 3_000, 8, 9_100_000);
    let names: Vec<&'static str> = (0..60).map(|n| &*Box::leak(format!("p{n}.png").into_boxed_str())).collect();
    let album = names.iter().fold(String::new(), |out, name| out + &format!("![a]({name})\n\n")).into_bytes();
    // Behind the header, whose chunk takes 25 bytes: the profile's name, how it is packed, and it.
    let profile = [b"a\0\0".as_slice(), &deflated(200_000_000)].concat();
    let mut profiled = png(4, 4, 8, 65_536);
    profiled.splice(33..33, chunk(b"iCCP", &profile));
    vec![
        shown("a picture of 2,000,000,000 by 2,000,000,000", png(2_000_000_000, 2_000_000_000, 8, 1_000_000)),
        shown("a picture of 12,000 by 12,000 in deep colour", png(12_000, 12_000, 16, 200_000_000)),
        shown("a picture of 11,000 by 11,000", png(11_000, 11_000, 8, 480_000_000)),
        shown("a JPEG of 65,535 by 65,535", jpeg(65_535, 65_535)),
        shown("a JPEG without anything", jpeg(9_000, 9_000)),
        shown("a picture of nonsense", b"\x89PNG\r\n\x1a\nnonsense".to_vec()),
        Row { fate: Bounded, ..shown("a picture with a profile of 200 MB", profiled) },
        Row {
            name: "60 pictures of 3,000 by 3,000",
            words: vec!["check", "book.yaml"],
            files: std::iter::once(("t.md", album)).chain(names.iter().map(|name| (*name, large.clone()))).collect(),
            fate: Refused("t.md:1:1: error[too-large]"),
        },
        Row {
            name: "one picture of 3,000 by 3,000 shown 60 times",
            words: vec!["check", "book.yaml"],
            files: vec![("t.md", "![a](p0.png)\n\n".repeat(60).into()), (names[0], large.clone())],
            fate: Bounded,
        },
    ]
}

/// Seeds of the fuzzer too.
const PARTS: &[u8] = include_bytes!("../fuzz/seeds/font/parts.ttf");
const CALLS: &[u8] = include_bytes!("../fuzz/seeds/font/calls.otf");
const BLANK_CALLS: &[u8] = include_bytes!("../fuzz/seeds/font/calls-blank.otf");

fn font_rows() -> Vec<Row> {
    let fonts = |name, files: Vec<(&'static str, Vec<u8>)>, place| Row {
        name,
        words: vec!["check", "book.yaml"],
        files: [vec![("book.yaml", format!("{BOOK}type: {{family: fonts/}}\n").into_bytes())], files].concat(),
        fate: Refused(place),
    };
    let many: Vec<&'static str> = (0..30).map(|n| &*Box::leak(format!("fonts/f{n}.otf").into_boxed_str())).collect();
    let each = |count: usize, size: usize| many[..count].iter().map(|name| (*name, vec![7; size])).collect::<Vec<_>>();
    let noise: Vec<u8> = (0..500_000_u32).map(|n| (n.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    let place = "book.yaml:15:16";
    vec![
        fonts("a font of noise", vec![("fonts/a.otf", noise.clone())], place),
        fonts("a font that begins like one", vec![("fonts/a.otf", [b"OTTO".as_slice(), &noise].concat())], place),
        fonts("a collection of fonts", vec![("fonts/a.ttf", [b"ttcf".as_slice(), &noise].concat())], place),
        fonts("30 fonts of 60 MB", each(30, 10_000_000), "too-large"),
        fonts("30 small fonts", each(30, 10), "at most 24 fonts"),
        fonts("4 fonts of 15 MB", each(4, 15_000_000), place),
        fonts("no font", vec![("fonts/a.txt", b"a".to_vec())], "no-fonts"),
        fonts("glyphs of 100 of 100 of 100 of 100 of 100", vec![("fonts/a.ttf", PARTS.to_vec())], place),
        fonts("a program of 12 calls nine deep", vec![("fonts/a.otf", CALLS.to_vec())], place),
        fonts("the same that draws nothing", vec![("fonts/a.otf", BLANK_CALLS.to_vec())], place),
    ]
}

/// Forty tunes of one tunebook of 4 MB.
fn tunebook_row() -> Row {
    let book = (1..13_000).fold(String::new(), |out, n| {
        out + &format!("X:{n}\nT:Tune {n}\nM:4/4\nL:1/8\nK:D\n{}\n", "ABcd efga|".repeat(25) + "\n\n")
    });
    let names: Vec<&'static str> = (1..41).map(|n| &*Box::leak(format!("t{n}.yaml").into_boxed_str())).collect();
    let tune = |n: usize| format!("title: T\nid: t{n}\nkind: tune\nmusic: {{file: a.abc, tune: {}}}\n", n * 300);
    let list = BOOK.replace("[t.yaml]", &format!("[{}]", names.join(", ")));
    let tunes = names.iter().enumerate().map(|(n, name)| (*name, tune(n + 1).into_bytes()));
    let files = [("a.abc", book.into_bytes()), ("book.yaml", list.into_bytes())].into_iter().chain(tunes).collect();
    Row { name: "40 tunes of one tunebook", words: vec!["check", "book.yaml"], files, fate: Bounded }
}

/// All rows.
pub fn all() -> Vec<Row> {
    let tunebook = vec![tunebook_row()];
    let drawings = crate::hostile_drawings::rows();
    let texts = [yaml_rows(), abc_rows(), tunebook, xml_rows(), prose_rows()];
    let others = [font_rows(), picture_rows(), drawings, hostile_pdfs::rows(), crate::hostile_books::rows()];
    texts.into_iter().chain(others).flatten().collect()
}
