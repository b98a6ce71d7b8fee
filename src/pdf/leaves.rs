//! Ink that holds no other, and its turn: black upon black is the same in any order, so what is alike is painted together.

use crate::frame::{Drawing, Image, Ink, Shape, TextRun};
use crate::geom::{Abs, Point, Rect};
use std::sync::Arc;

/// Ink that holds no other.
#[derive(Debug, Clone, Copy)]
pub(super) enum Leaf<'f> {
    /// An upright rectangle.
    Rect(Rect, Ink),
    /// A path.
    Shape(&'f Shape),
    /// A path that stands in many places.
    Stamp(&'f Arc<Shape>),
    /// Glyphs.
    Text(&'f TextRun),
    /// A picture.
    Image(&'f Image),
    /// A drawing.
    Drawing(&'f Drawing),
}

/// Ink where it stands.
#[derive(Debug, Clone, Copy)]
pub(super) struct Placed<'f> {
    /// Its turn among black ink; nothing for ink that is not black all over.
    pub(super) turn: Option<u64>,
    /// Its place.
    pub(super) at: Point,
    /// What it is.
    pub(super) leaf: Leaf<'f>,
}

impl<'f> Placed<'f> {
    /// Turns are by: rectangles, drawn signs, other shapes, glyphs that say nothing by their face and size, words. Sizes and
    /// pens are told apart to what a 32-bit float holds, which is what a book has.
    pub(super) fn new(at: Point, leaf: Leaf<'f>) -> Self {
        let turn = |kind: u64, more: u16, length: Abs| Some(kind << 48 | u64::from(more) << 32 | bits(length));
        let turn = match leaf {
            Leaf::Rect(_, Ink::Black) => Some(0),
            Leaf::Stamp(shape) if is_black(shape) => turn(1, 0, shape.stroke.map_or(Abs::ZERO, |stroke| stroke.width)),
            Leaf::Shape(shape) if is_black(shape) => {
                turn(2, u16::from(shape.stroke.is_some()), shape.stroke.map_or(Abs::ZERO, |stroke| stroke.width))
            }
            Leaf::Text(run) if run.ink != Ink::Black => None,
            Leaf::Text(run) if run.text.is_empty() => turn(3, run.face.index(), run.size),
            Leaf::Text(_) => turn(4, 0, Abs::ZERO),
            Leaf::Rect(..) | Leaf::Stamp(_) | Leaf::Shape(_) | Leaf::Image(_) | Leaf::Drawing(_) => None,
        };
        Self { turn, at, leaf }
    }
}

/// The bits of a length, which order lengths that are not negative.
fn bits(length: Abs) -> u64 {
    #[expect(clippy::cast_possible_truncation, reason = "as `Placed::new` says")]
    let length = length.to_pt() as f32;
    u64::from(length.to_bits())
}

/// Whether a shape is black all over.
fn is_black(shape: &Shape) -> bool {
    let inks = [shape.fill, shape.stroke.map(|stroke| stroke.ink)];
    inks.into_iter().flatten().all(|ink| ink == Ink::Black)
}
