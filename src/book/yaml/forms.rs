//! How a value of the wrong kind is to be written: takes what the author wrote and the shape that is wanted, gives the hint, in the
//! author's own words where they are enough. Checks no value.

use super::node::{Node, Scalar, Value};
use super::scalars::complaint;
use super::shape::{Shape, Shapes};

/// What to write where a value has another kind than the shape; `name` is the key in backticks.
pub(super) fn form(node: &Node, shape: &Shape, name: &str, shapes: &Shapes) -> String {
    match shape {
        Shape::List { item, .. } => {
            let item = shapes.resolve(item);
            let own = match &node.value {
                Value::Map(entries) if matches!(item, Shape::Map { .. }) => entries.first().map(|own| own.key.as_str()),
                _ => None,
            };
            match (&node.value, first_key(item, shapes).or(own)) {
                (Value::Scalar(scalar), _) if is_plain(scalar) && takes_words(item) => {
                    format!("write `[{}]`, or one value a line, each after `- `", scalar.text.trim())
                }
                (Value::Map(_) | Value::Scalar(_), Some(key)) => {
                    format!("begin each with a hyphen, `- {key}: ...`, its other keys on lines below, as far indented")
                }
                _ => "write `[a, b]`, or one value a line, each after `- `".to_owned(),
            }
        }
        Shape::Map { keys, .. } => {
            let key = node.scalar().filter(|scalar| is_plain(scalar)).and_then(|scalar| key_for(scalar, keys, shapes));
            match (key, name.strip_prefix('`').and_then(|name| name.strip_suffix('`'))) {
                (Some((key, text)), Some(name)) => format!("write `{name}: {{{key}: {text}}}`"),
                _ => "write `{key: value}`, or one `key: value` a line, indented".to_owned(),
            }
        }
        Shape::Named(_) => "write `{key: value}`, or one `key: value` a line, indented".to_owned(),
        _ => "put it in quotes if brackets or colons belong to it".to_owned(),
    }
}

/// The key of a map to which a value belongs: one that takes few words and this one among them, else the first that takes any.
fn key_for<'a>(scalar: &'a Scalar, keys: &'a [(String, Shape)], shapes: &'a Shapes) -> Option<(&'a str, &'a str)> {
    let takes = |wanted: &Shape, only: fn(&Shape) -> bool| {
        let one = |shape: &Shape| only(shape) && complaint(scalar, shape, "").is_none();
        match shapes.resolve(wanted) {
            Shape::Any(shapes_of) => shapes_of.iter().any(|shape| one(shapes.resolve(shape))),
            shape => one(shape),
        }
    };
    let narrow = |shape: &Shape| matches!(shape, Shape::Choice(_) | Shape::Number { .. });
    let found = keys.iter().find(|(_, shape)| takes(shape, narrow));
    let found = found.or_else(|| {
        // What may be the name of a file says nothing of its key.
        let is_path = scalar.text.contains(['.', '/']);
        keys.iter().filter(|_| !is_path).find(|(_, shape)| takes(shape, |shape| matches!(shape, Shape::Text)))
    });
    found.map(|(key, _)| (key.as_str(), scalar.text.trim()))
}

/// The first key that the items of a list need, if they are maps.
fn first_key<'a>(item: &'a Shape, shapes: &'a Shapes) -> Option<&'a str> {
    match item {
        Shape::Map { required, .. } => required.first().map(String::as_str),
        Shape::Any(of) => of.iter().find_map(|shape| match shapes.resolve(shape) {
            Shape::Map { required, .. } => required.first().map(String::as_str),
            _ => None,
        }),
        _ => None,
    }
}

/// Whether the items of a list may be words and numbers.
fn takes_words(item: &Shape) -> bool {
    !matches!(item, Shape::Map { .. } | Shape::Named(_) | Shape::List { .. })
}

/// Whether a value can stand in brackets or braces as it is, and is short enough to be said again.
fn is_plain(scalar: &Scalar) -> bool {
    const LONGEST: usize = 40;
    let text = scalar.text.trim();
    let fits = |c: char| c.is_alphanumeric() || matches!(c, ' ' | ',' | '-' | '.' | '/' | '%' | '_');
    !text.is_empty() && !scalar.is_null() && text.chars().count() <= LONGEST && text.chars().all(fits)
}
