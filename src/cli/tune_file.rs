//! A tune file that an author is glad to edit, from a tune that was read.

use crate::reader::abc::write;
use crate::reader::asked::Wish;
use crate::text::plain_letters;
use crate::tune::{Address, Tune};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Ids of a run, each with the last number given to a tune of the same title.
pub type Ids = BTreeMap<String, u32>;

/// Name (`the-tin-lantern.yaml`) and text of a tune's file, with pins for what its score asks for. `ids` are those of the run so far: tunes of one title get a
/// number each.
pub fn tune_file(tune: &Tune, wishes: &[Wish], ids: &mut Ids) -> (String, String) {
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
    let arrangers: Vec<&str> = credits.notes.iter().filter_map(|note| note.strip_prefix("arranger: ")).collect();
    if !arrangers.is_empty() {
        let _ = writeln!(out, "arranger: {}", quoted(&arrangers.join("; ")));
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
    pins(wishes, &mut out);
    (format!("{id}.yaml"), out)
}

/// What is asked for at single notes, one pin a note.
fn pins(wishes: &[Wish], out: &mut String) {
    let mut notes: BTreeMap<Address, Vec<(&str, &str)>> = BTreeMap::new();
    for wish in wishes {
        notes.entry(wish.note).or_default().push(wish.asked.pin());
    }
    if !notes.is_empty() {
        out.push_str("pins:\n");
    }
    for (note, wishes) in notes {
        let wishes: Vec<String> = wishes.iter().map(|(key, value)| format!("{key}: {value}")).collect();
        let _ = writeln!(out, "  - {{bar: {}, note: {}, {}}}", note.bar, note.note, wishes.join(", "));
    }
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

/// A short name from a tune's title, or from its number where the title has no letters for one.
fn slug(title: &str, number: Option<u32>) -> String {
    match (letters(title), number) {
        // Names of devices, which Windows gives to no file (Microsoft, "Naming Files, Paths, and Namespaces").
        (name, _) if is_device(&name) => format!("{name}-tune"),
        (name, _) if !name.is_empty() => name,
        (_, Some(number)) => format!("tune-{number}"),
        (_, None) => "tune".to_owned(),
    }
}

/// Whether Windows takes a name for that of a device, whatever ending it has.
fn is_device(name: &str) -> bool {
    let numbered = |port: &str| name.strip_prefix(port).is_some_and(|n| matches!(n.as_bytes(), [b'1'..=b'9']));
    matches!(name, "con" | "prn" | "aux" | "nul") || numbered("com") || numbered("lpt")
}

/// A short name of a book from the name of its folder.
pub fn short_name(folder: &str) -> String {
    Some(letters(folder)).filter(|name| !name.is_empty()).unwrap_or_else(|| "book".to_owned())
}

/// What a short name can keep of a title: small letters, digits and hyphens.
fn letters(title: &str) -> String {
    let mut slug = String::new();
    for c in plain_letters(title).take(60) {
        if c.is_ascii_alphanumeric() {
            slug.push(c);
        } else if !slug.is_empty() && !slug.ends_with('-') && c != '\'' && c != '’' {
            slug.push('-');
        }
    }
    slug.trim_matches('-').to_owned()
}

/// A text as a YAML value that can only be read as that text.
fn quoted(text: &str) -> String {
    let clean: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    format!("\"{}\"", clean.replace('\\', "\\\\").replace('"', "\\\""))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::reader::asked::Asked;
    use crate::tune::BarLabel;

    #[test]
    fn what_is_asked_for_becomes_pins() {
        let at = |bar, second_half, note| Address { bar: BarLabel { number: bar, second_half }, note, grace: None };
        let wish = |note, asked| Wish { note, asked };
        let wishes = [
            wish(at(1, false, 2), Asked::Push),
            wish(at(1, false, 2), Asked::InnerRow),
            wish(at(8, true, 1), Asked::Pull),
        ];
        let mut out = String::new();
        pins(&wishes, &mut out);
        let pins =
            "pins:\n  - {bar: 1, note: 2, direction: push, row: inner}\n  - {bar: 8+, note: 1, direction: pull}\n";
        assert_eq!(out, pins);
        out.clear();
        super::pins(&[], &mut out);
        assert_eq!(out, "");
    }

    #[test]
    fn names_and_values_are_safe() {
        assert_eq!(slug("The Miller's  Daughter!", None), "the-millers-daughter");
        assert_eq!(slug("../../etc", Some(3)), "etc");
        assert_eq!(slug("Ωmega", Some(3)), "mega");
        assert_eq!(slug("Café über Öl", None), "cafe-uber-ol");
        assert_eq!(slug("L’Été à Œuf-sur-Straße", None), "lete-a-oeuf-sur-strasse");
        assert_eq!(slug("Łódź, Smørrebrød, Ångström", None), "lodz-smorrebrod-angstrom");
        assert_eq!(slug("", Some(3)), "tune-3");
        assert_eq!(
            ["CON", "Com 1", "com1", "Lpt9", "Con moto"].map(|title| slug(title, None)),
            ["con-tune", "com-1", "com1-tune", "lpt9-tune", "con-moto"]
        );
        let mut ids = Ids::new();
        let names: Vec<_> = ["a", "b", "a", "a"].map(|id| own(id.to_owned(), &mut ids)).into();
        assert_eq!(names, ["a", "b", "a-2", "a-3"]);
        assert_eq!(own("a-2".to_owned(), &mut ids), "a-2-2");
        assert_eq!(quoted("a: \"b\" # c\n"), "\"a: \\\"b\\\" # c \"");
    }
}
