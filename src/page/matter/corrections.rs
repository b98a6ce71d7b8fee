//! The correction slip, to be cut off: page, bar, what stands there, what should.

use super::names::anchor;
use super::rows::{self, Cell, Grid};
use crate::book::Matter;
use crate::frame::{Frame, Ink, Item, Role, Shape, Stroke, Tag};
use crate::geom::{Abs, Path, Point, Size};
use crate::page::chapter;
use crate::page::desk::Desk;
use crate::page::flow::fixed;
use crate::page::flow::{Before, Piece};
use crate::page::scale::Named;
use crate::page::setting::Compositor;

/// Rows of the slip.
const ROWS: usize = 8;

/// The slip.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let (book, words) = (setting.book, setting.words);
    let mut out = vec![chapter::head(desk, words.corrections, &anchor(Matter::Corrections), comp)];
    let publisher =
        book.imprint.publisher.clone().or_else(|| book.author.clone()).unwrap_or_else(|| words.whose_book.to_owned());
    let intro = words
        .corrections_intro
        .replace("{publisher}", &publisher)
        .replace("{title}", &book.title)
        .replace("{number}", &book.impression.to_string());
    let mut intro = setting.paragraph(Named::Text, &intro, comp);
    intro[0].gap = fixed(setting.area.step);
    out.extend(intro);

    let mut cut = Frame::new(Size::new(setting.width, setting.area.step));
    let dash = Some((Abs::pt(4.0), Abs::pt(3.0)));
    let stroke = Stroke { width: Abs::pt(0.5), ink: Ink::Black, round: false, dash };
    let y = setting.area.step * 0.5;
    let path = Path::open(&[Point::new(Abs::ZERO, y), Point::new(setting.width, y)]);
    cut.push(Point::default(), Item::Shape(Box::new(Shape { path, fill: None, stroke: Some(stroke) })));
    let cut = Piece::of_text(cut, setting.area.step).breaking(Before::Never);
    out.push(cut.after(setting.area.step).tagged(comp.number(), Tag::new(Role::Artifact)));

    let label = setting.scale.size(Named::Label);
    let narrow = |head: &str| setting.scale.label(Named::LabelStrong, head).width.max(label * 2.4) + label * 1.2;
    let (page, bar) = (narrow(words.page), narrow(words.bar));
    let tune = (setting.width - page - bar) * 0.28;
    let rest = (setting.width - page - bar - tune) / 2.0;
    let least = setting.whole_steps(Abs::mm(10.0).max(label * 1.8));
    let grid = Grid { widths: vec![page, tune, bar, rest, rest], least, boxed: true };
    let heads = [words.page, words.tune, words.bar, words.stands, words.should_be];
    let mut table = vec![grid.head(desk, &heads, comp).breaking(Before::Never).after(setting.area.step)];
    for _ in 0..ROWS {
        table.push(grid.row(desk, vec![Cell::Empty; heads.len()], comp).breaking(Before::Never));
    }
    let mut table = rows::table(table, comp);
    rows::to_write(desk, &mut table, heads.len(), ROWS);
    out.extend(table);
    out
}
