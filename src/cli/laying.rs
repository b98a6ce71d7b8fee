//! How a document is laid on sheets and what is asked of the file, from the command line and the book.

use super::args::{Bind, Impose, Purpose, Standard, Turn};
use crate::book::{Book, Colour};
use crate::font::Fonts;
use crate::geom::Abs;
use crate::page::Document;
use crate::pdf::{PdfOptions, PressStandard};
use crate::sheet::{Flip, Imposing, PressLook, Scheme, Sheet, Stock, impose, plain, spine};

/// What the command line asks.
#[derive(Debug, Clone, Copy)]
pub struct Wish {
    /// What the file is for.
    pub purpose: Purpose,
    /// The standard of a press file.
    pub standard: Standard,
    /// The scheme.
    pub impose: Impose,
    /// How the machine turns sheets.
    pub turn: Turn,
}

impl Wish {
    /// The wishes of a `bind`.
    pub const fn of(arguments: &Bind) -> Self {
        Self {
            purpose: arguments.purpose,
            standard: arguments.standard,
            impose: arguments.impose,
            turn: arguments.turn,
        }
    }
}

/// A document on sheets.
#[derive(Debug)]
pub struct Laid {
    /// The printed sides.
    pub sheets: Vec<Sheet>,
    /// What is asked of the file.
    pub options: PdfOptions,
    /// How much paper, in words.
    pub paper: String,
    /// How to print and fold, in words.
    pub orders: Vec<String>,
    /// What to know about the spine.
    pub spine: Vec<String>,
}

/// Whether sheets of a scheme hold pages of both ends of the book.
pub const fn is_nested(impose: Impose) -> bool {
    matches!(impose, Impose::Saddle | Impose::Sections | Impose::FoldedEight | Impose::FoldedSixteen)
}

const fn scheme(impose: Impose) -> Option<Scheme> {
    Some(match impose {
        Impose::None => return None,
        Impose::Saddle => Scheme::Saddle,
        Impose::Sections => Scheme::Sections { pages: 16 },
        Impose::FoldedEight => Scheme::FoldedEight,
        Impose::FoldedSixteen => Scheme::FoldedSixteen,
        Impose::TwoUp => Scheme::NUp { columns: 2, rows: 1 },
        Impose::FourUp => Scheme::NUp { columns: 2, rows: 2 },
        Impose::CutAndStack => Scheme::CutAndStack { columns: 2, rows: 1 },
    })
}

/// Lays a document on sheets.
pub fn lay(wish: &Wish, book: &Book, document: &Document, fonts: &Fonts) -> Laid {
    let (look, options) = look(wish, book);
    let stock = Stock { grams: book.press.stock.grams, bulk: book.press.stock.bulk };
    let spine = if wish.purpose == Purpose::Press {
        let back = spine(document.pages.len(), stock, None, book.page.binding);
        let mut notes = vec![format!("the spine is {:.1} mm", back.width.to_mm())];
        notes.extend(back.notes);
        notes
    } else {
        Vec::new()
    };
    let Some(scheme) = scheme(wish.impose) else {
        let sheets = plain(document, fonts, &look);
        let paper = counted(sheets.len().div_ceil(2), "sheet printed on both sides", "sheets printed on both sides");
        return Laid { sheets, options, paper, orders: Vec::new(), spine };
    };
    let flip = match wish.turn {
        Turn::Short => Flip::ShortEdge,
        Turn::Long => Flip::LongEdge,
    };
    let caliper = if scheme.is_folded() { stock.caliper() } else { Abs::ZERO };
    let imposed = impose(document, fonts, &Imposing { scheme, flip, caliper, look });
    let paper = counted(imposed.papers, "sheet of paper", "sheets of paper");
    Laid { sheets: imposed.sheets, options, paper, orders: imposed.orders, spine }
}

fn look(wish: &Wish, book: &Book) -> (PressLook, PdfOptions) {
    if wish.purpose == Purpose::Reading {
        return (PressLook::reading(), PdfOptions::reading());
    }
    let mut look = PressLook::press(slug(book));
    look.bleed = book.press.bleed;
    look.crop_marks = book.press.crop_marks;
    look.registration_marks = book.press.registration_marks;
    let standard = match wish.standard {
        Standard::X1a => PressStandard::X1a2003,
        Standard::X4 => PressStandard::X4,
        Standard::A2b => PressStandard::A2b,
    };
    let mut options = PdfOptions::press(standard, book.press.condition.clone());
    options.spot = match &book.press.spot {
        Colour::Spot(name) => Some(name.clone()),
        Colour::None => None,
    };
    (look, options)
}

/// Book, edition and date for the margin outside the bleed.
fn slug(book: &Book) -> String {
    let parts = [Some(book.title.as_str()), book.edition.as_deref(), Some(book.date.as_str())];
    parts.into_iter().flatten().collect::<Vec<_>>().join("  ")
}

/// A number with its noun.
pub fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}
