//! The document's skeleton by printpdf: fonts, page objects, Info; handed over as a lopdf document, and mended.
//!
//! Takes the embedded faces and the number of sides; gives the document and its pages' ids. What printpdf writes loosely
//! (widths, Unicode maps, descriptors) is written again here from our own figures. Sources: ISO 32000-1, 9.7, 9.8.

use super::options::PdfError;
use super::typeset::{Embedded, Typeset};
use crate::font::Fonts;
use crate::sheet::Sheet;
use lopdf::{Dictionary, Document, Object, ObjectId, Stream};
use printpdf::{
    Codepoint, FontId, Mm, Op, ParsedFont, PdfDocument, PdfFont, PdfFontHandle, PdfPage, PdfSaveOptions, Pt, TextItem,
};
use rayon::prelude::*;

/// A document without content: the pages' ids in order, and the one dictionary of fonts that all pages share.
pub(super) struct Skeleton {
    /// The document.
    pub(super) file: Document,
    /// The pages.
    pub(super) pages: Vec<ObjectId>,
    /// The shared dictionary of fonts.
    pub(super) fonts: ObjectId,
}

/// Makes the skeleton.
pub(super) fn skeleton(sheets: &[Sheet], typeset: &Typeset, fonts: &Fonts) -> Result<Skeleton, PdfError> {
    let mut document = PdfDocument::new("");
    let mut register = Vec::new();
    let faces: Vec<&Embedded> = typeset.faces().collect();
    let parsed: Vec<ParsedFont> =
        faces.par_iter().map(|embedded| parse(embedded, fonts)).collect::<Result<_, PdfError>>()?;
    for (embedded, parsed) in faces.into_iter().zip(parsed) {
        let name = resource(embedded);
        document.resources.fonts.map.insert(FontId(name.clone()), PdfFont::new(parsed));
        // printpdf embeds what it sees used; one glyph is enough, since the program is a subset already.
        register.push(Op::SetFont { font: PdfFontHandle::External(FontId(name)), size: Pt(1.0) });
        let glyph = Codepoint::with_cid(1.min(last_code(embedded)), 0.0, " ".to_owned());
        register.push(Op::ShowText { items: vec![TextItem::GlyphIds(vec![glyph])] });
    }
    document.pages = sheets.iter().map(|_| PdfPage::new(Mm(1.0), Mm(1.0), std::mem::take(&mut register))).collect();
    let options = PdfSaveOptions { optimize: true, subset_fonts: false, secure: false, image_optimization: None };
    let mut file = document.to_lopdf_document(&options, &mut Vec::new());
    let pages: Vec<ObjectId> = file.page_iter().collect();
    let first = *pages.first().ok_or(PdfError::NoSheets)?;
    let shared = shared_fonts(&file, first)?;
    mend_fonts(&mut file, shared, typeset, fonts)?;
    Ok(Skeleton { file, pages, fonts: shared })
}

/// Subsets a face and reads the subset again.
fn parse(embedded: &Embedded, fonts: &Fonts) -> Result<ParsedFont, PdfError> {
    let fault = || PdfError::Font { face: embedded.name.clone(), reason: "the subset cannot be read again".to_owned() };
    let mut parsed = ParsedFont::from_bytes(&embedded.program(fonts)?, 0, &mut Vec::new()).ok_or_else(fault)?;
    parsed.font_name = Some(embedded.name.clone());
    Ok(parsed)
}

/// The resource name of a face.
pub(super) fn resource(embedded: &Embedded) -> String {
    format!("T{}", embedded.face.index())
}

fn last_code(embedded: &Embedded) -> u16 {
    u16::try_from(embedded.glyphs.len().saturating_sub(1)).unwrap_or(u16::MAX)
}

fn shared_fonts(file: &Document, page: ObjectId) -> Result<ObjectId, PdfError> {
    let resources = file.get_dictionary(page)?.get(b"Resources")?;
    let resources = file.dereference(resources)?.1.as_dict()?;
    Ok(resources.get(b"Font")?.as_reference()?)
}

fn mend_fonts(file: &mut Document, shared: ObjectId, typeset: &Typeset, fonts: &Fonts) -> Result<(), PdfError> {
    let mut programs = Vec::new();
    for embedded in typeset.faces() {
        let id = file.get_dictionary(shared)?.get(resource(embedded).as_bytes())?.as_reference()?;
        let font = file.get_dictionary(id)?;
        let map = font.get(b"ToUnicode")?.as_reference()?;
        let descendant = match font.get(b"DescendantFonts")?.as_array()?.first() {
            Some(Object::Dictionary(dictionary)) => dictionary.clone(),
            _ => return Err(PdfError::Library("a composite font lacks its descendant".to_owned())),
        };
        let descriptor = descendant.get(b"FontDescriptor")?.as_reference()?;
        file.set_object(map, deflated(Dictionary::new(), embedded.to_unicode().as_bytes()));
        programs.push(mend_descriptor(file, descriptor, embedded, fonts)?);
        let is_cff = fonts.face(embedded.face).is_cff;
        let descendant = mend_descendant(descendant, embedded, is_cff);
        let descendant = file.add_object(descendant);
        let font = file.get_dictionary_mut(id)?;
        font.set("DescendantFonts", vec![Object::Reference(descendant)]);
    }
    let bare: Vec<(ObjectId, Stream)> =
        programs.into_iter().filter_map(|id| Some((id, file.objects.remove(&id)?.as_stream().ok()?.clone()))).collect();
    let packed: Vec<(ObjectId, Stream)> = bare
        .into_par_iter()
        .map(|(id, stream)| {
            let is_packed = stream.dict.has(b"Filter");
            (id, if is_packed { stream } else { deflated(stream.dict, &stream.content) })
        })
        .collect();
    file.objects.extend(packed.into_iter().map(|(id, stream)| (id, Object::Stream(stream))));
    Ok(())
}

fn mend_descendant(mut descendant: Dictionary, embedded: &Embedded, is_cff: bool) -> Dictionary {
    let widths: Vec<Object> = embedded.glyphs.iter().map(|glyph| i64::from(glyph.width).into()).collect();
    descendant.set("W", vec![Object::Integer(0), Object::Array(widths)]);
    descendant.set("DW", 0);
    if !is_cff {
        // ISO 19005-2, 6.2.11.3.2: embedded TrueType CID fonts say how codes lead to glyphs.
        descendant.set("CIDToGIDMap", Object::Name("Identity".into()));
    }
    descendant
}

/// Flags: symbolic, since the glyphs are not the standard Latin set (ISO 32000-1, table 123); italic and serif as the name
/// says. Heights come from the whole face, not from what the subset kept. Gives the font program.
fn mend_descriptor(
    file: &mut Document,
    id: ObjectId,
    embedded: &Embedded,
    fonts: &Fonts,
) -> Result<ObjectId, PdfError> {
    const SERIF: i64 = 1 << 1;
    const SYMBOLIC: i64 = 1 << 2;
    const ITALIC: i64 = 1 << 6;
    let face = fonts.face(embedded.face);
    let is_italic = face.name.contains("It");
    let is_serif = face.name.contains("Serif");
    let flags = SYMBOLIC + if is_italic { ITALIC } else { 0 } + if is_serif { SERIF } else { 0 };
    let descriptor = file.get_dictionary_mut(id)?;
    descriptor.set("Flags", flags);
    descriptor.set("CapHeight", thousandths(face.metrics.cap_height.raw()));
    descriptor.set("Ascent", thousandths(face.metrics.ascent.raw()));
    descriptor.set("Descent", thousandths(face.metrics.descent.raw()));
    let program =
        ["FontFile2", "FontFile3"].iter().find_map(|key| descriptor.get(key.as_bytes()).ok()?.as_reference().ok());
    program.ok_or_else(|| PdfError::Font {
        face: embedded.name.clone(),
        reason: "its program was not embedded".to_owned(),
    })
}

fn thousandths(ems: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "a height in thousandths of an em")]
    let whole = (ems * 1000.0).round() as i64;
    whole
}

/// A stream whose bytes are deflated here.
pub(super) fn deflated(dictionary: Dictionary, bytes: &[u8]) -> Stream {
    packed(dictionary, deflate(bytes))
}

/// A stream of bytes that are deflated already.
pub(super) fn packed(mut dictionary: Dictionary, bytes: Vec<u8>) -> Stream {
    dictionary.set("Filter", Object::Name("FlateDecode".into()));
    Stream::new(dictionary, bytes).with_compression(false)
}

/// Deflates bytes that are no page.
pub(super) fn deflate(bytes: &[u8]) -> Vec<u8> {
    Packer::quick().pack(bytes)
}

/// A deflater that is used again: its tables weigh more than a page.
#[derive(Debug)]
pub(super) struct Packer {
    compress: flate2::Compress,
    room: Vec<u8>,
    /// Room for the operators of a page, kept from page to page.
    pub(super) page: Vec<u8>,
}

/// The levels of deflating, of pages and of all else. Measured on pages of music with zlib-rs, in instructions and bytes
/// against level 6: level 9 takes three times as long for the same bytes, level 3 saves a seventh of the work and costs 5 per
/// cent more bytes, level 2 saves a third and costs 13.
const OF_PAGES: u32 = 3;
const OF_THE_REST: u32 = 2;

impl Packer {
    /// A deflater for pages.
    pub(super) fn new() -> Self {
        Self::at(OF_PAGES)
    }
    /// A deflater for the record, the structure and whatever else is no page.
    pub(super) fn quick() -> Self {
        Self::at(OF_THE_REST)
    }
    fn at(level: u32) -> Self {
        let compress = flate2::Compress::new(flate2::Compression::new(level), true);
        Self { compress, room: Vec::new(), page: Vec::new() }
    }
    /// Deflates bytes, on their own. A carriage return at the end would be taken for a part of the line end that comes before
    /// `endstream` (PDF/A-2 asks that the length be told right, ISO 19005-2, 6.1.7.1); the byte put after it is beyond the end
    /// of the deflated data, where no reader looks.
    pub(super) fn pack(&mut self, bytes: &[u8]) -> Vec<u8> {
        self.compress.reset();
        self.room.clear();
        loop {
            // What cannot be made smaller grows by a few bytes in each 32 KB block.
            self.room.reserve(bytes.len() / 2 + 1024);
            let done = usize::try_from(self.compress.total_in()).unwrap_or(bytes.len()).min(bytes.len());
            let status = self.compress.compress_vec(&bytes[done..], &mut self.room, flate2::FlushCompress::Finish);
            if status.expect("deflating into memory does not fail") == flate2::Status::StreamEnd {
                if self.room.last() == Some(&b'\r') {
                    self.room.push(b'\n');
                }
                return self.room.as_slice().to_vec();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::deflate;
    use std::io::Read;

    #[test]
    fn no_deflated_stream_ends_in_a_carriage_return() {
        // The check sum of these bytes ends in 13.
        for bytes in [vec![12], vec![6, 6], vec![255, 255, 14]] {
            let packed = deflate(&bytes);
            assert_eq!(packed[packed.len() - 2..], *b"\r\n");
            let mut back = Vec::new();
            flate2::read::ZlibDecoder::new(packed.as_slice()).read_to_end(&mut back).expect("it unpacks");
            assert_eq!(back, bytes);
        }
    }
}
