//! A first book: the files that `new-book` writes. They bind as they are, and say in comments what each key is for.

use super::files::{FileKind, schema};

/// Paths inside the new folder, and their texts. The schemas are what an editor helps with while one writes.
pub fn new_book() -> Vec<(&'static str, String)> {
    vec![
        ("book.yaml", include_str!("start/book.yaml").to_owned()),
        ("tunes/kitchen-floor.yaml", include_str!("start/tunes/kitchen-floor.yaml").to_owned()),
        ("weeks/1.md", include_str!("start/weeks/1.md").to_owned()),
        ("rights.md", include_str!("start/rights.md").to_owned()),
        ("schema/book.json", schema(FileKind::Book) + "\n"),
        ("schema/tune.json", schema(FileKind::Tune) + "\n"),
        ("schema/box.json", schema(FileKind::Box) + "\n"),
    ]
}
