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
use crate::tune::{ChordSymbol, Event, SymbolPart};

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

/// Which symbols are shown, if the look wants them: all, or those alone that the left hand does not say already, since no chord
/// was read in them.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Shown {
    All,
    Unread,
}

fn shown(job: &Job) -> Option<Shown> {
    let said = job.style.signs.left != LeftLook::None
        && job.score.plan.is_some_and(|plan| plan.left.iter().any(|press| !press.dropped));
    job.style.signs.chord_symbols.then_some(if said { Shown::Unread } else { Shown::All })
}

/// The symbols of a head or rest that are shown.
fn symbols(event: &Event, shown: Shown) -> impl Iterator<Item = &ChordSymbol> {
    let unread = |symbol: &ChordSymbol| symbol.root.is_none() && !ChordSymbol::is_silence(&symbol.text);
    event.chord_symbols.iter().filter(move |symbol| shown == Shown::All || unread(symbol))
}

/// A part of a symbol: text at a size, or a sign of the music font beside letters of a size.
enum Part<'a> {
    Text(&'a str, f64),
    Sign(&'static str, f64),
}

/// Splits `Bbm7/F#` into letters, signs and the rest. Another chord in brackets is as small as what follows a root.
fn parts(symbol: &ChordSymbol) -> Vec<Part<'_>> {
    let mut parts = Vec::new();
    let mut size = 1.0;
    for part in symbol.parts() {
        match part {
            SymbolPart::Root(_, written) => spell(written, size, &mut parts),
            SymbolPart::Kind(kind) => spell_kind(kind, &mut parts),
            SymbolPart::Bass(_, written) => {
                parts.push(Part::Text("/", size));
                spell(written, size, &mut parts);
            }
            SymbolPart::Between(text) => {
                size = SUFFIX;
                parts.push(Part::Text(text, SUFFIX));
            }
        }
    }
    if parts.is_empty() {
        parts.push(Part::Text(&symbol.text, SUFFIX));
    }
    parts
}

/// The music font's name of a sign that is typed as a letter or as itself.
const fn sign_of(typed: char) -> Option<&'static str> {
    match typed {
        '#' | '♯' => Some("accidentalSharp"),
        'b' | '♭' => Some("accidentalFlat"),
        '♮' => Some("accidentalNatural"),
        _ => None,
    }
}

/// A note's name: its letter, and signs.
fn spell<'a>(name: &'a str, size: f64, parts: &mut Vec<Part<'a>>) {
    let letter = name.chars().next().map_or(0, char::len_utf8);
    parts.push(Part::Text(&name[..letter], size));
    parts.extend(name[letter..].chars().filter_map(sign_of).map(|sign| Part::Sign(sign, size)));
}

/// What follows a root, with signs inside it (`7b9`) too: a small b before a number is no letter.
fn spell_kind<'a>(kind: &'a str, parts: &mut Vec<Part<'a>>) {
    let mut rest = kind;
    while let Some((at, sign)) = rest.char_indices().find(|(at, sign)| {
        let number = rest[at + sign.len_utf8()..].starts_with(|next: char| next.is_ascii_digit());
        *sign != 'b' && sign_of(*sign).is_some() || *sign == 'b' && number
    }) {
        if at > 0 {
            parts.push(Part::Text(&rest[..at], SUFFIX));
        }
        parts.extend(sign_of(sign).map(|sign| Part::Sign(sign, 1.0)));
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
            Part::Sign(name, scale) => {
                let size = size * scale;
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
    let Some(shown) = shown(job) else { return };
    let half = job.music().glyph("noteheadBlack").ink.max.x.raw() / 2.0;
    for (index, bar) in job.score.tune.bars.iter().enumerate() {
        for event in bar.events.iter().filter(|event| symbols(event, shown).next().is_some()) {
            let width = symbols(event, shown).map(|symbol| walk(job, symbol, |_, _| {}) + APART).sum::<f64>();
            all.push(Demand { row: ROW, bar: index, onset: event.onset, left: half, right: width - half });
        }
    }
}

/// Sets the symbols of a line.
pub(super) fn set(job: &Job, layout: &mut SystemLayout, canvas: &mut Canvas) {
    let Some(shown) = shown(job) else { return };
    let mut spans = Vec::new();
    for column in &layout.columns {
        let event = &job.score.tune.bars[column.bar].events[column.event];
        let mut x = column.x;
        if symbols(event, shown).next().is_none() {
            continue;
        }
        // A symbol over a bar rest belongs to the bar's beginning.
        if let Some(room) =
            layout.bar_box(column.bar).filter(|room| room.last == room.first + 1 && column.head.is_none())
        {
            x = room.music + 1.0;
        }
        for symbol in symbols(event, shown) {
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
                Part::Sign(name, scale) => (None, *name, *scale, dx),
            });
        });
        for (text, name, scale, dx) in placed {
            match text {
                Some(text) => canvas.text(label, face(job), part_size(job, scale), text, x + dx, baseline),
                None => {
                    let high = if name == "accidentalFlat" { FLAT_HIGH } else { SHARP_HIGH };
                    canvas.glyph(label, name, x + dx, baseline + high * size * scale, size * scale * SIGN)
                }
            };
        }
    }
    layout.signs.insert(Sign::ChordSymbol);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spelt(text: &str) -> String {
        let symbol = ChordSymbol::read(text);
        let part = |part: &Part<'_>| match part {
            Part::Text(text, _) => (*text).to_owned(),
            Part::Sign("accidentalFlat", _) => "♭".to_owned(),
            Part::Sign("accidentalNatural", _) => "♮".to_owned(),
            Part::Sign(..) => "♯".to_owned(),
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
            ("G(Bbm)", "G(B♭m)"),
            ("(Bb)", "(B♭)"),
        ] {
            assert_eq!(spelt(typed), set);
        }
        // A sign that faces for words lack is one of the music font's.
        assert!(parts(&ChordSymbol::read("G♮7")).iter().any(|part| matches!(part, Part::Sign("accidentalNatural", _))));
    }

    #[test]
    fn what_was_not_read_is_shown_beside_a_left_hand_too() {
        let mut event = Event::blank(crate::tune::Sounding::Rest { visible: true, whole_bar: false });
        event.chord_symbols = ["C", "(C)", "G ?", "N.C."].map(ChordSymbol::read).into_iter().collect();
        let texts = |shown| symbols(&event, shown).map(|symbol| symbol.text.as_str()).collect::<Vec<_>>().join(", ");
        assert_eq!(texts(Shown::Unread), "G ?");
        assert_eq!(texts(Shown::All), "C, (C), G ?, N.C.");
    }

    #[test]
    fn only_a_bass_is_as_large_as_the_root() {
        let large = |text: &str| -> String {
            let symbol = ChordSymbol::read(text);
            let parts = parts(&symbol);
            parts
                .iter()
                .filter(|part| matches!(part, Part::Text(_, 1.0)))
                .map(|part| match part {
                    Part::Text(text, _) => *text,
                    Part::Sign(..) => "",
                })
                .collect()
        };
        assert_eq!(large("C6/9"), "C");
        assert_eq!(large("Em(C/G)"), "E");
        assert_eq!(large("D7/F#"), "D/F");
    }
}
