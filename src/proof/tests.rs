//! A small document by hand, and what its proof must hold.

use super::*;
use crate::font::{Cut, FaceChoice, Features, TextFamily, Weight};
use crate::frame::{Frame, Group, Image, Ink, Item, LinkTarget, Role, Subject, Tag, TextRun};
use crate::geom::{Abs, Path, Point, Rect, Size};
use crate::page::{Identity, OutlineEntry, Page, SheetKind, Side};
use std::collections::BTreeSet;
use std::sync::Arc;

fn at(x: f64, y: f64) -> Point {
    Point::new(Abs::pt(x), Abs::pt(y))
}

fn text(fonts: &Fonts, words: &str) -> Item {
    let choice = FaceChoice { family: TextFamily::Serif, weight: Weight::Regular, italic: false, cut: Cut::Text };
    Item::Text(TextRun::shaped(fonts, fonts.text(choice), Abs::pt(11.0), words, Features::default()))
}

/// A bar of one square head at the origin, in a group about it.
fn bar(subject: &str) -> Item {
    let mut frame = Frame::new(Size::default());
    frame.fill_rect(Rect::new(at(10.0, 0.0), at(30.0, 8.0)), Ink::Black);
    Item::Group(Box::new(Group {
        frame: Arc::new(frame),
        tag: None,
        subject: Some(Subject(subject.into())),
        link: None,
    }))
}

fn document(fonts: &Fonts) -> Document {
    let size = Size::new(Abs::pt(400.0), Abs::pt(600.0));
    let mut first = Frame::new(size);
    let mut heading = Frame::new(Size::default());
    heading.push(at(0.0, 0.0), text(fonts, "Tea & <toast>"));
    first.place_tagged(at(40.0, 60.0), heading, Tag::new(Role::Heading(1)));
    let mut link = Frame::new(Size::default());
    link.push(at(0.0, 0.0), text(fonts, "toast"));
    for target in [LinkTarget::Anchor("there".into()), LinkTarget::Url("https://example.org/a?b&c".into())] {
        let group = Group { frame: Arc::new(link.clone()), tag: None, subject: None, link: Some(target) };
        first.push(at(40.0, 100.0), Item::Group(group.into()));
    }
    let unsafe_link = Some(LinkTarget::Url("javascript:alert(1)".into()));
    first.push(
        at(40.0, 120.0),
        Item::Group(Box::new(Group { frame: Arc::new(link), tag: None, subject: None, link: unsafe_link })),
    );

    let mut second = Frame::new(size);
    second.push(at(0.0, 0.0), Item::Anchor("there".into()));
    let mut system = Frame::new(Size::default());
    let head = fonts.music().glyph("noteheadBlack");
    system.push(at(0.0, 0.0), Item::Text(TextRun::music(fonts, head, Abs::pt(5.0), "")));
    system.push(at(100.0, 0.0), bar("tune:a bar:1"));
    system.push(at(200.0, 0.0), bar("tune:a bar:2"));
    second.place_tagged(at(50.0, 300.0), system, Tag::figure("Bar 1: \"G\" on the push"));
    let image = Image {
        key: "a/b.png".into(),
        pixels: (2, 1),
        grey: Arc::from([0u8, 255].as_slice()),
        size: Size::new(Abs::pt(20.0), Abs::pt(10.0)),
    };
    second.push(at(50.0, 400.0), Item::Image(image.clone().into()));
    second.push(at(90.0, 400.0), Item::Image(image.into()));
    let path = Path::circle(at(0.0, 0.0), Abs::pt(3.0));
    second.fill(at(200.0, 400.0), path, Ink::Grey(20));

    let page = |frame, label: &str, side| Page { frame, label: label.into(), side, kind: SheetKind::Body };
    let entry = |title: &str, level, page| OutlineEntry { title: title.into(), level, page, top: Abs::ZERO };
    Document {
        identity: Identity { title: "Tea & Toast".into(), ..Identity::default() },
        pages: vec![page(first, "i", Side::Recto), page(second, "2", Side::Verso)],
        outline: vec![entry("One", 0, 0), entry("Deep", 3, 1), entry("Two", 0, 1), entry("Lost", 0, 9)],
        ..Document::default()
    }
}

fn complaint(severity: Severity, page: Option<usize>, subject: Option<&str>, text: &str) -> Complaint {
    Complaint { severity, page, subject: subject.map(Into::into), text: text.into() }
}

/// All pieces of a proof.
fn whole(document: &Document, fonts: &Fonts, complaints: &[Complaint]) -> String {
    let mut all = String::new();
    let put = &mut |piece: &str| {
        all.push_str(piece);
        Ok::<(), std::convert::Infallible>(())
    };
    html(document, fonts, complaints, put).expect("nothing fails");
    all
}

/// The values of an attribute, in order.
fn values<'a>(html: &'a str, attribute: &str) -> Vec<&'a str> {
    html.split(&format!(" {attribute}=\"")).skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

#[test]
fn outlines_and_pictures_stand_once_and_every_reference_leads_somewhere() {
    let fonts = Fonts::embedded();
    let document = document(&fonts);
    let complaints = [complaint(Severity::Error, Some(0), None, "bad")];
    let html = whole(&document, &fonts, &complaints);
    let ids = values(&html, "id");
    let names: BTreeSet<_> = ids.iter().collect();
    assert_eq!(names.len(), ids.len(), "no id twice");
    let inner: Vec<_> = values(&html, "href").into_iter().filter_map(|to| to.strip_prefix('#')).collect();
    assert!(inner.len() > 20, "letters are references");
    for name in &inner {
        assert!(names.contains(name), "#{name} leads nowhere");
    }
    // "toast" stands three times, and its two t share one outline.
    assert_eq!(html.matches(">toast</text>").count(), 3);
    assert_eq!(html.matches("data:image/png;base64,").count(), 1);
    assert_eq!(html.matches("#i-a_2fb_2epng").count(), 2);
    assert_eq!(html, whole(&document, &fonts, &complaints), "the same again");
}

#[test]
fn nothing_is_fetched() {
    let fonts = Fonts::embedded();
    let html = whole(&document(&fonts), &fonts, &[]);
    let outer: Vec<_> =
        values(&html, "href").into_iter().filter(|to| !to.starts_with('#') && !to.starts_with("data:")).collect();
    assert_eq!(outer, ["https://example.org/a?b&amp;c"], "the one link that the book prints");
    assert!(values(&html, "src").is_empty());
    assert!(!html.contains("@import") && !html.contains("url("));
    assert!(html.contains("default-src 'none'"));
}

#[test]
fn text_is_found_and_named_for_readers() {
    let fonts = Fonts::embedded();
    let html = whole(&document(&fonts), &fonts, &[]);
    assert!(html.contains("<g role=\"heading\" aria-level=\"1\">"));
    assert!(html.contains(">Tea &amp; &lt;toast&gt;</text>"));
    assert!(html.contains("<g role=\"img\" aria-label=\"Bar 1: &quot;G&quot; on the push\">"));
    assert!(html.contains("aria-label=\"Page i\""));
    assert!(html.contains("<a href=\"#page-2\" rel"), "a link inside the book leads to its page");
    assert!(!html.contains("javascript:"));
    assert!(html.contains("<p class=\"none\">None.</p>"));
    // A level that is left out goes one deeper only, and an entry without page is left out.
    assert_eq!(html.matches("<ol>\n").count(), 2);
    assert!(!html.contains("Lost"));
}

#[test]
fn complaints_stand_where_they_belong() {
    let fonts = Fonts::embedded();
    let document = document(&fonts);
    let complaints = [
        complaint(Severity::Warning, Some(0), Some("tune:a bar:2"), "no chord"),
        complaint(Severity::Error, None, Some("tune:a bar:2"), "no <button>"),
        complaint(Severity::Warning, Some(0), Some("tune:a bar:77"), "a bar that is not there"),
        complaint(Severity::Warning, Some(0), Some("tune:b bar:1"), "a tune that is not there"),
        complaint(Severity::Warning, Some(99), None, "a page that is not there"),
        complaint(Severity::Warning, None, None, "the book"),
    ];
    let spots = places::spots(&document, &complaints);
    let ink = Rect::new(at(260.0, 300.0), at(280.0, 308.0));
    assert_eq!(spots[0], Some(places::Spot { page: 1, ink: Some(ink) }));
    assert_eq!(spots[1], spots[0]);
    assert_eq!(spots[2], Some(places::Spot { page: 1, ink: None }));
    assert_eq!(spots[3], Some(places::Spot { page: 0, ink: None }));
    assert_eq!(spots[4..], [None, None]);

    let html = whole(&document, &fonts, &complaints);
    assert!(
        html.contains("<summary aria-label=\"Error 1, 2\">1, 2</summary>"),
        "one note for one place, the worst first"
    );
    assert!(html.contains("x=\"258.00\" y=\"298.00\" width=\"24.00\" height=\"12.00\""));
    assert!(html.contains("2 pages · 1 error · 5 warnings"));
    assert!(html.contains("<a href=\"#complaint-2\">Error on page 2</a> no &lt;button&gt;</li>"));
    assert!(html.contains("<b>Warning</b> the book</li>"));
}

#[test]
fn numbers_are_short() {
    let short = |value: f64| {
        let mut out = String::new();
        number(value, &mut out);
        out
    };
    assert_eq!([1.0, -0.001, 12.5, -3.456, 0.05].map(short), ["1", "0", "12.5", "-3.46", "0.05"]);
}

#[test]
fn a_document_without_pages_is_a_page_too() {
    let fonts = Fonts::embedded();
    let html = whole(&Document::default(), &fonts, &[complaint(Severity::Error, Some(0), None, "nothing was read")]);
    assert!(html.contains("nothing was read") && html.ends_with("</html>\n"));
}

/// A book of two hundred pages is handed on page by page, and nothing more after a place that cannot be written.
#[test]
fn pages_are_handed_on_one_at_a_time() {
    let fonts = Fonts::embedded();
    let mut document = document(&fonts);
    document.pages = (0..100).flat_map(|_| document.pages.clone()).collect();
    let mut pieces = Vec::new();
    let put = &mut |piece: &str| {
        pieces.push(piece.to_owned());
        if pieces.len() < 150 { Ok(()) } else { Err("full") }
    };
    assert_eq!(html(&document, &fonts, &[], put), Err("full"));
    assert_eq!(pieces.len(), 150);
    let all = whole(&document, &fonts, &[]);
    assert!(all.starts_with(&pieces.concat()));
    for (nth, piece) in pieces.iter().enumerate().skip(1) {
        assert!(piece.contains(&format!("id=\"page-{nth}\"")), "{nth}");
    }
}
