//! Which grace notes are played: those that can go with their note, and for whose sake no chord of the left hand must give way.
//!
//! Takes a plan of the notes that are played so far; says which graces had better be left out, or played after all. A grace is an
//! ornament: it turns no bellows (a rule of the model, broken only where no way keeps it), and before another chord is pressed for its
//! sake it is left out (a player's judgement, no source). Decides nothing else; complains of what is left out.

use super::hand::Ways;
use super::model::Model;
use super::parts::Parts;
use super::plan::{LeftOut, Plan};
use super::request::{NoteSpan, Request};
use super::walk::Walk;
use crate::diag::Sink;
use crate::tune::{NoteId, Tune};
use std::collections::{BTreeMap, BTreeSet};

/// The graces that are not played.
#[derive(Debug, Clone, Default)]
pub(super) struct Graces {
    /// Each with its note.
    out: BTreeMap<NoteId, NoteId>,
    /// Those among them that are left out for the sake of a chord.
    for_chords: BTreeSet<NoteId>,
    /// Those that were left out so, and whose note goes their way all the same.
    kept: BTreeSet<NoteId>,
}

impl Graces {
    /// Whether a note is played.
    pub(super) fn plays(&self, note: NoteId) -> bool {
        !self.out.contains_key(&note)
    }

    /// Which graces had better be left out instead, seen from the best plan with these left out; `None` where it may stand. Every
    /// grace goes out at most once and comes back at most once, so that this ends.
    pub(super) fn after(
        &self,
        parts: &Parts<'_>,
        model: &Model,
        states: &[usize],
        ways: &Ways,
        request: &Request,
    ) -> Option<Self> {
        let items = &parts.walk.items;
        let direction = |item: usize| model.takes[item][states[item]].direction;
        let graces = || items.iter().enumerate().filter_map(|(n, item)| Some((n, item.grace_of?)));
        let with_notes = |found: &mut dyn Iterator<Item = (usize, usize)>| -> BTreeMap<NoteId, NoteId> {
            found.map(|(n, head)| (items[n].note, items[head].note)).collect()
        };
        let mut next = self.clone();
        // A grace that goes against its note is not played: its way must not turn the bellows, and what comes after it is played
        // after what came before it.
        let against = with_notes(&mut graces().filter(|(n, head)| direction(*n) != direction(*head)));
        if !against.is_empty() {
            next.out.extend(against);
            return Some(next);
        }
        // It was not for the grace's sake that its note went the way it goes.
        let goes: BTreeMap<NoteId, usize> = items.iter().enumerate().map(|(n, item)| (item.note, n)).collect();
        let goes_along = |grace: &NoteId| {
            let head = goes.get(&self.out[grace]);
            head.is_some_and(|head| ways[&grace.0].iter().any(|way| way.direction == direction(*head)))
        };
        let back: Vec<NoteId> = self.for_chords.iter().copied().filter(goes_along).collect();
        if !back.is_empty() {
            for grace in back {
                next.out.remove(&grace);
                next.for_chords.remove(&grace);
                next.kept.insert(grace);
            }
            return Some(next);
        }
        let is_meant = |note: NoteId| {
            let pinned = request.pins.iter().any(|pin| pin.target.span == NoteSpan::Note(note));
            let settled = request.settled.iter().flat_map(|settled| &settled.notes);
            pinned || settled.into_iter().any(|known| known.note == note && known.still_there)
        };
        let dear = with_notes(&mut graces().filter(|(n, head)| {
            let turned = direction(*head).turned();
            let can_turn = |item: usize| model.takes[item].iter().any(|way| way.direction == turned);
            model.misses(parts, *head, direction(*head))
                && can_turn(*head)
                && !can_turn(*n)
                && !self.kept.contains(&items[*n].note)
                && !is_meant(items[*n].note)
        }));
        if dear.is_empty() {
            return None;
        }
        next.for_chords.extend(dear.keys());
        next.out.extend(dear);
        Some(next)
    }

    /// All that are left out, each with a warning: those that do not go the way of their note, and those whose note is a rest or is
    /// not played, which have nothing to lean on.
    pub(super) fn left_out(
        &self,
        tune: &Tune,
        ways: &Ways,
        walk: &Walk,
        plan: &Plan,
        sink: &mut Sink,
    ) -> Vec<(NoteId, LeftOut)> {
        let mut found = Vec::new();
        let events = || tune.bars.iter().flat_map(|bar| &bar.events).filter(|event| !event.graces.is_empty());
        if events().next().is_none() {
            return found;
        }
        let walked: BTreeSet<NoteId> = walk.items.iter().map(|item| item.note).collect();
        for event in events() {
            for grace in &event.graces {
                let address = tune.address(grace.id);
                let note = self.out.get(&grace.id).and_then(|head| plan.note(*head));
                let (why, message, hint) = if let Some(note) = note {
                    let way = note.direction;
                    let for_chord =
                        if self.for_chords.contains(&grace.id) { ", which the chord under it asks for," } else { "" };
                    (
                        LeftOut::OtherWay(way),
                        format!(
                            "the grace note {address} does not sound on the {way} like its note{for_chord} and is left out"
                        ),
                        "take it out of the music, or pin its note the other way",
                    )
                } else if ways.contains_key(&grace.id.0) && !walked.contains(&grace.id) {
                    (
                        LeftOut::NoNote,
                        format!("the grace note {address} has no note to lean on here and is left out"),
                        "take it out of the music",
                    )
                } else {
                    continue;
                };
                sink.warn(code!("grace-left-out"), event.place, message).hints.push(hint.into());
                found.push((grace.id, why));
            }
        }
        found
    }
}
