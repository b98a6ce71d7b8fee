//! Points, sizes and boxes in any unit.

use super::length::{Abs, Length, Pt, Sp, Space};
use std::ops::{Add, Sub};

/// A place; also used as the vector from the origin to it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Point<U = Pt> {
    /// Distance to the right of the origin.
    pub x: Length<U>,
    /// Distance from the origin, downwards in frames and upwards in staff coordinates.
    pub y: Length<U>,
}

/// Width and height.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Size {
    /// Extent from left to right.
    pub width: Abs,
    /// Extent from top to bottom.
    pub height: Abs,
}

/// An upright box between two corners, `min` at most `max` in each coordinate.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rect<U = Pt> {
    /// The corner with the smaller coordinates.
    pub min: Point<U>,
    /// The corner with the larger coordinates.
    pub max: Point<U>,
}

impl<U> Point<U> {
    /// A point from its coordinates.
    pub const fn new(x: Length<U>, y: Length<U>) -> Self {
        Self { x, y }
    }
}

impl Point<Space> {
    /// The point on the page when one staff space is `staff_space`, seen from the same origin and with y turned
    /// downwards.
    pub fn on_page(self, staff_space: Abs) -> Point {
        Point::new(self.x.at(staff_space), -self.y.at(staff_space))
    }
}

impl<U> Add for Point<U> {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y)
    }
}
impl<U> Sub for Point<U> {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.x - other.x, self.y - other.y)
    }
}

impl Size {
    /// A size from its two extents.
    pub const fn new(width: Abs, height: Abs) -> Self {
        Self { width, height }
    }
}

impl<U: Copy + PartialEq> Rect<U> {
    /// The box between two opposite corners, in any order.
    pub fn new(a: Point<U>, b: Point<U>) -> Self {
        Self { min: Point::new(a.x.min(b.x), a.y.min(b.y)), max: Point::new(a.x.max(b.x), a.y.max(b.y)) }
    }
    /// The box from left, bottom-or-top, right, top-or-bottom in units of `U`.
    pub fn of(x0: f64, y0: f64, x1: f64, y1: f64) -> Self {
        Self::new(Point::new(Length::new(x0), Length::new(y0)), Point::new(Length::new(x1), Length::new(y1)))
    }
    /// Extent from left to right.
    pub fn width(&self) -> Length<U> {
        self.max.x - self.min.x
    }
    /// Extent in y.
    pub fn height(&self) -> Length<U> {
        self.max.y - self.min.y
    }
    /// The smallest box holding both.
    pub fn union(&self, other: &Self) -> Self {
        Self {
            min: Point::new(self.min.x.min(other.min.x), self.min.y.min(other.min.y)),
            max: Point::new(self.max.x.max(other.max.x), self.max.y.max(other.max.y)),
        }
    }
    /// The same box moved by `by`.
    pub fn moved(&self, by: Point<U>) -> Self {
        Self { min: self.min + by, max: self.max + by }
    }
    /// The box grown by `by` on all sides (shrunk when negative).
    pub fn grown(&self, by: Length<U>) -> Self {
        Self { min: Point::new(self.min.x - by, self.min.y - by), max: Point::new(self.max.x + by, self.max.y + by) }
    }
    /// Whether the two boxes share some area; touching edges do not count.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.min.x < other.max.x && other.min.x < self.max.x && self.min.y < other.max.y && other.min.y < self.max.y
    }
}

impl Rect<Space> {
    /// A box in staff spaces, given in the order of SMuFL's bBoxSW and bBoxNE.
    pub fn spaces(x0: f64, y0: f64, x1: f64, y1: f64) -> Self {
        Self::new(Point::new(Sp::sp(x0), Sp::sp(y0)), Point::new(Sp::sp(x1), Sp::sp(y1)))
    }
}
