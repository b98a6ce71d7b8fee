//! What a file must look like, compiled from the JSON Schema of its typed struct, so that schema, struct and complaints can
//! never say different things.

use schemars::Schema;
use std::collections::BTreeMap;

/// The shape of a value.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// Any text.
    Text,
    /// A word that [`crate::book::words`] reads, by its format name.
    Word(String),
    /// One of these words.
    Choice(Vec<String>),
    /// A number within bounds.
    Number {
        /// Whether it must be whole.
        whole: bool,
        /// The least.
        least: Option<f64>,
        /// The greatest.
        most: Option<f64>,
    },
    /// A list of one shape, with bounds on its length.
    List {
        /// The shape of its items.
        item: Box<Self>,
        /// The fewest.
        least: usize,
        /// The most.
        most: usize,
    },
    /// A map of known keys.
    Map {
        /// What it is, for messages: `a tune`.
        what: String,
        /// The keys, in the order of the format.
        keys: Vec<(String, Self)>,
        /// The keys that must be there.
        required: Vec<String>,
    },
    /// A map whose keys are the author's names.
    Named(Box<Self>),
    /// Any of these.
    Any(Vec<Self>),
    /// A shape by its name.
    Ref(String),
}

/// A file's shape and the shapes it refers to by name.
#[derive(Debug, Clone, PartialEq)]
pub struct Shapes {
    /// The whole file.
    pub root: Shape,
    named: BTreeMap<String, Shape>,
}

impl Shapes {
    /// Compiles a JSON Schema of draft 7.
    pub fn new(schema: &Schema) -> Self {
        let mut named = BTreeMap::new();
        let definitions = schema.get("definitions").and_then(|all| all.as_object());
        for (name, value) in definitions.into_iter().flatten() {
            if let Ok(schema) = <&Schema>::try_from(value) {
                named.insert(name.clone(), Shape::of(schema));
            }
        }
        Self { root: Shape::of(schema), named }
    }
    /// Follows a name to its shape.
    pub fn resolve<'a>(&'a self, shape: &'a Shape) -> &'a Shape {
        let mut shape = shape;
        while let Shape::Ref(name) = shape {
            shape = self.named.get(name).expect("the schema defines every name it refers to");
        }
        shape
    }
}

impl Shape {
    fn of(schema: &Schema) -> Self {
        if let Some(reference) = schema.get("$ref").and_then(|r| r.as_str()) {
            return Self::Ref(reference.rsplit('/').next().unwrap_or(reference).to_owned());
        }
        for many in ["anyOf", "oneOf", "allOf"] {
            if let Some(list) = schema.get(many).and_then(|list| list.as_array()) {
                return Self::any(
                    list.iter().filter_map(|value| <&Schema>::try_from(value).ok()).map(Self::of).collect(),
                );
            }
        }
        if let Some(word) = schema.get("const").and_then(|word| word.as_str()) {
            return Self::Choice(vec![word.to_owned()]);
        }
        let types: Vec<&str> = match schema.get("type") {
            Some(kind) => kind.as_array().map_or_else(
                || kind.as_str().into_iter().collect(),
                |kinds| kinds.iter().filter_map(|kind| kind.as_str()).collect(),
            ),
            None => Vec::new(),
        };
        match types.first() {
            Some(&"string") => match schema.get("format").and_then(|format| format.as_str()) {
                Some(format) => Self::Word(format.to_owned()),
                None => Self::Text,
            },
            Some(kind @ (&"integer" | &"number")) => Self::Number {
                whole: *kind == "integer",
                least: schema.get("minimum").and_then(|n| n.as_f64()),
                most: schema.get("maximum").and_then(|n| n.as_f64()),
            },
            Some(&"array") => Self::list(schema),
            Some(&"object") => Self::map(schema),
            _ => Self::Text,
        }
    }

    fn any(shapes: Vec<Self>) -> Self {
        let mut words = Vec::new();
        let mut others = Vec::new();
        for shape in shapes {
            match shape {
                Self::Choice(more) => words.extend(more),
                Self::Any(more) => others.extend(more),
                other => others.push(other),
            }
        }
        if !words.is_empty() {
            others.insert(0, Self::Choice(words));
        }
        if others.len() == 1 { others.remove(0) } else { Self::Any(others) }
    }

    fn list(schema: &Schema) -> Self {
        let bound = |key: &str| schema.get(key).and_then(|n| n.as_u64()).and_then(|n| usize::try_from(n).ok());
        let item = schema.get("items").and_then(|items| <&Schema>::try_from(items).ok()).map_or(Self::Text, Self::of);
        Self::List {
            item: Box::new(item),
            least: bound("minItems").unwrap_or(0),
            most: bound("maxItems").unwrap_or(usize::MAX),
        }
    }

    fn map(schema: &Schema) -> Self {
        let Some(properties) = schema.get("properties").and_then(|all| all.as_object()) else {
            let value = schema.get("additionalProperties").and_then(|value| <&Schema>::try_from(value).ok());
            return Self::Named(Box::new(value.map_or(Self::Text, Self::of)));
        };
        let keys = properties
            .iter()
            .filter_map(|(key, value)| Some((key.clone(), Self::of(<&Schema>::try_from(value).ok()?))))
            .collect();
        let required = schema.get("required").and_then(|list| list.as_array()).into_iter().flatten();
        let title = schema.get("title").and_then(|title| title.as_str()).unwrap_or("a map");
        Self::Map {
            what: title.to_owned(),
            keys,
            required: required.filter_map(|key| key.as_str()).map(str::to_owned).collect(),
        }
    }
}
