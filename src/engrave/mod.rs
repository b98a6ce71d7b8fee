//! A tune and its plan into systems of music no wider than the type area; reports the signs it used.
//!
//! Takes a [`Score`], the look and the fonts; gives [`System`]s, each a frame with its bars' extents. Knows no pages.

mod canvas;
mod contract;
mod heads;
mod lanes;
mod layout;
mod lettering;
mod skyline;
mod specimen;

pub use contract::{BarExtent, Count, Outline, Score, Sign, System};
pub use specimen::{draw_head, draw_sign};
