//! Chord symbols from harmony elements.
//!
//! Source: MusicXML 4.0, harmony, kind, degree. Texts for kinds without one of their own are common practice, no source.

use roxmltree::Node;

use super::attributes::{alteration, letter};
use super::barline::cut;
use super::xml::{child, child_int, child_text, text};
use crate::tune::{ChordQuality, ChordSymbol, PitchClass};

/// A chord symbol is no longer than this, in bytes.
const LONGEST: usize = 60;

/// A chord symbol, and what of its harmony element is not in it.
#[derive(Debug)]
pub(super) struct Heard {
    pub symbol: ChordSymbol,
    pub lost: Vec<&'static str>,
}

/// The chord symbol of a harmony element, or what it is that can't be written as one.
pub(super) fn chord(node: Node) -> Result<Heard, String> {
    let kind = child(node, "kind").ok_or("a harmony without a kind")?;
    let name = text(kind);
    let own = kind.attribute("text").map(str::trim);
    if name == "none" {
        let text = own.filter(|text| !text.is_empty()).unwrap_or("N.C.").to_owned();
        let symbol = ChordSymbol { text, root: None, quality: ChordQuality::Other, bass: None };
        return Ok(Heard { symbol, lost: Vec::new() });
    }
    let root = child(node, "root").ok_or("a harmony without a root")?;
    let root = class(root, "root-step", "root-alter").ok_or("a harmony whose root is no note")?;
    let (quality, usual) = match (known(&name), own) {
        // A text of nothing is that of a major chord alone: others would be taken for one.
        (Some((ChordQuality::Major, _)), Some(own)) => (ChordQuality::Major, own),
        (Some((quality, usual)), Some("") | None) => (quality, usual),
        (Some((quality, _)), Some(own)) => (quality, own),
        (None, Some(own)) if !own.is_empty() => (ChordQuality::Other, own),
        (None, _) => return Err(format!("a chord of the kind “{}”", cut(&name))),
    };
    let mut lost = Vec::new();
    let bases = node.children().filter(|n| ["root", "numeral", "function"].iter().any(|name| n.has_tag_name(*name)));
    if bases.count() > 1 {
        lost.push("a further chord in a chord symbol");
    }
    if child(node, "inversion").is_some() {
        lost.push("the inversion of a chord");
    }
    let mut text = format!("{root}{usual}");
    for degree in node.children().filter(|n| n.has_tag_name("degree")) {
        match degree_text(degree) {
            // The text of the kind may have it already.
            Some((degree, value)) if own.is_some_and(|own| says(own, &degree, &value)) => {}
            Some((degree, _)) if text.len() + degree.len() <= LONGEST => text.push_str(&degree),
            _ => lost.push("a degree of a chord"),
        }
    }
    let bass = child(node, "bass").map(|bass| class(bass, "bass-step", "bass-alter"));
    if bass == Some(None) {
        lost.push("the bass of a chord");
    }
    let bass = bass.flatten();
    if let Some(bass) = bass {
        text.push_str(&format!("/{bass}"));
    }
    Ok(Heard { symbol: ChordSymbol { text, root: Some(root), quality, bass }, lost })
}

/// A note name; `None` if its letter is none or it lies between the keys.
fn class(node: Node, step: &str, alter: &str) -> Option<PitchClass> {
    let step = letter(&child_text(node, step)?)?;
    let alter = child_text(node, alter).map_or(Some(0), |alter| alteration(&alter))?;
    Some(PitchClass::new(step, alter))
}

/// Whether the text of a kind has a degree in it.
fn says(own: &str, degree: &str, value: &str) -> bool {
    let plain = own.replace('\u{266f}', "#").replace('\u{266d}', "b");
    plain.contains(degree) || (degree.starts_with("add") && plain.contains(value))
}

/// What a degree adds to the text of a chord, and its figure; `None` if it is none.
fn degree_text(node: Node) -> Option<(String, String)> {
    let value = child_int(node, "degree-value").filter(|value| (1..=13).contains(value))?.to_string();
    if node.attribute("print-object") == Some("no") {
        return Some((String::new(), value));
    }
    let alter = child_text(node, "degree-alter").map_or(Some(0), |alter| alteration(&alter))?;
    let sign = match alter {
        0 => "",
        1 => "#",
        2 => "##",
        -1 => "b",
        _ => "bb",
    };
    let text = match child_text(node, "degree-type").as_deref() {
        Some("subtract") => format!("no{value}"),
        Some("add") if sign.is_empty() => format!("add{value}"),
        _ => format!("{sign}{value}"),
    };
    Some((text, value))
}

/// What a kind means, and the text it has when the file gives none; `None` for kinds that no letter and figure names.
fn known(kind: &str) -> Option<(ChordQuality, &'static str)> {
    use ChordQuality::{Augmented, Diminished, Major, MajorSeventh, Minor, MinorSeventh, Other, Seventh, Suspended};
    Some(match kind {
        "major" => (Major, ""),
        "minor" => (Minor, "m"),
        "dominant" => (Seventh, "7"),
        "major-seventh" => (MajorSeventh, "maj7"),
        "minor-seventh" => (MinorSeventh, "m7"),
        "augmented" => (Augmented, "+"),
        "diminished" => (Diminished, "dim"),
        "diminished-seventh" => (Diminished, "dim7"),
        "augmented-seventh" => (Augmented, "+7"),
        "half-diminished" => (Diminished, "m7b5"),
        "major-minor" => (Other, "m(maj7)"),
        "major-sixth" => (Other, "6"),
        "minor-sixth" => (Other, "m6"),
        "dominant-ninth" => (Other, "9"),
        "major-ninth" => (Other, "maj9"),
        "minor-ninth" => (Other, "m9"),
        "dominant-11th" => (Other, "11"),
        "major-11th" => (Other, "maj11"),
        "minor-11th" => (Other, "m11"),
        "dominant-13th" => (Other, "13"),
        "major-13th" => (Other, "maj13"),
        "minor-13th" => (Other, "m13"),
        "suspended-second" => (Suspended, "sus2"),
        "suspended-fourth" => (Suspended, "sus4"),
        "power" => (Other, "5"),
        _ => return None,
    })
}
