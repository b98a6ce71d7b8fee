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

const BOOKS: [(&str, Option<&str>); 14] = [
    ("books/first-steps/book.yaml", None),
    ("books/first-steps/book.yaml", Some("large-print")),
    ("books/lantern-nights/book.yaml", None),
    ("books/lantern-nights/book.yaml", Some("large-print")),
    ("books/lantern-nights/book.yaml", Some("fourth-start")),
    ("books/lantern-nights/book.yaml", Some("gc-learners")),
    ("books/lantern-nights/book.yaml", Some("teacher")),
    ("books/guide/book.yaml", None),
    ("tests/specimen/notation.yaml", None),
    ("tests/specimen/notation.yaml", Some("large-print")),
    ("tests/specimen/box.yaml", None),
    ("tests/specimen/box.yaml", Some("large-print")),
    ("tests/specimen/box.yaml", Some("buttons")),
    ("tests/specimen/box.yaml", Some("words")),
];

#[test]
fn tunes_of_the_demo_books_touch_nothing() {
    let fonts = Fonts::embedded();
    let mut all = Vec::new();
    let (mut tunes, mut planted) = (0, 0);
    for (path, edition) in BOOKS {
        let (mut sources, mut sink) = (Sources::default(), Sink::default());
        let mut files = |path: &str| fs::read(path).map_err(|error| error.to_string());
        let book = book::read(path, edition, &mut files, &mut sources, &mut sink).expect("a demo book reads");
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
