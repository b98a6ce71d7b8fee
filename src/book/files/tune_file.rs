//! A tune's file.

use crate::book::words::{
    Bars, Called, Either, HandNote, Key, Link, OrNone, Percent, Play, Prose, RelativePath, Said, Slug, Tone,
};
use crate::book::{CommentaryPlace, Kind};
use crate::fingering::{Air, Sound};
use crate::instrument::{Direction, RowAt};
use crate::tune::Pitch;
use schemars::JsonSchema;
use serde::Deserialize;

/// A tune: its music, what the author fixes, what is said about it.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "a tune")]
pub struct TuneFile {
    /// The title.
    pub title: String,
    /// A short name that stays the same for ever.
    pub id: Said<Slug>,
    /// The composer; `trad.` for a traditional tune; or none.
    pub composer: Option<String>,
    /// The arranger.
    pub arranger: Option<String>,
    /// Where the tune is from.
    pub source: Option<String>,
    /// The rights statement.
    pub rights: Option<String>,
    /// Tune or exercise.
    pub kind: Option<Said<Kind>>,
    /// How hard it is, from 1.
    #[schemars(range(min = 1, max = 9))]
    pub level: Option<u8>,
    /// What it teaches, in a few words each.
    pub teaches: Option<Vec<String>>,
    /// The music: a `|` block of ABC, or a file.
    pub music: Either<Prose, MusicFile>,
    /// A key to transpose into, or none.
    pub transpose: Option<Said<OrNone<Key>>>,
    /// The left hand.
    pub left_hand: Option<LeftHandFile>,
    /// What the author fixes; the rest is worked out.
    pub pins: Option<Vec<PinFile>>,
    /// Commentary: a `|` block of Markdown, or the path of a Markdown file.
    pub commentary: Option<Said<OrNone<Prose>>>,
    /// Where the commentary stands.
    pub commentary_place: Option<Said<CommentaryPlace>>,
    /// Notes for the teacher's edition, as Markdown or the path of a Markdown file.
    pub teacher_notes: Option<Said<OrNone<Prose>>>,
    /// A web address, printed as a QR code.
    pub link: Option<Said<OrNone<Link>>>,
    /// The steps of the practice ladder, in per cent of the tempo.
    pub practice: Option<Vec<Said<Percent>>>,
}

/// Music in a file of its own.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`music`")]
pub struct MusicFile {
    /// The path of an ABC or MusicXML file.
    pub file: Said<RelativePath>,
    /// Which tune of the file: its number (`X:`).
    #[schemars(range(min = 0))]
    pub tune: Option<u32>,
    /// Which part of a score: its id or name.
    pub part: Option<Said<Called>>,
    /// Which voice of the part, or of a tune in ABC.
    pub voice: Option<Said<Called>>,
}

/// The left hand.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`left-hand`")]
pub struct LeftHandFile {
    /// `auto` (from the metre), `none`, or a pattern's name.
    pub pattern: Option<String>,
    /// Bars that the author writes out.
    pub bars: Option<Vec<LeftBarFile>>,
}

/// One bar of the left hand.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "a bar of the left hand")]
pub struct LeftBarFile {
    /// The bar.
    pub bar: Said<Bars>,
    /// What is played: beats parted by commas.
    pub play: Said<Play>,
}

/// A button under the index finger.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`place`")]
pub struct PinPlace {
    /// The row.
    pub row: Said<RowAt>,
    /// The button, from 1 at the chin.
    #[schemars(range(min = 1, max = 30))]
    pub button: u8,
}

/// Something that the author fixes: where, and what.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "a pin")]
pub struct PinFile {
    /// The bar.
    pub bar: Option<Said<Bars>>,
    /// The bars, such as `5-8`.
    pub bars: Option<Said<Bars>>,
    /// The note in the bar, from 1; without it, all notes.
    pub note: Option<Said<HandNote>>,
    /// The note after which air is taken.
    pub after: Option<Said<HandNote>>,
    /// The note that stands there: the pin is an error when it is another.
    pub is: Option<Said<Pitch>>,
    /// One tone of a chord.
    pub tone: Option<Said<Tone>>,
    /// Only on these boxes.
    #[serde(rename = "for")]
    pub boxes: Option<Vec<String>>,
    /// Push or pull.
    pub direction: Option<Said<Direction>>,
    /// The row.
    pub row: Option<Said<RowAt>>,
    /// The button, from 1 at the chin.
    #[schemars(range(min = 1, max = 30))]
    pub button: Option<u8>,
    /// The finger: 1 index to 4 little.
    #[schemars(range(min = 1, max = 4))]
    pub finger: Option<u8>,
    /// Reversal or replay.
    pub sound: Option<Said<Sound>>,
    /// The index finger lies on this button from here on.
    pub place: Option<PinPlace>,
    /// Air after this note.
    pub air: Option<Said<Air>>,
    /// What the left hand plays in this bar, or none.
    pub left_hand: Option<Said<Play>>,
}
