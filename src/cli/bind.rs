//! Binds a book, or one edition, or all of them, or one tune as a handout.

use super::args::{Bind, Impose, Purpose, Standard};
use super::desk::{Desk, Outcome, Voice, complain, print, target};
use super::docket;
use super::files;
use super::laying::{CoverLaid, Wish, counted, lay, profile};
use super::report::{self, path_shown};
use super::writing::{Over, Whole};
use crate::book::Book;
use crate::diag::Sink;
use crate::fingering::names_tempo;
use crate::font::Fonts;
use crate::page::{Document, Manifest, lay_out, lay_out_holding};
use crate::pdf::{self, PdfError, Report, Verdict, manifest, record, write, write_recorded};
use crate::pipeline;
use crate::reprint::{Refusal, compare};
use clap::ValueEnum;
use std::cmp::Ordering;
use std::path::{Path, PathBuf};
use std::sync::mpsc::channel;
use std::time::Duration;

/// The file at the target is asked for its record no longer than this: two thousand pages are read in a tenth of it.
const PATIENCE: Duration = Duration::from_secs(5);

/// Does what the arguments ask.
pub fn run(voice: Voice, arguments: &Bind) -> Outcome {
    if let Some(standard) = arguments.standard.filter(|_| arguments.purpose != Purpose::Press) {
        let name = standard.to_possible_value().map(|value| value.get_name().to_owned()).unwrap_or_default();
        let why =
            format!("`--standard {name}` is a standard of files for the press; add `--for press`, or leave it out");
        return Desk::new(voice).fault(&why);
    }
    if arguments.standard == Some(Standard::Both) {
        let why = "no file keeps both `x-4` and `a-2b`: PDF/X-4 wants a statement in the metadata that PDF/A-2b does not take; bind two \
                   files, one with `--standard x-4` for the press and one with `--standard a-2b` to keep";
        return Desk::new(voice).fault(why);
    }
    if let Some(turn) = arguments.turn.filter(|_| arguments.impose == Impose::None) {
        let name = turn.to_possible_value().map(|value| value.get_name().to_owned()).unwrap_or_default();
        let why = format!(
            "`--turn {name}` is for pages laid on larger sheets; add `--impose` with a scheme, or leave it out and choose in the \
             printer's own window about which edge it turns the paper"
        );
        return Desk::new(voice).fault(&why);
    }
    let fonts = Fonts::embedded();
    let mut editions: Vec<Option<String>> = vec![arguments.edition.clone()];
    if arguments.all_editions {
        // The first reading only asks which editions there are; its complaints come again with the book itself.
        let mut desk = Desk::new(voice);
        let names = desk.book(&arguments.book, None).map(|book| book.editions).unwrap_or_default();
        editions.extend(names.into_iter().map(Some));
    }
    let mut worst = Outcome::Done;
    let mut told: Vec<(Option<String>, Desk)> = Vec::new();
    let mut unbound = Vec::new();
    for edition in editions {
        let mut desk = Desk::new(voice);
        if arguments.all_editions {
            let of = edition.as_ref().map(|name| format!("In the edition `{name}`:"));
            desk.about = Some(of.unwrap_or_else(|| "In the book itself:".to_owned()));
            desk.known = told.first().map(|(_, itself)| itself.said()).unwrap_or_default();
        }
        let outcome = one(&mut desk, arguments, edition.as_deref(), &fonts);
        if outcome.status() > worst.status() {
            worst = outcome;
        }
        if outcome != Outcome::Done {
            unbound.push(edition.clone().unwrap_or_else(|| "the book itself".to_owned()));
        }
        told.push((edition, desk));
    }
    if voice.json && arguments.all_editions {
        let told = told.iter().map(|(edition, desk)| (edition.as_deref(), &desk.sink, &desk.sources));
        print(&report::json_of_editions(told));
    } else if arguments.all_editions && !unbound.is_empty() {
        let files = if unbound.len() == 1 { "its file is as it was" } else { "their files are as they were" };
        complain(&format!("{} of {} not bound: {}; {files}\n", unbound.len(), told.len(), unbound.join(", ")));
    }
    worst
}

/// Binds one edition; the files it read stay on the desk.
pub fn one(desk: &mut Desk, arguments: &Bind, edition: Option<&str>, fonts: &Fonts) -> Outcome {
    let only = arguments.only.as_deref();
    let composed = compose(desk, &arguments.book, edition, only, None, fonts);
    let Some((book, mut document, fonts)) = composed else { return desk.report() };
    let wish = Wish::of(arguments);
    wish.leave_cover(&mut document);
    document.manifest.laying = wish.record();
    document.manifest.laying.extend(only.map(|tune| ("only".to_owned(), tune.to_owned())));
    let path = bound_to(arguments, edition);
    finish(desk, arguments, &book, &document, &fonts, &path)
}

/// Where the bound file goes.
pub fn bound_to(arguments: &Bind, edition: Option<&str>) -> PathBuf {
    let kind = Wish::of(arguments).kind(arguments.only.as_deref()).join(".");
    let kind = Some(kind.as_str()).filter(|kind| !kind.is_empty());
    arguments.output.clone().unwrap_or_else(|| target(&arguments.book, edition, kind, "pdf"))
}

/// Reads, plans, engraves and lays out, its pages held to those of a printed file if given; gives the faces too, those that the
/// book brings among them. The book comes without its tunes, which are on its pages now. `None` when there were errors, which then stand on the desk.
pub fn compose(
    desk: &mut Desk,
    path: &Path,
    edition: Option<&str>,
    only: Option<&str>,
    held: Option<&Manifest>,
    fonts: &Fonts,
) -> Option<(Book, Document, Fonts)> {
    let mut book = desk.book(path, edition)?;
    if let Some(id) = only {
        super::handout::reduce(&mut book, id, &mut desk.sink);
    }
    let fonts = &faces(&book, fonts, desk);
    profile(&book, &mut desk.sink);
    if desk.sink.has_errors() {
        // What else is wrong is told in the same round.
        pipeline::check_facts(&book, &mut desk.sink);
        return None;
    }
    desk.clock.enter("plans");
    let planned = pipeline::plan(&book, &mut desk.sink);
    // A note that is not on the box, or a pin that cannot hold, is an error: nothing is bound.
    desk.clock.enter("engraving");
    let material = pipeline::material(&planned, fonts, &mut desk.sink);
    desk.clock.enter("text and pages");
    let document = match held {
        Some(printed) => lay_out_holding(&material, fonts, printed, &mut desk.sink),
        None => lay_out(&material, fonts, &mut desk.sink),
    };
    embeddable(&book, &document, fonts, &mut desk.sink);
    // What pages were made of goes before they are written.
    drop(material);
    drop(planned);
    let fonts = fonts.clone();
    // A tune stands in all editions alike: of its tempo is spoken with the book itself.
    if edition.is_none() && held.is_none() && !desk.sink.has_errors() {
        desk.note = untimed(&book);
    }
    book.release_tunes();
    (!desk.sink.has_errors()).then_some((book, document, fonts))
}

/// Which tunes name no tempo, a line for all; nothing where all do. No warning: many a tune from elsewhere names none, and each
/// is planned at a usual one.
fn untimed(book: &Book) -> String {
    const MOST: usize = 5;
    let titles: Vec<&str> =
        book.tunes().filter(|entry| !names_tempo(&entry.tune)).map(|entry| entry.title.as_str()).collect();
    let more = if titles.len() > MOST { ", and more" } else { "" };
    match titles.len() {
        0 => String::new(),
        n => {
            let (name, are) = if n == 1 { ("tune names", "is") } else { ("tunes name", "are") };
            let named = titles[..n.min(MOST)].join(", ");
            format!("{n} {name} no tempo (`Q:`) and {are} planned at a usual one: {named}{more}\n")
        }
    }
}

/// The faces that a book is set in: the usual ones, and its own.
pub fn faces(book: &Book, fonts: &Fonts, desk: &mut Desk) -> Fonts {
    match &book.fonts {
        Some(own) => fonts.with_own(&own.files, Some(own.place), &mut desk.sink),
        None => fonts.clone(),
    }
}

/// Complains of the book's own fonts of which no file could carry what its pages use: what is wrong with a glyph is seen only when it
/// is taken out of its font.
fn embeddable(book: &Book, document: &Document, fonts: &Fonts, sink: &mut Sink) {
    for (face, why) in pdf::unfit(document, fonts) {
        let name = fonts.own_files().find(|(own, _)| *own == face).map_or("", |(_, name)| name);
        let message =
            format!("the font `{name}` is damaged: the part of it that this book uses cannot be embedded ({why})");
        let hint = "take it anew from where it came from, or another font";
        sink.error(code!("unfit-font"), book.fonts.as_ref().map(|own| own.place), message).hints.push(hint.into());
    }
}

/// Writes the file and says what was bound.
fn finish(desk: &mut Desk, arguments: &Bind, book: &Book, document: &Document, fonts: &Fonts, path: &Path) -> Outcome {
    desk.clock.enter("content and file");
    let laid = lay(&Wish::of(arguments), book, document, fonts, &mut desk.sink);
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
    let report =
        (arguments.purpose == Purpose::Press).then(|| preflighted(desk, &bytes, arguments.impose != Impose::None));
    let cover = match laid.cover.as_ref().map(|cover| covered(desk, cover, fonts, path)).transpose() {
        Ok(cover) => cover,
        Err(error) => return desk.fault(&error.to_string()),
    };
    if desk.sink.has_errors() {
        return desk.report();
    }
    desk.clock.enter("comparing and writing");
    let since = match (&record, &older) {
        (Some(record), Some(older)) => changed_since(record, older, document),
        _ => Vec::new(),
    };
    let bound = docket::Bound { bytes: &bytes, path, report: report.as_ref(), cover: cover.as_ref() };
    let job_sheet = arguments.job_sheet.then(|| docket::job_sheet(desk, &laid, book, document, bound, fonts));
    let job_sheet = match job_sheet.transpose() {
        Ok(job_sheet) => job_sheet,
        Err(why) => return desk.fault(&why),
    };
    let companions = [
        cover.as_ref().map(|cover| (cover.path.as_path(), cover.bytes.as_slice())),
        job_sheet.as_ref().map(|sheet| (sheet.path.as_path(), sheet.bytes.as_slice())),
    ];
    let files = [Some((path, bytes.as_slice()))].into_iter().chain(companions).flatten();
    let files: Vec<Whole<'_>> = files.map(|(path, bytes)| Whole { path, bytes, over: Over::Pdf }).collect();
    if let Err(why) = desk.write_set(&files) {
        return desk.fault(&why);
    }
    let outcome = desk.report();
    let edition = book.edition.as_ref().map(|name| format!(", {name}")).unwrap_or_default();
    desk.say(&format!("{}{edition}: {}\n", book.title, path_shown(path)));
    let job = &laid.job;
    desk.say(&format!("{}, {}, {} KB\n", job.pages, job.paper, bytes.len().div_ceil(1024)));
    let spine = if arguments.purpose == Purpose::Press { &job.spine[..] } else { &[] };
    for order in laid.orders.iter().chain(spine) {
        desk.say(&format!("  {order}\n"));
    }
    if arguments.purpose == Purpose::Press {
        beside(desk, path, ("cover", cover.as_ref().map(|cover| cover.path.as_path())));
    }
    if let Some(laid) = &laid.cover {
        let on_spine = laid.wrapped.on_spine.iter().map(|words| format!("on the spine: {words}"));
        for line in job.cover.iter().cloned().chain(on_spine) {
            desk.say(&format!("  {line}\n"));
        }
    }
    beside(desk, path, ("job sheet", job_sheet.as_ref().map(|sheet| sheet.path.as_path())));
    for line in since {
        desk.say(&format!("{line}\n"));
    }
    desk.say(&desk.note);
    outcome
}

/// Holds a file for the press against what it claims to be before it takes any other's place: what it fails is an error, what a
/// print shop may object to a warning.
pub(super) fn preflighted(desk: &mut Desk, bytes: &[u8], is_imposed: bool) -> Report {
    held_to_its_claims(desk, "file", bytes, is_imposed)
}

/// The same of the file or of the cover that goes with it.
fn held_to_its_claims(desk: &mut Desk, what: &str, bytes: &[u8], is_imposed: bool) -> Report {
    desk.clock.enter("preflight");
    let report = pdf::preflight(bytes);
    if let Some(why) = &report.unreadable {
        let hint = "nothing is written; what lay at its place is as it was";
        let message = format!("the {what} that was made cannot be checked: {why}");
        desk.sink.error(code!("fails-preflight"), None, message).hints.push(hint.into());
    }
    for check in report.asked() {
        let said = format!("{} {}, {}: {}", check.standard, check.id, check.statement, check.found);
        match check.outcome {
            Verdict::Fail => {
                let hint = "nothing is written; what lay at its place is as it was";
                let message = format!("the {what} would fail its own preflight at {said}");
                desk.sink.error(code!("fails-preflight"), None, message).hints.push(hint.into());
            }
            // The last folded sheet may be a half one, and is larger or smaller than the others by design.
            Verdict::Warning if is_imposed && check.id == "P-01" => {}
            // Said already where the name stands in the book.
            Verdict::Warning if check.id == "P-09" => {}
            Verdict::Warning => {
                let hint = "the file keeps its standard and is written; ask the shop, or bind it otherwise";
                let message = format!("a print shop may object to the {what} at {said}");
                desk.sink.warn(code!("preflight-warns"), None, message).hints.push(hint.into());
            }
            _ => {}
        }
    }
    if let Some(check) = report.untold() {
        let hint = "what was looked at keeps its standard, and the file is written; have the shop check it, or bind the book in parts";
        let message = format!("not all of the file could be held against {}: {}", check.standard, check.found);
        desk.sink.warn(code!("preflight-not-whole"), None, message).hints.push(hint.into());
    }
    report
}

/// The cover as a file, held against its standard as the pages are.
fn covered(desk: &mut Desk, laid: &CoverLaid, fonts: &Fonts, path: &Path) -> Result<docket::Cover, PdfError> {
    let bytes = write(&laid.wrapped.document, &laid.wrapped.sheets, fonts, &laid.options)?;
    let report = held_to_its_claims(desk, "cover", &bytes, false);
    Ok(docket::Cover { path: docket::beside(path, "cover"), bytes, report })
}

/// Says where a file lies that goes with the bound one, or that one lies there of an earlier time.
fn beside(desk: &Desk, path: &Path, (what, written): (&str, Option<&Path>)) {
    let old = docket::beside(path, what.split(' ').next().unwrap_or(what));
    match written {
        Some(written) => desk.say(&format!("the {what}: {}\n", path_shown(written))),
        None if old.is_file() => {
            desk.say(&format!("the {what} that lies there, {}, is of an older file\n", path_shown(&old)));
        }
        None => {}
    }
}

/// The record of the file at the target, if it is one of ours. A file that takes long to read, or that is not sound, stands in
/// nobody's way: then nothing is said of it.
fn older(path: &Path) -> Option<Manifest> {
    let path = path.to_owned();
    let (sender, record) = channel();
    // Ends with the process if it has not ended before.
    std::thread::spawn(move || {
        let old = files::read_finished(&path).ok();
        // The receiver is gone when it took too long.
        let _ = sender.send(old.and_then(|old| manifest(&old).ok()));
    });
    record.recv_timeout(PATIENCE).ok().flatten()
}

/// What changed since the file at the target was bound, when it is the same book.
fn changed_since(record: &Manifest, older: &Manifest, document: &Document) -> Vec<String> {
    match compare(record, older) {
        Ok(changes) => {
            let count = grown(document.pages.len(), older.pages.len());
            [Some(changes.brief(document)), changes.first(), count].into_iter().flatten().collect()
        }
        Err(Refusal::OtherOption { key, printed, new }) => {
            vec![format!("every page is set anew since the last time: {key} was {printed}, is now {new}")]
        }
        Err(refusal) => vec![format!("not compared with the file that lay there: {refusal}")],
    }
}

/// By how many pages a book has grown or shrunk; nothing when it has not.
fn grown(now: usize, before: usize) -> Option<String> {
    let by = counted(now.abs_diff(before), "page", "pages");
    match now.cmp(&before) {
        Ordering::Greater => Some(format!("longer by {by}")),
        Ordering::Less => Some(format!("shorter by {by}")),
        Ordering::Equal => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a wish puts into a file's name can be no edition's name.
    #[test]
    fn no_edition_is_called_as_a_kind_of_file() {
        let purpose = Purpose::Press;
        let mut kinds = ["cover", "reprint", "slip", "job"].map(str::to_owned).to_vec();
        for &standard in Standard::value_variants().iter().filter(|standard| **standard != Standard::Both) {
            for &impose in Impose::value_variants() {
                kinds.extend(Wish { purpose, standard, impose, turn: super::super::args::Turn::Short }.kind(None));
            }
        }
        assert!(kinds.len() > 20);
        for kind in kinds {
            assert!(crate::book::says_kind(&kind), "{kind}");
        }
    }

    #[test]
    fn growth_is_told_in_pages() {
        assert_eq!(grown(7, 5).as_deref(), Some("longer by 2 pages"));
        assert_eq!(grown(4, 5).as_deref(), Some("shorter by 1 page"));
        assert_eq!(grown(5, 5), None);
    }

    /// A page with more content than is looked at, and nothing else that is right.
    fn endless() -> Vec<u8> {
        let content = "0 g\n".repeat(5 << 20);
        let mut out = "%PDF-1.4\n".to_owned();
        let mut places = Vec::new();
        for object in [
            "<</Type/Catalog/Pages 2 0 R>>".to_owned(),
            "<</Type/Pages/Kids[3 0 R]/Count 1>>".to_owned(),
            "<</Type/Page/Parent 2 0 R/MediaBox[0 0 99 99]/Contents 4 0 R/Resources<<>>>>".to_owned(),
            format!("<</Length {}>>\nstream\n{content}\nendstream", content.len()),
        ] {
            places.push(out.len());
            out += &format!("{} 0 obj\n{object}\nendobj\n", places.len());
        }
        let table: String = places.iter().map(|place| format!("{place:010} 00000 n \n")).collect();
        let start = out.len();
        out += &format!(
            "xref\n0 5\n0000000000 65535 f \n{table}trailer\n<</Size 5/Root 1 0 R>>\nstartxref\n{start}\n%%EOF\n"
        );
        out.into_bytes()
    }

    #[test]
    fn what_was_not_looked_at_is_said() {
        let mut desk = Desk::new(Voice { quiet: true, verbose: false, json: false });
        let report = preflighted(&mut desk, &endless(), false);
        let said = desk.sink.items().iter().find(|item| item.code == "preflight-not-whole").expect("it is said");
        assert!(said.message.contains("PDF/X-1a:2003") && !said.hints.is_empty(), "{}", said.message);
        assert!(!report.passes());
    }
}
