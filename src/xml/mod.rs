//! XML text into a tree, bounded before it is parsed.
//!
//! Takes a text and bounds, gives a document or a refusal with its place; must not know what the elements mean. Entities of the
//! file's own are refused, definitions outside (DOCTYPE) are not fetched. Source: *Extensible Markup Language (XML) 1.0*, fifth
//! edition.

use roxmltree::{Document, ParsingOptions};

/// What a document may have at most.
#[derive(Debug, Clone, Copy)]
pub struct Bounds {
    /// Elements, texts and comments.
    pub nodes: u32,
    /// Elements in elements.
    pub depth: usize,
    /// Attributes of one element: the parser compares each with each.
    pub attributes: usize,
}

/// Why a text is not parsed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fault {
    /// It defines entities of its own.
    Entities,
    /// Elements are nested too deep.
    Deep,
    /// An element has too many attributes.
    Attributes,
    /// It has too many nodes.
    Nodes(String),
    /// It is not well formed.
    Damaged(String),
}

/// A fault with its line and column, both from 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Refusal {
    /// What is wrong.
    pub fault: Fault,
    /// The line.
    pub line: u32,
    /// The column, in characters.
    pub column: u32,
}

/// Parses a text.
///
/// # Errors
/// The first thing that is wrong or beyond the bounds.
pub fn parse(text: &str, bounds: Bounds) -> Result<Document<'_>, Refusal> {
    let refuse = |fault, at| {
        let (line, column) = line_and_column(text, at);
        Err(Refusal { fault, line, column })
    };
    if let Some(at) = text.find("<!ENTITY") {
        return refuse(Fault::Entities, at);
    }
    if let Some(at) = too_deep(text, bounds.depth) {
        return refuse(Fault::Deep, at);
    }
    if let Some(at) = too_many_attributes(text, bounds.attributes) {
        return refuse(Fault::Attributes, at);
    }
    let options = ParsingOptions { allow_dtd: true, nodes_limit: bounds.nodes, ..ParsingOptions::default() };
    Document::parse_with_options(text, options).map_err(|error| {
        let pos = error.pos();
        let said = error.to_string();
        let is_limit = matches!(error, roxmltree::Error::NodesLimitReached);
        let fault = if is_limit { Fault::Nodes(said) } else { Fault::Damaged(said) };
        Refusal { fault, line: pos.row.max(1), column: pos.col.max(1) }
    })
}

/// Where elements are nested deeper than allowed, by a rough count of tags.
fn too_deep(text: &str, deepest: usize) -> Option<usize> {
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
                if depth > deepest {
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

/// Where an element has more attributes than allowed, by a rough count.
fn too_many_attributes(text: &str, most: usize) -> Option<usize> {
    let (mut element, mut count) = (0, 0);
    let bytes = text.as_bytes();
    for (at, byte) in bytes.iter().enumerate() {
        match byte {
            b'<' => (element, count) = (at, 0),
            b'=' => {
                let next = bytes[at + 1..].iter().take(16).find(|b| !b.is_ascii_whitespace());
                count += usize::from(matches!(next, Some(b'"' | b'\'')));
                if count > most {
                    return Some(element);
                }
            }
            _ => {}
        }
    }
    None
}

/// Line and column of an offset, both from 1, columns in characters.
pub fn line_and_column(text: &str, at: usize) -> (u32, u32) {
    let before = &text[..at];
    let line = before.bytes().filter(|b| *b == b'\n').count() + 1;
    let column = before.rsplit('\n').next().map_or(0, |tail| tail.chars().count()) + 1;
    (u32::try_from(line).unwrap_or(u32::MAX), u32::try_from(column).unwrap_or(u32::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_beyond_the_bounds_is_refused_at_its_place() {
        let bounds = Bounds { nodes: 6, depth: 3, attributes: 2 };
        let fault = |text: &str| parse(text, bounds).map_err(|it| (it.fault, it.line, it.column)).err();
        assert_eq!(fault("<a>\n<b x='1' y='2'/></a>"), None);
        assert_eq!(fault("<!DOCTYPE a [\n <!ENTITY b 'c'>]><a/>"), Some((Fault::Entities, 2, 2)));
        assert_eq!(fault("<a><b>\n<c><d/><e></e></c></b></a>"), Some((Fault::Deep, 2, 8)));
        assert_eq!(fault("<a>\u{e4}<b x='1' y='2' z='3'/></a>"), Some((Fault::Attributes, 1, 5)));
        assert!(matches!(fault("<a><b/><b/><b/><b/><b/></a>"), Some((Fault::Nodes(_), 1, 1))));
        assert!(matches!(fault("<a>\n<b></a>"), Some((Fault::Damaged(_), 2, 4))));
    }
}
