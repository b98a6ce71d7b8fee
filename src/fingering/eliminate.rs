//! Exact elimination over the states that bounds have left alive.
//!
//! Takes variables with their living states and links; gives the first of the cheapest assignments, or nothing when that
//! would take too much work. Variables with one state left are set and drop out; the others are eliminated last one first,
//! each leaving a table over the earlier variables it was linked to (min-plus variable elimination), and are then read off
//! first one first. Knows no music.

use super::costs::{Costs, least};

/// Elimination tables hold at most this many entries in all, and work at most this many steps; beyond that the best
/// assignment found is given unproven.
pub(super) const MOST_WORK: usize = 20_000_000;

/// A link between two different variables.
#[derive(Debug, Clone, Copy)]
pub(super) struct Across {
    /// Its number.
    pub n: usize,
    /// Its earlier variable.
    pub early: usize,
    /// Its later one.
    pub late: usize,
}

/// Least costs over the living states of some variables, in ascending order, the last one running fastest.
#[derive(Debug, Clone)]
struct Table {
    scope: Vec<usize>,
    values: Vec<i64>,
}

/// The first of the cheapest assignments, within so much work. `pair` gives a link's cost from the states of its earlier and later variable.
pub(super) fn eliminate(
    own: &Costs,
    alive: &[Vec<usize>],
    links: &[Across],
    most_work: usize,
    pair: impl Fn(&Across, usize, usize) -> i64,
) -> Option<Vec<usize>> {
    let free: Vec<usize> = (0..alive.len()).filter(|v| alive[*v].len() != 1).collect();
    if free.is_empty() {
        return Some(alive.iter().map(|states| states[0]).collect());
    }
    // For each free variable all that has it as its last one: its own costs, links to earlier ones, tables left by later
    // ones. Links to variables that are set count with its own costs.
    let mut terms: Vec<Vec<Table>> = vec![Vec::new(); alive.len()];
    for v in &free {
        terms[*v].push(Table { scope: vec![*v], values: alive[*v].iter().map(|s| own[*v][*s]).collect() });
    }
    for link in links {
        let (early, late) = (&alive[link.early], &alive[link.late]);
        match (&early[..], &late[..]) {
            ([_], [_]) => {}
            ([t], late) => {
                let own = terms[link.late][0].values.iter_mut().zip(late);
                own.for_each(|(cost, s)| *cost += pair(link, *t, *s));
            }
            (early, [s]) => {
                let own = terms[link.early][0].values.iter_mut().zip(early);
                own.for_each(|(cost, t)| *cost += pair(link, *t, *s));
            }
            (early, late) => {
                let pairs = early.iter().flat_map(|t| late.iter().map(move |s| (*t, *s)));
                let values = pairs.map(|(t, s)| pair(link, t, s)).collect();
                terms[link.late].push(Table { scope: vec![link.early, link.late], values });
            }
        }
    }
    let mut work = 0usize;
    for v in free.iter().rev().copied() {
        let mut scope: Vec<usize> = terms[v].iter().flat_map(|table| table.scope.iter().copied()).collect();
        scope.sort_unstable();
        scope.dedup();
        scope.pop();
        let size = scope.iter().try_fold(1usize, |size, w| size.checked_mul(alive[*w].len()))?;
        work = work.checked_add(size.checked_mul(alive[v].len())?.checked_mul(terms[v].len())?)?;
        if work > most_work {
            return None;
        }
        if let Some(last) = scope.last().copied() {
            let values = eliminated(&terms[v], &scope, alive, alive[v].len(), size);
            terms[last].push(Table { scope, values });
        }
    }
    // Chosen states as indexes into those alive.
    let mut chosen: Vec<usize> = vec![0; alive.len()];
    for v in free {
        let cost = |s: &usize| -> i64 {
            let at = |table: &Table| {
                let mut flat = 0;
                for w in &table.scope {
                    flat = flat * alive[*w].len() + if *w == v { *s } else { chosen[*w] };
                }
                table.values[flat]
            };
            terms[v].iter().map(at).sum()
        };
        chosen[v] = (0..alive[v].len()).min_by_key(cost)?;
    }
    Some(chosen.into_iter().zip(alive).map(|(s, states)| states[s]).collect())
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
    // The sums of the terms that stay as they are while the scope's last variable runs, and of all but one of the others.
    let moves = |stride: &[usize]| stride.last().is_some_and(|stride| *stride > 0);
    let moving: Vec<usize> = (0..terms.len()).filter(|n| moves(&strides[*n])).collect();
    let (mut still, mut sums) = (vec![0i64; states], vec![0i64; states]);
    let add = |sums: &mut [i64], n: usize, starts: &[usize]| {
        let values = &terms[n].values[starts[n]..starts[n] + states];
        sums.iter_mut().zip(values).for_each(|(sum, value)| *sum += value);
    };
    loop {
        if at.last().is_none_or(|last| *last == 0) {
            still.fill(0);
            (0..terms.len()).filter(|n| !moves(&strides[*n])).for_each(|n| add(&mut still, n, &starts));
        }
        values.push(match moving[..] {
            [] => still.iter().copied().min().expect("the best assignment's states stay alive"),
            [n] => least(&terms[n].values[starts[n]..starts[n] + states], &still),
            [n, ref others @ ..] => {
                sums.copy_from_slice(&still);
                others.iter().for_each(|n| add(&mut sums, *n, &starts));
                least(&terms[n].values[starts[n]..starts[n] + states], &sums)
            }
        });
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
