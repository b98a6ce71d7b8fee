//! Where ink lies on pages, exactly: what a printer asks about bleed, bound edge and plates.
//!
//! Takes frames; gives boxes of ink, and facts of a whole document on sheets. It looks at the outline of every glyph, so it is for
//! job sheets and tests, not for every file.

use super::{Placement, Sheet};
use crate::font::Fonts;
use crate::frame::{Frame, Ink, Item, Mark, Shape};
use crate::geom::{Abs, Em, Path, Point, Rect};
use crate::page::{Document, Side};

/// Calls `with` for the box of each piece of ink in a frame whose corner lies at `origin`, lines with their weight.
pub(crate) fn inks(frame: &Frame, origin: Point, fonts: &Fonts, with: &mut impl FnMut(Rect, Ink)) {
    for (at, item) in frame.items() {
        let at = origin + *at;
        let mut area = |path: &Path, weight: Abs, ink: Ink| {
            if let Some(extent) = path.ink() {
                with(extent.moved(at).grown(weight / 2.0), ink);
            }
        };
        let mut drawn = |shape: &Shape| {
            if let Some(ink) = shape.fill {
                area(&shape.path, Abs::ZERO, ink);
            }
            if let Some(stroke) = shape.stroke {
                area(&shape.path, stroke.width, stroke.ink);
            }
        };
        match item {
            Item::Text(run) => {
                for glyph in run.glyphs.iter() {
                    let Some(ink) = fonts.ink(run.face, glyph.id) else { continue };
                    let pen = at + Point::new(glyph.x, glyph.y);
                    let corner = |x: Em, y: Em| Point::new(pen.x + x.at(run.size), pen.y - y.at(run.size));
                    with(Rect::new(corner(ink.min.x, ink.min.y), corner(ink.max.x, ink.max.y)), run.ink);
                }
            }
            Item::Rect(rect, ink) => with(Rect::new(rect.min, rect.max).moved(at), *ink),
            Item::Shape(shape) => drawn(shape),
            Item::Stamp(shape) => drawn(shape),
            Item::Image(image) => with(Rect::new(at, at + Point::new(image.size.width, image.size.height)), Ink::Black),
            Item::Drawing(drawing) => {
                for mark in drawing.layers.iter().flat_map(|layer| &layer.marks) {
                    match mark {
                        Mark::Fill(inside, ink) => area(&inside.path, Abs::ZERO, *ink),
                        Mark::Stroke(path, stroke) => area(path, stroke.width, stroke.ink),
                    }
                }
            }
            Item::Group(group) => inks(&group.frame, at, fonts, with),
            Item::Anchor(_) => {}
        }
    }
}

/// What a printer asks about the ink of a document on sheets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct InkFacts {
    /// Pages on which ink runs over the trimmed edge.
    pub off_the_page: usize,
    /// Printed sides with ink of the second colour, marks left out.
    pub second_sides: usize,
    /// Least distance of ink from the edge that is bound, on any leaf as it is trimmed; nothing for handouts and white pages.
    pub inner: Option<Abs>,
    /// How far creep has moved a page towards its fold, at the most.
    pub creep: Abs,
}

/// What one page's ink comes to.
#[derive(Debug, Clone, Copy)]
struct PageInk {
    extent: Option<Rect>,
    second: bool,
}

impl InkFacts {
    /// Looks at every page that stands on a sheet at its own size.
    pub fn of(document: &Document, sheets: &[Sheet], fonts: &Fonts) -> Self {
        let pages: Vec<PageInk> = document.pages.iter().map(|page| page_ink(&page.frame, fonts)).collect();
        let off = |index: &usize| {
            let size = document.pages[*index].frame.size;
            pages[*index].extent.is_some_and(|ink| {
                let [left, head] = [ink.min.x, ink.min.y];
                let [right, foot] = [size.width - ink.max.x, size.height - ink.max.y];
                [left, head, right, foot].into_iter().any(|edge| edge < -Abs::mm(0.01))
            })
        };
        let mut facts =
            Self { off_the_page: (0..pages.len()).filter(off).count(), second_sides: 0, inner: None, creep: Abs::ZERO };
        for sheet in sheets {
            let has_second = |placement: &Placement| pages.get(placement.page).is_some_and(|page| page.second);
            facts.second_sides += usize::from(sheet.pages.iter().any(has_second));
            for placement in &sheet.pages {
                let (Some(page), Some(ink)) = (document.pages.get(placement.page), pages.get(placement.page)) else {
                    continue;
                };
                let width = page.frame.size.width;
                let creep = crept(placement, width);
                facts.creep = facts.creep.max(creep);
                // Pages made smaller are on handouts, which are not bound.
                if let Some(ink) = ink.extent.filter(|_| placement.scale >= 1.0) {
                    let edge = if page.side == Side::Recto { ink.min.x } else { width - ink.max.x };
                    let least = edge - creep;
                    facts.inner = Some(facts.inner.map_or(least, |inner| inner.min(least)));
                }
            }
        }
        facts
    }
}

fn page_ink(frame: &Frame, fonts: &Fonts) -> PageInk {
    let mut found = PageInk { extent: None, second: false };
    inks(frame, Point::default(), fonts, &mut |ink, colour| {
        found.extent = Some(found.extent.map_or(ink, |extent| extent.union(&ink)));
        found.second |= colour == Ink::Second;
    });
    found
}

/// How much of a page lies beyond its fold: there its clip ends.
fn crept(placement: &Placement, width: Abs) -> Abs {
    placement.clip.map_or(Abs::ZERO, |clip| {
        let right = placement.at.x + width * placement.scale;
        (clip.min.x - placement.at.x).max(right - clip.max.x).max(Abs::ZERO)
    })
}
