//! Words shaped once and kept: kerning, ligatures, and a face for every character.
//!
//! Takes a word and a font; gives glyphs in ems. Characters that the font lacks are looked for in the other families, then in
//! the music font (accidentals); what no font has becomes a visible box. Knows no lines.

use crate::font::{Cut, FaceChoice, FaceId, Features, Fonts, ShapedGlyph, TextFamily, Weight};
use crate::geom::{Abs, Em};
use crate::style::Family;
use hyphenation::Standard;
use std::collections::HashMap;
use std::ops::Range;
use unicode_segmentation::UnicodeSegmentation;

/// A face with its features and what it falls back to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub(super) struct Font {
    pub family: Family,
    pub weight: Weight,
    pub italic: bool,
    pub cut: Cut,
    pub old_style: bool,
    pub tabular: bool,
    /// Whether letters of one width are set a little smaller than the text around them.
    pub reduced: bool,
}

impl Font {
    fn face(&self, fonts: &Fonts, family: Family) -> FaceId {
        let family = match family {
            Family::Serif => TextFamily::Serif,
            Family::Sans => TextFamily::Sans,
            Family::Legible => TextFamily::Legible,
            Family::Mono => TextFamily::Mono,
            Family::Own => TextFamily::Own,
        };
        fonts.text(FaceChoice { family, weight: self.weight, italic: self.italic, cut: self.cut })
    }
    /// Size against the text size: letters of one width look larger than letters of a text.
    const fn scale(&self) -> f64 {
        if matches!(self.family, Family::Mono) && self.reduced { MONO_SCALE } else { 1.0 }
    }
    const fn features(&self) -> Features {
        Features { old_style: self.old_style, tabular: self.tabular, small_capitals: false }
    }
    /// For a word: figures beside capitals are as high as they, or the nought of `CC0` would be read as a small letter.
    fn features_in(&self, word: &str) -> Features {
        let mut features = self.features();
        features.old_style &= !word.contains(char::is_uppercase);
        features
    }
}

/// The optical cut for a size: small text up to 9 points, display from 18 (our choice, after the names of the cuts).
pub(super) fn cut_for(size: Abs) -> Cut {
    match size.to_pt() {
        pt if pt <= 9.0 => Cut::SmallText,
        pt if pt >= 18.0 => Cut::Display,
        _ => Cut::Text,
    }
}

/// Letters of one width against the text around them: their small letters are then as high as the serif's (0.486 em and 0.475
/// em; at full size they would stand out, being wider; our choice).
pub(super) const MONO_SCALE: f64 = 0.9;

/// Accidentals of the music font against the text size. Its sharp is 0.70 em high from -0.35, its flat 0.61 em from -0.18
/// (ink of the carried font, which a check outside the program reads); at this share and with these raises a sharp stands
/// a little over a capital at both ends and a flat stands on the baseline, as a note's name wants it (our choice).
const ACCIDENTAL_SCALE: f64 = 1.2;
const SHARP_RAISE: Em = Em::em(0.33);
const FLAT_RAISE: Em = Em::em(0.2);
/// White on either side of an accidental, whose glyphs have none of their own.
const ACCIDENTAL_AIR: Em = Em::em(0.03);
/// Width of the box for a character that no font has, its lines and its height.
pub(super) const MISSING_WIDTH: Em = Em::em(0.6);

/// A stretch of a word in one face.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    /// The face; `None` for a box.
    pub face: Option<FaceId>,
    /// Size against the text size.
    pub scale: f64,
    /// Its bytes of the word.
    pub range: Range<usize>,
    /// Glyphs, in ems of the text size; clusters count from the word's start.
    pub glyphs: Vec<ShapedGlyph>,
}

/// A shaped word.
#[derive(Debug, Clone)]
pub(super) struct Word {
    pub text: Box<str>,
    pub pieces: Vec<Piece>,
    pub width: Em,
    /// Where it may be divided, with the width of the part before, as shaped in the whole word.
    pub divisions: Vec<(usize, Em)>,
    /// Characters that no font has, with their offsets.
    pub missing: Vec<(usize, char)>,
}

impl Word {
    /// Width of the part before a byte offset, as shaped in the whole word.
    pub fn width_to(&self, offset: usize) -> Em {
        let glyphs = self.pieces.iter().flat_map(|piece| &piece.glyphs);
        glyphs.filter(|glyph| (glyph.cluster as usize) < offset).map(|glyph| glyph.advance).sum()
    }
    /// Advance of its last glyph, for punctuation that hangs.
    pub fn last_advance(&self) -> Em {
        self.pieces.last().and_then(|piece| piece.glyphs.last()).map_or(Em::ZERO, |glyph| glyph.advance)
    }
    /// Advance of its first glyph.
    pub fn first_advance(&self) -> Em {
        self.pieces.first().and_then(|piece| piece.glyphs.first()).map_or(Em::ZERO, |glyph| glyph.advance)
    }
}

/// A word in [`Words`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct WordId(u32);

/// All words shaped so far.
#[derive(Debug)]
pub(super) struct Words<'a> {
    fonts: &'a Fonts,
    patterns: Option<&'static Standard>,
    kept: Vec<Word>,
    by_font: Vec<FontWords>,
    /// The space's glyph in each face, by index.
    spaces: Vec<Option<u16>>,
}

/// The words of one font, and what is asked of it at every word.
#[derive(Debug)]
struct FontWords {
    font: Font,
    face: FaceId,
    space: Em,
    hyphen: Em,
    ids: HashMap<Box<str>, WordId>,
}

impl<'a> Words<'a> {
    pub fn new(fonts: &'a Fonts, patterns: Option<&'static Standard>) -> Self {
        let spaces = fonts.faces().map(|(_, face)| face.glyph(' ')).collect();
        Self { fonts, patterns, kept: Vec::new(), by_font: Vec::new(), spaces }
    }
    pub fn get(&self, id: WordId) -> &Word {
        &self.kept[id.0 as usize]
    }
    /// The word in a font, shaped now or before.
    pub fn word(&mut self, font: Font, text: &str) -> WordId {
        let nth = self.font(font);
        if let Some(id) = self.by_font[nth].ids.get(text) {
            return *id;
        }
        let id = WordId(u32::try_from(self.kept.len()).unwrap_or(u32::MAX));
        let word = self.shape(font, text);
        self.kept.push(word);
        self.by_font[nth].ids.insert(text.into(), id);
        id
    }
    /// Makes a font known; spaces and hyphens may be asked of it then.
    pub fn font(&mut self, font: Font) -> usize {
        if let Some(nth) = self.by_font.iter().position(|known| known.font == font) {
            return nth;
        }
        let face = font.face(self.fonts, font.family);
        let space = self.space_of(face).map_or(Em::em(0.25), |glyph| self.fonts.face(face).advance(glyph));
        let space = space * font.scale();
        let hyphen = self.fonts.width(face, "-", font.features()) * font.scale();
        self.by_font.push(FontWords { font, face, space, hyphen, ids: HashMap::new() });
        self.by_font.len() - 1
    }
    fn known(&self, font: Font) -> Option<&FontWords> {
        self.by_font.iter().find(|known| known.font == font)
    }
    /// Width of a space in a font that has set a word.
    pub fn space(&self, font: Font) -> Em {
        self.known(font).map_or(Em::em(0.25), |known| known.space)
    }
    /// Width of a hyphen in a font that has set a word.
    pub fn hyphen(&self, font: Font) -> Em {
        self.known(font).map_or(Em::em(0.33), |known| known.hyphen)
    }
    /// The size of a font against the text size.
    pub fn scale(&self, font: Font) -> f64 {
        font.scale()
    }
    /// The face of a font's own characters.
    pub fn face(&self, font: Font) -> FaceId {
        self.known(font).map_or_else(|| font.face(self.fonts, font.family), |known| known.face)
    }
    /// The space's glyph in a face.
    pub fn space_of(&self, face: FaceId) -> Option<u16> {
        self.spaces.get(usize::from(face.index())).copied().flatten()
    }

    fn shape(&self, font: Font, text: &str) -> Word {
        let mut word =
            Word { text: text.into(), pieces: Vec::new(), width: Em::ZERO, divisions: Vec::new(), missing: Vec::new() };
        for (range, face) in self.faces(font, text) {
            let piece = match face {
                None => {
                    let offset = range.start;
                    word.missing.extend(text[range.clone()].char_indices().map(|(at, c)| (offset + at, c)));
                    let cluster = u32::try_from(offset).unwrap_or(u32::MAX);
                    let glyph = ShapedGlyph { id: 0, advance: MISSING_WIDTH, dx: Em::ZERO, dy: Em::ZERO, cluster };
                    Piece { face: None, scale: 1.0, range, glyphs: vec![glyph] }
                }
                Some(face) => self.piece(face, font, text, range),
            };
            word.width += piece.glyphs.iter().map(|glyph| glyph.advance).sum();
            word.pieces.push(piece);
        }
        if let Some(patterns) = self.patterns {
            let offsets = super::hyphen::divisions(text, patterns);
            word.divisions = offsets.into_iter().map(|offset| (offset, word.width_to(offset))).collect();
        }
        word
    }

    fn piece(&self, face: FaceId, font: Font, text: &str, range: Range<usize>) -> Piece {
        let music = face == self.fonts.music_face();
        let mut glyphs = self.fonts.shape(face, &text[range.clone()], font.features_in(text));
        let start = u32::try_from(range.start).unwrap_or(u32::MAX);
        let scale = if music { ACCIDENTAL_SCALE } else { font.scale() };
        for glyph in &mut glyphs {
            glyph.cluster = glyph.cluster.saturating_add(start);
            if !music {
                (glyph.advance, glyph.dx, glyph.dy) = (glyph.advance * scale, glyph.dx * scale, glyph.dy * scale);
            }
            if music {
                let flat = text.get(glyph.cluster as usize..).is_some_and(|rest| rest.starts_with(['♭', '𝄫']));
                glyph.advance = glyph.advance * ACCIDENTAL_SCALE + ACCIDENTAL_AIR * 2.0;
                glyph.dx = glyph.dx * ACCIDENTAL_SCALE + ACCIDENTAL_AIR;
                glyph.dy = glyph.dy * ACCIDENTAL_SCALE + if flat { FLAT_RAISE } else { SHARP_RAISE };
            }
        }
        Piece { face: Some(face), scale, range, glyphs }
    }

    /// Stretches of one face, in order; `None` where no font has a character.
    fn faces(&self, font: Font, text: &str) -> Vec<(Range<usize>, Option<FaceId>)> {
        let own = font.face(self.fonts, font.family);
        // Every carried text face has all of ASCII; one of the author's may lack signs of it.
        if text.is_ascii() && (font.family != Family::Own || self.has(own, text)) {
            return vec![(0..text.len(), Some(own))];
        }
        let plain = Font { weight: Weight::Regular, italic: false, ..font };
        let mut chain = vec![own];
        for (font, family) in
            [(font, Family::Serif), (font, Family::Sans), (font, Family::Legible), (plain, Family::Serif)]
        {
            let face = font.face(self.fonts, family);
            if !chain.contains(&face) {
                chain.push(face);
            }
        }
        chain.push(self.fonts.music_face());
        let mut found: Vec<(Range<usize>, Option<FaceId>)> = Vec::new();
        for (at, cluster) in text.grapheme_indices(true) {
            let face = chain.iter().copied().find(|face| self.has(*face, cluster));
            match found.last_mut() {
                Some((range, last)) if *last == face && face.is_some() => range.end = at + cluster.len(),
                _ => found.push((at..at + cluster.len(), face)),
            }
        }
        found
    }

    /// Whether a face has all characters of a cluster; those that show nothing need no glyph.
    fn has(&self, face: FaceId, cluster: &str) -> bool {
        let face = self.fonts.face(face);
        cluster.chars().all(|c| {
            matches!(c, '\u{ad}' | '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}')
                || face.glyph(c).is_some()
        })
    }
}
