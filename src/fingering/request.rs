//! What the author asks of the solver: style, weights, pins, left hand, an earlier plan to keep.

use crate::diag::Place as FilePlace;
use crate::fingering::plan::{Air, CostKind, Sound};
use crate::instrument::{ButtonId, Direction, RowAt};
use crate::tune::{BarLabel, Fraction, NoteId, Pitch};

/// A way of playing: a set of weights.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Style {
    /// Stay on the row; the bellows give the rhythm.
    Along,
    /// Cross the rows; few turns.
    #[default]
    Smooth,
    /// Small span, slow changes.
    Easy,
}

/// One weight set by the author.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Weight {
    /// Which cost.
    pub kind: CostKind,
    /// Its price; never negative.
    pub price: u32,
}

/// A style with the author's own prices laid over it.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Weights {
    /// The style.
    pub style: Style,
    /// Prices that replace the style's.
    pub changed: Vec<Weight>,
}

/// Which notes a pin speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum NoteSpan {
    /// All notes of these bars, both ends included.
    Bars(BarLabel, BarLabel),
    /// One note.
    Note(NoteId),
}

/// Which pitch of a chord a pin names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ToneWish {
    /// The highest.
    Top,
    /// This one.
    Pitch(Pitch),
}

/// What a pin fixes. All that is given must hold.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct PinWish {
    /// Direction.
    pub direction: Option<Direction>,
    /// Row.
    pub row: Option<RowAt>,
    /// Button number in the row (in `row`, or in whichever row the note is then played).
    pub button: Option<u8>,
    /// Finger.
    pub finger: Option<u8>,
    /// Reversal or replay.
    pub sound: Option<Sound>,
    /// Index finger on this button from here on.
    pub place: Option<ButtonId>,
    /// Air after this note.
    pub air: Option<Air>,
}

/// Where a pin points.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct PinTarget {
    /// The notes.
    pub span: NoteSpan,
    /// One tone of a chord.
    pub tone: Option<ToneWish>,
}

/// One pin of the author's, checked against the tune, and already limited to this box.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Pin {
    /// Where it points.
    pub target: PinTarget,
    /// What it fixes.
    pub wish: PinWish,
    /// Where it is written.
    pub place: FilePlace,
    /// In what.
    pub written: Written,
}

/// In what a pin is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Written {
    /// As a pin.
    Pins,
    /// As a finger in the music.
    Music,
    /// As a finger in the music, which was fingered for another box than this.
    MusicOfOtherBox,
}

/// One token of a left-hand beat.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum LeftToken {
    /// Buttons pressed together, by their names (`G`, `em`).
    Press(Vec<String>),
    /// The last press goes on.
    Hold,
    /// Nothing.
    Rest,
}

/// The author's left hand for one bar: beats of tokens that share the beat equally.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct LeftBar {
    /// The bar.
    pub bar: BarLabel,
    /// Beats; `None` for "nothing in this bar".
    pub beats: Option<Vec<Vec<LeftToken>>>,
    /// Where it is written.
    pub place: FilePlace,
}

/// How the left hand is made up where the author writes no bar.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub enum LeftPattern {
    /// From the metre.
    #[default]
    Auto,
    /// Nothing.
    None,
    /// A pattern of this name from the table.
    Named(String),
}

/// The whole left hand.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct LeftHandSpec {
    /// The pattern.
    pub pattern: LeftPattern,
    /// Bars written by the author.
    pub bars: Vec<LeftBar>,
}

/// One note of a settled plan.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct SettledNote {
    /// Which note.
    pub note: NoteId,
    /// Its direction.
    pub direction: Direction,
    /// Its buttons and fingers, lowest pitch first.
    pub presses: Vec<(ButtonId, u8)>,
    /// Where the hand lies.
    pub place: ButtonId,
    /// Whether the note there is still the one that was settled.
    pub still_there: bool,
}

/// A plan kept from an earlier printing.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Settled {
    /// Its notes.
    pub notes: Vec<SettledNote>,
}

/// All that the author asks for one tune.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Request {
    /// Style and prices.
    pub weights: Weights,
    /// A pair on one button is sounded by reversal when the first note is quicker than this many seconds.
    pub reversal_under: Fraction,
    /// Pins.
    pub pins: Vec<Pin>,
    /// The left hand.
    pub left: LeftHandSpec,
    /// A plan to keep.
    pub settled: Option<Settled>,
    /// Whether one runner-up a tune is wanted (costs time).
    pub runners_up: bool,
    /// How the tune came to lie where it lies.
    pub moved: Moved,
    /// The box that the tune's pins were written for, where this is another.
    pub home: Option<Home>,
}

/// The book's own box, for the plan of an edition on another one; advice alone reckons with it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Home {
    /// The id of the box.
    pub id: String,
    /// By how many semitones the music moves from it to the other box.
    pub with_box: i32,
    /// Where the pins stand that were written for it.
    pub pins: Vec<FilePlace>,
}

/// By how many semitones a tune stands elsewhere than it is written; advice on other keys reckons from there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Moved {
    /// By the `transpose:` of its file.
    pub by_file: i32,
    /// With the box of an edition.
    pub with_box: i32,
}

impl Default for Request {
    fn default() -> Self {
        Self {
            weights: Weights::default(),
            // The trade's habit varies; 0.30 s is the book format's default (common practice, no source).
            reversal_under: Fraction::new(3, 10),
            pins: Vec::new(),
            left: LeftHandSpec::default(),
            settled: None,
            runners_up: false,
            moved: Moved::default(),
            home: None,
        }
    }
}
