//! `watch` as an author has it running beside the editor: one process, a folder that changes under it, and what it says.

use crate::program::copy_of;
use std::fs;
use std::io::{BufRead, BufReader, Read};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

/// The machine may be busy; a save is bound long before that.
const LONGEST: Duration = Duration::from_secs(60);

/// The running program, ended when the test is over, and the lines it writes.
struct Watching {
    child: Child,
    lines: Receiver<String>,
}

impl Watching {
    fn start(book: &Path, words: &[&str]) -> Self {
        let mut child = Command::new(assert_cmd::cargo::cargo_bin("boxwright"))
            .arg("watch")
            .arg(book.join("book.yaml"))
            .args(words)
            .env("NO_COLOR", "1")
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let (sender, lines) = channel();
        let pipes: [Box<dyn Read + Send>; 2] =
            [Box::new(child.stdout.take().expect("piped")), Box::new(child.stderr.take().expect("piped"))];
        for pipe in pipes {
            let sender = sender.clone();
            // Each thread ends with its pipe, which ends with the program.
            std::thread::spawn(move || {
                for line in BufReader::new(pipe).lines().map_while(Result::ok) {
                    let _ = sender.send(line);
                }
            });
        }
        Self { child, lines }
    }

    /// Waits for a line with these words, and gives all lines up to it.
    #[track_caller]
    fn wait_for(&self, words: &str) -> Vec<String> {
        let until = Instant::now() + LONGEST;
        let mut seen = Vec::new();
        while let Ok(line) = self.lines.recv_timeout(until.saturating_duration_since(Instant::now())) {
            let found = line.contains(words);
            seen.push(line);
            if found {
                return seen;
            }
        }
        panic!("no `{words}` in {seen:#?}");
    }
}

impl Drop for Watching {
    fn drop(&mut self) {
        // It may have ended by itself.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Saves as careful editors do: beside the file, then moved over it.
fn save_by_rename(path: &Path, text: &str) {
    let beside = path.with_extension("tmp");
    fs::write(&beside, text).expect("written");
    fs::rename(beside, path).expect("moved");
}

fn read(path: &Path) -> String {
    fs::read_to_string(path).expect("it is there")
}

#[test]
fn each_save_is_bound_and_what_changed_is_said() {
    let (_keep, book) = copy_of("first-steps");
    let (pdf, tune) = (book.join("first-steps.pdf"), book.join("tunes/two-gates.yaml"));
    let watching = Watching::start(&book, &[]);
    watching.wait_for("watching");
    watching.wait_for("bound in");
    let first = fs::read(&pdf).expect("bound");

    // A pin changes one bar.
    let good = read(&tune);
    let pinned = good.replacen("pins:\n", "pins:\n  - {bar: 9, note: 1, row: inner}\n", 1);
    save_by_rename(&tune, &pinned);
    let said = watching.wait_for("bound in").join("\n");
    assert!(said.contains("1 page changed since the last time") && said.contains("bar 9"), "{said}");
    assert_ne!(fs::read(&pdf).expect("bound"), first);

    // A mistake leaves the file as it was.
    let bound = fs::read(&pdf).expect("bound");
    save_by_rename(&tune, &good.replacen("title:", "tilte:", 1));
    let said = watching.wait_for("not bound").join("\n");
    // The two pipes are read side by side, so the complaint may come after the last word.
    let said = if said.contains("did you mean `title`?") {
        said
    } else {
        watching.wait_for("did you mean `title`?").join("\n") + &said
    };
    assert!(said.contains("first-steps.pdf is as it was"), "{said}");
    assert_eq!(fs::read(&pdf).expect("still there"), bound);

    // A file that vanishes for a moment comes back.
    fs::remove_file(&tune).expect("removed");
    watching.wait_for("not bound");
    assert_eq!(fs::read(&pdf).expect("still there"), bound);
    fs::write(&tune, &pinned).expect("written");
    watching.wait_for("nothing changed since the last time");
    watching.wait_for("bound in");

    // A chapter more makes the book longer.
    let source = book.join("book.yaml");
    let text = read(&source);
    fs::write(book.join("weeks/3.md"), "A third week.\n").expect("written");
    let longer = text.replacen("back:", "  - title: Week three\n    text: weeks/3.md\nback:", 1);
    assert_ne!(longer, text, "the demo book has a back");
    save_by_rename(&source, &longer);
    let said = watching.wait_for("longer by").join("\n");
    assert!(said.contains("longer by 1 page") || said.contains("longer by 2 pages"), "{said}");
}

#[test]
fn folders_may_move_away_and_come_back() {
    let (keep, book) = copy_of("first-steps");
    let watching = Watching::start(&book, &[]);
    watching.wait_for("bound in");
    // The folder of tunes goes and comes back.
    let (tunes, aside) = (book.join("tunes"), book.join("old-tunes"));
    fs::rename(&tunes, &aside).expect("moved");
    watching.wait_for("not bound");
    fs::rename(&aside, &tunes).expect("moved back");
    watching.wait_for("bound in");
    // The book's own folder goes and comes back.
    let elsewhere = keep.path().join("elsewhere");
    fs::rename(&book, &elsewhere).expect("moved");
    watching.wait_for("has gone; waiting for it");
    fs::rename(&elsewhere, &book).expect("moved back");
    watching.wait_for("watching");
    watching.wait_for("bound in");
    // Another folder takes its place at once; saves there are seen.
    fs::rename(&book, &elsewhere).expect("moved");
    let (_other, fresh) = copy_of("first-steps");
    fs::rename(&fresh, &book).expect("moved");
    watching.wait_for("bound in");
    let week = book.join("weeks/1.md");
    let text = read(&week);
    fs::write(&week, text + "\nOne more line.\n").expect("written");
    watching.wait_for("changed since the last time");
}

#[test]
fn a_shelf_is_watched_too() {
    let (keep, book) = copy_of("first-steps");
    let shelf = keep.path().join("shelf");
    fs::create_dir(&shelf).expect("a folder");
    let tune: PathBuf = shelf.join("two-gates.yaml");
    fs::rename(book.join("tunes/two-gates.yaml"), &tune).expect("moved to the shelf");
    let source = book.join("book.yaml");
    let text = read(&source);
    let shelved = text.replacen("box:", "shelf: ../shelf\nbox:", 1).replace("tunes/two-gates.yaml", "two-gates.yaml");
    fs::write(&source, shelved).expect("written");
    let watching = Watching::start(&book, &[]);
    watching.wait_for("bound in");
    let good = read(&tune);
    save_by_rename(&tune, &good.replacen("Two Gates", "Two Open Gates", 1));
    watching.wait_for("changed since the last time");
}

#[test]
fn a_book_that_is_not_there_is_a_fault() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let run = crate::program::run_in(keep.path(), &["watch", "none/book.yaml"]);
    assert_eq!(run.status, 2);
    assert!(run.err.contains("none/book.yaml: there is no such file to watch"), "{}", run.err);
}
