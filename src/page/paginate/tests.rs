//! The cut against exhaustive search on small books, and against the obvious one.

use super::super::flow::{Gap, Opening, Substance};
use super::*;
use crate::frame::{Frame, Role, Tag};
use crate::geom::Abs;
use proptest::prelude::*;

const AREA: Area = Area { height: Abs::pt(100.0), step: Abs::pt(10.0) };

fn piece(height: f64, before: Before, substance: Substance, give: f64) -> Piece {
    let mut piece = Piece::of_text(Frame::default(), Abs::pt(height)).breaking(before);
    piece.on_grid = give == 0.0;
    piece.substance = substance;
    piece.gap = Gap { natural: Abs::pt(give), stretch: Abs::pt(give), shrink: Abs::pt(give / 2.0) };
    piece
}

/// Every way to cut, by brute force, priced with the same prices.
fn exhaustive(pieces: &[Piece], start: usize, side: Side, beside: Option<Beside>) -> i64 {
    if start == pieces.len() {
        return 0;
    }
    let opening = if start == 0 { [Some(0), None] } else { costs::opening(side, pieces[start].before) };
    let mut best = i64::MAX;
    for (blank, price) in [false, true].into_iter().zip(opening) {
        let Some(price) = price else { continue };
        let (side, beside) = if blank { (side.next(), None) } else { (side, beside) };
        for (end, fit) in ends(pieces, start, AREA) {
            let (page, next) = page_price(pieces, end, side, beside, fit, AREA);
            let cost = price + page + exhaustive(pieces, end, side.next(), next);
            best = best.min(cost);
        }
    }
    best
}

/// Each page as full as it goes, no blank that is not forced.
fn greedy(pieces: &[Piece], first: Side) -> i64 {
    let (mut start, mut side, mut beside, mut cost) = (0, first, None, 0);
    while start < pieces.len() {
        let opening = if start == 0 { [Some(0), None] } else { costs::opening(side, pieces[start].before) };
        match opening {
            [Some(price), _] => cost += price,
            [None, price] => {
                cost += price.unwrap_or(0);
                (side, beside) = (side.next(), None);
            }
        }
        let (end, fit) = *ends(pieces, start, AREA).last().expect("a page always ends somewhere");
        let page;
        (page, beside) = page_price(pieces, end, side, beside, fit, AREA);
        cost += page;
        (start, side) = (end, side.next());
    }
    cost
}

fn any_piece() -> impl Strategy<Value = Piece> {
    let before = prop_oneof![
        4 => Just(Before::Free),
        2 => Just(Before::Never),
        1 => Just(Before::Dear(500)),
        2 => Just(Before::Opens(Opening::Page)),
        1 => Just(Before::Opens(Opening::Recto)),
        1 => Just(Before::Opens(Opening::LikesRecto)),
        1 => Just(Before::Opens(Opening::Verso)),
    ];
    let substance = prop_oneof![
        Just(Substance::Text),
        (0usize..2).prop_map(Substance::Music),
        (0usize..2).prop_map(Substance::Commentary),
    ];
    (1u32..12, before, substance, 0u32..3).prop_map(|(height, before, substance, give)| {
        piece(f64::from(height) * 9.0, before, substance, f64::from(give) * 6.0)
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(160))]
    #[test]
    fn no_cut_is_cheaper(pieces in prop::collection::vec(any_piece(), 1..12), recto in any::<bool>()) {
        let first = if recto { Side::Recto } else { Side::Verso };
        let cut = paginate(&pieces, AREA, first);
        prop_assert_eq!(cut.cost, exhaustive(&pieces, 0, first, None));
        prop_assert!(cut.cost <= greedy(&pieces, first));
        let mut next = 0;
        for page in &cut.pages {
            prop_assert_eq!(page.start, next);
            prop_assert!(page.end > page.start);
            next = page.end;
        }
        prop_assert_eq!(next, pieces.len());
    }
}

#[test]
fn a_tune_of_two_pages_opens_on_the_left() {
    let systems = |tune: usize, count: usize| {
        (0..count).map(move |n| {
            let whole = if count <= 2 { Before::Dear(costs::PARTED_TUNE) } else { Before::Free };
            let before = if n == 0 { Before::Opens(Opening::Page) } else { whole };
            piece(40.0, before, Substance::Music(tune), 6.0)
        })
    };
    // One page, then two pages: the second tune would open on the left by itself.
    let pieces: Vec<_> = systems(0, 2).chain(systems(1, 4)).collect();
    let cut = paginate(&pieces, AREA, Side::Recto);
    assert!(cut.pages.iter().all(|page| !page.blank_before), "{cut:?}");
    // Two pages at once on a right-hand page: a blank page is cheaper than a turn.
    let pieces: Vec<_> = systems(0, 2).chain(systems(1, 2)).chain(systems(2, 4)).collect();
    let cut = paginate(&pieces, AREA, Side::Recto);
    assert!(cut.pages[2].blank_before, "{cut:?}");
}

#[test]
fn nothing_may_be_too_high_for_an_answer() {
    let pieces = [piece(500.0, Before::Free, Substance::Text, 0.0), piece(10.0, Before::Never, Substance::Text, 0.0)];
    let cut = paginate(&pieces, AREA, Side::Recto);
    assert_eq!(cut.pages.len(), 2);
    assert_eq!(paginate(&[], AREA, Side::Recto).pages.len(), 0);
}

/// A tune whose music would fill one page, with a few words for the page beside it, is shared out over both.
#[test]
fn a_spread_is_shared_out() {
    let spread = |systems: usize, words: usize| {
        let system = |n: usize| {
            let before = if n == 0 { Before::Opens(Opening::Page) } else { Before::Free };
            piece(22.0, before, Substance::Music(0), 6.0)
        };
        let mut pieces: Vec<_> = (0..systems).map(system).collect();
        pieces.extend((0..words).map(|_| piece(10.0, Before::Free, Substance::Commentary(0), 0.0)));
        paginate(&pieces, AREA, Side::Verso).pages.iter().map(|page| page.end - page.start).collect::<Vec<_>>()
    };
    assert_eq!(spread(4, 2), [3, 3], "four systems would be crammed beside two lines");
    assert_eq!(spread(3, 6), [3, 6], "three have room, and their words fill the other page");
}

/// Words beside music all stand on the facing page, if it holds them, and are not drawn over to fill the page of the music.
#[test]
fn words_that_fit_the_facing_page_all_stand_there() {
    let music = || piece(30.0, Before::Free, Substance::Music(0), 0.0);
    let words = |lines: usize| (0..lines).map(|_| piece(10.0, Before::Free, Substance::Commentary(0), 0.0));
    let cut = |lines: usize| {
        let pieces: Vec<_> = [music(), music()].into_iter().chain(words(lines)).collect();
        paginate(&pieces, AREA, Side::Verso).pages.iter().map(|page| page.end - page.start).collect::<Vec<_>>()
    };
    assert_eq!(cut(8), [2, 8], "fuller on the right, but whole");
    assert_eq!(cut(13), [5, 10], "the facing page doesn't hold them");
}

/// A spread of words alone is filled in order, and cut between paragraphs where the page then ends a few lines short.
#[test]
fn words_alone_fill_their_pages_in_order() {
    let words = |paragraphs: &[usize]| {
        let mut pieces = vec![piece(100.0, Before::Free, Substance::Music(0), 0.0); 2];
        for (number, lines) in (1u64..).zip(paragraphs) {
            pieces.extend((0..*lines).map(|_| {
                piece(10.0, Before::Free, Substance::Commentary(0), 0.0).tagged(number, Tag::new(Role::Paragraph))
            }));
        }
        paginate(&pieces, AREA, Side::Verso).pages.iter().map(|page| page.end - page.start).collect::<Vec<_>>()
    };
    assert_eq!(words(&[4, 4, 5]), [1, 1, 8, 5]);
    assert_eq!(words(&[16]), [1, 1, 10, 6], "a long paragraph is parted on a full page");
}

/// What is said about a tune and must go over the leaf goes there whole, if a page holds it, rather than in part.
#[test]
fn words_that_go_over_the_leaf_stay_together() {
    let (music, words) = (Substance::Music(0), Substance::Commentary(0));
    let cut = |lines: usize| {
        let mut pieces = vec![piece(100.0, Before::Free, music, 0.0), piece(70.0, Before::Free, music, 0.0)];
        pieces.extend((0..lines).map(|_| piece(10.0, Before::Free, words, 0.0)));
        paginate(&pieces, AREA, Side::Verso).pages.iter().map(|page| page.end - page.start).collect::<Vec<_>>()
    };
    assert_eq!(cut(3), [1, 4]);
    assert_eq!(cut(9), [1, 1, 9]);
    assert_eq!(cut(13), [1, 4, 10], "no page holds them");
}
