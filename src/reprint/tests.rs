//! Hand-made records against one another.

use super::*;
use crate::page::{Facts, Identity, PageBoxes, PageRecord};
use crate::sheet::{Placement, Scheme};

fn record(pages: &[(&str, &str)], bars: &[(&str, &str, &[&str])]) -> Manifest {
    let identity = Identity { book: "lamp".into(), ..Identity::default() };
    let pages = pages.iter().map(|(label, digest)| PageRecord { label: (*label).into(), digest: (*digest).into() });
    let bars = bars.iter().map(|(bar, page, facts)| BarRecord {
        tune: "rope".into(),
        title: "The Ferry Rope".into(),
        bar: (*bar).into(),
        page: (*page).into(),
        digest: facts.join(""),
        facts: facts.iter().collect(),
    });
    Manifest {
        identity,
        options: vec![("size".into(), "a4".into())],
        digest_version: 1,
        pages: pages.collect(),
        bars: bars.collect(),
        ..Manifest::default()
    }
}

#[test]
fn a_changed_pin_is_told_by_page_tune_bar_and_note() {
    let old = record(
        &[("1", "a"), ("2", "b")],
        &[("3", "2", &["note 1: outer 4, push, finger 2", "note 2: inner 4, push, finger 1"])],
    );
    let new = record(
        &[("1", "a"), ("2", "c")],
        &[("3", "2", &["note 1: outer 4, push, finger 2", "note 2: outer 5, pull, finger 3"])],
    );
    let changes = compare(&new, &old).expect("they are one book");
    assert_eq!(changes.pages, [PageChange { label: "2".into(), index: Some(1), fate: PageFate::Changed }]);
    assert_eq!(
        lines(&changes),
        ["page 2, The Ferry Rope, bar 3, note 2: now outer 5, pull, finger 3, formerly inner 4, push, finger 1"]
    );
}

#[test]
fn equal_records_have_nothing_to_say() {
    let old = record(&[("1", "a")], &[("1", "1", &["note 1: outer 4, push"])]);
    let changes = compare(&old, &old).expect("they are one book");
    assert!(changes.is_empty() && lines(&changes).is_empty());
    assert_eq!(changes.advice(false), Advice::Nothing);
    assert_eq!(changes.brief(&Document::default()), "nothing changed since the last time: 0 pages");
    assert_eq!(changes.first(), None);
}

#[test]
fn pages_come_and_go_and_bars_with_them() {
    let old = record(&[("1", "a"), ("2", "b"), ("3", "x")], &[("1", "2", &["note 1: a"]), ("2", "3", &["note 1: b"])]);
    let new =
        record(&[("1", "a"), ("2", "b"), ("2a", "n")], &[("1", "2", &["note 1: a", "note 2: c"]), ("1+", "2a", &[])]);
    let changes = compare(&new, &old).expect("they are one book");
    let fates: Vec<_> = changes.pages.iter().map(|page| (page.label.as_str(), page.fate)).collect();
    assert_eq!(fates, [("2a", PageFate::Added), ("3", PageFate::Removed)]);
    let list = lines(&changes).join("\n");
    for wanted in
        ["page 2a is new", "page 3 is gone", "note 2 is new: c", "bar 1+, the bar is new", "bar 2, the bar is gone"]
    {
        assert!(list.contains(wanted), "{wanted} in {list}");
    }
}

#[test]
fn a_bar_that_only_moved_is_not_called_changed() {
    let old = record(&[("1", "a")], &[("1", "1", &["note 1: a"])]);
    let mut new = old.clone();
    new.pages[0].digest = "z".into();
    new.bars[0].digest = "elsewhere".into();
    let changes = compare(&new, &old).expect("they are one book");
    assert!(changes.bars.is_empty() && changes.respaced == 1);
    assert_eq!(lines(&changes), ["page 1: text, numbers or setting changed"]);
}

#[test]
fn other_books_editions_options_and_digests_are_refused() {
    let old = record(&[("1", "a")], &[]);
    let with = |change: fn(&mut Manifest)| {
        let mut new = old.clone();
        change(&mut new);
        compare(&new, &old).expect_err("it is refused")
    };
    assert!(matches!(with(|new| new.identity.book = "other".into()), Refusal::OtherBook { .. }));
    assert!(matches!(with(|new| new.identity.edition = "large".into()), Refusal::OtherEdition { .. }));
    assert!(matches!(with(|new| new.options.clear()), Refusal::OtherOption { .. }));
    assert!(matches!(with(|new| new.digest_version = 2), Refusal::OtherDigest { .. }));
    assert!(matches!(with(|new| new.pages[0].digest.clear()), Refusal::NoDigests));
    // Another date, impression or title is the same book.
    let mut new = old.clone();
    new.identity.date = "2027-01-01".into();
    new.identity.impression = 2;
    assert!(compare(&new, &old).is_ok());
}

#[test]
fn from_sixty_per_cent_on_the_book_is_printed_anew() {
    let labels: Vec<String> = (1..=10).map(|number| number.to_string()).collect();
    let old: Vec<(&str, &str)> = labels.iter().map(|label| (label.as_str(), "a")).collect();
    for (changed, reissue) in [(5, false), (6, true)] {
        let mut new = old.clone();
        for page in new.iter_mut().take(changed) {
            page.1 = "b";
        }
        let changes = compare(&record(&new, &[]), &record(&old, &[])).expect("they are one book");
        assert_eq!(matches!(changes.advice(false), Advice::Reissue(_)), reissue, "{changed} of 10");
        assert!(matches!(changes.advice(true), Advice::Reissue(_)));
    }
}

fn one_changed(index: usize) -> Changes {
    let page = PageChange { label: (index + 1).to_string(), index: Some(index), fate: PageFate::Changed };
    Changes { pages: vec![page], of_pages: 16, ..Changes::default() }
}

fn side(paper: usize, pages: impl Iterator<Item = usize>) -> Sheet {
    let pages = pages.map(|page| Placement::upright(page, Default::default())).collect();
    let boxes = PageBoxes { media: Default::default(), bleed: Default::default(), trim: Default::default() };
    Sheet { boxes, pages, marks: Default::default(), label: String::new(), paper }
}

fn pages_of(sheets: &[&Sheet]) -> Vec<usize> {
    let mut pages: Vec<usize> = sheets.iter().flat_map(|sheet| &sheet.pages).map(|placed| placed.page + 1).collect();
    pages.sort_unstable();
    pages
}

#[test]
fn a_loose_leaf_is_printed_on_both_sides() {
    let sheets: Vec<Sheet> = (0..16).map(|page| side(page / 2, std::iter::once(page))).collect();
    assert_eq!(pages_of(&one_changed(4).sheets(&sheets, false)), [5, 6]);
    assert_eq!(pages_of(&one_changed(5).sheets(&sheets, false)), [5, 6]);
}

/// A stapled booklet of 16: page 5 shares its sheet with 6, 11 and 12.
#[test]
fn a_stapled_sheet_carries_its_four_pages() {
    let plans = Scheme::Saddle.sheets(16);
    let sheets: Vec<Sheet> = plans
        .iter()
        .enumerate()
        .flat_map(|(paper, plan)| {
            [&plan.front, &plan.back].map(|cells| side(paper, cells.iter().map(|cell| cell.slot)))
        })
        .collect();
    assert_eq!(pages_of(&one_changed(4).sheets(&sheets, true)), [5, 6, 11, 12]);
    let grown = Changes { recounted: true, ..one_changed(4) };
    assert_eq!(grown.sheets(&sheets, true).len(), sheets.len());
}

#[test]
fn tunes_on_another_page_are_named() {
    let bars = |pages: [&str; 2]| -> Vec<BarRecord> {
        let bar = |tune: &str, page: &str| BarRecord {
            tune: tune.into(),
            title: tune.to_uppercase().into(),
            bar: "1".into(),
            page: page.into(),
            digest: "d".into(),
            facts: Facts::default(),
        };
        vec![bar("rope", pages[0]), bar("bell", pages[1]), bar("bell", "9")]
    };
    let at = |pages, digest| Manifest { bars: bars(pages), ..record(&[("1", "a"), ("3", digest)], &[]) };
    let changes = compare(&at(["1", "3"], "y"), &at(["1", "2"], "x")).expect("they are one book");
    assert_eq!(changes.moved, [Move { title: "BELL".into(), from: "2".into(), to: "3".into() }]);
    assert!(lines(&changes).contains(&"BELL moved from page 2 to page 3".to_owned()));
    assert!(compare(&at(["1", "2"], "x"), &at(["1", "2"], "x")).expect("they are one book").moved.is_empty());
}
