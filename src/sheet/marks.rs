//! Marks outside the trim: crop marks, registration targets, the slug line.
//!
//! Distances: *common practice, no source*, but for the length of crop marks (6 mm: Ghent Workgroup, read second-hand).

use super::PressLook;
use crate::font::{Cut, FaceChoice, Features, Fonts, TextFamily, Weight};
use crate::frame::{Frame, Ink, Item, Shape, Stroke, TextRun};
use crate::geom::{Abs, Path, Point, Rect};
use crate::page::PageBoxes;

/// Weight of marks.
const LINE: Abs = Abs::pt(0.25);
/// Length of a crop mark.
const LENGTH: Abs = Abs::mm(6.0);
/// Least distance of a mark from the trim.
const OFFSET: Abs = Abs::mm(3.0);
/// Radius of a registration target; its cross reaches half as far again.
const TARGET: Abs = Abs::mm(1.5);
/// Type size of the slug.
const SLUG: Abs = Abs::pt(6.0);

/// The marks of a side, from the medium's upper left corner; `label` ends the slug.
pub(super) fn marks(boxes: &PageBoxes, look: &PressLook, label: &str, fonts: &Fonts) -> Frame {
    let mut frame = Frame::new(boxes.media);
    let off = look.bleed.max(OFFSET);
    // A mark keeps half a line's width from the edge of the medium, and goes altogether where there is no room.
    let length = LENGTH.min(look.room() - off);
    if look.crop_marks && length.to_pt() > 1.0 {
        crop(&mut frame, &boxes.trim, off, length);
    }
    if look.registration_marks && look.room().to_mm() >= 8.0 {
        targets(&mut frame, &boxes.trim, off);
    }
    if !look.slug.is_empty() && look.room().to_mm() >= 8.0 {
        slug(&mut frame, &boxes.trim, off, &format!("{} \u{b7} {label}", look.slug), fonts);
    }
    frame
}

fn crop(frame: &mut Frame, trim: &Rect, off: Abs, length: Abs) {
    for (x, to_x) in [(trim.min.x, -1.0), (trim.max.x, 1.0)] {
        for (y, to_y) in [(trim.min.y, -1.0), (trim.max.y, 1.0)] {
            let near = x + off * to_x;
            frame.line(Point::new(near, y), Point::new(near + length * to_x, y), LINE, Ink::Black);
            let near = y + off * to_y;
            frame.line(Point::new(x, near), Point::new(x, near + length * to_y), LINE, Ink::Black);
        }
    }
}

fn targets(frame: &mut Frame, trim: &Rect, off: Abs) {
    let middle = Point::new((trim.min.x + trim.max.x) / 2.0, (trim.min.y + trim.max.y) / 2.0);
    let away = off + Abs::mm(3.0);
    for centre in [
        Point::new(middle.x, trim.min.y - away),
        Point::new(middle.x, trim.max.y + away),
        Point::new(trim.min.x - away, middle.y),
        Point::new(trim.max.x + away, middle.y),
    ] {
        target(frame, centre);
    }
}

/// A registration target: a circle with a cross. Black alone, since every ink we print with it is black or, for a second
/// ink, printed over the same cross by the press.
fn target(frame: &mut Frame, centre: Point) {
    let stroke = Stroke { width: LINE, ink: Ink::Black, round: false, dash: None };
    let circle = Shape { path: Path::circle(centre, TARGET), fill: None, stroke: Some(stroke) };
    frame.push(Point::default(), Item::Shape(circle));
    let reach = TARGET * 1.6;
    frame.line(Point::new(centre.x - reach, centre.y), Point::new(centre.x + reach, centre.y), LINE, Ink::Black);
    frame.line(Point::new(centre.x, centre.y - reach), Point::new(centre.x, centre.y + reach), LINE, Ink::Black);
}

fn slug(frame: &mut Frame, trim: &Rect, off: Abs, words: &str, fonts: &Fonts) {
    let face =
        fonts.text(FaceChoice { family: TextFamily::Sans, weight: Weight::Regular, italic: false, cut: Cut::Text });
    let run = TextRun::shaped(fonts, face, SLUG, words, Features::default());
    // Between the left crop mark and the target in the middle of the foot.
    let at = Point::new(trim.min.x + Abs::mm(4.0), trim.max.y + off + Abs::mm(4.0));
    frame.push(at, Item::Text(run));
}
