//! Drawings that are made once and stand in many places: the hands of a thousand tunes lie at a dozen places.
//!
//! Gives the same whichever thread asks first.

use crate::fingering::Place;
use crate::frame::Frame;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

/// Hand lines by their place, with words and without.
#[derive(Debug, Default)]
pub(super) struct HandLines(Mutex<BTreeMap<(Place, bool), Arc<Frame>>>);

impl HandLines {
    /// The line that is there, or the new one.
    pub fn line(&self, place: Place, with_words: bool, new: impl FnOnce() -> Frame) -> Arc<Frame> {
        let mut known = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(known.entry((place, with_words)).or_insert_with(|| new().shared()))
    }
}
