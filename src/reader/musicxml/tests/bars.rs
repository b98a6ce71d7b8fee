//! Keys, metres, tempi, barlines, repeats and endings that are odd, or stand where a bar has no place for them.

use super::{code, losses, measures, note, odd_measures, one_tune, quarter, score, shown, tune};
use crate::tune::{BarlineStyle, Duration, Landmark, Meter, Pitch};

fn full() -> String {
    quarter() + &quarter()
}

fn right(inner: &str) -> String {
    format!("{}<barline location=\"right\">{inner}</barline>", full())
}

fn left(inner: &str) -> String {
    format!("<barline location=\"left\">{inner}</barline>{}", full())
}

fn attributes(inner: &str) -> String {
    format!("<attributes>{inner}</attributes>")
}

fn tempo(inner: &str) -> String {
    format!("<direction><direction-type><metronome>{inner}</metronome></direction-type></direction>")
}

const SIXTY: &str = "<beat-unit>quarter</beat-unit><per-minute>60</per-minute>";

/// A key without a mode is a major one; one that says it has none shows its signs and claims no tonic.
#[test]
fn keys_without_a_mode() {
    let names = ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"];
    for (fifths, name) in (-7..=7).zip(names) {
        let key = format!("<fifths>{fifths}</fifths>");
        let text = score(&[full()]).replace("<fifths>1</fifths><mode>major</mode>", &key);
        let (tune, said) = tune(&text);
        assert!(said.is_empty(), "{said:?}");
        let written = crate::reader::abc::write_music(&tune);
        assert!(written.contains(&format!("K:{name}\n")), "{written}");
    }
    let none = "<fifths>2</fifths><mode>none</mode>";
    let (tune, said) = tune(&score(&[full()]).replace("<fifths>1</fifths><mode>major</mode>", none));
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(tune.key.signs().iter().map(ToString::to_string).collect::<Vec<_>>(), ["F#", "C#"]);
    assert!(crate::reader::abc::write_music(&tune).contains("K:none exp ^f ^c\n"));
}

#[test]
fn keys_and_metres_inside_a_bar_count_from_the_next() {
    let key = attributes("<key><fifths>2</fifths><mode>major</mode></key>");
    let (tune, said) = measures(&[&(quarter() + &key + &quarter()), &full()]);
    assert_eq!((tune.key.fifths, tune.bars[0].key.is_some()), (1, false));
    assert_eq!(tune.bars[1].key.as_ref().map(|key| key.fifths), Some(2));
    assert_eq!(losses(&said), ["a key that begins inside a bar becomes one from the next bar on (measure 1)"]);
    let time = attributes("<time><beats>3</beats><beat-type>4</beat-type></time>");
    let (tune, said) = measures(&[&(full() + &time), &(full() + &quarter())]);
    assert!(said.is_empty(), "{said:?}");
    assert_eq!((tune.meter.clone(), tune.bars[1].meter.clone()), (Meter::simple(2, 4), Some(Meter::simple(3, 4))));
}

#[test]
fn tempi_inside_a_bar_and_with_odd_figures() {
    let (tune, said) = measures(&[&(quarter() + &tempo(SIXTY) + &quarter()), &full()]);
    assert!(tune.tempo.is_none() && tune.bars[1].tempo.is_none());
    assert_eq!(losses(&said), ["a tempo that begins inside a bar is not kept (measure 1)"]);
    let (tune, said) = measures(&[&(full() + &tempo(SIXTY)), &full()]);
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(tune.bars[1].tempo.as_ref().and_then(|tempo| tempo.bpm), Some(60));
    for (figures, bpm, loss) in [
        ("c. 60-63", 60, Some("the tempo \u{201c}c. 60-63\u{201d} becomes 60 (measure 1)")),
        ("120.5", 121, Some("the tempo \u{201c}120.5\u{201d} becomes 121 (measure 1)")),
        ("96", 96, None),
    ] {
        let (tune, said) = measures(&[&(tempo(&SIXTY.replace("60", figures)) + &full())]);
        assert_eq!(tune.tempo.and_then(|tempo| tempo.bpm), Some(bpm));
        assert_eq!(losses(&said), loss.into_iter().collect::<Vec<_>>());
    }
    let tied = "<beat-unit>quarter</beat-unit><beat-unit-tied><beat-unit>eighth</beat-unit></beat-unit-tied><per-minute>50</per-minute>";
    let (tune, said) = measures(&[&(tempo(tied) + &full())]);
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(tune.tempo.map(|tempo| tempo.beat), Some(vec![Duration::new(1, 4), Duration::new(1, 8)]));
    let (_, said) = measures(&[&full(), &("<sound tempo=\"150\"/>".to_owned() + &full())]);
    assert_eq!(losses(&said), ["a tempo that is heard and not shown is not kept (measure 2)"]);
}

#[test]
fn barlines_that_are_near() {
    for (style, drawn, becomes) in [
        ("tick", BarlineStyle::Single, Some("a plain one")),
        ("short", BarlineStyle::Single, Some("a plain one")),
        ("dashed", BarlineStyle::Dotted, Some("a dotted one")),
        ("heavy", BarlineStyle::Final, Some("a thin and a thick line")),
        ("heavy-heavy", BarlineStyle::Final, Some("a thin and a thick line")),
        ("dotted", BarlineStyle::Dotted, None),
        ("none", BarlineStyle::Invisible, None),
    ] {
        let (tune, said) = measures(&[&right(&format!("<bar-style>{style}</bar-style>")), &full()]);
        assert_eq!(tune.bars[0].right.style, drawn, "{style}");
        let loss = becomes.map(|b| format!("a barline of the style \u{201c}{style}\u{201d} becomes {b} (measure 1)"));
        assert_eq!(losses(&said), loss.iter().map(String::as_str).collect::<Vec<_>>());
    }
    // Thick then thin at the right is how the next bar begins.
    let (tune, said) = measures(&[&right("<bar-style>heavy-light</bar-style>"), &full()]);
    assert!(said.is_empty(), "{said:?}");
    assert_eq!((tune.bars[0].right.style, tune.bars[1].left.style), (BarlineStyle::Single, BarlineStyle::HeavyLight));
    let middle = |style: &str| {
        let line = format!("<barline location=\"middle\"><bar-style>{style}</bar-style></barline>");
        measures(&[&(quarter() + &line + &quarter())])
    };
    let (tune, said) = middle("light-light");
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(code(&tune), "c4 || c4 |");
    assert_eq!(losses(&middle("dotted").1), ["a line inside a bar is not kept (measure 1)"]);
}

#[test]
fn signs_at_the_right_of_a_bar() {
    let (tune, said) = measures(&[&right("<segno/>"), &full(), &right("<coda/>"), &full(), &right("<segno/>")]);
    assert_eq!(tune.bars[1].landmarks, [Landmark::Segno]);
    assert_eq!(
        losses(&said),
        [
            "a coda sign at the end of a bar is not kept (measure 3)",
            "a segno, coda, jump or rehearsal mark after the last bar is not kept (measure 5)",
        ]
    );
}

#[test]
fn repeats_of_many_times() {
    let repeat = |more: &str| right(&format!("<repeat direction=\"backward\"{more}/>"));
    for (more, times, loss) in [
        ("", 2, None),
        (" times=\"3\"", 3, None),
        (
            " times=\"40\"",
            32,
            Some("a part that is played \u{201c}40\u{201d} times in all becomes one of 32 (measure 1)"),
        ),
        (
            " times=\"999\"",
            32,
            Some("a part that is played \u{201c}999\u{201d} times in all becomes one of 32 (measure 1)"),
        ),
        (" times=\"1\"", 2, Some("a part that is played \u{201c}1\u{201d} times in all becomes one of 2 (measure 1)")),
        (" after-jump=\"yes\"", 2, Some("the order to repeat after a jump as well is not kept (measure 1)")),
    ] {
        let (tune, said) = measures(&[&repeat(more), &full()]);
        assert_eq!(tune.bars[0].right.repeat_end, times, "{more}");
        assert_eq!(losses(&said), loss.into_iter().collect::<Vec<_>>());
    }
}

#[test]
fn endings_by_ranges_texts_and_without_a_beginning() {
    let ending =
        |number: &str, kind: &str, text: &str| format!("<ending number=\"{number}\" type=\"{kind}\">{text}</ending>");
    let back = "<repeat direction=\"backward\" times=\"4\"/>";
    for (number, text, passes, loss) in [
        ("1-3", "1.-3.", vec![1, 2, 3], None),
        ("1, 2", "", vec![1, 2], None),
        (
            "1,2,3",
            "1. to 3.",
            vec![1, 2, 3],
            Some("the text of an ending, \u{201c}1. to 3.\u{201d}, is not kept (measure 1)"),
        ),
        ("2,99", "", vec![2], Some("a part of the number of the ending \u{201c}2,99\u{201d} is not kept (measure 1)")),
    ] {
        let stop = format!("<barline location=\"right\">{}{back}</barline>", ending(number, "stop", ""));
        let (tune, said) = odd_measures(&[&(left(&ending(number, "start", text)) + &stop), &full()]);
        assert_eq!(tune.bars[0].ending.as_ref().map(|ending| ending.passes.clone()), Some(passes), "{number}");
        assert_eq!(losses(&said), loss.into_iter().collect::<Vec<_>>());
    }
    let (_, said) = measures(&[&right(&ending("1", "stop", "")), &full()]);
    assert_eq!(losses(&said), ["an ending that does not begin is not kept (measure 1)"]);
}

#[test]
fn clefs_divisions_and_transpositions() {
    for (inner, loss) in [
        ("<clef><sign>G</sign><line>1</line></clef>", "a clef other than the treble clef"),
        (
            "<clef><sign>G</sign><line>2</line><clef-octave-change>-1</clef-octave-change></clef>",
            "the octave of a clef",
        ),
        ("<divisions>9999999999999</divisions>", "a number of divisions that cannot be read"),
        ("<key><key-step>H</key-step><key-alter>1</key-alter></key>", "a key that is not understood"),
    ] {
        let (tune, said) = odd_measures(&[&full(), &(attributes(inner) + &full())]);
        assert_eq!(shown(&tune), "C5:1/4 C5:1/4 | C5:1/4 C5:1/4");
        assert_eq!(losses(&said), [format!("{loss} is not kept (measure 2)")], "{inner}");
    }
    // Each bar sounds by what is said of it.
    let down = |steps: i32, semitones: i32| {
        attributes(&format!("<transpose><diatonic>{steps}</diatonic><chromatic>{semitones}</chromatic></transpose>"))
    };
    let (tune, said) = measures(&[&(down(-1, -2) + &full()), &(down(0, 0) + &full()), &(down(-1, -2) + &full())]);
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(shown(&tune), "Bb4:1/4 Bb4:1/4 | C5:1/4 C5:1/4 | Bb4:1/4 Bb4:1/4");
    assert_eq!(tune.bars[0].events[0].notes()[0].pitch, Pitch::parse("Bb4").expect("a pitch"));
}

#[test]
fn steps_beyond_the_bar_and_unknown_elements() {
    let (tune, said) = odd_measures(&[&format!("<backup><duration>99</duration></backup>{}<wobble/>", full())]);
    assert_eq!(code(&tune), "c4 c4 |");
    assert_eq!(
        losses(&said),
        [
            "a step back that has no length or goes beyond the bar is not kept (measure 1)",
            "\u{201c}wobble\u{201d} is not kept (measure 1)",
        ]
    );
    let (_, said) = one_tune(&score(&[note("C", 5, 600, "")]));
    assert!(said.iter().any(|said| said.contains("what goes beyond 64 whole notes in a measure")), "{said:?}");
}
