//! Binds a book, or one edition, or all of them, or one tune as a handout.

use super::args::{Bind, Impose, Purpose};
use super::desk::{Desk, Outcome, Voice, target};
use super::files;
use super::timing::Clock;
use crate::book::{Book, Colour};
use crate::font::Fonts;
use crate::page::Document;
use crate::pdf::{PdfOptions, PressStandard, write};
use crate::pipeline;
use crate::sheet::{PressLook, Sheet, plain};
use std::path::{Path, PathBuf};

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
    let Some((book, document)) =
        compose(&mut desk, &arguments.book, edition, arguments.only.as_deref(), fonts, &mut clock)
    else {
        return desk.report();
    };
    let path =
        arguments.output.clone().unwrap_or_else(|| target(&arguments.book, edition, arguments.only.as_deref(), "pdf"));
    finish(&desk, arguments, &book, &document, fonts, &path, &mut clock)
}

/// Reads, plans, engraves and lays out; `None` when there were errors, which then stand on the desk.
pub fn compose(
    desk: &mut Desk,
    path: &Path,
    edition: Option<&str>,
    only: Option<&str>,
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
    let document = pipeline::compose(&planned, fonts, &mut desk.sink);
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
    path: &PathBuf,
    clock: &mut Clock,
) -> Outcome {
    let (sheets, options) = sheets(arguments, book, document, fonts);
    let bytes = match write(document, &sheets, fonts, &options) {
        Ok(bytes) => bytes,
        Err(error) => return desk.fault(&error.to_string()),
    };
    clock.mark("content and file");
    if let Err(why) = files::write(path, &bytes) {
        return desk.fault(&why);
    }
    clock.mark("writing");
    let outcome = desk.report();
    let edition = book.edition.as_ref().map(|name| format!(", {name}")).unwrap_or_default();
    desk.say(&format!(
        "{}{edition}: {} pages on {} sheet sides, {} KB: {}\n",
        book.title,
        document.pages.len(),
        sheets.len(),
        bytes.len().div_ceil(1024),
        path.display()
    ));
    if desk.voice.verbose {
        desk.say(&clock.report());
    }
    outcome
}

/// The sheet sides and what is asked of the file.
fn sheets(arguments: &Bind, book: &Book, document: &Document, fonts: &Fonts) -> (Vec<Sheet>, PdfOptions) {
    let slug = [book.title.as_str(), book.edition.as_deref().unwrap_or(""), book.date.as_str()].join("  ");
    let (look, options) = match arguments.purpose {
        Purpose::Reading => (PressLook::reading(), PdfOptions::reading()),
        Purpose::Press => {
            let mut look = PressLook::press(slug);
            look.bleed = book.press.bleed;
            look.crop_marks = book.press.crop_marks;
            look.registration_marks = book.press.registration_marks;
            let mut options = PdfOptions::press(PressStandard::X1a2003, book.press.condition.clone());
            options.spot = match &book.press.spot {
                Colour::Spot(name) => Some(name.clone()),
                Colour::None => None,
            };
            (look, options)
        }
    };
    let sheets = match arguments.impose {
        Impose::None | Impose::Saddle => plain(document, fonts, &look),
    };
    (sheets, options)
}
