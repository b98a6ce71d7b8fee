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
/// Room for opposite stems that stand beside each other along a whole stem.
const OPTICAL: f64 = 0.4;

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

/// A stem from its lower to its upper end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Upright {
    /// Its way.
    pub(super) way: StemWay,
    /// Its lower end.
    pub(super) low: f64,
    /// Its upper end.
    pub(super) high: f64,
}

/// What the eye wants added to the room between two neighbours: a stem up before a stem down looks too near, a stem down
/// before a stem up too far (T. Ross, *The Art of Music Engraving and Processing*, from memory: up to half a space).
pub(super) fn optical(before: Option<Upright>, after: Option<Upright>) -> f64 {
    let (Some(before), Some(after)) = (before, after) else { return 0.0 };
    // Only stems that stand beside each other trouble the eye, the more the longer they do.
    let beside = (before.high.min(after.high) - before.low.max(after.low)).clamp(0.0, LENGTH) / LENGTH;
    match (before.way, after.way) {
        (StemWay::Up, StemWay::Down) => OPTICAL * beside,
        (StemWay::Down, StemWay::Up) => -OPTICAL * beside,
        _ => 0.0,
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
    fn opposite_stems_are_moved_for_the_eye() {
        let stem = |way, low, high| Some(Upright { way, low, high });
        let (up, down) = (stem(StemWay::Up, 0.5, 4.0), stem(StemWay::Down, 0.0, 3.5));
        assert!((optical(up, down) - OPTICAL * 3.0 / 3.5).abs() < 1e-9);
        assert_eq!(optical(down, up), -optical(up, down));
        assert_eq!(optical(up, up), 0.0);
        assert_eq!(optical(up, None), 0.0);
        assert_eq!(optical(stem(StemWay::Up, 3.0, 6.5), stem(StemWay::Down, -2.0, 1.5)), 0.0);
    }

    #[test]
    fn stems_reach_an_octave_and_the_middle_line() {
        assert_eq!(end(StemWay::Up, 1.0, 0, 0.5), 4.5);
        assert_eq!(end(StemWay::Up, -2.5, 0, 0.0), 2.0);
        assert_eq!(end(StemWay::Down, 6.5, 1, 0.5), 2.0);
        assert_eq!(end(StemWay::Up, 0.0, 3, 0.0), 4.25);
    }
}
