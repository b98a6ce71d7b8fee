//! Pages of advice: holding and comfort, how the book works, measuring the bellows with a table for what was found. Words from
//! the language's table.

use super::names::{anchor, title};
use super::rows::{self, Cell, Grid};
use crate::book::{Matter, Preset};
use crate::diag::{Sink, Sources};
use crate::geom::Abs;
use crate::page::chapter;
use crate::page::desk::Desk;
use crate::page::flow::{Before, Piece, fixed};
use crate::page::prose::{self, Column};
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::text::parse;

/// One page of advice.
pub(super) fn pieces(desk: &Desk<'_>, matter: Matter, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let words = desk.setting.words;
    let mut out = vec![chapter::head(desk, title(words, matter).unwrap_or_default(), &anchor(matter), comp)];
    let text = if matter == Matter::Measure { measure(desk) } else { text(desk, matter).to_owned() };
    let mut sources = Sources::default();
    let file = sources.add("", text);
    // Words of the program itself: nothing the author could mend.
    let blocks = parse(&sources.excerpt(file), &mut Sink::default());
    let column = Column::text(desk.setting);
    let set = comp.own_text(|comp| prose::set(desk.setting, &blocks, desk.extras, column, comp));
    let mut body = prose::flat(set);
    if let Some(first) = body.first_mut() {
        first.gap = fixed(desk.setting.steps(1.0));
        first.before = Before::Never;
    }
    out.extend(body);
    if matter == Matter::Measure {
        out.extend(measured(desk, comp));
    }
    out
}

/// How to measure the bellows, with the figure that this book reckons with.
fn measure(desk: &Desk<'_>) -> String {
    let (book, words) = (desk.setting.book, desk.setting.words);
    let seconds = book.instrument.bellows.seconds.to_string().replace('.', words.decimal);
    let text = words.measure_text.replace("{seconds}", &seconds);
    if book.has(Preset::Teacher) { format!("{text}\n{}\n", words.measure_maker) } else { text }
}

/// The table to write the times into.
fn measured(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let words = setting.words;
    let label = setting.scale.size(Named::Label);
    let widest = |all: &[&str]| {
        let width = |words: &&str| setting.scale.label(Named::Label, words).width;
        all.iter().map(width).fold(Abs::ZERO, Abs::max) + label * 1.4
    };
    // A narrow page breaks the names of what is timed.
    let names = widest(&words.measure_rows).min(setting.width * 0.45);
    let each = (setting.width - names) / 4.0;
    let widths = vec![names, each, each, each, each];
    let grid = Grid { widths, least: rows::for_writing(setting), boxed: true };
    let mut table = vec![grid.head(desk, &words.measure_heads, comp).after(setting.area.step)];
    for name in words.measure_rows {
        let mut cells = vec![Cell::Empty; 5];
        cells[0] = Cell::Words(name.to_owned(), Named::Label);
        table.push(grid.row(desk, cells, comp));
    }
    let mut table = rows::table(table, comp);
    for piece in &mut table[1..] {
        piece.before = Before::Never;
    }
    // Rows to write in may have a height of their own, and lie on one another.
    table.iter_mut().for_each(|piece| piece.on_grid = false);
    rows::to_write(desk, &mut table, words.measure_heads.len(), words.measure_rows.len());
    table
}

/// The Markdown of a page of advice.
pub(super) const fn text(desk: &Desk<'_>, matter: Matter) -> &'static str {
    let words = desk.setting.words;
    match matter {
        Matter::Holding => words.holding_text,
        Matter::HowTo => words.how_to_text,
        Matter::Measure => words.measure_text,
        _ => "",
    }
}
