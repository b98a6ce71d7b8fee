//! What files of other makers do that ours never do: entries behind references, lines in forms, pages turned, names that lead to
//! nothing. Each is planted in a file of ours.

use super::*;
use lopdf::Stream;

pub(super) fn dict<const N: usize>(entries: [(&str, Object); N]) -> Object {
    Dictionary::from_iter(entries).into()
}
pub(super) fn numbers<const N: usize>(numbers: [f32; N]) -> Object {
    Object::Array(numbers.into_iter().map(Object::Real).collect())
}

/// Puts something into the resources of the first page.
pub(super) fn resource(file: &mut Document, kind: &str, name: &str, value: Object) {
    let id = first_page(file).get(b"Resources").and_then(Object::as_reference).expect("resources");
    let list = file.get_dictionary(id).and_then(|resources| resources.get(kind.as_bytes())).cloned();
    if let Ok(Object::Reference(list)) = list {
        return file.get_dictionary_mut(list).expect("a dictionary").set(name, value);
    }
    let resources = file.get_dictionary_mut(id).expect("resources");
    if resources.get(kind.as_bytes()).and_then(Object::as_dict).is_err() {
        resources.set(kind, Dictionary::new());
    }
    resources.get_mut(kind.as_bytes()).and_then(Object::as_dict_mut).expect("a dictionary").set(name, value);
}
pub(super) fn own(file: &mut Document, value: impl Into<Object>) -> Object {
    Object::Reference(file.add_object(value.into()))
}
/// Other bytes in the place of every font's program.
pub(super) fn programs(file: &mut Document, bytes: &[u8]) {
    let dictionaries = file.objects.values().filter_map(|object| object.as_dict().ok());
    let found = dictionaries.filter_map(|descriptor| descriptor.get(b"FontFile3").ok()?.as_reference().ok());
    let found: Vec<_> = found.collect();
    assert!(!found.is_empty(), "the sample has fonts");
    found
        .into_iter()
        .for_each(|id| drop(file.objects.insert(id, Stream::new(Dictionary::new(), bytes.to_vec()).into())));
}
/// A form on the first page, and content that draws it.
pub(super) fn form(file: &mut Document, entries: Vec<(&str, Object)>, inside: &[u8], outside: &[u8]) {
    let mut dictionary = Dictionary::from_iter([("Subtype", name("Form")), ("BBox", numbers([-1e4, -1e4, 1e4, 1e4]))]);
    entries.into_iter().for_each(|(key, value)| dictionary.set(key, value));
    let form = own(file, Stream::new(dictionary, inside.to_vec()));
    resource(file, "XObject", "Odd", form);
    content(file, outside);
}
/// A profile that says no more than its header: class `prtr`, a space.
fn profile(file: &mut Document, space: &[u8; 4]) {
    let mut header = vec![0; 200];
    header[8] = 2;
    header[12..16].copy_from_slice(b"prtr");
    header[16..20].copy_from_slice(space);
    header[36..40].copy_from_slice(b"acsp");
    let profile = own(file, Stream::new(Dictionary::new(), header));
    intent(file).set("DestOutputProfile", profile);
}
fn separation(file: &mut Document, alternate: &str) {
    let tint = dict([("FunctionType", 2.into()), ("N", 1.into()), ("Domain", numbers([0.0, 1.0]))]);
    let space = Object::Array(vec![name("Separation"), name("Odd"), name(alternate), tint]);
    resource(file, "ColorSpace", "Odd", space);
    content(file, b"/Odd cs 1 scn 100 100 50 50 re f");
}
fn stands_for(file: &mut Document, key: &str) {
    let stream = own(file, Stream::new(Dictionary::from_iter([("N", 4.into())]), vec![0; 200]));
    resource(file, "ColorSpace", key, Object::Array(vec![name("ICCBased"), stream]));
}

/// How a point comes out for a file that is changed.
pub(super) fn outcome(standard: PressStandard, id: &str, plant: impl FnOnce(&mut Document)) -> (Outcome, String) {
    let report = preflight(&with(&press(standard), plant));
    let point = report.checks.into_iter().find(|check| check.id == id).unwrap_or_else(|| panic!("no point {id}"));
    (point.outcome, point.found)
}

/// Each plant warns of what it should, in these words.
fn warned(id: &str, plants: Vec<Plant>) {
    for (words, plant) in plants {
        let (outcome, found) = outcome(PressStandard::X1a2003, id, plant);
        assert!(outcome == Outcome::Warning && found.contains(words), "{id}: {words:?} in {outcome:?} {found:?}");
    }
}
/// None of the plants is a fault or a warning.
fn fine(standard: PressStandard, id: &str, plants: Vec<fn(&mut Document)>) {
    for (nth, plant) in plants.into_iter().enumerate() {
        let (outcome, found) = outcome(standard, id, plant);
        assert!(matches!(outcome, Outcome::Pass | Outcome::NotApplicable), "{id}, {nth}: {outcome:?} {found}");
    }
}

fn lzw_behind_a_reference(file: &mut Document) {
    let filter = own(file, Object::Array(vec![name("LZWDecode")]));
    picture(file, vec![("Filter", filter)]);
}
fn same_name(file: &mut Document) {
    let base = |object: &Object| object.as_dict().ok()?.get(b"BaseFont").ok().cloned();
    let called = file.objects.values().rev().find_map(base).expect("a font");
    let font = own(file, dict([("Type", name("Font")), ("Subtype", name("Type1")), ("BaseFont", called)]));
    resource(file, "Font", "T99", font);
    let id = first_page(file).get(b"Contents").and_then(Object::as_reference).expect("content");
    let stream = file.get_object(id).and_then(Object::as_stream).expect("a stream");
    let mut operators = stream.get_plain_content().expect("it can be unpacked");
    operators.extend(b"\nBT /T99 9 Tf (x) Tj ET");
    content(file, &operators);
}
fn other_page(file: &mut Document) {
    form(file, vec![("Ref", dict([("F", Object::string_literal("a.pdf")), ("Page", 0.into())]))], b"", b"/Odd Do");
}
fn embedded(file: &mut Document) {
    file.add_object(dict([("Type", name("Filespec")), ("EF", dict([]))]));
}

#[test]
fn faults_that_others_make_are_found_by_their_number() {
    find(
        PressStandard::X1a2003,
        vec![
            ("X1a-01", |file| first_page(file).set("UserUnit", 2)),
            ("X1a-02", |file| {
                info(file).set("GTS_PDFXVersion", Object::string_literal("PDF/X-1:2001"));
                info(file).set("GTS_PDFXConformance", Object::string_literal("PDF/X-1a:2001"));
            }),
            ("X1a-07", |file| {
                let trim = first_page(file).remove(b"TrimBox").expect("a trim box");
                let parent = first_page(file).get(b"Parent").and_then(Object::as_reference).expect("a parent");
                file.get_dictionary_mut(parent).expect("a node").set("TrimBox", trim);
            }),
            ("X1a-11", |file| profile(file, b"RGB ")),
            ("X1a-12", |file| content(file, b"q BI /W 1 /H 1 /BPC 8 /CS [/I /RGB 1 <ffffff000000>] ID x EI Q")),
            ("X1a-13", same_name),
            ("X1a-14", |file| {
                let mode = own(file, name("Multiply"));
                resource(file, "ExtGState", "Odd", dict([("BM", mode)]));
                content(file, b"/Odd gs");
            }),
            ("X1a-14", |file| {
                let modes = own(file, Object::Array(vec![name("Screen")]));
                resource(file, "ExtGState", "Odd", dict([("BM", modes)]));
                content(file, b"/Odd gs");
            }),
            ("X1a-15", lzw_behind_a_reference),
            ("X1a-15", |file| content(file, b"q BI /W 1 /H 1 /BPC 8 /CS /G /F [/AHx /LZW] ID x EI Q")),
            ("X1a-19", embedded),
            ("X1a-19", other_page),
            ("X1a-20", |file| content(file, b"/Odd Do")),
            ("X1a-21", |file| {
                let preferences = own(file, dict([("PrintClip", name("CropBox"))]));
                file.catalog_mut().expect("a catalog").set("ViewerPreferences", preferences);
            }),
        ],
    );
    find(
        PressStandard::X4,
        vec![
            ("X4-03", |file| metadata(file, ">The Lamp \u{2013} demo<", "> <")),
            ("X4-03", |file| info(file).set("Trapped", name("True"))),
            ("X4-06", |file| content(file, b".5 .5 0 0 k 0 0 50 50 re f")),
            ("X4-06", |file| separation(file, "DeviceCMYK")),
            ("X4-06", |file| profile(file, b"RGB ")),
            ("X4-06", |file| {
                stands_for(file, "DefaultRGB");
                content(file, b".5 .5 0 0 k 0 0 50 50 re f");
            }),
            ("X4-07a", same_name),
            ("X4-07d", other_page),
            ("X4-08d", |file| content(file, b"/Odd gs")),
        ],
    );
    find(
        PressStandard::A2b,
        vec![
            ("6.1.7", lzw_behind_a_reference),
            ("6.1.7", |file| content(file, b"q BI /W 1 /H 1 /BPC 8 /CS /G /F /LZW ID x EI Q")),
            ("6.2.2", |file| content(file, b"/Odd sh")),
            ("6.2.4.3", |file| {
                drop(file.catalog_mut().expect("a catalog").remove(b"OutputIntents"));
                black_by_nothing(file, b"0 0 9 9 re f");
            }),
            ("6.2.9", other_page),
            ("6.2.11", same_name),
        ],
    );
}

/// Every page draws this and sets no colour.
fn black_by_nothing(file: &mut Document, operators: &[u8]) {
    let pages: Vec<_> = file.page_iter().collect();
    for page in pages {
        let content = own(file, Stream::new(Dictionary::new(), operators.to_vec()));
        file.get_dictionary_mut(page).expect("a page").set("Contents", content);
    }
}

/// ISO 32000-1, 8.4.1: a page begins in black by device, and so does a form that inherits it.
#[test]
fn black_that_nobody_chose_is_grey() {
    let bytes = press(PressStandard::X1a2003);
    let colours = |operators: &'static [u8], inside: Option<&'static [u8]>| {
        let changed = with(&bytes, |file| {
            if let Some(inside) = inside {
                form(file, Vec::new(), inside, b"");
            }
            black_by_nothing(file, operators);
        });
        preflight(&changed).facts.into_iter().find(|(name, _)| name == "colour").expect("the fact").1
    };
    assert_eq!(colours(b"0 0 9 9 re n", None), "none");
    assert_eq!(colours(b"BT 3 Tr (x) Tj ET", None), "none", "hidden text is no ink");
    for black in [&b"0 0 9 9 re f"[..], b"0 0 m 9 9 l S", b"BT (x) Tj ET", b"0 0 0 1 K 0 0 9 9 re B"] {
        assert!(colours(black, None).contains("DeviceGray"), "{}", String::from_utf8_lossy(black));
    }
    let filled = Some(&b"0 0 9 9 re f"[..]);
    assert_eq!(colours(b"/Odd Do", filled), "DeviceGray");
    assert_eq!(colours(b"0 0 0 1 k /Odd Do", filled), "DeviceCMYK");
    assert_eq!(colours(b"q 0 0 0 1 k /Odd Do Q /Odd Do", filled), "DeviceCMYK, DeviceGray");
}

/// ISO 32000-1, 7.3.10: a sound file stays one when its entries are objects of their own.
#[test]
fn entries_behind_references_are_read() {
    let settled = |file: &mut Document| {
        for key in ["Title", "CreationDate", "ModDate", "GTS_PDFXVersion", "Trapped"] {
            if let Some(value) = info(file).get(key.as_bytes()).ok().cloned() {
                let value = own(file, value);
                info(file).set(key, value);
            }
        }
        for key in ["S", "OutputConditionIdentifier", "RegistryName", "Info"] {
            if let Some(value) = intent(file).get(key.as_bytes()).ok().cloned() {
                let value = own(file, value);
                intent(file).set(key, value);
            }
        }
        let id = file.trailer.get(b"ID").expect("an id").clone();
        let id = own(file, id);
        file.trailer.set("ID", id);
    };
    for standard in [PressStandard::X1a2003, PressStandard::X4, PressStandard::A2b] {
        let report = preflight(&with(&press(standard), settled));
        assert!(report.passes() && report.claims.len() == 1, "{standard:?}: {:?}", failed(&report));
    }
}

/// What is lawful and looks like a fault.
#[test]
fn what_is_lawful_is_no_fault() {
    let x1a = PressStandard::X1a2003;
    fine(x1a, "X1a-01", vec![|file| info(file).set("Subject", Object::string_literal("of /XRef and /ObjStm streams"))]);
    fine(
        x1a,
        "X1a-13",
        vec![|file| {
            let font =
                own(file, dict([("Type", name("Font")), ("Subtype", name("Type1")), ("BaseFont", name("Unused"))]));
            resource(file, "Font", "T99", font);
        }],
    );
    fine(
        x1a,
        "X1a-14",
        vec![|file| picture(file, vec![("SMask", name("None"))]), |file| {
            let state = dict([("BM", Object::Array(vec![name("Normal")])), ("SMask", name("None")), ("ca", 1.into())]);
            resource(file, "ExtGState", "Odd", state);
            content(file, b"/Odd gs");
        }],
    );
    // An entry that leads to nothing is not there (ISO 32000-1, 7.3.10).
    fine(
        x1a,
        "X1a-16",
        vec![|file| file.catalog_mut().expect("a catalog").set("OpenAction", Object::Reference((9999, 0)))],
    );
    fine(PressStandard::X4, "X4-04c", vec![|file| profile(file, b"RGB "), |file| profile(file, b"CMYK")]);
    fine(
        PressStandard::X4,
        "X4-06",
        vec![
            |file| {
                profile(file, b"CMYK");
                content(file, b".5 .5 0 0 k 0 0 50 50 re f");
            },
            |file| {
                profile(file, b"RGB ");
                black_by_nothing(file, b"1 0 0 rg 0 0 50 50 re f");
            },
            |file| {
                stands_for(file, "DefaultCMYK");
                separation(file, "DeviceCMYK");
            },
            |file| {
                stands_for(file, "DefaultRGB");
                content(file, b"1 0 0 rg 0 0 50 50 re f");
            },
        ],
    );
    let other_prefix: fn(&mut Document) = |file| {
        metadata(file, "xmlns:pdfxid=", "xmlns:px=");
        metadata(file, "pdfxid:", "px:");
    };
    fine(PressStandard::X4, "X4-02", vec![other_prefix]);
    assert!(preflight(&with(&press(PressStandard::X4), other_prefix)).passes());
}

/// The older part of the standard is another claim, and no fault to a shop.
#[test]
fn the_part_of_2001_is_told_by_its_name() {
    let older = |version: &'static str| {
        outcome(PressStandard::X1a2003, "X1a-02", |file| {
            file.version = version.into();
            info(file).set("GTS_PDFXVersion", Object::string_literal("PDF/X-1:2001"));
            info(file).set("GTS_PDFXConformance", Object::string_literal("PDF/X-1a:2001"));
        })
    };
    assert!(older("1.3").0 == Outcome::Warning && older("1.3").1.contains("PDF/X-1a:2001"), "{:?}", older("1.3"));
    assert_eq!(older("1.4").0, Outcome::Fail);
}

#[test]
fn constructs_of_later_versions_are_found_where_they_are() {
    let mut file = Document::load_mem(&press(PressStandard::X1a2003)).expect("our own file opens");
    let mut bytes = Vec::new();
    file.save_modern(&mut bytes).expect("it can be written with streams of objects");
    let report = preflight(&bytes);
    let point = report.checks.iter().find(|check| check.id == "X1a-01").expect("the point");
    assert_eq!(point.outcome, Outcome::Fail);
}

/// ISO 32000-1, 7.8.3: what content calls has to be in its resources.
#[test]
fn a_name_that_leads_to_nothing_is_no_taste() {
    for (operators, what) in [
        (&b"/S0 Do"[..], "the picture or form `S0`"),
        (b"/S0 gs", "the graphics state `S0`"),
        (b"/S0 sh", "the shading `S0`"),
        (b"/S0 cs", "the colour space `S0`"),
        (b"/Pattern cs /S0 scn", "the pattern `S0`"),
        (b"BT /S0 9 Tf (x) Tj ET", "the font `S0`"),
    ] {
        let report = preflight(&with(&press(PressStandard::X1a2003), |file| content(file, operators)));
        assert!(!report.passes());
        for id in ["P-08", "X1a-20"] {
            let point = report.checks.iter().find(|check| check.id == id).expect("the point");
            assert!(point.outcome == Outcome::Fail && point.found.contains("page 1 calls"), "{id}: {}", point.found);
            assert!(point.found.contains(what), "{}", point.found);
        }
    }
    let lost = |file: &mut Document| first_page(file).set("Contents", Object::Reference((9999, 0)));
    let (lost, found) = outcome(PressStandard::X1a2003, "P-08", lost);
    assert_eq!((lost, found.as_str()), (Outcome::Fail, "page 1 has content that is not in the file"));
    fine(PressStandard::X1a2003, "P-08", vec![|_| (), |file| content(file, b"/DeviceGray cs 0 sc /Pattern CS")]);
}

/// The lines of 1 point, at a twentieth of their size or ten times it, and rules that are filled.
#[test]
fn lines_are_measured_as_large_as_they_are_drawn() {
    warned(
        "P-04",
        vec![
            ("0.050 point", |file| form(file, Vec::new(), b"1 w 0 0 m 9 0 l S", b"q .05 0 0 .05 100 100 cm /Odd Do Q")),
            ("0.100 point", |file| {
                form(file, vec![("Matrix", numbers([0.1, 0.0, 0.0, 0.1, 0.0, 0.0]))], b"0 0 m 9 0 l S", b"/Odd Do");
            }),
            // Walked once, measured at each size; and a width that is inherited is that of each call.
            ("0.050 point", |file| {
                form(file, Vec::new(), b"1 w 0 0 m 9 0 l S", b"/Odd Do q .05 0 0 .05 0 0 cm /Odd Do Q");
            }),
            ("0.200 point", |file| form(file, Vec::new(), b"0 0 m 9 0 l S", b"1 w /Odd Do q .2 w /Odd Do Q")),
            ("0.050 point", |file| content(file, b"200 200 300 .05 re f")),
            ("0.200 point", |file| {
                resource(file, "ExtGState", "Odd", dict([("LW", Object::Real(0.2))]));
                content(file, b"/Odd gs 0 0 m 9 0 l S");
            }),
        ],
    );
    fine(
        PressStandard::X1a2003,
        "P-04",
        vec![
            |file| form(file, Vec::new(), b".1 w 0 0 m 9 0 l S", b"q 10 0 0 10 0 0 cm /Odd Do Q"),
            |file| content(file, b"1 g 200 200 300 .05 re f"),
            |file| content(file, b"200 200 300 .05 re W n"),
        ],
    );
}

/// Twenty dots on 141 mm are 4 an inch.
#[test]
fn coarse_pictures_are_warned_of() {
    fn dots(file: &mut Document, bits: i64, place: &[u8]) {
        let entries = vec![("Width", 20.into()), ("Height", 20.into()), ("BitsPerComponent", bits.into())];
        picture(file, entries);
        content(file, place);
    }
    warned(
        "P-05",
        vec![
            ("on page 1, has 4", |file| dots(file, 8, b"q 400 0 0 400 100 100 cm /Odd Do Q")),
            ("on page 1, has 100", |file| dots(file, 8, b"q 7.2 0 0 14.4 100 100 cm /Odd Do Q")),
            ("alone, on page 1, has 400", |file| dots(file, 1, b"q 3.6 0 0 3.6 100 100 cm /Odd Do Q")),
            ("has 72", |file| black_by_nothing(file, b"q 2 0 0 2 100 100 cm BI /W 2 /H 2 /BPC 8 /CS /G ID abcd EI Q")),
        ],
    );
    let (outcome, found) = outcome(PressStandard::X1a2003, "P-05", |file| {
        dots(file, 8, b"");
        black_by_nothing(file, b"q 7.2 0 0 7.2 100 100 cm /Odd Do Q");
    });
    assert_eq!((outcome, found.as_str()), (Outcome::Pass, "the coarsest, on page 1, has 200"));
}

/// A page of 210 mm x 297 mm, its trim 10 mm inside its medium: 28.35 points.
#[test]
fn ink_at_the_trim_is_warned_of() {
    let bytes = press(PressStandard::X1a2003);
    let file = Document::load_mem(&bytes).expect("our own file opens");
    let page = file.get_dictionary(file.page_iter().next().expect("a page")).expect("a page");
    let side = |at: usize| {
        let trim = page.get(b"TrimBox").and_then(Object::as_array).expect("a trim box");
        f64::from(trim[at].as_float().expect("a number"))
    };
    let (left, foot, right) = (side(0), side(1), side(2));
    for (operators, words) in [
        (format!("{left} 300 100 20 re f"), "ends at the trim, at the left"),
        (format!("300 {} 100 20 re f", foot + 2.835), "1.0 mm inside the trim at the foot"),
        (format!("{} 300 {} 20 re f", right - 100.0, 100.0 + 2.835), "1.0 mm beyond the trim at the right"),
        (format!("q {left} 300 100 20 re W n 0 0 2000 2000 re f Q"), "ends at the trim, at the left"),
        (format!("1 w {} 300 m 300 300 l S", left + 1.0), "0.2 mm inside the trim at the left"),
        (format!("q 100 0 0 20 {left} 300 cm BI /W 1 /H 1 /BPC 8 /CS /G ID a EI Q"), "ends at the trim, at the left"),
    ] {
        let (outcome, found) = outcome(PressStandard::X1a2003, "P-06", |file| content(file, operators.as_bytes()));
        assert!(outcome == Outcome::Warning && found.contains(words), "{operators}: {outcome:?} {found}");
    }
    for operators in [
        format!("{} 300 100 20 re f", left - 8.6),
        format!("{} 300 100 20 re f", left + 8.6),
        format!("1 g {left} 300 100 20 re f"),
        format!("{} 300 20 0.5 re f", left - 25.0),
        "q 100 300 100 20 re W n 0 0 2000 2000 re f Q".to_owned(),
    ] {
        let (outcome, found) = outcome(PressStandard::X1a2003, "P-06", |file| content(file, operators.as_bytes()));
        assert_eq!(outcome, Outcome::Pass, "{operators}: {found}");
    }
}

#[test]
fn turned_pages_layers_and_strange_conditions_are_warned_of() {
    warned(
        "P-01",
        vec![
            ("page 1 by 90", |file| first_page(file).set("Rotate", 90)),
            ("page 2 is turned by 0 degrees", |file| first_page(file).set("Rotate", -180)),
            ("page 2 is 210.00 mm x 297.00 mm", |file| first_page(file).set("UserUnit", 2)),
        ],
    );
    let layer = |file: &mut Document, state: (&str, fn(Object) -> Object)| {
        let layer = own(file, dict([("Type", name("OCG")), ("Name", Object::string_literal("hidden"))]));
        let usual = dict([(state.0, state.1(layer.clone()))]);
        let layers = dict([("OCGs", Object::Array(vec![layer])), ("D", usual)]);
        file.catalog_mut().expect("a catalog").set("OCProperties", layers);
    };
    for state in [("OFF", (|layer| Object::Array(vec![layer])) as fn(Object) -> Object), ("BaseState", |_| name("OFF"))]
    {
        let (outcome, found) = outcome(PressStandard::X4, "P-07", |file| layer(file, state));
        assert!(outcome == Outcome::Warning && found.contains("layer `hidden` is switched off"), "{found}");
    }
    let (found, _) = outcome(PressStandard::X4, "P-07", |file| layer(file, ("ON", |layer| Object::Array(vec![layer]))));
    assert_eq!(found, Outcome::Pass);
    warned(
        "P-09",
        vec![("`My press`", |file| {
            intent(file).set("OutputConditionIdentifier", Object::string_literal("My press"));
        })],
    );
}

/// What was not looked at is no pass: neither of the standard nor of the file.
#[test]
fn what_cannot_be_told_does_not_pass() {
    let whole = press(PressStandard::X1a2003);
    let bytes = with(&whole, |file| {
        let id = first_page(file).get(b"Contents").and_then(Object::as_reference).expect("content");
        let mut stream = Stream::new(Dictionary::new(), b"0 g\n".repeat(5 << 20));
        stream.compress().expect("it can be packed");
        file.set_object(id, stream);
    });
    let report = preflight(&bytes);
    assert!(failed(&report).is_empty(), "{:?}", failed(&report));
    assert!(report.untold().is_some_and(|check| check.id == "X1a-12") && !report.passes());
    assert!(preflight(&whole).untold().is_none());
    // Nor does what is not packed, on the last page of all.
    let last = with(&whole, |file| {
        let id = file.page_iter().last().expect("a page");
        let content = own(file, Stream::new(Dictionary::new(), b"0 g\n".repeat(5 << 20)));
        file.get_dictionary_mut(id).expect("a page").set("Contents", content);
    });
    let report = preflight(&last);
    assert!(report.untold().is_some_and(|check| check.found.contains("page 2: its content")), "{:?}", report.untold());
}
