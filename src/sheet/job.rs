//! The job sheet: what a printer has to know of a book, as rows of a name and a value.
//!
//! Takes the sheets as they are sent and the paper; gives rows and warnings with reasons, and the words in which the command line
//! says the same numbers. Knows no file: fonts, inks and the digest are rows that the writer of the file adds.

use super::spine::{Board, Creep, Spine, Stock, spine};
use super::{Imposed, PressLook, Sheet};
use crate::geom::{Abs, Rect, Size};
use crate::page::{Document, SheetKind};
use crate::style::Binding;

/// What a job is made of.
#[derive(Debug, Clone, Copy)]
pub struct JobOf<'a> {
    /// The pages.
    pub document: &'a Document,
    /// The sides as they are sent.
    pub sheets: &'a [Sheet],
    /// How they are imposed, if they are.
    pub imposed: Option<&'a Imposed>,
    /// What the sides show beside the pages.
    pub look: &'a PressLook,
    /// The binding.
    pub binding: Binding,
    /// The paper.
    pub stock: Stock,
    /// The cover's own paper or board, if it has one.
    pub cover: Option<Board>,
    /// How far leaves stand out of those they lie in, where sheets are stapled.
    pub creep: Creep,
    /// The book's number, if it has one.
    pub isbn: Option<&'a str>,
}

/// What a printer has to know.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// Rows in the order of a docket: name and value.
    pub rows: Vec<(String, String)>,
    /// What may go wrong, each with its reason.
    pub notes: Vec<String>,
    /// How many pages, in words: those of the book, and blank ones that were added.
    pub pages: String,
    /// How much paper, in words.
    pub paper: String,
    /// The spine, in words, and what to know of the binding.
    pub spine: Vec<String>,
    /// How wide the spine is.
    pub spine_width: Abs,
    /// The form of a cover of its own, with its measures.
    pub cover: Option<String>,
    /// The creep that a printer has to take up who lays these pages on sheets.
    pub to_come: Option<Creep>,
}

/// The job sheet of a document on sheets.
pub fn job(of: JobOf<'_>) -> Job {
    let JobOf { document, sheets, imposed, look, binding, stock, cover, creep, isbn } = of;
    let mut rows = Vec::new();
    let mut row = |name: &str, value: String| rows.push((name.to_owned(), value));
    let identity = &document.identity;
    row("book", identity.title.clone());
    if !identity.edition.is_empty() {
        row("edition", identity.edition.clone());
    }
    row("date", identity.date.clone());
    row("impression", identity.impression.to_string());
    if let Some(isbn) = isbn {
        row("ISBN", isbn.to_owned());
    }
    let white: Vec<&str> =
        document.pages.iter().filter(|page| page.kind == SheetKind::Blank).map(|page| page.label.as_str()).collect();
    let own = document.pages.len();
    let added = imposed.map_or(sheets.len(), |imposed| imposed.slots) - own;
    let pages = own + added;
    row("pages", blanks(pages, &white, added));
    let page = document.pages.first().map_or(Size::default(), |page| page.frame.size);
    row("trimmed page", size(page.width, page.height));
    let is_cut = imposed.is_none_or(|imposed| imposed.is_cut);
    if let Some(sheet) = sheets.first() {
        row("file page", size(sheet.boxes.media.width, sheet.boxes.media.height));
        if is_cut {
            row("trim box", place(&sheet.boxes.trim));
            row("bleed box", place(&sheet.boxes.bleed));
            row("bleed", format!("{:.1} mm", (sheet.boxes.trim.min.x - sheet.boxes.bleed.min.x).to_mm()));
            row("marks", marks(look).to_owned());
        } else {
            row(
                "trimming",
                match imposed.map_or(1, |imposed| imposed.copies) {
                    1 => "nothing is cut".to_owned(),
                    copies => format!("cut apart into {copies} copies"),
                },
            );
        }
    }
    let papers = papers(&of, pages);
    row("sheets of paper", format!("{}, {}", papers.count, papers.printed));
    if let Some(imposed) = imposed.filter(|imposed| imposed.sections > 1) {
        row("sections", imposed.sections.to_string());
    }
    row("binding", name(binding).to_owned());
    let crept = creep.most(pages);
    let taken_up = match imposed {
        Some(imposed) if imposed.is_stapled => {
            Some("taken up here, each page moved towards the fold: outer margins are whole after trimming")
        }
        None if of.is_for_folding() => Some(TO_COME),
        _ => None,
    };
    if let Some(how) = taken_up.filter(|_| crept > Abs::ZERO) {
        row("creep", format!("{}; {how}", creep.words(pages)));
    }
    if let Some(milling) = imposed.map(|imposed| imposed.milling).filter(|milling| *milling > Abs::ZERO) {
        let (off, free) = (milling.to_mm(), milling.to_mm() * 2.0);
        row("milling", format!("{off:.1} mm off each fold; {free:.1} mm lie free between the pages there"));
    }
    row("paper", stock.words());
    if binding != Binding::None {
        // Across it, the leaves would stand stiff and the glue or the fold would cockle (common practice, no source).
        row("grain", "parallel to the spine".to_owned());
    }
    let Spine { width, words, mut notes } = spine(pages, stock, cover, binding);
    row("spine", words.clone());
    let form = cover.map(|_| form(page, width, look.bleed, binding));
    row(
        "cover",
        match (&form, cover) {
            (Some(form), Some(Board { stock, .. })) => format!("not in this file; {form}; {}", stock.words()),
            _ => "of the same paper, as pages of this file; one of its own is not reckoned with".to_owned(),
        },
    );
    let spine: Vec<String> = std::iter::once(format!("the spine is {words}")).chain(notes.iter().cloned()).collect();
    notes.extend(of_pages(&of, pages, added));
    for (number, order) in imposed.map_or(&[][..], |imposed| &imposed.orders).iter().enumerate() {
        row(&format!("order {}", number + 1), order.clone());
    }
    let pages = match added {
        0 => counted(own, "page", "pages"),
        _ => format!("{} and {}", counted(own, "page", "pages"), counted(added, "blank one", "blank ones")),
    };
    let to_come = of.is_for_folding().then_some(creep);
    Job { rows, notes, pages, paper: papers.words, spine, spine_width: width, cover: form, to_come }
}

/// How many pages, and which of them are blank for what reason: a printer asks whether one is missing.
fn blanks(pages: usize, white: &[&str], added: usize) -> String {
    const MOST: usize = 8;
    let more = white.len().saturating_sub(MOST);
    let named = white[..white.len() - more].join(", ");
    let and_more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let by_design = match white.len() {
        0 => None,
        1 => Some(format!("page {named} left white in the book itself")),
        _ => Some(format!("pages {named}{and_more} left white in the book itself")),
    };
    let for_sheets = Some(format!("{added} added")).filter(|_| added > 0);
    let why: Vec<String> = [by_design, for_sheets].into_iter().flatten().collect();
    let why = if why.is_empty() { String::new() } else { format!(": {}", why.join(", ")) };
    format!("{pages}, of which {} blank{why}", white.len() + added)
}

/// What is said of creep to a printer who lays single pages on sheets (*common practice, no source*).
const TO_COME: &str = "not taken up in this file: move each page towards the fold by the thickness that lies round it, or trimming \
                       takes it off the outer margin";

/// Sheets of paper: how many, how they are printed, both in words.
struct Papers {
    count: usize,
    printed: &'static str,
    words: String,
}

fn papers(of: &JobOf<'_>, pages: usize) -> Papers {
    let printed = if of.sheets.len() == 1 { "printed on one side" } else { "printed on both sides" };
    let plain = |count: usize, one: &str, many: &str| Papers { count, printed, words: counted(count, one, many) };
    if let Some(imposed) = of.imposed {
        return plain(imposed.papers, "sheet of paper", "sheets of paper");
    }
    if of.is_for_folding() {
        let printed = "each folded to four pages, printed on both sides";
        return Papers { printed, ..plain(pages.div_ceil(4), "folded sheet of paper", "folded sheets of paper") };
    }
    match of.sheets.last().map_or(0, |sheet| sheet.paper + 1) {
        1 if of.sheets.len() == 1 => plain(1, "sheet printed on one side", ""),
        leaves => plain(leaves, "sheet printed on both sides", "sheets printed on both sides"),
    }
}

impl JobOf<'_> {
    /// Whether single pages are sent to a printer who lays them on sheets to be folded and stapled.
    fn is_for_folding(&self) -> bool {
        self.imposed.is_none() && self.binding == Binding::Saddle && self.look.is_press
    }
}

/// What the number of pages means for the binding.
fn of_pages(of: &JobOf<'_>, pages: usize, added: usize) -> Vec<String> {
    let mut notes = Vec::new();
    let ends_in_cover = of.document.pages.last().is_some_and(|page| page.kind == SheetKind::Cover);
    let where_ = if ends_in_cover { "before the back cover" } else { "at the end" };
    let wanted = pages.next_multiple_of(4);
    if added > 0 {
        notes.push(format!(
            "{} added {where_}, so that the sheets come out",
            counted(added, "blank page was", "blank pages were")
        ));
    } else if of.imposed.is_none() && of.binding == Binding::Saddle && wanted > pages {
        notes.push(format!(
            "{pages} pages: to be stapled through the fold they want {wanted}, {} {where_}",
            counted(wanted - pages, "blank one", "blank ones")
        ));
    } else if !pages.is_multiple_of(2) {
        notes.push(format!("{pages} pages: the last leaf has an empty back"));
    }
    notes
}

const fn marks(look: &PressLook) -> &'static str {
    match (look.crop_marks, look.registration_marks) {
        (true, true) => "crop marks and registration targets, on the plate of every ink",
        (true, false) => "crop marks, on the plate of every ink",
        (false, true) => "registration targets, on the plate of every ink",
        (false, false) => "none, and no line of words: the page of the file is the page with its bleed",
    }
}

/// The form of a cover and its exact measures.
fn form(page: Size, spine: Abs, bleed: Abs, binding: Binding) -> String {
    let with_bleed = |width: Abs| {
        format!(
            "{} trimmed, {} with bleed",
            size(width, page.height),
            size(width + bleed * 2.0, page.height + bleed * 2.0)
        )
    };
    match binding {
        Binding::Perfect => format!(
            "one sheet of back, spine and front, {:.1} + {:.1} + {:.1} mm: {}",
            page.width.to_mm(),
            spine.to_mm(),
            page.width.to_mm(),
            with_bleed(page.width * 2.0 + spine)
        ),
        Binding::Saddle => format!("one sheet, folded in the middle: {}", with_bleed(page.width * 2.0)),
        Binding::Comb | Binding::Wire | Binding::Ring | Binding::None => {
            format!("two leaves, front and back, each {}", with_bleed(page.width))
        }
    }
}

/// A number with its noun.
fn counted(count: usize, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

fn size(width: Abs, height: Abs) -> String {
    format!("{:.1} x {:.1} mm", width.to_mm(), height.to_mm())
}

fn place(area: &Rect) -> String {
    format!(
        "{} at {:.1}, {:.1} mm from the upper left corner",
        size(area.width(), area.height()),
        area.min.x.to_mm(),
        area.min.y.to_mm()
    )
}

const fn name(binding: Binding) -> &'static str {
    match binding {
        Binding::Saddle => "stapled through the fold",
        Binding::Perfect => "glued spine",
        Binding::Comb => "comb",
        Binding::Wire => "wire",
        Binding::Ring => "holes for a ring binder, ISO 838",
        Binding::None => "loose sheets",
    }
}

#[cfg(test)]
mod tests {
    use super::blanks;

    #[test]
    fn blank_pages_are_told_with_their_reasons() {
        assert_eq!(blanks(52, &[], 0), "52, of which 0 blank");
        assert_eq!(blanks(54, &["viii"], 1), "54, of which 2 blank: page viii left white in the book itself, 1 added");
        assert_eq!(blanks(56, &["ii", "8"], 0), "56, of which 2 blank: pages ii, 8 left white in the book itself");
        let many: Vec<String> = (1..=10).map(|n| n.to_string()).collect();
        let many: Vec<&str> = many.iter().map(String::as_str).collect();
        assert!(
            blanks(90, &many, 0).ends_with(": pages 1, 2, 3, 4, 5, 6, 7, 8 and 2 more left white in the book itself")
        );
    }
}
