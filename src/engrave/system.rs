//! One line of music from its placed columns to its frame: all layers in one order.
//!
//! The order outside the staff is the same along a piece, from the outside in: endings and jumps; tempo; chord symbols;
//! direction; places; fingers; staff (the bar number stands over its clef); hold bars; button numbers; words; the left hand; counting.

use super::barline;
use super::canvas::{Canvas, Kind, Label};
use super::castoff::{Costs, Line};
use super::contract::{BarExtent, Sign, System};
use super::figure::Figure;
use super::grouping::Group;
use super::job::Job;
use super::lanes;
use super::layout::{Column, SystemLayout};
use super::lettering::Area;
use super::line;
use super::measure::{self, Piece};
use super::outline::Outline;
use super::{above, annotations, harmony, marks, notes, signature, slur, tie, tuplet, words};
use crate::geom::Abs;
use crate::tune::NoteId;

/// The tune ready to be set line by line.
#[derive(Debug)]
pub(super) struct Work<'a> {
    /// What every phase reads.
    pub(super) job: Job<'a>,
    /// Events in written order.
    pub(super) figures: Vec<Figure>,
    /// Beams.
    pub(super) groups: Vec<Group>,
    /// Bars as pieces of lines.
    pub(super) pieces: Vec<Piece>,
    /// What lines cost.
    pub(super) costs: Costs,
    /// Every note's event, by id: number, and whether it is a grace there.
    pub(super) spots: Vec<(NoteId, usize, bool)>,
    /// Events whose rest is drawn for several bars.
    pub(super) long_rests: Vec<usize>,
    /// The length of a line in staff spaces.
    pub(super) width: f64,
}

/// Sets one line and gives its canvas too, for tests that look at its ink.
pub(super) fn canvas<'a>(work: &Work<'a>, line: Line, most: Option<f64>) -> (SystemLayout<'a>, Canvas<'a>) {
    let job = &work.job;
    let mut layout = line::place(job, &work.pieces, &work.figures, &work.costs, line.clone(), work.width, most);
    let mut canvas = Canvas::new(job.letters, work.width);
    staff_lines(job, &layout, &mut canvas);
    signature::draw_prefix(job, &mut canvas, line::prefix(job, &work.pieces, &line), layout.staff_left);
    let figures = &work.figures;
    let ends = notes::draw(job, &mut layout, &mut canvas, figures, &work.groups, &work.long_rests);
    tie::draw(job, &mut layout, &mut canvas, figures);
    marks::near(job, &mut layout, &mut canvas, figures, &ends);
    slur::draw(job, &mut layout, &mut canvas, figures, &work.spots, &ends);
    // Slurs may lie among staff lines and cross barlines; all that follows may not.
    barlines(work, &mut layout, &mut canvas, &line);
    close_staff(job, &layout, &mut canvas);
    above::bar_number(job, &mut layout, &mut canvas);
    tuplet::draw(job, &mut layout, &mut canvas, figures, &work.groups, &ends);
    marks::far(job, &mut layout, &mut canvas, figures);
    marks::loudness(job, &layout, &mut canvas);
    annotations::set(job, &layout, &mut canvas, figures);
    lanes::near(&mut layout, &mut canvas);
    words::set(job, &layout, &mut canvas);
    lanes::far(&mut layout, &mut canvas);
    harmony::set(job, &mut layout, &mut canvas);
    above::tempo(job, &layout, &mut canvas);
    above::endings(job, &mut layout, &mut canvas);
    above::jumps(job, &mut layout, &mut canvas);
    canvas.bar = None;
    (layout, canvas)
}

/// Sets one line; gives the edges of its ink too. How far it nests into the line before is for the caller to say.
pub(super) fn system(work: &Work, line: Line, most: Option<f64>) -> (System, Outline) {
    let (layout, canvas) = canvas(work, line, most);
    let job = &work.job;
    let space = job.style.space;
    let outline = canvas.outline(space);
    let (top, _) = canvas.extent();
    let to_letters = lanes::to_letters(&canvas).map(|white| space * white);
    let bars = extents(work, &layout);
    let labels: Vec<String> = bars.iter().map(|(bar, ..)| job.score.tune.bars[*bar].label.to_string()).collect();
    let notes = layout
        .columns
        .iter()
        .flat_map(|column| column.graces.iter().map(|grace| grace.id).chain(column.head))
        .collect();
    let first = layout.columns.first().map_or(0, |column| column.event);
    let ends = |column: &Column| column.event + 1;
    let goes_on = |column: &&Column| ends(column) < job.score.tune.bars[column.bar].events.len();
    let until = layout.columns.last().filter(goes_on).map(ends);
    let system = System {
        frame: canvas.into_frame(space, space * work.width, &bars, job.score.id, &labels).shared(),
        staff_top: space * (top - 4.0),
        staff_bottom: space * top,
        to_letters,
        bars: bars
            .iter()
            .map(|(bar, left, right)| BarExtent { bar: *bar, left: space * *left, right: space * *right })
            .collect(),
        notes,
        fingers: layout.fingers,
        after: first,
        until,
        signs: layout.signs,
        nests: Abs::ZERO,
    };
    (system, outline)
}

/// Each bar's room from barline to barline; bars of a rest written as one share its room.
fn extents(work: &Work, layout: &SystemLayout) -> Vec<(usize, f64, f64)> {
    let mut all = Vec::new();
    for room in &layout.bars {
        let run = work.pieces.iter().find(|piece| piece.bar == room.bar).map_or(1, |piece| piece.run);
        let step = (room.right - room.left) / run as f64;
        for n in 0..run {
            let left = room.left + step * n as f64;
            all.push((room.bar + n, left, left + step));
        }
    }
    all
}

fn staff_lines(job: &Job, layout: &SystemLayout, canvas: &mut Canvas) {
    let half = job.staff_line() / 2.0;
    for line in 0..5u8 {
        let y = f64::from(line);
        let area = Area::new(layout.staff_left, y - half, layout.staff_right, y + half);
        canvas.ground(Label::new(Kind::Staff, usize::from(line)), area);
    }
}

/// From now on the staff counts as ink.
fn close_staff(job: &Job, layout: &SystemLayout, canvas: &mut Canvas) {
    let half = job.staff_line() / 2.0;
    canvas.upper.add(layout.staff_left, layout.staff_right, 4.0 + half);
    canvas.lower.add(layout.staff_left, layout.staff_right, -half);
}

fn barlines(work: &Work, layout: &mut SystemLayout, canvas: &mut Canvas, line: &Line) {
    let job = &work.job;
    let bars = &job.score.tune.bars;
    for (nth, n) in line.clone().enumerate() {
        let piece = &work.pieces[n];
        let room = layout.bars[nth];
        let last_bar = piece.bar + piece.run - 1;
        canvas.bar = Some(piece.bar);
        if piece.opens {
            if nth == 0 {
                let parts = measure::opening_parts(&bars[piece.bar]);
                let left = room.left + measure::BEFORE_REPEAT;
                barline::draw(job, canvas, barline::label(piece.bar + bars.len()), &parts, left);
            } else if piece.head > 0.0 {
                let x = change(job, canvas, piece.bar, room.left);
                let parts = measure::opening_parts(&bars[piece.bar]);
                if !parts.is_empty() {
                    let label = barline::label(piece.bar + bars.len());
                    barline::draw(job, canvas, label, &parts, x + measure::BEFORE_REPEAT);
                }
            }
        }
        if piece.run > 1 {
            notes::long_rest(job, canvas, piece.first, piece.run, room.music, room.barline);
        }
        if !piece.closes {
            continue;
        }
        let ends = n + 1 == line.end;
        let parts = if ends { measure::end_parts(bars, last_bar) } else { measure::joint_parts(bars, last_bar) };
        if parts.contains(&barline::Part::Dots) {
            layout.signs.insert(Sign::Repeat);
        }
        barline::draw(job, canvas, barline::label(last_bar), &parts, room.barline);
        if ends && piece.courtesy > 0.0 {
            change(job, canvas, last_bar + 1, room.right);
        }
    }
}

/// Draws a key and metre that change at a bar, from `left`; gives their right edge.
fn change(job: &Job, canvas: &mut Canvas, bar: usize, left: f64) -> f64 {
    let tune = job.score.tune;
    let mut x = left;
    if let Some(key) = &tune.bars[bar].key {
        let old = bar.checked_sub(1).map(|before| tune.key_at(before));
        let (glyphs, width) = signature::key_glyphs(job, key, old);
        if !glyphs.is_empty() {
            signature::put_all(canvas, Label::new(Kind::Key, bar), &glyphs, x + measure::BEFORE_CHANGE);
            x += measure::BEFORE_CHANGE + width;
        }
    }
    if let Some(meter) = &tune.bars[bar].meter {
        let (glyphs, width) = signature::meter_glyphs(job, meter);
        if !glyphs.is_empty() {
            signature::put_all(canvas, Label::new(Kind::Meter, bar), &glyphs, x + measure::BEFORE_CHANGE);
            x += measure::BEFORE_CHANGE + width;
        }
    }
    x
}
