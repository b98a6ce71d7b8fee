//! The K: field: tonic, mode, changed signs, clef words.
//!
//! Source: ABC 2.1 §3.1.14 (keys), §4.6 (clefs).

use crate::tune::{KeySignature, Mode, PitchClass, Step};

/// What a K: field (or the clef words of a V: field) says.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct KeyField {
    /// The key; `None` when the field gives clef words only.
    pub key: Option<KeySignature>,
    /// Octaves that notes sound above what is written, if the field says so.
    pub octave: Option<i32>,
    /// Semitones for playback, if given.
    pub transpose: Option<i32>,
    /// A clef other than the treble clef was asked for.
    pub other_clef: bool,
    /// The pipes' key, whose signature is not shown in full.
    pub pipes: bool,
    /// Words that were not understood.
    pub unknown: Vec<String>,
}

/// Reads the text after `K:`.
pub(super) fn parse(text: &str) -> KeyField {
    let mut found = KeyField::default();
    let mut words = text.split_whitespace().peekable();
    let Some(first) = words.peek().copied() else {
        found.key = Some(KeySignature::none());
        return found;
    };
    let mut key = match first {
        "none" => Some(KeySignature::none()),
        "HP" | "Hp" => {
            found.pipes = true;
            let mut key = KeySignature { fifths: 2, ..KeySignature::none() };
            if first == "Hp" {
                key.changed.push(PitchClass::new(Step::G, 0));
            }
            Some(key)
        }
        _ => None,
    };
    if key.is_some() {
        words.next();
    } else if let Some((tonic, rest)) = tonic(first) {
        words.next();
        let (mode, after) = match mode(rest) {
            Some(mode) => (Some(mode), ""),
            None if rest.is_empty() => match words.peek().and_then(|w| mode_word(w)) {
                Some(mode) => {
                    words.next();
                    (Some(mode), "")
                }
                None => (Some(Mode::Major), ""),
            },
            None if rest.starts_with(['^', '_', '=']) => (Some(Mode::Major), rest),
            None => (None, rest),
        };
        match mode.and_then(|mode| KeySignature::regular(tonic, mode)) {
            Some(regular) => key = Some(regular),
            None => found.unknown.push(first.to_owned()),
        }
        if !after.is_empty() && mode.is_some() {
            sign_list(after, key.get_or_insert(KeySignature::none()), &mut found.unknown);
        }
    }
    for word in words {
        let lower = word.to_ascii_lowercase();
        if lower == "exp" {
            let all = key.get_or_insert(KeySignature::none());
            all.explicit = true;
        } else if word.starts_with(['^', '_', '=']) {
            sign_list(word, key.get_or_insert(KeySignature::none()), &mut found.unknown);
        } else {
            clef_word(word, &lower, &mut found);
        }
    }
    found.key = key;
    found
}

fn tonic(word: &str) -> Option<(PitchClass, &str)> {
    let letter = word.chars().next().filter(char::is_ascii_uppercase)?;
    let step = Step::from_letter(letter)?;
    let rest = &word[1..];
    if let Some(rest) = rest.strip_prefix(['#', '♯']) {
        Some((PitchClass::new(step, 1), rest))
    } else if let Some(rest) = rest.strip_prefix(['b', '♭']) {
        Some((PitchClass::new(step, -1), rest))
    } else {
        let known = rest.is_empty() || mode(rest).is_some() || rest.starts_with(['^', '_', '=']);
        known.then_some((PitchClass::new(step, 0), rest))
    }
}

/// A mode that touches its tonic: `m`, or a word of which three letters count.
fn mode(text: &str) -> Option<Mode> {
    let head: String = text.chars().take(3).collect::<String>().to_ascii_lowercase();
    Some(match head.as_str() {
        "maj" | "ion" => Mode::Major,
        "m" | "min" | "aeo" => Mode::Minor,
        "mix" => Mode::Mixolydian,
        "dor" => Mode::Dorian,
        "phr" => Mode::Phrygian,
        "lyd" => Mode::Lydian,
        "loc" => Mode::Locrian,
        _ => return None,
    })
}

/// A mode as a word of its own; not to be taken for `middle=` and the like.
fn mode_word(word: &str) -> Option<Mode> {
    (!word.contains('=')).then(|| mode(word)).flatten()
}

/// Signs like `^f=c_b`.
fn sign_list(text: &str, key: &mut KeySignature, unknown: &mut Vec<String>) {
    let mut chars = text.chars().peekable();
    while let Some(sign) = chars.next() {
        let doubled = chars.next_if_eq(&sign).is_some() && sign != '=';
        let alter = match sign {
            '^' => 1,
            '_' => -1,
            '=' => 0,
            ',' => continue,
            _ => {
                unknown.push(text.to_owned());
                return;
            }
        } * if doubled { 2 } else { 1 };
        let Some(step) = chars.next().and_then(Step::from_letter) else {
            unknown.push(text.to_owned());
            return;
        };
        key.changed.retain(|sign| sign.step != step);
        key.changed.push(PitchClass::new(step, alter));
    }
}

/// One word of a clef description.
fn clef_word(word: &str, lower: &str, found: &mut KeyField) {
    if let Some((name, value)) = word.split_once('=') {
        match name.to_ascii_lowercase().as_str() {
            "clef" => clef_name(&value.to_ascii_lowercase(), found),
            "octave" => found.octave = value.parse().ok().filter(|n: &i32| n.abs() <= 8).or(found.octave),
            "transpose" | "t" => found.transpose = value.parse().ok().filter(|n: &i32| n.abs() <= 96),
            "middle" | "m" | "stafflines" | "name" | "nm" | "subname" | "snm" | "sname" | "stem" | "staffscale" => {}
            _ => found.unknown.push(word.to_owned()),
        }
    } else if ["treble", "alto", "tenor", "bass", "perc", "none", "auto"].iter().any(|n| lower.starts_with(n)) {
        clef_name(lower, found);
    } else {
        found.unknown.push(word.to_owned());
    }
}

fn clef_name(name: &str, found: &mut KeyField) {
    let base = name.strip_suffix("+8").or_else(|| name.strip_suffix("-8")).unwrap_or(name);
    if name.ends_with("+8") {
        found.octave = Some(found.octave.unwrap_or(0) + 1);
    } else if name.ends_with("-8") {
        found.octave = Some(found.octave.unwrap_or(0) - 1);
    }
    found.other_clef |= ["alto", "tenor", "bass", "perc"].iter().any(|n| base.starts_with(n));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fifths(text: &str) -> Option<i8> {
        parse(text).key.map(|key| key.fifths)
    }

    /// ABC 2.1 §3.1.14: modes by three letters, in any case, with or without a blank.
    #[test]
    fn modes_are_read_in_every_spelling() {
        for (text, signs) in [
            ("G", 1),
            ("Gmaj", 1),
            ("G major", 1),
            ("Em", 1),
            ("E minor", 1),
            ("E MINOR", 1),
            ("Ador", 1),
            ("A Dorian", 1),
            ("DMix", 1),
            ("D mixolydian", 1),
            ("Bphr", 1),
            ("CLyd", 1),
            ("F#loc", 1),
            ("Bb", -2),
            ("F#m", 3),
            ("Eb minor", -6),
            ("C#", 7),
            ("Cb", -7),
            ("Gaeo", -2),
            ("Dion", 2),
        ] {
            assert_eq!(fifths(text), Some(signs), "{text}");
        }
    }

    /// ABC 2.1 §3.1.14: `K:` and `K:none`, modified and explicit keys, pipes.
    #[test]
    fn keys_may_be_empty_changed_or_explicit() {
        assert_eq!(parse("").key, Some(KeySignature::none()));
        assert_eq!(parse("none").key, Some(KeySignature::none()));
        let key = parse("D Phr ^f").key.expect("a key");
        assert_eq!((key.fifths, key.alter(Step::F)), (-2, 1));
        let key = parse("D =c").key.expect("a key");
        assert_eq!((key.alter(Step::C), key.alter(Step::F)), (0, 1));
        let key = parse("D exp _b _e ^f").key.expect("a key");
        assert_eq!(key.signs().iter().map(ToString::to_string).collect::<Vec<_>>(), ["Bb", "Eb", "F#"]);
        assert!(parse("HP").pipes);
        assert_eq!(parse("Hp").key.map(|k| (k.alter(Step::F), k.alter(Step::G))), Some((1, 0)));
    }

    /// ABC 2.1 §4.6: clef words in any order, a clef alone leaves the key.
    #[test]
    fn clef_words_are_told_from_keys() {
        let field = parse("G clef=treble-8 middle=B");
        assert_eq!((field.octave, field.unknown.len()), (Some(-1), 0));
        assert_eq!(parse("clef=bass").key, None);
        assert!(parse("C bass").other_clef);
        assert_eq!(parse("Am octave=-1 transpose=-2").transpose, Some(-2));
        assert_eq!(parse("G wobble").unknown, ["wobble"]);
        assert_eq!(parse("Gwob").key, None);
    }
}
