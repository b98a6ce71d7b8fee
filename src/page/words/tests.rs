//! Every table against the first: the same braces, nothing left in English, terms in filing order of their own.

use super::{Words, words};
use crate::engrave::Sign;
use crate::instrument::RowAt;
use crate::style::Signs;
use std::collections::BTreeSet;

/// The words in braces of a text, in order of the alphabet.
fn braces(text: &str) -> BTreeSet<&str> {
    text.split('{').skip(1).filter_map(|rest| rest.split_once('}')).map(|(name, _)| name).collect()
}

/// The texts that pages fill in.
fn filled(words: &Words) -> Vec<&'static str> {
    vec![
        words.box_layout,
        words.buttons,
        words.chord_columns,
        words.arranged,
        words.from,
        words.box_for,
        words.impression,
        words.published_by,
        words.fonts,
        words.fonts_one,
        words.fonts_code,
        words.measure_text,
        words.clash,
        words.turns,
        words.scale_missing,
        words.level,
        words.corrections_intro,
        words.week,
    ]
}

#[test]
fn each_language_fills_in_the_same() {
    for language in ["en-US", "fr", "fr-CA"] {
        for (own, english) in filled(words(language)).iter().zip(filled(words("en-GB"))) {
            assert_eq!(braces(own), braces(english), "{language}: {own}");
        }
    }
}

#[test]
fn french_is_french() {
    let (french, english) = (words("fr-FR"), words("en-GB"));
    for (own, other) in [
        (french.contents, english.contents),
        (french.my_box, english.my_box),
        (french.holding_text, english.holding_text),
        (french.how_to_text, english.how_to_text),
        (french.measure_text, english.measure_text),
        (french.scales, english.scales),
        (french.glossary, english.glossary),
        (french.local_law, english.local_law),
        (french.week, english.week),
    ] {
        assert_ne!(own, other);
    }
    let look = Signs::default();
    for sign in [Sign::RowHead(RowAt::Outer), Sign::Pull, Sign::Replay, Sign::Finger, Sign::Jump, Sign::Accidental] {
        assert_ne!((french.sign)(sign, &look), (english.sign)(sign, &look));
    }
    // The five cautions stand in both.
    for text in [french.holding_text, english.holding_text] {
        assert_eq!(text.matches("\n- **").count(), 5);
    }
    let mut known = BTreeSet::new();
    for term in french.terms {
        assert!(known.insert(term.term), "{} stands twice", term.term);
        for used in term.used_as {
            assert!(used.split(' ').count() <= 2, "{used}: words are sought one or two at a time");
            assert_eq!(*used, used.to_lowercase());
        }
    }
}
