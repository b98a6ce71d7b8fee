//! Pages that the order leaves white, ruled for the learner's own notes where the book asks for it.

use super::plate::{Plate, left};
use super::scale::Named;
use super::setting::Setting;
use crate::frame::{Frame, Ink, Role, Tag};
use crate::geom::{Abs, Point, Size};

/// From rule to rule: handwriting wants 8 to 10 mm (common practice).
const APART: Abs = Abs::mm(9.0);
/// Weight of the rules: light enough to write on, heavy enough to print.
const RULE: Abs = Abs::pt(0.3);

/// Draws a word at the head and rules down to the foot.
pub(super) fn draw(setting: &Setting<'_>, plate: &Plate, frame: &mut Frame) {
    let (x, top) = (left(setting, plate.side), setting.book.page.margins.top);
    let step = setting.area.step;
    let label = setting.scale.label(Named::LabelStrong, setting.words.notes_page);
    let mut words = Frame::new(Size::new(label.width, step));
    label.put(&mut words, Point::new(Abs::ZERO, setting.baseline()));
    frame.place_tagged(Point::new(x, top), words, Tag::new(Role::Paragraph));
    let mut rules = Frame::new(Size::new(setting.width, setting.area.height));
    let mut y = step + APART;
    while y.fits(setting.area.height) {
        rules.line(Point::new(Abs::ZERO, y), Point::new(setting.width, y), RULE, Ink::Black);
        y += APART;
    }
    frame.place_tagged(Point::new(x, top), rules, Tag::new(Role::Artifact));
}
