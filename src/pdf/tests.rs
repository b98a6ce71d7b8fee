//! Hand-made documents through the writer and back.

use super::*;
use crate::font::{Cut, FaceChoice, Features, TextFamily, Weight};
use crate::frame::TextRun;
use crate::geom::{Abs, Point, Size};
use crate::page::{Identity, Page, SheetKind, Side};
use crate::sheet::{PressLook, plain};

fn page(fonts: &Fonts, number: usize) -> Page {
    let mut frame = Frame::new(Size::new(Abs::mm(210.0), Abs::mm(297.0)));
    let face =
        fonts.text(FaceChoice { family: TextFamily::Serif, weight: Weight::Regular, italic: false, cut: Cut::Text });
    let run = TextRun::shaped(fonts, face, Abs::pt(11.0), "The first final AVA office", Features::default());
    frame.push(Point::new(Abs::mm(20.0), Abs::mm(30.0)), Item::Text(run));
    let head = TextRun::music(fonts, fonts.music().glyph("noteheadBlack"), Abs::mm(1.75), "");
    frame.push(Point::new(Abs::mm(20.0), Abs::mm(50.0)), Item::Text(head));
    let label = number.to_string();
    let side = if number % 2 == 1 { Side::Recto } else { Side::Verso };
    Page { frame, label, side, kind: SheetKind::Body }
}

fn document(fonts: &Fonts, pages: usize) -> Document {
    let identity = Identity {
        book: "demo".into(),
        title: "Demo".into(),
        language: "en-GB".into(),
        date: "2026-09-01".into(),
        impression: 1,
        ..Identity::default()
    };
    Document { identity, pages: (1..=pages).map(|number| page(fonts, number)).collect(), ..Document::default() }
}

#[test]
fn a_reading_file_is_written_twice_to_equal_bytes() {
    let fonts = Fonts::embedded();
    let document = document(&fonts, 3);
    let sheets = plain(&document, &fonts, &PressLook::reading());
    let bytes = write(&document, &sheets, &fonts, &PdfOptions::reading()).expect("it is written");
    assert_eq!(bytes, write(&document, &sheets, &fonts, &PdfOptions::reading()).expect("it is written again"));
    if let Some(path) = option_env!("BOXWRIGHT_TEST_PDF") {
        std::fs::write(path, &bytes).expect("the place can be written");
    }
}
