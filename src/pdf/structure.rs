//! The structure of what is painted: tagged elements in reading order, each with its marked content.
//!
//! A painter fills one [`Tree`] a sheet side; [`super::tags`] joins them into the file. Source: ISO 32000-1, 14.7 and 14.8.

use crate::frame::{Role, Tag};
use crate::geom::Rect;
use std::num::NonZeroU32;
use std::sync::Arc;

/// What stands under an element.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kid {
    /// A marked-content sequence of the side, by its number.
    Content(i64),
    /// Another element, by its index in the tree.
    Node(usize),
    /// A link annotation of the side, by its index.
    Link(usize),
}

/// The type of an element.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// As the layout says.
    Role(Role),
    /// The body of a list item.
    ListBody,
}

/// One element.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Node {
    /// Its type.
    pub(super) kind: Kind,
    /// The element of the document that it is a part of, where sides part one.
    pub(super) whole: Option<NonZeroU32>,
    /// Alternative text.
    pub(super) alt: Option<Arc<str>>,
    /// Language.
    pub(super) lang: Option<Arc<str>>,
    /// The element that holds it; none at the top of the side.
    pub(super) parent: Option<usize>,
    /// What it holds, in order.
    pub(super) kids: Vec<Kid>,
    /// Where it lies on the side, for figures; boxed, for most elements are none.
    pub(super) area: Option<Box<Rect>>,
}

/// The elements of one sheet side.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Tree {
    /// All elements.
    pub(super) nodes: Vec<Node>,
    /// The elements at the top, in order.
    pub(super) tops: Vec<usize>,
    /// Which element each marked-content sequence belongs to.
    pub(super) contents: Vec<usize>,
}

impl Tree {
    /// Adds an element under another.
    pub(super) fn add(&mut self, parent: Option<usize>, kind: Kind, tag: Option<&Tag>, area: Option<Rect>) -> usize {
        let index = self.nodes.len();
        self.nodes.push(Node {
            kind,
            whole: tag.and_then(|tag| tag.whole),
            alt: tag.and_then(|tag| tag.alt.clone()),
            lang: tag.and_then(|tag| tag.lang.clone()),
            parent,
            kids: Vec::new(),
            area: area.map(Box::new),
        });
        match parent {
            Some(parent) => self.nodes[parent].kids.push(Kid::Node(index)),
            None => self.tops.push(index),
        }
        index
    }
    /// A new marked-content sequence of an element; gives its number.
    pub(super) fn content(&mut self, node: usize) -> i64 {
        let number = i64::try_from(self.contents.len()).unwrap_or(i64::MAX);
        self.contents.push(node);
        self.nodes[node].kids.push(Kid::Content(number));
        number
    }
    /// Whether an element or one above it is of a role.
    pub(super) fn is_within(&self, mut node: Option<usize>, role: Role) -> bool {
        while let Some(index) = node {
            if self.nodes[index].kind == Kind::Role(role) {
                return true;
            }
            node = self.nodes[index].parent;
        }
        false
    }
}

impl Kind {
    /// The standard structure type (ISO 32000-1, 14.8.4).
    pub(super) const fn name(self) -> &'static str {
        match self {
            Self::ListBody => "LBody",
            Self::Role(role) => match role {
                Role::Heading(1) => "H1",
                Role::Heading(2) => "H2",
                Role::Heading(3) => "H3",
                Role::Heading(4) => "H4",
                Role::Heading(5) => "H5",
                Role::Heading(_) => "H6",
                Role::Paragraph => "P",
                Role::List(_) => "L",
                Role::ListItem => "LI",
                Role::Label => "Lbl",
                Role::Table => "Table",
                Role::TableRow => "TR",
                Role::TableHead | Role::TableBand(_) => "TH",
                Role::TableCell => "TD",
                Role::Quote => "BlockQuote",
                Role::Figure => "Figure",
                Role::Caption => "Caption",
                Role::Contents => "TOC",
                Role::ContentsItem => "TOCI",
                Role::Span => "Span",
                Role::Link => "Link",
                Role::Artifact | Role::Header | Role::Footer => "Artifact",
            },
        }
    }
}
