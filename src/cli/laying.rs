//! How a document is laid on sheets and what is asked of the file, from the command line and the book.

use super::args::{Bind, Impose, Purpose, Standard, Turn};
use crate::book::{Book, Colour};
use crate::font::Fonts;
use crate::geom::Abs;
use crate::page::Document;
use crate::pdf::{PdfOptions, PressStandard};
use crate::sheet::{Flip, Imposing, Job, PressLook, Scheme, Sheet, Stock, impose, job, plain, spine};
use clap::ValueEnum;

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
    pub fn of(arguments: &Bind) -> Self {
        Self {
            purpose: arguments.purpose,
            standard: arguments.standard.unwrap_or(Standard::X1a),
            impose: arguments.impose,
            turn: arguments.turn.unwrap_or(Turn::Short),
        }
    }
    /// The wishes as a file records them.
    pub fn record(&self) -> Vec<(String, String)> {
        fn word(key: &str, value: impl ValueEnum) -> Option<(String, String)> {
            value.to_possible_value().map(|value| (key.to_owned(), value.get_name().to_owned()))
        }
        let standard = (self.purpose == Purpose::Press).then(|| word("standard", self.standard)).flatten();
        let turn = (self.impose != Impose::None).then(|| word("turn", self.turn)).flatten();
        [word("for", self.purpose), standard, word("impose", self.impose), turn].into_iter().flatten().collect()
    }
    /// The wishes that a file recorded; those of a plain reading file where it says nothing.
    pub fn recorded(laying: &[(String, String)]) -> Self {
        fn read<T: ValueEnum>(laying: &[(String, String)], key: &str) -> Option<T> {
            laying.iter().find(|(known, _)| known == key).and_then(|(_, value)| T::from_str(value, false).ok())
        }
        Self {
            purpose: read(laying, "for").unwrap_or(Purpose::Reading),
            standard: read(laying, "standard").unwrap_or(Standard::X1a),
            impose: read(laying, "impose").unwrap_or(Impose::None),
            turn: read(laying, "turn").unwrap_or(Turn::Short),
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
    /// What a printer has to know.
    pub job: Job,
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
    let binding = book.page.binding;
    let spine = if wish.purpose == Purpose::Press {
        let back = spine(document.pages.len(), stock, None, binding);
        let mut notes = vec![format!("the spine is {:.1} mm", back.width.to_mm())];
        notes.extend(back.notes);
        notes
    } else {
        Vec::new()
    };
    let Some(scheme) = scheme(wish.impose) else {
        let sheets = plain(document, fonts, &look);
        let paper = match sheets.len() {
            1 => "1 sheet printed on one side".to_owned(),
            sides => counted(sides.div_ceil(2), "sheet printed on both sides", "sheets printed on both sides"),
        };
        let job = job(document, &sheets, None, binding, stock, None);
        return Laid { sheets, options, paper, orders: Vec::new(), spine, job };
    };
    let flip = match wish.turn {
        Turn::Short => Flip::ShortEdge,
        Turn::Long => Flip::LongEdge,
    };
    let caliper = if scheme.is_folded() { stock.caliper() } else { Abs::ZERO };
    let imposed = impose(document, fonts, &Imposing { scheme, flip, caliper, look });
    let paper = counted(imposed.papers, "sheet of paper", "sheets of paper");
    let job = job(document, &imposed.sheets, Some(&imposed), binding, stock, None);
    Laid { sheets: imposed.sheets, options, paper, orders: imposed.orders, spine, job }
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
        Standard::X4A2b => PressStandard::X4A2b,
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wishes_come_back_from_a_record() {
        let wish =
            Wish { purpose: Purpose::Press, standard: Standard::X4A2b, impose: Impose::FoldedEight, turn: Turn::Long };
        let again = Wish::recorded(&wish.record());
        assert_eq!(again.record(), wish.record());
        assert_eq!((again.impose, again.turn, again.standard), (wish.impose, wish.turn, wish.standard));
        let none = Wish::recorded(&[]);
        assert_eq!((none.purpose, none.impose), (Purpose::Reading, Impose::None));
    }
}
