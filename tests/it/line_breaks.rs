//! Where lines may end, written to `target/line-breaks.tsv` for `tests/outside/line_breaks.py`, which gives the samples of the
//! Unicode Consortium's test file and compares. Without samples, a few of the annex's own examples.

use boxwright::text::line_breaks;
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

/// Unicode Standard Annex 14, sections 5.3 and 6.1: text, and offsets at which a line may begin.
const EXAMPLES: [(&str, &[usize]); 5] = [
    ("the quick", &[4, 9]),
    ("re-do it", &[3, 6, 8]),
    ("$(12.35) each", &[9, 13]),
    ("no\u{a0}break", &[9]),
    ("a (b) c", &[2, 6, 7]),
];

#[test]
fn lines_end_where_the_annex_lets_them() {
    for (text, breaks) in EXAMPLES {
        assert_eq!(line_breaks(text), breaks, "{text}");
    }
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("target");
    let Ok(samples) = fs::read_to_string(folder.join("line-break-samples.txt")) else { return };
    let mut out = String::new();
    for sample in samples.lines() {
        let text: String =
            sample.split_whitespace().filter_map(|code| char::from_u32(u32::from_str_radix(code, 16).ok()?)).collect();
        let before = |offset: usize| text[..offset].chars().count().to_string();
        let places: Vec<String> = line_breaks(&text).into_iter().map(before).collect();
        writeln!(out, "{sample}\t{}", places.join(" ")).expect("writing to a string succeeds");
    }
    fs::write(folder.join("line-breaks.tsv"), out).expect("the build's folder is writable");
}
