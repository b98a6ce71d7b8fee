//! The ink of heads and rests at their columns: ledger lines, heads, accidentals, dots, stems, flags, beams, graces.
//!
//! Takes figures and a placed line, puts ink on the canvas, and keeps where each stem ends for what comes after.

use super::beam::{self, BeamStem};
use super::canvas::{Canvas, Kind, Label, at};
use super::contract::Sign;
use super::figure::{self, Figure};
use super::grace;
use super::grouping::Group;
use super::job::Job;
use super::layout::{StemWay, SystemLayout};
use super::lettering::Area;
use super::stem;
use crate::geom::Path;
use crate::tune::Mark;

/// Thickness and ends of the bar of a rest of several bars (hBarThickness is absent from the font; 0.9 by common practice).
const LONG_REST_HALF: f64 = 0.45;
const LONG_REST_END: f64 = 0.16;
/// From barlines to that bar.
const LONG_REST_GAP: f64 = 1.2;
/// The middle of the number over it (Gould, from memory: about y = 6).
const LONG_REST_NUMBER: f64 = 6.0;

/// Where the stem of each column of a line ends; the head's own y for columns without stem.
pub(super) type StemEnds = Vec<f64>;

/// Draws all columns of a line; `long_rests` are the events whose rest is drawn for several bars.
pub(super) fn draw(
    job: &Job,
    layout: &mut SystemLayout,
    canvas: &mut Canvas,
    figures: &[Figure],
    groups: &[Group],
    long_rests: &[usize],
) -> StemEnds {
    let mut ends = Vec::with_capacity(layout.columns.len());
    for column in 0..layout.columns.len() {
        let figure = &figures[layout.columns[column].number];
        let x = layout.columns[column].x;
        canvas.bar = Some(figure.bar);
        let long_rest = long_rests.contains(&figure.number);
        let begins_line = column == 0 && !layout.first;
        ends.push(event(job, layout, canvas, figure, x, (long_rest, begins_line)));
    }
    for room in layout.bars.clone() {
        canvas.bar = Some(room.bar);
        let mut column = room.first;
        while column < room.last {
            let Some(beam) = figures[layout.columns[column].number].beam else {
                column += 1;
                continue;
            };
            let mut last = column;
            while last + 1 < room.last && figures[layout.columns[last + 1].number].beam == Some(beam) {
                last += 1;
            }
            beamed(job, layout, canvas, figures, &groups[beam], column..last + 1, &mut ends);
            column = last + 1;
        }
    }
    ends
}

fn event(
    job: &Job,
    layout: &mut SystemLayout,
    canvas: &mut Canvas,
    figure: &Figure,
    x: f64,
    (long_rest, begins_line): (bool, bool),
) -> f64 {
    let defaults = &job.music().defaults;
    let label = |kind| Label::new(kind, figure.number);
    let ledger = defaults.ledger.raw() * job.lines() / 2.0;
    for (y, left, right) in &figure.ledgers {
        canvas.rect(label(Kind::Ledger), Area::new(x + left, y - ledger, x + right, y + ledger));
    }
    if let Some(rest) = figure.rest.filter(|_| !long_rest) {
        canvas.glyph(label(Kind::Rest), rest.name, x, rest.y, 1.0);
    }
    for (tone, at) in figure.heads.iter().enumerate() {
        canvas.head(label(Kind::Head), &at.head, x + at.x, at.y, 1.0);
        if let Some(id) = figure.id {
            note_row(job, layout, id, tone);
        }
    }
    let late = if begins_line { figure.late.as_slice() } else { &[] };
    for sign in figure.signs.iter().chain(late) {
        canvas.glyph(label(Kind::Accidental), sign.name, x + sign.x, sign.y, 1.0);
        layout.signs.insert(Sign::Accidental);
    }
    for (dx, y) in &figure.dots {
        canvas.glyph(label(Kind::Dot), "augmentationDot", x + dx, *y, 1.0);
    }
    let event = &job.score.tune.bars[figure.bar].events[figure.event];
    if event.marks.contains(&Mark::Arpeggio) {
        arpeggio(canvas, label(Kind::Ornament), figure, x);
    }
    if !figure.graces.is_empty() {
        grace::draw(job, canvas, figure, x, event.graces_slashed);
        for grace in &event.graces {
            for tone in 0..grace.notes.len() {
                note_row(job, layout, grace.id, tone);
            }
        }
        layout.signs.insert(Sign::Grace);
    }
    if !figure.stemmed || figure.beam.is_some() {
        return figure.outer();
    }
    let end = stem_ink(job, canvas, figure, x, figure.end);
    if figure.flags > 0 {
        let (name, up) = figure::flag(job, figure.way, figure.flags);
        canvas.glyph(label(Kind::Flag), name, x + figure.stem_left(job.stem()), end + up, 1.0);
    }
    end
}

/// Keeps which row a head codes.
fn note_row(job: &Job, layout: &mut SystemLayout, id: crate::tune::NoteId, tone: usize) {
    let press = job.score.plan.and_then(|plan| plan.note(id)).and_then(|note| note.presses.get(tone));
    if let Some(press) = press {
        layout.signs.insert(Sign::RowHead(press.button.row));
    }
}

/// The left edge of the arpeggio or slide that stands left of everything but graces.
pub(super) fn outer_left(figure: &Figure) -> f64 {
    let signs = figure.signs.iter().map(|sign| sign.area.left);
    let heads = figure.heads.iter().map(|at| at.x);
    let ledgers = figure.ledgers.iter().map(|(_, left, _)| *left);
    -super::figure::ARPEGGIO + signs.chain(heads).chain(ledgers).fold(0.0, f64::min)
}

fn arpeggio(canvas: &mut Canvas, label: Label, figure: &Figure, x: f64) {
    let left = x + outer_left(figure);
    let (low, high) = (figure.low() - 0.5, figure.high() + 0.5);
    // A wave of half a space a turn.
    let mut points = Vec::new();
    let count = ((high - low) / 0.25).ceil().clamp(2.0, 200.0) as usize;
    for n in 0..=count {
        let y = low + (high - low) * n as f64 / count as f64;
        points.push(at(left + 0.25 + if n % 2 == 0 { -0.12 } else { 0.12 }, y));
    }
    canvas.stroke(label, Path::open(&points), 0.14, None);
}

/// Draws a stem from its farthest head to `end`, and gives `end`.
fn stem_ink(job: &Job, canvas: &mut Canvas, figure: &Figure, x: f64, end: f64) -> f64 {
    let left = x + figure.stem_left(job.stem());
    let (first, last) = (figure.heads.first(), figure.heads.last());
    let start = match figure.way {
        StemWay::Up => first.map_or(0.0, |at| at.y + at.head.stem_up.y.raw()),
        StemWay::Down => last.map_or(0.0, |at| at.y + at.head.stem_down.y.raw()),
    };
    let area = Area::new(left, start.min(end), left + job.stem(), start.max(end));
    canvas.rect(Label::new(Kind::Stem, figure.number), area);
    end
}

fn beamed(
    job: &Job,
    layout: &SystemLayout,
    canvas: &mut Canvas,
    figures: &[Figure],
    group: &Group,
    columns: std::ops::Range<usize>,
    ends: &mut StemEnds,
) {
    let of = |column: usize| &figures[layout.columns[column].number];
    let stems: Vec<BeamStem> = columns
        .clone()
        .map(|column| {
            let figure = of(column);
            BeamStem {
                x: layout.columns[column].x + figure.stem_left(job.stem()),
                head: figure.outer(),
                beams: figure.flags,
                onset: layout.columns[column].onset,
                number: figure.number,
            }
        })
        .collect();
    let way = of(columns.start).way;
    // A bar that is broken over lines may break a beam too.
    let begun = group.events.iter().position(|event| *event == of(columns.start).event).unwrap_or(0);
    let through = group.through.get(begun..).unwrap_or_default();
    let line = beam::shape(&stems, way, job.staff_line(), &inside(job, layout, figures, columns.clone(), &stems, way));
    for (column, stem) in columns.zip(&stems) {
        let end = line.edge(stem.x + job.stem() / 2.0, way);
        ends[column] = end;
        // The stem stops short of the beam's corner, so that it never shows beside a slanted beam.
        let inside = if way == StemWay::Up { end - 0.1 } else { end + 0.1 };
        stem_ink(job, canvas, of(column), layout.columns[column].x, inside);
    }
    beam::draw(job, canvas, through, &stems, way, line);
}

/// The corners of graces and accidentals between the stems of a group, on the beam's side.
fn inside(
    job: &Job,
    layout: &SystemLayout,
    figures: &[Figure],
    columns: std::ops::Range<usize>,
    stems: &[BeamStem],
    way: StemWay,
) -> Vec<(f64, f64)> {
    let (Some(first), Some(last)) = (stems.first(), stems.last()) else { return Vec::new() };
    let mut corners = Vec::new();
    for column in columns.skip(1).map(|index| &layout.columns[index]) {
        let figure = &figures[column.number];
        let slashed = job.score.tune.bars[column.bar].events[column.event].graces_slashed;
        let signs = figure.signs.iter().map(|sign| sign.area);
        for area in grace::extent(job, figure, slashed).into_iter().chain(signs) {
            let y = if way == StemWay::Up { area.top } else { area.bottom };
            let ends = [column.x + area.left, column.x + area.right].map(|x| x.clamp(first.x, last.x));
            corners.extend(ends.map(|x| (x, y)));
        }
    }
    corners
}

/// Draws a rest of several bars between `left` and `right`.
pub(super) fn long_rest(job: &Job, canvas: &mut Canvas, number: usize, bars: usize, left: f64, right: f64) {
    let label = Label::new(Kind::Rest, number);
    let (left, right) = (left + LONG_REST_GAP, right - LONG_REST_GAP);
    let middle = stem::MIDDLE;
    canvas.rect(label, Area::new(left, middle - LONG_REST_HALF, right, middle + LONG_REST_HALF));
    for x in [left, right - LONG_REST_END] {
        canvas.rect(label, Area::new(x, 1.0, x + LONG_REST_END, 3.0));
    }
    let value = u32::try_from(bars).unwrap_or(u32::MAX);
    super::signature::number(job, canvas, label, value, (left + right) / 2.0, LONG_REST_NUMBER);
}
