//! Chord symbols as written over a melody: what a text such as `Am7/G` asks for, and its parts, cut by one rule for all who
//! move, set or say it.
//!
//! Source: ABC 2.1 §4.18 (chord symbols; volatile, so read liberally and keep the text). Names of kinds are common practice, no
//! source.

use super::pitch::{PitchClass, Step};

/// What kind of chord a symbol asks for, as far as two-row boxes tell chords apart; the text keeps the rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ChordQuality {
    /// Major triad.
    Major,
    /// Minor triad.
    Minor,
    /// Major triad with minor seventh.
    Seventh,
    /// Minor triad with minor seventh.
    MinorSeventh,
    /// Major triad with major seventh.
    MajorSeventh,
    /// Diminished.
    Diminished,
    /// Augmented.
    Augmented,
    /// Suspended.
    Suspended,
    /// Anything else that begins with a root.
    Other,
}

/// A chord symbol: its text, and what was understood of it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct ChordSymbol {
    /// As written, for print.
    pub text: String,
    /// The root; `None` when the text is no chord name (then it is printed and not played). `N.C.` counts as such.
    pub root: Option<PitchClass>,
    /// The kind of chord.
    pub quality: ChordQuality,
    /// The bass after a slash, if any.
    pub bass: Option<PitchClass>,
}

/// A part of the text of a chord symbol, in order; together they are the text, but for the stroke before a bass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SymbolPart<'a> {
    /// A root, and as it is written.
    Root(PitchClass, &'a str),
    /// What follows a root: `m7`, `6/9`.
    Kind(&'a str),
    /// A bass after a stroke, and as it is written.
    Bass(PitchClass, &'a str),
    /// Blanks, and the brackets around another chord that may be played instead: `G(Em)`.
    Between(&'a str),
}

impl ChordSymbol {
    /// Understands a text as far as it goes; the text is kept whole.
    pub fn read(text: &str) -> Self {
        let unknown = Self { text: text.to_owned(), root: None, quality: ChordQuality::Other, bass: None };
        // Another chord in brackets is for print only; a chord that stands alone in brackets may be left out, and is played.
        let head = match alternative(text) {
            ("", Some((_, name, ")"))) => name.text,
            (head, _) => head,
        };
        if Self::is_silence(head) {
            return unknown;
        }
        let Some(name) = Name::of(head) else { return unknown };
        match name.quality() {
            Some(quality) => {
                Self { root: Some(name.root.0), quality, bass: name.bass.map(|(class, _)| class), ..unknown }
            }
            None => unknown,
        }
    }
    /// Whether a text tells the left hand to stop: no chord.
    pub fn is_silence(text: &str) -> bool {
        let text = text.trim();
        text.starts_with("N.C") || text.starts_with("NC")
    }
    /// The parts of its text; none where no chord is named in it.
    pub fn parts(&self) -> Vec<SymbolPart<'_>> {
        let (head, instead) = alternative(&self.text);
        let mut parts = Vec::new();
        match Name::of(head).filter(|_| self.root.is_some()) {
            Some(name) => name.parts(head, &mut parts),
            None => parts.extend(Some(SymbolPart::Between(head)).filter(|_| !head.is_empty())),
        }
        if let Some((open, name, close)) = instead {
            parts.push(SymbolPart::Between(open));
            name.parts(name.text, &mut parts);
            parts.extend(Some(SymbolPart::Between(close)).filter(|_| !close.is_empty()));
        }
        if parts.iter().all(|part| matches!(part, SymbolPart::Between(_))) { Vec::new() } else { parts }
    }
}

/// A chord's name taken apart.
#[derive(Debug, Clone, Copy)]
struct Name<'a> {
    text: &'a str,
    root: (PitchClass, &'a str),
    kind: &'a str,
    bass: Option<(PitchClass, &'a str)>,
}

impl<'a> Name<'a> {
    /// A text that begins with a root, whatever follows.
    fn of(text: &'a str) -> Option<Self> {
        let core = text.trim();
        let (class, rest) = note(core, false)?;
        let bass = rest.rsplit_once('/').and_then(|(kind, bass)| match note(bass.trim(), true) {
            Some((class, "")) => Some((kind, (class, bass.trim()))),
            // `6/9` is a kind of chord.
            _ => None,
        });
        let (kind, bass) = bass.map_or((rest, None), |(kind, bass)| (kind, Some(bass)));
        Some(Self { text, root: (class, &core[..core.len() - rest.len()]), kind, bass })
    }
    fn quality(&self) -> Option<ChordQuality> {
        quality(self.kind.split('(').next().unwrap_or_default())
    }
    fn parts(&self, text: &'a str, parts: &mut Vec<SymbolPart<'a>>) {
        let blank = &text[..text.len() - text.trim_start().len()];
        parts.extend(Some(SymbolPart::Between(blank)).filter(|_| !blank.is_empty()));
        parts.push(SymbolPart::Root(self.root.0, self.root.1));
        parts.extend(Some(SymbolPart::Kind(self.kind)).filter(|_| !self.kind.is_empty()));
        parts.extend(self.bass.map(|(class, written)| SymbolPart::Bass(class, written)));
    }
}

/// A text before another chord in brackets; and the bracket, that chord's name, and what follows it.
fn alternative(text: &str) -> (&str, Option<(&str, Name<'_>, &str)>) {
    for (open, _) in text.match_indices('(') {
        let inside = &text[open + 1..];
        let close = inside.find(')').unwrap_or(inside.len());
        // `m(maj7)` and `7(b9)` are kinds.
        if let Some(name) = Name::of(&inside[..close]).filter(|name| name.quality().is_some()) {
            return (&text[..open], Some((&text[open..=open], name, &inside[close..])));
        }
    }
    (text, None)
}

/// A note's name at the start of a text, and the rest.
fn note(text: &str, any_case: bool) -> Option<(PitchClass, &str)> {
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

/// What kind of chord the text after the root names; `None` where the text after the letter is no kind of chord, so that `Fine` or `Coda` is no chord.
pub fn quality(kind: &str) -> Option<ChordQuality> {
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
        let chord = ChordSymbol::read(text);
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
        assert_eq!(read("(Em)"), (root("E"), ChordQuality::Minor, None));
        assert_eq!(read("(D7/F#)"), (root("D"), ChordQuality::Seventh, root("F#")));
        assert_eq!(read("C6/9"), (root("C"), ChordQuality::Other, None));
        assert_eq!(read("G/B(Em)"), (root("G"), ChordQuality::Major, root("B")));
        assert_eq!(read("Am(C/G)"), (root("A"), ChordQuality::Minor, None));
        assert_eq!(read("Dm9"), (root("D"), ChordQuality::Other, None));
    }

    #[test]
    fn other_words_are_no_chords() {
        for text in ["Fine", "N.C.", "Coda", "Da Capo", "hello", "", "(Em)C", "(Em", "(hm)", "Chorus", "g"] {
            assert_eq!(ChordSymbol::read(text).root, None, "{text}");
        }
    }

    #[test]
    fn a_text_is_cut_into_its_parts() {
        let cut = |text: &str| {
            let symbol = ChordSymbol::read(text);
            let said = symbol.parts().into_iter().map(|part| match part {
                SymbolPart::Root(class, written) => format!("root {class} {written}"),
                SymbolPart::Kind(kind) => format!("kind {kind}"),
                SymbolPart::Bass(class, written) => format!("bass {class} {written}"),
                SymbolPart::Between(text) => text.to_owned(),
            });
            said.collect::<Vec<_>>().join("|")
        };
        assert_eq!(cut("C6/9"), "root C C|kind 6/9");
        assert_eq!(cut("Em(C/G)"), "root E E|kind m|(|root C C|bass G G|)");
        assert_eq!(cut("G/B(Em)"), "root G G|bass B B|(|root E E|kind m|)");
        assert_eq!(cut("G♮7/b"), "root G G♮|kind 7|bass B b");
        assert_eq!(cut("Cm(maj7)/G"), "root C C|kind m(maj7)|bass G G");
        assert_eq!(cut("(Em)"), "(|root E E|kind m|)");
        assert_eq!(cut("Em-ish"), "");
        assert_eq!(cut("hello"), "");
    }
}
