//! Fingers for a way through a scale: those that the planner gives it as a tune of crotchets, with every button pinned.
//!
//! Takes a box and a way; knows no page. What is played along the row is fingered in that style, else in the smooth one, as a
//! tune would be.

use super::scale_paths::Path;
use crate::diag::{Place, Sink, Sources};
use crate::fingering::{NoteSpan, Pin, PinTarget, PinWish, Request, Style, Weights, Written, plan};
use crate::instrument::Instrument;
use crate::tune::{
    Bar, BarLabel, Duration, Event, Meter, Note, NoteId, NoteValue, Onset, Pitch, Sounding, Tempo, Tune,
};

/// Crotchets in a bar, and a minute: slow enough that no turn counts as quick.
const IN_A_BAR: usize = 4;
const A_MINUTE: u32 = 80;

/// The finger of every note, 1 for the index; `None` for one that the planner gives none.
pub(super) fn fingers(instrument: &Instrument, path: &Path) -> Vec<Option<u8>> {
    let tune = tune(path);
    let mut sources = Sources::default();
    let place = Place::new(sources.add("", ""), 1, 1);
    let ids = || (0u32..).map(NoteId).take(path.steps.len());
    let pins = ids().zip(&path.steps).map(|(note, step)| Pin {
        target: PinTarget { span: NoteSpan::Note(note), tone: None },
        wish: PinWish {
            direction: Some(step.direction),
            row: Some(step.button.row),
            button: Some(step.button.number),
            ..PinWish::default()
        },
        place,
        written: Written::Pins,
    });
    let style = if path.one_row() { Style::Along } else { Style::Smooth };
    let weights = Weights { style, ..Weights::default() };
    let request = Request { weights, pins: pins.collect(), ..Request::default() };
    // What a scale makes the planner say is nothing that an author could mend.
    let plan = plan(&tune, instrument, &request, &mut Sink::default());
    ids().map(|note| Some(plan.note(note)?.presses.first()?.finger)).collect()
}

/// A way as a tune of crotchets.
fn tune(path: &Path) -> Tune {
    let beat = Duration::new(1, 4);
    let mut tune = Tune {
        meter: Meter::simple(4, 4),
        tempo: Some(Tempo { before: None, beat: vec![beat], bpm: Some(A_MINUTE), after: None }),
        ..Tune::blank()
    };
    let mut at = Onset::ZERO;
    for (number, steps) in (1..).zip(path.steps.chunks(IN_A_BAR)) {
        let mut bar = Bar { label: BarLabel::new(number), onset: at, rest_run: 1, ..Bar::blank() };
        for step in steps {
            let notes = std::iter::once(Note::new(Pitch::from_midi(step.midi))).collect();
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
    use crate::page::matter::scale_paths::{self, Wish};
    use crate::page::sample;

    /// One finger a button from the start button on, as beginners are taught it (common practice, no source).
    #[test]
    fn the_rows_own_scale_takes_a_finger_a_button() {
        let instrument = sample::instrument();
        for row in &instrument.rows {
            let tonic = row.buttons[usize::from(row.start) - 1].push.midi();
            let notes = [0, 2, 4, 5, 7, 9, 11, 12].map(|interval| tonic + interval);
            let along = scale_paths::path(&instrument, &notes, Wish::Row(row.at)).expect("the row has its scale");
            let fingers = fingers(&instrument, &along);
            assert_eq!(fingers, [1, 1, 2, 2, 3, 3, 4, 4].map(Some), "{:?}", along.steps);
        }
    }
}
