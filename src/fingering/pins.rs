//! What the author fixes: pins strike out every other way to take a note, or are refused with the reason.
//!
//! Takes pins and the ways to take each item, gives the ways that are left; a pin that leaves none is an error at its place
//! and is set aside, so that the rest of the tune still gets a plan.

use super::hand::{Keyboard, Take};
use super::plan::Sound;
use super::request::{NoteSpan, Pin, PinWish, ToneWish, Written};
use super::walk::Item;
use crate::diag::{Diagnostic, Severity, Sink};
use crate::instrument::{Direction, RowAt};
use crate::tune::{BarLabel, NoteId, Pitch, Tune};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// What pins come to besides struck-out ways.
#[derive(Debug, Clone, Default)]
pub(super) struct Pinned {
    /// Notes any pin speaks of and holds for.
    pub notes: BTreeSet<NoteId>,
    /// Sounds wanted, with the index of the pin.
    pub sounds: BTreeMap<NoteId, Sound>,
    /// The pin that wants each sound.
    pub sound_pins: BTreeMap<NoteId, usize>,
    /// Notes over which a pinned place holds.
    pub places: BTreeSet<NoteId>,
}

/// Applies all pins in order.
pub(super) fn apply(
    tune: &Tune,
    keyboard: &Keyboard,
    items: &[Item],
    pins: &[Pin],
    takes: &mut [Rc<[Take]>],
    sink: &mut Sink,
) -> Pinned {
    let mut pinned = Pinned::default();
    // The pins that already hold on each item, to name the one that is contradicted.
    let mut holding: Vec<Vec<usize>> = vec![Vec::new(); items.len()];
    let lies = lies(tune, items, pins);
    for (n, pin) in pins.iter().enumerate() {
        let only_place = PinWish { place: pin.wish.place, ..PinWish::default() } == pin.wish;
        let meant = items.iter().enumerate().filter(|(_, item)| meant(tune, item, pin.target.span));
        for (nth, (i, item)) in meant.enumerate() {
            // From another pin of a place on, that one holds.
            let place = pin.wish.place.filter(|_| nth == 0 || lies[i] == Some(n));
            let wish = &PinWish { place, ..pin.wish.clone() };
            let asks = wish.direction.is_some()
                || wish.row.is_some()
                || wish.button.is_some()
                || wish.finger.is_some()
                || wish.place.is_some();
            if asks {
                let pitches = pitches(tune, item);
                let tone = tone(item, pin.target.tone);
                let left: Rc<[Take]> =
                    takes[i].iter().filter(|take| holds(keyboard, take, wish, tone)).copied().collect();
                if left.is_empty() {
                    let named = tone.and_then(|tone| pitches.get(tone)).or(pitches.last()).copied();
                    let asked = Pin { wish: wish.clone(), ..pin.clone() };
                    sink.push(refusal(tune, keyboard, item, &asked, tone, named, holding[i].last().map(|n| &pins[*n])));
                    continue;
                }
                takes[i] = left;
                holding[i].push(n);
            }
            if wish.air.is_some() && item.tied_on {
                sink.push(no_air(tune, &items[i..], pin));
            }
            if let Some(sound) = wish.sound {
                pinned.sounds.insert(item.note, sound);
                pinned.sound_pins.insert(item.note, n);
            }
            // A place is marked where it begins.
            if (asks && (nth == 0 || !only_place)) || wish.sound.is_some() {
                pinned.notes.insert(item.note);
            }
        }
    }
    stay(tune, keyboard, items, pins, &holding, takes, &mut pinned.places);
    pinned
}

/// For each item the last pin of a place at or before it: on a note from there on, on bars from their first note on.
fn lies(tune: &Tune, items: &[Item], pins: &[Pin]) -> Vec<Option<usize>> {
    let mut begins: BTreeMap<usize, usize> = BTreeMap::new();
    let on_a_note = |n: usize| matches!(pins[n].target.span, NoteSpan::Note(_));
    for (n, pin) in pins.iter().enumerate().filter(|(_, pin)| pin.wish.place.is_some()) {
        if let Some(i) = items.iter().position(|item| meant(tune, item, pin.target.span)) {
            let known = begins.entry(i).or_insert(n);
            // The note's own pin before that of its bars; else the one written first holds and the other is refused.
            if on_a_note(n) && !on_a_note(*known) {
                *known = n;
            }
        }
    }
    let mut now = None;
    (0..items.len())
        .map(|i| {
            now = begins.get(&i).copied().or(now);
            now
        })
        .collect()
}

/// A place holds over the notes its pin speaks of; one that is pinned at a note holds on to the end of its bar, or until the
/// next pin of a place, or the first note that no finger reaches from there without stretching. Beyond that the hand stays as
/// long as staying is cheaper than moving: an author who corrects one bar means that bar.
fn stay(
    tune: &Tune,
    keyboard: &Keyboard,
    items: &[Item],
    pins: &[Pin],
    holding: &[Vec<usize>],
    takes: &mut [Rc<[Take]>],
    places: &mut BTreeSet<NoteId>,
) {
    let number = |item: &Item| tune.bars[item.bar].label.number;
    // The place, and the number of the bar to whose end it holds.
    let mut lies = None;
    for ((ways, holding), item) in takes.iter_mut().zip(holding).zip(items) {
        // Every way that is left lies there if a pin of a place holds here.
        let held = holding.iter().rev().find_map(|n| Some((pins[*n].wish.place?, pins[*n].target.span)));
        let held = held.filter(|(place, _)| ways.iter().all(|take| keyboard.button(take.place) == *place));
        if let Some((place, span)) = held {
            lies = matches!(span, NoteSpan::Note(_)).then_some((place, number(item)));
            places.insert(item.note);
            continue;
        }
        let Some((place, _)) = lies.filter(|(_, bar)| *bar == number(item)) else {
            lies = None;
            continue;
        };
        let there = |take: &&Take| take.stretched == 0 && keyboard.button(take.place) == place;
        let left: Rc<[Take]> = ways.iter().filter(there).copied().collect();
        if left.is_empty() {
            lies = None;
        } else {
            *ways = left;
            places.insert(item.note);
        }
    }
}

/// Whether a pin speaks of an item. A pin on a head speaks of the head alone; one on bars of their graces too.
fn meant(tune: &Tune, item: &Item, span: NoteSpan) -> bool {
    match span {
        NoteSpan::Note(note) => note == item.note,
        NoteSpan::Bars(from, to) => {
            let key = |label: BarLabel| (label.number, label.second_half);
            let here = key(tune.bars[item.bar].label);
            // `8` alone means the whole of bar 8, its second half too.
            let end = if to.second_half { key(to) } else { (to.number, true) };
            key(from) <= here && here <= end
        }
    }
}

/// The pitches of an item as written, lowest first, each key number once.
pub(super) fn pitches(tune: &Tune, item: &Item) -> Vec<Pitch> {
    let events = &tune.bars[item.bar].events;
    let notes = events.iter().find_map(|event| {
        let grace = event.graces.iter().find(|grace| grace.id == item.note);
        grace.map(|grace| &grace.notes[..]).or_else(|| (event.head() == Some(item.note)).then(|| event.notes()))
    });
    let mut all: Vec<Pitch> = notes.unwrap_or(&[]).iter().map(|note| note.pitch).collect();
    all.sort_by_key(|pitch| pitch.midi());
    all.dedup_by_key(|pitch| pitch.midi());
    all
}

/// Which press a pin names; `None` for all of them.
fn tone(item: &Item, wish: Option<ToneWish>) -> Option<usize> {
    match wish? {
        ToneWish::Top => item.midis.len().checked_sub(1),
        ToneWish::Pitch(pitch) => item.midis.iter().position(|midi| *midi == pitch.midi()),
    }
}

/// Whether a way to take a head is what a pin asks for.
fn holds(keyboard: &Keyboard, take: &Take, wish: &PinWish, tone: Option<usize>) -> bool {
    let fits = |n: usize| {
        let press = take.presses()[n];
        let id = keyboard.button(press.button);
        wish.row.is_none_or(|row| id.row == row)
            && wish.button.is_none_or(|number| id.number == number)
            && wish.finger.is_none_or(|finger| press.finger == finger)
    };
    let on_buttons = match tone {
        Some(n) => fits(n),
        // A row alone is meant for all notes of a chord; a button or a finger can only be one note's.
        None if wish.button.is_none() && wish.finger.is_none() => (0..take.presses().len()).all(fits),
        None => (0..take.presses().len()).any(fits),
    };
    on_buttons
        && wish.direction.is_none_or(|direction| take.direction == direction)
        && wish.place.is_none_or(|place| keyboard.button(take.place) == place)
}

/// The error for a pin that cannot hold, with the plainest reason.
fn refusal(
    tune: &Tune,
    keyboard: &Keyboard,
    item: &Item,
    pin: &Pin,
    tone: Option<usize>,
    named: Option<Pitch>,
    other: Option<&Pin>,
) -> Diagnostic {
    let wish = &pin.wish;
    let address = tune.address(item.note);
    let name = named.map_or_else(|| "the note".to_owned(), |pitch| pitch.to_string());
    let midis = &item.midis;
    let all = keyboard.takes(midis);
    let possible = |wish: &PinWish| all.iter().any(|take| holds(keyboard, take, wish, tone));
    let only = |keep: fn(&mut PinWish, &PinWish)| {
        let mut one = PinWish::default();
        keep(&mut one, wish);
        one
    };
    let row_only = only(|one, wish| one.row = wish.row);
    let way_only = only(|one, wish| one.direction = wish.direction);
    let both = only(|one, wish| (one.row, one.direction) = (wish.row, wish.direction));
    let button = only(|one, wish| (one.row, one.button, one.direction) = (wish.row, wish.button, wish.direction));
    let on_row = |row: Option<RowAt>| row.map_or_else(String::new, |row| format!(" on the {row} row"));
    let on_way = |way: Option<Direction>| way.map_or_else(String::new, |way| format!(" on the {way}"));
    let reason = if wish.finger.is_some_and(|finger| !(1..=4).contains(&finger)) {
        "fingers are 1 to 4".to_owned()
    } else if !possible(&way_only) {
        format!("{name} has no button{}", on_way(wish.direction))
    } else if !possible(&row_only) {
        format!("{name} has no button{}", on_row(wish.row))
    } else if !possible(&both) {
        format!("{name} has no button{}{}", on_row(wish.row), on_way(wish.direction))
    } else if !possible(&button) {
        let number = wish.button.unwrap_or_default();
        format!("button {number}{} does not give {name}{}", on_row(wish.row), on_way(wish.direction))
    } else if !possible(wish) {
        match (wish.place, wish.finger) {
            (Some(place), Some(finger)) => {
                format!("with the index finger on {place}, finger {finger} does not reach {name}")
            }
            (Some(place), None) => format!("with the index finger on {place}, no finger reaches {name}"),
            (None, _) => format!("no place of the hand lets that finger play {name}"),
        }
    } else {
        match other {
            Some(other) if other.written == Written::Pins => {
                format!("it contradicts the pin in line {} on the same note", other.place.line)
            }
            Some(_) => "the same note has another finger in the music".to_owned(),
            None => format!("{name} cannot be taken so here"),
        }
    };
    let (code, severity, what) = match pin.written {
        Written::Pins => (code!("pin-cannot-hold"), Severity::Error, "the pin on"),
        Written::Music => (code!("pin-cannot-hold"), Severity::Error, "the finger written over"),
        Written::MusicOfOtherBox => {
            (code!("fingers-not-followed"), Severity::Warning, "on this box the finger written over")
        }
    };
    let message = format!("{what} note {address} cannot hold: {reason}");
    let mut refusal = Diagnostic { code, severity, place: Some(pin.place), message, hints: vec![] };
    match pin.written {
        Written::Pins => {}
        Written::Music => {
            let hint = "take it out of the music, or write another: 1 is the index finger, 4 the little finger";
            refusal = refusal.hint(hint);
        }
        Written::MusicOfOtherBox => refusal = refusal.hint("pin the finger for this box if it matters: `for: [...]`"),
    }
    if let Some(ways) = ways(keyboard, midis) {
        refusal = refusal.hint(format!("{name} is on {ways}"));
    }
    refusal
}

/// The error for air after a note that is tied on; `items` from that note on.
fn no_air(tune: &Tune, items: &[Item], pin: &Pin) -> Diagnostic {
    let address = |item: &Item| tune.address(item.note).to_string();
    let note = items.first().map(address).unwrap_or_default();
    let message = format!("the pin on note {note} cannot hold: the note is tied on, and air would end it");
    let refusal = Diagnostic {
        code: code!("pin-cannot-hold"),
        severity: Severity::Error,
        place: Some(pin.place),
        message,
        hints: vec![],
    };
    match items.iter().find(|item| item.grace_of.is_none() && !item.tied_on) {
        Some(end) => refusal.hint(format!("the tie ends with note {}: take air after that one", address(end))),
        None => refusal,
    }
}

/// The buttons of a single note in words.
fn ways(keyboard: &Keyboard, midis: &[i32]) -> Option<String> {
    let [midi] = midis[..] else { return None };
    let words: Vec<String> = Direction::BOTH
        .iter()
        .flat_map(|way| keyboard.buttons_for(midi, *way).map(move |key| format!("{} ({way})", keyboard.button(key))))
        .collect();
    (!words.is_empty()).then(|| words.join(", "))
}
