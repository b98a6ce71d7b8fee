//! The glyphs of a font program out of a finished file of any origin, for the boxes of their ink alone.
//!
//! Takes the bytes of a program as a PDF carries it (ISO 32000-1, 9.9): an OpenType or TrueType file, or a bare table of the Compact
//! Font Format (Adobe Technical Note 5176). Older programs are not read. What its glyphs come to is counted before any is drawn.

use super::bounds;
use super::face::Pen;
use crate::diag::guarded;
use crate::geom::{Path, Quad, Rect};
use owned_ttf_parser::{AsFaceRef as _, OwnedFace};
use ttf_parser::{CFFError, GlyphId, cff};

/// A program that can be drawn.
pub struct Program(Kind);

enum Kind {
    Whole(Box<OwnedFace>),
    Bare(Vec<u8>),
}

impl Program {
    /// Reads one, if its glyphs can be drawn; gives also how many steps they come to, or were counted before it was given up.
    pub fn read(bytes: Vec<u8>) -> (Option<Self>, u64) {
        let counted =
            |steps: Result<u64, bounds::TooMany>| steps.map_or((false, bounds::MOST_IN_A_FONT), |steps| (true, steps));
        let read = guarded(|| {
            if bytes.starts_with(&[1, 0]) && !bytes.starts_with(&[1, 0, 0, 0]) {
                cff::Table::parse(&bytes)?;
                let (fits, steps) = counted(bounds::count_programs(&bytes));
                Some((fits.then_some(Self(Kind::Bare(bytes))), steps))
            } else {
                let face = OwnedFace::from_vec(bytes, 0).ok()?;
                let parsed = face.as_face_ref();
                if parsed.tables().glyf.is_none() && parsed.tables().cff.is_none() {
                    return None;
                }
                let (fits, steps) = counted(bounds::count(parsed.raw_face(), parsed.number_of_glyphs()));
                Some((fits.then(|| Self(Kind::Whole(Box::new(face)))), steps))
            }
        });
        read.flatten().unwrap_or((None, 0))
    }
    /// The exact box of the ink of a character by its number (CID), in ems, y upwards: `Some(None)` for a blank, `None` where that
    /// cannot be told.
    pub fn ink(&self, cid: u16) -> Option<Option<Rect<Quad>>> {
        guarded(|| match &self.0 {
            Kind::Whole(face) => {
                let face = face.as_face_ref();
                if let Some(table) = &face.tables().cff {
                    return drawn(table, cid);
                }
                if is_blank(face, cid)? {
                    return Some(None);
                }
                let mut pen = Pen::new(1.0 / f64::from(face.units_per_em()));
                face.outline_glyph(GlyphId(cid), &mut pen)?;
                Some(pen.path().ink())
            }
            Kind::Bare(bytes) => drawn(&cff::Table::parse(bytes)?, cid),
        })?
    }
}

/// Whether a glyph has no outline, by the table that says where outlines lie (OpenType 1.9, `loca`); `None` where it says nothing.
fn is_blank(face: &ttf_parser::Face<'_>, glyph: u16) -> Option<bool> {
    let table = |tag: &[u8; 4]| face.raw_face().table(ttf_parser::Tag::from_bytes(tag));
    let is_long = table(b"head")?.get(51) == Some(&1);
    let (places, wide) = (table(b"loca")?, if is_long { 4 } else { 2 });
    let place = |nth: usize| places.get(nth * wide..(nth + 1) * wide);
    let glyph = usize::from(glyph);
    Some(place(glyph)? == place(glyph + 1)?)
}

/// The ink of a character of a table. Where characters have numbers of their own, that number has to be the glyph's own too, as in
/// the parts of fonts that programs put into a PDF.
fn drawn(table: &cff::Table<'_>, cid: u16) -> Option<Option<Rect<Quad>>> {
    let glyph = GlyphId(cid);
    if table.glyph_cid(glyph).is_some_and(|own| own != cid) {
        return None;
    }
    let mut pen = Pen::new(f64::from(table.matrix().sx));
    match table.outline(glyph, &mut pen) {
        Ok(_) => {
            let path: Path<Quad> = pen.path();
            Some(path.ink())
        }
        Err(CFFError::ZeroBBox) => Some(None),
        Err(_) => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::font::Fonts;

    /// Every glyph of a carried face, from its file and from its bare table, has the box that the face itself gives.
    #[test]
    fn a_program_draws_what_its_face_draws() {
        let fonts = Fonts::embedded();
        for (_, face) in fonts.faces().filter(|(id, _)| [1, 13].contains(&id.index())) {
            let tag = ttf_parser::Tag::from_bytes(b"CFF ");
            let bare = face.parsed().raw_face().table(tag).map(<[u8]>::to_vec);
            assert_eq!(bare.is_some(), face.is_cff);
            for bytes in [Some(face.data().to_vec()), bare].into_iter().flatten() {
                let (program, steps) = Program::read(bytes);
                let program = program.expect("it is a program");
                assert!(steps > 1000, "{steps}");
                let near = |a: Rect<Quad>, b: Rect<Quad>| {
                    let apart = [a.min.x - b.min.x, a.min.y - b.min.y, a.max.x - b.max.x, a.max.y - b.max.y];
                    apart.into_iter().all(|apart| apart.raw().abs() < 1e-6)
                };
                for glyph in 0..200 {
                    let found = program.ink(glyph).expect("it can be told");
                    let same = match (found, face.ink(glyph)) {
                        (None, None) => true,
                        (Some(found), Some(wanted)) => near(found, wanted),
                        _ => false,
                    };
                    assert!(same, "{} {glyph}: {found:?}", face.name);
                }
                assert_eq!(program.ink(u16::MAX), None, "there is no such glyph");
            }
        }
    }

    #[test]
    fn what_is_no_program_is_none() {
        let fonts = Fonts::embedded();
        let whole = fonts.faces().nth(1).expect("a face").1.data();
        for bytes in [Vec::new(), b"%!PS-AdobeFont-1.0".to_vec(), vec![1, 0, 4, 1], whole[..whole.len() / 40].to_vec()]
        {
            assert!(Program::read(bytes).0.is_none());
        }
    }
}
