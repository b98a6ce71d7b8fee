//! What setting takes and gives: the look of a paragraph, set lines, set blocks.

use crate::diag::{Excerpt, Place};
use crate::font::{Cut, Weight};
use crate::frame::{Frame, Ink, Tag};
use crate::geom::{Abs, Size};
use crate::style::{Family, TextStyle};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Words that stand between colons in Markdown for a sign: `:outer:` is the head of the outer row.
pub const SIGN_WORDS: [&str; 11] =
    ["outer", "inner", "half", "push", "pull", "reversal", "replay", "place", "air-in", "air-out", "button"];

/// Where lines stand in their column.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Align {
    /// Flush left, ragged right.
    #[default]
    Left,
    /// Flush on both sides, the last line ragged.
    Justified,
    /// Flush right.
    Right,
    /// Centred.
    Centre,
}

/// How a paragraph looks. Made from a [`TextStyle`] by the functions of `looks.rs`.
#[derive(Debug, Clone, PartialEq)]
pub struct ParagraphLook {
    /// Family.
    pub family: Family,
    /// Weight of plain words.
    pub weight: Weight,
    /// Whether plain words are italic.
    pub italic: bool,
    /// Optical cut.
    pub cut: Cut,
    /// Type size.
    pub size: Abs,
    /// Height of a line in steps of the book's leading, at least 1.
    pub steps: u32,
    /// Alignment.
    pub align: Align,
    /// Indent of the first line.
    pub indent: Abs,
    /// Whether words may be divided.
    pub hyphenate: bool,
    /// Old-style figures.
    pub old_style: bool,
    /// Figures of one width.
    pub tabular: bool,
    /// The ink.
    pub ink: Ink,
}

/// One set line. Its frame is the column wide and a whole number of steps high, so lines stack without gaps; its baseline is
/// [`baseline`](super::baseline) from the top of its last step, whatever the type size, so facing pages agree.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The ink.
    pub frame: Frame,
    /// Width of the words as set, without what hangs out.
    pub width: Abs,
    /// How far the spaces are stretched (positive) or shrunk (negative), as a share of what they can; 0 in ragged lines.
    pub ratio: f64,
    /// Whether it ends in a divided word.
    pub hyphenated: bool,
}

/// What a set block holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Content {
    /// Lines that a page may part according to the block's rules.
    Lines(Vec<Line>),
    /// One piece that can't be parted, a whole number of steps high.
    Piece(Frame),
    /// Room for a picture; the page puts its pixels there.
    Picture {
        /// The path as written.
        path: String,
        /// What it shows.
        alt: String,
        /// The size it is to have.
        size: Size,
        /// Where it is named.
        place: Place,
    },
    /// A short example to be engraved.
    Music(Excerpt),
}

/// How a block holds to the one after it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Keep {
    /// A page may end between them.
    #[default]
    Loosely,
    /// Better on one page, unless that leaves too much of the page before it white.
    Rather,
    /// On one page.
    Always,
}

/// What holds several blocks together for a reader: a list, an item of one, a table, a quotation. Blocks with the same number that follow
/// one another belong to one container.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Container {
    /// Its tag.
    pub tag: Tag,
    /// Its number within one call.
    pub number: u32,
}

/// The bars a piece of commentary speaks of, as the author wrote them: `5` and `8+`.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct BarSpan {
    /// First bar.
    pub first: String,
    /// Last bar; the same as the first for one bar.
    pub last: String,
    /// Where it is written.
    pub place: Option<Place>,
}

/// One block, set. All heights are whole steps of the book's leading.
#[derive(Debug, Clone, PartialEq)]
pub struct SetBlock {
    /// Its ink.
    pub content: Content,
    /// What it is for a reader.
    pub tag: Tag,
    /// The lists with their items, tables and quotations it is part of, outermost first.
    pub containers: Vec<Container>,
    /// Empty steps before it, left out at the head of a page.
    pub space_before: u32,
    /// Whether at least the next block's first lines must be on the same page.
    pub keep_with_next: Keep,
    /// Whether a page may part its lines.
    pub may_split: bool,
    /// Whether a line of code in it goes on below, after the sign of [`turn_sign`](super::turn_sign).
    pub is_turned: bool,
    /// The least number of its lines at a page's foot (orphans) when parted.
    pub least_first: u32,
    /// The least number of its lines at a page's head (widows) when parted.
    pub least_last: u32,
    /// A label that stands beside its first line: set with its right edge at the column's left edge less
    /// half a step; its frame is as high as the first line. Takes no height of its own.
    pub hang: Option<Frame>,
    /// The bars it speaks of; the same for all blocks under one `Bars` heading.
    pub bars: Option<BarSpan>,
    /// What it explains, where it is an item of a list that does: see [`Inline::explained`](super::Inline::explained).
    pub terms: Vec<String>,
    /// The words of a heading with its level, for outlines and running heads.
    pub heading: Option<(u8, String)>,
    /// The head of the table whose row it is, to be drawn again where the row begins a page.
    pub head: Option<Arc<Frame>>,
}

/// What blocks need beyond fonts, style and signs.
#[derive(Debug, Clone, Copy, Default)]
pub struct Surroundings<'a> {
    /// Sizes of pictures when nothing scales them, by path as written; none where it has been told why one can't be set.
    pub pictures: Option<&'a BTreeMap<String, Option<Size>>>,
    /// Whether headings that name bars (`Bars 1-2`) become labels beside the text.
    pub hang_bars: bool,
    /// The height of a page: no picture and no row of a table is higher.
    pub height: Option<Abs>,
    /// The width that lines of code may take where the column is too narrow for them.
    pub widest: Option<Abs>,
}

/// The distance from the top of a step to the baseline in it.
pub fn baseline(style: &TextStyle) -> Abs {
    style.leading * BASELINE
}

/// Share of a step above the baseline. Three quarters leave room for the descenders of the carried faces (0.24 em) when
/// leading is 1.2 em or more (our choice; no source).
const BASELINE: f64 = 0.75;

/// A number of whole steps.
pub fn steps(style: &TextStyle, count: u32) -> Abs {
    style.leading * f64::from(count)
}
