//! Alternative text: what a line of music says to a reader who can't see it.
//!
//! Bar by bar in the order in which it is played: what changes at the bar, its notes with all that is printed at them, the
//! left hand, the sung words, what its end orders. A direction is said where it changes and wherever a player may come from
//! elsewhere than the bar before, a finger only where one is printed.

use super::count::bar_counts;
use super::facts::{Lesson, sound_of, tidy};
use super::words::{air, row, say, sentence, way};
use crate::fingering::{PlannedNote, Press, Sound};
use crate::instrument::{ButtonId, Direction};
use crate::tune::{Bar, BarlineStyle, Event, Landmark, Mark, NoteId, Slur, Sounding, Syllable};
use std::ops::Range;

/// A line of music and what is printed on it besides its notes.
#[derive(Debug, Clone, Default)]
pub struct Printed<'a> {
    /// Its bars, as indices into the tune's; those beyond its end are left out.
    pub bars: Range<usize>,
    /// How many events of its first bar stand on the line before.
    pub after: usize,
    /// How many events of its last bar stand on it or before it, where the bar goes on on the next line.
    pub until: Option<usize>,
    /// The heads and graces with fingers over them.
    pub fingers: &'a [NoteId],
    /// Whether fingers that the source gives are printed instead.
    pub source_fingers: bool,
    /// Whether it is a line of melody alone, without a plan.
    pub bare: bool,
    /// Whether the left hand stands under it.
    pub left: bool,
    /// Whether chord symbols stand over it.
    pub symbols: bool,
    /// Whether it is counted.
    pub counts: bool,
}

impl Lesson<'_> {
    /// A line of music in words, a sentence a bar.
    pub fn alt(&self, line: &Printed<'_>) -> String {
        let mut direction = None;
        let bars = line.bars.start..line.bars.end.min(self.tune.bars.len());
        let last = bars.end.checked_sub(1);
        let mut said = Vec::with_capacity(bars.len());
        let mut bar = bars.start;
        while bar < bars.end {
            let from = if bar == bars.start { line.after } else { 0 };
            let to = line.until.filter(|_| Some(bar) == last);
            said.push(self.alt_bar(bar, from, to, line, &mut direction));
            // Rests of several bars written as one are said as one.
            bar += usize::try_from(self.tune.bars[bar].rest_run).unwrap_or(1).max(1);
        }
        said.join(" ")
    }

    fn alt_bar(
        &self,
        bar: usize,
        from: usize,
        to: Option<usize>,
        line: &Printed<'_>,
        direction: &mut Option<Direction>,
    ) -> String {
        let here = &self.tune.bars[bar];
        let words = &self.words.alt;
        let run = usize::try_from(here.rest_run).unwrap_or(1).max(1);
        let last = (bar + run - 1).min(self.tune.bars.len() - 1);
        let mut said: Vec<String> = Vec::new();
        if from == 0 {
            self.alt_changes(bar, &mut said);
        }
        if from == 0 && self.begins_afresh(bar) {
            *direction = None;
        }
        let events = here.events.get(from..to.unwrap_or(here.events.len())).unwrap_or_default();
        if run > 1 {
            said.push(say(words.bars_rest, &[("n", &run.to_string())]));
        } else {
            let before = from.checked_sub(1).and_then(|before| here.events.get(before));
            for (nth, event) in events.iter().enumerate() {
                let before = nth.checked_sub(1).map_or(before, |before| events.get(before));
                self.alt_event(event, before, line, direction, &mut said);
            }
        }
        if line.left
            && from == 0
            && let Some(presses) = self.presses(bar)
        {
            said.push(say(words.left, &[("presses", &presses)]));
        }
        self.sung(events, &mut said);
        if line.counts && from == 0 {
            let counts: Vec<String> =
                bar_counts(self.tune, bar, self.words).into_iter().map(|count| count.syllable).collect();
            said.push(say(words.counted, &[("counts", &counts.join(" "))]));
        }
        if to.is_none() {
            self.alt_end(&self.tune.bars[last], &mut said);
        }
        let mut name = self.bars_name(bar, last);
        if bar == last && here.ending.is_some() {
            name = self.bar_name(bar).trim_end_matches(',').to_owned();
        }
        if from > 0 {
            name = say(words.continued, &[("bar", &name)]);
        }
        if said.is_empty() {
            said.push(words.bar_rest.to_owned());
        }
        tidy(&format!("{}: {}.", sentence(&name), said.join("; ").trim_end_matches('.')))
    }

    /// Whether a player may come to a bar from another than the one written before it, however seldom: who hears the bar then
    /// has not just heard which way the bellows go.
    fn begins_afresh(&self, bar: usize) -> bool {
        let (earlier, rest) = self.tune.bars.split_at(bar);
        let has_order = !self.tune.part_order.is_empty();
        // A repeat without a beginning leads back to the last double barline, or to the end of the last ending.
        let ending = earlier.iter().rev().find_map(|earlier| earlier.ending.as_ref());
        !self.follows_only(bar)
            || earlier.last().is_some_and(|before| before.right.style == BarlineStyle::Double)
            || ending.is_some_and(|ending| ending.last_bar + 1 == bar)
            || has_order && rest.first().is_some_and(|here| here.part.is_some())
    }

    /// What begins at a bar: part, landmarks, key, metre, tempo, a repeat.
    fn alt_changes(&self, bar: usize, said: &mut Vec<String>) {
        let here = &self.tune.bars[bar];
        let words = &self.words.alt;
        if let Some(part) = &here.part {
            said.push(say(words.part, &[("name", part)]));
        }
        for landmark in &here.landmarks {
            match landmark {
                Landmark::Segno => said.push(words.landmarks[0].to_owned()),
                Landmark::Coda => said.push(words.landmarks[1].to_owned()),
                Landmark::Fine => {}
            }
        }
        let opens = bar == 0;
        if let Some(key) = here.key.as_deref().or(opens.then_some(&self.tune.key)) {
            said.push(self.words.key(key));
        }
        if let Some(metre) = here.meter.as_ref().or(opens.then_some(&self.tune.meter)) {
            said.push(self.words.metre(metre));
        }
        // The tempo that a tune begins with stands under its title.
        if let Some(tempo) = here.tempo.as_ref().filter(|own| !(opens && self.tune.tempo.as_ref() == Some(*own))) {
            said.push(self.words.tempo(tempo));
        }
        if here.left.repeat_start {
            said.push(words.repeat[0].to_owned());
        }
    }

    /// What stands at a bar's end: a repeat, the end, a jump.
    fn alt_end(&self, here: &Bar, said: &mut Vec<String>) {
        let words = &self.words.alt;
        said.extend(here.barline_marks.iter().map(|mark| (words.mark)(*mark).to_owned()));
        match here.right.repeat_end {
            0 => {}
            1 | 2 => said.push(words.repeat[1].to_owned()),
            times => said.push(format!("{}, ×{times}", words.repeat[1])),
        }
        if here.landmarks.contains(&Landmark::Fine) {
            said.push(words.landmarks[2].to_owned());
        }
        said.extend(here.jump.map(|jump| (words.jump)(jump).to_owned()));
    }

    /// The syllables sung to some events, verse by verse; a word that goes on in the next bar ends in a hyphen.
    fn sung(&self, events: &[Event], said: &mut Vec<String>) {
        let verses = events.iter().map(|event| event.lyrics.len()).max().unwrap_or(0);
        let several = self.tune.bars.iter().flat_map(|bar| &bar.events).any(|event| event.lyrics.len() > 1);
        for verse in 0..verses {
            let mut text = String::new();
            for lyric in events.iter().filter_map(|event| event.lyrics.get(verse)?.as_ref()) {
                if lyric.text.is_empty() {
                    continue;
                }
                text.push_str(&lyric.text);
                text.push(if lyric.joint == Syllable::Hyphen { '\u{ad}' } else { ' ' });
            }
            let open = text.ends_with('\u{ad}');
            // A pause of the words at a bar's end is the end of the phrase that says them.
            let text = text.replace('\u{ad}', "");
            let mut text = text.trim_end_matches([' ', ',', ';', ':', '.']).to_owned();
            if open {
                text.push('-');
            }
            if !text.is_empty() {
                let number = (verse + 1).to_string();
                let phrase = self.words.alt.sung[usize::from(several)];
                said.push(say(phrase, &[("words", &text), ("verse", &number)]));
            }
        }
    }

    fn alt_event(
        &self,
        event: &Event,
        before: Option<&Event>,
        line: &Printed<'_>,
        direction: &mut Option<Direction>,
        said: &mut Vec<String>,
    ) {
        let words = &self.words.alt;
        if line.symbols {
            let names = event.chord_symbols.iter().map(|symbol| self.symbol(symbol));
            said.extend(names.map(|name| say(words.symbol, &[("name", &name)])));
        }
        said.extend(event.annotations.iter().map(|annotation| annotation.text.clone()));
        said.extend(self.new_place(event).map(|to| say(words.place, &[("button", &self.short_button(to))])));
        if let Some(id) = event.tuplet.filter(|id| before.and_then(|before| before.tuplet) != Some(*id))
            && let Some(tuplet) = usize::try_from(id.0).ok().and_then(|id| self.tune.tuplets.get(id))
        {
            let phrase = words.tuplet[usize::from((tuplet.actual, tuplet.normal) != (3, 2))];
            said.push(say(phrase, &[("n", &tuplet.actual.to_string()), ("of", &tuplet.normal.to_string())]));
        }
        let [opened, closed, own] = self.slurs(event);
        said.extend(std::iter::repeat_n(words.slur[0].to_owned(), opened));
        said.extend(self.alt_sound(event, line, own > 0, direction));
        said.extend(std::iter::repeat_n(words.slur[1].to_owned(), closed));
        if let Some(id) = event.head() {
            let here = self.plan.bellows.air.iter().filter(|point| point.after == id);
            said.extend(here.map(|point| words.air[air(point.air)].to_owned()));
        }
    }

    /// How many slurs begin at an event and go on to another, how many come from another and end there, and how many lead from a
    /// grace to its own note. One at a grace that is left out is not drawn.
    fn slurs(&self, event: &Event) -> [usize; 3] {
        let is_here = |id: NoteId| event.head() == Some(id) || event.graces.iter().any(|grace| grace.id == id);
        let is_left_out = |slur: &Slur| self.plan.left_out(slur.from).or(self.plan.left_out(slur.to)).is_some();
        let mut count = [0; 3];
        for slur in &self.tune.slurs {
            let nth = match (is_here(slur.from), is_here(slur.to)) {
                (true, false) => 0,
                (false, true) => 1,
                (true, true) => 2,
                (false, false) => continue,
            };
            count[nth] += usize::from(!is_left_out(slur));
        }
        count
    }

    /// Where the hand moves for an event; where it moves on a grace and again, the last place is the one that is printed.
    fn new_place(&self, event: &Event) -> Option<ButtonId> {
        let ids = event.graces.iter().map(|grace| grace.id).chain(event.head());
        ids.filter_map(|id| self.plan.note(id)).rfind(|note| note.place_moves).map(|note| note.place.0)
    }

    /// A head or rest with its signs, `slurred` with its graces; `None` for a rest that is not drawn.
    fn alt_sound(
        &self,
        event: &Event,
        line: &Printed<'_>,
        slurred: bool,
        direction: &mut Option<Direction>,
    ) -> Option<String> {
        let words = &self.words.alt;
        let value = self.words.value(event.value);
        let signs = event.marks.iter().map(|mark| (words.mark)(*mark)).filter(|name| !name.is_empty());
        if let Sounding::Rest { visible, whole_bar } = event.sounding {
            let rest = if whole_bar { words.bar_rest.to_owned() } else { say(words.rest, &[("value", &value)]) };
            let all: Vec<&str> = std::iter::once(rest.as_str()).filter(|_| visible).chain(signs).collect();
            return (!all.is_empty()).then(|| all.join(", "));
        }
        let mut said = String::with_capacity(64);
        let mut part = |text: &str| {
            if !said.is_empty() {
                said.push_str(", ");
            }
            said.push_str(text);
        };
        let graces = event.graces.iter().filter(|grace| self.plan.left_out(grace.id).is_none());
        let pitches: Vec<String> =
            graces.clone().flat_map(|g| &g.notes).map(|note| self.words.pitch(note.pitch)).collect();
        if !pitches.is_empty() {
            part(&say(words.grace[usize::from(pitches.len() > 1)], &[("pitch", &self.words.list(&pitches))]));
            let planned: Vec<&PlannedNote> = graces.clone().filter_map(|grace| self.plan.note(grace.id)).collect();
            if let Some(first) = planned.first() {
                self.alt_turn(first.direction, direction, &mut part);
                let presses = planned.iter().flat_map(|note| &note.presses);
                part(&self.words.list(&presses.map(|press| self.short_button(press.button)).collect::<Vec<_>>()));
            }
            if slurred {
                part(words.slur[2]);
            }
        }
        let fingers: Vec<&Press> = graces
            .filter(|grace| line.fingers.contains(&grace.id))
            .filter_map(|grace| self.plan.note(grace.id))
            .flat_map(|note| &note.presses)
            .collect();
        if !fingers.is_empty() {
            part(&self.alt_fingers(&fingers));
        }
        let mut name = match event.notes() {
            [note] => self.words.pitch(note.pitch),
            notes => self.words.list(&notes.iter().map(|note| self.words.pitch(note.pitch)).collect::<Vec<_>>()),
        };
        name.push(' ');
        name.push_str(&value);
        part(&name);
        let planned = event.head().and_then(|id| self.plan.note(id)).filter(|note| !note.presses.is_empty());
        match planned {
            Some(note) => self.alt_press(note, line, direction, &mut part),
            None if line.bare => {
                if !event.notes().is_empty() && event.notes().iter().all(|note| note.tied_from_previous) {
                    part(words.tied);
                }
            }
            None => part(&event.head().map_or_else(String::new, |id| self.absent(id))),
        }
        if line.source_fingers {
            for mark in &event.marks {
                if let Mark::Finger(finger) = mark {
                    part(&say(words.finger[0], &[("n", &finger.to_string())]));
                }
            }
        }
        signs.for_each(part);
        Some(said)
    }

    /// How a note is played: the direction where it changes, buttons, fingers where they are printed, reversal or replay.
    fn alt_press(
        &self,
        note: &PlannedNote,
        line: &Printed<'_>,
        direction: &mut Option<Direction>,
        part: &mut impl FnMut(&str),
    ) {
        let words = &self.words.alt;
        self.alt_turn(note.direction, direction, part);
        let sound = sound_of(note);
        if sound == Some(Sound::Tie) {
            part(words.tied);
        } else {
            match &note.presses[..] {
                [press] => part(&self.short_button(press.button)),
                presses => {
                    let all: Vec<String> = presses.iter().map(|press| self.short_button(press.button)).collect();
                    part(&self.words.list(&all));
                }
            }
        }
        if line.fingers.contains(&note.id) {
            part(&self.alt_fingers(&note.presses.iter().collect::<Vec<_>>()));
        }
        match sound {
            Some(Sound::Reversal) => part(words.reversal),
            Some(Sound::Replay) => part(words.replay),
            _ => {}
        }
    }

    /// The direction where it changes.
    fn alt_turn(&self, to: Direction, direction: &mut Option<Direction>, part: &mut impl FnMut(&str)) {
        if *direction != Some(to) {
            part(self.words.direction[way(to)]);
            *direction = Some(to);
        }
    }

    /// `finger 3`, `fingers 1 and 2`, as the book numbers them.
    fn alt_fingers(&self, presses: &[&Press]) -> String {
        let fingers: Vec<String> = presses.iter().map(|press| (press.finger + self.index - 1).to_string()).collect();
        say(self.words.alt.finger[usize::from(fingers.len() > 1)], &[("n", &self.words.list(&fingers))])
    }

    /// `inner 5`; on a box of one row `button 5`.
    fn short_button(&self, button: ButtonId) -> String {
        if self.instrument.rows.len() > 1 {
            return [self.words.row_short[row(button.row)], " ", &button.number.to_string()].concat();
        }
        say(self.words.button[0], &[("n", &button.number.to_string())])
    }
}
