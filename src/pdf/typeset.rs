//! The faces as the file carries them: which glyphs are used, their codes, widths and Unicode, and the subset programs.
//!
//! Takes what the painted frames use; gives a code for each glyph of each face. Codes are the glyph ids of the subset, in
//! the order of the original ids, so that equal use gives equal bytes. Sources: ISO 32000-1, 9.7 (composite fonts), 9.10.3
//! (ToUnicode).

use super::options::PdfError;
use crate::diag::guarded;
use crate::font::{Face, FaceId, Fonts};
use crate::frame::Uses;
use std::fmt::Write as _;
use twox_hash::XxHash3_128;

/// What is known of a glyph, by its original id.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Known {
    /// Its code; 0 for one that was not counted.
    pub(super) code: u16,
    /// Advance in whole thousandths of an em, as the file states it.
    pub(super) width: i32,
    /// What the ToUnicode map says of it, as [`short`] has it.
    says: u64,
}

impl Known {
    /// Whether the map says a text, which is not empty.
    #[inline]
    pub(super) fn says(&self, text: &[u8]) -> bool {
        self.says != 0 && self.says == short(text)
    }
}

/// The bytes of a text and how many they are as a number; nought for more than seven, or none.
#[inline]
fn short(text: &[u8]) -> u64 {
    match text {
        [byte] => 1 << 8 | u64::from(*byte),
        _ if text.len() > 7 => 0,
        _ => text.iter().fold(text.len() as u64, |all, byte| all << 8 | u64::from(*byte)),
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

impl Coded {
    fn known(&self, code: u16) -> Known {
        Known { code, width: self.width, says: short(self.says.as_bytes()) }
    }
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
    known: Vec<Known>,
    space: Option<u16>,
}

impl Embedded {
    /// The code of the word space, in faces for text.
    pub(super) const fn space(&self) -> Option<u16> {
        self.space
    }
    /// What is known of a glyph by its original id; code 0 for one that was not counted.
    #[inline]
    pub(super) fn known(&self, glyph: u16) -> Known {
        self.known.get(usize::from(glyph)).copied().unwrap_or(self.known[0])
    }
    /// Advance of a code in whole thousandths of an em.
    pub(super) fn width(&self, code: u16) -> i32 {
        self.glyphs[usize::from(code)].width
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
    pub(super) fn new(uses: &Uses, named: &[Option<char>], fonts: &Fonts) -> Self {
        let face = |(index, glyphs): (usize, &Vec<Option<Box<str>>>)| {
            let id = FaceId::from_index(u16::try_from(index).ok()?);
            (!glyphs.iter().all(Option::is_none)).then(|| embed(id, fonts, named, glyphs))
        };
        Self { faces: uses.faces().iter().enumerate().map(face).collect() }
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
    let none = coded(face, 0, "\u{FFFD}".into());
    let mut known = vec![none.known(0); used.len().max(1)];
    let mut glyphs = vec![none];
    for (glyph, says) in used.iter().enumerate().skip(1) {
        let (Some(says), Ok(glyph)) = (says, u16::try_from(glyph)) else { continue };
        let Ok(code) = u16::try_from(glyphs.len()) else { continue };
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
        let coded = coded(face, glyph, says);
        known[usize::from(glyph)] = coded.known(code);
        glyphs.push(coded);
    }
    let name = format!("{}+{}", subset_tag(&glyphs), face.name);
    let space = space.map(|space| known[usize::from(space)].code);
    Embedded { face: id, name, glyphs, known, space }
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
    let ids: Vec<u8> = glyphs.iter().flat_map(|glyph| glyph.id.to_le_bytes()).collect();
    XxHash3_128::oneshot(&ids).to_be_bytes()[..6].iter().map(|byte| char::from(b'A' + byte % 26)).collect()
}
