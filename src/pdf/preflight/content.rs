//! A scan of one content stream of any origin: operators, operands of the few that matter, inline images.
//!
//! Reads tokens as ISO 32000-1, 7.2 and 7.8, describes them, and never fails: what it cannot read becomes an unknown
//! operator, which is what the press would meet as well.

/// Every operator of ISO 32000-1, annex A, but those of inline images, which the scan handles.
const KNOWN: &[&[u8]] = &[
    b"b", b"B", b"b*", b"B*", b"BDC", b"BMC", b"BT", b"BX", b"c", b"cm", b"CS", b"cs", b"d", b"d0", b"d1", b"Do",
    b"DP", b"EMC", b"ET", b"EX", b"f", b"F", b"f*", b"G", b"g", b"gs", b"h", b"i", b"j", b"J", b"K", b"k", b"l", b"m",
    b"M", b"MP", b"n", b"q", b"Q", b"re", b"RG", b"rg", b"ri", b"s", b"S", b"SC", b"sc", b"SCN", b"scn", b"sh", b"T*",
    b"Tc", b"Td", b"TD", b"Tf", b"Tj", b"TJ", b"TL", b"Tm", b"Tr", b"Ts", b"Tw", b"Tz", b"v", b"w", b"W", b"W*", b"y",
    b"'", b"\"",
];

/// Longest operator or name that is looked at.
const LONGEST: usize = 128;
/// Most operands kept for one operator.
const OPERANDS: usize = 8;

/// An operand as far as anyone asks.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Operand {
    /// A number.
    Number(f64),
    /// A name without its slash.
    Name(Vec<u8>),
}

/// What the scan reports.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Event<'a> {
    /// A known operator with its last operands.
    Operator(&'a [u8], Vec<Operand>),
    /// An operator that the standard does not know.
    Unknown(String),
    /// An inline image: its dictionary's names and values, flattened.
    InlineImage(Vec<Vec<u8>>),
}

/// The scan over one stream.
pub(super) struct Scan<'a> {
    bytes: &'a [u8],
    at: usize,
    operands: Vec<Operand>,
}

impl<'a> Scan<'a> {
    /// Begins at a stream's start.
    pub(super) const fn new(bytes: &'a [u8]) -> Self {
        Self { bytes, at: 0, operands: Vec::new() }
    }

    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }
    fn run(&mut self, of: impl Fn(u8) -> bool) -> &'a [u8] {
        let rest = &self.bytes[self.at..];
        let length = rest.iter().position(|byte| !of(*byte)).unwrap_or(rest.len());
        self.at += length;
        &rest[..length]
    }
    fn keep(&mut self, operand: Operand) {
        if self.operands.len() == OPERANDS {
            self.operands.remove(0);
        }
        self.operands.push(operand);
    }
    /// A literal string, brackets balanced; the scan stands behind its first bracket.
    fn skip_string(&mut self) {
        let mut depth = 1_usize;
        while let Some(byte) = self.peek() {
            self.at += 1;
            match byte {
                b'\\' => self.at = (self.at + 1).min(self.bytes.len()),
                b'(' => depth += 1,
                b')' => {
                    depth -= 1;
                    if depth == 0 {
                        return;
                    }
                }
                _ => {}
            }
        }
    }
    /// From behind `BI` to behind `EI`.
    fn inline_image(&mut self) -> Event<'a> {
        let mut names = Vec::new();
        loop {
            self.run(is_space);
            match self.peek() {
                None => return Event::InlineImage(names),
                Some(b'/') => {
                    self.at += 1;
                    let name = self.run(is_regular);
                    names.push(name[..name.len().min(LONGEST)].to_vec());
                }
                Some(b'(') => {
                    self.at += 1;
                    self.skip_string();
                }
                Some(byte) if is_regular(byte) => {
                    if self.run(is_regular) == b"ID" {
                        break;
                    }
                }
                Some(_) => self.at += 1,
            }
        }
        self.at = (self.at + 1).min(self.bytes.len());
        // The data end where `EI` stands alone between white space.
        while self.at < self.bytes.len() {
            let rest = &self.bytes[self.at..];
            if rest.starts_with(b"EI")
                && self.at > 0
                && is_space(self.bytes[self.at - 1])
                && rest.get(2).is_none_or(|byte| is_space(*byte))
            {
                self.at += 2;
                break;
            }
            self.at += 1;
        }
        Event::InlineImage(names)
    }
}

impl<'a> Iterator for Scan<'a> {
    type Item = Event<'a>;

    fn next(&mut self) -> Option<Event<'a>> {
        loop {
            let byte = self.peek()?;
            match byte {
                b'%' => {
                    self.run(|byte| byte != b'\n' && byte != b'\r');
                }
                b'(' => {
                    self.at += 1;
                    self.skip_string();
                }
                b'/' => {
                    self.at += 1;
                    let name = self.run(is_regular);
                    self.keep(Operand::Name(name[..name.len().min(LONGEST)].to_vec()));
                }
                b'<' | b'>' | b'[' | b']' | b'{' | b'}' | b')' => {
                    self.at += 1;
                    if byte == b'<' && self.peek() != Some(b'<') {
                        self.run(|byte| byte != b'>' && byte != b'<');
                    }
                }
                _ if is_space(byte) => {
                    self.run(is_space);
                }
                _ => {
                    let word = self.run(is_regular);
                    if let Some(number) = number(word) {
                        self.keep(Operand::Number(number));
                        continue;
                    }
                    let operands = std::mem::take(&mut self.operands);
                    return Some(match word {
                        b"true" | b"false" | b"null" => continue,
                        b"BI" => self.inline_image(),
                        _ if KNOWN.contains(&word) => Event::Operator(word, operands),
                        _ => Event::Unknown(String::from_utf8_lossy(&word[..word.len().min(24)]).into_owned()),
                    });
                }
            }
        }
    }
}

/// ISO 32000-1, table 1.
const fn is_space(byte: u8) -> bool {
    matches!(byte, 0 | 9 | 10 | 12 | 13 | 32)
}

/// Neither white space nor a delimiter (ISO 32000-1, table 2).
const fn is_regular(byte: u8) -> bool {
    !is_space(byte) && !matches!(byte, b'(' | b')' | b'<' | b'>' | b'[' | b']' | b'{' | b'}' | b'/' | b'%')
}

fn number(word: &[u8]) -> Option<f64> {
    if !word.iter().all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b'-' | b'+')) || word.len() > 40 {
        return None;
    }
    std::str::from_utf8(word).ok()?.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strings_comments_and_pictures_are_stepped_over() {
        let bytes =
            b"q % rg\n(1 0 0 rg \\) (nested)) Tj <0 rg> Tj /Im0 Do\nBI /W 1 /CS /RGB ID \x00rg EI\n1 0 0 rg zz Q";
        let events: Vec<_> = Scan::new(bytes).collect();
        let words: Vec<String> = events
            .iter()
            .map(|event| match event {
                Event::Operator(word, _) => String::from_utf8_lossy(word).into_owned(),
                Event::Unknown(word) => format!("?{word}"),
                Event::InlineImage(names) => format!("image {}", names.len()),
            })
            .collect();
        assert_eq!(words, ["q", "Tj", "Tj", "Do", "image 3", "rg", "?zz", "Q"]);
    }

    #[test]
    fn noise_is_read_to_its_end() {
        for seed in 0..200_u32 {
            let bytes: Vec<u8> =
                (0..300_u32).map(|i| (seed.wrapping_mul(2_654_435_761) >> (i % 24)) as u8 ^ i as u8).collect();
            assert!(Scan::new(&bytes).count() <= bytes.len());
        }
    }

    /// Noise made of what the scan looks for, and every beginning of it: a stream may end anywhere.
    #[test]
    fn noise_of_its_own_alphabet_is_read_to_its_end() {
        assert_eq!(Scan::new(b"BI (\\").count(), 1);
        let words: [&[u8]; 18] = [
            b"BI", b"ID", b"EI", b"(", b")", b"\\", b"<", b">", b"<<", b">>", b"[", b"]", b"/", b"%", b" ", b"\n",
            b"1", b"q",
        ];
        let mut state = 1_u32;
        for _ in 0..400 {
            let mut bytes = Vec::new();
            for _ in 0..40 {
                // Numerical Recipes' generator: any would do.
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                bytes.extend(words[(state >> 16) as usize % words.len()]);
            }
            for end in 0..=bytes.len() {
                assert!(Scan::new(&bytes[..end]).count() <= end);
            }
        }
    }
}
