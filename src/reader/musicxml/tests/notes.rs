//! Lengths, pitches, chords and graces that are odd.

use super::super::XmlOptions;
use super::{losses, measures, note, odd_measures, quarter, read_bytes, score, shown};
use crate::tune::Mark;

fn rest() -> String {
    "<note><rest/><duration>2</duration></note>".to_owned()
}

fn chord(note: &str) -> String {
    note.replacen("<note>", "<note><chord/>", 1)
}

fn grace(more: &str) -> String {
    format!("<note><grace/><pitch><step>A</step><octave>4</octave></pitch><type>eighth</type>{more}</note>")
}

#[test]
fn notes_on_another_staff() {
    let (tune, said) = measures(&[&(note("G", 4, 2, "<staff>1</staff>") + &note("C", 4, 2, "<staff>2</staff>"))]);
    assert_eq!(shown(&tune), "G4:1/4 x:1/4");
    assert_eq!(losses(&said), ["a note on another staff is not kept (measure 1)"]);
    // A voice of the lower staff that is asked for is read there.
    let upper = note("G", 4, 4, "<voice>1</voice><staff>1</staff>");
    let lower = note("C", 3, 4, "<voice>5</voice><staff>2</staff>");
    let text = score(&[format!("{upper}<backup><duration>4</duration></backup>{lower}")]);
    let options = XmlOptions { voice: Some("5".into()), ..XmlOptions::default() };
    let (tunes, said) = read_bytes(text.as_bytes(), &options);
    assert_eq!(shown(&tunes[0]), "C3:1/2");
    // Who asks for a voice knows that there are others.
    assert_eq!(said, Vec::<String>::new());
}

#[test]
fn pitches_that_are_none() {
    for pitch in ["<step>C</step>", "<step>H</step><octave>4</octave>", "<step>C</step><octave>10</octave>"] {
        let odd = format!("<note><pitch>{pitch}</pitch><duration>2</duration></note>");
        let (tune, said) = odd_measures(&[&(odd.clone() + &quarter())]);
        assert_eq!(shown(&tune), "z:1/4 C5:1/4");
        assert_eq!(losses(&said), ["a note whose pitch cannot be read becomes a rest (measure 1)"]);
        let (tune, said) = odd_measures(&[&(quarter() + &chord(&odd) + &quarter())]);
        assert_eq!(shown(&tune), "C5:1/4 C5:1/4");
        assert_eq!(losses(&said), ["a note of a chord whose pitch cannot be read is not kept (measure 1)"]);
    }
    for (alter, written, loss) in [
        ("x", "C5", "a pitch altered by \u{201c}x\u{201d} becomes the natural one (measure 1)"),
        ("3", "C##5", "a pitch altered by more than two semitones becomes one altered by two (measure 1)"),
        ("0.5", "C#5", "a pitch between the keys becomes the nearest one (measure 1)"),
    ] {
        let altered = quarter().replace("</step>", &format!("</step><alter>{alter}</alter>"));
        let (tune, said) = odd_measures(&[&(altered + &quarter())]);
        assert_eq!((shown(&tune), losses(&said)), (format!("{written}:1/4 C5:1/4"), vec![loss]));
    }
}

#[test]
fn lengths_that_are_missing_or_absurd() {
    let bare = |more: &str| format!("<note><pitch><step>D</step><octave>5</octave></pitch>{more}</note>");
    for more in ["<type>quarter</type>", "<duration>10000000000</duration><type>quarter</type>"] {
        let (tune, said) = odd_measures(&[&(bare(more) + &quarter())]);
        assert_eq!(shown(&tune), "D5:1/4 C5:1/4", "{said:?}");
        assert!(said.is_empty(), "{said:?}");
    }
    let (tune, said) = odd_measures(&[&(quarter() + &bare("") + &quarter())]);
    assert_eq!(shown(&tune), "C5:1/4 C5:1/4");
    assert_eq!(losses(&said), ["a note without a length is not kept (measure 1)"]);
    // What sounds counts, and the value that is drawn otherwise is told.
    let (tune, said) = measures(&[&(note("C", 5, 2, "<type>half</type>") + &quarter())]);
    assert_eq!(shown(&tune), "C5:1/4 C5:1/4");
    assert_eq!(losses(&said), ["the drawn value of a note that lasts longer or shorter is not kept (measure 1)"]);
}

#[test]
fn notes_that_are_not_shown_keep_their_time() {
    let hidden = quarter().replace("<note>", "<note print-object=\"no\">");
    let (tune, said) = measures(&[&(hidden.clone() + &quarter())]);
    assert_eq!(shown(&tune), "x:1/4 C5:1/4");
    assert_eq!(losses(&said), ["a note that is not shown becomes a gap of its length (measure 1)"]);
    // The rest of its chord is still there.
    let (tune, _) = measures(&[&(hidden + &chord(&note("E", 5, 2, "")) + &quarter())]);
    assert_eq!(shown(&tune), "E5:1/4 C5:1/4");
}

#[test]
fn empty_measures_keep_their_number() {
    let full = quarter() + &quarter();
    let (tune, said) = measures(&[&full, "", &full]);
    assert_eq!(shown(&tune), "C5:1/4 C5:1/4 | z:1/2 | C5:1/4 C5:1/4");
    assert_eq!(tune.bars.iter().map(|bar| bar.label.to_string()).collect::<Vec<_>>(), ["1", "2", "3"]);
    assert_eq!(losses(&said), ["a measure without notes becomes a bar of rest (measure 2)"]);
}

#[test]
fn chords_without_a_first_note_and_of_other_lengths() {
    let (tune, said) = measures(&[&(chord(&note("E", 5, 2, "")) + &quarter() + &quarter())]);
    assert_eq!(shown(&tune), "C5:1/4 C5:1/4");
    assert_eq!(losses(&said), ["a note of a chord whose first is not kept is not kept (measure 1)"]);
    let (tune, said) = measures(&[&(quarter() + &chord(&note("E", 5, 1, "")) + &quarter())]);
    assert_eq!(shown(&tune), "C5+E5:1/4 C5:1/4");
    let loss = "a note of a chord that is longer or shorter than the first becomes as long as that (measure 1)";
    assert_eq!(losses(&said), [loss]);
}

#[test]
fn signs_of_every_note_of_a_chord() {
    let signs = "<notations><slur type=\"start\"/><technical><fingering>3</fingering></technical><articulations><accent/></articulations><fermata/></notations><lyric><text>la</text></lyric>";
    let first = "<notations><technical><fingering>1</fingering></technical><articulations><accent/></articulations></notations>";
    let end = note("D", 5, 2, "<notations><slur type=\"stop\"/></notations>");
    let (tune, said) = measures(&[&(note("C", 5, 2, first) + &chord(&note("E", 5, 2, signs)) + &end)]);
    assert!(said.is_empty(), "{said:?}");
    let event = &tune.bars[0].events[0];
    assert_eq!(event.marks, [Mark::Finger(1), Mark::Accent, Mark::Finger(3), Mark::Fermata]);
    assert_eq!(event.lyrics[0].as_ref().map(|lyric| lyric.text.as_str()), Some("la"));
    assert_eq!(tune.slurs.len(), 1);
}

#[test]
fn graces_and_what_stands_at_them() {
    let signs = "<notations><technical><fingering>2</fingering></technical><articulations><staccato/></articulations></notations><lyric><text>la</text></lyric>";
    let (tune, said) = measures(&[&(grace(signs) + &quarter() + &quarter())]);
    assert_eq!(shown(&tune), "gC5:1/4 C5:1/4");
    assert_eq!(
        losses(&said),
        [
            "a syllable under a grace note is not kept (measure 1)",
            "\u{201c}fingering\u{201d} at a grace note is not kept (measure 1)",
            "\u{201c}staccato\u{201d} at a grace note is not kept (measure 1)",
        ]
    );
    let full = quarter() + &quarter();
    let (tune, said) = measures(&[&(full.clone() + &grace("")), &(rest() + &quarter())]);
    assert_eq!(shown(&tune), "C5:1/4 C5:1/4 | z:1/4 gC5:1/4");
    assert_eq!(
        losses(&said),
        [
            "a grace note at the end of a bar becomes one before the next note (measure 1)",
            "a grace note before a rest becomes one before the next note (measure 2)",
        ]
    );
    let (_, said) = measures(&[&full, &(full.clone() + &grace(""))]);
    assert_eq!(losses(&said), ["a grace note after the last note is not kept (measure 2)"]);
}

/// A length of a third is a triplet also where the file gives no ratio.
#[test]
fn tuplets_by_their_lengths_alone() {
    let text = |notes: String| score(&[notes]).replace("<divisions>2<", "<divisions>9<");
    let third = note("C", 5, 3, "<type>eighth</type>");
    let (tune, said) = super::tune(&text(third.repeat(3) + &note("D", 5, 9, "")));
    assert_eq!(shown(&tune), "C5:1/12 C5:1/12 C5:1/12 D5:1/4");
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(super::code(&tune), "(3c2c2c2 d4 |");
    let (tune, said) = super::tune(&text(note("C", 5, 6, "") + &third + &note("D", 5, 9, "")));
    assert_eq!(super::code(&tune), "(3:2:2c4c2 d4 |", "{said:?}");
    // Two thirds of a beat alone make up nothing.
    let (_, said) = super::tune(&text(third.repeat(2) + &note("D", 5, 9, "")));
    let told = "a note or rest of a length that no value draws becomes several that are near it together (measure 1)";
    assert!(said.iter().any(|said| said.contains(told)), "{said:?}");
}

/// A file that counts parts of divisions does not round to whole ones.
#[test]
fn gaps_shorter_than_a_division_are_kept() {
    let eighth = |step: &str| note(step, 4, 1, "").replace("<duration>1<", "<duration>0.5<");
    let gap = "<forward><duration>0.5</duration></forward>";
    let text = super::score(&[
        gap.to_owned() + &eighth("G") + &eighth("A") + &eighth("B"),
        eighth("G") + gap + gap + &eighth("A"),
    ]);
    let (tune, said) = super::tune(&text.replace("<divisions>2<", "<divisions>1<"));
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(shown(&tune), "x:1/8 G4:1/8 A4:1/8 B4:1/8 | G4:1/8 x:1/4 A4:1/8");
}
