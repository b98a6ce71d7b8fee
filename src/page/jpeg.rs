//! What a JPEG file says of itself before it is decoded: whether its end is there, and what decoding takes.
//!
//! Source: ITU-T Recommendation T.81, annex B (markers, the frame header) and annex G (progressive: all coefficients are held until the
//! last scan has come).

/// What its markers say; of a file of another kind nothing.
#[derive(Debug, Default, PartialEq, Eq)]
pub(super) struct Outline {
    /// Whether it is a JPEG that ends before its mark of the end.
    pub(super) is_cut: bool,
    /// Bytes of the coefficients that are held while it is decoded.
    pub(super) coefficients: u64,
}

/// Goes from marker to marker.
pub(super) fn outline(bytes: &[u8]) -> Outline {
    let mut outline = Outline::default();
    let Some(mut rest) = bytes.strip_prefix(b"\xff\xd8") else { return outline };
    outline.is_cut = true;
    while let Some((marker, after)) = next(rest) {
        rest = after;
        match marker {
            0xd9 => {
                outline.is_cut = false;
                break;
            }
            // Marks without length: restarts, a second beginning, one that is reserved.
            0x01 | 0xd0..=0xd8 => {}
            kind => {
                let length = rest.first_chunk().map_or(0, |length| usize::from(u16::from_be_bytes(*length)));
                let segment = rest.get(..length).unwrap_or(rest);
                // Progressive frames, by their four ways of coding.
                if matches!(kind, 0xc2 | 0xc6 | 0xca | 0xce) {
                    outline.coefficients = outline.coefficients.max(coefficients(segment).unwrap_or(0));
                }
                rest = &rest[segment.len()..];
            }
        }
    }
    outline
}

/// The next marker and what follows it. In coded data a byte of ones is followed by a nought.
fn next(bytes: &[u8]) -> Option<(u8, &[u8])> {
    let mut pairs = bytes.windows(2).enumerate();
    let (at, pair) = pairs.find(|(_, pair)| pair[0] == 0xff && !matches!(pair[1], 0 | 0xff))?;
    Some((pair[1], &bytes[at + 2..]))
}

/// Two bytes for each coefficient of a frame: as many as there are samples, of each component by how finely it is sampled.
fn coefficients(segment: &[u8]) -> Option<u64> {
    // Length, precision, lines, samples a line, components; of each its name, how it is sampled, its table.
    let [_, _, _, h, l, a, b, count, components @ ..] = segment else { return None };
    let (down, across) = (u64::from(u16::from_be_bytes([*h, *l])), u64::from(u16::from_be_bytes([*a, *b])));
    let sampled =
        components.chunks_exact(3).take(usize::from(*count)).map(|it| (u64::from(it[1] >> 4), u64::from(it[1] & 15)));
    let finest = |of: fn((u64, u64)) -> u64| sampled.clone().map(of).max().filter(|finest| *finest > 0);
    let whole = finest(|it| it.0)? * finest(|it| it.1)?;
    let all: u64 = sampled.clone().map(|(h, v)| (across * down * h * v).div_ceil(whole)).sum();
    Some(all * 2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn markers_are_followed_to_the_end() {
        // A progressive frame of 100 by 50 whose two colours are sampled half as often each way, and a scan.
        let frame = [0xff, 0xc2, 0, 17, 8, 0, 50, 0, 100, 3, 1, 0x22, 0, 2, 0x11, 0, 3, 0x11, 0];
        let scan = [0xff, 0xda, 0, 4, 9, 9, 7, 0xff, 0, 0xff, 0xd0, 5, 0xff, 0xff];
        let whole = [&b"\xff\xd8"[..], &frame, &scan, b"\xd9"].concat();
        assert_eq!(outline(&whole), Outline { is_cut: false, coefficients: 15_000 });
        assert_eq!(outline(&whole[..whole.len() - 1]), Outline { is_cut: true, coefficients: 15_000 });
        for end in 0..whole.len() {
            outline(&whole[..end]);
        }
        assert_eq!(outline(b"\x89PNG"), Outline::default());
    }
}
