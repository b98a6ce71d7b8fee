//! What is in a file, gathered once, so that rules only look things up.

use super::Standard;
use super::colours::Profile;
use super::drawn::Drawn;
use super::layers::Layers;
use super::oddities::{odd, odd_in};
use super::packet::property;
use super::settle::settle;
use super::unpack::whole;
use crate::pdf::load::load;
use lopdf::xref::{XrefEntry, XrefType};
use lopdf::{Dictionary, Document, Object, ObjectId};
use std::collections::BTreeSet;

/// Most pages that are looked at.
const PAGES: usize = 100_000;
/// A box as left, bottom, right, top in points.
pub(super) type Area = [f64; 4];

/// One page.
#[derive(Debug, Clone, Default)]
pub(super) struct Page {
    /// The medium.
    pub(super) media: Option<Area>,
    /// What a viewer shows.
    pub(super) crop: Option<Area>,
    /// Up to where ink bleeds.
    pub(super) bleed: Option<Area>,
    /// Where it is trimmed.
    pub(super) trim: Option<Area>,
    /// The meaningful content.
    pub(super) art: Option<Area>,
    /// Annotations: subtype, area, flags.
    pub(super) annotations: Vec<(String, Option<Area>, i64)>,
    /// Whether it is one plate of a separated page.
    pub(super) separated: bool,
    /// Whether it has a transparency group.
    pub(super) group: bool,
    /// By how many degrees it is turned clockwise to be seen.
    pub(super) turn: i64,
    /// How many points its unit has.
    pub(super) unit: f64,
}

impl Page {
    /// Its trimmed size as it is seen, in points: what of its boxes says it best.
    pub(super) fn size(&self) -> Option<(f64, f64)> {
        let [x0, y0, x1, y1] = self.trim.or(self.art).or(self.crop).or(self.media)?;
        let (wide, high) = ((x1 - x0) * self.unit, (y1 - y0) * self.unit);
        Some(if self.turn % 180 == 0 { (wide, high) } else { (high, wide) })
    }
}

/// One output intent.
#[derive(Debug, Clone, Default)]
pub(super) struct Intent {
    /// Its kind: `GTS_PDFX`, `GTS_PDFA1`.
    pub(super) kind: String,
    /// The condition's name.
    pub(super) identifier: String,
    /// The registry.
    pub(super) registry: String,
    /// The description.
    pub(super) info: String,
    /// The profile, if one is carried.
    pub(super) profile: Option<Profile>,
    /// The profile's object.
    pub(super) profile_id: Option<ObjectId>,
    /// Whether a profile outside the file is named.
    pub(super) refers_out: bool,
}

/// Everything the rules ask about.
#[derive(Debug, Clone, Default)]
pub(crate) struct Survey {
    /// The version, from the header or, where that is later, from the catalog (ISO 32000-1, 7.5.2).
    pub(super) version: Option<(u32, u32)>,
    /// Whether it is the catalog's.
    pub(super) in_catalog: bool,
    /// Whether the header begins at the first byte.
    pub(super) header_first: bool,
    /// Whether a comment of four high bytes follows the header.
    pub(super) binary_comment: bool,
    /// Bytes behind the last end-of-file mark, but one end of line.
    pub(super) trailing: usize,
    /// Whether it has object or cross-reference streams.
    pub(super) modern: bool,
    /// Whether the trailer has two ids.
    pub(super) has_id: bool,
    /// The Info dictionary.
    pub(super) info: Dictionary,
    /// The catalog.
    pub(super) catalog: Dictionary,
    /// The XMP packet; `None` if there is none or it is not text.
    pub(super) xmp: Option<String>,
    /// The output intents.
    pub(super) intents: Vec<Intent>,
    /// The pages.
    pub(super) pages: Vec<Page>,
    /// What the pages draw.
    pub(super) drawn: Drawn,
    /// Filters of all streams.
    pub(super) filters: BTreeSet<String>,
    /// Things anywhere in the file that some rule forbids: actions, scripts, multimedia, external files and the like.
    pub(super) oddities: BTreeSet<&'static str>,
    /// Its layers.
    pub(super) layers: Layers,
    /// What a viewer is to prefer.
    pub(super) preferences: Dictionary,
    /// Number of objects.
    pub(super) objects: usize,
    /// What could not be read, in plain words.
    pub(super) unread: Vec<String>,
    /// Why the pages that are known are not all, in plain words.
    pub(super) unlisted: Option<String>,
}

impl Survey {
    /// Gathers all facts, or says why the file cannot be looked at.
    pub(super) fn of(bytes: &[u8]) -> Result<Self, String> {
        let mut file = load(bytes)?;
        if file.is_encrypted() || file.was_encrypted() || file.trailer.has(b"Encrypt") {
            return Err("the file is encrypted: the press needs one that is not".to_owned());
        }
        let is_settled = settle(&mut file);
        let catalog = file.catalog().map_err(|_| "it has no catalog".to_owned())?.clone();
        let mut survey = Self { catalog, objects: file.objects.len(), ..Self::default() };
        survey.header(bytes);
        let later = version(name(&survey.catalog, "Version").as_bytes());
        survey.in_catalog = survey.version.is_some() && later > survey.version;
        if survey.in_catalog {
            survey.version = later;
        }
        if !is_settled {
            survey.unread.push("more entries stand behind references than are looked at".to_owned());
        }
        survey.modern = is_modern(&file);
        survey.has_id = file
            .trailer
            .get(b"ID")
            .and_then(Object::as_array)
            .is_ok_and(|ids| ids.len() == 2 && ids.iter().all(|id| id.as_str().is_ok_and(|id| !id.is_empty())));
        survey.info =
            file.trailer.get(b"Info").ok().and_then(|info| dictionary(&file, info)).cloned().unwrap_or_default();
        survey.metadata(&file);
        survey.output_intents(&file);
        survey.all_objects(&file);
        survey.layers = Layers::of(&file, &survey.catalog);
        let preferences = survey.catalog.get(b"ViewerPreferences").ok();
        survey.preferences = preferences.and_then(|found| dictionary(&file, found)).cloned().unwrap_or_default();
        let pages: Vec<ObjectId> = file.page_iter().take(PAGES).collect();
        if pages.is_empty() {
            return Err("it has no pages".to_owned());
        }
        survey.unlisted = unlisted(&file, &survey.catalog, pages.len());
        survey.unread.extend(survey.unlisted.clone());
        survey.pages = pages.iter().map(|id| page(&file, *id)).collect();
        let (drawn, unread) = Drawn::of(&file, bytes.len(), &pages, &survey.pages);
        survey.filters.extend(drawn.filters.iter().cloned());
        survey.oddities.extend(&drawn.oddities);
        survey.drawn = drawn;
        survey.unread.extend(unread);
        Ok(survey)
    }

    /// Where a version that is too late is said.
    pub(super) fn says(&self, (major, minor): (u32, u32)) -> String {
        format!("the {} says {major}.{minor}", if self.in_catalog { "catalog" } else { "header" })
    }

    /// What the file says it is.
    pub(super) fn claims(&self) -> Vec<Standard> {
        let mut claims = Vec::new();
        if text(&self.info, "GTS_PDFXVersion").starts_with("PDF/X-1") {
            claims.push(Standard::X1a);
        }
        let xmp = self.xmp.as_deref().unwrap_or("");
        if property(xmp, "pdfxid", "GTS_PDFXVersion").is_some() {
            claims.push(Standard::X4);
        }
        if property(xmp, "pdfaid", "part").is_some() {
            claims.push(Standard::A2b);
        }
        claims
    }

    /// Facts for the reader of a report.
    pub(super) fn facts(&self) -> Vec<(String, String)> {
        let mut facts = vec![("pages".to_owned(), self.pages.len().to_string())];
        if let Some(part) = self.xmp.as_deref().and_then(|xmp| property(xmp, "pdfuaid", "part")) {
            let part: String = part.chars().take(4).collect();
            facts.push((
                "made for reading".to_owned(),
                format!("it says that it keeps PDF/UA-{part}, which is not checked here"),
            ));
        }
        let mut sizes: Vec<String> = Vec::new();
        for (wide, high) in self.pages.iter().filter_map(Page::size) {
            let size = format!("{:.2} x {:.2} mm", mm(wide), mm(high));
            if !sizes.contains(&size) {
                sizes.push(size);
            }
        }
        sizes.truncate(4);
        facts.push(("trimmed size".to_owned(), sizes.join(", ")));
        if let Some((major, minor)) = self.version {
            facts.push(("PDF version".to_owned(), format!("{major}.{minor}")));
        }
        let inks: Vec<&str> = self.drawn.colours.iter().map(String::as_str).collect();
        facts.push(("colour".to_owned(), if inks.is_empty() { "none".to_owned() } else { inks.join(", ") }));
        facts.push(("fonts".to_owned(), self.drawn.fonts.len().to_string()));
        // Without the slash and the six letters of a subset (ISO 32000-1, 9.6.4).
        let faces: BTreeSet<&str> = self
            .drawn
            .fonts
            .keys()
            .map(|name| name.trim_start_matches('/'))
            .map(|name| name.split_once('+').filter(|(tag, _)| tag.len() == 6).map_or(name, |(_, face)| face))
            .collect();
        let shown: Vec<&str> = faces.iter().take(24).copied().collect();
        facts.push(("faces".to_owned(), shown.join(", ")));
        for (key, name) in [("title", "Title"), ("made by", "Producer")] {
            let value = text(&self.info, name);
            if !value.is_empty() {
                facts.push((key.to_owned(), value.chars().take(120).collect()));
            }
        }
        facts
    }

    fn header(&mut self, bytes: &[u8]) {
        let head = &bytes[..bytes.len().min(1024)];
        if let Some(at) = head.windows(5).position(|window| window == b"%PDF-") {
            self.header_first = at == 0;
            let digits = &head[at + 5..head.len().min(at + 8)];
            self.version = version(digits);
            let line = head[at..].iter().position(|byte| matches!(byte, b'\n' | b'\r'));
            let next = line.map(|end| {
                let rest = &head[at + end..];
                let skip = rest.iter().position(|byte| !matches!(byte, b'\n' | b'\r')).unwrap_or(rest.len());
                &rest[skip..]
            });
            self.binary_comment = next
                .is_some_and(|next| next.len() >= 5 && next[0] == b'%' && next[1..5].iter().all(|byte| *byte > 127));
        }
        let end = bytes.windows(5).rposition(|window| window == b"%%EOF").map_or(bytes.len(), |at| at + 5);
        let tail = &bytes[end..];
        let tail = tail
            .strip_prefix(b"\r\n")
            .or_else(|| tail.strip_prefix(b"\n"))
            .or_else(|| tail.strip_prefix(b"\r"))
            .unwrap_or(tail);
        self.trailing = tail.len();
    }

    fn metadata(&mut self, file: &Document) {
        let Ok(entry) = self.catalog.get(b"Metadata") else { return };
        let Ok((_, Object::Stream(stream))) = file.dereference(entry) else { return };
        match whole(stream, 4 << 20).map(String::from_utf8) {
            Some(Ok(packet)) => self.xmp = Some(packet),
            _ => self.unread.push("the metadata cannot be read".to_owned()),
        }
    }

    fn output_intents(&mut self, file: &Document) {
        let list = self.catalog.get(b"OutputIntents").ok().and_then(|list| file.dereference(list).ok());
        let Some((_, Object::Array(list))) = list else { return };
        for entry in list.iter().take(20) {
            let Some(entry) = dictionary(file, entry) else { continue };
            let profile = entry.get(b"DestOutputProfile").ok();
            // One that cannot be unpacked whole is there, and no profile.
            let read = |profile: &Object| match file.dereference(profile) {
                Ok((_, Object::Stream(stream))) => {
                    whole(stream, 32 << 20).map_or_else(Profile::default, |b| Profile::of(&b))
                }
                _ => Profile::default(),
            };
            self.intents.push(Intent {
                kind: name(entry, "S"),
                identifier: text(entry, "OutputConditionIdentifier"),
                registry: text(entry, "RegistryName"),
                info: text(entry, "Info"),
                profile: profile.map(read),
                profile_id: profile.and_then(|profile| profile.as_reference().ok()),
                refers_out: entry.has(b"DestOutputProfileRef"),
            });
        }
    }

    fn all_objects(&mut self, file: &Document) {
        for object in file.objects.values() {
            let dictionary = match object {
                Object::Dictionary(dictionary) => dictionary,
                Object::Stream(stream) => {
                    self.stream(&stream.dict);
                    &stream.dict
                }
                // A list by itself may have dictionaries in it, as that of a page's annotations has.
                list => {
                    odd_in(list, 0, &mut self.oddities);
                    continue;
                }
            };
            odd(dictionary, 0, &mut self.oddities);
        }
        odd(&self.catalog, 0, &mut self.oddities);
    }

    fn stream(&mut self, dictionary: &Dictionary) {
        for key in ["Filter", "F"] {
            match dictionary.get(key.as_bytes()) {
                Ok(Object::Name(name)) => drop(self.filters.insert(String::from_utf8_lossy(name).into_owned())),
                Ok(Object::Array(names)) => {
                    let names = names.iter().filter_map(|name| name.as_name().ok());
                    self.filters.extend(names.map(|name| String::from_utf8_lossy(name).into_owned()));
                }
                Ok(_) if key == "F" => drop(self.oddities.insert("a stream outside the file")),
                _ => {}
            }
        }
    }
}

/// Why not all pages are known: there are more than are looked at, or fewer than their tree says (ISO 32000-1, table 29).
fn unlisted(file: &Document, catalog: &Dictionary, known: usize) -> Option<String> {
    if known == PAGES {
        return Some(format!("of the pages the first {PAGES} are looked at"));
    }
    let tree = catalog.get(b"Pages").ok().and_then(|tree| dictionary(file, tree));
    let said = tree.and_then(|tree| tree.get(b"Count").and_then(Object::as_i64).ok())?;
    let differs = usize::try_from(said).ok() != Some(known);
    differs.then(|| format!("the list of pages says that there are {said}, and {known} are in the file"))
}

/// The names of a stream's filters.
pub(super) fn filters(dictionary: &Dictionary) -> impl Iterator<Item = &[u8]> {
    let (one, many): (_, &[Object]) = match dictionary.get(b"Filter") {
        Ok(Object::Name(name)) => (Some(name.as_slice()), &[]),
        Ok(Object::Array(names)) => (None, names),
        _ => (None, &[]),
    };
    one.into_iter().chain(many.iter().filter_map(|name| name.as_name().ok()))
}

/// Whether a file has streams of objects, or a list of them that is a stream: constructs of PDF 1.5.
fn is_modern(file: &Document) -> bool {
    let table = &file.reference_table;
    let is_packed = |entry: &XrefEntry| matches!(entry, XrefEntry::Compressed { .. });
    let is_stream = |object: &Object| matches!(object, Object::Stream(stream) if stream.dict.has_type(b"ObjStm") || stream.dict.has_type(b"XRef"));
    matches!(table.cross_reference_type, XrefType::CrossReferenceStream)
        || table.entries.values().any(is_packed)
        || file.objects.values().any(is_stream)
}

/// A version as it is written: a digit, a point, a digit.
fn version(digits: &[u8]) -> Option<(u32, u32)> {
    match digits {
        [major @ b'0'..=b'9', b'.', minor @ b'0'..=b'9'] => Some((u32::from(major - b'0'), u32::from(minor - b'0'))),
        _ => None,
    }
}

pub(super) fn mm(points: f64) -> f64 {
    points / 72.0 * 25.4
}

/// A dictionary behind a reference, or a stream's.
pub(super) fn dictionary<'a>(file: &'a Document, object: &'a Object) -> Option<&'a Dictionary> {
    match file.dereference(object).ok()?.1 {
        Object::Dictionary(dictionary) => Some(dictionary),
        Object::Stream(stream) => Some(&stream.dict),
        _ => None,
    }
}

/// A name entry, empty if there is none.
pub(super) fn name(dictionary: &Dictionary, key: &str) -> String {
    let name = dictionary.get(key.as_bytes()).and_then(Object::as_name);
    name.map_or_else(|_| String::new(), |name| String::from_utf8_lossy(name).into_owned())
}

/// A text string entry, empty if there is none.
pub(super) fn text(dictionary: &Dictionary, key: &str) -> String {
    let Ok(bytes) = dictionary.get(key.as_bytes()).and_then(Object::as_str) else { return String::new() };
    match bytes {
        [0xFE, 0xFF, rest @ ..] => {
            let units: Vec<u16> = rest.chunks_exact(2).map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect();
            String::from_utf16_lossy(&units)
        }
        _ => String::from_utf8_lossy(bytes).into_owned(),
    }
}

fn page(file: &Document, id: ObjectId) -> Page {
    let Ok(dictionary_of_page) = file.get_dictionary(id) else {
        return Page { unit: 1.0, ..Page::default() };
    };
    // Table 30: of the boxes these two alone are taken from the nodes above.
    let above = |key: &str| inherited(file, dictionary_of_page, key);
    let area_above = |key: &str| above(key).and_then(|object| area(file, object));
    let own = |key: &str| dictionary_of_page.get(key.as_bytes()).ok();
    let area_own = |key: &str| own(key).and_then(|object| area(file, object));
    let turn = above("Rotate").and_then(|turn| turn.as_float().ok()).map_or(0.0, f64::from);
    let unit = own("UserUnit").and_then(|unit| unit.as_float().ok()).map_or(1.0, f64::from);
    let annotations = dictionary_of_page.get(b"Annots").ok().and_then(|list| match file.dereference(list) {
        Ok((_, Object::Array(list))) => Some(list),
        _ => None,
    });
    let annotations = annotations.into_iter().flatten().take(10_000).filter_map(|entry| dictionary(file, entry));
    let group = dictionary_of_page.get(b"Group").ok().and_then(|group| dictionary(file, group));
    Page {
        media: area_above("MediaBox"),
        crop: area_above("CropBox"),
        bleed: area_own("BleedBox"),
        trim: area_own("TrimBox"),
        art: area_own("ArtBox"),
        annotations: annotations
            .map(|entry| {
                let place = entry.get(b"Rect").ok().and_then(|rect| self::area(file, rect));
                (name(entry, "Subtype"), place, entry.get(b"F").and_then(Object::as_i64).unwrap_or(0))
            })
            .collect(),
        separated: dictionary_of_page.has(b"SeparationInfo"),
        group: group.is_some_and(|group| name(group, "S") == "Transparency"),
        turn: degrees(turn),
        unit: if unit > 0.0 { unit } else { 1.0 },
    }
}

/// A turn as whole degrees from nought to below 360; what is no number of a turn is none.
fn degrees(turn: f64) -> i64 {
    [0, 90, 180, 270]
        .into_iter()
        .find(|quarter| (turn.rem_euclid(360.0) - f64::from(*quarter)).abs() < 0.5)
        .unwrap_or(0)
        .into()
}

/// An entry of a page or of a node above it.
pub(super) fn inherited<'a>(file: &'a Document, page: &'a Dictionary, key: &str) -> Option<&'a Object> {
    let mut node = page;
    // No page tree is this deep; a ring of parents ends here.
    for _ in 0..64 {
        if let Ok(found) = node.get(key.as_bytes()) {
            return Some(found);
        }
        node = dictionary(file, node.get(b"Parent").ok()?)?;
    }
    None
}

/// A box of four numbers, its corners in order.
pub(super) fn area(file: &Document, object: &Object) -> Option<Area> {
    let [x0, y0, x1, y1] = numbers(file, object)?;
    Some([x0.min(x1), y0.min(y1), x0.max(x1), y0.max(y1)])
}

/// An array of so many numbers.
pub(super) fn numbers<const N: usize>(file: &Document, object: &Object) -> Option<[f64; N]> {
    let Ok((_, Object::Array(values))) = file.dereference(object) else { return None };
    let mut numbers = [0.0; N];
    if values.len() != N {
        return None;
    }
    for (slot, value) in numbers.iter_mut().zip(values) {
        *slot = f64::from(file.dereference(value).ok()?.1.as_float().ok()?);
    }
    Some(numbers)
}
