//! The exact ink of every tune of the demo books, in the book's own look and in large print.

use super::plan;
use crate::book;
use crate::diag::{Sink, Sources};
use crate::engrave::Score;
use crate::engrave::testing::{by_kind, faults};
use crate::font::Fonts;
use rayon::prelude::*;
use std::fs;

const BOOKS: [(&str, Option<&str>); 5] = [
    ("books/first-steps/book.yaml", None),
    ("books/first-steps/book.yaml", Some("large-print")),
    ("books/lantern-nights/book.yaml", None),
    ("books/lantern-nights/book.yaml", Some("large-print")),
    ("books/lantern-nights/book.yaml", Some("fourth-start")),
];

#[test]
#[ignore = "looks at every line of five books, which takes minutes where tests are not optimised"]
fn tunes_of_the_demo_books_touch_nothing() {
    let fonts = Fonts::embedded();
    let mut all = Vec::new();
    let mut tunes = 0;
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
                let score = Score { id: &entry.id, tune: &entry.tune, plan: Some(plan), instrument, counts: &[] };
                let width = book.page.type_area().width;
                let found = faults(&score, &book.engraving, &fonts, width, false, &mut Sink::default());
                found.into_iter().map(|(kind, at)| (kind, format!("{path} {edition:?} {}: {at}", entry.id))).collect()
            })
            .collect();
        all.extend(found.into_iter().flatten());
    }
    assert!(tunes > 50, "{tunes} tunes are looked at");
    let kinds = by_kind(all);
    assert!(kinds.is_empty(), "{kinds:#?}");
}
