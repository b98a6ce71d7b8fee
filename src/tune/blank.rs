//! Tunes, bars and events with nothing in them yet, which readers fill.

use super::{
    Bar, BarLabel, Barline, Credits, Duration, Event, KeySignature, Meter, Note, NoteValue, Onset, Pitch, Sounding,
    ThinVec, Tune,
};

impl Tune {
    /// A tune of no bars, in free metre and without a key; its unit is a quaver.
    pub fn blank() -> Self {
        Self {
            title: String::new(),
            other_titles: Vec::new(),
            number: None,
            credits: Credits::default(),
            rhythm: None,
            key: KeySignature::none(),
            meter: Meter::Free,
            unit: Duration::new(1, 8),
            tempo: None,
            bars: Vec::new(),
            tuplets: Vec::new(),
            slurs: Vec::new(),
            verse_labels: Vec::new(),
            words: Vec::new(),
            part_order: Vec::new(),
            addresses: Vec::new(),
            place: None,
        }
    }
}

impl Bar {
    /// A bar of no events and no length, numbered 0, without barlines.
    pub fn blank() -> Self {
        Self {
            label: BarLabel::default(),
            onset: Onset::ZERO,
            length: Duration::ZERO,
            left: Barline::default(),
            right: Barline::default(),
            ending: None,
            meter: None,
            key: None,
            tempo: None,
            part: None,
            landmarks: ThinVec::new(),
            jump: None,
            barline_marks: ThinVec::new(),
            rest_run: 0,
            line_ends: false,
            events: Vec::new(),
            place: None,
        }
    }
}

impl Event {
    /// An event at the start of its bar that lasts no time, written as a semibreve, with nothing on it.
    pub const fn blank(sounding: Sounding) -> Self {
        Self {
            onset: Onset::ZERO,
            duration: Duration::ZERO,
            value: NoteValue::plain(0),
            sounding,
            graces: ThinVec::new(),
            graces_slashed: false,
            marks: ThinVec::new(),
            annotations: ThinVec::new(),
            chord_symbols: ThinVec::new(),
            lyrics: ThinVec::new(),
            beamed_to_previous: false,
            tuplet: None,
            place: None,
        }
    }
}

impl Note {
    /// A pitch that is not tied and bears no sign of its own.
    pub const fn new(pitch: Pitch) -> Self {
        Self { pitch, written_sign: None, tied_to_next: false, tied_from_previous: false }
    }
}
