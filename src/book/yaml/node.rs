//! The marked tree: values with the places of their keys and of themselves. Knows nothing of the book format.

use crate::diag::{Excerpt, Place};

/// How a scalar is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ScalarStyle {
    /// Without quotes.
    Plain,
    /// In single or double quotes.
    Quoted,
    /// A `|` block.
    Literal,
    /// A `>` block.
    Folded,
}

/// A text as YAML gives it, with the way back to the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Scalar {
    /// The text.
    pub text: String,
    /// How it is written.
    pub style: ScalarStyle,
    /// For each line of the text, line and column of its first character in the file, 1-based.
    pub lines: Vec<(u32, u32)>,
}

/// A key with its value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// The key.
    pub key: String,
    /// Where the key stands.
    pub place: Place,
    /// The value.
    pub value: Node,
}

/// What stands at a place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    /// A text, number or word.
    Scalar(Scalar),
    /// A list.
    List(Vec<Node>),
    /// Keys and values in the file's order, no key twice.
    Map(Vec<Entry>),
}

/// A value and its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Node {
    /// Where it starts; for a scalar of one line, as wide as it is written.
    pub place: Place,
    /// The value.
    pub value: Value,
    /// Whether something wrong that stood in it was reported and left out, so that what is missing now need not be missed.
    pub partial: bool,
}

impl Node {
    /// The value under a key of a map; `None` also when this is no map.
    pub fn get(&self, key: &str) -> Option<&Self> {
        self.entry(key).map(|entry| &entry.value)
    }
    /// The entry of a key of a map.
    pub fn entry(&self, key: &str) -> Option<&Entry> {
        self.entries().iter().find(|entry| entry.key == key)
    }
    /// The entries of a map; empty for anything else.
    pub fn entries(&self) -> &[Entry] {
        match &self.value {
            Value::Map(entries) => entries,
            _ => &[],
        }
    }
    /// The items of a list; empty for anything else.
    pub fn items(&self) -> &[Self] {
        match &self.value {
            Value::List(items) => items,
            _ => &[],
        }
    }
    /// The scalar, if it is one.
    pub const fn scalar(&self) -> Option<&Scalar> {
        match &self.value {
            Value::Scalar(scalar) => Some(scalar),
            _ => None,
        }
    }
    /// The text of a scalar.
    pub fn text(&self) -> Option<&str> {
        self.scalar().map(|scalar| scalar.text.as_str())
    }
    /// The place of the value under a key, or of the whole where the key is missing.
    pub fn place_of(&self, key: &str) -> Place {
        self.get(key).map_or(self.place, |node| node.place)
    }
    /// The text of a scalar with its lines' places.
    pub fn excerpt(&self) -> Option<Excerpt> {
        let scalar = self.scalar()?;
        Some(Excerpt::new(self.place.file, scalar.text.clone(), scalar.lines.clone()))
    }
}

impl Scalar {
    /// Whether nothing is written (`key:`), or YAML's words for nothing.
    pub fn is_null(&self) -> bool {
        self.style == ScalarStyle::Plain && matches!(self.text.as_str(), "" | "~" | "null" | "Null" | "NULL")
    }
    /// Whether YAML 1.2 reads it as a number (core schema, 10.3.2).
    pub fn is_number(&self) -> bool {
        self.style == ScalarStyle::Plain && is_number(&self.text)
    }
    /// Whether some or all YAML versions read it as yes or no.
    pub fn is_switch(&self) -> bool {
        const SWITCHES: [&str; 8] = ["on", "off", "yes", "no", "true", "false", "y", "n"];
        self.style == ScalarStyle::Plain && SWITCHES.contains(&self.text.to_ascii_lowercase().as_str())
    }
}

fn is_number(text: &str) -> bool {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    if let Some(octal) = text.strip_prefix("0o") {
        return !octal.is_empty() && octal.bytes().all(|b| (b'0'..=b'7').contains(&b));
    }
    if let Some(hex) = text.strip_prefix("0x") {
        return !hex.is_empty() && hex.bytes().all(|b| b.is_ascii_hexdigit());
    }
    let body = text.strip_prefix(['-', '+']).unwrap_or(text);
    if matches!(body, ".inf" | ".Inf" | ".INF") || matches!(text, ".nan" | ".NaN" | ".NAN") {
        return true;
    }
    let (mantissa, exponent) = body.split_once(['e', 'E']).map_or((body, None), |(m, e)| (m, Some(e)));
    if exponent.is_some_and(|e| !digits(e.strip_prefix(['-', '+']).unwrap_or(e))) {
        return false;
    }
    match mantissa.split_once('.') {
        Some((whole, part)) => {
            (whole.is_empty() && digits(part)) || (digits(whole) && (part.is_empty() || digits(part)))
        }
        None => digits(mantissa),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// YAML 1.2.2, 10.3.2, tag resolution of the core schema.
    #[test]
    fn numbers_of_the_core_schema() {
        for text in ["0", "-19", "0o7", "0x3A", "0.", "-0.0", ".5", "+12e03", "-2E+05", ".inf", ".nan", "1.10"] {
            assert!(is_number(text), "{text}");
        }
        for text in ["", "-", ".", "1.1.0", "11pt", "2026-09-01", "e3", "0x", "1e", "5-8"] {
            assert!(!is_number(text), "{text}");
        }
    }
}
