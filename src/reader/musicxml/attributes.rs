//! Keys and metres from attributes elements.
//!
//! Source: MusicXML 4.0, key, time.

use roxmltree::Node;

use super::xml::{child, child_int, child_text, text};
use crate::tune::{KeySignature, Meter, Mode, PitchClass, Step};

/// The key of a key element.
pub(super) fn key(node: Node) -> Option<KeySignature> {
    if child(node, "key-step").is_some() {
        return Some(own_signs(node));
    }
    let fifths = child_int(node, "fifths")?;
    let fifths = i8::try_from(fifths).ok().filter(|f| (-7..=7).contains(f))?;
    let mode = match child_text(node, "mode").as_deref() {
        Some("major" | "ionian") => Mode::Major,
        Some("minor" | "aeolian") => Mode::Minor,
        Some("dorian") => Mode::Dorian,
        Some("phrygian") => Mode::Phrygian,
        Some("lydian") => Mode::Lydian,
        Some("mixolydian") => Mode::Mixolydian,
        Some("locrian") => Mode::Locrian,
        _ => return Some(KeySignature { fifths, ..KeySignature::none() }),
    };
    let tonics = Step::ALL.into_iter().flat_map(|step| [0, 1, -1].map(|alter| PitchClass::new(step, alter)));
    tonics.filter_map(|tonic| KeySignature::regular(tonic, mode)).find(|key| key.fifths == fifths)
}

/// A signature given sign by sign.
fn own_signs(node: Node) -> KeySignature {
    let mut key = KeySignature { explicit: true, ..KeySignature::none() };
    let mut step = None;
    for part in node.children().filter(Node::is_element).take(64) {
        match part.tag_name().name() {
            "key-step" => step = text(part).chars().next().and_then(Step::from_letter),
            "key-alter" => {
                let alter: f64 = text(part).parse().unwrap_or(0.0);
                if let Some(step) = step.take() {
                    // The clamp keeps the cast exact.
                    key.changed.push(PitchClass::new(step, alter.round().clamp(-2.0, 2.0) as i8));
                }
            }
            _ => {}
        }
    }
    key
}

/// The metre of a time element; `None` if it can't be said with one lower figure.
pub(super) fn meter(node: Node) -> Option<Meter> {
    if child(node, "senza-misura").is_some() {
        return Some(Meter::Free);
    }
    let mut groups = Vec::new();
    let mut unit: Option<u32> = None;
    for part in node.children().filter(Node::is_element).take(32) {
        match part.tag_name().name() {
            "beats" => {
                for group in text(part).split('+') {
                    groups.push(group.trim().parse::<u32>().ok().filter(|n| (1..=128).contains(n))?);
                }
            }
            "beat-type" => {
                let new: u32 = text(part).parse().ok().filter(|n: &u32| n.is_power_of_two() && *n <= 128)?;
                if unit.is_some_and(|unit| unit != new) {
                    return None;
                }
                unit = Some(new);
            }
            _ => {}
        }
    }
    let unit = unit.filter(|_| !groups.is_empty() && groups.len() <= 16)?;
    match (node.attribute("symbol"), groups.as_slice(), unit) {
        (Some("common"), [4], 4) => Some(Meter::Common),
        (Some("cut"), [2], 2) => Some(Meter::Cut),
        _ => Some(Meter::Figures { groups, unit }),
    }
}
