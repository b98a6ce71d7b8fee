//! Page sizes by name: ISO 216 for A and B sizes (B5 and B4 are ISO's, not JIS's), US letter, and 9 × 12 inches for concert size.

use super::words::Choice;
use crate::geom::{Abs, Size};

/// A page size by name.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PageSize {
    /// ISO A5.
    A5,
    /// ISO B5.
    B5,
    /// ISO A4.
    A4,
    /// ISO B4.
    B4,
    /// US letter.
    Letter,
    /// 9 × 12 inches.
    Concert,
}

impl Choice for PageSize {
    const OF: &'static str = "page-size";
    const ALL: &'static [(&'static str, Self, &'static str)] = &[
        ("a5", Self::A5, "ISO A5, 148 × 210 mm"),
        ("b5", Self::B5, "ISO B5, 176 × 250 mm"),
        ("a4", Self::A4, "ISO A4, 210 × 297 mm"),
        ("b4", Self::B4, "ISO B4, 250 × 353 mm"),
        ("letter", Self::Letter, "US letter, 8.5 × 11 in"),
        ("concert", Self::Concert, "concert size, 9 × 12 in"),
    ];
}

impl PageSize {
    /// Width and height, upright.
    pub fn size(self) -> Size {
        let mm = |width, height| Size::new(Abs::mm(width), Abs::mm(height));
        match self {
            Self::A5 => mm(148.0, 210.0),
            Self::B5 => mm(176.0, 250.0),
            Self::A4 => mm(210.0, 297.0),
            Self::B4 => mm(250.0, 353.0),
            Self::Letter => Size::new(Abs::inches(8.5), Abs::inches(11.0)),
            Self::Concert => Size::new(Abs::inches(9.0), Abs::inches(12.0)),
        }
    }
}
