//! Keys and octaves: where a tune lies on a box.
//!
//! Takes a tune and a box, gives transpositions that fit and how well they lie. Knows no file.

use crate::instrument::Instrument;
use crate::tune::{Pitch, Tune};

/// Semitones tried in each direction: an octave.
const OCTAVE: i32 = 12;

/// Every pitch of a tune as a MIDI key number, each once.
fn midis(tune: &Tune) -> Vec<i32> {
    let events = tune.bars.iter().flat_map(|bar| &bar.events);
    let mut all: Vec<i32> = events
        .flat_map(|event| event.graces.iter().flat_map(|grace| &grace.notes).chain(event.notes()))
        .map(|note| note.pitch.midi())
        .collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// A hint which moves would bring every note of a tune onto a box.
pub(super) fn fitting(tune: &Tune, instrument: &Instrument) -> String {
    let wanted = midis(tune);
    let mut has: Vec<i32> =
        instrument.buttons().flat_map(|(_, button)| [button.push.midi(), button.pull.midi()]).collect();
    has.sort_unstable();
    has.dedup();
    let fits = |by: i32| wanted.iter().all(|midi| has.binary_search(&(midi + by)).is_ok());
    let mut moves: Vec<i32> = (-OCTAVE..=OCTAVE).filter(|by| *by != 0 && fits(*by)).collect();
    moves.sort_by_key(|by| (by.abs(), *by));
    let words: Vec<String> = moves
        .iter()
        .take(4)
        .map(|by| {
            let way = if *by > 0 { "up" } else { "down" };
            match (by.abs(), tune.key.tonic) {
                (OCTAVE, _) => format!("an octave {way}"),
                (semitones, None) => format!("{semitones} semitones {way}"),
                (_, Some((tonic, _))) => {
                    format!("{way} to {}", Pitch::from_midi(60 + tonic.semitones() + by).class())
                }
            }
        })
        .collect();
    match words[..] {
        [] => {
            "no key brings every note onto this box; leave the notes out, move them, or choose another box".to_owned()
        }
        _ => format!("every note fits when the tune is moved: {}", words.join(", ")),
    }
}
