//! Alternative text: what a system of music says to a reader who can't see it.

use super::facts::{Lesson, sound_of, tidy};
use super::words::{row, say, sentence, way};
use crate::fingering::Sound;
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
        let mut parts: Vec<String> = Vec::new();
        if !event.graces.is_empty() {
            let pitches: Vec<String> =
                event.graces.iter().flat_map(|g| &g.notes).map(|note| self.words.pitch(note.pitch)).collect();
            parts.push(say(words.grace[usize::from(pitches.len() > 1)], &[("pitch", &self.words.list(&pitches))]));
        }
        let pitches: Vec<String> = event.notes().iter().map(|note| self.words.pitch(note.pitch)).collect();
        parts.push(format!("{} {value}", self.words.list(&pitches)));
        match self.plan.note(id).filter(|note| !note.presses.is_empty()) {
            None => parts.push(self.words.how.missing.to_owned()),
            Some(note) => {
                if *direction != Some(note.direction) {
                    parts.push(self.words.direction[way(note.direction)].to_owned());
                    *direction = Some(note.direction);
                }
                match sound_of(note) {
                    Some(Sound::Tie) => parts.push(words.tied.to_owned()),
                    sound => {
                        let buttons: Vec<String> = note
                            .presses
                            .iter()
                            .map(|press| {
                                format!("{} {}", self.words.row_short[row(press.button.row)], press.button.number)
                            })
                            .collect();
                        parts.push(self.words.list(&buttons));
                        match sound {
                            Some(Sound::Reversal) => parts.push(words.reversal.to_owned()),
                            Some(Sound::Replay) => parts.push(words.replay.to_owned()),
                            _ => {}
                        }
                    }
                }
            }
        }
        parts.join(", ")
    }
}
