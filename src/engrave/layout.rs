//! One system with every column placed, before and while its ink is set: what the lanes read.
//!
//! All lengths are plain numbers of staff spaces: x from the line's left edge, y upwards from the bottom staff line.

use super::contract::{Score, Sign};
use crate::style::EngravingStyle;
use crate::tune::{Duration, NoteId, Onset};
use std::collections::BTreeSet;

/// Stem up, stem down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum StemWay {
    /// Right of the head, upwards.
    Up,
    /// Left of the head, downwards.
    Down,
}

/// A grace note, placed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct GraceAt {
    /// Which.
    pub(super) id: NoteId,
    /// Left edge of its head.
    pub(super) x: f64,
    /// Its head's width.
    pub(super) width: f64,
    /// Its highest head's y.
    pub(super) y: f64,
}

/// One head (a note or a chord) or rest, placed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Column {
    /// Index into the tune's bars.
    pub(super) bar: usize,
    /// Index into that bar's events.
    pub(super) event: usize,
    /// The event's number in the tune, from 0: the owner in ink labels.
    pub(super) number: usize,
    /// From the bar's start.
    pub(super) onset: Onset,
    /// How long it sounds.
    pub(super) duration: Duration,
    /// The head's id; `None` for rests.
    pub(super) head: Option<NoteId>,
    /// The column itself: left edge of a normal oval head on the normal side of the stem, or of the rest.
    pub(super) x: f64,
    /// Left edge of the head as drawn (shapes differ in width and meet at the stem); of a chord, the column.
    pub(super) head_x: f64,
    /// The width of that head or rest.
    pub(super) width: f64,
    /// The right edge of the event's heads, displaced ones included.
    pub(super) right: f64,
    /// The y of each pitch's head, lowest first; empty for rests.
    pub(super) ys: Vec<f64>,
    /// The stem it has (or would have, for whole notes).
    pub(super) stem: StemWay,
    /// Its graces, left to right.
    pub(super) graces: Vec<GraceAt>,
}

impl Column {
    /// The middle of the head or rest.
    pub(super) fn centre(&self) -> f64 {
        self.head_x + self.width / 2.0
    }
}

/// A bar of the system.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct BarBox {
    /// Index into the tune's bars.
    pub(super) bar: usize,
    /// Where the bar's own room begins: the right edge of the barline before it, or of clef, key and metre.
    pub(super) left: f64,
    /// Where music may begin: after a repeat sign, key or metre at its start.
    pub(super) music: f64,
    /// The left edge of its right barline.
    pub(super) barline: f64,
    /// The right edge of its right barline.
    pub(super) right: f64,
    /// Its columns in [`SystemLayout::columns`].
    pub(super) first: usize,
    /// One past the last.
    pub(super) last: usize,
}

/// One line of music, placed.
#[derive(Debug)]
pub(super) struct SystemLayout<'a> {
    /// What is engraved.
    pub(super) score: Score<'a>,
    /// The look.
    pub(super) style: &'a EngravingStyle,
    /// Heads and rests, left to right.
    pub(super) columns: Vec<Column>,
    /// Bars, left to right; at least one.
    pub(super) bars: Vec<BarBox>,
    /// The line's length.
    pub(super) width: f64,
    /// Where the staff begins.
    pub(super) staff_left: f64,
    /// Where the staff ends.
    pub(super) staff_right: f64,
    /// The right edge of clef, key and metre: where music may begin.
    pub(super) prefix_right: f64,
    /// Whether it is the tune's first line.
    pub(super) first: bool,
    /// Whether it is the tune's last line.
    pub(super) last: bool,
    /// The heads with fingers over them, so far.
    pub(super) fingers: Vec<NoteId>,
    /// The signs used so far.
    pub(super) signs: BTreeSet<Sign>,
}

impl SystemLayout<'_> {
    /// The middle of whatever starts at `onset` of a bar; between columns by time between its neighbours; `None` when the
    /// bar is not on this line.
    pub(super) fn x_at(&self, bar: usize, onset: Onset) -> Option<f64> {
        self.bars.iter().filter(|room| room.bar == bar).find_map(|room| self.x_within(room, onset))
    }
    /// The same in one bar, or in one part of a bar that is broken over lines.
    fn x_within(&self, room: &BarBox, onset: Onset) -> Option<f64> {
        let columns = &self.columns[room.first..room.last];
        let after = columns.partition_point(|column| column.onset <= onset);
        let Some(before) = after.checked_sub(1).map(|i| &columns[i]) else {
            // What sounds before the first column of a later part stands on the line before.
            return columns.first().is_none_or(|column| column.event == 0).then_some(room.music);
        };
        let events = &self.score.tune.bars[room.bar].events;
        let goes_on = after == columns.len() && before.event + 1 < events.len();
        if goes_on && onset >= before.onset + before.duration && columns.len() < events.len() {
            return None;
        }
        // A bar rest stands in the middle of the bar; its time still begins at the left.
        let start =
            |column: &Column| if columns.len() == 1 && column.head.is_none() { room.music } else { column.centre() };
        if before.onset == onset {
            return Some(start(before));
        }
        let next = columns.get(after).map_or(room.barline, Column::centre);
        let part = (onset - before.onset).over(before.duration).to_f64().clamp(0.0, 1.0);
        Some(start(before) + (next - start(before)) * part)
    }
    /// The place of a bar.
    pub(super) fn bar_box(&self, bar: usize) -> Option<&BarBox> {
        self.bars.iter().find(|room| room.bar == bar)
    }
}

/// Something in a row outside the staff that needs room: neighbours of one row must not touch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Demand {
    /// Which row; each row has its own number.
    pub(super) row: u8,
    /// Index into the tune's bars.
    pub(super) bar: usize,
    /// From the bar's start: what it stands at, as in [`SystemLayout::x_at`].
    pub(super) onset: Onset,
    /// Room it needs left of that point.
    pub(super) left: f64,
    /// Room it needs right of that point.
    pub(super) right: f64,
}
