//! A tune with its plan, ready to be asked.

use super::ask::{self, Ask};
use super::count::{Counting, Spot, bar_counts};
use super::words::{Words, row, say, way};
use crate::diag::{Place as FilePlace, Sink};
use crate::fingering::{LeftOut, Place, Plan, PlannedNote, Press, Sound, Unplayable};
use crate::instrument::{ButtonId, Direction, Instrument, LeftKind};
use crate::tune::{Event, NoteId, Onset, Tune};

/// A tune with its plan and the words of a language.
#[derive(Debug, Clone, Copy)]
pub struct Lesson<'a> {
    pub(super) tune: &'a Tune,
    pub(super) plan: &'a Plan,
    pub(super) words: &'static Words,
    pub(super) instrument: &'a Instrument,
    /// What the index finger prints as: 1, or 2 where the thumb is 1.
    pub(super) index: u8,
}

impl<'a> Lesson<'a> {
    /// A lesson in the language of a tag (British English where there is no table). `index_finger` is the number that the
    /// index finger prints as: 1, or 2 where the thumb is finger 1. The plan must be one of the tune on the instrument.
    pub fn new(tune: &'a Tune, plan: &'a Plan, instrument: &'a Instrument, language: &str, index_finger: u8) -> Self {
        Self { tune, plan, words: Words::of(language), instrument, index: index_finger.max(1) }
    }

    /// The words for a fact: `text` is what stands between the braces, `place` where. `None` after a complaint, when the fact,
    /// a bar or a note is unknown. Phrases (`how`, `button`, `finger`, `row`, `place`, `bars`) begin small and have no stop;
    /// the others are sentences.
    pub fn fact(&self, text: &str, place: FilePlace, sink: &mut Sink) -> Option<String> {
        let ask = ask::read(text, self.tune, place, sink)?;
        Some(match ask {
            Ask::How(id) => self.how(id),
            Ask::Button(id) => self.press_words(id, |lesson, presses| lesson.buttons(presses, true)),
            Ask::Finger(id) => self.press_words(id, |lesson, presses| {
                lesson.words.list(&presses.iter().map(|press| lesson.finger_numbered(press.finger)).collect::<Vec<_>>())
            }),
            Ask::Row(id) => self.press_words(id, |lesson, presses| {
                let mut rows: Vec<String> = Vec::new();
                for press in presses {
                    let name = lesson.words.row[row(press.button.row)].to_owned();
                    if !rows.contains(&name) {
                        rows.push(name);
                    }
                }
                lesson.words.list(&rows)
            }),
            Ask::Place(bar) => self.place_in(bar),
            Ask::PlaceAt(id) => self.plan.note(id).map_or_else(|| self.absent(id), |note| self.place(note.place)),
            Ask::Count(a, b) => each_bar(a, b, |bar| self.count(bar)),
            Ask::Left(a, b) => each_bar(a, b, |bar| self.left(bar)),
            Ask::Bellows(bar, pass) => self.bellows(bar, pass),
            Ask::Bars(a, b) => self.bars_name(a, b),
            Ask::Walk(a, b) => self.walk(a..b + 1),
        })
    }

    /// The plain facts of a bar, one a note and left-hand press, for change lists: `note 2: outer 5, pull, finger 3`. Always
    /// in the same words, whatever the language.
    pub fn records(&self, bar: usize) -> Vec<String> {
        let Some(here) = self.tune.bars.get(bar) else { return Vec::new() };
        let mut out = Vec::new();
        for event in &here.events {
            let graces = event.graces.iter().map(|grace| grace.id);
            for id in graces.chain(event.head()) {
                let address = self.tune.address(id);
                let name = address.grace.map_or_else(|| address.note.to_string(), |g| format!("{}g{g}", address.note));
                let Some(note) = self.plan.note(id) else { continue };
                let presses: Vec<String> =
                    note.presses.iter().map(|p| format!("{}, finger {}", p.button, p.finger)).collect();
                let moves = if note.place_moves { format!(", hand to {}", note.place.0) } else { String::new() };
                out.push(format!("note {name}: {}, {}{moves}", note.direction, presses.join(" + ")));
            }
        }
        for press in self.plan.left.iter().filter(|press| press.bar == bar && !press.dropped) {
            let kind = if press.kind == LeftKind::Bass { "bass" } else { "chord" };
            out.push(format!("left hand {kind} at {}: {}", press.onset, press.name));
        }
        out
    }

    /// How one note is played, as a phrase.
    fn how(&self, id: NoteId) -> String {
        let how = &self.words.how;
        let Some(note) = self.plan.note(id).filter(|note| !note.presses.is_empty()) else {
            return self.absent(id);
        };
        let phrase = match sound_of(note) {
            Some(Sound::Reversal) => how.reversal,
            Some(Sound::Replay) => how.replay,
            Some(Sound::Repeat) => how.repeat,
            Some(Sound::Tie) => how.tie,
            Some(Sound::Press) | None => how.press,
        };
        say(
            phrase,
            &[
                ("button", &self.buttons(&note.presses, true)),
                ("direction", self.words.on_direction[way(note.direction)]),
                ("turn", self.words.turn_to[way(note.direction)]),
                ("finger", &self.with_fingers(&note.presses)),
            ],
        )
    }

    fn press_words(&self, id: NoteId, words: impl Fn(&Self, &[Press]) -> String) -> String {
        match self.plan.note(id) {
            Some(note) if !note.presses.is_empty() => words(self, &note.presses),
            _ => self.absent(id),
        }
    }

    /// Why a note has no decision.
    pub(super) fn absent(&self, id: NoteId) -> String {
        let how = &self.words.how;
        match self.plan.left_out(id) {
            Some(LeftOut::OtherWay(to)) => say(how.other_way, &[("direction", self.words.on_direction[way(to)])]),
            Some(LeftOut::NoNote) => how.no_note.to_owned(),
            None => match self.plan.unplayable(id) {
                Some(Unplayable::NotOnBox) | None => how.missing.to_owned(),
                Some(_) => how.together.to_owned(),
            },
        }
    }

    /// `buttons 3 and 4 of the inner row`, or each with its row where they differ.
    pub(super) fn buttons(&self, presses: &[Press], with_row: bool) -> String {
        let Some(first) = presses.first() else { return String::new() };
        let number = |press: &Press| press.button.number.to_string();
        if presses.iter().any(|press| press.button.row != first.button.row) {
            let each: Vec<String> =
                presses.iter().map(|press| self.buttons(std::slice::from_ref(press), true)).collect();
            return self.words.list(&each);
        }
        let numbers: Vec<String> = presses.iter().map(number).collect();
        let nth = usize::from(presses.len() > 1);
        let mut said = say(self.words.button[nth], &[("n", &self.words.list(&numbers))]);
        // A box of one row needs no word for it.
        if with_row && self.instrument.rows.len() > 1 {
            said.push_str(self.words.of_row[row(first.button.row)]);
        }
        said
    }

    /// One button with its row.
    pub(super) fn button(&self, button: ButtonId) -> String {
        let mut said = say(self.words.button[0], &[("n", &button.number.to_string())]);
        if self.instrument.rows.len() > 1 {
            said.push_str(self.words.of_row[row(button.row)]);
        }
        said
    }

    /// `with the index finger`, `with index and ring fingers`.
    pub(super) fn with_fingers(&self, presses: &[Press]) -> String {
        let said = match presses {
            [one] => self.finger(one.finger).to_owned(),
            several => {
                let short: Vec<String> =
                    several.iter().map(|press| self.words.finger_short[nth_finger(press.finger)].to_owned()).collect();
                say(self.words.fingers, &[("fingers", &self.words.list(&short))])
            }
        };
        say(self.words.with_finger, &[("finger", &said)])
    }

    pub(super) fn finger(&self, finger: u8) -> &'static str {
        self.words.finger[nth_finger(finger)]
    }

    fn finger_numbered(&self, finger: u8) -> String {
        let number = (finger + self.index - 1).to_string();
        say(self.words.finger_number, &[("finger", self.finger(finger)), ("number", &number)])
    }

    pub(super) fn place(&self, place: Place) -> String {
        let phrase = if self.instrument.rows.len() > 1 { self.words.place } else { self.words.place_one_row };
        say(phrase, &[("n", &place.0.number.to_string()), ("row", self.words.row[row(place.0.row)])])
    }

    /// Where the hand lies in a bar: at its first note, and wherever it moves.
    fn place_in(&self, bar: usize) -> String {
        let mut said: Vec<String> = Vec::new();
        for head in self.heads(bar) {
            let Some(note) = head.head().and_then(|id| self.plan.note(id)) else { continue };
            if said.is_empty() {
                said.push(self.place(note.place));
            } else if note.place_moves {
                let on = self.on(&[self.spot(bar, head.onset)]);
                said.push(say(self.words.place_from, &[("place", &self.place(note.place)), ("on", &on)]));
            }
        }
        if said.is_empty() {
            // A bar of rests: the hand lies where it lay before.
            let before = (0..bar).rev().flat_map(|bar| self.heads(bar).into_iter().rev());
            let mut notes = before.filter_map(|head| head.head().and_then(|id| self.plan.note(id)));
            said.extend(notes.next().map(|note| self.place(note.place)));
        }
        self.words.list(&said)
    }

    pub(super) fn heads(&self, bar: usize) -> Vec<&'a Event> {
        let events = self.tune.bars.get(bar).map_or(&[][..], |bar| &bar.events);
        events.iter().filter(|event| event.head().is_some()).collect()
    }

    pub(super) fn spot(&self, bar: usize, onset: Onset) -> Spot {
        Counting::of(self.tune, bar).spot(onset)
    }

    /// `bar 5`, `the pick-up`, `bar 8, the first ending,`.
    pub(super) fn bar_name(&self, bar: usize) -> String {
        let here = &self.tune.bars[bar];
        let number = here.label.number.to_string();
        let mut name = if here.label.second_half {
            say(self.words.second_half, &[("n", &number)])
        } else if here.label.number == 0 {
            self.words.pick_up.to_owned()
        } else {
            say(self.words.bar[0], &[("n", &number)])
        };
        if let Some(ending) = &here.ending {
            let passes: Vec<String> = ending
                .passes
                .iter()
                .map(|pass| {
                    let nth = usize::from(*pass).checked_sub(1);
                    nth.and_then(|nth| self.words.ordinal.get(nth))
                        .map_or_else(|| pass.to_string(), |word| (*word).to_owned())
                })
                .collect();
            name.push_str(&say(self.words.ending, &[("passes", &self.words.list(&passes))]));
        }
        name
    }

    pub(super) fn bars_name(&self, first: usize, last: usize) -> String {
        if first == last {
            return self.bar_name(first).trim_end_matches(',').to_owned();
        }
        let label = |bar: usize| self.tune.bars[bar].label.to_string();
        say(self.words.bar[1], &[("a", &label(first)), ("b", &label(last))])
    }

    fn count(&self, bar: usize) -> String {
        let counts = bar_counts(self.tune, bar, self.words);
        let mut said = String::new();
        for count in &counts {
            if !said.is_empty() {
                let beat = count.syllable.starts_with(|c: char| c.is_ascii_digit());
                said.push_str(if beat { ", " } else { " " });
            }
            said.push_str(&count.syllable);
        }
        let begins: Vec<Onset> = self
            .heads(bar)
            .iter()
            .filter(|head| !head.notes().iter().all(|note| note.tied_from_previous))
            .map(|head| head.onset)
            .collect();
        let words = &self.words.count;
        if begins.is_empty() {
            return say(words.none, &[("counts", &said)]);
        }
        let spots = |onsets: &[Onset]| self.on(&onsets.iter().map(|onset| self.spot(bar, *onset)).collect::<Vec<_>>());
        let without: Vec<Onset> = counts.iter().map(|count| count.onset).filter(|on| !begins.contains(on)).collect();
        let counted = begins.iter().all(|onset| counts.iter().any(|count| count.onset == *onset));
        let (phrase, on) = match (begins.len(), without.len()) {
            (_, 0) if counted => (words.all, spots(&begins)),
            (1, _) => (words.one, spots(&begins)),
            // What is missing, where that is the shorter thing to say.
            (with, without_notes) if counted && with > 2 && without_notes < with => (words.most, spots(&without)),
            _ => (words.some, spots(&begins)),
        };
        say(phrase, &[("counts", &said), ("on", &on)])
    }

    /// The one direction of a bar's heads, if they have one.
    pub(super) fn one_direction(&self, bar: usize) -> Option<Direction> {
        let mut directions =
            self.heads(bar).into_iter().filter_map(|head| Some(self.plan.note(head.head()?)?.direction));
        let first = directions.next()?;
        directions.all(|direction| direction == first).then_some(first)
    }
}

/// The one way all presses of a note are sounded; `None` where they differ.
pub(super) fn sound_of(note: &PlannedNote) -> Option<Sound> {
    let first = note.presses.first()?.sound;
    note.presses.iter().all(|press| press.sound == first).then_some(first)
}

fn each_bar(first: usize, last: usize, say: impl Fn(usize) -> String) -> String {
    (first..=last).map(say).collect::<Vec<_>>().join(" ")
}

fn nth_finger(finger: u8) -> usize {
    usize::from(finger.clamp(1, 4)) - 1
}

/// Takes out the comma that a bar's name leaves before a stop.
pub(super) fn tidy(text: &str) -> String {
    text.replace(",.", ".").replace(",\u{a0}:", "\u{a0}:").replace(",,", ",")
}
