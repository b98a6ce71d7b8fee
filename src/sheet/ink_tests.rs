//! What is said of the ink of pages on sheets: edges, sides, and what creep takes of margins.

use super::tests::{document, imposing};
use super::*;
use crate::font::Fonts;
use crate::geom::{Abs, Point};
use crate::page::{Document, SheetKind};

/// What is said of ink: a bar over the edge is off the page, the second ink is counted by sides, and creep takes of the inner margin.
#[test]
fn ink_is_told_by_edges_sides_and_fold() {
    use crate::frame::Ink;
    use crate::geom::Rect;
    let fonts = Fonts::embedded();
    let mut document = document(16, SheetKind::Body);
    let at = |x: f64, y: f64| Point::new(Abs::mm(x), Abs::mm(y));
    for page in &mut document.pages {
        // A bar from 12 mm to 12 mm before either edge.
        page.frame.fill_rect(Rect::new(at(12.0, 20.0), at(136.0, 30.0)), Ink::Black);
    }
    let look = PressLook::press("Demo");
    let facts = |document: &Document, sheets: &[Sheet]| InkFacts::of(document, sheets, &fonts, None);
    let near = |found: Option<Abs>, wanted: f64| found.is_some_and(|found| (found.to_mm() - wanted).abs() < 1e-9);
    let found = facts(&document, &plain(&document, &fonts, &look));
    assert!((found.off_the_page, found.second_sides) == (0, 0) && near(found.inner, 12.0), "{found:?}");
    // Four sheets of 0.2 mm: the innermost pages stand 0.6 mm nearer the fold.
    let imposed = impose(&document, &fonts, &imposing(Scheme::Saddle, Flip::ShortEdge, 0.2));
    let found = facts(&document, &imposed.sheets);
    assert!(near(found.inner, 11.4) && near(Some(found.creep), 0.6), "{found:?}");
    // In a cover of 0.3 mm all pages stand by so much nearer, those of folded sections do not.
    let board = |scheme| {
        let creep = Creep { caliper: Abs::mm(0.2), cover: Abs::mm(0.3) };
        let imposed = impose(&document, &fonts, &Imposing { creep, ..imposing(scheme, Flip::ShortEdge, 0.2) });
        (facts(&document, &imposed.sheets), imposed.orders.join(" "))
    };
    let (found, orders) = board(Scheme::Saddle);
    assert!(near(found.inner, 11.1) && near(Some(found.creep), 0.9) && found.outer.is_none(), "{found:?}");
    assert!(orders.contains("stand 0.90 mm nearer the fold, and all pages 0.30 mm for the cover"), "{orders}");
    let (found, orders) = board(Scheme::Sections { pages: 16 });
    assert!(near(Some(found.creep), 0.6) && !orders.contains("cover"), "{found:?} {orders}");
    // Pages sent one by one: what they lose at the fold once they are moved, and at the fore edge if they are not.
    let to_come = Creep { caliper: Abs::mm(0.2), cover: Abs::mm(0.3) };
    let found = InkFacts::of(&document, &plain(&document, &fonts, &look), &fonts, Some(to_come));
    assert!(near(found.inner, 11.1) && near(found.outer, 11.1) && near(Some(found.creep), 0.9), "{found:?}");
    // Where the fold is milled off, every leaf keeps its margin.
    let milled = Imposing { milling: Abs::mm(3.0), ..imposing(Scheme::Sections { pages: 16 }, Flip::ShortEdge, 0.2) };
    let found = facts(&document, &impose(&document, &fonts, &milled).sheets);
    assert!(near(found.inner, 12.0) && near(Some(found.creep), 0.0), "{found:?}");
    document.pages[3].frame.fill_rect(Rect::new(at(-3.0, 50.0), at(20.0, 60.0)), Ink::Second);
    document.pages[4].frame.fill_rect(Rect::new(at(20.0, 50.0), at(30.0, 60.0)), Ink::Second);
    let found = facts(&document, &plain(&document, &fonts, &look));
    assert_eq!((found.off_the_page, found.second_sides), (1, 2), "{found:?}");
    assert_eq!(facts(&document, &imposed.sheets).second_sides, 2);
}
