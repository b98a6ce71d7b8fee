//! Whole books of every page kind at five page sizes, two orientations and three type sizes: nothing leaves the page, nothing
//! lies on anything else; labels, links, record.

use super::document::{Document, Page, SheetKind, Side};
use super::{lay_out, sample};
use crate::book::{Book, TuneEntry};
use crate::diag::Sink;
use crate::engrave::Sign;
use crate::font::Fonts;
use crate::frame::{Frame, Item, LinkTarget, Role, TextRun};
use crate::geom::{Abs, Point, Rect, Size};
use crate::instrument::RowAt;
use crate::style::{BlankPages, TunePages};
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

#[path = "cover_tests.rs"]
mod cover;
#[path = "fit_tests.rs"]
mod fit;

fn fonts() -> &'static Fonts {
    static FONTS: OnceLock<Fonts> = OnceLock::new();
    FONTS.get_or_init(Fonts::embedded)
}

fn tunes() -> Vec<TuneEntry> {
    vec![
        sample::entry("tin-lantern", "The Tin Lantern", 16),
        sample::entry("ferry-rope", "Ferry Rope", 24),
        sample::entry("low-water", "Low Water", 12),
        sample::entry("eel-supper", "Eel Supper, with a Title of Quite Some Length", 36),
    ]
}

const SYSTEMS: [usize; 4] = [4, 6, 3, 9];

fn bind(book: &Book, systems: &[usize]) -> (Document, Sink) {
    let plan = sample::plan();
    let mut sink = Sink::default();
    let document = lay_out(&sample::material(book, &plan, systems), fonts(), &mut sink);
    (document, sink)
}

/// Calls `with` for every item with its place on the page.
fn walk(frame: &Frame, origin: Point, with: &mut impl FnMut(Point, &Item)) {
    for (at, item) in frame.items() {
        let at = origin + *at;
        with(at, item);
        if let Item::Group(group) = item {
            walk(&group.frame, at, with);
        }
    }
}

/// The box of the ink of a run.
fn ink(run: &TextRun, at: Point) -> Option<Rect> {
    let boxes = run.glyphs.iter().filter_map(|glyph| {
        let ink = fonts().ink(run.face, glyph.id)?;
        let x = at.x + glyph.x;
        let y = at.y + glyph.y;
        let corner = |x0: crate::geom::Em, y0: crate::geom::Em| Point::new(x + x0.at(run.size), y - y0.at(run.size));
        Some(Rect::new(corner(ink.min.x, ink.min.y), corner(ink.max.x, ink.max.y)))
    });
    boxes.reduce(|all, one| all.union(&one))
}

fn inks(page: &Page) -> Vec<(Rect, String)> {
    let mut found = Vec::new();
    walk(&page.frame, Point::default(), &mut |at, item| match item {
        Item::Text(run) => found.extend(ink(run, at).map(|rect| (rect, run.text.to_string()))),
        Item::Rect(rect, _) => found.push((Rect::new(rect.min, rect.max).moved(at), String::new())),
        Item::Stamp(shape) => found.extend(shape.path.ink().map(|rect| (rect.moved(at), String::new()))),
        Item::Shape(shape) => found.extend(shape.path.ink().map(|rect| (rect.moved(at), String::new()))),
        _ => {}
    });
    found
}

#[test]
fn every_page_kind_at_every_size() {
    let sizes = [(148.0, 210.0), (176.0, 250.0), (210.0, 297.0), (215.9, 279.4), (250.0, 353.0)];
    let mut complaints = Vec::new();
    for (width, height) in sizes {
        for (width, height) in [(width, height), (height, width)] {
            for text in [9.5, 11.0, 18.0] {
                let size = Size::new(Abs::mm(width), Abs::mm(height));
                let book = sample::book(size, Abs::pt(text), tunes());
                let (document, sink) = bind(&book, &SYSTEMS);
                let what = format!("{width} x {height} mm, {text} pt");
                assert!(document.pages.len() > 20, "{what}: {} pages", document.pages.len());
                let trim = Rect::new(Point::default(), Point::new(size.width, size.height)).grown(Abs::pt(0.5));
                for page in &document.pages {
                    for (ink, words) in inks(page) {
                        if ink.union(&trim) != trim {
                            complaints.push(format!("{what}, page {}: {words:?} leaves the page: {ink:?}", page.label));
                        }
                    }
                    complaints.extend(
                        collisions(page).into_iter().map(|words| format!("{what}, page {}: {words}", page.label)),
                    );
                }
                for item in sink.items() {
                    if item.code == "over-the-page" || item.code == "over-the-margin" {
                        complaints.push(format!("{what}: {}", item.message));
                    }
                }
            }
        }
    }
    assert!(complaints.is_empty(), "{}\n{}", complaints.len(), complaints[..complaints.len().min(30)].join("\n"));
}

/// All words of the pages, a blank between runs.
fn words(document: &Document) -> String {
    let mut words = Vec::new();
    for page in &document.pages {
        walk(&page.frame, Point::default(), &mut |_, item| {
            if let Item::Text(run) = item {
                words.push(run.text.to_string());
            }
        });
    }
    words.join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn a_face_is_named_once_and_nobody_is_named_who_is_not_known() {
    let size = Size::new(Abs::mm(210.0), Abs::mm(297.0));
    let mut book = sample::book(size, Abs::pt(18.0), tunes());
    book.imprint.publisher = None;
    for tune in book.chapters.iter_mut().flat_map(|chapter| &mut chapter.tunes) {
        tune.composer = None;
    }
    let words = words(&bind(&book, &SYSTEMS).0);
    let fonts = "Set in Atkinson Hyperlegible Next, the music in Bravura: both under the SIL Open Font Licence 1.1.";
    assert!(words.contains(fonts), "{words}");
    assert!(!words.contains("Published by") && !words.contains("trad."), "{words}");
    let book = sample::book(size, Abs::pt(11.0), tunes());
    let words = self::words(&bind(&book, &SYSTEMS).0);
    assert!(words.contains("Set in Source Serif 4 and Source Sans 3, the music in Bravura: all under"), "{words}");
    assert!(words.contains("Published by Lantern Room Press."), "{words}");
}

/// In every type size the blocks at the title page's foot stand a step apart.
#[test]
fn white_stands_over_the_publisher_on_the_title_page() {
    for text in [9.5, 11.0, 18.0, 22.0] {
        let mut book = sample::book(Size::new(Abs::mm(210.0), Abs::mm(297.0)), Abs::pt(text), tunes());
        book.edition = Some("large-print".into());
        book.presets = vec![crate::book::Preset::LargePrint];
        book.front = vec![crate::book::Matter::Title];
        let (document, _) = bind(&book, &SYSTEMS);
        let found = inks(&document.pages[0]);
        // The publisher is the last line of the page, and its title begins alike.
        let lines = found.iter().filter(|(_, words)| words.starts_with("Lantern")).map(|(ink, _)| *ink);
        let publisher = lines.max_by(|a, b| a.min.y.total_cmp(&b.min.y)).expect("the publisher is there");
        let above = found.iter().filter(|(ink, _)| ink.max.y < publisher.min.y).map(|(ink, _)| ink.max.y);
        let nearest = above.max_by(|a, b| a.total_cmp(b)).expect("something stands above");
        let white = publisher.min.y - nearest;
        assert!(white > book.text.leading, "{text} pt: {white:?} above the publisher");
    }
}

#[test]
fn what_a_tune_teaches_is_printed_however_long_it_is() {
    let size = Size::new(Abs::mm(148.0), Abs::mm(210.0));
    let mut book = sample::book(size, Abs::pt(11.0), tunes());
    let long = ["crossing the rows in the middle of a phrase", "air in the rests", "two chords in a bar", "off-beats"];
    book.chapters[0].tunes[0].teaches = long.map(str::to_owned).to_vec();
    (book.front, book.back) = (Vec::new(), Vec::new());
    let (document, _) = bind(&book, &SYSTEMS);
    let words = words(&document);
    assert!(words.contains(&long.join(", ")), "{words}");
    assert!(collisions(&document.pages[0]).is_empty());
}

#[test]
fn tunes_that_teach_the_same_stand_under_one_head() {
    let mut book = sample::book(Size::new(Abs::mm(210.0), Abs::mm(297.0)), Abs::pt(11.0), tunes());
    let teach = ["polka", "polka", "slow air", "waltz"];
    for (tune, teaches) in book.chapters.iter_mut().flat_map(|chapter| &mut chapter.tunes).zip(teach) {
        tune.teaches = vec![teaches.into()];
    }
    (book.front, book.back) = (Vec::new(), vec![crate::book::Matter::Index]);
    let (document, _) = bind(&book, &SYSTEMS);
    let words = words(&document);
    // Behind the titles where the chapter opens, and once in the index.
    assert_eq!(words.matches("polka").count(), 2 + 1, "{words}");
    assert!(words.contains("polka The Tin Lantern 2 Ferry Rope 4 slow air: Low Water 7 waltz: Eel"), "{words}");
}

/// The rule over each week's band is drawn with the band, whose tint covers what lies under it.
#[test]
fn every_week_of_the_log_is_closed_by_a_rule() {
    let mut book = sample::book(Size::new(Abs::mm(210.0), Abs::mm(297.0)), Abs::pt(11.0), tunes());
    (book.front, book.back) = (Vec::new(), vec![crate::book::Matter::PracticeLog]);
    let (document, _) = bind(&book, &SYSTEMS);
    let mut bands = 0;
    for page in &document.pages {
        let all = inks(page);
        // The bands are the tints as wide as the page's text that are lower than a row for writing.
        let tints: Vec<(usize, Rect)> = tints(page);
        for (order, tint) in tints {
            bands += 1;
            let ruled = all[order + 1..].iter().any(|(ink, words)| {
                let thin = ink.max.y - ink.min.y < Abs::pt(1.0);
                let whole = (ink.max.x - ink.min.x - (tint.max.x - tint.min.x)).raw().abs() < 1.0;
                words.is_empty() && thin && whole && (ink.max.y - tint.min.y).raw().abs() < 1.0
            });
            assert!(ruled, "page {}: no rule over the band at {tint:?}", page.label);
        }
    }
    assert_eq!(bands, 2, "one band a week");
}

/// The names of the tunes stand in the log whatever the type is, in a column that is wide enough for them.
#[test]
fn the_log_has_its_tunes_in_large_print_too() {
    for text in [9.5, 11.0, 18.0] {
        let mut book = sample::book(Size::new(Abs::mm(210.0), Abs::mm(297.0)), Abs::pt(text), tunes());
        (book.front, book.back) = (Vec::new(), vec![crate::book::Matter::PracticeLog]);
        let words = words(&bind(&book, &SYSTEMS).0);
        let (_, log) = words.split_once("Practice log").expect("the log has a title");
        for tune in book.tunes() {
            assert!(log.contains(&tune.title), "{text}: {} is not in {log}", tune.title);
        }
    }
}

/// The tints of a page's week bands with their places in the order of its inks.
fn tints(page: &Page) -> Vec<(usize, Rect)> {
    let mut found = Vec::new();
    let mut order = 0;
    walk(&page.frame, Point::default(), &mut |at, item| match item {
        Item::Text(run) => order += usize::from(ink(run, at).is_some()),
        Item::Rect(rect, ink) => {
            if *ink == crate::frame::Ink::Grey(8) {
                found.push((order, Rect::new(rect.min, rect.max).moved(at)));
            }
            order += 1;
        }
        Item::Shape(shape) => order += usize::from(shape.path.ink().is_some()),
        _ => {}
    });
    found
}

/// Words whose ink lies on the ink of other words.
fn collisions(page: &Page) -> Vec<String> {
    let mut words: Vec<(Rect, String)> = inks(page).into_iter().filter(|(_, words)| !words.trim().is_empty()).collect();
    words.sort_by(|a, b| a.0.min.y.total_cmp(&b.0.min.y));
    let mut found = Vec::new();
    for (n, (one, here)) in words.iter().enumerate() {
        for (other, there) in words[n + 1..].iter().take_while(|(other, _)| other.min.y < one.max.y) {
            if one.grown(Abs::pt(-0.4)).overlaps(&other.grown(Abs::pt(-0.4))) {
                found.push(format!("{here:?} lies on {there:?}"));
            }
        }
    }
    found
}

fn a4(tunes: Vec<TuneEntry>) -> Book {
    sample::book(Size::new(Abs::mm(210.0), Abs::mm(297.0)), Abs::pt(11.0), tunes)
}

#[test]
fn numbers_sides_and_record() {
    let book = a4(tunes());
    let (document, _) = bind(&book, &SYSTEMS);
    for (n, page) in document.pages.iter().enumerate() {
        let side = if n % 2 == 0 { Side::Recto } else { Side::Verso };
        assert_eq!(page.side, side);
    }
    let first = document.pages.iter().position(|page| page.label == "1").expect("the body begins at 1");
    assert_eq!(document.pages[first].side, Side::Recto);
    assert_eq!(document.pages[0].label, "i");
    let last = document.pages.last().expect("there are pages");
    assert_eq!((last.kind, last.side), (SheetKind::Cover, Side::Verso));
    assert_eq!(document.manifest.pages.len(), document.pages.len());
    // Every bar is on a page, and in the order of the book.
    let bars: usize = SYSTEMS.iter().map(|systems| systems * 4).sum();
    assert_eq!(document.manifest.bars.len(), bars);
    assert_eq!(&*document.manifest.bars[0].tune, "tin-lantern");
    let titles: Vec<_> = document.outline.iter().filter(|entry| entry.level == 1).map(|e| e.title.as_str()).collect();
    assert_eq!(titles.len(), 4);
    assert_eq!(titles[0], "The Tin Lantern");
}

#[test]
fn contents_say_where_tunes_are() {
    let book = a4(tunes());
    let (document, _) = bind(&book, &SYSTEMS);
    let place = |id: &str| document.manifest.bars.iter().find(|bar| *bar.tune == *id).map(|bar| bar.page.clone());
    let mut said = 0;
    for page in &document.pages {
        walk(&page.frame, Point::default(), &mut |_, item| {
            let Item::Group(group) = item else { return };
            let Some(LinkTarget::Anchor(name)) = &group.link else { return };
            let Some(id) = name.strip_prefix("tune:") else { return };
            let mut words = Vec::new();
            walk(&group.frame, Point::default(), &mut |_, item| {
                if let Item::Text(run) = item {
                    words.push(run.text.to_string());
                }
            });
            let page = place(id).expect("the tune is in the record");
            assert!(words.contains(&page), "{id} is on {page}, but {words:?}");
            said += 1;
        });
    }
    // Contents, chapter openings, and at least the index of titles.
    assert!(said >= 12, "{said}");
}

#[test]
fn the_key_has_every_sign_used_and_no_other() {
    let book = a4(tunes());
    let plan = sample::plan();
    // Words are compared by their letters, for the column breaks them somewhere.
    let letters = |words: &str| words.split_whitespace().collect::<String>();
    let sentence = |sign: Sign| letters(&(super::words::words("en-GB").sign)(sign, &book.engraving.signs));
    // How often each paragraph is said; the signs beside them are not read.
    let paragraphs = |material: &super::Material<'_>| {
        let document = lay_out(material, fonts(), &mut Sink::default());
        let mut said: BTreeMap<String, usize> = BTreeMap::new();
        for page in &document.pages {
            walk(&page.frame, Point::default(), &mut |_, item| {
                if let Item::Group(group) = item
                    && group.tag.as_ref().is_some_and(|tag| tag.role == Role::Paragraph)
                {
                    let mut own = String::new();
                    walk(&group.frame, Point::default(), &mut |_, item| {
                        if let Item::Text(run) = item {
                            own.push_str(&letters(&run.text));
                        }
                    });
                    *said.entry(own).or_default() += 1;
                }
            });
        }
        said
    };
    let mut material = sample::material(&book, &plan, &SYSTEMS);
    let said = paragraphs(&material);
    assert_eq!(said.get(&sentence(Sign::Replay)), Some(&1));
    assert!(!said.contains_key(&sentence(Sign::Fermata)));
    for system in material.tunes.iter_mut().flat_map(|tune| &mut tune.systems) {
        system.signs.remove(&Sign::Replay);
    }
    let said = paragraphs(&material);
    assert!(!said.contains_key(&sentence(Sign::Replay)));
    assert_eq!(said.get(&sentence(Sign::RowHead(RowAt::Inner))), Some(&1));
}

#[test]
fn running_heads_and_folios_are_artifacts() {
    let book = a4(tunes());
    let (document, _) = bind(&book, &SYSTEMS);
    let margin = book.page.margins.top;
    for page in &document.pages {
        walk(&page.frame, Point::default(), &mut |at, item| {
            if let Item::Group(group) = item
                && at.y < margin - Abs::pt(1.0)
            {
                assert!(
                    group.tag.as_ref().is_some_and(|tag| tag.role.is_aside()),
                    "only running heads stand above the type area of page {}",
                    page.label
                );
            }
        });
    }
}

#[test]
fn a_tune_of_two_pages_is_a_spread() {
    let entries = vec![sample::entry("one", "One", 16), sample::entry("two", "Two", 40)];
    let book = a4(entries);
    let (document, _) = bind(&book, &[4, 9]);
    let pages: Vec<usize> = document
        .manifest
        .bars
        .iter()
        .filter(|bar| &*bar.tune == "two")
        .filter_map(|bar| document.pages.iter().position(|page| page.label == bar.page && page.label != "i"))
        .collect();
    let (first, last) = (pages[0], pages[pages.len() - 1]);
    assert_eq!(last - first, 1, "nine systems take two pages");
    assert_eq!(document.pages[first].side, Side::Verso);
}

#[test]
fn tunes_may_run_on() {
    let taken = |book: &Book| {
        let plan = sample::plan();
        let mut material = sample::material(book, &plan, &[1, 1, 1, 1]);
        material.tunes.iter_mut().for_each(|tune| tune.commentary.clear());
        let document = lay_out(&material, fonts(), &mut Sink::default());
        let page = |title: &str| document.outline.iter().find(|entry| entry.title == title).map(|entry| entry.page);
        page("Chords and their directions").zip(page("Week 1: one row at a time")).map(|(end, start)| end - start)
    };
    let mut book = a4(tunes());
    assert_eq!(taken(&book), Some(6));
    book.page.tunes = TunePages::RunOn;
    assert_eq!(taken(&book), Some(4), "the first tune of a chapter stands under its text");
}

/// Every word that waits for another (`{number}`) has got it, in each language, with and without an author and a publisher.
#[test]
fn no_word_waits_for_another() {
    for language in ["en-GB", "fr"] {
        for named in [true, false] {
            let mut book = a4(tunes());
            book.language = language.to_owned();
            if !named {
                (book.author, book.imprint.publisher) = (None, None);
            }
            for page in &bind(&book, &SYSTEMS).0.pages {
                for (_, words) in inks(page) {
                    let inside = words.split('{').skip(1).filter_map(|rest| rest.split_once('}'));
                    let waits = inside.map(|(inside, _)| inside).any(|inside| inside.chars().all(char::is_alphabetic));
                    let stops_alone = words.contains(" . ") || words.ends_with(" .");
                    assert!(!waits && !stops_alone, "{language}, page {}: {words}", page.label);
                }
            }
        }
    }
}

#[test]
fn white_pages_may_be_ruled_for_notes() {
    let mut ruled = 0;
    for systems in [[3, 9], [9, 3], [9, 9], [4, 4]] {
        let mut book = a4(vec![sample::entry("one", "One", 16), sample::entry("two", "Two", 36)]);
        let (white, _) = bind(&book, &systems);
        book.page.blanks = BlankPages::Notes;
        let (notes, _) = bind(&book, &systems);
        assert_eq!(white.pages.len(), notes.pages.len());
        for (white, notes) in white.pages.iter().zip(&notes.pages) {
            if white.kind == notes.kind {
                assert_eq!(white.frame, notes.frame);
                continue;
            }
            ruled += 1;
            assert_eq!((white.kind, notes.kind), (SheetKind::Blank, SheetKind::Body));
            let said: Vec<String> = inks(notes).into_iter().map(|(_, words)| words).collect();
            assert!(said.contains(&"Notes".to_owned()) && said.contains(&notes.label), "{said:?}");
            assert!(said.iter().filter(|words| words.is_empty()).count() > 15, "rules to write on");
        }
    }
    assert!(ruled > 0, "one of these books has a page that the order leaves white");
}

#[test]
fn the_same_book_twice_is_the_same() {
    let book = a4(tunes());
    assert_eq!(bind(&book, &SYSTEMS).0, bind(&book, &SYSTEMS).0);
}

#[test]
fn what_is_too_large_is_said() {
    let book = a4(vec![sample::entry("long", "Long", 120)]);
    let plan = sample::plan();
    let mut material = sample::material(&book, &plan, &[30]);
    let mut sink = Sink::default();
    lay_out(&material, fonts(), &mut sink);
    assert!(sink.items().iter().any(|item| item.code == "page-turn"));
    // A line of music that is higher and wider than the page is set smaller, and all of it stands on the page.
    let frame = Arc::make_mut(&mut material.tunes[0].systems[0].frame);
    frame.size = Size::new(Abs::mm(260.0), Abs::mm(400.0));
    frame.fill_rect(Rect::new(Point::default(), Point::new(Abs::mm(260.0), Abs::mm(400.0))), crate::frame::Ink::Black);
    let mut sink = Sink::default();
    let document = lay_out(&material, fonts(), &mut sink);
    for code in ["over-the-page", "over-the-margin"] {
        let complaint = sink.items().iter().find(|item| item.code == code).expect("it is said");
        assert!(complaint.place.is_some() && complaint.message.contains("% of its size"), "{}", complaint.message);
    }
    let page = book.page.size;
    let trim = Rect::new(Point::default(), Point::new(page.width, page.height)).grown(Abs::pt(0.5));
    for (ink, words) in document.pages.iter().flat_map(inks) {
        assert!(ink.union(&trim) == trim, "{words:?} leaves the page: {ink:?}");
    }
    assert!(lay_out(&sample::material(&a4(Vec::new()), &plan, &[]), fonts(), &mut Sink::default()).pages.len() > 5);
}

#[test]
fn empty_words_and_endless_ones_are_set() {
    let mut entries = vec![sample::entry("none", "", 4), sample::entry("long", &"Lantern ".repeat(2000), 4)];
    entries[0].composer = Some("R. Quill ".repeat(3000));
    entries[1].link = Some("https://example.org/".repeat(400));
    let mut book = a4(entries);
    (book.title, book.instrument.name, book.instrument.source) = (String::new(), String::new(), String::new());
    book.chapters[0].title = "Week ".repeat(500);
    let (document, sink) = bind(&book, &[1, 1]);
    assert!(document.pages.len() > 10);
    assert!(sink.items().iter().any(|item| item.code == "long-link"));
}
