//! Stacks systems of music: how far apart by their outlines, how far they may spread or close up.

use super::flow::{Before, Gap, Piece};
use super::setting::Setting;
use crate::engrave::System;
use crate::frame::Tag;
use crate::geom::{Abs, Sp};
use std::sync::Arc;

/// Clear white between the lowest ink of one system and the highest of the next, where they meet: no less.
const CLEAR: Sp = Sp::sp(2.6);
/// Letters under a staff belong to it at a glance where the white to the next system is half as much again as the white
/// between them and their own staff (common practice, no source), up to a white that parts systems in any case.
const TO_OWN: f64 = 1.5;
/// See [`TO_OWN`].
const PARTS: Sp = Sp::sp(4.2);
/// On a full page the white shrinks to what is between a staff and its letters, within these bounds: the letters never stand
/// nearer to the next system than to their own.
const FLOOR: (Sp, Sp) = (Sp::sp(1.8), Sp::sp(3.0));
/// By how much the white may grow.
const GROWS: Sp = Sp::sp(5.0);
/// The least white between systems, where a tune finds no room on its pages in any other way.
const TIGHT: Sp = Sp::sp(0.8);
/// Systems may nest, but their boxes overlap by no more than this, so that the eye still finds each line.
const NESTS_AT_MOST: Sp = Sp::sp(1.2);
/// Systems as pieces of music; the first has no gap of its own. Each is a figure with its alternative text.
pub(super) fn systems(setting: &Setting<'_>, systems: &[System], alt: &[Arc<str>]) -> Vec<Piece> {
    let space = setting.book.engraving.space;
    let nested = nested(systems, space);
    let white = white(systems, space);
    systems
        .iter()
        .enumerate()
        .map(|(n, system)| {
            let mut piece = Piece::of_shared(Arc::clone(&system.frame), system.frame.size.height);
            piece.on_grid = false;
            piece.before = Before::Free;
            if n > 0 {
                // Nesting is white that a full page takes back first.
                let shrink = (white.shrink - nested).max(Abs::ZERO);
                piece.gap = Gap { natural: white.natural - nested, stretch: white.stretch, shrink };
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

/// The white between all systems of a tune, without nesting: by the one whose letters stand farthest from their staff.
fn white(systems: &[System], space: Abs) -> Gap {
    let own = systems.iter().filter_map(|system| system.to_letters).fold(Abs::ZERO, Abs::max);
    let natural = (own * TO_OWN).max(CLEAR.at(space)).min(PARTS.at(space));
    let least = own.max(FLOOR.0.at(space)).min(FLOOR.1.at(space)).min(natural);
    Gap { natural, stretch: GROWS.at(space), shrink: natural - least }
}

/// Lets the white between the systems of a tune shrink as far as it ever does; `music` are their pieces.
pub(super) fn tighten(setting: &Setting<'_>, systems: &[System], music: &mut [Piece]) {
    let space = setting.book.engraving.space;
    let white = white(systems, space);
    let more = (white.natural - white.shrink - TIGHT.at(space)).max(Abs::ZERO);
    music.iter_mut().skip(1).for_each(|piece| piece.gap.shrink += more);
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
            to_letters: None,
            bars: Vec::new(),
            notes: Vec::new(),
            fingers: Vec::new(),
            after: 0,
            until: None,
            signs: BTreeSet::new(),
            nests,
        }
    }

    /// White is half as much again as that between a staff and its letters, and on the fullest page no less than that.
    #[test]
    fn letters_stand_nearer_to_their_own_staff() {
        let space = Abs::pt(5.0);
        let lettered = |white: f64| System { to_letters: Some(Abs::pt(white)), ..system(Abs::ZERO) };
        let gap = white(&[lettered(9.0), lettered(12.0)], space);
        assert!(gap.natural.is_near(Abs::pt(18.0)) && (gap.natural - gap.shrink).is_near(Abs::pt(12.0)), "{gap:?}");
        let far = white(&[lettered(9.0), lettered(40.0)], space);
        assert!(far.natural.is_near(PARTS.at(space)), "low notes under one staff do not tear the page apart: {far:?}");
        assert!(white(&[system(Abs::ZERO)], space).natural.is_near(CLEAR.at(space)));
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
