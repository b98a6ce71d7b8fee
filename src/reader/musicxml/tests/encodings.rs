//! Encodings and packages, and files that are refused.

use std::io::Write;

use super::super::{XmlOptions, decode};
use super::{note, read_bytes, score};

#[test]
fn other_encodings_and_packages() {
    let text = score(&[note("C", 5, 4, "")]).replace("Box", "Böx");
    let wide: Vec<u8> = std::iter::once(0xfeffu16).chain(text.encode_utf16()).flat_map(u16::to_le_bytes).collect();
    let big: Vec<u8> = text.encode_utf16().flat_map(u16::to_be_bytes).collect();
    let latin: Vec<u8> = text.chars().map(|c| u8::try_from(u32::from(c)).expect("latin")).collect();
    let latin = [&latin[..19], b" encoding='iso-8859-1'".as_slice(), &latin[19..]].concat();
    let named = text.replacen("\"1.0\"?", "\"1.0\" encoding='iso-8859-1'?", 1);
    for (bytes, text) in [(&wide, &text), (&big, &text), (&latin, &named)] {
        assert_eq!(decode(bytes), *text);
        assert_eq!(read_bytes(bytes, &XmlOptions::default()).0.len(), 1);
    }
    let pack = |container: bool| {
        let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
        let options = zip::write::SimpleFileOptions::default();
        if container {
            zip.start_file("META-INF/container.xml", options).expect("a package in memory");
            zip.write_all(b"<container><rootfiles><rootfile full-path=\"a/b.xml\"/></rootfiles></container>")
                .expect("memory");
        }
        zip.start_file("a/b.xml", options).expect("a package in memory");
        zip.write_all(text.as_bytes()).expect("memory");
        zip.finish().expect("memory").into_inner()
    };
    assert_eq!(read_bytes(&pack(true), &XmlOptions::default()).0.len(), 1);
    assert_eq!(read_bytes(&pack(false), &XmlOptions::default()).0.len(), 1);
}

/// The Encoding Standard's windows-1252 (also under the name of ISO 8859-1) and ISO-8859-5, its index tables.
#[test]
fn the_named_encoding_is_followed() {
    let written = |name: &str, title: &[u8]| {
        let text = score(&[note("C", 5, 4, "")]).replacen("\"1.0\"?", &format!("\"1.0\" encoding=\"{name}\"?"), 1);
        let (before, after) = text.split_once("<part-list>").expect("a list of parts");
        [before.as_bytes(), b"<movement-title>", title, b"</movement-title><part-list>", after.as_bytes()].concat()
    };
    for (name, title, read) in [
        ("windows-1252", b"\x93\x80\xe9\x94".as_slice(), "\u{201c}\u{20ac}\u{e9}\u{201d}"),
        ("ISO-8859-1", b"\xe9\xa3", "\u{e9}\u{a3}"),
        ("ISO-8859-5", b"\xe8", "\u{448}"),
        ("UTF-8", "\u{e9}".as_bytes(), "\u{e9}"),
    ] {
        let (tunes, said) = read_bytes(&written(name, title), &XmlOptions::default());
        assert_eq!((tunes[0].title.as_str(), said.as_slice()), (read, [].as_slice()), "{name}");
    }
    // One bad byte costs itself, not the letters around it.
    let (tunes, said) = read_bytes(&written("UTF-8", b"caf\xc3\xa9 \xff\xff!"), &XmlOptions::default());
    assert_eq!(tunes[0].title, "caf\u{e9} \u{fffd}!");
    assert_eq!(said, ["unreadable-letters one place of this score cannot be read as letters"]);
    let (tunes, said) =
        read_bytes(&[&written("UTF-8", "\u{e9}".as_bytes()), b"\n\xff".as_slice()].concat(), &XmlOptions::default());
    assert_eq!((tunes[0].title.as_str(), said.len()), ("\u{e9}", 1));
    let (tunes, said) = read_bytes(&written("x-own", b"\xe9"), &XmlOptions::default());
    assert!(tunes.is_empty());
    assert_eq!(
        said,
        ["!unknown-encoding this score says that it is written in \u{201c}x-own\u{201d}, which is not read"]
    );
}

/// A package of some entries.
fn package(entries: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, bytes) in entries {
        zip.start_file(*name, zip::write::SimpleFileOptions::default()).expect("a package in memory");
        zip.write_all(bytes).expect("memory");
    }
    zip.finish().expect("memory").into_inner()
}

/// Paths of a container are those of a URI reference (MusicXML 4.0, container); the first root file that is a score is read.
#[test]
fn the_score_of_a_package_is_found() {
    let text = score(&[note("C", 5, 4, "")]);
    let read = |name: &str, roots: &str| {
        let container = format!("<container><rootfiles>{roots}</rootfiles></container>");
        let entries = [
            ("a.pdf", b"%PDF".as_slice()),
            (name, text.as_bytes()),
            ("b.xml", b"<x/>"),
            ("META-INF/container.xml", container.as_bytes()),
        ];
        let (tunes, said) = read_bytes(&package(&entries), &XmlOptions::default());
        (tunes.len(), said)
    };
    let root = |path: &str| format!("<rootfile full-path=\"{path}\"/>");
    for (name, path) in [
        ("a.xml", "a.xml"),
        ("a.xml", "./a.xml"),
        ("a.xml", "/a.xml"),
        ("my tune.xml", "my%20tune.xml"),
        ("100%.xml", "100%.xml"),
    ] {
        assert_eq!(read(name, &root(path)), (1, Vec::new()), "{path}");
    }
    let pdf = "<rootfile full-path=\"a.pdf\" media-type=\"application/pdf\"/>".to_owned();
    assert_eq!(read("a.xml", &(pdf.clone() + &root("a.xml"))), (1, Vec::new()));
    let further = ["scores-left-out only the first score of this package is read; left out: b.xml".to_owned()];
    assert_eq!(read("a.xml", &(root("a.xml") + &root("b.xml") + &pdf)), (1, further.to_vec()));
    let (count, said) = read("a.xml", &root("c.xml"));
    assert_eq!(
        (count, said[0].as_str()),
        (0, "!no-score the package names \u{201c}c.xml\u{201d} as its score, which is not there")
    );
}

/// ZIP's method 12, BZIP2 (APPNOTE 4.4.5), which packages of MusicXML do not use.
#[test]
fn an_entry_packed_in_another_way_is_told_so() {
    let mut bytes = package(&[("a.xml", score(&[note("C", 5, 4, "")]).as_bytes())]);
    for (mark, method) in [(b"PK\x03\x04", 8), (b"PK\x01\x02", 10)] {
        let at = bytes.windows(4).position(|bytes| bytes == mark).expect("a header");
        bytes[at + method..at + method + 2].copy_from_slice(&[12, 0]);
    }
    let (tunes, said) = read_bytes(&bytes, &XmlOptions::default());
    assert!(tunes.is_empty());
    assert!(said[0].ends_with("is locked, or packed in a way that is not read"), "{said:?}");
}

/// The mark of UTF-8 wins over what is said (Encoding Standard, decode); what is not read is refused, not guessed.
#[test]
fn marks_of_encodings_win() {
    let text = score(&[note("C", 5, 4, "")]).replacen(
        "<part-list>",
        "<movement-title>M\u{e4}d</movement-title><part-list>",
        1,
    );
    let latin = text.replacen("\"1.0\"?", "\"1.0\" encoding=\"ISO-8859-1\"?", 1);
    let (tunes, said) = read_bytes(&[b"\xef\xbb\xbf", latin.as_bytes()].concat(), &XmlOptions::default());
    assert_eq!((tunes[0].title.as_str(), said.len()), ("M\u{e4}d", 0));
    let wide: Vec<u8> = text.chars().flat_map(|c| u32::from(c).to_le_bytes()).collect();
    let seven = text.replacen("\"1.0\"?", "\"1.0\" encoding=\"UTF-7\"?", 1).replace('\u{e4}', "+AOQ-");
    let says = "says that it is written in \u{201c}utf-7\u{201d}";
    for (bytes, says) in [(wide, "is written in UTF-32"), (seven.into_bytes(), says)] {
        let (tunes, said) = read_bytes(&bytes, &XmlOptions::default());
        assert!(tunes.is_empty());
        assert_eq!(said, [format!("!unknown-encoding this score {says}, which is not read")]);
    }
}

#[test]
fn hostile_scores_are_refused() {
    let first = |bytes: &[u8]| {
        let (tunes, said) = read_bytes(bytes, &XmlOptions::default());
        assert!(tunes.is_empty());
        said[0].split(' ').next().unwrap_or("").to_owned()
    };
    assert_eq!(first(b""), "!damaged-score");
    assert_eq!(first(b"<opus/>"), "!no-score");
    assert_eq!(first(b"<html></html>"), "!no-score");
    assert_eq!(first(b"<score-partwise/>"), "!no-score");
    assert_eq!(first(b"PK\x03\x04 nonsense"), "!damaged-score");
    assert_eq!(first(b"<!DOCTYPE x [<!ENTITY a \"b\"><!ENTITY c \"&a;&a;\">]><score-partwise/>"), "!entity-refused");
    assert_eq!(first("<a>".repeat(100_000).as_bytes()), "!nested-too-deep");
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    zip.start_file("a.xml", zip::write::SimpleFileOptions::default()).expect("memory");
    zip.write_all(&vec![b' '; 30_000_000]).expect("memory");
    let bomb = zip.finish().expect("memory").into_inner();
    assert_eq!(first(&bomb), "!score-too-large");
    // Absurd figures inside a score cost their notes, not the reader.
    let odd = note("C", 5, 4_000_000_000, "");
    let (tunes, _) = read_bytes(
        score(&[odd, note("H", 99, 2, ""), "<backup><duration>999</duration></backup>".into()]).as_bytes(),
        &XmlOptions::default(),
    );
    assert!(tunes[0].bars.len() <= 3);
}
