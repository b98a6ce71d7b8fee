//! How far the bellows travel: whole ticks for every event, a window they must stay in, and where air is taken.
//!
//! Takes the walk, the directions of a plan and its left hand; gives air points, the curve of the whole playing, and the
//! note where the bellows run out if nothing helps. Knows no buttons of the right hand and no prices but that of an air
//! point. No figure for reeds is published: bass and chord are taken to use one and a half times the air of a melody note
//! (common practice, no source); the length of a full bellows is the box's own, measured.

use super::moment::{LONG_SECONDS, at_least};
use super::opening::{self, Begins, Move, Stretch};
use super::parts::Parts;
use super::plan::{Air, AirPoint, BellowsCurve, LeftPress};
use super::walk::parted;
use crate::instrument::{Direction, LeftHand, LeftKind};
use crate::tune::{Fraction, NoteId, Onset, Tune};
use std::collections::BTreeMap;

/// Air a melody note uses, in ticks a millisecond.
const NOTE: i64 = 2;
/// Air a bass uses, in ticks a millisecond.
const BASS: i64 = 3;
/// Air a chord uses, in ticks a millisecond.
const CHORD: i64 = 3;
/// Bellows longer than this are not looked at: an hour.
const MOST_SECONDS: f64 = 3600.0;
/// Air points proposed at most.
const MOST_AIR: usize = 256;

/// What one written head or rest moves the bellows by.
#[derive(Debug, Clone, Copy)]
struct Travel {
    bar: usize,
    onset: Onset,
    /// The head's item, `None` for a rest.
    item: Option<usize>,
    /// Ticks, pulls positive.
    ticks: i64,
}

/// The bellows of one plan.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fit {
    /// Air points, the author's and proposed ones, in written order.
    pub air: Vec<AirPoint>,
    /// How often proposed air is taken over the whole playing.
    pub taken: i64,
    /// Quarters of a full bellows by which sections without air end further from where they began than half a bellows.
    pub drift: i64,
    /// The first head at which the bellows run out all the same.
    pub runs_out: Option<NoteId>,
}

/// Whether and how the bellows last, ready to be asked for many plans of one tune.
pub(super) struct Bellows<'a> {
    parts: &'a Parts<'a>,
    left: &'a LeftHand,
    /// A full bellows in ticks.
    capacity: i64,
    /// The author's air.
    pinned: BTreeMap<NoteId, Air>,
    /// Heads after which air can be taken, with how good the moment is: 0 a rest, 1 a phrase's end, 2 a long note.
    moments: BTreeMap<usize, u8>,
    /// Seconds of a whole note at each bar, in milliseconds.
    millis: Vec<Fraction>,
}

impl<'a> Bellows<'a> {
    /// Prepares a tune; `None` when the box's figure says nothing.
    pub(super) fn new(
        parts: &'a Parts<'a>,
        left: &'a LeftHand,
        seconds: f64,
        pinned: BTreeMap<NoteId, Air>,
    ) -> Option<Self> {
        if !(seconds > 0.0 && seconds <= MOST_SECONDS) {
            return None;
        }
        let capacity = (seconds * 1000.0).round() as i64 * (NOTE + BASS + CHORD);
        let mut moments: BTreeMap<usize, u8> = BTreeMap::new();
        for (n, item) in parts.walk.items.iter().enumerate() {
            if item.grace_of.is_none() && at_least(item.seconds, LONG_SECONDS) {
                moments.insert(n, 2);
            }
        }
        for step in &parts.walk.steps {
            if let (Some(from), Some(_), true) = (step.from, step.to, step.phrase) {
                let good = u8::from(step.silence.is_empty());
                let known = moments.entry(from).or_insert(good);
                *known = good.min(*known);
            }
        }
        let millis = super::walk::tempi(parts.tune).into_iter().map(|tempo| Fraction::new(60_000, 1).over(tempo));
        Some(Self { parts, left, capacity, pinned, moments, millis: millis.collect() })
    }

    /// The travel of every written event, bar by bar.
    fn travels(&self, directions: &[Direction], presses: &[LeftPress]) -> Vec<Vec<Travel>> {
        let tune = self.parts.tune;
        // Presses by the bars they sound in; only the author's held ones reach into another bar.
        let mut sounding: Vec<Vec<&LeftPress>> = vec![Vec::new(); tune.bars.len()];
        for press in presses.iter().filter(|press| !press.dropped) {
            let end = tune.bars[press.bar].onset.0 + press.onset.0 + press.duration.0;
            let mut bar = press.bar;
            while bar < tune.bars.len() && (bar == press.bar || tune.bars[bar].onset.0 < end) {
                sounding[bar].push(press);
                bar += 1;
            }
        }
        let mut now = directions.first().copied().unwrap_or(Direction::Push);
        let bars = 0..tune.bars.len();
        bars.map(|bar| self.bar(tune, bar, directions, &sounding[bar], &mut now)).collect()
    }

    fn bar(
        &self,
        tune: &Tune,
        bar: usize,
        directions: &[Direction],
        presses: &[&LeftPress],
        now: &mut Direction,
    ) -> Vec<Travel> {
        let this = &tune.bars[bar];
        let (first, end) = self.parts.walk.spans[bar];
        let heads: BTreeMap<NoteId, usize> = (first..end).map(|n| (self.parts.walk.items[n].note, n)).collect();
        let whole = |length: Fraction| {
            let millis = length * self.millis[bar];
            (millis * Fraction::new(2, 1) + Fraction::ONE).over(Fraction::new(2, 1)).floor()
        };
        let mut all = Vec::with_capacity(this.events.len());
        for event in &this.events {
            let item = event.head().and_then(|id| heads.get(&id).copied());
            let start = this.onset.0 + event.onset.0;
            let stop = start + event.duration.0;
            if let Some(item) = item {
                *now = directions[item];
            }
            let mut ticks =
                item.map_or(0, |item| whole(event.duration.0) * NOTE * self.parts.walk.items[item].midis.len() as i64);
            for press in presses {
                let from = tune.bars[press.bar].onset.0 + press.onset.0;
                let over = (from + press.duration.0).min(stop) - from.max(start);
                if over > Fraction::ZERO {
                    if item.is_none() && !self.sounds(press, *now) {
                        *now = now.turned();
                    }
                    ticks += whole(over) * if press.kind == LeftKind::Bass { BASS } else { CHORD };
                }
            }
            let ticks = if *now == Direction::Push { -ticks } else { ticks };
            all.push(Travel { bar, onset: event.onset, item, ticks });
        }
        all
    }

    /// Whether a press gives its sound in a direction.
    fn sounds(&self, press: &LeftPress, direction: Direction) -> bool {
        self.left.buttons[press.button.0].sound(direction).name(press.kind) == press.name
    }

    /// Where air has to be taken for a plan: none, the fewest the rule below finds, or nothing that helps.
    ///
    /// Played through from the start, whose opening is free; where the bellows run out, air is put at the best moment
    /// since air was last taken (rests before ends of phrases before long notes, late before early), and playing goes on
    /// from there.
    pub(super) fn fit(&self, directions: &[Direction], presses: &[LeftPress]) -> Fit {
        let travels = self.travels(directions, presses);
        let mut air: BTreeMap<usize, Air> = BTreeMap::new();
        let items = &self.parts.walk.items;
        let walk = self.parts.walk;
        let played: Vec<Travel> =
            walk.order[..walk.reached].iter().flat_map(|passage| travels[passage.bar].iter().copied()).collect();
        let mut runs_out = None;
        let (mut at, mut open) = (0, (0, self.capacity));
        // Free moments since air was last taken: the item, where playing goes on, the openings possible there.
        let mut since: Vec<(usize, usize, Window)> = Vec::new();
        while let Some(travel) = played.get(at) {
            at += 1;
            let next = self.moved(open, travel.ticks);
            if next.0 > next.1 {
                let wanted = if travel.ticks < 0 { Air::Open } else { Air::Close };
                let class = |item: &usize| self.moments.get(item).copied().unwrap_or(u8::MAX);
                let free = since.iter().enumerate().filter(|(_, (item, ..))| !air.contains_key(item));
                match free.min_by_key(|(n, (item, ..))| (class(item), usize::MAX - n)) {
                    Some((_, (item, on, before))) if air.len() < MOST_AIR => {
                        // Air taken on other passes too only widens what was possible there.
                        air.insert(*item, wanted);
                        (at, open) = (*on, self.aired(*before, wanted));
                        since.clear();
                        continue;
                    }
                    _ => {
                        let last = travel.item.or(since.last().map(|(item, ..)| *item)).unwrap_or(0);
                        runs_out = Some(items[last].note);
                        break;
                    }
                }
            }
            open = next;
            let Some(item) = travel.item else { continue };
            if let Some(own) = self.pinned.get(&items[item].note).or_else(|| air.get(&item)) {
                open = self.aired(open, *own);
                since.clear();
            } else if self.moments.contains_key(&item) {
                since.push((item, at, open));
            }
        }
        let taken = air.keys().map(|item| items[*item].times).sum();
        let point = |after, air, pinned| AirPoint { after, air, pinned };
        let mut points: Vec<AirPoint> = self.pinned.iter().map(|(note, air)| point(*note, *air, true)).collect();
        points.extend(air.iter().map(|(item, air)| point(items[*item].note, *air, false)));
        points.sort_by_key(|point| point.after);
        let drift = self.drift(&travels, &air);
        Fit { air: points, taken, drift, runs_out }
    }

    /// The drift of all sections, each played once: what lies beyond half a bellows, in whole quarters of one. Air in a
    /// section makes its drift good.
    fn drift(&self, travels: &[Vec<Travel>], air: &BTreeMap<usize, Air>) -> i64 {
        let mut all = 0;
        let mut section: (i64, bool) = (0, false);
        let quarters = |(net, aired): (i64, bool)| match net.abs() - self.capacity / 2 {
            beyond if beyond > 0 && !aired => beyond * 4 / self.capacity,
            _ => 0,
        };
        for (bar, travels) in travels.iter().enumerate() {
            if parted(self.parts.tune, bar) {
                all += quarters(std::mem::take(&mut section));
            }
            for travel in travels {
                let aired =
                    |item| air.contains_key(&item) || self.pinned.contains_key(&self.parts.walk.items[item].note);
                section = (section.0 + travel.ticks, section.1 || travel.item.is_some_and(aired));
            }
        }
        all + quarters(section)
    }

    /// The openings that are possible after a move; none if the first is above the second.
    fn moved(&self, open: Window, ticks: i64) -> Window {
        ((open.0 + ticks).max(0), (open.1 + ticks).min(self.capacity))
    }
    /// The openings that are possible after air of any amount.
    fn aired(&self, open: Window, air: Air) -> Window {
        match air {
            Air::Open => (open.0, self.capacity),
            Air::Close => (0, open.1),
        }
    }

    /// The curve of the whole playing with the air points given: as nearly closed as what is played lets it be.
    pub(super) fn curve(&self, directions: &[Direction], presses: &[LeftPress], air: &[AirPoint]) -> BellowsCurve {
        let travels = self.travels(directions, presses);
        let items: BTreeMap<NoteId, usize> =
            self.parts.walk.items.iter().enumerate().map(|(n, item)| (item.note, n)).collect();
        let air: BTreeMap<usize, Air> =
            air.iter().filter_map(|point| Some((*items.get(&point.after)?, point.air))).collect();
        opening::curve(&self.stretches(&travels, &air), self.capacity)
    }

    /// The whole playing parted where air is taken, and where the bellows run out, which then stay at their end.
    fn stretches(&self, travels: &[Vec<Travel>], air: &BTreeMap<usize, Air>) -> Vec<Stretch> {
        let walk = self.parts.walk;
        let mut open = (0, self.capacity);
        let mut all = vec![Stretch::new(Begins::Anywhere)];
        for passage in &walk.order[..walk.reached] {
            for travel in &travels[passage.bar] {
                open = self.moved(open, travel.ticks);
                if open.0 > open.1 {
                    let end = if travel.ticks < 0 { 0 } else { self.capacity };
                    open = (end, end);
                    all.push(Stretch::new(Begins::Drained(end - travel.ticks)));
                }
                let last = all.last_mut().expect("the first one is there from the start");
                last.moves.push(Move { bar: travel.bar, onset: travel.onset, pass: passage.pass, ticks: travel.ticks });
                if let Some(air) = travel.item.and_then(|item| air.get(&item)) {
                    open = self.aired(open, *air);
                    all.push(Stretch::new(Begins::Aired(*air)));
                }
            }
        }
        all
    }
}

/// The least and the widest opening that are possible at a moment, in ticks.
type Window = (i64, i64);
