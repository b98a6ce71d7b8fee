//! Tunes and plans made by hand for this room's tests.

use crate::diag::{FileId, Place as FilePlace, Sources};
use crate::fingering::{LeftPress, Place, Plan, PlannedNote, Press, Sound};
use crate::instrument::{
    Bellows, Button, ButtonId, Direction, Instrument, LeftButtonId, LeftHand, LeftKind, Row, RowAt, Thirds,
};
use crate::tune::{
    Bar, BarLabel, Barline, BarlineStyle, Duration, Event, Grace, Meter, Note, NoteId, NoteValue, Onset, Pitch,
    Sounding, Tune,
};

pub(super) fn file() -> (Sources, FileId) {
    let mut sources = Sources::default();
    let file = sources.add("tune.md", "");
    (sources, file)
}

pub(super) fn at() -> FilePlace {
    FilePlace::new(file().1, 7, 3)
}

fn pitch(name: &str) -> Pitch {
    Pitch::parse(name).expect("tests name pitches that exist")
}

/// A bar's events from words: `D5:1/4`, `C4+E4:1/8`, `-:1/4` for a rest, `~D5:1/4` for one tied from before, `(B4)A4:1/8`
/// for a grace note.
fn events(text: &str) -> (Vec<Event>, Duration) {
    let mut onset = Onset::ZERO;
    let mut out = Vec::new();
    for word in text.split_whitespace() {
        let (what, length) = word.split_once(':').expect("what:length");
        let (num, den) = length.split_once('/').expect("a fraction");
        let duration = Duration::new(num.parse().expect("a number"), den.parse().expect("a number"));
        let note = |name: &str, tied| Note { tied_from_previous: tied, ..Note::new(pitch(name)) };
        let (grace, what) = match what.strip_prefix('(').and_then(|rest| rest.split_once(')')) {
            Some((grace, rest)) => (Some(grace), rest),
            None => (None, what),
        };
        let (tied, what) = what.strip_prefix('~').map_or((false, what), |rest| (true, rest));
        let sounding = if what == "-" {
            Sounding::Rest { visible: true, whole_bar: false }
        } else {
            Sounding::Head { id: NoteId(0), notes: what.split('+').map(|name| note(name, tied)).collect() }
        };
        let graces = grace
            .map(|name| Grace { id: NoteId(0), notes: vec![note(name, false)].into(), value: NoteValue::plain(4) })
            .into_iter()
            .collect();
        out.push(Event {
            onset,
            duration,
            value: NoteValue::exact(duration).unwrap_or(NoteValue::plain(3)),
            graces,
            graces_slashed: true,
            ..Event::blank(sounding)
        });
        onset = onset + duration;
    }
    (out, onset - Onset::ZERO)
}

/// A tune of bars in the words of [`events`]; a bar that begins with `0|` is a pick-up.
pub(super) fn tune(meter: Meter, bars: &[&str]) -> Tune {
    let mut onset = Onset::ZERO;
    let mut number = 0;
    let mut made = Vec::new();
    for text in bars {
        let (pick_up, text) = text.strip_prefix("0|").map_or((false, *text), |rest| (true, rest));
        number += u32::from(!pick_up);
        let (events, length) = events(text);
        let barline = Barline { style: BarlineStyle::Single, repeat_end: 0, repeat_start: false };
        made.push(Bar {
            label: BarLabel::new(if pick_up { 0 } else { number }),
            onset,
            length,
            left: barline,
            right: barline,
            events,
            ..Bar::blank()
        });
        onset = onset + length;
    }
    let mut tune = Tune { meter, bars: made, ..Tune::blank() };
    tune.number_notes();
    tune
}

/// Presses in words, one a note id in order: `i3<1` is inner 3 on the push with the index finger, `o5>2` outer 5 on the pull
/// with the middle one; `i3+i4<12` a double stop; then `=` reversal, `!` replay, `"` repeat, `~` tie; `@i3` moves the hand.
pub(super) fn plan(tune: &Tune, notes: &str) -> Plan {
    let pitches: Vec<Vec<Pitch>> = tune
        .bars
        .iter()
        .flat_map(|bar| &bar.events)
        .flat_map(|event| {
            let graces = event.graces.iter().map(|grace| grace.notes.iter().map(|note| note.pitch).collect());
            let head = event.head().map(|_| event.notes().iter().map(|note| note.pitch).collect());
            graces.chain(head).collect::<Vec<Vec<Pitch>>>()
        })
        .collect();
    let button = |text: &str| {
        let (row, number) = text.split_at(1);
        let row = match row {
            "o" => RowAt::Outer,
            "i" => RowAt::Inner,
            _ => RowAt::Half,
        };
        ButtonId { row, number: number.parse().expect("a button number") }
    };
    let mut place = Place(ButtonId { row: RowAt::Inner, number: 3 });
    let words: Vec<&str> = notes.split_whitespace().collect();
    assert_eq!(words.len(), pitches.len(), "one word a note");
    let planned = words.iter().zip(&pitches).enumerate().map(|(nth, (word, pitches))| {
        let (word, moved) = word.split_once('@').map_or((*word, None), |(word, to)| (word, Some(button(to))));
        if let Some(to) = moved {
            place = Place(to);
        }
        let turn = word.find(['<', '>']).expect("a direction");
        let direction = if word[turn..].starts_with('<') { Direction::Push } else { Direction::Pull };
        let fingers: Vec<u8> = word[turn + 1..].bytes().filter(u8::is_ascii_digit).map(|b| b - b'0').collect();
        let sound = match word.chars().next_back() {
            Some('=') => Sound::Reversal,
            Some('!') => Sound::Replay,
            Some('"') => Sound::Repeat,
            Some('~') => Sound::Tie,
            _ => Sound::Press,
        };
        let presses = word[..turn]
            .split('+')
            .zip(&fingers)
            .zip(pitches)
            .map(|((name, finger), pitch)| Press { pitch: *pitch, button: button(name), finger: *finger, sound })
            .collect();
        Some(PlannedNote {
            id: NoteId(u32::try_from(nth).expect("few notes")),
            direction,
            place,
            place_moves: moved.is_some(),
            presses,
            pinned: false,
        })
    });
    Plan { notes: planned.collect(), ..Plan::default() }
}

/// Bar index, onset and length as fractions, name.
pub(super) type LeftWord<'a> = (usize, (i64, i64), (i64, i64), &'a str);

/// Left-hand presses from words.
pub(super) fn left(plan: &mut Plan, presses: &[LeftWord]) {
    plan.left = presses
        .iter()
        .map(|(bar, onset, length, name)| LeftPress {
            bar: *bar,
            onset: Onset::new(onset.0, onset.1),
            duration: Duration::new(length.0, length.1),
            kind: if name.starts_with(|c: char| c.is_ascii_uppercase()) { LeftKind::Bass } else { LeftKind::Chord },
            name: (*name).into(),
            button: LeftButtonId(0),
            finger: 3,
            held: false,
            dropped: false,
        })
        .collect();
}

/// A box with as many rows as asked for; what its buttons give does not matter here.
pub(super) fn instrument(rows: usize) -> Instrument {
    let any = pitch("C4");
    let row =
        |at| Row { at, name: "D".into(), start: 3, offset: 0.0, buttons: vec![Button { push: any, pull: any }; 11] };
    Instrument {
        id: "test".into(),
        name: "test".into(),
        family: "dg".into(),
        rows: [RowAt::Outer, RowAt::Inner].into_iter().take(rows).map(row).collect(),
        left: LeftHand { rows: Vec::new(), buttons: Vec::new(), thirds: Thirds::In },
        bellows: Bellows { seconds: 9.0, source: "test".into() },
        source: "test".into(),
    }
}
