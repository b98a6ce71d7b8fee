//! Faces that a book brings: font files checked, and each put in the place of its weight and slant.
//!
//! Takes names and bytes of files, gives faces; must not know where the files lie. Sources: OpenType specification 1.9, table
//! OS/2 (`usWeightClass`, `fsSelection`, and `fsType`, by which a font says whether it may be embedded).

use super::bounds;
use super::face::{Face, FaceId, said};
use super::features::Features;
use super::shape::shape;
use super::{Weight, face};
use crate::diag::{Place, Sink, guarded};
use crate::geom::Em;
use ttf_parser::Permissions;

/// A book brings at most so many font files.
pub const MOST_FONTS: usize = 24;
/// No font file is larger than this, in bytes.
const MOST_BYTES: usize = 16 << 20;
/// The letters that every face must have: labels, figures and addresses are made of them.
const LETTERS: &str = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789";
/// No letter is wider than this.
const WIDEST: Em = Em::em(3.0);
/// Shaping the alphabet gives no more glyphs than this in a font that is what it says.
const MOST_GLYPHS: usize = 400;

/// The faces of one family by weight and slant.
#[derive(Debug, Clone)]
pub(super) struct Own {
    name: String,
    /// Regular, semibold, bold; each upright and italic.
    places: [FaceId; 6],
    /// The face of the first file, and the names of all files that gave one.
    first: usize,
    files: Vec<String>,
}

impl Own {
    /// The family of some files, its faces numbered from `first`; `None` if no file is fit. Each file that is not is an error.
    pub(super) fn read(
        files: &[(String, Vec<u8>)],
        first: usize,
        place: Option<Place>,
        sink: &mut Sink,
    ) -> Option<(Self, Vec<Face>)> {
        let mut faces: Vec<Face> = Vec::new();
        let mut known: Vec<(usize, &str)> = Vec::new();
        if files.len() > MOST_FONTS {
            let message = format!("a family has at most {MOST_FONTS} fonts, and this folder has {}", files.len());
            sink.error(code!("unfit-font"), place, message).hints.push("leave those in it that the book uses".into());
            return None;
        }
        for (name, bytes) in files {
            let damaged = || unfit("is damaged", "take it anew from where it came from");
            let fit = guarded(|| fit(name, bytes)).unwrap_or_else(damaged).and_then(|face| {
                let slot = slot(&face);
                match known.iter().find(|(taken, _)| *taken == slot) {
                    Some((_, other)) => Err(Unfit {
                        why: format!("has the weight and the slant of `{other}`"),
                        hint: "a family has one font for each; take one of the two out of the folder",
                    }),
                    None => Ok((face, slot)),
                }
            });
            match fit {
                Ok((face, slot)) => {
                    known.push((slot, name));
                    faces.push(face);
                }
                Err(unfit) => {
                    sink.error(code!("unfit-font"), place, format!("the font `{name}` {}", unfit.why))
                        .hints
                        .push(unfit.hint.into());
                }
            }
        }
        let slots: Vec<usize> = known.iter().map(|(slot, _)| *slot).collect();
        let regular = faces.get(nearest(&slots, 0)?)?;
        let family = said(regular.parsed(), ttf_parser::name_id::FAMILY).unwrap_or_else(|| regular.name.clone());
        let name: String = family.chars().filter(|c| !c.is_control()).take(80).collect();
        let mut places = [FaceId::from_index(0); 6];
        for (slot, place) in places.iter_mut().enumerate() {
            *place = FaceId::from_index(u16::try_from(first + nearest(&slots, slot)?).ok()?);
        }
        let files = known.into_iter().map(|(_, name)| name.to_owned()).collect();
        Some((Self { name, places, first, files }, faces))
    }
    /// Its faces with the names of their files.
    pub(super) fn files(&self) -> impl Iterator<Item = (FaceId, &str)> {
        self.files.iter().enumerate().filter_map(|(n, name)| {
            let face = FaceId::from_index(u16::try_from(self.first + n).ok()?);
            Some((face, name.as_str()))
        })
    }
    /// The family's name.
    pub(super) fn name(&self) -> &str {
        &self.name
    }
    /// The face of a weight and slant, or the nearest there is.
    pub(super) const fn face(&self, weight: Weight, italic: bool) -> FaceId {
        self.places[weight as usize * 2 + italic as usize]
    }
}

/// Why a file is no use, and what to do.
struct Unfit {
    why: String,
    hint: &'static str,
}

fn unfit<T>(why: &str, hint: &'static str) -> Result<T, Unfit> {
    Err(Unfit { why: why.to_owned(), hint })
}

/// The face of a file, if a book may be set and printed in it.
fn fit(name: &str, bytes: &[u8]) -> Result<Face, Unfit> {
    if bytes.len() > MOST_BYTES {
        return unfit("is larger than 16 MB", "a text face is a tenth of that; take another file of it");
    }
    if bytes.starts_with(b"ttcf") {
        return unfit("is a collection of fonts", "give each font as a file of its own");
    }
    let Some(parsed) = ttf_parser::Face::parse(bytes, 0).ok() else {
        return unfit("is no font that can be read, or is damaged", "take it anew from where it came from");
    };
    // The second version of the compact format is made for variable fonts.
    let is_second = parsed.raw_face().table(ttf_parser::Tag::from_bytes(b"CFF2")).is_some();
    if parsed.tables().fvar.is_some() || is_second {
        return unfit(
            "is a variable font",
            "give the weights you want as fonts of their own, which its maker offers too",
        );
    }
    // A font without the table says nothing of its rights; the specification asks for the table.
    if parsed.tables().os2.is_none() {
        return unfit(
            "lacks the table that says what it is and may",
            "take it anew from where it came from, or another font",
        );
    }
    match parsed.permissions() {
        Some(Permissions::Restricted) | None => {
            return unfit("says that it may not be embedded", "ask its maker for a licence, or take another font");
        }
        Some(Permissions::Installable | Permissions::PreviewAndPrint | Permissions::Editable) => {}
    }
    if !parsed.is_subsetting_allowed() || !parsed.is_outline_embedding_allowed() {
        let hint = "a book holds the part of a font that it uses; ask its maker for a licence, or take another font";
        return unfit("says that no part of it may be embedded", hint);
    }
    if bounds::count(parsed.raw_face(), parsed.number_of_glyphs()).is_err() {
        return unfit("has a letter of too many parts", "take it anew from where it came from, or another font");
    }
    let postscript = said(&parsed, ttf_parser::name_id::POST_SCRIPT_NAME).unwrap_or_else(|| name.to_owned());
    let Some(mut face) = Face::own(bytes.to_vec(), plain(&postscript)) else {
        return unfit("is damaged", "take it anew from where it came from");
    };
    let lacks = LETTERS.chars().find(|c| {
        let glyph = face.glyph(*c).filter(|glyph| *glyph > 0);
        glyph.is_none_or(|glyph| face.ink(glyph).is_none() || !is_width(face.advance(glyph)))
    });
    if let Some(letter) = lacks {
        let why = format!("has no letter `{letter}` that can be drawn");
        return Err(Unfit {
            why,
            hint: "a book's own family needs the letters A to Z, small and capital, and the figures",
        });
    }
    let shaped = shape(&face, LETTERS, Features::default());
    if shaped.len() > MOST_GLYPHS || shaped.iter().any(|glyph| glyph.advance.raw().abs() > WIDEST.raw()) {
        return unfit(
            "is damaged: its rules for joining letters don't end well",
            "take it anew from where it came from",
        );
    }
    // The drawn letters are surer than the numbers in the tables.
    let top = |c| face.glyph(c).and_then(|glyph| face.ink(glyph)).map_or(Em::em(0.6), |ink| ink.max.y);
    let (capital, small) = (top('H'), top('x'));
    face.metrics = face::Metrics {
        ascent: face.metrics.ascent.max(capital).min(Em::em(1.5)),
        descent: face.metrics.descent.max(Em::em(-0.8)).min(Em::ZERO),
        cap_height: capital.max(Em::em(0.2)).min(Em::em(1.2)),
        x_height: small.max(Em::em(0.1)).min(Em::em(1.2)),
    };
    Ok(face)
}

fn is_width(advance: Em) -> bool {
    advance > Em::ZERO && advance <= WIDEST
}

/// A name that may stand in a PDF file: letters, figures and hyphens of ASCII.
fn plain(name: &str) -> String {
    let plain: String = name.chars().filter(|c| c.is_ascii_alphanumeric() || *c == '-').take(60).collect();
    if plain.is_empty() { "Own".to_owned() } else { plain }
}

/// The place of a face: twice the weight, and one more for italics.
fn slot(face: &Face) -> usize {
    let weight = match face.parsed().weight().to_number() {
        0..=500 => Weight::Regular,
        501..=650 => Weight::Semibold,
        _ => Weight::Bold,
    };
    weight as usize * 2 + usize::from(face.parsed().is_italic() || face.parsed().is_oblique())
}

/// The index of the slot that does best for the one wanted: the weight nearest to it, the heavier first, in its own slant;
/// where a family has no italics, an upright face one weight heavier, so that what is stressed still shows.
fn nearest(slots: &[usize], wanted: usize) -> Option<usize> {
    const BEST: [[usize; 6]; 6] = [
        [0, 2, 4, 1, 3, 5],
        [1, 3, 5, 2, 4, 0],
        [2, 4, 0, 3, 5, 1],
        [3, 5, 1, 4, 2, 0],
        [4, 2, 0, 5, 3, 1],
        [5, 3, 1, 4, 2, 0],
    ];
    BEST[wanted].iter().find_map(|slot| slots.iter().position(|known| known == slot))
}

#[cfg(test)]
#[path = "own_tests.rs"]
mod tests;
