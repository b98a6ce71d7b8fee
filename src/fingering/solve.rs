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
/// Rounds of tightening the lower bound before states are struck out: one for the first few long links, whose slack is
/// small, and one more for every eight, up to this many.
const MOST_ROUNDS: usize = 4;

/// A problem: costs of states, links, and the cost of a pair of states on a link.
pub(super) struct Problem<'a, P: Fn(usize, usize, usize) -> i64, L: Fn(usize, usize, &[i64]) -> i64> {
    /// For each variable the cost of each of its states; no variable is without states.
    pub unary: &'a [Vec<i64>],
    /// The links.
    pub edges: &'a [Edge],
    /// The cost of a link: its index, the state of its `from`, the state of its `to`.
    pub pair: P,
    /// The least, over the states of a link's `to`, of the link's cost and what is given for each of them: the link, the
    /// state of its `from`, the costs. The innermost loop, hence given by who knows how pair costs are made up.
    pub least: L,
}

impl<P: Fn(usize, usize, usize) -> i64, L: Fn(usize, usize, &[i64]) -> i64> Problem<'_, P, L> {
    /// The cost of an assignment.
    pub(super) fn cost(&self, states: &[usize]) -> i64 {
        let own: i64 = self.unary.iter().zip(states).map(|(costs, state)| costs[*state]).sum();
        let pairs = self.edges.iter().enumerate();
        own + pairs.map(|(n, edge)| (self.pair)(n, states[edge.from], states[edge.to])).sum::<i64>()
    }

    /// The cheapest assignment.
    pub(super) fn solve(&self) -> Solution {
        if self.unary.is_empty() {
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
            let states = self.read_off(&relaxed, &parts.chain, &bound);
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
        if tightest.least < cost && parts.long.len() >= 8 {
            let better = self.improved(&parts, &states);
            let its = self.cost(&better);
            if its < cost {
                (states, cost) = (better, its);
            }
        }
        let alive = self.alive(&tightest.relaxed, &parts.chain, &tightest.onward, cost);
        match self.eliminate(&parts.own, &alive) {
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
        let count = self.unary.len();
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
        Sorted { own, chain, long }
    }

    /// Costs of the states when every long link is replaced by its share on the earlier end and, on the later end, the least
    /// that it costs beyond that; and these latter.
    fn relaxed(&self, parts: &Sorted, shares: &[Vec<i64>]) -> (Vec<Vec<i64>>, Vec<Vec<i64>>) {
        let mut relaxed = parts.own.clone();
        let mut rest = Vec::with_capacity(shares.len());
        for (n, share) in parts.long.iter().zip(shares) {
            let (early, late) = (self.early(*n), self.late(*n));
            let beyond: Vec<i64> = (0..relaxed[late].len())
                .map(|s| {
                    let costs = share.iter().enumerate().map(|(t, carried)| self.across(*n, early, t, s) - carried);
                    costs.min().unwrap_or(0)
                })
                .collect();
            relaxed[early].iter_mut().zip(share).for_each(|(cost, carried)| *cost += carried);
            relaxed[late].iter_mut().zip(&beyond).for_each(|(cost, beyond)| *cost += beyond);
            rest.push(beyond);
        }
        (relaxed, rest)
    }

    /// For each state of each variable a cost that no assignment with it undercuts.
    pub(super) fn bounds(&self) -> Vec<Vec<i64>> {
        let parts = self.parts();
        let shares: Vec<Vec<i64>> = parts.long.iter().map(|n| vec![0; self.unary[self.early(*n)].len()]).collect();
        let (relaxed, _) = self.relaxed(&parts, &shares);
        let chain = &parts.chain;
        let mut bounds = self.backward(&relaxed, chain);
        let mut before: Vec<i64> = bounds.first().map_or_else(Vec::new, |first| vec![0; first.len()]);
        for v in 1..bounds.len() {
            let reach = |s: usize| {
                let ways = before.iter().zip(&relaxed[v - 1]).enumerate();
                ways.map(|(t, (cost, own))| cost + own + self.step(&chain[v - 1], v - 1, t, s)).min().unwrap_or(0)
            };
            before = (0..relaxed[v].len()).map(reach).collect();
            bounds[v].iter_mut().zip(&before).for_each(|(bound, before)| *bound += before);
        }
        bounds
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
                    [n] if self.edges[n].from == v => Some((self.least)(n, s, next)),
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
        self.read_off(&leaning, &parts.chain, &bound)
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
        // For each variable all that has it as its last one: its own costs, links to earlier ones, tables left by later ones.
        let mut terms: Vec<Vec<Table>> = (0..count)
            .map(|v| vec![Table { scope: vec![v], values: alive[v].iter().map(|s| own[v][*s]).collect() }])
            .collect();
        for (n, edge) in self.edges.iter().enumerate().filter(|(_, edge)| edge.from != edge.to) {
            let (early, late) = (edge.from.min(edge.to), edge.from.max(edge.to));
            let pairs = alive[early].iter().flat_map(|t| alive[late].iter().map(move |s| (*t, *s)));
            let values = pairs.map(|(t, s)| self.across(n, early, t, s)).collect();
            terms[late].push(Table { scope: vec![early, late], values });
        }
        let mut work = 0usize;
        for v in (0..count).rev() {
            let mut scope: Vec<usize> = terms[v].iter().flat_map(|table| table.scope.iter().copied()).collect();
            scope.sort_unstable();
            scope.dedup();
            scope.pop();
            let size = scope.iter().try_fold(1usize, |size, w| size.checked_mul(alive[*w].len()))?;
            work = work.checked_add(size.checked_mul(alive[v].len())?.checked_mul(terms[v].len())?)?;
            if work > MOST_WORK {
                return None;
            }
            let values = eliminated(&terms[v], &scope, alive, alive[v].len(), size);
            if let Some(last) = scope.last().copied() {
                terms[last].push(Table { scope, values });
            }
        }
        let mut chosen: Vec<usize> = Vec::with_capacity(count);
        for (v, terms) in terms.iter().enumerate() {
            let cost = |s: &usize| -> i64 {
                let at = |table: &Table| {
                    let mut flat = 0;
                    for w in &table.scope {
                        flat = flat * alive[*w].len() + if *w == v { *s } else { chosen[*w] };
                    }
                    table.values[flat]
                };
                terms.iter().map(at).sum()
            };
            let best = (0..alive[v].len()).min_by_key(cost)?;
            chosen.push(best);
        }
        Some(chosen.into_iter().zip(alive).map(|(s, states)| states[s]).collect())
    }
}

/// The least of the terms' sum over their last variable (with `states` states) for every assignment of the others.
fn eliminated(terms: &[Table], scope: &[usize], alive: &[Vec<usize>], states: usize, size: usize) -> Vec<i64> {
    // How far each term moves on when one variable of the scope does; its last variable always runs fastest.
    let strides: Vec<Vec<usize>> = terms
        .iter()
        .map(|term| {
            let mut stride = states;
            let mut all = vec![0; scope.len()];
            for w in term.scope.iter().rev().skip(1) {
                let k = scope.binary_search(w).expect("the scope holds all earlier variables of the terms");
                all[k] = stride;
                stride *= alive[*w].len();
            }
            all
        })
        .collect();
    let mut values = Vec::with_capacity(size);
    let mut at = vec![0usize; scope.len()];
    let mut starts = vec![0usize; terms.len()];
    loop {
        let sum = |s: usize| terms.iter().zip(&starts).map(|(term, start)| term.values[start + s]).sum::<i64>();
        values.push((0..states).map(sum).min().expect("the best assignment's states stay alive"));
        // The next assignment of the scope, the last variable fastest.
        let Some(k) = (0..at.len()).rev().find(|k| at[*k] + 1 < alive[scope[*k]].len()) else {
            return values;
        };
        for later in k + 1..at.len() {
            starts.iter_mut().zip(&strides).for_each(|(start, stride)| *start -= stride[later] * at[later]);
            at[later] = 0;
        }
        at[k] += 1;
        starts.iter_mut().zip(&strides).for_each(|(start, stride)| *start += stride[k]);
    }
}

/// A relaxed chain solved.
struct Bound {
    /// No assignment costs less.
    least: i64,
    /// The costs of its states.
    relaxed: Vec<Vec<i64>>,
    /// For each state the least cost of it and all later variables.
    onward: Vec<Vec<i64>>,
}

/// The links of a problem, sorted.
struct Sorted {
    /// Costs of the states, links of a variable with itself counted in.
    own: Vec<Vec<i64>>,
    /// For each variable its links with the next one.
    chain: Vec<Vec<usize>>,
    /// All other links.
    long: Vec<usize>,
}

/// Least costs over the living states of some variables, in ascending order, the last one running fastest.
#[derive(Debug, Clone)]
struct Table {
    scope: Vec<usize>,
    values: Vec<i64>,
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
            let least = |n: usize, s: usize, onward: &[i64]| {
                onward.iter().enumerate().map(|(t, cost)| cost + pair(n, s, t)).min().expect("states")
            };
            let problem = Problem { unary: &unary, edges: &edges, pair, least };
            let found = problem.solve();
            let (states, cost) = all(&sizes, |at| problem.cost(at));
            assert_eq!((found.states, found.cost, found.proven), (states, cost, true), "round {round}");
        }
    }
}
