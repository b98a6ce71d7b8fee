//! The long column that a book is before it is cut into pages: pieces one under the other, with what may happen between them.
//!
//! A piece never divides: a line of text, a system of music, a chart. Knows nothing of what is drawn in a piece.

use crate::frame::{Frame, Tag};
use crate::geom::Abs;
use std::sync::Arc;

/// White above a piece; it falls away at the head of a page.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Gap {
    /// As wide as it wants to be; may be negative where the outlines of two systems nest.
    pub natural: Abs,
    /// How much wider it may grow so that a page comes out full.
    pub stretch: Abs,
    /// How much narrower it may become.
    pub shrink: Abs,
}

/// Where a page that must begin may begin.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Opening {
    /// On the next page.
    Page,
    /// On a right-hand page, a blank one before it if need be.
    Recto,
    /// On a right-hand page if that costs nothing.
    LikesRecto,
    /// On a left-hand page, a blank one before it if need be: the back cover.
    Verso,
}

/// What may happen above a piece.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Before {
    /// A page may end.
    Free,
    /// A page may end, at a price.
    Dear(i64),
    /// No page may end: heading and text, first and last two lines of a paragraph.
    Never,
    /// A page must end.
    Opens(Opening),
}

/// What a piece is to the reader at a music stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum Substance {
    /// Text outside tunes.
    Text,
    /// Title, facts, systems of the tune of this number.
    Music(usize),
    /// What is said about the tune of this number.
    Commentary(usize),
}

impl Substance {
    /// The tune it belongs to.
    pub const fn tune(self) -> Option<usize> {
        match self {
            Self::Text => None,
            Self::Music(tune) | Self::Commentary(tune) => Some(tune),
        }
    }
}

/// What stands at the head of the page that a piece is on.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Running {
    /// The words for right-hand pages: chapter or part.
    pub recto: Arc<str>,
    /// Whether a page that opens with this piece goes without a running head.
    pub opener: bool,
    /// Whether such a page goes without a folio too (half-title, title, imprint, covers).
    pub display: bool,
    /// Whether the page is a cover.
    pub cover: bool,
}

/// One indivisible piece.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Piece {
    /// Its ink.
    pub frame: Arc<Frame>,
    /// Its ink on a left-hand page, where that is another.
    pub verso: Option<Arc<Frame>>,
    /// What is drawn once more above it where it begins a page: the head of its table.
    pub head: Option<Arc<Frame>>,
    /// The tags around it, outermost first, each with a number: neighbours with the same number share one group.
    pub tags: Vec<(u64, Tag)>,
    /// Its left edge from the left edge of the type area; negative hangs in the margin.
    pub x: Abs,
    /// How much of the column it takes.
    pub height: Abs,
    /// White above it.
    pub gap: Gap,
    /// What may happen above it.
    pub before: Before,
    /// Whether its top stands on the baseline grid.
    pub on_grid: bool,
    /// Whether it stands at the foot of its page when it is the last there.
    pub at_foot: bool,
    /// What it is to the reader.
    pub substance: Substance,
    /// The running head.
    pub running: Arc<Running>,
}

impl Piece {
    /// A piece of text: on the grid, no gap, a page may end before it.
    pub fn of_text(frame: Frame, height: Abs) -> Self {
        Self::of_shared(frame.shared(), height)
    }
    /// The same of a frame that others hold too.
    pub fn of_shared(frame: Arc<Frame>, height: Abs) -> Self {
        Self {
            frame,
            verso: None,
            head: None,
            tags: Vec::new(),
            x: Abs::ZERO,
            height,
            gap: Gap::default(),
            before: Before::Free,
            on_grid: true,
            at_foot: false,
            substance: Substance::Text,
            running: Arc::default(),
        }
    }
    /// The same piece with white above it.
    #[must_use]
    pub fn after(mut self, gap: Abs) -> Self {
        self.gap = Gap { natural: gap, stretch: Abs::ZERO, shrink: Abs::ZERO };
        self
    }
    /// The same piece inside a tag of its own.
    #[must_use]
    pub fn tagged(mut self, number: u64, tag: Tag) -> Self {
        self.tags.push((number, tag));
        self
    }
    /// The same piece with another rule above it.
    #[must_use]
    pub fn breaking(mut self, before: Before) -> Self {
        self.before = before;
        self
    }
}

/// Lines as pieces: no page ends before `least.0` lines are on it or with fewer than `least.1` to come.
pub(super) fn lines(frames: Vec<Frame>, least: (usize, usize), may_split: bool) -> Vec<Piece> {
    let count = frames.len();
    frames
        .into_iter()
        .enumerate()
        .map(|(n, frame)| {
            let height = frame.size.height;
            let free = may_split && n >= least.0 && count - n >= least.1;
            let before = if n == 0 || free { Before::Free } else { Before::Never };
            Piece::of_text(frame, height).breaking(before)
        })
        .collect()
}

/// A gap that neither grows nor shrinks.
pub(super) const fn fixed(natural: Abs) -> Gap {
    Gap { natural, stretch: Abs::ZERO, shrink: Abs::ZERO }
}
