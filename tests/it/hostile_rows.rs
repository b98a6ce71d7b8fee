//! The rows of `bounds.rs`: hostile files for every reader, each with the command that reads it and what must come of it.

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
    Row { name, words: vec!["bring", file, "--json", "-o", "out"], files: vec![(file, text.into())], fate }
}

fn press(name: &'static str, bytes: impl Into<Vec<u8>>, fate: Fate) -> [Row; 2] {
    let bytes = bytes.into();
    let row = |words, fate| Row { name, words, files: vec![("a.pdf", bytes.clone())], fate };
    [row(vec!["preflight", "a.pdf"], fate), row(vec!["reprint", "book.yaml", "--against", "a.pdf"], Refused("a.pdf"))]
}

fn yaml_rows() -> Vec<Row> {
    let chapters = |line: &str, times| BOOK.to_owned() + &line.repeat(times);
    let tunes = |list: String| BOOK.replace("[t.yaml]", &format!("[{list}]"));
    let missing = (0..20_000).map(|n| format!("m{n}.yaml")).collect::<Vec<_>>().join(",");
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
        md("8 MB of line ends", "\n".repeat(8_000_000), Refused("t.md:1:1")),
        md("60 MB of line ends", "\n".repeat(60_000_000), Refused("book.yaml:13:11")),
        md("NULs", "a\0b".repeat(40_000), Bounded),
        book("no UTF-8 in prose", "t.md", vec![0xff; 1_000], Refused("book.yaml:13:11")),
    ]
}

/// A PNG that says it is so large, its pixels a run of deflated zeros; grey, `bits` each.
fn png(width: u32, height: u32, bits: u8, zeros: usize) -> Vec<u8> {
    let mut out = b"\x89PNG\r\n\x1a\n".to_vec();
    let mut chunk = |name: &[u8; 4], data: &[u8]| {
        let mut crc = flate2::Crc::new();
        crc.update(name);
        crc.update(data);
        out.extend(u32::try_from(data.len()).expect("a chunk is small").to_be_bytes());
        out.extend(name);
        out.extend(data);
        out.extend(crc.sum().to_be_bytes());
    };
    let mut head = [width.to_be_bytes(), height.to_be_bytes()].concat();
    head.extend([bits, 6, 0, 0, 0]);
    chunk(b"IHDR", &head);
    chunk(b"IDAT", &deflated(zeros));
    chunk(b"IEND", b"");
    out
}

fn deflated(zeros: usize) -> Vec<u8> {
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
    vec![
        shown("a picture of 2,000,000,000 by 2,000,000,000", png(2_000_000_000, 2_000_000_000, 8, 1_000_000)),
        shown("a picture of 12,000 by 12,000 in deep colour", png(12_000, 12_000, 16, 200_000_000)),
        shown("a picture of 11,000 by 11,000", png(11_000, 11_000, 8, 480_000_000)),
        shown("a JPEG of 65,535 by 65,535", jpeg(65_535, 65_535)),
        shown("a JPEG without anything", jpeg(9_000, 9_000)),
        shown("a picture of nonsense", b"\x89PNG\r\n\x1a\nnonsense".to_vec()),
    ]
}

/// A file of one page whose objects are these, with a table of places that says nothing.
fn pdf(objects: &[(u32, Vec<u8>)]) -> Vec<u8> {
    let mut out = b"%PDF-1.4\n".to_vec();
    let mut places = Vec::new();
    for (number, body) in objects {
        places.push((*number, out.len()));
        out.extend(format!("{number} 0 obj\n").bytes());
        out.extend(body);
        out.extend(b"\nendobj\n");
    }
    let start = out.len();
    out.extend(b"xref\n0 1\n0000000000 65535 f \n");
    for (number, place) in places {
        out.extend(format!("{number} 1\n{place:010} 00000 n \n").bytes());
    }
    out.extend(format!("trailer\n<</Size 100/Root 1 0 R>>\nstartxref\n{start}\n%%EOF\n").bytes());
    out
}

fn stream(entries: &str, bytes: &[u8]) -> Vec<u8> {
    [format!("<<{entries}/Length {}>>\nstream\n", bytes.len()).as_bytes(), bytes, b"\nendstream"].concat()
}

fn pdf_rows() -> Vec<Row> {
    let page =
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 99 99]/Contents 4 0 R/Resources<</XObject<</X 5 0 R>>>>>>".to_vec();
    let catalog = |more: &str| format!("<</Type/Catalog/Pages 2 0 R{more}>>").into_bytes();
    let pages = b"<</Type/Pages/Kids[3 0 R]/Count 1>>".to_vec();
    let whole = |content: Vec<u8>, form: Vec<u8>| {
        pdf(&[(1, catalog("")), (2, pages.clone()), (3, page.clone()), (4, content), (5, form)])
    };
    let form =
        |content: &[u8]| stream("/Type/XObject/Subtype/Form/BBox[0 0 9 9]/Resources<</XObject<</X 5 0 R>>>>", content);
    let plain = || form(b"0 0 m");
    let deep = [b"[".repeat(200_000), b"]".repeat(200_000)].concat();
    let record = |bytes: &[u8]| {
        let mut objects =
            vec![(1, catalog("/BXWR_Record 6 0 R")), (2, pages.clone()), (3, page.clone()), (4, stream("", b""))];
        objects.push((6, stream("/Type/BXWR_Record/Filter/FlateDecode", bytes)));
        pdf(&objects)
    };
    let loops = pdf(&[(1, catalog("")), (2, b"<</Type/Pages/Kids[2 0 R 2 0 R 2 0 R]/Count 999999999>>".to_vec())]);
    let many_streams = {
        let bomb = deflated(60_000_000);
        let mut objects = vec![(1, catalog("")), (2, pages.clone()), (3, page.clone()), (4, stream("", b""))];
        objects.extend((6..16).map(|n| (n, stream("/Type/ObjStm/N 1/First 4/Filter/FlateDecode", &bomb))));
        pdf(&objects)
    };
    let previous =
        b"%PDF-1.4\nxref\n0 1\n0000000000 65535 f \ntrailer\n<</Size 1/Prev 9/Root 1 0 R>>\nstartxref\n9\n%%EOF"
            .to_vec();
    let huge_table = b"%PDF-1.4\nxref\n0 999999999\n0000000000 65535 f \ntrailer\n<</Size 999999999/Root 1 0 R>>\nstartxref\n9\n%%EOF".to_vec();
    let calls = b"/X Do ".repeat(20_000);
    let mut rows = Vec::new();
    rows.extend(press("no PDF", vec![0; 60_000_000], Refused("cannot be checked")));
    rows.extend(press(
        "a PDF cut short",
        whole(stream("", b"q Q"), plain())[..200].to_vec(),
        Refused("cannot be checked"),
    ));
    rows.extend(press(
        "arrays in arrays",
        pdf(&[(1, catalog("/A 5 0 R")), (2, pages.clone()), (3, page.clone()), (5, deep)]),
        Bounded,
    ));
    rows.extend(press("pages in a ring", loops, Bounded));
    rows.extend(press("a table that leads to itself", previous, Refused("cannot be checked")));
    rows.extend(press("a table of 999,999,999", huge_table, Refused("cannot be checked")));
    rows.extend(press("ten object streams of 60 MB", many_streams, Bounded));
    rows.extend(press(
        "a page of 200 MB",
        whole(stream("/Filter/FlateDecode", &deflated(200_000_000)), plain()),
        Bounded,
    ));
    rows.extend(press("a form in itself", whole(stream("", b"/X Do"), form(&calls)), Bounded));
    rows.extend(press("a form 20,000 times", whole(stream("", &calls), form(&b"0 0 m ".repeat(2_000))), Bounded));
    rows.extend(press("a record of 200 MB", record(&deflated(200_000_000)), Bounded));
    rows
}

/// All rows.
pub fn all() -> Vec<Row> {
    [yaml_rows(), abc_rows(), xml_rows(), prose_rows(), picture_rows(), crate::hostile_drawings::rows(), pdf_rows()]
        .into_iter()
        .flatten()
        .collect()
}
