//! `book.yaml`.

use crate::book::page_size::PageSize;
use crate::book::words::{
    Align, Date, Either, Face, Hyphens, Isbn, Italics, OrNone, Pitching, Prose, RelativePath, Said, Seconds, Slug,
    Span, SpineWish, SpotName,
};
use crate::book::{Extra, Ground, Indexed, Matter};
use crate::fingering::Style;
use crate::style::{
    Binding, BlankPages, ButtonLook, DirectionLook, Family, FingerLook, FingerOne, HeadShape, LeftLook, Orientation,
    TunePages,
};
use schemars::{JsonSchema, Schema, SchemaGenerator};
use serde::Deserialize;
use std::borrow::Cow;
use std::collections::BTreeMap;

/// A book: its words, its look, its chapters and tunes.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "a book")]
pub struct BookFile {
    /// Version of the format: 1.
    #[schemars(range(min = 1, max = 1))]
    #[expect(dead_code, reason = "the schema checks it")]
    pub book: u32,
    /// A short name that stays the same for ever; reprints are compared by it.
    pub id: Said<Slug>,
    /// The title.
    pub title: String,
    /// The subtitle.
    pub subtitle: Option<String>,
    /// The author.
    pub author: Option<String>,
    /// The date printed in the book: the only date it knows.
    pub date: Said<Date>,
    /// Which impression this is.
    #[schemars(range(min = 1, max = 999))]
    pub impression: Option<u32>,
    /// The language of generated text.
    pub language: Option<Said<Language>>,
    /// The learner's box: a built-in one or the path of a box file.
    #[serde(rename = "box")]
    pub instrument: String,
    /// One folder of tunes shared by several books.
    pub shelf: Option<Said<OrNone<RelativePath>>>,
    /// Publisher, ISBN, rights notice.
    pub imprint: Option<ImprintFile>,
    /// Paper, binding, where tunes open.
    pub page: Option<PageFile>,
    /// Sizes and families of text, size of the music.
    #[serde(rename = "type")]
    pub text: Option<TypeFile>,
    /// The row code and the marks.
    pub signs: Option<SignsFile>,
    /// How the tunes are played unless one says otherwise.
    pub playing: Option<PlayingFile>,
    /// What is printed with each tune beyond the learner's book.
    pub extras: Option<Vec<Said<Extra>>>,
    /// The parts before the chapters, in order.
    pub front: Option<Vec<Said<Matter>>>,
    /// The chapters, in order.
    pub chapters: Vec<ChapterFile>,
    /// The parts after the chapters, in order.
    pub back: Option<Vec<Said<Matter>>>,
    /// What the printer is to be given; used by `bind --for press`.
    pub press: Option<PressFile>,
    /// This book with some keys replaced, by name.
    #[expect(dead_code, reason = "editions are laid over the marked tree before it is read")]
    #[schemars(extend("propertyNames" = { "pattern": "^[a-z0-9-]{1,80}$" }))]
    pub editions: Option<BTreeMap<String, EditionFile>>,
}

/// The language of generated words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Language {
    /// British English: crotchet, minim.
    British,
    /// American English: quarter note, half note.
    American,
    /// French: noire, blanche.
    French,
}

impl crate::book::words::Choice for Language {
    const OF: &'static str = "language";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("en-GB", Self::British, "British English: crotchet, minim"),
        ("en-US", Self::American, "American English: quarter note, half note"),
        ("fr", Self::French, "French: noire, blanche"),
    ];
}

/// Who publishes.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`imprint`")]
pub struct ImprintFile {
    /// The publisher, or none.
    pub publisher: Option<String>,
    /// The ISBN, or none. An edition needs its own.
    pub isbn: Option<Said<OrNone<Isbn>>>,
    /// A rights notice: a `|` block of Markdown, or the path of a Markdown file.
    pub notice: Option<Said<OrNone<Prose>>>,
}

/// The page.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`page`")]
pub struct PageFile {
    /// The trimmed page: a name, or width and height.
    pub size: Option<Either<PageSize, [Said<Span>; 2]>>,
    /// How the page is turned.
    pub orientation: Option<Said<Orientation>>,
    /// How the book is bound; the inner margin follows.
    pub binding: Option<Said<Binding>>,
    /// Whether each tune opens a page.
    pub tunes: Option<Said<TunePages>>,
    /// What stands on pages among the tunes that the order leaves white.
    pub blanks: Option<Said<BlankPages>>,
}

/// Text and music sizes.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`type`")]
pub struct TypeFile {
    /// The size of running text.
    pub text: Option<Said<Span>>,
    /// The line step of running text; about 1.3 times its size unless given.
    pub leading: Option<Said<Span>>,
    /// The height of a staff, from the lowest line to the highest.
    pub staff: Option<Said<Span>>,
    /// The family of running text: serif, sans or legible.
    pub family: Option<Said<Face>>,
    /// The family of labels beside the music.
    pub labels: Option<Said<Family>>,
    /// Whether lines are justified.
    pub align: Option<Said<Align>>,
    /// Whether words may be divided.
    pub hyphens: Option<Said<Hyphens>>,
    /// How words are stressed.
    pub stress: Option<Said<Italics>>,
    /// The smallest size that anything may be set in, on the music too.
    pub smallest: Option<Said<Span>>,
    /// Room for note lengths along the line, against the normal.
    #[schemars(range(min = 0.5, max = 3))]
    pub spacing: Option<f64>,
    /// Thickness of staff lines, stems, barlines and slurs, against the normal.
    #[schemars(range(min = 0.5, max = 4))]
    pub lines: Option<f64>,
    /// Size of fingers, places and marks, against the normal.
    #[schemars(range(min = 0.5, max = 4))]
    pub marks: Option<f64>,
    /// Size of letters in the lanes (left hand, words, chord symbols), against the normal.
    #[schemars(range(min = 0.5, max = 4))]
    pub letters: Option<f64>,
    /// At most so many bars on a line.
    #[schemars(range(min = 1, max = 16))]
    pub most_bars: Option<u32>,
}

/// Which head codes which row.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`rows`")]
pub struct RowHeads {
    /// The outer row.
    pub outer: Option<Said<HeadShape>>,
    /// The inner row.
    pub inner: Option<Said<HeadShape>>,
    /// A half row.
    pub half: Option<Said<HeadShape>>,
}

/// How reversal and replay are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HoldBar;

impl crate::book::words::Choice for HoldBar {
    const OF: &'static str = "sounding";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("hold-bar", Self, "a bar under the staff: whole for a reversal, cut for a replay")];
}

/// Counting syllables.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Counting(pub bool);

/// Chord symbols.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ChordSymbols(pub bool);

/// Words to be sung.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SungWords(pub bool);

impl crate::book::words::Choice for Counting {
    const OF: &'static str = "counting";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("none", Self(false), "not shown"), ("below", Self(true), "counting syllables under the music")];
}

impl crate::book::words::Choice for ChordSymbols {
    const OF: &'static str = "chord-symbols";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("none", Self(false), "not shown"), ("above", Self(true), "chord symbols above the staff")];
}

impl crate::book::words::Choice for SungWords {
    const OF: &'static str = "sung-words";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("none", Self(false), "left off: the tunes without their verses"),
        ("below", Self(true), "words under their notes, further verses under the music"),
    ];
}

/// The row code and the marks: the author's choice; the key page follows it.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`signs`")]
pub struct SignsFile {
    /// Which notehead codes which row.
    pub rows: Option<RowHeads>,
    /// How reversal and replay are drawn, unless characters are given for them.
    #[expect(dead_code, reason = "the one word there is means what happens without it")]
    pub sounding: Option<Said<HoldBar>>,
    /// Characters under the second note of a reversal, instead of hold bars.
    pub reversal: Option<String>,
    /// Characters under the second note of a replay, instead of hold bars.
    pub replay: Option<String>,
    /// How the direction of the bellows is shown.
    pub direction: Option<Said<DirectionLook>>,
    /// Whether button numbers are shown.
    pub buttons: Option<Said<ButtonLook>>,
    /// Where fingers are shown.
    pub fingers: Option<Said<FingerLook>>,
    /// Which finger is number 1.
    pub finger_one: Option<Said<FingerOne>>,
    /// How the left hand is shown.
    pub left_hand: Option<Said<LeftLook>>,
    /// Whether counting syllables are shown.
    pub counting: Option<Said<Counting>>,
    /// Whether chord symbols are shown.
    pub chord_symbols: Option<Said<ChordSymbols>>,
    /// Whether words to be sung are shown.
    pub sung_words: Option<Said<SungWords>>,
}

/// Solver settings.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`playing`")]
pub struct PlayingFile {
    /// The style of playing.
    pub style: Option<Said<Style>>,
    /// A pair on one button is sounded by reversal when its first note is quicker than this, else by replay.
    pub reversal_under: Option<Said<Seconds>>,
    /// Single prices that replace the style's.
    pub weights: Option<WeightsFile>,
}

/// Prices of a plan: the higher, the more it is avoided.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`weights`")]
pub struct WeightsFile {
    /// A turn of the bellows.
    #[schemars(range(min = 0, max = 10_000))]
    pub turn: Option<u32>,
    /// A turn on a weak part of a quick run.
    #[schemars(range(min = 0, max = 10_000))]
    pub weak_turn: Option<u32>,
    /// A change of row.
    #[schemars(range(min = 0, max = 10_000))]
    pub row_change: Option<u32>,
    /// Staying on the row where crossing would save a turn.
    #[schemars(range(min = 0, max = 10_000))]
    pub row_stay: Option<u32>,
    /// A move of the hand.
    #[schemars(range(min = 0, max = 10_000))]
    pub place_shift: Option<u32>,
    /// The same finger on two buttons one after the other.
    #[schemars(range(min = 0, max = 10_000))]
    pub same_finger: Option<u32>,
    /// Another finger on the button just played.
    #[schemars(range(min = 0, max = 10_000))]
    pub finger_swap: Option<u32>,
    /// A stretch beyond one finger a button.
    #[schemars(range(min = 0, max = 10_000))]
    pub stretch: Option<u32>,
    /// The little finger on a long or stressed note.
    #[schemars(range(min = 0, max = 10_000))]
    pub little_finger: Option<u32>,
    /// A button far up at the chin.
    #[schemars(range(min = 0, max = 10_000))]
    pub chin_button: Option<u32>,
    /// A left-hand chord that can't be sounded.
    #[schemars(range(min = 0, max = 10_000))]
    pub missing_chord: Option<u32>,
    /// Air to be taken.
    #[schemars(range(min = 0, max = 10_000))]
    pub air_point: Option<u32>,
    /// Bellows that drift over a section.
    #[schemars(range(min = 0, max = 10_000))]
    pub drift: Option<u32>,
    /// A second played near an end of the bellows.
    #[schemars(range(min = 0, max = 10_000))]
    pub bellows_end: Option<u32>,
    /// A note taken otherwise than where its bar came before, or than the same pitch before it in the bar.
    #[schemars(range(min = 0, max = 10_000))]
    pub unlike: Option<u32>,
}

/// A chapter.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "a chapter")]
pub struct ChapterFile {
    /// The title.
    pub title: String,
    /// The text: the path of a Markdown file, or a `|` block of Markdown.
    pub text: Option<Said<OrNone<Prose>>>,
    /// The tunes, in order: paths of tune files.
    pub tunes: Option<Vec<Either<RelativePath, TuneLine>>>,
    /// What of its text goes into the index.
    pub index: Option<Vec<Said<Indexed>>>,
}

/// A tune of a chapter with settings of its own.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "a tune of a chapter")]
pub struct TuneLine {
    /// The path of the tune file.
    pub file: Said<RelativePath>,
    /// The style of playing for this tune.
    pub style: Option<Said<Style>>,
    /// Reversal or replay for this tune.
    pub reversal_under: Option<Said<Seconds>>,
    /// Prices for this tune.
    pub weights: Option<WeightsFile>,
}

/// Registered output conditions are free text; marks are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PrintMark {
    /// Where to cut.
    Crop,
    /// Where inks meet.
    Registration,
}

impl crate::book::words::Choice for PrintMark {
    const OF: &'static str = "printers-mark";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("crop", Self::Crop, "where to cut"), ("registration", Self::Registration, "where the inks meet")];
}

/// For the press.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`press`")]
pub struct PressFile {
    /// How far ink runs over the trimmed edge.
    pub bleed: Option<Said<Span>>,
    /// Printer's marks.
    pub marks: Option<Vec<Said<PrintMark>>>,
    /// The registered printing condition by its name.
    pub condition: Option<String>,
    /// The print shop's own output profile, an ICC file in the book's folder.
    pub profile: Option<Said<OrNone<RelativePath>>>,
    /// What is milled off the folds of sections that are glued, at most 5 mm.
    pub milling: Option<Said<Span>>,
    /// The paper.
    pub stock: Option<StockFile>,
    /// A cover of its own paper or board, as a file of its own; or none.
    pub cover: Option<Either<NoCover, CoverFile>>,
    /// A second ink by the printer's name, or none.
    pub spot: Option<Said<OrNone<SpotName>>>,
}

/// No cover of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoCover;

impl crate::book::words::Choice for NoCover {
    const OF: &'static str = "no-cover";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[("none", Self, "none of its own")];
}

/// The cover: its paper, and what stands on it beside the words of the title page.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`cover`")]
pub struct CoverFile {
    /// Grams a square metre.
    #[schemars(range(min = 30, max = 500))]
    pub grams: Option<f64>,
    /// Specific volume in cubic centimetres a gram.
    #[schemars(range(min = 0.5, max = 4))]
    pub bulk: Option<f64>,
    /// The registered printing condition of the cover, where it is another than the pages'.
    pub condition: Option<String>,
    /// What stands on the back: a `|` block of Markdown, or the path of a Markdown file.
    pub words: Option<Said<OrNone<Prose>>>,
    /// A picture for the front, in place of the drawing of the buttons.
    pub picture: Option<Said<OrNone<RelativePath>>>,
    /// How wide the spine is, and whether words stand on it.
    pub spine: Option<Said<SpineWish>>,
    /// What the cover is printed on.
    pub ground: Option<Said<Ground>>,
}

/// Paper.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
#[schemars(title = "`stock`")]
pub struct StockFile {
    /// Grams a square metre.
    #[schemars(range(min = 30, max = 500))]
    pub grams: Option<f64>,
    /// Specific volume in cubic centimetres a gram.
    #[schemars(range(min = 0.5, max = 4))]
    pub bulk: Option<f64>,
}

/// An edition: keys of the book that it replaces, merged key by key, and what it stands on. Laid over the marked tree before
/// that is read; here it is for the schema.
#[derive(Debug, Clone)]
pub struct EditionFile;

#[derive(JsonSchema)]
#[expect(dead_code, reason = "read from the marked tree; here for the schema")]
struct EditionKeys {
    /// What the edition starts from: `large-print`, `teacher`, `handout`, or another edition of this book.
    like: Option<String>,
    /// On another box: keep the sounding notes, or move them with the box.
    pitch: Option<Said<Pitching>>,
}

impl<'de> Deserialize<'de> for EditionFile {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        serde::de::IgnoredAny::deserialize(deserializer).map(|_| Self)
    }
}

impl JsonSchema for EditionFile {
    fn schema_name() -> Cow<'static, str> {
        "EditionFile".into()
    }
    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        let mut schema = EditionKeys::json_schema(generator);
        let book = BookFile::json_schema(generator);
        let own = schema.get("properties").and_then(|all| all.as_object()).cloned();
        let keys = book.get("properties").and_then(|all| all.as_object()).cloned();
        let mut all = own.unwrap_or_default();
        let never = ["book", "id", "editions"];
        all.extend(keys.into_iter().flatten().filter(|(key, _)| !never.contains(&key.as_str())));
        schema.insert("properties".into(), all.into());
        schema.insert("additionalProperties".into(), false.into());
        schema.insert("title".into(), "an edition".into());
        let what = "This book with some keys replaced, merged key by key.";
        schema.insert("description".into(), what.into());
        schema
    }
}
