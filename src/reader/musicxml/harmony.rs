//! Chord symbols from harmony elements.
//!
//! Source: MusicXML 4.0, harmony, kind, degree. Texts for kinds without one of their own are common practice, no source.

use roxmltree::Node;

use super::xml::{child, child_int, child_text};
use crate::tune::{ChordQuality, ChordSymbol, PitchClass, Step};

/// The chord symbol of a harmony element; `None` if it has no root and no text.
pub(super) fn chord(node: Node) -> Option<ChordSymbol> {
    let kind = child(node, "kind")?;
    let kind_name = kind.text().unwrap_or("").trim();
    if kind_name == "none" {
        let text = kind.attribute("text").filter(|text| !text.is_empty()).unwrap_or("N.C.").to_owned();
        return Some(ChordSymbol { text, root: None, quality: ChordQuality::Other, bass: None });
    }
    let root = child(node, "root").and_then(|root| class(root, "root-step", "root-alter"))?;
    let bass = child(node, "bass").and_then(|bass| class(bass, "bass-step", "bass-alter"));
    let (quality, usual) = known(kind_name);
    let mut text = format!("{root}{}", kind.attribute("text").unwrap_or(usual));
    if kind.attribute("text").is_none() {
        for degree in node.children().filter(|n| n.has_tag_name("degree")).take(8) {
            text.push_str(&degree_text(degree));
        }
    }
    if let Some(bass) = bass {
        text.push_str(&format!("/{bass}"));
    }
    Some(ChordSymbol { text, root: Some(root), quality, bass })
}

fn class(node: Node, step: &str, alter: &str) -> Option<PitchClass> {
    let step = Step::from_letter(child_text(node, step)?.chars().next()?)?;
    let alter = child_int(node, alter).unwrap_or(0).clamp(-2, 2);
    Some(PitchClass::new(step, i8::try_from(alter).unwrap_or(0)))
}

fn degree_text(node: Node) -> String {
    let value = child_int(node, "degree-value").unwrap_or(0);
    let sign = match child_int(node, "degree-alter").unwrap_or(0) {
        0 => "",
        n if n > 0 => "#",
        _ => "b",
    };
    match child_text(node, "degree-type").as_deref() {
        Some("subtract") => format!("no{value}"),
        Some("add") if sign.is_empty() => format!("add{value}"),
        _ => format!("{sign}{value}"),
    }
}

/// What a kind means, and the text it has when the file gives none.
fn known(kind: &str) -> (ChordQuality, &'static str) {
    use ChordQuality::{Augmented, Diminished, Major, MajorSeventh, Minor, MinorSeventh, Other, Seventh, Suspended};
    match kind {
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
        _ => (Other, ""),
    }
}
