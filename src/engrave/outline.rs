//! How far two systems of a tune may nest, by the edges of their ink.
//!
//! Takes outlines, gives a length. Outlines live no longer than it takes to compare them: a book has thousands of systems.

use crate::geom::{Abs, Sp};

/// A bar number nearer than this to a bass letter at its side reads as part of that line: it stands over the clef, and the
/// first letter under the first note, which a key of a few signs puts five to seven spaces further.
pub(super) const BESIDE: Sp = Sp::sp(8.0);

/// A stretch of an edge: left, right, y.
pub(super) type Step = (Abs, Abs, Abs);

/// The upper and lower edges of the ink along a system, y from the top of its frame, downwards; steps from left to right, none
/// over another of its edge.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Outline {
    /// Upper edge.
    pub upper: Vec<Step>,
    /// Lower edge.
    pub lower: Vec<Step>,
    /// The height of the frame.
    pub height: Abs,
}

impl Outline {
    /// How far the system `below` may move up into the white of this one before their ink is as near as the nearest ink would
    /// be with their boxes touching. Ink within `beside` to the left or right counts as met.
    pub fn nesting(&self, below: &Self, beside: Abs) -> Abs {
        let mut nearest: Option<Abs> = None;
        let mut ahead = below.upper.as_slice();
        for &(left, right, lower) in &self.lower {
            // Steps run left to right: what this one has left behind, no later one meets.
            while let [(_, to, _), rest @ ..] = ahead
                && left >= *to + beside
            {
                ahead = rest;
            }
            for &(_, _, upper) in ahead.iter().take_while(|(from, ..)| *from < right + beside) {
                let white = (self.height - lower) + upper;
                nearest = Some(nearest.map_or(white, |nearest| nearest.min(white)));
            }
        }
        nearest.unwrap_or(Abs::ZERO).max(Abs::ZERO)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outline(upper: &[(f64, f64, f64)], lower: &[(f64, f64, f64)]) -> Outline {
        let edge =
            |steps: &[(f64, f64, f64)]| steps.iter().map(|&(a, b, y)| (Abs::pt(a), Abs::pt(b), Abs::pt(y))).collect();
        Outline { upper: edge(upper), lower: edge(lower), height: Abs::pt(50.0) }
    }

    #[test]
    fn a_low_note_fits_under_a_high_gap() {
        let above = outline(&[(0.0, 100.0, 0.0)], &[(0.0, 50.0, 40.0), (50.0, 100.0, 50.0)]);
        let below = outline(&[(0.0, 50.0, 0.0), (50.0, 100.0, 10.0)], &[(0.0, 100.0, 50.0)]);
        assert!(above.nesting(&below, Abs::ZERO).is_near(Abs::pt(10.0)));
        assert!(above.nesting(&below, Abs::pt(60.0)).is_near(Abs::ZERO), "near in slant is near");
        let flat = outline(&[(0.0, 100.0, 0.0)], &[(0.0, 100.0, 50.0)]);
        assert!(flat.nesting(&flat, Abs::ZERO).is_near(Abs::ZERO));
    }
}
