//! What authors get wrong, on purpose: three hundred seeded mistakes must be told at their place, and no scrambled file may end
//! in a panic. Invented books, on the other hand, must go through without an error.

use crate::invent::{self, Dice, Files};
use crate::mistakes::{self, KINDS};
use boxwright::diag::{Diagnostic, Severity, Sink, Sources};
use boxwright::font::Fonts;
use boxwright::{book, pipeline};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// How many mistakes are made; as many of each kind.
const MISTAKES: usize = 300;
/// How far from its mistake an error may stand, in lines.
const NEAR: usize = 2;

/// All that binding a book says: errors and warnings with the files they are in. As the command does, it goes on to the pages
/// only with a book that was read and planned without an error.
fn complaints(files: &Files, fonts: &Fonts) -> (Vec<Diagnostic>, Sources) {
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let mut give = |path: &str| {
        let path = path.trim_start_matches("./");
        let found = files.iter().find(|(name, _)| name == path);
        found.map(|(_, text)| text.clone().into_bytes()).ok_or_else(|| format!("there is no file {path}"))
    };
    if let Some(book) = book::read("book.yaml", None, &mut give, &mut sources, &mut sink) {
        let planned = pipeline::plan(&book, &mut sink);
        if !sink.has_errors() {
            pipeline::compose(&planned, fonts, &mut sink);
        }
    }
    (sink.sorted().into_iter().cloned().collect(), sources)
}

fn errors(complaints: &[Diagnostic]) -> impl Iterator<Item = &Diagnostic> {
    complaints.iter().filter(|complaint| complaint.severity == Severity::Error)
}

fn demo(name: &str) -> Files {
    fn walk(root: &Path, folder: &Path, files: &mut Files) {
        let mut entries: Vec<_> =
            fs::read_dir(folder).expect("the demo books are there").flatten().map(|e| e.path()).collect();
        entries.sort();
        for path in entries {
            if path.is_dir() {
                walk(root, &path, files);
            } else if let Ok(text) = fs::read_to_string(&path) {
                let name = path.strip_prefix(root).expect("it lies in its folder").to_string_lossy().into_owned();
                files.push((name, text));
            }
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("books").join(name);
    let mut files = Files::new();
    walk(&root, &root, &mut files);
    files
}

/// With one file's text exchanged.
fn with(files: &Files, path: &str, text: &str) -> Files {
    files.iter().map(|(name, old)| (name.clone(), if name == path { text.to_owned() } else { old.clone() })).collect()
}

#[test]
#[expect(clippy::print_stdout, reason = "the figures by kind are what the test is for")]
fn mistakes_are_told_at_their_place() {
    let fonts = Fonts::embedded();
    let books = ["first-steps", "lantern-nights"].map(demo);
    for files in &books {
        let (said, _) = complaints(files, &fonts);
        assert!(errors(&said).next().is_none(), "a demo book has an error: {:?}", errors(&said).next());
    }
    // Per mistake: its kind, whether it was told near its place, and what was said if not.
    let told: Vec<(usize, Option<String>)> = (0..MISTAKES)
        .into_par_iter()
        .map(|nth| {
            let kind = nth % KINDS.len();
            let mut dice = Dice::new(nth as u64 + 1);
            let files = &books[usize::from(nth % 3 == 0)];
            let mistake = mistakes::make(&KINDS[kind], files, &mut dice);
            let (said, sources) = complaints(&with(files, &mistake.path, &mistake.text), &fonts);
            let near = errors(&said).any(|error| {
                error.place.is_some_and(|place| {
                    sources.path(place.file).ends_with(&mistake.path)
                        && mistake.line.abs_diff(place.line as usize) <= NEAR
                })
            });
            let line = mistake.text.split('\n').nth(mistake.line - 1).unwrap_or("").to_owned();
            let said: Vec<String> = errors(&said)
                .take(2)
                .map(|error| {
                    let at = error.place.map(|place| format!("{}:{}", sources.path(place.file), place.line));
                    format!("{} {}", at.unwrap_or_default(), error.message)
                })
                .collect();
            (kind, (!near).then(|| format!("{}:{} `{}`: said {said:?}", mistake.path, mistake.line, line)))
        })
        .collect();
    let mut kinds: BTreeMap<usize, (usize, usize)> = BTreeMap::new();
    for (kind, missed) in &told {
        let (all, found) = kinds.entry(*kind).or_default();
        *all += 1;
        *found += usize::from(missed.is_none());
    }
    for (kind, (all, found)) in &kinds {
        println!("{:32} {found} of {all}", KINDS[*kind].0);
    }
    let missed: Vec<String> = told
        .iter()
        .filter_map(|(kind, missed)| missed.as_ref().map(|missed| format!("{}: {missed}", KINDS[*kind].0)))
        .collect();
    let found = MISTAKES - missed.len();
    println!("within {NEAR} lines: {found} of {MISTAKES} ({:.1} %)", found as f64 / MISTAKES as f64 * 100.0);
    assert!(
        found * 100 >= MISTAKES * 98,
        "{} mistakes were not told at their place:\n{}",
        missed.len(),
        missed.join("\n")
    );
}

/// Files scrambled by characters and lines: whatever is said, nothing panics.
#[test]
fn scrambled_files_do_not_panic() {
    let fonts = Fonts::embedded();
    let books = [demo("first-steps"), invent::book(2, 3)];
    let loud = (0..400u64)
        .into_par_iter()
        .filter(|seed| {
            let mut dice = Dice::new(0x5eed + *seed);
            let mut files = dice.pick(&books).clone();
            let at = dice.below(files.len());
            for _ in 0..1 + dice.below(4) {
                files[at].1 = scrambled(&files[at].1, &mut dice);
            }
            !complaints(&files, &fonts).0.is_empty()
        })
        .count();
    assert!(loud > 200, "hardly any scrambled file was complained of: {loud}");
}

/// One blow: characters lost, doubled, exchanged for hard ones, or lines moved.
fn scrambled(text: &str, dice: &mut Dice) -> String {
    const HARD: [&str; 16] =
        ["|", ":", "[", "]", "{", "}", "\"", "\t", "\u{feff}", "é", "\u{202e}", "0", "999999999999", "-", "\r\n", "(3"];
    let letters: Vec<char> = text.chars().collect();
    if letters.is_empty() {
        return (*dice.pick(&HARD)).to_owned();
    }
    let at = dice.below(letters.len());
    let until = (at + 1 + dice.below(6)).min(letters.len());
    let (head, cut, tail): (String, String, String) =
        (letters[..at].iter().collect(), letters[at..until].iter().collect(), letters[until..].iter().collect());
    match dice.below(5) {
        0 => head + &tail,
        1 => head + &cut + &cut + &tail,
        2 => head + *dice.pick(&HARD) + &tail,
        3 => head + &(*dice.pick(&HARD)).repeat(1 + dice.below(200)) + &cut + &tail,
        _ => {
            let mut lines: Vec<&str> = text.split('\n').collect();
            let (one, other) = (dice.below(lines.len()), dice.below(lines.len()));
            lines.swap(one, other);
            lines.join("\n")
        }
    }
}

/// Invented books are good books: they bind, whatever the seed.
#[test]
fn invented_books_have_no_errors() {
    let fonts = Fonts::embedded();
    for seed in 1..=6 {
        let (said, sources) = complaints(&invent::book(12, seed), &fonts);
        let first = errors(&said).next().map(|error| {
            let place = error.place.map(|place| (sources.path(place.file).to_owned(), place.line));
            format!("{place:?} {}", error.message)
        });
        assert_eq!(first, None, "seed {seed}");
    }
}
