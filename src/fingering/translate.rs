//! Pins written for one box, carried over to another.
//!
//! Takes pins and both boxes, gives pins for the second; a pin that means nothing there is dropped with a warning. Boxes of
//! one family differ in their starts, so buttons and places move by the difference of the start buttons; elsewhere a button
//! is found again by the pair of notes it gives on the push and on the pull.

use super::request::{Pin, PinWish};
use crate::diag::Sink;
use crate::instrument::{ButtonId, Instrument, RowAt};

/// Carries pins from one box to another. `moved` is how many semitones the tune is moved with them (0 when it keeps its
/// sounding notes). What is kept on: directions, fingers, sounds and air.
pub fn translate(pins: &[Pin], from: &Instrument, to: &Instrument, moved: i32, sink: &mut Sink) -> Vec<Pin> {
    pins.iter()
        .filter_map(|pin| match wish(&pin.wish, from, to, moved) {
            Ok(wish) => Some(Pin { wish, ..pin.clone() }),
            Err(lost) => {
                sink.warn(
                    code!("pin-dropped"),
                    Some(pin.place),
                    format!("the pin on {lost} has no counterpart on the box {}", to.id),
                )
                .hints
                .push(format!("write a pin of its own for it: `for: [{}]`", to.id));
                None
            }
        })
        .collect()
}

fn wish(wish: &PinWish, from: &Instrument, to: &Instrument, moved: i32) -> Result<PinWish, String> {
    let mut new = wish.clone();
    new.place = match wish.place {
        Some(place) => Some(button(place, from, to, moved).ok_or_else(|| format!("the place {place}"))?),
        None => None,
    };
    match (wish.row, wish.button) {
        (Some(row), Some(number)) => {
            let old = ButtonId { row, number };
            let found = button(old, from, to, moved).ok_or_else(|| format!("button {old}"))?;
            (new.row, new.button) = (Some(found.row), Some(found.number));
        }
        (Some(row), None) if to.row(row).is_none() => return Err(format!("the {row} row")),
        (None, Some(number)) => {
            // Without a row the number must come out the same on whichever row it may be.
            let rows = from.rows.iter().map(|row| ButtonId { row: row.at, number });
            let mut numbers: Vec<u8> =
                rows.filter_map(|old| button(old, from, to, moved)).map(|found| found.number).collect();
            numbers.dedup();
            match numbers[..] {
                [number] => new.button = Some(number),
                _ => return Err(format!("button {number}")),
            }
        }
        _ => {}
    }
    Ok(new)
}

/// The counterpart of a button.
fn button(old: ButtonId, from: &Instrument, to: &Instrument, moved: i32) -> Option<ButtonId> {
    if from.family == to.family && old.row != RowAt::Half {
        let (a, b) = (from.row(old.row)?, to.row(old.row)?);
        let number = i32::from(old.number) - i32::from(a.start) + i32::from(b.start);
        let new = ButtonId { row: old.row, number: u8::try_from(number).ok()? };
        return to.button(new).map(|_| new);
    }
    let pair = from.button(old)?;
    let (push, pull) = (pair.push.midi() + moved, pair.pull.midi() + moved);
    let same =
        |(_, button): &(ButtonId, &crate::instrument::Button)| button.push.midi() == push && button.pull.midi() == pull;
    // Its own row first: two rows may hold the same pair.
    let mut all: Vec<ButtonId> = to.buttons().filter(same).map(|(id, _)| id).collect();
    all.sort_by_key(|id| (id.row != old.row, *id));
    all.first().copied()
}

#[cfg(test)]
mod tests {
    use super::super::request::{NoteSpan, PinTarget, Written};
    use super::super::testing::{dg, gc};
    use super::*;
    use crate::diag::{Place, Sources};
    use crate::instrument::Direction;
    use crate::tune::NoteId;

    fn pin(wish: PinWish) -> Pin {
        let place = Place::new(Sources::default().add("tune.yaml", ""), 7, 3);
        Pin { target: PinTarget { span: NoteSpan::Note(NoteId(0)), tone: None }, wish, place, written: Written::Pins }
    }

    #[test]
    fn a_fourth_start_box_counts_one_button_on() {
        let mut fourth = dg();
        fourth.rows.iter_mut().for_each(|row| row.start = 4);
        let old = ButtonId { row: RowAt::Inner, number: 5 };
        let wish = PinWish { row: Some(old.row), button: Some(5), place: Some(old), ..PinWish::default() };
        let pins = translate(&[pin(wish)], &dg(), &fourth, 0, &mut Sink::default());
        assert_eq!((pins[0].wish.button, pins[0].wish.place.map(|place| place.number)), (Some(6), Some(6)));
    }

    #[test]
    fn another_family_is_searched_by_its_pairs_or_gives_up() {
        let wish = PinWish {
            row: Some(RowAt::Inner),
            button: Some(3),
            direction: Some(Direction::Push),
            ..PinWish::default()
        };
        let mut sink = Sink::default();
        // The G/C box lies a fifth lower: with the tune moved along, the same buttons.
        let moved = translate(&[pin(wish.clone())], &dg(), &gc(), -7, &mut sink);
        assert_eq!((moved[0].wish.row, moved[0].wish.button), (Some(RowAt::Inner), Some(3)));
        // At the same pitch G4/A4 lies two buttons further on, and D5/E5 nowhere.
        let kept = translate(&[pin(wish.clone())], &dg(), &gc(), 0, &mut sink);
        assert_eq!((kept[0].wish.row, kept[0].wish.button), (Some(RowAt::Inner), Some(5)));
        let wish = PinWish { button: Some(5), ..wish };
        assert!(translate(&[pin(wish)], &dg(), &gc(), 0, &mut sink).is_empty());
        assert_eq!(sink.items()[0].code, "pin-dropped");
    }
}
