//! A tune played out: every repeat and ending in order, in exact time from the start of the file.
//!
//! Takes a tune, its plan and the box; gives tones, markers and clicks as data. Knows no ticks and no bytes.

use super::tones::{Performance, Tone};
use super::{left, metronome};
use crate::fingering::{self, Plan};
use crate::instrument::{Direction, Instrument};
use crate::tune::{self, Event, Fraction, KeySignature, Meter, Note, NoteId, Passage, Tune};

/// A file is cut at the barline before it would last longer than this many whole notes: at 120 quarters a minute five hours,
/// and every span of it still fits into one delta time of the file.
pub(super) const MOST_WHOLES: i64 = 9_000;

/// A file is cut at the barline before it would hold more tones than this.
pub(super) const MOST_TONES: usize = 100_000;

/// The longest a grace note takes, in whole notes. Common practice, no source: a cut is as short as the player can make it.
const GRACE: (i64, i64) = (1, 32);

/// What holds in a bar, so that no bar has to look back.
struct Force<'a> {
    meter: &'a Meter,
    key: &'a KeySignature,
    tempo: Fraction,
}

impl Performance {
    /// Plays a tune out.
    pub(super) fn of(tune: &Tune, plan: &Plan, instrument: &Instrument) -> Self {
        let tune = &*plan.without_left_out(tune);
        let forces = forces(tune);
        let left = left::by_bar(tune, plan, instrument);
        let passages = tune::played(tune);
        let mut player = Player { plan, played: Self::default(), hand: Hand::default() };
        let mut at = Fraction::ZERO;
        for (nth, passage) in passages.iter().enumerate() {
            let bar = &tune.bars[passage.bar];
            let force = &forces[passage.bar];
            player.played.set_force(at, force);
            if nth == 0 {
                at = metronome::count_in(force.meter, bar, &mut player.played.clicks);
                player.hand.last_length = Fraction::new(1, 4);
            }
            let end = at + bar.length.0;
            let tones: usize = bar.events.iter().map(|event| event.notes().len() + event.graces.len()).sum();
            if end > Fraction::new(MOST_WHOLES, 1) || player.played.tones() + tones > MOST_TONES {
                player.played.markers.push((at, "cut here: the tune is too long to play out".into()));
                break;
            }
            player.played.markers.push((at, bar_marker(bar.label.to_string(), *passage)));
            for event in &bar.events {
                player.play(at, event);
            }
            for press in &left[passage.bar] {
                press.play(at, &mut player.played);
            }
            metronome::bar(force.meter, bar, at, &mut player.played.clicks);
            at = end;
        }
        player.played
    }

    fn tones(&self) -> usize {
        self.melody.len() + self.bass.len() + self.chords.len() + self.clicks.len()
    }

    fn set_force(&mut self, at: Fraction, force: &Force) {
        if self.tempi.last().is_none_or(|(_, tempo)| *tempo != force.tempo) {
            self.tempi.push((at, force.tempo));
        }
        if self.meters.last().is_none_or(|(_, meter)| meter != force.meter) {
            self.meters.push((at, force.meter.clone()));
        }
        if self.keys.last().is_none_or(|(_, key)| key != force.key) {
            self.keys.push((at, force.key.clone()));
        }
    }
}

fn bar_marker(label: String, passage: Passage) -> String {
    match passage.pass {
        0 | 1 => format!("bar {label}"),
        time => format!("bar {label}, time {time}"),
    }
}

fn forces(tune: &Tune) -> Vec<Force<'_>> {
    let (mut meter, mut key) = (&tune.meter, &tune.key);
    // The tempo that the plan was made for, where the tune gives none too.
    tune.bars
        .iter()
        .zip(fingering::tempi(tune))
        .map(|(bar, tempo)| {
            meter = bar.meter.as_ref().unwrap_or(meter);
            key = bar.key.as_deref().unwrap_or(key);
            Force { meter, key, tempo }
        })
        .collect()
}

/// What the right hand is doing while a tune is played.
#[derive(Default)]
struct Hand {
    direction: Option<Direction>,
    /// Tones that wait for the other end of their tie, as indices into the melody.
    tied: Vec<usize>,
    /// Tones of the last head, as indices.
    last: Vec<usize>,
    /// How long the last head or rest lasts.
    last_length: Fraction,
}

struct Player<'a> {
    plan: &'a Plan,
    played: Performance,
    hand: Hand,
}

impl Player<'_> {
    fn play(&mut self, bar: Fraction, event: &Event) {
        let start = bar + event.onset.0;
        self.graces(start, event);
        if let Some(id) = event.head() {
            self.turn(start, id);
        }
        let waiting = std::mem::take(&mut self.hand.tied);
        let mut sounding = Vec::new();
        for note in event.notes() {
            let Some(key) = key_of(note) else { continue };
            let end = start + event.duration.0;
            let held = waiting.iter().copied().find(|index| self.played.melody[*index].key == key);
            let index = match held {
                Some(index) if note.tied_from_previous => {
                    self.played.melody[index].end = end;
                    index
                }
                _ => {
                    self.played.melody.push(Tone { start, end, key, velocity: 96 });
                    self.played.melody.len() - 1
                }
            };
            sounding.push(index);
            if note.tied_to_next {
                self.hand.tied.push(index);
            }
        }
        self.hand.last = sounding;
        self.hand.last_length = event.duration.0;
    }

    /// Grace notes take their time from what comes before, so that the head stays on its beat and with the left hand: a
    /// thirty-second each, together at most half of the note before.
    fn graces(&mut self, head: Fraction, event: &Event) {
        let Ok(count) = i64::try_from(event.graces.len()) else { return };
        if count == 0 {
            return;
        }
        let each = Fraction::new(GRACE.0, GRACE.1).min(self.hand.last_length.over(Fraction::new(2 * count, 1)));
        let mut at = head - each * Fraction::new(count, 1);
        for index in self.hand.last.iter().chain(&self.hand.tied) {
            let tone = &mut self.played.melody[*index];
            tone.end = tone.end.min(at).max(tone.start);
        }
        // A tie that a grace note breaks in upon is struck again.
        self.hand.tied.clear();
        for grace in &event.graces {
            self.turn(at, grace.id);
            for note in &grace.notes {
                if let Some(key) = key_of(note) {
                    self.played.melody.push(Tone { start: at, end: at + each, key, velocity: 84 });
                }
            }
            at = at + each;
        }
    }

    fn turn(&mut self, at: Fraction, id: NoteId) {
        let Some(planned) = self.plan.note(id) else { return };
        let marker = match self.hand.direction {
            None => format!("begin on the {}", planned.direction),
            Some(before) if before != planned.direction => format!("turn to {}", planned.direction),
            Some(_) => return,
        };
        self.hand.direction = Some(planned.direction);
        self.played.markers.push((at, marker));
    }
}

fn key_of(note: &Note) -> Option<u8> {
    u8::try_from(note.pitch.midi()).ok().filter(|key| *key < 128)
}
