//! Drawings read: exact paths, tints, clips; what is not set, and what would be too much.

use super::*;
use crate::diag::Sources;
use crate::frame::{Frame, Item};
use crate::geom::{Point, Size};
use std::fmt::Write as _;

const BAD: &str = "bad-drawing";
const PART: &str = "drawing-part";

/// The drawing of some elements in a square of 96 units, an inch.
fn square(inside: &str) -> String {
    format!("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"96\" height=\"96\">\n{inside}\n</svg>")
}

/// Code, line, column and words of a complaint.
type Said = (&'static str, u32, u32, String);

fn read_text(text: &str) -> (Option<Picture>, Vec<Said>) {
    let mut sources = Sources::default();
    let file = sources.add("a.svg", text);
    let mut sink = Sink::default();
    let picture = read("a.svg", text, file, &mut sink);
    let said = sink.items().iter().map(|it| {
        let place = it.place.expect("each has a place");
        assert!(!it.hints.is_empty());
        (it.code.name(), place.line, place.column, it.message.clone())
    });
    (picture, said.collect())
}

/// The dump of a drawing, without its first line.
fn marks(inside: &str) -> String {
    let (picture, said) = read_text(&square(inside));
    assert_eq!(said, [], "{inside}");
    let drawing = picture.expect("nothing was said against it").drawing;
    let mut frame = Frame::new(drawing.size);
    frame.push(Point::default(), Item::Drawing(drawing));
    frame.dump().lines().skip(1).map(str::trim).collect::<Vec<_>>().join("\n")
}

/// The code, line and column of what is said of a drawing that is refused.
fn refused(text: &str) -> (&'static str, u32, u32) {
    let (picture, said) = read_text(text);
    assert_eq!((picture, said.len()), (None, 1), "{:.200}", text);
    (said[0].0, said[0].1, said[0].2)
}

fn part(inside: &str) -> (u32, u32) {
    let (code, line, column) = refused(&square(inside));
    assert_eq!(code, PART, "{inside}");
    (line, column)
}

/// 96 units are 72 points (CSS Values and Units Level 3, 5.2).
#[test]
fn shapes_become_paths_in_points() {
    assert_eq!(
        marks("<rect x='8' y='16' width='40' height='20'/>"),
        "fill Black M6.000,12.000 L36.000,12.000 L36.000,27.000 L6.000,27.000 Z"
    );
    assert_eq!(
        marks("<path fill-rule='evenodd' d='M0 0H96V96H0ZM24 24h48v48h-48z'/>"),
        "fill Black even-odd M0.000,0.000 L72.000,0.000 L72.000,72.000 L0.000,72.000 Z \
         M18.000,18.000 L54.000,18.000 L54.000,54.000 L18.000,54.000 Z"
    );
    // A quadratic curve raised to a cubic one: control points two thirds of the way.
    assert_eq!(
        marks("<path d='M0 0Q48 96 96 0Z'/>"),
        "fill Black M0.000,0.000 C24.000,48.000,48.000,48.000,72.000,0.000 Z"
    );
    let circle = marks("<circle cx='48' cy='48' r='16' fill='none' stroke='#000' stroke-width='4'/>");
    assert!(circle.starts_with("stroke 3.000 Black M48.000,36.000 C"), "{circle}");
}

/// Transformations, nested views and parts that are used are worked out: 10 units of a view of 20 in a square of 48.
#[test]
fn parts_stand_where_they_are_used() {
    let used = "<defs><rect id='r' width='10' height='10'/></defs>\
                <use href='#r' x='8' transform='translate(8 16) scale(2)'/>";
    assert_eq!(marks(used), "fill Black M18.000,12.000 L33.000,12.000 L33.000,27.000 L18.000,27.000 Z");
    let nested = "<svg x='48' width='48' height='48' viewBox='0 0 20 20'><path d='M0 0h10v10z'/></svg>";
    assert_eq!(marks(nested), "fill Black M36.000,0.000 L54.000,0.000 L54.000,18.000 Z");
    let inherited =
        "<style>.a{fill:#fff}</style><g fill='red' class='a'><rect width='96' height='96' style='fill:inherit'/></g>";
    assert_eq!(marks(inherited), "fill Paper M0.000,0.000 L72.000,0.000 L72.000,72.000 L0.000,72.000 Z");
}

/// Weights of ITU-R BT.709: pure red is 21.26 per cent white, green 71.52, blue 7.22.
#[test]
fn colours_become_tints_of_black() {
    let ink =
        |colour: &str| marks(&format!("<path fill='{colour}' d='M0 0h8v8z'/>")).split(' ').nth(1).map(String::from);
    for (colour, tint) in [
        ("black", "Black"),
        ("#808080", "Grey(50)"),
        ("red", "Grey(79)"),
        ("#0f0", "Grey(28)"),
        ("blue", "Grey(93)"),
        ("#fefefe", "Paper"),
        ("white", "Paper"),
        ("rgb(1,1,1)", "Black"),
    ] {
        assert_eq!(ink(colour), Some(tint.to_owned()), "{colour}");
    }
}

#[test]
fn strokes_keep_their_pen_where_pages_have_it() {
    let line = |look: &str| marks(&format!("<path fill='none' stroke='#000' d='M8 8L88 8' {look}/>"));
    assert_eq!(line("stroke-width='2'"), "stroke 1.500 Black M6.000,6.000 L66.000,6.000");
    assert_eq!(
        line("stroke-linecap='round' stroke-linejoin='round' transform='scale(.5)' stroke-width='2'"),
        "stroke 0.750 Black M3.000,3.000 L33.000,3.000 round"
    );
    assert_eq!(line("stroke-dasharray='8 4'"), "stroke 0.750 Black M6.000,6.000 L66.000,6.000 dash 6.000 3.000");
    // Three lengths become the dashes themselves: 8 on, 4 off, 2 on, 8 off, 4 on, 2 off.
    let dashed = line("stroke-dasharray='8 4 2'");
    assert!(
        dashed.starts_with("stroke 0.750 Black M6.000,6.000 L12.000,6.000 M15.000,6.000 L16.500,6.000 M22.500,6.000")
    );
    // Square ends and a pen pressed flat are outlines: a line 2 wide is a box that reaches 1 beyond its ends.
    let square = line("stroke-width='2' stroke-linecap='square'");
    assert!(square.starts_with("fill Black M"), "{square}");
    let flat = marks("<path fill='none' stroke='#000' stroke-width='2' d='M8 8V88' transform='scale(3 1)'/>");
    assert_eq!(flat, "fill Black M20.250,6.000 L20.250,66.000 L15.750,66.000 L15.750,6.000 L20.250,6.000 Z");
    // A corner of 20 degrees: its mitre is 5.8 pens long, cut off by SVG's limit of 4 and not by that of our pages.
    let sharp = marks("<path fill='none' stroke='#000' d='M8 48L88 48L13 75.3'/>");
    assert!(sharp.starts_with("fill Black M"), "{sharp}");
    let sharp = marks("<path fill='none' stroke='#000' stroke-miterlimit='10' d='M8 48L88 48L13 75.3'/>");
    assert!(sharp.starts_with("stroke 0.750 Black M"), "{sharp}");
    let under = marks("<path paint-order='stroke' stroke='#000' fill='#fff' d='M0 0h8v8z'/>");
    let kinds: Vec<_> = under.lines().map(|line| &line[..4]).collect();
    assert_eq!(kinds, ["with", "with"], "it reaches beyond the drawing: {under}");
    assert!(under.lines().next().is_some_and(|line| line.contains("stroke")));
}

#[test]
fn what_reaches_beyond_is_cut() {
    assert_eq!(
        marks("<rect x='48' y='48' width='96' height='8'/>"),
        "within M0.000,0.000 L72.000,0.000 L72.000,72.000 L0.000,72.000 Z \
         fill Black M36.000,36.000 L108.000,36.000 L108.000,42.000 L36.000,42.000 Z"
    );
    let clip = |shape: &str| {
        marks(&format!("<clipPath id='c'>{shape}</clipPath><rect clip-path='url(#c)' width='48' height='8'/>"))
    };
    assert_eq!(
        clip("<path d='M0 0L40 0L0 40Z' clip-rule='evenodd'/>"),
        "within even-odd M0.000,0.000 L30.000,0.000 L0.000,30.000 Z \
         fill Black M0.000,0.000 L36.000,0.000 L36.000,6.000 L0.000,6.000 Z"
    );
    // A clip around all that it cuts is none; one of nothing leaves nothing.
    assert!(clip("<rect width='96' height='96'/>").starts_with("fill"));
    assert_eq!(refused(&square("<clipPath id='c'/><rect clip-path='url(#c)' width='48' height='8'/>")), (BAD, 1, 1));
}

/// A page saves no more states inside one another than a standard allows, however deep clips are nested.
#[test]
fn clips_inside_clips_are_bounded() {
    let nested = |depth: usize| {
        let view = "<svg width='48' height='48'>".repeat(depth);
        square(&format!("{view}<circle r='90'/>{}", "</svg>".repeat(depth)))
    };
    assert!(read_text(&nested(10)).0.is_some());
    assert_eq!(refused(&nested(14)).0, PART);
}

#[test]
fn arrowheads_stand_at_the_ends() {
    let arrow = "<marker id='m' markerWidth='4' markerHeight='4' refX='0' refY='2' orient='auto'>\
                 <path d='M0 0L4 2L0 4Z'/></marker><path d='M8 48H48' stroke='#000' stroke-width='2' marker-end='url(#m)'/>";
    assert!(marks(arrow).ends_with("fill Black M36.000,33.000 L42.000,36.000 L36.000,39.000 Z"), "{}", marks(arrow));
}

#[test]
fn sizes_are_as_said() {
    let size = |attributes: &str| {
        let text = format!("<svg xmlns='http://www.w3.org/2000/svg' {attributes}><path d='M0 0h1v1z'/></svg>");
        let picture = read_text(&text).0.expect("it is sound");
        let Size { width, height } = picture.drawing.size;
        (width.to_mm().round(), height.to_mm().round(), picture.says_width)
    };
    assert_eq!(size("width='80mm' height='40mm'"), (80.0, 40.0, true));
    assert_eq!(size("width='1in' viewBox='0 0 20 10'"), (25.0, 13.0, true));
    assert_eq!(size("viewBox='0 0 96 48'"), (25.0, 13.0, false));
    assert_eq!(size("width='100%' viewBox='0 0 96 48'"), (25.0, 13.0, false));
}

/// A drawing is set whole or not at all, and the place of what can't be set is told.
#[test]
fn what_is_not_set_is_told_at_its_place() {
    let box_ = "<rect width='9' height='9'/>";
    for (inside, place) in [
        (format!("{box_}<text x='3'>Push</text>"), (2, 29)),
        ("<g>\n <image href='data:image/png;base64,AAAA' width='9' height='9'/></g>".to_owned(), (3, 2)),
        ("<linearGradient id='l'><stop/></linearGradient>\n<rect fill='url(#l)' width='9' height='9'/>".to_owned(), (3, 1)),
        ("<pattern id='p'/><g style='stroke:url(#p)'/>".to_owned(), (2, 18)),
        ("<mask id='m'/><rect mask='url(#m)'/>".to_owned(), (2, 15)),
        ("<filter id='f'/><rect filter='url(#f)'/>".to_owned(), (2, 17)),
        ("<rect filter='blur(2px)'/>".to_owned(), (2, 1)),
        (format!("{box_}<rect id='h' opacity='.5' width='9' height='9'/>"), (2, 29)),
        (format!("<style>\n.a{{fill-opacity:50%}}</style>{box_}<path class='a' d='M0 0h9v9z'/>"), (1, 1)),
        ("<rect fill='rgba(0,0,0,.5)' id='r' width='9' height='9'/>".to_owned(), (2, 1)),
        ("<g style='mix-blend-mode:multiply'><rect width='9' height='9'/></g>".to_owned(), (2, 1)),
        ("<foreignObject><p>Push</p></foreignObject>".to_owned(), (2, 1)),
        ("<use href='other.svg#a'/>".to_owned(), (2, 1)),
        ("<use xmlns:x='http://www.w3.org/1999/xlink' x:href='http://example.org/a.svg#a'/>".to_owned(), (2, 1)),
        ("<rect fill='url(http://example.org/a.svg#a)'/>".to_owned(), (2, 1)),
        ("<style>@import 'a.css';</style>".to_owned(), (2, 1)),
        ("<?xml-stylesheet href='a.css'?>".to_owned(), (2, 1)),
        (
            "<clipPath id='c'><circle r='9'/><circle cx='9' r='9'/></clipPath><g id='g' clip-path='url(#c)'><rect width='9' height='9'/></g>".to_owned(),
            (2, 66),
        ),
        ("<path d='M0 0H90' id='d' stroke='#000' stroke-dasharray='.001 .001'/>".to_owned(), (2, 1)),
    ] {
        assert_eq!(part(&inside), place, "{inside}");
    }
    // What is not seen is no fault.
    assert!(
        marks(&format!("{box_}<rect opacity='0' width='4' height='4'/><text> </text><metadata>by hand</metadata>"))
            .starts_with("fill")
    );
}

#[test]
fn what_is_no_drawing_is_refused() {
    assert_eq!(refused(""), (BAD, 1, 1));
    assert_eq!(refused("<svg xmlns='http://www.w3.org/2000/svg'>\n<g></svg>"), (BAD, 2, 4));
    assert_eq!(refused("<html/>"), (BAD, 1, 1));
    assert_eq!(refused(&square("")), (BAD, 1, 1));
    assert_eq!(
        refused("<svg xmlns='http://www.w3.org/2000/svg' width='0' height='9'><path d='M0 0h1v1z'/></svg>"),
        (BAD, 1, 1)
    );
    for size in ["1e9", "1e38", "1e400", "-5", "NaN", "1e-30"] {
        let text = format!(
            "<svg xmlns='http://www.w3.org/2000/svg' width='{size}' height='{size}'><path d='M0 0h1v1z'/></svg>"
        );
        let (picture, said) = read_text(&text);
        assert_eq!(picture.is_some(), matches!(size, "NaN" | "1e400"), "what is no number is no width: {size}");
        assert!(said.iter().all(|it| it.0 == BAD));
    }
    // Places beyond all pages and all numbers are told; those that are no numbers leave a shape out.
    for place in ["1e7", "1e39", "-1e400"] {
        let text = square(&format!("<rect width='9' height='9'/>\n<path d='M0 0L{place} 4L9 9z'/>"));
        assert_eq!(refused(&text), (BAD, 3, 1), "{place}");
    }
    for place in ["NaN", "Infinity"] {
        let drawn = marks(&format!("<rect width='9' height='9'/><path d='M0 0L{place} 4L9 9z'/>"));
        assert!(!drawn.contains("NaN") && !drawn.contains("inf"), "{drawn}");
    }
}

/// Each of these would be made into more than a computer can hold.
#[test]
fn what_multiplies_is_counted_and_refused() {
    let uses = (1..30).fold("<g id='g0'><rect width='9' height='9'/></g>".to_owned(), |mut out, nth| {
        let _ = write!(out, "<g id='g{nth}'>{}</g>", format!("<use href='#g{}'/>", nth - 1).repeat(10));
        out
    });
    assert_eq!(refused(&square(&uses)).0, BAD);
    assert_eq!(refused(&square("<g id='a'><use href='#b'/></g>\n<g id='b'><use href='#a'/></g>")), (BAD, 2, 1));
    let chain = (1..500).fold("<rect id='u0' width='9' height='9'/>".to_owned(), |mut out, nth| {
        let _ = write!(out, "<use id='u{nth}' href='#u{}'/>", nth - 1);
        out
    });
    assert_eq!(refused(&square(&chain)).0, BAD);
    let clips = "<clipPath id='a' clipPathUnits='objectBoundingBox'><rect clip-path='url(#b)' width='1' height='1'/></clipPath>\
                 <clipPath id='b' clipPathUnits='objectBoundingBox'><rect clip-path='url(#a)' width='1' height='1'/></clipPath>\
                 <rect clip-path='url(#a)' width='9' height='9'/>";
    assert_eq!(refused(&square(clips)), (BAD, 2, 1));
    let through = "<rect id='r' clip-path='url(#c)' width='9' height='9'/><clipPath id='c'><use href='#r'/></clipPath>";
    assert_eq!(refused(&square(through)).0, BAD);
    let inherits =
        "<g marker-mid='url(#m)'><marker id='m'><path d='M0 0h1v1h1v1'/></marker><path d='M0 0h1v1h1v1'/></g>";
    assert_eq!(refused(&square(inherits)).0, BAD);
    let arrows = format!(
        "<marker id='m'>{}</marker><path marker-mid='url(#m)' stroke='#000' d='M0 0{}'/>",
        "<path d='M0 0h1v1z'/>".repeat(1_000),
        "h1v1".repeat(1_000)
    );
    assert_eq!(refused(&square(&arrows)).0, BAD);
    let rules = format!("<style>{}</style>{}", "g *{fill:#000}".repeat(1_000), "<g/>".repeat(9_000));
    assert_eq!(refused(&square(&rules)).0, BAD);
    let points = format!("<path d='M0 0{}'/>", "h1v1".repeat(60_000));
    assert_eq!(refused(&square(&points)).0, BAD);
    assert_eq!(refused(&"<g>".repeat(100_000)).0, BAD);
    assert_eq!(refused(&square(&"<g/>".repeat(300_000))).0, BAD);
    assert_eq!(refused("<!DOCTYPE svg [<!ENTITY a 'b'>]><svg xmlns='http://www.w3.org/2000/svg'/>"), (BAD, 1, 16));
}
