//! Digests of what is printed: one a page, one a bar.
//!
//! Over the ink inside the bleed alone: original glyph ids, hashes of the font files, places to 0.01 pt, paths, inks.
//! Never marks, slug, subset ids, tags or the bytes of a file, so that another machine or another way of writing the file
//! changes nothing. The second ink of a file for reading is black, as it is painted. Ink is hashed once: a block or bar by itself, and what holds it by its place and digest. A change of what
//! is hashed here needs a new [`DIGEST_VERSION`].

use super::operand::push_hex;
use crate::font::{FaceId, Fonts};
use crate::frame::{Area, Drawing, Frame, Group, Image, Ink, Item, Mark, Rule, Shape, Stroke, TextRun};
use crate::geom::{Abs, Point, Rect, Segment};
use crate::page::{Document, Manifest, PageRecord};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, OnceLock};
use twox_hash::XxHash3_128;

/// The version of the digests written here; records of another version cannot be compared.
pub const DIGEST_VERSION: u32 = 5;

/// The document's record with all digests filled in: 32 hexadecimal digits each. Bars are found by their subject,
/// `tune:ID bar:LABEL`, on the page that their record names; a bar without ink keeps an empty digest.
pub fn record(document: &Document, fonts: &Fonts) -> Manifest {
    Inks::new(document, fonts).record()
}

/// The inks of a document's pages, each hashed when it is first asked for: a painter asks while it has the page at hand.
pub(super) struct Inks<'a> {
    document: &'a Document,
    hashes: FaceHashes<'a>,
    pages: Vec<OnceLock<PageInk>>,
}

impl<'a> Inks<'a> {
    /// Nothing hashed yet.
    pub(super) fn new(document: &'a Document, fonts: &'a Fonts) -> Self {
        let pages = document.pages.iter().map(|_| OnceLock::new()).collect();
        Self { document, hashes: FaceHashes::new(document, fonts), pages }
    }
    /// Hashes the page at an index, if that has not been done.
    pub(super) fn take(&self, index: usize) {
        if let (Some(ink), Some(page)) = (self.pages.get(index), self.document.pages.get(index)) {
            ink.get_or_init(|| PageInk::of(&page.frame, &self.hashes));
        }
    }
    /// The record; pages that no one has asked for are hashed now.
    pub(super) fn record(self) -> Manifest {
        let document = self.document;
        (0..self.pages.len()).into_par_iter().for_each(|index| self.take(index));
        let pages: Vec<PageInk> = self.pages.into_iter().filter_map(OnceLock::into_inner).collect();
        let mut bars: BTreeMap<(&str, &str), &str> = BTreeMap::new();
        for (page, ink) in document.pages.iter().zip(&pages) {
            for (subject, digest) in &ink.subjects {
                bars.entry((page.label.as_str(), subject)).or_insert(digest);
            }
        }
        let mut manifest = document.manifest.clone();
        let mut subject = String::new();
        for bar in &mut manifest.bars {
            subject.clear();
            for part in ["tune:", &bar.tune, " bar:", &bar.bar] {
                subject.push_str(part);
            }
            let digest = bars.get(&(bar.page.as_str(), subject.as_str()));
            bar.digest = digest.map_or_else(String::new, |digest| (*digest).into());
        }
        manifest.identity = document.identity.clone();
        manifest.digest_version = DIGEST_VERSION;
        manifest.blocks = pages.iter().map(|page| page.blocks.clone()).collect();
        manifest.pages = document
            .pages
            .iter()
            .zip(pages)
            .map(|(page, ink)| PageRecord { label: page.label.clone(), digest: ink.digest })
            .collect();
        manifest
    }
}

/// Hashes of the font files, made when first asked for; and whether the second ink is one.
struct FaceHashes<'a> {
    /// A file for reading has black in its place (`PdfOptions::press_spot`).
    has_second: bool,
    fonts: &'a Fonts,
    known: Vec<OnceLock<Digest>>,
}

impl<'a> FaceHashes<'a> {
    fn new(document: &Document, fonts: &'a Fonts) -> Self {
        let has_second = document.manifest.laying.iter().any(|(key, value)| key == "for" && value == "press");
        Self { has_second, fonts, known: fonts.faces().map(|_| OnceLock::new()).collect() }
    }
    fn get(&self, face: FaceId) -> &Digest {
        self.known[usize::from(face.index())].get_or_init(|| digest_of(self.fonts.face(face).data()))
    }
}

/// The digests of one page.
struct PageInk {
    digest: String,
    subjects: Vec<(Arc<str>, String)>,
    blocks: String,
}

impl PageInk {
    fn of(frame: &Frame, hashes: &FaceHashes<'_>) -> Self {
        let mut walk = Walk::new(hashes);
        let digest = walk.page(frame);
        let subjects = walk.subjects.into_iter().map(|(subject, (_, ink))| (subject, hex(&digest_of(&ink)))).collect();
        let blocks =
            walk.blocks.iter().fold(String::with_capacity(walk.blocks.len() * BLOCK), |mut all, (_, digest)| {
                all.push_str(&hex(digest)[..BLOCK]);
                all
            });
        Self { digest: hex(&digest), subjects, blocks }
    }
}

/// XXH3 of 128 bits, which tells inks apart; it guards against nobody.
type Digest = [u8; 16];

fn digest_of(ink: &[u8]) -> Digest {
    XxHash3_128::oneshot(ink).to_be_bytes()
}

/// 32 hexadecimal digits.
fn hex(digest: &Digest) -> String {
    let mut digits = Vec::new();
    push_hex(&mut digits, digest);
    digits.make_ascii_lowercase();
    String::from_utf8(digits).expect("hexadecimal digits are ASCII")
}

/// Hexadecimal digits of a block's digest in the record: enough to tell the blocks of one book apart, and no more, since
/// there are many.
const BLOCK: usize = 8;

/// What a walk over a page gathers.
struct Walk<'a> {
    hashes: &'a FaceHashes<'a>,
    /// Places and digests of the groups about each subject, places counted from where it first stands, so that a bar that
    /// only moved stays the same.
    subjects: BTreeMap<Arc<str>, (Point, Vec<u8>)>,
    /// The blocks with their areas: the outermost groups with ink of their own, which are lines of text and systems of music;
    /// running heads and folios are none. A block that only moved stays the same.
    blocks: Vec<(Rect, Digest)>,
    /// Digests of the shapes that stand in many places, by where they are held.
    stamps: BTreeMap<usize, Digest>,
}

/// Where a walk stands.
#[derive(Debug, Clone, Copy)]
struct Stand {
    /// From the corner of the block or bar that is being hashed.
    at: Point,
    /// From the corner of the page.
    on_page: Point,
    /// Whether what is found here makes no block of its own.
    inside: bool,
}

impl<'a> Walk<'a> {
    const fn new(hashes: &'a FaceHashes<'a>) -> Self {
        Self { hashes, subjects: BTreeMap::new(), blocks: Vec::new(), stamps: BTreeMap::new() }
    }
    fn page(&mut self, frame: &Frame) -> Digest {
        let mut page = InkBytes::new(self.hashes);
        page.length(frame.size.width);
        page.length(frame.size.height);
        self.frame(frame, Stand { at: Point::default(), on_page: Point::default(), inside: false }, &mut page);
        digest_of(&page.bytes)
    }
    fn frame(&mut self, frame: &Frame, stand: Stand, ink: &mut InkBytes<'a>) {
        for (at, item) in frame.items() {
            let here = stand.at + *at;
            match item {
                Item::Text(run) => ink.text(run, here),
                Item::Shape(shape) => ink.shape(shape, here),
                Item::Stamp(shape) => {
                    let digest = self.stamps.entry(Arc::as_ptr(shape).addr()).or_insert_with(|| {
                        let mut own = InkBytes::new(self.hashes);
                        own.shape(shape, Point::default());
                        digest_of(&own.bytes)
                    });
                    ink.held(b'P', here, digest);
                }
                Item::Rect(rect, fill) => ink.rect(rect, *fill, here),
                Item::Image(image) => ink.image(image, here),
                Item::Drawing(drawing) => ink.drawing(drawing, here),
                Item::Group(group) => {
                    self.group(group, Stand { at: here, on_page: stand.on_page + *at, ..stand }, ink);
                }
                Item::Anchor(_) => {}
            }
        }
    }
    fn group(&mut self, group: &Group, stand: Stand, ink: &mut InkBytes<'a>) {
        let is_ornament = group.tag.as_ref().is_some_and(|tag| tag.role.is_aside());
        let inside = stand.inside || is_ornament;
        let is_ink = |item: &Item| !matches!(item, Item::Group(_) | Item::Anchor(_));
        let is_block = !inside && group.frame.items().iter().any(|(_, item)| is_ink(item));
        if !is_block && group.subject.is_none() {
            return self.frame(&group.frame, Stand { inside, ..stand }, ink);
        }
        let mut own = InkBytes::new(self.hashes);
        self.frame(&group.frame, Stand { at: Point::default(), inside: inside || is_block, ..stand }, &mut own);
        let digest = digest_of(&own.bytes);
        if is_block {
            let size = group.frame.size;
            let corner = Point::new(stand.on_page.x + size.width, stand.on_page.y + size.height);
            self.blocks.push((Rect::new(stand.on_page, corner), digest));
        }
        if let Some(subject) = &group.subject {
            let (start, known) = self.subjects.entry(subject.0.clone()).or_insert_with(|| (stand.on_page, Vec::new()));
            push_point(known, stand.on_page - *start);
            known.extend_from_slice(&digest);
        }
        ink.held(b'G', stand.at, &digest);
    }
}

/// The areas of the blocks, page by page, that are on no page of a printed file. Nothing where its record has no blocks.
pub fn changed_blocks(document: &Document, printed: &Manifest, fonts: &Fonts) -> Vec<Vec<Rect>> {
    let hashes = FaceHashes::new(document, fonts);
    let known: BTreeSet<&str> = printed
        .blocks
        .iter()
        .flat_map(|page| page.as_bytes().chunks_exact(BLOCK))
        .filter_map(|digest| std::str::from_utf8(digest).ok())
        .collect();
    document
        .pages
        .par_iter()
        .map(|page| {
            let mut walk = Walk::new(&hashes);
            walk.page(&page.frame);
            let is_new = |digest: &Digest| !known.is_empty() && !known.contains(&hex(digest)[..BLOCK]);
            walk.blocks.into_iter().filter(|(_, digest)| is_new(digest)).map(|(area, _)| area).collect()
        })
        .collect()
}

/// A length in hundredths of a point; what is no number is refused when the page is painted.
#[inline]
fn hundredths(length: Abs) -> [u8; 4] {
    #[expect(clippy::cast_possible_truncation, reason = "saturates, and no page is that large")]
    let hundredths = (length.to_pt() * 100.0 + 0.5_f64.copysign(length.to_pt())) as i32;
    hundredths.to_le_bytes()
}

fn ink_bytes(ink: Ink) -> [u8; 2] {
    let (kind, amount) = match ink {
        Ink::Black => (b'k', 100),
        Ink::Grey(black) => (b'k', black),
        Ink::Paper => (b'p', 0),
        Ink::Second => (b's', 100),
    };
    [kind, amount]
}

#[inline]
fn push_point(out: &mut Vec<u8>, point: Point) {
    let ([a, b, c, d], [e, f, g, h]) = (hundredths(point.x), hundredths(point.y));
    out.extend_from_slice(&[a, b, c, d, e, f, g, h]);
}

/// Room for the ink of most bars, so that theirs does not grow step by step.
const ROOM: usize = 2048;

/// Ink as bytes, in the form of digest version 5.
struct InkBytes<'a> {
    hashes: &'a FaceHashes<'a>,
    bytes: Vec<u8>,
    /// The look of the last glyphs, which is not said again.
    look: Option<(FaceId, Abs, Ink)>,
}

impl<'a> InkBytes<'a> {
    fn new(hashes: &'a FaceHashes<'a>) -> Self {
        let mut bytes = Vec::with_capacity(ROOM);
        bytes.extend_from_slice(b"ink 5\n");
        Self { hashes, bytes, look: None }
    }
    fn length(&mut self, length: Abs) {
        self.bytes.extend_from_slice(&hundredths(length));
    }
    fn point(&mut self, point: Point) {
        push_point(&mut self.bytes, point);
    }
    fn ink(&mut self, ink: Ink) {
        self.bytes.extend_from_slice(&ink_bytes(self.printed(ink)));
    }
    /// An ink as this file has it.
    fn printed(&self, ink: Ink) -> Ink {
        if ink == Ink::Second && !self.hashes.has_second { Ink::Black } else { ink }
    }
    /// What is hashed already, at a place.
    fn held(&mut self, kind: u8, at: Point, digest: &Digest) {
        self.bytes.push(kind);
        self.point(at);
        self.bytes.extend_from_slice(digest);
    }
    fn text(&mut self, run: &TextRun, at: Point) {
        let look = (run.face, run.size, self.printed(run.ink));
        if self.look != Some(look) {
            self.look = Some(look);
            self.bytes.push(b'T');
            self.bytes.extend_from_slice(self.hashes.get(run.face));
            self.length(run.size);
            self.ink(run.ink);
        }
        let row = run.glyphs.row();
        self.bytes.reserve(row.glyphs().len() * 11);
        for (index, glyph) in row.glyphs().iter().enumerate() {
            let place = at + Point::new(Abs::pt(f64::from(glyph.x)), row.lift(index));
            let ([i, j], [a, b, c, d], [e, f, g, h]) =
                (glyph.id.to_le_bytes(), hundredths(place.x), hundredths(place.y));
            self.bytes.extend_from_slice(&[b'g', i, j, a, b, c, d, e, f, g, h]);
        }
    }
    fn shape(&mut self, shape: &Shape, at: Point) {
        self.bytes.push(b'S');
        if let Some(ink) = shape.fill {
            self.bytes.push(b'f');
            self.ink(ink);
        }
        if let Some(stroke) = shape.stroke {
            self.stroke(&stroke);
        }
        self.segments(&shape.path.segments, at);
    }
    fn stroke(&mut self, stroke: &Stroke) {
        self.bytes.push(if stroke.round { b'r' } else { b'b' });
        self.ink(stroke.ink);
        self.length(stroke.width);
        if let Some((on, off)) = stroke.dash {
            self.bytes.push(b'd');
            self.length(on);
            self.length(off);
        }
    }
    fn drawing(&mut self, drawing: &Drawing, at: Point) {
        for layer in &drawing.layers {
            self.bytes.push(b'D');
            for clip in &layer.clips {
                self.area(clip, at);
            }
            for mark in &layer.marks {
                match mark {
                    Mark::Fill(area, ink) => {
                        self.bytes.extend_from_slice(b"Sf");
                        self.ink(*ink);
                        self.area(area, at);
                    }
                    Mark::Stroke(path, stroke) => {
                        self.bytes.push(b'S');
                        self.stroke(stroke);
                        self.segments(&path.segments, at);
                    }
                }
            }
        }
    }
    fn area(&mut self, area: &Area, at: Point) {
        self.bytes.push(if area.rule == Rule::EvenOdd { b'e' } else { b'n' });
        self.segments(&area.path.segments, at);
    }
    fn rect(&mut self, rect: &Rect, fill: Ink, at: Point) {
        self.bytes.push(b'R');
        self.ink(fill);
        self.point(at + rect.min);
        self.point(at + rect.max);
    }
    fn segments(&mut self, segments: &[Segment], at: Point) {
        for segment in segments {
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
        self.bytes.extend_from_slice(&digest_of(&image.grey));
        self.bytes.extend_from_slice(&image.pixels.0.to_le_bytes());
        self.bytes.extend_from_slice(&image.pixels.1.to_le_bytes());
        self.point(at);
        self.length(image.size.width);
        self.length(image.size.height);
    }
}
