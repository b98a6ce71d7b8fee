//! Bars told note by note, as a teacher would go through them.
//!
//! Each bar: which way the bellows go, then its notes, runs taken together, then the left hand. Sentences vary by where they
//! stand, so that the same plan always gives the same words.

use super::facts::{Lesson, sound_of, tidy};
use super::words::{say, sentence, way};
use crate::fingering::{PlannedNote, Press, Presses, Sound};
use crate::instrument::{Direction, RowAt};
use crate::tune::{BarlineStyle, Event, Fraction, Grace};
use std::ops::Range;

/// Runs of fewer notes are told note by note; longer ones are parted.
const LEAST_RUN: usize = 3;
const MOST_RUN: usize = 6;
/// Turns of the bellows up to this many are told by their beats.
const MOST_TURNS: usize = 3;

/// What the notes told so far leave in the reader's mind.
#[derive(Debug, Clone, Copy, Default)]
struct Mind {
    row: Option<RowAt>,
    direction: Option<Direction>,
}

impl Lesson<'_> {
    /// Bars told one after another.
    pub(super) fn walk(&self, bars: Range<usize>) -> String {
        let mut said: Vec<String> = Vec::new();
        let mut left_before: Option<String> = None;
        for bar in bars {
            self.walk_right(bar, !said.is_empty(), &mut said);
            let left = self.presses(bar);
            if !self.plan.left.is_empty() {
                let words = &self.words.left;
                said.push(match &left {
                    None => sentence(words.rests),
                    Some(_) if left == left_before => words.as_before.to_owned(),
                    Some(presses) => say(words.plays[bar % words.plays.len()], &[("presses", presses)]),
                });
            }
            left_before = left;
        }
        said.join(" ")
    }

    fn walk_right(&self, bar: usize, follows: bool, said: &mut Vec<String>) {
        let words = &self.words.walk;
        let name = self.bar_name(bar);
        let notes: Vec<&PlannedNote> = self.heads(bar).iter().filter_map(|head| self.plan.note(head.head()?)).collect();
        let Some(first) = notes.first() else {
            said.push(tidy(&sentence(&say(words.rests, &[("bar", &name)]))));
            return;
        };
        let turns = self.turns(bar);
        let direction = self.words.on_direction[way(first.direction)];
        let vary = |n: usize| bar % n;
        let opening = if turns.is_empty() {
            let table = if follows && self.goes_on(bar) { &words.goes_on } else { &words.one_way };
            say(table[vary(table.len())], &[("bar", &name), ("direction", direction)])
        } else if turns.len() <= MOST_TURNS {
            let at: Vec<_> = turns.iter().map(|event| self.spot(bar, event.onset)).collect();
            let slots = [("bar", name.as_str()), ("direction", direction), ("turns", &self.on(&at))];
            say(words.turns[vary(words.turns.len())], &slots)
        } else {
            let n = self.words.number(turns.len());
            say(words.many_turns, &[("bar", &name), ("direction", direction), ("n", &n)])
        };
        said.push(tidy(&sentence(&opening)));
        let told = turns.len() <= MOST_TURNS;
        let clauses = self.clauses(bar, told);
        said.extend(self.sentences(bar, &clauses));
    }

    /// The heads of a bar at which the bellows turn.
    fn turns(&self, bar: usize) -> Vec<&Event> {
        let mut before = None;
        let mut found = Vec::new();
        for head in self.heads(bar) {
            let Some(note) = head.head().and_then(|id| self.plan.note(id)) else { continue };
            if before.is_some_and(|before| before != note.direction) {
                found.push(head);
            }
            before = Some(note.direction);
        }
        found
    }

    /// Whether a bar goes on in the direction of the one before it all through.
    fn goes_on(&self, bar: usize) -> bool {
        self.follows_only(bar) && self.one_direction(bar).is_some_and(|way| Some(way) == self.one_direction(bar - 1))
    }

    /// Whether a bar only ever follows the bar written before it.
    pub(super) fn follows_only(&self, bar: usize) -> bool {
        let Some(before) = bar.checked_sub(1) else { return false };
        let (here, there) = (&self.tune.bars[bar], &self.tune.bars[before]);
        here.ending.is_none()
            && there.ending.is_none()
            && !here.left.repeat_start
            && there.right.repeat_end == 0
            && there.jump.is_none()
            && here.landmarks.is_empty()
            && !matches!(there.right.style, BarlineStyle::Final)
    }

    /// One clause a note, rest or run. `told` says that the turns of the bellows have been told already.
    fn clauses(&self, bar: usize, told: bool) -> Vec<Clause> {
        let events = &self.tune.bars[bar].events;
        let mut mind = Mind::default();
        let mut out = Vec::new();
        let mut at = 0;
        while at < events.len() {
            let run = self.run_length(&events[at..]);
            if run >= LEAST_RUN {
                self.moves(bar, &events[at], &mut mind, &mut out);
                out.push(Clause::Plain(self.run(bar, &events[at..at + run], &mut mind, out.len(), told)));
                at += run;
            } else {
                let again = self.repeats(bar, &events[at..]).max(1);
                self.event(bar, &events[at..at + again], &mut mind, told, &mut out);
                at += again;
            }
        }
        out
    }

    /// How many events from the first on make a run: single notes on one row in one direction, each on another button.
    fn run_length(&self, events: &[Event]) -> usize {
        let mut last: Option<(RowAt, Direction)> = None;
        let mut length = 0;
        for event in events.iter().take(MOST_RUN) {
            let Some(note) = event.head().and_then(|id| self.plan.note(id)) else { break };
            let [press] = &note.presses[..] else { break };
            let here = (press.button.row, note.direction);
            let plain = press.sound == Sound::Press && event.graces.is_empty() && !(note.place_moves && length > 0);
            if !plain || last.is_some_and(|last| last != here) {
                break;
            }
            last = Some(here);
            length += 1;
        }
        length
    }

    /// How many events from the first on press the same button again and again, told in one clause: none but the last is held.
    fn repeats(&self, bar: usize, events: &[Event]) -> usize {
        let again = |n: usize, event: &Event| {
            let note = event.head().and_then(|id| self.plan.note(id));
            let plain = event.graces.is_empty() && (n == 0 || self.held(bar, &events[n - 1]).is_none());
            plain && note.is_some_and(|note| sound_of(note) == Some(Sound::Repeat) && !(note.place_moves && n > 0))
        };
        events.iter().take(MOST_RUN).enumerate().take_while(|(n, event)| again(*n, event)).count()
    }

    fn run(&self, bar: usize, events: &[Event], mind: &mut Mind, nth: usize, told: bool) -> String {
        let notes: Vec<&PlannedNote> =
            events.iter().filter_map(|event| event.head().and_then(|id| self.plan.note(id))).collect();
        let presses: Vec<Press> = notes.iter().flat_map(|note| note.presses.iter().cloned()).collect();
        let pitches: Vec<String> = presses.iter().map(|press| self.words.pitch(press.pitch)).collect();
        let row = presses.first().map(|press| press.button.row);
        // The second wording joins on to what went before.
        let table = &self.words.walk.run;
        let wording = if mind.direction.is_none() { 0 } else { (bar + nth) % table.len() };
        let slots = [
            ("on", self.on(&[self.spot(bar, events[0].onset)])),
            ("pitch", self.words.list(&pitches)),
            ("button", self.buttons(&presses, mind.row != row)),
            ("with", self.with_fingers(&presses)),
        ];
        let slots: Vec<(&str, &str)> = slots.iter().map(|(name, value)| (*name, value.as_str())).collect();
        let mut clause = say(table[wording], &slots);
        if let Some(note) = notes.first() {
            clause = self.turning(clause, note.direction, *mind, told);
            mind.direction = Some(note.direction);
        }
        mind.row = row;
        if let Some(beats) = events.last().and_then(|event| self.held(bar, event)) {
            clause.push_str(&say(self.words.walk.hold_last, &[("n", &beats)]));
        }
        clause
    }

    fn turning(&self, clause: String, direction: Direction, mind: Mind, told: bool) -> String {
        if told || mind.direction.is_none_or(|before| before == direction) {
            return clause;
        }
        say(self.words.walk.turning, &[("turn", self.words.turn_to[way(direction)]), ("clause", &clause)])
    }

    /// The hand's move before a note, as a clause of its own. Where the bar is reached from elsewhere too, the hand may lie
    /// there already.
    fn moves(&self, bar: usize, event: &Event, mind: &mut Mind, out: &mut Vec<Clause>) {
        // Where it moves on a grace and on its note again, the last place is the one to know.
        let all = event.graces.iter().map(|grace| grace.id).chain(event.head());
        let mut moving = all.rev().filter_map(|id| self.plan.note(id)).filter(|note| note.place_moves);
        let Some(note) = moving.next() else { return };
        let first = self.heads(bar).first().and_then(|head| head.head());
        let words = &self.words.walk;
        let lies = first == event.head() && !self.follows_only(bar);
        let slots = [("place", self.place(note.place)), ("button", self.button(note.place.0))];
        let slots = slots.each_ref().map(|(name, value)| (*name, value.as_str()));
        out.push(Clause::Alone(say(if lies { words.lies } else { words.moves }, &slots)));
        // The sentence between has named a row of its own.
        mind.row = None;
    }

    /// One note or rest, or one button pressed again and again.
    fn event(&self, bar: usize, events: &[Event], mind: &mut Mind, told: bool, out: &mut Vec<Clause>) {
        let [event, ..] = events else { return };
        let words = &self.words.walk;
        let spots: Vec<_> = events.iter().map(|event| self.spot(bar, event.onset)).collect();
        let on = self.on(&spots);
        let Some(id) = event.head() else {
            out.push(Clause::Plain(say(words.rest, &[("on", &on)])));
            return;
        };
        self.moves(bar, event, mind, out);
        let Some(note) = self.plan.note(id).filter(|note| !note.presses.is_empty()) else {
            let pitches: Vec<String> = event.notes().iter().map(|note| self.words.pitch(note.pitch)).collect();
            out.push(Clause::Plain(say(words.missing, &[("pitch", &self.words.list(&pitches)), ("on", &on)])));
            return;
        };
        let vary = |n: usize| (bar + out.len()) % n;
        let (tied, pressed): (Presses, Presses) =
            note.presses.iter().cloned().partition(|press| press.sound == Sound::Tie);
        let mut clause = String::new();
        if !pressed.is_empty() {
            let sound = PlannedNote { presses: pressed.clone(), ..note.clone() };
            let sound = sound_of(&sound);
            let row = pressed.first().map(|press| press.button.row);
            let phrase = match sound {
                Some(Sound::Reversal) => words.reversal[vary(words.reversal.len())],
                Some(Sound::Replay) => words.replay[vary(words.replay.len())],
                Some(Sound::Repeat) if mind.direction.is_none() => words.repeat_first,
                Some(Sound::Repeat) => words.repeat[vary(words.repeat.len())],
                _ if pressed.len() > 1 => words.together,
                _ => words.press[vary(words.press.len())],
            };
            let pitches: Vec<String> = pressed.iter().map(|press| self.words.pitch(press.pitch)).collect();
            let slots = [
                ("on", on.clone()),
                ("pitch", self.words.list(&pitches)),
                ("button", self.buttons(&pressed, mind.row != row)),
                ("finger", pressed.first().map_or_else(String::new, |press| self.finger(press.finger).to_owned())),
                ("with", self.with_fingers(&pressed)),
                ("turn", self.words.turn_to[way(note.direction)].to_owned()),
            ];
            let slots: Vec<(&str, &str)> = slots.iter().map(|(name, value)| (*name, value.as_str())).collect();
            clause = say(phrase, &slots);
            // These say the turn themselves.
            let told = told || matches!(sound, Some(Sound::Reversal | Sound::Replay));
            clause = self.turning(clause, note.direction, *mind, told);
            let again = matches!(sound, Some(Sound::Repeat | Sound::Replay));
            if again && self.changes_finger(bar, event, &pressed) {
                clause.push_str(&say(words.finger_now, &[("with", &self.with_fingers(&pressed))]));
            }
            let one_row = pressed.iter().all(|press| Some(press.button.row) == row);
            // A button that is only said to be the same leaves its row as it was told.
            if phrase.contains("{button}") {
                mind.row = row.filter(|_| one_row);
            }
        }
        if !tied.is_empty() {
            let pitches: Vec<String> = tied.iter().map(|press| self.words.pitch(press.pitch)).collect();
            let held = say(words.tie, &[("pitch", &self.words.list(&pitches)), ("on", &on)]);
            clause = if clause.is_empty() { held } else { format!("{clause}; {held}") };
        }
        mind.direction = Some(note.direction);
        let last = events.last().unwrap_or(event);
        if let Some(beats) = self.held(bar, last).filter(|_| !pressed.is_empty()) {
            clause.push_str(&say(if events.len() > 1 { words.hold_last } else { words.hold }, &[("n", &beats)]));
        }
        if let Some(graces) = self.graces(&event.graces) {
            clause = format!("{clause}; {graces}");
        }
        out.push(Clause::Plain(clause));
    }

    /// Whether a button that is pressed again is taken by another finger than at the head before, as written or as played.
    fn changes_finger(&self, bar: usize, event: &Event, pressed: &[Press]) -> bool {
        let here = self.heads(bar).into_iter().rev().filter(|head| head.onset < event.onset);
        let earlier = (0..bar).rev().flat_map(|bar| self.heads(bar).into_iter().rev());
        let written = here.chain(earlier).next().and_then(|head| head.head());
        let played = event.head().and_then(|id| self.plan.elsewhere(id)).unwrap_or_default();
        let before = written.into_iter().chain(played.iter().map(|played| played.note));
        let other = |a: &Press| pressed.iter().any(|b| a.button == b.button && a.finger != b.finger);
        before.filter_map(|id| self.plan.note(id)).any(|before| before.presses.iter().any(other))
    }

    /// In how many whole beats a note is held, from two up, in words.
    fn held(&self, bar: usize, event: &Event) -> Option<String> {
        let unit = super::count::Counting::of(self.tune, bar).unit;
        let beats = event.duration.over(unit);
        (beats.den() == 1 && beats >= Fraction::new(2, 1))
            .then(|| self.words.number(usize::try_from(beats.num()).unwrap_or(0)))
    }

    fn graces(&self, graces: &[Grace]) -> Option<String> {
        let presses: Vec<Press> = graces
            .iter()
            .filter_map(|grace| self.plan.note(grace.id))
            .flat_map(|note| note.presses.iter().cloned())
            .collect();
        if presses.is_empty() {
            return None;
        }
        let pitches: Vec<String> = presses.iter().map(|press| self.words.pitch(press.pitch)).collect();
        let phrase = self.words.walk.grace[usize::from(presses.len() > 1)];
        Some(say(phrase, &[("pitch", &self.words.list(&pitches)), ("button", &self.buttons(&presses, true))]))
    }

    /// Two clauses a sentence, joints taken in turn; clauses that stand alone get a sentence of their own.
    fn sentences(&self, bar: usize, clauses: &[Clause]) -> Vec<String> {
        let joints = &self.words.walk.joints;
        let mut out = Vec::new();
        let mut open: Option<String> = None;
        for clause in clauses {
            match (clause, open.take()) {
                (Clause::Alone(text), before) => {
                    out.extend(before.map(finish));
                    out.push(finish(text.clone()));
                }
                (Clause::Plain(text), None) => open = Some(text.clone()),
                (Clause::Plain(text), Some(before)) => {
                    let joint = joints[(bar + out.len()) % joints.len()];
                    out.push(finish(format!("{before}{joint}{text}")));
                }
            }
        }
        out.extend(open.map(finish));
        out
    }
}

/// A part of a sentence.
#[derive(Debug, Clone)]
enum Clause {
    /// May share a sentence.
    Plain(String),
    /// Stands alone.
    Alone(String),
}

fn finish(text: String) -> String {
    sentence(&text) + "."
}
