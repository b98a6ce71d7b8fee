//! Strings as they are written before an operator that shows text, and the moves between them.
//!
//! Takes the operands as bytes; gives codes and moves in their order. Source: ISO 32000-1, 7.3.4 (strings), 9.4.3 (arrays of strings
//! and numbers). Never fails: what is no string and no number is stepped over.

use super::content::{is_regular, is_space, number};

/// A part of what is shown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Piece<'a> {
    /// Codes of glyphs.
    Codes(&'a [u8]),
    /// A move back, in thousandths of the type's size.
    Back(f64),
}

/// Calls `with` for each part.
pub(super) fn pieces(written: &[u8], mut with: impl FnMut(Piece<'_>)) {
    let (mut at, mut codes) = (0, Vec::new());
    while let Some(byte) = written.get(at).copied() {
        match byte {
            b'(' => {
                at = literal(written, at + 1, &mut codes);
                with(Piece::Codes(&codes));
            }
            b'<' if written.get(at + 1) != Some(&b'<') => {
                at = hexadecimal(written, at + 1, &mut codes);
                with(Piece::Codes(&codes));
            }
            b'%' => at += written[at..].iter().position(|byte| matches!(byte, b'\n' | b'\r')).unwrap_or(written.len()),
            b'/' => at += 1 + run(&written[at + 1..], is_regular),
            _ if is_regular(byte) => {
                let length = run(&written[at..], is_regular);
                if let Some(number) = number(&written[at..at + length]) {
                    with(Piece::Back(number));
                }
                at += length;
            }
            b'<' => at += 2,
            _ => at += 1,
        }
    }
}

fn run(bytes: &[u8], of: impl Fn(u8) -> bool) -> usize {
    bytes.iter().position(|byte| !of(*byte)).unwrap_or(bytes.len())
}

/// Reads a string in brackets from behind its first; gives the place behind its last (tables 3 and 7.3.4.2).
fn literal(written: &[u8], mut at: usize, codes: &mut Vec<u8>) -> usize {
    codes.clear();
    let mut depth = 1_usize;
    while let Some(byte) = written.get(at).copied() {
        at += 1;
        match byte {
            b'\\' => at = escape(written, at, codes),
            // An end of line however written is one line feed.
            b'\r' => {
                at += usize::from(written.get(at) == Some(&b'\n'));
                codes.push(b'\n');
            }
            b')' if depth == 1 => break,
            _ => {
                depth = match byte {
                    b'(' => depth + 1,
                    b')' => depth - 1,
                    _ => depth,
                };
                codes.push(byte);
            }
        }
    }
    at
}

fn escape(written: &[u8], at: usize, codes: &mut Vec<u8>) -> usize {
    let Some(byte) = written.get(at).copied() else { return at };
    match byte {
        b'0'..=b'7' => {
            let digits = run(&written[at..written.len().min(at + 3)], |byte| (b'0'..=b'7').contains(&byte));
            let value = written[at..at + digits].iter().fold(0_u32, |sum, digit| sum * 8 + u32::from(digit - b'0'));
            // High-order overflow is ignored.
            codes.push((value & 0xFF) as u8);
            return at + digits;
        }
        b'\r' => return at + 1 + usize::from(written.get(at + 1) == Some(&b'\n')),
        b'\n' => {}
        b'n' => codes.push(b'\n'),
        b'r' => codes.push(b'\r'),
        b't' => codes.push(b'\t'),
        b'b' => codes.push(8),
        b'f' => codes.push(12),
        other => codes.push(other),
    }
    at + 1
}

/// Reads a string of digits from behind its first bracket; gives the place behind its last. An odd last digit has a nought after it.
fn hexadecimal(written: &[u8], at: usize, codes: &mut Vec<u8>) -> usize {
    codes.clear();
    let length = run(&written[at..], |byte| byte != b'>');
    let mut high = None;
    for byte in written[at..at + length].iter().filter(|byte| !is_space(**byte)) {
        let Some(digit) = char::from(*byte).to_digit(16) else { continue };
        let digit = digit as u8;
        match high.take() {
            None => high = Some(digit),
            Some(high) => codes.push(high << 4 | digit),
        }
    }
    codes.extend(high.map(|high| high << 4));
    (at + length + 1).min(written.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(written: &[u8]) -> Vec<(Vec<u8>, f64)> {
        let mut found = Vec::new();
        pieces(written, |piece| {
            found.push(match piece {
                Piece::Codes(codes) => (codes.to_vec(), 0.0),
                Piece::Back(by) => (Vec::new(), by),
            });
        });
        found
    }

    /// ISO 32000-1, 7.3.4.2, its examples: escapes, digits, lines that go on, brackets in pairs; 7.3.4.3: an odd last digit.
    #[test]
    fn strings_are_read_as_the_standard_writes_them() {
        let codes = |written: &[u8]| all(written).into_iter().map(|(codes, _)| codes).collect::<Vec<_>>();
        assert_eq!(codes(b"(These \\\ntwo \\\r\nstrings)"), [b"These two strings".to_vec()]);
        assert_eq!(codes(b"(a (b) \\) \\\\ \\053 \\0053 \\53)"), [b"a (b) ) \\ + \x053 +".to_vec()]);
        assert_eq!(codes(b"(line\r\nend\\n)"), [b"line\nend\n".to_vec()]);
        assert_eq!(codes(b"<90 1fA>"), [vec![0x90, 0x1F, 0xA0]]);
        assert_eq!(codes(b"()"), [Vec::<u8>::new()]);
    }

    #[test]
    fn an_array_gives_strings_and_moves_in_turn() {
        let found = all(b"[(A)120 <0042>-7.5(C)% (no)\n /no <<1>>]");
        let wanted = [("A", 0.0), ("", 120.0), ("\0B", 0.0), ("", -7.5), ("C", 0.0), ("", 1.0)];
        let wanted: Vec<(Vec<u8>, f64)> = wanted.map(|(codes, by)| (codes.as_bytes().to_vec(), by)).to_vec();
        assert_eq!(found, wanted);
    }

    /// A string may end anywhere.
    #[test]
    fn what_breaks_off_is_read_to_its_end() {
        let whole = b"[(a\\12(b)\\\r\n)120<90 1f>(\\\\)%x\n/n<<>>]";
        for end in 0..=whole.len() {
            assert!(all(&whole[..end]).len() <= end);
        }
    }
}
