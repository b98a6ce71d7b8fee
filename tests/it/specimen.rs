//! The specimen: for each thing that is engraved a tiny tune, bound into two books under `tests/specimen/` to be looked at page
//! by page. Here they must bind without an error, and each of their tunes must be in a book.

use crate::program::{editions, run};
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/specimen")
}

/// The books of specimens: name and text.
fn books() -> Vec<(String, String)> {
    let files = fs::read_dir(folder()).expect("the specimens are there").flatten().map(|entry| entry.path());
    let books: Vec<_> = files
        .filter(|path| path.extension().is_some_and(|ending| ending == "yaml"))
        .map(|path| {
            let name = path.file_stem().expect("it has a name").to_string_lossy().into_owned();
            (name, fs::read_to_string(path).expect("a book is text"))
        })
        .collect();
    assert!(books.len() >= 2, "{books:?}");
    books
}

#[test]
fn every_specimen_binds_in_every_edition() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    for (name, text) in books() {
        let editions = editions(&text);
        assert!(editions.contains(&"large-print".to_owned()), "{name}: {editions:?}");
        // The book itself is called by no name.
        for edition in [""].into_iter().chain(editions.iter().map(String::as_str)) {
            let source = folder().join(&name).with_extension("yaml").to_string_lossy().into_owned();
            let target = keep.path().join("book.pdf").to_string_lossy().into_owned();
            let mut words = vec!["bind", &source, "-o", &target];
            if !edition.is_empty() {
                words.extend(["--edition", edition]);
            }
            let bound = run(&words);
            assert_eq!(bound.status, 0, "{name} {edition}: {}", bound.err);
            assert!(!bound.err.contains("error"), "{name} {edition}: {}", bound.err);
        }
    }
}

#[test]
fn no_specimen_is_left_out() {
    let books: String = books().into_iter().map(|(_, text)| text).collect();
    let listed: BTreeSet<&str> = books.lines().filter_map(|line| line.trim().strip_prefix("- tunes/")).collect();
    let there: BTreeSet<String> = fs::read_dir(folder().join("tunes"))
        .expect("the tunes are there")
        .map(|entry| entry.expect("a file").file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(there.iter().map(String::as_str).collect::<BTreeSet<_>>(), listed);
    assert!(there.len() >= 50, "{} specimens", there.len());
}
