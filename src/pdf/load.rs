//! Opens a finished file of any origin, within bounds.

use lopdf::{Document, Error, LoadOptions};

/// Files larger than this are not opened: a thousand pages of our own make a fiftieth of it.
const MOST: usize = 1 << 30;
/// All streams of objects together are not unpacked beyond this; each may take an equal share. Ours are 64 kB, and a book of
/// two thousand pages has some hundreds.
const UNPACKED: usize = 64 << 20;

/// Reads a PDF; the reason in plain words if it cannot be read.
pub(super) fn load(bytes: &[u8]) -> Result<Document, String> {
    if bytes.len() > MOST {
        return Err("the file is larger than a gigabyte".to_owned());
    }
    // The header may lie within the first 1,024 bytes (ISO 32000-1, annex H.3, note 13).
    let head = &bytes[..bytes.len().min(1024)];
    if !head.windows(5).any(|window| window == b"%PDF-") {
        return Err("it does not begin with a PDF header".to_owned());
    }
    let share = UNPACKED / object_streams(bytes).max(1);
    let options = LoadOptions { max_decompressed_size: Some(share), ..LoadOptions::default() };
    Document::load_mem_with_options(bytes, options).map_err(|error| match error {
        Error::InvalidPassword | Error::Decryption(_) => "it is encrypted".to_owned(),
        error => format!("it is damaged ({error})"),
    })
}

/// How many streams of objects the file may hold, by their name, spelled out or in part by numbers (ISO 32000-1, 7.3.5).
fn object_streams(bytes: &[u8]) -> usize {
    let slashes = bytes.iter().enumerate().filter(|(_, byte)| **byte == b'/');
    slashes.filter(|(at, _)| is_object_stream(&bytes[at + 1..])).count()
}

fn is_object_stream(name: &[u8]) -> bool {
    let mut rest = name;
    for wanted in b"ObjStm" {
        let (found, taken) = match rest {
            [b'#', high, low, ..] => {
                let digit = |byte: &u8| char::from(*byte).to_digit(16);
                let (Some(high), Some(low)) = (digit(high), digit(low)) else { return false };
                (u8::try_from(high * 16 + low).unwrap_or(0), 3)
            }
            [plain, ..] => (*plain, 1),
            [] => return false,
        };
        if found != *wanted {
            return false;
        }
        rest = &rest[taken..];
    }
    true
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 32000-1, 7.3.5: any sign of a name may be written as its number.
    #[test]
    fn streams_of_objects_are_counted_however_they_are_spelled() {
        assert_eq!(object_streams(b"<</Type/ObjStm/N 1>><</Type /Obj#53t#6d /N 1>><</Type/XRef/Obj#5xtm#"), 2);
    }
}
