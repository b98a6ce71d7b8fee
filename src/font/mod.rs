//! Font files into metrics, glyph ids, shaped runs, outlines, and SMuFL names with their anchors.
//!
//! The usual faces are compiled in (folder `fonts/`, with their licences); a book may bring faces of its own. Takes text and
//! names, gives glyphs. Knows no layout.

mod bounds;
mod embedded;
mod face;
mod features;
mod kept;
mod music;
mod own;
mod program;
mod shape;

pub use face::{Face, FaceId, Metrics};
pub use features::Features;
pub use kept::ShapedText;
pub use music::{Anchor, Defaults, MusicFont, MusicGlyph};
pub use program::Program;
pub use shape::ShapedGlyph;

use crate::diag::{Place, Sink};
use crate::geom::{Em, Path, Quad, Rect};
use kept::Kept;
use own::Own;
use std::sync::Arc;

/// Weight of a text face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Weight {
    /// Regular.
    Regular,
    /// Semibold.
    Semibold,
    /// Bold.
    Bold,
}

/// Cut of a serif face for a size on the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Cut {
    /// For small sizes.
    SmallText,
    /// For running text.
    Text,
    /// For titles.
    Display,
}

/// A text face by what it looks like. Where a family lacks a cut, the nearest one is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FaceChoice {
    /// The family.
    pub family: TextFamily,
    /// The weight.
    pub weight: Weight,
    /// Whether italic.
    pub italic: bool,
    /// The optical cut.
    pub cut: Cut,
}

/// Families carried in `fonts/`, and the one that a book brings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TextFamily {
    /// Source Serif 4.
    Serif,
    /// Source Sans 3.
    Sans,
    /// Atkinson Hyperlegible Next.
    Legible,
    /// Source Code Pro, all characters of one width.
    Mono,
    /// The faces of the book's own folder; the serif where it has none.
    Own,
}

/// All faces of a run.
#[derive(Debug, Clone)]
pub struct Fonts {
    faces: Vec<Arc<Face>>,
    /// Short texts already shaped, by face.
    kept: Vec<Arc<Kept>>,
    music: Arc<MusicFont>,
    own: Option<Own>,
}

impl Fonts {
    /// The faces compiled into the program.
    pub fn embedded() -> Self {
        let (faces, music) = embedded::load();
        let kept = faces.iter().map(|_| Arc::default()).collect();
        Self { faces, kept, music: Arc::new(music), own: None }
    }
    /// The same faces, and those that a book brings: names and bytes of font files. What can't be used is complained of at the
    /// place where the folder is named, as an error.
    #[must_use]
    pub fn with_own(&self, files: &[(String, Vec<u8>)], place: Option<Place>, sink: &mut Sink) -> Self {
        let mut all = self.clone();
        let own = Own::read(files, all.faces.len(), place, sink);
        if let Some((own, faces)) = own {
            all.kept.extend(faces.iter().map(|_| Arc::default()));
            all.faces.extend(faces.into_iter().map(Arc::new));
            all.own = Some(own);
        }
        all
    }
    /// The face of a text choice.
    pub fn text(&self, choice: FaceChoice) -> FaceId {
        match &self.own {
            Some(own) if choice.family == TextFamily::Own => own.face(choice.weight, choice.italic),
            _ => embedded::text_face(choice),
        }
    }
    /// The face of a text choice if it has all characters of some words; the serif's for words that the book's own faces lack.
    pub fn text_for(&self, choice: FaceChoice, words: &str) -> FaceId {
        let face = self.text(choice);
        if choice.family == TextFamily::Own && !words.chars().all(|c| self.face(face).glyph(c).is_some()) {
            return embedded::text_face(choice);
        }
        face
    }
    /// The faces that the book brings, each with the name of its file.
    pub fn own_files(&self) -> impl Iterator<Item = (FaceId, &str)> {
        self.own.iter().flat_map(Own::files)
    }
    /// The name of a family, for the credits.
    pub fn family_name(&self, family: TextFamily) -> &str {
        match (family, &self.own) {
            (TextFamily::Own, Some(own)) => own.name(),
            (TextFamily::Serif | TextFamily::Own, _) => "Source Serif 4",
            (TextFamily::Sans, _) => "Source Sans 3",
            (TextFamily::Legible, _) => "Atkinson Hyperlegible Next",
            (TextFamily::Mono, _) => "Source Code Pro",
        }
    }
    /// The music face.
    pub const fn music_face(&self) -> FaceId {
        embedded::MUSIC
    }
    /// The music font by SMuFL names.
    pub fn music(&self) -> &MusicFont {
        &self.music
    }
    /// A face.
    pub fn face(&self, id: FaceId) -> &Face {
        &self.faces[usize::from(id.index())]
    }
    /// All faces with their ids.
    pub fn faces(&self) -> impl Iterator<Item = (FaceId, &Face)> {
        (0u16..).map(FaceId::from_index).zip(self.faces.iter().map(|face| &**face))
    }
    /// Shapes one line of text in one face: kerning and ligatures on; glyphs in visual order.
    pub fn shape(&self, id: FaceId, text: &str, features: Features) -> Vec<ShapedGlyph> {
        shape::shape(self.face(id), text, features)
    }
    /// A text in one face with its width and ink, shaped once a run if it is short: for labels, which come again and again.
    pub fn shaped(&self, id: FaceId, text: &str) -> Arc<ShapedText> {
        self.kept[usize::from(id.index())].shaped(self.face(id), text)
    }
    /// The advance width of a text in a face, in ems.
    pub fn width(&self, id: FaceId, text: &str, features: Features) -> Em {
        self.shape(id, text, features).iter().map(|glyph| glyph.advance).sum()
    }
    /// The outline of a glyph in ems, y upwards; empty for blanks.
    pub fn outline(&self, id: FaceId, glyph: u16) -> Path<Quad> {
        self.face(id).outline(glyph)
    }
    /// The box of a glyph's ink in ems, y upwards; `None` for blanks.
    pub fn ink(&self, id: FaceId, glyph: u16) -> Option<Rect<Quad>> {
        self.face(id).ink(glyph)
    }
}
