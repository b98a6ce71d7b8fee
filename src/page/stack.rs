//! Stacks systems of music: how far apart by their outlines, how far they may spread or close up.

use super::flow::{Before, Gap, Piece};
use super::setting::Setting;
use crate::engrave::System;
use crate::frame::Tag;
use crate::geom::{Abs, Sp};
use std::sync::Arc;

/// Clear white between the lowest ink of one system and the highest of the next, where they meet (common practice: enough
/// that the eye never takes the left hand's letters for the next system's).
const CLEAR: Sp = Sp::sp(2.6);
/// By how much the white may grow.
const GROWS: Sp = Sp::sp(5.0);
/// By how much it may shrink.
const SHRINKS: Sp = Sp::sp(1.8);
/// Systems may nest, but their boxes overlap by no more than this, so that the eye still finds each line.
const NESTS_AT_MOST: Sp = Sp::sp(1.2);
/// A bar number nearer than this to a bass letter at its side reads as part of that line: it stands over the clef, and the
/// first letter under the first note, which a key of a few signs puts five to seven spaces further.
const BESIDE: Sp = Sp::sp(8.0);

/// Systems as pieces of music; the first has no gap of its own. Each is a figure with its alternative text.
pub(super) fn systems(setting: &Setting<'_>, systems: &[System], alt: &[Arc<str>]) -> Vec<Piece> {
    let space = setting.book.engraving.space;
    let nested = nested(systems, space);
    systems
        .iter()
        .enumerate()
        .map(|(n, system)| {
            let mut piece = Piece::of_shared(Arc::clone(&system.frame), system.frame.size.height);
            piece.on_grid = false;
            piece.before = Before::Free;
            if n > 0 {
                piece.gap =
                    Gap { natural: CLEAR.at(space) - nested, stretch: GROWS.at(space), shrink: SHRINKS.at(space) };
            }
            piece.tagged(0, Tag::figure(alt.get(n).cloned().unwrap_or_default()))
        })
        .collect()
}

/// How far every system of a tune nests: as little as the pair does that can nest least, so that the white between all of
/// them is one. Uneven by a little looks like an accident (common practice, no source).
fn nested(systems: &[System], space: Abs) -> Abs {
    let pairs = systems.windows(2).map(|pair| nesting(&pair[0], &pair[1], BESIDE.at(space)));
    pairs.fold(NESTS_AT_MOST.at(space), Abs::min)
}

/// How far a system may move up into the white of the one above it before their ink is as near as the nearest ink would be
/// with their boxes touching. Ink within `beside` to the left or right counts as met.
fn nesting(above: &System, below: &System, beside: Abs) -> Abs {
    let height = above.frame.size.height;
    let mut nearest: Option<Abs> = None;
    for &(left, right, lower) in &above.outline.lower {
        for &(from, to, upper) in &below.outline.upper {
            if left < to + beside && from < right + beside {
                let white = (height - lower) + upper;
                nearest = Some(nearest.map_or(white, |nearest| nearest.min(white)));
            }
        }
    }
    nearest.unwrap_or(Abs::ZERO).max(Abs::ZERO)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::engrave::Outline;
    use crate::frame::Frame;
    use crate::geom::Size;
    use std::collections::BTreeSet;

    fn system(upper: &[(f64, f64, f64)], lower: &[(f64, f64, f64)]) -> System {
        let edge =
            |steps: &[(f64, f64, f64)]| steps.iter().map(|&(a, b, y)| (Abs::pt(a), Abs::pt(b), Abs::pt(y))).collect();
        System {
            frame: Frame::new(Size::new(Abs::pt(100.0), Abs::pt(50.0))).shared(),
            staff_top: Abs::pt(10.0),
            staff_bottom: Abs::pt(40.0),
            bars: Vec::new(),
            notes: Vec::new(),
            signs: BTreeSet::new(),
            outline: Outline { upper: edge(upper), lower: edge(lower) },
        }
    }

    #[test]
    fn a_low_note_fits_under_a_high_gap() {
        let above = system(&[(0.0, 100.0, 0.0)], &[(0.0, 50.0, 40.0), (50.0, 100.0, 50.0)]);
        let below = system(&[(0.0, 50.0, 0.0), (50.0, 100.0, 10.0)], &[(0.0, 100.0, 50.0)]);
        assert!(nesting(&above, &below, Abs::ZERO).is_near(Abs::pt(10.0)));
        assert!(nesting(&above, &below, Abs::pt(60.0)).is_near(Abs::ZERO), "near in slant is near");
        let flat = system(&[(0.0, 100.0, 0.0)], &[(0.0, 100.0, 50.0)]);
        assert!(nesting(&flat, &flat, Abs::ZERO).is_near(Abs::ZERO));
    }

    #[test]
    fn the_white_between_the_systems_of_a_tune_is_one() {
        // A first line whose letters begin far from its left end, as after a metre; the others begin at once.
        let first = system(&[(0.0, 100.0, 0.0)], &[(0.0, 60.0, 40.0), (60.0, 100.0, 50.0)]);
        let next = system(&[(0.0, 10.0, 0.0), (10.0, 100.0, 10.0)], &[(0.0, 100.0, 50.0)]);
        let space = Abs::pt(5.0);
        let most = NESTS_AT_MOST.at(space);
        assert!(nested(&[first.clone(), next.clone()], space).is_near(most), "a single pair nests");
        assert!(nested(&[first, next.clone(), next], space).is_near(Abs::ZERO));
    }
}
