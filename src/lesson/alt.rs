//! Alternative text: what a system of music says to a reader who can't see it.

use super::facts::{Lesson, sound_of, tidy};
use super::words::{row, say, sentence, way};
use crate::fingering::{Press, Sound};
use crate::instrument::Direction;
use crate::tune::Event;
use std::ops::Range;

impl Lesson<'_> {
    /// The bars of a system in words: names, values, buttons; the direction where it changes; the left hand of each bar. Bars
    /// are indices into the tune's bars; those beyond its end are left out.
    pub fn alt(&self, bars: Range<usize>) -> String {
        let mut direction = None;
        let bars = bars.start..bars.end.min(self.tune.bars.len());
        bars.map(|bar| self.alt_bar(bar, &mut direction)).collect::<Vec<_>>().join(" ")
    }

    fn alt_bar(&self, bar: usize, direction: &mut Option<Direction>) -> String {
        let here = &self.tune.bars[bar];
        let words = &self.words.alt;
        let mut said: Vec<String> = Vec::new();
        if here.left.repeat_start {
            said.push(words.repeat[0].to_owned());
        }
        said.extend(here.events.iter().map(|event| self.alt_event(event, direction)));
        if let Some(presses) = self.presses(bar) {
            said.push(say(words.left, &[("presses", &presses)]));
        }
        if here.right.repeat_end > 0 {
            said.push(words.repeat[1].to_owned());
        }
        let name = self.bar_name(bar);
        tidy(&format!("{}: {}.", sentence(name.trim_end_matches(',')), said.join("; ")))
    }

    fn alt_event(&self, event: &Event, direction: &mut Option<Direction>) -> String {
        let words = &self.words.alt;
        let value = self.words.value(event.value);
        let Some(id) = event.head() else { return say(words.rest, &[("value", &value)]) };
        let mut said = String::with_capacity(48);
        let mut part = |text: &str| {
            if !said.is_empty() {
                said.push_str(", ");
            }
            said.push_str(text);
        };
        let graces = event.graces.iter().filter(|grace| self.plan.left_out(grace.id).is_none());
        let pitches: Vec<String> = graces.flat_map(|g| &g.notes).map(|note| self.words.pitch(note.pitch)).collect();
        if !pitches.is_empty() {
            part(&say(words.grace[usize::from(pitches.len() > 1)], &[("pitch", &self.words.list(&pitches))]));
        }
        let mut name = match event.notes() {
            [note] => self.words.pitch(note.pitch),
            notes => self.words.list(&notes.iter().map(|note| self.words.pitch(note.pitch)).collect::<Vec<_>>()),
        };
        name.push(' ');
        name.push_str(&value);
        part(&name);
        let Some(note) = self.plan.note(id).filter(|note| !note.presses.is_empty()) else {
            part(&self.absent(id));
            return said;
        };
        if *direction != Some(note.direction) {
            part(self.words.direction[way(note.direction)]);
            *direction = Some(note.direction);
        }
        let sound = sound_of(note);
        if sound == Some(Sound::Tie) {
            part(words.tied);
            return said;
        }
        let button = |press: &Press| {
            [self.words.row_short[row(press.button.row)], " ", &press.button.number.to_string()].concat()
        };
        match &note.presses[..] {
            [press] => part(&button(press)),
            presses => part(&self.words.list(&presses.iter().map(button).collect::<Vec<_>>())),
        }
        match sound {
            Some(Sound::Reversal) => part(words.reversal),
            Some(Sound::Replay) => part(words.replay),
            _ => {}
        }
        said
    }
}
