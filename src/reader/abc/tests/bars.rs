//! Barlines, repeats, endings, bar numbers and the check of bar lengths.

use super::tune;
use crate::tune::{BarlineStyle, Tune};

fn read(code: &str) -> Tune {
    let (tune, said) = tune(&format!("M:none\nL:1/4\nK:C\n{code}\n"));
    assert!(said.is_empty(), "{code}: {said:?}");
    tune
}

fn labels(tune: &Tune) -> String {
    tune.bars.iter().map(|bar| bar.label.to_string()).collect::<Vec<_>>().join(" ")
}

#[test]
fn barlines_in_every_spelling() {
    // §4.8
    let right = |code: &str| {
        let bar = &read(code).bars[0];
        (bar.right.style, bar.right.repeat_end)
    };
    assert_eq!(right("A | B"), (BarlineStyle::Single, 0));
    assert_eq!(right("A || B"), (BarlineStyle::Double, 0));
    assert_eq!(right("A |] B"), (BarlineStyle::Final, 0));
    assert_eq!(right("A .| B"), (BarlineStyle::Dotted, 0));
    assert_eq!(right("A [|] B"), (BarlineStyle::Invisible, 0));
    assert_eq!(right("A :| B"), (BarlineStyle::Final, 2));
    assert_eq!(right("A :|] B"), (BarlineStyle::Final, 2));
    assert_eq!(right("A :|| B"), (BarlineStyle::Final, 2));
    assert_eq!(right("A ::| B"), (BarlineStyle::Final, 3));
    for both in ["A :: B", "A :|: B", "A :||: B", "A :| |: B", "A :|\n|: B", "A:||:B"] {
        let tune = read(both);
        assert_eq!((tune.bars[0].right.repeat_end, tune.bars[1].left.repeat_start), (2, true), "{both}");
    }
    let tune = read("[| A |: B |]");
    assert_eq!(tune.bars[0].left.style, BarlineStyle::HeavyLight);
    assert_eq!((tune.bars[0].right.style, tune.bars[1].left.repeat_start), (BarlineStyle::Single, true));
    // `|::` asks for three times though the end has one colon.
    assert_eq!(read("|:: A :|").bars[0].right.repeat_end, 3);
}

#[test]
fn doubled_barlines_make_no_empty_bars() {
    // §4.8
    assert_eq!(read("| A | | B ||\n|| C |]").bars.len(), 3);
    assert_eq!(read("A|\n|B|").bars[0].right.style, BarlineStyle::Single);
    assert_eq!(read("A|\n||B|").bars[0].right.style, BarlineStyle::Double);
}

#[test]
fn endings_with_lists_and_ranges() {
    // §4.9, §4.10
    let endings = |code: &str| {
        let tune = read(code);
        let shown = |(at, bar): (usize, &crate::tune::Bar)| {
            bar.ending
                .as_ref()
                .map(|e| format!("{at}-{}:{:?}{}", e.last_bar, e.passes, if e.closed { "" } else { "open" }))
        };
        tune.bars.iter().enumerate().filter_map(shown).collect::<Vec<_>>().join(" ")
    };
    assert_eq!(endings("|: A |1 B :|2 C |]"), "1-1:[1] 2-2:[2]");
    assert_eq!(endings("|: A | [1 B :| [2 C |]"), "1-1:[1] 2-2:[2]");
    assert_eq!(endings("|: A [1 B :|[2 C ||"), "1-1:[1] 2-2:[2]");
    assert_eq!(endings("A |1 B | C :|2 D | E || F"), "1-2:[1] 3-4:[2]");
    assert_eq!(endings("A [1,3 B :|[2,4-6 C |]"), "1-1:[1, 3] 2-2:[2, 4, 5, 6]");
    assert_eq!(endings("A |1-3 B :|4 C"), "1-1:[1, 2, 3] 2-2:[4]open");
    assert_eq!(endings("A |1 B |2 C |: D :|"), "1-1:[1]open 2-2:[2]open");
}

#[test]
fn numbers_of_bars() {
    // The author's interface: pick-up 0, halves with a plus, endings count on.
    let numbers = |text: &str| labels(&tune(text).0);
    assert_eq!(numbers("M:4/4\nL:1/4\nK:C\nABcd | ABcd |"), "1 2");
    assert_eq!(numbers("M:4/4\nL:1/4\nK:C\nA | ABcd | ABc |]"), "0 1 2");
    assert_eq!(numbers("M:4/4\nL:1/4\nK:C\nA | ABcd | ABc :| d | ABcd | ABc :|"), "0 1 2 2+ 3 4");
    assert_eq!(numbers("M:4/4\nL:1/4\nK:C\n|: A | ABcd | ABc :: d | ABcd | ABc :|"), "0 1 2 2+ 3 4");
    assert_eq!(numbers("M:4/4\nL:1/4\nK:C\nA | ABcd |1 ABc :|2 ABc || d | ABcd |]"), "0 1 2 3 3+ 4");
    assert_eq!(numbers("M:4/4\nL:1/4\nK:C\nABcd |1 ABcd :|2 ABcd |]"), "1 2 3");
    assert_eq!(numbers("M:4/4\nL:1/4\nK:C\nABcd |: A | ABcd |]"), "1 1+ 2");
    assert_eq!(numbers("M:none\nK:C\nA | AB | ABc |"), "1 2 3");
    // A tune of one bar has no pick-up.
    assert_eq!(numbers("M:4/4\nL:1/4\nK:C\nA |]"), "1");
}

#[test]
fn bars_of_the_wrong_length() {
    let said = |text: &str| tune(text).1.join(" ");
    let head = "M:3/4\nL:1/4\nK:C\n";
    assert_eq!(said(&format!("{head}A | ABc | AB :| c | ABc | AB |]")), "");
    assert_eq!(said(&format!("{head}ABc | ABcd | ABc |")), "!bar-length 4:7");
    assert_eq!(said(&format!("{head}ABc | AB | ABc |")), "!bar-length 4:7");
    assert_eq!(said(&format!("{head}ABcd :| ABc |")), "!bar-length 4:1");
    assert_eq!(said(&format!("{head}c | ABc |1 AB :|2 AB |]")), "");
    assert_eq!(said("M:none\nK:C\nA | AB | ABc |"), "");
    // A new metre holds from its bar on.
    assert_eq!(said(&format!("{head}ABc | [M:2/4] AB | AB | [M:3/4] ABc |")), "");
    assert_eq!(said(&format!("{head}ABc |\nM:2/4\nABc | AB |")), "!bar-length 6:1");
}

#[test]
fn short_ends_that_nothing_makes_up() {
    let said = |code: &str| tune(&format!("M:4/4\nL:1/4\nK:C\n{code}")).1.join(" ");
    assert_eq!(said("GABc | def |"), "bar-length 4:8");
    assert_eq!(said("ABcd | ABc :| ABcd | ABc |]"), "bar-length 4:8 bar-length 4:22");
    assert_eq!(said("ABcd |1 AB :|2 AB |]"), "bar-length 4:9 bar-length 4:16");
    // A pick-up of another length makes nothing up.
    assert_eq!(said("G | ABcd | AB |]"), "bar-length 4:12");
    // Pick-ups of the tune, of a part, of a repeat; halves about a repeat sign and about an ending; one bar alone.
    for code in [
        "G | ABcd | ABc |]",
        "G | ABcd | ABc :| ABcd | ABc |]",
        "ABcd | ABcd :| GG | ABcd | AB :|",
        "|: G | ABcd | ABc :: GG | ABcd | AB :|",
        "ABcd | AB :| cd | ABcd |]",
        "ABcd | AB |1 cd :|2 ef |]",
        "G | ABcd |1 ABcG :|2 ABc |]",
        "ABcd || ABcd | [M:3/4] ABc |]",
        "AB |]",
    ] {
        assert_eq!(said(code), "", "{code}");
    }
}

#[test]
fn line_ends_are_hints() {
    // §6.1.1
    let ends = |text: &str| tune(text).0.bars.iter().map(|b| if b.line_ends { '1' } else { '0' }).collect::<String>();
    assert_eq!(ends("K:C\nA|B|\nc|d|\n"), "0101");
    assert_eq!(ends("K:C\nA|B|\\\nc|d|\n"), "0001");
    assert_eq!(ends("I:linebreak $\nK:C\nA|B|\nc|$d|\n"), "0010");
    assert_eq!(ends("K:C\nA|B|!c|d|\n"), "0101");
    assert_eq!(ends("I:linebreak <none>\nK:C\nA|B|\nc|d|\n"), "0000");
}
