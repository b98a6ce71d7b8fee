//! Directions, sounds and harmonies: words, dynamics, tempo, parts, jumps, chord symbols.
//!
//! Source: MusicXML 4.0, direction, metronome, sound, harmony.

use roxmltree::Node;

use super::part::{PartReader, decimal};
use super::xml::{child, child_text, text};
use super::{harmony, marks};
use crate::reader::abc::{Meaning, by_words};
use crate::tune::{Annotation, Duration, Fraction, Jump, Landmark, Mark, NoteValue, Placement, Tempo};

/// At most so many things wait for one note.
const MOST_WAITING: usize = 32;

impl PartReader<'_> {
    /// A direction element.
    pub fn direction(&mut self, node: Node) {
        if child_text(node, "staff").is_some_and(|staff| staff != "1") {
            return;
        }
        let below = node.attribute("placement") == Some("below");
        let types = node.children().filter(|n| n.has_tag_name("direction-type")).flat_map(|n| n.children());
        let mut words_before_tempo = None;
        for part in types.filter(Node::is_element).take(64) {
            match part.tag_name().name() {
                "words" => words_before_tempo = self.words(&text(part), below).or(words_before_tempo),
                "rehearsal" => self.bar.part = Some(text(part)).filter(|label| !label.is_empty()),
                "segno" => self.bar.landmarks.push(Landmark::Segno),
                "coda" => self.bar.landmarks.push(Landmark::Coda),
                "metronome" => self.metronome(part, words_before_tempo.take()),
                "dynamics" => {
                    for sign in part.children().filter(Node::is_element).take(8) {
                        match marks::mark(sign.tag_name().name()) {
                            Some(mark) => self.wait(mark),
                            None => self.not_kept("a dynamic"),
                        }
                    }
                }
                "wedge" => self.wedge(part),
                other => self.not_kept(&format!("“{}”", other.chars().take(30).collect::<String>())),
            }
        }
        if let Some(sound) = child(node, "sound") {
            self.sound(sound);
        }
    }
    fn wait(&mut self, mark: Mark) {
        if self.waiting.marks.len() < MOST_WAITING {
            self.waiting.marks.push(mark);
        }
    }
    fn wedge(&mut self, node: Node) {
        let start = self.slurs.contains_key("wedge >");
        match node.attribute("type") {
            Some("crescendo") => {
                self.slurs.remove("wedge >");
                self.wait(Mark::CrescendoStart);
            }
            Some("diminuendo") => {
                self.slurs.insert("wedge >".to_owned(), (crate::tune::NoteId(0), false));
                self.wait(Mark::DiminuendoStart);
            }
            Some("stop") => self.wait(if start { Mark::DiminuendoEnd } else { Mark::CrescendoEnd }),
            _ => {}
        }
    }
    /// Words: a jump, or an annotation; given back where they may belong to a tempo.
    fn words(&mut self, words: &str, below: bool) -> Option<String> {
        match by_words(words) {
            Some(Meaning::Jump(jump)) => self.bar.jump = Some(jump),
            Some(Meaning::Landmark(landmark)) => self.bar.landmarks.push(landmark),
            _ => {
                if !words.is_empty() && self.waiting.annotations.len() < MOST_WAITING {
                    let placement = if below { Placement::Below } else { Placement::Above };
                    self.waiting.annotations.push(Annotation { placement, text: words.to_owned() });
                }
                return Some(words.to_owned());
            }
        }
        None
    }
    fn metronome(&mut self, node: Node, words: Option<String>) {
        let unit = child_text(node, "beat-unit").and_then(|unit| beat(&unit));
        let dots = node.children().filter(|n| n.has_tag_name("beat-unit-dot")).take(3).count();
        let rate = child_text(node, "per-minute");
        let rate =
            rate.as_deref().and_then(|r| r.split(|c: char| !c.is_ascii_digit()).find_map(|n| n.parse::<u32>().ok()));
        let (Some(halvings), Some(bpm)) = (unit, rate.filter(|bpm| (1..=2000).contains(bpm))) else {
            self.not_kept("a tempo without a beat and a number");
            return;
        };
        let value = NoteValue { halvings, dots: u8::try_from(dots).unwrap_or(0) };
        if words.is_some() {
            self.waiting.annotations.pop();
        }
        let before = words.filter(|words| !words.is_empty());
        let tempo = Tempo { before, beat: vec![value.duration()], bpm: Some(bpm), after: None };
        if self.tune.bars.is_empty() {
            self.tune.tempo = Some(tempo);
        } else {
            self.bar.tempo = Some(tempo);
        }
    }
    /// What a sound element orders.
    pub fn sound(&mut self, node: Node) {
        let yes = |name: &str| node.attribute(name).is_some_and(|value| value != "no");
        if yes("dacapo") {
            self.bar.jump.get_or_insert(Jump::DaCapo);
        }
        if yes("dalsegno") {
            self.bar.jump.get_or_insert(Jump::DalSegno);
        }
        if yes("tocoda") {
            self.bar.jump.get_or_insert(Jump::ToCoda);
            // The sign over the way out is not the coda's own.
            self.bar.landmarks.retain(|landmark| *landmark != Landmark::Coda);
        }
        for (name, landmark) in [("fine", Landmark::Fine), ("segno", Landmark::Segno), ("coda", Landmark::Coda)] {
            if yes(name) && !self.bar.landmarks.contains(&landmark) {
                self.bar.landmarks.push(landmark);
            }
        }
        if let Some(tempo) = node.attribute("tempo").and_then(|tempo| tempo.parse::<f64>().ok())
            && (1.0..=2000.0).contains(&tempo)
            && self.tune.bars.is_empty()
        {
            // The range was checked, so the cast is exact.
            self.tempo_heard.get_or_insert(tempo.round() as u32);
        }
    }
    /// A harmony element.
    pub fn harmony(&mut self, node: Node) {
        if child_text(node, "staff").is_some_and(|staff| staff != "1") {
            return;
        }
        let Some(chord) = harmony::chord(node) else {
            self.not_kept("a harmony without a root");
            return;
        };
        if child(node, "frame").is_some() {
            self.not_kept("a chord diagram");
        }
        let offset = child_text(node, "offset").and_then(|offset| {
            let (sign, digits) = match offset.strip_prefix('-') {
                Some(digits) => (-1, digits),
                None => (1, offset.as_str()),
            };
            Some(decimal(digits)? * Fraction::new(sign, 1))
        });
        let offset = offset.unwrap_or(Fraction::ZERO).over(self.divisions * Fraction::new(4, 1));
        let at = Duration((self.cursor.0 + offset).max(Fraction::ZERO));
        if self.waiting.chords.len() < MOST_WAITING {
            self.waiting.chords.push((at, chord));
        }
    }
}

/// Halvings of a whole note for a metronome's beat.
fn beat(unit: &str) -> Option<i8> {
    Some(match unit {
        "whole" => 0,
        "half" => 1,
        "quarter" => 2,
        "eighth" => 3,
        "16th" => 4,
        _ => return None,
    })
}
