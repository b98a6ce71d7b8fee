//! Geometry: lengths with their unit in the type, points, boxes and paths.
//!
//! Takes nothing, gives vocabulary. Knows no paper, no music, no fonts. Two directions of y are in use and never mixed:
//! frames grow downwards from their upper left corner; staff coordinates grow upwards from the bottom staff line.

mod length;
mod path;
mod shape;

pub use length::{Abs, Em, Length, Pt, Quad, Sp, Space};
pub(crate) use path::turning_points;
pub use path::{Path, Segment};
pub use shape::{Point, Rect, Size};
