//! The ways through a scale or an arpeggio: with the fewest turns of the bellows over all rows, and along one row.
//!
//! A small dynamic programme over direction and button: turns decide; among equals the fewest changes of row, then the lowest
//! buttons, so that the answer is always the same.

use crate::instrument::{ButtonId, Direction, Instrument, RowAt};

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

impl Path {
    /// Whether it stays on one row.
    pub(super) fn one_row(&self) -> bool {
        self.steps.windows(2).all(|pair| pair[0].button.row == pair[1].button.row)
    }
}

/// What is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wish {
    /// As few turns as can be, on all rows.
    Fewest,
    /// The buttons of one row alone.
    Row(RowAt),
}

/// The best way through the notes; `None` when the box, or the row that is asked for, lacks one of them.
pub(super) fn path(instrument: &Instrument, notes: &[i32], wish: Wish) -> Option<Path> {
    // Per note: the ways to sound it, each with its price so far (turns, row changes, sum of button comp) and where it
    // came from.
    let mut table: Vec<Vec<(Step, Price, usize)>> = Vec::new();
    for (n, midi) in notes.iter().enumerate() {
        let ways = instrument.ways(*midi);
        let mut row = Vec::new();
        let asked = |button: &ButtonId| !matches!(wish, Wish::Row(at) if at != button.row);
        for (direction, button) in ways.into_iter().filter(|(_, button)| asked(button)) {
            let step = Step { midi: *midi, direction, button };
            let own = i64::from(button.number);
            let best = if n == 0 {
                Some((Price { turns: 0, rows: 0, buttons: own }, 0))
            } else {
                table[n - 1]
                    .iter()
                    .enumerate()
                    .map(|(from, (before, price, _))| (price.and(before, &step, own), from))
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

/// Compared in the order of its fields.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Price {
    turns: i64,
    rows: i64,
    buttons: i64,
}

impl Price {
    fn and(self, before: &Step, step: &Step, own: i64) -> Self {
        let turn = i64::from(before.direction != step.direction);
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
    fn no_way_has_fewer_turns() {
        let instrument = sample::instrument();
        for tonic in [62, 67] {
            let notes = [0, 2, 4, 5, 7, 9, 11, 12].map(|interval| tonic + interval);
            let turns = all(&instrument, &notes);
            let of = |wish| path(&instrument, &notes, wish).map(|path| path.turns);
            assert_eq!(of(Wish::Fewest), turns.iter().copied().min());
        }
        assert_eq!(path(&instrument, &[61, 60], Wish::Fewest), None);
    }

    /// The rule of a row, published in words for two-row boxes: each row is a box of its own, and its scale from the start
    /// button is push and pull in turn on three buttons, then pull and push on the fourth.
    #[test]
    fn along_the_row_the_scale_lies_on_four_buttons() {
        let instrument = sample::instrument();
        for row in &instrument.rows {
            let tonic = row.buttons[usize::from(row.start) - 1].push.midi();
            let notes = [0, 2, 4, 5, 7, 9, 11, 12].map(|interval| tonic + interval);
            let way = path(&instrument, &notes, Wish::Row(row.at)).expect("the row has its own scale");
            assert!(way.one_row() && way.turns == 6, "{way:?}");
            let numbers = way.steps.iter().map(|step| step.button.number - row.start);
            assert_eq!(numbers.collect::<Vec<_>>(), [0, 0, 1, 1, 2, 2, 3, 3]);
            assert_eq!(way.steps[7].direction, Direction::Push);
        }
        assert_eq!(path(&instrument, &[62, 60], Wish::Row(RowAt::Inner)), None);
    }
}
