//! Runs of glyphs, with what copying and reading aloud give for them.
//!
//! Sources: ISO 32000-1, 14.8.2.5 (words stay apart), 14.9.4 (replacement text).

use super::Painter;
use crate::font::FaceId;
use crate::frame::{Clusters, Row, TextRun};
use crate::geom::{Abs, Point};
use crate::pdf::content::{Code, Paint};
use crate::pdf::operand::{push_literal, text_bytes};
use crate::pdf::tagging::{Open, Under};
use crate::pdf::typeset::Embedded;

/// Where the words of an element last ended.
#[derive(Debug, Clone, Copy)]
pub(super) struct LastWords {
    node: usize,
    face: FaceId,
    size: Abs,
    paint: Paint,
    /// The end of the last run on its baseline.
    end: Point,
    /// Whether what follows on another line, or at a distance, is another word.
    parts: bool,
}

impl Painter<'_> {
    pub(super) fn text(&mut self, run: &TextRun, at: Point, under: Under) {
        let with = self.with;
        let Some(face) = with.typeset.face(run.face) else { return };
        self.mark(under, true);
        let paint = self.paint(run.ink);
        self.part_words(run, at);
        self.start = None;
        let row = run.glyphs.row();
        if self.plain(run, &row, face, paint, at) {
            return self.end_words(run, paint, at);
        }
        for cluster in Clusters::of(run, &row) {
            let says = match cluster.glyphs {
                _ if cluster.text.is_empty() => Says::Nothing,
                [glyph] if face.known(glyph.id).says(cluster.text.as_bytes()) => Says::Itself,
                _ => Says::Text,
            };
            if (says == Says::Nothing) != self.silent {
                self.flush(run, paint, at);
                self.start = None;
                self.hush(says == Says::Nothing);
            }
            if says == Says::Text {
                self.flush(run, paint, at);
                self.content.begin_span("Span", &actual_text(cluster.text));
            }
            for (nth, glyph) in cluster.glyphs.iter().enumerate() {
                let lift = row.lift(cluster.first + nth);
                if self.lift != lift {
                    self.flush(run, paint, at);
                    (self.lift, self.start) = (lift, None);
                }
                let known = face.known(glyph.id);
                self.uncounted |= known.code == 0 && glyph.id != 0;
                self.codes.push(Code { code: known.code, x: Abs::pt(f64::from(glyph.x)), width: known.width });
            }
            if says == Says::Text {
                self.flush(run, paint, at);
                self.content.end_span();
            }
        }
        self.flush(run, paint, at);
        self.end_words(run, paint, at);
    }
    /// Shows a run as most are: all glyphs on the baseline, and all silent, or each saying its own stretch of the text. Gives
    /// whether it was such a run; nothing is done for any other.
    fn plain(&mut self, run: &TextRun, row: &Row<'_>, face: &Embedded, paint: Paint, at: Point) -> bool {
        let (glyphs, text) = (row.glyphs(), run.text.as_bytes());
        let Some(first) = glyphs.first().filter(|_| row.is_flat()) else { return false };
        let start = Abs::pt(f64::from(first.x));
        let ends = glyphs[1..].iter().map(|glyph| usize::from(glyph.cluster)).chain([text.len()]);
        for (glyph, end) in glyphs.iter().zip(ends) {
            let known = face.known(glyph.id);
            let says = text.is_empty() || text.get(usize::from(glyph.cluster)..end).is_some_and(|own| known.says(own));
            if !says {
                self.codes.clear();
                return false;
            }
            self.uncounted |= known.code == 0 && glyph.id != 0;
            let x = Abs::pt(f64::from(glyph.x)) - start;
            self.codes.push(Code { code: known.code, x, width: known.width });
        }
        self.hush(text.is_empty());
        self.lift = Abs::ZERO;
        self.content.glyphs(run.face.index(), run.size, paint, at + Point::new(start, Abs::ZERO), &self.codes);
        self.codes.clear();
        true
    }
    /// Shows a space where a run follows another of its element on a new line or at a distance, so that words stay apart
    /// when they are read aloud or copied (ISO 32000-1, 14.8.2.5). A divided word ends in a hyphen and goes on.
    fn part_words(&mut self, run: &TextRun, at: Point) {
        let Some(last) = self.last.take() else { return };
        let new_line = (at.y - last.end.y).abs().to_pt() > 0.5;
        let gap = (at.x - last.end.x).abs().to_pt() > last.size.to_pt() * 0.15;
        let goes_on = run.text.starts_with(char::is_whitespace) || run.text.is_empty();
        if self.open != Open::Node(last.node) || !last.parts || goes_on || !(new_line || gap) {
            return;
        }
        let face = self.with.typeset.face(last.face);
        if let Some((face, code)) = face.and_then(|face| Some((face, face.space()?))) {
            self.hush(false);
            let space = Code { code, x: Abs::ZERO, width: face.width(code) };
            self.content.glyphs(last.face.index(), last.size, last.paint, last.end, &[space]);
        }
    }
    fn end_words(&mut self, run: &TextRun, paint: Paint, at: Point) {
        let Open::Node(node) = self.open else { return };
        if run.text.is_empty() || !self.tagger.is_prose(node) {
            return;
        }
        let end = at + Point::new(run.width(), Abs::ZERO);
        let goes_on = ['-', '\u{AD}', '\u{2010}', '\u{2014}'];
        let parts = !run.text.ends_with(char::is_whitespace) && !run.text.ends_with(goes_on);
        self.last = Some(LastWords { node, face: run.face, size: run.size, paint, end, parts });
    }
    /// Shows the glyphs gathered so far. What a glyph says by itself depends on the whole file, and so does where spans part a
    /// run; where its glyphs stand does not, so that a page of a reprint is drawn as it is in a whole file.
    fn flush(&mut self, run: &TextRun, paint: Paint, at: Point) {
        let Some(first) = self.codes.first().map(|code| code.x) else { return };
        let start = self.start.unwrap_or(first);
        for code in &mut self.codes {
            code.x -= start;
        }
        if self.start.is_some() {
            self.content.more(&self.codes);
        } else {
            let at = at + Point::new(start, self.lift);
            self.content.glyphs(run.face.index(), run.size, paint, at, &self.codes);
            self.start = Some(start);
        }
        self.codes.clear();
    }
}

/// What copying gives for a cluster.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Says {
    /// What the face's map says.
    Itself,
    /// Something else, said by a span.
    Text,
    /// Nothing.
    Nothing,
}

/// A property list with replacement text (ISO 32000-1, 14.9.4).
fn actual_text(text: &str) -> Vec<u8> {
    let mut out = b"<</ActualText".to_vec();
    push_literal(&mut out, &text_bytes(text));
    out.extend_from_slice(b">>");
    out
}
