//! Frames into grey pictures: glyphs and paths filled by nonzero winding, exact along a line, four lines a pixel. No hinting, no
//! gamma, no font but the program's own: the same frame gives the same picture everywhere.

use boxwright::font::Fonts;
use boxwright::frame::{Frame, Ink, Item, Shape, Stroke};
use boxwright::geom::{Path, Point, Segment};

/// Lines a pixel.
const LINES: usize = 4;
/// Straight pieces a curve.
const PIECES: u32 = 8;

type Spot = (f64, f64);

/// Grey levels, row by row, 0 black.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Pixels across.
    pub width: usize,
    /// Pixels down.
    pub height: usize,
    /// Levels.
    pub grey: Vec<u8>,
}

/// Paints a frame at so many pixels a point, shifted right by `shift` pixels, with a margin of four pixels.
pub fn paint(frame: &Frame, fonts: &Fonts, scale: f64, shift: f64) -> Picture {
    let pixels = |points: f64| (points * scale).ceil().clamp(1.0, 4000.0) as usize + 8;
    let (width, height) = (pixels(frame.size.width.raw()), pixels(frame.size.height.raw()));
    let mut painter = Painter { fonts, scale, width, height, levels: vec![255.0; width * height] };
    painter.frame(frame, (4.0 + shift, 4.0));
    Picture { width, height, grey: painter.levels.iter().map(|level| level.round() as u8).collect() }
}

struct Painter<'a> {
    fonts: &'a Fonts,
    scale: f64,
    width: usize,
    height: usize,
    levels: Vec<f64>,
}

impl Painter<'_> {
    /// Items at `origin`, in pixels.
    fn frame(&mut self, frame: &Frame, origin: Spot) {
        for (at, item) in frame.items() {
            let here = (origin.0 + at.x.raw() * self.scale, origin.1 + at.y.raw() * self.scale);
            match item {
                Item::Group(group) => self.frame(&group.frame, here),
                Item::Shape(shape) => self.shape(shape, here),
                Item::Stamp(shape) => self.shape(shape, here),
                Item::Rect(rect, ink) => self.shape(&Shape::filled(*rect, *ink), here),
                Item::Text(run) => {
                    for glyph in run.glyphs.iter() {
                        let size = run.size.raw() * self.scale;
                        let pen = (here.0 + glyph.x.raw() * self.scale, here.1 + glyph.y.raw() * self.scale);
                        let outline = self.fonts.outline(run.face, glyph.id);
                        let lines = lines(&outline, |x, y| (pen.0 + x * size, pen.1 - y * size));
                        self.fill(&[lines], run.ink);
                    }
                }
                Item::Image(_) | Item::Drawing(_) | Item::Anchor(_) => {}
            }
        }
    }

    fn shape(&mut self, shape: &Shape, here: Spot) {
        let lines = lines(&shape.path, |x, y| (here.0 + x * self.scale, here.1 + y * self.scale));
        if let Some(ink) = shape.fill {
            self.fill(std::slice::from_ref(&lines), ink);
        }
        if let Some(stroke) = &shape.stroke {
            let strips = lines.iter().flat_map(|line| strips(line, stroke, self.scale)).map(|strip| vec![strip]);
            self.fill(&strips.collect::<Vec<_>>(), stroke.ink);
        }
    }

    /// Fills areas, each a set of contours; where they overlap, ink is not doubled.
    fn fill(&mut self, areas: &[Vec<Vec<Spot>>], ink: Ink) {
        let rows = areas.iter().map(|area| extent(area, self.height));
        let Some((top, bottom)) = rows.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))) else { return };
        let mut cover = vec![0.0_f64; (bottom - top) * self.width];
        for area in areas {
            let (first, last) = extent(area, self.height);
            let mut own = vec![0.0_f64; (last - first) * self.width];
            for line in first * LINES..last * LINES {
                let y = (line as f64 + 0.5) / LINES as f64;
                let row = (line / LINES - first) * self.width;
                spans(area, y, |from, to| spread(&mut own[row..row + self.width], from, to));
            }
            for (all, one) in cover[(first - top) * self.width..].iter_mut().zip(&own) {
                *all = all.max(one.min(1.0));
            }
        }
        let level = match ink {
            Ink::Black | Ink::Second => 0.0,
            Ink::Grey(percent) => 255.0 * (1.0 - f64::from(percent) / 100.0),
            Ink::Paper => 255.0,
        };
        for (pixel, cover) in self.levels[top * self.width..].iter_mut().zip(cover) {
            *pixel += (level - *pixel) * cover;
        }
    }
}

/// Rows that an area touches.
fn extent(area: &[Vec<Spot>], height: usize) -> (usize, usize) {
    let ys = || area.iter().flatten().map(|spot| spot.1);
    let (low, high) = (ys().fold(f64::INFINITY, f64::min), ys().fold(f64::NEG_INFINITY, f64::max));
    let row = |y: f64| y.clamp(0.0, height as f64) as usize;
    (row(low.floor()), row(high.ceil()).max(row(low.floor())))
}

/// The stretches of a line at `y` that lie inside (nonzero winding).
fn spans(area: &[Vec<Spot>], y: f64, mut put: impl FnMut(f64, f64)) {
    let mut crossings: Vec<(f64, i32)> = Vec::new();
    for contour in area {
        for (n, a) in contour.iter().enumerate() {
            let b = contour[(n + 1) % contour.len()];
            if (a.1 <= y) != (b.1 <= y) {
                let x = a.0 + (b.0 - a.0) * (y - a.1) / (b.1 - a.1);
                crossings.push((x, if b.1 > a.1 { 1 } else { -1 }));
            }
        }
    }
    crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut winding = 0;
    for pair in crossings.windows(2) {
        winding += pair[0].1;
        if winding != 0 {
            put(pair[0].0, pair[1].0);
        }
    }
}

/// Adds one line's stretch to a row of pixels, by how much of each it covers.
fn spread(row: &mut [f64], from: f64, to: f64) {
    let first = from.max(0.0) as usize;
    for (x, pixel) in row.iter_mut().enumerate().skip(first).take_while(|(x, _)| (*x as f64) < to) {
        let covered = to.min(x as f64 + 1.0) - from.max(x as f64);
        *pixel += covered.max(0.0) / LINES as f64;
    }
}

/// Contours of a path as straight pieces.
fn lines<U: Copy + PartialEq>(path: &Path<U>, place: impl Fn(f64, f64) -> Spot) -> Vec<Vec<Spot>> {
    let mut all: Vec<Vec<Spot>> = Vec::new();
    let at = |p: Point<U>| place(p.x.raw(), p.y.raw());
    for segment in &path.segments {
        match *segment {
            Segment::Move(p) => all.push(vec![at(p)]),
            Segment::Line(p) => all.last_mut().expect("a contour begins with a move").push(at(p)),
            Segment::Cubic(a, b, c) => {
                let (a, b, c) = (at(a), at(b), at(c));
                let contour = all.last_mut().expect("a contour begins with a move");
                let s = *contour.last().expect("a contour has a point");
                for n in 1..=PIECES {
                    let t = f64::from(n) / f64::from(PIECES);
                    let u = 1.0 - t;
                    let w = [u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t];
                    contour.push((
                        w[0] * s.0 + w[1] * a.0 + w[2] * b.0 + w[3] * c.0,
                        w[0] * s.1 + w[1] * a.1 + w[2] * b.1 + w[3] * c.1,
                    ));
                }
            }
            Segment::Close => {
                let contour = all.last_mut().expect("a contour begins with a move");
                let first = contour[0];
                contour.push(first);
            }
        }
    }
    all
}

/// A line as strips as wide as its stroke, one a straight piece or dash.
fn strips(line: &[Spot], stroke: &Stroke, scale: f64) -> Vec<Vec<Spot>> {
    let half = stroke.width.raw() * scale / 2.0;
    let mut all = Vec::new();
    let mut gone = 0.0;
    for pair in line.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let length = dx.hypot(dy);
        if length < 1e-9 {
            continue;
        }
        let (along, across) = ((dx / length, dy / length), (-dy / length * half, dx / length * half));
        let mut strip = |from: f64, to: f64| {
            let (p, q) = ((a.0 + along.0 * from, a.1 + along.1 * from), (a.0 + along.0 * to, a.1 + along.1 * to));
            all.push(vec![
                (p.0 + across.0, p.1 + across.1),
                (q.0 + across.0, q.1 + across.1),
                (q.0 - across.0, q.1 - across.1),
                (p.0 - across.0, p.1 - across.1),
            ]);
        };
        match stroke.dash {
            None => strip(0.0, length),
            Some((dash, gap)) => {
                let (dash, step) = (dash.raw() * scale, (dash.raw() + gap.raw()) * scale);
                let mut from = -(gone % step);
                while from < length {
                    if from + dash > 0.0 {
                        strip(from.max(0.0), (from + dash).min(length));
                    }
                    from += step;
                }
            }
        }
        gone += length;
    }
    all
}
