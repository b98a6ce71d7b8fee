//! The one pass over the parser's events: takes a file's text, gives the marked tree.
//!
//! Bounds: [`MOST_BYTES`], [`MOST_NODES`], [`DEEPEST`]. Anchors, aliases, tags, merge keys, duplicate keys and second
//! documents are complaints; the pass goes on where it can, so that all of them are reported.

use super::hazards;
use super::node::{Entry, Node, Scalar, ScalarStyle, Value};
use crate::diag::{FileId, Place, Sink};
use saphyr_parser::{Event, Parser, ScalarStyle as Style, Span};
use std::collections::BTreeMap;

/// The largest file that is read, in bytes.
pub const MOST_BYTES: usize = 8 << 20;
/// The most values of a file.
const MOST_NODES: usize = 200_000;
/// The deepest nesting.
const DEEPEST: usize = 32;

/// Reads a file's text into a marked tree. `None` when there is no tree to go on with; then an error is in the sink. A tree
/// may come with errors too.
pub fn mark(file: FileId, text: &str, sink: &mut Sink) -> Option<Node> {
    if text.len() > MOST_BYTES {
        sink.error(code!("too-large"), Some(Place::new(file, 1, 1)), "this file is larger than 8 MB")
            .hints
            .push("split it: chapters and tunes have files of their own".into());
        return None;
    }
    if hazards::before(file, text, sink) {
        return None;
    }
    // The parser refuses a byte order mark; the column of the first line does not count it either.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let lines: Vec<&str> = text.split('\n').map(|line| line.strip_suffix('\r').unwrap_or(line)).collect();
    let mut pass = Pass { file, lines, sink, stack: Vec::new(), root: None, nodes: 0, documents: 0 };
    for event in Parser::new_from_str(text) {
        match event {
            Ok((event, span)) => {
                if !pass.take(event, span) {
                    return None;
                }
            }
            Err(error) => {
                let place = place(file, error.marker().line(), error.marker().col());
                hazards::parser(place, error.info(), &pass.lines, pass.sink);
                return None;
            }
        }
    }
    if pass.root.is_none() {
        let place = Place::new(file, 1, 1);
        pass.sink
            .error(code!("empty-file"), Some(place), "there is nothing in this file")
            .hints
            .push("`boxwright new-book FOLDER` writes files to start from".into());
    }
    pass.root
}

fn place(file: FileId, line: usize, column: usize) -> Place {
    let line = u32::try_from(line.max(1)).unwrap_or(u32::MAX);
    Place::new(file, line, u32::try_from(column).unwrap_or(u32::MAX - 1) + 1)
}

/// A list or map that is not closed yet.
enum Open {
    List { place: Place, items: Vec<Node> },
    Map { place: Place, entries: Vec<Entry>, seen: BTreeMap<String, Place>, key: Option<(String, Place)> },
}

struct Pass<'a> {
    file: FileId,
    lines: Vec<&'a str>,
    sink: &'a mut Sink,
    stack: Vec<Open>,
    root: Option<Node>,
    nodes: usize,
    documents: usize,
}

impl Pass<'_> {
    /// Takes one event; false when reading ends here.
    fn take(&mut self, event: Event<'_>, span: Span) -> bool {
        let at = place(self.file, span.start.line(), span.start.col());
        match event {
            Event::DocumentStart(_) => {
                self.documents += 1;
                if self.documents > 1 {
                    self.sink
                        .error(code!("two-documents"), Some(at.wide(3)), "a second document starts here")
                        .hints
                        .push(
                            "a file holds one book, tune or box: take out the `---` line, or make it a file of its own"
                                .into(),
                        );
                    return false;
                }
            }
            Event::Alias(_) => {
                hazards::alias(at, self.sink);
                return self.put(at, Value::Scalar(Scalar::empty(at)));
            }
            Event::Scalar(text, style, anchor, tag) => {
                self.refuse(anchor, tag.is_some(), at);
                let (at, scalar) = self.scalar(&text, style, span, at);
                return self.put(at, Value::Scalar(scalar));
            }
            Event::SequenceStart(anchor, tag) => {
                self.refuse(anchor, tag.is_some(), at);
                return self.open(Open::List { place: at, items: Vec::new() }, at);
            }
            Event::MappingStart(anchor, tag) => {
                self.refuse(anchor, tag.is_some(), at);
                let map = Open::Map { place: at, entries: Vec::new(), seen: BTreeMap::new(), key: None };
                return self.open(map, at);
            }
            Event::SequenceEnd | Event::MappingEnd => match self.stack.pop() {
                Some(Open::List { place, items }) => return self.put(place, Value::List(items)),
                Some(Open::Map { place, entries, .. }) => return self.put(place, Value::Map(entries)),
                None => {}
            },
            Event::Nothing | Event::StreamStart | Event::StreamEnd | Event::DocumentEnd => {}
        }
        true
    }

    fn open(&mut self, open: Open, at: Place) -> bool {
        if self.stack.len() >= DEEPEST {
            self.sink
                .error(code!("too-deep"), Some(at), format!("lists and maps are nested more than {DEEPEST} deep here"))
                .hints
                .push("is a bracket opened too often? Nothing in a book is nested so deep".into());
            return false;
        }
        self.stack.push(open);
        true
    }

    /// Puts a finished value where it belongs: as a key, a value, an item or the root.
    fn put(&mut self, at: Place, value: Value) -> bool {
        self.nodes += 1;
        if self.nodes > MOST_NODES {
            self.sink
                .error(code!("too-large"), Some(at), format!("this file has more than {MOST_NODES} values"))
                .hints
                .push("split it: chapters and tunes have files of their own".into());
            return false;
        }
        let node = Node { place: at, value, partial: false };
        match self.stack.last_mut() {
            None => self.root = Some(node),
            Some(Open::List { items, .. }) => items.push(node),
            Some(Open::Map { entries, seen, key, .. }) => match key.take() {
                None => match node.value {
                    Value::Scalar(scalar) => *key = Some((scalar.text, at)),
                    _ => {
                        self.sink
                            .error(code!("key-not-a-word"), Some(at), "a key must be a word, not a list or a map")
                            .hints
                            .push("put it in quotes if the brackets belong to it".into());
                        *key = Some((String::new(), at));
                    }
                },
                // What stands under a key that is none has been complained of.
                Some((name, _)) if name.is_empty() => {}
                Some((name, place)) => put_entry(entries, seen, Entry { key: name, place, value: node }, self.sink),
            },
        }
        true
    }

    fn refuse(&mut self, anchor: usize, tagged: bool, at: Place) {
        if anchor > 0 {
            self.sink
                .error(
                    code!("anchor"),
                    Some(at),
                    "`&` at the start of a value makes it an anchor, which book files don't use",
                )
                .hints
                .push("write the value out, or put it in quotes if the `&` belongs to it".into());
        }
        if tagged {
            self.sink
                .error(code!("tag"), Some(at), "`!` at the start of a value makes it a tag, which book files don't use")
                .hints
                .push("put the value in quotes if the `!` belongs to it".into());
        }
    }

    /// The scalar with its lines, and its place as wide as it is written on its first line.
    fn scalar(&self, text: &str, style: Style, span: Span, at: Place) -> (Place, Scalar) {
        let text = text.to_owned();
        let (style, shift) = match style {
            Style::Plain => (ScalarStyle::Plain, 0),
            Style::SingleQuoted | Style::DoubleQuoted => (ScalarStyle::Quoted, 1),
            Style::Literal => (ScalarStyle::Literal, 0),
            Style::Folded => (ScalarStyle::Folded, 0),
        };
        if style == ScalarStyle::Literal || style == ScalarStyle::Folded {
            return self.block(text, style, at);
        }
        let end =
            if span.end.line() == span.start.line() { span.end.col() } else { self.line(at.line).chars().count() };
        let width = u32::try_from(end.saturating_sub(span.start.col())).unwrap_or(1).max(1);
        let count = text.split('\n').count();
        let lines = vec![(at.line, at.column + shift); count];
        (at.wide(width), Scalar { text, style, lines })
    }

    /// A block: the span starts at its first line that is not blank; blank lines before it count back from there.
    fn block(&self, text: String, style: ScalarStyle, at: Place) -> (Place, Scalar) {
        let blank = text.split('\n').take_while(|line| line.is_empty()).count();
        let count = text.split('\n').count();
        let first = u32::try_from(blank).unwrap_or(0);
        let content = text.split('\n').find(|line| !line.is_empty()).unwrap_or("");
        let start = if content.is_empty() { at.line } else { at.line.saturating_sub(first).max(1) };
        let written = self.line(at.line);
        let indent = match style {
            // A folded line is longer than what is written on one line.
            ScalarStyle::Folded => written.chars().take_while(|c| *c == ' ').count(),
            _ if content.is_empty() => 0,
            _ => written.chars().count().saturating_sub(content.chars().count()),
        };
        let column = u32::try_from(indent).unwrap_or(0) + 1;
        let lines = (0..count).map(|nth| (start + u32::try_from(nth).unwrap_or(0), column)).collect();
        (Place { line: start, column, ..at }, Scalar { text, style, lines })
    }

    fn line(&self, number: u32) -> &str {
        self.lines.get(number.saturating_sub(1) as usize).copied().unwrap_or("")
    }
}

impl Scalar {
    fn empty(at: Place) -> Self {
        Self { text: String::new(), style: ScalarStyle::Plain, lines: vec![(at.line, at.column)] }
    }
}

/// Adds a pair to a map, unless its key is there already or is a merge key.
fn put_entry(entries: &mut Vec<Entry>, seen: &mut BTreeMap<String, Place>, entry: Entry, sink: &mut Sink) {
    let width = u32::try_from(entry.key.chars().count()).unwrap_or(1).max(1);
    let place = entry.place.wide(width);
    if entry.key == "<<" {
        sink.error(code!("merge-key"), Some(place), "`<<` merges maps, which book files don't use")
            .hints
            .push("write the keys out".into());
        return;
    }
    if let Some(first) = seen.get(&entry.key) {
        let message = format!("`{}` is written twice; the first is on line {}", entry.key, first.line);
        sink.error(code!("duplicate-key"), Some(place), message).hints.push("keep one of them".into());
        return;
    }
    seen.insert(entry.key.clone(), place);
    let mut value = entry.value;
    if value.text() == Some("") && value.scalar().is_some_and(Scalar::is_null) {
        // Nothing is written there, so there is nothing to point at but the key.
        value.place = place;
    }
    entries.push(Entry { place, value, ..entry });
}
