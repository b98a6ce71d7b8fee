//! The types of a box.

use crate::tune::{Pitch, PitchClass};
use std::fmt;

/// Which way the bellows go. Push closes them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Direction {
    /// Closing.
    Push,
    /// Opening.
    Pull,
}

impl Direction {
    /// Both.
    pub const BOTH: [Self; 2] = [Self::Push, Self::Pull];
    /// The other one.
    pub const fn turned(self) -> Self {
        match self {
            Self::Push => Self::Pull,
            Self::Pull => Self::Push,
        }
    }
}

impl fmt::Display for Direction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Push => "push",
            Self::Pull => "pull",
        })
    }
}

/// Where a row lies: outer is furthest from the bellows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RowAt {
    /// Furthest from the bellows.
    Outer,
    /// Next to it, towards the bellows.
    Inner,
    /// A half row of helper buttons, nearest the bellows.
    Half,
}

impl fmt::Display for RowAt {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Outer => "outer",
            Self::Inner => "inner",
            Self::Half => "half",
        })
    }
}

/// A button of the right hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ButtonId {
    /// Its row.
    pub row: RowAt,
    /// Its number in the row, from 1 at the chin.
    pub number: u8,
}

impl fmt::Display for ButtonId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.row, self.number)
    }
}

/// What a button gives.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Button {
    /// On the push.
    pub push: Pitch,
    /// On the pull.
    pub pull: Pitch,
}

impl Button {
    /// What it gives in a direction.
    pub const fn pitch(&self, direction: Direction) -> Pitch {
        match direction {
            Direction::Push => self.push,
            Direction::Pull => self.pull,
        }
    }
}

/// One row of the right hand.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Where it lies.
    pub at: RowAt,
    /// The note it is named after, such as `D`.
    pub name: String,
    /// The button whose push gives the low tonic; 0 for a half row.
    pub start: u8,
    /// How far the row is shifted towards the lap against the outer row, in buttons.
    pub offset: f64,
    /// From the chin.
    pub buttons: Vec<Button>,
}

/// Bass or chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LeftKind {
    /// A single bass note.
    Bass,
    /// A chord.
    Chord,
}

/// Major or minor third in a chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Triad {
    /// Major third.
    Major,
    /// Minor third.
    Minor,
}

/// What a left-hand button gives in one direction: a root and, for chords, its third.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LeftSound {
    /// The bass note, or the root of the chord.
    pub root: PitchClass,
    /// The third of a chord; meaningless for a bass.
    pub triad: Triad,
}

impl LeftSound {
    /// The author's name: capital for a bass, small for a chord (`g`, `em`).
    pub fn name(&self, kind: LeftKind) -> String {
        match (kind, self.triad) {
            (LeftKind::Bass, _) => self.root.to_string(),
            (LeftKind::Chord, triad) => {
                let mut name = self.root.to_string();
                name[..1].make_ascii_lowercase();
                if triad == Triad::Minor {
                    name.push('m');
                }
                name
            }
        }
    }
}

/// A left-hand button, as an index into [`LeftHand::buttons`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct LeftButtonId(pub usize);

/// One button of the left hand.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct LeftButton {
    /// Its row.
    pub row: RowAt,
    /// Its number in the row, from 1 at the chin.
    pub number: u8,
    /// Bass or chord.
    pub kind: LeftKind,
    /// On the push.
    pub push: LeftSound,
    /// On the pull.
    pub pull: LeftSound,
}

impl LeftButton {
    /// What it gives in a direction.
    pub const fn sound(&self, direction: Direction) -> LeftSound {
        match direction {
            Direction::Push => self.push,
            Direction::Pull => self.pull,
        }
    }
}

/// Whether the box sounds the thirds of its chords.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Thirds {
    /// Chords are major or minor.
    In,
    /// A stop or tape takes the thirds out: roots and fifths only.
    Out,
}

/// The left hand of a box.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct LeftHand {
    /// Its rows, outer first.
    pub rows: Vec<RowAt>,
    /// Its buttons, row by row, from the chin.
    pub buttons: Vec<LeftButton>,
    /// Whether thirds sound.
    pub thirds: Thirds,
}

/// How long a full bellows lasts.
#[derive(Debug, Clone, PartialEq)]
pub struct Bellows {
    /// Seconds with one melody note, bass and chord sounding.
    pub seconds: f64,
    /// Where the figure is from.
    pub source: String,
}

/// A box.
#[derive(Debug, Clone, PartialEq)]
pub struct Instrument {
    /// The name it is chosen by, such as `dg-21-third`, or the path of the author's file.
    pub id: String,
    /// The name in words.
    pub name: String,
    /// The family, such as `dg`: boxes of one family differ in their ends and starts only.
    pub family: String,
    /// Right-hand rows, outer first.
    pub rows: Vec<Row>,
    /// The left hand.
    pub left: LeftHand,
    /// The bellows.
    pub bellows: Bellows,
    /// Where the layout is from, and how sure it is.
    pub source: String,
}

impl Instrument {
    /// A row by where it lies.
    pub fn row(&self, at: RowAt) -> Option<&Row> {
        self.rows.iter().find(|row| row.at == at)
    }
    /// A button, if the box has it.
    pub fn button(&self, id: ButtonId) -> Option<&Button> {
        self.row(id.row)?.buttons.get(usize::from(id.number.checked_sub(1)?))
    }
    /// All right-hand buttons, row by row from the outer one, from the chin.
    pub fn buttons(&self) -> impl Iterator<Item = (ButtonId, &Button)> {
        self.rows.iter().flat_map(|row| {
            (1u8..).zip(&row.buttons).map(|(number, button)| (ButtonId { row: row.at, number }, button))
        })
    }
    /// Every way to sound a pitch (by MIDI key number): direction and button.
    pub fn ways(&self, midi: i32) -> Vec<(Direction, ButtonId)> {
        self.buttons()
            .flat_map(|(id, button)| {
                Direction::BOTH
                    .into_iter()
                    .filter(move |direction| button.pitch(*direction).midi() == midi)
                    .map(move |direction| (direction, id))
            })
            .collect()
    }
    /// Where a button lies along the keyboard in buttons from the outer row's first, its row's stagger counted in.
    pub fn along(&self, id: ButtonId) -> f64 {
        f64::from(id.number) + self.row(id.row).map_or(0.0, |row| row.offset)
    }
}
