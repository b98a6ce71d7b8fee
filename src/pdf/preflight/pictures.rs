//! Pictures of a foreign file: their dots an inch where they are drawn, their colour, where they end.

use super::colours::families;
use super::content::{Entry, Part};
use super::graphics::{State, Tint};
use super::walk::Walk;
use lopdf::{Dictionary, Object, Stream};
use std::collections::BTreeSet;

impl<'a> Walk<'a> {
    pub(super) fn image(&mut self, stream: &'a Stream, state: &State) {
        let entry = |key: &str| stream.dict.get(key.as_bytes());
        if let Ok(space) = entry("ColorSpace") {
            self.note_space(space);
            self.mixed(space);
        } else if super::survey::filters(&stream.dict).any(|filter| filter == b"JPXDecode") {
            self.drawn.uncoloured(self.number);
        }
        // Only a stream is a mask; a name in its place, which some write, is none.
        if entry("SMask").is_ok_and(|mask| matches!(self.file.dereference(mask), Ok((_, Object::Stream(_))))) {
            self.drawn.transparency.insert("a picture with a soft mask".to_owned());
        }
        let number = |key: &str| entry(key).and_then(Object::as_float).map_or(0.0, f64::from);
        self.deep(number("BitsPerComponent"));
        let is_mask = matches!(entry("ImageMask"), Ok(Object::Boolean(true)));
        let is_bilevel = is_mask || entry("BitsPerComponent").and_then(Object::as_i64).is_ok_and(|bits| bits == 1);
        self.picture((number("Width"), number("Height")), is_bilevel, is_mask, state);
    }
    /// Notes a picture, or a shading, in whose colours any ink of a press may be: they are not looked at one by one.
    pub(super) fn mixed(&mut self, space: &Object) {
        let mut found = BTreeSet::new();
        families(self.file, space, 0, &mut found);
        let is_spot = found.iter().any(|family| family.starts_with("Separation"));
        if found.contains("DeviceCMYK") && !is_spot {
            self.drawn.mixed(self.number);
        }
    }
    /// ISO 32000-1, table 89: sixteen bits a component came with PDF 1.5.
    fn deep(&mut self, bits: f64) {
        if bits > 8.0 {
            self.drawn.later.insert("a picture of sixteen bits a component, which came with 1.5");
        }
    }
    fn picture(&mut self, dots: (f64, f64), is_bilevel: bool, is_mask: bool, state: &State) {
        if is_mask && state.fill.tint == Tint::Paper {
            return;
        }
        self.measure.picture(dots, is_bilevel, state.matrix);
        self.measure.bare_fill |= is_mask && state.fill.tint == Tint::Inherited;
        self.meet(state.matrix.area([0.0, 0.0, 1.0, 1.0]), state.clip);
    }
    pub(super) fn inline_image(&mut self, entries: &[Entry<'_>], resources: Option<&'a Dictionary>, state: &State) {
        let entry = |short: &[u8], long: &[u8]| {
            let found = entries.iter().find(|(key, _)| *key == short || *key == long);
            found.map_or(&[][..], |(_, parts)| parts.as_slice())
        };
        let number = |parts: &[Part<'_>]| if let [Part::Number(number)] = parts { *number } else { 0.0 };
        for part in entry(b"CS", b"ColorSpace") {
            if let Part::Name(space) = part {
                self.space(space, resources);
                if matches!(*space, b"CMYK" | b"DeviceCMYK") {
                    self.drawn.mixed(self.number);
                }
            }
        }
        for part in entry(b"F", b"Filter") {
            if let Part::Name(filter) = part
                && self.drawn.filters.len() < 20
            {
                self.drawn.filters.insert(String::from_utf8_lossy(filter).into_owned());
            }
        }
        if entry(b"I", b"Interpolate") == [Part::True] {
            self.drawn.oddities.insert("an interpolated picture");
        }
        self.deep(number(entry(b"BPC", b"BitsPerComponent")));
        let is_mask = entry(b"IM", b"ImageMask") == [Part::True];
        let is_bilevel = is_mask || number(entry(b"BPC", b"BitsPerComponent")) == 1.0;
        let dots = (number(entry(b"W", b"Width")), number(entry(b"H", b"Height")));
        self.picture(dots, is_bilevel, is_mask, state);
    }
}
