//! A frame at another size: every length in it times one factor.

use super::{Frame, Glyph, Glyphs, Group, Image, Item, Shape, Stroke, TextRun};
use crate::geom::{Point, Rect, Size};
use std::sync::Arc;

impl Frame {
    /// The same frame at `factor` of its size, lines and letters too.
    #[must_use]
    pub fn scaled(&self, factor: f64) -> Self {
        let items = self.items.iter().map(|(at, item)| (point(*at, factor), item.scaled(factor))).collect();
        Self { size: size(self.size, factor), baseline: self.baseline.map(|at| at * factor), items }
    }
}

impl Item {
    fn scaled(&self, factor: f64) -> Self {
        match self {
            Self::Text(run) => Self::Text(TextRun {
                size: run.size * factor,
                glyphs: Glyphs::new(
                    run.glyphs.iter().map(|glyph| scaled_glyph(glyph, factor)),
                    run.glyphs.end() * factor,
                ),
                text: Arc::clone(&run.text),
                ..*run
            }),
            Self::Rect(rect, ink) => {
                Self::Rect(Rect { min: point(rect.min, factor), max: point(rect.max, factor) }, *ink)
            }
            Self::Shape(shape) => Self::Shape(Box::new(scaled_shape(shape, factor))),
            Self::Stamp(shape) => Self::Stamp(Arc::new(scaled_shape(shape, factor))),
            Self::Image(image) => Self::Image(Box::new(Image { size: size(image.size, factor), ..(**image).clone() })),
            Self::Drawing(drawing) => Self::Drawing(Arc::new(drawing.scaled(factor))),
            Self::Group(group) => {
                Self::Group(Box::new(Group { frame: Arc::new(group.frame.scaled(factor)), ..(**group).clone() }))
            }
            Self::Anchor(name) => Self::Anchor(Arc::clone(name)),
        }
    }
}

impl Stroke {
    /// The same stroke at `factor` of its width.
    pub(super) fn scaled(&self, factor: f64) -> Self {
        let dash = self.dash.map(|(dash, gap)| (dash * factor, gap * factor));
        Self { width: self.width * factor, dash, ..*self }
    }
}

fn scaled_glyph(glyph: Glyph, factor: f64) -> Glyph {
    Glyph { x: glyph.x * factor, y: glyph.y * factor, ..glyph }
}

fn scaled_shape(shape: &Shape, factor: f64) -> Shape {
    let stroke = shape.stroke.map(|stroke| stroke.scaled(factor));
    Shape { path: shape.path.map(|at| point(at, factor)), fill: shape.fill, stroke }
}

fn point(at: Point, factor: f64) -> Point {
    Point::new(at.x * factor, at.y * factor)
}

fn size(size: Size, factor: f64) -> Size {
    Size::new(size.width * factor, size.height * factor)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::frame::Ink;
    use crate::geom::Abs;

    #[test]
    fn half_the_size_and_back_is_the_frame() {
        let mut inner = Frame::new(Size::new(Abs::pt(20.0), Abs::pt(10.0)));
        inner.fill_rect(Rect::new(Point::default(), Point::new(Abs::pt(8.0), Abs::pt(2.0))), Ink::Black);
        inner.line(Point::default(), Point::new(Abs::pt(4.0), Abs::pt(4.0)), Abs::pt(1.0), Ink::Black);
        let mut frame = Frame::new(Size::new(Abs::pt(40.0), Abs::pt(30.0)));
        frame.baseline = Some(Abs::pt(12.0));
        frame.push(Point::default(), Item::Anchor("here".into()));
        frame.place(Point::new(Abs::pt(6.0), Abs::pt(16.0)), inner);
        let half = frame.scaled(0.5);
        assert_eq!(half.size, Size::new(Abs::pt(20.0), Abs::pt(15.0)));
        assert_eq!(half.items()[1].0, Point::new(Abs::pt(3.0), Abs::pt(8.0)));
        assert_eq!(half.scaled(2.0), frame);
    }
}
