//! Markdown as blocks and inlines, each inline with its place in the author's file.

use crate::diag::{Excerpt, Place};
use crate::frame::LinkTarget;

/// A block of a text.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading of a level from 1 to 6.
    Heading {
        /// The level.
        level: u8,
        /// Its words.
        inlines: Vec<Inline>,
    },
    /// A paragraph.
    Paragraph(Vec<Inline>),
    /// A list.
    List {
        /// Whether its items are numbered.
        ordered: bool,
        /// The first number.
        start: u64,
        /// The items.
        items: Vec<Vec<Block>>,
    },
    /// A table; rows are as wide as the head.
    Table(Table),
    /// A quotation.
    Quote(Vec<Block>),
    /// A picture that stands alone.
    Image {
        /// The path as written.
        path: String,
        /// What it shows, in words.
        alt: String,
        /// Where it is named.
        place: Place,
    },
    /// A short example in ABC: a fenced block named `abc`.
    Music(Excerpt),
    /// A fenced or indented block of another kind: its lines stand as typed.
    Code {
        /// The lines, joined by line ends.
        text: String,
        /// Where it starts.
        place: Place,
    },
    /// A rule between sections.
    Rule,
}

/// A table.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    /// How each column is aligned.
    pub columns: Vec<ColumnAlign>,
    /// The cells of the heading row; may all be empty.
    pub head: Vec<Vec<Inline>>,
    /// The cells, row by row.
    pub rows: Vec<Vec<Vec<Inline>>>,
    /// Where it starts; `None` for a table that no author wrote.
    pub place: Option<Place>,
}

/// How the cells of a column are aligned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum ColumnAlign {
    /// To the left.
    #[default]
    Left,
    /// Centred.
    Centre,
    /// To the right.
    Right,
}

/// A part of a line of text.
#[derive(Debug, Clone, PartialEq)]
pub enum Inline {
    /// Words.
    Text {
        /// The words.
        text: String,
        /// Where they start; `None` for words that no author wrote.
        place: Option<Place>,
    },
    /// Emphasis: italics, or semibold where italics are not allowed.
    Emphasis(Vec<Inline>),
    /// Strong emphasis: bold.
    Strong(Vec<Inline>),
    /// Words exactly as typed.
    Code {
        /// The words.
        text: String,
        /// Where they start.
        place: Option<Place>,
    },
    /// A link: an address on the net, or a place in the book (`#my-box`, `tune:tin-lantern`).
    Link {
        /// Where it leads.
        target: LinkTarget,
        /// Its words.
        inlines: Vec<Inline>,
    },
    /// A line end that the author asks for.
    LineBreak,
    /// A fact in braces, to be filled in before setting: for `{how 3.1}` the text `how 3.1`.
    Fact {
        /// What stands between the braces.
        text: String,
        /// Where the opening brace stands.
        place: Place,
    },
    /// A sign between colons, `:outer:`, drawn like on the music; see [`SIGN_WORDS`](super::SIGN_WORDS).
    Sign {
        /// The word between the colons.
        word: String,
        /// Where the first colon stands.
        place: Option<Place>,
    },
}

impl Block {
    /// Whether there is code in any of the blocks.
    pub fn any_code(blocks: &[Self]) -> bool {
        blocks.iter().any(|block| match block {
            Self::Heading { inlines, .. } | Self::Paragraph(inlines) => Inline::any_code(inlines),
            Self::List { items, .. } => items.iter().any(|item| Self::any_code(item)),
            Self::Table(table) => {
                table.head.iter().chain(table.rows.iter().flatten()).any(|cell| Inline::any_code(cell))
            }
            Self::Quote(inner) => Self::any_code(inner),
            Self::Code { .. } => true,
            Self::Image { .. } | Self::Music(_) | Self::Rule => false,
        })
    }
}

/// The places of the book that a text links to (`tune:tin-lantern`), each with the place of the link's words.
pub fn anchors(blocks: &[Block]) -> Vec<(&str, Option<Place>)> {
    let mut found = Vec::new();
    for block in blocks {
        match block {
            Block::Heading { inlines, .. } | Block::Paragraph(inlines) => anchors_in(inlines, &mut found),
            Block::List { items, .. } => items.iter().for_each(|item| found.extend(anchors(item))),
            Block::Table(table) => {
                table.head.iter().chain(table.rows.iter().flatten()).for_each(|cell| anchors_in(cell, &mut found));
            }
            Block::Quote(inner) => found.extend(anchors(inner)),
            Block::Image { .. } | Block::Music(_) | Block::Code { .. } | Block::Rule => {}
        }
    }
    found
}

fn anchors_in<'a>(inlines: &'a [Inline], found: &mut Vec<(&'a str, Option<Place>)>) {
    for inline in inlines {
        match inline {
            Inline::Link { target: LinkTarget::Anchor(anchor), inlines } => {
                found.push((anchor, inlines.iter().find_map(Inline::place)));
            }
            Inline::Link { inlines, .. } | Inline::Emphasis(inlines) | Inline::Strong(inlines) => {
                anchors_in(inlines, found);
            }
            _ => {}
        }
    }
}

impl Inline {
    /// What an item of a list explains: the bold words, or those as typed, with which it begins, one or several with commas
    /// between, if a colon follows; in French a blank stands before it.
    pub fn explained(item: &[Block]) -> Vec<String> {
        let mut found = Vec::new();
        let Some(Block::Paragraph(inlines)) = item.first() else { return found };
        for inline in inlines {
            match inline {
                Self::Code { text, .. } => found.push(text.clone()),
                Self::Strong(inner) => found.push(Self::plain(inner)),
                Self::Text { text, .. } if text.trim_start().starts_with(':') => return found,
                Self::Text { text, .. } if text.trim() == "," => {}
                _ => break,
            }
        }
        Vec::new()
    }
    /// Words that no author wrote.
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text { text: text.into(), place: None }
    }
    /// Where its first words stand, if an author wrote them.
    pub fn place(&self) -> Option<Place> {
        match self {
            Self::Text { place, .. } | Self::Code { place, .. } | Self::Sign { place, .. } => *place,
            Self::Emphasis(inner) | Self::Strong(inner) | Self::Link { inlines: inner, .. } => {
                inner.iter().find_map(Self::place)
            }
            Self::LineBreak => None,
            Self::Fact { place, .. } => Some(*place),
        }
    }
    fn any_code(inlines: &[Self]) -> bool {
        inlines.iter().any(|inline| match inline {
            Self::Code { .. } => true,
            Self::Emphasis(inner) | Self::Strong(inner) | Self::Link { inlines: inner, .. } => Self::any_code(inner),
            _ => false,
        })
    }
    /// What it says, without emphasis and links, for outlines and alternative text.
    pub fn plain(inlines: &[Self]) -> String {
        let mut out = String::new();
        plain_into(inlines, &mut out);
        out
    }
}

fn plain_into(inlines: &[Inline], out: &mut String) {
    for inline in inlines {
        match inline {
            Inline::Text { text, .. } | Inline::Code { text, .. } => out.push_str(text),
            Inline::Emphasis(inner) | Inline::Strong(inner) | Inline::Link { inlines: inner, .. } => {
                plain_into(inner, out);
            }
            Inline::LineBreak => out.push(' '),
            Inline::Fact { text, .. } | Inline::Sign { word: text, .. } => out.push_str(text),
        }
    }
}
