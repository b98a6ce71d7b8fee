//! Metronome marks.
//!
//! Source: MusicXML 4.0, metronome.

use roxmltree::Node;

use super::barline::cut;
use super::part::{PartReader, Turn};
use super::pitch::halvings;
use super::xml::{child, child_text, text};
use crate::tune::{Duration, NoteValue, Tempo};

impl PartReader<'_> {
    /// A metronome element with the words before it.
    pub fn metronome(&mut self, node: Node, words: Option<String>) {
        if node.attribute("print-object") == Some("no") {
            return self.not_kept("a tempo that is not shown");
        }
        let rate = child_text(node, "per-minute");
        let (Some(beat), Some((rate, bpm))) = (beat(node), rate.and_then(|rate| whole(&rate).map(|bpm| (rate, bpm))))
        else {
            return self.not_kept("a tempo without a beat and a number");
        };
        if rate != bpm.to_string() {
            self.changed(&format!("the tempo “{}”", cut(&rate)), &bpm.to_string());
        }
        if node.attribute("parentheses") == Some("yes") {
            self.not_kept("a pair of brackets around a tempo");
        }
        let before = words.filter(|words| !words.is_empty());
        if before.is_some() && !self.elsewhere {
            self.waiting.annotations.pop();
        }
        self.turn(Turn::Tempo(Tempo { before, beat, bpm: Some(bpm), after: None }));
    }
}

/// The parts of the beat; `None` if one of them is no value, or if it is set equal to another beat.
fn beat(node: Node) -> Option<Vec<Duration>> {
    let mut parts: Vec<NoteValue> = Vec::new();
    for part in node.children().filter(Node::is_element).take(32) {
        let unit = match part.tag_name().name() {
            "beat-unit" if parts.is_empty() => text(part),
            "beat-unit-tied" => child_text(part, "beat-unit")?,
            "beat-unit-dot" => {
                parts.last_mut()?.dots += 1;
                continue;
            }
            "per-minute" => continue,
            _ => return None,
        };
        let dots = part.children().filter(|n| n.has_tag_name("beat-unit-dot")).take(3).count();
        parts.push(NoteValue { halvings: halvings(&unit)?, dots: u8::try_from(dots).unwrap_or(0) });
    }
    child(node, "beat-unit")?;
    parts.iter().all(|value| value.dots <= 3).then(|| parts.iter().map(|value| value.duration()).collect())
}

/// The first number of a text, to the nearest whole one, if it can be a rate.
fn whole(rate: &str) -> Option<u32> {
    let number = rate
        .split(|c: char| !c.is_ascii_digit() && c != '.')
        .find(|part| part.contains(|c: char| c.is_ascii_digit()))?;
    let number: f64 = number.trim_matches('.').parse().ok()?;
    // The range is checked, so the cast is exact.
    (1.0..=2000.0).contains(&number).then_some(number.round() as u32)
}
