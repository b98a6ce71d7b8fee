//! How far the ink of every page of the demo books keeps from the edges, under every binding.
//!
//! What a binding takes of the paper is [`bound`]'s answer (trade sheets and ISO 838, named there); 5 mm at the other edges
//! are *common practice, no source*.

use super::{compose, plan};
use crate::book::{self, bound};
use crate::diag::{Sink, Sources};
use crate::font::Fonts;
use crate::geom::{Abs, Point, Rect};
use crate::page::{Document, Side};
use crate::sheet::inks;
use crate::style::Binding;
use rayon::prelude::*;
use std::fs;

/// A demo book in an edition, bound and sized otherwise.
fn document(folder: &str, edition: Option<&str>, size: &str, binding: &str, fonts: &Fonts) -> (Document, Binding) {
    let path = format!("books/{folder}/book.yaml");
    let (mut sources, mut sink) = (Sources::default(), Sink::default());
    let mut files = |name: &str| -> Result<Vec<u8>, String> {
        let bytes = fs::read(name).map_err(|error| error.to_string())?;
        if name != path {
            return Ok(bytes);
        }
        let text = String::from_utf8_lossy(&bytes).into_owned();
        let lines = text.lines().map(|line| match line.starts_with("page: ") {
            true => format!("page: {{size: {size}, binding: {binding}, tunes: new-page}}"),
            false => line.to_owned(),
        });
        Ok(lines.collect::<Vec<_>>().join("\n").into_bytes())
    };
    let book = book::read(&path, edition, &mut files, &mut sources, &mut sink).expect("a demo book reads");
    let planned = plan(&book, &mut sink);
    (compose(&planned, fonts, &mut sink), book.page.binding)
}

/// Ink too near an edge, in words: page, edge, how far it is.
fn too_near(document: &Document, binding: Binding, fonts: &Fonts) -> Vec<String> {
    let mut found = Vec::new();
    for page in &document.pages {
        let size = page.frame.size;
        let mut least = [Abs::mm(1000.0); 4];
        inks(&page.frame, Point::default(), fonts, &mut |ink, _| {
            let (left, right) = (ink.min.x, size.width - ink.max.x);
            let (inner, outer) = if page.side == Side::Recto { (left, right) } else { (right, left) };
            for (least, now) in least.iter_mut().zip([inner, outer, ink.min.y, size.height - ink.max.y]) {
                *least = least.min(now);
            }
        });
        let wanted = [bound(binding).1, EDGE, EDGE, EDGE];
        for (edge, (least, wanted)) in ["inner", "outer", "head", "foot"].iter().zip(least.into_iter().zip(wanted)) {
            if least.to_mm() < wanted - 1e-6 {
                found.push(format!("page {}: {edge} {:.2} of {wanted} mm", page.label, least.to_mm()));
            }
        }
    }
    found
}

/// Least distance of ink from the edges that nothing is bound at, in millimetres.
const EDGE: f64 = 5.0;

#[test]
fn ink_keeps_clear_of_the_binding_and_of_the_edges() {
    let fonts = Fonts::embedded();
    let mut jobs = Vec::new();
    for binding in ["saddle", "perfect", "comb", "wire", "ring", "none"] {
        jobs.push(("lantern-nights", None, "a4", binding));
    }
    jobs.extend(["saddle", "perfect"].map(|binding| ("lantern-nights", None, "a5", binding)));
    jobs.extend(["saddle", "ring"].map(|binding| ("lantern-nights", Some("large-print"), "a4", binding)));
    jobs.push(("lantern-nights", Some("teacher"), "a4", "saddle"));
    jobs.push(("first-steps", None, "letter", "wire"));
    let found: Vec<String> = jobs
        .into_par_iter()
        .flat_map_iter(|(folder, edition, size, binding)| {
            let (document, known) = document(folder, edition, size, binding, &fonts);
            let found = too_near(&document, known, &fonts);
            found.into_iter().map(move |fault| format!("{folder} {edition:?} {size} {binding}: {fault}"))
        })
        .collect();
    assert!(found.is_empty(), "{found:#?}");
}

/// The check can fail: a dot in the holes of a ring binder, and one at the head.
#[test]
fn ink_that_is_too_near_is_found() {
    let fonts = Fonts::embedded();
    let (mut document, binding) = document("first-steps", None, "a4", "ring", &fonts);
    let dot = |x, y| Rect::new(Point::new(Abs::mm(x), Abs::mm(y)), Point::new(Abs::mm(x + 1.0), Abs::mm(y + 1.0)));
    document.pages[0].frame.fill_rect(dot(17.0, 100.0), crate::frame::Ink::Black);
    document.pages[0].frame.fill_rect(dot(100.0, 4.0), crate::frame::Ink::Black);
    let found = too_near(&document, binding, &fonts);
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found[0].contains("inner 17.00 of 20 mm") && found[1].contains("head 4.00 of 5 mm"), "{found:?}");
}
