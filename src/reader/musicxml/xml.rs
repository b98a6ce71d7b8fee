//! XML text into a tree, bounded; places of its elements.
//!
//! Refused: entities of the file's own, more elements than a score can need. Outside definitions (DOCTYPE) are not fetched.

use crate::diag::{Code, FileId, Place};
use crate::xml::{self, Bounds, Fault};
use roxmltree::{Document, Node};

/// Why a text is not parsed, with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct XmlRefusal {
    pub code: Code,
    pub message: String,
    pub line: u32,
    pub column: u32,
}

/// A score has at most so many nodes.
const MOST_NODES: u32 = 1_500_000;
/// Attributes of one element, at most.
const MOST_ATTRIBUTES: usize = 100;
/// Elements in elements, at most.
const DEEPEST: usize = 64;

/// Parses a score or container.
pub(super) fn parse(text: &str) -> Result<Document<'_>, XmlRefusal> {
    let bounds = Bounds { nodes: MOST_NODES, depth: DEEPEST, attributes: MOST_ATTRIBUTES };
    xml::parse(text, bounds).map_err(|it| {
        let refuse = |code, message: String| XmlRefusal { code, message, line: it.line, column: it.column };
        match &it.fault {
            Fault::Entities => refuse(code!("entity-refused"), "a score may not define entities of its own".to_owned()),
            Fault::Deep => {
                refuse(code!("nested-too-deep"), "the elements of this score are nested too deep".to_owned())
            }
            Fault::Attributes => {
                refuse(code!("damaged-score"), "this element has more attributes than any of a score".to_owned())
            }
            Fault::Nodes(said) => refuse(code!("score-too-large"), format!("this is no well-formed XML: {said}")),
            Fault::Damaged(_) if text.trim().is_empty() => {
                refuse(code!("damaged-score"), "this file is empty".to_owned())
            }
            Fault::Damaged(said) => refuse(code!("damaged-score"), format!("this is no well-formed XML: {said}")),
        }
    })
}

/// Turns elements into places; cheap as long as it is asked in the order of the text.
#[derive(Debug)]
pub(super) struct Places<'a> {
    text: &'a str,
    file: Option<FileId>,
    start: Place,
    /// Offset, line and column reached.
    at: (usize, u32, u32),
}

impl<'a> Places<'a> {
    /// Places in a text; without a file (a packed score) all are `start`.
    pub fn new(text: &'a str, file: Option<FileId>, start: Place) -> Self {
        Self { text, file, start, at: (0, 1, 1) }
    }
    /// Where the file begins.
    pub const fn start(&self) -> Place {
        self.start
    }
    /// Where an element begins.
    pub fn of(&mut self, node: Node) -> Place {
        let Some(file) = self.file else { return self.start };
        let target = node.range().start;
        if target < self.at.0 {
            self.at = (0, 1, 1);
        }
        for c in self.text[self.at.0..target].chars() {
            if c == '\n' {
                self.at.1 += 1;
                self.at.2 = 1;
            } else {
                self.at.2 += 1;
            }
        }
        self.at.0 = target;
        Place::new(file, self.at.1, self.at.2)
    }
}

/// The first child element of a name.
pub(super) fn child<'a, 'i>(node: Node<'a, 'i>, name: &str) -> Option<Node<'a, 'i>> {
    node.children().find(|child| child.has_tag_name(name))
}

/// The text of an element, blanks trimmed and runs of them joined; empty if it has none.
pub(super) fn text(node: Node) -> String {
    // A comment parts a text into several.
    let whole: String = node.children().filter(Node::is_text).filter_map(|part| part.text()).collect();
    whole.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The text of a child, `None` if it is absent or empty.
pub(super) fn child_text(node: Node, name: &str) -> Option<String> {
    child(node, name).map(text).filter(|text| !text.is_empty())
}

/// A child's whole number.
pub(super) fn child_int(node: Node, name: &str) -> Option<i32> {
    child_text(node, name)?.parse().ok()
}
