//! Which element of the structure ink belongs to, while a side is painted.
//!
//! The layout's tags are taken as they come; where an element stands in a place that the standard does not allow (an entry
//! without its list, a word straight in a table), the missing element is put between. Sources: ISO 32000-1, 14.8.4;
//! ISO 14289-1, 7.2 to 7.6.

use super::structure::{Kid, Kind, Tree};
use crate::frame::{Marks, Role, Tag};
use crate::geom::Rect;
use std::collections::BTreeSet;

/// What ink belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Under {
    /// Nothing yet: shapes are ornament, text is a paragraph of its own.
    Page,
    /// An element.
    Node(usize),
    /// Nothing to read, of this role.
    Aside(Role),
}

/// Which marked content is open.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Open {
    /// None.
    Nothing,
    /// That of an element.
    Node(usize),
    /// That of what is not read, of this role.
    Aside(Role),
}

/// The structure of one side in the making.
#[derive(Debug, Default)]
pub(super) struct Tagger {
    /// The elements so far.
    pub(super) tree: Tree,
    /// The paragraph made for text that nobody tagged.
    stray: Option<usize>,
    /// Elements that no tag asked for.
    implied: BTreeSet<usize>,
}

impl Tagger {
    fn role(&self, node: Option<usize>) -> Option<Role> {
        match self.tree.nodes[node?].kind {
            Kind::Role(role) => Some(role),
            Kind::ListBody => None,
        }
    }

    /// The element that a tag opens under another. Inside a figure there is nothing but the figure: its text says it all.
    pub(super) fn enter(&mut self, tag: &Tag, area: Rect, under: Under) -> Under {
        let parent = match under {
            Under::Aside(_) => return under,
            Under::Page => None,
            Under::Node(node) => Some(node),
        };
        if tag.role.is_aside() {
            return Under::Aside(tag.role);
        }
        if self.tree.is_within(parent, Role::Figure) && tag.role != Role::Link && tag.role != Role::Caption {
            return under;
        }
        if tag.role == Role::Label {
            return parent.and_then(|parent| self.label(parent, tag)).map_or(under, Under::Node);
        }
        // Entries of an index stand in a list: there they are its items.
        let in_list = matches!(self.role(parent), Some(Role::List(_))) && tag.role == Role::ContentsItem;
        let role = if in_list { Role::ListItem } else { tag.role };
        let parent = self.allowed(parent, role);
        let area = (role == Role::Figure).then_some(area);
        let node = self.tree.add(parent, Kind::Role(role), Some(tag), area);
        if role != Role::ListItem {
            return Under::Node(node);
        }
        let body = self.tree.add(Some(node), Kind::ListBody, None, None);
        self.tree.nodes[body].whole = tag.whole;
        Under::Node(body)
    }

    /// The label of the item whose body an element is in, before that body: of an item around it where that begins with it and
    /// has none. `None` where no item wants one.
    fn label(&mut self, mut node: usize, tag: &Tag) -> Option<usize> {
        let nodes = &self.tree.nodes;
        let unlabelled = |body: usize| nodes[body].parent.filter(|item| nodes[*item].kids[..] == [Kid::Node(body)]);
        while nodes[node].kind != Kind::ListBody {
            node = nodes[node].parent?;
        }
        let mut item = unlabelled(node)?;
        node = item;
        while let Some(outer) = nodes[node].parent.filter(|outer| nodes[*outer].kids.first() == Some(&Kid::Node(node)))
        {
            node = outer;
            if nodes[node].kind == Kind::ListBody {
                let Some(outer) = unlabelled(node) else { break };
                item = outer;
            }
        }
        let label = self.tree.add(Some(item), Kind::Role(Role::Label), Some(tag), None);
        self.tree.nodes[item].kids.rotate_right(1);
        Some(label)
    }

    /// The element under which a role may stand: the given one, or one put between.
    fn allowed(&mut self, parent: Option<usize>, role: Role) -> Option<usize> {
        let is_cell = matches!(role, Role::TableHead | Role::TableBand(_) | Role::TableCell);
        match (self.role(parent), role) {
            (Some(Role::List(_)), Role::List(_) | Role::ListItem | Role::Caption)
            | (Some(Role::Table), Role::TableRow | Role::Caption)
            | (Some(Role::Contents), Role::Contents | Role::ContentsItem | Role::Caption) => parent,
            (Some(Role::TableRow), _) if is_cell => parent,
            (Some(Role::Table), _) if is_cell => self.between(parent, Role::TableRow),
            (_, Role::ListItem) => self.between(parent, Role::List(Marks::None)),
            (_, Role::TableRow) => self.between(parent, Role::Table),
            (_, Role::ContentsItem) => self.between(parent, Role::Contents),
            _ if is_cell => {
                let table = self.between(parent, Role::Table);
                self.between(table, Role::TableRow)
            }
            _ => Some(self.holder(parent?)),
        }
    }

    /// An element put between; the last one under the same parent is used again.
    fn between(&mut self, parent: Option<usize>, role: Role) -> Option<usize> {
        let last = match parent {
            Some(parent) => match self.tree.nodes[parent].kids.last() {
                Some(Kid::Node(node)) => Some(*node),
                _ => None,
            },
            None => self.tree.tops.last().copied(),
        };
        if let Some(last) = last.filter(|last| self.implied.contains(last) && self.role(Some(*last)) == Some(role)) {
            return Some(last);
        }
        let node = self.tree.add(parent, Kind::Role(role), None, None);
        self.implied.insert(node);
        Some(node)
    }

    /// The element that may hold words: the given one, or one put into it where it only groups others.
    fn holder(&mut self, node: usize) -> usize {
        let inner = match self.role(Some(node)) {
            Some(Role::List(_)) => self.between(Some(node), Role::ListItem),
            Some(Role::Table) => self.between(Some(node), Role::TableRow),
            Some(Role::TableRow) => self.between(Some(node), Role::TableCell),
            Some(Role::Contents) => self.between(Some(node), Role::ContentsItem),
            _ => return node,
        };
        let inner = inner.unwrap_or(node);
        match self.role(Some(inner)) {
            Some(Role::TableRow) => self.holder(inner),
            Some(Role::ListItem) => match self.tree.nodes[inner].kids.first() {
                Some(Kid::Node(body)) => *body,
                _ => self.tree.add(Some(inner), Kind::ListBody, None, None),
            },
            _ => inner,
        }
    }

    /// The element of a link: the one that is open if it is a link, else a new one in it.
    pub(super) fn link(&mut self, under: Under) -> Option<usize> {
        let holder = match under {
            Under::Aside(_) => return None,
            Under::Node(node) if self.role(Some(node)) == Some(Role::Link) => return Some(node),
            Under::Node(node) => self.holder(node),
            Under::Page => self.tree.add(None, Kind::Role(Role::Paragraph), None, None),
        };
        Some(self.tree.add(Some(holder), Kind::Role(Role::Link), None, None))
    }

    /// The marked content that ink goes into.
    pub(super) fn owner(&mut self, under: Under, is_text: bool, open: Open) -> Open {
        match under {
            Under::Aside(role) => Open::Aside(role),
            Under::Node(node) => {
                let groups = matches!(
                    self.role(Some(node)),
                    Some(Role::List(_) | Role::Table | Role::TableRow | Role::Contents)
                );
                match (groups, is_text) {
                    // Rules between rows and entries are ornament.
                    (true, false) => Open::Aside(Role::Artifact),
                    (true, true) => Open::Node(self.holder(node)),
                    (false, _) => Open::Node(node),
                }
            }
            Under::Page if !is_text => Open::Aside(Role::Artifact),
            // Text that nobody tagged is read all the same; what follows it joins it.
            Under::Page => match open {
                Open::Node(node) if self.stray == Some(node) => open,
                _ => {
                    let node = self.tree.add(None, Kind::Role(Role::Paragraph), None, None);
                    self.stray = Some(node);
                    Open::Node(node)
                }
            },
        }
    }

    /// Whether words of an element are read one after another, and not as a picture.
    pub(super) fn is_prose(&self, node: usize) -> bool {
        !self.tree.is_within(Some(node), Role::Figure)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(tree: &Tree, node: usize) -> String {
        let kids: Vec<String> = tree.nodes[node]
            .kids
            .iter()
            .filter_map(|kid| if let Kid::Node(kid) = kid { Some(names(tree, *kid)) } else { None })
            .collect();
        let name = tree.nodes[node].kind.name();
        if kids.is_empty() { name.to_owned() } else { format!("{name}({})", kids.join(" ")) }
    }
    fn all(tagger: &Tagger) -> String {
        tagger.tree.tops.iter().map(|top| names(&tagger.tree, *top)).collect::<Vec<_>>().join(" ")
    }
    fn enter(tagger: &mut Tagger, role: Role, under: Under) -> Under {
        tagger.enter(&Tag::new(role), Rect::default(), under)
    }

    #[test]
    fn what_is_missing_is_put_between() {
        let mut tagger = Tagger::default();
        enter(&mut tagger, Role::ContentsItem, Under::Page);
        enter(&mut tagger, Role::ContentsItem, Under::Page);
        enter(&mut tagger, Role::Paragraph, Under::Page);
        enter(&mut tagger, Role::TableCell, Under::Page);
        let list = enter(&mut tagger, Role::List(Marks::None), Under::Page);
        enter(&mut tagger, Role::ListItem, list);
        enter(&mut tagger, Role::Paragraph, list);
        enter(&mut tagger, Role::ContentsItem, list);
        let row = enter(&mut tagger, Role::TableRow, Under::Page);
        let open = tagger.owner(row, true, Open::Nothing);
        assert_eq!(tagger.owner(row, false, open), Open::Aside(Role::Artifact));
        assert_eq!(all(&tagger), "TOC(TOCI TOCI) P Table(TR(TD)) L(LI(LBody) LI(LBody(P)) LI(LBody)) Table(TR(TD))");
    }

    #[test]
    fn labels_stand_before_the_bodies_of_their_items() {
        let mut tagger = Tagger::default();
        let list = enter(&mut tagger, Role::List(Marks::Numbers), Under::Page);
        let item = enter(&mut tagger, Role::ListItem, list);
        enter(&mut tagger, Role::Label, item);
        assert_eq!(enter(&mut tagger, Role::Label, item), item, "an item has one label");
        // A list in an item after its words: its items have labels of their own.
        let item = enter(&mut tagger, Role::ListItem, list);
        let words = enter(&mut tagger, Role::Paragraph, item);
        enter(&mut tagger, Role::Label, words);
        let inner = enter(&mut tagger, Role::List(Marks::Bullets), item);
        let inner_item = enter(&mut tagger, Role::ListItem, inner);
        enter(&mut tagger, Role::Label, inner_item);
        // An item that begins with a list: its own label comes first.
        let item = enter(&mut tagger, Role::ListItem, list);
        let inner = enter(&mut tagger, Role::List(Marks::Bullets), item);
        let inner_item = enter(&mut tagger, Role::ListItem, inner);
        enter(&mut tagger, Role::Label, inner_item);
        enter(&mut tagger, Role::Label, inner_item);
        // One that begins with something else than its label goes without.
        let item = enter(&mut tagger, Role::ListItem, list);
        enter(&mut tagger, Role::Figure, item);
        let inner = enter(&mut tagger, Role::List(Marks::Bullets), item);
        let inner_item = enter(&mut tagger, Role::ListItem, inner);
        enter(&mut tagger, Role::Label, inner_item);
        assert_eq!(enter(&mut tagger, Role::Label, Under::Page), Under::Page);
        assert_eq!(
            all(&tagger),
            "L(LI(Lbl LBody) LI(Lbl LBody(P L(LI(Lbl LBody)))) LI(Lbl LBody(L(LI(Lbl LBody)))) \
             LI(LBody(Figure L(LI(Lbl LBody)))))"
        );
    }

    #[test]
    fn a_figure_swallows_what_is_in_it() {
        let mut tagger = Tagger::default();
        let figure = enter(&mut tagger, Role::Figure, Under::Page);
        assert_eq!(enter(&mut tagger, Role::Paragraph, figure), figure);
        assert_eq!(all(&tagger), "Figure");
    }
}
