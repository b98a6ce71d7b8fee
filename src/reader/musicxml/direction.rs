//! Directions, sounds and harmonies: words, dynamics, parts, jumps, chord symbols.
//!
//! Source: MusicXML 4.0, direction, sound, harmony.

use roxmltree::Node;

use super::barline::cut;
use super::part::{PartReader, WaitingChord, decimal};
use super::xml::{child, child_text, text};
use super::{harmony, marks};
use crate::reader::abc::{Meaning, by_words};
use crate::tune::{Annotation, Duration, Event, Fraction, Jump, Landmark, Mark, Placement};

/// At most so many things wait for one note.
pub(super) const MOST_WAITING: usize = 32;

impl PartReader<'_> {
    /// A direction element. What is said at another staff or voice holds for the melody if it orders a tempo, a part or a jump.
    pub fn direction(&mut self, node: Node) {
        let other = |name: &str, own: &str| child_text(node, name).is_some_and(|given| given != own);
        let elsewhere = if other("staff", &self.staff) {
            Some("at another staff")
        } else if self.voice.as_ref().is_some_and(|voice| other("voice", voice)) {
            Some("at another voice")
        } else {
            None
        };
        let below = node.attribute("placement") == Some("below");
        if child_text(node, "offset").is_some_and(|offset| offset != "0") {
            self.not_kept("the exact place of a direction between notes");
        }
        let types = node.children().filter(|n| n.has_tag_name("direction-type")).flat_map(|n| n.children());
        let mut words_before_tempo = None;
        let mut has_tempo = false;
        for part in types.filter(Node::is_element) {
            match part.tag_name().name() {
                "words" => words_before_tempo = self.words(&text(part), below, elsewhere).or(words_before_tempo),
                "rehearsal" => self.rehearsal(&text(part)),
                "segno" => self.landmark(Landmark::Segno, false, None),
                "coda" => self.landmark(Landmark::Coda, false, None),
                "metronome" => {
                    self.metronome(part, words_before_tempo.take());
                    has_tempo = true;
                }
                other if elsewhere.is_some() => {
                    self.not_kept(&format!("“{}” {}", cut(other), elsewhere.unwrap_or_default()));
                }
                "dynamics" => self.dynamics(part),
                "wedge" => self.wedge(part),
                other => self.not_kept(&format!("“{}”", cut(other))),
            }
        }
        if let Some(sound) = child(node, "sound") {
            self.sound(sound, has_tempo);
        }
        self.one_coda();
    }
    fn dynamics(&mut self, node: Node) {
        for sign in node.children().filter(Node::is_element) {
            let name = sign.tag_name().name();
            match marks::mark(name) {
                Some((mark @ Mark::Dynamic(_), becomes)) => {
                    if !becomes.is_empty() {
                        self.changed(&format!("“{name}”"), becomes);
                    }
                    self.wait(mark);
                }
                _ => self.not_kept(&format!("the dynamic “{}”", cut(name))),
            }
        }
    }
    /// Gives an event the signs that wait for it, but for those that it has of its own.
    pub(super) fn give_marks(&mut self, event: &mut Event) {
        for mark in std::mem::take(&mut self.waiting.marks) {
            if !event.marks.contains(&mark) {
                event.marks.push(mark);
            }
        }
    }
    fn wait(&mut self, mark: Mark) {
        if self.waiting.marks.contains(&mark) {
            // Said twice at one note, as where two hands of an arrangement were laid together, it is one sign.
        } else if self.waiting.marks.len() < MOST_WAITING {
            self.waiting.marks.push(mark);
        } else {
            self.not_kept(&format!("a sign beyond {MOST_WAITING} before a note"));
        }
    }
    fn wedge(&mut self, node: Node) {
        match (node.attribute("type"), self.hairpin) {
            (Some(kind @ ("crescendo" | "diminuendo")), _) => {
                let falls = kind == "diminuendo";
                self.hairpin = Some(falls);
                self.wait(if falls { Mark::DiminuendoStart } else { Mark::CrescendoStart });
            }
            (Some("stop"), Some(falls)) => {
                self.hairpin = None;
                self.wait(if falls { Mark::DiminuendoEnd } else { Mark::CrescendoEnd });
            }
            (Some("stop"), None) => self.not_kept("a hairpin that does not begin"),
            _ => {}
        }
    }
    /// Words: a jump, or an annotation; given back where they may belong to a tempo.
    fn words(&mut self, words: &str, below: bool, elsewhere: Option<&str>) -> Option<String> {
        match by_words(words) {
            Some(Meaning::Jump(jump)) => self.jump(jump, false, None),
            Some(Meaning::Landmark(landmark)) => self.landmark(landmark, false, None),
            _ if words.is_empty() => return Some(String::new()),
            _ if elsewhere.is_some() => self.not_kept(&format!("a text {}", elsewhere.unwrap_or_default())),
            _ if self.waiting.annotations.len() >= MOST_WAITING => {
                self.not_kept(&format!("a text beyond {MOST_WAITING} before a note"));
            }
            _ => {
                let placement = if below { Placement::Below } else { Placement::Above };
                self.waiting.annotations.push(Annotation { placement, text: words.to_owned() });
                return Some(words.to_owned());
            }
        }
        None
    }
    /// What a sound element orders; `shown` where a tempo is drawn beside it.
    pub fn sound(&mut self, node: Node, shown: bool) {
        let given = |name: &str| node.attribute(name).map(str::trim).filter(|value| *value != "no");
        // `yes` says that it is so; any other word is a name.
        let named = |value: &'static str| given(value).filter(|value| *value != "yes");
        let mut jumps = false;
        for (name, jump) in [("dacapo", Jump::DaCapo), ("dalsegno", Jump::DalSegno), ("tocoda", Jump::ToCoda)] {
            if given(name).is_some() {
                self.jump(jump, true, named(name).filter(|_| name != "dacapo"));
                jumps = true;
            }
        }
        for (name, landmark) in [("fine", Landmark::Fine), ("segno", Landmark::Segno), ("coda", Landmark::Coda)] {
            if given(name).is_some() {
                self.landmark(landmark, true, named(name).filter(|_| name != "fine"));
                jumps |= name == "fine";
            }
        }
        if jumps && node.attribute("time-only").is_some() {
            self.not_kept("the order to jump or end on some passes only");
        }
        self.one_coda();
        if given("forward-repeat").is_some() {
            self.not_kept("a repeat that begins without its sign");
        }
        let Some(tempo) = node.attribute("tempo").filter(|_| !shown) else { return };
        match tempo.trim().parse::<f64>().ok().filter(|tempo| (1.0..=2000.0).contains(tempo)) {
            // The range was checked, so the cast is exact.
            Some(tempo) if self.tune.bars.is_empty() && self.cursor.is_zero() && self.tempo_heard.is_none() => {
                self.tempo_heard = Some(tempo.round() as u32);
            }
            Some(_) if self.elsewhere && self.tempo_heard.is_some() && self.tune.bars.is_empty() => {}
            Some(_) => self.not_kept("a tempo that is heard and not shown"),
            None => self.not_kept("a tempo that is none"),
        }
    }
    /// A harmony element, at whichever staff of the part it stands.
    pub fn harmony(&mut self, node: Node) {
        if node.attribute("print-object") == Some("no") {
            return self.not_kept("a chord symbol that is not shown");
        }
        let heard = match harmony::chord(node) {
            Ok(heard) => heard,
            Err(what) => return self.not_kept(&what),
        };
        for what in heard.lost {
            self.not_kept(what);
        }
        if child(node, "frame").is_some() {
            self.not_kept("a chord diagram");
        }
        let offset = child_text(node, "offset").map_or(Some(Fraction::ZERO), |offset| signed(&offset));
        let offset = offset.map(|offset| offset.over(self.divisions * Fraction::new(4, 1)));
        let at = offset.map(|offset| self.cursor.0 + offset).filter(|at| *at >= Fraction::ZERO);
        if at.is_none() {
            self.not_kept("the exact place of a chord symbol before its bar");
        }
        if self.waiting.chords.len() >= MOST_WAITING {
            return self.not_kept(&format!("a chord symbol beyond {MOST_WAITING} before a note"));
        }
        let at = Duration(at.unwrap_or(Fraction::ZERO));
        self.waiting.chords.push(WaitingChord { at, symbol: heard.symbol, from: self.here.clone() });
    }
}

/// A decimal number with a sign.
fn signed(text: &str) -> Option<Fraction> {
    match text.strip_prefix('-') {
        Some(digits) => Some(-decimal(digits)?),
        None => decimal(text),
    }
}
