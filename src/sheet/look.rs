//! What a sheet shows beside the pages: bleed, marks, slug.

use crate::geom::Abs;

/// What the press is to see around a page.
///
/// Distances are the common practice of print shops (no published standard): marks stand off the trim by the bleed, at
/// least 3 mm, and are 6 mm long (a Ghent Workgroup recommendation, read second-hand).
#[derive(Debug, Clone, PartialEq)]
pub struct PressLook {
    /// Bleed on all sides.
    pub bleed: Abs,
    /// Whether crop marks are drawn.
    pub crop_marks: bool,
    /// Whether registration marks are drawn.
    pub registration_marks: bool,
    /// Words in the margin outside the bleed, such as book, edition and date; the side's name is added. Empty for none.
    pub slug: String,
    /// Room around the trim for bleed, marks and slug; zero for reading, where the medium is the trimmed page.
    pub margin: Abs,
}

impl PressLook {
    /// For reading: the medium is the trimmed page.
    pub const fn reading() -> Self {
        Self { bleed: Abs::ZERO, crop_marks: false, registration_marks: false, slug: String::new(), margin: Abs::ZERO }
    }
    /// For the press: 3 mm of bleed, crop and registration marks, 10 mm on all sides for them.
    pub fn press(slug: impl Into<String>) -> Self {
        Self {
            bleed: Abs::mm(3.0),
            crop_marks: true,
            registration_marks: true,
            slug: slug.into(),
            margin: Abs::mm(10.0),
        }
    }
    /// Room around the trim: as asked, but never less than the bleed.
    pub fn room(&self) -> Abs {
        self.margin.max(self.bleed)
    }
}
