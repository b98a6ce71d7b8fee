//! Shapes that stand in many places: each is written once, as a form, and drawn where it stands.
//!
//! Takes the shapes in painting order; gives forms without equal ones among them, in the order of their first use. Source:
//! ISO 32000-1, 8.10 (form XObjects).

use super::operand::push_fine;
use crate::frame::Shape;
use crate::geom::{Abs, Path, Point, Rect, Segment};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Beyond this no drawn sign reaches, in points.
const FAR: f64 = 1e4;

/// One form.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Form {
    /// Its operators. What it is drawn with (ink, pen) is the state of the page.
    pub(super) content: Vec<u8>,
    /// Its area, y upwards from its origin: left, bottom, right, top.
    pub(super) area: [f64; 4],
}

/// The forms of a file.
#[derive(Debug, Clone, Default)]
pub(super) struct Stamps {
    /// The forms in the order of their first use.
    pub(super) forms: Vec<Form>,
    /// The form of each shape, by where the shape is held.
    known: BTreeMap<usize, Option<usize>>,
}

impl Stamps {
    /// The forms of some shapes.
    pub(super) fn of(shapes: &[Arc<Shape>]) -> Self {
        let mut stamps = Self::default();
        for shape in shapes {
            let index = Form::of(shape).map(|form| stamps.index(form));
            stamps.known.insert(place(shape), index);
        }
        stamps
    }
    fn index(&mut self, form: Form) -> usize {
        self.forms.iter().position(|known| *known == form).unwrap_or_else(|| {
            self.forms.push(form);
            self.forms.len() - 1
        })
    }
    /// The index of a shape's form; none for one that has places which are no numbers.
    pub(super) fn form(&self, shape: &Arc<Shape>) -> Option<usize> {
        self.known.get(&place(shape)).copied().flatten()
    }
}

/// Where a shape is held, which tells it from others while the pages live.
fn place(shape: &Arc<Shape>) -> usize {
    Arc::as_ptr(shape).addr()
}

/// The start of the resource name of a form, which ends in its index.
pub(super) const RESOURCE: &str = "S";

impl Form {
    fn of(shape: &Shape) -> Option<Self> {
        let operator: &[u8] = match (shape.fill, shape.stroke) {
            (Some(_), Some(_)) => b"B\n",
            (Some(_), None) => b"f\n",
            (None, Some(_)) => b"S\n",
            (None, None) => return None,
        };
        let mut content = operators(&shape.path)?;
        content.extend_from_slice(operator);
        // Mitres reach beyond half a pen; twice its width is enough for the corners of signs.
        let pen = shape.stroke.map_or(Abs::ZERO, |stroke| stroke.width * 2.0);
        let Rect { min, max } = shape.path.ink()?.grown(pen + Abs::pt(0.1));
        let area = [min.x.to_pt(), -max.y.to_pt(), max.x.to_pt(), -min.y.to_pt()];
        Some(Self { content, area })
    }
}

/// A path to a hundred-thousandth of a point, since it is written once; none where it has places which are no numbers.
fn operators(path: &Path) -> Option<Vec<u8>> {
    let mut out = Vec::new();
    let mut sound = true;
    for segment in &path.segments {
        let (points, operator): (&[Point], _) = match segment {
            Segment::Move(p) => (&[*p], b"m\n"),
            Segment::Line(p) => (&[*p], b"l\n"),
            Segment::Cubic(a, b, c) => (&[*a, *b, *c], b"c\n"),
            Segment::Close => (&[], b"h\n"),
        };
        for value in points.iter().flat_map(|p| [p.x.to_pt(), -p.y.to_pt()]) {
            sound &= value.abs() < FAR;
            push_fine(&mut out, value);
            out.push(b' ');
        }
        out.extend_from_slice(operator);
    }
    (sound && !path.segments.is_empty()).then_some(out)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Ink;

    fn shape(size: f64) -> Arc<Shape> {
        let at = |x: f64, y: f64| Point::new(Abs::pt(x), Abs::pt(y));
        let path = Path::polygon(&[at(0.0, 0.0), at(size, 0.0), at(0.0, size)]);
        Arc::new(Shape { path, fill: Some(Ink::Black), stroke: None })
    }

    #[test]
    fn equal_shapes_are_one_form() {
        let shapes = [shape(2.0), shape(3.0), shape(2.0)];
        let stamps = Stamps::of(&[shapes[1].clone(), shapes[0].clone(), shapes[2].clone()]);
        assert_eq!(shapes.each_ref().map(|shape| stamps.form(shape)), [Some(1), Some(0), Some(1)]);
        assert_eq!(stamps.forms[1].content, b"0 0 m\n2 0 l\n0 -2 l\nh\nf\n");
        assert_eq!(stamps.forms[1].area, [-0.1, -2.1, 2.1, 0.1]);
        let broken = shape(f64::NAN);
        let stamps = Stamps::of(std::slice::from_ref(&broken));
        assert_eq!((stamps.form(&broken), stamps.form(&shape(2.0)), stamps.forms.len()), (None, None, 0));
    }
}
