//! Places of the hand as a reader meets them: what a place sign promises holds until the next one, on random tunes.

use super::brute::{Dice, line};
use super::testing::{dg, gc, tune};
use super::*;
use crate::diag::{Place as FilePlace, Severity, Sink, Sources};
use crate::instrument::{ButtonId, Direction, RowAt};
use crate::tune::{BarLabel, Meter, NoteId, Tune};
use std::collections::BTreeMap;

fn somewhere() -> FilePlace {
    FilePlace::new(Sources::default().add("tune.yaml", ""), 4, 1)
}

/// The notes of a plan from one place sign to the next.
fn spans(plan: &Plan) -> Vec<Vec<&PlannedNote>> {
    let mut all: Vec<Vec<&PlannedNote>> = Vec::new();
    for note in plan.notes.iter().flatten() {
        match all.last_mut().filter(|_| !note.place_moves) {
            Some(span) => span.push(note),
            None => all.push(vec![note]),
        }
    }
    all
}

/// What holds from sign to sign: the place is the same, each button of its row has one finger and each other button two
/// neighbouring ones at the most, the place is named by a row that is played, and where the index finger plays at all on a
/// button that lies under it, it plays the one that is named; if it plays under the sign, then that one (the author's own
/// places apart, and the lowest place, where the index finger lies on no button of the inner row).
fn check(plan: &Plan, own: &dyn Fn(ButtonId) -> bool, context: &str) {
    for span in spans(plan) {
        let place = span[0].place.0;
        let mut fingers: BTreeMap<ButtonId, u8> = BTreeMap::new();
        for note in &span {
            assert_eq!(note.place.0, place, "{context}: another place and no sign");
            for press in &note.presses {
                let known = *fingers.entry(press.button).or_insert(press.finger);
                let most = u8::from(press.button.row != place.row);
                assert!(
                    known.abs_diff(press.finger) <= most,
                    "{context}: {} changes its finger at {place}",
                    press.button
                );
            }
        }
        let played = fingers.keys().any(|button| button.row == place.row);
        let lowest = place == ButtonId { row: RowAt::Outer, number: 1 };
        assert!(played || own(place) || lowest, "{context}: {place} is named and only {:?} are played", fingers.keys());
        let index = |note: &PlannedNote| note.presses.iter().find(|press| press.finger == 1).map(|press| press.button);
        if let Some(button) = index(span[0]).filter(|_| !own(place)) {
            assert_eq!(button, place, "{context}: the sign is not true of the note below it");
        }
    }
}

fn random(dice: &mut Dice) -> (Tune, String) {
    let text = line(dice);
    (tune(Meter::simple(2, 4), &text), text)
}

#[test]
fn from_sign_to_sign_the_place_its_row_and_each_buttons_finger_hold() {
    let mut dice = Dice(4_711);
    let (mut signs, mut across) = (0, 0);
    for _ in 0..1500 {
        let (tune, text) = random(&mut dice);
        let instrument = if dice.one_in(2) { dg() } else { gc() };
        let style = *dice.of(&[Style::Along, Style::Smooth, Style::Easy]);
        // Cheap shifts move the hand often, dear ones make it reach over.
        let changed = vec![Weight { kind: CostKind::PlaceShift, price: dice.below(20) as u32 }];
        let request = Request { weights: Weights { style, changed }, ..Request::default() };
        let plan = plan(&tune, &instrument, &request, &mut Sink::default());
        check(&plan, &|_| false, &text);
        signs += spans(&plan).len();
        across +=
            plan.notes.iter().flatten().filter(|n| n.presses.iter().any(|p| p.button.row != n.place.0.row)).count();
    }
    assert!(signs > 2000 && across > 1000, "{signs} signs, {across} notes across the rows");
}

#[test]
fn a_pinned_place_holds_over_its_bars_or_is_refused() {
    let mut dice = Dice(815);
    let (mut held, mut refused) = (0, 0);
    for _ in 0..1500 {
        let (tune, text) = random(&mut dice);
        let instrument = dg();
        let last = tune.bars.len() as u64;
        let from = 1 + dice.below(last);
        let to = from + dice.below(last + 1 - from);
        let label = |n: u64| BarLabel::new(n as u32);
        let place = ButtonId { row: *dice.of(&[RowAt::Outer, RowAt::Inner]), number: 2 + dice.below(4) as u8 };
        let target = PinTarget { span: NoteSpan::Bars(label(from), label(to)), tone: None };
        let wish = PinWish { place: Some(place), ..PinWish::default() };
        let pins = vec![Pin { target, wish, place: somewhere(), written: Written::Pins }];
        let mut sink = Sink::default();
        let plan = plan(&tune, &instrument, &Request { pins, ..Request::default() }, &mut sink);
        check(&plan, &|named| named == place, &text);
        let inside = |id: NoteId| (from..=to).contains(&u64::from(tune.address(id).bar.number));
        let notes: Vec<&PlannedNote> = plan.notes.iter().flatten().filter(|note| inside(note.id)).collect();
        let errors = sink.items().iter().filter(|item| item.severity == Severity::Error);
        let said: Vec<&str> =
            errors.filter(|item| item.code == code!("pin-cannot-hold")).map(|item| item.message.as_str()).collect();
        for note in &notes {
            let address = tune.address(note.id).to_string();
            let named = said.iter().any(|message| message.contains(&format!("note {address} ")));
            assert!(named || note.place.0 == place, "{text}: the hand leaves {place} at {address}: {said:?}");
        }
        held += usize::from(said.is_empty() && !notes.is_empty());
        refused += usize::from(!said.is_empty());
    }
    assert!(held > 150 && refused > 150, "{held} held, {refused} refused");
}

#[test]
fn of_two_pinned_places_the_later_one_takes_over() {
    let at = |span, number| Pin {
        target: PinTarget { span, tone: None },
        wish: PinWish { place: Some(ButtonId { row: RowAt::Inner, number }), ..PinWish::default() },
        place: somewhere(),
        written: Written::Pins,
    };
    let tune = tune(Meter::simple(4, 4), "B4 D5 B4 D5 B4 D5 B4 D5 | B4 D5");
    let bar = NoteSpan::Bars(BarLabel::new(1), BarLabel::new(1));
    let run = |pins| {
        let mut sink = Sink::default();
        (plan(&tune, &dg(), &Request { pins, ..Request::default() }, &mut sink), sink)
    };
    let (plan, sink) = run(vec![at(bar, 3), at(NoteSpan::Note(NoteId(4)), 4)]);
    assert_eq!(sink.items(), []);
    let places: Vec<u8> = plan.notes.iter().flatten().map(|note| note.place.0.number).collect();
    assert_eq!(places, [3, 3, 3, 3, 4, 4, 4, 4, 4, 4]);
    assert_eq!(plan.notes.iter().flatten().filter(|note| note.pinned).count(), 2, "marked where they begin");
    // Two for one note contradict each other.
    let (_, sink) = run(vec![at(NoteSpan::Note(NoteId(2)), 3), at(NoteSpan::Note(NoteId(2)), 4)]);
    assert_eq!(sink.items()[0].code, "pin-cannot-hold");
    assert!(sink.items()[0].message.contains("contradicts"), "{}", sink.items()[0].message);
}

/// A plan that was settled when a finger could take the other row's button on either side stands as it was printed.
#[test]
fn a_settled_finger_that_would_not_be_thought_of_today_stands() {
    let tune = tune(Meter::simple(4, 4), "G4 F#4 B4 A4");
    let button = |row, number| ButtonId { row, number };
    let (inner, outer) = (RowAt::Inner, RowAt::Outer);
    let settled: Vec<SettledNote> =
        [(button(inner, 3), 1), (button(outer, 4), 1), (button(inner, 4), 2), (button(outer, 5), 2)]
            .into_iter()
            .zip(0..)
            .map(|(press, note)| SettledNote {
                note: NoteId(note),
                direction: Direction::Push,
                presses: vec![press],
                place: button(inner, 3),
                still_there: true,
            })
            .collect();
    let notes = settled.clone();
    let request = Request { settled: Some(Settled { notes }), ..Request::default() };
    let mut sink = Sink::default();
    let plan = plan(&tune, &dg(), &request, &mut sink);
    assert_eq!(sink.items(), []);
    for (note, old) in plan.notes.iter().flatten().zip(&settled) {
        let presses: Vec<(ButtonId, u8)> = note.presses.iter().map(|press| (press.button, press.finger)).collect();
        assert_eq!((presses, note.place.0), (old.presses.clone(), old.place));
    }
    // What no hand can do is not taken from a file.
    let mut notes = settled;
    notes[1].presses[0].1 = 4;
    let request = Request { settled: Some(Settled { notes }), ..Request::default() };
    let mut sink = Sink::default();
    super::plan(&tune, &dg(), &request, &mut sink);
    assert_eq!(sink.items()[0].code, "settled-moved");
}
