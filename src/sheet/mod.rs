//! Pages into sheet sides: one page a side, or imposed in signatures with creep and marks.
//!
//! Takes a [`Document`](crate::page::Document); gives [`Sheet`]s, one a printed side. Knows no music.

use crate::frame::Frame;
use crate::geom::Point;
use crate::page::PageBoxes;

/// One logical page on a sheet side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Index into the document's pages.
    pub page: usize,
    /// Where the page's upper left corner lies, from the medium's upper left corner.
    pub at: Point,
    /// Whether it is turned by 180 degrees about its own centre.
    pub upside_down: bool,
}

/// One printed side.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// Its boxes.
    pub boxes: PageBoxes,
    /// The pages on it.
    pub pages: Vec<Placement>,
    /// Crop, fold and registration marks and the slug, from the medium's upper left corner.
    pub marks: Frame,
    /// What the side is called: a page label, or `sheet 3 front`.
    pub label: String,
}
