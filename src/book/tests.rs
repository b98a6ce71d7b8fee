//! Whole books through the room: the demo books, editions, the examples of the format.

use super::*;
use crate::diag::{Sink, Sources};
use std::path::Path;

/// Reads a demo book from the repository.
fn demo(name: &str, edition: Option<&str>) -> (Option<Book>, Vec<String>) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = |path: &str| std::fs::read(root.join(path)).map_err(|error| error.to_string());
    let mut sources = Sources::default();
    let mut sink = Sink::default();
    let book = read(&format!("books/{name}/book.yaml"), edition, &mut files, &mut sources, &mut sink);
    let complaints = sink
        .items()
        .iter()
        .map(|item| {
            let place =
                item.place.map_or(String::new(), |at| format!("{}:{}:{}: ", sources.path(at.file), at.line, at.column));
            format!("{place}{}: {} ({})", item.code, item.message, item.hints.join("; "))
        })
        .collect();
    (book, complaints)
}

#[test]
fn the_demo_books_read_without_complaint() {
    for name in ["first-steps", "lantern-nights"] {
        let (book, complaints) = demo(name, None);
        assert_eq!(complaints, Vec::<String>::new(), "{name}");
        let book = book.expect("a book without errors is there");
        assert!(book.tunes().count() >= 3);
        assert!(book.tunes().all(|tune| tune.tune.note_count() > 0 && tune.commentary.is_some()));
        for edition in &book.editions {
            let (other, complaints) = demo(name, Some(edition));
            assert_eq!(complaints, Vec::<String>::new(), "{name} {edition}");
            assert_eq!(other.map(|other| other.tunes().count()), Some(book.tunes().count()), "{name} {edition}");
        }
    }
}
