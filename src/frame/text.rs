//! Text and music glyphs as runs for a frame.

use super::{Glyph, Ink, TextRun};
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
        let glyphs = fonts
            .shape(face, text, features)
            .into_iter()
            .map(|glyph| {
                let advance = glyph.advance.at(size);
                let placed = Glyph {
                    id: glyph.id,
                    x: x + glyph.dx.at(size),
                    y: -glyph.dy.at(size),
                    advance,
                    cluster: glyph.cluster,
                };
                x += advance;
                placed
            })
            .collect();
        Self { face, size, ink: Ink::Black, text: text.into(), glyphs }
    }
    /// One music glyph when a staff space is `space`; `says` is what copying and reading aloud give, often empty.
    pub fn music(fonts: &Fonts, glyph: &MusicGlyph, space: Abs, says: &str) -> Self {
        // A music font's em is four staff spaces (SMuFL, metrics for scoring applications).
        let glyph = Glyph { id: glyph.id, x: Abs::ZERO, y: Abs::ZERO, advance: glyph.advance.at(space), cluster: 0 };
        Self {
            face: fonts.music_face(),
            size: space * 4.0,
            ink: Ink::Black,
            text: said(says),
            glyphs: Box::new([glyph]),
        }
    }
    /// The width from the origin to the end of the last advance.
    pub fn width(&self) -> Abs {
        self.glyphs.last().map_or(Abs::ZERO, |glyph| glyph.x + glyph.advance)
    }
    /// The same run in another ink.
    #[must_use]
    pub fn in_ink(mut self, ink: Ink) -> Self {
        self.ink = ink;
        self
    }
}
