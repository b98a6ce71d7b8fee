//! What the left hand plays where its chord changes or the bellows turn: cases that an exacting teacher tried.

use crate::diag::{Place, Sink, Sources};
use crate::fingering::testing::{dg, tune};
use crate::fingering::*;
use crate::instrument::{Direction, LeftKind};
use crate::tune::{Fraction, Meter, NoteId, Onset, Tune};

fn played(tune: &Tune, pattern: Option<&str>) -> Plan {
    let pattern = pattern.map_or(LeftPattern::Auto, |name| LeftPattern::Named(name.into()));
    let request = Request { left: LeftHandSpec { pattern, bars: vec![] }, ..Request::default() };
    plan(tune, &dg(), &request, &mut Sink::default())
}

/// The left hand of a bar: `G g@1/4`, where a moment is told but for the bar's start.
fn left(plan: &Plan, bar: usize) -> String {
    let presses = plan.left.iter().filter(|press| press.bar == bar && !press.dropped);
    let words = presses.map(|press| match press.onset {
        Onset::ZERO => press.name.to_string(),
        onset => format!("{}@{}", press.name, onset.0),
    });
    words.collect::<Vec<_>>().join(" ")
}

#[test]
fn a_pattern_without_basses_never_plays_one() {
    let line = "\"G\" G4*2 B4*2 \"D\" A4*4 | \"G\" G4 \"C\" E5 \"D\" D5*2 A4 \"G\" B4*3 | \"G\" G4*8";
    let tune = tune(Meter::simple(4, 4), line);
    for (pattern, bar) in [("chords-only", "g d@1/2"), ("off-beats", "g@1/8 g@3/8 d@5/8 d@7/8")] {
        let plan = played(&tune, Some(pattern));
        assert!(plan.left.iter().all(|press| press.kind == LeftKind::Chord), "{pattern}");
        assert_eq!(left(&plan, 0), bar);
    }
}

#[test]
fn a_bar_keeps_its_only_chord() {
    let tune = tune(Meter::simple(3, 4), "\"C\" E5*2 \"G\" B4*4 | \"G\" G4*6 | G4*6");
    assert_eq!(left(&played(&tune, Some("mazurka")), 0), "C g@1/2");
    // A waltz has another chord to play.
    assert_eq!(left(&played(&tune, None), 0), "C G@1/4 g@1/2");
}

#[test]
fn between_beats_a_new_chord_is_a_chord_and_its_bass_waits() {
    let tune = tune(Meter::simple(2, 4), "\"G\" G4 B4 D5 \"D\" A4 | \"D\" F#4 A4 \"G\" G4*2 | \"G\" G4*4");
    let plan = played(&tune, None);
    assert_eq!((left(&plan, 0), left(&plan, 1)), ("G g@1/8 G@1/4 d@3/8".into(), "D d@1/8 G@1/4 g@3/8".into()));
}

#[test]
fn a_held_chord_that_a_turn_ends_is_taken_up_again() {
    // C5 is on the pull only, G on the push only.
    let tune = tune(Meter::simple(3, 2), "\"G\" D5*4 B4*3 C5 D5*2 B4*2 | \"G\" G4*12");
    assert_eq!(left(&played(&tune, None), 0), "G g G@1 g@1");
    let plan = played(&tune, None);
    let first: Vec<_> = plan.left.iter().filter(|press| press.bar == 0).map(|press| press.duration.0).collect();
    assert_eq!(first, [Fraction::new(7, 8), Fraction::new(7, 8), Fraction::new(1, 2), Fraction::new(1, 2)]);
}

/// C5 is on the pull alone, B4 in both directions, the G chord on the push alone: any player leaves the ornament out rather than press
/// another chord. Under a chord of both directions, and where the author pins the grace itself, it stays.
#[test]
fn a_grace_is_left_out_before_its_chord_gives_way() {
    let plan_of = |line: &str, request: &Request| {
        let mut sink = Sink::default();
        let plan = plan(&tune(Meter::simple(4, 4), line), &dg(), request, &mut sink);
        let said: Vec<String> = sink.items().iter().map(|item| item.message.clone()).collect();
        (plan, said)
    };
    let (plan, said) = plan_of("\"G\" {C5} B4*4 G4*4", &Request::default());
    assert_eq!(plan.left_out, [(NoteId(0), LeftOut::OtherWay(Direction::Push))]);
    assert_eq!(left(&plan, 0), "G g@1/4 G@1/2");
    let message = "the grace note 1.1g1 does not sound on the push like its note, which the chord under it asks for, and is left out";
    assert_eq!(said, [message]);
    assert_eq!(plan.turns, plan_of("\"G\" B4*4 G4*4", &Request::default()).0.turns);

    let (plan, said) = plan_of("\"D\" {C5} B4*4 D5*4", &Request::default());
    assert_eq!((plan.left_out, said), (vec![], vec![]));

    let target = PinTarget { span: NoteSpan::Note(NoteId(0)), tone: None };
    let wish = PinWish { direction: Some(Direction::Pull), ..PinWish::default() };
    let place = Place::new(Sources::default().add("pins", ""), 1, 1);
    let pins = vec![Pin { target, wish, place, written: Written::Pins }];
    let (plan, _) = plan_of("\"G\" {C5} B4*4 G4*4", &Request { pins, ..Request::default() });
    assert!(plan.left_out.is_empty() && plan.note(NoteId(0)).is_some());
}
