//! Sung words under the staff: verses, hyphens, extenders.
//!
//! Sources: syllables centred under their heads, those that begin a melisma at the head's left edge, hyphens spread evenly,
//! extenders to the right edge of the last head (E. Gould, *Behind Bars*, from memory); the gaps are our own.

use super::canvas::{Canvas, Kind, Label};
use super::job::Job;
use super::layout::{Demand, SystemLayout};
use super::lettering::Area;
use super::sizes::Wording;
use crate::font::{FaceId, Weight};
use crate::tune::{Event, Lyric, MOST_VERSES, Syllable};
use std::borrow::Cow;

/// The first baseline is at most this high.
const FIRST_LINE: f64 = -4.2;
/// Clear distance from ink above.
const GAP: f64 = 0.7;
/// From one verse's baseline to the next, in type sizes.
const LEADING: f64 = 1.15;
/// Between words, and around a hyphen, in type sizes.
const WORD_SPACE: f64 = 0.3;
const HYPHEN_ROOM: f64 = 0.32;
/// One hyphen for so much room.
const HYPHEN_EVERY: f64 = 9.0;
/// Hyphens are this wide and thick, in type sizes.
const HYPHEN: (f64, f64) = (0.2, 0.06);
/// The shortest extender that is drawn.
const SHORTEST_LINE: f64 = 1.0;
/// From a syllable to its extender.
const TO_LINE: f64 = 0.25;

fn size(job: &Job) -> f64 {
    job.size(Wording::Verse)
}

fn face(job: &Job) -> FaceId {
    job.letters.words(Weight::Regular, false)
}

/// A syllable as it is printed: a straight apostrophe beside a letter becomes the curly one, also where it opens a syllable,
/// since sung words leave letters out (`'ry`) more often than they quote.
pub fn printed(text: &str) -> Cow<'_, str> {
    let letter = |sign: Option<char>| sign.is_some_and(char::is_alphabetic);
    if !text.contains('\'') {
        return Cow::Borrowed(text);
    }
    let signs: Vec<char> = text.chars().collect();
    let beside = |at: usize| letter(at.checked_sub(1).map(|at| signs[at])) || letter(signs.get(at + 1).copied());
    let curly = |(at, sign): (usize, &char)| if *sign == '\'' && beside(at) { '’' } else { *sign };
    Cow::Owned(signs.iter().enumerate().map(curly).collect())
}

fn syllable(event: &Event, verse: usize) -> Option<&Lyric> {
    event.lyrics.get(verse).and_then(Option::as_ref)
}

fn verses(job: &Job) -> usize {
    let events = job.score.tune.bars.iter().flat_map(|bar| &bar.events);
    events.map(|event| event.lyrics.len()).max().unwrap_or(0).min(MOST_VERSES)
}

/// Whether the head after an event carries its syllable on.
fn carried_on(job: &Job, bar: usize, event: usize, verse: usize) -> bool {
    let bars = &job.score.tune.bars;
    let here = bars[bar].events[event + 1..].iter();
    let later = bars[bar + 1..].iter().take(1).flat_map(|bar| bar.events.iter());
    let next = here.chain(later).find(|event| event.head().is_some());
    next.and_then(|event| syllable(event, verse)).is_some_and(|lyric| lyric.held)
}

/// Left and right room of a syllable from its head's middle; `width` is the head's.
fn sides(job: &Job, lyric: &Lyric, melisma: bool, width: f64) -> (f64, f64) {
    let size = size(job);
    let text = printed(&lyric.text);
    let whole = job.letters.width(face(job), size, &text);
    if melisma {
        return (width / 2.0, whole - width / 2.0);
    }
    // Punctuation and opening quotes hang outside what is centred.
    let bare = text.trim_end_matches(|c: char| c.is_ascii_punctuation() || c == '’');
    let centred = if bare.is_empty() { whole } else { job.letters.width(face(job), size, bare) };
    (centred / 2.0, whole - centred / 2.0)
}

/// The room that syllables need, a row for each verse.
pub(super) fn demands(job: &Job, all: &mut Vec<Demand>) {
    let head = job.music().glyph("noteheadBlack").ink.max.x.raw();
    for verse in 0..verses(job) {
        for (index, bar) in job.score.tune.bars.iter().enumerate() {
            for (n, event) in bar.events.iter().enumerate() {
                let Some(lyric) = syllable(event, verse).filter(|lyric| !lyric.text.is_empty()) else { continue };
                let melisma = carried_on(job, index, n, verse);
                let (left, right) = sides(job, lyric, melisma, head);
                let after = match lyric.joint {
                    Syllable::Hyphen => HYPHEN_ROOM + HYPHEN.0,
                    Syllable::End => WORD_SPACE,
                };
                all.push(Demand {
                    row: u8::try_from(verse).unwrap_or(15),
                    bar: index,
                    onset: event.onset,
                    left,
                    right: right + after * size(job),
                });
            }
        }
    }
}

/// Where a syllable or its carrying on ended, while a verse is followed along a line.
#[derive(Clone, Copy)]
struct Open {
    right: f64,
    joint: Syllable,
    held_to: Option<f64>,
    number: usize,
    bar: usize,
}

/// Sets all verses of a line.
pub(super) fn set(job: &Job, layout: &SystemLayout, canvas: &mut Canvas) {
    let count = verses(job);
    let size = size(job);
    let face = face(job);
    let event = |index: usize| {
        let column = &layout.columns[index];
        &job.score.tune.bars[column.bar].events[column.event]
    };
    let sung = |verse: usize| (0..layout.columns.len()).any(|index| syllable(event(index), verse).is_some());
    let Some(last_verse) = (0..count).rev().find(|verse| sung(*verse)) else { return };
    // One baseline for the first verse: under all ink above any syllable of the line.
    let ascent = job.letters.cap_height(face) * size * 1.08;
    let mut top = FIRST_LINE + ascent;
    for verse in 0..=last_verse {
        for index in 0..layout.columns.len() {
            let Some(lyric) = syllable(event(index), verse) else { continue };
            let column = &layout.columns[index];
            let melisma = carried_on(job, column.bar, column.event, verse);
            let (left, right) = sides(job, lyric, melisma, column.width);
            let middle = column.centre();
            if let Some(reach) = canvas.lower.reach(middle - left, middle + right) {
                top = top.min(reach - GAP);
            }
        }
    }
    for verse in 0..=last_verse {
        let baseline = top - ascent - verse as f64 * LEADING * size;
        set_verse(job, layout, canvas, verse, baseline);
    }
}

fn set_verse(job: &Job, layout: &SystemLayout, canvas: &mut Canvas, verse: usize, baseline: f64) {
    let size = size(job);
    let face = face(job);
    let mut open: Option<Open> = before_line(job, layout, verse);
    for index in 0..layout.columns.len() {
        let column = &layout.columns[index];
        let event = &job.score.tune.bars[column.bar].events[column.event];
        let Some(lyric) = syllable(event, verse) else {
            // A head without syllable carries a divided word on, as a rest does not.
            continue;
        };
        if lyric.held && lyric.text.is_empty() {
            if let Some(open) = &mut open {
                open.held_to = Some(column.right);
            }
            continue;
        }
        let melisma = carried_on(job, column.bar, column.event, verse);
        let (left, _) = sides(job, lyric, melisma, column.width);
        let x = (column.centre() - left).max(0.0);
        if let Some(open) = open.take() {
            join(job, canvas, open, x, baseline);
        }
        canvas.bar = Some(column.bar);
        let label = Label::new(Kind::Words, column.number);
        if verse_begins(job, layout, verse, index) {
            hang_label(job, canvas, verse, x, baseline, label);
        }
        let text = printed(&lyric.text);
        canvas.text(label, face, size, &text, x, baseline);
        let width = job.letters.width(face, size, &text);
        open =
            Some(Open { right: x + width, joint: lyric.joint, held_to: None, number: column.number, bar: column.bar });
    }
    if let Some(open) = open {
        let goes_on = layout.columns.last().is_some_and(|column| carried_on(job, column.bar, column.event, verse));
        match open.joint {
            Syllable::Hyphen if !layout.last => {
                let end = layout.bars.last().map_or(layout.staff_right, |room| room.barline);
                join(job, canvas, open, end, baseline);
            }
            Syllable::End if goes_on => {
                let end = layout.bars.last().map_or(layout.staff_right, |room| room.barline) - 0.3;
                join(job, canvas, Open { held_to: Some(end), ..open }, f64::INFINITY, baseline);
            }
            _ => join(job, canvas, open, f64::INFINITY, baseline),
        }
    }
}

/// What of a verse is still going on when a line begins.
fn before_line(job: &Job, layout: &SystemLayout, verse: usize) -> Option<Open> {
    let first = layout.columns.first().filter(|_| !layout.first)?;
    let bars = &job.score.tune.bars;
    let earlier = bars[first.bar].events[..first.event].iter().rev();
    let before = bars[..first.bar].iter().rev().flat_map(|bar| bar.events.iter().rev());
    let lyric =
        earlier.chain(before).filter_map(|event| syllable(event, verse)).find(|lyric| !lyric.text.is_empty())?;
    let left = layout.bars.first().map_or(0.0, |room| room.music);
    let right = if lyric.joint == Syllable::Hyphen { left - 1.2 } else { left };
    Some(Open { right, joint: lyric.joint, held_to: None, number: first.number, bar: first.bar })
}

/// Draws hyphens or the extender from a syllable to where the next one begins.
fn join(job: &Job, canvas: &mut Canvas, open: Open, next: f64, baseline: f64) {
    let size = size(job);
    canvas.bar = Some(open.bar);
    let label = Label::new(Kind::Words, open.number);
    match open.joint {
        Syllable::Hyphen if next.is_finite() => {
            let (width, thick) = (HYPHEN.0 * size, HYPHEN.1 * size);
            let room = next - open.right;
            if room < width + 0.1 * size {
                return;
            }
            let count = (room / HYPHEN_EVERY).round().max(1.0);
            let y = baseline + job.letters.x_height(face(job)) * size * 0.5;
            for n in 0..count as usize {
                let middle = open.right + room * (n as f64 + 0.5) / count;
                canvas.rect(
                    label,
                    Area::new(middle - width / 2.0, y - thick / 2.0, middle + width / 2.0, y + thick / 2.0),
                );
            }
        }
        Syllable::Hyphen => {}
        Syllable::End => {
            let Some(to) = open.held_to else { return };
            let from = open.right + TO_LINE;
            let to = to.min(next - WORD_SPACE * size);
            if to - from >= SHORTEST_LINE {
                let thick = job.music().defaults.lyric_line.raw() * job.lines();
                canvas.rect(label, Area::new(from, baseline, to, baseline + thick));
            }
        }
    }
}

/// Whether a column has the first syllable of a verse in the tune.
fn verse_begins(job: &Job, layout: &SystemLayout, verse: usize, index: usize) -> bool {
    let here = &layout.columns[index];
    let bars = &job.score.tune.bars;
    let first = bars.iter().enumerate().find_map(|(n, bar)| {
        bar.events.iter().position(|event| syllable(event, verse).is_some_and(|l| !l.text.is_empty())).map(|e| (n, e))
    });
    first == Some((here.bar, here.event))
}

fn hang_label(job: &Job, canvas: &mut Canvas, verse: usize, x: f64, baseline: f64, label: Label) {
    let Some(text) = job.score.tune.verse_labels.get(verse).filter(|text| !text.is_empty()) else { return };
    let size = size(job);
    let width = job.letters.width(face(job), size, text);
    canvas.text(label, face(job), size, text, (x - width - 0.35 * size).max(0.0), baseline);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn apostrophes_of_sung_words_are_curly() {
        for (typed, set) in
            [("ney's", "ney’s"), ("'ry", "’ry"), ("o'er", "o’er"), ("sailors'", "sailors’"), ("5'", "5'")]
        {
            assert_eq!(printed(typed), set);
        }
    }
}
