//! A chapter's opening: a bar like the hold bar under the music, the title, the tunes it holds, then its text.

use super::closer;
use super::desk::Desk;
use super::fill::filled;
use super::flow::{Before, Piece, fixed};
use super::indexed;
use super::prose::{self, Column};
use super::scale::Named;
use super::setting::Compositor;
use super::tune_head;
use crate::frame::{Frame, Group, Ink, Item, LinkTarget, Marks, Role, Tag};
use crate::geom::{Abs, Point, Rect, Size};
use crate::text::{Align, Inline};
use std::collections::BTreeSet;
use std::sync::Arc;

/// The name of a chapter's anchor.
pub(super) fn anchor(chapter: usize) -> String {
    format!("chapter:{}", chapter + 1)
}

/// The opening: title and tunes.
pub(super) fn opening(desk: &Desk<'_>, chapter: usize, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let mut out = vec![head(desk, &desk.setting.book.chapters[chapter].title, &anchor(chapter), comp)];
    out.extend(tunes(desk, chapter, comp));
    out
}

/// The text, which follows the opening on its page; in a little wider a column where that spares a page of a few lines.
pub(super) fn text(desk: &Desk<'_>, chapter: usize, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let column = Column::text(desk.setting);
    let opening = opening(desk, chapter, comp);
    let usual = text_in(desk, chapter, column, comp);
    let area = desk.setting.area;
    let filled = |text: &[Piece]| {
        let whole: Vec<Piece> = opening.iter().chain(text).cloned().collect();
        filled(&whole, area)
    };
    let (pages, last) = filled(&usual);
    if pages == 1 {
        return usual;
    }
    // Columns of two widths are seen: only a page that would be nearly white is worth it.
    let mut best = usual;
    if last < area.height * NEARLY_WHITE {
        let wider = text_in(desk, chapter, column.wider(desk.setting), comp);
        if filled(&wider).0 < pages {
            best = wider;
        }
    }
    let whole: Vec<Piece> = opening.iter().chain(&best).cloned().collect();
    closer::sparing(whole, opening.len(), desk.setting.area).split_off(opening.len())
}

/// A page filled less than this share is nearly white (our choice).
const NEARLY_WHITE: f64 = 0.25;

fn text_in(desk: &Desk<'_>, chapter: usize, column: Column, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let blocks = desk.material.chapters.get(chapter).map_or(&[][..], Vec::as_slice);
    let mut set = prose::set(desk.setting, blocks, desk.extras, column, comp);
    let (mut known, mut sections) = (BTreeSet::new(), indexed::Sections::of(chapter));
    let own = &desk.setting.book.chapters[chapter];
    for block in &mut set {
        let heading = block.heading.as_ref();
        let words = indexed::of_block(own, heading.map(|(_, words)| words.as_str()), &block.terms);
        let Some(first) = block.pieces.first_mut() else { continue };
        let words = words.into_iter().filter(|word| known.insert((*word).to_owned()));
        let words = words.map(|word| indexed::anchor(chapter, word));
        let section = heading.filter(|_| own.tunes.is_empty()).and_then(|(level, title)| sections.next(*level, title));
        for anchor in words.chain(section) {
            Arc::make_mut(&mut first.frame).push(Point::default(), Item::Anchor(anchor.into()));
        }
    }
    let mut text = prose::flat(set);
    if let Some(first) = text.first_mut() {
        first.gap = fixed(desk.setting.steps(2.0));
        first.before = Before::Never;
    }
    text
}

/// The head of a chapter or of a generated part: sunk a little, a short bar over the title.
pub(super) fn head(desk: &Desk<'_>, title: &str, anchor: &str, comp: &mut Compositor<'_>) -> Piece {
    let setting = desk.setting;
    let look = setting.scale.look(Named::ChapterTitle);
    let lines = comp.set(&[Inline::text(title)], &look, setting.width);
    let step = setting.area.step;
    let sunk = if setting.area.height / step > SINKS_FROM { step * 2.0 } else { step };
    let mut frame = Frame::new(Size::new(setting.width, sunk));
    frame.push(Point::default(), Item::Anchor(anchor.into()));
    bar(&mut frame, Point::new(Abs::ZERO, sunk - step * 0.5), desk);
    let mut heading = Frame::new(Size::new(setting.width, Abs::ZERO));
    for line in lines {
        let height = line.frame.size.height;
        heading.place(Point::new(Abs::ZERO, heading.size.height), line.frame);
        heading.size.height += height;
    }
    let height = heading.size.height;
    frame.place_tagged(Point::new(Abs::ZERO, sunk), heading, Tag::new(Role::Heading(1)));
    frame.size.height = sunk + height;
    let height = setting.whole_steps(frame.size.height);
    Piece::of_text(frame, height)
}

/// Pages with fewer steps than this (small pages, large print) sink their heads less.
const SINKS_FROM: f64 = 34.0;

/// A short solid bar, as thick as the hold bar under the music.
pub(super) fn bar(frame: &mut Frame, at: Point, desk: &Desk<'_>) {
    let thick = desk.setting.book.engraving.space * 0.4;
    let mut ink = Frame::new(Size::new(Abs::mm(18.0), thick));
    ink.fill_rect(Rect::new(Point::default(), Point::new(Abs::mm(18.0), thick)), Ink::Black);
    frame.place_tagged(at, ink, Tag::new(Role::Artifact));
}

/// What is heard in place of some letters.
fn spoken(words: String) -> Tag {
    Tag { alt: Some(words.into()), ..Tag::new(Role::Span) }
}

/// The chapter's tunes with their pages, one a line.
fn tunes(desk: &Desk<'_>, chapter: usize, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let tag = (comp.number(), Tag::new(Role::List(Marks::None)));
    let lines = setting.book.chapters[chapter].tunes.iter().enumerate().map(|(n, entry)| {
        let scale = &setting.scale;
        let steps = f64::from(scale.steps(Named::Label));
        let height = setting.steps(steps);
        let mut frame = Frame::new(Size::new(setting.measure, height));
        let anchor = tune_head::anchor(&entry.id);
        let baseline = height - setting.area.step + setting.baseline();
        let page = scale.figures(Named::Label, desk.page(&anchor));
        // Page numbers stand in a column left of the titles: the eye need not travel. They are heard last.
        let column = scale.figures(Named::Label, desk.widest_page()).width;
        let at_page = Point::new(column - page.width, baseline);
        let page_said = format!(", {}", setting.words.on_page.replace("{page}", desk.page(&anchor)));
        let indent = column + scale.size(Named::Label) * 1.1;
        let title = scale.label_within(Named::LabelStrong, &entry.title, setting.width - indent);
        let said = indent + title.width + scale.size(Named::Label) * 1.1;
        // What a tune teaches stands behind its title where the column has room for it, else in lines of its own below.
        let words = entry.teaches.join(", ");
        let colon = if words.is_empty() { "" } else { setting.words.colon };
        title.put_tagged(&mut frame, Point::new(indent, baseline), spoken(format!("{}{colon}", entry.title)));
        let teaches = scale.label(Named::Running, &words);
        if (said + teaches.width).fits(setting.width) {
            teaches.put(&mut frame, Point::new(said, baseline));
        } else {
            let mut look = scale.look(Named::Running);
            (look.align, look.hyphenate) = (Align::Left, false);
            let room = setting.width - indent;
            for line in comp.at(Some(entry.teaches_place), |comp| comp.set(&[Inline::text(&words)], &look, room)) {
                let top = frame.size.height;
                frame.size.height += line.frame.size.height;
                frame.place(Point::new(indent, top), line.frame);
            }
        }
        page.put_tagged(&mut frame, at_page, spoken(page_said));
        let height = frame.size.height;
        let link = Group {
            frame: frame.shared(),
            tag: Some(Tag::new(Role::Link)),
            subject: None,
            link: Some(LinkTarget::Anchor(anchor.into())),
        };
        let mut outer = Frame::new(Size::new(setting.measure, height));
        outer.push(Point::default(), Item::Group(link.into()));
        let mut piece = Piece::of_text(outer, height).breaking(Before::Never);
        if n == 0 {
            piece = piece.after(setting.steps(1.0));
        }
        piece.tags.push(tag.clone());
        piece
    });
    let mut lines: Vec<Piece> = lines.collect();
    for piece in &mut lines {
        piece.tags.push((comp.number(), Tag::new(Role::ListItem)));
    }
    // A long list may be parted.
    if lines.len() > 12 {
        for piece in lines.iter_mut().skip(3) {
            piece.before = Before::Free;
        }
    }
    lines
}
