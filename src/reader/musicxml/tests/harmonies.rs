//! Chord symbols: where they stand, and kinds that are no plain ones.

use super::{code, losses, measures, note, odd_measures, quarter};

fn chord(root: &str, more: &str) -> String {
    format!("<harmony><root><root-step>{root}</root-step></root>{more}</harmony>")
}

fn major(root: &str) -> String {
    chord(root, "<kind>major</kind>")
}

fn offset(root: &str, offset: i32) -> String {
    chord(root, &format!("<kind>major</kind><offset>{offset}</offset>"))
}

const INSIDE: &str = "the exact place of a chord symbol inside a long note is not kept (measure 1)";

#[test]
fn a_chord_stays_in_its_bar() {
    let half = note("C", 5, 4, "");
    let full = quarter() + &quarter();
    // Written after its note, by an offset or by going back.
    for late in [
        offset("G", -2),
        format!("<backup><duration>2</duration></backup>{}<forward><duration>2</duration></forward>", major("G")),
    ] {
        let (tune, said) = measures(&[&(half.clone() + &late), &full]);
        assert_eq!(code(&tune), "\"G\"c8 | c4 c4 |");
        assert_eq!(losses(&said), [INSIDE]);
    }
    // Before the end of a note that another follows.
    let back = format!(
        "{}<backup><duration>1</duration></backup>{}<forward><duration>1</duration></forward>{}",
        quarter(),
        major("G"),
        quarter()
    );
    let (tune, said) = measures(&[&back]);
    assert_eq!((code(&tune).as_str(), losses(&said)), ("\"G\"c4 c4 |", vec![INSIDE]));
    // In a gap it stands on the gap.
    let (tune, said) =
        measures(&[&format!("{}{}<forward><duration>2</duration></forward>", quarter(), major("G")), &full]);
    assert_eq!((code(&tune).as_str(), said.len()), ("c4 \"G\"x4 | c4 c4 |", 0));
}

#[test]
fn a_chord_at_the_end_of_a_bar_begins_the_next() {
    let full = quarter() + &quarter();
    let (tune, said) = measures(&[&(full.clone() + &major("G")), &full]);
    assert_eq!((code(&tune).as_str(), said.len()), ("c4 c4 | \"G\"c4 c4 |", 0));
    let (tune, said) = measures(&[&(offset("G", 6) + &full), &full]);
    assert_eq!((code(&tune).as_str(), said.len()), ("c4 c4 | c4 \"G\"c4 |", 0));
    let (tune, said) = measures(&[&full, &(full.clone() + &major("G"))]);
    assert_eq!(code(&tune), "c4 c4 | c4 c4 |");
    assert_eq!(losses(&said), ["a chord symbol after the last note is not kept (measure 2)"]);
    let (_, said) = measures(&[&(offset("G", -4) + &full)]);
    assert_eq!(losses(&said), ["the exact place of a chord symbol before its bar is not kept (measure 1)"]);
}

#[test]
fn kinds_of_chords() {
    let degree = |value: i32, alter: i32, kind: &str, more: &str| {
        format!(
            "<degree{more}><degree-value>{value}</degree-value><degree-alter>{alter}</degree-alter><degree-type>{kind}</degree-type></degree>"
        )
    };
    for (inner, text, loss) in [
        ("<kind text=\"7\">dominant</kind>".to_owned() + &degree(9, -1, "add", ""), "C7b9", None),
        ("<kind text=\"7b9\">dominant</kind>".to_owned() + &degree(9, -1, "add", ""), "C7b9", None),
        ("<kind text=\"7\u{266d}9\">dominant</kind>".to_owned() + &degree(9, -1, "add", ""), "C7\u{266d}9", None),
        ("<kind text=\"69\">major-sixth</kind>".to_owned() + &degree(9, 0, "add", ""), "C69", None),
        ("<kind>major</kind>".to_owned() + &degree(9, 0, "add", " print-object=\"no\""), "C", None),
        ("<kind text=\"\">minor</kind>".into(), "Cm", None),
        ("<kind>power</kind>".into(), "C5", None),
        ("<kind text=\"It+6\">Italian</kind>".into(), "CIt+6", None),
        ("<kind>Neapolitan</kind>".into(), "", Some("a chord of the kind \u{201c}Neapolitan\u{201d}")),
        ("<kind>Tristan</kind>".into(), "", Some("a chord of the kind \u{201c}Tristan\u{201d}")),
        ("<kind>pedal</kind>".into(), "", Some("a chord of the kind \u{201c}pedal\u{201d}")),
        ("<kind>other</kind>".into(), "", Some("a chord of the kind \u{201c}other\u{201d}")),
        ("<kind>major</kind><inversion>1</inversion>".into(), "C", Some("the inversion of a chord")),
        (
            "<kind>major</kind><root><root-step>D</root-step></root><kind>minor</kind>".into(),
            "C",
            Some("a further chord in a chord symbol"),
        ),
        ("<kind>major</kind><bass><bass-step>H</bass-step></bass>".into(), "C", Some("the bass of a chord")),
        ("<kind>major</kind><staff>2</staff>".into(), "C", None),
    ] {
        let (tune, said) = odd_measures(&[&(chord("C", &inner) + &quarter() + &quarter())]);
        let written: Vec<_> = tune.bars[0].events[0].chord_symbols.iter().map(|chord| chord.text.as_str()).collect();
        assert_eq!(written.concat(), text, "{inner}");
        let expected = loss.map(|loss| format!("{loss} is not kept (measure 1)"));
        assert_eq!(losses(&said), expected.iter().map(String::as_str).collect::<Vec<_>>(), "{inner}");
    }
}

#[test]
fn chords_that_are_hidden_altered_between_keys_or_too_many() {
    let full = quarter() + &quarter();
    let hidden = major("G").replace("<harmony>", "<harmony print-object=\"no\">");
    let (tune, said) = measures(&[&(hidden + &full)]);
    assert_eq!(
        (code(&tune).as_str(), losses(&said)),
        ("c4 c4 |", vec!["a chord symbol that is not shown is not kept (measure 1)"])
    );
    let between = major("C").replace("</root-step>", "</root-step><root-alter>0.5</root-alter>");
    let (tune, said) = measures(&[&(between + &full)]);
    assert_eq!(
        (code(&tune).as_str(), losses(&said)),
        ("c4 c4 |", vec!["a harmony whose root is no note is not kept (measure 1)"])
    );
    let (_, said) = measures(&[&(major("G").repeat(40) + &full)]);
    assert_eq!(losses(&said), ["a chord symbol beyond 32 before a note is not kept (measure 1)"]);
}
