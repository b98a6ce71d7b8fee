//! Paths: lines and cubic curves in any unit.

use super::length::{Abs, Length, Pt, Quad, Space};
use super::shape::{Point, Rect};

/// One step of a path.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Segment<U = Pt> {
    /// Starts a new contour.
    Move(Point<U>),
    /// A straight line to a point.
    Line(Point<U>),
    /// A cubic curve: two control points and the end.
    Cubic(Point<U>, Point<U>, Point<U>),
    /// Closes the contour.
    Close,
}

/// A sequence of contours.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Path<U = Pt> {
    /// The steps in order.
    pub segments: Vec<Segment<U>>,
}

/// The step to the point at an index of a polyline.
const fn step<U: Copy>((index, point): (usize, &Point<U>)) -> Segment<U> {
    if index == 0 { Segment::Move(*point) } else { Segment::Line(*point) }
}

impl<U: Copy + PartialEq> Path<U> {
    /// A path without steps.
    pub const fn new() -> Self {
        Self { segments: Vec::new() }
    }
    /// An upright rectangle.
    pub fn rect(rect: Rect<U>) -> Self {
        Self::polygon(&[rect.min, Point::new(rect.max.x, rect.min.y), rect.max, Point::new(rect.min.x, rect.max.y)])
    }
    /// A closed polygon through `points`.
    pub fn polygon(points: &[Point<U>]) -> Self {
        let mut segments = Vec::with_capacity(points.len() + 1);
        segments.extend(points.iter().enumerate().map(step));
        segments.push(Segment::Close);
        Self { segments }
    }
    /// An open polyline through `points`.
    pub fn open(points: &[Point<U>]) -> Self {
        Self { segments: points.iter().enumerate().map(step).collect() }
    }
    /// A circle as four cubic curves.
    pub fn circle(centre: Point<U>, radius: Length<U>) -> Self {
        Self::ellipse(centre, radius, radius)
    }
    /// An upright ellipse as four cubic curves.
    pub fn ellipse(centre: Point<U>, rx: Length<U>, ry: Length<U>) -> Self {
        // Control distance of a quarter circle that keeps the radius right at 45 degrees: 4/3 * (sqrt 2 - 1).
        const K: f64 = 0.552_284_749_830_793_4;
        let at = |x: f64, y: f64| Point::new(centre.x + rx * x, centre.y + ry * y);
        Self {
            segments: vec![
                Segment::Move(at(1.0, 0.0)),
                Segment::Cubic(at(1.0, K), at(K, 1.0), at(0.0, 1.0)),
                Segment::Cubic(at(-K, 1.0), at(-1.0, K), at(-1.0, 0.0)),
                Segment::Cubic(at(-1.0, -K), at(-K, -1.0), at(0.0, -1.0)),
                Segment::Cubic(at(K, -1.0), at(1.0, -K), at(1.0, 0.0)),
                Segment::Close,
            ],
        }
    }
    /// The same path with each point put through `f`, in another unit if wanted.
    pub fn map<V>(&self, f: impl Fn(Point<U>) -> Point<V>) -> Path<V> {
        let segments = self
            .segments
            .iter()
            .map(|segment| match *segment {
                Segment::Move(p) => Segment::Move(f(p)),
                Segment::Line(p) => Segment::Line(f(p)),
                Segment::Cubic(a, b, c) => Segment::Cubic(f(a), f(b), f(c)),
                Segment::Close => Segment::Close,
            })
            .collect();
        Path { segments }
    }
    /// The same path moved by `by`.
    pub fn moved(&self, by: Point<U>) -> Self {
        self.map(|p| p + by)
    }
    /// The exact box of the ink of the filled path: curves by their extremes, not their control points. `None` when
    /// the path has no point.
    pub fn ink(&self) -> Option<Rect<U>> {
        let mut found: Option<Rect<U>> = None;
        let mut last = None;
        let mut take = |p: Point<U>| {
            let here = Rect { min: p, max: p };
            found = Some(found.map_or(here, |all| all.union(&here)));
        };
        for segment in &self.segments {
            match *segment {
                Segment::Move(p) | Segment::Line(p) => {
                    take(p);
                    last = Some(p);
                }
                Segment::Cubic(a, b, c) => {
                    let start = last.unwrap_or(a);
                    for t in turning_points(start.x.raw(), a.x.raw(), b.x.raw(), c.x.raw())
                        .into_iter()
                        .chain(turning_points(start.y.raw(), a.y.raw(), b.y.raw(), c.y.raw()))
                        .flatten()
                    {
                        take(cubic_at(start, a, b, c, t));
                    }
                    take(c);
                    last = Some(c);
                }
                Segment::Close => {}
            }
        }
        found
    }
}

impl Path<Space> {
    /// The path on the page, y turned downwards, when one staff space is `staff_space`.
    pub fn on_page(&self, staff_space: Abs) -> Path {
        self.map(|p| p.on_page(staff_space))
    }
}

impl Path<Quad> {
    /// The path on the page, y turned downwards, at a type size.
    pub fn on_page(&self, size: Abs) -> Path {
        self.map(|p| Point::new(p.x.at(size), -p.y.at(size)))
    }
}

/// The point of a cubic curve at parameter `t`.
pub(crate) fn cubic_at<U: Copy + PartialEq>(
    p0: Point<U>,
    p1: Point<U>,
    p2: Point<U>,
    p3: Point<U>,
    t: f64,
) -> Point<U> {
    let u = 1.0 - t;
    let (a, b, c, d) = (u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t);
    Point::new(p0.x * a + p1.x * b + p2.x * c + p3.x * d, p0.y * a + p1.y * b + p2.y * c + p3.y * d)
}

/// Parameters strictly inside 0..1 where one coordinate of a cubic curve turns.
pub(crate) fn turning_points(p0: f64, p1: f64, p2: f64, p3: f64) -> [Option<f64>; 2] {
    let a = -p0 + 3.0 * p1 - 3.0 * p2 + p3;
    let b = 2.0 * (p0 - 2.0 * p1 + p2);
    let c = p1 - p0;
    // The derivative is 3 * (a t^2 + b t + c).
    let inside = |t: f64| (t > 0.0 && t < 1.0).then_some(t);
    if a.abs() < 1e-12 {
        return [if b.abs() < 1e-12 { None } else { inside(-c / b) }, None];
    }
    let root = b * b - 4.0 * a * c;
    if root < 0.0 {
        return [None, None];
    }
    let root = root.sqrt();
    [inside((-b + root) / (2.0 * a)), inside((-b - root) / (2.0 * a))]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::Abs;

    #[test]
    fn the_ink_of_a_circle_is_its_diameter() {
        let circle = Path::circle(Point::new(Abs::pt(5.0), Abs::pt(7.0)), Abs::pt(2.0));
        let ink = circle.ink().expect("a circle has ink");
        assert!(ink.min.x.is_near(Abs::pt(3.0)) && ink.max.x.is_near(Abs::pt(7.0)));
        assert!(ink.min.y.is_near(Abs::pt(5.0)) && ink.max.y.is_near(Abs::pt(9.0)));
    }

    #[test]
    fn an_arch_ends_at_three_quarters_of_its_control_height() {
        let arch = Path {
            segments: vec![
                Segment::Move(Point::new(Abs::pt(0.0), Abs::pt(0.0))),
                Segment::Cubic(
                    Point::new(Abs::pt(1.0), Abs::pt(4.0)),
                    Point::new(Abs::pt(2.0), Abs::pt(4.0)),
                    Point::new(Abs::pt(3.0), Abs::pt(0.0)),
                ),
            ],
        };
        assert!(arch.ink().expect("an arch has ink").max.y.is_near(Abs::pt(3.0)));
    }
}
