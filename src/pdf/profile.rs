//! A small grey output profile of our own, for the standards that want a profile carried in the file.
//!
//! ICC version 2, class `prtr`, space GRAY. The curve is computed, not measured: a tone value increase of 15 per cent at the
//! middle tone as a parabola (*common practice for offset on uncoated paper, no source*), black at 2 per cent reflectance.
//! It says so in its description. Source of the format: ICC.1:2001-04, clauses 6.1 to 6.5.

/// What the profile says of itself.
pub(super) const DESCRIPTION: &str = "Boxwright black ink, computed, tone value increase 15 per cent";

const LICENCE: &str = "No rights reserved: CC0 1.0";

/// Tone value increase at 50 per cent.
const INCREASE: f64 = 0.15;
/// Reflectance of full black against paper.
const BLACK: f64 = 0.02;
/// Points of the curve.
const POINTS: u16 = 65;

/// The profile's bytes.
pub(super) fn grey() -> Vec<u8> {
    let tags: [(&[u8; 4], Vec<u8>); 4] =
        [(b"desc", description()), (b"cprt", licence()), (b"wtpt", white()), (b"kTRC", curve())];
    let mut table = Vec::new();
    let mut data = Vec::new();
    let head = 128 + 4 + 12 * tags.len();
    long(&mut table, tags.len());
    for (signature, bytes) in &tags {
        table.extend_from_slice(*signature);
        long(&mut table, head + data.len());
        long(&mut table, bytes.len());
        data.extend_from_slice(bytes);
        data.resize(data.len().next_multiple_of(4), 0);
    }
    let mut profile = header(head + data.len());
    profile.extend_from_slice(&table);
    profile.extend_from_slice(&data);
    profile
}

fn long(out: &mut Vec<u8>, value: usize) {
    out.extend_from_slice(&u32::try_from(value).unwrap_or(u32::MAX).to_be_bytes());
}

/// Clause 6.1: 128 bytes.
fn header(size: usize) -> Vec<u8> {
    let mut out = Vec::with_capacity(128);
    long(&mut out, size);
    out.extend_from_slice(&[0; 4]);
    out.extend_from_slice(&[2, 0x10, 0, 0]);
    out.extend_from_slice(b"prtrGRAYXYZ ");
    // The date of this curve, not of any file.
    for part in [2026_u16, 1, 1, 0, 0, 0] {
        out.extend_from_slice(&part.to_be_bytes());
    }
    out.extend_from_slice(b"acsp");
    out.resize(64, 0);
    // Rendering intent: relative colorimetric.
    long(&mut out, 1);
    out.extend_from_slice(&D50);
    out.resize(128, 0);
    out
}

/// The profile connection space's white, X Y Z as 16.16 fixed numbers: 0.9642, 1, 0.8249 (clause 6.1.11).
const D50: [u8; 12] = [0, 0, 0xF6, 0xD6, 0, 1, 0, 0, 0, 0, 0xD3, 0x2D];

/// Clause 6.5.17: `textDescriptionType` with its ASCII part alone.
fn description() -> Vec<u8> {
    let mut out = b"desc\0\0\0\0".to_vec();
    long(&mut out, DESCRIPTION.len() + 1);
    out.extend_from_slice(DESCRIPTION.as_bytes());
    out.push(0);
    // Unicode: language code and count; Macintosh: script code, count, 67 bytes.
    out.extend_from_slice(&[0; 8]);
    out.extend_from_slice(&[0; 3 + 67]);
    out
}

fn licence() -> Vec<u8> {
    let mut out = b"text\0\0\0\0".to_vec();
    out.extend_from_slice(LICENCE.as_bytes());
    out.push(0);
    out
}

fn white() -> Vec<u8> {
    let mut out = b"XYZ \0\0\0\0".to_vec();
    out.extend_from_slice(&D50);
    out
}

fn curve() -> Vec<u8> {
    let mut out = b"curv\0\0\0\0".to_vec();
    long(&mut out, usize::from(POINTS));
    for point in 0..POINTS {
        let tint = 1.0 - f64::from(point) / f64::from(POINTS - 1);
        let printed = (tint + 4.0 * INCREASE * tint * (1.0 - tint)).clamp(0.0, 1.0);
        let light = 1.0 - printed * (1.0 - BLACK);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 0 and 65535")]
        let value = (light * 65535.0).round() as u16;
        out.extend_from_slice(&value.to_be_bytes());
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ICC.1:2001-04: the size in the header is the file's, tags lie inside it on multiples of four, the class, space and
    /// signature are in their places, and the curve rises from black to white.
    #[test]
    fn the_profile_is_whole() {
        let profile = grey();
        let long_at = |at: usize| {
            let bytes: [u8; 4] = profile[at..at + 4].try_into().expect("four bytes");
            u32::from_be_bytes(bytes) as usize
        };
        assert_eq!(long_at(0), profile.len());
        assert_eq!(&profile[12..24], b"prtrGRAYXYZ ");
        assert_eq!(&profile[36..40], b"acsp");
        for tag in 0..long_at(128) {
            let (offset, size) = (long_at(132 + 12 * tag + 4), long_at(132 + 12 * tag + 8));
            assert!(offset % 4 == 0 && offset + size <= profile.len());
        }
        let levels: Vec<u16> = curve()[12..].chunks(2).map(|b| u16::from_be_bytes([b[0], b[1]])).collect();
        assert!(levels.windows(2).all(|pair| pair[0] < pair[1]));
        assert_eq!((levels[0], levels[64]), (1311, 65535));
    }
}
