//! Tunes made by hand, for tests of this room.

use crate::tune::{
    Bar, BarLabel, Barline, BarlineStyle, Credits, Duration, Event, Fraction, KeySignature, Meter, Note, NoteId,
    NoteValue, Onset, Pitch, Sounding, Tune,
};

/// A note in words: pitches joined by `+` (or `z` for a rest), a slash, halvings, dots as `.`: `D4/2.`, `G4+B4/3`, `z/2`.
pub(crate) fn event(text: &str) -> Event {
    let (what, value) = text.split_once('/').expect("a note is pitch/halvings");
    let dots = value.matches('.').count();
    let halvings: i8 = value.trim_end_matches('.').parse().expect("halvings are a number");
    let value = NoteValue { halvings, dots: u8::try_from(dots).expect("few dots") };
    let sounding = if what == "z" {
        Sounding::Rest { visible: true, whole_bar: false }
    } else {
        let notes = what.split('+').map(|pitch| note(Pitch::parse(pitch).expect("a pitch"))).collect();
        Sounding::Head { id: NoteId(0), notes }
    };
    Event {
        onset: Onset::ZERO,
        duration: value.duration(),
        value,
        sounding,
        graces: Vec::new(),
        graces_slashed: false,
        marks: Vec::new(),
        annotations: Vec::new(),
        chord_symbols: Vec::new(),
        lyrics: Vec::new(),
        beamed_to_previous: false,
        tuplet: None,
        place: None,
    }
}

pub(crate) fn note(pitch: Pitch) -> Note {
    Note { pitch, written_sign: None, tied_to_next: false, tied_from_previous: false }
}

/// Events on B4 by their halvings.
pub(crate) fn values(halvings: &[i8]) -> Vec<Event> {
    halvings.iter().map(|h| event(&format!("B4/{h}"))).collect()
}

/// Events from words.
pub(crate) fn notes(text: &str) -> Vec<Event> {
    text.split_whitespace().map(event).collect()
}

/// A tune of bars in C, single barlines, a final one at the end; onsets and ids are filled in.
pub(crate) fn tune_of(meter: Meter, bars: &[Vec<Event>]) -> Tune {
    let mut tune = Tune {
        title: "Paper Lantern".into(),
        other_titles: Vec::new(),
        number: Some(1),
        credits: Credits::default(),
        rhythm: None,
        key: KeySignature::none(),
        meter,
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
    };
    for (n, events) in bars.iter().enumerate() {
        tune.bars.push(Bar {
            label: BarLabel::new(u32::try_from(n + 1).expect("few bars")),
            onset: Onset::ZERO,
            length: Duration::ZERO,
            left: Barline::default(),
            right: Barline {
                style: if n + 1 == bars.len() { BarlineStyle::Final } else { BarlineStyle::Single },
                repeat_end: 0,
                repeat_start: false,
            },
            ending: None,
            meter: None,
            key: None,
            tempo: None,
            part: None,
            landmarks: Vec::new(),
            jump: None,
            barline_marks: Vec::new(),
            rest_run: 0,
            line_ends: false,
            events: events.clone(),
            place: None,
        });
    }
    settle(&mut tune);
    tune
}

/// Fills in onsets, lengths, tuplet durations and ids.
pub(crate) fn settle(tune: &mut Tune) {
    let tuplets = tune.tuplets.clone();
    let mut start = Onset::ZERO;
    for bar in &mut tune.bars {
        let mut at = Onset::ZERO;
        for event in &mut bar.events {
            event.onset = at;
            event.duration = event.value.duration();
            if let Some(id) = event.tuplet {
                let tuplet =
                    tuplets.get(id.0 as usize).copied().unwrap_or(crate::tune::Tuplet { actual: 1, normal: 1 });
                event.duration = event.duration.times(Fraction::new(tuplet.normal.into(), tuplet.actual.into()));
            }
            at = at + event.duration;
        }
        bar.onset = start;
        bar.length = at - Onset::ZERO;
        start = start + bar.length;
    }
    tune.number_notes();
}
