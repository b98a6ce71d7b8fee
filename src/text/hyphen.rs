//! Where words may be divided, by language.
//!
//! Takes a word and a language tag; gives byte offsets. Source: F. M. Liang, *Word Hy-phen-a-tion by Com-put-er* (Stanford
//! 1983), with the pattern files of the `hyphenation` crate for British and American English and French; least letters before
//! and after a division are those of the pattern files.

use hyphenation::{Hyphenator, Language, Load, Standard};
use std::sync::OnceLock;

/// Words of fewer letters stay whole (our choice: dividing them saves little and costs a reader more).
const LEAST_LETTERS: usize = 6;
/// Tokens of more bytes are no words.
const MOST_BYTES: usize = 200;
/// No token is divided at more places than this: each is tried at every line's end.
const MOST_DIVISIONS: usize = 300;

type Patterns = OnceLock<Option<Standard>>;

/// The patterns for a language tag, by its first subtag and, for English, its region; `None` for other languages, whose words
/// stay whole.
pub(super) fn patterns(language: &str) -> Option<&'static Standard> {
    static BRITISH: Patterns = OnceLock::new();
    static AMERICAN: Patterns = OnceLock::new();
    static FRENCH: Patterns = OnceLock::new();
    let load = |cell: &'static Patterns, language, mut data: &'static [u8]| {
        cell.get_or_init(|| Standard::from_reader(language, &mut data).ok()).as_ref()
    };
    let tag = language.to_ascii_lowercase();
    match tag.split('-').next() {
        Some("en") if tag.ends_with("-us") => {
            load(&AMERICAN, Language::EnglishUS, include_bytes!("hyphenation/en-us.standard.bincode"))
        }
        Some("en") => load(&BRITISH, Language::EnglishGB, include_bytes!("hyphenation/en-gb.standard.bincode")),
        Some("fr") => load(&FRENCH, Language::French, include_bytes!("hyphenation/fr.standard.bincode")),
        _ => None,
    }
}

/// Byte offsets at which a word may be divided in the language of a tag, ascending; none for languages without patterns.
pub fn word_divisions(word: &str, language: &str) -> Vec<usize> {
    patterns(language).map_or_else(Vec::new, |patterns| divisions(word, patterns))
}

/// Byte offsets at which `token` (no spaces) may be divided with a hyphen, ascending. Soft hyphens that the author has typed
/// are the only places then. A token with a hyphen of its own is not divided elsewhere, nor is one with figures.
pub(super) fn divisions(token: &str, patterns: &Standard) -> Vec<usize> {
    if token.contains('\u{ad}') {
        return token
            .match_indices('\u{ad}')
            .map(|(at, soft)| at + soft.len())
            .filter(|at| *at < token.len())
            .take(MOST_DIVISIONS)
            .collect();
    }
    if !(LEAST_LETTERS..=MOST_BYTES).contains(&token.len()) || token.contains(['-', '\u{2010}', '\u{2011}', '/', '@']) {
        return Vec::new();
    }
    let mut found = Vec::new();
    let mut start = None;
    for (at, c) in token.char_indices().chain(std::iter::once((token.len(), ' '))) {
        if c.is_numeric() {
            return Vec::new();
        }
        if c.is_alphabetic() {
            start = start.or(Some(at));
        } else if let Some(from) = start.take() {
            let word = &token[from..at];
            if word.chars().count() >= LEAST_LETTERS {
                divide(word, from, patterns, &mut found);
            }
        }
    }
    found
}

/// Divisions of one word at byte `from` of its token. A consonant alone between two divisions is no syllable: the British
/// patterns have a few such (`po-s-i-tion`), of which the second division is left out (our departure).
fn divide(word: &str, from: usize, patterns: &Standard, found: &mut Vec<usize>) {
    let mut last = 0;
    for offset in patterns.hyphenate(word).breaks {
        let part = &word[last..offset];
        let alone = last > 0 && part.chars().count() == 1 && !part.contains(is_vowel);
        if !alone {
            found.push(from + offset);
            last = offset;
        }
    }
}

fn is_vowel(c: char) -> bool {
    matches!(c.to_ascii_lowercase(), 'a' | 'e' | 'i' | 'o' | 'u' | 'y') || !c.is_ascii()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn divided(word: &str, language: &str) -> String {
        let mut out = String::new();
        let mut last = 0;
        for at in word_divisions(word, language) {
            out.push_str(&word[last..at]);
            out.push('-');
            last = at;
        }
        out + &word[last..]
    }

    /// Terms of the trade, computed outside the program by another reading of the same pattern files.
    #[test]
    fn terms_in_british_and_american_english() {
        for (word, us, gb) in [
            ("accompaniment", "ac-com-pa-ni-ment", "ac-com-pani-ment"),
            ("arpeggio", "arpeg-gio", "arpeg-gio"),
            ("articulation", "ar-tic-u-la-tion", "ar-tic-u-la-tion"),
            ("crescendo", "crescendo", "cres-cendo"),
            ("diminuendo", "dimin-u-endo", "di-minu-endo"),
            ("fortissimo", "for-tis-simo", "for-tis-simo"),
            ("pianissimo", "pi-anis-simo", "pi-an-is-simo"),
            ("rallentando", "ral-len-tando", "ral-lent-ando"),
            ("syncopation", "syn-co-pa-tion", "syn-co-pa-tion"),
            ("clarinet", "clar-inet", "cla-ri-net"),
            ("semiquaver", "semi-qua-ver", "semi-quaver"),
            ("metronome", "metronome", "met-ro-nome"),
            ("concatenation", "con-cate-na-tion", "con-cat-en-a-tion"),
        ] {
            assert_eq!(divided(word, "en-US"), us);
            assert_eq!(divided(word, "en-GB"), gb);
        }
        assert_eq!(
            divided("supercalifragilisticexpialidocious", "en-US"),
            "su-per-cal-ifrag-ilis-tic-ex-pi-ali-do-cious"
        );
        // The American files carry an exception for the word that Liang's title divides.
        assert_eq!(divided("hyphenation", "en-US"), "hy-phen-a-tion");
    }

    #[test]
    fn only_words_are_divided() {
        assert_eq!(divided("position", "en-GB"), "po-si-tion");
        assert_eq!(divided("(articulation),", "en-GB"), "(ar-tic-u-la-tion),");
        assert_eq!(divided("l'accordéon", "fr"), "l'ac-cor-déon");
        for whole in ["well-articulated", "box21articulation", "reads", "https://articulation"] {
            assert_eq!(divided(whole, "en-GB"), whole);
        }
        assert_eq!(divided("melo\u{ad}deon", "en-GB"), "melo\u{ad}-deon");
        assert!(word_divisions("Handzuginstrument", "de").is_empty());
    }
}
