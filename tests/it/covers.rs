//! Covers as files of their own: with which files they come, what stands on them, what is refused, and that no cover ever lies
//! beside pages that it is not of.

use crate::program::{Killing, copy_of, run, run_in};
use lopdf::{Dictionary, Document, Object};
use std::fs;
use std::path::Path;

const TUNE: &str = "title: Kettle\nid: kettle\nmusic: |\n  M:3/4\n  L:1/4\n  K:G\n  \"G\"G A B | \"D\"d3 |\n";

/// A small glued book that ends in a back cover, with a cover of keys, and more keys of the book.
fn small(folder: &Path, cover: &str, more: &str) {
    let book = format!(
        "book: 1\nid: small\ntitle: Small\nauthor: R. Quill\ndate: 2026-09-01\nbox: dg-21-third\n\
         imprint: {{publisher: Lantern Room Press, isbn: 978-3-16-148410-0}}\nfront: [title, imprint, contents]\n\
         chapters:\n  - title: One\n    tunes: [a.yaml]\nback: [glossary, back-cover]\n{more}\n\
         press: {{stock: {{grams: 100, bulk: 1.2}}, cover: {cover}}}\n"
    );
    let book = if more.contains("page:") { book } else { book + "page: {binding: perfect}\n" };
    fs::write(folder.join("book.yaml"), book).expect("written");
    fs::write(folder.join("a.yaml"), TUNE).expect("written");
}

fn bind(folder: &Path, more: &[&str]) -> crate::program::Run {
    run_in(folder, &[&["bind", "book.yaml", "-o", "out.pdf", "--for", "press"][..], more].concat())
}

fn text_of(path: &Path) -> String {
    let file = Document::load(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let pages: Vec<u32> = file.get_pages().into_keys().collect();
    file.extract_text(&pages).expect("it has text").split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The pages' trimmed sizes in millimetres.
fn sizes(path: &Path) -> Vec<(f64, f64)> {
    let file = Document::load(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let number = |object: &Object| f64::from(object.as_float().expect("a number")) / 72.0 * 25.4;
    let trimmed = |page: &Dictionary| {
        let trim: Vec<f64> =
            page.get(b"TrimBox").and_then(Object::as_array).expect("a trim box").iter().map(number).collect();
        (trim[2] - trim[0], trim[3] - trim[1])
    };
    file.get_pages().into_values().map(|id| trimmed(file.get_dictionary(id).expect("a page"))).collect()
}

fn is_near(one: f64, other: f64) -> bool {
    (one - other).abs() < 0.01
}

/// Leaves of 0.12 mm, board of 0.275 mm on either side, half a millimetre of glue: the spine that the sheet leaves between two
/// pages of 210 mm is that of the leaves in the file; the back cover has left the pages and stands in the reading file.
#[test]
fn a_glued_book_has_its_cover_beside_it() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    small(keep.path(), "{grams: 250, bulk: 1.1, words: A pot of tea and a tune.}", "");
    let bound = bind(keep.path(), &["--job-sheet"]);
    assert_eq!(bound.status, 0, "{}", bound.err);
    let (pages, cover) = (sizes(&keep.path().join("out.pdf")), sizes(&keep.path().join("out.cover.pdf")));
    let leaves = pages.len().div_ceil(2) as f64;
    let spine = leaves * 0.12 + 2.0 * 0.275 + 0.5;
    assert!(cover.len() == 1 && is_near(cover[0].0, 420.0 + spine) && is_near(cover[0].1, 297.0), "{cover:?}, {spine}");
    let words = text_of(&keep.path().join("out.cover.pdf"));
    for wanted in ["Small", "R. Quill", "A pot of tea and a tune.", "ISBN 978-3-16-148410-0", "Lantern Room Press"] {
        assert!(words.contains(wanted), "{wanted} in {words}");
    }
    assert!(!text_of(&keep.path().join("out.pdf")).contains("A pot of tea"));
    let sheet = text_of(&keep.path().join("out.job.pdf"));
    assert!(
        sheet.contains("out.cover.pdf") && sheet.contains("none: ") && sheet.contains("mm are too thin"),
        "{sheet}"
    );
    assert!(bound.out.contains("the cover: out.cover.pdf"), "{}", bound.out);
    // The bars are on the last page for a reader, and on the cover for a press.
    assert_eq!(run_in(keep.path(), &["bind", "book.yaml", "-o", "read.pdf"]).status, 0);
    assert!(!keep.path().join("read.cover.pdf").exists());
    assert!(
        text_of(&keep.path().join("read.pdf")).matches("ISBN").count()
            > text_of(&keep.path().join("out.pdf")).matches("ISBN").count()
    );
    assert_eq!(run_in(keep.path(), &["preflight", "out.cover.pdf"]).status, 0);
}

/// The printer's own figure wins; every binding has its form; pages and cover keep one standard under every standard.
#[test]
fn covers_of_every_form_and_standard_keep_it() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let cases = [
        ("{spine: 6mm}", "page: {binding: perfect}", vec![(426.0, 297.0)]),
        ("{spine: blank}", "page: {binding: saddle}", vec![(420.0, 297.0)]),
        ("{ground: paper}", "page: {binding: comb}", vec![(210.0, 297.0); 4]),
        ("{grams: 300}", "page: {binding: ring, size: a5}", vec![(148.0, 210.0); 4]),
    ];
    for (cover, page, wanted) in cases {
        for standard in ["x-1a", "x-4", "a-2b"] {
            small(keep.path(), cover, page);
            let bound = bind(keep.path(), &["--standard", standard]);
            assert_eq!(bound.status, 0, "{cover} {page} {standard}: {}", bound.err);
            let found = sizes(&keep.path().join("out.cover.pdf"));
            let same = |(one, other): (&(f64, f64), &(f64, f64))| is_near(one.0, other.0) && is_near(one.1, other.1);
            assert!(found.len() == wanted.len() && found.iter().zip(&wanted).all(same), "{cover} {page}: {found:?}");
            let said = run_in(keep.path(), &["preflight", "out.cover.pdf"]);
            assert_eq!(said.status, 0, "{}", said.out);
        }
    }
    // Imposed pages, a cover that is not.
    small(keep.path(), "{}", "page: {binding: saddle}");
    assert_eq!(bind(keep.path(), &["--impose", "saddle"]).status, 0);
    assert!(is_near(sizes(&keep.path().join("out.cover.pdf"))[0].0, 420.0));
}

/// A stapled block lies inside its cover: sheets and single pages for the press count its 0.275 mm, a booklet of all pages does not.
#[test]
fn a_stapled_block_creeps_by_its_cover_too() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    small(keep.path(), "{grams: 250, bulk: 1.1}", "page: {binding: saddle}");
    let job = |more: &[&str]| {
        let bound = bind(keep.path(), &[&["--job-sheet"][..], more].concat());
        assert_eq!(bound.status, 0, "{}", bound.err);
        (bound.out, text_of(&keep.path().join("out.job.pdf")))
    };
    let (out, sheet) = job(&["--impose", "saddle"]);
    assert!(
        out.contains("all pages 0.28 mm for the cover") || out.contains("all pages 0.27 mm for the cover"),
        "{out}"
    );
    assert!(sheet.contains("a cover of 0.275 mm lie round") && sheet.contains("taken up here"), "{sheet}");
    let (_, sheet) = job(&[]);
    assert!(sheet.contains("not taken up in this file") && sheet.contains("mm at the fore edge"), "{sheet}");
    let booklet = ["bind", "book.yaml", "-o", "read.pdf", "--impose", "saddle"];
    let read = run_in(keep.path(), &booklet);
    assert!(
        read.status == 0 && read.out.contains("Creep is taken up") && !read.out.contains("for the cover"),
        "{}",
        read.out
    );
}

/// A cover has a printing condition of its own, its file alone names it.
#[test]
fn a_coated_board_has_its_own_condition() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    small(keep.path(), "{condition: FOGRA51}", "");
    assert_eq!(bind(keep.path(), &[]).status, 0);
    let names = |file: &str| {
        let bytes = fs::read(keep.path().join(file)).expect("it is bound");
        ["FOGRA51", "FOGRA52"].map(|name| bytes.windows(name.len()).any(|part| part == name.as_bytes()))
    };
    assert_eq!((names("out.pdf"), names("out.cover.pdf")), ([false, true], [true, false]));
}

/// An edition takes single keys of the cover, or the cover itself, away; one tune has none.
#[test]
fn editions_and_handouts_go_without() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let editions = "editions:\n  bare:\n    press: {cover: none}\n  wide:\n    press: {cover: {spine: 20mm}}\n  sheets: {like: handout}\n";
    small(keep.path(), "{words: A pot of tea.}", editions);
    for (edition, width) in [("bare", None), ("wide", Some(440.0)), ("sheets", None)] {
        let bound = bind(keep.path(), &["--edition", edition]);
        assert_eq!(bound.status, 0, "{edition}: {}", bound.err);
        let cover = keep.path().join("out.cover.pdf");
        assert_eq!(cover.exists(), width.is_some(), "{edition}");
        if let Some(width) = width {
            assert!(is_near(sizes(&cover)[0].0, width) && text_of(&cover).contains("A pot of tea."));
            fs::remove_file(cover).expect("it is there");
        }
    }
    assert_eq!(bind(keep.path(), &["--only", "kettle"]).status, 0);
    assert!(!keep.path().join("out.cover.pdf").exists());
    // A cover of an earlier time is told of, and left.
    fs::write(keep.path().join("out.cover.pdf"), "%PDF-old").expect("written");
    let bound = bind(keep.path(), &["--edition", "bare"]);
    assert!(bound.out.contains("the cover that lies there, out.cover.pdf, is of an older file"), "{}", bound.out);
    assert_eq!(fs::read(keep.path().join("out.cover.pdf")).expect("it is left"), b"%PDF-old");
}

/// A picture in place of the buttons, and a second ink under all of it.
#[test]
fn a_cover_has_a_picture_and_a_ground() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let svg = "<svg xmlns='http://www.w3.org/2000/svg' width='60mm' height='40mm'><rect width='60mm' height='40mm' fill='black'/></svg>";
    fs::write(keep.path().join("lamp.svg"), svg).expect("written");
    small(keep.path(), "{picture: lamp.svg, ground: spot}, spot: Lamp Red", "");
    let bound = bind(keep.path(), &[]);
    assert_eq!(bound.status, 0, "{}", bound.err);
    let said = run_in(keep.path(), &["preflight", "out.cover.pdf"]);
    assert!(said.status == 0 && said.out.contains("Lamp Red"), "{}", said.out);
    small(keep.path(), "{picture: none.svg}", "");
    let bound = bind(keep.path(), &[]);
    assert!(bound.status == 1 && bound.err.contains("error[missing-file]: `none.svg` can't be read"), "{}", bound.err);
}

/// A cover is no book: nothing is reprinted from it, and a book bound over one does not claim to follow it.
#[test]
fn a_cover_is_never_taken_for_the_book() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    small(keep.path(), "{}", "");
    assert_eq!(bind(keep.path(), &[]).status, 0);
    let refused = run_in(keep.path(), &["reprint", "book.yaml", "--against", "out.cover.pdf"]);
    assert_eq!(refused.status, 2, "{}", refused.out);
    assert!(refused.err.contains("small cover"), "{}", refused.err);
    let over = run_in(keep.path(), &["bind", "book.yaml", "-o", "out.cover.pdf", "--for", "press"]);
    assert!(over.status == 0 && over.out.contains("not compared with the file that lay there"), "{}", over.out);
    // The pages are reprinted as ever.
    let again = run_in(keep.path(), &["reprint", "book.yaml", "--against", "out.pdf"]);
    assert!(again.status == 0 && again.out.contains("up to date"), "{}{}", again.out, again.err);
}

/// Where one file of the three cannot take its place, all are as they were.
#[test]
fn a_set_that_cannot_be_written_whole_is_not_written() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    small(keep.path(), "{}", "");
    assert_eq!(bind(keep.path(), &["--job-sheet"]).status, 0);
    let read = |name: &str| fs::read(keep.path().join(name)).expect("it is there");
    let names = ["out.pdf", "out.cover.pdf", "out.job.pdf"];
    let old = names.map(read);
    let book =
        fs::read_to_string(keep.path().join("book.yaml")).expect("written").replace("title: Small", "title: Smaller");
    fs::write(keep.path().join("book.yaml"), book).expect("written");
    let count = fs::read_dir(keep.path()).expect("a folder").count();
    for blocked in &names[1..] {
        fs::remove_file(keep.path().join(blocked)).expect("it is there");
        fs::create_dir(keep.path().join(blocked)).expect("a folder in its place");
        let refused = bind(keep.path(), &["--job-sheet"]);
        assert_eq!(refused.status, 2, "{blocked}");
        assert!(refused.err.contains(blocked) && refused.err.contains("a folder"), "{}", refused.err);
        fs::remove_dir(keep.path().join(blocked)).expect("it is empty");
        let at = names.iter().position(|name| name == blocked).expect("it is one of them");
        fs::write(keep.path().join(blocked), &old[at]).expect("written");
        assert!(names.map(read) == old, "{blocked}");
        assert_eq!(fs::read_dir(keep.path()).expect("a folder").count(), count, "no litter");
    }
    assert_eq!(bind(keep.path(), &["--job-sheet"]).status, 0);
    assert!(names.map(read).iter().zip(&old).all(|(new, old)| new != old));
}

/// How often the program is killed.
const KILLS: usize = 60;

/// Killed at any moment, it leaves no cover beside pages of another time, and there are always pages.
#[test]
fn kills_leave_no_cover_of_other_pages() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let mut killing = Killing::new(20_261_128);
    let (mut looked_at, mut changed) = (0, 0);
    let mut last = String::new();
    for round in 0..KILLS {
        small(keep.path(), "{}", "");
        let book = fs::read_to_string(keep.path().join("book.yaml")).expect("written");
        fs::write(keep.path().join("book.yaml"), book.replace("title: Small", &format!("title: Small {round}")))
            .expect("written");
        killing.run(keep.path(), &["bind", "book.yaml", "-o", "out.pdf", "--for", "press"]);
        let title = |name: &str| {
            let file = Document::load(keep.path().join(name)).expect("what lies there is whole");
            let info = file.trailer.get(b"Info").and_then(Object::as_reference).expect("it has properties");
            let title = file.get_dictionary(info).and_then(|info| info.get(b"Title")).expect("it has a title");
            String::from_utf8_lossy(title.as_str().expect("it is a text")).into_owned()
        };
        let pages = title("out.pdf");
        if keep.path().join("out.cover.pdf").exists() {
            assert_eq!(title("out.cover.pdf"), format!("{pages}: cover"), "kill {round}");
            looked_at += 1;
        }
        changed += usize::from(pages != last);
        last = pages;
    }
    assert!(looked_at > KILLS / 4 && changed > 2, "{looked_at} covers were looked at, of {changed} bindings");
}

/// The demo book with a cover, as its author has it.
#[test]
fn the_demo_books_cover_is_bound() {
    let (_keep, book) = copy_of("lantern-nights");
    let (source, to) = (book.join("book.yaml"), book.join("out.pdf"));
    let bound = run(&["bind", &source.to_string_lossy(), "-o", &to.to_string_lossy(), "--for", "press"]);
    assert_eq!(bound.status, 0, "{}", bound.err);
    let words = text_of(&book.join("out.cover.pdf"));
    assert!(words.contains("Lantern Nights") && words.contains("R. Quill") && words.contains("Ten weeks"), "{words}");
}
