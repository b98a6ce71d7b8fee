//! Cuts the long column into pages: the cheapest cut over the whole book, found by dynamic programming.
//!
//! Takes pieces, the height of the type area and the side of the first page; gives the run of pieces on each page. The price
//! of a page depends on its pieces, its side and, for a right-hand page, on how deep the left-hand page beside it goes or how
//! full it is; these are the states. Parts that begin a page are cut at the same time and joined in order. Ties keep the earlier cut, so the same
//! book is always cut the same way.

use super::costs::{self, Beside, PageFit};
use super::document::Side;
use super::fill::{Area, Walk};
use super::flow::{Before, Piece};
use rayon::prelude::*;
use std::ops::Range;

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

/// The cheapest way to have used some of the pieces of a part, for one side of its first page, one side of the next page and
/// one depth of the page beside it.
#[derive(Debug, Clone, Copy)]
struct State {
    first: Side,
    side: Side,
    /// The page just ended if it faces the next one.
    beside: Option<Beside>,
    cost: i64,
    /// Where the page that led here began, and which state it started from.
    start: usize,
    from: usize,
}

/// The cheapest pages of one part whose first page is on one side and whose last page is followed by one on another.
#[derive(Debug, Clone)]
struct Way {
    first: Side,
    next: Side,
    cost: i64,
    pages: Vec<PageSpan>,
}

/// Cuts the pieces into pages. Nothing faces a page across the opening of a part that must begin a page, so each part is cut by
/// itself for either side of its first page, and the parts are joined after that.
pub(super) fn paginate(pieces: &[Piece], area: Area, first: Side) -> Cut {
    let mut starts: Vec<usize> = vec![0];
    starts.extend((1..pieces.len()).filter(|at| matches!(pieces[*at].before, Before::Opens(_))));
    starts.push(pieces.len());
    let parts: Vec<Vec<Way>> = starts.par_windows(2).map(|ends| part(pieces, ends[0]..ends[1], area)).collect();
    join(pieces, &parts, first)
}

/// The ways of a part: at most one for each pair of sides.
fn part(pieces: &[Piece], range: Range<usize>, area: Area) -> Vec<Way> {
    let begin = range.start;
    let mut states: Vec<Vec<State>> = vec![Vec::new(); range.len() + 1];
    for side in [Side::Recto, Side::Verso] {
        states[0].push(State { first: side, side, beside: None, cost: 0, start: begin, from: 0 });
    }
    for start in range.clone() {
        if states[start - begin].is_empty() {
            continue;
        }
        drop_dear(&mut states[start - begin]);
        for (end, fit) in ends(pieces, start, area) {
            let seams = [Side::Recto, Side::Verso].map(|side| seam(pieces, end, side));
            let shares = shares(pieces, end);
            for from in 0..states[start - begin].len() {
                let state = states[start - begin][from];
                let seam = if state.side == Side::Recto { seams[0] } else { seams[1] };
                let (facing, beside) = costs::facing(state.side, state.beside, fit, shares, area);
                let cost = state.cost + fit.cost + seam + facing;
                let next = State { side: state.side.next(), beside, cost, start, from, ..state };
                reach(&mut states[end - begin], next);
            }
        }
    }
    let ends = states.last().map_or(&[][..], Vec::as_slice);
    ends.iter()
        .map(|end| Way { first: end.first, next: end.side, cost: end.cost, pages: trace(&states, begin, end) })
        .collect()
}

/// Drops states that are dearer than another of their sides by more than facing pages can cost: they never win.
fn drop_dear(states: &mut Vec<State>) {
    if states.len() <= 2 {
        return;
    }
    let least = |first: Side, side: Side| {
        let own = states.iter().filter(|state| (state.first, state.side) == (first, side));
        own.map(|state| state.cost + state.beside.map_or(0, Beside::at_most)).min()
    };
    let sides = [Side::Recto, Side::Verso];
    let least: Vec<(Side, Side, i64)> = sides
        .into_iter()
        .flat_map(|first| sides.map(|side| (first, side)))
        .filter_map(|(first, side)| Some((first, side, least(first, side)?)))
        .collect();
    states.retain(|state| {
        let own = least.iter().find(|(first, side, _)| (*first, *side) == (state.first, state.side));
        own.is_none_or(|(.., least)| state.cost <= *least)
    });
}

/// The price of ending a page of a side before the piece `end`.
fn seam(pieces: &[Piece], end: usize, side: Side) -> i64 {
    pieces.get(end).map_or(0, |below| costs::seam(side, &pieces[end - 1], below))
}

/// Whether the same tune stands on both sides of a page that ends before the piece `end`.
fn shares(pieces: &[Piece], end: usize) -> bool {
    let opens = |below: &Piece| matches!(below.before, Before::Opens(_));
    pieces.get(end).is_some_and(|below| !opens(below) && costs::same_tune(&pieces[end - 1], below))
}

/// The pages that lead to a state, without the blank page before the first.
fn trace(states: &[Vec<State>], begin: usize, end: &State) -> Vec<PageSpan> {
    let mut pages = Vec::new();
    let (mut state, mut after) = (*end, begin + states.len() - 1);
    while after > begin {
        pages.push(PageSpan { start: state.start, end: after, blank_before: false });
        after = state.start;
        state = states[after - begin][state.from];
    }
    pages.reverse();
    pages
}

/// The cheapest chain of ways, with blank pages between parts where the order or the sum asks for them.
fn join(pieces: &[Piece], parts: &[Vec<Way>], first: Side) -> Cut {
    /// The cheapest chain so far that the next page of a side follows: its last way, whether a blank page comes before that,
    /// and the chain it goes on from.
    #[derive(Clone, Copy)]
    struct Chain {
        side: Side,
        cost: i64,
        way: usize,
        blank: bool,
        from: usize,
    }
    let mut chains = vec![vec![Chain { side: first, cost: 0, way: 0, blank: false, from: 0 }]];
    for (n, ways) in parts.iter().enumerate() {
        let before = ways.first().and_then(|way| way.pages.first()).map(|page| pieces[page.start].before);
        let mut next: Vec<Chain> = Vec::new();
        for (from, chain) in chains[n].iter().enumerate() {
            let opening = match before {
                Some(before) if n > 0 => costs::opening(chain.side, before),
                _ => [Some(0), None],
            };
            for (blank, price) in [false, true].into_iter().zip(opening) {
                let Some(price) = price else { continue };
                let side = if blank { chain.side.next() } else { chain.side };
                for (way, found) in ways.iter().enumerate().filter(|(_, found)| found.first == side) {
                    let new = Chain { side: found.next, cost: chain.cost + price + found.cost, way, blank, from };
                    match next.iter_mut().find(|known| known.side == new.side) {
                        Some(known) if new.cost < known.cost => *known = new,
                        Some(_) => {}
                        None => next.push(new),
                    }
                }
            }
        }
        chains.push(next);
    }
    let best = chains.last().and_then(|last| last.iter().min_by_key(|chain| chain.cost));
    let Some(best) = best else { return Cut { pages: Vec::new(), cost: 0 } };
    let cost = best.cost;
    let mut chain = *best;
    let mut runs = Vec::new();
    for n in (0..parts.len()).rev() {
        let mut pages = parts[n][chain.way].pages.clone();
        if let Some(page) = pages.first_mut() {
            page.blank_before = chain.blank;
        }
        runs.push(pages);
        chain = chains[n][chain.from];
    }
    runs.reverse();
    Cut { pages: runs.concat(), cost }
}

/// The price of a page that ends before the piece `end`, on a side, beside a page; and what it is to the next.
#[cfg(test)]
fn page_price(
    pieces: &[Piece],
    end: usize,
    side: Side,
    beside: Option<Beside>,
    fit: PageFit,
    area: Area,
) -> (i64, Option<Beside>) {
    let (facing, beside) = costs::facing(side, beside, fit, shares(pieces, end), area);
    (fit.cost + seam(pieces, end, side) + facing, beside)
}

/// The places where a page that begins at `start` may end, with its price. There is always one.
fn ends(pieces: &[Piece], start: usize, area: Area) -> Vec<(usize, PageFit)> {
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
    let same = |known: &&mut State| (known.first, known.side, known.beside) == (new.first, new.side, new.beside);
    match states.iter_mut().find(same) {
        Some(known) if new.cost < known.cost => *known = new,
        Some(_) => {}
        None => states.push(new),
    }
}

#[cfg(test)]
mod tests;
