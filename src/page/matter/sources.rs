//! Sources and rights: every tune with its composer, arranger, source and rights.

use super::names::anchor;
use super::rows::{self, Cell, Grid};
use crate::book::Matter;
use crate::page::desk::Desk;
use crate::page::flow::fixed;
use crate::page::flow::{Before, Piece};
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::page::{chapter, tune_head};

/// The table, with the reminder that local law decides.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let words = setting.words;
    let mut out = vec![chapter::head(desk, words.sources, &anchor(Matter::Sources), comp)];
    let mut intro = setting.paragraph(Named::Text, words.local_law, comp);
    intro[0].gap = fixed(setting.area.step);
    out.extend(intro);
    let page = rows::page_column(desk);
    let rest = setting.width - page;
    let grid = Grid {
        widths: vec![rest * 0.3, page, rest * 0.25, rest * 0.23, rest * 0.22],
        least: setting.area.step,
        boxed: false,
    };
    let heads = [words.tune, words.page, words.composer, words.source, words.rights];
    let mut table = vec![grid.head(desk, &heads, comp).breaking(Before::Never).after(setting.area.step)];
    for (n, tune) in setting.book.tunes().enumerate() {
        let arranged = tune.arranger.as_ref().map(|arranger| words.arranged.replace("{name}", arranger));
        let composer = tune.composer.iter().cloned().chain(arranged).collect::<Vec<_>>().join(", ");
        let cells = [
            tune.title.clone(),
            desk.page(&tune_head::anchor(&tune.id)).to_owned(),
            composer,
            tune.source.clone().unwrap_or_default(),
            tune.rights.clone().unwrap_or_else(|| words.rights_unstated.to_owned()),
        ];
        let cells = cells.into_iter().map(|cell| Cell::Words(cell, Named::Label)).collect();
        let mut row = grid.row(desk, cells, comp);
        if n == 0 {
            row.before = Before::Never;
        }
        table.push(row);
    }
    out.extend(rows::table(table, comp));
    out
}
