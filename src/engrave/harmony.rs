//! Chord symbols over the staff, with sharps and flats of the music font.
//!
//! Source: left edge over the left edge of the head, one baseline a line (E. Gould, *Behind Bars*, from memory); sizes are
//! our own.

use super::canvas::{Canvas, Kind, Label, ink_of};
use super::contract::Sign;
use super::job::Job;
use super::lanes;
use super::layout::{Demand, SystemLayout};
use super::sizes::{self, Wording};
use crate::font::{FaceId, Weight};
use crate::style::LeftLook;
use crate::tune::ChordSymbol;

/// What follows the root is so much smaller.
pub(super) const SUFFIX: f64 = 0.8;
/// Accidentals against type size 1: the music font's em is four spaces.
const SIGN: f64 = 0.3;
/// Clear room on both sides of an accidental, in type sizes.
const SIGN_APART: f64 = 0.06;
/// Where accidentals stand over the baseline, in type sizes: a sharp spans the capital, a flat stands on the baseline.
const SHARP_HIGH: f64 = 0.33;
const FLAT_HIGH: f64 = 0.22;
/// Clear distance from ink below; the baseline's least height.
const GAP: f64 = 0.6;
const LOWEST: f64 = 5.4;
/// Between two symbols.
const APART: f64 = 0.9;
/// Row number of demands, apart from verses and lanes.
const ROW: u8 = 24;

/// Whether symbols are shown: wanted by the look, and not said by the left hand already.
fn shown(job: &Job) -> bool {
    let said = job.style.signs.left != LeftLook::None
        && job.score.plan.is_some_and(|plan| plan.left.iter().any(|press| !press.dropped));
    job.style.signs.chord_symbols && !said
}

/// A part of a symbol: text at a size, or a sign of the music font.
enum Part<'a> {
    Text(&'a str, f64),
    Sign(&'static str),
}

/// Splits `Bbm7/F#` into letters, signs and the rest.
fn parts(symbol: &ChordSymbol) -> Vec<Part<'_>> {
    let text = symbol.text.as_str();
    if symbol.root.is_none() {
        return vec![Part::Text(text, SUFFIX)];
    }
    let mut parts = Vec::new();
    let (chord, bass) = match text.split_once('/') {
        Some((chord, bass)) => (chord, Some(bass)),
        None => (text, None),
    };
    spell(chord, 1.0, &mut parts);
    if let Some(bass) = bass {
        parts.push(Part::Text("/", 1.0));
        spell(bass, 1.0, &mut parts);
    }
    parts
}

fn spell<'a>(text: &'a str, size: f64, parts: &mut Vec<Part<'a>>) {
    let root = text.char_indices().nth(1).map_or(text.len(), |(at, _)| at);
    parts.push(Part::Text(&text[..root], size));
    let mut rest = &text[root..];
    while let Some(sign) = rest.chars().next() {
        let name = match sign {
            '#' | '♯' => "accidentalSharp",
            'b' | '♭' => "accidentalFlat",
            _ => break,
        };
        parts.push(Part::Sign(name));
        rest = &rest[sign.len_utf8()..];
    }
    // Signs inside the rest (`7b9`) too: a small b before a number is no letter.
    while let Some((at, sign)) = rest.char_indices().find(|(at, sign)| {
        let number = rest[at + sign.len_utf8()..].starts_with(|next: char| next.is_ascii_digit());
        matches!(sign, '#' | '♯' | '♭') || *sign == 'b' && number
    }) {
        if at > 0 {
            parts.push(Part::Text(&rest[..at], SUFFIX));
        }
        parts.push(Part::Sign(if matches!(sign, '♭' | 'b') { "accidentalFlat" } else { "accidentalSharp" }));
        rest = &rest[at + sign.len_utf8()..];
    }
    if !rest.is_empty() {
        parts.push(Part::Text(rest, SUFFIX));
    }
}

fn face(job: &Job) -> FaceId {
    job.letters.label(Weight::Semibold, false)
}

fn size(job: &Job) -> f64 {
    job.size(Wording::ChordSymbol)
}

/// The type size of a part that is so much smaller than the root.
fn part_size(job: &Job, scale: f64) -> f64 {
    (size(job) * scale).max(sizes::least(job.style))
}

/// Walks over the parts: calls `put` with each part and its x from the symbol's left edge; gives the width.
fn walk<'s>(job: &Job, symbol: &'s ChordSymbol, mut put: impl FnMut(&Part<'s>, f64)) -> f64 {
    let size = size(job);
    let mut x = 0.0;
    for part in parts(symbol) {
        match &part {
            Part::Text(text, scale) => {
                put(&part, x);
                x += job.letters.width(face(job), part_size(job, *scale), text);
            }
            Part::Sign(name) => {
                x += SIGN_APART * size;
                put(&part, x);
                x += ink_of(job.music().glyph(name)).right * size * SIGN + SIGN_APART * size;
            }
        }
    }
    x
}

/// The room that symbols need.
pub(super) fn demands(job: &Job, all: &mut Vec<Demand>) {
    if !shown(job) {
        return;
    }
    let half = job.music().glyph("noteheadBlack").ink.max.x.raw() / 2.0;
    for (index, bar) in job.score.tune.bars.iter().enumerate() {
        for event in bar.events.iter().filter(|event| !event.chord_symbols.is_empty()) {
            let width = event.chord_symbols.iter().map(|symbol| walk(job, symbol, |_, _| {}) + APART).sum::<f64>();
            all.push(Demand { row: ROW, bar: index, onset: event.onset, left: half, right: width - half });
        }
    }
}

/// Sets the symbols of a line.
pub(super) fn set(job: &Job, layout: &mut SystemLayout, canvas: &mut Canvas) {
    if !shown(job) {
        return;
    }
    let mut spans = Vec::new();
    for column in &layout.columns {
        let event = &job.score.tune.bars[column.bar].events[column.event];
        let mut x = column.x;
        if event.chord_symbols.is_empty() {
            continue;
        }
        // A symbol over a bar rest belongs to the bar's beginning.
        if let Some(room) =
            layout.bar_box(column.bar).filter(|room| room.last == room.first + 1 && column.head.is_none())
        {
            x = room.music + 1.0;
        }
        for symbol in &event.chord_symbols {
            let width = walk(job, symbol, |_, _| {});
            spans.push((column.bar, column.number, x, width, symbol));
            x += width + APART;
        }
    }
    if spans.is_empty() {
        return;
    }
    let lowest = LOWEST.max(lanes::top(canvas) + GAP);
    let baseline = spans
        .iter()
        .filter_map(|(_, _, x, width, _)| canvas.upper.reach(*x, x + width))
        .fold(lowest, |y, reach| y.max(reach + GAP));
    let size = size(job);
    for (bar, number, x, _, symbol) in spans {
        canvas.bar = Some(bar);
        let label = Label::new(Kind::ChordSymbol, number);
        let mut placed = Vec::new();
        walk(job, symbol, |part, dx| {
            placed.push(match part {
                Part::Text(text, scale) => (Some(*text), "", *scale, dx),
                Part::Sign(name) => (None, *name, 1.0, dx),
            });
        });
        for (text, name, scale, dx) in placed {
            match text {
                Some(text) => canvas.text(label, face(job), part_size(job, scale), text, x + dx, baseline),
                None => {
                    let high = if name == "accidentalFlat" { FLAT_HIGH } else { SHARP_HIGH };
                    canvas.glyph(label, name, x + dx, baseline + high * size, size * SIGN)
                }
            };
        }
    }
    layout.signs.insert(Sign::ChordSymbol);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tune::{ChordQuality, PitchClass, Step};

    fn spelt(text: &str) -> String {
        let symbol = ChordSymbol {
            text: text.into(),
            root: Some(PitchClass { step: Step::C, alter: 0 }),
            quality: ChordQuality::Major,
            bass: None,
        };
        let part = |part: &Part<'_>| match part {
            Part::Text(text, _) => (*text).to_owned(),
            Part::Sign("accidentalFlat") => "♭".to_owned(),
            Part::Sign(_) => "♯".to_owned(),
        };
        parts(&symbol).iter().map(part).collect()
    }

    #[test]
    fn sharps_and_flats_are_signs_wherever_they_stand() {
        for (typed, set) in [
            ("Bbm7", "B♭m7"),
            ("D7b9", "D7♭9"),
            ("Cm7b5", "Cm7♭5"),
            ("F#7#11", "F♯7♯11"),
            ("D/F#", "D/F♯"),
            ("Ebsus4", "E♭sus4"),
        ] {
            assert_eq!(spelt(typed), set);
        }
    }
}
