//! What every phase of one engraving reads: the score, the look, the faces.

use super::contract::Score;
use super::factor::sound;
use super::lettering::Lettering;
use super::sizes::{self, Wording};
use crate::font::MusicFont;
use crate::style::{EngravingStyle, HeadShape};

/// One engraving.
#[derive(Debug, Clone, Copy)]
pub(super) struct Job<'a> {
    /// What is engraved.
    pub(super) score: &'a Score<'a>,
    /// The look.
    pub(super) style: &'a EngravingStyle,
    /// Shaped texts.
    pub(super) letters: &'a Lettering<'a>,
}

/// Drawn heads reach 0.1 to 0.2 of a space further than the oval, and flags end a quarter of a space from it.
const LONGER_FLAGS: f64 = 0.5;

impl<'a> Job<'a> {
    /// The music font.
    pub(super) fn music(&self) -> &'a MusicFont {
        self.letters.fonts().music()
    }
    /// Factor on thicknesses of lines.
    pub(super) fn lines(&self) -> f64 {
        sound(self.style.lines)
    }
    /// Factor on room for durations.
    pub(super) fn spacing(&self) -> f64 {
        sound(self.style.spacing)
    }
    /// Factor on marks.
    pub(super) fn marks(&self) -> f64 {
        sound(self.style.marks)
    }
    /// The type size of a wording.
    pub(super) fn size(&self, wording: Wording) -> f64 {
        sizes::size(self.style, wording)
    }
    /// Thickness of stems.
    pub(super) fn stem(&self) -> f64 {
        self.music().defaults.stem.raw() * self.lines()
    }
    /// What flagged stems get beyond an octave: drawn heads are taller than the oval, and all rows are treated alike.
    pub(super) fn longer_flags(&self) -> f64 {
        let rows = &self.style.signs.rows;
        let drawn = [rows.outer, rows.inner, rows.half]
            .iter()
            .any(|shape| !matches!(shape, HeadShape::Oval | HeadShape::Cross));
        if drawn && self.score.plan.is_some() { LONGER_FLAGS } else { 0.0 }
    }
    /// Thickness of staff lines.
    pub(super) fn staff_line(&self) -> f64 {
        self.music().defaults.staff_line.raw() * self.lines()
    }
}
