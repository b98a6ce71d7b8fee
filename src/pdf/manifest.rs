//! The record inside a file: a document's manifest as lines of text, deflated, under a private key of the catalog.
//!
//! Takes a [`Manifest`]; gives lines, and the other way round. One fact a line: a word, then fields parted by tabs; in a
//! field `\\`, `\t` and `\n` stand for themselves. The first line names the version of this form.

use super::pack::deflate;
use super::record::DIGEST_VERSION;
use crate::page::{BarRecord, Facts, Identity, Manifest, PageRecord, StartRecord};
use lopdf::{Dictionary, Object};
use std::fmt;
use std::io::Read;

/// The catalog's key for the record. The prefix keeps it apart from other writers' private keys (ISO 32000-1, annex E).
pub(super) const KEY: &str = "BXWR_Record";
/// The version of the form written here.
const FORM: &str = "boxwright-record 1";
/// A record beyond this, unpacked, is none of ours: 2,000 pages of music need half of it.
const MOST: u64 = 16 << 20;

/// Why a record could not be read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ManifestError {
    /// The bytes are no PDF that can be read.
    NotPdf(String),
    /// The file is encrypted.
    Encrypted,
    /// The file carries no record: another program made it.
    NotOurs,
    /// The record has a form of another version.
    UnknownForm(String),
    /// The digests are of another version, so that nothing can be compared.
    UnknownDigest(u32),
    /// The record is damaged.
    Damaged {
        /// The line, from 1; 0 when the stream itself is at fault.
        line: usize,
        /// What is wrong.
        reason: String,
    },
}

impl fmt::Display for ManifestError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotPdf(why) => write!(f, "this is not a PDF that can be read: {why}"),
            Self::Encrypted => f.write_str("the file is encrypted"),
            Self::NotOurs => f.write_str("the file carries no record of its pages; it was not bound by this program"),
            Self::UnknownForm(form) => {
                write!(f, "the file's record has the form `{form}`, which this version does not know")
            }
            Self::UnknownDigest(version) => {
                write!(f, "the file's digests are of version {version}; this version compares only {DIGEST_VERSION}")
            }
            Self::Damaged { line: 0, reason } => write!(f, "the file's record is damaged: {reason}"),
            Self::Damaged { line, reason } => write!(f, "the file's record is damaged in line {line}: {reason}"),
        }
    }
}

impl std::error::Error for ManifestError {}

/// Reads the record of a finished file.
///
/// # Errors
/// See [`ManifestError`]; a record whose digests have another version is refused.
pub fn manifest(bytes: &[u8]) -> Result<Manifest, ManifestError> {
    let file = super::load::load(bytes).map_err(ManifestError::NotPdf)?;
    if file.is_encrypted() || file.was_encrypted() || file.trailer.has(b"Encrypt") {
        return Err(ManifestError::Encrypted);
    }
    let record =
        file.catalog().ok().and_then(|catalog| catalog.get(KEY.as_bytes()).ok()).ok_or(ManifestError::NotOurs)?;
    let damaged = |reason: &str| ManifestError::Damaged { line: 0, reason: reason.to_owned() };
    let (_, stream) = file.dereference(record).map_err(|_| damaged("its stream is missing"))?;
    let stream = stream.as_stream().map_err(|_| damaged("it is no stream"))?;
    let mut text = String::new();
    flate2::read::ZlibDecoder::new(stream.content.as_slice())
        .take(MOST)
        .read_to_string(&mut text)
        .map_err(|_| damaged("its stream cannot be unpacked"))?;
    read(&text)
}

/// The record as a stream object's dictionary entries and bytes before deflate.
pub(super) fn stream_dictionary() -> Dictionary {
    Dictionary::from_iter([("Type", Object::Name(KEY.into()))])
}

/// The lines of a record.
pub(super) fn write(manifest: &Manifest) -> String {
    // Most of a record is facts: room for them at once, so that it does not grow by copying.
    let facts = manifest.bars.iter().map(|bar| bar.facts.iter().map(|fact| fact.len() + 6).sum::<usize>() + 120);
    let blocks = manifest.blocks.iter().map(|blocks| blocks.len() + 60);
    let mut out = String::with_capacity(facts.chain(blocks).sum::<usize>() + 1000);
    line(&mut out, FORM, &[]);
    let id = &manifest.identity;
    let impression = id.impression.to_string();
    let version = manifest.digest_version.to_string();
    for (word, value) in [
        ("digest", &version),
        ("book", &id.book),
        ("edition", &id.edition),
        ("title", &id.title),
        ("author", &id.author),
        ("language", &id.language),
        ("date", &id.date),
        ("impression", &impression),
    ] {
        line(&mut out, word, &[value]);
    }
    for (key, value) in &manifest.options {
        line(&mut out, "option", &[key, value]);
    }
    for (index, page) in manifest.pages.iter().enumerate() {
        line(&mut out, "page", &[&page.label, &page.digest]);
        if let Some(blocks) = manifest.blocks.get(index).filter(|blocks| !blocks.is_empty()) {
            line(&mut out, "blocks", &[blocks]);
        }
    }
    for bar in &manifest.bars {
        line(&mut out, "bar", &[&bar.tune, &bar.title, &bar.bar, &bar.page, &bar.digest]);
        for fact in bar.facts.iter() {
            line(&mut out, "fact", &[fact]);
        }
    }
    for start in &manifest.starts {
        line(&mut out, "start", &[&start.anchor, &start.page]);
    }
    for (key, value) in &manifest.laying {
        line(&mut out, "laid", &[key, value]);
    }
    out
}

fn line(out: &mut String, word: &str, fields: &[&str]) {
    out.push_str(word);
    for field in fields {
        out.push('\t');
        let mut rest = *field;
        while let Some(at) = rest.bytes().position(|byte| matches!(byte, b'\\' | b'\t' | b'\n' | b'\r')) {
            out.push_str(&rest[..at]);
            out.push_str(match rest.as_bytes()[at] {
                b'\t' => "\\t",
                b'\n' => "\\n",
                b'\r' => "\\r",
                _ => "\\\\",
            });
            rest = &rest[at + 1..];
        }
        out.push_str(rest);
    }
    out.push('\n');
}

/// A record as it goes into a file.
#[derive(Debug)]
pub(super) struct Packed {
    /// A hash of its lines.
    pub(super) hash: [u8; 32],
    /// Its lines, deflated.
    pub(super) content: Vec<u8>,
}

impl Packed {
    /// Packs a record.
    pub(super) fn of(manifest: &Manifest) -> Self {
        let lines = write(manifest);
        Self { hash: *blake3::hash(lines.as_bytes()).as_bytes(), content: deflate(lines.as_bytes()) }
    }
}

/// Reads the lines of a record.
pub(super) fn read(text: &str) -> Result<Manifest, ManifestError> {
    let mut lines = text.lines().enumerate();
    let form = lines.next().map_or("", |(_, form)| form);
    if form != FORM {
        return Err(ManifestError::UnknownForm(form.chars().take(60).collect()));
    }
    let mut manifest = Manifest { digest_version: 0, ..Manifest::default() };
    for (index, text) in lines {
        let damaged = |reason: String| ManifestError::Damaged { line: index + 1, reason };
        let mut fields = text.split('\t');
        let word = fields.next().unwrap_or("");
        let fields: Vec<String> = fields.map(unescape).collect();
        take(&mut manifest, word, fields).map_err(damaged)?;
        if manifest.digest_version != DIGEST_VERSION {
            return Err(ManifestError::UnknownDigest(manifest.digest_version));
        }
    }
    if manifest.digest_version == 0 {
        return Err(ManifestError::UnknownDigest(0));
    }
    Ok(manifest)
}

fn take(manifest: &mut Manifest, word: &str, fields: Vec<String>) -> Result<(), String> {
    let few = |wanted: usize| format!("`{word}` wants {wanted} fields");
    if let Some(slot) = identity_field(&mut manifest.identity, word) {
        let [value] = <[String; 1]>::try_from(fields).map_err(|_| few(1))?;
        *slot = value;
        return Ok(());
    }
    match word {
        "digest" => {
            let [value] = <[String; 1]>::try_from(fields).map_err(|_| few(1))?;
            manifest.digest_version = value.parse().map_err(|_| "the digest version is no number".to_owned())?;
        }
        "impression" => {
            let [value] = <[String; 1]>::try_from(fields).map_err(|_| few(1))?;
            manifest.identity.impression = value.parse().map_err(|_| "the impression is no number".to_owned())?;
        }
        "option" => {
            let [key, value] = <[String; 2]>::try_from(fields).map_err(|_| few(2))?;
            manifest.options.push((key, value));
        }
        "page" => {
            let [label, digest] = <[String; 2]>::try_from(fields).map_err(|_| few(2))?;
            manifest.pages.push(PageRecord { label, digest });
            manifest.blocks.push(String::new());
        }
        "blocks" => {
            let [blocks] = <[String; 1]>::try_from(fields).map_err(|_| few(1))?;
            *manifest.blocks.last_mut().ok_or_else(|| "blocks stand before the first page".to_owned())? = blocks;
        }
        "start" => {
            let [anchor, page] = <[String; 2]>::try_from(fields).map_err(|_| few(2))?;
            manifest.starts.push(StartRecord { anchor, page });
        }
        "laid" => {
            let [key, value] = <[String; 2]>::try_from(fields).map_err(|_| few(2))?;
            manifest.laying.push((key, value));
        }
        "bar" => {
            let [tune, title, bar, page, digest] = <[String; 5]>::try_from(fields).map_err(|_| few(5))?;
            manifest.bars.push(BarRecord {
                tune: tune.into(),
                title: title.into(),
                bar,
                page,
                digest,
                facts: Facts::default(),
            });
        }
        "fact" => {
            let [fact] = <[String; 1]>::try_from(fields).map_err(|_| few(1))?;
            let bar = manifest.bars.last_mut().ok_or_else(|| "a fact stands before the first bar".to_owned())?;
            bar.facts.push(&fact);
        }
        _ => return Err(format!("`{}` is no word of a record", word.chars().take(30).collect::<String>())),
    }
    Ok(())
}

fn identity_field<'a>(identity: &'a mut Identity, word: &str) -> Option<&'a mut String> {
    Some(match word {
        "book" => &mut identity.book,
        "edition" => &mut identity.edition,
        "title" => &mut identity.title,
        "author" => &mut identity.author,
        "language" => &mut identity.language,
        "date" => &mut identity.date,
        _ => return None,
    })
}

fn unescape(field: &str) -> String {
    let mut out = String::with_capacity(field.len());
    let mut characters = field.chars();
    while let Some(character) = characters.next() {
        if character != '\\' {
            out.push(character);
            continue;
        }
        match characters.next() {
            Some('t') => out.push('\t'),
            Some('n') => out.push('\n'),
            Some('r') => out.push('\r'),
            Some(other) => out.push(other),
            None => {}
        }
    }
    out
}
