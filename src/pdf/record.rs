//! Digests of what is printed: one a page, one a bar.
//!
//! Over the ink inside the bleed alone: original glyph ids, hashes of the font files, places to 0.01 pt, paths, inks.
//! Never marks, slug, subset ids, tags or the bytes of a file, so that another machine or another way of writing the file
//! changes nothing. A change of what is hashed here needs a new [`DIGEST_VERSION`].

use crate::font::{FaceId, Fonts};
use crate::frame::{Frame, Image, Ink, Item, Shape, TextRun};
use crate::geom::{Abs, Point, Segment};
use crate::page::{Document, Manifest, PageRecord};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

/// The version of the digests written here; records of another version cannot be compared.
pub const DIGEST_VERSION: u32 = 1;

/// The document's record with all digests filled in: 32 hexadecimal digits each. Bars are found by their subject,
/// `tune:ID bar:LABEL`, on the page that their record names; a bar without ink keeps an empty digest.
pub fn record(document: &Document, fonts: &Fonts) -> Manifest {
    let hashes = FaceHashes::new(fonts);
    let pages: Vec<PageInk> = document.pages.par_iter().map(|page| PageInk::of(&page.frame, &hashes)).collect();
    let mut bars: BTreeMap<(&str, &str), &str> = BTreeMap::new();
    for (page, ink) in document.pages.iter().zip(&pages) {
        for (subject, digest) in &ink.subjects {
            bars.entry((page.label.as_str(), subject)).or_insert(digest);
        }
    }
    let mut manifest = document.manifest.clone();
    for bar in &mut manifest.bars {
        let subject = format!("tune:{} bar:{}", bar.tune, bar.bar);
        bar.digest =
            bars.get(&(bar.page.as_str(), subject.as_str())).map_or_else(String::new, |digest| (*digest).into());
    }
    manifest.identity = document.identity.clone();
    manifest.digest_version = DIGEST_VERSION;
    manifest.pages = document
        .pages
        .iter()
        .zip(pages)
        .map(|(page, ink)| PageRecord { label: page.label.clone(), digest: ink.digest })
        .collect();
    manifest
}

/// Hashes of the font files, made when first asked for.
struct FaceHashes<'a> {
    fonts: &'a Fonts,
    known: Vec<OnceLock<[u8; 32]>>,
}

impl<'a> FaceHashes<'a> {
    fn new(fonts: &'a Fonts) -> Self {
        Self { fonts, known: fonts.faces().map(|_| OnceLock::new()).collect() }
    }
    fn get(&self, face: FaceId) -> &[u8; 32] {
        self.known[usize::from(face.index())].get_or_init(|| *blake3::hash(self.fonts.face(face).data).as_bytes())
    }
}

/// The digests of one page.
struct PageInk {
    digest: String,
    subjects: Vec<(Arc<str>, String)>,
}

impl PageInk {
    fn of(frame: &Frame, hashes: &FaceHashes<'_>) -> Self {
        let mut page = InkBytes::new(hashes);
        page.length(frame.size.width);
        page.length(frame.size.height);
        page.frame(frame, Point::default());
        let mut found: BTreeMap<Arc<str>, (Point, InkBytes<'_>)> = BTreeMap::new();
        subjects(frame, Point::default(), hashes, &mut found);
        let subjects = found.into_iter().map(|(subject, (_, ink))| (subject, ink.digest())).collect();
        Self { digest: page.digest(), subjects }
    }
}

/// The ink of each subject, places counted from where it first stands, so that a bar that only moved stays the same.
fn subjects<'a>(
    frame: &Frame,
    origin: Point,
    hashes: &'a FaceHashes<'a>,
    found: &mut BTreeMap<Arc<str>, (Point, InkBytes<'a>)>,
) {
    for (at, item) in frame.items() {
        if let Item::Group(group) = item {
            let at = origin + *at;
            if let Some(subject) = &group.subject {
                let (start, ink) = found.entry(subject.0.clone()).or_insert_with(|| (at, InkBytes::new(hashes)));
                ink.frame(&group.frame, at - *start);
            }
            subjects(&group.frame, at, hashes, found);
        }
    }
}

/// A length in hundredths of a point; what is no number is refused when the page is painted.
fn hundredths(length: Abs) -> [u8; 4] {
    #[expect(clippy::cast_possible_truncation, reason = "saturates, and no page is that large")]
    let hundredths = (length.to_pt() * 100.0 + 0.5_f64.copysign(length.to_pt())) as i32;
    hundredths.to_le_bytes()
}

/// Ink as bytes, in the form of digest version 1.
struct InkBytes<'a> {
    hashes: &'a FaceHashes<'a>,
    bytes: Vec<u8>,
}

impl<'a> InkBytes<'a> {
    fn new(hashes: &'a FaceHashes<'a>) -> Self {
        Self { hashes, bytes: b"ink 1\n".to_vec() }
    }
    fn digest(&self) -> String {
        let hash = blake3::hash(&self.bytes).to_hex();
        hash[..32].to_owned()
    }
    fn length(&mut self, length: Abs) {
        self.bytes.extend_from_slice(&hundredths(length));
    }
    fn point(&mut self, point: Point) {
        let ([a, b, c, d], [e, f, g, h]) = (hundredths(point.x), hundredths(point.y));
        self.bytes.extend_from_slice(&[a, b, c, d, e, f, g, h]);
    }
    fn ink(&mut self, ink: Ink) {
        let (kind, amount) = match ink {
            Ink::Black => (b'k', 100),
            Ink::Grey(black) => (b'k', black),
            Ink::Paper => (b'p', 0),
            Ink::Second => (b's', 100),
        };
        self.bytes.extend_from_slice(&[kind, amount]);
    }
    fn frame(&mut self, frame: &Frame, origin: Point) {
        for (at, item) in frame.items() {
            let at = origin + *at;
            match item {
                Item::Text(run) => self.text(run, at),
                Item::Shape(shape) => self.shape(shape, at),
                Item::Rect(rect, ink) => self.shape(&Shape::filled(*rect, *ink), at),
                Item::Image(image) => self.image(image, at),
                Item::Group(group) => self.frame(&group.frame, at),
                Item::Anchor(_) => {}
            }
        }
    }
    fn text(&mut self, run: &TextRun, at: Point) {
        let hash = self.hashes.get(run.face);
        self.bytes.push(b'T');
        self.bytes.extend_from_slice(hash);
        self.length(run.size);
        self.ink(run.ink);
        self.bytes.reserve(run.glyphs.len() * 10);
        for glyph in &run.glyphs {
            let ([i, j], place) = (glyph.id.to_le_bytes(), at + Point::new(glyph.x, glyph.y));
            let ([a, b, c, d], [e, f, g, h]) = (hundredths(place.x), hundredths(place.y));
            self.bytes.extend_from_slice(&[i, j, a, b, c, d, e, f, g, h]);
        }
    }
    fn shape(&mut self, shape: &Shape, at: Point) {
        self.bytes.push(b'S');
        if let Some(ink) = shape.fill {
            self.bytes.push(b'f');
            self.ink(ink);
        }
        if let Some(stroke) = shape.stroke {
            self.bytes.push(if stroke.round { b'r' } else { b'b' });
            self.ink(stroke.ink);
            self.length(stroke.width);
            if let Some((on, off)) = stroke.dash {
                self.bytes.push(b'd');
                self.length(on);
                self.length(off);
            }
        }
        for segment in &shape.path.segments {
            match *segment {
                Segment::Move(p) => {
                    self.bytes.push(b'M');
                    self.point(at + p);
                }
                Segment::Line(p) => {
                    self.bytes.push(b'L');
                    self.point(at + p);
                }
                Segment::Cubic(a, b, c) => {
                    self.bytes.push(b'C');
                    self.point(at + a);
                    self.point(at + b);
                    self.point(at + c);
                }
                Segment::Close => self.bytes.push(b'Z'),
            }
        }
    }
    fn image(&mut self, image: &Image, at: Point) {
        self.bytes.push(b'I');
        self.bytes.extend_from_slice(blake3::hash(&image.grey).as_bytes());
        self.bytes.extend_from_slice(&image.pixels.0.to_le_bytes());
        self.bytes.extend_from_slice(&image.pixels.1.to_le_bytes());
        self.point(at);
        self.length(image.size.width);
        self.length(image.size.height);
    }
}
