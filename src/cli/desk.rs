//! What every command works with: the files read so far, the complaints, and how to say them.

use super::files::{self, Reader};
use super::laying::counted;
use super::report::{self, path_shown};
use super::timing::Clock;
use super::writing::{self, Over, Whole};
use crate::book::{self, Book};
use crate::diag::{Diagnostic, Severity, Sink, Sources};
use std::collections::BTreeSet;
use std::fs;
use std::io::{self, IsTerminal, Write};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

/// How a command ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// Done; warnings allowed.
    Done,
    /// The author's files have errors; nothing was written.
    Errors,
    /// The command line or the machine is at fault.
    Fault,
}

impl Outcome {
    /// The exit status.
    pub const fn status(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::Errors => 1,
            Self::Fault => 2,
        }
    }
}

/// How loud to be.
#[derive(Debug, Clone, Copy)]
pub struct Voice {
    /// Say nothing but errors.
    pub quiet: bool,
    /// Say on standard error how long each stage took.
    pub verbose: bool,
    /// Complaints as JSON on standard output.
    pub json: bool,
}

/// The desk.
#[derive(Debug)]
pub struct Desk {
    /// How loud to be.
    pub voice: Voice,
    /// The files read.
    pub sources: Sources,
    /// The complaints.
    pub sink: Sink,
    /// What the complaints are about where a command does several things, as their heading.
    pub about: Option<String>,
    /// Complaints that have been said already of the book itself, as [`Desk::said`] gives them: of an edition they are counted.
    pub known: BTreeSet<String>,
    /// The stages of the command.
    pub clock: Clock,
    /// What is worth a line at the end and is no complaint.
    pub note: String,
    /// Every file that has been read for a result, texts, pictures and fonts: none of them may be written over.
    pub read: Vec<PathBuf>,
}

impl Desk {
    /// An empty desk.
    pub fn new(voice: Voice) -> Self {
        let clock = Clock::new(!voice.quiet && !voice.json);
        Self {
            voice,
            sources: Sources::default(),
            sink: Sink::default(),
            about: None,
            note: String::new(),
            known: BTreeSet::new(),
            clock,
            read: Vec::new(),
        }
    }
    /// What has been complained about, each with its place, to be known again on another desk.
    pub fn said(&self) -> BTreeSet<String> {
        self.sink.items().iter().map(|item| self.key(item)).collect()
    }
    fn key(&self, item: &Diagnostic) -> String {
        let place = item.place.map(|at| format!("{}:{}:{}", self.sources.path(at.file), at.line, at.column));
        format!("{} {} {}", item.code, place.unwrap_or_default(), item.message)
    }
    /// What is said here for the first time, and in words how much is known from the book itself.
    fn first_said(&self) -> (Sink, String) {
        let again: Vec<&Diagnostic> =
            self.sink.items().iter().filter(|item| self.known.contains(&self.key(item))).collect();
        let count = |severity| again.iter().filter(|item| item.severity == severity).count();
        let errors = Some(count(Severity::Error)).filter(|n| *n > 0).map(|n| counted(n, "error", "errors"));
        let warnings = Some(count(Severity::Warning)).filter(|n| *n > 0 && !self.voice.quiet);
        let warnings = warnings.map(|n| counted(n, "warning", "warnings"));
        let words: Vec<String> = [errors, warnings].into_iter().flatten().collect();
        let words = if words.is_empty() { String::new() } else { words.join(" and ") + " as in the book itself\n" };
        (self.sink.clone().kept(|item| !self.known.contains(&self.key(item))), words)
    }
    /// Reads one edition of a book with all its files; complaints stay on the desk.
    pub fn book(&mut self, path: &Path, edition: Option<&str>) -> Option<Book> {
        self.clock.enter("reading");
        let mut reader = Reader::new(path);
        let mut file = |name: &str| reader.file(name);
        let name = path.to_string_lossy();
        let book = book::read(&name, edition, &mut file, &mut self.sources, &mut self.sink);
        self.read.append(&mut reader.read);
        book
    }
    /// Writes a result whole, unless one of the files that it was made of lies there, or a file of another kind.
    ///
    /// # Errors
    /// In the author's words; what lies there is then as it was.
    pub fn write(&self, path: &Path, bytes: &[u8], over: Over) -> Result<(), String> {
        self.spare(path)?;
        writing::write(path, bytes, over)
    }
    /// As [`Desk::write`] for a result that is never in memory as a whole.
    ///
    /// # Errors
    /// In the author's words; what lies there is then as it was.
    pub fn write_by(&self, path: &Path, fill: &mut writing::Fill<'_>, over: Over) -> Result<(), String> {
        self.spare(path)?;
        writing::write_by(path, fill, over)
    }
    /// Writes results that belong together, under the same conditions: all of them or none.
    ///
    /// # Errors
    /// In the author's words; what lies there is then as it was.
    pub fn write_set(&self, files: &[Whole<'_>]) -> Result<(), String> {
        files.iter().try_for_each(|file| self.spare(file.path))?;
        writing::write_set(files)
    }
    /// Whether one of the files that a result is made of lies at its place.
    fn spare(&self, path: &Path) -> Result<(), String> {
        if let Ok(target) = fs::canonicalize(path)
            && self.read.iter().any(|read| fs::canonicalize(read).is_ok_and(|read| read == target))
        {
            let shown = path_shown(path);
            return Err(format!(
                "cannot write {shown}: the result was made from this very file; name another with `-o`"
            ));
        }
        Ok(())
    }
    /// Prints what has been complained about, and says whether there were errors.
    pub fn report(&mut self) -> Outcome {
        self.clock.rest();
        if self.voice.json {
            // What a command does several times makes one text of JSON, which it prints at its end.
            if self.about.is_none() {
                print(&report::json(&self.sink, &self.sources));
            }
        } else {
            let colour =
                std::io::stderr().is_terminal() && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty());
            let (sink, again) = self.first_said();
            let text = report::text(&sink, &self.sources, colour, self.voice.quiet) + &again;
            if let Some(about) = self.about.as_ref().filter(|_| !text.is_empty()) {
                complain(&format!("{about}\n\n"));
            }
            complain(&text);
        }
        if self.voice.verbose && !self.voice.json {
            complain(&self.clock.report());
        }
        if self.sink.has_errors() { Outcome::Errors } else { Outcome::Done }
    }
    /// Says in words on the error stream what has been complained about, whatever form the result has, and whether there were
    /// errors.
    pub fn report_beside(&self) -> Outcome {
        complain(&report::text(&self.sink, &self.sources, false, self.voice.quiet));
        if self.sink.has_errors() { Outcome::Errors } else { Outcome::Done }
    }
    /// Says something on standard output, unless asked to be quiet.
    pub fn say(&self, text: &str) {
        if !self.voice.quiet && !self.voice.json {
            print(&report::lines_shown(text));
        }
    }
    /// Says how the machine failed.
    pub fn fault(&mut self, text: &str) -> Outcome {
        self.clock.rest();
        complain(&report::lines_shown(&format!("error: {text}\n")));
        Outcome::Fault
    }
}

/// Why standard output could not be written, if it could not.
static UNSAID: Mutex<Option<String>> = Mutex::new(None);

/// Writes to standard output. A reader that has gone away is no fault of ours; whatever else is wrong is told when the command
/// ends ([`unsaid`]).
pub fn print(text: &str) {
    let mut out = io::stdout().lock();
    if let Err(error) = out.write_all(text.as_bytes()).and_then(|()| out.flush())
        && error.kind() != io::ErrorKind::BrokenPipe
    {
        let mut unsaid = UNSAID.lock().unwrap_or_else(PoisonError::into_inner);
        unsaid.get_or_insert_with(|| files::explain(&error));
    }
}

/// Why something that the command said did not reach standard output, once.
pub fn unsaid() -> Option<String> {
    UNSAID.lock().unwrap_or_else(PoisonError::into_inner).take()
}

/// Writes to standard error.
pub fn complain(text: &str) {
    let _ = std::io::stderr().lock().write_all(text.as_bytes());
}

/// Where a bound file goes: beside the book, named after it and its edition.
pub fn target(book: &Path, edition: Option<&str>, only: Option<&str>, ending: &str) -> PathBuf {
    let folder = files::folder(book);
    // `lantern-nights/book.yaml` gives `lantern-nights/lantern-nights.pdf`; another name gives its own.
    let stem = book.file_stem().map(|stem| stem.to_string_lossy().into_owned()).unwrap_or_default();
    let own = folder
        .canonicalize()
        .ok()
        .and_then(|folder| folder.file_name().map(|name| name.to_string_lossy().into_owned()));
    let name = if stem == "book" { own.unwrap_or(stem) } else { stem };
    let parts: Vec<&str> = [Some(name.as_str()), edition, only, Some(ending)].into_iter().flatten().collect();
    // The words of a book or of a finished file never lead out of the folder, whoever has let them pass.
    folder.join(parts.join(".").replace(|c: char| matches!(c, '/' | '\\') || c.is_control(), "-"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bound_files_are_named_after_the_book_and_its_edition() {
        let all = tempfile::tempdir().expect("a folder for the test");
        let folder = all.path().join("lantern-nights");
        std::fs::create_dir(&folder).expect("a folder");
        let book = folder.join("book.yaml");
        assert_eq!(target(&book, None, None, "pdf"), folder.join("lantern-nights.pdf"));
        assert_eq!(target(&book, Some("large-print"), None, "pdf"), folder.join("lantern-nights.large-print.pdf"));
        assert_eq!(target(&folder.join("other.yaml"), None, None, "pdf"), folder.join("other.pdf"));
        let away = target(&book, Some("x/../../away"), Some("..\\a\0"), "pdf");
        assert_eq!(away, folder.join("lantern-nights.x-..-..-away...-a-.pdf"));
    }
}
