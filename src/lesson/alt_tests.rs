//! Lines of music in words: all that is printed on them, and nothing that is not.

use super::fixture::{instrument, left, plan, tune};
use super::{Lesson, Printed, value_name};
use crate::fingering::{Air, AirPoint, Plan};
use crate::tune::{
    BarlineStyle, ChordQuality, ChordSymbol, Duration, Ending, Jump, KeySignature, Landmark, Lyric, Mark, Meter, Mode,
    NoteId, NoteValue, PitchClass, Slur, Sounding, Syllable, Tempo, Tune, Tuplet, TupletId, played,
};
use proptest::prelude::*;

/// Three notes and a bar of two, in D, with words, a chord symbol and air.
fn song() -> (Tune, Plan) {
    let mut tune = tune(Meter::simple(6, 8), &["F#5:3/8 D5:3/8", "D5:3/8 -:3/8"]);
    let class = |name: &str| PitchClass::parse(name).expect("a note");
    tune.key = KeySignature::regular(class("D"), Mode::Major).expect("a key");
    let tempo =
        |bpm| Tempo { before: None, beat: vec![Duration::new(3, 8)], bpm: Some(bpm), after: Some("slower".into()) };
    tune.tempo = Some(tempo(108));
    tune.bars[0].tempo = Some(tempo(108).into());
    tune.bars[1].tempo = Some(tempo(90).into());
    let sung = |text: &str, joint| Some(Lyric { text: text.into(), joint, held: false });
    tune.bars[0].events[0].lyrics = [sung("Lan", Syllable::Hyphen)].into();
    tune.bars[0].events[1].lyrics = [sung("tern", Syllable::Hyphen)].into();
    tune.bars[1].events[0].lyrics = [sung("light", Syllable::End)].into();
    tune.bars[0].events[0].chord_symbols = [ChordSymbol {
        text: "Bm7/F#".into(),
        root: Some(class("B")),
        quality: ChordQuality::MinorSeventh,
        bass: Some(class("F#")),
    }]
    .into();
    let mut plan = plan(&tune, "o7<4@o4 o6<3 o6<3\"");
    plan.bellows.air = vec![AirPoint { after: NoteId(1), air: Air::Open, pinned: false }];
    (tune, plan)
}

fn said(tune: &Tune, plan: &Plan, line: &Printed<'_>, language: &str) -> String {
    let instrument = instrument(2);
    Lesson::new(tune, plan, &instrument, language, 1).alt(line).replace('\u{a0}', " ")
}

#[test]
fn a_line_says_all_that_is_printed_on_it() {
    let (tune, plan) = song();
    let line = Printed { bars: 0..2, fingers: &[NoteId(0), NoteId(1)], symbols: true, ..Printed::default() };
    assert_eq!(
        said(&tune, &plan, &line, "en-GB"),
        "Bar 1: D major; 6/8 time; chord B minor 7 over F sharp; hand to outer 4; F sharp dotted crotchet, push, outer 7, \
         finger 4; D dotted crotchet, outer 6, finger 3; air in; words: Lantern-. Bar 2: dotted crotchet = 90, slower; D \
         dotted crotchet, outer 6; dotted crotchet rest; words: light."
    );
    let american = said(&tune, &plan, &line, "en-US");
    assert!(american.contains("F sharp dotted quarter note, push, outer 7, finger 4"), "{american}");
    assert_eq!(
        said(&tune, &plan, &line, "fr"),
        "Mesure 1: ré majeur; mesure à 6/8; accord si mineur 7, basse fa dièse; la main va à extérieur 4; fa dièse noire \
         pointée, poussé, extérieur 7, doigt 4; ré noire pointée, extérieur 6, doigt 3; air, ouvrir; paroles : Lantern-. \
         Mesure 2: noire pointée = 90, slower; ré noire pointée, extérieur 6; silence de noire pointée; paroles : light."
    );
}

#[test]
fn what_a_line_does_not_print_is_not_said() {
    let (tune, mut plan) = song();
    left(&mut plan, &[(0, (0, 1), (3, 8), "D")]);
    let bare = said(&tune, &plan, &Printed { bars: 0..2, ..Printed::default() }, "en-GB");
    assert!(!bare.contains("finger") && !bare.contains("chord") && !bare.contains("left hand"), "{bare}");
    let melody = said(&tune, &Plan::default(), &Printed { bars: 0..1, bare: true, ..Printed::default() }, "en-GB");
    assert_eq!(melody, "Bar 1: D major; 6/8 time; F sharp dotted crotchet; D dotted crotchet; words: Lantern-.");
}

#[test]
fn a_bar_that_goes_on_on_the_next_line_is_said_once() {
    let (tune, mut plan) = song();
    left(&mut plan, &[(0, (0, 1), (3, 8), "D")]);
    let first = Printed { bars: 0..1, until: Some(1), left: true, ..Printed::default() };
    let second = Printed { bars: 0..2, after: 1, left: true, ..Printed::default() };
    assert_eq!(
        said(&tune, &plan, &first, "en-GB"),
        "Bar 1: D major; 6/8 time; hand to outer 4; F sharp dotted crotchet, push, outer 7; left hand the D bass on 1; words: \
         Lan-."
    );
    let second = said(&tune, &plan, &second, "en-GB");
    assert!(
        second.starts_with("Bar 1, continued: D dotted crotchet, push, outer 6; air in; words: tern-. Bar 2"),
        "{second}"
    );
}

#[test]
fn the_order_of_the_bars_is_said() {
    let (mut tune, plan) = song();
    tune.bars[0].part = Some("A".into());
    tune.bars[0].landmarks = [Landmark::Segno, Landmark::Fine].into();
    tune.bars[0].left.repeat_start = true;
    tune.bars[0].right.repeat_end = 3;
    tune.bars[1].ending = Some(Ending { passes: vec![2], last_bar: 1, closed: true });
    tune.bars[1].jump = Some(Jump::DalSegnoAlFine);
    tune.bars[1].events[0].marks = [Mark::Fermata, Mark::Staccato].into();
    let said = said(&tune, &plan, &Printed { bars: 0..2, ..Printed::default() }, "en-GB");
    assert!(said.starts_with("Bar 1: part A; segno; D major; 6/8 time; repeat begins; hand"), "{said}");
    assert!(said.contains("repeat ends, ×3; Fine, the end. Bar 2, the second ending: "), "{said}");
    assert!(said.contains("outer 6, pause, staccato;"), "{said}");
    assert!(said.ends_with("D.S. al Fine, from the segno to Fine."), "{said}");
}

/// A slur into a note with a grace, one inside it, one from that grace to its own note, in three languages.
#[test]
fn slurs_are_said_where_they_begin_and_end() {
    let mut tune = tune(Meter::simple(2, 4), &["D5:1/4 E5:1/4", "(B4)A4:1/2"]);
    let slur = |from, to| Slur { from: NoteId(from), to: NoteId(to), dotted: false };
    tune.slurs = vec![slur(0, 1), slur(0, 3), slur(2, 3)];
    let plan = plan(&tune, "o6<3 o6<3 o5>2 o5>2");
    let line = Printed { bars: 0..2, ..Printed::default() };
    assert_eq!(
        said(&tune, &plan, &line, "en-GB"),
        "Bar 1: no sharps or flats; 2/4 time; slur begins; slur begins; D crotchet, push, outer 6; E crotchet, outer 6; \
         slur ends. Bar 2: grace note B, pull, outer 5, slurred to its note, A minim, outer 5; slur ends."
    );
    let french = said(&tune, &plan, &line, "fr");
    assert!(french.contains("début de liaison; début de liaison; ré noire, poussé"), "{french}");
    let grace = "petite note si, tiré, extérieur 5, liée à sa note, la blanche, extérieur 5; fin de liaison.";
    assert!(french.ends_with(grace), "{french}");
    // On the line where a slur goes on, its end alone is said.
    let second = said(&tune, &plan, &Printed { bars: 1..2, ..Printed::default() }, "en-US");
    assert!(!second.contains("slur begins") && second.matches("slur ends").count() == 1, "{second}");
}

proptest! {
    /// Whoever is led to a bar from another than the one written before it hears which way the bellows go there.
    #[test]
    fn a_bar_that_is_come_to_from_elsewhere_says_its_direction(signs in prop::collection::vec(0..14u8, 10)) {
        let mut tune = tune(Meter::simple(2, 4), &["D5:2/4"; 10]);
        for (bar, sign) in signs.into_iter().enumerate() {
            let last_bar = (bar + usize::from(sign % 2)).min(9);
            let here = &mut tune.bars[bar];
            match sign {
                0 => here.left.repeat_start = true,
                1 | 2 => here.right.repeat_end = 2,
                3 | 4 => here.ending = Some(Ending { passes: vec![1 + sign % 2], last_bar, closed: true }),
                5 => here.right.style = BarlineStyle::Double,
                6 => here.landmarks = [Landmark::Segno].into(),
                7 => here.landmarks = [Landmark::Coda].into(),
                8 => here.jump = Some(Jump::DalSegno),
                9 => here.jump = Some(Jump::DaCapoAlCoda),
                10 => here.part = Some("A".into()),
                11 => here.part = Some("B".into()),
                _ => {}
            }
        }
        if tune.bars[0].part.is_some() {
            tune.part_order = ["A", "B", "A"].map(str::to_owned).to_vec();
        }
        let plan = plan(&tune, &["o6<3"; 10].join(" "));
        let said = said(&tune, &plan, &Printed { bars: 0..10, ..Printed::default() }, "en-GB");
        let order = played(&tune);
        for (from, to) in order.iter().zip(order.iter().skip(1)).filter(|(from, to)| from.bar + 1 != to.bar) {
            let name = tune.bars[to.bar].label.to_string();
            let begins = [format!("Bar {name}:"), format!("Bar {name},")];
            let sentence = said.split(". ").find(|sentence| begins.iter().any(|begins| sentence.starts_with(begins)));
            let sentence = sentence.unwrap_or_else(|| panic!("no bar {name} in {said}"));
            prop_assert!(sentence.contains(", push, outer 6"), "from {} to {}: {}", from.bar, to.bar, said);
        }
    }
}

#[test]
fn rests_of_several_bars_are_said_as_one_and_tuplets_once() {
    let mut tune = tune(Meter::simple(2, 4), &["-:2/4", "-:2/4", "D5:1/8 D5:1/8 D5:1/8"]);
    for bar in 0..2 {
        tune.bars[bar].events[0].sounding = Sounding::Rest { visible: true, whole_bar: true };
    }
    tune.bars[0].rest_run = 2;
    tune.tuplets = vec![Tuplet { actual: 3, normal: 2 }];
    tune.bars[2].events.iter_mut().for_each(|event| event.tuplet = Some(TupletId(0)));
    let plan = plan(&tune, "o6<3 o6<3\" o6<3\"");
    let words = said(&tune, &plan, &Printed { bars: 0..3, ..Printed::default() }, "en-GB");
    assert_eq!(
        words,
        "Bars 1–2: no sharps or flats; 2/4 time; rest for 2 bars. Bar 3: triplet; D quaver, push, outer 6; D quaver, outer 6; \
         D quaver, outer 6."
    );
    tune.bars[0].rest_run = 1;
    let words = said(&tune, &plan, &Printed { bars: 1..2, ..Printed::default() }, "en-US");
    assert_eq!(words, "Measure 2: rest for the whole measure.");
}

#[test]
fn values_have_names_from_the_breve_down() {
    let value = |halvings, dots, language| value_name(NoteValue { halvings, dots }, language);
    assert_eq!(value(2, 1, "en-GB"), "dotted crotchet");
    assert_eq!(value(-1, 0, "en-US"), "double whole note");
    assert_eq!(value(3, 2, "fr"), "croche doublement pointée");
    assert_eq!(value(9, 0, "en-GB"), "hemidemisemiquaver");
}
