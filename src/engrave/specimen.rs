//! Each sign alone, drawn as it is printed, for the key and for running text.
//!
//! Takes a sign and the look, gives a small frame whose baseline is where a line of text beside it should sit. The same
//! drawing code serves the music, so that the key cannot differ from the page.

use super::above::{HOOK, LANDMARK, NUMBER_IN};
use super::canvas::{Canvas, Kind, Label, at};
use super::contract::Sign;
use super::grace;
use super::harmony;
use super::lanes::signs::{self, PlaceSizes};
use super::lettering::{Area, Lettering};
use super::marks::{SLIDE_STROKE, slide_path};
use super::sizes::{self, Wording};
use crate::fingering::{Air, Sound};
use crate::font::{Fonts, Weight};
use crate::frame::Frame;
use crate::geom::{Abs, Path, Segment};
use crate::instrument::{ButtonId, Direction, RowAt};
use crate::lesson::counted_example;
use crate::style::{DirectionLook, EngravingStyle, HeadShape, SoundingLook};

/// All specimens hang from one label: nothing in them can collide with the page's own ink.
const LABEL: Label = Label::new(Kind::Annotation, 0);
/// A stem's length and thickness.
const STEM: f64 = 3.2;

/// One sign as printed, at the size of `style`; the frame is as large as its ink.
pub fn draw_sign(sign: Sign, style: &EngravingStyle, fonts: &Fonts) -> Frame {
    let letters = Lettering::new(fonts, style);
    let mut canvas = Canvas::new(&letters, 16.0);
    draw(&mut canvas, sign, style);
    finish(canvas, style)
}

/// One notehead with its stem, for running text and charts: shape, value (0 whole, 1 half, 2 quarter), staff space.
pub fn draw_head(shape: HeadShape, halvings: i8, space: Abs, style: &EngravingStyle, fonts: &Fonts) -> Frame {
    let mut own = style.clone();
    own.space = space;
    let letters = Lettering::new(fonts, &own);
    let mut canvas = Canvas::new(&letters, 8.0);
    canvas.head(LABEL, &letters.head(shape, halvings), 0.0, 0.0, 1.0);
    finish(canvas, &own)
}

/// The sign for a place of the hand on a button, for charts, in a staff space of their own.
pub fn draw_place(button: ButtonId, space: Abs, style: &EngravingStyle, fonts: &Fonts) -> Frame {
    let mut own = style.clone();
    own.space = space;
    let letters = Lettering::new(fonts, &own);
    let mut canvas = Canvas::new(&letters, 8.0);
    let face = letters.label(Weight::Semibold, false);
    PlaceSizes::of(&own, &letters, face, button.row, button.number).draw(&mut canvas, LABEL, 0.0, 0.0);
    finish(canvas, &own)
}

/// A finger as the book numbers it, for charts, in a staff space of their own.
pub fn draw_finger(finger: u8, space: Abs, style: &EngravingStyle, fonts: &Fonts) -> Frame {
    let mut own = style.clone();
    own.space = space;
    let letters = Lettering::new(fonts, &own);
    let mut canvas = Canvas::new(&letters, 8.0);
    canvas.spoken(LABEL, signs::digit(finger), 0.0, 0.0, sizes::finger_scale(&own, &letters), signs::spoken(finger));
    finish(canvas, &own)
}

fn finish(canvas: Canvas, style: &EngravingStyle) -> Frame {
    let inks = canvas.inks();
    let area = inks.iter().map(|ink| ink.area).reduce(Area::union).unwrap_or(Area::new(0.0, 0.0, 1.0, 1.0));
    canvas.cut(style.space, area)
}

fn draw(canvas: &mut Canvas, sign: Sign, style: &EngravingStyle) {
    let label_face = canvas.letters().label(Weight::Regular, false);
    let semibold = canvas.letters().label(Weight::Semibold, false);
    let bold = canvas.letters().label(Weight::Bold, false);
    let size = |wording| sizes::size(style, wording);
    let letter = size(Wording::LeftHand);
    let letter_cap = canvas.letters().cap_height(bold) * letter;
    match sign {
        Sign::RowHead(row) => {
            note(canvas, style, row, 2, 0.0);
            note(canvas, style, row, 1, 3.2);
        }
        Sign::Push | Sign::Pull => direction(canvas, style, sign),
        Sign::Reversal => sounding(canvas, style, Sound::Reversal),
        Sign::Replay => sounding(canvas, style, Sound::Replay),
        Sign::Place => {
            let place = PlaceSizes::of(style, canvas.letters(), semibold, RowAt::Inner, 3);
            place.draw(canvas, LABEL, 0.0, 0.0);
        }
        Sign::Finger => {
            canvas.spoken(LABEL, signs::digit(2), 0.0, 0.0, sizes::finger_scale(style, canvas.letters()), "2");
        }
        Sign::Button => {
            signs::ButtonNumber::new(style, canvas.letters(), RowAt::Outer, 5).draw(canvas, LABEL, 1.0, 2.0)
        }
        Sign::BoxedButton => {
            signs::ButtonNumber::new(style, canvas.letters(), RowAt::Inner, 5).draw(canvas, LABEL, 1.0, 2.0)
        }
        Sign::AirOpen | Sign::AirClose => {
            let air = if sign == Sign::AirOpen { Air::Open } else { Air::Close };
            let word = signs::air_word(air, &style.language);
            let size = size(Wording::Air);
            let width = canvas.letters().width(label_face, size, word);
            let over = signs::caret(canvas, LABEL, width / 2.0, 0.0, style.marks);
            canvas.text(LABEL, label_face, size, word, 0.0, over);
        }
        Sign::Bass => _ = canvas.text(LABEL, bold, letter, "G", 0.0, 0.0),
        Sign::Chord => _ = canvas.text(LABEL, label_face, letter, "g", 0.0, 0.0),
        Sign::LeftHold => {
            let area = canvas.text(LABEL, bold, letter, "G", 0.0, 0.0);
            let from = area.right + signs::HOLD_CLEAR;
            signs::hold(canvas, LABEL, from, from + 3.65, letter_cap * signs::HOLD_HIGH);
        }
        Sign::LeftStem => {
            let area = canvas.text(LABEL, label_face, letter, "g", 0.0, 0.0);
            signs::stem(canvas, LABEL, (area.left + area.right) / 2.0, letter_cap + signs::STEM_GAP);
        }
        Sign::ChordSymbol => {
            let (size, least) = (size(Wording::ChordSymbol), sizes::least(style));
            let root = canvas.letters().width(semibold, size, "E");
            canvas.text(LABEL, semibold, size, "E", 0.0, 0.0);
            canvas.text(LABEL, semibold, (size * harmony::SUFFIX).max(least), "m", root, 0.0);
        }
        Sign::Count => {
            let size = size(Wording::Count);
            canvas.text(LABEL, label_face, size, &counted_example(&style.language), 0.0, 0.0);
        }
        Sign::Tie | Sign::Slur => {
            let second = if sign == Sign::Tie { 0.0 } else { 1.0 };
            canvas.glyph(LABEL, "noteheadBlack", 0.0, 0.0, 1.0);
            canvas.glyph(LABEL, "noteheadBlack", 5.0, second, 1.0);
            lens(canvas, (0.6, -0.75), (5.6, second - 0.75), if sign == Sign::Tie { 0.7 } else { 1.1 });
        }
        Sign::Repeat => {
            canvas.glyph(LABEL, "repeatLeft", 0.0, 0.0, 1.0);
            canvas.glyph(LABEL, "repeatRight", 3.5, 0.0, 1.0);
        }
        Sign::Ending => {
            let line = Path::open(&[at(0.0, 0.0), at(0.0, HOOK), at(6.0, HOOK), at(6.0, 0.0)]);
            canvas.stroke(LABEL, line, canvas.letters().fonts().music().defaults.ending_line.raw() * style.lines, None);
            let size = size(Wording::Ending);
            let foot = HOOK - NUMBER_IN.1 - canvas.letters().cap_height(semibold) * size;
            canvas.text(LABEL, semibold, size, "1.", NUMBER_IN.0, foot);
        }
        Sign::PickUp => {
            canvas.text(LABEL, label_face, size(Wording::BarNumber), "0", 0.0, 0.0);
        }
        Sign::Tuplet => _ = canvas.glyph(LABEL, "tuplet3", 0.0, 0.0, sizes::tuplet_scale(style, canvas.letters())),
        Sign::Grace => {
            canvas.glyph(LABEL, "noteheadBlack", 0.0, 0.0, grace::SCALE);
            canvas.rect(LABEL, Area::new(0.68, 0.1, 0.76, 2.4));
            canvas.glyph(LABEL, "flag8thUp", 0.68, 2.4, grace::SCALE);
        }
        Sign::Staccato => over_head(canvas, "articStaccatoAbove"),
        Sign::Accent => over_head(canvas, "articAccentAbove"),
        Sign::Tenuto => over_head(canvas, "articTenutoAbove"),
        Sign::Fermata => over_head(canvas, "fermataAbove"),
        Sign::Breath => _ = canvas.glyph(LABEL, "breathMarkComma", 0.0, 0.0, 1.0),
        Sign::Caesura => _ = canvas.glyph(LABEL, "caesura", 0.0, 0.0, 1.0),
        Sign::Trill => _ = canvas.glyph(LABEL, "ornamentTrill", 0.0, 0.0, 1.0),
        Sign::Turn => _ = canvas.glyph(LABEL, "ornamentTurn", 0.0, 0.0, 1.0),
        Sign::Mordent => _ = canvas.glyph(LABEL, "ornamentMordent", 0.0, 0.0, 1.0),
        Sign::Roll => {
            canvas.glyph(LABEL, "noteheadBlack", 0.0, 0.0, 1.0);
            lens(canvas, (0.0, 1.2), (1.3, 1.2), 0.5);
        }
        Sign::Slide => {
            let head = canvas.glyph(LABEL, "noteheadBlack", 0.0, 0.0, 1.0);
            canvas.stroke(LABEL, slide_path(head.left - 0.25, 0.0), SLIDE_STROKE, None);
        }
        Sign::Segno => _ = canvas.glyph(LABEL, "segno", 0.0, 0.0, LANDMARK * style.marks.min(1.5)),
        Sign::Coda => _ = canvas.glyph(LABEL, "coda", 0.0, 0.0, LANDMARK * style.marks.min(1.5)),
        Sign::Jump => _ = canvas.text(LABEL, semibold, size(Wording::Jump), "D.C.", 0.0, 0.0),
        Sign::BarNumber => _ = canvas.text(LABEL, label_face, size(Wording::BarNumber), "5", 0.0, 0.0),
        Sign::Accidental => {
            for (index, name) in ["accidentalSharp", "accidentalFlat", "accidentalNatural"].into_iter().enumerate() {
                canvas.glyph(LABEL, name, index as f64 * 1.8, 0.0, 1.0);
            }
        }
    }
}

/// A head with an up-stem.
fn note(canvas: &mut Canvas, style: &EngravingStyle, row: RowAt, halvings: i8, x: f64) {
    let head = canvas.letters().head(signs::shape_of(row, style), halvings);
    canvas.head(LABEL, &head, x, 0.0, 1.0);
    let (right, foot) = (x + head.stem_up.x.raw(), head.stem_up.y.raw());
    canvas.rect(LABEL, Area::new(right - 0.12 * style.lines, foot, right, STEM));
}

/// A mark over a head.
fn over_head(canvas: &mut Canvas, name: &'static str) {
    let area = canvas.glyph(LABEL, "noteheadBlack", 0.0, 0.0, 1.0);
    let ink = canvas.letters().fonts().music().glyph(name).ink;
    canvas.glyph(LABEL, name, (area.right - ink.max.x.raw() - ink.min.x.raw()) / 2.0, 1.0, 1.0);
}

/// A direction as the look in use shows it.
fn direction(canvas: &mut Canvas, style: &EngravingStyle, sign: Sign) {
    let way = if sign == Sign::Pull { Direction::Pull } else { Direction::Push };
    let face = canvas.letters().label(Weight::Semibold, false);
    match style.signs.direction {
        DirectionLook::Arrows => _ = signs::arrow(canvas, LABEL, way, 0.0, 0.0, style.marks),
        DirectionLook::Band | DirectionLook::Words | DirectionLook::None => {
            let area = canvas.text(
                LABEL,
                face,
                sizes::size(style, Wording::Direction),
                signs::word(way, &style.language),
                0.0,
                0.0,
            );
            if way == Direction::Pull && style.signs.direction == DirectionLook::Band {
                canvas.rect(LABEL, Area::new(area.right + 0.6, 0.0, area.right + 4.6, signs::BAND));
            }
        }
    }
}

/// Reversal and replay between two heads.
fn sounding(canvas: &mut Canvas, style: &EngravingStyle, sound: Sound) {
    match &style.signs.sounding {
        SoundingLook::HoldBar => {
            canvas.glyph(LABEL, "noteheadBlack", 0.0, 0.0, 1.0);
            canvas.glyph(LABEL, "noteheadBlack", 5.0, 0.5, 1.0);
            let thick = signs::BAR * style.lines.max(1.0).sqrt();
            signs::bar(canvas, LABEL, 0.59, 5.59, -1.7, thick, sound, true);
        }
        SoundingLook::Characters { reversal, replay } => {
            let text = if sound == Sound::Reversal { reversal } else { replay };
            let face = canvas.letters().label(Weight::Semibold, false);
            canvas.text(LABEL, face, sizes::size(style, Wording::Sounding), text, 0.0, 0.0);
        }
    }
}

/// A small lens from one end to the other, `height` below (or above, by the sign of the ends' order) its chord.
fn lens(canvas: &mut Canvas, from: (f64, f64), to: (f64, f64), height: f64) {
    let down = if from.1 < 0.5 { -1.0 } else { 1.0 };
    let along = |t: f64, lift: f64| at(from.0 + (to.0 - from.0) * t, from.1 + (to.1 - from.1) * t + lift * down);
    let (outer, inner) = (height * 4.0 / 3.0 + 0.1, height * 4.0 / 3.0 - 0.1);
    let path = Path {
        segments: vec![
            Segment::Move(along(0.0, 0.0)),
            Segment::Cubic(along(0.3, outer), along(0.7, outer), along(1.0, 0.0)),
            Segment::Cubic(along(0.7, inner), along(0.3, inner), along(0.0, 0.0)),
            Segment::Close,
        ],
    };
    canvas.fill(LABEL, path);
}

#[cfg(test)]
mod tests {
    use super::super::testing::plain_style;
    use super::*;
    use crate::geom::Abs;

    pub(super) const ALL: [Sign; 42] = [
        Sign::RowHead(RowAt::Outer),
        Sign::RowHead(RowAt::Inner),
        Sign::RowHead(RowAt::Half),
        Sign::Pull,
        Sign::Push,
        Sign::Reversal,
        Sign::Replay,
        Sign::Place,
        Sign::Finger,
        Sign::Button,
        Sign::BoxedButton,
        Sign::AirOpen,
        Sign::AirClose,
        Sign::Bass,
        Sign::Chord,
        Sign::LeftHold,
        Sign::LeftStem,
        Sign::ChordSymbol,
        Sign::Count,
        Sign::Tie,
        Sign::Slur,
        Sign::Repeat,
        Sign::Ending,
        Sign::PickUp,
        Sign::Tuplet,
        Sign::Grace,
        Sign::Staccato,
        Sign::Accent,
        Sign::Tenuto,
        Sign::Fermata,
        Sign::Breath,
        Sign::Caesura,
        Sign::Trill,
        Sign::Turn,
        Sign::Mordent,
        Sign::Roll,
        Sign::Slide,
        Sign::Segno,
        Sign::Coda,
        Sign::Jump,
        Sign::BarNumber,
        Sign::Accidental,
    ];

    #[test]
    fn every_sign_has_ink_of_a_sensible_size() {
        let fonts = Fonts::embedded();
        let style = EngravingStyle { space: Abs::mm(1.875), ..plain_style() };
        for sign in ALL {
            let frame = draw_sign(sign, &style, &fonts);
            assert!(!frame.is_empty(), "{sign:?}");
            let (width, height) = (frame.size.width / style.space, frame.size.height / style.space);
            assert!((0.3..12.0).contains(&width) && (0.3..9.0).contains(&height), "{sign:?}: {width:.2} x {height:.2}");
        }
    }
}
