//! The ways through a scale or an arpeggio, along one row and across the rows: what the planner makes of it as a tune of crotchets.
//!
//! Takes a box and pitches; knows no page. The planner is asked for few turns and for no button by the chin, and it alone
//! decides fingers and moves of the hand, so that what is printed can be played.

use crate::diag::{Place, Sink, Sources};
use crate::fingering::{CostKind, NoteSpan, Pin, PinTarget, PinWish, Request, Style, Weight, Weights, Written, plan};
use crate::instrument::{ButtonId, Direction, Instrument, RowAt};
use crate::tune::{
    Bar, BarLabel, Duration, Event, Meter, Note, NoteId, NoteValue, Onset, Pitch, Sounding, Tempo, Tune,
};

/// Crotchets in a bar, and a minute: slow enough that no turn counts as quick, too quick to throw the hand about.
const IN_A_BAR: usize = 4;
const A_MINUTE: u32 = 100;

/// What is asked of the planner across the rows: a turn is dearer than a move of the hand, a button by the chin, which differs
/// from box to box, dearer than a turn; how long the bellows last is for tunes. Common practice, no source.
const ACROSS: [(CostKind, u32); 7] = [
    (CostKind::Turn, 30),
    (CostKind::WeakTurn, 0),
    (CostKind::ChinButton, 60),
    (CostKind::FingerSwap, 8),
    (CostKind::AirPoint, 0),
    (CostKind::Drift, 0),
    (CostKind::BellowsEnd, 0),
];

/// One note of a way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Step {
    /// MIDI key number.
    pub midi: i32,
    /// Which way the bellows go.
    pub direction: Direction,
    /// The button.
    pub button: ButtonId,
    /// Its finger, 1 for the index.
    pub finger: Option<u8>,
    /// Where the hand goes for it.
    pub place: Option<ButtonId>,
}

/// A whole way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Way {
    /// The notes.
    pub steps: Vec<Step>,
}

impl Way {
    /// Turns of the bellows.
    pub(super) fn turns(&self) -> usize {
        self.steps.windows(2).filter(|pair| pair[0].direction != pair[1].direction).count()
    }
    /// Whether another way spares turns.
    pub(super) fn turns_more_than(&self, other: &Self) -> bool {
        self.turns() > other.turns()
    }
}

/// What is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wish {
    /// Few turns, on all rows.
    Across,
    /// The buttons of one row alone.
    Row(RowAt),
}

/// The way through the notes; `None` when the box, or the row that is asked for, lacks one of them.
pub(super) fn way(instrument: &Instrument, notes: &[i32], wish: Wish) -> Option<Way> {
    let asked = |button: ButtonId| !matches!(wish, Wish::Row(at) if at != button.row);
    let sounds = |midi: &i32| instrument.ways(*midi).into_iter().any(|(_, button)| asked(button));
    if !notes.iter().all(sounds) {
        return None;
    }
    let tune = tune(notes);
    let mut sources = Sources::default();
    let place = Place::new(sources.add("", ""), 1, 1);
    let ids = || (0u32..).map(NoteId).take(notes.len());
    let (weights, pins) = match wish {
        Wish::Across => {
            let changed = ACROSS.map(|(kind, price)| Weight { kind, price }).to_vec();
            (Weights { style: Style::Smooth, changed }, Vec::new())
        }
        Wish::Row(at) => {
            let pin = |note| Pin {
                target: PinTarget { span: NoteSpan::Note(note), tone: None },
                wish: PinWish { row: Some(at), ..PinWish::default() },
                place,
                written: Written::Pins,
            };
            (Weights { style: Style::Along, ..Weights::default() }, ids().map(pin).collect())
        }
    };
    let request = Request { weights, pins, ..Request::default() };
    // What a scale makes the planner say is nothing that an author could mend.
    let plan = plan(&tune, instrument, &request, &mut Sink::default());
    let step = |(id, midi): (NoteId, &i32)| {
        let note = plan.note(id)?;
        let press = note.presses.first()?;
        let place = Some(note.place.0).filter(|_| note.place_moves);
        Some(Step { midi: *midi, direction: note.direction, button: press.button, finger: Some(press.finger), place })
    };
    ids().zip(notes).map(step).collect::<Option<Vec<Step>>>().map(|steps| Way { steps })
}

/// Notes as a tune of crotchets.
fn tune(notes: &[i32]) -> Tune {
    let beat = Duration::new(1, 4);
    let mut tune = Tune {
        meter: Meter::simple(4, 4),
        tempo: Some(Tempo { before: None, beat: vec![beat], bpm: Some(A_MINUTE), after: None }),
        ..Tune::blank()
    };
    let mut at = Onset::ZERO;
    for (number, notes) in (1..).zip(notes.chunks(IN_A_BAR)) {
        let mut bar = Bar { label: BarLabel::new(number), onset: at, rest_run: 1, ..Bar::blank() };
        for midi in notes {
            let notes = std::iter::once(Note::new(Pitch::from_midi(*midi))).collect();
            let onset = Onset::ZERO + bar.length;
            let sounding = Sounding::Head { id: NoteId(0), notes };
            let value = NoteValue::plain(2);
            bar.events.push(Event { onset, duration: beat, value, ..Event::blank(sounding) });
            bar.length += beat;
        }
        at = at + bar.length;
        tune.bars.push(bar);
    }
    tune.number_notes();
    tune
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::builtin_box;
    use crate::instrument::{Row, builtin};

    /// Semitones of the scales and the chords broken up that the page shows.
    const NOTES: [&[i32]; 2] = [&[0, 2, 4, 5, 7, 9, 11, 12], &[0, 4, 7, 12]];

    /// The scale and the arpeggio from the start button of every row of every built-in box.
    fn all() -> Vec<(&'static str, Instrument, Row, Vec<i32>)> {
        let mut all = Vec::new();
        for (id, _) in builtin() {
            let instrument = builtin_box(id).expect("a built-in box reads");
            for row in instrument.rows.iter().filter(|row| row.start > 0) {
                let tonic = row.buttons[usize::from(row.start) - 1].push.midi();
                for intervals in NOTES {
                    let notes = intervals.iter().map(|interval| tonic + interval).collect();
                    all.push((*id, instrument.clone(), row.clone(), notes));
                }
            }
        }
        all
    }

    /// No button further towards the chin than the one above the start button.
    fn is_home(instrument: &Instrument, button: ButtonId) -> bool {
        instrument.row(button.row).is_some_and(|row| button.number + 1 >= row.start)
    }

    /// The fewest turns of all ways through the notes on home buttons, by brute force.
    fn fewest(instrument: &Instrument, notes: &[i32]) -> Option<usize> {
        let mut ways: Option<Vec<(Direction, usize)>> = None;
        for midi in notes {
            let here = instrument.ways(*midi).into_iter().filter(|(_, button)| is_home(instrument, *button));
            let onward = |now: Direction| match &ways {
                None => vec![(now, 0)],
                Some(ways) => ways.iter().map(|(before, turns)| (now, turns + usize::from(*before != now))).collect(),
            };
            ways = Some(here.flat_map(|(now, _)| onward(now)).collect());
        }
        ways?.into_iter().map(|(_, turns)| turns).min()
    }

    /// One finger a button from the start button on, as beginners are taught it (common practice, no source); the rule of a row,
    /// published in words for two-row boxes: each row is a box of its own, and its scale from the start button is push and
    /// pull in turn on three buttons, then pull and push on the fourth.
    #[test]
    fn along_the_row_the_scale_lies_under_four_fingers() {
        for (id, instrument, row, notes) in all().into_iter().filter(|(.., notes)| notes.len() == 8) {
            let along = way(&instrument, &notes, Wish::Row(row.at)).expect("the row has its scale");
            let numbers: Vec<u8> = along.steps.iter().map(|step| step.button.number - row.start).collect();
            let fingers: Vec<u8> = along.steps.iter().filter_map(|step| step.finger).collect();
            assert_eq!((numbers, along.turns()), (vec![0, 0, 1, 1, 2, 2, 3, 3], 6), "{id}: {along:?}");
            assert_eq!(fingers, [1, 1, 2, 2, 3, 3, 4, 4], "{id}: {along:?}");
            assert!(along.steps.iter().all(|step| step.button.row == row.at), "{id}: {along:?}");
        }
    }

    /// A hand can play what is printed: from sign to sign every finger lies on its own spot or half a button beside it, no
    /// finger goes to another button at once, none changes on a button, and the hand moves once, on chromatic boxes twice.
    #[test]
    fn across_the_rows_a_hand_plays_the_scale_of_every_box() {
        let mut spared = 0;
        for (id, instrument, row, notes) in all() {
            let across = way(&instrument, &notes, Wish::Across).expect("every box has its scales");
            let along = way(&instrument, &notes, Wish::Row(row.at)).expect("the row has its scale");
            let context = format!("{id}, {}: {across:?}", row.name);
            assert_eq!(Some(across.turns()), fewest(&instrument, &notes), "{context}");
            spared += usize::from(along.turns_more_than(&across));
            let mut place = across.steps[0].place.expect("the first note says where the hand lies");
            for step in &across.steps {
                place = step.place.unwrap_or(place);
                let finger = f64::from(step.finger.expect("a finger"));
                let off = instrument.along(step.button) - instrument.along(place) - (finger - 1.0);
                assert!(off.abs() <= 0.5, "{context}: {step:?} from {place}");
                assert!(is_home(&instrument, step.button), "{context}: {step:?}");
            }
            for pair in across.steps.windows(2) {
                let same = (pair[0].button == pair[1].button, pair[0].finger == pair[1].finger);
                assert!(same.0 == same.1, "{context}: {pair:?}");
            }
            let moves = across.steps.iter().skip(1).filter(|step| step.place.is_some()).count();
            assert!(moves <= if id.starts_with("bc") || id.starts_with("csd") { 2 } else { 1 }, "{context}");
        }
        // Every scale of the boxes of two rows, and no arpeggio: that lies on the push.
        assert_eq!(spared, 36);
    }

    #[test]
    fn what_the_box_or_the_row_lacks_has_no_way() {
        let instrument = builtin_box("dg-21-third").expect("a built-in box reads");
        assert_eq!(way(&instrument, &[61, 60], Wish::Across), None);
        assert_eq!(way(&instrument, &[62, 61], Wish::Row(RowAt::Inner)), None);
    }
}
