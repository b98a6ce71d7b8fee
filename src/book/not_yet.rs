//! Keys of the format whose feature is not built yet: one line each, to be taken out when it is. They are parsed and checked
//! all the same, and an author who uses one is told.

use crate::diag::{Place, Sink};

/// Key and what it will do.
const NOT_YET: &[(&str, &str)] = &[("type.family", "a folder of fonts of one's own; serif is used instead")];

/// Warns that a key does nothing yet, if it stands in the table.
pub fn warn(key: &str, place: Option<Place>, sink: &mut Sink) {
    if let Some((_, what)) = NOT_YET.iter().find(|(known, _)| *known == key) {
        sink.warn("not-yet", place, format!("this version does not do this yet: {what}"))
            .hints
            .push("leave it or take it out; the book is bound without it".into());
    }
}
