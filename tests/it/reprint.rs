//! Reprinting: what is refused, what a slip, a change bar and a held page are.

use crate::hostile_rows;
use crate::program::{copy_of, run, run_in};
use boxwright::pdf::manifest;
use lopdf::{Dictionary, Document, Object};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;

/// Every file that is none of this book's is refused with status 2 and a reason, and nothing is written.
#[test]
fn what_cannot_be_compared_is_refused_and_nothing_is_written() {
    let (_keep, book) = copy_of("first-steps");
    let source = book.join("book.yaml").to_string_lossy().into_owned();
    let printed = book.join("printed.pdf");
    assert_eq!(run(&["bind", &source, "-o", &printed.to_string_lossy()]).status, 0);
    let good = fs::read(&printed).expect("it is bound");
    let (_other, other) = copy_of("lantern-nights");
    let other_pdf = book.join("other.pdf");
    let other_source = other.join("book.yaml").to_string_lossy().into_owned();
    assert_eq!(run(&["bind", &other_source, "-o", &other_pdf.to_string_lossy()]).status, 0);
    let other_book = fs::read(&other_pdf).expect("it is bound");
    let record = |old: &str, new: &str| with_record(&good, |text| text.replacen(old, new, 1));
    let table: Vec<(&str, Vec<u8>, &str)> = vec![
        ("empty", Vec::new(), "not a PDF"),
        ("text", b"book: 1\n".to_vec(), "not a PDF"),
        ("header alone", b"%PDF-1.7\n".to_vec(), "not a PDF"),
        ("half a file", good[..good.len() / 2].to_vec(), "compared"),
        ("torn in the middle", torn(&good), "compared"),
        ("encrypted", encrypted(&good), "encrypted"),
        ("foreign", foreign(), "carries no record"),
        ("another book", other_book, "is the book `lantern-nights"),
        ("a digest of the future", record("digest\t5\n", "digest\t7\n"), "version 7"),
        ("a record of the future", record("boxwright-record 2", "boxwright-record 9"), "boxwright-record 9"),
        ("a record out of order", record("page\t", "leaf\t"), "damaged"),
        ("another box", record("option\tbox\t", "option\tbox\tother-"), "was bound with box"),
        ("an edition that is gone", record("edition\t\n", "edition\tgone\n"), "gone"),
    ];
    let before = listing(&book);
    for (what, bytes, says) in table {
        let against = book.join("against.pdf");
        fs::write(&against, bytes).expect("written");
        let refused = run(&["reprint", &source, "--against", &against.to_string_lossy(), "--slip"]);
        assert!(matches!(refused.status, 1 | 2), "{what}: {} {}", refused.status, refused.out);
        assert!(refused.err.contains(says), "{what}: {}", refused.err);
        fs::remove_file(&against).expect("it was there");
        assert_eq!(listing(&book), before, "{what}: something was written");
    }
    let none = run(&["reprint", &source, "--against", &book.join("none.pdf").to_string_lossy()]);
    assert_eq!((none.status, listing(&book)), (2, before));
}

/// `preflight` of anything ends in a report and status 1, never in a panic.
#[test]
fn preflight_reports_on_any_file() {
    let (_keep, book) = copy_of("first-steps");
    let source = book.join("book.yaml").to_string_lossy().into_owned();
    let press = book.join("press.pdf");
    let bound = run(&["bind", &source, "-o", &press.to_string_lossy(), "--for", "press"]);
    assert_eq!(bound.status, 0, "{}", bound.err);
    let good = fs::read(&press).expect("it is bound");
    let passes = run(&["preflight", &press.to_string_lossy()]);
    assert_eq!(passes.status, 0, "{}", passes.out);
    // A file is judged by what it claims to be: the points of other standards are not shown.
    assert!(passes.out.contains("PDF/X-1a:2003") && !passes.out.contains("PDF/A-2b"), "{}", passes.out);
    let table: Vec<(&str, Vec<u8>, &str)> = vec![
        ("empty", Vec::new(), "cannot be checked"),
        ("a picture", b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec(), "cannot be checked"),
        ("half a file", good[..good.len() / 2].to_vec(), ""),
        ("torn in the middle", torn(&good), ""),
        ("encrypted", encrypted(&good), "cannot be checked"),
        ("foreign", foreign(), "does not say that it keeps a standard"),
    ];
    for (what, bytes, says) in table {
        let file = book.join("file.pdf");
        fs::write(&file, bytes).expect("written");
        let report = run(&["preflight", &file.to_string_lossy()]);
        assert_eq!(report.status, 1, "{what}: {}{}", report.out, report.err);
        assert!(report.out.contains(says), "{what}: {}", report.out);
        assert!(!report.err.contains("panicked"), "{what}: {}", report.err);
        let json = run(&["preflight", &file.to_string_lossy(), "--json"]);
        assert!(serde_json::from_str::<serde_json::Value>(&json.out).is_ok(), "{what}: {}", json.out);
    }
    assert_eq!(run_in(&book, &["preflight", "tunes"]).status, 2);
    assert_eq!(run_in(&book, &["preflight", "none.pdf"]).status, 2);
}

/// A tune that grew by a page gets point pages; every page after it keeps its number and its ink.
#[test]
fn held_pages_keep_their_numbers() {
    let (_keep, book) = copy_of("first-steps");
    let source = book.join("book.yaml").to_string_lossy().into_owned();
    let printed = book.join("printed.pdf").to_string_lossy().into_owned();
    assert_eq!(run(&["bind", &source, "-o", &printed]).status, 0);
    let tune = book.join("tunes/two-gates.yaml");
    let text = fs::read_to_string(&tune).expect("the tune is there");
    let more = "  The second gate is opened as the first one was, slowly and with the whole hand.\n\n".repeat(70);
    assert!(text.contains("commentary: |\n"), "the tune has a commentary");
    fs::write(&tune, text.replacen("commentary: |\n", &format!("commentary: |\n{more}"), 1)).expect("written");
    let sheets = book.join("again.pdf");
    let words = ["reprint", &source, "--against", &printed, "-o", &sheets.to_string_lossy(), "--hold-pages", "--json"];
    let again = run(&words);
    assert_eq!(again.status, 0, "{}", again.err);
    let old = manifest(&fs::read(&printed).expect("bound")).expect("ours");
    let new = manifest(&fs::read(&sheets).expect("written")).expect("ours");
    let labels: Vec<&str> = new.pages.iter().map(|page| page.label.as_str()).collect();
    let points: Vec<&str> = labels
        .iter()
        .copied()
        .filter(|label| {
            label.ends_with(|sign: char| sign.is_ascii_lowercase())
                && label.starts_with(|sign: char| sign.is_ascii_digit())
        })
        .collect();
    assert!(points.len() >= 2 && points.len().is_multiple_of(2), "{labels:?}");
    let kept: Vec<&str> = labels.iter().copied().filter(|label| !points.contains(label)).collect();
    let before: Vec<&str> = old.pages.iter().map(|page| page.label.as_str()).collect();
    assert_eq!(kept, before, "no page is renumbered");
    // The first point page is a right-hand page, so it comes after an even number of pages.
    let first = labels.iter().position(|label| points.contains(label)).expect("there is one");
    assert_eq!(first % 2, 0, "{labels:?}");
    let unchanged = old.pages.iter().filter(|page| new.pages.contains(page)).count();
    assert!(unchanged + 6 >= old.pages.len(), "{unchanged} of {} pages kept their ink", old.pages.len());
    let shape: serde_json::Value = serde_json::from_str(&again.out).expect("JSON");
    let added = shape["pages"].as_array().expect("pages").iter().filter(|page| page["change"] == "added").count();
    assert_eq!(added, points.len());
    // Bound as it comes, the book would have renumbered its later pages.
    let free = run(&["reprint", &source, "--against", &printed, "-o", &sheets.to_string_lossy(), "--json"]);
    let free: serde_json::Value = serde_json::from_str(&free.out).expect("JSON");
    assert!(free["pages"].as_array().map(Vec::len) > shape["pages"].as_array().map(Vec::len));
}

/// Bars, words at the foot and the slip are on paper alone: the record stays that of the plain pages.
#[test]
fn marks_and_slip_leave_the_record_alone() {
    let (_keep, book) = copy_of("first-steps");
    let source = book.join("book.yaml").to_string_lossy().into_owned();
    let printed = book.join("printed.pdf").to_string_lossy().into_owned();
    assert_eq!(run(&["bind", &source, "-o", &printed]).status, 0);
    let tune = book.join("tunes/two-gates.yaml");
    let text = fs::read_to_string(&tune).expect("the tune is there");
    fs::write(&tune, text.replacen("pins:\n", "pins:\n  - {bar: 9, note: 1, row: inner}\n", 1)).expect("written");
    let target = |name: &str| book.join(name).to_string_lossy().into_owned();
    let plain = run(&["reprint", &source, "--against", &printed, "-o", &target("plain.pdf")]);
    assert!(plain.out.contains("bar 9"), "{}{}", plain.out, plain.err);
    let to = target("marked.pdf");
    let mut words = vec!["reprint", &source, "--against", &printed, "-o", &to];
    words.extend(["--change-bars", "--revised", "Revised 2026-11-01", "--slip"]);
    let marked = run(&words);
    assert_eq!(marked.status, 0, "{}", marked.err);
    let bytes = |name: &str| fs::read(book.join(name)).expect("it is there");
    assert_ne!(bytes("plain.pdf"), bytes("marked.pdf"));
    assert_eq!(manifest(&bytes("plain.pdf")), manifest(&bytes("marked.pdf")));
    let text_of = |name: &str| {
        let file = Document::load_mem(&bytes(name)).expect("it opens");
        let pages: Vec<u32> = file.get_pages().into_keys().collect();
        file.extract_text(&pages).expect("it has text")
    };
    assert!(text_of("marked.pdf").contains("Revised 2026-11-01") && !text_of("plain.pdf").contains("Revised"));
    let slip = text_of("marked.slip.pdf");
    assert!(slip.contains("Changes") && slip.contains("bar 9"), "{slip}");
    // A slip is no book.
    let refused = run(&["reprint", &source, "--against", &target("marked.slip.pdf")]);
    assert_eq!(refused.status, 2, "{}", refused.out);
    // Binding over the printed file says in two lines what changed.
    let over = run(&["bind", &source, "-o", &printed]);
    assert!(over.out.contains("1 page changed since the last time") && over.out.contains("bar 9"), "{}", over.out);
}

/// What a file was for and how it was laid on sheets is in its record: its reprint is laid the same way.
#[test]
fn a_reprint_is_laid_as_the_printed_file_was() {
    let (_keep, book) = copy_of("first-steps");
    let source = book.join("book.yaml").to_string_lossy().into_owned();
    let printed = book.join("printed.pdf").to_string_lossy().into_owned();
    let again = book.join("again.pdf").to_string_lossy().into_owned();
    assert_eq!(run(&["bind", &source, "-o", &printed, "--for", "press", "--impose", "saddle"]).status, 0);
    let tune = book.join("tunes/two-gates.yaml");
    let text = fs::read_to_string(&tune).expect("the tune is there");
    fs::write(&tune, text.replacen("pins:\n", "pins:\n  - {bar: 9, note: 1, row: inner}\n", 1)).expect("written");
    let run = run(&["reprint", &source, "--against", &printed, "-o", &again]);
    assert_eq!(run.status, 0, "{}", run.err);
    assert!(run.out.starts_with("2 sides to print"), "one sheet of paper: {}", run.out);
    let bytes = fs::read(&again).expect("written");
    let file = Document::load_mem(&bytes).expect("it opens");
    assert_eq!((file.get_pages().len(), file.version.as_str()), (2, "1.4"));
}

/// Sheets of one printed file never take the place of another's, nor of those of the reading copy.
#[test]
fn reprints_of_two_kinds_never_share_a_name() {
    let (_keep, book) = copy_of("first-steps");
    let printed = book.join("printed");
    fs::create_dir(&printed).expect("a folder");
    let kinds: [(&str, &[&str]); 5] = [
        ("reading", &[]),
        ("press", &["--for", "press"]),
        ("press.x-4", &["--for", "press", "--standard", "x-4"]),
        ("press.a-2b", &["--for", "press", "--standard", "a-2b"]),
        ("press.cut-and-stack", &["--for", "press", "--impose", "cut-and-stack"]),
    ];
    for (kind, words) in kinds {
        let to = format!("printed/{kind}.pdf");
        let bound = run_in(&book, &[&["bind", "book.yaml", "-o", &to], words].concat());
        assert_eq!(bound.status, 0, "{kind}: {}", bound.err);
    }
    let tune = book.join("tunes/two-gates.yaml");
    let text = fs::read_to_string(&tune).expect("the tune is there");
    fs::write(&tune, text.replacen("pins:\n", "pins:\n  - {bar: 9, note: 1, row: inner}\n", 1)).expect("written");
    let mut seen = Vec::new();
    for (kind, _) in kinds {
        let before = listing(&book);
        let again = run_in(&book, &["reprint", "book.yaml", "--against", &format!("printed/{kind}.pdf"), "--slip"]);
        assert_eq!(again.status, 0, "{kind}: {}", again.err);
        seen.extend(listing(&book).into_iter().filter(|name| !before.contains(name)));
    }
    let wanted = ["", ".press", ".press.x-4", ".press.a-2b", ".press.cut-and-stack"];
    let wanted: Vec<String> = wanted
        .iter()
        .flat_map(|kind| ["", ".slip"].map(|slip| format!("first-steps{kind}.reprint{slip}.pdf")))
        .collect();
    assert_eq!(seen, wanted);
}

/// Sheets for the press are held against their standard as the book was: those that fail are not written.
#[test]
fn sheets_that_fail_their_own_preflight_are_not_written() {
    let (_keep, book) = copy_of("first-steps");
    let source = book.join("book.yaml");
    let text = fs::read_to_string(&source).expect("the book is there");
    let large = text.lines().map(|line| match line.starts_with("page:") {
        true => "page: {size: [1500mm, 1500mm], binding: perfect}\n".to_owned(),
        false => format!("{line}\n"),
    });
    fs::write(&source, large.collect::<String>()).expect("written");
    let words = ["bind", "book.yaml", "-o", "printed.pdf", "--for", "press", "--standard", "a-2b"];
    let bound = run_in(&book, &words);
    assert_eq!(bound.status, 0, "{}", bound.err);
    let tune = book.join("tunes/two-gates.yaml");
    let text = fs::read_to_string(&tune).expect("the tune is there");
    fs::write(&tune, text.replacen("title: ", "title: Old ", 1)).expect("written");
    let reprint = ["reprint", "book.yaml", "--against", "printed.pdf", "-o", "again.pdf"];
    let good = run_in(&book, &reprint);
    assert_eq!(good.status, 0, "{}", good.err);
    let before = fs::read(book.join("again.pdf")).expect("it is written");
    // Sixteen such pages on a side are larger than the standard allows.
    let refused = run_in(&book, &[&reprint[..], &["--impose", "folded-sixteen", "--slip"]].concat());
    assert_eq!(refused.status, 1, "{}{}", refused.out, refused.err);
    assert!(refused.err.contains("error[fails-preflight]") && refused.err.contains("6.1.13"), "{}", refused.err);
    assert!(fs::read(book.join("again.pdf")).expect("it is there") == before, "the last good sheets are whole");
    assert!(!book.join("again.slip.pdf").exists());
}

/// The job sheet is one page and says what a printer asks.
#[test]
fn a_job_sheet_is_one_page() {
    let (_keep, book) = copy_of("first-steps");
    let source = book.join("book.yaml").to_string_lossy().into_owned();
    let target = book.join("press.pdf").to_string_lossy().into_owned();
    let bound = run(&["bind", &source, "-o", &target, "--for", "press", "--impose", "sections", "--job-sheet"]);
    assert_eq!(bound.status, 0, "{}", bound.err);
    let file = Document::load(book.join("press.job.pdf")).expect("the job sheet opens");
    assert_eq!(file.get_pages().len(), 1);
    let text = file.extract_text(&[1]).expect("it has text");
    for word in ["Trimmed page", "Bleed", "Spine", "Inks", "Fonts", "Digest", "PDF/X-1a:2003", "Sheets of paper"] {
        assert!(text.contains(word), "{word} is missing: {text}");
    }
}

fn listing(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder").flatten();
    let mut names: Vec<String> = entries.map(|entry| entry.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

fn torn(good: &[u8]) -> Vec<u8> {
    let mut bytes = good.to_vec();
    let third = bytes.len() / 3;
    bytes.drain(third..third * 2);
    bytes
}

/// A file that says it is encrypted with a handler of ISO 32000-1, 7.6.3.
fn encrypted(good: &[u8]) -> Vec<u8> {
    let mut file = Document::load_mem(good).expect("our own file reads");
    let secret = |length: usize| Object::String(vec![7; length], lopdf::StringFormat::Hexadecimal);
    let entry = Dictionary::from_iter([
        ("Filter", Object::Name("Standard".into())),
        ("V", 1.into()),
        ("R", 2.into()),
        ("O", secret(32)),
        ("U", secret(32)),
        ("P", (-4).into()),
    ]);
    file.trailer.set("Encrypt", entry);
    saved(file)
}

/// A whole PDF of another make: one page with a line.
fn foreign() -> Vec<u8> {
    let mut file = Document::with_version("1.5");
    let content = file.add_object(lopdf::Stream::new(Dictionary::new(), b"0 0 m 9 9 l S".to_vec()));
    let tree = file.new_object_id();
    let page = file.add_object(Dictionary::from_iter([
        ("Type", Object::Name("Page".into())),
        ("Parent", tree.into()),
        ("Contents", content.into()),
        ("MediaBox", Object::Array(vec![0.into(), 0.into(), 100.into(), 100.into()])),
    ]));
    let pages = Dictionary::from_iter([
        ("Type", Object::Name("Pages".into())),
        ("Count", 1.into()),
        ("Kids", Object::Array(vec![page.into()])),
    ]);
    file.objects.insert(tree, Object::Dictionary(pages));
    let catalog =
        file.add_object(Dictionary::from_iter([("Type", Object::Name("Catalog".into())), ("Pages", tree.into())]));
    file.trailer.set("Root", catalog);
    saved(file)
}

/// The file with its record changed.
fn with_record(good: &[u8], change: impl Fn(&str) -> String) -> Vec<u8> {
    let mut file = Document::load_mem(good).expect("our own file reads");
    let catalog = file.catalog().expect("a catalog");
    let id = catalog.get(b"BXWR_Record").and_then(Object::as_reference).expect("a record");
    let stream = file.get_object_mut(id).and_then(Object::as_stream_mut).expect("a stream");
    let text = stream.decompressed_content().expect("it unpacks");
    let text = String::from_utf8(text).expect("lines");
    let changed = change(&text);
    assert_ne!(text, changed, "the record was changed");
    stream.set_plain_content(changed.into_bytes());
    stream.compress().expect("it packs");
    saved(file)
}

fn saved(mut file: Document) -> Vec<u8> {
    let mut bytes = Vec::new();
    file.save_to(&mut bytes).expect("it is written again");
    bytes
}

/// A book of very many pages is read back; so is one whose streams another program has unpacked.
#[test]
fn a_long_book_is_reprinted_and_so_is_an_unpacked_one() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let tunes = 1_300;
    let mut names = String::new();
    for nth in 0..tunes {
        let text =
            format!("title: Tune {nth}\nid: t{nth}\nkind: tune\nmusic: |\n  M:2/4\n  L:1/8\n  K:D\n  \"D\"dA FA|\n");
        fs::write(keep.path().join(format!("t{nth}.yaml")), text).expect("written");
        let _ = write!(names, "t{nth}.yaml, ");
    }
    let book = hostile_rows::BOOK.replace("t.yaml", names.trim_end_matches(", "));
    fs::write(keep.path().join("book.yaml"), book).expect("written");
    fs::write(keep.path().join("t.md"), "Hello.\n").expect("written");
    let bound = run_in(keep.path(), &["bind", "book.yaml", "-o", "out.pdf"]);
    assert_eq!(bound.status, 0, "{}", bound.err);
    let same = run_in(keep.path(), &["reprint", "book.yaml", "--against", "out.pdf"]);
    assert_eq!((same.status, same.out.contains("up to date")), (0, true), "{}{}", same.out, same.err);

    assert_eq!(run_in(keep.path(), &["new-book", "small"]).status, 0);
    assert_eq!(run_in(keep.path(), &["bind", "small/book.yaml", "-o", "small.pdf"]).status, 0);
    let mut file = Document::load(keep.path().join("small.pdf")).expect("our own file reads");
    file.decompress();
    file.save(keep.path().join("small.pdf")).expect("written");
    let same = run_in(keep.path(), &["reprint", "small/book.yaml", "--against", "small.pdf"]);
    assert_eq!((same.status, same.out.contains("up to date")), (0, true), "{}{}", same.out, same.err);
}
