//! Generated pages on a small page: what takes a page more for a few lines is set otherwise, and what is one is not parted.

use super::*;
use crate::book::Matter;

fn a5(text: f64, parts: &[Matter]) -> Document {
    let mut book = sample::book(Size::new(Abs::mm(148.0), Abs::mm(210.0)), Abs::pt(text), tunes());
    // A term of eight weeks.
    for _ in 0..2 {
        let weeks = book.chapters.clone();
        book.chapters.extend(weeks);
    }
    (book.front, book.back) = (Vec::new(), parts.to_vec());
    let (mut document, sink) = bind(&book, &SYSTEMS);
    assert!(sink.items().iter().all(|item| item.code == "page-turn"), "{:?}", sink.items());
    // The parts come last.
    let first = document.pages.iter().position(|page| {
        let title = words_of(page);
        ["Chords and their directions", "Practice log", "Holding, and"].iter().any(|word| title.contains(word))
    });
    document.pages.drain(..first.expect("the part begins a page"));
    document
}

fn words_of(page: &Page) -> String {
    let mut words = Vec::new();
    walk(&page.frame, Point::default(), &mut |_, item| {
        if let Item::Text(run) = item {
            words.push(run.text.to_string());
        }
    });
    words.join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn cross_chords_stand_beside_each_other_where_that_spares_a_page() {
    let heads = |text| words(&a5(text, &[Matter::ChordChart])).matches("chord push pull").count();
    let pages = |text| a5(text, &[Matter::ChordChart]).pages.len();
    assert_eq!((heads(8.5), pages(8.5)), (1, 1), "there is room for one table");
    assert_eq!((heads(11.0), pages(11.0)), (2, 1), "there is room for two beside each other");
}

#[test]
fn a_week_of_the_log_is_on_one_page_in_large_print_too() {
    for text in [9.5, 11.0, 16.0, 18.0] {
        let document = a5(text, &[Matter::PracticeLog]);
        assert!(document.pages.len() > 1, "{text}");
        for page in &document.pages[1..] {
            let words = words_of(page);
            let (_, below) = words.split_once("comes next").expect("the head stands on each page");
            assert!(below.trim_start().starts_with("Week"), "{text}: {words}");
        }
    }
}

#[test]
fn terms_stand_closer_where_that_spares_a_page_of_a_few_lines() {
    for (text, pages) in [(10.0, 1), (11.0, 1), (11.5, 1), (12.0, 1), (13.0, 2)] {
        let document = a5(text, &[Matter::Holding, Matter::HowTo, Matter::Measure, Matter::Glossary]);
        let is_first = |page: &Page| words_of(page).contains("Words of the trade");
        let first = document.pages.iter().position(is_first).expect("the glossary has a title");
        assert_eq!(document.pages.len() - first, pages, "{text}");
        let last = inks(document.pages.last().expect("it has pages"));
        let foot = last.iter().filter(|(_, words)| words.len() > 3).map(|(ink, _)| ink.max.y).fold(Abs::ZERO, Abs::max);
        assert!(foot > Abs::mm(210.0 / 3.0), "{text}: the last page holds a few lines, down to {foot:?}");
    }
}

/// The end of one meaning is no nearer to the next term than to its own first line.
#[test]
fn all_lines_of_the_glossary_have_one_leading() {
    for text in [10.0, 11.0, 11.5, 12.0] {
        let document = a5(text, &[Matter::Holding, Matter::HowTo, Matter::Measure, Matter::Glossary]);
        let page = document.pages.iter().find(|page| words_of(page).contains("Words of the trade"));
        let mut lines: Vec<f64> = Vec::new();
        walk(&page.expect("the glossary has a title").frame, Point::default(), &mut |at, item| match item {
            Item::Text(run) if run.size.is_near(Abs::pt(text)) => lines.push(at.y.to_pt()),
            _ => {}
        });
        lines.sort_by(f64::total_cmp);
        lines.dedup_by(|one, other| (*one - *other).abs() < 1.0);
        let apart: Vec<f64> = lines.windows(2).map(|pair| pair[1] - pair[0]).collect();
        assert!(apart.len() > 20, "{text}: {apart:?}");
        assert!(apart.iter().all(|apart_here| (apart_here - apart[0]).abs() < 0.02), "{text}: {apart:?}");
    }
}

/// The sign before the rest of a line of code is in the key of a book that has one, whatever its language, and of no other.
#[test]
fn turned_code_is_explained_in_the_key() {
    let size = Size::new(Abs::mm(148.0), Abs::mm(210.0));
    let plan = sample::plan();
    for (language, sentence) in
        [("en-GB", "goes on here from"), ("en-US", "goes on here from"), ("fr", "Une ligne à taper continue ici")]
    {
        for (repeats, is_turned) in [(3, false), (30, true)] {
            let mut book = sample::book(size, Abs::pt(12.0), tunes());
            (book.front, book.back, book.language) = (Vec::new(), vec![Matter::Key], language.to_owned());
            let mut material = sample::material(&book, &plan, &SYSTEMS);
            material.chapters[0] = sample::blocks(&format!("Type:\n\n    {}\n", "word ".repeat(repeats)));
            let mut sink = Sink::default();
            let document = lay_out(&material, fonts(), &mut sink);
            assert!(sink.items().iter().all(|item| item.code == "page-turn"), "{:?}", sink.items());
            let said = document.pages.iter().any(|page| words_of(page).contains(sentence));
            assert_eq!(said, is_turned, "{language}, {repeats}");
        }
    }
}
