//! The stage: a tune on a box into a plan, phase by phase.
//!
//! Takes the tune, the box and the author's request, gives the plan; complains of notes the box has not, of pins that cannot
//! hold and of chords that cannot sound. Each phase is a file of its own.

use super::alike;
use super::breath::Search;
use super::forced;
use super::graces::Graces;
use super::hand::{FINGERS, Keyboard, Take, Ways};
use super::left;
use super::model::Model;
use super::moved;
use super::names;
use super::parts::Parts;
use super::pins;
use super::plan::{Plan, Unplayable};
use super::prices::{MOVED, Prices};
use super::range;
use super::request::{Home, Request, Settled};
use super::runners::runners_up;
use super::sounds;
use super::walk::{Item, Walk, assumed_tempo, walk};
use crate::diag::{Code, Place, Sink};
use crate::instrument::{Direction, Instrument};
use crate::tune::{Event, Note, NoteId, Pitch, Tune};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Pairs of ways looked at for a whole tune; beyond it heads with very many ways are looked at in fewer. A tune of single
/// notes never comes near.
const MOST_PAIRS: usize = 10_000_000;
/// Notes named at most for one pitch.
const MOST_NAMED: usize = 12;

/// Plans a tune on a box. Notes that cannot be planned (errors were given) have no decision.
/// A settled plan that is what would be planned anyway is planned anew, so that settling changes neither what a plan costs nor what
/// comes next to it.
pub fn plan(tune: &Tune, instrument: &Instrument, request: &Request, sink: &mut Sink) -> Plan {
    if let Some(settled) = &request.settled {
        let mut heard = Sink::default();
        let anew = planned(tune, instrument, &Request { settled: None, ..request.clone() }, &mut heard);
        if moved::stands(settled, &anew) {
            sink.absorb(heard);
            return anew;
        }
    }
    planned(tune, instrument, request, sink)
}

fn planned(tune: &Tune, instrument: &Instrument, request: &Request, sink: &mut Sink) -> Plan {
    let keyboard = Keyboard::new(instrument);
    let (ways, unplayable) = ways((tune, instrument, request), &keyboard, sink);
    let mut graces = Graces::default();
    loop {
        let mut heard = Sink::default();
        match plan_with((tune, instrument, request), &keyboard, &ways, &graces, &mut heard) {
            Ok((mut plan, walk)) => {
                // Whether bellows last hangs on the tempo.
                if let Some(assumed) = assumed_tempo(tune) {
                    let by_tempo =
                        |code: Code| ["air-needed", "bellows-close", "bellows-run-out"].contains(&code.name());
                    heard.advise(|item| by_tempo(item.code).then(|| assumed.clone()));
                }
                sink.absorb(heard);
                plan.unplayable = unplayable;
                let jumps = forced::jumps(&walk, &plan);
                if let Some(free) = forced::freed(request).filter(|_| !jumps.is_empty()) {
                    let unheard = &mut Sink::default();
                    let free = plan_with((tune, instrument, &free), &keyboard, &ways, &graces, unheard);
                    let free = free.map_or_else(|_| jumps.clone(), |(plan, walk)| forced::jumps(&walk, &plan));
                    forced::complain(tune, &walk, request, &jumps, &free, sink);
                }
                return plan;
            }
            Err(fewer) => graces = fewer,
        }
    }
}

/// Plans the notes that have ways and are played; or says which graces had better be played.
fn plan_with(
    (tune, instrument, request): (&Tune, &Instrument, &Request),
    keyboard: &Keyboard,
    ways: &Ways,
    graces: &Graces,
    sink: &mut Sink,
) -> Result<(Plan, Walk), Graces> {
    let walk = walk(tune, |note| ways.contains_key(&note.0) && graces.plays(note));
    let wants = left::wants(tune, instrument, &request.left, sink);
    let mut takes: Vec<Rc<[Take]>> = walk.items.iter().map(|item| ways[&item.note.0].clone()).collect();
    if let Some(settled) = &request.settled {
        with_settled(settled, &walk, keyboard, &mut takes);
    }
    let all_ways = takes.clone();
    let mut refused = Sink::default();
    let pinned = pins::apply(tune, keyboard, &walk.items, &request.pins, &mut takes, &mut refused);
    sink.absorb(advised(refused, request.home.as_ref()));
    bound(&mut takes, tune, sink);
    let prices = Prices::new(&request.weights);
    let held: Vec<usize> = (0..wants.len()).filter(|n| wants[*n].held && !wants[*n].survives_turn()).collect();
    let parts = Parts { tune, walk: &walk, keyboard, wants: &wants, prices, held: &held, sounds: &pinned.sounds };
    let mut model = Model::new(&parts, takes);
    if let Some(settled) = &request.settled {
        keep(settled, &walk, keyboard, &mut model);
    }
    let joined = model.joined();
    let classes = alike::classes(&parts);
    let first = alike::solve(&parts, &mut model, &joined, &classes);
    let search = Search { parts: &parts, model: &model, joined: &joined, instrument, request };
    let bellows = search.bellows();
    let breathing = bellows.as_ref().map(|bellows| search.breathe(bellows, first.clone()));
    let solution = breathing.as_ref().map_or(&first, |breathing| &breathing.solution);
    if !solution.proven {
        sink.warn(
            code!("plan-not-proven"),
            tune.place,
            "the repeats of this tune cross too often to prove its plan the best one",
        )
        .hints
        .push("the plan is sound all the same; write the repeats out to have it proven".into());
    }
    let states = &solution.states;
    if let Some(graces) = graces.after(&parts, &model, states, ways, request) {
        return Err(graces);
    }
    let mut plan = sounds::write(tune, &walk, keyboard, &model, states, &pinned, request.reversal_under);
    plan.cost = model.explain(&parts, states);
    plan.otherwise = alike::otherwise(&parts, &model, &classes, states);
    if request.runners_up {
        plan.runners_up = runners_up(&parts, &model, &joined, solution);
    }
    let directions: Vec<Direction> = states.iter().enumerate().map(|(n, s)| model.takes[n][*s].direction).collect();
    plan.left = left::presses(&parts, &model, &instrument.left, &directions, sink);
    if let Some((bellows, breathing)) = bellows.as_ref().zip(breathing.as_ref()) {
        search.report(bellows, &first, breathing, &mut plan, sink);
    }
    complain_of_rules(&parts, &model, states, &plan, request, &pinned, sink);
    plan.left_out = graces.left_out(tune, ways, &walk, &plan, sink);
    names::name_places(&walk, keyboard, &pinned.places, request.settled.as_ref(), &mut plan);
    left::check_holds(tune, &plan, parts.wants, &held, sink);
    if let Some(settled) = &request.settled {
        let now: Vec<Take> = states.iter().enumerate().map(|(n, s)| model.takes[n][*s]).collect();
        moved::report(settled, &parts, &all_ways, &now, &plan, sink);
    }
    Ok((plan, walk))
}

/// Every head and grace with the ways to take it, and those without any, which are complained of.
fn ways(
    (tune, instrument, request): (&Tune, &Instrument, &Request),
    keyboard: &Keyboard,
    sink: &mut Sink,
) -> (Ways, Vec<(NoteId, Unplayable)>) {
    let mut found = Ways::new();
    let mut unplayable = Vec::new();
    // The same pitches come again and again in a tune.
    let mut known: BTreeMap<Vec<i32>, Rc<[Take]>> = BTreeMap::new();
    let mut absent: Vec<(NoteId, Pitch, Option<Place>)> = Vec::new();
    for event in tune.bars.iter().flat_map(|bar| &bar.events) {
        let heads = event.head().map(|id| (id, event.notes()));
        for (id, notes) in event.graces.iter().map(|grace| (grace.id, &grace.notes[..])).chain(heads) {
            let mut midis: Vec<i32> = notes.iter().map(|note| note.pitch.midi()).collect();
            midis.sort_unstable();
            midis.dedup();
            let takes = known.entry(midis).or_insert_with_key(|midis| keyboard.takes(midis).into());
            if takes.is_empty() {
                unplayable.push((id, complain_of_note(tune, keyboard, id, notes, event, &mut absent, sink)));
            } else {
                found.insert(id.0, takes.clone());
            }
        }
    }
    if !absent.is_empty() {
        complain_of_absent(tune, instrument, request, &absent, sink);
    }
    unplayable.sort_by_key(|(note, _)| *note);
    (found, unplayable)
}

/// Says why a note has no way; a pitch that the box has not got is put down for later.
fn complain_of_note(
    tune: &Tune,
    keyboard: &Keyboard,
    id: NoteId,
    notes: &[Note],
    event: &Event,
    absent: &mut Vec<(NoteId, Pitch, Option<Place>)>,
    sink: &mut Sink,
) -> Unplayable {
    let address = tune.address(id);
    let on = |pitch: Pitch, direction| keyboard.buttons_for(pitch.midi(), direction).next().is_some();
    let missing: Vec<Pitch> =
        notes.iter().map(|note| note.pitch).filter(|p| !Direction::BOTH.iter().any(|d| on(*p, *d))).collect();
    if !missing.is_empty() {
        absent.extend(missing.into_iter().map(|pitch| (id, pitch, event.place)));
        return Unplayable::NotOnBox;
    }
    let names: Vec<String> = notes.iter().map(|note| note.pitch.to_string()).collect();
    let names = names.join(", ");
    if notes.len() > FINGERS {
        sink.error(
            code!("too-many-notes"),
            event.place,
            format!("note {address} has {} pitches at once, a hand has four fingers for buttons", notes.len()),
        )
        .hints
        .push("leave some of its notes out".into());
        return Unplayable::TooMany;
    }
    let together = Direction::BOTH.iter().any(|d| notes.iter().all(|note| on(note.pitch, *d)));
    let (why, reason) = if together {
        (Unplayable::TooFarApart, "lie too far apart for one hand")
    } else {
        (Unplayable::NotOneWay, "do not sound in one direction")
    };
    sink.error(code!("not-together"), event.place, format!("the notes of {address} ({names}) {reason} on this box"))
        .hints
        .push("leave one of them out, or write them one after the other".into());
    why
}

/// The refusals of pins, with a word on editions at those that were written for another box.
fn advised(mut refused: Sink, home: Option<&Home>) -> Sink {
    if let Some(home) = home {
        refused.advise(|item| {
            let carried = item.code == "pin-cannot-hold" && item.place.is_some_and(|place| home.pins.contains(&place));
            carried.then(|| format!("let the pin hold for the box that it was written for: `for: [{}]`", home.id))
        });
    }
    refused
}

/// One error a pitch that the box does not have, at its first note, with keys that would fit in the hint.
fn complain_of_absent(
    tune: &Tune,
    instrument: &Instrument,
    request: &Request,
    absent: &[(NoteId, Pitch, Option<Place>)],
    sink: &mut Sink,
) {
    let moved = request.moved;
    let mut hints = vec![range::fitting(tune, instrument, moved)];
    if let Some(home) = &request.home {
        hints.push(if home.with_box != moved.with_box && range::fits(tune, instrument, home.with_box) {
            "`transpose:` moves the tune in every edition; `pitch: with-box` in this edition moves its music with the box"
                .to_owned()
        } else {
            "`transpose:` moves the tune in every edition; this one can leave the tune out: give it `chapters:` of its own"
                .to_owned()
        });
    }
    let mut pitches: Vec<(Pitch, Vec<NoteId>, Option<Place>)> = Vec::new();
    for (id, pitch, place) in absent {
        match pitches.iter_mut().find(|(known, ..)| known == pitch) {
            Some((_, notes, _)) => notes.push(*id),
            None => pitches.push((*pitch, vec![*id], *place)),
        }
    }
    for (pitch, notes, place) in pitches {
        let named: Vec<String> = notes.iter().take(MOST_NAMED).map(|id| tune.address(*id).to_string()).collect();
        let word = if notes.len() == 1 { "note" } else { "notes" };
        let more = notes.len() - named.len();
        let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
        let message = format!("{pitch} ({word} {}{rest}) is not on the box {}", named.join(", "), instrument.id);
        sink.error(code!("not-on-box"), place, message).hints.extend(hints.iter().cloned());
    }
}

/// Keeps the work on chords within bounds.
fn bound(takes: &mut [Rc<[Take]>], tune: &Tune, sink: &mut Sink) {
    let pairs: usize = takes.windows(2).map(|pair| pair[0].len() * pair[1].len()).sum();
    if pairs <= MOST_PAIRS {
        return;
    }
    let most = (MOST_PAIRS / takes.len().max(1)).isqrt().max(8);
    takes.iter_mut().filter(|ways| ways.len() > most).for_each(|ways| *ways = ways[..most].into());
    sink.warn(code!("plan-not-proven"), tune.place, "the tune has too many chords to look at every way to take them")
        .hints
        .push("the plan is sound all the same; pin what you want otherwise".into());
}

/// Adds the ways of a settled plan that would not be thought of today, so that no new version refingers an old book.
fn with_settled(settled: &Settled, walk: &Walk, keyboard: &Keyboard, takes: &mut [Rc<[Take]>]) {
    let items: BTreeMap<NoteId, usize> = walk.items.iter().enumerate().map(|(n, item)| (item.note, n)).collect();
    for note in settled.notes.iter().filter(|note| note.still_there) {
        let Some(item) = items.get(&note.note) else { continue };
        let way = keyboard.settled(&walk.items[*item].midis, note.direction, &note.presses, note.place);
        let Some(way) = way.filter(|way| !takes[*item].contains(way)) else { continue };
        takes[*item] = takes[*item].iter().copied().chain([way]).collect();
    }
}

/// Makes leaving a settled plan dearer than any awkwardness, and dearer the more of a note it moves.
fn keep(settled: &Settled, walk: &Walk, keyboard: &Keyboard, model: &mut Model) {
    let items: BTreeMap<NoteId, usize> = walk.items.iter().enumerate().map(|(n, item)| (item.note, n)).collect();
    for note in settled.notes.iter().filter(|note| note.still_there) {
        let Some(item) = items.get(&note.note) else { continue };
        for (take, cost) in model.takes[*item].iter().zip(&mut model.unary[*item]) {
            let presses: Vec<_> = take.presses().iter().map(|p| (keyboard.button(p.button), p.finger)).collect();
            let buttons = presses.iter().map(|p| p.0).eq(note.presses.iter().map(|p| p.0));
            let moved = if take.direction != note.direction {
                4
            } else if !buttons {
                3
            } else if presses != note.presses {
                2
            } else {
                i64::from(keyboard.button(take.place) != note.place)
            };
            *cost += moved * MOVED;
        }
    }
}

/// Names the hard rules that the best plan still breaks.
fn complain_of_rules(
    parts: &Parts<'_>,
    model: &Model,
    states: &[usize],
    plan: &Plan,
    request: &Request,
    pinned: &pins::Pinned,
    sink: &mut Sink,
) {
    let (tune, items) = (parts.tune, &parts.walk.items);
    let direction = |item: usize| model.takes[item][states[item]].direction;
    for link in model.links.iter().filter(|link| !link.ties.is_empty()) {
        let moved = |(a, b): &(u8, u8)| {
            let press = |item: usize, n: u8| model.takes[item][states[item]].presses()[usize::from(n)].button;
            press(link.from, *a) != press(link.to, *b)
        };
        if direction(link.from) != direction(link.to) || link.ties.iter().any(moved) {
            let message = format!(
                "the tie into note {} cannot be held: what is pinned there moves it",
                tune.address(items[link.to].note)
            );
            sink.error(code!("tie-cannot-hold"), place_of(tune, &items[link.to]), message)
                .hints
                .push("pin both notes of a tie alike, or only the first".into());
        }
    }
    for (note, pin) in &pinned.sound_pins {
        let wish = pinned.sounds[note];
        let heard = plan.note(*note).is_some_and(|planned| planned.presses.iter().any(|press| press.sound == wish));
        if !heard {
            let begins = if items.first().is_some_and(|item| item.note == *note) {
                "the tune begins with it, and so "
            } else {
                ""
            };
            let message = format!(
                "the pin on note {} cannot hold: {begins}it is not on the button of the note before on every pass, with a turn between",
                tune.address(*note)
            );
            sink.error(code!("pin-cannot-hold"), Some(request.pins[*pin].place), message)
                .hints
                .push("pin the row, button and direction of both notes, or take the pin out".into());
        }
    }
}

fn place_of(tune: &Tune, item: &Item) -> Option<Place> {
    let holds =
        |event: &&Event| event.head() == Some(item.note) || event.graces.iter().any(|grace| grace.id == item.note);
    tune.bars[item.bar].events.iter().find(holds).and_then(|event| event.place)
}
