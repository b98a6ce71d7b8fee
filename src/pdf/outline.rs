//! How a reader moves through the file: named places, nested outline, page labels.
//!
//! Sources: ISO 32000-1, 12.3.2.3 (named destinations), 12.3.3 (outline), 12.4.2 (page labels).

use super::finish::{Parts, text};
use super::paint::Side;
use super::skeleton::Skeleton;
use crate::geom::{Abs, Point};
use crate::sheet::{Sheet, Turn};
use lopdf::{Dictionary, Object, ObjectId};
use std::collections::BTreeMap;

/// Writes the named places of all sides into the catalog's name tree; the first place of a name counts. Gives each name's
/// side.
pub(super) fn anchors(
    skeleton: &mut Skeleton,
    sides: &[Side],
    sheets: &[Sheet],
    entries: &mut Dictionary,
) -> BTreeMap<String, usize> {
    let mut places: BTreeMap<&str, (usize, Point)> = BTreeMap::new();
    for (index, side) in sides.iter().enumerate() {
        for (name, at) in &side.anchors {
            places.entry(name).or_insert((index, *at));
        }
    }
    if places.is_empty() {
        return BTreeMap::new();
    }
    // A name tree is sorted by the bytes of its keys, and so is the map.
    let mut names = Vec::with_capacity(places.len() * 2);
    for (name, (side, at)) in &places {
        names.push(key(name));
        names.push(place(skeleton.pages[*side], &sheets[*side], Some(at.x), at.y));
    }
    let tree = skeleton.file.add_object(Dictionary::from_iter([("Names", Object::Array(names))]));
    let trees = Dictionary::from_iter([("Dests", Object::Reference(tree))]);
    entries.set("Names", Object::Dictionary(trees));
    places.into_iter().map(|(name, (side, _))| (name.to_owned(), side)).collect()
}

/// A name as a byte string.
pub(super) fn key(name: &str) -> Object {
    Object::string_literal(name)
}

fn place(page: ObjectId, sheet: &Sheet, left: Option<Abs>, top: Abs) -> Object {
    let real = |value: f64| {
        #[expect(clippy::cast_possible_truncation, reason = "the file's library holds reals as 32 bits")]
        let value = ((value * 100.0).round() / 100.0) as f32;
        Object::Real(value)
    };
    let left = left.map_or(Object::Null, |left| real(left.to_pt()));
    let top = real((sheet.boxes.media.height - top).to_pt());
    Object::Array(vec![Object::Reference(page), Object::Name("XYZ".into()), left, top, Object::Null])
}

/// One entry of the outline as a tree.
struct Branch {
    title: String,
    target: Object,
    id: ObjectId,
    children: Vec<usize>,
    parent: Option<usize>,
}

/// Writes the nested outline; entries whose page is on no side are left out.
pub(super) fn outline(skeleton: &mut Skeleton, parts: &Parts<'_>, entries: &mut Dictionary) {
    let mut found: BTreeMap<usize, (usize, Abs)> = BTreeMap::new();
    for (side, sheet) in parts.sheets.iter().enumerate() {
        for placement in &sheet.pages {
            let top = if placement.turn == Turn::None { placement.at.y } else { Abs::ZERO };
            found.entry(placement.page).or_insert((side, top));
        }
    }
    let mut branches: Vec<Branch> = Vec::new();
    let mut open: Vec<(u8, usize)> = Vec::new();
    for entry in &parts.document.outline {
        let Some((side, top)) = found.get(&entry.page) else { continue };
        open.retain(|(level, _)| *level < entry.level);
        let target = place(skeleton.pages[*side], &parts.sheets[*side], None, *top + entry.top);
        let parent = open.last().map(|(_, index)| *index);
        let index = branches.len();
        let id = skeleton.file.new_object_id();
        branches.push(Branch { title: entry.title.clone(), target, id, children: Vec::new(), parent });
        if let Some(parent) = parent {
            branches[parent].children.push(index);
        }
        open.push((entry.level, index));
    }
    let tops: Vec<usize> = (0..branches.len()).filter(|index| branches[*index].parent.is_none()).collect();
    let (Some(first), Some(last)) = (tops.first(), tops.last()) else { return };
    let root = skeleton.file.new_object_id();
    let dictionary = Dictionary::from_iter([
        ("Type", Object::Name("Outlines".into())),
        ("First", Object::Reference(branches[*first].id)),
        ("Last", Object::Reference(branches[*last].id)),
        ("Count", count(tops.len())),
    ]);
    skeleton.file.set_object(root, dictionary);
    write_branches(skeleton, &branches, &tops, root);
    for branch in &branches {
        write_branches(skeleton, &branches, &branch.children, branch.id);
    }
    entries.set("Outlines", Object::Reference(root));
}

fn count(number: usize) -> Object {
    Object::Integer(i64::try_from(number).unwrap_or(i64::MAX))
}

fn write_branches(skeleton: &mut Skeleton, branches: &[Branch], row: &[usize], parent: ObjectId) {
    for (position, index) in row.iter().enumerate() {
        let branch = &branches[*index];
        let mut dictionary = Dictionary::from_iter([
            ("Title", text(&branch.title)),
            ("Parent", Object::Reference(parent)),
            ("Dest", branch.target.clone()),
        ]);
        if position > 0 {
            dictionary.set("Prev", Object::Reference(branches[row[position - 1]].id));
        }
        if let Some(next) = row.get(position + 1) {
            dictionary.set("Next", Object::Reference(branches[*next].id));
        }
        if let (Some(first), Some(last)) = (branch.children.first(), branch.children.last()) {
            dictionary.set("First", Object::Reference(branches[*first].id));
            dictionary.set("Last", Object::Reference(branches[*last].id));
            // Negative: closed until the reader opens it.
            dictionary.set("Count", Object::Integer(-i64::try_from(branch.children.len()).unwrap_or(i64::MAX)));
        }
        skeleton.file.set_object(branch.id, dictionary);
    }
}

/// How a run of labels is written.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Style {
    Decimal(u32),
    Roman(u32),
    Plain(String),
}

impl Style {
    fn of(label: &str) -> Self {
        if let Some(number) = label.parse::<u32>().ok().filter(|number| *number > 0 && number.to_string() == label) {
            return Self::Decimal(number);
        }
        (1..200).find(|number| roman(*number) == label).map_or_else(|| Self::Plain(label.to_owned()), Self::Roman)
    }
    fn follows(&self, earlier: &Self) -> bool {
        match (earlier, self) {
            (Self::Decimal(a), Self::Decimal(b)) | (Self::Roman(a), Self::Roman(b)) => *b == a + 1,
            _ => false,
        }
    }
}

/// Small Roman numerals.
fn roman(mut number: u32) -> String {
    let mut out = String::new();
    for (value, digits) in
        [(100, "c"), (90, "xc"), (50, "l"), (40, "xl"), (10, "x"), (9, "ix"), (5, "v"), (4, "iv"), (1, "i")]
    {
        while number >= value {
            out.push_str(digits);
            number -= value;
        }
    }
    out
}

/// Writes the page labels: a range for each run of following numbers.
pub(super) fn labels(skeleton: &mut Skeleton, parts: &Parts<'_>, entries: &mut Dictionary) {
    let mut numbers = Vec::new();
    let mut last: Option<Style> = None;
    for (index, sheet) in parts.sheets.iter().enumerate() {
        let style = Style::of(&sheet.label);
        if !last.as_ref().is_some_and(|last| style.follows(last)) {
            let mut range = Dictionary::new();
            match &style {
                Style::Decimal(start) => {
                    range.set("S", Object::Name("D".into()));
                    range.set("St", i64::from(*start));
                }
                Style::Roman(start) => {
                    range.set("S", Object::Name("r".into()));
                    range.set("St", i64::from(*start));
                }
                Style::Plain(label) => range.set("P", text(label)),
            }
            numbers.push(count(index));
            numbers.push(Object::Dictionary(range));
        }
        last = Some(style);
    }
    let tree = skeleton.file.add_object(Dictionary::from_iter([("Nums", Object::Array(numbers))]));
    entries.set("PageLabels", Object::Reference(tree));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn labels_are_known_by_their_kind() {
        assert_eq!(Style::of("12"), Style::Decimal(12));
        assert_eq!(Style::of("xiv"), Style::Roman(14));
        assert_eq!(Style::of("12a"), Style::Plain("12a".into()));
        assert_eq!(Style::of(""), Style::Plain(String::new()));
        assert_eq!(Style::of("012"), Style::Plain("012".into()));
        assert!(Style::of("iv").follows(&Style::of("iii")) && !Style::of("1").follows(&Style::of("iv")));
    }
}
