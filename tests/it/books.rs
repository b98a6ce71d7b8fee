//! Whole books: every folder in `books/` binds without an error, in each of its editions, twice to equal bytes, and what was
//! written reads back.

use crate::program::{Run, books, copy_of, run};
use lopdf::content::Content;
use lopdf::{Dictionary, Document, Object};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

/// Binds an edition (none for the book itself) for a purpose into a file; gives its bytes and what was said.
fn bind(book: &Path, edition: &str, purpose: &str, to: &Path) -> (Vec<u8>, Run) {
    let target = to.to_string_lossy().into_owned();
    let source = book.join("book.yaml").to_string_lossy().into_owned();
    let mut words = vec!["bind", &source, "-o", &target, "--for", purpose];
    if !edition.is_empty() {
        words.extend(["--edition", edition]);
    }
    let run = run(&words);
    assert_eq!(run.status, 0, "{source} {edition} {purpose}: {}", run.err);
    (fs::read(to).expect("the PDF is there"), run)
}

#[test]
fn every_edition_of_every_book_binds_twice_to_equal_bytes() {
    for (name, editions) in books() {
        let (_keep, book) = copy_of(&name);
        // The book itself is called by no name.
        for edition in [""].into_iter().chain(editions.iter().map(String::as_str)) {
            let (first, run) = bind(&book, edition, "reading", &book.join("a.pdf"));
            // Nothing is to be said of a book of ours itself; an edition on another box or in large print may have its warnings.
            assert!(!edition.is_empty() || run.err.is_empty(), "{name}: {}", run.err);
            let second = bind(&book, edition, "reading", &book.join("b.pdf")).0;
            assert!(first == second, "{name} {edition}: the second binding differs");
            let pdf = Document::load_mem(&first).expect("the PDF reads back");
            assert!(pdf.get_pages().len() >= 10, "{name} {edition} has its pages");
        }
    }
}

#[test]
fn a_reading_file_has_its_page_size_its_fonts_and_no_other_ink_than_black() {
    let (_keep, book) = copy_of("first-steps");
    let (bytes, _) = bind(&book, "", "reading", &book.join("a.pdf"));
    let pdf = Document::load_mem(&bytes).expect("the PDF reads back");
    let mut fonts = BTreeSet::new();
    for (number, id) in pdf.get_pages() {
        let page = pdf.get_dictionary(id).expect("a page is a dictionary");
        let trim = numbers(page, b"TrimBox");
        // ISO 216 A4 is 210 x 297 mm; a hundredth of a millimetre is 0.028 pt.
        assert!((trim[2] - trim[0] - 595.276).abs() < 0.028 && (trim[3] - trim[1] - 841.890).abs() < 0.028, "{trim:?}");
        for (name, font) in pdf.get_page_fonts(id).expect("a page has fonts") {
            fonts.insert((String::from_utf8_lossy(&name).into_owned(), embedded(&pdf, font)));
        }
        black_alone(
            &Content::decode(&pdf.get_page_content(id)).expect("a page's content reads back"),
            &number.to_string(),
        );
    }
    let mut forms = 0;
    for (id, object) in &pdf.objects {
        let Ok(stream) = object.as_stream() else { continue };
        let kind = stream.dict.get(b"Subtype").and_then(Object::as_name).unwrap_or(b"");
        assert_ne!(kind, b"Image", "{id:?}: this book has no pictures, whose inks would have to be asked");
        if kind == b"Form" {
            let content = stream.decompressed_content().unwrap_or_else(|_| stream.content.clone());
            black_alone(&Content::decode(&content).expect("a form's content reads back"), &format!("form {id:?}"));
            forms += 1;
        }
    }
    assert!(forms > 0, "what pages hold many times is drawn in forms");
    assert!(fonts.len() >= 3, "{fonts:?}");
    assert!(fonts.iter().all(|(_, embedded)| *embedded), "{fonts:?}");
}

/// Of all operators that choose a colour, draw one or hold one (ISO 32000-1, tables 74, 77 and 92), only those of grey.
fn black_alone(content: &Content, place: &str) {
    for operation in &content.operations {
        let operator = operation.operator.as_str();
        let coloured = ["CS", "cs", "SC", "SCN", "sc", "scn", "RG", "rg", "K", "k", "sh", "BI"];
        assert!(!coloured.contains(&operator), "{place} uses {operator}");
    }
}

fn numbers(dictionary: &Dictionary, key: &[u8]) -> Vec<f64> {
    let array = dictionary.get(key).and_then(Object::as_array).expect("a box is an array");
    array.iter().map(|value| f64::from(value.as_float().expect("a box holds numbers"))).collect()
}

/// Whether a composite font's descendant has an embedded font file.
fn embedded(pdf: &Document, font: &Dictionary) -> bool {
    let descendants = font.get(b"DescendantFonts").ok().and_then(|all| resolve(pdf, all).as_array().ok());
    let Some(first) = descendants.and_then(|all| all.first()) else { return false };
    let Ok(first) = resolve(pdf, first).as_dict() else { return false };
    let descriptor = first.get(b"FontDescriptor").map(|object| resolve(pdf, object));
    descriptor.is_ok_and(|descriptor| {
        descriptor.as_dict().is_ok_and(|dictionary| dictionary.has(b"FontFile3") || dictionary.has(b"FontFile2"))
    })
}

fn resolve<'a>(pdf: &'a Document, object: &'a Object) -> &'a Object {
    pdf.dereference(object).map_or(object, |(_, found)| found)
}

/// One changed pin changes the page of its tune; pages of other tunes keep their ink.
#[test]
fn a_changed_pin_changes_its_own_tunes_page_alone() {
    let (_keep, book) = copy_of("first-steps");
    let before = pages(&bind(&book, "", "reading", &book.join("a.pdf")).0);
    let tune = book.join("tunes/two-gates.yaml");
    let text = fs::read_to_string(&tune).expect("the tune is there");
    let changed = text.replacen("pins:\n", "pins:\n  - {bar: 9, note: 1, row: inner}\n", 1);
    assert_ne!(text, changed, "the pin went in");
    fs::write(&tune, changed).expect("the tune is written");
    let after = pages(&bind(&book, "", "reading", &book.join("b.pdf")).0);
    assert_eq!(before.len(), after.len());
    let touched: Vec<usize> = (0..before.len()).filter(|page| before[*page] != after[*page]).collect();
    assert_eq!(touched.len(), 1, "pages {touched:?} changed");
}

/// The digests of a bound file's pages.
fn pages(bytes: &[u8]) -> Vec<String> {
    let manifest = boxwright::pdf::manifest(bytes).expect("the file knows itself");
    manifest.pages.into_iter().map(|page| page.digest).collect()
}
