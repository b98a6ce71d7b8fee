//! Fingers over the heads, and the places of the hand over the fingers.
//!
//! A finger stands where a finger newly matters: at each new press, at a change of finger on a held button (after the head
//! written before, or after any that is played before), and at the first head of a system. Every grace has its own, smaller:
//! there is no time to look for it. A place stands where the hand moves: the button under the index finger in a box, its row's
//! head beside; where it moves on a grace, over the main note, which is played also by those who leave the grace out.

use super::{APART, FINGERS_APART, over, planned, row};
use crate::engrave::canvas::{Canvas, Kind, Label, at};
use crate::engrave::contract::Sign;
use crate::engrave::figure::{Figure, GraceFigure};
use crate::engrave::heads::Head;
use crate::engrave::job::Job;
use crate::engrave::layout::{Demand, SystemLayout};
use crate::engrave::lettering::Lettering;
use crate::engrave::sizes::{self, Wording};
use crate::fingering::{Plan, PlannedNote, Press, Sound};
use crate::font::{FaceId, Weight};
use crate::geom::Path;
use crate::instrument::RowAt;
use crate::style::{EngravingStyle, FingerLook, FingerOne, HeadShape};
use crate::tune::NoteId;
use std::rc::Rc;

/// Clear room between a finger and what is under it (0.4 to 0.5 in the handbooks; from memory).
const FINGER_GAP: f64 = 0.5;
/// Clear room beside a finger: the stem of a grace never stands between two of them.
const FINGER_BESIDE: f64 = 0.3;
/// The lowest baseline of the fingers: just clear of the top staff line.
const FINGER_LEAST: f64 = 4.7;
/// From digit to digit where a chord has several fingers.
const FINGER_STEP: f64 = 0.25;
/// The box's padding round the number.
const PLACE_PAD: f64 = 0.28;
/// The box's line.
const PLACE_LINE: f64 = 0.14;
/// The row's head beside the number, against a normal head.
const PLACE_HEAD: f64 = 0.8;
/// Clear room between a place and what is under it.
const PLACE_GAP: f64 = 0.45;
/// Clear room between places: each is a sign of two parts, that must not be read across.
const PLACE_APART: f64 = 0.7;

/// The SMuFL glyph of a printed finger.
pub(in crate::engrave) const fn digit(finger: u8) -> &'static str {
    match finger {
        0 => "fingering0",
        1 => "fingering1",
        2 => "fingering2",
        3 => "fingering3",
        4 => "fingering4",
        _ => "fingering5",
    }
}

/// The finger as the book numbers it.
const fn printed(finger: u8, style: &EngravingStyle) -> u8 {
    match style.signs.finger_one {
        FingerOne::Index => finger,
        FingerOne::Thumb => finger + 1,
    }
}

/// The shape that codes a row.
pub(in crate::engrave) const fn shape_of(row: RowAt, style: &EngravingStyle) -> HeadShape {
    match row {
        RowAt::Outer => style.signs.rows.outer,
        RowAt::Inner => style.signs.rows.inner,
        RowAt::Half => style.signs.rows.half,
    }
}

/// Whether a head's fingers are worth printing after `before`, the presses of the head written before.
fn matters(plan: &Plan, note: &PlannedNote, before: Option<&[Press]>) -> bool {
    let moved = note.presses.iter().any(|press| press.sound == Sound::Press);
    let same = |before: &[Press]| {
        note.presses.len() == before.len()
            && note.presses.iter().zip(before).all(|(now, then)| now.finger == then.finger && now.button == then.button)
    };
    let played = plan.elsewhere(note.id).unwrap_or_default();
    let newly = played.iter().any(|played| plan.note(played.note).is_none_or(|before| !same(&before.presses)));
    moved || newly || before.is_none_or(|before| !same(before))
}

/// Half the width that the fingers of a note take, of a grace or of a head; `None` where none are shown.
pub(super) fn half_width(job: &Job, id: NoteId, grace: bool) -> Option<f64> {
    let note = job.score.plan?.note(id).filter(|_| job.style.signs.fingers == FingerLook::Above)?;
    let scale = scale(job.style, job.letters, grace);
    let widths =
        note.presses.iter().map(|press| size_of(job.letters, digit(printed(press.finger, job.style)), scale).0);
    widths.reduce(f64::max).map(|width| width / 2.0)
}

/// The size of a finger against the music font's own.
fn scale(style: &EngravingStyle, letters: &Lettering, grace: bool) -> f64 {
    if grace { sizes::grace_finger_scale(style, letters) } else { sizes::finger_scale(style, letters) }
}

/// The room of fingers and places; `figures` in written order.
pub(super) fn demands(job: &Job, figures: &[Figure], all: &mut Vec<Demand>) {
    let Job { score, style, letters } = job;
    let Some(plan) = score.plan else { return };
    let face = letters.label(Weight::Semibold, false);
    let mut figures = figures.iter();
    for (bar, written) in score.tune.bars.iter().enumerate() {
        for (event, figure) in written.events.iter().zip(figures.by_ref()) {
            let Some(note) = event.head().and_then(|id| plan.note(id)) else { continue };
            let onset = event.onset;
            if style.signs.fingers == FingerLook::Above && note.presses.iter().any(|press| press.sound != Sound::Tie) {
                let half = event.head().and_then(|id| half_width(job, id, false)).unwrap_or_default();
                let before = |grace: &GraceFigure| {
                    Some(figure.width / 2.0 - grace.x - grace.width / 2.0 + half_width(job, grace.id, true)?)
                };
                let side = FINGERS_APART * style.marks / 2.0;
                let left = figure.graces.iter().filter_map(before).fold(half, f64::max) + side;
                all.push(Demand { row: row::FINGER, bar, onset, left, right: half + side });
            }
            if let Some(moved) = moved(plan, event.graces.iter().map(|grace| grace.id).chain(event.head())) {
                let sizes = PlaceSizes::new(style, letters, face, moved);
                let half = sizes.head.width.raw() * sizes.scale / 2.0;
                let right = sizes.width() - half + PLACE_APART;
                all.push(Demand { row: row::PLACE, bar, onset, left: half, right });
            }
        }
    }
}

/// Where the hand moves on a note or its graces, the notes in played order: the last place is the one to know.
fn moved(plan: &Plan, notes: impl Iterator<Item = NoteId>) -> Option<&PlannedNote> {
    notes.filter_map(|id| plan.note(id).filter(|note| note.place_moves)).last()
}

/// Sets fingers, then places over them.
pub(super) fn set(layout: &mut SystemLayout, canvas: &mut Canvas) {
    if layout.score.plan.is_none() {
        return;
    }
    if layout.style.signs.fingers == FingerLook::Above {
        set_fingers(layout, canvas);
    }
    set_places(layout, canvas);
}

/// The fingers of one note or grace, stacked from the lowest pitch up.
struct Fingers {
    id: NoteId,
    of: Vec<u8>,
    centre: f64,
    bar: usize,
    /// The number of the note's event, of a grace that of its main note's.
    column: usize,
    label: Label,
    scale: f64,
    grace: bool,
}

impl Fingers {
    /// The stretch of the line that they must be clear over.
    fn span(&self, letters: &Lettering) -> (f64, f64) {
        let widths = self.of.iter().map(|finger| size_of(letters, digit(*finger), self.scale).0);
        let half = widths.fold(0.0, f64::max) / 2.0 + FINGER_BESIDE;
        (self.centre - half, self.centre + half)
    }
    fn draw(&self, canvas: &mut Canvas, base: f64, step: f64) {
        canvas.bar = Some(self.bar);
        let mut y = base;
        for finger in &self.of {
            let name = digit(*finger);
            let (width, height) = size_of(canvas.letters(), name, self.scale);
            canvas.spoken(self.label, name, self.centre - width / 2.0, y, self.scale, spoken(*finger));
            y += height + step;
        }
    }
}

/// All fingers of a line, left to right.
fn wanted(layout: &SystemLayout, letters: &Lettering) -> Vec<Fingers> {
    let style = layout.style;
    let fingers = |note: &PlannedNote| note.presses.iter().map(|press| printed(press.finger, style)).collect();
    let Some(plan) = layout.score.plan else { return Vec::new() };
    let mut wanted: Vec<Fingers> = Vec::new();
    let mut before: Option<&[Press]> = None;
    for column in &layout.columns {
        let Some(note) = planned(layout, column) else { continue };
        for (grace, note) in column.graces.iter().filter_map(|grace| Some((grace, plan.note(grace.id)?))) {
            let centre = grace.x + grace.width / 2.0;
            // Events are numbered from 0; graces are apart from them.
            let label = Label::new(Kind::Finger, usize::MAX - 1 - grace.id.index());
            let scale = scale(style, letters, true);
            let (of, bar, column) = (fingers(note), column.bar, column.number);
            wanted.push(Fingers { id: note.id, of, centre, bar, column, label, scale, grace: true });
        }
        if matters(plan, note, before) && !note.presses.is_empty() {
            let (centre, label) = (column.centre(), Label::new(Kind::Finger, column.number));
            let scale = scale(style, letters, false);
            let (of, bar, column) = (fingers(note), column.bar, column.number);
            wanted.push(Fingers { id: note.id, of, centre, bar, column, label, scale, grace: false });
        }
        before = Some(&note.presses);
    }
    wanted
}

fn set_fingers(layout: &mut SystemLayout, canvas: &mut Canvas) {
    let letters = canvas.letters();
    let wanted = wanted(layout, letters);
    let spans: Vec<(f64, f64)> =
        wanted.iter().filter(|fingers| !fingers.grace).map(|fingers| fingers.span(letters)).collect();
    let base = over(canvas, &spans, FINGER_GAP, FINGER_LEAST);
    let step = FINGER_STEP * layout.style.marks;
    // High graces lift their own fingers, all of one note to one height, and not the row.
    let together = |a: &Fingers, b: &Fingers| a.grace && b.grace && a.column == b.column;
    let lifted = wanted.chunk_by(together).map(|group| match group {
        [first, ..] if first.grace => {
            let spans: Vec<(f64, f64)> = group.iter().map(|fingers| fingers.span(letters)).collect();
            (group, over(canvas, &spans, FINGER_GAP, base))
        }
        _ => (group, base),
    });
    let lifted: Vec<(&[Fingers], f64)> = lifted.collect();
    for (group, base) in lifted {
        group.iter().for_each(|fingers| fingers.draw(canvas, base, step));
        layout.fingers.extend(group.iter().map(|fingers| fingers.id));
        layout.signs.insert(Sign::Finger);
    }
    canvas.bar = None;
}

/// Digits for copying and reading aloud.
pub(in crate::engrave) const fn spoken(finger: u8) -> &'static str {
    match finger {
        1 => "1",
        2 => "2",
        3 => "3",
        4 => "4",
        _ => "5",
    }
}

/// Width and height of a glyph's ink at a scale.
fn size_of(letters: &Lettering, name: &'static str, scale: f64) -> (f64, f64) {
    let ink = letters.fonts().music().glyph(name).ink;
    (ink.max.x.raw() * scale, ink.max.y.raw() * scale)
}

/// The measures of one place sign.
pub(in crate::engrave) struct PlaceSizes {
    head: Rc<Head>,
    scale: f64,
    face: FaceId,
    text: String,
    size: f64,
    text_width: f64,
    cap: f64,
    pad: f64,
}

impl PlaceSizes {
    fn new(style: &EngravingStyle, letters: &Lettering, face: FaceId, note: &PlannedNote) -> Self {
        Self::of(style, letters, face, note.place.0.row, note.place.0.number)
    }
    /// The sign for a button.
    pub(in crate::engrave) fn of(
        style: &EngravingStyle,
        letters: &Lettering,
        face: FaceId,
        row: RowAt,
        number: u8,
    ) -> Self {
        let text = number.to_string();
        let size = sizes::size(style, Wording::Place);
        let text_width = letters.width(face, size, &text);
        let cap = letters.cap_height(face) * size;
        let head = letters.head(shape_of(row, style), 2);
        Self { head, scale: PLACE_HEAD * style.marks, face, text, size, text_width, cap, pad: PLACE_PAD * style.marks }
    }
    /// The whole sign: head, a little air, the box.
    pub(in crate::engrave) fn width(&self) -> f64 {
        self.head.width.raw() * self.scale + self.pad + self.box_width()
    }
    fn box_width(&self) -> f64 {
        self.text_width.max(self.cap * 0.75) + 2.0 * self.pad
    }
    /// Its height.
    pub(in crate::engrave) fn height(&self) -> f64 {
        self.cap + 2.0 * self.pad
    }
    /// Draws it with its lower left corner at (`x`, `y`).
    pub(in crate::engrave) fn draw(&self, canvas: &mut Canvas, label: Label, x: f64, y: f64) {
        let middle = y + self.height() / 2.0;
        canvas.head(label, &self.head, x, middle, self.scale);
        let left = x + self.head.width.raw() * self.scale + self.pad;
        let (right, top) = (left + self.box_width(), y + self.height());
        let half = PLACE_LINE / 2.0;
        let frame = Path::polygon(&[
            at(left + half, y + half),
            at(right - half, y + half),
            at(right - half, top - half),
            at(left + half, top - half),
        ]);
        canvas.stroke(label, frame, PLACE_LINE, None);
        let text_x = left + (self.box_width() - self.text_width) / 2.0;
        canvas.text(label, self.face, self.size, &self.text, text_x, y + self.pad);
    }
}

fn set_places(layout: &mut SystemLayout, canvas: &mut Canvas) {
    let face = canvas.letters().label(Weight::Semibold, false);
    let plan = layout.score.plan;
    let mut wanted: Vec<(usize, f64, PlaceSizes)> = Vec::new();
    for (index, column) in layout.columns.iter().enumerate() {
        let notes = column.graces.iter().map(|grace| grace.id).chain(column.head);
        let Some(note) = plan.and_then(|plan| moved(plan, notes)) else { continue };
        wanted.push((index, column.x, PlaceSizes::new(layout.style, canvas.letters(), face, note)));
    }
    let spans: Vec<(f64, f64)> =
        wanted.iter().map(|(_, x, sizes)| (x - APART / 2.0, x + sizes.width() + APART / 2.0)).collect();
    let base = over(canvas, &spans, PLACE_GAP, FINGER_LEAST);
    for (index, x, sizes) in wanted {
        let column = &layout.columns[index];
        canvas.bar = Some(column.bar);
        sizes.draw(canvas, Label::new(Kind::Place, column.number), x, base);
        layout.signs.insert(Sign::Place);
    }
    canvas.bar = None;
}
