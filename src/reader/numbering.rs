//! Bar numbers as authors count them, and the check of bar lengths.
//!
//! The first full bar is 1, a pick-up is 0; a bar that a repeat sign (or the end of a section) splits is one number, its
//! second half `8+`; endings count on in written order. A short bar is right at the start of a section and at its end.

use super::complaints::Complaints;
use crate::tune::{BarLabel, BarlineStyle, Duration, Meter, Tune};

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
        let split_here = at > 0 && tune.bars[at - 1].right.style == BarlineStyle::None;
        let completes = full.is_some_and(|full| short_before + length == full);
        let label = if at == 0 {
            if short && tune.bars.len() > 1 { BarLabel::new(0) } else { BarLabel::new(1) }
        } else if short && !last.second_half && ((begins && !has_ending) || (split_here && completes)) {
            BarLabel { number: last.number, second_half: true }
        } else {
            BarLabel::new(last.number + 1)
        };
        tune.bars[at].label = label;
        last = label;
        if let Some(full) = full
            && length != full
        {
            check(tune, at, length, full, &meter, complaints);
        }
        short_before = if short { length } else { Duration::ZERO };
    }
}

fn check(tune: &Tune, at: usize, length: Duration, full: Duration, meter: &Meter, complaints: &mut Complaints) {
    let next_begins = at + 1 == tune.bars.len() || section_begins(tune, at + 1);
    let before_ending = tune.bars.get(at + 1).is_some_and(|next| next.ending.is_some() || next.meter.is_some());
    let after_ending = tune.bars[at].ending.is_some();
    let at_edge = section_begins(tune, at) || next_begins || before_ending || after_ending;
    if length < full && at_edge {
        return;
    }
    let bar = &tune.bars[at];
    let Some(place) = bar.place else { return };
    let difference =
        if length > full { format!("{} too long", length - full) } else { format!("{} too short", full - length) };
    let message = format!("bar {} lasts {length}, which is {difference} for {meter}", bar.label);
    let hint = "check the note lengths against L:, or for a barline too many or too few";
    complaints.fault("bar-length", place, message, hint);
}
