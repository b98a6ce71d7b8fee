//! Every message that an author can meet: its full text as printed, and its section in the guide's reference.
//!
//! A case is a tiny book with one thing wrong, in a file of `tests/it/messages/`: `== code: what is special`, an optional line
//! `$ words of a command`, then pieces that replace those of a good book (`-- path`, or `-- +book`, `-- +tune`, `-- +music` for
//! single keys of it), then `>>` and all that the program says. `UPDATE=1 cargo test --test it messages` writes down what it says
//! now, here and in the reference; read the difference before keeping it.

use crate::program::run_in;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

const BOOK: &str = "\
book: 1
id: small
title: Small
date: 2026-09-01
box: dg-21-third
chapters:
  - title: One
    text: week.md
    tunes: [tunes/a.yaml]
";

const TUNE: &str = "\
title: Kettle
id: kettle
music: |
  M:3/4
  L:1/4
  K:G
  \"G\"G A B | \"D\"d3 |
";

/// Messages that no file and no command can call forth, with the reason; each has its test in its own room.
const UNREACHED: [(&str, &str); 7] = [
    ("font-fails", "no font is known that passes its check and has the shaper panic all the same"),
    ("include-too-deep", "the program hands no included texts to the reader yet"),
    ("isbn", "a number with a wrong check digit is refused when the book is read"),
    ("long-link", "a link that is too long is refused when the tune is read"),
    ("missing-picture", "a picture that can't be read is an error when the book is read"),
    ("preflight-not-whole", "needs a file for the press with more than 32 MB of content, which is no tiny book"),
    ("plan-not-proven", "needs repeats that cross or chords without number"),
];

/// One tiny book with what is said of it.
pub struct Case {
    /// File of cases and the case's heading.
    place: String,
    /// The code it is about.
    pub code: String,
    /// The words of the command.
    command: Vec<String>,
    /// What replaces what: target and text.
    pieces: Vec<(String, String)>,
    /// All that is expected on standard error.
    expected: String,
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

pub fn updating() -> bool {
    std::env::var_os("UPDATE").is_some()
}

fn case_files() -> Vec<PathBuf> {
    let entries = fs::read_dir(root().join("tests/it/messages")).expect("the cases are there");
    let mut files: Vec<_> = entries.map(|entry| entry.expect("a case file is listed").path()).collect();
    files.sort();
    files
}

fn cases(file: &Path) -> Vec<Case> {
    let name = file.file_name().expect("it has a name").to_string_lossy().into_owned();
    let text = fs::read_to_string(file).expect("cases are text");
    text.split("\n== ").skip(1).map(|case| Case::of(&name, case)).collect()
}

pub fn all_cases() -> Vec<Case> {
    case_files().iter().flat_map(|file| cases(file)).collect()
}

impl Case {
    fn of(file: &str, text: &str) -> Self {
        let (asked, expected) = text.split_once("\n>>\n").unwrap_or((text, ""));
        let mut lines = asked.lines();
        let heading = lines.next().expect("a case has a heading");
        let mut command = vec!["check".to_owned(), "book.yaml".to_owned()];
        let mut pieces: Vec<(String, String)> = Vec::new();
        for line in lines {
            if let Some(words) = line.strip_prefix("$ ") {
                command = words.split(' ').map(str::to_owned).collect();
            } else if let Some(target) = line.strip_prefix("-- ") {
                pieces.push((target.to_owned(), String::new()));
            } else {
                let (_, piece) = pieces.last_mut().unwrap_or_else(|| panic!("{file}: {heading}: text before a piece"));
                piece.push_str(line);
                piece.push('\n');
            }
        }
        Self {
            place: format!("{file}: {heading}"),
            code: heading.split(':').next().unwrap_or(heading).to_owned(),
            command,
            pieces,
            expected: expected.trim_end().to_owned() + "\n",
        }
    }

    /// The files of its book.
    fn files(&self) -> BTreeMap<String, Vec<u8>> {
        let (mut book, mut tune) = (BOOK.to_owned(), TUNE.to_owned());
        let mut files = BTreeMap::from([("week.md".to_owned(), b"A week.\n".to_vec())]);
        for (target, text) in &self.pieces {
            match target.as_str() {
                "+book" => book = replaced(&book, text),
                "+tune" => tune = replaced(&tune, text),
                "+music" => {
                    let lines = text.lines().map(|line| format!("  {line}"));
                    tune = replaced(&tune, &format!("music: |\n{}\n", lines.collect::<Vec<_>>().join("\n")));
                }
                path => {
                    files.insert(path.to_owned(), unfolded(text));
                }
            }
        }
        files.entry("book.yaml".into()).or_insert_with(|| unfolded(&book));
        files.entry("tunes/a.yaml".into()).or_insert_with(|| unfolded(&tune));
        files
    }

    /// What the program says of it now.
    fn said(&self) -> String {
        let keep = tempfile::tempdir().expect("a folder for the test");
        for (path, bytes) in self.files() {
            let path = keep.path().join(path);
            fs::create_dir_all(path.parent().expect("a file lies in a folder")).expect("a folder");
            fs::write(path, bytes).expect("a file is written");
        }
        let words: Vec<&str> = self.command.iter().map(String::as_str).collect();
        let run = run_in(keep.path(), &words);
        assert!((0..=2).contains(&run.status) && !run.err.contains("panicked"), "{}: {}", self.place, run.err);
        run.err.trim_end().to_owned() + "\n"
    }

    /// The single messages it expects, each with its line and hints.
    pub fn messages(&self) -> impl Iterator<Item = &str> {
        self.expected.split("\n\n").map(|message| message.trim_end()).filter(|message| message.contains("]: "))
    }
}

/// A file with outermost keys of another in place of its own.
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

/// The outermost keys of a file, each with all its lines.
fn keys(text: &str) -> Vec<(String, String)> {
    let mut keys: Vec<(String, String)> = Vec::new();
    for line in text.lines() {
        if keys.is_empty() || line.starts_with(|first: char| first.is_ascii_lowercase()) {
            keys.push((line.split(':').next().unwrap_or(line).to_owned(), String::new()));
        }
        let (_, lines) = keys.last_mut().expect("a key was just pushed");
        lines.push_str(line);
        lines.push('\n');
    }
    keys
}

/// A piece's bytes: `@repeat N text` stands for the text N times on one line, `@lines N text` for N such lines, `@bytes` for what
/// an editor would not keep. What is repeated stands as far in as its order does.
fn unfolded(text: &str) -> Vec<u8> {
    let mut out = Vec::new();
    for line in text.lines() {
        let order = line.trim_start_matches(' ');
        let indent = &line[..line.len() - order.len()];
        let counted = |rest: &str| {
            let (count, text) = rest.split_once(' ').expect("a count and a text");
            (count.parse::<usize>().expect("a count"), text.to_owned())
        };
        if let Some(rest) = order.strip_prefix("@repeat ") {
            let (count, text) = counted(rest);
            out.extend_from_slice(format!("{indent}{}\n", text.repeat(count)).as_bytes());
        } else if let Some(rest) = order.strip_prefix("@lines ") {
            let (count, text) = counted(rest);
            out.extend_from_slice(format!("{indent}{text}\n").repeat(count).as_bytes());
        } else if let Some(digits) = order.strip_prefix("@bytes ") {
            let digits: String = digits.split_whitespace().collect();
            let byte = |at: usize| u8::from_str_radix(&digits[at..at + 2], 16).expect("hexadecimal digits");
            out.extend((0..digits.len()).step_by(2).map(byte));
        } else {
            out.extend_from_slice(line.as_bytes());
            out.push(b'\n');
        }
    }
    out
}

#[test]
fn every_message_is_said_in_full() {
    let mut wrong = Vec::new();
    for file in case_files() {
        let cases = cases(&file);
        let said: Vec<String> = cases.par_iter().map(Case::said).collect();
        let mut text = fs::read_to_string(&file).expect("cases are text");
        for (case, said) in cases.iter().zip(&said) {
            if *said == case.expected {
                continue;
            }
            wrong.push(format!("{}\nsays\n{said}and not\n{}", case.place, case.expected));
            let head = format!("== {}\n", case.place.split_once(": ").expect("a file and a heading").1);
            let at = text.find(&head).expect("the case is there") + head.len();
            let end = text[at..].find("\n== ").map_or(text.len(), |end| at + end);
            let asked = text[at..end].split("\n>>\n").next().unwrap_or_default().trim_end().to_owned();
            text.replace_range(at..end, &format!("{asked}\n>>\n{said}"));
        }
        if updating() {
            fs::write(&file, text).expect("cases are written");
        }
    }
    assert!(wrong.is_empty() || updating(), "{} cases differ:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn every_case_is_about_its_code_and_says_what_to_do() {
    let mut faults = Vec::new();
    for case in all_cases() {
        if !case.expected.contains(&format!("[{}]: ", case.code)) {
            faults.push(format!("{}: `{}` is not among what is said", case.place, case.code));
        }
        for message in case.messages().filter(|message| !message.contains(" more of the same kind")) {
            if !message.contains("\n  hint: ") {
                faults.push(format!("{}: no hint: {message}", case.place));
            }
            if let Some(name) = inner_name(message) {
                faults.push(format!("{}: `{name}` is a name of the program's own: {message}", case.place));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// A word of a message that only the program's own text uses: a path with `::`, or two words written as one (`BarLabel`).
fn inner_name(message: &str) -> Option<&str> {
    // What the author wrote stands in the marked line and between backticks.
    let first = message.lines().next().unwrap_or_default();
    let own = first.split_once("]: ").map_or(first, |(_, text)| text);
    own.split('`').step_by(2).flat_map(|part| part.split(|c: char| !(c.is_alphanumeric() || c == ':'))).find(|word| {
        let humps = word.chars().zip(word.chars().skip(1)).any(|(a, b)| a.is_lowercase() && b.is_uppercase());
        word.contains("::") || (humps && !["QuickTime"].contains(word) && !word.starts_with("Music"))
    })
}

#[test]
fn a_name_of_the_programs_own_would_be_seen() {
    assert_eq!(inner_name("a.yaml:1:1: error[x]: invalid BarLabel here"), Some("BarLabel"));
    assert_eq!(inner_name("a.yaml:1:1: error[x]: no tune::Bar here"), Some("tune::Bar"));
    assert_eq!(inner_name("a.yaml:1:1: error[x]: `FooBar` is no MusicXML file"), None);
}

/// Every code that the program's text hands to a sink of complaints, with the file it was found in.
pub fn codes() -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    let mut folders = vec![root().join("src")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).expect("the source is there") {
            let path = entry.expect("a file is listed").path();
            let name = path.strip_prefix(root()).expect("it lies in the repository").to_string_lossy().into_owned();
            if path.is_dir() {
                // `diag` makes up codes in its tests and has none of its own; the text of a file is not looked at in tests.
                if !name.ends_with("tests") && name != "src/diag" {
                    folders.push(path);
                }
            } else if name.ends_with(".rs") && !name.ends_with("tests.rs") {
                let text = fs::read_to_string(&path).expect("source is text");
                let text = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
                found.extend(codes_in(text).into_iter().map(|code| (code, name.clone())));
            }
        }
    }
    found
}

/// The codes in a piece of the program's text: a kebab-case literal among the first two arguments of a call that complains, in
/// a field called `code`, or at the head of a tuple of code, message and hint.
fn codes_in(text: &str) -> Vec<String> {
    const CALLS: [&str; 8] = ["error(", "warn(", "fault(", "fault_once(", "warn_once(", "unmet(", "refuse(", "code: "];
    let mut found = Vec::new();
    for call in CALLS {
        for (at, _) in text.match_indices(call) {
            let before = text[..at].chars().next_back();
            if before.is_some_and(|c| c.is_alphanumeric() || c == '_') {
                continue;
            }
            let arguments = &text[at + call.len()..];
            found.extend(match call {
                "code: " => first_code(arguments, 1),
                // What it is said once about comes first.
                "warn_once(" => arguments.split_once(',').and_then(|(_, rest)| first_code(rest, 1)),
                _ => first_code(arguments, 2),
            });
        }
    }
    for opening in ["Some((", " = (", "if (", "{\n        (", "Some(\n"] {
        for (at, _) in text.match_indices(opening) {
            found.extend(first_code(&text[at + opening.len()..], 1));
        }
    }
    // A tuple of code and message on a line of its own.
    for line in text.lines().filter(|line| line.contains("\", format!(") || line.contains(".0, ")) {
        found.extend(line.trim_start().strip_prefix('(').and_then(|tuple| first_code(tuple, 1)));
    }
    // A tuple that starts a line.
    for (at, _) in text.match_indices("(\n") {
        if text[..at].ends_with(' ') {
            found.extend(first_code(&text[at + 2..], 1).filter(|code| code.contains('-')));
        }
    }
    found
}

/// The code among the first `most` arguments of a list.
fn first_code(arguments: &str, most: usize) -> Option<String> {
    let mut rest = arguments.trim_start();
    for _ in 0..most {
        if let Some(literal) = rest.strip_prefix('"') {
            let (word, after) = literal.split_once('"')?;
            let kebab =
                !word.is_empty() && word.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
            if kebab && after.trim_start().starts_with(',') {
                return Some(word.to_owned());
            }
        }
        let end = rest.find([',', ';', '{'])?;
        if !rest[end..].starts_with(',') {
            return None;
        }
        rest = rest[end + 1..].trim_start();
    }
    None
}

#[test]
fn codes_are_found_in_the_program() {
    assert_eq!(codes_in("sink.error(\n    \"two-words\",\n    place,"), ["two-words"]);
    assert_eq!(codes_in("c.warn_once(&name.to_string(), \"odd-thing\", place, x, \"\")"), ["odd-thing"]);
    assert_eq!(codes_in("Diagnostic { code: \"odd-thing\", severity }"), ["odd-thing"]);
    assert_eq!(codes_in("Some((\"odd\", format!(\"x\"), hint))"), ["odd"]);
    assert!(codes_in("fn error(&mut self, code: &'static str, place: Place)").is_empty());
    assert!(codes_in("is_error(\"odd-thing\", place)").is_empty());
}

#[test]
fn every_message_has_a_case() {
    let cased: BTreeSet<String> = all_cases().into_iter().map(|case| case.code).collect();
    let codes = codes();
    assert!(codes.len() > 150, "only {} codes were found", codes.len());
    let unreached: BTreeSet<&str> = UNREACHED.iter().map(|(code, _)| *code).collect();
    let missing: Vec<_> =
        codes.iter().filter(|(code, _)| !cased.contains(*code) && !unreached.contains(code.as_str())).collect();
    assert!(missing.is_empty(), "no case of {missing:?}");
    let gone: Vec<_> = cased.iter().filter(|code| !codes.contains_key(*code)).collect();
    assert!(gone.is_empty(), "cases of {gone:?}, which the program does not say");
    let reached: Vec<_> = unreached.iter().filter(|code| cased.contains(**code)).collect();
    assert!(reached.is_empty(), "{reached:?} have cases after all");
}
