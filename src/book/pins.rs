//! Pins checked against the tune they speak of: takes what the author wrote, gives pins by note id, and every pin that
//! points at nothing or at another note than it says. Decides nothing about playing.

use super::boxes::unknown_box;
use super::files::PinFile;
use super::words::{Bars, HandNote, Tone};
use super::yaml::Node;
use crate::diag::{Code, Place, Sink};
use crate::fingering::{LeftBar, NoteSpan, Pin, PinTarget, PinWish, ToneWish, Written, translate};
use crate::instrument::{ButtonId, Instrument, builtin};
use crate::tune::{Address, BarLabel, Interval, Note, NoteId, Pitch, Tune};

/// The pins of a tune for one box, and the bars of the left hand that they fix.
pub struct Pins {
    /// Right hand and air.
    pub pins: Vec<Pin>,
    /// Left hand.
    pub left: Vec<LeftBar>,
    /// Where the pins stand that were carried over from the book's own box.
    pub carried: Vec<Place>,
}

/// Checks the pins of a tune and carries them over to the box of the edition. Pins speak of `base`, the book's own box;
/// those that name the edition's box in `for:` speak of that one. `moved` is by how much the notes will move with the box.
pub fn pins(
    files: &[PinFile],
    list: &Node,
    tune: &Tune,
    base: &Instrument,
    instrument: &Instrument,
    moved: Interval,
    sink: &mut Sink,
) -> Pins {
    let mut out = Pins { pins: Vec::new(), left: Vec::new(), carried: Vec::new() };
    let mut carried: Vec<Pin> = Vec::new();
    for (file, node) in files.iter().zip(list.items()) {
        let mut reading = Reading { tune, node, sink };
        let Some((from, to)) = reading.bars(file) else { continue };
        let Some(span) = reading.span(file, from, to) else { continue };
        let Some(tone) = reading.tone(file, span) else { continue };
        if !reading.guard(file, span) || !reading.wishes(file) || !reading.is_for(file, instrument) {
            continue;
        }
        let own = file.boxes.is_some();
        if !reading.buttons(file, if own { instrument } else { base }) {
            continue;
        }
        if let Some(play) = &file.left_hand {
            let place = node.place_of("left-hand");
            let bars = reading.labels(from, to);
            out.left.extend(bars.map(|bar| LeftBar { bar, beats: play.0.0.clone(), place }));
        }
        let wish = wish(file);
        if wish == PinWish::default() {
            continue;
        }
        let tone = tone.map(|tone| match tone {
            ToneWish::Pitch(pitch) => ToneWish::Pitch(tune.spelt(moved).apply(pitch)),
            ToneWish::Top => ToneWish::Top,
        });
        let pin = Pin { target: PinTarget { span, tone }, wish, place: node.place, written: Written::Pins };
        if own || base.id == instrument.id {
            out.pins.push(pin);
        } else {
            carried.push(pin);
        }
    }
    out.carried = carried.iter().map(|pin| pin.place).collect();
    out.pins.extend(translate(&carried, base, instrument, moved.semitones, sink));
    out.pins.sort_by_key(|pin| pin.place);
    out
}

fn wish(file: &PinFile) -> PinWish {
    PinWish {
        direction: file.direction.as_ref().map(|said| said.0),
        row: file.row.as_ref().map(|said| said.0),
        button: file.button,
        finger: file.finger,
        sound: file.sound.as_ref().map(|said| said.0),
        place: file.place.as_ref().map(|place| ButtonId { row: place.row.0, number: place.button }),
        air: file.air.as_ref().map(|said| said.0),
    }
}

/// The range of a tune's bars in words.
pub fn bars_of(tune: &Tune) -> String {
    match (tune.bars.first(), tune.bars.last()) {
        (Some(first), Some(last)) => format!("bars {} to {}", first.label, last.label),
        _ => "no bars".to_owned(),
    }
}

struct Reading<'a> {
    tune: &'a Tune,
    node: &'a Node,
    sink: &'a mut Sink,
}

impl Reading<'_> {
    fn error(&mut self, code: Code, place: Place, message: String, hint: &str) {
        let complaint = self.sink.error(code, Some(place), message);
        if !hint.is_empty() {
            complaint.hints.push(hint.to_owned());
        }
    }

    fn bars(&mut self, file: &PinFile) -> Option<(BarLabel, BarLabel)> {
        let (Bars(from, to), key) = match (&file.bar, &file.bars) {
            (Some(bar), None) => (bar.0, "bar"),
            (None, Some(bars)) => (bars.0, "bars"),
            (Some(_), Some(_)) => {
                self.error(
                    code!("two-places"),
                    self.node.place,
                    "this pin has both `bar` and `bars`".into(),
                    "keep one of them",
                );
                return None;
            }
            (None, None) if self.node.partial => return None,
            (None, None) => {
                self.error(
                    code!("missing-key"),
                    self.node.place,
                    "this pin does not say which bar".into(),
                    "add `bar: ...`",
                );
                return None;
            }
        };
        for label in [from, to] {
            if self.tune.bar_index(label).is_none() {
                let message = format!("there is no bar {label}: the tune has {}", bars_of(self.tune));
                let hint = if label.second_half {
                    "only a bar that a repeat sign splits has a second half"
                } else {
                    "bars are counted as written, a pick-up is bar 0"
                };
                self.error(code!("no-such-bar"), self.node.place_of(key), message, hint);
                return None;
            }
        }
        Some((from, to))
    }

    fn span(&mut self, file: &PinFile, from: BarLabel, to: BarLabel) -> Option<NoteSpan> {
        let (note, key) = match (&file.note, &file.after) {
            (Some(note), None) => (note.0, "note"),
            (None, Some(after)) => (after.0, "after"),
            (Some(_), Some(_)) => {
                let hint = "`after` is for air, `note` for everything else: make it two pins";
                self.error(code!("two-places"), self.node.place, "this pin has both `note` and `after`".into(), hint);
                return None;
            }
            (None, None) => return Some(NoteSpan::Bars(from, to)),
        };
        if from != to {
            let message = format!("a note belongs to one bar, but this pin speaks of bars {from}-{to}");
            self.error(code!("two-places"), self.node.place_of(key), message, "write `bar:` with one bar");
            return None;
        }
        self.note(from, note, key).map(NoteSpan::Note)
    }

    fn note(&mut self, bar: BarLabel, note: HandNote, key: &str) -> Option<NoteId> {
        let found = self.tune.find(Address { bar, note: note.note, grace: note.grace });
        if found.is_none() {
            let heads = self.heads(bar).filter(|address| address.grace.is_none()).count();
            let message = match note.grace {
                Some(grace) if usize::try_from(note.note).is_ok_and(|n| n <= heads) => {
                    format!("note {} of bar {bar} has no grace note {grace} before it", note.note)
                }
                _ => format!("bar {bar} has {}, and no note {}", counted(heads), note.note),
            };
            self.error(
                code!("no-such-note"),
                self.node.place_of(key),
                message,
                "notes are counted in their bar; a chord is one note",
            );
        }
        found
    }

    fn heads(&self, bar: BarLabel) -> impl Iterator<Item = &Address> {
        self.tune.addresses.iter().filter(move |address| address.bar == bar)
    }

    fn labels(&self, from: BarLabel, to: BarLabel) -> impl Iterator<Item = BarLabel> + use<'_> {
        let inside = move |label: &BarLabel| (from..=to).contains(label);
        self.tune.bars.iter().map(|bar| bar.label).filter(inside)
    }

    fn guard(&mut self, file: &PinFile, span: NoteSpan) -> bool {
        let Some(is) = file.is.as_ref().map(|said| said.0) else { return true };
        let place = self.node.place_of("is");
        let NoteSpan::Note(id) = span else {
            self.error(
                code!("missing-key"),
                place,
                "`is` guards one note, but this pin does not say which".into(),
                "add `note: ...`",
            );
            return false;
        };
        let pitches = pitches(self.tune, id);
        if pitches.iter().any(|pitch| pitch.midi() == is.midi()) {
            return true;
        }
        let address = self.tune.address(id);
        let there: Vec<String> = pitches.iter().map(Pitch::to_string).collect();
        let message = format!("note {} of bar {} is {}, not {is}", named(address), address.bar, there.join(" "));
        let near = self.heads(address.bar).filter(|other| **other != address).find(|other| {
            let id = self.tune.find(**other);
            id.is_some_and(|id| self::pitches(self.tune, id).iter().any(|pitch| pitch.midi() == is.midi()))
        });
        let hint = match near {
            Some(other) => format!("{is} is note {} of this bar; or was the tune edited?", named(*other)),
            None => format!("was the tune edited? If the pin is still meant, write `is: {}`", there.join(" ")),
        };
        self.error(code!("pin-guard"), place, message, &hint);
        false
    }

    /// `Some(None)` when the pin names no tone; `None` when it names one that is not there.
    fn tone(&mut self, file: &PinFile, span: NoteSpan) -> Option<Option<ToneWish>> {
        let Some(tone) = file.tone.as_ref().map(|said| said.0) else { return Some(None) };
        let place = self.node.place_of("tone");
        let NoteSpan::Note(id) = span else {
            self.error(
                code!("missing-key"),
                place,
                "`tone` picks from one chord, but this pin does not say which".into(),
                "add `note: ...`",
            );
            return None;
        };
        match tone {
            Tone::Top => Some(Some(ToneWish::Top)),
            Tone::Pitch(wanted) => {
                let there = pitches(self.tune, id);
                if let Some(pitch) = there.iter().find(|pitch| pitch.midi() == wanted.midi()) {
                    return Some(Some(ToneWish::Pitch(*pitch)));
                }
                let there: Vec<String> = there.iter().map(Pitch::to_string).collect();
                let message = format!("{wanted} is not in this chord, which is {}", there.join(" "));
                self.error(code!("no-such-tone"), place, message, "name one of its notes, or `top`");
                None
            }
        }
    }

    fn wishes(&mut self, file: &PinFile) -> bool {
        let place = self.node.place;
        if wish(file) == PinWish::default() && file.left_hand.is_none() {
            if self.node.partial {
                return false;
            }
            let hint =
                "say what is fixed: `direction`, `row`, `button`, `finger`, `sound`, `place`, `air` or `left-hand`";
            self.error(code!("empty-pin"), place, "this pin fixes nothing".into(), hint);
            return false;
        }
        if file.air.is_some() && file.after.is_none() {
            self.error(
                code!("missing-key"),
                self.node.place_of("air"),
                "air is taken after a note".into(),
                "add `after: ...` with the note's number",
            );
            return false;
        }
        if file.after.is_some() && file.air.is_none() {
            self.error(
                code!("missing-key"),
                self.node.place_of("after"),
                "`after` is for air alone".into(),
                "write `note:`, or add `air: open` or `air: close`",
            );
            return false;
        }
        true
    }

    fn is_for(&mut self, file: &PinFile, instrument: &Instrument) -> bool {
        let Some(boxes) = &file.boxes else { return true };
        let place = self.node.place_of("for");
        for name in boxes {
            let is_path = name.contains('/') || name.ends_with(".yaml");
            if !is_path && *name != instrument.id && !builtin().iter().any(|(known, _)| known == name) {
                unknown_box(name, place, self.sink);
            }
        }
        boxes.contains(&instrument.id)
    }

    /// Buttons that the box does not have.
    fn buttons(&mut self, file: &PinFile, instrument: &Instrument) -> bool {
        let place = file.place.as_ref().map(|place| (place.row.0, Some(place.button), "place"));
        let button = file.row.as_ref().map(|row| (row.0, file.button, "row"));
        let mut good = true;
        for (at, number, key) in place.into_iter().chain(button) {
            let message = match (instrument.row(at), number) {
                (None, _) => format!("`{}` has no {at} row", instrument.id),
                (Some(row), Some(number)) if number == 0 || usize::from(number) > row.buttons.len() => {
                    format!(
                        "the {at} row of `{}` has {} buttons, and none numbered {number}",
                        instrument.id,
                        row.buttons.len()
                    )
                }
                _ => continue,
            };
            let key = if key == "row" && number.is_some() && instrument.row(at).is_some() { "button" } else { key };
            let hint = format!("`boxwright boxes {}` draws it", instrument.id);
            self.error(code!("no-such-button"), self.node.place_of(key), message, &hint);
            good = false;
        }
        good
    }
}

fn counted(heads: usize) -> String {
    if heads == 1 { "1 note".to_owned() } else { format!("{heads} notes") }
}

fn named(address: Address) -> String {
    match address.grace {
        Some(grace) => format!("{}g{grace}", address.note),
        None => address.note.to_string(),
    }
}

/// The pitches of a head or grace note, lowest first.
pub fn pitches(tune: &Tune, id: NoteId) -> Vec<Pitch> {
    let of = |notes: &[Note]| notes.iter().map(|note| note.pitch).collect();
    let Some(index) = tune.addresses.get(id.index()).and_then(|address| tune.bar_index(address.bar)) else {
        return Vec::new();
    };
    for event in &tune.bars[index].events {
        if event.head() == Some(id) {
            return of(event.notes());
        }
        if let Some(grace) = event.graces.iter().find(|grace| grace.id == id) {
            return of(&grace.notes);
        }
    }
    Vec::new()
}
