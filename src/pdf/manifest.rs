//! The record inside a file: a document's manifest as lines of text, deflated, under a private key of the catalog.
//!
//! Takes a [`Manifest`]; gives lines, and the other way round. One fact a line: a word, then fields parted by tabs; in a
//! field `\\`, `\t` and `\n` stand for themselves. The first line names the version of this form. What is said of many bars is
//! written once, before the first of them: `tune` stands over its bars, and a bar names its facts by their numbers, counted
//! from 1 as they are first said.

use super::KEY;
use super::pack::deflate;
use super::record::DIGEST_VERSION;
use crate::page::{BarRecord, Facts, Identity, Manifest, PageRecord, StartRecord};
use lopdf::{Dictionary, Object};
use std::collections::HashMap;
use std::fmt;
use std::io::Read;
use std::sync::Arc;
use twox_hash::XxHash3_128;

/// The version of the form written here.
const FORM: &str = "boxwright-record 2";
/// A record beyond this, unpacked, is none of ours, nor one whose facts, each written out at its bar, are longer: 2,000 pages of
/// music need a third of it.
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
    let file = super::load::load_record(bytes).map_err(ManifestError::NotPdf)?;
    if file.is_encrypted() || file.was_encrypted() || file.trailer.has(b"Encrypt") {
        return Err(ManifestError::Encrypted);
    }
    let record =
        file.catalog().ok().and_then(|catalog| catalog.get(KEY.as_bytes()).ok()).ok_or(ManifestError::NotOurs)?;
    let damaged = |reason: &str| ManifestError::Damaged { line: 0, reason: reason.to_owned() };
    let (_, stream) = file.dereference(record).map_err(|_| damaged("its stream is missing"))?;
    let stream = stream.as_stream().map_err(|_| damaged("it is no stream"))?;
    let mut text = String::new();
    // Another program may have written the file anew with its streams unpacked.
    let unpacked = if stream.dict.has(b"Filter") {
        flate2::read::ZlibDecoder::new(stream.content.as_slice()).take(MOST).read_to_string(&mut text)
    } else {
        stream.content.as_slice().take(MOST).read_to_string(&mut text)
    };
    unpacked.map_err(|_| damaged("its stream cannot be unpacked"))?;
    read(&text)
}

/// The record as a stream object's dictionary entries and bytes before deflate.
pub(super) fn stream_dictionary() -> Dictionary {
    Dictionary::from_iter([("Type", Object::Name(KEY.into()))])
}

/// The lines of a record.
pub(super) fn write(manifest: &Manifest) -> String {
    // Room for most of it at once, so that it does not grow by copying.
    let blocks = manifest.blocks.iter().map(|blocks| blocks.len() + 60);
    let mut out = String::with_capacity(blocks.sum::<usize>() + manifest.bars.len() * 80 + 1000);
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
    bars(&mut out, &manifest.bars);
    for start in &manifest.starts {
        line(&mut out, "start", &[&start.anchor, &start.page]);
    }
    for (key, value) in &manifest.laying {
        line(&mut out, "laid", &[key, value]);
    }
    out
}

fn bars(out: &mut String, bars: &[BarRecord]) {
    let mut known: HashMap<&str, usize> = HashMap::new();
    let mut tune = None;
    let mut facts = String::new();
    for bar in bars {
        if tune != Some((&bar.tune, &bar.title)) {
            tune = Some((&bar.tune, &bar.title));
            line(out, "tune", &[&bar.tune, &bar.title]);
        }
        facts.clear();
        for fact in bar.facts.iter() {
            let next = known.len() + 1;
            let number = *known.entry(fact).or_insert_with(|| {
                line(out, "fact", &[fact]);
                next
            });
            if !facts.is_empty() {
                facts.push(' ');
            }
            push_number(&mut facts, number);
        }
        line(out, "bar", &[&bar.bar, &bar.page, &bar.digest, &facts]);
    }
}

fn push_number(out: &mut String, number: usize) {
    let mut digits = [0; 20];
    let (mut at, mut rest) = (digits.len(), number);
    loop {
        at -= 1;
        digits[at] = b"0123456789"[rest % 10];
        rest /= 10;
        if rest == 0 {
            break;
        }
    }
    out.push_str(std::str::from_utf8(&digits[at..]).unwrap_or_default());
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
    pub(super) hash: u128,
    /// Its lines, deflated.
    pub(super) content: Vec<u8>,
}

impl Packed {
    /// Packs a record.
    pub(super) fn of(manifest: &Manifest) -> Self {
        let lines = write(manifest);
        Self { hash: XxHash3_128::oneshot(lines.as_bytes()), content: deflate(lines.as_bytes()) }
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
    let mut said = Said::default();
    for (index, text) in lines {
        let damaged = |reason: String| ManifestError::Damaged { line: index + 1, reason };
        let mut fields = text.split('\t');
        let word = fields.next().unwrap_or("");
        let fields: Vec<String> = fields.map(unescape).collect();
        take(&mut manifest, &mut said, word, fields).map_err(damaged)?;
        if manifest.digest_version != DIGEST_VERSION {
            return Err(ManifestError::UnknownDigest(manifest.digest_version));
        }
    }
    if manifest.digest_version == 0 {
        return Err(ManifestError::UnknownDigest(0));
    }
    Ok(manifest)
}

/// What is said of the bars to come.
#[derive(Debug, Default)]
struct Said {
    /// The tune that they belong to, and its title.
    tune: Option<(Arc<str>, Arc<str>)>,
    /// The facts, by number.
    facts: Vec<String>,
    /// How long those of all bars are, written out.
    length: usize,
}

impl Said {
    /// The facts of a bar by their numbers.
    fn facts(&mut self, numbers: &str) -> Result<Facts, String> {
        let mut all = Vec::new();
        for number in numbers.split_ascii_whitespace() {
            let index = number.parse::<usize>().ok().and_then(|number| number.checked_sub(1));
            let fact = index.and_then(|index| self.facts.get(index)).ok_or("a bar names a fact that nothing said")?;
            self.length += fact.len() + 1;
            if self.length as u64 > MOST {
                return Err("its bars have more facts than a book has".to_owned());
            }
            all.push(fact.as_str());
        }
        Ok(all.into_iter().collect())
    }
}

fn take(manifest: &mut Manifest, said: &mut Said, word: &str, fields: Vec<String>) -> Result<(), String> {
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
        "tune" => {
            let [tune, title] = <[String; 2]>::try_from(fields).map_err(|_| few(2))?;
            said.tune = Some((tune.into(), title.into()));
        }
        "fact" => {
            let [fact] = <[String; 1]>::try_from(fields).map_err(|_| few(1))?;
            said.facts.push(fact);
        }
        "bar" => {
            let [bar, page, digest, facts] = <[String; 4]>::try_from(fields).map_err(|_| few(4))?;
            let (tune, title) = said.tune.clone().ok_or_else(|| "a bar stands before the first tune".to_owned())?;
            manifest.bars.push(BarRecord { tune, title, bar, page, digest, facts: said.facts(&facts)? });
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
