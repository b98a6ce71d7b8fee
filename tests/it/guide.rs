//! The guide: every example in it is accepted by the program, and its reference names every key there is.
//!
//! An example is a fenced `yaml` block of a chapter that begins with `# book.yaml`, `# tune` or `# box`. A block that stands
//! by itself is taken whole; of another one, each key replaces the same key of a small book or of the guide's first tune.
//! The chapters that a newcomer reads are also followed in order, every command typed and every example saved where they say.

use crate::program::{copy_of, editions, run, run_in};
use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

/// The book that examples of single keys are put into.
const SMALL: &str = "\
book: 1
id: examples
title: Examples
date: 2026-09-01
box: dg-21-third
chapters:
  - title: One
    tunes: [tunes/enamel-jug.yaml, tunes/lamp-in-the-lane.yaml, tunes/two-spoons.yaml]
";

/// The guide's first tune, which examples of single keys are put into.
const JUG: &str = "tunes/enamel-jug.yaml";

/// What an example is a piece of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Piece {
    Book,
    Tune,
    Box,
}

/// An example with the place it stands at, for messages.
#[derive(Debug)]
struct Example {
    place: String,
    piece: Piece,
    text: String,
}

fn guide() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("books/guide")
}

/// The chapters in order: file name and text.
fn chapters() -> Vec<(String, String)> {
    let entries = fs::read_dir(guide().join("chapters")).expect("the guide has chapters");
    let mut chapters: Vec<_> = entries
        .map(|entry| {
            let path = entry.expect("a chapter is listed").path();
            let name = path.file_name().expect("it has a name").to_string_lossy().into_owned();
            (name, fs::read_to_string(path).expect("a chapter is text"))
        })
        .collect();
    chapters.sort();
    chapters
}

/// The fenced blocks of a text: the word after the fence, the line the block begins on, its text.
fn fenced(text: &str) -> Vec<(&str, usize, String)> {
    let mut blocks = Vec::new();
    let mut open: Option<(&str, usize, String)> = None;
    for (number, line) in (1..).zip(text.lines()) {
        if let Some(word) = line.strip_prefix("```") {
            match open.take() {
                Some(block) => blocks.push(block),
                None => open = Some((word, number + 1, String::new())),
            }
        } else if let Some((_, _, block)) = &mut open {
            block.push_str(line);
            block.push('\n');
        }
    }
    assert!(open.is_none(), "a fence is left open");
    blocks
}

fn examples() -> Vec<Example> {
    let mut examples = Vec::new();
    for (name, text) in chapters() {
        for (word, line, block) in fenced(&text) {
            if word != "yaml" {
                continue;
            }
            let place = format!("{name}:{line}");
            let piece = match block.lines().next() {
                Some("# book.yaml") => Piece::Book,
                Some("# tune") => Piece::Tune,
                Some("# box") => Piece::Box,
                first => panic!("{place}: a yaml block begins with what it is a piece of, not with {first:?}"),
            };
            examples.push(Example { place, piece, text: block });
        }
    }
    examples
}

/// The outermost keys of a file, each with all its lines.
fn keys(text: &str) -> Vec<(String, String)> {
    let mut keys: Vec<(String, String)> = Vec::new();
    for line in text.lines() {
        if line.starts_with(|first: char| first.is_ascii_lowercase()) {
            let name = line.split(':').next().unwrap_or(line);
            keys.push((name.to_owned(), String::new()));
        }
        if let Some((_, lines)) = keys.last_mut() {
            lines.push_str(line);
            lines.push('\n');
        }
    }
    keys
}

/// A file with the keys of another in place of its own.
fn replaced(base: &str, by: &str) -> String {
    let mut all = keys(base);
    for (name, lines) in keys(by) {
        match all.iter_mut().find(|(known, _)| *known == name) {
            Some((_, old)) => *old = lines,
            None => all.push((name, lines)),
        }
    }
    all.into_iter().map(|(_, lines)| lines).collect()
}

/// Whether a piece of a tune is a tune by itself.
fn whole(tune: &str) -> bool {
    keys(tune).iter().any(|(name, _)| name == "music")
}

/// Where the guide has a whole tune saved: under its id, in the book's folder of tunes.
fn saved_as(tune: &str) -> String {
    let all = keys(tune);
    let id = all.iter().find(|(name, _)| name == "id").and_then(|(_, line)| line.split(':').nth(1));
    format!("tunes/{}.yaml", id.expect("a whole tune has an id").trim())
}

/// A copy of a demo book, with the guide's tunes and the small book in it.
fn desk() -> (TempDir, PathBuf) {
    let (keep, book) = copy_of("first-steps");
    for tune in ["enamel-jug.yaml", "lamp-in-the-lane.yaml"] {
        fs::copy(guide().join("tunes").join(tune), book.join("tunes").join(tune)).expect("a tune is copied");
    }
    for example in examples() {
        if example.piece == Piece::Tune && whole(&example.text) {
            let path = book.join(saved_as(&example.text));
            if !path.exists() {
                fs::write(path, &example.text).expect("a tune of the guide is written");
            }
        }
    }
    fs::create_dir(book.join("boxes")).expect("a folder for boxes");
    fs::write(book.join("book.yaml"), SMALL).expect("the small book is written");
    (keep, book)
}

fn accepted(folder: &Path, words: &[&str], example: &Example) {
    let run = run_in(folder, words);
    assert_eq!(run.status, 0, "{}: {words:?} says\n{}\nto\n{}", example.place, run.err, example.text);
}

fn try_out(example: &Example) {
    let (_keep, book) = desk();
    let write = |path: &str, text: &str| fs::write(book.join(path), text).expect("an example is written");
    match example.piece {
        Piece::Book => {
            let text = replaced(SMALL, &example.text);
            write("book.yaml", &text);
            for edition in editions(&text) {
                accepted(&book, &["check", "book.yaml", "--edition", &edition], example);
            }
        }
        Piece::Tune => {
            if whole(&example.text) {
                write(&saved_as(&example.text), &example.text);
            } else {
                let base = fs::read_to_string(book.join(JUG)).expect("the tune is there");
                write(JUG, &replaced(&base, &example.text));
            }
        }
        Piece::Box => {
            write("boxes/mine.yaml", &example.text);
            accepted(&book, &["boxes", "boxes/mine.yaml"], example);
            return;
        }
    }
    accepted(&book, &["check", "book.yaml"], example);
}

#[test]
fn every_example_is_accepted() {
    let examples = examples();
    for (piece, least) in [(Piece::Book, 20), (Piece::Tune, 10), (Piece::Box, 4)] {
        let count = examples.iter().filter(|example| example.piece == piece).count();
        assert!(count >= least, "only {count} examples of {piece:?} were found");
    }
    examples.iter().for_each(try_out);
}

/// A newcomer at the keyboard: the folder the terminal stands in, and how many commands have been typed.
struct Newcomer {
    here: PathBuf,
    typed: usize,
}

impl Newcomer {
    fn read(&self, path: &str) -> String {
        fs::read_to_string(self.here.join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
    }

    fn save(&self, path: &str, text: &str) {
        fs::write(self.here.join(path), text).unwrap_or_else(|error| panic!("{path}: {error}"));
    }

    fn put(&self, path: &str, piece: &str) {
        self.save(path, &replaced(&self.read(path), piece));
    }

    /// Takes keys out of a file again, where the guide says so.
    fn take_out(&self, path: &str, names: &[&str]) {
        let all = keys(&self.read(path));
        self.save(
            path,
            &all.into_iter().filter(|(name, _)| !names.contains(&name.as_str())).map(|all| all.1).collect::<String>(),
        );
    }

    fn run(&self, words: &[&str], place: &str) -> String {
        let run = run_in(&self.here, words);
        assert_eq!(run.status, 0, "{place}: {words:?} says\n{}{}", run.out, run.err);
        run.out
    }

    /// Types one line of a chapter.
    fn types(&mut self, line: &str, place: &str) {
        // Quotation marks hold a word together, as in every shell.
        let words: Vec<&str> = line
            .split('"')
            .enumerate()
            .flat_map(|(at, part)| match at % 2 {
                0 => part.split_whitespace().collect(),
                _ => vec![part],
            })
            .collect();
        match words[..] {
            // Building the program, and looking about.
            ["pwd" | "ls"] | ["cd", "boxwright"] | ["cargo", ..] => {}
            ["cd", folder] => self.here.push(folder),
            // Only Ctrl and C end it.
            ["boxwright", "watch", ..] => {}
            ["boxwright", "bind", "book.yaml"] => self.prints(place),
            ["boxwright", "reprint", ..] => self.prints_again(&words[1..], place),
            ["boxwright", "bring", file, ..] => {
                let score = "tests/fuzz/seeds/musicxml/score-plain.musicxml";
                let text = match Path::new(file).extension().and_then(|ending| ending.to_str()) {
                    Some("abc") => "X:12\nT:Sunday\nM:4/4\nL:1/4\nK:G\nG A B c | d4 |]\n".to_owned(),
                    _ => fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(score)).expect("a score"),
                };
                self.save(file, &text);
                self.run(&words[1..], place);
            }
            ["boxwright", ..] => {
                self.run(&words[1..], place);
            }
            _ => panic!("{place}: nobody told the newcomer of `{line}`"),
        }
        self.typed += 1;
    }

    /// Binds, and keeps the file as it was printed.
    fn prints(&self, place: &str) {
        self.run(&["bind", "book.yaml"], place);
        fs::create_dir_all(self.here.join("printed")).expect("a folder for what was printed");
        fs::copy(self.here.join("evening-class.pdf"), self.here.join("printed/evening-class.pdf")).expect("a copy");
    }

    /// Prints again what changed since: the one page with the one note.
    fn prints_again(&self, words: &[&str], place: &str) {
        let out = self.run(words, place);
        assert!(
            out.contains("1 page changed") && out.contains("The Enamel Jug, bar 3, note 2: now push, outer 6"),
            "{out}"
        );
    }

    /// Saves an example where the guide says, and checks the book.
    fn saves(&self, block: &str, place: &str) {
        match block.lines().next() {
            Some("# book.yaml") if block.contains("\nbook: 1\n") => self.save("book.yaml", block),
            Some("# book.yaml") => self.put("book.yaml", block),
            Some("# tune") if whole(block) => self.save(&saved_as(block), block),
            Some("# tune") => self.put(JUG, block),
            _ => {
                let path = if block.contains("\nfamily:") { "boxes/small.yaml" } else { "boxes/mine.yaml" };
                fs::create_dir_all(self.here.join("boxes")).expect("a folder for boxes");
                self.save(path, block);
                self.put("book.yaml", "box: boxes/mine.yaml\n");
            }
        }
        // The book of the second chapter is written before its tune.
        if self.here.join(JUG).exists() {
            self.run(&["check", "book.yaml"], place);
        }
        self.take_out("book.yaml", &["shelf"]);
        if block.contains("\ntranspose:") {
            self.take_out(JUG, &["transpose", "pins"]);
        }
    }
}

#[test]
fn the_guide_can_be_followed_from_nothing_to_a_reprint() {
    let keep = tempfile::tempdir().expect("a folder for the newcomer");
    let mut newcomer = Newcomer { here: keep.path().to_owned(), typed: 0 };
    // The reference begins with the sixteenth chapter.
    for (name, text) in chapters().into_iter().filter(|(name, _)| name.as_str() < "16") {
        for (word, line, block) in fenced(&text) {
            let place = format!("{name}:{line}");
            match word {
                "sh" => block.lines().for_each(|line| newcomer.types(line, &place)),
                "yaml" => newcomer.saves(&block, &place),
                _ => {}
            }
        }
    }
    assert!(newcomer.typed >= 30, "only {} commands were typed", newcomer.typed);
    for file in
        ["evening-class.kitchen-floor.pdf", "booklet.pdf", "evening-class.large-print.pdf", "evening-class.html"]
    {
        assert!(newcomer.here.join(file).exists(), "{file} is not where the guide says");
    }
}

#[test]
fn an_example_that_is_wrong_would_be_refused() {
    let (_keep, book) = desk();
    fs::write(book.join("book.yaml"), replaced(SMALL, "page: {bindng: comb}\n")).expect("the book is written");
    assert_eq!(run_in(&book, &["check", "book.yaml"]).status, 1);
    let jug = book.join("tunes/enamel-jug.yaml");
    let base = fs::read_to_string(&jug).expect("the tune is there");
    fs::write(&jug, replaced(&base, "pins:\n  - {bars: 1-2, direction: push}\n")).expect("the tune is written");
    fs::write(book.join("book.yaml"), SMALL).expect("the book is written");
    let run = run_in(&book, &["check", "book.yaml"]);
    assert!(run.status == 1 && run.err.contains("pin-cannot-hold"), "{}", run.err);
}

/// Every key that a schema knows, whatever it belongs to.
fn known(schema: &Value, keys: &mut BTreeSet<String>) {
    match schema {
        Value::Object(map) => {
            for (name, value) in map {
                if let ("properties", Value::Object(properties)) = (name.as_str(), value) {
                    keys.extend(properties.keys().cloned());
                }
                known(value, keys);
            }
        }
        Value::Array(list) => list.iter().for_each(|value| known(value, keys)),
        _ => {}
    }
}

#[test]
fn the_reference_has_a_line_for_every_key() {
    for (kind, chapter, least) in
        [("book", "16-reference-book.md", 70), ("tune", "17-reference-tune.md", 30), ("box", "18-reference-box.md", 15)]
    {
        let schema = run(&["schema", kind]);
        assert_eq!(schema.status, 0, "{}", schema.err);
        let mut keys = BTreeSet::new();
        let value: Value = serde_json::from_str(&schema.out).expect("a schema is JSON");
        known(&value, &mut keys);
        assert!(keys.len() >= least, "the schema of a {kind} has only {} keys", keys.len());
        let text = fs::read_to_string(guide().join("chapters").join(chapter)).expect("the chapter is there");
        let mut told = BTreeSet::new();
        for line in text.lines() {
            let Some((names, meaning)) = line.strip_prefix("- `").and_then(|line| line.split_once("`: ")) else {
                continue;
            };
            assert!(meaning.len() > 5, "{chapter}: {line}");
            // Weights have three defaults, one a style.
            let three = meaning.trim_end_matches('.').ends_with(')') && meaning.matches(", ").count() >= 2;
            let states = meaning.contains("Default") || meaning.contains("eeded") || three;
            assert!(states, "{chapter} says neither a default nor that it is needed: {line}");
            told.extend(names.split("`, `").map(str::to_owned));
        }
        let missing: Vec<_> = keys.difference(&told).collect();
        assert!(missing.is_empty(), "{chapter} does not tell of {missing:?}");
        let unknown: Vec<_> = told.difference(&keys).collect();
        assert!(unknown.is_empty(), "{chapter} tells of {unknown:?}, which no {kind} file has");
    }
}

#[test]
fn the_reference_has_a_section_for_every_command_and_names_its_options() {
    let text = fs::read_to_string(guide().join("chapters/19-reference-commands.md")).expect("the chapter is there");
    let help = run(&["--help"]);
    let commands = help.out.split("Commands:").nth(1).and_then(|rest| rest.split("Options:").next());
    let commands = commands.expect("the help lists commands");
    // A command stands two spaces in; what it does, when wrapped, stands further in.
    let names: Vec<&str> = commands
        .lines()
        .filter_map(|line| line.strip_prefix("  "))
        .filter(|line| line.starts_with(|first: char| first.is_ascii_lowercase()))
        .filter_map(|line| line.split_whitespace().next())
        .collect();
    assert!(names.len() >= 15, "{names:?}");
    for name in names {
        let heading = format!("\n## {name}");
        let at = text.find(&heading).unwrap_or_else(|| panic!("no section for `{name}`"));
        let section = text[at + heading.len()..].split("\n## ").next().unwrap_or_default();
        // `keys` and `settle` say that their options are those of `plan`.
        let plan = text.split("\n## plan").nth(1).and_then(|rest| rest.split("\n## ").next()).unwrap_or_default();
        let section =
            if section.contains("Options as for `plan`") { format!("{section}{plan}") } else { section.into() };
        for option in run(&[name, "--help"]).out.split_whitespace().filter(|word| word.starts_with("--")) {
            let option = option.trim_end_matches([',', ')']);
            if !["--help", "--quiet", "--verbose", "--json"].contains(&option) {
                assert!(
                    section.contains(&format!("`{option}")),
                    "`{name}` has {option}, and its section is silent on it"
                );
            }
        }
    }
}
