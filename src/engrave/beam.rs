//! Where a beam lies and how it is drawn.
//!
//! Takes the stems of a group, gives the beam's line; draws beams, inner beams and beamlets. Knows no metre.
//!
//! Sources: slants by interval, concave groups flat, ends that sit on, straddle or hang from staff lines: E. Gould, *Behind
//! Bars* and T. Ross, *The Art of Music Engraving and Processing* (both from memory); thickness and gap from SMuFL's
//! engravingDefaults.

use super::canvas::{Canvas, Kind, Label, at};
use super::job::Job;
use super::layout::StemWay;
use super::lettering::Area;
use super::stem::{LENGTH, MIDDLE};
use crate::geom::Path;
use crate::tune::{Fraction, Onset};

/// Half a beam's thickness (beamThickness 0.5).
const HALF: f64 = 0.25;
/// From one beam to the next (beamThickness and beamSpacing).
pub(super) const PITCH: f64 = 0.75;
/// Greatest slant by interval in staff steps from unison: normal, and in groups narrower than [`TIGHT`] (Gould, from memory).
const SLANTS: [(f64, f64); 8] =
    [(0.0, 0.0), (0.25, 0.25), (0.5, 0.5), (1.0, 0.5), (1.25, 0.75), (1.5, 1.0), (1.75, 1.0), (2.0, 1.0)];
/// Width under which a group is tight.
const TIGHT: f64 = 5.0;
/// Steepest beam, rise over run.
const STEEPEST: f64 = 0.25;
/// Legal ends may take a slant this far beyond the wanted one.
const ROUNDING: f64 = 0.19;
/// The shortest stems under one beam and two, head to outer edge; each further beam adds [`PITCH`].
const SHORTEST: [f64; 2] = [2.75, 3.25];
/// Length of a beamlet: about a head.
const BEAMLET: f64 = 1.1;
/// What it costs, per space: a stem shorter than wanted, one longer, a slant off the wanted one.
const COST_SHORT: f64 = 4.0;
const COST_LONG: f64 = 1.5;
const COST_SLANT: f64 = 2.0;
/// Clear room between the innermost beam and graces under it.
pub(super) const CLEAR: f64 = 0.3;
/// How far around the wanted place beams are tried, in quarters of a space.
const REACH: i32 = 5;

/// A stem under a beam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct BeamStem {
    /// Its left edge.
    pub(super) x: f64,
    /// The head nearest to the beam.
    pub(super) head: f64,
    /// How many beams it carries.
    pub(super) beams: u8,
    /// When it begins in its bar, for the side of beamlets.
    pub(super) onset: Onset,
    /// Whose it is.
    pub(super) number: usize,
}

/// The centre line of the outer beam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct BeamLine {
    left: (f64, f64),
    slope: f64,
}

impl BeamLine {
    /// Its centre at `x`.
    pub(super) fn at(&self, x: f64) -> f64 {
        self.left.1 + (x - self.left.0) * self.slope
    }
    /// Its outer edge at `x`: where stems end.
    pub(super) fn edge(&self, x: f64, way: StemWay) -> f64 {
        self.at(x) + if way == StemWay::Up { HALF } else { -HALF }
    }
}

/// How far so many beams reach inwards from their outer edge.
pub(super) fn depth(beams: u8) -> f64 {
    2.0 * HALF + PITCH * f64::from(beams.saturating_sub(1))
}

/// The place of a group's outer beam; `line` is the thickness of staff lines, `inside` what stands between the stems that the
/// beams must keep clear of, as points.
///
/// All is computed as for stems up around the middle line; stems down are the same picture turned over.
pub(super) fn shape(stems: &[BeamStem], way: StemWay, line: f64, inside: &[(f64, f64)]) -> BeamLine {
    let turn = if way == StemWay::Up { 1.0 } else { -1.0 };
    let (Some(first), Some(last)) = (stems.first(), stems.last()) else {
        return BeamLine { left: (0.0, 0.0), slope: 0.0 };
    };
    let width = (last.x - first.x).max(0.5);
    let heads: Vec<f64> = stems.iter().map(|stem| (stem.head - MIDDLE) * turn).collect();
    let beams = stems.iter().map(|stem| stem.beams).max().unwrap_or(1);
    let wanted = slant(&heads, width);
    let part = |stem: &BeamStem| (stem.x - first.x) / width;
    // Part of the way, and the least height of the outer beam's centre there.
    let least: Vec<(f64, f64)> = inside
        .iter()
        .map(|(x, y)| ((x - first.x) / width, (y - MIDDLE) * turn + CLEAR + depth(beams) - HALF))
        .collect();
    // The centre at the left end that gives the nearest head a whole stem and reaches the middle line.
    let ideal = |slant: f64| {
        let clear = stems
            .iter()
            .zip(&heads)
            .map(|(stem, head)| head + wanted_length(stem.beams) - HALF - slant * part(stem))
            .fold(f64::NEG_INFINITY, f64::max);
        let clear = least.iter().map(|(part, y)| y - slant * part).fold(clear, f64::max);
        clear.max(-slant.min(0.0))
    };
    let mut best: Option<(f64, f64, f64)> = None;
    let around = (ideal(wanted) * 4.0).round() as i32;
    // Only slants that lean as wanted, and no steeper than legal ends may make them.
    let most = if wanted == 0.0 { 0 } else { ((wanted.abs() + ROUNDING) * 4.0).ceil() as i32 + 1 };
    let steps = if wanted < 0.0 { -most..=0 } else { 0..=most };
    for q in around - REACH..=around + REACH {
        for step in steps.clone() {
            let (left, right) = (quarter(q, line), quarter(q + step, line));
            let slant = right - left;
            if slant.abs() > width * STEEPEST + ROUNDING
                || slant.abs() > wanted.abs() + ROUNDING
                || !(legal(q, left, beams) && legal(q + step, right, beams))
            {
                continue;
            }
            let mut short: f64 = 0.0;
            let mut long = f64::INFINITY;
            let mut possible = left >= -0.01 || right >= -0.01;
            possible &= least.iter().all(|(part, y)| left + slant * part >= y - 0.01);
            for (stem, head) in stems.iter().zip(&heads) {
                let length = left + slant * part(stem) + HALF - head;
                let shortest = SHORTEST[usize::from(stem.beams > 1)] + PITCH * f64::from(stem.beams.saturating_sub(2));
                possible &= length >= shortest - 0.01;
                let over = length - wanted_length(stem.beams);
                short = short.max(-over);
                long = long.min(over.max(0.0));
            }
            if !possible {
                continue;
            }
            let cost = COST_SHORT * short * short.max(0.4) + COST_LONG * long + COST_SLANT * (slant - wanted).abs();
            if best.is_none_or(|(least, ..)| cost < least - 1e-9) {
                best = Some((cost, left, slant));
            }
        }
    }
    let (left, slant) = best.map_or_else(|| (ideal(wanted), wanted), |(_, left, slant)| (left, slant));
    BeamLine { left: (first.x, left * turn + MIDDLE), slope: slant * turn / width }
}

fn wanted_length(beams: u8) -> f64 {
    LENGTH + PITCH * f64::from(beams.saturating_sub(2))
}

/// The slant that the notes want, heads turned so that the beam is above.
fn slant(heads: &[f64], width: f64) -> f64 {
    let (Some(first), Some(last)) = (heads.first(), heads.last()) else { return 0.0 };
    let outer = first.max(*last);
    let inner = heads.iter().skip(1).take(heads.len().saturating_sub(2));
    let concave = inner.clone().any(|head| *head > outer + 0.01);
    let repeats =
        heads.len() >= 4 && heads.len().is_multiple_of(2) && heads.iter().skip(2).zip(heads).all(|(a, b)| a == b);
    if concave || repeats {
        return 0.0;
    }
    let steps = ((last - first).abs() * 2.0).round().min(7.0) as usize;
    let (normal, tight) = SLANTS[steps];
    let most = if width < TIGHT { tight } else { normal };
    most.min(width * STEEPEST) * (last - first).signum()
}

/// A place in quarters of a space from the middle line: on a line, sitting on it, in mid-space, hanging from the next.
fn quarter(q: i32, line: f64) -> f64 {
    let base = f64::from(q.div_euclid(4));
    base + match q.rem_euclid(4) {
        0 => 0.0,
        1 => 0.25 - line / 2.0,
        2 => 0.5,
        _ => 0.75 + line / 2.0,
    }
}

/// Whether a beam end may lie there: among staff lines never in mid-space, and with several beams only where all of them
/// lie well.
fn legal(q: i32, centre: f64, beams: u8) -> bool {
    let innermost = centre - PITCH * f64::from(beams.saturating_sub(1));
    if innermost > 2.0 + HALF {
        return true;
    }
    match beams {
        0 | 1 => q.rem_euclid(4) != 2,
        2 => matches!(q.rem_euclid(4), 0 | 3),
        _ => q.rem_euclid(4) == 3,
    }
}

/// Draws the beams of a group along `line`; `through` says for each gap between stems how many beams go through it.
pub(super) fn draw(job: &Job, canvas: &mut Canvas, through: &[u8], stems: &[BeamStem], way: StemWay, line: BeamLine) {
    let thick = job.stem();
    let inward = if way == StemWay::Up { -PITCH } else { PITCH };
    let most = stems.iter().map(|stem| stem.beams).max().unwrap_or(0);
    let label = Label::new(Kind::Beam, stems.first().map_or(0, |stem| stem.number));
    for level in 0..most {
        let shift = inward * f64::from(level);
        let carries = |i: usize| stems[i].beams > level;
        let joined = |i: usize| carries(i) && carries(i + 1) && through.get(i).is_none_or(|n| *n > level);
        let mut i = 0;
        while i < stems.len() {
            if !carries(i) {
                i += 1;
                continue;
            }
            let mut end = i;
            while end + 1 < stems.len() && joined(end) {
                end += 1;
            }
            let (left, right) =
                if end > i { (stems[i].x, stems[end].x + thick) } else { beamlet(stems, i, level, thick) };
            bar(canvas, label, line, left, right, shift);
            i = end + 1;
        }
    }
}

/// A beamlet points into the group, and inside it towards the note with which it completes a larger unit.
fn beamlet(stems: &[BeamStem], i: usize, level: u8, thick: f64) -> (f64, f64) {
    let unit = Fraction::new(1, 1 << (u32::from(level) + 2).min(12));
    let begins = stems[i].onset.0.remainder(unit).is_zero();
    let rightwards = i == 0 || (i + 1 < stems.len() && begins);
    let x = stems[i].x;
    let room = if rightwards { stems.get(i + 1).map_or(BEAMLET, |next| next.x - x) } else { x - stems[i - 1].x };
    let length = BEAMLET.min(room * 0.6);
    if rightwards { (x, x + length + thick) } else { (x - length, x + thick) }
}

fn bar(canvas: &mut Canvas, label: Label, line: BeamLine, left: f64, right: f64, shift: f64) {
    let (a, b) = (line.at(left) + shift, line.at(right) + shift);
    let path = Path::polygon(&[at(left, a - HALF), at(right, b - HALF), at(right, b + HALF), at(left, a + HALF)]);
    let count = if (a - b).abs() < 0.05 { 1 } else { ((right - left) / 0.5).ceil().clamp(1.0, 200.0) as usize };
    let slices: Vec<Area> = (0..count)
        .map(|n| {
            let x = |n: usize| left + (right - left) * n as f64 / count as f64;
            let (x0, x1) = (x(n), x(n + 1));
            let (y0, y1) = (line.at(x0) + shift, line.at(x1) + shift);
            Area::new(x0, y0.min(y1) - HALF, x1, y0.max(y1) + HALF)
        })
        .collect();
    canvas.curve(label, path, &slices);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stems(heads: &[f64], beams: u8) -> Vec<BeamStem> {
        let stem = |(n, head): (usize, &f64)| BeamStem {
            x: n as f64 * 3.0,
            head: *head,
            beams,
            onset: Onset::new(i64::try_from(n).expect("few"), 8),
            number: n,
        };
        heads.iter().enumerate().map(stem).collect()
    }

    const LINE: f64 = 0.13;

    fn ends(heads: &[f64], beams: u8, way: StemWay) -> (f64, f64) {
        let stems = stems(heads, beams);
        let line = shape(&stems, way, LINE, &[]);
        (line.at(stems[0].x), line.at(stems[stems.len() - 1].x))
    }

    /// Every pair of pitches in and around the staff: ends are legal, stems long enough, the beam leans with the notes.
    #[test]
    fn all_pairs_lie_well() {
        for a in -6..=14 {
            for b in -6..=14 {
                for beams in 1..=3u8 {
                    let heads = [f64::from(a) / 2.0, f64::from(b) / 2.0];
                    let way = super::super::stem::way(heads.iter().copied());
                    let (left, right) = ends(&heads, beams, way);
                    let turn = if way == StemWay::Up { 1.0 } else { -1.0 };
                    for (end, head) in [(left, heads[0]), (right, heads[1])] {
                        let up = (end - MIDDLE) * turn;
                        let length = up + HALF - (head - MIDDLE) * turn;
                        assert!(length >= SHORTEST[0] - 0.02, "{heads:?} {beams}: stem {length}");
                        let innermost = up - PITCH * f64::from(beams - 1);
                        if innermost <= 2.25 {
                            let offset = (up - up.floor()).min(1.0);
                            let sits = [0.0, 0.25 - LINE / 2.0, 0.75 + LINE / 2.0, 1.0];
                            assert!(sits.iter().any(|s| (s - offset).abs() < 0.01), "{heads:?} {beams}: end at {up}");
                        }
                    }
                    let lean = (right - left) * (heads[1] - heads[0]);
                    assert!(lean >= -1e-9, "{heads:?} leans against its notes");
                    let most = SLANTS[(heads[1] - heads[0]).abs().mul_add(2.0, 0.0).min(7.0) as usize].0;
                    assert!((right - left).abs() <= most + ROUNDING + 0.01, "{heads:?}: slant {}", right - left);
                }
            }
        }
    }

    #[test]
    fn beams_rise_clear_of_what_stands_under_them() {
        let stems = stems(&[1.0, 1.0, 1.0], 2);
        let free = shape(&stems, StemWay::Up, LINE, &[]);
        assert_eq!(shape(&stems, StemWay::Up, LINE, &[(2.0, 2.0)]), free);
        let lifted = shape(&stems, StemWay::Up, LINE, &[(2.0, 4.5), (2.5, 4.5)]);
        let inner = lifted.edge(2.0, StemWay::Up) - depth(2);
        assert!((4.8..5.6).contains(&inner), "{inner}");
    }

    #[test]
    fn concave_and_repeating_groups_are_flat() {
        for heads in [[0.0, 1.5, 1.0, 0.5], [0.0, 1.0, 0.0, 1.0]] {
            let (left, right) = ends(&heads, 1, StemWay::Up);
            assert!((left - right).abs() < 1e-9, "{heads:?}");
        }
    }
}
