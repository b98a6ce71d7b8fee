//! Which way the bellows go: the band, arrows or words above the staff, and the air points.
//!
//! The band lies in one lane a system, filled over the pull, open over the push, and has no feet, so that it cannot be read as
//! the bracket of an ending. The word stands at the start of every system.

use super::{APART, over, planned, row};
use crate::engrave::Score;
use crate::engrave::canvas::{Canvas, Kind, Label, at};
use crate::engrave::contract::Sign;
use crate::engrave::layout::{Column, Demand, SystemLayout};
use crate::engrave::lettering::{Area, Lettering};
use crate::engrave::sizes::{self, Wording};
use crate::fingering::Air;
use crate::font::Weight;
use crate::geom::Path;
use crate::instrument::Direction;
use crate::style::{DirectionLook, EngravingStyle, HeadShape};

/// Height of the band.
pub(in crate::engrave) const BAND: f64 = 0.5;
/// Clear room under the band.
const BAND_GAP: f64 = 0.6;
/// Clear room between the word at the beginning of a line and the bar number under it.
const NUMBER_CLEAR: f64 = 0.3;
/// The lowest place of the band.
const BAND_LEAST: f64 = 5.2;
/// How far the band begins before its first head and ends before the head that turns.
const BAND_LEAD: f64 = 0.1;
const BAND_STOP: f64 = 0.35;
/// How far a bar's part of the band reaches under the next one's: parts that only touched would show a white seam on screens
/// and copies (judged on the page).
const BAND_LAP: f64 = 0.15;
/// Clear room between two words: at less they read as one (judged on the page).
const WORDS_APART: f64 = 0.8;
/// About the room of a grace before its note.
const GRACE: f64 = 1.5;
/// Clear room beside the words of an air point.
const AIR_APART: f64 = 1.2;
/// The caret of an air point: half its width and its line, which grow with the marks; its height; from its tip to the
/// baseline of its words.
const CARET: (f64, f64) = (0.4, 0.18);
const CARET_HEIGHT: f64 = 0.6;
const OVER_CARET: f64 = 1.15;
/// How far before the next note or barline the caret of an air point stands, where there is so much room.
const AIR_BEFORE: f64 = 1.5;
/// Length and thickness of an arrow.
const ARROW: f64 = 1.9;
const ARROW_LINE: f64 = 0.18;

/// The word for a direction in the language of the music.
pub(in crate::engrave) fn word(direction: Direction, language: &str) -> &'static str {
    match (direction, language.starts_with("fr")) {
        (Direction::Push, false) => "push",
        (Direction::Pull, false) => "pull",
        (Direction::Push, true) => "poussé",
        (Direction::Pull, true) => "tiré",
    }
}

const fn sign(direction: Direction) -> Sign {
    match direction {
        Direction::Push => Sign::Push,
        Direction::Pull => Sign::Pull,
    }
}

/// The room of arrows and words where the bellows turn; any bar may begin a line, which says its direction anew.
pub(super) fn demands(score: &Score, style: &EngravingStyle, letters: &Lettering, all: &mut Vec<Demand>) {
    let Some(plan) = score.plan else { return };
    let width = |direction| sign_width(style, letters, direction);
    if width(Direction::Push) <= 0.0 {
        return;
    }
    let arrows = style.signs.direction == DirectionLook::Arrows;
    let half = letters.head(HeadShape::Oval, 2).width.raw() / 2.0;
    let mut before = None;
    for (bar, written) in score.tune.bars.iter().enumerate() {
        let mut opens = arrows;
        for event in &written.events {
            let Some(note) = event.head().and_then(|id| plan.note(id)) else { continue };
            if opens || before != Some(note.direction) {
                // A sign begins over the first grace.
                let graces: usize = event.graces.len();
                let left = half + graces as f64 * GRACE;
                let right = (width(note.direction) - half).max(0.0) + apart(style);
                all.push(Demand { row: row::DIRECTION, bar, onset: event.onset, left, right });
            }
            opens = false;
            before = Some(note.direction);
        }
    }
}

/// Stretches of one direction: direction, left edge of the first head, its bar.
fn stretches(layout: &SystemLayout) -> Vec<(Direction, f64, usize)> {
    let mut all: Vec<(Direction, f64, usize)> = Vec::new();
    for column in &layout.columns {
        let Some(note) = planned(layout, column) else { continue };
        if all.last().is_none_or(|last| last.0 != note.direction) {
            let left = column.graces.first().map_or(column.x, |grace| grace.x);
            all.push((note.direction, left, column.bar));
        }
    }
    all
}

/// Where the band lies: pulls from the first head to the turn, or to the barline after which the line goes on with notes that
/// are never played after it, as between a first ending and a second.
fn pulls(layout: &SystemLayout) -> Vec<(f64, f64)> {
    let (mut all, mut open, mut before): (Vec<(f64, f64)>, Option<f64>, Option<&Column>) = Default::default();
    for column in &layout.columns {
        let Some(note) = planned(layout, column) else { continue };
        let left = column.graces.first().map_or(column.x, |grace| grace.x);
        let parted = before.filter(|before| never_follows(layout, before, column));
        if let Some(from) = open.filter(|_| parted.is_some() || note.direction == Direction::Push) {
            let barline = parted.and_then(|before| layout.bar_box(before.bar)).map(|room| room.barline);
            let turn = left - BAND_STOP;
            all.push((from, barline.map_or(turn, |barline| turn.min(barline))));
            open = None;
        }
        if note.direction == Direction::Pull {
            open = open.or(Some(left));
        }
        before = Some(column);
    }
    all.extend(open.map(|from| (from, layout.staff_right)));
    all
}

/// Whether a head in another bar is never played right after the one written before it.
fn never_follows(layout: &SystemLayout, before: &Column, column: &Column) -> bool {
    let played = column.head.and_then(|id| layout.score.plan?.elsewhere(id));
    before.bar != column.bar
        && played.is_some_and(|played| played.iter().all(|played| Some(played.note) != before.head))
}

/// The foot of the lane: over all that is played, and over the bar number at the beginning of the line.
fn lane(layout: &SystemLayout, canvas: &Canvas, first: Direction) -> f64 {
    // The word stands on the lane's foot, its descenders hang from it.
    let (letters, style) = (canvas.letters(), layout.style);
    let text = letters.word(letters.label(Weight::Semibold, false), word(first, &style.language));
    let hangs = match style.signs.direction {
        DirectionLook::Band | DirectionLook::Words => -text.ink.bottom * sizes::size(style, Wording::Direction),
        DirectionLook::Arrows | DirectionLook::None => 0.0,
    };
    let number = (layout.staff_left, layout.prefix_right);
    let before = over(canvas, &[number], NUMBER_CLEAR + hangs, BAND_LEAST);
    over(canvas, &[(layout.prefix_right, layout.staff_right)], BAND_GAP, before)
}

/// Sets the direction in its lane.
pub(super) fn set(layout: &mut SystemLayout, canvas: &mut Canvas) {
    let stretches = stretches(layout);
    let Some(first) = stretches.first() else { return };
    let y = lane(layout, canvas, first.0);
    match layout.style.signs.direction {
        DirectionLook::None => return,
        DirectionLook::Band => {
            set_word(layout, canvas, usize::MAX, first.0, layout.staff_left, y);
            for (index, (left, right)) in pulls(layout).into_iter().enumerate() {
                set_band(layout, canvas, index, left - BAND_LEAD, right, y);
            }
        }
        look => {
            let lefts = lefts(layout, canvas, &stretches);
            for (index, ((direction, _, bar), left)) in stretches.iter().zip(lefts).enumerate() {
                canvas.bar = Some(*bar);
                if look == DirectionLook::Arrows {
                    arrow(canvas, Label::new(Kind::Direction, index), *direction, left, y, layout.style.marks);
                } else {
                    set_word(layout, canvas, index, *direction, left, y);
                }
            }
        }
    }
    canvas.bar = None;
    for (direction, _, _) in stretches {
        layout.signs.insert(sign(direction));
    }
}

/// Where arrows or words begin: over their heads, the first at the beginning of the line, none on another nor beyond the line.
fn lefts(layout: &SystemLayout, canvas: &Canvas, stretches: &[(Direction, f64, usize)]) -> Vec<f64> {
    let words = layout.style.signs.direction == DirectionLook::Words;
    let width = |direction| sign_width(layout.style, canvas.letters(), direction);
    let mut free = layout.staff_left;
    let mut lefts: Vec<f64> = Vec::with_capacity(stretches.len());
    for (index, (direction, left, _)) in stretches.iter().enumerate() {
        // A word says at the beginning of the line how the line begins, clear of the first turn.
        let x = if words && index == 0 { layout.staff_left } else { left.max(free) };
        free = x + width(*direction) + apart(layout.style);
        lefts.push(x);
    }
    let mut free = layout.width;
    for (left, (direction, ..)) in lefts.iter_mut().zip(stretches).rev() {
        *left = left.min(free - width(*direction)).max(layout.staff_left);
        free = *left - apart(layout.style);
    }
    lefts
}

/// Clear room between two arrows or two words.
fn apart(style: &EngravingStyle) -> f64 {
    if style.signs.direction == DirectionLook::Words { WORDS_APART } else { APART }
}

/// The width of an arrow or word; 0 for looks that have neither.
fn sign_width(style: &EngravingStyle, letters: &Lettering, direction: Direction) -> f64 {
    match style.signs.direction {
        DirectionLook::Arrows => ARROW * style.marks,
        DirectionLook::Words => {
            let face = letters.label(Weight::Semibold, false);
            letters.width(face, sizes::size(style, Wording::Direction), word(direction, &style.language))
        }
        DirectionLook::Band | DirectionLook::None => 0.0,
    }
}

/// One filled stretch, cut near the barlines so that each bar owns its part.
fn set_band(layout: &SystemLayout, canvas: &mut Canvas, index: usize, left: f64, right: f64, y: f64) {
    let label = Label::new(Kind::Direction, index);
    let last = layout.bars.len().saturating_sub(1);
    for (n, bar) in layout.bars.iter().enumerate() {
        let from = if n == 0 { left } else { left.max(bar.left) };
        let to = if n == last { right } else { right.min(layout.bars[n + 1].left + BAND_LAP) };
        if to > from {
            canvas.bar = Some(bar.bar);
            canvas.rect(label, Area::new(from, y, to, y + BAND));
        }
    }
}

fn set_word(layout: &SystemLayout, canvas: &mut Canvas, index: usize, direction: Direction, x: f64, y: f64) {
    let face = canvas.letters().label(Weight::Semibold, false);
    let size = sizes::size(layout.style, Wording::Direction);
    let text = word(direction, &layout.style.language);
    let x = x.min(layout.width - canvas.letters().width(face, size, text));
    canvas.text(Label::new(Kind::Direction, index), face, size, text, x, y);
}

/// An arrow: to the right for the pull (opening), to the left for the push.
pub(in crate::engrave) fn arrow(
    canvas: &mut Canvas,
    label: Label,
    direction: Direction,
    x: f64,
    y: f64,
    scale: f64,
) -> Area {
    let (length, wing, half) = (ARROW * scale, 0.45 * scale, ARROW_LINE * scale / 2.0);
    let turn = |px: f64| if direction == Direction::Pull { x + px } else { x + length - px };
    let neck = length - 0.8 * scale;
    let corners = [
        (0.0, wing - half),
        (neck, wing - half),
        (neck, 0.0),
        (length, wing),
        (neck, 2.0 * wing),
        (neck, wing + half),
        (0.0, wing + half),
    ];
    canvas.fill(label, Path::polygon(&corners.map(|(px, py)| at(turn(px), y + py))))
}

/// The words of an air point.
pub(in crate::engrave) fn air_word(air: Air, language: &str) -> &'static str {
    match (air, language.starts_with("fr")) {
        (Air::Open, false) => "air in",
        (Air::Close, false) => "air out",
        (Air::Open, true) => "air : ouvrir",
        (Air::Close, true) => "air : fermer",
    }
}

/// Sets the air points: a caret between two notes, or on a rest, with its words over it.
pub(super) fn set_air(layout: &mut SystemLayout, canvas: &mut Canvas) {
    let Some(plan) = layout.score.plan else { return };
    let face = canvas.letters().label(Weight::Regular, false);
    let size = sizes::size(layout.style, Wording::Air);
    for point in &plan.bellows.air {
        let Some(index) = layout.columns.iter().position(|column| column.head == Some(point.after)) else { continue };
        let column = &layout.columns[index];
        let x = air_at(layout, index);
        let text = air_word(point.air, &layout.style.language);
        let width = canvas.letters().width(face, size, text);
        let left = (x - width / 2.0).clamp(layout.staff_left, (layout.staff_right - width).max(layout.staff_left));
        // Nothing beside the words may read as one with them: a finger least of all.
        let y = over(canvas, &[(left - AIR_APART, left + width + AIR_APART)], 0.5, 4.7);
        canvas.bar = Some(column.bar);
        let over = caret(canvas, Label::new(Kind::Air, column.number), x, y, layout.style.marks);
        canvas.text(Label::new(Kind::Air, column.number), face, size, text, left, over);
        layout.signs.insert(match point.air {
            Air::Open => Sign::AirOpen,
            Air::Close => Sign::AirClose,
        });
    }
    canvas.bar = None;
}

/// Where the air point after a column stands: on the rest that follows it, which is the time for it; else just before the next
/// note or the barline.
fn air_at(layout: &SystemLayout, index: usize) -> f64 {
    let column = &layout.columns[index];
    let next = layout.columns.get(index + 1);
    if let Some(rest) = next.filter(|next| next.head.is_none()) {
        return rest.centre();
    }
    let barline = layout.bar_box(column.bar).map_or(column.right, |room| room.barline);
    let left = |next: &Column| next.graces.first().map_or(next.x, |grace| grace.x);
    let edge = next.filter(|next| next.bar == column.bar).map_or(barline, left);
    f64::midpoint(column.right, edge).max(edge - AIR_BEFORE)
}

/// A small caret whose tip points down at (`x`, `y`), wider and heavier where marks are larger; gives the baseline of its
/// words.
pub(in crate::engrave) fn caret(canvas: &mut Canvas, label: Label, x: f64, y: f64, marks: f64) -> f64 {
    let (half, line) = (CARET.0 * marks, CARET.1 * marks.min(1.5));
    let path = Path::open(&[at(x - half, y + CARET_HEIGHT), at(x, y), at(x + half, y + CARET_HEIGHT)]);
    canvas.stroke(label, path, line, None);
    y + OVER_CARET
}
