//! The left hand as tones: basses in two octaves, chords as close triads.
//!
//! Takes a plan's presses and the box; knows no repeats. Octaves are common practice, no source: the root of a bass between C2
//! and B2 with its octave, the tones of a chord between G3 and F#4, since a box sounds its chords within one octave and their
//! inversion cannot be chosen.

use super::tones::{Performance, Tone};
use crate::fingering::{LeftPress, Plan};
use crate::instrument::{Direction, Instrument, LeftKind, LeftSound, Thirds, Triad};
use crate::tune::{Fraction, Tune};

/// C2, the lowest root of a bass.
const BASS_FROM: i32 = 36;
/// G3, the lowest tone of a chord.
const CHORD_FROM: i32 = 55;

/// One press as keys, in time from its bar's start.
pub(super) struct LeftTones {
    kind: LeftKind,
    onset: Fraction,
    length: Fraction,
    keys: Vec<u8>,
}

impl LeftTones {
    /// Sounds the press in a bar that starts at `bar`.
    pub(super) fn play(&self, bar: Fraction, played: &mut Performance) {
        let (track, velocity) = match self.kind {
            LeftKind::Bass => (&mut played.bass, 80),
            LeftKind::Chord => (&mut played.chords, 64),
        };
        let start = bar + self.onset;
        track.extend(self.keys.iter().map(|key| Tone { start, end: start + self.length, key: *key, velocity }));
    }
}

/// The presses that sound, bar by bar.
pub(super) fn by_bar(tune: &Tune, plan: &Plan, instrument: &Instrument) -> Vec<Vec<LeftTones>> {
    let mut bars: Vec<Vec<LeftTones>> = tune.bars.iter().map(|_| Vec::new()).collect();
    for press in plan.left.iter().filter(|press| !press.dropped) {
        if let (Some(bar), Some(sound)) = (bars.get_mut(press.bar), sound_of(press, instrument)) {
            bar.push(LeftTones {
                kind: press.kind,
                onset: press.onset.0,
                length: press.duration.0,
                keys: keys_of(press.kind, sound, instrument.left.thirds),
            });
        }
    }
    bars
}

/// What the button gives under the printed name: the name tells push from pull where the two differ.
fn sound_of(press: &LeftPress, instrument: &Instrument) -> Option<LeftSound> {
    let button = instrument.left.buttons.get(press.button.0)?;
    Direction::BOTH
        .into_iter()
        .map(|direction| button.sound(direction))
        .find(|sound| sound.name(press.kind) == *press.name)
}

fn keys_of(kind: LeftKind, sound: LeftSound, thirds: Thirds) -> Vec<u8> {
    let root = sound.root.semitones();
    let keys: Vec<i32> = match kind {
        LeftKind::Bass => vec![within(BASS_FROM, root), within(BASS_FROM, root) + 12],
        LeftKind::Chord => {
            let third = match sound.triad {
                Triad::Major => 4,
                Triad::Minor => 3,
            };
            let mut keys = vec![within(CHORD_FROM, root), within(CHORD_FROM, root + 7)];
            if thirds == Thirds::In {
                keys.push(within(CHORD_FROM, root + third));
            }
            keys.sort_unstable();
            keys
        }
    };
    keys.into_iter().filter_map(|key| u8::try_from(key).ok()).collect()
}

/// The key of a pitch class in the octave that starts at `from`.
const fn within(from: i32, class: i32) -> i32 {
    from + (class - from).rem_euclid(12)
}
