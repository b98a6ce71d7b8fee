//! Picture references: systems of the specimen, painted in grey and held against pictures that were looked at and found good.
//!
//! A system may differ in few pixels and little: see [`SOFT`] and [`FEW`]. A system that differs is written to
//! `target/pictures/`, to be looked at beside the reference. Where the change is an improvement, renew the references:
//!
//! ```text
//! RENEW_PICTURES=1 cargo test --test it pictures
//! ```
//!
//! and look at each changed file before it is committed.

use crate::painter::{Picture, paint};
use boxwright::book;
use boxwright::diag::{Sink, Sources};
use boxwright::engrave::System;
use boxwright::font::Fonts;
use boxwright::pipeline;
use image::{ExtendedColorType, ImageEncoder, codecs::png};
use std::fs;
use std::path::{Path, PathBuf};

/// Pixels a point: 7 mm of staff are 36 pixels.
const SCALE: f64 = 1.8;
/// A pixel that differs by no more than this many of 255 levels is the same: outlines are the same in all builds, and rounding
/// may differ in the last level only.
const SOFT: u8 = 8;
/// So many of a million pixels may differ by more.
const FEW: usize = 20;

/// Book, edition, tune, line.
const SYSTEMS: [(&str, &str, &str, usize); 16] = [
    ("notation", "", "dots", 0),
    ("notation", "", "slants", 0),
    ("notation", "", "quick", 0),
    ("notation", "", "beamlets", 0),
    ("notation", "", "tied-signs", 1),
    ("notation", "", "chord-signs", 0),
    ("notation", "", "slurs", 0),
    ("notation", "", "tuplets", 0),
    ("notation", "", "graces", 0),
    ("notation", "", "marks", 0),
    ("notation", "", "endings", 1),
    ("notation", "", "verses", 0),
    ("box", "", "crowd", 0),
    ("box", "", "reversals", 0),
    ("box", "buttons", "mixed-rows", 0),
    ("box", "large-print", "own-left", 0),
];

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join(name)
}

/// Calls `see` with each system of [`SYSTEMS`] and its name.
fn systems(fonts: &Fonts, mut see: impl FnMut(&str, &System)) {
    for name in ["notation", "box"] {
        for edition in ["", "buttons", "large-print"] {
            let wanted = || SYSTEMS.iter().filter(|one| (one.0, one.1) == (name, edition));
            if wanted().next().is_none() {
                continue;
            }
            let mut read = |path: &str| fs::read(folder("specimen").join(path)).map_err(|error| error.to_string());
            let (mut sources, mut sink) = (Sources::default(), Sink::default());
            let path = format!("{name}.yaml");
            let chosen = (!edition.is_empty()).then_some(edition);
            let book = book::read(&path, chosen, &mut read, &mut sources, &mut sink).expect("the specimen is read");
            let planned = pipeline::plan(&book, &mut sink);
            let material = pipeline::material(&planned, fonts, &mut sink);
            for (.., tune, line) in wanted() {
                let found = material.tunes.iter().find(|material| material.entry.id == *tune).expect(tune);
                let system = found.systems.get(*line).expect(tune);
                let edition = if edition.is_empty() { String::new() } else { format!("-{edition}") };
                see(&format!("{tune}{edition}-{}", line + 1), system);
            }
        }
    }
}

fn read(path: &Path) -> Option<Picture> {
    let grey = image::open(path).ok()?.into_luma8();
    Some(Picture { width: grey.width() as usize, height: grey.height() as usize, grey: grey.into_raw() })
}

fn write(path: &Path, picture: &Picture) {
    fs::create_dir_all(path.parent().expect("a picture has a folder")).expect("the folder is made");
    let mut bytes = Vec::new();
    let encoder = png::PngEncoder::new_with_quality(&mut bytes, png::CompressionType::Best, png::FilterType::Adaptive);
    let (width, height) = (picture.width as u32, picture.height as u32);
    encoder.write_image(&picture.grey, width, height, ExtendedColorType::L8).expect("a picture is written");
    fs::write(path, bytes).expect("the picture is written");
}

/// How many of a million pixels differ; `None` for pictures of other sizes.
fn difference(a: &Picture, b: &Picture) -> Option<usize> {
    if (a.width, a.height) != (b.width, b.height) {
        return None;
    }
    let many = a.grey.iter().zip(&b.grey).filter(|(a, b)| a.abs_diff(**b) > SOFT).count();
    Some(many * 1_000_000 / a.grey.len())
}

#[test]
fn systems_look_as_they_did_when_they_were_looked_at() {
    let fonts = Fonts::embedded();
    let renew = std::env::var_os("RENEW_PICTURES").is_some();
    let mut wrong = Vec::new();
    systems(&fonts, |name, system| {
        let picture = paint(&system.frame, &fonts, SCALE, 0.0);
        let path = folder("pictures").join(name).with_extension("png");
        let seen = read(&path);
        let same = seen.as_ref().and_then(|seen| difference(seen, &picture)).is_some_and(|parts| parts <= FEW);
        if renew && !same {
            write(&path, &picture);
        } else if !same {
            write(
                &Path::new(env!("CARGO_MANIFEST_DIR")).join("target/pictures").join(name).with_extension("png"),
                &picture,
            );
            let parts = seen.as_ref().map(|seen| difference(seen, &picture));
            wrong.push(format!("{name}: {parts:?} of a million pixels differ"));
        }
        let size = fs::metadata(&path).map_or(0, |data| data.len());
        assert!(size < 30_000, "{name} is {size} bytes");
    });
    assert!(wrong.is_empty(), "look at target/pictures, then see the head of this file:\n{}", wrong.join("\n"));
}

/// A tenth of a pixel is seen, and so is one missing glyph.
#[test]
fn a_small_difference_is_seen() {
    let fonts = Fonts::embedded();
    let mut seen = 0;
    systems(&fonts, |name, system| {
        if name != "crowd-1" {
            return;
        }
        seen += 1;
        let picture = paint(&system.frame, &fonts, SCALE, 0.0);
        assert_eq!(difference(&picture, &picture), Some(0));
        let moved = paint(&system.frame, &fonts, SCALE, 0.1);
        assert!(difference(&picture, &moved).is_some_and(|parts| parts > FEW));
    });
    assert_eq!(seen, 1);
}
