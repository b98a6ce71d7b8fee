//! Our own files pass; planted faults are found; damaged, encrypted and foreign files give a report.

mod edges;
mod foreign;

use super::*;
use crate::pdf::tests::sample;
use crate::pdf::{PdfOptions, PressStandard};
use lopdf::{Dictionary, Document, Object};

fn press(standard: PressStandard) -> Vec<u8> {
    sample(&PdfOptions { spot: Some("Lamp Red".into()), ..PdfOptions::press(standard, "FOGRA52") })
}

fn failed(report: &Report) -> Vec<String> {
    let asked = report.checks.iter().filter(|check| report.asks(check.standard));
    asked.filter(|check| check.outcome == Outcome::Fail).map(ToString::to_string).collect()
}

#[test]
fn our_own_press_files_pass_every_point_of_what_they_claim() {
    for (standard, claim) in [
        (PressStandard::X1a2003, Standard::X1a),
        (PressStandard::X4, Standard::X4),
        (PressStandard::A2b, Standard::A2b),
    ] {
        let report = preflight(&press(standard));
        assert_eq!(report.claims, [claim]);
        assert_eq!(failed(&report), Vec::<String>::new());
        assert!(report.passes() && report.of(claim).count() > 10);
        assert!(report.checks.iter().all(|check| check.outcome != Outcome::CannotTell));
    }
}

/// A reading file is no press file, and the report says why.
#[test]
fn a_reading_file_is_told_what_it_lacks() {
    let report = preflight(&sample(&PdfOptions::reading()));
    assert!(report.claims.is_empty() && !report.passes());
    let faults = failed(&report).join("\n");
    for id in ["X1a-01", "X1a-02", "X1a-04", "X1a-09", "X1a-16", "X1a-17"] {
        assert!(faults.contains(id), "{id} in {faults}");
    }
}

/// Changes a file and writes it again.
fn with(bytes: &[u8], change: impl FnOnce(&mut Document)) -> Vec<u8> {
    let mut file = Document::load_mem(bytes).expect("our own file opens");
    change(&mut file);
    let mut out = Vec::new();
    file.save_to(&mut out).expect("it can be written again");
    out
}

fn first_page(file: &mut Document) -> &mut Dictionary {
    let id = file.page_iter().next().expect("a page");
    file.get_dictionary_mut(id).expect("a dictionary")
}

fn info(file: &mut Document) -> &mut Dictionary {
    let id = file.trailer.get(b"Info").and_then(Object::as_reference).expect("an Info");
    file.get_dictionary_mut(id).expect("a dictionary")
}

fn content(file: &mut Document, operators: &[u8]) {
    let id = first_page(file).get(b"Contents").and_then(Object::as_reference).expect("content");
    file.set_object(id, lopdf::Stream::new(Dictionary::new(), operators.to_vec()));
}

fn add_annotation(file: &mut Document, rect: [i64; 4]) {
    let rect: Vec<Object> = rect.iter().map(|value| Object::Integer(*value)).collect();
    let annotation = Dictionary::from_iter([
        ("Type", Object::Name("Annot".into())),
        ("Subtype", Object::Name("Link".into())),
        ("Rect", Object::Array(rect)),
    ]);
    first_page(file).set("Annots", vec![Object::Dictionary(annotation)]);
}

type Plant = (&'static str, fn(&mut Document));

/// One fault for each numbered statement that a file can break.
#[test]
fn every_planted_fault_is_found_by_its_number() {
    let plants: Vec<Plant> = vec![
        ("X1a-01", |file| file.version = "1.5".into()),
        // ISO 32000-1, 7.5.2: what the catalog says holds where it is later than the header.
        ("X1a-01", |file| file.catalog_mut().expect("a catalog").set("Version", name("1.7"))),
        ("X1a-01", |file| picture(file, vec![("BitsPerComponent", 16.into())])),
        ("X1a-01", |file| content(file, b"BI /W 1 /H 1 /CS /G /BPC 16 ID \x80\x80 EI")),
        ("X1a-02", |file| info(file).set("GTS_PDFXVersion", Object::string_literal("PDF/X-1:2001"))),
        ("X1a-02", |file| info(file).set("GTS_PDFXConformance", Object::string_literal("PDF/X-1a:2001"))),
        ("X1a-03", |file| drop(info(file).remove(b"Title"))),
        ("X1a-03", |file| info(file).set("ModDate", Object::string_literal(""))),
        ("X1a-03", |file| info(file).set("ModDate", Object::string_literal("yesterday"))),
        ("X1a-04", |file| info(file).set("Trapped", Object::Name("Unknown".into()))),
        ("X1a-04", |file| info(file).set("Trapped", Object::Boolean(false))),
        ("X1a-05", |file| drop(file.trailer.remove(b"ID"))),
        ("X1a-07", |file| first_page(file).set("TrimBox", vec![Object::Integer(100); 4])),
        ("X1a-10", |file| drop(intent(file).remove(b"RegistryName"))),
        ("X1a-10", |file| drop(intent(file).remove(b"OutputConditionIdentifier"))),
        ("X1a-11", |file| {
            let odd = file.add_object(lopdf::Stream::new(Dictionary::new(), vec![0; 200]));
            intent(file).set("DestOutputProfile", Object::Reference(odd));
        }),
        ("X1a-12", |file| {
            let resources = first_page(file).get(b"Resources").and_then(Object::as_reference).expect("resources");
            let white = Dictionary::from_iter([("WhitePoint", vec![0.96.into(), 1.into(), 0.82.into()].into())]);
            let space = Object::Array(vec![name("CalGray"), white.into()]);
            let spaces = Dictionary::from_iter([("DefaultGray", space)]);
            file.get_dictionary_mut(resources).expect("resources").set("ColorSpace", spaces);
        }),
        ("X1a-07", |file| drop(first_page(file).remove(b"TrimBox"))),
        ("X1a-07", |file| {
            let trim = first_page(file).get(b"TrimBox").expect("a trim box").clone();
            first_page(file).set("ArtBox", trim);
        }),
        ("X1a-08", |file| first_page(file).set("BleedBox", vec![0.into(), 0.into(), 100.into(), 100.into()])),
        ("X1a-09", |file| drop(file.catalog_mut().expect("a catalog").remove(b"OutputIntents"))),
        ("X1a-12", |file| content(file, b"1 0 0 rg 0 0 10 10 re f")),
        ("X1a-13", no_programs),
        ("X1a-13", no_font),
        ("X1a-14", |file| {
            let group = Dictionary::from_iter([("S", Object::Name("Transparency".into()))]);
            first_page(file).set("Group", group);
        }),
        ("X1a-15", |file| {
            let id = first_page(file).get(b"Contents").and_then(Object::as_reference).expect("content");
            let filter = Dictionary::from_iter([("Filter", Object::Name("LZWDecode".into()))]);
            file.set_object(id, lopdf::Stream::new(filter, vec![0x80, 0x0B, 0x60, 0x50]));
        }),
        ("X1a-16", |file| {
            let action = Dictionary::from_iter([("S", Object::Name("JavaScript".into()))]);
            file.catalog_mut().expect("a catalog").set("OpenAction", action);
        }),
        ("X1a-16", |file| {
            let action = Dictionary::from_iter([("S", name("Thread"))]);
            file.add_object(Dictionary::from_iter([("A", action.into())]));
        }),
        ("X1a-17", |file| add_annotation(file, [100, 100, 200, 200])),
        ("X1a-18", |file| {
            for object in file.objects.values_mut() {
                let Ok(dictionary) = object.as_dict_mut() else { continue };
                if let Ok(states) = dictionary.get_mut(b"ExtGState").and_then(Object::as_dict_mut) {
                    let state = Dictionary::from_iter([("TR", Object::Name("Identity".into()))]);
                    states.set("Over", state);
                }
            }
        }),
        ("X1a-18", |file| state(file, "HT", halftone(&[("Default", 6)]).into())),
        ("X1a-18", |file| {
            let mut named = halftone(&[]);
            named.set("HalftoneName", Object::string_literal("fine"));
            let mut whole = halftone(&[]);
            whole.set("HalftoneType", 5);
            whole.set("Default", named);
            state(file, "HT", whole.into());
        }),
        ("X1a-18", |file| {
            let mut halftone = halftone(&[]);
            halftone.set("TransferFunction", Dictionary::from_iter([("FunctionType", 2.into())]));
            state(file, "HT", halftone.into());
        }),
        ("X1a-19", |file| first_page(file).set("SeparationInfo", Dictionary::new())),
        ("X1a-19", printed_instead),
        ("X1a-19", |file| picture(file, vec![("Subtype", name("Form")), ("PS", Dictionary::new().into())])),
        ("X1a-20", |file| first_page(file).set("Contents", Dictionary::new())),
        ("X1a-20", |file| first_page(file).set("Contents", vec![name("Lost"), 7.into()])),
        ("X1a-20", |file| content(file, b"BX 1 2 zz EX")),
        ("X1a-21", |file| {
            let preferences = Dictionary::from_iter([("PrintArea", Object::Name("CropBox".into()))]);
            file.catalog_mut().expect("a catalog").set("ViewerPreferences", preferences);
        }),
    ];
    find(PressStandard::X1a2003, plants);
}

/// Every planted fault is found by its number in a file of a standard.
fn find(standard: PressStandard, plants: Vec<Plant>) {
    let bytes = press(standard);
    assert!(preflight(&with(&bytes, |_| ())).passes(), "writing again alone breaks nothing");
    for (id, plant) in plants {
        // Without its claim a file is held against all standards, and only its own matters here.
        let report = preflight(&with(&bytes, plant));
        let faults: Vec<_> = report.checks.iter().filter(|check| check.outcome == Outcome::Fail).collect();
        assert!(faults.iter().any(|fault| fault.id == id), "{id} is not in {faults:?}");
    }
}

/// No font has its program.
fn no_programs(file: &mut Document) {
    let dictionaries = file.objects.values_mut().filter_map(|object| object.as_dict_mut().ok());
    dictionaries.for_each(|dictionary| drop(dictionary.remove(b"FontFile3")));
}

/// Every program of a font becomes words.
fn no_font(file: &mut Document) {
    foreign::programs(file, b"this is no font at all");
}

/// A whole font of tens of thousands of signs has as many bytes.
#[test]
fn a_large_font_is_looked_at() {
    let large = |file: &mut Document| foreign::programs(file, &[&[1, 0][..], &[0; 9 << 20]].concat());
    let report = preflight(&with(&press(PressStandard::X1a2003), large));
    assert!(report.checks.iter().any(|check| check.id == "X1a-13" && check.outcome == Outcome::Pass));
}

/// A picture with another that is to be printed in its place.
fn printed_instead(file: &mut Document) {
    let other = Dictionary::from_iter([("DefaultForPrinting", true.into())]);
    picture(file, vec![("Alternates", vec![Object::Dictionary(other)].into())]);
}

/// A halftone of type 1, or one of type 5 with parts of other types.
fn halftone(parts: &[(&str, i64)]) -> Dictionary {
    let mut halftone = Dictionary::from_iter([("HalftoneType", if parts.is_empty() { 1 } else { 5 }.into())]);
    for (ink, kind) in parts {
        halftone.set(*ink, Dictionary::from_iter([("HalftoneType", (*kind).into())]));
    }
    halftone
}

/// Sets an entry of a graphics state that the first page uses.
fn state(file: &mut Document, key: &str, value: Object) {
    let set = Dictionary::from_iter([(key, value)]);
    let resources = first_page(file).get(b"Resources").and_then(Object::as_reference).expect("resources");
    let states = Dictionary::from_iter([("Odd", Object::Dictionary(set))]);
    file.get_dictionary_mut(resources).expect("resources").set("ExtGState", states);
    content(file, b"/Odd gs 0 g 100 100 10 10 re f");
}

/// A soft mask whose group draws with operators of its own.
fn mask(file: &mut Document, operators: &[u8]) {
    let entries = [
        ("Type", name("XObject")),
        ("Subtype", name("Form")),
        ("BBox", vec![0.into(), 0.into(), 50.into(), 50.into()].into()),
        ("Group", Dictionary::from_iter([("S", name("Transparency")), ("CS", name("DeviceGray"))]).into()),
    ];
    let mut group = Dictionary::from_iter(entries);
    let face = [("Type", name("Font")), ("Subtype", name("Type1")), ("BaseFont", name("Helvetica"))];
    let fonts = Dictionary::from_iter([("Odd", Object::Dictionary(Dictionary::from_iter(face)))]);
    group.set("Resources", Dictionary::from_iter([("Font", fonts.into())]));
    let group = file.add_object(lopdf::Stream::new(group, operators.to_vec()));
    let mask = [("Type", name("Mask")), ("S", name("Luminosity")), ("G", Object::Reference(group))];
    state(file, "SMask", Dictionary::from_iter(mask).into());
}

fn intent(file: &mut Document) -> &mut Dictionary {
    let intents = file.catalog_mut().expect("a catalog").get_mut(b"OutputIntents").and_then(Object::as_array_mut);
    intents.expect("intents")[0].as_dict_mut().expect("an intent")
}

fn name(name: &str) -> Object {
    Object::Name(name.into())
}

/// A picture of one point on the first page, with entries of its own.
fn picture(file: &mut Document, entries: Vec<(&str, Object)>) {
    let mut dictionary = Dictionary::from_iter([
        ("Type", name("XObject")),
        ("Subtype", name("Image")),
        ("Width", 1.into()),
        ("Height", 1.into()),
        ("ColorSpace", name("DeviceGray")),
        ("BitsPerComponent", 8.into()),
    ]);
    for (key, value) in entries {
        dictionary.set(key, value);
    }
    let image = file.add_object(lopdf::Stream::new(dictionary, vec![0x80]));
    let resources = first_page(file).get(b"Resources").and_then(Object::as_reference).expect("resources");
    let images = Dictionary::from_iter([("Odd", Object::Reference(image))]);
    file.get_dictionary_mut(resources).expect("resources").set("XObject", images);
    content(file, b"q /Odd Do Q");
}

/// Changes the metadata of a file that has any.
fn metadata(file: &mut Document, from: &str, to: &str) {
    let id =
        file.catalog().and_then(|catalog| catalog.get(b"Metadata")).and_then(Object::as_reference).expect("metadata");
    let stream = file.get_object_mut(id).and_then(Object::as_stream_mut).expect("a stream");
    let text = String::from_utf8(stream.content.clone()).expect("text");
    assert!(text.contains(from), "{from} in {text}");
    stream.set_plain_content(text.replace(from, to).into_bytes());
}

/// What both standards for the press forbid alike, by the numbers of PDF/X-4.
#[test]
fn every_planted_fault_of_x4_is_found_by_its_number() {
    find(
        PressStandard::X4,
        vec![
            ("X4-01", |file| file.version = "1.7".into()),
            ("X4-01", |file| file.catalog_mut().expect("a catalog").set("Version", name("2.0"))),
            ("X4-02", |file| metadata(file, ">PDF/X-4<", ">PDF/X-9<")),
            ("X4-03", |file| metadata(file, "<pdf:Trapped>False</pdf:Trapped>", "")),
            ("X4-03", |file| metadata(file, "<xmpMM:VersionID>1</xmpMM:VersionID>", "")),
            ("X4-03", |file| metadata(file, "</rdf:RDF>", "</rdf:RDX>")),
            ("X4-03", |file| metadata(file, "<xmp:CreateDate>", "<xmp:CreateDate>about ")),
            ("X4-03", |file| metadata(file, "<xmpMM:RenditionClass>default<", "<xmpMM:RenditionClass>proof<")),
            ("X4-04a", |file| drop(file.catalog_mut().expect("a catalog").remove(b"OutputIntents"))),
            ("X4-04b", |file| drop(intent(file).remove(b"OutputConditionIdentifier"))),
            ("X4-04c", |file| {
                let odd = file.add_object(lopdf::Stream::new(Dictionary::new(), vec![0; 200]));
                intent(file).set("DestOutputProfile", Object::Reference(odd));
            }),
            ("X4-04d", |file| drop(intent(file).remove(b"DestOutputProfile"))),
            ("X4-06", |file| content(file, b"1 0 0 rg 0 0 10 10 re f")),
            ("X4-06", |file| {
                let group = Dictionary::from_iter([("S", name("Transparency")), ("CS", name("DeviceRGB"))]);
                first_page(file).set("Group", group);
            }),
            ("X4-06", |file| mask(file, b"1 0 0 rg 0 0 10 10 re f")),
            ("X4-07a", |file| mask(file, b"BT /Odd 12 Tf (mask) Tj ET")),
            ("X4-07a", no_font),
            ("X4-07a", no_programs),
            ("X4-07b", |file| {
                let action = Dictionary::from_iter([("S", name("JavaScript"))]);
                file.catalog_mut().expect("a catalog").set("OpenAction", action);
            }),
            ("X4-07c", |file| add_annotation(file, [100, 100, 200, 200])),
            ("X4-07d", printed_instead),
            ("X4-07d", |file| picture(file, vec![("Subtype", name("Form")), ("Subtype2", name("PS"))])),
            ("X4-07d", |file| picture(file, vec![("F", Object::string_literal("elsewhere.dat"))])),
            ("X4-07d", |file| first_page(file).set("SeparationInfo", Dictionary::new())),
            ("X4-08a", |file| drop(first_page(file).remove(b"TrimBox"))),
            ("X4-08a", |file| first_page(file).set("TrimBox", vec![Object::Integer(100); 4])),
            ("X4-08b", |file| first_page(file).set("BleedBox", vec![0.into(), 0.into(), 100.into(), 100.into()])),
            ("X4-08c", |file| drop(file.trailer.remove(b"ID"))),
            ("X4-08d", |file| content(file, b"BX 1 2 zz EX")),
        ],
    );
}

#[test]
fn every_planted_fault_of_a2b_is_found_by_its_number() {
    let by_use = |file: &mut Document| {
        let usual = Dictionary::from_iter([("AS", Object::Array(Vec::new()))]);
        let layers = Dictionary::from_iter([("OCGs", Object::Array(Vec::new())), ("D", usual.into())]);
        file.catalog_mut().expect("a catalog").set("OCProperties", layers);
    };
    find(
        PressStandard::A2b,
        vec![
            ("6.1.3", |file| drop(file.trailer.remove(b"ID"))),
            ("6.1.7", |file| picture(file, vec![("F", Object::string_literal("elsewhere.dat"))])),
            ("6.1.2", |file| file.catalog_mut().expect("a catalog").set("Version", name("2.0"))),
            ("6.1.13", |file| content(file, &b"q ".repeat(29))),
            ("6.1.13", |file| picture(file, vec![("Odd", Object::Integer(1 << 31))])),
            ("6.1.13", |file| picture(file, vec![("Odd", Object::string_literal(vec![b'a'; 32_768]))])),
            ("6.1.13", |file| picture(file, vec![("Odd", Object::Name(vec![b'a'; 128]))])),
            ("6.2.2", |file| content(file, b"BX 1 2 zz EX")),
            ("6.2.3", |file| drop(intent(file).remove(b"DestOutputProfile"))),
            ("6.2.4.3", |file| content(file, b"1 0 0 rg 0 0 10 10 re f")),
            ("6.2.4.3", |file| {
                let group = Dictionary::from_iter([("S", name("Transparency")), ("CS", name("DeviceRGB"))]);
                first_page(file).set("Group", group);
            }),
            ("6.2.8", |file| picture(file, vec![("Interpolate", true.into())])),
            ("6.2.8", |file| content(file, b"BI /W 1 /H 1 /CS /G /BPC 8 /I true ID \x80 EI")),
            ("6.2.8", |file| picture(file, vec![("Alternates", Object::Array(Vec::new()))])),
            ("6.2.11", no_font),
            ("6.2.9", |file| picture(file, vec![("Subtype", name("Form")), ("Subtype2", name("PS"))])),
            ("6.3", |file| first_page(file).set("AA", Dictionary::new())),
            ("6.3", |file| {
                let action = Dictionary::from_iter([("S", name("Launch"))]);
                file.catalog_mut().expect("a catalog").set("OpenAction", action);
            }),
            ("6.3.2", |file| add_annotation(file, [100, 100, 200, 200])),
            ("6.6.2.1", |file| drop(file.catalog_mut().expect("a catalog").remove(b"Metadata"))),
            ("6.6.2.1", |file| metadata(file, "</rdf:RDF>", "</rdf:RDX>")),
            ("6.6.4", |file| metadata(file, "<pdfaid:part>2<", "<pdfaid:part>7<")),
            ("6.8", |file| {
                let embedded = Dictionary::from_iter([("Type", name("Filespec")), ("EF", Dictionary::new().into())]);
                file.add_object(embedded);
            }),
            ("6.9", by_use),
        ],
    );
}

/// Inks that no plate of their own is made for: bind refuses them, and a file of another maker is warned of.
#[test]
fn separations_that_are_no_spot_ink_are_warned_of() {
    for ink in ["None", "All", "Cyan", "Magenta", "Yellow", "Black"] {
        let options = PdfOptions { spot: Some(ink.into()), ..PdfOptions::press(PressStandard::X1a2003, "FOGRA52") };
        let report = preflight(&sample(&options));
        let point = report.checks.iter().find(|check| check.id == "P-03").expect("the point is there");
        assert_eq!(point.outcome, Outcome::Warning, "{ink}");
        assert!(point.found.contains(ink), "{}", point.found);
    }
    let point = preflight(&press(PressStandard::X1a2003));
    assert!(point.checks.iter().all(|check| check.id != "P-03" || check.outcome == Outcome::Pass));
}

#[test]
fn an_annotation_outside_the_bleed_is_allowed() {
    let bytes = with(&press(PressStandard::X1a2003), |file| add_annotation(file, [1, 1, 15, 15]));
    let report = preflight(&bytes);
    let point = report.checks.iter().find(|check| check.id == "X1a-17").expect("the point is there");
    assert_eq!(point.outcome, Outcome::Pass);
}

/// What looks much like a fault and is none: another picture that is not the one to print, a transfer curve for a spot ink, an
/// earlier version in the catalog.
#[test]
fn what_the_standards_allow_is_no_fault() {
    let plants: [Plant; 3] = [
        ("X1a-19", |file| {
            let other = Dictionary::from_iter([("DefaultForPrinting", false.into())]);
            picture(file, vec![("Alternates", vec![Object::Dictionary(other)].into())]);
        }),
        ("X1a-18", |file| {
            let mut parts = halftone(&[("Default", 1), ("Lamp Red", 1)]);
            let part = parts.get_mut(b"Lamp Red").and_then(Object::as_dict_mut).expect("a part");
            part.set("TransferFunction", Dictionary::from_iter([("FunctionType", 2.into())]));
            state(file, "HT", parts.into());
        }),
        ("X1a-01", |file| file.catalog_mut().expect("a catalog").set("Version", name("1.3"))),
    ];
    for (id, plant) in plants {
        let report = preflight(&with(&press(PressStandard::X1a2003), plant));
        let point = report.of(Standard::X1a).find(|check| check.id == id).expect("the point is there");
        assert_eq!(point.outcome, Outcome::Pass, "{point}");
    }
}

#[test]
fn what_is_no_pdf_gives_a_reason() {
    for bytes in [&b""[..], b"hello", b"%PDF-1.4", b"%PDF-1.4\n%%EOF", b"PK\x03\x04 a zip", &[0xFF; 2000]] {
        let report = preflight(bytes);
        assert!(report.unreadable.is_some() && !report.passes() && report.checks.is_empty());
    }
}

/// Cut anywhere, a file is told of in words of ours: none of the library's.
#[test]
fn damage_is_told_in_plain_words() {
    let whole = press(PressStandard::X1a2003);
    for tenth in 1..10 {
        let Some(why) = preflight(&whole[..whole.len() * tenth / 10]).unreadable else { continue };
        assert!(why.starts_with("it is damaged: ") && why.ends_with("from where it came"), "{why}");
        assert!(!why.contains("xref") && !why.contains("cross reference") && !why.contains("parse"), "{why}");
    }
}

#[test]
fn an_encrypted_file_is_refused_in_words() {
    let bytes = with(&press(PressStandard::X1a2003), |file| {
        let entry = Dictionary::from_iter([("Filter", Object::Name("Standard".into())), ("V", 1.into())]);
        file.trailer.set("Encrypt", entry);
    });
    // X1a-06 has no verdict of its own: an encrypted file is not looked at any further.
    let reason = preflight(&bytes).unreadable.expect("it cannot be looked at");
    assert!(reason.contains("encrypted") && !reason.contains("damaged"), "{reason}");
}

/// Bytes changed, cut and doubled at places drawn from a fixed seed.
#[test]
fn damaged_files_never_panic() {
    let good = [press(PressStandard::X1a2003), sample(&PdfOptions::reading())];
    let mut seed = 0x2545_F491_4F6C_DD1D_u64;
    let mut next = |below: usize| {
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        usize::try_from(seed % below.max(1) as u64).unwrap_or(0)
    };
    for round in 0..400 {
        let mut bytes = good[round % 2].clone();
        for _ in 0..=next(8) {
            if bytes.is_empty() {
                break;
            }
            let at = next(bytes.len());
            match next(4) {
                0 => bytes[at] = u8::try_from(next(256)).unwrap_or(0),
                1 => bytes.truncate(at.max(20)),
                2 => {
                    let end = (at + next(200)).min(bytes.len());
                    let part = bytes[at..end].to_vec();
                    bytes.splice(at..at, part);
                }
                _ => {
                    let end = (at + next(60)).min(bytes.len());
                    bytes.drain(at..end);
                }
            }
        }
        let report = preflight(&bytes);
        assert!(report.unreadable.is_some() || !report.checks.is_empty(), "round {round}");
        let _ = crate::pdf::manifest(&bytes);
    }
}
