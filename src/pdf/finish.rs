//! The last pass: pages get their content and boxes, the catalog its language, labels, outline, tags, intents and record.
//!
//! Takes the skeleton and the painted sides; gives bytes. Knows no frames. Sources: ISO 32000-1, 7.7 (document structure),
//! 14.3 (metadata), 14.11 (boxes, output intents).

use super::operand::text_bytes;
use super::options::{PdfError, PdfOptions, PressStandard, Purpose};
use super::pack::{deflated, packed};
use super::save;
use super::skeleton::Skeleton;
use super::stamps::{self, Stamps};
use super::{intent, manifest, outline, tags, xmp};
use crate::frame::Image;
use crate::geom::Rect;
use crate::page::{Document, PageBoxes};
use crate::sheet::Sheet;
use lopdf::{Dictionary, Object, ObjectId, StringFormat};
use std::collections::BTreeMap;
use std::sync::Arc;
use twox_hash::XxHash3_128;

/// One side, deflated.
#[derive(Debug)]
pub(super) struct Packed {
    /// Deflated operators.
    pub(super) content: Vec<u8>,
    /// A hash of them.
    pub(super) hash: u128,
    /// The rest of the side.
    pub(super) side: super::paint::Side,
}

/// What the file is made of.
pub(super) struct Parts<'a> {
    /// The pages.
    pub(super) document: &'a Document,
    /// The sides.
    pub(super) sheets: &'a [Sheet],
    /// What is asked.
    pub(super) options: &'a PdfOptions,
    /// The pictures by name.
    pub(super) images: &'a BTreeMap<Arc<str>, (String, &'a Image)>,
    /// The shapes that stand in many places.
    pub(super) stamps: &'a Stamps,
}

/// Puts the file together. The record is packed while the structure is written.
pub(super) fn finish(
    mut skeleton: Skeleton,
    sides: Vec<Packed>,
    record: impl FnOnce() -> manifest::Packed + Send,
    parts: &Parts<'_>,
) -> Result<Vec<u8>, PdfError> {
    let resources = resources(&mut skeleton, parts);
    let hashes: Vec<u128> = sides.iter().map(|packed| packed.hash).collect();
    let (contents, sides): (Vec<Vec<u8>>, Vec<super::paint::Side>) =
        sides.into_iter().map(|packed| (packed.content, packed.side)).unzip();
    let catalog = skeleton.file.trailer.get(b"Root")?.as_reference()?;
    let mut entries = Dictionary::new();
    let reading = || {
        if !parts.options.is_reading() {
            return (Vec::new(), Vec::new());
        }
        let known = outline::anchors(&mut skeleton, &sides, parts.sheets, &mut entries);
        let tags::Links { numbers, mut stored } =
            tags::links(&mut skeleton, &sides, parts.sheets, &known, &parts.document.links);
        stored.extend(tags::structure(&mut skeleton, &sides, parts.sheets, &numbers, &mut entries));
        (stored, numbers)
    };
    let ((mut stored, annotations), record) = rayon::join(reading, record);
    let heads = || {
        outline::outline(&mut skeleton, parts, &mut entries);
        outline::labels(&mut skeleton, parts, &mut entries);
        intent::intents(&mut skeleton.file, parts.options, &mut entries);
    };
    // Taking the trees down takes as long as the outline.
    rayon::join(heads, || drop(sides));
    let id = file_id(&hashes, &record, parts);
    if parts.options.purpose != Purpose::Press(PressStandard::X1a2003) {
        // Metadata stays plain, so that programs that know no PDF can find it (ISO 32000-1, 14.3.2).
        let dictionary = Dictionary::from_iter([("Type", name("Metadata")), ("Subtype", name("XML"))]);
        let stream = lopdf::Stream::new(dictionary, xmp::packet(parts, &id).into_bytes()).with_compression(false);
        entries.set("Metadata", Object::Reference(skeleton.file.add_object(stream)));
    }
    let record = skeleton.file.add_object(packed(manifest::stream_dictionary(), record.content));
    entries.set(super::KEY, Object::Reference(record));
    let language = &parts.document.identity.language;
    if !language.is_empty() {
        entries.set("Lang", Object::string_literal(language.as_str()));
    }
    let viewer = Dictionary::from_iter([("DisplayDocTitle", Object::Boolean(true))]);
    entries.set("ViewerPreferences", Object::Dictionary(viewer));
    let dictionary = skeleton.file.get_dictionary_mut(catalog)?;
    dictionary.remove(b"PageLayout");
    dictionary.set("PageMode", name(if entries.has(b"Outlines") { "UseOutlines" } else { "UseNone" }));
    for (key, value) in entries {
        dictionary.set(key, value);
    }
    info(&mut skeleton, parts)?;
    mark(&mut skeleton.file, &id, parts.options);
    let page = |index: usize| page(&skeleton, index, resources, parts, annotations.get(index));
    if parts.options.is_reading() {
        stored.extend(save::in_batches(&skeleton.pages, page));
        let numbers = skeleton.contents.iter().map(|(number, _)| *number);
        return Ok(save::modern(skeleton.file, numbers.zip(contents).collect(), stored));
    }
    // Press standards of PDF 1.4 know no object streams; the library writes the classic form.
    let pages: Vec<Dictionary> = (0..contents.len()).map(page).collect();
    for (id, page) in skeleton.pages.iter().zip(pages) {
        skeleton.file.set_object(*id, page);
    }
    for (id, content) in skeleton.contents.iter().zip(contents) {
        skeleton.file.set_object(*id, packed(Dictionary::new(), content));
    }
    let mut bytes = Vec::new();
    skeleton.file.save_to(&mut bytes).map_err(|error| PdfError::Library(error.to_string()))?;
    Ok(bytes)
}

fn name(name: &str) -> Object {
    Object::Name(name.into())
}

/// An id drawn from what is in the file: equal content, equal id.
fn file_id(hashes: &[u128], record: &manifest::Packed, parts: &Parts<'_>) -> [u8; 16] {
    let mut all = format!("{:?}", parts.options).into_bytes();
    all.extend_from_slice(&record.hash.to_le_bytes());
    for (hash, sheet) in hashes.iter().zip(parts.sheets) {
        all.extend_from_slice(&hash.to_le_bytes());
        let PageBoxes { media, bleed, trim } = sheet.boxes;
        let corners = [bleed.min, bleed.max, trim.min, trim.max];
        let places = corners.iter().flat_map(|corner| [corner.x, corner.y]);
        all.extend([media.width, media.height].into_iter().chain(places).flat_map(|at| at.to_pt().to_le_bytes()));
    }
    XxHash3_128::oneshot(&all).to_be_bytes()
}

/// The resources that all pages share.
fn resources(skeleton: &mut Skeleton, parts: &Parts<'_>) -> ObjectId {
    let mut resources = Dictionary::new();
    resources.set("Font", Object::Reference(skeleton.fonts));
    let mut pictures = Dictionary::new();
    for (resource, image) in parts.images.values() {
        let dictionary = Dictionary::from_iter([
            ("Type", name("XObject")),
            ("Subtype", name("Image")),
            ("Width", i64::from(image.pixels.0).into()),
            ("Height", i64::from(image.pixels.1).into()),
            ("ColorSpace", name("DeviceGray")),
            ("BitsPerComponent", 8.into()),
            ("Interpolate", false.into()),
        ]);
        let stream = skeleton.file.add_object(deflated(dictionary, &image.grey));
        pictures.set(resource.as_str(), Object::Reference(stream));
    }
    for (index, form) in parts.stamps.forms.iter().enumerate() {
        let area = form.area.map(|value| Object::Real(thousandth(value)));
        let dictionary = Dictionary::from_iter([
            ("Type", name("XObject")),
            ("Subtype", name("Form")),
            ("BBox", Object::Array(area.to_vec())),
            ("Resources", Object::Dictionary(Dictionary::new())),
        ]);
        let stream = skeleton.file.add_object(deflated(dictionary, &form.content));
        pictures.set(format!("{}{index}", stamps::RESOURCE), Object::Reference(stream));
    }
    if !pictures.is_empty() {
        resources.set("XObject", pictures);
    }
    if let Some(spot) = parts.options.press_spot() {
        resources.set(
            "ColorSpace",
            Dictionary::from_iter([("Spot", intent::separation(&mut skeleton.file, spot, parts.options))]),
        );
        resources.set("ExtGState", intent::overprint_states());
    }
    skeleton.file.add_object(resources)
}

/// The dictionary of one page; in a file for reading it has its links, and its place in the structure.
fn page(
    skeleton: &Skeleton,
    index: usize,
    resources: ObjectId,
    parts: &Parts<'_>,
    links: Option<&Vec<Option<u32>>>,
) -> Dictionary {
    let PageBoxes { media, bleed, trim } = parts.sheets[index].boxes;
    let height = media.height.to_pt();
    let whole = Rect::of(0.0, 0.0, media.width.to_pt(), height);
    let mut page = Dictionary::from_iter([
        ("Type", name("Page")),
        ("Parent", Object::Reference(skeleton.tree)),
        ("MediaBox", upright(&whole, height)),
        ("CropBox", upright(&whole, height)),
        ("BleedBox", upright(&bleed, height)),
        ("TrimBox", upright(&trim, height)),
        ("Resources", Object::Reference(resources)),
        ("Contents", Object::Reference(skeleton.contents[index])),
    ]);
    if let Some(links) = links {
        let annotations: Vec<Object> = links.iter().flatten().map(|number| Object::Reference((*number, 0))).collect();
        if !annotations.is_empty() {
            page.set("Annots", annotations);
        }
        // ISO 14289-1, 7.18.3: pages with annotations are tabbed in the order of the structure.
        page.set("Tabs", name("S"));
        page.set("StructParents", i64::try_from(index).unwrap_or(i64::MAX));
    }
    page
}

/// A box as left, bottom, right, top, y upwards, in points with three decimals.
pub(super) fn upright(area: &Rect, height: f64) -> Object {
    let real = |value: f64| Object::Real(thousandth(value));
    Object::Array(vec![
        real(area.min.x.to_pt()),
        real(height - area.max.y.to_pt()),
        real(area.max.x.to_pt()),
        real(height - area.min.y.to_pt()),
    ])
}

/// A number to a thousandth, as the file's library holds it.
fn thousandth(value: f64) -> f32 {
    let value = (value * 1000.0).round() / 1000.0;
    #[expect(clippy::cast_possible_truncation, reason = "reals have 32 bits there; 0.001 pt remains")]
    let value = value as f32;
    // No minus zero in a file.
    value + 0.0
}

/// A text string (ISO 32000-1, 7.9.2.2).
pub(super) fn text(words: &str) -> Object {
    let bytes = text_bytes(words);
    let format = if bytes.is_ascii() { StringFormat::Literal } else { StringFormat::Hexadecimal };
    Object::String(bytes, format)
}

/// The name by which the program signs its files.
pub(super) const PRODUCER: &str = concat!("boxwright ", env!("CARGO_PKG_VERSION"));

/// The book's date as a PDF date at midnight, universal time; the first of January 2000 where the book's date is none.
fn pdf_date(date: &str) -> String {
    let digits: String = date.chars().filter(char::is_ascii_digit).collect();
    let date = if digits.len() == 8 { digits } else { "20000101".to_owned() };
    format!("D:{date}000000Z")
}

fn info(skeleton: &mut Skeleton, parts: &Parts<'_>) -> Result<(), PdfError> {
    let identity = &parts.document.identity;
    let mut info = Dictionary::new();
    let title = if identity.title.is_empty() { "Untitled" } else { &identity.title };
    info.set("Title", text(title));
    if !identity.author.is_empty() {
        info.set("Author", text(&identity.author));
    }
    info.set("Creator", text("boxwright"));
    info.set("Producer", text(PRODUCER));
    info.set("CreationDate", text(&pdf_date(&identity.date)));
    info.set("ModDate", text(&pdf_date(&identity.date)));
    if let Purpose::Press(standard) = parts.options.purpose {
        info.set("Trapped", name("False"));
        if standard == PressStandard::X1a2003 {
            info.set("GTS_PDFXVersion", text("PDF/X-1a:2003"));
        }
    }
    let id = skeleton.file.trailer.get(b"Info")?.as_reference()?;
    skeleton.file.set_object(id, info);
    Ok(())
}

/// The file's id and version.
fn mark(file: &mut lopdf::Document, id: &[u8; 16], options: &PdfOptions) {
    let half = Object::String(id.to_vec(), StringFormat::Hexadecimal);
    file.trailer.set("ID", vec![half.clone(), half]);
    file.version = match options.purpose {
        Purpose::Reading | Purpose::Press(PressStandard::A2b) => "1.7",
        Purpose::Press(PressStandard::X1a2003) => "1.4",
        Purpose::Press(PressStandard::X4) => "1.6",
    }
    .to_owned();
}
