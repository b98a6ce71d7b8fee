//! Our own files pass; planted faults are found; damaged, encrypted and foreign files give a report.

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
        ("X1a-02", |file| info(file).set("GTS_PDFXVersion", Object::string_literal("PDF/X-1:2001"))),
        ("X1a-03", |file| drop(info(file).remove(b"Title"))),
        ("X1a-03", |file| info(file).set("ModDate", Object::string_literal(""))),
        ("X1a-04", |file| info(file).set("Trapped", Object::Name("Unknown".into()))),
        ("X1a-04", |file| info(file).set("Trapped", Object::Boolean(false))),
        ("X1a-05", |file| drop(file.trailer.remove(b"ID"))),
        ("X1a-07", |file| drop(first_page(file).remove(b"TrimBox"))),
        ("X1a-07", |file| {
            let trim = first_page(file).get(b"TrimBox").expect("a trim box").clone();
            first_page(file).set("ArtBox", trim);
        }),
        ("X1a-08", |file| first_page(file).set("BleedBox", vec![0.into(), 0.into(), 100.into(), 100.into()])),
        ("X1a-09", |file| drop(file.catalog_mut().expect("a catalog").remove(b"OutputIntents"))),
        ("X1a-12", |file| content(file, b"1 0 0 rg 0 0 10 10 re f")),
        ("X1a-13", |file| {
            for object in file.objects.values_mut() {
                if let Ok(dictionary) = object.as_dict_mut() {
                    dictionary.remove(b"FontFile3");
                }
            }
        }),
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
        ("X1a-19", |file| first_page(file).set("SeparationInfo", Dictionary::new())),
        ("X1a-20", |file| content(file, b"BX 1 2 zz EX")),
        ("X1a-21", |file| {
            let preferences = Dictionary::from_iter([("PrintArea", Object::Name("CropBox".into()))]);
            file.catalog_mut().expect("a catalog").set("ViewerPreferences", preferences);
        }),
    ];
    let bytes = press(PressStandard::X1a2003);
    assert!(preflight(&with(&bytes, |_| ())).passes(), "writing again alone breaks nothing");
    for (id, plant) in plants {
        let faults = failed(&preflight(&with(&bytes, plant)));
        assert!(faults.iter().any(|fault| fault.starts_with(id)), "{id} is not in {faults:?}");
    }
}

#[test]
fn an_annotation_outside_the_bleed_is_allowed() {
    let bytes = with(&press(PressStandard::X1a2003), |file| add_annotation(file, [1, 1, 15, 15]));
    let report = preflight(&bytes);
    let point = report.checks.iter().find(|check| check.id == "X1a-17").expect("the point is there");
    assert_eq!(point.outcome, Outcome::Pass);
}

#[test]
fn what_is_no_pdf_gives_a_reason() {
    for bytes in [&b""[..], b"hello", b"%PDF-1.4", b"%PDF-1.4\n%%EOF", b"PK\x03\x04 a zip", &[0xFF; 2000]] {
        let report = preflight(bytes);
        assert!(report.unreadable.is_some() && !report.passes() && report.checks.is_empty());
    }
}

#[test]
fn an_encrypted_file_is_refused_in_words() {
    let bytes = with(&press(PressStandard::X1a2003), |file| {
        let entry = Dictionary::from_iter([("Filter", Object::Name("Standard".into())), ("V", 1.into())]);
        file.trailer.set("Encrypt", entry);
    });
    let reason = preflight(&bytes).unreadable.expect("it cannot be looked at");
    assert!(reason.contains("encrypt") || reason.contains("damaged"), "{reason}");
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
