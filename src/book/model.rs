//! A book as the later rooms see it: checked, one edition, all its files read.

use crate::diag::{Excerpt, FileId, Place};
use crate::drawing;
use crate::fingering::{Request, Weights};
use crate::geom::Abs;
use crate::instrument::Instrument;
use crate::style::{EngravingStyle, PageStyle, TextStyle};
use crate::tune::{Fraction, Tune};
use std::sync::Arc;

/// A generated part of the front or back of a book.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Matter {
    /// Half-title.
    HalfTitle,
    /// Title page.
    Title,
    /// Imprint.
    Imprint,
    /// Contents.
    Contents,
    /// The learner's box.
    MyBox,
    /// Key to the signs used.
    Key,
    /// Holding and comfort, with the usual cautions.
    Holding,
    /// How this book works.
    HowTo,
    /// Measuring one's own bellows.
    Measure,
    /// Chords with their directions.
    ChordChart,
    /// Scales and arpeggios.
    Scales,
    /// Tempo ladder of all tunes.
    TempoLadder,
    /// Practice log.
    PracticeLog,
    /// Ruled staves to write on.
    Staves,
    /// Glossary.
    Glossary,
    /// Index of tunes, first lines, keys, metres and levels.
    Index,
    /// Sources and rights.
    Sources,
    /// Correction slip.
    Corrections,
    /// Back cover.
    BackCover,
}

/// Who publishes, and under which number.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Imprint {
    /// Publisher.
    pub publisher: Option<String>,
    /// ISBN, thirteen digits with or without hyphens.
    pub isbn: Option<String>,
    /// A rights notice in Markdown.
    pub notice: Option<Excerpt>,
}

/// A second ink for the press.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Colour {
    /// Black only.
    None,
    /// A spot colour by name.
    Spot(String),
}

/// Paper for spine and creep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stock {
    /// Grams a square metre.
    pub grams: f64,
    /// Specific volume in cubic centimetres a gram.
    pub bulk: f64,
}

/// An output profile as a print shop has sent it; nobody has looked into it yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShopProfile {
    /// Its path as written.
    pub path: String,
    /// Where the book names it.
    pub place: Place,
    /// The file.
    pub bytes: Arc<[u8]>,
}

/// What a cover is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub enum Ground {
    /// Its paper.
    #[default]
    Paper,
    /// The second ink all over, with words left white.
    Spot,
}

/// A cover as a file of its own.
#[derive(Debug, Clone, PartialEq)]
pub struct Cover {
    /// Its paper or board.
    pub stock: Stock,
    /// The registered output condition by name, where it is another than the pages'.
    pub condition: Option<String>,
    /// What stands on the back, in Markdown.
    pub words: Option<Excerpt>,
    /// The path of a picture for the front, among the book's pictures, and where it is named.
    pub picture: Option<(String, Place)>,
    /// The spine's width as the printer gives it; reckoned where he does not.
    pub spine: Option<Abs>,
    /// Whether words stand on the spine where they have room.
    pub spine_words: bool,
    /// What it is printed on.
    pub ground: Ground,
    /// Where it is named.
    pub place: Place,
}

/// What the press is to be given.
#[derive(Debug, Clone, PartialEq)]
pub struct Press {
    /// Bleed on all sides.
    pub bleed: Abs,
    /// Whether crop marks are wanted.
    pub crop_marks: bool,
    /// Whether registration marks are wanted.
    pub registration_marks: bool,
    /// What is milled off the folds of sections that are glued; zero where they are sewn.
    pub milling: Abs,
    /// The output condition by name, if the author names one.
    pub condition: Option<String>,
    /// Whether that name is known to stand in the ICC's registry.
    pub is_registered: bool,
    /// The print shop's own output profile, if it has sent one.
    pub profile: Option<ShopProfile>,
    /// The paper.
    pub stock: Stock,
    /// A cover of its own paper or board, if it has one.
    pub cover: Option<Cover>,
    /// The second ink.
    pub spot: Colour,
}

/// How the tunes are played unless one says otherwise.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Playing {
    /// Style and prices.
    pub weights: Weights,
    /// Seconds under which a pair on one button is sounded by reversal.
    pub reversal_under: Fraction,
}

/// A set of values an edition starts from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Preset {
    /// Laid out afresh for readers with low vision.
    LargePrint,
    /// With notes, curves and runners-up for the teacher.
    Teacher,
    /// One tune in the fewest pages.
    Handout,
}

/// What an edition prints beyond the learner's book.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Extra {
    /// The teacher's notes.
    TeacherNotes,
    /// A curve of the bellows under the systems.
    BellowsCurves,
    /// The next best plan of each tune.
    RunnersUp,
    /// A drawing of each place of the hand.
    PlaceMaps,
}

/// Tune or exercise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// A tune.
    Tune,
    /// An exercise.
    Exercise,
}

/// Where commentary stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum CommentaryPlace {
    /// After the music.
    After,
    /// After the system that ends its bars.
    Between,
}

/// A tune as the book uses it: read, transposed, its pins checked for this box.
#[derive(Debug, Clone, PartialEq)]
pub struct TuneEntry {
    /// The author's short name.
    pub id: String,
    /// The title.
    pub title: String,
    /// Tune or exercise.
    pub kind: Kind,
    /// The composer, or `trad.` where the author says so.
    pub composer: Option<String>,
    /// The arranger.
    pub arranger: Option<String>,
    /// The source.
    pub source: Option<String>,
    /// The rights statement.
    pub rights: Option<String>,
    /// Level, from 1.
    pub level: Option<u8>,
    /// What it teaches.
    pub teaches: Vec<String>,
    /// The music.
    pub tune: Tune,
    /// By how many semitones its file's `transpose` has moved it.
    pub transposed: i32,
    /// What is asked of the solver.
    pub request: Request,
    /// Commentary in Markdown with facts in braces.
    pub commentary: Option<Excerpt>,
    /// Where it stands.
    pub commentary_place: CommentaryPlace,
    /// Notes for the teacher, Markdown.
    pub teacher_notes: Option<Excerpt>,
    /// A link printed as a QR code.
    pub link: Option<String>,
    /// Steps of the tempo ladder in per cent of the tempo.
    pub practice: Vec<u32>,
    /// The tune's own file.
    pub file: FileId,
    /// Where the title stands, for complaints about the tune as a whole.
    pub place: Place,
    /// Where it is said what it teaches.
    pub teaches_place: Place,
    /// Where the short name stands.
    pub id_place: Place,
}

/// A chapter.
#[derive(Debug, Clone, PartialEq)]
pub struct Chapter {
    /// Its title.
    pub title: String,
    /// Its text in Markdown.
    pub text: Option<Excerpt>,
    /// Its tunes in order.
    pub tunes: Vec<TuneEntry>,
    /// What of its text goes into the index.
    pub index: Vec<Indexed>,
    /// Where its title stands.
    pub place: Place,
}

/// What of a text an index lists.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Indexed {
    /// Headings.
    Headings,
    /// What list items explain.
    Terms,
}

/// Where words and parts of a book are named, for complaints about how they are set.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Places {
    /// The title.
    pub title: Option<Place>,
    /// The subtitle.
    pub subtitle: Option<Place>,
    /// The author.
    pub author: Option<Place>,
    /// Each part of the front matter.
    pub front: Vec<Place>,
    /// Each part of the back matter.
    pub back: Vec<Place>,
    /// The name that the author's own box gives itself; `None` for built-in boxes.
    pub box_name: Option<Place>,
    /// The author's own sign of a reversal.
    pub reversal: Option<Place>,
    /// The author's own sign of a replay.
    pub replay: Option<Place>,
}

/// One edition of a book.
#[derive(Debug, Clone, PartialEq)]
pub struct Book {
    /// Stays the same for ever.
    pub id: String,
    /// Title.
    pub title: String,
    /// Subtitle.
    pub subtitle: Option<String>,
    /// Author.
    pub author: Option<String>,
    /// Date as `YYYY-MM-DD`.
    pub date: String,
    /// Impression.
    pub impression: u32,
    /// Language tag of generated text.
    pub language: String,
    /// The name of this edition; `None` for the book itself.
    pub edition: Option<String>,
    /// The presets that this edition stands on, the outermost last.
    pub presets: Vec<Preset>,
    /// All edition names of the book, in the file's order.
    pub editions: Vec<String>,
    /// The learner's box.
    pub instrument: Instrument,
    /// Publisher, ISBN, notice.
    pub imprint: Imprint,
    /// Paper and margins.
    pub page: PageStyle,
    /// Text.
    pub text: TextStyle,
    /// Music.
    pub engraving: EngravingStyle,
    /// Playing.
    pub playing: Playing,
    /// What is printed with each tune beyond the learner's book.
    pub extras: Vec<Extra>,
    /// The ids of all its tunes, which links may name; they stay when a handout leaves the tunes out.
    pub ids: Vec<String>,
    /// Front matter in order.
    pub front: Vec<Matter>,
    /// Chapters in order.
    pub chapters: Vec<Chapter>,
    /// Back matter in order.
    pub back: Vec<Matter>,
    /// Where these are written.
    pub places: Places,
    /// For the press.
    pub press: Press,
    /// The fonts of the book's own folder, if it names one.
    pub fonts: Option<OwnFonts>,
    /// Pictures named by chapters and commentary, by path as written.
    pub pictures: Vec<(String, Picture)>,
}

/// A picture that a text names.
#[derive(Debug, Clone, PartialEq)]
pub enum Picture {
    /// The bytes of a file that is to be decoded.
    Pixels(Vec<u8>),
    /// A drawing; none where it could not be read, which has been complained of.
    Drawing(Option<drawing::Picture>),
}

/// Fonts that a book brings.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnFonts {
    /// Where the folder is named.
    pub place: Place,
    /// Name and bytes of each file, in the order of names.
    pub files: Vec<(String, Vec<u8>)>,
}

impl Book {
    /// Whether the edition stands on a preset.
    pub fn has(&self, preset: Preset) -> bool {
        self.presets.contains(&preset)
    }
    /// Whether something is printed beyond the learner's book.
    pub fn shows(&self, extra: Extra) -> bool {
        self.extras.contains(&extra)
    }
    /// Lets go of the tunes and their texts: once pages are made nobody asks for them, and they are most of what a book holds.
    pub fn release_tunes(&mut self) {
        for chapter in &mut self.chapters {
            chapter.tunes = Vec::new();
        }
    }
    /// All tunes in order.
    pub fn tunes(&self) -> impl Iterator<Item = &TuneEntry> {
        self.chapters.iter().flat_map(|chapter| &chapter.tunes)
    }
}
