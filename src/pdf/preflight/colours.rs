//! Colour spaces and profiles of a foreign file, by family.

use lopdf::{Document, Object};
use std::collections::BTreeSet;

/// What the header of an ICC profile says (ICC.1, 7.2).
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Profile {
    /// Its class: `prtr` for output, `mntr` for display.
    pub(super) class: String,
    /// Its colour space: `GRAY`, `RGB `, `CMYK`.
    pub(super) space: String,
    /// Its major version.
    pub(super) version: u8,
    /// Whether it is a profile at all.
    pub(super) sound: bool,
}

impl Profile {
    /// Reads a header.
    pub(super) fn of(bytes: &[u8]) -> Self {
        let word = |at: usize| {
            bytes.get(at..at + 4).map(|word| String::from_utf8_lossy(word).into_owned()).unwrap_or_default()
        };
        let size = bytes.first_chunk().map_or(0, |size| u32::from_be_bytes(*size)) as usize;
        Self {
            class: word(12),
            space: word(16),
            version: bytes.get(8).copied().unwrap_or(0),
            // Its own size stands first: what is shorter than that has been cut off.
            sound: bytes.len() > 128 && word(36) == "acsp" && size <= bytes.len(),
        }
    }
}

/// Notes the families of a colour space, and of those it rests on.
pub(super) fn families(file: &Document, object: &Object, depth: usize, found: &mut BTreeSet<String>) {
    if depth > 8 {
        return;
    }
    let Ok((_, object)) = file.dereference(object) else { return };
    match object {
        Object::Name(name) => {
            found.insert(device(name));
        }
        Object::Array(parts) => {
            let family = parts.first().and_then(|family| family.as_name().ok()).map(device).unwrap_or_default();
            match family.as_str() {
                // Under these lies another space: base, alternate.
                "Indexed" | "Pattern" => {
                    if let Some(base) = parts.get(1) {
                        families(file, base, depth + 1, found);
                    }
                }
                "Separation" | "DeviceN" => {
                    if let Some(alternate) = parts.get(2) {
                        families(file, alternate, depth + 1, found);
                    }
                }
                _ => {}
            }
            let shown = match (family.as_str(), parts.get(1)) {
                ("Separation", Some(Object::Name(ink))) => format!("Separation {}", String::from_utf8_lossy(ink)),
                _ => family,
            };
            if !shown.is_empty() {
                found.insert(shown);
            }
        }
        _ => {}
    }
}

/// The full name of a space that inline images shorten (ISO 32000-1, table 94).
pub(super) fn device(name: &[u8]) -> String {
    match name {
        b"G" => "DeviceGray".to_owned(),
        b"RGB" => "DeviceRGB".to_owned(),
        b"CMYK" => "DeviceCMYK".to_owned(),
        b"I" => "Indexed".to_owned(),
        other => String::from_utf8_lossy(&other[..other.len().min(60)]).into_owned(),
    }
}
