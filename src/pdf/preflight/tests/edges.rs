//! Ink of curves, text and forms near the trim, planted on a page of ours: what is told of it, and what is no fault.

use super::foreign::{dict, form, numbers, outcome, own, resource};
use super::*;
use lopdf::Stream;

/// The trim of the first page: left, foot, right, head in points.
fn trim() -> [f64; 4] {
    let file = Document::load_mem(&press(PressStandard::X1a2003)).expect("our own file opens");
    let page = file.get_dictionary(file.page_iter().next().expect("a page")).expect("a page");
    let trim = page.get(b"TrimBox").and_then(Object::as_array).expect("a trim box");
    std::array::from_fn(|at| f64::from(trim[at].as_float().expect("a number")))
}

/// A font of one byte a code that is not in the file: every glyph half an em wide, 700 up and 200 down; code 66 is a whole em.
fn plain_font(file: &mut Document) {
    let mut widths = [500.0; 128];
    widths[66] = 1000.0;
    let descriptor = dict([("FontBBox", numbers([0.0; 4])), ("Ascent", 700.into()), ("Descent", (-200).into())]);
    let descriptor = own(file, descriptor);
    let font = dict([
        ("Subtype", name("Type1")),
        ("BaseFont", name("Odd")),
        ("FirstChar", 0.into()),
        ("LastChar", 127.into()),
        ("Widths", numbers(widths)),
        ("FontDescriptor", descriptor),
    ]);
    let font = own(file, font);
    resource(file, "Font", "F", font);
}

fn edge(operators: &str) -> (Outcome, String) {
    outcome(PressStandard::X1a2003, "P-06", |file| {
        plain_font(file);
        content(file, operators.as_bytes());
    })
}
fn warns(operators: &str, words: &str) {
    let (outcome, found) = edge(operators);
    assert!(outcome == Outcome::Warning && found.contains(words), "{operators}: {outcome:?} {found:?}, not {words:?}");
}
fn passes(operators: &str) {
    let (outcome, found) = edge(operators);
    assert_eq!(outcome, Outcome::Pass, "{operators}: {found}");
}

/// Bézier curves by hand: of control points at 0, 0, h, h a third of the way each the curve turns at 0.75 h when both middle points
/// are at h and the ends at 0.
#[test]
fn curves_are_measured_where_they_turn() {
    let [left, foot, right, _] = trim();
    let x = |by: f64| left + 20.0 - by;
    // The middle points lie 24 points to the left: the curve turns 18 to the left, two points inside the trim.
    warns(
        &format!("{} 300 m {} 300 {} 340 {} 340 c f", x(0.0), x(24.0), x(24.0), x(0.0)),
        "0.7 mm inside the trim at the left",
    );
    // The middle points beyond the trim, the curve 9.5 points inside it.
    passes(&format!("{} 300 m {} 300 {} 340 {} 340 c f", left + 30.5, left + 2.5, left + 2.5, left + 30.5));
    // Of `v` the first middle point is where the pen stands, of `y` the second is the end: 4/9 of the way out.
    warns(&format!("{} 300 m {} 340 {} 340 v f", x(0.0), x(40.5), x(0.0)), "0.7 mm inside the trim at the left");
    warns(&format!("{} 300 m {} 300 {} 340 y f", x(0.0), x(40.5), x(0.0)), "0.7 mm inside the trim at the left");
    // A line of four points is two broader on either side.
    warns(
        &format!("4 w 300 {0} m 310 {1} 320 {1} 330 {0} c S", foot + 25.0, foot + 25.0 - 24.0),
        "1.8 mm inside the trim at the foot",
    );
    // A second part goes on where the first was closed; a point alone is no ink.
    warns(&format!("300 300 m 310 300 l 310 310 l h {} 300 l S", right - 3.0), "mm inside the trim at the right");
    passes(&format!("{left} 300 m 300 300 100 20 re f"));
    passes(&format!("300 300 100 20 re {left} 300 m f"));
    passes(&format!("{left} 200 20 30 c 300 300 100 20 re f"));
}

#[test]
fn text_is_measured_glyph_by_glyph() {
    let [left, foot, right, head] = trim();
    // Twelve points: glyphs are 6 wide, 8.4 up, 2.4 down.
    let at = |x: f64, y: f64, show: &str| format!("BT /F 12 Tf {x} {y} Td {show} ET");
    warns(&at(left + 2.0, 300.0, "(a) Tj"), "0.7 mm inside the trim at the left");
    warns(&at(right - 7.0, 300.0, "(a) Tj"), "0.4 mm inside the trim at the right");
    warns(&at(300.0, foot + 3.4, "(a) Tj"), "0.4 mm inside the trim at the foot");
    warns(&at(300.0, head - 9.4, "(a) Tj"), "0.4 mm inside the trim at the head");
    warns(&at(right - 3.0, 300.0, "(a) Tj"), "1.1 mm beyond the trim at the right");
    // Runs that end near the edge: six glyphs, one of them of a whole em; hexadecimal; moves, spacings, stretched type.
    warns(&at(right - 43.0, 300.0, "(aaBaaa) Tj"), "0.4 mm inside the trim at the right");
    warns(&at(right - 43.0, 300.0, "<6161426161 61> Tj"), "0.4 mm inside the trim at the right");
    warns(&at(right - 43.0, 300.0, "[(a) -2500 (a)] TJ"), "0.4 mm inside the trim at the right");
    warns(&at(right - 43.0, 300.0, "30 Tc (aa) Tj"), "0.4 mm inside the trim at the right");
    warns(&at(right - 43.0, 300.0, "24 Tw (a a) Tj"), "0.4 mm inside the trim at the right");
    warns(&at(right - 43.0, 300.0, "350 Tz (aa) Tj"), "0.4 mm inside the trim at the right");
    warns(&at(300.0, foot + 8.4, "-5 Ts (a) Tj"), "0.4 mm inside the trim at the foot");
    // Lines.
    warns(&at(300.0, foot + 23.4, "20 TL T* (a) Tj"), "0.4 mm inside the trim at the foot");
    warns(&at(300.0, foot + 23.4, "20 TL (a) '"), "0.4 mm inside the trim at the foot");
    warns(&at(right - 43.0, foot + 60.0, "20 TL 24 0 (a a) \""), "0.4 mm inside the trim at the right");
    warns(&at(300.0, foot + 63.4, "0 -20 TD (a) Tj 0 -20 Td T* (a) Tj"), "0.4 mm inside the trim at the foot");
    // Turned by a quarter, enlarged by the page, in a state that is restored.
    warns(&format!("BT /F 12 Tf 0 1 -1 0 {} 300 Tm (a) Tj ET", left + 9.4), "0.4 mm inside the trim at the left");
    warns(&format!("q 2 0 0 2 {} 300 cm BT /F 6 Tf (a) Tj ET Q", left + 1.0), "0.4 mm inside the trim at the left");
    warns(
        &format!("/F 12 Tf q /F 1 Tf 90 Ts Q {}", at(left + 1.0, 300.0, "(a) Tj").replace("/F 12 Tf", "")),
        "0.4 mm inside",
    );
    // Its outline alone is ink, two points broad.
    warns(&format!("1 g 2 w {}", at(left + 2.0, 300.0, "1 Tr (a) Tj")), "0.4 mm inside the trim at the left");
    for fine in [
        at(left + 8.6, 300.0, "(aaaaaa) Tj"),
        at(right - 44.6, 300.0, "(aaaaaa) Tj"),
        at(300.0, head - 17.0, "(a) Tj"),
        at(right - 60.0, 300.0, "(a) Tj 0 0 Td [(a) 2500] TJ (a) Tj"),
        // Marks and the slug stand beside the page.
        at(left - 20.0, 300.0, "(a) Tj"),
        at(300.0, head + 5.0, "(a) Tj"),
        // A blank, and what leaves no ink.
        at(left + 2.0, 300.0, "( ) Tj"),
        at(left + 2.0, 300.0, "3 Tr (a) Tj"),
        format!("1 g {}", at(left + 2.0, 300.0, "(a) Tj")),
        format!("q 300 300 9 9 re W n {} Q", at(left + 2.0, 300.0, "(aaaaaaaaa) Tj")),
    ] {
        passes(&fine);
    }
}

/// A font of ours, by its own outlines: what the box of its heights would cry at is far from the edge.
#[test]
fn outlines_tell_where_glyphs_end() {
    let [left, foot, ..] = trim();
    let shown = |operators: String, has_program: bool| {
        outcome(PressStandard::X1a2003, "P-06", |file| {
            let id = first_page(file).get(b"Resources").and_then(Object::as_reference).expect("resources");
            let fonts = file.get_dictionary(id).and_then(|found| found.get(b"Font")).cloned().expect("fonts");
            let (_, fonts) = file.dereference(&fonts).expect("fonts");
            let (called, _) = fonts.as_dict().expect("fonts").iter().next().expect("a font");
            let operators = operators.replace("/F", &format!("/{}", String::from_utf8_lossy(called)));
            content(file, operators.as_bytes());
            for object in file.objects.values_mut().filter(|_| !has_program) {
                if let Ok(descriptor) = object.as_dict_mut() {
                    descriptor.remove(b"FontFile3");
                }
            }
        })
    };
    // A hundred points: the box of the font's heights is far from the ink of its glyphs, of which this one reaches an eighth of an em
    // below the line and two others do not.
    for (x, words) in
        [(left + 0.5, "0.2 mm inside the trim at the left"), (left - 5.0, "1.8 mm beyond the trim at the left")]
    {
        let (found, said) = shown(format!("BT /F 100 Tf {x} 300 Td <0001> Tj ET"), true);
        assert!(found == Outcome::Warning && said.contains(words), "{found:?} {said}");
    }
    let foot =
        |glyph: u8, has_program| shown(format!("BT /F 100 Tf 300 {} Td <000{glyph}> Tj ET", foot + 12.0), has_program);
    let (found, said) = foot(1, true);
    assert!(found == Outcome::Warning && said.contains("0.2 mm beyond the trim at the foot"), "{found:?} {said}");
    assert_eq!(foot(2, true).0, Outcome::Pass);
    assert_ne!(foot(1, false), foot(1, true));
}

#[test]
fn text_that_cannot_be_measured_is_no_pass() {
    let [left, ..] = trim();
    let operators = format!("BT /F 12 Tf {} 300 Td (aa) Tj ET", left + 200.0);
    let set = |font: fn(&mut Document) -> Object| {
        outcome(PressStandard::X1a2003, "P-06", |file| {
            let font = font(file);
            let font = own(file, font);
            resource(file, "Font", "F", font);
            content(file, operators.as_bytes());
        })
    };
    let (found, words) =
        set(|_| dict([("Subtype", name("Type0")), ("BaseFont", name("Far")), ("Encoding", name("90ms-RKSJ-H"))]));
    assert!(found == Outcome::CannotTell && words.contains("text in Far is not measured"), "{words}");
    let drawn = |_: &mut Document, boundary: [f32; 4]| {
        dict([
            ("Subtype", name("Type3")),
            ("FontBBox", numbers(boundary)),
            ("FontMatrix", numbers([0.1, 0.0, 0.0, 0.1, 0.0, 0.0])),
            ("CharProcs", dict([])),
            ("FirstChar", 97.into()),
            ("Widths", numbers([5.0])),
        ])
    };
    let (found, words) = outcome(PressStandard::X1a2003, "P-06", |file| {
        let font = drawn(file, [0.0; 4]);
        resource(file, "Font", "F", font);
        content(file, operators.as_bytes());
    });
    assert!(found == Outcome::CannotTell && words.contains("its drawings have no box"), "{words}");
    // Ten units of a tenth are an em: 12 points wide.
    let (found, words) = outcome(PressStandard::X1a2003, "P-06", |file| {
        let font = drawn(file, [0.0, 0.0, 10.0, 10.0]);
        resource(file, "Font", "F", font);
        content(file, format!("BT /F 12 Tf {} 300 Td (a) Tj ET", left + 1.0).as_bytes());
    });
    assert!(found == Outcome::Warning && words.contains("0.4 mm inside the trim at the left"), "{words}");
}

/// What is drawn from one place again and again is looked at wherever it stands.
#[test]
fn a_form_is_looked_at_wherever_it_is_drawn() {
    let [left, ..] = trim();
    let drawn = |outside: String| {
        outcome(PressStandard::X1a2003, "P-06", |file| form(file, vec![], b"0 0 50 20 re f", outside.as_bytes()))
    };
    let at = |x: f64| format!("q 1 0 0 1 {x} 300 cm /Odd Do Q ");
    let (found, words) = drawn(at(300.0) + &at(left + 2.835));
    assert!(found == Outcome::Warning && words.contains("1.0 mm inside the trim at the left"), "{words}");
    let (found, words) = drawn(at(300.0) + &at(left - 20.0) + &at(left + 20.0) + &at(300.0));
    assert_eq!(found, Outcome::Pass, "{words}");
    // One that draws itself ends.
    let (found, _) = outcome(PressStandard::X1a2003, "P-06", |file| {
        form(file, vec![], b"0 0 9 9 re f q 2 0 0 2 1 1 cm /Odd Do /Odd Do Q", (at(left) + &at(left + 1.0)).as_bytes());
    });
    assert!(matches!(found, Outcome::Warning | Outcome::CannotTell), "{found:?}");
    // The same content on a page with other edges.
    let bytes = with(&press(PressStandard::X1a2003), |file| {
        content(file, format!("{} 300 100 20 re f", left + 20.0).as_bytes());
        let pages: Vec<_> = file.page_iter().collect();
        let first = first_page(file).clone();
        let second = file.get_dictionary_mut(pages[1]).expect("a page");
        for key in ["Contents", "Resources"] {
            second.set(key, first.get(key.as_bytes()).expect("it is there").clone());
        }
        let narrow = [left + 20.0, left, left + 500.0, left + 700.0];
        second.set("TrimBox", Object::Array(narrow.map(|side| Object::Real(side as f32)).to_vec()));
    });
    let report = preflight(&bytes);
    let point = report.checks.iter().find(|check| check.id == "P-06").expect("a point");
    assert!(point.found.starts_with("page 2: ink ends at the trim, at the left"), "{point}");
}

/// A point, how it has to come out, with which words, of what is planted.
type Row = (&'static str, Outcome, &'static str, Box<dyn Fn(&mut Document)>);

/// A row is a point and what it has to say: of what it cannot read, or used not to look at.
#[test]
fn nothing_is_said_of_what_is_not_looked_at() {
    let colour =
        |space: &str| Object::Array(vec![name("Indexed"), name(space), 0.into(), Object::string_literal("abcd")]);
    let broken = |file: &mut Document| {
        let id = first_page(file).get(b"Contents").and_then(Object::as_reference).expect("content");
        let mut stream = Stream::new(Dictionary::new(), b"0 g 10 10 20 20 re f\n".repeat(300));
        stream.compress().expect("it can be packed");
        let half = stream.content[..stream.content.len() / 2].to_vec();
        stream.set_content(half);
        file.set_object(id, stream);
    };
    let (found, words) = outcome(PressStandard::X1a2003, "X1a-12", broken);
    assert!(found == Outcome::CannotTell && words.contains("cannot be unpacked whole"), "{found:?} {words}");
    let fewer = |file: &mut Document| {
        let parent = first_page(file).get(b"Parent").and_then(Object::as_reference).expect("a parent");
        file.get_dictionary_mut(parent).expect("a node").set("Count", 3);
    };
    for id in ["X1a-07", "X1a-08", "X1a-12", "X1a-17", "P-01"] {
        let (found, words) = outcome(PressStandard::X1a2003, id, fewer);
        assert!(found == Outcome::CannotTell && words.contains("says that there are 3, and 2 are"), "{id}: {words}");
    }
    let (found, _) = outcome(PressStandard::X1a2003, "X1a-11", |file| {
        let mut profile = Stream::new(Dictionary::new(), vec![0; 400]);
        profile.compress().expect("it can be packed");
        profile.set_content(profile.content[..9].to_vec());
        let profile = own(file, profile);
        intent(file).set("DestOutputProfile", profile);
    });
    assert_eq!(found, Outcome::Fail, "a profile that cannot be read is no absent one");
    let (found, words) = outcome(PressStandard::X4, "X4-06", |file| {
        picture(file, vec![("Filter", name("JPXDecode")), ("ColorSpace", Object::Null)]);
    });
    assert!(found == Outcome::CannotTell && words.contains("JPEG 2000"), "{found:?} {words}");
    let plants: Vec<Row> = vec![
        (
            "P-03",
            Outcome::Warning,
            "coloured ink",
            Box::new(|file| content(file, b"/DeviceCMYK cs 1 0 0 0 sc 9 9 9 9 re f")),
        ),
        (
            "P-03",
            Outcome::Warning,
            "coloured ink",
            Box::new(|file| content(file, b"/DeviceCMYK CS 0 0 .1 1 SCN 9 9 m 90 9 l S")),
        ),
        ("P-03", Outcome::Pass, "", Box::new(|file| content(file, b"/DeviceCMYK cs 0 0 0 1 sc 99 99 9 9 re f"))),
        (
            "P-03",
            Outcome::Warning,
            "page 1 has a picture or a shading in CMYK",
            Box::new(move |file| picture(file, vec![("ColorSpace", colour("DeviceCMYK"))])),
        ),
        (
            "P-04",
            Outcome::Warning,
            "0.100 point",
            Box::new(|file| content(file, b"99 99 m 199 99 l 199 99.1 l 99 99.1 l f")),
        ),
        (
            "P-04",
            Outcome::Warning,
            "0.100 point",
            Box::new(|file| {
                plain_font(file);
                content(file, b"BT .1 w 1 Tr /F 9 Tf 99 99 Td (a) Tj ET");
            }),
        ),
        (
            "P-08",
            Outcome::Fail,
            "page 1 sets text in no font",
            Box::new(|file| content(file, b"BT 99 99 Td (a) Tj ET")),
        ),
        (
            "P-08",
            Outcome::Fail,
            "what is neither",
            Box::new(|file| {
                let odd = own(file, Stream::new(Dictionary::new(), b"0 g".to_vec()));
                resource(file, "XObject", "Odd", odd);
                content(file, b"/Odd Do");
            }),
        ),
        (
            "X1a-16",
            Outcome::Fail,
            "an action",
            Box::new(|file| {
                let action = dict([("S", name("URI")), ("URI", Object::string_literal("a:"))]);
                let link = dict([("Subtype", name("Link")), ("Rect", numbers([0.0, 0.0, 1.0, 1.0])), ("A", action)]);
                let list = own(file, Object::Array(vec![link]));
                first_page(file).set("Annots", list);
            }),
        ),
        (
            "X1a-12",
            Outcome::Fail,
            "DeviceRGB",
            Box::new(|file| {
                let look = Dictionary::from_iter([("Subtype", name("Form")), ("BBox", numbers([0.0, 0.0, 9.0, 9.0]))]);
                let look = own(file, Stream::new(look, b"1 0 0 rg 0 0 9 9 re f".to_vec()));
                let looks = dict([("N", dict([("On", look)]))]);
                let mark =
                    dict([("Subtype", name("PrinterMark")), ("Rect", numbers([0.0, 0.0, 1.0, 1.0])), ("AP", looks)]);
                first_page(file).set("Annots", vec![mark]);
            }),
        ),
        (
            "X1a-13",
            Outcome::Fail,
            "is not embedded",
            Box::new(|file| {
                for object in file.objects.values_mut() {
                    if let Object::Stream(stream) = object
                        && stream
                            .dict
                            .get(b"Subtype")
                            .and_then(Object::as_name)
                            .is_ok_and(|kind| kind == b"CIDFontType0C")
                    {
                        stream.set_content(Vec::new());
                    }
                }
            }),
        ),
        (
            "X1a-16",
            Outcome::CannotTell,
            "nested deeper",
            Box::new(|file| {
                let deep = (0..30).fold(dict([("S", name("JavaScript"))]), |inner, _| Object::Array(vec![inner]));
                file.add_object(deep);
            }),
        ),
        (
            "P-02",
            Outcome::Warning,
            "page 1 has none, others have 3.00 mm",
            Box::new(|file| {
                let trim = first_page(file).get(b"TrimBox").expect("a trim box").clone();
                first_page(file).set("BleedBox", trim);
            }),
        ),
        (
            "P-02",
            Outcome::Pass,
            "3.00 mm",
            Box::new(|file| {
                let [left, ..] = trim();
                let bleed = first_page(file).get_mut(b"BleedBox").and_then(Object::as_array_mut).expect("a bleed box");
                bleed[0] = Object::Real(left as f32);
            }),
        ),
    ];
    for (nth, (id, wanted, says, plant)) in plants.into_iter().enumerate() {
        let (found, words) = outcome(PressStandard::X1a2003, id, |file| plant(file));
        assert!(found == wanted && words.contains(says), "{nth} {id}: {found:?} {words:?}");
    }
}
