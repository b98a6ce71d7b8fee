//! Reads practice files back and compares them with what was asked for.

use super::*;
use crate::fingering::{LeftOut, LeftPress, Place, PlannedNote, Presses};
use crate::instrument::{
    Bellows, ButtonId, Direction, LeftButton, LeftButtonId, LeftHand, LeftKind, LeftSound, RowAt, Thirds, Triad,
};
use crate::tune::*;
use midly::{MetaMessage, MidiMessage, Smf, TrackEventKind};

/// Ticks in a quarter, as the files say.
const QUARTER: u32 = 6720;

/// One head: pitch (`~` ties on, a `g` list before it), length in quarters.
fn event(onset: Fraction, pitch: &str, length: Fraction) -> Event {
    let duration = Duration(length * Fraction::new(1, 4));
    let mut graces = ThinVec::new();
    let mut name = pitch;
    while let Some((grace, rest)) = name.split_once(' ') {
        graces.push(Grace { id: NoteId(0), notes: vec![note(grace, false, false)].into(), value: NoteValue::plain(3) });
        name = rest;
    }
    let from = name.starts_with('~');
    let to = name.ends_with('~');
    let name = name.trim_matches('~');
    let sounding = if name == "z" {
        Sounding::Rest { visible: true, whole_bar: false }
    } else {
        Sounding::Head { id: NoteId(0), notes: vec![note(name, from, to)].into() }
    };
    Event { onset: Onset(onset), duration, value: NoteValue::plain(2), graces, ..Event::blank(sounding) }
}

fn note(name: &str, from: bool, to: bool) -> Note {
    let pitch = Pitch::parse(name).expect("the tests spell pitches right");
    Note { tied_to_next: to, tied_from_previous: from, ..Note::new(pitch) }
}

fn bar(number: u32, heads: &[(&str, (i64, i64))]) -> Bar {
    let mut at = Fraction::ZERO;
    let events = heads
        .iter()
        .map(|(name, (num, den))| {
            let event = event(at, name, Fraction::new(*num, *den));
            at = at + event.duration.0;
            event
        })
        .collect();
    Bar { label: BarLabel::new(number), length: Duration(at), rest_run: 1, events, ..Bar::blank() }
}

fn tune(meter: Meter, bars: Vec<Bar>) -> Tune {
    let mut tune = Tune {
        title: "Test".into(),
        key: KeySignature::regular(PitchClass::new(Step::G, 0), Mode::Major).expect("G major exists"),
        meter,
        tempo: Some(Tempo { before: None, beat: vec![Duration::new(1, 4)], bpm: Some(100), after: None }),
        bars,
        ..Tune::blank()
    };
    tune.number_notes();
    tune
}

fn instrument(thirds: Thirds) -> Instrument {
    let sound = |step, triad| LeftSound { root: PitchClass::new(step, 0), triad };
    let button = |number, kind, push, pull| LeftButton { row: RowAt::Inner, number, kind, push, pull };
    Instrument {
        id: "test".into(),
        name: "Test".into(),
        family: "test".into(),
        rows: Vec::new(),
        left: LeftHand {
            rows: vec![RowAt::Inner],
            buttons: vec![
                button(1, LeftKind::Chord, sound(Step::G, Triad::Major), sound(Step::E, Triad::Minor)),
                button(2, LeftKind::Bass, sound(Step::G, Triad::Major), sound(Step::E, Triad::Major)),
            ],
            thirds,
        },
        bellows: Bellows { seconds: 9.0, source: "invented".into() },
        source: "invented".into(),
    }
}

fn press(bar: usize, kind: LeftKind, name: &str, dropped: bool) -> LeftPress {
    let button = LeftButtonId(usize::from(kind == LeftKind::Bass));
    let (onset, duration) = (Onset::ZERO, Duration::new(1, 4));
    LeftPress { bar, onset, duration, kind, name: name.into(), button, finger: 2, held: false, dropped }
}

const LESSON: Lesson = Lesson { name: "Test", number: 1, of: 1 };

fn bytes(tune: &Tune, plan: &Plan, step: u32) -> Vec<u8> {
    files(&LESSON, tune, plan, &instrument(Thirds::In), &[step]).remove(0).bytes
}

/// The sounding keys of a track as (start, length, key), ticks from the file's start; every key must be let go.
fn keys(bytes: &[u8], track: usize) -> Vec<(u32, u32, u8)> {
    let smf = Smf::parse(bytes).expect("the file reads");
    let (mut at, mut found, mut down) = (0, Vec::new(), Vec::new());
    for event in &smf.tracks[track] {
        at += event.delta.as_int();
        let TrackEventKind::Midi { message, .. } = event.kind else { continue };
        match message {
            MidiMessage::NoteOn { key, .. } => down.push((at, key)),
            MidiMessage::NoteOff { key, .. } => {
                let nth = down.iter().position(|(_, other)| *other == key).expect("the key is down");
                let (start, key) = down.remove(nth);
                found.push((start, at - start, key.as_int()));
            }
            _ => {}
        }
    }
    assert!(down.is_empty(), "no key stays down");
    found.sort_unstable();
    found
}

fn metas(bytes: &[u8]) -> Vec<(u32, String)> {
    let smf = Smf::parse(bytes).expect("the file reads");
    let mut at = 0;
    let mut found = Vec::new();
    for event in &smf.tracks[0] {
        at += event.delta.as_int();
        match event.kind {
            TrackEventKind::Meta(MetaMessage::Marker(text)) => {
                found.push((at, String::from_utf8_lossy(text).into_owned()));
            }
            TrackEventKind::Meta(MetaMessage::Tempo(micros)) => found.push((at, format!("tempo {micros}"))),
            TrackEventKind::Meta(MetaMessage::TimeSignature(beats, power, ..)) => {
                found.push((at, format!("metre {beats}/{}", 1 << power)));
            }
            _ => {}
        }
    }
    found
}

#[test]
fn repeats_and_endings_are_played_out() {
    let mut bars = vec![bar(1, &[("G4", (4, 1))]), bar(2, &[("A4", (4, 1))]), bar(3, &[("B4", (4, 1))])];
    bars[0].left.repeat_start = true;
    bars[1].ending = Some(Ending { passes: vec![1], last_bar: 1, closed: true });
    bars[1].right.repeat_end = 2;
    bars[2].ending = Some(Ending { passes: vec![2], last_bar: 2, closed: true });
    let bytes = bytes(&tune(Meter::Common, bars), &Plan::default(), 100);
    let whole = 4 * QUARTER;
    let expected = [67, 69, 67, 71].iter().zip(1..).map(|(key, n)| (n * whole, whole, *key)).collect::<Vec<_>>();
    assert_eq!(keys(&bytes, 1), expected, "one bar is counted in");
    let markers: Vec<_> = metas(&bytes).into_iter().filter(|(_, text)| text.starts_with("bar")).collect();
    let said: Vec<_> = markers.iter().map(|(_, text)| text.as_str()).collect();
    assert_eq!(said, ["bar 1", "bar 2", "bar 1, time 2", "bar 3"]);
    assert_eq!(markers[2].0, 3 * whole);
}

#[test]
fn triplets_and_septuplets_fall_on_ticks() {
    let bars =
        vec![bar(1, &[("G4", (1, 3)), ("A4", (1, 3)), ("B4", (1, 3))]), bar(2, &[("G4", (1, 7)), ("A4", (6, 7))])];
    let bytes = bytes(&tune(Meter::simple(1, 4), bars), &Plan::default(), 100);
    let starts: Vec<_> = keys(&bytes, 1).iter().map(|(start, ..)| start - 2 * QUARTER).collect();
    assert_eq!(starts, [0, 2240, 4480, 6720, 7680], "two bars of one beat are counted in");
}

/// Elevenths don't fall on ticks; each is rounded by itself, so the last bar starts where it should.
#[test]
fn nothing_drifts() {
    let elevenths: Vec<_> = (0..11).map(|_| ("G4", (1, 11))).collect();
    let bars = (1..=1000).map(|number| bar(number, &elevenths)).collect();
    let bytes = bytes(&tune(Meter::simple(1, 4), bars), &Plan::default(), 100);
    let keys = keys(&bytes, 1);
    assert_eq!(keys.len(), 11_000);
    assert_eq!(keys[11 * 999].0, (2 + 999) * QUARTER);
    let (start, length, _) = keys[10_999];
    assert_eq!(start + length, 1002 * QUARTER);
}

#[test]
fn tied_notes_sound_once() {
    let bars = vec![bar(1, &[("G4", (3, 1)), ("A4~", (1, 1))]), bar(2, &[("~A4", (2, 1)), ("A4", (2, 1))])];
    let bytes = bytes(&tune(Meter::Common, bars), &Plan::default(), 100);
    let lengths: Vec<_> = keys(&bytes, 1).iter().map(|(_, length, key)| (length / QUARTER, *key)).collect();
    assert_eq!(lengths, [(3, 67), (3, 69), (2, 69)]);
}

#[test]
fn graces_take_their_time_from_the_note_before() {
    let bars = vec![bar(1, &[("G4", (1, 1)), ("C5 D5 B4", (1, 1)), ("A4", (2, 1))])];
    let bytes = bytes(&tune(Meter::Common, bars), &Plan::default(), 100);
    let eighth = QUARTER / 8;
    let from = 4 * QUARTER;
    assert_eq!(
        keys(&bytes, 1)[..4],
        [
            (from, QUARTER - 2 * eighth, 67),
            (from + QUARTER - 2 * eighth, eighth, 72),
            (from + QUARTER - eighth, eighth, 74),
            (from + QUARTER, QUARTER, 71)
        ]
    );
}

#[test]
fn graces_that_are_left_out_are_silent() {
    let bars = || vec![bar(1, &[("G4", (1, 1)), ("C5 B4", (1, 1)), ("A4", (2, 1))])];
    let plan = Plan { left_out: vec![(NoteId(1), LeftOut::OtherWay(Direction::Push))], ..Plan::default() };
    let with = bytes(&tune(Meter::Common, bars()), &Plan::default(), 100);
    let without = bytes(&tune(Meter::Common, bars()), &plan, 100);
    assert_eq!(keys(&with, 1).len(), 4);
    let from = 4 * QUARTER;
    assert_eq!(
        keys(&without, 1),
        [(from, QUARTER, 67), (from + QUARTER, QUARTER, 71), (from + 2 * QUARTER, 2 * QUARTER, 69)]
    );
}

#[test]
fn markers_tell_turns_and_the_tempo_follows_the_step() {
    let mut tune =
        tune(Meter::simple(2, 4), vec![bar(1, &[("G4", (1, 1)), ("A4", (1, 1))]), bar(2, &[("B4", (2, 1))])]);
    let tempo = Tempo { before: None, beat: vec![Duration::new(1, 4)], bpm: Some(50), after: None };
    tune.bars[1].tempo = Some(tempo.into());
    let planned = |id, direction| {
        let place = Place(ButtonId { row: RowAt::Inner, number: 3 });
        Some(PlannedNote {
            id: NoteId(id),
            direction,
            place,
            place_moves: false,
            presses: Presses::new(),
            pinned: false,
        })
    };
    let plan = Plan {
        notes: vec![planned(0, Direction::Push), planned(1, Direction::Pull), planned(2, Direction::Pull)],
        ..Plan::default()
    };
    let found = metas(&bytes(&tune, &plan, 80));
    let at = |nth: u32| (4 + nth) * QUARTER;
    let expected = [
        (0, "tempo 750000"), // 80 quarters a minute
        (0, "metre 2/4"),
        (at(0), "bar 1"),
        (at(0), "begin on the push"),
        (at(1), "turn to pull"),
        (at(2), "tempo 1500000"),
        (at(2), "bar 2"),
    ];
    assert_eq!(found, expected.map(|(at, text)| (at, text.to_owned())));
}

#[test]
fn the_left_hand_is_what_the_buttons_give() {
    let tune = tune(Meter::simple(2, 4), vec![bar(1, &[("G4", (2, 1))])]);
    let left = vec![
        press(0, LeftKind::Bass, "G", false),
        press(0, LeftKind::Chord, "em", false),
        press(0, LeftKind::Chord, "g", true),
        press(7, LeftKind::Chord, "g", false),
    ];
    let plan = Plan { left, ..Plan::default() };
    let of = |thirds, track| {
        let file = files(&LESSON, &tune, &plan, &instrument(thirds), &[100]).remove(0);
        keys(&file.bytes, track)
            .into_iter()
            .map(|(start, length, key)| (start / QUARTER, length / QUARTER, key))
            .collect::<Vec<_>>()
    };
    assert_eq!(of(Thirds::In, 2), [(4, 1, 43), (4, 1, 55)], "G2 and G3");
    assert_eq!(of(Thirds::In, 3), [(4, 1, 55), (4, 1, 59), (4, 1, 64)], "E minor within G3 to F#4");
    assert_eq!(of(Thirds::Out, 3), [(4, 1, 59), (4, 1, 64)], "root and fifth alone");
}

/// A pick-up of one beat in three: a bar of three and two beats more are counted, and the first full bar begins on a strong
/// click.
#[test]
fn a_pick_up_is_counted_into_its_bar() {
    let bars = vec![bar(0, &[("D4", (1, 1))]), bar(1, &[("G4", (3, 1))])];
    let bytes = bytes(&tune(Meter::simple(3, 4), bars), &Plan::default(), 100);
    assert_eq!(keys(&bytes, 1)[0].0, 5 * QUARTER);
    let clicks: Vec<_> = keys(&bytes, 4).iter().map(|(start, _, key)| (start / QUARTER, *key)).collect();
    let strong = |n: u32| if n.is_multiple_of(3) { 76 } else { 77 };
    assert_eq!(clicks, (0..9).map(|n| (n, strong(n))).collect::<Vec<_>>());
}

#[test]
fn beats_follow_the_metre() {
    let count = |meter: Meter, length: (i64, i64)| {
        let bytes = bytes(&tune(meter, vec![bar(1, &[("G4", length)])]), &Plan::default(), 100);
        (keys(&bytes, 1)[0].0, keys(&bytes, 4).len())
    };
    assert_eq!(count(Meter::simple(6, 8), (3, 1)), (6 * QUARTER, 6), "two bars of two");
    assert_eq!(count(Meter::simple(9, 8), (9, 2)), (QUARTER * 9 / 2, 6));
    assert_eq!(count(Meter::Figures { groups: vec![2, 2, 3], unit: 8 }, (7, 2)), (QUARTER * 7 / 2, 6));
    assert_eq!(count(Meter::Free, (7, 2)), (4 * QUARTER, 4), "a free metre has a count-in alone");
    assert_eq!(count(Meter::simple(1_000_000, 1), (4, 1)), (4 * QUARTER, 4), "nobody counts a million");
}

#[test]
fn names_sort_by_lesson() {
    let tune = tune(Meter::Common, vec![bar(1, &[("G4", (4, 1))])]);
    let names = |name: &str, number, of| {
        let lesson = Lesson { name, number, of };
        let files = files(&lesson, &tune, &Plan::default(), &instrument(Thirds::In), &[60, 0, 80, 60]);
        files.into_iter().map(|file| file.name).collect::<Vec<_>>()
    };
    assert_eq!(names("tin-lantern", 3, 26), ["03-tin-lantern-060.mid", "03-tin-lantern-080.mid"]);
    assert_eq!(names("Winnie's Shawl!", 9, 150)[0], "009-winnies-shawl-060.mid");
    assert_eq!(names("../etc/é", 1, 1)[0], "01-etc-060.mid");
    assert_eq!(names("…", 1, 1)[0], "01-tune-060.mid");
    assert!(names(&"x".repeat(500), 1, 1)[0].len() < 80);
}

#[test]
fn hostile_tunes_stay_small_and_readable() {
    // 255 times round a bar of long notes, then notes beyond all time and beyond the keyboard.
    let mut bars = vec![bar(1, &[("G4", (4000, 1))]), bar(2, &[("G10", (1, 1)), ("B4", (i64::MAX, 1))])];
    bars[0].right.repeat_end = 255;
    let tune = tune(Meter::Figures { groups: vec![u32::MAX; 100], unit: 1 }, bars);
    let first = bytes(&tune, &Plan::default(), u32::MAX);
    assert!(first.len() < 100_000);
    assert_eq!(first, bytes(&tune, &Plan::default(), u32::MAX), "the same again");
    assert!(metas(&first).iter().any(|(_, text)| text.starts_with("cut here")));
    assert!(keys(&first, 1).len() <= 9);
}

#[test]
fn too_many_tones_are_cut() {
    let many: Vec<_> = (0..1000).map(|_| ("G4", (1, 1000))).collect();
    let mut bars = vec![bar(1, &many)];
    bars[0].right.repeat_end = 255;
    let bytes = bytes(&tune(Meter::simple(1, 4), bars), &Plan::default(), 100);
    let played = keys(&bytes, 1).len();
    assert!((90_000..=100_000).contains(&played), "{played}");
}
