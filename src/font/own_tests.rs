//! Families of one's own, made of the carried fonts with single bytes changed.

use super::*;
use crate::font::{Cut, FaceChoice, Fonts, TextFamily};

fn carried(name: &str) -> (String, Vec<u8>) {
    let path = format!("{}/fonts/{name}", env!("CARGO_MANIFEST_DIR"));
    let bytes = std::fs::read(&path).expect("a carried font is there");
    (name.rsplit('/').next().unwrap_or(name).to_owned(), bytes)
}

/// Where a table of a font file begins (OpenType specification, table directory).
fn table(bytes: &[u8], tag: &[u8; 4]) -> usize {
    let count = usize::from(u16::from_be_bytes([bytes[4], bytes[5]]));
    let record = (0..count).map(|n| 12 + n * 16).find(|at| &bytes[*at..*at + 4] == tag).expect("the table is there");
    u32::from_be_bytes(bytes[record + 8..record + 12].try_into().expect("four bytes")) as usize
}

/// The font with `fsType` set; it stands at byte 8 of the table OS/2.
fn with_rights(rights: u16) -> (String, Vec<u8>) {
    let (name, mut bytes) = carried("sans/SourceSans3-Regular.otf");
    let at = table(&bytes, b"OS/2") + 8;
    bytes[at..at + 2].copy_from_slice(&rights.to_be_bytes());
    (name, bytes)
}

fn complaints(files: &[(String, Vec<u8>)]) -> Vec<String> {
    let mut sink = Sink::default();
    let _ = Fonts::embedded().with_own(files, None, &mut sink);
    sink.sorted().into_iter().map(|item| item.message.clone()).collect()
}

fn own(weight: Weight, italic: bool) -> FaceChoice {
    FaceChoice { family: TextFamily::Own, weight, italic, cut: Cut::Text }
}

#[test]
fn each_font_takes_the_place_of_its_weight_and_slant() {
    let files = ["Regular", "It", "Bold"].map(|cut| carried(&format!("sans/SourceSans3-{cut}.otf")));
    let mut sink = Sink::default();
    let fonts = Fonts::embedded().with_own(&files, None, &mut sink);
    assert!(!sink.has_errors());
    let name = |weight, italic| fonts.face(fonts.text(own(weight, italic))).name.as_str();
    assert_eq!(name(Weight::Regular, false), "SourceSans3-Regular");
    assert_eq!(name(Weight::Regular, true), "SourceSans3-It");
    assert_eq!(name(Weight::Semibold, false), "SourceSans3-Bold", "the nearest heavier one");
    assert_eq!(name(Weight::Bold, true), "SourceSans3-It");
    assert_eq!(fonts.family_name(TextFamily::Own), "Source Sans 3");
    assert_eq!(fonts.faces().count(), Fonts::embedded().faces().count() + 3);
    // Without italics, stress is a weight.
    let fonts = Fonts::embedded().with_own(&[files[0].clone(), files[2].clone()], None, &mut sink);
    assert_eq!(fonts.face(fonts.text(own(Weight::Regular, true))).name, "SourceSans3-Bold");
    // Without a family of one's own the serif stands in, and does for words that the own one lacks.
    assert_eq!(
        Fonts::embedded().text(own(Weight::Regular, false)),
        fonts.text_for(own(Weight::Regular, false), "\u{4e00}")
    );
}

/// OpenType specification, OS/2, `fsType`: 0 installable, 2 restricted, 4 preview and print, 8 editable; 0x100 no subsetting,
/// 0x200 bitmaps only.
#[test]
fn a_font_is_embedded_only_where_it_says_it_may_be() {
    for rights in [0, 4, 8] {
        assert_eq!(complaints(&[with_rights(rights)]), [""; 0], "{rights:#x}");
    }
    assert_eq!(complaints(&[with_rights(2)]), ["the font `SourceSans3-Regular.otf` says that it may not be embedded"]);
    for rights in [0x100, 0x104, 0x200, 0x208] {
        let said = complaints(&[with_rights(rights)]);
        assert_eq!(said, ["the font `SourceSans3-Regular.otf` says that no part of it may be embedded"], "{rights:#x}");
    }
}

#[test]
fn what_is_no_font_or_twice_the_same_is_refused() {
    let good = carried("sans/SourceSans3-Regular.otf");
    let mut twice = carried("serif/SourceSerif4-Regular.otf");
    twice.0 = "other.otf".into();
    assert_eq!(
        complaints(&[good.clone(), twice]),
        ["the font `other.otf` has the weight and the slant of `SourceSans3-Regular.otf`"]
    );
    let named = |bytes: &[u8]| [("a.ttf".to_owned(), bytes.to_vec())];
    assert_eq!(complaints(&named(b"ttcf0000")), ["the font `a.ttf` is a collection of fonts"]);
    for bytes in [&b""[..], b"not a font", &good.1[..200], b"\0\x01\0\0\xff\xff\0\0\0\0\0\0"] {
        assert_eq!(complaints(&named(bytes)), ["the font `a.ttf` is no font that can be read, or is damaged"]);
    }
    assert_eq!(complaints(&named(&carried("music/Bravura.otf").1)).len(), 1, "a music font has no alphabet");
    let many: Vec<_> = (0..=MOST_FONTS).map(|n| (format!("{n}.otf"), Vec::new())).collect();
    assert_eq!(complaints(&many), ["a family has at most 24 fonts, and this folder has 25"]);
}

/// Scrambled fonts are refused or set; nothing else happens.
#[test]
fn damaged_fonts_do_no_harm() {
    let mut seed = 0x2545_f491_u64;
    let mut random = |below: usize| {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        usize::try_from(seed % below as u64).expect("it is below a usize")
    };
    let fonts = [carried("sans/SourceSans3-Regular.otf"), carried("large/AtkinsonHyperlegibleNext_400Regular.ttf")];
    let mut refused = 0;
    for round in 0..120 {
        let (name, mut bytes) = fonts[round % 2].clone();
        for _ in 0..=random(24) {
            // The directory and the heads of tables, where damage does most, half of the time.
            let at = if random(2) == 0 { random(bytes.len()) } else { random(600) };
            bytes[at] = u8::try_from(random(256)).expect("a byte");
        }
        if random(4) == 0 {
            let length = random(bytes.len());
            bytes.truncate(length);
        }
        match fit(&name, &bytes) {
            Ok(face) => assert!(shape(&face, "Tin lantern, “fiddle” à 12", Features::default()).len() < MOST_GLYPHS),
            Err(unfit) => {
                refused += 1;
                assert!(!unfit.why.is_empty() && !unfit.hint.is_empty());
            }
        }
    }
    assert!(refused > 10, "most damage is seen: {refused} of 120");
}

/// `watch` binds again and again: what a book brought goes with it.
#[test]
fn fonts_of_ones_own_are_dropped_with_their_book() {
    let files = [carried("sans/SourceSans3-Regular.otf")];
    let fonts = Fonts::embedded().with_own(&files, None, &mut Sink::default());
    let id = fonts.text(own(Weight::Regular, false));
    assert!(fonts.width(id, "AV", Default::default()) < fonts.width(id, "A", Default::default()) * 2.0, "it is shaped");
    let held = fonts.face(id).held().expect("it is the book's own");
    assert!(held.upgrade().is_some());
    drop(fonts);
    assert!(held.upgrade().is_none());
}

#[test]
fn a_font_that_the_shaper_fails_over_is_set_plainly_and_told() {
    let (name, bytes) = carried("sans/SourceSans3-Regular.otf");
    let face = fit(&name, &bytes).ok().expect("it is sound");
    assert_eq!((face.spared(|| Some(3)), face.failed()), (Some(3), false));
    assert_eq!(face.spared(|| "x".parse::<i32>().map(Some).expect("no number")), None);
    assert!(face.failed());
    assert_eq!(shape(&face, "Kettle", Features::default()).len(), 6, "it goes on");
}
