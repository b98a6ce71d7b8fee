//! Operators of one content stream, written as bytes: the only place where y is turned upwards and numbers are rounded.
//!
//! Takes places in points from the upper left corner; gives a stream. Knows no frames. Source for every operator: ISO
//! 32000-1, annex A. Numbers are held in hundredths of a point, so nothing drifts and equal input gives equal bytes: half a
//! hundredth is a sixth of a dot of a 2400 dpi platesetter.

mod text;

pub(super) use text::Code;

use super::operand::{push_fine, push_hundredths, push_whole};
use super::stamps::RESOURCE;
use crate::geom::{Abs, Path, Point, Segment};

/// A number in hundredths. What is no number, or beyond a page, marks the stream as broken.
type Cent = i64;

/// Beyond this no page reaches: the largest page side is 14,400 points (ISO 32000-1, annex C).
const FAR: f64 = 1e6;

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
    /// The operator that last showed glyphs.
    shown: Option<text::Shown>,
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
            shown: None,
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
    #[inline]
    fn number(&mut self, value: Cent) {
        push_hundredths(&mut self.out, value);
    }
    /// Writes an operator, with the end of its line.
    #[inline]
    fn op(&mut self, operator: &[u8]) {
        self.out.extend_from_slice(operator);
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
        self.op(b"q\n");
        self.saved.push(self.state);
        for value in matrix {
            self.broken |= value.is_nan() || value.abs() >= FAR;
            push_fine(&mut self.out, value);
            self.out.push(b' ');
        }
        self.op(b"cm\n");
        let outer = Abs::pt(self.height);
        self.height = inner.to_pt();
        outer
    }
    /// Saves the state and clips to a rectangle.
    pub(super) fn clip(&mut self, corner: Point, opposite: Point) {
        self.end_text();
        self.op(b"q\n");
        self.saved.push(self.state);
        self.rectangle(corner, opposite);
        self.op(b"re W n\n");
    }
    /// Undoes the last [`Content::clip`].
    pub(super) fn unclip(&mut self) {
        self.end_text();
        self.op(b"Q\n");
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
    /// Opens marked content of a number.
    pub(super) fn begin_numbered(&mut self, tag: &str, number: i64) {
        self.end_text();
        self.op(b"/");
        self.op(tag.as_bytes());
        self.op(b"<</MCID ");
        push_whole(&mut self.out, number);
        self.op(b">>BDC\n");
    }
    fn marked(&mut self, tag: &str, properties: Option<&[u8]>) {
        self.out.push(b'/');
        self.out.extend_from_slice(tag.as_bytes());
        match properties {
            Some(properties) => {
                self.out.extend_from_slice(properties);
                self.op(b"BDC\n");
            }
            None => self.op(b" BMC\n"),
        }
    }
    /// Closes marked content.
    pub(super) fn end_marked(&mut self) {
        self.end_text();
        self.op(b"EMC\n");
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
        self.join(tail);
        if let Some((corner, opposite)) = rectangle {
            self.rectangle(at + corner, at + opposite);
            self.op(b"re\n");
        } else {
            // A fill closes what is open (8.5.3.3.1).
            self.segments(at, path, stroke.is_some());
        }
        self.op(match (fill.is_some(), stroke.is_some()) {
            (true, true) => b"B\n",
            (true, false) => b"f\n",
            _ => b"S\n",
        });
        self.tail = tail.map(|tail| (tail, self.out.len()));
    }
    fn segments(&mut self, at: Point, path: &Path, closing: bool) {
        for segment in &path.segments {
            match *segment {
                Segment::Move(p) => {
                    self.point(at + p);
                    self.op(b"m\n");
                }
                Segment::Line(p) => {
                    self.point(at + p);
                    self.op(b"l\n");
                }
                Segment::Cubic(a, b, c) => {
                    self.point(at + a);
                    self.point(at + b);
                    self.point(at + c);
                    self.op(b"c\n");
                }
                Segment::Close if closing => self.op(b"h\n"),
                Segment::Close => {}
            }
        }
    }
    /// Fills a path at a place, by the even-odd rule if that is asked for.
    pub(super) fn area(&mut self, at: Point, path: &Path, paint: Paint, even_odd: bool) {
        if !even_odd {
            return self.path(at, path, Some(paint), None);
        }
        if path.segments.is_empty() {
            return;
        }
        self.end_text();
        self.fill(paint);
        self.segments(at, path, false);
        self.op(b"f*\n");
    }
    /// Saves the state and clips to a path at a place, until the next [`Content::unclip`].
    pub(super) fn clip_to(&mut self, at: Point, path: &Path, even_odd: bool) {
        self.end_text();
        self.op(b"q\n");
        self.saved.push(self.state);
        self.segments(at, path, false);
        // A path of nothing would leave the clip as it was; all is outside of it.
        if path.segments.is_empty() {
            self.rectangle(at, at);
            self.op(b"re\n");
        }
        self.op(if even_odd { b"W* n\n" } else { b"W n\n" });
    }
    /// Fills an upright rectangle between two opposite corners.
    pub(super) fn bar(&mut self, corner: Point, opposite: Point, paint: Paint) {
        self.end_text();
        self.fill(paint);
        self.join(Some(Tail::Rectangles));
        self.rectangle(corner, opposite);
        self.op(b"re\n");
        self.op(b"f\n");
        self.tail = Some((Tail::Rectangles, self.out.len()));
    }
    /// Rectangles all run the same way round, so those of one ink may be filled together; so may lines of one pen be stroked:
    /// takes back the operator that the stream ends in where more of the same may join.
    fn join(&mut self, tail: Option<Tail>) {
        if tail.is_some_and(|tail| self.tail == Some((tail, self.out.len()))) {
            self.out.truncate(self.out.len() - 2);
        }
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
            self.op(b"w\n");
        }
        if self.state.round != pen.round {
            self.state.round = pen.round;
            self.op(if pen.round { b"1 J 1 j\n" } else { b"0 J 0 j\n" });
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
                    self.number(off);
                    self.out.pop();
                    self.op(b"] 0 d\n");
                }
                None => self.op(b"[] 0 d\n"),
            }
        }
    }
    fn colour(&mut self, paint: Paint, grey: &str, space: &str, tint: &str) {
        match paint {
            Paint::White(percent) => {
                self.number(Cent::from(percent.min(100)));
                self.op(grey.as_bytes());
                self.op(b"\n");
            }
            Paint::Spot => {
                self.op(format!("/Spot {space} 1 {tint}\n").as_bytes());
            }
        }
    }
    /// Black and greys overprint the second ink, paper covers it.
    fn knock_out(&mut self, paint: Paint) {
        let over = self.overprints && paint != Paint::White(100);
        if self.overprints && self.state.overprint != over {
            self.state.overprint = over;
            self.op(if over { b"/Over gs\n" } else { b"/Cover gs\n" });
        }
    }

    /// Draws a form resource of an index with its origin at a place, in an ink and with a pen.
    pub(super) fn form(&mut self, index: usize, at: Point, fill: Option<Paint>, stroke: Option<Pen>) {
        self.end_text();
        if let Some(paint) = fill {
            self.fill(paint);
        }
        if let Some(pen) = stroke {
            self.pen(pen);
        }
        self.op(b"q 1 0 0 1 ");
        self.point(at);
        self.op(b"cm/");
        self.op(RESOURCE.as_bytes());
        push_whole(&mut self.out, i64::try_from(index).unwrap_or(i64::MAX));
        self.op(b" Do Q\n");
    }

    /// Draws an image resource into a rectangle.
    pub(super) fn image(&mut self, name: &str, corner: Point, opposite: Point) {
        self.end_text();
        self.knock_out(Paint::White(0));
        let (x0, y0) = self.place(corner);
        let (x1, y1) = self.place(opposite);
        self.op(b"q\n");
        for value in [x1 - x0, 0, 0, y0 - y1, x0, y1] {
            self.number(value);
        }
        self.op(b"cm\n");
        self.op(format!("/{name} Do\n").as_bytes());
        self.op(b"Q\n");
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
