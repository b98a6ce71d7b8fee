//! Which kind of file an author's YAML is: takes a marked tree, gives the kind by the outermost keys that no other kind has, so
//! that a file of another kind than is wanted costs one complaint and not one for each of its keys. Checks no value.

use super::files::FileKind;
use super::yaml::{Entry, Node, Value};
use crate::diag::Sink;

/// The kinds with the outermost keys that only they have.
const TELLING: [(FileKind, &[&str]); 3] = [
    (FileKind::Book, &["book", "chapters"]),
    (FileKind::Tune, &["music"]),
    (FileKind::Box, &["rows", "left", "bellows"]),
];

/// Whether a file may be of the kind that is wanted; complains of one that is clearly of another.
pub fn is_kind(node: &Node, wanted: FileKind, sink: &mut Sink) -> bool {
    let Value::Map(entries) = &node.value else { return true };
    let telling = |kind: FileKind| {
        let keys = TELLING.iter().find(|(known, _)| *known == kind).map_or(&[][..], |(_, keys)| *keys);
        entries.iter().find(|entry| keys.contains(&entry.key.as_str()))
    };
    if telling(wanted).is_some() {
        return true;
    }
    let others = TELLING.iter().filter(|(kind, _)| *kind != wanted);
    let Some((other, entry)) = others.filter_map(|(kind, _)| Some((*kind, telling(*kind)?))).next() else {
        return true;
    };
    let Entry { key, place, .. } = entry;
    let message = format!("this is the file of {}, not of {}: it has `{key}`", named(other), named(wanted));
    let hint = match wanted {
        FileKind::Book => "name the book's file, such as `book.yaml`; it lists its tunes and names its box",
        FileKind::Tune => "name a tune's file, such as `tunes/kettle.yaml`; it has the tune's `music:`",
        FileKind::Box => {
            "name a box's file, such as `boxes/mine.yaml`, or a built-in box: `boxwright boxes` lists them"
        }
    };
    sink.error(code!("other-kind"), Some(*place), message).hints.push(hint.to_owned());
    false
}

const fn named(kind: FileKind) -> &'static str {
    match kind {
        FileKind::Book => "a book",
        FileKind::Tune => "a tune",
        FileKind::Box => "a box",
    }
}
