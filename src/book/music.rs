//! The music of a tune: takes the value of `music:`, gives a [`Tune`] with the places of its notes in the author's file.
//! Reads no YAML and knows no box.

use super::files::{MusicFile, TuneFile};
use super::library::Library;
use super::text::names_foreign;
use super::tunebook::Tunebook;
use super::words::{Called, Either, Prose, Said};
use super::yaml::{Node, ScalarStyle};
use crate::diag::{Excerpt, FileId, Place, Severity, Sink};
use crate::reader::abc::{self, AbcOptions, Choice};
use crate::reader::musicxml::{self, XmlOptions};
use crate::tune::{Interval, KeySignature, Tune};
use std::sync::Arc;

/// Music found, not yet read.
#[derive(Debug, Clone)]
pub struct Source {
    form: Form,
    /// Which tune of it.
    number: Option<u32>,
    /// Which part of a score, and where the author says so.
    part: Option<(String, Place)>,
    /// Which voice, and where the author says so.
    voice: Option<(String, Place)>,
    /// Where the author names it.
    place: Place,
}

#[derive(Debug, Clone)]
enum Form {
    /// A block of ABC in the tune's own file.
    Block(Excerpt),
    /// A file of ABC.
    Abc(Arc<Tunebook>),
    /// A file of MusicXML, plain or packed.
    Xml(Vec<u8>, FileId),
}

/// Endings of files that can be named instead of a block.
pub const MUSIC: &[&str] = &[".abc", ".musicxml", ".xml", ".mxl"];
/// Endings of files that hold no written notes, or none that is read.
const NO_MUSIC: &[&str] = &[".mid", ".midi", ".mp3", ".wav", ".png", ".jpg", ".jpeg"];

/// Finds the music of a tune: a block, or the file it names. `from` is the folder of the tune's file.
pub fn find(file: &TuneFile, node: &Node, from: &str, library: &mut Library<'_>, sink: &mut Sink) -> Option<Source> {
    let music = node.get("music")?;
    let chosen =
        |key: &str, said: &Option<Said<Called>>| said.as_ref().map(|said| (said.0.0.clone(), music.place_of(key)));
    let (path, wish, place) = match &file.music {
        Either::Long(MusicFile { file, tune, part, voice }) => {
            let wish = (*tune, chosen("part", part), chosen("voice", voice));
            (file.0.0.clone(), wish, music.place_of("file"))
        }
        Either::Word(Prose(text)) if Prose::is_file(text, MUSIC) || is_foreign(text) => {
            (text.trim().to_owned(), (None, None, None), music.place)
        }
        Either::Word(_) => {
            let scalar = music.scalar()?;
            if scalar.style == ScalarStyle::Folded {
                sink.error(
                    code!("folded-music"),
                    Some(music.place),
                    "`>` joins the lines of this block, which ABC does not allow",
                )
                .hints
                .push("write `music: |`".into());
                return None;
            }
            // A plain value that goes on over several lines is joined as well.
            if scalar.style == ScalarStyle::Plain && scalar.text.chars().count() > music.place.width as usize {
                sink.error(
                    code!("folded-music"),
                    Some(music.place),
                    "without `|` the lines of this block are joined into one",
                )
                .hints
                .push("write `music: |`, and the lines of music indented under it".into());
                return None;
            }
            let text = music.excerpt()?;
            let before = sink.count(Severity::Error);
            slips(&text, sink);
            // What follows a slip would be complained of letter by letter.
            if sink.count(Severity::Error) > before {
                return None;
            }
            let form = Form::Block(text);
            return Some(Source { form, number: None, part: None, voice: None, place: music.place });
        }
    };
    if is_foreign(&path) {
        let message = format!("`{path}` is no music that a book can read");
        let hint = "save the tune as MusicXML in the program it comes from, or write it as ABC below `music: |`";
        sink.error(code!("foreign-text"), Some(place), message).hints.push(hint.into());
        return None;
    }
    let (number, part, voice) = wish;
    let form = if path.to_ascii_lowercase().ends_with(".abc") {
        // A file of ABC says itself in which character set it is written (ABC 2.1, 8.2).
        if let Some((_, place)) = part {
            let message = "a tune in ABC has no parts to choose from, only voices";
            let hint = "`tune` and `voice` choose in a file of ABC";
            sink.error(code!("no-choice"), Some(place), message).hints.push(hint.into());
            return None;
        }
        Form::Abc(library.tunebook(from, &path, place, abc::decode, sink)?)
    } else {
        let (found, bytes) = library.bytes(from, &path, place, sink)?;
        if number.is_some() {
            let message = "a score holds one tune, so that `tune` chooses nothing in it";
            let hint = "`part` and `voice` choose in a score";
            sink.error(code!("no-choice"), Some(music.place_of("tune")), message).hints.push(hint.into());
            return None;
        }
        // A packed score has no lines to show.
        let packed = bytes.starts_with(b"PK");
        let file = library.add(&found, if packed { String::new() } else { musicxml::decode(&bytes) });
        Form::Xml(bytes, file)
    };
    Some(Source { form, number, part, voice, place })
}

/// Whether a word names a file of another program.
fn is_foreign(text: &str) -> bool {
    names_foreign(text) || Prose::is_file(text, NO_MUSIC)
}

/// Slips that come from writing ABC inside YAML: `#` comments, curly quotes.
fn slips(text: &Excerpt, sink: &mut Sink) {
    for (nth, line) in text.text.split('\n').enumerate() {
        if line.trim_start().starts_with('#') {
            let column = line.chars().take_while(|c| c.is_whitespace()).count();
            comment(text.place(nth, column), sink);
            continue;
        }
        // Title, words and the like are text, in which both may stand.
        let is_text = line.as_bytes().get(1) == Some(&b':') && line.as_bytes()[0].is_ascii_alphabetic();
        if is_text {
            continue;
        }
        let mut quoted = false;
        let mut before = ' ';
        for (column, c) in line.chars().enumerate() {
            match c {
                '%' => break,
                '"' => quoted = !quoted,
                '#' if !quoted && before.is_whitespace() => {
                    comment(text.place(nth, column), sink);
                    break;
                }
                '\u{201c}' | '\u{201d}' | '\u{201e}' if !quoted => {
                    sink.error(
                        code!("curly-quotes"),
                        Some(text.place(nth, column)),
                        "a curly quote in the music: ABC takes straight ones",
                    )
                    .hints
                    .push("write chord symbols as \"G\", with the quote key of a plain text editor".into());
                    break;
                }
                _ => {}
            }
            before = c;
        }
    }
}

fn comment(place: Place, sink: &mut Sink) {
    sink.error(code!("comment-in-music"), Some(place), "`#` starts no comment inside a block of ABC")
        .hints
        .push("ABC's comments start with `%`; or move the comment out of the block".into());
}

/// Reads the music that was found.
pub fn read(source: &Source, title: &str, sink: &mut Sink) -> Option<Tune> {
    let name = |chosen: &Option<(String, Place)>| chosen.as_ref().map(|(name, _)| name.clone());
    let (part, voice) = (name(&source.part), name(&source.voice));
    let choose = source.number.map(Choice::Number);
    let options = AbcOptions { choose, voice: voice.clone(), ..AbcOptions::default() };
    let before = sink.count(Severity::Error);
    if let Form::Block(text) = &source.form
        && !text.text.lines().any(|line| line.starts_with("X:"))
        && !text.text.contains("K:")
    {
        // Of tunes that begin with `X:` the reader says it.
        let hint = "K: is the last line before the music, such as K:G; K:none where there is no key";
        sink.warn(code!("key-missing"), Some(text.place(0, 0)), "this tune has no K: line").hints.push(hint.into());
    }
    let mut own = Sink::default();
    let mut tunes = match &source.form {
        Form::Block(text) => abc::read(text, &options, &mut own),
        Form::Abc(book) => abc::read(&book.tune(source.number), &options, &mut own),
        Form::Xml(bytes, file) => {
            musicxml::read(bytes, *file, &XmlOptions { part, voice, ..XmlOptions::default() }, &mut own)
        }
    };
    // What was asked for and is not there is to be mended where it was asked for.
    let asked = |chosen: &Option<(String, Place)>| chosen.as_ref().map(|(_, place)| *place);
    sink.absorb(own.placed(|item| match item.code {
        code if code == code!("no-such-part") => asked(&source.part),
        code if code == code!("no-such-voice") => asked(&source.voice),
        _ => item.place,
    }));
    if tunes.len() > 1 {
        let message = match (&source.form, source.number) {
            (Form::Abc(book), Some(number)) => {
                let lines: Vec<String> = book.lines_of(number).iter().map(ToString::to_string).collect();
                format!("{} tunes have the number {number}, on lines {}", tunes.len(), lines.join(" and "))
            }
            _ => format!("there are {} tunes in here", tunes.len()),
        };
        let hint = match (&source.form, source.number) {
            (Form::Block(_), _) => "a tune file holds one tune",
            (_, Some(_)) => "give each a number of its own, on its line `X:`",
            _ => "choose one: `music: {file: ..., tune: 12}`, by its number (`X:`)",
        };
        sink.error(code!("many-tunes"), Some(source.place), message).hints.push(hint.into());
        return None;
    }
    let read = tunes.pop();
    let rest = read.as_ref().and_then(first_rest);
    let Some(mut tune) = read.filter(|tune| tune.note_count() > 0) else {
        if sink.count(Severity::Error) > before {
            // Whatever could not be read may have been the notes.
        } else if let Some(at) = rest {
            sink.error(code!("no-music"), Some(at), "there is nothing but rests in here: a tune needs notes")
                .hints
                .push("write its notes; pages of empty staves are made by `staves` in the book's `back:`".into());
        } else {
            let message = match source.number {
                Some(number) => format!("tune {number} of this file has no notes"),
                None => "there is no music in here".to_owned(),
            };
            sink.error(code!("no-music"), Some(source.place), message)
                .hints
                .push("write notes below the K: line".into());
        }
        return None;
    };
    if tune.title.is_empty() {
        title.clone_into(&mut tune.title);
    }
    Some(tune)
}

/// Moves a tune into the key that the author wants; gives by how many semitones.
pub fn transpose(tune: &mut Tune, key: super::words::Key, place: Place, sink: &mut Sink) -> i32 {
    let Some((tonic, mode)) = tune.key.tonic else {
        sink.error(code!("no-key"), Some(place), "a tune whose key is not given (`K:`) can't be transposed")
            .hints
            .push("give its key, such as `K:G`".into());
        return 0;
    };
    if let Some(wanted) = key.mode
        && wanted != mode
    {
        let message = format!("a tune in {} can't be transposed into {}", mode.name(), wanted.name());
        sink.error(code!("other-mode"), Some(place), message)
            .hints
            .push("a key of the same mode, or the letter alone".into());
        return 0;
    }
    if KeySignature::regular(key.tonic, mode).is_none() {
        sink.error(
            code!("no-such-key"),
            Some(place),
            format!("{} {} would need more than seven signs", key.tonic, mode.name()),
        )
        .hints
        .push("name it by its other letter, such as Ab for G#".into());
        return 0;
    }
    let interval = Interval::nearest(tonic, key.tonic);
    for (text, at) in unmoved(tune) {
        let message = format!("`{text}` is no chord that can be moved: it is printed as it stands, in the old key");
        let hint = "write the chord as it is to be read: \"G\", \"Am\", \"D7\"; words begin with `^`";
        sink.warn(code!("unmoved-chord"), at.or(Some(place)), message).hints.push(hint.into());
    }
    tune.transpose(interval);
    interval.semitones
}

/// Where the first rest of a tune stands.
fn first_rest(tune: &Tune) -> Option<Place> {
    tune.bars.iter().flat_map(|bar| &bar.events).find(|event| event.head().is_none())?.place
}

/// Texts in the place of chord symbols that begin as a chord does and name none, each once, with their places.
fn unmoved(tune: &Tune) -> Vec<(String, Option<Place>)> {
    let mut found: Vec<(String, Option<Place>)> = Vec::new();
    for event in tune.bars.iter().flat_map(|bar| &bar.events) {
        for symbol in &event.chord_symbols {
            let begins = symbol.text.trim_start().starts_with(|first: char| matches!(first, 'A'..='G' | 'a'..='g'));
            if begins && symbol.parts().is_empty() && !found.iter().any(|(text, _)| *text == symbol.text) {
                found.push((symbol.text.clone(), event.place));
            }
        }
    }
    found
}
