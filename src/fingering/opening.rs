//! How far the bellows are open from note to note: which of all openings that serve is played with.
//!
//! Takes the playing parted into stretches, at each air point anew, and the length of a full bellows in ticks; gives the
//! curve. Knows no tune, no box and no price. Bellows are played as nearly closed as the music lets them (published advice:
//! as little bellows as possible), with a tenth of them kept at hand at either end where there is room for it (common
//! practice, no source): a tune that begins on the pull begins nearly closed, one on the push as open as its pushes need.

use super::curve::{BellowsCurve, InTicks, Move};
use super::ends::{self, AT_HAND, Ends};
use super::plan::Air;

/// How a stretch begins.
#[derive(Debug, Clone, Copy)]
pub(super) enum Begins {
    /// At the tune's beginning: as the player likes.
    Anywhere,
    /// With the air button, which moves the bellows by so many ticks at the most.
    Aired(Air, i64),
    /// Where the bellows have just run out: reckoned from here, its first move ends at their end.
    Drained(i64),
}

/// What is played from one air point to the next.
#[derive(Debug, Clone)]
pub(super) struct Stretch {
    /// How it begins.
    pub begins: Begins,
    /// Its heads and rests.
    pub moves: Vec<Move>,
}

/// Openings from and to, in ticks.
type Window = (i64, i64);

impl Stretch {
    /// One without moves.
    pub(super) fn new(begins: Begins) -> Self {
        Self { begins, moves: Vec::new() }
    }
    fn net(&self) -> i64 {
        self.moves.iter().map(|one| one.ticks).sum()
    }
    fn net_of_first(&self) -> i64 {
        self.moves.first().map_or(0, |one| one.ticks)
    }
    /// How far below and above its beginning it goes.
    fn reach(&self) -> Window {
        let start = match self.begins {
            // Reckoned from beyond the end, which is not part of it.
            Begins::Drained(_) => (i64::MAX, i64::MIN),
            Begins::Anywhere | Begins::Aired(..) => (0, 0),
        };
        let mut at = 0;
        let reach = self.moves.iter().fold(start, |(low, high), one| {
            at += one.ticks;
            (low.min(at), high.max(at))
        });
        if reach.0 > reach.1 { (0, 0) } else { reach }
    }
}

/// The curve of stretches one after another.
pub(super) fn curve(stretches: &[Stretch], capacity: i64) -> BellowsCurve {
    let moves = opened(stretches, capacity).into_iter();
    let point =
        |(one, from, to): (Move, i64, i64)| InTicks { bar: one.bar, event: one.event, pass: one.pass, from, to };
    BellowsCurve::new(capacity, moves.map(point))
}

/// What of stretches one after another is played near the ends of the bellows.
pub(super) fn near_ends(stretches: &[Stretch], capacity: i64) -> Ends {
    ends::ends(opened(stretches, capacity).into_iter(), capacity)
}

/// Every move with its openings from and to.
fn opened(stretches: &[Stretch], capacity: i64) -> Vec<(Move, i64, i64)> {
    let mut moves = Vec::with_capacity(stretches.iter().map(|stretch| stretch.moves.len()).sum());
    for (stretch, start) in stretches.iter().zip(starts(stretches, capacity)) {
        let mut opening = start;
        for one in &stretch.moves {
            let from = opening;
            opening += one.ticks;
            moves.push((*one, from, opening));
        }
    }
    moves
}

/// Where each stretch may begin so that all later ones can be played with so much of the bellows kept at either end.
fn windows(stretches: &[Stretch], capacity: i64, kept: i64) -> Vec<Window> {
    let mut windows: Vec<Window> = Vec::with_capacity(stretches.len());
    for (n, stretch) in stretches.iter().enumerate().rev() {
        let (low, high) = stretch.reach();
        let mut window = match stretch.begins {
            Begins::Drained(at) => (at, at),
            Begins::Anywhere | Begins::Aired(..) => (kept - low, capacity - kept - high),
        };
        if let Some((next, later)) = stretches.get(n + 1).zip(windows.last()) {
            match next.begins {
                Begins::Aired(air, room) => {
                    let (below, above) = if air == Air::Open { (room, 0) } else { (0, room) };
                    window.0 = window.0.max(later.0 - below - stretch.net());
                    window.1 = window.1.min(later.1 + above - stretch.net());
                }
                Begins::Anywhere | Begins::Drained(_) => {}
            }
        }
        windows.push(window);
    }
    windows.reverse();
    windows
}

/// The opening at which each stretch begins.
fn starts(stretches: &[Stretch], capacity: i64) -> Vec<i64> {
    // A tenth is kept at hand throughout where that can be done.
    let kept = windows(stretches, capacity, capacity / AT_HAND);
    let last = stretches.iter().all(|stretch| !matches!(stretch.begins, Begins::Drained(_)));
    let can_be = last && kept.iter().all(|(from, to)| from <= to);
    let windows = if can_be { kept } else { windows(stretches, capacity, 0) };
    let mut out = Vec::with_capacity(stretches.len());
    let mut end = 0;
    for (n, (stretch, (mut from, mut to))) in stretches.iter().zip(windows).enumerate() {
        let (low, high) = stretch.reach();
        let at_hand = (capacity / AT_HAND).min((capacity - (high - low)).max(0) / 2);
        let mut wanted = at_hand - low;
        if let Some(next) = stretches.get(n + 1).filter(|next| matches!(next.begins, Begins::Drained(_))) {
            // All there is, and it is not enough.
            wanted = if next.net_of_first() < 0 { to } else { from };
        }
        match stretch.begins {
            Begins::Aired(air, room) => {
                // The air button moves the bellows by a tenth at the least.
                let least = if air == Air::Open { capacity / AT_HAND } else { -(capacity / AT_HAND) };
                let (low, high) = if air == Air::Open { (end, end + room) } else { (end - room, end) };
                (from, to) = (from.max(low), to.min(high));
                wanted = if air == Air::Open { wanted.max(end + least) } else { wanted.min(end + least) };
            }
            Begins::Anywhere | Begins::Drained(_) => {}
        }
        let start = wanted.min(to).max(from);
        end = start + stretch.net();
        out.push(start);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stretch(begins: Begins, ticks: &[i64]) -> Stretch {
        let one = |ticks: &i64| Move { bar: 0, event: 0, pass: 1, ticks: *ticks, millis: 0 };
        Stretch { begins, moves: ticks.iter().map(one).collect() }
    }

    #[test]
    fn a_tune_begins_as_open_as_its_pushes_need() {
        for (ticks, start) in [
            (&[20, -20][..], 10),
            (&[-20, 20], 30),
            (&[-20, 50], 30),
            (&[10, -40, 10], 40),
            (&[-90], 95),
            (&[90], 5),
            (&[], 10),
        ] {
            assert_eq!(starts(&[stretch(Begins::Anywhere, ticks)], 100), [start], "{ticks:?}");
        }
    }

    #[test]
    fn air_moves_the_bellows_even_where_they_could_do_without() {
        let pull = [stretch(Begins::Anywhere, &[30]), stretch(Begins::Aired(Air::Open, 100), &[20])];
        assert_eq!(starts(&pull, 100), [10, 50]);
        let push = [stretch(Begins::Anywhere, &[-30]), stretch(Begins::Aired(Air::Open, 100), &[-30, 60])];
        assert_eq!(starts(&push, 100), [40, 40]);
        let out = [stretch(Begins::Anywhere, &[60]), stretch(Begins::Aired(Air::Close, 100), &[60])];
        assert_eq!(starts(&out, 100), [10, 10]);
        // What comes later must still be possible: after so much air nothing would be left to pull.
        let tight = [stretch(Begins::Anywhere, &[10]), stretch(Begins::Aired(Air::Open, 100), &[75])];
        assert_eq!(starts(&tight, 100), [10, 25]);
        // A short note leaves time for a little air only: the tune begins the more open.
        let short = [stretch(Begins::Anywhere, &[-30]), stretch(Begins::Aired(Air::Open, 20), &[-60])];
        assert_eq!(starts(&short, 100), [80, 70]);
    }

    #[test]
    fn bellows_that_run_out_begin_with_all_there_is() {
        let push = [stretch(Begins::Anywhere, &[-60]), stretch(Begins::Drained(60), &[-60, 30])];
        assert_eq!(starts(&push, 100), [100, 60]);
        let drawn = curve(&push, 100);
        let tune = crate::tune::Tune::blank();
        assert_eq!(drawn.points(&tune).map(|point| point.to).collect::<Vec<_>>(), [0.4, 0.0, 0.3]);
        assert_eq!((drawn.most_open, drawn.least_open), (1.0, 0.0));
        let pull = [stretch(Begins::Anywhere, &[60]), stretch(Begins::Drained(40), &[60])];
        assert_eq!(starts(&pull, 100), [0, 40]);
    }
}
