//! How far the bellows travel: whole ticks for every event, a window they must stay in, and where air is taken.
//!
//! Takes the walk, the directions of a plan and its left hand; gives air points, the curve of the whole playing, and the
//! note where the bellows run out if nothing helps. Knows no buttons of the right hand and no prices but that of an air
//! point. No figure for reeds is published: bass and chord are taken to use one and a half times the air of a melody note, and
//! a chord that is touched and not held to sound for half a beat at the most (common practice, no source); the length of a full
//! bellows is the box's own, measured.

use super::curve::{BellowsCurve, Move};
use super::ends::{AT_HAND, Ends};
use super::moment::{LONG_SECONDS, at_least};
use super::opening::{self, Begins, Stretch};
use super::parts::Parts;
use super::plan::{Air, AirPoint, CostKind, LeftPress};
use super::prices::WHOLE;
use super::walk::parted;
use crate::instrument::{Direction, LeftHand, LeftKind};
use crate::tune::{Fraction, NoteId, Tune};
use std::collections::BTreeMap;

/// Air a melody note uses, in ticks a millisecond.
const NOTE: i64 = 2;
/// Air a bass uses, in ticks a millisecond.
const BASS: i64 = 3;
/// Air a chord uses, in ticks a millisecond.
const CHORD: i64 = 3;
/// Bellows longer than this are not looked at: an hour.
const MOST_SECONDS: f64 = 3600.0;
/// A full bellows goes out or in through the air button in about this many milliseconds, and this part of a note may be given
/// to it, the rests after it besides: from memory of playing, no source.
const FULL_AIR_MILLIS: i64 = 1000;
const SHARE_FOR_AIR: (i64, i64) = (1, 2);
/// Air points proposed at most.
const MOST_AIR: usize = 256;
/// Air points proposed at most because the bellows would be played near their ends, and the most work that is done for it, in
/// moves of the bellows looked at for each of them.
const MOST_EASED: usize = 4;
const MOST_LOOKED_AT: usize = 40_000;

/// How good a moment for air a long note is: see [`Bellows`].
const LONG_NOTE: u8 = 2;

/// What one written head or rest moves the bellows by.
#[derive(Debug, Clone, Copy)]
struct Travel {
    bar: usize,
    /// Index of the event in the bar.
    event: usize,
    /// The head's item, `None` for a rest.
    item: Option<usize>,
    /// Ticks, pulls positive.
    ticks: i64,
    /// How long it lasts, in milliseconds.
    millis: i64,
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
    /// What is played near an end of the bellows, in weighed quarters of a second.
    pub ends: i64,
    /// Whether the bellows would last without any proposed air.
    pub lasts: bool,
    /// The first head at which the bellows run out all the same.
    pub runs_out: Option<NoteId>,
    /// The first head that leads into their last tenth, though they last.
    pub close: Option<NoteId>,
}

/// Whether and how the bellows last, ready to be asked for many plans of one tune.
pub(super) struct Bellows<'a> {
    parts: &'a Parts<'a>,
    left: &'a LeftHand,
    /// A full bellows in ticks.
    capacity: i64,
    /// The author's air.
    pinned: BTreeMap<NoteId, Air>,
    /// Heads after which air can be taken, with how good the moment is: 0 a rest, 1 a phrase's end, 2 a long note. Never one
    /// that is tied on: bellows that move without sound would end it.
    moments: BTreeMap<usize, u8>,
    /// For each item the most ticks that the air button can move the bellows by after it.
    rooms: Vec<i64>,
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
        let ends = |item: &super::walk::Item| item.grace_of.is_none() && !item.tied_on;
        for (n, item) in parts.walk.items.iter().enumerate() {
            if ends(item) && at_least(item.seconds, LONG_SECONDS) {
                moments.insert(n, LONG_NOTE);
            }
        }
        for step in &parts.walk.steps {
            if let (Some(from), Some(_), true) = (step.from, step.to, step.phrase)
                && ends(&parts.walk.items[from])
            {
                let good = u8::from(step.silence.is_empty());
                let known = moments.entry(from).or_insert(good);
                *known = good.min(*known);
            }
        }
        let millis = super::walk::tempi(parts.tune).into_iter().map(|tempo| Fraction::new(60_000, 1).over(tempo));
        let millis: Vec<Fraction> = millis.collect();
        let rooms = rooms(parts, &millis, capacity);
        Some(Self { parts, left, capacity, pinned, moments, rooms, millis })
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
        for (n, event) in this.events.iter().enumerate() {
            let item = event.head().and_then(|id| heads.get(&id).copied());
            let millis = whole(event.duration.0);
            let start = this.onset.0 + event.onset.0;
            let stop = start + event.duration.0;
            if let Some(item) = item {
                *now = directions[item];
            }
            let mut ticks = item.map_or(0, |item| millis * NOTE * self.parts.walk.items[item].midis.len() as i64);
            for press in presses {
                let from = tune.bars[press.bar].onset.0 + press.onset.0;
                let over = (from + sounding(tune, press)).min(stop) - from.max(start);
                if over > Fraction::ZERO {
                    if item.is_none() && !self.sounds(press, *now) {
                        *now = now.turned();
                    }
                    ticks += whole(over) * if press.kind == LeftKind::Bass { BASS } else { CHORD };
                }
            }
            let ticks = if *now == Direction::Push { -ticks } else { ticks };
            all.push(Travel { bar, event: n, item, ticks, millis });
        }
        all
    }

    /// Whether a press gives its sound in a direction.
    fn sounds(&self, press: &LeftPress, direction: Direction) -> bool {
        self.left.buttons[press.button.0].sound(direction).name(press.kind) == *press.name
    }

    /// Where air has to be taken for a plan: none, the fewest the rule below finds, or nothing that helps.
    ///
    /// Where some is needed it is looked for in two ways, with all of the bellows and with a tenth kept at hand at either end,
    /// and the cheaper way is taken; then more is taken where that spares time near the ends.
    pub(super) fn fit(&self, directions: &[Direction], presses: &[LeftPress]) -> Fit {
        let travels = self.travels(directions, presses);
        let walk = self.parts.walk;
        let items = &walk.items;
        let played: Vec<Travel> =
            walk.order[..walk.reached].iter().flat_map(|passage| travels[passage.bar].iter().copied()).collect();
        let (mut air, runs_out) = self.needed(&played, (0, self.capacity));
        let lasts = air.is_empty() && runs_out.is_none();
        let mut ends = if runs_out.is_none() { self.ease(&travels, &mut air) } else { Ends::default() };
        if runs_out.is_none() && !lasts {
            let kept = self.capacity / AT_HAND;
            let (mut other, runs_out) = self.needed(&played, (kept, self.capacity - kept));
            if runs_out.is_none() {
                let then = self.ease(&travels, &mut other);
                if self.price(&other, then) < self.price(&air, ends) {
                    (air, ends) = (other, then);
                }
            }
        }
        let taken = self.taken(&air);
        let point = |after, air, pinned| AirPoint { after, air, pinned };
        let mut points: Vec<AirPoint> = self.pinned.iter().map(|(note, air)| point(*note, *air, true)).collect();
        points.extend(air.iter().map(|(item, air)| point(items[*item].note, *air, false)));
        points.sort_by_key(|point| point.after);
        let drift = self.drift(&travels, &air);
        let close = ends.close.and_then(|at| self.head_at(at));
        Fit { air: points, taken, drift, ends: ends.weight, lasts, runs_out, close }
    }

    /// How often air is taken over the whole playing.
    fn taken(&self, air: &BTreeMap<usize, Air>) -> i64 {
        air.keys().map(|item| self.parts.walk.items[*item].times).sum()
    }
    /// What air costs with what is played near the ends.
    fn price(&self, air: &BTreeMap<usize, Air>, ends: Ends) -> i64 {
        let price = |kind| self.parts.prices.of(kind);
        self.taken(air) * price(CostKind::AirPoint) * WHOLE + ends.weight * price(CostKind::BellowsEnd)
    }

    /// The air that bellows which stay within limits need; with the head at which they run out all the same.
    ///
    /// Played through from the start, whose opening is free; where the bellows run out, air is put at the best moment
    /// since they were last at their other end, and playing goes on from there. Moments that give a quarter of a bellows at
    /// least come first; of them rests before ends of phrases before long notes; then those that give most, long ones before
    /// short ones, late before early.
    fn needed(&self, played: &[Travel], limits: Window) -> (BTreeMap<usize, Air>, Option<NoteId>) {
        let items = &self.parts.walk.items;
        let mut air: BTreeMap<usize, Air> = BTreeMap::new();
        let mut at = 0;
        let mut now = Now { open: limits, useful: [0, 0] };
        let mut since: Vec<Moment> = Vec::new();
        while let Some(travel) = played.get(at) {
            at += 1;
            let next = moved(now.open, travel.ticks, limits);
            if next.0 > next.1 {
                let wanted = if travel.ticks < 0 { Air::Open } else { Air::Close };
                let useful = now.useful[wanted as usize];
                let free = (useful..since.len()).filter(|n| !air.contains_key(&since[*n].item));
                match free.min_by_key(|n| (self.worth(&since[*n], wanted), usize::MAX - n)) {
                    Some(best) if air.len() < MOST_AIR => {
                        // Air taken on other passes too only widens what was possible there.
                        let moment = since[best];
                        air.insert(moment.item, wanted);
                        since.truncate(best);
                        (at, now) = (moment.on, moment.then);
                        now.open = self.aired(now.open, wanted, moment.item, limits);
                        now.settle(limits, since.len());
                        continue;
                    }
                    _ => {
                        let last = travel.item.or(since.last().map(|moment| moment.item)).unwrap_or(0);
                        return (air, Some(items[last].note));
                    }
                }
            }
            now.open = next;
            now.settle(limits, since.len());
            let Some(item) = travel.item else { continue };
            if let Some(own) = self.pinned.get(&items[item].note).or_else(|| air.get(&item)) {
                now.open = self.aired(now.open, *own, item, limits);
                now.settle(limits, since.len());
            } else if self.moments.contains_key(&item) {
                since.push(Moment { item, on: at, then: now });
            }
        }
        (air, None)
    }

    /// Takes air where it spares more time near the ends of the bellows than it costs: on rests and at ends of phrases, each
    /// time where most is gained. Gives what is left of that time.
    fn ease(&self, travels: &[Vec<Travel>], air: &mut BTreeMap<usize, Air>) -> Ends {
        let items = &self.parts.walk.items;
        let own = items.iter().enumerate().filter_map(|(n, item)| Some((n, *self.pinned.get(&item.note)?)));
        let mut all: BTreeMap<usize, Air> = own.chain(air.iter().map(|(item, air)| (*item, *air))).collect();
        let near = |all: &BTreeMap<usize, Air>| opening::near_ends(&self.stretches(travels, all), self.capacity);
        let mut ends = near(&all);
        let good = self.moments.iter().filter(|(item, class)| **class < LONG_NOTE && !all.contains_key(item));
        let mut good: Vec<usize> = good.map(|(item, _)| *item).collect();
        let played: usize =
            self.parts.walk.order[..self.parts.walk.reached].iter().map(|at| travels[at.bar].len()).sum();
        if played * good.len() > MOST_LOOKED_AT {
            return ends;
        }
        let (price, of_air) =
            (self.parts.prices.of(CostKind::BellowsEnd), self.parts.prices.of(CostKind::AirPoint) * WHOLE);
        for _ in 0..MOST_EASED {
            let mut best: Option<(i64, usize, Air, Ends)> = None;
            // Nothing costs more than it may spare.
            for item in good.iter().copied().filter(|item| items[*item].times * of_air < ends.weight * price) {
                for way in [Air::Open, Air::Close] {
                    all.insert(item, way);
                    let then = near(&all);
                    all.remove(&item);
                    let gain = (ends.weight - then.weight) * price - items[item].times * of_air;
                    if gain > best.map_or(0, |(gain, ..)| gain) {
                        best = Some((gain, item, way, then));
                    }
                }
            }
            let Some((_, item, way, then)) = best else { break };
            all.insert(item, way);
            air.insert(item, way);
            good.retain(|other| *other != item);
            ends = then;
        }
        ends
    }

    /// The head of an event, or the last one before it, or the first of all.
    fn head_at(&self, (bar, event): (usize, usize)) -> Option<NoteId> {
        let before = self.parts.tune.bars[..bar].iter().rev().flat_map(|bar| bar.events.iter().rev());
        let here = self.parts.tune.bars[bar].events[..=event].iter().rev();
        let first = self.parts.walk.items.first().map(|item| item.note);
        here.chain(before).find_map(|event| event.head()).or(first)
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

    /// The openings that are possible after air, as much as the item leaves time for.
    fn aired(&self, open: Window, air: Air, item: usize, limits: Window) -> Window {
        match air {
            Air::Open => (open.0, (open.1 + self.room(item)).min(limits.1)),
            Air::Close => ((open.0 - self.room(item)).max(limits.0), open.1),
        }
    }
    /// The most ticks that air after an item moves the bellows by; air that the author wrote is given the time it needs.
    fn room(&self, item: usize) -> i64 {
        let own = self.pinned.contains_key(&self.parts.walk.items[item].note);
        if own { self.capacity } else { self.rooms[item] }
    }
    /// How good a moment is for air; the least is the best.
    fn worth(&self, moment: &Moment, air: Air) -> (bool, u8, i64, i64) {
        let room = self.rooms[moment.item];
        let gives = match air {
            Air::Open => room.min(self.capacity - moment.then.open.1),
            Air::Close => room.min(moment.then.open.0),
        };
        let quarters = gives * 4 / self.capacity.max(1);
        let class = self.moments.get(&moment.item).copied().unwrap_or(u8::MAX);
        (quarters == 0, class, -quarters, -room)
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
        let limits = (0, self.capacity);
        let mut open = limits;
        let mut all = vec![Stretch::new(Begins::Anywhere)];
        for passage in &walk.order[..walk.reached] {
            for travel in &travels[passage.bar] {
                open = moved(open, travel.ticks, limits);
                if open.0 > open.1 {
                    let end = if travel.ticks < 0 { 0 } else { self.capacity };
                    open = (end, end);
                    all.push(Stretch::new(Begins::Drained(end - travel.ticks)));
                }
                let last = all.last_mut().expect("the first one is there from the start");
                let (bar, event) = (travel.bar, travel.event);
                let (pass, ticks, millis) = (passage.pass, travel.ticks, travel.millis);
                last.moves.push(Move { bar, event, pass, ticks, millis });
                if let Some((item, air)) = travel.item.and_then(|item| Some((item, air.get(&item)?))) {
                    open = self.aired(open, *air, item, limits);
                    all.push(Stretch::new(Begins::Aired(*air, self.room(item))));
                }
            }
        }
        all
    }
}

/// The least and the widest opening that are possible at a moment, in ticks.
type Window = (i64, i64);

/// The openings that are possible after a move; none if the first is above the second.
fn moved(open: Window, ticks: i64, limits: Window) -> Window {
    ((open.0 + ticks).max(limits.0), (open.1 + ticks).min(limits.1))
}

/// The bellows at a moment of the playing.
#[derive(Debug, Clone, Copy)]
struct Now {
    open: Window,
    /// Of all moments met, the first after which air would still be felt: opening, closing. Before it the bellows can have
    /// been at that end anyhow.
    useful: [usize; 2],
}

impl Now {
    /// Takes note of an end that is reached after so many moments.
    fn settle(&mut self, limits: Window, moments: usize) {
        for (ended, air) in [(self.open.1 == limits.1, Air::Open), (self.open.0 == limits.0, Air::Close)] {
            if ended {
                self.useful[air as usize] = moments;
            }
        }
    }
}

/// A head after which air may be taken, as met while playing.
#[derive(Debug, Clone, Copy)]
struct Moment {
    item: usize,
    /// Where playing goes on.
    on: usize,
    then: Now,
}

/// How long a press sounds: a chord that is printed without a line is touched, for half a beat at the most.
fn sounding(tune: &Tune, press: &LeftPress) -> Fraction {
    let (whole, beat) = (press.duration.0, tune.meter_at(press.bar).beat().0);
    let touched = press.kind == LeftKind::Chord && !press.held && whole <= beat;
    if touched { whole.min(beat.over(Fraction::new(2, 1))) } else { whole }
}

/// For each item the most ticks that the air button can move the bellows by after it, on every pass.
fn rooms(parts: &Parts<'_>, millis: &[Fraction], capacity: i64) -> Vec<i64> {
    let items = &parts.walk.items;
    let mut rests: Vec<Option<Fraction>> = vec![None; items.len()];
    for step in &parts.walk.steps {
        let Some(from) = step.from else { continue };
        let silent = step.silence.iter().map(|(bar, from, to)| (*to - *from).0 * millis[*bar]);
        let silent = silent.fold(Fraction::ZERO, |sum, one| sum + one);
        rests[from] = Some(rests[from].map_or(silent, |known| known.min(silent)));
    }
    let room = |(item, rest): (&super::walk::Item, Option<Fraction>)| {
        let note = item.seconds * Fraction::new(1000 * SHARE_FOR_AIR.0, SHARE_FOR_AIR.1);
        let time = (note + rest.unwrap_or(Fraction::ZERO)).floor().clamp(0, FULL_AIR_MILLIS);
        capacity * time / FULL_AIR_MILLIS
    };
    items.iter().zip(rests).map(room).collect()
}
