//! Words of which the format knows all: takes the word, gives the choice; each with what it means, for the schema.

use super::Word;
use crate::book::{CommentaryPlace, Extra, Ground, Indexed, Kind, Matter, Preset};
use crate::fingering::{Air, Sound, Style};
use crate::instrument::{Direction, LeftKind, RowAt, Thirds};
use crate::style::{
    Binding, BlankPages, ButtonLook, DirectionLook, Family, FingerLook, FingerOne, HeadShape, LeftLook, Orientation,
    TunePages,
};
use schemars::{Schema, json_schema};

/// A choice between words.
pub trait Choice: Copy + 'static {
    /// What is chosen, kebab case.
    const OF: &'static str;
    /// Word, choice, meaning.
    const ALL: &'static [(&'static str, Self, &'static str)];
}

impl<T: Choice> Word for T {
    const NAME: &'static str = T::OF;
    const WHAT: &'static str = "one of the words listed";
    fn read(text: &str) -> Result<Self, String> {
        let found = T::ALL.iter().find(|(word, ..)| *word == text);
        found.map(|(_, choice, _)| *choice).ok_or_else(|| format!("`{text}` is not known here"))
    }
    fn schema() -> Schema {
        let words: Vec<Schema> =
            T::ALL.iter().map(|(word, _, meaning)| json_schema!({ "const": word, "description": meaning })).collect();
        json_schema!({ "oneOf": words })
    }
}

/// Whether lines of text are justified.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Both edges straight.
    Justified,
    /// Right edge ragged.
    Ragged,
}

/// Whether words may be divided at the end of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hyphens {
    /// Where a line would be too loose.
    Sparing,
    /// Never.
    None,
}

/// How words are stressed in running text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Italics {
    /// In italics.
    Italics,
    /// In semibold.
    Semibold,
}

/// What happens to the notes on another box.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Pitching {
    /// The same sounding notes.
    #[default]
    Keep,
    /// Moved with the box: the same buttons.
    WithBox,
}

impl Choice for Align {
    const OF: &'static str = "alignment";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("justified", Self::Justified, "both edges of the text are straight"),
        ("ragged", Self::Ragged, "the right edge is left ragged, all word spaces are equal"),
    ];
}

impl Choice for Hyphens {
    const OF: &'static str = "hyphens";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("sparing", Self::Sparing, "words are divided where a line would be too loose"),
        ("none", Self::None, "no word is divided"),
    ];
}

impl Choice for Italics {
    const OF: &'static str = "stress";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("italics", Self::Italics, "stress is set in italics"),
        ("semibold", Self::Semibold, "stress is set in semibold"),
    ];
}

impl Choice for Extra {
    const OF: &'static str = "extra";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("teacher-notes", Self::TeacherNotes, "the notes for the teacher, with each tune"),
        ("bellows-curves", Self::BellowsCurves, "how far the bellows are open, as a curve under the systems"),
        ("runners-up", Self::RunnersUp, "the next best fingering of each tune, and where it differs"),
        ("place-maps", Self::PlaceMaps, "a drawing of the buttons under the hand at each place"),
    ];
}

impl Choice for Ground {
    const OF: &'static str = "ground";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("paper", Self::Paper, "the cover's own paper"),
        ("spot", Self::Spot, "the second ink all over, with words left white"),
    ];
}

impl Choice for Indexed {
    const OF: &'static str = "indexed";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("headings", Self::Headings, "the headings of the text"),
        ("terms", Self::Terms, "what list items explain: the bold words, or the words as typed, before their colon"),
    ];
}

impl Choice for Pitching {
    const OF: &'static str = "pitching";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("keep", Self::Keep, "the notes sound as written, the buttons change with the box"),
        ("with-box", Self::WithBox, "the notes move with the box, the buttons stay the same"),
    ];
}

impl Choice for Binding {
    const OF: &'static str = "binding";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("saddle", Self::Saddle, "stapled through the fold"),
        ("perfect", Self::Perfect, "glued at the spine"),
        ("comb", Self::Comb, "plastic comb"),
        ("wire", Self::Wire, "wire loops"),
        ("ring", Self::Ring, "ring binder"),
        ("none", Self::None, "loose sheets"),
    ];
}

/// A binding as the author writes it.
pub fn binding_word(binding: Binding) -> &'static str {
    Binding::ALL.iter().find(|(_, known, _)| *known == binding).map_or("", |(word, ..)| word)
}

impl Choice for Orientation {
    const OF: &'static str = "orientation";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("portrait", Self::Portrait, "higher than wide"), ("landscape", Self::Landscape, "wider than high")];
}

impl Choice for TunePages {
    const OF: &'static str = "tune-pages";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("new-page", Self::NewPage, "each tune opens a page"), ("run-on", Self::RunOn, "tunes follow one another")];
}

impl Choice for BlankPages {
    const OF: &'static str = "blank-pages";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("white", Self::White, "nothing stands on them"), ("notes", Self::Notes, "they are ruled for notes")];
}

impl Choice for Family {
    const OF: &'static str = "family";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("serif", Self::Serif, "a book face with serifs"),
        ("sans", Self::Sans, "a face without serifs"),
        ("legible", Self::Legible, "a face made for readers with low vision"),
    ];
}

impl Choice for HeadShape {
    const OF: &'static str = "head";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("oval", Self::Oval, "the usual oval"),
        ("square", Self::Square, "a square"),
        ("triangle", Self::Triangle, "a triangle, point up"),
        ("diamond", Self::Diamond, "a diamond"),
        ("cross", Self::Cross, "an oval with a cross"),
    ];
}

impl Choice for DirectionLook {
    const OF: &'static str = "direction-sign";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("band", Self::Band, "a band above the staff, filled over the pull"),
        ("arrows", Self::Arrows, "an arrow where the bellows turn"),
        ("words", Self::Words, "push and pull in words where the bellows turn"),
        ("none", Self::None, "not shown"),
    ];
}

impl Choice for ButtonLook {
    const OF: &'static str = "button-sign";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("none", Self::None, "not shown"), ("below", Self::Below, "button numbers below the staff")];
}

impl Choice for FingerLook {
    const OF: &'static str = "finger-sign";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("none", Self::None, "not shown"), ("above", Self::Above, "fingers above the staff")];
}

impl Choice for FingerOne {
    const OF: &'static str = "finger-one";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("index", Self::Index, "the index finger is 1"),
        ("thumb", Self::Thumb, "the thumb is 1, the index finger 2"),
    ];
}

impl Choice for LeftLook {
    const OF: &'static str = "left-hand-sign";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("two-lines", Self::TwoLines, "chords on a line over basses"),
        ("one-line", Self::OneLine, "basses and chords on one line"),
        ("none", Self::None, "not shown"),
    ];
}

impl Choice for Style {
    const OF: &'static str = "playing-style";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("along", Self::Along, "stay on the row; the bellows give the rhythm"),
        ("smooth", Self::Smooth, "cross the rows for few turns of the bellows"),
        ("easy", Self::Easy, "small span, slow changes"),
    ];
}

impl Choice for Matter {
    const OF: &'static str = "part-of-the-book";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("half-title", Self::HalfTitle, "the title alone on a page"),
        ("title", Self::Title, "the title page"),
        ("imprint", Self::Imprint, "publisher, rights of all tunes, fonts"),
        ("contents", Self::Contents, "contents with page numbers"),
        ("my-box", Self::MyBox, "the learner's box, drawn"),
        ("key", Self::Key, "the signs that the book uses"),
        ("holding", Self::Holding, "holding the box in comfort, with the usual cautions"),
        ("how-to", Self::HowTo, "how this book works"),
        ("measure", Self::Measure, "measuring one's own bellows"),
        ("chord-chart", Self::ChordChart, "chords of the left hand with their directions"),
        ("scales", Self::Scales, "scales and arpeggios of the box"),
        ("tempo-ladder", Self::TempoLadder, "the practice steps of all tunes"),
        ("practice-log", Self::PracticeLog, "a log to fill in"),
        ("staves", Self::Staves, "ruled staves to write on"),
        ("glossary", Self::Glossary, "the terms used"),
        ("index", Self::Index, "tunes, first lines, keys, metres, levels"),
        ("sources", Self::Sources, "sources and rights"),
        ("corrections", Self::Corrections, "a slip for corrections"),
        ("back-cover", Self::BackCover, "the back cover with ISBN and bars"),
    ];
}

impl Choice for Kind {
    const OF: &'static str = "kind";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("tune", Self::Tune, "a tune"), ("exercise", Self::Exercise, "an exercise")];
}

impl Choice for CommentaryPlace {
    const OF: &'static str = "commentary-place";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("after", Self::After, "after the music"), ("between", Self::Between, "after the system that ends its bars")];
}

impl Choice for Preset {
    const OF: &'static str = "preset";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("large-print", Self::LargePrint, "laid out afresh for readers with low vision"),
        ("teacher", Self::Teacher, "with notes, bellows curves and runners-up for the teacher"),
        ("handout", Self::Handout, "the tunes alone, one after the other, without the texts of the chapters"),
    ];
}

impl Choice for Direction {
    const OF: &'static str = "direction";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("push", Self::Push, "the bellows close"), ("pull", Self::Pull, "the bellows open")];
}

impl Choice for RowAt {
    const OF: &'static str = "row";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("outer", Self::Outer, "the row furthest from the bellows"),
        ("inner", Self::Inner, "the row next to it"),
        ("half", Self::Half, "the half row nearest the bellows"),
    ];
}

impl Choice for LeftKind {
    const OF: &'static str = "left-button";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("bass", Self::Bass, "a bass button"), ("chord", Self::Chord, "a chord button")];
}

impl Choice for Thirds {
    const OF: &'static str = "thirds";
    const ALL: &'static [(&'static str, Self, &'static str)] =
        &[("in", Self::In, "chords sound their thirds"), ("out", Self::Out, "chords are roots and fifths only")];
}

impl Choice for Air {
    const OF: &'static str = "air";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("open", Self::Open, "air in: the bellows open without sound"),
        ("close", Self::Close, "air out: they close without sound"),
    ];
}

impl Choice for Sound {
    const OF: &'static str = "sound";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("reversal", Self::Reversal, "the button is held while the bellows turn"),
        ("replay", Self::Replay, "the button is lifted and pressed again after a turn"),
    ];
}
