//! One finger on two buttons in a row, where only the author's pins of places and fingers make it so.
//!
//! Takes a plan and a plan of the same tune without those pins, complains once and names the notes. Decides nothing: a pin
//! wins, but an author who pins a place for one bar seldom sees what it does to the next ten.

use super::plan::{Plan, PlannedNote};
use super::request::{NoteSpan, Pin, PinWish, Request};
use super::walk::Walk;
use crate::diag::Sink;
use crate::tune::{NoteId, Tune};
use std::collections::BTreeSet;

/// Notes named at most.
const MOST_NAMED: usize = 12;

/// Where one finger goes from one button to another without a rest or the end of a phrase between, as pairs of notes.
pub(super) fn jumps(walk: &Walk, plan: &Plan) -> BTreeSet<(NoteId, NoteId)> {
    let note = |item: usize| plan.note(walk.items[item].note);
    let jumps = |a: &PlannedNote, b: &PlannedNote| {
        let other = |b: &super::Press| a.presses.iter().any(|a| a.finger == b.finger && a.button != b.button);
        b.presses.iter().any(other)
    };
    let steps = walk.steps.iter().filter(|step| !step.phrase);
    let pairs = steps.filter_map(|step| Some((note(step.from?)?, note(step.to?)?)));
    pairs.filter(|(a, b)| jumps(a, b)).map(|(a, b)| (a.id, b.id)).collect()
}

/// The request without what its pins say of fingers and places; `None` if they say nothing of them, or if a settled plan
/// speaks for itself.
pub(super) fn freed(request: &Request) -> Option<Request> {
    let says = |pin: &Pin| pin.wish.finger.is_some() || pin.wish.place.is_some();
    if request.settled.is_some() || !request.pins.iter().any(says) {
        return None;
    }
    let free = |pin: &Pin| Pin { wish: PinWish { finger: None, place: None, ..pin.wish.clone() }, ..pin.clone() };
    Some(Request { pins: request.pins.iter().map(free).collect(), runners_up: false, ..request.clone() })
}

/// Complains of jumps that a plan without those pins has not; not of notes whose own finger is pinned.
pub(super) fn complain(
    tune: &Tune,
    walk: &Walk,
    request: &Request,
    jumps: &BTreeSet<(NoteId, NoteId)>,
    free: &BTreeSet<(NoteId, NoteId)>,
    sink: &mut Sink,
) {
    let meant = |note: NoteId| {
        let own = |pin: &&Pin| pin.wish.finger.is_some() && pin.target.span == NoteSpan::Note(note);
        request.pins.iter().any(|pin| own(&pin))
    };
    let mut forced: Vec<NoteId> =
        jumps.difference(free).filter(|(a, b)| !meant(*a) && !meant(*b)).map(|(_, b)| *b).collect();
    forced.sort_unstable();
    forced.dedup();
    let Some(first) = forced.first() else { return };
    // The pin that began last before it.
    let begins = |pin: &Pin| match pin.target.span {
        NoteSpan::Note(note) => Some(note),
        NoteSpan::Bars(from, _) => {
            walk.items.iter().find(|item| tune.bars[item.bar].label == from).map(|item| item.note)
        }
    };
    let pins = request.pins.iter().filter(|pin| pin.wish.finger.is_some() || pin.wish.place.is_some());
    let Some(pin) = pins
        .filter_map(|pin| Some((begins(pin)?, pin)))
        .filter(|(note, _)| note <= first)
        .max_by_key(|(note, _)| *note)
        .map(|(_, pin)| pin)
        .or_else(|| request.pins.iter().find(|pin| pin.wish.finger.is_some() || pin.wish.place.is_some()))
    else {
        return;
    };
    let names: Vec<String> = forced.iter().take(MOST_NAMED).map(|note| tune.address(*note).to_string()).collect();
    let more = forced.len().saturating_sub(MOST_NAMED);
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    let message = format!(
        "pins of places and fingers force one finger from button to button, where the plan without them has another finger: into {}{rest}",
        names.join(", ")
    );
    sink.warn(code!("pins-force-same-finger"), Some(pin.place), message).hints.push(
        "let the place begin where the hand can move, or pin the finger of that note to say that you mean it".into(),
    );
}
