//! A tune file that an author is glad to edit, from a tune that was read.

use crate::reader::abc::write;
use crate::tune::Tune;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Ids of a run, each with the last number given to a tune of the same title.
pub type Ids = BTreeMap<String, u32>;

/// Name (`the-tin-lantern.yaml`) and text of a tune's file. `ids` are those of the run so far: tunes of one title get a
/// number each.
pub fn tune_file(tune: &Tune, ids: &mut Ids) -> (String, String) {
    let title = if tune.title.is_empty() { "Untitled" } else { &tune.title };
    let id = own(slug(title, tune.number), ids);
    let mut out = String::new();
    let _ = writeln!(out, "title: {}", quoted(title));
    let _ = writeln!(out, "id: {id}");
    let credits = &tune.credits;
    // Who made a tune is not known from its file's silence.
    if credits.composer.is_empty() {
        out.push_str("# composer: say here who made the tune, or trad. if you know that it is traditional\n");
    } else {
        let _ = writeln!(out, "composer: {}", quoted(&credits.composer.join("; ")));
    }
    let source: Vec<&str> =
        credits.source.iter().chain(&credits.origin).chain(&credits.transcription).map(String::as_str).collect();
    if !source.is_empty() {
        let _ = writeln!(out, "source: {}", quoted(&source.join("; ")));
    }
    if credits.rights.is_empty() {
        out.push_str("# rights: say here whose the tune is and on what terms you print it\n");
    } else {
        let _ = writeln!(out, "rights: {}", quoted(&credits.rights.join("; ")));
    }
    out.push_str("kind: tune\nmusic: |\n");
    for line in write(tune).lines() {
        let _ = writeln!(out, "  {line}");
    }
    (format!("{id}.yaml"), out)
}

/// The id, or the id with the first number from 2 on that is not taken; takes it.
fn own(id: String, ids: &mut Ids) -> String {
    let mut free = id.clone();
    while ids.contains_key(&free) {
        // The count stays with the plain id, so that a thousand tunes of one title are told apart quickly.
        let count = ids.entry(id.clone()).or_insert(1);
        *count += 1;
        free = format!("{id}-{count}");
    }
    ids.insert(free.clone(), 1);
    free
}

/// A short name from a title: small letters, digits and hyphens.
fn slug(title: &str, number: Option<u32>) -> String {
    let mut slug = String::new();
    for c in title.chars().flat_map(char::to_lowercase).take(60) {
        if c.is_ascii_alphanumeric() {
            slug.push(c);
        } else if !slug.is_empty() && !slug.ends_with('-') && c != '\'' && c != '’' {
            slug.push('-');
        }
    }
    let slug = slug.trim_matches('-');
    match (slug.is_empty(), number) {
        (false, _) => slug.to_owned(),
        (true, Some(number)) => format!("tune-{number}"),
        (true, None) => "tune".to_owned(),
    }
}

/// A text as a YAML value that can only be read as that text.
fn quoted(text: &str) -> String {
    let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    format!("\"{}\"", clean.replace('\\', "\\\\").replace('"', "\\\""))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_values_are_safe() {
        assert_eq!(slug("The Miller's  Daughter!", None), "the-millers-daughter");
        assert_eq!(slug("../../etc", Some(3)), "etc");
        assert_eq!(slug("Ωmega", Some(3)), "mega");
        assert_eq!(slug("", Some(3)), "tune-3");
        let mut ids = Ids::new();
        let names: Vec<_> = ["a", "b", "a", "a"].map(|id| own(id.to_owned(), &mut ids)).into();
        assert_eq!(names, ["a", "b", "a-2", "a-3"]);
        assert_eq!(own("a-2".to_owned(), &mut ids), "a-2-2");
        assert_eq!(quoted("a: \"b\" # c\n"), "\"a: \\\"b\\\" # c \"");
    }
}
