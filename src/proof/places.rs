//! Where on the pages a complaint belongs.
//!
//! Takes a document and complaints; gives a page and a box for each, found by the subjects of groups, or by the page alone.

use super::Complaint;
use crate::frame::{Frame, Item};
use crate::geom::{Abs, Point, Rect};
use crate::page::Document;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Where a complaint stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Spot {
    /// Index of the page.
    pub page: usize,
    /// The ink it is about; `None` for the page as a whole.
    pub ink: Option<Rect>,
}

/// One spot a complaint, in their order; `None` for a complaint about the whole book.
pub(super) fn spots(document: &Document, complaints: &[Complaint]) -> Vec<Option<Spot>> {
    if complaints.is_empty() {
        return Vec::new();
    }
    let mut known = BTreeMap::new();
    for (index, page) in document.pages.iter().enumerate() {
        let mut here = BTreeMap::new();
        subjects(&page.frame, Point::default(), &mut here);
        for (subject, ink) in here {
            known.entry(subject).or_insert((index, ink));
        }
    }
    complaints.iter().map(|complaint| spot(complaint, &known, document.pages.len())).collect()
}

fn spot(complaint: &Complaint, known: &BTreeMap<Arc<str>, (usize, Option<Rect>)>, pages: usize) -> Option<Spot> {
    if let Some(subject) = complaint.subject.as_deref() {
        if let Some((page, ink)) = known.get(subject) {
            return Some(Spot { page: *page, ink: *ink });
        }
        // A bar that is not on the pages, or a tune as a whole: the first page that speaks of the tune.
        let whole = subject.split(' ').next().unwrap_or(subject);
        let part = format!("{whole} ");
        let of_it = known.iter().filter(|(name, _)| name.as_ref() == whole || name.starts_with(&part));
        if let Some(page) = of_it.map(|(_, (page, _))| *page).min() {
            return Some(Spot { page, ink: None });
        }
    }
    complaint.page.filter(|page| *page < pages).map(|page| Spot { page, ink: None })
}

/// The box of the ink of each subject of a page.
fn subjects(frame: &Frame, origin: Point, found: &mut BTreeMap<Arc<str>, Option<Rect>>) {
    for (at, item) in frame.items() {
        let Item::Group(group) = item else { continue };
        let at = origin + *at;
        if let Some(subject) = &group.subject {
            let ink = extent(&group.frame, at);
            let all = found.entry(subject.0.clone()).or_default();
            *all = match (*all, ink) {
                (Some(one), Some(other)) => Some(one.union(&other)),
                (one, other) => one.or(other),
            };
        }
        subjects(&group.frame, at, found);
    }
}

/// About how far a frame's ink reaches: exact for paths and pictures, the type size for text.
fn extent(frame: &Frame, origin: Point) -> Option<Rect> {
    frame
        .items()
        .iter()
        .filter_map(|(at, item)| {
            let at = origin + *at;
            match item {
                Item::Text(run) => {
                    // Ascenders and descenders of text, and note heads, lie within half the size about the baseline.
                    let half = run.size * 0.5;
                    let right = Point::new(at.x + run.width().max(Abs::pt(1.0)), at.y + half * 0.5);
                    Some(Rect::new(Point::new(at.x, at.y - half), right))
                }
                Item::Shape(shape) => shape.path.moved(at).ink(),
                Item::Stamp(shape) => shape.path.moved(at).ink(),
                Item::Rect(rect, _) => Some(Rect::new(rect.min, rect.max).moved(at)),
                Item::Image(image) => {
                    Some(Rect::new(at, Point::new(at.x + image.size.width, at.y + image.size.height)))
                }
                Item::Drawing(drawing) => {
                    Some(Rect::new(at, Point::new(at.x + drawing.size.width, at.y + drawing.size.height)))
                }
                Item::Group(group) => extent(&group.frame, at),
                Item::Anchor(_) => None,
            }
        })
        .reduce(|one, other| one.union(&other))
}

/// The page of each anchor, the first where a name comes twice.
pub(super) fn anchors(document: &Document) -> BTreeMap<Arc<str>, usize> {
    let mut found = BTreeMap::new();
    for (index, page) in document.pages.iter().enumerate() {
        collect_anchors(&page.frame, index, &mut found);
    }
    found
}

fn collect_anchors(frame: &Frame, page: usize, found: &mut BTreeMap<Arc<str>, usize>) {
    for (_, item) in frame.items() {
        match item {
            Item::Anchor(name) => {
                found.entry(name.clone()).or_insert(page);
            }
            Item::Group(group) => collect_anchors(&group.frame, page, found),
            _ => {}
        }
    }
}
