//! Things that some rule forbids wherever they are in a file: actions, scripts, multimedia, what is not drawn by the file itself.

use super::survey::name;
use lopdf::{Dictionary, Object};
use std::collections::BTreeSet;

/// Deepest nesting that is searched for what rules forbid.
const DEEPEST: usize = 20;
/// What is said of that which is nested deeper.
pub(super) const TOO_DEEP: &str = "a value nested deeper than is looked at";

/// Longest name and string that a conforming reader has to take (ISO 32000-1, annex C.2), and what is said of others.
const NAME: usize = 127;
const STRING: usize = 32_767;
const LONG_NAME: &str = "a name of more than 127 bytes";
const LONG_STRING: &str = "a string of more than 32,767 bytes";
const LARGE_NUMBER: &str = "a whole number beyond 32 bits";
/// What goes beyond a limit.
pub(super) const LIMITS: [&str; 3] = [LONG_NAME, LONG_STRING, LARGE_NUMBER];

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
    if dictionary.iter().any(|(key, _)| key.len() > NAME) {
        found.insert(LONG_NAME);
    }
    for (key, what) in KEYS {
        if dictionary.has(key.as_bytes()) {
            found.insert(what);
        }
    }
    match name(dictionary, "S").as_str() {
        "JavaScript" => drop(found.insert("a script")),
        "URI" | "GoTo" | "GoToR" | "GoToE" | "SubmitForm" | "Thread" => drop(found.insert("an action")),
        // ISO 32000-1, table 211; others belong to one program.
        "Named" => drop(found.insert(match name(dictionary, "N").as_str() {
            "NextPage" | "PrevPage" | "FirstPage" | "LastPage" => "an action",
            _ => "an action beyond links",
        })),
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
    if name(dictionary, "Subtype") == "Form" && dictionary.has(b"PS") {
        found.insert("a PostScript picture");
    }
    if matches!(dictionary.get(b"DefaultForPrinting"), Ok(Object::Boolean(true))) {
        found.insert("an alternate picture that is the one to print");
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
        Object::Integer(number) if i32::try_from(*number).is_err() => drop(found.insert(LARGE_NUMBER)),
        Object::String(text, _) if text.len() > STRING => drop(found.insert(LONG_STRING)),
        Object::Name(name) if name.len() > NAME => drop(found.insert(LONG_NAME)),
        _ => {}
    }
}
