//! Markdown and words into set lines: break classes, hyphenation, optimum breaks, justification.
//!
//! Takes excerpts of the author's Markdown and a [`TextStyle`](crate::style::TextStyle); gives lines and blocks whose heights
//! are whole steps of the leading, each with its tag. Knows no page, no music and no plan: facts in braces are handed back as
//! [`Inline::Fact`] and filled in by [`fill`], signs come as frames, examples go on as [`Content::Music`].
//!
//! ```text
//! parse(&Excerpt, &mut Sink) -> Vec<Block>
//! fill(&mut [Block], |fact, place, sink| -> Option<String>, &mut Sink)
//! Typesetter::new(&Fonts, &TextStyle).with_signs(&BTreeMap<String, Frame>)
//!     .set(&[Inline], &ParagraphLook, width, &mut Sink) -> Vec<Line>
//!     .set_blocks(&[Block], &Surroundings, width, &mut Sink) -> Vec<SetBlock>
//! ```

mod bars;
mod blocks;
mod breaks;
mod code;
mod collect;
mod compose;
mod contract;
mod fill;
mod hyphen;
mod itemize;
mod letters;
mod looks;
mod markdown;
mod model;
mod opportunities;
mod runs;
mod table;
mod turned;
mod typesetter;
mod words;

pub use bars::named_bars;
pub use code::longest_code;
pub use contract::{
    Align, BarSpan, Container, Content, Keep, Line, ParagraphLook, SIGN_WORDS, SetBlock, Surroundings, baseline, steps,
};
pub use fill::fill;
pub use hyphen::word_divisions;
pub use letters::plain_letters;
pub use markdown::parse;
pub use model::{Block, ColumnAlign, Inline, Table, anchors};
pub use opportunities::line_breaks;
pub use turned::sign as turn_sign;
pub use typesetter::Typesetter;
