//! A checked tree into a typed struct: written out again in YAML's plainest form, then read by serde_yaml.
//!
//! Writing it out keeps one reading of the file: what the pass has refused or merged can't come back in by the second
//! parser. Text goes between double quotes, numbers stay plain.

use super::node::{Node, Value};
use crate::diag::{Place, Sink};
use serde::de::DeserializeOwned;
use std::fmt::Write;

/// Reads a tree that has been checked without errors. A complaint here means that check and struct differ.
pub fn typed<T: DeserializeOwned>(node: &Node, sink: &mut Sink) -> Option<T> {
    let mut text = String::new();
    write(node, &mut text);
    match serde_yaml::from_str(&text) {
        Ok(value) => Some(value),
        Err(error) => {
            // The message names the path of the value; line and column of the written-out form mean nothing to an author.
            let message = error.to_string();
            let message = message.split(" at line ").next().unwrap_or("this file can't be read").to_owned();
            let (place, message) = located(node, &message);
            let hint = "`boxwright schema` prints what each key takes";
            sink.error(code!("wrong-shape"), Some(place), message.to_owned()).hints.push(hint.into());
            None
        }
    }
}

/// The place of the value whose path begins a message (`rows[0].buttons: ...`), and the message without it; as far as the path
/// leads into the tree.
fn located<'a>(node: &Node, message: &'a str) -> (Place, &'a str) {
    let Some((path, rest)) = message.split_once(": ") else { return (node.place, message) };
    let mut at = node;
    for step in path.split(['.', '[']) {
        let next = match step.strip_suffix(']') {
            Some(nth) => nth.parse::<usize>().ok().and_then(|nth| at.items().get(nth)),
            None => at.get(step),
        };
        match next {
            Some(next) => at = next,
            None => return (at.place, message),
        }
    }
    (at.place, rest)
}

fn write(node: &Node, out: &mut String) {
    match &node.value {
        Value::Scalar(scalar) if scalar.is_number() => out.push_str(&scalar.text),
        Value::Scalar(scalar) => quote(&scalar.text, out),
        Value::List(items) => {
            out.push('[');
            for (nth, item) in items.iter().enumerate() {
                if nth > 0 {
                    out.push_str(", ");
                }
                write(item, out);
            }
            out.push(']');
        }
        Value::Map(entries) => {
            out.push('{');
            for (nth, entry) in entries.iter().enumerate() {
                if nth > 0 {
                    out.push_str(", ");
                }
                quote(&entry.key, out);
                out.push_str(": ");
                write(&entry.value, out);
            }
            out.push('}');
        }
    }
}

fn quote(text: &str, out: &mut String) {
    out.push('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            c if c.is_control() || matches!(c, '\u{2028}' | '\u{2029}' | '\u{feff}') => {
                let _ = write!(out, "\\U{:08X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
}
