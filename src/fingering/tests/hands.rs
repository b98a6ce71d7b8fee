//! What the hand can do from note to note: cases that an exacting teacher tried.

use super::{pin, short, with_pins};
use crate::diag::Sink;
use crate::fingering::testing::{dg, tune};
use crate::fingering::*;
use crate::instrument::{Direction, RowAt};
use crate::tune::{BarLabel, Meter, NoteId, Tune};

fn played(tune: &Tune) -> Plan {
    plan(tune, &dg(), &Request::default(), &mut Sink::default())
}

#[test]
fn the_hand_at_the_lowest_button_reaches_the_inner_row() {
    let tune = tune(Meter::simple(6, 8), "\"A\" A3 C#4 E4 A4 E4 C#4 | \"A\" A3 C#4 E4 A4*3");
    let plan = played(&tune);
    assert_eq!(short(&plan), "o1-1 o2-2 o3-3 i3-4 o3-3 o2-2 o1-1 o2-2 o3-3 i3-4");
    assert_eq!(plan.place_shifts, 0);
    let wish = PinWish { direction: Some(Direction::Pull), finger: Some(4), ..PinWish::default() };
    let (plan, sink) = with_pins("A3 C#4 E4 A4", vec![pin(3, wish)]);
    assert_eq!((sink.items(), plan.note(NoteId(3)).map(|note| note.presses[0].finger)), (&[][..], Some(4)));
}

#[test]
fn six_buttons_from_note_to_note_are_a_move() {
    let inner = PinWish { row: Some(RowAt::Inner), direction: Some(Direction::Push), ..PinWish::default() };
    let (plan, sink) = with_pins("B3 G5 B3 G5", (0..4).map(|n| pin(n, inner.clone())).collect());
    assert_eq!(sink.items(), []);
    let buttons: Vec<u8> = plan.notes.iter().flatten().map(|note| note.presses[0].button.number).collect();
    assert_eq!(buttons, [1, 6, 1, 6]);
    assert_eq!(plan.place_shifts, 3, "{}", short(&plan));
}

/// From C5 on the inner row to G5 on the outer one middle and little finger would part by three buttons and a half, from E5
/// ring and little finger by two and a half.
#[test]
fn neighbouring_fingers_do_not_part_far_in_quick_notes() {
    let reel = "\"G\" G4*2 B4 G4 D5 G4 B4 G4 | \"C\" C5*2 E5 C5 G5 C5 E5 C5 | \"G\" B4 G4 D5 G4 \"D\" A4 F#4 D4 F#4 | \"G\" G4*8";
    let jig = "|: \"G\" G4 B4 D5 \"C\" E5 G5 E5 | \"G\" D5 B4 G4 \"C\" E5 G5 E5 | \"C\" E5 G5 E5 \"G\" D5 B4 G4 | \"G\" G4*3 G4*3 :|";
    let polka = "\"G\" G4 B4 \"C\" E5 G5 | E5 G5 E5 C5 | \"G\" B4 G4 D5 G4 | G4*4";
    let all = [(Meter::Cut, reel, 192), (Meter::simple(6, 8), jig, 165), (Meter::simple(2, 4), polka, 100)];
    for (meter, line, bpm) in all {
        let mut tune = tune(meter, line);
        tune.tempo.as_mut().expect("a tempo").bpm = Some(bpm);
        let plan = played(&tune);
        let notes: Vec<&PlannedNote> = plan.notes.iter().flatten().collect();
        let beyond = |note: &PlannedNote| dg().along(note.presses[0].button) - f64::from(note.presses[0].finger);
        let stays = |pair: &&[&PlannedNote]| !pair[1].place_moves;
        for pair in notes.windows(2).filter(stays) {
            assert!((beyond(pair[0]) - beyond(pair[1])).abs() <= 1.0, "{}", short(&plan));
        }
    }
}

#[test]
fn nothing_moves_between_a_grace_and_its_note() {
    let line = "\"G\" G4*2/3 B4*2/3 D5*2/3 G5*2 D5*2 {A4} B4*2 | \"C\" C5*2/3 E5*2/3 G5*2/3 E5*2 \"G\" D5*2 {A4} B4*2 \
                | \"D\" F#5*2/3 E5*2/3 C5*2/3 A4*2 \"G\" G4*4";
    let tune = tune(Meter::simple(4, 4), line);
    let plan = played(&tune);
    let notes: Vec<&PlannedNote> = plan.notes.iter().flatten().collect();
    let graces: Vec<usize> =
        notes.windows(2).enumerate().filter(|(_, pair)| graced(&tune, pair[0].id)).map(|p| p.0).collect();
    assert_eq!(graces.len(), 2);
    for n in graces {
        let (grace, head) = (notes[n], notes[n + 1]);
        assert!(!head.place_moves && grace.presses[0].finger != head.presses[0].finger, "{}", short(&plan));
    }
}

fn graced(tune: &Tune, id: NoteId) -> bool {
    tune.bars.iter().flat_map(|bar| &bar.events).any(|event| event.graces.iter().any(|grace| grace.id == id))
}

#[test]
fn a_pick_up_is_no_moment_to_move() {
    let line =
        "D4*2 |: \"G\" G4*4 A4 B4 | \"C\" C5*4 E5*2 | \"G\" D5*4 B4*2 | \"D\" A4*6 | \"G\" B4*3 A4 G4*2 | G4*6 :|";
    let mut tune = tune(Meter::simple(3, 4), line);
    tune.tempo.as_mut().expect("a tempo").bpm = Some(132);
    for (n, bar) in tune.bars.iter_mut().enumerate() {
        bar.label = BarLabel::new(n as u32);
    }
    let plan = played(&tune);
    let notes: Vec<&PlannedNote> = plan.notes.iter().flatten().collect();
    assert!(!notes[1].place_moves && notes[0].presses[0].finger == 1, "{}", short(&plan));
}

/// The part of a polka in which bars 1 and 2 come again as 5 and 6.
const RETURNING: &str = "\"D\" F#5 D5 F#5 D5 | \"G\" G5 D5 B4 D5 | \"D\" F#5 D5 A4 F#4 | \"A\" E4 A4 C#5 E5 \
                         | \"D\" F#5 D5 F#5 D5 | \"G\" G5 D5 B4 D5 | \"A\" E5 C#5 B4 C#5 | \"D\" D5*4";

fn returning(unlike: Option<u32>, pins: Vec<Pin>) -> Plan {
    let changed = unlike.map(|price| Weight { kind: CostKind::Unlike, price }).into_iter().collect();
    let request = Request { weights: Weights { style: Style::Smooth, changed }, pins, ..Request::default() };
    plan(&tune(Meter::simple(2, 4), RETURNING), &dg(), &request, &mut Sink::default())
}

#[test]
fn a_bar_that_comes_again_is_taken_as_before() {
    let bar = |plan: &Plan, from: usize| -> Vec<(Direction, Vec<Press>)> {
        let notes = plan.notes[from..from + 8].iter().flatten();
        notes.map(|note| (note.direction, note.presses.iter().cloned().collect())).collect()
    };
    let grips = |plan: &Plan, from| -> Vec<_> {
        let press = |press: &Press| (press.button, press.finger);
        bar(plan, from).into_iter().map(|(way, presses)| (way, presses.iter().map(press).collect::<Vec<_>>())).collect()
    };
    let free = returning(Some(0), vec![]);
    assert_ne!(grips(&free, 0), grips(&free, 16), "without a price it would not be: {}", short(&free));
    assert_eq!(free.otherwise, [vec![0, 4], vec![1, 5]]);
    let plan = returning(None, vec![]);
    assert_eq!(grips(&plan, 0), grips(&plan, 16), "{}", short(&plan));
    assert!(plan.otherwise.is_empty());
    // What the bars have in common need not be the way that either is taken without a price: no pin makes it cheaper.
    for note in 0..8 {
        for row in [RowAt::Outer, RowAt::Inner] {
            let pins = [note, note + 16].map(|n| pin(n, PinWish { row: Some(row), ..PinWish::default() }));
            let pinned = returning(None, pins.to_vec());
            assert!(pinned.cost.total >= plan.cost.total, "{note} {row}: {}", short(&pinned));
        }
    }
    // One that is pinned leads the other.
    let wish = PinWish { row: Some(RowAt::Inner), ..PinWish::default() };
    let led = returning(Some(12), vec![pin(1, wish)]);
    assert_eq!(grips(&led, 0), grips(&led, 16), "{}", short(&led));
    assert_ne!(grips(&led, 0), grips(&plan, 0));
}

#[test]
fn the_place_is_true_of_the_index_finger_that_plays_under_its_sign() {
    // A pick-up on the button below: the index finger would reach down for it, and the page name the button it left.
    let line = "A4 B4 C5 | \"D\" D5*2 A4*2 F#4*2 A4*2 | \"G\" B4*2 D5*2 G5*2 D5*2 | \"A\" E5*2 C#5*2 A4*4";
    let plan = played(&tune(Meter::simple(4, 4), line));
    let mut signs = 0;
    for note in plan.notes.iter().flatten().filter(|note| note.place_moves) {
        signs += 1;
        let index = note.presses.iter().find(|press| press.finger == 1);
        assert!(index.is_none_or(|press| press.button == note.place.0), "{}", short(&plan));
    }
    assert!(signs > 0);
}
