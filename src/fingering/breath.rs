//! The plan whose bellows last: the cheapest over all ways to turn, air points counted in.
//!
//! Takes a solved model and its bellows, gives the assignment to keep and what was found out. Method: what the bellows need
//! depends on the directions alone, so direction by direction the assignments are gone through from the cheapest on (each
//! time the rest of the choices is parted at the first note that turns otherwise, and solved exactly) until the next one
//! alone costs as much as the best one with its air. The effort is bounded; when it runs out, the best plan found is kept
//! and said to be unproven.

use super::bellows::{Bellows, Fit};
use super::left;
use super::model::Model;
use super::pairs::Joined;
use super::parts::Parts;
use super::plan::{Air, BellowsReport, CostKind, Plan};
use super::prices::{HARD, WHOLE};
use super::request::{NoteSpan, Request};
use super::solve::Solution;
use crate::diag::Sink;
use crate::instrument::{Direction, Instrument};
use crate::tune::{Fraction, NoteId};
use std::collections::BTreeMap;

/// Solutions looked at in one tune, and the most items a tune may have for it: a longer one keeps its turns and takes air,
/// for a book of a hundred tunes must not wait for their bellows.
const MOST_SOLUTIONS: usize = 1_200;
const MOST_ITEMS: usize = 24;
/// Prices a second of bellows, tried both ways when no air helps a longer tune: a turn, four turns. (Tried where air helps,
/// slighter ones spared one air point in a whole book and took half as long again.)
const BIASES: [i64; 4] = [40, -40, 160, -160];
/// Notes named at most where air is needed, and where pins are advised.
const MOST_NAMED: usize = 6;
const MOST_PINS: usize = 4;
/// What bellows that run out cost: more than any air, less than a rule of the author's.
const RUN_OUT: i64 = HARD >> 4;

/// An assignment with its bellows.
pub(super) struct Breathing {
    /// The assignment.
    pub solution: Solution,
    /// Its directions, item by item.
    pub directions: Vec<Direction>,
    /// Its air points.
    pub fit: Fit,
    /// Whether it is proven that no other way to turn is cheaper, air counted in.
    pub proven: bool,
}

/// The author's air pins; one on a note that is tied on was refused.
fn pins(request: &Request, parts: &Parts<'_>) -> BTreeMap<NoteId, Air> {
    let wishes = request.pins.iter().filter_map(|pin| match (pin.target.span, pin.wish.air) {
        (NoteSpan::Note(note), Some(air)) => Some((note, air)),
        _ => None,
    });
    let mut wishes: BTreeMap<NoteId, Air> = wishes.collect();
    if !wishes.is_empty() {
        parts.walk.items.iter().filter(|item| item.tied_on).for_each(|item| _ = wishes.remove(&item.note));
    }
    wishes
}

/// What the search needs besides.
pub(super) struct Search<'a> {
    /// The tune and its surroundings.
    pub parts: &'a Parts<'a>,
    /// The numbers.
    pub model: &'a Model,
    /// Its links with their costs.
    pub joined: &'a Joined,
    /// The box.
    pub instrument: &'a Instrument,
    /// What the author asks for.
    pub request: &'a Request,
}

/// A part of all assignments: the directions up to here are fixed, this one is turned.
struct Part {
    fixed: Vec<Direction>,
    solution: Solution,
}

impl<'a> Search<'a> {
    /// The bellows of this tune, if the box's figure says anything.
    pub(super) fn bellows(&self) -> Option<Bellows<'a>> {
        Bellows::new(self.parts, &self.instrument.left, self.instrument.bellows.seconds, pins(self.request, self.parts))
    }

    fn directions(&self, solution: &Solution) -> Vec<Direction> {
        solution.states.iter().enumerate().map(|(n, s)| self.model.takes[n][*s].direction).collect()
    }

    fn fit(&self, bellows: &Bellows<'_>, directions: &[Direction]) -> (Fit, i64) {
        let presses = left::presses(self.parts, self.model, &self.instrument.left, directions, &mut Sink::default());
        let fit = bellows.fit(directions, &presses);
        let costs: i64 = self.costs(&fit).iter().map(|(_, cost)| cost).sum();
        let cost = costs + if fit.runs_out.is_some() { RUN_OUT } else { 0 };
        (fit, cost)
    }

    /// What air, drift and playing near the ends cost.
    fn costs(&self, fit: &Fit) -> [(CostKind, i64); 3] {
        // Ends are counted in quarters already.
        [
            (CostKind::AirPoint, fit.taken * WHOLE),
            (CostKind::Drift, fit.drift * WHOLE),
            (CostKind::BellowsEnd, fit.ends),
        ]
        .map(|(kind, times)| (kind, times * self.parts.prices.of(kind)))
    }

    /// The best assignment, bellows counted in.
    pub(super) fn breathe(&self, bellows: &Bellows<'_>, first: Solution) -> Breathing {
        let directions = self.directions(&first);
        let (fit, air) = self.fit(bellows, &directions);
        let mut best = Breathing { solution: first.clone(), directions, fit, proven: true };
        let mut least = best.solution.cost + air;
        let items = self.model.takes.len();
        if items > MOST_ITEMS {
            best.proven = air == 0;
            return if best.fit.runs_out.is_some() { self.leaning(bellows, best, least) } else { best };
        }
        let mut effort = 0;
        let mut open = vec![Part { fixed: vec![], solution: first }];
        // The cheapest part first; the earliest found of equals.
        while let Some(next) = (0..open.len()).min_by_key(|n| (open[*n].solution.cost, *n)) {
            let part = open.remove(next);
            if part.solution.cost >= least {
                break;
            }
            let directions = self.directions(&part.solution);
            let (fit, air) = self.fit(bellows, &directions);
            if part.solution.cost + air < least {
                least = part.solution.cost + air;
                best = Breathing { solution: part.solution.clone(), directions: directions.clone(), fit, proven: true };
            }
            for turned in part.fixed.len()..items {
                let mut fixed = directions[..turned].to_vec();
                fixed.push(directions[turned].turned());
                if !self.model.takes[turned].iter().any(|take| take.direction == fixed[turned]) {
                    continue;
                }
                effort += 1;
                if effort > MOST_SOLUTIONS {
                    best.proven = false;
                    return best;
                }
                let solution = self.solve(&fixed);
                if solution.cost < least && self.directions(&solution).starts_with(&fixed) {
                    open.push(Part { fixed, solution });
                }
            }
        }
        best
    }

    /// The best of a few assignments that lean to the push or to the pull, for a tune whose bellows run out.
    fn leaning(&self, bellows: &Bellows<'_>, mut best: Breathing, mut least: i64) -> Breathing {
        for bias in BIASES {
            let mut unary = self.model.unary.clone();
            for (n, takes) in self.model.takes.iter().enumerate() {
                let item = &self.parts.walk.items[n];
                let lean = (item.seconds * Fraction::new(bias * item.times, 1)).floor();
                for (take, cost) in takes.iter().zip(&mut unary[n]) {
                    *cost += if take.direction == Direction::Push { lean } else { -lean };
                }
            }
            let states = self.joined.problem(&unary).solve().states;
            let cost = self.joined.problem(&self.model.unary).cost(&states);
            let solution = Solution { states, cost, proven: best.solution.proven };
            let directions = self.directions(&solution);
            let (fit, air) = self.fit(bellows, &directions);
            if cost + air < least {
                least = cost + air;
                best = Breathing { solution, directions, fit, proven: false };
            }
        }
        best
    }

    /// The cheapest assignment whose first directions are these.
    fn solve(&self, fixed: &[Direction]) -> Solution {
        let mut unary = self.model.unary.clone();
        for (n, (takes, direction)) in self.model.takes.iter().zip(fixed).enumerate() {
            let ways = takes.iter().zip(&mut unary[n]).filter(|(take, _)| take.direction != *direction);
            ways.for_each(|(_, cost)| *cost += HARD << 6);
        }
        self.joined.problem(&unary).solve()
    }

    /// Writes down what was found out, adds what air costs, and tells the author.
    /// `free` is the best assignment for bellows without an end: nothing can cost less.
    pub(super) fn report(
        &self,
        bellows: &Bellows<'_>,
        free: &Solution,
        breathing: &Breathing,
        plan: &mut Plan,
        sink: &mut Sink,
    ) {
        let curve = bellows.curve(&breathing.directions, &plan.left, &breathing.fit.air);
        plan.bellows = BellowsReport {
            capacity_seconds: self.instrument.bellows.seconds,
            curve,
            air: breathing.fit.air.clone(),
            runs_out: breathing.fit.runs_out,
            close: breathing.fit.close,
            free_cost: self.model.explain(self.parts, &free.states).total,
            proven: breathing.proven,
        };
        for (kind, cost) in self.costs(&breathing.fit).into_iter().filter(|(_, cost)| *cost > 0) {
            plan.cost.total += cost;
            plan.cost.by_kind.push((kind, cost));
        }
        plan.cost.by_kind.sort_by_key(|(kind, _)| *kind);
        self.complain(breathing, plan, sink);
    }

    fn complain(&self, breathing: &Breathing, plan: &Plan, sink: &mut Sink) {
        let tune = self.parts.tune;
        let seconds = self.instrument.bellows.seconds;
        let proposed: Vec<String> = breathing
            .fit
            .air
            .iter()
            .filter(|point| !point.pinned)
            .map(|point| {
                let way = if point.air == Air::Open { "open" } else { "close" };
                format!("{} ({way})", tune.address(point.after))
            })
            .collect();
        if let Some(note) = breathing.fit.runs_out {
            let message =
                format!("this tune drains a bellows of {seconds} seconds: it runs out at note {}", tune.address(note));
            let mends = self.mends(breathing, note);
            let complaint = sink.warn(code!("bellows-run-out"), self.place(note), message);
            complaint.hints.extend(mends);
            complaint.hints.extend(self.bound(plan));
        } else if !proposed.is_empty() {
            let point = breathing.fit.air.iter().find(|point| !point.pinned);
            let way = if point.is_some_and(|point| point.air == Air::Close) { "close" } else { "open" };
            let first = point.map(|point| point.after);
            let (named, more) = proposed.split_at(proposed.len().min(MOST_NAMED));
            let rest = if more.is_empty() { String::new() } else { format!(" and at {} more notes", more.len()) };
            let needs = if breathing.fit.lasts { "is played near its ends without" } else { "needs" };
            let message = format!("a bellows of {seconds} seconds {needs} air after note {}{rest}", named.join(", "));
            let complaint = sink.warn(code!("air-needed"), first.and_then(|note| self.place(note)), message);
            complaint.hints.push(format!("to have it elsewhere, pin it: `{{bar: ..., after: ..., air: {way}}}`"));
            complaint.hints.extend(self.bound(plan));
        }
        if let Some(note) = breathing.fit.close {
            let message = format!("less than a tenth of the bellows is left at note {}", tune.address(note));
            let pushed = plan.note(note).is_some_and(|planned| planned.direction == Direction::Push);
            let way = if pushed { "open" } else { "close" };
            let complaint = sink.warn(code!("bellows-close"), self.place(note), message);
            let rest = "let the left hand rest there, or play it shorter";
            // No air is taken where a tie goes on.
            if self.parts.walk.items.iter().take_while(|item| item.note != note).any(|item| !item.tied_on) {
                let pin = format!("pin air on a rest or a long note before it: `{{bar: ..., after: ..., air: {way}}}`");
                complaint.hints.extend([pin, format!("or {rest}")]);
            } else {
                complaint.hints.push(rest.to_owned());
            }
        }
    }

    /// How far from the best a plan may be whose other ways to turn were not all tried.
    fn bound(&self, plan: &Plan) -> Option<String> {
        let said = || {
            "not every way to turn was tried in a tune of this length; `plan` says how much cheaper one could be"
                .to_owned()
        };
        (!plan.bellows.proven).then(said)
    }

    fn place(&self, note: NoteId) -> Option<crate::diag::Place> {
        let events = self.parts.tune.bars.iter().flat_map(|bar| &bar.events);
        let mut found = events.filter(|event| event.head() == Some(note));
        found.next().and_then(|event| event.place)
    }

    /// What the author can do about bellows that run out at a note.
    fn mends(&self, breathing: &Breathing, note: NoteId) -> Vec<String> {
        let items = &self.parts.walk.items;
        let tune = self.parts.tune;
        let end = items.iter().position(|item| item.note == note).unwrap_or(0);
        let way = breathing.directions[end];
        let free = (0..=end).rev().filter(|n| {
            let turned = |take: &super::hand::Take| take.direction == way.turned();
            breathing.directions[*n] == way && items[*n].grace_of.is_none() && self.model.takes[*n].iter().any(turned)
        });
        let mut free: Vec<String> = free.take(MOST_PINS).map(|n| tune.address(items[n].note).to_string()).collect();
        free.reverse();
        let mut mends = Vec::new();
        if !free.is_empty() {
            let (some, notes) = if free.len() == 1 { ("this one", "note") } else { ("some of these", "notes") };
            mends.push(format!("pin {some} to the {}: {notes} {}", way.turned(), free.join(", ")));
        }
        let air = if way == Direction::Push { "open" } else { "close" };
        mends.push(format!("pin air earlier: `{{bar: …, after: …, air: {air}}}`"));
        mends.push("let the left hand rest there, or play it shorter".to_owned());
        mends
    }
}
