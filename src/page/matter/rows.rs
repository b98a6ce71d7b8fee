//! Lines of lists and tables that the program makes itself: entries with leaders to a page number, ruled rows, column heads.

use crate::diag::Place;
use crate::frame::{Frame, Group, Ink, Item, LinkTarget, Role, Shape, Stroke, Tag};
use crate::geom::{Abs, Path, Point, Rect, Size};
use crate::page::desk::Desk;
use crate::page::flow::{Before, Piece};
use crate::page::scale::Named;
use crate::page::setting::{Compositor, Setting};
use crate::text::Inline;
use std::sync::Arc;

/// From dot to dot of a leader, in text sizes.
const DOTS: f64 = 0.42;

/// One entry of the contents or an index.
#[derive(Debug, Clone)]
pub(super) struct Entry {
    /// Its words.
    pub words: String,
    /// Their style.
    pub named: Named,
    /// How far it is set in.
    pub indent: Abs,
    /// Where it leads.
    pub anchor: String,
    /// Where its words are written.
    pub place: Option<Place>,
}

/// An entry with its page number at the right end of the text column and dots between.
pub(super) fn entry(desk: &Desk<'_>, entry: &Entry, comp: &mut Compositor<'_>) -> Piece {
    let frame = entry_frame(desk, entry, desk.setting.measure, comp);
    let height = frame.size.height;
    Piece::of_text(frame, height)
}

/// The same in a column of a width.
pub(super) fn entry_frame(desk: &Desk<'_>, entry: &Entry, width: Abs, comp: &mut Compositor<'_>) -> Frame {
    let setting = desk.setting;
    let scale = &setting.scale;
    let number = scale.figures(entry.named, desk.page(&entry.anchor));
    // One column of numbers for the heavier entries and the others, so that all leaders end together.
    let widest = |named| scale.figures(named, desk.widest_page()).width;
    let column = widest(Named::Text).max(widest(Named::Strong));
    let dot = scale.size(Named::Text) * DOTS;
    let room = width - entry.indent - column - dot * 2.0;
    let mut look = scale.look(entry.named);
    look.hyphenate = false;
    look.align = crate::text::Align::Left;
    let lines = comp.at(entry.place, |comp| comp.set(&[Inline::text(&entry.words)], &look, room));
    let mut frame = Frame::new(Size::new(width, Abs::ZERO));
    let mut end = entry.indent;
    for line in lines {
        let height = line.frame.size.height;
        end = entry.indent + line.width;
        frame.place(Point::new(entry.indent, frame.size.height), line.frame);
        frame.size.height += height;
    }
    let height = frame.size.height.max(setting.area.step);
    frame.size.height = height;
    let baseline = height - setting.area.step + setting.baseline();
    // All leaders stand on one lattice from the column's left edge, so that dots of neighbouring lines line up.
    let from = dot * ((end + dot) / dot).ceil();
    let to = width - column.max(number.width) - dot;
    if from < to {
        let mut dots = Frame::new(Size::new(to - from, Abs::ZERO));
        let ink = Abs::pt(0.9);
        let stroke = Stroke { width: ink, ink: Ink::Black, round: false, dash: Some((ink, dot - ink)) };
        let path = Path::open(&[Point::default(), Point::new(to - from, Abs::ZERO)]);
        dots.push(Point::default(), Item::Shape(Box::new(Shape { path, fill: None, stroke: Some(stroke) })));
        frame.place_tagged(Point::new(from, baseline - ink / 2.0), dots, Tag::new(Role::Artifact));
    }
    number.put_right(&mut frame, Point::new(width, baseline));
    let link = Group {
        frame: frame.shared(),
        tag: Some(Tag::new(Role::Link)),
        subject: None,
        link: Some(LinkTarget::Anchor(entry.anchor.as_str().into())),
    };
    let mut outer = Frame::new(Size::new(width, height));
    outer.push(Point::default(), Item::Group(link.into()));
    outer
}

/// A heading inside a part, kept with what follows.
pub(super) fn heading(desk: &Desk<'_>, words: &str, level: u8, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let tag = (comp.number(), Tag::new(Role::Heading(level)));
    let mut pieces = setting.tagged_lines(Named::Heading, words, setting.measure, tag, comp);
    if let Some(first) = pieces.first_mut() {
        first.gap = crate::page::flow::fixed(setting.steps(1.0));
    }
    pieces
}

/// Keeps every piece with the one before it, from the second on, so that the first `count` stay together.
pub(super) fn keep_first(pieces: &mut [Piece], count: usize) {
    for piece in pieces.iter_mut().take(count).skip(1) {
        piece.before = Before::Never;
    }
}

/// A cell of a table: words in a style, or a frame whose origin is its baseline's left end.
#[derive(Debug, Clone)]
pub(super) enum Cell {
    /// Words.
    Words(String, Named),
    /// Words that the rest of the row is about.
    Head(String, Named),
    /// A drawing of its own, its top at the row's top.
    Drawn(Frame),
    /// Nothing: to be written on.
    Empty,
}

/// A table of columns of given widths.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    /// Width of each column, gaps counted in.
    pub widths: Vec<Abs>,
    /// The least height of a row; what is higher has whole steps.
    pub least: Abs,
    /// Whether rows are closed in by upright rules too, for writing.
    pub boxed: bool,
}

impl Grid {
    fn width(&self) -> Abs {
        self.widths.iter().copied().sum()
    }
    /// A row of column heads with a rule under it, on a light tint.
    pub fn head(&self, desk: &Desk<'_>, heads: &[&str], comp: &mut Compositor<'_>) -> Piece {
        let cells = heads.iter().map(|head| Cell::Words((*head).to_owned(), Named::LabelStrong)).collect();
        let row = self.row_frame(desk, cells, Role::TableHead, comp);
        let size = row.size;
        let mut frame = Frame::new(size);
        frame.fill_rect(Rect::new(Point::default(), Point::new(size.width, size.height)), Ink::Grey(10));
        frame.place(Point::default(), row);
        frame.line(Point::new(Abs::ZERO, size.height), Point::new(size.width, size.height), Abs::pt(0.75), Ink::Black);
        Piece::of_text(frame, size.height)
    }
    /// A row with a thin rule under it.
    pub fn row(&self, desk: &Desk<'_>, cells: Vec<Cell>, comp: &mut Compositor<'_>) -> Piece {
        let mut frame = self.row_frame(desk, cells, Role::TableCell, comp);
        let size = frame.size;
        let thin = Abs::pt(0.3);
        frame.line(Point::new(Abs::ZERO, size.height), Point::new(size.width, size.height), thin, Ink::Black);
        if self.boxed {
            let mut x = Abs::ZERO;
            for width in std::iter::once(Abs::ZERO).chain(self.widths.iter().copied()) {
                x += width;
                frame.line(Point::new(x, Abs::ZERO), Point::new(x, size.height), thin, Ink::Black);
            }
        }
        Piece::of_text(frame, size.height)
    }
    fn row_frame(&self, desk: &Desk<'_>, cells: Vec<Cell>, role: Role, comp: &mut Compositor<'_>) -> Frame {
        let setting = desk.setting;
        let pad = setting.scale.size(Named::Label) * 0.5;
        let mut frames = Vec::new();
        let mut height = self.least;
        for (cell, width) in cells.into_iter().zip(&self.widths) {
            let room = (*width - pad * 1.5).max(pad);
            let role = if matches!(cell, Cell::Head(..)) { Role::TableBand(1) } else { role };
            let frame = match cell {
                Cell::Words(words, named) | Cell::Head(words, named) => {
                    let mut look = setting.scale.look(named);
                    (look.hyphenate, look.align) = (false, crate::text::Align::Left);
                    let mut column = Frame::new(Size::new(room, Abs::ZERO));
                    for line in comp.set(&[Inline::text(words)], &look, room) {
                        let height = line.frame.size.height;
                        column.place(Point::new(Abs::ZERO, column.size.height), line.frame);
                        column.size.height += height;
                    }
                    column
                }
                Cell::Drawn(frame) => frame,
                Cell::Empty => Frame::new(Size::default()),
            };
            height = height.max(frame.size.height);
            frames.push((frame, role));
        }
        // A table to be written on may have rows of a height of its own.
        let height = if height > self.least { setting.whole_steps(height) } else { self.least };
        let mut row = Frame::new(Size::new(self.width(), height));
        let mut x = Abs::ZERO;
        for ((frame, role), width) in frames.into_iter().zip(&self.widths) {
            // Words stand in the middle of a row that is higher than they are.
            let top = (height - frame.size.height) / 2.0;
            row.place_tagged(Point::new(x + pad / 2.0, top), frame, Tag::new(role));
            x += *width;
        }
        row
    }
}

/// Says of a table to be written on, for those who hear it, what it is: so many columns, and rows beside its head.
pub(super) fn to_write(desk: &Desk<'_>, table: &mut [Piece], columns: usize, rows: usize) {
    let said = desk.setting.words.to_write.replace("{columns}", &columns.to_string());
    let said: Arc<str> = said.replace("{rows}", &rows.to_string()).into();
    for (_, tag) in table.iter_mut().flat_map(|piece| &mut piece.tags).filter(|(_, tag)| tag.role == Role::Table) {
        tag.alt = Some(Arc::clone(&said));
    }
}

/// The height of a row to write in with a pencil: 9 mm, or two of the text's sizes where the text is large, since who reads large
/// writes large (ours); in whole steps, where that is not much more.
pub(super) fn for_writing(setting: &Setting<'_>) -> Abs {
    let least = Abs::mm(9.0).max(setting.scale.size(Named::Text) * 2.05);
    let whole = setting.whole_steps(least);
    if whole > least * HIGHEST { least } else { whole }
}

/// Where whole steps would make a row higher than this share of what it should be, it leaves the grid: in large print a step is
/// nearly a row.
const HIGHEST: f64 = 1.2;

/// The width of a table's column for page numbers.
pub(super) fn page_column(desk: &Desk<'_>) -> Abs {
    let scale = &desk.setting.scale;
    let head = scale.label(Named::LabelStrong, desk.setting.words.page).width;
    head.max(scale.label(Named::Label, desk.widest_page()).width) + scale.size(Named::Label) * 1.2
}

/// Puts pieces into one table, the first of which is its head: a tag around all, one around each row. The head stands again at
/// the top of each page that the table goes on to.
pub(super) fn table(rows: Vec<Piece>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let table = (comp.number(), Tag::new(Role::Table));
    let count = rows.len();
    let head = rows.first().map(|head| Arc::clone(&head.frame));
    rows.into_iter()
        .enumerate()
        .map(|(n, mut piece)| {
            // The head with two rows, and two rows at least on the next page.
            if (n > 0 && n <= 2 || n + 1 == count) && piece.before == Before::Free {
                piece.before = Before::Never;
            }
            piece.head = head.clone().filter(|_| n > 0);
            piece.tags = vec![table.clone(), (comp.number(), Tag::new(Role::TableRow))];
            piece
        })
        .collect()
}
