//! A frame as it stands on a ground of the second ink.

use super::{Frame, Group, Ink, Item, Shape, Stroke, TextRun};
use crate::geom::{Point, Rect};
use std::sync::Arc;

impl Frame {
    /// The same frame on a ground of the second ink: what was dark is left white, what was light becomes the ground, and
    /// pictures stand on white as they are.
    #[must_use]
    pub fn on_ground(&self) -> Self {
        let mut out = Self { size: self.size, baseline: self.baseline, items: Vec::with_capacity(self.items.len()) };
        for (at, item) in &self.items {
            let item = match item {
                Item::Text(run) => Item::Text(TextRun { ink: turned(run.ink), ..run.clone() }),
                Item::Rect(rect, ink) => Item::Rect(*rect, turned(*ink)),
                Item::Shape(shape) => Item::Shape(Box::new(turned_shape(shape))),
                Item::Stamp(shape) => Item::Stamp(Arc::new(turned_shape(shape))),
                Item::Group(group) => {
                    Item::Group(Box::new(Group { frame: Arc::new(group.frame.on_ground()), ..(**group).clone() }))
                }
                Item::Drawing(drawing) => {
                    let size = drawing.size;
                    let field = Rect::new(Point::default(), Point::new(size.width, size.height));
                    out.push(*at, Item::Rect(field, Ink::Paper));
                    item.clone()
                }
                Item::Image(_) | Item::Anchor(_) => item.clone(),
            };
            out.push(*at, item);
        }
        out
    }
}

const fn turned(ink: Ink) -> Ink {
    match ink {
        Ink::Black | Ink::Second | Ink::Grey(50..) => Ink::Paper,
        Ink::Paper | Ink::Grey(_) => Ink::Second,
    }
}

fn turned_shape(shape: &Shape) -> Shape {
    let stroke = shape.stroke.map(|stroke| Stroke { ink: turned(stroke.ink), ..stroke });
    Shape { path: shape.path.clone(), fill: shape.fill.map(turned), stroke }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geom::{Abs, Size};

    #[test]
    fn dark_becomes_white_and_light_becomes_ground() {
        let square = Rect::new(Point::default(), Point::new(Abs::pt(2.0), Abs::pt(2.0)));
        let mut inner = Frame::new(Size::default());
        inner.fill_rect(square, Ink::Grey(8));
        inner.line(Point::default(), Point::new(Abs::pt(4.0), Abs::pt(4.0)), Abs::pt(1.0), Ink::Second);
        let mut frame = Frame::new(Size::default());
        frame.fill_rect(square, Ink::Black);
        frame.place(Point::default(), inner);
        let turned = frame.on_ground();
        let [(_, Item::Rect(_, dark)), (_, Item::Group(group))] = turned.items() else { panic!("{turned:?}") };
        let [(_, Item::Rect(_, light)), (_, Item::Shape(line))] = group.frame.items() else { panic!("{group:?}") };
        assert_eq!((*dark, *light), (Ink::Paper, Ink::Second));
        assert_eq!(line.stroke.map(|stroke| stroke.ink), Some(Ink::Paper));
    }
}
