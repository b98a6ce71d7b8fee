//! Bytes of a score into text: packed or plain, in whichever encoding.
//!
//! Everything is bounded: size of the packed and the unpacked score, number of entries. Source: MusicXML 4.0, container
//! files; XML 1.0, appendix F (telling encodings).

use crate::diag::Code;
use crate::reader::wide_letters;
use std::io::Read;

use zip::CompressionMethod;

/// Why a score is not read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Refusal {
    pub code: Code,
    pub message: String,
}

/// No score is larger than this when unpacked, in bytes.
pub const MOST_BYTES: u64 = 16 * 1024 * 1024;
/// A packed score has at most so many entries.
const MOST_ENTRIES: usize = 200;

fn refuse<T>(code: Code, message: impl Into<String>) -> Result<T, Refusal> {
    Err(Refusal { code, message: message.into() })
}

/// A score's text.
#[derive(Debug)]
pub(super) struct Opened {
    pub text: String,
    /// Whether it was packed.
    pub packed: bool,
    /// Places of it that are no letters of its encoding.
    pub bad: usize,
    /// Paths of further scores in the package.
    pub further: Vec<String>,
}

/// Opens a score, packed or plain.
pub(super) fn open(bytes: &[u8]) -> Result<Opened, Refusal> {
    if bytes.len() as u64 > MOST_BYTES {
        return refuse(code!("score-too-large"), format!("a score has at most {} megabytes", MOST_BYTES / 1024 / 1024));
    }
    let packed = bytes.starts_with(b"PK\x03\x04");
    let (Text { text, bad }, further) = if packed {
        let (score, further) = unpack(bytes)?;
        (told(&score)?, further)
    } else {
        (told(bytes)?, Vec::new())
    };
    Ok(Opened { text, packed, bad, further })
}

/// The score in a package, and the paths of further ones.
fn unpack(bytes: &[u8]) -> Result<(Vec<u8>, Vec<String>), Refusal> {
    let Ok(mut archive) = zip::ZipArchive::new(std::io::Cursor::new(bytes)) else {
        return refuse(code!("damaged-score"), "the packed score is damaged");
    };
    if archive.len() > MOST_ENTRIES {
        return refuse(code!("damaged-score"), format!("the packed score has more than {MOST_ENTRIES} entries"));
    }
    let mut roots = match entry(&mut archive, "META-INF/container.xml")? {
        Some(container) => root_names(&decode(&container)),
        None => Vec::new(),
    };
    if roots.is_empty() {
        // Without a container the first entry that looks like a score is it.
        let mut names = archive.file_names().filter_map(|name| Some(name.ok()?.into_owned()));
        let score =
            |name: &String| !name.starts_with("META-INF/") && (name.ends_with(".xml") || name.ends_with(".musicxml"));
        roots.extend(names.find(score));
    }
    if roots.is_empty() {
        return refuse(code!("no-score"), "there is no score in this package");
    }
    let root = roots.remove(0);
    for name in spellings(&root) {
        if let Some(score) = entry(&mut archive, &name)? {
            return Ok((score, roots));
        }
    }
    refuse(code!("no-score"), format!("the package names “{root}” as its score, which is not there"))
}

/// The names that an entry of a path may have: as it stands, from the package's own folder on, with signs by their codes.
fn spellings(path: &str) -> [String; 3] {
    let plain = path.trim_start_matches("./").trim_start_matches('/');
    let mut bytes = Vec::with_capacity(plain.len());
    let mut rest = plain.as_bytes();
    while let [first, after @ ..] = rest {
        let code = match after {
            [high, low, ..] if *first == b'%' => {
                let digits = [*high, *low];
                std::str::from_utf8(&digits).ok().and_then(|digits| u8::from_str_radix(digits, 16).ok())
            }
            _ => None,
        };
        bytes.push(code.unwrap_or(*first));
        rest = if code.is_some() { &after[2..] } else { after };
    }
    [path.to_owned(), plain.to_owned(), String::from_utf8_lossy(&bytes).into_owned()]
}

fn entry(archive: &mut zip::ZipArchive<std::io::Cursor<&[u8]>>, name: &str) -> Result<Option<Vec<u8>>, Refusal> {
    let Some(index) = archive.index_for_name(name) else { return Ok(None) };
    let damaged = || refuse(code!("damaged-score"), format!("“{name}” in the package is damaged"));
    // As it lies in the package, which needs no way of unpacking it.
    let known = archive.by_index_raw(index).map(|raw| {
        !raw.encrypted() && matches!(raw.compression(), CompressionMethod::Stored | CompressionMethod::Deflated)
    });
    if matches!(known, Ok(false)) {
        return refuse(
            code!("damaged-score"),
            format!("“{name}” in the package is locked, or packed in a way that is not read"),
        );
    }
    let Ok(file) = archive.by_index(index) else { return damaged() };
    let mut out = Vec::new();
    // What the entry says of its size may be wrong; what comes out is counted.
    match file.take(MOST_BYTES + 1).read_to_end(&mut out) {
        Err(_) => damaged(),
        Ok(_) if out.len() as u64 > MOST_BYTES => refuse(
            code!("score-too-large"),
            format!("a score has at most {} megabytes unpacked", MOST_BYTES / 1024 / 1024),
        ),
        Ok(_) => Ok(Some(out)),
    }
}

/// The scores among the root files that a container names, in order; a file whose kind is not said is one.
fn root_names(container: &str) -> Vec<String> {
    const SCORE: &str = "application/vnd.recordare.musicxml";
    let Ok(document) = super::xml::parse(container) else { return Vec::new() };
    let roots = document.descendants().filter(|node| node.has_tag_name("rootfile"));
    let scores = roots.filter(|node| {
        node.attribute("media-type").is_none_or(|kind| kind.starts_with(SCORE) || kind.ends_with("/xml"))
    });
    scores.filter_map(|node| node.attribute("full-path").map(str::to_owned)).take(MOST_ENTRIES).collect()
}

/// Text of an XML file for show: what is in no encoding that is read, or damaged, as far as it goes.
pub fn decode(bytes: &[u8]) -> String {
    match told(bytes) {
        Ok(text) => text.text,
        // What is written in four bytes a letter is told of, not shown.
        Err(_) if wide_letters(bytes).is_some() => String::new(),
        Err(_) => plain(bytes).text,
    }
}

/// A text, and how many places of it are in no letters of its encoding.
struct Text {
    text: String,
    bad: usize,
}

/// The text of an XML file: UTF-8 and UTF-16 by their marks, which win over what is said (Encoding Standard, decode), UTF-16 by
/// its first sign, else what the first line names, else UTF-8 (XML 1.0, appendix F; names and tables of the WHATWG's Encoding
/// Standard). What can't be read becomes the replacement character.
fn told(bytes: &[u8]) -> Result<Text, Refusal> {
    if wide_letters(bytes) == Some("UTF-32") {
        return refuse(code!("unknown-encoding"), "this score is written in UTF-32, which is not read");
    }
    match bytes {
        [0xfe, 0xff, rest @ ..] => return Ok(wide(rest, u16::from_be_bytes)),
        [0xff, 0xfe, rest @ ..] => return Ok(wide(rest, u16::from_le_bytes)),
        [0xef, 0xbb, 0xbf, rest @ ..] => return Ok(plain(rest)),
        [0, b'<', ..] => return Ok(wide(bytes, u16::from_be_bytes)),
        [b'<', 0, ..] => return Ok(wide(bytes, u16::from_le_bytes)),
        _ => {}
    }
    let name = declared(bytes);
    // Of the older forms of Unicode these hide other letters in plain ones; what says UTF-16 and is none is UTF-8.
    if let Some(name) = name.as_deref().filter(|name| name.contains("utf-7") || name.contains("utf-32")) {
        return not_read(name);
    }
    let Some(name) = name.filter(|name| !bytes.is_ascii() && !name.starts_with("utf")) else { return Ok(plain(bytes)) };
    let Some(encoding) = encoding_rs::Encoding::for_label(name.as_bytes()) else { return not_read(&name) };
    let (text, faulty) = encoding.decode_without_bom_handling(bytes);
    // A letter of the file's own may be the replacement character in Unicode sets alone.
    let bad = if faulty { text.matches('\u{fffd}').count() } else { 0 };
    Ok(Text { text: text.into_owned(), bad })
}

fn not_read<T>(encoding: &str) -> Result<T, Refusal> {
    refuse(code!("unknown-encoding"), format!("this score says that it is written in “{encoding}”, which is not read"))
}

/// The encoding that an XML declaration names, in small letters.
fn declared(bytes: &[u8]) -> Option<String> {
    let head = bytes.strip_prefix(b"<?xml")?;
    let head: String = head.iter().take(200).map(|byte| *byte as char).collect();
    let head = head.split("?>").next()?;
    let value = head.split_once("encoding")?.1.trim_start().strip_prefix('=')?.trim_start();
    let quote = value.chars().next().filter(|c| matches!(c, '"' | '\''))?;
    value[1..].split(quote).next().map(|name| name.trim().chars().take(40).collect::<String>().to_ascii_lowercase())
}

/// UTF-8; bytes together that are none become one replacement character.
fn plain(bytes: &[u8]) -> Text {
    if let Ok(text) = std::str::from_utf8(bytes) {
        return Text { text: text.to_owned(), bad: 0 };
    }
    let mut text = String::with_capacity(bytes.len());
    let mut bad = 0;
    let mut gap = false;
    for chunk in bytes.utf8_chunks() {
        text.push_str(chunk.valid());
        gap &= chunk.valid().is_empty();
        if !chunk.invalid().is_empty() && !gap {
            text.push('\u{fffd}');
            bad += 1;
            gap = true;
        }
    }
    // Behind its last element a score has nothing to lose.
    text.truncate(text.trim_end_matches(|c: char| c == '\u{fffd}' || c.is_whitespace()).len());
    Text { text, bad }
}

fn wide(bytes: &[u8], order: fn([u8; 2]) -> u16) -> Text {
    let (pairs, left) = bytes.as_chunks::<2>();
    let units = pairs.iter().map(|pair| order(*pair));
    let mut bad = left.len();
    let letter = |unit: Result<char, _>| {
        unit.unwrap_or_else(|_| {
            bad += 1;
            '\u{fffd}'
        })
    };
    let text = char::decode_utf16(units).map(letter).collect();
    Text { text, bad }
}
