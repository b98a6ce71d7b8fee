//! Bytes into deflated streams.
//!
//! Takes bytes; gives zlib data (RFC 1950) that ends as a stream of a file may end. Every stream of a file is whole when it is
//! deflated, so libdeflate does it, which deflates whole buffers alone. The same bytes come out on every machine and thread.

use libdeflater::{CompressionLvl, Compressor};
use lopdf::{Dictionary, Object, Stream};
use std::cell::RefCell;

/// The level of deflating. Measured on the streams of a book of 206 pages, each level against zlib-rs at level 6: this one
/// takes two fifths of the time and costs 6 per cent more bytes; level 6 takes nine tenths for the same bytes, level 8
/// longer for one per cent less.
const LEVEL: i32 = 1;

/// A stream whose bytes are deflated here.
pub(super) fn deflated(dictionary: Dictionary, bytes: &[u8]) -> Stream {
    packed(dictionary, deflate(bytes))
}

/// A stream of bytes that are deflated already.
pub(super) fn packed(mut dictionary: Dictionary, bytes: Vec<u8>) -> Stream {
    dictionary.set("Filter", Object::Name("FlateDecode".into()));
    Stream::new(dictionary, bytes).with_compression(false)
}

/// Deflates bytes.
pub(super) fn deflate(bytes: &[u8]) -> Vec<u8> {
    with(|packer| packer.pack(bytes))
}

thread_local! {
    /// Each thread's own, since its tables and its room are large and work comes in many small parts.
    static PACKER: RefCell<Packer> = RefCell::new(Packer::new());
}

/// Works with the deflater of this thread; the work may not ask for it again.
pub(super) fn with<T>(work: impl FnOnce(&mut Packer) -> T) -> T {
    PACKER.with_borrow_mut(work)
}

/// A deflater that is used again: its tables weigh more than a page.
pub(super) struct Packer {
    compressor: Compressor,
    room: Vec<u8>,
    /// Room for the operators of a page, kept from page to page.
    pub(super) page: Vec<u8>,
}

impl Packer {
    fn new() -> Self {
        let level = CompressionLvl::new(LEVEL).expect("the level is one of the library's");
        Self { compressor: Compressor::new(level), room: Vec::new(), page: Vec::new() }
    }
    /// Deflates bytes, on their own. A carriage return at the end would be taken for a part of the line end that comes before
    /// `endstream` (PDF/A-2 asks that the length be told right, ISO 19005-2, 6.1.7.1); the byte put after it is beyond the end
    /// of the deflated data, where no reader looks.
    pub(super) fn pack(&mut self, bytes: &[u8]) -> Vec<u8> {
        // What we write comes out at a third of its size; only what does not gets all the room that noise would take.
        let written = self.written(bytes, bytes.len() / 2 + 1024).or_else(|| {
            let most = self.compressor.zlib_compress_bound(bytes.len());
            self.written(bytes, most)
        });
        let packed = &self.room[..written.expect("the room is as the library asks")];
        let end: &[u8] = if packed.ends_with(b"\r") { b"\n" } else { b"" };
        [packed, end].concat()
    }
    /// Deflates into so much room; gives how much was written, nothing where it was too little.
    fn written(&mut self, bytes: &[u8], room: usize) -> Option<usize> {
        if self.room.len() < room {
            self.room.resize(room, 0);
        }
        self.compressor.zlib_compress(bytes, &mut self.room).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::deflate;
    use std::io::Read;

    fn inflated(packed: &[u8]) -> Vec<u8> {
        let mut back = Vec::new();
        flate2::read::ZlibDecoder::new(packed).read_to_end(&mut back).expect("it unpacks");
        back
    }

    #[test]
    fn no_deflated_stream_ends_in_a_carriage_return() {
        // The check sum of these bytes ends in 13.
        for bytes in [vec![12], vec![6, 6], vec![255, 255, 14]] {
            let packed = deflate(&bytes);
            assert_eq!(packed[packed.len() - 2..], *b"\r\n");
            assert_eq!(inflated(&packed), bytes);
        }
    }

    #[test]
    fn another_library_reads_back_what_is_deflated() {
        let noise: Vec<u8> = (0_u32..100_000).map(|n| n.wrapping_mul(2_654_435_761).to_be_bytes()[0]).collect();
        for bytes in [Vec::new(), b"q Q".to_vec(), b"1 0 0 1 5 5 cm\n".repeat(9_000), noise] {
            assert_eq!(inflated(&deflate(&bytes)), bytes);
        }
    }
}
