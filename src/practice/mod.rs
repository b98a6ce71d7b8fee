//! A plan into MIDI files, one for each step of a tune's tempo ladder.
//!
//! Takes a tune, its plan and the box; gives names and bytes. Knows no paper and no files. A file has five tracks: tempo with
//! markers, melody, bass, chords, and a metronome that counts in.
//!
//! Sources: *Standard MIDI Files 1.0* (tracks, metas); General MIDI 1 sound set
//! and percussion map (accordion, wood blocks), from memory. The octaves of bass and chords are common practice, no source.

mod left;
mod metronome;
mod performance;
mod tones;
mod write;

#[cfg(test)]
mod tests;

use crate::fingering::Plan;
use crate::instrument::Instrument;
use crate::tune::Tune;
use tones::Performance;

/// One file of practice music.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MidiFile {
    /// Its name without folder, such as `03-tin-lantern-080.mid`.
    pub name: String,
    /// A Standard MIDI File of format 1.
    pub bytes: Vec<u8>,
}

/// Which lesson of the book a tune is, for names that sort.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lesson<'a> {
    /// The tune's id or title; letters and digits of ASCII are kept in the file names.
    pub name: &'a str,
    /// Its place among the tunes of the book, from 1.
    pub number: usize,
    /// How many tunes the book has: as many digits are written as this one needs, two at the least.
    pub of: usize,
}

/// The practice files of one tune, one for each step of its ladder in per cent of the tune's tempo. A step that is given
/// twice is written once; a step of nothing is left out.
///
/// Bounded: a tune that plays for more than 9,000 whole notes (five hours at 120 quarters a minute) or 100,000 tones is cut at a
/// barline, and a marker says so.
pub fn files(lesson: &Lesson, tune: &Tune, plan: &Plan, instrument: &Instrument, steps: &[u32]) -> Vec<MidiFile> {
    let performance = Performance::of(tune, plan, instrument);
    let mut wanted: Vec<u32> = Vec::new();
    for step in steps {
        if *step > 0 && !wanted.contains(step) {
            wanted.push(*step);
        }
    }
    wanted
        .into_iter()
        .map(|step| MidiFile { name: file_name(lesson, step), bytes: write::bytes(&tune.title, &performance, step) })
        .collect()
}

/// `03-tin-lantern-080.mid`.
fn file_name(lesson: &Lesson, step: u32) -> String {
    let digits = lesson.of.max(lesson.number).to_string().len().max(2);
    format!("{:0digits$}-{}-{step:03}.mid", lesson.number, slug(lesson.name))
}

/// A name that every file system takes: ASCII letters and digits, hyphens between words, at most 60 characters.
fn slug(name: &str) -> String {
    let mut slug = String::new();
    for letter in name.chars().filter(|letter| *letter != '\'' && *letter != '’') {
        if letter.is_ascii_alphanumeric() {
            slug.push(letter.to_ascii_lowercase());
        } else if !slug.is_empty() && !slug.ends_with('-') {
            slug.push('-');
        }
        if slug.len() >= 60 {
            break;
        }
    }
    let slug = slug.trim_end_matches('-');
    if slug.is_empty() { "tune".into() } else { slug.into() }
}
