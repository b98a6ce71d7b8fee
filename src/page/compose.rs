//! The parts of a book in their order, each into pieces; then pages, and once more those parts that print page numbers.
//!
//! Page numbers get room for the widest label before any is known, so the second setting has the same heights and the cut
//! stands.

use super::assemble::{self, Heading};
use super::desk::Desk;
use super::document::{Document, Manifest, Side};
use super::flow::{Before, Opening, Piece, Running};
use super::material::Material;
use super::matter::{self, names};
use super::paginate::paginate;
use super::prose::Extras;
use super::setting::{Compositor, Setting};
use super::words::Words;
use super::{chapter, closer, cover, hold, indexed, picture, plate, tune, tune_head, warn};
use crate::book::{Matter, Preset};
use crate::diag::{Place, Sink};
use crate::engrave::{Sign, draw_sign};
use crate::font::Fonts;
use crate::frame::Frame;
use crate::instrument::RowAt;
use crate::style::TextStyle;
use crate::text::{SIGN_WORDS, Typesetter};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// One part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    /// Generated, in front (`true`) or at the back, with its number there.
    Matter(Matter, bool, usize),
    /// A chapter's opening.
    Chapter(usize),
    /// A chapter's text.
    Text(usize),
    /// A tune by its number in the book, with its chapter.
    Tune(usize, usize),
}

impl Part {
    /// Where the author has asked for it.
    fn place(self, input: &Material<'_>) -> Option<Place> {
        let book = input.book;
        match self {
            Self::Matter(_, true, n) => book.places.front.get(n).copied(),
            Self::Matter(_, false, n) => book.places.back.get(n).copied(),
            Self::Chapter(chapter) | Self::Text(chapter) => Some(book.chapters[chapter].place),
            Self::Tune(tune, _) => Some(input.tunes[tune].entry.place),
        }
    }
    /// What it is called in a complaint.
    fn name(self, input: &Material<'_>, words: &Words) -> String {
        match self {
            Self::Matter(matter, ..) => match names::title(words, matter) {
                Some(title) => format!("`{title}`"),
                None => format!("`{}`", names::anchor(matter)),
            },
            Self::Chapter(chapter) | Self::Text(chapter) => format!("`{}`", input.book.chapters[chapter].title),
            Self::Tune(tune, _) => format!("`{}`", input.tunes[tune].entry.title),
        }
    }
    /// Whether it is music that makes it high: of other parts it is the text.
    const fn has_staves(self) -> bool {
        match self {
            Self::Matter(matter, ..) => matches!(matter, Matter::MyBox | Matter::Key | Matter::Scales | Matter::Staves),
            Self::Text(_) | Self::Tune(..) => true,
            Self::Chapter(_) => false,
        }
    }
    /// Whether page numbers stand in it.
    const fn prints_pages(self) -> bool {
        match self {
            Self::Matter(matter, ..) => {
                matches!(matter, Matter::Contents | Matter::Index | Matter::TempoLadder | Matter::Sources)
            }
            Self::Chapter(_) => true,
            Self::Text(_) | Self::Tune(..) => false,
        }
    }
}

/// Parts that one typesetter sets one after the other, remembering their words.
const RUN: usize = 12;

/// Lays out a book: every part, every page. Complaints with their places go into the sink; whatever happens, there is a page
/// for everything that was given.
pub fn lay_out(input: &Material<'_>, fonts: &Fonts, sink: &mut Sink) -> Document {
    compose(input, fonts, None, sink)
}

/// As [`lay_out`], with every part that began a page in print held to that page: what grew gets point pages (12a, 12b) after
/// the page before, what shrank leaves its page blank, and all later page numbers stay.
pub fn lay_out_holding(input: &Material<'_>, fonts: &Fonts, printed: &Manifest, sink: &mut Sink) -> Document {
    compose(input, fonts, Some(printed), sink)
}

fn compose(input: &Material<'_>, fonts: &Fonts, printed: Option<&Manifest>, sink: &mut Sink) -> Document {
    let setting = Setting::new(input.book, fonts);
    let signs = signs(&setting);
    let pictures = picture::Pictures::of(input.book);
    let extras = Extras { examples: &input.examples, pictures: &pictures };
    let parts = parts(input);
    let no_pages = BTreeMap::new();
    let idle =
        Idle { setters: Mutex::default(), fresh: || Typesetter::new(fonts, &input.book.text).with_signs(&signs) };
    let set = |n: usize, pages: &BTreeMap<String, String>, comp: &mut Compositor<'_>| {
        let desk = Desk { setting: &setting, material: input, extras, pages };
        comp.begin_part(n, parts[n].place(input));
        part(&desk, parts[n], comp)
    };
    // Parts are dealt out in runs of a fixed length, so that complaints don't depend on how many threads there are.
    let order: Vec<usize> = (0..parts.len()).collect();
    let first: Vec<(Vec<Vec<Piece>>, Sink)> = order
        .par_chunks(RUN)
        .map(|run| {
            let mut comp = idle.take();
            let pieces = run.iter().map(|n| set(*n, &no_pages, &mut comp)).collect();
            (pieces, idle.put_back(comp))
        })
        .collect();
    let mut pieces = Vec::with_capacity(first.iter().flat_map(|(run, _)| run).map(Vec::len).sum());
    let mut starts = Vec::new();
    for (run, own) in first {
        for part in run {
            starts.push(pieces.len());
            pieces.extend(part);
        }
        sink.absorb(own);
    }
    starts.push(pieces.len());
    let body = parts.iter().position(|part| !matches!(part, Part::Matter(_, true, _))).unwrap_or(parts.len());
    let body = starts[body];

    let held = printed.and_then(|printed| hold::plates(&pieces, setting.area, printed));
    let plates = held.unwrap_or_else(|| {
        let cut = paginate(&pieces, setting.area, Side::Recto);
        plate::plates(&cut.pages, Side::Recto, body)
    });
    let labels = assemble::anchors(&pieces, &plates);
    let printing: Vec<usize> = order.into_iter().filter(|n| parts[*n].prints_pages()).collect();
    // The first ink, without page numbers, makes room for the second.
    let blank: Arc<Frame> = Arc::default();
    for n in &printing {
        pieces[starts[*n]..starts[n + 1]].iter_mut().for_each(|piece| piece.frame = Arc::clone(&blank));
    }
    // What is set again has been complained of the first time.
    let again: Vec<Vec<Piece>> = printing
        .par_iter()
        .map(|n| {
            let mut comp = idle.take();
            let again = set(*n, &labels, &mut comp);
            idle.put_back(comp);
            again
        })
        .collect();
    for (n, again) in printing.into_iter().zip(again) {
        let old = &mut pieces[starts[n]..starts[n + 1]];
        debug_assert_eq!(old.len(), again.len(), "page numbers have their room beforehand");
        for (old, new) in old.iter_mut().zip(again) {
            old.frame = new.frame;
        }
    }
    let owner = |piece: usize| {
        let part = parts[starts.partition_point(|start| *start <= piece) - 1];
        (part.name(input, setting.words), part.place(input), part.has_staves())
    };
    warn::overfull(input, &setting, &pieces, &plates, owner, sink);
    warn::failed_fonts(input.book, fonts, sink);
    let starts = assemble::starts(&pieces, &plates);
    let pages = assemble::pages(&setting, &pieces, &plates);
    let cover = input.book.press.cover.as_ref().map(|wanted| {
        // A few lines on a large sheet, each of which is looked at: none is stretched, and no word divided.
        let style = TextStyle { justified: false, hyphenate: false, ..input.book.text.clone() };
        let mut comp = Compositor::new(Typesetter::new(fonts, &style).with_signs(&signs));
        let desk = Desk { setting: &setting, material: input, extras, pages: &labels };
        comp.begin_part(parts.len(), Some(wanted.place));
        let cover = cover::cover(&desk, wanted, &mut comp);
        sink.absorb(comp.finish().1);
        cover
    });
    // Pages share the ink of pieces; the record is made without the rest of them.
    drop(pieces);
    let document = assemble::document(&setting, input, pages, &headings(&setting, input, &parts), starts);
    Document { cover, ..document }
}

/// Typesetters that nobody uses just now. What one knows of words costs time to find and never changes what is set, so it does
/// not matter which thread takes which.
struct Idle<'a, F> {
    setters: Mutex<Vec<Typesetter<'a>>>,
    fresh: F,
}

impl<'a, F: Fn() -> Typesetter<'a>> Idle<'a, F> {
    fn setters(&self) -> MutexGuard<'_, Vec<Typesetter<'a>>> {
        self.setters.lock().unwrap_or_else(PoisonError::into_inner)
    }
    fn take(&self) -> Compositor<'a> {
        let known = self.setters().pop();
        Compositor::new(known.unwrap_or_else(&self.fresh))
    }
    /// Gives the complaints.
    fn put_back(&self, comp: Compositor<'a>) -> Sink {
        let (mut setter, sink) = comp.finish();
        setter.begin();
        self.setters().push(setter);
        sink
    }
}

fn parts(input: &Material<'_>) -> Vec<Part> {
    let matter = |list: &[Matter], is_front: bool| -> Vec<Part> {
        list.iter().enumerate().map(|(n, matter)| Part::Matter(*matter, is_front, n)).collect()
    };
    let mut parts = matter(&input.book.front, true);
    let mut tune = 0;
    for (n, chapter) in input.book.chapters.iter().enumerate() {
        // A handout is for the stand: its tunes alone.
        if !input.book.has(Preset::Handout) {
            parts.push(Part::Chapter(n));
            parts.push(Part::Text(n));
        }
        for _ in &chapter.tunes {
            if tune < input.tunes.len() {
                parts.push(Part::Tune(tune, n));
            }
            tune += 1;
        }
    }
    parts.extend(matter(&input.book.back, false));
    parts
}

/// The pieces of one part, with its opening rule and its running head.
fn part(desk: &Desk<'_>, part: Part, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let words = desk.setting.words;
    let (mut pieces, title, opening) = match part {
        Part::Matter(matter, ..) => {
            let pieces = closer::sparing(matter::pieces(desk, matter, comp), 1, desk.setting.area);
            (pieces, names::title(words, matter).unwrap_or_default().to_owned(), Some(names::opening(matter)))
        }
        Part::Chapter(n) => {
            let opening = if n == 0 && has_front(desk) { Opening::Recto } else { Opening::LikesRecto };
            let pieces = chapter::opening(desk, n, comp);
            (pieces, desk.setting.book.chapters[n].title.clone(), Some(opening))
        }
        Part::Text(n) => (chapter::text(desk, n, comp), desk.setting.book.chapters[n].title.clone(), None),
        Part::Tune(tune, chapter) => {
            let material = &desk.material.tunes[tune];
            let pieces = tune::pieces(desk.setting, material, tune, desk.extras, comp);
            (pieces, desk.setting.book.chapters[chapter].title.clone(), None)
        }
    };
    let display =
        matches!(part, Part::Matter(Matter::HalfTitle | Matter::Title | Matter::Imprint | Matter::BackCover, ..));
    let cover = matches!(part, Part::Matter(Matter::BackCover, ..));
    let inside = Arc::new(Running { recto: title.as_str().into(), opener: false, display, cover });
    let opener = Arc::new(Running { opener: true, ..(*inside).clone() });
    for (n, piece) in pieces.iter_mut().enumerate() {
        piece.running = if n == 0 && opening.is_some() { Arc::clone(&opener) } else { Arc::clone(&inside) };
    }
    if let (Some(first), Some(opening)) = (pieces.first_mut(), opening) {
        first.before = Before::Opens(opening);
    }
    pieces
}

fn has_front(desk: &Desk<'_>) -> bool {
    !desk.setting.book.front.is_empty()
}

/// Small signs for words between colons in texts, drawn for the text size.
fn signs(setting: &Setting<'_>) -> BTreeMap<String, Frame> {
    let mut style = setting.book.engraving.clone();
    // A sign in running text is as high as its letters: about a space to a third of the size.
    style.space = setting.book.text.size * 0.36;
    style.marks = 1.0;
    style.text = 1.0;
    SIGN_WORDS
        .iter()
        .filter_map(|word| {
            let sign = match *word {
                "outer" => Sign::RowHead(RowAt::Outer),
                "inner" => Sign::RowHead(RowAt::Inner),
                "half" => Sign::RowHead(RowAt::Half),
                "push" => Sign::Push,
                "pull" => Sign::Pull,
                "reversal" => Sign::Reversal,
                "replay" => Sign::Replay,
                "place" => Sign::Place,
                "air-in" => Sign::AirOpen,
                "air-out" => Sign::AirClose,
                "button" => Sign::Button,
                _ => return None,
            };
            let mut frame = match sign {
                Sign::RowHead(row) => {
                    let shape = super::hand::shape(style.signs.rows, row);
                    crate::engrave::draw_head(shape, 2, style.space * 1.3, &style, setting.fonts())
                }
                _ => draw_sign(sign, &style, setting.fonts()),
            };
            frame.baseline = Some(frame.size.height);
            Some(((*word).to_owned(), frame))
        })
        .collect()
}

/// The outline: parts and chapters, tunes under their chapters, sections under those that have no tunes.
fn headings(setting: &Setting<'_>, input: &Material<'_>, parts: &[Part]) -> Vec<Heading> {
    let mut found = Vec::new();
    for part in parts {
        match *part {
            Part::Matter(matter, ..) => {
                let title = names::title(setting.words, matter).map(str::to_owned);
                found.extend(title.map(|title| Heading { title, level: 0, anchor: names::anchor(matter) }));
            }
            Part::Chapter(n) => {
                let title = input.book.chapters[n].title.clone();
                found.push(Heading { title, level: 0, anchor: chapter::anchor(n) });
            }
            Part::Text(n) if input.book.chapters[n].tunes.is_empty() => {
                let blocks = input.chapters.get(n).map_or(&[][..], Vec::as_slice);
                let sections = indexed::sections(n, blocks).into_iter();
                found.extend(sections.map(|(title, anchor)| Heading { title, level: 1, anchor }));
            }
            Part::Text(_) => {}
            Part::Tune(n, _) => {
                let entry = input.tunes[n].entry;
                found.push(Heading { title: entry.title.clone(), level: 1, anchor: tune_head::anchor(&entry.id) });
            }
        }
    }
    found
}
