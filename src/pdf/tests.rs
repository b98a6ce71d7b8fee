//! Hand-made documents through the writer and back.
//!
//! With `BOXWRIGHT_SAMPLES` set to a folder the files are kept there for the outside checks.

use super::*;
use crate::font::{Cut, FaceChoice, Features, TextFamily, Weight};
use crate::frame::{
    Area, Drawing, Group, Ink, Item, Layer, LinkTarget, Mark, Marks, Role, Rule, Shape, Stroke, Subject, Tag, TextRun,
};
use crate::geom::{Abs, Path, Point, Rect, Size};
use crate::page::{BarRecord, Identity, OutlineEntry, Page, SheetKind, Side};
use crate::sheet::{Creep, Flip, Imposing, Placement, PressLook, Scheme, Turn, impose, plain};

pub(super) fn mm(x: f64, y: f64) -> Point {
    Point::new(Abs::mm(x), Abs::mm(y))
}

pub(super) fn words(fonts: &Fonts, text: &str, size: f64) -> Item {
    let face =
        fonts.text(FaceChoice { family: TextFamily::Serif, weight: Weight::Regular, italic: false, cut: Cut::Text });
    Item::Text(TextRun::shaped(fonts, face, Abs::pt(size), text, Features::default()))
}

fn tagged(role: Role, size: Size, items: Vec<(Point, Item)>) -> Group {
    let mut frame = Frame::new(size);
    for (at, item) in items {
        frame.push(at, item);
    }
    Group { frame: Arc::new(frame), tag: Some(Tag::new(role)), subject: None, link: None }
}

fn line(fonts: &Fonts, role: Role, text: &str) -> Item {
    let size = Size::new(Abs::mm(80.0), Abs::mm(6.0));
    Item::Group(tagged(role, size, vec![(mm(0.0, 4.5), words(fonts, text, 11.0))]).into())
}

fn music(fonts: &Fonts) -> Frame {
    let mut frame = Frame::new(Size::new(Abs::mm(80.0), Abs::mm(20.0)));
    for y in 0..5 {
        let y = 5.0 + 1.75 * f64::from(y);
        frame.line(mm(0.0, y), mm(80.0, y), Abs::pt(0.4), Ink::Black);
    }
    for (bar, x) in [("1", 5.0), ("2", 40.0)] {
        let mut inner = Frame::new(Size::new(Abs::mm(30.0), Abs::mm(20.0)));
        let head = TextRun::music(fonts, fonts.music().glyph("noteheadBlack"), Abs::mm(1.75), "");
        inner.push(mm(2.0, 8.5), Item::Text(head.clone()));
        inner.push(mm(12.0, 8.5), Item::Text(head));
        inner.push(mm(2.0, 3.0), words(fonts, "Em", 9.0));
        let subject = Some(Subject(format!("tune:lamp bar:{bar}").into()));
        frame.push(mm(x, 0.0), Item::Group(Box::new(Group { frame: Arc::new(inner), tag: None, subject, link: None })));
    }
    frame
}

fn first_page(fonts: &Fonts) -> Frame {
    let mut frame = Frame::new(Size::new(Abs::mm(210.0), Abs::mm(297.0)));
    frame.push(mm(20.0, 10.0), line(fonts, Role::Artifact, "Running head"));
    frame.push(mm(20.0, 20.0), line(fonts, Role::Heading(1), "A first lamp"));
    frame.push(
        mm(20.0, 30.0),
        line(fonts, Role::Paragraph, "The first final AVA office: caf\u{e9}, \u{201c}so\u{201d}."),
    );
    let alt = Tag::figure("2 bars in E minor");
    frame.push(
        mm(20.0, 40.0),
        Item::Group(Box::new(Group { frame: Arc::new(music(fonts)), tag: Some(alt), subject: None, link: None })),
    );
    let items = ["one", "two"].map(|text| line(fonts, Role::ListItem, text));
    let [one, two] = items;
    let size = Size::new(Abs::mm(80.0), Abs::mm(14.0));
    frame.push(
        mm(20.0, 70.0),
        Item::Group(tagged(Role::List(Marks::None), size, vec![(mm(0.0, 0.0), one), (mm(0.0, 7.0), two)]).into()),
    );
    let row = |role, left: &str, right: &str| {
        let cells = vec![(mm(0.0, 0.0), line(fonts, role, left)), (mm(40.0, 0.0), line(fonts, role, right))];
        Item::Group(tagged(Role::TableRow, Size::new(Abs::mm(80.0), Abs::mm(7.0)), cells).into())
    };
    let rows =
        vec![(mm(0.0, 0.0), row(Role::TableHead, "Button", "Note")), (mm(0.0, 7.0), row(Role::TableCell, "3", "D"))];
    frame.push(mm(20.0, 90.0), Item::Group(tagged(Role::Table, size, rows).into()));
    let link = |text: &str, target: LinkTarget| {
        let mut group =
            tagged(Role::Link, Size::new(Abs::mm(40.0), Abs::mm(6.0)), vec![(mm(0.0, 4.5), words(fonts, text, 11.0))]);
        group.link = Some(target);
        let size = group.frame.size;
        Item::Group(tagged(Role::Paragraph, size, vec![(mm(0.0, 0.0), Item::Group(group.into()))]).into())
    };
    frame.push(mm(20.0, 110.0), link("See the second page", LinkTarget::Anchor("second".into())));
    frame.push(mm(20.0, 120.0), link("On the net", LinkTarget::Url("https://example.org/lamp".into())));
    frame.push(mm(20.0, 130.0), link("Nowhere", LinkTarget::Anchor("nowhere".into())));
    frame
}

fn second_page(fonts: &Fonts) -> Frame {
    let mut frame = Frame::new(Size::new(Abs::mm(210.0), Abs::mm(297.0)));
    frame.push(mm(20.0, 20.0), Item::Anchor("second".into()));
    frame.push(mm(20.0, 20.0), line(fonts, Role::Heading(4), "Shapes"));
    frame.fill_rect(Rect { min: mm(20.0, 40.0), max: mm(60.0, 60.0) }, Ink::Grey(30));
    frame.fill(mm(0.0, 0.0), Path::circle(mm(40.0, 50.0), Abs::mm(8.0)), Ink::Paper);
    frame.fill(mm(0.0, 0.0), Path::circle(mm(40.0, 50.0), Abs::mm(4.0)), Ink::Second);
    // Black over the second ink, and paper over both: overprint.py looks at the middles of these three squares.
    let square = |x: f64, y: f64, side: f64| Rect { min: mm(x, y), max: mm(x + side, y + side) };
    frame.fill_rect(square(80.0, 40.0, 20.0), Ink::Second);
    frame.fill_rect(square(85.0, 45.0, 10.0), Ink::Black);
    frame.fill_rect(square(81.0, 41.0, 3.0), Ink::Paper);
    let stroke = Stroke { width: Abs::pt(1.0), ink: Ink::Black, round: true, dash: Some((Abs::pt(3.0), Abs::pt(2.0))) };
    let path = Path::open(&[mm(20.0, 70.0), mm(100.0, 70.0)]);
    frame.push(Point::default(), Item::Shape(Box::new(Shape { path, fill: None, stroke: Some(stroke) })));
    let grey: Vec<u8> = (0..16 * 8).map(|pixel| pixel * 2).collect();
    let size = Size::new(Abs::mm(32.0), Abs::mm(16.0));
    let image = Image { key: "ramp".into(), pixels: (16, 8), grey: grey.into(), size };
    let mut picture = Frame::new(size);
    picture.push(Point::default(), Item::Image(image.into()));
    frame.place_tagged(mm(20.0, 80.0), picture, Tag::figure("A ramp of greys"));
    let mut picture = Frame::new(size);
    picture.push(Point::default(), Item::Drawing(drawing(size).into()));
    frame.place_tagged(mm(20.0, 120.0), picture, Tag::figure("A ring and a line, cut"));
    frame
}

/// A ring by the even-odd rule, and a line that half of the drawing cuts.
fn drawing(size: Size) -> Drawing {
    let box_ = |x: f64, y: f64| Path::rect(Rect { min: mm(x, x), max: mm(y, y) });
    let area = |path, rule| Area { path, rule };
    let mut ring = box_(2.0, 12.0);
    ring.segments.extend(box_(4.0, 10.0).segments);
    let stroke = Stroke { width: Abs::pt(2.0), ink: Ink::Grey(40), round: false, dash: None };
    let cut = |path, rule| Layer {
        clips: vec![area(box_(0.0, 16.0), Rule::NonZero), area(path, rule)],
        marks: vec![Mark::Stroke(Path::open(&[mm(0.0, 7.0), mm(32.0, 7.0)]), stroke)],
    };
    let layers = vec![
        Layer { clips: Vec::new(), marks: vec![Mark::Fill(area(ring.clone(), Rule::EvenOdd), Ink::Black)] },
        cut(ring, Rule::EvenOdd),
        cut(Path::new(), Rule::NonZero),
    ];
    Drawing { size, layers }
}

/// Two pages with one of everything.
pub(super) fn document(fonts: &Fonts) -> Document {
    let identity = Identity {
        book: "demo".into(),
        edition: String::new(),
        title: "The Lamp \u{2013} demo".into(),
        author: "R. Quill".into(),
        language: "en-GB".into(),
        date: "2026-09-01".into(),
        impression: 1,
    };
    let page = |frame: Frame, label: &str, side| Page { frame, label: label.into(), side, kind: SheetKind::Body };
    let mut document = Document {
        identity,
        pages: vec![page(first_page(fonts), "iv", Side::Recto), page(second_page(fonts), "1", Side::Verso)],
        ..Document::default()
    };
    let entry = |title: &str, level, page| OutlineEntry { title: title.into(), level, page, top: Abs::mm(20.0) };
    document.outline = vec![entry("A first lamp", 0, 0), entry("Caf\u{e9}", 1, 0), entry("Shapes", 0, 1)];
    document.manifest.options = vec![("size".into(), "a4".into())];
    let bar = |bar: &str| BarRecord {
        tune: "lamp".into(),
        title: "The Lamp".into(),
        bar: bar.into(),
        page: "iv".into(),
        digest: String::new(),
        facts: ["note 1: outer 5, pull, finger 3"].into_iter().collect(),
    };
    document.manifest.bars = vec![bar("1"), bar("2")];
    document
}

fn keep(name: &str, bytes: &[u8]) {
    if let Some(folder) = std::env::var_os("BOXWRIGHT_SAMPLES") {
        std::fs::write(std::path::Path::new(&folder).join(name), bytes).expect("the samples' folder can be written");
    }
}

/// The demo document under some options.
pub(super) fn sample(options: &PdfOptions) -> Vec<u8> {
    let fonts = Fonts::embedded();
    let document = document(&fonts);
    let look = if options.is_reading() { PressLook::reading() } else { PressLook::press("The Lamp \u{b7} 2026-09-01") };
    write(&document, &plain(&document, &fonts, &look), &fonts, options).expect("the demo document is written")
}

fn all_options() -> Vec<(&'static str, PdfOptions)> {
    let press = |standard| PdfOptions::press(standard, "FOGRA52");
    let spot = |standard| PdfOptions { spot: Some("Lamp Red".into()), ..press(standard) };
    vec![
        ("reading.pdf", PdfOptions::reading()),
        ("x1a.pdf", press(PressStandard::X1a2003)),
        ("x4.pdf", press(PressStandard::X4)),
        ("a2b.pdf", press(PressStandard::A2b)),
        ("x1a-spot.pdf", spot(PressStandard::X1a2003)),
        ("x4-spot.pdf", spot(PressStandard::X4)),
        ("a2b-spot.pdf", spot(PressStandard::A2b)),
    ]
}

#[test]
fn every_kind_of_file_is_written_twice_to_equal_bytes_and_opens() {
    for (name, options) in all_options() {
        let bytes = sample(&options);
        assert_eq!(bytes, sample(&options), "{name}");
        keep(name, &bytes);
        let file = lopdf::Document::load_mem(&bytes).expect("it opens");
        assert_eq!(file.get_pages().len(), 2, "{name}");
    }
}

/// A list that goes on in the next column of its page, and on the next page, is one element with all its items in order.
#[test]
fn what_columns_part_is_one_element() {
    let fonts = Fonts::embedded();
    let mut document = document(&fonts);
    let size = Size::new(Abs::mm(60.0), Abs::mm(14.0));
    let list = |words: &str| {
        let item = line(&fonts, Role::ListItem, words);
        let list = tagged(Role::List(Marks::None), size, vec![(mm(0.0, 0.0), item)]);
        let tag = list.tag.clone().map(|tag| Tag { whole: std::num::NonZeroU32::new(7), ..tag });
        Item::Group(Group { tag, ..list }.into())
    };
    for (page, x, words) in [(0, 20.0, "one"), (0, 90.0, "two"), (1, 20.0, "three")] {
        document.pages[page].frame.push(mm(x, 250.0), list(words));
    }
    let sheets = plain(&document, &fonts, &PressLook::reading());
    let bytes = write(&document, &sheets, &fonts, &PdfOptions::reading()).expect("it is written");
    let file = lopdf::Document::load_mem(&bytes).expect("it opens");
    let of = |name: &[u8]| -> Vec<(lopdf::ObjectId, &lopdf::Dictionary)> {
        let dictionaries = file.objects.iter().filter_map(|(id, object)| Some((*id, object.as_dict().ok()?)));
        let is_it =
            |entry: &lopdf::Dictionary| entry.get(b"S").and_then(lopdf::Object::as_name).is_ok_and(|s| s == name);
        dictionaries.filter(|(_, entry)| is_it(entry)).collect()
    };
    let kids = |list: &lopdf::Dictionary| list.get(b"K").and_then(lopdf::Object::as_array).map_or(0, Vec::len);
    let lists = of(b"L");
    let whole: Vec<_> = lists.iter().filter(|(_, list)| kids(list) == 3).collect();
    assert_eq!(whole.len(), 1, "{lists:?}");
    let parent = |item: &lopdf::Dictionary| item.get(b"P").and_then(lopdf::Object::as_reference).expect("a parent");
    let items = of(b"LI");
    assert_eq!(items.iter().filter(|(_, item)| parent(item) == whole[0].0).count(), 3);
    assert!(items.iter().all(|(_, item)| lists.iter().any(|(id, _)| *id == parent(item))));
}

#[test]
fn an_imposed_file_is_written_and_opens() {
    let fonts = Fonts::embedded();
    let document = document(&fonts);
    for (name, scheme) in [
        ("saddle.pdf", Scheme::Saddle),
        ("folded.pdf", Scheme::FoldedEight),
        ("handout.pdf", Scheme::NUp { columns: 2, rows: 1 }),
        ("cut.pdf", Scheme::CutAndStack { columns: 2, rows: 1 }),
    ] {
        let imposing = Imposing {
            scheme,
            flip: Flip::ShortEdge,
            creep: Creep { caliper: Abs::mm(0.12), cover: Abs::ZERO },
            milling: Abs::ZERO,
            look: PressLook::press("The Lamp"),
        };
        let imposed = impose(&document, &fonts, &imposing);
        let options = PdfOptions::press(PressStandard::X1a2003, "FOGRA52");
        let bytes = write(&document, &imposed.sheets, &fonts, &options).expect("it is written");
        keep(name, &bytes);
        assert_eq!(lopdf::Document::load_mem(&bytes).expect("it opens").get_pages().len(), imposed.sheets.len());
        assert_eq!(manifest(&bytes).expect("it carries its record").pages.len(), 2);
    }
}

/// A page that lies by a quarter turn to the right at half its size: its left edge is at the head, its head at the right.
#[test]
fn a_lying_page_has_its_head_at_the_right() {
    let fonts = Fonts::embedded();
    let mut document = document(&fonts);
    let mut frame = Frame::new(Size::new(Abs::pt(200.0), Abs::pt(20.0)));
    frame.fill_rect(Rect::new(Point::default(), Point::new(Abs::pt(200.0), Abs::pt(20.0))), Ink::Black);
    document.pages[0].frame = frame;
    let mut sheets = plain(&document, &fonts, &PressLook::press("The Lamp"));
    sheets.truncate(1);
    let at = Point::new(Abs::pt(100.0), Abs::pt(50.0));
    sheets[0].pages[0] = Placement { turn: Turn::Quarter, scale: 0.5, ..Placement::upright(0, at) };
    let options = PdfOptions::press(PressStandard::X1a2003, "FOGRA52");
    let bytes = write(&document, &sheets, &fonts, &options).expect("it is written");
    let file = lopdf::Document::load_mem(&bytes).expect("it opens");
    let page = file.page_iter().next().expect("a page");
    let content = file.get_and_decode_page_content(page).expect("it has content");
    let turned = content.operations.iter().find(|operation| operation.operator == "cm").expect("it is turned");
    let matrix: Vec<f64> =
        turned.operands.iter().map(|number| f64::from(number.as_float().expect("a number"))).collect();
    let media = sheets[0].boxes.media.height.to_pt();
    // The page's lower left corner, its own origin, is the upper left of its place; its lower right one lies under it.
    let to = |x: f64, y: f64| (matrix[0] * x + matrix[2] * y + matrix[4], matrix[1] * x + matrix[3] * y + matrix[5]);
    let near = |(a, b): (f64, f64), (c, d): (f64, f64)| (a - c).abs() < 0.01 && (b - d).abs() < 0.01;
    assert!(near(to(0.0, 0.0), (100.0, media - 50.0)) && near(to(200.0, 0.0), (100.0, media - 150.0)), "{matrix:?}");
    assert!(near(to(0.0, 20.0), (110.0, media - 50.0)), "{matrix:?}");
}

/// Boxes read back within a hundredth of a millimetre: A4 with 10 mm round it and 3 mm of bleed.
/// ISO 32000-1, 7.5.4: a file that was never updated has one cross-reference section, one run of numbers from 0 on. A reader that
/// finds a gap rebuilds the table, and complains of it.
#[test]
fn the_cross_reference_is_one_run() {
    for (name, options) in all_options().into_iter().filter(|(_, options)| !options.is_reading()) {
        let bytes = sample(&options);
        let at = bytes.windows(10).rposition(|part| part == b"\nstartxref").expect("it ends so");
        let end = String::from_utf8_lossy(&bytes[at..]).into_owned();
        let start: usize = end.split_whitespace().nth(1).and_then(|number| number.parse().ok()).expect("a place");
        let section = String::from_utf8_lossy(&bytes[start..at]).into_owned();
        let lines: Vec<&str> = section.lines().collect();
        let trailer = lines.iter().position(|line| *line == "trailer").expect("a trailer follows");
        let count: usize = lines[1].strip_prefix("0 ").and_then(|count| count.parse().ok()).expect("it begins at 0");
        assert_eq!((lines[0], trailer), ("xref", count + 2), "{name}: {} of {count} entries", trailer - 2);
        assert!(section.contains(&format!("/Size {count}")), "{name}: {section}");
    }
}

#[test]
fn boxes_are_exact() {
    let bytes = sample(&PdfOptions::press(PressStandard::X1a2003, "FOGRA52"));
    let file = lopdf::Document::load_mem(&bytes).expect("it opens");
    let page = file.page_iter().next().expect("a page");
    let page = file.get_dictionary(page).expect("a page is a dictionary");
    for (key, wanted) in [
        ("MediaBox", [0.0, 0.0, 230.0, 317.0]),
        ("CropBox", [0.0, 0.0, 230.0, 317.0]),
        ("BleedBox", [7.0, 7.0, 223.0, 310.0]),
        ("TrimBox", [10.0, 10.0, 220.0, 307.0]),
    ] {
        let found = page.get(key.as_bytes()).and_then(lopdf::Object::as_array).expect("a box");
        for (value, wanted) in found.iter().zip(wanted) {
            let mm = f64::from(value.as_float().expect("a number")) / 72.0 * 25.4;
            assert!((mm - wanted).abs() < 0.01, "{key}: {mm} is not {wanted}");
        }
    }
}

#[test]
fn fonts_are_embedded_and_text_can_be_copied() {
    for (name, options) in all_options() {
        let file = lopdf::Document::load_mem(&sample(&options)).expect("it opens");
        let programs = file.objects.values().filter(|object| {
            object.as_dict().is_ok_and(|d| d.has(b"FontDescriptor") || d.has(b"FontFile3") || d.has(b"FontFile2"))
        });
        let (descendants, described): (Vec<_>, Vec<_>) =
            programs.filter_map(|object| object.as_dict().ok()).partition(|d| d.has(b"FontDescriptor"));
        assert_eq!(descendants.len(), described.len(), "{name}: each font has its program");
        assert!(described.len() >= 2);
        let text = file.extract_text(&[1]).expect("text can be read");
        assert!(text.contains("The first final AVA office"), "{name}: {text}");
    }
}

/// ISO 32000-1, table 122: an italic says by how many degrees it leans. The number is that of the font's table `post`, read with
/// another library.
#[test]
fn italic_faces_say_their_angle() {
    let fonts = Fonts::embedded();
    let mut document = document(&fonts);
    let italic = FaceChoice { family: TextFamily::Serif, weight: Weight::Regular, italic: true, cut: Cut::Text };
    let run = TextRun::shaped(&fonts, fonts.text(italic), Abs::pt(11.0), "leans", Features::default());
    document.pages[0].frame.push(mm(20.0, 280.0), Item::Text(run));
    let sheets = plain(&document, &fonts, &PressLook::reading());
    let bytes = write(&document, &sheets, &fonts, &PdfOptions::reading()).expect("it is written");
    let file = lopdf::Document::load_mem(&bytes).expect("it opens");
    let mut seen = Vec::new();
    for descriptor in file.objects.values().filter_map(|object| object.as_dict().ok()).filter(|d| d.has(b"ItalicAngle"))
    {
        let name = descriptor.get(b"FontName").and_then(lopdf::Object::as_name).expect("it has a name");
        let angle = descriptor.get(b"ItalicAngle").and_then(lopdf::Object::as_float).expect("a number");
        let flags = descriptor.get(b"Flags").and_then(lopdf::Object::as_i64).expect("flags");
        let is_italic = String::from_utf8_lossy(name).contains("SourceSerif4-It");
        assert!((angle - if is_italic { -12.0 } else { 0.0 }).abs() < 1e-3, "{name:?}: {angle}");
        assert_eq!(flags & (1 << 6) != 0, is_italic, "{name:?}");
        seen.push(is_italic);
    }
    assert!(seen.contains(&true) && seen.contains(&false));
}

#[test]
fn a_page_out_of_range_and_a_place_that_is_no_number_are_refused() {
    let fonts = Fonts::embedded();
    let mut document = document(&fonts);
    let sheets = plain(&document, &fonts, &PressLook::reading());
    document.pages.pop();
    let refused = write(&document, &sheets, &fonts, &PdfOptions::reading());
    assert_eq!(refused, Err(PdfError::NoSuchPage { sheet: "1".into(), page: 1 }));
    document.pages[0].frame.line(mm(f64::INFINITY, 0.0), mm(1.0, 1.0), Abs::pt(1.0), Ink::Black);
    let refused = write(&document, &sheets[..1], &fonts, &PdfOptions::reading());
    assert_eq!(refused, Err(PdfError::NotANumber { sheet: "iv".into() }));
    assert_eq!(write(&document, &[], &fonts, &PdfOptions::reading()), Err(PdfError::NoSheets));
    let unnamed = PdfOptions::press(PressStandard::X1a2003, "");
    assert!(matches!(write(&document, &sheets[..1], &fonts, &unnamed), Err(PdfError::Option(_))));
}

/// The record goes into the file and comes back whole; marks, tags and the place of a bar on the page leave digests alone.
#[test]
fn the_record_comes_back_and_digests_follow_the_ink() {
    let fonts = Fonts::embedded();
    let mut document = document(&fonts);
    document.manifest.bars[0].facts.push("note 2: a\ttab, a \\ and\na line");
    let printed = record(&document, &fonts);
    assert!(printed.pages.iter().all(|page| page.digest.len() == 32));
    assert!(printed.bars.iter().all(|bar| bar.digest.len() == 32));
    assert_eq!(printed.bars[0].digest, printed.bars[1].digest, "the two bars hold the same ink at other places");
    for (options, look) in [
        (PdfOptions::reading(), PressLook::reading()),
        (PdfOptions::press(PressStandard::X1a2003, "FOGRA52"), PressLook::press("Slug")),
    ] {
        let bytes = write(&document, &plain(&document, &fonts, &look), &fonts, &options).expect("it is written");
        assert_eq!(manifest(&bytes), Ok(printed.clone()));
    }
    let mut moved = document.clone();
    moved.pages[1].frame.fill_rect(Rect { min: mm(1.0, 1.0), max: mm(1.01, 1.01) }, Ink::Black);
    let moved = record(&moved, &fonts);
    assert_eq!(moved.pages[0], printed.pages[0]);
    assert_ne!(moved.pages[1], printed.pages[1]);
}

/// A file for reading is painted in black alone, so naming a second ink changes none of its pages.
#[test]
fn the_second_ink_is_told_in_files_for_the_press_alone() {
    let fonts = Fonts::embedded();
    let [black, second] = [Ink::Black, Ink::Second].map(|ink| {
        let mut document = document(&fonts);
        document.pages[0].frame.fill_rect(Rect { min: mm(1.0, 1.0), max: mm(9.0, 9.0) }, ink);
        document
    });
    assert_eq!(record(&black, &fonts).pages, record(&second, &fonts).pages);
    let [black, second] = [black, second].map(|mut document| {
        document.manifest.laying.push(("for".into(), "press".into()));
        record(&document, &fonts)
    });
    assert_ne!(black.pages[0], second.pages[0]);
    assert_eq!(black.pages[1], second.pages[1]);
}

#[test]
fn foreign_and_future_records_are_refused() {
    use super::manifest::{read, write};
    let fonts = Fonts::embedded();
    let lines = write(&record(&document(&fonts), &fonts));
    assert!(read(&lines).is_ok());
    let future = lines.replace("digest\t5\n", "digest\t6\n");
    assert_eq!(read(&future), Err(ManifestError::UnknownDigest(6)));
    assert!(matches!(
        read(&lines.replace("boxwright-record 2", "boxwright-record 9")),
        Err(ManifestError::UnknownForm(_))
    ));
    assert!(matches!(read(&lines.replace("page\tiv", "leaf\tiv")), Err(ManifestError::Damaged { line: 11, .. })));
    assert_eq!(read("boxwright-record 2\n"), Err(ManifestError::UnknownDigest(0)));
    assert!(matches!(manifest(b"hello"), Err(ManifestError::NotPdf(_))));
    let mut foreign = lopdf::Document::load_mem(&sample(&PdfOptions::reading())).expect("it opens");
    foreign.catalog_mut().expect("a catalog").remove(b"BXWR_Record");
    let mut bytes = Vec::new();
    foreign.save_to(&mut bytes).expect("it can be written again");
    assert_eq!(manifest(&bytes), Err(ManifestError::NotOurs));
}
