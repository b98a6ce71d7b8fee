//! What it costs to play near the ends of the bellows.
//!
//! Takes openings in ticks with the time they are played through, gives their weight and the first that comes too close to an
//! end. Knows no tune and no air. Bellows that are wide open are slow to turn, and the last tenth at either end is kept for
//! accidents (common practice, no source); the weights are ours.

use super::curve::Move;

/// The part of a full bellows that is kept at hand at either end.
pub(super) const AT_HAND: i64 = 10;
/// Beyond so much of a full bellows they count as wide open.
const WIDE: (i64, i64) = (2, 3);
/// What a moment in the last tenth weighs against one of wide bellows.
const CLOSE: i64 = 10;
/// Rounding of lengths to whole milliseconds brings no opening nearer to an end than this part of a full bellows.
const SLACK: i64 = 200;

/// How much is played near the ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct Ends {
    /// Quarters of a second with bellows more than two thirds open; those in the last tenth at either end count tenfold.
    pub weight: i64,
    /// Bar and event of the first move that leads into the last tenth, or further into it.
    pub close: Option<(usize, usize)>,
}

/// The ends of moves with their openings from and to, for bellows of so many ticks.
pub(super) fn ends(moves: impl Iterator<Item = (Move, i64, i64)>, capacity: i64) -> Ends {
    let (least, most) = (capacity / AT_HAND, capacity - capacity / AT_HAND);
    let wide = capacity * WIDE.0 / WIDE.1;
    let slack = capacity / SLACK;
    let mut found = Ends::default();
    let mut millis = 0;
    for (one, from, to) in moves.filter(|(one, ..)| one.ticks != 0) {
        let (low, high) = (from.min(to), from.max(to));
        let length = (high - low).max(1);
        let above = |limit: i64| one.millis * (high - low.max(limit)).max(0) / length;
        let below = |limit: i64| one.millis * (high.min(limit) - low).max(0) / length;
        millis += above(wide) + (CLOSE - 1) * above(most) + CLOSE * below(least);
        // What moves away from an end has all the room there is.
        let is_close = if to > from { high > most + slack } else { low < least - slack };
        if found.close.is_none() && is_close {
            found.close = Some((one.bar, one.event));
        }
    }
    found.weight = millis * 4 / 1000;
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn weighed(openings: &[(i64, i64)]) -> Ends {
        let one = |(event, (from, to)): (usize, &(i64, i64))| {
            (Move { bar: 0, event, pass: 1, ticks: to - from, millis: 1000 }, *from, *to)
        };
        ends(openings.iter().enumerate().map(one), 3000)
    }

    /// By hand: of 3000 ticks the last third begins at 2000, the tenths end at 300 and 2700.
    #[test]
    fn time_beyond_two_thirds_and_in_the_last_tenths_is_weighed() {
        assert_eq!(weighed(&[(300, 2000), (2000, 300)]), Ends::default());
        assert_eq!(weighed(&[(1500, 2500)]), Ends { weight: 2, close: None });
        assert_eq!(weighed(&[(2600, 2300), (2300, 2600)]), Ends { weight: 8, close: None });
        // Half of a second is in the upper tenth, all of it beyond two thirds.
        assert_eq!(weighed(&[(2000, 2500), (2600, 2800)]), Ends { weight: 4 + 4 * 5 + 2, close: Some((0, 1)) });
        assert_eq!(weighed(&[(600, 0)]), Ends { weight: 20, close: Some((0, 0)) });
        // Out of an end there is all the room.
        assert_eq!(weighed(&[(0, 600), (3000, 2400)]).close, None);
        // Silence costs nothing, wherever the bellows are.
        assert_eq!(weighed(&[(2900, 2900)]), Ends::default());
    }
}
