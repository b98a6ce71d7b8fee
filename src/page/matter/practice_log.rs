//! The practice log: a ruled page for the term, to be written on in pencil.

use super::rows::{self, Cell, Grid};
use super::{Desk, anchor};
use crate::book::Matter;
use crate::page::chapter;
use crate::page::flow::{Before, Opening, Piece};
use crate::page::prose::fixed;
use crate::page::scale::Named;
use crate::page::setting::Compositor;

/// Pages of the log: a term's twelve weeks need about two (common practice).
const PAGES: usize = 2;

/// The log: as many rows as fill its pages.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let words = setting.words;
    let head = chapter::head(desk, words.practice_log, &anchor(Matter::PracticeLog), comp);
    let mut intro = setting.paragraph(Named::Text, words.log_intro, comp);
    intro[0].gap = fixed(setting.area.step);
    intro[0].before = Before::Never;
    // Wide enough for handwriting: a row of about 9 mm.
    let least = setting.whole_steps(crate::geom::Abs::mm(9.0).max(setting.scale.size(Named::Label) * 1.6));
    let label = setting.scale.size(Named::Label);
    let of =
        |head: &str, least: f64| (setting.scale.label(Named::LabelStrong, head).width + label * 1.4).max(label * least);
    let (date, minutes, speed) = (of(words.date, 5.5), of(words.minutes, 4.5), of(words.speed, 4.5));
    let rest = setting.width - date - minutes - speed;
    let widths = vec![date, rest * 0.36, minutes, speed, rest * 0.64];
    let grid = Grid { widths, least, boxed: true };
    let heads = [words.date, words.tune, words.minutes, words.speed, words.next_time];
    let above = head.height + setting.area.step + intro.iter().map(|piece| piece.height).sum();
    let mut out = vec![head];
    out.extend(intro);
    for page in 0..PAGES {
        let first = grid.head(desk, &heads, comp);
        let used = first.height + if page == 0 { above + setting.area.step } else { crate::geom::Abs::ZERO };
        let count = ((setting.area.height - used) / least + 1e-6).floor().max(1.0) as usize;
        let mut table = vec![if page == 0 {
            first.breaking(Before::Never).after(setting.area.step)
        } else {
            first.breaking(Before::Opens(Opening::Page))
        }];
        for _ in 0..count {
            table.push(grid.row(desk, vec![Cell::Empty; heads.len()], comp).breaking(Before::Never));
        }
        out.extend(rows::table(table, comp));
    }
    out
}
