//! A chord symbol in words: `AM7/C#` is A major 7 over C sharp.
//!
//! Takes a symbol's parts, gives words of the table; letters that no table has a word for are said as written.

use super::facts::Lesson;
use super::words::{AltWords, say};
use crate::tune::{ChordSymbol, SymbolPart};

impl Lesson<'_> {
    /// The name of a chord symbol; one that is no chord as it is printed.
    pub(super) fn symbol(&self, symbol: &ChordSymbol) -> String {
        let words = &self.words.alt;
        // Each chord as it is said so far; another one in brackets begins with its root.
        let mut chords: Vec<String> = Vec::new();
        for part in symbol.parts() {
            match part {
                SymbolPart::Root(class, _) => chords.push(self.words.class(class)),
                SymbolPart::Kind(kind) => {
                    if let Some(chord) = chords.last_mut() {
                        kind_words(kind, words).iter().for_each(|word| {
                            chord.push(' ');
                            chord.push_str(word);
                        });
                    }
                }
                SymbolPart::Bass(class, _) => {
                    if let Some(chord) = chords.last_mut() {
                        *chord = say(words.over, &[("chord", chord), ("bass", &self.words.class(class))]);
                    }
                }
                SymbolPart::Between(_) => {}
            }
        }
        let said = chords.into_iter().reduce(|said, other| say(words.instead, &[("chord", &said), ("other", &other)]));
        said.unwrap_or_else(|| symbol.text.clone())
    }
}

/// What a written piece of a kind means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Meant {
    Major,
    /// Major, with a seventh that is not written.
    MajorSeventh,
    Minor,
    Diminished,
    HalfDiminished,
    Augmented,
    Suspended,
    Added,
    Without,
    Flat,
    Sharp,
    Nothing,
}

/// Pieces of a kind, longer ones before those that they begin with. Common practice, no source.
const PIECES: [(&str, Meant); 33] = [
    ("major", Meant::Major),
    ("maj", Meant::Major),
    ("ma", Meant::Major),
    ("M", Meant::Major),
    ("j", Meant::Major),
    ("Δ7", Meant::MajorSeventh),
    ("Δ", Meant::MajorSeventh),
    ("minor", Meant::Minor),
    ("min", Meant::Minor),
    ("mi", Meant::Minor),
    ("m", Meant::Minor),
    ("dim", Meant::Diminished),
    ("°", Meant::Diminished),
    ("ø7", Meant::HalfDiminished),
    ("ø", Meant::HalfDiminished),
    ("omit", Meant::Without),
    ("no", Meant::Without),
    ("o", Meant::Diminished),
    ("aug", Meant::Augmented),
    ("sus", Meant::Suspended),
    ("add", Meant::Added),
    ("dom", Meant::Nothing),
    ("b", Meant::Flat),
    ("♭", Meant::Flat),
    ("#", Meant::Sharp),
    ("♯", Meant::Sharp),
    ("-", Meant::Flat),
    ("+", Meant::Sharp),
    ("♮", Meant::Nothing),
    ("/", Meant::Nothing),
    (",", Meant::Nothing),
    ("(", Meant::Nothing),
    (")", Meant::Nothing),
];

/// A kind in words: `m7b5` is minor, 7, flat, 5.
fn kind_words(kind: &str, words: &AltWords) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    let mut rest = kind.trim_start();
    while let Some(first) = rest.chars().next() {
        let found = PIECES.iter().find(|(piece, _)| rest.starts_with(piece));
        // At the start of a kind these two stand for the triad.
        let meant = match found.map(|(piece, _)| *piece).filter(|_| said.is_empty()) {
            Some("-") => Some(Meant::Minor),
            Some("+") => Some(Meant::Augmented),
            _ => found.map(|(_, meant)| *meant),
        };
        let end = match found {
            Some((piece, _)) => piece.len(),
            None if first.is_ascii_digit() => rest.find(|c: char| !c.is_ascii_digit()).unwrap_or(rest.len()),
            None => rest.find(char::is_whitespace).unwrap_or(rest.len()),
        };
        let (piece, after) = rest.split_at(end);
        match meant {
            Some(Meant::Nothing) => {}
            Some(Meant::MajorSeventh) => said.extend([words.kinds.major.to_owned(), "7".to_owned()]),
            Some(meant) => said.push(word(meant, words).to_owned()),
            None => said.push(piece.to_owned()),
        }
        rest = after.trim_start();
    }
    said
}

const fn word(meant: Meant, words: &AltWords) -> &'static str {
    let kinds = &words.kinds;
    match meant {
        Meant::Major | Meant::MajorSeventh => kinds.major,
        Meant::Minor => kinds.minor,
        Meant::Diminished => kinds.diminished,
        Meant::HalfDiminished => kinds.half_diminished,
        Meant::Augmented => kinds.augmented,
        Meant::Suspended => kinds.suspended,
        Meant::Added => kinds.added,
        Meant::Without => kinds.without,
        Meant::Flat => kinds.flat,
        Meant::Sharp => kinds.sharp,
        Meant::Nothing => "",
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixture::{instrument, plan, tune};
    use super::*;
    use crate::tune::Meter;

    fn said(text: &str, language: &str) -> String {
        let tune = tune(Meter::simple(2, 4), &["D5:1/2"]);
        let plan = plan(&tune, "o6<3");
        let instrument = instrument(2);
        Lesson::new(&tune, &plan, &instrument, language, 1).symbol(&ChordSymbol::read(text))
    }

    /// The letters of a symbol are never said: a seventh that is major is another chord than one that is not.
    #[test]
    fn kinds_are_said_in_words() {
        for (text, english, french) in [
            ("G", "G", "sol"),
            ("AM7", "A major 7", "la majeur 7"),
            ("Gmaj7", "G major 7", "sol majeur 7"),
            ("CΔ", "C major 7", "do majeur 7"),
            ("D-7", "D minor 7", "ré mineur 7"),
            ("A7", "A 7", "la 7"),
            ("Bb", "B flat", "si bémol"),
            ("C6/9", "C 6 9", "do 6 9"),
            ("Em7b5", "E minor 7 flat 5", "mi mineur 7 bémol 5"),
            ("Cm(maj7)", "C minor major 7", "do mineur majeur 7"),
            ("C+", "C augmented", "do augmenté"),
            ("Bdim7", "B diminished 7", "si diminué 7"),
            ("Bø7", "B half-diminished", "si demi-diminué"),
            ("A7sus4", "A 7 suspended 4", "la 7 suspendu 4"),
            ("Cadd9", "C added 9", "do ajouté 9"),
            ("G(Em)", "G, or E minor", "sol, ou mi mineur"),
            ("Am(C/G)", "A minor, or C over G", "la mineur, ou do, basse sol"),
            ("D/F#", "D over F sharp", "ré, basse fa dièse"),
            ("hello", "hello", "hello"),
        ] {
            assert_eq!(said(text, "en-GB"), english, "{text}");
            assert_eq!(said(text, "fr"), french, "{text}");
        }
    }
}
