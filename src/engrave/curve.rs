//! Ties and slurs as lenses, and how a slur is raised over what it passes.
//!
//! Takes two ends and a side, gives a closed path and the thin boxes that cover it. Knows no notes.
//!
//! Sources: thicknesses from SMuFL's engravingDefaults; a cubic curve whose control points stand 4/3 of h off its chord is
//! h high in its middle; flat, never semicircular (T. Ross, from memory); the heights are our own, judged on the page.

use super::canvas::{Canvas, Label, at};
use super::job::Job;
use super::lettering::Area;
use crate::geom::{Path, Segment, Space};

/// Control points of a curve stand at this part of its width from each end.
const SHOULDER: f64 = 0.28;
/// Clear distance between a slur and what it passes.
const CLEAR: f64 = 0.35;
/// Height of a slur: at rest, per space of width, least, most.
const REST: f64 = 0.5;
const PER_WIDTH: f64 = 0.09;
const LEAST: f64 = 0.7;
const MOST: f64 = 3.0;
/// A slur is raised by its height up to this part of its width; beyond, its ends are lifted.
const STEEP: f64 = 0.4;
/// The steepest chord of a slur, rise over run.
const SLOPE: f64 = 0.55;
/// So near to its ends a slur need not clear the notes it belongs to.
const AT_END: f64 = 0.2;
/// A slur is held clear at every such step of its width.
const STEP: f64 = 0.4;
/// Boxes that cover a curve.
const SAMPLES: usize = 24;

/// A curve between two ends; `side` is 1 when it bulges upwards, -1 downwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Curve {
    /// Left end.
    pub(super) from: (f64, f64),
    /// Right end.
    pub(super) to: (f64, f64),
    /// How far its middle stands off its chord.
    pub(super) height: f64,
    /// 1 upwards, -1 downwards.
    pub(super) side: f64,
}

impl Curve {
    fn width(&self) -> f64 {
        self.to.0 - self.from.0
    }
    /// The centre line at parameter `t`.
    fn point(&self, t: f64) -> (f64, f64) {
        let u = 1.0 - t;
        let along = 3.0 * u * u * t * SHOULDER + 3.0 * u * t * t * (1.0 - SHOULDER) + t * t * t;
        let x = self.from.0 + self.width() * along;
        let chord = self.from.1 + (self.to.1 - self.from.1) * along;
        (x, chord + self.side * self.height * 4.0 * u * t)
    }
    /// The lens: `end` thick at its ends, `middle` in its middle.
    fn path(&self, end: f64, middle: f64) -> Path<Space> {
        let (x0, y0) = self.from;
        let (x1, y1) = self.to;
        let (width, rise) = (self.width(), y1 - y0);
        let edge = |turn: f64| {
            // The middle of a cubic curve stands at three quarters of its control points' height.
            let lift = self.side * self.height * 4.0 / 3.0 + turn * ((middle - end) / 2.0 * 4.0 / 3.0 + end / 2.0);
            [
                at(x0 + width * SHOULDER, y0 + rise * SHOULDER + lift),
                at(x1 - width * SHOULDER, y1 - rise * SHOULDER + lift),
            ]
        };
        let (upper, lower) = (edge(1.0), edge(-1.0));
        let half = end / 2.0;
        Path {
            segments: vec![
                Segment::Move(at(x0, y0 + half)),
                Segment::Cubic(upper[0], upper[1], at(x1, y1 + half)),
                Segment::Line(at(x1, y1 - half)),
                Segment::Cubic(lower[1], lower[0], at(x0, y0 - half)),
                Segment::Close,
            ],
        }
    }
    fn slices(&self, middle: f64) -> Vec<Area> {
        let half = middle / 2.0;
        (0..SAMPLES)
            .map(|n| {
                let (x0, y0) = self.point(n as f64 / SAMPLES as f64);
                let (x1, y1) = self.point((n + 1) as f64 / SAMPLES as f64);
                Area::new(x0.min(x1), y0.min(y1) - half, x0.max(x1), y0.max(y1) + half)
            })
            .collect()
    }
    /// Draws it; dotted slurs are a dashed stroke.
    pub(super) fn draw(&self, job: &Job, canvas: &mut Canvas, label: Label, dotted: bool) {
        let defaults = &job.music().defaults;
        let (end, middle) = (defaults.slur_end.raw() * job.lines(), defaults.slur_middle.raw() * job.lines());
        let slices = self.slices(middle);
        if dotted {
            let lift = self.side * self.height * 4.0 / 3.0;
            let (width, rise) = (self.width(), self.to.1 - self.from.1);
            let path = Path {
                segments: vec![
                    Segment::Move(at(self.from.0, self.from.1)),
                    Segment::Cubic(
                        at(self.from.0 + width * SHOULDER, self.from.1 + rise * SHOULDER + lift),
                        at(self.to.0 - width * SHOULDER, self.to.1 - rise * SHOULDER + lift),
                        at(self.to.0, self.to.1),
                    ),
                ],
            };
            canvas.stroked_curve(label, path, middle * 0.8, Some((0.4, 0.4)), &slices);
        } else {
            canvas.curve(label, self.path(end, middle), &slices);
        }
    }
}

/// A slur from `from` to `to` that clears the ink on the canvas.
pub(super) fn slur(canvas: &Canvas, from: (f64, f64), to: (f64, f64), side: f64) -> Curve {
    let width = (to.0 - from.0).max(0.5);
    let mut ends = (from.1 * side, to.1 * side);
    // The lower end is lifted where the chord would be too steep.
    let most = width * SLOPE;
    ends.0 = ends.0.max(ends.1 - most);
    ends.1 = ends.1.max(ends.0 - most);
    let rest = (REST + PER_WIDTH * width).clamp(LEAST, MOST);
    let skyline = if side > 0.0 { &canvas.upper } else { &canvas.lower };
    let count = (width / STEP).ceil().clamp(12.0, 160.0) as usize;
    let step = width / count as f64 / 2.0;
    let curve = |ends: (f64, f64), height: f64| Curve {
        from: (from.0, ends.0 * side),
        to: (to.0, ends.1 * side),
        height,
        side,
    };
    // How far the ink under a point of the curve stands over the chord's own height there.
    let samples: Vec<(f64, f64)> = (1..count)
        .filter_map(|n| {
            let t = n as f64 / count as f64;
            let (x, _) = curve(ends, 0.0).point(t);
            if x < from.0 + AT_END || x > to.0 - AT_END {
                return None;
            }
            skyline.reach(x - step, x + step).map(|y| (t, y * side + CLEAR))
        })
        .collect();
    let over = |ends: (f64, f64), height: f64, t: f64, needed: f64| needed - curve(ends, height).point(t).1 * side;
    let steepest = (width * STEEP).max(rest);
    let wanted = samples
        .iter()
        .filter(|(t, _)| (0.2..=0.8).contains(t))
        .map(|(t, needed)| over(ends, 0.0, *t, *needed) / (4.0 * t * (1.0 - t)))
        .fold(rest, f64::max);
    let height = wanted.min(steepest);
    for _ in 0..4 {
        let (mut left, mut right) = (0.0_f64, 0.0_f64);
        for (t, needed) in &samples {
            let missing = over(ends, height, *t, *needed);
            if *t < 0.5 {
                left = left.max(missing);
            } else {
                right = right.max(missing);
            }
        }
        if left.max(right) < 0.01 {
            break;
        }
        ends = (ends.0 + left, ends.1 + right);
    }
    curve(ends, height)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_middle_of_a_curve_is_its_height_off_the_chord() {
        let curve = Curve { from: (0.0, 1.0), to: (8.0, 3.0), height: 1.5, side: 1.0 };
        let (x, y) = curve.point(0.5);
        assert!((x - 4.0).abs() < 1e-9 && (y - 3.5).abs() < 1e-9);
        let ink = Curve { from: (0.0, 0.0), to: (8.0, 0.0), ..curve }.path(0.1, 0.22).ink().expect("it has ink");
        assert!((ink.max.y.raw() - (1.5 + 0.11)).abs() < 0.01, "{ink:?}");
    }
}
