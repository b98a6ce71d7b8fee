//! The walk over the pages of a foreign file: streams unpacked within bounds, operators taken one by one, forms and cells of
//! patterns walked once each, and measured at every size at which they are drawn.

use super::content::{Event, Operands, Scan};
use super::drawn::Drawn;
use super::faces::{Face, WIDTHS};
use super::forms::{AGAIN, Place};
use super::graphics::{Matrix, Measure, Mixing, State, Tint, least};
use super::paths::{Edge, Knife, Path, nearer};
use super::survey::{Page, dictionary, inherited, name};
use super::text::{PROGRAMS, Pen, STEPS, Set};
use super::unpack::whole;
use lopdf::{Dictionary, Document, Object, ObjectId, Stream};
use std::collections::{BTreeMap, BTreeSet};
use std::mem::{replace, take};

/// Most bytes of one stream, unpacked.
const STREAM: usize = 16 << 20;
/// Most bytes of all streams, unpacked: half as much again as the content of a book of two thousand pages, or for a larger file
/// so many times its own size, up to a bound. What is beyond is not looked at, and said to be so.
const ALL: usize = 32 << 20;
const TIMES: usize = 4;
const MOST: usize = 128 << 20;
/// Most parts of the content of a page, and of all pages together.
const PARTS_OF_A_PAGE: usize = 1_000;
const PARTS: usize = 100_000;
/// Most bytes of all fonts that are unpacked to see that they are fonts.
const HEADS: usize = 64 << 20;
/// The least that a stream counts, however short.
const LEAST: usize = 64;
/// Deflated bytes become at most so many times as many (zlib's technical notes: 1032 to 1).
const DEFLATE: usize = 1032;
/// Most forms inside forms.
pub(super) const DEPTH: usize = 24;
/// Nesting of states beyond any use is counted, but so many are kept.
const SAVED: usize = 10_000;

/// What a page draws: its parts, its resources, its edges.
type Content = (Vec<ObjectId>, *const Dictionary, Option<[u64; 8]>);

/// The walk, and what it has gathered.
pub(super) struct Walk<'a> {
    pub(super) file: &'a Document,
    pub(super) drawn: Drawn,
    unread: Vec<String>,
    /// Forms and cells that have been walked, and what they come to when drawn as large as they are.
    pub(super) forms: BTreeMap<ObjectId, Measure>,
    /// Where forms have been looked at again, and how many bytes may still be unpacked for that; whether that is being done.
    pub(super) places: BTreeSet<Place>,
    pub(super) again: usize,
    pub(super) is_again: bool,
    /// Fonts and colour spaces that have been looked at; a space anew where other defaults hold.
    pub(super) fonts: BTreeSet<*const Dictionary>,
    pub(super) spaces: BTreeSet<(*const Object, [bool; 3])>,
    /// Fonts that text is set in, and which dictionary is which of them.
    pub(super) faces: Vec<Face<'a>>,
    pub(super) known_faces: BTreeMap<*const Dictionary, usize>,
    /// How many widths of fonts may still be kept, bytes of their programs unpacked, steps of these counted.
    pub(super) widths: usize,
    pub(super) programs: usize,
    pub(super) steps: u64,
    /// How many bytes of fonts may still be unpacked to see that they are fonts.
    pub(super) heads: usize,
    /// What pages have been walked, as content, resources and edges: the same drawn again says nothing new.
    pages: BTreeSet<Content>,
    /// How many bytes may still be unpacked, and how many parts of pages walked.
    pub(super) left: usize,
    parts: usize,
    /// Whether it has been noted that there is more.
    is_beyond: bool,
    /// The page that is walked: its number, its own unit, where it is cut, what is measured on it.
    pub(super) number: usize,
    pub(super) unit: Matrix,
    pub(super) knife: Option<Knife>,
    pub(super) measure: Measure,
    pub(super) edge: Option<Edge>,
    /// Whether other spaces stand for grey, RGB and CMYK by device in the stream that is walked.
    pub(super) excused: [bool; 3],
}

/// The state, those saved, and the path in the making.
pub(super) struct Graphics {
    pub(super) state: State,
    saved: Vec<State>,
    path: Path,
    pub(super) pen: Pen,
}

impl Graphics {
    pub(super) const fn new(state: State) -> Self {
        Self { state, saved: Vec::new(), path: Path::NONE, pen: Pen::START }
    }
}

impl<'a> Walk<'a> {
    /// A walk over a file of so many bytes.
    pub(super) fn new(file: &'a Document, bytes: usize) -> Self {
        Self {
            file,
            drawn: Drawn::default(),
            unread: Vec::new(),
            forms: BTreeMap::new(),
            places: BTreeSet::new(),
            again: AGAIN,
            is_again: false,
            faces: Vec::new(),
            known_faces: BTreeMap::new(),
            widths: WIDTHS,
            programs: PROGRAMS,
            steps: STEPS,
            heads: HEADS,
            fonts: BTreeSet::new(),
            spaces: BTreeSet::new(),
            pages: BTreeSet::new(),
            left: bytes.saturating_mul(TIMES).clamp(ALL, MOST),
            parts: PARTS,
            is_beyond: false,
            number: 0,
            unit: Matrix::ONE,
            knife: None,
            measure: Measure::default(),
            edge: None,
            excused: [false; 3],
        }
    }
    /// What was found, and what could not be read.
    pub(super) fn done(self) -> (Drawn, Vec<String>) {
        (self.drawn, self.unread)
    }

    /// Walks a page; says whether there is room to walk more.
    pub(super) fn page(&mut self, number: usize, id: ObjectId, boxes: &Page) -> bool {
        if self.left == 0 || self.parts == 0 {
            // One line stands for all that follows.
            self.unread.push(format!("pages from {number} on: there is more content than is looked at"));
            return false;
        }
        let Ok(page) = self.file.get_dictionary(id) else { return true };
        let resources = inherited(self.file, page, "Resources").and_then(|found| dictionary(self.file, found));
        self.excused = self.defaults(resources);
        self.group(page);
        let mut parts = self.parts_of(number, page);
        let most = PARTS_OF_A_PAGE.min(self.parts);
        if parts.len() > most {
            self.note(format!("page {number}: of {} parts the first {most} are looked at", parts.len()));
        }
        parts.truncate(most);
        self.parts -= parts.len();
        let larger = |area: [f64; 4]| area.map(|side| side * boxes.unit);
        self.number = number;
        self.unit = Matrix::scaled(boxes.unit);
        self.appearances(page);
        self.knife = boxes.trim.or(boxes.art).map(|trim| Knife::of(larger(trim), boxes.bleed.map(larger)));
        let edges = self.knife.as_ref().map(Knife::key);
        let drawn = (parts, resources.map_or(std::ptr::null(), std::ptr::from_ref), edges);
        if self.pages.contains(&drawn) {
            return true;
        }
        // A page may have its content in parts; the graphics state goes on from one to the next.
        let mut graphics = Graphics::new(State::start(self.unit));
        for part in &drawn.0 {
            let Ok(Object::Stream(stream)) = self.file.get_object(*part) else {
                self.drawn.hollow(number);
                continue;
            };
            if let Some(bytes) = self.unpack(stream, "its content") {
                self.scan(&bytes, resources, 0, &mut graphics);
            }
        }
        self.pages.insert(drawn);
        let measure = take(&mut self.measure);
        self.drawn.measured(number, &measure, self.edge.take());
        if measure.bare_fill || measure.bare_stroke {
            // A page begins in black by device (ISO 32000-1, 8.4.1, table 52).
            self.excused = self.defaults(resources);
            self.colour("DeviceGray");
        }
        true
    }
    /// The streams of a page's content (ISO 32000-1, table 30): one, a list of them, or none for a blank page. What is no stream is
    /// noted.
    fn parts_of(&mut self, number: usize, page: &Dictionary) -> Vec<ObjectId> {
        let Ok(content) = page.get(b"Contents") else { return Vec::new() };
        let list = match self.file.dereference(content) {
            Ok((_, Object::Array(list))) => list.as_slice(),
            _ => std::slice::from_ref(content),
        };
        let mut parts = Vec::with_capacity(list.len().min(PARTS_OF_A_PAGE));
        for part in list {
            match self.file.dereference(part) {
                Ok((Some(id), Object::Stream(_))) => parts.push(id),
                _ => self.drawn.hollow(number),
            }
        }
        parts
    }
    pub(super) fn note(&mut self, what: String) {
        if self.unread.len() < 20 {
            self.unread.push(what);
        }
    }
    /// The bytes of a stream; where there are none to be had, that is noted, or once that there is more than is looked at.
    pub(super) fn unpack(&mut self, stream: &Stream, what: &str) -> Option<Vec<u8>> {
        if self.left == 0 {
            return self.beyond();
        }
        let bytes = whole(stream, STREAM.min(self.left));
        // One that is too large, or breaks off, may have cost what its bytes can become.
        let times = if stream.dict.has(b"Filter") { DEFLATE } else { 1 };
        let cost = bytes.as_ref().map_or_else(|| stream.content.len().saturating_mul(times), Vec::len);
        self.left = self.left.saturating_sub(cost.max(LEAST));
        match bytes {
            None if self.left == 0 => self.beyond(),
            None => {
                self.note(format!("page {}: {what} cannot be unpacked whole, or is too large", self.number));
                None
            }
            some => some,
        }
    }
    fn beyond(&mut self) -> Option<Vec<u8>> {
        if self.is_again {
            self.drawn.unmeasure(format!("page {}: forms are drawn at more places than are looked at", self.number));
            return None;
        }
        if !replace(&mut self.is_beyond, true) {
            self.note(format!("page {}: there is more content than is looked at", self.number));
        }
        None
    }

    pub(super) fn scan(
        &mut self,
        content: &[u8],
        resources: Option<&'a Dictionary>,
        depth: usize,
        graphics: &mut Graphics,
    ) {
        let here = self.defaults(resources);
        let outside = replace(&mut self.excused, here);
        for event in Scan::new(content) {
            match event {
                Event::Unknown(word) => self.drawn.stranger(word),
                Event::InlineImage(entries) => self.inline_image(&entries, resources, &graphics.state),
                Event::Operator(b"q", _) => {
                    if graphics.saved.len() < SAVED {
                        graphics.saved.push(graphics.state);
                    }
                    self.drawn.deepest = self.drawn.deepest.max(graphics.saved.len());
                }
                Event::Operator(b"Q", _) => graphics.state = graphics.saved.pop().unwrap_or(graphics.state),
                Event::Operator(operator, operands) => {
                    if !self.build(operator, &operands, graphics) {
                        self.text(operator, &operands, graphics);
                        self.operator(operator, &operands, resources, &mut graphics.state, depth);
                    }
                }
            }
        }
        self.excused = outside;
    }

    /// Takes an operator that builds a path or paints it; says whether it was one.
    fn build(&mut self, operator: &[u8], operands: &Operands<'_>, graphics: &mut Graphics) -> bool {
        let Graphics { state, path, .. } = graphics;
        let knife = self.knife.as_ref();
        match operator {
            b"m" => {
                if let Some([x, y]) = operands.last() {
                    path.start(x, y, state, knife);
                }
            }
            b"l" => {
                if let Some([x, y]) = operands.last() {
                    path.line(x, y, state.matrix);
                }
            }
            b"c" | b"v" | b"y" => path.curve(operator, operands, state.matrix),
            b"re" => {
                if let Some(sides) = operands.last() {
                    path.rectangle(sides, state, knife);
                }
            }
            b"h" => path.close(),
            b"W" | b"W*" => path.cut(),
            b"n" => drop(path.end(state, knife)),
            b"f" | b"F" | b"f*" => self.paint(graphics, true, false),
            b"S" | b"s" => self.paint(graphics, false, true),
            b"B" | b"B*" | b"b" | b"b*" => self.paint(graphics, true, true),
            _ => return false,
        }
        true
    }
    fn paint(&mut self, graphics: &mut Graphics, fills: bool, strokes: bool) {
        let Graphics { state, path, .. } = graphics;
        let painted = path.end(state, self.knife.as_ref());
        if fills && state.fill.tint != Tint::Paper {
            nearer(&mut self.edge, painted.filled);
            if let Some(thin) = painted.thinnest {
                least(&mut self.measure.thinnest, thin);
            }
            self.measure.bare_fill |= state.fill.tint == Tint::Inherited;
        }
        if strokes {
            if state.stroke.tint != Tint::Paper {
                nearer(&mut self.edge, painted.stroked);
            }
            self.stroked(state);
        }
    }

    fn operator(
        &mut self,
        operator: &[u8],
        operands: &Operands<'_>,
        resources: Option<&'a Dictionary>,
        state: &mut State,
        depth: usize,
    ) {
        let numbers = operands.numbers();
        let named = operands.name.unwrap_or(b"");
        let colour =
            if operator.first().is_some_and(u8::is_ascii_uppercase) { &mut state.stroke } else { &mut state.fill };
        match operator {
            b"cm" => {
                if let Some(matrix) = operands.last() {
                    state.matrix = Matrix(matrix).then(state.matrix);
                }
            }
            b"w" => state.width = Some(numbers.last().copied().unwrap_or(1.0)),
            b"rg" | b"RG" => {
                colour.set(Mixing::Light, numbers);
                self.colour("DeviceRGB");
                self.drawn.chromatic |= numbers.windows(2).any(|pair| pair[0] != pair[1]);
            }
            b"k" | b"K" => {
                colour.set(Mixing::Inks, numbers);
                self.colour("DeviceCMYK");
                self.drawn.chromatic |= is_chromatic(Mixing::Inks, numbers);
            }
            b"g" | b"G" => {
                colour.set(Mixing::Light, numbers);
                self.colour("DeviceGray");
            }
            b"cs" | b"CS" => colour.choose(self.space(named, resources)),
            b"sc" | b"SC" => {
                colour.set(colour.mixing, numbers);
                self.drawn.chromatic |= is_chromatic(colour.mixing, numbers);
            }
            b"scn" | b"SCN" => {
                if operands.name.is_some() {
                    colour.choose(Mixing::Other);
                    self.pattern(named, resources, depth);
                } else {
                    colour.set(colour.mixing, numbers);
                    self.drawn.chromatic |= is_chromatic(colour.mixing, numbers);
                }
            }
            b"Do" => self.object(named, resources, state, depth),
            b"gs" => self.graphics_state(named, resources, state, depth),
            b"Tf" => {
                state.text.size = numbers.last().copied().unwrap_or(0.0);
                state.text.font = self.font(named, resources, depth).map_or(Set::Lost, |font| self.set_in(font));
            }
            b"sh" => {
                self.shading(named, resources);
                if let Some(clip) = state.clip {
                    self.meet(clip, None);
                }
            }
            _ => {}
        }
    }
    /// Notes where an area of ink ends too near to the trim.
    pub(super) fn meet(&mut self, area: [f64; 4], clip: Option<[f64; 4]>) {
        if let Some(knife) = &self.knife {
            nearer(&mut self.edge, knife.meets(super::graphics::shared(area, clip)));
        }
    }

    fn object(&mut self, wanted: &[u8], resources: Option<&'a Dictionary>, state: &State, depth: usize) {
        let Some((id, Object::Stream(stream))) = self.look("XObject", wanted, resources) else {
            return self.drawn.miss(self.number, "the picture or form", wanted);
        };
        match name(&stream.dict, "Subtype").as_str() {
            "Image" => self.image(stream, state),
            "Form" => self.form(id, stream, resources, state, depth),
            // A PostScript picture is told of wherever it is.
            "PS" => {}
            _ => self.drawn.miss(self.number, "as a picture or form what is neither,", wanted),
        }
    }
}

/// Whether a colour in CMYK has more in it than black.
fn is_chromatic(mixing: Mixing, numbers: &[f64]) -> bool {
    mixing == Mixing::Inks && numbers.iter().take(3).any(|ink| *ink > 0.0)
}
