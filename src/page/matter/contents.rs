//! The contents: parts, chapters and tunes with their page numbers, each a link.

use super::rows::{self, Entry};
use super::{Desk, anchor, title};
use crate::book::Matter;
use crate::frame::{Role, Tag};
use crate::geom::Abs;
use crate::page::flow::{Before, Gap, Piece};
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::page::{chapter, tune_head};

/// The contents; what stands before them is not listed.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let book = desk.setting.book;
    let words = desk.setting.words;
    let step = desk.setting.area.step;
    let mut out = vec![chapter::head(desk, words.contents, &anchor(Matter::Contents), comp)];
    let tag = (comp.number(), Tag::new(Role::Contents));
    let mut add = |entry: Entry, gap: Abs, before: Before, comp: &mut Compositor<'_>| {
        let mut piece = rows::entry(desk, &entry, comp);
        // The list leaves the grid, so that the white between chapters can give way evenly when that saves a page.
        piece.on_grid = false;
        piece.gap = Gap { natural: gap, stretch: Abs::ZERO, shrink: if out.len() > 1 { gap * 0.7 } else { Abs::ZERO } };
        piece.before = before;
        piece.tags = vec![tag.clone(), (comp.number(), Tag::new(Role::ContentsItem))];
        out.push(piece);
    };
    let plain =
        |words: &str, anchor: String| Entry { words: words.to_owned(), named: Named::Text, indent: Abs::ZERO, anchor };
    let listed = |matter: &Matter| title(words, *matter).filter(|_| *matter != Matter::Contents);
    let mut gap = step;
    let after = book.front.iter().skip_while(|matter| **matter != Matter::Contents);
    for (matter, title) in after.filter_map(|matter| Some((matter, listed(matter)?))) {
        add(plain(title, anchor(*matter)), gap, Before::Free, comp);
        gap = Abs::ZERO;
    }
    for (n, chapter) in book.chapters.iter().enumerate() {
        let entry = Entry { named: Named::Strong, ..plain(&chapter.title, chapter::anchor(n)) };
        add(entry, step, Before::Free, comp);
        for (m, tune) in chapter.tunes.iter().enumerate() {
            let entry = Entry { indent: step * 1.5, ..plain(&tune.title, tune_head::anchor(&tune.id)) };
            let before = if m == 0 { Before::Never } else { Before::Free };
            add(entry, Abs::ZERO, before, comp);
        }
    }
    let mut gap = step;
    for (matter, title) in book.back.iter().filter_map(|matter| Some((matter, listed(matter)?))) {
        add(plain(title, anchor(*matter)), gap, Before::Free, comp);
        gap = Abs::ZERO;
    }
    rows::keep_first(&mut out, 3);
    close_up(desk, &mut out);
    out
}

/// How much closer lines may stand.
const CLOSER: f64 = 0.88;

/// Lets the lines stand a little closer where that brings the whole contents onto one page.
fn close_up(desk: &Desk<'_>, pieces: &mut [Piece]) {
    let height = desk.setting.area.height;
    let sum = |pieces: &[Piece], factor: f64| -> Abs {
        let gaps: Abs = pieces.iter().map(|piece| piece.gap.natural - piece.gap.shrink).sum();
        pieces
            .iter()
            .enumerate()
            .map(|(n, piece)| if n == 0 { piece.height } else { piece.height * factor })
            .sum::<Abs>()
            + gaps
    };
    if sum(pieces, 1.0).fits(height) || !sum(pieces, CLOSER).fits(height) {
        return;
    }
    for piece in &mut pieces[1..] {
        piece.height = piece.height * CLOSER;
    }
}
