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
    let used: Abs = out.iter().map(|piece| piece.height + piece.gap.natural).sum();

    let right = keyboard(desk, setting.area.height - used - setting.area.step * 2.0);
    let gap = setting.scale.size(Named::Text) * 2.2;
    let beside = setting.width - right.size.width - gap;
    let side = side_column(desk, beside, comp);
    let fits_beside = beside > setting.width * 0.42 && side.size.height.fits(setting.area.height - used);
    let alt = format!("{}: {}", words.right_hand, instrument.name);
    if fits_beside {
        let height = right.size.height.max(side.size.height);
        let mut frame = Frame::new(Size::new(setting.width, height));
        frame.place_tagged(Point::default(), right, Tag::figure(alt));
        frame.place(Point::new(setting.width - beside, Abs::ZERO), side);
        out.push(figure(desk, frame).breaking(Before::Never));
    } else {
        let mut frame = Frame::new(Size::new(setting.width, right.size.height));
        frame.place_tagged(Point::default(), right, Tag::figure(alt));
        out.push(figure(desk, frame).breaking(Before::Free));
        out.push(figure(desk, side_column(desk, setting.width, comp)));
    }
    let source = words.box_source.replace("{source}", instrument.source.trim_end_matches('.')).replace("  ", ". ");
    let mut source = setting.paragraph(Named::Small, &source, comp);
    source[0].gap = fixed(setting.area.step);
    out.extend(source);
    out
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

/// The right hand: circles no smaller than their names need, the whole no higher than `room` where that can be had.
fn keyboard(desk: &Desk<'_>, room: Abs) -> Frame {
    let setting = desk.setting;
    let scale = &setting.scale;
    let instrument = &setting.book.instrument;
    let columns = columns(desk);
    let rows = instrument.buttons().map(|(id, _)| instrument.along(id)).fold(1.0, f64::max) + 0.1;
    let label = scale.size(Named::Label);
    let head = label * 3.2;
    let least = label * 2.75;
    let pitch = ((room - head - label * 1.6) / rows).clamp(least, label * 4.4);
    let radius = pitch * 0.46;
    let number_room = label * 1.6;
    let column = pitch * 1.1 + number_room;
    let bellows = label * 2.4;
    let lowest = head + pitch * rows;
    let mut frame = Frame::new(Size::new(bellows + column * columns.len() as f64, lowest + label * 1.6));
    folds(desk, &mut frame, bellows, head, lowest);
    for (n, row) in columns.iter().enumerate() {
        let x = bellows + column * n as f64 + number_room + radius;
        let middle = Point::new(x, label);
        scale.label(Named::LabelStrong, row_name(setting, row.at)).put_centred(&mut frame, middle);
        let small = label * 1.25;
        scale.label(Named::Label, setting.words.push).put_right(&mut frame, Point::new(x - label * 0.2, label + small));
        scale.label(Named::Label, setting.words.pull).put(&mut frame, Point::new(x + label * 0.2, label + small));
        for (number, button) in (1u8..).zip(&row.buttons) {
            let along = instrument.along(ButtonId { row: row.at, number });
            let centre = Point::new(x, head + pitch * (along - 0.5));
            let names = [button.push, button.pull].map(|pitch| class_name(pitch.class()));
            let named = if Some(number) == Some(row.start) { Named::LabelStrong } else { Named::Label };
            circle(desk, &mut frame, centre, radius, &names, Named::Label);
            let at = Point::new(x - radius - label * 0.3, centre.y + scale.cap_height(named) / 2.0);
            scale.label(named, &number.to_string()).put_right(&mut frame, at);
        }
    }
    let x = bellows + number_room * 0.4;
    scale.label(Named::Label, setting.words.chin).put_right(&mut frame, Point::new(x, head - label * 0.2));
    scale.label(Named::Label, setting.words.lap).put_right(&mut frame, Point::new(x, lowest + label * 0.9));
    frame
}

/// The edge of the bellows: a zigzag along the keyboard's left, its word beside the top.
fn folds(desk: &Desk<'_>, frame: &mut Frame, width: Abs, top: Abs, bottom: Abs) {
    let mut points = Vec::new();
    let fold = Abs::mm(3.2);
    let count = ((bottom - top) / fold).floor().max(2.0) as usize;
    for n in 0..=count {
        let x = if n % 2 == 0 { width * 0.12 } else { width * 0.42 };
        points.push(Point::new(x, top + (bottom - top) * (n as f64 / count as f64)));
    }
    let stroke = Stroke { width: Abs::pt(0.5), ink: Ink::Black, round: true, dash: None };
    frame.push(Point::default(), Item::Shape(Shape { path: Path::open(&points), fill: None, stroke: Some(stroke) }));
    let label = desk.setting.scale.size(Named::Label);
    desk.setting
        .scale
        .label(Named::Label, desk.setting.words.bellows)
        .put(frame, Point::new(Abs::ZERO, top - label * 1.4));
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
    // Names keep clear of rim and upright: they stand in the middle of what is free.
    let baseline = centre.y + scale.cap_height(named) / 2.0;
    for (name, side) in names.iter().zip([-0.48, 0.44]) {
        let mut label = scale.label(named, name);
        let room = radius * 0.86;
        if !label.width.fits(room) {
            let smaller = (scale.size(named) * (room / label.width)).max(desk.setting.book.text.smallest * 0.8);
            label = scale.label_at(named, smaller, name);
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

/// What stands beside the keyboard: the rows on staves, then the left hand.
fn side_column(desk: &Desk<'_>, width: Abs, comp: &mut Compositor<'_>) -> Frame {
    let setting = desk.setting;
    let label = setting.scale.size(Named::Label);
    let mut frame = Frame::new(Size::new(width, Abs::ZERO));
    let mut y = Abs::ZERO;
    let title = |frame: &mut Frame, words: &str, y: Abs| {
        setting.scale.label(Named::LabelStrong, words).put(frame, Point::new(Abs::ZERO, y + label));
    };
    for row in columns(desk) {
        title(&mut frame, row_name(setting, row.at), y);
        y += label * 1.5;
        for staff in staves(desk, row, width) {
            let height = staff.size.height;
            let alt = format!("{}, {}", row_name(setting, row.at), row.name);
            frame.place_tagged(Point::new(Abs::ZERO, y), staff, Tag::figure(alt));
            y += height + label * 0.8;
        }
        y += label * 0.6;
    }
    if !setting.book.instrument.left.buttons.is_empty() {
        y += label * 0.6;
        title(&mut frame, setting.words.left_hand, y);
        y += label * 1.6;
        let mut note = setting.words.left_intro.to_owned();
        if setting.book.instrument.left.thirds == Thirds::Out {
            note = format!("{note} {}", setting.words.thirds_out);
        }
        let mut look = setting.scale.look(Named::Label);
        look.align = crate::text::Align::Left;
        let mut words = Frame::new(Size::new(width, Abs::ZERO));
        for line in comp.set(&[Inline::text(note)], &look, width) {
            let height = line.frame.size.height;
            words.place(Point::new(Abs::ZERO, words.size.height), line.frame);
            words.size.height += height;
        }
        let height = words.size.height;
        frame.place_tagged(Point::new(Abs::ZERO, y), words, Tag::new(Role::Paragraph));
        y += height + label;
        let left = left_hand(desk);
        let alt = format!("{}: {}", setting.words.left_hand, setting.book.instrument.name);
        let height = left.size.height;
        frame.place_tagged(Point::new(Abs::ZERO, y), left, Tag::figure(alt));
        y += height;
    }
    frame.size.height = y;
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
    let space = desk.setting.book.engraving.space * 0.74;
    // A button takes about six and a half spaces; what does not fit at nine tenths of the size goes on another staff.
    let fits = ((width / (space * 0.9) - 3.6) / 6.4).floor().max(3.0) as usize;
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
fn left_hand(desk: &Desk<'_>) -> Frame {
    let setting = desk.setting;
    let scale = &setting.scale;
    let left = &setting.book.instrument.left;
    let label = scale.size(Named::Label);
    let pitch = label * 3.1;
    let radius = pitch * 0.46;
    let column = pitch * 1.45;
    let most = left.buttons.iter().map(|button| button.number).max().unwrap_or(1);
    let head = label * 3.0;
    let width = column * left.rows.len() as f64 + label * 3.0;
    let mut frame = Frame::new(Size::new(width, head + pitch * f64::from(most)));
    for (n, at) in left.rows.iter().enumerate() {
        let x = column * n as f64 + column / 2.0;
        scale.label(Named::LabelStrong, row_name(setting, *at)).put_centred(&mut frame, Point::new(x, label));
        let under = label * 2.25;
        scale.label(Named::Label, setting.words.push).put_right(&mut frame, Point::new(x - label * 0.2, under));
        scale.label(Named::Label, setting.words.pull).put(&mut frame, Point::new(x + label * 0.2, under));
        for button in left.buttons.iter().filter(|button| button.row == *at) {
            let centre = Point::new(x, head + pitch * (f64::from(button.number) - 0.5));
            let named =
                if button.kind == crate::instrument::LeftKind::Bass { Named::LabelStrong } else { Named::Label };
            circle(desk, &mut frame, centre, radius, &left_names(button), named);
        }
    }
    frame
}

/// The names of a left-hand button on push and pull.
pub(super) fn left_names(button: &LeftButton) -> [String; 2] {
    Direction::BOTH.map(|direction| button.sound(direction).name(button.kind).replace('#', "♯"))
}
