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
    systems.iter().skip(1).map(|system| system.nests).fold(NESTS_AT_MOST.at(space), Abs::min)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Frame;
    use crate::geom::Size;
    use std::collections::BTreeSet;

    fn system(nests: Abs) -> System {
        System {
            frame: Frame::new(Size::new(Abs::pt(100.0), Abs::pt(50.0))).shared(),
            staff_top: Abs::pt(10.0),
            staff_bottom: Abs::pt(40.0),
            bars: Vec::new(),
            notes: Vec::new(),
            fingers: Vec::new(),
            after: 0,
            until: None,
            signs: BTreeSet::new(),
            nests,
        }
    }

    #[test]
    fn the_white_between_the_systems_of_a_tune_is_one() {
        let space = Abs::pt(5.0);
        let most = NESTS_AT_MOST.at(space);
        // A first line whose letters begin far from its left end, as after a metre; the others begin at once.
        let [first, deep, flat] = [Abs::ZERO, Abs::pt(10.0), Abs::ZERO].map(system);
        assert!(nested(&[first.clone(), deep.clone()], space).is_near(most), "a single pair nests");
        assert!(nested(&[first, deep, flat], space).is_near(Abs::ZERO));
    }
}
