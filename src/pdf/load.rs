//! Opens a finished file of any origin, within bounds.

use super::packed;
use lopdf::{Document, Error, LoadOptions, Object, ObjectId};
use std::collections::BTreeSet;

/// Files larger than this are not opened: a thousand pages of our own make a fiftieth of it, and the pictures of a book at
/// their most, if nothing in them can be packed, a quarter.
pub const LARGEST: u64 = 1 << 30;
/// All streams of objects together are not unpacked beyond this. Ours are some 64 kB, and a book of two thousand pages has some
/// hundreds.
const UNPACKED: usize = 64 << 20;
/// Each of them may take an equal share, or so much where there are many: they need not be alike, and one object, such as a list of
/// all pages, can't be parted.
const SHARE: usize = 1 << 20;

/// What passes an object on, or keeps it out.
type Sift = fn(ObjectId, &mut Object) -> Option<(ObjectId, Object)>;

/// All tables of objects that are streams together are not unpacked beyond this: their entries, of a byte or more each, are held
/// while a file is open. A hundred thousand objects, more than our longest book has, take less than a megabyte.
const TABLES: usize = 4 << 20;
/// No entry of such a table is wider than this, in bytes: its room is set aside before it is read. An array of glyph widths goes by
/// the same name and has such numbers.
const WIDEST: u64 = 1 << 16;
/// No index of such a table has more sections than this: each is held as objects far larger than its bytes. A file that was changed
/// a thousand times in place has a thousand.
const SECTIONS: usize = 20_000;

/// Reads a PDF; the reason in plain words if it cannot be read.
pub(super) fn load(bytes: &[u8]) -> Result<Document, String> {
    load_sifted(bytes, packed::sift)
}

/// As [`load`], but of its objects only those are kept that lead to a stream of this program's own: of a long book the others take
/// thirty times the room of its file.
pub(super) fn load_record(bytes: &[u8]) -> Result<Document, String> {
    load_sifted(bytes, packed::sift_record)
}

fn load_sifted(bytes: &[u8], sift: Sift) -> Result<Document, String> {
    if bytes.len() as u64 > LARGEST {
        return Err("the file is larger than a gigabyte".to_owned());
    }
    // The header may lie within the first 1,024 bytes (ISO 32000-1, annex H.3, note 13).
    let head = &bytes[..bytes.len().min(1024)];
    if !head.windows(5).any(|window| window == b"%PDF-") {
        return Err("it does not begin with a PDF header".to_owned());
    }
    let widths = || names(bytes, b"W").filter_map(three_numbers);
    if widths().any(|widths| widths == [0; 3] || widths.iter().any(|width| *width > WIDEST)) {
        return Err("it is damaged (a table of its objects has entries of no size or of an absurd one)".to_owned());
    }
    if names(bytes, b"Index").any(|rest| sections(rest) > SECTIONS) {
        return Err("it is damaged (a table of its objects has an absurd number of sections)".to_owned());
    }
    let tables = widths().filter(|widths| widths.iter().all(|width| *width <= 8)).count();
    if names(bytes, b"ObjStm").next().is_some() {
        // What is in an encrypted stream can't be counted before it is read.
        if names(bytes, b"Encrypt").next().is_some() {
            return Err("it is encrypted".to_owned());
        }
        if has_hidden_length(bytes) {
            return Err("it is damaged (the length of a stream is to be found in another stream)".to_owned());
        }
    }
    let share = (UNPACKED / names(bytes, b"ObjStm").count().max(1)).max(SHARE).min(TABLES / tables.max(1));
    packed::begin(bytes.len(), UNPACKED, share);
    let options = LoadOptions { max_decompressed_size: Some(share), filter: Some(sift), ..LoadOptions::default() };
    Document::load_mem_with_options(bytes, options).map_err(|error| {
        let is_locked =
            matches!(error, Error::InvalidPassword | Error::Decryption(_) | Error::UnsupportedSecurityHandler(_));
        if is_locked || names(bytes, b"Encrypt").next().is_some() {
            return "it is encrypted".to_owned();
        }
        format!("it is damaged: {}; fetch it anew from where it came", damage(&error))
    })
}

/// What is wrong with a file, as far as its reader can tell, in plain words.
const fn damage(error: &Error) -> &'static str {
    match error {
        Error::Xref(_) | Error::MissingXrefEntry | Error::InvalidOffset(_) => {
            "the list of its parts, which stands at its end, is missing or leads nowhere, as in a file that was cut off or changed"
        }
        Error::Parse(_) | Error::IndirectObject { .. } | Error::Syntax(_) => {
            "a part that every PDF needs, such as its end, is missing or cannot be read"
        }
        Error::Decompress(_) | Error::InvalidStream(_) | Error::InvalidObjectStream(_) => {
            "a packed part of it cannot be unpacked"
        }
        Error::DictKey(_) | Error::ObjectNotFound(_) | Error::ObjectIdMismatch => {
            "a part that it speaks of is not in it"
        }
        Error::ReferenceCycle(_) | Error::ReferenceLimit => "its parts lead to one another in a ring",
        _ => "a part of it is not what a PDF says it must be",
    }
}

/// Whether the length of a stream is an object that does not stand in the file by itself: to find it, the library would unpack
/// the stream that it is in, for each length anew.
fn has_hidden_length(bytes: &[u8]) -> bool {
    let mut wanted: BTreeSet<[u64; 2]> = names(bytes, b"Length").filter_map(reference).collect();
    if wanted.is_empty() {
        return false;
    }
    let starts = bytes.iter().enumerate().filter(|(_, byte)| **byte == b'o').map(|(at, _)| at);
    for at in starts.filter(|at| bytes[*at..].starts_with(b"obj")) {
        let mut before = &bytes[..at];
        let mut numbers = [0; 2];
        for number in numbers.iter_mut().rev() {
            let blanks = before.iter().rev().take_while(|byte| byte.is_ascii_whitespace() || **byte == 0).count();
            before = &before[..before.len() - blanks];
            let digits = before.iter().rev().take_while(|byte| byte.is_ascii_digit()).count();
            let (rest, found) = before.split_at(before.len() - digits);
            (before, *number) = (rest, if digits > 0 { whole(found) } else { u64::MAX });
        }
        wanted.remove(&numbers);
    }
    !wanted.is_empty()
}

/// The number and generation that a reference to an object begins with.
fn reference(bytes: &[u8]) -> Option<[u64; 2]> {
    let mut rest = after_blanks(bytes);
    let mut numbers = [0; 2];
    for number in &mut numbers {
        let digits = rest.iter().take_while(|byte| byte.is_ascii_digit()).count();
        *number = (digits > 0).then(|| whole(&rest[..digits]))?;
        rest = after_blanks(&rest[digits..]);
    }
    rest.starts_with(b"R").then_some(numbers)
}

/// A number too great to be held is the greatest there is.
fn whole(digits: &[u8]) -> u64 {
    let ten_times = |sum: u64, digit: &u8| sum.saturating_mul(10).saturating_add(u64::from(digit - b'0'));
    digits.iter().fold(0, ten_times)
}

/// What follows each place where a name stands, spelled out or in part by numbers (ISO 32000-1, 7.3.5).
fn names<'a>(bytes: &'a [u8], name: &'static [u8]) -> impl Iterator<Item = &'a [u8]> {
    let slashes = bytes.iter().enumerate().filter(|(_, byte)| **byte == b'/');
    slashes.filter_map(|(at, _)| after_name(&bytes[at + 1..], name))
}

fn after_name<'a>(bytes: &'a [u8], name: &[u8]) -> Option<&'a [u8]> {
    let mut rest = bytes;
    for wanted in name {
        let (found, taken) = match rest {
            [b'#', high, low, ..] => {
                let digit = |byte: &u8| char::from(*byte).to_digit(16);
                (u8::try_from(digit(high)? * 16 + digit(low)?).ok()?, 3)
            }
            [plain, ..] => (*plain, 1),
            [] => return None,
        };
        if found != *wanted {
            return None;
        }
        rest = &rest[taken..];
    }
    Some(rest)
}

/// How many pairs an array has, were all that is parted by blanks a number.
fn sections(bytes: &[u8]) -> usize {
    let Some(rest) = after_blanks(bytes).strip_prefix(b"[") else { return 0 };
    let end = rest.iter().position(|byte| *byte == b']').unwrap_or(rest.len());
    let is_blank = |byte: &u8| matches!(byte, b'\0' | b'\t' | b'\n' | 12 | b'\r' | b' ');
    rest[..end].split(is_blank).filter(|number| !number.is_empty()).count() / 2
}

/// The first three numbers of an array, if it begins with whole ones.
fn three_numbers(bytes: &[u8]) -> Option<[u64; 3]> {
    let mut rest = after_blanks(bytes).strip_prefix(b"[")?;
    let mut numbers = [0; 3];
    for number in &mut numbers {
        rest = after_blanks(rest);
        rest = rest.strip_prefix(b"+").unwrap_or(rest);
        let digits = rest.iter().take_while(|byte| byte.is_ascii_digit()).count();
        let is_whole = digits > 0 && rest.get(digits).is_none_or(|byte| *byte != b'.');
        *number = is_whole.then(|| whole(&rest[..digits]))?;
        rest = &rest[digits..];
    }
    Some(numbers)
}

/// What follows white space and comments (ISO 32000-1, 7.2.2 and 7.2.3).
fn after_blanks(bytes: &[u8]) -> &[u8] {
    let mut rest = bytes;
    loop {
        rest = match rest {
            [b'\0' | b'\t' | b'\n' | 12 | b'\r' | b' ', after @ ..] => after,
            [b'%', after @ ..] => {
                let end = after.iter().position(|byte| matches!(byte, b'\n' | b'\r')).unwrap_or(after.len());
                &after[end..]
            }
            _ => return rest,
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lopdf::Object;
    use std::io::Write as _;

    /// ISO 32000-1, 7.3.5: any sign of a name may be written as its number.
    #[test]
    fn names_are_found_however_they_are_spelled() {
        let streams = names(b"<</Type/ObjStm/N 1>><</Type /Obj#53t#6d /N 1>><</Type/XRef/Obj#5xtm#", b"ObjStm");
        assert_eq!(streams.map(|rest| rest[1]).collect::<Vec<_>>(), *b"N/");
    }

    #[test]
    fn a_length_must_stand_in_the_file_by_itself() {
        assert!(!has_hidden_length(b"5 0 obj<</Length 6 0 R>>stream\nendstream endobj\n6 0 obj 0 endobj"));
        assert!(!has_hidden_length(b"5 0 obj<</Length 9/Type/X>>"));
        assert!(has_hidden_length(b"5 0 obj<</Length %\n 7 0 R>>stream\nendstream endobj\n6 0 obj 0 endobj"));
        assert!(has_hidden_length(b"16 0 obj<</L#65ngth 6 0 R>>"));
    }

    #[test]
    fn the_first_numbers_of_an_array_are_read_as_a_reader_would() {
        assert_eq!(three_numbers(b" [ 1 %two\n2\x00+3]"), Some([1, 2, 3]));
        assert_eq!(three_numbers(b"[1 99999999999999999999999 3 4 5]"), Some([1, u64::MAX, 3]));
        for other in [&b"[1 2]"[..], b"[1 2.5 3]", b"[1 [500] 3]", b"[1 0 R]", b"5", b"[-1 0 0]", b""] {
            assert_eq!(three_numbers(other), None, "{}", String::from_utf8_lossy(other));
        }
    }

    /// A file of one catalog whose table of objects is a stream with these keys and this content.
    fn with_table(keys: &str, content: &[u8]) -> Vec<u8> {
        let mut file =
            b"%PDF-1.5\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\n2 0 obj<</Type/Pages/Kids[]/Count 0>>endobj\n"
                .to_vec();
        let start = file.len();
        let head = format!("3 0 obj<</Type/XRef/Root 1 0 R{keys}/Length {}>>stream\n", content.len());
        file.extend(head.as_bytes());
        file.extend(content);
        file.extend(format!("\nendstream endobj\nstartxref\n{start}\n%%EOF").as_bytes());
        file
    }

    /// A file with streams of objects of so many bytes each, of one number; gives how many of these were read.
    fn with_streams(sizes: &[usize]) -> usize {
        let mut file = Document::with_version("1.5");
        let pages = file.add_object(lopdf::Dictionary::from_iter([("Type", Object::Name("Pages".into()))]));
        let root = [("Type", Object::Name("Catalog".into())), ("Pages", pages.into())];
        let catalog = file.add_object(lopdf::Dictionary::from_iter(root));
        file.trailer.set("Root", catalog);
        for (nth, size) in (1_000..).zip(sizes) {
            let head = format!("{nth} 0 ");
            let first = i64::try_from(head.len()).expect("it is short");
            let kind = Object::Name("ObjStX".into());
            let keys = lopdf::Dictionary::from_iter([("Type", kind), ("First", first.into()), ("N", 1.into())]);
            let text = format!("{head}0{}", " ".repeat(*size));
            file.add_object(super::super::pack::deflated(keys, text.as_bytes()));
        }
        let mut bytes = Vec::new();
        file.save_to(&mut bytes).expect("it is written");
        // The library writes no streams of objects of its own accord.
        for at in 0..bytes.len() {
            if bytes[at..].starts_with(b"/ObjStX") {
                bytes[at..at + 7].copy_from_slice(b"/ObjStm");
            }
        }
        let read = load(&bytes).expect("the rest of it is read");
        (1_000..).take(sizes.len()).filter(|nth| read.objects.contains_key(&(*nth, 0))).count()
    }

    /// Many small streams and a few large ones are a long book; many large ones are not, whether each is read or fails.
    #[test]
    fn streams_of_objects_are_bounded_together() {
        let small = [500; 400];
        assert_eq!(with_streams(&[&small[..], &[900_000, 900_000]].concat()), 402);
        assert_eq!(with_streams(&[&small[..], &[2 << 20, 900_000]].concat()), 401, "one is too large");
        assert_eq!(with_streams(&[1_000_000; 90]), 67, "of one megabyte each");
        assert_eq!(with_streams(&[&[2 << 20; 70][..], &small].concat()), 0, "what was unpacked in vain counts");
    }

    #[test]
    fn a_table_of_objects_takes_no_more_room_than_it_may() {
        let sound = with_table("/Size 4/W[1 2 1]", &[0, 0, 0, 0, 1, 0, 9, 0, 1, 0, 54, 0, 1, 0, 102, 0]);
        assert!(load(&sound).is_ok(), "{:?}", load(&sound).err());
        for keys in [
            "/Size 5/W[0 0 0]/Index[0 99999999999]",
            "/Size 5/W[0%a\n0 0]/Index[0 99999999999]",
            "/Size 99999999999999/#57[ 1 3333333333333333 1 ]",
            "/Size 5/W[99999999999999999999999 2 1]",
        ] {
            let why = load(&with_table(keys, b"abc")).expect_err("it is refused");
            assert!(why.contains("table of its objects"), "{why}");
        }
        let many = with_table(&format!("/Size 4/W[1 1 1]/Index[{}]", "0 1 ".repeat(1_000_000)), b"abc");
        assert!(load(&many).is_err_and(|why| why.contains("number of sections")));
        let mut zip = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::best());
        zip.write_all(&[1; 16 << 20]).expect("a vector takes all bytes");
        let bomb = with_table("/Size 20000000/W[1 0 0]/Filter/FlateDecode", &zip.finish().expect("it ends"));
        assert!(load(&bomb).is_err());
    }
}
