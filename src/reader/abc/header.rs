//! One tune of a book: its header, then its music.
//!
//! Source: ABC 2.1 §2.2.1 (file header), §2.2.3 and §2.3.1 (tunes and fragments), §12 (strict and loose).

use super::blocks::{Book, Section};
use super::items::{Item, Line, items};
use super::music::Builder;
use super::setup::Setup;
use super::{AbcOptions, Reading};
use crate::reader::complaints::Complaints;

/// Reads a tune from its lines.
pub(super) fn read_tune(section: &Section, book: &Book, options: &AbcOptions) -> Reading {
    let lines = section.lines.as_slice();
    let mut complaints = Complaints::new(options.strict_bars);
    let mut setup = Setup::default();
    for item in items(&book.header, false, &mut Complaints::new(false)) {
        if let Item::Field(field) = item {
            setup.take(&field, &mut complaints);
        }
    }
    setup.begin_tune();
    if let Some(line) = lines.first() {
        setup.tune.place = Some(line.place(0));
    }
    let mut body = items(lines, true, &mut complaints).into_iter().peekable();
    let mut has_key = false;
    while let Some(item) = body.next_if(|item| matches!(item, Item::Field(_))) {
        let Item::Field(field) = item else { continue };
        setup.take(&field, &mut complaints);
        if field.letter == 'K' {
            has_key = true;
            break;
        }
    }
    if !has_key && let (Some(line), true) = (lines.first(), book_wants_key(lines)) {
        let hint = "K: is the last line before the music, such as K:G; K:none where there is no key";
        complaints.warn(code!("key-missing"), line.place(0), "this tune has no K: line", hint);
    }
    let mut builder = Builder::new(setup, options, &mut complaints);
    for item in body {
        match item {
            Item::Field(field) => builder.field(&field),
            Item::Music(code) => builder.line(code),
        }
    }
    let tune = builder.finish();
    if let Some((place, count)) = section.cut {
        let below =
            if count == 1 { "the line below it is".to_owned() } else { format!("the {count} lines below it are") };
        let message = format!("this empty line ends the tune: {below} not read");
        let hint =
            "take the empty line out; write `%` on a line that is to part the music; a new tune begins with `X:`";
        complaints.warn(code!("tune-ends"), place, message, hint);
    }
    Reading { tune, complaints: complaints.sink, wishes: Vec::new() }
}

/// A fragment needs no key (§2.3.1); a tune of a tunebook does.
fn book_wants_key(lines: &[Line]) -> bool {
    lines.iter().any(|line| line.text.starts_with("X:"))
}
