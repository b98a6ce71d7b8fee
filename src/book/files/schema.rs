//! The schema of each kind of file: for editors as JSON Schema (draft 7), for our own checks as a compiled shape.

use super::{BookFile, BoxFile, SettledFile, TuneFile};
use crate::book::yaml::Shapes;
use schemars::generate::SchemaSettings;
use schemars::transform::transform_subschemas;
use schemars::{JsonSchema, Schema};
use std::sync::LazyLock;

/// A kind of file that an author writes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum FileKind {
    /// `book.yaml`.
    Book,
    /// A tune's file.
    Tune,
    /// A box's file.
    Box,
}

/// The shape of `book.yaml`.
pub static BOOK: LazyLock<Shapes> = LazyLock::new(|| Shapes::new(&of::<BookFile>()));
/// The shape of a tune's file.
pub static TUNE: LazyLock<Shapes> = LazyLock::new(|| Shapes::new(&of::<TuneFile>()));
/// The shape of a box's file.
pub static BOX: LazyLock<Shapes> = LazyLock::new(|| Shapes::new(&of::<BoxFile>()));
/// The shape of a settled file.
pub static SETTLED: LazyLock<Shapes> = LazyLock::new(|| Shapes::new(&of::<SettledFile>()));

/// The JSON Schema of a kind of file, indented.
pub fn schema(kind: FileKind) -> String {
    let schema = match kind {
        FileKind::Book => of::<BookFile>(),
        FileKind::Tune => of::<TuneFile>(),
        FileKind::Box => of::<BoxFile>(),
    };
    format!("{:#}", schema.to_value())
}

fn of<T: JsonSchema>() -> Schema {
    let mut schema = SchemaSettings::draft07().into_generator().into_root_schema_for::<T>();
    without_null(&mut schema);
    bounded(&mut schema);
    schema
}

/// A key that may be left out is not a key that may be empty: takes the `null` of optional keys away.
fn without_null(schema: &mut Schema) {
    if let Some(types) = schema.get_mut("type").and_then(|types| types.as_array_mut()) {
        types.retain(|kind| kind.as_str() != Some("null"));
        if types.len() == 1 {
            let only = types.remove(0);
            schema.insert("type".into(), only);
        }
    }
    if let Some(list) = schema.get_mut("anyOf").and_then(|list| list.as_array_mut()) {
        list.retain(|value| value.get("type").and_then(|kind| kind.as_str()) != Some("null"));
    }
    transform_subschemas(&mut without_null, schema);
}

/// A number for which the format sets no greatest value has that of the type that reads it.
fn bounded(schema: &mut Schema) {
    let most = match schema.get("format").and_then(|format| format.as_str()) {
        Some("uint8") => Some(u64::from(u8::MAX)),
        Some("uint32") => Some(u64::from(u32::MAX)),
        _ => None,
    };
    if let Some(most) = most.filter(|_| schema.get("maximum").is_none()) {
        schema.insert("maximum".into(), most.into());
    }
    transform_subschemas(&mut bounded, schema);
}
