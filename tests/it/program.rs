//! The program as a user runs it, and copies of the demo books to run it on.

use crate::invent::Dice;
use assert_cmd::Command;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{self, Stdio};
use std::time::{Duration, Instant};
use tempfile::TempDir;

/// What a run left behind.
#[derive(Debug)]
pub struct Run {
    /// Exit status.
    pub status: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

/// Runs the program with these words, no colour.
pub fn run(words: &[&str]) -> Run {
    run_in(Path::new(env!("CARGO_MANIFEST_DIR")), words)
}

/// Runs it in a folder.
pub fn run_in(folder: &Path, words: &[&str]) -> Run {
    let mut command = Command::cargo_bin("boxwright").expect("the program is built");
    let output = command.args(words).current_dir(folder).env("NO_COLOR", "1").output().expect("the program starts");
    let err = String::from_utf8_lossy(&output.stderr).into_owned();
    // An abort has the status of a fault; a stack that ran over is none.
    let status = output.status.code().filter(|_| !err.contains("overflowed its stack")).unwrap_or(-1);
    Run { status, out: String::from_utf8_lossy(&output.stdout).into_owned(), err }
}

/// A demo book in a folder of its own, which lives as long as the first value.
pub fn copy_of(book: &str) -> (TempDir, PathBuf) {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let to = keep.path().join(book);
    copy(&Path::new(env!("CARGO_MANIFEST_DIR")).join("books").join(book), &to);
    (keep, to)
}

/// Every folder of `books/` that holds a book, with the names of its editions, as its file declares them.
pub fn books() -> Vec<(String, Vec<String>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("books");
    let mut books = Vec::new();
    for entry in fs::read_dir(folder).expect("there are books").flatten() {
        if let Ok(text) = fs::read_to_string(entry.path().join("book.yaml")) {
            books.push((entry.file_name().to_string_lossy().into_owned(), editions(&text)));
        }
    }
    books.sort();
    assert!(books.len() >= 3 && books.iter().map(|(_, editions)| editions.len()).sum::<usize>() >= 5, "{books:?}");
    books
}

/// The books that are made of tunes, each with itself (no name) and its editions; the guide is a book of prose.
pub fn tune_books() -> Vec<(String, Option<String>)> {
    let of = |(book, editions): (String, Vec<String>)| {
        let names = std::iter::once(None).chain(editions.into_iter().map(Some));
        names.map(|edition| (book.clone(), edition)).collect::<Vec<_>>()
    };
    books().into_iter().filter(|(book, _)| book != "guide").flat_map(of).collect()
}

/// The names of the editions that a book's text declares, one a line under `editions:`.
pub fn editions(book: &str) -> Vec<String> {
    let Some(lines) = book.split("\neditions:\n").nth(1) else { return Vec::new() };
    let lines = lines.lines().take_while(|line| line.is_empty() || line.starts_with([' ', '#']));
    let names = lines.filter_map(|line| line.strip_prefix("  "));
    let names = names.filter(|line| line.starts_with(|first: char| first.is_ascii_lowercase()));
    names.filter_map(|line| line.split_once(':')).map(|(name, _)| name.to_owned()).collect()
}

#[test]
fn editions_are_found_in_the_text_of_a_book() {
    let text =
        "title: A\neditions:\n  one:\n    page: {size: A5}\n  # A remark.\n\n  two: {title: B}\nchapters:\n  no: 1\n";
    assert_eq!(editions(text), ["one", "two"]);
    assert!(editions("title: A\n").is_empty());
}

fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder");
    for entry in fs::read_dir(from).expect("the book is there").flatten() {
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &target);
        } else if entry.path().extension().is_none_or(|ending| ending != "pdf") {
            fs::copy(entry.path(), target).expect("a file is copied");
        }
    }
}

/// Runs the program over and over and kills it at any moment.
pub struct Killing {
    dice: Dice,
    runs: usize,
    longest: Duration,
}

impl Killing {
    /// Nothing run yet.
    pub fn new(seed: u64) -> Self {
        Self { dice: Dice::new(seed), runs: 0, longest: Duration::ZERO }
    }
    /// One run. The first two may end, so that it is known how long one takes; all others are killed, most of them late, since
    /// most of the time is spent before anything is written and the moments that matter come last.
    pub fn run(&mut self, folder: &Path, words: &[&str]) {
        let mut child = process::Command::new(assert_cmd::cargo::cargo_bin("boxwright"))
            .args(words)
            .current_dir(folder)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("it starts");
        self.runs += 1;
        if self.runs <= 2 {
            let start = Instant::now();
            assert!(child.wait().expect("it ends").success());
            self.longest = self.longest.max(start.elapsed());
            return;
        }
        let micros = u64::try_from(self.longest.as_micros()).unwrap_or(100_000);
        std::thread::sleep(Duration::from_micros(micros / 2 + self.dice.roll() % (micros * 5 / 8)));
        let _ = child.kill();
        child.wait().expect("it ends");
    }
}
