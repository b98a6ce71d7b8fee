//! The played order: signs at whichever side of a barline, signs inside a bar, goals that have names.

use super::{code, losses, measures, note, odd_measures, quarter};
use crate::tune::{BarlineStyle, Jump, Landmark, Tune, played};

fn full() -> String {
    quarter() + &quarter()
}

fn at(location: &str, inner: &str) -> String {
    format!("<barline location=\"{location}\">{inner}</barline>")
}

fn sound(orders: &str) -> String {
    format!("<sound {orders}/>")
}

fn sign(inner: &str, orders: &str) -> String {
    let sound = if orders.is_empty() { String::new() } else { sound(orders) };
    format!("<direction><direction-type>{inner}</direction-type>{sound}</direction>")
}

fn words(words: &str, orders: &str) -> String {
    sign(&format!("<words>{words}</words>"), orders)
}

/// The bars as they are played, by their labels.
fn order(tune: &Tune) -> String {
    let labels = played(tune).iter().map(|passage| tune.bars[passage.bar].label.to_string()).collect::<Vec<_>>();
    labels.join(" ")
}

const FORWARD: &str = "<repeat direction=\"forward\"/>";
const BACKWARD: &str = "<repeat direction=\"backward\"/>";

fn ending(number: &str, kind: &str) -> String {
    format!("<ending number=\"{number}\" type=\"{kind}\"/>")
}

/// What stands at the right of a bar begins the next one, what stands at the left ends the one before.
#[test]
fn signs_at_the_other_side_of_a_barline() {
    let (tune, said) = measures(&[&(full() + &at("right", FORWARD)), &(full() + &at("right", BACKWARD)), &full()]);
    assert_eq!((order(&tune).as_str(), losses(&said).len()), ("1 2 2 3", 0));
    let (tune, said) = measures(&[&full(), &(at("left", BACKWARD) + &full())]);
    assert_eq!((order(&tune).as_str(), losses(&said).len()), ("1 1 2", 0));
    let stop = at("right", &(ending("1", "stop") + BACKWARD));
    let (tune, said) = measures(&[
        &(full() + &at("right", &ending("1", "start"))),
        &(full() + &stop),
        &(at("left", &ending("2", "start")) + &full()),
        &(at("left", &ending("2", "discontinue")) + &full()),
    ]);
    assert_eq!((order(&tune).as_str(), losses(&said).len()), ("1 2 1 3 4", 0));
    let bracket = |bar: usize| tune.bars[bar].ending.as_ref().map(|ending| (ending.last_bar, ending.closed));
    assert_eq!((bracket(1), bracket(2)), (Some((1, true)), Some((2, false))));
    let (_, said) = measures(&[&(at("left", BACKWARD) + &full())]);
    assert_eq!(losses(&said), ["the end of a repeat before the first bar is not kept (measure 1)"]);
}

/// A bar that a barline divides is two halves with one number.
#[test]
fn barlines_inside_a_bar_cut_it() {
    let cut = quarter() + &at("middle", BACKWARD) + &quarter();
    let (tune, said) = measures(&[&full(), &cut, &full()]);
    assert_eq!((order(&tune).as_str(), losses(&said).len()), ("1 2 1 2 2+ 3", 0));
    assert_eq!(code(&tune), "c4 c4 | c4 :| c4 | c4 c4 |");
    let both = quarter() + &at("middle", &(ending("1", "stop") + BACKWARD)) + &quarter();
    let (tune, said) = measures(&[&full(), &(at("left", &ending("1", "start")) + &both), &full()]);
    assert_eq!((order(&tune).as_str(), losses(&said).len()), ("1 2 1 2+ 3", 0));
    // A second voice is read after the sign, and is cut there as well.
    let low = quarter() + "<backup><duration>4</duration></backup>";
    let other = note("E", 4, 2, "<voice>2</voice>").repeat(2);
    let (tune, _) = measures(&[&(quarter() + &at("middle", BACKWARD) + &low + &other), &full()]);
    assert_eq!(code(&tune), "c4 :| c4 | c4 c4 |");
    let (tune, said) = measures(&[&(note("C", 5, 4, "").as_str().to_owned()
        + "<backup><duration>2</duration></backup>"
        + &at("middle", BACKWARD)
        + "<forward><duration>2</duration></forward>")]);
    assert_eq!((tune.bars.len(), order(&tune).as_str()), (1, "1"));
    assert_eq!(losses(&said), ["a barline inside a bar, with what stands at it, is not kept (measure 1)"]);
}

#[test]
fn jumps_and_their_goals_inside_a_bar_cut_it() {
    let inside = |sign: &str| quarter() + sign + &quarter();
    let back = full() + &words("D.C. al Fine", "dacapo=\"yes\"");
    let (tune, said) = measures(&[&inside(&words("Fine", "fine=\"yes\"")), &back]);
    assert_eq!((order(&tune).as_str(), losses(&said).len()), ("1 1+ 2 1", 0));
    assert_eq!(code(&tune), "c4 !fine! [|] c4 | c4 c4 !D.C.alfine! |");
    assert_eq!(tune.bars[0].right.style, BarlineStyle::Invisible);
    let (tune, said) = measures(&[
        &full(),
        &inside(&words("To Coda", "tocoda=\"c\"")),
        &(full() + &words("D.C. al Coda", "dacapo=\"yes\"")),
        &(sign("<coda/>", "coda=\"c\"") + &full()),
    ]);
    assert_eq!((order(&tune).as_str(), losses(&said).len()), ("1 2 2+ 3 1 2 4", 0));
    let (tune, said) =
        measures(&[&inside(&sign("<segno/>", "segno=\"s\"")), &(full() + &words("D.S.", "dalsegno=\"s\""))]);
    assert_eq!((order(&tune).as_str(), losses(&said).len()), ("1 1+ 2 1+ 2", 0));
    // At the end of a bar it belongs to the next one.
    let (tune, said) = measures(&[&(full() + &sign("<segno/>", "")), &full(), &(full() + &words("D.S.", ""))]);
    assert_eq!((order(&tune).as_str(), losses(&said).len()), ("1 2 3 2 3", 0));
    // A note that sounds on is not cut.
    let held = "<backup><duration>2</duration></backup>".to_owned()
        + &words("Fine", "fine=\"yes\"")
        + "<forward><duration>2</duration></forward>";
    let (tune, said) = measures(&[&(note("C", 5, 4, "") + &held), &back]);
    assert_eq!(order(&tune), "1 2 1");
    assert_eq!(losses(&said), ["a Fine inside a bar becomes one at its end (measure 1)"]);
}

/// Words without a sound are set where there is room.
#[test]
fn words_over_the_last_note_stand_at_the_end_of_the_bar() {
    let (tune, said) =
        measures(&[&(quarter() + &words("Fine", "") + &quarter()), &(full() + &words("D.C. al Fine", ""))]);
    assert_eq!((tune.bars.len(), tune.bars[0].landmarks.as_slice()), (2, [Landmark::Fine].as_slice()));
    assert_eq!(losses(&said), ["a Fine inside a bar becomes one at its end (measure 1)"]);
    let (tune, said) = measures(&[&full(), &(words("D.C.", "dacapo=\"yes\"") + &full())]);
    assert_eq!(tune.bars[1].jump, Some(Jump::DaCapo));
    assert_eq!(losses(&said), ["a jump at the beginning of a bar becomes one at its end (measure 2)"]);
}

#[test]
fn a_sign_of_the_way_out_is_not_the_coda() {
    let out = "<direction><direction-type><words>To Coda</words></direction-type><direction-type><coda/></direction-type></direction>";
    let (tune, said) =
        measures(&[&(full() + out), &(full() + &words("D.C. al Coda", "")), &(sign("<coda/>", "") + &full())]);
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(tune.bars.iter().map(|bar| bar.landmarks.len()).collect::<Vec<_>>(), [0, 0, 1]);
    assert_eq!(order(&tune), "1 2 1 3");
}

#[test]
fn goals_by_their_names_and_passes() {
    let bars = |goal: &str| {
        [
            sound("segno=\"A\"") + &full(),
            full(),
            sound("segno=\"C\"") + &full() + &sound(&format!("dalsegno=\"{goal}\"")),
        ]
    };
    let (_, said) = measures(&bars("C").each_ref().map(String::as_str));
    assert!(said.is_empty(), "{said:?}");
    let (_, said) = measures(&bars("A").each_ref().map(String::as_str));
    assert_eq!(losses(&said), ["a jump to the segno \u{201c}A\u{201d} becomes one to the nearest (measure 3)"]);
    let (_, said) = measures(&[&(full() + &sound("dacapo=\"yes\" time-only=\"2\""))]);
    assert_eq!(losses(&said), ["the order to jump or end on some passes only is not kept (measure 1)"]);
}

/// The written tune plays as the score was read.
#[test]
fn a_bracket_over_the_first_bar_of_an_ending_is_one_over_all_of_it() {
    let (tune, said) = odd_measures(&[
        &full(),
        &full(),
        &(at("left", &ending("1", "start")) + &full() + &at("right", &ending("1", "discontinue"))),
        &(full() + &at("right", BACKWARD)),
        &(at("left", &ending("2", "start")) + &full() + &at("right", &ending("2", "discontinue"))),
    ]);
    assert_eq!(order(&tune), "1 2 3 4 1 2 5");
    assert_eq!(
        losses(&said),
        ["the bracket of an ending that stops before its repeat sign becomes one up to it (measure 3)"]
    );
}

/// ABC has no sign for the end of an ending, so what the score repeats after one begins with a sign.
#[test]
fn a_repeat_after_an_ending_begins_there() {
    let first = at("left", &ending("1", "start")) + &full() + &at("right", &(ending("1", "stop") + BACKWARD));
    let second = at("left", &ending("2", "start")) + &full() + &at("right", &ending("2", "discontinue"));
    let (tune, said) = measures(&[&full(), &first, &second, &full(), &(full() + &at("right", BACKWARD))]);
    assert_eq!(order(&tune), "1 2 1 3 4 5 4 5");
    assert_eq!(code(&tune), "c4 c4 |1 c4 c4 :|2 c4 c4 |: c4 c4 |\nc4 c4 :|".replace('\n', " "));
    assert_eq!(
        losses(&said),
        ["a repeat without a beginning becomes one from the end of the ending before it on (measure 4)"]
    );
    // A repeat may begin with the ending itself.
    let both = at("left", &(ending("2", "start") + FORWARD)) + &full() + &at("right", &ending("2", "discontinue"));
    let (tune, said) = measures(&[&full(), &first, &both, &(full() + &at("right", BACKWARD)), &full()]);
    assert_eq!((order(&tune).as_str(), losses(&said).len()), ("1 2 1 3 4 3 4 5", 0));
}

/// A score of two parts; the second has the melody.
fn two_parts(top: &[String], melody: &[String]) -> String {
    let names = "<score-part id=\"T\"><part-name>Top</part-name></score-part></part-list>";
    let part = |measures: &[String]| {
        let measures = measures.iter().enumerate().map(|(nth, measure)| {
            let head = if nth == 0 { super::HEAD } else { "" };
            format!("<measure number=\"{}\">{head}{measure}</measure>", nth + 1)
        });
        measures.collect::<String>()
    };
    let text = super::score(melody).replace("</part-list>", names);
    text.replacen("<part id=\"P1\">", &format!("<part id=\"T\">{}</part><part id=\"P1\">", part(top)), 1)
}

/// Common practice, no source: what holds for all stands over the top part alone.
#[test]
fn marks_of_the_whole_score_are_taken_from_any_part_once() {
    let half = note("C", 5, 4, "");
    let tempo = "<metronome><beat-unit>quarter</beat-unit><per-minute>90</per-minute></metronome>";
    let start = sign("<rehearsal>A</rehearsal>", "")
        + &words("Lively", "")
        + &sign(&format!("<words>Fast</words></direction-type><direction-type>{tempo}"), "");
    let fine = words("Fine", "fine=\"yes\"");
    let back = words("D.C. al Fine", "dacapo=\"yes\"");
    let top = [start.clone() + &half, half.clone() + &fine, half.clone() + &back];
    let plain = two_parts(&top, &[full(), full(), full()]);
    let own = two_parts(&top, &[start + &full(), full() + &fine, full() + &back]);
    for (text, texts) in [(plain, 0), (own, 1)] {
        let (tune, said) = super::tune(&text);
        assert_eq!(said, ["parts-left-out only the part \u{201c}Box\u{201d} is read; left out: Top"]);
        assert_eq!(order(&tune), "1 2 3 1 2");
        assert_eq!(tune.bars.iter().map(|bar| bar.part.as_deref()).collect::<Vec<_>>(), [Some("A"), None, None]);
        assert_eq!(tune.bars[0].events[0].annotations.len(), texts);
        let tempo = tune.tempo.as_ref().map(|tempo| (tempo.before.clone(), tempo.bpm));
        assert_eq!(tempo, Some((Some("Fast".to_owned()), Some(90))));
    }
    // A text is taken if it is said to hold for all.
    let marked = words("Slower", "").replace("<direction>", "<direction directive=\"yes\">");
    let (tune, _) = super::tune(&two_parts(&[half.clone(), half.clone() + &marked], &[full(), full()]));
    assert_eq!(tune.bars[1].events[1].annotations[0].text, "Slower");
}

#[test]
fn what_belongs_to_another_voice_stays_there() {
    let inner = "<voice>2</voice>";
    let other = |inside: &str| format!("<direction><direction-type>{inside}</direction-type>{inner}</direction>");
    let low = note("E", 4, 4, inner);
    let measure = other("<words>left hand only</words>")
        + &other("<dynamics><ff/></dynamics>")
        + &note("C", 5, 4, "<voice>1</voice>");
    let (tune, said) = measures(&[&(measure + "<backup><duration>4</duration></backup>" + &low)]);
    assert_eq!(code(&tune), "c8 |");
    assert_eq!(
        losses(&said[1..]),
        [
            "a text at another voice is not kept (measure 1)",
            "\u{201c}dynamics\u{201d} at another voice is not kept (measure 1)"
        ]
    );
}
