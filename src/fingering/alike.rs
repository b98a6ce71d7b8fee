//! Bars that come again are taken as before, and a pitch in a bar as just before, where that costs little.
//!
//! Takes the cheapest way to play a tune; gives for each item the ways that it had better be taken ([`Wont`]), which the model
//! then makes dearer to leave, by the price [`CostKind::Unlike`] a note. A learner who knows a bar knows it wherever it
//! returns, and a hand that has found a button looks for it there again (common practice, no source). Knows no page.
//!
//! Method: bars are the same music when notes, ties and what the left hand wants are the same; an ornament changes no bar, so
//! graces are left to be taken as is cheapest. If the cheapest way takes
//! such bars in several ways, there are two proposals for how all of them had better be taken. One: each of these ways is tried
//! in all bars of its kind, the tune's other bars left as they are; the one that costs least, the notes that cannot follow
//! counted in, is what all had better do; kind after kind, each with the bars before settled. Two: the cheapest way of all that
//! take such bars alike, as if each were written once. For either the tune is solved anew with the price in force, exactly, and
//! the cheaper solution stands.

use super::costs::Costs;
use super::eliminate::MOST_WORK;
use super::hand::{Key, Wont};
use super::model::Model;
use super::pairs::Joined;
use super::parts::Parts;
use super::plan::CostKind;
use super::prices::WHOLE;
use super::solve::{Edge, Solution};
use crate::instrument::{Direction, LeftButtonId};
use crate::tune::{Duration, Fraction, Onset};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// Steps of elimination spent on the proposal that takes such bars all alike: a book of a hundred tunes must not wait for it.
const TOGETHER_WORK: usize = 40_000;
/// And in a tune of no more than so many notes, some forty bars of quavers.
const MOST_TOGETHER: usize = 320;
/// In tunes of more notes than this, some eighty bars of quavers, what comes again is left as the cheapest way has it: the
/// second solution of so many repeats takes many times as long as the first.
const MOST_ITEMS: usize = 640;

/// What makes two bars the same music: for each note its onset, length, seconds, pitches, whether it is tied on or ends a
/// phrase; and the buttons that the left hand wants, each once, in order.
type Music = (Vec<Heard>, Vec<[Option<LeftButtonId>; 2]>);
type Heard = (Onset, Duration, Fraction, Vec<i32>, [bool; 2]);

/// The items of a bar without its graces.
fn heads(parts: &Parts<'_>, bar: usize) -> Vec<usize> {
    let (from, to) = parts.walk.spans[bar];
    (from..to).filter(|item| parts.walk.items[*item].grace_of.is_none()).collect()
}

/// Of the bars that are the same music those that are not all taken in one way.
pub(super) fn otherwise(parts: &Parts<'_>, model: &Model, classes: &[Vec<usize>], states: &[usize]) -> Vec<Vec<usize>> {
    let grips = |bar: &usize| -> Vec<Wont> {
        heads(parts, *bar).into_iter().map(|item| Wont::grip(&model.takes[item][states[item]])).collect()
    };
    classes.iter().filter(|bars| bars.iter().any(|bar| grips(bar) != grips(&bars[0]))).cloned().collect()
}

/// Bars that are the same music, by their indexes; those that come once left out.
pub(super) fn classes(parts: &Parts<'_>) -> Vec<Vec<usize>> {
    let mut wanted: Vec<Vec<[Option<LeftButtonId>; 2]>> = vec![Vec::new(); parts.walk.spans.len()];
    for want in parts.wants {
        if !wanted[want.bar].contains(&want.buttons) {
            wanted[want.bar].push(want.buttons);
        }
    }
    let mut known: BTreeMap<Music, Vec<usize>> = BTreeMap::new();
    for (bar, wanted) in wanted.into_iter().enumerate() {
        let heard = heads(parts, bar).into_iter().map(|item| {
            let item = &parts.walk.items[item];
            (item.onset, item.length, item.seconds, item.midis.clone(), [item.tied_on, item.breath])
        });
        known.entry((heard.collect(), wanted)).or_default().push(bar);
    }
    let mut classes: Vec<Vec<usize>> = known
        .into_iter()
        .filter(|((heard, _), bars)| !heard.is_empty() && bars.len() > 1)
        .map(|(_, bars)| bars)
        .collect();
    classes.sort_unstable();
    classes
}

/// The cheapest way to take a tune, the price of taking otherwise what comes again counted in; the model keeps that price.
/// `classes` are the bars that are the same music.
pub(super) fn solve(parts: &Parts<'_>, model: &mut Model, joined: &Joined, classes: &[Vec<usize>]) -> Solution {
    let cheapest = joined.problem(&model.unary).solve();
    if parts.prices.of(CostKind::Unlike) == 0 || model.takes.len() > MOST_ITEMS {
        return cheapest;
    }
    let (asked, followed) = wonts(parts, model, joined, classes, &cheapest.states);
    if asked.iter().all(|(item, wont)| wont.holds(&model.takes[*item][cheapest.states[*item]])) {
        model.keep_to(parts, asked);
        return cheapest;
    }
    let mut proposals = vec![(asked, followed)];
    if !classes.is_empty() && model.takes.len() <= MOST_TOGETHER {
        let together = together(parts, model, joined, classes, &proposals[0].1);
        proposals.push(wonts(parts, model, joined, classes, &together));
    }
    // What follows a proposal is nearly the cheapest under its price, and so a narrow bound to begin with.
    let solved = proposals.into_iter().map(|(wonts, followed)| {
        let unary = model.priced(parts, &wonts);
        (joined.problem(&unary).solve_within(MOST_WORK, Some(followed)), wonts)
    });
    let (solution, wonts) = solved.min_by_key(|(solution, _)| solution.cost).expect("there is a proposal");
    model.keep_to(parts, wonts);
    solution
}

/// The states of the cheapest way to take a tune with bars that are the same music all alike, where pins leave them the same
/// ways; or of a cheap one, where bars return so often that finding the cheapest would take long. `followed` is one to begin
/// with.
fn together(
    parts: &Parts<'_>,
    model: &Model,
    joined: &Joined,
    classes: &[Vec<usize>],
    followed: &[usize],
) -> Vec<usize> {
    // For each item the one that stands for it, the first of those that are taken alike.
    let mut stands: Vec<usize> = (0..model.takes.len()).collect();
    for bars in classes {
        let bars: Vec<Vec<usize>> = bars.iter().map(|bar| heads(parts, *bar)).collect();
        for (n, bar) in bars.iter().enumerate().skip(1) {
            let same = |other: &&Vec<usize>| {
                let mut pairs = other.iter().zip(bar).map(|(a, b)| (&model.takes[*a], &model.takes[*b]));
                pairs.all(|(a, b)| Rc::ptr_eq(a, b) || a == b)
            };
            if let Some(first) = bars[..n].iter().find(same) {
                bar.iter().zip(first).for_each(|(item, other)| stands[*item] = *other);
            }
        }
    }
    let mut number = vec![0; stands.len()];
    let mut unary = Costs::default();
    for item in (0..stands.len()).filter(|item| stands[*item] == *item) {
        number[item] = unary.len();
        unary.push(model.unary[item].iter().copied());
    }
    for item in (0..stands.len()).filter(|item| stands[*item] != *item) {
        number[item] = number[stands[item]];
        unary[number[item]].iter_mut().zip(&model.unary[item]).for_each(|(sum, cost)| *sum += cost);
    }
    let edges: Vec<Edge> =
        joined.edges.iter().map(|edge| Edge { from: number[edge.from], to: number[edge.to] }).collect();
    let known = (0..stands.len()).filter(|item| stands[*item] == *item).map(|item| followed[item]).collect();
    let states = joined.problem_on(&unary, &edges).solve_within(TOGETHER_WORK, Some(known)).states;
    number.into_iter().map(|variable| states[variable]).collect()
}

/// How the items of a tune had better be taken, going by these states; by item. And the states that follow it.
fn wonts(
    parts: &Parts<'_>,
    model: &Model,
    joined: &Joined,
    classes: &[Vec<usize>],
    states: &[usize],
) -> (Vec<(usize, Wont)>, Vec<usize>) {
    let price = parts.prices.of(CostKind::Unlike) * WHOLE;
    let problem = joined.problem(&model.unary);
    let mut now = states.to_vec();
    let mut returning: Vec<(usize, Wont)> = Vec::new();
    for bars in classes {
        let bars: Vec<Vec<usize>> = bars.iter().map(|bar| heads(parts, *bar)).collect();
        let grips = |bar: &[usize]| -> Vec<Wont> {
            bar.iter().map(|item| Wont::grip(&model.takes[*item][now[*item]])).collect()
        };
        // Each way once, by the bar that has it: the same grips from other places of the hand are another way to be tried.
        let takes = |bar: &[usize]| bar.iter().map(|item| &model.takes[*item][now[*item]]).collect::<Vec<_>>();
        let mut leaders: Vec<&[usize]> = Vec::new();
        for bar in &bars {
            if leaders.iter().all(|known| takes(known) != takes(bar)) {
                leaders.push(bar);
            }
        }
        let mut way = grips(&bars[0]);
        if leaders.iter().any(|leader| grips(leader) != way) {
            let tries = leaders.into_iter().map(|leader| {
                let way = grips(leader);
                let (states, strays) = follow(parts, model, &now, &bars, leader, &way);
                (problem.cost(&states) + strays * price, states, way)
            });
            let best = tries.min_by_key(|(cost, ..)| *cost).expect("there is at least one way");
            (now, way) = (best.1, best.2);
        }
        for bar in bars {
            returning.extend(bar.into_iter().zip(way.iter().cloned()));
        }
    }
    let mut all = buttons(parts, model, &now);
    let strays: BTreeSet<usize> =
        all.iter().filter(|(item, wont)| !wont.holds(&model.takes[*item][now[*item]])).map(|(item, _)| *item).collect();
    all.extend(returning.into_iter().filter(|(item, _)| !strays.contains(item)));
    (all, now)
}

/// The states when some bars, each by its items, follow the way of one of them, and how many notes, each as often as it is
/// played, cannot.
fn follow(
    parts: &Parts<'_>,
    model: &Model,
    now: &[usize],
    bars: &[Vec<usize>],
    leader: &[usize],
    way: &[Wont],
) -> (Vec<usize>, i64) {
    let (mut states, mut strays) = (now.to_vec(), 0);
    for bar in bars {
        for ((item, led), way) in bar.iter().zip(leader).zip(way) {
            let leader = &model.takes[*led][now[*led]];
            let takes = &model.takes[*item];
            let same = takes.iter().position(|take| take == leader);
            match same.or_else(|| takes.iter().position(|take| way.holds(take))) {
                Some(state) => states[*item] = state,
                None => strays += parts.walk.items[*item].times,
            }
        }
    }
    (states, strays)
}

/// For each bar where one pitch is taken in one direction on several buttons: the one that it is taken on most often, of equals
/// the first.
fn buttons(parts: &Parts<'_>, model: &Model, now: &[usize]) -> Vec<(usize, Wont)> {
    let mut all = Vec::new();
    for (from, to) in parts.walk.spans.iter().copied() {
        let single = |item: &usize| parts.walk.items[*item].midis.len() == 1;
        let mut taken: BTreeMap<(i32, Direction), Vec<(Key, usize)>> = BTreeMap::new();
        for item in (from..to).filter(single) {
            let take = &model.takes[item][now[item]];
            let counts = taken.entry((parts.walk.items[item].midis[0], take.direction)).or_default();
            let button = take.presses()[0].button;
            match counts.iter_mut().find(|(known, _)| *known == button) {
                Some((_, count)) => *count += 1,
                None => counts.push((button, 1)),
            }
        }
        for ((midi, direction), counts) in taken.into_iter().filter(|(_, counts)| counts.len() > 1) {
            let most = counts.iter().rev().max_by_key(|(_, count)| *count);
            let (button, _) = *most.expect("there are several");
            let its = (from..to).filter(single).filter(|item| parts.walk.items[*item].midis[0] == midi);
            all.extend(its.map(|item| (item, Wont::Button(direction, button))));
        }
    }
    all
}
