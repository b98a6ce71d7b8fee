//! Links and the structure tree in the file: what the painters gathered, joined in reading order.
//!
//! Sources: ISO 32000-1, 12.5.6.5 (links), 14.7 (logical structure); ISO 14289-1, 7.18.5 (a link says where it leads and
//! hangs in the tree).

use super::finish::{text, upright};
use super::operand::{push_literal, push_whole, text_bytes};
use super::outline::key;
use super::paint::Side;
use super::save::{self, Batches, Stored, TOGETHER};
use super::skeleton::Skeleton;
use super::structure::{Kid, Kind};
use crate::frame::{LinkTarget, Marks, Role};
use crate::sheet::Sheet;
use lopdf::{Dictionary, Object};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::num::NonZeroU32;
use std::ops::Range;
use std::sync::Arc;

/// The links of all sides, by side and order.
pub(super) struct Links {
    /// The numbers, side by side; none for a link that is left out.
    pub(super) numbers: Vec<Vec<Option<u32>>>,
    /// The objects, to be stored.
    pub(super) stored: Vec<Stored>,
}

/// Writes the links of all sides, as bytes like the structure; each says in words where it leads, as `said` has it by anchor
/// (ISO 14289-1, 7.18.5). A link to a place that is nowhere is left out.
pub(super) fn links(
    skeleton: &mut Skeleton,
    sides: &[Side],
    sheets: &[Sheet],
    known: &BTreeMap<String, usize>,
    said: &BTreeMap<Arc<str>, String>,
) -> Links {
    let mut numbers = Vec::with_capacity(sides.len());
    let mut batches = Batches::new(TOGETHER);
    // Links come after the sides in the parent tree.
    let mut next_key = i64::try_from(sides.len()).unwrap_or(i64::MAX);
    for (side, sheet) in sides.iter().zip(sheets) {
        let mut own = Vec::with_capacity(side.links.len());
        for link in &side.links {
            let (dest, contents) = match &link.target {
                LinkTarget::Anchor(anchor) => match known.get(&**anchor) {
                    Some(side) => {
                        let words = said.get(anchor).unwrap_or(&sheets[*side].label);
                        (Some(key(anchor)), text(words))
                    }
                    None => {
                        own.push(None);
                        continue;
                    }
                },
                LinkTarget::Url(url) => (None, text(url)),
            };
            let number = skeleton.file.new_object_id().0;
            let out = batches.begin(number);
            out.extend_from_slice(b"<</Type/Annot/Subtype/Link/Border[0 0 0]/F 4/Rect");
            save::write(out, &upright(&link.area, sheet.boxes.media.height.to_pt()));
            put(out, format_args!("/StructParent {next_key}/Contents"));
            save::write(out, &contents);
            match (&link.target, dest) {
                (_, Some(dest)) => {
                    out.extend_from_slice(b"/Dest");
                    save::write(out, &dest);
                }
                (LinkTarget::Url(url) | LinkTarget::Anchor(url), None) => {
                    // Addresses are 7-bit (ISO 32000-1, 12.6.4.7); others are written byte by byte with per cent signs.
                    out.extend_from_slice(b"/A<</S/URI/URI");
                    push_literal(out, ascii(url).as_bytes());
                    out.extend_from_slice(b">>");
                }
            }
            out.extend_from_slice(b">>");
            next_key += 1;
            own.push(Some(number));
        }
        numbers.push(own);
    }
    Links { numbers, stored: batches.pack() }
}

fn ascii(url: &str) -> String {
    url.bytes()
        .map(|byte| if (b'!'..=b'~').contains(&byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") })
        .collect()
}

/// Writes the structure tree, as bytes, sides in parallel: there are dozens of elements on a page, and each as an object of
/// its own would weigh more than the page.
pub(super) fn structure(
    skeleton: &mut Skeleton,
    sides: &[Side],
    sheets: &[Sheet],
    links: &[Vec<Option<u32>>],
    entries: &mut Dictionary,
) -> Vec<Stored> {
    let [root, document, tree] = std::array::from_fn(|_| skeleton.file.new_object_id().0);
    let (mut tops, mut parents, mut link_parents) = (Vec::new(), Vec::with_capacity(sides.len()), Vec::new());
    let mut levels = Levels::default();
    let mut places: Vec<Placed> = Vec::with_capacity(sides.len());
    let joins = Joins::of(sides, sheets);
    for (index, (side, sheet)) in sides.iter().zip(sheets).enumerate() {
        // The numbers of a side's elements follow one another; its list of owners comes last.
        let first = skeleton.file.max_id + 1;
        let page = skeleton.pages[index];
        let height = sheet.boxes.media.height.to_pt();
        let mut place = Placed { first, joined: Vec::new(), owners: first, document, page: page.0, height, levels };
        for (node, (side, whole)) in joins.of_side(index) {
            // The first part lies on a side before, or before this part on its side.
            let number = places.get(side).unwrap_or(&place).number(whole);
            place.joined.push((node, number));
        }
        let own = side.tree.nodes.len() - place.joined.len();
        place.owners = first + u32::try_from(own).unwrap_or(u32::MAX);
        skeleton.file.max_id = place.owners;
        for node in &side.tree.nodes {
            levels.kind(node.kind);
        }
        let own = side.tree.tops.iter().filter(|top| !place.is_joined(**top));
        own.for_each(|top| push_reference(&mut tops, place.number(*top)));
        parents.push(place.owners);
        // The page says the same key (`finish`).
        let kept = side.links.iter().zip(&links[index]).filter(|(_, annotation)| annotation.is_some());
        link_parents.extend(kept.map(|(link, _)| place.number(link.node)));
        places.push(place);
    }
    parents.extend(link_parents);
    let next = parents.len();
    let mut heads = Batches::new(TOGETHER);
    put(
        heads.begin(root),
        format_args!("<</Type/StructTreeRoot/K {document} 0 R/ParentTree {tree} 0 R/ParentTreeNextKey {next}>>"),
    );
    let out = heads.begin(document);
    put(out, format_args!("<</S/Document/P {root} 0 R/K["));
    out.extend_from_slice(&tops);
    out.extend_from_slice(b"]>>");
    parent_tree(&mut heads, tree, &parents, || skeleton.file.new_object_id().0);
    entries.set("StructTreeRoot", Object::Reference((root, 0)));
    entries.set("MarkInfo", Dictionary::from_iter([("Marked", true.into())]));
    let mut all: Vec<Stored> = together(sides)
        .into_par_iter()
        .flat_map(|range| {
            // The sides together are as many elements as belong in a stream, or a few more.
            let mut batches = Batches::new(usize::MAX);
            for index in range {
                elements(&mut batches, index, Sides { sides, places: &places, links, joins: &joins });
            }
            batches.pack()
        })
        .collect();
    all.extend(heads.pack());
    all
}

/// Entries in one node of the number tree: some sixty kilobytes.
const LEAF: usize = 4_000;

/// Writes the number tree of parents, whose keys count from 0; that of a long book in parts (ISO 32000-1, 7.9.7).
fn parent_tree(heads: &mut Batches, tree: u32, parents: &[u32], mut new: impl FnMut() -> u32) {
    let entries = |out: &mut Vec<u8>, first: usize, part: &[u32]| {
        out.extend_from_slice(b"/Nums[");
        for (key, parent) in (first..).zip(part) {
            put(out, format_args!("{key} "));
            push_reference(out, *parent);
        }
        out.extend_from_slice(b"]>>");
    };
    if parents.len() <= LEAF {
        let out = heads.begin(tree);
        out.extend_from_slice(b"<<");
        entries(out, 0, parents);
        return;
    }
    let mut kids = b"<</Kids[".to_vec();
    for (nth, part) in parents.chunks(LEAF).enumerate() {
        let (first, leaf) = (nth * LEAF, new());
        push_reference(&mut kids, leaf);
        let out = heads.begin(leaf);
        put(out, format_args!("<</Limits[{first} {}]", first + part.len() - 1));
        entries(out, first, part);
    }
    kids.extend_from_slice(b"]>>");
    heads.begin(tree).extend_from_slice(&kids);
}

/// Neighbouring sides whose elements fill an object stream.
fn together(sides: &[Side]) -> Vec<Range<usize>> {
    let (mut ranges, mut start, mut count) = (Vec::new(), 0, 0);
    for (index, side) in sides.iter().enumerate() {
        count += side.tree.nodes.len() + 1;
        if count >= TOGETHER || index + 1 == sides.len() {
            ranges.push(start..index + 1);
            (start, count) = (index + 1, 0);
        }
    }
    ranges
}

fn push_reference(out: &mut Vec<u8>, number: u32) {
    push_whole(out, i64::from(number));
    out.extend_from_slice(b" 0 R ");
}

/// All sides with what is known of them.
#[derive(Debug, Clone, Copy)]
struct Sides<'a> {
    sides: &'a [Side],
    places: &'a [Placed],
    links: &'a [Vec<Option<u32>>],
    joins: &'a Joins,
}

/// Writes the elements of one side, and the list of those that own its marked content.
fn elements(batches: &mut Batches, index: usize, all: Sides<'_>) {
    let (side, place) = (&all.sides[index], &all.places[index]);
    let mut levels = place.levels;
    for (nth, node) in side.tree.nodes.iter().enumerate() {
        let kind = levels.kind(node.kind);
        if !place.is_joined(nth) {
            element(batches.begin(place.number(nth)), (index, nth), kind, all);
        }
    }
    let out = batches.begin(place.owners);
    out.push(b'[');
    side.tree.contents.iter().for_each(|owner| push_reference(out, place.number(*owner)));
    out.push(b']');
}

/// An element: its side, and its index there.
type At = (usize, usize);

/// Elements that sides, or columns of one, part: all but the first part of each are no elements of their own, but give what they hold to the first
/// (ISO 32000-1, 14.7.4.2: content on several pages).
#[derive(Debug, Default)]
struct Joins {
    /// Each later part with the first.
    first: BTreeMap<At, At>,
    /// The later parts of each first.
    later: BTreeMap<At, Vec<At>>,
}

impl Joins {
    /// Those of all sides. Where several pages share a side, sides are not in the order of reading, and nothing is joined.
    fn of(sides: &[Side], sheets: &[Sheet]) -> Self {
        let mut joins = Self::default();
        if sheets.iter().any(|sheet| sheet.pages.len() > 1) {
            return joins;
        }
        let mut known: BTreeMap<(NonZeroU32, bool), At> = BTreeMap::new();
        for (index, side) in sides.iter().enumerate() {
            for (nth, node) in side.tree.nodes.iter().enumerate() {
                let Some(whole) = node.whole else { continue };
                // An item of a list and its body have one tag.
                match known.entry((whole, node.kind == Kind::ListBody)) {
                    Entry::Vacant(vacant) => {
                        vacant.insert((index, nth));
                    }
                    Entry::Occupied(first) => {
                        joins.first.insert((index, nth), *first.get());
                        joins.later.entry(*first.get()).or_default().push((index, nth));
                    }
                }
            }
        }
        joins
    }
    /// The later parts on a side, in order, each with its first.
    fn of_side(&self, side: usize) -> impl Iterator<Item = (usize, At)> {
        self.first.range((side, 0)..(side + 1, 0)).map(|((_, node), first)| (*node, *first))
    }
}

/// Heading levels never skip downwards (ISO 14289-1, 7.4.2), whatever the layout's sizes were called.
#[derive(Debug, Clone, Copy, Default)]
struct Levels {
    last: u8,
}

impl Levels {
    fn kind(&mut self, kind: Kind) -> Kind {
        match kind {
            Kind::Role(Role::Heading(level)) => {
                self.last = level.clamp(1, self.last + 1);
                Kind::Role(Role::Heading(self.last))
            }
            other => other,
        }
    }
}

/// What the elements of a side need to know.
#[derive(Debug)]
struct Placed {
    /// The number of its first element.
    first: u32,
    /// Its parts of elements that began before: index, and number of the element.
    joined: Vec<(usize, u32)>,
    /// The number of its list of owners.
    owners: u32,
    /// The number of the element over all.
    document: u32,
    /// The number of its page.
    page: u32,
    /// The height of its medium.
    height: f64,
    /// The heading levels as they stand before it.
    levels: Levels,
}

impl Placed {
    /// The number of an element by its index.
    fn number(&self, index: usize) -> u32 {
        match self.joined.binary_search_by_key(&index, |(at, _)| *at) {
            Ok(found) => self.joined[found].1,
            Err(before) => self.first.saturating_add(u32::try_from(index - before).unwrap_or(u32::MAX)),
        }
    }
    fn is_joined(&self, index: usize) -> bool {
        self.joined.binary_search_by_key(&index, |(at, _)| *at).is_ok()
    }
}

fn element(out: &mut Vec<u8>, at: At, kind: Kind, all: Sides<'_>) {
    let (node, place) = (&all.sides[at.0].tree.nodes[at.1], &all.places[at.0]);
    out.extend_from_slice(b"<</S/");
    out.extend_from_slice(kind.name().as_bytes());
    out.extend_from_slice(b"/P ");
    push_reference(out, node.parent.map_or(place.document, |parent| place.number(parent)));
    // Only marked content is looked for on a page (ISO 32000-1, table 323).
    if node.kids.iter().any(|kid| matches!(kid, Kid::Content(_))) {
        out.extend_from_slice(b"/Pg ");
        push_reference(out, place.page);
    }
    if let Some(alt) = &node.alt {
        let alt = alt.replace('\u{A0}', " ");
        // A space that does not break means nothing to a voice, and the standard's own encoding lacks it.
        // Letters that are read otherwise have words in their place (ISO 32000-1, 14.9.4).
        // What is said of a table does not stand for it (table 349).
        let (before, after): (&[u8], &[u8]) = match kind {
            Kind::Role(Role::Span) => (b"/ActualText", b""),
            Kind::Role(Role::Table) => (b"/A<</O/Table/Summary", b">>"),
            _ => (b"/Alt", b""),
        };
        out.extend_from_slice(before);
        push_literal(out, &text_bytes(&alt));
        out.extend_from_slice(after);
    }
    if let Some(language) = &node.lang {
        out.extend_from_slice(b"/Lang");
        push_literal(out, language.as_bytes());
    }
    if let Some(area) = &node.area {
        out.extend_from_slice(b"/A<</O/Layout/Placement/Block/BBox");
        save::write(out, &upright(area, place.height));
        out.extend_from_slice(b">>");
    }
    match kind {
        // ISO 14289-1, 7.5: heading cells say what they head.
        Kind::Role(Role::TableHead) => out.extend_from_slice(b"/A<</O/Table/Scope/Column>>"),
        Kind::Role(Role::TableBand(1)) => out.extend_from_slice(b"/A<</O/Table/Scope/Row>>"),
        Kind::Role(Role::TableBand(columns)) => {
            put(out, format_args!("/A<</O/Table/Scope/Row/ColSpan {columns}>>"));
        }
        Kind::Role(Role::List(marks)) => {
            // ISO 32000-1, table 347; terms that are explained are labels without a numbering.
            let numbering = match marks {
                Marks::None => "None",
                Marks::Bullets => "Disc",
                Marks::Numbers => "Decimal",
            };
            put(out, format_args!("/A<</O/List/ListNumbering/{numbering}>>"));
        }
        _ => {}
    }
    out.extend_from_slice(b"/K[");
    kids(out, at, true, all);
    for later in all.joins.later.get(&at).into_iter().flatten() {
        kids(out, *later, false, all);
    }
    out.extend_from_slice(b"]>>");
}

/// What an element, or a part of one, holds; `own` says whether its marked content lies on the element's own page.
fn kids(out: &mut Vec<u8>, at: At, own: bool, all: Sides<'_>) {
    let place = &all.places[at.0];
    for kid in &all.sides[at.0].tree.nodes[at.1].kids {
        match kid {
            Kid::Content(number) if own => {
                push_whole(out, *number);
                out.push(b' ');
            }
            Kid::Content(number) => {
                put(out, format_args!("<</Type/MCR/Pg {} 0 R/MCID {number}>>", place.page));
            }
            Kid::Node(index) if place.is_joined(*index) => {}
            Kid::Node(index) => push_reference(out, place.number(*index)),
            Kid::Link(index) => {
                if let Some(link) = all.links[at.0].get(*index).copied().flatten() {
                    put(out, format_args!("<</Type/OBJR/Obj {link} 0 R/Pg {} 0 R>>", place.page));
                }
            }
        }
    }
}

fn put(out: &mut Vec<u8>, arguments: std::fmt::Arguments<'_>) {
    use std::io::Write as _;
    out.write_fmt(arguments).expect("writing into memory does not fail");
}
