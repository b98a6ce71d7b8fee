//! Words and symbols in lines of their own, laid under the notes they belong to.
//!
//! Takes `w:` and `s:` lines as they come, with how many heads had been read by then; lays them when the tune is whole.
//! Source: ABC 2.1 §5.1 (alignment), §5.2 (verses), §5.3 (verse numbers), §4.15 (symbol lines).

use super::decorations::{Meaning, by_name};
use super::items::Field;
use super::{chords, text};
use crate::diag::Place;
use crate::reader::complaints::Complaints;
use crate::tune::{Annotation, ChordSymbol, Event, Lyric, Placement, Sounding, Syllable, Tune};

/// A tune has at most so many verses.
const MOST_VERSES: usize = crate::tune::MOST_VERSES;

/// Lines that stand together under the same notes.
#[derive(Debug, Clone, Default)]
struct Group {
    /// Text and place of each line.
    lines: Vec<(String, Place)>,
    /// How many heads had been read.
    upto: usize,
}

/// All aligned lines of a tune.
#[derive(Debug, Clone, Default)]
pub(super) struct Verses {
    words: Vec<Group>,
    symbols: Vec<Group>,
    /// Whether no music came since the last line of words, and of symbols.
    adjacent: (bool, bool),
}

impl Verses {
    /// A line of music was read.
    pub fn music_came(&mut self) {
        self.adjacent = (false, false);
    }
    /// Takes a `w:` line that comes after so many heads.
    pub fn words(&mut self, field: &Field, heads: usize, complaints: &mut Complaints) {
        if !take(&mut self.words, self.adjacent.0, field, heads) {
            told(field, complaints);
        }
        self.adjacent.0 = true;
    }
    /// Takes an `s:` line that comes after so many heads.
    pub fn symbols(&mut self, field: &Field, heads: usize, complaints: &mut Complaints) {
        if !take(&mut self.symbols, self.adjacent.1, field, heads) {
            told(field, complaints);
        }
        self.adjacent.1 = true;
    }
    /// Lays all lines under the heads of the tune.
    pub fn lay(self, tune: &mut Tune, complaints: &mut Complaints) {
        if self.words.is_empty() && self.symbols.is_empty() {
            return;
        }
        let mut heads = Vec::new();
        for (bar_at, bar) in tune.bars.iter().enumerate() {
            for (event_at, event) in bar.events.iter().enumerate() {
                if matches!(event.sounding, Sounding::Head { .. }) {
                    heads.push((bar_at, event_at));
                }
            }
        }
        let mut from = 0;
        for group in &self.words {
            let upto = group.upto.min(heads.len());
            for (verse, (line, place)) in group.lines.iter().enumerate() {
                let (label, rest) = verse_label(line);
                let syllables = syllables(rest);
                if let Some(label) = label {
                    if tune.verse_labels.len() <= verse {
                        tune.verse_labels.resize(verse + 1, String::new());
                    }
                    tune.verse_labels[verse] = label;
                }
                lay_verse(tune, &heads[from.min(upto)..upto], verse, syllables, *place, complaints);
            }
            from = upto;
        }
        from = 0;
        for group in &self.symbols {
            let upto = group.upto.min(heads.len());
            for (line, place) in &group.lines {
                lay_symbols(tune, &heads[from.min(upto)..upto], line, *place, complaints);
            }
            from = upto;
        }
    }
}

/// Complains of a line that is beyond what a tune has.
fn told(field: &Field, complaints: &mut Complaints) {
    let message = format!("a tune has at most {MOST_VERSES} lines of words below each other; the others are left out");
    let hint = "print further verses in the commentary, or in `W:` lines";
    complaints.warn_once("", code!("too-many-verses"), field.place(0), message, hint);
}

/// Takes a line in; `false` where there are too many.
fn take(groups: &mut Vec<Group>, adjacent: bool, field: &Field, heads: usize) -> bool {
    let line = (field.text.clone(), field.place(0));
    match groups.last_mut() {
        Some(group) if adjacent && group.lines.len() < MOST_VERSES => group.lines.push(line),
        Some(_) if adjacent => return false,
        _ => groups.push(Group { lines: vec![line], upto: heads }),
    }
    true
}

/// A step of a line of words.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Word {
    Syllable(String, Syllable),
    /// The syllable before is held on.
    Hold,
    Skip,
    NextBar,
}

/// A line of words into its steps.
fn syllables(line: &str) -> Vec<Word> {
    let mut out = Vec::new();
    let mut word = String::new();
    let mut chars = line.chars();
    while let Some(c) = chars.next() {
        match c {
            ' ' | '\t' => flush(&mut out, &mut word, Syllable::End),
            '-' if word.is_empty() => {
                join_last(&mut out);
                out.push(Word::Syllable(String::new(), Syllable::Hyphen));
            }
            '-' => flush(&mut out, &mut word, Syllable::Hyphen),
            '_' | '*' | '|' => {
                flush(&mut out, &mut word, Syllable::End);
                out.push(match c {
                    '_' => Word::Hold,
                    '*' => Word::Skip,
                    _ => Word::NextBar,
                });
            }
            '~' => word.push(' '),
            '\\' => {
                word.push(c);
                word.extend(chars.next());
            }
            _ => word.push(c),
        }
    }
    flush(&mut out, &mut word, Syllable::End);
    out
}

fn flush(out: &mut Vec<Word>, word: &mut String, joint: Syllable) {
    if !word.is_empty() {
        out.push(Word::Syllable(text::decode(word), joint));
        word.clear();
    }
}

/// A hyphen after a blank joins the syllable before it all the same.
fn join_last(out: &mut [Word]) {
    if let Some(Word::Syllable(_, joint)) = out.last_mut() {
        *joint = Syllable::Hyphen;
    }
}

/// Takes `1.` off a line that begins like `1.~Three`; a blank by its code point is one of the first syllable's own.
fn verse_label(line: &str) -> (Option<String>, &str) {
    let line = line.trim_start();
    let label = line.split_once('~').filter(|(label, _)| {
        label.starts_with(|c: char| c.is_ascii_digit()) && !label.contains([' ', '\t', '-', '_', '*', '|', '\\'])
    });
    match label {
        Some((label, rest)) => (Some(text::decode(label)), rest.trim_start_matches('~')),
        None => (None, line),
    }
}

type Heads<'a> = &'a [(usize, usize)];

fn lay_verse(tune: &mut Tune, heads: Heads, verse: usize, words: Vec<Word>, place: Place, complaints: &mut Complaints) {
    // `1. one`: the number of the verse is a syllable, unless it is tied to the first word.
    let numbered = words.first().is_some_and(|word| {
        matches!(word, Word::Syllable(text, _) if text.starts_with(|c: char| c.is_ascii_digit())
                && text.trim_end_matches('.').bytes().all(|byte| byte.is_ascii_digit()))
    });
    let mut at = 0;
    let mut bar = heads.first().map_or(0, |head| head.0);
    let mut joint = Syllable::End;
    let mut left_over = 0;
    for word in words {
        let lyric = match word {
            Word::NextBar => {
                (bar, at) = next_bar(heads, bar, at);
                continue;
            }
            Word::Skip => None,
            Word::Hold => Some(Lyric { text: String::new(), joint, held: true }),
            Word::Syllable(text, next) => {
                joint = next;
                let held = text.is_empty();
                Some(Lyric { text, joint, held })
            }
        };
        let Some(head) = heads.get(at) else {
            left_over += usize::from(lyric.is_some());
            continue;
        };
        bar = head.0;
        at += 1;
        if let Some(lyric) = lyric {
            let event = &mut tune.bars[head.0].events[head.1];
            if event.lyrics.len() <= verse {
                event.lyrics.resize(verse + 1, None);
            }
            event.lyrics[verse] = Some(lyric);
        }
    }
    if left_over > 0 {
        let (have, hint) = if left_over == 1 {
            ("syllable of this line has", "it is left out")
        } else {
            ("syllables of this line have", "they are left out")
        };
        let hint = if numbered { "write the number of a verse with `~` before its first word: `1.~one`" } else { hint };
        let message = format!("{left_over} {have} no note to stand under");
        complaints.warn(code!("too-many-syllables"), place, message, hint);
    }
}

/// To the first head of the next bar, unless it is reached already.
fn next_bar(heads: Heads, bar: usize, at: usize) -> (usize, usize) {
    let next = bar + 1;
    let first = heads.partition_point(|head| head.0 < next);
    (next, at.max(first))
}

fn lay_symbols(tune: &mut Tune, heads: Heads, line: &str, place: Place, complaints: &mut Complaints) {
    let mut at = 0;
    let mut bar = heads.first().map_or(0, |head| head.0);
    let mut rest = line.trim_start();
    while let Some(c) = rest.chars().next() {
        let mut width = c.len_utf8();
        match c {
            '|' => (bar, at) = next_bar(heads, bar, at),
            '*' | '"' | '!' => {
                let end = if c == '*' { Some(0) } else { rest[1..].find(c) };
                let Some(end) = end else {
                    complaints.warn(
                        code!("odd-symbol-line"),
                        place,
                        format!("a {c} is not closed in this line"),
                        "write !trill! or \"text\", one a note",
                    );
                    return;
                };
                width += if c == '*' { 0 } else { end + 1 };
                if let Some(head) = heads.get(at) {
                    bar = head.0;
                    if c != '*' {
                        put(&mut tune.bars[head.0].events[head.1], c, &rest[1..=end], place, complaints);
                    }
                }
                at += 1;
            }
            _ => complaints.warn_once(
                &c.to_string(),
                code!("odd-symbol-line"),
                place,
                format!("“{c}” has no meaning in this line"),
                "* skips a note, | a bar; signs are written !trill!",
            ),
        }
        rest = rest[width..].trim_start();
    }
}

fn put(event: &mut Event, quote: char, inner: &str, place: Place, complaints: &mut Complaints) {
    if quote == '!' {
        match by_name(inner) {
            Some(Meaning::Mark(mark)) => event.marks.push(mark),
            Some(_) => {}
            None => {
                let message = format!("there is no decoration “{inner}”");
                complaints.warn_once(inner, code!("unknown-decoration"), place, message, "it is left out");
            }
        }
        return;
    }
    let words = text::decode(inner);
    let placement = match words.chars().next() {
        Some('^' | '@') => Placement::Above,
        Some('_') => Placement::Below,
        Some('<') => Placement::Left,
        Some('>') => Placement::Right,
        _ => {
            let chord = ChordSymbol::read(&words);
            chords::complain_of_none(&chord, place, complaints);
            event.chord_symbols.push(chord);
            return;
        }
    };
    event.annotations.push(Annotation { placement, text: words[1..].trim().to_owned() });
}

#[cfg(test)]
mod tests {
    use super::*;

    fn count(line: &str) -> usize {
        syllables(line).len()
    }

    /// ABC 2.1 §5.1: the standard's own examples.
    #[test]
    fn signs_between_syllables() {
        assert_eq!(count("syll-a-ble"), 3);
        assert_eq!(count("syll-a--ble"), 4);
        assert_eq!(count("syll-a -ble"), 4);
        assert_eq!(count("time__"), 3);
        assert_eq!(count("of~the~day"), 1);
        assert_eq!(count("gra-cious * | Queen"), 5);
        assert_eq!(syllables(r"well\-known"), [Word::Syllable("well-known".into(), Syllable::End)]);
    }

    /// ABC 2.1 §5.3.
    #[test]
    fn verse_numbers_are_taken_off() {
        assert_eq!(verse_label("1.~Three blind"), (Some("1.".into()), "Three blind"));
        assert_eq!(verse_label("1.\\u0020Three"), (None, "1.\\u0020Three"));
        assert_eq!(verse_label("10 green~ones"), (None, "10 green~ones"));
    }
}
