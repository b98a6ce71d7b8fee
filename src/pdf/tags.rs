//! Links and the structure tree in the file: what the painters gathered, joined in reading order.
//!
//! Sources: ISO 32000-1, 12.5.6.5 (links), 14.7 (logical structure); ISO 14289-1, 7.18.5 (a link says where it leads and
//! hangs in the tree).

use super::finish::{text, upright};
use super::options::PdfError;
use super::outline::key;
use super::paint::Side;
use super::skeleton::Skeleton;
use super::structure::{Kid, Kind, Node};
use crate::frame::{LinkTarget, Role};
use crate::sheet::Sheet;
use lopdf::{Dictionary, Object, ObjectId};
use std::collections::BTreeMap;

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

/// Writes the structure tree.
pub(super) fn structure(
    skeleton: &mut Skeleton,
    sides: &[Side],
    sheets: &[Sheet],
    links: &[Vec<Option<ObjectId>>],
    entries: &mut Dictionary,
) -> Result<(), PdfError> {
    let root = skeleton.file.new_object_id();
    let document = skeleton.file.new_object_id();
    let mut tops = Vec::new();
    let mut parents = Vec::new();
    let mut link_parents = Vec::new();
    let mut levels = Levels::default();
    for (index, (side, sheet)) in sides.iter().zip(sheets).enumerate() {
        let ids: Vec<ObjectId> = side.tree.nodes.iter().map(|_| skeleton.file.new_object_id()).collect();
        for (node, id) in side.tree.nodes.iter().zip(&ids) {
            let page = skeleton.pages[index];
            let parent = node.parent.map_or(document, |parent| ids[parent]);
            let height = sheet.boxes.media.height.to_pt();
            let mut element = element(node, levels.kind(node.kind), parent, page, height);
            element.set("K", kids(node, &ids, &links[index], page));
            skeleton.file.set_object(*id, element);
        }
        tops.extend(side.tree.tops.iter().map(|top| Object::Reference(ids[*top])));
        let owners = side.tree.contents.iter().map(|owner| Object::Reference(ids[*owner])).collect();
        let owners = skeleton.file.add_object(Object::Array(owners));
        parents.push(Object::Integer(i64::try_from(index).unwrap_or(i64::MAX)));
        parents.push(Object::Reference(owners));
        for (link, annotation) in side.links.iter().zip(&links[index]) {
            if annotation.is_some() {
                link_parents.push(Object::Reference(ids[link.node]));
            }
        }
        let key = i64::try_from(index).unwrap_or(i64::MAX);
        skeleton.file.get_dictionary_mut(skeleton.pages[index])?.set("StructParents", key);
    }
    let mut next = i64::try_from(sides.len()).unwrap_or(i64::MAX);
    for parent in link_parents {
        parents.push(next.into());
        parents.push(parent);
        next += 1;
    }
    let tree = skeleton.file.add_object(Dictionary::from_iter([("Nums", Object::Array(parents))]));
    skeleton.file.set_object(
        document,
        Dictionary::from_iter([
            ("Type", name("StructElem")),
            ("S", name("Document")),
            ("P", Object::Reference(root)),
            ("K", Object::Array(tops)),
        ]),
    );
    skeleton.file.set_object(
        root,
        Dictionary::from_iter([
            ("Type", name("StructTreeRoot")),
            ("K", Object::Reference(document)),
            ("ParentTree", Object::Reference(tree)),
            ("ParentTreeNextKey", next.into()),
        ]),
    );
    entries.set("StructTreeRoot", Object::Reference(root));
    entries.set("MarkInfo", Dictionary::from_iter([("Marked", true.into())]));
    Ok(())
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

fn element(node: &Node, kind: Kind, parent: ObjectId, page: ObjectId, height: f64) -> Dictionary {
    let mut element = Dictionary::from_iter([
        ("Type", name("StructElem")),
        ("S", name(kind.name())),
        ("P", Object::Reference(parent)),
        ("Pg", Object::Reference(page)),
    ]);
    if let Some(alt) = &node.alt {
        element.set("Alt", text(alt));
    }
    if let Some(lang) = &node.lang {
        element.set("Lang", text(lang));
    }
    if let Some(area) = &node.area {
        let layout = [("O", name("Layout")), ("Placement", name("Block")), ("BBox", upright(area, height))];
        element.set("A", Dictionary::from_iter(layout));
    }
    match kind {
        // ISO 14289-1, 7.5: heading cells say what they head.
        Kind::Role(Role::TableHead) => {
            element.set("A", Dictionary::from_iter([("O", name("Table")), ("Scope", name("Column"))]));
        }
        Kind::Role(Role::List) => {
            element.set("A", Dictionary::from_iter([("O", name("List")), ("ListNumbering", name("None"))]));
        }
        _ => {}
    }
    element
}

fn kids(node: &Node, ids: &[ObjectId], links: &[Option<ObjectId>], page: ObjectId) -> Object {
    let kids = node.kids.iter().filter_map(|kid| match kid {
        Kid::Content(number) => Some(Object::Integer(*number)),
        Kid::Node(index) => Some(Object::Reference(ids[*index])),
        Kid::Link(index) => links.get(*index).copied().flatten().map(|id| {
            let reference = [("Type", name("OBJR")), ("Obj", Object::Reference(id)), ("Pg", Object::Reference(page))];
            Object::Dictionary(Dictionary::from_iter(reference))
        }),
    });
    Object::Array(kids.collect())
}
