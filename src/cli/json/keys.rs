//! `keys --json`: the keys a tune could stand in, best first.

use super::tune::key_name;
use crate::fingering::KeyRank;
use crate::tune::KeySignature;
use serde::Serialize;

/// One key.
#[derive(Debug, Serialize)]
pub struct KeyShape {
    key: String,
    semitones: i32,
    cost: Option<i64>,
    not_on_the_box: Vec<String>,
    chords_missing: usize,
    turns: u32,
    place_shifts: u32,
    reasons: Vec<String>,
    /// What to write into the tune's file for it.
    transpose: Option<String>,
}

impl KeyShape {
    /// A key as output; `transposed` is how far the tune's file moves it already.
    pub fn new(rank: &KeyRank, transposed: i32) -> Self {
        let key = KeySignature { tonic: rank.key, ..KeySignature::none() };
        Self {
            key: key_name(&key),
            semitones: rank.semitones,
            cost: rank.cost,
            not_on_the_box: rank.absent.iter().map(ToString::to_string).collect(),
            chords_missing: rank.chords_missing,
            turns: rank.turns,
            place_shifts: rank.place_shifts,
            reasons: rank.reasons.clone(),
            transpose: transpose_for(rank, transposed),
        }
    }
}

/// What to write into the tune's file to have it there, where `transpose` moves it so far: the nearest way, up to a tritone
/// up. `by` is how far the file moves it already.
pub fn transpose_for(rank: &KeyRank, by: i32) -> Option<String> {
    let gives = (-5..=6).contains(&(rank.semitones + by)) && rank.semitones != 0;
    rank.key.filter(|_| gives && rank.cost.is_some()).map(|(tonic, _)| format!("transpose: {tonic}"))
}
