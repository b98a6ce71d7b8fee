//! Tuplet numbers, with a bracket unless the tuplet is exactly one beamed group.
//!
//! Source: E. Gould, *Behind Bars* (from memory): number on the beam's side, bracket above where there is no beam, from the
//! left edge of the first head to the right edge of the last, hooks towards the notes.

use super::canvas::{Canvas, Kind, Label, at, ink_of};
use super::contract::Sign;
use super::figure::Figure;
use super::grouping::Group;
use super::job::Job;
use super::layout::{StemWay, SystemLayout};
use super::lettering::Area;
use super::notes::StemEnds;
use super::sizes;
use crate::geom::Path;
use crate::tune::TupletId;

/// From a beam, stem or head to the number, and to a bracket.
const TO_NUMBER: f64 = 0.4;
const TO_BRACKET: f64 = 0.75;
/// Hooks of a bracket, and the gap around its number.
const HOOK: f64 = 0.8;
const HOOK_CLEAR: f64 = 0.25;
const SHORTEST_HOOK: f64 = 0.25;
const AROUND: f64 = 0.4;
/// A bracket rises along its notes by half of what their ink does, at most so far and so steeply (Gould, from memory: no
/// steeper than a beam); by less than this they count as level.
const STEEPEST: f64 = 1.0;
const SLOPE: f64 = 0.15;
const LEVEL: f64 = 0.5;
/// A bracket is held clear at every such step.
const STEP: f64 = 0.5;

const DIGITS: [&str; 10] =
    ["tuplet0", "tuplet1", "tuplet2", "tuplet3", "tuplet4", "tuplet5", "tuplet6", "tuplet7", "tuplet8", "tuplet9"];

/// Draws the tuplets of a line.
pub(super) fn draw(
    job: &Job,
    layout: &mut SystemLayout,
    canvas: &mut Canvas,
    figures: &[Figure],
    groups: &[Group],
    ends: &StemEnds,
) {
    let tuplet_of = |index: usize| {
        let column = &layout.columns[index];
        job.score.tune.bars[column.bar].events[column.event].tuplet
    };
    let mut spans = Vec::new();
    let mut index = 0;
    while index < layout.columns.len() {
        let Some(id) = tuplet_of(index) else {
            index += 1;
            continue;
        };
        let mut last = index;
        while last + 1 < layout.columns.len() && tuplet_of(last + 1) == Some(id) {
            last += 1;
        }
        spans.push((id, index, last));
        index = last + 1;
    }
    for (id, first, last) in spans {
        draw_one(job, layout, canvas, figures, groups, ends, (id, first, last));
        layout.signs.insert(Sign::Tuplet);
    }
}

fn draw_one(
    job: &Job,
    layout: &SystemLayout,
    canvas: &mut Canvas,
    figures: &[Figure],
    groups: &[Group],
    ends: &StemEnds,
    (id, first, last): (TupletId, usize, usize),
) {
    let Some(tuplet) = job.score.tune.tuplets.get(id.0 as usize) else { return };
    let of = |index: usize| &figures[layout.columns[index].number];
    canvas.bar = Some(of(first).bar);
    let label = Label::new(Kind::Tuplet, of(first).number);
    let digits: Vec<&'static str> =
        tuplet.actual.to_string().bytes().map(|digit| DIGITS[usize::from(digit - b'0')]).collect();
    let scale = sizes::tuplet_scale(job.style, job.letters);
    let width: f64 = digits.iter().map(|name| job.music().glyph(name).advance.raw() * scale).sum();
    let height = ink_of(job.music().glyph("tuplet3")).top * scale;
    let beam = of(first).beam.filter(|beam| (first..=last).all(|n| of(n).beam == Some(*beam)));
    let exact = beam.is_some_and(|beam| groups[beam].events.len() == last + 1 - first);
    let up = match beam {
        Some(_) => of(first).way == StemWay::Up,
        None => true,
    };
    let side = if up { 1.0 } else { -1.0 };
    let skyline = if up { &canvas.upper } else { &canvas.lower };
    let staff = if up { 4.1 } else { 0.1 };
    if exact {
        let stem = |index: usize| layout.columns[index].x + of(index).stem_left(job.stem());
        let middle = (stem(first) + stem(last) + job.stem()) / 2.0;
        let beam_there = (ends[first] + ends[last]) / 2.0 * side;
        let reach = skyline.reach(middle - width / 2.0, middle + width / 2.0).map_or(staff, |y| y * side);
        let base = reach.max(beam_there).max(staff) + TO_NUMBER;
        number(job, canvas, label, &digits, middle - width / 2.0, if up { base } else { -base - height }, scale);
        return;
    }
    let (left, right) = (layout.columns[first].head_x, layout.columns[last].right);
    let part = |x: f64| (x - left) / (right - left).max(0.1);
    let reach = |a: f64, b: f64| skyline.reach(a, b).map_or(staff, |y| y * side).max(staff);
    let count = ((right - left) / STEP).ceil().clamp(2.0, 400.0) as usize;
    let edge = |n: usize| left + (right - left) * n as f64 / count as f64;
    let tops: Vec<(f64, f64)> =
        (0..count).map(|n| (part((edge(n) + edge(n + 1)) / 2.0), reach(edge(n), edge(n + 1)))).collect();
    let of_column = |n: usize| reach(layout.columns[n].x - 0.1, layout.columns[n].right + 0.1);
    let inner = (first + 1..last).map(of_column).fold(f64::NEG_INFINITY, f64::max);
    let outer = |n: usize| of(n).heads.iter().map(|at| at.y * side).reduce(f64::max);
    let notes = outer(first).zip(outer(last)).map(|(first, last)| last - first);
    let rise = slant((of_column(first), inner, of_column(last)), notes, right - left);
    let clear = tops.iter().map(|(t, top)| top - rise * t).fold(f64::NEG_INFINITY, f64::max);
    let middle = (left + right) / 2.0;
    // The number stands on the line, and hangs under it by half its height.
    let under_number = reach(middle - width / 2.0 - 0.1, middle + width / 2.0 + 0.1) - rise / 2.0 + height / 2.0;
    let base = (clear + TO_BRACKET).max(under_number + TO_NUMBER);
    let line = |x: f64| (base + rise * part(x)) * side;
    let thick = job.music().defaults.tuplet_line.raw() * job.lines();
    let gap_left = (middle - width / 2.0 - AROUND).max(left + 0.2);
    let gap_right = (middle + width / 2.0 + AROUND).min(right - 0.2);
    // Hooks point to the notes and stop short of their ink.
    let hook = |x: f64| {
        side * HOOK.min(line(x) * side - reach(x - HOOK_CLEAR, x + HOOK_CLEAR) - HOOK_CLEAR).max(SHORTEST_HOOK)
    };
    let (first_hook, last_hook) = (hook(left), hook(right));
    for path in [
        Path::open(&[at(left, line(left) - first_hook), at(left, line(left)), at(gap_left, line(gap_left))]),
        Path::open(&[at(gap_right, line(gap_right)), at(right, line(right)), at(right, line(right) - last_hook)]),
    ] {
        canvas.stroke(label, path, thick, None);
    }
    number(job, canvas, label, &digits, middle - width / 2.0, line(middle) - height / 2.0, scale);
}

/// How far a bracket rises along its notes, whose ink reaches so far out at its beginning, inside and at its end; level where
/// the inner ones reach further than both others, and where the stems alone lean: against the way the notes go from the first
/// to the last (`notes`, the pitches' own rise; `None` where it begins or ends with a rest).
fn slant((first, inner, last): (f64, f64, f64), notes: Option<f64>, width: f64) -> f64 {
    let rise = last - first;
    let against = notes.is_some_and(|notes| notes * rise <= 0.0);
    if inner > first.max(last) + 0.01 || rise.abs() < LEVEL || against {
        return 0.0;
    }
    (rise / 2.0).clamp(-STEEPEST, STEEPEST).clamp(-width * SLOPE, width * SLOPE)
}

fn number(job: &Job, canvas: &mut Canvas, label: Label, digits: &[&'static str], left: f64, y: f64, scale: f64) {
    let mut x = left;
    for name in digits {
        let _: Area = canvas.glyph(label, name, x, y, scale);
        x += job.music().glyph(name).advance.raw() * scale;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn brackets_lean_with_their_notes_and_never_steeply() {
        assert_eq!(slant((4.0, 4.5, 5.0), Some(1.0), 8.0), 0.5);
        assert_eq!(slant((9.0, 5.0, 4.0), Some(-3.0), 20.0), -STEEPEST);
        assert_eq!(slant((4.0, 4.0, 9.0), None, 4.0), 4.0 * SLOPE);
        assert_eq!(slant((4.0, 6.0, 5.0), Some(1.0), 8.0), 0.0, "an inner note stands highest");
        assert_eq!(slant((4.0, 4.0, 4.3), Some(1.0), 8.0), 0.0);
        assert_eq!(slant((5.5, 4.0, 4.0), Some(1.0), 8.0), 0.0, "the first stem stands up, the notes rise");
        assert_eq!(slant((5.5, 4.0, 4.0), Some(0.0), 8.0), 0.0, "the notes are level");
    }
}
