//! Chord symbols: what a text such as `Am7/G` asks for.
//!
//! Source: ABC 2.1 §4.18 (chord symbols; volatile, so read liberally and keep the text).

use crate::diag::Place;
use crate::reader::complaints::Complaints;
use crate::tune::{ChordQuality, ChordSymbol, PitchClass, Step};

/// Understands a chord symbol as far as it goes; the text is kept whole.
pub fn chord_symbol(text: &str) -> ChordSymbol {
    let unknown = ChordSymbol { text: text.to_owned(), root: None, quality: ChordQuality::Other, bass: None };
    let core = text.trim();
    // An alternative in brackets is for print only.
    let core =
        core.split_once('(').map_or(core, |(before, _)| if before.is_empty() { core } else { before.trim_end() });
    if is_silence(core) {
        return unknown;
    }
    let Some((root, rest)) = root(core, false) else { return unknown };
    let (kind, bass) = match rest.rsplit_once('/') {
        Some((kind, bass)) => match self::root(bass.trim(), true) {
            Some((class, "")) => (kind, Some(class)),
            // `6/9` is a kind of chord.
            _ => (rest, None),
        },
        None => (rest, None),
    };
    match quality(kind) {
        Some(quality) => ChordSymbol { root: Some(root), quality, bass, ..unknown },
        None => unknown,
    }
}

/// Whether a text tells the left hand to stop: no chord.
pub(super) fn is_silence(text: &str) -> bool {
    let text = text.trim();
    text.starts_with("N.C") || text.starts_with("NC")
}

/// Complains of a text in the place of a chord that names none, once for each text.
pub(super) fn complain_of_none(chord: &ChordSymbol, place: Place, complaints: &mut Complaints) {
    let text = chord.text.trim();
    if chord.root.is_some() || text.is_empty() || is_silence(text) {
        return;
    }
    let message = format!("`{text}` is no chord that is read: it is printed, and the chord before it goes on");
    let hint = match text.strip_prefix('H') {
        // What German, Dutch and Scandinavian names call H is B, and their B is Bb (common practice, no source).
        Some(rest) if quality(rest).is_some() => {
            format!("the note below C is `B` here: write \"B{rest}\"; what you call B is \"Bb\"")
        }
        _ => format!("chords are read as \"G\", \"Am\", \"D7\"; words stand over the notes as \"^{text}\""),
    };
    complaints.warn_once(text, "unknown-chord", place, message, &hint);
}

fn root(text: &str, any_case: bool) -> Option<(PitchClass, &str)> {
    let letter = text.chars().next()?;
    let letter = if any_case { letter.to_ascii_uppercase() } else { letter };
    let step = Step::from_letter(letter).filter(|_| letter.is_ascii_uppercase())?;
    let rest = &text[1..];
    if let Some(rest) = rest.strip_prefix(['#', '♯']) {
        Some((PitchClass::new(step, 1), rest))
    } else if let Some(rest) = rest.strip_prefix(['b', '♭']) {
        Some((PitchClass::new(step, -1), rest))
    } else {
        Some((PitchClass::new(step, 0), rest.strip_prefix('♮').unwrap_or(rest)))
    }
}

/// `None` where the text after the letter is no kind of chord, so that `Fine` or `Coda` is no chord.
fn quality(kind: &str) -> Option<ChordQuality> {
    let kind = kind.trim();
    let known = |rest: &str| rest.chars().all(|c| c.is_ascii_digit() || "#b♭♯()+-,/ adsuomijM".contains(c));
    let starts = |names: &[&str]| names.iter().find_map(|name| kind.strip_prefix(name)).filter(|rest| known(rest));
    Some(if kind.is_empty() || matches!(kind, "maj" | "M" | "major") {
        ChordQuality::Major
    } else if matches!(kind, "m" | "min" | "-" | "mi" | "minor") {
        ChordQuality::Minor
    } else if matches!(kind, "m7" | "min7" | "-7" | "mi7") {
        ChordQuality::MinorSeventh
    } else if matches!(kind, "7" | "dom7") {
        ChordQuality::Seventh
    } else if matches!(kind, "maj7" | "M7" | "Δ" | "Δ7" | "ma7" | "j7") {
        ChordQuality::MajorSeventh
    } else if starts(&["dim", "°", "ø"]).is_some() || matches!(kind, "o" | "o7") {
        ChordQuality::Diminished
    } else if starts(&["aug", "+"]).is_some() {
        ChordQuality::Augmented
    } else if starts(&["sus", "7sus", "4sus"]).is_some() {
        ChordQuality::Suspended
    } else if kind.starts_with(|c: char| c.is_ascii_digit()) && known(kind)
        || starts(&["maj", "min", "m", "M", "add", "Δ", "-"]).is_some()
    {
        ChordQuality::Other
    } else {
        return None;
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (Option<String>, ChordQuality, Option<String>) {
        let chord = chord_symbol(text);
        (chord.root.map(|r| r.to_string()), chord.quality, chord.bass.map(|b| b.to_string()))
    }

    /// ABC 2.1 §4.18.
    #[test]
    fn chords_are_understood() {
        let root = |text: &str| Some(text.to_owned());
        assert_eq!(read("G"), (root("G"), ChordQuality::Major, None));
        assert_eq!(read("Am7"), (root("A"), ChordQuality::MinorSeventh, None));
        assert_eq!(read("F#m/c#"), (root("F#"), ChordQuality::Minor, root("C#")));
        assert_eq!(read("Bb7"), (root("Bb"), ChordQuality::Seventh, None));
        assert_eq!(read("B♭maj7"), (root("Bb"), ChordQuality::MajorSeventh, None));
        assert_eq!(read("Bdim"), (root("B"), ChordQuality::Diminished, None));
        assert_eq!(read("Asus4"), (root("A"), ChordQuality::Suspended, None));
        assert_eq!(read("C+"), (root("C"), ChordQuality::Augmented, None));
        assert_eq!(read("G(Em)"), (root("G"), ChordQuality::Major, None));
        assert_eq!(read("C6/9"), (root("C"), ChordQuality::Other, None));
        assert_eq!(read("Dm9"), (root("D"), ChordQuality::Other, None));
    }

    #[test]
    fn other_words_are_no_chords() {
        for text in ["Fine", "N.C.", "Coda", "Da Capo", "hello", "", "(Em)", "Chorus", "g"] {
            assert_eq!(chord_symbol(text).root, None, "{text}");
        }
    }
}
