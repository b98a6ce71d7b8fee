//! How a reading file is heard and gone through from end to end: what is told first, where links and the outline lead, what is
//! one element, what is no content.
//!
//! Sources: ISO 32000-1, 14.8.4.3 (lists, contents), 14.8.2.2 (artifacts); ISO 14289-1, 7.8 and 7.18.5. Slurs and played order
//! are read from the tunes.

use crate::program::run;
use crate::spoken::{alternative, alternatives, composed, dictionary, kids, kind, tagged};
use boxwright::book::Matter;
use boxwright::frame::{Frame, Group, Item, Role};
use boxwright::tune::played;
use lopdf::{Dictionary, Object};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;

/// What a group is about: the tune and bar of the first subject in it.
fn subject(frame: &Frame) -> Option<String> {
    frame.items().iter().find_map(|(_, item)| match item {
        Item::Group(group) => match &group.subject {
            Some(subject) => Some(subject.0.to_string()),
            None => subject(&group.frame),
        },
        _ => None,
    })
}

/// The lines of music of each tune, by its id.
fn lines(document: &boxwright::page::Document) -> BTreeMap<String, String> {
    let mut lines: BTreeMap<String, String> = BTreeMap::new();
    for (alt, group) in alternatives(document) {
        let about = subject(&group.frame).unwrap_or_default();
        let tune = about.split_whitespace().find_map(|word| word.strip_prefix("tune:"));
        if let Some(tune) = tune {
            lines.entry(tune.to_owned()).or_default().push_str(&format!("{alt} "));
        }
    }
    lines
}

#[test]
fn a_bar_that_is_come_to_from_elsewhere_says_its_direction() {
    composed("lantern-nights", None, "en-GB", |planned, document, _| {
        let lines = lines(document);
        let mut count = 0;
        for entry in planned.book.tunes() {
            let (order, said) = (played(&entry.tune), &lines[&entry.id]);
            let pairs = order.iter().zip(order.iter().skip(1)).filter(|(from, to)| from.bar + 1 != to.bar);
            for bar in pairs.map(|(_, to)| to.bar).collect::<BTreeSet<_>>() {
                let label = entry.tune.bars[bar].label.to_string();
                let Some((_, rest)) = said.split_once(&format!("Bar {label}:")) else { continue };
                // The direction stands with the first note, before its button.
                let button = [", outer ", ", inner ", ", half "].iter().filter_map(|row| rest.find(row)).min();
                let first = &rest[..button.expect("a bar that is played")];
                assert!(first.ends_with(", push") || first.ends_with(", pull"), "{}: {first}", entry.title);
                count += 1;
            }
        }
        assert!(count > 20, "{count} bars are come to from elsewhere");
    });
}

#[test]
fn every_slur_is_said() {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let source = format!("{}/tests/specimen/notation.yaml", env!("CARGO_MANIFEST_DIR"));
    let target = keep.path().join("a.pdf").to_string_lossy().into_owned();
    assert_eq!(run(&["bind", &source, "-o", &target]).status, 0);
    let pdf = lopdf::Document::load_mem(&fs::read(&target).expect("it is there")).expect("it opens");
    let alt = |object: &Object| lopdf::decode_text_string(object.as_dict().ok()?.get(b"Alt").ok()?).ok();
    let said: String = pdf.objects.values().filter_map(alt).collect();
    let count = |words: &str| said.matches(words).count();
    // The specimens of slurs have 17, 2 and 6, other tunes some more: each begins and ends, but those inside one note's graces.
    assert!(count("slur begins") >= 25, "{} slurs", count("slur begins"));
    assert_eq!(count("slur begins"), count("slur ends"));
}

/// The elements at the top of a demo book's file.
fn tops(book: &str, look: impl FnOnce(&lopdf::Document, &[&Dictionary])) {
    let keep = tempfile::tempdir().expect("a folder for the test");
    let source = format!("{}/books/{book}/book.yaml", env!("CARGO_MANIFEST_DIR"));
    let target = keep.path().join("a.pdf").to_string_lossy().into_owned();
    assert_eq!(run(&["bind", &source, "-o", &target]).status, 0);
    let pdf = lopdf::Document::load_mem(&fs::read(&target).expect("it is there")).expect("it opens");
    let root =
        dictionary(&pdf, pdf.catalog().expect("a catalog").get(b"StructTreeRoot").expect("a tree")).expect("a root");
    let document = dictionary(&pdf, root.get(b"K").expect("kids")).expect("a document");
    look(&pdf, &kids(&pdf, document));
}

/// What kind of labels a list has.
fn numbering(list: &Dictionary) -> &[u8] {
    let attributes = list.get(b"A").and_then(Object::as_dict);
    attributes.and_then(|a| a.get(b"ListNumbering")).and_then(Object::as_name).unwrap_or_default()
}

#[test]
fn lists_have_their_labels_first_and_go_on_over_columns() {
    tops("lantern-nights", |pdf, tops| {
        let mut labelled = 0;
        let lists: Vec<&&Dictionary> = tops.iter().filter(|top| kind(top) == b"L").collect();
        for list in &lists {
            for item in kids(pdf, list) {
                let parts: Vec<&[u8]> = kids(pdf, item).into_iter().map(kind).collect();
                let marked = numbering(list) != b"None";
                assert!(parts == [&b"Lbl"[..], b"LBody"] || !marked && parts == [b"LBody"], "{parts:?}");
                labelled += usize::from(marked);
            }
        }
        assert!(labelled > 15, "{labelled} items with numbers and bullets");
        for pair in tops.windows(2) {
            let both = pair.iter().all(|top| kind(top) == b"L" && numbering(top) == b"None");
            assert!(!both, "a list stops where a column ends");
        }
        assert!(lists.iter().any(|list| kids(pdf, list).len() > 25), "the tunes of the index are one list");
        // The tunes of a chapter stand under it in the contents.
        let contents = tops.iter().find(|top| kind(top) == b"TOC").expect("contents");
        let inner = kids(pdf, contents).into_iter().filter(|entry| kind(entry) == b"TOC");
        assert_eq!(inner.map(|inner| kids(pdf, inner).len()).sum::<usize>(), 25);
    });
}

#[test]
fn links_say_where_they_lead_and_signs_are_heard_once() {
    composed("lantern-nights", None, "en-GB", |planned, document, _| {
        for entry in planned.book.tunes() {
            let page = document.outline.iter().find(|heading| heading.title == entry.title).expect("it is listed").page;
            let said = &document.links[format!("tune:{}", entry.id).as_str()];
            assert_eq!(*said, format!("{}, page {}", entry.title, document.pages[page].label));
        }
        let groups = tagged(document);
        let with =
            |role: Role| groups.iter().filter(move |group| group.tag.as_ref().is_some_and(|tag| tag.role == role));
        // Pages with a folio have one; a running head stands on fewer.
        let (heads, feet) = (with(Role::Header).count(), with(Role::Footer).count());
        assert!(heads > 20 && heads < feet && feet < document.pages.len(), "{heads} heads, {feet} folios");
        let letters = |group: &Group| -> String {
            fn gather(frame: &Frame, said: &mut String) {
                for (_, item) in frame.items() {
                    match item {
                        Item::Text(run) => said.push_str(&run.text),
                        Item::Group(group) => gather(&group.frame, said),
                        _ => {}
                    }
                }
            }
            let mut said = String::new();
            gather(&group.frame, &mut said);
            said.split_whitespace().collect()
        };
        let paragraphs: BTreeSet<String> = with(Role::Paragraph).map(|group| letters(group)).collect();
        for figure in with(Role::Figure) {
            let said: String = alternative(figure).split_whitespace().collect();
            assert!(!paragraphs.contains(&said), "{said} is heard twice");
        }
    });
}

/// A chapter without tunes is gone through by its sections, which are written here as the author wrote them.
#[test]
fn chapters_without_tunes_list_their_sections_in_the_outline() {
    composed("guide", None, "en-GB", |planned, document, _| {
        let mut sections = 0;
        for (n, chapter) in planned.book.chapters.iter().enumerate().filter(|(_, chapter)| chapter.tunes.is_empty()) {
            let at = document.outline.iter().position(|entry| entry.title == chapter.title).expect("it is listed");
            let under: Vec<String> = document.outline[at + 1..]
                .iter()
                .take_while(|entry| entry.level > 0)
                .map(|entry| entry.title.replace(|c: char| !c.is_alphanumeric(), ""))
                .collect();
            let path = format!("{}/books/guide/chapters", env!("CARGO_MANIFEST_DIR"));
            let mut files: Vec<_> =
                fs::read_dir(path).expect("chapters").map(|file| file.expect("one").path()).collect();
            files.retain(|file| file.extension().is_some_and(|kind| kind == "md"));
            files.sort();
            let text = fs::read_to_string(&files[n]).expect("it reads");
            let mut fenced = false;
            let written: Vec<String> = text
                .lines()
                .filter_map(|line| {
                    fenced ^= line.trim_start().starts_with("```");
                    line.strip_prefix("## ").filter(|_| !fenced)
                })
                .map(|title| title.replace(|c: char| !c.is_alphanumeric(), ""))
                .collect();
            assert_eq!(under, written, "{}", chapter.title);
            sections += under.len();
        }
        assert!(sections > 60, "{sections} sections");
        assert!(planned.book.back.contains(&Matter::Index));
    });
}
