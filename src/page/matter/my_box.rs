//! The learner's box, drawn as the player sees it looking down: rows as columns of circles from chin to lap, each circle split
//! into push and pull, the staff beside it; the left hand the same way.

use super::keyboard::{Keyboard, columns, keyboard, keyboards, left_hand};
use super::names::anchor;
use crate::book::{Matter, Preset};
use crate::frame::{Frame, Role, Tag};
use crate::geom::{Abs, Point, Size};
use crate::instrument::{Direction, Row, Thirds, builtin};
use crate::lesson::BoxWords;
use crate::page::chapter;
use crate::page::chart_staff::{self, Cluster, Spot};
use crate::page::desk::Desk;
use crate::page::facts;
use crate::page::flow::fixed;
use crate::page::flow::{Before, Piece};
use crate::page::hand::row_name;
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::text::Inline;

/// The page, or two where the type is large.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let words = setting.words;
    let mut out = vec![chapter::head(desk, words.my_box, &anchor(Matter::MyBox), comp)];
    let called = facts::box_parts(setting).join(", ");
    let mut name = comp.at(setting.book.places.box_name, |comp| setting.paragraph(Named::Strong, &called, comp));
    if let Some(first) = name.first_mut() {
        (first.gap, first.before) = (fixed(setting.area.step), Before::Never);
    }
    out.extend(name);
    out.extend(setting.paragraph(Named::Text, words.my_box_intro, comp));
    let mut source = setting.tagged_lines(
        Named::Small,
        &source(desk),
        setting.width,
        (comp.number(), Tag::new(Role::Paragraph)),
        comp,
    );
    source[0].gap = fixed(setting.area.step);
    let used: Abs = out.iter().chain(&source).map(|piece| piece.height + piece.gap.natural).sum();
    let room = setting.area.height - used - setting.area.step * 2.0;
    let right = keyboard(desk, room, (0.0, f64::MAX));
    let side = side_width(desk, &right);
    let least = setting.width * 0.42;
    for (staff, left) in SIZES {
        // Names in circles keep to the least size of the book.
        if left < 1.0 && right.radius * left * NAMES < setting.book.text.smallest {
            continue;
        }
        let left = left_part(desk, side, right.radius * left, comp);
        let staves = staff_part(desk, side, staff);
        let left_height: Abs = left.iter().map(|part| part.size.height).sum();
        let both = staves.size.height + left_height + setting.area.step;
        if !(side > least && both.fits(room) && right.frame.size.height.fits(room)) {
            continue;
        }
        let mut at = staves.size.height + setting.area.step;
        let mut beside = Frame::new(Size::new(side, both));
        beside.place(Point::default(), staves);
        for part in left {
            let height = part.size.height;
            beside.place(Point::new(Abs::ZERO, at), part);
            at += height;
        }
        out.push(figure(desk, pair(desk, right, beside)).breaking(Before::Never));
        out.extend(source);
        return out;
    }
    // Too much for one page: the left hand follows the words, and the source follows it where the page has room, so that the
    // right hand has a page with its staves.
    let page = setting.area.height - setting.area.step;
    let parts = keyboards(desk, page);
    out.extend(left_beside_its_note(desk, parts[0].radius, comp));
    let first: Abs = out.iter().chain(&source).map(|piece| piece.height + piece.gap.natural).sum();
    // A line or two too many are taken in by closing up the page.
    if (first * 0.95).fits(setting.area.height) {
        out.append(&mut source);
    }
    let side = parts.first().map_or(Abs::ZERO, |part| side_width(desk, part));
    // The largest staves that stand beside the whole right hand, if any do.
    let mut sizes = SIZES.iter().map(|(staff, _)| staff_part(desk, side, *staff));
    let staves = sizes.find(|staves| side > least && staves.size.height.fits(page));
    match (<[Keyboard; 1]>::try_from(parts), staves) {
        (Ok([whole]), Some(staves)) => out.push(figure(desk, pair(desk, whole, staves))),
        (Ok([whole]), None) => {
            out.push(figure(desk, tagged(whole)));
            out.extend(staff_pieces(desk));
        }
        (Err(parts), _) => {
            out.extend(in_rows(desk, parts).into_iter().map(|frame| figure(desk, frame)));
            out.extend(staff_pieces(desk));
        }
    }
    out.extend(source);
    out
}

/// The left hand with its note at its right, or under its note where the page is narrow.
fn left_beside_its_note(desk: &Desk<'_>, radius: Abs, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let room = setting.width - left_hand(desk, radius).size.width - setting.scale.size(Named::Text) * 2.0;
    let is_wide = room >= setting.measure * 0.4;
    let mut parts = left_part(desk, if is_wide { room } else { setting.width }, radius, comp);
    if is_wide && let (Some(drawing), Some(note)) = (parts.pop(), parts.pop()) {
        let mut both = Frame::new(Size::new(setting.width, drawing.size.height.max(note.size.height)));
        // The note is read before the drawing.
        both.place(Point::new(setting.width - room, Abs::ZERO), note);
        both.place(Point::default(), drawing);
        parts.push(both);
    }
    parts.into_iter().map(|frame| figure(desk, frame)).collect()
}

/// That boxes differ; for the teacher also what is known of this one's layout, where it is written in the book's language.
fn source(desk: &Desk<'_>) -> String {
    let (book, words) = (desk.setting.book, desk.setting.words);
    let instrument = &book.instrument;
    let english = builtin().iter().any(|(id, _)| *id == instrument.id);
    let readable = !english || book.language.starts_with("en");
    if book.has(Preset::Teacher) && readable && !instrument.source.trim().is_empty() {
        let layout = words.box_layout.replace("{source}", &sentence(&instrument.source));
        return format!("{layout} {}", words.box_source);
    }
    words.box_source.to_owned()
}

/// Size of the names in a circle against its radius.
const NAMES: f64 = 0.66;

/// Sizes that are tried so that the whole box stands on one page: of its staves against the music's, and of the left hand's
/// circles against the right hand's.
const SIZES: [(f64, f64); 4] = [(0.86, 1.0), (0.86, 0.85), (0.76, 0.85), (0.7, 0.75)];

/// A drawing of the right hand, or of a part of it, with its alternative text.
fn tagged(part: Keyboard) -> Frame {
    let mut outer = Frame::new(part.frame.size);
    outer.place_tagged(Point::default(), part.frame, Tag::figure(part.alt));
    outer
}

/// The parts of a keyboard beside each other, as many as the page is wide.
fn in_rows(desk: &Desk<'_>, parts: Vec<Keyboard>) -> Vec<Frame> {
    let gap = desk.setting.scale.size(Named::Text) * 2.0;
    let mut rows: Vec<Frame> = Vec::new();
    for part in parts {
        let part = tagged(part);
        let size = part.size;
        match rows.last_mut().filter(|row| (row.size.width + gap + size.width).fits(desk.setting.width)) {
            Some(row) => {
                row.place(Point::new(row.size.width + gap, Abs::ZERO), part);
                row.size = Size::new(row.size.width + gap + size.width, row.size.height.max(size.height));
            }
            None => {
                let mut row = Frame::new(size);
                row.place(Point::default(), part);
                rows.push(row);
            }
        }
    }
    rows
}

/// The staves as pieces of their own, a row's name kept with its first.
fn staff_pieces(desk: &Desk<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let label = setting.scale.size(Named::Label);
    let mut out = Vec::new();
    for row in columns(desk) {
        for (n, (staff, alt)) in staves(desk, row, setting.width, SIZES[0].0).into_iter().enumerate() {
            let name = row_name(setting, row.at);
            let top = if n == 0 { label * 1.5 } else { Abs::ZERO };
            let mut frame = Frame::new(Size::new(setting.width, top + staff.size.height));
            if n == 0 {
                setting.scale.label(Named::LabelStrong, name).put(&mut frame, Point::new(Abs::ZERO, label));
            }
            frame.place_tagged(Point::new(Abs::ZERO, top), staff, Tag::figure(alt));
            out.push(figure(desk, frame));
        }
    }
    out
}

/// What the right hand's drawing leaves beside it.
fn side_width(desk: &Desk<'_>, right: &Keyboard) -> Abs {
    desk.setting.width - right.frame.size.width - desk.setting.scale.size(Named::Text) * 2.0
}

/// The right hand and what stands beside it.
fn pair(desk: &Desk<'_>, right: Keyboard, beside: Frame) -> Frame {
    let width = desk.setting.width;
    let mut frame = Frame::new(Size::new(width, right.frame.size.height.max(beside.size.height)));
    frame.place_tagged(Point::default(), right.frame, Tag::figure(right.alt));
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

/// The rows on staves, each under its name.
fn staff_part(desk: &Desk<'_>, width: Abs, size: f64) -> Frame {
    let setting = desk.setting;
    let label = setting.scale.size(Named::Label);
    let mut frame = Frame::new(Size::new(width, Abs::ZERO));
    let mut y = Abs::ZERO;
    for row in columns(desk) {
        let name = row_name(setting, row.at);
        setting.scale.label(Named::LabelStrong, name).put(&mut frame, Point::new(Abs::ZERO, y + label));
        y += label * 1.5;
        for (staff, alt) in staves(desk, row, width, size) {
            let height = staff.size.height;
            frame.place_tagged(Point::new(Abs::ZERO, y), staff, Tag::figure(alt));
            y += height + label * 0.8;
        }
        y += label * 0.6;
    }
    frame.size.height = y;
    frame
}

/// The left hand: its note, and its drawing.
fn left_part(desk: &Desk<'_>, width: Abs, radius: Abs, comp: &mut Compositor<'_>) -> Vec<Frame> {
    let setting = desk.setting;
    let words = setting.words;
    if setting.book.instrument.left.buttons.is_empty() {
        return Vec::new();
    }
    let mut frame = Frame::new(Size::new(width, Abs::ZERO));
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
    y += height + label * 0.6;
    frame.size.height = y;
    let left = left_hand(desk, radius);
    let instrument = &setting.book.instrument;
    let said = BoxWords::new(instrument, &setting.book.language).left();
    let alt = format!("{}. {said}", words.left_hand);
    let mut drawing = Frame::new(left.size);
    drawing.place_tagged(Point::default(), left, Tag::figure(alt));
    vec![frame, drawing]
}

/// A row on as many staves as its notes need at this width, each with its alternative text; `size` against the music's own.
fn staves(desk: &Desk<'_>, row: &Row, width: Abs, size: f64) -> Vec<(Frame, String)> {
    let clusters: Vec<Cluster> = (1u8..)
        .zip(&row.buttons)
        .map(|(number, button)| Cluster {
            over: number.to_string(),
            spots: Direction::BOTH
                .into_iter()
                .map(|direction| {
                    let (pitch, row) = (button.pitch(direction), row.at);
                    Spot { pitch, row, direction, finger: None, place: None, under: String::new() }
                })
                .collect(),
        })
        .collect();
    let space = desk.setting.book.engraving.space * size;
    // A button takes about six and a half spaces; what does not fit goes on another staff.
    let fits = ((width / space - 3.6) / 6.4).floor().max(3.0) as usize;
    let staves = clusters.len().div_ceil(fits);
    let each = clusters.len().div_ceil(staves.max(1)).max(1);
    let setting = desk.setting;
    let words = BoxWords::new(&setting.book.instrument, &setting.book.language);
    clusters
        .chunks(each)
        .enumerate()
        .map(|(n, chunk)| {
            let share = chunk.len() as f64 / each as f64;
            let staff = chart_staff::staff(setting, chunk, width * share.max(0.3), space, true);
            let shown = n * each..n * each + chunk.len();
            let said = words.staff(row, |id| shown.contains(&(usize::from(id.number) - 1)));
            let (name, colon) = (row_name(setting, row.at), setting.words.colon);
            (staff, format!("{name}, {}, {}{colon}{said}.", row.name, setting.words.on_staff))
        })
        .collect()
}
