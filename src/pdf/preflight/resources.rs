//! What the pages of a foreign file draw: operators, colours, fonts, graphics states, pictures, through forms and patterns.

use super::colours::{device, families};
use super::content::{Event, Operand, Scan};
use super::survey::{dictionary, inherited, name};
use lopdf::{Dictionary, Document, Object, ObjectId, Stream};
use std::collections::{BTreeMap, BTreeSet};

/// Most bytes of one stream, unpacked.
const STREAM: usize = 16 << 20;
/// Most bytes of all streams, unpacked: half as much again as the content of a book of two thousand pages. What is beyond is not
/// looked at, and said to be so.
const ALL: usize = 32 << 20;
/// Most parts of the content of a page, and of all pages together.
const PARTS_OF_A_PAGE: usize = 1_000;
const PARTS: usize = 100_000;
/// The least that a stream counts, however short.
const LEAST: usize = 64;
/// Deflated bytes become at most so many times as many (zlib's technical notes: 1032 to 1).
const DEFLATE: usize = 1032;
/// Most forms inside forms.
const DEPTH: usize = 24;

/// What is drawn.
#[derive(Debug, Clone, Default)]
pub(super) struct Drawn {
    /// Families of colour spaces, spot inks by name.
    pub(super) colours: BTreeSet<String>,
    /// Spaces by device that stand for another kind of space, in plain words (ISO 32000-1, 8.6.5.6).
    pub(super) defaults: BTreeSet<String>,
    /// Operators that the standard does not know.
    pub(super) unknown: BTreeSet<String>,
    /// Fonts by name, and whether each is embedded.
    pub(super) fonts: BTreeMap<String, bool>,
    /// Transparency, in plain words.
    pub(super) transparency: BTreeSet<String>,
    /// Transfer curves and halftones that are forbidden, in plain words.
    pub(super) curves: BTreeSet<String>,
    /// Deepest nesting of saved states.
    pub(super) deepest: usize,
    /// Thinnest stroke in points, as far as it is set by `w`.
    pub(super) thinnest: Option<f64>,
    /// Whether any CMYK black is not black alone, or any colour is chromatic.
    pub(super) chromatic: bool,
    /// Whether blend modes outside the standard are used.
    pub(super) odd_blends: BTreeSet<String>,
}

impl Drawn {
    /// Walks all pages; gives also what could not be read.
    pub(super) fn of(file: &Document, pages: &[ObjectId]) -> (Self, Vec<String>) {
        let mut walk = Walk {
            file,
            drawn: Self::default(),
            unread: Vec::new(),
            seen: BTreeSet::new(),
            pages: BTreeSet::new(),
            left: ALL,
            parts: PARTS,
        };
        for (index, page) in pages.iter().enumerate() {
            if walk.left == 0 || walk.parts == 0 {
                let rest = format!("pages from {} on: there is more content than is looked at", index + 1);
                // One line stands for all that follows.
                walk.unread.push(rest);
                break;
            }
            walk.page(index, *page);
        }
        (walk.drawn, walk.unread)
    }
}

struct Walk<'a> {
    file: &'a Document,
    drawn: Drawn,
    unread: Vec<String>,
    seen: BTreeSet<ObjectId>,
    /// What pages have been walked, as content and resources: the same drawn again says nothing new.
    pages: BTreeSet<(Vec<ObjectId>, *const Dictionary)>,
    /// How many bytes may still be unpacked, and how many parts of pages walked.
    left: usize,
    parts: usize,
}

/// The state that matters: scale of the current matrix, line width.
#[derive(Debug, Clone, Copy)]
struct State {
    scale: f64,
    width: f64,
}

/// The state, and those saved.
#[derive(Debug, Clone)]
struct Graphics {
    state: State,
    saved: Vec<State>,
}

impl Default for Graphics {
    fn default() -> Self {
        Self { state: State { scale: 1.0, width: 1.0 }, saved: Vec::new() }
    }
}

impl<'a> Walk<'a> {
    fn page(&mut self, index: usize, id: ObjectId) {
        let Ok(page) = self.file.get_dictionary(id) else { return };
        let resources = inherited(self.file, page, "Resources").and_then(|found| dictionary(self.file, found));
        self.group(page);
        let mut graphics = Graphics::default();
        let mut parts: Vec<ObjectId> = self.file.get_page_contents(id);
        if parts.len() > PARTS_OF_A_PAGE {
            self.note(format!(
                "page {}: of {} parts the first {PARTS_OF_A_PAGE} are looked at",
                index + 1,
                parts.len()
            ));
        }
        parts.truncate(PARTS_OF_A_PAGE.min(self.parts));
        self.parts -= parts.len();
        let drawn = (parts, resources.map_or(std::ptr::null(), std::ptr::from_ref));
        if self.pages.contains(&drawn) {
            return;
        }
        // A page may have its content in parts; the graphics state goes on from one to the next.
        for part in &drawn.0 {
            if let Ok(Object::Stream(stream)) = self.file.get_object(*part) {
                match self.unpack(stream) {
                    Some(bytes) => self.scan(&bytes, resources, 0, &mut graphics),
                    None if self.left == 0 => break,
                    None => self.note(format!("the content of page {} cannot be unpacked", index + 1)),
                }
            }
        }
        self.pages.insert(drawn);
    }
    fn note(&mut self, what: String) {
        if self.unread.len() < 20 {
            self.unread.push(what);
        }
    }
    fn unpack(&mut self, stream: &Stream) -> Option<Vec<u8>> {
        if self.left == 0 {
            return None;
        }
        let bytes = stream.get_plain_content_with_limit(STREAM.min(self.left)).ok();
        // One that is too large, or breaks off, may have cost what its bytes can become.
        let most = || stream.content.len().saturating_mul(DEFLATE);
        let cost = bytes.as_ref().map_or_else(most, Vec::len);
        self.left = self.left.saturating_sub(cost.max(LEAST));
        bytes
    }

    fn scan(&mut self, content: &[u8], resources: Option<&'a Dictionary>, depth: usize, graphics: &mut Graphics) {
        self.defaults(resources);
        let Graphics { state, saved } = graphics;
        for event in Scan::new(content) {
            match event {
                Event::Unknown(word) => {
                    if self.drawn.unknown.len() < 20 {
                        self.drawn.unknown.insert(word);
                    }
                }
                Event::InlineImage(names) => self.inline_image(&names, resources),
                Event::Operator(b"q", _) => {
                    // Nesting beyond any use is counted, but its states are not kept.
                    if saved.len() < 10_000 {
                        saved.push(*state);
                    }
                    self.drawn.deepest = self.drawn.deepest.max(saved.len());
                }
                Event::Operator(b"Q", _) => *state = saved.pop().unwrap_or(*state),
                Event::Operator(operator, operands) => self.operator(operator, &operands, resources, state, depth),
            }
        }
    }

    fn operator(
        &mut self,
        operator: &[u8],
        operands: &[Operand],
        resources: Option<&'a Dictionary>,
        state: &mut State,
        depth: usize,
    ) {
        let numbers: Vec<f64> =
            operands.iter().filter_map(|o| if let Operand::Number(n) = o { Some(*n) } else { None }).collect();
        let named =
            operands.iter().rev().find_map(|o| if let Operand::Name(n) = o { Some(n.as_slice()) } else { None });
        match operator {
            b"cm" => {
                if let [a, b, c, d, ..] = numbers[..] {
                    state.scale *= (a * d - b * c).abs().sqrt();
                }
            }
            b"w" => state.width = numbers.last().copied().unwrap_or(1.0),
            b"S" | b"s" | b"B" | b"b" | b"B*" | b"b*" => {
                let width = state.width * state.scale;
                self.drawn.thinnest = Some(self.drawn.thinnest.map_or(width, |least| least.min(width)));
            }
            b"rg" | b"RG" => {
                self.colour("DeviceRGB");
                self.drawn.chromatic |= numbers.windows(2).any(|pair| pair[0] != pair[1]);
            }
            b"k" | b"K" => {
                self.colour("DeviceCMYK");
                self.drawn.chromatic |= numbers.iter().take(3).any(|ink| *ink > 0.0);
            }
            b"g" | b"G" => self.colour("DeviceGray"),
            b"cs" | b"CS" => self.space(named.unwrap_or(b""), resources),
            b"Do" => self.object(named.unwrap_or(b""), resources, depth),
            b"gs" => self.graphics_state(named.unwrap_or(b""), resources, depth),
            b"Tf" => self.font(named.unwrap_or(b""), resources, depth),
            b"sh" => {
                let shading = self.find("Shading", named.unwrap_or(b""), resources);
                if let Some(space) = shading.and_then(|found| found.get(b"ColorSpace").ok()) {
                    families(self.file, space, 0, &mut self.drawn.colours);
                }
            }
            b"scn" | b"SCN" => self.pattern(named, resources, depth),
            _ => {}
        }
    }

    fn colour(&mut self, family: &str) {
        if !self.drawn.colours.contains(family) {
            self.drawn.colours.insert(family.to_owned());
        }
    }
    fn space(&mut self, wanted: &[u8], resources: Option<&'a Dictionary>) {
        let spaces =
            resources.and_then(|found| found.get(b"ColorSpace").ok()).and_then(|found| dictionary(self.file, found));
        match spaces.and_then(|spaces| spaces.get(wanted).ok()) {
            Some(space) => families(self.file, space, 0, &mut self.drawn.colours),
            None => self.colour(&device(wanted)),
        }
    }
    fn find(&self, kind: &str, wanted: &[u8], resources: Option<&'a Dictionary>) -> Option<&'a Dictionary> {
        let list = dictionary(self.file, resources?.get(kind.as_bytes()).ok()?)?;
        dictionary(self.file, list.get(wanted).ok()?)
    }
    /// The stream of a resource, each walked once.
    fn stream(&mut self, kind: &str, wanted: &[u8], resources: Option<&'a Dictionary>) -> Option<&'a Stream> {
        let list = dictionary(self.file, resources?.get(kind.as_bytes()).ok()?)?;
        let (id, object) = self.file.dereference(list.get(wanted).ok()?).ok()?;
        if !id.is_none_or(|id| self.seen.insert(id)) {
            return None;
        }
        if let Object::Stream(stream) = object { Some(stream) } else { None }
    }

    fn object(&mut self, wanted: &[u8], resources: Option<&'a Dictionary>, depth: usize) {
        let Some(stream) = self.stream("XObject", wanted, resources) else { return };
        match name(&stream.dict, "Subtype").as_str() {
            "Image" => {
                if let Ok(space) = stream.dict.get(b"ColorSpace") {
                    families(self.file, space, 0, &mut self.drawn.colours);
                }
                if stream.dict.has(b"SMask") {
                    self.drawn.transparency.insert("a picture with a soft mask".to_owned());
                }
            }
            "Form" => self.form(stream, resources, depth),
            _ => {}
        }
    }
    fn form(&mut self, stream: &'a Stream, resources: Option<&'a Dictionary>, depth: usize) {
        if depth >= DEPTH {
            return self.note("forms lie too deep inside one another".to_owned());
        }
        if self.group(&stream.dict) {
            self.drawn.transparency.insert("a transparency group".to_owned());
        }
        let own = stream.dict.get(b"Resources").ok().and_then(|found| dictionary(self.file, found));
        match self.unpack(stream) {
            Some(bytes) => self.scan(&bytes, own.or(resources), depth + 1, &mut Graphics::default()),
            None if self.left == 0 => {}
            None => self.note("a form cannot be unpacked".to_owned()),
        }
    }
    /// Notes the colour space in which a transparency group is mixed, and says whether there is a group.
    fn group(&mut self, holder: &Dictionary) -> bool {
        let group = holder.get(b"Group").ok().and_then(|group| dictionary(self.file, group));
        let Some(group) = group.filter(|group| name(group, "S") == "Transparency") else { return false };
        if let Ok(space) = group.get(b"CS") {
            families(self.file, space, 0, &mut self.drawn.colours);
        }
        true
    }
    /// Notes spaces that are to stand for those by device.
    fn defaults(&mut self, resources: Option<&'a Dictionary>) {
        let spaces =
            resources.and_then(|found| found.get(b"ColorSpace").ok()).and_then(|found| dictionary(self.file, found));
        let Some(spaces) = spaces else { return };
        for key in ["DefaultGray", "DefaultRGB", "DefaultCMYK"] {
            let Ok(space) = spaces.get(key.as_bytes()) else { continue };
            let mut found = BTreeSet::new();
            families(self.file, space, 0, &mut found);
            let tied =
                found.iter().filter(|family| matches!(family.as_str(), "CalGray" | "CalRGB" | "Lab" | "ICCBased"));
            self.drawn.defaults.extend(tied.map(|family| format!("{key} stands for {family}")));
        }
    }
    fn pattern(&mut self, wanted: Option<&[u8]>, resources: Option<&'a Dictionary>, depth: usize) {
        let Some(wanted) = wanted else { return };
        if let Some(shading) = self.find("Pattern", wanted, resources).and_then(|found| found.get(b"Shading").ok())
            && let Some(space) = dictionary(self.file, shading).and_then(|found| found.get(b"ColorSpace").ok())
        {
            families(self.file, space, 0, &mut self.drawn.colours);
        }
        if let Some(stream) = self.stream("Pattern", wanted, resources) {
            self.form(stream, resources, depth);
        }
    }
    fn inline_image(&mut self, names: &[Vec<u8>], resources: Option<&'a Dictionary>) {
        for pair in names.windows(2) {
            if matches!(pair[0].as_slice(), b"CS" | b"ColorSpace") {
                self.space(&pair[1], resources);
            }
        }
    }

    fn graphics_state(&mut self, wanted: &[u8], resources: Option<&'a Dictionary>, depth: usize) {
        let Some(state) = self.find("ExtGState", wanted, resources) else { return };
        match state.get(b"SMask").ok().map(|mask| self.file.dereference(mask)) {
            None | Some(Ok((_, Object::Name(_) | Object::Null))) => {}
            Some(_) => drop(self.drawn.transparency.insert("a soft mask".to_owned())),
        }
        for key in ["CA", "ca"] {
            if state.get(key.as_bytes()).and_then(Object::as_float).is_ok_and(|alpha| alpha < 1.0) {
                self.drawn.transparency.insert(format!("opacity {key} under 1"));
            }
        }
        let modes = match state.get(b"BM") {
            Ok(Object::Name(_)) => vec![name(state, "BM")],
            Ok(Object::Array(modes)) => {
                modes.iter().filter_map(|m| m.as_name().ok()).map(|m| String::from_utf8_lossy(m).into_owned()).collect()
            }
            _ => Vec::new(),
        };
        for mode in modes {
            if mode != "Normal" && mode != "Compatible" {
                self.drawn.transparency.insert(format!("blend mode {mode}"));
            }
            if !BLENDS.contains(&mode.as_str()) {
                self.drawn.odd_blends.insert(mode);
            }
        }
        self.curves(state);
        if let Ok(font) = state.get(b"Font").and_then(Object::as_array)
            && let Some(font) = font.first().and_then(|font| dictionary(self.file, font))
        {
            self.one_font(font, resources, depth);
        }
    }
    fn curves(&mut self, state: &Dictionary) {
        if state.has(b"TR") {
            self.drawn.curves.insert("a transfer curve (TR)".to_owned());
        }
        if state.has(b"TR2") && name(state, "TR2") != "Default" {
            self.drawn.curves.insert("a transfer curve (TR2)".to_owned());
        }
        if state.has(b"HTP") {
            self.drawn.curves.insert("a halftone phase (HTP)".to_owned());
        }
        if let Some(halftone) = state.get(b"HT").ok().and_then(|found| dictionary(self.file, found)) {
            let kind = halftone.get(b"HalftoneType").and_then(Object::as_i64).unwrap_or(1);
            if kind != 1 && kind != 5 {
                self.drawn.curves.insert(format!("a halftone of type {kind}"));
            }
            if halftone.has(b"HalftoneName") {
                self.drawn.curves.insert("a halftone by name".to_owned());
            }
        }
    }

    fn font(&mut self, wanted: &[u8], resources: Option<&'a Dictionary>, depth: usize) {
        match self.find("Font", wanted, resources) {
            Some(font) => self.one_font(font, resources, depth),
            None => drop(self.drawn.fonts.insert(format!("/{}", String::from_utf8_lossy(wanted)), false)),
        }
    }
    fn one_font(&mut self, font: &'a Dictionary, resources: Option<&'a Dictionary>, depth: usize) {
        let called = name(font, "BaseFont");
        if name(font, "Subtype") == "Type3" {
            return self.type3(font, resources, depth);
        }
        if self.drawn.fonts.contains_key(&called) {
            return;
        }
        let descendant = match font.get(b"DescendantFonts").ok().map(|list| self.file.dereference(list)) {
            Some(Ok((_, Object::Array(list)))) => list.first().and_then(|font| dictionary(self.file, font)),
            _ => None,
        };
        let descriptor = descendant.unwrap_or(font).get(b"FontDescriptor").ok().and_then(|d| dictionary(self.file, d));
        let embedded = descriptor.is_some_and(|descriptor| {
            ["FontFile", "FontFile2", "FontFile3"].iter().any(|key| {
                descriptor
                    .get(key.as_bytes())
                    .ok()
                    .and_then(|f| self.file.dereference(f).ok())
                    .is_some_and(|(_, f)| f.as_stream().is_ok())
            })
        });
        self.drawn.fonts.insert(called, embedded);
    }
    /// A font whose glyphs are drawings: they are walked like forms, once.
    fn type3(&mut self, font: &'a Dictionary, resources: Option<&'a Dictionary>, depth: usize) {
        let called = format!("Type 3 {}", name(font, "Name"));
        if self.drawn.fonts.insert(called, true).is_some() || depth >= DEPTH {
            return;
        }
        let own = font.get(b"Resources").ok().and_then(|found| dictionary(self.file, found)).or(resources);
        let Some(glyphs) = font.get(b"CharProcs").ok().and_then(|found| dictionary(self.file, found)) else { return };
        for (_, glyph) in glyphs.iter().take(1000) {
            if let Ok((_, Object::Stream(stream))) = self.file.dereference(glyph)
                && let Some(bytes) = self.unpack(stream)
            {
                self.scan(&bytes, own, depth + 1, &mut Graphics::default());
            }
        }
    }
}

/// ISO 32000-1, 11.3.5.
const BLENDS: [&str; 17] = [
    "Normal",
    "Compatible",
    "Multiply",
    "Screen",
    "Overlay",
    "Darken",
    "Lighten",
    "ColorDodge",
    "ColorBurn",
    "HardLight",
    "SoftLight",
    "Difference",
    "Exclusion",
    "Hue",
    "Saturation",
    "Color",
    "Luminosity",
];
