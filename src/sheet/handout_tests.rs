//! Handouts: pages made smaller in reading order, and repeated where there are few.

use super::tests::{document, imposing};
use super::*;
use crate::font::Fonts;
use crate::geom::Abs;
use crate::page::{Document, SheetKind};
use crate::style::Binding;

fn job_of(document: &Document, imposed: &Imposed) -> Job {
    job(JobOf {
        document,
        sheets: &imposed.sheets,
        imposed: Some(imposed),
        look: &PressLook::reading(),
        binding: Binding::None,
        stock: Stock { grams: 80.0, bulk: 1.25 },
        cover: None,
        creep: Creep { caliper: Abs::ZERO, cover: Abs::ZERO },
        isbn: None,
    })
}

#[test]
fn a_handout_fits_its_paper_and_keeps_the_order() {
    let fonts = Fonts::embedded();
    let two = impose(
        &document(3, SheetKind::Body),
        &fonts,
        &imposing(Scheme::NUp { columns: 2, rows: 1 }, Flip::ShortEdge, 0.0),
    );
    let side = &two.sheets[0];
    assert!(side.boxes.media.width > side.boxes.media.height, "two portrait pages lie side by side on landscape paper");
    assert!(side.pages[0].at.x < side.pages[1].at.x && side.pages[0].scale < 1.0);
    for placement in two.sheets.iter().flat_map(|sheet| &sheet.pages) {
        let right = placement.at.x + Abs::mm(148.0) * placement.scale;
        assert!(placement.at.x.to_mm() > 4.9 && right < side.boxes.media.width);
    }
}

/// One page, or as many as a side holds twice, fill it: what is left is cut apart, and its back is white.
#[test]
fn a_handout_of_few_pages_is_repeated() {
    let fonts = Fonts::embedded();
    let handout = |pages: usize, columns, rows| {
        let imposing = imposing(Scheme::NUp { columns, rows }, Flip::ShortEdge, 0.0);
        impose(&document(pages, SheetKind::Body), &fonts, &imposing)
    };
    let sides = |imposed: &Imposed| -> Vec<Vec<usize>> {
        imposed.sheets.iter().map(|sheet| sheet.pages.iter().map(|placement| placement.page + 1).collect()).collect()
    };
    for (pages, columns, rows, copies, wanted) in [
        (1, 2, 1, 2, vec![vec![1, 1]]),
        (1, 2, 2, 4, vec![vec![1, 1, 1, 1]]),
        (2, 2, 2, 2, vec![vec![1, 2, 1, 2]]),
        (2, 2, 1, 1, vec![vec![1, 2]]),
        (3, 2, 2, 1, vec![vec![1, 2, 3]]),
        (3, 2, 1, 1, vec![vec![1, 2], vec![3]]),
    ] {
        let imposed = handout(pages, columns, rows);
        assert_eq!((sides(&imposed), imposed.copies, imposed.slots), (wanted, copies, pages));
        let one_side = imposed.sheets.len() == 1;
        let says =
            if one_side { "Print 1 sheet on one side at full size, on paper" } else { "Print 1 sheet on both sides" };
        assert!(imposed.orders[0].starts_with(says), "{:?}", imposed.orders);
        let cut = format!("Cut it apart between the pages into {copies} copies.");
        assert_eq!(imposed.orders[1] == cut, copies > 1, "{:?}", imposed.orders);
        assert!(imposed.scale() < 1.0);
        let job = job_of(&document(pages, SheetKind::Body), &imposed);
        let row = |name: &str| job.rows.iter().find(|(known, _)| known == name).map(|(_, value)| value.as_str());
        // Copies are no blank pages that were added.
        assert_eq!(row("pages"), Some(format!("{pages}, of which 0 blank").as_str()));
        let apart = format!("cut apart into {copies} copies");
        assert_eq!(row("trimming"), Some(if copies > 1 { apart.as_str() } else { "nothing is cut" }));
        assert!(row("sheets of paper").is_some_and(|row| row.ends_with(if one_side {
            "one side"
        } else {
            "both sides"
        })));
    }
    assert!(handout(0, 2, 1).sheets.is_empty());
}
