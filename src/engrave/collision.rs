//! Finds ink that touches other ink it does not belong to, for tests: the exact outlines of all glyphs, texts and paths of a
//! line, on a fine grid.
//!
//! Takes a canvas, gives pairs of labels with a place. What may touch is listed in [`may_touch`]; everything else may not.
//! Lanes that say opposite things must not even lie level: what does not touch may still be read as one ([`level`]).

use super::canvas::{Canvas, Ink, Kind, Label};
use super::lettering::Area;
use crate::geom::{Path, Segment, Space};

/// Cells in a staff space.
const CELLS: f64 = 25.0;

/// Two pieces of ink that touch, and where (staff spaces).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Collision {
    pub(super) first: Label,
    pub(super) second: Label,
    pub(super) at: (f64, f64),
}

/// Whether ink of two labels may touch.
fn may_touch(a: Label, b: Label) -> bool {
    use Kind::{
        Accidental, Articulation, Barline, Beam, Breath, Clef, Dot, Flag, Grace, Head, HoldBar, Key, Ledger, Meter,
        Ornament, Rest, Slur, Staff, Stem, Tie,
    };
    if a.kind == b.kind && a.of == b.of || a.kind == Staff && b.kind == Staff {
        return true;
    }
    let (a, b) = if a.kind <= b.kind { (a, b) } else { (b, a) };
    let same = a.of == b.of;
    match (a.kind, b.kind) {
        // What stands in the staff.
        (
            Staff,
            Clef | Key | Meter | Barline | Head | Ledger | Stem | Flag | Beam | Accidental | Dot | Rest | Grace | Tie
            | Slur | Articulation | Breath,
        ) => true,
        (Staff, Ornament) => true,
        // A note is one body.
        (Head | Ledger, Ledger | Stem | Head) => same,
        (Stem | Ledger, Flag) => same,
        (Stem, Beam) | (Beam, Beam) => true,
        // Curves cross barlines and the stems they begin at; two curves may meet at a head.
        (Barline | Key | Meter, Tie | Slur) => true,
        (Tie | Slur, Tie | Slur) => true,
        (Stem | Ledger, Tie) => true,
        // Bars of one button after another join at the note between them.
        (HoldBar, HoldBar) => true,
        _ => false,
    }
}

/// Kinds in lanes of their own, outside in: the ink of one stands over all ink of the next, all along the line.
const APART: [(Kind, Kind); 9] = [
    (Kind::Beam, Kind::HoldBar),
    (Kind::Beam, Kind::Left),
    (Kind::Beam, Kind::Count),
    (Kind::Tuplet, Kind::Left),
    (Kind::Tuplet, Kind::Count),
    (Kind::Button, Kind::Left),
    (Kind::HoldBar, Kind::Left),
    (Kind::HoldBar, Kind::Button),
    (Kind::HoldBar, Kind::Count),
];

/// Pairs of ink of two lanes that share a height anywhere on the line, one for each pair of lanes. A bar for a button that is
/// kept down and a line for a chord that is kept down are one stroke to a reader when they lie end to end, and such a bar
/// between two beams is a piece of them; a tuplet's figure between letters is one of them.
pub(super) fn level(canvas: &Canvas) -> Vec<Collision> {
    let of = |kind: Kind| canvas.inks().iter().filter(move |ink| ink.label.kind == kind);
    let lowest = |kind| of(kind).min_by(|a, b| a.area.bottom.total_cmp(&b.area.bottom));
    let highest = |kind| of(kind).max_by(|a, b| a.area.top.total_cmp(&b.area.top));
    APART
        .iter()
        .filter_map(|(over, under)| Some((lowest(*over)?, highest(*under)?)))
        .filter(|(over, under)| under.area.top >= over.area.bottom)
        .map(|(over, under)| Collision {
            first: over.label,
            second: under.label,
            at: (over.area.left, over.area.bottom),
        })
        .collect()
}

/// How many labels a cell remembers: staff, note, beam and one more.
const DEEP: usize = 4;

/// The labels that each cell holds, as indices into a list, 0 for none.
struct Grid {
    cells: Vec<[u16; DEEP]>,
    columns: i32,
    left: i32,
    bottom: i32,
    labels: Vec<Label>,
    found: Vec<Collision>,
}

impl Grid {
    fn visit(&mut self, x: i32, y: i32, label: u16) {
        let index = (y - self.bottom) * self.columns + x - self.left;
        let Some(cell) = usize::try_from(index).ok().and_then(|index| self.cells.get_mut(index)) else { return };
        for slot in cell {
            if *slot == 0 {
                *slot = label;
                return;
            }
            if *slot == label {
                return;
            }
            let (a, b) = (self.labels[usize::from(*slot)], self.labels[usize::from(label)]);
            let known = |c: &Collision| (c.first, c.second) == (a, b) || (c.second, c.first) == (a, b);
            if !may_touch(a, b) && !self.found.iter().any(known) {
                self.found.push(Collision { first: a, second: b, at: (f64::from(x) / CELLS, f64::from(y) / CELLS) });
            }
        }
    }
}

/// The pieces of ink whose boxes meet the box of another that they may not touch: only these can collide.
fn suspects(inks: &[Ink]) -> Vec<&Ink> {
    let mut order: Vec<&Ink> = inks.iter().collect();
    order.sort_by(|a, b| a.area.left.total_cmp(&b.area.left));
    let mut suspect = vec![false; order.len()];
    for (n, ink) in order.iter().enumerate() {
        let beside = order[n + 1..].iter().enumerate().take_while(|(_, other)| other.area.left <= ink.area.right);
        for (m, other) in beside {
            let level = ink.area.bottom <= other.area.top && other.area.bottom <= ink.area.top;
            if level && !may_touch(ink.label, other.label) {
                suspect[n] = true;
                suspect[n + 1 + m] = true;
            }
        }
    }
    order.into_iter().zip(suspect).filter_map(|(ink, suspect)| suspect.then_some(ink)).collect()
}

/// All collisions of a line, each pair of labels once.
pub(super) fn collisions(canvas: &Canvas) -> Vec<Collision> {
    let suspects = suspects(canvas.inks());
    let Some(all) = suspects.iter().map(|ink| ink.area).reduce(Area::union) else { return Vec::new() };
    let (left, bottom) = ((all.left * CELLS) as i32 - 2, (all.bottom * CELLS) as i32 - 2);
    let (columns, rows) = ((all.right * CELLS) as i32 + 3 - left, (all.top * CELLS) as i32 + 3 - bottom);
    let count = usize::try_from(columns * rows).expect("a line has an extent");
    let mut grid = Grid {
        cells: vec![[0; DEEP]; count],
        columns,
        left,
        bottom,
        labels: vec![Label::new(Kind::Staff, usize::MAX)],
        found: Vec::new(),
    };
    for ink in suspects {
        let known = grid.labels.iter().position(|label| *label == ink.label);
        let index = known.unwrap_or_else(|| {
            grid.labels.push(ink.label);
            grid.labels.len() - 1
        });
        let index = u16::try_from(index).expect("a line has few labels");
        let mut visit = |x: i32, y: i32| grid.visit(x, y, index);
        let (paths, half) = canvas.outlines(ink);
        match half {
            None => paths.iter().for_each(|path| fill(&polygons(path), &mut visit)),
            Some(half) => paths.iter().for_each(|path| {
                for line in polygons(path) {
                    for pair in line.windows(2) {
                        fill(&[thick(pair[0], pair[1], half)], &mut visit);
                    }
                }
            }),
        }
    }
    grid.found
}

type Polygon = Vec<(f64, f64)>;

fn thick(a: (f64, f64), b: (f64, f64), half: f64) -> Polygon {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = dx.hypot(dy).max(1e-9);
    let (nx, ny) = (-dy / length * half, dx / length * half);
    vec![(a.0 + nx, a.1 + ny), (b.0 + nx, b.1 + ny), (b.0 - nx, b.1 - ny), (a.0 - nx, a.1 - ny)]
}

/// The contours of a path as polygons.
fn polygons(path: &Path<Space>) -> Vec<Polygon> {
    let mut all: Vec<Polygon> = Vec::new();
    for segment in &path.segments {
        match *segment {
            Segment::Move(p) => all.push(vec![(p.x.raw(), p.y.raw())]),
            Segment::Line(p) => all.last_mut().expect("a contour begins with a move").push((p.x.raw(), p.y.raw())),
            Segment::Cubic(a, b, c) => {
                let contour = all.last_mut().expect("a contour begins with a move");
                let start = *contour.last().expect("a contour has a point");
                for n in 1..=10 {
                    let t = f64::from(n) / 10.0;
                    let u = 1.0 - t;
                    let w = [u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t];
                    contour.push((
                        w[0] * start.0 + w[1] * a.x.raw() + w[2] * b.x.raw() + w[3] * c.x.raw(),
                        w[0] * start.1 + w[1] * a.y.raw() + w[2] * b.y.raw() + w[3] * c.y.raw(),
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

/// Visits the cells whose centres lie inside polygons (nonzero winding).
fn fill(polygons: &[Polygon], visit: &mut impl FnMut(i32, i32)) {
    let points = || polygons.iter().flatten();
    let low = points().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let high = points().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
    if !low.is_finite() {
        return;
    }
    for row in (low * CELLS).floor() as i32..=(high * CELLS).ceil() as i32 {
        let y = (f64::from(row) + 0.5) / CELLS;
        let mut crossings: Vec<(f64, i32)> = Vec::new();
        for polygon in polygons {
            for n in 0..polygon.len() {
                let (a, b) = (polygon[n], polygon[(n + 1) % polygon.len()]);
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
                let (from, to) = ((pair[0].0 * CELLS - 0.5).ceil() as i32, (pair[1].0 * CELLS - 0.5).floor() as i32);
                (from..=to).for_each(|column| visit(column, row));
            }
        }
    }
}
