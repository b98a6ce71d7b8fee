//! What an edit or a new pin moved in a settled plan, and what that costs.
//!
//! Takes the settled notes, every way to take each head and the new plan; complains once, naming the notes that are taken
//! otherwise and the difference in cost between the settled playing and the new one, kind by kind. Decides nothing.

use super::hand::Take;
use super::model::Model;
use super::parts::Parts;
use super::plan::{Cost, CostKind, Plan, PlannedNote};
use super::request::{Settled, SettledNote};
use crate::diag::Sink;
use crate::instrument::{ButtonId, Direction};
use crate::tune::NoteId;
use std::collections::BTreeMap;
use std::rc::Rc;

/// Notes named at most.
const MOST_NAMED: usize = 12;

/// What is decided for one note.
type Decision = (Direction, Vec<(ButtonId, u8)>, ButtonId);

fn settled_as(note: &SettledNote) -> Decision {
    (note.direction, note.presses.clone(), note.place)
}
fn planned_as(note: &PlannedNote) -> Decision {
    (note.direction, note.presses.iter().map(|press| (press.button, press.finger)).collect(), note.place.0)
}

/// Whether a plan takes every note that is settled, and is there still, as it is settled.
pub(super) fn stands(settled: &Settled, plan: &Plan) -> bool {
    let mut standing = settled.notes.iter().filter(|note| note.still_there);
    standing.all(|note| plan.note(note.note).is_some_and(|now| planned_as(now) == settled_as(note)))
}

/// Says which notes of a settled plan had to move, how, and at what cost.
/// `now` is how each item is taken.
pub(super) fn report(
    settled: &Settled,
    parts: &Parts<'_>,
    ways: &[Rc<[Take]>],
    now: &[Take],
    plan: &Plan,
    sink: &mut Sink,
) {
    let standing = settled.notes.iter().filter(|note| note.still_there);
    let moved: Vec<(&SettledNote, Option<Decision>)> = standing
        .map(|note| (note, plan.note(note.note).map(planned_as)))
        .filter(|(note, now)| now.as_ref() != Some(&settled_as(note)))
        .collect();
    if moved.is_empty() {
        return;
    }
    let tune = parts.tune;
    let names: Vec<String> = moved
        .iter()
        .take(MOST_NAMED)
        .map(|(note, now)| {
            let how = now.as_ref().map_or_else(|| "left out".to_owned(), |now| change(&settled_as(note), now));
            format!("{} ({how})", tune.address(note.note))
        })
        .collect();
    let more = moved.len().saturating_sub(MOST_NAMED);
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    let (notes, are) = if moved.len() == 1 { ("note", "is") } else { ("notes", "are") };
    let mut message =
        format!("the settled plan does not fit everywhere: {notes} {}{rest} {are} taken otherwise", names.join(", "));
    if let Some((before, after)) = costs(settled, parts, ways, now) {
        message.push_str(&difference(&before, &after));
    }
    sink.warn(code!("settled-moved"), tune.place, message)
        .hints
        .push("settle the tune again to keep the new plan".into());
}

/// What of a decision changed, in a few words.
fn change(before: &Decision, after: &Decision) -> String {
    let buttons = |presses: &[(ButtonId, u8)]| presses.iter().map(|(button, _)| *button).collect::<Vec<_>>();
    let said = |presses: &[(ButtonId, u8)]| {
        buttons(presses).iter().map(ToString::to_string).collect::<Vec<_>>().join(" with ")
    };
    if buttons(&before.1) != buttons(&after.1) {
        let way = if before.0 == after.0 { String::new() } else { format!(" on the {}", after.0) };
        format!("{}, now {}{way}", said(&before.1), said(&after.1))
    } else if before.0 != after.0 {
        format!("now on the {}", after.0)
    } else if before.1 != after.1 {
        let fingers = after.1.iter().map(|(_, finger)| finger.to_string()).collect::<Vec<_>>();
        format!("now finger {}", fingers.join(" with "))
    } else {
        format!("index now on {}", after.2)
    }
}

/// The costs of the settled playing and of the new one, notes that were not settled taken as they are now; nothing when a
/// settled note is no longer to be had.
fn costs(settled: &Settled, parts: &Parts<'_>, ways: &[Rc<[Take]>], now: &[Take]) -> Option<(Cost, Cost)> {
    let model = Model::new(parts, ways.to_vec());
    let old: BTreeMap<NoteId, &SettledNote> =
        settled.notes.iter().filter(|note| note.still_there).map(|note| (note.note, note)).collect();
    let is = |take: &Take, note: &SettledNote| {
        let presses = take.presses().iter().map(|press| (parts.keyboard.button(press.button), press.finger));
        take.direction == note.direction
            && parts.keyboard.button(take.place) == note.place
            && presses.eq(note.presses.iter().copied())
    };
    let items = parts.walk.items.iter().enumerate();
    let pairs: Option<Vec<(usize, usize)>> = items
        .map(|(n, item)| {
            let after = ways[n].iter().position(|take| *take == now[n])?;
            let before = match old.get(&item.note) {
                Some(note) => ways[n].iter().position(|take| is(take, note))?,
                None => after,
            };
            Some((before, after))
        })
        .collect();
    let (before, after): (Vec<usize>, Vec<usize>) = pairs?.into_iter().unzip();
    Some((model.explain(parts, &before), model.explain(parts, &after)))
}

/// `; this costs 24 more (turn +30, row-change -6)`.
fn difference(before: &Cost, after: &Cost) -> String {
    let of = |cost: &Cost, kind: CostKind| cost.by_kind.iter().find(|(other, _)| *other == kind).map_or(0, |(_, c)| *c);
    let kinds = CostKind::ALL.iter().map(|kind| (kind, of(after, *kind) - of(before, *kind)));
    let kinds: Vec<String> =
        kinds.filter(|(_, more)| *more != 0).map(|(kind, more)| format!("{} {more:+}", kind.name())).collect();
    let by = match after.total - before.total {
        0 => "; this costs the same".to_owned(),
        more if more > 0 => format!("; this costs {more} more"),
        less => format!("; this costs {} less", -less),
    };
    if kinds.is_empty() { by } else { format!("{by} ({})", kinds.join(", ")) }
}
