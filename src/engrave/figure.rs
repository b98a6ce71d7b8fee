//! One head, chord or rest with all that moves with it: heads, ledger lines, dots, accidentals, flag, and what graces are.
//!
//! Takes an event, its signs and its stem's way, gives ink relative to its column (x = 0 is the left edge of a normal head),
//! and the boxes that keep neighbours off. Knows nothing of where the column stands.
//!
//! Sources: heads a second apart stand on both sides of the stem (common practice); dots in the space, above for a note on a
//! line (E. Gould, *Behind Bars*, from memory); ledger lines and their overhang from SMuFL's engravingDefaults.

use super::accidental::{self, EventSigns, SignAt};
use super::canvas::ink_of;
use super::grouping;
use super::heads::Head;
use super::job::Job;
use super::layout::StemWay;
use super::lettering::Area;
use super::stem;
use crate::font::Anchor;
use crate::style::HeadShape;
use crate::tune::{Event, Mark, Note, NoteId, Pitch, Sounding};
use std::rc::Rc;

/// From a head to its first dot, left edge (Gould, from memory).
const TO_DOT: f64 = 0.5;
/// From a flag to a dot.
const FLAG_TO_DOT: f64 = 0.2;
/// From one dot to the next, origin to origin.
const DOT_STEP: f64 = 0.7;
/// An arpeggio line left of a chord: its width with its gap.
pub(super) const ARPEGGIO: f64 = 1.0;
/// A slide into a head: its width with its gap.
pub(super) const SLIDE: f64 = 1.4;
/// Room for a half tie between clef or key and a sign that is repeated under it.
const LATE_TIE: f64 = 1.2;
/// Staff position of E4, the bottom line, in letters above C0.
const BOTTOM_LINE: i32 = 30;
/// Whole bar rests and whole rests hang from the fourth line (SMuFL, "Rests").
const WHOLE_REST: f64 = 3.0;
const REST: f64 = 2.0;
/// Dots of rests stand in the third space (common practice).
const REST_DOT: f64 = 2.5;
/// A tune may ask for pitches far beyond paper; they are drawn at most this far from the staff.
const FARTHEST: f64 = 24.0;

/// The staff position of a pitch in a treble staff.
pub(super) fn y_of(pitch: Pitch) -> f64 {
    (f64::from(pitch.staff_step() - BOTTOM_LINE) / 2.0).clamp(-FARTHEST, FARTHEST + 4.0)
}

/// A head at its place in the column.
#[derive(Debug, Clone)]
pub(super) struct HeadAt {
    /// Its origin.
    pub(super) x: f64,
    /// Its staff position.
    pub(super) y: f64,
    /// Its ink.
    pub(super) head: Rc<Head>,
}

/// A rest's glyph.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct RestAt {
    /// SMuFL name.
    pub(super) name: &'static str,
    /// Its line.
    pub(super) y: f64,
    /// Whether it stands in the middle of the bar.
    pub(super) whole_bar: bool,
}

/// One grace, relative to its main note's column.
#[derive(Debug, Clone)]
pub(super) struct GraceFigure {
    /// Which.
    pub(super) id: NoteId,
    /// Left edge of its head.
    pub(super) x: f64,
    /// Width of its head.
    pub(super) width: f64,
    /// Its heads with their staff positions, lowest first.
    pub(super) heads: Vec<(f64, Rc<Head>)>,
    /// Its accidentals.
    pub(super) signs: Vec<SignAt>,
    /// Staff positions of its ledger lines.
    pub(super) ledgers: Vec<f64>,
    /// How many beams it is under.
    pub(super) beams: u8,
}

impl GraceFigure {
    /// Staff position of its lowest head; the middle line without one.
    pub(super) fn low(&self) -> f64 {
        self.heads.first().map_or(2.0, |(y, _)| *y)
    }
    /// Staff position of its highest head; the middle line without one.
    pub(super) fn high(&self) -> f64 {
        self.heads.last().map_or(2.0, |(y, _)| *y)
    }
    /// The right edge of its stem.
    pub(super) fn stem_right(&self) -> f64 {
        self.x + self.width
    }
}

/// One event's ink, relative to its column.
#[derive(Debug, Clone)]
pub(super) struct Figure {
    /// Index into the tune's bars.
    pub(super) bar: usize,
    /// Index into the bar's events.
    pub(super) event: usize,
    /// Its number in the tune.
    pub(super) number: usize,
    /// Its id, if it is a head.
    pub(super) id: Option<NoteId>,
    /// The way of its stem.
    pub(super) way: StemWay,
    /// Whether it has a stem.
    pub(super) stemmed: bool,
    /// Flags or beams.
    pub(super) flags: u8,
    /// Index of its beam, if it is under one.
    pub(super) beam: Option<usize>,
    /// Width of a normal head of its value, or of the rest.
    pub(super) width: f64,
    /// Its heads, lowest first.
    pub(super) heads: Vec<HeadAt>,
    /// Its accidentals.
    pub(super) signs: Vec<SignAt>,
    /// Signs that are repeated under a tie where a line begins with the figure.
    pub(super) late: Vec<SignAt>,
    /// Left edge and y of each dot.
    pub(super) dots: Vec<(f64, f64)>,
    /// y, left and right edge of each ledger line.
    pub(super) ledgers: Vec<(f64, f64, f64)>,
    /// The rest, if it is one.
    pub(super) rest: Option<RestAt>,
    /// Its graces, left to right.
    pub(super) graces: Vec<GraceFigure>,
    /// Where its own stem ends; the beam decides where it is under one.
    pub(super) end: f64,
    /// What neighbours must keep clear of.
    pub(super) boxes: Vec<Area>,
}

impl Figure {
    /// y of the lowest head; the middle line for rests.
    pub(super) fn low(&self) -> f64 {
        self.heads.first().map_or(stem::MIDDLE, |head| head.y)
    }
    /// y of the highest head.
    pub(super) fn high(&self) -> f64 {
        self.heads.last().map_or(stem::MIDDLE, |head| head.y)
    }
    /// Its stem, for the eye's corrections in spacing; `None` without one.
    pub(super) fn stem(&self) -> Option<stem::Upright> {
        let (low, high) = match self.way {
            StemWay::Up => (self.low(), self.end.max(self.high() + stem::LENGTH)),
            StemWay::Down => (self.end.min(self.low() - stem::LENGTH), self.high()),
        };
        self.stemmed.then_some(stem::Upright { way: self.way, low, high })
    }
    /// y of the head at which the stem ends: the one nearest to the flag or beam.
    pub(super) fn outer(&self) -> f64 {
        if self.way == StemWay::Up { self.high() } else { self.low() }
    }
    /// The left edge of its stem when stems are `thick`.
    pub(super) fn stem_left(&self, thick: f64) -> f64 {
        if self.way == StemWay::Up { self.width - thick } else { 0.0 }
    }
    /// How far its ink reaches left of the column (positive).
    pub(super) fn left(&self) -> f64 {
        -self.boxes.iter().map(|area| area.left).fold(0.0, f64::min)
    }
    /// How far its ink reaches right of the column.
    pub(super) fn right(&self) -> f64 {
        self.boxes.iter().map(|area| area.right).fold(self.width, f64::max)
    }
    /// How far it reaches left of the column at the beginning of a line: with its repeated signs, and half ties before them.
    pub(super) fn left_at_line(&self) -> f64 {
        self.late.iter().map(|sign| LATE_TIE - sign.area.left).fold(self.left(), f64::max)
    }
    /// The right edge of its heads.
    pub(super) fn heads_right(&self) -> f64 {
        self.heads.iter().map(|at| at.x + at.head.width.raw()).fold(self.width, f64::max)
    }
}

/// The figure of a bar's event before annotations and graces take their room; `beam` is the beam it is under and the way of that
/// beam.
pub(super) fn figure(
    job: &Job,
    (bar, index, number): (usize, usize, usize),
    signs: &EventSigns,
    beam: Option<(usize, StemWay)>,
) -> Figure {
    let event = &job.score.tune.bars[bar].events[index];
    let mut figure = match &event.sounding {
        Sounding::Rest { visible, whole_bar } => rest(job, event, *visible, *whole_bar),
        Sounding::Head { id, notes } => heads(job, event, *id, notes, signs, beam),
    };
    (figure.bar, figure.event, figure.number) = (bar, index, number);
    figure
}

fn empty() -> Figure {
    Figure {
        bar: 0,
        event: 0,
        number: 0,
        id: None,
        way: StemWay::Down,
        stemmed: false,
        flags: 0,
        beam: None,
        width: 1.0,
        heads: Vec::new(),
        signs: Vec::new(),
        late: Vec::new(),
        dots: Vec::new(),
        ledgers: Vec::new(),
        rest: None,
        graces: Vec::new(),
        end: stem::MIDDLE,
        boxes: Vec::new(),
    }
}

fn rest(job: &Job, event: &Event, visible: bool, whole_bar: bool) -> Figure {
    let mut figure = empty();
    let (name, y) = if whole_bar { ("restWhole", WHOLE_REST) } else { rest_glyph(event.value.halvings) };
    let ink = ink_of(job.music().glyph(name));
    figure.width = ink.right;
    if !visible {
        return figure;
    }
    figure.rest = Some(RestAt { name, y, whole_bar });
    figure.boxes.push(ink.moved(0.0, y));
    if !whole_bar {
        for n in 0..event.value.dots.min(4) {
            figure.dots.push((ink.right + TO_DOT * 0.8 + f64::from(n) * DOT_STEP, REST_DOT));
        }
    }
    box_dots(&mut figure);
    figure
}

const fn rest_glyph(halvings: i8) -> (&'static str, f64) {
    match halvings {
        i8::MIN..=-1 => ("restDoubleWhole", REST),
        0 => ("restWhole", WHOLE_REST),
        1 => ("restHalf", REST),
        2 => ("restQuarter", REST),
        3 => ("rest8th", REST),
        4 => ("rest16th", REST),
        5 => ("rest32nd", REST),
        6 => ("rest64th", REST),
        7 => ("rest128th", REST),
        _ => ("rest256th", REST),
    }
}

/// The shape that codes the row a tone is played on.
pub(super) fn shape_of(job: &Job, id: NoteId, tone: usize) -> HeadShape {
    let press = job.score.plan.and_then(|plan| plan.note(id)).and_then(|planned| planned.presses.get(tone));
    let rows = &job.style.signs.rows;
    press.map_or(HeadShape::Oval, |press| match press.button.row {
        crate::instrument::RowAt::Outer => rows.outer,
        crate::instrument::RowAt::Inner => rows.inner,
        crate::instrument::RowAt::Half => rows.half,
    })
}

fn heads(
    job: &Job,
    event: &Event,
    id: NoteId,
    notes: &[Note],
    signs: &EventSigns,
    beam: Option<(usize, StemWay)>,
) -> Figure {
    let mut figure = empty();
    let halvings = event.value.halvings;
    let ys: Vec<f64> = notes.iter().map(|note| y_of(note.pitch)).collect();
    figure.id = Some(id);
    figure.way = beam.map_or_else(|| stem::way(ys.iter().copied()), |(_, way)| way);
    figure.beam = beam.map(|(index, _)| index);
    figure.stemmed = halvings >= 1;
    figure.flags = grouping::flags(event);
    figure.width = job.letters.head(HeadShape::Oval, halvings).width.raw();
    let aside = displaced(&ys, figure.way);
    for (tone, (y, displaced)) in ys.iter().zip(&aside).enumerate() {
        let close = third_away(&ys, &aside, tone);
        let head = job.letters.head_among(shape_of(job, id, tone), halvings, close);
        figure.heads.push(HeadAt { x: head_x(job, &figure, &head, *displaced), y: *y, head });
    }
    ledgers(job, &mut figure);
    let boxes: Vec<Area> = figure.heads.iter().map(|at| area_of_head(&at.head).moved(at.x, at.y)).collect();
    let wanted: Vec<_> =
        figure.heads.iter().zip(&signs.notes).filter_map(|(at, sign)| sign.map(|sign| (at.y, sign))).collect();
    if !wanted.is_empty() || !signs.again.is_empty() {
        let mut obstacles = boxes.clone();
        let ledgers = figure.ledgers.iter();
        obstacles.extend(ledgers.map(|(y, left, right)| Area::new(*left + 0.2, y - 0.08, *right, y + 0.08)));
        if figure.stemmed && figure.way == StemWay::Down {
            obstacles.push(Area::new(0.0, figure.low() - stem::LENGTH, 0.12, figure.high()));
        }
        figure.signs = accidental::place(job.music(), &obstacles, &wanted, 1.0);
        if figure.signs.is_empty() {
            let again: Vec<_> = signs.again.iter().map(|(tone, sign)| (ys[*tone], *sign)).collect();
            figure.late = accidental::place(job.music(), &obstacles, &again, 1.0);
        }
    }
    figure.boxes = boxes;
    figure.boxes.extend(figure.signs.iter().map(|sign| sign.area));
    figure.boxes.extend(figure.ledgers.iter().map(|(y, left, right)| Area::new(*left, y - 0.08, *right, y + 0.08)));
    flag_and_dots(job, event, &mut figure);
    for (mark, width) in [(Mark::Arpeggio, ARPEGGIO), (Mark::Slide, SLIDE)] {
        if event.marks.contains(&mark) {
            let left = -figure.left() - width;
            figure.boxes.push(Area::new(left, figure.low() - 0.9, left + width - 0.2, figure.high() + 0.5));
        }
    }
    figure
}

/// The box of a head's ink at its origin.
pub(super) fn area_of_head(head: &Head) -> Area {
    let b = &head.bounds;
    Area::new(b.min.x.raw(), b.min.y.raw(), b.max.x.raw(), b.max.y.raw())
}

/// Which heads of a chord stand on the other side of the stem: of two a second apart, the upper one of an up-stem and the
/// lower one of a down-stem.
fn displaced(ys: &[f64], way: StemWay) -> Vec<bool> {
    let mut displaced = vec![false; ys.len()];
    let near = |a: f64, b: f64| (a - b).abs() < 0.75;
    match way {
        StemWay::Up => {
            for i in 1..ys.len() {
                displaced[i] = near(ys[i], ys[i - 1]) && !displaced[i - 1];
            }
        }
        StemWay::Down => {
            for i in (0..ys.len().saturating_sub(1)).rev() {
                displaced[i] = near(ys[i], ys[i + 1]) && !displaced[i + 1];
            }
        }
    }
    displaced
}

/// Whether another head of the chord stands a third or less away on the same side of the stem.
fn third_away(ys: &[f64], aside: &[bool], tone: usize) -> bool {
    let near = |other: usize| (ys[other] - ys[tone]).abs() < 1.25 && aside[other] == aside[tone];
    (0..ys.len()).any(|other| other != tone && near(other))
}

/// Heads of all shapes meet the stem: right edges at an up-stem, left edges at a down-stem; heads without stem are centred.
fn head_x(job: &Job, figure: &Figure, head: &Head, displaced: bool) -> f64 {
    let width = head.width.raw();
    let stem = job.stem();
    match (figure.way, displaced, figure.stemmed) {
        (StemWay::Up, false, true) => figure.width - head.stem_up.x.raw(),
        (StemWay::Up, true, true) => figure.width - stem,
        (StemWay::Down, false, true) => -head.stem_down.x.raw(),
        (StemWay::Down, true, true) => stem - width,
        (_, false, false) => (figure.width - width) / 2.0,
        (StemWay::Up, true, false) => figure.width - stem,
        (StemWay::Down, true, false) => stem - width,
    }
}

/// Ledger lines for every line between the staff and the outermost heads.
fn ledgers(job: &Job, figure: &mut Figure) {
    let over = job.music().defaults.ledger_extension.raw();
    let span = |figure: &Figure, beyond: &dyn Fn(f64) -> bool| {
        let reached = figure.heads.iter().filter(|at| beyond(at.y));
        reached.fold((f64::INFINITY, f64::NEG_INFINITY), |(left, right), at| {
            (left.min(at.x), right.max(at.x + at.head.width.raw()))
        })
    };
    let (low, high) = (figure.low(), figure.high());
    let mut line = -1.0;
    while line >= low - 0.01 {
        let (left, right) = span(figure, &|y| y <= line + 0.01);
        figure.ledgers.push((line, left - over, right + over));
        line -= 1.0;
    }
    let mut line = 5.0;
    while line <= high + 0.01 {
        let (left, right) = span(figure, &|y| y >= line - 0.01);
        figure.ledgers.push((line, left - over, right + over));
        line += 1.0;
    }
}

fn flag_and_dots(job: &Job, event: &Event, figure: &mut Figure) {
    let mut after = figure.heads_right() + TO_DOT;
    figure.end = figure.outer();
    if figure.stemmed {
        let end = own_end(job, figure);
        figure.end = end;
        let left = figure.stem_left(job.stem());
        let stem_area = match figure.way {
            StemWay::Up => Area::new(left, figure.low(), left + job.stem(), end),
            StemWay::Down => Area::new(left, end, left + job.stem(), figure.high()),
        };
        figure.boxes.push(stem_area);
        if figure.flags > 0 && figure.beam.is_none() {
            let flag = flag_ink(job, figure.way, figure.flags).moved(left, end);
            figure.boxes.push(flag);
            // A dot beside an up-stem's flag moves out of its way.
            if figure.way == StemWay::Up && flag.bottom < figure.high() + 0.8 {
                after = after.max(flag.right + FLAG_TO_DOT);
            }
        }
    }
    let mut taken: Vec<f64> = Vec::new();
    for at in figure.heads.iter().rev() {
        let on_line = (at.y - at.y.floor()).abs() < 0.25;
        let mut y = if on_line { at.y + 0.5 } else { at.y };
        if taken.iter().any(|t| (t - y).abs() < 0.1) {
            y -= 1.0;
        }
        if taken.iter().any(|t| (t - y).abs() < 0.1) {
            continue;
        }
        taken.push(y);
        for n in 0..event.value.dots.min(4) {
            figure.dots.push((after + f64::from(n) * DOT_STEP, y));
        }
    }
    box_dots(figure);
}

/// The flag of a stem's way and number of flags, and its origin's height over the stem's end (SMuFL: stemUpNW and stemDownSW say
/// where on the flag the stem ends).
pub(super) fn flag(job: &Job, way: StemWay, flags: u8) -> (&'static str, f64) {
    let name = stem::flag_name(way, flags);
    let anchor = if way == StemWay::Up { Anchor::StemUpNW } else { Anchor::StemDownSW };
    (name, job.music().glyph(name).anchor(anchor).map_or(0.0, |point| -point.y.raw()))
}

/// A flag's ink seen from the stem's end.
fn flag_ink(job: &Job, way: StemWay, flags: u8) -> Area {
    let (name, up) = flag(job, way, flags);
    ink_of(job.music().glyph(name)).moved(0.0, up)
}

/// Where a stem ends; longer where a flag would hang into a head on the stem's far side.
fn own_end(job: &Job, figure: &Figure) -> f64 {
    let end = stem::end(figure.way, figure.outer(), figure.flags, job.longer_flags());
    if figure.flags == 0 || figure.way == StemWay::Down {
        return end;
    }
    let flag = flag_ink(job, figure.way, figure.flags);
    let beside = figure.heads.iter().filter(|at| at.x > figure.width / 2.0).map(|at| at.y + 0.5);
    beside.fold(end, |end, top| end.max(top + FLAG_TO_DOT - flag.bottom))
}

fn box_dots(figure: &mut Figure) {
    let dots = figure.dots.iter().map(|(x, y)| Area::new(*x, y - 0.2, x + 0.4, y + 0.2));
    figure.boxes.extend(dots);
}
