//! The practice ladder at a tune's foot: the steps of its speed, each with boxes to tick.

use super::facts;
use super::scale::Named;
use super::setting::Setting;
use crate::book::TuneEntry;
use crate::frame::{Frame, Ink, Item, Shape, Stroke};
use crate::geom::{Abs, Path, Point, Rect, Size};
use std::sync::Arc;

/// Boxes a step: the whole tune three times at one speed (common practice).
const BOXES: u32 = 3;

/// The ladder of a tune; `None` when it has no steps. As wide as the type area, whole steps high.
pub(super) fn ladder(setting: &Setting<'_>, entry: &TuneEntry) -> Option<Frame> {
    if entry.practice.is_empty() {
        return None;
    }
    let scale = &setting.scale;
    let label = scale.size(Named::Label);
    let line_height = setting.whole_steps(label * 1.4);
    // The first line stands a little lower than its own height: the rule above it wants air.
    let first = line_height + setting.area.step * 0.5;
    let title = scale.label(Named::LabelStrong, setting.words.practice);
    let indent = title.width + label * 1.4;
    let mut frame = Frame::new(Size::new(setting.width, Abs::ZERO));
    let mut at = Point::new(indent, first);
    title.put(&mut frame, Point::new(Abs::ZERO, first - line_height * 0.3));
    for percent in &entry.practice {
        let step = step(setting, entry, *percent);
        if at.x > indent && !(at.x + step.size.width).fits(setting.width) {
            at = Point::new(indent, at.y + line_height);
        }
        let width = step.size.width;
        frame.place(Point::new(at.x, at.y - line_height * 0.3), step);
        at.x += width + label * 2.2;
    }
    frame.size.height = setting.whole_steps(at.y);
    frame.line(Point::default(), Point::new(setting.width, Abs::ZERO), Abs::pt(0.5), Ink::Black);
    Some(frame)
}

/// One step: the per cent, the speed and the boxes, on a baseline at the frame's top.
fn step(setting: &Setting<'_>, entry: &TuneEntry, percent: u32) -> Frame {
    let scale = &setting.scale;
    let label = scale.size(Named::Label);
    let mut frame = Frame::new(Size::default());
    let mut x = Abs::ZERO;
    let words = scale.label(Named::Label, &format!("{percent}%"));
    let width = words.width;
    words.put(&mut frame, Point::default());
    x += width + label * 0.5;
    if let Some(tempo) = entry.tune.tempo.as_ref()
        && let Some(speed) = facts::speed(setting, tempo, percent)
    {
        let width = speed.size.width;
        frame.place(Point::new(x, Abs::ZERO), speed);
        x += width + label * 0.5;
    }
    let tick = tick_box(label * 0.95, label * 0.12);
    for _ in 0..BOXES {
        frame.push(Point::new(x, Abs::ZERO), tick.clone());
        x += label * 1.3;
    }
    frame.size.width = x - label * 0.35;
    frame
}

/// A box to tick that stands `drop` under the baseline; its shape is held once for all copies of the item.
pub(super) fn tick_box(side: Abs, drop: Abs) -> Item {
    let rect = Rect::new(Point::new(Abs::ZERO, drop - side), Point::new(side, drop));
    let stroke = Stroke { width: Abs::pt(0.6), ink: Ink::Black, round: false, dash: None };
    Item::Stamp(Arc::new(Shape { path: Path::rect(rect), fill: None, stroke: Some(stroke) }))
}
