//! The pitch of a note, its accidental, head and ties, and its value as drawn.
//!
//! Source: MusicXML 4.0, pitch, accidental, notehead, tie, type.

use roxmltree::Node;

use super::attributes::letter;
use super::barline::cut;
use super::part::PartReader;
use super::xml::{child, child_int, child_text, text};
use crate::tune::{Accidental, Note, NoteValue, Pitch};

impl PartReader<'_> {
    /// The note of a note element; `None` if it has no pitch or one that is none.
    pub fn sounding_note(&mut self, node: Node) -> Option<Note> {
        let pitch = child(node, "pitch")?;
        let step = letter(&child_text(pitch, "step")?)?;
        let octave = i8::try_from(child_int(pitch, "octave")?).ok().filter(|octave| (0..=9).contains(octave))?;
        let alter = self.alter(pitch);
        self.head(node);
        let (starts, stops) = ties(node);
        if child(node, "grace").is_some() && starts {
            self.not_kept("a tie from a grace note");
        }
        if tied(node).any(|tied| tied.attribute("type") == Some("let-ring")) {
            self.not_kept("a tie that lets a note ring");
        }
        Some(Note {
            pitch: Pitch::new(step, alter, octave),
            written_sign: self.written_sign(node),
            tied_to_next: child(node, "grace").is_none() && starts,
            tied_from_previous: child(node, "grace").is_none() && stops,
        })
    }
    fn alter(&mut self, pitch: Node) -> i8 {
        let Some(given) = child_text(pitch, "alter") else { return 0 };
        let Some(alter) = given.parse::<f64>().ok().filter(|alter| alter.is_finite()) else {
            self.changed(&format!("a pitch altered by “{}”", cut(&given)), "the natural one");
            return 0;
        };
        if alter.abs() > 2.0 {
            self.changed("a pitch altered by more than two semitones", "one altered by two");
        } else if alter.fract() != 0.0 {
            self.changed("a pitch between the keys", "the nearest one");
        }
        // The clamp keeps the cast exact.
        alter.round().clamp(-2.0, 2.0) as i8
    }
    fn head(&mut self, node: Node) {
        if let Some(head) = child(node, "notehead") {
            let name = text(head);
            if !matches!(name.as_str(), "normal" | "") && !self.codes_row(node, &name) {
                self.not_kept(&format!("the notehead “{}”", cut(&name)));
            }
            if head.attribute("parentheses") == Some("yes") {
                self.not_kept("a pair of brackets around a note");
            }
            if head.attribute("filled").is_some() {
                self.not_kept("the filling of a notehead");
            }
        }
        if child(node, "notehead-text").is_some() {
            self.not_kept("a text in a notehead");
        }
    }
    fn written_sign(&mut self, node: Node) -> Option<Accidental> {
        let sign = child(node, "accidental")?;
        if ["parentheses", "bracket", "editorial"].iter().any(|name| sign.attribute(*name) == Some("yes")) {
            self.not_kept("a pair of brackets around an accidental");
        }
        let name = text(sign);
        Some(match name.as_str() {
            "sharp" => Accidental::Sharp,
            "natural" => Accidental::Natural,
            "flat" => Accidental::Flat,
            "double-sharp" | "sharp-sharp" => Accidental::DoubleSharp,
            "flat-flat" => Accidental::DoubleFlat,
            "natural-sharp" | "natural-flat" => {
                self.changed(&format!("the accidental “{name}”"), "one without the natural");
                if name == "natural-sharp" { Accidental::Sharp } else { Accidental::Flat }
            }
            _ => {
                self.not_kept(&format!("the accidental “{}”", cut(&name)));
                return None;
            }
        })
    }
}

/// The graphic ties of a note.
fn tied<'a, 'i: 'a>(node: Node<'a, 'i>) -> impl Iterator<Item = Node<'a, 'i>> {
    let notations = node.children().filter(|n| n.has_tag_name("notations"));
    notations.flat_map(|n| n.children()).filter(|n| n.has_tag_name("tied"))
}

/// Whether a tie begins at a note, and whether one ends, by sound or by sign.
fn ties(node: Node) -> (bool, bool) {
    let mut both = (false, false);
    for tie in node.children().filter(|n| n.has_tag_name("tie")).chain(tied(node)) {
        both.0 |= matches!(tie.attribute("type"), Some("start" | "continue"));
        both.1 |= matches!(tie.attribute("type"), Some("stop" | "continue"));
    }
    both
}

/// The value as drawn, from `type` and `dot`s.
pub(super) fn drawn(node: Node) -> Option<NoteValue> {
    let halvings = halvings(&child_text(node, "type")?)?;
    let dots = node.children().filter(|n| n.has_tag_name("dot")).take(4).count();
    Some(NoteValue { halvings, dots: u8::try_from(dots).unwrap_or(0) })
}

/// Halvings of a whole note of a value by its name.
pub(super) fn halvings(name: &str) -> Option<i8> {
    Some(match name {
        "breve" => -1,
        "whole" => 0,
        "half" => 1,
        "quarter" => 2,
        "eighth" => 3,
        "16th" => 4,
        "32nd" => 5,
        "64th" => 6,
        "128th" => 7,
        "256th" => 8,
        _ => return None,
    })
}
