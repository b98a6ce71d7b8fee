//! Drawings in SVG: a text into vector paths in black and tints of black.
//!
//! Takes the text of a file, gives a [`Drawing`] and its size, or a complaint with the place in that file. Opens nothing and
//! follows no address. A drawing is set whole or not at all: what is not set (text, gradients, patterns, masks, filters, pictures
//! in it, half-transparent ink) would be missing on paper, so a drawing that uses it is refused with what to do. Sources: *SVG 1.1*
//! (second edition) as the library reads it; luminance by the weights of Recommendation ITU-R BT.709, as pictures have it.

mod bounds;
mod paths;
mod reach;
#[cfg(test)]
mod tests;

use crate::diag::{FileId, Place, Sink, guarded};
use crate::frame::Drawing;
use std::sync::Arc;

/// A drawing that was read.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// The drawing at the size that it gives itself, 96 units to the inch.
    pub drawing: Arc<Drawing>,
    /// Whether it says how wide it is; else it is as wide as its column.
    pub says_width: bool,
}

/// No drawing is larger than this, in bytes.
const MOST_BYTES: usize = 1 << 20;

/// Why a drawing is not set: where in its text, and what to do.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Refusal {
    kind: Kind,
    line: u32,
    column: u32,
    /// Ends the sentence "the drawing ...".
    why: String,
    hint: &'static str,
}

/// What a refusal is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// It is damaged, or more than a book can hold.
    Bad,
    /// It has a part that we don't set.
    Part,
}

/// Reads a drawing named `path`; complains and gives nothing if it can't be set as it is meant.
pub fn read(path: &str, text: &str, file: FileId, sink: &mut Sink) -> Option<Picture> {
    let damaged = || refusal(Kind::Bad, (1, 1), "is damaged", "save it anew from the program that drew it");
    match guarded(|| read_trusting(text)).unwrap_or_else(|| Err(damaged())) {
        Ok(picture) => Some(picture),
        Err(Refusal { kind, line, column, why, hint }) => {
            let place = Some(Place::new(file, line, column));
            let message = format!("the drawing `{path}` {why}; the words in its brackets stand for it");
            let complaint = match kind {
                Kind::Bad => sink.warn(code!("bad-drawing"), place, message),
                Kind::Part => sink.warn(code!("drawing-part"), place, message),
            };
            complaint.hints.push(hint.into());
            None
        }
    }
}

/// The same, trusting that the library bears what has passed the bounds.
fn read_trusting(text: &str) -> Result<Picture, Refusal> {
    if text.len() > MOST_BYTES {
        let why = format!("is larger than {} kilobytes", MOST_BYTES >> 10);
        return Err(refusal(
            Kind::Bad,
            (1, 1),
            why,
            "draw it with fewer points, or save it as a PNG of 300 pixels to the inch",
        ));
    }
    let document = bounds::parse(text)?;
    let says_width = document.root_element().attribute("width").is_some_and(|width| !width.trim_end().ends_with('%'));
    let drawing = Arc::new(paths::drawing(&document)?);
    Ok(Picture { drawing, says_width })
}

fn refusal(kind: Kind, (line, column): (u32, u32), why: impl Into<String>, hint: &'static str) -> Refusal {
    Refusal { kind, line, column, why: why.into(), hint }
}

/// Where an element begins.
fn place_of(node: roxmltree::Node<'_, '_>) -> (u32, u32) {
    let pos = node.document().text_pos_at(node.range().start);
    (pos.row, pos.col)
}
