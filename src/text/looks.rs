//! Named looks of paragraphs, made from the book's text style.
//!
//! A scale of few sizes: 1 for text, 0.85 for small text, 1.2, 1.5 and 2 for headings (our choice: steps of about a major
//! third and a fourth, so that each is seen to be another).

use super::contract::{Align, ParagraphLook};
use super::words::cut_for;
use crate::font::Weight;
use crate::frame::Ink;
use crate::geom::Abs;
use crate::style::{Family, TextStyle};

impl ParagraphLook {
    /// Running text: ragged or justified and divided as the style says.
    pub fn body(style: &TextStyle) -> Self {
        Self {
            family: style.family,
            weight: Weight::Regular,
            italic: false,
            cut: cut_for(style.size),
            size: style.size,
            steps: 1,
            align: if style.justified { Align::Justified } else { Align::Left },
            indent: Abs::ZERO,
            hyphenate: style.hyphenate,
            old_style: style.family == Family::Serif,
            tabular: false,
            ink: Ink::Black,
        }
    }
    /// A heading of a level from 1. Level 1 stands on two steps; all are ragged, and their words stay whole.
    pub fn heading(style: &TextStyle, level: u8) -> Self {
        let (factor, weight) = match level {
            0 | 1 => (1.5, Weight::Semibold),
            2 => (1.2, Weight::Semibold),
            _ => (1.0, Weight::Semibold),
        };
        Self::sized(style, factor, weight)
    }
    /// The title of a chapter or of the book: display cut on three steps.
    pub fn title(style: &TextStyle) -> Self {
        Self::sized(style, 2.0, Weight::Regular)
    }
    /// Small text in the labels' family: facts under a title, running heads, captions. Never smaller than the style allows.
    pub fn small(style: &TextStyle) -> Self {
        Self { family: style.labels, old_style: false, ..Self::sized(style, 0.85, Weight::Regular) }
    }
    /// A label in bold that hangs in the margin.
    pub fn hanging(style: &TextStyle) -> Self {
        Self { weight: Weight::Bold, tabular: true, ..Self::small(style) }
    }
    /// A cell of a table: lining figures of one width, never justified.
    pub fn cell(style: &TextStyle) -> Self {
        Self { align: Align::Left, old_style: false, tabular: true, ..Self::body(style) }
    }
    /// A cell of a table's heading row.
    pub fn cell_head(style: &TextStyle) -> Self {
        Self { weight: Weight::Semibold, hyphenate: false, ..Self::cell(style) }
    }

    fn sized(style: &TextStyle, factor: f64, weight: Weight) -> Self {
        let size = (style.size * factor).max(style.smallest);
        // A line needs 1.1 em at the least, in whole steps.
        let steps = (size * 1.1 / style.leading).ceil().clamp(1.0, 8.0) as u32;
        let body = Self::body(style);
        Self { weight, size, steps, cut: cut_for(size), align: Align::Left, hyphenate: false, ..body }
    }
    /// The same look with another alignment.
    #[must_use]
    pub fn aligned(self, align: Align) -> Self {
        Self { align, ..self }
    }
}
