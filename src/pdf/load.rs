//! Opens a finished file of any origin, within bounds.

use lopdf::{Document, Error, LoadOptions};

/// Files larger than this are not opened: a thousand pages of our own make a fiftieth of it.
const MOST: usize = 1 << 30;
/// No stream of objects is unpacked beyond this: ours are a thousandth of it.
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
    let options = LoadOptions { max_decompressed_size: Some(UNPACKED), ..LoadOptions::default() };
    Document::load_mem_with_options(bytes, options).map_err(|error| match error {
        Error::InvalidPassword | Error::Decryption(_) => "it is encrypted".to_owned(),
        error => format!("it is damaged ({error})"),
    })
}
