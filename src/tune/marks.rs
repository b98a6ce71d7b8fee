//! Signs on heads and barlines, jumps, texts and syllables.

/// A jump ordered at the end of a bar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Jump {
    /// From the beginning.
    DaCapo,
    /// From the beginning to the mark `Fine`.
    DaCapoAlFine,
    /// From the beginning, then to the coda.
    DaCapoAlCoda,
    /// From the segno.
    DalSegno,
    /// From the segno to the mark `Fine`.
    DalSegnoAlFine,
    /// From the segno, then to the coda.
    DalSegnoAlCoda,
    /// On the last time through, to the coda.
    ToCoda,
}

/// A mark that jumps refer to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Landmark {
    /// Segno, at the start of a bar.
    Segno,
    /// Coda, at the start of a bar.
    Coda,
    /// Fine, at the end of a bar.
    Fine,
}

/// A sign on a head, rest or barline.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mark {
    /// Staccato dot.
    Staccato,
    /// Staccatissimo wedge.
    Wedge,
    /// Tenuto line.
    Tenuto,
    /// Accent.
    Accent,
    /// Strong accent.
    Marcato,
    /// Fermata.
    Fermata,
    /// Inverted fermata.
    FermataBelow,
    /// Trill.
    Trill,
    /// Turn.
    Turn,
    /// Inverted turn.
    InvertedTurn,
    /// Mordent with the lower note (with its stroke).
    LowerMordent,
    /// Mordent with the upper note.
    UpperMordent,
    /// Irish roll.
    Roll,
    /// Up-bow sign.
    UpBow,
    /// Down-bow sign.
    DownBow,
    /// Breath comma after the note.
    Breath,
    /// Caesura after the note.
    Caesura,
    /// Arpeggio.
    Arpeggio,
    /// Slide into the note.
    Slide,
    /// A fingering digit written by the author.
    Finger(u8),
    /// Loudness, from 0 `pppp` to 9 `ffff`; 10 is `sfz`.
    Dynamic(u8),
    /// A crescendo wedge begins.
    CrescendoStart,
    /// A crescendo wedge ends.
    CrescendoEnd,
    /// A diminuendo wedge begins.
    DiminuendoStart,
    /// A diminuendo wedge ends.
    DiminuendoEnd,
}

/// Where an annotation stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Placement {
    /// Above the staff.
    Above,
    /// Below the staff.
    Below,
    /// Left of the head.
    Left,
    /// Right of the head.
    Right,
}

/// Free text at an event.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Annotation {
    /// Where.
    pub placement: Placement,
    /// What.
    pub text: String,
}

/// How a syllable joins its neighbours.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Syllable {
    /// A word of one syllable, or the last of a word.
    End,
    /// A hyphen follows.
    Hyphen,
}

/// A syllable under a head.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Lyric {
    /// The text, without hyphen; empty when only the previous syllable is held on.
    pub text: String,
    /// What follows it.
    pub joint: Syllable,
    /// Whether this head carries on the previous syllable (an extender or hyphens run through it).
    pub held: bool,
}
