//! How authors name bars and notes, and how the program does.

use std::fmt;

/// A head or a grace note of a tune, fixed once when the tune is read: an index in written order, graces before the head
/// they belong to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct NoteId(pub u32);

impl NoteId {
    /// The index as it is used to look into a plan.
    pub const fn index(self) -> usize {
        self.0 as usize
    }
}

/// The number of a bar as printed: a pick-up is 0, the first full bar 1; the second half of a bar that a repeat sign splits
/// shares its number and is written `8+`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct BarLabel {
    /// The number.
    pub number: u32,
    /// Whether it is the second half of a split bar.
    pub second_half: bool,
}

impl BarLabel {
    /// A whole bar's number.
    pub const fn new(number: u32) -> Self {
        Self { number, second_half: false }
    }
    /// Reads `8` or `8+`.
    pub fn parse(text: &str) -> Option<Self> {
        let (digits, second_half) = match text.strip_suffix('+') {
            Some(digits) => (digits, true),
            None => (text, false),
        };
        let number = digits.parse().ok()?;
        digits.bytes().all(|b| b.is_ascii_digit()).then_some(Self { number, second_half })
    }
}

impl fmt::Display for BarLabel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.number, if self.second_half { "+" } else { "" })
    }
}

/// A note as an author names it: `3.1`, `8+.2`, and `3.2g1` for the first grace note before note 2 of bar 3.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Address {
    /// The bar.
    pub bar: BarLabel,
    /// The head in the bar, from 1.
    pub note: u32,
    /// The grace note before that head, from 1.
    pub grace: Option<u32>,
}

impl Address {
    /// Reads `3.1`, `8+.2`, `3.2g1`.
    pub fn parse(text: &str) -> Option<Self> {
        let (bar, rest) = text.split_once('.')?;
        let (note, grace) = match rest.split_once('g') {
            Some((note, grace)) => (note, Some(grace.parse().ok().filter(|n| *n > 0)?)),
            None => (rest, None),
        };
        let note = note.parse().ok().filter(|n| *n > 0)?;
        Some(Self { bar: BarLabel::parse(bar)?, note, grace })
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{}", self.bar, self.note)?;
        self.grace.map_or(Ok(()), |grace| write!(f, "g{grace}"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_read_and_write_the_same() {
        for text in ["3.1", "8+.2", "3.2g1", "0.1"] {
            assert_eq!(Address::parse(text).map(|a| a.to_string()).as_deref(), Some(text));
        }
        for text in ["3", "3.0", "x.1", "3.1g0", "-1.1", "3.1g"] {
            assert_eq!(Address::parse(text), None, "{text}");
        }
    }
}
