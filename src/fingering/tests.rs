//! The stage as a whole: facts of the trade, pins, the left hand, and equality with trying everything.

use super::testing::{dg, tune};
use super::*;
use crate::diag::{Severity, Sink};
use crate::instrument::{Direction, RowAt};
use crate::tune::{Meter, NoteId};

fn planned(line: &str, style: Style) -> Plan {
    let weights = Weights { style, changed: vec![] };
    let mut sink = Sink::default();
    let plan = plan(&tune(Meter::simple(4, 4), line), &dg(), &Request { weights, ..Request::default() }, &mut sink);
    assert_eq!(sink.items(), [], "{line}");
    plan
}

/// `i3+1` is button 3 of the inner row on the push with finger 1.
fn short(plan: &Plan) -> String {
    let words = plan.notes.iter().map(|note| {
        let note = note.as_ref().expect("planned");
        let presses = note.presses.iter().map(|press| {
            let row = match press.button.row {
                RowAt::Outer => "o",
                RowAt::Inner => "i",
                RowAt::Half => "h",
            };
            let way = if note.direction == Direction::Push { "+" } else { "-" };
            format!("{row}{}{way}{}", press.button.number, press.finger)
        });
        presses.collect::<Vec<_>>().join("/")
    });
    words.collect::<Vec<_>>().join(" ")
}

#[test]
fn a_scale_along_the_row_turns_as_tabulated() {
    // Published: s, s', s+1, s+1', s+2, s+2', s+3', s+3 for every row.
    let plan = planned("G4 A4 B4 C5 | D5 E5 F#5 G5", Style::Along);
    assert_eq!(short(&plan), "i3+1 i3-1 i4+2 i4-2 i5+3 i5-3 i6-4 i6+4");
    assert_eq!((plan.turns, plan.row_changes, plan.place_shifts), (6, 0, 0));
}

#[test]
fn smooth_playing_crosses_the_rows() {
    let plan = planned("G4 A4 B4 C5 | D5 E5 F#5 G5", Style::Smooth);
    assert!(plan.turns < 6 && plan.row_changes > 0, "{}", short(&plan));
}

#[test]
fn g_to_a_on_the_inner_row_is_one_button_turned() {
    let plan = planned("G4 A4", Style::Along);
    assert_eq!(plan.note(NoteId(1)).expect("planned").presses[0].sound, Sound::Replay);
    let mut quick = tune(Meter::simple(4, 4), "G4 A4");
    quick.tempo.as_mut().expect("a tempo").bpm = Some(200);
    let request = Request { weights: Weights { style: Style::Along, changed: vec![] }, ..Request::default() };
    let plan = super::plan(&quick, &dg(), &request, &mut Sink::default());
    assert_eq!(plan.note(NoteId(1)).expect("planned").presses[0].sound, Sound::Reversal);
}

#[test]
fn a_note_off_the_box_is_an_error_with_a_way_out() {
    let mut sink = Sink::default();
    let plan = plan(&tune(Meter::simple(4, 4), "G4 D#4 A4 G4"), &dg(), &Request::default(), &mut sink);
    assert_eq!(sink.items()[0].code, "not-on-box");
    assert_eq!(sink.items()[0].severity, Severity::Error);
    assert!(sink.items()[0].message.contains("D#4 (note 1.2)"), "{}", sink.items()[0].message);
    assert!(plan.note(NoteId(1)).is_none() && plan.note(NoteId(2)).is_some());
}
