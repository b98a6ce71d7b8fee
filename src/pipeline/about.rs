//! Which ink a place in the author's files is about, for the proof page.
//!
//! Takes a book and a place; gives the subject that page making gave the ink: a bar, or a tune as a whole.

use crate::book::{Book, TuneEntry};
use crate::diag::Place;
use crate::fingering::NoteSpan;
use crate::tune::BarLabel;

/// `tune:ID bar:LABEL` for a place in the music or in a pin, `tune:ID` for one elsewhere in a tune's files; `None` for a place
/// that belongs to no tune.
pub fn about(book: &Book, place: Place) -> Option<String> {
    let entry = book.tunes().find(|entry| is_of(entry, place))?;
    let bar = pinned_bar(entry, place).or_else(|| written_bar(entry, place));
    Some(bar.map_or_else(|| format!("tune:{}", entry.id), |bar| format!("tune:{} bar:{bar}", entry.id)))
}

fn is_of(entry: &TuneEntry, place: Place) -> bool {
    let texts = [&entry.commentary, &entry.teacher_notes];
    entry.file == place.file
        || entry.tune.place.is_some_and(|own| own.file == place.file)
        || texts.into_iter().flatten().any(|text| text.file() == place.file)
}

/// The bar of the pin that is written on the place's line.
fn pinned_bar(entry: &TuneEntry, place: Place) -> Option<BarLabel> {
    let pin = entry.request.pins.iter().find(|pin| (pin.place.file, pin.place.line) == (place.file, place.line))?;
    Some(match pin.target.span {
        NoteSpan::Bars(first, _) => first,
        NoteSpan::Note(id) => entry.tune.addresses.get(id.index())?.bar,
    })
}

/// The last bar that starts at or before a place inside the music.
fn written_bar(entry: &TuneEntry, place: Place) -> Option<BarLabel> {
    let bars = &entry.tune.bars;
    let is_in_music = |own: Place| own.file == place.file && own.line >= place.line;
    // Behind the last line of the music the file speaks of other things.
    bars.iter()
        .rev()
        .flat_map(|bar| bar.events.iter().rev())
        .filter_map(|event| event.place)
        .find(|own| is_in_music(*own))?;
    let starts_before = |own: Place| own.file == place.file && (own.line, own.column) <= (place.line, place.column);
    bars.iter().rev().find(|bar| bar.place.is_some_and(starts_before)).map(|bar| bar.label)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book;
    use crate::diag::{FileId, Sink, Sources};

    const BOOK: &str = "book: 1\nid: b\ntitle: B\nauthor: R. Quill\ndate: 2026-01-01\nimpression: 1\nlanguage: en-GB\n\
                        box: dg-21-third\nchapters:\n  - {title: One, tunes: [tunes/a.yaml]}\n";
    const TUNE: &str = "title: A\nid: a\ncomposer: R. Quill\nrights: CC0\nmusic: |\n  M:2/4\n  L:1/4\n  K:G\n  G A | B c |\n  \
                        d B | G2 |\npins:\n  - {bar: 2, direction: pull}\ncommentary: |\n  Play it.\n";

    #[test]
    fn places_lead_to_bars_and_tunes() {
        let (mut sources, mut sink) = (Sources::default(), Sink::default());
        let mut files = |path: &str| match path.rsplit('/').next() {
            Some("book.yaml") => Ok(BOOK.as_bytes().to_vec()),
            Some("a.yaml") => Ok(TUNE.as_bytes().to_vec()),
            _ => Err("there is no such file".to_owned()),
        };
        let book = book::read("book.yaml", None, &mut files, &mut sources, &mut sink).expect("the book reads");
        assert!(!sink.has_errors(), "{:?}", sink.items());
        let file: FileId = book.tunes().next().expect("there is a tune").file;
        let at = |line, column| about(&book, Place::new(file, line, column));
        assert_eq!(at(9, 3).as_deref(), Some("tune:a bar:1"));
        assert_eq!(at(9, 11).as_deref(), Some("tune:a bar:2"));
        assert_eq!(at(10, 9).as_deref(), Some("tune:a bar:4"));
        assert_eq!(at(12, 5).as_deref(), Some("tune:a bar:2"), "a pin");
        assert_eq!(at(14, 3).as_deref(), Some("tune:a"), "commentary");
        assert_eq!(at(1, 1).as_deref(), Some("tune:a"), "the title");
        let other = sources.add("other.yaml", "");
        assert_eq!(about(&book, Place::new(other, 1, 1)), None);
    }
}
