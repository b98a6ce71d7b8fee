//! Cut pieces into a document: page frames with mirrored margins, running heads, folios, labels, outline and record.

use super::document::{
    BarRecord, Document, Identity, Manifest, OutlineEntry, Page, PageRecord, SheetKind, Side, StartRecord,
};
use super::fill;
use super::flow::Piece;
use super::indexed;
use super::material::Material;
use super::notes;
use super::paginate::PageSpan;
use super::plate::{Plate, left};
use super::scale::{Label, Named};
use super::setting::{NAMED_IN_PARTS, Setting};
use crate::frame::{Frame, Group, Item, Role, Tag, Uses};
use crate::geom::{Abs, Point, Size};
use crate::style::BlankPages;
use std::collections::BTreeMap;
use std::num::NonZeroU32;
use std::sync::Arc;

/// An outline entry before its page is known.
#[derive(Debug, Clone)]
pub(super) struct Heading {
    /// Its words.
    pub title: String,
    /// Its depth.
    pub level: u8,
    /// The anchor it leads to.
    pub anchor: String,
}

/// The labels of the pages that anchors stand on, before pages are drawn: anchors in the frames of the pieces.
pub(super) fn anchors(pieces: &[Piece], plates: &[Plate]) -> BTreeMap<String, String> {
    use rayon::prelude::*;
    let on_plate = |plate: &Plate| {
        let mut names: Vec<Arc<str>> = Vec::new();
        for piece in plate.span.map_or(&[][..], |span| &pieces[span.start..span.end]) {
            seek(&piece.frame, Point::default(), &mut |_, item| {
                if let Item::Anchor(name) = item {
                    names.push(Arc::clone(name));
                }
            });
        }
        names
    };
    let names: Vec<Vec<Arc<str>>> = plates.par_iter().map(on_plate).collect();
    let mut found = BTreeMap::new();
    for (plate, names) in plates.iter().zip(names) {
        for name in names {
            found.entry(name.to_string()).or_insert_with(|| plate.label.clone());
        }
    }
    found
}

/// The anchors of the pieces that begin a page, with its label.
pub(super) fn starts(pieces: &[Piece], plates: &[Plate]) -> Vec<StartRecord> {
    let mut found: Vec<StartRecord> = Vec::new();
    for plate in plates {
        let Some(piece) = plate.span.and_then(|span| pieces.get(span.start)) else { continue };
        for anchor in own_anchors(piece) {
            found.push(StartRecord { anchor, page: plate.label.clone() });
        }
    }
    found
}

/// The anchors in a piece, without those inside a text.
pub(super) fn own_anchors(piece: &Piece) -> Vec<String> {
    let mut found = Vec::new();
    seek(&piece.frame, Point::default(), &mut |_, item| {
        if let Item::Anchor(name) = item
            && !indexed::is_in_text(name)
        {
            found.push(name.to_string());
        }
    });
    found
}

/// Calls `with` for every item of a frame, nested ones too, with its place.
fn seek(frame: &Frame, origin: Point, with: &mut impl FnMut(Point, &Item)) {
    for (at, item) in frame.items() {
        let at = origin + *at;
        with(at, item);
        if let Item::Group(group) = item {
            seek(&group.frame, at, with);
        }
    }
}

/// Draws all pages.
pub(super) fn pages(setting: &Setting<'_>, pieces: &[Piece], plates: &[Plate]) -> Vec<Page> {
    use rayon::prelude::*;
    let parted = parted(pieces, plates);
    plates
        .par_iter()
        .enumerate()
        .map(|(n, plate)| {
            let mut frame = Frame::new(setting.book.page.size);
            let Some(span) = plate.span else {
                if is_for_notes(setting, pieces, plate, plates.get(n + 1)) {
                    notes::draw(setting, plate, &mut frame);
                    folio(setting, plate, &mut frame);
                    return Page { frame, label: plate.label.clone(), side: plate.side, kind: SheetKind::Body };
                }
                return Page { frame, label: plate.label.clone(), side: plate.side, kind: SheetKind::Blank };
            };
            let on_page = &pieces[span.start..span.end];
            let last = span.end == pieces.len();
            let tops = fill::place(on_page, setting.area, !last);
            furniture(setting, on_page, plate, &mut frame);
            let origin = Point::new(left(setting, plate.side), setting.book.page.margins.top);
            if let (Some(first), Some(top)) = (on_page.first(), tops.first())
                && let Some(head) = &first.head
            {
                let tag = Some(Tag::new(Role::Artifact));
                let group = Group { frame: Arc::clone(head), tag, subject: None, link: None };
                frame.push(origin + Point::new(first.x, *top - head.size.height), Item::Group(group.into()));
            }
            let placed: Vec<(&Piece, Abs)> = on_page.iter().zip(tops).collect();
            gather(&mut frame, origin, &placed, (0, plate.side), &parted);
            let cover = on_page.first().is_some_and(|piece| piece.running.cover);
            let kind = if cover { SheetKind::Cover } else { SheetKind::Body };
            Page { frame: frame.settled(), label: plate.label.clone(), side: plate.side, kind }
        })
        .collect()
}

/// Whether a page that the order leaves white is ruled for notes: among the tunes, where the book asks for it; not beside a
/// cover or a part that is laid out like a title.
fn is_for_notes(setting: &Setting<'_>, pieces: &[Piece], plate: &Plate, next: Option<&Plate>) -> bool {
    let display = |span: PageSpan| pieces.get(span.start).is_some_and(|piece| piece.running.display);
    setting.book.page.blanks == BlankPages::Notes
        && plate.label.starts_with(|c: char| c.is_ascii_digit())
        && next.and_then(|next| next.span).is_some_and(|span| !display(span))
}

/// The tags whose pieces go on on another page, by number, each with what its element is called in the document.
fn parted(pieces: &[Piece], plates: &[Plate]) -> BTreeMap<u64, NonZeroU32> {
    let mut found = BTreeMap::new();
    for start in plates.iter().filter_map(|plate| plate.span).map(|span| span.start) {
        let Some((before, first)) = start.checked_sub(1).and_then(|n| pieces.get(n)).zip(pieces.get(start)) else {
            continue;
        };
        let numbers = |piece: &Piece| piece.tags.iter().map(|(number, _)| *number).collect::<Vec<_>>();
        for (number, _) in numbers(before).into_iter().zip(numbers(first)).take_while(|(one, other)| one == other) {
            let next = u32::try_from(found.len() + 1).ok().filter(|next| *next < NAMED_IN_PARTS);
            let next = next.and_then(NonZeroU32::new);
            if let Some(next) = next {
                found.entry(number).or_insert(next);
            }
        }
    }
    found
}

/// Puts pieces into a frame, neighbours under one tag into one group, level by level; those of `parted` go on elsewhere.
fn gather(
    frame: &mut Frame,
    origin: Point,
    placed: &[(&Piece, Abs)],
    (level, side): (usize, Side),
    parted: &BTreeMap<u64, NonZeroU32>,
) {
    let mut start = 0;
    while start < placed.len() {
        let (piece, top) = placed[start];
        let Some((number, tag)) = piece.tags.get(level) else {
            let ink = match (&piece.verso, side) {
                (Some(verso), Side::Verso) => verso,
                _ => &piece.frame,
            };
            let group = Group { frame: Arc::clone(ink), tag: None, subject: None, link: None };
            frame.push(origin + Point::new(piece.x, top), Item::Group(group.into()));
            start += 1;
            continue;
        };
        let same = |piece: &Piece| piece.tags.get(level).is_some_and(|(other, _)| other == number);
        let end = start + placed[start..].iter().take_while(|(piece, _)| same(piece)).count();
        let last = placed[end - 1];
        let width = placed[start..end].iter().map(|(piece, _)| piece.frame.size.width).fold(Abs::ZERO, Abs::max);
        let mut inner = Frame::new(Size::new(width, last.1 + last.0.height - top));
        gather(&mut inner, Point::new(Abs::ZERO, -top), &placed[start..end], (level + 1, side), parted);
        let tag = Tag { whole: parted.get(number).copied(), ..tag.clone() };
        frame.place_tagged(origin + Point::new(Abs::ZERO, top), inner, tag);
        start = end;
    }
}

/// From the trimmed edge to the baseline of the running head: its letters then keep clear of the 5 mm that office printers leave
/// white and of a trimmer's tolerance of 2 to 3 mm (common practice).
const HEAD_CLEAR: Abs = Abs::mm(10.0);

/// No running head and no folio is nearer to the trimmed edge than this (common practice, no source).
const SAFE: Abs = Abs::mm(5.0);
/// How high letters rise over their baseline, and how deep they reach under it, in sizes: more than any of ours do.
const RISES: f64 = 0.8;
const REACHES: f64 = 0.25;

/// Running head and folio.
fn furniture(setting: &Setting<'_>, on_page: &[Piece], plate: &Plate, frame: &mut Frame) {
    let Some(first) = on_page.first() else { return };
    if first.running.display {
        return;
    }
    let margins = setting.book.page.margins;
    let step = setting.area.step;
    let size = setting.scale.size(Named::Running);
    if !first.running.opener {
        let words = match plate.side {
            Side::Recto => first.running.recto.as_ref(),
            Side::Verso => setting.book.title.as_str(),
        };
        let label = setting.scale.label_within(Named::Running, words, setting.width);
        // A step and a half over the type area, but clear of the edge that trimming and office printers are not sure of; at
        // least its own line over the type area, as far as a narrow margin lets it.
        let over = (step * 1.5).min(margins.top - HEAD_CLEAR).max(step * 0.9);
        let y = margins.top - over.min(margins.top - SAFE - size * RISES).max(size * 0.4);
        at_the_outer_edge(setting, plate, (label, Role::Header), y, frame);
    }
    folio(setting, plate, frame);
}

/// The page's number at its foot.
fn folio(setting: &Setting<'_>, plate: &Plate, frame: &mut Frame) {
    let margins = setting.book.page.margins;
    let size = setting.scale.size(Named::Running);
    let label = setting.scale.figures(Named::Running, &plate.label);
    let foot = margins.top + setting.area.height;
    let room = setting.book.page.size.height - foot;
    let y = foot + (setting.area.step * 2.0).min(room - SAFE - size * REACHES).max(size);
    at_the_outer_edge(setting, plate, (label, Role::Footer), y, frame);
}

fn at_the_outer_edge(setting: &Setting<'_>, plate: &Plate, (label, role): (Label, Role), y: Abs, frame: &mut Frame) {
    let left = left(setting, plate.side);
    let mut words = Frame::new(Size::new(label.width, Abs::ZERO));
    let x = if plate.side == Side::Recto { left + setting.width - label.width } else { left };
    label.put(&mut words, Point::default());
    frame.place_tagged(Point::new(x, y), words, Tag::new(role));
}

/// What one walk over the pages finds.
#[derive(Debug, Default)]
struct Survey {
    /// Where each anchor first stands: the page, and how far down.
    anchors: BTreeMap<Arc<str>, (usize, Abs)>,
    /// The page on which each subject first stands.
    bars: BTreeMap<Arc<str>, usize>,
    uses: Uses,
}

impl Survey {
    /// Walks over all pages, neighbours together and parts side by side.
    fn of(pages: &[Page]) -> Self {
        use rayon::prelude::*;
        /// Pages in a part.
        const PART: usize = 32;
        let part = |(nth, part): (usize, &[Page])| {
            let mut survey = Self::default();
            for (n, page) in part.iter().enumerate() {
                survey.take(&page.frame, nth * PART + n);
            }
            survey
        };
        pages.par_chunks(PART).enumerate().map(part).reduce(Self::default, Self::then)
    }
    fn take(&mut self, frame: &Frame, page: usize) {
        seek(frame, Point::default(), &mut |at, item| match item {
            Item::Anchor(name) => {
                self.anchors.entry(Arc::clone(name)).or_insert((page, at.y));
            }
            Item::Group(group) => {
                if let Some(subject) = &group.subject {
                    self.bars.entry(Arc::clone(&subject.0)).or_insert(page);
                }
            }
            item => self.uses.item(item),
        });
    }
    fn then(mut self, later: Self) -> Self {
        for (name, place) in later.anchors {
            self.anchors.entry(name).or_insert(place);
        }
        for (subject, page) in later.bars {
            self.bars.entry(subject).or_insert(page);
        }
        self.uses.then(later.uses);
        self
    }
}

/// Outline and record, from the drawn pages.
pub(super) fn document(
    setting: &Setting<'_>,
    material: &Material<'_>,
    pages: Vec<Page>,
    headings: &[Heading],
    starts: Vec<StartRecord>,
) -> Document {
    let Survey { anchors, bars, uses } = Survey::of(&pages);
    let links = described(setting, &pages, &anchors, headings);
    let outline = headings
        .iter()
        .filter_map(|heading| {
            let (page, top) = *anchors.get(heading.anchor.as_str())?;
            Some(OutlineEntry { title: heading.title.clone(), level: heading.level, page, top })
        })
        .collect();
    let identity = identity(setting);
    let records = material.tunes.iter().flat_map(|tune| {
        let (pages, bars) = (&pages, &bars);
        let (id, title): (Arc<str>, Arc<str>) = (tune.entry.id.as_str().into(), tune.entry.title.as_str().into());
        tune.facts.iter().filter_map(move |(bar, facts)| {
            let page = *bars.get(format!("tune:{id} bar:{bar}").as_str())?;
            Some(BarRecord {
                tune: Arc::clone(&id),
                title: Arc::clone(&title),
                bar: bar.clone(),
                page: pages[page].label.clone(),
                digest: String::new(),
                facts: facts.clone(),
            })
        })
    });
    // As many as there are and no more: they are held until the file is written.
    let mut all = Vec::with_capacity(material.tunes.iter().map(|tune| tune.facts.len()).sum());
    all.extend(records);
    let manifest = Manifest {
        identity: identity.clone(),
        options: options(setting),
        bars: all,
        pages: pages.iter().map(|page| PageRecord { label: page.label.clone(), digest: String::new() }).collect(),
        starts,
        ..Manifest::default()
    };
    Document { identity, pages, outline, links, manifest, uses: Some(uses), cover: None }
}

/// What links to the anchors say: the title or the word that stands there, and the page.
fn described(
    setting: &Setting<'_>,
    pages: &[Page],
    anchors: &BTreeMap<Arc<str>, (usize, Abs)>,
    headings: &[Heading],
) -> BTreeMap<Arc<str>, String> {
    let titles: BTreeMap<&str, &str> =
        headings.iter().map(|heading| (heading.anchor.as_str(), heading.title.as_str())).collect();
    let said = |(name, (page, _)): (&Arc<str>, &(usize, Abs))| {
        let page = setting.words.on_page.replace("{page}", &pages[*page].label);
        let title = titles.get(&**name).copied().or_else(|| indexed::word(name));
        (Arc::clone(name), title.map_or_else(|| page.clone(), |title| format!("{title}, {page}")))
    };
    anchors.iter().map(said).collect()
}

fn identity(setting: &Setting<'_>) -> Identity {
    let book = setting.book;
    let edition = book.edition.clone().unwrap_or_default();
    let title = if edition.is_empty() { book.title.clone() } else { format!("{} ({edition})", book.title) };
    Identity {
        book: book.id.clone(),
        edition,
        title,
        author: book.author.clone().unwrap_or_default(),
        language: book.language.clone(),
        date: book.date.clone(),
        impression: book.impression,
    }
}

/// What changes the ink without being ink: the box and the paper.
fn options(setting: &Setting<'_>) -> Vec<(String, String)> {
    let size = setting.book.page.size;
    vec![
        ("box".to_owned(), setting.book.instrument.id.clone()),
        ("paper".to_owned(), format!("{:.1} x {:.1} mm", size.width.to_mm(), size.height.to_mm())),
        ("text".to_owned(), format!("{:.2} pt", setting.book.text.size.to_pt())),
    ]
}
