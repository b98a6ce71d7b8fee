//! A first book: the files that `new-book` writes. They bind as they are, and say in comments what each key is for.

use super::files::{FileKind, schema};

/// Paths inside the new folder, and their texts. The schemas are what an editor helps with while one writes.
///
/// The book's id is a short name; its title may be any words.
pub fn new_book(id: &str, title: &str) -> Vec<(&'static str, String)> {
    let comment = "# a short name that stays the same for ever; reprints are compared by it";
    // Between double quotes any words are a title; what is no text is left out.
    let title: String = title.chars().filter(|c| !c.is_control()).collect();
    let title = if title.trim().is_empty() { "My First Book".to_owned() } else { title };
    let title = title.replace('\\', "\\\\").replace('"', "\\\"");
    let book = include_str!("start/book.yaml")
        .replace(&format!("id: my-first-book             {comment}"), &format!("{:<30}{comment}", format!("id: {id} ")))
        .replace("title: My First Book", &format!("title: \"{title}\""));
    vec![
        ("book.yaml", book),
        ("tunes/kitchen-floor.yaml", include_str!("start/tunes/kitchen-floor.yaml").to_owned()),
        ("weeks/1.md", include_str!("start/weeks/1.md").to_owned()),
        ("rights.md", include_str!("start/rights.md").to_owned()),
        ("schema/book.json", schema(FileKind::Book) + "\n"),
        ("schema/tune.json", schema(FileKind::Tune) + "\n"),
        ("schema/box.json", schema(FileKind::Box) + "\n"),
    ]
}
