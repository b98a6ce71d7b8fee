//! Costs of the states of numbered variables, in one piece of memory: the solver copies and walks through them over and over.
//!
//! Knows no music.

use std::ops::{Index, IndexMut};

/// For each variable the cost of each of its states.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Costs {
    /// Where the states of each variable start, and where the last one's end.
    starts: Vec<usize>,
    values: Vec<i64>,
}

impl Default for Costs {
    fn default() -> Self {
        Self { starts: vec![0], values: Vec::new() }
    }
}

impl Costs {
    /// One more variable.
    pub(super) fn push(&mut self, states: impl IntoIterator<Item = i64>) {
        self.values.extend(states);
        self.starts.push(self.values.len());
    }
    /// How many variables there are.
    pub(super) fn len(&self) -> usize {
        self.starts.len() - 1
    }
    /// The states of each variable.
    pub(super) fn iter(&self) -> impl Iterator<Item = &[i64]> {
        (0..self.len()).map(|variable| &self[variable])
    }
    /// The states of a variable, to be changed, and those of the next one.
    pub(super) fn with_next(&mut self, variable: usize) -> (&mut [i64], &[i64]) {
        let [start, middle, end] = [0, 1, 2].map(|n| self.starts[variable + n]);
        let (early, late) = self.values.split_at_mut(middle);
        (&mut early[start..], &late[..end - middle])
    }
}

impl Index<usize> for Costs {
    type Output = [i64];
    #[inline]
    fn index(&self, variable: usize) -> &[i64] {
        &self.values[self.starts[variable]..self.starts[variable + 1]]
    }
}

impl IndexMut<usize> for Costs {
    #[inline]
    fn index_mut(&mut self, variable: usize) -> &mut [i64] {
        &mut self.values[self.starts[variable]..self.starts[variable + 1]]
    }
}

/// The least sum of a pair cost and what comes after it, over all later states. Four at once, because the next comparison need
/// not wait for the one before.
pub(super) fn least(pairs: &[i64], onward: &[i64]) -> i64 {
    let mut least = [i64::MAX; 4];
    let ((pairs, last), (onward, end)) = (pairs.as_chunks::<4>(), onward.as_chunks::<4>());
    for (pairs, onward) in pairs.iter().zip(onward) {
        for n in 0..4 {
            least[n] = least[n].min(pairs[n] + onward[n]);
        }
    }
    let rest = last.iter().zip(end).map(|(pair, onward)| pair + onward);
    rest.chain(least).fold(i64::MAX, i64::min)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn variables_keep_apart() {
        let mut costs = Costs::default();
        [&[0, 0][..], &[], &[0], &[7, 8]].into_iter().for_each(|states| costs.push(states.iter().copied()));
        costs[0][1] = 5;
        assert_eq!(costs.iter().map(<[i64]>::to_vec).collect::<Vec<_>>(), [vec![0, 5], vec![], vec![0], vec![7, 8]]);
        let (here, next) = costs.with_next(2);
        here[0] = next[1];
        assert_eq!((costs.len(), &costs[2]), (4, &[8][..]));
    }
}
