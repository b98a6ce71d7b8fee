//! The look of music and text.

use crate::geom::Abs;

/// A notehead shape that codes a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum HeadShape {
    /// The font's own oval head.
    Oval,
    /// Our square.
    Square,
    /// Our triangle, point up.
    Triangle,
    /// Our diamond.
    Diamond,
    /// The oval with a cross.
    Cross,
}

/// Which shape codes which row.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct RowShapes {
    /// The outer row.
    pub outer: HeadShape,
    /// The inner row.
    pub inner: HeadShape,
    /// A half row.
    pub half: HeadShape,
}

/// How reversal and replay are shown.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum SoundingLook {
    /// A bar in a lane under the staff from head to head.
    HoldBar,
    /// Characters of the author's under the second note.
    Characters {
        /// For a reversal.
        reversal: String,
        /// For a replay.
        replay: String,
    },
}

/// How the direction of the bellows is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DirectionLook {
    /// A band in a lane above the staff, filled over the pull.
    Band,
    /// Arrows where the bellows turn.
    Arrows,
    /// Words where they turn.
    Words,
    /// Not at all.
    None,
}

/// Whether button numbers are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ButtonLook {
    /// Not at all.
    None,
    /// In a lane below the staff, inner-row numbers boxed.
    Below,
}

/// Where fingers are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FingerLook {
    /// Not at all.
    None,
    /// In a lane above the staff.
    Above,
}

/// Which finger is number 1 in print.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FingerOne {
    /// The index finger.
    Index,
    /// The thumb (so that the index finger prints as 2).
    Thumb,
}

/// How the left hand is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LeftLook {
    /// Chords on a line over basses.
    TwoLines,
    /// Both on one line.
    OneLine,
    /// Not at all.
    None,
}

/// The row code and the marks.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Signs {
    /// Row shapes.
    pub rows: RowShapes,
    /// Reversal and replay.
    pub sounding: SoundingLook,
    /// Bellows direction.
    pub direction: DirectionLook,
    /// Button numbers.
    pub buttons: ButtonLook,
    /// Fingers.
    pub fingers: FingerLook,
    /// Which finger is 1.
    pub finger_one: FingerOne,
    /// The left hand.
    pub left: LeftLook,
    /// Whether counting syllables stand under the music.
    pub counting: bool,
    /// Whether chord symbols stand over the music.
    pub chord_symbols: bool,
}

impl Default for Signs {
    fn default() -> Self {
        Self {
            rows: RowShapes { outer: HeadShape::Oval, inner: HeadShape::Square, half: HeadShape::Triangle },
            sounding: SoundingLook::HoldBar,
            direction: DirectionLook::Band,
            buttons: ButtonLook::None,
            fingers: FingerLook::Above,
            finger_one: FingerOne::Index,
            left: LeftLook::TwoLines,
            counting: false,
            chord_symbols: true,
        }
    }
}

/// How music is set. Factors are independent, so that large print is a design and no enlargement.
#[derive(Debug, Clone, PartialEq)]
pub struct EngravingStyle {
    /// Height of one staff space.
    pub space: Abs,
    /// Horizontal room for durations against the normal, 1 in standard print.
    pub spacing: f64,
    /// Thickness of staff lines, stems, barlines, ledgers, slurs against the font's defaults.
    pub lines: f64,
    /// Size of fingers, places, marks, articulations against the normal.
    pub marks: f64,
    /// Size of letters in lanes (left hand, words, chord symbols) against the normal.
    pub text: f64,
    /// Smallest type in which words and numbers may stand on the music.
    pub smallest: Abs,
    /// At most so many bars a system; `None` for as many as fit well.
    pub most_bars: Option<u32>,
    /// The row code and the marks.
    pub signs: Signs,
    /// The family for labels and lane letters.
    pub labels: Family,
    /// Language tag for the words on the music (`push`, `pull`), such as `en-GB`.
    pub language: String,
}

/// A family of text faces.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// Source Serif 4.
    Serif,
    /// Source Sans 3.
    Sans,
    /// Atkinson Hyperlegible Next.
    Legible,
    /// A face whose characters are all of one width, for code.
    Mono,
    /// The faces that the book brings.
    Own,
}

/// How text is set.
#[derive(Debug, Clone, PartialEq)]
pub struct TextStyle {
    /// Family of running text.
    pub family: Family,
    /// Family of labels and headings beside music.
    pub labels: Family,
    /// Type size of running text.
    pub size: Abs,
    /// Line step of running text; everything on the page is whole steps of it.
    pub leading: Abs,
    /// Whether lines are justified (else ragged right).
    pub justified: bool,
    /// Whether words may be divided.
    pub hyphenate: bool,
    /// Language tag such as `en-GB`.
    pub language: String,
    /// Whether italics are allowed (large print uses semibold instead).
    pub italics: bool,
    /// Smallest size anything may be set in.
    pub smallest: Abs,
}
