//! Hand-made scores, the part of the report beside each.

mod bars;
mod encodings;
mod harmonies;
mod heads;
mod marks;
mod notes;
mod order;
mod words;

use std::hash::{Hash, Hasher};

use super::{XmlOptions, read};
use crate::diag::{Severity, Sink, Sources};
use crate::tune::{BarlineStyle, Jump, Landmark, Mark, Mode, Placement, Sounding, Syllable, Tune, played};

/// A note of a quarter of divisions 2.
fn note(step: &str, octave: i32, duration: u32, more: &str) -> String {
    format!(
        "<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>{duration}</duration>{more}</note>"
    )
}

const HEAD: &str = "<attributes><divisions>2</divisions><key><fifths>1</fifths><mode>major</mode></key><time><beats>2</beats><beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef></attributes>";

fn score(measures: &[String]) -> String {
    let mut out = String::from(
        "<?xml version=\"1.0\"?>\n<!DOCTYPE score-partwise PUBLIC \"x\" \"http://nowhere.invalid/x.dtd\">\n<score-partwise version=\"4.0\"><part-list><score-part id=\"P1\"><part-name>Box</part-name></score-part></part-list><part id=\"P1\">\n",
    );
    for (nth, measure) in measures.iter().enumerate() {
        let head = if nth == 0 { HEAD } else { "" };
        out.push_str(&format!("<measure number=\"{}\">{head}{measure}</measure>\n", nth + 1));
    }
    out + "</part></score-partwise>"
}

fn read_bytes(bytes: &[u8], options: &XmlOptions) -> (Vec<Tune>, Vec<String>) {
    let mut sources = Sources::default();
    let file = sources.add("x.musicxml", "");
    let mut sink = Sink::default();
    let tunes = read(bytes, file, options, &mut sink);
    let shown = |d: &crate::diag::Diagnostic| {
        let mark = if d.severity == Severity::Error { "!" } else { "" };
        format!("{mark}{} {}", d.code, d.message)
    };
    let others = sink.items().iter().filter(|item| !crate::reader::leads_nowhere(item.code));
    (tunes, others.map(shown).collect())
}

/// Reads a score that the schema of the report must find valid: where the check against it asks for the scores by
/// `BOXWRIGHT_SCORES`, each is written to that folder.
fn tune(text: &str) -> (Tune, Vec<String>) {
    if let Some(folder) = std::env::var_os("BOXWRIGHT_SCORES") {
        let mut name = std::hash::DefaultHasher::new();
        text.hash(&mut name);
        let name = format!("{:016x}.musicxml", name.finish());
        std::fs::write(std::path::Path::new(&folder).join(name), text).expect("the folder of scores can be written");
    }
    one_tune(text)
}

/// Reads a score that no schema has to find valid.
fn one_tune(text: &str) -> (Tune, Vec<String>) {
    let (mut tunes, said) = read_bytes(text.as_bytes(), &XmlOptions::default());
    assert_eq!(tunes.len(), 1, "{said:?}");
    (tunes.remove(0), said)
}

fn measures(list: &[&str]) -> (Tune, Vec<String>) {
    tune(&score(&list.iter().map(|m| (*m).to_owned()).collect::<Vec<_>>()))
}

/// Measures of a score that no schema has to find valid.
fn odd_measures(list: &[&str]) -> (Tune, Vec<String>) {
    one_tune(&score(&list.iter().map(|m| (*m).to_owned()).collect::<Vec<_>>()))
}

/// What is not kept of a reading, each without its code; nothing else may be said.
fn losses(said: &[String]) -> Vec<&str> {
    said.iter().map(|said| said.strip_prefix("not-kept ").unwrap_or_else(|| panic!("{said}"))).collect()
}

/// A quarter C5.
fn quarter() -> String {
    note("C", 5, 2, "")
}

/// The music as it stands in a tune file, without the lines above it.
fn code(tune: &Tune) -> String {
    let text = crate::reader::abc::write_music(tune);
    let body = text.lines().skip_while(|line| !line.starts_with("K:")).skip(1);
    body.collect::<Vec<_>>().join("\n")
}

fn shown(tune: &Tune) -> String {
    let bars = tune.bars.iter().map(|bar| {
        let events = bar.events.iter().map(|event| {
            let names: Vec<_> =
                event.notes().iter().map(|n| format!("{}{}", n.pitch, if n.tied_to_next { "~" } else { "" })).collect();
            let sound = match event.sounding {
                Sounding::Head { .. } => names.join("+"),
                Sounding::Rest { visible: true, .. } => "z".to_owned(),
                Sounding::Rest { .. } => "x".to_owned(),
            };
            format!("{}{sound}:{}", "g".repeat(event.graces.len()), event.duration)
        });
        events.collect::<Vec<_>>().join(" ")
    });
    bars.collect::<Vec<_>>().join(" | ")
}

#[test]
fn notes_rests_chords_and_gaps() {
    // note, backup, forward
    let (tune, said) = measures(&[
        &[
            note("C", 4, 2, ""),
            note("E", 4, 2, "").replace("<note>", "<note><chord/>"),
            "<note><rest/><duration>2</duration></note>".into(),
        ]
        .concat(),
        &["<forward><duration>2</duration></forward>".to_owned(), note("F", 5, 2, "")].concat(),
        "<note><rest measure=\"yes\"/><duration>4</duration></note>",
    ]);
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(shown(&tune), "C4+E4:1/4 z:1/4 | x:1/4 F5:1/4 | z:1/2");
    assert!(matches!(tune.bars[2].events[0].sounding, Sounding::Rest { whole_bar: true, .. }));
    assert_eq!(tune.key.tonic.map(|(t, m)| (t.to_string(), m)), Some(("G".into(), Mode::Major)));
    assert_eq!(tune.meter.to_string(), "2/4");
}

#[test]
fn one_voice_is_read_and_the_other_named() {
    let second = note("E", 4, 4, "<voice>2</voice>");
    let first = note("G", 4, 4, "<voice>1</voice>");
    let both = format!("{first}<backup><duration>4</duration></backup>{second}");
    let (tune, said) = measures(&[&both, &second]);
    assert_eq!(shown(&tune), "G4:1/2 | z:1/2");
    assert_eq!(said.len(), 1);
    assert!(said[0].starts_with("voice-not-read"), "{said:?}");
    let options = XmlOptions { voice: Some("2".into()), ..XmlOptions::default() };
    let (tunes, said) = read_bytes(score(std::slice::from_ref(&both)).as_bytes(), &options);
    assert_eq!((shown(&tunes[0]).as_str(), said), ("E4:1/2", Vec::new()));
    let options = XmlOptions { voice: Some("3".into()), ..XmlOptions::default() };
    let (tunes, said) = read_bytes(score(&[both]).as_bytes(), &options);
    assert!(tunes.is_empty() && said[0].starts_with("!no-such-voice"), "{said:?}");
}

#[test]
fn ties_slurs_and_graces() {
    let grace = "<note><grace slash=\"yes\"/><pitch><step>A</step><octave>4</octave></pitch><type>16th</type></note>";
    let (tune, said) = measures(&[
        &[note("G", 4, 4, "<tie type=\"start\"/>")].concat(),
        &[
            note("G", 4, 2, "<tie type=\"stop\"/><notations><slur type=\"start\" number=\"1\"/></notations>"),
            grace.to_owned(),
            note("B", 4, 2, "<tie type=\"start\"/><notations><slur type=\"stop\" number=\"1\"/></notations>"),
        ]
        .concat(),
        &note("C", 4, 4, ""),
    ]);
    assert_eq!(shown(&tune), "G4~:1/2 | G4:1/4 gB4:1/4 | C4:1/2");
    assert!(tune.bars[1].events[1].graces_slashed);
    assert_eq!(tune.slurs.iter().map(|s| (s.from.0, s.to.0)).collect::<Vec<_>>(), [(1, 3)]);
    assert_eq!(said, ["not-kept a tie that leads to no note of its pitch is not kept (measure 2)"]);
}

#[test]
fn tuplets_by_ratio_and_by_bracket() {
    // time-modification; a file with too few divisions rounds, to nothing here, which no schema allows; the drawn value decides
    let part = "<type>eighth</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>";
    let rounded =
        [note("C", 5, 1, part), note("D", 5, 1, part), note("E", 5, 0, part), note("F", 5, 2, "<type>quarter</type>")];
    let (tune, said) = one_tune(&score(&[rounded.concat()]));
    assert_eq!(shown(&tune), "C5:1/12 D5:1/12 E5:1/12 F5:1/4", "{said:?}");
    assert_eq!(tune.tuplets.len(), 1);
    let plain = part.replace("eighth", "16th");
    let six: String = ["C", "D", "E", "F", "G", "A"]
        .iter()
        .map(|s| note(s, 5, 1, &plain).replace("<duration>1<", "<duration>0.3333<"))
        .collect();
    let (tune, _) = measures(&[&(six + &note("C", 5, 2, ""))]);
    assert_eq!(tune.tuplets.len(), 2);
    assert_eq!(tune.bars[0].length.to_string(), "1/2");
}

#[test]
fn repeats_endings_and_jumps() {
    // barline, repeat, ending, sound
    let bar = |left: &str, right: &str| {
        format!(
            "<barline location=\"left\">{left}</barline>{}<barline location=\"right\">{right}</barline>",
            note("C", 5, 4, "")
        )
    };
    let (tune, said) = tune(&score(&[
        bar("<bar-style>heavy-light</bar-style><repeat direction=\"forward\"/>", "<bar-style>regular</bar-style>"),
        bar(
            "<ending number=\"1,2\" type=\"start\"/>",
            "<bar-style>light-heavy</bar-style><ending number=\"1,2\" type=\"stop\"/><repeat direction=\"backward\" times=\"3\"/>",
        ),
        bar("<ending number=\"3\" type=\"start\"/>", "<ending number=\"3\" type=\"discontinue\"/>"),
        format!(
            "{}<direction><direction-type><words>D.C. al Fine</words></direction-type><sound dacapo=\"yes\"/></direction>",
            bar("", "<bar-style>light-heavy</bar-style>")
        ),
    ]));
    assert!(said.is_empty(), "{said:?}");
    assert!(tune.bars[0].left.repeat_start);
    assert_eq!((tune.bars[1].right.repeat_end, tune.bars[1].right.style), (3, BarlineStyle::Final));
    let ending = tune.bars[1].ending.as_ref().expect("an ending");
    assert_eq!((ending.passes.as_slice(), ending.last_bar, ending.closed), ([1, 2].as_slice(), 1, true));
    let ending = tune.bars[2].ending.as_ref().expect("an ending");
    assert_eq!((ending.last_bar, ending.closed), (2, false));
    assert_eq!(tune.bars[3].jump, Some(Jump::DaCapoAlFine));
    assert_eq!(played(&tune).len(), 6 + 1 + 3);
}

#[test]
fn signs_words_and_tempo() {
    let direction = "<direction placement=\"below\"><direction-type><words>Lively</words></direction-type><direction-type><metronome><beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>c. 96</per-minute></metronome></direction-type></direction><direction placement=\"below\"><direction-type><words>softly</words></direction-type></direction><direction><direction-type><dynamics><p/></dynamics></direction-type></direction><direction><direction-type><segno/></direction-type></direction>";
    let marks = "<notations><articulations><staccato/><breath-mark/></articulations><technical><fingering>3</fingering><fret>2</fret></technical><fermata/></notations>";
    let (tune, said) = measures(&[&[direction.to_owned(), note("C", 5, 4, marks)].concat()]);
    let event = &tune.bars[0].events[0];
    assert_eq!(event.marks, [Mark::Dynamic(3), Mark::Staccato, Mark::Breath, Mark::Finger(3), Mark::Fermata]);
    assert_eq!((event.annotations[0].text.as_str(), event.annotations[0].placement), ("softly", Placement::Below));
    let tempo = tune.tempo.as_ref().expect("a tempo");
    assert_eq!(
        (tempo.before.as_deref(), tempo.bpm, tempo.beat[0].to_string().as_str()),
        (Some("Lively"), Some(96), "3/8")
    );
    assert_eq!(tune.bars[0].landmarks, [Landmark::Segno]);
    assert_eq!(losses(&said), ["the tempo “c. 96” becomes 96 (measure 1)", "“fret” is not kept (measure 1)"]);
}

#[test]
fn harmony_and_lyrics() {
    let chord = |root: &str, kind: &str, more: &str| {
        format!("<harmony><root><root-step>{root}</root-step></root><kind{more}>{kind}</kind></harmony>")
    };
    let lyric = |syllabic: &str, text: &str, more: &str| {
        format!("<lyric number=\"1\"><syllabic>{syllabic}</syllabic><text>{text}</text>{more}</lyric>")
    };
    let (tune, said) = measures(&[
        &[
            chord("G", "major", ""),
            note("G", 4, 2, &lyric("begin", "mel", "")),
            chord("D", "dominant", " text=\"7\""),
            note("A", 4, 2, ""),
        ]
        .concat(),
        &[
            chord("A", "minor", ""),
            note("A", 4, 2, &lyric("end", "ody", "<elision/><text>and</text>")),
            note("B", 4, 2, "<lyric number=\"2\"><text>two</text></lyric>"),
        ]
        .concat(),
    ]);
    assert!(said.is_empty(), "{said:?}");
    let events: Vec<_> = tune.bars.iter().flat_map(|b| &b.events).collect();
    let chords: Vec<_> = events.iter().flat_map(|e| &e.chord_symbols).map(|c| c.text.as_str()).collect();
    assert_eq!(chords, ["G", "D7", "Am"]);
    let first = events[0].lyrics[0].as_ref().expect("a syllable");
    assert_eq!((first.text.as_str(), first.joint), ("mel", Syllable::Hyphen));
    assert!(events[1].lyrics[0].as_ref().is_some_and(|l| l.held));
    assert_eq!(events[2].lyrics[0].as_ref().map(|l| l.text.as_str()), Some("ody and"));
    assert_eq!(events[3].lyrics[1].as_ref().map(|l| l.text.as_str()), Some("two"));
}

#[test]
fn transposing_parts_sound() {
    // transpose: what is added to the written pitch
    let text = score(&[note("C", 5, 4, "")])
        .replace("</clef>", "</clef><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose>");
    let (tune, _) = tune(&text);
    assert_eq!((shown(&tune).as_str(), tune.key.fifths), ("Bb4:1/2", -1));
}

#[test]
fn pick_up_and_timewise() {
    let text = "<score-timewise><movement-title> A  Tune </movement-title><identification><creator type=\"composer\">R. Quill</creator><rights>CC0</rights></identification><part-list><score-part id=\"a\"><part-name>Air</part-name></score-part><score-part id=\"b\"><part-name>Bass</part-name></score-part></part-list>";
    let part = |id: &str, head: &str, notes: &[&str]| {
        let notes: String = notes.iter().map(|s| note(s, 4, 2, "")).collect();
        format!("<part id=\"{id}\">{head}{notes}</part>")
    };
    let text = format!(
        "{text}<measure number=\"0\" implicit=\"yes\">{}{}</measure><measure number=\"1\">{}{}</measure></score-timewise>",
        part("a", HEAD, &["D"]),
        part("b", HEAD, &["C"]),
        part("a", "", &["E", "F"]),
        part("b", "", &["C"]),
    );
    let (tune, said) = tune(&text);
    assert_eq!(shown(&tune), "D4:1/4 | E4:1/4 F4:1/4");
    assert_eq!(tune.bars.iter().map(|b| b.label.to_string()).collect::<Vec<_>>(), ["0", "1"]);
    assert_eq!(
        (tune.title.as_str(), tune.credits.composer[0].as_str(), tune.credits.rights[0].as_str()),
        ("A Tune", "R. Quill", "CC0")
    );
    assert_eq!(said, ["parts-left-out only the part “Air” is read; left out: Bass"]);
}
