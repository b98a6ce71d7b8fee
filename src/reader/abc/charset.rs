//! Bytes of an ABC file into text: UTF-8, or the character set that the file names, with one kind of line end.
//!
//! Source: ABC 2.1, `I:abc-charset`; the tables of ISO 8859 parts 1, 2 and 15 (2 from memory of the standard's table).

/// The text of a file: UTF-8 if it is that (a byte-order mark is dropped), else by its `abc-charset`, else ISO 8859-1.
/// Line ends of any kind become `\n`.
pub fn decode(bytes: &[u8]) -> String {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => {
            let table = charset_of(bytes);
            bytes.iter().map(|byte| letter(*byte, table)).collect()
        }
    };
    if text.contains('\r') { text.replace("\r\n", "\n").replace('\r', "\n") } else { text }
}

/// The number of the part of ISO 8859 that the first lines name; 1 by default.
fn charset_of(bytes: &[u8]) -> u8 {
    let head: String = bytes.iter().take(4096).map(|b| b.to_ascii_lowercase() as char).collect();
    let Some(at) = head.find("abc-charset") else { return 1 };
    let name = head[at..].lines().next().unwrap_or("").trim();
    match name.rsplit("8859-").next().and_then(|tail| tail.split_whitespace().next()) {
        Some("2") => 2,
        Some("15") => 15,
        _ => 1,
    }
}

fn letter(byte: u8, table: u8) -> char {
    const LATIN_2: &str =
        "\u{a0}Ą˘Ł¤ĽŚ§¨ŠŞŤŹ\u{ad}ŽŻ°ą˛ł´ľśˇ¸šşťź˝žżŔÁÂĂÄĹĆÇČÉĘËĚÍÎĎĐŃŇÓÔŐÖ×ŘŮÚŰÜÝŢßŕáâăäĺćçčéęëěíîďđńňóôőö÷řůúűüýţ˙";
    match (table, byte) {
        (2, 0xa0..) => LATIN_2.chars().nth(usize::from(byte - 0xa0)).unwrap_or('\u{fffd}'),
        (15, 0xa4) => '€',
        (15, 0xa6) => 'Š',
        (15, 0xa8) => 'š',
        (15, 0xb4) => 'Ž',
        (15, 0xb8) => 'ž',
        (15, 0xbc) => 'Œ',
        (15, 0xbd) => 'œ',
        (15, 0xbe) => 'Ÿ',
        _ => byte as char,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_named_character_set_is_followed() {
        assert_eq!(decode(b"\xef\xbb\xbfX:1\r\nT:a\rK:C"), "X:1\nT:a\nK:C");
        assert_eq!(decode(b"T:caf\xe9"), "T:café");
        assert_eq!(decode(b"%%abc-charset iso-8859-2\nT:\xb1"), "%%abc-charset iso-8859-2\nT:ą");
        assert_eq!(decode(b"%%abc-charset iso-8859-15\nT:\xa4"), "%%abc-charset iso-8859-15\nT:€");
        assert_eq!(letter(0xff, 2), '˙');
    }
}
