//! Files, headers, fields in the music, voices, macros, includes, continuation.

use super::{clean, tune, tunes};
use crate::diag::{Excerpt, Sources};
use crate::reader::abc::{AbcOptions, Choice, contents, included};
use crate::tune::{Duration, Meter, Mode};

const BOOK: &str = "%abc-2.1\nM:3/4\nC:R. Quill\n\nX:1\nT:First\nK:G\nA6|\n\nsome free text\n\n%%text typeset\n\nX:2\nT:Second\nT:also\nM:2/4\nL:1/8\nK:D\nA4|\n\nX:3\nT:Third\nK:C\n\n";

#[test]
fn a_tunebook_in_its_sections() {
    // §2.2: file header, tunes, free text, typeset text; §2.2.1: defaults return.
    let (tunes, said) = tunes(BOOK, &AbcOptions::default());
    assert!(said.is_empty(), "{said:?}");
    let titles: Vec<_> = tunes.iter().map(|t| (t.number, t.title.as_str(), t.meter.to_string())).collect();
    assert_eq!(
        titles,
        [(Some(1), "First", "3/4".into()), (Some(2), "Second", "2/4".into()), (Some(3), "Third", "3/4".into())]
    );
    assert_eq!(tunes[1].other_titles, ["also"]);
    assert_eq!(tunes[2].credits.composer, ["R. Quill"]);
    assert!(tunes[2].bars.is_empty());
    let names: Vec<_> = contents(BOOK).into_iter().map(|e| (e.number, e.title, e.line)).collect();
    assert_eq!(names[1], (Some(2), "Second".to_owned(), 14));
}

#[test]
fn one_tune_of_a_tunebook() {
    let pick = |choose| tunes(BOOK, &AbcOptions { choose: Some(choose), ..AbcOptions::default() });
    assert_eq!(pick(Choice::Number(2)).0[0].title, "Second");
    assert_eq!(pick(Choice::Title("third".into())).0[0].number, Some(3));
    assert_eq!(pick(Choice::Title("Also".into())).0[0].number, Some(2));
    let (none, said) = pick(Choice::Number(9));
    assert_eq!((none.len(), said.join(" ").as_str()), (0, "!no-such-tune 1:1"));
}

#[test]
fn fragments() {
    // §2.3.1: no X, no T, no K.
    assert_eq!(clean("A B c\n"), "A4:1/8 B4:1/8 C5:1/8");
    assert_eq!(clean("L:1/4\nK:G\nF\n\nF\n"), "F#4:1/4 F#4:1/4");
    let (tune, _) = tune("M:6/8\nK:Ador\nABc\n");
    assert_eq!((tune.meter, tune.key.tonic.map(|t| t.1)), (Meter::simple(6, 8), Some(Mode::Dorian)));
}

#[test]
fn line_ends_marks_and_comments() {
    // §2.2: all line ends; §8.1: comments, also inside tunes; `\%`.
    assert_eq!(clean("K:C\r\nA B\r\n"), "A4:1/8 B4:1/8");
    assert_eq!(clean("\u{feff}K:C\nA % comment | B\n  % another\nB\n"), "A4:1/8 B4:1/8");
    assert_eq!(clean("X:1\nT:x\nK:C\nA\n% no empty line\nB\n"), "A4:1/8 B4:1/8");
    let (tune, _) = tune("X:1\nT:50\\% more % not this\nK:C\nA\n");
    assert_eq!(tune.title, "50% more");
    assert_eq!(clean("K:C\rA B\rc"), "A4:1/8 B4:1/8 C5:1/8");
}

#[test]
fn continuation() {
    // §6.1.1: lines joined, fields between them take effect; §3.3: `+:`.
    assert_eq!(clean("L:1/8\nK:C\nA B\\\nc d\n"), "A4:1/8 B4:1/8 C5:1/8 D5:1/8");
    assert_eq!(clean("L:1/8\nK:C\nF \\ % joined\n%%comment\nK:G\nF\n"), "F4:1/8 F#4:1/8");
    assert_eq!(clean("L:1/8\nK:C\na>\\\nb\n"), "A5:3/16 B5:1/16");
    let (tune, _) = tune("X:1\nT:x\nH:one\n+:two\nK:C\nA\n");
    assert_eq!(tune.credits.notes, ["history: one two"]);
}

#[test]
fn credits_and_texts() {
    // §3.1
    let text = "X:7\nT:A\nC:R. Quill\nO:Nowhere; Hill\nS:a book\nZ:a hand\nZ:Copyright 2026 R. Quill\nB:Book\nD:Disc\nF:x.abc\nG:group\nN:note\nR:jig\nH:story\nK:C\nA\n";
    let (tune, said) = tune(text);
    assert!(said.is_empty(), "{said:?}");
    let credits = &tune.credits;
    assert_eq!(credits.origin, ["Nowhere; Hill"]);
    assert_eq!(
        (credits.source.as_slice(), credits.transcription.as_slice()),
        (["a book".to_owned()].as_slice(), ["a hand".to_owned()].as_slice())
    );
    assert_eq!(credits.rights, ["Copyright 2026 R. Quill"]);
    assert_eq!(credits.notes.len(), 6);
    assert_eq!((tune.rhythm.as_deref(), tune.number), (Some("jig"), Some(7)));
}

#[test]
fn fields_in_the_music() {
    // §3.2
    assert_eq!(clean("L:1/8\nK:C\nF [K:G] F [L:1/4] F\n"), "F4:1/8 F#4:1/8 F#4:1/4");
    assert_eq!(clean("M:3/4\nL:1/4\nK:C\nABc|[M:2/4]AB|\n"), "A4:1/4 B4:1/4 C5:1/4 | A4:1/4 B4:1/4");
    let (tune, said) = tune("M:3/4\nL:1/4\nK:C\nABc|[M:2/4][K:G][Q:1/4=90][P:B]AB|\n");
    assert!(said.is_empty(), "{said:?}");
    let bar = &tune.bars[1];
    assert_eq!(bar.meter, Some(Meter::simple(2, 4)));
    assert_eq!(bar.key.as_ref().map(|k| k.fifths), Some(1));
    assert_eq!((bar.tempo.as_ref().and_then(|t| t.bpm), bar.part.as_deref()), (Some(90), Some("B")));
    // A change inside a bar is shown at the next; what is set again is no change.
    let (tune, _) = tune_of("L:1/4\nK:C\nA[K:G]F|F|[K:G]F|\n");
    assert_eq!(tune.bars.iter().map(|b| b.key.is_some()).collect::<Vec<_>>(), [false, true, false]);
    // §3.1.7: a new metre does not change the unit.
    assert_eq!(clean("M:2/4\nK:C\nA4A4|[M:6/8]A12|\n"), "A4:1/4 A4:1/4 | A4:3/4");
}

fn tune_of(text: &str) -> (crate::tune::Tune, Vec<String>) {
    tune(text)
}

#[test]
fn keys_at_work() {
    // §3.1.14
    assert_eq!(clean("K:Bb\nB E A\n"), "Bb4:1/8 Eb4:1/8 A4:1/8");
    assert_eq!(clean("K:D =c\nc f\n"), "C5:1/8 F#5:1/8");
    assert_eq!(clean("K:C exp ^f _b\nF B\n"), "F#4:1/8 Bb4:1/8");
    assert_eq!(clean("K:none\nF\n"), "F4:1/8");
    // §4.6: octave=, clef±8.
    assert_eq!(clean("K:C octave=-1\nC c\n"), "C3:1/8 C4:1/8");
    assert_eq!(clean("K:C treble-8\nc\n"), "C4:1/8");
}

#[test]
fn tempo_uses_the_unit() {
    // §3.1.8, §10.1
    let (tune, _) = tune("L:1/4\nQ:120\nK:C\nA\n");
    assert_eq!(tune.tempo.map(|t| (t.beat, t.bpm)), Some((vec![Duration::new(1, 4)], Some(120))));
}

#[test]
fn voices() {
    // §7: one is read, the others are named.
    let text =
        "M:2/4\nL:1/4\nV:T name=\"top\"\nV:B clef=bass octave=-1\nK:C\nV:T\nAB|\nV:B\nCD|\n[V:T] cd|\n[V:B] EF|\n";
    let (tune, said) = tune(text);
    assert_eq!(super::shown(&tune), "A4:1/4 B4:1/4 | C5:1/4 D5:1/4");
    assert_eq!(said, ["voice-not-read 8:3"]);
    let options = AbcOptions { voice: Some("B".into()), ..AbcOptions::default() };
    assert_eq!(super::shown(&tunes(text, &options).0[0]), "C3:1/4 D3:1/4 | E3:1/4 F3:1/4");
    let options = AbcOptions { voice: Some("X".into()), ..AbcOptions::default() };
    assert!(tunes(text, &options).1[0].starts_with("!no-such-voice"));
    // Nor does one that no header declares; who asks for one that is there is told of no other.
    let body = "K:C\nV:1\nAB|\nV:2\nCD|\n";
    for (voice, shown, said) in [("1", "A4:1/8 B4:1/8", 0), ("2", "C4:1/8 D4:1/8", 0), ("3", "", 1)] {
        let options = AbcOptions { voice: Some(voice.into()), ..AbcOptions::default() };
        let (tunes, complaints) = tunes(body, &options);
        assert_eq!((super::shown(&tunes[0]).as_str(), complaints.len()), (shown, said), "{complaints:?}");
        assert!(complaints.iter().all(|said| said.starts_with("!no-such-voice")), "{complaints:?}");
    }
    // A tune of one voice is read whatever is asked for.
    let options = AbcOptions { voice: Some("3".into()), ..AbcOptions::default() };
    assert_eq!(tunes("K:C\nAB|\n", &options).1, Vec::<String>::new());
    // Voices that no header declares; words belong to their voice.
    let (tune, said) = tune_of("K:C\nV:1\nAB|\nw:la la\nV:2\nCD|\nw:no no\nV:1\ncd|\n");
    assert_eq!((super::shown(&tune).as_str(), said.len()), ("A4:1/8 B4:1/8 | C5:1/8 D5:1/8", 1));
    assert_eq!(tune.bars[0].events[1].lyrics[0].as_ref().map(|l| l.text.as_str()), Some("la"));
    // §7.4: overlays are passed over.
    let (tune, said) = tune_of("M:2/4\nL:1/4\nK:C\nAB & CD | cd |\n");
    assert_eq!(
        (super::shown(&tune).as_str(), said.join(" ").as_str()),
        ("A4:1/4 B4:1/4 | C5:1/4 D5:1/4", "overlay-left-out 4:4")
    );
}

#[test]
fn macros_at_work() {
    // §9
    assert_eq!(clean("m:~G3 = G{A}G{F}G\nK:C\n~G3 A\n"), "G4:1/8 {A4}G4:1/8 {F4}G4:1/8 A4:1/8");
    assert_eq!(clean("m:~n2 = (3n/o/n/ m/\nK:C\n~B2\n"), "B4:1/24 C5:1/24 B4:1/24 A4:1/16");
    // A macro that calls itself ends.
    assert_eq!(clean("m:AB = ABAB\nK:C\nAB\n"), "A4:1/8 B4:1/8 A4:1/8 B4:1/8");
}

#[test]
fn includes() {
    // The directive abc-include: the text is handed in; a missing one costs a warning.
    let text = "X:1\nT:x\nI:abc-include marks.abh\nK:C\nTA\n";
    assert_eq!(included(text), ["marks.abh"]);
    let mut sources = Sources::default();
    let file = sources.add("marks.abh", "U:T = !fermata!\nI:abc-include marks.abh\n");
    let mut options = AbcOptions::default();
    options.includes.insert("marks.abh".into(), Excerpt::whole(file, sources.text(file)));
    let (read, said) = tunes(text, &options);
    assert_eq!(read[0].bars[0].events[0].marks, [crate::tune::Mark::Fermata]);
    assert_eq!(said, ["!include-too-deep 2:1"]);
    assert_eq!(tunes(text, &AbcOptions::default()).1, ["include-missing 3:1"]);
    // Two texts that include each other a thousand times over come to an end.
    let many = |name: &str| format!("I:abc-include {name}\n").repeat(1000);
    for (name, other) in [("a.abh", "b.abh"), ("b.abh", "a.abh")] {
        let file = sources.add(name, many(other));
        options.includes.insert(name.into(), Excerpt::whole(file, sources.text(file)));
    }
    let (read, said) = tunes(&format!("X:1\nT:x\n{}K:C\nA\n", many("a.abh")), &options);
    assert_eq!(read[0].bars.len(), 1);
    assert!(said.contains(&"!include-too-deep 1:1".to_owned()) && said.len() < 300, "{}", said.len());
}
