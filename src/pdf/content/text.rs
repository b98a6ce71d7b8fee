//! Text objects of a content stream: faces, lines, glyphs, and the marked content among them.
//!
//! Source: ISO 32000-1, 9.4 (text objects), 14.6 (marked content).

use super::{Content, FAR, Paint, f64_of, nearest};
use crate::geom::{Abs, Point};
use crate::pdf::operand::{push_code, push_whole};

/// Twelve thousandths of a point, in hundred-thousandths: a glyph this near its place is not moved. It is less than half a
/// dot of a 2400 dpi platesetter, and it does not add up, since each glyph is measured from the start.
const UNSEEN: i64 = 1200;

/// A string that is shown grows no longer than this many bytes, far below what readers take (ISO 32000-1, annex C).
const LONGEST: usize = 4000;

/// One glyph to show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::pdf) struct Code {
    /// Its code in the embedded face.
    pub(in crate::pdf) code: u16,
    /// Its place to the right of the start.
    pub(in crate::pdf) x: Abs,
    /// The width stated in the file, in thousandths of an em.
    pub(in crate::pdf) width: i32,
}

/// The operator that last showed glyphs, which more on its line may join.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shown {
    start: usize,
    end: usize,
    /// Whether it shows an array, with glyphs moved in it.
    moved: bool,
}

impl Content {
    /// Shows glyphs from a baseline place. `codes` are the codes in the embedded face, each with its place to the right
    /// of the start and the width that the file states for it, in thousandths of an em.
    pub(in crate::pdf) fn glyphs(&mut self, face: u16, size: Abs, paint: Paint, at: Point, codes: &[Code]) {
        self.run = None;
        if codes.is_empty() {
            return;
        }
        // Colour and overprint may be set inside a text object, so it stays open.
        self.fill(paint);
        let em = self.cent(size.to_pt());
        if em <= 0 {
            return;
        }
        let (x, y) = self.place(at);
        self.begin_text();
        if self.state.font != Some((face, em)) {
            self.state.font = Some((face, em));
            self.out.extend_from_slice(b"/T");
            push_whole(&mut self.out, i64::from(face));
            self.out.push(b' ');
            self.number(em);
            self.op(b"Tf\n");
        }
        // From where the last glyphs on the line ended; where that is the place nothing needs moving.
        let apart = self.pen.filter(|(_, line)| *line == y).map(|(pen, _)| x * 1000 - pen);
        let ems = |apart: i64| nearest(f64_of(apart) / f64_of(em));
        let (from, by) = match apart {
            Some(apart) if apart.abs() <= UNSEEN => (-ems(apart), 0),
            // As near as a move of the line would bring them.
            Some(apart) if em <= 2 * UNSEEN => (0, ems(apart)),
            _ => {
                let (from_x, from_y) = self.line.unwrap_or((0, 0));
                self.number(x - from_x);
                self.number(y - from_y);
                self.op(b"Td\n");
                self.line = Some((x, y));
                self.pen = Some((x * 1000, y));
                (0, 0)
            }
        };
        self.pen = self.pen.map(|(pen, line)| (pen + by * em, line));
        self.run = Some((em, from));
        self.show(by, codes);
    }
    /// Shows more glyphs of the run that [`Content::glyphs`] began, their places counted from its start: where marked content
    /// parts a run, nothing moves.
    pub(in crate::pdf) fn more(&mut self, codes: &[Code]) {
        self.show(0, codes);
    }
    /// Opens a text object unless one is open.
    fn begin_text(&mut self) {
        if self.line.is_none() {
            self.op(b"BT\n");
            self.line = Some((0, 0));
        }
    }
    /// Opens marked content inside a text object, for glyphs alone: the next thing after the glyphs has to be
    /// [`Content::end_span`].
    pub(in crate::pdf) fn begin_span(&mut self, tag: &str, properties: &[u8]) {
        self.begin_text();
        self.marked(tag, Some(properties));
    }
    /// Closes [`Content::begin_span`].
    pub(in crate::pdf) fn end_span(&mut self) {
        self.op(b"EMC\n");
    }
    /// Shows codes of the run, the first of them moved by thousandths of an em from where the last ended.
    fn show(&mut self, by: i64, codes: &[Code]) {
        let Some((em, from)) = self.run else { return };
        let known = self.shown.filter(|shown| shown.end == self.out.len() && shown.end - shown.start < LONGEST);
        let mut moved = known.is_some_and(|shown| shown.moved);
        // Where a string begins that may give way to a move, so that none is empty.
        let empty = if known.is_none() && by == 0 { self.out.len() + 1 } else { usize::MAX };
        let start = known.map_or(self.out.len(), |shown| shown.start);
        let was_moved = moved;
        if known.is_some() {
            let operator = if moved { "]TJ\n" } else { "Tj\n" };
            self.out.truncate(self.out.len() - operator.len());
        }
        if known.is_some() && by == 0 {
            // Its last string goes on.
            self.out.pop();
        } else {
            if by != 0 {
                push_whole(&mut self.out, -by);
                moved = true;
            }
            self.out.push(b'(');
        }
        // The pen as the reader of the file will reckon it, in thousandths of an em from the run's start.
        let scale = 1e5 / f64_of(em);
        // No nearer glyph is moved: the product with the em would be below the bound.
        let unmoved = UNSEEN / em.max(1);
        let mut pen = from;
        self.out.reserve(codes.len() * 4 + 16);
        for code in codes {
            let wanted = if code.x.to_pt().abs() < FAR {
                nearest(code.x.to_pt() * scale)
            } else {
                self.broken = true;
                pen
            };
            let apart = wanted - pen;
            if apart.abs() > unmoved {
                if self.out.len() == empty {
                    self.out.pop();
                } else {
                    self.out.push(b')');
                }
                push_whole(&mut self.out, -apart);
                self.out.push(b'(');
                pen = wanted;
                moved = true;
            }
            push_code(&mut self.out, code.code);
            pen += i64::from(code.width);
        }
        self.out.push(b')');
        if moved {
            if !was_moved {
                self.out.insert(start, b'[');
            }
            self.out.push(b']');
            self.op(b"TJ\n");
        } else {
            self.op(b"Tj\n");
        }
        self.shown = Some(Shown { start, end: self.out.len(), moved });
        self.run = Some((em, pen));
        self.pen = self.pen.map(|(place, line)| (place + (pen - from).saturating_mul(em), line));
    }
    /// Closes the text object, if one is open.
    pub(super) fn end_text(&mut self) {
        if self.line.take().is_some() {
            (self.pen, self.run) = (None, None);
            self.op(b"ET\n");
        }
    }
}
