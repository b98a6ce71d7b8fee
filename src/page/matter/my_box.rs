//! The learner's box, drawn as the player sees it looking down: rows as columns of circles from chin to lap, each circle split
//! into push and pull, the staff beside it; the left hand the same way.

use super::{Desk, anchor};
use crate::book::Matter;
use crate::frame::{Frame, Ink, Item, Role, Shape, Stroke, Tag};
use crate::geom::{Abs, Path, Point, Segment, Size};
use crate::instrument::{ButtonId, Direction, LeftButton, Row, RowAt, Thirds};
use crate::page::chapter;
use crate::page::chart_staff::{self, Cluster, Spot};
use crate::page::facts::class_name;
use crate::page::flow::{Before, Piece};
use crate::page::hand::row_name;
use crate::page::prose::fixed;
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::text::Inline;

/// The page, or two where the type is large.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let (words, instrument) = (setting.words, &setting.book.instrument);
    let mut out = vec![chapter::head(desk, words.my_box, &anchor(Matter::MyBox), comp)];
    let mut name = setting.paragraph(Named::Strong, &instrument.name, comp);
    name[0].gap = fixed(setting.area.step);
    name[0].before = Before::Never;
    out.extend(name);
    out.extend(setting.paragraph(Named::Text, words.my_box_intro, comp));
    let source = words.box_source.replace("{source}", &sentence(&instrument.source));
    let mut source =
        setting.tagged_lines(Named::Small, &source, setting.width, (comp.number(), Tag::new(Role::Paragraph)), comp);
    source[0].gap = fixed(setting.area.step);
    let used: Abs = out.iter().chain(&source).map(|piece| piece.height + piece.gap.natural).sum();
    let room = setting.area.height - used - setting.area.step * 2.0;
    let right = keyboard(desk, room);
    let side = side_width(desk, &right);
    let left = left_part(desk, side, right.radius, comp);
    let staves = staff_part(desk, side);
    let both = staves.size.height + left.size.height + setting.area.step;
    let least = setting.width * 0.42;
    if side > least && both.fits(room) && right.frame.size.height.fits(room) {
        let at = staves.size.height + setting.area.step;
        let mut beside = Frame::new(Size::new(side, both));
        beside.place(Point::default(), staves);
        beside.place(Point::new(Abs::ZERO, at), left);
        out.push(figure(desk, pair(desk, right, beside)).breaking(Before::Never));
        out.extend(source);
        return out;
    }
    // Too much for one page: the left hand follows the words, the right hand has a page with its staves.
    let page = keyboard(desk, setting.area.height - setting.area.step);
    let left = left_part(desk, setting.width, page.radius, comp);
    out.push(figure(desk, left));
    out.extend(source);
    let side = side_width(desk, &page);
    let staves = staff_part(desk, side);
    if side > least && staves.size.height.fits(setting.area.height) {
        out.push(figure(desk, pair(desk, page, staves)));
    } else {
        let alt = right_alt(desk);
        let mut frame = Frame::new(page.frame.size);
        frame.place_tagged(Point::default(), page.frame, Tag::figure(alt));
        out.push(figure(desk, frame));
        out.push(figure(desk, staff_part(desk, setting.width)));
    }
    out
}

/// What the right hand's drawing leaves beside it.
fn side_width(desk: &Desk<'_>, right: &Keyboard) -> Abs {
    desk.setting.width - right.frame.size.width - desk.setting.scale.size(Named::Text) * 2.0
}

fn right_alt(desk: &Desk<'_>) -> String {
    format!("{}: {}", desk.setting.words.right_hand, desk.setting.book.instrument.name)
}

/// The right hand and what stands beside it.
fn pair(desk: &Desk<'_>, right: Keyboard, beside: Frame) -> Frame {
    let width = desk.setting.width;
    let mut frame = Frame::new(Size::new(width, right.frame.size.height.max(beside.size.height)));
    frame.place_tagged(Point::default(), right.frame, Tag::figure(right_alt(desk)));
    let x = width - beside.size.width;
    frame.place(Point::new(x, Abs::ZERO), beside);
    frame
}

/// Words as a sentence: a capital in front, one full stop at the end.
fn sentence(words: &str) -> String {
    let words = words.trim().trim_end_matches('.');
    let mut chars = words.chars();
    let first: String = chars.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
    format!("{first}{}.", chars.as_str())
}

fn figure(desk: &Desk<'_>, frame: Frame) -> Piece {
    let height = desk.setting.whole_steps(frame.size.height);
    Piece::of_text(frame, height).after(desk.setting.area.step)
}

/// The rows in the order in which they are seen, bellows at the left: half row, inner, outer.
fn columns<'a>(desk: &Desk<'a>) -> Vec<&'a Row> {
    let rows = &desk.setting.book.instrument.rows;
    [RowAt::Half, RowAt::Inner, RowAt::Outer]
        .into_iter()
        .filter_map(|at| rows.iter().find(|row| row.at == at))
        .collect()
}

/// The right hand as drawn, and how large its circles came out.
struct Keyboard {
    frame: Frame,
    radius: Abs,
}

/// The right hand: circles no smaller than their names need, the whole no higher than `room` where that can be had.
fn keyboard(desk: &Desk<'_>, room: Abs) -> Keyboard {
    let setting = desk.setting;
    let scale = &setting.scale;
    let instrument = &setting.book.instrument;
    let columns = columns(desk);
    let rows = instrument.buttons().map(|(id, _)| instrument.along(id)).fold(1.0, f64::max) + 0.1;
    let label = scale.size(Named::Label);
    let head = label * 3.0;
    let foot = label * 1.4;
    let least = label * 2.6;
    let pitch = ((room - head - foot) / rows).clamp(least, label * 4.6);
    let radius = pitch * 0.46;
    let number_room = label * 1.7;
    let heading = columns
        .iter()
        .map(|row| scale.label(Named::LabelStrong, row_name(setting, row.at)).width)
        .fold(Abs::ZERO, Abs::max);
    let column = (radius * 2.0 + number_room + label * 0.4).max(heading + label);
    let bellows = label * 2.0;
    let lowest = head + pitch * rows;
    let mut frame = Frame::new(Size::new(bellows + column * columns.len() as f64, lowest + foot));
    folds(desk, &mut frame, bellows, (head, lowest));
    for (n, row) in columns.iter().enumerate() {
        let x = bellows + column * n as f64 + column - label * 0.2 - radius;
        head_of(desk, &mut frame, row_name(setting, row.at), x);
        for (number, button) in (1u8..).zip(&row.buttons) {
            let along = instrument.along(ButtonId { row: row.at, number });
            let centre = Point::new(x, head + pitch * (along - 0.5));
            let names = [button.push, button.pull].map(|pitch| class_name(pitch.class()));
            let named = if number == row.start { Named::LabelStrong } else { Named::Label };
            circle(desk, &mut frame, centre, radius, &names, Named::Label);
            let at = Point::new(x - radius - label * 0.3, centre.y + scale.cap_height(named) / 2.0);
            scale.label(named, &number.to_string()).put_right(&mut frame, at);
        }
    }
    Keyboard { frame, radius }
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
    frame.push(Point::default(), Item::Shape(Shape { path: Path::open(&points), fill: None, stroke: Some(stroke) }));
    scale.label(Named::Label, desk.setting.words.bellows).put(frame, Point::new(Abs::ZERO, label));
    scale.label(Named::Label, desk.setting.words.chin).put(frame, Point::new(Abs::ZERO, top - label * 0.5));
    scale.label(Named::Label, desk.setting.words.lap).put(frame, Point::new(Abs::ZERO, bottom + label * 1.1));
}

/// A button: thin circle, an upright between its halves, the right half with a heavy rim; the names of both notes.
fn circle(desk: &Desk<'_>, frame: &mut Frame, centre: Point, radius: Abs, names: &[String; 2], named: Named) {
    let scale = &desk.setting.scale;
    let thin = Abs::pt(0.6);
    let outline = |path, width| {
        let stroke = Stroke { width, ink: Ink::Black, round: false, dash: None };
        Item::Shape(Shape { path, fill: None, stroke: Some(stroke) })
    };
    frame.push(Point::default(), outline(Path::circle(centre, radius), thin));
    let heavy = radius * 0.13;
    frame.push(Point::default(), outline(right_half(centre, radius - heavy / 2.0 + thin / 2.0), heavy));
    let (top, bottom) = (Point::new(centre.x, centre.y - radius), Point::new(centre.x, centre.y + radius));
    frame.line(top, bottom, thin, Ink::Black);
    // Names keep clear of rim and upright: they stand in the middle of what is free, as large as the circle lets them.
    let wanted = (radius * 0.66).max(desk.setting.book.text.smallest).min(scale.size(Named::Text) * 1.15);
    let baseline = centre.y + scale.cap_height(named) * (wanted / scale.size(named)) / 2.0;
    for (name, side) in names.iter().zip([-0.46, 0.41]) {
        let mut label = scale.label_at(named, wanted, name);
        let room = radius * 0.74;
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

/// The rows on staves, each under its name.
fn staff_part(desk: &Desk<'_>, width: Abs) -> Frame {
    let setting = desk.setting;
    let label = setting.scale.size(Named::Label);
    let mut frame = Frame::new(Size::new(width, Abs::ZERO));
    let mut y = Abs::ZERO;
    for row in columns(desk) {
        let name = row_name(setting, row.at);
        setting.scale.label(Named::LabelStrong, name).put(&mut frame, Point::new(Abs::ZERO, y + label));
        y += label * 1.5;
        for staff in staves(desk, row, width) {
            let height = staff.size.height;
            frame.place_tagged(Point::new(Abs::ZERO, y), staff, Tag::figure(format!("{name}, {}", row.name)));
            y += height + label * 0.8;
        }
        y += label * 0.6;
    }
    frame.size.height = y;
    frame
}

/// The left hand with its note.
fn left_part(desk: &Desk<'_>, width: Abs, radius: Abs, comp: &mut Compositor<'_>) -> Frame {
    let setting = desk.setting;
    let words = setting.words;
    let mut frame = Frame::new(Size::new(width, Abs::ZERO));
    if setting.book.instrument.left.buttons.is_empty() {
        return frame;
    }
    let label = setting.scale.size(Named::Label);
    setting.scale.label(Named::LabelStrong, words.left_hand).put(&mut frame, Point::new(Abs::ZERO, label));
    let mut y = label * 1.4;
    let mut note = words.left_intro.to_owned();
    if setting.book.instrument.left.thirds == Thirds::Out {
        note = format!("{note} {}", words.thirds_out);
    }
    let mut look = setting.scale.look(Named::Label);
    look.align = crate::text::Align::Left;
    let mut text = Frame::new(Size::new(width, Abs::ZERO));
    for line in comp.set(&[Inline::text(note)], &look, width.min(setting.measure)) {
        let height = line.frame.size.height;
        text.place(Point::new(Abs::ZERO, text.size.height), line.frame);
        text.size.height += height;
    }
    let height = text.size.height;
    frame.place_tagged(Point::new(Abs::ZERO, y), text, Tag::new(Role::Paragraph));
    y += height + label;
    let left = left_hand(desk, radius);
    let height = left.size.height;
    let alt = format!("{}: {}", words.left_hand, setting.book.instrument.name);
    frame.place_tagged(Point::new(Abs::ZERO, y), left, Tag::figure(alt));
    frame.size.height = y + height;
    frame
}

/// A row on as many staves as its notes need at this width.
fn staves(desk: &Desk<'_>, row: &Row, width: Abs) -> Vec<Frame> {
    let clusters: Vec<Cluster> = (1u8..)
        .zip(&row.buttons)
        .map(|(number, button)| Cluster {
            over: number.to_string(),
            spots: Direction::BOTH
                .into_iter()
                .map(|direction| Spot { pitch: button.pitch(direction), row: row.at, direction, under: String::new() })
                .collect(),
        })
        .collect();
    let space = desk.setting.book.engraving.space * 0.86;
    // A button takes about six and a half spaces; what does not fit goes on another staff.
    let fits = ((width / space - 3.6) / 6.4).floor().max(3.0) as usize;
    let staves = clusters.len().div_ceil(fits);
    let each = clusters.len().div_ceil(staves.max(1)).max(1);
    clusters
        .chunks(each)
        .map(|chunk| {
            let share = chunk.len() as f64 / each as f64;
            chart_staff::staff(desk.setting, chunk, width * share.max(0.3), space, true)
        })
        .collect()
}

/// The left hand as seen looking down: outer row at the left, bellows at the right.
fn left_hand(desk: &Desk<'_>, radius: Abs) -> Frame {
    let setting = desk.setting;
    let scale = &setting.scale;
    let left = &setting.book.instrument.left;
    let label = scale.size(Named::Label);
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
            circle(desk, &mut frame, centre, radius, &left_names(button), named);
        }
    }
    frame
}

/// The names of a left-hand button on push and pull.
fn left_names(button: &LeftButton) -> [String; 2] {
    Direction::BOTH.map(|direction| button.sound(direction).name(button.kind).replace('#', "♯"))
}
