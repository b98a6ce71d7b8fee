//! The next best plans: what else could be played, and what it would cost more.
//!
//! Takes a solved model, gives other plans whose direction or buttons differ somewhere. The cheapest of them is the cheapest
//! over all notes of the best plan in which that note is taken otherwise; a lower bound for every note (the relaxed chain of
//! `solve`) says which notes are worth solving for. The effort is bounded: [`MOST_TRIES`] solutions a tune.

use super::hand::{Keyboard, Take};
use super::model::Model;
use super::pairs::Joined;
use super::parts::Parts;
use super::plan::{Difference, RunnerUp};
use super::prices::HARD;
use super::solve::Solution;

/// Solutions looked for in one tune.
const MOST_TRIES: usize = 24;
/// Plans given, cheapest first.
const MOST_GIVEN: usize = 3;

/// The next best plans, cheapest first.
pub(super) fn runners_up(parts: &Parts<'_>, model: &Model, joined: &Joined, best: &Solution) -> Vec<RunnerUp> {
    let bounds = joined.problem(&model.unary).bounds();
    let taken = |item: usize, states: &[usize]| model.takes[item][states[item]];
    let other = |item: usize, take: &Take| !take.sounds_like(&taken(item, &best.states));
    // The least that a plan costs in which this item is taken otherwise.
    let least = |item: usize| {
        let ways = model.takes[item].iter().zip(&bounds[item]);
        ways.filter(|(take, _)| other(item, take)).map(|(_, bound)| *bound).min()
    };
    let mut order: Vec<(i64, usize)> =
        (0..model.takes.len()).filter_map(|item| least(item).map(|bound| (bound, item))).collect();
    order.sort_unstable();
    let mut found: Vec<Solution> = Vec::new();
    for (bound, item) in order.into_iter().take(MOST_TRIES) {
        let enough = found.len() >= MOST_GIVEN && found[MOST_GIVEN - 1].cost <= bound;
        if enough || bound / HARD > best.cost / HARD {
            break;
        }
        let mut unary = model.unary.clone();
        for (take, cost) in model.takes[item].iter().zip(&mut unary[item]) {
            if !other(item, take) {
                *cost += HARD << 8;
            }
        }
        let solution = joined.problem(&unary).solve();
        let known = found.iter().any(|earlier| {
            (0..model.takes.len()).all(|i| taken(i, &earlier.states).sounds_like(&taken(i, &solution.states)))
        });
        if solution.cost / HARD <= best.cost / HARD && !known {
            let at = found.partition_point(|earlier| earlier.cost <= solution.cost);
            found.insert(at, solution);
        }
    }
    found.truncate(MOST_GIVEN);
    found.iter().map(|solution| describe(parts, model, best, solution)).collect()
}

fn describe(parts: &Parts<'_>, model: &Model, best: &Solution, solution: &Solution) -> RunnerUp {
    let take = |item: usize, states: &[usize]| model.takes[item][states[item]];
    let differs = (0..model.takes.len()).filter_map(|item| {
        let (old, new) = (take(item, &best.states), take(item, &solution.states));
        (!new.sounds_like(&old)).then(|| Difference {
            note: parts.walk.items[item].note,
            direction: new.direction,
            buttons: buttons(parts.keyboard, &new),
        })
    });
    RunnerUp { cost: model.explain(parts, &solution.states).total, differs: differs.collect() }
}

fn buttons(keyboard: &Keyboard, take: &Take) -> Vec<crate::instrument::ButtonId> {
    take.presses().iter().map(|press| keyboard.button(press.button)).collect()
}
