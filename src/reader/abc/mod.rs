//! The ABC 2.1 standard: a tune, a fragment of one, or a tunebook of thousands, into [`Tune`]s; and tunes back into ABC.
//!
//! Takes text with the way back to its file ([`Excerpt`]), gives tunes and complaints with line and column. One bad spot
//! costs one complaint; the rest is read. Reads no file: texts that the music includes are handed in by name. Source: the
//! abc music standard 2.1 (December 2011); section numbers (§) in this folder are that standard's.

mod barring;
mod bars;
mod blocks;
mod body;
mod charset;
mod chords;
mod decorations;
mod header;
mod items;
mod key;
mod lyrics;
mod macros;
mod measure;
mod music;
mod parts;
mod scan;
mod scanner;
mod setup;
mod sound;
mod tempo;
#[cfg(test)]
mod tests;
mod text;
mod token;
mod write;

use std::collections::BTreeMap;

use super::asked::Wish;
use super::complaints;
use crate::diag::{Excerpt, Sink};
use crate::tune::Tune;

pub use blocks::{Entry, contents, included};
pub use charset::decode;
pub(in crate::reader) use decorations::{Meaning, by_words};
pub use decorations::{jump_name, mark_name};
pub(in crate::reader) use measure::default_unit;
pub use write::{write, write_music};

/// No text of tunes is larger than this, in bytes: ten times a collection of two thousand tunes.
pub const MOST_BYTES: usize = 8 << 20;
/// No text of tunes has more lines.
const MOST_LINES: usize = 400_000;
/// A tunebook has at most so many tunes.
const MOST_TUNES: usize = 20_000;
/// A tune with more lines than this is cut there.
const MOST_TUNE_LINES: usize = 20_000;
/// Lines longer than this many characters are not read.
const MOST_LINE: usize = 65_536;
/// A tune with more heads, rests and graces than this is cut there.
const MOST_EVENTS: usize = 20_000;
/// A tune with more bars than this is cut there.
const MOST_BARS: usize = 5_000;

/// Which tune of a tunebook is wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Choice {
    /// The one with this number after `X:`.
    Number(u32),
    /// The one with this title, in any case.
    Title(String),
}

/// How a text is to be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AbcOptions {
    /// Whether a fault in the music (a bar of the wrong length, an unreadable sign) is an error; for tunebooks from
    /// elsewhere it is a warning.
    pub strict_bars: bool,
    /// The voice to read where there are several; the first when `None`.
    pub voice: Option<String>,
    /// The one tune to read; all when `None`.
    pub choose: Option<Choice>,
    /// Texts that the music may include (`I:abc-include`), by the name it uses.
    pub includes: BTreeMap<String, Excerpt>,
}

impl Default for AbcOptions {
    fn default() -> Self {
        Self { strict_bars: true, voice: None, choose: None, includes: BTreeMap::new() }
    }
}

/// One tune as read, with the complaints about it.
#[derive(Debug, Clone)]
pub struct Reading {
    /// The tune.
    pub tune: Tune,
    /// What is wrong with it.
    pub complaints: Sink,
    /// What its file asks for at single notes; ABC has no words for that.
    pub wishes: Vec<Wish>,
}

/// All tunes of a text (or the chosen one), complaints into `sink`. A text without `X:` is one tune.
pub fn read(excerpt: &Excerpt, options: &AbcOptions, sink: &mut Sink) -> Vec<Tune> {
    let mut tunes = Vec::new();
    for reading in read_each(excerpt, options, sink) {
        complaints::pour(&reading.complaints, sink);
        tunes.push(reading.tune);
    }
    tunes
}

/// All tunes of a text (or the chosen one), each with its own complaints; complaints about the file go into `sink`.
pub fn read_each(excerpt: &Excerpt, options: &AbcOptions, sink: &mut Sink) -> Vec<Reading> {
    let book = blocks::split(excerpt, options, sink);
    book.tunes.iter().map(|tune| header::read_tune(tune, &book, options)).collect()
}
