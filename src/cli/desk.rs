//! What every command works with: the files read so far, the complaints, and how to say them.

use super::files;
use super::report;
use super::timing::Clock;
use crate::book::{self, Book};
use crate::diag::{Sink, Sources};
use std::io::{IsTerminal, Write};
use std::path::{Path, PathBuf};

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
    /// The stages of the command.
    pub clock: Clock,
}

impl Desk {
    /// An empty desk.
    pub fn new(voice: Voice) -> Self {
        let clock = Clock::new(!voice.quiet && !voice.json);
        Self { voice, sources: Sources::default(), sink: Sink::default(), about: None, clock }
    }
    /// Reads one edition of a book with all its files; complaints stay on the desk.
    pub fn book(&mut self, path: &Path, edition: Option<&str>) -> Option<Book> {
        self.clock.enter("reading");
        let root = files::folder(path);
        let mut read = |name: &str| files::read(&root, name);
        book::read(&path.to_string_lossy(), edition, &mut read, &mut self.sources, &mut self.sink)
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
            let text = report::text(&self.sink, &self.sources, colour, self.voice.quiet);
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
        complain(&report::text(&self.sink, &self.sources, false, true));
        if self.sink.has_errors() { Outcome::Errors } else { Outcome::Done }
    }
    /// Says something on standard output, unless asked to be quiet.
    pub fn say(&self, text: &str) {
        if !self.voice.quiet && !self.voice.json {
            print(text);
        }
    }
    /// Says how the machine failed.
    pub fn fault(&mut self, text: &str) -> Outcome {
        self.clock.rest();
        complain(&format!("error: {text}\n"));
        Outcome::Fault
    }
}

/// Writes to standard output; a reader that has gone away is no fault of ours.
pub fn print(text: &str) {
    let _ = std::io::stdout().lock().write_all(text.as_bytes());
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
    folder.join(parts.join("."))
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
    }
}
