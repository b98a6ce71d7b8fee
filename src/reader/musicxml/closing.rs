//! The ends of bars and of the part: gaps filled, what waits given to a note or to the next bar, losses told.
//!
//! Source: MusicXML 4.0, measure, harmony, transpose.

use super::part::{PartReader, Turn, WaitingChord};
use crate::reader::abc::default_unit;
use crate::reader::asked::Wish;
use crate::reader::assemble;
use crate::tune::{Bar, BarlineStyle, Duration, Event, Interval, Tempo, Tune};
use std::collections::BTreeMap;

impl PartReader<'_> {
    /// Ends the bar.
    pub fn close_bar(&mut self) {
        self.fill_to_end();
        self.began = true;
        self.rest_where_empty();
        if self.bar.events.is_empty() {
            // A measure without time says nothing but what stands at its barlines.
            let right = std::mem::take(&mut self.bar.right);
            if let Some(before) = self.tune.bars.last_mut().filter(|_| right.style != BarlineStyle::None) {
                before.right = right;
            }
            if let (Some(last), Some(closed)) = (self.tune.bars.len().checked_sub(1), self.stops.take()) {
                self.end_ending(last, closed);
            }
            return;
        }
        self.find_tuplets();
        let end = self.furthest.max(self.filled);
        self.place_chords(end);
        if !self.waiting.graces.is_empty() {
            self.waiting.late.get_or_insert_with(|| self.here.clone());
        }
        let mut bar = std::mem::replace(&mut self.bar, Bar::blank());
        if bar.right.style == BarlineStyle::None {
            bar.right.style = BarlineStyle::Single;
        }
        if let Some(last) = bar.events.last_mut() {
            self.give_marks(last);
            last.annotations.append(&mut self.waiting.annotations);
        }
        self.push_bar(bar, end);
        self.begin_next(end);
    }
    /// A measure in which nothing stands lasts as long as the others.
    fn rest_where_empty(&mut self) {
        if !self.bar.events.is_empty() || self.implicit {
            return;
        }
        match self.meter.bar_length() {
            Some(full) => {
                self.bar.events.push(Event { duration: full, ..super::bar::rest(true, true) });
                (self.filled, self.furthest) = (full, full);
                self.changed("a measure without notes", "a bar of rest");
            }
            None => self.not_kept("a measure without notes and metre"),
        }
    }
    /// What stood inside the bar or at its end and counts from the next one on.
    fn begin_next(&mut self, end: Duration) {
        for (at, turn) in std::mem::take(&mut self.turns) {
            match (&turn, at < end) {
                (Turn::Tempo(_), true) => {
                    self.not_kept("a tempo that begins inside a bar");
                    continue;
                }
                (Turn::Key(_), true) => self.changed("a key that begins inside a bar", "one from the next bar on"),
                (Turn::Meter(_), true) => self.changed("a metre that begins inside a bar", "one from the next bar on"),
                _ => {}
            }
            self.take_turn(turn);
        }
        let next = std::mem::take(&mut self.next);
        (self.bar.landmarks, self.bar.left, self.bar.part) = (next.landmarks, next.left, next.part);
        if next.ending.is_some() {
            self.ending = Some(self.tune.bars.len());
            self.bar.ending = next.ending;
        }
    }
    /// Gives chord symbols to the events that sound where they stand; those beyond the bar wait for the next one.
    fn place_chords(&mut self, end: Duration) {
        let near = self.tolerance();
        for chord in std::mem::take(&mut self.waiting.chords) {
            if chord.at >= end {
                self.waiting.chords.push(WaitingChord { at: chord.at - end, ..chord });
                continue;
            }
            let mut start = Duration::ZERO;
            let mut found = (0, Duration::ZERO);
            for (nth, event) in self.bar.events.iter().enumerate() {
                if start - chord.at < near {
                    found = (nth, start);
                }
                start += event.duration;
            }
            if chord.at - found.1 >= near {
                self.not_kept_at("the exact place of a chord symbol inside a long note", &chord.from);
            }
            let symbols = &mut self.bar.events[found.0].chord_symbols;
            if !symbols.contains(&chord.symbol) {
                symbols.push(chord.symbol);
            }
        }
    }
    /// The whole tune, and what is asked for in it.
    pub fn finish(mut self) -> (Tune, Vec<Wish>) {
        self.settle_endings();
        self.tell_of_goals();
        self.tell_what_is_left();
        let spots = self.settle_asks();
        std::mem::take(&mut self.losses).tell(self.complaints);
        for (at, bars) in std::mem::take(&mut self.rest_runs) {
            if let Some(bar) = self.tune.bars.get_mut(at) {
                bar.rest_run = bars;
            }
        }
        self.tune.unit = default_unit(&self.tune.meter);
        if self.tune.tempo.is_none()
            && let Some(bpm) = self.tempo_heard
        {
            let beat = vec![Duration::new(1, 4)];
            self.tune.tempo = Some(Tempo { before: None, beat, bpm: Some(bpm), after: None });
        }
        super::lyric::settle_holds(&mut self.tune, self.verses.len(), &self.held_on);
        let moves = std::mem::take(&mut self.transpositions);
        // Pitches are written; a tune holds what sounds.
        move_bars(&mut self.tune, &moves);
        let mut tune = assemble::finish(self.tune, self.complaints);
        tune.verse_labels = self.labels;
        let wishes = super::asking::wishes(&tune, &spots);
        (tune, wishes)
    }
    fn tell_what_is_left(&mut self) {
        for (bar, what) in super::bar::settle_ties(&mut self.tune) {
            let at = self.read_from.get(bar).unwrap_or(&self.here).clone();
            self.not_kept_at(what, &at);
        }
        for (_, _, at) in std::mem::take(&mut self.slurs).into_values() {
            self.not_kept_at("a slur that does not end", &at);
        }
        for at in std::mem::take(&mut self.slides).into_values() {
            self.not_kept_at("a slide that does not end", &at);
        }
        for chord in std::mem::take(&mut self.waiting.chords) {
            self.not_kept_at("a chord symbol after the last note", &chord.from);
        }
        if let Some(at) = self.waiting.late.take() {
            self.not_kept_at("a grace note after the last note", &at);
        }
        let left: [(bool, &str); 7] = [
            (!self.waiting.annotations.is_empty(), "a text after the last note"),
            (!self.waiting.marks.is_empty(), "a sign after the last note"),
            (self.bar.key.is_some(), "a key after the last bar"),
            (self.bar.meter.is_some(), "a metre after the last bar"),
            (self.bar.tempo.is_some(), "a tempo after the last bar"),
            (
                !self.bar.landmarks.is_empty() || !self.signs.is_empty() || self.bar.part.is_some(),
                "a segno, coda, jump or rehearsal mark after the last bar",
            ),
            (self.bar.left.style != BarlineStyle::None, "a thick and a thin line after the last bar"),
        ];
        for (_, what) in left.into_iter().filter(|(is_left, _)| *is_left) {
            self.not_kept(what);
        }
    }
}

/// Moves each bar by what is to be added to its written pitch.
fn move_bars(tune: &mut Tune, moves: &[(usize, Interval)]) {
    match moves {
        [] => {}
        [(_, interval)] => tune.transpose(*interval),
        _ => {
            let first = moves.first().map_or_else(Interval::default, |(_, interval)| *interval);
            let mut intervals = Vec::with_capacity(tune.bars.len());
            let mut fifths = tune.key.fifths;
            let mut interval = first.spelt_for(&[fifths]);
            // Of several for one bar the first holds.
            let mut at: BTreeMap<usize, Interval> = BTreeMap::new();
            for (bar, new) in moves {
                at.entry(*bar).or_insert(*new);
            }
            for (bar, written) in tune.bars.iter().enumerate() {
                fifths = written.key.as_deref().map_or(fifths, |key| key.fifths);
                if let Some(new) = at.get(&bar) {
                    interval = new.spelt_for(&[fifths]);
                }
                intervals.push(interval);
            }
            tune.key = tune.key.moved(first.spelt_for(&[tune.key.fifths]));
            for (bar, interval) in tune.bars.iter_mut().zip(intervals) {
                bar.transpose(interval);
            }
        }
    }
}
