//! An invented book for the tests of this room: a box from the generating rule, tunes of stand-in systems, plain texts.
//!
//! The rule of a row (push: the tonic chord; pull: the other four notes) is told at
//! thesession.org, discussion 21675.

use super::material::{Material, TuneMaterial};
use crate::book::{
    Book, Chapter, Colour, CommentaryPlace, Imprint, Kind, Matter, Places, Playing, Press, Stock, TuneEntry,
};
use crate::diag::{FileId, Place, Sink, Sources};
use crate::engrave::{BarExtent, Sign, System};
use crate::fingering::{Place as HandPlace, Plan, PlannedNote, Request, Sound};
use crate::frame::{Frame, Group, Ink, Item, Subject};
use crate::geom::{Abs, Point, Rect, Size};
use crate::instrument::{
    Bellows, Button, ButtonId, Direction, Instrument, LeftButton, LeftHand, LeftKind, LeftSound, Row, RowAt, Thirds,
    Triad,
};
use crate::style::{Binding, BlankPages, EngravingStyle, Family, Margins, PageStyle, Signs, TextStyle, TunePages};
use crate::text::{Block, parse};
use crate::tune::{
    Bar, BarLabel, Duration, Event, KeySignature, Meter, Mode, Note, NoteId, NoteValue, Onset, Pitch, PitchClass,
    Sounding, Step, Tempo, Tune,
};
use std::collections::BTreeSet;

/// A row by the rule.
fn row(at: RowAt, name: &str, tonic: i32, count: i32, offset: f64) -> Row {
    let note = |n: i32, of: &[i32]| {
        let len = i32::try_from(of.len()).unwrap_or(1);
        Pitch::from_midi(tonic + 12 * n.div_euclid(len) + of[n.rem_euclid(len).unsigned_abs() as usize])
    };
    let buttons =
        (1..=count).map(|b| Button { push: note(b - 3, &[0, 4, 7]), pull: note(b - 3, &[2, 5, 9, 11]) }).collect();
    Row { at, name: name.to_owned(), start: 3, offset, buttons }
}

/// The D/G box of 21 buttons.
pub(super) fn instrument() -> Instrument {
    let sound = |letter: &str, triad| LeftSound { root: PitchClass::parse(letter).expect("a letter"), triad };
    let (major, minor) = (Triad::Major, Triad::Minor);
    let pairs = [
        (RowAt::Outer, 1, "D", major, "A", major),
        (RowAt::Outer, 3, "G", major, "D", major),
        (RowAt::Inner, 1, "B", major, "E", minor),
        (RowAt::Inner, 3, "C", major, "C", major),
    ];
    let buttons = pairs
        .into_iter()
        .flat_map(|(row, number, push, push_triad, pull, pull_triad)| {
            let (push, pull) = (sound(push, push_triad), sound(pull, pull_triad));
            [
                LeftButton { row, number, kind: LeftKind::Chord, push, pull },
                LeftButton { row, number: number + 1, kind: LeftKind::Bass, push, pull },
            ]
        })
        .collect();
    Instrument {
        id: "dg-21-third".into(),
        name: "D/G, 21 buttons, third-button start, low notes".into(),
        family: "dg".into(),
        rows: vec![row(RowAt::Outer, "D", 62, 11, 0.0), row(RowAt::Inner, "G", 67, 10, 0.5)],
        left: LeftHand { rows: vec![RowAt::Outer, RowAt::Inner], buttons, thirds: Thirds::In },
        bellows: Bellows { seconds: 9.0, source: "invented".into() },
        source: "worked out from the rule of a row.".into(),
    }
}

fn file() -> FileId {
    Sources::default().add("book.yaml", "")
}

/// A text in Markdown as blocks.
pub(super) fn blocks(markdown: &str) -> Vec<Block> {
    let mut sources = Sources::default();
    let file = sources.add("text.md", markdown);
    parse(&sources.excerpt(file), &mut Sink::default())
}

/// A tune of some bars of four quarters.
pub(super) fn tune(title: &str, bars: u32) -> Tune {
    let mut tune = Tune {
        title: title.to_owned(),
        key: KeySignature::regular(PitchClass::new(Step::G, 0), Mode::Major).expect("G major exists"),
        meter: Meter::simple(4, 4),
        unit: Duration::new(1, 4),
        tempo: Some(Tempo { before: None, beat: vec![Duration::new(1, 4)], bpm: Some(100), after: None }),
        ..Tune::blank()
    };
    for n in 0..bars {
        let events = (0..4)
            .map(|beat| {
                let note = Note::new(Pitch::new(Step::G, 0, 4));
                Event {
                    onset: Onset::new(beat, 4),
                    duration: Duration::new(1, 4),
                    value: NoteValue::plain(2),
                    ..Event::blank(Sounding::Head { id: NoteId(0), notes: vec![note].into() })
                }
            })
            .collect();
        tune.bars.push(Bar {
            label: BarLabel::new(n + 1),
            onset: Onset::new(i64::from(n), 1),
            length: Duration::new(1, 1),
            events,
            ..Bar::blank()
        });
    }
    tune.number_notes();
    tune
}

/// An entry of the book.
pub(super) fn entry(id: &str, title: &str, bars: u32) -> TuneEntry {
    TuneEntry {
        id: id.to_owned(),
        title: title.to_owned(),
        kind: Kind::Tune,
        composer: Some("R. Quill".into()),
        arranger: None,
        source: None,
        rights: Some("CC0".into()),
        level: Some(1),
        teaches: vec!["one row".into()],
        tune: tune(title, bars),
        transposed: 0,
        request: Request::default(),
        commentary: None,
        commentary_place: CommentaryPlace::After,
        teacher_notes: None,
        link: Some(format!("https://example.org/{id}")),
        practice: vec![60, 80, 100],
        file: file(),
        place: Place::new(file(), 1, 1),
        teaches_place: Place::new(file(), 1, 1),
        id_place: Place::new(file(), 1, 1),
    }
}

/// A look for a text size; staff and margins as a book has them.
pub(super) fn book(size: Size, text: Abs, tunes: Vec<TuneEntry>) -> Book {
    let text = TextStyle {
        family: if text > Abs::pt(15.0) { Family::Legible } else { Family::Serif },
        labels: if text > Abs::pt(15.0) { Family::Legible } else { Family::Sans },
        size: text,
        leading: text * 1.3,
        justified: text <= Abs::pt(15.0),
        hyphenate: text <= Abs::pt(15.0),
        language: "en-GB".into(),
        italics: text <= Abs::pt(15.0),
        smallest: if text > Abs::pt(15.0) { text } else { Abs::pt(8.0) },
    };
    let large = text.size > Abs::pt(15.0);
    let engraving = EngravingStyle {
        space: Abs::mm(if large { 3.0 } else { 1.875 }),
        spacing: 1.0,
        lines: 1.0,
        marks: 1.0,
        text: 1.0,
        smallest: text.smallest,
        most_bars: None,
        signs: Signs::default(),
        labels: text.labels,
        language: "en-GB".into(),
    };
    let mut chapters = Vec::new();
    for (n, pair) in tunes.chunks(2).enumerate() {
        let title = format!("Week {}: one row at a time", n + 1);
        chapters.push(Chapter {
            title,
            text: None,
            tunes: pair.to_vec(),
            index: Vec::new(),
            place: Place::new(file(), 1, 1),
        });
    }
    Book {
        id: "sample-2026".into(),
        title: "Lantern Nights".into(),
        subtitle: Some("A first term on the two-row box".into()),
        author: Some("R. Quill".into()),
        date: "2026-09-01".into(),
        impression: 1,
        language: "en-GB".into(),
        edition: None,
        presets: Vec::new(),
        editions: Vec::new(),
        instrument: instrument(),
        imprint: Imprint {
            publisher: Some("Lantern Room Press".into()),
            isbn: Some("978-3-16-148410-0".into()),
            notice: None,
        },
        page: PageStyle {
            size,
            binding: Binding::Comb,
            margins: Margins {
                inner: size.width * 0.1,
                outer: size.width * 0.085,
                top: size.height * 0.075,
                bottom: size.height * 0.085,
            },
            tunes: TunePages::NewPage,
            blanks: BlankPages::White,
        },
        text,
        engraving,
        playing: Playing::default(),
        extras: Vec::new(),
        ids: Vec::new(),
        front: vec![
            Matter::HalfTitle,
            Matter::Title,
            Matter::Imprint,
            Matter::Contents,
            Matter::MyBox,
            Matter::Key,
            Matter::Holding,
            Matter::HowTo,
            Matter::Measure,
        ],
        chapters,
        back: vec![
            Matter::ChordChart,
            Matter::Scales,
            Matter::TempoLadder,
            Matter::PracticeLog,
            Matter::Staves,
            Matter::Glossary,
            Matter::Index,
            Matter::Sources,
            Matter::Corrections,
            Matter::BackCover,
        ],
        places: Places::default(),
        press: Press {
            milling: Abs::ZERO,
            bleed: Abs::mm(3.0),
            crop_marks: false,
            registration_marks: false,
            condition: None,
            is_registered: false,
            profile: None,
            cover: None,
            stock: Stock { grams: 100.0, bulk: 1.2 },
            spot: Colour::None,
        },
        fonts: None,
        pictures: Vec::new(),
    }
}

/// A plan whose first note has a place.
pub(super) fn plan() -> Plan {
    let place = HandPlace(ButtonId { row: RowAt::Inner, number: 3 });
    let press =
        crate::fingering::Press { pitch: Pitch::new(Step::G, 0, 4), button: place.0, finger: 1, sound: Sound::Press };
    let note = PlannedNote {
        id: NoteId(0),
        direction: Direction::Push,
        place,
        place_moves: true,
        presses: vec![press].into(),
        pinned: false,
    };
    Plan { notes: vec![Some(note)], ..Plan::default() }
}

/// A stand-in for a system of some bars: five lines, and lanes as bare boxes.
pub(super) fn system(book: &Book, id: &str, bars: std::ops::Range<usize>) -> System {
    let space = book.engraving.space;
    let width = book.page.type_area().width;
    let height = space * 15.0;
    let mut frame = Frame::new(Size::new(width, height));
    let mut extents = Vec::new();
    let count = bars.len().max(1);
    for (n, bar) in bars.enumerate() {
        let (left, right) = (width * (n as f64 / count as f64), width * ((n + 1) as f64 / count as f64));
        let mut ink = Frame::new(Size::new(right - left, height));
        for line in 0..5 {
            let y = space * (5.0 + f64::from(line));
            ink.line(Point::new(Abs::ZERO, y), Point::new(right - left, y), Abs::pt(0.7), Ink::Black);
        }
        ink.fill_rect(
            Rect::new(Point::new(Abs::ZERO, Abs::ZERO), Point::new((right - left) * 0.4, space * 0.5)),
            Ink::Black,
        );
        ink.fill_rect(Rect::new(Point::new(Abs::ZERO, height - space), Point::new(space, height)), Ink::Black);
        let group = Group {
            frame: ink.into(),
            tag: None,
            subject: Some(Subject(format!("tune:{id} bar:{}", bar + 1).into())),
            link: None,
        };
        frame.push(Point::new(left, Abs::ZERO), Item::Group(group.into()));
        extents.push(BarExtent { bar, left, right });
    }
    let signs = [
        Sign::RowHead(RowAt::Inner),
        Sign::RowHead(RowAt::Outer),
        Sign::Pull,
        Sign::Push,
        Sign::Finger,
        Sign::Reversal,
        Sign::Replay,
        Sign::Bass,
        Sign::Chord,
        Sign::Repeat,
        Sign::Place,
        Sign::Accidental,
    ];
    System {
        frame: frame.shared(),
        staff_top: space * 5.0,
        staff_bottom: space * 9.0,
        bars: extents,
        notes: Vec::new(),
        fingers: Vec::new(),
        after: 0,
        until: None,
        signs: BTreeSet::from(signs),
        to_letters: None,
        nests: Abs::ZERO,
    }
}

/// Commentary that speaks of bars.
pub(super) const COMMENTARY: &str = "The tune stays on four buttons of the inner row, and no finger leaves its own.\n\n\
    ## Bars 1-2\n\nIndex finger on button 3, push. Keep the finger down and pull: that is a reversal, and it needs no new \
    press at all, only a turn of the bellows.\n\n## Bar 3\n\nFour notes on one pull. Start the bar with the bellows well \
    closed, so that there is room to open them.\n";

/// Everything for a book of tunes with these numbers of systems.
pub(super) fn material<'a>(book: &'a Book, plan: &'a Plan, systems: &[usize]) -> Material<'a> {
    let tunes = book
        .tunes()
        .zip(systems)
        .map(|(entry, count)| {
            let systems: Vec<System> = (0..*count).map(|n| system(book, &entry.id, n * 4..n * 4 + 4)).collect();
            TuneMaterial {
                entry,
                plan,
                alt: systems.iter().map(|_| "four bars".into()).collect(),
                systems,
                commentary: blocks(COMMENTARY),
                teacher_notes: Vec::new(),
                facts: (1..=count * 4)
                    .map(|bar| (bar.to_string(), ["note 1: inner 3, push, finger 1"].into_iter().collect()))
                    .collect(),
            }
        })
        .collect();
    let text = "Sit on a firm chair without arms, both feet on the floor. Let the box rest on your thighs, with the bellows \
        clear of your knees, and let the straps hold it. Your right hand is then free to play and your left hand is free to \
        move the bellows.\n\nFour buttons of the inner row give you a whole scale of G. Put your index finger on button 3, \
        counting from the chin, and let the next three fingers fall on buttons 4, 5 and 6.\n\n## Reading\n\n- the outer row \
        is :outer:\n- the inner row is :inner:\n\nPlay the first tune with the right hand alone.\n";
    Material {
        book,
        notice: blocks("You may copy these pages for your own class."),
        cover: Vec::new(),
        chapters: book.chapters.iter().map(|_| blocks(text)).collect(),
        tunes,
        examples: Vec::new(),
    }
}
