//! What is said of hand-made tunes and plans, in three languages.

use super::fixture::{at, instrument, left, plan, tune};
use super::{Lesson, Printed, counts};
use crate::diag::Sink;
use crate::fingering::{Air, AirPoint, BellowsCurve, InTicks, LeftOut, Plan, PlayedAfter, Unplayable};
use crate::instrument::Direction;
use crate::tune::{Ending, Meter, NoteId, Onset, Tune};

fn say_in(tune: &Tune, plan: &Plan, fact: &str, language: &str) -> String {
    let mut sink = Sink::default();
    let instrument = instrument(2);
    let said = Lesson::new(tune, plan, &instrument, language, 1).fact(fact, at(), &mut sink);
    assert!(sink.items().is_empty(), "{:?}", sink.items());
    // Numbers are tied to their words; the tests are easier to read with plain spaces.
    said.expect("a known fact is said").replace('\u{a0}', " ")
}

fn say(tune: &Tune, plan: &Plan, fact: &str) -> String {
    say_in(tune, plan, fact, "en-GB")
}

/// Two bars of a waltz on the inner row, push then pull.
fn waltz() -> (Tune, Plan) {
    let tune = tune(Meter::simple(3, 4), &["D5:1/4 F#5:1/4 A5:1/4", "G5:1/2 E5:1/4"]);
    let mut plan = plan(&tune, "i5<3@i3 o8<4 i4>2 i4<2= i4>2!");
    left(
        &mut plan,
        &[
            (0, (0, 1), (1, 4), "G"),
            (0, (1, 4), (1, 4), "g"),
            (0, (1, 2), (1, 4), "g"),
            (1, (0, 1), (3, 4), "A"),
            (1, (0, 1), (3, 4), "em"),
        ],
    );
    (tune, plan)
}

#[test]
fn facts_of_one_note() {
    let (tune, plan) = waltz();
    for (fact, said) in [
        ("how 1.1", "button 5 of the inner row, on the push, with the ring finger"),
        ("how 1.2", "button 8 of the outer row, on the push, with the little finger"),
        (
            "how 2.1",
            "the same button as before, button 4 of the inner row, kept down while you turn to the push, with the middle finger",
        ),
        (
            "how 2.2",
            "the same button as before, button 4 of the inner row, pressed again as you turn to the pull, with the middle finger",
        ),
        ("button 1.2", "button 8 of the outer row"),
        ("finger 1.1", "the ring finger (3)"),
        ("row 1.2", "the outer row"),
        ("place 1", "place 3 on the inner row (index finger on button 3)"),
        ("bars 1-2", "bars 1–2"),
        ("bars 2", "bar 2"),
    ] {
        assert_eq!(say(&tune, &plan, fact), said, "{fact}");
    }
}

#[test]
fn fingers_are_numbered_as_the_book_prints_them() {
    let (tune, plan) = waltz();
    let instrument = instrument(2);
    let mut sink = Sink::default();
    let said = Lesson::new(&tune, &plan, &instrument, "en-GB", 2).fact("finger 1.1", at(), &mut sink);
    assert_eq!(said.as_deref(), Some("the ring finger (4)"));
}

#[test]
fn a_box_of_one_row_needs_no_word_for_it() {
    let tune = tune(Meter::simple(2, 4), &["D5:1/2"]);
    let plan = plan(&tune, "o3<1@o3");
    let instrument = instrument(1);
    let mut sink = Sink::default();
    let lesson = Lesson::new(&tune, &plan, &instrument, "en-GB", 1);
    assert_eq!(
        lesson.fact("how 1.1", at(), &mut sink).as_deref(),
        Some("button\u{a0}3, on the push, with the index finger")
    );
    assert_eq!(
        lesson.fact("place 1", at(), &mut sink).as_deref(),
        Some("place\u{a0}3 (index finger on button\u{a0}3)")
    );
}

#[test]
fn what_is_said_changes_with_the_plan() {
    let (tune, mut plan) = waltz();
    let before: Vec<_> = ["how 1.1", "walk 1-2", "left 1"].iter().map(|fact| say(&tune, &plan, fact)).collect();
    let note = plan.notes[0].as_mut().expect("it is planned");
    note.direction = note.direction.turned();
    note.presses[0].button.number = 6;
    plan.left[0].name = "D".into();
    let after: Vec<_> = ["how 1.1", "walk 1-2", "left 1"].iter().map(|fact| say(&tune, &plan, fact)).collect();
    assert_eq!(after[0], "button 6 of the inner row, on the pull, with the ring finger");
    assert!(after[1].contains("button 6 of the inner row") && after[1].contains("begins on the pull"), "{}", after[1]);
    assert!(after[2].contains("D bass"));
    assert!(before.iter().zip(&after).all(|(before, after)| before != after));
}

#[test]
fn a_walk_through_two_bars() {
    let (tune, plan) = waltz();
    assert_eq!(
        say(&tune, &plan, "walk 1-2"),
        "Bar 1 begins on the push, and the bellows turn on 3. The hand lies at place 3 on the inner row (index finger on \
         button 3). D on 1 is button 5 of the inner row, with the ring finger; then on 2 comes F sharp, button 8 of the outer \
         row, with the little finger. On 3 the middle finger takes A, button 4 of the inner row. The left hand plays the G \
         bass on 1 and the G chord on 2 and 3. Start bar 2 on the push and turn on 3. Turn to the push on 1 without letting \
         go of button 4 of the inner row, and it gives G, held for two beats; then lift the finger, turn to the pull and press \
         button 4 again: E on 3. Under it go the A bass with the E minor chord on 1 (held)."
    );
}

#[test]
fn runs_are_told_together_and_bars_that_go_on_say_so() {
    let tune = tune(Meter::simple(4, 4), &["G4:1/4 B4:1/4 D5:1/4 G5:1/4", "D5:1/4 B4:1/4 G4:1/4 -:1/4", "-:1/1"]);
    let plan = plan(&tune, "i3<1@i3 i4<2 i5<3 i6<4 i5<3 i4<2 i3<1");
    assert_eq!(
        say(&tune, &plan, "walk 1-3"),
        "Bar 1 is all on the push. The hand lies at place 3 on the inner row (index finger on button 3). G, B, D and \
         G follow one another on buttons 3, 4, 5 and 6 of the inner row, with index, middle, ring and little fingers, beginning on 1. \
         Stay on the push for bar 2. D, B and G follow one another on buttons 5, 4 and 3 of the inner row, with ring, \
         middle and index fingers, beginning on 1; then there is a rest on 4. In bar 3 the right hand rests."
    );
}

#[test]
fn double_stops_ties_graces_and_notes_that_are_missing() {
    let tune = tune(Meter::simple(6, 8), &["C5+E5:3/8 ~C5+E5:1/8 (B4)A4:1/8 A4:1/8", "C#3:3/4"]);
    let mut plan = plan(&tune, "i5+i6>23@i3 i5+i6>23~ i4<2 i3>1 i3>1\" o1<1");
    plan.notes[5].as_mut().expect("it is planned").presses.clear();
    assert_eq!(
        say(&tune, &plan, "walk 1-2"),
        "Bar 1 is all on the pull. The hand lies at place 3 on the inner row (index finger on button 3). On 1 come C and E \
         together, buttons 5 and 6 of the inner row, with middle and ring fingers; then hold C and E on through the tie. On \
         the ‘and’ of 2 the index finger takes A, button 3; a quick B (button 4 of the inner row) leads into it; press the \
         same button again on the ‘a’ of 2. Play bar 2 on the push. C sharp \
         on 1 is not to be had on this box."
    );
}

#[test]
fn pick_ups_endings_and_second_halves_have_their_names() {
    let mut tune = tune(Meter::simple(4, 4), &["0|D5:1/8 E5:1/8", "G5:1/1", "A5:1/1"]);
    tune.bars[2].ending = Some(Ending { passes: vec![1, 2], last_bar: 2, closed: true });
    let plan = plan(&tune, "i3<1 i4<2 i4<2\" i5<3");
    assert!(say(&tune, &plan, "walk 0").starts_with("The pick-up is all on the push."));
    assert!(say(&tune, &plan, "walk 2").starts_with("Bar 2, the first and second ending, is on the push throughout."));
    assert_eq!(say(&tune, &plan, "bars 2"), "bar 2, the first and second ending");
    // A pick-up of a crotchet in common time is counted from 4.
    assert_eq!(say(&tune, &plan, "count 0"), "4 and, a note on every count.");
}

#[test]
fn counting_in_every_kind_of_metre() {
    for (meter, bar, said) in [
        (Meter::simple(3, 4), "D5:3/8 E5:1/8 G5:1/4", "1, 2 and, 3"),
        (Meter::simple(4, 4), "D5:3/16 E5:1/16 G5:1/4 A5:1/2", "1 e and a, 2, 3, 4"),
        (Meter::simple(2, 4), "D5:1/12 E5:1/12 G5:1/12 A5:1/4", "1 trip let, 2"),
        (Meter::simple(6, 8), "D5:1/8 E5:1/8 G5:1/8 A5:3/8", "1 and a, 2"),
        (Meter::simple(6, 8), "D5:1/16 E5:1/16 G5:1/4 A5:3/8", "1 ti and ti a ti, 2"),
        (Meter::simple(9, 8), "D5:3/8 E5:1/4 G5:1/8 A5:3/8", "1, 2 and a, 3"),
        (Meter::simple(3, 2), "D5:1/2 E5:1/4 G5:1/4 A5:1/2", "1, 2 and, 3"),
        (Meter::Cut, "D5:1/2 E5:1/4 G5:1/4", "1, 2 and"),
        (Meter::simple(3, 8), "D5:1/8 E5:1/8 G5:1/8", "1, 2, 3"),
        (Meter::Figures { groups: vec![2, 2, 3], unit: 8 }, "D5:1/4 E5:1/4 G5:3/8", "1, 2, 3, 4, 5, 6, 7"),
        (Meter::Free, "D5:1/4 E5:1/8 G5:1/8", "1, 2 and"),
    ] {
        let tune = tune(meter.clone(), &[bar]);
        let found: Vec<String> = counts(&tune, "en-GB").into_iter().map(|count| count.syllable).collect();
        assert_eq!(found.join(" "), said.replace(',', ""), "{meter} {bar}");
    }
}

#[test]
fn moments_between_counts_are_told_apart() {
    let say_count = |meter, bar: &str| {
        let tune = tune(meter, &[bar]);
        say(&tune, &Plan::default(), "count 1")
    };
    // Three quavers in the time of two, at the head of a group in 6/8.
    let said = say_count(Meter::simple(6, 8), "D5:1/12 E5:1/12 F5:1/12 G5:1/8 A5:3/8");
    assert!(
        said.ends_with("with notes on 1, just after 1, just after the ‘and’ of 1, on the ‘a’ of 1 and on 2."),
        "{said}"
    );
    // Five in a beat: each has a name of its own.
    let said = say_count(Meter::simple(2, 4), "D5:1/20 E5:1/20 F5:1/20 G5:1/20 A5:1/20 B5:1/4");
    let five =
        "on 1, just after 1, just after the ‘e’ of 1, just after the ‘and’ of 1, just after the ‘a’ of 1 and on 2.";
    assert!(said.ends_with(five), "{said}");
}

#[test]
fn a_grace_that_is_left_out_says_why() {
    let tune = tune(Meter::simple(2, 4), &["D5:1/4 (B4)A4:1/4"]);
    let mut plan = plan(&tune, "i5<3 i4<2 o5<3");
    plan.notes[1] = None;
    assert_eq!(say(&tune, &plan, "how 1.2g1"), "not to be had on this box");
    plan.left_out = vec![(NoteId(1), LeftOut::OtherWay(Direction::Push))];
    assert_eq!(say(&tune, &plan, "how 1.2g1"), "left out, since it does not sound on the push like its note");
    assert_eq!(say(&tune, &plan, "button 1.2g1"), say(&tune, &plan, "how 1.2g1"));
    let box_ = instrument(2);
    let alt = Lesson::new(&tune, &plan, &box_, "en-GB", 1).alt(&Printed { bars: 0..1, ..Printed::default() });
    assert!(!alt.contains("grace"), "{alt}");
    plan.left_out = vec![(NoteId(1), LeftOut::NoNote)];
    assert_eq!(say(&tune, &plan, "how 1.2g1"), "left out, since it has no note to lean on");
}

#[test]
fn notes_that_cannot_be_played_together_are_not_said_to_be_missing() {
    let tune = tune(Meter::simple(2, 4), &["D5:1/4 A4:1/4"]);
    let mut plan = plan(&tune, "i5<3 o5<3");
    plan.notes[1] = None;
    for (why, said) in [
        (Unplayable::NotOnBox, "not to be had on this box"),
        (Unplayable::NotOneWay, "not to be had together on this box"),
    ] {
        plan.unplayable = vec![(NoteId(1), why)];
        assert_eq!(say(&tune, &plan, "how 1.2"), said);
        let box_ = instrument(2);
        assert!(
            Lesson::new(&tune, &plan, &box_, "en-GB", 1)
                .alt(&Printed { bars: 0..1, ..Printed::default() })
                .contains(said)
        );
    }
}

#[test]
fn a_new_finger_after_the_note_played_before_is_told() {
    let tune = tune(Meter::simple(2, 4), &["D5:1/2", "D5:1/2", "D5:1/2"]);
    let mut plan = plan(&tune, "i5<2@i3 i5<3 i5<3\"");
    let told = |plan: &Plan| say(&tune, plan, "walk 3").contains("now with the ring finger");
    assert!(!told(&plan));
    plan.elsewhere = vec![(NoteId(2), vec![PlayedAfter { note: NoteId(0), rest: false }])];
    assert!(told(&plan));
}

#[test]
fn counts_lie_on_their_beats() {
    let tune = tune(Meter::simple(3, 4), &["0|D5:1/4", "D5:3/8 E5:1/8 G5:1/4"]);
    let found: Vec<_> = counts(&tune, "fr").into_iter().map(|c| (c.bar, c.onset, c.syllable)).collect();
    let on = |num, den| Onset::new(num, den);
    let want = [(0, on(0, 1), "3"), (1, on(0, 1), "1"), (1, on(1, 4), "2"), (1, on(3, 8), "et"), (1, on(1, 2), "3")];
    assert_eq!(found, want.map(|(bar, onset, syllable)| (bar, onset, syllable.to_owned())));
}

#[test]
fn the_left_hand_and_the_count_as_sentences() {
    let (tune, mut plan) = waltz();
    assert_eq!(say(&tune, &plan, "left 1"), "press the G bass on 1 and the G chord on 2 and 3.");
    assert_eq!(say(&tune, &plan, "left 2"), "press the A bass with the E minor chord on 1 (held).");
    assert_eq!(say(&tune, &plan, "count 2"), "1, 2, 3, with notes on 1 and 3.");
    plan.left.iter_mut().for_each(|press| press.dropped = true);
    assert_eq!(say(&tune, &plan, "left 1-2"), "the left hand rests. the left hand rests.");
}

#[test]
fn the_bellows_pass_by_pass() {
    let (tune, mut plan) = waltz();
    let point = |bar, event, pass, from, to| InTicks { bar, event, pass, from, to };
    let points = [
        point(0, 0, 1, 34, 25),
        point(0, 1, 1, 25, 12),
        point(1, 0, 1, 12, 50),
        point(0, 0, 2, 50, 34),
        point(0, 1, 2, 34, 26),
    ];
    plan.bellows.curve = BellowsCurve::new(100, points.into_iter());
    plan.bellows.air = vec![AirPoint { after: NoteId(3), air: Air::Open, pinned: false }];
    plan.bellows.runs_out = Some(NoteId(4));
    assert_eq!(
        say(&tune, &plan, "bellows 2"),
        "In bar 2 the bellows open: hardly open at its beginning, half open at its end. Let air in after note 1. They run out at \
         note 2."
    );
    assert_eq!(
        say(&tune, &plan, "bellows 1 pass 2"),
        "In bar 1 the bellows close: half open at its beginning, a quarter open at its end."
    );
    assert_eq!(say(&tune, &plan, "bellows 2 pass 3"), "The bellows have not been worked out for bar 2.");
}

#[test]
fn other_languages_say_the_same() {
    let (tune, plan) = waltz();
    assert_eq!(say_in(&tune, &plan, "bars 1-2", "en-US"), "measures 1–2");
    assert!(say_in(&tune, &plan, "walk 1", "en-US").starts_with("Measure 1 begins on the push"));
    assert_eq!(say_in(&tune, &plan, "how 1.1", "fr"), "touche 5 du rang intérieur, en poussé, avec l’annulaire");
    assert_eq!(say_in(&tune, &plan, "button 1.2", "fr-CA"), "touche 8 du rang extérieur");
    assert_eq!(say_in(&tune, &plan, "left 2", "fr"), "jouez la basse de la avec l’accord de mi mineur sur 1 (tenir).");
    for language in ["fr", "en-US", "en-GB", "xx"] {
        let said = say_in(&tune, &plan, "walk 1-2", language);
        assert!(!said.contains(['{', '}']) && !said.contains("  "), "{said}");
    }
}

#[test]
fn unknown_facts_bars_and_notes_are_errors_at_their_place() {
    let (tune, plan) = waltz();
    let instrument = instrument(2);
    for (fact, code) in [
        ("hwo 1.1", "unknown-fact"),
        ("", "unknown-fact"),
        ("how 9.1", "unknown-note"),
        ("how 1.9", "unknown-note"),
        ("how", "bad-fact"),
        ("how one", "bad-fact"),
        ("walk 1-9", "unknown-bar"),
        ("walk 2-1", "bad-fact"),
        ("walk x", "bad-fact"),
        ("bellows 1 pass 0", "bad-fact"),
        ("place 1 2", "bad-fact"),
        ("walk 99999999999999999999", "bad-fact"),
    ] {
        let mut sink = Sink::default();
        assert_eq!(Lesson::new(&tune, &plan, &instrument, "en-GB", 1).fact(fact, at(), &mut sink), None, "{fact}");
        let item = &sink.items()[0];
        assert_eq!((item.code.name(), item.place, item.hints.len()), (code, Some(at()), 1), "{fact}");
    }
}

#[test]
fn a_system_in_words() {
    let (tune, plan) = waltz();
    let instrument = instrument(2);
    let lesson = Lesson::new(&tune, &plan, &instrument, "en-GB", 1);
    assert_eq!(
        lesson.alt(&Printed { bars: 0..9, left: true, ..Printed::default() }).replace('\u{a0}', " "),
        "Bar 1: no sharps or flats; 3/4 time; hand to inner 3; D crotchet, push, inner 5; F sharp crotchet, outer 8; A crotchet, pull, inner 4; left hand the G bass on 1 and \
         the G chord on 2 and 3. Bar 2: G minim, push, inner 4, button kept down; E crotchet, pull, inner 4, same button \
         pressed again; left hand the A bass with the E minor chord on 1 (held)."
    );
    assert_eq!(
        lesson.records(0),
        [
            "note 1: push, inner 5, finger 3, hand to inner 3",
            "note 2: push, outer 8, finger 4",
            "note 3: pull, inner 4, finger 2",
            "left hand bass at 0: G",
            "left hand chord at 1/4: g",
            "left hand chord at 1/2: g"
        ]
    );
}

#[test]
fn where_the_hand_moves_rows_and_fingers_are_said_again() {
    let tune = tune(Meter::simple(4, 4), &["D5:1/4 A4:1/4 D5:1/4 D5:1/4", "D5:1/2 A4:1/2"]);
    let mut plan = plan(&tune, "o6<3@o4 o5<2 o6<3 o6<4\"@o3 o6<4\" o5<3@o3");
    assert_eq!(
        say(&tune, &plan, "walk 1"),
        "Bar 1 is all on the push. The hand lies at place 4 on the outer row (index finger on button 4). D, A and D follow \
         one another on buttons 6, 5 and 6 of the outer row, with ring, middle and ring fingers, beginning on 1. The hand moves: \
         index finger over button 3 of the outer row. D comes again on 4, on the same button, now with the little finger."
    );
    let second = say(&tune, &plan, "walk 2");
    assert!(second.contains("The hand moves: index finger over button 3 of the outer row."), "{second}");
    assert_eq!(second.matches("button 5 of the outer row").count(), 1, "the row is said again: {second}");
    // A bar that a repeat may also lead to: the hand may lie there already.
    let first = plan.notes[4].as_mut().expect("it is planned");
    first.place_moves = true;
    let mut repeated = tune.clone();
    repeated.bars[1].left.repeat_start = true;
    assert!(say(&repeated, &plan, "walk 2").contains("The hand lies at place 3 on the outer row"));
    assert!(say(&tune, &plan, "walk 2").contains("The hand moves: index finger over button 3"));
}

/// Anything that can happen in a bar, in every language: sentences that are whole, and that name every button pressed.
mod whatever_the_plan {
    use super::*;
    use proptest::prelude::*;

    fn bar() -> impl Strategy<Value = Vec<(u8, u8, bool, u8)>> {
        proptest::collection::vec((0u8..6, 1u8..10, any::<bool>(), 0u8..5), 1..9)
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]
        #[test]
        fn sentences_are_whole(bars in proptest::collection::vec(bar(), 1..4), compound in any::<bool>()) {
            let mut texts = Vec::new();
            let mut plans = String::new();
            for bar in &bars {
                let mut text = String::new();
                for (kind, button, pull, sound) in bar {
                    let direction = if *pull { '>' } else { '<' };
                    let mark = ["", "=", "!", "\"", "~"][usize::from(*sound)];
                    let (head, press) = match kind {
                        0 => ("-:1/8 ", String::new()),
                        1 => ("C5+E5:1/4 ", format!("i{button}+o{button}{direction}12{mark} ")),
                        2 => ("(B4)A4:1/8 ", format!("i{button}{direction}1 o{button}{direction}3{mark} ")),
                        3 => ("F#5:3/4 ", format!("o{button}{direction}4{mark}@o{button} ")),
                        _ => ("G4:1/8 ", format!("i{button}{direction}2{mark} ")),
                    };
                    text.push_str(head);
                    plans.push_str(&press);
                }
                texts.push(text);
            }
            let meter = if compound { Meter::simple(6, 8) } else { Meter::simple(4, 4) };
            let texts: Vec<&str> = texts.iter().map(String::as_str).collect();
            let tune = tune(meter, &texts);
            let plan = plan(&tune, &plans);
            for language in ["en-GB", "en-US", "fr"] {
                for fact in [format!("walk 1-{}", bars.len()), "count 1".into(), "place 1".into(), "left 1".into()] {
                    let said = say_in(&tune, &plan, &fact, language);
                    prop_assert!(!said.contains(['{', '}']), "{}", said);
                    for fault in ["  ", ",.", "..", ",,", " .", ". ."] {
                        prop_assert!(!said.contains(fault), "{fault:?} in {said}");
                    }
                    if fact.starts_with("walk") {
                        prop_assert!(said.ends_with('.'));
                        for press in plan.notes.iter().flatten().flat_map(|note| &note.presses) {
                            let named = said.contains(&press.button.number.to_string());
                            let held = matches!(press.sound, crate::fingering::Sound::Tie | crate::fingering::Sound::Repeat);
                            prop_assert!(named || held, "button {} in {said}", press.button);
                        }
                    }
                }
            }
        }
    }
}
