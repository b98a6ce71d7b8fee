//! In which letters a file is written, where its first bytes tell: a mark, or noughts beside the first sign.
//!
//! Source: The Unicode Standard 16.0, 3.10 (D95 to D101) and table 2-4 for the marks; Extensible Markup Language (XML) 1.0,
//! appendix F.1, for files without one that begin with a sign of ASCII.

/// The name of an encoding of two or four bytes a letter; `None` where nothing speaks for one.
pub fn wide_letters(bytes: &[u8]) -> Option<&'static str> {
    Some(match bytes {
        [0xff, 0xfe, 0, 0, ..] | [0, 0, 0xfe, 0xff, ..] => "UTF-32",
        [0, 0, 0, 1..=255, ..] | [1..=255, 0, 0, 0, ..] => "UTF-32",
        [0xff, 0xfe, ..] | [0xfe, 0xff, ..] => "UTF-16",
        [0, 1..=255, ..] | [1..=255, 0, ..] => "UTF-16",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wide_letters_are_told_by_a_mark_or_by_noughts() {
        let wide = |text: &str| {
            let two: Vec<u16> = text.encode_utf16().collect();
            let two = [
                two.iter().flat_map(|unit| unit.to_be_bytes()).collect::<Vec<u8>>(),
                two.iter().flat_map(|unit| unit.to_le_bytes()).collect(),
            ];
            let four = [
                text.chars().flat_map(|c| u32::from(c).to_be_bytes()).collect::<Vec<u8>>(),
                text.chars().flat_map(|c| u32::from(c).to_le_bytes()).collect(),
            ];
            (two, four)
        };
        for text in ["<?xml", "\u{feff}<?xml", "X:1\n", "\u{feff}b"] {
            let (two, four) = wide(text);
            assert!(two.iter().all(|bytes| wide_letters(bytes) == Some("UTF-16")), "{text}");
            assert!(four.iter().all(|bytes| wide_letters(bytes) == Some("UTF-32")), "{text}");
            assert_eq!(wide_letters(text.as_bytes()), None, "{text}");
        }
        assert_eq!((wide_letters(b""), wide_letters(b"K"), wide_letters("é".as_bytes())), (None, None, None));
    }
}
