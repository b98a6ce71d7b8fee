//! A checked tree into a typed struct: written out again in YAML's plainest form, then read by serde_yaml.
//!
//! Writing it out keeps one reading of the file: what the pass has refused or merged can't come back in by the second
//! parser. Text goes between double quotes, numbers stay plain.

use super::node::{Node, Value};
use crate::diag::Sink;
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
            sink.error("wrong-shape", Some(node.place), message);
            None
        }
    }
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
