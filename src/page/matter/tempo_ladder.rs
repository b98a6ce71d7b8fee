//! The ladder of speeds of all tunes: one row a tune, a speed and a box to tick a step.

use super::names::anchor;
use super::rows::{self, Cell, Grid};
use crate::book::Matter;
use crate::frame::Frame;
use crate::geom::{Abs, Point, Size};
use crate::page::desk::Desk;
use crate::page::flow::fixed;
use crate::page::flow::{Before, Piece};
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::page::{chapter, facts, ladder, tune_head};
use std::collections::BTreeSet;

/// At most so many steps get a column; a page is no wider.
const STEPS: usize = 5;

/// The table.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let words = setting.words;
    let mut out = vec![chapter::head(desk, words.tempo_ladder, &anchor(Matter::TempoLadder), comp)];
    let mut intro = setting.paragraph(Named::Text, words.ladder_intro, comp);
    intro[0].gap = fixed(setting.area.step);
    out.extend(intro);
    let percents: BTreeSet<u32> = setting.book.tunes().flat_map(|tune| tune.practice.iter().copied()).collect();
    // The fastest steps are kept where there are too many.
    let percents: Vec<u32> = percents.into_iter().rev().take(STEPS).rev().collect();
    let label = setting.scale.size(Named::Label);
    let page = rows::page_column(desk);
    let step = ((setting.width - page) * 0.62 / percents.len().max(1) as f64).min(label * 9.0);
    let title = setting.width - page - step * percents.len() as f64;
    let mut widths = vec![title, page];
    widths.extend(percents.iter().map(|_| step));
    let grid = Grid { widths, least: setting.whole_steps(label * 2.0), boxed: false };
    let heads: Vec<String> = percents.iter().map(|percent| format!("{percent}%")).collect();
    let mut names = vec![words.tune, words.page];
    names.extend(heads.iter().map(String::as_str));
    let mut table = vec![grid.head(desk, &names, comp).breaking(Before::Never).after(setting.area.step)];
    for (n, tune) in setting.book.tunes().enumerate() {
        let mut cells = vec![
            Cell::Head(tune.title.clone(), Named::Label),
            Cell::Words(desk.page(&tune_head::anchor(&tune.id)).to_owned(), Named::Label),
        ];
        for percent in &percents {
            let tempo = tune.tune.tempo.as_ref().filter(|_| tune.practice.contains(percent));
            cells.push(match tempo {
                Some(tempo) => Cell::Drawn(cell(desk, facts::speed(setting, tempo, *percent), step)),
                None if tune.practice.contains(percent) => Cell::Drawn(cell(desk, None, step)),
                None => Cell::Empty,
            });
        }
        let mut row = grid.row(desk, cells, comp);
        if n == 0 {
            row.before = Before::Never;
        }
        table.push(row);
    }
    out.extend(rows::table(table, comp));
    out
}

/// A box to tick and the speed beside it, as high as a line; a speed too wide for the column is left out.
fn cell(desk: &Desk<'_>, speed: Option<Frame>, room: Abs) -> Frame {
    let setting = desk.setting;
    let label = setting.scale.size(Named::Label);
    let mut frame = Frame::new(Size::new(room, setting.area.step));
    let baseline = setting.baseline();
    frame.push(Point::new(Abs::ZERO, baseline), ladder::tick_box(label * 0.95, label * 0.12));
    if let Some(speed) = speed.filter(|speed| (speed.size.width + label * 1.9).fits(room)) {
        frame.place(Point::new(label * 1.4, baseline), speed);
    }
    frame
}
