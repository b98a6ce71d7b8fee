//! What every reader does last: values as drawn, onsets, endings, bar numbers, checks, ids.
//!
//! Takes a tune whose bars hold events with durations and provisional ids in written order; gives it whole. Knows no file
//! format. Bar numbers follow `numbering`, lengths that no one value draws `split`.

use super::complaints::Complaints;
use super::flow;
use super::numbering;
use super::split;
use crate::tune::{BarlineStyle, Event, NoteId, NoteValue, Onset, Slur, Sounding, Tune, TupletId};

/// Completes a tune.
pub(super) fn finish(mut tune: Tune, complaints: &mut Complaints) -> Tune {
    tune.bars.retain(|bar| !bar.events.is_empty());
    split::bound(&mut tune, complaints);
    drop_empty_tuplets(&mut tune);
    whole_bar_rests(&mut tune);
    let mut meter = tune.meter.clone();
    for bar in &mut tune.bars {
        if let Some(new) = &bar.meter {
            meter = new.clone();
        }
        bar.events = split::drawable(std::mem::take(&mut bar.events), &meter, &tune.tuplets);
        bar.events.iter_mut().for_each(fit);
    }
    tune.bars.shrink_to_fit();
    let mut onset = Onset::ZERO;
    for bar in &mut tune.bars {
        bar.onset = onset;
        bar.landmarks.sort();
        bar.landmarks.dedup();
        onset = onset + bar.length;
    }
    close_endings(&mut tune);
    numbering::number(&mut tune, complaints);
    let order = provisional_ids(&tune);
    tune.number_notes();
    settle_slurs(&mut tune, &order);
    flow::check(&tune, complaints);
    tune
}

/// Takes back the room that was left for more on a head: a book keeps its tunes until it is bound.
fn fit(event: &mut Event) {
    if let Sounding::Head { notes, .. } = &mut event.sounding {
        notes.shrink_to_fit();
    }
    event.graces.shrink_to_fit();
    event.marks.shrink_to_fit();
    event.annotations.shrink_to_fit();
    event.chord_symbols.shrink_to_fit();
    event.lyrics.shrink_to_fit();
}

/// Tuplets that no event belongs to are dropped, the others keep their order.
fn drop_empty_tuplets(tune: &mut Tune) {
    let mut used = vec![false; tune.tuplets.len()];
    let ids =
        |tune: &Tune| tune.bars.iter().flat_map(|bar| &bar.events).filter_map(|event| event.tuplet).collect::<Vec<_>>();
    for id in ids(tune) {
        if let Some(mark) = used.get_mut(id.0 as usize) {
            *mark = true;
        }
    }
    if used.iter().all(|used| *used) {
        return;
    }
    let mut new = Vec::with_capacity(used.len());
    let mut next = 0;
    for used in &used {
        new.push(TupletId(next));
        next += u32::from(*used);
    }
    for event in tune.bars.iter_mut().flat_map(|bar| &mut bar.events) {
        event.tuplet = event.tuplet.and_then(|id| new.get(id.0 as usize).copied());
    }
    let mut keep = used.into_iter();
    tune.tuplets.retain(|_| keep.next().unwrap_or(false));
}

/// Settles bar lengths, and marks rests that fill a whole bar.
fn whole_bar_rests(tune: &mut Tune) {
    let mut meter = tune.meter.clone();
    for bar in &mut tune.bars {
        if let Some(new) = &bar.meter {
            meter = new.clone();
        }
        bar.length = bar.events.iter().map(|event| event.duration).sum();
        if let [only] = bar.events.as_mut_slice()
            && let Sounding::Rest { whole_bar, .. } = &mut only.sounding
            && meter.bar_length() == Some(only.duration)
        {
            *whole_bar = true;
            only.value = NoteValue::exact(only.duration).unwrap_or(NoteValue::plain(0));
        }
    }
}

/// An ending lasts to a repeat sign, a double or final barline, a start of a repeat, or the next ending (ABC 2.1 §4.9).
fn close_endings(tune: &mut Tune) {
    let mut open: Option<usize> = None;
    for at in 0..tune.bars.len() {
        let begins = tune.bars[at].ending.is_some();
        if let Some(from) = open
            && at > from
            && (begins || tune.bars[at].left.repeat_start)
        {
            end_at(tune, from, at - 1);
            open = None;
        }
        if let Some(ending) = &mut tune.bars[at].ending {
            // A reader that was told where the ending ends has said so.
            let told = ending.last_bar > 0;
            open = (!told).then_some(at);
        }
        let right = tune.bars[at].right;
        let heavy_next = tune.bars.get(at + 1).is_some_and(|next| next.left.style == BarlineStyle::HeavyLight);
        let ends = right.repeat_end > 0
            || matches!(right.style, BarlineStyle::Double | BarlineStyle::Final)
            || heavy_next
            || at + 1 == tune.bars.len();
        if let (Some(from), true) = (open, ends) {
            end_at(tune, from, at);
            open = None;
        }
    }
}

fn end_at(tune: &mut Tune, from: usize, last: usize) {
    let right = tune.bars[last].right;
    let closed = right.repeat_end > 0 || matches!(right.style, BarlineStyle::Double | BarlineStyle::Final);
    if let Some(ending) = &mut tune.bars[from].ending {
        (ending.last_bar, ending.closed) = (last, closed);
    }
}

/// The readers' ids in written order; pieces of one note share its id.
fn provisional_ids(tune: &Tune) -> Vec<NoteId> {
    let events = tune.bars.iter().flat_map(|bar| &bar.events);
    events.flat_map(|event| event.graces.iter().map(|grace| grace.id).chain(event.head())).collect()
}

/// Slurs lead from the first piece of their first note to the last piece of their last.
fn settle_slurs(tune: &mut Tune, order: &[NoteId]) {
    let first = |id: NoteId| order.partition_point(|other| *other < id);
    let last = |id: NoteId| order.partition_point(|other| *other <= id).checked_sub(1);
    let id = |at: usize| u32::try_from(at).ok().map(NoteId);
    let slurs = std::mem::take(&mut tune.slurs);
    tune.slurs = slurs
        .into_iter()
        .filter_map(|slur| {
            let (from, to) = (id(first(slur.from))?, id(last(slur.to)?)?);
            let known = order.get(from.index()) == Some(&slur.from) && order.get(to.index()) == Some(&slur.to);
            (known && from < to).then_some(Slur { from, to, ..slur })
        })
        .collect();
    tune.slurs.sort_by_key(|slur| (slur.from, slur.to));
}
