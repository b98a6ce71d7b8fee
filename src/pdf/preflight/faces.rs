//! Fonts of a foreign file as far as text is measured by them: how codes part, how wide glyphs are, where their ink lies.
//!
//! Takes dictionaries of fonts; gives widths and boxes in glyph space. Source: ISO 32000-1, 9.2.4 (glyph space), 9.6.2 (simple fonts),
//! 9.6.5 (fonts of drawings), 9.7.4 (composite fonts, their widths), 9.8 (descriptors). Where a composite font is in the file and its
//! characters have the numbers of its glyphs, ink is that of the outlines; else it is the box of the width and the font's own heights.

use super::graphics::Matrix;
use super::survey::{Area, area, dictionary, name, numbers};
use crate::font::Program;
use lopdf::{Dictionary, Document, Object, Stream};

/// Most widths of all fonts of a file that are kept: an array of them may be shared by any number of fonts.
pub(super) const WIDTHS: usize = 2_000_000;
/// Heights of a font that says nothing of them, in thousandths (common practice, no source).
const HEIGHTS: (f64, f64) = (-250.0, 1000.0);
/// The width of a glyph of which nothing is said; such fonts are not in the file, which is a fault of its own.
const WIDTH: f64 = 600.0;

/// A font.
pub(super) struct Face<'a> {
    /// What it is called.
    pub(super) called: String,
    /// From glyph space to text space.
    pub(super) matrix: Matrix,
    codes: Codes,
    /// The box of glyphs whose outlines are not known, their width left out.
    low: f64,
    high: f64,
    /// The box of any glyph, where it is not the width that says how broad it is.
    whole: Option<Area>,
    /// Its program, where its outlines can be looked up by number.
    pub(super) file: Option<&'a Stream>,
    /// The program once it has been read, if it could be.
    pub(super) program: Option<Option<Program>>,
}

/// How codes part and how wide their glyphs are, in glyph space.
enum Codes {
    /// One byte each.
    One { first: i64, widths: Vec<f32>, missing: f64 },
    /// Two bytes each: widths from nought on, no number for the usual one.
    Two { usual: f64, widths: Vec<f32> },
    /// Why it is not known.
    Unknown(&'static str),
}

/// The ink of a glyph in glyph space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Inked {
    /// None at all.
    Blank,
    /// In this box.
    Within(Area),
}

impl<'a> Face<'a> {
    /// The face of a font; `left` is how many widths may still be kept.
    pub(super) fn of(file: &'a Document, font: &'a Dictionary, left: &mut usize) -> Self {
        let kind = name(font, "Subtype");
        let below = match font.get(b"DescendantFonts").ok().map(|list| file.dereference(list)) {
            Some(Ok((_, Object::Array(list)))) => list.first().and_then(|font| dictionary(file, font)),
            _ => None,
        };
        let own = below.unwrap_or(font);
        let descriptor = own.get(b"FontDescriptor").ok().and_then(|found| dictionary(file, found));
        let number = |dictionary: Option<&Dictionary>, key: &str| {
            dictionary.and_then(|found| found.get(key.as_bytes()).and_then(Object::as_float).ok()).map(f64::from)
        };
        let boxed = |holder: Option<&'a Dictionary>| holder.and_then(|found| area(file, found.get(b"FontBBox").ok()?));
        let real = |area: &Area| area[2] > area[0] && area[3] > area[1];
        let (mut matrix, mut whole) = (Matrix::scaled(0.001), None);
        let codes = match kind.as_str() {
            "Type3" => {
                matrix = font.get(b"FontMatrix").ok().and_then(|found| numbers(file, found)).map_or(matrix, Matrix);
                whole = boxed(Some(font)).filter(real);
                if whole.is_some() { one(file, font, 0.0, left) } else { Codes::Unknown("its drawings have no box") }
            }
            "Type0" => match name(font, "Encoding").as_str() {
                "Identity-H" => two(file, own, left),
                _ => Codes::Unknown("what its codes stand for is not read"),
            },
            _ => one(file, font, number(descriptor, "MissingWidth").unwrap_or(0.0), left),
        };
        let bounds = boxed(descriptor).filter(real);
        let heights = match (number(descriptor, "Descent"), number(descriptor, "Ascent")) {
            (Some(low), Some(high)) if high > 0.0 => (low.min(0.0), high),
            _ => bounds.map_or(HEIGHTS, |area| (area[1], area[3])),
        };
        let is_same =
            own.get(b"CIDToGIDMap").map_or(true, |map| matches!(map, Object::Name(name) if name == b"Identity"));
        let program = ["FontFile2", "FontFile3"].iter().find_map(|key| descriptor?.get(key.as_bytes()).ok());
        let program =
            program.filter(|_| kind == "Type0" && is_same).and_then(|program| match file.dereference(program) {
                Ok((_, Object::Stream(stream))) => Some(stream),
                _ => None,
            });
        let called = name(font, "BaseFont").chars().take(60).collect();
        Self { called, matrix, codes, low: heights.0, high: heights.1, whole, file: program, program: None }
    }
    /// Why its text cannot be measured.
    pub(super) const fn unknown(&self) -> Option<&'static str> {
        match self.codes {
            Codes::Unknown(why) => Some(why),
            _ => None,
        }
    }
    /// Calls `with` for each code of a string, its width, and whether it is the one byte that word spacing is for (9.3.3).
    pub(super) fn each(&self, string: &[u8], mut with: impl FnMut(u16, f64, bool)) {
        match &self.codes {
            Codes::One { first, widths, missing } => {
                for byte in string {
                    let nth = usize::try_from(i64::from(*byte) - first).ok();
                    let width = nth.and_then(|nth| widths.get(nth)).map_or(*missing, |width| f64::from(*width));
                    with(u16::from(*byte), width, *byte == b' ');
                }
            }
            Codes::Two { usual, widths } => {
                for pair in string.chunks_exact(2) {
                    let code = u16::from_be_bytes([pair[0], pair[1]]);
                    let width = widths.get(usize::from(code)).filter(|width| !width.is_nan());
                    with(code, width.map_or(*usual, |width| f64::from(*width)), false);
                }
            }
            Codes::Unknown(_) => {}
        }
    }
    /// The ink of a glyph.
    pub(super) fn ink(&self, code: u16, width: f64) -> Inked {
        if let Some(Some(program)) = &self.program
            && let Some(found) = program.ink(code)
        {
            return found.map_or(Inked::Blank, |ink| {
                let em = |length: crate::geom::Em| length.raw() * 1000.0;
                Inked::Within([em(ink.min.x), em(ink.min.y), em(ink.max.x), em(ink.max.y)])
            });
        }
        match (&self.codes, self.whole) {
            (_, Some(area)) => Inked::Within(area),
            // By common practice; a font may have ink under any code.
            (Codes::One { .. }, None) if code == 32 => Inked::Blank,
            _ => Inked::Within([width.min(0.0), self.low, width.max(0.0), self.high]),
        }
    }
    /// A box that holds the ink of every glyph, for what is certainly far from any edge.
    pub(super) fn most(&self) -> Area {
        let [x0, y0, x1, y1] = self.whole.unwrap_or([0.0; 4]);
        let em = if self.whole.is_some() { 0.0 } else { 3000.0 };
        [x0.min(-em), y0.min(-em).min(self.low), x1.max(em), y1.max(em).max(self.high)]
    }
}

/// Widths of a font of one byte a code (9.6.2, table 111).
fn one(file: &Document, font: &Dictionary, missing: f64, left: &mut usize) -> Codes {
    let first = font.get(b"FirstChar").and_then(Object::as_i64).unwrap_or(0);
    let list = font.get(b"Widths").ok().and_then(|list| file.dereference(list).ok());
    let Some((_, Object::Array(list))) = list else {
        return Codes::One { first: 0, widths: Vec::new(), missing: WIDTH };
    };
    let Some(rest) = left.checked_sub(list.len().min(256)) else { return Codes::Unknown(MANY) };
    *left = rest;
    let width = |object: &Object| file.dereference(object).ok().and_then(|(_, found)| found.as_float().ok());
    let widths = list.iter().take(256).map(|entry| width(entry).unwrap_or(missing as f32)).collect();
    Codes::One { first, widths, missing }
}

const MANY: &str = "there are more widths than are looked at";

/// Widths of a font of two bytes a code (9.7.4.3): a number and the widths from it on, or two numbers and the width of all between.
fn two(file: &Document, font: &Dictionary, left: &mut usize) -> Codes {
    let usual = font.get(b"DW").and_then(Object::as_float).map_or(1000.0, f64::from);
    let mut widths: Vec<f32> = Vec::new();
    let list = font.get(b"W").ok().and_then(|list| file.dereference(list).ok());
    let Some((_, Object::Array(list))) = list else { return Codes::Two { usual, widths } };
    let mut set = |code: i64, width: f32| {
        let Ok(code) = u16::try_from(code).map(usize::from) else { return true };
        // Each counts, and so does the room for it: ranges may be said again and again.
        let Some(rest) = left.checked_sub((code + 1).saturating_sub(widths.len()).max(1)) else { return false };
        *left = rest;
        if code >= widths.len() {
            widths.resize(code + 1, f32::NAN);
        }
        widths[code] = width;
        true
    };
    let number = |object: &Object| file.dereference(object).ok().and_then(|(_, found)| found.as_float().ok());
    let mut rest = list.iter().map(|entry| file.dereference(entry).map_or(&Object::Null, |(_, found)| found));
    while let (Some(first), Some(next)) = (rest.next(), rest.next()) {
        let Ok(first) = first.as_i64() else { continue };
        let fits = if let Object::Array(run) = next {
            (first..).zip(run).all(|(code, width)| number(width).is_none_or(|width| set(code, width)))
        } else {
            let last = next.as_i64().unwrap_or(first).min(i64::from(u16::MAX));
            let width = rest.next().and_then(|width| width.as_float().ok());
            width.is_none_or(|width| (first.max(0)..=last).all(|code| set(code, width)))
        };
        if !fits {
            return Codes::Unknown(MANY);
        }
    }
    Codes::Two { usual, widths }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn array(numbers: &[i64]) -> Object {
        Object::Array(numbers.iter().map(|number| Object::Integer(*number)).collect())
    }
    fn widths(w: Vec<Object>, mut left: usize) -> (Option<&'static str>, Vec<f64>) {
        let file = Document::new();
        let below = Dictionary::from_iter([("DW", Object::Integer(1000)), ("W", Object::Array(w))]);
        let font = Dictionary::from_iter([
            ("Subtype", Object::Name(b"Type0".to_vec())),
            ("Encoding", Object::Name(b"Identity-H".to_vec())),
            ("DescendantFonts", Object::Array(vec![below.into()])),
        ]);
        let face = Face::of(&file, &font, &mut left);
        let mut found = Vec::new();
        face.each(&[0, 119, 0, 120, 0, 121, 0, 122, 27, 94, 27, 95, 31, 64, 255], |_, width, _| found.push(width));
        (face.unknown(), found)
    }

    /// ISO 32000-1, 9.7.4.3, its example: `120 [400 325 500] 7080 8032 1000`, here with another width for the range. Code 119 is before
    /// them, 7006 and 7007 before the range, 8000 in it; half a code at the end is none.
    #[test]
    fn widths_of_two_bytes_a_code() {
        let w = || vec![120.into(), array(&[400, 325, 500]), 7007.into(), 8032.into(), 250.into()];
        assert_eq!(widths(w(), WIDTHS), (None, vec![1000.0, 400.0, 325.0, 500.0, 1000.0, 250.0, 250.0]));
        assert_eq!(widths(w(), 8000).0, Some(MANY), "there is no room for so many");
        let again = (0..40).flat_map(|_| [0.into(), 65_535.into(), 9.into()]).collect();
        assert_eq!(widths(again, WIDTHS).0, Some(MANY), "they are not said without end");
        // What makes no sense makes no harm.
        for odd in
            [vec![array(&[1]), 7.into()], vec![(-9).into(), 70_000.into(), 5.into()], vec![70_000.into(), array(&[1])]]
        {
            assert_eq!(widths(odd, WIDTHS).1.len(), 7);
        }
    }
}
