//! Widths of set words and divisions of words, written to `target/text-widths.tsv` and `target/text-divisions.tsv` for
//! `tests/outside/text_width.py`, which works the same out with other libraries.

use boxwright::diag::Sink;
use boxwright::font::{Features, Fonts, Weight};
use boxwright::geom::Abs;
use boxwright::style::{Family, TextStyle};
use boxwright::text::{Inline, ParagraphLook, Typesetter, word_divisions};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

/// Words with kerning, ligatures, figures, accents and signs.
const WORDS: &str = "AVA To Te. office fjord affluent final fi fl ff ffi difficult WAVE Tyre Yo-yo \u{201c}Tell\u{201d} P. \
r. v, y. 1785 2026 1/2 \u{c9}tude na\u{ef}ve No. 4711 L\u{2019}air f\u{2019} (f) \u{2014} 3/4 LTD. minim waltz \
accompaniment bellows reversal";

#[test]
fn set_words_are_as_wide_as_their_glyphs() {
    let fonts = Fonts::embedded();
    let mut out = String::from("font\told-style\ttabular\ttext\twidth in ems\n");
    let mut sink = Sink::default();
    for family in [Family::Serif, Family::Sans, Family::Legible] {
        let style = TextStyle {
            family,
            labels: Family::Sans,
            size: Abs::pt(10.0),
            leading: Abs::pt(13.0),
            justified: false,
            hyphenate: false,
            language: "en-GB".into(),
            italics: true,
            smallest: Abs::pt(7.0),
        };
        let mut typesetter = Typesetter::new(&fonts, &style);
        for (weight, italic) in [(Weight::Regular, false), (Weight::Regular, true), (Weight::Bold, false)] {
            for (old_style, tabular) in [(false, false), (true, false), (false, true)] {
                let look = ParagraphLook { weight, italic, old_style, tabular, ..ParagraphLook::body(&style) };
                for word in WORDS.split_whitespace() {
                    let lines = typesetter.set(&[Inline::text(word)], &look, Abs::pt(500.0), &mut sink);
                    // What hangs out at the left belongs to the word, so its run is measured.
                    let run = lines[0].frame.items().iter().find_map(|(_, item)| match item {
                        boxwright::frame::Item::Text(run) => Some(run),
                        _ => None,
                    });
                    let run = run.expect("a word is set as a run");
                    let face = fonts.face(run.face);
                    let features = Features { old_style, tabular, small_capitals: false };
                    let shaped = fonts.width(run.face, word, features).raw();
                    let width = run.width().to_pt() / 10.0;
                    // Places within a run are kept to 32 bits.
                    assert!((width - shaped).abs() < 1e-5, "{word} in {}: {width} {shaped}", face.name);
                    writeln!(out, "{}\t{old_style}\t{tabular}\t{word}\t{width:.6}", face.name)
                        .expect("writing to a string succeeds");
                }
            }
        }
    }
    assert!(sink.items().is_empty(), "{:?}", sink.items());
    write("text-widths.tsv", &out);
}

/// Words of the trade and of a lesson, to be divided.
const DIVIDED: [(&str, &str); 3] = [
    (
        "en-GB",
        "accompaniment arpeggio articulation crescendo diminuendo fortissimo pianissimo rallentando syncopation metronome \
         clarinet semiquaver demisemiquaver direction instrument pressing musician exercise beginning together repeated \
         following another comfortable practice ornament signature measuring accordion melodeon harmony melody position",
    ),
    (
        "en-US",
        "accompaniment arpeggio articulation crescendo diminuendo fortissimo pianissimo rallentando syncopation metronome \
         clarinet semiquaver direction instrument pressing musician exercise beginning together repeated following another \
         comfortable practice ornament signature measuring accordion melodeon harmony melody position",
    ),
    (
        "fr",
        "accompagnement articulation mouvement ensemble instrument direction musicien exercice commencer répéter suivante \
         confortable ornement signature mesure accordéon mélodie harmonie position soufflet extérieur intérieur annulaire",
    ),
];

#[test]
fn words_are_divided_where_their_patterns_say() {
    let mut out = String::from("language\tword\n");
    for (language, words) in DIVIDED {
        for word in words.split_whitespace() {
            let mut last = 0;
            let mut divided = String::new();
            for at in word_divisions(word, language) {
                assert!(at >= 2 && word[at..].chars().count() >= 2, "{word}: no part is one letter long");
                divided.push_str(&word[last..at]);
                divided.push('-');
                last = at;
            }
            writeln!(out, "{language}\t{divided}{}", &word[last..]).expect("writing to a string succeeds");
        }
    }
    write("text-divisions.tsv", &out);
}

fn write(name: &str, text: &str) {
    let target = Path::new(env!("CARGO_MANIFEST_DIR")).join("target");
    fs::create_dir_all(&target).expect("the target folder can be made");
    fs::write(target.join(name), text).expect("the table can be written");
}
