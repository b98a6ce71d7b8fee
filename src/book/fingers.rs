//! Fingers that stand in the music itself, as pins: takes a tune and the pins of its file, gives a pin for each finger over a
//! note whose finger or place no pin of the file fixes. Decides nothing about playing.

use crate::diag::{Place, Sink};
use crate::fingering::{NoteSpan, Pin, PinTarget, PinWish, Written};
use crate::instrument::Instrument;
use crate::tune::{Mark, NoteId, Tune};

/// Pins for the fingers over the notes of a tune, counted as all pins count: 1 is the index finger. They are meant for `base`,
/// the book's own box; on another one they hold as far as they can. Fingers that a hand on the buttons has not got (0, 5) say that the
/// music counts otherwise, so that none of its fingers is followed.
pub fn fingers(tune: &Tune, pins: &[Pin], base: &Instrument, instrument: &Instrument, sink: &mut Sink) -> Vec<Pin> {
    if counts_otherwise(tune, sink) {
        return Vec::new();
    }
    let written = if base.id == instrument.id { Written::Music } else { Written::MusicOfOtherBox };
    let pinned = |note: NoteId| {
        let says = |pin: &&Pin| pin.wish.finger.is_some() || pin.wish.place.is_some();
        pins.iter().filter(says).any(|pin| pin.target.span == NoteSpan::Note(note))
    };
    let mut out = Vec::new();
    for (note, finger, place) in marks(tune) {
        let Some(note) = note else {
            let message = "a finger over a rest has no note, and is left out";
            sink.warn(code!("fingers-not-followed"), Some(place), message)
                .hints
                .push("write it before its note".into());
            continue;
        };
        if !pinned(note) {
            let wish = PinWish { finger: Some(finger), ..PinWish::default() };
            let target = PinTarget { span: NoteSpan::Note(note), tone: None };
            out.push(Pin { target, wish, place, written });
        }
    }
    out
}

/// Whether the fingers of a tune are not counted from the index finger, 1 to 4, which is told.
pub fn counts_otherwise(tune: &Tune, sink: &mut Sink) -> bool {
    let marks = marks(tune);
    let Some((_, digit, place)) = marks.iter().find(|(_, digit, _)| !(1..=4).contains(digit)) else { return false };
    let message = format!(
        "the music has a finger {digit}: the fingers are 1, the index finger, to 4 here, so that none of those in the music is followed"
    );
    let hint = "write the fingers in the music as 1 to 4, or take them out and pin what you want: `pins:`";
    sink.warn(code!("fingers-not-followed"), Some(*place), message).hints.push(hint.into());
    true
}

/// Every finger that is written over a note or rest, with its head, in written order.
fn marks(tune: &Tune) -> Vec<(Option<NoteId>, u8, Place)> {
    let events = tune.bars.iter().flat_map(|bar| &bar.events);
    let fingers = events.filter_map(|event| Some((event, event.place.or(tune.place)?))).flat_map(|(event, place)| {
        event.marks.iter().filter_map(move |mark| match mark {
            Mark::Finger(digit) => Some((event.head(), *digit, place)),
            _ => None,
        })
    });
    fingers.collect()
}

#[cfg(test)]
mod tests {
    use super::super::builtin_box;
    use super::*;
    use crate::diag::{Severity, Sources};
    use crate::fingering::{Request, plan};
    use crate::reader::abc::{AbcOptions, read};

    fn tune(music: &str) -> Tune {
        let mut sources = Sources::default();
        let file = sources.add("a.abc", format!("M:4/4\nL:1/4\nK:G\n{music}\n"));
        let mut sink = Sink::default();
        let mut tunes = read(&sources.excerpt(file), &AbcOptions::default(), &mut sink);
        assert!(sink.items().is_empty(), "{:?}", sink.items());
        tunes.pop().expect("one tune")
    }

    fn instrument(id: &str) -> Instrument {
        builtin_box(id).expect("a box of ours")
    }

    /// The fingers that are followed, by the column of their note, and the codes of what is said.
    fn followed(music: &str, pins: &[Pin], on: &str) -> (Vec<(u32, u8)>, Vec<&'static str>) {
        let (base, on) = (instrument("dg-21-third"), instrument(on));
        let mut sink = Sink::default();
        let found = fingers(&tune(music), pins, &base, &on, &mut sink);
        let written = if on.id == base.id { Written::Music } else { Written::MusicOfOtherBox };
        assert!(found.iter().all(|pin| pin.written == written));
        let fingers = found.iter().map(|pin| (pin.place.column, pin.wish.finger.unwrap_or(0))).collect();
        (fingers, sink.items().iter().map(|item| item.code.name()).collect())
    }

    #[test]
    fn fingers_in_the_music_are_pins() {
        let all = vec![(4, 1), (9, 4), (14, 3)];
        assert_eq!(followed("!1!G !4!B \"^3\"d g", &[], "dg-21-third").0, vec![(4, 1), (9, 4), (15, 3)]);
        assert_eq!(followed("!1!G !4!B !3!d g", &[], "dg-21-third"), (all.clone(), vec![]));
        assert_eq!(followed("!1!G !4!B !3!d g", &[], "gc-21-third"), (all.clone(), vec![]));
        // A pin of the same note wins; one of its direction leaves the finger.
        let place = Place::new(Sources::default().add("a.yaml", ""), 1, 1);
        let pin = |note, wish| {
            let target = PinTarget { span: NoteSpan::Note(NoteId(note)), tone: None };
            Pin { target, wish, place, written: Written::Pins }
        };
        let finger = pin(1, PinWish { finger: Some(2), ..PinWish::default() });
        let pull = pin(2, PinWish { direction: Some(crate::instrument::Direction::Pull), ..PinWish::default() });
        assert_eq!(followed("!1!G !4!B !3!d g", &[finger, pull], "dg-21-third").0, [all[0], all[2]]);
        // Music that counts the thumb, or strings: none is followed, and it is said once.
        for music in ["!2!G !5!B !5!d g", "!2!G !0!B d g"] {
            assert_eq!(followed(music, &[], "dg-21-third"), (vec![], vec!["fingers-not-followed"]));
        }
        assert_eq!(followed("!2!G B !1!z g", &[], "dg-21-third"), (vec![(4, 2)], vec!["fingers-not-followed"]));
    }

    /// What the plan makes of them: the fingers as written, on the box itself and as far as they can hold on another.
    #[test]
    fn the_plan_has_the_fingers_as_written() {
        let played = |music: &str, on: &str| {
            let (tune, base, on) = (tune(music), instrument("dg-21-third"), instrument(on));
            let mut sink = Sink::default();
            let pins = fingers(&tune, &[], &base, &on, &mut sink);
            let plan = plan(&tune, &on, &Request { pins, ..Request::default() }, &mut sink);
            let fingers: Vec<u8> = plan.notes.iter().flatten().map(|note| note.presses[0].finger).collect();
            let said: Vec<(&str, Severity)> =
                sink.items().iter().map(|item| (item.code.name(), item.severity)).collect();
            (fingers, said.into_iter().find(|(code, _)| code.contains("hold") || code.contains("followed")))
        };
        for music in ["!3!G !4!B !2!G !3!A", "!2!G !3!B !1!G !2!A"] {
            let wanted: Vec<u8> = music.bytes().filter(u8::is_ascii_digit).map(|digit| digit - b'0').collect();
            assert_eq!(played(music, "dg-21-third"), (wanted, None));
        }
        // Two fingers on one note.
        let (_, said) = played("!1!!2!G G A B", "dg-21-third");
        assert_eq!(said, Some(("pin-cannot-hold", Severity::Error)));
        let (fingers, said) = played("!1!!2!G G A B", "gc-21-third");
        assert_eq!((fingers[0], said), (1, Some(("fingers-not-followed", Severity::Warning))));
    }
}
