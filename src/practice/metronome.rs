//! The clicks: the count-in and the beats of every bar.
//!
//! Takes a metre and a bar; gives tones of the percussion channel. Keys are those of the General MIDI 1 percussion map (76 high,
//! 77 low wood block), from memory. How many bars are counted in is common practice, no source.

use super::tones::Tone;
use crate::tune::{Bar, Duration, Fraction, Meter};

/// The first beat of a bar.
const STRONG: (u8, u8) = (76, 112);
/// The other beats.
const WEAK: (u8, u8) = (77, 80);
/// More beats than this in a bar are not counted.
const MOST_BEATS: usize = 64;

/// Counts in, and gives the time at which the tune begins: one full bar, or two where a bar has fewer than three beats, and
/// then as much of the next bar as a pick-up leaves over. A free metre gets four quarters.
pub(super) fn count_in(meter: &Meter, first: &Bar, clicks: &mut Vec<Tone>) -> Fraction {
    let beats = beats(meter);
    let Some(length) = meter.bar_length().filter(|_| !beats.is_empty()) else {
        let quarters = (0..4).map(|n| (Fraction::new(n, 4), if n == 0 { STRONG } else { WEAK }));
        clicks.extend(quarters.map(|(at, sound)| click(at, sound)));
        return Fraction::ONE;
    };
    let whole_bars = if beats.len() < 3 { 2 } else { 1 };
    let start = length.0 * Fraction::new(whole_bars, 1) + missing_before(meter, first);
    for bar in 0..=whole_bars {
        let bar_start = length.0 * Fraction::new(bar, 1);
        add_beats(&beats, bar_start, bar_start, start, clicks);
    }
    start
}

/// The beats of one bar that starts at `at`; none in a free metre.
pub(super) fn bar(meter: &Meter, bar: &Bar, at: Fraction, clicks: &mut Vec<Tone>) {
    let Some(length) = meter.bar_length() else { return };
    let beats = beats(meter);
    let end = at + bar.length.0;
    let mut bar_start = at - missing_before(meter, bar);
    // A bar that is longer than its metre goes on being counted, within reason.
    for _ in 0..MOST_BEATS {
        add_beats(&beats, bar_start, at, end, clicks);
        bar_start = bar_start + length.0;
        if bar_start >= end || length.is_zero() {
            break;
        }
    }
}

/// How much of a full bar lies before a bar that begins late: a pick-up, or the second half of a split bar.
fn missing_before(meter: &Meter, bar: &Bar) -> Fraction {
    let late = bar.label.number == 0 || bar.label.second_half;
    meter.bar_length().filter(|full| late && bar.length < *full).map_or(Fraction::ZERO, |full| (full - bar.length).0)
}

/// The beats of a full bar from its start; the groups of a summed metre are its beats. Empty for a free metre and for one
/// with more beats than anybody counts.
fn beats(meter: &Meter) -> Vec<Fraction> {
    if let Meter::Figures { groups, unit } = meter
        && groups.len() > 1
    {
        let mut at = Fraction::ZERO;
        return groups
            .iter()
            .take(MOST_BEATS)
            .map(|group| {
                let here = at;
                at = at + Fraction::new(i64::from(*group), i64::from(*unit));
                here
            })
            .collect();
    }
    let Some(length) = meter.bar_length() else { return Vec::new() };
    let beat = meter.beat();
    let count = length.over(beat);
    match usize::try_from((count - Fraction::new(1, 1)).floor() + 1) {
        Ok(count) if (1..=MOST_BEATS).contains(&count) => {
            (0..count).filter_map(|n| i64::try_from(n).ok()).map(|n| beat.0 * Fraction::new(n, 1)).collect()
        }
        _ => Vec::new(),
    }
}

fn add_beats(beats: &[Fraction], bar: Fraction, from: Fraction, before: Fraction, clicks: &mut Vec<Tone>) {
    for (nth, beat) in beats.iter().enumerate() {
        let at = bar + *beat;
        if at >= from && at < before {
            clicks.push(click(at, if nth == 0 { STRONG } else { WEAK }));
        }
    }
}

fn click(at: Fraction, (key, velocity): (u8, u8)) -> Tone {
    Tone { start: at, end: at + Duration::new(1, 32).0, key, velocity }
}
