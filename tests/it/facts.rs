//! Facts of single notes and bars against the plans: every note of the demo books in three languages, every bar on every pass.
//!
//! What a fact ought to say is worked out here from the plan; only the words themselves are shared knowledge.

use crate::program::tune_books;
use boxwright::book::{self, Book};
use boxwright::diag::{Place, Sink, Sources};
use boxwright::fingering::{Air, Plan, PlannedNote, Sound};
use boxwright::instrument::RowAt;
use boxwright::lesson::Lesson;
use boxwright::pipeline;
use boxwright::tune::{NoteId, Tune};
use std::fs;

/// What a language says of a note.
struct Words {
    tag: &'static str,
    rows: [&'static str; 2],
    ways: [&'static str; 2],
    turns: [&'static str; 2],
    fingers: [&'static str; 4],
    kept: &'static str,
    afresh: &'static str,
    opens: &'static str,
    closes: &'static str,
    little: [&'static str; 2],
    stay: &'static str,
    air: [&'static str; 2],
}

const ENGLISH: Words = Words {
    tag: "en-GB",
    rows: ["outer row", "inner row"],
    ways: ["on the push", "on the pull"],
    turns: ["turn to the push", "turn to the pull"],
    fingers: ["index", "middle", "ring", "little"],
    kept: "kept down",
    afresh: "pressed again",
    opens: "the bellows open:",
    closes: "the bellows close:",
    little: ["open a little", "close a little"],
    stay: "end as they began",
    air: ["Let air in after", "Let air out after"],
};

const FRENCH: Words = Words {
    tag: "fr",
    rows: ["rang extérieur", "rang intérieur"],
    ways: ["en poussé", "en tiré"],
    turns: ["en poussé", "en tiré"],
    fingers: ["index", "majeur", "annulaire", "auriculaire"],
    kept: "gardée enfoncée",
    afresh: "rejouée",
    opens: "s’ouvre,",
    closes: "se ferme,",
    little: ["s’ouvre un peu", "se ferme un peu"],
    stay: "finit comme il a commencé",
    air: ["Prenez de l’air après", "Lâchez de l’air après"],
};

/// A demo book's edition with its plans.
fn each_edition(mut look: impl FnMut(&Book, &Tune, &Plan)) {
    for (name, edition) in tune_books() {
        let path = format!("{}/books/{name}/book.yaml", env!("CARGO_MANIFEST_DIR"));
        let (mut sources, mut sink) = (Sources::default(), Sink::default());
        let mut files = |path: &str| fs::read(path).map_err(|error| error.to_string());
        let book =
            book::read(&path, edition.as_deref(), &mut files, &mut sources, &mut sink).expect("the demo book reads");
        let planned = pipeline::plan(&book, &mut sink);
        for (entry, plan) in book.tunes().zip(&planned.plans) {
            look(&book, &entry.tune, plan);
        }
    }
}

fn said(lesson: &Lesson<'_>, fact: &str) -> String {
    let place = Place::new(Sources::default().add("words", ""), 1, 1);
    let mut sink = Sink::default();
    let said = lesson.fact(fact, place, &mut sink).unwrap_or_else(|| panic!("{fact}: {:?}", sink.items()));
    said.replace(['\u{a0}', '\u{202f}'], " ")
}

#[test]
fn every_note_is_told_as_it_is_planned() {
    let american = Words { tag: "en-US", ..ENGLISH };
    let (mut notes, mut kept, mut afresh) = (0, 0, 0);
    each_edition(|book, tune, plan| {
        for words in [&ENGLISH, &american, &FRENCH] {
            let lesson = Lesson::new(tune, plan, &book.instrument, words.tag, 1);
            for note in plan.notes.iter().flatten() {
                let address = tune.address(note.id).to_string();
                let context = format!("{} {address} {}", tune.title, words.tag);
                let tell = |fact: &str| said(&lesson, &format!("{fact} {address}"));
                check_note(note, words, &tell, &context);
                notes += 1;
                kept += usize::from(note.presses[0].sound == Sound::Reversal);
                afresh += usize::from(note.presses[0].sound == Sound::Replay);
            }
        }
    });
    assert!(notes > 10_000 && kept > 150 && afresh > 300, "{notes} notes, {kept} kept, {afresh} afresh");
}

fn check_note(note: &PlannedNote, words: &Words, tell: &dyn Fn(&str) -> String, context: &str) {
    let (how, button, finger, row, place) = (tell("how"), tell("button"), tell("finger"), tell("row"), tell("place"));
    let way = note.direction as usize;
    let tied = note.presses[0].sound == Sound::Tie;
    let named = |text: &str, number: u8| text.split(|c: char| !c.is_ascii_digit()).any(|n| n == number.to_string());
    for press in &note.presses {
        let own = words.rows[usize::from(press.button.row == RowAt::Inner)];
        for text in [&how, &button] {
            assert!(named(text, press.button.number) && text.contains(own), "{context}: {text}");
        }
        assert!(row.contains(own), "{context}: {row}");
        let its = words.fingers[usize::from(press.finger) - 1];
        assert!(finger.contains(its) && named(&finger, press.finger), "{context}: {finger}");
        assert!(tied || how.contains(its), "{context}: {how}");
    }
    assert!(how.contains(words.ways[way]) || how.contains(words.turns[way]), "{context}: {how}");
    assert!(!how.contains(words.ways[1 - way]) && !how.contains(words.turns[1 - way]), "{context}: {how}");
    let (reversal, replay) = (how.contains(words.kept), how.contains(words.afresh));
    let sound = note.presses[0].sound;
    assert_eq!((reversal, replay), (sound == Sound::Reversal, sound == Sound::Replay), "{context}: {how}");
    let lies = words.rows[usize::from(note.place.0.row == RowAt::Inner)];
    assert!(named(&place, note.place.0.number) && place.contains(lies), "{context}: {place}");
}

#[test]
fn every_bar_on_every_pass_tells_which_way_the_bellows_go_and_where_air_is_taken() {
    let (mut bars, mut aired, mut opened) = (0, 0, 0);
    each_edition(|book, tune, plan| {
        let points: Vec<_> = plan.bellows.curve.points(tune).collect();
        for words in [&ENGLISH, &FRENCH] {
            let lesson = Lesson::new(tune, plan, &book.instrument, words.tag, 1);
            for (bar, written) in tune.bars.iter().enumerate() {
                let passes = points.iter().filter(|point| point.bar == bar).map(|point| point.pass).max().unwrap_or(0);
                for pass in 1..=passes {
                    let text = said(&lesson, &format!("bellows {} pass {pass}", written.label));
                    let all: Vec<_> = points.iter().filter(|point| point.bar == bar && point.pass == pass).collect();
                    let (Some(first), Some(last)) = (all.first(), all.last()) else { continue };
                    let more = last.to - first.from;
                    let context = format!("{} bar {} pass {pass}: {more} {text}", tune.title, written.label);
                    // Small changes may come out in the same words at both ends.
                    assert!(!text.contains(words.opens) || more > 0.0, "{context}");
                    assert!(!text.contains(words.closes) || more < 0.0, "{context}");
                    for (little, way) in words.little.iter().zip([1.0, -1.0]) {
                        assert!(!text.contains(little) || (more * way > 0.0 && more.abs() < 0.2), "{context}");
                    }
                    // Who plays one way throughout does not end where he began.
                    let both =
                        all.iter().any(|point| point.to > point.from) == all.iter().any(|point| point.to < point.from);
                    assert!(!text.contains(words.stay) || (more.abs() < 0.021 && both), "{context}");
                    assert!(more.abs() < 0.2 || text.contains(words.opens) || text.contains(words.closes), "{context}");
                    for (way, air) in [(Air::Open, words.air[0]), (Air::Close, words.air[1])] {
                        let inside = |id: NoteId| tune.address(id).bar == written.label;
                        let taken = plan.bellows.air.iter().any(|point| point.air == way && inside(point.after));
                        assert_eq!(text.contains(air), taken, "{context}");
                        aired += usize::from(taken);
                    }
                    opened += usize::from(text.contains(words.opens));
                    bars += 1;
                }
            }
        }
    });
    assert!(bars > 2000 && aired > 50 && opened > 500, "{bars} bars, {aired} with air, {opened} opening");
}

/// Air that the author pins moves the bellows on every pass, and no reversal or replay is told where they do not turn.
#[test]
fn what_the_air_button_does_is_seen_on_the_curve() {
    let mut pinned = 0;
    each_edition(|_, tune, plan| {
        let points: Vec<_> = plan.bellows.curve.points(tune).collect();
        for point in plan.bellows.air.iter().filter(|point| point.pinned) {
            let address = tune.address(point.after);
            let bar = tune.bar_index(address.bar).expect("its bar");
            let onset = tune.bars[bar].events.iter().find(|event| event.head() == Some(point.after)).map(|e| e.onset);
            // After the last note of all, nothing is played that would show it.
            let pairs = points.windows(2).filter(|pair| pair[0].bar == bar && Some(pair[0].onset) == onset);
            for pair in pairs {
                let moved = pair[1].from - pair[0].to;
                let right = if point.air == Air::Open { moved > 0.0 } else { moved < 0.0 };
                assert!(right, "{}: air after {address} moves the bellows by {moved}", tune.title);
                pinned += 1;
            }
        }
        for pair in plan.notes.windows(2) {
            let [Some(a), Some(b)] = pair else { continue };
            let turned = a.direction != b.direction;
            let said_turned = b.presses.iter().any(|press| matches!(press.sound, Sound::Reversal | Sound::Replay));
            let first = tune.address(b.id).note == 1;
            assert!(!said_turned || turned || first, "{}: {} is no turn", tune.title, tune.address(b.id));
        }
    });
    assert!(pinned > 30, "{pinned}");
}
