//! What a sheet shows beside the pages: bleed, marks, slug.

use crate::frame::Ink;
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
    /// Whether a second ink is printed: marks then stand on its plate as well.
    pub second_ink: bool,
    /// Room around the trim for bleed, marks and slug, at the least; zero for reading, where the medium is the trimmed page.
    pub margin: Abs,
}

/// Length of a crop mark.
pub(super) const LENGTH: Abs = Abs::mm(6.0);
/// Least distance of a mark from the trim.
const OFFSET: Abs = Abs::mm(3.0);
/// From the far end of a mark to the edge of the medium.
const SLACK: Abs = Abs::mm(1.0);

impl PressLook {
    /// For reading: the medium is the trimmed page.
    pub const fn reading() -> Self {
        Self {
            bleed: Abs::ZERO,
            crop_marks: false,
            registration_marks: false,
            slug: String::new(),
            second_ink: false,
            margin: Abs::ZERO,
        }
    }
    /// For the press: 3 mm of bleed, crop and registration marks, 10 mm on all sides for them.
    pub fn press(slug: impl Into<String>) -> Self {
        Self {
            bleed: Abs::mm(3.0),
            crop_marks: true,
            registration_marks: true,
            slug: slug.into(),
            second_ink: false,
            margin: Abs::mm(10.0),
        }
    }
    /// How far marks stand off the trim: by the bleed, at least 3 mm.
    pub fn offset(&self) -> Abs {
        self.bleed.max(OFFSET)
    }
    /// Room around the trim: as asked, but never less than the bleed and the marks outside it want.
    pub fn room(&self) -> Abs {
        if self.margin == Abs::ZERO { self.bleed } else { self.margin.max(self.offset() + LENGTH + SLACK) }
    }
    /// The inks that a mark is drawn in: each that is printed, black last, so that it prints over the other. Every plate then
    /// has the marks, and none that was not promised has any, as it would by the colorant `All` (ISO 32000-1, 8.6.6.4).
    pub(super) const fn mark_inks(&self) -> &'static [Ink] {
        if self.second_ink { &[Ink::Second, Ink::Black] } else { &[Ink::Black] }
    }
}
