//! What a score asks for at single notes: the way of the bellows, the row. A tune file says it by pins.

use crate::tune::Address;

/// What is asked for at one note.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Asked {
    /// To be played on the push.
    Push,
    /// To be played on the pull.
    Pull,
    /// On the row furthest from the bellows.
    OuterRow,
    /// On the row next to it.
    InnerRow,
    /// On the half row of helper buttons.
    HalfRow,
}

impl Asked {
    /// The key of a pin, and its value.
    pub const fn pin(self) -> (&'static str, &'static str) {
        match self {
            Self::Push => ("direction", "push"),
            Self::Pull => ("direction", "pull"),
            Self::OuterRow => ("row", "outer"),
            Self::InnerRow => ("row", "inner"),
            Self::HalfRow => ("row", "half"),
        }
    }
}

/// A note and what is asked for there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wish {
    /// The note.
    pub note: Address,
    /// What is asked for.
    pub asked: Asked,
}
