//! Which way stems go and how long they are.
//!
//! Sources: direction by the pitch farthest from the middle line, down on it (R. Thomas, *Micrologus* handbook, "Stems";
//! *Open Music Theory*); an octave (3.5 spaces) long, and at least to the middle line (Thomas; SMuFL, "Flags"); longer for
//! three flags and more (E. Gould, *Behind Bars*, from memory).

use super::layout::StemWay;

/// The middle line.
pub(super) const MIDDLE: f64 = 2.0;
/// An octave: the length of a stem from its head's staff position.
pub(super) const LENGTH: f64 = 3.5;
/// What each flag beyond the second adds.
const MORE_FLAGS: f64 = 0.75;

/// The way of a stem that serves heads at `ys`: the farthest from the middle line decides; where two are as far, the
/// majority; then down.
pub(super) fn way(ys: impl Iterator<Item = f64> + Clone) -> StemWay {
    let above = ys.clone().map(|y| y - MIDDLE).fold(0.0, f64::max);
    let below = ys.clone().map(|y| MIDDLE - y).fold(0.0, f64::max);
    if above == below {
        let balance: i32 = ys
            .map(|y| {
                if y > MIDDLE {
                    1
                } else if y < MIDDLE {
                    -1
                } else {
                    0
                }
            })
            .sum();
        return if balance < 0 { StemWay::Up } else { StemWay::Down };
    }
    if below > above { StemWay::Up } else { StemWay::Down }
}

/// Where a stem of its own (without beam) ends: `head` is the pitch nearest to its end; `more` is
/// what a flagged stem gets beyond the rule.
pub(super) fn end(way: StemWay, head: f64, flags: u8, more: f64) -> f64 {
    let length = LENGTH + f64::from(flags.saturating_sub(2)) * MORE_FLAGS + if flags > 0 { more } else { 0.0 };
    match way {
        StemWay::Up => (head + length).max(MIDDLE),
        StemWay::Down => (head - length).min(MIDDLE),
    }
}

/// The flag glyph for a number of flags, 1 to 5 and more.
pub(super) const fn flag_name(way: StemWay, flags: u8) -> &'static str {
    match (way, flags) {
        (StemWay::Up, 0 | 1) => "flag8thUp",
        (StemWay::Up, 2) => "flag16thUp",
        (StemWay::Up, 3) => "flag32ndUp",
        (StemWay::Up, 4) => "flag64thUp",
        (StemWay::Up, 5) => "flag128thUp",
        (StemWay::Up, _) => "flag256thUp",
        (StemWay::Down, 0 | 1) => "flag8thDown",
        (StemWay::Down, 2) => "flag16thDown",
        (StemWay::Down, 3) => "flag32ndDown",
        (StemWay::Down, 4) => "flag64thDown",
        (StemWay::Down, 5) => "flag128thDown",
        (StemWay::Down, _) => "flag256thDown",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_farthest_pitch_decides() {
        let of = |ys: &[f64]| way(ys.iter().copied());
        assert_eq!(of(&[2.0]), StemWay::Down);
        assert_eq!(of(&[1.5]), StemWay::Up);
        assert_eq!(of(&[0.0, 3.5]), StemWay::Up);
        assert_eq!(of(&[0.5, 3.5]), StemWay::Down);
        assert_eq!(of(&[0.5, 1.0, 3.5]), StemWay::Up);
    }

    #[test]
    fn stems_reach_an_octave_and_the_middle_line() {
        assert_eq!(end(StemWay::Up, 1.0, 0, 0.5), 4.5);
        assert_eq!(end(StemWay::Up, -2.5, 0, 0.0), 2.0);
        assert_eq!(end(StemWay::Down, 6.5, 1, 0.5), 2.0);
        assert_eq!(end(StemWay::Up, 0.0, 3, 0.0), 4.25);
    }
}
