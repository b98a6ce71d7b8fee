//! How each press sounds, true on every pass.
//!
//! Takes a finished assignment, gives the plan's notes and its counts. Knows no prices. A pair on one button is a reversal
//! when the first note is quicker than the author's limit at the tune's own tempo, else a replay (one common habit, hence a
//! setting; no source).

use super::hand::{Keyboard, Take};
use super::model::Model;
use super::moment::Link;
use super::pins::{Pinned, pitches};
use super::plan::{Place, Plan, PlannedNote, PlayedAfter, Press, Sound};
use super::walk::Walk;
use crate::tune::{Fraction, NoteId, Tune};

/// The sound of one press after an earlier way, on one pass.
fn sound(link: &Link, a: &Take, b: &Take, n: usize, quick: bool, rest: bool) -> Sound {
    if link.ties.iter().any(|(_, late)| usize::from(*late) == n) {
        return Sound::Tie;
    }
    let press = b.presses()[n];
    let Some(early) = a.presses().iter().find(|early| early.button == press.button) else {
        return Sound::Press;
    };
    if a.direction == b.direction {
        return Sound::Repeat;
    }
    let held = !rest && early.finger == press.finger;
    match link.sound {
        Some(Sound::Reversal) if held => Sound::Reversal,
        Some(Sound::Replay) => Sound::Replay,
        _ if held && quick => Sound::Reversal,
        _ => Sound::Replay,
    }
}

/// Writes an assignment down as a plan's notes, with turns, changes of row and moves of the hand as played.
pub(super) fn write(
    tune: &Tune,
    walk: &Walk,
    keyboard: &Keyboard,
    model: &Model,
    states: &[usize],
    pinned: &Pinned,
    under: Fraction,
) -> Plan {
    let take = |item: usize| &model.takes[item][states[item]];
    let mut plan = Plan { notes: vec![None; tune.note_count()], elsewhere: elsewhere(walk), ..Plan::default() };
    let mut into: Vec<Vec<&Link>> = vec![Vec::new(); walk.items.len()];
    for link in &model.links {
        into[link.to].push(link);
        let (a, b) = (take(link.from), take(link.to));
        let times = u32::try_from(walk.steps[link.step].times).unwrap_or(u32::MAX);
        let count = |sum: &mut u32, yes: bool| *sum = sum.saturating_add(if yes { times } else { 0 });
        count(&mut plan.turns, a.direction != b.direction);
        count(&mut plan.row_changes, a.rows & b.rows == 0);
    }
    // Items that are also reached from silence: the first of the tune.
    let mut opens = vec![false; walk.items.len()];
    walk.steps.iter().filter(|step| step.from.is_none()).flat_map(|step| step.to).for_each(|item| opens[item] = true);
    for (n, item) in walk.items.iter().enumerate() {
        let this = take(n);
        let spelt = pitches(tune, item);
        let presses = this.presses().iter().enumerate().map(|(p, press)| {
            let mut heard = into[n].iter().map(|link| {
                let quick = walk.items[link.from].seconds < under;
                let rest = !walk.steps[link.step].silence.is_empty();
                sound(link, take(link.from), this, p, quick, rest)
            });
            let first = heard.next().filter(|_| !opens[n]).unwrap_or(Sound::Press);
            let sound = if heard.all(|other| other == first) { first } else { Sound::Press };
            Press { pitch: spelt[p], button: keyboard.button(press.button), finger: press.finger, sound }
        });
        plan.notes[item.note.index()] = Some(PlannedNote {
            id: item.note,
            direction: this.direction,
            place: Place(keyboard.button(this.place)),
            // Where the hand moves for a reader is known when its places have names.
            place_moves: opens[n],
            presses: presses.collect(),
            pinned: pinned.notes.contains(&item.note),
        });
    }
    plan
}

/// The notes that are not only played after the note written before them, with all they are played after.
fn elsewhere(walk: &Walk) -> Vec<(NoteId, Vec<PlayedAfter>)> {
    let mut before: Vec<Vec<Option<(usize, bool)>>> = vec![Vec::new(); walk.items.len()];
    for step in &walk.steps {
        if let Some(to) = step.to {
            before[to].push(step.from.map(|from| (from, !step.silence.is_empty())));
        }
    }
    let written = |n: usize, from: &Option<(usize, bool)>| from.is_some_and(|(from, _)| from + 1 == n);
    let strange = before.into_iter().enumerate().filter(|(n, from)| !from.iter().all(|from| written(*n, from)));
    strange
        .map(|(n, from)| {
            let mut from: Vec<PlayedAfter> = from
                .into_iter()
                .flatten()
                .map(|(from, rest)| PlayedAfter { note: walk.items[from].note, rest })
                .collect();
            from.sort_unstable();
            from.dedup();
            (walk.items[n].note, from)
        })
        .collect()
}
