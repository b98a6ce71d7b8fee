//! Tables: columns fitted to their words, rows as pieces with tagged cells.

use super::blocks::{Inset, Setter};
use super::contract::{Align, Content, Keep, Line, ParagraphLook, SetBlock, steps};
use super::model::{ColumnAlign, Inline, Table};
use crate::diag::Sink;
use crate::frame::{Frame, Ink, Role, Tag};
use crate::geom::{Abs, Point, Size};
use std::sync::Arc;

/// Between columns, in ems (our choice).
const GAP: f64 = 1.2;
/// Weight of the rule under the head, and of those under the last row and between rows of several lines.
const HEAD_RULE: Abs = Abs::pt(0.5);
const THIN_RULE: Abs = Abs::pt(0.25);

/// A table may be so much wider than its column where that breaks none of its cells (judged on the page).
const WIDER: f64 = 1.18;

/// A row of fewer bytes is not higher than a page, whatever its columns.
const MANY_BYTES: usize = 200;

/// So many cells of a text are given lines of their own, as many as a text has lines; a kilobyte may hold five hundred.
const MOST_CELLS: usize = 10_000;

/// A hair more than measured, so that rounding breaks no line.
const HAIR: Abs = Abs::pt(0.01);

impl Setter<'_, '_, '_> {
    /// A table as wide as the whole column, or a little wider, inside what `inset` stands in.
    pub(super) fn table(&mut self, table: &Table, inset: &Inset, sink: &mut Sink) {
        let columns = table.columns.len().max(table.head.len());
        if columns == 0 {
            return;
        }
        let Some(widths) = self.column_widths(table, columns) else {
            self.too_wide(table, "a table is wider than its column", inset, sink);
            return;
        };
        if self.too_high(table, &widths) {
            self.too_wide(table, "a row of a table is higher than a page", inset, sink);
            return;
        }
        let inset = Inset::in_column(inset).inside(self.container(Role::Table));
        let headed = table.head.iter().any(|cell| !Inline::plain(cell).trim().is_empty());
        let rows = table.rows.len();
        let mut again: Option<Arc<Frame>> = None;
        if headed {
            let (mut block, _) = self.row(table, &table.head, &widths, Role::TableHead, sink);
            Self::rule_under(&mut block, HEAD_RULE);
            block.keep_with_next = if rows > 0 { Keep::Always } else { Keep::Loosely };
            block.space_before = 1;
            again = match &block.content {
                Content::Piece(frame) => Some(frame.clone().shared()),
                _ => None,
            };
            self.push(block, &inset);
        }
        let set: Vec<(SetBlock, usize)> =
            table.rows.iter().map(|row| self.row(table, row, &widths, Role::TableCell, sink)).collect();
        // Rows of several lines without anything between them read as one column of words.
        let parted = set.iter().any(|(_, lines)| *lines > 1);
        for (nth, (mut block, _)) in set.into_iter().enumerate() {
            block.space_before = u32::from(nth == 0 && !headed);
            // Two rows at least on either side of a page's end.
            if nth + 1 < rows && (nth == 0 || nth + 2 == rows) {
                block.keep_with_next = Keep::Always;
            }
            if parted || nth + 1 == rows {
                Self::rule_under(&mut block, THIN_RULE);
            }
            block.head.clone_from(&again);
            self.push(block, &inset);
        }
    }

    /// Whether a row, with the head over it, is higher than a page.
    fn too_high(&mut self, table: &Table, widths: &[Abs]) -> bool {
        let Some(page) = self.page_height() else { return false };
        let mut quiet = Sink::default();
        let mut height = |cells: &[Vec<Inline>], role: Role, setter: &mut Self| {
            setter.row(table, cells, widths, role, &mut quiet).0.height()
        };
        let head = height(&table.head, Role::TableHead, self);
        // Most rows are low: only one with very many words is set to be measured.
        let many =
            |row: &Vec<Vec<Inline>>| row.iter().map(|cell| Inline::plain(cell).len()).sum::<usize>() > MANY_BYTES;
        table.rows.iter().filter(|row| many(row)).any(|row| {
            let own = height(row, Role::TableCell, self);
            !(head + own).fits(page)
        })
    }

    /// As wide as the words want if that fits, in a table a little wider than its column where the page has room; else between the widest word and that; `None` if not even the widest words fit.
    fn column_widths(&mut self, table: &Table, columns: usize) -> Option<Vec<Abs>> {
        let gaps = self.gap() * (columns - 1) as f64;
        let room = self.width - gaps;
        let mut least = vec![Abs::ZERO; columns];
        let mut whole = vec![Abs::ZERO; columns];
        let mut wanted = vec![Abs::ZERO; columns];
        // Complaints about glyphs come when the cells are set.
        let mut quiet = Sink::default();
        let heads = std::iter::once((&table.head, ParagraphLook::cell_head(self.style())));
        let cell = ParagraphLook::cell(self.style());
        for (row, look) in heads.chain(table.rows.iter().map(|row| (row, cell.clone()))) {
            for (nth, inlines) in row.iter().take(columns).enumerate() {
                wanted[nth] = wanted[nth].max(self.typesetter.width(inlines, &look, &mut quiet));
                for word in Inline::plain(inlines).split_whitespace() {
                    let width = self.typesetter.width(&[Inline::text(word)], &look, &mut quiet);
                    least[nth] = least[nth].max(width).min(wanted[nth]);
                }
                whole[nth] = whole[nth].max(self.widest_code(inlines, &look)).min(wanted[nth]);
            }
        }
        let (all, narrow): (Abs, Abs) = (wanted.iter().copied().sum(), least.iter().copied().sum());
        let hairs = HAIR * columns as f64;
        let wider = self.surroundings.widest.unwrap_or(self.width).min(self.width * WIDER) - gaps;
        if (all + hairs).fits(room.max(wider)) {
            return Some(wanted.iter().map(|width| *width + HAIR).collect());
        }
        // Words of code are parted only where the columns leave no other way.
        let unparted: Vec<Abs> = least.iter().zip(&whole).map(|(least, whole)| (*least).max(*whole)).collect();
        let unparted_all: Abs = unparted.iter().copied().sum();
        if (unparted_all + hairs).fits(room) {
            return Some(shared(&unparted, &wanted, room - unparted_all));
        }
        if !(narrow + hairs).fits(room) {
            return None;
        }
        Some(shared(&least, &wanted, room - narrow))
    }

    /// The width of the widest word of code, with what touches it.
    fn widest_code(&mut self, inlines: &[Inline], look: &ParagraphLook) -> Abs {
        let mut quiet = Sink::default();
        let mut leaves = Vec::new();
        leaves_of(inlines, &mut leaves);
        let (mut widest, mut own, mut has_code) = (Abs::ZERO, Abs::ZERO, false);
        for (text, is_code) in leaves {
            for part in text.split_inclusive(char::is_whitespace) {
                let word = part.trim_end();
                if !word.is_empty() {
                    let inline =
                        if is_code { Inline::Code { text: word.into(), place: None } } else { Inline::text(word) };
                    own += self.typesetter.width(&[inline], look, &mut quiet);
                    has_code |= is_code;
                }
                if word.len() < part.len() {
                    widest = if has_code { widest.max(own) } else { widest };
                    (own, has_code) = (Abs::ZERO, false);
                }
            }
        }
        if has_code { widest.max(own) } else { widest }
    }

    fn gap(&self) -> Abs {
        self.style().size * GAP
    }

    /// A row, and of how many lines its highest cell is.
    fn row(
        &mut self,
        table: &Table,
        cells: &[Vec<Inline>],
        widths: &[Abs],
        role: Role,
        sink: &mut Sink,
    ) -> (SetBlock, usize) {
        let look = match role {
            Role::TableHead => ParagraphLook::cell_head(self.style()),
            _ => ParagraphLook::cell(self.style()),
        };
        let mut set: Vec<Vec<Line>> = Vec::with_capacity(widths.len());
        for (nth, width) in widths.iter().enumerate() {
            let align = match table.columns.get(nth).copied().unwrap_or_default() {
                ColumnAlign::Left => Align::Left,
                ColumnAlign::Centre => Align::Centre,
                ColumnAlign::Right => Align::Right,
            };
            let inlines = cells.get(nth).map_or(&[][..], Vec::as_slice);
            set.push(self.typesetter.set(inlines, &look.clone().aligned(align), *width, sink));
        }
        let lines = set.iter().map(Vec::len).max().unwrap_or(0).max(1);
        let height = steps(self.style(), u32::try_from(lines).unwrap_or(u32::MAX));
        let full = widths.iter().copied().sum::<Abs>() + self.gap() * widths.len().saturating_sub(1) as f64;
        let mut frame = Frame::new(Size::new(full.max(self.width), height));
        let mut x = Abs::ZERO;
        for (cell_lines, width) in set.into_iter().zip(widths) {
            let mut cell = Frame::new(Size::new(*width, height));
            let mut y = Abs::ZERO;
            for line in cell_lines {
                let next = y + line.frame.size.height;
                cell.place(Point::new(Abs::ZERO, y), line.frame);
                y = next;
            }
            frame.place_tagged(Point::new(x, Abs::ZERO), cell, Tag::new(role));
            x += *width + self.gap();
        }
        (SetBlock::new(Content::Piece(frame), Role::TableRow), lines)
    }

    fn rule_under(block: &mut SetBlock, weight: Abs) {
        if let Content::Piece(frame) = &mut block.content {
            let y = frame.size.height - weight * 0.5;
            let width = frame.size.width;
            let mut rule = Frame::new(Size::new(width, weight));
            rule.line(Point::default(), Point::new(width, Abs::ZERO), weight, Ink::Black);
            frame.place_tagged(Point::new(Abs::ZERO, y), rule, Tag::new(Role::Artifact));
        }
    }

    /// A table that can't stand in its column is set row by row as `head: cell` under one another, and reported; one of very many
    /// cells as its cells alone, one after the other.
    fn too_wide(&mut self, table: &Table, why: &str, inset: &Inset, sink: &mut Sink) {
        let inset = Inset::in_column(inset);
        self.cells += table.rows.iter().map(Vec::len).sum::<usize>();
        let alone = self.cells <= MOST_CELLS;
        let how = if alone {
            "its rows are set one cell a line"
        } else {
            "its cells are too many for a line each, and are set one after the other"
        };
        let message = format!("{why}; {how}");
        sink.warn(code!("wide-table"), table.place, message).hints.push("use fewer columns or shorter words".into());
        for row in &table.rows {
            let mut inlines = Vec::new();
            for (nth, cell) in row.iter().enumerate().filter(|(_, cell)| !Inline::plain(cell).trim().is_empty()) {
                if !inlines.is_empty() {
                    inlines.push(if alone { Inline::LineBreak } else { Inline::text("; ") });
                }
                let head = table.head.get(nth).filter(|head| alone && !Inline::plain(head).trim().is_empty());
                if let Some(head) = head {
                    inlines.push(Inline::Strong(head.clone()));
                    inlines.push(Inline::text(": "));
                }
                inlines.extend(cell.iter().cloned());
            }
            let look = ParagraphLook::cell(self.style());
            let lines = self.lines(&inlines, &look, &inset, sink);
            if !lines.is_empty() {
                let mut block = SetBlock::new(Content::Lines(lines), Role::Paragraph);
                block.space_before = 1;
                block.may_split = true;
                self.push(block, &inset);
            }
        }
    }
}

/// The texts of a cell in order, each with whether it is code.
fn leaves_of<'i>(inlines: &'i [Inline], leaves: &mut Vec<(&'i str, bool)>) {
    for inline in inlines {
        match inline {
            Inline::Text { text, .. } | Inline::Fact { text, .. } | Inline::Sign { word: text, .. } => {
                leaves.push((text, false));
            }
            Inline::Code { text, .. } => leaves.push((text, true)),
            Inline::Emphasis(inner) | Inline::Strong(inner) | Inline::Link { inlines: inner, .. } => {
                leaves_of(inner, leaves);
            }
            Inline::LineBreak => leaves.push((" ", false)),
        }
    }
}

/// Shares `spare` out over the least widths: columns that want little get all of it, the rest the same each.
fn shared(least: &[Abs], wanted: &[Abs], mut spare: Abs) -> Vec<Abs> {
    let mut order: Vec<usize> = (0..least.len()).collect();
    order.sort_by(|a, b| (wanted[*a] - least[*a]).total_cmp(&(wanted[*b] - least[*b])));
    let mut widths = least.to_vec();
    for (nth, column) in order.iter().enumerate() {
        let fair = spare / (order.len() - nth) as f64;
        let given = fair.min(wanted[*column] - least[*column] + HAIR);
        widths[*column] += given;
        spare -= given;
    }
    widths
}
