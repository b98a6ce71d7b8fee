//! Links and the structure tree in the file: what the painters gathered, joined in reading order.
//!
//! Sources: ISO 32000-1, 12.5.6.5 (links), 14.7 (logical structure); ISO 14289-1, 7.18.5 (a link says where it leads and
//! hangs in the tree).

use super::finish::{text, upright};
use super::operand::{push_literal, push_whole, text_bytes};
use super::outline::key;
use super::pack::Packer;
use super::paint::Side;
use super::save::{self, Batch, Stored, TOGETHER};
use super::skeleton::Skeleton;
use super::structure::{Kid, Kind, Node};
use crate::frame::{LinkTarget, Role};
use crate::sheet::Sheet;
use lopdf::{Dictionary, Object};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::ops::Range;

/// The links of all sides, by side and order.
pub(super) struct Links {
    /// The numbers, side by side; none for a link that is left out.
    pub(super) numbers: Vec<Vec<Option<u32>>>,
    /// The objects, to be stored.
    pub(super) stored: Vec<Stored>,
}

/// Writes the links of all sides, as bytes like the structure. A link to a place that is nowhere is left out.
pub(super) fn links(
    skeleton: &mut Skeleton,
    sides: &[Side],
    sheets: &[Sheet],
    known: &BTreeMap<String, usize>,
) -> Links {
    let mut numbers = Vec::with_capacity(sides.len());
    let mut batches = vec![Batch::default()];
    // Links come after the sides in the parent tree.
    let mut next_key = i64::try_from(sides.len()).unwrap_or(i64::MAX);
    for (side, sheet) in sides.iter().zip(sheets) {
        let mut own = Vec::with_capacity(side.links.len());
        for link in &side.links {
            let (dest, contents) = match &link.target {
                LinkTarget::Anchor(anchor) => match known.get(&**anchor) {
                    Some(side) => (Some(key(anchor)), text(&sheets[*side].label)),
                    None => {
                        own.push(None);
                        continue;
                    }
                },
                LinkTarget::Url(url) => (None, text(url)),
            };
            if batches.last().is_none_or(|batch| batch.count() == TOGETHER) {
                batches.push(Batch::default());
            }
            let number = skeleton.file.new_object_id().0;
            let Some(batch) = batches.last_mut() else { continue };
            let out = batch.begin(number);
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
    Links { numbers, stored: pack(batches) }
}

fn pack(batches: Vec<Batch>) -> Vec<Stored> {
    let full = batches.into_par_iter().filter(|batch| batch.count() > 0);
    full.map_init(Packer::new, |packer, batch| batch.pack(packer)).collect()
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
    let (mut tops, mut parents, mut link_parents) = (Vec::new(), Vec::new(), Vec::new());
    let mut levels = Levels::default();
    let mut places = Vec::with_capacity(sides.len());
    for (index, (side, sheet)) in sides.iter().zip(sheets).enumerate() {
        // The numbers of a side's elements follow one another; its list of owners comes last.
        let first = skeleton.file.max_id + 1;
        let owners = first + u32::try_from(side.tree.nodes.len()).unwrap_or(u32::MAX);
        skeleton.file.max_id = owners;
        let page = skeleton.pages[index];
        let height = sheet.boxes.media.height.to_pt();
        places.push(Placed { first, owners, document, page: page.0, height, levels });
        for node in &side.tree.nodes {
            levels.kind(node.kind);
        }
        side.tree.tops.iter().for_each(|top| push_reference(&mut tops, numbered(first, *top)));
        let key = i64::try_from(index).unwrap_or(i64::MAX);
        push_whole(&mut parents, key);
        parents.push(b' ');
        push_reference(&mut parents, owners);
        // The page says the same key (`finish`).
        let kept = side.links.iter().zip(&links[index]).filter(|(_, annotation)| annotation.is_some());
        link_parents.extend(kept.map(|(link, _)| numbered(first, link.node)));
    }
    let mut next = i64::try_from(sides.len()).unwrap_or(i64::MAX);
    for parent in link_parents {
        push_whole(&mut parents, next);
        parents.push(b' ');
        push_reference(&mut parents, parent);
        next += 1;
    }
    let mut heads = Batch::default();
    put(
        heads.begin(root),
        format_args!("<</Type/StructTreeRoot/K {document} 0 R/ParentTree {tree} 0 R/ParentTreeNextKey {next}>>"),
    );
    let out = heads.begin(document);
    put(out, format_args!("<</S/Document/P {root} 0 R/K["));
    out.extend_from_slice(&tops);
    out.extend_from_slice(b"]>>");
    let out = heads.begin(tree);
    out.extend_from_slice(b"<</Nums[");
    out.extend_from_slice(&parents);
    out.extend_from_slice(b"]>>");
    entries.set("StructTreeRoot", Object::Reference((root, 0)));
    entries.set("MarkInfo", Dictionary::from_iter([("Marked", true.into())]));
    let mut all: Vec<Stored> = together(sides)
        .into_par_iter()
        .map_init(Packer::new, |packer, range| {
            let mut batch = Batch::default();
            for index in range {
                elements(&mut batch, &sides[index], &places[index], &links[index]);
            }
            batch.pack(packer)
        })
        .collect();
    all.extend(pack(vec![heads]));
    all
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

/// The number of an element whose side's first has a number.
fn numbered(first: u32, index: usize) -> u32 {
    first.saturating_add(u32::try_from(index).unwrap_or(u32::MAX))
}

fn push_reference(out: &mut Vec<u8>, number: u32) {
    push_whole(out, i64::from(number));
    out.extend_from_slice(b" 0 R ");
}

/// Writes the elements of one side, and the list of those that own its marked content.
fn elements(batch: &mut Batch, side: &Side, place: &Placed, links: &[Option<u32>]) {
    let mut levels = place.levels;
    for (index, node) in side.tree.nodes.iter().enumerate() {
        element(batch.begin(numbered(place.first, index)), node, levels.kind(node.kind), place, links);
    }
    let out = batch.begin(place.owners);
    out.push(b'[');
    side.tree.contents.iter().for_each(|owner| push_reference(out, numbered(place.first, *owner)));
    out.push(b']');
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
#[derive(Debug, Clone, Copy)]
struct Placed {
    /// The number of its first element.
    first: u32,
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

fn element(out: &mut Vec<u8>, node: &Node, kind: Kind, place: &Placed, links: &[Option<u32>]) {
    out.extend_from_slice(b"<</S/");
    out.extend_from_slice(kind.name().as_bytes());
    out.extend_from_slice(b"/P ");
    push_reference(out, node.parent.map_or(place.document, |parent| numbered(place.first, parent)));
    // Only marked content is looked for on a page (ISO 32000-1, table 323).
    if node.kids.iter().any(|kid| matches!(kid, Kid::Content(_))) {
        out.extend_from_slice(b"/Pg ");
        push_reference(out, place.page);
    }
    if let Some(alt) = &node.alt {
        // A space that does not break means nothing to a voice, and the standard's own encoding lacks it.
        out.extend_from_slice(b"/Alt");
        push_literal(out, &text_bytes(&alt.replace('\u{A0}', " ")));
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
        Kind::Role(Role::List) => out.extend_from_slice(b"/A<</O/List/ListNumbering/None>>"),
        _ => {}
    }
    out.extend_from_slice(b"/K[");
    for kid in &node.kids {
        match kid {
            Kid::Content(number) => {
                push_whole(out, *number);
                out.push(b' ');
            }
            Kid::Node(index) => push_reference(out, numbered(place.first, *index)),
            Kid::Link(index) => {
                if let Some(link) = links.get(*index).copied().flatten() {
                    put(out, format_args!("<</Type/OBJR/Obj {link} 0 R/Pg {} 0 R>>", place.page));
                }
            }
        }
    }
    out.extend_from_slice(b"]>>");
}

fn put(out: &mut Vec<u8>, arguments: std::fmt::Arguments<'_>) {
    use std::io::Write as _;
    out.write_fmt(arguments).expect("writing into memory does not fail");
}
