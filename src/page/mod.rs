//! Blocks and systems into a document: page breaks, facing pages, front and back matter, contents, index, charts, key.
//!
//! Takes a checked book with its plans, systems and words; gives a [`Document`] of trimmed pages.

mod costs;
mod document;
mod fill;
mod flow;
mod paginate;

pub use document::{
    BarRecord, Document, Identity, Manifest, OutlineEntry, Page, PageBoxes, PageRecord, SheetKind, Side,
};
