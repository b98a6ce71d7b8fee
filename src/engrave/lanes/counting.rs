//! Counting syllables, the lowest lane.

use super::{row, under, under_rows};
use crate::engrave::Score;
use crate::engrave::canvas::{Canvas, Kind, Label};
use crate::engrave::contract::Sign;
use crate::engrave::layout::{Demand, SystemLayout};
use crate::engrave::lettering::Lettering;
use crate::engrave::sizes::{self, Wording};
use crate::font::Weight;
use crate::style::EngravingStyle;

/// Clear room between syllables, in type sizes: more than a word space, since each is a beat of its own (judged on the page).
const WORD_SPACE: f64 = 0.55;
/// Clear room over the lane, and its highest place.
const GAP: f64 = 0.7;
const MOST: f64 = -1.6;

/// The room of the syllables.
pub(super) fn demands(score: &Score, style: &EngravingStyle, letters: &Lettering, all: &mut Vec<Demand>) {
    if !style.signs.counting {
        return;
    }
    let face = letters.label(Weight::Regular, false);
    for count in score.counts {
        let size = sizes::size(style, Wording::Count);
        let half = (letters.width(face, size, &count.syllable) + WORD_SPACE * size) / 2.0;
        all.push(Demand { row: row::COUNT, bar: count.bar, onset: count.onset, left: half, right: half });
    }
}

/// Sets the counting.
pub(super) fn set(layout: &mut SystemLayout, canvas: &mut Canvas) {
    if !layout.style.signs.counting {
        return;
    }
    let face = canvas.letters().label(Weight::Regular, false);
    let size = sizes::size(layout.style, Wording::Count);
    let placed: Vec<(usize, &str, f64, f64)> = layout
        .score
        .counts
        .iter()
        .filter_map(|count| {
            let width = canvas.letters().width(face, size, &count.syllable);
            let x = layout.x_at(count.bar, count.onset)? - width / 2.0;
            Some((count.bar, count.syllable.as_str(), x, width))
        })
        .collect();
    let spans: Vec<_> = placed.iter().map(|(_, _, x, width)| (x - 0.1, x + width + 0.1)).collect();
    let cap = canvas.letters().cap_height(face) * size;
    let base = under(canvas, &spans, GAP, MOST.min(under_rows(canvas) - GAP)) - cap;
    for (index, (bar, text, x, _)) in placed.into_iter().enumerate() {
        canvas.bar = Some(bar);
        canvas.text(Label::new(Kind::Count, index), face, size, text, x, base);
        layout.signs.insert(Sign::Count);
    }
    canvas.bar = None;
}
