//! The large-print editions of the demo books, as bound, against the guidelines that its preset follows.
//!
//! Sources: UKAAF G003 *Creating clear print and large print* (2019); American Council of the Blind, *Best practices and
//! guidelines for large print* (2022, rev. 2025); Australian school guidelines for large print; WCAG 2, success criteria 1.4.6
//! and 1.4.8. They differ among themselves: ACB asks for 18 points for everything, UKAAF for 16 at least and for folios and
//! labels no smaller than the text; the preset takes 18 for text and 16 for labels, and says so. Values by second-hand tables.

use boxwright::book;
use boxwright::diag::{Sink, Sources};
use boxwright::font::Fonts;
use boxwright::frame::{Frame, Ink, Item, TextRun};
use boxwright::geom::Abs;
use boxwright::pipeline;
use boxwright::style::Family;
use std::fs;
use std::path::Path;

/// Calls `with` for every run of a frame; the flag says whether it stands in the music.
fn runs(frame: &Frame, music: bool, with: &mut impl FnMut(&TextRun, bool)) {
    for (_, item) in frame.items() {
        match item {
            Item::Text(run) => with(run, music),
            Item::Group(group) => runs(&group.frame, music || group.subject.is_some(), with),
            _ => {}
        }
    }
}

#[test]
fn large_print_follows_its_guidelines() {
    follows("books/first-steps/book.yaml");
}

/// Its staff is lower than the preset's, so the smallest type decides the size of most that stands on the music.
#[test]
fn large_print_on_a_lower_staff_follows_its_guidelines() {
    follows("books/lantern-nights/book.yaml");
}

fn follows(book: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(book);
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let mut files = |path: &str| fs::read(path).map_err(|error| error.to_string());
    let path = path.to_str().expect("the checkout's path is plain");
    let book = book::read(path, Some("large-print"), &mut files, &mut sources, &mut sink).expect("the book reads");
    let fonts = Fonts::embedded();
    let document = pipeline::compose(&pipeline::plan(&book, &mut sink), &fonts, &mut sink);

    let text = &book.text;
    // UKAAF G003: 16 points at least, ideally 18; ACB: 18.
    assert!(text.size >= Abs::pt(18.0) && text.smallest >= Abs::pt(16.0));
    // Australian school guidelines: line spacing of 1.25; ACB: 1.15.
    assert!(text.leading / text.size >= 1.25);
    // UKAAF G003, ACB: left aligned, words not split, no italics; a plain sans whose letters differ (APH).
    assert!(!text.justified && !text.hyphenate && !text.italics);
    assert_eq!((text.family, text.labels), (Family::Legible, Family::Legible));
    // WCAG 1.4.8: not justified, line spacing; and of 80 characters a line at most, below.

    let (mut seen, mut smallest, mut longest) = (0, (Abs::pt(1000.0), String::new()), 0);
    for page in &document.pages {
        runs(&page.frame, false, &mut |run, music| {
            if run.face == fonts.music_face() || run.text.trim().is_empty() {
                return;
            }
            seen += 1;
            // Names on drawn buttons must fit into them; no guideline gives them a size, and 14 points is our own floor.
            // What stands on the music is no smaller than any other label.
            let fits = !music && run.text.chars().count() <= 3;
            let least = if fits { Abs::pt(13.9) } else { Abs::pt(15.99) };
            if music || fits {
                assert!(run.size >= least, "{:?} is set in {:.1} pt", run.text, run.size.to_pt());
            } else if run.size < smallest.0 {
                smallest = (run.size, run.text.to_string());
            }
            longest = longest.max(run.text.chars().count());
            let name = &fonts.face(run.face).name;
            assert!(!name.contains("Italic") && !name.ends_with("It"), "{:?} is italic", run.text);
            assert!(!run.text.contains('\u{ad}'), "{:?} is divided", run.text);
            // WCAG 1.4.6 wants a contrast of 7:1; black on white has 21:1, and no grey is allowed for words.
            assert!(matches!(run.ink, Ink::Black | Ink::Second | Ink::Paper), "{:?} is grey", run.text);
        });
    }
    assert!(seen > 500, "{seen} runs");
    assert!(smallest.0 >= Abs::pt(15.99), "{:?} is set in {:.1} pt", smallest.1, smallest.0.to_pt());
    assert!(longest <= 80, "a line has {longest} characters");
}
