//! Where text ends on a page: the operators that place and show it, glyph by glyph near an edge.
//!
//! Takes operators; gives the ends of ink too near to the trim. Source: ISO 32000-1, 9.3 (text state), 9.4 (text objects, the matrix by
//! which glyphs are placed).

use super::content::Operands;
use super::faces::{Face, Inked};
use super::graphics::{Matrix, NOTHING, State, Tint, least, shared, with};
use super::paths::nearer;
use super::strings::{Piece, pieces};
use super::unpack;
use super::walk::{Graphics, Walk};
use crate::font::Program;
use lopdf::Dictionary;

/// Most bytes of one font program that is read, and of all.
const PROGRAM: usize = 4 << 20;
pub(super) const PROGRAMS: usize = 32 << 20;
/// Most steps that the glyphs of all programs come to; the largest fonts there are come to a quarter of it.
pub(super) const STEPS: u64 = 48_000_000;

/// Which font text is set in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Set {
    /// Nobody has said.
    None,
    /// One that is not in the file, which has been told.
    Lost,
    /// This one of those known.
    In(usize),
}

/// How text is set: what is saved and restored with the rest of the state.
#[derive(Debug, Clone, Copy)]
pub(super) struct TextState {
    /// Its font.
    pub(super) font: Set,
    /// Its size.
    pub(super) size: f64,
    spacing: f64,
    words: f64,
    across: f64,
    leading: f64,
    rise: f64,
    /// How it is drawn (table 106).
    mode: u8,
}

impl TextState {
    /// Where a page begins.
    pub(super) const START: Self =
        Self { font: Set::None, size: 0.0, spacing: 0.0, words: 0.0, across: 1.0, leading: 0.0, rise: 0.0, mode: 0 };

    /// Whether its glyphs are filled.
    pub(super) const fn fills(&self) -> bool {
        matches!(self.mode, 0 | 2 | 4 | 6)
    }
    /// Whether their outlines are drawn.
    pub(super) const fn strokes(&self) -> bool {
        matches!(self.mode, 1 | 2 | 5 | 6)
    }
}

/// Where the next glyph stands, and where the line began.
#[derive(Debug, Clone, Copy)]
pub(super) struct Pen {
    now: Matrix,
    line: Matrix,
}

impl Pen {
    /// Where text begins.
    pub(super) const START: Self = Self { now: Matrix::ONE, line: Matrix::ONE };

    fn next(&mut self, x: f64, y: f64) {
        self.line = Matrix::moved(x, y).then(self.line);
        self.now = self.line;
    }
    fn moved(self, by: f64) -> Self {
        Self { now: Matrix::moved(by, 0.0).then(self.now), ..self }
    }
}

impl<'a> Walk<'a> {
    /// Takes an operator that places or shows text.
    pub(super) fn text(&mut self, operator: &[u8], operands: &Operands<'_>, graphics: &mut Graphics) {
        let Graphics { state, pen, .. } = graphics;
        let number = || operands.numbers().last().copied().unwrap_or(0.0);
        match operator {
            b"BT" => *pen = Pen::START,
            b"Tc" => state.text.spacing = number(),
            b"Tw" => state.text.words = number(),
            b"Tz" => state.text.across = number() / 100.0,
            b"TL" => state.text.leading = number(),
            b"Ts" => state.text.rise = number(),
            b"Tr" => state.text.mode = (0..=7).find(|mode| f64::from(*mode) == number()).unwrap_or(0),
            b"Td" | b"TD" => {
                if let Some([x, y]) = operands.last() {
                    if operator == b"TD" {
                        state.text.leading = -y;
                    }
                    pen.next(x, y);
                }
            }
            b"Tm" => {
                if let Some(matrix) = operands.last() {
                    *pen = Pen { now: Matrix(matrix), line: Matrix(matrix) };
                }
            }
            b"T*" => pen.next(0.0, -state.text.leading),
            b"Tj" | b"TJ" => self.show(operator, operands, graphics),
            b"'" | b"\"" => {
                if let (b"\"", Some([words, spacing])) = (operator, operands.last()) {
                    (state.text.words, state.text.spacing) = (words, spacing);
                }
                pen.next(0.0, -state.text.leading);
                self.show(operator, operands, graphics);
            }
            _ => {}
        }
    }
    fn show(&mut self, operator: &[u8], operands: &Operands<'_>, graphics: &mut Graphics) {
        let Graphics { state, pen, .. } = graphics;
        let (fills, strokes) = (state.text.fills(), state.text.strokes());
        self.measure.bare_fill |= fills && state.fill.tint == Tint::Inherited;
        if strokes {
            self.stroked(state);
        }
        let nth = match state.text.font {
            Set::In(nth) => nth,
            Set::Lost => return,
            Set::None => return self.drawn.fontless(self.number),
        };
        let Some(knife) = self.knife else { return };
        let is_inked = (fills && state.fill.tint != Tint::Paper) || (strokes && state.stroke.tint != Tint::Paper);
        if let Some(why) = self.faces[nth].unknown() {
            if is_inked {
                let words = format!("page {}: text in {} is not measured: {why}", self.number, self.faces[nth].called);
                self.drawn.unmeasure(words);
            }
            return;
        }
        let half = if strokes { state.width.unwrap_or(1.0) * state.matrix.scale() / 2.0 } else { 0.0 };
        pieces(operands.written, |piece| match piece {
            // Numbers before a string that is no array are spacings (table 109).
            Piece::Back(by) if operator == b"TJ" => {
                *pen = pen.moved(-by / 1000.0 * state.text.size * state.text.across);
            }
            Piece::Back(_) => {}
            Piece::Codes(codes) => {
                let face = &self.faces[nth];
                let (mut by, mut back, mut on) = (0.0_f64, 0.0_f64, 0.0_f64);
                face.each(codes, |_, width, is_space| {
                    by += advance(face, &state.text, width, is_space);
                    (back, on) = (back.min(by), on.max(by));
                });
                let [a, b] = [back, on].map(|by| extent(face, state, pen.moved(by), half));
                let far = with(with(a, (b[0], b[1])), (b[2], b[3]));
                if is_inked && !knife.is_clear(shared(far, state.clip)) {
                    self.glyph_by_glyph(nth, codes, state, *pen, half);
                }
                *pen = pen.moved(by);
            }
        });
    }
    /// Looks at each glyph of a string of which some may end too near to the trim.
    fn glyph_by_glyph(&mut self, nth: usize, codes: &[u8], state: &State, mut pen: Pen, half: f64) {
        self.read_program(nth);
        let (Some(knife), face) = (self.knife, &self.faces[nth]) else { return };
        let mut found = None;
        face.each(codes, |code, width, is_space| {
            if let Inked::Within(area) = face.ink(code, width) {
                let area = grown(placed(face, state, pen).area(area), half);
                nearer(&mut found, knife.meets(shared(area, state.clip)));
            }
            pen = pen.moved(advance(face, &state.text, width, is_space));
        });
        nearer(&mut self.edge, found);
    }
    /// Reads the program of a font, once, if there is room for it.
    fn read_program(&mut self, nth: usize) {
        let face = &mut self.faces[nth];
        if face.program.is_some() {
            return;
        }
        let file = face.file.filter(|_| self.steps > 0);
        let bytes = file.and_then(|file| unpack::whole(file, PROGRAM.min(self.programs)));
        self.programs = self.programs.saturating_sub(bytes.as_ref().map_or(0, Vec::len));
        let (program, steps) = bytes.map_or((None, 0), Program::read);
        self.steps = self.steps.saturating_sub(steps);
        face.program = Some(program);
    }
    /// The face of a font, the same for the same dictionary.
    pub(super) fn set_in(&mut self, font: &'a Dictionary) -> Set {
        let known = self.known_faces.get(&std::ptr::from_ref(font)).copied();
        Set::In(known.unwrap_or_else(|| {
            let face = Face::of(self.file, font, &mut self.widths);
            self.faces.push(face);
            let nth = self.faces.len() - 1;
            self.known_faces.insert(std::ptr::from_ref(font), nth);
            nth
        }))
    }
    /// Notes how thin the line is that is drawn in a state.
    pub(super) fn stroked(&mut self, state: &State) {
        let scale = state.matrix.scale();
        match state.width {
            Some(width) => least(&mut self.measure.thinnest, width * scale),
            None => least(&mut self.measure.bare, scale),
        }
        self.measure.bare_stroke |= state.stroke.tint == Tint::Inherited;
    }
}

/// From glyph space to the page (9.4.4).
fn placed(face: &Face<'_>, state: &State, pen: Pen) -> Matrix {
    let TextState { size, across, rise, .. } = state.text;
    let set = Matrix([size * across, 0.0, 0.0, size, 0.0, rise]);
    face.matrix.then(set).then(pen.now).then(state.matrix)
}

/// Where any glyph of a face would come to stand.
fn extent(face: &Face<'_>, state: &State, pen: Pen, half: f64) -> [f64; 4] {
    grown(placed(face, state, pen).area(face.most()), half)
}

/// How far on the next glyph stands (9.4.4).
fn advance(face: &Face<'_>, text: &TextState, width: f64, is_space: bool) -> f64 {
    let [along, ..] = face.matrix.0;
    let words = if is_space { text.words } else { 0.0 };
    (width * along * text.size + text.spacing + words) * text.across
}

fn grown([x0, y0, x1, y1]: [f64; 4], by: f64) -> [f64; 4] {
    if x0 > x1 { NOTHING } else { [x0 - by, y0 - by, x1 + by, y1 + by] }
}
