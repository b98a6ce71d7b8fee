//! What the left hand really presses once the bellows are settled, and what it has to leave out.
//!
//! Takes wants and the directions of a finished plan, gives presses; complains of chords that do not sound there. A press
//! is let go where the bellows turn unless the author holds it over; a pattern's long press is taken up again with its next
//! stroke that sounds (common practice, no source).

use super::super::model::Model;
use super::super::parts::Parts;
use super::super::plan::LeftPress;
use super::Want;
use crate::diag::Sink;
use crate::instrument::{Direction, LeftButtonId, LeftHand, LeftKind};
use crate::tune::{Duration, NoteId, Onset};
use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Finger for a left-hand button: the index at the chin end, one finger a button (published for the D/G box: the outer
/// pair at the chin 1 and 2, the other 3 and 4); rows of more than four begin again.
fn finger(left: &LeftHand, button: LeftButtonId) -> u8 {
    (left.buttons[button.0].number.max(1) - 1) % 4 + 1
}

/// Where the bellows go while a want begins: at a head, or in rests.
#[derive(Debug, Clone, Copy)]
struct Sounding {
    direction: Direction,
    note: Option<NoteId>,
    /// Whether on another pass the bellows go the other way.
    both: bool,
}

/// The presses of a finished plan, by bar, onset, bass before chord.
pub(in super::super) fn presses(
    parts: &Parts<'_>,
    model: &Model,
    left: &LeftHand,
    directions: &[Direction],
    sink: &mut Sink,
) -> Vec<LeftPress> {
    let mut at: BTreeMap<usize, Sounding> = BTreeMap::new();
    for (item, wants) in model.wants_at.iter().enumerate() {
        for want in wants {
            let note = Some(parts.walk.items[item].note);
            at.insert(*want, Sounding { direction: directions[item], note, both: false });
        }
    }
    for (n, step) in parts.walk.steps.iter().enumerate() {
        let ends = [step.from.map(|item| directions[item]), step.to.map(|item| directions[item])];
        let path = model.way_through_rests(parts, &model.wants_in[n], ends);
        for (want, direction) in model.wants_in[n].iter().zip(path) {
            let note = step.from.or(step.to).map(|item| parts.walk.items[item].note);
            let known = at.entry(*want).or_insert(Sounding { direction, note, both: false });
            known.both |= known.direction != direction;
        }
    }
    let names = Names { left, known: RefCell::default() };
    let mut presses = Vec::new();
    let mut missing: Vec<(&Want, Sounding, Vec<&'static str>)> = Vec::new();
    let mut replaced: Vec<(&Want, Sounding, String)> = Vec::new();
    for (n, sounding) in &at {
        let want = &parts.wants[*n];
        let here = want.buttons[sounding.direction as usize];
        let other = want.buttons[sounding.direction.turned() as usize];
        let Some(button) = here.or(other) else {
            continue;
        };
        let direction = if here.is_some() { sounding.direction } else { sounding.direction.turned() };
        let name = |button: LeftButtonId, way: Direction| names.of(button, way, want.kind);
        // One printed name must be true on every pass.
        let differs = || other.is_none_or(|other| name(other, direction.turned()) != name(button, direction));
        let dropped = here.is_none() || (sounding.both && differs());
        if !dropped && want.substitute[direction as usize] && !want.missing {
            let instead = name(button, direction);
            match replaced.last_mut() {
                Some((last, at, names)) if last.asked == want.asked && at.note == sounding.note => {
                    if !names.contains(&*instead) {
                        *names = format!("{names} and {instead}");
                    }
                }
                _ => replaced.push((want, *sounding, instead.to_string())),
            }
        }
        if dropped {
            let kind = match want.kind {
                LeftKind::Bass => "bass",
                LeftKind::Chord => "chord",
            };
            match missing.last_mut() {
                Some((last, at, kinds))
                    if last.asked == want.asked && at.note == sounding.note && last.author == want.author =>
                {
                    if !kinds.contains(&kind) {
                        kinds.push(kind);
                    }
                }
                _ => missing.push((want, *sounding, vec![kind])),
            }
        }
        let press = |onset: Onset, button: LeftButtonId, direction: Direction| LeftPress {
            bar: want.bar,
            onset,
            duration: until_turn(parts, directions, want, onset, direction),
            kind: want.kind,
            name: name(button, direction),
            button,
            finger: finger(left, button),
            held: want.held,
            dropped,
        };
        let duration = until_turn(parts, directions, want, want.onset, sounding.direction);
        presses.push(LeftPress { duration, ..press(want.onset, button, direction) });
        if !dropped {
            for (onset, direction) in taken_up(parts, directions, want, sounding.direction) {
                let button = want.buttons[direction as usize];
                presses.extend(button.map(|button| press(onset, button, direction)));
            }
        }
    }
    presses.sort_by_key(|press| (press.bar, press.onset, press.kind, press.button));
    presses.shrink_to_fit();
    for (want, sounding, kinds) in missing {
        complain(parts, want, sounding, &kinds, sink);
    }
    for (want, sounding, names) in replaced {
        let (asked, way, at) = (&want.asked, sounding.direction, moment(parts, want, sounding));
        let message = format!("{asked} does not sound on the {way} {at}; the left hand plays {names} instead");
        sink.warn(code!("chord-substitute"), want.place, message)
            .hints
            .push("pin the note to the other direction if it has a button there, or write another left hand".into());
    }
    presses
}

/// Printed names, each held once for all presses of a tune.
struct Names<'a> {
    left: &'a LeftHand,
    known: RefCell<BTreeMap<(LeftButtonId, Direction, LeftKind), Arc<str>>>,
}

impl Names<'_> {
    fn of(&self, button: LeftButtonId, way: Direction, kind: LeftKind) -> Arc<str> {
        let new = || self.left.buttons[button.0].sound(way).name(kind).into();
        Arc::clone(self.known.borrow_mut().entry((button, way, kind)).or_insert_with(new))
    }
}

/// How long a press from a moment on lasts: cut at the first head inside it that goes the other way, unless it is held over.
fn until_turn(parts: &Parts<'_>, directions: &[Direction], want: &Want, from: Onset, direction: Direction) -> Duration {
    if want.held {
        return want.length;
    }
    let (first, end) = parts.walk.spans[want.bar];
    let over = want.onset + want.length;
    let turn = (first..end).find(|n| {
        let onset = parts.walk.items[*n].onset;
        onset > from && onset < over && directions[*n] != direction
    });
    turn.map_or(over, |n| parts.walk.items[n].onset) - from
}

/// Where a press that turns have ended begins again: the first stroke after each turn at which its chord sounds, under a
/// head, with the direction there.
fn taken_up(parts: &Parts<'_>, directions: &[Direction], want: &Want, direction: Direction) -> Vec<(Onset, Direction)> {
    let mut found = Vec::new();
    if want.author || want.stroke.is_zero() || want.stroke >= want.length {
        return found;
    }
    let (first, end) = parts.walk.spans[want.bar];
    let over = want.onset + want.length;
    let mut silent = want.onset + until_turn(parts, directions, want, want.onset, direction);
    let mut at = want.onset + want.stroke;
    while at < over {
        let items = &parts.walk.items;
        let under = (first..end).find(|n| items[*n].onset <= at && at < items[*n].onset + items[*n].length);
        if let Some(way) = under.map(|n| directions[n]).filter(|_| at >= silent)
            && want.loss(way) == 0
        {
            found.push((at, way));
            silent = at + until_turn(parts, directions, want, at, way);
        }
        at = at + want.stroke;
    }
    found
}

/// Where a want begins, in words.
fn moment(parts: &Parts<'_>, want: &Want, sounding: Sounding) -> String {
    match sounding.note {
        Some(note) => format!("at note {}", parts.tune.address(note)),
        None => format!("in bar {}", parts.tune.bars[want.bar].label),
    }
}

fn complain(parts: &Parts<'_>, want: &Want, sounding: Sounding, kinds: &[&str], sink: &mut Sink) {
    let what = kinds.join(" and ");
    let (asked, direction) = (&want.asked, sounding.direction);
    let place = moment(parts, want, sounding);
    if want.author {
        sink.error(
            code!("left-hand-cannot-sound"),
            want.place,
            format!("`{asked}` does not sound on the {direction} {place}"),
        )
        .hints
        .push("pin the note to the other direction if it has a button there, or write another left hand".into());
    } else {
        sink.warn(
            code!("chord-missing"),
            want.place,
            format!("the {asked} {what} does not sound on the {direction} {place}; the left hand leaves it out"),
        )
        .hints
        .push("pin the note to the other direction if it has a button there, or write another left hand".into());
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::instrument::{LeftButton, LeftSound, RowAt, Thirds, Triad};
    use crate::tune::{PitchClass, Step};

    #[test]
    fn the_outer_pairs_take_fingers_one_to_four() {
        let sound = LeftSound { root: PitchClass::new(Step::D, 0), triad: Triad::Major };
        let button = |number| LeftButton { row: RowAt::Outer, number, kind: LeftKind::Chord, push: sound, pull: sound };
        let left = LeftHand { rows: vec![RowAt::Outer], buttons: (1..=4).map(button).collect(), thirds: Thirds::In };
        let fingers: Vec<u8> = (0..4).map(|n| finger(&left, LeftButtonId(n))).collect();
        assert_eq!(fingers, [1, 2, 3, 4]);
    }
}
