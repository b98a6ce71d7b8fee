//! The plan against trying everything: random small tunes, each written plan's passes simulated one after the other.
//!
//! The costs of every written plan are those of `simulation`, which knows neither the walk nor the model.

use super::bellows::Bellows;
use super::hand::{Keyboard, Take};
use super::left;
use super::model::Model;
use super::parts::Parts;
use super::prices::{HARD, Prices};
use super::returning::Returning;
use super::simulation::Simulation;
use super::testing::{dg, gc, tune};
use super::walk::Item;
use super::*;
use crate::diag::Sink;
use crate::instrument::{Direction, Instrument, RowAt};
use crate::tune::{BarLabel, Meter, NoteId, Tune, played};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Repeatable numbers (xorshift).
pub(super) struct Dice(pub u64);
impl Dice {
    pub(super) fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0 % n
    }
    pub(super) fn one_in(&mut self, n: u64) -> bool {
        self.below(n) == 0
    }
    pub(super) fn of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len() as u64) as usize]
    }
}

/// A random tune of few notes: perhaps a pick-up before a repeat, bars of 2/4 with repeats, endings, rests, chords, graces, ties and chord symbols.
pub(super) fn line(dice: &mut Dice) -> String {
    const PITCHES: [&str; 13] = ["D4", "E4", "F#4", "G4", "A4", "B4", "C5", "C#5", "D5", "E5", "F#5", "G5", "A5"];
    const DYADS: [&str; 5] = ["[G4,B4]", "[D4,F#4]", "[A4,C5]", "[F#4,A4]", "[B4,D5]"];
    let mut text = String::new();
    let (mut tied, mut notes, mut before) = (None, 0, String::new());
    let (bars, repeated) = (1 + dice.below(3), dice.one_in(2));
    let endings = repeated && bars == 3 && dice.one_in(2);
    if repeated && dice.one_in(3) {
        text += &format!("{}*{} ", dice.of(&PITCHES), 1 + dice.below(2));
    }
    for bar in 0..bars {
        text += if bar == 0 && repeated { "|: " } else { "| " };
        if endings && bar > 0 {
            text += if bar == 1 { "1. " } else { "2. " };
        }
        let start = text.len();
        // Some bars come again.
        let again = tied.is_none() && !before.contains('-') && notes < 8 && dice.one_in(3);
        let mut left = if again && !before.is_empty() { 0 } else { 4 };
        if left == 0 {
            text += &before;
            notes += 3;
        }
        while left > 0 {
            let length = (1 + dice.below(3)).min(left);
            left -= length;
            if dice.one_in(3) {
                text += &format!("\"{}\" ", dice.of(&["D", "G", "C", "A", "Em", "Am", "F#m"]));
            }
            let pitch = tied.take().unwrap_or_else(|| *dice.of(&PITCHES));
            if dice.one_in(6) || notes > 8 {
                text += &format!("z*{length} ");
            } else if dice.one_in(7) {
                text += &format!("{}*{length} ", dice.of(&DYADS));
            } else {
                if dice.one_in(8) {
                    text += &format!("{{{}}} ", dice.of(&PITCHES));
                }
                text += pitch;
                if dice.one_in(7) {
                    (text, tied) = (text + "-", Some(pitch));
                }
                text += &format!("*{length} ");
            }
            notes += 1;
        }
        before = text[start..].to_owned();
        if (endings && bar == 1) || (repeated && !endings && bar + 1 == bars) {
            text += ":| ";
        }
    }
    text
}

/// The ways of one head found by trying every button, finger and place; two notes that cannot be held so may be held by
/// fingers that lean to either side.
fn every_way(instrument: &Instrument, midis: &[i32]) -> usize {
    match ways_of(instrument, midis, false) {
        0 if midis.len() > 1 => ways_of(instrument, midis, true),
        ways => ways,
    }
}

fn ways_of(instrument: &Instrument, midis: &[i32], leaning: bool) -> usize {
    let all: Vec<_> = instrument.buttons().collect();
    let mut found = 0;
    for direction in Direction::BOTH {
        for (place, _) in &all {
            let reach = |id, finger: u8, midi: i32| {
                let button = instrument.button(id).expect("a button");
                let off = instrument.along(id) - instrument.along(*place) - f64::from(finger) + 1.0;
                // Each finger has one button in each row: on the other row the one half a button towards the chin.
                let own = if id.row == place.row { 0.0 } else { -0.5 };
                let stretch = (finger == 1 && off == own - 1.0 && off >= -1.0) || (finger == 4 && off == own + 1.0);
                let leans = off.abs() <= 0.5
                    || (finger == 1 && (-1.0..0.0).contains(&off))
                    || (finger == 4 && off > 0.0 && off <= 1.0);
                let reached = if leaning { leans } else { off == own || stretch };
                button.pitch(direction).midi() == midi && reached
            };
            let ways = |midi| {
                let fingers = (1..=4u8).flat_map(|finger| all.iter().map(move |(id, _)| (*id, finger)));
                fingers.filter(move |(id, finger)| reach(*id, *finger, midi)).collect::<Vec<_>>()
            };
            found += match midis {
                [one] => ways(*one).len(),
                [low, high] => ways(*low)
                    .iter()
                    .map(|(a, f)| {
                        let fits = |(b, g): &&(crate::instrument::ButtonId, u8)| {
                            let apart = instrument.along(*b) - instrument.along(*a);
                            let crossed = apart * (f64::from(*g) - f64::from(*f)) < 0.0 && apart.abs() > 0.5;
                            a != b && f != g && apart.abs() <= 4.0 && !crossed
                        };
                        ways(*high).iter().filter(fits).count()
                    })
                    .sum(),
                _ => 0,
            };
        }
    }
    found
}

#[test]
fn the_ways_to_take_a_head_are_all_there() {
    let instrument = dg();
    let keyboard = Keyboard::new(&instrument);
    for midi in 50..98 {
        assert_eq!(keyboard.takes(&[midi]).len(), every_way(&instrument, &[midi]), "{midi}");
        for other in midi + 1..midi + 17 {
            assert_eq!(keyboard.takes(&[midi, other]).len(), every_way(&instrument, &[midi, other]), "{midi} {other}");
        }
    }
}

/// Random pins that leave few ways, so that everything can be tried.
fn pins(dice: &mut Dice, tune: &Tune, place: crate::diag::Place) -> Vec<Pin> {
    let ids = 0..tune.note_count() as u32;
    ids.flat_map(|id| {
        let mut wish = PinWish::default();
        match dice.below(6) {
            0 => wish.direction = Some(*dice.of(&Direction::BOTH)),
            1 => wish.row = Some(*dice.of(&[RowAt::Outer, RowAt::Inner])),
            2 => wish.finger = Some(1 + dice.below(4) as u8),
            3 => wish.button = Some(2 + dice.below(6) as u8),
            4 => {
                let row = *dice.of(&[RowAt::Outer, RowAt::Inner]);
                wish.place = Some(crate::instrument::ButtonId { row, number: 2 + dice.below(4) as u8 });
            }
            _ => return None,
        }
        let target = PinTarget { span: NoteSpan::Note(NoteId(id)), tone: None };
        Some(Pin { target, wish, place, written: Written::Pins })
    })
    .collect()
}

/// The pins with those of a bar that comes again replaced by those of where it came first.
fn alike(tune: &Tune, pins: Vec<Pin>) -> Vec<Pin> {
    let notes = |bar: &crate::tune::Bar| -> Vec<(NoteId, Vec<i32>)> {
        let midis = |notes: &[crate::tune::Note]| notes.iter().map(|note| note.pitch.midi()).collect::<Vec<i32>>();
        let heads = |event: &crate::tune::Event| event.head().map(|id| (id, midis(event.notes())));
        let graces = |event: &crate::tune::Event| {
            event.graces.iter().map(|grace| (grace.id, midis(&grace.notes))).collect::<Vec<_>>()
        };
        bar.events.iter().flat_map(|event| graces(event).into_iter().chain(heads(event))).collect()
    };
    let all: Vec<Vec<(NoteId, Vec<i32>)>> = tune.bars.iter().map(notes).collect();
    let mut first: BTreeMap<NoteId, NoteId> = BTreeMap::new();
    for later in 1..all.len() {
        let same =
            |earlier: &&Vec<(NoteId, Vec<i32>)>| earlier.iter().map(|n| &n.1).eq(all[later].iter().map(|n| &n.1));
        if let Some(earlier) = all[..later].iter().find(same) {
            first.extend(all[later].iter().zip(earlier).map(|(b, a)| (b.0, a.0)));
        }
    }
    let of = |pin: &Pin| match pin.target.span {
        NoteSpan::Note(id) => id,
        NoteSpan::Bars(..) => unreachable!("the dice pin notes"),
    };
    let copies = first.iter().flat_map(|(later, earlier)| {
        let its = pins.iter().filter(|pin| of(pin) == *earlier);
        its.map(|pin| Pin { target: PinTarget { span: NoteSpan::Note(*later), tone: None }, ..pin.clone() })
    });
    let kept = pins.iter().filter(|pin| !first.contains_key(&of(pin))).cloned();
    kept.chain(copies).collect()
}

#[test]
fn the_plan_is_the_first_of_the_cheapest() {
    let mut dice = Dice(20_260_901);
    let mut sources = crate::diag::Sources::default();
    let place = crate::diag::Place::new(sources.add("pins", ""), 1, 1);
    let boxes = [dg(), gc()];
    let (mut tried, mut repeated, mut longest, mut aired, mut led, mut again, mut spared) = (0, 0, 0, 0, 0, 0, 0);
    'cases: while tried < 2500 {
        let mut line = line(&mut dice);
        if dice.one_in(6) {
            // On the D/G box the grace is on the pull alone, its note in both directions, its chord on the push alone.
            line = format!("\"G\" {{C5}} B4*2 G4*2 | {line}");
        }
        let mut tune = tune(Meter::simple(2, 4), &line);
        if tune.meter.bar_length().is_some_and(|full| tune.bars[0].length < full) {
            tune.bars.iter_mut().zip(0..).for_each(|(bar, number)| bar.label = BarLabel::new(number));
            led += 1;
        }
        let mut instrument = dice.of(&boxes).clone();
        // Some boxes are so small that air or other turns are needed.
        let tight = dice.one_in(3);
        if tight {
            instrument.bellows.seconds = (1 + dice.below(8)) as f64 / 10.0;
        }
        let instrument = &instrument;
        let keyboard = Keyboard::new(instrument);
        let style = *dice.of(&[Style::Along, Style::Smooth, Style::Easy]);
        let changed = if dice.one_in(2) {
            let kinds = [
                CostKind::Unlike,
                CostKind::Turn,
                CostKind::PlaceShift,
                CostKind::RowChange,
                CostKind::MissingChord,
                CostKind::Drift,
            ];
            vec![Weight { kind: *dice.of(&kinds), price: dice.below(30) as u32 }]
        } else {
            vec![]
        };
        let weights = Weights { style, changed };
        let mut request = Request { weights, pins: pins(&mut dice, &tune, place), ..Request::default() };
        // Every note gets its ways cut down by pins; where too many are left, places are pinned too.
        let mut ways: BTreeMap<NoteId, Rc<[Take]>> = BTreeMap::new();
        for event in tune.bars.iter().flat_map(|bar| &bar.events) {
            let head = event.head().map(|id| (id, event.notes()));
            for (id, notes) in event.graces.iter().map(|g| (g.id, &g.notes[..])).chain(head) {
                let midis: Vec<i32> = notes.iter().map(|note| note.pitch.midi()).collect();
                let takes = keyboard.takes(&midis);
                if !takes.is_empty() {
                    ways.insert(id, takes.into());
                }
            }
        }
        let mut sink = Sink::default();
        let items: Vec<_> = super::walk::walk(&tune, |id| ways.contains_key(&id)).items;
        let place_pins: Vec<Pin> = items
            .iter()
            .map(|item| {
                let take = dice.of(&ways[&item.note]);
                let wish = PinWish { place: Some(keyboard.button(take.place)), ..PinWish::default() };
                Pin {
                    target: PinTarget { span: NoteSpan::Note(item.note), tone: None },
                    wish,
                    place,
                    written: Written::Pins,
                }
            })
            .collect();
        let free = dice.below(3);
        for (pin, item) in place_pins.into_iter().zip(&items) {
            // A pin on a grace says that it is to be played: most are left without.
            if item.grace_of.is_some() && !dice.one_in(3) {
                request.pins.retain(|pin| pin.target.span != NoteSpan::Note(item.note));
                continue;
            }
            if !dice.one_in(4 + free) {
                request.pins.push(pin);
            }
        }
        // In half of the tunes bars that come again are left the same ways.
        if dice.one_in(2) {
            request.pins = alike(&tune, request.pins);
        }
        // Graces that a chord had to give way for, as they could be taken, with the notes they lean on; and those that came back.
        let mut dear: BTreeMap<NoteId, (Rc<[Take]>, NoteId)> = BTreeMap::new();
        let mut kept: Vec<NoteId> = Vec::new();
        let (items, left_over, all, (rules, drained, cost), states) = loop {
            let items: Vec<Item> = super::walk::walk(&tune, |id| ways.contains_key(&id)).items;
            let mut left_over: Vec<Rc<[Take]>> = items.iter().map(|item| ways[&item.note].clone()).collect();
            super::pins::apply(&tune, &keyboard, &items, &request.pins, &mut left_over, &mut sink);
            let count = left_over.iter().try_fold(1usize, |all, takes| all.checked_mul(takes.len()));
            if items.is_empty() || count.is_none_or(|count| count > 600) {
                continue 'cases;
            }
            let wants = left::wants(&tune, instrument, &request.left, &mut Sink::default());
            let prices = Prices::new(&request.weights);
            let heard: Vec<NoteId> = items.iter().map(|item| item.note).collect();
            let sim = Simulation::new(&tune, instrument, &keyboard, prices, &wants, &|id| heard.contains(&id));
            let walk = super::walk::walk(&tune, |id| ways.contains_key(&id));
            let (held, sounds) = (vec![], BTreeMap::new());
            let parts = Parts {
                tune: &tune,
                walk: &walk,
                keyboard: &keyboard,
                wants: &wants,
                prices,
                held: &held,
                sounds: &sounds,
            };
            let model = Model::new(&parts, left_over.clone());
            let bellows =
                Bellows::new(&parts, &instrument.left, instrument.bellows.seconds, BTreeMap::new()).expect("seconds");
            let mut breaths: BTreeMap<Vec<Direction>, (bool, i64)> = BTreeMap::new();
            let mut breath = |at: &[usize]| {
                let directions: Vec<Direction> = (0..at.len()).map(|n| left_over[n][at[n]].direction).collect();
                *breaths.entry(directions).or_insert_with_key(|directions| {
                    let presses = left::presses(&parts, &model, &instrument.left, directions, &mut Sink::default());
                    let fit = bellows.fit(directions, &presses);
                    let air = fit.taken * prices.of(CostKind::AirPoint) + fit.drift * prices.of(CostKind::Drift);
                    (fit.runs_out.is_some(), air * 4 + fit.ends * prices.of(CostKind::BellowsEnd))
                })
            };
            let index: BTreeMap<NoteId, usize> = heard.iter().enumerate().map(|(n, id)| (*id, n)).collect();
            let mut at = vec![0usize; items.len()];
            let mut all: Vec<((i64, bool, i64), Vec<usize>)> = Vec::new();
            let mut plain: Vec<i64> = Vec::new();
            loop {
                let take = |id: NoteId| {
                    let n = index[&id];
                    left_over[n][at[n]]
                };
                let (cost, rules) = sim.cost(&take);
                let (drained, air) = breath(&at);
                all.push(((rules, drained, cost + air), at.clone()));
                plain.push(cost + rules * HARD);
                let Some(k) = (0..at.len()).rev().find(|k| at[*k] + 1 < left_over[*k].len()) else { break };
                at[k] += 1;
                at[k + 1..].fill(0);
            }
            // Bellows left out, the first of equals, in the order they were tried, says how what comes again is to be taken.
            let cheapest = (0..all.len()).min_by_key(|n| plain[*n]).expect("something was tried");
            let cost = |states: &[usize]| {
                let (cost, rules) = sim.cost(&|id| left_over[index[&id]][states[index[&id]]]);
                cost + rules * HARD
            };
            let price = prices.of(CostKind::Unlike) * 4;
            let by = |states: &[usize]| Returning::new((&tune, &wants), &items, &left_over, states, price, &cost);
            let least = |returning: &Returning| {
                (0..all.len()).map(|n| plain[n] + returning.left(&left_over, &all[n].1) * price).min()
            };
            let mut returning = by(&all[cheapest].1);
            if price > 0 && returning.left(&left_over, &all[cheapest].1) > 0 {
                again += 1;
                // Or the first of the cheapest that take the same music alike says it, if the whole is cheaper then.
                let alike = Returning::alike((&tune, &wants), &items, &left_over);
                let together = (0..all.len()).filter(|n| alike(&all[*n].1)).min_by_key(|n| plain[*n]);
                let other = by(&all[together.expect("the same ways are left to them")].1);
                if least(&other) < least(&returning) {
                    returning = other;
                }
            }
            for ((_, _, cost), states) in &mut all {
                *cost += returning.left(&left_over, states) * price;
            }
            let (best, states) = all.iter().min_by_key(|(cost, _)| *cost).expect("something was tried").clone();
            // A grace that goes against its note is not played, and all is planned as if it had not been written.
            let goes = |id: NoteId| left_over[index[&id]][states[index[&id]]].direction;
            let against = |item: &&Item| item.grace_of.is_some_and(|head| goes(items[head].note) != goes(item.note));
            let graces: Vec<NoteId> = items.iter().filter(against).map(|item| item.note).collect();
            if !graces.is_empty() {
                ways.retain(|id, _| !graces.contains(id));
                continue;
            }
            // Nor is one for which a chord gives way under its note, unless that note goes the grace's way without it too.
            let along = |(_, (takes, head)): &(&NoteId, &(Rc<[Take]>, NoteId))| {
                takes.iter().any(|take| take.direction == goes(*head))
            };
            let back: Vec<NoteId> = dear.iter().filter(along).map(|(id, _)| *id).collect();
            if !back.is_empty() {
                for id in back {
                    ways.insert(id, dear.remove(&id).expect("it was left out").0);
                    kept.push(id);
                }
                continue;
            }
            let lacks = |item: &Item| {
                let under = wants.iter().filter(|want| {
                    want.bar == item.bar && want.onset >= item.onset && want.onset < item.onset + item.length
                });
                let way = goes(item.note);
                let mut worse = under.filter(|want| want.loss(way) > want.loss(way.turned()));
                worse.any(|want| want.author || prices.of(CostKind::MissingChord) > 0)
            };
            let one_way = |id: NoteId| left_over[index[&id]].iter().all(|take| take.direction == goes(id));
            let pinned = |id: NoteId| request.pins.iter().any(|pin| pin.target.span == NoteSpan::Note(id));
            let given_up: Vec<(NoteId, NoteId)> = items
                .iter()
                .filter_map(|item| Some((item.note, &items[item.grace_of?])))
                .filter(|(id, head)| one_way(*id) && !one_way(head.note) && lacks(head))
                .filter(|(id, _)| !kept.contains(id) && !pinned(*id))
                .map(|(id, head)| (id, head.note))
                .collect();
            if given_up.is_empty() {
                spared += dear.len();
                break (items, left_over, all, best, states);
            }
            for (id, head) in given_up {
                dear.insert(id, (ways.remove(&id).expect("it was played"), head));
            }
        };
        request.runners_up = true;
        let plan = plan(&tune, instrument, &request, &mut Sink::default());
        let context = format!("{line} {:?}", request.weights);
        assert_eq!(plan.cost.total, cost, "case {tried} rules {rules} {context}");
        assert_eq!(plan.bellows.runs_out.is_some(), drained, "case {tried} {context}");
        assert!(drained || (plan.bellows.curve.least_open >= 0.0 && plan.bellows.curve.most_open <= 1.0));
        aired += usize::from(!plan.bellows.air.is_empty());
        if tight {
            // Which of equally cheap plans breathes first is not laid down.
            tried += 1;
            continue;
        }
        for (n, item) in items.iter().enumerate() {
            let take = left_over[n][states[n]];
            let planned = plan.note(item.note).expect("what goes with its note is planned");
            let presses: Vec<_> = planned.presses.iter().map(|p| (p.button, p.finger)).collect();
            let wanted: Vec<_> = take.presses().iter().map(|p| (keyboard.button(p.button), p.finger)).collect();
            assert_eq!((planned.direction, presses), (take.direction, wanted), "case {tried}");
            // A place is spoken of by the button under the index finger in either row, in the other one half a button towards
            // the chin; under a stretched index finger that has only just come by the button that it plays.
            let (place, said) = (keyboard.button(take.place), planned.place.0);
            let beside = instrument.along(said) == instrument.along(place) - 0.5 && said.row != place.row;
            let index = planned.presses.iter().any(|press| press.finger == 1 && press.button == said);
            assert!(said == place || beside || index, "case {tried}: {said} for {place} in {context}");
        }
        let otherwise =
            |at: &[usize]| (0..at.len()).any(|n| !left_over[n][at[n]].sounds_like(&left_over[n][states[n]]));
        let next = all.iter().filter(|(cost, at)| cost.0 == rules && otherwise(at)).map(|(cost, _)| cost.2).min();
        assert_eq!(plan.runners_up.first().map(|other| other.cost), next, "case {tried}: the next best of {context}");
        tried += 1;
        repeated += usize::from(played(&tune).len() > tune.bars.len());
        longest = longest.max(items.len());
        assert!(cost < HARD);
    }
    // The dice must have reached what the test is for.
    let reached = repeated > 250 && longest >= 8 && aired > 50 && led > 100;
    assert!(reached, "{repeated} repeated, longest {longest}, {aired} with air, {led} with a pick-up");
    assert!(spared > 3, "{spared} graces left out for the sake of a chord");
    assert!(again > 100, "{again} where something comes again");
}
