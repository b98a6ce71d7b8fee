//! Room along a line: every gap between two columns has a stretch (what its duration wants) and a clearance (what its ink
//! needs); all gaps of a line share one factor on their stretches.
//!
//! Takes gaps and a length, gives widths that fill it exactly. Knows no notes.
//!
//! Sources: the spring and rod model of J. S. Gourlay, *Spacing a line of music* (1987) and D. Blostein and L. Haken,
//! *Justification of printed music* (CACM 34, 1991), solved exactly as a piecewise linear function of the factor; note
//! widths after E. Gould's table in *Behind Bars* (from memory), fitted by a power of the duration.

use crate::tune::Duration;

/// Room of a quarter note at factor 1, staff spaces (Gould's table, from memory: 3.5).
const QUARTER: f64 = 3.5;
/// Power of the duration: a doubling takes 1.4 times the room (Gould's table, from memory).
const POWER: f64 = 0.485;
/// Durations shorter or longer than these get no less or more room, in whole notes.
const SHORTEST: f64 = 1.0 / 256.0;
const LONGEST: f64 = 4.0;

/// Room between two neighbouring columns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Gap {
    /// Width that its duration wants at factor 1.
    pub(super) stretch: f64,
    /// Width that its ink needs.
    pub(super) clearance: f64,
}

/// The room that a duration wants at factor 1.
pub(super) fn room_of(duration: Duration) -> f64 {
    let quarters = duration.0.to_f64().clamp(SHORTEST, LONGEST) * 4.0;
    QUARTER * quarters.powf(POWER)
}

impl Gap {
    /// Its width when stretches are multiplied by `factor`.
    pub(super) fn at(self, factor: f64) -> f64 {
        self.clearance.max(self.stretch * factor)
    }
}

/// The factor at which the gaps fill `length` exactly; `None` when their clearances alone do not fit.
///
/// The width of a line grows with the factor, each gap from the point on where its stretch exceeds its clearance. Starting
/// from "all gaps free", gaps whose clearance holds are taken out until none is left to take out: each round lowers the
/// factor, so a gap once held stays held, and the result is exact.
pub(super) fn factor(gaps: &[Gap], length: f64) -> Option<f64> {
    let mut held = 0.0;
    let mut free: f64 = gaps.iter().map(|gap| gap.stretch).sum();
    let mut factor = f64::INFINITY;
    loop {
        if free <= 1e-12 {
            return (held <= length + 1e-6).then_some(0.0);
        }
        let next = (length - held) / free;
        if next < 0.0 {
            return None;
        }
        if next >= factor - 1e-12 {
            return Some(next);
        }
        factor = next;
        (held, free) = (0.0, 0.0);
        for gap in gaps {
            if gap.clearance > gap.stretch * factor {
                held += gap.clearance;
            } else {
                free += gap.stretch;
            }
        }
    }
}

/// The widths of the gaps so that they fill `length`; when they cannot, their clearances shrunk in proportion.
pub(super) fn fill(gaps: &[Gap], length: f64) -> Vec<f64> {
    match factor(gaps, length) {
        Some(factor) => gaps.iter().map(|gap| gap.at(factor)).collect(),
        None => {
            let needed: f64 = gaps.iter().map(|gap| gap.clearance).sum();
            let shrink = if needed > 0.0 { (length / needed).clamp(0.0, 1.0) } else { 0.0 };
            gaps.iter().map(|gap| gap.clearance * shrink).collect()
        }
    }
}

/// Raises clearances of `gaps` so that they are together at least `needed` wide; what they have is widened by sharing one
/// factor, so that room is taken where durations are long. `shares` says which part of each gap counts.
pub(super) fn widen(gaps: &mut [Gap], shares: &[f64], needed: f64) {
    let have: f64 = gaps.iter().zip(shares).map(|(gap, share)| gap.clearance * share).sum();
    if have >= needed || gaps.is_empty() {
        return;
    }
    let parts: Vec<Gap> = gaps
        .iter()
        .zip(shares)
        .map(|(gap, share)| Gap { stretch: gap.stretch.max(1e-3) * share, clearance: gap.clearance * share })
        .collect();
    let Some(factor) = factor(&parts, needed) else { return };
    for (gap, share) in gaps.iter_mut().zip(shares) {
        if *share > 1e-9 {
            gap.clearance = gap.clearance.max(gap.stretch.max(1e-3) * factor);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn gaps() -> Vec<Gap> {
        let stretch = [3.5, 2.5, 2.5, 2.5, 2.5, 5.0];
        let clearance = [2.0, 2.4, 2.4, 1.6, 1.6, 2.0];
        stretch.into_iter().zip(clearance).map(|(stretch, clearance)| Gap { stretch, clearance }).collect()
    }

    fn near(got: &[f64], wanted: &[f64]) {
        assert_eq!(got.len(), wanted.len());
        for (a, b) in got.iter().zip(wanted) {
            assert!((a - b).abs() < 6e-4, "{got:?} {wanted:?}");
        }
    }

    /// Worked by hand from the model: three lengths, in which none, none and two gaps are held by their clearance.
    #[test]
    fn worked_numbers() {
        near(&fill(&gaps(), 24.0), &[4.541, 3.243, 3.243, 3.243, 3.243, 6.486]);
        near(&fill(&gaps(), 18.5), &[3.5, 2.5, 2.5, 2.5, 2.5, 5.0]);
        near(&fill(&gaps(), 16.0), &[2.904, 2.4, 2.4, 2.074, 2.074, 4.148]);
        near(&fill(&gaps(), 13.0), &[2.059, 2.4, 2.4, 1.6, 1.6, 2.941]);
        let factor = factor(&gaps(), 13.0).expect("it fits");
        assert!((factor - 0.5882).abs() < 1e-4);
    }

    #[test]
    fn lines_are_filled_exactly_or_shrunk_into_the_length() {
        for length in [12.1, 13.0, 14.7, 20.0, 99.0] {
            let total: f64 = fill(&gaps(), length).iter().sum();
            assert!((total - length).abs() < 1e-6, "{length}: {total}");
        }
        assert_eq!(factor(&gaps(), 11.9), None);
        let total: f64 = fill(&gaps(), 6.0).iter().sum();
        assert!((total - 6.0).abs() < 1e-9);
    }

    /// Gould's table, from memory: 7, 5, 3.5, 2.5, 2 spaces from whole to sixteenth.
    #[test]
    fn durations_take_room_as_the_handbook_says() {
        for (den, wanted) in [(1, 7.0), (2, 5.0), (4, 3.5), (8, 2.5), (16, 2.0)] {
            let room = room_of(Duration::new(1, den));
            assert!((room - wanted).abs() <= 0.25, "1/{den}: {room}");
        }
    }

    #[test]
    fn a_wide_word_takes_room_where_durations_are_long() {
        let mut gaps = gaps();
        widen(&mut gaps[3..6], &[1.0, 1.0, 1.0], 12.0);
        let total: f64 = gaps[3..6].iter().map(|gap| gap.clearance).sum();
        assert!((total - 12.0).abs() < 1e-6);
        assert!(gaps[5].clearance > gaps[4].clearance);
    }
}
