//! MusicXML 4.0 (partwise, timewise, plain or packed) into tunes: one part, one voice, and what could not be kept.
//!
//! Takes bytes, gives tunes and complaints. Opens nothing, follows no address, expands no entity. Source: MusicXML 4.0, Final
//! Community Group Report of the W3C Music Notation Community Group, June 2021.

mod asking;
mod attributes;
mod bar;
mod barline;
mod closing;
mod direction;
mod harmony;
mod head;
mod losses;
mod lyric;
mod marks;
mod note;
mod order;
mod package;
mod part;
mod pitch;
mod score;
mod system;
mod tempo;
#[cfg(test)]
mod tests;
mod xml;

use super::abc::Reading;
use super::complaints::{self, Complaints};
use crate::diag::{FileId, Place, Sink};
use crate::tune::Tune;

use package::Opened;
pub use package::{MOST_BYTES, decode};

/// How a score is to be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct XmlOptions {
    /// Whether a bar of the wrong length is an error; else a warning.
    pub strict_bars: bool,
    /// The part to read, by its id or name; the one with the most notes when `None`.
    pub part: Option<String>,
    /// The voice to read; that of the part's first note when `None`.
    pub voice: Option<String>,
    /// Whether marks for the bellows and the rows are read as wishes; else they are told as not kept.
    pub wishes: bool,
}

/// What helps with a file that is damaged, hostile or none.
const SAVE_AGAIN: &str = "save the score again as MusicXML in the program it comes from";

impl Default for XmlOptions {
    fn default() -> Self {
        Self { strict_bars: true, part: None, voice: None, wishes: false }
    }
}

/// The tune of a score, plain or packed (`.mxl`); empty if the bytes are no score. Complaints name the measure; in a packed
/// score their place is the file's beginning.
pub fn read(bytes: &[u8], file: FileId, options: &XmlOptions, sink: &mut Sink) -> Vec<Tune> {
    let mut tunes = Vec::new();
    for reading in read_each(bytes, file, options, sink) {
        complaints::pour(&reading.complaints, sink);
        tunes.push(reading.tune);
    }
    tunes
}

/// The same with the complaints about the tune beside it; what is wrong with the file as a whole goes into `sink`.
pub fn read_each(bytes: &[u8], file: FileId, options: &XmlOptions, sink: &mut Sink) -> Vec<Reading> {
    let start = Place::new(file, 1, 1);
    let Opened { text, packed, bad, further } = match package::open(bytes) {
        Ok(opened) => opened,
        Err(refusal) => {
            sink.error(refusal.code, Some(start), refusal.message).hints.push(SAVE_AGAIN.into());
            return Vec::new();
        }
    };
    let document = match xml::parse(&text) {
        Ok(document) => document,
        Err(refusal) => {
            let place = if packed { start } else { Place::new(file, refusal.line, refusal.column) };
            sink.error(refusal.code, Some(place), refusal.message).hints.push(SAVE_AGAIN.into());
            return Vec::new();
        }
    };
    if bad > 0 {
        let at = text.find('\u{fffd}').filter(|_| !packed).map(|at| crate::xml::line_and_column(&text, at));
        let place = at.map_or(start, |(line, column)| Place::new(file, line, column));
        let places = if bad == 1 { "one place".to_owned() } else { format!("{bad} places") };
        let message = format!("{places} of this score cannot be read as letters");
        sink.warn(code!("unreadable-letters"), Some(place), message).hints.push("save the score again in UTF-8".into());
    }
    if !further.is_empty() {
        let list: Vec<&str> = further.iter().take(5).map(String::as_str).collect();
        let more = if further.len() > 5 { " and others" } else { "" };
        let message = format!("only the first score of this package is read; left out: {}{more}", list.join(", "));
        sink.warn(code!("scores-left-out"), Some(start), message)
            .hints
            .push("unpack it, and bring the scores one by one".into());
    }
    let mut complaints = Complaints::new(options.strict_bars);
    complaints.in_score = true;
    let places = xml::Places::new(&text, (!packed).then_some(file), start);
    let tune = score::tune(&document, places, options, &mut complaints);
    match tune {
        Some((tune, wishes)) => vec![Reading { tune, complaints: complaints.sink, wishes }],
        None => {
            complaints::pour(&complaints.sink, sink);
            Vec::new()
        }
    }
}
