//! Notes, accidentals, lengths, rhythms, rests, ties, slurs, graces, tuplets, chords.

use super::{clean, lengths, music, tune};
use crate::tune::{Accidental, NoteValue, Tuplet};

#[test]
fn pitches_and_octaves() {
    // §4.1
    assert_eq!(music("C D c d"), "C4:1/8 D4:1/8 C5:1/8 D5:1/8");
    assert_eq!(music("C, C,, c' c''"), "C3:1/8 C2:1/8 C6:1/8 C7:1/8");
    assert_eq!(music("C,', C' A,'"), "C3:1/8 C5:1/8 A4:1/8");
}

#[test]
fn accidentals_and_how_far_they_reach() {
    // §4.2
    assert_eq!(music("^C ^^C _D __D =E"), "C#4:1/8 C##4:1/8 Db4:1/8 Dbb4:1/8 E4:1/8");
    // §11.3: to the end of the bar, in all octaves.
    assert_eq!(music("^F f F | F"), "F#4:1/8 F#5:1/8 F#4:1/8 | F4:1/8");
    assert_eq!(clean("K:G\nF =F f | F"), "F#4:1/8 F4:1/8 F5:1/8 | F#4:1/8");
    // §11.3: the other settings.
    assert_eq!(clean("%%propagate-accidentals octave\nK:C\n^F f F"), "F#4:1/8 F5:1/8 F#4:1/8");
    assert_eq!(clean("%%propagate-accidentals not\nK:C\n^F f F"), "F#4:1/8 F5:1/8 F4:1/8");
    // §4.17: they reach out of chords, §4.12: and out of graces.
    assert_eq!(music("[C^E] E"), "C4+E#4:1/8 E#4:1/8");
    assert_eq!(music("{^g}a g"), "{G#5}A5:1/8 G#5:1/8");
    // Every barline ends them, repeats and endings too.
    assert_eq!(music("^F :| F || ^F |] F"), "F#4:1/8 | F4:1/8 | F#4:1/8 | F4:1/8");
}

#[test]
fn the_sign_that_was_written_is_kept() {
    // §4.2
    let (tune, _) = tune("K:G\n^F F =F\n");
    let signs: Vec<_> = tune.bars[0].events.iter().map(|e| e.notes()[0].written_sign).collect();
    assert_eq!(signs, [Some(Accidental::Sharp), None, Some(Accidental::Natural)]);
}

#[test]
fn lengths_in_every_form() {
    // §4.3
    assert_eq!(lengths("A A2 A3 A4 A6 A7 A8"), "1/8 1/4 3/8 1/2 3/4 7/8 1");
    assert_eq!(lengths("A/ A/2 A// A/4 A/// A/8 A3/2 A3/4 A3/"), "1/16 1/16 1/32 1/32 1/64 1/64 3/16 3/32 3/16");
    assert_eq!(lengths("A16 A12 A24"), "2 3/2 3");
    // §3.1.7: the unit.
    assert_eq!(clean("M:none\nL:1/4\nK:C\nA A2 A/"), "A4:1/4 A4:1/2 A4:1/8");
    assert_eq!(clean("M:2/4\nK:C\nA4A4|"), "A4:1/4 A4:1/4");
    assert_eq!(clean("M:3/4\nK:C\nA2A2A2|"), "A4:1/4 A4:1/4 A4:1/4");
}

#[test]
fn lengths_that_no_value_draws_are_tied_at_beats() {
    // §4.3 leaves their notation open.
    assert_eq!(clean("M:4/4\nL:1/8\nK:C\nA5 B3 |"), "A4~:1/2 A4:1/8 B4:3/8");
    assert_eq!(clean("M:4/4\nL:1/8\nK:C\nB3 A5 |"), "B4:3/8 A4~:1/8 A4:1/2");
    assert_eq!(clean("M:6/8\nL:1/8\nK:C\nA5 B |"), "A4~:3/8 A4:1/4 B4:1/8");
    assert_eq!(clean("M:9/8\nL:1/8\nK:C\nA9 |"), "A4~:3/4 A4:3/8");
    assert_eq!(clean("M:4/4\nL:1/8\nK:C\n[CE]5 z3 |"), "C4~+E4~:1/2 C4+E4:1/8 z:3/8");
    // Rests are not tied.
    assert_eq!(clean("M:4/4\nL:1/8\nK:C\nz5 A3 |"), "z:1/2 z:1/8 A4:3/8");
}

#[test]
fn broken_rhythm() {
    // §4.4
    assert_eq!(lengths("a>b c<d"), "3/16 1/16 1/16 3/16");
    assert_eq!(lengths("a>>b c<<d a>>>b"), "7/32 1/32 1/32 7/32 15/64 1/64");
    assert_eq!(lengths("a > b"), "3/16 1/16");
    assert_eq!(lengths("a2>b2 c/<d/"), "3/8 1/8 1/32 3/32");
    assert_eq!(lengths("A<{g}A A{g}<A"), "1/16 3/16 1/16 3/16");
    assert_eq!(lengths("[ce]>[df] z>a"), "3/16 1/16 3/16 1/16");
    // Chains multiply; what stands between is passed over.
    assert_eq!(lengths("a>b>c"), "3/16 3/32 1/16");
    assert_eq!(lengths("c>.d c>\"G\"d (c>d) c>!trill!d"), "3/16 1/16 3/16 1/16 3/16 1/16 3/16 1/16");
    // §4.13: together with a tuplet.
    assert_eq!(lengths("(3a>bc"), "1/8 1/24 1/12");
}

#[test]
fn rests_and_spacers() {
    // §4.5
    assert_eq!(music("z z2 x z/ x3/2"), "z:1/8 z:1/4 x:1/8 z:1/16 x:3/16");
    // §6.1.2: a spacer takes no time.
    assert_eq!(music("A y B y3 c"), "A4:1/8 B4:1/8 C5:1/8");
    // §4.5: rests of bars.
    assert_eq!(clean("M:3/4\nK:C\nZ | Z2 | z6 | X |"), "z:3/4 | z:3/4 | z:3/4 | z:3/4 | x:3/4");
    let (tune, _) = tune("M:C\nK:C\nZ4 | A8 |\n");
    assert_eq!(tune.bars.iter().map(|b| b.rest_run).collect::<Vec<_>>(), [4, 0, 0, 0, 0]);
}

#[test]
fn ties() {
    // §4.11
    assert_eq!(music("abc-|cba"), "A5:1/8 B5:1/8 C5~:1/8 | C5:1/8 B5:1/8 A5:1/8");
    assert_eq!(music("c4-c4"), "C5~:1/2 C5:1/2");
    assert_eq!(music("[CE]-[CE] [C-E]C"), "C4~+E4~:1/8 C4+E4:1/8 C4~+E4:1/8 C4:1/8");
    assert_eq!(music("c.-c"), "C5~:1/8 C5:1/8");
    // A tie over a barline keeps the alteration; the note after it has none.
    assert_eq!(music("^c-|cc"), "C#5~:1/8 | C#5:1/8 C5:1/8");
    assert_eq!(clean("K:D\n=c-|cc"), "C5~:1/8 | C5:1/8 C#5:1/8");
}

#[test]
fn slurs() {
    // §4.11: nested, and beginning and ending on one note.
    let spans = |code: &str| {
        let (tune, said) = tune(&format!("K:C\n{code}\n"));
        assert!(said.is_empty(), "{said:?}");
        tune.slurs.iter().map(|s| (s.from.0, s.to.0, s.dotted)).collect::<Vec<_>>()
    };
    assert_eq!(spans("(cd) e (fga)"), [(0, 1, false), (3, 5, false)]);
    assert_eq!(spans("(c (d e f) g a)"), [(0, 5, false), (1, 3, false)]);
    assert_eq!(spans("(c d (e) f g a)"), [(0, 2, false), (2, 5, false)]);
    assert_eq!(spans(".(cde)"), [(0, 2, true)]);
    assert_eq!(spans("([CE] [DF])"), [(0, 1, false)]);
    // §4.12: from a grace to its note.
    assert_eq!(spans("{(g}a)"), [(0, 1, false)]);
    assert_eq!(spans("(c|d)"), [(0, 1, false)]);
}

#[test]
fn graces() {
    // §4.12
    assert_eq!(music("{g}A3 {GdGe}c"), "{G5}A4:3/8 {G4}{D5}{G4}{E5}C5:1/8");
    assert_eq!(music("{[ce]}d"), "{C5+E5}D5:1/8");
    let (tune, said) = tune("L:1/8\nK:C\n{/g}A {c}B {gab}c {g2}a\n");
    assert!(said.is_empty());
    let events = &tune.bars[0].events;
    assert!(events[0].graces_slashed && !events[1].graces_slashed);
    let values = |n: usize| events[n].graces.iter().map(|g| g.value).collect::<Vec<_>>();
    assert_eq!((values(1), values(2)), (vec![NoteValue::plain(3)], vec![NoteValue::plain(4); 3]));
    assert_eq!(values(3), [NoteValue::plain(2)]);
    // They take no time and no place in a tuplet.
    assert_eq!(lengths("(3{g}a{b}bc"), "1/12 1/12 1/12");
    assert_eq!(tune.addresses[0].to_string(), "1.1g1");
}

#[test]
fn tuplets() {
    // §4.13: the table.
    assert_eq!(lengths("(3abc (2ab (4abcd"), "1/12 1/12 1/12 3/16 3/16 3/32 3/32 3/32 3/32");
    assert_eq!(lengths("(5abcde (6abcdef"), "1/20 1/20 1/20 1/20 1/20 1/24 1/24 1/24 1/24 1/24 1/24");
    assert_eq!(clean("M:6/8\nL:1/8\nK:C\n(5abcde abc|").split(' ').next(), Some("A5:3/40"));
    assert_eq!(
        lengths("(7abcdefg (8abcdefga (9abcdefgab").split(' ').skip(6).take(2).collect::<Vec<_>>(),
        ["1/28", "3/64"]
    );
    // §4.13: all forms.
    assert_eq!(lengths("(3:2:3abc (3::abc (3:2abc"), "1/12 1/12 1/12 1/12 1/12 1/12 1/12 1/12 1/12");
    assert_eq!(lengths("(3:2:2a2b (3::2a2b"), "1/6 1/12 1/6 1/12");
    assert_eq!(lengths("(3::4ab/c/d"), "1/12 1/24 1/24 1/12");
    assert_eq!(lengths("(3 abc"), "1/12 1/12 1/12");
    // Rests and chords count.
    assert_eq!(lengths("(3z[ce]a"), "1/12 1/12 1/12");
    assert_eq!(lengths("((3abc)"), "1/12 1/12 1/12");
    let (tune, _) = tune("K:C\n(3abc (5:4:5abcde\n");
    assert_eq!(tune.tuplets, [Tuplet { actual: 3, normal: 2 }, Tuplet { actual: 5, normal: 4 }]);
    assert_eq!(tune.bars[0].events[0].value, NoteValue::plain(3));
}

#[test]
fn chords() {
    // §4.17: lengths inside and after multiply; the first note's length counts.
    assert_eq!(music("[CEGc] [C2E2]3 [CE]/"), "C4+E4+G4+C5:1/8 C4+E4:3/4 C4+E4:1/16");
    assert_eq!(music("[C4E2]"), "C4+E4:1/2");
    assert_eq!(music("[cEG]"), "E4+G4+C5:1/8");
    assert_eq!(music("[DD]"), "D4+D4:1/8");
}

#[test]
fn beams_follow_the_blanks() {
    // §4.7: graces, inline fields and back-quotes do not break, blanks do.
    let joined = |code: &str| {
        let (tune, _) = tune(&format!("L:1/8\nK:C\n{code}\n"));
        tune.bars
            .iter()
            .flat_map(|b| &b.events)
            .map(|e| if e.beamed_to_previous { '1' } else { '0' })
            .collect::<String>()
    };
    assert_eq!(joined("ABc de f"), "011010");
    assert_eq!(joined("A{g}B[r:x]c`d"), "0111");
    assert_eq!(joined("AB|cd"), "0101");
    assert_eq!(joined("A>B c> d"), "0100");
    // §6.1.1: a line that goes on does not break a beam unless a blank stands there.
    assert_eq!(joined("AB\\\ncd \\\nef"), "011101");
    assert_eq!(joined("AB\ncd"), "0101");
}
