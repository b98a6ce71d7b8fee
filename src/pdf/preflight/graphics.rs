//! Where ink comes to stand and how thin it is: matrices, the graphics state as far as a rule asks, paths in the making.
//!
//! Takes operands in user space; gives lengths in points of the page. Knows no file. Source: ISO 32000-1, 8.3.4 (matrices),
//! 8.4 (graphics state), 8.5 (paths).

use super::survey::Area;
use super::text::TextState;

/// A place on the page, in points.
pub(super) type Spot = (f64, f64);

/// A matrix, its six numbers as they are written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Matrix(pub(super) [f64; 6]);

impl Matrix {
    /// The matrix that changes nothing.
    pub(super) const ONE: Self = Self([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);

    /// A matrix that enlarges alone.
    pub(super) const fn scaled(by: f64) -> Self {
        Self([by, 0.0, 0.0, by, 0.0, 0.0])
    }
    /// This one first, the other after it.
    pub(super) fn then(self, outer: Self) -> Self {
        let ([a, b, c, d, e, f], [g, h, i, j, k, l]) = (self.0, outer.0);
        Self([a * g + b * i, a * h + b * j, c * g + d * i, c * h + d * j, e * g + f * i + k, e * h + f * j + l])
    }
    /// One that moves alone.
    pub(super) const fn moved(x: f64, y: f64) -> Self {
        Self([1.0, 0.0, 0.0, 1.0, x, y])
    }
    /// Where a point comes to stand.
    pub(super) fn place(self, x: f64, y: f64) -> Spot {
        let [a, b, c, d, e, f] = self.0;
        (a * x + c * y + e, b * x + d * y + f)
    }
    /// By how much lengths grow, both ways taken together.
    pub(super) fn scale(self) -> f64 {
        let [a, b, c, d, ..] = self.0;
        (a * d - b * c).abs().sqrt()
    }
    /// The lengths of the two sides of the unit square.
    pub(super) fn sides(self) -> (f64, f64) {
        let [a, b, c, d, ..] = self.0;
        (a.hypot(b), c.hypot(d))
    }
    /// The upright box round a box.
    pub(super) fn area(self, [x0, y0, x1, y1]: Area) -> Area {
        [(x0, y0), (x0, y1), (x1, y0), (x1, y1)].into_iter().fold(NOTHING, |area, (x, y)| with(area, self.place(x, y)))
    }
}

/// A box that holds no point, for points to be added to.
pub(super) const NOTHING: Area = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];

/// A box that holds a point too.
pub(super) fn with([x0, y0, x1, y1]: Area, (x, y): Spot) -> Area {
    [x0.min(x), y0.min(y), x1.max(x), y1.max(y)]
}

/// What two boxes share, which may be nothing.
pub(super) fn shared(a: Area, b: Option<Area>) -> Area {
    let Some(b) = b else { return a };
    [a[0].max(b[0]), a[1].max(b[1]), a[2].min(b[2]), a[3].min(b[3])]
}

/// What a colour does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tint {
    /// As it was where the page, form or cell began.
    Inherited,
    /// It leaves the paper white.
    Paper,
    /// It is ink, as far as anyone can tell.
    Ink,
}

/// The kind of the current colour space, as far as it says which colour is white.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Mixing {
    /// Grey and RGB: ones are white.
    Light,
    /// CMYK: noughts are white.
    Inks,
    /// Spot inks: noughts are white.
    Spot,
    /// Any other.
    Other,
}

impl Mixing {
    /// What a colour of so many numbers does in this space.
    pub(super) fn tint(self, numbers: &[f64]) -> Tint {
        let all = |white: f64| !numbers.is_empty() && numbers.iter().all(|number| (number - white).abs() < 1e-6);
        let is_paper = match self {
            Self::Light => all(1.0),
            Self::Inks | Self::Spot => all(0.0),
            Self::Other => false,
        };
        if is_paper { Tint::Paper } else { Tint::Ink }
    }
}

/// One of the two colours: of areas, of lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Colour {
    /// What it does.
    pub(super) tint: Tint,
    /// Its space.
    pub(super) mixing: Mixing,
}

impl Colour {
    /// A colour in a space.
    pub(super) fn set(&mut self, mixing: Mixing, numbers: &[f64]) {
        *self = Self { tint: mixing.tint(numbers), mixing };
    }
    /// A space, whose first colour is ink, black or full (ISO 32000-1, 8.6.3).
    pub(super) const fn choose(&mut self, mixing: Mixing) {
        *self = Self { tint: Tint::Ink, mixing };
    }
}

/// The graphics state, as far as it matters.
#[derive(Debug, Clone, Copy)]
pub(super) struct State {
    /// From user space to the page, in points.
    pub(super) matrix: Matrix,
    /// Line width in user space; nothing while it is what it was where the page, form or cell began.
    pub(super) width: Option<f64>,
    /// The colour of areas.
    pub(super) fill: Colour,
    /// The colour of lines.
    pub(super) stroke: Colour,
    /// How text is set.
    pub(super) text: TextState,
    /// The box round what is not cut away.
    pub(super) clip: Option<Area>,
}

impl State {
    /// Where a page or a cell begins.
    pub(super) const fn start(matrix: Matrix) -> Self {
        let colour = Colour { tint: Tint::Inherited, mixing: Mixing::Light };
        Self { matrix, width: None, fill: colour, stroke: colour, text: TextState::START, clip: None }
    }
    /// Where a form begins: what is inherited is told from what it sets itself.
    pub(super) fn within(self, matrix: Matrix, boundary: Option<Area>) -> Self {
        let matrix = matrix.then(self.matrix);
        let clip = boundary.map(|area| shared(matrix.area(area), self.clip)).or(self.clip);
        Self { clip, text: self.text, ..Self::start(matrix) }
    }
}

/// What is measured on a page, or in a form, in points: lengths grow with the form, dots an inch shrink.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Measure {
    /// The thinnest line.
    pub(super) thinnest: Option<f64>,
    /// The thinnest line of those whose width is inherited, for a width of one.
    pub(super) bare: Option<f64>,
    /// Fewest dots an inch of a picture in tones.
    pub(super) tones: Option<f64>,
    /// Fewest dots an inch of a picture in black and white alone.
    pub(super) bilevel: Option<f64>,
    /// Whether an area or a line is drawn in a colour that is inherited.
    pub(super) bare_fill: bool,
    /// The same of lines.
    pub(super) bare_stroke: bool,
}

pub(super) fn least(slot: &mut Option<f64>, value: f64) {
    if !value.is_nan() {
        *slot = Some(slot.map_or(value, |least| least.min(value)));
    }
}

impl Measure {
    /// The same, drawn so many times as large.
    pub(super) fn enlarged(self, by: f64) -> Self {
        let longer = |length: Option<f64>| length.map(|length| length * by);
        let coarser = |dots: Option<f64>| dots.map(|dots| dots / by);
        Self {
            thinnest: longer(self.thinnest),
            bare: longer(self.bare),
            tones: coarser(self.tones),
            bilevel: coarser(self.bilevel),
            ..self
        }
    }
    /// Adds what a form that is drawn in a state came to.
    pub(super) fn add(&mut self, form: Self, state: &State) {
        for (slot, found) in
            [(&mut self.thinnest, form.thinnest), (&mut self.tones, form.tones), (&mut self.bilevel, form.bilevel)]
        {
            if let Some(found) = found {
                least(slot, found);
            }
        }
        match (form.bare, state.width) {
            (Some(bare), Some(width)) => least(&mut self.thinnest, bare * width),
            (Some(bare), None) => least(&mut self.bare, bare),
            (None, _) => {}
        }
        self.bare_fill |= form.bare_fill && state.fill.tint == Tint::Inherited;
        self.bare_stroke |= form.bare_stroke && state.stroke.tint == Tint::Inherited;
    }
    /// Adds a picture of so many dots on a side, in a state whose unit square it fills.
    pub(super) fn picture(&mut self, dots: (f64, f64), is_bilevel: bool, matrix: Matrix) {
        let (wide, high) = matrix.sides();
        // One dot spread over any length is a flat colour, and nothing is coarse in it.
        let sides = [(dots.0, wide), (dots.1, high)].into_iter().filter(|(dots, side)| *dots > 1.0 && *side > 0.0);
        let slot = if is_bilevel { &mut self.bilevel } else { &mut self.tones };
        for (dots, side) in sides {
            least(slot, dots * 72.0 / side);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 32000-1, 8.3.3: a point moved, then turned by 90 degrees, then enlarged.
    #[test]
    fn matrices_follow_one_another() {
        let moved = Matrix([1.0, 0.0, 0.0, 1.0, 2.0, 3.0]);
        let turned = Matrix([0.0, 1.0, -1.0, 0.0, 0.0, 0.0]);
        let all = moved.then(turned).then(Matrix::scaled(10.0));
        assert_eq!(all.place(1.0, 0.0), (-30.0, 30.0));
        assert_eq!((all.scale(), all.sides()), (10.0, (10.0, 10.0)));
        assert_eq!(turned.area([0.0, 0.0, 2.0, 1.0]), [-1.0, 0.0, 0.0, 2.0]);
    }

    #[test]
    fn white_is_told_by_the_kind_of_the_space() {
        assert_eq!(Mixing::Light.tint(&[1.0, 1.0, 1.0]), Tint::Paper);
        assert_eq!(Mixing::Light.tint(&[0.0]), Tint::Ink);
        assert_eq!(Mixing::Inks.tint(&[0.0, 0.0, 0.0, 0.0]), Tint::Paper);
        assert_eq!(Mixing::Inks.tint(&[1.0]), Tint::Ink);
        assert_eq!(Mixing::Inks.tint(&[]), Tint::Ink, "a pattern has no numbers");
    }

    /// 300 dots over 72 points are 300 dots an inch; the coarser side counts.
    #[test]
    fn the_coarser_side_of_a_picture_counts() {
        let mut measure = Measure::default();
        measure.picture((300.0, 300.0), false, Matrix([72.0, 0.0, 0.0, 144.0, 0.0, 0.0]));
        measure.picture((1.0, 1.0), true, Matrix::scaled(500.0));
        assert_eq!((measure.tones, measure.bilevel), (Some(150.0), None));
        assert_eq!(measure.enlarged(2.0).tones, Some(75.0));
    }
}
