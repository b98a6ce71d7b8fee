//! XML text into a tree, bounded; places of its elements.
//!
//! Refused: entities of the file's own, more elements than a score can need. Outside definitions (DOCTYPE) are not fetched.

use roxmltree::{Document, Node, ParsingOptions};

use crate::diag::{FileId, Place};

/// Why a text is not parsed, with its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct XmlRefusal {
    pub code: &'static str,
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
    let refuse =
        |code, message: &str, (line, column)| Err(XmlRefusal { code, message: message.to_owned(), line, column });
    if let Some(at) = text.find("<!ENTITY") {
        return refuse("entity-refused", "a score may not define entities of its own", line_and_column(text, at));
    }
    if let Some(at) = too_deep(text) {
        return refuse("nested-too-deep", "the elements of this score are nested too deep", line_and_column(text, at));
    }
    if let Some(at) = too_many_attributes(text) {
        let message = "this element has more attributes than any of a score";
        return refuse("damaged-score", message, line_and_column(text, at));
    }
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    Document::parse_with_options(text, options).map_err(|error| {
        let pos = error.pos();
        let code =
            if matches!(error, roxmltree::Error::NodesLimitReached) { "score-too-large" } else { "damaged-score" };
        XmlRefusal {
            code,
            message: format!("this is no well-formed XML: {error}"),
            line: pos.row.max(1),
            column: pos.col.max(1),
        }
    })
}

/// Where elements are nested deeper than scores need, by a rough count of tags.
fn too_deep(text: &str) -> Option<usize> {
    let bytes = text.as_bytes();
    let mut depth = 0usize;
    let mut from = 0;
    while let Some(at) = bytes[from..].iter().position(|b| *b == b'<').map(|at| at + from) {
        match bytes.get(at + 1) {
            Some(b'/') => depth = depth.saturating_sub(1),
            Some(b'!' | b'?') | None => {}
            Some(_) => {
                let end = bytes[at..].iter().position(|b| *b == b'>').map_or(bytes.len(), |end| at + end);
                if bytes.get(end.wrapping_sub(1)) != Some(&b'/') {
                    depth += 1;
                }
                if depth > DEEPEST {
                    return Some(at);
                }
                from = end;
                continue;
            }
        }
        from = at + 1;
    }
    None
}

/// Where an element has more attributes than scores need, by a rough count: the parser compares each with each.
fn too_many_attributes(text: &str) -> Option<usize> {
    let (mut element, mut count) = (0, 0);
    let bytes = text.as_bytes();
    for (at, byte) in bytes.iter().enumerate() {
        match byte {
            b'<' => (element, count) = (at, 0),
            b'=' => {
                let next = bytes[at + 1..].iter().take(16).find(|b| !b.is_ascii_whitespace());
                count += usize::from(matches!(next, Some(b'"' | b'\'')));
                if count > MOST_ATTRIBUTES {
                    return Some(element);
                }
            }
            _ => {}
        }
    }
    None
}

fn line_and_column(text: &str, at: usize) -> (u32, u32) {
    let before = &text[..at];
    let line = before.bytes().filter(|b| *b == b'\n').count() + 1;
    let column = before.rsplit('\n').next().map_or(0, |tail| tail.chars().count()) + 1;
    (u32::try_from(line).unwrap_or(u32::MAX), u32::try_from(column).unwrap_or(u32::MAX))
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
    node.text().unwrap_or("").split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The text of a child, `None` if it is absent or empty.
pub(super) fn child_text(node: Node, name: &str) -> Option<String> {
    child(node, name).map(text).filter(|text| !text.is_empty())
}

/// A child's whole number.
pub(super) fn child_int(node: Node, name: &str) -> Option<i32> {
    child_text(node, name)?.parse().ok()
}
