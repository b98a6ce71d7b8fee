//! Notations of a note: articulations, ornaments, fingerings, dynamics, slurs, slides.
//!
//! Source: MusicXML 4.0, notations.

use roxmltree::Node;

use super::barline::cut;
use super::part::PartReader;
use super::xml::text;
use crate::tune::{Event, Mark, NoteId};

/// Signs on one note.
const MOST_SIGNS: usize = 32;
/// Slurs and slides that are open at one time.
const MOST_OPEN: usize = 32;

impl PartReader<'_> {
    /// Signs on a note, or on a further note of its chord.
    pub fn notations(&mut self, node: Node, event: &mut Event) {
        for notations in node.children().filter(|n| n.has_tag_name("notations")) {
            if notations.attribute("print-object") == Some("no") {
                self.not_kept("a sign at a note that is not shown");
                continue;
            }
            for notation in notations.children().filter(Node::is_element) {
                self.notation(notation, event);
            }
        }
    }
    fn notation(&mut self, node: Node, event: &mut Event) {
        match node.tag_name().name() {
            "articulations" | "ornaments" | "technical" | "dynamics" => {
                for sign in node.children().filter(Node::is_element) {
                    self.sign(sign, event);
                }
            }
            "fermata" => {
                let mark = self.fermata(node);
                self.put(mark, event);
            }
            "arpeggiate" => {
                if node.attribute("direction").is_some() {
                    self.not_kept("the direction of an arpeggio");
                }
                self.put(Mark::Arpeggio, event);
            }
            "slide" => self.slide(node, event),
            "accidental-mark" => self.not_kept("an accidental beside a sign"),
            // Ties belong to the notes, slurs and tuplets to what they span.
            "tied" | "slur" | "tuplet" | "footnote" | "level" => {}
            other => self.not_kept(&format!("“{}”", cut(other))),
        }
    }
    /// Puts a mark on an event. The notes of a chord may all bear the same one; a finger each has its own.
    fn put(&mut self, mark: Mark, event: &mut Event) {
        let again = event.marks.contains(&mark) && !matches!(mark, Mark::Finger(_));
        if again {
            return;
        }
        if event.marks.len() < MOST_SIGNS {
            event.marks.push(mark);
        } else {
            self.not_kept(&format!("a sign beyond {MOST_SIGNS} on a note"));
        }
    }
    fn sign(&mut self, node: Node, event: &mut Event) {
        let name = node.tag_name().name();
        match name {
            "fingering" => {
                let other = node.attribute("alternate") == Some("yes") || node.attribute("substitution") == Some("yes");
                match text(node).parse() {
                    Ok(digit @ 0..=5u8) if !other => self.put(Mark::Finger(digit), event),
                    _ => self.not_kept("a fingering that is no single finger"),
                }
                return;
            }
            "accidental-mark" => return self.not_kept("an accidental beside a sign"),
            "other-technical" => return self.other_technical(node, event),
            _ => {}
        }
        let Some((mark, becomes)) = mark(name) else {
            return self.not_kept(&format!("“{}”", cut(name)));
        };
        if !becomes.is_empty() {
            self.changed(&format!("“{name}”"), becomes);
        }
        let shape = text(node);
        match mark {
            Mark::Breath if !matches!(shape.as_str(), "" | "comma") => {
                self.changed(&format!("a breath mark of the shape “{}”", cut(&shape)), "a comma");
            }
            Mark::Caesura if !matches!(shape.as_str(), "" | "normal") => {
                self.changed(&format!("a caesura of the shape “{}”", cut(&shape)), "a plain one");
            }
            Mark::Marcato if node.attribute("type") == Some("down") => {
                self.changed("a strong accent that points down", "one that points up");
            }
            Mark::LowerMordent | Mark::UpperMordent if node.attribute("long") == Some("yes") => {
                self.changed("a long mordent", "a plain one");
            }
            _ => {}
        }
        self.put(mark, event);
    }
    fn slide(&mut self, node: Node, event: &mut Event) {
        let number = node.attribute("number").unwrap_or("1").to_owned();
        if node.attribute("type") == Some("stop") {
            self.slides.remove(&number);
            self.put(Mark::Slide, event);
        } else if self.slides.len() < MOST_OPEN
            && let Some(open) = self.slides.insert(number, self.here.clone())
        {
            self.not_kept_at("a slide that does not end", &open);
        }
    }
    /// Signs at a grace note, which has none here but slurs.
    pub fn grace_signs(&mut self, node: Node) {
        let groups = node.children().filter(|n| n.has_tag_name("notations")).flat_map(|n| n.children());
        for group in groups.filter(Node::is_element) {
            match group.tag_name().name() {
                "tied" | "slur" | "tuplet" | "footnote" | "level" => {}
                "articulations" | "ornaments" | "technical" | "dynamics" => {
                    for sign in group.children().filter(Node::is_element) {
                        self.not_kept(&format!("“{}” at a grace note", cut(sign.tag_name().name())));
                    }
                }
                other => self.not_kept(&format!("“{}” at a grace note", cut(other))),
            }
        }
        if node.children().any(|n| n.has_tag_name("lyric")) {
            self.not_kept("a syllable under a grace note");
        }
    }
    /// Slurs that begin or end at a note.
    pub fn slur_marks(&mut self, node: Node, id: NoteId) {
        let number = |slur: &Node| slur.attribute("number").unwrap_or("1").to_owned();
        let all: Vec<_> = slurs(node).collect();
        for slur in all.iter().filter(|slur| slur.attribute("type") == Some("stop")) {
            match self.slurs.remove(&number(slur)) {
                Some((from, dotted, _)) if from != id => self.add_slur(from, id, dotted),
                Some(_) => self.not_kept("a slur over one note"),
                None => self.not_kept("a slur that does not begin"),
            }
        }
        for slur in all.iter().filter(|slur| slur.attribute("type") == Some("start")) {
            let dotted = matches!(slur.attribute("line-type"), Some("dotted" | "dashed"));
            if self.slurs.len() >= MOST_OPEN {
                self.not_kept(&format!("a slur beyond {MOST_OPEN} at one time"));
            } else if let Some((.., open)) = self.slurs.insert(number(slur), (id, dotted, self.here.clone())) {
                self.not_kept_at("a slur that does not end", &open);
            }
        }
    }
    /// Slurs at a rest, which has no slurs here.
    pub fn slurs_at_rest(&mut self, node: Node) {
        if slurs(node).next().is_some() {
            self.not_kept("a slur that begins or ends at a rest");
        }
    }
}

fn slurs<'a, 'i: 'a>(node: Node<'a, 'i>) -> impl Iterator<Item = Node<'a, 'i>> {
    let notations = node.children().filter(|n| n.has_tag_name("notations"));
    notations.flat_map(|n| n.children()).filter(|n| n.has_tag_name("slur"))
}

/// The mark of an articulation, ornament, technical sign or dynamic, and what is said of it where it is only near.
pub(super) fn mark(name: &str) -> Option<(Mark, &'static str)> {
    let exact = match name {
        "staccato" => Mark::Staccato,
        "staccatissimo" => Mark::Wedge,
        "tenuto" => Mark::Tenuto,
        "accent" => Mark::Accent,
        "strong-accent" => Mark::Marcato,
        "breath-mark" => Mark::Breath,
        "caesura" => Mark::Caesura,
        "trill-mark" => Mark::Trill,
        "turn" => Mark::Turn,
        "inverted-turn" => Mark::InvertedTurn,
        "mordent" => Mark::LowerMordent,
        "inverted-mordent" => Mark::UpperMordent,
        "up-bow" => Mark::UpBow,
        "down-bow" => Mark::DownBow,
        "pppp" => Mark::Dynamic(0),
        "ppp" => Mark::Dynamic(1),
        "pp" => Mark::Dynamic(2),
        "p" => Mark::Dynamic(3),
        "mp" => Mark::Dynamic(4),
        "mf" => Mark::Dynamic(5),
        "f" => Mark::Dynamic(6),
        "ff" => Mark::Dynamic(7),
        "fff" => Mark::Dynamic(8),
        "ffff" => Mark::Dynamic(9),
        "sfz" => Mark::Dynamic(10),
        _ => {
            return Some(match name {
                "spiccato" => (Mark::Wedge, "a wedge"),
                "delayed-turn" => (Mark::Turn, "a turn"),
                "delayed-inverted-turn" => (Mark::InvertedTurn, "an inverted turn"),
                "ppppp" | "pppppp" => (Mark::Dynamic(0), "“pppp”"),
                "fffff" | "ffffff" => (Mark::Dynamic(9), "“ffff”"),
                "sf" | "sffz" | "fz" => (Mark::Dynamic(10), "“sfz”"),
                _ => return None,
            });
        }
    };
    Some((exact, ""))
}
