//! Tunes from elsewhere: an ABC or MusicXML file into tune files, or shown as they were understood.

use super::desk::{Desk, Outcome, Voice, print};
use super::files;
use super::json::{Complaint, TuneShape};
use super::laying::counted;
use super::report::path_shown;
use super::tune_file::{Ids, tune_file};
use super::writing::{self, Over};
use crate::book::counts_otherwise;
use crate::diag::{Code, Place, Severity, Sink};
use crate::reader::abc::{self, AbcOptions, Choice, Reading, read_each};
use crate::reader::musicxml::{self, XmlOptions};
use crate::reader::wide_letters;
use crate::tune::{Mark, Tune};
use std::path::Path;

/// How much is shown of a file that is too large, in bytes.
const BEGINNING: usize = 1_000;

/// Which of a file's music is wanted.
#[derive(Debug, Clone, Default)]
pub struct Wish {
    /// The tune with this number.
    pub tune: Option<u32>,
    /// The part of a score.
    pub part: Option<String>,
    /// The voice.
    pub voice: Option<String>,
}

/// Reads a file of tunes and writes a tune file each, or prints them as JSON.
pub fn run(voice: Voice, file: &Path, wish: Wish, output: Option<&Path>) -> Outcome {
    let mut desk = Desk::new(voice);
    if voice.json && output.is_some() {
        return desk.fault("--json prints what was read and writes no file: leave --output out, or --json");
    }
    let bytes = match files::read_named(file) {
        Ok(bytes) => bytes,
        Err(unread) => return desk.fault(&format!("{}: {}", path_shown(file), unread.why)),
    };
    if wish.tune.is_some() && is_musicxml(file, &bytes) {
        let shown = path_shown(file);
        return desk
            .fault(&format!("--tune: {shown} is a score, which holds one tune; --part and --voice choose in it"));
    }
    if wish.part.is_some() && !is_musicxml(file, &bytes) {
        let shown = path_shown(file);
        return desk.fault(&format!("--part: {shown} is in ABC, which has voices and no parts; --voice chooses one"));
    }
    // A tune without the voice that is wanted is told of and not brought.
    let (lacking, mut readings): (Vec<Reading>, Vec<Reading>) =
        readings(&mut desk, file, &bytes, wish).into_iter().partition(|reading| asked_in_vain(&reading.complaints));
    for reading in lacking {
        desk.sink.absorb(reading.complaints);
    }
    let in_vain = readings.is_empty() && asked_in_vain(&desk.sink);
    if readings.is_empty() && desk.sink.items().is_empty() {
        let id = desk.sources.add(file.to_string_lossy(), "");
        let complaint = desk.sink.error(code!("no-music"), Some(Place::new(id, 1, 1)), "no tune is in here");
        complaint.hints.push("name a file of tunes in ABC, or a score in MusicXML".into());
    }
    if voice.json {
        let shapes: Vec<TuneShape> = readings
            .iter()
            .map(|reading| {
                let complaints =
                    reading.complaints.items().iter().map(|item| Complaint::new(item, &desk.sources)).collect();
                TuneShape::new(&reading.tune, &reading.wishes, complaints)
            })
            .collect();
        let text = serde_json::to_string(&shapes).unwrap_or_default();
        print(&(text + "\n"));
        // What is wrong with the file as a whole belongs to no tune.
        let outcome = desk.report_beside();
        return if in_vain { Outcome::Fault } else { outcome };
    }
    if in_vain {
        desk.report();
        return Outcome::Fault;
    }
    let empty = readings.iter().filter(|reading| reading.tune.note_count() == 0);
    for (nth, reading) in readings.iter().enumerate() {
        desk.sink.absorb(reading.complaints.clone());
        fingers(&reading.tune, &mut desk.sink);
        if reading.tune.note_count() == 0 {
            let name = if reading.tune.title.is_empty() {
                format!("tune {}", nth + 1)
            } else {
                format!("`{}`", reading.tune.title)
            };
            let complaint =
                desk.sink.warn(code!("no-music"), reading.tune.place, format!("{name} has no notes that are read"));
            complaint
                .hints
                .push("write notes below the K: line, in the file or in the tune file that is written".into());
        }
    }
    let without = match empty.count() {
        0 => String::new(),
        count => format!(", {count} of them without notes"),
    };
    name_after(file, &mut readings);
    let folder = output.map_or_else(|| Path::new(".").to_owned(), Path::to_owned);
    if let Err(why) = writing::make_folder(&folder) {
        return desk.fault(&why);
    }
    writing::clear(&folder);
    let mut written = 0;
    let mut ids = Ids::new();
    for reading in &readings {
        let (name, text) = tune_file(&reading.tune, &reading.wishes, &mut ids);
        let path = folder.join(&name);
        if path.exists() {
            desk.say(&format!("{} is there already and is left as it is\n", path_shown(&path)));
            continue;
        }
        if let Err(why) = writing::write_many(&path, text.as_bytes(), Over::Any) {
            return desk.fault(&why);
        }
        written += 1;
        desk.say(&format!("{}\n", path_shown(&path)));
    }
    desk.say(&match readings.len() {
        0 => "no tune was written\n".to_owned(),
        all => format!("{written} of {} written{without}\n", counted(all, "tune", "tunes")),
    });
    // A faulty tune is still worth having: its file is there to be mended.
    let errors = desk.sink.items().iter().filter(|item| item.severity == Severity::Error).count();
    desk.report();
    if errors > 0 || readings.is_empty() { Outcome::Errors } else { Outcome::Done }
}

/// Gives tunes without a title the name of their file.
fn name_after(file: &Path, readings: &mut [Reading]) {
    let name = file.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    let name: String = name.chars().filter(|c| !c.is_control() && *c != '%').collect();
    for reading in readings.iter_mut().filter(|reading| reading.tune.title.is_empty()) {
        reading.tune.title.clone_from(&name);
    }
}

/// Says whether the fingers of a tune will be followed, and how they are counted.
fn fingers(tune: &Tune, sink: &mut Sink) {
    let finger = |mark: &Mark| matches!(mark, Mark::Finger(_));
    let events = tune.bars.iter().flat_map(|bar| &bar.events);
    if counts_otherwise(tune, sink) {
        return;
    }
    let Some(first) = events.into_iter().find(|event| event.marks.iter().any(finger)) else { return };
    let message = "fingers stand in the music, and hold as pins do: 1 is the index finger, 4 the little finger";
    let hint = "where the file counts the thumb as 1, write each one less in the tune file, or take them out";
    sink.warn(code!("fingers-in-music"), first.place.or(tune.place), message).hints.push(hint.into());
}

/// Whether the command line asks for a part or a voice that is not there.
fn asked_in_vain(sink: &Sink) -> bool {
    let unmet = |code: Code| [code!("no-such-part"), code!("no-such-voice")].contains(&code);
    sink.items().iter().any(|item| item.severity == Severity::Error && unmet(item.code))
}

/// What was read, each tune with its own complaints; ABC or MusicXML by the file's name or its first bytes.
fn readings(desk: &mut Desk, file: &Path, bytes: &[u8], wish: Wish) -> Vec<Reading> {
    if is_musicxml(file, bytes) {
        // Of a file that is refused for its size the beginning is enough to show.
        let shown = if bytes.len() as u64 > musicxml::MOST_BYTES { &bytes[..BEGINNING] } else { bytes };
        // A packed score has no lines to show.
        let text = if bytes.starts_with(b"PK") { String::new() } else { musicxml::decode(shown) };
        let id = desk.sources.add(file.to_string_lossy(), text);
        let options = XmlOptions { strict_bars: false, part: wish.part, voice: wish.voice, wishes: true };
        return musicxml::read_each(bytes, id, &options, &mut desk.sink);
    }
    if bytes.len() > abc::MOST_BYTES {
        let id = desk.sources.add(file.to_string_lossy(), String::from_utf8_lossy(&bytes[..BEGINNING]));
        let message = format!("a text of tunes has at most {} megabytes", abc::MOST_BYTES >> 20);
        let complaint = desk.sink.error(code!("tunebook-too-large"), Some(Place::new(id, 1, 1)), message);
        complaint.hints.push("cut it into several files".into());
        return Vec::new();
    }
    if let Some((code, message, hint)) = no_tunes(bytes) {
        let first = String::from_utf8_lossy(bytes.split(|byte| *byte == b'\n').next().unwrap_or_default()).into_owned();
        let shown: String = first.chars().filter(|c| !c.is_control()).take(BEGINNING).collect();
        let id = desk.sources.add(file.to_string_lossy(), shown);
        desk.sink.error(code, Some(Place::new(id, 1, 1)), message).hints.push(hint.into());
        return Vec::new();
    }
    let id = desk.sources.add(file.to_string_lossy(), abc::decode(bytes));
    let choose = wish.tune.map(Choice::Number);
    let options = AbcOptions { strict_bars: false, choose, voice: wish.voice, ..AbcOptions::default() };
    let excerpt = desk.sources.excerpt(id);
    read_each(&excerpt, &options, &mut desk.sink)
}

/// Why a file holds no tunes in ABC, if it holds none: code, message, hint. Tunes begin with `X:` and have a `K:` line
/// (ABC 2.1 §2.2); MIDI files begin with `MThd` (Standard MIDI Files 1.0), PDF files with `%PDF` (ISO 32000-1, 7.5.2).
fn no_tunes(bytes: &[u8]) -> Option<(Code, &'static str, &'static str)> {
    const EXPORT: &str = "save the tune as MusicXML in the program it comes from, and bring that";
    if bytes.starts_with(b"%PDF") {
        return Some((
            code!("pdf-for-text"),
            "this is a PDF, a picture of pages: there are no notes in it to be read",
            EXPORT,
        ));
    }
    if bytes.starts_with(b"MThd") {
        return Some((
            code!("no-music"),
            "this is a MIDI file, which holds keys and moments, and no written notes",
            EXPORT,
        ));
    }
    const SAVE: &str = "save it again as UTF-8 in your editor";
    match wide_letters(bytes) {
        Some("UTF-32") => {
            return Some((code!("unknown-encoding"), "this text is written in UTF-32, which is not read", SAVE));
        }
        Some(_) => return Some((code!("unknown-encoding"), "this text is written in UTF-16, which is not read", SAVE)),
        None => {}
    }
    if bytes.starts_with(b"{\\rtf") || bytes.starts_with(b"PK\x03\x04") {
        return Some((
            code!("foreign-text"),
            "this was saved by a word processor: there are no notes in it to be read",
            EXPORT,
        ));
    }
    let mut lines = bytes.split(|byte| *byte == b'\n');
    if lines.any(|line| line.starts_with(b"music:")) {
        return Some((
            code!("no-music"),
            "this is a tune file already, and need not be brought",
            "list it in the book's file, among the `tunes:` of a chapter",
        ));
    }
    let is_field = |line: &[u8]| line.starts_with(b"X:") || line.starts_with(b"K:");
    if bytes.split(|byte| matches!(byte, b'\n' | b'\r')).any(is_field) {
        return None;
    }
    Some((
        code!("no-music"),
        "no tune in ABC is in here: no line begins with X: or K:",
        "name a file of tunes in ABC, or a score in MusicXML",
    ))
}

/// MusicXML files are called so, or begin like XML or a zip archive.
fn is_musicxml(file: &Path, bytes: &[u8]) -> bool {
    let ending = file.extension().map(|ending| ending.to_string_lossy().to_lowercase()).unwrap_or_default();
    match ending.as_str() {
        "musicxml" | "xml" | "mxl" => true,
        "abc" | "abh" | "txt" | "docx" | "odt" => false,
        _ => bytes.starts_with(b"<?xml") || bytes.starts_with(b"PK\x03\x04"),
    }
}
