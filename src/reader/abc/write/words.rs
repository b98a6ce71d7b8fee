//! Words under a line of music code.
//!
//! Source: ABC 2.1 §5.

use std::ops::Range;

use super::super::text::encode;
use crate::tune::{Bar, Event, Lyric, Syllable, Tune};

/// The last bar under which words stand.
pub(super) fn last_bar_with_words(tune: &Tune) -> Option<usize> {
    tune.bars.iter().rposition(|bar| bar.events.iter().any(|event| !event.lyrics.is_empty()))
}

/// Writes the `w:` lines of some bars, one a verse; a line of nothing where other lines have words.
pub(super) fn under(tune: &Tune, bars: Range<usize>, out: &mut String) {
    let from = bars.start;
    let heads: Vec<&Event> =
        tune.bars[bars].iter().flat_map(|bar| &bar.events).filter(|event| event.head().is_some()).collect();
    let verses = heads.iter().map(|event| event.lyrics.len()).max().unwrap_or(0).max(1);
    for verse in 0..verses {
        // The label stands where the words of its verse begin.
        let begun = |bar: &Bar| bar.events.iter().any(|event| matches!(event.lyrics.get(verse), Some(Some(_))));
        let label = tune.verse_labels.get(verse).filter(|label| !label.is_empty());
        let label = label.filter(|_| !tune.bars[..from].iter().any(begun));
        let line = line(&heads, verse, label.map(String::as_str));
        out.push_str(&format!("w:{line}\n"));
    }
}

fn line(heads: &[&Event], verse: usize, label: Option<&str>) -> String {
    let mut out = String::new();
    // Stars at the end say nothing, but a line needs one sign.
    let words = heads.iter().rposition(|event| matches!(event.lyrics.get(verse), Some(Some(_)))).map_or(1, |at| at + 1);
    let mut label = label;
    // Whether a hyphen that divides a word stands last; one of the syllable's own (`\-`) does not divide.
    let mut divided = false;
    for event in &heads[..words.min(heads.len())] {
        let lyric = event.lyrics.get(verse).and_then(Option::as_ref);
        match lyric {
            None => out.push_str(if out.ends_with(['*', ' ']) || out.is_empty() { "*" } else { " *" }),
            Some(lyric) => syllable(lyric, label.take(), divided, &mut out),
        }
        divided = lyric.is_some_and(|lyric| lyric.joint == Syllable::Hyphen);
    }
    out
}

fn syllable(lyric: &Lyric, label: Option<&str>, divided: bool, out: &mut String) {
    if lyric.held {
        out.push(if lyric.joint == Syllable::Hyphen { '-' } else { '_' });
        return;
    }
    if !(out.is_empty() || divided) {
        out.push(' ');
    }
    // A figure with a blank at the beginning of a line would be taken for a label.
    let blank = if out.is_empty() && label.is_none() { "\\u0020" } else { "~" };
    if let Some(label) = label {
        out.push_str(&encode(label, false));
        out.push('~');
    }
    for c in encode(&lyric.text, false).chars() {
        match c {
            '-' => out.push_str("\\-"),
            ' ' => out.push_str(blank),
            // Signs with a meaning in these lines, as code points (§8.2).
            '*' | '_' | '|' | '~' => out.push_str(&format!("\\u{:04x}", u32::from(c))),
            _ => out.push(c),
        }
    }
    if lyric.joint == Syllable::Hyphen {
        out.push('-');
    }
}
