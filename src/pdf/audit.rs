//! A byte scan of our own operators before they are deflated: nothing may be in a stream that we did not promise.
//!
//! Takes one content stream; gives the first fault in plain words. It reads tokens only and decodes nothing, so that every
//! binding can afford it. Source for the operators: ISO 32000-1, annex A.

/// What a stream may hold beside greys.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Promise {
    /// Whether the spot ink may be used.
    pub spot: bool,
    /// Whether pictures, and signs that are written once, may be drawn.
    pub images: bool,
}

/// Greatest nesting of `q` (ISO 19005-2, 6.1.13).
const DEEPEST: usize = 28;

/// Checks one content stream: known operators alone, colours as promised, states and text objects and marked content
/// closed, saved states not nested beyond 28, numbers that are numbers.
///
/// # Errors
/// The first fault in plain words.
pub fn audit(content: &[u8], promise: Promise) -> Result<(), String> {
    let mut scan = Scan { bytes: content, at: 0 };
    let mut nesting = Nesting::default();
    let mut operand: &[u8] = b"";
    loop {
        match scan.next() {
            Token::Operator(operator) => {
                allowed(operator, operand, promise)?;
                nesting.take(operator)?;
                operand = b"";
            }
            Token::Name(name) => operand = name,
            Token::Other => {}
            Token::Fault(fault) => return Err(fault.to_owned()),
            Token::Stranger(byte) => return Err(format!("the byte {byte} has no business there")),
            Token::End => return nesting.end(),
        }
    }
}

fn allowed(operator: &[u8], operand: &[u8], promise: Promise) -> Result<(), String> {
    let shown = || String::from_utf8_lossy(&operator[..operator.len().min(20)]).into_owned();
    match operator {
        b"q" | b"Q" | b"cm" | b"w" | b"J" | b"j" | b"M" | b"d" | b"m" | b"l" | b"c" | b"h" | b"re" | b"S" | b"f"
        | b"f*" | b"B" | b"n" | b"W" | b"W*" | b"BT" | b"ET" | b"Td" | b"Tf" | b"Tj" | b"TJ" | b"g" | b"G" | b"BMC"
        | b"BDC" | b"EMC" => Ok(()),
        b"cs" | b"CS" | b"scn" | b"SCN" | b"gs" if promise.spot => {
            if matches!(operator, b"cs" | b"CS") && operand != b"Spot" {
                return Err("a colour space other than the spot ink is chosen".to_owned());
            }
            Ok(())
        }
        b"Do" if promise.images => Ok(()),
        b"rg" | b"RG" | b"k" | b"K" | b"cs" | b"CS" | b"sc" | b"SC" | b"scn" | b"SCN" | b"sh" | b"ri" => {
            Err(format!("`{}` sets a colour other than black and grey", shown()))
        }
        _ => Err(format!("`{}` is not an operator that this program writes", shown())),
    }
}

/// What is open.
#[derive(Debug, Default)]
struct Nesting {
    states: usize,
    marked: usize,
    text: bool,
    /// Marked content open when the text object began.
    outside: usize,
}

impl Nesting {
    fn take(&mut self, operator: &[u8]) -> Result<(), String> {
        match operator {
            b"q" if self.text => return Err("a state is saved inside a text object".to_owned()),
            b"q" => {
                self.states += 1;
                if self.states > DEEPEST {
                    return Err(format!("more than {DEEPEST} states are saved inside one another"));
                }
            }
            b"Q" => self.states = self.states.checked_sub(1).ok_or("a state is restored that was not saved")?,
            b"BT" if self.text => return Err("a text object opens inside another".to_owned()),
            b"BT" => {
                self.text = true;
                self.outside = self.marked;
            }
            b"ET" if !self.text => return Err("a text object ends that did not open".to_owned()),
            // ISO 32000-1, 14.6.1: marked content lies wholly inside a text object or wholly round it.
            b"ET" if self.marked != self.outside => {
                return Err("marked content crosses the end of a text object".to_owned());
            }
            b"ET" => self.text = false,
            b"BMC" | b"BDC" => self.marked += 1,
            b"EMC" => self.marked = self.marked.checked_sub(1).ok_or("marked content ends that did not open")?,
            b"Tj" | b"TJ" | b"Td" if !self.text => return Err("text is shown outside a text object".to_owned()),
            b"m" | b"re" | b"Do" | b"cm" if self.text => return Err("a path stands inside a text object".to_owned()),
            _ => {}
        }
        Ok(())
    }
    fn end(&self) -> Result<(), String> {
        if self.states + self.marked > 0 || self.text {
            return Err("a state, text object or marked content is left open".to_owned());
        }
        Ok(())
    }
}

enum Token<'a> {
    Operator(&'a [u8]),
    Name(&'a [u8]),
    Other,
    Fault(&'static str),
    Stranger(u8),
    End,
}

/// Classes of bytes, by a table: every byte of every page passes here.
const HEX: u8 = 1;
const ALPHANUMERIC: u8 = 2;
/// What is not itself in a literal string.
const STRING: u8 = 4;
const CLASSES: [u8; 256] = {
    let mut classes = [0; 256];
    let mut byte = 0;
    while byte < 256 {
        #[expect(clippy::cast_possible_truncation, reason = "below 256")]
        let character = byte as u8;
        if character.is_ascii_hexdigit() {
            classes[byte] |= HEX;
        }
        if character.is_ascii_alphanumeric() {
            classes[byte] |= ALPHANUMERIC;
        }
        if matches!(character, b'(' | b')' | b'\\' | b'\r') {
            classes[byte] |= STRING;
        }
        byte += 1;
    }
    classes
};

/// Eight bytes in one number, the first of them lowest. The top bit of each answers for that byte.
mod eights {
    /// A byte, eight times.
    pub(super) const fn all(byte: u8) -> u64 {
        u64::from_le_bytes([byte; 8])
    }
    /// Where another byte than this one stands.
    pub(super) const fn not(eight: u64, byte: u8) -> u64 {
        let other = eight ^ all(byte);
        (((other & all(0x7F)) + all(0x7F)) | other) & all(0x80)
    }
}

struct Scan<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl<'a> Scan<'a> {
    #[inline]
    fn next(&mut self) -> Token<'a> {
        loop {
            let Some(&byte) = self.bytes.get(self.at) else { return Token::End };
            let start = self.at;
            self.at += 1;
            match byte {
                b' ' | b'\n' | b'\r' | b'\t' | 0 | 12 | b'[' | b']' => {}
                b'0'..=b'9' | b'-' | b'.' => return self.number(byte),
                b'A'..=b'Z' | b'a'..=b'z' | b'\'' | b'"' => {
                    self.run(ALPHANUMERIC);
                    self.at += usize::from(self.bytes.get(self.at) == Some(&b'*'));
                    return Token::Operator(&self.bytes[start..self.at]);
                }
                b'(' => return self.literal(),
                b'/' => {
                    self.run(ALPHANUMERIC);
                    return Token::Name(&self.bytes[start + 1..self.at]);
                }
                b'<' if self.bytes.get(self.at) == Some(&b'<') => self.at += 1,
                b'>' if self.bytes.get(self.at) == Some(&b'>') => self.at += 1,
                b'<' => return self.hexadecimal(),
                _ => return Token::Stranger(byte),
            }
        }
    }
    /// A number; the scan stands behind its first byte.
    #[inline]
    fn number(&mut self, first: u8) -> Token<'a> {
        let rest = self.rest();
        let mut digits = usize::from(first.is_ascii_digit());
        let mut points = usize::from(first == b'.');
        let mut length = 0;
        for &byte in rest {
            match byte {
                b'0'..=b'9' => digits += 1,
                b'.' => points += 1,
                _ => break,
            }
            length += 1;
        }
        // What follows is nearly always the space after it.
        self.at += length + usize::from(rest.get(length) == Some(&b' '));
        if points > 1 || digits == 0 { Token::Fault("a number is broken") } else { Token::Other }
    }
    fn hexadecimal(&mut self) -> Token<'a> {
        let length = self.run(HEX);
        if self.bytes.get(self.at) != Some(&b'>') {
            return Token::Fault("a hexadecimal string is broken");
        }
        self.at += 1;
        if length % 2 == 1 { Token::Fault("a hexadecimal string has an odd number of digits") } else { Token::Other }
    }
    /// A literal string without inner brackets, which is all that we write; the scan stands behind its first bracket.
    fn literal(&mut self) -> Token<'a> {
        loop {
            while let Some(eight) = self.rest().first_chunk() {
                let eight = u64::from_le_bytes(*eight);
                // The brackets differ in their last bit alone.
                let brackets = eights::not(eight | eights::all(1), b')');
                let plain = brackets & eights::not(eight, b'\\') & eights::not(eight, b'\r');
                self.at += (plain ^ eights::all(0x80)).trailing_zeros() as usize / 8;
                if plain != eights::all(0x80) {
                    break;
                }
            }
            let rest = self.rest();
            let plain = rest.iter().position(|byte| CLASSES[usize::from(*byte)] & STRING > 0);
            let Some(plain) = plain else { return Token::Fault("a literal string does not end") };
            self.at += plain;
            match rest[plain] {
                b')' => {
                    self.at += 1;
                    return Token::Other;
                }
                b'\\' => self.at += 2,
                b'\r' => return Token::Fault("a literal string holds a bare end of line"),
                _ => return Token::Fault("a literal string holds a bare bracket"),
            }
        }
    }
    fn rest(&self) -> &'a [u8] {
        self.bytes.get(self.at..).unwrap_or_default()
    }
    #[inline]
    fn run(&mut self, class: u8) -> usize {
        let rest = self.rest();
        let length = rest.iter().position(|byte| CLASSES[usize::from(*byte)] & class == 0).unwrap_or(rest.len());
        self.at += length;
        length
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_we_write_passes() {
        let content = b"q\n1 0 0 1 5 5 cm\n0 g\n0 0 10 10 re\nf\nBT\n/T0 9 Tf\n1 2 Td\n[(\0\x01)-20(\0\\()]TJ\n/Span<</ActualText(2)>>BDC\nEMC\nET\n\
            /P<</MCID 0>>BDC\n/Span<</ActualText()>>BDC\nEMC\nEMC\n[2 1] 0 d\nf*\nW* n\nQ\n";
        assert_eq!(audit(content, Promise::default()), Ok(()));
        assert_eq!(audit(b"/Spot cs 1 scn\n/Over gs\n", Promise { spot: true, images: false }), Ok(()));
    }

    /// Eight bytes at once say the same of each as the byte alone, wherever it stands.
    #[test]
    fn eight_bytes_are_told_apart_as_one() {
        for byte in 0..=u8::MAX {
            for at in 0..8 {
                let mut bytes = *b"12.()\\\xFF4";
                bytes[at] = byte;
                let eight = u64::from_le_bytes(bytes);
                let tops = |says: &dyn Fn(u8) -> bool| {
                    (0..8).fold(0, |all, at| if says(bytes[at]) { all | 0x80 << (8 * at) } else { all })
                };
                assert_eq!(eights::not(eight, b'.'), tops(&|byte| byte != b'.'));
            }
        }
    }

    #[test]
    fn planted_faults_are_found() {
        for (content, says) in [
            (&b"1 0 0 rg\n"[..], "colour"),
            (b"0 0 0 1 k\n", "colour"),
            (b"/Spot cs 1 scn\n", "colour"),
            (b"/Im0 Do\n", "not an operator"),
            (b"q\n", "left open"),
            (b"Q\n", "not saved"),
            (b"BT\nBT\nET\nET\n", "inside another"),
            (b"NaN 0 m\n", "not an operator"),
            (b"inf 0 m\n", "not an operator"),
            (b"1.2.3 w\n", "number"),
            (b"1.2.3 0 0 0 0 0 w\n", "number"),
            (b"12345678901.2.3 w 0 0 0\n", "number"),
            (b"-- 0 0 0 0 0 0 0 w\n", "number"),
            (b"BT\n(\0\x01\0\x01\0\x01\0\x01\0\x01(\0)Tj\nET\n", "bracket"),
            (b"BT\n(\0\x01\0\x01\0\x01\0\x01\0\x01\r\0)Tj\nET\n", "end of line"),
            (b"BT\n(\0\x01\0\x01\0\x01\0\x01\0\x01\\)Tj\nET\n", "does not end"),
            (b"<001>Tj\n", "odd number"),
            (b"(\0(\0)Tj\n", "bracket"),
            (b"(\0\r)Tj\n", "end of line"),
            (b"(\0\\)Tj\n", "does not end"),
            (b"1 -.w\n", "number"),
            (b"BT\n/Span<</ActualText(2)>>BDC\nET\nEMC\n", "crosses"),
            (b"BX\nEX\n", "not an operator"),
            (b"b*\n", "not an operator"),
            (b"* n\n", "no business"),
            (b"<0001>Tj\n", "outside a text object"),
        ] {
            let fault = audit(content, Promise::default()).expect_err("the fault is planted");
            assert!(fault.contains(says), "{fault} should say {says}");
        }
        assert!(audit(&b"q\n".repeat(29), Promise::default()).expect_err("too deep").contains("28"));
        assert!(audit(b"/Lab cs\n", Promise { spot: true, images: false }).is_err());
    }
}
