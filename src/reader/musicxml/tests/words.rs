//! Words, parts, jumps and syllables that are odd.

use super::{code, losses, measures, note, quarter};
use crate::tune::{Jump, Tune};

fn direction(inner: &str, more: &str) -> String {
    format!("<direction><direction-type>{inner}</direction-type>{more}</direction>")
}

fn words(words: &str) -> String {
    direction(&format!("<words>{words}</words>"), "")
}

fn full() -> String {
    quarter() + &quarter()
}

fn lyric(number: &str, text: &str) -> String {
    format!("<lyric number=\"{number}\"><text>{text}</text></lyric>")
}

/// A tune as its file in ABC is read again.
fn again(tune: &Tune) -> (Tune, String) {
    let text = crate::reader::abc::write(tune);
    let mut sources = crate::diag::Sources::default();
    let file = sources.add("x.abc", text.as_str());
    let mut sink = crate::diag::Sink::default();
    let options = crate::reader::abc::AbcOptions::default();
    let mut readings = crate::reader::abc::read_each(&sources.excerpt(file), &options, &mut sink);
    (readings.remove(0).tune, text)
}

/// Syllables with ABC's own signs, and hyphens of their own at their ends, are read again as they were.
#[test]
fn syllables_with_signs_of_the_code() {
    let part = |syllabic: &str, text: &str| {
        let lyric = format!("<lyric number=\"1\"><syllabic>{syllabic}</syllabic><text>{text}</text></lyric>");
        note("C", 5, 2, &lyric)
    };
    for (first, second) in [
        (("single", "a*b_c~d-e|f\\g"), ("single", "two")),
        (("single", "nl-"), ("single", "rna")),
        (("begin", "nl-"), ("end", "rna")),
        (("begin", "well\\"), ("end", "-known")),
        (("single", "well\\"), ("single", "-")),
        (("single", "2."), ("single", "2. of")),
        (("single", "&quot;%"), ("single", "&amp;amp;$1")),
    ] {
        let measure = part(first.0, first.1) + &part(second.0, second.1);
        let (tune, said) = measures(&[&measure, &measure]);
        assert!(said.is_empty(), "{said:?}");
        let (again, text) = again(&tune);
        let lyrics = |tune: &Tune| -> Vec<_> {
            tune.bars.iter().flat_map(|bar| &bar.events).map(|event| event.lyrics.clone()).collect()
        };
        assert_eq!(lyrics(&again), lyrics(&tune), "{text}");
    }
}

#[test]
fn syllables_that_are_left_out() {
    let rest = |more: &str| format!("<note><rest/><duration>2</duration>{more}</note>");
    for (measure, loss) in [
        (rest(&lyric("1", "la")) + &quarter(), "a syllable under a rest"),
        (note("C", 5, 2, "<lyric><humming/></lyric>") + &quarter(), "\u{201c}humming\u{201d} instead of a syllable"),
        (note("C", 5, 2, "<lyric><laughing/></lyric>") + &quarter(), "\u{201c}laughing\u{201d} instead of a syllable"),
        (
            note("C", 5, 2, "<lyric print-object=\"no\"><text>la</text></lyric>") + &quarter(),
            "a syllable that is not shown",
        ),
        (
            note("C", 5, 2, &(lyric("1", "a") + &lyric("1", "b"))) + &quarter(),
            "a second syllable of a verse under one note",
        ),
    ] {
        let (_, said) = measures(&[&measure]);
        assert_eq!(losses(&said), [format!("{loss} is not kept (measure 1)")]);
    }
    let many: String = (1..45).map(|verse| lyric(&verse.to_string(), "la")).collect();
    let (tune, said) = measures(&[&(note("C", 5, 2, &many) + &quarter())]);
    assert_eq!(tune.bars[0].events[0].lyrics.len(), 16);
    assert_eq!(losses(&said), ["a verse beyond 16 is not kept (measure 1)"]);
}

#[test]
fn words_on_another_staff_and_too_many() {
    let (tune, said) = measures(&[&(direction("<words>low</words>", "<staff>2</staff>") + &full())]);
    assert_eq!(
        (code(&tune).as_str(), losses(&said)),
        ("c4 c4 |", vec!["a text at another staff is not kept (measure 1)"])
    );
    // What holds for the whole score holds for the melody.
    let (tune, said) = measures(&[&(full() + &direction("<words>D.C.</words>", "<staff>2</staff>"))]);
    assert_eq!((tune.bars[0].jump, said.len()), (Some(Jump::DaCapo), 0));
    let (tune, said) = measures(&[&(words("w").repeat(40) + &full())]);
    assert_eq!(tune.bars[0].events[0].annotations.len(), 32);
    assert_eq!(losses(&said), ["a text beyond 32 before a note is not kept (measure 1)"]);
}

#[test]
fn a_bar_has_one_part_and_one_jump() {
    let part = |label: &str| direction(&format!("<rehearsal>{label}</rehearsal>"), "");
    let (tune, said) = measures(&[&(part("A") + &part("B") + &full())]);
    assert_eq!(tune.bars[0].part.as_deref(), Some("A"));
    assert_eq!(losses(&said), ["a second rehearsal mark in a bar is not kept (measure 1)"]);
    let (_, said) = measures(&[&(quarter() + &part("A") + &quarter())]);
    assert_eq!(losses(&said), ["a rehearsal mark inside a bar becomes one at its beginning (measure 1)"]);
    let (tune, said) = measures(&[&(full() + &words("D.C.") + &words("D.S."))]);
    assert_eq!(tune.bars[0].jump, Some(Jump::DaCapo));
    assert_eq!(losses(&said), ["a second jump in a bar is not kept (measure 1)"]);
    // The fuller order of the two is meant.
    let both = "<sound dacapo=\"yes\"/>".to_owned() + &words("D.C. al Fine");
    let (tune, said) = measures(&[&(full() + &both)]);
    assert_eq!((tune.bars[0].jump, said.len()), (Some(Jump::DaCapoAlFine), 0));
}

#[test]
fn hairpins_and_sounds_without_a_sign() {
    let (tune, said) = measures(&[&(direction("<wedge type=\"stop\"/>", "") + &full())]);
    assert!(tune.bars[0].events[0].marks.is_empty());
    assert_eq!(losses(&said), ["a hairpin that does not begin is not kept (measure 1)"]);
    let (_, said) = measures(&[&("<sound forward-repeat=\"yes\"/>".to_owned() + &full())]);
    assert_eq!(losses(&said), ["a repeat that begins without its sign is not kept (measure 1)"]);
}

fn sung(tune: &Tune) -> Vec<String> {
    let code = code(tune);
    code.lines().filter_map(|line| line.strip_prefix("w:")).map(str::to_owned).collect()
}

/// A verse that has a name stands below those that have numbers, whichever is met first.
#[test]
fn verses_with_names_have_lines_of_their_own() {
    let (tune, said) = measures(&[&(note("C", 5, 2, &lyric("chorus", "Hey")) + &note("D", 5, 2, &lyric("1", "One")))]);
    assert_eq!(sung(&tune), ["* One", "Hey"]);
    assert_eq!(losses(&said), ["the name of a verse, \u{201c}chorus\u{201d}, is not kept (measure 1)"]);
}

/// A figure before the first syllable of a verse is its label; one before a later syllable is the syllable's own.
#[test]
fn figures_before_verses_are_labels() {
    let measure = note("C", 5, 2, &lyric("1", "1. Three")) + &note("D", 5, 2, &lyric("1", "blind"));
    let later = note("C", 5, 2, &lyric("1", "2. Two")) + &quarter();
    let mut list = vec![measure.as_str(); 1];
    list.extend([later.as_str(); 8]);
    let (tune, said) = measures(&list);
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(tune.verse_labels, ["1."]);
    let (again, text) = again(&tune);
    let lyrics = |tune: &Tune| -> Vec<_> {
        tune.bars.iter().flat_map(|bar| &bar.events).map(|event| event.lyrics.clone()).collect()
    };
    assert_eq!((lyrics(&again), again.verse_labels.clone()), (lyrics(&tune), tune.verse_labels.clone()), "{text}");
}

/// The line after a syllable reaches to the next one or to a rest (extend: `continue` may be left out).
#[test]
fn a_line_after_a_syllable_holds_it_on() {
    let oh = "<lyric number=\"1\"><text>oh</text><extend/></lyric>";
    let rest = "<note><rest/><duration>2</duration></note>";
    let (tune, said) =
        measures(&[&(note("C", 5, 2, oh) + &quarter()), &(quarter() + &note("C", 5, 2, &lyric("1", "no")))]);
    assert_eq!((sung(&tune), said.len()), (vec!["oh__ no".to_owned()], 0));
    let (tune, _) = measures(&[&(note("C", 5, 2, oh) + &quarter()), &(rest.to_owned() + &quarter())]);
    assert_eq!(sung(&tune), ["oh_"]);
    let stop = "<lyric number=\"1\"><extend type=\"stop\"/></lyric>";
    let (tune, _) = measures(&[
        &(note("C", 5, 2, &oh.replace("extend", "extend type=\"start\"")) + &note("C", 5, 2, stop)),
        &full(),
    ]);
    assert_eq!(sung(&tune), ["oh_"]);
}

#[test]
fn comments_do_not_cut_texts() {
    let (tune, _) =
        measures(&[&(words("Play <!-- so --> twice") + &note("C", 5, 2, &lyric("1", "Hel<!-- -->lo")) + &quarter())]);
    assert_eq!(tune.bars[0].events[0].annotations[0].text, "Play twice");
    assert_eq!(sung(&tune), ["Hello"]);
}
