//! What stands in one part and holds for the whole score: jumps and their goals, tempi, rehearsal marks.
//!
//! Source: MusicXML 4.0, direction (directive, system), sound, rehearsal. That such marks stand in the top part alone is common
//! practice, no source.

use roxmltree::Node;

use super::part::{PartReader, Turn, decimal};
use super::score::Measure;
use super::xml::{child, child_text, text};
use crate::reader::abc::{Meaning, by_words};
use crate::tune::{Annotation, Duration, Fraction, Landmark, Placement};

/// Marks of one measure that are taken, at most.
const MOST_MARKS: usize = 64;
/// No measure is longer, in whole notes.
const LONGEST: i64 = 64;

/// A direction or sound of another part, with its place in the measure.
#[derive(Debug, Clone, Copy)]
pub(super) struct Mark<'a, 'i> {
    at: Duration,
    node: Node<'a, 'i>,
}

/// The marks of the other parts, measure by measure of the part that is read.
pub(super) fn marks<'a, 'i, 'm>(
    others: impl Iterator<Item = &'m [Measure<'a, 'i>]>,
    count: usize,
) -> Vec<Vec<Mark<'a, 'i>>>
where
    'i: 'm,
    'a: 'm,
{
    let mut marks: Vec<Vec<Mark>> = vec![Vec::new(); count];
    for measures in others {
        let mut divisions = Fraction::ONE;
        for (measure, marks) in measures.iter().zip(&mut marks) {
            let mut cursor = Duration::ZERO;
            for node in measure.music.children().filter(Node::is_element) {
                match node.tag_name().name() {
                    "attributes" => {
                        let given = child_text(node, "divisions").and_then(|text| decimal(&text));
                        divisions = given.filter(|given| *given > Fraction::ZERO).unwrap_or(divisions);
                    }
                    "backup" => {
                        let length = length(node, divisions);
                        cursor = cursor.max(length) - length;
                    }
                    "forward" => cursor += length(node, divisions),
                    "note" if child(node, "chord").is_none() && child(node, "grace").is_none() => {
                        cursor += length(node, divisions);
                    }
                    "direction" | "sound" if marks.len() < MOST_MARKS && holds_for_all(node) => {
                        marks.push(Mark { at: cursor, node });
                    }
                    _ => {}
                }
                cursor = cursor.min(Duration::new(LONGEST, 1));
            }
        }
    }
    marks
}

fn length(node: Node, divisions: Fraction) -> Duration {
    let given = child_text(node, "duration").and_then(|text| decimal(&text)).unwrap_or(Fraction::ZERO);
    Duration(given.over(divisions * Fraction::new(4, 1))).min(Duration::new(LONGEST, 1))
}

/// Whether a direction or sound may say something of the whole score.
fn holds_for_all(node: Node) -> bool {
    const ORDERS: [&str; 7] = ["coda", "dacapo", "dalsegno", "fine", "segno", "tempo", "tocoda"];
    let sound = if node.has_tag_name("sound") { Some(node) } else { child(node, "sound") };
    let types = node.children().filter(|n| n.has_tag_name("direction-type")).flat_map(|n| n.children());
    sound.is_some_and(|sound| ORDERS.iter().any(|order| sound.has_attribute(*order)))
        || is_of_all(node)
        || types.filter(Node::is_element).any(|part| match part.tag_name().name() {
            "rehearsal" | "segno" | "coda" | "metronome" => true,
            "words" => by_words(&text(part)).is_some(),
            _ => false,
        })
}

/// Whether a direction is said to hold for the whole score: it is marked so, or it orders a tempo.
fn is_of_all(node: Node) -> bool {
    node.attribute("directive") == Some("yes")
        || matches!(node.attribute("system"), Some("only-top" | "also-top"))
        || child(node, "sound").is_some_and(|sound| sound.has_attribute("tempo"))
}

impl PartReader<'_> {
    /// Takes what the other parts say of the whole score at this measure, unless this part says it as well.
    pub fn take_marks(&mut self, marks: &[Mark]) {
        let cursor = self.cursor;
        self.elsewhere = true;
        for mark in marks {
            self.cursor = mark.at;
            if mark.node.has_tag_name("sound") {
                self.sound(mark.node, self.has_tempo());
            } else {
                self.mark(mark.node);
            }
        }
        self.elsewhere = false;
        self.cursor = cursor;
    }
    fn mark(&mut self, node: Node) {
        let types = node.children().filter(|n| n.has_tag_name("direction-type")).flat_map(|n| n.children());
        let mut said: Option<String> = None;
        let mut has_tempo = false;
        for part in types.filter(Node::is_element) {
            match part.tag_name().name() {
                "words" => match by_words(&text(part)) {
                    Some(Meaning::Jump(jump)) => self.jump(jump, false, None),
                    Some(Meaning::Landmark(landmark)) => self.landmark(landmark, false, None),
                    _ => said = Some(text(part)).filter(|words| !words.is_empty()).or(said),
                },
                "rehearsal" => self.rehearsal(&text(part)),
                "segno" => self.landmark(Landmark::Segno, false, None),
                "coda" => self.landmark(Landmark::Coda, false, None),
                "metronome" => {
                    has_tempo = true;
                    if !self.has_tempo() {
                        self.metronome(part, said.take());
                    } else {
                        said = None;
                    }
                }
                _ => {}
            }
        }
        if let Some(sound) = child(node, "sound") {
            self.sound(sound, has_tempo || self.has_tempo());
        }
        if let Some(text) = said.filter(|_| is_of_all(node)) {
            let placement =
                if node.attribute("placement") == Some("below") { Placement::Below } else { Placement::Above };
            self.say_at(self.cursor, Annotation { placement, text });
        }
        self.one_coda();
    }
    /// Whether a tempo is given where the cursor stands.
    fn has_tempo(&self) -> bool {
        let first = self.tune.bars.is_empty();
        let begins = if first { self.tune.tempo.is_some() } else { self.bar.tempo.is_some() };
        let here = |(at, turn): &(Duration, Turn)| *at == self.cursor && matches!(turn, Turn::Tempo(_));
        (self.cursor.is_zero() && begins) || self.turns.iter().any(here)
    }
    /// Puts a text on the first event from a place on; of texts that are the same one is enough.
    fn say_at(&mut self, at: Duration, annotation: Annotation) {
        let mut onset = Duration::ZERO;
        let event = self.bar.events.iter_mut().find(|event| {
            let found = onset >= at;
            onset += event.duration;
            found
        });
        let texts = event.map_or(&mut self.waiting.annotations, |event| &mut event.annotations);
        if texts.len() < super::direction::MOST_WAITING && !texts.iter().any(|known| known.text == annotation.text) {
            texts.push(annotation);
        }
    }
}
