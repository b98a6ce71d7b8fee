//! The order in which bars are played.

use super::tune;
use crate::tune::played;

/// The bars of a tune in played order, by their first letter.
fn order(text: &str) -> String {
    let text = if text.contains("K:") { text.to_owned() } else { format!("M:none\nK:C\n{text}\n") };
    let (tune, _) = tune(&text);
    let letter = |bar: usize| {
        tune.bars[bar].events[0].notes().first().map_or("z".to_owned(), |n| n.pitch.step.letter().to_string())
    };
    played(&tune).iter().map(|passage| letter(passage.bar)).collect()
}

#[test]
fn repeats_of_any_count() {
    // §4.8
    assert_eq!(order("A|B|C"), "ABC");
    assert_eq!(order("|:A|B:|C|"), "ABABC");
    assert_eq!(order("A|B:|C|D:|"), "ABABCDCD");
    assert_eq!(order("|:A::B:|"), "AABB");
    assert_eq!(order("|::A::|B|"), "AAAB");
    assert_eq!(order("A|B|:C:|D"), "ABCCD");
    // Without a start the repeat leads back to the last double barline.
    assert_eq!(order("A|B||C|D:|"), "ABCDCD");
    assert_eq!(order("|:A||B:|"), "ABAB");
}

#[test]
fn endings() {
    // §4.9, §4.10
    assert_eq!(order("|:A|1B:|2C|]"), "ABAC");
    assert_eq!(order("|:A|1B:|2C:|D|"), "ABACD");
    assert_eq!(order("|:A|1B|C:|2D|E||F|"), "ABCADEF");
    assert_eq!(order("|:A[1,3B:|[2,4C:|D|"), "ABACABACD");
    assert_eq!(order("|:A|1-3B:|4C|]"), "ABABABAC");
    assert_eq!(order("A|1B||2C||D|"), "ABACD");
    assert_eq!(order("|:A|1B:|2C|:D|1E:|2F|]"), "ABACDEDF");
    assert_eq!(order("|:A|1B:|C|"), "ABAC");
}

#[test]
fn parts_in_their_order() {
    // §3.1.9
    assert_eq!(order("P:ABA\nK:C\nP:A\nC|D|\nP:B\nE|F|\n"), "CDEFCD");
    assert_eq!(order("P:A2B\nK:C\nP:A\n|:C:|\nP:B\nE|\n"), "CCCCE");
    // §4.10: with as many endings as times, each time is one pass.
    assert_eq!(order("P:A3B\nK:C\nP:A\nC|[1D:|[2E:|[3F|]\nP:B\nG|\n"), "CDCECFG");
    assert_eq!(order("P:AX\nK:C\nP:A\nC|D|\n"), "CD");
    // Labels without an order are only labels.
    assert_eq!(order("K:C\nP:A\nC|D|\nP:B\nE|\n"), "CDE");
}

#[test]
fn jumps() {
    // §4.14
    assert_eq!(order("A|B!fine!|C|D!D.C.!|"), "ABCDAB");
    assert_eq!(order("A|B|C!D.C.!|"), "ABCABC");
    assert_eq!(order("A|!segno!B|C!D.S.!|D|"), "ABCBCD");
    assert_eq!(order("A|SB|C!fine!|D!D.S.alfine!|"), "ABCDBC");
    assert_eq!(order("A|B!dacoda!|C!D.C.alcoda!||!coda!D|E|]"), "ABCABDE");
    // Repeats are not taken again after a jump, and the last ending is played.
    assert_eq!(order("|:A|B!fine!:|C|D!D.C.!|"), "ABABCDAB");
    assert_eq!(order("|:A|1B:|2C||D!D.C.!|"), "ABACDACD");
}

#[test]
fn passes_are_counted() {
    let (tune, _) = tune("M:none\nK:C\n|:A|1B:|2C|]\n");
    let shown: Vec<_> = played(&tune).iter().map(|p| (tune.bars[p.bar].label.number, p.pass)).collect();
    assert_eq!(shown, [(1, 1), (2, 1), (1, 2), (3, 1)]);
}

#[test]
fn an_absurd_tune_is_cut() {
    let bars = "|:A:|".repeat(400);
    assert!(order(&format!("P:{}\nK:C\nP:A\n{bars}\n", "A".repeat(1000))).len() <= 100_000);
}
