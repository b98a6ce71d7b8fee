//! The exact ink of every tune of the demo books and the specimen, in the book's own look and those of its editions.

use super::plan;
use super::tune::counts;
use crate::book;
use crate::diag::{Sink, Sources};
use crate::engrave::Score;
use crate::engrave::testing::{by_kind, faults};
use crate::font::Fonts;
use rayon::prelude::*;
use std::fs;

/// Every demo book and every specimen, each with itself (no name) and all of its editions.
fn books() -> Vec<(String, Option<String>)> {
    let read = |folder: &str| {
        fs::read_dir(folder).expect("books lie there").flatten().map(|entry| entry.path()).collect::<Vec<_>>()
    };
    let mut paths: Vec<_> = read("books").into_iter().map(|folder| folder.join("book.yaml")).collect();
    paths.extend(read("tests/specimen"));
    paths.retain(|path| path.is_file() && path.extension().is_some_and(|ending| ending == "yaml"));
    paths.sort();
    let mut all = Vec::new();
    for path in paths {
        let path = path.to_string_lossy().into_owned();
        let book = book_of(&path, None).0;
        all.extend(
            std::iter::once(None).chain(book.editions.into_iter().map(Some)).map(|edition| (path.clone(), edition)),
        );
    }
    assert!(all.len() >= 14, "{all:?}");
    all
}

/// A book as its author has it.
fn book_of(path: &str, edition: Option<&str>) -> (book::Book, Sink) {
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let mut files = |path: &str| fs::read(path).map_err(|error| error.to_string());
    let book = book::read(path, edition, &mut files, &mut sources, &mut sink).expect("a demo book reads");
    (book, sink)
}

#[test]
fn tunes_of_the_demo_books_touch_nothing() {
    let fonts = Fonts::embedded();
    let mut all = Vec::new();
    let (mut tunes, mut planted) = (0, 0);
    for (path, edition) in books() {
        let (book, mut sink) = book_of(&path, edition.as_deref());
        let planned = plan(&book, &mut sink);
        let entries: Vec<_> = book.tunes().zip(&planned.plans).collect();
        tunes += entries.len();
        let found: Vec<Vec<(String, String)>> = entries
            .par_iter()
            .map(|(entry, plan)| {
                let instrument = Some(&book.instrument);
                let counts = if book.engraving.signs.counting { counts(entry, &book.language) } else { Vec::new() };
                let score = Score { id: &entry.id, tune: &entry.tune, plan: Some(plan), instrument, counts: &counts };
                let width = book.page.type_area().width;
                let found = faults(&score, &book.engraving, &fonts, width, false, &mut Sink::default());
                found.into_iter().map(|(kind, at)| (kind, format!("{path} {edition:?} {}: {at}", entry.id))).collect()
            })
            .collect();
        all.extend(found.into_iter().flatten());
        let (entry, plan) = entries[0];
        let score = Score { id: "planted", tune: &entry.tune, plan: Some(plan), instrument: None, counts: &[] };
        let width = book.page.type_area().width;
        let found = faults(&score, &book.engraving, &fonts, width, true, &mut Sink::default());
        planted += found.iter().filter(|(kind, _)| kind.contains("Finger")).count();
    }
    assert!(tunes > 250, "{tunes} tunes are looked at");
    let kinds = by_kind(all);
    assert!(kinds.is_empty(), "{kinds:#?}");
    // The check can fail: a finger put on a head is found.
    assert!(planted > 0, "no planted fault is found");
}
