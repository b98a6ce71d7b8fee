//! Values that an author writes as one word: lengths, bars, keys, choices. Takes a text, gives a value or a sentence on what
//! is wrong with it; describes itself for the schema. Knows no places.

mod choice;
mod measure;
mod music;
mod name;

pub use choice::{Align, Choice, Hyphens, Italics, Pitching, binding_word};
pub use measure::{Percent, Seconds, Span, SpineWish};
pub use music::{Bars, HandNote, Key, LeftName, Play, Tone};
pub use name::{Called, Date, Face, Isbn, Link, Prose, RelativePath, Slug, SpotName};

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{self, Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

/// A value written as one word.
pub trait Word: Sized {
    /// Its name in the schema's `format`, kebab case.
    const NAME: &'static str;
    /// What an author writes, as the end of the sentence "write ...", with an example.
    const WHAT: &'static str;
    /// Reads it; the error says what is wrong with the text.
    fn read(text: &str) -> Result<Self, String>;
    /// Its JSON Schema.
    fn schema() -> Schema {
        json_schema!({ "type": ["string", "number"], "format": Self::NAME, "description": Self::WHAT })
    }
}

/// A word as it stands in a typed file.
#[derive(Debug, Clone, PartialEq)]
pub struct Said<T>(pub T);

/// A word, or `none`.
#[derive(Debug, Clone, PartialEq)]
pub struct OrNone<T>(pub Option<T>);

impl<T: Word> Word for OrNone<T> {
    const NAME: &'static str = T::NAME;
    const WHAT: &'static str = T::WHAT;
    fn read(text: &str) -> Result<Self, String> {
        if text == "none" { Ok(Self(None)) } else { T::read(text).map(|value| Self(Some(value))) }
    }
    fn schema() -> Schema {
        json_schema!({ "anyOf": [{ "const": "none", "description": "nothing" }, T::schema()] })
    }
}

impl<T: Word> JsonSchema for Said<T> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        T::NAME.into()
    }
    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        T::schema()
    }
}

struct WordVisitor<T>(PhantomData<T>);

impl<T: Word> Visitor<'_> for WordVisitor<T> {
    type Value = T;
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(T::WHAT)
    }
    fn visit_str<E: de::Error>(self, text: &str) -> Result<T, E> {
        T::read(text).map_err(E::custom)
    }
    fn visit_u64<E: de::Error>(self, value: u64) -> Result<T, E> {
        self.visit_str(&value.to_string())
    }
    fn visit_i64<E: de::Error>(self, value: i64) -> Result<T, E> {
        self.visit_str(&value.to_string())
    }
    fn visit_f64<E: de::Error>(self, value: f64) -> Result<T, E> {
        self.visit_str(&value.to_string())
    }
}

impl<'de, T: Word> Deserialize<'de> for Said<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(WordVisitor(PhantomData)).map(Self)
    }
}

/// A word, or something longer: a list or a map.
#[derive(Debug, Clone, PartialEq)]
pub enum Either<A, B> {
    /// The word.
    Word(A),
    /// The list or map.
    Long(B),
}

impl<A: Word, B: JsonSchema> JsonSchema for Either<A, B> {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        format!("{}-or-{}", A::NAME, B::schema_name()).into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        json_schema!({ "anyOf": [A::schema(), generator.subschema_for::<B>()] })
    }
}

struct EitherVisitor<A, B>(PhantomData<(A, B)>);

impl<'de, A: Word, B: Deserialize<'de>> Visitor<'de> for EitherVisitor<A, B> {
    type Value = Either<A, B>;
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(A::WHAT)
    }
    fn visit_str<E: de::Error>(self, text: &str) -> Result<Self::Value, E> {
        WordVisitor(PhantomData).visit_str(text).map(Either::Word)
    }
    fn visit_u64<E: de::Error>(self, value: u64) -> Result<Self::Value, E> {
        WordVisitor(PhantomData).visit_u64(value).map(Either::Word)
    }
    fn visit_seq<S: SeqAccess<'de>>(self, list: S) -> Result<Self::Value, S::Error> {
        B::deserialize(de::value::SeqAccessDeserializer::new(list)).map(Either::Long)
    }
    fn visit_map<M: MapAccess<'de>>(self, map: M) -> Result<Self::Value, M::Error> {
        B::deserialize(de::value::MapAccessDeserializer::new(map)).map(Either::Long)
    }
}

impl<'de, A: Word, B: Deserialize<'de>> Deserialize<'de> for Either<A, B> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(EitherVisitor(PhantomData))
    }
}

fn complaint<T: Word>(text: &str) -> Option<String> {
    T::read(text).err()
}

/// What is wrong with a text as the word that the schema calls `format`, and what to write; `None` when nothing is wrong.
pub fn wrong(format: &str, text: &str) -> Option<(String, &'static str)> {
    fn of<T: Word>(text: &str) -> Option<(String, &'static str)> {
        complaint::<T>(text).map(|wrong| (wrong, T::WHAT))
    }
    match format {
        Span::NAME => of::<Span>(text),
        Seconds::NAME => of::<Seconds>(text),
        Percent::NAME => of::<Percent>(text),
        Bars::NAME => of::<Bars>(text),
        HandNote::NAME => of::<HandNote>(text),
        Key::NAME => of::<Key>(text),
        LeftName::NAME => of::<LeftName>(text),
        Play::NAME => of::<Play>(text),
        Tone::NAME => of::<Tone>(text),
        <crate::tune::Pitch as Word>::NAME => of::<crate::tune::Pitch>(text),
        Date::NAME => of::<Date>(text),
        Isbn::NAME => of::<Isbn>(text),
        Link::NAME => of::<Link>(text),
        Prose::NAME => of::<Prose>(text),
        RelativePath::NAME => of::<RelativePath>(text),
        Face::NAME => of::<Face>(text),
        Slug::NAME => of::<Slug>(text),
        SpotName::NAME => of::<SpotName>(text),
        _ => None,
    }
}
