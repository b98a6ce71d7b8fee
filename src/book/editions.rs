//! Editions: a book's tree with the keys of an edition, and of what it stands on, laid over it key by key. Reads no typed
//! struct.

use super::Preset;
use super::preset::{preset_text, presets};
use super::words::{Slug, Word as _};
use super::yaml::{Entry, Node, Value, mark, overlay};
use crate::diag::{Place, Sink, Sources, nearest};
use std::collections::BTreeMap;

/// A book's tree as one edition sees it.
pub struct Edition {
    /// The tree, with the edition's keys laid over it and without `editions:`.
    pub node: Node,
    /// The presets it stands on, the outermost last.
    pub presets: Vec<Preset>,
}

/// What the names of bound files say of them, whatever the edition: `evening.press.pdf` is the book for the press.
const KINDS: [&str; 14] = [
    "press",
    "x-4",
    "a-2b",
    "saddle",
    "sections",
    "folded-eight",
    "folded-sixteen",
    "cut-and-stack",
    "two-up",
    "four-up",
    "cover",
    "reprint",
    "slip",
    "job",
];

/// Whether the name of a bound file says by this word what kind of file it is, so that no edition may be called by it.
pub fn says_kind(word: &str) -> bool {
    KINDS.contains(&word)
}

/// The names of a book's editions in the file's order, those left out that no file can be called by.
pub fn names(book: &Node) -> Vec<String> {
    let all = book.get("editions").map_or(&[][..], Node::entries).iter().map(|entry| &entry.key);
    all.filter(|name| Slug::read(name).is_ok()).cloned().collect()
}

/// The name becomes part of the bound file's name: one with a `/` in it could lead anywhere.
fn is_named(entry: &Entry, sink: &mut Sink) -> bool {
    if says_kind(&entry.key) {
        let hint = format!("give another name, such as `{0}-copy`: the bound file is called by it", entry.key);
        taken(entry, "files for the press, imposed sheets and reprints are called by that word", &hint, sink);
        return false;
    }
    let Err(why) = Slug::read(&entry.key) else { return true };
    let message = format!("an edition can't be called so: {why}");
    let complaint = sink.error(code!("edition-name"), Some(entry.place), message);
    complaint
        .hints
        .push("give small letters, digits and hyphens, such as `large-print`: the bound file is called by it".into());
    false
}

fn taken(entry: &Entry, why: &str, hint: &str, sink: &mut Sink) {
    let message = format!("an edition can't be called `{}`: {why}", entry.key);
    sink.error(code!("edition-name"), Some(entry.place), message).hints.push(hint.to_owned());
}

/// Refuses the names of editions that are a tune's id: one file would be the edition's and the tune's handout. All editions
/// where the book itself is read, else the one that is.
pub fn apart<'a>(book: &Node, edition: Option<&str>, tunes: impl Iterator<Item = &'a str>, sink: &mut Sink) {
    let editions = book.get("editions").map_or(&[][..], Node::entries);
    let asked: BTreeMap<&str, &Entry> = editions
        .iter()
        .filter(|entry| edition.is_none_or(|edition| edition == entry.key))
        .map(|entry| (entry.key.as_str(), entry))
        .collect();
    for entry in tunes.filter_map(|id| asked.get(id)) {
        let hint = "give the edition another name: `bind --only` calls the tune's handout by its id";
        taken(entry, "a tune of the book has that id, and its handout that name", hint, sink);
    }
}

/// Lays an edition over the book; the book itself for `None`. A number of the book trade is one edition's alone (ISBN Users'
/// Manual: each edition and each format has its own), so none is taken over.
pub fn apply(book: &Node, name: Option<&str>, sources: &mut Sources, sink: &mut Sink) -> Option<Edition> {
    let editions = book.get("editions").map_or(&[][..], Node::entries);
    let mut edition = Edition { node: without(book, &["editions"]), presets: Vec::new() };
    let Some(name) = name else { return Some(edition) };
    let mut layers: Vec<Node> = Vec::new();
    let mut seen: Vec<&str> = Vec::new();
    let mut next = Some((name, None));
    while let Some((name, place)) = next.take() {
        let own = editions.iter().find(|entry| entry.key == name);
        match (own, presets().find(|(known, _)| *known == name)) {
            // An edition may be called like the preset it stands on.
            (Some(entry), _) if !seen.contains(&name) => {
                if !is_named(entry, sink) {
                    return None;
                }
                seen.push(&entry.key);
                layers.push(without(&entry.value, &["like", "pitch"]));
                next = entry.value.get("like").and_then(|like| Some((like.text()?, Some(like.place))));
            }
            (_, Some((_, preset))) => {
                let file = sources.add(format!("preset {name}"), preset_text(preset));
                layers.push(mark(file, preset_text(preset), sink).expect("the presets are sound"));
                edition.presets.push(preset);
            }
            (Some(_), None) => {
                circle(name, place, sink);
                return None;
            }
            (None, None) => {
                unknown(name, place, editions, sink);
                return None;
            }
        }
    }
    edition.node = without_isbn(&edition.node);
    for (nth, layer) in layers.iter().enumerate().rev() {
        let is_own = nth == 0;
        edition.node = overlay(&edition.node, &if is_own { layer.clone() } else { without_isbn(layer) });
    }
    edition.presets.reverse();
    Some(edition)
}

/// Looks at what every edition stands on, so that the book itself tells of an edition that can't be bound.
pub fn check(book: &Node, sink: &mut Sink) {
    let editions = book.get("editions").map_or(&[][..], Node::entries);
    let like = |entry: &Entry| entry.value.get("like").and_then(|like| Some((like.text()?.to_owned(), like.place)));
    let mut told = false;
    for entry in editions {
        is_named(entry, sink);
        let Some((name, place)) = like(entry) else { continue };
        let is_preset = |name: &str| presets().any(|(known, _)| known == name);
        if !is_preset(&name) && !editions.iter().any(|entry| entry.key == name) {
            unknown(&name, Some(place), editions, sink);
            continue;
        }
        let mut seen = vec![entry.key.clone()];
        let mut next = Some((name, place));
        while let Some((name, place)) = next.take() {
            if seen.contains(&name) {
                // Each edition of a circle would tell of it.
                if !is_preset(&name) && !told {
                    circle(&name, Some(place), sink);
                    told = true;
                }
                break;
            }
            next = editions.iter().find(|entry| entry.key == name).and_then(like);
            seen.push(name);
        }
    }
}

fn circle(name: &str, place: Option<Place>, sink: &mut Sink) {
    sink.error(code!("edition-circle"), place, format!("the edition `{name}` stands on itself"))
        .hints
        .push("let `like:` lead to another edition or to a preset".into());
}

fn unknown(name: &str, place: Option<Place>, editions: &[Entry], sink: &mut Sink) {
    let mut known: Vec<&str> = Vec::new();
    for name in editions.iter().map(|entry| entry.key.as_str()).chain(presets().map(|(name, _)| name)) {
        // An edition may bear a preset's name.
        if !known.contains(&name) {
            known.push(name);
        }
    }
    let complaint = sink.error(code!("unknown-edition"), place, format!("there is no edition `{name}`"));
    complaint.hints.push(match nearest(name, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!("there are {}", known.join(", ")),
    });
}

/// A book's keys without its ISBN.
fn without_isbn(node: &Node) -> Node {
    let Value::Map(entries) = &node.value else { return node.clone() };
    let bare = |entry: &Entry| match entry.key.as_str() {
        "imprint" => Entry { value: without(&entry.value, &["isbn"]), ..entry.clone() },
        _ => entry.clone(),
    };
    Node { value: Value::Map(entries.iter().map(bare).collect()), ..*node }
}

/// A map without some of its keys.
fn without(node: &Node, keys: &[&str]) -> Node {
    match &node.value {
        Value::Map(entries) => {
            let kept = entries.iter().filter(|entry| !keys.contains(&entry.key.as_str())).cloned().collect();
            Node { value: Value::Map(kept), ..*node }
        }
        _ => node.clone(),
    }
}
