//! One whole playing of a tune, simulated from its played order and the rules in words; for tests only.
//!
//! Written a second time on purpose, without the walk and the model: what it shares with them are the prices, the tune's
//! own played order, and what the left hand wants.

use super::hand::{Keyboard, Take};
use super::left::Want;
use super::prices::{Prices, WHOLE};
use super::*;
use crate::instrument::{Direction, Instrument};
use crate::tune::{Event, Fraction, Note, NoteId, Onset, Tune, played};
use std::collections::BTreeMap;

/// A played thing: a note or grace with its place in time.
struct Heard<'a> {
    note: NoteId,
    notes: &'a [Note],
    event: &'a Event,
    bar: usize,
    grace: bool,
}

/// One whole playing of the tune at given choices, its soft cost and its broken rules; written independently of the model.
pub(super) struct Simulation<'a> {
    tune: &'a Tune,
    instrument: &'a Instrument,
    keyboard: &'a Keyboard,
    prices: Prices,
    wants: &'a [Want],
    /// What is heard and, before each, the wants in the rests before it; the last entry closes the tune.
    heard: Vec<(Option<Heard<'a>>, Vec<usize>, bool, bool)>,
}

impl<'a> Simulation<'a> {
    pub(super) fn new(
        tune: &'a Tune,
        instrument: &'a Instrument,
        keyboard: &'a Keyboard,
        prices: Prices,
        wants: &'a [Want],
        plays: &dyn Fn(NoteId) -> bool,
    ) -> Self {
        let mut heard = Vec::new();
        let (mut rests, mut silent, mut parted) = (Vec::new(), false, false);
        let mut last: Option<usize> = None;
        for passage in played(tune) {
            let bar = &tune.bars[passage.bar];
            let after_pick_up = |last: usize| {
                again(tune, last, plays).is_some() || (last + 1 == passage.bar && late(tune, last) > Fraction::ZERO)
            };
            if !last.is_some_and(after_pick_up) {
                parted |= last.is_some_and(|last| last + 1 != passage.bar) || bar.left.repeat_start;
                parted |= passage.bar > 0 && tune.bars[passage.bar - 1].right.repeat_end > 0;
            }
            last = Some(passage.bar);
            for event in &bar.events {
                // The phrase ends before the pick-up that leads back.
                parted |= again(tune, passage.bar, plays) == Some(event.onset);
                match event.head().filter(|id| plays(*id)) {
                    None => {
                        silent = true;
                        let end = event.onset + event.duration;
                        let within = |w: &Want| w.bar == passage.bar && w.onset >= event.onset && w.onset < end;
                        rests.extend((0..wants.len()).filter(|n| within(&wants[*n])));
                    }
                    Some(id) => {
                        let graces = event.graces.iter().filter(|g| plays(g.id)).map(|g| (g.id, &g.notes[..], true));
                        for (note, notes, grace) in graces.chain([(id, event.notes(), false)]) {
                            let one = Heard { note, notes, event, bar: passage.bar, grace };
                            heard.push((Some(one), std::mem::take(&mut rests), silent, parted || silent));
                            (silent, parted) = (false, false);
                        }
                    }
                }
            }
        }
        heard.push((None, rests, silent, true));
        Self { tune, instrument, keyboard, prices, wants, heard }
    }

    fn miss(&self, want: &Want, direction: Direction) -> (i64, bool) {
        let silence = self.prices.of(CostKind::MissingChord) * WHOLE;
        let price = |way: Direction| match (want.buttons[way as usize].is_some(), want.substitute[way as usize]) {
            (false, _) => silence,
            (true, true) => silence / 2,
            (true, false) => 0,
        };
        // Only what the other direction would have done better counts.
        let (here, there) = (price(direction), price(direction.turned()));
        match (here > there, want.author) {
            (false, _) => (0, false),
            (true, true) => (0, true),
            (true, false) => (here - there, false),
        }
    }

    /// The cheapest way through wants in rests, all ways tried.
    fn rests(&self, wants: &[usize], before: Option<Direction>, after: Option<Direction>) -> (i64, i64) {
        let turn = self.prices.of(CostKind::Turn);
        let mut best: Option<(i64, i64)> = None;
        for ways in 0..1u32 << wants.len() {
            let (mut cost, mut turns, mut rules, mut now) = (0, 0, 0, before);
            for (n, want) in wants.iter().enumerate() {
                let way = if ways >> n & 1 == 0 { Direction::Push } else { Direction::Pull };
                turns += i64::from(now.is_some_and(|now| now != way));
                let (missed, broken) = self.miss(&self.wants[*want], way);
                cost += missed;
                rules += i64::from(broken);
                now = Some(way);
            }
            turns += i64::from(now.zip(after).is_some_and(|(now, after)| now != after));
            turns -= i64::from(before.zip(after).is_some_and(|(a, b)| a != b));
            let this = (rules, cost + turns * turn);
            if best.is_none_or(|best| this < best) {
                best = Some(this);
            }
        }
        best.expect("at least one way")
    }

    fn seconds(&self, event: &Event) -> Fraction {
        // The tests' tunes run at 100 crotchets a minute.
        event.duration.0 * Fraction::new(4 * 60, 100)
    }

    /// Soft cost and broken rules (each counted once a pair of notes and path between, as written).
    pub(super) fn cost(&self, take: &dyn Fn(NoteId) -> Take) -> (i64, i64) {
        let price = |kind| self.prices.of(kind);
        let (mut cost, mut rules) = (0, BTreeMap::new());
        let mut before: Option<(&Heard, Take, Fraction)> = None;
        for (heard, wants, silent, parted) in &self.heard {
            let way = heard.as_ref().map(|heard| take(heard.note).direction);
            let (broken, lost) = self.rests(wants, before.as_ref().map(|(_, t, _)| t.direction), way);
            cost += lost;
            let link = (
                before.as_ref().map(|(h, ..)| h.note),
                heard.as_ref().map(|h| h.note),
                wants.clone(),
                *silent,
                *parted,
            );
            let mut here = broken;
            let Some(heard) = heard else {
                rules.insert((link, 0), here);
                break;
            };
            let this = take(heard.note);
            // The note by itself.
            let reached: i64 = this
                .presses()
                .iter()
                .map(|press| {
                    let spot = self.along(this.place) + f64::from(press.finger) - 1.0;
                    let off = self.along(press.button) - spot;
                    let (id, place) = (self.keyboard.button(press.button), self.keyboard.button(this.place));
                    // On the other row each finger's own button is the one half a button towards the chin.
                    let own = if id.row == place.row { 0.0 } else { -0.5 };
                    if off != own { 25 } else { i64::from(id.row != place.row) }
                })
                .sum();
            cost += price(CostKind::Stretch) * WHOLE * reached / 24;
            for press in this.presses() {
                let id = self.keyboard.button(press.button);
                let start = self.instrument.row(id.row).expect("its row").start;
                cost += price(CostKind::ChinButton) * WHOLE * i64::from((start - 1).saturating_sub(id.number));
            }
            let mut seconds = if heard.grace { Fraction::ZERO } else { self.seconds(heard.event) };
            if !heard.grace && heard.notes.iter().all(|n| n.tied_from_previous) {
                // Sounding time runs on from what is written before.
                seconds = seconds + self.written_before(heard.note);
            }
            if seconds >= Fraction::new(3, 4) && this.presses().iter().any(|press| press.finger == 4) {
                cost += price(CostKind::LittleFinger) * WHOLE;
            }
            if !heard.grace {
                let end = heard.event.onset + heard.event.duration;
                for want in
                    self.wants.iter().filter(|w| w.bar == heard.bar && w.onset >= heard.event.onset && w.onset < end)
                {
                    let (missed, broken) = self.miss(want, this.direction);
                    cost += missed;
                    if broken {
                        rules.insert(((None, Some(heard.note), vec![], false, false), want.onset.0.num()), 1);
                    }
                }
            }
            let stretches = |press: &super::hand::Finger| {
                let spot = self.along(this.place) + f64::from(press.finger) - 1.0;
                (self.along(press.button) - spot).abs() > 0.5
            };
            // Nobody moves the hand, or lays it down, where a finger has to stretch.
            let stretched = this.presses().iter().any(stretches);
            if stretched && before.as_ref().is_none_or(|(_, from, _)| from.place != this.place) {
                cost += price(CostKind::Stretch) * WHOLE * 4;
            }
            if let Some((earlier, from, long)) = &before {
                let (soft, hard) = self.step(earlier, from, *long, heard, &this, *silent, *parted);
                cost += soft;
                here += hard;
            }
            rules.insert((link, 0), here);
            before = Some((heard, this, seconds));
        }
        (cost, rules.values().sum())
    }

    fn along(&self, key: u16) -> f64 {
        self.instrument.along(self.keyboard.button(key))
    }

    /// Seconds of the item written just before, ties counted in.
    fn written_before(&self, note: NoteId) -> Fraction {
        let all: Vec<_> = self.tune.bars.iter().flat_map(|bar| &bar.events).collect();
        let mut sum = Fraction::ZERO;
        let mut at = all.iter().position(|event| event.head() == Some(note)).expect("a head");
        // Only the head directly before counts on; graces between start anew.
        while all[at].graces.iter().all(|grace| !self.plays(grace.id)) {
            let Some(earlier) = (0..at).rev().find(|n| all[*n].head().is_some_and(|id| self.plays(id))) else { break };
            sum = sum + self.seconds(all[earlier]);
            at = earlier;
            if !all[at].notes().iter().all(|n| n.tied_from_previous) {
                break;
            }
        }
        sum
    }
    fn plays(&self, id: NoteId) -> bool {
        self.heard.iter().any(|(heard, ..)| heard.as_ref().is_some_and(|heard| heard.note == id))
    }

    #[expect(clippy::too_many_arguments, reason = "both sides of a step and what lies between")]
    fn step(
        &self,
        earlier: &Heard,
        a: &Take,
        seconds: Fraction,
        later: &Heard,
        b: &Take,
        silent: bool,
        parted: bool,
    ) -> (i64, i64) {
        let price = |kind| self.prices.of(kind);
        let (mut cost, mut rules) = (0, 0);
        let long = seconds >= Fraction::new(3, 4);
        let onset = Onset(later.event.onset.0 + late(self.tune, later.bar));
        let on_beat = onset.0.remainder(Fraction::new(1, 4)).is_zero();
        let shared = a.rows & b.rows != 0;
        if a.direction != b.direction {
            let stress = if onset == Onset::ZERO {
                3
            } else if on_beat {
                4
            } else {
                5
            };
            cost += price(CostKind::Turn) * if parted { 1 } else { stress };
            let run = earlier.grace || seconds < Fraction::new(1, 4);
            if !on_beat && !parted && run {
                cost += price(CostKind::WeakTurn) * WHOLE;
            }
            let could = later
                .notes
                .iter()
                .all(|note| self.instrument.ways(note.pitch.midi()).iter().any(|(way, _)| *way == a.direction));
            if shared && could {
                cost += price(CostKind::RowStay) * if parted { 2 } else { 4 };
            }
            rules += i64::from(earlier.grace);
        }
        if !shared {
            cost += price(CostKind::RowChange) * if parted { 2 } else { 4 };
        }
        let apart = ((self.along(a.place) - self.along(b.place)).abs() * 2.0).ceil().min(12.0) as i64;
        // A hand that stays in its place must span what it plays there.
        let (mut wide, mut far) = (false, false);
        for (early, late) in a.presses().iter().flat_map(|early| b.presses().iter().map(move |late| (early, late))) {
            let fingers = f64::from(late.finger) - f64::from(early.finger);
            let buttons = self.along(late.button) - self.along(early.button);
            far |= apart == 0 && fingers * buttons > 0.0 && buttons.abs() > fingers.abs() + 1.0;
            wide |= apart == 0 && buttons.abs() > 4.0;
        }
        let farthest = if apart == 0 && wide { 12 } else { apart };
        let quick = seconds < Fraction::new(3, 8);
        if farthest > 0 {
            let quarters = match (earlier.grace, parted, long) {
                (true, ..) => 16,
                (_, true, _) => 1,
                (_, _, true) => 2,
                _ if !on_beat && quick => 6,
                _ if quick => 5,
                _ => 4,
            };
            // Half a button five eighths; else by the distance, in full where it is quick, half where there is no long note or rest.
            let eighths = match (farthest, parted || long) {
                (1, _) => 5,
                (halves, true) => 6 + halves,
                (halves, _) if quick => 4 * halves,
                (halves, _) => 4 + 2 * halves,
            };
            cost += price(CostKind::PlaceShift) * quarters * eighths / 8;
        }
        if far && !wide {
            // Two fingers far apart: the quicker they follow each other, the worse.
            cost += price(CostKind::Stretch)
                * match (earlier.grace, parted || long) {
                    (true, _) => 16,
                    (_, true) => 0,
                    _ if seconds < Fraction::new(3, 8) => 24,
                    _ => 12,
                };
        }
        let quarters = match (silent, parted, long) {
            _ if earlier.grace => 16,
            (true, ..) | (_, true, true) => 0,
            (_, true, false) => 1,
            (_, false, true) => 2,
            _ if quick => 12,
            _ => 4,
        };
        for late in b.presses() {
            for early in a.presses() {
                if early.finger == late.finger && early.button != late.button {
                    cost += price(CostKind::SameFinger) * quarters;
                }
                if early.finger != late.finger && early.button == late.button && !silent {
                    cost += price(CostKind::FingerSwap) * WHOLE;
                }
            }
        }
        // Nobody leaves a button to take the same pitch, in the same direction, on another one.
        let pitches = |heard: &Heard| heard.notes.iter().map(|note| note.pitch.midi()).collect::<Vec<i32>>();
        let again = earlier.notes.len() == 1 && pitches(earlier) == pitches(later) && !silent;
        if again && a.direction == b.direction && a.presses()[0].button != b.presses()[0].button {
            cost += price(CostKind::FingerSwap) * WHOLE;
        }
        // A tie holds its button, its finger and its direction.
        let mut ties = 0;
        if !earlier.grace && !later.grace {
            for (n, early) in earlier.notes.iter().enumerate().filter(|(_, note)| note.tied_to_next) {
                for (m, late) in later.notes.iter().enumerate() {
                    if late.pitch.midi() == early.pitch.midi() && late.tied_from_previous {
                        ties += 1;
                        rules += i64::from(a.presses()[n] != b.presses()[m]);
                    }
                }
            }
        }
        if ties > 0 && a.direction != b.direction && !earlier.grace {
            rules += 1;
        }
        (cost, rules)
    }
}

/// How much a pick-up, the first bar with the number 0, lacks of a full bar.
fn late(tune: &Tune, bar: usize) -> Fraction {
    let full = tune.meter.bar_length().expect("the tests' metres have lengths");
    if bar == 0 && tune.bars[0].label.number == 0 { full.0 - tune.bars[0].length.0 } else { Fraction::ZERO }
}

/// Where in the last bar of a repeat its pick-up begins again: the repeat begins after the pick-up, the bar is full, and a
/// note begins as long before its end as the pick-up lasts.
fn again(tune: &Tune, bar: usize, plays: &dyn Fn(NoteId) -> bool) -> Option<Onset> {
    let full = tune.meter.bar_length().expect("the tests' metres have lengths");
    let begins = (0..=bar).rev().find(|n| tune.bars[*n].left.repeat_start)?;
    let repeated = tune.bars[bar].right.repeat_end > 0 && begins == 1 && late(tune, 0) > Fraction::ZERO;
    let at = Onset(late(tune, 0));
    let starts = |event: &Event| event.onset == at && event.head().is_some_and(plays);
    (repeated && tune.bars[bar].length == full && tune.bars[bar].events.iter().any(starts)).then_some(at)
}
