//! Presses that the author holds (`-`) over a turn of the bellows although their button gives another sound there.
//!
//! Takes the plan's directions and the wants; gives complaints. The solver avoids such turns at any price; what is left is what
//! the melody forces.

use super::Want;
use crate::diag::Sink;
use crate::fingering::plan::Plan;
use crate::instrument::Direction;
use crate::tune::{NoteId, Onset, Tune};

/// Complains once of each held press that a turn cuts.
pub(in crate::fingering) fn check(tune: &Tune, plan: &Plan, wants: &[Want], held: &[usize], sink: &mut Sink) {
    if held.is_empty() {
        return;
    }
    let heads: Vec<(Onset, NoteId, Direction)> = tune
        .bars
        .iter()
        .flat_map(|bar| bar.events.iter().map(move |event| (Onset(bar.onset.0 + event.onset.0), event)))
        .filter_map(|(onset, event)| {
            let id = event.head()?;
            Some((onset, id, plan.note(id)?.direction))
        })
        .collect();
    for want in held.iter().map(|n| &wants[*n]) {
        let start = Onset(tune.bars[want.bar].onset.0 + want.onset.0);
        let end = start + want.length;
        let first = heads.partition_point(|(onset, ..)| *onset <= start);
        let Some((.., direction)) = first.checked_sub(1).map(|n| heads[n]) else { continue };
        let turned = heads[first..].iter().take_while(|(onset, ..)| *onset < end).find(|head| head.2 != direction);
        if let Some((_, id, _)) = turned {
            let message = format!(
                "`{}` in bar {} is held, but the bellows turn at note {}, and its button gives another sound then",
                want.asked,
                tune.bars[want.bar].label,
                tune.address(*id)
            );
            sink.error(code!("left-hand-hold"), want.place, message)
                .hints
                .push("end the hold before that note, or press what sounds both ways".into());
        }
    }
}
