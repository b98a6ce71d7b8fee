//! The job sheet: what a printer has to know of a book, as rows of a name and a value.
//!
//! Takes the sheets as they are sent and the paper; gives rows and warnings with reasons. Knows no file: fonts, inks and the
//! digest are rows that the writer of the file adds.

use super::spine::{Spine, Stock, spine};
use super::{Imposed, Sheet};
use crate::geom::{Abs, Rect};
use crate::page::{Document, SheetKind};
use crate::style::Binding;

/// What a printer has to know.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// Rows in the order of a docket: name and value.
    pub rows: Vec<(String, String)>,
    /// What may go wrong, each with its reason.
    pub notes: Vec<String>,
}

/// The job sheet of a document on sheets. `imposed` where the sheets are imposed; `cover` where the cover has paper of its
/// own.
pub fn job(
    document: &Document,
    sheets: &[Sheet],
    imposed: Option<&Imposed>,
    binding: Binding,
    stock: Stock,
    cover: Option<Stock>,
) -> Job {
    let mut rows = Vec::new();
    let mut row = |name: &str, value: String| rows.push((name.to_owned(), value));
    let identity = &document.identity;
    row("book", identity.title.clone());
    if !identity.edition.is_empty() {
        row("edition", identity.edition.clone());
    }
    row("date", identity.date.clone());
    row("impression", identity.impression.to_string());
    let blank = document.pages.iter().filter(|page| page.kind == SheetKind::Blank).count();
    let added = imposed.map_or(0, |imposed| imposed.slots - document.pages.len());
    let pages = document.pages.len() + added;
    row("pages", format!("{pages}, of which {} blank", blank + added));
    if let Some(page) = document.pages.first() {
        row("trimmed page", size(page.frame.size.width, page.frame.size.height));
    }
    if let Some(sheet) = sheets.first() {
        row("file page", size(sheet.boxes.media.width, sheet.boxes.media.height));
        row("trim box", place(&sheet.boxes.trim));
        row("bleed", format!("{:.1} mm", (sheet.boxes.trim.min.x - sheet.boxes.bleed.min.x).to_mm()));
    }
    let papers = sheets.last().map_or(0, |sheet| sheet.paper + 1);
    let printed = if sheets.len() == 1 { "one side" } else { "both sides" };
    row("sheets of paper", format!("{papers}, printed on {printed}"));
    if let Some(imposed) = imposed.filter(|imposed| imposed.sections > 1) {
        row("sections", imposed.sections.to_string());
    }
    row("binding", name(binding).to_owned());
    let caliper = stock.caliper().to_mm();
    row("paper", format!("{} g/m2, volume {} cm3/g, {caliper:.3} mm a leaf", stock.grams, stock.bulk));
    let Spine { width, mut notes } = spine(pages, stock, cover, binding);
    row("spine", format!("{:.1} mm", width.to_mm()));
    if !pages.is_multiple_of(2) {
        notes.push(format!("{pages} pages: the last leaf has an empty back"));
    }
    for (number, order) in imposed.map_or(&[][..], |imposed| &imposed.orders).iter().enumerate() {
        row(&format!("order {}", number + 1), order.clone());
    }
    Job { rows, notes }
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
