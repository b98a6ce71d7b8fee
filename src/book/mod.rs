//! The author's YAML into a checked [`Book`], editions applied; boxes and settled files.
//!
//! Takes texts through a reading function that `cli` gives; gives values that later rooms can trust, and every complaint
//! with its place. Reads no file itself.

mod model;

pub use model::{
    Book, Chapter, Colour, CommentaryPlace, Imprint, Kind, Matter, Playing, Preset, Press, Stock, TuneEntry,
};
