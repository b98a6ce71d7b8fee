//! Note elements: pitches, rests, chords, graces, ties, tuplets, beams.
//!
//! Source: MusicXML 4.0, note and its children.

use roxmltree::Node;

use super::bar::rest;
use super::part::PartReader;
use super::xml::{child, child_int, child_text, text};
use crate::tune::{
    Accidental, ChordSymbol, Duration, Event, Fraction, Grace, Note, NoteId, NoteValue, Pitch, Sounding, Step,
};

/// A chord has at most so many notes, a note so many graces.
const MOST_TOGETHER: usize = 32;

impl PartReader<'_> {
    /// A note element.
    pub fn note(&mut self, node: Node) {
        let grace = child(node, "grace");
        let in_chord = child(node, "chord").is_some();
        let length = if grace.is_some() { Duration::ZERO } else { self.length(node) };
        let other_staff = child_text(node, "staff").is_some_and(|staff| staff != "1");
        let voice = child_text(node, "voice").unwrap_or_else(|| "1".to_owned());
        let wanted = !other_staff && self.voice.as_ref().is_none_or(|chosen| *chosen == voice);
        if child(node, "cue").is_some() && wanted {
            self.not_kept("a cue note");
        }
        if wanted && child(node, "cue").is_none() {
            if grace.is_some_and(|g| g.attribute("slash") == Some("yes")) {
                self.waiting.slashed = true;
            }
            match (grace.is_some(), in_chord) {
                (true, _) => self.grace(node, in_chord),
                (false, true) => self.chord_note(node),
                (false, false) => self.event(node, length),
            }
        }
        if !in_chord && grace.is_none() {
            self.step(length);
        }
    }
    fn new_id(&mut self) -> NoteId {
        let id = NoteId(self.next_id);
        self.next_id += 1;
        self.last_id = Some(id);
        id
    }
    fn grace(&mut self, node: Node, in_chord: bool) {
        let Some(note) = self.sounding_note(node) else { return };
        if in_chord {
            if let Some(last) = self.waiting.graces.last_mut().filter(|g| g.notes.len() < MOST_TOGETHER) {
                last.notes.push(note);
                last.notes.sort_by_key(|note| note.pitch.midi());
            }
            return;
        }
        if self.waiting.graces.len() >= MOST_TOGETHER {
            self.not_kept("more graces before a note than 32");
            return;
        }
        let id = self.new_id();
        let value = drawn(node).unwrap_or(NoteValue::plain(3));
        self.waiting.graces.push(Grace { id, notes: vec![note], value });
        self.slur_marks(node, id);
    }
    fn chord_note(&mut self, node: Node) {
        let Some(note) = self.sounding_note(node) else { return };
        if let Some(Event { sounding: Sounding::Head { notes, .. }, .. }) = self.bar.events.last_mut()
            && notes.len() < MOST_TOGETHER
        {
            notes.push(note);
            notes.sort_by_key(|note| (note.pitch.midi(), note.pitch.staff_step()));
        }
    }
    fn event(&mut self, node: Node, given: Duration) {
        let onset = self.cursor;
        if self.filled - onset >= self.division() {
            self.not_kept("a note that overlaps another of its voice");
            return;
        }
        self.fill_to(onset);
        let rest_node = child(node, "rest");
        let visible = node.attribute("print-object") != Some("no");
        let mut new = match rest_node {
            Some(rest_node) => rest(visible, rest_node.attribute("measure") == Some("yes")),
            None => match self.sounding_note(node) {
                Some(note) => {
                    let id = self.new_id();
                    Event::blank(Sounding::Head { id, notes: vec![note] })
                }
                None => rest(visible, false),
            },
        };
        self.give_length(node, given, &mut new);
        self.give_waiting(onset, &mut new);
        new.place = Some(self.places.of(node));
        let beam = node.children().find(|n| n.has_tag_name("beam") && n.attribute("number").unwrap_or("1") == "1");
        new.beamed_to_previous = match beam.map(text).as_deref() {
            Some("continue" | "end") => true,
            _ => !self.beams_given && new.head().is_some() && self.beamed_by_beat(new.duration),
        };
        new.beamed_to_previous &= !self.bar.events.is_empty();
        self.notations(node, &mut new);
        self.lyrics(node, &mut new);
        self.filled += new.duration;
        let id = new.head();
        self.bar.events.push(new);
        if let Some(id) = id {
            self.slur_marks(node, id);
        }
    }
    /// The length of an event and its tuplet. Files with few divisions round tuplets; the drawn value then decides.
    fn give_length(&mut self, node: Node, given: Duration, new: &mut Event) {
        let modification = child(node, "time-modification");
        let number = |name| {
            let n = modification.and_then(|m| child_int(m, name)).and_then(|n| u32::try_from(n).ok());
            n.filter(|n| (1..=64).contains(n))
        };
        let ratio = number("actual-notes").zip(number("normal-notes")).filter(|(actual, normal)| actual != normal);
        let factor = ratio.map_or(Fraction::ONE, |(actual, normal)| Fraction::new(normal.into(), actual.into()));
        let division = self.division();
        let by_value = drawn(node).map(|value| value.duration().times(factor)).filter(|by_value| {
            let apart = by_value.0 - given.0;
            apart < division.0 && -apart < division.0
        });
        new.duration = by_value.unwrap_or(given);
        let brackets = node.children().filter(|n| n.has_tag_name("notations")).flat_map(|n| n.children());
        let mut bracket = (false, false);
        for tuplet in brackets.filter(|n| n.has_tag_name("tuplet")) {
            bracket.0 |= tuplet.attribute("type") == Some("start");
            bracket.1 |= tuplet.attribute("type") == Some("stop");
        }
        new.tuplet = self.tuplet_of(ratio, Duration(new.duration.0.over(factor)), bracket);
    }
    fn give_waiting(&mut self, onset: Duration, new: &mut Event) {
        new.marks.append(&mut self.waiting.marks);
        new.annotations.append(&mut self.waiting.annotations);
        if new.head().is_some() {
            new.graces = std::mem::take(&mut self.waiting.graces);
            new.graces_slashed = std::mem::take(&mut self.waiting.slashed) && !new.graces.is_empty();
        }
        let end = onset + new.duration;
        let (now, later): (Vec<_>, Vec<(Duration, ChordSymbol)>) =
            std::mem::take(&mut self.waiting.chords).into_iter().partition(|(at, _)| *at < end);
        if now.iter().any(|(at, _)| *at > onset) {
            self.not_kept("the exact place of a chord symbol inside a long note");
        }
        new.chord_symbols.extend(now.into_iter().map(|(_, chord)| chord));
        self.waiting.chords = later;
    }
    /// The pitch of a note; `None` for a note without one.
    fn sounding_note(&mut self, node: Node) -> Option<Note> {
        let Some(pitch) = child(node, "pitch") else {
            self.not_kept("a note without pitch");
            return None;
        };
        let step = child_text(pitch, "step").and_then(|step| Step::from_letter(step.chars().next()?))?;
        let alter: f64 = child_text(pitch, "alter").and_then(|alter| alter.parse().ok()).unwrap_or(0.0);
        if alter.fract() != 0.0 || alter.abs() > 2.0 {
            self.not_kept("a pitch between the keys");
        }
        // The clamp keeps the cast exact.
        let alter = alter.round().clamp(-2.0, 2.0) as i8;
        let octave = i8::try_from(child_int(pitch, "octave")?).ok().filter(|octave| (0..=9).contains(octave))?;
        let head = child(node, "notehead").map(text);
        if let Some(head) = head.filter(|head| !matches!(head.as_str(), "normal" | "")) {
            self.not_kept(&format!("the notehead “{}”", head.chars().take(20).collect::<String>()));
        }
        Some(Note {
            pitch: Pitch::new(step, alter, octave),
            written_sign: child_text(node, "accidental").and_then(|sign| accidental(&sign)),
            tied_to_next: child(node, "grace").is_none() && tie_starts(node),
            tied_from_previous: false,
        })
    }
}

/// The value as drawn, from `type` and `dot`s.
fn drawn(node: Node) -> Option<NoteValue> {
    let halvings = match child_text(node, "type")?.as_str() {
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
    };
    let dots = node.children().filter(|n| n.has_tag_name("dot")).take(4).count();
    Some(NoteValue { halvings, dots: u8::try_from(dots).unwrap_or(0) })
}

/// Whether a tie begins at a note, by sound or by sign.
fn tie_starts(node: Node) -> bool {
    let starts = |n: Node| n.attribute("type") == Some("start");
    let sounds = node.children().any(|n| n.has_tag_name("tie") && starts(n));
    let notations = node.children().filter(|n| n.has_tag_name("notations"));
    sounds || notations.flat_map(|n| n.children()).any(|n| n.has_tag_name("tied") && starts(n))
}

fn accidental(sign: &str) -> Option<Accidental> {
    Some(match sign {
        "sharp" | "natural-sharp" => Accidental::Sharp,
        "natural" => Accidental::Natural,
        "flat" | "natural-flat" => Accidental::Flat,
        "double-sharp" | "sharp-sharp" => Accidental::DoubleSharp,
        "flat-flat" => Accidental::DoubleFlat,
        _ => return None,
    })
}
