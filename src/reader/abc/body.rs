//! Fields that stand in the music, on lines of their own or in brackets.
//!
//! Source: ABC 2.1 §3.2 (inline fields), §3.1 (each field), §7 (voices, volatile).

use super::items::Field;
use super::music::Builder;
use super::{key, measure, setup, tempo, text};
use crate::diag::Place;

/// Of a tune with more voices the others are not told by name.
const MOST_VOICES: usize = 100;

impl Builder<'_> {
    /// A field on a line of its own.
    pub fn field(&mut self, field: &Field) {
        if self.full {
            return;
        }
        if self.muted && !matches!(field.letter, 'V' | 'W' | 'I') {
            return;
        }
        match field.letter {
            'w' => self.verses.words(field, self.heads, self.complaints),
            's' => self.verses.symbols(field, self.heads, self.complaints),
            letter => {
                let place = field.place(0);
                if !self.change(letter, &field.text, place) {
                    self.setup.take_anywhere(field, self.complaints);
                }
            }
        }
    }
    /// A field in brackets.
    pub fn inline(&mut self, letter: char, text: &str, place: Place) {
        if self.muted && letter != 'V' {
            return;
        }
        if !self.change(letter, text, place) && !matches!(letter, 'r' | 'N' | 'R' | 'I' | 'm' | 'U') {
            let message = format!("a field {letter}: can't stand in brackets here");
            self.complaints.warn(code!("odd-inline-field"), place, message, "it is left out");
        }
    }
    /// Carries out a field that changes how the music is read; `false` if it is none of these.
    fn change(&mut self, letter: char, text: &str, place: Place) -> bool {
        let fresh = self.bar.events.is_empty();
        let first = fresh && self.bars.is_empty();
        match letter {
            'K' => self.new_key(text, place, fresh, first),
            'L' => self.set_unit(text, place),
            'M' => match measure::meter(text) {
                Some(meter) if meter == self.meter => {}
                Some(meter) => {
                    self.meter = meter.clone();
                    if first {
                        self.setup.tune.meter = meter;
                    } else if fresh {
                        self.bar.meter = Some(meter);
                    } else {
                        self.upcoming.meter = Some(meter);
                    }
                }
                None => setup::odd_meter(text, place, self.complaints),
            },
            'Q' => match tempo::parse(text, self.unit) {
                Some(tempo) if first => self.setup.tune.tempo = Some(tempo),
                Some(tempo) if fresh => self.bar.tempo = Some(tempo.into()),
                Some(tempo) => self.upcoming.tempo = Some(tempo),
                None => setup::odd_tempo(text, place, self.complaints),
            },
            'P' | 'T' => {
                let label = text::decode(text.trim_end_matches('.'));
                let bar = if fresh { &mut self.bar.part } else { &mut self.upcoming.part };
                if letter == 'P' || bar.is_none() {
                    *bar = Some(label).filter(|label| !label.is_empty());
                }
            }
            'V' => self.switch_voice(text, place),
            _ => return false,
        }
        true
    }
    fn new_key(&mut self, text: &str, place: Place, fresh: bool, first: bool) {
        let parsed = key::parse(text);
        setup::key_complaints(&parsed, text, place, self.complaints);
        if let Some(octave) = parsed.octave {
            self.octave += octave - self.setup.octave;
            self.setup.octave = octave;
        }
        let Some(key) = parsed.key.filter(|key| *key != self.key) else { return };
        self.key = key.clone();
        if first {
            self.setup.tune.key = key;
        } else if fresh {
            self.bar.key = Some(key.into());
        } else {
            self.upcoming.key = Some(key);
        }
    }
    fn switch_voice(&mut self, text: &str, place: Place) {
        let (id, params) = text.split_once(' ').unwrap_or((text, ""));
        let anonymous = self.voice.is_none() && (!self.bars.is_empty() || !self.bar.events.is_empty());
        if self.wanted.is_none() && !anonymous {
            self.wanted = Some(id.to_owned());
            self.octave += key::parse(&setup::clef_words(params)).octave.unwrap_or(0);
        }
        if self.voices.len() < MOST_VOICES && !self.voices.iter().any(|(known, _)| known == id) {
            self.voices.push((id.to_owned(), place));
        }
        self.voice = Some(id.to_owned());
        self.muted = self.wanted.as_deref() != Some(id);
        if self.muted && !self.asks_for_voice {
            let message = format!("the voice “{id}” is not read");
            let hint = "`bring --voice NAME` chooses another, or in a tune file `music: {file: ..., voice: NAME}`";
            self.complaints.warn_once(id, code!("voice-not-read"), place, message, hint);
        }
    }
}
