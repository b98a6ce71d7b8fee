//! The left hand under the music: chord letters over bass letters, each under its beat.
//!
//! Bass letters are bold capitals, chord letters small and regular, so that case alone never carries the meaning. A thin
//! stem shows a press that is not on a beat; a line shows one that is held; rests are gaps.

use super::{row, under, under_rows};
use crate::engrave::Score;
use crate::engrave::canvas::{Canvas, Kind, Label};
use crate::engrave::contract::Sign;
use crate::engrave::layout::{Demand, SystemLayout};
use crate::engrave::lettering::{Area, Lettering};
use crate::engrave::sizes::{self, Wording};
use crate::fingering::LeftPress;
use crate::font::{FaceId, Weight};
use crate::instrument::LeftKind;
use crate::style::{EngravingStyle, LeftLook};

/// Clear room between two letters: they are two presses and no word.
const LETTER_APART: f64 = 0.6;
/// Clear room over the chord line, and its highest place under the staff.
const LANE_GAP: f64 = 0.8;
const LANE_MOST: f64 = -1.6;
/// Clear room under the rows that the letters stand under all along the line.
const ROW_GAP: f64 = 0.4;
/// From the bottom of the chord letters to the top of the bass letters.
const LINE_GAP: f64 = 0.55;
/// Stems: thickness, height, clear room. A third of the tick of a replay, the other short stroke under a staff.
const STEM_LINE: f64 = 0.12;
const STEM_HEIGHT: f64 = 0.45;
pub(in crate::engrave) const STEM_GAP: f64 = 0.3;
/// Hold lines: thickness, clear room beside letters, shortest length worth drawing.
const HOLD_LINE: f64 = 0.16;
pub(in crate::engrave) const HOLD_CLEAR: f64 = 0.35;
const HOLD_LEAST: f64 = 0.8;
/// The height of a hold line against a capital's.
pub(in crate::engrave) const HOLD_HIGH: f64 = 0.38;

/// A letter's face: bold for a bass, regular for a chord.
fn face(letters: &Lettering, kind: LeftKind) -> FaceId {
    match kind {
        LeftKind::Bass => letters.label(Weight::Bold, false),
        LeftKind::Chord => letters.label(Weight::Regular, false),
    }
}

const fn row_of(kind: LeftKind, style: &EngravingStyle) -> u8 {
    match (kind, style.signs.left) {
        (LeftKind::Chord, LeftLook::TwoLines) => row::CHORD,
        _ => row::BASS,
    }
}

/// The room of the letters.
pub(super) fn demands(score: &Score, style: &EngravingStyle, letters: &Lettering, all: &mut Vec<Demand>) {
    let Some(plan) = score.plan.filter(|_| style.signs.left != LeftLook::None) else { return };
    let size = sizes::size(style, Wording::LeftHand);
    for press in plan.left.iter().filter(|press| !press.dropped) {
        let width = letters.width(face(letters, press.kind), size, &press.name);
        let half = (width + LETTER_APART) / 2.0;
        // On one line a chord that sounds with its bass stands after it.
        let right = beside(style, press, &plan.left).map_or(half, |bass| {
            let bass = letters.width(face(letters, bass.kind), size, &bass.name);
            bass / 2.0 + width + LETTER_APART * 1.5
        });
        let demand = Demand { row: row_of(press.kind, style), bar: press.bar, onset: press.onset, left: half, right };
        all.push(demand);
    }
}

/// The bass that a chord letter shares its onset and its line with.
fn beside<'p>(style: &EngravingStyle, press: &LeftPress, all: &'p [LeftPress]) -> Option<&'p LeftPress> {
    let shares = |other: &&LeftPress| {
        other.kind == LeftKind::Bass && !other.dropped && (other.bar, other.onset) == (press.bar, press.onset)
    };
    let chord = style.signs.left == LeftLook::OneLine && press.kind == LeftKind::Chord;
    all.iter().filter(|_| chord).find(shares)
}

/// A letter ready to be set.
struct Letter<'p> {
    press: &'p LeftPress,
    x: f64,
    width: f64,
}

/// Sets the left hand.
pub(super) fn set(layout: &mut SystemLayout, canvas: &mut Canvas) {
    let Some(plan) = layout.score.plan.filter(|_| layout.style.signs.left != LeftLook::None) else { return };
    let (Some(first), Some(last)) = (layout.bars.first(), layout.bars.last()) else { return };
    let size = sizes::size(layout.style, Wording::LeftHand);
    // The plan's presses stand by bar.
    let from = plan.left.partition_point(|press| press.bar < first.bar);
    let to = plan.left.partition_point(|press| press.bar <= last.bar);
    let letters: Vec<Letter> = plan.left[from..to.max(from)]
        .iter()
        .filter(|press| !press.dropped)
        .filter_map(|press| {
            let at = layout.x_at(press.bar, press.onset)?;
            let width = canvas.letters().width(face(canvas.letters(), press.kind), size, &press.name);
            let mut x = at - width / 2.0;
            if let Some(bass) = beside(layout.style, press, &plan.left) {
                let bass = canvas.letters().width(face(canvas.letters(), bass.kind), size, &bass.name);
                x = at + bass / 2.0 + LETTER_APART;
            }
            Some(Letter { press, x, width })
        })
        .collect();
    if letters.is_empty() {
        return;
    }
    let cap = canvas.letters().cap_height(face(canvas.letters(), LeftKind::Bass)) * size;
    let one_line = layout.style.signs.left == LeftLook::OneLine;
    let holds: Vec<_> = (0..letters.len()).map(|index| hold_span(layout, &letters, index, one_line)).collect();
    let around = letters.iter().map(|letter| (letter.x - 0.2, letter.x + letter.width + 0.2));
    let spans: Vec<_> = around.chain(holds.iter().flatten().copied()).collect();
    let stems = letters.iter().any(|letter| is_off_beat(layout, letter.press));
    let gap = LANE_GAP + if stems { STEM_HEIGHT } else { 0.0 };
    let clear = ROW_GAP + if stems { STEM_GAP + STEM_HEIGHT } else { 0.0 };
    let top = under(canvas, &spans, gap, LANE_MOST.min(under_rows(canvas) - clear));
    let chord_base = top - cap * 1.06;
    // Descenders of chord letters (g) need their room over the bass line.
    let descent = 0.22 * size;
    let bass_base = match layout.style.signs.left {
        LeftLook::TwoLines => chord_base - descent - LINE_GAP - cap,
        _ => chord_base,
    };
    for (index, letter) in letters.iter().enumerate() {
        let kind = letter.press.kind;
        let base = if kind == LeftKind::Bass { bass_base } else { chord_base };
        canvas.bar = Some(letter.press.bar);
        let label = Label::new(Kind::Left, index);
        canvas.text(label, face(canvas.letters(), kind), size, &letter.press.name, letter.x, base);
        layout.signs.insert(if kind == LeftKind::Bass { Sign::Bass } else { Sign::Chord });
        if is_off_beat(layout, letter.press) {
            stem(canvas, label, letter.x + letter.width / 2.0, base + cap + STEM_GAP);
            layout.signs.insert(Sign::LeftStem);
        }
        if let Some((from, to)) = holds[index] {
            hold(canvas, label, from, to, base + cap * HOLD_HIGH);
            layout.signs.insert(Sign::LeftHold);
        }
    }
    canvas.bar = None;
}

/// From where to where a letter's press is held on, if that is worth a line.
fn hold_span(layout: &SystemLayout, letters: &[Letter], index: usize, one_line: bool) -> Option<(f64, f64)> {
    let letter = &letters[index];
    if !is_long(layout, letter.press) {
        return None;
    }
    let next = letters[index + 1..]
        .iter()
        .find(|next| one_line || next.press.kind == letter.press.kind)
        .map_or(layout.staff_right, |next| next.x)
        .min(end_of(layout, letter.press));
    let (from, to) = (letter.x + letter.width + HOLD_CLEAR, next - HOLD_CLEAR);
    (to - from >= HOLD_LEAST).then_some((from, to))
}

/// A thin stem over a letter.
pub(in crate::engrave) fn stem(canvas: &mut Canvas, label: Label, x: f64, y: f64) -> Area {
    let half = STEM_LINE / 2.0;
    canvas.rect(label, Area::new(x - half, y, x + half, y + STEM_HEIGHT))
}

/// A line after a letter.
pub(in crate::engrave) fn hold(canvas: &mut Canvas, label: Label, from: f64, to: f64, y: f64) -> Area {
    let half = HOLD_LINE / 2.0;
    canvas.rect(label, Area::new(from, y - half, to, y + half))
}

/// Whether a press begins between beats.
fn is_off_beat(layout: &SystemLayout, press: &LeftPress) -> bool {
    let beat = layout.score.tune.meter_at(press.bar).beat();
    !press.onset.0.remainder(beat.0).is_zero()
}

/// Whether a press lasts longer than a beat.
fn is_long(layout: &SystemLayout, press: &LeftPress) -> bool {
    press.held || press.duration > layout.score.tune.meter_at(press.bar).beat()
}

/// Where a press ends on this system.
fn end_of(layout: &SystemLayout, press: &LeftPress) -> f64 {
    let mut bar = press.bar;
    let mut end = press.onset + press.duration;
    while let Some(written) = layout.score.tune.bars.get(bar) {
        if end.0 <= written.length.0 {
            break;
        }
        end = crate::tune::Onset(end.0 - written.length.0);
        bar += 1;
    }
    let Some(room) = layout.bar_box(bar) else { return layout.staff_right };
    let at_end = layout.score.tune.bars.get(bar).is_some_and(|written| end.0 >= written.length.0);
    if at_end { room.barline } else { layout.x_at(bar, end).unwrap_or(room.barline) }
}
