//! The tune on the box as numbers: the ways to take each item, what each costs, and what each step between two costs.
//!
//! Takes the walk, the keyboard, what the left hand wants and the prices; gives a [`Model`] for `solve` and, for a finished
//! assignment, its cost by kind. Hard rules are costs above all prices, so that a tune that cannot keep them all still gets
//! a plan and the broken rules can be named. Knows no file and no wording.

use super::costs::Costs;
use super::hand::{Spread, Take, Wont};
use super::left::Want;
use super::moment::{ARRIVING, FARTHEST, LONG_SECONDS, Link, at_least};
use super::pairs::{Joined, Kinds, fingers};
use super::parts::Parts;
use super::plan::{Cost, CostKind};
use super::prices::{HARD, Prices, WHOLE, times_soft};
use super::walk::Step;
use crate::instrument::Direction;
use crate::tune::Onset;
use std::collections::BTreeMap;
use std::rc::Rc;

/// A finger that reaches over to the other row costs this part of a stretch, so that over a longer stretch of music the place
/// is named on the row that is played. Common practice, no source.
const REACH_SHARE: i64 = 24;

/// A tune on a box, as numbers.
#[derive(Debug, Clone)]
pub(super) struct Model {
    /// The ways to take each item, in the order that settles ties.
    pub takes: Vec<Rc<[Take]>>,
    /// The ways of each item by grip and by place, which pair costs depend on one by one.
    pub kinds: Kinds,
    /// What each way costs by itself.
    pub unary: Costs,
    /// The steps.
    pub links: Vec<Link>,
    /// For each item the wants at it.
    pub wants_at: Vec<Vec<usize>>,
    /// For each step of the walk the wants in its rests.
    pub wants_in: Vec<Vec<usize>>,
    distances: Vec<u8>,
    places: usize,
    prices: Prices,
    /// How items had better be taken.
    wonts: Vec<(usize, Wont)>,
}

impl Model {
    /// Builds the numbers for items whose ways have been chosen.
    pub(super) fn new(parts: &Parts<'_>, takes: Vec<Rc<[Take]>>) -> Self {
        let (walk, keyboard) = (parts.walk, parts.keyboard);
        let places = keyboard.len();
        let key = |n: usize| n as u16;
        let distances = (0..places * places)
            .map(|n| keyboard.distance(key(n / places), key(n % places)).min(FARTHEST as i32) as u8)
            .collect();
        let (wants_at, wants_in) = attach(parts);
        let prices = parts.prices;
        let kinds = Kinds::new(&takes);
        let unary = Costs::default();
        let (links, wonts) = (vec![], vec![]);
        let mut model = Self { takes, kinds, unary, links, wants_at, wants_in, distances, places, prices, wonts };
        let mut unary = Costs::default();
        (0..walk.items.len()).for_each(|item| unary.push(model.own(parts, item)));
        model.unary = unary;
        for (n, step) in walk.steps.iter().enumerate() {
            match (step.from, step.to) {
                (Some(from), Some(to)) => {
                    let lost = Direction::BOTH.map(|a| {
                        Direction::BOTH.map(|b| {
                            let (missed, turns) = model.lost(parts, &model.wants_in[n], [Some(a), Some(b)]);
                            (times_soft(missed, step.times), turns * step.times)
                        })
                    });
                    model.links.push(Link::new(parts, n, (from, to), lost));
                }
                (None, Some(item)) | (Some(item), None) => {
                    let opens = step.to.is_some();
                    let lost = Direction::BOTH.map(|direction| {
                        let ends = if opens { [None, Some(direction)] } else { [Some(direction), None] };
                        let (missed, turns) = model.lost(parts, &model.wants_in[n], ends);
                        times_soft(missed, step.times) + turns * step.times
                    });
                    let begun = model.begun(step);
                    for (take, cost) in model.takes[item].iter().zip(&mut model.unary[item]) {
                        *cost += lost[take.direction as usize] + if Spread::begins(&take.off) { begun } else { 0 };
                    }
                }
                (None, None) => {}
            }
        }
        model
    }

    /// The steps as links between numbered variables, with their pair costs.
    pub(super) fn joined(&self) -> Joined {
        Joined::new(&self.links, &self.kinds, |a, b| self.distances[usize::from(a) * self.places + usize::from(b)])
    }

    /// What each way costs by itself, dearer where it leaves how its item had better be taken.
    pub(super) fn priced(&self, parts: &Parts<'_>, wonts: &[(usize, Wont)]) -> Costs {
        let price = self.prices.of(CostKind::Unlike) * WHOLE;
        let mut unary = self.unary.clone();
        for (item, wont) in wonts {
            let cost = price * parts.walk.items[*item].times;
            let ways = self.takes[*item].iter().zip(&mut unary[*item]);
            ways.filter(|(take, _)| !wont.holds(take)).for_each(|(_, sum)| *sum += cost);
        }
        unary
    }
    /// Takes these prices over.
    pub(super) fn keep_to(&mut self, parts: &Parts<'_>, wonts: Vec<(usize, Wont)>) {
        self.unary = self.priced(parts, &wonts);
        self.wonts = wonts;
    }
    /// The items that are not taken as they had better be, each as often as that is so.
    fn left<'a>(&'a self, states: &'a [usize]) -> impl Iterator<Item = usize> + 'a {
        let holds = |item: usize, wont: &Wont| wont.holds(&self.takes[item][states[item]]);
        self.wonts.iter().filter(move |(item, wont)| !holds(*item, wont)).map(|(item, _)| *item)
    }

    /// What a stretched finger costs on top where a step begins the playing.
    fn begun(&self, step: &Step) -> i64 {
        if step.from.is_none() { self.prices.of(CostKind::Stretch) * ARRIVING * step.times } else { 0 }
    }

    /// What each way to take an item costs by itself.
    fn own(&self, parts: &Parts<'_>, item: usize) -> impl Iterator<Item = i64> {
        let times = parts.walk.items[item].times;
        let missed = Direction::BOTH.map(|direction| {
            let (soft, hard) = self.missed(parts, item, direction);
            soft * times + hard
        });
        self.takes[item].iter().map(move |take| {
            let mut sum = missed[take.direction as usize];
            self.each_own(parts, item, take, |_, cost| sum += cost * times);
            sum
        })
    }

    /// The soft costs of one playing of an item by kind, chords that cannot sound apart.
    fn each_own(&self, parts: &Parts<'_>, item: usize, take: &Take, mut add: impl FnMut(CostKind, i64)) {
        let price = |kind| self.prices.of(kind) * WHOLE;
        let this = &parts.walk.items[item];
        let stretched = i64::from(take.stretched) * REACH_SHARE + i64::from(take.reached);
        add(CostKind::Stretch, price(CostKind::Stretch) * stretched / REACH_SHARE);
        let chin: i64 = take.presses().iter().map(|press| i64::from(parts.keyboard.chin(press.button))).sum();
        add(CostKind::ChinButton, price(CostKind::ChinButton) * chin);
        if take.lanes[3] != 0 && (this.accent || at_least(this.seconds, LONG_SECONDS)) {
            add(CostKind::LittleFinger, price(CostKind::LittleFinger));
        }
    }

    /// The wants at an item that a direction cannot sound: the price of the soft ones, the sum of the broken rules.
    fn missed(&self, parts: &Parts<'_>, item: usize, direction: Direction) -> (i64, i64) {
        let wants = self.wants_at[item].iter().map(|n| &parts.wants[*n]);
        wants.fold((0, 0), |sum, want| {
            let (soft, hard) = self.miss(want, direction);
            (sum.0 + soft, sum.1 + hard)
        })
    }
    /// Whether the left hand lacks something under an item in a direction that it would have in the other.
    pub(super) fn misses(&self, parts: &Parts<'_>, item: usize, direction: Direction) -> bool {
        self.missed(parts, item, direction) != (0, 0)
    }
    fn miss(&self, want: &Want, direction: Direction) -> (i64, i64) {
        // What serves no better in either direction costs nothing: no plan could mend it.
        let loss = want.loss(direction) - want.loss(direction).min(want.loss(direction.turned()));
        match (loss, want.author) {
            (0, _) => (0, 0),
            (_, true) => (0, HARD),
            // Another chord costs half of silence.
            (loss, false) => (self.prices.of(CostKind::MissingChord) * WHOLE * loss / 2, 0),
        }
    }

    /// What is lost in rests when the bellows may turn freely there: presses missed and turns made beyond the one between
    /// the ends.
    fn lost(&self, parts: &Parts<'_>, wants: &[usize], ends: [Option<Direction>; 2]) -> (i64, i64) {
        if wants.is_empty() {
            return (0, 0);
        }
        let path = self.way_through_rests(parts, wants, ends);
        let missed = wants.iter().zip(&path).map(|(want, direction)| {
            let (soft, hard) = self.miss(&parts.wants[*want], *direction);
            soft + hard
        });
        let all: Vec<Direction> = ends[0].into_iter().chain(path.iter().copied()).chain(ends[1]).collect();
        let turns = all.windows(2).filter(|pair| pair[0] != pair[1]).count() as i64;
        let between = i64::from(matches!(ends, [Some(a), Some(b)] if a != b));
        (missed.sum(), (turns - between) * self.prices.of(CostKind::Turn))
    }

    /// Which way the bellows go at each want in rests: the cheapest way, turns there being as cheap as at a phrase's start.
    pub(super) fn way_through_rests(
        &self,
        parts: &Parts<'_>,
        wants: &[usize],
        ends: [Option<Direction>; 2],
    ) -> Vec<Direction> {
        let turn = self.prices.of(CostKind::Turn);
        let turned = |a: Option<Direction>, b: Direction| i64::from(a.is_some_and(|a| a != b)) * turn;
        // From the last want back: the least cost from here on for each direction.
        let mut onward: Vec<[i64; 2]> = Vec::with_capacity(wants.len());
        for want in wants.iter().rev() {
            let costs = Direction::BOTH.map(|direction| {
                let (soft, hard) = self.miss(&parts.wants[*want], direction);
                let next = match onward.last() {
                    None => turned(ends[1], direction),
                    Some(next) => next[direction as usize].min(next[direction.turned() as usize] + turn),
                };
                soft + hard + next
            });
            onward.push(costs);
        }
        let mut before = ends[0];
        let mut path = Vec::with_capacity(wants.len());
        for costs in onward.iter().rev() {
            let cost = |d: &Direction| costs[*d as usize] + turned(before, *d);
            let stay = before.unwrap_or(Direction::Push);
            let best = if cost(&stay.turned()) < cost(&stay) { stay.turned() } else { stay };
            path.push(best);
            before = Some(best);
        }
        path
    }

    /// The soft costs of a step, by kind.
    #[inline]
    fn each_pair(&self, link: &Link, a: &Take, b: &Take, mut add: impl FnMut(CostKind, i64)) {
        let shared = a.rows & b.rows != 0;
        if a.direction != b.direction {
            add(CostKind::Turn, link.turn);
            add(CostKind::WeakTurn, link.weak);
            if shared && link.could[a.direction as usize] {
                add(CostKind::RowStay, link.row_stay);
            }
        }
        if !shared {
            add(CostKind::RowChange, link.row);
        }
        let distance = self.distances[usize::from(a.place) * self.places + usize::from(b.place)];
        add(CostKind::PlaceShift, link.shift[usize::from(distance)]);
        if a.place != b.place && Spread::begins(&b.off) {
            add(CostKind::Stretch, link.arriving);
        }
        if a.place == b.place {
            let spread = Spread::of(&a.off, &b.off);
            let kind = if spread == Spread::Wide { CostKind::PlaceShift } else { CostKind::Stretch };
            add(kind, link.spread(spread));
        }
        let (same, swaps) = fingers(link.same_pitch, a, b);
        add(CostKind::SameFinger, same * link.same_finger);
        add(CostKind::FingerSwap, swaps * link.swap);
        let (missed, turns) = link.lost[a.direction as usize][b.direction as usize];
        add(CostKind::MissingChord, missed % HARD);
        add(CostKind::Turn, turns);
    }

    /// The soft cost of an assignment, by kind.
    pub(super) fn explain(&self, parts: &Parts<'_>, states: &[usize]) -> Cost {
        let mut by_kind: BTreeMap<CostKind, i64> = BTreeMap::new();
        let take = |item: usize| &self.takes[item][states[item]];
        for (item, this) in parts.walk.items.iter().enumerate() {
            self.each_own(parts, item, take(item), |kind, cost| {
                *by_kind.entry(kind).or_default() += cost * this.times;
            });
            let missed = self.missed(parts, item, take(item).direction).0;
            *by_kind.entry(CostKind::MissingChord).or_default() += missed * this.times;
        }
        for link in &self.links {
            self.each_pair(link, take(link.from), take(link.to), |kind, cost| {
                *by_kind.entry(kind).or_default() += cost
            });
        }
        for (n, step) in parts.walk.steps.iter().enumerate() {
            let ends = match (step.from, step.to) {
                (None, Some(item)) => [None, Some(take(item).direction)],
                (Some(item), None) => [Some(take(item).direction), None],
                _ => continue,
            };
            let (missed, turns) = self.lost(parts, &self.wants_in[n], ends);
            *by_kind.entry(CostKind::MissingChord).or_default() += missed % HARD * step.times;
            *by_kind.entry(CostKind::Turn).or_default() += turns * step.times;
            if step.to.is_some_and(|item| Spread::begins(&take(item).off)) {
                *by_kind.entry(CostKind::Stretch).or_default() += self.begun(step);
            }
        }
        let unlike: i64 = self.left(states).map(|item| parts.walk.items[item].times).sum();
        by_kind.insert(CostKind::Unlike, unlike * self.prices.of(CostKind::Unlike) * WHOLE);
        by_kind.retain(|_, cost| *cost != 0);
        Cost { total: by_kind.values().sum(), by_kind: by_kind.into_iter().collect() }
    }
}

/// For each item the wants at it, for each step those in its rests.
fn attach(parts: &Parts<'_>) -> (Vec<Vec<usize>>, Vec<Vec<usize>>) {
    let walk = parts.walk;
    let mut by_bar: Vec<Vec<usize>> = vec![Vec::new(); parts.tune.bars.len()];
    for (n, want) in parts.wants.iter().enumerate() {
        by_bar[want.bar].push(n);
    }
    let within = |bar: usize, from: Onset, to: Onset| {
        let wants = by_bar[bar].iter().copied();
        wants.filter(move |n| from <= parts.wants[*n].onset && parts.wants[*n].onset < to).collect::<Vec<_>>()
    };
    let at = walk.items.iter().map(|item| match item.grace_of {
        Some(_) => Vec::new(),
        None => within(item.bar, item.onset, item.onset + item.length),
    });
    let rests = walk
        .steps
        .iter()
        .map(|step| step.silence.iter().flat_map(|(bar, from, to)| within(*bar, *from, *to)).collect());
    (at.collect(), rests.collect())
}
