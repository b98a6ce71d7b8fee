//! Signs at notes: what is near, what is left out.

use super::super::{XmlOptions, read_each};
use super::{losses, measures, note, odd_measures, quarter, shown};
use crate::diag::{Sink, Sources};
use crate::tune::Mark;

fn notations(inner: &str) -> String {
    format!("<notations>{inner}</notations>")
}

/// What is left out where a first note has something on it, and its marks.
fn on_a_note(more: &str) -> (Vec<Mark>, Vec<String>) {
    let (tune, said) = measures(&[&(note("C", 5, 2, more) + &quarter())]);
    let losses = losses(&said).iter().map(|loss| loss.replace(" (measure 1)", "")).collect();
    (tune.bars[0].events[0].marks.to_vec(), losses)
}

#[test]
fn signs_that_are_near() {
    for (inner, mark, loss) in [
        ("<articulations><spiccato/></articulations>", Mark::Wedge, "\u{201c}spiccato\u{201d} becomes a wedge"),
        ("<ornaments><delayed-turn/></ornaments>", Mark::Turn, "\u{201c}delayed-turn\u{201d} becomes a turn"),
        ("<dynamics><fz/></dynamics>", Mark::Dynamic(10), "\u{201c}fz\u{201d} becomes \u{201c}sfz\u{201d}"),
        (
            "<fermata>angled</fermata>",
            Mark::Fermata,
            "a fermata of the shape \u{201c}angled\u{201d} becomes a plain one",
        ),
        ("<arpeggiate direction=\"down\"/>", Mark::Arpeggio, "the direction of an arpeggio is not kept"),
        (
            "<articulations><breath-mark>tick</breath-mark></articulations>",
            Mark::Breath,
            "a breath mark of the shape \u{201c}tick\u{201d} becomes a comma",
        ),
        (
            "<articulations><strong-accent type=\"down\"/></articulations>",
            Mark::Marcato,
            "a strong accent that points down becomes one that points up",
        ),
    ] {
        assert_eq!(on_a_note(&notations(inner)), (vec![mark], vec![loss.to_owned()]), "{inner}");
    }
}

#[test]
fn signs_that_are_left_out() {
    for (more, loss) in [
        (
            notations("<ornaments><trill-mark/><accidental-mark>flat</accidental-mark></ornaments>"),
            "an accidental beside a sign",
        ),
        (notations("<ornaments><trill-mark/><wavy-line type=\"start\"/></ornaments>"), "\u{201c}wavy-line\u{201d}"),
        (notations("<slide type=\"start\"/>"), "a slide that does not end"),
        (notations("<tied type=\"let-ring\"/>"), "a tie that lets a note ring"),
        (notations("<slur type=\"start\"/>"), "a slur that does not end"),
        (notations("<slur type=\"stop\"/>"), "a slur that does not begin"),
        ("<accidental>quarter-sharp</accidental>".into(), "the accidental \u{201c}quarter-sharp\u{201d}"),
        ("<accidental parentheses=\"yes\">sharp</accidental>".into(), "a pair of brackets around an accidental"),
        ("<notehead filled=\"no\">normal</notehead>".into(), "the filling of a notehead"),
        ("<notehead parentheses=\"yes\">normal</notehead>".into(), "a pair of brackets around a note"),
        ("<notehead>diamond</notehead>".into(), "the notehead \u{201c}diamond\u{201d}"),
        ("<notehead-text><display-text>A</display-text></notehead-text>".into(), "a text in a notehead"),
    ] {
        assert_eq!(on_a_note(&more).1, [format!("{loss} is not kept")], "{more}");
    }
}

#[test]
fn slurs_slides_and_ties_that_lead_nowhere_are_told_where_they_stand() {
    let start = note("C", 5, 2, &notations("<slur type=\"start\"/>"));
    let stop = note("D", 5, 2, &notations("<slur type=\"stop\"/>"));
    let (tune, said) = measures(&[&(quarter() + &start), &(start.clone() + &stop)]);
    assert_eq!(tune.slurs.len(), 1);
    assert_eq!(losses(&said), ["a slur that does not end is not kept (measure 1)"]);
    let slide = |kind: &str| notations(&format!("<slide type=\"{kind}\"/>"));
    let (tune, said) = measures(&[&(note("C", 5, 2, &slide("start")) + &note("D", 5, 2, &slide("stop")))]);
    assert!(said.is_empty(), "{said:?}");
    assert_eq!(tune.bars[0].events[1].marks, [Mark::Slide]);
    let tie = |kind: &str| format!("<tie type=\"{kind}\"/>");
    let (tune, said) =
        measures(&[&(quarter() + &quarter()), &(note("C", 5, 2, &tie("stop")) + &note("D", 5, 2, &tie("start")))]);
    assert_eq!(shown(&tune), "C5:1/4 C5:1/4 | C5:1/4 D5:1/4");
    assert_eq!(
        losses(&said),
        [
            "a tie that comes from no note of its pitch is not kept (measure 2)",
            "a tie that leads to no note of its pitch is not kept (measure 2)",
        ]
    );
}

/// Each kind of loss stands by itself at its own first measure.
#[test]
fn every_kind_of_loss_has_its_own_place() {
    let on = |name: &str| note("C", 5, 4, &notations(&format!("<technical><{name}/></technical>")));
    let list = [on("stopped"), on("open-string"), on("stopped"), on("double-tongue"), on("heel")];
    let mut sources = crate::diag::Sources::default();
    let file = sources.add("x.musicxml", "");
    let mut sink = crate::diag::Sink::default();
    let text = super::score(&list);
    super::read(text.as_bytes(), file, &super::XmlOptions::default(), &mut sink);
    let told: Vec<_> =
        sink.sorted().iter().map(|d| (d.place.map_or(0, |place| place.line), d.message.clone())).collect();
    let expected = [
        (4, "\u{201c}stopped\u{201d} is not kept (measure 1, 3)"),
        (5, "\u{201c}open-string\u{201d} is not kept (measure 2)"),
        (7, "\u{201c}double-tongue\u{201d} is not kept (measure 4)"),
        (8, "\u{201c}heel\u{201d} is not kept (measure 5)"),
    ];
    assert_eq!(told, expected.map(|(line, message)| (line, message.to_owned())));
}

#[test]
fn kinds_and_measures_beyond_all_bounds_are_counted() {
    let list: Vec<String> = (0..120)
        .map(|n| note("C", 5, 4, &format!("<notehead>x{n}</notehead>{}", notations("<fermata>odd</fermata>"))))
        .collect();
    let list: Vec<&str> = list.iter().map(String::as_str).collect();
    let (_, said) = odd_measures(&list);
    let said = losses(&said);
    assert_eq!(said.len(), 81);
    assert!(
        said.iter().any(|loss| loss.starts_with("what goes beyond 80 kinds") && loss.contains(" more")),
        "{said:?}"
    );
    assert!(said.iter().any(|loss| loss.ends_with("(measure 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 and 108 more)")));
}

/// What a score asks for at its notes, as pins, and what is said of it.
fn asked(notes: &[String], wishes: bool) -> (Vec<String>, Vec<String>) {
    let text = super::score(&[notes.concat()]);
    let mut sources = Sources::default();
    let file = sources.add("x.musicxml", "");
    let options = XmlOptions { wishes, ..XmlOptions::default() };
    let reading = read_each(text.as_bytes(), file, &options, &mut Sink::default()).remove(0);
    let pins = reading.wishes.iter().map(|wish| format!("{} {}", wish.note, wish.asked.pin().1)).collect();
    (pins, reading.complaints.items().iter().map(|complaint| complaint.message.clone()).collect())
}

/// Glyph names: SMuFL 1.4, accordion. Words and heads: this program's own, as the guide says.
#[test]
fn marks_of_the_box_become_wishes() {
    let technical = |attributes: &str, words: &str| {
        notations(&format!("<technical><other-technical{attributes}>{words}</other-technical></technical>"))
    };
    let head = |name: &str| format!("<notehead>{name}</notehead>");
    for (more, pin) in [
        (technical(" smufl=\"accdnPush\"", ""), "push"),
        (technical(" smufl=\"accdnPull\"", "v"), "pull"),
        (technical("", " Push "), "push"),
        (technical("", "draw"), "pull"),
        (technical("", "inner row"), "inner"),
        (technical("", "outer"), "outer"),
        (head("square"), "inner"),
        (head("triangle"), "half"),
    ] {
        let list = [quarter(), note("C", 5, 2, &more)];
        assert_eq!(asked(&list, true).0, [format!("1.2 {pin}")], "{more}");
        let (pins, said) = asked(&list, false);
        assert!(pins.is_empty() && said.len() == 1 && said[0].ends_with("is not kept (measure 1)"), "{said:?}");
    }
    let (pins, said) = asked(&[note("C", 5, 2, &technical("", "wobble")), note("D", 5, 2, &head("diamond"))], true);
    assert!(pins.is_empty());
    assert_eq!(said.len(), 2, "{said:?}");
    // A row holds for a whole chord or for none of it.
    let chord = |name: &str| note("E", 5, 2, &head(name)).replace("<note>", "<note><chord/>");
    assert_eq!(asked(&[note("C", 5, 2, &head("square")), chord("square"), quarter()], true).0, ["1.1 inner"]);
    let (pins, said) = asked(&[note("C", 5, 2, &head("square")), chord("normal"), quarter()], true);
    assert!(pins.is_empty());
    assert!(said.iter().any(|said| said == "a row of a part of a chord is not kept (measure 1)"), "{said:?}");
    let both = technical("", "push") + &technical("", "pull");
    assert_eq!(
        asked(&[note("C", 5, 2, &both), quarter()], true).1,
        ["a second direction of the bellows is not kept (measure 1)"]
    );
}

/// A note that is split where no one value draws it is asked for at its first part, counted as in the tune.
#[test]
fn wishes_count_notes_as_the_tune_does() {
    let push = notations("<technical><other-technical>push</other-technical></technical>");
    let long = note("C", 5, 1, "<tie type=\"start\"/>") + &note("C", 5, 1, "<tie type=\"stop\"/>");
    assert_eq!(asked(&[long, note("D", 5, 2, &push)], true).0, ["1.3 push"]);
    let odd = note("C", 5, 2, "").replace("<duration>2<", "<duration>2.5<");
    assert_eq!(asked(&[odd, note("D", 5, 1, &push).replace("<duration>1<", "<duration>1.5<")], true).0, ["1.3 push"]);
}

#[test]
fn tuplets_inside_tuplets_are_told() {
    let part = |kind: &str, number: u32, actual: u32, normal: u32| {
        let ratio = format!(
            "<type>eighth</type><time-modification><actual-notes>{actual}</actual-notes><normal-notes>{normal}</normal-notes></time-modification>"
        );
        let bracket = if kind.is_empty() {
            String::new()
        } else {
            notations(&format!("<tuplet type=\"{kind}\" number=\"{number}\"/>"))
        };
        ratio + &bracket
    };
    let three =
        |kind: &str, number| note("C", 5, 1, &part(kind, number, 3, 2)).replace("<duration>1<", "<duration>0.666667<");
    let nine = |kind: &str| note("D", 5, 1, &part(kind, 2, 9, 4)).replace("<duration>1<", "<duration>0.444444<");
    let inner = [nine("start"), nine(""), nine("stop")].concat();
    for measure in [
        three("start", 1) + &inner + &three("stop", 1),
        three("", 1) + &inner.replace("tuplet type", "other x") + &three("", 1),
    ] {
        let (_, said) = odd_measures(&[&measure]);
        assert!(
            said.iter().any(|said| said == "not-kept a tuplet inside another becomes one beside it (measure 1)"),
            "{said:?}"
        );
    }
    let plain = [three("start", 1), three("", 1), three("stop", 1)].concat();
    let (_, said) = measures(&[&(plain.clone() + &plain)]);
    assert!(said.is_empty(), "{said:?}");
}

/// One loudness, said twice before a note, is one; two of them are two.
#[test]
fn a_sign_said_twice_is_one() {
    let loud =
        |name: &str| format!("<direction><direction-type><dynamics><{name}/></dynamics></direction-type></direction>");
    for (said, marks) in [
        ([loud("f"), loud("f")], vec![Mark::Dynamic(6)]),
        ([loud("p"), loud("f")], vec![Mark::Dynamic(3), Mark::Dynamic(6)]),
    ] {
        let (tune, complaints) = measures(&[&(said.concat() + &quarter() + &note("C", 5, 2, ""))]);
        assert_eq!((tune.bars[0].events[0].marks.to_vec(), losses(&complaints)), (marks, vec![]));
    }
    let own = note("C", 5, 2, &notations("<dynamics><f/></dynamics>"));
    let (tune, _) = measures(&[&(loud("f") + &own + &quarter() + &loud("p") + &loud("p"))]);
    let marks: Vec<Vec<Mark>> = tune.bars[0].events.iter().map(|event| event.marks.to_vec()).collect();
    assert_eq!(marks, [vec![Mark::Dynamic(6)], vec![Mark::Dynamic(3)]]);
}
