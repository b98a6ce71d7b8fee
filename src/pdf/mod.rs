//! Sheets into bytes, and finished files back into facts.
//!
//! Takes pages on sheets; gives one PDF: printpdf owns the skeleton (fonts, page objects, Info), our own writer makes the
//! content streams, which are audited and deflated in parallel, lopdf finishes and saves. Same input, same bytes. Knows no
//! music.

mod audit;
mod content;
mod finish;
mod intent;
mod leaves;
mod load;
mod manifest;
mod operand;
mod options;
mod outline;
mod output_profile;
mod pack;
mod packed;
mod paint;
mod preflight;
mod profile;
mod record;
mod save;
mod skeleton;
mod stamps;
mod structure;
mod tagging;
mod tags;
#[cfg(test)]
mod tests;
mod typeset;
mod xmp;

pub use audit::{Promise, audit};
pub use load::LARGEST;
pub use manifest::{ManifestError, manifest};
pub use options::{PdfError, PdfOptions, PressStandard, Purpose};
pub use output_profile::{OutputProfile, ProfileSpace};
pub use preflight::{Check, Outcome as Verdict, Report, Standard, preflight};
pub use record::{DIGEST_VERSION, changed_blocks, record};

use crate::font::{FaceId, Fonts};
use crate::frame::{Frame, Image, Uses};
use crate::page::{Document, Manifest};
use crate::sheet::Sheet;
use rayon::prelude::*;
use sha2::{Digest as _, Sha256};
use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::sync::Arc;
use twox_hash::XxHash3_128;

/// The catalog's key for the record. The prefix keeps it apart from other writers' private keys (ISO 32000-1, annex E).
const KEY: &str = "BXWR_Record";

/// Writes the sheets of a document as one PDF. The document's record, with digests filled in, goes with it; a file of a few
/// sheets only carries the record of the whole document.
///
/// # Errors
/// See [`PdfError`]; nothing is written then.
pub fn write(document: &Document, sheets: &[Sheet], fonts: &Fonts, options: &PdfOptions) -> Result<Vec<u8>, PdfError> {
    bind(document, sheets, fonts, options, Ledger::Inks(record::Inks::new(document, fonts)))
}

/// As [`write()`], with a record that [`record()`] has made of the same document already.
///
/// # Errors
/// See [`PdfError`]; nothing is written then.
pub fn write_recorded(
    document: &Document,
    record: &Manifest,
    sheets: &[Sheet],
    fonts: &Fonts,
    options: &PdfOptions,
) -> Result<Vec<u8>, PdfError> {
    bind(document, sheets, fonts, options, Ledger::Known(record))
}

/// Where the record comes from.
enum Ledger<'a> {
    /// It has been made.
    Known(&'a Manifest),
    /// It is made of the pages' inks, each hashed while its page is at hand.
    Inks(record::Inks<'a>),
}

fn bind(
    document: &Document,
    sheets: &[Sheet],
    fonts: &Fonts,
    options: &PdfOptions,
    ledger: Ledger<'_>,
) -> Result<Vec<u8>, PdfError> {
    if sheets.is_empty() {
        return Err(PdfError::NoSheets);
    }
    if options.purpose == Purpose::Press(PressStandard::X1a2003) && options.condition.is_empty() {
        return Err(PdfError::Option("PDF/X-1a wants the name of a registered output condition".to_owned()));
    }
    let named = || typeset::private_use(fonts.face(fonts.music_face()));
    let (uses, named) = rayon::join(|| uses(document, sheets), named);
    let uses = uses?;
    let typeset = typeset::Typeset::new(&uses, &named, fonts);
    let stamps = stamps::Stamps::of(uses.stamps());
    let images: BTreeMap<Arc<str>, (String, &Image)> = uses
        .images()
        .iter()
        .enumerate()
        .map(|(index, (key, image))| (key.clone(), (format!("Im{index}"), image)))
        .collect();
    let names: BTreeMap<Arc<str>, String> = images.iter().map(|(key, (name, _))| (key.clone(), name.clone())).collect();
    let painting = paint::Painting {
        document,
        typeset: &typeset,
        images: &names,
        stamps: &stamps,
        tagged: options.is_reading(),
        spot: options.press_spot().is_some(),
    };
    for form in &stamps.forms {
        let fault = |fault| PdfError::Audit { sheet: "a drawn sign".to_owned(), fault };
        audit(&form.content, Promise::default()).map_err(fault)?;
    }
    let promise = Promise { spot: painting.spot, images: !images.is_empty() || !stamps.forms.is_empty() };
    let side = |sheet: &Sheet| {
        let packed = pack::with(|packer| pack(sheet, painting, promise, packer));
        if let Ledger::Inks(inks) = &ledger {
            sheet.pages.iter().for_each(|placement| inks.take(placement.page));
        }
        packed
    };
    let sides = || sheets.par_iter().map(side).collect::<Result<Vec<finish::Packed>, PdfError>>();
    let (sides, skeleton) = rayon::join(sides, || skeleton::skeleton(sheets, &typeset, fonts));
    let (sides, skeleton) = (sides?, skeleton?);
    drop(typeset);
    let record = || match ledger {
        Ledger::Known(record) => manifest::Packed::of(record),
        Ledger::Inks(inks) => manifest::Packed::of(&inks.record()),
    };
    finish::finish(
        skeleton,
        sides,
        record,
        &finish::Parts { document, sheets, options, images: &images, stamps: &stamps },
    )
}

/// Paints, audits and deflates one side.
fn pack(
    sheet: &Sheet,
    painting: paint::Painting<'_>,
    promise: Promise,
    packer: &mut pack::Packer,
) -> Result<finish::Packed, PdfError> {
    let mut side = paint::paint(sheet, painting, std::mem::take(&mut packer.page))?;
    let operators = std::mem::take(&mut side.content);
    audit(&operators, promise).map_err(|fault| PdfError::Audit { sheet: sheet.label.clone(), fault })?;
    let content = packer.pack(&operators);
    packer.page = operators;
    Ok(finish::Packed { hash: XxHash3_128::oneshot(&content), content, side })
}

/// What tells one finished file from another: SHA-256 (FIPS 180-4), which any system can reckon, in hexadecimal digits.
pub fn file_digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().fold(String::with_capacity(64), |mut digits, byte| {
        let _ = write!(digits, "{byte:02x}");
        digits
    })
}

/// Faces of the book's own of which the part that its pages and its cover use cannot be put into a file, with the reason: [`write()`]
/// would stop at the first of them.
pub fn unfit(document: &Document, fonts: &Fonts) -> Vec<(FaceId, String)> {
    let own: Vec<FaceId> = fonts.own_files().map(|(face, _)| face).collect();
    if own.is_empty() {
        return Vec::new();
    }
    let mut used = document.uses.clone().unwrap_or_else(|| {
        let mut used = Uses::default();
        document.pages.iter().for_each(|page| used.take(&page.frame));
        used
    });
    if let Some(cover) = &document.cover {
        cover.frames().for_each(|frame| used.take(frame));
    }
    let typeset = typeset::Typeset::new(&used, &[], fonts);
    let faces = typeset.faces().filter(|embedded| own.contains(&embedded.face));
    let why = |error: PdfError| match error {
        PdfError::Font { reason, .. } => reason,
        other => other.to_string(),
    };
    faces.filter_map(|embedded| Some((embedded.face, why(skeleton::parse(embedded, fonts).err()?)))).collect()
}

/// What is used by the pages that are painted, and the marks beside them.
fn uses(document: &Document, sheets: &[Sheet]) -> Result<Uses, PdfError> {
    let mut painted = vec![false; document.pages.len()];
    for sheet in sheets {
        for placement in &sheet.pages {
            let page = painted.get_mut(placement.page);
            *page.ok_or_else(|| PdfError::NoSuchPage { sheet: sheet.label.clone(), page: placement.page })? = true;
        }
    }
    let mut marks = Uses::default();
    sheets.iter().for_each(|sheet| marks.take(&sheet.marks));
    // Layout has seen what all pages use; a file of a few sheets carries no more than they do.
    if let Some(known) = document.uses.as_ref().filter(|_| painted.iter().all(|painted| *painted)) {
        let mut all = known.clone();
        all.then(marks);
        return Ok(all);
    }
    let pages: Vec<&Frame> =
        document.pages.iter().zip(painted).filter_map(|(page, painted)| painted.then_some(&page.frame)).collect();
    let mut all = pages
        .par_chunks(32)
        .map(|part| {
            let mut uses = Uses::default();
            part.iter().for_each(|frame| uses.take(frame));
            uses
        })
        .reduce(Uses::default, |mut all, later| {
            all.then(later);
            all
        });
    all.then(marks);
    Ok(all)
}
