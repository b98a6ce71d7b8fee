//! Cuts the long column into pages: the cheapest cut over the whole book, found by dynamic programming.
//!
//! Takes pieces, the height of the type area and the side of the first page; gives the run of pieces on each page. The price
//! of a page depends on its pieces, its side and, for a right-hand page, on how deep the left-hand page beside it goes; these
//! are the states. Ties keep the earlier cut, so the same book is always cut the same way.

use super::costs::{self, PageFit};
use super::document::Side;
use super::fill::{Area, Walk};
use super::flow::{Before, Piece};

/// One page: the pieces `start..end`, after a blank page if `blank_before`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct PageSpan {
    /// First piece.
    pub start: usize,
    /// One past the last piece.
    pub end: usize,
    /// Whether a blank page comes first.
    pub blank_before: bool,
}

/// The best cut and its price.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cut {
    /// The pages in order.
    pub pages: Vec<PageSpan>,
    /// What they cost together.
    pub cost: i64,
}

/// More ends than this are not tried for one page, the fullest first; a page has fewer sensible ends.
const MOST_ENDS: usize = 40;

/// The cheapest way to have used some of the pieces, for one side of the next page and one depth of the page beside it.
#[derive(Debug, Clone, Copy)]
struct State {
    side: Side,
    /// Depth of the page just ended if it faces the next one.
    beside: Option<i32>,
    cost: i64,
    /// The page that led here, and which state it started from.
    page: PageSpan,
    from: usize,
}

/// Cuts the pieces into pages.
pub(super) fn paginate(pieces: &[Piece], area: Area, first: Side) -> Cut {
    let mut states: Vec<Vec<State>> = vec![Vec::new(); pieces.len() + 1];
    let nowhere = PageSpan { start: 0, end: 0, blank_before: false };
    states[0].push(State { side: first, beside: None, cost: 0, page: nowhere, from: 0 });
    for start in 0..pieces.len() {
        if states[start].is_empty() {
            continue;
        }
        let ends = ends(pieces, start, area);
        for from in 0..states[start].len() {
            let state = states[start][from];
            let opening = if start == 0 { [Some(0), None] } else { costs::opening(state.side, pieces[start].before) };
            for (blank_before, price) in [false, true].into_iter().zip(opening) {
                let Some(price) = price else { continue };
                let (side, beside) = if blank_before { (state.side.next(), None) } else { (state.side, state.beside) };
                for &(end, fit) in &ends {
                    let cost = state.cost + price + page_price(pieces, end, side, beside, fit);
                    let page = PageSpan { start, end, blank_before };
                    let beside = if side == Side::Verso { fit.depth } else { None };
                    reach(&mut states[end], State { side: side.next(), beside, cost, page, from });
                }
            }
        }
    }
    trace(&states)
}

/// The price of a page that ends before the piece `end`, on a side, beside a page of a depth.
pub(super) fn page_price(pieces: &[Piece], end: usize, side: Side, beside: Option<i32>, fit: PageFit) -> i64 {
    let seam = pieces.get(end).map_or(0, |below| costs::seam(side, &pieces[end - 1], below));
    let level = if side == Side::Recto { costs::unlevel(beside, fit.depth) } else { 0 };
    fit.cost + seam + level
}

/// The places where a page that begins at `start` may end, with its price. There is always one.
pub(super) fn ends(pieces: &[Piece], start: usize, area: Area) -> Vec<(usize, PageFit)> {
    let mut walks = [Walk::new(); 3];
    let mut found = Vec::new();
    let mut fallback = None;
    for (end, piece) in (start + 1..).zip(&pieces[start..]) {
        for (walk, factor) in walks.iter_mut().zip([-1.0, 0.0, 1.0]) {
            walk.put(piece, area.step, factor);
        }
        let below = pieces.get(end).map(|piece| piece.before);
        let ends_part = matches!(below, None | Some(Before::Opens(_)));
        let fit = costs::page_fit(&walks, area, ends_part);
        let fits = walks[0].bottom().fits(area.height);
        if fits || end == start + 1 {
            fallback = Some((end, fit));
        }
        if !fits {
            break;
        }
        if below != Some(Before::Never) {
            found.push((end, fit));
        }
        if ends_part {
            break;
        }
    }
    if found.is_empty() {
        // Nothing that may end here fits: the fullest page that does fit, against the rule, which `seam` makes dear.
        return fallback.into_iter().collect();
    }
    let skip = found.len().saturating_sub(MOST_ENDS);
    found.split_off(skip)
}

/// Keeps a state if it is the cheapest of its kind.
fn reach(states: &mut Vec<State>, new: State) {
    match states.iter_mut().find(|known| (known.side, known.beside) == (new.side, new.beside)) {
        Some(known) if new.cost < known.cost => *known = new,
        Some(_) => {}
        None => states.push(new),
    }
}

fn trace(states: &[Vec<State>]) -> Cut {
    let mut pages = Vec::new();
    let mut at = states.len() - 1;
    let Some((mut index, last)) = states[at].iter().enumerate().min_by_key(|(_, state)| state.cost) else {
        return Cut { pages, cost: 0 };
    };
    let cost = last.cost;
    while at > 0 {
        let state = states[at][index];
        pages.push(state.page);
        (at, index) = (state.page.start, state.from);
    }
    pages.reverse();
    Cut { pages, cost }
}

#[cfg(test)]
mod tests;
