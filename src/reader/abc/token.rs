//! What a line of music code is made of.
//!
//! Source: ABC 2.1 §4.

use crate::tune::{Accidental, BarlineStyle, Fraction, Step};

/// A token, and where it stands in its line of code.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Token {
    pub kind: Kind,
    /// Index of its first character.
    pub at: usize,
    /// How many characters it has.
    pub width: usize,
}

/// The kinds of token.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Kind {
    /// A note.
    Note(NoteText),
    /// `z` or `x` and its length.
    Rest { visible: bool, length: Fraction },
    /// `Z` or `X`: so many bars of rest.
    BarRests { visible: bool, bars: u32 },
    /// `y`.
    Spacer,
    /// A barline.
    Bar(BarText),
    /// `[1`: an ending without a barline of its own.
    Ending(Vec<u8>),
    /// `[` before a chord.
    ChordOpen,
    /// `]` and the length after it.
    ChordClose(Fraction),
    /// `{` or `{/`.
    GraceOpen { slashed: bool },
    /// `}`.
    GraceClose,
    /// `(`.
    SlurOpen { dotted: bool },
    /// `)`.
    SlurClose,
    /// `-`; whether it touches what stands before it.
    Tie { touching: bool },
    /// `(p:q:r`, with zero for what is not given.
    Tuplet { p: u32, q: u32, r: u32 },
    /// `>` (positive) or `<`, so many of them.
    Broken(i8),
    /// `!name!`.
    Decoration(String),
    /// A short letter for a decoration.
    Short(char),
    /// `"text"`, decoded.
    Text(String),
    /// `[K:G]`: letter, text, index of the text's first character.
    Field(char, String, usize),
    /// One or more blanks.
    Blank,
    /// `$` or `!` as a line break.
    LineBreak,
    /// `&`, so many of them.
    Overlay(usize),
}

/// A note as written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct NoteText {
    pub sign: Option<Accidental>,
    pub step: Step,
    /// As in scientific notation.
    pub octave: i32,
    /// In unit lengths.
    pub length: Fraction,
}

/// A barline as written.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BarText {
    /// The style for the bar before it.
    pub right: BarlineStyle,
    /// The style for the bar after it.
    pub left: BarlineStyle,
    /// Times that the music before is played in all; 0 for no repeat sign.
    pub repeat_end: u8,
    /// Times that the music after is to be played in all; 0 for no repeat sign.
    pub repeat_start: u8,
    /// The passes of an ending that touches it.
    pub ending: Vec<u8>,
}
