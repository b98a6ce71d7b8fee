//! Paths in the making: how thin what is filled is, and how near to the trim it ends.
//!
//! Takes the operators that build a path; gives what counts once it is known whether the path is filled, stroked or cuts.
//! Source: ISO 32000-1, 8.5.2 to 8.5.4. Where ink has to end is common practice, no source: beyond the trim by the bleed, or
//! 3 mm inside it, for sheets move by a millimetre under the knife.

use super::content::Operands;
use super::graphics::{Matrix, NOTHING, Spot, State, least, shared};
use super::survey::Area;
use crate::geom::turning_points;

/// Three millimetres, in points, and a hundredth of one.
const ROOM: f64 = 3.0 / 25.4 * 72.0;
const NEAR: f64 = 0.01 / 25.4 * 72.0;

/// The edges of a page that ink may end at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Knife {
    trim: Area,
    /// How far beyond each edge of the trim ink must reach if it reaches over it: left, bottom, right, top.
    bleeds: [f64; 4],
}

/// Ink that ends too near to the trim: by how much inside it (outside it if less than nothing), in points, and at which edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Edge {
    /// How far inside.
    pub(super) inside: f64,
    /// Which edge.
    pub(super) name: &'static str,
}

impl Knife {
    /// For a page with these boxes.
    pub(super) fn of(trim: Area, bleed: Option<Area>) -> Self {
        let bleed = bleed.unwrap_or(trim);
        let apart = [trim[0] - bleed[0], trim[1] - bleed[1], bleed[2] - trim[2], bleed[3] - trim[3]];
        // Boxes without a bleed do not make ink that ends at the trim any safer.
        Self { trim, bleeds: apart.map(|side| if side > NEAR { side.min(ROOM) } else { ROOM }) }
    }
    /// Whether an area lies beside the page, where marks for the printer stand, or is none.
    fn is_outside(&self, area: Area) -> bool {
        let [left, bottom, right, top] = self.trim;
        area[0] >= right - NEAR
            || area[2] <= left + NEAR
            || area[1] >= top - NEAR
            || area[3] <= bottom + NEAR
            || area[0] > area[2]
            || area[1] > area[3]
    }
    /// Whether nothing in an area can end too near to the trim.
    pub(super) fn is_clear(&self, area: Area) -> bool {
        let [left, bottom, right, top] = self.trim;
        let is_inside =
            area[0] >= left + ROOM && area[1] >= bottom + ROOM && area[2] <= right - ROOM && area[3] <= top - ROOM;
        is_inside || self.is_outside(area)
    }
    /// Where it is, as numbers that can be told from those of another.
    pub(super) fn key(&self) -> [u64; 8] {
        let [a, b, c, d] = self.trim.map(f64::to_bits);
        let [e, f, g, h] = self.bleeds.map(f64::to_bits);
        [a, b, c, d, e, f, g, h]
    }
    /// Where an area ends too near to the trim.
    pub(super) fn meets(&self, area: Area) -> Option<Edge> {
        let [left, bottom, right, top] = self.trim;
        if self.is_outside(area) {
            return None;
        }
        let inside = [area[0] - left, area[1] - bottom, right - area[2], top - area[3]];
        let names = ["left", "foot", "right", "head"];
        let edges = inside.into_iter().zip(self.bleeds).zip(names);
        edges
            .filter(|((inside, bleed), _)| *inside > NEAR - bleed && *inside < ROOM - NEAR)
            .map(|((inside, _), name)| Edge { inside, name })
            .min_by(|a, b| a.inside.abs().total_cmp(&b.inside.abs()))
    }
}

/// Keeps the nearer of two.
pub(super) fn nearer(slot: &mut Option<Edge>, found: Option<Edge>) {
    if let Some(found) = found
        && slot.is_none_or(|known| found.inside.abs() < known.inside.abs())
    {
        *slot = Some(found);
    }
}

/// A path in the making, and what counts of its parts.
#[derive(Debug, Clone, Copy)]
pub(super) struct Path {
    /// The exact box round the part that is being built; nothing while it is a point alone, which no area and no line is.
    part: Option<Area>,
    /// Whether a curve is in that part.
    is_curved: bool,
    /// Where the part begins, and where the pen stands, on the page.
    begin: Option<Spot>,
    here: Option<Spot>,
    /// The box round all parts.
    whole: Option<Area>,
    /// The thinnest of its rectangles and other parts of straight lines, once filled.
    thinnest: Option<f64>,
    /// Where its areas, once filled, end too near to the trim.
    filled: Option<Edge>,
    /// The same of its lines, once stroked.
    stroked: Option<Edge>,
    /// Whether it is to cut what follows.
    cuts: bool,
}

impl Path {
    /// Nothing yet.
    pub(super) const NONE: Self = Self {
        part: None,
        is_curved: false,
        begin: None,
        here: None,
        whole: None,
        thinnest: None,
        filled: None,
        stroked: None,
        cuts: false,
    };

    /// A new part begins.
    pub(super) fn start(&mut self, x: f64, y: f64, state: &State, knife: Option<&Knife>) {
        self.end_part(state, knife);
        self.here = Some(state.matrix.place(x, y));
        self.begin = self.here;
    }
    /// A line to a point.
    pub(super) fn line(&mut self, x: f64, y: f64, matrix: Matrix) {
        let end = matrix.place(x, y);
        self.reach(self.here.unwrap_or(end));
        self.reach(end);
        self.here = Some(end);
    }
    /// A curve by its operator; of `v` the first control point is where the pen stands, of `y` the second is the end. What follows
    /// no point is no curve.
    pub(super) fn curve(&mut self, operator: &[u8], operands: &Operands<'_>, matrix: Matrix) {
        let Some(start) = self.here else { return };
        let at = |x: f64, y: f64| matrix.place(x, y);
        let points = match (operator, operands.last::<6>(), operands.last::<4>()) {
            (b"c", Some([a, b, c, d, x, y]), _) => [at(a, b), at(c, d), at(x, y)],
            (b"v", _, Some([c, d, x, y])) => [start, at(c, d), at(x, y)],
            (b"y", _, Some([a, b, x, y])) => [at(a, b), at(x, y), at(x, y)],
            _ => return,
        };
        let [a, b, end] = points;
        let turns = [turning_points(start.0, a.0, b.0, end.0), turning_points(start.1, a.1, b.1, end.1)];
        self.reach(start);
        for t in turns.into_iter().flatten().flatten() {
            let u = 1.0 - t;
            let by = |p: f64, q: f64, r: f64, s: f64| u * u * u * p + 3.0 * u * t * (u * q + t * r) + t * t * t * s;
            self.reach((by(start.0, a.0, b.0, end.0), by(start.1, a.1, b.1, end.1)));
        }
        self.reach(end);
        self.is_curved = true;
        self.here = Some(end);
    }
    /// The part is closed: the pen is where it began.
    pub(super) const fn close(&mut self) {
        self.here = self.begin;
    }
    fn reach(&mut self, (x, y): Spot) {
        let [x0, y0, x1, y1] = self.part.unwrap_or(NOTHING);
        self.part = Some([x0.min(x), y0.min(y), x1.max(x), y1.max(y)]);
    }
    /// A rectangle.
    pub(super) fn rectangle(&mut self, [x, y, w, h]: [f64; 4], state: &State, knife: Option<&Knife>) {
        self.end_part(state, knife);
        // A part in curves has no thickness that is known, and a rectangle has its own.
        self.is_curved = true;
        self.part = Some(state.matrix.area([x.min(x + w), y.min(y + h), x.max(x + w), y.max(y + h)]));
        let (wide, high) = state.matrix.sides();
        let (wide, high) = (w.abs() * wide, h.abs() * high);
        if wide > 0.0 || high > 0.0 {
            least(&mut self.thinnest, wide.min(high));
        }
        self.end_part(state, knife);
        self.here = Some(state.matrix.place(x, y));
        self.begin = self.here;
    }
    /// The path is to cut what follows it.
    pub(super) const fn cut(&mut self) {
        self.cuts = true;
    }
    fn end_part(&mut self, state: &State, knife: Option<&Knife>) {
        let Some(part) = self.part.take() else { return };
        self.whole = Some(self.whole.map_or(part, |whole| round(whole, part)));
        if !self.is_curved && part != [part[0], part[1], part[0], part[1]] {
            // No part of straight lines is thicker than the upright box round it.
            least(&mut self.thinnest, (part[2] - part[0]).min(part[3] - part[1]));
        }
        if let Some(knife) = knife {
            nearer(&mut self.filled, knife.meets(shared(part, state.clip)));
            let half = state.width.unwrap_or(1.0) * state.matrix.scale() / 2.0;
            let wide = [part[0] - half, part[1] - half, part[2] + half, part[3] + half];
            nearer(&mut self.stroked, knife.meets(shared(wide, state.clip)));
        }
        self.is_curved = false;
    }
    /// The path is painted, or at least done with: what it came to. It cuts what follows if that was said.
    pub(super) fn end(&mut self, state: &mut State, knife: Option<&Knife>) -> Painted {
        self.end_part(state, knife);
        let path = std::mem::replace(self, Self::NONE);
        if let (true, Some(whole)) = (path.cuts, path.whole) {
            state.clip = Some(shared(whole, state.clip));
        }
        Painted { thinnest: path.thinnest, filled: path.filled, stroked: path.stroked }
    }
}

/// What a path came to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Painted {
    /// The thinnest of its rectangles and other parts of straight lines.
    pub(super) thinnest: Option<f64>,
    /// Where its areas end too near to the trim.
    pub(super) filled: Option<Edge>,
    /// Where its lines do.
    pub(super) stroked: Option<Edge>,
}

fn round(a: Area, b: Area) -> Area {
    [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])]
}

#[cfg(test)]
mod tests {
    use super::*;

    const TRIM: Area = [100.0, 100.0, 500.0, 700.0];

    fn knife() -> Knife {
        Knife::of(TRIM, Some([TRIM[0] - ROOM, TRIM[1] - ROOM, TRIM[2] + ROOM, TRIM[3] + ROOM]))
    }

    #[test]
    fn ink_ends_inside_or_runs_over_the_trim() {
        for fine in [
            [110.0, 110.0, 480.0, 680.0],
            [90.0, 90.0, 510.0, 710.0],
            [TRIM[0] - ROOM, 200.0, 300.0, 300.0],
            [20.0, 200.0, 90.0, 210.0],
            [200.0, 20.0, 210.0, 100.0],
            [300.0, 300.0, 200.0, 400.0],
        ] {
            assert_eq!(knife().meets(fine), None, "{fine:?}");
        }
        for (poor, name, inside) in [
            ([100.0, 200.0, 300.0, 300.0], "left", 0.0),
            ([200.0, 98.0, 300.0, 300.0], "foot", -2.0),
            ([200.0, 200.0, 496.0, 300.0], "right", 4.0),
            ([200.0, 200.0, 300.0, 700.1], "head", -0.1),
        ] {
            let found = knife().meets(poor).expect("it ends too near");
            assert!(found.name == name && (found.inside - inside).abs() < 1e-9, "{found:?}");
        }
        // Where no bleed is meant, ink must keep away all the same.
        assert!(Knife::of(TRIM, None).meets([100.0, 200.0, 300.0, 300.0]).is_some());
    }

    #[test]
    fn a_cut_moves_the_end_of_what_it_cuts() {
        let mut state = State::start(Matrix::ONE);
        let (mut path, knife) = (Path::NONE, knife());
        path.rectangle([150.0, 150.0, 200.0, 200.0], &state, Some(&knife));
        path.cut();
        path.end(&mut state, Some(&knife));
        path.rectangle([101.0, 101.0, 300.0, 0.1], &state, Some(&knife));
        path.rectangle([101.0, 101.0, 300.0, 300.0], &state, Some(&knife));
        let painted = path.end(&mut state, Some(&knife));
        assert_eq!((painted.filled, state.clip), (None, Some([150.0, 150.0, 350.0, 350.0])));
        assert!(painted.thinnest.is_some_and(|thin| (thin - 0.1).abs() < 1e-9));
    }

    #[test]
    fn parts_of_a_path_are_looked_at_one_by_one() {
        let mut state = State::start(Matrix::ONE);
        let (mut path, knife) = (Path::NONE, knife());
        for x in [20.0, 560.0] {
            path.start(x, 400.0, &state, Some(&knife));
            path.line(x + 20.0, 400.0, state.matrix);
        }
        assert_eq!(path.end(&mut state, Some(&knife)).stroked, None, "marks at both sides of the page");
    }
}
