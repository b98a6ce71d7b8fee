//! The bytes of a stream, unpacked whole or not at all: a stream that breaks off is not taken for a shorter one.
//!
//! Takes a stream of a foreign file; gives bytes up to a bound. Source: ISO 32000-1, 7.4 (filters), RFC 1950 (the check sum at the end
//! of what is deflated).

use flate2::{Decompress, FlushDecompress, Status};
use lopdf::{Dictionary, Object, Stream};

/// Room that is made for unpacked bytes at a time.
const ROOM: usize = 64 << 10;

/// All bytes of a stream; `None` where they are damaged, more than `most`, or packed in a way that is not read.
pub(super) fn whole(stream: &Stream, most: usize) -> Option<Vec<u8>> {
    let filters = match stream.dict.get(b"Filter") {
        Err(_) => Vec::new(),
        Ok(Object::Name(name)) => vec![name.as_slice()],
        Ok(Object::Array(names)) => names.iter().map(|name| name.as_name().ok()).collect::<Option<Vec<_>>>()?,
        Ok(_) => return None,
    };
    let predicts = predicts(stream, filters.len())?;
    if filters == [b"FlateDecode"] {
        let bytes = inflate(&stream.content, most)?;
        // The library undoes what was predicted; that nothing is missing is known now.
        return if predicts { stream.get_plain_content_with_limit(most).ok() } else { Some(bytes) };
    }
    if filters.len() < 2 || predicts {
        return stream.get_plain_content_with_limit(most).ok();
    }
    let mut bytes: Option<Vec<u8>> = None;
    for filter in filters {
        let packed: &[u8] = bytes.as_deref().unwrap_or(stream.content.as_slice());
        bytes = Some(match filter {
            b"FlateDecode" => inflate(packed, most)?,
            other => {
                let entries = Dictionary::from_iter([("Filter", Object::Name(other.to_vec()))]);
                Stream::new(entries, packed.to_vec()).get_plain_content_with_limit(most).ok()?
            }
        });
    }
    bytes
}

/// Whether bytes were predicted from others before they were packed; `None` where that is done in a way that is not read: by the
/// rules of TIFF, or in one of several filters.
fn predicts(stream: &Stream, filters: usize) -> Option<bool> {
    let of = |parameters: &Dictionary| parameters.get(b"Predictor").and_then(Object::as_i64).unwrap_or(1);
    match stream.dict.get(b"DecodeParms") {
        Err(_) => Some(false),
        Ok(Object::Dictionary(parameters)) if filters == 1 => match of(parameters) {
            1 => Some(false),
            10..=15 => Some(true),
            _ => None,
        },
        Ok(Object::Array(all)) => {
            let plain = |entry: &Object| match entry {
                Object::Null => true,
                Object::Dictionary(parameters) => of(parameters) == 1,
                _ => false,
            };
            all.iter().all(plain).then_some(false)
        }
        Ok(_) => None,
    }
}

/// What was deflated, if it comes to its own end and its check sum is right.
fn inflate(packed: &[u8], most: usize) -> Option<Vec<u8>> {
    let mut work = Decompress::new(true);
    let mut bytes = Vec::with_capacity(packed.len().saturating_mul(2).clamp(1, most.saturating_add(1)));
    loop {
        if bytes.len() > most {
            return None;
        }
        if bytes.len() == bytes.capacity() {
            bytes.reserve(ROOM.min(most.saturating_add(1) - bytes.len()).max(1));
        }
        let (read, made) = (work.total_in(), bytes.len());
        let rest = packed.get(usize::try_from(read).ok()?..)?;
        match work.decompress_vec(rest, &mut bytes, FlushDecompress::None).ok()? {
            Status::StreamEnd => return (bytes.len() <= most).then_some(bytes),
            // Nothing more to read, and room to write: it breaks off.
            _ if work.total_in() == read && bytes.len() == made => return None,
            Status::Ok | Status::BufError => {}
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write as _;

    fn packed(text: &[u8]) -> Stream {
        let mut stream = Stream::new(Dictionary::new(), text.to_vec());
        stream.compress().expect("it can be packed");
        assert!(stream.dict.has(b"Filter"), "it was worth packing");
        stream
    }

    #[test]
    fn a_stream_is_whole_or_nothing() {
        let text = b"0 g 10 10 20 20 re f\n".repeat(20_000);
        let stream = packed(&text);
        assert_eq!(whole(&stream, text.len()).as_deref(), Some(text.as_slice()));
        assert_eq!(whole(&stream, text.len() - 1), None, "it is larger than that");
        for cut in [1, 4, 5, stream.content.len() / 2, stream.content.len() - 2] {
            let mut broken = stream.clone();
            broken.content.truncate(broken.content.len() - cut);
            assert_eq!(whole(&broken, text.len()), None, "{cut} bytes are missing");
        }
        let mut turned = stream.clone();
        let at = turned.content.len() / 2;
        turned.content[at] ^= 0x10;
        assert_eq!(whole(&turned, text.len()), None, "a bit is turned");
        // An end of line behind the data belongs to the file.
        let mut longer = stream;
        longer.content.extend(b"\r\n");
        assert_eq!(whole(&longer, text.len()).map(|bytes| bytes.len()), Some(text.len()));
    }

    #[test]
    fn filters_follow_one_another_and_what_is_not_read_is_nothing() {
        let text = b"q Q ".repeat(100);
        let plain = Stream::new(Dictionary::new(), text.clone());
        assert_eq!(whole(&plain, 400), Some(text.clone()));
        assert_eq!(whole(&plain, 399), None);
        let name = |name: &str| Object::Name(name.into());
        let mut encoder = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::fast());
        encoder.write_all(&packed(&text).content).expect("it can be packed");
        let mut twice = Stream::new(Dictionary::new(), encoder.finish().expect("it can be packed"));
        twice.dict.set("Filter", vec![name("FlateDecode"), name("FlateDecode")]);
        assert_eq!(whole(&twice, 400), Some(text.clone()));
        // Written in letters, as older programs have it (7.4.3): four bytes are five of them, four noughts one.
        let mut letters = Stream::new(Dictionary::new(), b"87cURDZ~>".to_vec());
        letters.dict.set("Filter", name("ASCII85Decode"));
        assert_eq!(whole(&letters, 400).as_deref(), Some(&b"Hello"[..]));
        let mut odd = packed(&text);
        odd.dict.set("DecodeParms", Dictionary::from_iter([("Predictor", Object::Integer(2))]));
        assert_eq!(whole(&odd, 400), None, "predicted as in TIFF");
        odd.dict.set("DecodeParms", vec![Object::Null]);
        assert_eq!(whole(&odd, 400), Some(text.clone()));
        odd.dict.set("Filter", name("RunLengthDecode"));
        assert_eq!(whole(&odd, 400), None, "this is not read here");
    }
}
