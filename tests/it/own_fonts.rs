//! A book that brings its own fonts: they are in the file, other fonts are another book, and what may not be embedded is refused.

use crate::program::{copy_of, run_in};
use lopdf::Document;
use std::fs;
use std::path::Path;

const FAMILY: &str = "family: letters/";

/// A demo book whose family is a folder, with these of the carried fonts in it.
fn book(fonts: &[&str]) -> (tempfile::TempDir, std::path::PathBuf) {
    let (keep, folder) = copy_of("first-steps");
    let path = folder.join("book.yaml");
    let text = fs::read_to_string(&path).expect("the book is there");
    assert!(text.contains("family: serif"));
    fs::write(&path, text.replace("family: serif", FAMILY)).expect("the book is written");
    fs::create_dir(folder.join("letters")).expect("a folder");
    fonts.iter().for_each(|font| give(&folder, font));
    (keep, folder)
}

fn give(folder: &Path, font: &str) {
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("fonts").join(font);
    fs::copy(from, folder.join("letters").join(font.replace('/', "-"))).expect("a font is copied");
}

/// Where a table of a font file begins (OpenType specification, table directory).
fn table(bytes: &[u8], tag: &[u8; 4]) -> usize {
    let count = usize::from(u16::from_be_bytes([bytes[4], bytes[5]]));
    let entry = (0..count).map(|n| 12 + n * 16).find(|at| &bytes[*at..*at + 4] == tag).expect("a table");
    u32::from_be_bytes(bytes[entry + 8..entry + 12].try_into().expect("four bytes")) as usize
}

/// The names of the fonts in a file, without the letters that mark a subset.
fn names(path: &Path) -> Vec<String> {
    let pdf = Document::load(path).expect("the file opens");
    let fonts = pdf.objects.values().filter_map(|object| object.as_dict().ok());
    let named = fonts.filter_map(|font| font.get(b"BaseFont").and_then(lopdf::Object::as_name).ok());
    let mut names: Vec<String> =
        named.map(|name| String::from_utf8_lossy(name).split('+').next_back().unwrap_or_default().to_owned()).collect();
    names.sort();
    names.dedup();
    names
}

#[test]
fn a_book_is_set_in_the_fonts_it_brings() {
    let (_keep, folder) = book(&["large/AtkinsonHyperlegibleNext_400Regular.ttf", "mono/SourceCodePro-Regular.otf"]);
    // Two fonts of one weight and slant: one too many.
    let refused = run_in(&folder, &["bind", "book.yaml", "-o", "a.pdf"]);
    assert_eq!(refused.status, 1, "{}", refused.err);
    assert!(
        refused.err.contains("unfit-font") && refused.err.contains("has the weight and the slant of"),
        "{}",
        refused.err
    );
    fs::remove_file(folder.join("letters/mono-SourceCodePro-Regular.otf")).expect("it was there");
    let bound = run_in(&folder, &["bind", "book.yaml", "-o", "a.pdf"]);
    assert_eq!(bound.status, 0, "{}", bound.err);
    let found = names(&folder.join("a.pdf"));
    assert!(found.iter().any(|name| name.starts_with("AtkinsonHyperlegibleNext")), "{found:?}");
    assert!(
        !found.iter().any(|name| name.starts_with("SourceSerif4-")),
        "no text is left to the usual face: {found:?}"
    );
    let again = run_in(&folder, &["bind", "book.yaml", "-o", "b.pdf"]);
    assert_eq!(again.status, 0);
    assert_eq!(fs::read(folder.join("a.pdf")).ok(), fs::read(folder.join("b.pdf")).ok(), "same fonts, same bytes");
    // The same book in other fonts differs from what was printed.
    let same = run_in(&folder, &["reprint", "book.yaml", "--against", "a.pdf", "--json"]);
    fs::remove_file(folder.join("letters/large-AtkinsonHyperlegibleNext_400Regular.ttf")).expect("it was there");
    give(&folder, "sans/SourceSans3-Regular.otf");
    let other = run_in(&folder, &["reprint", "book.yaml", "--against", "a.pdf", "--json"]);
    assert_eq!((same.status, other.status), (0, 0), "{}{}", same.err, other.err);
    assert!(other.out.len() > same.out.len() + 200, "every page is on the list: {}", other.out);
}

#[test]
fn a_font_that_may_not_be_embedded_is_refused_at_its_place() {
    let (_keep, folder) = book(&["sans/SourceSans3-Regular.otf"]);
    let path = folder.join("letters/sans-SourceSans3-Regular.otf");
    let mut bytes = fs::read(&path).expect("a font");
    // `fsType`, the fifth number of the table OS/2 (OpenType specification): 2 forbids embedding.
    let at = table(&bytes, b"OS/2") + 8;
    bytes[at..at + 2].copy_from_slice(&2u16.to_be_bytes());
    fs::write(&path, bytes).expect("the font is written");
    let refused = run_in(&folder, &["check", "book.yaml"]);
    assert_eq!(refused.status, 1);
    assert!(
        refused.err.contains("error[unfit-font]") && refused.err.contains("may not be embedded"),
        "{}",
        refused.err
    );
    assert!(refused.err.contains(FAMILY), "the line itself is shown: {}", refused.err);
}

/// A font may be read and drawn and yet have a glyph that cannot be taken out of it: whoever binds is told where the font is named,
/// as one who checks is.
#[test]
fn a_font_that_no_file_can_carry_is_refused_at_its_place() {
    const NAME: &str = "large/AtkinsonHyperlegibleNext_400Regular.ttf";
    let (_keep, folder) = book(&[NAME]);
    let path = folder.join("letters").join(NAME.replace('/', "-"));
    let mut bytes = fs::read(&path).expect("a font");
    // The first glyph, which every file carries for what a font lacks, is the first thing in the table of outlines.
    let at = table(&bytes, b"glyf");
    bytes[at..at + 64].fill(0xff);
    fs::write(&path, bytes).expect("the font is written");
    for command in [&["check", "book.yaml"][..], &["bind", "book.yaml", "-o", "a.pdf"]] {
        let refused = run_in(&folder, command);
        assert_eq!(refused.status, 1, "{command:?}: {}", refused.err);
        let said = "error[unfit-font]: the font `large-AtkinsonHyperlegibleNext_400Regular.ttf` is damaged";
        assert!(refused.err.contains(said) && refused.err.contains("cannot be embedded"), "{}", refused.err);
        assert!(refused.err.contains(FAMILY), "the line itself is shown: {}", refused.err);
    }
    assert!(!folder.join("a.pdf").exists());
}
