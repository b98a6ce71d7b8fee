//! Forms, cells of patterns, glyphs that are drawings, and what annotations look like: content that is drawn from elsewhere.
//!
//! Each is walked once and measured at every size at which it is drawn; where ink in it ends is looked at wherever it is drawn near an
//! edge.

use super::graphics::{Matrix, Measure, State, Tint};
use super::survey::{area, dictionary, numbers};
use super::walk::{DEPTH, Graphics, Walk};
use lopdf::{Dictionary, Object, ObjectId, Stream};
use std::mem::{replace, take};

/// Most bytes that are unpacked to look at forms again, and most places of forms that are told apart.
pub(super) const AGAIN: usize = 16 << 20;
const PLACES: usize = 100_000;
/// Most annotations of a page whose looks are walked.
const ANNOTATIONS: usize = 10_000;

/// A form at a place: itself, its matrix, what is cut away, the edges of the page.
pub(super) type Place = (ObjectId, [u64; 6], Option<[u64; 4]>, [u64; 8]);

impl<'a> Walk<'a> {
    /// A form or a cell: walked once, and measured at each size at which it is drawn.
    pub(super) fn form(
        &mut self,
        id: Option<ObjectId>,
        stream: &'a Stream,
        resources: Option<&'a Dictionary>,
        state: &State,
        depth: usize,
    ) {
        let scale = state.matrix.scale();
        let is_seen = scale > 0.0 && scale.is_finite();
        if let Some(known) = id.and_then(|id| self.forms.get(&id)) {
            if is_seen {
                self.measure.add(known.enlarged(scale), state);
                self.form_again(id, stream, resources, state, depth);
            }
            return;
        }
        if depth >= DEPTH {
            return self.note("forms lie too deep inside one another".to_owned());
        }
        self.place(id, state);
        if let Some(id) = id {
            // One that draws itself is known while it is walked.
            self.forms.insert(id, Measure::default());
        }
        if self.group(&stream.dict) {
            self.drawn.transparency.insert("a transparency group".to_owned());
        }
        let own = stream.dict.get(b"Resources").ok().and_then(|found| dictionary(self.file, found));
        let Some(bytes) = self.unpack(stream, "a form or pattern") else { return };
        let (from, knife) = if is_seen { (*state, self.knife) } else { (State::start(Matrix::ONE), None) };
        let within = self.within(stream, &from);
        let outside = (take(&mut self.measure), replace(&mut self.knife, knife));
        self.scan(&bytes, own.or(resources), depth + 1, &mut Graphics::new(within));
        let found = replace(&mut self.measure, outside.0);
        self.knife = outside.1;
        if let Some(id) = id {
            self.forms.insert(id, if is_seen { found.enlarged(scale.recip()) } else { found });
        }
        if is_seen {
            self.measure.add(found, state);
        }
    }
    /// The state inside a form that is drawn in a state: moved by its matrix, cut to its box.
    fn within(&self, stream: &Stream, state: &State) -> State {
        let matrix = stream.dict.get(b"Matrix").ok().and_then(|found| numbers(self.file, found));
        let boundary = stream.dict.get(b"BBox").ok().and_then(|found| area(self.file, found));
        state.within(matrix.map_or(Matrix::ONE, Matrix), boundary)
    }
    /// Notes where a form is drawn; says whether it is the first time there.
    fn place(&mut self, id: Option<ObjectId>, state: &State) -> bool {
        let (Some(id), Some(knife)) = (id, &self.knife) else { return false };
        let place = (id, state.matrix.0.map(f64::to_bits), state.clip.map(|clip| clip.map(f64::to_bits)), knife.key());
        self.places.len() < PLACES && self.places.insert(place)
    }
    /// A form that is known, for the ends of its ink where it is drawn now.
    fn form_again(
        &mut self,
        id: Option<ObjectId>,
        stream: &'a Stream,
        resources: Option<&'a Dictionary>,
        state: &State,
        depth: usize,
    ) {
        let Some(knife) = self.knife else { return };
        let within = self.within(stream, state);
        // Nothing of a form is drawn outside its box.
        if within.clip.is_some_and(|clip| knife.is_clear(clip)) || !self.place(id, state) {
            return;
        }
        let own = stream.dict.get(b"Resources").ok().and_then(|found| dictionary(self.file, found));
        let is_first = !replace(&mut self.is_again, true);
        let left = if is_first { replace(&mut self.left, self.again) } else { 0 };
        let measure = take(&mut self.measure);
        if depth < DEPTH
            && let Some(bytes) = self.unpack(stream, "a form or pattern")
        {
            self.scan(&bytes, own.or(resources), depth + 1, &mut Graphics::new(within));
        }
        self.measure = measure;
        if is_first {
            self.again = replace(&mut self.left, left);
            self.is_again = false;
        }
    }
    /// What annotations of a page look like when it is printed: their colours and fonts are those of the file. Where they lie is a
    /// point of its own.
    pub(super) fn appearances(&mut self, page: &'a Dictionary) {
        let Some(Ok((_, Object::Array(list)))) = page.get(b"Annots").ok().map(|list| self.file.dereference(list))
        else {
            return;
        };
        let knife = self.knife.take();
        for entry in list.iter().take(ANNOTATIONS) {
            let looks = dictionary(self.file, entry).and_then(|entry| dictionary(self.file, entry.get(b"AP").ok()?));
            let Some(usual) = looks.and_then(|looks| looks.get(b"N").ok()) else { continue };
            match self.file.dereference(usual) {
                Ok((id, Object::Stream(stream))) => self.appearance(id, stream),
                Ok((_, Object::Dictionary(states))) => {
                    for (_, state) in states.iter().take(ANNOTATIONS) {
                        if let Ok((id, Object::Stream(stream))) = self.file.dereference(state) {
                            self.appearance(id, stream);
                        }
                    }
                }
                _ => {}
            }
        }
        self.knife = knife;
    }
    fn appearance(&mut self, id: Option<ObjectId>, stream: &'a Stream) {
        // It is scaled into a place of its own: how thick its lines are is not known here.
        self.unmeasured(id, stream, None, 0);
    }
    /// Walks what is drawn for its colours and fonts alone.
    pub(super) fn unmeasured(
        &mut self,
        id: Option<ObjectId>,
        stream: &'a Stream,
        resources: Option<&'a Dictionary>,
        depth: usize,
    ) {
        let outside = (take(&mut self.measure), self.knife.take());
        self.form(id, stream, resources, &State::start(self.unit), depth);
        let found = replace(&mut self.measure, outside.0);
        self.knife = outside.1;
        if found.bare_fill || found.bare_stroke {
            self.colour("DeviceGray");
        }
    }
    pub(super) fn pattern(&mut self, wanted: &[u8], resources: Option<&'a Dictionary>, depth: usize) {
        let Some((id, found)) = self.look("Pattern", wanted, resources) else {
            return self.drawn.miss(self.number, "the pattern", wanted);
        };
        match found {
            Object::Dictionary(pattern) => {
                let shading = pattern.get(b"Shading").ok().and_then(|found| dictionary(self.file, found));
                if let Some(space) = shading.and_then(|found| found.get(b"ColorSpace").ok()) {
                    self.note_space(space);
                }
                // Table 76: a shading may bring a state of its own.
                if let Some(set) = pattern.get(b"ExtGState").ok().and_then(|set| dictionary(self.file, set)) {
                    self.take_state(set, resources, &mut State::start(self.unit), depth);
                }
            }
            Object::Stream(cell) => {
                // A cell has its own place, and begins as a page does (ISO 32000-1, 8.7.3.1); one without colour takes that
                // of the area.
                let mut state = State { width: Some(1.0), ..State::start(self.unit) };
                if cell.dict.get(b"PaintType").and_then(Object::as_i64).is_ok_and(|kind| kind == 2) {
                    (state.fill.tint, state.stroke.tint) = (Tint::Ink, Tint::Ink);
                }
                let knife = self.knife.take();
                self.form(id, cell, resources, &state, depth);
                self.knife = knife;
            }
            _ => self.drawn.miss(self.number, "the pattern", wanted),
        }
    }
    /// Glyphs that are drawings are walked like forms; their size is not known here, and nothing is measured.
    pub(super) fn glyphs(&mut self, glyphs: &'a Dictionary, resources: Option<&'a Dictionary>, depth: usize) {
        if depth >= DEPTH {
            return self.note("forms lie too deep inside one another".to_owned());
        }
        let outside = (self.measure, self.knife.take());
        for (_, glyph) in glyphs.iter().take(1000) {
            if let Ok((_, Object::Stream(stream))) = self.file.dereference(glyph)
                && let Some(bytes) = self.unpack(stream, "a glyph")
            {
                self.scan(&bytes, resources, depth + 1, &mut Graphics::new(State::start(Matrix::ONE)));
            }
        }
        (self.measure, self.knife) = outside;
    }
}
