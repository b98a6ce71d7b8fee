//! The contents: parts, chapters and tunes with their page numbers, each a link; the tunes of a chapter in a list of their own
//! (ISO 32000-1, 14.8.4.3.3).

use super::names::{anchor, title};
use super::rows::{self, Entry};
use crate::book::Matter;
use crate::frame::{Role, Tag};
use crate::geom::Abs;
use crate::page::desk::Desk;
use crate::page::fill::pages_needed;
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
    let mut add = |entry: Entry, gap: Abs, before: Before, inner: Option<&(u64, Tag)>, comp: &mut Compositor<'_>| {
        let mut piece = rows::entry(desk, &entry, comp);
        // The list leaves the grid, so that the white between chapters can give way evenly when that saves a page.
        piece.on_grid = false;
        piece.gap = Gap { natural: gap, stretch: Abs::ZERO, shrink: if out.len() > 1 { gap * 0.7 } else { Abs::ZERO } };
        piece.before = before;
        let item = (comp.number(), Tag::new(Role::ContentsItem));
        piece.tags = std::iter::once(&tag).chain(inner).chain([&item]).cloned().collect();
        out.push(piece);
    };
    let plain = |words: &str, anchor: String| Entry {
        words: words.to_owned(),
        named: Named::Text,
        indent: Abs::ZERO,
        anchor,
        place: None,
    };
    let listed = |matter: &Matter| title(words, *matter).filter(|_| *matter != Matter::Contents);
    let mut gap = step;
    let after = book.front.iter().skip_while(|matter| **matter != Matter::Contents);
    for (matter, title) in after.filter_map(|matter| Some((matter, listed(matter)?))) {
        add(plain(title, anchor(*matter)), gap, Before::Free, None, comp);
        gap = Abs::ZERO;
    }
    for (n, chapter) in book.chapters.iter().enumerate() {
        let place = Some(chapter.place);
        let entry = Entry { named: Named::Strong, place, ..plain(&chapter.title, chapter::anchor(n)) };
        add(entry, step, Before::Free, None, comp);
        let tunes = (comp.number(), Tag::new(Role::Contents));
        for (m, tune) in chapter.tunes.iter().enumerate() {
            let place = Some(tune.place);
            let entry = Entry { indent: step * 1.5, place, ..plain(&tune.title, tune_head::anchor(&tune.id)) };
            let before = if m == 0 { Before::Never } else { Before::Free };
            add(entry, Abs::ZERO, before, Some(&tunes), comp);
        }
    }
    let mut gap = step;
    for (matter, title) in book.back.iter().filter_map(|matter| Some((matter, listed(matter)?))) {
        add(plain(title, anchor(*matter)), gap, Before::Free, None, comp);
        gap = Abs::ZERO;
    }
    rows::keep_first(&mut out, 3);
    close_up(desk, &mut out);
    out
}

/// How much closer lines may stand, from what is seen least.
const CLOSER: [f64; 3] = [0.96, 0.92, 0.88];

/// Lets the lines stand a little closer where that spares a page.
fn close_up(desk: &Desk<'_>, pieces: &mut Vec<Piece>) {
    let area = desk.setting.area;
    let usual = pages_needed(pieces, area);
    for factor in CLOSER {
        let mut closer = pieces.clone();
        closer.iter_mut().skip(1).for_each(|piece| piece.height = piece.height * factor);
        if usual > 1 && pages_needed(&closer, area) < usual {
            *pieces = closer;
            return;
        }
    }
}
