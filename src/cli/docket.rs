//! What goes with a file to the printer or into printed copies: the job sheet and the slip with changes, as PDFs of their own.

use super::desk::Desk;
use super::laying::{CoverLaid, Laid, counted, leaflet_of};
use super::writing::Over;
use crate::book::{Book, bound};
use crate::diag::{Diagnostic, Sink};
use crate::font::Fonts;
use crate::geom::{Abs, Size};
use crate::page::{Document, Identity, Leaflet, Manifest, leaflet};
use crate::pdf::{self, PdfOptions, Report, Verdict};
use crate::sheet::{InkFacts, PressLook, plain};
use crate::style::{Binding, TextStyle};
use std::path::{Path, PathBuf};

/// Type of a job sheet, which is read at a desk and has to stay one page.
const JOB_TYPE: (Abs, Abs) = (Abs::pt(9.5), Abs::pt(13.0));

/// A file as it is to be written.
#[derive(Debug, Clone, Copy)]
pub struct Bound<'a> {
    /// Its bytes.
    pub bytes: &'a [u8],
    /// Its place.
    pub path: &'a Path,
    /// What its preflight found; nothing for a file that is not for the press.
    pub report: Option<&'a Report>,
    /// The cover that is written with it.
    pub cover: Option<&'a Cover>,
}

/// A cover as it is to be written.
#[derive(Debug)]
pub struct Cover {
    /// Its place.
    pub path: PathBuf,
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// What its preflight found.
    pub report: Report,
}

/// A leaflet as it is to be written.
#[derive(Debug)]
pub struct Sheet {
    /// Its place.
    pub path: PathBuf,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// Makes the job sheet of a bound file, to lie beside it as `name.job.pdf`.
///
/// # Errors
/// In the author's words.
pub fn job_sheet(
    desk: &mut Desk,
    laid: &Laid,
    book: &Book,
    document: &Document,
    bound: Bound<'_>,
    fonts: &Fonts,
) -> Result<Sheet, String> {
    let Bound { bytes, path, report, cover } = bound;
    let mut rows = laid.job.rows.clone();
    let of_reading = || pdf::preflight(bytes);
    let facts = report.map_or_else(|| of_reading().facts, |report| report.facts.clone());
    let fact = |name: &str| facts.iter().find(|(known, _)| known == name).map(|(_, value)| value.clone());
    let name = named(path);
    let inks = InkFacts::of(document, &laid.sheets, fonts, laid.job.to_come);
    let ink = laid.options.spot.as_ref().map_or_else(
        || "black alone".to_owned(),
        |spot| format!("black and {spot}; {spot} on {} of {} sides", inks.second_sides, laid.sheets.len()),
    );
    let more = [
        ("file", Some(format!("{name}, {} KB, {} pages", bytes.len().div_ceil(1024), laid.sheets.len()))),
        ("standard", Some(report.map_or_else(|| READING.to_owned(), standard))),
        ("printing condition", report.map(|report| condition(report, &laid.options, book))),
        ("inks", Some(ink)),
        ("edges", Some(edges(&inks, book.page.binding))),
        ("fonts", fact("faces").map(|faces| format!("all embedded: {faces}"))),
        ("digest", Some(format!("SHA-256 {}", in_groups(&pdf::file_digest(bytes))))),
    ];
    rows.extend(more.into_iter().filter_map(|(name, value)| Some((name.to_owned(), value?))));
    if let Some((cover, laid)) = cover.zip(laid.cover.as_ref()) {
        rows.extend(of_cover(cover, laid, bound.report, book));
    }
    let words = Leaflet {
        identity: leaflet_of(&document.identity, "job sheet"),
        title: "Job sheet".to_owned(),
        lead: Vec::new(),
        rows: rows.into_iter().map(|(name, value)| (capital(&name), value)).collect(),
        lines: Vec::new(),
        notes: laid
            .job
            .notes
            .iter()
            .cloned()
            .chain(narrow(&inks, book.page.binding))
            .map(|note| format!("{}.", capital(&note)))
            .collect(),
    };
    let (size, leading) = JOB_TYPE;
    let style = TextStyle { size, leading, smallest: Abs::pt(7.0), ..book.text.clone() };
    let to = beside(path, "job");
    let bytes = set(desk, &words, &style, Size::new(Abs::mm(210.0), Abs::mm(297.0)), fonts)?;
    Ok(Sheet { path: to, bytes })
}

/// How far ink keeps from the edges: whether there has to be bleed, and whether the binding reaches it.
fn edges(inks: &InkFacts, binding: Binding) -> String {
    let off = match inks.off_the_page {
        0 => "nothing runs off the page".to_owned(),
        count => format!("ink runs off {}", counted(count, "page", "pages")),
    };
    let edge = if binding == Binding::Saddle { "fold" } else { "bound edge" };
    let mm = inks.creep.to_mm();
    let after = match inks.outer {
        _ if inks.creep <= Abs::ZERO => String::new(),
        None => format!(" after {mm:.1} mm of creep"),
        Some(_) => format!(" once {mm:.1} mm of creep are taken up"),
    };
    let inner = inks.inner.map(|inner| format!("; at the {edge} {:.1} mm are free of ink{after}", inner.to_mm()));
    let outer = inks.outer.filter(|_| inks.creep > Abs::ZERO);
    let outer = outer.map(|outer| format!(", else {:.1} mm at the fore edge", outer.to_mm()));
    off + &inner.unwrap_or_default() + &outer.unwrap_or_default()
}

/// What ink keeps from the fore edge of a thick stapled booklet, 3/8 inch, in millimetres (common practice, no source).
const FORE_EDGE: f64 = 9.5;

/// Warnings where creep brings ink nearer to the binding than is usual, or to the fore edge if nobody takes it up. The margins of a
/// book do not grow with its pages: each page would be set anew whenever one is added.
fn narrow(inks: &InkFacts, binding: Binding) -> Vec<String> {
    let (_, usual) = bound(binding);
    let is_less = |left: &Abs, usual: f64| inks.creep > Abs::ZERO && left.to_mm() < usual - 0.05;
    let inner = inks.inner.filter(|left| is_less(left, usual)).map(|left| {
        format!(
            "after creep {:.1} mm are free of ink at the fold, where {usual:.0} mm are usual: thinner paper or fewer pages leave more",
            left.to_mm()
        )
    });
    let outer = inks.outer.filter(|left| is_less(left, FORE_EDGE)).map(|left| {
        format!(
            "where creep is not taken up, trimming leaves {:.1} mm free of ink at the fore edge, where {FORE_EDGE} mm are usual: have \
             the pages moved towards the fold, or take thinner paper",
            left.to_mm()
        )
    });
    inner.into_iter().chain(outer).collect()
}

/// What a printer has to know of the cover beside its measures; its standard where it stood otherwise to that than the pages.
fn of_cover(cover: &Cover, laid: &CoverLaid, pages: Option<&Report>, book: &Book) -> Vec<(String, String)> {
    let standard_of = standard(&cover.report);
    let sides = laid.wrapped.sheets.len();
    let size = cover.bytes.len().div_ceil(1024);
    let rows = [
        ("cover file", Some(format!("{}, {size} KB, {}", named(&cover.path), counted(sides, "page", "pages")))),
        ("on the spine", laid.wrapped.on_spine.clone()),
        ("cover standard", Some(standard_of).filter(|own| pages.map(standard).as_ref() != Some(own))),
        ("cover condition", Some(condition(&cover.report, &laid.options, book))),
        ("cover digest", Some(format!("SHA-256 {}", in_groups(&pdf::file_digest(&cover.bytes))))),
    ];
    rows.into_iter().filter_map(|(name, value)| Some((name.to_owned(), value?))).collect()
}

fn named(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

/// What is said of the standard of a file that is not for the press.
const READING: &str = "PDF/UA-1, for reading and for office printers; it is no file for a press";

/// What a press file claims, and how it stood to that.
fn standard(report: &Report) -> String {
    let claims: Vec<String> = report.claims.iter().map(ToString::to_string).collect();
    let warnings: Vec<String> = report
        .asked()
        .filter(|check| check.outcome == Verdict::Warning)
        .map(|check| format!("{} ({}: {})", check.id, check.statement, check.found))
        .collect();
    let but = if warnings.is_empty() { String::new() } else { format!(", with a warning: {}", warnings.join("; ")) };
    let how = match report.untold() {
        None => "passes its own preflight".to_owned(),
        Some(check) => {
            format!("passes its own preflight as far as it was looked at, which is not to its end ({})", check.found)
        }
    };
    format!("{}; {how}{but}", claims.join(", "))
}

/// The condition by its name, and the shop's profile where the book names one; without, under another standard than PDF/X-1a the file
/// carries a profile of its own instead.
fn condition(report: &Report, options: &PdfOptions, book: &Book) -> String {
    let condition = &options.condition;
    match (&options.profile, &book.press.profile) {
        (Some(carried), Some(named)) => {
            let of = if carried.description() == condition {
                String::new()
            } else {
                format!(", \u{201c}{}\u{201d}", carried.description())
            };
            format!("{condition}; the file carries the shop's profile {}{of}", named.path)
        }
        _ if report.claims.contains(&pdf::Standard::X1a) => condition.clone(),
        _ => "the program's own grey profile, computed and not measured, not a registered condition".to_owned(),
    }
}

/// Digits in groups of eight: a line can then end among them, and an eye keep its place.
fn in_groups(digits: &str) -> String {
    let groups: Vec<&str> =
        (0..digits.len()).step_by(8).filter_map(|at| digits.get(at..(at + 8).min(digits.len()))).collect();
    groups.join(" ")
}

/// Writes the slip with the changes beside the sheets, in the book's own type and page.
///
/// # Errors
/// In the author's words.
pub fn slip(
    desk: &mut Desk,
    lines: &[String],
    book: &Book,
    document: &Document,
    printed: &Manifest,
    path: &Path,
    fonts: &Fonts,
) -> Result<PathBuf, String> {
    let id = &document.identity;
    let of = |identity: &Identity| format!("impression {} of {}", identity.impression, identity.date);
    let words = Leaflet {
        identity: leaflet_of(id, "changes"),
        title: "Changes".to_owned(),
        lead: vec![
            format!("{}. In copies of {}, these things are now otherwise.", id.title, of(&printed.identity)),
            format!("The sheets printed with this slip are {}.", of(id)),
        ],
        rows: Vec::new(),
        lines: lines.iter().map(|line| capital(line)).collect(),
        notes: Vec::new(),
    };
    let to = beside(path, "slip");
    let bytes = set(desk, &words, &book.text, book.page.size, fonts)?;
    desk.write(&to, &bytes, Over::Pdf)?;
    Ok(to)
}

/// What does not fit on the leaflet is complained of on the desk.
fn set(desk: &mut Desk, words: &Leaflet, style: &TextStyle, size: Size, fonts: &Fonts) -> Result<Vec<u8>, String> {
    let mut own = Sink::default();
    let document = leaflet(words, style, size, fonts, &mut own);
    // Its words stand in no file of the author's.
    for item in own.items() {
        let message = format!("{}, on the leaflet `{}`", item.message, words.title);
        desk.sink.push(Diagnostic { message, ..item.clone() });
    }
    let sheets = plain(&document, fonts, &PressLook::reading());
    pdf::write(&document, &sheets, fonts, &PdfOptions::reading()).map_err(|error| error.to_string())
}

/// `book.press.pdf` gives `book.press.job.pdf`.
pub fn beside(path: &Path, kind: &str) -> PathBuf {
    path.with_extension(format!("{kind}.pdf"))
}

fn capital(words: &str) -> String {
    let mut characters = words.chars();
    characters.next().map_or_else(String::new, |first| first.to_uppercase().chain(characters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pdf::{Check, Standard};

    /// 10 mm at the fold and 9.5 mm at the fore edge are usual: what is less is told with its reason, what nobody has to take up is not.
    #[test]
    fn margins_that_creep_eats_are_told() {
        let facts = |inner: f64, outer: Option<f64>, creep: f64| InkFacts {
            off_the_page: 0,
            second_sides: 0,
            inner: Some(Abs::mm(inner)),
            outer: outer.map(Abs::mm),
            creep: Abs::mm(creep),
        };
        let of = |facts: InkFacts| (edges(&facts, Binding::Saddle), narrow(&facts, Binding::Saddle));
        let (said, notes) = of(facts(10.6, Some(10.1), 2.1));
        assert_eq!(
            said,
            "nothing runs off the page; at the fold 10.6 mm are free of ink once 2.1 mm of creep are taken up, else 10.1 mm at the fore edge"
        );
        assert!(notes.is_empty(), "{notes:?}");
        let (said, notes) = of(facts(8.9, None, 2.1));
        assert!(said.ends_with("8.9 mm are free of ink after 2.1 mm of creep"), "{said}");
        assert!(notes.len() == 1 && notes[0].starts_with("after creep 8.9 mm"), "{notes:?}");
        let (_, notes) = of(facts(8.9, Some(9.2), 3.6));
        assert!(
            notes.len() == 2 && notes[1].contains("trimming leaves 9.2 mm") && notes[1].contains("9.5 mm"),
            "{notes:?}"
        );
        assert!(of(facts(8.9, Some(9.2), 0.0)).1.is_empty(), "nothing creeps");
    }

    #[test]
    fn a_file_that_was_not_looked_at_whole_is_not_said_to_pass() {
        let check = |outcome, found: &str| Check {
            standard: Standard::X1a,
            id: "X1a-12",
            statement: "colour is grey",
            outcome,
            found: found.to_owned(),
        };
        let report = |checks| Report { claims: vec![Standard::X1a], checks, ..Report::default() };
        let whole = standard(&report(vec![check(Verdict::Pass, "")]));
        assert_eq!(whole, "PDF/X-1a:2003; passes its own preflight");
        let part = standard(&report(vec![check(Verdict::CannotTell, "pages from 9 on")]));
        assert!(part.contains("as far as it was looked at") && part.contains("(pages from 9 on)"), "{part}");
        let warned = standard(&report(vec![check(Verdict::Warning, "thin")]));
        assert!(warned.ends_with("with a warning: X1a-12 (colour is grey: thin)"), "{warned}");
    }
}
