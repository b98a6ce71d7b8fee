//! Slurs: over or under the notes they join, clear of all they pass, in parts where lines end.
//!
//! Sources: on the heads' side where all stems agree, above where they differ; ends at the middle of heads or at stems' ends
//! (E. Gould, *Behind Bars*, from memory).

use super::canvas::{Canvas, Kind, Label};
use super::contract::Sign;
use super::curve::{self, Curve};
use super::figure::Figure;
use super::grace;
use super::job::Job;
use super::layout::{StemWay, SystemLayout};
use super::notes::StemEnds;
use crate::tune::{NoteId, Slur};

/// A slur's end off the staff position of its head, and off other ink there.
const OFF_HEAD: f64 = 0.85;
const OFF_INK: f64 = 0.3;
/// A part of a slur at a line's end or beginning reaches to here from the edge of the music.
const MARGIN: f64 = 0.3;
/// A slur from a grace ends off its small head.
const OFF_GRACE: f64 = 0.6;
/// How far left of a main note's stem a grace's slur ends; its height at rest, per space of width, at most.
const BESIDE_STEM: f64 = 0.25;
/// How far such a slur rises to a stem that goes down: steeper, it would cut through its grace.
const MOST_RISE: f64 = 0.4;
const FLAT: (f64, f64, f64) = (0.25, 0.1, 0.6);

/// Where a note is: its event's number, and whether it is a grace of it.
#[derive(Debug, Clone, Copy)]
struct Spot {
    id: NoteId,
    number: usize,
    grace: bool,
}

/// For every note id, the event it is at.
pub(super) fn spots(figures: &[Figure]) -> Vec<(NoteId, usize, bool)> {
    let mut all = Vec::new();
    for figure in figures {
        all.extend(figure.graces.iter().map(|grace| (grace.id, figure.number, true)));
        all.extend(figure.id.map(|id| (id, figure.number, false)));
    }
    all.sort_by_key(|(id, ..)| *id);
    all
}

/// Draws the slurs that touch a line, short ones first, so that long ones go round them.
pub(super) fn draw(
    job: &Job,
    layout: &mut SystemLayout,
    canvas: &mut Canvas,
    figures: &[Figure],
    spots: &[(NoteId, usize, bool)],
    ends: &StemEnds,
) {
    let (Some(first), Some(last)) = (layout.columns.first(), layout.columns.last()) else { return };
    let (first, last) = (first.number, last.number);
    let spot = |id: NoteId| {
        let index = spots.binary_search_by_key(&id, |(id, ..)| *id).ok()?;
        Some(Spot { id, number: spots[index].1, grace: spots[index].2 })
    };
    let mut here: Vec<(Spot, Spot, Slur)> = job
        .score
        .tune
        .slurs
        .iter()
        .filter_map(|slur| Some((spot(slur.from)?, spot(slur.to)?, *slur)))
        .filter(|(from, to, slur)| slur.from < slur.to && from.number <= last && to.number >= first)
        .collect();
    here.sort_by_key(|(from, to, slur)| (to.number - from.number, slur.from));
    for (from, to, slur) in here {
        canvas.bar = Some(figures[from.number.max(first)].bar);
        let label = Label::new(Kind::Slur, from.number);
        if from.number == to.number {
            to_main(job, layout, canvas, figures, from.number, slur, label);
        } else {
            span(job, layout, canvas, figures, (from, to, slur.dotted), ends, label);
        }
        layout.signs.insert(Sign::Slur);
    }
}

/// From a grace to its own main note: flat, under the heads.
fn to_main(
    job: &Job,
    layout: &SystemLayout,
    canvas: &mut Canvas,
    figures: &[Figure],
    number: usize,
    slur: Slur,
    label: Label,
) {
    let Some(column) = layout.columns.iter().find(|column| column.number == number) else { return };
    let figure = &figures[number];
    let Some((x, y)) = grace::slur_end(figure, slur.from) else { return };
    let last = figure.graces.last().is_some_and(|grace| grace.id == slur.from);
    if last && figure.signs.is_empty() && figure.ledgers.is_empty() {
        // Nothing stands between: a short flat curve from under the grace to the head, left of a stem that goes down.
        let down = figure.stemmed && figure.way == StemWay::Down;
        let to = if down {
            (column.head_x - BESIDE_STEM, (figure.low() - 0.4).min(y - OFF_GRACE + MOST_RISE))
        } else {
            (column.head_x + column.width * 0.35, figure.low() - OFF_GRACE - 0.2)
        };
        let from = ((column.x + x).min(to.0 - 0.8), y - OFF_GRACE);
        let height = (FLAT.0 + FLAT.1 * (to.0 - from.0)).min(FLAT.2);
        Curve { from, to, height, side: -1.0 }.draw(job, canvas, label, slur.dotted);
        return;
    }
    let under = |canvas: &Canvas, x: f64, y: f64| {
        canvas.lower.reach(x - 0.15, x + 0.15).map_or(y, |reach| y.min(reach - OFF_INK))
    };
    let from = (column.x + x, under(canvas, column.x + x, y - OFF_GRACE));
    let to = match grace::slur_end(figure, slur.to) {
        Some((x, y)) => (column.x + x, under(canvas, column.x + x, y - OFF_GRACE)),
        // Left of a down-stem, else under the head.
        None if figure.stemmed && figure.way == StemWay::Down => {
            let x = column.head_x - BESIDE_STEM;
            (x, clear(figure, x - column.x, (figure.low() - 0.5).min(from.1 + MOST_RISE)))
        }
        None => {
            let x = column.head_x + column.width * 0.4;
            (x, under(canvas, x, figure.low() - 0.8))
        }
    };
    curve::slur(canvas, from, to, -1.0).draw(job, canvas, label, slur.dotted);
}

/// The height at or under `y` at which a slur may end at `x`, relative to the column, clear of its accidentals and ledger lines.
fn clear(figure: &Figure, x: f64, y: f64) -> f64 {
    let beside = |left: f64, right: f64| left - OFF_INK < x && x < right + OFF_INK;
    let signs = figure.signs.iter().map(|sign| sign.area).filter(|area| beside(area.left, area.right));
    let ledgers = figure.ledgers.iter().filter(|(_, left, right)| beside(*left, *right)).map(|(y, ..)| (*y, *y));
    let mut taken: Vec<(f64, f64)> = signs.map(|area| (area.bottom, area.top)).chain(ledgers).collect();
    taken.sort_by(|a, b| b.0.total_cmp(&a.0));
    let under = |y: f64, (bottom, top): (f64, f64)| {
        if y > bottom - OFF_INK && y < top + OFF_INK { bottom - OFF_INK } else { y }
    };
    taken.into_iter().fold(y, under)
}

fn span(
    job: &Job,
    layout: &SystemLayout,
    canvas: &mut Canvas,
    figures: &[Figure],
    (from, to, dotted): (Spot, Spot, bool),
    ends: &StemEnds,
    label: Label,
) {
    let between = figures[from.number..=to.number].iter().filter(|figure| !figure.heads.is_empty());
    let up = between.clone().all(|figure| figure.way == StemWay::Up);
    let side = if up { -1.0 } else { 1.0 };
    let index = |number: usize| layout.columns.iter().position(|column| column.number == number);
    let end = |spot: Spot, leaving: bool| {
        let index = index(spot.number)?;
        Some(end_at(job, layout, canvas, &figures[spot.number], spot, index, ends[index], side, leaving))
    };
    let (start, stop) = (end(from, true), end(to, false));
    let (left, right) = match (start, stop) {
        (Some(start), Some(stop)) => (start, stop),
        (Some(start), None) => {
            let edge = layout.bars.last().map_or(layout.staff_right, |room| room.barline) - MARGIN;
            let inner =
                index(from.number).map_or(edge, |n| layout.columns[n..].iter().map(|c| c.right).fold(0.0, f64::max));
            let x = edge.max(inner + 0.3).max(start.0 + 1.5);
            (start, (x, level(canvas, start.1, x, side)))
        }
        (None, Some(stop)) => {
            let x = layout.bars.first().map_or(0.0, |room| room.music).min(stop.0 - 1.5);
            ((x, level(canvas, stop.1, x, side)), stop)
        }
        (None, None) => {
            let x = (layout.bars.first().map_or(0.0, |room| room.music), layout.staff_right - MARGIN);
            let y = if side > 0.0 { 5.0 } else { -1.0 };
            ((x.0, y), (x.1, y))
        }
    };
    if right.0 > left.0 + 0.2 {
        curve::slur(canvas, left, right, side).draw(job, canvas, label, dotted);
    }
}

/// The open end of a slur's part stands as high as its other end, and off the staff's ink there.
fn level(canvas: &Canvas, y: f64, x: f64, side: f64) -> f64 {
    let skyline = if side > 0.0 { &canvas.upper } else { &canvas.lower };
    let reach = skyline.reach(x - 0.3, x + 0.3).map_or(y * side, |reach| reach * side + OFF_INK);
    (y * side).max(reach.min(y * side + 2.0)) * side
}

#[expect(clippy::too_many_arguments, reason = "an end is its note, its stem and its side")]
fn end_at(
    job: &Job,
    layout: &SystemLayout,
    canvas: &Canvas,
    figure: &Figure,
    spot: Spot,
    index: usize,
    stem_end: f64,
    side: f64,
    leaving: bool,
) -> (f64, f64) {
    let column = &layout.columns[index];
    if spot.grace
        && let Some((x, y)) = grace::slur_end(figure, spot.id)
    {
        let (x, y) = (column.x + x, (y + side * OFF_GRACE) * side);
        let skyline = if side > 0.0 { &canvas.upper } else { &canvas.lower };
        let reach = skyline.reach(x - 0.5, x + 0.5).map_or(y, |reach| y.max(reach * side + OFF_INK));
        return (x, reach * side);
    }
    let stem_side = figure.stemmed && (figure.way == StemWay::Up) == (side > 0.0);
    let (x, base) = if stem_side {
        let stem = column.x + figure.stem_left(job.stem()) + job.stem() / 2.0;
        (stem, stem_end * side + 0.1)
    } else {
        let outer = if side > 0.0 { figure.high() } else { figure.low() };
        // Two slurs that meet at one note share it: the one that leaves begins a little right of the one that ends.
        (column.centre() + if leaving { 0.15 } else { -0.15 }, outer * side + OFF_HEAD - OFF_INK)
    };
    let skyline = if side > 0.0 { &canvas.upper } else { &canvas.lower };
    let reach = skyline.reach(x - 0.25, x + 0.25).map_or(base, |reach| reach * side);
    (x, (base.max(reach) + OFF_INK) * side)
}
