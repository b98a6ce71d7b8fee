//! Noteheads whose shape tells the row: the font's oval, and our own square, triangle and diamond.
//!
//! Takes a shape and a note value, gives the ink in staff spaces with its stem anchors: origin at the head's left edge on the
//! staff position, y upwards. The drawn heads stand 0.1 to 0.15 of a space over the neighbouring lines, so that a square does
//! not drown between two staff lines, and are about as heavy as the oval. Sizes are our own, judged on the printed page.

use crate::font::{Anchor, Fonts};
use crate::geom::{Path, Point, Rect, Segment, Sp, Space};
use crate::style::HeadShape;

/// Half the height of a drawn head: a head between two lines stands 0.1 over each line's centre.
const HALF_HEIGHT: f64 = 0.6;
/// Thickness of hollow heads' strokes.
const STROKE: f64 = 0.2;
/// Rounding of drawn corners: keeps photocopied corners from fraying.
const ROUND: f64 = 0.1;
/// Widths of filled and half heads.
const SQUARE_WIDTH: f64 = 1.04;
const TRIANGLE_WIDTH: f64 = 1.42;
const DIAMOND_WIDTH: f64 = 1.36;
/// Whole notes are wider than halves by this factor.
const WHOLE: f64 = 1.4;
/// Half the height of drawn heads a third apart on one side of a stem: white stays between them, and between the strokes of
/// hollow ones.
const CLOSE: f64 = 0.43;
const CLOSE_STROKE: f64 = 0.16;

/// What the outlines of hollow heads gain, in height, width and stroke, for each time that lines are thicker by their normal
/// thickness: between thick lines a hollow square of the normal size is two short uprights and nothing else.
const THICKER: [f64; 3] = [0.18, 0.2, 0.16];
/// Lines this much thicker and more count alike.
const THICKEST: f64 = 2.5;

/// What a head is drawn with.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum HeadInk {
    /// A glyph of the music font, by its SMuFL name.
    Glyph(&'static str),
    /// A path filled by nonzero winding.
    Path(Path<Space>),
}

/// A notehead at its own origin.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Head {
    /// From the origin to its right edge.
    pub(crate) width: Sp,
    /// Bottom right corner of an up-stem.
    pub(crate) stem_up: Point<Space>,
    /// Top left corner of a down-stem.
    pub(crate) stem_down: Point<Space>,
    /// The ink.
    pub(crate) ink: HeadInk,
    /// The box of its ink.
    pub(crate) bounds: Rect<Space>,
}

/// The head of a shape for a note of `halvings` (0 whole, 1 half, 2 and more filled, below 0 a breve) among lines `lines`
/// times as thick as normal ones.
pub(crate) fn head(shape: HeadShape, halvings: i8, lines: f64, fonts: &Fonts) -> Head {
    match shape {
        HeadShape::Oval => {
            glyph(fonts, ["noteheadDoubleWhole", "noteheadWhole", "noteheadHalf", "noteheadBlack"], halvings)
        }
        HeadShape::Cross => {
            glyph(fonts, ["noteheadXDoubleWhole", "noteheadXWhole", "noteheadXHalf", "noteheadXBlack"], halvings)
        }
        HeadShape::Square => square(HALF_HEIGHT, Outline::of(halvings, lines, STROKE), halvings),
        // The base hangs a little lower than the point rises: a triangle looks high when it is centred.
        HeadShape::Triangle => triangle(-0.6, 0.74, Outline::of(halvings, lines, STROKE), halvings),
        HeadShape::Diamond => diamond(HALF_HEIGHT + 0.06, Outline::of(halvings, lines, STROKE), halvings),
    }
}

/// The head for a chord in which another head stands a third away on the same side of the stem: drawn heads are flatter
/// there, so that they do not grow together to a ladder.
pub(crate) fn close_head(shape: HeadShape, halvings: i8, lines: f64, fonts: &Fonts) -> Head {
    let outline = Outline { higher: 0.0, ..Outline::of(halvings, lines, CLOSE_STROKE) };
    match shape {
        HeadShape::Oval | HeadShape::Cross => head(shape, halvings, lines, fonts),
        HeadShape::Square => square(CLOSE, outline, halvings),
        HeadShape::Triangle => triangle(-CLOSE, CLOSE + 0.04, outline, halvings),
        HeadShape::Diamond => diamond(CLOSE + 0.03, outline, halvings),
    }
}

/// What a drawn head has beyond its normal size, and its stroke.
#[derive(Debug, Clone, Copy)]
struct Outline {
    higher: f64,
    wider: f64,
    stroke: f64,
}

impl Outline {
    /// Only hollow heads are larger among thick lines: filled ones do not drown.
    fn of(halvings: i8, lines: f64, stroke: f64) -> Self {
        let over = if halvings < 2 { (lines.min(THICKEST) - 1.0).max(0.0) } else { 0.0 };
        Self { higher: THICKER[0] * over, wider: THICKER[1] * over, stroke: stroke + THICKER[2] * over }
    }
}

fn square(h: f64, outline: Outline, halvings: i8) -> Head {
    let (w, h) = (width(SQUARE_WIDTH + outline.wider, halvings), h + outline.higher);
    drawn(&[(0.0, -h), (w, -h), (w, h), (0.0, h)], outline.stroke, halvings, 0.0)
}

fn triangle(base: f64, point: f64, outline: Outline, halvings: i8) -> Head {
    let w = width(TRIANGLE_WIDTH + outline.wider, halvings);
    let (base, point) = (base - outline.higher, point + outline.higher);
    drawn(&[(0.0, base), (w, base), (w / 2.0, point)], outline.stroke, halvings, base + 0.1)
}

fn diamond(h: f64, outline: Outline, halvings: i8) -> Head {
    let (w, h) = (width(DIAMOND_WIDTH + outline.wider, halvings), h + outline.higher);
    drawn(&[(w / 2.0, -h), (w, 0.0), (w / 2.0, h), (0.0, 0.0)], outline.stroke, halvings, 0.0)
}

fn width(black: f64, halvings: i8) -> f64 {
    if halvings <= 0 { black * WHOLE } else { black }
}

fn glyph(fonts: &Fonts, names: [&'static str; 4], halvings: i8) -> Head {
    let name = match halvings {
        h if h < 0 => names[0],
        0 => names[1],
        1 => names[2],
        _ => names[3],
    };
    let glyph = fonts.music().glyph(name);
    let right = Point::new(glyph.ink.max.x, Sp::ZERO);
    Head {
        width: glyph.ink.max.x,
        stem_up: glyph.anchor(Anchor::StemUpSE).unwrap_or(right),
        stem_down: glyph.anchor(Anchor::StemDownNW).unwrap_or_default(),
        ink: HeadInk::Glyph(name),
        bounds: glyph.ink,
    }
}

/// A convex head through `corners` (counter-clockwise), filled or hollow by its value; stems start at height `stem`.
fn drawn(corners: &[(f64, f64)], stroke: f64, halvings: i8, stem: f64) -> Head {
    let mut path = rounded(corners, ROUND);
    if halvings < 2 {
        // The hole runs the other way round, so that nonzero winding leaves it open.
        let mut hole = inset(corners, stroke);
        hole.reverse();
        path.segments.extend(rounded(&hole, ROUND / 2.0).segments);
    }
    if halvings < 0 {
        // A breve: the whole note between two upright strokes.
        let right = corners.iter().map(|c| c.0).fold(0.0, f64::max);
        for x in [-0.3, right + 0.14] {
            path.segments.extend(rounded(&[(x, -0.72), (x + 0.16, -0.72), (x + 0.16, 0.72), (x, 0.72)], 0.0).segments);
        }
    }
    let bounds = path.ink().unwrap_or_default();
    let right = corners.iter().map(|c| c.0).fold(0.0, f64::max);
    let at = |x: f64, y: f64| Point::new(Sp::sp(x), Sp::sp(y));
    Head { width: Sp::sp(right), stem_up: at(right, stem), stem_down: at(0.0, stem), ink: HeadInk::Path(path), bounds }
}

/// A polygon with its corners rounded by `radius` along each edge.
fn rounded(corners: &[(f64, f64)], radius: f64) -> Path<Space> {
    let at = |(x, y): (f64, f64)| Point::new(Sp::sp(x), Sp::sp(y));
    let toward = |from: (f64, f64), to: (f64, f64)| {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = dx.hypot(dy).max(1e-9);
        let step = radius.min(length / 2.0) / length;
        (from.0 + dx * step, from.1 + dy * step)
    };
    let count = corners.len();
    let mut segments = Vec::with_capacity(count * 2 + 2);
    for (i, corner) in corners.iter().enumerate() {
        let before = toward(*corner, corners[(i + count - 1) % count]);
        let after = toward(*corner, corners[(i + 1) % count]);
        segments.push(if i == 0 { Segment::Move(at(before)) } else { Segment::Line(at(before)) });
        // Control points halfway to the corner: close to a circle for right angles, softer for sharp ones.
        let pull = |p: (f64, f64)| ((p.0 + corner.0) / 2.0, (p.1 + corner.1) / 2.0);
        segments.push(Segment::Cubic(at(pull(before)), at(pull(after)), at(after)));
    }
    segments.push(Segment::Close);
    Path { segments }
}

/// The polygon moved inwards by `by` along each edge's normal. Corners run counter-clockwise.
fn inset(corners: &[(f64, f64)], by: f64) -> Vec<(f64, f64)> {
    let count = corners.len();
    let line = |i: usize| {
        let (a, b) = (corners[i], corners[(i + 1) % count]);
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let length = dx.hypot(dy).max(1e-9);
        // Inward normal of a counter-clockwise edge.
        let normal = (-dy / length, dx / length);
        ((a.0 + normal.0 * by, a.1 + normal.1 * by), (dx, dy))
    };
    (0..count)
        .map(|i| {
            let ((p, d), (q, e)) = (line((i + count - 1) % count), line(i));
            let cross = d.0 * e.1 - d.1 * e.0;
            let t = ((q.0 - p.0) * e.1 - (q.1 - p.1) * e.0) / if cross.abs() < 1e-9 { 1.0 } else { cross };
            (p.0 + d.0 * t, p.1 + d.1 * t)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn drawn_heads_stand_over_the_lines_and_wholes_are_wider() {
        let fonts = Fonts::embedded();
        for shape in [HeadShape::Square, HeadShape::Triangle, HeadShape::Diamond] {
            let black = head(shape, 2, 1.0, &fonts);
            let whole = head(shape, 0, 1.0, &fonts);
            assert!(
                black.bounds.max.y.raw() >= 0.6 && black.bounds.min.y.raw() <= -0.58,
                "{shape:?} {:?}",
                black.bounds
            );
            assert!(whole.width > black.width);
        }
    }

    /// Of a hollow head in a space, more than a staff line shows over and under the lines, however thick they are, and a hole.
    #[test]
    fn hollow_heads_show_between_thick_lines() {
        let fonts = Fonts::embedded();
        let staff_line = fonts.music().defaults.staff_line.raw();
        for lines in [1.0, 1.25, 1.5, 2.0, 2.5] {
            let square = head(HeadShape::Square, 1, lines, &fonts);
            let edge = 0.5 + staff_line * lines / 2.0;
            let stroke = Outline::of(1, lines, STROKE).stroke;
            assert!(square.bounds.max.y.raw() - edge >= 0.03 * lines, "{lines}: drowned");
            assert!(square.width.raw() - 2.0 * stroke >= 0.4, "{lines}: no hole");
            assert!(square.bounds.max.y.raw() - stroke < edge, "{lines}: white between line and head");
            assert_eq!(head(HeadShape::Square, 2, lines, &fonts), head(HeadShape::Square, 2, 1.0, &fonts));
        }
    }

    /// White of a tenth of a space stays between drawn heads a third (one space) apart, whatever the shapes.
    #[test]
    fn heads_a_third_apart_do_not_grow_together() {
        let fonts = Fonts::embedded();
        let drawn = [HeadShape::Square, HeadShape::Triangle, HeadShape::Diamond];
        for (low, high) in drawn.iter().flat_map(|low| drawn.map(|high| (*low, high))) {
            for halvings in 0..=2 {
                let (low, high) = (close_head(low, halvings, 1.0, &fonts), close_head(high, halvings, 1.0, &fonts));
                let white = 1.0 + high.bounds.min.y.raw() - low.bounds.max.y.raw();
                assert!(white >= 0.06, "{white}");
            }
        }
    }

    /// The areas of filled heads lie within a third of the oval's, so that mixed rows look of one weight.
    #[test]
    fn heads_weigh_about_the_same() {
        let fonts = Fonts::embedded();
        let oval = area(
            &fonts
                .outline(fonts.music_face(), fonts.music().glyph("noteheadBlack").id)
                .map(|p| Point::new(Sp::sp(p.x.raw() * 4.0), Sp::sp(p.y.raw() * 4.0))),
        );
        for shape in [HeadShape::Square, HeadShape::Triangle, HeadShape::Diamond] {
            let HeadInk::Path(path) = head(shape, 2, 1.0, &fonts).ink else { panic!("{shape:?} is drawn") };
            let ratio = area(&path) / oval;
            assert!((0.95..1.45).contains(&ratio), "{shape:?} weighs {ratio:.2} of the oval");
        }
    }

    /// Area by the shoelace formula over short chords.
    fn area(path: &Path<Space>) -> f64 {
        let mut points: Vec<(f64, f64)> = Vec::new();
        let mut last = Point::default();
        for segment in &path.segments {
            match *segment {
                Segment::Move(p) | Segment::Line(p) => {
                    points.push((p.x.raw(), p.y.raw()));
                    last = p;
                }
                Segment::Cubic(a, b, c) => {
                    for n in 1..=16 {
                        let (t, u) = (f64::from(n) / 16.0, 1.0 - f64::from(n) / 16.0);
                        let w = [u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t];
                        let at = |f: fn(Point<Space>) -> f64| w[0] * f(last) + w[1] * f(a) + w[2] * f(b) + w[3] * f(c);
                        points.push((at(|p| p.x.raw()), at(|p| p.y.raw())));
                    }
                    last = c;
                }
                Segment::Close => {}
            }
        }
        let twice: f64 = (0..points.len())
            .map(|i| {
                let (a, b) = (points[i], points[(i + 1) % points.len()]);
                a.0 * b.1 - b.0 * a.1
            })
            .sum();
        twice.abs() / 2.0
    }
}
