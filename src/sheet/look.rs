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
    /// Words among the marks, such as the book's title, cut where they are too many; empty for no line of words at all.
    pub slug: String,
    /// What follows them and is never cut, such as edition and date; the side's name is added.
    pub slug_end: String,
    /// Whether a second ink is printed: marks then stand on its plate as well.
    pub second_ink: bool,
    /// Whether a printer is sent this, who may lay the pages on sheets himself.
    pub is_press: bool,
}

/// Length of a crop mark.
pub(super) const LENGTH: Abs = Abs::mm(6.0);
/// Least distance of a mark from the trim.
const OFFSET: Abs = Abs::mm(3.0);
/// From the far end of a mark to the edge of the medium.
const SLACK: Abs = Abs::mm(1.0);
/// Room around the trim for bleed, marks and slug, at the least.
const MARGIN: Abs = Abs::mm(10.0);

impl PressLook {
    /// For reading: the medium is the trimmed page.
    pub const fn reading() -> Self {
        Self {
            bleed: Abs::ZERO,
            crop_marks: false,
            registration_marks: false,
            slug: String::new(),
            slug_end: String::new(),
            second_ink: false,
            is_press: false,
        }
    }
    /// For the press: 3 mm of bleed, crop and registration marks, 10 mm on all sides for them.
    pub fn press(slug: impl Into<String>) -> Self {
        Self {
            bleed: Abs::mm(3.0),
            crop_marks: true,
            registration_marks: true,
            slug: slug.into(),
            slug_end: String::new(),
            second_ink: false,
            is_press: true,
        }
    }
    /// How far marks stand off the trim: by the bleed, at least 3 mm.
    pub fn offset(&self) -> Abs {
        self.bleed.max(OFFSET)
    }
    /// Whether anything stands outside the bleed: marks, and with them the slug. Services that print on demand want the page with
    /// its bleed and nothing round it, and measure the file by that (*common practice, no source*).
    pub const fn has_marks(&self) -> bool {
        self.crop_marks || self.registration_marks
    }
    /// Room around the trim: what the bleed and the marks outside it want, at least 10 mm; without marks the bleed alone.
    pub fn room(&self) -> Abs {
        if self.has_marks() { MARGIN.max(self.offset() + LENGTH + SLACK) } else { self.bleed }
    }
    /// The inks that a mark is drawn in: each that is printed, black last, so that it prints over the other. Every plate then
    /// has the marks, and none that was not promised has any, as it would by the colorant `All` (ISO 32000-1, 8.6.6.4).
    pub(super) const fn mark_inks(&self) -> &'static [Ink] {
        if self.second_ink { &[Ink::Second, Ink::Black] } else { &[Ink::Black] }
    }
}
