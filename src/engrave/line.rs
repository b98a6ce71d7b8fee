//! Columns of one line at their places.
//!
//! Takes pieces and the line's bounds, gives the placed line. Knows no ink.

use super::castoff::{Costs, IDEAL, Line, collect_gaps, prefix_at};
use super::figure::Figure;
use super::grace;
use super::job::Job;
use super::layout::{BarBox, Column, SystemLayout};
use super::measure::Piece;
use super::signature::Prefix;
use super::spacing;
use std::collections::BTreeSet;

/// Places the columns of a line; `most` caps the factor on durations, for a last line that must not be stretched.
pub(super) fn place<'a>(
    job: &Job<'a>,
    pieces: &[Piece],
    figures: &[Figure],
    costs: &Costs,
    line: Line,
    width: f64,
    most: Option<f64>,
) -> SystemLayout<'a> {
    let mut gaps = Vec::new();
    collect_gaps(pieces, line.clone(), &mut gaps);
    let room = width - costs.fixed(pieces, line.clone());
    let factor = spacing::factor(&gaps, room);
    let widths: Vec<f64> = match (factor, most) {
        (Some(factor), Some(most)) if factor > most => gaps.iter().map(|gap| gap.at(most)).collect(),
        _ => spacing::fill(&gaps, room),
    };
    let mut widths = widths.into_iter();
    let mut next = || widths.next().unwrap_or(0.0);
    let mut x = costs.prefix(line.start);
    let mut layout = SystemLayout {
        score: *job.score,
        style: job.style,
        columns: Vec::new(),
        bars: Vec::new(),
        width,
        staff_left: 0.0,
        staff_right: width,
        prefix_right: x,
        first: line.start == 0,
        last: line.end == pieces.len(),
        fingers: Vec::new(),
        signs: BTreeSet::new(),
    };
    for n in line.clone() {
        let piece = &pieces[n];
        let left = x;
        x += if n == line.start { piece.line_head } else { piece.head };
        let music = x;
        let first = layout.columns.len();
        x += next();
        let shown = if piece.run > 1 { piece.first..piece.first + 1 } else { piece.first..piece.last };
        for number in shown {
            layout.columns.push(column(job, &figures[number], x));
            x += next();
        }
        let barline = x;
        x += if n + 1 == line.end { piece.end } else { piece.joint };
        let last = layout.columns.len();
        layout.bars.push(BarBox { bar: piece.bar, left, music, barline, right: x, first, last });
        centre_rest(&mut layout, figures);
        if n + 1 == line.end {
            x += piece.courtesy;
        }
    }
    layout.staff_right = x;
    layout
}

fn column(job: &Job, figure: &Figure, x: f64) -> Column {
    let event = &job.score.tune.bars[figure.bar].events[figure.event];
    let head_x =
        figure.heads.iter().map(|at| at.x).fold(f64::INFINITY, |a, b| if a.is_finite() && a <= b { a } else { b });
    let (left, width) = match (figure.heads.len(), figure.heads.first()) {
        (1, Some(at)) => (head_x, at.head.width.raw()),
        _ => (0.0, figure.width),
    };
    Column {
        bar: figure.bar,
        event: figure.event,
        number: figure.number,
        onset: event.onset,
        duration: event.duration,
        head: figure.id,
        x,
        head_x: x + left,
        width,
        right: x + figure.heads_right(),
        ys: figure.heads.iter().map(|at| at.y).collect(),
        stem: figure.way,
        graces: grace::placed(figure, x),
    }
}

/// A bar rest stands in the middle between its barlines.
fn centre_rest(layout: &mut SystemLayout, figures: &[Figure]) {
    let Some(room) = layout.bars.last().copied() else { return };
    if room.last != room.first + 1 {
        return;
    }
    let column = &mut layout.columns[room.first];
    if figures[column.number].rest.is_some_and(|rest| rest.whole_bar) {
        column.x = (room.music + room.barline - column.width) / 2.0;
        column.head_x = column.x;
        column.right = column.x + column.width;
    }
}

/// The factor that a line has, and the one that a short last line should take from the lines before it.
pub(super) fn last_factor(pieces: &[Piece], costs: &Costs, lines: &[Line]) -> Option<f64> {
    let mut gaps = Vec::new();
    let (last, before) = lines.split_last()?;
    let own = costs.fit(pieces, last.clone(), &mut gaps);
    let factors: Vec<f64> =
        before.iter().filter_map(|line| costs.fit(pieces, line.clone(), &mut gaps).factor).collect();
    let mean = if factors.is_empty() { IDEAL } else { factors.iter().sum::<f64>() / factors.len() as f64 };
    let stretched = own.factor.is_some_and(|factor| factor > mean * 1.3);
    (stretched && own.fill < 0.8).then_some(mean)
}

/// What stands at the beginning of a line.
pub(super) fn prefix<'a>(job: &Job<'a>, pieces: &[Piece], line: &Line) -> Prefix<'a> {
    prefix_at(job.score.tune, &pieces[line.start])
}
