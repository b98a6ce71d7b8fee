//! The lanes that only our pages have: fingers, places, air and direction above the staff; hold bars and button numbers
//! below it; the left hand and the counting under the words.
//!
//! Takes a system with its columns placed and a canvas that holds the ink so far; each lane stands clear of it, at one
//! height a system, and in one order along a piece. Sizes are our own, judged on the printed page.

mod counting;
mod direction;
mod fingers;
mod hold;
mod left;
#[cfg(test)]
mod tests;

use super::canvas::{Canvas, Ink, Kind};
use super::figure::Figure;
use super::job::Job;
use super::layout::{Column, Demand, SystemLayout};
use crate::fingering::PlannedNote;
use crate::tune::NoteId;

/// The drawing of single signs, for the key.
pub(super) mod signs {
    pub(in crate::engrave) use super::direction::{BAND, air_word, arrow, caret, word};
    pub(in crate::engrave) use super::fingers::{PlaceSizes, digit, shape_of, spoken};
    pub(in crate::engrave) use super::hold::{BAR, ButtonNumber, bar};
    pub(in crate::engrave) use super::left::{HOLD_CLEAR, HOLD_HIGH, STEM_GAP, hold, stem};
}

/// Numbers of the lanes' rows, apart from the numbers that words and chord symbols use.
mod row {
    pub(super) const FINGER: u8 = 32;
    pub(super) const PLACE: u8 = 33;
    pub(super) const BUTTON: u8 = 34;
    pub(super) const CHORD: u8 = 35;
    pub(super) const BASS: u8 = 36;
    pub(super) const COUNT: u8 = 37;
    pub(super) const DIRECTION: u8 = 38;
}

/// Clear room between neighbours of one row: a photocopy must not join them.
const APART: f64 = 0.3;
/// Clear room between two fingers, and between two button numbers, some of which are boxed, growing with the marks: at arm's
/// length two close figures are one number (judged on the page).
const FINGERS_APART: f64 = 0.5;
const BUTTONS_APART: f64 = 0.5;
/// Clear room over the left hand and the counting, under button numbers besides: two rows of small signs must not read as one.
const UNDER_BUTTONS: f64 = 0.3;

/// Half the width of the widest figure over or under a head or a grace: finger, button number; `None` where none is shown.
pub(super) fn half_figure(job: &Job, id: NoteId, grace: bool) -> Option<f64> {
    let (finger, button) = (fingers::half_width(job, id, grace), hold::half_button(job, id));
    finger.into_iter().chain(button).reduce(f64::max)
}

/// The room that items in lanes need beside each other; `figures` in written order.
pub(super) fn demands(job: &Job, figures: &[Figure]) -> Vec<Demand> {
    let Job { score, style, letters } = *job;
    let mut all = Vec::new();
    fingers::demands(job, figures, &mut all);
    hold::demands(job, figures, &mut all);
    left::demands(score, style, letters, &mut all);
    counting::demands(score, style, letters, &mut all);
    direction::demands(score, style, letters, &mut all);
    all
}

/// Sets the lanes next to the staff: fingers, places, air and direction above; hold bars and button numbers below.
pub(super) fn near(layout: &mut SystemLayout, canvas: &mut Canvas) {
    fingers::set(layout, canvas);
    direction::set_air(layout, canvas);
    direction::set(layout, canvas);
    hold::set(layout, canvas);
    hold::set_buttons(layout, canvas);
}

/// Sets the lanes outside the sung words: the left hand, counting.
pub(super) fn far(layout: &mut SystemLayout, canvas: &mut Canvas) {
    left::set(layout, canvas);
    counting::set(layout, canvas);
}

/// The top of the lanes above the staff. Rows that belong outside them stand over it all along the line, not only where a
/// lane happens to have ink under one of their items, so that rows never change places.
pub(super) fn top(canvas: &Canvas) -> f64 {
    let lane = |kind| matches!(kind, Kind::Finger | Kind::Place | Kind::Direction);
    canvas.inks().iter().filter(|ink| lane(ink.label.kind)).map(|ink| ink.area.top).fold(0.0, f64::max)
}

/// The bottom of what the left hand and the counting stand under all along the line. A line that holds a chord must not lie
/// level with a bar that holds a button, nor a letter with a tuplet's figure or a beam: side by side the two read as one.
fn under_rows(canvas: &Canvas) -> f64 {
    let bottom = |ink: &Ink| match ink.label.kind {
        Kind::HoldBar | Kind::Tuplet | Kind::Beam => Some(ink.area.bottom),
        Kind::Button => Some(ink.area.bottom - UNDER_BUTTONS),
        _ => None,
    };
    canvas.inks().iter().filter_map(bottom).fold(0.0, f64::min)
}

/// White between the staff and the highest letter of the left hand, in staff spaces.
pub(super) fn to_letters(canvas: &Canvas) -> Option<f64> {
    let letters = canvas.inks().iter().filter(|ink| ink.label.kind == Kind::Left);
    letters.map(|ink| -ink.area.top).reduce(f64::min)
}

/// The decision for a column's head.
fn planned<'a>(layout: &SystemLayout<'a>, column: &Column) -> Option<&'a PlannedNote> {
    layout.score.plan?.note(column.head?)
}

/// The baseline of a row above: its items (left, right) stand `gap` over the ink there, and never lower than `least`.
fn over(canvas: &Canvas, spans: &[(f64, f64)], gap: f64, least: f64) -> f64 {
    spans
        .iter()
        .filter_map(|(left, right)| canvas.upper.reach(*left, *right))
        .fold(least, |y, reach| y.max(reach + gap))
}

/// The top of a row below: its items stand `gap` under the ink there, and never higher than `most`.
fn under(canvas: &Canvas, spans: &[(f64, f64)], gap: f64, most: f64) -> f64 {
    spans.iter().filter_map(|(left, right)| canvas.lower.reach(*left, *right)).fold(most, |y, reach| y.min(reach - gap))
}
