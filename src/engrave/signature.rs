//! Clef, key signature and metre: how wide they are, and their ink.
//!
//! Sources: places of sharps and flats in the treble staff (*Open Music Theory*; common practice), naturals only where
//! nothing else is left (E. Gould, *Behind Bars*, from memory); figures of metres on the second and fourth lines (SMuFL,
//! "Time signatures").

use super::canvas::{Canvas, Kind, Label, ink_of};
use super::job::Job;
use crate::tune::{KeySignature, Meter, PitchClass, Step};

/// From the staff's beginning to the clef (Gould 1.0, Ross 0.5; from memory).
pub(super) const BEFORE_CLEF: f64 = 0.7;
/// From clef to key or metre.
pub(super) const AFTER_CLEF: f64 = 0.9;
/// From key to metre.
pub(super) const AFTER_KEY: f64 = 0.9;
/// Between two sharps or flats of a signature, edge to edge.
const BETWEEN_SIGNS: f64 = 0.05;
/// Between two naturals.
const BETWEEN_NATURALS: f64 = 0.2;
/// Gap left and right of the plus in a summed metre.
const PLUS_GAP: f64 = 0.25;
/// The clef's line: G4.
const CLEF_LINE: f64 = 1.0;

/// y of a sharp or flat of a letter in the treble staff.
fn sign_y(class: PitchClass) -> f64 {
    if class.alter >= 0 {
        match class.step {
            Step::F => 4.0,
            Step::C => 2.5,
            Step::G => 4.5,
            Step::D => 3.0,
            Step::A => 1.5,
            Step::E => 3.5,
            Step::B => 2.0,
        }
    } else {
        match class.step {
            Step::B => 2.0,
            Step::E => 3.5,
            Step::A => 1.5,
            Step::D => 3.0,
            Step::G => 1.0,
            Step::C => 2.5,
            Step::F => 0.5,
        }
    }
}

/// A glyph of a signature from the signature's left edge.
type Placed = (&'static str, f64, f64);

/// The signs of a key; after `old`, naturals where the new key has no sign at all.
pub(super) fn key_glyphs(job: &Job, key: &KeySignature, old: Option<&KeySignature>) -> (Vec<Placed>, f64) {
    let mut glyphs = Vec::new();
    let mut x = 0.0;
    let mut put = |name: &'static str, y: f64, gap: f64| {
        let ink = ink_of(job.music().glyph(name));
        glyphs.push((name, x - ink.left, y));
        x += ink.right - ink.left + gap;
    };
    let signs = key.signs();
    let audible = signs.iter().any(|sign| sign.alter != 0);
    if !audible && let Some(old) = old {
        for sign in old.signs().iter().filter(|sign| sign.alter != 0) {
            put("accidentalNatural", sign_y(*sign), BETWEEN_NATURALS);
        }
    }
    for sign in &signs {
        let name = match sign.alter {
            2 => "accidentalDoubleSharp",
            1 => "accidentalSharp",
            -1 => "accidentalFlat",
            -2 => "accidentalDoubleFlat",
            _ => "accidentalNatural",
        };
        put(name, sign_y(*sign), BETWEEN_SIGNS);
    }
    (glyphs, (x - BETWEEN_SIGNS).max(0.0))
}

/// The glyphs of a metre, and their width.
pub(super) fn meter_glyphs(job: &Job, meter: &Meter) -> (Vec<Placed>, f64) {
    match meter {
        Meter::Free => (Vec::new(), 0.0),
        Meter::Common => single(job, "timeSigCommon"),
        Meter::Cut => single(job, "timeSigCutCommon"),
        Meter::Figures { groups, unit } => {
            let (upper, upper_width) = figures(job, groups);
            let (lower, lower_width) = figures(job, &[*unit]);
            let width = upper_width.max(lower_width);
            let mut glyphs = Vec::new();
            glyphs.extend(upper.into_iter().map(|(name, x)| (name, x + (width - upper_width) / 2.0, 3.0)));
            glyphs.extend(lower.into_iter().map(|(name, x)| (name, x + (width - lower_width) / 2.0, 1.0)));
            (glyphs, width)
        }
    }
}

fn single(job: &Job, name: &'static str) -> (Vec<Placed>, f64) {
    let ink = ink_of(job.music().glyph(name));
    (vec![(name, -ink.left, 2.0)], ink.right - ink.left)
}

const DIGITS: [&str; 10] = [
    "timeSig0", "timeSig1", "timeSig2", "timeSig3", "timeSig4", "timeSig5", "timeSig6", "timeSig7", "timeSig8",
    "timeSig9",
];

/// Digits of numbers joined by plus signs: name and x, and the width.
fn figures(job: &Job, numbers: &[u32]) -> (Vec<(&'static str, f64)>, f64) {
    let mut glyphs = Vec::new();
    let mut x = 0.0;
    for (n, number) in numbers.iter().enumerate() {
        if n > 0 {
            let ink = ink_of(job.music().glyph("timeSigPlusSmall"));
            glyphs.push(("timeSigPlusSmall", x + PLUS_GAP - ink.left));
            x += ink.right - ink.left + 2.0 * PLUS_GAP;
        }
        for digit in number.to_string().bytes() {
            let name = DIGITS[usize::from(digit - b'0')];
            let glyph = job.music().glyph(name);
            glyphs.push((name, x));
            x += glyph.advance.raw();
        }
    }
    (glyphs, x)
}

/// A number in figures of the metre, centred on `x` with its middle at `y`: over rests of several bars.
pub(super) fn number(job: &Job, canvas: &mut Canvas, label: Label, value: u32, x: f64, y: f64) {
    let (glyphs, width) = figures(job, &[value]);
    for (name, dx) in glyphs {
        canvas.glyph(label, name, x - width / 2.0 + dx, y, 1.0);
    }
}

/// What stands at the beginning of a line.
#[derive(Debug, Clone, Copy)]
pub(super) struct Prefix<'a> {
    /// The key.
    pub(super) key: &'a KeySignature,
    /// The metre, on the first line and where it changes.
    pub(super) meter: Option<&'a Meter>,
}

/// The right edge of clef, key and metre from the staff's beginning.
pub(super) fn prefix_width(job: &Job, prefix: Prefix) -> f64 {
    let mut x = BEFORE_CLEF + ink_of(job.music().glyph("gClef")).right;
    let (signs, width) = key_glyphs(job, prefix.key, None);
    if !signs.is_empty() {
        x += AFTER_CLEF + width;
    }
    if let Some(meter) = prefix.meter {
        let (figures, width) = meter_glyphs(job, meter);
        if !figures.is_empty() {
            x += if signs.is_empty() { AFTER_CLEF } else { AFTER_KEY } + width;
        }
    }
    x
}

/// Draws clef, key and metre from `left`.
pub(super) fn draw_prefix(job: &Job, canvas: &mut Canvas, prefix: Prefix, left: f64) {
    let mut x = left + BEFORE_CLEF;
    canvas.glyph(Label::new(Kind::Clef, 0), "gClef", x, CLEF_LINE, 1.0);
    x += ink_of(job.music().glyph("gClef")).right;
    let (signs, width) = key_glyphs(job, prefix.key, None);
    let keyed = !signs.is_empty();
    if keyed {
        x += AFTER_CLEF;
        put_all(canvas, Label::new(Kind::Key, 0), &signs, x);
        x += width;
    }
    if let Some(meter) = prefix.meter {
        let (figures, _) = meter_glyphs(job, meter);
        x += if keyed { AFTER_KEY } else { AFTER_CLEF };
        put_all(canvas, Label::new(Kind::Meter, 0), &figures, x);
    }
}

/// Draws glyphs of a signature from its left edge.
pub(super) fn put_all(canvas: &mut Canvas, label: Label, glyphs: &[Placed], left: f64) {
    for (name, x, y) in glyphs {
        canvas.glyph(label, name, left + x, *y, 1.0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tune::KeySignature;

    /// *Open Music Theory*, "Key signatures", treble clef.
    #[test]
    fn signs_stand_where_the_handbook_says() {
        let places = |fifths: i8| {
            let key = KeySignature { tonic: None, fifths, changed: Vec::new(), explicit: false };
            key.signs().into_iter().map(sign_y).collect::<Vec<_>>()
        };
        assert_eq!(places(7), [4.0, 2.5, 4.5, 3.0, 1.5, 3.5, 2.0]);
        assert_eq!(places(-7), [2.0, 3.5, 1.5, 3.0, 1.0, 2.5, 0.5]);
    }
}
