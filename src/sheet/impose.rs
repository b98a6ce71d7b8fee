//! Planned sheets as sheets with lengths: cells, creep, clips, fold and cut marks, collation marks, the turn of the duplex.
//!
//! Creep and its compensation are *common practice, no source*; distances of marks as in [`super::marks`]. Creep is taken up by moving
//! each page towards its spine, so that every outer margin is whole after trimming and the inner one is narrower; trim and marks stay
//! where they are.

use super::imposing::{Flip, Imposing};
use super::marks::{self, Guides};
use super::orders::orders;
use super::scheme::{Cell, Scheme, SheetPlan, count};
use super::{Placement, Sheet, Turn};
use crate::font::Fonts;
use crate::frame::{Frame, Ink};
use crate::geom::{Abs, Point, Rect, Size};
use crate::page::{Document, PageBoxes, SheetKind};

/// A document on sheets.
#[derive(Debug, Clone, PartialEq)]
pub struct Imposed {
    /// The sides: front and back of each sheet in turn.
    pub sheets: Vec<Sheet>,
    /// Pages with the blanks that the scheme needs, each counted once.
    pub slots: usize,
    /// How often all of them stand on a side: more than once for a handout of few pages.
    pub copies: usize,
    /// Sheets of paper.
    pub papers: usize,
    /// Sections; 1 where there are none.
    pub sections: usize,
    /// Whether anything is trimmed: handouts are not.
    pub is_cut: bool,
    /// Whether it is stapled through the fold.
    pub is_stapled: bool,
    /// What is milled off each fold: twice that lies free between pages that share a fold.
    pub milling: Abs,
    /// How to print and finish, in plain words, one sentence each.
    pub orders: Vec<String>,
}

/// Room for the cut between neighbours that share no spine, on each side of the cut.
const CUT: Abs = Abs::mm(3.0);
/// Room round and between the pages of a handout.
const HANDOUT_GAP: Abs = Abs::mm(5.0);
/// Length of a collation mark, and the step from section to section.
const STEP: Abs = Abs::mm(6.0);
/// Half the width of a collation mark.
const HALF_BAR: Abs = Abs::mm(0.75);

/// Puts a document on sheets. An empty document gives no sheets. Pages are taken to be of one size, the largest.
pub fn impose(document: &Document, fonts: &Fonts, imposing: &Imposing) -> Imposed {
    let once = imposing.scheme.slots(document);
    let copies = imposing.scheme.copies(once.len());
    let slots = once.repeat(copies);
    let plans = imposing.scheme.sheets(slots.len());
    let sections = plans.last().map_or(0, |plan| plan.section + 1);
    let work = Work { document, fonts, imposing, slots: &slots, sections, page: page_size(document) };
    let mut sheets = Vec::with_capacity(plans.len() * 2);
    for (paper, plan) in plans.iter().enumerate() {
        sheets.push(Sheet { paper, ..work.side(plan, false) });
        if !plan.back.is_empty() {
            sheets.push(Sheet { paper, ..work.side(plan, true) });
        }
    }
    let orders = orders(imposing, &plans, sheets.first(), (sections, copies), work.page);
    let is_cut = !matches!(imposing.scheme, Scheme::NUp { .. });
    let is_stapled = imposing.scheme == Scheme::Saddle;
    let milling = imposing.milled();
    let (slots, papers) = (once.len(), plans.len());
    Imposed { sheets, slots, copies, papers, sections, is_cut, is_stapled, milling, orders }
}

impl Imposed {
    /// How large the smallest page is on its sheet against its own size.
    pub fn scale(&self) -> f64 {
        self.sheets.iter().flat_map(|sheet| &sheet.pages).map(|placement| placement.scale).fold(1.0, f64::min)
    }
}

fn page_size(document: &Document) -> Size {
    let mut size = Size::default();
    for page in &document.pages {
        size.width = size.width.max(page.frame.size.width);
        size.height = size.height.max(page.frame.size.height);
    }
    size
}

struct Work<'a> {
    document: &'a Document,
    fonts: &'a Fonts,
    imposing: &'a Imposing,
    slots: &'a [Option<usize>],
    sections: usize,
    page: Size,
}

/// The cells of a sheet as lengths: left edges of columns, top edges of rows, one cell's size, the medium.
struct Grid {
    lefts: Vec<Abs>,
    tops: Vec<Abs>,
    cell: Size,
    scale: f64,
    media: Size,
}

impl Grid {
    fn area(&self, column: usize, row: usize) -> Rect {
        let corner = Point::new(self.lefts[column], self.tops[row]);
        Rect { min: corner, max: Point::new(corner.x + self.cell.width, corner.y + self.cell.height) }
    }
    fn all(&self) -> Rect {
        self.area(0, 0).union(&self.area(self.lefts.len() - 1, self.tops.len() - 1))
    }
}

impl Work<'_> {
    fn side(&self, plan: &SheetPlan, is_back: bool) -> Sheet {
        let grid = match self.imposing.scheme {
            Scheme::NUp { .. } => handout(self.page, plan),
            _ => self.press(plan),
        };
        // Backs are planned for a turn about the vertical axis; a machine that turns about the other one wants them
        // half round.
        let half_round = is_back && !self.turns_about_vertical(grid.media);
        let cells = if is_back { &plan.back } else { &plan.front };
        let cells: Vec<Cell> = cells.iter().map(|cell| if half_round { turned(*cell, plan) } else { *cell }).collect();
        let pages = cells.iter().filter_map(|cell| self.placement(cell, &grid)).collect();
        let name = self.name(plan, is_back);
        let trim = grid.all();
        let is_handout = matches!(self.imposing.scheme, Scheme::NUp { .. });
        // Nothing of a handout is cut: it is as large as its paper.
        let trim = if is_handout {
            Rect::new(Point::default(), Point::new(grid.media.width, grid.media.height))
        } else {
            trim
        };
        let bleed = if is_handout { trim } else { trim.grown(self.imposing.look.bleed) };
        let boxes = PageBoxes { media: grid.media, bleed, trim };
        let mut frame = Frame::new(grid.media);
        if !is_handout {
            let slug = if is_back { name.clone() } else { format!("{name} \u{b7} {}", self.turn_words(grid.media)) };
            frame = marks::imposed(&boxes, &self.guides(plan, &grid), &self.imposing.look, &slug, self.fonts);
            self.collate(plan, &cells, &grid, &mut frame);
        }
        Sheet { boxes, pages, marks: frame, label: name, paper: 0 }
    }

    fn name(&self, plan: &SheetPlan, is_back: bool) -> String {
        let side = if is_back { "back" } else { "front" };
        if self.sections > 1 {
            format!("section {} sheet {} {side}", plan.section + 1, plan.sheet + 1)
        } else {
            format!("sheet {} {side}", plan.sheet + 1)
        }
    }

    fn turns_about_vertical(&self, media: Size) -> bool {
        let upright_edges_are_short = media.height <= media.width;
        (self.imposing.flip == Flip::ShortEdge) == upright_edges_are_short
    }
    fn turn_words(&self, media: Size) -> String {
        let edge = if self.imposing.flip == Flip::ShortEdge { "short" } else { "long" };
        let shape = if media.height <= media.width { "landscape" } else { "portrait" };
        format!("print both sides, {shape}, flip on the {edge} edge, no scaling")
    }

    /// Cells for folding or cutting: between pages that share a spine what is milled off there, room for the cut between others.
    fn press(&self, plan: &SheetPlan) -> Grid {
        let look = &self.imposing.look;
        let folded = self.imposing.scheme.is_folded();
        let gap = if folded { CUT.max(look.bleed) * 2.0 } else { look.bleed * 2.0 };
        let (mut lefts, mut tops) = (Vec::new(), Vec::new());
        let mut x = look.room();
        for column in 0..plan.columns {
            lefts.push(x);
            x += self.page.width;
            if column + 1 < plan.columns {
                x += if folded && column % 2 == 0 { self.imposing.milled() * 2.0 } else { gap };
            }
        }
        let mut y = look.room();
        for row in 0..plan.rows {
            tops.push(y);
            y += self.page.height;
            if row + 1 < plan.rows {
                y += gap;
            }
        }
        let media = Size::new(x + look.room(), y + look.room());
        Grid { lefts, tops, cell: self.page, scale: 1.0, media }
    }

    fn placement(&self, cell: &Cell, grid: &Grid) -> Option<Placement> {
        let index = self.slots.get(cell.slot).copied().flatten()?;
        let page = self.document.pages.get(index)?;
        let area = grid.area(cell.column, cell.row);
        let look = &self.imposing.look;
        // Every bound book has its odd pages on the right, blanks counted.
        let recto = cell.slot.is_multiple_of(2);
        let spine_is_left = recto != cell.head_down;
        let folded = self.imposing.scheme.is_folded();
        let creep = self.imposing.crept(cell);
        let shift = if spine_is_left { -creep } else { creep };
        let size = page.frame.size;
        let corner = Point::new(
            area.min.x + (grid.cell.width - size.width * grid.scale) / 2.0 + shift,
            area.min.y + (grid.cell.height - size.height * grid.scale) / 2.0,
        );
        let mut clip = area.grown(look.bleed);
        if folded {
            // Up to the fold; where that is milled off, up to the edge of the leaf, which lies deeper in inner sheets.
            let beyond = creep.min(self.imposing.milled());
            if spine_is_left {
                clip.min.x = area.min.x - beyond;
            } else {
                clip.max.x = area.max.x + beyond;
            }
        }
        Some(Placement {
            page: index,
            at: corner,
            turn: if cell.head_down { Turn::Half } else { Turn::None },
            scale: grid.scale,
            clip: (page.kind != SheetKind::Blank).then_some(clip),
        })
    }

    /// Where the sheet is folded and where it is cut.
    fn guides(&self, plan: &SheetPlan, grid: &Grid) -> Guides {
        let folded = self.imposing.scheme.is_folded();
        let mut guides = Guides::default();
        for (column, left) in grid.lefts.iter().enumerate() {
            let right = *left + grid.cell.width;
            let spine_on_right = folded && column % 2 == 0 && plan.columns > 1;
            let spine_on_left = folded && column % 2 == 1;
            if spine_on_right {
                guides.fold_x.push(right + self.imposing.milled());
            } else {
                guides.cut_x.push(right);
            }
            if !spine_on_left {
                guides.cut_x.push(*left);
            }
            if folded && column % 2 == 1 && column + 1 < plan.columns {
                guides.fold_x.push((right + grid.lefts[column + 1]) / 2.0);
            }
        }
        for (row, top) in grid.tops.iter().enumerate() {
            let bottom = *top + grid.cell.height;
            guides.cut_y.extend([*top, bottom]);
            if folded && row + 1 < plan.rows {
                guides.fold_y.push((bottom + grid.tops[row + 1]) / 2.0);
            }
        }
        guides
    }

    /// A bar over the spine fold between the first and the last page of a section, one step lower for each section, so that
    /// a gathered block shows a staircase and a missing section a gap (*common practice, no source*).
    fn collate(&self, plan: &SheetPlan, cells: &[Cell], grid: &Grid, frame: &mut Frame) {
        if self.sections < 2 || plan.sheet > 0 || !self.imposing.scheme.is_folded() {
            return;
        }
        let first = plan.front.iter().chain(&plan.back).map(|cell| cell.slot).min();
        let Some(cell) = cells.iter().find(|cell| Some(cell.slot) == first) else { return };
        let area = grid.area(cell.column, cell.row);
        let milled = self.imposing.milled();
        let spine = if cell.head_down { area.max.x + milled } else { area.min.x - milled };
        // As many steps as the height takes, then again from the top.
        let steps = whole((area.height().to_mm() - 30.0) / STEP.to_mm()).max(1);
        let top = area.min.y + Abs::mm(15.0) + STEP * count(plan.section % steps);
        let bar = Rect { min: Point::new(spine - HALF_BAR, top), max: Point::new(spine + HALF_BAR, top + STEP) };
        frame.fill_rect(bar, Ink::Black);
    }
}

/// A cell after its sheet has been turned half round in its own plane.
const fn turned(cell: Cell, plan: &SheetPlan) -> Cell {
    Cell { column: plan.columns - 1 - cell.column, row: plan.rows - 1 - cell.row, head_down: !cell.head_down, ..cell }
}

/// A handout keeps the page's paper, upright or on its side, whichever lets the pages be larger.
fn handout(page: Size, plan: &SheetPlan) -> Grid {
    let fit = |media: Size| {
        let room = |length: Abs, parts: usize| (length - HANDOUT_GAP * count(parts + 1)) / count(parts);
        let across = room(media.width, plan.columns).to_pt() / page.width.to_pt().max(1.0);
        let down = room(media.height, plan.rows).to_pt() / page.height.to_pt().max(1.0);
        across.min(down).clamp(0.01, 1.0)
    };
    let lying = Size::new(page.height, page.width);
    let media = if fit(lying) > fit(page) { lying } else { page };
    let scale = fit(media);
    let cell = Size::new(page.width * scale, page.height * scale);
    let places = |length: Abs, part: Abs, parts: usize| -> Vec<Abs> {
        let gap = (length - part * count(parts)) / count(parts + 1);
        (0..parts).map(|index| gap + (part + gap) * count(index)).collect()
    };
    Grid {
        lefts: places(media.width, cell.width, plan.columns),
        tops: places(media.height, cell.height, plan.rows),
        cell,
        scale,
        media,
    }
}

fn whole(number: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates; a number of steps")]
    let whole = number.max(0.0) as usize;
    whole
}
