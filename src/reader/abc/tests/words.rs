//! Words under notes, symbol lines, chord symbols, annotations, decorations.

use super::tune;
use crate::tune::{Jump, Landmark, Mark, Placement, Syllable, Tune};

/// The syllables of a verse: `-` after a hyphen, `_` for a held note, `.` for none.
fn verse(tune: &Tune, verse: usize) -> String {
    let heads = tune.bars.iter().flat_map(|b| &b.events).filter(|e| e.head().is_some());
    let shown = heads.map(|event| match event.lyrics.get(verse).and_then(Option::as_ref) {
        None => ".".to_owned(),
        Some(lyric) if lyric.held => "_".to_owned(),
        Some(lyric) => format!("{}{}", lyric.text, if lyric.joint == Syllable::Hyphen { "-" } else { "" }),
    });
    shown.collect::<Vec<_>>().join(" ")
}

fn words(body: &str) -> String {
    let (tune, said) = tune(&format!("M:none\nK:C\n{body}\n"));
    assert!(said.is_empty(), "{said:?}");
    verse(&tune, 0)
}

#[test]
fn words_stand_under_notes() {
    // §5.1
    assert_eq!(words("A B c d\nw:syll-a-ble end"), "syll- a- ble end");
    assert_eq!(words("A B c d e\nw:syll-a--ble end"), "syll- a- _ ble end");
    assert_eq!(words("A B c d e\nw:syll-a -ble end"), "syll- a- _ ble end");
    assert_eq!(words("A B c d\nw:time__ on"), "time _ _ on");
    assert_eq!(words("A B c\nw:of~the~day * on"), "of the day . on");
    assert_eq!(words("A B\nw:well\\-known on"), "well-known on");
    // §5.1: `|` goes to the next bar, or nowhere if that is reached.
    assert_eq!(words("A B | c d | e\nw:one | two three | four"), "one . two three four");
    assert_eq!(words("A B | c d\nw:one two | three"), "one two three .");
    assert_eq!(words("A B | c | d\nw:one | | two"), "one . . two");
    // Rests, graces and spacers take no syllable; tied notes and chords one each.
    assert_eq!(words("A z {g}B y [ce] c-c\nw:a b c d e"), "a b c d e");
}

#[test]
fn lines_of_words_and_their_notes() {
    // §5.1: lines that stand apart begin where the last ended; at the end of the body they cover all.
    assert_eq!(words("A B\nw:one two\nc d\nw:three four"), "one two three four");
    assert_eq!(words("A B\nc d\nw:one two three four"), "one two three four");
    assert_eq!(words("A B\nw:one\nc d\nw:two"), "one . two .");
    // §3.3: a field goes on.
    assert_eq!(words("A B c d\nw:one two\n+:three four"), "one two three four");
    // §5.2: lines that stand together are verses; §5.3: their numbers.
    let (tune, _) = tune("K:C\nA B c\nw:1.~One two three\nw:2.~Four five six\n");
    assert_eq!((verse(&tune, 0), verse(&tune, 1)), ("One two three".into(), "Four five six".into()));
    assert_eq!(tune.verse_labels, ["1.", "2."]);
}

#[test]
fn too_many_syllables() {
    // §5.1
    let (tune, said) = tune("K:C\nA B\nw:one two three four\n");
    assert_eq!((verse(&tune, 0).as_str(), said.join(" ").as_str()), ("one two", "too-many-syllables 3:3"));
}

#[test]
fn words_below_the_tune() {
    // §5, W:
    let (tune, _) = tune("K:C\nA B\nW:A first line\nW:\nW:and another\n");
    assert_eq!(tune.words, ["A first line", "", "and another"]);
}

#[test]
fn symbol_lines() {
    // §4.15
    let (tune, said) = tune("K:C\nA B | c d\ns:\"^slow\" * | !f! \"G\"\n");
    assert!(said.is_empty(), "{said:?}");
    let events: Vec<_> = tune.bars.iter().flat_map(|b| &b.events).collect();
    assert_eq!(events[0].annotations[0].text, "slow");
    assert_eq!((events[1].marks.len(), events[2].marks.as_slice()), (0, [Mark::Dynamic(6)].as_slice()));
    assert_eq!(events[3].chord_symbols[0].text, "G");
}

#[test]
fn chord_symbols_and_annotations() {
    // §4.18, §4.19
    let (tune, said) = tune("K:C\n\"Am7\"A \"^above\"\"_below\"\"<left\"\">right\"\"@free\"B \"C\"y\"G\"c\n");
    assert!(said.is_empty(), "{said:?}");
    let events = &tune.bars[0].events;
    assert_eq!(events[0].chord_symbols[0].text, "Am7");
    let placements: Vec<_> = events[1].annotations.iter().map(|a| a.placement).collect();
    assert_eq!(placements, [Placement::Above, Placement::Below, Placement::Left, Placement::Right, Placement::Above]);
    assert_eq!(events[2].chord_symbols.len(), 2);
    // §8.2 inside them; a fingering is a fingering (§4.19 names the use).
    let (tune, _) = tune_of("K:C\n\"^caf\\'e\"A \"_4\"B !3!c\n");
    assert_eq!(tune.bars[0].events[0].annotations[0].text, "café");
    assert_eq!(tune.bars[0].events[1].marks, [Mark::Finger(4)]);
    assert_eq!(tune.bars[0].events[2].marks, [Mark::Finger(3)]);
}

fn tune_of(text: &str) -> (Tune, Vec<String>) {
    tune(text)
}

#[test]
fn decorations() {
    // §4.14: short letters and names.
    let marks = |code: &str| {
        let (tune, said) = tune(&format!("K:C\n{code}\n"));
        assert!(said.is_empty(), "{said:?}");
        tune.bars[0].events[0].marks.clone()
    };
    assert_eq!(marks(".A"), [Mark::Staccato]);
    assert_eq!(marks("~A"), [Mark::Roll]);
    assert_eq!(marks("HA"), [Mark::Fermata]);
    assert_eq!(marks("LMPTA"), [Mark::Accent, Mark::LowerMordent, Mark::UpperMordent, Mark::Trill]);
    assert_eq!(marks("uvA"), [Mark::UpBow, Mark::DownBow]);
    assert_eq!(marks("!wedge!!tenuto!!>!A"), [Mark::Wedge, Mark::Tenuto, Mark::Accent]);
    assert_eq!(marks("!crescendo(!A!crescendo)!B"), [Mark::CrescendoStart]);
    assert_eq!(marks("!<(!A"), [Mark::CrescendoStart]);
    assert_eq!(marks("!trill![CE]"), [Mark::Trill]);
    assert_eq!(marks("!fermata!z"), [Mark::Fermata]);
    // §4.16: symbols of the user's own.
    let (tune, said) = tune("U:W = !wedge!\nU:u = \"^up\"\nU:T = !nil!\nK:C\nWA uB TC\n");
    assert!(said.is_empty(), "{said:?}");
    let events = &tune.bars[0].events;
    assert_eq!((events[0].marks.as_slice(), events[2].marks.len()), ([Mark::Wedge].as_slice(), 0));
    assert_eq!(events[1].annotations[0].text, "up");
    // §12: the older way to write them.
    let (tune, said) = tune_of("K:C\n+trill+A +nothing+ B\n");
    assert_eq!(tune.bars[0].events[0].marks[..], [Mark::Trill]);
    assert!(said[0].starts_with("!odd-sign 2:10"), "{said:?}");
    let (tune, _) = tune_of("I:decoration +\nK:C\n+trill+A\n");
    assert_eq!(tune.bars[0].events[0].marks, [Mark::Trill]);
}

#[test]
fn decorations_of_barlines_jumps_and_marks() {
    // §4.14
    let (tune, said) = tune("K:C\nSA | B !fine!| !segno!c | d !fermata!| e !D.S.!|]\n");
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(tune.bars[0].landmarks, [Landmark::Segno]);
    assert_eq!(tune.bars[1].landmarks, [Landmark::Fine]);
    assert_eq!(tune.bars[2].landmarks, [Landmark::Segno]);
    assert_eq!(tune.bars[3].barline_marks, [Mark::Fermata]);
    assert_eq!(tune.bars[4].jump, Some(Jump::DalSegno));
    // A breath and the end of a swell stand with the last note; what belongs to a note is told.
    let (tune, said) = tune_of("K:C\nA B !breath!| !<(!c d !<)!| e !invertedfermata!|]\n");
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(tune.bars[0].events[1].marks, [Mark::Breath]);
    assert_eq!(tune.bars[1].events[1].marks, [Mark::CrescendoEnd]);
    assert_eq!(tune.bars[2].barline_marks, [Mark::FermataBelow]);
    let (tune, said) = tune_of("K:C\n!p!|: A2 !f!:| B4 !trill! !f!|]\n");
    assert_eq!(said, ["sign-without-note 2:1", "sign-without-note 2:10", "sign-without-note 2:19"]);
    assert!(tune.bars.iter().all(|bar| bar.barline_marks.is_empty()));
    // The same in words, as hand-written music has it.
    let (tune, said) = tune_of("K:C\nA | B \"^Fine\"|| c | d \"_D.C. al Fine\"|]\n");
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(tune.bars[1].landmarks, [Landmark::Fine]);
    assert_eq!(tune.bars[3].jump, Some(Jump::DaCapoAlFine));
    // Two coda signs: the first says where to leave.
    let (tune, _) = tune_of("K:C\nA | OB | c !D.C.alcoda!|| Od |]\n");
    assert_eq!(
        (tune.bars[1].jump, tune.bars[3].landmarks.as_slice()),
        (Some(Jump::ToCoda), [Landmark::Coda].as_slice())
    );
    // The sign to leave stands before its bar, in it before the first note (see `reader::flow`), behind the last.
    for (code, bar) in [("A O| B | c", 0), ("A | OB | c", 1), ("A | B O| c", 1)] {
        let (tune, _) = tune_of(&format!("M:none\nK:C\n{code} !D.C.alcoda!|| Od |]\n"));
        assert_eq!(tune.bars.iter().position(|bar| bar.jump == Some(Jump::ToCoda)), Some(bar), "{code}");
    }
}
