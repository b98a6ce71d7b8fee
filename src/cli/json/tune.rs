//! `bring --json`: a tune as understood before any box.

use super::Complaint;
use super::signs::{BarSigns, EventSigns, TuneSigns};
use crate::reader::asked::Wish;
use crate::tune::{Address, Bar, Barline, BarlineStyle, Event, Fraction, KeySignature, Mode, Note, Tune, played};
use serde::Serialize;

/// One tune.
#[derive(Debug, Serialize)]
pub struct TuneShape {
    title: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    number: Option<u32>,
    key: String,
    meter: String,
    tempo: Option<TempoShape>,
    #[serde(flatten)]
    signs: TuneSigns,
    bars: Vec<BarShape>,
    played_bars: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pins: Vec<PinShape>,
    complaints: Vec<Complaint>,
}

/// What a score asks for at a note.
#[derive(Debug, Serialize)]
struct PinShape {
    bar: String,
    note: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    direction: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    row: Option<&'static str>,
}

#[derive(Debug, Serialize)]
struct TempoShape {
    beat: String,
    bpm: u32,
}

#[derive(Debug, Serialize)]
struct BarShape {
    bar: String,
    onset: String,
    length: String,
    left_barline: &'static str,
    right_barline: &'static str,
    endings: Vec<u8>,
    #[serde(skip_serializing_if = "Option::is_none")]
    key: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    meter: Option<String>,
    #[serde(flatten)]
    signs: BarSigns,
    events: Vec<EventShape>,
}

#[derive(Debug, Serialize)]
#[serde(untagged)]
enum EventShape {
    Head {
        onset: String,
        duration: String,
        pitches: Vec<String>,
        midi: Vec<i32>,
        tie: bool,
        grace: bool,
        chord_symbol: Option<String>,
        /// Symbols after the first at the same place.
        #[serde(skip_serializing_if = "Vec::is_empty")]
        further_chord_symbols: Vec<String>,
        lyrics: Vec<Option<String>>,
        #[serde(flatten)]
        signs: EventSigns,
    },
    Rest {
        onset: String,
        duration: String,
        rest: bool,
        #[serde(skip_serializing_if = "Option::is_none")]
        chord_symbol: Option<String>,
        #[serde(skip_serializing_if = "Vec::is_empty")]
        further_chord_symbols: Vec<String>,
        #[serde(flatten)]
        signs: EventSigns,
    },
}

impl TuneShape {
    /// A tune as output, with what its file asks for and the complaints about it.
    pub fn new(tune: &Tune, wishes: &[Wish], complaints: Vec<Complaint>) -> Self {
        Self {
            title: tune.title.clone(),
            number: tune.number,
            key: key_name(&tune.key),
            meter: tune.meter.to_string(),
            tempo: tune.tempo.as_ref().and_then(|tempo| {
                let beat: crate::tune::Duration = tempo.beat.iter().copied().sum();
                tempo.bpm.filter(|_| !tempo.beat.is_empty()).map(|bpm| TempoShape { beat: beat.to_string(), bpm })
            }),
            signs: TuneSigns::new(tune),
            bars: tune.bars.iter().map(|bar| bar_shape(tune, bar)).collect(),
            played_bars: played(tune).iter().map(|passage| tune.bars[passage.bar].label.to_string()).collect(),
            pins: wishes.iter().map(pin_shape).collect(),
            complaints,
        }
    }
}

fn pin_shape(wish: &Wish) -> PinShape {
    let (key, value) = wish.asked.pin();
    let of_key = |name| (key == name).then_some(value);
    let Address { bar, note, .. } = wish.note;
    PinShape { bar: bar.to_string(), note, direction: of_key("direction"), row: of_key("row") }
}

/// A key as authors write it: `G`, `Em`, `Ddor`; `none` without a tonic.
pub(super) fn key_name(key: &KeySignature) -> String {
    let Some((tonic, mode)) = &key.tonic else { return "none".into() };
    let mode = match mode {
        Mode::Major => "",
        Mode::Minor => "m",
        Mode::Dorian => "dor",
        Mode::Phrygian => "phr",
        Mode::Lydian => "lyd",
        Mode::Mixolydian => "mix",
        Mode::Locrian => "loc",
    };
    format!("{tonic}{mode}")
}

fn bar_shape(tune: &Tune, bar: &Bar) -> BarShape {
    BarShape {
        bar: bar.label.to_string(),
        onset: bar.onset.to_string(),
        length: bar.length.to_string(),
        left_barline: barline(&bar.left),
        right_barline: barline(&bar.right),
        endings: bar.ending.as_ref().map(|ending| ending.passes.clone()).unwrap_or_default(),
        key: bar.key.as_deref().map(key_name),
        meter: bar.meter.as_ref().map(ToString::to_string),
        signs: BarSigns::new(bar),
        events: bar.events.iter().flat_map(|event| event_shapes(tune, bar, event)).collect(),
    }
}

const fn barline(line: &Barline) -> &'static str {
    if line.repeat_start {
        return "repeat-start";
    }
    if line.repeat_end > 0 {
        return "repeat-end";
    }
    match line.style {
        BarlineStyle::None => "none",
        BarlineStyle::Single => "single",
        BarlineStyle::Double => "double",
        BarlineStyle::Final => "final",
        BarlineStyle::HeavyLight => "heavy-light",
        BarlineStyle::Dotted => "dotted",
        BarlineStyle::Invisible => "invisible",
    }
}

fn event_shapes(tune: &Tune, bar: &Bar, event: &Event) -> Vec<EventShape> {
    let onset = Fraction::to_string(&(bar.onset.0 + event.onset.0));
    let mut shapes: Vec<EventShape> = event
        .graces
        .iter()
        .map(|grace| head(&grace.notes, onset.clone(), grace.value.duration().to_string(), true, Beside::default()))
        .collect();
    let duration = event.duration.to_string();
    let beside = Beside::new(tune, event);
    if event.notes().is_empty() {
        let Beside { chord_symbol, further_chord_symbols, signs, .. } = beside;
        shapes.push(EventShape::Rest { onset, duration, rest: true, chord_symbol, further_chord_symbols, signs });
    } else {
        shapes.push(head(event.notes(), onset, duration, false, beside));
    }
    shapes
}

/// What an event has and a grace has not.
#[derive(Default)]
struct Beside {
    chord_symbol: Option<String>,
    further_chord_symbols: Vec<String>,
    lyrics: Vec<Option<String>>,
    signs: EventSigns,
}

impl Beside {
    fn new(tune: &Tune, event: &Event) -> Self {
        let mut symbols = event.chord_symbols.iter().map(|symbol| symbol.text.clone());
        Self {
            chord_symbol: symbols.next(),
            further_chord_symbols: symbols.collect(),
            lyrics: event.lyrics.iter().map(|lyric| lyric.as_ref().map(|lyric| lyric.text.clone())).collect(),
            signs: EventSigns::new(tune, event),
        }
    }
}

fn head(notes: &[Note], onset: String, duration: String, grace: bool, beside: Beside) -> EventShape {
    let Beside { chord_symbol, further_chord_symbols, lyrics, signs } = beside;
    EventShape::Head {
        onset,
        duration,
        pitches: notes.iter().map(|note| note.pitch.to_string()).collect(),
        midi: notes.iter().map(|note| note.pitch.midi()).collect(),
        tie: notes.iter().any(|note| note.tied_to_next),
        grace,
        chord_symbol,
        further_chord_symbols,
        lyrics,
        signs,
    }
}
