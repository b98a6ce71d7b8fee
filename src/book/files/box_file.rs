//! A box's file.

use crate::book::words::{LeftName, OrNone, Said, Slug};
use crate::instrument::{LeftKind, RowAt, Thirds};
use crate::tune::Pitch;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{self, Deserialize, Deserializer, MapAccess, SeqAccess, Visitor};
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;

/// A box: its buttons, its left hand, its bellows.
#[derive(Debug, Clone, serde::Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "a box")]
pub struct BoxFile {
    /// The name in words.
    pub name: Option<String>,
    /// The family, such as `dg`: boxes of one family differ in their ends and starts only.
    pub family: Option<Said<Slug>>,
    /// A built-in box of which single keys and buttons are replaced, or none.
    pub like: Option<Said<OrNone<Slug>>>,
    /// The rows of the right hand.
    pub rows: Option<Vec<BoxRow>>,
    /// The left hand.
    pub left: Option<LeftFile>,
    /// Whether chords sound their thirds.
    pub thirds: Option<Said<Thirds>>,
    /// The bellows.
    pub bellows: Option<BellowsFile>,
    /// Where the layout is from, and how sure it is.
    pub source: Option<String>,
}

/// A row of the right hand.
#[derive(Debug, Clone, serde::Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "a row")]
pub struct BoxRow {
    /// Where it lies.
    pub at: Said<RowAt>,
    /// The note it is named after.
    pub name: Option<String>,
    /// The button whose push gives the low tonic; 0 for a half row.
    #[schemars(range(min = 0, max = 30))]
    pub start: Option<u8>,
    /// How far the row is shifted towards the lap against the outer row, in buttons.
    #[schemars(range(min = -5, max = 15))]
    pub offset: Option<f64>,
    /// From the chin, `[push, pull]` each; with `like`, also single buttons by number: `{3: [D4, E4]}`.
    pub buttons: Option<BoxRowButtons>,
}

/// The buttons of a row.
#[derive(Debug, Clone, PartialEq)]
pub enum BoxRowButtons {
    /// All of them from the chin.
    All(Vec<[Said<Pitch>; 2]>),
    /// Single ones, by number.
    Some(BTreeMap<u32, [Said<Pitch>; 2]>),
}

/// No row has more buttons.
pub const MOST_BUTTONS: usize = 30;

impl JsonSchema for BoxRowButtons {
    fn inline_schema() -> bool {
        true
    }
    fn schema_name() -> Cow<'static, str> {
        "BoxRowButtons".into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let pair = generator.subschema_for::<[Said<Pitch>; 2]>();
        json_schema!({ "anyOf": [
            { "type": "array", "items": pair, "minItems": 1, "maxItems": MOST_BUTTONS },
            { "type": "object", "additionalProperties": pair }
        ]})
    }
}

impl<'de> Deserialize<'de> for BoxRowButtons {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(ButtonsVisitor)
    }
}

struct ButtonsVisitor;

impl<'de> Visitor<'de> for ButtonsVisitor {
    type Value = BoxRowButtons;
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list of buttons, `[push, pull]` each, or single buttons by number")
    }
    fn visit_seq<S: SeqAccess<'de>>(self, list: S) -> Result<BoxRowButtons, S::Error> {
        Deserialize::deserialize(de::value::SeqAccessDeserializer::new(list)).map(BoxRowButtons::All)
    }
    fn visit_map<M: MapAccess<'de>>(self, mut map: M) -> Result<BoxRowButtons, M::Error> {
        let mut some = BTreeMap::new();
        while let Some((key, pair)) = map.next_entry::<String, _>()? {
            let number =
                key.parse().map_err(|_| de::Error::custom(format!("`{key}` is not the number of a button")))?;
            some.insert(number, pair);
        }
        Ok(BoxRowButtons::Some(some))
    }
}

/// The left hand.
#[derive(Debug, Clone, serde::Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`left`")]
pub struct LeftFile {
    /// Its rows.
    pub rows: Option<Vec<Said<RowAt>>>,
    /// Its buttons in physical order from the chin, per row.
    pub buttons: Option<Vec<LeftButtonFile>>,
}

/// A button of the left hand.
#[derive(Debug, Clone, serde::Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "a left-hand button")]
pub struct LeftButtonFile {
    /// The row.
    pub row: Said<RowAt>,
    /// With `like`: which button of the row is replaced.
    #[schemars(range(min = 1, max = 30))]
    pub number: Option<u8>,
    /// Bass or chord.
    pub kind: Said<LeftKind>,
    /// What it sounds on the push.
    pub push: Said<LeftName>,
    /// What it sounds on the pull.
    pub pull: Said<LeftName>,
}

/// The bellows.
#[derive(Debug, Clone, serde::Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`bellows`")]
pub struct BellowsFile {
    /// How many seconds a full bellows lasts with one melody note, bass and chord.
    #[schemars(range(min = 1, max = 120))]
    pub seconds: Option<f64>,
    /// Where the figure is from.
    pub source: Option<String>,
}
