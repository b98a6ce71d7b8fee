//! The document's skeleton by printpdf: fonts, page objects, Info; handed over as a lopdf document, and mended.
//!
//! Takes the embedded faces and the number of sides; gives the document and its pages' ids. What printpdf writes loosely
//! (widths, Unicode maps, descriptors) is written again here from our own figures. Sources: ISO 32000-1, 9.7, 9.8.

use super::options::PdfError;
use super::pack::deflated;
use super::typeset::{Embedded, Typeset};
use crate::font::Fonts;
use crate::sheet::Sheet;
use lopdf::{Dictionary, Document, Object, ObjectId, Stream};
use printpdf::{
    Codepoint, FontId, Mm, Op, ParsedFont, PdfDocument, PdfFont, PdfFontHandle, PdfPage, PdfSaveOptions, Pt, TextItem,
};
use rayon::prelude::*;

/// A document whose pages and content are still to come: it has their ids in order, and the one dictionary of fonts that all
/// pages share.
pub(super) struct Skeleton {
    /// The document.
    pub(super) file: Document,
    /// The node that holds all pages.
    pub(super) tree: ObjectId,
    /// The pages.
    pub(super) pages: Vec<ObjectId>,
    /// Their content streams.
    pub(super) contents: Vec<ObjectId>,
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
    // One page, for the fonts' sake: it goes again, and our own take its place, written when all is known of them.
    document.pages = vec![PdfPage::new(Mm(1.0), Mm(1.0), register)];
    let options = PdfSaveOptions { optimize: true, subset_fonts: false, secure: false, image_optimization: None };
    let mut file = document.to_lopdf_document(&options, &mut Vec::new());
    let model = file.page_iter().next().ok_or(PdfError::NoSheets)?;
    let shared = shared_fonts(&file, model)?;
    mend_fonts(&mut file, shared, typeset, fonts)?;
    let tree = take_out(&mut file, model, shared)?;
    let pages: Vec<ObjectId> = sheets.iter().map(|_| file.new_object_id()).collect();
    let contents = sheets.iter().map(|_| file.new_object_id()).collect();
    let node = file.get_dictionary_mut(tree)?;
    node.set("Count", i64::try_from(pages.len()).unwrap_or(i64::MAX));
    node.set("Kids", Object::Array(pages.iter().copied().map(Object::Reference).collect()));
    Ok(Skeleton { file, tree, pages, contents, fonts: shared })
}

/// Takes printpdf's page out of the file with all that it alone leads to, but for the fonts. Gives the node that held it. The numbers
/// are kept for nothing: in a file that was never updated the cross-reference section is one run from 0 on (ISO 32000-1, 7.5.4).
fn take_out(file: &mut Document, page: ObjectId, fonts: ObjectId) -> Result<ObjectId, PdfError> {
    let dictionary = file.get_dictionary(page)?;
    let tree = dictionary.get(b"Parent")?.as_reference()?;
    let content = dictionary.get(b"Contents")?.as_reference()?;
    let resources = dictionary.get(b"Resources")?.as_reference()?;
    let led_to = file.get_dictionary(resources)?.iter().filter_map(|(_, entry)| entry.as_reference().ok());
    let mut gone: Vec<ObjectId> = led_to.filter(|id| *id != fonts).collect();
    gone.extend([page, content, resources]);
    for id in gone {
        file.set_object(id, Object::Null);
    }
    Ok(tree)
}

/// Subsets a face and reads the subset again.
pub(super) fn parse(embedded: &Embedded, fonts: &Fonts) -> Result<ParsedFont, PdfError> {
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

/// Flags: symbolic, since the glyphs are not the standard Latin set (ISO 32000-1, table 123); italic as the face says, with the angle
/// that goes with it, serif as the name says. Heights come from the whole face, not from what the subset kept. Gives the font program.
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
    let is_italic = face.is_italic();
    let is_serif = face.name.contains("Serif");
    let flags = SYMBOLIC + if is_italic { ITALIC } else { 0 } + if is_serif { SERIF } else { 0 };
    let descriptor = file.get_dictionary_mut(id)?;
    descriptor.set("Flags", flags);
    descriptor.set("ItalicAngle", face.italic_angle());
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
