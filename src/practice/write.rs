//! A performance into the bytes of a Standard MIDI File of format 1.
//!
//! Takes exact times; each is rounded to a tick by itself, so nothing drifts. Knows no tunes.

use super::tones::{Performance, Tone};
use crate::tune::{Fraction, Meter, Mode};
use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, TrackEvent, TrackEventKind};

/// Ticks in a quarter: 2^6 * 3 * 5 * 7, so that everything down to a 256th, and triplets, quintuplets and septuplets of it
/// down to a 64th, fall on a tick.
const TICKS_A_QUARTER: u16 = 6720;

/// General MIDI 1 sound set, program 22 counted from 1: accordion. From memory.
const ACCORDION: u8 = 21;
/// The percussion channel of General MIDI 1, number 10 counted from 1.
const PERCUSSION: u8 = 9;

/// One event with its absolute tick and, within the tick, its rank: what ends, what is said, what begins.
struct Timed<'a> {
    tick: u32,
    rank: u8,
    kind: TrackEventKind<'a>,
}

/// The file of a performance at a step in per cent of its tempo.
pub(super) fn bytes(title: &str, performance: &Performance, step: u32) -> Vec<u8> {
    let header = Header::new(Format::Parallel, Timing::Metrical(u15::new(TICKS_A_QUARTER)));
    let mut smf = Smf::new(header);
    smf.tracks.push(track(title, conductor(performance, step)));
    smf.tracks.push(voice("Melody", 0, Some(ACCORDION), &performance.melody));
    smf.tracks.push(voice("Bass", 1, Some(ACCORDION), &performance.bass));
    smf.tracks.push(voice("Chords", 2, Some(ACCORDION), &performance.chords));
    smf.tracks.push(voice("Metronome", PERCUSSION, None, &performance.clicks));
    let mut bytes = Vec::new();
    smf.write(&mut bytes).expect("a vector takes all bytes, and tracks are bounded");
    bytes
}

/// Tempi, metres, keys, markers.
fn conductor<'a>(performance: &'a Performance, step: u32) -> Vec<Timed<'a>> {
    let meta = |at: Fraction, rank: u8, message| Timed { tick: tick(at), rank, kind: TrackEventKind::Meta(message) };
    let mut events = Vec::new();
    for (at, wholes) in &performance.tempi {
        events.push(meta(*at, 1, MetaMessage::Tempo(u24::new(micros_a_quarter(*wholes, step)))));
    }
    for (at, meter) in &performance.meters {
        events.extend(time_signature(meter).map(|message| meta(*at, 1, message)));
    }
    for (at, key) in &performance.keys {
        let minor = matches!(key.tonic, Some((_, Mode::Minor)));
        events.push(meta(*at, 1, MetaMessage::KeySignature(key.fifths.clamp(-7, 7), minor)));
    }
    for (at, text) in &performance.markers {
        events.push(meta(*at, 2, MetaMessage::Marker(text.as_bytes())));
    }
    events
}

/// Microseconds in a quarter at a step, within the 24 bits of the format.
fn micros_a_quarter(wholes_a_minute: Fraction, step: u32) -> u32 {
    let quarters = wholes_a_minute * Fraction::new(4, 1) * Fraction::new(step.into(), 100);
    let micros = Fraction::new(60_000_000, 1).over(quarters);
    u32::try_from(nearest(micros).clamp(1, 0x00ff_ffff)).unwrap_or(500_000)
}

/// The metre as the format writes it: lower figures that are powers of two, upper figures up to 255.
fn time_signature(meter: &Meter) -> Option<MetaMessage<'static>> {
    let (beats, unit) = meter.figures()?;
    let power = u8::try_from(unit.trailing_zeros()).ok().filter(|_| unit.is_power_of_two())?;
    // MIDI clocks are 24 to the quarter; the click is given in them.
    let clocks = nearest(meter.beat().0 * Fraction::new(96, 1)).clamp(1, 255);
    Some(MetaMessage::TimeSignature(u8::try_from(beats).ok()?, power, u8::try_from(clocks).unwrap_or(24), 8))
}

fn voice<'a>(name: &'a str, channel: u8, program: Option<u8>, tones: &[Tone]) -> Vec<TrackEvent<'a>> {
    let midi =
        |tick, rank, message| Timed { tick, rank, kind: TrackEventKind::Midi { channel: u4::new(channel), message } };
    let mut events = Vec::new();
    if let Some(program) = program {
        events.push(midi(0, 1, MidiMessage::ProgramChange { program: u7::new(program) }));
    }
    for (key, velocity, start, end) in spans(tones) {
        let key = u7::new(key);
        events.push(midi(start, 2, MidiMessage::NoteOn { key, vel: u7::new(velocity) }));
        events.push(midi(end, 0, MidiMessage::NoteOff { key, vel: u7::new(64) }));
    }
    track(name, events)
}

/// Keys held down as (key, velocity, from tick, to tick). A key that is struck while it sounds is let go first, so that no
/// release ends the wrong note.
fn spans(tones: &[Tone]) -> Vec<(u8, u8, u32, u32)> {
    let mut spans: Vec<(u8, u8, u32, u32)> =
        tones.iter().map(|tone| (tone.key, tone.velocity, tick(tone.start), tick(tone.end))).collect();
    // By key, then start; of two that start together the longer one first, which is then kept.
    spans.sort_by_key(|(key, _, start, end)| (*key, *start, std::cmp::Reverse(*end)));
    spans.dedup_by_key(|(key, _, start, _)| (*key, *start));
    for at in 1..spans.len() {
        let (next_key, _, next_start, _) = spans[at];
        let before = &mut spans[at - 1];
        if before.0 == next_key {
            before.3 = before.3.min(next_start);
        }
    }
    spans.retain(|(_, _, start, end)| end > start);
    spans
}

/// Sorts events into a track with a name at its start and an end.
fn track<'a>(name: &'a str, mut events: Vec<Timed<'a>>) -> Vec<TrackEvent<'a>> {
    events.sort_by_key(|event| (event.tick, event.rank));
    let mut last = 0;
    let mut track =
        vec![TrackEvent { delta: u28::new(0), kind: TrackEventKind::Meta(MetaMessage::TrackName(name.as_bytes())) }];
    for event in events {
        track.push(TrackEvent { delta: u28::new(event.tick - last), kind: event.kind });
        last = event.tick;
    }
    track.push(TrackEvent { delta: u28::new(0), kind: TrackEventKind::Meta(MetaMessage::EndOfTrack) });
    track
}

/// The nearest tick, never beyond what one delta time can hold.
fn tick(at: Fraction) -> u32 {
    let ticks = nearest(at * Fraction::new(4 * i64::from(TICKS_A_QUARTER), 1));
    u32::try_from(ticks.clamp(0, 0x0fff_ffff)).unwrap_or(0)
}

/// The nearest whole number, halves upwards.
fn nearest(value: Fraction) -> i64 {
    (value + Fraction::new(1, 2)).floor()
}
