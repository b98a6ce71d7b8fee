//! Where ink lies on pages, exactly: what a printer asks about bleed, bound edge and plates.
//!
//! Takes frames; gives boxes of ink, and facts of a whole document on sheets. It looks at the outline of every glyph, so it is for
//! job sheets and tests, not for every file.

use super::{Creep, Placement, Sheet};
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
    /// Least distance of ink from the edge that is bound, on any leaf as it is trimmed once creep is taken up; nothing for handouts
    /// and white pages.
    pub inner: Option<Abs>,
    /// Least distance of ink from the fore edge, on any leaf as it is trimmed where nobody takes creep up; nothing where these sheets
    /// do, or nothing creeps.
    pub outer: Option<Abs>,
    /// How far a page is moved towards its fold to take creep up, at the most.
    pub creep: Abs,
}

/// What one page's ink comes to.
#[derive(Debug, Clone, Copy)]
struct PageInk {
    extent: Option<Rect>,
    second: bool,
}

impl InkFacts {
    /// Looks at every page that stands on a sheet at its own size. `to_come` is the creep of pages sent one by one to a printer who
    /// lays them on sheets inside one another himself.
    pub fn of(document: &Document, sheets: &[Sheet], fonts: &Fonts, to_come: Option<Creep>) -> Self {
        let pages: Vec<PageInk> = document.pages.iter().map(|page| page_ink(&page.frame, fonts)).collect();
        let off = |index: &usize| {
            let size = document.pages[*index].frame.size;
            pages[*index].extent.is_some_and(|ink| {
                let [left, head] = [ink.min.x, ink.min.y];
                let [right, foot] = [size.width - ink.max.x, size.height - ink.max.y];
                [left, head, right, foot].into_iter().any(|edge| edge < -Abs::mm(0.01))
            })
        };
        let mut facts = Self {
            off_the_page: (0..pages.len()).filter(off).count(),
            second_sides: 0,
            inner: None,
            outer: None,
            creep: Abs::ZERO,
        };
        let least = |slot: &mut Option<Abs>, found: Abs| *slot = Some(slot.map_or(found, |known| known.min(found)));
        for (slot, sheet) in sheets.iter().enumerate() {
            let has_second = |placement: &Placement| pages.get(placement.page).is_some_and(|page| page.second);
            facts.second_sides += usize::from(sheet.pages.iter().any(has_second));
            for placement in &sheet.pages {
                let (Some(page), Some(ink)) = (document.pages.get(placement.page), pages.get(placement.page)) else {
                    continue;
                };
                let width = page.frame.size.width;
                let creep = to_come.map_or_else(|| crept(placement, width), |creep| creep.of_page(slot, sheets.len()));
                facts.creep = facts.creep.max(creep);
                // Pages made smaller are on handouts, which are not bound.
                if let Some(ink) = ink.extent.filter(|_| placement.scale >= 1.0) {
                    let (left, right) = (ink.min.x, width - ink.max.x);
                    let (inner, outer) = if page.side == Side::Recto { (left, right) } else { (right, left) };
                    least(&mut facts.inner, inner - creep);
                    if to_come.is_some() {
                        least(&mut facts.outer, outer - creep);
                    }
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
