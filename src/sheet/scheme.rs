//! Which page stands where on which side of which sheet: the arithmetic of imposition, without any length.
//!
//! Sources: the saddle formula (front `N - 2k | 2k + 1`, back `2k + 2 | N - 2k - 1`) and the textbook folds of 8 and 16 pages
//! are *common practice*; their worked schemes are tests here, and every count is folded in simulation. Backs are as seen
//! after the sheet is turned about its vertical axis.

use crate::page::{Document, SheetKind};

/// How pages are put on sheets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Scheme {
    /// Saddle stitch: two pages a side, all sheets inside one another.
    Saddle,
    /// Sections of nested sheets, two pages a side, at most so many pages each (a multiple of four); gathered, then sewn or
    /// glued. Sheets are shared out evenly, so that no section is thin.
    Sections {
        /// The most pages a section may have.
        pages: u16,
    },
    /// Sheets of eight pages folded twice: the head down, then the left over the right.
    FoldedEight,
    /// Sheets of sixteen pages folded three times: the right over the left, the head down, the left over the right.
    FoldedSixteen,
    /// A handout: pages made smaller, in reading order, left to right and down.
    NUp {
        /// Pages side by side.
        columns: u8,
        /// Rows of pages.
        rows: u8,
    },
    /// Cut and stack: the printed pile is cut, and the piles are laid on one another in reading order of their places.
    CutAndStack {
        /// Pages side by side.
        columns: u8,
        /// Rows of pages.
        rows: u8,
    },
}

/// One page's place on a side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Cell {
    /// From the left, 0 first.
    pub column: usize,
    /// From the top, 0 first.
    pub row: usize,
    /// The page in the order of the bound book, 0 first, blanks counted.
    pub slot: usize,
    /// Whether it is printed head down.
    pub head_down: bool,
    /// How many leaves lie outside it in its section, for creep.
    pub depth: usize,
}

/// One sheet, both sides.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct SheetPlan {
    /// Pages side by side.
    pub columns: usize,
    /// Rows of pages.
    pub rows: usize,
    /// Section, 0 first.
    pub section: usize,
    /// Sheet in its section, the outermost 0.
    pub sheet: usize,
    /// The front.
    pub front: Vec<Cell>,
    /// The back, as seen after turning about the vertical axis; empty where only one side is printed.
    pub back: Vec<Cell>,
}

impl Scheme {
    /// Whether each sheet is folded, so that neighbours share a spine.
    pub const fn is_folded(self) -> bool {
        matches!(self, Self::Saddle | Self::Sections { .. } | Self::FoldedEight | Self::FoldedSixteen)
    }
    /// The number that the page count has to be a multiple of.
    pub const fn multiple(self) -> usize {
        match self {
            Self::NUp { .. } => 1,
            Self::CutAndStack { .. } => 2,
            // The last folded sheet may be a half or a quarter one.
            Self::Saddle | Self::Sections { .. } | Self::FoldedEight | Self::FoldedSixteen => 4,
        }
    }
    /// How often all that is to be laid out stands on a side: a handout of so few pages that a side holds them twice or more is
    /// repeated on it, to be cut apart (*common practice, no source*).
    pub fn copies(self, slots: usize) -> usize {
        match self {
            Self::NUp { columns, rows } => {
                let each = usize::from(columns.max(1)) * usize::from(rows.max(1));
                each.checked_div(slots).unwrap_or(1).max(1)
            }
            _ => 1,
        }
    }
    /// The order of a document's pages with the blanks that the scheme needs: before the covers at the end, if there are
    /// any, else at the end, where nobody turns to a page and finds it empty in the middle of a chapter.
    pub fn slots(self, document: &Document) -> Vec<Option<usize>> {
        slots_in(document, self.multiple())
    }
    /// The sheets for a number of slots. The number is first rounded up to the scheme's multiple.
    pub fn sheets(self, slots: usize) -> Vec<SheetPlan> {
        let slots = slots.next_multiple_of(self.multiple());
        if slots == 0 {
            return Vec::new();
        }
        match self {
            Self::Saddle => nested(0, 0, slots),
            Self::Sections { pages } => sections(slots, usize::from(pages)),
            Self::FoldedEight => folded(slots, 8),
            Self::FoldedSixteen => folded(slots, 16),
            Self::NUp { columns, rows } => n_up(slots, usize::from(columns.max(1)), usize::from(rows.max(1))),
            Self::CutAndStack { columns, rows } => {
                cut_and_stack(slots, usize::from(columns.max(1)), usize::from(rows.max(1)))
            }
        }
    }
}

/// The order of a document's pages with blanks up to a multiple of a number; see [`Scheme::slots`].
pub(super) fn slots_in(document: &Document, multiple: usize) -> Vec<Option<usize>> {
    let count = document.pages.len();
    let covers = document.pages.iter().rev().take_while(|page| page.kind == SheetKind::Cover).count();
    let last = if covers < count { count - covers } else { count };
    let blanks = count.next_multiple_of(multiple) - count;
    let mut slots: Vec<Option<usize>> = (0..last).map(Some).collect();
    slots.extend(std::iter::repeat_n(None, blanks));
    slots.extend((last..count).map(Some));
    slots
}

/// A section of `pages` slots from `start`, as nested sheets: front `N - 2k | 2k + 1`, back `2k + 2 | N - 2k - 1`.
fn nested(section: usize, start: usize, pages: usize) -> Vec<SheetPlan> {
    (0..pages / 4)
        .map(|sheet| {
            let cell = |column: usize, page: usize| Cell {
                column,
                row: 0,
                slot: start + page - 1,
                head_down: false,
                depth: sheet,
            };
            SheetPlan {
                columns: 2,
                rows: 1,
                section,
                sheet,
                front: vec![cell(0, pages - 2 * sheet), cell(1, 2 * sheet + 1)],
                back: vec![cell(0, 2 * sheet + 2), cell(1, pages - 2 * sheet - 1)],
            }
        })
        .collect()
}

fn sections(slots: usize, most: usize) -> Vec<SheetPlan> {
    let sheets = slots / 4;
    let most = (most / 4).max(1);
    let count = sheets.div_ceil(most);
    let mut plans = Vec::new();
    let mut start = 0;
    for section in 0..count {
        // The first sections take what does not go round.
        let pages = 4 * (sheets / count + usize::from(section < sheets % count));
        plans.extend(nested(section, start, pages));
        start += pages;
    }
    plans
}

/// Pages of a folded sheet, by row and column; a minus sign for head down.
type FoldTable = (&'static [&'static [i8]], &'static [&'static [i8]]);

/// The textbook folds: side A faces up when folding begins.
const EIGHT: FoldTable = (&[&[-3, -6], &[2, 7]], &[&[-5, -4], &[8, 1]]);
const SIXTEEN: FoldTable = (&[&[-7, -10, -11, -6], &[2, 15, 14, 3]], &[&[-5, -12, -9, -8], &[4, 13, 16, 1]]);

fn folded(slots: usize, size: usize) -> Vec<SheetPlan> {
    let mut plans = Vec::new();
    let mut start = 0;
    for (section, size) in folded_sizes(slots, size).into_iter().enumerate() {
        let table = match size {
            16 => Some(SIXTEEN),
            8 => Some(EIGHT),
            _ => None,
        };
        match table {
            Some((front, back)) => {
                let side = |rows: &[&[i8]]| folded_side(rows, start, size);
                let (columns, rows) = (size / 4, 2);
                plans.push(SheetPlan { columns, rows, section, sheet: 0, front: side(front), back: side(back) });
            }
            None => plans.extend(nested(section, start, size)),
        }
        start += size;
    }
    plans
}

/// The pages of each section: full sheets, and what is left over on a half or quarter one, so that there are never more than three
/// blanks. Four pages alone are never outermost at the end, where they would tear off, but before the section that was last
/// (*common practice, no source*).
fn folded_sizes(slots: usize, size: usize) -> Vec<usize> {
    let mut sizes = Vec::new();
    let mut left = slots;
    while left >= 4 {
        let next = size.min(1 << left.ilog2());
        sizes.push(next);
        left -= next;
    }
    if let [.., before, last @ 4] = &mut sizes[..] {
        std::mem::swap(before, last);
    }
    sizes
}

fn folded_side(rows: &[&[i8]], start: usize, size: usize) -> Vec<Cell> {
    let mut cells = Vec::new();
    for (row, pages) in rows.iter().enumerate() {
        for (column, page) in pages.iter().enumerate() {
            let index = usize::from(page.unsigned_abs()) - 1;
            let depth = index.min(size - 1 - index) / 2;
            cells.push(Cell { column, row, slot: start + index, head_down: *page < 0, depth });
        }
    }
    cells
}

fn grid(columns: usize, rows: usize) -> impl Iterator<Item = (usize, usize)> {
    (0..rows).flat_map(move |row| (0..columns).map(move |column| (column, row)))
}

fn n_up(slots: usize, columns: usize, rows: usize) -> Vec<SheetPlan> {
    let each = columns * rows;
    let side = |number: usize| -> Vec<Cell> {
        grid(columns, rows)
            .enumerate()
            .map(|(index, (column, row))| (number * each + index, column, row))
            .filter(|(slot, ..)| *slot < slots)
            .map(|(slot, column, row)| Cell { column, row, slot, head_down: false, depth: 0 })
            .collect()
    };
    (0..slots.div_ceil(each * 2))
        .map(|sheet| SheetPlan { columns, rows, section: 0, sheet, front: side(sheet * 2), back: side(sheet * 2 + 1) })
        .collect()
}

fn cut_and_stack(slots: usize, columns: usize, rows: usize) -> Vec<SheetPlan> {
    let leaves = slots / 2;
    let height = leaves.div_ceil(columns * rows);
    let side = |sheet: usize, is_back: bool| -> Vec<Cell> {
        grid(columns, rows)
            .enumerate()
            .map(|(pile, (column, row))| (pile * height + sheet, column, row))
            .filter(|(leaf, ..)| *leaf < leaves)
            .map(|(leaf, column, row)| Cell {
                // The back of a place is seen in the mirror of its column.
                column: if is_back { columns - 1 - column } else { column },
                row,
                slot: leaf * 2 + usize::from(is_back),
                head_down: false,
                depth: 0,
            })
            .collect()
    };
    (0..height)
        .map(|sheet| SheetPlan { columns, rows, section: 0, sheet, front: side(sheet, false), back: side(sheet, true) })
        .collect()
}

/// A number of things as a factor of lengths.
pub(super) fn count(number: usize) -> f64 {
    u32::try_from(number).map_or(f64::MAX, f64::from)
}
