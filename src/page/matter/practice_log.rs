//! The practice log: a ruled table for the term, week by week, to be written on in pencil. A book's chapters are its weeks;
//! each has its tunes in it already.

use super::names::anchor;
use super::rows::{self, Cell, Grid};
use crate::book::Matter;
use crate::frame::{Frame, Ink, Role, Tag};
use crate::geom::{Abs, Point, Rect, Size};
use crate::page::chapter;
use crate::page::desk::Desk;
use crate::page::fill::{Area, Walk};
use crate::page::flow::fixed;
use crate::page::flow::{Before, Piece};
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use std::sync::Arc;

/// Weeks of a term where the chapters are none: a book of one chapter, or of more than [`MOST_WEEKS`] (common practice).
const WEEKS: usize = 12;
/// See [`WEEKS`].
const MOST_WEEKS: usize = 20;
/// Fewest and most lines of a week.
const LINES: (usize, usize) = (5, 8);
/// Lines that a week has at least where it would not stay on its page with more.
const FEWEST_LINES: usize = 4;

/// One week: its name, and the tunes that stand in it already.
struct Week {
    name: String,
    tunes: Vec<String>,
}

/// The log.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let words = setting.words;
    let mut out = vec![chapter::head(desk, words.practice_log, &anchor(Matter::PracticeLog), comp)];
    let mut intro = setting.paragraph(Named::Text, words.log_intro, comp);
    intro[0].gap = fixed(setting.area.step);
    intro[0].before = Before::Never;
    out.extend(intro);
    let (grid, heads) = grid(desk);
    // Names that would be broken to pieces are left to the pencil.
    let named = grid.widths[1] >= setting.scale.size(Named::Label) * NAME_COLUMN;
    let table = (comp.number(), Tag::new(Role::Table));
    let head = grid.head(desk, &heads, comp);
    let again = Arc::clone(&head.frame);
    out.push(in_table(head.breaking(Before::Never).after(setting.area.step), &table, None, comp));
    let on_grid = setting.whole_steps(grid.least).is_near(grid.least);
    let mut page = Walk::new();
    for piece in &out {
        page.put(piece, setting.area.step, 0.0);
    }
    let mut lines_to_write = 0;
    for (n, week) in weeks(desk).into_iter().enumerate() {
        let band =
            band(desk, &week.name, heads.len(), on_grid).breaking(if n == 0 { Before::Never } else { Before::Free });
        let mut rows = vec![in_table(band, &table, Some(&again), comp)];
        let lines = (week.tunes.len() + 1).clamp(LINES.0, LINES.1);
        for line in 0..lines {
            let mut cells = vec![Cell::Empty; heads.len()];
            if let Some(tune) = week.tunes.get(line).filter(|_| named) {
                cells[1] = Cell::Words(tune.clone(), Named::Label);
            }
            // A week stays on its page; where no page holds one, it is parted after its first line.
            let before = if line == 0 { Before::Never } else { Before::Dear(PARTED_WEEK) };
            let row = grid.row(desk, cells, comp).breaking(before);
            rows.push(in_table(row, &table, Some(&again), comp));
        }
        let fewest = (week.tunes.len() + 1).clamp(FEWEST_LINES, LINES.1);
        page = fill(page, &mut rows, fewest + 1, setting.area);
        lines_to_write += rows.len() - 1;
        out.extend(rows);
    }
    rows::to_write(desk, &mut out, heads.len(), lines_to_write);
    out
}

/// A row inside the table, with the head that stands above it where it begins a page.
fn in_table(mut piece: Piece, table: &(u64, Tag), head: Option<&Arc<Frame>>, comp: &mut Compositor<'_>) -> Piece {
    piece.tags = vec![table.clone(), (comp.number(), Tag::new(Role::TableRow))];
    piece.head = head.map(Arc::clone);
    piece.on_grid = false;
    piece
}

/// Puts a week's rows on the page that `page` stands on, without its last empty line or two where it then stays whole, else on
/// the next; gives where that ends. No fewer than `fewest` rows are left.
fn fill(page: Walk, rows: &mut Vec<Piece>, fewest: usize, area: Area) -> Walk {
    let mut here = page;
    let fitting = rows.iter().take_while(|piece| {
        here.put(piece, area.step, 0.0);
        here.bottom().fits(area.height)
    });
    let fitting = fitting.count();
    let mut after = page;
    if fitting >= fewest {
        rows.truncate(fitting);
    } else {
        after = Walk::new();
    }
    for piece in rows.iter() {
        after.put(piece, area.step, 0.0);
    }
    after
}

/// What it costs that a week goes on on the next page: more than a page more, however white that leaves the one before.
const PARTED_WEEK: i64 = 20_000;
/// A column of fewer ems breaks most tunes' names.
const NAME_COLUMN: f64 = 8.0;

/// Columns for date, tune, minutes, speed and remarks with their heads, wide enough for a pencil. A narrow page goes without
/// minutes, and without speed too if names of tunes would then still be broken to pieces; what is left is for the remarks.
fn grid(desk: &Desk<'_>) -> (Grid, Vec<&'static str>) {
    let setting = desk.setting;
    let words = setting.words;
    let label = setting.scale.size(Named::Label);
    let least = rows::for_writing(setting);
    let of =
        |head: &str, least: f64| (setting.scale.label(Named::LabelStrong, head).width + label * 1.4).max(label * least);
    let (date, minutes, speed) = (of(words.date, 5.5), of(words.minutes, 4.5), of(words.speed, 4.5));
    let rest = setting.width - date - minutes - speed;
    let grid = |widths| Grid { widths, least, boxed: true };
    if rest * 0.4 >= label * NAME_COLUMN {
        let widths = vec![date, rest * 0.4, minutes, speed, rest * 0.6];
        return (grid(widths), vec![words.date, words.tune, words.minutes, words.speed, words.next_time]);
    }
    let rest = rest + minutes;
    let name = label * NAME_COLUMN;
    if rest * 0.5 >= name {
        let widths = vec![date, name, speed, rest - name];
        return (grid(widths), vec![words.date, words.tune, words.speed, words.next_time]);
    }
    let rest = rest + speed;
    (grid(vec![date, rest * 0.5, rest * 0.5]), vec![words.date, words.tune, words.next_time])
}

/// The chapters that have tunes, or the numbered weeks of a term.
fn weeks(desk: &Desk<'_>) -> Vec<Week> {
    let book = desk.setting.book;
    let chapters: Vec<Week> = book
        .chapters
        .iter()
        .filter(|chapter| !chapter.tunes.is_empty())
        .map(|chapter| Week {
            name: chapter.title.clone(),
            tunes: chapter.tunes.iter().map(|tune| tune.title.clone()).collect(),
        })
        .collect();
    if (2..=MOST_WEEKS).contains(&chapters.len()) {
        return chapters;
    }
    let name = |n: usize| desk.setting.words.week.replace("{n}", &n.to_string());
    (1..=WEEKS).map(|n| Week { name: name(n), tunes: Vec::new() }).collect()
}

/// A week's name across the table of so many columns, on a light tint, in whole steps if the rows are: the head of the rows
/// under it.
fn band(desk: &Desk<'_>, name: &str, columns: usize, on_grid: bool) -> Piece {
    let setting = desk.setting;
    let height = setting.scale.size(Named::LabelStrong) * 1.6;
    let height = if on_grid { setting.whole_steps(height) } else { height };
    let size = Size::new(setting.width, height);
    let pad = setting.scale.size(Named::Label) * 0.25;
    let mut frame = Frame::new(size);
    let mut tint = Frame::new(size);
    tint.fill_rect(Rect::new(Point::default(), Point::new(size.width, height)), Ink::Grey(8));
    // The tint covers half of the rule under the row before, so the band is ruled above as well.
    for y in [Abs::ZERO, height] {
        tint.line(Point::new(Abs::ZERO, y), Point::new(size.width, y), Abs::pt(0.3), Ink::Black);
    }
    frame.place_tagged(Point::default(), tint, Tag::new(Role::Artifact));
    let label = setting.scale.label_within(Named::LabelStrong, name, size.width - pad * 2.0);
    let mut words = Frame::new(Size::new(label.width, height));
    let baseline = (height + setting.scale.cap_height(Named::LabelStrong)) / 2.0;
    label.put(&mut words, Point::new(Abs::ZERO, baseline));
    frame.place_tagged(
        Point::new(pad, Abs::ZERO),
        words,
        Tag::new(Role::TableBand(u8::try_from(columns).unwrap_or(u8::MAX))),
    );
    Piece::of_text(frame, height)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A page of ten rows: what stands on it, the rows of a week, and how many of them are left with how many on the page after.
    #[test]
    fn a_week_gives_up_an_empty_line_to_stay_on_its_page() {
        let area = Area { height: Abs::pt(100.0), step: Abs::pt(10.0) };
        let row = || Piece::of_text(Frame::default(), Abs::pt(10.0));
        let week = |taken: usize, lines: usize, fewest: usize| {
            let mut page = Walk::new();
            for _ in 0..taken {
                page.put(&row(), area.step, 0.0);
            }
            let mut rows: Vec<Piece> = (0..lines).map(|_| row()).collect();
            let after = fill(page, &mut rows, fewest, area);
            (rows.len(), (after.bottom() / area.step).round() as usize)
        };
        assert_eq!(week(4, 6, 5), (6, 10), "it fits");
        assert_eq!(week(5, 6, 5), (5, 10), "without its last line");
        assert_eq!(week(6, 6, 5), (6, 6), "whole on the next page");
        assert_eq!(week(5, 6, 6), (6, 6), "each line has its tune");
    }
}
