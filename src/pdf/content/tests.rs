//! Small streams against the operators that they should be.

use super::*;

fn text(content: Content) -> String {
    let (bytes, sound) = content.finish();
    assert!(sound, "all numbers are numbers");
    String::from_utf8(bytes).expect("operators are ASCII")
}
fn at(x: f64, y: f64) -> Point {
    Point::new(Abs::pt(x), Abs::pt(y))
}

#[test]
fn y_is_turned_once_and_state_is_not_said_twice() {
    let mut content = Content::new(Abs::pt(100.0), false, Vec::new());
    let line = Path::open(&[at(0.0, 0.0), at(10.0, 0.0)]);
    let pen = Pen { width: Abs::pt(0.5), paint: Paint::White(0), round: false, dash: None };
    content.path(at(1.0, 2.0), &line, None, Some(pen));
    content.path(at(1.0, 3.0), &line, None, Some(pen));
    assert_eq!(text(content), ".5 w\n1 98 m\n11 98 l\n1 97 m\n11 97 l\nS\n");
}

#[test]
fn a_foreign_path_is_filled_and_cuts_by_its_rule() {
    let mut content = Content::new(Abs::pt(100.0), false, Vec::new());
    let path = Path::polygon(&[at(0.0, 0.0), at(10.0, 0.0), at(0.0, 10.0)]);
    content.clip_to(at(1.0, 2.0), &path, true);
    content.area(at(1.0, 2.0), &path, Paint::White(50), true);
    content.clip_to(at(0.0, 0.0), &Path::new(), false);
    content.unclip();
    content.unclip();
    content.area(at(0.0, 0.0), &path, Paint::White(0), false);
    let wanted = "q\n1 98 m\n11 98 l\n1 88 l\nW* n\n.5 g\n1 98 m\n11 98 l\n1 88 l\nf*\n\
                  q\n0 100 0 0 re\nW n\nQ\nQ\n0 100 m\n10 100 l\n0 90 l\nf\n";
    assert_eq!(text(content), wanted);
}

#[test]
fn glyphs_that_stand_where_their_widths_put_them_need_no_adjustment() {
    let mut content = Content::new(Abs::pt(100.0), false, Vec::new());
    let codes = [
        Code { code: 1, x: Abs::pt(0.0), width: 500 },
        Code { code: 2, x: Abs::pt(5.0), width: 500 },
        Code { code: 3, x: Abs::pt(9.8), width: 500 },
    ];
    content.glyphs(0, Abs::pt(10.0), Paint::White(0), at(10.0, 10.0), &codes);
    assert_eq!(text(content), "BT\n/T0 10 Tf\n10 90 Td\n[(\0\u{1}\0\u{2})20(\0\u{3})]TJ\nET\n");
}

#[test]
fn glyphs_at_the_pen_are_shown_without_moving() {
    let mut content = Content::new(Abs::pt(100.0), false, Vec::new());
    let code = |code| [Code { code, x: Abs::pt(0.0), width: 500 }];
    content.glyphs(0, Abs::pt(10.0), Paint::White(0), at(10.0, 10.0), &code(1));
    content.begin_span("Span", b"<</ActualText(x)>>");
    content.glyphs(0, Abs::pt(10.0), Paint::White(0), at(15.0, 10.0), &code(2));
    content.end_span();
    content.glyphs(0, Abs::pt(10.0), Paint::White(0), at(10.0, 20.0), &code(3));
    let wanted = "BT\n/T0 10 Tf\n10 90 Td\n(\0\u{1})Tj\n/Span<</ActualText(x)>>BDC\n(\0\u{2})Tj\nEMC\n0 -10 Td\n(\0\u{3})Tj\nET\n";
    assert_eq!(text(content), wanted);
}

/// What marked content parts is drawn as the whole run is.
#[test]
fn a_run_in_parts_stands_as_the_whole() {
    let codes: Vec<Code> = (0..3_u8)
        .map(|nth| Code { code: u16::from(nth) + 1, x: Abs::pt(f64::from(nth) * 3.333), width: 300 })
        .collect();
    let mut whole = Content::new(Abs::pt(100.0), false, Vec::new());
    whole.glyphs(0, Abs::pt(9.7), Paint::White(0), at(10.0, 10.0), &codes);
    let mut parts = Content::new(Abs::pt(100.0), false, Vec::new());
    parts.glyphs(0, Abs::pt(9.7), Paint::White(0), at(10.0, 10.0), &codes[..1]);
    parts.begin_span("Span", b"<</ActualText(x)>>");
    parts.more(&codes[1..2]);
    parts.end_span();
    parts.more(&codes[2..]);
    let start = "BT\n/T0 9.7 Tf\n10 90 Td\n";
    assert_eq!(text(whole), format!("{start}[(\0\u{1})-44(\0\u{2})-43(\0\u{3})]TJ\nET\n"));
    let wanted = "(\0\u{1})Tj\n/Span<</ActualText(x)>>BDC\n[-44(\0\u{2})]TJ\nEMC\n[-43(\0\u{3})]TJ\nET\n";
    assert_eq!(text(parts), format!("{start}{wanted}"));
}

#[test]
fn rectangles_of_one_ink_are_filled_together_and_no_others() {
    let mut content = Content::new(Abs::pt(100.0), false, Vec::new());
    let square = Path::polygon(&[at(0.0, 0.0), at(1.0, 0.0), at(1.0, 1.0), at(0.0, 1.0)]);
    for paint in [0, 0, 100] {
        content.path(at(0.0, 0.0), &square, Some(Paint::White(paint)), None);
    }
    let triangle = Path::polygon(&[at(0.0, 0.0), at(1.0, 0.0), at(1.0, 1.0)]);
    content.path(at(0.0, 0.0), &triangle, Some(Paint::White(100)), None);
    let wanted = "0 99 1 1 re\n0 99 1 1 re\nf\n1 g\n0 99 1 1 re\nf\n0 100 m\n1 100 l\n1 99 l\nf\n";
    assert_eq!(text(content), wanted);
}

#[test]
fn what_is_no_number_is_reported() {
    let mut content = Content::new(Abs::pt(100.0), false, Vec::new());
    content.path(at(f64::NAN, 0.0), &Path::open(&[at(0.0, 0.0), at(1.0, 1.0)]), Some(Paint::White(0)), None);
    assert!(!content.finish().1);
}
