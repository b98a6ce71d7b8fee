//! The lanes that only our pages have.

use super::Score;
use super::canvas::Canvas;
use super::layout::{Demand, SystemLayout};
use super::lettering::Lettering;
use crate::style::EngravingStyle;

/// The room that items in lanes need beside each other, by row, then bar, then onset.
pub(super) fn demands(_score: &Score, _style: &EngravingStyle, _letters: &Lettering) -> Vec<Demand> {
    Vec::new()
}

/// Sets the lanes next to the staff: fingers, places and direction above; hold bars and button numbers below.
pub(super) fn near(_layout: &mut SystemLayout, _canvas: &mut Canvas) {}

/// Sets the lanes outside the sung words: the left hand, counting.
pub(super) fn far(_layout: &mut SystemLayout, _canvas: &mut Canvas) {}
