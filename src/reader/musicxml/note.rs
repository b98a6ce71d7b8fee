//! Note elements: lengths, rests, chords, graces, tuplets, beams.
//!
//! Source: MusicXML 4.0, note and its children.

use roxmltree::Node;

use super::bar::rest;
use super::part::{ChordTo, PartReader, WaitingChord};
use super::pitch::drawn;
use super::xml::{child, child_int, child_text, text};
use crate::tune::{Duration, Event, Fraction, Grace, NoteId, NoteValue, Sounding, smallvec};

/// A chord has at most so many notes, a note so many graces.
const MOST_TOGETHER: usize = 32;

/// How long a note is.
#[derive(Debug, Clone, Copy)]
struct Length {
    /// As it sounds.
    sounds: Duration,
    /// So many in the time of so many.
    ratio: Option<(u32, u32)>,
    /// What the ratio makes of a drawn value.
    factor: Fraction,
    /// Whether the drawn value, if there is one, says the same.
    as_drawn: bool,
}

impl PartReader<'_> {
    /// A note element.
    pub fn note(&mut self, node: Node) {
        let grace = child(node, "grace").is_some();
        let in_chord = child(node, "chord").is_some();
        let given = if grace { Some(Duration::ZERO) } else { self.given_length(node) };
        let other_staff = child_text(node, "staff").is_some_and(|staff| staff != self.staff);
        let voice = child_text(node, "voice").unwrap_or_else(|| "1".to_owned());
        if self.voice.as_ref().is_none_or(|chosen| *chosen == voice) {
            let left_out = [(other_staff, "a note on another staff"), (child(node, "cue").is_some(), "a cue note")];
            match left_out.into_iter().find(|(out, _)| *out) {
                Some((_, what)) => {
                    self.not_kept(what);
                    if !in_chord {
                        self.chord_to = ChordTo::Nothing;
                    }
                }
                None if grace => self.grace(node, in_chord),
                None if in_chord => self.chord_note(node, given),
                None => self.event(node, given),
            }
        }
        if !in_chord && !grace {
            self.step(given.unwrap_or(Duration::ZERO));
        }
    }
    /// The duration of a note; where it is missing what its value or its bar says.
    fn given_length(&mut self, node: Node) -> Option<Duration> {
        if let Some(length) = self.length(node) {
            return Some(length);
        }
        let (_, factor) = ratio(node);
        let bar_rest = child(node, "rest").is_some_and(|rest| rest.attribute("measure") == Some("yes"));
        let by_value = drawn(node).map(|value| value.duration().times(factor));
        by_value.filter(|_| !bar_rest).or(self.meter.bar_length().filter(|_| bar_rest))
    }
    fn new_id(&mut self) -> NoteId {
        let id = NoteId(self.next_id);
        self.next_id += 1;
        id
    }
    fn grace(&mut self, node: Node, in_chord: bool) {
        if !in_chord {
            self.chord_to = ChordTo::Nothing;
        }
        if node.attribute("print-object") == Some("no") {
            return self.not_kept("a grace note that is not shown");
        }
        let Some(note) = self.sounding_note(node) else {
            return self.not_kept("a grace note whose pitch cannot be read");
        };
        self.grace_signs(node);
        if in_chord {
            match self.waiting.graces.last_mut() {
                Some(last) if self.chord_to == ChordTo::Grace && last.notes.len() < MOST_TOGETHER => {
                    last.notes.push(note);
                    last.notes.sort_by_key(|note| note.pitch.midi());
                    let id = last.id;
                    self.slur_marks(node, id);
                }
                _ => self.not_kept("a note of a chord of grace notes whose first is not kept"),
            }
            return;
        }
        if self.waiting.graces.len() >= MOST_TOGETHER {
            return self.not_kept("a grace note beyond 32 before a note");
        }
        self.waiting.slashed |= child(node, "grace").is_some_and(|grace| grace.attribute("slash") == Some("yes"));
        let id = self.new_id();
        let value = drawn(node).unwrap_or(NoteValue::plain(3));
        self.waiting.graces.push(Grace { id, notes: smallvec![note], value });
        self.chord_to = ChordTo::Grace;
        self.slur_marks(node, id);
    }
    fn chord_note(&mut self, node: Node, given: Option<Duration>) {
        if self.chord_to != ChordTo::Event {
            return self.not_kept("a note of a chord whose first is not kept");
        }
        if node.attribute("print-object") == Some("no") {
            return self.not_kept("a note of a chord that is not shown");
        }
        let Some(note) = self.sounding_note(node) else {
            return self.not_kept("a note of a chord whose pitch cannot be read");
        };
        if given.is_some_and(|given| given != self.base) {
            self.changed("a note of a chord that is longer or shorter than the first", "as long as that");
        }
        // It is put back at the end, with what this note adds.
        let Some(mut event) = self.bar.events.pop() else { return };
        let id = match &mut event.sounding {
            Sounding::Head { id, notes } if notes.len() < MOST_TOGETHER => {
                notes.push(note);
                notes.sort_by_key(|note| (note.pitch.midi(), note.pitch.staff_step()));
                *id
            }
            Sounding::Head { id, .. } => {
                let id = *id;
                self.not_kept("a note beyond 32 of a chord");
                id
            }
            // The first note of the chord could not be shown; this one can.
            Sounding::Rest { .. } => {
                let id = self.new_id();
                event.sounding = Sounding::Head { id, notes: smallvec![note] };
                self.give_graces(&mut event);
                id
            }
        };
        self.notations(node, &mut event);
        self.lyrics(node, &mut event);
        self.bar.events.push(event);
        self.slur_marks(node, id);
        self.ask_head(node, id);
    }
    fn event(&mut self, node: Node, given: Option<Duration>) {
        self.chord_to = ChordTo::Nothing;
        let onset = self.cursor;
        if self.filled - onset >= self.tolerance() {
            return self.not_kept("a note that overlaps another of its voice");
        }
        let Some(given) = given else { return self.not_kept("a note without a length") };
        let length = self.measured(node, given);
        if length.sounds.is_zero() {
            return self.not_kept("a note without a length");
        }
        self.fill_to(onset);
        let hidden = node.attribute("print-object") == Some("no");
        let mut new = match child(node, "rest") {
            Some(rest_node) => rest(!hidden, rest_node.attribute("measure") == Some("yes")),
            None => {
                self.chord_to = ChordTo::Event;
                self.base = given;
                if !length.as_drawn {
                    self.not_kept("the drawn value of a note that lasts longer or shorter");
                }
                self.head_or_rest(node, hidden)
            }
        };
        new.duration = length.sounds;
        self.brackets(node);
        new.tuplet = self.tuplet_of(length.ratio, Duration(length.sounds.0.over(length.factor)), bracket(node));
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
        match id {
            Some(id) => {
                self.slur_marks(node, id);
                self.ask_head(node, id);
            }
            None => self.slurs_at_rest(node),
        }
    }
    /// Brackets of tuplets that open while another is open: what belongs to both belongs to one here.
    fn brackets(&mut self, node: Node) {
        let notations = node.children().filter(|n| n.has_tag_name("notations")).flat_map(|n| n.children());
        let tuplets: Vec<_> = notations.filter(|n| n.has_tag_name("tuplet")).take(MOST_TOGETHER).collect();
        let number = |tuplet: &Node| tuplet.attribute("number").unwrap_or("1").to_owned();
        for tuplet in tuplets.iter().filter(|tuplet| tuplet.attribute("type") == Some("start")) {
            let number = number(tuplet);
            if self.brackets.iter().any(|open| *open != number) {
                self.changed("a tuplet inside another", "one beside it");
            }
            if self.brackets.len() < MOST_TOGETHER {
                self.brackets.insert(number);
            }
        }
        for tuplet in tuplets.iter().filter(|tuplet| tuplet.attribute("type") == Some("stop")) {
            self.brackets.remove(&number(tuplet));
        }
    }
    /// A note, or the rest that stands in its place.
    fn head_or_rest(&mut self, node: Node, hidden: bool) -> Event {
        if hidden {
            self.changed("a note that is not shown", "a gap of its length");
            return rest(false, false);
        }
        match self.sounding_note(node) {
            Some(note) => {
                let id = self.new_id();
                Event::blank(Sounding::Head { id, notes: smallvec![note] })
            }
            None if child(node, "pitch").is_some() => {
                self.changed("a note whose pitch cannot be read", "a rest");
                rest(true, false)
            }
            None => {
                self.changed("a note without pitch", "a rest");
                rest(true, false)
            }
        }
    }
    /// The length of a note. Files with few divisions round tuplets; the drawn value then decides.
    fn measured(&self, node: Node, given: Duration) -> Length {
        let (ratio, factor) = ratio(node);
        let near = self.tolerance();
        let by_value = drawn(node).map(|value| value.duration().times(factor));
        let by_sign = by_value.filter(|by_value| {
            let apart = by_value.0 - given.0;
            apart < near.0 && -apart < near.0
        });
        // A length that no value draws is no other value: a tuplet may make it up.
        let drawable = NoteValue::exact(Duration(given.0.over(factor))).is_some();
        let as_drawn = by_value.is_none() || by_sign.is_some() || !drawable;
        Length { sounds: by_sign.unwrap_or(given), ratio, factor, as_drawn }
    }
    fn give_graces(&mut self, event: &mut Event) {
        event.graces = std::mem::take(&mut self.waiting.graces);
        event.graces_slashed = std::mem::take(&mut self.waiting.slashed) && !event.graces.is_empty();
        if let Some(at) = self.waiting.late.take() {
            self.losses.note("a grace note at the end of a bar becomes one before the next note".into(), &at);
        }
    }
    fn give_waiting(&mut self, onset: Duration, new: &mut Event) {
        self.give_marks(new);
        new.annotations.append(&mut self.waiting.annotations);
        if new.head().is_some() {
            self.give_graces(new);
        } else if !self.waiting.graces.is_empty() && self.chord_to == ChordTo::Nothing {
            self.changed("a grace note before a rest", "one before the next note");
        }
        let end = onset + new.duration;
        // Those before the note stand inside one that is read already, those after it wait.
        let (now, later): (Vec<_>, Vec<WaitingChord>) =
            std::mem::take(&mut self.waiting.chords).into_iter().partition(|c| onset <= c.at && c.at < end);
        self.waiting.chords = later;
        for chord in now {
            if chord.at > onset {
                self.not_kept_at("the exact place of a chord symbol inside a long note", &chord.from);
            }
            if !new.chord_symbols.contains(&chord.symbol) {
                new.chord_symbols.push(chord.symbol);
            }
        }
    }
}

/// The ratio of a note's tuplet, and what it makes of a drawn value.
fn ratio(node: Node) -> (Option<(u32, u32)>, Fraction) {
    let modification = child(node, "time-modification");
    let number = |name| {
        let n = modification.and_then(|m| child_int(m, name)).and_then(|n| u32::try_from(n).ok());
        n.filter(|n| (1..=64).contains(n))
    };
    let ratio = number("actual-notes").zip(number("normal-notes")).filter(|(actual, normal)| actual != normal);
    (ratio, ratio.map_or(Fraction::ONE, |(actual, normal)| Fraction::new(normal.into(), actual.into())))
}

/// Whether the file's own bracket of a tuplet begins at a note, and whether one ends.
fn bracket(node: Node) -> (bool, bool) {
    let brackets = node.children().filter(|n| n.has_tag_name("notations")).flat_map(|n| n.children());
    let mut bracket = (false, false);
    for tuplet in brackets.filter(|n| n.has_tag_name("tuplet")) {
        bracket.0 |= tuplet.attribute("type") == Some("start");
        bracket.1 |= tuplet.attribute("type") == Some("stop");
    }
    bracket
}
