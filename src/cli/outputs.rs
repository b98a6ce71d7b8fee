//! Commands that write something other than the book: practice files, the proof page, a first book; and `check`.

use super::bind::{compose, faces};
use super::desk::{Desk, Outcome, Voice, target};
use super::files;
use super::laying::counted;
use super::report::path_shown;
use super::tune_file::short_name;
use super::writing::{self, Over};
use crate::book::{self, Book};
use crate::diag::{Diagnostic, Sources};
use crate::font::Fonts;
use crate::pipeline;
use crate::practice::{self, Lesson};
use crate::proof::{self, Complaint};
use std::fs::{self, File};
use std::io::Write;
use std::path::{Path, PathBuf};

/// Says all that `bind` would refuse or warn of.
pub fn check(voice: Voice, path: &Path, edition: Option<&str>) -> Outcome {
    let mut desk = Desk::new(voice);
    let fonts = Fonts::embedded();
    let composed = compose(&mut desk, path, edition, None, None, &fonts);
    let outcome = desk.report();
    if let Some((book, document, _)) = composed {
        desk.say(&format!("{}: {}, nothing to refuse\n", book.title, counted(document.pages.len(), "page", "pages")));
        desk.say(&desk.note);
    }
    outcome
}

/// Writes MIDI files of all tunes at their practice steps.
pub fn practice(voice: Voice, path: &Path, edition: Option<&str>, output: Option<&Path>) -> Outcome {
    let mut desk = Desk::new(voice);
    let Some(book) = desk.book(path, edition).filter(|_| !desk.sink.has_errors()) else { return desk.report() };
    desk.clock.enter("plans");
    let planned = pipeline::plan(&book, &mut desk.sink);
    if desk.sink.has_errors() {
        return desk.report();
    }
    let folder = output.map_or_else(|| files::folder(path).join("practice"), Path::to_owned);
    if let Err(why) = writing::make_folder(&folder) {
        return desk.fault(&why);
    }
    // The folder may have come with the book, and then be a link to anywhere.
    if output.is_none()
        && let Err(why) = files::inside(&files::folder(path), &folder)
    {
        return desk.fault(&format!("cannot write to {}: {why}; name a folder with `-o`", path_shown(&folder)));
    }
    writing::clear(&folder);
    desk.clock.enter("practice files");
    let of = planned.plans.len();
    let mut count = 0;
    for (index, (entry, plan)) in book.tunes().zip(&planned.plans).enumerate() {
        let lesson = Lesson { name: &entry.id, number: index + 1, of };
        for file in practice::files(&lesson, &entry.tune, plan, &book.instrument, &entry.practice) {
            if let Err(why) = writing::write_many(&folder.join(&file.name), &file.bytes, Over::Midi) {
                return desk.fault(&why);
            }
            count += 1;
        }
    }
    let outcome = desk.report();
    let (files, tunes) = (counted(count, "file", "files"), counted(of, "tune", "tunes"));
    desk.say(&format!("{files} for {tunes}: {}\n", path_shown(&folder)));
    outcome
}

/// Writes the proof page. A book with errors is shown as far as it could be read: the errors are what a proof is for.
pub fn proof(voice: Voice, path: &Path, edition: Option<&str>, output: Option<&Path>) -> Outcome {
    let mut desk = Desk::new(voice);
    let Some(mut book) = desk.book(path, edition) else { return desk.report() };
    let fonts = faces(&book, &Fonts::embedded(), &mut desk);
    desk.clock.enter("plans");
    let planned = pipeline::plan(&book, &mut desk.sink);
    desk.clock.enter("engraving, text and pages");
    let document = pipeline::compose(&planned, &fonts, &mut desk.sink);
    let complaints: Vec<Complaint> =
        desk.sink.sorted().into_iter().map(|item| complaint(item, &book, &desk.sources)).collect();
    // What pages were made of goes before they are drawn.
    drop(planned);
    book.release_tunes();
    desk.clock.enter("pictures");
    let to = output.map_or_else(|| target(path, edition, None, "html"), Path::to_owned);
    let fill = &mut |file: &mut File| {
        proof::html(&document, &fonts, &complaints, &mut |piece| file.write_all(piece.as_bytes()))
    };
    if let Err(why) = desk.write_by(&to, fill, Over::Html) {
        return desk.fault(&why);
    }
    let outcome = desk.report();
    desk.say(&format!("{}\n", path_shown(&to)));
    outcome
}

/// A complaint as the proof page shows it, at the bar or tune that its place is about.
fn complaint(item: &Diagnostic, book: &Book, sources: &Sources) -> Complaint {
    let place = item.place.map(|place| format!("{}:{}: ", sources.path(place.file), place.line)).unwrap_or_default();
    let hints: String = item.hints.iter().map(|hint| format!(" ({hint})")).collect();
    let subject = item.place.and_then(|place| pipeline::about(book, place));
    Complaint { severity: item.severity, page: None, subject, text: format!("{place}{}{hints}", item.message) }
}

/// Starts a book in a new folder, with its id and title from the folder's name.
pub fn new_book(voice: Voice, folder: &Path) -> Outcome {
    let mut desk = Desk::new(voice);
    let taken = fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_some());
    if taken || folder.is_file() {
        return desk.fault(&format!("{} is there already; a new book wants a folder of its own", path_shown(folder)));
    }
    let was_there = folder.is_dir();
    if let Err(why) = writing::make_folder(folder) {
        return desk.fault(&why);
    }
    // `.` has its name where it lies.
    let called = folder.canonicalize().ok().and_then(|real| Some(real.file_name()?.to_string_lossy().into_owned()));
    let called = called.unwrap_or_default();
    let mut made = Vec::new();
    for (name, text) in book::new_book(&short_name(&called), &title_of(&called)) {
        let path = folder.join(name);
        let written = writing::make_folder(&files::folder(&path));
        let written = written.and_then(|()| writing::write_many(&path, text.as_bytes(), Over::Any));
        made.push(path);
        if let Err(why) = written {
            unmake(&made, folder, was_there);
            return desk.fault(&why);
        }
    }
    desk.say(&format!("Bind it with: boxwright bind {}\n", typed(&folder.join("book.yaml").display().to_string())));
    Outcome::Done
}

/// Takes away what was made of a book that could not be made whole, so that it can be tried again; best effort.
fn unmake(made: &[PathBuf], folder: &Path, was_there: bool) {
    for path in made {
        let _ = fs::remove_file(path);
    }
    // A folder goes once it is empty; the deeper ones come first.
    for path in made.iter().rev() {
        let inside = path.ancestors().skip(1).take_while(|above| *above != folder);
        inside.for_each(|above| drop(fs::remove_dir(above)));
    }
    if !was_there {
        let _ = fs::remove_dir(folder);
    }
}

/// A title from a folder's name: `evening-class` is `Evening Class`; a name with blanks or capitals is a title already.
fn title_of(name: &str) -> String {
    if name.contains(|c: char| c.is_whitespace() || c.is_uppercase()) {
        return name.to_owned();
    }
    let words = name.split(['-', '_']).filter(|word| !word.is_empty());
    let capital = |word: &str| {
        let mut letters = word.chars();
        letters.next().map(|first| first.to_uppercase().chain(letters).collect::<String>()).unwrap_or_default()
    };
    words.map(capital).collect::<Vec<String>>().join(" ")
}

/// A path as it can be typed after a command: between quotation marks where a shell would take it apart (POSIX.1-2017, Shell
/// Command Language, 2.2.2).
fn typed(path: &str) -> String {
    let is_plain = |c: char| c.is_alphanumeric() || matches!(c, '/' | '.' | '-' | '_' | '\\' | ':');
    if path.chars().all(is_plain) { path.to_owned() } else { format!("'{}'", path.replace('\'', "'\\''")) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_book_is_called_by_its_folder() {
        let title = |name: &str| (short_name(name), title_of(name));
        assert_eq!(title("evening-class"), ("evening-class".into(), "Evening Class".into()));
        assert_eq!(title("Ma Classe éé"), ("ma-classe-ee".into(), "Ma Classe éé".into()));
        assert_eq!(title("élan_2").1, "Élan 2");
        assert_eq!(title("夜"), ("book".into(), "夜".into()));
        assert_eq!(title("--"), ("book".into(), String::new()));
    }

    #[test]
    fn a_path_can_be_pasted_back() {
        assert_eq!(typed("class/book.yaml"), "class/book.yaml");
        assert_eq!(typed("Ma Classe éé/book.yaml"), "'Ma Classe éé/book.yaml'");
        assert_eq!(typed("Ann's/book.yaml"), "'Ann'\\''s/book.yaml'");
    }
}
