//! Links and the structure tree in the file: what the painters gathered, joined in reading order.
//!
//! Sources: ISO 32000-1, 12.5.6.5 (links), 14.7 (logical structure); ISO 14289-1, 7.18.5 (a link says where it leads and
//! hangs in the tree).

use super::finish::{text, upright};
use super::options::PdfError;
use super::outline::key;
use super::paint::Side;
use super::save::{self, Raw};
use super::skeleton::Skeleton;
use super::structure::{Kid, Kind, Node};
use crate::frame::{LinkTarget, Role};
use crate::sheet::Sheet;
use lopdf::{Dictionary, Object, ObjectId};
use std::collections::BTreeMap;
use std::fmt::Write as _;

fn name(name: &str) -> Object {
    Object::Name(name.into())
}

/// Writes the links of all sides; gives their ids by side and order. A link to a place that is nowhere is left out.
pub(super) fn links(
    skeleton: &mut Skeleton,
    sides: &[Side],
    sheets: &[Sheet],
    known: &BTreeMap<String, usize>,
) -> Result<Vec<Vec<Option<ObjectId>>>, PdfError> {
    let mut all = Vec::with_capacity(sides.len());
    // Links come after the sides in the parent tree.
    let mut next_key = i64::try_from(sides.len()).unwrap_or(i64::MAX);
    for (index, (side, sheet)) in sides.iter().zip(sheets).enumerate() {
        let mut ids = Vec::with_capacity(side.links.len());
        for link in &side.links {
            let mut annotation = Dictionary::from_iter([
                ("Type", name("Annot")),
                ("Subtype", name("Link")),
                ("Rect", upright(&link.area, sheet.boxes.media.height.to_pt())),
                ("Border", Object::Array(vec![0.into(), 0.into(), 0.into()])),
                ("F", 4.into()),
                ("StructParent", next_key.into()),
            ]);
            match &link.target {
                LinkTarget::Anchor(anchor) => {
                    let Some(side) = known.get(&**anchor) else {
                        ids.push(None);
                        continue;
                    };
                    annotation.set("Dest", key(anchor));
                    annotation.set("Contents", text(&sheets[*side].label));
                }
                LinkTarget::Url(url) => {
                    // Addresses are 7-bit (ISO 32000-1, 12.6.4.7); others are written byte by byte with per cent signs.
                    let action =
                        Dictionary::from_iter([("S", name("URI")), ("URI", Object::string_literal(ascii(url)))]);
                    annotation.set("A", Object::Dictionary(action));
                    annotation.set("Contents", text(url));
                }
            }
            next_key += 1;
            ids.push(Some(skeleton.file.add_object(annotation)));
        }
        let annotations: Vec<Object> = ids.iter().flatten().map(|id| Object::Reference(*id)).collect();
        let page = skeleton.file.get_dictionary_mut(skeleton.pages[index])?;
        if !annotations.is_empty() {
            page.set("Annots", Object::Array(annotations));
        }
        // ISO 14289-1, 7.18.3: pages with annotations are tabbed in the order of the structure.
        page.set("Tabs", name("S"));
        all.push(ids);
    }
    Ok(all)
}

fn ascii(url: &str) -> String {
    url.bytes()
        .map(|byte| if (b'!'..=b'~').contains(&byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") })
        .collect()
}

/// Writes the structure tree, as bytes: there are dozens of elements on a page, and each as an object of its own would weigh
/// more than the page.
pub(super) fn structure(
    skeleton: &mut Skeleton,
    sides: &[Side],
    sheets: &[Sheet],
    links: &[Vec<Option<ObjectId>>],
    entries: &mut Dictionary,
) -> Result<Vec<Raw>, PdfError> {
    let mut raw = Vec::new();
    let root = skeleton.file.new_object_id().0;
    let document = skeleton.file.new_object_id().0;
    let (mut tops, mut parents, mut link_parents) = (String::new(), String::new(), Vec::new());
    let mut levels = Levels::default();
    for (index, (side, sheet)) in sides.iter().zip(sheets).enumerate() {
        let ids: Vec<u32> = side.tree.nodes.iter().map(|_| skeleton.file.new_object_id().0).collect();
        let page = skeleton.pages[index];
        for (node, id) in side.tree.nodes.iter().zip(&ids) {
            let place = Placed {
                kind: levels.kind(node.kind),
                parent: node.parent.map_or(document, |parent| ids[parent]),
                page,
                height: sheet.boxes.media.height.to_pt(),
            };
            raw.push((*id, element(node, &place, &ids, &links[index])));
        }
        for top in &side.tree.tops {
            let _ = write!(tops, "{} 0 R ", ids[*top]);
        }
        let owners = skeleton.file.new_object_id().0;
        let mut list = String::from("[");
        for owner in &side.tree.contents {
            let _ = write!(list, "{} 0 R ", ids[*owner]);
        }
        list.push(']');
        raw.push((owners, list.into_bytes()));
        let _ = write!(parents, "{index} {owners} 0 R ");
        for (link, annotation) in side.links.iter().zip(&links[index]) {
            if annotation.is_some() {
                link_parents.push(ids[link.node]);
            }
        }
        let key = i64::try_from(index).unwrap_or(i64::MAX);
        skeleton.file.get_dictionary_mut(page)?.set("StructParents", key);
    }
    let mut next = sides.len();
    for parent in link_parents {
        let _ = write!(parents, "{next} {parent} 0 R ");
        next += 1;
    }
    let tree = skeleton.file.new_object_id().0;
    raw.push((tree, format!("<</Nums[{parents}]>>").into_bytes()));
    raw.push((document, format!("<</S/Document/P {root} 0 R/K[{tops}]>>").into_bytes()));
    let top = format!("<</Type/StructTreeRoot/K {document} 0 R/ParentTree {tree} 0 R/ParentTreeNextKey {next}>>");
    raw.push((root, top.into_bytes()));
    entries.set("StructTreeRoot", Object::Reference((root, 0)));
    entries.set("MarkInfo", Dictionary::from_iter([("Marked", true.into())]));
    Ok(raw)
}

/// Heading levels never skip downwards (ISO 14289-1, 7.4.2), whatever the layout's sizes were called.
#[derive(Debug, Default)]
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

/// Where an element stands.
struct Placed {
    kind: Kind,
    parent: u32,
    page: ObjectId,
    height: f64,
}

fn element(node: &Node, place: &Placed, ids: &[u32], links: &[Option<ObjectId>]) -> Vec<u8> {
    let mut out = Vec::with_capacity(64);
    let page = place.page.0;
    put(&mut out, format_args!("<</S/{}/P {} 0 R/Pg {page} 0 R", place.kind.name(), place.parent));
    for (key, words) in [("Alt", &node.alt), ("Lang", &node.lang)] {
        if let Some(words) = words {
            put(&mut out, format_args!("/{key}"));
            save::write(&mut out, &text(words));
        }
    }
    if let Some(area) = &node.area {
        put(&mut out, format_args!("/A<</O/Layout/Placement/Block/BBox"));
        save::write(&mut out, &upright(area, place.height));
        put(&mut out, format_args!(">>"));
    }
    match place.kind {
        // ISO 14289-1, 7.5: heading cells say what they head.
        Kind::Role(Role::TableHead) => put(&mut out, format_args!("/A<</O/Table/Scope/Column>>")),
        Kind::Role(Role::List) => put(&mut out, format_args!("/A<</O/List/ListNumbering/None>>")),
        _ => {}
    }
    put(&mut out, format_args!("/K["));
    for kid in &node.kids {
        match kid {
            Kid::Content(number) => put(&mut out, format_args!("{number} ")),
            Kid::Node(index) => put(&mut out, format_args!("{} 0 R ", ids[*index])),
            Kid::Link(index) => {
                if let Some((link, _)) = links.get(*index).copied().flatten() {
                    put(&mut out, format_args!("<</Type/OBJR/Obj {link} 0 R/Pg {page} 0 R>>"));
                }
            }
        }
    }
    out.extend_from_slice(b"]>>");
    out
}

fn put(out: &mut Vec<u8>, arguments: std::fmt::Arguments<'_>) {
    use std::io::Write as _;
    out.write_fmt(arguments).expect("writing into memory does not fail");
}
