//! Tune files into the tunes of a book: takes what chapters name, gives [`TuneEntry`]s with requests for the solver. Files
//! are found one after the other, read side by side. Solves nothing.

use super::files::{FileKind, TUNE, TuneFile, WeightsFile};
use super::fingers::fingers;
use super::library::Library;
use super::look::weights;
use super::music::{self, Source};
use super::pins::{Pins, pins};
use super::settled::{read_settled, settled_path};
use super::text::{MARKDOWN, printed, prose, read_kind, unless_none};
use super::words::{OrNone, Said};
use super::yaml::Node;
use super::{CommentaryPlace, Extra, Kind, Playing, TuneEntry, left};
use crate::diag::{Excerpt, FileId, Place, Sink};
use crate::fingering::{Home, Moved, Request, Style};
use crate::instrument::{Instrument, RowAt};
use crate::tune::{Fraction, Interval};
use rayon::prelude::*;

/// A tune as a chapter names it.
#[derive(Debug, Clone)]
pub struct Wanted {
    /// The path as written.
    pub path: String,
    /// Where it is written.
    pub place: Place,
    /// The style of playing, where the chapter gives one.
    pub style: Option<Style>,
    /// Reversal, where the chapter gives it.
    pub reversal_under: Option<Fraction>,
    /// Prices, where the chapter gives them.
    pub weights: Option<WeightsFile>,
}

/// What all tunes of a book share.
#[derive(Debug, Clone)]
pub struct Settings {
    /// The box that pins are written for.
    pub base: Instrument,
    /// The box of this edition.
    pub instrument: Instrument,
    /// By how much the notes move with the box.
    pub moved: Interval,
    /// How tunes are played.
    pub playing: Playing,
    /// What is printed beyond the learner's book.
    pub extras: Vec<Extra>,
}

/// A tune file as read.
type Parsed = (FileId, Node, TuneFile);

/// A tune file whose texts have been found.
struct Draft {
    file: FileId,
    node: Node,
    parsed: TuneFile,
    music: Option<Source>,
    commentary: Option<Excerpt>,
    teacher_notes: Option<Excerpt>,
    settled: Option<FileId>,
}

/// Reads the tunes that are wanted, in order; `None` for each that can't be.
pub fn read_tunes(
    wanted: &[Wanted],
    settings: &Settings,
    library: &mut Library<'_>,
    sink: &mut Sink,
) -> Vec<Option<TuneEntry>> {
    let found: Vec<Option<FileId>> = wanted
        .iter()
        .map(|wanted| is_tune_file(wanted, sink).then(|| library.text("", &wanted.path, wanted.place, sink))?)
        .collect();
    let sources = &*library.sources;
    let parsed: Vec<(Option<Parsed>, Sink)> = found
        .par_iter()
        .map(|found| {
            let mut sink = Sink::default();
            let parsed = found.and_then(|file| {
                let (node, parsed) = read_kind(file, sources.text(file), (FileKind::Tune, &TUNE), &mut sink)?;
                Some((file, node, parsed))
            });
            (parsed, sink)
        })
        .collect();
    let mut drafts: Vec<Option<Draft>> = Vec::new();
    for ((parsed, complaints), wanted) in parsed.into_iter().zip(wanted) {
        sink.absorb(complaints);
        drafts.push(parsed.map(|parsed| draft(parsed, wanted.place, library, sink)));
    }
    let sources = &*library.sources;
    let entries: Vec<(Option<TuneEntry>, Sink)> = drafts
        .par_iter()
        .zip(wanted)
        .map(|(draft, wanted)| {
            let mut sink = Sink::default();
            let settled = draft.as_ref().and_then(|draft| draft.settled).map(|file| (file, sources.text(file)));
            (draft.as_ref().and_then(|draft| entry(draft, wanted, settled, settings, &mut sink)), sink)
        })
        .collect();
    entries
        .into_iter()
        .map(|(entry, complaints)| {
            sink.absorb(complaints);
            entry
        })
        .collect()
}

/// Whether a path may be that of a tune's file; complains of music and texts that are named in its place.
fn is_tune_file(wanted: &Wanted, sink: &mut Sink) -> bool {
    let path = wanted.path.trim();
    let ends = |endings: &[&str]| endings.iter().any(|ending| path.to_ascii_lowercase().ends_with(ending));
    let is_music = ends(music::MUSIC);
    if !is_music && !ends(MARKDOWN) {
        return true;
    }
    let hint = if is_music {
        format!("`boxwright bring {path}` makes tune files of it; or name it in one: `music: {{file: ...}}`")
    } else {
        "a text is named as `text:` of a chapter, or as `commentary:` of a tune".to_owned()
    };
    let what = if is_music { "music" } else { "words" };
    let message = format!("`{path}` is a file of {what}, not of a tune");
    sink.error(code!("other-kind"), Some(wanted.place), message).hints.push(hint);
    false
}

/// Reads the tune file that a run starts with.
pub fn read_alone(path: &str, settings: &Settings, library: &mut Library<'_>, sink: &mut Sink) -> Option<TuneEntry> {
    let file = library.first(path, "a tune's file, such as tunes/lantern.yaml", sink)?;
    let (node, parsed) = read_kind(file, library.sources.text(file), (FileKind::Tune, &TUNE), sink)?;
    let wanted = Wanted { path: path.to_owned(), place: node.place, style: None, reversal_under: None, weights: None };
    let draft = draft((file, node, parsed), wanted.place, library, sink);
    let settled = draft.settled.map(|file| (file, library.sources.text(file)));
    entry(&draft, &wanted, settled, settings, sink)
}

/// Finds the texts of a tune file that is named at `place`.
fn draft((file, node, parsed): Parsed, place: Place, library: &mut Library<'_>, sink: &mut Sink) -> Draft {
    let from = library.folder_of(file).to_owned();
    let music = music::find(&parsed, &node, &from, library, sink);
    let text = |key: &str, said: &Option<Said<OrNone<_>>>, library: &mut Library<'_>, sink: &mut Sink| {
        said.as_ref()?.0.0.as_ref()?;
        prose(node.get(key)?, &from, library, sink)
    };
    let commentary = text("commentary", &parsed.commentary, library, sink);
    let teacher_notes = text("teacher-notes", &parsed.teacher_notes, library, sink);
    let settled = library.beside(file, settled_path, place, sink);
    Draft { file, music, commentary, teacher_notes, settled, node, parsed }
}

fn entry(
    draft: &Draft,
    wanted: &Wanted,
    settled: Option<(FileId, &str)>,
    settings: &Settings,
    sink: &mut Sink,
) -> Option<TuneEntry> {
    let Draft { parsed, node, .. } = draft;
    let mut tune = music::read(draft.music.as_ref()?, &parsed.title, sink)?;
    let key = parsed.transpose.as_ref().and_then(|said| said.0.0);
    let transposed = key.map_or(0, |key| music::transpose(&mut tune, key, node.place_of("transpose"), sink));
    let none = Pins { pins: Vec::new(), left: Vec::new(), carried: Vec::new() };
    let Pins { mut pins, left: pinned, carried } = match (&parsed.pins, node.get("pins")) {
        (Some(files), Some(list)) => {
            pins(files, list, &tune, &settings.base, &settings.instrument, settings.moved, sink)
        }
        _ => none,
    };
    pins.extend(fingers(&tune, &pins, &settings.base, &settings.instrument, sink));
    let mut left = left::left(parsed.left_hand.as_ref(), node.get("left-hand"), pinned, &tune, sink);
    left::move_names(&mut left, settings.moved);
    let settled =
        settled.and_then(|(file, text)| read_settled(file, text, &parsed.id.0.0, &tune, &settings.instrument.id, sink));
    tune.transpose(settings.moved);
    let home = (settings.base.id != settings.instrument.id).then(|| Home {
        id: settings.base.id.clone(),
        with_box: moved(&settings.base, &settings.instrument).semitones,
        pins: carried,
    });
    let mut request = Request {
        weights: settings.playing.weights.clone(),
        reversal_under: wanted.reversal_under.unwrap_or(settings.playing.reversal_under),
        pins,
        left,
        settled,
        runners_up: settings.extras.contains(&Extra::RunnersUp),
        moved: Moved { by_file: transposed, with_box: settings.moved.semitones },
        home,
    };
    request.weights.style = wanted.style.unwrap_or(request.weights.style);
    for weight in wanted.weights.as_ref().map(weights).unwrap_or_default() {
        request.weights.changed.retain(|known| known.kind != weight.kind);
        request.weights.changed.push(weight);
    }
    let practice = parsed.practice.iter().flatten().map(|said| said.0.0).collect();
    Some(TuneEntry {
        id: parsed.id.0.0.clone(),
        title: printed(&parsed.title),
        kind: parsed.kind.as_ref().map_or(Kind::Tune, |said| said.0),
        composer: unless_none(parsed.composer.as_ref()),
        arranger: unless_none(parsed.arranger.as_ref()),
        source: unless_none(parsed.source.as_ref()),
        rights: unless_none(parsed.rights.as_ref()),
        level: parsed.level,
        teaches: parsed.teaches.clone().unwrap_or_default(),
        tune,
        transposed,
        request,
        commentary: draft.commentary.clone(),
        commentary_place: parsed.commentary_place.as_ref().map_or(CommentaryPlace::After, |said| said.0),
        teacher_notes: draft.teacher_notes.clone(),
        link: parsed.link.as_ref().and_then(|said| said.0.0.as_ref()).map(|link| link.0.clone()),
        practice,
        file: draft.file,
        place: node.place_of("title"),
        teaches_place: node.place_of("teaches"),
        id_place: node.place_of("id"),
    })
}

/// From the home note of one box's outer row to that of another.
pub(super) fn moved(from: &Instrument, to: &Instrument) -> Interval {
    let home = |instrument: &Instrument| {
        let row = instrument.row(RowAt::Outer)?;
        Some(row.buttons.get(usize::from(row.start.checked_sub(1)?))?.push)
    };
    match (home(from), home(to)) {
        (Some(from), Some(to)) => Interval::between(from, to),
        _ => Interval::default(),
    }
}
