//! Half-title and title page.

use crate::diag::Place;
use crate::frame::{Frame, Ink, Item, Role, Shape, Stroke, Tag};
use crate::geom::{Abs, Path, Point, Size};
use crate::page::chapter;
use crate::page::desk::Desk;
use crate::page::flow::Piece;
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::text::{Inline, ParagraphLook};

/// The half-title: the title alone, at a third of the page.
pub(super) fn half(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let mut frame = page(desk);
    frame.push(Point::default(), Item::Anchor(super::names::anchor(crate::book::Matter::HalfTitle).into()));
    let top = desk.setting.whole_steps(desk.setting.area.height * 0.22);
    let book = desk.setting.book;
    comp.at(book.places.title, |comp| {
        lines(desk, &mut frame, Named::TuneTitle, &book.title, top, Role::Paragraph, comp);
    });
    vec![whole(frame)]
}

/// The title page: bar, title, subtitle, author; the box's buttons as a drawing; publisher and year at the foot.
pub(super) fn full(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let book = setting.book;
    let step = setting.area.step;
    let mut frame = page(desk);
    frame.push(Point::default(), Item::Anchor(super::names::anchor(crate::book::Matter::Title).into()));
    let mut y = setting.whole_steps(setting.area.height * 0.10);
    chapter::bar(&mut frame, Point::new(Abs::ZERO, y), desk);
    y += step;
    let places = &book.places;
    y = comp.at(places.title, |comp| lines(desk, &mut frame, Named::BookTitle, &book.title, y, Role::Heading(1), comp));
    if let Some(subtitle) = &book.subtitle {
        y = comp.at(places.subtitle, |comp| {
            lines(desk, &mut frame, Named::Heading, subtitle, y + step * 0.5, Role::Paragraph, comp)
        });
    }
    if let Some(author) = &book.author {
        y = comp.at(places.author, |comp| {
            lines(desk, &mut frame, Named::Text, author, y + step * 2.0, Role::Paragraph, comp)
        });
    }
    let mut foot = setting.area.height;
    let year = book.date.get(..4).unwrap_or_default();
    let publisher = match &book.imprint.publisher {
        Some(publisher) => format!("{publisher}, {year}"),
        None => year.to_owned(),
    };
    // From the foot upwards, each as high as its lines are, with a step of white over it.
    for (named, words, place) in at_foot(desk, Some(publisher)) {
        let block = comp.at(place, |comp| block(desk, named, &words, comp));
        foot -= block.size.height;
        frame.place_tagged(Point::new(Abs::ZERO, foot), block, Tag::new(Role::Paragraph));
        foot -= step;
    }
    // Words that meet those at the foot make the page higher than it is, which is told.
    frame.size.height += (y - foot).max(Abs::ZERO);
    let drawing = buttons(desk, Abs::mm(12.0));
    let at = foot - drawing.size.height;
    if at > y + step {
        frame.place_tagged(Point::new(Abs::ZERO, at), drawing, Tag::new(Role::Artifact));
    }
    vec![whole(frame)]
}

/// What stands at the foot, from the foot upwards: the publisher, the edition, the box that the book is for, each with the place
/// where the author has written it if that is no part of the page's own.
pub(in crate::page) fn at_foot(desk: &Desk<'_>, publisher: Option<String>) -> Vec<(Named, String, Option<Place>)> {
    let words = super::imprint::box_for(desk);
    let lines = [
        publisher.map(|publisher| (Named::Text, publisher, None)),
        super::imprint::edition(desk).map(|edition| (Named::Label, edition, None)),
        Some((Named::Label, words, desk.setting.book.places.box_name)),
    ];
    lines.into_iter().flatten().collect()
}

/// The buttons of the box as an ornament, chin end left, the rows' stagger kept; where the outer row's hand lies is filled. They
/// stand no further apart than `widest`.
pub(in crate::page) fn buttons(desk: &Desk<'_>, widest: Abs) -> Frame {
    let setting = desk.setting;
    let instrument = &setting.book.instrument;
    let most = instrument.buttons().map(|(id, _)| instrument.along(id)).fold(1.0, f64::max);
    let pitch = (setting.width / (most + 0.2)).min(widest);
    let radius = pitch * 0.36;
    let mut frame = Frame::new(Size::new(setting.width, pitch * instrument.rows.len() as f64));
    for (n, row) in instrument.rows.iter().enumerate() {
        let y = pitch * (n as f64 + 0.5);
        for (number, _) in (1u8..).zip(&row.buttons) {
            let along = instrument.along(crate::instrument::ButtonId { row: row.at, number });
            let circle = Path::circle(Point::new(pitch * (along - 1.0) + radius, y), radius);
            if row.start > 0 && (row.start..row.start.saturating_add(4)).contains(&number) && n + 1 == main_row(desk) {
                frame.fill(Point::default(), circle, Ink::Black);
            } else {
                let stroke = Stroke { width: Abs::pt(0.75), ink: Ink::Black, round: false, dash: None };
                frame.push(
                    Point::default(),
                    Item::Shape(Box::new(Shape { path: circle, fill: None, stroke: Some(stroke) })),
                );
            }
        }
    }
    frame
}

/// The row that is filled on the title page: the inner one of two, where the first tunes lie.
fn main_row(desk: &Desk<'_>) -> usize {
    desk.setting.book.instrument.rows.len().min(2)
}

fn page(desk: &Desk<'_>) -> Frame {
    Frame::new(Size::new(desk.setting.width, desk.setting.area.height))
}

fn whole(frame: Frame) -> Piece {
    let height = frame.size.height;
    Piece::of_text(frame, height)
}

/// Sets words from `top`, gives where they end.
fn lines(
    desk: &Desk<'_>,
    frame: &mut Frame,
    named: Named,
    words: &str,
    top: Abs,
    role: Role,
    comp: &mut Compositor<'_>,
) -> Abs {
    let block = block(desk, named, words, comp);
    let end = top + block.size.height;
    frame.place_tagged(Point::new(Abs::ZERO, top), block, Tag::new(role));
    end
}

/// Words broken to the page's width, as high as their lines.
pub(in crate::page) fn block(desk: &Desk<'_>, named: Named, words: &str, comp: &mut Compositor<'_>) -> Frame {
    let mut look = desk.setting.scale.look(named);
    (look.align, look.hyphenate) = (crate::text::Align::Left, false);
    lines_of(desk, &look, words, comp)
}

/// The same in a look of its own.
pub(in crate::page) fn lines_of(
    desk: &Desk<'_>,
    look: &ParagraphLook,
    words: &str,
    comp: &mut Compositor<'_>,
) -> Frame {
    let setting = desk.setting;
    let mut block = Frame::new(Size::new(setting.width, Abs::ZERO));
    for line in comp.set(&[Inline::text(words)], look, setting.width) {
        let height = line.frame.size.height;
        block.place(Point::new(Abs::ZERO, block.size.height), line.frame);
        block.size.height += height;
    }
    block
}
