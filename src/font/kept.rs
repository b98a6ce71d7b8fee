//! Short texts shaped once a run: the letters, numbers and words on music are the same few on every page.
//!
//! Takes a face and a text, gives glyphs, width and ink in ems; must not know where a text stands. What is kept is exactly what
//! shaping gives, so that neither the order of tunes nor the number of threads shows in a page.

use super::face::Face;
use super::features::Features;
use super::shape::{ShapedGlyph, shape};
use crate::geom::{Em, Point, Quad, Rect};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Longer texts are shaped anew: they seldom come twice.
const LONGEST: usize = 24;
/// No more texts a face are kept, so that no input grows the store without end.
const MOST: usize = 4096;

/// A shaped text with its measures, in ems.
#[derive(Debug, Clone, PartialEq)]
pub struct ShapedText {
    /// Its glyphs in visual order.
    pub glyphs: Vec<ShapedGlyph>,
    /// Sum of advances.
    pub width: Em,
    /// The box of its ink from the start of its baseline, y upwards; `None` for blanks.
    pub ink: Option<Rect<Quad>>,
}

impl ShapedText {
    fn new(face: &Face, text: &str) -> Self {
        let glyphs = shape(face, text, Features::default());
        let mut width = Em::ZERO;
        let mut ink: Option<Rect<Quad>> = None;
        for glyph in &glyphs {
            if let Some(found) = face.ink(glyph.id) {
                let by = Point::new(width + glyph.dx, glyph.dy);
                let here = Rect { min: found.min + by, max: found.max + by };
                ink = Some(ink.map_or(here, |all| all.union(&here)));
            }
            width += glyph.advance;
        }
        Self { glyphs, width, ink }
    }
}

/// The short texts of one face.
#[derive(Debug, Default)]
pub(super) struct Kept {
    texts: Mutex<BTreeMap<Box<str>, Arc<ShapedText>>>,
}

impl Kept {
    /// The text in the face, shaped now or before.
    pub(super) fn shaped(&self, face: &Face, text: &str) -> Arc<ShapedText> {
        if text.len() > LONGEST {
            return Arc::new(ShapedText::new(face, text));
        }
        // A thread that panicked left whole entries only.
        if let Some(known) = self.texts.lock().unwrap_or_else(PoisonError::into_inner).get(text) {
            return Arc::clone(known);
        }
        let made = Arc::new(ShapedText::new(face, text));
        let mut texts = self.texts.lock().unwrap_or_else(PoisonError::into_inner);
        if texts.len() < MOST {
            texts.insert(text.into(), Arc::clone(&made));
        }
        made
    }
}

#[cfg(test)]
mod tests {
    use crate::font::{Features, Fonts};
    use std::sync::Arc;

    #[test]
    fn a_text_kept_is_the_text_shaped() {
        let fonts = Fonts::embedded();
        let (face, _) = fonts.faces().nth(1).expect("there are faces");
        for text in ["push", "AV", "", " ", "a text that is longer than what is kept"] {
            let (first, again) = (fonts.shaped(face, text), fonts.shaped(face, text));
            assert_eq!(first, again);
            assert_eq!(first.glyphs, fonts.shape(face, text, Features::default()), "{text}");
            assert_eq!(first.ink.is_none(), text.trim().is_empty());
            assert_eq!(Arc::ptr_eq(&first, &again), text.len() <= super::LONGEST, "{text}");
        }
    }
}
