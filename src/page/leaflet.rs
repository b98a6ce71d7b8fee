//! A leaflet: what goes with a book and is no part of it, such as a printer's job sheet or a slip with changes.
//!
//! Takes words; gives a document of its own in the book's type. Knows no book: title, rows and lines are all it is told.

use super::document::{Document, Identity, Page, PageRecord, SheetKind, Side};
use super::scale::{Named, Scale};
use crate::diag::Sink;
use crate::font::Fonts;
use crate::frame::{Frame, Ink, Role, Tag};
use crate::geom::{Abs, Point, Size};
use crate::style::TextStyle;
use crate::text::{Inline, Line, ParagraphLook, Typesetter};

/// What a leaflet says.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Leaflet {
    /// Who it is, for the file's properties; its book is no book's id.
    pub identity: Identity,
    /// Its heading.
    pub title: String,
    /// What stands under the heading, one line or paragraph each.
    pub lead: Vec<String>,
    /// A table of names and values.
    pub rows: Vec<(String, String)>,
    /// A list.
    pub lines: Vec<String>,
    /// What stands at the end.
    pub notes: Vec<String>,
}

/// Share of the width that the names of a table take.
const NAMES: f64 = 0.24;
/// Share of the shorter side that is left white all round; a leaflet may be punched or pinned up.
const MARGIN: f64 = 0.09;

/// Sets a leaflet on pages of a size, as many as it takes.
pub fn leaflet(words: &Leaflet, style: &TextStyle, size: Size, fonts: &Fonts, sink: &mut Sink) -> Document {
    let style = TextStyle { justified: false, ..style.clone() };
    let margin = size.width.min(size.height) * MARGIN;
    let mut press = Press {
        scale: Scale { fonts, style: &style, titles: Ink::Black },
        setter: Typesetter::new(fonts, &style),
        size,
        margin,
        pages: Vec::new(),
        y: Abs::ZERO,
        sink,
    };
    press.new_page();
    press.words(words);
    let pages: Vec<Page> = press.pages;
    let mut document = Document { identity: words.identity.clone(), ..Document::default() };
    document.manifest.identity = words.identity.clone();
    let record = |page: &Page| PageRecord { label: page.label.clone(), digest: String::new() };
    document.manifest.pages = pages.iter().map(record).collect();
    document.pages = pages;
    document
}

/// A leaflet in the making: the last page is open, and filled down to `y`.
struct Press<'a> {
    scale: Scale<'a>,
    setter: Typesetter<'a>,
    size: Size,
    margin: Abs,
    pages: Vec<Page>,
    y: Abs,
    sink: &'a mut Sink,
}

impl Press<'_> {
    fn words(&mut self, words: &Leaflet) {
        let width = self.size.width - self.margin * 2.0;
        let step = self.scale.style.leading;
        self.paragraph(&words.title, Named::ChapterTitle, Role::Heading(1), width);
        self.y += step * 0.5;
        for lead in &words.lead {
            self.paragraph(lead, Named::Text, Role::Paragraph, width);
        }
        self.y += step * 0.5;
        self.table(&words.rows, width);
        self.list(&words.lines, width);
        if !words.notes.is_empty() {
            self.y += step * 0.5;
        }
        for note in &words.notes {
            self.paragraph(note, Named::Text, Role::Paragraph, width);
            self.y += step * 0.25;
        }
    }

    fn new_page(&mut self) {
        let number = self.pages.len() + 1;
        let side = if number % 2 == 1 { Side::Recto } else { Side::Verso };
        let page = Page { frame: Frame::new(self.size), label: number.to_string(), side, kind: SheetKind::Body };
        self.pages.push(page);
        self.y = self.margin;
    }
    /// Makes room for a height; a new page unless it is there.
    fn need(&mut self, height: Abs) {
        if !(self.y + height).fits(self.size.height - self.margin) && self.y > self.margin {
            self.new_page();
        }
    }
    fn put(&mut self, x: Abs, y: Abs, frame: Frame, tag: Tag) {
        if let Some(page) = self.pages.last_mut() {
            page.frame.place_tagged(Point::new(self.margin + x, y), frame, tag);
        }
    }
    fn set(&mut self, words: &str, named: Named, width: Abs) -> Vec<Line> {
        self.setter.set(&[Inline::text(words)], &self.scale.look(named), width, self.sink)
    }
    fn paragraph(&mut self, words: &str, named: Named, role: Role, width: Abs) {
        let lines = self.set(words, named, width);
        let (frame, height) = stacked(lines, width);
        self.need(height);
        self.put(Abs::ZERO, self.y, frame, Tag::new(role));
        self.y += height;
    }
    fn table(&mut self, rows: &[(String, String)], width: Abs) {
        let names = width * NAMES;
        let rest = width - names;
        for (name, value) in rows {
            let (name, name_height) = stacked(self.set(name, Named::Strong, names - self.scale.style.size), names);
            // Figures as high as capitals: in a digest a small nought would be read as a letter.
            let look = ParagraphLook::cell(self.scale.style);
            let (value, value_height) = stacked(self.setter.set(&[Inline::text(value)], &look, rest, self.sink), rest);
            let height = name_height.max(value_height);
            self.need(height + self.scale.style.leading * 0.3);
            let mut row = Frame::new(Size::new(width, height));
            row.place_tagged(Point::default(), name, Tag::new(Role::TableCell));
            row.place_tagged(Point::new(names, Abs::ZERO), value, Tag::new(Role::TableCell));
            self.put(Abs::ZERO, self.y, row, Tag::new(Role::TableRow));
            self.y += height + self.scale.style.leading * 0.15;
            let mut rule = Frame::new(Size::new(width, Abs::ZERO));
            rule.line(Point::default(), Point::new(width, Abs::ZERO), Abs::pt(0.25), Ink::Black);
            self.put(Abs::ZERO, self.y, rule, Tag::new(Role::Artifact));
            self.y += self.scale.style.leading * 0.15;
        }
    }
    /// Each line hangs behind a dash.
    fn list(&mut self, lines: &[String], width: Abs) {
        let indent = self.scale.style.size * 1.2;
        for line in lines {
            let (words, height) = stacked(self.set(line, Named::Text, width - indent), width - indent);
            let (dash, _) = stacked(self.set("\u{2013}", Named::Text, indent), indent);
            self.need(height);
            let mut item = Frame::new(Size::new(width, height));
            item.place_tagged(Point::default(), dash, Tag::new(Role::Artifact));
            item.place(Point::new(indent, Abs::ZERO), words);
            self.put(Abs::ZERO, self.y, item, Tag::new(Role::ListItem));
            self.y += height;
        }
    }
}

/// Lines under one another, and their height.
fn stacked(lines: Vec<Line>, width: Abs) -> (Frame, Abs) {
    let height = lines.iter().fold(Abs::ZERO, |height, line| height + line.frame.size.height);
    let mut frame = Frame::new(Size::new(width, height));
    let mut y = Abs::ZERO;
    for line in lines {
        let own = line.frame.size.height;
        frame.place(Point::new(Abs::ZERO, y), line.frame);
        y += own;
    }
    (frame, height)
}
