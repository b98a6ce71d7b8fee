//! The faces as the file carries them: which glyphs are used, their codes, widths and Unicode, and the subset programs.
//!
//! Takes the frames that are painted; gives a code for each glyph of each face. Codes are the glyph ids of the subset, in
//! the order of the original ids, so that equal use gives equal bytes. Sources: ISO 32000-1, 9.7 (composite fonts), 9.10.3
//! (ToUnicode).

use super::options::PdfError;
use super::stamps::Stamps;
use crate::diag::guarded;
use crate::font::{Face, FaceId, Fonts};
use crate::frame::{Frame, Glyph, Image, Item, TextRun};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::ops::Range;
use std::sync::Arc;

/// What the frames use: what each glyph says, by face and original glyph id, the first use in reading order deciding; and
/// the pictures by key, those whose bytes are not their pixels left out.
#[derive(Debug, Clone, Default)]
pub(super) struct Usage<'a> {
    faces: Vec<Vec<Option<Box<str>>>>,
    /// The pictures.
    pub(super) images: BTreeMap<Arc<str>, &'a Image>,
    /// The shapes that stand in many places.
    pub(super) stamps: Stamps,
}

impl<'a> Usage<'a> {
    /// The glyphs of some frames, in order.
    pub(super) fn of(frames: &[&'a Frame]) -> Self {
        frames
            .par_chunks(64)
            .map(|part| {
                let mut usage = Self::default();
                for frame in part {
                    usage.take(frame);
                }
                usage
            })
            .reduce(Self::default, Self::then)
    }
    fn take(&mut self, frame: &'a Frame) {
        for (_, item) in frame.items() {
            match item {
                Item::Text(run) => self.take_run(run),
                Item::Group(group) => self.take(&group.frame),
                Item::Image(image) => {
                    let (width, height) = image.pixels;
                    if u64::from(width) * u64::from(height) == image.grey.len() as u64 && !image.grey.is_empty() {
                        self.images.entry(image.key.clone()).or_insert(image);
                    }
                }
                Item::Stamp(shape) => self.stamps.take(shape),
                Item::Shape(_) | Item::Rect(..) | Item::Drawing(_) | Item::Anchor(_) => {}
            }
        }
    }
    fn take_run(&mut self, run: &TextRun) {
        let face = usize::from(run.face.index());
        if self.faces.len() <= face {
            self.faces.resize_with(face + 1, Vec::new);
        }
        let glyphs = &mut self.faces[face];
        // Nearly every run holds nothing but glyphs that have been seen.
        let is_known = |glyph: Glyph| matches!(glyphs.get(usize::from(glyph.id)), Some(Some(says)) if !says.is_empty());
        if run.glyphs.iter().all(is_known) {
            return;
        }
        for cluster in Clusters::of(run) {
            for glyph in cluster.glyphs() {
                let id = usize::from(glyph.id);
                if glyphs.len() <= id {
                    glyphs.resize_with(id + 1, || None);
                }
                if glyphs[id].as_ref().is_some_and(|known| !known.is_empty()) {
                    continue;
                }
                // A glyph that shares its cluster with others says nothing of its own.
                let says = if cluster.single().is_some() { cluster.text } else { "" };
                match &mut glyphs[id] {
                    Some(known) if known.is_empty() && !says.is_empty() => *known = says.into(),
                    Some(_) => {}
                    slot => *slot = Some(says.into()),
                }
            }
        }
    }
    fn then(mut self, later: Self) -> Self {
        for (key, image) in later.images {
            self.images.entry(key).or_insert(image);
        }
        self.stamps.then(later.stamps);
        if self.faces.len() < later.faces.len() {
            self.faces.resize_with(later.faces.len(), Vec::new);
        }
        for (mine, theirs) in self.faces.iter_mut().zip(later.faces) {
            if mine.len() < theirs.len() {
                mine.resize_with(theirs.len(), || None);
            }
            for (known, new) in mine.iter_mut().zip(theirs) {
                let worth = match (&*known, &new) {
                    (None, Some(_)) => true,
                    (Some(old), Some(new)) => old.is_empty() && !new.is_empty(),
                    _ => false,
                };
                if worth {
                    *known = new;
                }
            }
        }
        self
    }
}

/// Glyphs of a run that stand for one stretch of its text.
pub(super) struct Cluster<'a> {
    run: &'a TextRun,
    range: Range<usize>,
    /// What they say.
    pub(super) text: &'a str,
}

impl Cluster<'_> {
    /// The glyphs.
    pub(super) fn glyphs(&self) -> impl Iterator<Item = Glyph> + '_ {
        self.range.clone().filter_map(|index| self.run.glyphs.get(index))
    }
    /// Its glyph, if it has no other.
    pub(super) fn single(&self) -> Option<Glyph> {
        (self.range.len() == 1).then(|| self.run.glyphs.get(self.range.start)).flatten()
    }
}

/// The clusters of a run, left to right.
pub(super) struct Clusters<'a> {
    run: &'a TextRun,
    at: usize,
}

impl<'a> Clusters<'a> {
    /// The clusters of a run.
    pub(super) const fn of(run: &'a TextRun) -> Self {
        Self { run, at: 0 }
    }
}

impl<'a> Iterator for Clusters<'a> {
    type Item = Cluster<'a>;
    fn next(&mut self) -> Option<Cluster<'a>> {
        let run = self.run;
        let first = self.at;
        let start = run.glyphs.get(first)?.cluster;
        let next = loop {
            self.at += 1;
            match run.glyphs.get(self.at) {
                Some(glyph) if glyph.cluster == start => {}
                other => break other,
            }
        };
        let end = next.map_or(run.text.len(), |next| next.cluster as usize);
        Some(Cluster { run, range: first..self.at, text: run.text.get(start as usize..end).unwrap_or("") })
    }
}

/// One glyph as the file carries it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Coded {
    /// Its original id.
    pub(super) id: u16,
    /// What the ToUnicode map says of it.
    pub(super) says: Box<str>,
    /// Advance in whole thousandths of an em, as the file states it.
    pub(super) width: i32,
}

/// One face as the file carries it.
#[derive(Debug)]
pub(super) struct Embedded {
    /// The face.
    pub(super) face: FaceId,
    /// The name with its subset tag: `ABCDEF+Name`.
    pub(super) name: String,
    /// The glyphs by code; code 0 is `.notdef`.
    pub(super) glyphs: Vec<Coded>,
    codes: Vec<u16>,
    space: Option<u16>,
}

impl Embedded {
    /// The code of the word space, in faces for text.
    pub(super) const fn space(&self) -> Option<u16> {
        self.space
    }
    /// The code of a glyph; 0 for one that was not counted.
    pub(super) fn code(&self, glyph: u16) -> u16 {
        self.codes.get(usize::from(glyph)).copied().unwrap_or(0)
    }
    /// What is known of a code.
    pub(super) fn glyph(&self, code: u16) -> &Coded {
        &self.glyphs[usize::from(code)]
    }
    /// The subset program. Pages need the codes alone, so they are painted while programs are made.
    pub(super) fn program(&self, fonts: &Fonts) -> Result<Vec<u8>, PdfError> {
        let face = fonts.face(self.face);
        let mut remapper = subsetter::GlyphRemapper::new();
        for (code, glyph) in self.glyphs.iter().enumerate().skip(1) {
            let remapped = remapper.remap(glyph.id);
            debug_assert_eq!(usize::from(remapped), code, "codes are the ids of the subset");
        }
        let failed = |reason: String| PdfError::Font { face: face.name.clone(), reason };
        match guarded(|| subsetter::subset(face.data(), 0, &remapper)) {
            Some(program) => program.map_err(|error| failed(error.to_string())),
            None => Err(failed("it is damaged".to_owned())),
        }
    }
    /// The ToUnicode map (ISO 32000-1, 9.10.3).
    pub(super) fn to_unicode(&self) -> String {
        let mut map = String::from(
            "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n/CIDSystemInfo\n<< /Registry (Adobe)\n\
             /Ordering (UCS)\n/Supplement 0\n>> def\n/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n\
             1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n",
        );
        let coded: Vec<_> = self.glyphs.iter().enumerate().skip(1).collect();
        // At most 100 entries a block.
        for part in coded.chunks(100) {
            let _ = writeln!(map, "{} beginbfchar", part.len());
            for (code, glyph) in part {
                let _ = write!(map, "<{code:04X}> <");
                for unit in glyph.says.encode_utf16() {
                    let _ = write!(map, "{unit:04X}");
                }
                map.push_str(">\n");
            }
            map.push_str("endbfchar\n");
        }
        map.push_str("endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n");
        map
    }
}

/// All faces of one file.
#[derive(Debug)]
pub(super) struct Typeset {
    faces: Vec<Option<Embedded>>,
}

impl Typeset {
    /// Gives the glyphs of the used faces their codes; `named` is [`private_use`] of the music face.
    pub(super) fn new(usage: &Usage<'_>, named: &[Option<char>], fonts: &Fonts) -> Self {
        let face = |(index, glyphs): (usize, &Vec<Option<Box<str>>>)| {
            let id = FaceId::from_index(u16::try_from(index).ok()?);
            (!glyphs.iter().all(Option::is_none)).then(|| embed(id, fonts, named, glyphs))
        };
        Self { faces: usage.faces.iter().enumerate().map(face).collect() }
    }
    /// A face as the file carries it.
    pub(super) fn face(&self, face: FaceId) -> Option<&Embedded> {
        self.faces.get(usize::from(face.index())).and_then(Option::as_ref)
    }
    /// The faces in order.
    pub(super) fn faces(&self) -> impl Iterator<Item = &Embedded> {
        self.faces.iter().flatten()
    }
}

fn embed(id: FaceId, fonts: &Fonts, named: &[Option<char>], used: &[Option<Box<str>>]) -> Embedded {
    let face = fonts.face(id);
    let is_music = id == fonts.music_face();
    let named = if is_music { named } else { &[] };
    // A face for text always has its space, which parts words at the ends of lines.
    let space = if is_music { None } else { face.glyph(' ').filter(|glyph| *glyph > 0) };
    let mut used = used.to_vec();
    if let Some(space) = space.map(usize::from) {
        if used.len() <= space {
            used.resize(space + 1, None);
        }
        used[space] = Some(" ".into());
    }
    let mut codes = vec![0; used.len()];
    let mut glyphs = vec![coded(face, 0, "\u{FFFD}".into())];
    for (glyph, says) in used.iter().enumerate().skip(1) {
        let (Some(says), Ok(glyph)) = (says, u16::try_from(glyph)) else { continue };
        let Ok(code) = u16::try_from(glyphs.len()) else { continue };
        codes[usize::from(glyph)] = code;
        // Music glyphs keep their SMuFL code point, whatever word stands for one of them in a text: that word is said by
        // the page. Fingers are the exception: each says its number, and there are hundreds on a page. A glyph with nothing
        // to say lies in the private use area, out of the way of searches.
        let smufl = named.get(usize::from(glyph)).copied().flatten();
        let says: Box<str> = match smufl {
            Some(finger @ FINGER_0..=FINGER_5) => (u32::from(finger) - u32::from(FINGER_0)).to_string().into(),
            Some(character) => character.to_string().into(),
            None if says.is_empty() => private(code).to_string().into(),
            None => says.clone(),
        };
        glyphs.push(coded(face, glyph, says));
    }
    let name = format!("{}+{}", subset_tag(&glyphs), face.name);
    let space = space.map(|space| codes[usize::from(space)]);
    Embedded { face: id, name, glyphs, codes, space }
}

fn coded(face: &Face, id: u16, says: Box<str>) -> Coded {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "an advance in thousandths of an em, by the font's 16-bit units"
    )]
    let width = (face.advance(id).raw() * 1000.0).round() as i32;
    Coded { id, says, width }
}

/// SMuFL's digits for fingers, 0 to 5.
const FINGER_0: char = '\u{ED10}';
const FINGER_5: char = '\u{ED15}';

/// The code point of each glyph of the music face that lies where SMuFL puts its signs (U+E000 to U+F8FF).
pub(super) fn private_use(face: &Face) -> Vec<Option<char>> {
    let mut named = Vec::new();
    for character in '\u{E000}'..='\u{F8FF}' {
        if let Some(glyph) = face.glyph(character) {
            let glyph = usize::from(glyph);
            if named.len() <= glyph {
                named.resize(glyph + 1, None);
            }
            let slot: &mut Option<char> = &mut named[glyph];
            slot.get_or_insert(character);
        }
    }
    named
}

/// A character of the supplementary private use area A for a code.
fn private(code: u16) -> char {
    char::from_u32(0xF_0000 + u32::from(code.min(0xFFFD))).unwrap_or('\u{F0000}')
}

/// Six capitals drawn from the glyphs of the subset (ISO 32000-1, 9.6.4).
fn subset_tag(glyphs: &[Coded]) -> String {
    let mut hasher = blake3::Hasher::new();
    for glyph in glyphs {
        hasher.update(&glyph.id.to_le_bytes());
    }
    hasher.finalize().as_bytes()[..6].iter().map(|byte| char::from(b'A' + byte % 26)).collect()
}
