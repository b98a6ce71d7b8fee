//! Words and gaps at places into text runs, boxes for what no font has, groups for links.

use super::collect::Paragraph;
use super::contract::ParagraphLook;
use super::words::{MISSING_WIDTH, Piece, Word, Words};
use crate::font::FaceId;
use crate::frame::{Frame, Glyph, Glyphs, Group, Item, Role, Shape, Stroke, Tag, TextRun};
use crate::geom::{Abs, Path, Point, Rect, Size};
use std::sync::Arc;

/// A run that is growing.
struct Open {
    face: FaceId,
    size: Abs,
    x: Abs,
    end: Abs,
    text: String,
    glyphs: Vec<Glyph>,
}

/// An item with its left and right ends and the link it is part of.
struct Placed {
    left: Abs,
    right: Abs,
    top: Abs,
    item: Item,
    link: Option<usize>,
}

pub(super) struct Runs<'a> {
    words: &'a Words<'a>,
    paragraph: &'a Paragraph<'a>,
    look: &'a ParagraphLook,
    baseline: Abs,
    open: Option<Open>,
    link: Option<usize>,
    placed: Vec<Placed>,
}

impl<'a> Runs<'a> {
    pub const fn new(
        words: &'a Words<'a>,
        paragraph: &'a Paragraph<'a>,
        look: &'a ParagraphLook,
        baseline: Abs,
    ) -> Self {
        Self { words, paragraph, look, baseline, open: None, link: None, placed: Vec::new() }
    }

    /// A word whose left end is at `x`. A divided word ends in a hyphen, which is read as a soft one.
    pub fn word(&mut self, x: Abs, span: usize, word: &Word, divided: bool) {
        self.follow(span);
        let mut x = x;
        for piece in &word.pieces {
            let width: Abs = piece.glyphs.iter().map(|glyph| glyph.advance.at(self.look.size)).sum();
            match piece.face {
                Some(face) => self.piece(x, face, piece, &word.text, divided),
                None => self.missing(x),
            }
            x += width;
        }
    }

    /// A gap of a width, read as `c`.
    pub fn space(&mut self, x: Abs, span: usize, c: char, width: Abs) {
        self.follow(span);
        let font = self.paragraph.spans[span].font;
        let words = self.words;
        let open = self.open_run(x, words.face(font), self.look.size * words.scale(font), true);
        let Some(id) = words.space_of(open.face) else { return };
        let cluster = u32::try_from(open.text.len()).unwrap_or(u32::MAX);
        open.glyphs.push(Glyph { id, x: x - open.x, y: Abs::ZERO, cluster });
        open.text.push(c);
        open.end = x + width;
    }

    /// A sign's frame on the baseline.
    pub fn sign(&mut self, x: Abs, span: usize) {
        self.follow(span);
        self.close();
        let Some((word, frame)) = self.paragraph.spans[span].sign else { return };
        let top = self.baseline - frame.baseline.unwrap_or(frame.size.height);
        let group = Group { frame: Arc::new(frame.clone()), tag: Some(Tag::figure(word)), subject: None, link: None };
        self.place(x, x + frame.size.width, top, Item::Group(group.into()));
    }

    /// The line's frame, links wrapped in groups that are a line high.
    pub fn finish(mut self, size: Size) -> Frame {
        self.close();
        let mut frame = Frame::new(size);
        let mut placed = self.placed.into_iter().peekable();
        while let Some(first) = placed.next() {
            let Some(link) = first.link else {
                frame.push(Point::new(first.left, first.top), first.item);
                continue;
            };
            let left = first.left;
            let mut right = first.right;
            let mut inner = vec![first];
            while let Some(next) = placed.next_if(|next| next.link == Some(link)) {
                right = next.right;
                inner.push(next);
            }
            let mut words = Frame::new(Size::new(right - left, size.height));
            words.baseline = Some(self.baseline);
            for item in inner {
                words.push(Point::new(item.left - left, item.top), item.item);
            }
            let group = Group {
                frame: Arc::new(words),
                tag: Some(Tag::new(Role::Link)),
                subject: None,
                link: self.paragraph.links.get(link).cloned(),
            };
            frame.push(Point::new(left, Abs::ZERO), Item::Group(group.into()));
        }
        frame
    }

    fn follow(&mut self, span: usize) {
        let link = self.paragraph.spans[span].link;
        if link != self.link {
            self.close();
            self.link = link;
        }
    }

    fn piece(&mut self, x: Abs, face: FaceId, piece: &Piece, text: &str, divided: bool) {
        let size = self.look.size;
        let said = &text[piece.range.clone()];
        let hyphen = divided && piece.range.end == text.len();
        let open = self.open_run(x, face, size * piece.scale, false);
        let base = open.text.len();
        let mut pen = x - open.x;
        for glyph in &piece.glyphs {
            let cluster = base + (glyph.cluster as usize - piece.range.start);
            let advance = glyph.advance.at(size);
            open.glyphs.push(Glyph {
                id: glyph.id,
                x: pen + glyph.dx.at(size),
                y: -glyph.dy.at(size),
                cluster: u32::try_from(cluster).unwrap_or(u32::MAX),
            });
            pen += advance;
        }
        open.end = open.x + pen;
        match said.strip_suffix('-').filter(|_| hyphen) {
            Some(said) => {
                open.text.push_str(said.trim_end_matches('\u{ad}'));
                open.text.push('\u{ad}');
            }
            None => open.text.push_str(said),
        }
    }

    /// A box for a character that no font has: as high as a capital, its lines a twentieth of an em.
    fn missing(&mut self, x: Abs) {
        self.close();
        let em = self.look.size;
        let width = MISSING_WIDTH.at(em);
        let rect = Rect::new(Point::new(em * 0.06, -em * 0.66), Point::new(width - em * 0.06, Abs::ZERO));
        let stroke = Stroke { width: em * 0.05, ink: self.look.ink, round: false, dash: None };
        let shape = Shape { path: Path::rect(rect), fill: None, stroke: Some(stroke) };
        self.place(x, x + width, self.baseline, Item::Shape(shape.into()));
    }

    /// The run that goes on at `x` in a face and size; with `any` the face that is open will do if it has a space.
    fn open_run(&mut self, x: Abs, face: FaceId, size: Abs, any: bool) -> &mut Open {
        let fits = self.open.as_ref().is_some_and(|open| {
            let has_space = || self.words.space_of(open.face).is_some();
            open.size == size && (open.face == face || any && has_space())
        });
        if !fits {
            self.close();
        }
        self.open.get_or_insert_with(|| Open {
            face,
            size,
            x,
            end: x,
            text: String::with_capacity(96),
            glyphs: Vec::with_capacity(96),
        })
    }

    fn close(&mut self) {
        let Some(open) = self.open.take() else { return };
        let run = TextRun {
            face: open.face,
            size: open.size,
            ink: self.look.ink,
            text: open.text.into(),
            glyphs: Glyphs::new(open.glyphs, open.end - open.x),
        };
        self.place(open.x, open.end, self.baseline, Item::Text(run));
    }

    fn place(&mut self, left: Abs, right: Abs, top: Abs, item: Item) {
        self.placed.push(Placed { left, right, top, item, link: self.link });
    }
}
