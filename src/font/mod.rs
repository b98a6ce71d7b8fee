//! Font files into metrics, glyph ids, shaped runs, outlines, and SMuFL names with their anchors.
//!
//! All faces are compiled in (folder `fonts/`, with their licences). Takes text and names, gives glyphs. Knows no layout.

mod embedded;
mod face;
mod kept;
mod music;
mod shape;

pub use face::{Face, FaceId, Metrics};
pub use kept::ShapedText;
pub use music::{Anchor, Defaults, MusicFont, MusicGlyph};
pub use shape::{Features, ShapedGlyph};

use crate::geom::{Em, Path, Quad, Rect};
use kept::Kept;
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
    /// The family, by the name of its folder's style: serif, sans, legible.
    pub family: TextFamily,
    /// The weight.
    pub weight: Weight,
    /// Whether italic.
    pub italic: bool,
    /// The optical cut.
    pub cut: Cut,
}

/// Families carried in `fonts/`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum TextFamily {
    /// Source Serif 4.
    Serif,
    /// Source Sans 3.
    Sans,
    /// Atkinson Hyperlegible Next.
    Legible,
}

/// All faces of a run.
#[derive(Debug)]
pub struct Fonts {
    faces: Vec<Face>,
    /// Short texts already shaped, by face.
    kept: Vec<Kept>,
    music: MusicFont,
}

impl Fonts {
    /// The faces compiled into the program.
    pub fn embedded() -> Self {
        let (faces, music) = embedded::load();
        let kept = faces.iter().map(|_| Kept::default()).collect();
        Self { faces, kept, music }
    }
    /// The face of a text choice.
    pub fn text(&self, choice: FaceChoice) -> FaceId {
        embedded::text_face(choice)
    }
    /// The music face.
    pub const fn music_face(&self) -> FaceId {
        embedded::MUSIC
    }
    /// The music font by SMuFL names.
    pub const fn music(&self) -> &MusicFont {
        &self.music
    }
    /// A face.
    pub fn face(&self, id: FaceId) -> &Face {
        &self.faces[usize::from(id.index())]
    }
    /// All faces with their ids.
    pub fn faces(&self) -> impl Iterator<Item = (FaceId, &Face)> {
        (0u16..).map(FaceId::from_index).zip(&self.faces)
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
