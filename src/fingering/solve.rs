//! The least cost of a chain of choices with some links across it, proven, and the first of all least choices.
//!
//! Takes numbered variables with a few states each, a cost for every state and a cost for every pair of linked states;
//! gives the cheapest assignment. Of equal ones it gives the one that is first when states are compared variable by
//! variable. Knows no music.
//!
//! Method: links between neighbours form a chain; the others (repeats, endings, jumps) are first replaced by what they cost
//! at least. That relaxed chain gives, by dynamic programming, a lower bound for every state; any assignment gives an upper
//! bound; states whose lower bound is above it are struck out. Among the rest the variables are eliminated exactly
//! (`eliminate`).

use super::costs::{Costs, least};
use super::eliminate::{Across, MOST_WORK, eliminate};

/// A link between two variables.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Edge {
    /// The variable the pair cost names first.
    pub from: usize,
    /// The variable it names second.
    pub to: usize,
}

/// An assignment with its cost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Solution {
    /// The state of each variable.
    pub states: Vec<usize>,
    /// What it costs.
    pub cost: i64,
    /// Whether it is proven least and first.
    pub proven: bool,
}

/// Rounds of tightening the lower bound before states are struck out: one for the first few long links, whose slack is
/// small, and one more for every eight, up to this many.
const MOST_ROUNDS: usize = 2;

/// A problem: costs of states, links, and the cost of a pair of states on a link.
pub(super) struct Problem<'a, P: Fn(usize, usize) -> &'a [i64]> {
    /// For each variable the cost of each of its states; no variable is without states.
    pub unary: &'a Costs,
    /// The links.
    pub edges: &'a [Edge],
    /// The costs of a link after a state of its `from`, one for each state of its `to`; none is below nothing. The innermost
    /// loops run over them.
    pub after: P,
}

impl<'a, P: Fn(usize, usize) -> &'a [i64]> Problem<'a, P> {
    /// The cost of an assignment.
    pub(super) fn cost(&self, states: &[usize]) -> i64 {
        let own: i64 = self.unary.iter().zip(states).map(|(costs, state)| costs[*state]).sum();
        let pairs = self.edges.iter().enumerate();
        own + pairs.map(|(n, edge)| (self.after)(n, states[edge.from])[states[edge.to]]).sum::<i64>()
    }

    /// The cheapest assignment.
    pub(super) fn solve(&self) -> Solution {
        self.solve_within(MOST_WORK, None)
    }

    /// The cheapest assignment, or after so many steps of exact elimination the best one found; `known` is one to begin with.
    pub(super) fn solve_within(&self, most_work: usize, known: Option<Vec<usize>>) -> Solution {
        if self.unary.len() == 0 {
            return Solution { states: vec![], cost: 0, proven: true };
        }
        let parts = self.parts();
        // The shares of long links that their earlier ends carry, at first none.
        let mut shares: Vec<Vec<i64>> = parts.long.iter().map(|n| vec![0; self.unary[self.early(*n)].len()]).collect();
        let mut best: Option<(Vec<usize>, i64)> = None;
        let mut tightest: Option<Bound> = None;
        for round in 0..(1 + parts.long.len() / 8).min(MOST_ROUNDS) {
            let (relaxed, late) = self.relaxed(&parts, &shares);
            let bound = self.backward(&relaxed, &parts.chain);
            let states = self.read_off(&parts.chain, &bound);
            let cost = self.cost(&states);
            let least = bound[0].iter().copied().min().unwrap_or(0);
            if parts.long.is_empty() {
                return Solution { states, cost, proven: true };
            }
            self.tighten(&parts, &mut shares, &late, &states, round);
            if best.as_ref().is_none_or(|(_, known)| cost < *known) {
                best = Some((states, cost));
            }
            if tightest.as_ref().is_none_or(|known| least > known.least) {
                tightest = Some(Bound { least, relaxed, onward: bound });
            }
            let gap = |(_, cost): &(Vec<usize>, i64)| tightest.as_ref().is_some_and(|bound| bound.least >= *cost);
            if best.as_ref().is_some_and(gap) {
                break;
            }
        }
        let ((mut states, mut cost), tightest) = best.zip(tightest).expect("there is at least one round");
        if let Some((its, known)) = known.map(|known| (self.cost(&known), known)).filter(|(its, _)| *its < cost) {
            (states, cost) = (known, its);
        }
        if tightest.least < cost && parts.long.len() >= 4 {
            let better = self.improved(&parts, &states);
            let its = self.cost(&better);
            if its < cost {
                (states, cost) = (better, its);
            }
        }
        let alive = self.alive(&tightest.relaxed, &parts.chain, &tightest.onward, cost);
        let links = self.edges.iter().enumerate().filter(|(_, edge)| edge.from != edge.to);
        let links = links.map(|(n, edge)| Across { n, early: edge.from.min(edge.to), late: edge.from.max(edge.to) });
        let across = |link: &Across, t: usize, s: usize| self.across(link.n, link.early, t, s);
        match eliminate(&parts.own, &alive, &links.collect::<Vec<_>>(), most_work, across) {
            Some(states) => {
                let cost = self.cost(&states);
                Solution { states, cost, proven: true }
            }
            None => Solution { states, cost, proven: false },
        }
    }

    /// The earlier variable of a link.
    fn early(&self, n: usize) -> usize {
        self.edges[n].from.min(self.edges[n].to)
    }
    /// The later variable of a link.
    fn late(&self, n: usize) -> usize {
        self.edges[n].from.max(self.edges[n].to)
    }

    /// Moves as much of each long link's cost onto its earlier end as makes the relaxed chain right about the assignment
    /// just found; half of it after the first round, since all links move at once.
    fn tighten(&self, parts: &Sorted, shares: &mut [Vec<i64>], late: &[Vec<i64>], states: &[usize], round: usize) {
        for ((n, share), late) in parts.long.iter().zip(shares).zip(late) {
            let (early, there) = (self.early(*n), states[self.late(*n)]);
            for (s, carried) in share.iter_mut().enumerate() {
                let rest = self.across(*n, early, s, there) - *carried - late[there];
                *carried += if round == 0 { rest } else { rest / 2 };
            }
        }
    }

    /// Sorts links into chain and long ones.
    fn parts(&self) -> Sorted {
        let mut own = self.unary.clone();
        let mut neighbours: Vec<(usize, usize)> = Vec::with_capacity(own.len());
        let mut long = Vec::new();
        for (n, edge) in self.edges.iter().enumerate() {
            if edge.from == edge.to {
                own[edge.from].iter_mut().enumerate().for_each(|(s, cost)| *cost += (self.after)(n, s)[s]);
            } else if edge.from.abs_diff(edge.to) == 1 {
                neighbours.push((edge.from.min(edge.to), n));
            } else {
                long.push(n);
            }
        }
        Sorted { chain: Chain::new(own.len(), neighbours), own, long }
    }

    /// Costs of the states when every long link is replaced by its share on the earlier end and, on the later end, the least
    /// that it costs beyond that; and these latter.
    fn relaxed(&self, parts: &Sorted, shares: &[Vec<i64>]) -> (Costs, Vec<Vec<i64>>) {
        let mut relaxed = parts.own.clone();
        let mut rest = Vec::with_capacity(shares.len());
        let mut order: Vec<(i64, u32)> = Vec::new();
        for (n, share) in parts.long.iter().zip(shares) {
            let (early, late) = (self.early(*n), self.late(*n));
            rising(&mut order, share.iter().map(|carried| -carried));
            let beyond: Vec<i64> =
                (0..relaxed[late].len()).map(|s| cheapest(&order, |t| self.across(*n, early, t, s))).collect();
            relaxed[early].iter_mut().zip(share).for_each(|(cost, carried)| *cost += carried);
            relaxed[late].iter_mut().zip(&beyond).for_each(|(cost, beyond)| *cost += beyond);
            rest.push(beyond);
        }
        (relaxed, rest)
    }

    /// For each state of each variable a cost that no assignment with it undercuts.
    pub(super) fn bounds(&self) -> Costs {
        let parts = self.parts();
        let shares: Vec<Vec<i64>> = parts.long.iter().map(|n| vec![0; self.unary[self.early(*n)].len()]).collect();
        let (relaxed, _) = self.relaxed(&parts, &shares);
        let mut bounds = self.backward(&relaxed, &parts.chain);
        let mut before: Vec<i64> = bounds.iter().next().map_or_else(Vec::new, |first| vec![0; first.len()]);
        let mut order: Vec<(i64, u32)> = Vec::new();
        for v in 1..bounds.len() {
            rising(&mut order, before.iter().zip(&relaxed[v - 1]).map(|(before, own)| before + own));
            let links = parts.chain.of(v - 1);
            before = (0..relaxed[v].len()).map(|s| cheapest(&order, |t| self.step(links, v - 1, t, s))).collect();
            bounds[v].iter_mut().zip(&before).for_each(|(bound, before)| *bound += before);
        }
        bounds
    }

    /// The pair cost of link `n` between state `t` of its variable `early` and state `s` of its other one.
    #[inline]
    fn across(&self, n: usize, early: usize, t: usize, s: usize) -> i64 {
        if self.edges[n].from == early { (self.after)(n, t)[s] } else { (self.after)(n, s)[t] }
    }

    /// For each state the least cost of it and all later variables, over the chain alone.
    fn backward(&self, own: &Costs, chain: &Chain) -> Costs {
        let mut rest = own.clone();
        let mut order: Vec<(i64, u32)> = Vec::new();
        for v in (0..own.len().saturating_sub(1)).rev() {
            let (here, next) = rest.with_next(v);
            match chain.of(v) {
                [n] if self.edges[*n].from == v => {
                    let onward = |s| least((self.after)(*n, s), next);
                    here.iter_mut().enumerate().for_each(|(s, cost)| *cost += onward(s));
                }
                links => {
                    rising(&mut order, next.iter().copied());
                    let onward = |s| cheapest(&order, |t| self.step(links, v, s, t));
                    here.iter_mut().enumerate().for_each(|(s, cost)| *cost += onward(s));
                }
            }
        }
        rest
    }

    /// All chain links between `v` and its successor.
    #[inline]
    fn step(&self, links: &[usize], v: usize, s: usize, t: usize) -> i64 {
        match links {
            [n] => self.across(*n, v, s, t),
            links => links.iter().map(|n| self.across(*n, v, s, t)).sum(),
        }
    }

    /// The first of the cheapest assignments of the chain alone.
    fn read_off(&self, chain: &Chain, bound: &Costs) -> Vec<usize> {
        let mut states: Vec<usize> = Vec::with_capacity(bound.len());
        for v in 0..bound.len() {
            let before = v.checked_sub(1).map(|p| (p, chain.of(p)));
            let (mut first, mut least) = (0, i64::MAX);
            let mut meet = |(s, cost): (usize, i64)| {
                if cost < least {
                    (first, least) = (s, cost);
                }
            };
            match before {
                None | Some((_, [])) => bound[v].iter().copied().enumerate().for_each(meet),
                Some((p, [n])) if self.edges[*n].from == p => {
                    let pairs = (self.after)(*n, states[p]).iter().zip(&bound[v]);
                    pairs.map(|(pair, onward)| pair + onward).enumerate().for_each(meet);
                }
                Some((p, links)) => bound[v].iter().enumerate().for_each(|(s, onward)| {
                    meet((s, self.step(links, p, states[p], s) + onward));
                }),
            }
            states.push(first);
        }
        states
    }

    /// The best assignment of the chain when the far ends of long links stay as they were.
    fn improved(&self, parts: &Sorted, now: &[usize]) -> Vec<usize> {
        let mut leaning = parts.own.clone();
        for n in &parts.long {
            let edge = self.edges[*n];
            for (here, there) in [(edge.from, edge.to), (edge.to, edge.from)] {
                for (s, cost) in leaning[here].iter_mut().enumerate() {
                    *cost += self.across(*n, here, s, now[there]);
                }
            }
        }
        let bound = self.backward(&leaning, &parts.chain);
        self.read_off(&parts.chain, &bound)
    }

    /// The states of each variable that an assignment as cheap as `most` may hold.
    fn alive(&self, own: &Costs, chain: &Chain, bound: &Costs, most: i64) -> Vec<Vec<usize>> {
        let mut alive: Vec<Vec<usize>> = Vec::with_capacity(own.len());
        let mut order: Vec<(i64, u32)> = Vec::new();
        for (v, costs_on) in bound.iter().enumerate() {
            let mut kept = Vec::new();
            let mut costs = Vec::new();
            for (s, onward) in costs_on.iter().enumerate() {
                let before = match v.checked_sub(1) {
                    None => 0,
                    Some(p) => match order.first() {
                        Some((first, _)) if first + onward <= most => {
                            cheapest(&order, |t| self.step(chain.of(p), p, t, s))
                        }
                        _ => continue,
                    },
                };
                if before + onward <= most {
                    kept.push(s);
                    costs.push((before + own[v][s], s as u32));
                }
            }
            costs.sort_unstable();
            order = costs;
            alive.push(kept);
        }
        alive
    }
}

/// Costs with their states, cheapest first.
fn rising(order: &mut Vec<(i64, u32)>, costs: impl Iterator<Item = i64>) {
    order.clear();
    order.extend(costs.zip(0..));
    order.sort_unstable();
}

/// The least of the costs given, in rising order, each with its pair's cost, which is never below nothing.
#[inline]
fn cheapest(order: &[(i64, u32)], pair: impl Fn(usize) -> i64) -> i64 {
    let mut least = i64::MAX;
    for (cost, state) in order {
        if *cost >= least {
            break;
        }
        least = least.min(cost + pair(*state as usize));
    }
    if least == i64::MAX { 0 } else { least }
}

/// A relaxed chain solved.
struct Bound {
    /// No assignment costs less.
    least: i64,
    /// The costs of its states.
    relaxed: Costs,
    /// For each state the least cost of it and all later variables.
    onward: Costs,
}

/// The links of a problem, sorted.
struct Sorted {
    /// Costs of the states, links of a variable with itself counted in.
    own: Costs,
    /// Links between neighbours.
    chain: Chain,
    /// All other links.
    long: Vec<usize>,
}

/// For each variable its links with the next one.
struct Chain {
    starts: Vec<usize>,
    links: Vec<usize>,
}

impl Chain {
    /// From pairs of an earlier variable and a link.
    fn new(count: usize, mut neighbours: Vec<(usize, usize)>) -> Self {
        neighbours.sort_unstable();
        let starts = (0..=count).map(|v| neighbours.partition_point(|(early, _)| *early < v)).collect();
        Self { starts, links: neighbours.into_iter().map(|(_, link)| link).collect() }
    }
    #[inline]
    fn of(&self, v: usize) -> &[usize] {
        &self.links[self.starts[v]..self.starts[v + 1]]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A small generator of repeatable numbers (xorshift), so that the test is the same everywhere.
    fn next(seed: &mut u64) -> u64 {
        *seed ^= *seed << 13;
        *seed ^= *seed >> 7;
        *seed ^= *seed << 17;
        *seed
    }

    /// Tries all assignments in order and keeps the first of the cheapest.
    fn all(sizes: &[usize], cost: impl Fn(&[usize]) -> i64) -> (Vec<usize>, i64) {
        let mut at = vec![0; sizes.len()];
        let mut best: Option<(Vec<usize>, i64)> = None;
        loop {
            let this = cost(&at);
            if best.as_ref().is_none_or(|(_, least)| this < *least) {
                best = Some((at.clone(), this));
            }
            let Some(k) = (0..at.len()).rev().find(|k| at[*k] + 1 < sizes[*k]) else {
                return best.expect("at least one assignment");
            };
            at[k] += 1;
            at[k + 1..].fill(0);
        }
    }

    #[test]
    fn equals_trying_everything_with_repeats_and_jumps() {
        let mut seed = 7;
        for round in 0..3000 {
            let count = 1 + (next(&mut seed) % 7) as usize;
            let sizes: Vec<usize> = (0..count).map(|_| 1 + (next(&mut seed) % 3) as usize).collect();
            let mut edges: Vec<Edge> = (1..count).map(|to| Edge { from: to - 1, to }).collect();
            for _ in 0..next(&mut seed) % 4 {
                let end = |seed: &mut u64| (next(seed) % count as u64) as usize;
                edges.push(Edge { from: end(&mut seed), to: end(&mut seed) });
            }
            // Few different costs make many ties.
            let mut unary = Costs::default();
            sizes.iter().for_each(|size| unary.push((0..*size).map(|_| (next(&mut seed) % 4) as i64)));
            let salt = next(&mut seed);
            let pair = |n: usize, s: usize, t: usize| {
                let mut mixed = salt ^ ((n * 64 + s * 8 + t) as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
                (next(&mut mixed) % 5) as i64
            };
            let row = |n: usize, s: usize| (0..sizes[edges[n].to]).map(|t| pair(n, s, t)).collect();
            let tables: Vec<Vec<Vec<i64>>> =
                (0..edges.len()).map(|n| (0..sizes[edges[n].from]).map(|s| row(n, s)).collect()).collect();
            let problem = Problem { unary: &unary, edges: &edges, after: |n, s| &tables[n][s][..] };
            let found = problem.solve();
            let (states, cost) = all(&sizes, |at| problem.cost(at));
            assert_eq!((found.states, found.cost, found.proven), (states, cost, true), "round {round}");
        }
    }
}
