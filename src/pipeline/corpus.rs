//! The exact ink of more than a thousand old tunes: read, planned on a box that has most of their notes, engraved at three
//! sizes of staff under all looks of the signs, and searched for ink that touches other ink or leaves the line.
//!
//! The tunes are those of a general computer-musicology toolkit's corpus, encoded by volunteers; they are read from a folder
//! (`BOXWRIGHT_CORPUS`) and never copied. `tests/outside/run` runs it, as `cargo test --lib pipeline::corpus -- --ignored
//! --nocapture`. It prints its figures and fails on any fault.

use crate::book::builtin_box;
use crate::diag::{Sink, Sources};
use crate::engrave::testing::{by_kind, faults};
use crate::engrave::{Count, Score};
use crate::fingering::{self, Request};
use crate::font::Fonts;
use crate::geom::Abs;
use crate::instrument::{Instrument, builtin};
use crate::lesson;
use crate::reader::abc::{AbcOptions, read};
use crate::style::{
    ButtonLook, DirectionLook, EngravingStyle, Family, FingerLook, FingerOne, LeftLook, Signs, SoundingLook,
};
use crate::tune::Tune;
use rayon::prelude::*;
use std::fs;
use std::path::{Path, PathBuf};

/// How many tunes are looked at, evenly over all.
const TUNES: usize = 1200;
/// The collections that may be used without asking.
const COLLECTIONS: [&str; 4] = ["oneills1850", "ryansMammoth", "airdsAirs", "miscFolk"];
/// Staffs in millimetres with the factors of their look: a pocket book, a book, large print.
const STAFFS: [(f64, f64); 3] = [(5.5, 1.0), (7.5, 1.0), (11.0, 1.25)];
/// The music's width on the page in millimetres.
const WIDTH: f64 = 170.0;
/// Looks of the signs; each tune meets all of them, four at each size.
const LOOKS: usize = 12;

/// The looks: a covering set, in which every two values of two settings meet (direction, buttons, left hand, fingers, the
/// other signs).
fn signs(index: usize) -> Signs {
    let direction = [DirectionLook::Band, DirectionLook::Arrows, DirectionLook::Words, DirectionLook::None][index % 4];
    let left = [LeftLook::TwoLines, LeftLook::OneLine, LeftLook::None][index / 4 % 3];
    // Bits that run through all pairs against the direction and the left hand.
    let odd =
        |row: usize| [0b0101_0011_1010, 0b0110_1001_0101, 0b1100_0101_0110, 0b1010_1001_1100][row] >> index & 1 == 1;
    let characters = SoundingLook::Characters { reversal: "=".into(), replay: "\u{d7}".into() };
    Signs {
        sounding: if odd(0) { characters } else { SoundingLook::HoldBar },
        direction,
        buttons: if odd(1) { ButtonLook::Below } else { ButtonLook::None },
        fingers: if odd(2) { FingerLook::None } else { FingerLook::Above },
        finger_one: if odd(3) { FingerOne::Thumb } else { FingerOne::Index },
        left,
        counting: odd(3) != odd(1),
        chord_symbols: true,
        ..Signs::default()
    }
}

fn style(staff: f64, factor: f64, signs: Signs) -> EngravingStyle {
    EngravingStyle {
        space: Abs::mm(staff / 4.0),
        spacing: 1.0,
        lines: factor,
        marks: factor,
        text: 1.0,
        smallest: Abs::pt(7.0),
        most_bars: None,
        signs,
        labels: Family::Sans,
        language: "en-GB".into(),
    }
}

/// All files of a folder with the ending `.abc`, by name.
fn files(folder: &Path, all: &mut Vec<PathBuf>) {
    let mut here: Vec<PathBuf> = fs::read_dir(folder)
        .expect("the corpus can be read")
        .map(|entry| entry.expect("it has entries").path())
        .collect();
    here.sort();
    for path in here {
        if path.is_dir() {
            files(&path, all);
        } else if path.extension().is_some_and(|ending| ending == "abc") {
            all.push(path);
        }
    }
}

/// The tunes that are looked at, each with its name.
fn tunes(corpus: &Path) -> Vec<(String, Tune)> {
    let mut paths = Vec::new();
    for collection in COLLECTIONS {
        files(&corpus.join(collection), &mut paths);
    }
    let mut all = Vec::new();
    for path in paths {
        let bytes = fs::read(&path).expect("a file of the corpus can be read");
        let text =
            String::from_utf8(bytes).unwrap_or_else(|bad| bad.as_bytes().iter().copied().map(char::from).collect());
        let mut sources = Sources::default();
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        let file = sources.add(name.clone(), text);
        let options = AbcOptions { strict_bars: false, ..AbcOptions::default() };
        let read = read(&sources.excerpt(file), &options, &mut Sink::default());
        all.extend(read.into_iter().map(|tune| (format!("{name} {}", tune.title), tune)));
    }
    assert!(all.len() > TUNES, "the corpus has {} tunes", all.len());
    let count = all.len();
    let chosen = |n: usize| n * TUNES / count != (n + 1) * TUNES / count;
    all.into_iter().enumerate().filter(|(n, _)| chosen(*n)).map(|(_, tune)| tune).collect()
}

/// The built-in box that has most of a tune's notes.
fn box_for<'b>(tune: &Tune, boxes: &'b [Instrument]) -> &'b Instrument {
    let notes = || tune.bars.iter().flat_map(|bar| &bar.events).flat_map(|event| event.notes());
    let missing =
        |instrument: &Instrument| notes().filter(|note| instrument.ways(note.pitch.midi()).is_empty()).count();
    boxes.iter().min_by_key(|instrument| missing(instrument)).expect("there are boxes")
}

/// What became of one tune.
struct Proof {
    engraved: usize,
    /// Lines that had to be set inside a bar: the bar has more notes than a line of that size.
    wide: usize,
    faults: Vec<(String, String)>,
}

fn prove(nth: usize, name: &str, tune: &Tune, boxes: &[Instrument], fonts: &Fonts) -> Proof {
    let instrument = box_for(tune, boxes);
    // Notes that no box has are the plan's to report; they are engraved all the same.
    let plan = fingering::plan(tune, instrument, &Request::default(), &mut Sink::default());
    let counts: Vec<Count> = lesson::counts(tune, "en-GB")
        .into_iter()
        .map(|count| Count { bar: count.bar, onset: count.onset, syllable: count.syllable })
        .collect();
    let mut proof = Proof { engraved: 0, wide: 0, faults: Vec::new() };
    for (size, (staff, factor)) in STAFFS.into_iter().enumerate() {
        for look in (0..LOOKS / STAFFS.len()).map(|n| n * STAFFS.len() + (size + nth) % STAFFS.len()) {
            let style = style(staff, factor, signs(look));
            let counts = if style.signs.counting { &counts[..] } else { &[] };
            let score = Score { id: "proof", tune, plan: Some(&plan), instrument: Some(instrument), counts };
            let mut sink = Sink::default();
            let found = faults(&score, &style, fonts, Abs::mm(WIDTH), false, &mut sink);
            proof.engraved += 1;
            proof.wide += sink.items().iter().filter(|item| item.code == code!("bar-wider-than-line")).count();
            let complaints = sink.items().iter().filter(|item| item.code != code!("bar-wider-than-line"));
            let complaints = complaints.map(|item| (format!("complaint {}", item.code), item.message.clone()));
            let place = |text: String| format!("{name}, staff {staff} mm, look {look}: {text}");
            proof.faults.extend(found.into_iter().chain(complaints).map(|(kind, text)| (kind, place(text))));
        }
    }
    proof
}

#[test]
#[ignore = "reads the corpus, whose folder BOXWRIGHT_CORPUS names; run by tests/outside/run"]
#[expect(clippy::print_stdout, reason = "an outside check prints its figures")]
fn old_tunes_touch_nothing() {
    let corpus = PathBuf::from(std::env::var("BOXWRIGHT_CORPUS").expect("BOXWRIGHT_CORPUS names the corpus"));
    let tunes = tunes(&corpus);
    let boxes: Vec<Instrument> =
        builtin().iter().map(|(id, _)| builtin_box(id).expect("a built-in box is sound")).collect();
    let fonts = Fonts::embedded();
    let proofs: Vec<Proof> =
        tunes.par_iter().enumerate().map(|(n, (name, tune))| prove(n, name, tune, &boxes, &fonts)).collect();
    let engraved: usize = proofs.iter().map(|proof| proof.engraved).sum();
    let wide: usize = proofs.iter().map(|proof| proof.wide).sum();
    let kinds = by_kind(proofs.into_iter().flat_map(|proof| proof.faults));
    println!("{} tunes, {engraved} engravings at {} sizes under {LOOKS} looks", tunes.len(), STAFFS.len());
    println!("{wide} bars wider than their line, each with its warning");
    for (count, kind, example) in &kinds {
        println!("{count:6} {kind}: {example}");
    }
    assert!(kinds.is_empty(), "{} kinds of faults", kinds.len());
    // The check can fail: a finger put on a head is found in a tune of the corpus.
    let (_, tune) = &tunes[0];
    let score = Score { id: "planted", tune, plan: None, instrument: None, counts: &[] };
    let style = style(7.5, 1.0, Signs::default());
    let planted = faults(&score, &style, &fonts, Abs::mm(WIDTH), true, &mut Sink::default());
    assert!(planted.iter().any(|(kind, _)| kind.contains("Finger")), "{planted:?}");
}
