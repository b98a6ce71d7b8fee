//! The imprint page: who, when, which edition, whose rights, which faces. Set small, at the foot of the page.
//!
//! What stands on it is common practice; the ISBN stands on the back of the title leaf (ISBN Users' Manual).

use crate::book::{Matter, Preset};
use crate::frame::{Frame, Item, Role, Tag};
use crate::geom::{Abs, Point, Size};
use crate::page::desk::Desk;
use crate::page::facts;
use crate::page::flow::{Before, Piece, fixed};
use crate::page::prose::{self, Column};
use crate::page::scale::{Named, text_family};
use crate::page::setting::Compositor;
use crate::style::Family;
use crate::text::Block;

/// The imprint: one page, or more where there are many tunes.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let mut blocks: Vec<Vec<Piece>> = Vec::new();
    for (named, words, figures) in lines(desk) {
        let tag = (comp.number(), Tag::new(Role::Paragraph));
        let mut look = setting.scale.look(named);
        look.old_style &= figures == Figures::OfText;
        blocks.push(setting.lines_in(&look, &words, setting.measure, tag, comp));
    }
    let notice = prose::flat(prose::set(setting, &desk.material.notice, desk.extras, Column::text(setting), comp));
    let mut out: Vec<Piece> = Vec::new();
    for (n, block) in blocks.into_iter().enumerate() {
        if n == NOTICE_AFTER {
            out.extend(spaced(notice.clone(), setting.area.step));
        }
        out.extend(spaced(block, setting.area.step));
    }
    sink_to_foot(desk, out)
}

/// The notice follows title and edition.
const NOTICE_AFTER: usize = 2;

fn spaced(mut block: Vec<Piece>, gap: Abs) -> Vec<Piece> {
    if let Some(first) = block.first_mut() {
        first.gap = fixed(gap * 0.5);
    }
    block
}

/// Which figures a line has.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Figures {
    /// Those of running text, some of which hang below the line.
    OfText,
    /// Those as high as capitals: a number that is a name of its own, of a book or a face, is not read as a part of a sentence.
    Lining,
}

fn lines(desk: &Desk<'_>) -> Vec<(Named, String, Figures)> {
    let small = |words: String| (Named::Small, words, Figures::OfText);
    let (book, words) = (desk.setting.book, desk.setting.words);
    let mut out = Vec::new();
    let title = match &book.subtitle {
        Some(subtitle) => format!("{}: {subtitle}", book.title),
        None => book.title.clone(),
    };
    out.push((Named::Strong, title, Figures::OfText));
    let year = book.date.get(..4).unwrap_or_default();
    let owner = book.author.clone().or_else(|| book.imprint.publisher.clone()).unwrap_or_default();
    // A notice says whose the book is, or that it is everybody's; without one, this line does.
    if desk.material.notice.is_empty() {
        out.push(small(format!("© {year} {owner}").trim().to_owned()));
    }
    let mut made = words.impression.replace("{number}", &book.impression.to_string()).replace("{date}", &book.date);
    made.push('.');
    if let Some(publisher) = &book.imprint.publisher {
        made = format!("{}. {made}", words.published_by.replace("{publisher}", publisher));
    }
    if let Some(edition) = edition(desk) {
        made = format!("{made} {edition}");
    } else if book.edition.is_some() {
        // An edition without a word of its own is most often one for another box.
        made = format!("{made} {}.", box_for(desk));
    }
    out.push(small(made));
    match &book.imprint.isbn {
        Some(isbn) => out.push((Named::Small, format!("ISBN {isbn}"), Figures::Lining)),
        None => out.push(small(words.isbn_none.to_owned())),
    }
    let rights = tune_rights(desk);
    if !rights.is_empty() {
        out.push(small(format!("{}: {rights}", words.rights_of_tunes)));
    }
    out.push(small(words.local_law.to_owned()));
    out.push(small(words.health_note.to_owned()));
    let family = |family| desk.setting.fonts().family_name(text_family(family));
    let (text, labels) = (family(book.text.family), family(book.text.labels));
    let fonts = if text == labels { words.fonts_one } else { words.fonts };
    let mut fonts = fonts.replace("{text}", text).replace("{labels}", labels);
    if has_code(desk) {
        let code = words.fonts_code.replace("{code}", family(Family::Mono));
        fonts = format!("{fonts} {code}");
    }
    out.push((Named::Small, fonts, Figures::Lining));
    if book.back.contains(&Matter::Corrections) {
        out.push(small(words.errata_note.to_owned()));
    }
    out
}

/// Whether any text of the book has words or lines as they are typed.
fn has_code(desk: &Desk<'_>) -> bool {
    let material = desk.material;
    let tunes = material.tunes.iter().flat_map(|tune| [&tune.commentary, &tune.teacher_notes]);
    material.chapters.iter().chain([&material.notice]).chain(tunes).any(|blocks| Block::any_code(blocks))
}

/// Which box the book is for, so that two editions are told apart: `For the D/G box, 21 buttons, third-button start`.
pub(super) fn box_for(desk: &Desk<'_>) -> String {
    let mut parts = facts::box_parts(desk.setting);
    parts[0] = desk.setting.words.box_for.replace("{box}", &parts[0]);
    parts.join(", ")
}

/// The edition in words; `None` for the book itself and for an edition that only its key in the file names.
pub(super) fn edition(desk: &Desk<'_>) -> Option<String> {
    let (book, words) = (desk.setting.book, desk.setting.words);
    book.edition.as_ref()?;
    let presets = [
        (Preset::LargePrint, words.edition_large),
        (Preset::Teacher, words.edition_teacher),
        (Preset::Handout, words.edition_handout),
    ];
    presets.into_iter().find(|(preset, _)| book.has(*preset)).map(|(_, words)| words.to_owned())
}

/// The rights of all tunes, those with the same statement together, in the order of their first tune.
fn tune_rights(desk: &Desk<'_>) -> String {
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for tune in desk.setting.book.tunes() {
        let rights = tune.rights.clone().unwrap_or_else(|| desk.setting.words.rights_unstated.to_owned());
        let statement = tune.composer.iter().cloned().chain([rights]).collect::<Vec<_>>().join(", ");
        match groups.iter_mut().find(|(known, _)| *known == statement) {
            Some((_, titles)) => titles.push(tune.title.clone()),
            None => groups.push((statement, vec![tune.title.clone()])),
        }
    }
    let parts: Vec<_> = groups.iter().map(|(rights, titles)| format!("{} ({rights})", titles.join("; "))).collect();
    if parts.is_empty() { String::new() } else { format!("{}.", parts.join(". ")) }
}

/// Pushes the lines to the foot of one page; when they don't fit on one, they run on from its head.
fn sink_to_foot(desk: &Desk<'_>, mut pieces: Vec<Piece>) -> Vec<Piece> {
    let area = desk.setting.area;
    let mut walk = crate::page::fill::Walk::new();
    for piece in &pieces {
        walk.put(piece, area.step, 0.0);
    }
    let room = area.height - walk.bottom();
    let anchor_height =
        if room > area.step { desk.setting.area.step * ((room / area.step) - 1.0).floor() } else { Abs::ZERO };
    let mut top = Frame::new(Size::new(desk.setting.width, anchor_height));
    top.push(Point::default(), Item::Anchor(super::names::anchor(Matter::Imprint).into()));
    if let Some(first) = pieces.first_mut() {
        (first.gap, first.before) = (fixed(Abs::ZERO), Before::Never);
    }
    let mut out = vec![Piece::of_text(top, anchor_height)];
    out.append(&mut pieces);
    out
}
