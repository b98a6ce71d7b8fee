//! Lanes of whole lines: what is drawn from where, and which lane stands over which. The rules are our own, judged on the
//! printed page.

use super::super::canvas::{Ink, Kind};
use super::super::collision::level;
use super::super::testing::{notes, plain_style, tune_of};
use super::super::{Lettering, Score, castoff, prepare, system};
use crate::diag::Sink;
use crate::engrave::job::Job;
use crate::engrave::layout::{Column, SystemLayout};
use crate::fingering::{Air, AirPoint, LeftPress, Place, Plan, PlannedNote, PlayedAfter, Press, Sound};
use crate::font::Fonts;
use crate::geom::Abs;
use crate::instrument::{ButtonId, Direction, LeftButtonId, LeftKind, RowAt};
use crate::style::{ButtonLook, EngravingStyle};
use crate::tune::{Duration, Ending, Grace, Meter, Note, NoteId, NoteValue, Onset, Pitch, Tune, smallvec};

fn style() -> EngravingStyle {
    plain_style()
}

/// Looks at the only line of a tune.
fn line<T>(tune: &Tune, plan: &Plan, look: impl FnOnce(&SystemLayout, &mut super::Canvas) -> T) -> T {
    line_in(style(), tune, plan, look)
}

/// The same in a style.
fn line_in<T>(
    style: EngravingStyle,
    tune: &Tune,
    plan: &Plan,
    look: impl FnOnce(&SystemLayout, &mut super::Canvas) -> T,
) -> T {
    let fonts = Fonts::embedded();
    let letters = Lettering::new(&fonts, &style);
    let score = Score { id: "lanes", tune, plan: Some(plan), instrument: None, counts: &[] };
    let job = Job { score: &score, style: &style, letters: &letters };
    let work = prepare(job, Abs::mm(175.0), &mut Sink::default()).expect("the tune has bars");
    let mut lines = castoff::lines(&work.pieces, &work.costs);
    assert_eq!(lines.len(), 1, "the tune fits a line");
    let (layout, mut canvas) = system::canvas(&work, lines.remove(0), None);
    look(&layout, &mut canvas)
}

fn of<'c>(canvas: &'c super::Canvas, kind: Kind) -> Vec<&'c Ink> {
    canvas.inks().iter().filter(|ink| ink.label.kind == kind).collect()
}

/// Heads in order: row, button, direction, finger, sound; all but the first from one place.
type Word = (RowAt, u8, Direction, u8, Sound);

fn plan(tune: &Tune, words: &[Word]) -> Plan {
    assert_eq!(words.len(), tune.note_count());
    let pitches = tune.bars.iter().flat_map(|bar| &bar.events).flat_map(|event| event.notes()).map(|note| note.pitch);
    let notes = words.iter().zip(pitches).enumerate().map(|(n, ((row, number, direction, finger, sound), pitch))| {
        let button = ButtonId { row: *row, number: *number };
        Some(PlannedNote {
            id: NoteId(u32::try_from(n).expect("few notes")),
            direction: *direction,
            place: Place(ButtonId { row: RowAt::Inner, number: 3 }),
            place_moves: n == 0,
            presses: vec![Press { pitch, button, finger: *finger, sound: *sound }].into(),
            pinned: false,
        })
    });
    Plan { notes: notes.collect(), ..Plan::default() }
}

use Direction::{Pull, Push};
use RowAt::Outer;

/// Two endings; the second begins on the button that was played before the first began.
fn two_endings(sound: Sound, finger: u8) -> (Tune, Plan) {
    let bars = [notes("D5/1 E5/1"), notes("F5/1 D5/1"), notes("F5/1 F5/1")];
    let mut tune = tune_of(Meter::Common, &bars);
    for (bar, pass) in [(1, 1), (2, 2)] {
        tune.bars[bar].ending = Some(Ending { passes: vec![pass], last_bar: bar, closed: true });
    }
    tune.bars[1].right.repeat_end = 2;
    let plan_of = plan(
        &tune,
        &[
            (Outer, 6, Push, 2, Sound::Press),
            (Outer, 7, Pull, 3, Sound::Press),
            (Outer, 7, Push, 3, Sound::Replay),
            (Outer, 6, Push, 2, Sound::Press),
            (Outer, 7, Push, finger, sound),
            (Outer, 7, Push, finger, Sound::Repeat),
        ],
    );
    let after = |note, rest| vec![PlayedAfter { note: NoteId(note), rest }];
    let elsewhere = vec![(NoteId(0), after(3, false)), (NoteId(4), after(1, false))];
    (tune, Plan { elsewhere, ..plan_of })
}

fn centres(layout: &SystemLayout) -> Vec<f64> {
    layout.columns.iter().map(Column::centre).collect()
}

#[test]
fn a_hold_bar_into_a_second_ending_comes_from_nowhere_on_the_page() {
    for sound in [Sound::Replay, Sound::Reversal] {
        let (tune, plan) = two_endings(sound, 3);
        line(&tune, &plan, |layout, canvas| {
            let at = centres(layout);
            let barline = layout.bar_box(2).expect("it is on the line").left;
            let bars = of(canvas, Kind::HoldBar);
            let first: Vec<_> = bars.iter().filter(|ink| ink.area.right < at[3]).collect();
            assert!(
                first.iter().any(|ink| (ink.area.left - at[1]).abs() < 0.01),
                "the first ending follows as written"
            );
            let second: Vec<_> = bars.iter().filter(|ink| ink.area.left > at[2] + 0.2).collect();
            let left = second.iter().map(|ink| ink.area.left).fold(f64::INFINITY, f64::min);
            assert!(left > at[3] + 0.5 && left <= barline, "{left} is short before {barline}, after {}", at[3]);
            assert!(second.iter().any(|ink| (ink.area.right - at[4]).abs() < 0.2), "it leads to the head");
        });
        // Over a rest nothing sounds; nothing is drawn.
        let mut rested = plan;
        rested.elsewhere[1].1[0].rest = true;
        line(&tune, &rested, |layout, canvas| {
            let at = centres(layout);
            assert!(of(canvas, Kind::HoldBar).iter().all(|ink| ink.area.right < at[3]));
        });
    }
}

/// A pull before a repeat sign and one after it that never follow one another are two strokes on the page.
#[test]
fn a_pull_ends_with_its_ending() {
    let (tune, mut plan) = two_endings(Sound::Press, 3);
    for note in &mut plan.notes[2..5] {
        note.as_mut().expect("planned").direction = Pull;
    }
    let bands = |plan: &Plan| {
        line(&tune, plan, |layout, canvas| {
            let (first, second) = (layout.bars[1], centres(layout)[4]);
            let bands: Vec<_> = of(canvas, Kind::Direction).iter().map(|ink| ink.area).collect();
            let over =
                |x: f64| bands.iter().any(|area| area.right - area.left > 0.2 && area.left < x && x < area.right);
            (over(centres(layout)[3]), over(f64::midpoint(first.barline, first.right)), over(second))
        })
    };
    assert_eq!(bands(&plan), (true, false, true));
    plan.elsewhere.clear();
    assert_eq!(bands(&plan), (true, true, true), "where the one follows the other the stroke goes on");
}

/// Where a rest follows, the air point stands on it; else before the next note or barline and not in the middle of a long one.
#[test]
fn air_is_taken_on_the_rest() {
    let air = |bar: &str| {
        let tune = tune_of(Meter::Common, &[notes(bar), notes("D5/0")]);
        let mut plan = plan(&tune, &[(Outer, 6, Push, 2, Sound::Press), (Outer, 6, Push, 2, Sound::Press)]);
        plan.bellows.air = vec![AirPoint { after: NoteId(0), air: Air::Open, pinned: false }];
        line(&tune, &plan, |layout, canvas| {
            let inks = of(canvas, Kind::Air);
            let caret = inks.iter().map(|ink| ink.area).min_by(|a, b| a.bottom.total_cmp(&b.bottom));
            let caret = caret.expect("the air point is drawn");
            (f64::midpoint(caret.left, caret.right), layout.columns[1].centre(), layout.bars[0].barline)
        })
    };
    let (caret, rest, _) = air("D5/1. z/2");
    assert!((caret - rest).abs() < 0.1, "{caret} on {rest}");
    let (caret, _, barline) = air("D5/0");
    assert!((1.0..2.0).contains(&(barline - caret)), "{caret} before {barline}");
}

#[test]
fn the_first_note_of_an_ending_has_its_finger_where_the_one_played_before_has_another() {
    let over = |plan: &Plan, tune: &Tune| {
        line(tune, plan, |layout, canvas| {
            let at = centres(layout);
            of(canvas, Kind::Finger).iter().any(|ink| ink.area.left < at[4] && at[4] < ink.area.right)
        })
    };
    // As written before it stands the same button with the same finger.
    let again = |finger: u8| {
        let (tune, mut plan) = two_endings(Sound::Repeat, 3);
        let press = |plan: &mut Plan, n: usize, number: u8, finger: u8| {
            let press = &mut plan.notes[n].as_mut().expect("planned").presses[0];
            (press.button.number, press.finger) = (number, finger);
        };
        press(&mut plan, 1, 7, finger);
        press(&mut plan, 3, 7, 3);
        over(&plan, &tune)
    };
    assert!(again(2), "another finger was there before");
    assert!(!again(3), "the same finger was there before");
}

#[test]
fn lines_of_held_chords_stand_under_hold_bars_all_along() {
    // High heads: nothing but the hold bar is under the staff.
    let tune = tune_of(Meter::Common, &[notes("D5/2 D5/2 E5/2 D5/2"), notes("D5/2 E5/2 D5/1")]);
    let press = |way, sound| (Outer, 6, way, 2, sound);
    let words = [
        press(Push, Sound::Press),
        press(Push, Sound::Repeat),
        press(Pull, Sound::Replay),
        (Outer, 8, Push, 4, Sound::Press),
        press(Push, Sound::Press),
        press(Pull, Sound::Reversal),
        (Outer, 8, Push, 4, Sound::Press),
    ];
    let mut plan = plan(&tune, &words);
    let left = |bar, quarters, length, kind, name: &str| LeftPress {
        bar,
        onset: Onset::new(quarters, 4),
        duration: Duration::new(length, 4),
        kind,
        name: name.into(),
        button: LeftButtonId(0),
        finger: 2,
        held: false,
        dropped: false,
    };
    plan.left = vec![left(0, 0, 4, LeftKind::Chord, "g"), left(1, 0, 1, LeftKind::Bass, "G")];
    line(&tune, &plan, |_, canvas| {
        assert_eq!(of(canvas, Kind::HoldBar).len(), 3);
        let line = of(canvas, Kind::Left).into_iter().find(|ink| ink.area.right - ink.area.left > 5.0);
        let line = line.expect("the chord is held").area;
        let lowest = of(canvas, Kind::HoldBar).iter().map(|ink| ink.area.bottom).fold(0.0, f64::min);
        assert!(line.top < lowest - 0.3, "{} is under {lowest}", line.top);
        assert_eq!(level(canvas), []);
    });
    // The proof sees the fault: a hold bar at the height of the line, ends apart.
    line(&tune, &plan, |_, canvas| {
        let line = of(canvas, Kind::Left).into_iter().map(|ink| ink.area).find(|area| area.right - area.left > 5.0);
        let area = line.expect("the chord is held");
        let beside = super::super::lettering::Area::new(area.right + 1.0, area.bottom, area.right + 3.0, area.top);
        canvas.rect(super::super::canvas::Label::new(Kind::HoldBar, 9), beside);
        assert_eq!(level(canvas).len(), 1);
    });
}

/// A hold bar is nearly as thick as a beam: level with one it would go on from it.
#[test]
fn hold_bars_stand_under_every_beam_of_the_line() {
    // Two heads on one button under no beam, then low beams of high heads far from them.
    let tune = tune_of(Meter::Common, &[notes("D5/2 D5/2 A4/3 B4/3 C5/3 D5/3"), notes("E5/1")]);
    let mut words = vec![(Outer, 6, Push, 2, Sound::Press), (Outer, 6, Pull, 2, Sound::Reversal)];
    words.extend([(Outer, 5, Push, 2, Sound::Press); 5]);
    let plan = plan(&tune, &words);
    line(&tune, &plan, |_, canvas| {
        let lowest = of(canvas, Kind::Beam).iter().map(|ink| ink.area.bottom).fold(f64::INFINITY, f64::min);
        let highest = of(canvas, Kind::HoldBar).iter().map(|ink| ink.area.top).fold(f64::NEG_INFINITY, f64::max);
        assert!(lowest < -0.8 && highest < lowest - 0.3, "the hold bar at {highest}, a beam down to {lowest}");
    });
}

/// A note, and one with two graces before it, as they are planned; the hand moves for the first note and where it is said.
fn graced(moves: &[u32]) -> (Tune, Plan) {
    let mut bar = notes("D5/2 E5/2");
    for pitch in ["B4", "C5"] {
        let note = Note::new(Pitch::parse(pitch).expect("a pitch"));
        bar[1].graces.push(Grace { id: NoteId(0), notes: smallvec![note], value: NoteValue::plain(4) });
    }
    let mut tune = tune_of(Meter::Common, &[bar]);
    tune.number_notes();
    let note = |n: u32, finger| PlannedNote {
        id: NoteId(n),
        direction: Push,
        place: Place(ButtonId { row: RowAt::Inner, number: 3 }),
        place_moves: n == 0 || moves.contains(&n),
        presses: smallvec![Press {
            pitch: Pitch::parse("D5").expect("a pitch"),
            button: ButtonId { row: RowAt::Inner, number: 2 + finger },
            finger,
            sound: Sound::Press,
        }],
        pinned: false,
    };
    let plan =
        Plan { notes: (0..4).zip([3, 1, 2, 4]).map(|(n, finger)| Some(note(n, finger))).collect(), ..Plan::default() };
    (tune, plan)
}

/// Who leaves the graces out still meets the sign where the hand moves on one.
#[test]
fn a_move_on_a_grace_is_told_over_its_note() {
    let signs = |moves: &[u32]| {
        let (tune, plan) = graced(moves);
        line(&tune, &plan, |layout, canvas| {
            let left = |ink: &&Ink| ink.area.left;
            let note = layout.columns[1].x;
            let (over, before): (Vec<f64>, Vec<f64>) =
                of(canvas, Kind::Place).iter().map(left).partition(|left| *left > note - 0.1);
            let first = layout.columns[0].graces.len();
            assert!(first == 0 && before.len() == 3, "head, box and number stand over the first note: {before:?}");
            over.len()
        })
    };
    assert_eq!([signs(&[]), signs(&[1]), signs(&[2]), signs(&[1, 3])], [0, 3, 3, 3]);
}

/// Every grace has its finger over it, smaller than that of its note and clear of it.
#[test]
fn a_grace_has_its_own_finger() {
    let (tune, plan) = graced(&[]);
    line(&tune, &plan, |layout, canvas| {
        let fingers = of(canvas, Kind::Finger);
        assert_eq!(fingers.len(), 4);
        let middle = |ink: &Ink| (ink.area.left + ink.area.right) / 2.0;
        let tall = |ink: &Ink| ink.area.top - ink.area.bottom;
        let column = &layout.columns[1];
        for (grace, finger) in column.graces.iter().zip(&fingers[1..3]) {
            assert!((middle(finger) - grace.x - grace.width / 2.0).abs() < 0.15, "over its own head");
            assert!(tall(finger) < tall(fingers[3]) && finger.area.bottom > 4.5);
            assert!((finger.area.bottom - fingers[1].area.bottom).abs() < 0.05, "on one line");
        }
        for pair in fingers[1..].windows(2) {
            assert!(pair[1].area.left - pair[0].area.right > 0.25, "{:?} {:?}", pair[0].area, pair[1].area);
        }
    });
    // Its button number too, in a box where it is of the inner row, clear of that of the note.
    let mut style = style();
    style.signs.buttons = ButtonLook::Below;
    line_in(style, &tune, &plan, |layout, canvas| {
        let boxes: Vec<_> = of(canvas, Kind::Button).iter().map(|ink| ink.area).collect();
        let boxes: Vec<_> = boxes.into_iter().filter(|area| area.right - area.left > 1.2).collect();
        assert_eq!(boxes.len(), 4, "{boxes:?}");
        let column = &layout.columns[1];
        for (grace, area) in column.graces.iter().zip(&boxes[1..3]) {
            let middle = f64::midpoint(area.left, area.right);
            assert!((middle - grace.x - grace.width / 2.0).abs() < 0.1, "under its own head");
        }
        for pair in boxes.windows(2) {
            assert!(pair[1].left - pair[0].right > 0.4, "{pair:?}");
        }
    });
}
