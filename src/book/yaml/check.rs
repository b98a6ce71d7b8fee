//! A marked tree against a shape: every unknown key, missing key, wrong shape and wrong word, each at its place.

use super::forms::form;
use super::node::{Entry, Node, Scalar, ScalarStyle, Value};
use super::scalars::{MOST_CHARACTERS, complaint, too_long};
use super::shape::{Shape, Shapes};
use super::slips;
use crate::book::words::{self, Word as _};
use crate::diag::{Code, Place, Severity, Sink, nearest};

/// An author gives no more names than this in one map: a book has at most so many editions.
const MOST_NAMES: usize = 100;

/// Checks a tree and gives the part of it that can be used: unknown keys and wrong values are reported and left out, so that
/// one mistake does not hide the next; a stand-in takes the place of a title, an id, a date or a list that is wanting. `None` when
/// something else is missing without which there is nothing to go on with.
pub fn check(node: &Node, shapes: &Shapes, sink: &mut Sink) -> Option<Node> {
    Check { shapes, sink }.node(node, &shapes.root, "this file")
}

struct Check<'a> {
    shapes: &'a Shapes,
    sink: &'a mut Sink,
}

impl<'a> Check<'a> {
    fn error(&mut self, code: Code, place: Place, message: String, hint: String) {
        let complaint = self.sink.error(code, Some(place), message);
        if !hint.is_empty() {
            complaint.hints.push(hint);
        }
    }

    /// The usable part of a value; `name` is its key in quotes.
    fn node(&mut self, node: &Node, shape: &'a Shape, name: &str) -> Option<Node> {
        let shape = self.shapes.resolve(shape);
        match (&node.value, shape) {
            (Value::Scalar(scalar), _) if scalar.is_null() => {
                let hint = "write a value after the colon, or take the key out".to_owned();
                self.error(code!("no-value"), node.place, format!("{name} has no value"), hint);
                None
            }
            (_, Shape::Any(shapes)) => self.any(node, shapes, name),
            (Value::Scalar(_), Shape::List { .. } | Shape::Map { .. } | Shape::Named(_)) => {
                self.wrong_shape(node, shape, name);
                None
            }
            (Value::Scalar(scalar), shape) => self.scalar(scalar, node.place, shape, name).then(|| node.clone()),
            (Value::List(items), Shape::List { item, least, most }) => {
                if items.len() < *least || items.len() > *most {
                    let wanted = if least == most { format!("{least}") } else { format!("{least} to {most}") };
                    let message = format!("{name} has {}, not {wanted}", counted(items.len()));
                    let hint = format!("write {wanted} values with commas between, in `[` and `]`");
                    self.error(code!("wrong-length"), node.place, message, hint);
                    return None;
                }
                let item_name = format!("in {}", name.strip_prefix("in ").unwrap_or(name));
                let good: Vec<Node> = items.iter().filter_map(|value| self.node(value, item, &item_name)).collect();
                // A pair with one wrong half is no pair.
                let partial = good.len() < items.len();
                (good.len() >= *least).then_some(Node { value: Value::List(good), partial, ..*node })
            }
            (Value::Map(entries), Shape::Map { what, keys, required }) => self.map(node, entries, what, keys, required),
            (Value::Map(entries), Shape::Named(shape)) => {
                if let Some(entry) = entries.get(MOST_NAMES) {
                    let message = format!("{name} has {} entries, more than {MOST_NAMES}", entries.len());
                    self.error(code!("too-many"), entry.place, message, "take some of them out".to_owned());
                    return None;
                }
                if let Some(entry) = entries.iter().find(|entry| entry.key.chars().nth(MOST_CHARACTERS).is_some()) {
                    let complaint = too_long(&entry.key, &format!("a key in {name}"));
                    complaint
                        .into_iter()
                        .for_each(|(code, message, hint)| self.error(code, entry.place, message, hint));
                    return None;
                }
                let value =
                    |entry: &Entry, check: &mut Self| check.node(&entry.value, shape, &format!("`{}`", entry.key));
                let good = entries
                    .iter()
                    .filter_map(|entry| value(entry, self).map(|value| Entry { value, ..entry.clone() }))
                    .collect();
                Some(Node { value: Value::Map(good), ..*node })
            }
            (_, shape) => {
                self.wrong_shape(node, shape, name);
                None
            }
        }
    }

    /// The alternative that fits the kind of the value decides; several words are tried one after the other.
    fn any(&mut self, node: &Node, shapes: &'a [Shape], name: &str) -> Option<Node> {
        let fitting: Vec<&'a Shape> = shapes.iter().map(|s| self.shapes.resolve(s)).filter(|s| fits(node, s)).collect();
        match (fitting[..].first(), &node.value) {
            (None, _) => {
                let first = self.shapes.resolve(&shapes[0]);
                self.wrong_shape(node, first, name);
                None
            }
            (Some(_), Value::Scalar(scalar)) => {
                if fitting.iter().any(|shape| complaint(scalar, shape, name).is_none()) {
                    return Some(node.clone());
                }
                let words = fitting.iter().filter_map(|shape| match shape {
                    Shape::Choice(words) => Some(words.iter().map(String::as_str)),
                    _ => None,
                });
                if let Some(near) = nearest(&scalar.text, words.flatten()) {
                    let message = format!("`{}` is not known here ({name})", scalar.text);
                    self.error(code!("unknown-word"), node.place, message, format!("did you mean `{near}`?"));
                } else {
                    let last = fitting.last().copied().expect("at least one alternative fits");
                    self.scalar(scalar, node.place, last, name);
                }
                None
            }
            (Some(shape), _) => self.node(node, shape, name),
        }
    }

    fn scalar(&mut self, scalar: &Scalar, place: Place, shape: &Shape, name: &str) -> bool {
        let complaint = complaint(scalar, shape, name);
        let good = complaint.is_none();
        if let Some((code, message, hint)) = complaint {
            self.error(code, place, message, hint);
        }
        good
    }

    fn map(
        &mut self,
        node: &Node,
        entries: &[Entry],
        what: &str,
        keys: &'a [(String, Shape)],
        required: &[String],
    ) -> Option<Node> {
        let mut good = Vec::new();
        for (nth, entry) in entries.iter().enumerate() {
            match keys.iter().find(|(key, _)| *key == entry.key) {
                Some((key, _)) if required.contains(key) && is_blank(&entry.value) => {
                    let hint = "write a value after the colon".to_owned();
                    self.error(code!("no-value"), entry.value.place, format!("`{key}` has no value"), hint);
                }
                Some((key, shape)) => {
                    let value = self.node(&entry.value, shape, &format!("`{key}`"));
                    good.extend(value.map(|value| Entry { value, ..entry.clone() }));
                }
                None if entry.key.contains(slips::is_odd_blank)
                    && keys.iter().any(|(key, _)| *key == plain_key(&entry.key)) =>
                {
                    let blank = entry.key.chars().find(|c| slips::is_odd_blank(*c)).unwrap_or(' ');
                    slips::odd_blank(entry.place, blank, self.sink);
                }
                None => {
                    let before = nth.checked_sub(1).map(|before| &entries[before]);
                    let hint = before.and_then(|before| parted(before, entry));
                    let hint = hint.unwrap_or_else(|| self.about_key(entry, keys));
                    self.error(code!("unknown-key"), entry.place, format!("`{}` is no key of {what}", entry.key), hint);
                }
            }
        }
        for key in required {
            // A misspelt key has been reported already; saying that the right one is missing would say it twice.
            let misspelt = |entry: &Entry| nearest(&entry.key, std::iter::once(key.as_str())).is_some();
            if node.entry(key).is_none() && !entries.iter().any(misspelt) {
                self.error(
                    code!("missing-key"),
                    node.place,
                    format!("{what} needs `{key}`"),
                    format!("add `{key}: ...`"),
                );
            }
        }
        let partial = good.len() < entries.len();
        let mut lacking = false;
        for key in required {
            if good.iter().any(|entry| entry.key == *key) {
                continue;
            }
            // What is wanting has been told; what else is wrong in here is looked for all the same.
            let shape = keys.iter().find(|(known, _)| known == key).map(|(_, shape)| self.shapes.resolve(shape));
            let value = stand_in(shape?, node.place)?;
            good.push(Entry { key: key.clone(), place: node.place, value });
            lacking = true;
        }
        Some(Node { value: Value::Map(good), partial: partial || lacking, ..*node })
    }

    /// The nearest known key, or the map it belongs to, or all known keys.
    fn about_key(&self, entry: &Entry, keys: &[(String, Shape)]) -> String {
        let key = entry.key.as_str();
        if self.sink.more(Severity::Error) > 0 {
            return String::new();
        }
        if let Some(near) = nearest(key, keys.iter().map(|(key, _)| key.as_str())) {
            return format!("did you mean `{near}`?");
        }
        let Shape::Map { keys: top, what, .. } = &self.shapes.root else { return String::new() };
        if top.iter().any(|(known, _)| known == key) {
            return format!("`{key}` is a key of {what}: it belongs at the left margin");
        }
        let mut other = None;
        for (parent, shape) in top {
            let mut shape = self.shapes.resolve(shape);
            if let Shape::Any(shapes) = shape {
                shape = shapes
                    .iter()
                    .map(|s| self.shapes.resolve(s))
                    .find(|s| matches!(s, Shape::Map { .. }))
                    .unwrap_or(shape);
            }
            if let Shape::List { item, .. } = shape {
                shape = self.shapes.resolve(item);
            }
            if let Shape::Map { keys, .. } = shape
                && let Some((_, wanted)) = keys.iter().find(|(known, _)| known == key)
            {
                // Of several maps that have such a key the one whose key takes such a value is meant.
                if self.takes(wanted, &entry.value) {
                    return format!("`{key}` belongs under `{parent}:`");
                }
                other.get_or_insert(parent);
            }
        }
        if let Some(parent) = other {
            return format!("`{key}` belongs under `{parent}:`");
        }
        let known: Vec<String> = keys.iter().map(|(key, _)| format!("`{key}`")).collect();
        format!("known here: {}", known.join(", "))
    }

    /// Whether a shape takes values of this kind.
    fn takes(&self, shape: &Shape, node: &Node) -> bool {
        match self.shapes.resolve(shape) {
            Shape::Any(shapes) => shapes.iter().any(|shape| fits(node, self.shapes.resolve(shape))),
            shape => fits(node, shape),
        }
    }

    fn wrong_shape(&mut self, node: &Node, shape: &Shape, name: &str) {
        let found = match &node.value {
            Value::Scalar(_) => "one value",
            Value::List(_) => "a list",
            Value::Map(_) => "a map of keys",
        };
        let wanted = match shape {
            Shape::List { .. } => "a list",
            Shape::Map { .. } | Shape::Named(_) => "a map of keys",
            _ => "one value",
        };
        let hint = form(node, shape, name, self.shapes);
        self.error(code!("wrong-shape"), node.place, format!("{name} must be {wanted}, not {found}"), hint);
    }
}

/// What to do where a comma inside braces made a key of the rest of a value.
fn parted(before: &Entry, entry: &Entry) -> Option<String> {
    let is_rest = entry.value.scalar().is_some_and(Scalar::is_null) && before.place.line == entry.place.line;
    let value = before.value.text().filter(|_| is_rest)?;
    let ends_in_digit = value.ends_with(|c: char| c.is_ascii_digit());
    if ends_in_digit && entry.key.starts_with(|c: char| c.is_ascii_digit()) {
        return Some(format!(
            "a comma begins a new key in braces: write `{}: {value}.{}`, with a point",
            before.key, entry.key
        ));
    }
    Some("a comma begins a new key in braces: put the whole value before it in double quotes".to_owned())
}

/// A key without blanks that YAML takes for letters.
fn plain_key(key: &str) -> String {
    key.replace(slips::is_odd_blank, "").trim().to_owned()
}

/// Whether a text has nothing in it that is seen: blanks alone, or signs that leave no ink (soft hyphens, joiners, marks that turn
/// the direction of writing: format characters of The Unicode Standard, chapter 23).
fn is_blank(node: &Node) -> bool {
    let leaves_no_ink = |c: char| {
        c.is_whitespace()
            || matches!(c, '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}')
            || matches!(c, '\u{2060}'..='\u{206f}' | '\u{feff}')
    };
    node.scalar().is_some_and(|scalar| !scalar.is_null() && scalar.text.chars().all(leaves_no_ink))
}

/// A value in the place of one that is needed and wanting, so that reading can go on; `None` where none would do. A file that
/// lacks something has an error, so nobody ever sees it.
fn stand_in(shape: &Shape, place: Place) -> Option<Node> {
    let text = match shape {
        Shape::Text => "?".to_owned(),
        Shape::Word(format) if format == words::Slug::NAME => format!("missing-{}", place.file.number()),
        Shape::Word(format) if format == words::Date::NAME => "2000-01-01".to_owned(),
        Shape::List { least: 0, .. } => return Some(Node { place, value: Value::List(Vec::new()), partial: true }),
        _ => return None,
    };
    let lines = vec![(place.line, place.column)];
    Some(Node { place, value: Value::Scalar(Scalar { text, style: ScalarStyle::Quoted, lines }), partial: true })
}

fn counted(values: usize) -> String {
    if values == 1 { "1 value".to_owned() } else { format!("{values} values") }
}

fn fits(node: &Node, shape: &Shape) -> bool {
    match &node.value {
        Value::Scalar(_) => !matches!(shape, Shape::List { .. } | Shape::Map { .. } | Shape::Named(_)),
        Value::List(_) => matches!(shape, Shape::List { .. }),
        Value::Map(_) => matches!(shape, Shape::Map { .. } | Shape::Named(_)),
    }
}
