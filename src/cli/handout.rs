//! One tune of a book as a handout: the book reduced to it.

use crate::book::{Book, Preset};
use crate::diag::Diagnostic;
use crate::diag::{Severity, Sink};

/// Leaves only the tune of this id in the book, without chapter text, front or back matter. Complains if there is none.
pub fn reduce(book: &mut Book, id: &str, sink: &mut Sink) {
    let known: Vec<String> = book.tunes().map(|tune| tune.id.clone()).collect();
    if !known.iter().any(|known| known == id) {
        sink.push(Diagnostic {
            code: code!("no-such-tune"),
            severity: Severity::Error,
            place: None,
            message: format!("the book has no tune `{id}`"),
            hints: vec![format!("its tunes are {}", known.join(", "))],
        });
        return;
    }
    book.presets.push(Preset::Handout);
    book.front.clear();
    book.back.clear();
    book.press.cover = None;
    book.chapters.retain_mut(|chapter| {
        chapter.text = None;
        chapter.tunes.retain(|tune| tune.id == id);
        !chapter.tunes.is_empty()
    });
    book.chapters.truncate(1);
    if let Some(chapter) = book.chapters.first_mut() {
        chapter.tunes.truncate(1);
    }
}
