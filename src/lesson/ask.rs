//! Reading what stands between the braces.
//!
//! Takes the text of a fact; gives what is asked, with bars and notes found in the tune, or a complaint at the fact's place.

use crate::diag::{Place, Sink};
use crate::tune::{Address, BarLabel, NoteId, Tune};

/// Names of the facts, for messages.
const NAMES: &str = "how, button, finger, row, place, count, left, bellows, bars, walk";

/// What is asked; bars are indices into the tune's bars.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ask {
    How(NoteId),
    Button(NoteId),
    Finger(NoteId),
    Row(NoteId),
    /// Where the hand lies in a bar, or at a note.
    Place(usize),
    PlaceAt(NoteId),
    Count(usize, usize),
    Left(usize, usize),
    Bellows(usize, u32),
    Bars(usize, usize),
    Walk(usize, usize),
}

/// Reads a fact; `None` after a complaint.
pub(super) fn read(text: &str, tune: &Tune, place: Place, sink: &mut Sink) -> Option<Ask> {
    let mut words = text.split_whitespace();
    let name = words.next().unwrap_or_default();
    let rest: Vec<&str> = words.collect();
    let reader = Reader { tune, place };
    match name {
        "how" => reader.note(&rest, sink).map(Ask::How),
        "button" => reader.note(&rest, sink).map(Ask::Button),
        "finger" => reader.note(&rest, sink).map(Ask::Finger),
        "row" => reader.note(&rest, sink).map(Ask::Row),
        "place" if rest.first().is_some_and(|word| word.contains('.')) => reader.note(&rest, sink).map(Ask::PlaceAt),
        "place" => reader.bar(&rest, sink).map(Ask::Place),
        "count" => reader.bars(&rest, sink).map(|(a, b)| Ask::Count(a, b)),
        "left" => reader.bars(&rest, sink).map(|(a, b)| Ask::Left(a, b)),
        "bars" | "bar" => reader.bars(&rest, sink).map(|(a, b)| Ask::Bars(a, b)),
        "walk" => reader.bars(&rest, sink).map(|(a, b)| Ask::Walk(a, b)),
        "bellows" => reader.bellows(&rest, sink),
        _ => {
            let message = format!("there is no fact `{name}`");
            sink.error(code!("unknown-fact"), Some(place), message)
                .hints
                .push(format!("facts are {NAMES}; `{{{{` is a brace that is meant as one"));
            None
        }
    }
}

struct Reader<'a> {
    tune: &'a Tune,
    place: Place,
}

impl Reader<'_> {
    fn note(&self, rest: &[&str], sink: &mut Sink) -> Option<NoteId> {
        let [word] = rest else {
            return self.misread(
                "this fact wants one note",
                "a note is a bar and its number in it, such as `3.1`",
                sink,
            );
        };
        let Some(address) = Address::parse(word) else {
            let message = format!("`{word}` names no note");
            return self.misread(&message, "a note is a bar and its number in it, such as `3.1` or `3.2g1`", sink);
        };
        let found = self.tune.find(address);
        if found.is_none() {
            let heads = self.tune.addresses.iter().filter(|a| a.bar == address.bar && a.grace.is_none()).count();
            let message = format!("there is no note `{word}`");
            let hint = if self.tune.bar_index(address.bar).is_some() {
                format!("bar {} has {heads} {}", address.bar, if heads == 1 { "note" } else { "notes" })
            } else {
                self.which_bars()
            };
            sink.error(code!("unknown-note"), Some(self.place), message).hints.push(hint);
        }
        found
    }

    fn bar(&self, rest: &[&str], sink: &mut Sink) -> Option<usize> {
        let [word] = rest else {
            return self.misread("this fact wants one bar", "a bar is its printed number, such as `5`", sink);
        };
        self.index(word, sink)
    }

    /// `5`, `5-8`, `5 – 8`.
    fn bars(&self, rest: &[&str], sink: &mut Sink) -> Option<(usize, usize)> {
        let text = rest.concat();
        if text.is_empty() {
            return self.misread("this fact wants a bar or bars", "such as `5` or `5-8`", sink);
        }
        let (first, last) = text.split_once(['-', '\u{2013}']).unwrap_or((&text, &text));
        let (first, last) = (self.index(first, sink)?, self.index(last, sink)?);
        if first > last {
            return self.misread("the first bar comes after the last", "write the earlier bar first", sink);
        }
        Some((first, last))
    }

    fn bellows(&self, rest: &[&str], sink: &mut Sink) -> Option<Ask> {
        match rest {
            [bar] => self.index(bar, sink).map(|bar| Ask::Bellows(bar, 1)),
            [bar, "pass", pass] => {
                let bar = self.index(bar, sink)?;
                match pass.parse() {
                    Ok(pass) if pass > 0 => Some(Ask::Bellows(bar, pass)),
                    _ => self.misread(&format!("`{pass}` is no pass"), "passes are counted from 1", sink),
                }
            }
            _ => self.misread("this fact wants a bar", "write `bellows 6` or `bellows 6 pass 2`", sink),
        }
    }

    fn index(&self, word: &str, sink: &mut Sink) -> Option<usize> {
        let Some(label) = BarLabel::parse(word.trim()) else {
            return self.misread(
                &format!("`{word}` is no bar"),
                "a bar is its printed number, such as `5` or `8+`",
                sink,
            );
        };
        let found = self.tune.bar_index(label);
        if found.is_none() {
            sink.error(code!("unknown-bar"), Some(self.place), format!("there is no bar {label}"))
                .hints
                .push(self.which_bars());
        }
        found
    }

    fn which_bars(&self) -> String {
        match (self.tune.bars.first(), self.tune.bars.last()) {
            (Some(first), Some(last)) => format!("the tune has bars {} to {}", first.label, last.label),
            _ => "the tune has no bars".into(),
        }
    }

    fn misread<T>(&self, message: &str, hint: &str, sink: &mut Sink) -> Option<T> {
        sink.error(code!("bad-fact"), Some(self.place), message).hints.push(hint.into());
        None
    }
}
