//! The tune as the hands meet it: notes in written order, and which follows which when it is played.
//!
//! Takes a tune, gives [`Item`]s (heads and graces that are to be planned) and [`Step`]s (one item to the next, with how
//! often and across which rests). Knows no box and no price. Repeats and jumps are the tune's own played order; a bar that
//! is never reached is walked once at the end, so that it gets a plan too.

use crate::tune::{BarlineStyle, Duration, Event, Fraction, Mark, Meter, Note, NoteId, Onset, Passage, Tune, played};
use std::collections::BTreeMap;

/// A head or grace note to be planned.
#[derive(Debug, Clone)]
pub(super) struct Item {
    /// Its id.
    pub note: NoteId,
    /// Index of its bar.
    pub bar: usize,
    /// From the bar's start; a grace has its head's.
    pub onset: Onset,
    /// How long it lasts; nothing for a grace.
    pub length: Duration,
    /// The head it belongs to, as an item, if it is a grace.
    pub grace_of: Option<usize>,
    /// Its pitches as MIDI key numbers, lowest first, each once.
    pub midis: Vec<i32>,
    /// Seconds it sounds, ties before it counted in.
    pub seconds: Fraction,
    /// Where it stands in its bar.
    pub stress: Stress,
    /// Whether it carries an accent.
    pub accent: bool,
    /// Whether the phrase may be taken to end with it: a breath, a caesura, a fermata.
    pub breath: bool,
    /// Whether any of its pitches is tied on: then it has no end of its own.
    pub tied_on: bool,
    /// How often it is played.
    pub times: i64,
}

/// Where the later note of a step stands in its bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Stress {
    /// First in its bar.
    Bar,
    /// On a beat.
    Beat,
    /// Between beats.
    Off,
}

/// A stretch of time without a head: bar, from, to.
pub(super) type Silence = (usize, Onset, Onset);

/// One item to the next, as played.
#[derive(Debug, Clone)]
pub(super) struct Step {
    /// The earlier item; `None` at the start of the tune.
    pub from: Option<usize>,
    /// The later item; `None` at its end.
    pub to: Option<usize>,
    /// How often it is played so.
    pub times: i64,
    /// The rests between, in order.
    pub silence: Vec<Silence>,
    /// Whether a phrase ends between them.
    pub phrase: bool,
}

/// The whole walk.
#[derive(Debug, Clone)]
pub(super) struct Walk {
    /// Items in written order.
    pub items: Vec<Item>,
    /// Steps; each pair of items with the same rests between once.
    pub steps: Vec<Step>,
    /// The played order that was walked.
    pub order: Vec<Passage>,
    /// For each bar the items from and to (exclusive).
    pub spans: Vec<(usize, usize)>,
    /// How often each bar is played.
    pub times: Vec<i64>,
    /// How many of `order` are truly played; the rest are bars never reached.
    pub reached: usize,
}

/// Whole notes a minute where the tune names no tempo: by the metre, slow enough for learners. Common practice, no source.
pub(super) fn habitual_wholes_a_minute(meter: &Meter) -> Fraction {
    let beats = match meter.figures() {
        // Old dances in 6/4: 60 dotted minims.
        Some((_, 4)) if meter.is_compound() => 60,
        // Jigs and slip jigs: 90 dotted crotchets.
        Some(_) if meter.is_compound() => 90,
        // Waltzes: 120 crotchets.
        Some((3, 4)) => 120,
        // Minims of a triple hornpipe or in cut time: 80.
        Some((_, 2)) => 80,
        // Everything else: 100 beats.
        _ => 100,
    };
    meter.beat().0 * Fraction::new(beats, 1)
}

/// Whether a tune says how quick it begins; if not, [`tempi`] begins with the metre's habit.
pub fn names_tempo(tune: &Tune) -> bool {
    let in_force = tune.bars.first().and_then(|bar| bar.tempo.as_deref()).or(tune.tempo.as_ref());
    in_force.and_then(|tempo| tempo.wholes_a_minute()).is_some()
}

/// What to say of the tempo that a tune is planned at, where it names none: what is taken, and what to write.
pub fn assumed_tempo(tune: &Tune) -> Option<String> {
    let tempo = tempi(tune).first().copied().filter(|_| !names_tempo(tune))?;
    let beat = tune.meter.beat().0;
    let rate = tempo.over(beat).floor();
    Some(format!("the tune names no tempo: {beat}={rate} is taken; write yours as `Q:{beat}={rate}`"))
}

/// Whole notes a minute at each bar: the tempo in force, else the metre's habit. Plans and practice files reckon with it.
pub fn tempi(tune: &Tune) -> Vec<Fraction> {
    let mut stated = tune.tempo.as_ref().and_then(|tempo| tempo.wholes_a_minute());
    let mut meter = &tune.meter;
    tune.bars
        .iter()
        .map(|bar| {
            stated = bar.tempo.as_ref().and_then(|tempo| tempo.wholes_a_minute()).or(stated);
            meter = bar.meter.as_ref().unwrap_or(meter);
            stated.filter(|tempo| tempo.num() > 0).unwrap_or_else(|| habitual_wholes_a_minute(meter))
        })
        .collect()
}

/// Whether a bar is a pick-up or the second half of a split bar.
fn is_late(tune: &Tune, bar: usize) -> bool {
    let label = tune.bars[bar].label;
    label.second_half || (bar == 0 && label.number == 0)
}

/// How far into a full bar a bar starts: a pick-up or the second half of a split bar starts late.
pub(super) fn lateness(tune: &Tune, bar: usize, meter: &Meter) -> Duration {
    let this = &tune.bars[bar];
    match meter.bar_length() {
        Some(full) if is_late(tune, bar) && this.length < full => full - this.length,
        _ => Duration::ZERO,
    }
}

/// The key numbers of a head, lowest first, each once.
fn midis(notes: &[Note]) -> Vec<i32> {
    let mut all: Vec<i32> = notes.iter().map(|note| note.pitch.midi()).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// For each bar before a repeat sign whose end is the pick-up of the repeat, where that pick-up begins: bars led into by a
/// pick-up are led into by one again when they are repeated (common practice, no source). A bar that is short by the pick-up,
/// or has one note up to its end, leads into nothing.
fn upbeats(tune: &Tune, order: &[Passage], plays: &impl Fn(NoteId) -> bool) -> Vec<Option<Onset>> {
    let mut found = vec![None; tune.bars.len()];
    for pair in order.windows(2).filter(|pair| pair[1].bar <= pair[0].bar) {
        let (last, first) = (pair[0].bar, pair[1].bar);
        let Some(lead) = first.checked_sub(1).filter(|lead| is_late(tune, *lead)) else { continue };
        let (bar, length) = (&tune.bars[last], tune.bars[lead].length);
        if tune.meter_at(last).bar_length() == Some(bar.length) && length < bar.length {
            let begins = Onset::ZERO + (bar.length - length);
            let starts = |event: &Event| event.onset == begins && event.head().is_some_and(plays);
            found[last] = bar.events.iter().any(starts).then_some(begins);
        }
    }
    found
}

/// Where an onset stands in its bar.
fn stress(onset: Onset, late: Duration, meter: &Meter) -> Stress {
    let at = onset + late;
    if at == Onset::ZERO {
        Stress::Bar
    } else if at.0.remainder(meter.beat().0).is_zero() {
        Stress::Beat
    } else {
        Stress::Off
    }
}

/// Walks a tune; `plays` says which notes can be planned at all (the others count as rests).
pub(super) fn walk(tune: &Tune, plays: impl Fn(NoteId) -> bool) -> Walk {
    let mut order = played(tune);
    let reached = order.len();
    let mut times = vec![0i64; tune.bars.len()];
    for passage in &order {
        times[passage.bar] += 1;
    }
    for (bar, times) in times.iter_mut().enumerate().filter(|(_, times)| **times == 0) {
        order.push(Passage { bar, pass: 1 });
        *times = 1;
    }
    let upbeats = upbeats(tune, &order[..reached], &plays);
    let mut walk = Walk { items: vec![], steps: vec![], order, spans: vec![], times, reached };
    let tempi = tempi(tune);
    let mut gaps = Vec::new();
    let mut meter = &tune.meter;
    for (bar, tempo) in tempi.iter().enumerate() {
        meter = tune.bars[bar].meter.as_ref().unwrap_or(meter);
        let at = At { bar, tempo: *tempo, meter, late: lateness(tune, bar, meter), upbeat: upbeats[bar] };
        gaps.push(walk.bar(tune, at, &plays));
    }
    walk.join(tune, &gaps, &upbeats);
    walk
}

/// A bar with what is in force there.
#[derive(Debug, Clone, Copy)]
struct At<'a> {
    bar: usize,
    tempo: Fraction,
    meter: &'a Meter,
    late: Duration,
    upbeat: Option<Onset>,
}

/// From bar to bar: the items, the bars of rests between, whether the tune parts there.
type Joint = (Option<usize>, Option<usize>, Vec<usize>, bool);

/// The rests at the head and tail of a bar; a bar without items has all of its time at its head.
#[derive(Debug, Clone, Default)]
struct Edges {
    head: Vec<Silence>,
    tail: Vec<Silence>,
}

impl Walk {
    /// Takes a bar's items in and the steps inside it.
    fn bar(&mut self, tune: &Tune, at: At<'_>, plays: &impl Fn(NoteId) -> bool) -> Edges {
        let At { bar, tempo, .. } = at;
        let first = self.items.len();
        let mut edges = Edges::default();
        let mut silence: Vec<Silence> = Vec::new();
        let times = self.times[bar];
        for event in &tune.bars[bar].events {
            let wanted: Vec<_> = event.graces.iter().filter(|grace| plays(grace.id)).collect();
            let head = event.head().filter(|id| plays(*id));
            // A grace needs its head's direction: without a head to lean on it is left out.
            let graces = if head.is_some() { wanted.len() } else { 0 };
            let base = self.items.len();
            for grace in wanted.into_iter().take(graces) {
                let mut item = self.item(grace.id, at, event, &grace.notes, Fraction::ZERO);
                item.grace_of = Some(base + graces);
                item.length = Duration::ZERO;
                // The fermata is its head's.
                item.breath = false;
                self.items.push(item);
            }
            if let Some(id) = head {
                let tied = event.notes().iter().all(|note| note.tied_from_previous);
                let before =
                    if tied { self.items.last().map_or(Fraction::ZERO, |item| item.seconds) } else { Fraction::ZERO };
                let seconds = (event.duration.0 * Fraction::new(60, 1)).over(tempo) + before;
                self.items.push(self.item(id, at, event, event.notes(), seconds));
            }
            for to in base..self.items.len() {
                let rests = std::mem::take(&mut silence);
                if to == first {
                    edges.head = rests;
                } else {
                    let led = to == base && at.upbeat == Some(event.onset);
                    let phrase = led || !rests.is_empty() || self.items[to - 1].breath;
                    self.steps.push(Step { from: Some(to - 1), to: Some(to), times, silence: rests, phrase });
                }
            }
            if head.is_none() {
                silence.push((bar, event.onset, event.onset + event.duration));
            }
        }
        if self.items.len() == first {
            edges.head = silence;
        } else {
            edges.tail = silence;
        }
        self.spans.push((first, self.items.len()));
        edges
    }
    fn item(&self, note: NoteId, at: At<'_>, event: &Event, notes: &[Note], seconds: Fraction) -> Item {
        let At { bar, late, meter, .. } = at;
        let has = |wanted: &[Mark]| event.marks.iter().any(|mark| wanted.contains(mark));
        Item {
            note,
            bar,
            onset: event.onset,
            length: event.duration,
            grace_of: None,
            midis: midis(notes),
            seconds,
            stress: stress(event.onset, late, meter),
            accent: has(&[Mark::Accent, Mark::Marcato]),
            breath: has(&[Mark::Breath, Mark::Caesura, Mark::Fermata]),
            tied_on: notes.iter().any(|note| note.tied_to_next),
            times: self.times[bar],
        }
    }
    /// Adds the steps from bar to bar in played order.
    fn join(&mut self, tune: &Tune, edges: &[Edges], upbeats: &[Option<Onset>]) {
        // Bars without items are collected until the next item; most steps have none.
        let mut joined: BTreeMap<Joint, i64> = BTreeMap::new();
        let mut from: Option<usize> = None;
        let mut empty: Vec<usize> = Vec::new();
        let mut phrase = false;
        for n in 0..self.order.len() {
            let bar = self.order[n].bar;
            let jumped = n > 0 && self.order[n - 1].bar + 1 != bar;
            // A pick-up leads into its bar, whatever sign stands between; its phrase has begun with it.
            let before = n.checked_sub(1).map(|n| self.order[n].bar);
            let led_into = before.is_some_and(|before| upbeats[before].is_some() || (!jumped && is_late(tune, before)));
            phrase |= !led_into && (jumped || parted(tune, bar));
            let (first, end) = self.spans[bar];
            if n == self.reached && n > 0 {
                // What is never reached starts afresh.
                *joined.entry((from.take(), None, std::mem::take(&mut empty), true)).or_default() += 1;
            }
            if first == end {
                empty.push(bar);
                continue;
            }
            *joined.entry((from, Some(first), std::mem::take(&mut empty), phrase)).or_default() += 1;
            phrase = false;
            from = Some(end - 1);
        }
        *joined.entry((from, None, empty, true)).or_default() += 1;
        for ((from, to, empty, parted), times) in joined {
            let mut silence = from.map_or_else(Vec::new, |from| edges[self.items[from].bar].tail.clone());
            silence.extend(empty.iter().flat_map(|bar| edges[*bar].head.iter().copied()));
            silence.extend(to.iter().flat_map(|to| edges[self.items[*to].bar].head.iter().copied()));
            let breath = from.is_some_and(|from| self.items[from].breath);
            let phrase = parted || breath || !silence.is_empty();
            self.steps.push(Step { from, to, times, silence, phrase });
        }
    }
}

/// Whether the barline before a bar parts the tune.
pub(super) fn parted(tune: &Tune, bar: usize) -> bool {
    let parts = |style| matches!(style, BarlineStyle::Double | BarlineStyle::Final | BarlineStyle::HeavyLight);
    let left = tune.bars[bar].left;
    let before = bar.checked_sub(1).map(|bar| tune.bars[bar].right);
    left.repeat_start
        || parts(left.style)
        || tune.bars[bar].part.is_some()
        || before.is_some_and(|right| right.repeat_end > 0 || parts(right.style))
}

#[cfg(test)]
mod tests {
    use super::super::testing;
    use super::*;
    use crate::tune::BarLabel;

    /// Whether a phrase ends between two items, in a tune with a pick-up.
    fn parts(line: &str, from: usize, to: usize) -> bool {
        let mut tune = testing::tune(Meter::simple(3, 4), line);
        tune.bars.iter_mut().zip(0..).for_each(|(bar, number)| bar.label = BarLabel::new(number));
        let walk = walk(&tune, |_| true);
        let step = walk.steps.iter().find(|step| (step.from, step.to) == (Some(from), Some(to)));
        step.expect("it is played so").phrase
    }

    #[test]
    fn a_phrase_ends_before_the_pick_up_that_leads_back() {
        let line = "D4*2 |: G4*2 A4*2 B4*2 | A4*2 G4*2 D4*2 :| G4*6";
        let ends = [(0, 1), (5, 6), (6, 1), (6, 7)].map(|(from, to)| parts(line, from, to));
        assert_eq!(ends, [false, true, false, false]);
        // A first ending has its own.
        let line = "D4*2 |: G4*2 A4*2 B4*2 | 1. A4*2 G4*2 D4*2 :| 2. G4*6";
        assert_eq!([(5, 6), (6, 1)].map(|(from, to)| parts(line, from, to)), [true, false]);
        // No pick-up is there again: a long note, a bar that is short by it, a rest.
        assert!(parts("D4*2 |: G4*2 A4*2 B4*2 | A4*2 G4*4 :| G4*6", 5, 1));
        assert!(parts("D4*2 |: G4*2 A4*2 B4*2 | A4*2 G4*2 :| G4*6", 5, 1));
        assert!(parts("D4*2 |: G4*2 A4*2 B4*2 | A4*2 G4*2 z*2 :| G4*6", 5, 1));
    }

    #[test]
    fn the_fermata_of_a_note_is_not_its_graces() {
        let mut tune = testing::tune(Meter::simple(3, 4), "G4*4 {A4} B4*2");
        tune.bars[0].events[1].marks.push(Mark::Fermata);
        let breaths: Vec<bool> = walk(&tune, |_| true).items.iter().map(|item| item.breath).collect();
        assert_eq!(breaths, [false, false, true]);
    }
}
