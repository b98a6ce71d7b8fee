//! Text and music glyphs as runs for a frame.

use super::{Glyph, Glyphs, Ink, TextRun};
use crate::font::{FaceId, Features, Fonts, MusicGlyph};
use crate::geom::Abs;
use std::sync::Arc;

/// A word that a sign says; nothing takes no room.
pub(crate) fn said(says: &str) -> Arc<str> {
    if says.is_empty() { Arc::default() } else { says.into() }
}

impl TextRun {
    /// Shapes a text into a run whose origin is the left end of its baseline.
    pub fn shaped(fonts: &Fonts, face: FaceId, size: Abs, text: &str, features: Features) -> Self {
        let mut x = Abs::ZERO;
        let mut glyphs = Vec::new();
        for glyph in fonts.shape(face, text, features) {
            let place = x + glyph.dx.at(size);
            glyphs.push(Glyph { id: glyph.id, x: place, y: -glyph.dy.at(size), cluster: glyph.cluster });
            x += glyph.advance.at(size);
        }
        Self { face, size, ink: Ink::Black, text: text.into(), glyphs: Glyphs::new(glyphs, x) }
    }
    /// One music glyph when a staff space is `space`; `says` is what copying and reading aloud give, often empty.
    pub fn music(fonts: &Fonts, glyph: &MusicGlyph, space: Abs, says: &str) -> Self {
        // A music font's em is four staff spaces (SMuFL, metrics for scoring applications).
        Self {
            face: fonts.music_face(),
            size: space * 4.0,
            ink: Ink::Black,
            text: said(says),
            glyphs: Glyphs::one(glyph.id, glyph.advance.at(space)),
        }
    }
    /// The width from the origin to the end of the last advance.
    pub fn width(&self) -> Abs {
        self.glyphs.end()
    }
    /// The same run in another ink.
    #[must_use]
    pub fn in_ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }
}
