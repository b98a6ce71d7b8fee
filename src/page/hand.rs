//! The line for the hand: the row where a tune begins as a tiny row of buttons, the covered ones filled, fingers under them.

use super::scale::Named;
use super::setting::Setting;
use crate::engrave::draw_head;
use crate::fingering::Place;
use crate::frame::{Frame, Ink, Item, Shape, Stroke};
use crate::geom::{Abs, Path, Point, Size};
use crate::instrument::{Row, RowAt};
use crate::style::{FingerOne, HeadShape, RowShapes};
use std::sync::Arc;

/// Fingers on the buttons: index to little.
const FINGERS: u8 = 4;

/// The hand line for a place, no wider than `room`: without its words where they don't fit; `None` when the box lacks the row
/// or nothing fits. Its height is whole steps.
pub(super) fn line(setting: &Setting<'_>, place: Place, room: Abs) -> Option<Arc<Frame>> {
    let row = setting.book.instrument.row(place.0.row)?;
    let line = |with_words| setting.hands.line(place, with_words, || draw(setting, row, place, with_words));
    [true, false].into_iter().map(line).find(|frame| frame.size.width.fits(room))
}

fn draw(setting: &Setting<'_>, row: &Row, place: Place, with_words: bool) -> Frame {
    let scale = &setting.scale;
    let label = scale.size(Named::Label);
    let (pitch, radius) = (label * 1.25, label * 0.46);
    let circles = setting.steps(0.75);
    let figures = circles + radius + scale.cap_height(Named::Label) + label * 0.42;
    let height = setting.whole_steps(figures + label * 0.2);
    let mut frame = Frame::new(Size::new(Abs::ZERO, height));

    let style = &setting.book.engraving;
    let head = draw_head(shape(style.signs.rows, row.at), 2, label * 0.72, style, setting.fonts());
    let baseline = circles + scale.cap_height(Named::Label) / 2.0;
    let mut x = head.size.width + label * 0.45;
    frame.place(Point::new(Abs::ZERO, circles - head.size.height / 2.0), head);
    for words in [row_name(setting, row.at), setting.words.chin].into_iter().filter(|_| with_words) {
        let words = scale.label(Named::Label, words);
        let width = words.width;
        words.put(&mut frame, Point::new(x, baseline));
        x += width + label * 1.1;
    }
    x += radius - label * 0.5;

    let path = Path::circle(Point::default(), radius);
    let stroke = Stroke { width: Abs::pt(0.6), ink: Ink::Black, round: false, dash: None };
    let hollow = Arc::new(Shape { path: path.clone(), fill: None, stroke: Some(stroke) });
    // The same stroke round both: filled buttons would look smaller.
    let filled = Arc::new(Shape { path, fill: Some(Ink::Black), stroke: Some(stroke) });
    let covered = place.0.number..place.0.number.saturating_add(FINGERS);
    for number in (1u8..).take(row.buttons.len()) {
        let centre = Point::new(x, circles);
        if covered.contains(&number) {
            frame.push(centre, Item::Stamp(Arc::clone(&filled)));
            let finger = number - place.0.number + first_finger(setting);
            scale.label(Named::LabelStrong, &finger.to_string()).put_centred(&mut frame, Point::new(x, figures));
        } else {
            frame.push(centre, Item::Stamp(Arc::clone(&hollow)));
        }
        x += pitch;
    }
    x += label * 0.15;
    let lap = scale.label(Named::Label, if with_words { setting.words.lap } else { "" });
    frame.size.width = x + lap.width;
    lap.put(&mut frame, Point::new(x, baseline));
    frame
}

/// The line as it is heard, in the slots of a sentence: the row, the fingers, the buttons that they cover.
pub(super) fn said(setting: &Setting<'_>, place: Place, sentence: &str) -> String {
    let words = setting.words;
    let row = setting.book.instrument.row(place.0.row);
    let last = row.map_or(place.0.number, |row| u8::try_from(row.buttons.len()).unwrap_or(u8::MAX));
    let buttons = place.0.number..=place.0.number.saturating_add(FINGERS - 1).min(last.max(place.0.number));
    let index = first_finger(setting);
    let fingers = index..=index + (buttons.end() - buttons.start());
    let span = |span: &std::ops::RangeInclusive<u8>| {
        words.a_to_b.replace("{a}", &span.start().to_string()).replace("{b}", &span.end().to_string())
    };
    let said = sentence.replace("{row}", row_name(setting, place.0.row));
    said.replace("{fingers}", &span(&fingers)).replace("{buttons}", &span(&buttons))
}

/// What the index finger is printed as.
pub(super) const fn first_finger(setting: &Setting<'_>) -> u8 {
    match setting.book.engraving.signs.finger_one {
        FingerOne::Index => 1,
        FingerOne::Thumb => 2,
    }
}

/// The shape that codes a row.
pub(super) const fn shape(shapes: RowShapes, row: RowAt) -> HeadShape {
    match row {
        RowAt::Outer => shapes.outer,
        RowAt::Inner => shapes.inner,
        RowAt::Half => shapes.half,
    }
}

/// The row's name in the book's language.
pub(super) const fn row_name(setting: &Setting<'_>, row: RowAt) -> &'static str {
    match row {
        RowAt::Outer => setting.words.outer_row,
        RowAt::Inner => setting.words.inner_row,
        RowAt::Half => setting.words.half_row,
    }
}
