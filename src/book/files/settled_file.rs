//! A settled file: written by the program, kept beside the tune, read back at each binding.

use crate::book::words::{Bars, HandNote, Said, Slug};
use crate::instrument::{Direction, RowAt};
use crate::tune::Pitch;
use schemars::JsonSchema;
use serde::Deserialize;
use std::collections::BTreeMap;

/// The settled plan of a tune, one section a box.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "a settled plan")]
pub struct SettledFile {
    /// Version of this file's form: 1.
    #[schemars(range(min = 1, max = 1))]
    #[expect(dead_code, reason = "the schema checks it")]
    pub settled: u32,
    /// The tune's short name.
    pub tune: Said<Slug>,
    /// The notes by box.
    pub boxes: BTreeMap<String, Vec<SettledLine>>,
}

/// One note.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "a settled note")]
pub struct SettledLine {
    /// The bar.
    pub bar: Said<Bars>,
    /// The note in the bar.
    pub note: Said<HandNote>,
    /// The pitches that stood there, lowest first.
    pub is: Vec<Said<Pitch>>,
    /// Push or pull.
    pub direction: Said<Direction>,
    /// The button under the index finger.
    pub place: SettledButton,
    /// The buttons pressed, lowest pitch first.
    pub presses: Vec<SettledPress>,
}

/// A button.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "a button")]
pub struct SettledButton {
    /// The row.
    pub row: Said<RowAt>,
    /// The number.
    #[schemars(range(min = 1, max = 30))]
    pub button: u8,
}

/// A button with its finger.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "a pressed button")]
pub struct SettledPress {
    /// The row.
    pub row: Said<RowAt>,
    /// The number.
    #[schemars(range(min = 1, max = 30))]
    pub button: u8,
    /// The finger.
    #[schemars(range(min = 1, max = 4))]
    pub finger: u8,
}
