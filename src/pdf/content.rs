//! Operators of one content stream, written as bytes: the only place where y is turned upwards and numbers are rounded.
//!
//! Takes places in points from the upper left corner; gives a stream. Knows no frames. Source for every operator: ISO
//! 32000-1, annex A. Numbers are held in hundredths of a point, so nothing drifts and equal input gives equal bytes: half a
//! hundredth is a sixth of a dot of a 2400 dpi platesetter.

use super::operand::{push_fine, push_hundredths, push_literal_byte, push_whole};
use crate::geom::{Abs, Path, Point, Segment};

/// A number in hundredths. What is no number, or beyond a page, marks the stream as broken.
type Cent = i64;

/// Beyond this no page reaches: the largest page side is 14,400 points (ISO 32000-1, annex C).
const FAR: f64 = 1e6;

/// Twelve thousandths of a point, in hundred-thousandths: a glyph this near its place is not moved. It is less than half a
/// dot of a 2400 dpi platesetter, and it does not add up, since each glyph is measured from the start.
const UNSEEN: i64 = 1200;

/// A colour as this writer knows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Paint {
    /// Per cent of white: 0 is black, 100 is paper.
    White(u8),
    /// The spot ink, solid.
    Spot,
}

/// What the graphics state holds and we therefore need not say again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct State {
    fill: Paint,
    stroke: Paint,
    width: Cent,
    round: bool,
    dash: Option<(Cent, Cent)>,
    font: Option<(u16, Cent)>,
    overprint: bool,
}

impl State {
    /// The state at the start of a page (ISO 32000-1, table 52).
    const START: Self = Self {
        fill: Paint::White(0),
        stroke: Paint::White(0),
        width: 100,
        round: false,
        dash: None,
        font: None,
        overprint: false,
    };
}

/// One content stream in the making.
#[derive(Debug)]
pub(super) struct Content {
    out: Vec<u8>,
    height: f64,
    state: State,
    saved: Vec<State>,
    /// The start of the current text line while a text object is open.
    line: Option<(Cent, Cent)>,
    /// Where the last glyphs shown end while a text object is open: to the right in hundred-thousandths, and upwards.
    pen: Option<(i64, Cent)>,
    /// The em of the run that is being shown, and the pen in thousandths of it from the run's start.
    run: Option<(Cent, i64)>,
    /// What the stream ends in and where, as far as more of the same may join it.
    tail: Option<(Tail, usize)>,
    /// Whether black overprints the second ink, so that paper has to say that it knocks out.
    overprints: bool,
    broken: bool,
}

impl Content {
    /// An empty stream for a page of a height; `overprints` when black is to overprint a spot ink.
    /// The stream is written into `out`, which is emptied first.
    pub(super) fn new(height: Abs, overprints: bool, mut out: Vec<u8>) -> Self {
        out.clear();
        Self {
            out,
            height: height.to_pt(),
            state: State::START,
            saved: Vec::new(),
            line: None,
            pen: None,
            run: None,
            tail: None,
            overprints,
            broken: false,
        }
    }
    /// The bytes, and whether all numbers were numbers.
    pub(super) fn finish(mut self) -> (Vec<u8>, bool) {
        self.end_text();
        (self.out, !self.broken)
    }

    fn cent(&mut self, value: f64) -> Cent {
        if value.abs() < FAR {
            nearest(value * 100.0)
        } else {
            self.broken = true;
            0
        }
    }
    fn number(&mut self, value: Cent) {
        push_hundredths(&mut self.out, value);
        self.out.push(b' ');
    }
    fn op(&mut self, operator: &str) {
        self.out.extend_from_slice(operator.as_bytes());
        self.out.push(b'\n');
    }
    fn point(&mut self, at: Point) {
        let (x, y) = self.place(at);
        self.number(x);
        self.number(y);
    }
    fn place(&mut self, at: Point) -> (Cent, Cent) {
        let height = self.height;
        (self.cent(at.x.to_pt()), self.cent(height - at.y.to_pt()))
    }

    /// Saves the state and sets a matrix that carries a page of `inner` height, scaled and perhaps turned, to the place
    /// of its lower left corner in this stream's own system; [`Content::leave`] undoes it.
    pub(super) fn enter(&mut self, matrix: [f64; 6], inner: Abs) -> Abs {
        self.end_text();
        self.op("q");
        self.saved.push(self.state);
        for value in matrix {
            self.broken |= value.is_nan() || value.abs() >= FAR;
            push_fine(&mut self.out, value);
            self.out.push(b' ');
        }
        self.op("cm");
        let outer = Abs::pt(self.height);
        self.height = inner.to_pt();
        outer
    }
    /// Saves the state and clips to a rectangle.
    pub(super) fn clip(&mut self, corner: Point, opposite: Point) {
        self.end_text();
        self.op("q");
        self.saved.push(self.state);
        self.rectangle(corner, opposite);
        self.op("re W n");
    }
    /// Undoes the last [`Content::clip`].
    pub(super) fn unclip(&mut self) {
        self.end_text();
        self.op("Q");
        self.state = self.saved.pop().expect("each restore follows its save");
    }
    /// Undoes [`Content::enter`], given what it gave.
    pub(super) fn leave(&mut self, outer: Abs) {
        self.unclip();
        self.height = outer.to_pt();
    }
    fn rectangle(&mut self, corner: Point, opposite: Point) {
        let (x0, y0) = self.place(corner);
        let (x1, y1) = self.place(opposite);
        for value in [x0.min(x1), y0.min(y1), (x1 - x0).abs(), (y1 - y0).abs()] {
            self.number(value);
        }
    }

    /// Opens marked content with properties already written as a dictionary or name; `None` for none.
    pub(super) fn begin_marked(&mut self, tag: &str, properties: Option<&[u8]>) {
        self.end_text();
        self.marked(tag, properties);
    }
    fn marked(&mut self, tag: &str, properties: Option<&[u8]>) {
        self.out.push(b'/');
        self.out.extend_from_slice(tag.as_bytes());
        match properties {
            Some(properties) => {
                self.out.extend_from_slice(properties);
                self.op("BDC");
            }
            None => self.op(" BMC"),
        }
    }
    /// Closes marked content.
    pub(super) fn end_marked(&mut self) {
        self.end_text();
        self.op("EMC");
    }

    /// Fills or strokes a path at a place.
    pub(super) fn path(&mut self, at: Point, path: &Path, fill: Option<Paint>, stroke: Option<Pen>) {
        if path.segments.is_empty() || (fill.is_none() && stroke.is_none()) {
            return;
        }
        self.end_text();
        if let Some(paint) = fill {
            self.fill(paint);
        }
        if let Some(pen) = stroke {
            self.pen(pen);
        }
        let rectangle = as_rectangle(path);
        let tail = match (fill, stroke) {
            (Some(_), None) if rectangle.is_some() => Some(Tail::Rectangles),
            (None, Some(_)) => Some(Tail::Strokes),
            _ => None,
        };
        // Rectangles all run the same way round, so those of one ink may be filled together; so may lines of one pen be
        // stroked.
        if tail.is_some_and(|tail| self.tail == Some((tail, self.out.len()))) {
            self.out.truncate(self.out.len() - 2);
        }
        if let Some((corner, opposite)) = rectangle {
            self.rectangle(at + corner, at + opposite);
            self.op("re");
        } else {
            for segment in &path.segments {
                match *segment {
                    Segment::Move(p) => {
                        self.point(at + p);
                        self.op("m");
                    }
                    Segment::Line(p) => {
                        self.point(at + p);
                        self.op("l");
                    }
                    Segment::Cubic(a, b, c) => {
                        self.point(at + a);
                        self.point(at + b);
                        self.point(at + c);
                        self.op("c");
                    }
                    // A fill closes what is open (8.5.3.3.1).
                    Segment::Close if stroke.is_none() => {}
                    Segment::Close => self.op("h"),
                }
            }
        }
        self.op(match (fill.is_some(), stroke.is_some()) {
            (true, true) => "B",
            (true, false) => "f",
            _ => "S",
        });
        self.tail = tail.map(|tail| (tail, self.out.len()));
    }
    fn fill(&mut self, paint: Paint) {
        self.knock_out(paint);
        if self.state.fill != paint {
            self.state.fill = paint;
            self.colour(paint, "g", "cs", "scn");
        }
    }
    fn pen(&mut self, pen: Pen) {
        self.knock_out(pen.paint);
        if self.state.stroke != pen.paint {
            self.state.stroke = pen.paint;
            self.colour(pen.paint, "G", "CS", "SCN");
        }
        let width = self.cent(pen.width.to_pt());
        if self.state.width != width {
            self.state.width = width;
            self.number(width);
            self.op("w");
        }
        if self.state.round != pen.round {
            self.state.round = pen.round;
            self.op(if pen.round { "1 J 1 j" } else { "0 J 0 j" });
        }
        let dash = pen.dash.map(|(on, off)| (self.cent(on.to_pt()).max(0), self.cent(off.to_pt()).max(0)));
        // A dash of nothing at all is an error in the standard; it is a plain line.
        let dash = dash.filter(|(on, off)| on + off > 0);
        if self.state.dash != dash {
            self.state.dash = dash;
            match dash {
                Some((on, off)) => {
                    self.out.push(b'[');
                    self.number(on);
                    push_hundredths(&mut self.out, off);
                    self.op("] 0 d");
                }
                None => self.op("[] 0 d"),
            }
        }
    }
    fn colour(&mut self, paint: Paint, grey: &str, space: &str, tint: &str) {
        match paint {
            Paint::White(percent) => {
                self.number(Cent::from(percent.min(100)));
                self.op(grey);
            }
            Paint::Spot => {
                self.op(&format!("/Spot {space} 1 {tint}"));
            }
        }
    }
    /// Black and greys overprint the second ink, paper covers it.
    fn knock_out(&mut self, paint: Paint) {
        let over = self.overprints && paint != Paint::White(100);
        if self.overprints && self.state.overprint != over {
            self.state.overprint = over;
            self.op(if over { "/Over gs" } else { "/Cover gs" });
        }
    }

    /// Draws an image resource into a rectangle.
    pub(super) fn image(&mut self, name: &str, corner: Point, opposite: Point) {
        self.end_text();
        self.knock_out(Paint::White(0));
        let (x0, y0) = self.place(corner);
        let (x1, y1) = self.place(opposite);
        self.op("q");
        for value in [x1 - x0, 0, 0, y0 - y1, x0, y1] {
            self.number(value);
        }
        self.op("cm");
        self.op(&format!("/{name} Do"));
        self.op("Q");
    }

    /// Shows glyphs from a baseline place. `codes` are the codes in the embedded face, each with its place to the right
    /// of the start and the width that the file states for it, in thousandths of an em.
    pub(super) fn glyphs(&mut self, face: u16, size: Abs, paint: Paint, at: Point, codes: &[Code]) {
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
            self.op("Tf");
        }
        // Where the last glyphs ended nothing needs moving.
        let ends_here = self.pen.is_some_and(|(pen, line)| line == y && (pen - x * 1000).abs() <= UNSEEN);
        if !ends_here {
            let (from_x, from_y) = self.line.unwrap_or((0, 0));
            self.number(x - from_x);
            self.number(y - from_y);
            self.op("Td");
            self.line = Some((x, y));
            self.pen = Some((x * 1000, y));
        }
        self.run = Some((em, 0));
        self.more(codes);
    }
    /// Shows more glyphs of the run that [`Content::glyphs`] began, their places counted from its start: where marked content
    /// parts a run, nothing moves.
    pub(super) fn more(&mut self, codes: &[Code]) {
        let Some((em, from)) = self.run else { return };
        let to = self.show(em, from, codes);
        self.run = Some((em, to));
        self.pen = self.pen.map(|(pen, line)| (pen + (to - from).saturating_mul(em), line));
    }
    /// Opens a text object unless one is open.
    fn begin_text(&mut self) {
        if self.line.is_none() {
            self.op("BT");
            self.line = Some((0, 0));
        }
    }
    /// Opens marked content inside a text object, for glyphs alone: the next thing after the glyphs has to be
    /// [`Content::end_span`].
    pub(super) fn begin_span(&mut self, tag: &str, properties: &[u8]) {
        self.begin_text();
        self.marked(tag, Some(properties));
    }
    /// Closes [`Content::begin_span`].
    pub(super) fn end_span(&mut self) {
        self.op("EMC");
    }
    /// Shows codes with the pen at a place of the run, in thousandths of an em; gives where it ends.
    fn show(&mut self, em: Cent, mut pen: i64, codes: &[Code]) -> i64 {
        // The pen as the reader of the file will reckon it.
        let scale = 1e5 / f64_of(em);
        let mut adjusted = false;
        let mark = self.out.len();
        self.out.push(b'(');
        for code in codes {
            let wanted = if code.x.to_pt().abs() < FAR {
                nearest(code.x.to_pt() * scale)
            } else {
                self.broken = true;
                pen
            };
            let apart = wanted - pen;
            if apart.saturating_mul(em).abs() > UNSEEN {
                self.out.push(b')');
                push_whole(&mut self.out, -apart);
                self.out.push(b'(');
                pen = wanted;
                adjusted = true;
            }
            for byte in code.code.to_be_bytes() {
                push_literal_byte(&mut self.out, byte);
            }
            pen += i64::from(code.width);
        }
        self.out.push(b')');
        if adjusted {
            self.out.insert(mark, b'[');
            self.out.push(b']');
            self.op("TJ");
        } else {
            self.op("Tj");
        }
        pen
    }
    fn end_text(&mut self) {
        if self.line.take().is_some() {
            (self.pen, self.run) = (None, None);
            self.op("ET");
        }
    }
}

/// What a stream may end in that more of the same may join.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Tail {
    /// Filled rectangles.
    Rectangles,
    /// Stroked lines.
    Strokes,
}

/// One glyph to show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Code {
    /// Its code in the embedded face.
    pub(super) code: u16,
    /// Its place to the right of the start.
    pub(super) x: Abs,
    /// The width stated in the file, in thousandths of an em.
    pub(super) width: i32,
}

/// How a path is stroked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Pen {
    /// Line width.
    pub(super) width: Abs,
    /// Colour.
    pub(super) paint: Paint,
    /// Round ends and joins, else butt and mitre.
    pub(super) round: bool,
    /// Dash and gap.
    pub(super) dash: Option<(Abs, Abs)>,
}

/// The nearest whole number, halves away from zero; a call to the library's `round` costs more than the rest of a number.
fn nearest(value: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "places on a page, in thousandths")]
    let whole = (value + 0.5_f64.copysign(value)) as i64;
    whole
}

fn f64_of(cent: Cent) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "below a thousand million, exact in a float")]
    let value = cent as f64;
    value
}

/// The corners of a path that is an upright rectangle as [`Path::rect`] makes it.
fn as_rectangle(path: &Path) -> Option<(Point, Point)> {
    let [Segment::Move(a), Segment::Line(b), Segment::Line(c), Segment::Line(d), Segment::Close] = path.segments[..]
    else {
        return None;
    };
    (a.y == b.y && b.x == c.x && c.y == d.y && d.x == a.x).then_some((a, c))
}

#[cfg(test)]
mod tests;
