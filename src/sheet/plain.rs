//! One page a side.

use super::marks::marks;
use super::scheme::slots_in;
use super::{Placement, PressLook, Sheet};
use crate::font::Fonts;
use crate::geom::{Point, Rect, Size};
use crate::page::{Document, PageBoxes, Side};

/// One sheet side a page, in reading order. The medium is the trimmed page with its bleed; where
/// there are marks, it is larger by the room that they take and carries them and the slug there.
pub fn plain(document: &Document, fonts: &Fonts, look: &PressLook) -> Vec<Sheet> {
    plain_in(document, fonts, look, 1)
}

/// The same with blank sides up to a multiple of a number, before the covers at the end if there are any: for a printer who
/// lays the pages on sheets himself.
pub fn plain_in(document: &Document, fonts: &Fonts, look: &PressLook, multiple: usize) -> Vec<Sheet> {
    let (mut paper, mut blank) = (0, 0);
    let mut before: Option<Side> = None;
    slots_in(document, multiple)
        .into_iter()
        .map(|slot| {
            let page = slot.map(|index| (index, &document.pages[index]));
            let side = page.map_or_else(|| before.map_or(Side::Recto, Side::next), |(_, page)| page.side);
            // A leaf begins with each right-hand page, and wherever two left-hand pages meet.
            if before.is_some_and(|before| side == Side::Recto || before == Side::Verso) {
                paper += 1;
            }
            before = Some(side);
            let size =
                page.map(|(_, page)| page).or(document.pages.first()).map_or(Size::default(), |page| page.frame.size);
            let boxes = boxes(size, look);
            let label = page.map_or_else(
                || {
                    blank += 1;
                    format!("blank {blank}")
                },
                |(_, page)| page.label.clone(),
            );
            Sheet {
                boxes,
                pages: page.map(|(index, _)| Placement::upright(index, boxes.trim.min)).into_iter().collect(),
                marks: marks(&boxes, look, &label, fonts),
                label,
                paper,
            }
        })
        .collect()
}

/// The boxes of a side whose trimmed size is `trim`.
pub(super) fn boxes(trim: Size, look: &PressLook) -> PageBoxes {
    let room = look.room();
    let corner = Point::new(room, room);
    let trimmed = Rect { min: corner, max: Point::new(room + trim.width, room + trim.height) };
    PageBoxes {
        media: Size::new(trim.width + room * 2.0, trim.height + room * 2.0),
        bleed: trimmed.grown(look.bleed),
        trim: trimmed,
    }
}
