//! Imposed sheets measured: places, register of front and back, creep, clips, blanks, marks.

use super::*;
use crate::font::Fonts;
use crate::geom::{Abs, Point, Size};
use crate::page::{Document, Page, SheetKind, Side};

pub(super) fn document(pages: usize, last: SheetKind) -> Document {
    let page = |number: usize| Page {
        frame: crate::frame::Frame::new(Size::new(Abs::mm(148.0), Abs::mm(210.0))),
        label: number.to_string(),
        side: if number.is_multiple_of(2) { Side::Verso } else { Side::Recto },
        kind: if number == pages { last } else { SheetKind::Body },
    };
    Document { pages: (1..=pages).map(page).collect(), ..Document::default() }
}

pub(super) fn imposing(scheme: Scheme, flip: Flip, caliper: f64) -> Imposing {
    let creep = Creep { caliper: Abs::mm(caliper), cover: Abs::ZERO };
    Imposing { scheme, flip, creep, milling: Abs::ZERO, look: PressLook::press("Demo") }
}

fn saddle(pages: usize, flip: Flip, caliper: f64) -> Imposed {
    let fonts = Fonts::embedded();
    impose(&document(pages, SheetKind::Body), &fonts, &imposing(Scheme::Saddle, flip, caliper))
}

fn place(imposed: &Imposed, page: usize) -> (usize, Placement) {
    let found = imposed.sheets.iter().enumerate().find_map(|(side, sheet)| {
        sheet.pages.iter().find(|placement| placement.page + 1 == page).map(|placement| (side, *placement))
    });
    found.expect("every page stands somewhere")
}

/// Two A5 pages on a spread of 296 x 210 mm, 10 mm round it.
#[test]
fn a_booklet_has_its_boxes_and_places() {
    let imposed = saddle(8, Flip::ShortEdge, 0.0);
    assert_eq!((imposed.sheets.len(), imposed.papers, imposed.slots), (4, 2, 8));
    let boxes = imposed.sheets[0].boxes;
    assert!((boxes.media.width.to_mm() - 316.0).abs() < 1e-9 && (boxes.media.height.to_mm() - 230.0).abs() < 1e-9);
    assert!((boxes.trim.width().to_mm() - 296.0).abs() < 1e-9);
    assert!((boxes.bleed.width().to_mm() - 302.0).abs() < 1e-9);
    let (side, first) = place(&imposed, 1);
    assert_eq!(side, 0);
    assert!((first.at.x.to_mm() - 158.0).abs() < 1e-9 && (first.at.y.to_mm() - 10.0).abs() < 1e-9);
    let clip = first.clip.expect("a page is clipped at the fold");
    assert!((clip.min.x.to_mm() - 158.0).abs() < 1e-9 && (clip.max.x.to_mm() - 309.0).abs() < 1e-9);
}

/// Front and back of each leaf lie on one another for both ways of turning, all schemes of print.
#[test]
fn backs_register_with_fronts_for_both_flips() {
    let fonts = Fonts::embedded();
    let schemes = [
        Scheme::Saddle,
        Scheme::Sections { pages: 8 },
        Scheme::FoldedEight,
        Scheme::FoldedSixteen,
        Scheme::CutAndStack { columns: 2, rows: 2 },
        Scheme::CutAndStack { columns: 3, rows: 1 },
    ];
    for scheme in schemes {
        for (flip, milling) in
            [(Flip::ShortEdge, 0.0), (Flip::LongEdge, 0.0), (Flip::ShortEdge, 2.5), (Flip::LongEdge, 3.0)]
        {
            let imposing = Imposing { milling: Abs::mm(milling), ..imposing(scheme, flip, 0.1) };
            let imposed = impose(&document(32, SheetKind::Body), &fonts, &imposing);
            for leaf in 0..16 {
                let ((side, front), (back_side, back)) = (place(&imposed, leaf * 2 + 1), place(&imposed, leaf * 2 + 2));
                assert_eq!(side / 2, back_side / 2, "{scheme:?}: both on one sheet");
                let media = imposed.sheets[side].boxes.media;
                let size = Size::new(Abs::mm(148.0), Abs::mm(210.0));
                let about_vertical = (media.width >= media.height) == (flip == Flip::ShortEdge);
                let seen = if about_vertical {
                    Point::new(media.width - back.at.x - size.width, back.at.y)
                } else {
                    Point::new(back.at.x, media.height - back.at.y - size.height)
                };
                assert!(seen.x.is_near(front.at.x) && seen.y.is_near(front.at.y), "{scheme:?} {flip:?} leaf {leaf}");
                assert_eq!(front.turn == back.turn, about_vertical);
            }
        }
    }
}

/// k x caliper: caliper 0.10 mm, 16 pages: 0, 0.1, 0.2, 0.3 mm towards the fold.
#[test]
fn creep_moves_pages_towards_the_fold_and_leaves_the_trim() {
    let (with, without) = (saddle(16, Flip::ShortEdge, 0.1), saddle(16, Flip::ShortEdge, 0.0));
    for page in 1..=16 {
        let moved = place(&with, page).1.at.x - place(&without, page).1.at.x;
        let depth = (page - 1).min(16 - page) / 2;
        let wanted = [0.0, 0.1, 0.2, 0.3][depth] * if page % 2 == 1 { -1.0 } else { 1.0 };
        assert!((moved.to_mm() - wanted).abs() < 1e-9, "page {page}");
    }
    assert_eq!(with.sheets[0].boxes, without.sheets[0].boxes);
    assert!(with.orders.iter().any(|order| order.contains("0.30 mm")));
}

/// Sections that are glued lose 3 mm at each fold: twice that lies free between two A5 pages, the fold in the middle of it; each
/// page keeps its place on its leaf. A saddle-stitched booklet loses nothing, whatever is asked.
#[test]
fn what_is_milled_off_lies_between_the_pages() {
    let fonts = Fonts::embedded();
    let milled = |scheme, milling| {
        let imposing = Imposing { milling: Abs::mm(milling), ..imposing(scheme, Flip::ShortEdge, 0.1) };
        impose(&document(16, SheetKind::Body), &fonts, &imposing)
    };
    for (scheme, across) in
        [(Scheme::Sections { pages: 16 }, 302.0), (Scheme::FoldedEight, 302.0), (Scheme::FoldedSixteen, 610.0)]
    {
        let (with, without) = (milled(scheme, 3.0), milled(scheme, 0.0));
        assert!((with.sheets[0].boxes.trim.width().to_mm() - across).abs() < 1e-9, "{scheme:?}");
        assert!(with.orders.iter().any(|order| order.contains("mill 3.0 mm off the fold")), "{:?}", with.orders);
        assert!(without.orders.iter().any(|order| order.contains("sew through the fold")), "{:?}", without.orders);
        // Where a fold is off, the fold's own mark stands 3 mm beyond the page's edge.
        let folds: Vec<f64> = ticks(&with.sheets[0]);
        for page in 1..=16 {
            let ((_, new), (_, old)) = (place(&with, page), place(&without, page));
            let spine_is_left = (page % 2 == 1) != (new.turn == Turn::Half);
            // Of a folded eight the depths begin again after eight pages.
            let of = if scheme == Scheme::FoldedEight { 8 } else { 16 };
            let at = (page - 1) % of;
            let creep = Abs::mm(0.1) * f64::from(u32::try_from(at.min(of - 1 - at) / 2).expect("a few"));
            let edge = if spine_is_left { new.at.x + creep } else { new.at.x - creep + Abs::mm(148.0) };
            let fold = if spine_is_left { edge.to_mm() - 3.0 } else { edge.to_mm() + 3.0 };
            assert!(folds.iter().any(|at| (at - fold).abs() < 1e-6), "{scheme:?} page {page}: {fold} in {folds:?}");
            // Ink reaches to the page's own edge, which creep has moved over the outer sheet's.
            let (clip, whole) = (new.clip.expect("clipped"), old.clip.expect("clipped"));
            let leaf = if spine_is_left { new.at.x } else { new.at.x + Abs::mm(148.0) };
            assert!((if spine_is_left { clip.min.x } else { clip.max.x }).is_near(leaf), "{scheme:?} page {page}");
            assert!(clip.width().is_near(whole.width() + creep), "{scheme:?} page {page}");
        }
    }
    assert!(milled(Scheme::Saddle, 3.0) == milled(Scheme::Saddle, 0.0));
}

/// Where dashed marks stand upright on a sheet, in millimetres from its left.
fn ticks(sheet: &Sheet) -> Vec<f64> {
    let marks = sheet.marks.items().iter().filter_map(|(at, item)| match item {
        crate::frame::Item::Shape(shape) if shape.stroke.is_some_and(|stroke| stroke.dash.is_some()) => {
            shape.path.moved(*at).ink()
        }
        _ => None,
    });
    marks.filter(|ink| ink.width() < ink.height()).map(|ink| ((ink.min.x + ink.max.x) / 2.0).to_mm()).collect()
}

#[test]
fn blanks_stand_before_the_back_cover_or_at_the_end() {
    let slots = Scheme::Saddle.slots(&document(6, SheetKind::Cover));
    assert_eq!(slots, [Some(0), Some(1), Some(2), Some(3), Some(4), None, None, Some(5)]);
    let slots = Scheme::Saddle.slots(&document(6, SheetKind::Body));
    assert_eq!(slots[6..], [None, None]);
    assert!(
        impose(&Document::default(), &Fonts::embedded(), &imposing(Scheme::Saddle, Flip::LongEdge, 0.0))
            .sheets
            .is_empty()
    );
}

/// No mark stands inside the bleed, but for the collation bars on the fold.
#[test]
fn marks_keep_out_of_the_bleed() {
    let fonts = Fonts::embedded();
    let sheets = [
        plain(&document(2, SheetKind::Body), &fonts, &PressLook::press("Demo")),
        saddle(8, Flip::ShortEdge, 0.1).sheets,
    ];
    for sheet in sheets.iter().flatten() {
        assert!(!sheet.marks.is_empty());
        for (at, item) in sheet.marks.items() {
            let ink = match item {
                crate::frame::Item::Shape(shape) => shape.path.moved(*at).ink().expect("marks have ink"),
                crate::frame::Item::Rect(rect, _) => crate::geom::Rect::new(rect.min, rect.max).moved(*at),
                _ => continue,
            };
            let bleed = sheet.boxes.bleed.grown(-Abs::pt(0.01));
            let grown = crate::geom::Rect { min: ink.min, max: ink.max }.grown(Abs::pt(0.001));
            assert!(!grown.overlaps(&bleed), "{ink:?} in {bleed:?}");
            assert!(ink.min.x >= Abs::ZERO && ink.max.x <= sheet.boxes.media.width);
        }
    }
}

#[test]
fn sections_are_marked_by_a_staircase() {
    let fonts = Fonts::embedded();
    let eight = Scheme::Sections { pages: 8 };
    for (scheme, milling) in [(eight, 0.0), (Scheme::FoldedEight, 0.0), (eight, 3.0), (Scheme::FoldedEight, 3.0)] {
        let milling = Abs::mm(milling);
        let imposing = Imposing { milling, ..imposing(scheme, Flip::ShortEdge, 0.1) };
        let imposed = impose(&document(24, SheetKind::Body), &fonts, &imposing);
        let mut tops = Vec::new();
        for sheet in &imposed.sheets {
            for (_, item) in sheet.marks.items() {
                let crate::frame::Item::Rect(rect, _) = item else { continue };
                let ink = crate::geom::Rect::new(rect.min, rect.max);
                if sheet.boxes.trim.overlaps(&ink) {
                    tops.push(ink.min.y.to_mm());
                    let first = sheet.pages.iter().find(|placement| placement.page % 8 == 0);
                    let first = first.expect("the bar stands on the side of the section's first page");
                    let clip = first.clip.expect("clipped");
                    let spine = if first.turn == Turn::Half { clip.max.x + milling } else { clip.min.x - milling };
                    assert!(((ink.min.x + ink.max.x) / 2.0).is_near(spine));
                }
            }
        }
        assert_eq!(tops.len(), 3, "{scheme:?}");
        assert!(tops.windows(2).all(|pair| (pair[1] - pair[0] - 6.0).abs() < 1e-6));
    }
}

#[test]
fn the_job_sheet_says_what_a_printer_asks() {
    let imposed = saddle(6, Flip::ShortEdge, 0.12);
    let stock = Stock { grams: 100.0, bulk: 1.2 };
    let document = document(6, SheetKind::Body);
    let look = PressLook::press("Demo");
    let (sheets, imposed, binding) = (&imposed.sheets[..], Some(&imposed), crate::style::Binding::Saddle);
    let creep = Creep::of(stock, None);
    let of =
        JobOf { document: &document, sheets, imposed, look: &look, binding, stock, cover: None, creep, isbn: None };
    let job = job(of);
    let value = |name: &str| job.rows.iter().find(|(row, _)| row == name).map_or("", |(_, value)| value.as_str());
    assert_eq!(value("pages"), "8, of which 2 blank: 2 added");
    assert_eq!(value("trimmed page"), "148.0 x 210.0 mm");
    assert_eq!(value("file page"), "316.0 x 230.0 mm");
    assert_eq!(value("trim box"), "296.0 x 210.0 mm at 10.0, 10.0 mm from the upper left corner");
    assert_eq!(value("bleed"), "3.0 mm");
    assert_eq!(value("sheets of paper"), "2, printed on both sides");
    // Four leaves of 0.12 mm.
    assert_eq!(value("grain"), "parallel to the spine");
    assert_eq!(value("spine"), "0.5 mm: 4 leaves of 0.120 mm, no cover of its own");
    assert_eq!(value("bleed box"), "302.0 x 216.0 mm at 7.0, 7.0 mm from the upper left corner");
    assert_eq!(value("marks"), "crop marks and registration targets, on the plate of every ink");
    assert!(value("order 1").contains("short edge"));
    assert_eq!((job.pages.as_str(), job.paper.as_str()), ("6 pages and 2 blank ones", "2 sheets of paper"));
    assert_eq!(job.spine[0], "the spine is 0.5 mm: 4 leaves of 0.120 mm, no cover of its own");
}

fn job_of(pages: usize, last: SheetKind, binding: crate::style::Binding, look: &PressLook, multiple: usize) -> Job {
    let document = document(pages, last);
    let sheets = plain_in(&document, &Fonts::embedded(), look, multiple);
    let stock = Stock { grams: 100.0, bulk: 1.2 };
    let cover = Some(Board { stock: Stock { grams: 250.0, bulk: 1.1 }, spine: None });
    job(JobOf {
        document: &document,
        sheets: &sheets,
        imposed: None,
        look,
        binding,
        stock,
        cover,
        creep: Creep::of(stock, cover),
        isbn: Some("978-3-16-148410-0"),
    })
}

/// Single pages for a shop that imposes them itself: 54 pages fold to 14 sheets of four, the back cover outermost.
#[test]
fn stapled_pages_come_in_fours_before_the_back_cover() {
    use crate::style::Binding;
    let look = PressLook::press("Demo");
    let sheets = plain_in(&document(54, SheetKind::Cover), &Fonts::embedded(), &look, 4);
    assert_eq!(sheets.len(), 56);
    assert!(sheets[53..55].iter().all(|sheet| sheet.pages.is_empty()) && sheets[55].pages[0].page == 53);
    assert!(sheets.iter().all(|sheet| sheet.boxes == sheets[0].boxes), "blank sides are as large as others");
    assert_eq!((sheets[52].paper, sheets[53].paper, sheets[54].paper, sheets[55].paper), (26, 26, 27, 27));
    let job = job_of(54, SheetKind::Cover, Binding::Saddle, &look, 4);
    let value = |name: &str| job.rows.iter().find(|(row, _)| row == name).map_or("", |(_, value)| value.as_str());
    assert_eq!(value("pages"), "56, of which 2 blank: 2 added");
    assert_eq!(value("sheets of paper"), "14, each folded to four pages, printed on both sides");
    // 28 leaves of 0.12 mm and two of 0.275 mm.
    assert!(value("spine").starts_with("3.9 mm"), "{}", value("spine"));
    // 13 sheets of 0.12 mm and the cover of 0.275 mm, for the shop to take up.
    assert!(
        value("creep").starts_with(
            "1.83 mm: 13 sheets of 0.120 mm and a cover of 0.275 mm lie round the innermost leaves; not taken up"
        ),
        "{}",
        value("creep")
    );
    assert!(job.to_come.is_some_and(|creep| creep.most(56).is_near(Abs::mm(1.835))));
    assert_eq!(value("ISBN"), "978-3-16-148410-0");
    let cover = "one sheet, folded in the middle: 296.0 x 210.0 mm trimmed, 302.0 x 216.0 mm with bleed";
    assert!(value("cover").contains(cover), "{}", value("cover"));
    assert!(job.notes.iter().any(|note| note.starts_with("2 blank pages were added before the back cover")));
    // For reading nothing is added, and what is wanted is said.
    let job = job_of(53, SheetKind::Body, Binding::Saddle, &PressLook::reading(), 1);
    assert!(job.notes.iter().any(|note| note.contains("want 56, 3 blank ones at the end")), "{:?}", job.notes);
    assert_eq!((job.pages.as_str(), job.paper.as_str()), ("53 pages", "27 sheets printed on both sides"));
    assert!(job.to_come.is_none() && job.rows.iter().all(|(name, _)| name != "creep"));
    // A glued cover is as wide as two pages and the spine: 102 leaves, 0.55 mm of board, 0.5 mm of glue.
    let job = job_of(204, SheetKind::Body, Binding::Perfect, &look, 1);
    let (_, cover) = job.rows.iter().find(|(row, _)| row == "cover").expect("a row");
    assert!(cover.contains("148.0 + 13.3 + 148.0 mm: 309.3 x 210.0 mm trimmed, 315.3 x 216.0 mm"), "{cover}");
}

/// Marks of every kind stand on the paper and outside the bleed, however wide that is: none is lost.
#[test]
fn wide_bleeds_keep_all_marks() {
    let fonts = Fonts::embedded();
    let document = document(2, SheetKind::Body);
    let count = |bleed: f64| {
        let look = PressLook { bleed: Abs::mm(bleed), ..PressLook::press("Demo") };
        let sheet = plain(&document, &fonts, &look).remove(0);
        let media =
            crate::geom::Rect::new(Point::default(), Point::new(sheet.boxes.media.width, sheet.boxes.media.height));
        let mut marks = 0;
        for (at, item) in sheet.marks.items() {
            let ink = match item {
                crate::frame::Item::Shape(shape) => shape.path.moved(*at).ink().expect("marks have ink"),
                crate::frame::Item::Text(run) => crate::geom::Rect::new(
                    Point::new(at.x, at.y - run.size),
                    Point::new(at.x + run.width(), at.y + run.size),
                ),
                _ => panic!("no mark is so drawn"),
            };
            marks += 1;
            let inside = ink.min.x >= media.min.x && ink.min.y >= media.min.y && ink.max.x <= media.max.x;
            assert!(inside && ink.max.y <= media.max.y, "bleed {bleed}: {ink:?} is off the paper");
            let bleed_box = sheet.boxes.bleed.grown(-Abs::pt(0.01));
            assert!(!ink.grown(Abs::pt(0.001)).overlaps(&bleed_box), "bleed {bleed}: {ink:?} is in the bleed");
        }
        marks
    };
    let usual = count(3.0);
    // Eight crop marks, four targets of three strokes, the slug.
    assert_eq!(usual, 8 + 12 + 1);
    for bleed in [0.0, 5.0, 6.0, 8.0, 10.0, 15.0, 20.0] {
        assert_eq!(count(bleed), usual, "bleed {bleed}");
    }
}

/// What print on demand measures: without marks the medium is the page with its bleed, and nothing stands on it beside the page.
#[test]
fn without_marks_nothing_is_outside_the_bleed() {
    let fonts = Fonts::embedded();
    for bleed in [0.0, 3.0, 3.175, 12.0] {
        let look = PressLook {
            bleed: Abs::mm(bleed),
            crop_marks: false,
            registration_marks: false,
            ..PressLook::press("Demo")
        };
        let nested = Imposing { look: look.clone(), ..imposing(Scheme::Saddle, Flip::ShortEdge, 0.1) };
        for (sheets, trim) in [
            (plain(&document(8, SheetKind::Body), &fonts, &look), 148.0),
            (impose(&document(8, SheetKind::Body), &fonts, &nested).sheets, 296.0),
        ] {
            for sheet in &sheets {
                let (media, area) = (sheet.boxes.media, sheet.boxes.bleed);
                assert!((media.width.to_mm() - trim - bleed * 2.0).abs() < 1e-9, "bleed {bleed}: {media:?}");
                assert!((media.height.to_mm() - 210.0 - bleed * 2.0).abs() < 1e-9, "bleed {bleed}: {media:?}");
                assert!(area.min.x.is_near(Abs::ZERO) && area.max.x.is_near(media.width), "bleed {bleed}: {area:?}");
                assert!(area.min.y.is_near(Abs::ZERO) && area.max.y.is_near(media.height), "bleed {bleed}: {area:?}");
                assert!(sheet.marks.is_empty(), "bleed {bleed}: {:?}", sheet.marks.items());
            }
        }
        // One mark of either kind wants its room again, and the slug stands beside it.
        for (crop_marks, registration_marks) in [(true, false), (false, true)] {
            let look = PressLook { crop_marks, registration_marks, ..look.clone() };
            let sheet = plain(&document(1, SheetKind::Body), &fonts, &look).remove(0);
            assert!(sheet.boxes.media.width.to_mm() > 148.0 + 19.9);
            let is_slug = |item: &crate::frame::Item| matches!(item, crate::frame::Item::Text(_));
            assert_eq!(sheet.marks.items().iter().filter(|(_, item)| is_slug(item)).count(), 1);
        }
    }
}

/// A title of two hundred letters is cut; date and side's name stay whole, and nothing runs over the target at the foot.
#[test]
fn a_long_slug_ends_before_the_target() {
    use crate::frame::Item;
    let fonts = Fonts::embedded();
    let title = "A Long Winter of Tunes for Two Rows and a Bellows ".repeat(4);
    let long = "an-edition-with-a-name-that-no-shop-would-want-".repeat(4);
    for (title, end, starts) in [
        ("Demo", "2026-09-01", "Demo  2026-09-01 \u{b7} 1"),
        (title.as_str(), "2026-09-01", "A Long Winter of Tunes"),
        (title.as_str(), long.as_str(), "\u{2026}  an-edition"),
    ] {
        let look =
            PressLook { registration_marks: true, slug_end: end.to_owned(), ..PressLook::press(title.to_owned()) };
        let sheet = plain(&document(1, SheetKind::Body), &fonts, &look).remove(0);
        let (at, run) = sheet
            .marks
            .items()
            .iter()
            .find_map(|(at, item)| if let Item::Text(run) = item { Some((*at, run)) } else { None })
            .expect("there is a slug");
        assert!(run.text.starts_with(starts) && run.text.ends_with(&format!("  {end} \u{b7} 1")), "{}", run.text);
        assert_eq!(run.text.contains('\u{2026}'), title.len() > 20, "{}", run.text);
        let target = (sheet.boxes.trim.min.x + sheet.boxes.trim.max.x) / 2.0 - Abs::mm(2.4);
        assert!(at.x + run.width() < target, "{} ends at {:?}", run.text, at.x + run.width());
    }
}

/// Who has no marks to fold and cut by is told the measures.
#[test]
fn orders_name_marks_only_where_there_are_any() {
    let fonts = Fonts::embedded();
    for (look, says, never) in [
        (PressLook::press("Demo"), "dashed marks", "148.0 x 210.0 mm"),
        (PressLook { crop_marks: false, ..PressLook::press("Demo") }, "trim to 148.0 x 210.0 mm", "corner marks"),
        (PressLook::reading(), "in the middle", "dashed marks"),
    ] {
        let imposing = Imposing { look, ..imposing(Scheme::Saddle, Flip::ShortEdge, 0.1) };
        let orders = impose(&document(8, SheetKind::Body), &fonts, &imposing).orders.join(" ");
        assert!(orders.contains(says) && !orders.contains(never), "{orders}");
    }
}

/// With a second ink every line of a mark is drawn in both, so that plates can be laid on one another by them.
#[test]
fn marks_stand_on_the_plate_of_each_ink() {
    use crate::frame::{Ink, Item};
    let fonts = Fonts::embedded();
    let look = PressLook { second_ink: true, ..PressLook::press("Demo") };
    let imposing = Imposing { look: look.clone(), ..imposing(Scheme::Saddle, Flip::ShortEdge, 0.0) };
    let sheets = [
        plain(&document(4, SheetKind::Body), &fonts, &look),
        impose(&document(4, SheetKind::Body), &fonts, &imposing).sheets,
    ];
    for sheet in sheets.iter().flatten() {
        let lines = |ink: Ink| -> Vec<_> {
            let shapes = sheet.marks.items().iter().filter_map(|(_, item)| match item {
                Item::Shape(shape) => Some((shape.path.clone(), shape.stroke?)),
                _ => None,
            });
            shapes.filter(|(_, stroke)| stroke.ink == ink).map(|(path, _)| path).collect()
        };
        assert!(lines(Ink::Black).len() >= 16 && lines(Ink::Black) == lines(Ink::Second));
    }
}
