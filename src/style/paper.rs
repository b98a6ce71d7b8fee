//! The look of pages.

use crate::geom::{Abs, Size};

/// How the book is bound.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Binding {
    /// Stapled through the fold.
    Saddle,
    /// Glued spine.
    Perfect,
    /// Plastic comb.
    Comb,
    /// Wire.
    Wire,
    /// Ring binder.
    Ring,
    /// Loose sheets.
    None,
}

/// How the sheet is turned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Orientation {
    /// Higher than wide.
    Portrait,
    /// Wider than high.
    Landscape,
}

/// Whether each tune opens a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TunePages {
    /// Each tune opens a new page.
    NewPage,
    /// Tunes follow one another.
    RunOn,
}

/// Distances from the trimmed edge to the type area; inner is the bound side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Margins {
    /// At the spine.
    pub inner: Abs,
    /// At the fore edge.
    pub outer: Abs,
    /// At the head.
    pub top: Abs,
    /// At the foot.
    pub bottom: Abs,
}

/// What stands on pages that the order leaves white.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum BlankPages {
    /// Nothing.
    #[default]
    White,
    /// Rules for notes.
    Notes,
}

/// The page.
#[derive(Debug, Clone, PartialEq)]
pub struct PageStyle {
    /// The trimmed page.
    pub size: Size,
    /// The binding.
    pub binding: Binding,
    /// The margins; mirrored on left-hand pages.
    pub margins: Margins,
    /// Whether tunes open pages.
    pub tunes: TunePages,
    /// What stands on pages that the order leaves white.
    pub blanks: BlankPages,
}

impl PageStyle {
    /// The type area's size.
    pub fn type_area(&self) -> Size {
        Size::new(
            self.size.width - self.margins.inner - self.margins.outer,
            self.size.height - self.margins.top - self.margins.bottom,
        )
    }
}
