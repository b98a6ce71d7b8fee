//! Binds a book, or one edition, or all of them, or one tune as a handout.

use super::args::{Bind, Impose, Purpose};
use super::desk::{Desk, Outcome, Voice, target};
use super::docket;
use super::files;
use super::laying::{Wish, counted, lay};
use super::timing::Clock;
use crate::book::Book;
use crate::font::Fonts;
use crate::page::{Document, Manifest};
use crate::pdf::{manifest, record, write, write_recorded};
use crate::pipeline;
use crate::reprint::compare;
use std::path::Path;

/// Does what the arguments ask.
pub fn run(voice: Voice, arguments: &Bind) -> Outcome {
    let fonts = Fonts::embedded();
    let mut editions: Vec<Option<String>> = vec![arguments.edition.clone()];
    if arguments.all_editions {
        // The first reading only asks which editions there are; its complaints come again with the book itself.
        let mut desk = Desk::new(voice);
        let names = desk.book(&arguments.book, None).map(|book| book.editions).unwrap_or_default();
        editions.extend(names.into_iter().map(Some));
    }
    let mut worst = Outcome::Done;
    for edition in editions {
        let outcome = one(voice, arguments, edition.as_deref(), &fonts);
        if outcome.status() > worst.status() {
            worst = outcome;
        }
    }
    worst
}

/// Binds one edition.
fn one(voice: Voice, arguments: &Bind, edition: Option<&str>, fonts: &Fonts) -> Outcome {
    let mut desk = Desk::new(voice);
    let mut clock = Clock::new();
    let only = arguments.only.as_deref();
    let composed = compose(&mut desk, &arguments.book, edition, only, None, fonts, &mut clock);
    let Some((book, mut document)) = composed else { return desk.report() };
    document.manifest.laying = Wish::of(arguments).record();
    document.manifest.laying.extend(only.map(|tune| ("only".to_owned(), tune.to_owned())));
    let path =
        arguments.output.clone().unwrap_or_else(|| target(&arguments.book, edition, kind(arguments).as_deref(), "pdf"));
    finish(&desk, arguments, &book, &document, fonts, &path, &mut clock)
}

/// What sets a file apart from the reading copy of the whole book: the one tune, the press, the imposition.
fn kind(arguments: &Bind) -> Option<String> {
    let press = (arguments.purpose == Purpose::Press).then_some("press");
    let imposed = (arguments.impose != Impose::None).then_some("sheets");
    let parts: Vec<&str> = [arguments.only.as_deref(), press, imposed].into_iter().flatten().collect();
    (!parts.is_empty()).then(|| parts.join("."))
}

/// Reads, plans, engraves and lays out, its pages held to those of a printed file if given; `None` when there were errors, which then stand on the desk.
pub fn compose(
    desk: &mut Desk,
    path: &Path,
    edition: Option<&str>,
    only: Option<&str>,
    held: Option<&Manifest>,
    fonts: &Fonts,
    clock: &mut Clock,
) -> Option<(Book, Document)> {
    let mut book = desk.book(path, edition)?;
    if let Some(id) = only {
        super::handout::reduce(&mut book, id, &mut desk.sink);
    }
    clock.mark("reading");
    if desk.sink.has_errors() {
        return None;
    }
    let planned = pipeline::plan(&book, &mut desk.sink);
    clock.mark("plans");
    // A note that is not on the box, or a pin that cannot hold, is an error: nothing is bound.
    let document = pipeline::compose_held(&planned, held, fonts, &mut desk.sink);
    clock.mark("engraving, text and pages");
    (!desk.sink.has_errors()).then_some((book, document))
}

/// Writes the file and says what was bound.
fn finish(
    desk: &Desk,
    arguments: &Bind,
    book: &Book,
    document: &Document,
    fonts: &Fonts,
    path: &Path,
    clock: &mut Clock,
) -> Outcome {
    let laid = lay(&Wish::of(arguments), book, document, fonts);
    // Only where an older file lies at the target is the record needed before the file is.
    let older = older(path);
    let record = older.is_some().then(|| record(document, fonts));
    let written = match &record {
        Some(record) => write_recorded(document, record, &laid.sheets, fonts, &laid.options),
        None => write(document, &laid.sheets, fonts, &laid.options),
    };
    let bytes = match written {
        Ok(bytes) => bytes,
        Err(error) => return desk.fault(&error.to_string()),
    };
    clock.mark("content and file");
    let since = match (&record, &older) {
        // Another book, edition or set of options lay there: nothing can be said about changes.
        (Some(record), Some(older)) => compare(record, older).map(|changes| changes.brief(document).to_vec()).ok(),
        _ => None,
    };
    if let Err(why) = files::write(path, &bytes) {
        return desk.fault(&why);
    }
    clock.mark("writing");
    if arguments.job_sheet
        && let Err(why) = docket::job_sheet(&laid, book, document, &bytes, path, fonts)
    {
        return desk.fault(&why);
    }
    let outcome = desk.report();
    let edition = book.edition.as_ref().map(|name| format!(", {name}")).unwrap_or_default();
    desk.say(&format!("{}{edition}: {}\n", book.title, path.display()));
    let pages = counted(document.pages.len(), "page", "pages");
    desk.say(&format!("{pages}, {}, {} KB\n", laid.paper, bytes.len().div_ceil(1024)));
    for order in laid.orders.iter().chain(&laid.spine) {
        desk.say(&format!("  {order}\n"));
    }
    for line in since.into_iter().flatten().filter(|line| !line.is_empty()) {
        desk.say(&format!("{line}\n"));
    }
    if desk.voice.verbose {
        desk.say(&clock.report());
    }
    outcome
}

/// The record of the file at the target, if it is one of ours.
fn older(path: &Path) -> Option<Manifest> {
    files::read(&files::folder(path), &path.to_string_lossy()).ok().and_then(|old| manifest(&old).ok())
}
