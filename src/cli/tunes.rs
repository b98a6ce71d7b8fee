//! Commands about one tune: how it is played, which keys suit it, keeping its plan.

use super::args::OneTune;
use super::desk::{Desk, Outcome, Voice, print};
use super::files::{self, Reader};
use super::json::{Complaint, KeyShape, PlanShape, transpose_for};
use super::plan_text::plan_text;
use super::report::lines_shown;
use super::writing::{self, Over};
use crate::book::{self, Book, Playing, TuneEntry};
use crate::diag::nearest;
use crate::fingering::{self, KeyRank, Style};
use crate::instrument::{Instrument, builtin};
use crate::pipeline::plan_tune;
use std::fmt::Write as _;
use std::path::Path;

/// The box when neither a name nor a book is given: the commonest British two-row.
const USUAL_BOX: &str = "dg-21-third";

/// A tune with the box it is to be played on; complaints stay on the desk.
fn open(desk: &mut Desk, one: &OneTune) -> Option<(TuneEntry, Instrument)> {
    let book = match &one.book {
        Some(path) => Some(book_around(desk, path)?),
        None => None,
    };
    let playing = book.as_ref().map(|book| playing_in(book, desk, &one.tune));
    // On another box the pins are carried over from the book's own, as for an edition.
    let written_for = book.map(|book| book.instrument);
    let instrument = match (&one.instrument, &written_for) {
        (Some(name), _) => named_box(desk, name)?,
        (None, Some(instrument)) => instrument.clone(),
        (None, None) => book::builtin_box(USUAL_BOX)?,
    };
    let mut reader = Reader::new(&one.tune);
    let mut read = |name: &str| reader.file(name);
    let path = one.tune.to_string_lossy();
    let (sources, sink) = (&mut desk.sources, &mut desk.sink);
    let entry = book::read_tune(&path, &instrument, written_for.as_ref(), playing.as_ref(), &mut read, sources, sink)?;
    (!desk.sink.has_errors()).then_some((entry, instrument))
}

/// The book of a tune. Of its complaints only those about the book's own file and its box stay: the tune is read by itself, and
/// its neighbours are the business of `check`.
fn book_around(desk: &mut Desk, path: &Path) -> Option<Book> {
    let others = std::mem::take(&mut desk.sink);
    let book = desk.book(path, None);
    let all = std::mem::replace(&mut desk.sink, others);
    for item in all.items() {
        let about = item.place.map(|place| Path::new(desk.sources.path(place.file)));
        let is_of_book = about
            .is_none_or(|about| about == path || book.as_ref().is_none_or(|book| about.ends_with(&book.instrument.id)));
        if is_of_book {
            desk.sink.push(item.clone());
        }
    }
    book
}

/// How a book has a tune played: as its entry in the book says, or as the whole book says where the book has not got it.
fn playing_in(book: &Book, desk: &Desk, tune: &Path) -> Playing {
    let is_it = |entry: &&TuneEntry| {
        let listed = Path::new(desk.sources.path(entry.file)).canonicalize();
        listed.is_ok_and(|listed| tune.canonicalize().is_ok_and(|tune| tune == listed))
    };
    book.tunes().find(is_it).map_or_else(
        || book.playing.clone(),
        |entry| Playing { weights: entry.request.weights.clone(), reversal_under: entry.request.reversal_under },
    )
}

/// A built-in box or an author's file.
pub fn named_box(desk: &mut Desk, name: &str) -> Option<Instrument> {
    if let Some(instrument) = book::builtin_box(name) {
        return Some(instrument);
    }
    // What looks like no path is a name, and a name that is not built in has its own message.
    if !name.contains(['/', '.']) {
        let near = nearest(name, builtin().iter().map(|(id, _)| *id)).map(|near| format!("did you mean `{near}`?"));
        desk.sink
            .error(code!("unknown-box"), None, format!("there is no box `{name}`"))
            .hints
            .push(near.unwrap_or_else(|| "`boxwright boxes` lists them".into()));
        return None;
    }
    let mut reader = Reader::new(Path::new(name));
    let mut read = |path: &str| reader.file(path);
    book::read_box(name, &mut read, &mut desk.sources, &mut desk.sink)
}

const fn style_name(style: Style) -> &'static str {
    match style {
        Style::Along => "along",
        Style::Smooth => "smooth",
        Style::Easy => "easy",
    }
}

/// Shows the plan of a tune.
pub fn plan(voice: Voice, one: &OneTune) -> Outcome {
    let mut desk = Desk::new(voice);
    let Some((entry, instrument)) = open(&mut desk, one) else { return desk.report() };
    let plan = plan_tune(&entry, &instrument, true, &mut desk.sink);
    let style = style_name(entry.request.weights.style);
    if voice.json {
        let complaints = desk.sink.sorted().into_iter().map(|item| Complaint::new(item, &desk.sources)).collect();
        let shape = PlanShape::new(&entry.tune, &entry.title, &instrument, style.into(), &plan, complaints);
        print(&(serde_json::to_string_pretty(&shape).unwrap_or_default() + "\n"));
        return if desk.sink.has_errors() { Outcome::Errors } else { Outcome::Done };
    }
    print(&lines_shown(&plan_text(&entry.title, &entry.tune, &instrument, style, &plan)));
    desk.report()
}

/// Writes the plan of a tune beside it.
pub fn settle(voice: Voice, one: &OneTune) -> Outcome {
    let mut desk = Desk::new(voice);
    let Some((entry, instrument)) = open(&mut desk, one) else { return desk.report() };
    let plan = plan_tune(&entry, &instrument, false, &mut desk.sink);
    if desk.sink.has_errors() {
        return desk.report();
    }
    // What a path that is no text has in its ending is one of a tune file all the same.
    let name = one.tune.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let path = files::folder(&one.tune).join(book::settled_path(&name));
    let shown = path.display().to_string();
    let before = match files::read_named(&path) {
        Ok(bytes) => match String::from_utf8(bytes) {
            Ok(text) => Some(desk.sources.add(shown.clone(), text)),
            Err(_) => return desk.fault(&format!("{shown} is no text in UTF-8, and is not replaced")),
        },
        Err(unread) if unread.absent => None,
        // The plans in it for other boxes would be lost.
        Err(unread) => return desk.fault(&format!("{shown} can't be read, and is not replaced: {}", unread.why)),
    };
    let old = before.map(|file| (file, desk.sources.text(file).to_owned()));
    let text = book::settled_text(
        &entry.id,
        &entry.tune,
        &instrument.id,
        &plan,
        old.as_ref().map(|(file, text)| (*file, text.as_str())),
        &mut desk.sink,
    );
    if desk.sink.has_errors() {
        return desk.report();
    }
    if let Err(why) = writing::write(&path, text.as_bytes(), Over::Any) {
        return desk.fault(&why);
    }
    desk.say(&format!("{shown}\n"));
    desk.report()
}

/// Ranks the keys a tune could stand in.
pub fn keys(voice: Voice, one: &OneTune) -> Outcome {
    let mut desk = Desk::new(voice);
    let Some((entry, instrument)) = open(&mut desk, one) else { return desk.report() };
    let ranks = fingering::keys(&entry.tune, &instrument, &entry.request.weights);
    if voice.json {
        let shapes: Vec<KeyShape> = ranks.iter().map(|rank| KeyShape::new(rank, entry.transposed)).collect();
        print(&(serde_json::to_string_pretty(&shapes).unwrap_or_default() + "\n"));
        return desk.report_beside();
    }
    let mut out = format!("{} on {}\n", entry.title, instrument.name);
    if !entry.request.pins.is_empty() {
        out.push_str("(without its pins, which belong to the key they were written in; `plan` reckons with them)\n");
    }
    out.push('\n');
    // Where any key has all notes, those that have not come last, each with the notes that it wants, the tune's own apart.
    let fits = ranks.iter().any(|rank| rank.absent.is_empty());
    let (told, mut rest): (Vec<&KeyRank>, Vec<&KeyRank>) =
        ranks.iter().partition(|rank| !fits || rank.absent.is_empty() || rank.semitones == 0);
    for rank in told {
        let _ = writeln!(out, "{}", key_line(rank, entry.transposed));
    }
    if !rest.is_empty() {
        rest.sort_by_key(|rank| rank.semitones);
        out.push_str("\nDoes not fit, for notes that the box has not:\n\n");
        for rank in rest {
            let _ = writeln!(out, "{} {}", place_in_keys(rank), rank.absent_named());
        }
    }
    print(&out);
    desk.report()
}

fn key_line(rank: &KeyRank, transposed: i32) -> String {
    let cost = rank.cost.map_or_else(|| "does not fit".into(), |cost| format!("cost {cost}"));
    let rest = rank.reasons.iter().cloned().chain(transpose_for(rank, transposed));
    format!("{} {cost:<14} {}", place_in_keys(rank), rest.collect::<Vec<_>>().join("; "))
}

/// The key and how far it is from the tune's own, in columns.
fn place_in_keys(rank: &KeyRank) -> String {
    let key = rank.key.map_or_else(|| "no key".into(), |(tonic, mode)| format!("{tonic} {}", mode.name()));
    let by = match rank.semitones {
        0 => "as written".to_owned(),
        1 | -1 => format!("{:+} semitone", rank.semitones),
        n => format!("{n:+} semitones"),
    };
    format!("{key:<16} {by:<14}")
}
