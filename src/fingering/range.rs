//! Which pitches a tune asks for and which a box has, and by which moves the one comes to lie within the other.
//!
//! Takes a tune and a box, gives pitches as MIDI key numbers, keys and a hint in words; plans nothing.

use crate::instrument::Instrument;
use crate::tune::{KeySignature, Mode, PitchClass, Step, Tune};

/// Semitones tried in each direction: an octave.
pub(super) const OCTAVE: i32 = 12;
/// Every pitch a box sounds, as MIDI key numbers in order.
pub(super) fn sounding(instrument: &Instrument) -> Vec<i32> {
    let mut has: Vec<i32> =
        instrument.buttons().flat_map(|(_, button)| [button.push.midi(), button.pull.midi()]).collect();
    has.sort_unstable();
    has.dedup();
    has
}

/// Every pitch of a tune as a MIDI key number, each once.
pub(super) fn midis(tune: &Tune) -> Vec<i32> {
    let events = tune.bars.iter().flat_map(|bar| &bar.events);
    let mut all: Vec<i32> = events
        .flat_map(|event| event.graces.iter().flat_map(|grace| &grace.notes).chain(event.notes()))
        .map(|note| note.pitch.midi())
        .collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// The tonic of a key with the fewest signs; sharps before flats.
pub(super) fn spelt(semitones: i32, mode: Mode) -> PitchClass {
    let class = |step: Step| {
        (-1..=1)
            .map(move |alter| PitchClass::new(step, alter))
            .filter(move |c| c.semitones() == semitones.rem_euclid(12))
    };
    let signs = |tonic: &PitchClass| KeySignature::regular(*tonic, mode).map_or(99, |key| key.fifths.unsigned_abs());
    let flat = |tonic: &PitchClass| KeySignature::regular(*tonic, mode).is_some_and(|key| key.fifths < 0);
    let mut all: Vec<PitchClass> = Step::ALL.into_iter().flat_map(class).collect();
    all.sort_by_key(|tonic| (signs(tonic), flat(tonic)));
    *all.first().expect("every semitone has a name with at most one sign")
}

/// A hint which moves would bring every note of a tune onto a box.
pub(super) fn fitting(tune: &Tune, instrument: &Instrument) -> String {
    let (wanted, has) = (midis(tune), sounding(instrument));
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
                (1, None) => format!("a semitone {way}"),
                (semitones, None) => format!("{semitones} semitones {way}"),
                (_, Some((tonic, mode))) => format!("{way} to {}", spelt(tonic.semitones() + by, mode)),
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
