//! The author's YAML into a checked [`Book`], editions applied; boxes and settled files.
//!
//! Takes texts through a reading function that `cli` gives; gives values that later rooms can trust, and every complaint
//! with its place. Reads no file itself: `cli` opens what is asked for, and nothing is asked for outside the book's folder
//! and its one shelf.

mod boxes;
mod cover;
mod editions;
mod files;
mod fingers;
mod kind;
mod left;
mod library;
mod look;
mod model;
mod music;
mod page;
mod page_size;
mod pins;
mod preset;
mod read;
mod settled;
mod start;
mod text;
mod tunebook;
mod tunes;
mod words;
mod yaml;

#[cfg(test)]
mod tests;

pub use boxes::{builtin_box, read_box};
pub use editions::says_kind;
pub use files::{FileKind, schema};
pub use fingers::counts_otherwise;
pub use library::Unread;
pub use look::is_small;
pub use model::{
    Book, Chapter, Colour, CommentaryPlace, Cover, Extra, Ground, Imprint, Indexed, Kind, Matter, OwnFonts, Picture,
    Places, Playing, Preset, Press, ShopProfile, Stock, TuneEntry,
};
pub(crate) use page::bound;
pub use preset::{preset_text, presets};
pub use read::{read, read_tune};
pub use settled::{read_settled, settled_path, settled_text};
pub use start::new_book;
pub use words::binding_word;
