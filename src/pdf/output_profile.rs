//! A print shop's own output profile, as it sends it: what a press makes of ink, for the file to carry.
//!
//! Takes the bytes of an ICC file; gives them with what has to be said of them, or why they are no such profile. Source of the
//! format: ICC.1:2001-04, clauses 6.1 (header), 6.2 (tag table), 6.5.17 (`textDescriptionType`); the `multiLocalizedUnicodeType` of
//! version 4 is from memory. Which profiles an output intent takes: ISO 32000-1, 14.11.5 and table 66.

use std::fmt;
use std::sync::Arc;
use twox_hash::XxHash3_128;

/// What a profile counts its inks in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum ProfileSpace {
    /// Black alone.
    Grey,
    /// Cyan, magenta, yellow, black.
    Cmyk,
}

/// An output profile.
#[derive(Clone, PartialEq, Eq)]
pub struct OutputProfile {
    bytes: Arc<[u8]>,
    space: ProfileSpace,
    version: u8,
    description: String,
}

/// No profile is larger than this, in bytes: those of the largest tables there are come to a quarter of it.
const LARGEST: usize = 8 << 20;
/// Header and the count of tags.
const HEAD: usize = 132;
/// No profile has more tags: the richest have some dozens.
const MOST_TAGS: usize = 200;
/// So many letters of a description are told.
const LONGEST: usize = 80;

impl OutputProfile {
    /// Reads a profile.
    ///
    /// # Errors
    /// Why it cannot be the profile of a press, in words that go on from "it".
    pub fn read(bytes: &[u8]) -> Result<Self, String> {
        if bytes.len() > LARGEST {
            return Err(format!("is larger than {} MB", LARGEST >> 20));
        }
        if bytes.len() < HEAD || word(bytes, 36) != b"acsp" {
            return Err("is no ICC profile".to_owned());
        }
        let size = long(bytes, 0);
        if size > bytes.len() {
            return Err(format!("is torn: it says {size} bytes and has {}", bytes.len()));
        }
        if word(bytes, 12) != b"prtr" {
            let kind = match word(bytes, 12) {
                b"mntr" => "of a screen",
                b"scnr" => "of a scanner or camera",
                b"link" => "that leads from one device to another",
                _ => "of another kind",
            };
            return Err(format!("is a profile {kind}, not of a press"));
        }
        let space = match word(bytes, 16) {
            b"CMYK" => ProfileSpace::Cmyk,
            b"GRAY" => ProfileSpace::Grey,
            other => {
                let space = String::from_utf8_lossy(other);
                return Err(format!(
                    "is a profile for `{}`, not for CMYK or grey ink",
                    space.trim_end().escape_debug()
                ));
            }
        };
        let version = bytes[8];
        if version > 4 {
            return Err(format!("is of version {version} of the ICC's format; files for the press know 2 and 4"));
        }
        let tags = tags(bytes).ok_or("is torn: its table of tags leads out of it")?;
        let described = tags.iter().find(|(name, _)| name == b"desc").and_then(|(_, data)| description(data));
        let description = described.ok_or("does not say what it is called")?;
        Ok(Self { bytes: bytes.into(), space, version, description })
    }
    /// The file as it came.
    pub(super) fn bytes(&self) -> &[u8] {
        &self.bytes
    }
    /// Its inks.
    pub const fn space(&self) -> ProfileSpace {
        self.space
    }
    /// Whether a file of PDF 1.4 may carry it, which knows version 2 of the format alone (ISO 32000-1, table 66).
    pub const fn is_for_pdf_1_4(&self) -> bool {
        self.version <= 2
    }
    /// What it is called.
    pub fn description(&self) -> &str {
        &self.description
    }
}

/// Name, size and a hash in the place of the bytes.
impl fmt::Debug for OutputProfile {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let hash = XxHash3_128::oneshot(&self.bytes);
        write!(f, "OutputProfile({:?}, {} bytes, {hash:032x})", self.description, self.bytes.len())
    }
}

fn word(bytes: &[u8], at: usize) -> &[u8] {
    bytes.get(at..at + 4).unwrap_or_default()
}

fn long(bytes: &[u8], at: usize) -> usize {
    bytes.get(at..at + 4).and_then(|four| four.try_into().ok()).map_or(0, |four| u32::from_be_bytes(four) as usize)
}

/// The tags by name; nothing where one of them lies outside the profile.
fn tags(bytes: &[u8]) -> Option<Vec<([u8; 4], &[u8])>> {
    let count = long(bytes, 128);
    if count > MOST_TAGS {
        return None;
    }
    (0..count)
        .map(|tag| {
            let entry = HEAD + tag * 12;
            let name = word(bytes, entry).try_into().ok()?;
            let (start, size) = (long(bytes, entry + 4), long(bytes, entry + 8));
            Some((name, bytes.get(start..start.checked_add(size)?)?))
        })
        .collect()
}

/// What a description says, in one line; nothing where it says nothing.
fn description(data: &[u8]) -> Option<String> {
    let text = match word(data, 0) {
        b"desc" => {
            let length = long(data, 8);
            String::from_utf8_lossy(data.get(12..12usize.checked_add(length)?)?).into_owned()
        }
        b"mluc" => {
            // The first of its languages.
            let (length, start) = (long(data, 20), long(data, 24));
            let units = data.get(start..start.checked_add(length)?)?.chunks_exact(2);
            String::from_utf16_lossy(&units.map(|pair| u16::from_be_bytes([pair[0], pair[1]])).collect::<Vec<_>>())
        }
        _ => return None,
    };
    let text = text.split('\0').next().unwrap_or_default();
    let plain: String = text.chars().filter(|c| !c.is_control()).take(LONGEST).collect();
    let plain = plain.trim();
    (!plain.is_empty()).then(|| plain.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pdf::profile;

    /// Our own profile as a start; it has `desc` as its first tag.
    fn with(change: impl Fn(&mut Vec<u8>)) -> Result<OutputProfile, String> {
        let mut bytes = profile::grey();
        change(&mut bytes);
        OutputProfile::read(&bytes)
    }

    #[test]
    fn a_profile_says_what_it_is() {
        let grey = with(|_| {}).expect("our own profile is one");
        assert_eq!((grey.space(), grey.description()), (ProfileSpace::Grey, profile::DESCRIPTION));
        assert!(grey.is_for_pdf_1_4());
        let cmyk = with(|bytes| bytes[16..20].copy_from_slice(b"CMYK")).expect("by its header it is one");
        assert_eq!(cmyk.space(), ProfileSpace::Cmyk);
        assert!(!with(|bytes| bytes[8] = 4).expect("it is one").is_for_pdf_1_4());
        assert_ne!(format!("{grey:?}"), format!("{cmyk:?}"), "two profiles of one name are told apart");
    }

    /// Text of version 4: one record, English, in UTF-16 with the high byte first.
    #[test]
    fn names_of_version_4_are_read() {
        let words: Vec<u8> = "Pressroom 2\u{e9}".encode_utf16().flat_map(u16::to_be_bytes).collect();
        let mut data = b"mluc\0\0\0\0\0\0\0\x01\0\0\0\x0cenGB".to_vec();
        data.extend(u32::try_from(words.len()).expect("short").to_be_bytes());
        data.extend(28u32.to_be_bytes());
        data.extend(&words);
        assert_eq!(description(&data).as_deref(), Some("Pressroom 2\u{e9}"));
        assert_eq!(description(&data[..30]), None);
    }

    /// What is done to a profile.
    type Damage = fn(&mut Vec<u8>);

    #[test]
    fn what_is_no_profile_of_a_press_is_told() {
        let table: [(&str, Damage); 9] = [
            ("no ICC profile", |bytes| bytes.truncate(100)),
            ("no ICC profile", |bytes| bytes[36..40].copy_from_slice(b"PDF ")),
            ("torn", |bytes| bytes.truncate(400)),
            ("of a screen", |bytes| bytes[12..16].copy_from_slice(b"mntr")),
            ("for `RGB`", |bytes| bytes[16..20].copy_from_slice(b"RGB ")),
            ("version 5", |bytes| bytes[8] = 5),
            ("leads out", |bytes| bytes[136..140].copy_from_slice(&u32::MAX.to_be_bytes())),
            ("leads out", |bytes| bytes[128..132].copy_from_slice(&u32::MAX.to_be_bytes())),
            ("larger than 8 MB", |bytes| bytes.resize(9 << 20, 0)),
        ];
        for (says, change) in table {
            let why = with(change).expect_err(says);
            assert!(why.contains(says), "{says}: {why}");
        }
        assert!(with(|bytes| bytes[132..136].copy_from_slice(b"none")).is_err_and(|why| why.contains("called")));
    }
}
