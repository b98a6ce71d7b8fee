//! Bad spots: one complaint each, at its line and column, and the rest is read.

use super::{shown, tune, tunes};
use crate::reader::abc::AbcOptions;

fn said(body: &str) -> (String, String) {
    let (tune, said) = tune(&format!("M:none\nL:1/8\nK:C\n{body}\n"));
    (shown(&tune), said.join(" "))
}

fn case(body: &str, notes: &str, complaints: &str) {
    assert_eq!(said(body), (notes.to_owned(), complaints.to_owned()), "{body}");
}

#[test]
fn one_bad_spot_one_complaint() {
    let ab = "A4:1/8 B4:1/8";
    // §8.1: reserved signs; §4: others that mean nothing.
    case("A # B", ab, "!odd-sign 4:3");
    case("A ;;; B", ab, "!odd-sign 4:3");
    case("A 3 B", ab, "!odd-sign 4:3");
    case("A ♯ B", ab, "!odd-sign 4:3");
    case("A ] B", ab, "!odd-sign 4:3");
    case("A } B", ab, "!odd-sign 4:3");
    case("A\0B", ab, "!odd-sign 4:2");
    // §4.2
    case("A ^_c B", "A4:1/8 C5:1/8 B4:1/8", "!odd-accidental 4:3");
    case("A ^ B", ab, "!odd-accidental 4:3");
    // §4.3
    case("A3//4 B", "A4:3/32 B4:1/8", "!odd-length 4:2");
    case("A0 B", ab, "!odd-length 4:2");
    case("A99999999999999999999 B", ab, "!odd-length 4:2");
    case("A/0 B", ab, "!odd-length 4:2");
    // §4.4
    case("A > | B", "A4:1/8 | B4:1/8", "!odd-broken-rhythm 4:3");
    case("> A B", ab, "!odd-broken-rhythm 4:1");
    case("A B >", ab, "!odd-broken-rhythm 4:5");
    // §4.11
    case("A) B", ab, "!slur-not-open 4:2");
    case("(A B", ab, "slur-not-closed 4:1");
    case("A- z B", "A4:1/8 z:1/8 B4:1/8", "tie-without-end 4:1");
    case("A-B", ab, "tie-to-other-pitch 4:1");
    case("A -A", "A4~:1/8 A4:1/8", "loose-tie 4:3");
    case("-A B", ab, "loose-tie 4:1 !odd-tie 4:1");
    // §4.12, §4.17
    case("A [CE", "A4:1/8 C4+E4:1/8", "!chord-not-closed 4:3");
    case("A {g", "A4:1/8", "!graces-not-closed 4:3");
    case("A [] B", "A4:1/8 | B4:1/8", "");
    case("A [[C]] B", "A4:1/8 C4:1/8 B4:1/8", "!chord-in-chord 4:4 !odd-sign 4:7");
    // §4.13
    case("(3AB", "A4:1/12 B4:1/12", "!tuplet-cut-short 4:1");
    case("(99AB", ab, "!odd-tuplet 4:1");
    // A slur too many is told once, however many follow.
    assert_eq!(said(&format!("{}A B", "(".repeat(5000))).1.matches("!slurs-too-deep").count(), 1);
    // §4.14, §4.19
    case("!wobble!A B", ab, "unknown-decoration 4:1");
    case("kA B", ab, "!unknown-letter 4:1");
    case("A \"G B", ab, "!quote-not-closed 4:3");
    // §4.18: a chord name stands before a note of its bar; §6.1.2: or before a spacer.
    case("A | \"D\" | B", "A4:1/8 | B4:1/8", "!chord-without-note 4:5");
    case("A | \"D\" |]", "A4:1/8", "!chord-without-note 4:5");
    case("A | \"D\"y | B", "A4:1/8 | B4:1/8", "");
    case("A || \"D\"|: B", "A4:1/8 | B4:1/8", "");
    case("A B \"G\"", ab, "nothing-follows 4:5");
    case("A B {c}", ab, "nothing-follows 4:5");
    // §3.2
    case("A [K:G B", "A4:1/8", "!field-not-closed 4:3");
    case("A [K:X] B", ab, "!odd-key 4:6");
    // §4.9
    case("A |0 B", "A4:1/8 | B4:1/8", "!odd-sign 4:4");
    case("A [99 B", "A4:1/8 | B4:1/8", "!odd-ending 4:4");
}

#[test]
fn headers_with_faults() {
    let said = |text: &str| tune(text).1.join(" ");
    assert_eq!(said("M:6\nK:C\nA"), "!odd-metre 1:3");
    assert_eq!(said("L:x\nK:C\nA"), "!odd-unit 1:3");
    assert_eq!(said("Q:fast\nK:C\nA"), "!odd-tempo 1:3");
    assert_eq!(said("Q:1/4=\nK:C\nA"), "!odd-tempo 1:3");
    assert_eq!(said("K:X\nA"), "!odd-key 1:3");
    assert_eq!(said("P:((A\nK:C\nA"), "odd-part-order 1:3");
    assert_eq!(said("m:nothing\nK:C\nA"), "odd-macro 1:3");
    assert_eq!(said("U:1=!trill!\nK:C\nA"), "odd-user-symbol 1:3");
    assert_eq!(said("X:1\nT:x\nhello there\nK:C\nA"), "stray-line 3:1");
    assert_eq!(said("X:1\nT:x\nK:C\nA\nT:part\nX2\nZ:someone"), "field-out-of-place 7:1 !odd-bar-rest 6:1");
    // §2.2.1, §3.1.14: the header goes on to its K:, and a line of bars in it is not music.
    assert_eq!(said("X:1\nT:x\nI (1) :| (2) ||\nK:C\nA"), "!stray-line 3:1");
    assert_eq!(said("+:more\nK:C\nA"), "nothing-to-continue 1:1");
    assert_eq!(said("J:x\nK:C\nA"), "unknown-field 1:3");
    assert_eq!(said("X:1\nT:x\nM:4/4\nA8|B8|"), "key-missing 1:1");
}

#[test]
fn complaints_keep_the_place_in_the_file() {
    // A macro's outcome is complained of where the macro stands; a joined line where its own part stands.
    let (_, said) = tune("m:~A = A#\nK:C\nB ~A B\n");
    assert_eq!(said, ["!odd-sign 3:3"]);
    let (_, said) = tune("K:C\nA B\\\nc #\n");
    assert_eq!(said, ["!odd-sign 3:3"]);
    let (_, said) = tune("K:C\n\"é\"A # B\n");
    assert_eq!(said, ["!odd-sign 2:6", "unknown-chord 2:1"]);
}

#[test]
fn tunebooks_are_read_with_warnings() {
    let text = "X:1\nT:x\nM:3/4\nL:1/4\nK:C\nABc|ABcd|ABc|\n";
    assert_eq!(tunes(text, &AbcOptions { strict_bars: false, ..AbcOptions::default() }).1, ["bar-length 6:5"]);
    assert_eq!(tunes(text, &AbcOptions::default()).1, ["!bar-length 6:5"]);
}

#[test]
fn hostile_texts_are_bounded() {
    let code = |body: String| tune(&format!("M:4/4\nL:1/4\nK:C\n{body}\n")).1;
    assert!(code("Z999999999|".into()).contains(&"!odd-bar-rest 4:1".to_owned()));
    assert!(code("A".repeat(200_000)).contains(&"!line-too-long 4:1".to_owned()));
    assert!(code("#A".repeat(30_000)).len() < 150);
    assert!(code(format!("{}\n", "A|".repeat(8_000)).repeat(2)).iter().any(|c| c.starts_with("!tune-too-long")));
    assert!(code("(".repeat(60_000)).len() < 150);
    assert!(code("[".repeat(60_000)).len() < 150);
    assert!(code(format!("A{}", "-".repeat(60_000))).len() < 150);
    assert!(code(format!("{}A", "!x!".repeat(20_000))).len() < 150);
    assert!(code(format!("[{}]", "C".repeat(60_000))).len() < 150);
    assert!(code(format!("{{{}}}A", "g".repeat(60_000))).len() < 150);
    let (_, said) = tune(&format!("m:A = {}\nK:C\n{}\n", "B".repeat(200), "A".repeat(60_000)));
    assert!(said.contains(&"!macro-too-long 3:1".to_owned()), "{said:?}");
    // Macros are not searched for macros again (§9), so that none can run for ever.
    let (read, said) = tune("m:A = BAB\nm:B = ABA\nL:1/8\nK:C\nA B\n");
    assert_eq!((shown(&read).split(' ').count(), said.len()), (6, 0));
    let said = |text: &str| tunes(text, &AbcOptions::default()).1.join(" ");
    assert_eq!(said(&format!("X:1\nK:C\nA{}", " ".repeat(9 << 20))), "!tunebook-too-large 1:1");
    assert_eq!(said(&"X:1\n".repeat(500_000)), "!tunebook-too-large 1:1");
    assert!(said(&"X:1\nK:C\n\n".repeat(20_001)).contains("!tunebook-too-large 60001:1"));
    assert!(said(&format!("X:1\n{}K:C\nA\n", "T:a\n".repeat(30_000))).contains("!tune-too-long 20001:1"));
    assert!(tunes("", &AbcOptions::default()).0.is_empty());
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig { cases: 400, failure_persistence: None, ..Default::default() })]
    /// Any text is read, written and read again without a panic.
    #[test]
    fn any_text_is_read(body in "[A-Ga-gzxZXy0-9/,'^_=|:\\[\\](){}<>~.\"!$&+ \nKLMPVwsHTuv\\\\%-]{0,160}") {
        for text in [format!("M:6/8\nK:D\n{body}\n"), body] {
            for first in tunes(&text, &AbcOptions::default()).0 {
                let _ = crate::tune::played(&first);
                let _ = tunes(&crate::reader::abc::write(&first), &AbcOptions::default());
            }
        }
    }
}
