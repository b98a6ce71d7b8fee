//! A document into one HTML file of its pages as pictures, with complaints at their places.
//!
//! Takes pages, fonts and complaints; gives one text, in pieces, that needs no server, no network and no other file: pages are inline SVG
//! drawn from the frames, every glyph's outline stands in it once. Knows no music: it finds places by the subjects of groups.
//!
//! Sources: *SVG 2*, *HTML* and *WAI-ARIA 1.2* (roles and names); *PNG* (third edition) for pictures.

mod picture;
mod places;
mod shell;
mod svg;

#[cfg(test)]
mod tests;

use crate::diag::Severity;
use crate::font::Fonts;
use crate::page::Document;
use rayon::prelude::*;

/// One complaint to be shown on the pages.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Complaint {
    /// How bad it is.
    pub severity: Severity,
    /// Index of the page it is about, if that is known.
    pub page: Option<usize>,
    /// The subject of the ink it is about, such as `tune:tin-lantern bar:3`; a tune alone is enough. It goes before `page`.
    pub subject: Option<String>,
    /// What is wrong, with the place in the author's files and the hints.
    pub text: String,
}

/// So many pages are drawn side by side and handed on before the next are: a page comes to some 50 kB.
const SHEAF: usize = 64;

/// Hands on the whole HTML file, piece by piece from its beginning to its end, so that a long book never stands in memory as a whole.
///
/// # Errors
/// The first that `put` gives; nothing is handed on after it.
pub fn html<E>(
    document: &Document,
    fonts: &Fonts,
    complaints: &[Complaint],
    put: &mut dyn FnMut(&str) -> Result<(), E>,
) -> Result<(), E> {
    let spots = places::spots(document, complaints);
    let anchors = places::anchors(document);
    let mut used = svg::Used::default();
    for page in &document.pages {
        used.absorb(&page.frame);
    }
    let mut out = String::new();
    shell::head(document, complaints, &spots, &mut out);
    svg::definitions(&used, document, fonts, &mut out);
    out.push_str("<main id=\"pages\">\n");
    put(&out)?;
    for (sheaf, pages) in document.pages.chunks(SHEAF).enumerate() {
        let drawn: Vec<String> = pages.par_iter().map(|page| svg::draw(&page.frame, fonts, &anchors)).collect();
        for (nth, (page, body)) in pages.iter().zip(&drawn).enumerate() {
            out.clear();
            shell::page(sheaf * SHEAF + nth, page, body, complaints, &spots, &mut out);
            put(&out)?;
        }
    }
    out.clear();
    out.push_str("</main>\n");
    shell::foot(&mut out);
    put(&out)
}

/// Appends a number with at most two decimals and no useless noughts; a hundredth of a point is the grid of all ink.
fn number(value: f64, out: &mut String) {
    use std::fmt::Write as _;
    // Lengths on a page are far below what 64 bits hold; anything else saturates.
    let hundredths = (value * 100.0).round() as i64;
    let (whole, part) = (hundredths.unsigned_abs() / 100, hundredths.unsigned_abs() % 100);
    if hundredths < 0 {
        out.push('-');
    }
    let _ = match (part, part % 10) {
        (0, _) => write!(out, "{whole}"),
        (_, 0) => write!(out, "{whole}.{}", part / 10),
        _ => write!(out, "{whole}.{part:02}"),
    };
}

/// Appends a text as it may stand in HTML, in quotes too. Control characters are left out.
fn escaped(text: &str, out: &mut String) {
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' | '\t' => out.push(' '),
            other if other.is_control() => {}
            other => out.push(other),
        }
    }
}
