//! How a document is laid on sheets and what is asked of the file, from the command line and the book.

use super::args::{Bind, Impose, Purpose, Standard, Turn};
use crate::book::{Book, Colour, Matter, binding_word, is_small};
use crate::diag::Sink;
use crate::font::Fonts;
use crate::geom::Abs;
use crate::page::{Document, Identity, SheetKind};
use crate::pdf::{OutputProfile, PdfOptions, PressStandard};
use crate::sheet::{
    Board, Creep, Flip, Imposed, Imposing, Job, JobOf, PressLook, Scheme, Sheet, Stock, Wrapped, Wrapping, impose, job,
    plain_in, wrap,
};
use crate::style::Binding;
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
    /// Leaves the back cover out of the pages where the cover is a file of its own.
    pub fn leave_cover(&self, document: &mut Document) {
        if self.purpose == Purpose::Press && document.cover.is_some() {
            document.leave_back_cover();
        }
    }
    /// The wishes as a file records them.
    pub fn record(&self) -> Vec<(String, String)> {
        let entry = |key: &str, value: Option<String>| Some((key.to_owned(), value?));
        let standard = (self.purpose == Purpose::Press).then(|| entry("standard", word(self.standard))).flatten();
        let turn = (self.impose != Impose::None).then(|| entry("turn", word(self.turn))).flatten();
        let (purpose, impose) = (entry("for", word(self.purpose)), entry("impose", word(self.impose)));
        [purpose, standard, impose, turn].into_iter().flatten().collect()
    }
    /// What sets a file apart from the reading copy of the whole book, as words of its name: the one tune, the press, its standard
    /// where it is not the usual one, the imposition. Files of two kinds never have one name, so that neither takes the other's
    /// place.
    pub fn kind(&self, only: Option<&str>) -> Vec<String> {
        let is_press = self.purpose == Purpose::Press;
        let press = is_press.then(|| "press".to_owned());
        let standard = (is_press && self.standard != Standard::X1a).then(|| word(self.standard)).flatten();
        let imposed = (self.impose != Impose::None).then(|| word(self.impose)).flatten();
        [only.map(str::to_owned), press, standard, imposed].into_iter().flatten().collect()
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

/// A choice as it is typed.
fn word(value: impl ValueEnum) -> Option<String> {
    value.to_possible_value().map(|value| value.get_name().to_owned())
}

/// A document on sheets.
#[derive(Debug)]
pub struct Laid {
    /// The printed sides.
    pub sheets: Vec<Sheet>,
    /// What is asked of the file.
    pub options: PdfOptions,
    /// How to print and fold, in words.
    pub orders: Vec<String>,
    /// What a printer has to know.
    pub job: Job,
    /// The cover, where it is a file of its own.
    pub cover: Option<CoverLaid>,
}

/// A cover on its sheets.
#[derive(Debug)]
pub struct CoverLaid {
    /// Its parts and sides.
    pub wrapped: Wrapped,
    /// What is asked of its file.
    pub options: PdfOptions,
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

/// The printing condition of a book that names none: wood-free uncoated paper.
const CONDITION: &str = "FOGRA52";

/// Lays a document on sheets; complains of wishes that do not go together.
pub fn lay(wish: &Wish, book: &Book, document: &Document, fonts: &Fonts, sink: &mut Sink) -> Laid {
    let (look, options) = look(wish, book, sink);
    complain(wish, book, sink);
    complain_of_cover(wish, book, document, sink);
    let paper = |stock: crate::book::Stock| Stock { grams: stock.grams, bulk: stock.bulk };
    let stock = paper(book.press.stock);
    let cover = book.press.cover.as_ref().map(|cover| Board { stock: paper(cover.stock), spine: cover.spine });
    let binding = book.page.binding;
    // Only for the press is the cover a sheet of its own; else it is pages of these sheets.
    let creep = Creep::of(stock, cover.filter(|_| wish.purpose == Purpose::Press));
    let job_of = |sheets: &[Sheet], imposed: Option<&Imposed>| {
        let isbn = book.imprint.isbn.as_deref();
        job(JobOf { document, sheets, imposed, look: &look, binding, stock, cover, creep, isbn })
    };
    let Some(scheme) = scheme(wish.impose) else {
        let sheets = plain_in(document, fonts, &look, multiple(wish.purpose, binding));
        let job = job_of(&sheets, None);
        let cover = covered(wish, book, document, &job, (&look, &options), fonts);
        return Laid { sheets, options, orders: Vec::new(), job, cover };
    };
    let flip = match wish.turn {
        Turn::Short => Flip::ShortEdge,
        Turn::Long => Flip::LongEdge,
    };
    // At a kitchen table sections are sewn; it is a bindery that mills and glues them.
    let is_milled = wish.purpose == Purpose::Press && binding == Binding::Perfect;
    let milling = if is_milled { book.press.milling } else { Abs::ZERO };
    let imposed = impose(document, fonts, &Imposing { scheme, flip, creep, milling, look: look.clone() });
    complain_of_staff(wish, book, document, imposed.scale(), sink);
    let job = job_of(&imposed.sheets, Some(&imposed));
    let cover = covered(wish, book, document, &job, (&look, &options), fonts);
    Laid { sheets: imposed.sheets, options, orders: imposed.orders, job, cover }
}

/// The cover of a book for the press, whatever the pages are laid on.
fn covered(
    wish: &Wish,
    book: &Book,
    document: &Document,
    job: &Job,
    (look, options): (&PressLook, &PdfOptions),
    fonts: &Fonts,
) -> Option<CoverLaid> {
    let (cover, wanted) = document.cover.as_ref().zip(book.press.cover.as_ref())?;
    if wish.purpose != Purpose::Press {
        return None;
    }
    let identity = leaflet_of(&document.identity, "cover");
    let of = Wrapping { cover, identity, binding: book.page.binding, spine: job.spine_width, look };
    let mut options = options.clone();
    if let Some(condition) = &wanted.condition {
        // The shop's profile is of the pages' paper.
        options = PdfOptions { condition: condition.clone(), is_registered: true, profile: None, ..options };
    }
    Some(CoverLaid { wrapped: wrap(&of, fonts), options })
}

/// What goes with a book is no book: nothing can be compared with it by mistake.
pub fn leaflet_of(book: &Identity, kind: &str) -> Identity {
    Identity { book: format!("{} {kind}", book.book), title: format!("{}: {kind}", book.title), ..book.clone() }
}

/// Warns where the book and the command line want different things of a printer.
fn complain(wish: &Wish, book: &Book, sink: &mut Sink) {
    let binding = book.page.binding;
    let (fits, hint): (&[Binding], &str) = match wish.impose {
        Impose::None | Impose::TwoUp | Impose::FourUp => (&[], ""),
        Impose::Saddle => (&[Binding::Saddle], "`page: {binding: saddle}`, or for this binding no `--impose`"),
        Impose::Sections | Impose::FoldedEight | Impose::FoldedSixteen => {
            (&[Binding::Perfect], "`page: {binding: perfect}`, or for staples `--impose saddle`")
        }
        Impose::CutAndStack => (
            &[Binding::Perfect, Binding::Comb, Binding::Wire, Binding::Ring, Binding::None],
            "a binding of single leaves, or for staples `--impose saddle`",
        ),
    };
    if !fits.is_empty() && !fits.contains(&binding) {
        let (scheme, binding) = (word(wish.impose).unwrap_or_default(), binding_word(binding));
        let message =
            format!("`--impose {scheme}` makes sheets that cannot be bound as the book says: `binding: {binding}`");
        sink.warn(code!("sheets-and-binding"), None, message)
            .hints
            .push(format!("its margins are made for that; set {hint}"));
    }
    let of_cover = book.press.cover.as_ref().and_then(|cover| cover.condition.as_ref());
    if let Some(condition) = book.press.condition.as_ref().or(of_cover).filter(|_| wish.purpose == Purpose::Press)
        && wish.standard != Standard::X1a
        && book.press.profile.is_none()
    {
        let message = format!("the printing condition `{condition}` is not put into a file of this standard");
        let hint = "it carries the program's own grey profile instead; `--standard x-1a` names the condition, and a profile of the shop's \
                    own, as `press: {profile: shop.icc}`, goes into any";
        sink.warn(code!("condition-not-used"), None, message).hints.push(hint.into());
    }
}

/// Warns of music that is hard to read as it comes out on its sheets; one that is so small in the book has been told already.
fn complain_of_staff(wish: &Wish, book: &Book, document: &Document, scale: f64, sink: &mut Sink) {
    let staff = book.engraving.space * 4.0;
    // The book has given its tunes away; the record knows the bars of its pages.
    if document.manifest.bars.is_empty() || is_small(staff) || !is_small(staff * scale) {
        return;
    }
    let (scheme, comes_out) = (word(wish.impose).unwrap_or_default(), (staff * scale).to_mm());
    let message = format!(
        "a staff comes out {comes_out:.1} mm high with `--impose {scheme}`, which is hard to read from a stand"
    );
    let hint = "for a stand print the pages at their own size, without `--impose`; or set the book with a larger `staff` under `type`";
    sink.warn(code!("small-staff"), None, message).hints.push(hint.into());
}

/// What the number of pages that a printer is sent is a multiple of: a shop that folds single pages to sheets wants them in fours,
/// the back cover outermost; every other bindery leaves with two sides (*common practice, no source*). Loose sheets may be
/// printed on one.
const fn multiple(purpose: Purpose, binding: Binding) -> usize {
    match (purpose, binding) {
        (Purpose::Reading, _) | (Purpose::Press, Binding::None) => 1,
        (Purpose::Press, Binding::Saddle) => 4,
        (Purpose::Press, Binding::Perfect | Binding::Comb | Binding::Wire | Binding::Ring) => 2,
    }
}

/// Warns of a back cover that would be bound inside the cover of a glued book. Where the cover is a file of its own, no page is a
/// back cover any more.
fn complain_of_cover(wish: &Wish, book: &Book, document: &Document, sink: &mut Sink) {
    let ends_in_cover = document.pages.last().is_some_and(|page| page.kind == SheetKind::Cover);
    if wish.purpose != Purpose::Press || !ends_in_cover || book.page.binding != Binding::Perfect {
        return;
    }
    let nth = book.back.iter().position(|matter| *matter == Matter::BackCover);
    let place = nth.and_then(|nth| book.places.back.get(nth)).copied();
    let message = "the back cover is the last page of this file, but the cover of a glued book goes round the pages";
    let hint = "name the cover's board, `press: {cover: {grams: 250}}`: the cover is then a file of its own, and this page stands on it";
    sink.warn(code!("cover-in-the-block"), place, message).hints.push(hint.into());
}

/// The print shop's profile that a book names, if it is one that a file can carry; else an error where it is named.
pub fn profile(book: &Book, sink: &mut Sink) -> Option<OutputProfile> {
    let named = book.press.profile.as_ref()?;
    OutputProfile::read(&named.bytes)
        .map_err(|why| {
            let hint = "a print shop sends the profile of its press as a file that ends in `.icc` or `.icm`; without one, leave \
                        `profile` out";
            sink.error(code!("bad-profile"), Some(named.place), format!("`{}` {why}", named.path)).hints.push(hint.into());
        })
        .ok()
}

/// The profile for a file of the standard that is wished for.
fn carried(wish: &Wish, book: &Book, sink: &mut Sink) -> Option<OutputProfile> {
    let found = profile(book, sink)?;
    if wish.standard == Standard::X1a && !found.is_for_pdf_1_4() {
        let (place, path) = book.press.profile.as_ref().map(|named| (named.place, named.path.as_str()))?;
        let message = format!("`{path}` is of version 4 of the ICC's format, which a file of PDF/X-1a cannot carry");
        let hint = "`--standard x-4` can, or ask the shop for version 2";
        sink.error(code!("bad-profile"), Some(place), message).hints.push(hint.into());
    }
    Some(found)
}

fn look(wish: &Wish, book: &Book, sink: &mut Sink) -> (PressLook, PdfOptions) {
    if wish.purpose == Purpose::Reading {
        return (PressLook::reading(), PdfOptions::reading());
    }
    let mut look = PressLook::press(&book.title);
    // A title is known by its beginning; an edition and a date are not.
    look.slug_end = book.edition.iter().chain([&book.date]).cloned().collect::<Vec<_>>().join("  ");
    look.bleed = book.press.bleed;
    look.crop_marks = book.press.crop_marks;
    look.registration_marks = book.press.registration_marks;
    let standard = match wish.standard {
        Standard::X1a => PressStandard::X1a2003,
        // Files of both standards were written once; what they were printed from keeps PDF/X-4.
        Standard::X4 | Standard::Both => PressStandard::X4,
        Standard::A2b => PressStandard::A2b,
    };
    let profile = carried(wish, book, sink);
    let usual = || profile.as_ref().map_or(CONDITION, OutputProfile::description).to_owned();
    let condition = book.press.condition.clone().unwrap_or_else(usual);
    let mut options = PdfOptions::press(standard, condition);
    // Without a profile the standard asks for a registered name: a book is warned of one that is not known.
    options.is_registered = profile.is_none() || book.press.is_registered;
    options.profile = profile;
    options.spot = match &book.press.spot {
        Colour::Spot(name) => Some(name.clone()),
        Colour::None => None,
    };
    look.second_ink = options.spot.is_some();
    (look, options)
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
            Wish { purpose: Purpose::Press, standard: Standard::X4, impose: Impose::FoldedEight, turn: Turn::Long };
        let again = Wish::recorded(&wish.record());
        assert_eq!(again.record(), wish.record());
        assert_eq!((again.impose, again.turn, again.standard), (wish.impose, wish.turn, wish.standard));
        assert_eq!(wish.kind(Some("kettle")).join("."), "kettle.press.x-4.folded-eight");
        let none = Wish::recorded(&[]);
        assert!(none.kind(None).is_empty());
        assert_eq!((none.purpose, none.impose), (Purpose::Reading, Impose::None));
    }
}
