//! The ways through a scale or an arpeggio: with the fewest turns of the bellows, and with the most.
//!
//! A small dynamic programme over direction and button: turns decide; among equals the fewest changes of row, then the lowest
//! buttons, so that the answer is always the same.

use crate::instrument::{ButtonId, Direction, Instrument};

/// One note of a way: its pitch as a MIDI key number, direction and button.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Step {
    /// MIDI key number.
    pub midi: i32,
    /// Which way the bellows go.
    pub direction: Direction,
    /// The button.
    pub button: ButtonId,
}

/// A whole way and its turns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Path {
    /// The notes.
    pub steps: Vec<Step>,
    /// Turns of the bellows on the way.
    pub turns: u32,
}

/// What is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wish {
    /// As few turns as can be.
    Fewest,
    /// As many as can be.
    Most,
}

/// The best way through the notes; `None` when the box lacks one of them.
pub(super) fn path(instrument: &Instrument, notes: &[i32], wish: Wish) -> Option<Path> {
    // Per note: the ways to sound it, each with its price so far (turns, row changes, sum of button comp) and where it
    // came from.
    let mut table: Vec<Vec<(Step, Price, usize)>> = Vec::new();
    for (n, midi) in notes.iter().enumerate() {
        let ways = instrument.ways(*midi);
        let mut row = Vec::new();
        for (direction, button) in ways {
            let step = Step { midi: *midi, direction, button };
            let own = i64::from(button.number);
            let best = if n == 0 {
                Some((Price { turns: 0, rows: 0, buttons: own }, 0))
            } else {
                table[n - 1]
                    .iter()
                    .enumerate()
                    .map(|(from, (before, price, _))| (price.and(before, &step, wish, own), from))
                    .min_by_key(|(price, _)| *price)
            };
            if let Some((price, from)) = best {
                row.push((step, price, from));
            }
        }
        if row.is_empty() {
            return None;
        }
        table.push(row);
    }
    let mut at = table.last()?.iter().enumerate().min_by_key(|(_, (_, price, _))| *price)?.0;
    let mut steps = Vec::new();
    for row in table.iter().rev() {
        let (step, _, from) = row[at];
        steps.push(step);
        at = from;
    }
    steps.reverse();
    let turns = steps.windows(2).filter(|pair| pair[0].direction != pair[1].direction).count();
    Some(Path { steps, turns: u32::try_from(turns).unwrap_or(u32::MAX) })
}

/// Compared in the order of its fields; `turns` is negative where many are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Price {
    turns: i64,
    rows: i64,
    buttons: i64,
}

impl Price {
    fn and(self, before: &Step, step: &Step, wish: Wish, own: i64) -> Self {
        let turn = i64::from(before.direction != step.direction);
        let turn = if wish == Wish::Fewest { turn } else { -turn };
        let row = i64::from(before.button.row != step.button.row);
        Self { turns: self.turns + turn, rows: self.rows + row, buttons: self.buttons + own }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::sample;

    /// Turns of every way through the notes, by brute force.
    fn all(instrument: &Instrument, notes: &[i32]) -> Vec<u32> {
        let mut ways: Vec<(Direction, u32)> = Vec::new();
        for (n, midi) in notes.iter().enumerate() {
            let here = instrument.ways(*midi);
            ways = if n == 0 {
                here.iter().map(|(direction, _)| (*direction, 0)).collect()
            } else {
                ways.iter()
                    .flat_map(|(before, turns)| {
                        here.iter().map(move |(now, _)| (*now, turns + u32::from(before != now)))
                    })
                    .collect()
            };
        }
        ways.into_iter().map(|(_, turns)| turns).collect()
    }

    #[test]
    fn no_way_has_fewer_or_more_turns() {
        let instrument = sample::instrument();
        for tonic in [62, 67] {
            let notes = [0, 2, 4, 5, 7, 9, 11, 12].map(|interval| tonic + interval);
            let turns = all(&instrument, &notes);
            let of = |wish| path(&instrument, &notes, wish).map(|path| path.turns);
            assert_eq!(of(Wish::Fewest), turns.iter().copied().min());
            assert_eq!(of(Wish::Most), turns.iter().copied().max());
        }
        assert_eq!(path(&instrument, &[61, 60], Wish::Fewest), None);
    }
}
