//! Files for the press as a teacher asks for them: what is refused, what they are called, what their job sheets say.

use crate::program::{Killing, copy_of, run, run_in};
use lopdf::Document;
use sha2::{Digest as _, Sha256};
use std::fs;
use std::path::Path;

/// A small book that ends in a back cover, with keys of its own for the press.
fn small(folder: &Path, more: &str) {
    let book = "book: 1\nid: small\ntitle: Small\ndate: 2026-09-01\nbox: dg-21-third\nfront: [title, imprint, contents]\n\
        chapters:\n  - title: One\n    tunes: [a.yaml]\nback: [glossary, back-cover]\n";
    let tune = "title: Kettle\nid: kettle\nmusic: |\n  M:3/4\n  L:1/4\n  K:G\n  \"G\"G A B | \"D\"d3 |\n";
    fs::write(folder.join("book.yaml"), format!("{book}{more}")).expect("written");
    fs::write(folder.join("a.yaml"), tune).expect("written");
}

fn text_of(path: &Path) -> String {
    let file = Document::load(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let pages: Vec<u32> = file.get_pages().into_keys().collect();
    // Lines of a narrow column are one text again.
    file.extract_text(&pages).expect("it has text").split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn two_standards_are_two_files() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    small(keep.path(), "");
    let both = run_in(keep.path(), &["bind", "book.yaml", "-o", "out.pdf", "--for", "press", "--standard", "x-4+a-2b"]);
    assert_eq!((both.status, keep.path().join("out.pdf").exists()), (2, false));
    assert!(both.err.contains("bind two files, one with `--standard x-4`"), "{}", both.err);
    assert!(!run(&["bind", "--help"]).out.contains("x-4+a-2b"));
}

/// The least box and the largest of every page of a file, in millimetres across and down, as other readers find them.
fn media(path: &Path) -> Vec<(f32, f32)> {
    let file = Document::load(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let size = |page: &lopdf::ObjectId| {
        let page = file.get_dictionary(*page).expect("a page is a dictionary");
        let edges = page.get(b"MediaBox").and_then(lopdf::Object::as_array).expect("a page has a medium");
        let edge = |n: usize| edges[n].as_float().expect("a number") / 72.0 * 25.4;
        (edge(2) - edge(0), edge(3) - edge(1))
    };
    file.get_pages().values().map(size).collect()
}

/// Print on demand takes the page with its bleed, or bare, and nothing round it; a shop that wants marks gets room for them.
#[test]
fn without_marks_the_file_is_the_page_with_its_bleed() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let words = ["bind", "book.yaml", "-o", "out.pdf", "--for", "press", "--job-sheet"];
    for (press, across, down, has_slug) in [
        ("bleed: 3mm, marks: []", 216.0, 303.0, false),
        ("bleed: 0mm, marks: []", 210.0, 297.0, false),
        ("bleed: 0.125in, marks: []", 216.35, 303.35, false),
        ("bleed: 3mm, marks: [registration]", 230.0, 317.0, true),
        ("bleed: 3mm", 230.0, 317.0, true),
    ] {
        small(keep.path(), &format!("press: {{{press}}}\n"));
        let bound = run_in(keep.path(), &words);
        assert_eq!(bound.status, 0, "{press}: {}", bound.err);
        let to = keep.path().join("out.pdf");
        for (page, (width, height)) in media(&to).into_iter().enumerate() {
            assert!(
                (width - across).abs() < 0.01 && (height - down).abs() < 0.01,
                "{press}: page {page} is {width} x {height}"
            );
        }
        // The date stands in the slug alone but for the imprint.
        let imprint = text_of(&to).matches("2026-09-01").count();
        assert_eq!(imprint > 1, has_slug, "{press}: {}", text_of(&to));
        let sheet = text_of(&keep.path().join("out.job.pdf"));
        assert_eq!(sheet.contains("Marks none, and no line of words"), !has_slug, "{press}: {sheet}");
    }
}

/// Leaves have two sides, and a service on demand refuses an odd number of pages or adds one of its own: the file for the press
/// has it already, and spine and cover are reckoned with it.
#[test]
fn pages_for_the_press_come_in_leaves() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let count = |words: &[&str]| {
        let bound = run_in(keep.path(), &[&["bind", "book.yaml", "-o", "out.pdf", "--job-sheet"], words].concat());
        assert_eq!(bound.status, 0, "{words:?}: {}", bound.err);
        (media(&keep.path().join("out.pdf")).len(), text_of(&keep.path().join("out.job.pdf")))
    };
    for (binding, multiple) in [("perfect", 2), ("comb", 2), ("wire", 2), ("ring", 2), ("saddle", 4), ("none", 1)] {
        for front in ["[title, imprint, contents]", "[title, imprint, contents, key]"] {
            small(keep.path(), &format!("page: {{binding: {binding}}}\n"));
            let book = fs::read_to_string(keep.path().join("book.yaml")).expect("written");
            let book = book.replace("[title, imprint, contents]", front).replace(", back-cover]", "]");
            fs::write(keep.path().join("book.yaml"), book).expect("written");
            let (read, own) = count(&[]);
            let (printed, sheet) = count(&["--for", "press"]);
            assert_eq!(printed, read.next_multiple_of(multiple), "{binding}, {front}");
            let (_, own) = own.split_once(&format!("Pages {read}, of which ")).expect("it tells of pages");
            let (own, _) = own.split_once(" blank").expect("it tells of blank ones");
            let blank = own.parse::<usize>().expect("a number") + printed - read;
            assert!(sheet.contains(&format!("Pages {printed}, of which {blank} blank")), "{binding}: {sheet}");
            let leaves = printed.div_ceil(2);
            assert!(sheet.contains(&format!("{leaves} leaves of 0.120 mm")), "{binding}: {sheet}");
        }
    }
}

/// Standards and schemes have names of their own, so that none replaces the last good file of another.
#[test]
fn files_of_two_kinds_never_share_a_name() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    small(keep.path(), "page: {binding: perfect}\n");
    let mut seen = std::collections::BTreeSet::new();
    for words in [
        &["--for", "press"][..],
        &["--for", "press", "--standard", "x-4"],
        &["--for", "press", "--standard", "a-2b"],
        &["--for", "press", "--impose", "sections"],
        &["--for", "press", "--impose", "folded-eight"],
        &["--impose", "sections"],
        &["--impose", "two-up"],
        &[],
    ] {
        let bound = run_in(keep.path(), &[&["bind", "book.yaml"], words].concat());
        assert_eq!(bound.status, 0, "{words:?}: {}", bound.err);
        let first = bound.out.lines().next().expect("it says where the file is").to_owned();
        assert!(seen.insert(first.clone()), "{words:?}: {first}");
    }
    let files = fs::read_dir(keep.path()).expect("a folder").flatten();
    assert_eq!(files.filter(|file| file.path().extension().is_some_and(|ending| ending == "pdf")).count(), 8);
}

/// Pages that together are larger than a PDF may be: the file is refused, and the last good one stays.
#[test]
fn a_file_that_fails_its_own_preflight_is_not_written() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    small(keep.path(), "");
    let words = ["bind", "book.yaml", "-o", "big.pdf", "--for", "press", "--standard", "a-2b", "--impose"];
    assert_eq!(run_in(keep.path(), &[&words[..], &["saddle"]].concat()).status, 0);
    let good = fs::read(keep.path().join("big.pdf")).expect("it is bound");
    let fronts = "[half-title, title, imprint, contents, my-box, key, holding, how-to, measure]";
    let book = fs::read_to_string(keep.path().join("book.yaml")).expect("written");
    let large =
        book.replace("[title, imprint, contents]", fronts) + "page: {size: [1500mm, 1500mm], binding: perfect}\n";
    fs::write(keep.path().join("book.yaml"), large).expect("written");
    let refused = run_in(keep.path(), &[&words[..], &["folded-sixteen"]].concat());
    assert_eq!(refused.status, 1, "{}{}", refused.out, refused.err);
    assert!(refused.err.contains("error[fails-preflight]") && refused.err.contains("6.1.13"), "{}", refused.err);
    assert!(fs::read(keep.path().join("big.pdf")).expect("it is there") == good, "the last good file is whole");
}

/// `none` in any case is no second ink; names that stand for other plates are refused where they are written.
#[test]
fn a_second_ink_is_an_ink_of_its_own() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    for none in ["none", "None", "NONE", "\" none \""] {
        small(keep.path(), &format!("press: {{spot: {none}}}\n"));
        let bound = run_in(keep.path(), &["bind", "book.yaml", "-o", "out.pdf", "--for", "press"]);
        assert_eq!(bound.status, 0, "{none}: {}", bound.err);
        let bytes = fs::read(keep.path().join("out.pdf")).expect("it is bound");
        assert!(!bytes.windows(12).any(|part| part == b"/Separation/" || part == b"/Separation "), "{none}");
        fs::remove_file(keep.path().join("out.pdf")).expect("it is there");
    }
    for name in ["All", "all", "ALL", "Cyan", "magenta", "Yellow", "Black", "black", "Grey"] {
        small(keep.path(), &format!("press: {{spot: {name}}}\n"));
        let refused = run_in(keep.path(), &["bind", "book.yaml", "-o", "out.pdf", "--for", "press"]);
        assert_eq!((refused.status, keep.path().join("out.pdf").exists()), (1, false), "{name}");
        let says = format!("`{name}` is no second ink");
        assert!(
            refused.err.contains(&says) && refused.err.contains("book.yaml:") && refused.err.contains("hint: "),
            "{}",
            refused.err
        );
    }
}

/// The command line and the job sheet say one number of pages, sheets and millimetres; the digest is what any system reckons.
#[test]
fn the_job_sheet_says_what_the_command_says() {
    let (_keep, book) = copy_of("lantern-nights");
    let source = book.join("book.yaml");
    let text = fs::read_to_string(&source).expect("the book is there").replace("binding: comb", "binding: saddle");
    let more = "press: {stock: {grams: 90, bulk: 1.3}, cover: {grams: 250, bulk: 1.1}, marks: [crop, registration]}\n";
    let text: String =
        text.lines().filter(|line| !line.starts_with("press:")).map(|line| format!("{line}\n")).collect();
    fs::write(&source, text + more).expect("written");
    let source = source.to_string_lossy().into_owned();
    for words in [&["--for", "press"][..], &["--for", "press", "--impose", "saddle"]] {
        let to = book.join("out.pdf");
        let target = to.to_string_lossy().into_owned();
        let bound = run(&[&["bind", &source, "-o", &target, "--job-sheet"], words].concat());
        assert_eq!(bound.status, 0, "{}", bound.err);
        let sheet = text_of(&book.join("out.job.pdf"));
        let spine = bound
            .out
            .lines()
            .find_map(|line| line.trim().strip_prefix("the spine is "))
            .expect("it tells of the spine");
        assert!(sheet.contains(spine), "{spine} in {sheet}");
        let line = bound.out.lines().nth(1).expect("a line of numbers");
        let number = |text: &str, unit: &str| -> usize {
            let (before, _) = text.split_once(unit).unwrap_or_else(|| panic!("{unit} in {text}"));
            before
                .split(|c: char| !c.is_ascii_digit())
                .rfind(|part| !part.is_empty())
                .and_then(|n| n.parse().ok())
                .expect("a number")
        };
        let added = if line.contains("blank one") { number(line, " blank one") } else { 0 };
        let pages = number(line, " page") + added;
        assert!(sheet.contains(&format!("Pages {pages}, of which")), "{line}: {sheet}");
        assert_eq!(pages % 4, 0, "stapled pages come in fours");
        assert_eq!(number(line, " sheets of paper").max(pages / 4), pages / 4, "{line}");
        assert!(sheet.contains(&format!("Sheets of paper {}, ", pages / 4)), "{line}: {sheet}");
        assert!(
            sheet.contains("one sheet, folded in the middle: 420.0 x 297.0 mm trimmed, 426.0 x 303.0 mm with bleed"),
            "{sheet}"
        );
        assert!(sheet.contains("crop marks and registration targets"), "{sheet}");
        assert!(sheet.replace(' ', "").contains(&digest(&fs::read(&to).expect("it is bound"))), "{sheet}");
    }
}

/// What a printer prices by: which sides carry the second ink, whether ink runs off the page, the grain, the book's number.
#[test]
fn the_job_sheet_says_what_a_quotation_needs() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let words = ["bind", "book.yaml", "-o", "out.pdf", "--for", "press", "--job-sheet"];
    small(keep.path(), "page: {binding: saddle}\npress: {spot: Lamp Red}\nimprint: {isbn: 978-3-16-148410-0}\n");
    let bound = run_in(keep.path(), &words);
    assert_eq!(bound.status, 0, "{}", bound.err);
    let sheet = text_of(&keep.path().join("out.job.pdf"));
    // The content tells: words are filled in the separation, the marks of every page only stroked.
    let file = Document::load(keep.path().join("out.pdf")).expect("it is bound");
    let pages = file.get_pages();
    let painted = pages.values().filter(|page| {
        let content = file.get_page_content(**page);
        content.windows(8).any(|part| part == b"/Spot cs")
    });
    let (count, sides) = (painted.count(), pages.len());
    assert!(
        count > 0 && sheet.contains(&format!("black and Lamp Red; Lamp Red on {count} of {sides} sides")),
        "{count}: {sheet}"
    );
    for says in
        ["ISBN 978-3-16-148410-0", "Grain parallel to the spine", "Edges nothing runs off the page; at the fold "]
    {
        assert!(sheet.contains(says), "{says}: {sheet}");
    }
    small(keep.path(), "page: {binding: none}\n");
    assert_eq!(run_in(keep.path(), &words).status, 0);
    let sheet = text_of(&keep.path().join("out.job.pdf"));
    assert!(sheet.contains("Inks black alone") && !sheet.contains("Grain") && !sheet.contains("ISBN"), "{sheet}");
}

/// An ICC profile as far as its header and its name go (ICC.1:2001-04, 6.1, 6.2, 6.5.17), of a class, a space and a version.
fn icc(class: &[u8; 4], space: &[u8; 4], version: u8) -> Vec<u8> {
    let name = b"Pressroom Two, uncoated\0";
    let mut out = vec![0; 128];
    out[8] = version;
    out[12..16].copy_from_slice(class);
    out[16..20].copy_from_slice(space);
    out[20..24].copy_from_slice(b"Lab ");
    out[36..40].copy_from_slice(b"acsp");
    let size = 12 + name.len();
    out.extend(1u32.to_be_bytes());
    out.extend(b"desc");
    out.extend([144, u32::try_from(size).expect("small")].into_iter().flat_map(u32::to_be_bytes));
    out.extend(b"desc\0\0\0\0");
    out.extend(u32::try_from(name.len()).expect("small").to_be_bytes());
    out.extend(name);
    let size = u32::try_from(out.len()).expect("small").to_be_bytes();
    out[..4].copy_from_slice(&size);
    out
}

/// A shop's profile goes into files of every standard as it came, under the name that the shop uses; the second ink is shown in its
/// space.
#[test]
fn a_shops_own_profile_is_carried() {
    use lopdf::Object;
    let keep = tempfile::tempdir().expect("a folder for the test");
    let words = ["bind", "book.yaml", "-o", "out.pdf", "--for", "press", "--job-sheet", "--standard"];
    for (space, inks, alternate) in [(b"CMYK", 4, "DeviceCMYK"), (b"GRAY", 1, "DeviceGray")] {
        let profile = icc(b"prtr", space, 2);
        fs::write(keep.path().join("shop.icc"), &profile).expect("written");
        for (named, identifier, is_registered) in [
            ("", "Pressroom Two, uncoated", false),
            (", condition: FOGRA51", "FOGRA51", true),
            (", condition: House 7", "House 7", false),
        ] {
            for standard in ["x-1a", "x-4", "a-2b"] {
                small(keep.path(), &format!("press: {{spot: Lamp Red, profile: shop.icc{named}}}\n"));
                let bound = run_in(keep.path(), &[&words[..], &[standard]].concat());
                assert_eq!((bound.status, bound.err.as_str()), (0, ""), "{standard}{named}");
                let file = Document::load(keep.path().join("out.pdf")).expect("it is bound");
                let intents = file.catalog().and_then(|all| all.get(b"OutputIntents")).and_then(Object::as_array);
                let [intent] = &intents.expect("a list")[..] else { panic!("{standard}: one intent") };
                let intent = intent.as_dict().expect("a dictionary");
                let text = |key: &[u8]| intent.get(key).and_then(Object::as_str).map(String::from_utf8_lossy).ok();
                assert_eq!(text(b"OutputConditionIdentifier").as_deref(), Some(identifier), "{standard}");
                assert_eq!(text(b"RegistryName").is_some(), is_registered, "{standard}{named}");
                assert_eq!(text(b"Info").as_deref(), Some("Pressroom Two, uncoated"), "{standard}{named}");
                let carried = intent.get(b"DestOutputProfile").and_then(Object::as_reference).expect("a profile");
                let carried = file.get_object(carried).and_then(Object::as_stream).expect("a stream");
                assert_eq!(carried.dict.get(b"N").and_then(Object::as_i64).expect("a number"), inks);
                assert!(carried.decompressed_content().expect("it is deflated") == profile, "{standard}: as it came");
                let separations = file.objects.values().filter_map(|object| object.as_array().ok());
                let mut separations = separations
                    .filter(|parts| parts.first().and_then(|part| part.as_name().ok()) == Some(b"Separation"));
                let under = separations.next().and_then(|parts| parts[2].as_name().ok()).map(String::from_utf8_lossy);
                assert_eq!(under.as_deref(), Some(alternate), "{standard}");
                let sheet = text_of(&keep.path().join("out.job.pdf"));
                let says = format!("Printing condition {identifier}; the file carries the shop's profile shop.icc");
                assert!(sheet.replace('\u{2019}', "'").contains(&says), "{sheet}");
            }
        }
    }
    // What is no profile of a press is an error where it is named, and nothing is written.
    fs::remove_file(keep.path().join("out.pdf")).expect("it is there");
    for (bytes, standard, says) in [
        (icc(b"mntr", b"RGB ", 2), "x-1a", "is a profile of a screen"),
        (icc(b"prtr", b"RGB ", 2), "x-4", "for `RGB`"),
        (icc(b"prtr", b"CMYK", 4), "x-1a", "is of version 4"),
        (icc(b"prtr", b"CMYK", 2)[..140].to_vec(), "x-4", "is torn"),
        (b"%PDF-1.4".to_vec(), "x-4", "is no ICC profile"),
    ] {
        fs::write(keep.path().join("shop.icc"), bytes).expect("written");
        let refused = run_in(keep.path(), &[&words[..], &[standard]].concat());
        assert_eq!((refused.status, keep.path().join("out.pdf").exists()), (1, false), "{says}: {}", refused.err);
        assert!(
            refused.err.contains("error[bad-profile]: `shop.icc`") && refused.err.contains(says),
            "{}",
            refused.err
        );
        assert!(refused.err.contains("book.yaml:11:"), "{}", refused.err);
    }
    fs::write(keep.path().join("shop.icc"), icc(b"prtr", b"CMYK", 4)).expect("written");
    assert_eq!(run_in(keep.path(), &[&words[..], &["x-4"]].concat()).status, 0);
}

/// SHA-256 in hexadecimal digits.
fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[test]
fn the_digest_is_that_of_the_published_example() {
    // FIPS 180-2, appendix B.1.
    assert_eq!(digest(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

/// How often the program is killed.
const KILLS: usize = 60;

/// Killed at any moment, it leaves no job sheet beside a file that it is not of.
#[test]
fn kills_leave_no_job_sheet_of_another_file() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let mut killing = Killing::new(20_261_127);
    let mut whole = 0;
    for round in 0..KILLS {
        small(keep.path(), "");
        let book = fs::read_to_string(keep.path().join("book.yaml")).expect("written");
        fs::write(keep.path().join("book.yaml"), book.replace("title: Small", &format!("title: Small {round}")))
            .expect("written");
        killing.run(keep.path(), &["bind", "book.yaml", "-o", "small.pdf", "--for", "press", "--job-sheet"]);
        let sheet = keep.path().join("small.job.pdf");
        if sheet.exists() {
            let bytes = fs::read(keep.path().join("small.pdf")).expect("there is always a file");
            let said = text_of(&sheet).replace(' ', "");
            assert!(said.contains(&digest(&bytes)), "kill {round}: the job sheet is of another file");
            whole += 1;
        }
    }
    assert!(whole > 2, "{whole} job sheets were looked at");
}
