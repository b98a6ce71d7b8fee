//! The bytes of a file with object streams and a cross-reference stream.
//!
//! Takes a finished document and object streams packed elsewhere; gives bytes, consuming both, so that nothing is held twice. The
//! PDF library's own way clones every object first. Sources: ISO 32000-1, 7.3 (objects), 7.5.7 (object streams), 7.5.8
//! (cross-reference streams).

use super::operand::{push_hex, push_literal, push_thousandths, push_whole};
use super::pack::deflate;
use lopdf::{Dictionary, Document, Object, ObjectId, StringFormat};
use rayon::prelude::*;
use std::io::Write as _;

/// Objects written one after another, to be packed together.
#[derive(Debug, Default)]
pub(super) struct Batch {
    /// Their numbers, and where each begins.
    heads: Vec<(u32, usize)>,
    bytes: Vec<u8>,
}

impl Batch {
    /// Begins an object; what follows in the bytes given is its text.
    pub(super) fn begin(&mut self, number: u32) -> &mut Vec<u8> {
        if !self.heads.is_empty() {
            self.bytes.push(b'\n');
        }
        self.heads.push((number, self.bytes.len()));
        &mut self.bytes
    }
    /// Packs the objects as one object stream.
    pub(super) fn pack(self) -> Stored {
        let mut all = Vec::with_capacity(self.heads.len() * 12 + self.bytes.len());
        for (number, at) in &self.heads {
            push_whole(&mut all, i64::from(*number));
            all.push(b' ');
            push_whole(&mut all, i64::try_from(*at).unwrap_or(i64::MAX));
            all.push(b' ');
        }
        let first = all.len();
        all.extend_from_slice(&self.bytes);
        let numbers = self.heads.into_iter().map(|(number, _)| number).collect();
        Stored { numbers, first, packed: deflate(&all) }
    }
}

/// Batches, each begun when the one before is full.
#[derive(Debug)]
pub(super) struct Batches {
    /// Objects in one of them.
    most: usize,
    all: Vec<Batch>,
}

impl Batches {
    /// None yet, of so many objects each at most.
    pub(super) const fn new(most: usize) -> Self {
        Self { most, all: Vec::new() }
    }
    /// As [`Batch::begin`].
    pub(super) fn begin(&mut self, number: u32) -> &mut Vec<u8> {
        let is_full = |batch: &Batch| batch.heads.len() >= self.most || batch.bytes.len() >= BYTES;
        let last = match self.all.pop() {
            Some(last) if is_full(&last) => {
                self.all.push(last);
                Batch::default()
            }
            last => last.unwrap_or_default(),
        };
        self.all.push(last);
        self.all.last_mut().expect("it was just put there").begin(number)
    }
    /// Packs them in parallel, in their order.
    pub(super) fn pack(self) -> Vec<Stored> {
        self.all.into_par_iter().map(Batch::pack).collect()
    }
}

/// An object stream, packed.
#[derive(Debug)]
pub(super) struct Stored {
    numbers: Vec<u32>,
    first: usize,
    packed: Vec<u8>,
}

/// Objects in one object stream: enough to pack well, few enough to be opened quickly.
pub(super) const TOGETHER: usize = 200;

/// Bytes in one object stream beyond which no object is added: a reader unpacks all of it for one.
const BYTES: usize = 64 << 10;

/// Pages in one object stream: fewer, since a book has few, and they are to be made side by side.
const PAGES: usize = 50;

/// Where an object lies.
#[derive(Debug, Clone, Copy)]
enum Entry {
    Free,
    At(usize),
    In(u32, u16),
}

/// Makes objects of some ids and packs them, in parallel: none lives longer than its text takes to write.
pub(super) fn in_batches(ids: &[ObjectId], object: impl Fn(usize) -> Dictionary + Sync) -> Vec<Stored> {
    ids.par_chunks(PAGES)
        .enumerate()
        .map(|(nth, part)| {
            let mut batch = Batch::default();
            for (index, (number, _)) in part.iter().enumerate() {
                write_dictionary(batch.begin(*number), &object(nth * PAGES + index));
            }
            batch.pack()
        })
        .collect()
}

/// Writes a document with content streams that are deflated already; the numbers of these and of stored objects were taken
/// from it.
pub(super) fn modern(mut file: Document, contents: Vec<(u32, Vec<u8>)>, mut stored: Vec<Stored>) -> Vec<u8> {
    let objects = std::mem::take(&mut file.objects);
    let streams = objects.values().filter_map(|object| object.as_stream().ok()).map(|stream| stream.content.len());
    let packed = stored.iter().map(|stored| stored.packed.len() + stored.numbers.len() * 8);
    let pages = contents.iter().map(|(_, content)| content.len() + 80);
    let mut out =
        Vec::with_capacity(streams.sum::<usize>() + packed.sum::<usize>() + pages.sum::<usize>() + objects.len() * 160);
    out.extend_from_slice(format!("%PDF-{}\n%\u{e2}\u{e3}\u{cf}\u{d3}\n", file.version).as_bytes());
    let mut entries = vec![Entry::Free; file.max_id as usize + 1];
    for (number, content) in contents {
        entries[number as usize] = Entry::At(out.len());
        write_stream(
            &mut out,
            number,
            Dictionary::from_iter([("Filter", Object::Name("FlateDecode".into()))]),
            &content,
        );
    }
    let mut small = Batches::new(TOGETHER);
    for ((number, _), object) in objects {
        if let Object::Stream(stream) = object {
            entries[number as usize] = Entry::At(out.len());
            write_stream(&mut out, number, stream.dict, &stream.content);
            continue;
        }
        write(small.begin(number), &object);
    }
    // Packed in parallel, laid down in order.
    let mut all = small.pack();
    all.append(&mut stored);
    for stored in all {
        let container = u32::try_from(entries.len()).unwrap_or(u32::MAX);
        for (index, number) in stored.numbers.iter().enumerate() {
            entries[*number as usize] = Entry::In(container, u16::try_from(index).unwrap_or(u16::MAX));
        }
        entries.push(Entry::At(out.len()));
        let dictionary = Dictionary::from_iter([
            ("Type", Object::Name("ObjStm".into())),
            ("N", whole(stored.numbers.len())),
            ("First", whole(stored.first)),
            ("Filter", Object::Name("FlateDecode".into())),
        ]);
        write_stream(&mut out, container, dictionary, &stored.packed);
    }
    cross_references(out, entries, &file.trailer)
}

fn cross_references(mut out: Vec<u8>, mut entries: Vec<Entry>, trailer: &Dictionary) -> Vec<u8> {
    let start = out.len();
    let number = u32::try_from(entries.len()).unwrap_or(u32::MAX);
    entries.push(Entry::At(start));
    let mut table = Vec::with_capacity(entries.len() * 7);
    for (index, entry) in entries.iter().enumerate() {
        let (kind, place, rest) = match *entry {
            Entry::Free => (0, 0, if index == 0 { 65535 } else { 0 }),
            Entry::At(offset) => (1, u32::try_from(offset).unwrap_or(u32::MAX), 0),
            Entry::In(container, index) => (2, container, index),
        };
        table.push(kind);
        table.extend_from_slice(&place.to_be_bytes());
        table.extend_from_slice(&rest.to_be_bytes());
    }
    let mut dictionary = Dictionary::from_iter([
        ("Type", Object::Name("XRef".into())),
        ("Size", whole(entries.len())),
        ("W", Object::Array(vec![1.into(), 4.into(), 2.into()])),
        ("Filter", Object::Name("FlateDecode".into())),
    ]);
    for key in ["Root", "Info", "ID"] {
        if let Ok(value) = trailer.get(key.as_bytes()) {
            dictionary.set(key, value.clone());
        }
    }
    write_stream(&mut out, number, dictionary, &deflate(&table));
    out.extend_from_slice(format!("startxref\n{start}\n%%EOF\n").as_bytes());
    out
}

fn whole(number: usize) -> Object {
    Object::Integer(i64::try_from(number).unwrap_or(i64::MAX))
}

fn write_stream(out: &mut Vec<u8>, number: u32, mut dictionary: Dictionary, content: &[u8]) {
    dictionary.set("Length", whole(content.len()));
    out.extend_from_slice(format!("{number} 0 obj\n").as_bytes());
    write_dictionary(out, &dictionary);
    out.extend_from_slice(b"\nstream\n");
    out.extend_from_slice(content);
    out.extend_from_slice(b"\nendstream\nendobj\n");
}

/// Writes an object that is no stream (ISO 32000-1, 7.3). Streams are written by their owner; one inside another object
/// cannot be.
pub(super) fn write(out: &mut Vec<u8>, object: &Object) {
    match object {
        Object::Null | Object::Stream(_) => out.extend_from_slice(b"null"),
        Object::Boolean(value) => out.extend_from_slice(if *value { b"true" } else { b"false" }),
        Object::Integer(value) => push_whole(out, *value),
        Object::Real(value) => write_real(out, *value),
        Object::Name(name) => write_name(out, name),
        Object::String(bytes, format) => write_string(out, bytes, format),
        Object::Array(items) => {
            out.push(b'[');
            for (index, item) in items.iter().enumerate() {
                if index > 0 {
                    out.push(b' ');
                }
                write(out, item);
            }
            out.push(b']');
        }
        Object::Dictionary(dictionary) => write_dictionary(out, dictionary),
        Object::Reference((number, generation)) => {
            push_whole(out, i64::from(*number));
            out.push(b' ');
            push_whole(out, i64::from(*generation));
            out.extend_from_slice(b" R");
        }
    }
}

fn put(out: &mut Vec<u8>, arguments: std::fmt::Arguments<'_>) {
    out.write_fmt(arguments).expect("writing into memory does not fail");
}

/// Nearly all are thousandths, as places on a page are written; formatting any other costs far more.
fn write_real(out: &mut Vec<u8>, value: f32) {
    let thousandths = (f64::from(value) * 1000.0).round();
    #[expect(clippy::cast_possible_truncation, reason = "as the object holds it")]
    let is_near = (thousandths / 1000.0) as f32 == value;
    if is_near && thousandths.abs() < 1e9 {
        #[expect(clippy::cast_possible_truncation, reason = "below a thousand million")]
        push_thousandths(out, thousandths as i64);
    } else {
        put(out, format_args!("{value}"));
    }
}

fn write_dictionary(out: &mut Vec<u8>, dictionary: &Dictionary) {
    out.extend_from_slice(b"<<");
    for (key, value) in dictionary {
        write_name(out, key);
        if !matches!(value, Object::Name(_) | Object::Array(_) | Object::Dictionary(_) | Object::String(..)) {
            out.push(b' ');
        }
        write(out, value);
    }
    out.extend_from_slice(b">>");
}

fn write_name(out: &mut Vec<u8>, name: &[u8]) {
    out.push(b'/');
    for byte in name {
        if byte.is_ascii_graphic() && !b"()<>[]{}/%#".contains(byte) {
            out.push(*byte);
        } else {
            put(out, format_args!("#{byte:02X}"));
        }
    }
}

fn write_string(out: &mut Vec<u8>, bytes: &[u8], format: &StringFormat) {
    if *format == StringFormat::Hexadecimal {
        out.push(b'<');
        push_hex(out, bytes);
        out.push(b'>');
    } else {
        push_literal(out, bytes);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn objects_are_written_as_the_standard_says() {
        let dictionary = Dictionary::from_iter([
            ("Odd Name#", Object::Real(0.5)),
            ("R", [-841.89, 0.0, 1e-7, 7.125].map(Object::Real).to_vec().into()),
            ("S", Object::String(b"a(b)\\\r".to_vec(), StringFormat::Literal)),
            ("H", Object::String(vec![0xFE, 0xFF], StringFormat::Hexadecimal)),
            ("A", Object::Array(vec![1.into(), Object::Null, Object::Name("N".into()), Object::Reference((3, 0))])),
        ]);
        let mut out = Vec::new();
        write(&mut out, &Object::Dictionary(dictionary));
        let wanted = r"<</Odd#20Name#23 .5/R[-841.89 0 0.0000001 7.125]/S(a\(b\)\\\r)/H<FEFF>/A[1 null /N 3 0 R]>>";
        assert_eq!(String::from_utf8(out).expect("ASCII"), wanted);
    }

    #[test]
    fn no_object_is_added_to_a_stream_that_is_full() {
        let heads = |most, sizes: &[usize]| {
            let mut batches = Batches::new(most);
            (1..).zip(sizes).for_each(|(number, size)| batches.begin(number).extend(vec![b'0'; *size]));
            batches.pack().into_iter().map(|stored| stored.numbers).collect::<Vec<_>>()
        };
        assert_eq!(heads(2, &[1; 5]), [vec![1, 2], vec![3, 4], vec![5]]);
        assert_eq!(heads(9, &[40_000, 40_000, 90_000, 1, 1]), [vec![1, 2], vec![3], vec![4, 5]]);
        assert!(heads(9, &[]).is_empty());
    }

    #[test]
    fn what_is_written_is_read_back() {
        let mut file = Document::with_version("1.7");
        let catalog = file.add_object(Dictionary::from_iter([("Type", Object::Name("Catalog".into()))]));
        file.trailer.set("Root", Object::Reference(catalog));
        let stream = file.add_object(lopdf::Stream::new(Dictionary::new(), b"q Q".to_vec()));
        let mut batch = Batch::default();
        for n in 0..450 {
            let number = file.new_object_id().0;
            batch.begin(number).extend_from_slice(format!("[{n}]").as_bytes());
        }
        let last = file.max_id;
        let again = Document::load_mem(&modern(file, Vec::new(), vec![batch.pack()])).expect("it opens");
        let array = again.get_object((last, 0)).and_then(Object::as_array).expect("an array");
        assert_eq!(array[..], [Object::Integer(449)]);
        let content = again.get_object(stream).and_then(Object::as_stream).map(|stream| stream.content.clone());
        assert_eq!(content.expect("a stream"), b"q Q");
        assert!(again.catalog().is_ok());
    }
}
