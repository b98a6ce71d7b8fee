//! What the glyphs of a stranger's font come to, counted before anything draws them: a glyph may be made of glyphs and a program
//! of programs, a thousand of each in each.
//!
//! Takes the bytes of tables, gives whether they may be drawn. Sources: OpenType specification 1.9, table glyf (simple and
//! composite glyphs, the flags of components); Adobe Technical Notes 5176 (the Compact Font Format: header, INDEX, DICT, FDSelect)
//! and 5177 (Type 2 charstrings: numbers, stems, the bias of subroutine numbers).

use ttf_parser::RawFace;

mod glyf;
mod programs;

/// A glyph comes to no more points, parts and steps of its program than this: the richest ornaments have some thousands.
const MOST_IN_A_GLYPH: u64 = 20_000;
/// All glyphs of a font together, drawn once each: the largest fonts there are come to half of it.
pub(super) const MOST_IN_A_FONT: u64 = 24_000_000;
/// Glyphs are made of glyphs no deeper than this: in practice one or two.
const DEEPEST: u8 = 8;

/// The glyphs of a font are more than can be drawn.
#[derive(Debug, PartialEq, Eq)]
pub(super) struct TooMany;

/// A tally of one glyph within that of the font.
#[derive(Debug, Default)]
struct Tally {
    glyph: u64,
    all: u64,
}

impl Tally {
    const fn begin(&mut self) {
        self.glyph = 0;
    }
    fn add(&mut self, count: u64) -> Result<(), TooMany> {
        self.glyph = self.glyph.saturating_add(count);
        self.all = self.all.saturating_add(count);
        if self.glyph > MOST_IN_A_GLYPH || self.all > MOST_IN_A_FONT { Err(TooMany) } else { Ok(()) }
    }
}

/// Counts what all glyphs of a font come to.
///
/// # Errors
/// When they are more than a book can bear.
pub(super) fn count(face: &RawFace<'_>, glyphs: u16) -> Result<u64, TooMany> {
    let mut all = 0;
    let table = |tag: &[u8; 4]| face.table(ttf_parser::Tag::from_bytes(tag));
    if let (Some(loca), Some(glyf)) = (table(b"loca"), table(b"glyf")) {
        let long = table(b"head").and_then(|head| head.get(51)).is_some_and(|format| *format == 1);
        all += glyf::count(loca, glyf, long, glyphs)?;
    }
    if let Some(programs) = table(b"CFF ") {
        all += programs::count(programs)?;
    }
    Ok(all)
}

/// The same of a bare table of the Compact Font Format.
///
/// # Errors
/// When they are more than a book can bear.
pub(super) fn count_programs(table: &[u8]) -> Result<u64, TooMany> {
    programs::count(table)
}

/// A whole number of two bytes, the high one first.
fn two(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_be_bytes(bytes.get(at..at.checked_add(2)?)?.try_into().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::font::Fonts;
    use ttf_parser::{GlyphId, OutlineBuilder};

    #[derive(Default)]
    struct Points(u64);

    impl OutlineBuilder for Points {
        fn move_to(&mut self, _: f32, _: f32) {
            self.0 += 1;
        }
        fn line_to(&mut self, _: f32, _: f32) {
            self.0 += 1;
        }
        fn quad_to(&mut self, _: f32, _: f32, _: f32, _: f32) {
            self.0 += 1;
        }
        fn curve_to(&mut self, _: f32, _: f32, _: f32, _: f32, _: f32, _: f32) {
            self.0 += 1;
        }
        fn close(&mut self) {}
    }

    /// The parser of the library draws every glyph of the carried fonts; no font is counted for less than it draws, nor for many
    /// times more, which would say that the programs are not followed as the library follows them.
    #[test]
    fn what_is_counted_is_what_is_drawn() {
        for (_, face) in Fonts::embedded().faces() {
            let parsed = face.parsed();
            let mut drawn = Points::default();
            for glyph in 0..parsed.number_of_glyphs() {
                let _ = parsed.outline_glyph(GlyphId(glyph), &mut drawn);
            }
            let counted = count(parsed.raw_face(), parsed.number_of_glyphs()).expect("a good font is within bounds");
            assert!(counted >= drawn.0 && counted < drawn.0 * 12, "{}: {counted} for {}", face.name, drawn.0);
        }
    }
}
