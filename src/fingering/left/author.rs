//! The author's own left-hand bars: tokens into wants, checked against the bar and the box.
//!
//! Takes one bar's tokens, gives wants that are rules; complains of names the box does not have and of beats that do not
//! fit the bar. Knows no melody.

use super::super::request::{LeftBar, LeftToken};
use super::{Want, chords};
use crate::diag::Sink;
use crate::instrument::LeftHand;
use crate::tune::{Duration, Fraction, Meter, Onset, Tune};

/// Adds one bar of the author's; gives the wants that a `-` at the start of the next bar would hold on.
#[expect(
    clippy::too_many_arguments,
    reason = "one bar needs its tune, its metre, what is held, and two places to put results"
)]
pub(super) fn bar(
    tune: &Tune,
    bar: usize,
    meter: &Meter,
    own: &LeftBar,
    left: &LeftHand,
    before: &[usize],
    wanted: &mut Vec<Want>,
    sink: &mut Sink,
) -> Vec<usize> {
    let Some(beats) = &own.beats else {
        return Vec::new();
    };
    let beat = meter.beat();
    let length = tune.bars[bar].length;
    // A bar of less than a beat (a pick-up) is one beat of its own.
    let beat = if beats.len() == 1 && length < beat { length } else { beat };
    let mut held: Vec<usize> = before.to_vec();
    for (n, tokens) in beats.iter().enumerate() {
        let share = beat.times(Fraction::new(1, tokens.len().max(1) as i64));
        for (m, token) in tokens.iter().enumerate() {
            let onset = Onset(beat.0 * Fraction::new(n as i64, 1) + share.0 * Fraction::new(m as i64, 1));
            // A last bar shortened for the pick-up ends within its beats: what is no press may stand beyond its end.
            let left_of_bar = length.0 - onset.0;
            if left_of_bar <= Fraction::ZERO {
                if matches!(token, LeftToken::Press(_)) {
                    complain_of_beats(own, beats.len(), length, beat, sink);
                    return Vec::new();
                }
                continue;
            }
            let share = Duration(share.0.min(left_of_bar));
            match token {
                LeftToken::Rest => held.clear(),
                LeftToken::Hold => {
                    if held.is_empty() {
                        sink.error(
                            code!("left-hand-hold"),
                            Some(own.place),
                            format!("`-` in bar {} holds nothing", own.bar),
                        )
                        .hints
                        .push("write what is pressed before it, or `.` for a rest".into());
                    }
                    for index in &held {
                        let want: &mut Want = &mut wanted[*index];
                        want.length += share;
                        want.held = true;
                    }
                }
                LeftToken::Press(names) => {
                    held.clear();
                    let first = wanted.len();
                    for name in names {
                        press(name, bar, onset, share, own, left, wanted, sink);
                    }
                    wanted[first..].sort_by_key(|want| want.kind);
                    held.extend(first..wanted.len());
                }
            }
        }
    }
    held
}

fn complain_of_beats(own: &LeftBar, beats: usize, length: Duration, beat: Duration, sink: &mut Sink) {
    let message = format!("bar {} ends before the {beats} beats that its left hand writes", own.bar);
    let hint =
        format!("the bar lasts {length} of a whole note and a beat {beat}; write `.` for what is beyond its end");
    sink.error(code!("left-hand-beats"), Some(own.place), message).hints.push(hint);
}

#[expect(
    clippy::too_many_arguments,
    reason = "one press needs its time, its name, its box, and two places to put results"
)]
fn press(
    name: &str,
    bar: usize,
    onset: Onset,
    length: Duration,
    own: &LeftBar,
    left: &LeftHand,
    wanted: &mut Vec<Want>,
    sink: &mut Sink,
) {
    let named = chords::for_name(name, left).filter(|named| named.buttons.iter().any(Option::is_some));
    let Some(named) = named else {
        sink.error(
            code!("left-hand-name"),
            Some(own.place),
            format!("the left hand of this box has no `{name}` (bar {})", own.bar),
        )
        .hints
        .push(format!("it has {}", chords::names(left).join(", ")));
        return;
    };
    let asked = name.to_owned();
    let place = Some(own.place);
    wanted.push(Want {
        bar,
        onset,
        length,
        kind: named.kind,
        asked,
        buttons: named.buttons,
        substitute: [false; 2],
        missing: false,
        author: true,
        held: false,
        stroke: length,
        place,
    });
}
