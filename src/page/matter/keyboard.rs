//! The keyboards of a box as the player sees them looking down: columns of circles from chin to lap, each split into push and
//! pull with the names of its notes.

use crate::frame::{Frame, Ink, Item, Shape, Stroke};
use crate::geom::{Abs, Path, Point, Segment, Size};
use crate::instrument::{ButtonId, Direction, LeftButton, Row, RowAt};
use crate::lesson::BoxWords;
use crate::page::desk::Desk;
use crate::page::facts::class_name;
use crate::page::hand::row_name;
use crate::page::scale::Named;

/// The rows in the order in which they are seen, bellows at the left: half row, inner, outer.
pub(super) fn columns<'a>(desk: &Desk<'a>) -> Vec<&'a Row> {
    let rows = &desk.setting.book.instrument.rows;
    [RowAt::Half, RowAt::Inner, RowAt::Outer]
        .into_iter()
        .filter_map(|at| rows.iter().find(|row| row.at == at))
        .collect()
}

/// The right hand as drawn, and how large its circles came out.
#[derive(Debug)]
pub(super) struct Keyboard {
    /// The drawing.
    pub frame: Frame,
    /// Radius of a circle.
    pub radius: Abs,
    /// Its buttons in words.
    pub alt: String,
}

/// The right hand in as many parts as `room` asks for, from the chin.
pub(super) fn keyboards(desk: &Desk<'_>, room: Abs) -> Vec<Keyboard> {
    let label = desk.setting.scale.size(Named::Label);
    let rows = length(desk);
    let fit = (((room - label * (HEAD + FOOT)) / (label * LEAST)) - OFFSET_ROOM).floor().max(2.0);
    let parts = (rows / fit).ceil().max(1.0);
    let each = (rows / parts).ceil();
    (0..parts as usize)
        .map(|n| {
            keyboard(
                desk,
                room,
                (each * n as f64, if n + 1 == parts as usize { f64::MAX } else { each * (n as f64 + 1.0) }),
            )
        })
        .collect()
}

/// How long the keyboard is in buttons, stagger counted in.
fn length(desk: &Desk<'_>) -> f64 {
    let instrument = &desk.setting.book.instrument;
    instrument.buttons().map(|(id, _)| instrument.along(id)).fold(1.0, f64::max)
}

/// Room over and under the circles, and the least distance of circles, in sizes of the labels.
const HEAD: f64 = 3.0;
/// See [`HEAD`].
const FOOT: f64 = 1.4;
/// See [`HEAD`].
const LEAST: f64 = 2.6;
/// A part may be longer than its buttons by the stagger of its rows.
const OFFSET_ROOM: f64 = 0.6;

/// The buttons of the right hand whose numbers lie in `range`: circles no smaller than their names need, the whole no higher
/// than `room` where that can be had.
pub(super) fn keyboard(desk: &Desk<'_>, room: Abs, range: (f64, f64)) -> Keyboard {
    let setting = desk.setting;
    let scale = &setting.scale;
    let instrument = &setting.book.instrument;
    let columns = columns(desk);
    let inside = |id: ButtonId| f64::from(id.number) > range.0 && f64::from(id.number) <= range.1;
    let last =
        instrument.buttons().filter(|(id, _)| inside(*id)).map(|(id, _)| instrument.along(id)).fold(1.0, f64::max);
    let rows = last - range.0 + 0.1;
    let label = scale.size(Named::Label);
    let (head, foot, least) = (label * HEAD, label * FOOT, label * LEAST);
    let pitch = ((room - head - foot) / rows).clamp(least, label * 4.6);
    let radius = pitch * 0.46;
    let number_room = label * 1.7;
    let heading = columns
        .iter()
        .map(|row| scale.label(Named::LabelStrong, row_name(setting, row.at)).width)
        .fold(Abs::ZERO, Abs::max);
    let column = (radius * 2.0 + number_room + label * 0.4).max(heading + label);
    // The word for the bellows stands on the line of the rows' names, clear of the first.
    let first =
        columns.first().map_or(Abs::ZERO, |row| scale.label(Named::LabelStrong, row_name(setting, row.at)).width);
    let word = scale.label(Named::Label, setting.words.bellows).width;
    let beside = column - label * 0.2 - radius - first / 2.0;
    let bellows = (word + label * 0.5 - beside).max(label * 2.0);
    let lowest = head + pitch * rows;
    let mut frame = Frame::new(Size::new(bellows + column * columns.len() as f64, lowest + foot));
    folds(desk, &mut frame, bellows, (head, lowest));
    for (n, row) in columns.iter().enumerate() {
        let x = bellows + column * n as f64 + column - label * 0.2 - radius;
        head_of(desk, &mut frame, row_name(setting, row.at), x);
        for (number, button) in (1u8..).zip(&row.buttons) {
            let id = ButtonId { row: row.at, number };
            if !inside(id) {
                continue;
            }
            let along = instrument.along(id) - range.0;
            let centre = Point::new(x, head + pitch * (along - 0.5));
            let names = [button.push, button.pull].map(|pitch| class_name(pitch.class()));
            let named = if number == row.start { Named::LabelStrong } else { Named::Label };
            circle(desk, &mut frame, (centre, radius), wanted(desk, radius), &names, Named::Label);
            let at = Point::new(x - radius - label * 0.3, centre.y + scale.cap_height(named) / 2.0);
            scale.label(named, &number.to_string()).put_right(&mut frame, at);
        }
    }
    let said = BoxWords::new(instrument, &setting.book.language).rows(&columns, inside);
    let alt = format!("{}. {said}", setting.words.right_hand);
    Keyboard { frame, radius, alt }
}

/// The name over a column and which half is which.
fn head_of(desk: &Desk<'_>, frame: &mut Frame, name: &str, x: Abs) {
    let scale = &desk.setting.scale;
    let label = scale.size(Named::Label);
    scale.label(Named::LabelStrong, name).put_centred(frame, Point::new(x, label));
    let under = label * 2.25;
    scale.label(Named::Label, desk.setting.words.push).put_right(frame, Point::new(x - label * 0.25, under));
    scale.label(Named::Label, desk.setting.words.pull).put(frame, Point::new(x + label * 0.25, under));
}

/// The edge of the bellows: a zigzag along the keyboard's left, with the words for its ends.
fn folds(desk: &Desk<'_>, frame: &mut Frame, width: Abs, (top, bottom): (Abs, Abs)) {
    let scale = &desk.setting.scale;
    let label = scale.size(Named::Label);
    let mut points = Vec::new();
    let fold = Abs::mm(3.2);
    let count = ((bottom - top) / fold).floor().max(2.0) as usize;
    for n in 0..=count {
        let x = if n % 2 == 0 { Abs::ZERO } else { width * 0.3 };
        points.push(Point::new(x, top + (bottom - top) * (n as f64 / count as f64)));
    }
    let stroke = Stroke { width: Abs::pt(0.5), ink: Ink::Black, round: true, dash: None };
    frame.push(
        Point::default(),
        Item::Shape(Box::new(Shape { path: Path::open(&points), fill: None, stroke: Some(stroke) })),
    );
    scale.label(Named::Label, desk.setting.words.bellows).put(frame, Point::new(Abs::ZERO, label));
    scale.label(Named::Label, desk.setting.words.chin).put(frame, Point::new(Abs::ZERO, top - label * 0.5));
    scale.label(Named::Label, desk.setting.words.lap).put(frame, Point::new(Abs::ZERO, bottom + label * 1.1));
}

/// The room for a name in half a circle, in radii.
const HALF: f64 = 0.74;

/// How large the names in a circle of a radius should be.
fn wanted(desk: &Desk<'_>, radius: Abs) -> Abs {
    let largest = desk.setting.scale.size(Named::Text) * 1.15;
    (radius * 0.66).max(desk.setting.book.text.smallest).min(largest)
}

/// A button: thin circle, an upright between its halves, the right half with a heavy rim; the names of both notes.
fn circle(
    desk: &Desk<'_>,
    frame: &mut Frame,
    (centre, radius): (Point, Abs),
    wanted: Abs,
    names: &[String; 2],
    named: Named,
) {
    let scale = &desk.setting.scale;
    let thin = Abs::pt(0.6);
    let outline = |path, width| {
        let stroke = Stroke { width, ink: Ink::Black, round: false, dash: None };
        Item::Shape(Box::new(Shape { path, fill: None, stroke: Some(stroke) }))
    };
    frame.push(Point::default(), outline(Path::circle(centre, radius), thin));
    let heavy = radius * 0.13;
    frame.push(Point::default(), outline(right_half(centre, radius - heavy / 2.0 + thin / 2.0), heavy));
    let (top, bottom) = (Point::new(centre.x, centre.y - radius), Point::new(centre.x, centre.y + radius));
    frame.line(top, bottom, thin, Ink::Black);
    // Names keep clear of rim and upright: they stand in the middle of what is free, as large as wanted or as the circle lets them.
    let baseline = centre.y + scale.cap_height(named) * (wanted / scale.size(named)) / 2.0;
    for (name, side) in names.iter().zip([-0.46, 0.41]) {
        let mut label = scale.label_at(named, wanted, name);
        let room = radius * HALF;
        if !label.width.fits(room) {
            label = scale.label_at(named, wanted * (room / label.width), name);
        }
        label.put_centred(frame, Point::new(centre.x + radius * side, baseline));
    }
}

/// The right half of a circle's outline.
fn right_half(centre: Point, radius: Abs) -> Path {
    const K: f64 = 0.552_284_749_830_793_4;
    let at = |x: f64, y: f64| Point::new(centre.x + radius * x, centre.y + radius * y);
    Path {
        segments: vec![
            Segment::Move(at(0.0, -1.0)),
            Segment::Cubic(at(K, -1.0), at(1.0, -K), at(1.0, 0.0)),
            Segment::Cubic(at(1.0, K), at(K, 1.0), at(0.0, 1.0)),
        ],
    }
}

/// By how much circles of the left hand may be larger than the right hand's.
const LARGER: f64 = 1.3;

/// The radius of the left hand's circles beside the right hand's: a chord of two letters is no smaller than the rest, so the
/// circles are larger for it, within reason.
fn left_radius(desk: &Desk<'_>, radius: Abs) -> Abs {
    let wanted = wanted(desk, radius);
    let names = desk.setting.book.instrument.left.buttons.iter().flat_map(left_names);
    let width = |name: String| desk.setting.scale.label_at(Named::Label, wanted, &name).width;
    let widest = names.map(width).fold(Abs::ZERO, Abs::max);
    (widest / HALF).min(radius * LARGER).max(radius)
}

/// The left hand as seen looking down: outer row at the left, bellows at the right.
pub(super) fn left_hand(desk: &Desk<'_>, radius: Abs) -> Frame {
    let setting = desk.setting;
    let scale = &setting.scale;
    let left = &setting.book.instrument.left;
    let label = scale.size(Named::Label);
    let (wanted, radius) = (wanted(desk, radius), left_radius(desk, radius));
    let pitch = radius / 0.46;
    let heading = left
        .rows
        .iter()
        .map(|row| scale.label(Named::LabelStrong, row_name(setting, *row)).width)
        .fold(Abs::ZERO, Abs::max);
    let column = (pitch * 1.2).max(heading + label);
    let most = left.buttons.iter().map(|button| button.number).max().unwrap_or(1);
    let head = label * 3.0;
    let width = column * left.rows.len() as f64;
    let mut frame = Frame::new(Size::new(width, head + pitch * f64::from(most)));
    for (n, at) in left.rows.iter().enumerate() {
        let x = column * n as f64 + column / 2.0;
        head_of(desk, &mut frame, row_name(setting, *at), x);
        for button in left.buttons.iter().filter(|button| button.row == *at) {
            let centre = Point::new(x, head + pitch * (f64::from(button.number) - 0.5));
            let is_bass = button.kind == crate::instrument::LeftKind::Bass;
            let named = if is_bass { Named::LabelStrong } else { Named::Label };
            circle(desk, &mut frame, (centre, radius), wanted, &left_names(button), named);
        }
    }
    frame
}

/// The names of a left-hand button on push and pull.
fn left_names(button: &LeftButton) -> [String; 2] {
    Direction::BOTH.map(|direction| button.sound(direction).name(button.kind).replace('#', "♯"))
}

#[cfg(test)]
#[path = "keyboard_tests.rs"]
mod tests;
