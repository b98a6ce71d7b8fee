//! Pages into sheet sides: one page a side, or imposed in signatures with creep and marks.
//!
//! Takes a [`Document`](crate::page::Document); gives [`Sheet`]s, one a printed side. Knows no music.

mod change;
#[cfg(test)]
mod folding;
#[cfg(test)]
mod handout_tests;
mod impose;
mod imposing;
mod ink;
#[cfg(test)]
mod ink_tests;
mod job;
mod look;
mod marks;
mod orders;
mod plain;
mod scheme;
mod spine;
#[cfg(test)]
mod tests;
mod wrap;

pub use change::{change_bars, foot_words};
pub use impose::{Imposed, impose};
pub use imposing::{Flip, Imposing};
pub use ink::InkFacts;
#[cfg(test)]
pub(crate) use ink::inks;
pub use job::{Job, JobOf, job};
pub use look::PressLook;
pub use plain::{plain, plain_in};
pub use scheme::{Cell, Scheme, SheetPlan};
pub use spine::{Board, Creep, Spine, Stock, spine};
pub use wrap::{Wrapped, Wrapping, wrap};

use crate::frame::Frame;
use crate::geom::{Point, Rect};
use crate::page::PageBoxes;

/// How a page lies on a side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Turn {
    /// Upright.
    #[default]
    None,
    /// By 180 degrees, head down.
    Half,
    /// By 90 degrees clockwise: its lines run from head to foot of the side.
    Quarter,
}

/// One logical page on a sheet side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Index into the document's pages.
    pub page: usize,
    /// Where the upper left corner of the place that it takes lies, from the medium's upper left corner.
    pub at: Point,
    /// How it is turned.
    pub turn: Turn,
    /// Its size on the sheet against its own, 1 for no change.
    pub scale: f64,
    /// The part of the medium that its ink may cover; `None` for all of it.
    pub clip: Option<Rect>,
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
    /// Which sheet of paper it is a side of, 0 first; both sides of one leaf or sheet share it.
    pub paper: usize,
}

impl Placement {
    /// A page at a place, upright, at its own size.
    pub const fn upright(page: usize, at: Point) -> Self {
        Self { page, at, turn: Turn::None, scale: 1.0, clip: None }
    }
}
