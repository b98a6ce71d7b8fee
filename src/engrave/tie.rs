//! Ties: from a pitch to the same pitch of the next head, in two halves where the line ends between.
//!
//! Sources: away from the stem, above where stems differ, upper half of a chord up and lower half down, ends between the
//! heads' centres and inner edges, apex off the staff lines (E. Gould, *Behind Bars*, from memory).

use super::canvas::{Canvas, Kind, Label};
use super::contract::Sign;
use super::curve::Curve;
use super::figure::Figure;
use super::grace;
use super::job::Job;
use super::layout::{Column, Demand, StemWay, SystemLayout};
use super::lettering::Area;
use crate::tune::{Event, Note};

/// A tie's ends: beside the middle of the head, and off it; for inner ties of chords, off the head's edge.
const INSET: f64 = 0.35;
const OFF: f64 = 0.68;
const OFF_EDGE: f64 = 0.12;
const EDGE: f64 = 0.15;
const INNER_OFF: f64 = 0.2;
/// Width of a flag beside a stem.
const FLAG: f64 = 1.3;
/// Height at rest, per space of width, least, most.
const REST: f64 = 0.35;
const PER_WIDTH: f64 = 0.06;
const LEAST: f64 = 0.4;
const MOST: f64 = 1.1;
/// The apex keeps this far from the centre of a staff line: half of both their strokes, and white that a photocopy keeps.
const OFF_LINE: f64 = 0.32;
/// Clear distance to graces over a tie, and how high it may become for them.
const UNDER_GRACES: f64 = 0.4;
const MOST_UNDER: f64 = 2.5;
/// A half tie at the end or beginning of a line is at least so long.
const HALF: f64 = 1.6;
/// No tie is shorter.
const SHORTEST: f64 = 0.7;
/// A half tie ends so far before the barline at the end of its line, and begins so far after clef and key on the next.
const BEFORE_LINE: f64 = 0.3;
const AFTER_PREFIX: f64 = 0.2;
/// The shortest and the longest half tie at the beginning of a line.
const SHORTEST_IN: f64 = 1.0;
const LONGEST: f64 = 3.5;
/// From a half tie to the repeated sign that it meets.
const BEFORE_SIGN: f64 = 0.25;

/// Row number of demands, apart from words, chord symbols and lanes.
const ROW: u8 = 48;
/// From the middle of a tied head to graces that the tie passes: nearer, it could not bend down under them.
const TO_GRACES: f64 = 1.5;

/// The room of ties that pass graces; `figures` in written order.
pub(super) fn demands(job: &Job, figures: &[Figure], all: &mut Vec<Demand>) {
    let bars = job.score.tune.bars.iter().enumerate();
    let events = bars.flat_map(|(n, bar)| bar.events.iter().map(move |event| (n, event))).zip(figures);
    let mut before: Option<(usize, &Event)> = None;
    for ((bar, event), figure) in events {
        if let Some((bar_before, tied)) = before.filter(|(_, tied)| tied.notes().iter().any(|note| note.tied_to_next))
            && let Some(area) = grace::extent(job, figure, event.graces_slashed)
        {
            all.push(Demand { row: ROW, bar: bar_before, onset: tied.onset, left: 0.0, right: TO_GRACES });
            let left = figure.width / 2.0 - area.left;
            all.push(Demand { row: ROW, bar, onset: event.onset, left, right: 0.0 });
        }
        before = Some((bar, event));
    }
}

/// Draws all ties of a line.
pub(super) fn draw(job: &Job, layout: &mut SystemLayout, canvas: &mut Canvas, figures: &[Figure]) {
    for index in 0..layout.columns.len() {
        let column = &layout.columns[index];
        let figure = &figures[column.number];
        let notes = job.score.tune.bars[figure.bar].events[figure.event].notes();
        canvas.bar = Some(figure.bar);
        let next = layout.columns.get(index + 1).filter(|next| next.head.is_some());
        let begins_line = index == 0;
        let mut used = false;
        for (tone, note) in notes.iter().enumerate() {
            let label = Label::new(Kind::Tie, figure.number);
            if note.tied_to_next {
                let other = next.map(|next| &figures[next.number]);
                let graces = next.and_then(|next| graces(job, figures, next));
                // Over the heads stand the stems of the graces that a tie passes.
                let side = if graces.is_some() && notes.len() == 1 { -1.0 } else { side(figure, other, tone) };
                let start = end_of(figure, tone, side, true);
                let from = (column.x + start.0, start.1);
                let target = next.and_then(|next| Some((next, partner(job, &figures[next.number], note)?)));
                let to = match target {
                    Some((next, tone)) => next.x + end_of(&figures[next.number], tone, side, false).0,
                    None if index + 1 == layout.columns.len() => {
                        let line = layout.bars.last().map_or(layout.staff_right, |room| room.barline);
                        (line - BEFORE_LINE).max((from.0 + HALF).min(line)).min(layout.staff_right)
                    }
                    None => continue,
                };
                // Where the line ends close by, the half tie begins over its head.
                let from = (from.0.min(to - SHORTEST), from.1);
                tie(job, canvas, label, from, to, (side, graces));
                used = true;
            }
            if note.tied_from_previous && begins_line && !layout.first {
                let side = side(figure, None, tone);
                let end = end_of(figure, tone, side, false);
                // Where signs are repeated, all ties of the chord end before the first of them.
                let signs = figure.late.iter().map(|sign| sign.area.left - BEFORE_SIGN);
                let to = column.x + signs.fold(end.0, f64::min);
                let from = layout.bars.first().map_or(to - HALF, |room| room.music + AFTER_PREFIX);
                let from = from.max(to - LONGEST).min(to - SHORTEST_IN);
                tie(job, canvas, label, (from, end.1), to, (side, None));
                used = true;
            }
        }
        if used {
            layout.signs.insert(Sign::Tie);
        }
    }
}

/// Where the graces of a column stand.
fn graces(job: &Job, figures: &[Figure], column: &Column) -> Option<Area> {
    let slashed = job.score.tune.bars[column.bar].events[column.event].graces_slashed;
    Some(grace::extent(job, &figures[column.number], slashed)?.moved(column.x, 0.0))
}

/// The tone of the next head that a tied note goes on in.
fn partner(job: &Job, figure: &Figure, note: &Note) -> Option<usize> {
    let notes = job.score.tune.bars[figure.bar].events[figure.event].notes();
    notes.iter().position(|other| other.pitch == note.pitch && other.tied_from_previous)
}

/// 1 for a tie above, -1 for one below.
fn side(figure: &Figure, next: Option<&Figure>, tone: usize) -> f64 {
    let count = figure.heads.len();
    if count > 1 && (tone * 2 + 1) != count {
        return if tone * 2 < count { -1.0 } else { 1.0 };
    }
    match (figure.way, next.map_or(figure.way, |next| if next.heads.is_empty() { figure.way } else { next.way })) {
        (StemWay::Up, StemWay::Up) => -1.0,
        _ => 1.0,
    }
}

/// Where a tie ends at a head, relative to its column: `leaving` at the left end of the tie.
fn end_of(figure: &Figure, tone: usize, side: f64, leaving: bool) -> (f64, f64) {
    let at = &figure.heads[tone.min(figure.heads.len() - 1)];
    let width = at.head.width.raw();
    let inner = figure.heads.len() > 1 && tone > 0 && tone + 1 < figure.heads.len();
    // A tie above an up-stem would meet the stem: it begins right of it.
    let at_stem = side > 0.0 && figure.way == StemWay::Up && figure.stemmed
        || side < 0.0 && figure.way == StemWay::Down && figure.stemmed;
    let flagged = at_stem && leaving && figure.flags > 0 && figure.beam.is_none();
    let beyond = if flagged { figure.stem_left(0.12) + FLAG } else { 0.0 };
    let near = figure.heads.iter().filter(|other| (other.y - at.y - side * OFF).abs() < 0.75);
    let aside = near.map(|other| other.x + other.head.width.raw()).fold(beyond, f64::max);
    let dotted = figure.dots.iter().map(|(x, _)| x + 0.4).fold(0.0, f64::max);
    if inner {
        let x = if leaving { (at.x + width).max(dotted).max(aside) + EDGE } else { at.x - EDGE };
        return (x, at.y + side * INNER_OFF);
    }
    let x = match (leaving, at_stem) {
        (true, true) => (at.x + width).max(aside) + EDGE,
        (false, true) => at.x - EDGE,
        (true, false) if aside > at.x + width + 0.1 => aside + EDGE,
        (true, false) => at.x + width / 2.0 + INSET,
        (false, false) => at.x + width / 2.0 - INSET,
    };
    let edge = if side > 0.0 { at.head.bounds.max.y.raw() } else { -at.head.bounds.min.y.raw() };
    (x, at.y + side * OFF.max(edge + OFF_EDGE))
}

fn tie(job: &Job, canvas: &mut Canvas, label: Label, from: (f64, f64), to: f64, (side, graces): (f64, Option<Area>)) {
    let width = (to - from.0).max(0.3);
    let mut height = (REST + PER_WIDTH * width).clamp(LEAST, MOST);
    let mut least = LEAST;
    if let Some(area) = graces.filter(|_| side < 0.0) {
        // The curve hangs low enough to pass under graces that are lower than its heads.
        for x in [area.left, area.right] {
            let part = ((x - from.0) / width).clamp(0.15, 0.85);
            let needed = from.1 - area.bottom + UNDER_GRACES;
            least = least.max((needed / (4.0 * part * (1.0 - part))).min(MOST_UNDER));
        }
        height = height.max(least);
    }
    let height = off_lines(from.1, height, side, least);
    Curve { from, to: (from.0 + width, from.1), height, side }.draw(job, canvas, label, false);
}

/// The height of a tie that begins at `y`, changed so that its apex stands clear of the staff lines: out past the line where
/// that is nearer or it would be lower than `least`, else back before it.
fn off_lines(y: f64, height: f64, side: f64, least: f64) -> f64 {
    let apex = y + side * height;
    let off = apex - apex.round().clamp(0.0, 4.0);
    if off.abs() >= OFF_LINE {
        return height;
    }
    let outwards = (OFF_LINE - off * side).abs();
    let inwards = (OFF_LINE + off * side).abs();
    if outwards <= inwards || height - inwards < least { height + outwards } else { height - inwards }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// E. Gould, *Behind Bars* (from memory): the apex of a tie stands in a space; the width of the white is judged on the page.
    #[test]
    fn no_apex_skims_a_staff_line() {
        for (y, side) in (-8..=24).flat_map(|step| [(f64::from(step) / 4.0, 1.0), (f64::from(step) / 4.0, -1.0)]) {
            for tenth in 4..=11 {
                let height = f64::from(tenth) / 10.0;
                let found = off_lines(y, height, side, LEAST);
                assert!(found >= LEAST && (found - height).abs() < 2.0 * OFF_LINE + 1e-9, "{y} {height}: {found}");
                let apex = y + side * found;
                for line in 0..=4 {
                    assert!((apex - f64::from(line)).abs() > OFF_LINE - 1e-9, "{y} {height}: apex at {apex}");
                }
            }
        }
    }
}
