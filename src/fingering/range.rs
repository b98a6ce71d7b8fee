//! Which pitches a tune asks for and which a box has, and by which moves the one comes to lie within the other.
//!
//! Takes a tune and a box, gives pitches as MIDI key numbers, keys and a hint in words; plans nothing.

use super::request::Moved;
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

/// The semitones that `transpose:` can give: it takes a key and goes the shorter way.
const NEAREST: std::ops::RangeInclusive<i32> = -5..=6;
/// Moves named at most.
const MOST_NAMED: usize = 4;

/// A move of a tune that its author can write.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Move {
    /// The key for `transpose:`; `None` for none, where the tune is to stand in the key that it is written in.
    pub(super) transpose: Option<PitchClass>,
    /// The octaves for `octave=` on the line of the key, beside those that stand there.
    pub(super) octaves: i32,
}

/// The moves that bring every note of a tune onto a box, the nearest first: by `transpose:` alone where that is enough, else with
/// `octave=`. `moved` is by how many semitones the tune has been moved already.
pub(super) fn moves(tune: &Tune, instrument: &Instrument, moved: Moved) -> Vec<Move> {
    let (wanted, has) = (midis(tune), sounding(instrument));
    let fits = |by: i32| wanted.iter().all(|midi| has.binary_search(&(midi + by)).is_ok());
    let mut fitting: Vec<i32> = (-OCTAVE..=OCTAVE).filter(|by| *by != 0 && fits(*by)).collect();
    fitting.sort_by_key(|by| (by.abs(), *by));
    let written = |by: i32| {
        let octaves = (by + moved.by_file - NEAREST.start()).div_euclid(OCTAVE);
        match tune.key.tonic {
            _ if by + moved.by_file == octaves * OCTAVE => Some(Move { transpose: None, octaves }),
            Some((tonic, mode)) => {
                Some(Move { transpose: Some(spelt(tonic.semitones() + by - moved.with_box, mode)), octaves })
            }
            // Without a key there is nothing to transpose from.
            None => None,
        }
    };
    let mut found: Vec<Move> = fitting.into_iter().filter_map(written).collect();
    found.sort_by_key(|found| found.octaves != 0);
    found.truncate(MOST_NAMED);
    found
}

/// Whether every note of a tune is on a box once it is moved by so many semitones.
pub(super) fn fits(tune: &Tune, instrument: &Instrument, by: i32) -> bool {
    let has = sounding(instrument);
    midis(tune).iter().all(|midi| has.binary_search(&(midi + by)).is_ok())
}

/// A hint which moves would bring every note of a tune onto a box.
pub(super) fn fitting(tune: &Tune, instrument: &Instrument, moved: Moved) -> String {
    let said = moves(tune, instrument, moved).into_iter().map(|found| {
        let key = match found.transpose {
            Some(key) => Some(format!("`transpose: {key}`")),
            None => (moved.by_file != 0).then(|| "no `transpose:`".to_owned()),
        };
        let octave = (found.octaves != 0).then(|| format!("`octave={}` after the key in `K:`", found.octaves));
        key.into_iter().chain(octave).collect::<Vec<_>>().join(" and ")
    });
    let said: Vec<String> = said.collect();
    match said[..] {
        [] => {
            "no key brings every note onto this box; leave the notes out, move them, or choose another box".to_owned()
        }
        _ => format!("every note fits with {}", said.join(", or with ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fingering::testing::tune;
    use crate::tune::{Interval, Meter};

    /// Every move that is offered, carried out as a tune's file would do it, leaves no note beside the box.
    #[test]
    fn what_is_offered_helps() {
        let boxes = [crate::fingering::testing::dg(), crate::fingering::testing::dg()];
        let (mut offered, mut with_octaves) = (0, 0);
        for (lowest, written) in
            [(36, "G"), (43, "G"), (49, "E"), (55, "Bb"), (60, "C"), (67, "F#"), (72, "A"), (79, "Db")]
        {
            let tonic = PitchClass::parse(written).expect("a note");
            let notes = [0, 4, 7, 12].map(|by| crate::tune::Pitch::from_midi(lowest + by).to_string()).join(" ");
            let mut plain = tune(
                Meter::simple(4, 4),
                &notes.split(' ').map(|note| format!("{note}*2")).collect::<Vec<_>>().join(" "),
            );
            plain.key = KeySignature::regular(tonic, Mode::Major).expect("a key");
            for first in [None, Some("D"), Some("Ab"), Some("C")] {
                // As `transpose:` does it.
                let go = |key: PitchClass| Interval::nearest(tonic, key);
                let before = first.map(|key| go(PitchClass::parse(key).expect("a note"))).unwrap_or_default();
                let mut there = plain.clone();
                there.transpose(before);
                for (instrument, with_box) in boxes.iter().zip([0, -2].into_iter().cycle()) {
                    let mut there = there.clone();
                    there.transpose(Interval { steps: with_box / 2, semitones: with_box });
                    let moved = Moved { by_file: before.semitones, with_box };
                    for found in moves(&there, instrument, moved) {
                        let by =
                            found.transpose.map(go).unwrap_or_default().semitones + found.octaves * OCTAVE + with_box;
                        let has = sounding(instrument);
                        let left: Vec<i32> = midis(&plain)
                            .into_iter()
                            .map(|midi| midi + by)
                            .filter(|midi| !has.contains(midi))
                            .collect();
                        assert!(left.is_empty(), "{written} {lowest} {first:?}: {found:?} leaves {left:?}");
                        offered += 1;
                        with_octaves += usize::from(found.octaves != 0);
                    }
                }
            }
        }
        assert!(offered > 60 && with_octaves > 10, "{offered} moves were offered, {with_octaves} of them with octaves");
    }
}
