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
/// Most operands kept for one operator: a matrix has six, and so has a curve.
const OPERANDS: usize = 6;
/// Most entries of an inline image, and most parts of one of them, that are kept (ISO 32000-1, table 93, has eleven).
const ENTRIES: usize = 64;

/// The last operands of an operator, as far as anyone asks.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Operands<'a> {
    numbers: [f64; OPERANDS],
    count: usize,
    /// The last name, without its slash.
    pub(super) name: Option<&'a [u8]>,
    /// All operands as they are written, for strings that are shown.
    pub(super) written: &'a [u8],
}

impl<'a> Operands<'a> {
    /// The numbers in their order.
    pub(super) fn numbers(&self) -> &[f64] {
        &self.numbers[..self.count]
    }
    /// So many numbers, if no fewer were given.
    pub(super) fn last<const N: usize>(&self) -> Option<[f64; N]> {
        self.numbers().last_chunk().copied()
    }
    fn keep(&mut self, number: f64) {
        if self.count == OPERANDS {
            self.numbers.rotate_left(1);
            self.count -= 1;
        }
        self.numbers[self.count] = number;
        self.count += 1;
    }
}

/// A part of an entry of an inline image.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Part<'a> {
    /// A name without its slash.
    Name(&'a [u8]),
    /// A number.
    Number(f64),
    /// The word `true`.
    True,
}

/// An entry of an inline image: its key, and what stands in its value, arrays flattened.
pub(super) type Entry<'a> = (&'a [u8], Vec<Part<'a>>);

/// What the scan reports.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Event<'a> {
    /// A known operator with its last operands.
    Operator(&'a [u8], Operands<'a>),
    /// An operator that the standard does not know.
    Unknown(String),
    /// An inline image.
    InlineImage(Vec<Entry<'a>>),
}

/// The scan over one stream.
pub(super) struct Scan<'a> {
    bytes: &'a [u8],
    at: usize,
    /// Where the operands begin of the operator to come.
    begin: usize,
    operands: Operands<'a>,
}

impl<'a> Scan<'a> {
    /// Begins at a stream's start.
    pub(super) const fn new(bytes: &'a [u8]) -> Self {
        Self {
            bytes,
            at: 0,
            begin: 0,
            operands: Operands { numbers: [0.0; OPERANDS], count: 0, name: None, written: &[] },
        }
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
    /// A name, its slash not yet read.
    fn name(&mut self) -> &'a [u8] {
        self.at += 1;
        let name = self.run(is_regular);
        &name[..name.len().min(LONGEST)]
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
        let entries = self.entries();
        self.data();
        Event::InlineImage(entries)
    }
    /// The entries of an inline image; the scan then stands behind `ID`.
    fn entries(&mut self) -> Vec<Entry<'a>> {
        let mut entries: Vec<Entry<'a>> = Vec::new();
        let (mut depth, mut key) = (0_usize, true);
        while let Some(byte) = self.peek() {
            let part = match byte {
                _ if is_space(byte) => {
                    self.run(is_space);
                    continue;
                }
                b'%' => {
                    self.run(|byte| byte != b'\n' && byte != b'\r');
                    continue;
                }
                b'/' => {
                    let name = self.name();
                    if depth == 0 && key {
                        key = false;
                        if entries.len() < ENTRIES {
                            entries.push((name, Vec::new()));
                        }
                        continue;
                    }
                    Some(Part::Name(name))
                }
                b'(' => {
                    self.at += 1;
                    self.skip_string();
                    None
                }
                b'[' | b'{' => {
                    self.at += 1;
                    depth += 1;
                    continue;
                }
                b']' | b'}' => {
                    self.at += 1;
                    depth = depth.saturating_sub(1);
                    None
                }
                b'<' => {
                    self.at += 1;
                    if self.peek() == Some(b'<') {
                        self.at += 1;
                        depth += 1;
                        continue;
                    }
                    self.run(|byte| byte != b'>' && byte != b'<');
                    continue;
                }
                b'>' => {
                    self.at += 1;
                    if self.peek() == Some(b'>') {
                        self.at += 1;
                        depth = depth.saturating_sub(1);
                    }
                    None
                }
                b')' => {
                    self.at += 1;
                    continue;
                }
                _ => match self.run(is_regular) {
                    b"ID" => break,
                    b"true" => Some(Part::True),
                    word => number(word).map(Part::Number),
                },
            };
            if let (Some(part), Some((_, parts))) = (part, entries.last_mut())
                && parts.len() < ENTRIES
            {
                parts.push(part);
            }
            // A value has ended, be it of one part or of many: a key comes next.
            key |= depth == 0;
        }
        entries
    }
    /// The data of an inline image and the `EI` behind them.
    fn data(&mut self) {
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
                    let name = self.name();
                    self.operands.name = Some(name);
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
                        self.operands.keep(number);
                        continue;
                    }
                    if matches!(word, b"true" | b"false" | b"null") {
                        continue;
                    }
                    let mut operands = std::mem::take(&mut self.operands);
                    operands.written = &self.bytes[self.begin..self.at - word.len()];
                    let event = match word {
                        b"BI" => self.inline_image(),
                        _ if KNOWN.contains(&word) => Event::Operator(word, operands),
                        _ => Event::Unknown(String::from_utf8_lossy(&word[..word.len().min(24)]).into_owned()),
                    };
                    self.begin = self.at;
                    return Some(event);
                }
            }
        }
    }
}

/// ISO 32000-1, table 1.
pub(super) const fn is_space(byte: u8) -> bool {
    matches!(byte, 0 | 9 | 10 | 12 | 13 | 32)
}

/// Neither white space nor a delimiter (ISO 32000-1, table 2).
pub(super) const fn is_regular(byte: u8) -> bool {
    !is_space(byte) && !matches!(byte, b'(' | b')' | b'<' | b'>' | b'[' | b']' | b'{' | b'}' | b'/' | b'%')
}

pub(super) fn number(word: &[u8]) -> Option<f64> {
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
                Event::InlineImage(entries) => format!("image {}", entries.len()),
            })
            .collect();
        assert_eq!(words, ["q", "Tj", "Tj", "Do", "image 2", "rg", "?zz", "Q"]);
    }

    /// ISO 32000-1, table 93: keys and values by turns, and a value may be an array with names in it.
    #[test]
    fn entries_of_an_inline_image_are_told_from_their_values() {
        let bytes = b"BI /W 2 /IM true /CS [/I /RGB 1 <ff 00>] /F [/AHx /LZW] /D [0 1] /BPC 8 ID x EI";
        let Some(Event::InlineImage(entries)) = Scan::new(bytes).next() else { panic!("it is a picture") };
        let wanted: [Entry<'_>; 6] = [
            (b"W", vec![Part::Number(2.0)]),
            (b"IM", vec![Part::True]),
            (b"CS", vec![Part::Name(b"I"), Part::Name(b"RGB"), Part::Number(1.0)]),
            (b"F", vec![Part::Name(b"AHx"), Part::Name(b"LZW")]),
            (b"D", vec![Part::Number(0.0), Part::Number(1.0)]),
            (b"BPC", vec![Part::Number(8.0)]),
        ];
        assert_eq!(entries, wanted);
    }

    #[test]
    fn the_last_operands_are_kept() {
        let Some(Event::Operator(b"cm", operands)) = Scan::new(b"9 9 1 2 3 4 5 6 cm").next() else { panic!("cm") };
        assert_eq!(operands.last::<6>(), Some([1.0, 2.0, 3.0, 4.0, 5.0, 6.0]));
        assert_eq!((operands.last::<2>(), operands.name), (Some([5.0, 6.0]), None));
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
