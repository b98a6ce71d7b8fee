//! Bar numbers as authors count them, and the check of bar lengths.
//!
//! The first full bar is 1, a pick-up is 0; a bar that a repeat sign (or the end of a section) splits is one number, its
//! second half `8+`; endings count on in written order. A short bar is right at the start of a section; at its end it is right
//! where another short bar, a pick-up or the other half of a split bar, makes it up.

use super::complaints::Complaints;
use crate::tune::{BarLabel, BarlineStyle, Duration, Meter, Tune};
use std::collections::BTreeSet;

/// Whether a section begins at the left side of a bar.
fn section_begins(tune: &Tune, at: usize) -> bool {
    let bar = &tune.bars[at];
    let Some(before) = at.checked_sub(1).map(|at| &tune.bars[at]) else { return true };
    bar.left.repeat_start
        || bar.left.style == BarlineStyle::HeavyLight
        || before.right.repeat_end > 0
        || matches!(before.right.style, BarlineStyle::Double | BarlineStyle::Final)
        || bar.part.is_some()
}

/// Whether a bar goes on in the next one: nothing is drawn between them.
fn goes_on(tune: &Tune, at: usize) -> bool {
    matches!(tune.bars[at].right.style, BarlineStyle::None | BarlineStyle::Invisible)
}

/// Gives every bar its number and complains of bars of the wrong length.
pub(super) fn number(tune: &mut Tune, complaints: &mut Complaints) {
    let mut meter = tune.meter.clone();
    let mut last = BarLabel::new(0);
    let mut short_before = Duration::ZERO;
    for at in 0..tune.bars.len() {
        if let Some(new) = &tune.bars[at].meter {
            meter = new.clone();
        }
        let full = meter.bar_length();
        let length = tune.bars[at].length;
        let short = full.is_some_and(|full| length < full);
        let begins = section_begins(tune, at);
        let has_ending = tune.bars[at].ending.is_some();
        let completes = full.is_some_and(|full| short_before + length == full);
        let split_here = at > 0 && goes_on(tune, at - 1);
        let halves = |first: usize| {
            let lengths = tune.bars.get(first).zip(tune.bars.get(first + 1)).map(|(a, b)| a.length + b.length);
            goes_on(tune, first) && lengths == full
        };
        let is_half = halves(at) || at > 0 && halves(at - 1);
        let label = if at == 0 {
            if short && tune.bars.len() > 1 && !is_half { BarLabel::new(0) } else { BarLabel::new(1) }
        } else if short && !last.second_half && ((begins && !has_ending) || (split_here && completes)) {
            BarLabel { number: last.number, second_half: true }
        } else {
            BarLabel::new(last.number + 1)
        };
        tune.bars[at].label = label;
        last = label;
        if let Some(full) = full
            && length != full
            && !is_half
        {
            check(tune, at, length, full, &meter, complaints);
        }
        short_before = if short { length } else { Duration::ZERO };
    }
    check_ends(tune, complaints);
}

/// Whether a section, or the tune, ends with a bar.
fn section_ends(tune: &Tune, at: usize) -> bool {
    at + 1 == tune.bars.len() || section_begins(tune, at + 1)
}

/// Warns of sections whose last bar is short though nothing makes it up. Any short bar elsewhere may be what does: which way
/// a tune goes on from there is for its player to know.
fn check_ends(tune: &Tune, complaints: &mut Complaints) {
    let mut ends: Vec<(usize, Duration, Duration)> = Vec::new();
    let mut made_up: BTreeSet<Duration> = BTreeSet::new();
    let mut meter = &tune.meter;
    for (at, bar) in tune.bars.iter().enumerate() {
        meter = bar.meter.as_ref().unwrap_or(meter);
        let Some(full) = meter.bar_length().filter(|full| bar.length < *full) else { continue };
        // An ending begins a section of its own after the repeat sign before it, and is no pick-up.
        if section_ends(tune, at) && (!section_begins(tune, at) || bar.ending.is_some()) {
            ends.push((at, full - bar.length, bar.length));
        } else {
            made_up.insert(bar.length);
        }
    }
    for (at, missing, length) in ends {
        let bar = &tune.bars[at];
        let Some(place) = bar.place.filter(|_| !made_up.contains(&missing)) else { continue };
        let meter = tune.meter_at(at);
        let message = format!(
            "bar {} lasts {length}, which is {missing} too short for {meter}, and no pick-up makes it up",
            bar.label
        );
        let hint = if complaints.in_score {
            "fill the bar with a rest, or write a pick-up of what it lacks before the first bar of its part"
        } else {
            "fill the bar with a rest (z), or write a pick-up of what it lacks before the first bar of its part"
        };
        complaints.warn(code!("bar-length"), place, message, hint);
    }
}

fn check(tune: &Tune, at: usize, length: Duration, full: Duration, meter: &Meter, complaints: &mut Complaints) {
    let before_ending = tune.bars.get(at + 1).is_some_and(|next| next.ending.is_some() || next.meter.is_some());
    let after_ending = tune.bars[at].ending.is_some();
    let at_edge = section_begins(tune, at) || section_ends(tune, at) || before_ending || after_ending;
    if length < full && at_edge {
        return;
    }
    let bar = &tune.bars[at];
    let Some(place) = bar.place else { return };
    let difference =
        if length > full { format!("{} too long", length - full) } else { format!("{} too short", full - length) };
    let message = format!("bar {} lasts {length}, which is {difference} for {meter}", bar.label);
    let hint = if complaints.in_score {
        "look at the lengths of the notes of that measure, and at the metre"
    } else {
        "check the note lengths against L:, or for a barline too many or too few"
    };
    complaints.fault(code!("bar-length"), place, message, hint);
}
