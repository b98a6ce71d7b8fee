//! Pages of advice: holding and comfort, how the book works, measuring the bellows. Words from the language's table.

use super::names::{anchor, title};
use crate::book::Matter;
use crate::diag::{Sink, Sources};
use crate::page::chapter;
use crate::page::desk::Desk;
use crate::page::flow::{Before, Piece, fixed};
use crate::page::prose::{self, Column};
use crate::page::setting::Compositor;
use crate::text::parse;

/// One page of advice.
pub(super) fn pieces(desk: &Desk<'_>, matter: Matter, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let words = desk.setting.words;
    let mut out = vec![chapter::head(desk, title(words, matter).unwrap_or_default(), &anchor(matter), comp)];
    let text = text(desk, matter);
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
    out
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
