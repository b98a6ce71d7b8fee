//! What of the chapters' texts stands in the index: headings and what list items explain, with the anchors that lead there.

use crate::book::{Chapter, Indexed};
use crate::text::{Block, Inline};
use std::collections::{BTreeMap, BTreeSet};

/// What begins the names of these anchors: no part of a book begins with one.
const WORD: &str = "word:";

/// What begins the names of the anchors of sections.
const SECTION: &str = "section:";

/// Whether an anchor stands inside a text, and not at the head of a part.
pub(super) fn is_in_text(anchor: &str) -> bool {
    anchor.starts_with(WORD) || anchor.starts_with(SECTION)
}

/// The word of an anchor of a word.
pub(super) fn word(anchor: &str) -> Option<&str> {
    anchor.strip_prefix(WORD)?.split_once(' ').map(|(_, word)| word)
}

/// The sections of a chapter's text as they come, with their anchors: its headings that stand next under the chapter's.
#[derive(Debug)]
pub(super) struct Sections {
    chapter: usize,
    /// How often each title has come.
    known: BTreeMap<String, usize>,
}

impl Sections {
    /// Before the first one.
    pub fn of(chapter: usize) -> Self {
        Self { chapter, known: BTreeMap::new() }
    }
    /// The anchor of the next heading, if it begins a section.
    pub fn next(&mut self, level: u8, title: &str) -> Option<String> {
        if level > 2 || title.trim().is_empty() {
            return None;
        }
        let nth = self.known.entry(title.to_owned()).or_default();
        *nth += 1;
        Some(format!("{SECTION}{} {nth} {title}", self.chapter + 1))
    }
}

/// The titles of the sections of a chapter's text with their anchors.
pub(super) fn sections(chapter: usize, blocks: &[Block]) -> Vec<(String, String)> {
    fn gather(sections: &mut Sections, blocks: &[Block], found: &mut Vec<(String, String)>) {
        for block in blocks {
            match block {
                Block::Heading { level, inlines } => {
                    let title = Inline::plain(inlines);
                    found.extend(sections.next(*level, &title).map(|anchor| (title, anchor)));
                }
                Block::List { items, .. } => items.iter().for_each(|item| gather(sections, item, found)),
                Block::Quote(inner) => gather(sections, inner, found),
                _ => {}
            }
        }
    }
    let mut found = Vec::new();
    gather(&mut Sections::of(chapter), blocks, &mut found);
    found
}

/// The anchor of a word of a chapter.
pub(super) fn anchor(chapter: usize, word: &str) -> String {
    format!("{WORD}{} {word}", chapter + 1)
}

/// The words that one block brings, by its heading and the terms it explains.
pub(super) fn of_block<'w>(chapter: &Chapter, heading: Option<&'w str>, terms: &'w [String]) -> Vec<&'w str> {
    let heading = heading.filter(|_| chapter.index.contains(&Indexed::Headings));
    let terms = if chapter.index.contains(&Indexed::Terms) { terms } else { &[] };
    heading.into_iter().chain(terms.iter().map(String::as_str)).filter(|word| !word.trim().is_empty()).collect()
}

/// All words of a chapter's text, each once.
pub(super) fn words(chapter: &Chapter, blocks: &[Block]) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    if !chapter.index.is_empty() {
        gather(chapter, blocks, &mut found);
    }
    found
}

fn gather(chapter: &Chapter, blocks: &[Block], found: &mut BTreeSet<String>) {
    let mut take = |heading: Option<&str>, terms: &[String]| {
        found.extend(of_block(chapter, heading, terms).into_iter().map(str::to_owned));
    };
    for block in blocks {
        match block {
            Block::Heading { inlines, .. } => take(Some(&Inline::plain(inlines)), &[]),
            Block::List { items, .. } => items.iter().for_each(|item| take(None, &Inline::explained(item))),
            _ => {}
        }
    }
    for block in blocks {
        match block {
            Block::List { items, .. } => items.iter().for_each(|item| gather(chapter, item, found)),
            Block::Quote(inner) => gather(chapter, inner, found),
            _ => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::Matter;
    use crate::diag::Sink;
    use crate::font::Fonts;
    use crate::frame::{Frame, Item};
    use crate::geom::{Abs, Size};
    use crate::page::{Document, lay_out, sample};

    const TEXT: &str = "## Open and close\n\nWords.\n\n- `--push`, **the pull**: the two ways.\n- **bouton d’air**\u{a0}: celui du pouce.\n- **rang** : une ligne de touches.\n- An item: of another kind.\n\n\
        > ## Quoted\n";

    #[test]
    fn headings_and_terms_are_listed_where_the_chapter_asks_for_them() {
        let book = sample::book(Size::new(Abs::mm(148.0), Abs::mm(210.0)), Abs::pt(11.0), Vec::new());
        assert!(book.chapters.is_empty());
        let blocks = sample::blocks(TEXT);
        let mut chapter =
            sample::book(book.page.size, Abs::pt(11.0), vec![sample::entry("a", "A", 4)]).chapters.remove(0);
        let listed = |chapter: &Chapter| words(chapter, &blocks).into_iter().collect::<Vec<_>>();
        assert_eq!(listed(&chapter), Vec::<String>::new());
        chapter.index = vec![Indexed::Headings];
        assert_eq!(listed(&chapter), ["Open and close", "Quoted"]);
        chapter.index = vec![Indexed::Terms];
        assert_eq!(listed(&chapter), ["--push", "bouton d’air", "rang", "the pull"]);
    }

    fn said(document: &Document) -> String {
        fn gather(frame: &Frame, out: &mut Vec<String>) {
            for (_, item) in frame.items() {
                match item {
                    Item::Text(run) => out.push(run.text.to_string()),
                    Item::Group(group) => gather(&group.frame, out),
                    _ => {}
                }
            }
        }
        let mut out = Vec::new();
        document.pages.iter().for_each(|page| gather(&page.frame, &mut out));
        out.join(" ").split_whitespace().collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn words_of_the_texts_stand_in_the_index_with_their_pages() {
        let tunes = ["a", "b", "c"].map(|id| sample::entry(id, id, 4));
        let mut book = sample::book(Size::new(Abs::mm(210.0), Abs::mm(297.0)), Abs::pt(11.0), tunes.to_vec());
        (book.front, book.back) = (Vec::new(), vec![Matter::Index]);
        book.chapters[0].index = vec![Indexed::Headings, Indexed::Terms];
        book.chapters[1].index = vec![Indexed::Terms];
        let plan = sample::plan();
        let mut material = sample::material(&book, &plan, &[1, 1, 1]);
        material.chapters = vec![sample::blocks(TEXT), sample::blocks("- **the pull**: again.\n")];
        let document = lay_out(&material, &Fonts::embedded(), &mut Sink::default());
        let said = said(&document);
        let (_, index) = said.split_once("Subjects and terms").expect("they are listed");
        let (first, second) = (&book.chapters[0].title, &book.chapters[1].title);
        let page = |title: &str| {
            let at = document.outline.iter().find(|entry| entry.title == title).expect("the chapter is in the outline");
            document.pages[at.page].label.clone()
        };
        let want = format!(
            "bouton d’air {0} Open and close {0} the pull {first} {0} {second} {1} --push {0} Quoted {0} rang {0}",
            page(first),
            page(second)
        );
        assert!(index.trim_start().starts_with(&want), "{index}\nis not\n{want}");
    }
}
