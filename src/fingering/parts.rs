//! What the numbers of a tune are made from: the tune, how it is walked, the box, the left hand's wants and the prices, side by
//! side for the phases of the planner that read them.

use super::hand::Keyboard;
use super::left::Want;
use super::plan::Sound;
use super::prices::Prices;
use super::walk::Walk;
use crate::tune::{NoteId, Tune};
use std::collections::BTreeMap;

/// What building and reading a model needs.
pub(super) struct Parts<'a> {
    /// The tune.
    pub tune: &'a Tune,
    /// Its walk.
    pub walk: &'a Walk,
    /// The right hand.
    pub keyboard: &'a Keyboard,
    /// What the left hand wants.
    pub wants: &'a [Want],
    /// The prices.
    pub prices: Prices,
    /// Indexes of the wants that are held and cannot survive a turn.
    pub held: &'a [usize],
    /// Sounds the author pinned.
    pub sounds: &'a BTreeMap<NoteId, Sound>,
}
