//! Blocks and systems into a document: page breaks, facing pages, front and back matter, contents, index, charts, key.
//!
//! Takes a checked book with its plans, systems and words ([`Material`]); gives a [`Document`] of trimmed pages. The book becomes
//! one long column of pieces (`flow`), which is cut into pages at the least cost (`paginate`, `costs`), filled (`fill`) and
//! drawn (`assemble`). Generated parts stand in `matter`, their words in `words`. Knows no file format and no imposition.

mod assemble;
mod chapter;
mod chart_staff;
mod closer;
mod compose;
mod costs;
mod cover;
mod desk;
mod document;
mod drawn;
mod facts;
mod fill;
mod flow;
mod hand;
mod hold;
mod indexed;
mod jpeg;
mod ladder;
mod leaflet;
mod material;
mod matter;
mod notes;
mod paginate;
mod picture;
mod plate;
mod prose;
mod qr;
#[cfg(test)]
mod sample;
mod scale;
mod setting;
mod stack;
mod teacher;
mod tune;
mod tune_head;
mod verses;
mod warn;
mod words;

#[cfg(test)]
mod tests;

pub use compose::{lay_out, lay_out_holding};
pub use cover::{Cover, SpineWords};
pub use document::{
    BarRecord, Document, Facts, Identity, Manifest, OutlineEntry, Page, PageBoxes, PageRecord, SheetKind, Side,
    StartRecord,
};
pub use leaflet::{Leaflet, leaflet};
pub use material::{Example, Material, TuneMaterial};
pub use picture::decode as read_picture;
