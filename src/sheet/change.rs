//! Marks on replaced pages: bars in the outer margin beside what changed, and words at the foot such as a date.
//!
//! Takes a document and areas on its pages; adds ink to the pages. Source: change marks beside changed text are manual
//! practice (MIL-STD-38784A and training texts on it); their weight and place are *common practice, no source*.

use crate::font::{Cut, FaceChoice, Features, Fonts, TextFamily, Weight};
use crate::frame::{Frame, Ink, Item, Role, Tag, TextRun};
use crate::geom::{Abs, Point, Rect, Size};
use crate::page::{Document, Page, Side};

/// Weight of a change bar.
const BAR: Abs = Abs::pt(1.5);
/// How far a change bar stands off what is on the page.
const OFF: Abs = Abs::mm(3.0);
/// Least distance of any mark from the edge of the page.
const EDGE: Abs = Abs::mm(4.0);
/// Bars nearer to one another than this are one.
const JOIN: Abs = Abs::mm(2.5);
/// Type size of the words at the foot.
const WORDS: Abs = Abs::pt(7.0);

/// Draws a bar in the outer margin beside each area; `areas` has one list a page.
pub fn change_bars(document: &mut Document, areas: &[Vec<Rect>]) {
    for (page, areas) in document.pages.iter_mut().zip(areas) {
        let Some(ink) = extent(&page.frame) else { continue };
        let width = page.frame.size.width;
        let x = match page.side {
            Side::Recto => (ink.max.x + OFF).min(width - EDGE),
            Side::Verso => (ink.min.x - OFF).max(EDGE),
        };
        for (top, bottom) in joined(areas) {
            let mut bar = Frame::new(Size::new(BAR, bottom - top));
            let half = BAR / 2.0;
            bar.line(Point::new(half, Abs::ZERO), Point::new(half, bottom - top), BAR, Ink::Black);
            page.frame.place_tagged(Point::new(x - half, top), bar, Tag::new(Role::Artifact));
        }
    }
}

/// Sets words at the foot of some pages, on the side of the spine, where no folio stands.
pub fn foot_words(document: &mut Document, pages: &[usize], words: &str, fonts: &Fonts) {
    let face =
        fonts.text(FaceChoice { family: TextFamily::Sans, weight: Weight::Regular, italic: false, cut: Cut::Text });
    for index in pages {
        let Some(page) = document.pages.get_mut(*index) else { continue };
        let run = TextRun::shaped(fonts, face, WORDS, words, Features::default());
        let at = foot(page, run.width());
        let mut frame = Frame::new(Size::new(run.width(), WORDS));
        frame.push(Point::new(Abs::ZERO, WORDS), Item::Text(run));
        page.frame.place_tagged(at, frame, Tag::new(Role::Artifact));
    }
}

fn foot(page: &Page, width: Abs) -> Point {
    let size = page.frame.size;
    let ink = extent(&page.frame)
        .unwrap_or(Rect::new(Point::new(EDGE * 3.0, Abs::ZERO), Point::new(size.width - EDGE * 3.0, Abs::ZERO)));
    let x = match page.side {
        Side::Recto => ink.min.x,
        Side::Verso => ink.max.x - width,
    };
    Point::new(x.max(EDGE), size.height - EDGE - WORDS * 1.5)
}

/// The upright extents of areas, those that touch or nearly touch as one.
fn joined(areas: &[Rect]) -> Vec<(Abs, Abs)> {
    let mut spans: Vec<(Abs, Abs)> = areas.iter().map(|area| (area.min.y, area.max.y)).collect();
    spans.sort_by(|one, other| one.0.to_pt().total_cmp(&other.0.to_pt()));
    let mut joined: Vec<(Abs, Abs)> = Vec::new();
    for (top, bottom) in spans {
        match joined.last_mut() {
            Some(last) if top <= last.1 + JOIN => last.1 = last.1.max(bottom),
            _ => joined.push((top, bottom)),
        }
    }
    joined
}

/// What the parts of a page cover that are no ornament; their frames' boxes stand for their ink.
fn extent(frame: &Frame) -> Option<Rect> {
    let mut whole: Option<Rect> = None;
    for (at, item) in frame.items() {
        let Item::Group(group) = item else { continue };
        if group.tag.as_ref().is_some_and(|tag| tag.role.is_aside()) {
            continue;
        }
        let size = group.frame.size;
        let area = Rect::new(*at, Point::new(at.x + size.width, at.y + size.height));
        whole = Some(whole.map_or(area, |whole| whole.union(&area)));
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::SheetKind;

    fn area(top: f64, bottom: f64) -> Rect {
        Rect::new(Point::new(Abs::mm(30.0), Abs::mm(top)), Point::new(Abs::mm(150.0), Abs::mm(bottom)))
    }
    fn document() -> Document {
        let page = |side| {
            let mut frame = Frame::new(Size::new(Abs::mm(210.0), Abs::mm(297.0)));
            frame
                .place(Point::new(Abs::mm(30.0), Abs::mm(20.0)), Frame::new(Size::new(Abs::mm(160.0), Abs::mm(240.0))));
            Page { frame, label: "1".into(), side, kind: SheetKind::Body }
        };
        Document { pages: vec![page(Side::Recto), page(Side::Verso)], ..Document::default() }
    }

    #[test]
    fn bars_stand_in_the_outer_margin_and_neighbours_are_one() {
        let mut marked = document();
        let areas = vec![area(20.0, 25.0), area(26.0, 31.0), area(60.0, 70.0)];
        change_bars(&mut marked, &[areas.clone(), areas]);
        for (page, x) in marked.pages.iter().zip([193.0, 27.0]) {
            let bars: Vec<(f64, f64, f64)> = page.frame.items()[1..]
                .iter()
                .map(|(at, item)| {
                    let Item::Group(group) = item else { panic!("a bar is a group") };
                    ((at.x + BAR / 2.0).to_mm(), at.y.to_mm(), group.frame.size.height.to_mm())
                })
                .collect();
            let wanted = [(x, 20.0, 11.0), (x, 60.0, 10.0)];
            assert_eq!(bars.len(), 2);
            for (bar, wanted) in bars.iter().zip(wanted) {
                assert!(
                    (bar.0 - wanted.0).abs() + (bar.1 - wanted.1).abs() + (bar.2 - wanted.2).abs() < 1e-6,
                    "{bars:?}"
                );
            }
        }
    }

    #[test]
    fn words_stand_at_the_foot_of_the_pages_named() {
        let fonts = Fonts::embedded();
        let mut marked = document();
        foot_words(&mut marked, &[1], "Revised 2026-11-01", &fonts);
        assert_eq!(marked.pages[0].frame.items().len(), 1);
        let (at, item) = &marked.pages[1].frame.items()[1];
        let Item::Group(group) = item else { panic!("the words are a group") };
        assert!(
            ((at.x + group.frame.size.width).to_mm() - 190.0).abs() < 1e-6,
            "on a left-hand page they end at the spine"
        );
        assert!(at.y.to_mm() > 285.0);
    }
}
