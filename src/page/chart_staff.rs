//! A plain staff for charts: heads in the shapes of their rows, grouped by button, with numbers above and below and the band
//! of the bellows; no note values.

use super::hand;
use super::scale::Named;
use super::setting::Setting;
use crate::engrave::{draw_finger, draw_head, draw_place};
use crate::frame::{Frame, Ink, Item, TextRun};
use crate::geom::{Abs, Point, Rect, Size};
use crate::instrument::{ButtonId, Direction, RowAt};
use crate::style::HeadShape;
use crate::tune::Pitch;

/// One head of a chart.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Spot {
    /// Its pitch.
    pub pitch: Pitch,
    /// The row whose shape it has.
    pub row: RowAt,
    /// Which way the bellows go.
    pub direction: Direction,
    /// The finger as the book numbers it, over the staff and its band.
    pub finger: Option<u8>,
    /// Where the hand goes for it, over the finger.
    pub place: Option<ButtonId>,
    /// Words under the staff, such as the button's number.
    pub under: String,
}

/// Heads that belong together, between thin barlines.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cluster {
    /// Words over the staff.
    pub over: String,
    /// The heads, left to right.
    pub spots: Vec<Spot>,
}

/// Staff step of the bottom line, E4.
const BOTTOM_LINE: i32 = 30;

/// Draws clusters on one staff of a width. The staff space shrinks where the heads would touch, not under half its size; what
/// is still too wide is for the caller to part. `bands` draws the bellows over the heads.
pub(super) fn staff(setting: &Setting<'_>, clusters: &[Cluster], width: Abs, space: Abs, bands: bool) -> Frame {
    let columns: usize = clusters.iter().map(|cluster| cluster.spots.len()).sum();
    let full = CLEF + COLUMN * columns as f64 + BETWEEN * clusters.len() as f64;
    let space = space.min(width / full).max(space * 0.5);
    let spots = || clusters.iter().flat_map(|cluster| &cluster.spots);
    let places = spots().map(|spot| spot.pitch.staff_step() - BOTTOM_LINE);
    let (lowest, highest) = places.fold((0, 8), |(low, high), at| (low.min(at), high.max(at)));
    let half = space * 0.5;
    let label = setting.scale.size(Named::Label);
    let has_words = clusters.iter().any(|cluster| !cluster.over.is_empty());
    let has_under = spots().any(|spot| !spot.under.is_empty());
    let signs: Vec<(usize, Frame)> = spots()
        .enumerate()
        .filter_map(|(n, spot)| Some((n, draw_place(spot.place?, space, &setting.book.engraving, setting.fonts()))))
        .collect();
    let places = signs.iter().map(|(_, sign)| sign.size.height + space * PLACE_GAP).fold(Abs::ZERO, Abs::max);
    let style = &setting.book.engraving;
    let fingers: Vec<Option<Frame>> =
        spots().map(|spot| Some(draw_finger(spot.finger?, space, style, setting.fonts()))).collect();
    let fingers_high = fingers.iter().flatten().map(|finger| finger.size.height).fold(Abs::ZERO, Abs::max);
    let words_high = if has_words { label } else { Abs::ZERO };
    // The baseline of words and fingers.
    let base = places + words_high.max(fingers_high);
    let over = base + if base.fits(places) { Abs::ZERO } else { label * 0.35 };
    let band = if bands { space * 1.5 } else { Abs::ZERO };
    let top_ink = half * f64::from(highest - 8) + space * 0.8;
    let bottom = over + band + top_ink.max(space * 1.9) + space * 4.0;
    let bottom_ink = (half * f64::from(-lowest) + space * 0.8).max(space * 1.4);
    let under = if has_under { label * 1.3 } else { Abs::ZERO };
    let mut frame = Frame::new(Size::new(width, bottom + bottom_ink + under));

    let thin = (space * 0.13).max(Abs::pt(0.35));
    for line in 0..5 {
        let y = bottom - space * f64::from(line);
        frame.line(Point::new(Abs::ZERO, y), Point::new(width, y), thin, Ink::Black);
    }
    let clef = setting.fonts().music().glyph("gClef");
    let at = Point::new(space * 0.4, bottom - space);
    frame.push(at, Item::Text(TextRun::music(setting.fonts(), clef, space, "")));

    let column = (width - space * CLEF) / (columns as f64 + clusters.len() as f64 * (BETWEEN / COLUMN)).max(1.0);
    let gap = column * (BETWEEN / COLUMN);
    let mut x = space * CLEF;
    let (mut number, mut signs) = (0, signs.into_iter().peekable());
    let mut fingers = fingers.into_iter();
    let bar = (space * 0.12).max(Abs::pt(0.35));
    for (n, cluster) in clusters.iter().enumerate() {
        let start = x;
        x += gap / 2.0;
        for spot in &cluster.spots {
            head(setting, &mut frame, spot, Point::new(x + column / 2.0, bottom), space);
            if bands && spot.direction == Direction::Pull {
                let y = over + space * 0.5;
                let rect = Rect::new(Point::new(x, y), Point::new(x + column, y + space * 0.5));
                frame.fill_rect(rect, Ink::Black);
            }
            if let Some((_, sign)) = signs.next_if(|(n, _)| *n == number) {
                // Its head stands over the note's, as in music.
                frame.place(Point::new(x + (column - space) / 2.0, Abs::ZERO), sign);
            }
            number += 1;
            if let Some(finger) = fingers.next().flatten() {
                let size = finger.size;
                frame.place(Point::new(x + (column - size.width) / 2.0, base - size.height), finger);
            }
            if !spot.under.is_empty() {
                let at = Point::new(x + column / 2.0, bottom + bottom_ink + label * 0.75);
                setting.scale.label(Named::Label, &spot.under).put_centred(&mut frame, at);
            }
            x += column;
        }
        x += gap / 2.0;
        if !cluster.over.is_empty() {
            let middle = Point::new((start + x) / 2.0, base);
            setting.scale.label(Named::LabelStrong, &cluster.over).put_centred(&mut frame, middle);
        }
        if n + 1 < clusters.len() {
            frame.line(Point::new(x, bottom - space * 4.0), Point::new(x, bottom), bar, Ink::Black);
        }
    }
    frame
}

/// Room for the clef, in spaces.
const CLEF: f64 = 3.6;
/// Room for one head with its accidental, in spaces.
const COLUMN: f64 = 2.7;
/// Clear room between a place and what is under it, in spaces.
const PLACE_GAP: f64 = 0.4;
/// Extra room of a cluster.
const BETWEEN: f64 = 1.0;

/// One head with its accidental and ledger lines; `at` is its column's middle on the bottom line.
fn head(setting: &Setting<'_>, frame: &mut Frame, spot: &Spot, at: Point, space: Abs) {
    let style = &setting.book.engraving;
    let place = spot.pitch.staff_step() - BOTTOM_LINE;
    let y = at.y - space * 0.5 * f64::from(place);
    let shape = hand::shape(style.signs.rows, spot.row);
    let ink = draw_head(shape, 2, space, style, setting.fonts());
    let (width, height) = (ink.size.width, ink.size.height);
    // Heads are centred on their line, but for the triangle, whose point rises higher than its base hangs.
    let rise = if shape == HeadShape::Triangle { 0.55 } else { 0.5 };
    let music = setting.fonts().music();
    let thin = (space * 0.16).max(Abs::pt(0.4));
    for ledger in (10..=place).step_by(2).chain((place..=-2).filter(|n| n % 2 == 0)) {
        let y = at.y - space * 0.5 * f64::from(ledger);
        let reach = width / 2.0 + space * 0.4;
        frame.line(Point::new(at.x - reach, y), Point::new(at.x + reach, y), thin, Ink::Black);
    }
    frame.place(Point::new(at.x - width / 2.0, y - height * rise), ink);
    let sign = match spot.pitch.alter {
        0 => return,
        1 => "accidentalSharp",
        2 => "accidentalDoubleSharp",
        -1 => "accidentalFlat",
        _ => "accidentalDoubleFlat",
    };
    let glyph = music.glyph(sign);
    let x = at.x - width / 2.0 - glyph.advance.at(space) - space * 0.15;
    frame.push(Point::new(x, y), Item::Text(TextRun::music(setting.fonts(), glyph, space, "")));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::font::Fonts;
    use crate::page::sample;

    /// Fingers are the music's own figures: bold figures in the letters of the page say where the hand goes.
    #[test]
    fn fingers_are_figures_of_the_music() {
        let fonts = Fonts::embedded();
        let book = sample::book(Size::new(Abs::mm(210.0), Abs::mm(297.0)), Abs::pt(11.0), Vec::new());
        let setting = Setting::new(&book, &fonts);
        let pitch = Pitch::parse("D5").expect("a pitch");
        let spot = Spot {
            pitch,
            row: RowAt::Outer,
            direction: Direction::Push,
            finger: Some(3),
            place: None,
            under: "6".into(),
        };
        let clusters = [Cluster { over: String::new(), spots: vec![spot] }];
        let frame = staff(&setting, &clusters, Abs::pt(60.0), Abs::pt(5.0), true);
        let mut faces = Vec::new();
        each_run(&frame, &mut |run| faces.push((run.text.to_string(), run.face == fonts.music_face())));
        faces.retain(|(text, _)| !text.is_empty());
        assert_eq!(faces, [("3".to_owned(), true), ("6".to_owned(), false)]);
    }

    fn each_run(frame: &Frame, see: &mut dyn FnMut(&TextRun)) {
        for (_, item) in frame.items() {
            match item {
                Item::Text(run) => see(run),
                Item::Group(group) => each_run(&group.frame, see),
                _ => {}
            }
        }
    }
}
