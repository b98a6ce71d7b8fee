//! One page a side.

use super::marks::marks;
use super::{Placement, PressLook, Sheet};
use crate::font::Fonts;
use crate::geom::{Point, Rect, Size};
use crate::page::{Document, PageBoxes, Side};

/// One sheet side a page, in reading order. For reading the medium is the trimmed page; for the press it is larger by
/// the look's margin on all sides and carries marks and slug there.
pub fn plain(document: &Document, fonts: &Fonts, look: &PressLook) -> Vec<Sheet> {
    let mut paper = 0;
    document
        .pages
        .iter()
        .enumerate()
        .map(|(index, page)| {
            // A leaf begins with each right-hand page, and wherever two left-hand pages meet.
            if index > 0 && (page.side == Side::Recto || document.pages[index - 1].side == Side::Verso) {
                paper += 1;
            }
            let boxes = boxes(page.frame.size, look);
            Sheet {
                boxes,
                pages: vec![Placement::upright(index, boxes.trim.min)],
                marks: marks(&boxes, look, &page.label, fonts),
                label: page.label.clone(),
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
