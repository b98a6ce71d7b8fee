//! A score's choice of part: the measures of one part in order, with what the others say of the whole score.
//!
//! Source: MusicXML 4.0, score-partwise and score-timewise, part-list.

use std::collections::BTreeMap;

use roxmltree::{Document, Node};

use super::head::head;
use super::part::PartReader;
use super::xml::{Places, child, child_text};
use super::{Complaints, XmlOptions, system};
use crate::reader::asked::Wish;
use crate::tune::Tune;

/// A measure of one part: the element that has its number, and the one that has its music.
#[derive(Debug, Clone, Copy)]
pub(super) struct Measure<'a, 'i> {
    pub head: Node<'a, 'i>,
    pub music: Node<'a, 'i>,
}

/// A part with its id, name and measures.
struct Part<'a, 'i> {
    id: String,
    name: String,
    measures: Vec<Measure<'a, 'i>>,
}

impl Part<'_, '_> {
    /// Whether it is called so, by its id or its name.
    fn is(&self, name: &str) -> bool {
        self.id == name || self.name == name
    }
}

/// The tune of a score and what it asks for; `None` if it is none.
pub(super) fn tune(
    document: &Document,
    mut places: Places,
    options: &XmlOptions,
    complaints: &mut Complaints,
) -> Option<(Tune, Vec<Wish>)> {
    let root = document.root_element();
    let mut parts = match root.tag_name().name() {
        "score-partwise" => partwise(root),
        "score-timewise" => timewise(root),
        "opus" => {
            let place = places.of(root);
            complaints.unmet(code!("no-score"), place, "this file is a list of scores", "bring the scores one by one");
            return None;
        }
        other => {
            let place = places.of(root);
            complaints.unmet(
                code!("no-score"),
                place,
                format!("this file is no score: it begins with “{other}”"),
                "a score begins with score-partwise or score-timewise",
            );
            return None;
        }
    };
    let names = part_names(root);
    for part in &mut parts {
        part.name = names.get(part.id.as_str()).unwrap_or(&part.id).clone();
    }
    if let Some(wanted) = &options.part
        && !parts.iter().any(|part| part.is(wanted))
    {
        let names: Vec<_> = parts.iter().map(|part| part.name.as_str()).collect();
        let hint = format!("the parts are {}", names.join(", "));
        complaints.unmet(code!("no-such-part"), places.of(root), format!("there is no part “{wanted}”"), &hint);
        return None;
    }
    let Some(chosen) = choose(&parts, options) else {
        complaints.unmet(
            code!("no-score"),
            places.of(root),
            "this score has no part with notes",
            "look at it in the program that wrote it, and save it again",
        );
        return None;
    };
    let mut tune = Tune::blank();
    tune.place = Some(places.of(root));
    head(root, &mut tune, places.of(root), complaints);
    let others: Vec<_> =
        parts.iter().enumerate().filter(|(at, _)| *at != chosen).map(|(_, part)| part.name.as_str()).collect();
    if !others.is_empty() && options.part.is_none() {
        let message = format!("only the part “{}” is read; left out: {}", parts[chosen].name, others.join(", "));
        complaints.warn(
            code!("parts-left-out"),
            places.of(root),
            message,
            "`bring --part NAME` chooses another, or in a tune file `music: {file: ..., part: NAME}`",
        );
    }
    let measures = &parts[chosen].measures;
    let rest = parts.iter().enumerate().filter(|(at, _)| *at != chosen).map(|(_, part)| part.measures.as_slice());
    let marks = system::marks(rest, measures.len());
    let reader = PartReader::new(tune, places, options, complaints);
    reader.read(measures, &marks)
}

fn partwise<'a, 'i>(root: Node<'a, 'i>) -> Vec<Part<'a, 'i>> {
    let parts = root.children().filter(|node| node.has_tag_name("part"));
    let measures = |part: Node<'a, 'i>| {
        part.children().filter(|m| m.has_tag_name("measure")).map(|m| Measure { head: m, music: m }).collect()
    };
    let part = |node: Node<'a, 'i>| Part {
        id: node.attribute("id").unwrap_or("").to_owned(),
        name: String::new(),
        measures: measures(node),
    };
    parts.take(500).map(part).collect()
}

fn timewise<'a, 'i>(root: Node<'a, 'i>) -> Vec<Part<'a, 'i>> {
    let mut parts: Vec<Part> = Vec::new();
    for measure in root.children().filter(|node| node.has_tag_name("measure")) {
        for music in measure.children().filter(|node| node.has_tag_name("part")) {
            let id = music.attribute("id").unwrap_or("");
            let at = match parts.iter().position(|part| part.id == id) {
                Some(at) => at,
                None if parts.len() < 500 => {
                    parts.push(Part { id: id.to_owned(), name: String::new(), measures: Vec::new() });
                    parts.len() - 1
                }
                None => continue,
            };
            parts[at].measures.push(Measure { head: measure, music });
        }
    }
    parts
}

/// The names of the parts by their ids; of two with one id the first has it.
fn part_names<'a>(root: Node<'a, '_>) -> BTreeMap<&'a str, String> {
    let mut names = BTreeMap::new();
    let list = child(root, "part-list");
    for part in list.into_iter().flat_map(|list| list.children()).filter(|n| n.has_tag_name("score-part")) {
        if let (Some(id), Some(name)) = (part.attribute("id"), child_text(part, "part-name")) {
            names.entry(id).or_insert(name);
        }
    }
    names
}

/// The part asked for, or the one with the most pitched notes.
fn choose(parts: &[Part], options: &XmlOptions) -> Option<usize> {
    if let Some(wanted) = &options.part {
        return parts.iter().position(|part| part.is(wanted));
    }
    let notes = |part: &Part| -> usize {
        let notes = part.measures.iter().flat_map(|m| m.music.children()).filter(|n| n.has_tag_name("note"));
        notes.filter(|note| child(*note, "pitch").is_some()).count()
    };
    let mut best = None;
    for (at, part) in parts.iter().enumerate() {
        let count = notes(part);
        if count > 0 && best.is_none_or(|(_, most)| count > most) {
            best = Some((at, count));
        }
    }
    best.map(|(at, _)| at).or((!parts.is_empty()).then_some(0))
}
