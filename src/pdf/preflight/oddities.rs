//! Things that some rule forbids wherever they are in a file: actions, scripts, multimedia, what is not drawn by the file itself.

use super::survey::name;
use lopdf::{Dictionary, Object};
use std::collections::BTreeSet;

/// Deepest nesting that is searched for what rules forbid.
const DEEPEST: usize = 20;
/// What is said of that which is nested deeper.
pub(super) const TOO_DEEP: &str = "a value nested deeper than is looked at";

/// Notes what some rule forbids in a dictionary, and in the ones written inside it.
pub(super) fn odd(dictionary: &Dictionary, depth: usize, found: &mut BTreeSet<&'static str>) {
    const KEYS: &[(&str, &str)] = &[
        ("AA", "an action of a page, a field or the file"),
        ("OpenAction", "an action at opening"),
        ("JS", "a script"),
        ("OPI", "a picture to be swapped for another"),
        ("Alternates", "an alternate picture"),
        ("AcroForm", "a form"),
        ("OCProperties", "layers"),
        ("EF", "an embedded file"),
        ("XFA", "a form in a language of its own"),
    ];
    for (key, what) in KEYS {
        if dictionary.has(key.as_bytes()) {
            found.insert(what);
        }
    }
    match name(dictionary, "S").as_str() {
        "JavaScript" => drop(found.insert("a script")),
        "URI" | "GoTo" | "GoToR" | "GoToE" | "Named" | "SubmitForm" => drop(found.insert("an action")),
        "Launch" | "ResetForm" | "ImportData" | "Hide" | "Sound" | "Movie" | "Rendition" | "SetOCGState" | "Trans"
        | "GoTo3DView" => drop(found.insert("an action beyond links")),
        _ => {}
    }
    match name(dictionary, "Subtype").as_str() {
        "PS" => drop(found.insert("a PostScript picture")),
        "3D" | "Sound" | "Screen" | "Movie" | "RichMedia" => drop(found.insert("multimedia")),
        _ => {}
    }
    if name(dictionary, "Subtype2") == "PS" {
        found.insert("a PostScript picture");
    }
    // ISO 32000-1, 8.10.4: a form that shows a page of another file.
    if name(dictionary, "Subtype") == "Form" && dictionary.has(b"Ref") {
        found.insert("a page of another file");
    }
    if matches!(dictionary.get(b"Interpolate"), Ok(Object::Boolean(true))) {
        found.insert("an interpolated picture");
    }
    for (_, value) in dictionary.iter() {
        odd_in(value, depth + 1, found);
    }
}

/// The same of a value, whatever it is.
pub(super) fn odd_in(value: &Object, depth: usize, found: &mut BTreeSet<&'static str>) {
    match value {
        Object::Dictionary(_) | Object::Array(_) if depth > DEEPEST => {
            found.insert(TOO_DEEP);
        }
        Object::Dictionary(inner) => odd(inner, depth, found),
        Object::Array(items) => items.iter().for_each(|item| odd_in(item, depth + 1, found)),
        _ => {}
    }
}
