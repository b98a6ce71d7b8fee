//! Grey pictures as PNG and base64.
//!
//! Takes pixels, gives bytes and text. The image data is stored and not deflated: a proof is looked at and thrown away, and
//! deflating is the PDF room's. Sources: *PNG* third edition, sections 5, 10, 11; RFC 1950 (zlib) and RFC 1951 (stored blocks);
//! RFC 4648 (base64).

use std::borrow::Cow;

/// The pictures of a proof have at most so many pixels together; those of a book may have ten times as many, which no screen shows.
const MOST_PIXELS: u64 = 16_000_000;

/// Of how many pixels across and down one is made, so that all pictures together are not too large.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "the root of a ratio within memory")]
pub(super) fn step(all: impl Iterator<Item = (u32, u32)>) -> usize {
    let all: u64 = all.map(|(across, down)| u64::from(across) * u64::from(down)).sum();
    (all as f64 / MOST_PIXELS as f64).sqrt().ceil().max(1.0) as usize
}

/// A picture of which each pixel is the mean of `step` by `step`; what is left over at its right and its foot is part of the last ones.
pub(super) fn smaller((width, height): (u32, u32), grey: &[u8], step: usize) -> ((u32, u32), Cow<'_, [u8]>) {
    let (across, down) = (width as usize, height as usize);
    let (fewer, lower) = (across / step, down / step);
    if step == 1 || fewer == 0 || lower == 0 {
        return ((width, height), Cow::Borrowed(grey));
    }
    let mut out = Vec::with_capacity(fewer * lower);
    let mut sums = vec![(0_u32, 0_u32); fewer];
    for (nth, row) in grey.chunks_exact(across).enumerate() {
        for (at, level) in row.iter().enumerate() {
            let sum = &mut sums[(at / step).min(fewer - 1)];
            *sum = (sum.0 + u32::from(*level), sum.1 + 1);
        }
        let ends = (nth + 1) % step == 0 && nth / step + 1 < lower;
        if ends || nth + 1 == down {
            out.extend(sums.drain(..).map(|(sum, count)| u8::try_from(sum / count).unwrap_or(255)));
            sums.resize(fewer, (0, 0));
        }
    }
    let small = |length: usize| u32::try_from(length).unwrap_or(u32::MAX);
    ((small(fewer), small(lower)), Cow::Owned(out))
}

/// Whether the grey levels fill the picture.
pub(super) fn is_whole((width, height): (u32, u32), grey: &[u8]) -> bool {
    let pixels = u64::from(width) * u64::from(height);
    pixels > 0 && u64::try_from(grey.len()) == Ok(pixels)
}

/// A grey PNG of 8 bits.
pub(super) fn png((width, height): (u32, u32), grey: &[u8]) -> Vec<u8> {
    let mut rows = Vec::with_capacity(grey.len() + grey.len() / 64);
    for row in grey.chunks(usize::try_from(width).unwrap_or(1).max(1)) {
        rows.push(0); // no filter
        rows.extend_from_slice(row);
    }
    let mut data = vec![0x78, 0x01];
    let blocks = rows.chunks(0xffff).count();
    for (nth, block) in rows.chunks(0xffff).enumerate() {
        let length = u16::try_from(block.len()).unwrap_or(u16::MAX);
        data.push(u8::from(nth + 1 == blocks));
        data.extend_from_slice(&length.to_le_bytes());
        data.extend_from_slice(&(!length).to_le_bytes());
        data.extend_from_slice(block);
    }
    data.extend_from_slice(&adler32(&rows).to_be_bytes());

    let mut header = Vec::new();
    header.extend_from_slice(&width.to_be_bytes());
    header.extend_from_slice(&height.to_be_bytes());
    header.extend_from_slice(&[8, 0, 0, 0, 0]);
    let mut out = b"\x89PNG\r\n\x1a\n".to_vec();
    chunk(b"IHDR", &header, &mut out);
    chunk(b"IDAT", &data, &mut out);
    chunk(b"IEND", &[], &mut out);
    out
}

fn chunk(kind: &[u8; 4], data: &[u8], out: &mut Vec<u8>) {
    out.extend_from_slice(&u32::try_from(data.len()).unwrap_or(0).to_be_bytes());
    let start = out.len();
    out.extend_from_slice(kind);
    out.extend_from_slice(data);
    let sum = crc32(&out[start..]);
    out.extend_from_slice(&sum.to_be_bytes());
}

fn crc32(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |mut sum, byte| {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            sum = if sum & 1 == 1 { (sum >> 1) ^ 0xedb8_8320 } else { sum >> 1 };
        }
        sum
    })
}

fn adler32(bytes: &[u8]) -> u32 {
    let (mut a, mut b) = (1u32, 0u32);
    for byte in bytes {
        a = (a + u32::from(*byte)) % 65_521;
        b = (b + a) % 65_521;
    }
    b << 16 | a
}

/// Appends bytes as base64.
pub(super) fn base64(bytes: &[u8], out: &mut String) {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for three in bytes.chunks(3) {
        let word = three.iter().fold(0u32, |word, byte| word << 8 | u32::from(*byte)) << (8 * (3 - three.len()));
        for nth in 0..4 {
            let six = (word >> (18 - 6 * nth)) & 63;
            let letter = if nth > three.len() { '=' } else { char::from(LETTERS[six as usize]) };
            out.push(letter);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn large_pictures_become_smaller_together() {
        assert_eq!(step([(4_000, 4_000)].into_iter()), 1);
        assert_eq!(step([(12_000, 9_000)].into_iter()), 3);
        assert_eq!(step([(6_000, 4_000); 6].into_iter()), 3);
        let grey = [0, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100, 110, 120, 130, 140];
        assert_eq!(smaller((5, 3), &grey, 1), ((5, 3), Cow::Borrowed(&grey[..])));
        // Two by one: the right one has a column more, both have three rows.
        assert_eq!(smaller((5, 3), &grey, 2), ((2, 1), Cow::Owned(vec![55, 80])));
        assert_eq!(smaller((5, 3), &grey, 4), ((5, 3), Cow::Borrowed(&grey[..])));
    }

    /// RFC 4648, section 10; CRC and Adler of "123456789" and "Wikipedia" are the usual check values, from memory.
    #[test]
    fn sums_and_letters() {
        let letters = |text: &str| {
            let mut out = String::new();
            base64(text.as_bytes(), &mut out);
            out
        };
        assert_eq!(["", "f", "fo", "foo", "foobar"].map(letters), ["", "Zg==", "Zm8=", "Zm9v", "Zm9vYmFy"]);
        assert_eq!(crc32(b"123456789"), 0xcbf4_3926);
        assert_eq!(adler32(b"Wikipedia"), 0x11e6_0398);
    }
}
