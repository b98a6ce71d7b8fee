//! What the places of the hand are called on the page, and where a sign for them stands.
//!
//! Takes a plan whose places are buttons of the solver's choosing, names each by the button that is under the index finger in a
//! row that is played, and marks the notes where the name changes. Knows no price. To a reader the index finger lies on the
//! button that is named, so a name holds as long as that is true: half a button beside it, where the same button of that row
//! stays under the index finger and only the other row's buttons change their fingers, is no move of the hand. An author's
//! own name stands, and so does a settled one.

use super::hand::Keyboard;
use super::plan::{Place, Plan};
use super::request::Settled;
use super::walk::Walk;
use crate::instrument::{ButtonId, RowAt};
use crate::tune::NoteId;
use std::collections::BTreeSet;

/// The index finger's number.
const INDEX: u8 = 1;

/// What a reader may call the place of one note.
struct Spot {
    /// The buttons under the index finger, one a row; one alone where the name is not ours to choose.
    names: Vec<ButtonId>,
    /// What the index finger plays.
    index: Option<ButtonId>,
    /// The rows that are played.
    rows: Vec<RowAt>,
    /// Whether the index finger stretches to another button than those that lie under it.
    stretches: bool,
}

/// Names the places of a plan, and marks where the hand moves.
pub(super) fn name_places(
    walk: &Walk,
    keyboard: &Keyboard,
    pinned: &BTreeSet<NoteId>,
    settled: Option<&Settled>,
    plan: &mut Plan,
) {
    let spots: Vec<Spot> = walk.items.iter().map(|item| spot(keyboard, pinned, settled, plan, item.note)).collect();
    // Where a repeat or a jump brings a sign into a span, a span begins, so that the sign is true of what follows it.
    let mut breaks: BTreeSet<usize> = BTreeSet::new();
    let names = loop {
        let names = named(&spots, &breaks);
        let moves = moves(walk, &names);
        let known = breaks.len();
        breaks.extend((1..spots.len()).filter(|n| moves[*n] && names[*n] == names[n - 1]));
        if breaks.len() == known {
            break names;
        }
    };
    for ((item, name), moves) in walk.items.iter().zip(&names).zip(moves(walk, &names)) {
        if let Some(note) = plan.notes[item.note.index()].as_mut() {
            note.place = Place(*name);
            note.place_moves |= moves;
        }
    }
    for step in &walk.steps {
        if step.from.zip(step.to).is_some_and(|(from, to)| names[from] != names[to]) {
            plan.place_shifts = plan.place_shifts.saturating_add(u32::try_from(step.times).unwrap_or(u32::MAX));
        }
    }
}

fn spot(keyboard: &Keyboard, pinned: &BTreeSet<NoteId>, settled: Option<&Settled>, plan: &Plan, id: NoteId) -> Spot {
    let note = plan.note(id).expect("every item of the walk has been planned");
    let place = note.place.0;
    let kept =
        |settled: &Settled| settled.notes.iter().any(|old| old.note == id && old.still_there && old.place == place);
    let own = pinned.contains(&id) || settled.is_some_and(kept);
    let rows = [RowAt::Outer, RowAt::Inner, RowAt::Half];
    let names = match keyboard.key(place).filter(|_| !own) {
        Some(key) => rows.into_iter().filter_map(|row| keyboard.place_in(key, row)).collect(),
        None => vec![place],
    };
    let index = note.presses.iter().find(|press| press.finger == INDEX).map(|press| press.button);
    let stretches = !own && index.is_some_and(|button| !names.contains(&button));
    Spot { names, index, rows: note.presses.iter().map(|press| press.button.row).collect(), stretches }
}

/// A name for each item: as few different ones in a row as can be, and a new one at each break at the latest.
fn named(spots: &[Spot], breaks: &BTreeSet<usize>) -> Vec<ButtonId> {
    let mut all = Vec::with_capacity(spots.len());
    while let Some(first) = spots.get(all.len()) {
        let from = all.len();
        // A sign stands over this note: it names the button that the index finger plays there, even by a stretch.
        if let Some(button) = first.index.filter(|_| first.stretches) {
            all.push(button);
            continue;
        }
        let (to, first_lean) = reach(spots, breaks, from);
        let name = best(&spots[from..to]);
        // Where nothing is played in the row that is named, half a button beside is a move after all.
        let played = name.filter(|name| spots[from..to].iter().any(|spot| spot.rows.contains(&name.row)));
        match (played, first_lean.filter(|lean| *lean < to)) {
            (None, Some(lean)) => all.resize(lean, best(&spots[from..lean]).expect("a place has a name")),
            _ => all.resize(to, name.expect("the span has a name")),
        }
    }
    all
}

/// How far one name is true of all notes from one on, and where in between the hand first leans by half a button. A span
/// where the index finger plays ends sooner than that its name is a button which the index finger never plays.
fn reach(spots: &[Spot], breaks: &BTreeSet<usize>, from: usize) -> (usize, Option<usize>) {
    let mut names = spots[from].names.clone();
    let (mut to, mut leant, mut first_lean, mut played) = (from, from, None, false);
    while let Some(next) = spots.get(to).filter(|_| to == from || !breaks.contains(&to)) {
        let common: Vec<ButtonId> = names.iter().filter(|name| next.names.contains(name)).copied().collect();
        if common.is_empty() {
            break;
        }
        if to > from && next.names != spots[to - 1].names {
            leant = to;
            first_lean = first_lean.or(Some(to));
        }
        match next.index.filter(|button| !played && next.names.contains(button)) {
            Some(button) if common.contains(&button) => (names, played) = (vec![button], true),
            Some(_) => return (leant, first_lean),
            None => names = common,
        }
        to += 1;
    }
    (to, first_lean)
}

/// Of the names that are true of a span the button that the index finger plays first; else the one in whose row most is
/// played, of equals the first.
fn best(span: &[Spot]) -> Option<ButtonId> {
    let (first, rest) = span.split_first()?;
    let common = first.names.iter().filter(|name| rest.iter().all(|spot| spot.names.contains(name)));
    let names: Vec<ButtonId> = common.copied().collect();
    let played = span.iter().filter_map(|spot| spot.index).find(|button| names.contains(button));
    let count = |name: &ButtonId| span.iter().flat_map(|spot| &spot.rows).filter(|row| **row == name.row).count();
    played.or_else(|| names.iter().rev().max_by_key(|name| count(name)).copied())
}

/// Whether the hand moves for each item: a reader of the page comes from the note written before, even where a repeat brings
/// the player from elsewhere.
fn moves(walk: &Walk, names: &[ButtonId]) -> Vec<bool> {
    let mut moves: Vec<bool> = (0..names.len()).map(|n| n > 0 && names[n] != names[n - 1]).collect();
    for (from, to) in walk.steps.iter().filter_map(|step| step.from.zip(step.to)) {
        moves[to] |= names[from] != names[to];
    }
    moves
}
