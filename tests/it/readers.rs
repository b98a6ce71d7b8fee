//! The fuzzer's targets in brief, without the fuzzer: every kept seed of `tests/fuzz/seeds` (each crash and each slow input ever
//! found is kept there), then seeded blows upon them. Nothing may panic, and no input of a few kilobytes may take seconds.

use crate::invent::Dice;
use rayon::prelude::*;
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

#[path = "../fuzz/targets.rs"]
mod targets;

/// Blows for each target, spread over its seeds.
const BLOWS: usize = 3_000;
/// The fuzzer's own largest input.
const LARGEST: usize = 4_096;
/// An input that takes longer is a hang, however loaded the machine is and however little the tests are optimised.
const LONGEST: Duration = Duration::from_secs(5);

/// A reader that takes any bytes.
type Target = fn(&[u8]);

/// A whole book takes a hundred times as long as a file.
const BOUND_BLOWS: usize = 200;

const TARGETS: [(&str, Target); 12] = [
    ("abc", targets::abc),
    ("musicxml", targets::musicxml),
    ("book", targets::book),
    ("tune", targets::tune),
    ("bound", targets::bound),
    ("instrument", targets::instrument_file),
    ("settled", targets::settled),
    ("markdown", targets::markdown),
    ("font", targets::font),
    ("picture", targets::picture),
    ("drawing", targets::drawing),
    ("pdf", targets::pdf),
];

fn seeds(name: &str) -> Vec<Vec<u8>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/seeds").join(name);
    let mut paths: Vec<_> = fs::read_dir(folder).expect("each target has seeds").flatten().map(|e| e.path()).collect();
    paths.sort();
    paths.iter().map(|path| fs::read(path).expect("a seed can be read")).collect()
}

/// The words of a target's dictionary, in the fuzzer's notation: one quoted word a line, `\x` and two digits for odd bytes.
fn words(name: &str) -> Vec<Vec<u8>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/fuzz/words").join(format!("{name}.dict"));
    let text = fs::read_to_string(path).expect("each target has words");
    let word = |line: &str| {
        let mut parts = line.trim_matches('"').split("\\x");
        let mut out: Vec<u8> = parts.next().unwrap_or("").into();
        for part in parts {
            out.push(u8::from_str_radix(&part[..2], 16).expect("two digits follow"));
            out.extend(part[2..].bytes());
        }
        out
    };
    text.lines().map(word).collect()
}

/// One to eight changes: bytes lost, doubled, turned, words put in, parts of another seed put in.
fn struck(seeds: &[Vec<u8>], words: &[Vec<u8>], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = dice.pick(seeds).clone();
    for _ in 0..1 + dice.below(8) {
        let at = dice.below(bytes.len() + 1);
        let until = (at + 1 + dice.below(16)).min(bytes.len());
        match dice.below(7) {
            0 => drop(bytes.drain(at..until)),
            1 => {
                let piece = bytes[at..until].to_vec();
                let piece = piece.repeat(1 + dice.below(40));
                bytes.splice(at..at, piece);
            }
            2 if at < until => bytes[at] ^= 1 << dice.below(8),
            3 if at < until => bytes[at] = *dice.pick(&[0, 1, b'0', b'9', b' ', b'\n', 0x7f, 0x80, 0xc3, 0xff]),
            4 => {
                let other = dice.pick(seeds);
                let from = dice.below(other.len());
                let to = (from + 1 + dice.below(200)).min(other.len());
                bytes.splice(at..at, other[from..to].iter().copied());
            }
            5 => bytes.truncate(at.max(1)),
            _ => drop(bytes.splice(at..at, dice.pick(words).iter().copied())),
        }
        bytes.truncate(LARGEST);
    }
    bytes
}

/// Runs one input; tells how long it took if that was too long.
fn slow(target: Target, bytes: &[u8]) -> Option<String> {
    let start = Instant::now();
    target(bytes);
    let took = start.elapsed();
    (took > LONGEST).then(|| format!("{took:?}: {:?}", String::from_utf8_lossy(&bytes[..bytes.len().min(300)])))
}

#[test]
fn every_reader_takes_any_bytes() {
    for (name, target) in TARGETS {
        let (seeds, words) = (seeds(name), words(name));
        assert!(!seeds.is_empty() && !words.is_empty(), "{name}");
        let hangs: Vec<String> = seeds.par_iter().filter_map(|seed| slow(target, seed)).collect();
        assert!(hangs.is_empty(), "{name}: {hangs:?}");
        let blows = if name == "bound" { BOUND_BLOWS } else { BLOWS };
        let hangs: Vec<String> = (0..blows)
            .into_par_iter()
            .filter_map(|nth| slow(target, &struck(&seeds, &words, &mut Dice::new(0xb10b + nth as u64))))
            .collect();
        assert!(hangs.is_empty(), "{name}: {hangs:?}");
    }
}

/// The seeds do reach the readers: whole tunes, books and files are read from them, not refused at the door.
#[test]
fn seeds_are_read() {
    use boxwright::diag::{Sink, Sources};
    use boxwright::{page, pdf, reader};
    let mut sources = Sources::default();
    let tunes = |bytes: &Vec<u8>, sources: &mut Sources| {
        let file = sources.add("a.abc", reader::abc::decode(bytes));
        let excerpt = sources.excerpt(file);
        reader::abc::read(&excerpt, &reader::abc::AbcOptions::default(), &mut Sink::default()).len()
    };
    assert!(seeds("abc").iter().map(|seed| tunes(seed, &mut sources)).sum::<usize>() >= 9);
    let file = sources.add("a.musicxml", "");
    let read = |bytes: &Vec<u8>| {
        let options = reader::musicxml::XmlOptions::default();
        reader::musicxml::read(bytes, file, &options, &mut Sink::default()).len()
    };
    assert!(seeds("musicxml").iter().map(read).sum::<usize>() >= 5);
    let fit = |seed: &Vec<u8>| {
        let mut sink = Sink::default();
        let _ = boxwright::font::Fonts::embedded().with_own(&[("a.otf".to_owned(), seed.clone())], None, &mut sink);
        sink.items().is_empty()
    };
    assert!(seeds("font").iter().filter(|seed| fit(seed)).count() >= 2);
    assert!(seeds("picture").iter().filter(|seed| page::read_picture(seed, 1 << 20).is_ok()).count() >= 8);
    let drawn = |seed: &Vec<u8>| {
        let text = String::from_utf8_lossy(seed);
        boxwright::drawing::read("a.svg", &text, file, &mut Sink::default()).is_some()
    };
    assert!(seeds("drawing").iter().filter(|seed| drawn(seed)).count() >= 3);
    assert!(seeds("pdf").iter().filter(|seed| pdf::manifest(seed).is_ok()).count() >= 2);
    assert!(seeds("pdf").iter().filter(|seed| pdf::preflight(seed).unreadable.is_none()).count() >= 3);
}
