//! The glossary: those terms of the language's table that the book uses, and no other.

use super::names::anchor;
use super::{filing, prose_page};
use crate::book::Matter;
use crate::frame::{Frame, Item, Marks, Role, Tag};
use crate::geom::{Abs, Point, Size};
use crate::page::desk::Desk;
use crate::page::fill::{filled, pages_needed};
use crate::page::flow::{Piece, fixed};
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::page::words::Term;
use crate::page::{chapter, closer};
use crate::text::{Block, Inline};
use std::collections::{BTreeMap, BTreeSet};

/// The glossary: each meaning beside or under its term; in a wider column, behind the term, or in small text behind it,
/// where that spares a page of a few lines.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let area = desk.setting.area;
    let said = said(desk);
    let mut terms: Vec<&Term> = desk.setting.words.terms.iter().filter(|term| is_used(term, &said)).collect();
    terms.sort_by_key(|term| filing::key(term.term));
    let set = |entry: Entry, comp: &mut Compositor<'_>| {
        let usual = closer::sparing(list(desk, &terms, (entry, 1.0), comp), 1, area);
        let pages = pages_needed(&usual, area);
        let closer = if pages > 1 { CLOSER } else { &[] };
        let mut closer = closer.iter().map(|lead| list(desk, &terms, (entry, *lead), comp));
        closer.find(|closer| pages_needed(closer, area) < pages).unwrap_or(usual)
    };
    let usual = set(|desk, term, lead, comp| entry(desk, term, TERMS, lead, comp), comp);
    let (pages, last) = filled(&usual, area);
    if pages == 1 || last >= area.height * FEW_LINES {
        return usual;
    }
    let others: [Entry; 3] = [
        |desk, term, lead, comp| entry(desk, term, NARROW_TERMS, lead, comp),
        |desk, term, lead, comp| run_in(desk, term, Named::Text, lead, comp),
        |desk, term, lead, comp| run_in(desk, term, Named::Small, lead, comp),
    ];
    let fewer = others.into_iter().map(|entry| set(entry, comp)).find(|set| filled(set, area).0 < pages);
    fewer.unwrap_or(usual)
}

/// Sets one term, its lines at a share of their usual leading.
type Entry = fn(&Desk<'_>, &Term, f64, &mut Compositor<'_>) -> Piece;

/// Shares of the leading for all lines of a list that may spare a page so: inside entries as between them, where there is no
/// other white. At 0.94 of the usual leading of 1.3 lines are 1.22 of their size apart (DIN 1450 asks for 1.2).
const CLOSER: &[f64] = &[0.97, 0.94];

/// Widths of the column of terms in ems: one that holds every term but the longest in a line, and one that most stand in.
const TERMS: f64 = 9.5;
/// See [`TERMS`].
const NARROW_TERMS: f64 = 7.5;

/// A last page filled less than this share holds a few lines (our choice).
const FEW_LINES: f64 = 0.34;

/// The head and the terms, each as `entry` sets it with its lines at a share of their leading.
fn list(desk: &Desk<'_>, terms: &[&Term], (entry, lead): (Entry, f64), comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let mut out = vec![chapter::head(desk, setting.words.glossary, &anchor(Matter::Glossary), comp)];
    let list = (comp.number(), Tag::new(Role::List(Marks::None)));
    for (n, term) in terms.iter().enumerate() {
        let mut piece = entry(desk, term, lead, comp);
        piece.on_grid = lead >= 1.0;
        if n == 0 {
            piece.gap = fixed(setting.area.step * if lead < 1.0 { 0.5 } else { 1.0 });
        }
        piece.tags = vec![list.clone(), (comp.number(), Tag::new(Role::ListItem))];
        out.push(piece);
    }
    super::rows::keep_first(&mut out, 3);
    out
}

/// The term in bold and its meaning behind it, over the whole width.
fn run_in(desk: &Desk<'_>, term: &Term, named: Named, lead: f64, comp: &mut Compositor<'_>) -> Piece {
    let setting = desk.setting;
    let mut look = setting.scale.look(named);
    look.align = crate::text::Align::Left;
    let words = [Inline::Strong(vec![Inline::text(term.term)]), Inline::text(format!("\u{2002}{}", term.meaning))];
    let mut frame = Frame::new(Size::new(setting.width, Abs::ZERO));
    for line in comp.set(&words, &look, setting.width) {
        let height = line.frame.size.height * lead;
        let top = Point::new(Abs::ZERO, frame.size.height);
        let line = if frame.is_empty() { labelled(line.frame) } else { line.frame };
        frame.place(top, line);
        frame.size.height += height;
    }
    let height = frame.size.height;
    Piece::of_text(frame, height)
}

/// A first line whose words in the face of its first are the term.
fn labelled(line: Frame) -> Frame {
    let face = |item: &Item| if let Item::Text(run) = item { Some(run.face) } else { None };
    let bold = line.items().first().and_then(|(_, item)| face(item));
    let term = line.items().iter().take_while(|(_, item)| bold.is_some() && face(item) == bold).count();
    if term == 0 {
        return line;
    }
    let mut label = Frame::new(line.size);
    let mut words = Frame::new(line.size);
    words.baseline = line.baseline;
    for (n, (at, item)) in line.items().iter().enumerate() {
        if n < term { &mut label } else { &mut words }.push(*at, item.clone());
    }
    words.place_first(Point::default(), label, Tag::new(Role::Label));
    words
}

/// The term in bold, its meaning in a column beside it; under it where the page is narrow.
fn entry(desk: &Desk<'_>, term: &Term, ems: f64, lead: f64, comp: &mut Compositor<'_>) -> Piece {
    let setting = desk.setting;
    let size = setting.scale.size(Named::Text);
    let column = size * ems;
    let beside = setting.measure - column > size * 18.0;
    let x = if beside { column } else { size * 1.5 };
    // Beside the terms there is a whole text column where the page is wide enough.
    let width = if beside { (setting.measure + column).min(setting.width) } else { setting.measure };
    let mut look = setting.scale.look(Named::Text);
    look.align = crate::text::Align::Left;
    let lines = comp.set(&[Inline::text(term.meaning)], &look, width - x);
    let mut frame = Frame::new(Size::new(width, Abs::ZERO));
    look.hyphenate = false;
    let room = if beside { column - size * 0.8 } else { setting.measure };
    let mut left = Abs::ZERO;
    let mut label = Frame::new(Size::new(room, Abs::ZERO));
    for line in comp.set(&[Inline::Strong(vec![Inline::text(term.term)])], &look, room) {
        let height = line.frame.size.height * lead;
        label.place(Point::new(Abs::ZERO, left), line.frame);
        left += height;
    }
    label.size.height = left;
    frame.place_tagged(Point::default(), label, Tag::new(Role::Label));
    let mut y = if beside { Abs::ZERO } else { left };
    for line in lines {
        let height = line.frame.size.height * lead;
        frame.place(Point::new(x, y), line.frame);
        y += height;
    }
    let height = y.max(left);
    frame.size.height = height;
    Piece::of_text(frame, height)
}

/// All that is said in the book, in small letters: texts, commentary, advice, the key's sentences.
fn said(desk: &Desk<'_>) -> BTreeSet<&'static str> {
    let mut text = String::new();
    for blocks in desk.material.chapters.iter().chain(desk.material.tunes.iter().map(|tune| &tune.commentary)) {
        collect(blocks, &mut text);
    }
    for tune in desk.setting.book.tunes() {
        text.push_str(&tune.teaches.join(" "));
        text.push(' ');
        text.push_str(tune.tune.rhythm.as_deref().unwrap_or_default());
        text.push(' ');
    }
    for matter in desk.setting.book.front.iter().chain(&desk.setting.book.back) {
        text.push_str(prose_page::text(desk, *matter));
        text.push(' ');
    }
    if desk.setting.book.front.contains(&Matter::Key) || desk.setting.book.back.contains(&Matter::Key) {
        for sign in super::key::used(desk) {
            text.push_str(&(desk.setting.words.sign)(sign, &desk.setting.book.engraving.signs));
            text.push(' ');
        }
    }
    found(&text.to_lowercase(), desk.setting.words.terms)
}

/// Those words and pairs of words of the terms that a text in small letters has.
fn found(text: &str, terms: &[Term]) -> BTreeSet<&'static str> {
    let mut wanted: BTreeMap<&str, Vec<(Option<&str>, &'static str)>> = BTreeMap::new();
    for used in terms.iter().flat_map(|term| term.used_as) {
        let (first, second) = used.split_once(' ').map_or((*used, None), |(first, second)| (first, Some(second)));
        wanted.entry(first).or_default().push((second, used));
    }
    let mut words = text.split(|c: char| !c.is_alphanumeric() && c != '-').filter(|word| !word.is_empty()).peekable();
    let mut found = BTreeSet::new();
    while let Some(word) = words.next() {
        let Some(uses) = wanted.get(word) else { continue };
        let next = words.peek().copied();
        found.extend(uses.iter().filter(|(second, _)| second.is_none() || *second == next).map(|(_, used)| *used));
    }
    found
}

fn is_used(term: &Term, said: &BTreeSet<&'static str>) -> bool {
    term.used_as.iter().any(|word| said.contains(*word))
}

fn collect(blocks: &[Block], out: &mut String) {
    for block in blocks {
        match block {
            Block::Heading { inlines, .. } | Block::Paragraph(inlines) => out.push_str(&Inline::plain(inlines)),
            Block::List { items, .. } => items.iter().for_each(|item| collect(item, out)),
            Block::Quote(inner) => collect(inner, out),
            Block::Table(table) => {
                for cell in table.head.iter().chain(table.rows.iter().flatten()) {
                    out.push_str(&Inline::plain(cell));
                    out.push(' ');
                }
            }
            Block::Image { .. } | Block::Music(_) | Block::Code { .. } | Block::Rule => {}
        }
        out.push(' ');
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::font::{FaceId, Features, Fonts};
    use crate::frame::TextRun;

    #[test]
    fn a_term_before_its_meaning_is_the_label_of_its_line() {
        let fonts = Fonts::embedded();
        let run = |face: FaceId, words: &str| {
            Item::Text(TextRun::shaped(&fonts, face, Abs::pt(10.0), words, Features::default()))
        };
        let at = |x: f64| Point::new(Abs::pt(x), Abs::pt(8.0));
        let (bold, plain) = (fonts.music_face(), fonts.faces().map(|(id, _)| id).find(|id| *id != fonts.music_face()));
        let plain = plain.expect("there are several faces");
        let mut line = Frame::new(Size::new(Abs::pt(100.0), Abs::pt(12.0)));
        for (x, face, words) in
            [(0.0, bold, "air"), (20.0, bold, "button"), (50.0, plain, "Lets"), (70.0, plain, "air")]
        {
            line.push(at(x), run(face, words));
        }
        let labelled = labelled(line);
        let [(_, Item::Group(label)), (meaning, Item::Text(first)), _] = labelled.items() else {
            panic!("{:?}", labelled.items())
        };
        assert_eq!((label.tag.as_ref().map(|tag| tag.role), label.frame.items().len()), (Some(Role::Label), 2));
        assert_eq!((*meaning, &*first.text), (at(50.0), "Lets"));
    }

    #[test]
    fn a_term_is_listed_only_where_it_is_said() {
        let terms = [
            Term { term: "grace note", used_as: &["grace"], meaning: "" },
            Term { term: "double bar", used_as: &["double bar"], meaning: "" },
        ];
        let used = |text: &str| found(text, &terms).into_iter().collect::<Vec<_>>();
        assert_eq!(used("graceful, and a double-bar"), Vec::<&str>::new());
        assert_eq!(used("a grace; double, bar none"), ["double bar", "grace"]);
        assert!(is_used(&terms[0], &found("(grace)", &terms)) && !is_used(&terms[1], &found("(grace)", &terms)));
    }
}
