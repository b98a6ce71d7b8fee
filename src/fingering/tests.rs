//! The stage as a whole: facts of the trade, pins, the left hand, and equality with trying everything.

mod bellows;
mod hands;
mod left;

use super::testing::{dg, gc, tune};
use super::*;
use crate::diag::{Place as FilePlace, Severity, Sink, Sources};
use crate::instrument::{ButtonId, Direction, LeftKind, RowAt};
use crate::tune::{BarLabel, Duration, Meter, NoteId, Onset};

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
    let plan = planned("D4 E4 F#4 G4 | A4 B4 C#5 D5", Style::Along);
    assert_eq!(short(&plan), "o3+1 o3-1 o4+2 o4-2 o5+3 o5-3 o6-4 o6+4");
}

/// Published for the D/G box: G on the push only, A and E minor on the pull only, D and C both ways, B on the push.
#[test]
fn chords_of_the_left_hand_by_direction() {
    let left = dg().left;
    let sounds = |name: &str, way| {
        left.buttons.iter().any(|b| b.kind == LeftKind::Chord && b.sound(way).name(LeftKind::Chord) == name)
    };
    for (name, push, pull) in [
        ("g", true, false),
        ("a", false, true),
        ("em", false, true),
        ("d", true, true),
        ("c", true, true),
        ("b", true, false),
    ] {
        assert_eq!((sounds(name, Direction::Push), sounds(name, Direction::Pull)), (push, pull), "{name}");
    }
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

fn somewhere() -> FilePlace {
    FilePlace::new(Sources::default().add("tune.yaml", ""), 12, 5)
}

fn pin(note: u32, wish: PinWish) -> Pin {
    Pin {
        target: PinTarget { span: NoteSpan::Note(NoteId(note)), tone: None },
        wish,
        place: somewhere(),
        written: Written::Pins,
    }
}

fn with_pins(line: &str, pins: Vec<Pin>) -> (Plan, Sink) {
    let mut sink = Sink::default();
    let plan = plan(&tune(Meter::simple(4, 4), line), &dg(), &Request { pins, ..Request::default() }, &mut sink);
    (plan, sink)
}

/// Published for the D/G box: D and E in one direction only, C and C# on the pull, F#, G, A and B free on opposite rows.
#[test]
fn forced_and_free_notes_of_the_dg_box() {
    let instrument = dg();
    let ways = |name: &str| {
        let midi = crate::tune::Pitch::parse(name).expect("a pitch").midi();
        instrument.ways(midi)
    };
    for name in ["D5", "D6"] {
        assert!(ways(name).iter().all(|(way, _)| *way == Direction::Push), "{name}");
    }
    for name in ["E4", "E5", "C5", "C6", "C#5", "C#6"] {
        assert!(ways(name).iter().all(|(way, _)| *way == Direction::Pull), "{name}");
    }
    for name in ["F#4", "G4", "A4", "B4", "F#5", "G5", "A5", "B5"] {
        let found = ways(name);
        assert_eq!(found.len(), 2, "{name}");
        assert!(found[0].0 != found[1].0 && found[0].1.row != found[1].1.row, "{name}");
    }
    // Transposed a fifth down: on the G/C box G is push only, A pull only (published for that box).
    let gc_ways = |midi| gc().ways(midi).into_iter().map(|(way, _)| way).collect::<Vec<_>>();
    assert!(gc_ways(67).iter().all(|way| *way == Direction::Push));
    assert!(gc_ways(69).iter().all(|way| *way == Direction::Pull));
}

#[test]
fn a_chord_symbol_draws_the_bellows_its_way() {
    // A and B are free; G sounds on the push only, E minor on the pull only (published availability).
    for (symbol, way) in [("G", Direction::Push), ("Em", Direction::Pull), ("A", Direction::Pull)] {
        let plan = planned(&format!("\"{symbol}\" B4*4 B4*4"), Style::Smooth);
        assert!(plan.notes.iter().flatten().all(|note| note.direction == way), "{symbol}");
        assert!(plan.left.iter().all(|press| !press.dropped));
    }
}

#[test]
fn minor_chords_the_box_lacks_are_crossed() {
    // Published: A minor is the A bass with the C chord on the pull, B minor the B bass with the D chord on the push.
    for (symbol, note, bass, chord) in [("Am", "A4", "A", "c"), ("Bm", "B4", "B", "d")] {
        let plan = planned(&format!("\"{symbol}\" {note}*8"), Style::Smooth);
        let names = |kind| plan.left.iter().find(|press| press.kind == kind).map(|press| press.name.clone());
        assert_eq!(names(LeftKind::Bass).as_deref(), Some(bass));
        assert_eq!(names(LeftKind::Chord).as_deref(), Some(chord));
    }
}

#[test]
fn a_chord_that_cannot_sound_is_left_out_and_reported() {
    // C5 is on the pull only, G on the push only.
    let mut sink = Sink::default();
    let tune = tune(Meter::simple(4, 4), "\"G\" C5*8");
    let plan = plan(&tune, &dg(), &Request::default(), &mut sink);
    assert!(plan.left.iter().all(|press| press.dropped));
    assert!(sink.items().iter().all(|item| item.code == "chord-missing" && item.severity == Severity::Warning));
    assert!(sink.items()[0].message.contains("1.1") && sink.items()[0].message.contains("pull"));
}

#[test]
fn a_chord_is_missed_only_where_the_left_hand_plays() {
    let said = |left| {
        let mut sink = Sink::default();
        let line = "\"F#m\" A4*4 A4*4 | A4*8 | \"C#m\" A4*8";
        let request = Request { left, ..Request::default() };
        plan(&tune(Meter::simple(4, 4), line), &dg(), &request, &mut sink);
        sink.items().iter().filter(|item| item.code == "chord-missing").count()
    };
    let none = |bar| LeftBar { bar: BarLabel::new(bar), beats: None, place: somewhere() };
    assert_eq!(said(LeftHandSpec::default()), 2);
    assert_eq!(said(LeftHandSpec { pattern: LeftPattern::None, bars: vec![] }), 0);
    assert_eq!(said(LeftHandSpec { bars: vec![none(3)], ..LeftHandSpec::default() }), 1);
    // The chord of bar 1 goes on in bar 2.
    assert_eq!(said(LeftHandSpec { bars: vec![none(1), none(3)], ..LeftHandSpec::default() }), 1);
}

#[test]
fn the_least_bad_chord_stands_in_or_none() {
    // Relative chords with two tones in common: E minor for G on the pull, G for E minor and C for A minor on the push.
    for (symbol, note, bass, chord) in [("G", "E5", "E", "em"), ("Em", "D5", "G", "g"), ("Am", "D5", "C", "c")] {
        let mut sink = Sink::default();
        let tune = tune(Meter::simple(4, 4), &format!("\"{symbol}\" {note}*8"));
        let plan = plan(&tune, &dg(), &Request::default(), &mut sink);
        let name = |kind| plan.left.iter().find(|press| press.kind == kind).map(|press| press.name.clone());
        assert_eq!((name(LeftKind::Bass), name(LeftKind::Chord)), (Some(bass.into()), Some(chord.into())), "{symbol}");
        assert!(plan.left.iter().all(|press| !press.dropped));
        let [complaint] = sink.items() else { panic!("{:?}", sink.items()) };
        assert_eq!(complaint.code, "chord-substitute");
        assert!(complaint.message.contains("1.1") && complaint.message.contains(chord), "{}", complaint.message);
    }
    // A on the push has none with two tones in common: silence.
    let tune = tune(Meter::simple(4, 4), "\"A\" D5*8");
    assert!(plan(&tune, &dg(), &Request::default(), &mut Sink::default()).left.iter().all(|press| press.dropped));
}

#[test]
fn patterns_follow_the_metre_and_leave_the_up_beat_free() {
    let mut tune = tune(Meter::simple(3, 4), "D4*2 | \"G\" G4*6 | \"C\" C5*2 E5*2 \"G\" D5*2 | G4*6");
    tune.bars[0].label = BarLabel::new(0);
    let plan = plan(&tune, &dg(), &Request::default(), &mut Sink::default());
    let bar = |n: usize| {
        let words = plan.left.iter().filter(|press| press.bar == n);
        words.map(|press| format!("{}@{}", press.name, press.onset)).collect::<Vec<_>>().join(" ")
    };
    assert_eq!(bar(0), "");
    assert_eq!(bar(1), "G@0 g@1/4 g@1/2");
    // A chord that changes on a weak beat gets its bass there.
    assert_eq!(bar(2), "C@0 c@1/4 G@1/2");
    // The last bar is one bass and one chord.
    assert_eq!(bar(3), "G@0 g@1/4");
}

#[test]
fn a_press_is_let_go_where_the_bellows_turn() {
    // Pattern `held`: bass and chord of D lie under D5 (push) and E5 (pull).
    let left = LeftHandSpec { pattern: LeftPattern::Named("held".into()), bars: vec![] };
    let tune = tune(Meter::simple(4, 4), "\"D\" D5*4 E5*4");
    let plan = plan(&tune, &dg(), &Request { left, ..Request::default() }, &mut Sink::default());
    assert_eq!(plan.left[0].duration, Duration::new(1, 2));
}

#[test]
fn the_authors_left_hand_is_a_rule() {
    let token = |text: &str| match text {
        "-" => LeftToken::Hold,
        "." => LeftToken::Rest,
        names => LeftToken::Press(names.split('+').map(str::to_owned).collect()),
    };
    let bars = |text: &str| {
        let beats = text.split(',').map(|beat| beat.split_whitespace().map(token).collect()).collect();
        vec![LeftBar { bar: BarLabel::new(1), beats: Some(beats), place: somewhere() }]
    };
    let run = |line: &str, play: &str| {
        let left = LeftHandSpec { pattern: LeftPattern::Auto, bars: bars(play) };
        let mut sink = Sink::default();
        let request = Request { left, ..Request::default() };
        let plan = plan(&tune(Meter::simple(4, 4), line), &dg(), &request, &mut sink);
        (plan, sink)
    };
    // E minor on the pull: B must be taken there although the note before is on the push.
    let (plan, sink) = run("D5*2 B4*2 B4*2 D5*2", "., em, em, .");
    assert_eq!(sink.items(), []);
    assert_eq!(plan.note(NoteId(1)).map(|note| note.direction), Some(Direction::Pull));
    assert_eq!(plan.left.len(), 2);
    // D5 is on the push only: an error at the author's bar.
    let (_, sink) = run("D5*8", "em, em, em, em");
    assert_eq!((sink.items()[0].code.name(), sink.items()[0].place), ("left-hand-cannot-sound", Some(somewhere())));
    // Held over the whole bar, G may not turn; C may, it sounds both ways.
    let (plan, sink) = run("G4*2 A4*2 B4*2 G4*2", "G+g, -, -, -");
    assert_eq!(sink.items(), []);
    assert!(plan.notes.iter().flatten().all(|note| note.direction == Direction::Push));
    assert!(plan.left.iter().all(|press| press.held && press.duration == Duration::new(1, 1)));
    let (_, sink) = run("G4*8", "x, em, q+d, -");
    let codes: Vec<_> = sink.items().iter().map(|item| item.code).collect();
    assert!(codes.contains(&code!("left-hand-name")), "{codes:?}");
    let (_, sink) = run("G4*8", "G, g, G, g, G");
    assert_eq!(sink.items()[0].code, "left-hand-beats");
    // A last bar shortened for the pick-up by a quaver may be written in its four beats, but not pressed beyond its end.
    let (plan, sink) = run("G4*7", "G, g, G, g");
    assert_eq!(sink.items(), []);
    assert_eq!(plan.left.last().map(|press| press.duration), Some(Duration::new(1, 8)));
    let (_, sink) = run("G4*6", "G, g, G, .");
    assert_eq!(sink.items(), []);
    let (_, sink) = run("G4*6", "G, g, G, g");
    assert_eq!(sink.items()[0].code, "left-hand-beats");
}

#[test]
fn pins_win_or_say_why_not() {
    let outer_push = PinWish { row: Some(RowAt::Outer), direction: Some(Direction::Push), ..PinWish::default() };
    let (_, sink) = with_pins("G4 B4", vec![pin(1, outer_push)]);
    let refused = &sink.items()[0];
    assert_eq!((refused.code.name(), refused.place), ("pin-cannot-hold", Some(somewhere())));
    assert_eq!(refused.message, "the pin on note 1.2 cannot hold: B4 has no button on the outer row on the push");
    assert_eq!(refused.hints, ["B4 is on inner 4 (push), outer 5 (pull)"]);

    let wish = PinWish { button: Some(5), row: Some(RowAt::Outer), finger: Some(3), ..PinWish::default() };
    let (plan, sink) = with_pins("G4 B4 G4", vec![pin(1, wish)]);
    assert_eq!(sink.items(), []);
    let note = plan.note(NoteId(1)).expect("planned");
    assert_eq!((note.presses[0].button, note.presses[0].finger), (ButtonId { row: RowAt::Outer, number: 5 }, 3));
    assert!(note.pinned && !plan.note(NoteId(0)).expect("planned").pinned);

    let both = |direction| pin(0, PinWish { direction: Some(direction), ..PinWish::default() });
    let (_, sink) = with_pins("G4", vec![both(Direction::Push), both(Direction::Pull)]);
    assert!(sink.items()[0].message.contains("contradicts the pin in line 12"), "{}", sink.items()[0].message);

    let bars = PinTarget { span: NoteSpan::Bars(BarLabel::new(1), BarLabel::new(1)), tone: None };
    let wish = PinWish { direction: Some(Direction::Pull), ..PinWish::default() };
    let (plan, _) =
        with_pins("G4 A4 B4 | G4", vec![Pin { target: bars, wish, place: somewhere(), written: Written::Pins }]);
    assert!(plan.notes[..3].iter().flatten().all(|note| note.direction == Direction::Pull && note.pinned));
}

#[test]
fn a_wanted_reversal_is_kept_on_one_button() {
    let wish = PinWish { sound: Some(Sound::Reversal), ..PinWish::default() };
    let (plan, sink) = with_pins("D5 C5 G5 F#5", vec![pin(3, wish.clone())]);
    assert_eq!(sink.items(), []);
    let (before, after) = (plan.note(NoteId(2)).expect("planned"), plan.note(NoteId(3)).expect("planned"));
    assert_eq!(before.presses[0].button, after.presses[0].button);
    assert_eq!(after.presses[0].sound, Sound::Reversal);
    let (_, sink) = with_pins("D5 C5", vec![pin(1, wish)]);
    assert_eq!(sink.items()[0].code, "pin-cannot-hold");
}

#[test]
fn a_tie_holds_its_button_and_a_repeat_presses_again() {
    let plan = planned("A4-*2 A4*2 A4*2 B4*2", Style::Smooth);
    let sounds: Vec<Sound> = plan.notes.iter().flatten().map(|note| note.presses[0].sound).collect();
    assert_eq!(sounds, [Sound::Press, Sound::Tie, Sound::Repeat, Sound::Press]);
}

#[test]
fn signs_shown_hold_on_every_pass() {
    // G4 starts the tune and also follows A4 on the same button when it is repeated.
    let weights = Weights { style: Style::Along, changed: vec![] };
    let tune = tune(Meter::simple(4, 4), "|: G4*2 B4*2 G4*2 A4*2 :|");
    let plan = plan(&tune, &dg(), &Request { weights, ..Request::default() }, &mut Sink::default());
    let (first, last) = (plan.note(NoteId(0)).expect("planned"), plan.note(NoteId(3)).expect("planned"));
    assert_eq!(first.presses[0].button, last.presses[0].button);
    assert_eq!((first.presses[0].sound, last.presses[0].sound), (Sound::Press, Sound::Replay));
}

#[test]
fn a_grace_that_cannot_follow_its_note_is_left_out() {
    let mut sink = Sink::default();
    let tune = tune(Meter::simple(4, 4), "{E5} D5*2 {G5} F#5*2 G4*4");
    let plan = plan(&tune, &dg(), &Request::default(), &mut sink);
    assert_eq!(sink.items().iter().map(|item| item.code).collect::<Vec<_>>(), ["grace-left-out"]);
    assert!(plan.note(NoteId(0)).is_none());
    assert_eq!(plan.left_out, [(NoteId(0), LeftOut::OtherWay(Direction::Push))]);
    // It turns nothing and moves nothing: all else is as if it had not been written.
    let without = planned("D5*2 {G5} F#5*2 G4*4", Style::default());
    assert_eq!((plan.turns, &plan.cost), (without.turns, &without.cost));
    let rest = plan.notes[1..].iter().flatten().map(|note| PlannedNote { id: NoteId(note.id.0 - 1), ..note.clone() });
    assert_eq!(rest.collect::<Vec<_>>(), without.notes.iter().flatten().cloned().collect::<Vec<_>>());
    let printed = plan.without_left_out(&tune);
    let graces = |n: usize| printed.bars[0].events[n].graces.len();
    assert_eq!((graces(0), graces(1)), (0, 1));
    let (grace, head) = (plan.note(NoteId(2)).expect("planned"), plan.note(NoteId(3)).expect("planned"));
    assert_eq!(grace.direction, head.direction);
}

#[test]
fn a_grace_without_a_note_to_lean_on_is_reported() {
    let mut sink = Sink::default();
    let tune = tune(Meter::simple(4, 4), "{A4} Bb2*2 G4*6");
    let plan = plan(&tune, &dg(), &Request::default(), &mut sink);
    let codes: Vec<_> = sink.items().iter().map(|item| item.code).collect();
    assert_eq!(codes, ["not-on-box", "grace-left-out"]);
    assert!(plan.note(NoteId(0)).is_none() && plan.note(NoteId(1)).is_none());
    assert_eq!(plan.left_out, [(NoteId(0), LeftOut::NoNote)]);
}

#[test]
fn what_a_note_is_played_after_is_told_where_it_is_not_what_is_written_before() {
    let plan = planned("|: F#5*4 D5*4 | 1. A4*4 E5*4 :| 2. D5*4 F#5*4 |: z*2 G4*6 | A4*6 z*2 :|", Style::default());
    let after = |note: u32, rest| PlayedAfter { note: NoteId(note), rest };
    assert_eq!(plan.elsewhere(NoteId(0)), Some(&[after(3, false)][..]));
    assert_eq!(plan.elsewhere(NoteId(2)), None, "the first ending follows as written");
    assert_eq!(plan.elsewhere(NoteId(4)), Some(&[after(1, false)][..]), "the second follows what the first follows");
    assert_eq!(plan.elsewhere(NoteId(6)), Some(&[after(5, true), after(7, true)][..]));
    assert_eq!(plan.elsewhere.len(), 3);
}

#[test]
fn a_place_pinned_at_a_note_holds_to_the_end_of_its_bar_or_the_next_or_out_of_reach() {
    let place = |number| Some(ButtonId { row: RowAt::Inner, number });
    let at = |note, number| pin(note, PinWish { place: place(number), ..PinWish::default() });
    let lies = |plan: &Plan, n: u32| plan.note(NoteId(n)).map(|note| note.place.0);
    // From button 4 of the inner row G4 is a stretch of the index, low D4 is out of reach.
    let line = "B4 D5 B4 D5 A4 B4 D4 G4 B4 D5";
    let (plan, _) = with_pins(line, vec![at(1, 4)]);
    for n in [1, 2, 3] {
        assert_eq!(lies(&plan, n), place(4), "note {n}");
    }
    assert_ne!(lies(&plan, 6), place(4));
    // A second pin ends the first.
    let (plan, _) = with_pins(line, vec![at(0, 4), at(2, 3)]);
    assert_eq!([0, 1, 2, 3].map(|n| lies(&plan, n)), [place(4), place(4), place(3), place(3)]);
    // In the bar after it the hand goes back to where the tune lies best, though all could be had from button 5 too.
    let line = "G4 B4 D5 B4 | D5 G5 D5 G5 | D5 B4 G4 B4 | G4 B4 D5 G4";
    let (plan, sink) = with_pins(line, vec![at(4, 5)]);
    assert_eq!(sink.items(), []);
    assert_eq!([4, 5, 6, 7].map(|n| lies(&plan, n)), [place(5); 4], "{}", short(&plan));
    assert!((9..16).all(|n| lies(&plan, n) == place(3)), "{}", short(&plan));
}

fn settle(plan: &Plan) -> Settled {
    let notes = plan.notes.iter().flatten().map(|note| SettledNote {
        note: note.id,
        direction: note.direction,
        presses: note.presses.iter().map(|press| (press.button, press.finger)).collect(),
        place: note.place.0,
        still_there: true,
    });
    Settled { notes: notes.collect() }
}

#[test]
fn a_settled_plan_stands_and_a_pin_moves_only_what_must() {
    let line = "G4 A4 B4 C5 D5 E5 F#5 G5 | A5 G5 F#5 E5 D5 C5 B4 A4";
    let along = planned(line, Style::Along);
    let run = |pins, settled| {
        let request = Request { pins, settled: Some(settled), ..Request::default() };
        let mut sink = Sink::default();
        let plan = plan(&tune(Meter::simple(4, 4), line), &dg(), &request, &mut sink);
        (plan, sink)
    };
    // Settled along the row, it stays so when the style asks for crossing.
    let (same, sink) = run(vec![], settle(&along));
    assert_eq!((same.notes, sink.items()), (along.notes.clone(), &[][..]));
    let wish = PinWish { direction: Some(Direction::Pull), ..PinWish::default() };
    let (pinned, sink) = run(vec![pin(2, wish)], settle(&along));
    assert_eq!(sink.items()[0].code, "settled-moved");
    let said = &sink.items()[0].message;
    assert!(said.contains("1.3 (inner 4, now outer 5 on the pull)") && said.contains("; this costs "), "{said}");
    let moved: Vec<usize> = (0..16).filter(|n| pinned.notes[*n] != along.notes[*n]).collect();
    assert!(moved.contains(&2) && moved.iter().all(|n| (2..=3).contains(n)), "{moved:?}");
}

#[test]
fn hostile_tunes_end_in_a_plan_or_a_complaint() {
    let many = "[D4,E4,F#4,G4,A4,B4,C5,D5,E5,F#5,G5,A5] G4 | ".repeat(500);
    let mut sink = Sink::default();
    plan(&tune(Meter::simple(4, 4), &many), &dg(), &Request::default(), &mut sink);
    let errors = sink.items().iter().filter(|item| item.severity == Severity::Error);
    // The sink keeps the first of so many.
    assert!(errors.clone().count() >= 100 && errors.clone().all(|item| item.code == "too-many-notes"));
    let repeats = "|: G4 A4 B4 C5 :| ".repeat(1000);
    let plan_of = plan(&tune(Meter::simple(4, 4), &repeats), &dg(), &Request::default(), &mut Sink::default());
    assert!(plan_of.notes.iter().all(Option::is_some));
    let empty = plan(&tune(Meter::simple(4, 4), ""), &dg(), &Request::default(), &mut Sink::default());
    assert_eq!((empty.cost.total, empty.notes.len()), (0, 0));
    let mut still = tune(Meter::simple(4, 4), "\"G\" z*8 | z*8");
    still.tempo.as_mut().expect("a tempo").bpm = Some(0);
    let plan = plan(&still, &dg(), &Request::default(), &mut Sink::default());
    assert!(plan.left.iter().all(|press| !press.dropped && press.onset >= Onset::ZERO) && !plan.left.is_empty());
}
