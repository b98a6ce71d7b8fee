//! What page making gives: pages in reading order, the outline, and the record of what is on them.

use super::cover::Cover;
use crate::frame::{Frame, Uses};
use crate::geom::{Abs, Rect, Size};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Which side of a leaf.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// Right-hand, odd.
    Recto,
    /// Left-hand, even.
    Verso,
}

impl Side {
    /// The side of the page that follows.
    pub const fn next(self) -> Self {
        match self {
            Self::Recto => Self::Verso,
            Self::Verso => Self::Recto,
        }
    }
}

/// What a page is for, so that later stages can treat covers and blanks rightly.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SheetKind {
    /// Text or music.
    Body,
    /// Left empty because the order needs it.
    Blank,
    /// Front or back cover.
    Cover,
}

/// One trimmed page.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Its ink; the frame's size is the trimmed page.
    pub frame: Frame,
    /// Its printed or counted number: `iv`, `12`, `12a`.
    pub label: String,
    /// Recto or verso.
    pub side: Side,
    /// What it is for.
    pub kind: SheetKind,
}

/// One entry of the nested outline (bookmarks).
#[derive(Debug, Clone, PartialEq)]
pub struct OutlineEntry {
    /// Its text.
    pub title: String,
    /// Its depth, 0 at the top.
    pub level: u8,
    /// Index of the page.
    pub page: usize,
    /// Distance of its place from the top of the trimmed page.
    pub top: Abs,
}

/// Who a document is.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Identity {
    /// The book's id.
    pub book: String,
    /// The edition's name; empty for the book itself.
    pub edition: String,
    /// Title with edition, for the file's properties.
    pub title: String,
    /// Author.
    pub author: String,
    /// Language tag.
    pub language: String,
    /// The book's date as `YYYY-MM-DD`.
    pub date: String,
    /// Impression number.
    pub impression: u32,
}

/// One page as printed.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct PageRecord {
    /// Its label.
    pub label: String,
    /// Digest of its ink, hexadecimal; filled when the file is written.
    pub digest: String,
}

/// One bar as printed.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct BarRecord {
    /// The tune's id; all bars of a tune share it, and the title.
    pub tune: Arc<str>,
    /// The tune's title.
    pub title: Arc<str>,
    /// The bar's label.
    pub bar: String,
    /// The label of its page.
    pub page: String,
    /// Digest of its ink; filled when the file is written.
    pub digest: String,
    /// Its plain facts, one a note: `note 2: outer 5, pull, finger 3`.
    pub facts: Facts,
}

/// Plain facts, one a line of one text: a book has tens of thousands, and several records share them.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Default)]
pub struct Facts(Arc<String>);

impl Facts {
    /// Adds a fact; a line's end in it parts it.
    pub fn push(&mut self, fact: &str) {
        let lines = Arc::make_mut(&mut self.0);
        lines.push_str(fact);
        lines.push('\n');
    }
    /// The facts in order.
    pub fn iter(&self) -> impl Iterator<Item = &str> {
        self.0.split_terminator('\n')
    }
}

impl<S: AsRef<str>> FromIterator<S> for Facts {
    fn from_iter<I: IntoIterator<Item = S>>(facts: I) -> Self {
        let mut all = Self::default();
        facts.into_iter().for_each(|fact| all.push(fact.as_ref()));
        Arc::make_mut(&mut all.0).shrink_to_fit();
        all
    }
}

/// A named place whose part began a page.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct StartRecord {
    /// Its anchor.
    pub anchor: String,
    /// The label of the page.
    pub page: String,
}

/// What a printed file knows of itself.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Manifest {
    /// Who it is.
    pub identity: Identity,
    /// Options that change the ink, as key and value, sorted.
    pub options: Vec<(String, String)>,
    /// Version of the digest.
    pub digest_version: u32,
    /// The logical pages in order.
    pub pages: Vec<PageRecord>,
    /// The bars in order.
    pub bars: Vec<BarRecord>,
    /// The parts that began a page, in order, so that they can be held there.
    pub starts: Vec<StartRecord>,
    /// Digests of the blocks on each page, eight hexadecimal digits a block, so that a change can be marked where it stands;
    /// filled when the file is written.
    pub blocks: Vec<String>,
    /// How the file was laid on sheets and what for, as key and value: no part of the ink, so it is not compared.
    pub laying: Vec<(String, String)>,
}

/// A book as pages.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    /// Who it is.
    pub identity: Identity,
    /// The pages in reading order.
    pub pages: Vec<Page>,
    /// The nested outline.
    pub outline: Vec<OutlineEntry>,
    /// What a link to an anchor says to those who hear it: `Wick and Flame, page 3`.
    pub links: BTreeMap<Arc<str>, String>,
    /// The record; digests are empty until the file is written.
    pub manifest: Manifest,
    /// What the pages use, all of them together; nothing where no one has walked over them yet.
    pub uses: Option<Uses>,
    /// The cover of its own paper, if the book has one: no page of it, and in no record.
    pub cover: Option<Cover>,
}

impl Document {
    /// Leaves out the pages at the end that are a back cover, and a blank one that only brought it to its side: for the press,
    /// where the cover is a file of its own.
    pub fn leave_back_cover(&mut self) {
        let is_cover = |page: &Page| page.kind == SheetKind::Cover;
        let covers = self.pages.iter().rev().take_while(|page| is_cover(page)).count();
        let mut kept = self.pages.len() - covers;
        if covers == 0 || kept == 0 {
            return;
        }
        kept -= self.pages[1..kept].iter().rev().take_while(|page| page.kind == SheetKind::Blank).count();
        let gone: Vec<String> = self.pages.drain(kept..).map(|page| page.label).collect();
        self.outline.retain(|entry| entry.page < kept);
        self.manifest.pages.truncate(kept);
        self.manifest.starts.retain(|start| !gone.contains(&start.page));
        // What the pages use is walked over again.
        self.uses = None;
    }
}

/// The boxes of a sheet side, counted from the upper left corner of the medium, y downwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PageBoxes {
    /// The medium.
    pub media: Size,
    /// Up to where ink may bleed.
    pub bleed: Rect,
    /// Where it is trimmed.
    pub trim: Rect,
}
