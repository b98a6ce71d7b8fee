//! Grey pictures as PNG and base64.
//!
//! Takes pixels, gives bytes and text.

use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder as _};
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

/// A grey PNG of 8 bits; nothing for levels that do not fill it.
pub(super) fn png((width, height): (u32, u32), grey: &[u8]) -> Option<Vec<u8>> {
    if !is_whole((width, height), grey) {
        return None;
    }
    let mut out = Vec::new();
    // A proof is looked at and thrown away.
    let encoder = PngEncoder::new_with_quality(&mut out, CompressionType::Fast, FilterType::Adaptive);
    encoder.write_image(grey, width, height, ExtendedColorType::L8).ok()?;
    Some(out)
}

/// Appends bytes as base64.
pub(super) fn base64(bytes: &[u8], out: &mut String) {
    BASE64_STANDARD.encode_string(bytes, out);
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

    #[test]
    fn a_picture_is_read_back() {
        let grey = [0, 10, 20, 200, 240, 255];
        let bytes = png((3, 2), &grey).expect("it is whole");
        let back = image::load_from_memory(&bytes).expect("it opens").into_luma8();
        assert_eq!((back.dimensions(), back.into_raw()), ((3, 2), grey.to_vec()));
        assert_eq!(png((3, 3), &grey), None);
    }
}
