//! Covers of all sizes, with words short and long: nothing lies on anything else or near an edge, what has no room is told.

use super::*;
use crate::book::{Colour, Cover as Wanted, Ground, Stock};
use crate::diag::Place;
use crate::frame::Ink;
use crate::page::Cover;

const BLURB: &str = "A first term on the two-row box.\n\n- for a class\n- for one learner and a kitchen chair\n";
/// No ink is nearer to an edge than this; words 5 mm, the white field of the bars too (common practice, no source).
const CLEAR: Abs = Abs::mm(5.0);

/// A book of that size with a cover; its complaints.
fn covered(size: Size, text: f64, title: &str, ground: Ground, blurb: &str) -> (Cover, Sink) {
    let mut book = sample::book(size, Abs::pt(text), Vec::new());
    (book.front, book.back) = (Vec::new(), Vec::new());
    title.clone_into(&mut book.title);
    book.imprint.isbn = Some("978-3-16-148410-0".into());
    book.press.spot = Colour::Spot("Lamp Red".into());
    let mut sources = crate::diag::Sources::default();
    let file = sources.add("book.yaml", "cover");
    book.press.cover = Some(Wanted {
        stock: Stock { grams: 250.0, bulk: 1.1 },
        condition: None,
        words: None,
        picture: None,
        spine: None,
        spine_words: true,
        ground,
        place: Place::new(file, 1, 1),
    });
    let plan = sample::plan();
    let mut material = sample::material(&book, &plan, &[]);
    material.cover = sample::blocks(blurb);
    let mut sink = Sink::default();
    let cover = lay_out(&material, fonts(), &mut sink).cover.expect("the book has a cover");
    (cover, sink)
}

fn as_page(frame: &Frame) -> Page {
    Page { frame: frame.clone(), label: "cover".into(), side: Side::Recto, kind: SheetKind::Cover }
}

#[test]
fn nothing_on_a_cover_is_crowded() {
    let sizes = [(148.0, 210.0), (210.0, 297.0), (250.0, 353.0), (210.0, 148.0), (297.0, 210.0)];
    let long = "The Ferryman's Second Book of Marches, Waltzes and Tunes for Evening Classes by the River";
    let mut faults = Vec::new();
    for (width, height) in sizes {
        for (text, title) in [(9.0, "Lamp"), (11.0, "Lantern Nights"), (11.0, long), (16.0, "Lantern Nights")] {
            let size = Size::new(Abs::mm(width), Abs::mm(height));
            // Large letters and bars leave the back of a low page room for one sentence.
            let blurb = if text > 11.0 { &BLURB[..32] } else { BLURB };
            let (cover, sink) = covered(size, text, title, Ground::Paper, blurb);
            let what = format!("{width} x {height} mm, {text} pt, {title}");
            faults.extend(sink.items().iter().map(|item| format!("{what}: {}", item.message)));
            for (side, frame) in [("front", &cover.front), ("back", &cover.back)] {
                assert_eq!(frame.size, size);
                let page = as_page(frame);
                let safe = Rect::new(Point::default(), Point::new(size.width, size.height)).grown(-CLEAR);
                let inks = inks(&page);
                assert!(inks.len() >= 4, "{what}: {side}");
                let out = inks.iter().filter(|(ink, _)| ink.union(&safe) != safe);
                faults.extend(out.map(|(ink, words)| format!("{what}, {side}: {words:?} is near an edge: {ink:?}")));
                faults.extend(collisions(&page).into_iter().map(|words| format!("{what}, {side}: {words}")));
            }
        }
    }
    assert!(faults.is_empty(), "{}\n{}", faults.len(), faults[..faults.len().min(20)].join("\n"));
}

#[test]
fn words_without_room_are_an_error_with_their_place() {
    let size = Size::new(Abs::mm(148.0), Abs::mm(210.0));
    let much = format!("{BLURB}\n").repeat(12);
    let (_, sink) = covered(size, 11.0, "Lamp", Ground::Paper, &much);
    let item = sink.items().iter().find(|item| item.code == "cover-too-full").expect("it is told");
    assert!(sink.has_errors() && item.place.is_some(), "{item:?}");
    let (_, sink) = covered(size, 11.0, &"Marches and Waltzes ".repeat(60), Ground::Paper, BLURB);
    assert!(sink.items().iter().any(|item| item.message.contains("the front of the cover")), "{:?}", sink.items());
}

/// On a ground all words are white; the bars alone are black, on a white field with 2 mm round their quiet zones.
#[test]
fn a_ground_leaves_words_white_and_bars_black() {
    let size = Size::new(Abs::mm(148.0), Abs::mm(210.0));
    let (cover, _) = covered(size, 11.0, "Lamp", Ground::Spot, BLURB);
    assert!(cover.ground);
    let spine = cover.spine.as_ref().expect("it has words");
    for frame in [&cover.front, &spine.title] {
        walk(frame, Point::default(), &mut |_, item| {
            if let Item::Text(run) = item {
                assert_eq!(run.ink, Ink::Paper, "{}", run.text);
            }
        });
    }
    let (mut white, mut black) = (Vec::new(), Vec::new());
    walk(&cover.back, Point::default(), &mut |at, item| match item {
        Item::Rect(rect, Ink::Paper) if rect.height() > Abs::mm(20.0) => white.push(rect.moved(at)),
        Item::Shape(shape) if shape.fill == Some(Ink::Black) => black.extend(shape.path.ink().map(|ink| ink.moved(at))),
        Item::Rect(rect, Ink::Black) => black.push(rect.moved(at)),
        _ => {}
    });
    let [field] = white[..] else { panic!("one field: {white:?}") };
    assert!(!black.is_empty());
    // Quiet zones of 11 and 7 modules of 0.33 mm, and 2 mm.
    let bars = black.iter().skip(1).fold(black[0], |all, bar| all.union(bar));
    assert!((bars.min.x - field.min.x).to_mm() > 11.0 * 0.33 + 1.99, "{bars:?} in {field:?}");
    assert!((field.max.x - bars.max.x).to_mm() > 7.0 * 0.33 + 1.99, "{bars:?} in {field:?}");
    assert!(field.union(&bars) == field);
}

/// Two back covers, were there ever so many, and the blank page before them leave the pages, and the record with them.
#[test]
fn the_back_cover_leaves_the_pages() {
    let mut book = sample::book(Size::new(Abs::mm(148.0), Abs::mm(210.0)), Abs::pt(11.0), tunes());
    book.front.clear();
    book.back = vec![crate::book::Matter::BackCover];
    let (mut document, _) = bind(&book, &SYSTEMS);
    assert_eq!(document.manifest.pages.len(), document.pages.len());
    let covers = document.pages.iter().filter(|page| page.kind == SheetKind::Cover).count();
    assert_eq!(covers, 1);
    document.leave_back_cover();
    let last = document.pages.last().expect("it has pages");
    assert_eq!((last.kind, document.manifest.pages.len()), (SheetKind::Body, document.pages.len()));
    assert!(document.manifest.starts.iter().all(|start| start.anchor != "back-cover"));
    let before = document.clone();
    document.leave_back_cover();
    assert_eq!(document, before);
}
