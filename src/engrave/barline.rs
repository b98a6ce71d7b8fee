//! Barlines and repeat signs: what stands between two bars, how wide it is, its ink.
//!
//! Sources: thicknesses and gaps from SMuFL's engravingDefaults; dots in the second and third spaces; a repeat end that
//! meets a repeat start shares one thick line (common practice).

use super::canvas::{Canvas, Kind, Label, at};
use super::job::Job;
use super::lettering::Area;
use crate::geom::Path;
use crate::tune::{Barline, BarlineStyle};

/// Diameter of repeat dots (repeatDot).
const DOT: f64 = 0.4;
/// Dash and gap of a dotted barline (dashedBarlineDashLength, dashedBarlineGapLength).
const DASH: (f64, f64) = (0.5, 0.25);

/// One upright part of a barline.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Part {
    /// Repeat dots.
    Dots,
    /// A thin line.
    Thin,
    /// A thick line.
    Thick,
    /// A dashed thin line.
    Dashed,
}

/// The parts between two bars, left to right: the right side of the one and the left side of the other, where they are.
pub(super) fn parts(right: Option<Barline>, left: Option<Barline>) -> Vec<Part> {
    let ends = right.is_some_and(|line| line.repeat_end > 0);
    let starts = left.is_some_and(|line| line.repeat_start);
    match (ends, starts) {
        (true, true) => vec![Part::Dots, Part::Thin, Part::Thick, Part::Thin, Part::Dots],
        (true, false) => vec![Part::Dots, Part::Thin, Part::Thick],
        (false, true) => vec![Part::Thick, Part::Thin, Part::Dots],
        (false, false) => {
            let right = right.map_or(BarlineStyle::None, |line| line.style);
            let left = left.map_or(BarlineStyle::None, |line| line.style);
            let plain = |style| matches!(style, BarlineStyle::None | BarlineStyle::Single);
            let style = if plain(right) && !plain(left) || right == BarlineStyle::None { left } else { right };
            match style {
                BarlineStyle::None | BarlineStyle::Invisible => Vec::new(),
                BarlineStyle::Single => vec![Part::Thin],
                BarlineStyle::Double => vec![Part::Thin, Part::Thin],
                BarlineStyle::Final => vec![Part::Thin, Part::Thick],
                BarlineStyle::HeavyLight => vec![Part::Thick, Part::Thin],
                BarlineStyle::Dotted => vec![Part::Dashed],
            }
        }
    }
}

fn size(job: &Job, part: Part) -> f64 {
    let defaults = &job.music().defaults;
    match part {
        Part::Dots => DOT,
        Part::Thin | Part::Dashed => defaults.thin_barline.raw() * job.lines(),
        Part::Thick => defaults.thick_barline.raw() * job.lines(),
    }
}

fn gap(job: &Job, a: Part, b: Part) -> f64 {
    let defaults = &job.music().defaults;
    match (a, b) {
        (Part::Dots, _) | (_, Part::Dots) => defaults.repeat_dot_gap.raw(),
        (Part::Thick, _) | (_, Part::Thick) => defaults.thin_thick_gap.raw(),
        _ => defaults.barline_gap.raw(),
    }
}

/// How wide the parts are together.
pub(super) fn width(job: &Job, parts: &[Part]) -> f64 {
    let sizes: f64 = parts.iter().map(|part| size(job, *part)).sum();
    let gaps: f64 = parts.windows(2).map(|pair| gap(job, pair[0], pair[1])).sum();
    sizes + gaps
}

/// Draws the parts from their left edge.
pub(super) fn draw(job: &Job, canvas: &mut Canvas, label: Label, parts: &[Part], left: f64) {
    let half = job.staff_line() / 2.0;
    let mut x = left;
    for (n, part) in parts.iter().enumerate() {
        let width = size(job, *part);
        match part {
            Part::Dots => {
                for y in [1.5, 2.5] {
                    canvas.glyph(label, "repeatDot", x, y, 1.0);
                }
            }
            Part::Thin | Part::Thick => {
                canvas.rect(label, Area::new(x, -half, x + width, 4.0 + half));
            }
            Part::Dashed => {
                let middle = x + width / 2.0;
                canvas.stroke(label, Path::open(&[at(middle, 0.0), at(middle, 4.0)]), width, Some(DASH));
            }
        }
        x += width;
        if let Some(next) = parts.get(n + 1) {
            x += gap(job, *part, *next);
        }
    }
}

/// The label of a barline after a bar.
pub(super) const fn label(bar: usize) -> Label {
    Label::new(Kind::Barline, bar)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(style: BarlineStyle, repeat_end: u8, repeat_start: bool) -> Barline {
        Barline { style, repeat_end, repeat_start }
    }

    #[test]
    fn repeats_back_to_back_share_a_thick_line() {
        let end = line(BarlineStyle::Final, 2, false);
        let start = line(BarlineStyle::None, 0, true);
        use Part::{Dots, Thick, Thin};
        assert_eq!(parts(Some(end), Some(start)), [Dots, Thin, Thick, Thin, Dots]);
        assert_eq!(parts(Some(end), None), [Dots, Thin, Thick]);
        assert_eq!(parts(None, Some(start)), [Thick, Thin, Dots]);
        let single = line(BarlineStyle::Single, 0, false);
        let double = line(BarlineStyle::Double, 0, false);
        assert_eq!(parts(Some(single), Some(double)), [Thin, Thin]);
        assert_eq!(parts(Some(single), None), [Thin]);
    }
}
