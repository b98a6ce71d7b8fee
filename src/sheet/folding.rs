//! Tests of the schemes by folding, nesting, gathering and cutting simulated sheets.

use super::scheme::{Cell, Scheme, SheetPlan};

/// One leaf with what is on it, 1-based: seen from above, and seen after turning it about its vertical axis.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Leaf {
    up: Option<(usize, bool)>,
    down: Option<(usize, bool)>,
}

impl Leaf {
    fn turned_about_vertical(self) -> Self {
        Self { up: self.down, down: self.up }
    }
    /// As about the vertical axis, and then half round in its own plane: heads change.
    fn turned_about_horizontal(self) -> Self {
        let other = |face: Option<(usize, bool)>| face.map(|(page, head_up)| (page, !head_up));
        Self { up: other(self.down), down: other(self.up) }
    }
}

/// A sheet as a grid of piles, each from the top down.
type Grid = Vec<Vec<Vec<Leaf>>>;

fn lay(plan: &SheetPlan) -> Grid {
    let find = |cells: &[Cell], column, row| {
        cells.iter().find(|c| c.column == column && c.row == row).map(|c| (c.slot + 1, !c.head_down))
    };
    (0..plan.rows)
        .map(|row| {
            (0..plan.columns)
                .map(|column| {
                    let up = find(&plan.front, column, row);
                    let down = find(&plan.back, plan.columns - 1 - column, row);
                    vec![Leaf { up, down }]
                })
                .collect()
        })
        .collect()
}

fn turn(pile: &[Leaf], how: fn(Leaf) -> Leaf) -> Vec<Leaf> {
    pile.iter().rev().map(|leaf| how(*leaf)).collect()
}

fn fold_right_over_left(grid: &Grid) -> Grid {
    fold_columns(grid, true)
}

fn fold_left_over_right(grid: &Grid) -> Grid {
    fold_columns(grid, false)
}

fn fold_columns(grid: &Grid, right_moves: bool) -> Grid {
    grid.iter()
        .map(|row| {
            let half = row.len() / 2;
            (0..half)
                .map(|column| {
                    let (left, right) =
                        if right_moves { (column, row.len() - 1 - column) } else { (half - 1 - column, half + column) };
                    let (moves, stays) = if right_moves { (right, left) } else { (left, right) };
                    let mut pile = turn(&row[moves], Leaf::turned_about_vertical);
                    pile.extend(&row[stays]);
                    pile
                })
                .collect()
        })
        .collect()
}

fn fold_head_down(grid: &Grid) -> Grid {
    let half = grid.len() / 2;
    (0..half)
        .map(|row| {
            let (moves, stays) = (&grid[half - 1 - row], &grid[half + row]);
            moves
                .iter()
                .zip(stays)
                .map(|(moves, stays)| {
                    let mut pile = turn(moves, Leaf::turned_about_horizontal);
                    pile.extend(stays);
                    pile
                })
                .collect()
        })
        .collect()
}

/// Folds one sheet to its section: leaves from the first page on.
fn fold(plan: &SheetPlan) -> Vec<Leaf> {
    let grid = lay(plan);
    let grid = match (plan.columns, plan.rows) {
        (4, 2) => fold_left_over_right(&fold_head_down(&fold_right_over_left(&grid))),
        (2, 2) => fold_left_over_right(&fold_head_down(&grid)),
        _ => fold_two_up(&grid),
    };
    assert_eq!((grid.len(), grid[0].len()), (1, 1), "the sheet is folded down to one page");
    grid[0][0].clone()
}

/// A two-up sheet lies front up with its first page on the right; the left half goes behind.
fn fold_two_up(grid: &Grid) -> Grid {
    let (left, right) = (&grid[0][0], &grid[0][1]);
    let mut pile = right.clone();
    pile.extend(turn(left, Leaf::turned_about_vertical));
    vec![vec![pile]]
}

/// Nests the sheets of each section, and gathers the sections.
fn bind(plans: &[SheetPlan]) -> Vec<Leaf> {
    let mut book = Vec::new();
    let count = plans.last().map_or(0, |plan| plan.section + 1);
    for section in 0..count {
        let mut inner: Vec<Leaf> = Vec::new();
        for plan in plans.iter().filter(|plan| plan.section == section).rev() {
            let leaves = fold(plan);
            let middle = leaves.len() / 2;
            let mut outer = leaves[..middle].to_vec();
            outer.append(&mut inner);
            outer.extend(&leaves[middle..]);
            inner = outer;
        }
        book.extend(inner);
    }
    book
}

/// Cuts the pile of sheets, and lays the piles on one another.
fn cut(plans: &[SheetPlan]) -> Vec<Leaf> {
    let mut book = Vec::new();
    let Some(first) = plans.first() else { return book };
    for row in 0..first.rows {
        for column in 0..first.columns {
            book.extend(plans.iter().map(|plan| lay(plan)[row][column][0]));
        }
    }
    book.retain(|leaf| leaf.up.is_some() || leaf.down.is_some());
    book
}

fn pages(leaves: &[Leaf]) -> Vec<(usize, bool)> {
    leaves.iter().flat_map(|leaf| [leaf.up, leaf.down]).map(|face| face.unwrap_or((0, false))).collect()
}

const BOUND: [Scheme; 8] = [
    Scheme::Saddle,
    Scheme::Sections { pages: 4 },
    Scheme::Sections { pages: 8 },
    Scheme::Sections { pages: 16 },
    Scheme::Sections { pages: 20 },
    Scheme::Sections { pages: 32 },
    Scheme::FoldedEight,
    Scheme::FoldedSixteen,
];

/// The invariants of any fold: every page once, rectos odd, leaves back to back, all heads up.
#[test]
fn every_count_from_1_to_400_folds_to_a_book_in_order() {
    for count in 1..=400_usize {
        for scheme in BOUND {
            let plans = scheme.sheets(count);
            let wanted: Vec<_> = (1..=count.next_multiple_of(4)).map(|page| (page, true)).collect();
            assert_eq!(pages(&bind(&plans)), wanted, "{scheme:?} with {count} pages");
        }
    }
}

#[test]
fn every_count_from_1_to_400_cuts_to_a_book_in_order() {
    for count in 1..=400_usize {
        for (columns, rows) in [(1, 1), (2, 1), (1, 2), (2, 2), (3, 2), (4, 4)] {
            let plans = Scheme::CutAndStack { columns, rows }.sheets(count);
            let wanted: Vec<_> = (1..=count.next_multiple_of(2)).map(|page| (page, true)).collect();
            assert_eq!(pages(&cut(&plans)), wanted, "{columns} x {rows} with {count} pages");
            assert_eq!(plans.len(), count.div_ceil(2).div_ceil(usize::from(columns) * usize::from(rows)));
        }
    }
}

#[test]
fn every_count_from_1_to_400_reads_on_in_a_handout() {
    for count in 1..=400_usize {
        for (columns, rows) in [(1, 1), (2, 1), (2, 2), (3, 3)] {
            let plans = Scheme::NUp { columns, rows }.sheets(count);
            let slots: Vec<usize> =
                plans.iter().flat_map(|plan| plan.front.iter().chain(&plan.back)).map(|cell| cell.slot).collect();
            assert_eq!(slots, (0..count).collect::<Vec<_>>());
        }
    }
}

/// A side in writing: page numbers by row, `v` for head down.
fn written(cells: &[Cell]) -> String {
    let mut cells: Vec<_> = cells.iter().collect();
    cells.sort_by_key(|cell| (cell.row, cell.column));
    let words: Vec<_> =
        cells.iter().map(|cell| format!("{}{}", cell.slot + 1, if cell.head_down { "v" } else { "" })).collect();
    words.join(" ")
}

/// The trade's worked schemes of 8, 12 and 16 pages, and section 2 of 32 pages in two sections.
#[test]
fn the_worked_saddle_schemes() {
    let sides = |scheme: Scheme, count| -> Vec<String> {
        scheme.sheets(count).iter().flat_map(|plan| [written(&plan.front), written(&plan.back)]).collect()
    };
    assert_eq!(sides(Scheme::Saddle, 8), ["8 1", "2 7", "6 3", "4 5"]);
    assert_eq!(sides(Scheme::Saddle, 12), ["12 1", "2 11", "10 3", "4 9", "8 5", "6 7"]);
    assert_eq!(sides(Scheme::Saddle, 16), ["16 1", "2 15", "14 3", "4 13", "12 5", "6 11", "10 7", "8 9"]);
    let sewn = sides(Scheme::Sections { pages: 16 }, 32);
    assert_eq!(sewn[8..], ["32 17", "18 31", "30 19", "20 29", "28 21", "22 27", "26 23", "24 25"]);
}

/// The textbook folds of 8 and 16 pages.
#[test]
fn the_worked_folded_schemes() {
    let eight = &Scheme::FoldedEight.sheets(8)[0];
    assert_eq!((written(&eight.front), written(&eight.back)), ("3v 6v 2 7".into(), "5v 4v 8 1".into()));
    let sixteen = &Scheme::FoldedSixteen.sheets(16)[0];
    assert_eq!(written(&sixteen.front), "7v 10v 11v 6v 2 15 14 3");
    assert_eq!(written(&sixteen.back), "5v 12v 9v 8v 4 13 16 1");
}

/// A fold that is planted wrong must be seen by the simulation.
#[test]
fn the_simulation_sees_a_wrong_scheme() {
    let mut plans = Scheme::Saddle.sheets(8);
    let straight: Vec<_> = (1..=8).map(|page| (page, true)).collect();
    let slot = plans[0].back[0].slot;
    plans[0].back[0].slot = plans[0].back[1].slot;
    plans[0].back[1].slot = slot;
    assert_ne!(pages(&bind(&plans)), straight);
    let mut folded = Scheme::FoldedEight.sheets(8);
    folded[0].front[0].head_down = false;
    assert_ne!(pages(&bind(&folded)), straight);
}

#[test]
fn sections_are_never_thin() {
    let plans = Scheme::Sections { pages: 16 }.sheets(36);
    let sizes: Vec<usize> = (0..3).map(|s| plans.iter().filter(|plan| plan.section == s).count()).collect();
    assert_eq!(sizes, [3, 3, 3]);
}

/// Four pages alone stand before the last larger section, whatever is left over.
#[test]
fn no_folded_book_ends_in_a_single_fold() {
    let sizes = |scheme: Scheme, count| -> Vec<usize> {
        let plans = scheme.sheets(count);
        plans.iter().map(|plan| plan.front.len() + plan.back.len()).collect()
    };
    assert_eq!(sizes(Scheme::FoldedSixteen, 20), [4, 16]);
    assert_eq!(sizes(Scheme::FoldedSixteen, 28), [16, 4, 8]);
    assert_eq!(sizes(Scheme::FoldedSixteen, 36), [16, 4, 16]);
    assert_eq!(sizes(Scheme::FoldedSixteen, 24), [16, 8]);
    assert_eq!(sizes(Scheme::FoldedEight, 12), [4, 8]);
    assert_eq!(sizes(Scheme::FoldedEight, 4), [4]);
}
