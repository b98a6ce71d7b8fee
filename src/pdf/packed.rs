//! What streams of objects (ISO 32000-1, 7.5.7) may hold, asked before the library makes objects of them.
//!
//! A stream says where each of its objects begins. Where these places lie inside one another, a few kilobytes become gigabytes:
//! so each object must end before the next begins, and all together must not have many more parts than the file has bytes.

use super::KEY;
use lopdf::{Object, ObjectId, Stream};
use std::cell::Cell;

/// A file however small may have so many parts in its streams of objects.
const FEWEST: usize = 400_000;
/// And so many more for each of its bytes: packed, an object of ours takes two bytes a part.
const PARTS_A_BYTE: usize = 2;

/// What the file that is being read may still take.
#[derive(Debug, Clone, Copy)]
struct Left {
    /// Parts of objects.
    parts: usize,
    /// Bytes of streams, unpacked.
    bytes: usize,
    /// Of these, what one stream may take.
    share: usize,
}

thread_local! {
    /// The library takes a plain function for its filter, and calls it on the thread that reads.
    static LEFT: Cell<Left> = const { Cell::new(Left { parts: FEWEST, bytes: 1 << 20, share: 1 << 20 }) };
}

/// Before a file of so many bytes is read: all its streams of objects together are unpacked to `unpacked` bytes, one to `share`.
pub(super) fn begin(bytes: usize, unpacked: usize, share: usize) {
    let parts = FEWEST.saturating_add(bytes.saturating_mul(PARTS_A_BYTE));
    LEFT.set(Left { parts, bytes: unpacked, share });
}

/// Lets every object pass but a stream of objects that is too much, which is as good as not there.
pub(super) fn sift(id: ObjectId, object: &mut Object) -> Option<(ObjectId, Object)> {
    match object {
        Object::Stream(stream) => {
            if stream.dict.has_type(b"ObjStm") {
                let left = LEFT.get();
                let most = left.share.min(left.bytes);
                let is_unpacked = stream.decompress_with_limit(most).is_ok();
                // In vain, it may have taken all that it might.
                let taken = if is_unpacked { stream.content.len().min(most) } else { most };
                let left = Left { bytes: left.bytes - taken, ..left };
                LEFT.set(left);
                let parts = if is_unpacked { parts(stream, left.parts) } else { None }?;
                LEFT.set(Left { parts: left.parts - parts, ..left });
            }
            // The library keeps the stream itself, and only asks whether there is something here.
            Some((id, Object::Null))
        }
        // No objects in a stream of objects are streams: they are small.
        other => Some((id, other.clone())),
    }
}

/// As [`sift`], for what the record of a file of ours is found by: the catalogue, the record itself, and the lengths of streams.
pub(super) fn sift_record(id: ObjectId, object: &mut Object) -> Option<(ObjectId, Object)> {
    let is_wanted = match object {
        Object::Stream(stream) => stream.dict.has_type(b"ObjStm") || stream.dict.has_type(KEY.as_bytes()),
        Object::Dictionary(dictionary) => dictionary.has_type(b"Catalog"),
        Object::Integer(_) => true,
        _ => false,
    };
    if is_wanted { sift(id, object) } else { None }
}

/// Counts the parts of an unpacked stream of objects; `None` where they are more than `most`, or where objects lie in one another.
fn parts(stream: &Stream, most: usize) -> Option<usize> {
    let first = usize::try_from(stream.dict.get(b"First").and_then(Object::as_i64).ok()?).ok()?;
    let content = &stream.content;
    let index = std::str::from_utf8(content.get(..first)?).ok()?;
    let numbers: Vec<&str> = index.split_whitespace().collect();
    let offsets = numbers.chunks_exact(2).filter_map(|pair| pair[1].parse::<u32>().ok());
    let mut starts: Vec<usize> = offsets.map(|offset| first.saturating_add(offset as usize)).collect();
    starts.sort_unstable();
    let (mut parts, mut free) = (starts.len(), 0);
    for start in starts.into_iter().filter(|start| *start < content.len()) {
        if start < free {
            return None;
        }
        let (end, count) = extent(content, start, most);
        parts = parts.saturating_add(count);
        free = end.max(start + 1);
        if parts > most {
            return None;
        }
    }
    Some(parts)
}

/// Where an object ends and of how many parts it is, at most: one for each number, word and bracket, and one more for every
/// sixteen bytes.
fn extent(content: &[u8], start: usize, most: usize) -> (usize, usize) {
    let (mut at, mut depth, mut parts) = (start, 0_u32, 0);
    let is_blank = |byte: &u8| matches!(byte, 0 | b'\t' | b'\n' | 12 | b'\r' | b' ');
    let is_plain = |byte: &u8| !is_blank(byte) && !b"()<>[]{}/%".contains(byte);
    while let Some(byte) = content.get(at) {
        let rest = &content[at + 1..];
        let taken = match byte {
            blank if is_blank(blank) => {
                at += 1;
                continue;
            }
            b'%' => {
                at += 1 + rest.iter().take_while(|byte| !matches!(byte, b'\n' | b'\r')).count();
                continue;
            }
            b'(' => string(rest),
            b'<' if rest.first() != Some(&b'<') => rest.iter().take_while(|byte| **byte != b'>').count() + 1,
            b'[' | b'<' => {
                depth += 1;
                usize::from(*byte == b'<')
            }
            b']' | b'>' => {
                depth = depth.saturating_sub(1);
                usize::from(*byte == b'>' && rest.first() == Some(&b'>'))
            }
            _ => rest.iter().take_while(|byte| is_plain(byte)).count(),
        };
        at += 1 + taken;
        parts += 1 + taken / 16;
        // A reference ends behind its first number here, which costs nothing: it is one part.
        if depth == 0 || parts > most {
            break;
        }
    }
    (at, parts)
}

/// The length of a text in round brackets from behind the first of them, brackets in it counted.
fn string(bytes: &[u8]) -> usize {
    let (mut open, mut escaped) = (1_u32, false);
    for (at, byte) in bytes.iter().enumerate() {
        match byte {
            _ if escaped => escaped = false,
            b'\\' => escaped = true,
            b'(' => open += 1,
            b')' => open -= 1,
            _ => {}
        }
        if open == 0 {
            return at + 1;
        }
    }
    bytes.len()
}

#[cfg(test)]
mod tests {
    use super::*;
    use lopdf::Dictionary;

    /// The parts of a stream with this index and these objects.
    fn counted(index: &str, objects: &str) -> Option<usize> {
        let mut dict = Dictionary::new();
        dict.set("First", i64::try_from(index.len()).expect("it is short"));
        parts(&Stream::new(dict, [index, objects].concat().into_bytes()), 1_000)
    }

    #[test]
    fn objects_lie_one_behind_the_other() {
        assert_eq!(counted("1 0 2 9 3 15 ", "<</A[1]>>(a\\)) /Name"), Some(3 + 6 + 1 + 1));
        assert_eq!(counted("2 9 1 0 ", "<</A[1]>>12 0 R"), Some(2 + 6 + 1), "their order is free");
        assert_eq!(counted("1 0 2 1 ", "[[1]]"), None, "one in the other");
        assert_eq!(counted("1 0 2 0 ", "[1]"), None, "one twice");
        assert_eq!(counted("1 0 2 4 ", "(a( b) c)"), None, "in a text");
        assert_eq!(counted("1 0 2 4 ", "<6a> %[\n[<61>]"), Some(2 + 1 + 3), "a comment is nothing");
        assert_eq!(counted("1 0 2 4 ", "[1 2 3"), None, "one without end");
        assert_eq!(counted("1 0 2 900 ", "[1]"), Some(2 + 3), "one beyond the end is not there");
        assert_eq!(counted("1 0 ", &format!("[{}]", "1 ".repeat(1_000))), None, "too many parts");
    }
}
