//! A tune as it sounds, as data: what the hands and the metronome play, and what stands beside it.

use crate::tune::{Fraction, KeySignature, Meter};

/// One key held down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Tone {
    /// From the start of the file, in whole notes.
    pub start: Fraction,
    /// Likewise.
    pub end: Fraction,
    /// MIDI key number, 0 to 127.
    pub key: u8,
    /// MIDI velocity, 1 to 127.
    pub velocity: u8,
}

/// A tune as it sounds. Times are whole notes from the start of the file.
#[derive(Debug, Default)]
pub(super) struct Performance {
    /// The right hand.
    pub melody: Vec<Tone>,
    /// Bass buttons, each in two octaves.
    pub bass: Vec<Tone>,
    /// Chord buttons.
    pub chords: Vec<Tone>,
    /// The metronome, with its count-in.
    pub clicks: Vec<Tone>,
    /// Bars and turns of the bellows.
    pub markers: Vec<(Fraction, String)>,
    /// Whole notes a minute, from the start.
    pub tempi: Vec<(Fraction, Fraction)>,
    /// Metres, from the start.
    pub meters: Vec<(Fraction, Meter)>,
    /// Keys, from the start.
    pub keys: Vec<(Fraction, KeySignature)>,
}
