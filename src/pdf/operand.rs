//! Numbers and strings as the bytes of a file (ISO 32000-1, 7.3), written straight into a buffer: every page passes here.

/// Room for the longest number: a sign, twenty digits, a point.
const ROOM: usize = 24;

/// The digits of the numbers below a thousand, and how many each has; nought has none.
const WHOLES: [(u32, u8); 1000] = {
    let mut all = [(0, 0); 1000];
    let mut number = 1_u32;
    while number < 1000 {
        let (mut text, mut length, mut rest) = (0, 0, number);
        while rest > 0 {
            text = text << 8 | (b'0' as u32 + rest % 10);
            length += 1;
            rest /= 10;
        }
        all[number as usize] = (text, length);
        number += 1;
    }
    all
};

/// The hundredths below one, from their point on, and how many bytes they have; nought has none.
const PARTS: [(u32, u8); 100] = {
    let mut all = [(0, 0); 100];
    let mut number = 1_u32;
    while number < 100 {
        let tenths = (b'0' as u32 + number / 10) << 8 | b'.' as u32;
        let length = if number.is_multiple_of(10) { 2 } else { 3 };
        let hundredths = if length == 3 { (b'0' as u32 + number % 10) << 16 } else { 0 };
        all[number as usize] = (tenths | hundredths, length);
        number += 1;
    }
    all
};

/// Numbers below this have three digits before their point.
const SHORT: u64 = 100_000;

/// Noughts before fewer than three digits.
const NOUGHTS: [u64; 4] = [0x30_30_30, 0x30_30, 0x30, 0];

/// Writes a whole number.
#[inline]
pub(super) fn push_whole(out: &mut Vec<u8>, value: i64) {
    let size = value.unsigned_abs();
    if size == 0 || size >= 1_000_000 {
        return push_scaled::<0>(out, value);
    }
    let (thousands, more) = WHOLES[(size / 1000) as usize];
    let (digits, length) = WHOLES[(size % 1000) as usize];
    let sign = usize::from(value < 0);
    if more == 0 {
        return push_bytes(out, signed(u64::from(digits), sign), sign + usize::from(length));
    }
    let rest = u64::from(digits) << (8 * (3 - length)) | NOUGHTS[usize::from(length)];
    push_bytes(out, signed(u64::from(thousands) | rest << (8 * more), sign), sign + usize::from(more) + 3);
}

/// Writes hundredths as a decimal number without needless digits, and a space: `12 `, `.5 `, `-3.07 `.
#[inline]
pub(super) fn push_hundredths(out: &mut Vec<u8>, value: i64) {
    let size = value.unsigned_abs();
    if size == 0 || size >= SHORT {
        push_scaled::<2>(out, value);
        return out.push(b' ');
    }
    let (digits, length) = WHOLES[(size / 100) as usize];
    let (parts, more) = PARTS[(size % 100) as usize];
    let sign = usize::from(value < 0);
    let text = u64::from(digits) | u64::from(parts) << (8 * length) | u64::from(b' ') << (8 * (length + more));
    push_bytes(out, signed(text, sign), sign + usize::from(length + more) + 1);
}

/// Text with a minus sign before it, if it has one.
#[inline]
const fn signed(text: u64, sign: usize) -> u64 {
    if sign == 1 { text << 8 | b'-' as u64 } else { text }
}

/// Writes the first bytes of eight, lowest first: a store of known width and a change of the length cost less than a copy of
/// so many bytes.
#[inline]
fn push_bytes(out: &mut Vec<u8>, text: u64, length: usize) {
    let end = out.len() + length;
    out.extend_from_slice(&text.to_le_bytes());
    out.truncate(end);
}

/// Writes thousandths as a decimal number without needless digits.
pub(super) fn push_thousandths(out: &mut Vec<u8>, value: i64) {
    push_scaled::<3>(out, value);
}

/// Writes a number with at most five decimals, for the scale of a page on a sheet.
pub(super) fn push_fine(out: &mut Vec<u8>, value: f64) {
    #[expect(clippy::cast_possible_truncation, reason = "the caller has checked that it lies on a sheet")]
    let value = (value * 1e5).round() as i64;
    push_scaled::<5>(out, value);
}

fn push_scaled<const DECIMALS: usize>(out: &mut Vec<u8>, value: i64) {
    let mut text = [0_u8; ROOM];
    let mut at = ROOM;
    let mut rest = value.unsigned_abs();
    let mut decimals = DECIMALS;
    // Noughts at the end of the decimals say nothing.
    while decimals > 0 && rest.is_multiple_of(10) {
        rest /= 10;
        decimals -= 1;
    }
    let has_point = decimals > 0;
    while decimals > 0 {
        at -= 1;
        text[at] = digit(rest);
        rest /= 10;
        decimals -= 1;
    }
    if has_point {
        at -= 1;
        text[at] = b'.';
    }
    while rest > 0 || (!has_point && at == ROOM) {
        at -= 1;
        text[at] = digit(rest);
        rest /= 10;
    }
    if value < 0 {
        at -= 1;
        text[at] = b'-';
    }
    out.extend_from_slice(&text[at..]);
}

fn digit(rest: u64) -> u8 {
    let digit = (rest % 10) as u8;
    b'0' + digit
}

/// Writes bytes as hexadecimal digits.
pub(super) fn push_hex(out: &mut Vec<u8>, bytes: &[u8]) {
    const DIGITS: &[u8; 16] = b"0123456789ABCDEF";
    out.reserve(bytes.len() * 2);
    for byte in bytes {
        out.push(DIGITS[usize::from(byte >> 4)]);
        out.push(DIGITS[usize::from(byte & 15)]);
    }
}

/// Whether a byte of a literal string stands for itself.
const PLAIN: [bool; 256] = {
    let mut all = [true; 256];
    let mut special = 0;
    while special < 5 {
        all[b"()\\\r\n"[special] as usize] = false;
        special += 1;
    }
    all
};

/// Writes the code of a glyph into a literal string.
#[inline]
pub(super) fn push_code(out: &mut Vec<u8>, code: u16) {
    let [high, low] = code.to_be_bytes();
    if PLAIN[usize::from(high)] && PLAIN[usize::from(low)] {
        out.extend_from_slice(&[high, low]);
    } else {
        push_literal_byte(out, high);
        push_literal_byte(out, low);
    }
}

/// Writes one byte of a literal string. An end of line would be read as another one, so it is written by name (7.3.4.2).
fn push_literal_byte(out: &mut Vec<u8>, byte: u8) {
    match byte {
        b'(' | b')' | b'\\' => out.extend_from_slice(&[b'\\', byte]),
        b'\r' => out.extend_from_slice(b"\\r"),
        b'\n' => out.extend_from_slice(b"\\n"),
        other => out.push(other),
    }
}

/// Writes a literal string with its brackets.
pub(super) fn push_literal(out: &mut Vec<u8>, bytes: &[u8]) {
    out.push(b'(');
    for byte in bytes {
        push_literal_byte(out, *byte);
    }
    out.push(b')');
}

/// Words as a text string (7.9.2.2): one byte a character where the standard's own encoding has them all (annex D.2), else
/// UTF-16 with its mark.
pub(super) fn text_bytes(words: &str) -> Vec<u8> {
    if words.bytes().all(|byte| (b' '..=b'~').contains(&byte)) {
        return words.as_bytes().to_vec();
    }
    if let Some(bytes) = words.chars().map(document_code).collect() {
        return bytes;
    }
    let mut bytes = vec![0xFE, 0xFF];
    bytes.extend(words.encode_utf16().flat_map(u16::to_be_bytes));
    bytes
}

/// The code of a character in the standard's encoding for text strings (annex D.2), as far as books use it.
fn document_code(character: char) -> Option<u8> {
    Some(match character {
        ' '..='~' | '\u{A1}'..='\u{AC}' | '\u{AE}'..='\u{FF}' => u8::try_from(u32::from(character)).ok()?,
        '\u{2022}' => 0x80,
        '\u{2026}' => 0x83,
        '\u{2014}' => 0x84,
        '\u{2013}' => 0x85,
        '\u{2212}' => 0x8A,
        '\u{201E}' => 0x8C,
        '\u{201C}' => 0x8D,
        '\u{201D}' => 0x8E,
        '\u{2018}' => 0x8F,
        '\u{2019}' => 0x90,
        '\u{201A}' => 0x91,
        '\u{20AC}' => 0xA0,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(write: impl Fn(&mut Vec<u8>)) -> String {
        let mut out = Vec::new();
        write(&mut out);
        String::from_utf8(out).expect("ASCII")
    }

    #[test]
    fn numbers_have_no_needless_digits() {
        for (value, wanted) in [
            (0, "0 "),
            (5, ".05 "),
            (-5, "-.05 "),
            (50, ".5 "),
            (1230, "12.3 "),
            (-100, "-1 "),
            (102, "1.02 "),
            (10_000, "100 "),
            (-99_999, "-999.99 "),
            (100_000, "1000 "),
            (i64::MIN, "-92233720368547758.08 "),
        ] {
            assert_eq!(written(|out| push_hundredths(out, value)), wanted);
        }
        for whole in (-2_500..2_500).chain([10_007, 123_450, -999_999, 1_000_000, i64::MAX]) {
            assert_eq!(written(|out| push_whole(out, whole)), whole.to_string());
        }
        for size in 0..=120_000_i64 {
            let long = format!("{}.{:02}", size / 100, size % 100);
            let short = long.trim_start_matches('0').trim_end_matches('0').trim_end_matches('.');
            let wanted = if size == 0 { "0" } else { short };
            assert_eq!(written(|out| push_hundredths(out, size)), format!("{wanted} "));
        }
        assert_eq!(written(|out| push_fine(out, 0.666_666_7)), ".66667");
        assert_eq!(written(|out| push_fine(out, -1.0)), "-1");
    }

    #[test]
    fn strings_keep_their_bytes() {
        assert_eq!(written(|out| push_literal(out, b"a(b)\\\r\n")), r"(a\(b\)\\\r\n)");
        assert_eq!(written(|out| push_hex(out, &[0xFE, 0x0A])), "FE0A");
    }

    /// Annex D.2: dashes, quotes and accents have codes of their own; a sharp sign has none.
    #[test]
    fn text_strings_are_as_short_as_the_standard_allows() {
        assert_eq!(text_bytes("a \u{2013} \u{201C}caf\u{E9}\u{201D}"), b"a \x85 \x8Dcaf\xE9\x8E");
        assert_eq!(text_bytes("F\u{266F}"), [0xFE, 0xFF, 0, 0x46, 0x26, 0x6F]);
        assert_eq!(text_bytes("a\u{A0}b")[..2], [0xFE, 0xFF]);
    }
}
