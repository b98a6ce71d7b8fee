//! What page making takes: the book, and for every chapter and tune what the other rooms made of it.

use super::document::Facts;
use crate::book::{Book, TuneEntry};
use crate::diag::Excerpt;
use crate::engrave::System;
use crate::fingering::Plan;
use crate::text::Block;
use std::sync::Arc;

/// A short example inside a text, engraved.
#[derive(Debug, Clone, PartialEq)]
pub struct Example {
    /// The excerpt as the text gives it; looked up by being equal.
    pub source: Excerpt,
    /// Its systems.
    pub systems: Vec<System>,
    /// Alternative text of each system.
    pub alt: Vec<Arc<str>>,
}

/// One tune as it goes on the page.
#[derive(Debug, Clone)]
pub struct TuneMaterial<'a> {
    /// The entry of the book.
    pub entry: &'a TuneEntry,
    /// How it is played.
    pub plan: &'a Plan,
    /// Its systems, top to bottom, engraved for the width of the type area.
    pub systems: Vec<System>,
    /// Alternative text of each system.
    pub alt: Vec<Arc<str>>,
    /// The commentary, facts filled in; headings that name bars say which bars the blocks after them speak of.
    pub commentary: Vec<Block>,
    /// Notes for the teacher; set only when not empty.
    pub teacher_notes: Vec<Block>,
    /// For the record of the printed book: bar label and the plain facts of its notes, one entry a bar, in written order.
    pub facts: Vec<(String, Facts)>,
}

/// All that a book is laid out from.
#[derive(Debug, Clone)]
pub struct Material<'a> {
    /// The book.
    pub book: &'a Book,
    /// The imprint's notice.
    pub notice: Vec<Block>,
    /// What stands on the back of the cover.
    pub cover: Vec<Block>,
    /// The chapters' texts, one entry a chapter.
    pub chapters: Vec<Vec<Block>>,
    /// The tunes in the book's order.
    pub tunes: Vec<TuneMaterial<'a>>,
    /// The engraved examples of all texts.
    pub examples: Vec<Example>,
}
