//! The HTML around the pages: head, contents, complaints, the frame of each page, the keys.
//!
//! Takes a document, its complaints and their spots; writes HTML. Knows nothing of what is drawn on the pages.

use super::places::Spot;
use super::{Complaint, escaped, number};
use crate::diag::Severity;
use crate::page::{Document, OutlineEntry, Page, SheetKind, Side};
use std::fmt::Write as _;

const STYLE: &str = include_str!("proof.css");
const KEYS: &str = include_str!("proof.js");

/// Nothing may be fetched: no script but this one, no picture but those inside.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:";

/// Everything before the outlines and the pages.
pub(super) fn head(document: &Document, complaints: &[Complaint], spots: &[Option<Spot>], out: &mut String) {
    out.push_str("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    let _ = writeln!(out, "<meta http-equiv=\"Content-Security-Policy\" content=\"{POLICY}\">");
    // By this the program knows its own page when it writes it anew.
    out.push_str("<meta name=\"generator\" content=\"boxwright\">\n");
    out.push_str("<meta name=\"viewport\" content=\"width=device-width\">\n<title>Proof: ");
    escaped(&document.identity.title, out);
    out.push_str("</title>\n<style>\n");
    out.push_str(STYLE);
    if let Some(page) = document.pages.first() {
        // A printed proof has its pages at their true size.
        out.push_str("@page { margin: 0; size: ");
        number(page.frame.size.width.raw(), out);
        out.push_str("pt ");
        number(page.frame.size.height.raw(), out);
        out.push_str("pt }\n");
    }
    out.push_str("</style>\n</head>\n<body>\n<aside aria-label=\"Proof\">\n<header>\n<h1>");
    escaped(&document.identity.title, out);
    let _ = writeln!(out, "</h1>\n<p class=\"facts\">{}</p>\n</header>", facts(document, complaints));
    complaint_list(document, complaints, spots, out);
    contents(document, out);
    out.push_str(
        "<section class=\"help\"><h2>Keys</h2><p><kbd>→</kbd> <kbd>←</kbd> next and previous page, <kbd>Home</kbd> \
         <kbd>End</kbd> first and last, <kbd>n</kbd> <kbd>p</kbd> next and previous complaint, <kbd>+</kbd> <kbd>-</kbd> \
         larger and smaller, <kbd>0</kbd> whole page, <kbd>f</kbd> facing pages. Print gives the pages alone at their true \
         size.</p></section>\n</aside>\n",
    );
}

fn facts(document: &Document, complaints: &[Complaint]) -> String {
    let errors = complaints.iter().filter(|complaint| complaint.severity == Severity::Error).count();
    let mut facts = vec![counted(document.pages.len(), "page")];
    if !document.identity.edition.is_empty() {
        let mut edition = String::from("edition ");
        escaped(&document.identity.edition, &mut edition);
        facts.insert(0, edition);
    }
    facts.push(counted(errors, "error"));
    facts.push(counted(complaints.len() - errors, "warning"));
    facts.join(" · ")
}

fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "Error",
        Severity::Warning => "Warning",
    }
}

fn complaint_list(document: &Document, complaints: &[Complaint], spots: &[Option<Spot>], out: &mut String) {
    out.push_str("<section aria-labelledby=\"complaints-title\"><h2 id=\"complaints-title\">Complaints</h2>\n");
    if complaints.is_empty() {
        out.push_str("<p class=\"none\">None.</p></section>\n");
        return;
    }
    out.push_str("<ol class=\"complaints\">\n");
    for (nth, (complaint, spot)) in complaints.iter().zip(spots).enumerate() {
        let _ = write!(out, "<li class=\"{}\" id=\"said-{}\">", class(complaint.severity), nth + 1);
        match spot {
            Some(spot) => {
                let _ = write!(out, "<a href=\"#complaint-{}\">{} on page ", nth + 1, word(complaint.severity));
                escaped(&document.pages[spot.page].label, out);
                out.push_str("</a> ");
            }
            None => {
                let _ = write!(out, "<b>{}</b> ", word(complaint.severity));
            }
        }
        escaped(&complaint.text, out);
        out.push_str("</li>\n");
    }
    out.push_str("</ol></section>\n");
}

const fn class(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    }
}

/// The outline as nested lists; pages without an entry are reached by the keys.
fn contents(document: &Document, out: &mut String) {
    out.push_str("<nav aria-labelledby=\"contents-title\"><h2 id=\"contents-title\">Contents</h2>\n");
    let entries: Vec<&OutlineEntry> =
        document.outline.iter().filter(|entry| entry.page < document.pages.len()).collect();
    let mut depth = 0;
    for entry in entries {
        // A level may be left out; the list then goes one deeper only.
        let wanted = usize::from(entry.level).min(depth) + 1;
        if wanted > depth {
            out.push_str("<ol>\n");
        } else {
            out.push_str("</li>\n");
            out.push_str(&"</ol></li>\n".repeat(depth - wanted));
        }
        depth = wanted;
        let _ = write!(out, "<li><a href=\"#page-{}\"><span>", entry.page + 1);
        escaped(&entry.title, out);
        out.push_str("</span> <span class=\"folio\">");
        escaped(&document.pages[entry.page].label, out);
        out.push_str("</span></a>");
    }
    if depth > 0 {
        out.push_str(&"</li></ol>".repeat(depth));
    } else {
        out.push_str("<ol class=\"flat\">");
        for (index, page) in document.pages.iter().enumerate() {
            let _ = write!(out, "<li><a href=\"#page-{}\">Page ", index + 1);
            escaped(&page.label, out);
            out.push_str("</a></li>");
        }
        out.push_str("</ol>");
    }
    out.push_str("</nav>\n");
}

/// One page with the complaints about it.
pub(super) fn page(
    index: usize,
    page: &Page,
    body: &str,
    complaints: &[Complaint],
    spots: &[Option<Spot>],
    out: &mut String,
) {
    let size = page.frame.size;
    let side = match page.side {
        Side::Recto => "recto",
        Side::Verso => "verso",
    };
    let kind = match page.kind {
        SheetKind::Body => "",
        SheetKind::Blank => ", left blank",
        SheetKind::Cover => ", cover",
    };
    let _ = write!(out, "<section class=\"page {side}\" id=\"page-{}\" tabindex=\"-1\" aria-label=\"Page ", index + 1);
    escaped(&page.label, out);
    let _ = write!(out, "{kind}\" data-label=\"");
    escaped(&page.label, out);
    out.push_str("\" style=\"--w:");
    number(size.width.raw(), out);
    out.push_str(";--h:");
    number(size.height.raw(), out);
    out.push_str("\">\n<svg viewBox=\"0 0 ");
    number(size.width.raw(), out);
    out.push(' ');
    number(size.height.raw(), out);
    out.push_str("\" role=\"group\" aria-label=\"Page ");
    escaped(&page.label, out);
    out.push_str("\">\n");
    out.push_str(body);
    let here: Vec<(usize, &Complaint, Spot)> = complaints
        .iter()
        .zip(spots)
        .enumerate()
        .filter_map(|(nth, (complaint, spot))| {
            spot.filter(|spot| spot.page == index).map(|spot| (nth, complaint, spot))
        })
        .collect();
    for (_, complaint, spot) in &here {
        if let Some(ink) = spot.ink {
            let _ = write!(out, "<rect class=\"about {}\" aria-hidden=\"true\"", class(complaint.severity));
            let (at, extent) = (ink.min, (ink.width(), ink.height()));
            for (name, value) in [("x", at.x - MARGIN), ("y", at.y - MARGIN)] {
                let _ = write!(out, " {name}=\"{:.2}\"", value.raw());
            }
            for (name, value) in [("width", extent.0), ("height", extent.1)] {
                let _ = write!(out, " {name}=\"{:.2}\"", (value + MARGIN * 2.0).raw());
            }
            out.push_str("/>\n");
        }
    }
    out.push_str("</svg>\n");
    notes(&here, page, out);
    out.push_str("</section>\n");
}

/// Room between the ink that a complaint is about and the line around it.
const MARGIN: crate::geom::Abs = crate::geom::Abs::pt(2.0);

/// The notes of a page: complaints about one place stand in one note.
fn notes(here: &[(usize, &Complaint, Spot)], page: &Page, out: &mut String) {
    let mut done: Vec<Spot> = Vec::new();
    for (_, _, spot) in here {
        if done.contains(spot) {
            continue;
        }
        done.push(*spot);
        let together: Vec<_> = here.iter().filter(|(.., other)| other == spot).collect();
        let worst = together.iter().map(|(_, complaint, _)| complaint.severity).min().unwrap_or(Severity::Warning);
        // Per cent of the page, so that the note keeps its place at every size.
        let size = page.frame.size;
        let (x, y) = spot.ink.map_or((0.0, 0.0), |ink| (ink.min.x / size.width, ink.min.y / size.height));
        let side = match spot.ink {
            None => " whole",
            Some(_) if x > 0.5 => " leftwards",
            Some(_) => "",
        };
        let _ = write!(out, "<details class=\"note {}{side}\" style=\"left:", class(worst));
        number(x.clamp(0.0, 0.97) * 100.0, out);
        out.push_str("%;top:");
        number(y.clamp(0.0, 0.97) * 100.0, out);
        let numbers: Vec<String> = together.iter().map(|(nth, ..)| (nth + 1).to_string()).collect();
        let numbers = numbers.join(", ");
        let _ = writeln!(out, "%\"><summary aria-label=\"{} {numbers}\">{numbers}</summary><div>", word(worst));
        for (nth, complaint, _) in together {
            let _ = write!(out, "<p id=\"complaint-{}\"><b>{}</b> ", nth + 1, word(complaint.severity));
            escaped(&complaint.text, out);
            out.push_str("</p>\n");
        }
        out.push_str("</div></details>\n");
    }
}

/// Everything after the pages.
pub(super) fn foot(out: &mut String) {
    out.push_str(
        "<div class=\"bar\" role=\"toolbar\" aria-label=\"Pages\">\
         <button data-do=\"previous\" aria-label=\"Previous page\">←</button>\
         <output id=\"where\" aria-live=\"polite\"></output>\
         <button data-do=\"next\" aria-label=\"Next page\">→</button>\
         <button data-do=\"smaller\" aria-label=\"Smaller\">−</button>\
         <button data-do=\"larger\" aria-label=\"Larger\">+</button>\
         <button data-do=\"whole\">Whole page</button>\
         <button data-do=\"wide\">Page width</button>\
         <button data-do=\"facing\" aria-pressed=\"false\">Facing pages</button></div>\n<script>\n",
    );
    out.push_str(KEYS);
    out.push_str("</script>\n</body>\n</html>\n");
}
