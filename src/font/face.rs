//! One face: its bytes, metrics, glyph ids, outlines and ink.

use super::features::Plans;
use crate::diag::guarded;
use crate::geom::{Em, Path, Point, Quad, Rect, Segment};
use owned_ttf_parser::{AsFaceRef as _, OwnedFace};
use std::fmt;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};
use ttf_parser::{GlyphId, OutlineBuilder};

/// A face of a run, as an index into the run's [`Fonts`](super::Fonts).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FaceId(u16);

impl FaceId {
    /// The face at an index.
    pub const fn from_index(index: u16) -> Self {
        Self(index)
    }
    /// Its index.
    pub const fn index(self) -> u16 {
        self.0
    }
}

/// Vertical metrics in ems, y upwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Metrics {
    /// Typographic ascender.
    pub ascent: Em,
    /// Typographic descender, negative.
    pub descent: Em,
    /// Height of capitals.
    pub cap_height: Em,
    /// Height of small letters.
    pub x_height: Em,
}

/// One face.
pub struct Face {
    /// The PostScript name.
    pub name: String,
    /// Units in an em.
    pub units_per_em: u16,
    /// Vertical metrics.
    pub metrics: Metrics,
    /// Whether outlines are cubic (CFF), else quadratic (TrueType).
    pub is_cff: bool,
    file: File,
    /// Whether the shaper has panicked over it.
    failed: AtomicBool,
    shaper: OnceLock<Option<harfrust::Font>>,
    plans: Plans,
}

/// A parsed font file.
enum File {
    /// One compiled into the program.
    Carried(&'static [u8], Box<ttf_parser::Face<'static>>),
    /// One that a book brings, dropped with the face.
    Own(Arc<OwnedFace>),
}

/// The bytes of a book's own font, held for the shaper too.
struct Bytes(Arc<OwnedFace>);

impl AsRef<[u8]> for Bytes {
    fn as_ref(&self) -> &[u8] {
        self.0.as_slice()
    }
}

impl fmt::Debug for Face {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Face").field("name", &self.name).finish_non_exhaustive()
    }
}

impl Face {
    /// Reads a font file that the program carries; `None` if it is none, or has no usable tables.
    pub fn parse(data: &'static [u8]) -> Option<Self> {
        let parsed = ttf_parser::Face::parse(data, 0).ok()?;
        let name = said(&parsed, ttf_parser::name_id::POST_SCRIPT_NAME)?;
        Some(Self::of(File::Carried(data, Box::new(parsed)), name))
    }
    /// Reads a font file that a book brings, under a name.
    pub(super) fn own(data: Vec<u8>, name: String) -> Option<Self> {
        Some(Self::of(File::Own(Arc::new(OwnedFace::from_vec(data, 0).ok()?)), name))
    }
    fn of(file: File, name: String) -> Self {
        let parsed = file.parsed();
        let units_per_em = parsed.units_per_em();
        let em = |units: i16| Em::em(f64::from(units) / f64::from(units_per_em));
        let metrics = Metrics {
            ascent: em(parsed.typographic_ascender().unwrap_or_else(|| parsed.ascender())),
            descent: em(parsed.typographic_descender().unwrap_or_else(|| parsed.descender())),
            cap_height: em(parsed.capital_height().unwrap_or_else(|| parsed.ascender() * 7 / 10)),
            x_height: em(parsed.x_height().unwrap_or_else(|| parsed.ascender() / 2)),
        };
        let is_cff = parsed.tables().cff.is_some();
        Self {
            name,
            units_per_em,
            metrics,
            is_cff,
            file,
            failed: AtomicBool::new(false),
            shaper: OnceLock::new(),
            plans: Plans::default(),
        }
    }
    /// The whole font file.
    pub fn data(&self) -> &[u8] {
        match &self.file {
            File::Carried(data, _) => data,
            File::Own(face) => face.as_slice(),
        }
    }
    /// What the file says of itself: weight, slant, rights, names.
    pub(super) fn parsed(&self) -> &ttf_parser::Face<'_> {
        self.file.parsed()
    }
    /// Work of the shaper. What it makes of a stranger's font may be a panic, however well the font passed its check: that costs
    /// this one text its shaping, and is remembered to be told.
    pub(super) fn spared<T>(&self, work: impl FnOnce() -> Option<T>) -> Option<T> {
        match self.file {
            File::Carried(..) => work(),
            File::Own(_) => guarded(work).unwrap_or_else(|| {
                self.failed.store(true, Ordering::Relaxed);
                None
            }),
        }
    }
    /// The file of a book's own face, to see whether it has gone.
    #[cfg(test)]
    pub(super) fn held(&self) -> Option<std::sync::Weak<OwnedFace>> {
        match &self.file {
            File::Carried(..) => None,
            File::Own(face) => Some(Arc::downgrade(face)),
        }
    }
    /// How far its letters lean, in degrees from upright: negative to the right, as the font's table `post` and a PDF count it.
    pub fn italic_angle(&self) -> f32 {
        self.parsed().italic_angle()
    }
    /// Whether it is an italic, by what its file says of itself.
    pub fn is_italic(&self) -> bool {
        self.parsed().is_italic()
    }
    /// Whether the shaper has failed over it, so that some text is set without kerning and ligatures.
    pub fn failed(&self) -> bool {
        self.failed.load(Ordering::Relaxed)
    }
    /// The glyph of a character, if the face has it.
    pub fn glyph(&self, character: char) -> Option<u16> {
        self.parsed().glyph_index(character).map(|id| id.0)
    }
    /// A glyph's advance width.
    pub fn advance(&self, glyph: u16) -> Em {
        self.em(f64::from(self.parsed().glyph_hor_advance(GlyphId(glyph)).unwrap_or(0)))
    }
    /// A glyph's outline, y upwards; empty for blanks.
    pub fn outline(&self, glyph: u16) -> Path<Quad> {
        let mut pen = Pen::new(1.0 / f64::from(self.units_per_em));
        // Blank glyphs have no outline; the pen then stays empty.
        let _ = self.parsed().outline_glyph(GlyphId(glyph), &mut pen);
        pen.path
    }
    /// The exact box of a glyph's ink, y upwards; `None` for blanks.
    pub fn ink(&self, glyph: u16) -> Option<Rect<Quad>> {
        self.outline(glyph).ink()
    }
    /// The face as the shaper sees it.
    pub(super) fn shaper(&self) -> Option<&harfrust::Font> {
        let new = || match &self.file {
            File::Carried(data, _) => harfrust::Font::new(*data, 0),
            File::Own(face) => {
                let bytes: Arc<dyn AsRef<[u8]> + Send + Sync> = Arc::new(Bytes(Arc::clone(face)));
                harfrust::Font::new(bytes, 0)
            }
        };
        self.shaper.get_or_init(new).as_ref()
    }
    /// The lookups found so far.
    pub(super) const fn plans(&self) -> &Plans {
        &self.plans
    }
    /// Font units as ems.
    pub(super) fn em(&self, units: f64) -> Em {
        Em::em(units / f64::from(self.units_per_em))
    }
}

impl File {
    fn parsed(&self) -> &ttf_parser::Face<'_> {
        match self {
            Self::Carried(_, face) => face,
            Self::Own(face) => face.as_face_ref(),
        }
    }
}

/// A name of a face, as far as it is given in Unicode.
pub(super) fn said(parsed: &ttf_parser::Face<'_>, id: u16) -> Option<String> {
    let name = parsed.names().into_iter().find(|name| name.name_id == id && name.is_unicode());
    name.and_then(|name| name.to_string())
}

/// Turns the parser's callbacks into a path in ems.
pub(super) struct Pen {
    scale: f64,
    path: Path<Quad>,
    last: (f64, f64),
}

impl Pen {
    /// A pen for units of so many ems.
    pub(super) const fn new(scale: f64) -> Self {
        Self { scale, path: Path::new(), last: (0.0, 0.0) }
    }
    /// What it has drawn.
    pub(super) fn path(self) -> Path<Quad> {
        self.path
    }
    fn at(&self, x: f64, y: f64) -> Point<Quad> {
        Point::new(Em::em(x * self.scale), Em::em(y * self.scale))
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        self.last = (x.into(), y.into());
        self.path.segments.push(Segment::Move(self.at(x.into(), y.into())));
    }
    fn line_to(&mut self, x: f32, y: f32) {
        self.last = (x.into(), y.into());
        self.path.segments.push(Segment::Line(self.at(x.into(), y.into())));
    }
    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        // A quadratic curve raised to a cubic one: control points two thirds of the way.
        let (x0, y0) = self.last;
        let (x1, y1, x, y) = (f64::from(x1), f64::from(y1), f64::from(x), f64::from(y));
        let third = 2.0 / 3.0;
        let a = self.at(x0 + third * (x1 - x0), y0 + third * (y1 - y0));
        let b = self.at(x + third * (x1 - x), y + third * (y1 - y));
        self.last = (x, y);
        self.path.segments.push(Segment::Cubic(a, b, self.at(x, y)));
    }
    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let a = self.at(x1.into(), y1.into());
        let b = self.at(x2.into(), y2.into());
        self.last = (x.into(), y.into());
        self.path.segments.push(Segment::Cubic(a, b, self.at(x.into(), y.into())));
    }
    fn close(&mut self) {
        self.path.segments.push(Segment::Close);
    }
}
