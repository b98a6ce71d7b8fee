//! Boxes and tunes for this room's tests: a box from the generating rule, a tune from a terse line.
//!
//! Reading files is other rooms' work; this knows only the types.

use crate::instrument::{
    Bellows, Button, Instrument, LeftButton, LeftHand, LeftKind, LeftSound, Row, RowAt, Thirds, Triad,
};
use crate::tune::{
    Bar, BarLabel, Barline, ChordQuality, ChordSymbol, Duration, Ending, Event, Fraction, Grace, KeySignature, Meter,
    Mode, Note, NoteId, NoteValue, Notes, Onset, Pitch, PitchClass, Sounding, Step, Tempo, ThinVec, Tune,
};

/// A row by the published rule: the push repeats the tonic triad, the pull the other four notes of the key.
fn row(at: RowAt, name: &str, tonic: i32, start: u8, count: u8, offset: f64) -> Row {
    let button = |number: u8| {
        let i = i32::from(number) - i32::from(start);
        let push = tonic + 12 * i.div_euclid(3) + [0, 4, 7][i.rem_euclid(3) as usize];
        let pull = tonic + 12 * i.div_euclid(4) + [2, 5, 9, 11][i.rem_euclid(4) as usize];
        // The lowest button pulls the fifth.
        let pull = if number + 2 == start { pull - 2 } else { pull };
        Button { push: Pitch::from_midi(push), pull: Pitch::from_midi(pull) }
    };
    Row { at, name: name.into(), start, offset, buttons: (1..=count).map(button).collect() }
}

/// What `D`, `Em` name on a left hand.
fn sound(name: &str) -> LeftSound {
    let (root, triad) = name.strip_suffix('m').map_or((name, Triad::Major), |root| (root, Triad::Minor));
    LeftSound { root: PitchClass::parse(root).expect("a root"), triad }
}

fn left(pairs: &[(RowAt, &str, &str)]) -> LeftHand {
    let mut buttons = Vec::new();
    for (n, (row, push, pull)) in pairs.iter().enumerate() {
        for (m, kind) in [LeftKind::Chord, LeftKind::Bass].into_iter().enumerate() {
            let number = (n % 2 * 2 + m + 1) as u8;
            buttons.push(LeftButton { row: *row, number, kind, push: sound(push), pull: sound(pull) });
        }
    }
    LeftHand { rows: vec![RowAt::Outer, RowAt::Inner], buttons, thirds: Thirds::In }
}

/// The D/G box with 21 buttons, third-button start, low notes.
pub(super) fn dg() -> Instrument {
    use RowAt::{Inner, Outer};
    Instrument {
        id: "dg-21-third".into(),
        name: "D/G".into(),
        family: "dg".into(),
        rows: vec![row(Outer, "D", 62, 3, 11, 0.0), row(Inner, "G", 67, 3, 10, 0.5)],
        left: left(&[(Outer, "D", "A"), (Outer, "G", "D"), (Inner, "B", "Em"), (Inner, "C", "C")]),
        bellows: Bellows { seconds: 9.0, source: "test".into() },
        source: "test".into(),
    }
}

fn note(text: &str) -> Note {
    let (text, tied_to_next) = text.strip_suffix('-').map_or((text, false), |text| (text, true));
    let pitch = Pitch::parse(text).unwrap_or_else(|| panic!("`{text}` is a pitch"));
    Note { tied_to_next, ..Note::new(pitch) }
}

/// A chord symbol from its text; enough for tests.
fn symbol(text: &str) -> ChordSymbol {
    let split = text.char_indices().find(|(n, c)| *n > 0 && !"#b".contains(*c)).map_or(text.len(), |(n, _)| n);
    let quality = match &text[split..] {
        "m" => ChordQuality::Minor,
        "7" => ChordQuality::Seventh,
        "m7" => ChordQuality::MinorSeventh,
        "dim" => ChordQuality::Diminished,
        _ => ChordQuality::Major,
    };
    ChordSymbol { text: text.into(), root: PitchClass::parse(&text[..split]), quality, bass: None }
}

/// An empty tune.
pub(super) fn empty(meter: Meter) -> Tune {
    Tune {
        title: "Test".into(),
        key: KeySignature::regular(PitchClass::new(Step::G, 0), Mode::Major).expect("G major exists"),
        meter,
        tempo: Some(Tempo { before: None, beat: vec![Duration::new(1, 4)], bpm: Some(100), after: None }),
        ..Tune::blank()
    }
}

/// A tune from a line: bars between `|`, `|:` and `:|` repeat, `1.` and `2.` start endings, `G4*2` lasts two eighths (one
/// without a figure), `[D4,F#4]` is a chord, `{A4}` a grace, `"G"` a chord symbol, `z` a rest, `G4-` ties.
pub(super) fn tune(meter: Meter, line: &str) -> Tune {
    let mut tune = empty(meter);
    let mut number = 1;
    let mut at = Onset::ZERO;
    let spaced = line.replace("|:", " |: ").replace(":|", " :| ");
    let mut current: Option<Bar> = None;
    let mut repeat_start = false;
    let mut graces: ThinVec<Grace> = ThinVec::new();
    let mut symbols: ThinVec<ChordSymbol> = ThinVec::new();
    let mut tied: Vec<i32> = Vec::new();
    let close = |tune: &mut Tune, current: &mut Option<Bar>, at: &mut Onset, repeat_end: u8| {
        if let Some(mut bar) = current.take().filter(|bar| !bar.events.is_empty()) {
            bar.right.repeat_end = repeat_end;
            *at = *at + bar.length;
            tune.bars.push(bar);
        }
    };
    for token in spaced.split_whitespace() {
        match token {
            "|" => close(&mut tune, &mut current, &mut at, 0),
            "|:" => {
                close(&mut tune, &mut current, &mut at, 0);
                repeat_start = true;
            }
            ":|" => close(&mut tune, &mut current, &mut at, 2),
            _ => {
                let bar = current.get_or_insert_with(|| {
                    let label = BarLabel::new(number);
                    number += 1;
                    let left = Barline { repeat_start: std::mem::take(&mut repeat_start), ..Barline::default() };
                    blank(label, at, left)
                });
                if let Some(pass) = token.strip_suffix('.') {
                    let passes = vec![pass.parse().expect("a pass")];
                    bar.ending = Some(Ending { passes, last_bar: tune.bars.len(), closed: true });
                } else if let Some(text) = token.strip_prefix('"') {
                    symbols.push(symbol(text.trim_end_matches('"')));
                } else if let Some(text) = token.strip_prefix('{') {
                    let notes = vec![note(text.trim_end_matches('}'))].into();
                    graces.push(Grace { id: NoteId(0), notes, value: NoteValue::plain(4) });
                } else {
                    let (text, eighths) = token.split_once('*').unwrap_or((token, "1"));
                    let duration = Duration(Fraction::parse(eighths).expect("a length") * Fraction::new(1, 8));
                    let inner = text.trim_start_matches('[').trim_end_matches(']');
                    let mut notes: Notes =
                        if inner == "z" { Notes::new() } else { inner.split(',').map(note).collect() };
                    notes.iter_mut().for_each(|n| n.tied_from_previous = tied.contains(&n.pitch.midi()));
                    tied = notes.iter().filter(|n| n.tied_to_next).map(|n| n.pitch.midi()).collect();
                    notes.sort_by_key(|n| n.pitch.midi());
                    let sounding = match notes.is_empty() {
                        true => Sounding::Rest { visible: true, whole_bar: false },
                        false => Sounding::Head { id: NoteId(0), notes },
                    };
                    bar.events.push(Event {
                        onset: Onset::ZERO + bar.length,
                        duration,
                        value: NoteValue::plain(3),
                        graces: std::mem::take(&mut graces),
                        graces_slashed: true,
                        chord_symbols: std::mem::take(&mut symbols),
                        ..Event::blank(sounding)
                    });
                    bar.length += duration;
                }
            }
        }
    }
    close(&mut tune, &mut current, &mut at, 0);
    tune.number_notes();
    tune
}

fn blank(label: BarLabel, onset: Onset, left: Barline) -> Bar {
    Bar { label, onset, left, rest_run: 1, ..Bar::blank() }
}
/// The G/C box: everything a fifth lower.
pub(super) fn gc() -> Instrument {
    use RowAt::{Inner, Outer};
    Instrument {
        id: "gc-21-third".into(),
        family: "gc".into(),
        rows: vec![row(Outer, "G", 55, 3, 11, 0.0), row(Inner, "C", 60, 3, 10, 0.5)],
        left: left(&[(Outer, "G", "D"), (Outer, "C", "G"), (Inner, "E", "Am"), (Inner, "F", "F")]),
        ..dg()
    }
}
