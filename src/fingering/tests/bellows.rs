//! Bellows and air over whole tunes.

use super::{pin, planned, with_pins};
use crate::diag::Sink;
use crate::fingering::testing::{dg, tune};
use crate::fingering::*;
use crate::instrument::Direction;
use crate::tune::{Meter, NoteId, Tune};

fn small(seconds: f64) -> crate::instrument::Instrument {
    let mut instrument = dg();
    instrument.bellows.seconds = seconds;
    instrument
}

fn points(plan: &Plan, tune: &Tune) -> Vec<BellowsPoint> {
    plan.bellows.curve.points(tune).collect()
}

#[test]
fn push_and_pull_of_equal_length_and_reeds_cancel() {
    // G4 (push) and A4 (pull) on one button, four times each: back where it began.
    let pins = |n: u32| {
        let direction = if n.is_multiple_of(2) { Direction::Push } else { Direction::Pull };
        pin(n, PinWish { direction: Some(direction), ..PinWish::default() })
    };
    let line = "G4*2 A4*2 G4*2 A4*2 | G4*2 A4*2 G4*2 A4*2";
    let (plan, _) = with_pins(line, (0..8).map(pins).collect());
    let points = points(&plan, &tune(Meter::simple(4, 4), line));
    assert_eq!(points.len(), 8);
    assert!((points[1].to - points[7].to).abs() < 1e-12);
    // A crotchet at 100 lasts 0.6 s; one note alone takes two of eight parts of the air of a full bellows' measure.
    assert!((points[0].to - points[1].to).abs() - 0.6 * 2.0 / 8.0 / 9.0 < 1e-9);
    assert!(plan.bellows.air.is_empty() && plan.bellows.runs_out.is_none());
}

#[test]
fn a_tune_that_only_pushes_needs_air_or_runs_out() {
    // D5 is on the push only. 2.4 s of one note are 0.6 s of a full bellows' measure.
    let line = "D5*8 | D5*8 | D5*8 | D5*8";
    let run = |seconds| {
        let mut sink = Sink::default();
        let plan = plan(&tune(Meter::simple(4, 4), line), &small(seconds), &Request::default(), &mut sink);
        (plan, sink)
    };
    let (plan, sink) = run(3.2);
    assert!(sink.items().is_empty() && plan.bellows.air.is_empty(), "{:?}", sink.items());
    // 2.4 s of 2.5 leave a fiftieth at either end: they last, but nobody plays so.
    let (plan, sink) = run(2.5);
    assert_eq!(sink.items().iter().map(|item| item.code).collect::<Vec<_>>(), ["bellows-close"]);
    assert_eq!((plan.bellows.close, plan.bellows.air.len(), plan.bellows.runs_out), (Some(NoteId(3)), 0, None));
    let (plan, sink) = run(1.3);
    assert_eq!(sink.items()[0].code, "air-needed");
    assert_eq!(plan.bellows.air.iter().map(|air| (air.after, air.air)).collect::<Vec<_>>(), [(NoteId(1), Air::Open)]);
    assert!(plan.bellows.curve.least_open >= 0.0 && plan.bellows.curve.most_open <= 1.0);
    assert!(plan.cost.by_kind.iter().any(|(kind, cost)| *kind == CostKind::AirPoint && *cost > 0));
    let (plan, sink) = run(0.5);
    assert_eq!((sink.items()[0].code.name(), plan.bellows.runs_out), ("bellows-run-out", Some(NoteId(0))));
}

#[test]
fn free_notes_turn_before_air_is_taken() {
    // Nine crotchets of free notes on the push alone would drain 1 s; some go to the pull instead.
    let line = "G4*2 B4*2 G4*2 B4*2 | G4*2 B4*2 G4*2 B4*2 | G4*2";
    let mut sink = Sink::default();
    let tune = tune(Meter::simple(4, 4), line);
    let wide = plan(&tune, &small(9.0), &Request::default(), &mut sink);
    assert_eq!(wide.turns, 0);
    let tight = plan(&tune, &small(1.0), &Request::default(), &mut sink);
    assert!(tight.turns == 1 && tight.bellows.air.is_empty(), "{:?}", tight.cost);
    assert_eq!(sink.items(), []);
}

#[test]
fn the_authors_air_is_taken_as_written() {
    let wish = PinWish { air: Some(Air::Open), ..PinWish::default() };
    let mut sink = Sink::default();
    let request = Request { pins: vec![pin(1, wish)], ..Request::default() };
    let tune = tune(Meter::simple(4, 4), "D5*8 | D5*8 | D5*8 | D5*8");
    let plan = plan(&tune, &small(1.5), &request, &mut sink);
    assert_eq!(sink.items(), []);
    assert_eq!(plan.bellows.air, [AirPoint { after: NoteId(1), air: Air::Open, pinned: true }]);
    // It moves the bellows where it is written, even in a box that could do without.
    let wide = crate::fingering::plan(&tune, &small(9.0), &request, &mut Sink::default());
    let points = points(&wide, &tune);
    assert!(points[2].from > points[1].to + 0.05, "{points:?}");
    assert!((points[0].to - points[1].from).abs() < 1e-9);
}

/// Published advice: as little bellows as possible.
#[test]
fn a_tune_begins_no_more_open_than_its_notes_need() {
    let begins = |line: &str| {
        let plan = planned(line, Style::Smooth);
        (points(&plan, &tune(Meter::simple(4, 4), line))[0].from, plan.bellows.curve.least_open)
    };
    // E is on the pull only, D on the push only: 4.8 s of one note are 1.2 s of the nine.
    let (start, least) = begins("E5*16 | D5*8");
    assert!((start - 0.1).abs() < 1e-3 && start == least, "{start} {least}");
    let (start, least) = begins("D5*16 | E5*8");
    assert!((start - 0.1 - 1.2 / 9.0).abs() < 1e-3 && (least - 0.1).abs() < 1e-3, "{start} {least}");
}

#[test]
fn a_section_that_drifts_beyond_half_the_bellows_is_charged() {
    // 16 quavers at 100 crotchets last 4.8 s; alone they take two of eight parts: 1.2 s of bellows, three quarters of 1.6 s.
    let costs = |seconds| {
        let tune = tune(Meter::simple(4, 4), "D5*8 | D5*8");
        let plan = plan(&tune, &small(seconds), &Request::default(), &mut Sink::default());
        assert_eq!((plan.bellows.air.len(), plan.bellows.runs_out), (0, None));
        let of = |wanted| plan.cost.by_kind.iter().find(|(kind, _)| *kind == wanted).map(|(_, cost)| *cost);
        (of(CostKind::Drift), of(CostKind::BellowsEnd), plan.cost.total - plan.bellows.free_cost)
    };
    // From 85 to 10 parts of a hundred: beyond two thirds for 1.17 s, 4 whole quarters of a second.
    assert_eq!(costs(1.6), (Some(8), Some(4), 12));
    // Half of 2.4 s and no more, with a tenth at hand: from 60 parts of a hundred.
    assert_eq!(costs(2.4), (None, None, 0));
}

/// Exacting teachers: air on the semibreve that is there to be held, not between two crotchets; and no more of it than there
/// is time for.
#[test]
fn air_is_taken_where_there_is_time_for_it() {
    let line = "\"G\" G4*2 B4*2 D5*2 B4*2 | D5*4 B4*4 | G4*2 B4*2 D5*2 G5*2 | B5*8 | D5*2 B4*2 G4*2 B4*2 | D5*8 | G5*2 D5*2 B4*2 G4*2 | G4*8";
    let mut tune = tune(Meter::simple(4, 4), line);
    tune.tempo.as_mut().expect("a tempo").bpm = Some(80);
    let mut sink = Sink::default();
    let push = PinWish { direction: Some(Direction::Push), ..PinWish::default() };
    let pins = (0..tune.note_count() as u32).map(|n| pin(n, push.clone())).collect();
    let plan = plan(&tune, &small(7.6), &Request { pins, ..Request::default() }, &mut sink);
    assert_eq!(plan.bellows.runs_out, None);
    let first = plan.bellows.air.first().expect("air is needed");
    assert_eq!((tune.address(first.after).to_string().as_str(), first.air), ("4.1", Air::Open));
    // A crotchet of 0.75 s leaves time for three eighths of the bellows.
    let crotchets = "D5*2 ".repeat(24);
    let mut tune = crate::fingering::testing::tune(Meter::simple(4, 4), &crotchets);
    tune.tempo.as_mut().expect("a tempo").bpm = Some(80);
    let plan = crate::fingering::plan(&tune, &small(2.0), &Request::default(), &mut Sink::default());
    let points = points(&plan, &tune);
    assert!(plan.bellows.air.len() > 1 && plan.bellows.runs_out.is_none());
    let leaps = points.windows(2).map(|pair| pair[1].from - pair[0].to);
    assert!(leaps.fold(0.0, f64::max) <= 0.375 + 1e-3, "{points:?}");
}

/// Bellows that open or close without sound would end a note that is tied on.
#[test]
fn no_air_is_taken_inside_a_tie() {
    let line = "D5*8 | D5-*8 | D5*8 | D5*8";
    let tune = tune(Meter::simple(4, 4), line);
    let plan_of = |request: &Request, sink: &mut Sink| plan(&tune, &small(1.3), request, sink);
    let plan = plan_of(&Request::default(), &mut Sink::default());
    assert_eq!(plan.bellows.runs_out, None);
    let after: Vec<NoteId> = plan.bellows.air.iter().map(|air| air.after).collect();
    assert_eq!(after, [NoteId(0), NoteId(2)]);
    // Nor where the author says so.
    let wish = PinWish { air: Some(Air::Open), ..PinWish::default() };
    let mut sink = Sink::default();
    let plan = plan_of(&Request { pins: vec![pin(1, wish)], ..Request::default() }, &mut sink);
    let said = &sink.items()[0];
    assert_eq!((said.code.name(), plan.bellows.air.iter().any(|air| air.pinned)), ("pin-cannot-hold", false));
    assert_eq!(said.hints, ["the tie ends with note 3.1: take air after that one"]);
}

/// Played without end on one chord the bellows would be nearly full for whole sections; with one more air point at a section's
/// end each of them begins anew (common practice, no source).
#[test]
fn air_at_the_end_of_a_section_keeps_the_bellows_from_standing_wide_open() {
    // Eight bars there and back, and then a long way down: what the second part needs would be carried through the first.
    let line = "G4*2 A4*2 G4*2 A4*2 | ".repeat(7) + "G4*4 z*4 " + &"| D5*8 ".repeat(5);
    let tune = tune(Meter::simple(4, 4), &line);
    let pins = (0..29).map(|n| {
        let direction = if n % 2 == 0 { Direction::Push } else { Direction::Pull };
        pin(n, PinWish { direction: Some(direction), ..PinWish::default() })
    });
    let mut request = Request { pins: pins.collect(), ..Request::default() };
    let mut sink = Sink::default();
    let eased = plan(&tune, &small(4.5), &request, &mut sink);
    let all = points(&eased, &tune);
    assert_eq!(eased.bellows.air, [AirPoint { after: NoteId(28), air: Air::Open, pinned: false }]);
    assert_eq!(sink.items()[0].code, "air-needed");
    assert!(sink.items()[0].message.contains("played near its ends without"), "{}", sink.items()[0].message);
    assert!(all[0].from < 0.4, "{}", all[0].from);
    // Where the author sets no price on it, they stand open all the time.
    request.weights.changed = vec![Weight { kind: CostKind::BellowsEnd, price: 0 }];
    let wide = plan(&tune, &small(4.5), &request, &mut Sink::default());
    assert!(wide.bellows.air.is_empty() && points(&wide, &tune)[0].from > 0.7, "{}", points(&wide, &tune)[0].from);
    assert!(eased.cost.total > eased.bellows.free_cost && wide.cost.total == wide.bellows.free_cost);
}
