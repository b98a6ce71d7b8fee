//! Lengths whose unit is part of the type, so that staff spaces and points cannot be added by mistake.
//!
//! A relative length becomes a page length through one door only: [`Sp::at`] and [`Em::at`].

use std::cmp::Ordering;
use std::iter::Sum;
use std::marker::PhantomData;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};

/// Marker of page lengths: PDF points, 1/72 inch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Pt;
/// Marker of staff spaces: the distance between the centres of two neighbouring staff lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Space;
/// Marker of ems: the size of the type in use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Quad;

/// A length in the unit `U`, held as a 64-bit float.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Length<U>(f64, PhantomData<U>);

/// A page length in PDF points.
pub type Abs = Length<Pt>;
/// A length in staff spaces.
pub type Sp = Length<Space>;
/// A length in ems.
pub type Em = Length<Quad>;

/// Two lengths nearer than this are the same length when asked "does it fit".
const TOLERANCE: f64 = 1e-4;

impl<U> Length<U> {
    /// No length.
    pub const ZERO: Self = Self(0.0, PhantomData);

    /// A length of `value` units.
    pub const fn new(value: f64) -> Self {
        Self(value, PhantomData)
    }
    /// The number of units.
    pub const fn raw(self) -> f64 {
        self.0
    }
    /// The larger of two lengths.
    pub fn max(self, other: Self) -> Self {
        Self::new(self.0.max(other.0))
    }
    /// The smaller of two lengths.
    pub fn min(self, other: Self) -> Self {
        Self::new(self.0.min(other.0))
    }
    /// The length within `low..=high`.
    pub fn clamp(self, low: Self, high: Self) -> Self {
        self.max(low).min(high)
    }
    /// The length without its sign.
    pub fn abs(self) -> Self {
        Self::new(self.0.abs())
    }
    /// Whether this length fits into `room`, with one tolerance used everywhere.
    pub fn fits(self, room: Self) -> bool {
        self.0 <= room.0 + TOLERANCE
    }
    /// Whether two lengths are the same within that tolerance.
    pub fn is_near(self, other: Self) -> bool {
        (self.0 - other.0).abs() <= TOLERANCE
    }
    /// A total order, for sorting; lengths are never NaN by construction.
    pub fn total_cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}

impl Abs {
    /// A length in PDF points (1/72 inch).
    pub const fn pt(points: f64) -> Self {
        Self::new(points)
    }
    /// A length in millimetres.
    pub const fn mm(millimetres: f64) -> Self {
        Self::new(millimetres / 25.4 * 72.0)
    }
    /// A length in inches.
    pub const fn inches(inches: f64) -> Self {
        Self::new(inches * 72.0)
    }
    /// The length in PDF points.
    pub const fn to_pt(self) -> f64 {
        self.raw()
    }
    /// The length in millimetres.
    pub const fn to_mm(self) -> f64 {
        self.raw() / 72.0 * 25.4
    }
}

impl Sp {
    /// A length in staff spaces.
    pub const fn sp(spaces: f64) -> Self {
        Self::new(spaces)
    }
    /// The only door from staff spaces to page lengths; `staff_space` is the height of one space.
    pub fn at(self, staff_space: Abs) -> Abs {
        staff_space * self.raw()
    }
}

impl Em {
    /// A length in ems.
    pub const fn em(ems: f64) -> Self {
        Self::new(ems)
    }
    /// The only door from ems to page lengths; `size` is the type size.
    pub fn at(self, size: Abs) -> Abs {
        size * self.raw()
    }
}

impl<U> Add for Length<U> {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.0 + other.0)
    }
}
impl<U> Sub for Length<U> {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.0 - other.0)
    }
}
impl<U> Neg for Length<U> {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.0)
    }
}
impl<U> Mul<f64> for Length<U> {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self::new(self.0 * factor)
    }
}
impl<U> Div<f64> for Length<U> {
    type Output = Self;
    fn div(self, divisor: f64) -> Self {
        Self::new(self.0 / divisor)
    }
}
impl<U> Div for Length<U> {
    type Output = f64;
    fn div(self, other: Self) -> f64 {
        self.0 / other.0
    }
}
impl<U> AddAssign for Length<U> {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}
impl<U> SubAssign for Length<U> {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}
impl<U> Sum for Length<U> {
    fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
        Self::new(items.map(|length| length.0).sum())
    }
}
impl<U: PartialEq> PartialOrd for Length<U> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        self.0.partial_cmp(&other.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 216 A4 in points: 595.276 x 841.890 (210 x 297 mm at 72/25.4).
    #[test]
    fn a4_in_points() {
        assert!((Abs::mm(210.0).to_pt() - 595.276).abs() < 0.001);
        assert!((Abs::mm(297.0).to_pt() - 841.890).abs() < 0.001);
        assert!((Abs::inches(1.0).to_mm() - 25.4).abs() < 1e-12);
    }

    #[test]
    fn relative_lengths_have_one_door() {
        assert!(Sp::sp(4.0).at(Abs::mm(1.75)).is_near(Abs::mm(7.0)));
        assert!(Em::em(0.5).at(Abs::pt(11.0)).is_near(Abs::pt(5.5)));
        assert!(Abs::pt(10.00005).fits(Abs::pt(10.0)));
        assert!(!Abs::pt(10.01).fits(Abs::pt(10.0)));
    }
}
