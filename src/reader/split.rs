//! Lengths that no one value draws are split at beats: heads into tied heads, rests into rests.
//!
//! Sources: the standard leaves such lengths open (ABC 2.1 §4.3); that splits fall on beats is common engraving practice.

use super::complaints::Complaints;
use crate::tune::{Duration, Event, Fraction, Meter, NoteValue, Sounding, ThinVec, Tune, Tuplet};

/// No length is split into more pieces than this.
const MOST_PIECES: usize = 64;
/// A tune has at most so many notes when long ones are split, each note of a chord and each grace note counted.
const MOST_NOTES: usize = 20_000;
/// A bar has at most so many: it is set on one line.
const MOST_IN_A_BAR: usize = 1_000;

/// Ends a tune where its notes, split, are more than can be set: each is planned and drawn in all its pieces.
pub(super) fn bound(tune: &mut Tune, complaints: &mut Complaints) {
    let (mut all, mut keep) = (0, None);
    'bars: for (nth, bar) in tune.bars.iter_mut().enumerate() {
        let mut here = 0;
        for (at, event) in bar.events.iter().enumerate() {
            let heads = if let Sounding::Head { notes, .. } = &event.sounding { notes.len().max(1) } else { 1 };
            let more = heads * most_pieces(event.duration) + event.graces.len();
            (here, all) = (here + more, all + more);
            if here <= MOST_IN_A_BAR && all <= MOST_NOTES {
                continue;
            }
            let message = if here > MOST_IN_A_BAR {
                format!(
                    "a bar has at most {MOST_IN_A_BAR} notes, long ones counted as often as they are tied; the rest of the tune is not read"
                )
            } else {
                format!(
                    "a tune has at most {MOST_NOTES} notes, long ones counted as often as they are tied; the rest is not read"
                )
            };
            let hint = "see whether the unit length `L:` and the metre are meant so, or make it several tunes";
            if let Some(place) = event.place.or(bar.place) {
                complaints.fault(code!("tune-too-long"), place, message, hint);
            }
            bar.events.truncate(at);
            keep = Some(nth + usize::from(at > 0));
            break 'bars;
        }
    }
    let Some(keep) = keep else { return };
    tune.bars.truncate(keep);
    for ending in tune.bars.iter_mut().filter_map(|bar| bar.ending.as_mut()) {
        ending.last_bar = ending.last_bar.min(keep.saturating_sub(1));
    }
}

/// At most how many pieces a length is split into: breves, and one of each shorter value or two.
fn most_pieces(length: Duration) -> usize {
    let breves = length.over(NoteValue::plain(-1).duration()).floor();
    usize::try_from(breves).unwrap_or(0).saturating_add(1).min(MOST_PIECES)
}

/// Gives every event its onset and value; splits those that no one value draws.
pub(super) fn drawable(events: Vec<Event>, meter: &Meter, tuplets: &[Tuplet]) -> Vec<Event> {
    let mut out = Vec::with_capacity(events.len());
    let mut onset = Duration::ZERO;
    for mut event in events {
        event.onset.0 = onset.0;
        let length = event.duration;
        let stretch = event
            .tuplet
            .and_then(|id| tuplets.get(id.0 as usize))
            .map_or(Fraction::ONE, |t| Fraction::new(t.actual.into(), t.normal.into()));
        let drawn = length.times(stretch);
        if matches!(event.sounding, Sounding::Rest { whole_bar: true, .. }) {
            out.push(event);
        } else if let Some(value) = NoteValue::exact(drawn) {
            event.value = value;
            out.push(event);
        } else {
            let beat = (stretch == Fraction::ONE).then(|| meter.beat());
            let half = half_bar(meter).filter(|_| beat.is_some());
            pieces(event, &cut(onset, drawn, beat, half), stretch, &mut out);
        }
        onset += length;
    }
    out
}

/// The middle of the bar, where that is a beat.
fn half_bar(meter: &Meter) -> Option<Duration> {
    let bar = meter.bar_length()?;
    let beats = bar.over(meter.beat());
    (beats.den() == 1 && beats.num() > 1 && beats.num() % 2 == 0).then(|| bar.times(Fraction::new(1, 2)))
}

/// The values that a length at an onset is drawn with.
fn cut(onset: Duration, length: Duration, beat: Option<Duration>, half: Option<Duration>) -> Vec<NoteValue> {
    // One cut at the middle of the bar, at a beat or at a half of one, if both sides can be drawn; the longer first.
    let grids =
        beat.into_iter().flat_map(|beat| [beat, beat.times(Fraction::new(1, 2)), beat.times(Fraction::new(1, 4))]);
    for grid in half.into_iter().chain(grids) {
        let count = (onset + length).over(grid).floor();
        let first = onset.over(grid).floor() + 1;
        if count - first > 1000 {
            break;
        }
        for n in (first..=count).rev() {
            let before = Duration(grid.0 * Fraction::new(n, 1)) - onset;
            let after = length - before;
            if let (Some(a), Some(b)) = (NoteValue::exact(before), NoteValue::exact(after)) {
                return vec![a, b];
            }
        }
    }
    greedy(length)
}

/// The longest plain values first; what is shorter than the shortest value is drawn as that.
fn greedy(mut length: Duration) -> Vec<NoteValue> {
    let mut out = Vec::new();
    for halvings in -1..=8 {
        let value = NoteValue::plain(halvings);
        while value.duration() <= length && out.len() < MOST_PIECES {
            out.push(value);
            length = length - value.duration();
        }
    }
    if out.is_empty() {
        out.push(NoteValue::plain(8));
    }
    out
}

/// Lays an event out in pieces; the last takes what the values leave of its length.
fn pieces(event: Event, values: &[NoteValue], stretch: Fraction, out: &mut Vec<Event>) {
    let mut onset = event.onset;
    let end = event.onset + event.duration;
    for (nth, value) in values.iter().enumerate() {
        let last = nth + 1 == values.len();
        let duration = if last { end - onset } else { Duration(value.duration().0.over(stretch)) };
        let mut piece = if nth == 0 { event.clone() } else { bare(&event) };
        (piece.onset, piece.duration, piece.value) = (onset, duration, *value);
        if let Sounding::Head { notes, .. } = &mut piece.sounding {
            for note in notes {
                note.tied_from_previous |= nth > 0;
                note.tied_to_next |= !last;
                if nth > 0 {
                    note.written_sign = None;
                }
            }
        }
        out.push(piece);
        onset = onset + duration;
    }
}

/// A later piece of an event: it sounds on, and nothing else stands at it.
fn bare(event: &Event) -> Event {
    Event {
        graces: ThinVec::new(),
        graces_slashed: false,
        marks: ThinVec::new(),
        annotations: ThinVec::new(),
        chord_symbols: ThinVec::new(),
        lyrics: ThinVec::new(),
        beamed_to_previous: false,
        ..event.clone()
    }
}
