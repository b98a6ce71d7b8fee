//! Bars as pieces of a line: their columns' gaps, and the fixed room of barlines, signatures and repeat signs.
//!
//! Takes figures, gives pieces that a line is made of. A bar is one piece, unless it has more ink than a line; bars of rest
//! that are written as one sign are one piece too. Knows no line breaks.
//!
//! Sources of distances: E. Gould, *Behind Bars*, and T. Ross, *The Art of Music Engraving and Processing* (from memory);
//! the rest is our own, judged on the printed page.

use super::barline::{self, Part};
use super::figure::Figure;
use super::job::Job;
use super::lettering::Area;
use super::signature;
use super::spacing::{Gap, room_of};
use super::stem;
use crate::style::LeftLook;
use crate::tune::{Bar, Duration, Onset};

/// Barline to first head (Gould, Ross: 1.0 to 1.5), and to an accidental or grace.
const AFTER_BARLINE: f64 = 1.1;
const AFTER_BARLINE_SIGN: f64 = 0.55;
/// Clef, key or metre to first head (Gould: 1.5 to 2.0), and to an accidental.
const AFTER_PREFIX: f64 = 1.6;
const AFTER_PREFIX_SIGN: f64 = 1.0;
/// Last head to barline, and last dot, flag or ledger line to barline.
const BEFORE_BARLINE: f64 = 1.0;
const BEFORE_BARLINE_SIGN: f64 = 0.5;
/// A barline stands a little nearer than the next head would.
const BARLINE_NEARER: f64 = 0.4;
/// Padding of lead-ins stretches only on wide lines: by this part of its clearance.
const LEAD_STRETCH: f64 = 0.8;
/// Least clear distance between the ink of two columns, and how near in y ink counts as beside.
const BETWEEN: f64 = 0.35;
const BESIDE: f64 = 0.15;
/// From a barline to a key or metre that changes there, and from one to the other.
pub(super) const BEFORE_CHANGE: f64 = 0.7;
/// From a change to a repeat sign after it.
pub(super) const BEFORE_REPEAT: f64 = 0.9;
/// The staff goes on after a courtesy sign by this much.
pub(super) const AFTER_COURTESY: f64 = 0.5;
/// The bar of a rest of several bars: least length (Gould, from memory: about 4), and how it grows with a bar more.
const LONG_REST: f64 = 7.0;
const LONG_REST_MORE: f64 = 0.25;

/// A bar, a part of a bar, or several bars of rest as one.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    /// Index of its (first) bar.
    pub(super) bar: usize,
    /// How many bars it stands for.
    pub(super) run: usize,
    /// Its figures: first, and one past the last.
    pub(super) first: usize,
    /// One past the last.
    pub(super) last: usize,
    /// Whether it begins its bar.
    pub(super) opens: bool,
    /// Whether it ends its bar.
    pub(super) closes: bool,
    /// Room: before the first column, between columns, after the last.
    pub(super) gaps: Vec<Gap>,
    /// Room before the first column at the beginning of a line.
    pub(super) line_lead: Gap,
    /// Width of a key, metre or repeat sign at its start within a line.
    pub(super) head: f64,
    /// Width of a repeat sign at its start at the beginning of a line.
    pub(super) line_head: f64,
    /// Width of its right barline within a line.
    pub(super) joint: f64,
    /// Width of its right barline at the end of a line.
    pub(super) end: f64,
    /// Width of courtesy signs after it at the end of a line.
    pub(super) courtesy: f64,
}

/// The parts of the barline after a bar within a line.
pub(super) fn joint_parts(bars: &[Bar], bar: usize) -> Vec<Part> {
    let next = bars.get(bar + 1).filter(|next| next.key.is_none() && next.meter.is_none());
    let next_style = bars.get(bar + 1).map(|next| crate::tune::Barline { repeat_start: false, ..next.left });
    barline::parts(Some(bars[bar].right), next.map(|next| next.left).or(next_style))
}

/// The parts of the barline after a bar at the end of a line; a plain line where only the next line says what stands there.
pub(super) fn end_parts(bars: &[Bar], bar: usize) -> Vec<Part> {
    let parts = barline::parts(Some(bars[bar].right), None);
    let next = bars.get(bar + 1).map(|next| next.left);
    if parts.is_empty() && next.is_some_and(|left| left.repeat_start || left.style != crate::tune::BarlineStyle::None) {
        return vec![Part::Thin];
    }
    parts
}

/// The repeat sign that opens a bar where no barline before it does: at a line's beginning, and after a key or metre. A
/// repeat from the very beginning of a tune is drawn too: learners look for it.
pub(super) fn opening_parts(bar: &Bar) -> Vec<Part> {
    if bar.left.repeat_start { vec![Part::Thick, Part::Thin, Part::Dots] } else { Vec::new() }
}

/// Width of what stands at a bar's start within a line.
fn head_width(job: &Job, bars: &[Bar], bar: usize) -> f64 {
    let Some(here) = bars.get(bar).filter(|here| bar > 0 && (here.key.is_some() || here.meter.is_some())) else {
        return 0.0;
    };
    let mut width = change_width(job, bar);
    let opening = opening_parts(here);
    if !opening.is_empty() {
        width += BEFORE_REPEAT + barline::width(job, &opening);
    }
    width
}

/// Width of a key and metre that change at a bar, with the gap before each; 0 for none.
pub(super) fn change_width(job: &Job, bar: usize) -> f64 {
    let tune = job.score.tune;
    let Some(here) = tune.bars.get(bar) else { return 0.0 };
    let mut width = 0.0;
    if let Some(key) = &here.key {
        let (glyphs, own) = signature::key_glyphs(job, key, bar.checked_sub(1).map(|before| tune.key_at(before)));
        if !glyphs.is_empty() {
            width += BEFORE_CHANGE + own;
        }
    }
    if let Some(meter) = &here.meter {
        let (glyphs, own) = signature::meter_glyphs(job, meter);
        if !glyphs.is_empty() {
            width += BEFORE_CHANGE + own;
        }
    }
    width
}

/// The pieces of a tune, one a bar; `figures` in written order.
pub(super) fn pieces(job: &Job, figures: &[Figure]) -> Vec<Piece> {
    let bars = &job.score.tune.bars;
    let mut pieces = Vec::with_capacity(bars.len());
    let mut first = 0;
    let mut bar = 0;
    while bar < bars.len() {
        let run = rest_run(job, bar);
        let last = first + bars[bar].events.len();
        let skipped: usize = bars[bar..bar + run].iter().map(|b| b.events.len()).sum();
        pieces.push(piece(job, figures, bar, run, first..last));
        first += skipped;
        bar += run;
    }
    pieces
}

/// How many bars are drawn as one rest from a bar on; 1 for an ordinary bar.
fn rest_run(job: &Job, bar: usize) -> usize {
    let bars = &job.score.tune.bars;
    let run = (bars[bar].rest_run as usize).min(bars.len() - bar);
    if run < 2 {
        return 1;
    }
    let plays = |n: usize| job.score.plan.is_some_and(|plan| plan.left.iter().any(|p| p.bar == n && !p.dropped));
    let rests = |n: usize| bars[n].events.iter().all(|e| e.head().is_none());
    if (bar..bar + run).any(|n| plays(n) || !rests(n)) { 1 } else { run }
}

/// The piece of figures `range` of a bar.
pub(super) fn piece(job: &Job, figures: &[Figure], bar: usize, run: usize, range: std::ops::Range<usize>) -> Piece {
    let bars = &job.score.tune.bars;
    let here = &bars[bar];
    let figures = &figures[range.clone()];
    let opens = figures.first().is_none_or(|figure| figure.event == 0);
    let closes = figures.last().is_none_or(|figure| figure.event + 1 == here.events.len());
    let last_bar = bar + run - 1;
    let left = figures.first().map_or(0.0, Figure::left);
    let width = |parts: &[Part]| barline::width(job, parts);
    let changed = opens && head_width(job, bars, bar) > 0.0;
    let lead = if changed { (AFTER_PREFIX, AFTER_PREFIX_SIGN) } else { (AFTER_BARLINE, AFTER_BARLINE_SIGN) };
    let gap_for = |left: f64, (plain, sign): (f64, f64)| {
        let clearance = if left > 0.05 { plain.max(left + sign) } else { plain };
        Gap { stretch: clearance * LEAD_STRETCH, clearance }
    };
    let left_at_line = figures.first().map_or(0.0, Figure::left_at_line);
    let line_lead = if here.left.repeat_start {
        gap_for(left_at_line, (AFTER_BARLINE, AFTER_BARLINE_SIGN))
    } else {
        gap_for(left_at_line, (AFTER_PREFIX, AFTER_PREFIX_SIGN))
    };
    let mut gaps = vec![gap_for(left, lead)];
    if run > 1 {
        let extra = (run as f64 * LONG_REST_MORE).min(LONG_REST);
        gaps.push(Gap { stretch: LONG_REST + extra, clearance: LONG_REST });
    } else {
        between(job, bar, figures, &mut gaps);
    }
    Piece {
        bar,
        run,
        first: range.start,
        last: range.end,
        opens,
        closes,
        gaps,
        line_lead,
        head: if opens { head_width(job, bars, bar) } else { 0.0 },
        line_head: match opening_parts(here) {
            parts if opens && !parts.is_empty() => BEFORE_REPEAT + width(&parts),
            _ => 0.0,
        },
        joint: if closes { width(&joint_parts(bars, last_bar)) } else { 0.0 },
        end: if closes { width(&end_parts(bars, last_bar)) } else { 0.0 },
        courtesy: match (closes, change_width(job, last_bar + 1)) {
            (true, change) if change > 0.0 => change + AFTER_COURTESY,
            _ => 0.0,
        },
    }
}

/// What the left hand's rhythm weighs in spacing against the melody's.
const LEFT_SHARE: f64 = 0.8;

/// The gaps after each figure of a bar: to the next figure, or to the barline.
fn between(job: &Job, index: usize, figures: &[Figure], gaps: &mut Vec<Gap>) {
    let spacing = job.spacing();
    let bar = &job.score.tune.bars[index];
    let left = left_onsets(job, index);
    for (n, figure) in figures.iter().enumerate() {
        let event = &bar.events[figure.event];
        let mut time = event.duration;
        if time.is_zero() {
            time = Duration::new(1, 64);
        }
        let stretch = room_of(time).max(LEFT_SHARE * left_room(&left, event.onset, event.onset + time)) * spacing;
        let gap = match figures.get(n + 1) {
            Some(next) => {
                let stretch = (stretch + stem::optical(figure.stem(), next.stem())).max(stretch * 0.7);
                Gap { stretch, clearance: apart(figure, next) }
            }
            None => {
                let head = figure.width + BEFORE_BARLINE;
                let clearance = head.max(figure.right() + BEFORE_BARLINE_SIGN);
                Gap { stretch: (stretch - BARLINE_NEARER).max(1.0), clearance }
            }
        };
        gaps.push(gap);
    }
}

/// When the left hand presses in a bar, ascending; nothing where it is not shown.
fn left_onsets(job: &Job, bar: usize) -> Vec<Onset> {
    let Some(plan) = job.score.plan.filter(|_| job.style.signs.left != LeftLook::None) else { return Vec::new() };
    // The plan's presses stand by bar.
    let first = plan.left.partition_point(|press| press.bar < bar);
    let here = plan.left[first..].iter().take_while(|press| press.bar == bar);
    let mut onsets: Vec<Onset> = here.filter(|press| !press.dropped).map(|press| press.onset).collect();
    onsets.sort_unstable();
    onsets.dedup();
    onsets
}

/// The room that the left hand's own rhythm wants between two moments: a long note over a bass and two chords needs theirs.
fn left_room(onsets: &[Onset], from: Onset, to: Onset) -> f64 {
    let inside = onsets.iter().copied().filter(|onset| *onset > from && *onset < to);
    let mut last = from;
    let mut room = 0.0;
    for onset in inside.chain([to]) {
        room += room_of(onset - last);
        last = onset;
    }
    room
}

/// How far two columns must be apart so that no ink of the one comes near ink beside it of the other.
fn apart(a: &Figure, b: &Figure) -> f64 {
    let beside = |x: &Area, y: &Area| x.bottom - BESIDE < y.top && y.bottom - BESIDE < x.top;
    let mut needed = 0.6_f64;
    for right in &a.boxes {
        for left in b.boxes.iter().filter(|left| beside(right, left)) {
            needed = needed.max(right.right - left.left + BETWEEN);
        }
    }
    // A grace or accidental never slips over the column before it, however far above or below it stands.
    needed.max(b.left() + 0.2)
}
