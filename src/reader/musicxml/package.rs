//! Bytes of a score into text: packed or plain, in whichever encoding.
//!
//! Everything is bounded: size of the packed and the unpacked score, number of entries. Source: MusicXML 4.0, container
//! files; XML 1.0, appendix F (telling encodings).

use std::io::Read;

/// Why a score is not read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Refusal {
    pub code: &'static str,
    pub message: String,
}

/// No score is larger than this when unpacked, in bytes.
pub const MOST_BYTES: u64 = 16 * 1024 * 1024;
/// A packed score has at most so many entries.
const MOST_ENTRIES: usize = 200;

fn refuse<T>(code: &'static str, message: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal { code, message: message.into() })
}

/// The text of a score, and whether it was packed.
pub(super) fn open(bytes: &[u8]) -> Result<(String, bool), Refusal> {
    if bytes.len() as u64 > MOST_BYTES {
        return refuse("score-too-large", format!("a score has at most {} megabytes", MOST_BYTES / 1024 / 1024));
    }
    if bytes.starts_with(b"PK\x03\x04") { Ok((decode(&unpack(bytes)?), true)) } else { Ok((decode(bytes), false)) }
}

fn unpack(bytes: &[u8]) -> Result<Vec<u8>, Refusal> {
    let Ok(mut archive) = zip::ZipArchive::new(std::io::Cursor::new(bytes)) else {
        return refuse("damaged-score", "the packed score is damaged");
    };
    if archive.len() > MOST_ENTRIES {
        return refuse("damaged-score", format!("the packed score has more than {MOST_ENTRIES} entries"));
    }
    let root = match entry(&mut archive, "META-INF/container.xml")? {
        Some(container) => root_name(&decode(&container)),
        None => None,
    };
    // Without a container the first entry that looks like a score is it.
    let root = root.or_else(|| {
        let mut names = archive.file_names().filter_map(|name| Some(name.ok()?.into_owned()));
        names.find(|name| !name.starts_with("META-INF/") && (name.ends_with(".xml") || name.ends_with(".musicxml")))
    });
    let Some(root) = root else { return refuse("no-score", "there is no score in this package") };
    match entry(&mut archive, &root)? {
        Some(score) => Ok(score),
        None => refuse("no-score", format!("the package names “{root}” as its score, which is not there")),
    }
}

fn entry(archive: &mut zip::ZipArchive<std::io::Cursor<&[u8]>>, name: &str) -> Result<Option<Vec<u8>>, Refusal> {
    let Ok(file) = archive.by_name(name) else { return Ok(None) };
    let mut out = Vec::new();
    // What the entry says of its size may be wrong; what comes out is counted.
    match file.take(MOST_BYTES + 1).read_to_end(&mut out) {
        Err(_) => refuse("damaged-score", format!("“{name}” in the package is damaged")),
        Ok(_) if out.len() as u64 > MOST_BYTES => {
            refuse("score-too-large", format!("a score has at most {} megabytes unpacked", MOST_BYTES / 1024 / 1024))
        }
        Ok(_) => Ok(Some(out)),
    }
}

/// The first root file that a container names.
fn root_name(container: &str) -> Option<String> {
    let document = super::xml::parse(container).ok()?;
    let node = document.descendants().find(|node| node.has_tag_name("rootfile"))?;
    node.attribute("full-path").map(str::to_owned)
}

/// Text of an XML file: UTF-8, UTF-16 by its mark or its first sign, else what its first line names (ISO 8859-1 for all
/// eight-bit sets). What can't be read becomes the replacement character.
pub fn decode(bytes: &[u8]) -> String {
    match bytes {
        [0xfe, 0xff, rest @ ..] => wide(rest, u16::from_be_bytes),
        [0xff, 0xfe, rest @ ..] => wide(rest, u16::from_le_bytes),
        [0, b'<', ..] => wide(bytes, u16::from_be_bytes),
        [b'<', 0, ..] => wide(bytes, u16::from_le_bytes),
        [0xef, 0xbb, 0xbf, rest @ ..] => String::from_utf8_lossy(rest).into_owned(),
        _ => match std::str::from_utf8(bytes) {
            Ok(text) => text.to_owned(),
            Err(_) => {
                // Two bytes for each sign beyond ASCII, taken at once: a text that grows by doubling needs twice that.
                let mut text = String::with_capacity(bytes.len() * 2);
                text.extend(bytes.iter().map(|byte| *byte as char));
                text
            }
        },
    }
}

fn wide(bytes: &[u8], order: fn([u8; 2]) -> u16) -> String {
    let (pairs, _) = bytes.as_chunks::<2>();
    let units = pairs.iter().map(|pair| order(*pair));
    char::decode_utf16(units).map(|unit| unit.unwrap_or('\u{fffd}')).collect()
}
