//! Notations of a note: articulations, ornaments, fingerings, dynamics, slurs.
//!
//! Source: MusicXML 4.0, notations.

use roxmltree::Node;

use super::part::PartReader;
use super::xml::text;
use crate::tune::{Event, Mark, NoteId};

impl PartReader<'_> {
    /// Signs on a note.
    pub fn notations(&mut self, node: Node, event: &mut Event) {
        for notation in node.children().filter(|n| n.has_tag_name("notations")).flat_map(|n| n.children()) {
            match notation.tag_name().name() {
                "articulations" | "ornaments" | "technical" | "dynamics" => {
                    for sign in notation.children().filter(Node::is_element).take(32) {
                        self.sign(sign, event);
                    }
                }
                "fermata" => event.marks.push(match notation.attribute("type") {
                    Some("inverted") => Mark::FermataBelow,
                    _ => Mark::Fermata,
                }),
                "arpeggiate" => event.marks.push(Mark::Arpeggio),
                "slide" if notation.attribute("type") == Some("stop") => event.marks.push(Mark::Slide),
                "" | "tied" | "slur" | "tuplet" | "slide" => {}
                other => self.not_kept(&format!("“{}”", other.chars().take(30).collect::<String>())),
            }
        }
        event.marks.truncate(32);
    }
    fn sign(&mut self, node: Node, event: &mut Event) {
        let name = node.tag_name().name();
        match mark(name) {
            Some(mark) => event.marks.push(mark),
            None if name == "fingering" => {
                let alternative =
                    node.attribute("alternate") == Some("yes") || node.attribute("substitution") == Some("yes");
                match text(node).parse() {
                    Ok(digit @ 0..=5u8) if !alternative => event.marks.push(Mark::Finger(digit)),
                    _ => self.not_kept("a fingering that is no single finger"),
                }
            }
            None if matches!(name, "accidental-mark" | "wavy-line") => {}
            None => self.not_kept(&format!("“{}”", name.chars().take(30).collect::<String>())),
        }
    }
    /// Slurs that begin or end at a note.
    pub fn slur_marks(&mut self, node: Node, id: NoteId) {
        let notations = node.children().filter(|n| n.has_tag_name("notations")).flat_map(|n| n.children());
        let slurs: Vec<_> = notations.filter(|n| n.has_tag_name("slur")).take(16).collect();
        let number = |slur: &Node| slur.attribute("number").unwrap_or("1").to_owned();
        for slur in slurs.iter().filter(|slur| slur.attribute("type") == Some("stop")) {
            if let Some((from, dotted)) = self.slurs.remove(&number(slur)) {
                self.add_slur(from, id, dotted);
            }
        }
        for slur in slurs.iter().filter(|slur| slur.attribute("type") == Some("start")) {
            let dotted = matches!(slur.attribute("line-type"), Some("dotted" | "dashed"));
            if self.slurs.len() < 32 {
                self.slurs.insert(number(slur), (id, dotted));
            }
        }
    }
}

/// The mark of an articulation, ornament, technical sign or dynamic.
pub(super) fn mark(name: &str) -> Option<Mark> {
    Some(match name {
        "staccato" => Mark::Staccato,
        "staccatissimo" | "spiccato" => Mark::Wedge,
        "tenuto" => Mark::Tenuto,
        "accent" => Mark::Accent,
        "strong-accent" => Mark::Marcato,
        "breath-mark" => Mark::Breath,
        "caesura" => Mark::Caesura,
        "trill-mark" => Mark::Trill,
        "turn" | "delayed-turn" => Mark::Turn,
        "inverted-turn" | "delayed-inverted-turn" => Mark::InvertedTurn,
        "mordent" => Mark::LowerMordent,
        "inverted-mordent" => Mark::UpperMordent,
        "up-bow" => Mark::UpBow,
        "down-bow" => Mark::DownBow,
        "pppp" | "ppppp" | "pppppp" => Mark::Dynamic(0),
        "ppp" => Mark::Dynamic(1),
        "pp" => Mark::Dynamic(2),
        "p" => Mark::Dynamic(3),
        "mp" => Mark::Dynamic(4),
        "mf" => Mark::Dynamic(5),
        "f" => Mark::Dynamic(6),
        "ff" => Mark::Dynamic(7),
        "fff" => Mark::Dynamic(8),
        "ffff" | "fffff" | "ffffff" => Mark::Dynamic(9),
        "sfz" | "sf" | "sffz" | "fz" => Mark::Dynamic(10),
        _ => return None,
    })
}
