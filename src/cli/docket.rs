//! What goes with a file to the printer or into printed copies: the job sheet and the slip with changes, as PDFs of their own.

use super::desk::Desk;
use super::laying::Laid;
use super::writing::Over;
use crate::book::Book;
use crate::font::Fonts;
use crate::geom::{Abs, Size};
use crate::page::{Document, Identity, Leaflet, Manifest, leaflet};
use crate::pdf::{self, PdfOptions};
use crate::sheet::{PressLook, plain};
use crate::style::TextStyle;
use std::path::{Path, PathBuf};

/// Type of a job sheet, which is read at a desk and has to stay one page.
const JOB_TYPE: (Abs, Abs) = (Abs::pt(9.5), Abs::pt(13.0));

/// Writes the job sheet of a bound file beside it, `name.job.pdf`, and gives its path.
///
/// # Errors
/// In the author's words; the bound file is then as it is.
pub fn job_sheet(
    desk: &mut Desk,
    laid: &Laid,
    book: &Book,
    document: &Document,
    bytes: &[u8],
    path: &Path,
    fonts: &Fonts,
) -> Result<PathBuf, String> {
    let mut rows = laid.job.rows.clone();
    let report = pdf::preflight(bytes);
    let fact = |name: &str| report.facts.iter().find(|(known, _)| known == name).map(|(_, value)| value.clone());
    let claims: Vec<String> = report.claims.iter().map(ToString::to_string).collect();
    let standard = if claims.is_empty() { "none claimed".to_owned() } else { claims.join(", ") };
    let passes = if report.passes() { "passes its own preflight" } else { "does not pass preflight" };
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let ink = laid.options.spot.as_ref().map_or_else(|| "black alone".to_owned(), |spot| format!("black and {spot}"));
    // Under another standard the file carries a profile of its own, and the condition's name would mislead.
    let named = report.claims.contains(&pdf::Standard::X1a);
    let condition = laid.options.condition.clone();
    let more = [
        ("file", Some(format!("{name}, {} KB, {} pages", bytes.len().div_ceil(1024), laid.sheets.len()))),
        ("standard", Some(format!("{standard}; {passes}"))),
        ("printing condition", Some(condition).filter(|condition| named && !condition.is_empty())),
        ("inks", Some(ink)),
        ("fonts", fact("faces").map(|faces| format!("all embedded: {faces}"))),
        ("digest", Some(format!("BLAKE3 {}", pdf::file_digest(bytes)))),
    ];
    rows.extend(more.into_iter().filter_map(|(name, value)| Some((name.to_owned(), value?))));
    let words = Leaflet {
        identity: identity(&document.identity, "job sheet"),
        title: "Job sheet".to_owned(),
        lead: Vec::new(),
        rows: rows.into_iter().map(|(name, value)| (capital(&name), value)).collect(),
        lines: Vec::new(),
        notes: laid.job.notes.iter().map(|note| format!("{}.", capital(note))).collect(),
    };
    let (size, leading) = JOB_TYPE;
    let style = TextStyle { size, leading, smallest: Abs::pt(7.0), ..book.text.clone() };
    let to = beside(path, "job");
    write(desk, &words, &style, Size::new(Abs::mm(210.0), Abs::mm(297.0)), &to, fonts)?;
    Ok(to)
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
        identity: identity(id, "changes"),
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
    write(desk, &words, &book.text, book.page.size, &to, fonts)?;
    Ok(to)
}

/// A leaflet is no book: nothing can be compared with it by mistake.
fn identity(book: &Identity, kind: &str) -> Identity {
    Identity { book: format!("{} {kind}", book.book), title: format!("{}: {kind}", book.title), ..book.clone() }
}

/// What does not fit on the leaflet is complained of on the desk.
fn write(
    desk: &mut Desk,
    words: &Leaflet,
    style: &TextStyle,
    size: Size,
    to: &Path,
    fonts: &Fonts,
) -> Result<(), String> {
    let document = leaflet(words, style, size, fonts, &mut desk.sink);
    let sheets = plain(&document, fonts, &PressLook::reading());
    let bytes = pdf::write(&document, &sheets, fonts, &PdfOptions::reading()).map_err(|error| error.to_string())?;
    desk.write(to, &bytes, Over::Pdf)
}

/// `book.press.pdf` gives `book.press.job.pdf`.
fn beside(path: &Path, kind: &str) -> PathBuf {
    path.with_extension(format!("{kind}.pdf"))
}

fn capital(words: &str) -> String {
    let mut characters = words.chars();
    characters.next().map_or_else(String::new, |first| first.to_uppercase().chain(characters).collect())
}
