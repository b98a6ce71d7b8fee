//! How large letters and figures on music are: one table for the music, for the room that they ask for, and for the key.
//!
//! Takes what is lettered and the look, gives sizes in staff spaces. Nothing that is read comes out smaller than the look's
//! smallest type: words and numbers by their type size, the music font's own figures (fingers, tuplets) by their height, which
//! is at least that of a label's figures in the smallest type. Metres and bars of rest stay as the staff makes them. The
//! sizes themselves are our own, judged on the printed page.

use super::factor::sound;
use super::lettering::Lettering;
use crate::font::Weight;
use crate::geom::Abs;
use crate::style::EngravingStyle;

/// No smallest type makes letters larger than this: beyond, they bury a staff four spaces high.
const MOST: f64 = 8.0;
/// Fingers and tuplets against the music font's own figures.
const FINGER: f64 = 1.0;
/// The least height of a finger, in staff spaces: 1.2 to 1.6 on a staff of 7 mm (E. Gould, *Behind Bars*, from memory).
const FINGER_HIGH: f64 = 1.2;
/// The finger of a grace against that of a note: a little larger than the grace itself against the note (0.65), since it is
/// read and not only seen. Judged on the page.
const GRACE_FINGER: f64 = 0.8;
const TUPLET: f64 = 0.85;
/// Tuplets grow no further with the marks: they stand among notes.
const TUPLET_MARKS: f64 = 1.5;

/// What is lettered on music.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Wording {
    /// The number of a line's first bar.
    BarNumber,
    /// A tempo in words or figures.
    Tempo,
    /// A part's name.
    Part,
    /// `D.C.`, `Fine`, `×3`.
    Jump,
    /// An ending's number.
    Ending,
    /// `push`, `pull`.
    Direction,
    /// `air in`, `air out`.
    Air,
    /// Bass and chord letters.
    LeftHand,
    /// A counting syllable.
    Count,
    /// A button's number.
    Button,
    /// An author's own character for reversal or replay.
    Sounding,
    /// The number in a place sign.
    Place,
    /// Sung words.
    Verse,
    /// A chord symbol's root.
    ChordSymbol,
    /// An author's words at a note.
    Annotation,
}

/// The least type size.
pub(super) fn least(style: &EngravingStyle) -> f64 {
    (style.smallest / style.space.max(Abs::pt(0.5))).clamp(0.0, MOST)
}

/// The type size of a wording.
pub(super) fn size(style: &EngravingStyle, wording: Wording) -> f64 {
    let (spaces, factor) = match wording {
        Wording::BarNumber => (1.5, style.marks),
        Wording::Button | Wording::Sounding => (1.75, style.marks),
        Wording::Place => (1.9, style.marks),
        Wording::Air => (1.45, style.text),
        Wording::Count => (1.7, style.text),
        Wording::Direction => (1.8, style.text),
        Wording::Ending | Wording::Annotation => (1.9, style.text),
        Wording::Jump | Wording::Part => (2.0, style.text),
        Wording::Tempo | Wording::LeftHand | Wording::Verse => (2.1, style.text),
        Wording::ChordSymbol => (2.5, style.text),
    };
    (spaces * sound(factor)).max(least(style))
}

/// Fingers against the music font's own. Those of graces are the smallest, so the smallest type is for them: a note's finger
/// is larger by as much as elsewhere, and what is read first is never smaller than the numbers and letters under it.
pub(super) fn finger_scale(style: &EngravingStyle, letters: &Lettering) -> f64 {
    grace_finger_scale(style, letters) / GRACE_FINGER
}

/// Fingers of graces against the music font's own.
pub(super) fn grace_finger_scale(style: &EngravingStyle, letters: &Lettering) -> f64 {
    figures(style, letters, "fingering1", FINGER * sound(style.marks) * GRACE_FINGER, FINGER_HIGH * GRACE_FINGER)
}

/// Figures of tuplets against the music font's own.
pub(super) fn tuplet_scale(style: &EngravingStyle, letters: &Lettering) -> f64 {
    figures(style, letters, "tuplet3", TUPLET * sound(style.marks).min(TUPLET_MARKS), 0.0)
}

/// A scale for figures of the music font, large enough for the one named, and that no lower than `high` spaces.
fn figures(style: &EngravingStyle, letters: &Lettering, name: &'static str, scale: f64, high: f64) -> f64 {
    let ink = letters.fonts().music().glyph(name).ink;
    let tall = (ink.max.y - ink.min.y).raw();
    let wanted = (least(style) * letters.cap_height(letters.label(Weight::Regular, false))).max(high);
    if tall > 0.0 { scale.max(wanted / tall) } else { scale }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::font::Fonts;
    use crate::style::{Family, Signs};

    fn style(space: Abs, smallest: Abs) -> EngravingStyle {
        EngravingStyle {
            space,
            spacing: 1.0,
            lines: 1.0,
            marks: 1.3,
            text: 1.1,
            smallest,
            most_bars: None,
            signs: Signs::default(),
            labels: Family::Legible,
            language: "en-GB".into(),
        }
    }

    const ALL: [Wording; 15] = [
        Wording::BarNumber,
        Wording::Tempo,
        Wording::Part,
        Wording::Jump,
        Wording::Ending,
        Wording::Direction,
        Wording::Air,
        Wording::LeftHand,
        Wording::Count,
        Wording::Button,
        Wording::Sounding,
        Wording::Place,
        Wording::Verse,
        Wording::ChordSymbol,
        Wording::Annotation,
    ];

    #[test]
    fn nothing_is_lettered_smaller_than_the_smallest_type() {
        let fonts = Fonts::embedded();
        for space in [4.0, 7.0, 9.0] {
            let style = style(Abs::pt(space), Abs::pt(16.0));
            for wording in ALL {
                let points = size(&style, wording) * space;
                assert!(points >= 15.999, "{wording:?} in {points} pt on a space of {space} pt");
            }
            let letters = Lettering::new(&fonts, &style);
            let cap = letters.cap_height(letters.label(Weight::Regular, false)) * 16.0;
            for (name, scale) in [
                ("fingering1", finger_scale(&style, &letters)),
                ("fingering1", grace_finger_scale(&style, &letters)),
                ("tuplet3", tuplet_scale(&style, &letters)),
            ] {
                let ink = fonts.music().glyph(name).ink;
                let tall = (ink.max.y - ink.min.y).raw() * scale * space;
                assert!(tall >= cap - 1e-6, "{name} is {tall} pt tall on a space of {space} pt");
            }
        }
    }

    /// The finger is what the book is for: no smaller than a handbook's, nor than the counting under it.
    #[test]
    fn fingers_are_as_tall_as_a_handbook_asks() {
        let fonts = Fonts::embedded();
        let style = EngravingStyle { marks: 1.0, text: 1.0, ..style(Abs::mm(1.75), Abs::pt(7.0)) };
        let letters = Lettering::new(&fonts, &style);
        let ink = fonts.music().glyph("fingering1").ink;
        let tall = (ink.max.y - ink.min.y).raw() * finger_scale(&style, &letters);
        let count = size(&style, Wording::Count) * letters.cap_height(letters.label(Weight::Regular, false));
        assert!((1.2 - 1e-9..=1.6).contains(&tall) && tall >= count, "{tall} against {count}");
        let small = (ink.max.y - ink.min.y).raw() * grace_finger_scale(&style, &letters);
        assert!((0.65..0.85).contains(&(small / tall)), "a grace's finger is {small}, a note's {tall}");
    }

    /// In large print too the finger of a grace is told from a note's by its size.
    #[test]
    fn the_smallest_type_keeps_fingers_of_graces_smaller() {
        let fonts = Fonts::embedded();
        let style = style(Abs::mm(2.4), Abs::pt(16.0));
        let letters = Lettering::new(&fonts, &style);
        let share = grace_finger_scale(&style, &letters) / finger_scale(&style, &letters);
        assert!((0.65..0.85).contains(&share), "{share}");
    }

    /// Where the staff is large enough, sizes go with it alone.
    #[test]
    fn a_large_staff_keeps_its_sizes() {
        let style = style(Abs::mm(2.0), Abs::pt(7.0));
        assert!((size(&style, Wording::Air) - 1.45 * style.text).abs() < 1e-9);
        assert!((size(&style, Wording::BarNumber) - 1.5 * style.marks).abs() < 1e-9);
    }
}
