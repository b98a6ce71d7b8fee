//! Alternative text of drawings of the box: every button with its notes, ways through scales, chords of the left hand.

use super::words::{Words, row, say, sentence, way};
use crate::instrument::{ButtonId, Direction, Instrument, LeftButton, LeftButtonId, Row};
use crate::tune::{KeySignature, Meter, NoteValue, Pitch, Tempo};

/// One note of a way through a scale.
#[derive(Debug, Clone, Copy)]
pub struct Stop {
    /// Its pitch as it is spelt.
    pub pitch: Pitch,
    /// Which way the bellows go.
    pub direction: Direction,
    /// Its button.
    pub button: ButtonId,
    /// Its finger as it is printed.
    pub finger: Option<u8>,
    /// Where the hand goes for it.
    pub place: Option<ButtonId>,
}

/// A box in the words of a language.
#[derive(Debug, Clone, Copy)]
pub struct BoxWords<'a> {
    instrument: &'a Instrument,
    words: &'static Words,
}

impl<'a> BoxWords<'a> {
    /// In the language of a tag; British English where there is no table.
    pub fn new(instrument: &'a Instrument, language: &str) -> Self {
        Self { instrument, words: Words::of(language) }
    }

    /// The rows given, a sentence each: those of their buttons for which `shown` holds, without octaves, as a keyboard is
    /// drawn.
    pub fn rows(&self, rows: &[&Row], shown: impl Fn(ButtonId) -> bool) -> String {
        let each = rows.iter().filter_map(|at| {
            let buttons = self.buttons(at, &shown, |pitch| self.words.pitch(pitch));
            let name = self.words.alt.rows[row(at.at)];
            (!buttons.is_empty()).then(|| sentence(&format!("{name}, {buttons}.")))
        });
        each.collect::<Vec<_>>().join(" ")
    }

    /// The buttons of a row for which `shown` holds, with octaves, as they stand on a staff: `button 1: push B 3, pull D 4`.
    pub fn staff(&self, row: &Row, shown: impl Fn(ButtonId) -> bool) -> String {
        self.buttons(row, &shown, |pitch| self.words.high_pitch(pitch))
    }

    fn buttons(&self, row: &Row, shown: &impl Fn(ButtonId) -> bool, name: impl Fn(Pitch) -> String) -> String {
        let all = (1u8..).zip(&row.buttons).filter(|(number, _)| shown(ButtonId { row: row.at, number: *number }));
        let each = all.map(|(number, button)| self.button(number, Direction::BOTH.map(|to| name(button.pitch(to)))));
        each.collect::<Vec<_>>().join("; ")
    }

    /// The left hand, a sentence a row.
    pub fn left(&self) -> String {
        let left = &self.instrument.left;
        let each = left.rows.iter().map(|at| {
            let here = left.buttons.iter().filter(|button| button.row == *at);
            let buttons: Vec<String> = here
                .map(|button| self.button(button.number, Direction::BOTH.map(|to| self.left_sound(button, to))))
                .collect();
            sentence(&format!("{}, {}.", self.words.alt.rows[row(*at)], buttons.join("; ")))
        });
        each.collect::<Vec<_>>().join(" ")
    }

    /// `button 1: push B, pull D`.
    fn button(&self, number: u8, [push, pull]: [String; 2]) -> String {
        let button = say(self.words.button[0], &[("n", &number.to_string())]);
        let [pushed, pulled] = self.words.direction;
        format!("{button}: {pushed} {push}, {pulled} {pull}")
    }

    fn left_sound(&self, button: &LeftButton, to: Direction) -> String {
        self.words.left_sound(button.kind, &button.sound(to).name(button.kind))
    }

    /// A way through notes, the direction where it changes.
    pub fn way(&self, stops: impl Iterator<Item = Stop>) -> String {
        let mut before = None;
        let named = |id: ButtonId| format!("{} {}", self.words.row_short[row(id.row)], id.number);
        let each = stops.map(|stop| {
            let name = self.words.pitch(stop.pitch);
            let turn = if before == Some(stop.direction) { "" } else { self.words.direction[way(stop.direction)] };
            before = Some(stop.direction);
            let comma = if turn.is_empty() { "" } else { ", " };
            let finger = stop.finger.map(|n| say(self.words.alt.finger[0], &[("n", &n.to_string())]));
            let place = stop.place.map(|id| say(self.words.alt.place, &[("button", &named(id))]));
            let more: String = finger.into_iter().chain(place).map(|said| format!(", {said}")).collect();
            format!("{name}{comma}{turn}, {}{more}", named(stop.button))
        });
        each.collect::<Vec<_>>().join("; ")
    }

    /// The left-hand buttons that sound a chord: `pull: B bass, inner row, button 3; E minor chord, inner row, button 4`.
    pub fn chord(&self, direction: Direction, buttons: &[LeftButtonId]) -> String {
        let found = buttons.iter().filter_map(|id| self.instrument.left.buttons.get(id.0));
        let each: Vec<String> = found
            .map(|button| {
                let number = say(self.words.button[0], &[("n", &button.number.to_string())]);
                format!("{}, {}, {number}", self.left_sound(button, direction), self.words.alt.rows[row(button.row)])
            })
            .collect();
        format!("{}: {}", self.words.direction[way(direction)], each.join("; "))
    }
}

/// The name of a note value in the language of a tag: `dotted crotchet`.
pub fn value_name(value: NoteValue, language: &str) -> String {
    Words::of(language).value(value)
}

impl Words {
    /// A key: its tonic and mode, or its signs where it has no tonic.
    pub(super) fn key(&self, key: &KeySignature) -> String {
        if let Some((tonic, mode)) = key.tonic {
            return say(self.alt.key, &[("tonic", &self.class(tonic)), ("mode", self.mode(mode))]);
        }
        let signs: Vec<String> = key.signs().into_iter().map(|class| self.class(class)).collect();
        say(self.alt.signs[usize::from(signs.is_empty())], &[("signs", &self.list(&signs))])
    }
    /// A metre: `6/8 time`.
    pub(super) fn metre(&self, metre: &Meter) -> String {
        match metre {
            Meter::Common => self.alt.metres[0].to_owned(),
            Meter::Cut => self.alt.metres[1].to_owned(),
            Meter::Free => self.alt.metres[2].to_owned(),
            Meter::Figures { .. } => say(self.alt.metre, &[("metre", &metre.to_string())]),
        }
    }
    /// A tempo: `Lively, dotted crotchet = 108`.
    pub(super) fn tempo(&self, tempo: &Tempo) -> String {
        let mut said: Vec<String> = tempo.before.iter().cloned().collect();
        if let Some(bpm) = tempo.bpm {
            let parts = tempo.beat.iter().map(|beat| {
                let values: Vec<String> = NoteValue::sum(*beat).into_iter().map(|value| self.value(value)).collect();
                if values.is_empty() { beat.to_string() } else { values.join(" + ") }
            });
            let mut beat = parts.collect::<Vec<_>>().join(" + ");
            if beat.is_empty() {
                beat = self.value(NoteValue::plain(2));
            }
            said.push(say(self.alt.tempo, &[("beat", &beat), ("rate", &bpm.to_string())]));
        }
        said.extend(tempo.after.iter().cloned());
        said.join(", ")
    }
}
