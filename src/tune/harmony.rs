//! Chord symbols as written over a melody.

use super::pitch::PitchClass;

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
