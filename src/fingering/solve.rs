//! The least cost of a chain of choices with some links across it, proven, and the first of all least choices.
//!
//! Takes numbered variables with a few states each, a cost for every state and a cost for every pair of linked states;
//! gives the cheapest assignment. Of equal ones it gives the one that is first when states are compared variable by
//! variable. Knows no music.
//!
//! Method: links between neighbours form a chain; the others (repeats, endings, jumps) are first replaced by what they cost
//! at least. That relaxed chain gives, by dynamic programming, a lower bound for every state; any assignment gives an upper
//! bound; states whose lower bound is above it are struck out. Among the rest the variables are eliminated exactly, last
//! one first, each leaving a table over the earlier variables it was linked to (min-plus variable elimination), and are
//! then read off first one first.

use std::collections::BTreeMap;

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

/// Elimination tables hold at most this many entries in all, and work at most this many steps; beyond that the best
/// assignment found is given unproven.
const MOST_WORK: usize = 20_000_000;
/// Rounds of improving the first guess before states are struck out.
const ROUNDS: usize = 4;

/// A problem: costs of states, links, and the cost of a pair of states on a link.
pub(super) struct Problem<'a, P: Fn(usize, usize, usize) -> i64> {
    /// For each variable the cost of each of its states; no variable is without states.
    pub unary: &'a [Vec<i64>],
    /// The links.
    pub edges: &'a [Edge],
    /// The cost of a link: its index, the state of its `from`, the state of its `to`.
    pub pair: P,
}

impl<P: Fn(usize, usize, usize) -> i64> Problem<'_, P> {
    /// The cost of an assignment.
    pub(super) fn cost(&self, states: &[usize]) -> i64 {
        let own: i64 = self.unary.iter().zip(states).map(|(costs, state)| costs[*state]).sum();
        let pairs = self.edges.iter().enumerate();
        own + pairs.map(|(n, edge)| (self.pair)(n, states[edge.from], states[edge.to])).sum::<i64>()
    }

    /// The cheapest assignment.
    pub(super) fn solve(&self) -> Solution {
        let count = self.unary.len();
        if count == 0 {
            return Solution { states: vec![], cost: 0, proven: true };
        }
        let mut own = self.unary.to_vec();
        let mut chain: Vec<Vec<usize>> = vec![Vec::new(); count];
        let mut long = Vec::new();
        for (n, edge) in self.edges.iter().enumerate() {
            if edge.from == edge.to {
                own[edge.from].iter_mut().enumerate().for_each(|(s, cost)| *cost += (self.pair)(n, s, s));
            } else if edge.from.abs_diff(edge.to) == 1 {
                chain[edge.from.min(edge.to)].push(n);
            } else {
                long.push(n);
            }
        }
        let mut relaxed = own.clone();
        for n in &long {
            let edge = self.edges[*n];
            let early = edge.from.min(edge.to);
            for (s, cost) in relaxed[edge.from.max(edge.to)].iter_mut().enumerate() {
                *cost += (0..own[early].len()).map(|t| self.across(*n, early, t, s)).min().unwrap_or(0);
            }
        }
        let bound = self.backward(&relaxed, &chain);
        let mut best = self.read_off(&relaxed, &chain, &bound);
        let mut cost = self.cost(&best);
        let least = bound[0].iter().copied().min().unwrap_or(0);
        if long.is_empty() {
            return Solution { states: best, cost, proven: true };
        }
        for _ in 0..ROUNDS {
            if cost == least {
                break;
            }
            let next = self.improved(&own, &chain, &long, &best);
            let better = self.cost(&next);
            if better >= cost {
                break;
            }
            (best, cost) = (next, better);
        }
        let alive = self.alive(&relaxed, &chain, &bound, cost);
        match self.eliminate(&own, &alive) {
            Some(states) => {
                let cost = self.cost(&states);
                Solution { states, cost, proven: true }
            }
            None => Solution { states: best, cost, proven: false },
        }
    }

    /// The pair cost of link `n` between state `t` of its variable `early` and state `s` of its other one.
    fn across(&self, n: usize, early: usize, t: usize, s: usize) -> i64 {
        if self.edges[n].from == early { (self.pair)(n, t, s) } else { (self.pair)(n, s, t) }
    }

    /// For each state the least cost of it and all later variables, over the chain alone.
    fn backward(&self, own: &[Vec<i64>], chain: &[Vec<usize>]) -> Vec<Vec<i64>> {
        let mut rest = own.to_vec();
        for v in (0..own.len().saturating_sub(1)).rev() {
            let (early, late) = rest.split_at_mut(v + 1);
            let (here, next) = (&mut early[v], &late[0]);
            for (s, cost) in here.iter_mut().enumerate() {
                let onward = match chain[v][..] {
                    [n] if self.edges[n].from == v => {
                        next.iter().enumerate().map(|(t, onward)| onward + (self.pair)(n, s, t)).min()
                    }
                    _ => next.iter().enumerate().map(|(t, onward)| onward + self.step(&chain[v], v, s, t)).min(),
                };
                *cost += onward.unwrap_or(0);
            }
        }
        rest
    }

    /// All chain links between `v` and its successor.
    fn step(&self, links: &[usize], v: usize, s: usize, t: usize) -> i64 {
        links.iter().map(|n| self.across(*n, v, s, t)).sum()
    }

    /// The first of the cheapest assignments of the chain alone.
    fn read_off(&self, own: &[Vec<i64>], chain: &[Vec<usize>], bound: &[Vec<i64>]) -> Vec<usize> {
        let mut states = Vec::with_capacity(own.len());
        for v in 0..own.len() {
            let cost = |s: &usize| {
                let before = v.checked_sub(1).map_or(0, |p| self.step(&chain[p], p, states[p], *s));
                before + bound[v][*s]
            };
            let first = (0..own[v].len()).min_by_key(cost).expect("every variable has states");
            states.push(first);
        }
        states
    }

    /// The best assignment of the chain when the far ends of long links stay as they were.
    fn improved(&self, own: &[Vec<i64>], chain: &[Vec<usize>], long: &[usize], now: &[usize]) -> Vec<usize> {
        let mut leaning = own.to_vec();
        for n in long {
            let edge = self.edges[*n];
            for (here, there) in [(edge.from, edge.to), (edge.to, edge.from)] {
                for (s, cost) in leaning[here].iter_mut().enumerate() {
                    *cost += self.across(*n, here, s, now[there]);
                }
            }
        }
        let bound = self.backward(&leaning, chain);
        self.read_off(&leaning, chain, &bound)
    }

    /// The states of each variable that an assignment as cheap as `most` may hold.
    fn alive(&self, own: &[Vec<i64>], chain: &[Vec<usize>], bound: &[Vec<i64>], most: i64) -> Vec<Vec<usize>> {
        let mut alive: Vec<Vec<usize>> = Vec::with_capacity(own.len());
        let mut reached: Vec<i64> = Vec::new();
        for (v, costs_on) in bound.iter().enumerate() {
            let mut kept = Vec::new();
            let mut costs = Vec::new();
            for (s, onward) in costs_on.iter().enumerate() {
                let before = match v.checked_sub(1) {
                    None => 0,
                    Some(p) => {
                        let ways = alive[p].iter().zip(&reached);
                        ways.map(|(t, cost)| cost + own[p][*t] + self.step(&chain[p], p, *t, s)).min().unwrap_or(0)
                    }
                };
                if before + onward <= most {
                    kept.push(s);
                    costs.push(before);
                }
            }
            alive.push(kept);
            reached = costs;
        }
        alive
    }

    /// Exact elimination over the states left alive, last variable first; `None` when it would take too much.
    fn eliminate(&self, own: &[Vec<i64>], alive: &[Vec<usize>]) -> Option<Vec<usize>> {
        let count = own.len();
        // The links of each variable to earlier ones, and the tables that have it as their last variable.
        let mut back: Vec<Vec<usize>> = vec![Vec::new(); count];
        for (n, edge) in self.edges.iter().enumerate() {
            if edge.from != edge.to {
                back[edge.from.max(edge.to)].push(n);
            }
        }
        let mut tables: Vec<Vec<Table>> = vec![Vec::new(); count];
        let mut work = 0usize;
        for v in (0..count).rev() {
            let mut scope: Vec<usize> = back[v].iter().map(|n| self.edges[*n].from.min(self.edges[*n].to)).collect();
            scope.extend(tables[v].iter().flat_map(|table| &table.scope[..table.scope.len() - 1]));
            scope.sort_unstable();
            scope.dedup();
            let size = scope.iter().try_fold(1usize, |size, w| size.checked_mul(alive[*w].len()))?;
            let terms = 1 + back[v].len() + tables[v].len();
            work = work.checked_add(size.checked_mul(alive[v].len())?.checked_mul(terms)?)?;
            if work > MOST_WORK {
                return None;
            }
            let mut table = Table { scope, values: Vec::with_capacity(size) };
            let mut at = vec![0usize; table.scope.len()];
            loop {
                let index = |w: usize| table.scope.binary_search(&w).map_or(0, |k| at[k]);
                let least =
                    (0..alive[v].len()).map(|s| self.local(own, alive, &back[v], &tables[v], v, s, index)).min();
                table.values.push(least.expect("the best assignment's states stay alive"));
                if !advance(&mut at, &table.scope, alive) {
                    break;
                }
            }
            match table.scope.last() {
                Some(last) => tables[*last].push(table),
                None => continue,
            }
        }
        let mut chosen: BTreeMap<usize, usize> = BTreeMap::new();
        for v in 0..count {
            let index = |w: usize| chosen.get(&w).copied().unwrap_or(0);
            let best =
                (0..alive[v].len()).min_by_key(|s| self.local(own, alive, &back[v], &tables[v], v, *s, index))?;
            chosen.insert(v, best);
        }
        Some(chosen.into_iter().map(|(v, s)| alive[v][s]).collect())
    }

    /// What state `s` (among the living) of `v` costs with its links to earlier variables and all that hangs on it later.
    #[expect(clippy::too_many_arguments, reason = "the inner sum of the elimination, called from its two passes")]
    fn local(
        &self,
        own: &[Vec<i64>],
        alive: &[Vec<usize>],
        back: &[usize],
        tables: &[Table],
        v: usize,
        s: usize,
        index: impl Fn(usize) -> usize,
    ) -> i64 {
        let state = alive[v][s];
        let mut cost = own[v][state];
        for n in back {
            let early = self.edges[*n].from.min(self.edges[*n].to);
            cost += self.across(*n, early, alive[early][index(early)], state);
        }
        for table in tables {
            let mut flat = 0;
            for w in &table.scope {
                flat = flat * alive[*w].len() + if *w == v { s } else { index(*w) };
            }
            cost += table.values[flat];
        }
        cost
    }
}

/// Least costs over the living states of some variables, in ascending order, the last one running fastest.
#[derive(Debug, Clone)]
struct Table {
    scope: Vec<usize>,
    values: Vec<i64>,
}

/// The next combination of states of a scope; false after the last.
fn advance(at: &mut [usize], scope: &[usize], alive: &[Vec<usize>]) -> bool {
    for k in (0..at.len()).rev() {
        at[k] += 1;
        if at[k] < alive[scope[k]].len() {
            return true;
        }
        at[k] = 0;
    }
    false
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
            let unary: Vec<Vec<i64>> =
                sizes.iter().map(|size| (0..*size).map(|_| (next(&mut seed) % 4) as i64).collect()).collect();
            let salt = next(&mut seed);
            let pair = |n: usize, s: usize, t: usize| {
                let mut mixed = salt ^ ((n * 64 + s * 8 + t) as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
                (next(&mut mixed) % 5) as i64
            };
            let problem = Problem { unary: &unary, edges: &edges, pair };
            let found = problem.solve();
            let (states, cost) = all(&sizes, |at| problem.cost(at));
            assert_eq!((found.states, found.cost, found.proven), (states, cost, true), "round {round}");
        }
    }
}
