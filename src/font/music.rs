//! The music font by SMuFL names: glyphs, boxes, advances, anchors, engraving defaults.
//!
//! Source: *Standard Music Font Layout* (W3C Music Notation Community Group) and the metadata of the carried reference font;
//! `fonts/music/smufl.tsv` is a table of the glyphs we name, taken from that metadata, which a check outside the program
//! compares with the font itself.

use super::face::Face;
use crate::geom::{Point, Rect, Sp, Space};

/// Points that SMuFL defines on glyphs, by its names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Anchor {
    /// Bottom right corner of an up-stem.
    StemUpSE,
    /// Top left corner of a down-stem.
    StemDownNW,
    /// Where an up-stem's end meets a flag.
    StemUpNW,
    /// Where a down-stem's end meets a flag.
    StemDownSW,
    /// Inner corner of the empty area at the upper right.
    CutOutNE,
    /// At the lower right.
    CutOutSE,
    /// At the lower left.
    CutOutSW,
    /// At the upper left.
    CutOutNW,
    /// End of a grace note's slash.
    SlashSW,
    /// End of a grace note's slash.
    SlashNE,
    /// Horizontal optical centre.
    OpticalCenter,
}

impl Anchor {
    const NAMES: [(&'static str, Self); 11] = [
        ("stemUpSE", Self::StemUpSE),
        ("stemDownNW", Self::StemDownNW),
        ("stemUpNW", Self::StemUpNW),
        ("stemDownSW", Self::StemDownSW),
        ("cutOutNE", Self::CutOutNE),
        ("cutOutSE", Self::CutOutSE),
        ("cutOutSW", Self::CutOutSW),
        ("cutOutNW", Self::CutOutNW),
        ("graceNoteSlashSW", Self::SlashSW),
        ("graceNoteSlashNE", Self::SlashNE),
        ("opticalCenter", Self::OpticalCenter),
    ];
}

/// A glyph of the music font.
#[derive(Debug, Clone, PartialEq)]
pub struct MusicGlyph {
    /// Its SMuFL name.
    pub name: &'static str,
    /// Glyph id in the music face.
    pub id: u16,
    /// Its code point.
    pub character: char,
    /// The box of its ink, origin and y as SMuFL says.
    pub ink: Rect<Space>,
    /// Its advance.
    pub advance: Sp,
    anchors: Vec<(Anchor, Point<Space>)>,
}

impl MusicGlyph {
    /// A point that the font defines on the glyph.
    pub fn anchor(&self, anchor: Anchor) -> Option<Point<Space>> {
        self.anchors.iter().find(|(name, _)| *name == anchor).map(|(_, point)| *point)
    }
}

/// SMuFL's engravingDefaults of the carried font, in staff spaces.
///
/// Source: `engravingDefaults` of the font's metadata (`fonts/music/bravura_metadata.json`); a test reads them again from
/// there. The two marked "absent" are not in that file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Defaults {
    /// staffLineThickness
    pub staff_line: Sp,
    /// stemThickness
    pub stem: Sp,
    /// beamThickness
    pub beam: Sp,
    /// beamSpacing: the white between beams
    pub beam_gap: Sp,
    /// legerLineThickness
    pub ledger: Sp,
    /// legerLineExtension, each side
    pub ledger_extension: Sp,
    /// slurEndpointThickness and tieEndpointThickness
    pub slur_end: Sp,
    /// slurMidpointThickness and tieMidpointThickness
    pub slur_middle: Sp,
    /// thinBarlineThickness
    pub thin_barline: Sp,
    /// thickBarlineThickness
    pub thick_barline: Sp,
    /// barlineSeparation, edge to edge
    pub barline_gap: Sp,
    /// thinThickBarlineSeparation: absent from the carried metadata's older versions; 0.4 by common practice
    pub thin_thick_gap: Sp,
    /// repeatBarlineDotSeparation
    pub repeat_dot_gap: Sp,
    /// repeatEndingLineThickness
    pub ending_line: Sp,
    /// tupletBracketThickness
    pub tuplet_line: Sp,
    /// lyricLineThickness
    pub lyric_line: Sp,
    /// hairpinThickness
    pub hairpin: Sp,
}

impl Defaults {
    /// The carried font's values.
    pub const CARRIED: Self = Self {
        staff_line: Sp::sp(0.13),
        stem: Sp::sp(0.12),
        beam: Sp::sp(0.5),
        beam_gap: Sp::sp(0.25),
        ledger: Sp::sp(0.16),
        ledger_extension: Sp::sp(0.4),
        slur_end: Sp::sp(0.1),
        slur_middle: Sp::sp(0.22),
        thin_barline: Sp::sp(0.16),
        thick_barline: Sp::sp(0.5),
        barline_gap: Sp::sp(0.4),
        thin_thick_gap: Sp::sp(0.4),
        repeat_dot_gap: Sp::sp(0.16),
        ending_line: Sp::sp(0.16),
        tuplet_line: Sp::sp(0.16),
        lyric_line: Sp::sp(0.16),
        hairpin: Sp::sp(0.16),
    };
}

/// The music font.
#[derive(Debug)]
pub struct MusicFont {
    /// By name, ascending.
    glyphs: Vec<MusicGlyph>,
    /// For each slot of a name, one more than an index into the glyphs; 0 where there is none.
    slots: Vec<u16>,
    /// Thicknesses and gaps.
    pub defaults: Defaults,
}

impl MusicFont {
    /// Reads the glyph table against the face. Rows whose code point the face lacks are left out.
    pub(super) fn read(table: &'static str, face: &Face) -> Self {
        let mut glyphs: Vec<MusicGlyph> = table.lines().skip(1).filter_map(|line| read_row(line, face)).collect();
        glyphs.sort_by_key(|glyph| glyph.name);
        glyphs.dedup_by_key(|glyph| glyph.name);
        let mut slots = vec![0; SLOTS];
        for (index, glyph) in (1u16..).zip(&glyphs).take(SLOTS / 2) {
            let free = (slot(glyph.name)..).map(|n| n % SLOTS).find(|n| slots[*n] == 0);
            slots[free.expect("at most half of the slots are taken")] = index;
        }
        Self { glyphs, slots, defaults: Defaults::CARRIED }
    }
    /// A glyph by its SMuFL name; `None` if it is not in the table or the font.
    pub fn get(&self, name: &str) -> Option<&MusicGlyph> {
        let mut at = slot(name);
        loop {
            let glyph = &self.glyphs[usize::from(self.slots[at].checked_sub(1)?)];
            if glyph.name == name {
                return Some(glyph);
            }
            at = (at + 1) % SLOTS;
        }
    }
    /// A glyph that the program names itself.
    ///
    /// # Panics
    /// If the carried font lacks it; a test names every glyph the program uses.
    pub fn glyph(&self, name: &'static str) -> &MusicGlyph {
        self.get(name).unwrap_or_else(|| panic!("the carried music font has `{name}`"))
    }
    /// All glyphs, by name.
    pub fn glyphs(&self) -> impl Iterator<Item = &MusicGlyph> {
        self.glyphs.iter()
    }
}

/// Slots for names, a power of two; the carried table has some nine hundred.
const SLOTS: usize = 4096;

/// Where a name is looked for first: engraving asks for a glyph by its name a thousand times a tune, and the names' ends and
/// lengths tell them apart.
fn slot(name: &str) -> usize {
    let bytes = name.as_bytes();
    let short = || bytes.iter().fold(0, |all, byte| all << 8 | u64::from(*byte));
    let first = bytes.first_chunk().map_or_else(short, |chunk| u64::from_le_bytes(*chunk));
    let last = bytes.last_chunk().map_or_else(short, |chunk| u64::from_le_bytes(*chunk));
    let mixed = (first ^ last.rotate_left(29) ^ bytes.len() as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    (mixed >> 52) as usize % SLOTS
}

/// Columns: range, name, code point, description, in font, ink box, advance, difference, anchors.
fn read_row(line: &'static str, face: &Face) -> Option<MusicGlyph> {
    let columns: Vec<&'static str> = line.split('\t').collect();
    let [_, name, code, _, _, ink, advance, _, anchors] = columns[..] else { return None };
    let character = char::from_u32(u32::from_str_radix(code.strip_prefix("U+")?, 16).ok()?)?;
    let id = face.glyph(character)?;
    let ink: Vec<f64> = ink.split(' ').filter_map(|number| number.parse().ok()).collect();
    let [x0, y0, x1, y1] = ink[..] else { return None };
    Some(MusicGlyph {
        name,
        id,
        character,
        ink: Rect::spaces(x0, y0, x1, y1),
        advance: Sp::sp(advance.parse().ok()?),
        anchors: read_anchors(anchors),
    })
}

/// Reads `{"stemUpSE": [1.18, 0.168], ...}`: names in quotes, each followed by two numbers in brackets.
fn read_anchors(text: &str) -> Vec<(Anchor, Point<Space>)> {
    let mut found = Vec::new();
    let mut rest = text;
    while let Some(start) = rest.find('"') {
        let Some(end) = rest[start + 1..].find('"') else { break };
        let name = &rest[start + 1..start + 1 + end];
        rest = &rest[start + end + 2..];
        let (Some(open), Some(close)) = (rest.find('['), rest.find(']')) else { break };
        let pair: Vec<f64> = rest[open + 1..close].split(',').filter_map(|number| number.trim().parse().ok()).collect();
        if let (Some((_, anchor)), [x, y]) = (Anchor::NAMES.iter().find(|(known, _)| *known == name), &pair[..]) {
            found.push((*anchor, Point::new(Sp::sp(*x), Sp::sp(*y))));
        }
        rest = &rest[close + 1..];
    }
    found
}
