//! A line of music code into tokens.
//!
//! Takes characters, gives tokens; what it can't read costs one complaint and is skipped. Source: ABC 2.1 §4, §6.1.2, §8.1.

use super::bars::{bar, endings};
use super::decorations::by_name;
use super::items::Code;
use super::scanner::Scanner;
use super::token::{Kind, NoteText, Token};
use crate::reader::complaints::Complaints;
use crate::tune::{Accidental, Fraction, Step};

/// What decides how some characters are taken (`I:linebreak`, `I:decoration`; §6.1.1, §12.2).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Dialect {
    /// Whether decorations stand between plus signs instead of exclamation marks.
    pub plus_decorations: bool,
    /// Whether every line of code ends a system.
    pub lines_break: bool,
}

impl Default for Dialect {
    fn default() -> Self {
        Self { plus_decorations: false, lines_break: true }
    }
}

/// Lengths are read with figures up to this.
const MOST_FIGURE: i64 = 4096;

/// The tokens of a line.
pub(super) fn scan(code: &Code, dialect: Dialect, complaints: &mut Complaints) -> Vec<Token> {
    let mut scanner = Scanner::new(code, complaints);
    let mut tokens = Vec::with_capacity(code.chars.len() / 2);
    while scanner.at < scanner.chars.len() {
        let at = scanner.at;
        let kind = scanner.token(dialect);
        if scanner.at == at {
            scanner.at += 1;
        }
        if let Some(kind) = kind {
            tokens.push(Token { kind, at, width: scanner.at - at });
        }
    }
    tokens
}

impl Scanner<'_, '_> {
    fn token(&mut self, dialect: Dialect) -> Option<Kind> {
        let c = self.peek(0)?;
        Some(match c {
            'A'..='G' | 'a'..='g' | '^' | '_' | '=' => return self.note(),
            ' ' => {
                self.skip(|c| c == ' ');
                Kind::Blank
            }
            'z' | 'x' => {
                self.at += 1;
                Kind::Rest { visible: c == 'z', length: self.length() }
            }
            'Z' | 'X' => {
                self.at += 1;
                let bars = self.figure().unwrap_or(1);
                Kind::BarRests { visible: c == 'Z', bars: u32::try_from(bars).unwrap_or(0) }
            }
            'y' => {
                self.at += 1;
                self.figure();
                Kind::Spacer
            }
            '|' => Kind::Bar(bar(self)),
            ':' if matches!(self.peek(1), Some('|' | ':')) => Kind::Bar(bar(self)),
            '[' => return self.bracket(),
            ']' => {
                self.at += 1;
                Kind::ChordClose(self.length())
            }
            '{' => {
                self.at += 1;
                let slashed = self.peek(0) == Some('/');
                self.at += usize::from(slashed);
                Kind::GraceOpen { slashed }
            }
            '}' => self.one(Kind::GraceClose),
            '(' if self.peek(1).is_some_and(|c| c.is_ascii_digit()) => self.tuplet(),
            '(' if self.peek(1) == Some('&') => return self.skip_sign(2),
            '(' => self.one(Kind::SlurOpen { dotted: false }),
            ')' => self.one(Kind::SlurClose),
            '-' => {
                let touching = self.at > 0 && self.chars[self.at - 1] != ' ';
                self.one(Kind::Tie { touching })
            }
            '>' | '<' => {
                let count = self.skip(|d| d == c).min(4);
                let count = i8::try_from(count).unwrap_or(4);
                Kind::Broken(if c == '>' { count } else { -count })
            }
            '.' => match self.peek(1) {
                Some('|') => Kind::Bar(bar(self)),
                Some('(') => {
                    self.at += 2;
                    Kind::SlurOpen { dotted: true }
                }
                Some('-') => {
                    self.at += 2;
                    Kind::Tie { touching: true }
                }
                _ => self.one(Kind::Short('.')),
            },
            '~' | 'H'..='W' | 'h'..='w' => self.one(Kind::Short(c)),
            '"' => return self.text(),
            '!' if !dialect.plus_decorations => self.decoration('!').unwrap_or(Kind::LineBreak),
            '!' | '$' => self.one(Kind::LineBreak),
            // Older files have their decorations so without saying it (§10.2.3): what names none is none.
            '+' => {
                let from = self.at;
                match self.decoration('+') {
                    Some(Kind::Decoration(name)) if dialect.plus_decorations || by_name(&name).is_some() => {
                        Kind::Decoration(name)
                    }
                    _ => {
                        self.at = from;
                        return self.odd(c);
                    }
                }
            }
            '&' => {
                let count = self.skip(|c| c == '&');
                if self.peek(0) == Some(')') {
                    self.at += 1;
                    return None;
                }
                Kind::Overlay(count)
            }
            '`' => return self.skip_sign(1),
            // A star at a line's end is an outdated sign for justification (§10).
            '*' if self.chars[self.at..].iter().all(|c| matches!(c, '*' | ' ')) => {
                self.at = self.chars.len();
                return None;
            }
            _ => return self.odd(c),
        })
    }
    fn one(&mut self, kind: Kind) -> Kind {
        self.at += 1;
        kind
    }
    fn skip_sign(&mut self, width: usize) -> Option<Kind> {
        self.at += width;
        None
    }
    fn odd(&mut self, c: char) -> Option<Kind> {
        let from = self.at;
        // A run of what can't be read is one bad spot.
        self.skip(|d| d == c);
        let shown = if c.is_control() { format!("U+{:04X}", c as u32) } else { format!("“{c}”") };
        let hint = match c {
            '♯' | '#' => "a sharp is ^ before the note: ^f",
            '♭' => "a flat is _ before the note: _b",
            '“' | '”' | '„' => "use straight quotes for chord names and texts: \"G\"",
            '–' | '—' => "a tie is a plain hyphen: c-c",
            _ => "take it out; words go between double quotes",
        };
        self.fault(from, code!("odd-sign"), format!("{shown} has no meaning in music"), hint);
        None
    }
    fn length(&mut self) -> Fraction {
        let from = self.at;
        let upper = self.figure();
        let mut lower = 1i64;
        let slashes = self.skip(|c| c == '/');
        if slashes > 0 {
            match self.figure() {
                Some(figure) if slashes == 1 => lower = figure,
                Some(figure) => {
                    self.fault(from, code!("odd-length"), "a length has one slash with figures after it", "write A3/4");
                    lower = figure;
                }
                None => lower = 1i64 << slashes.min(13),
            }
        }
        let upper = upper.unwrap_or(1);
        if upper == 0 || lower == 0 || upper > MOST_FIGURE || lower > MOST_FIGURE {
            self.fault(from, code!("odd-length"), "this length can't be; one unit is taken", "write A2, A3/2 or A/2");
            return Fraction::ONE;
        }
        Fraction::new(upper, lower)
    }
    fn note(&mut self) -> Option<Kind> {
        let from = self.at;
        let signs = self.skip(|c| matches!(c, '^' | '_' | '='));
        let sign = match self.chars[from..from + signs] {
            [] => None,
            ['^'] => Some(Accidental::Sharp),
            ['^', '^'] => Some(Accidental::DoubleSharp),
            ['_'] => Some(Accidental::Flat),
            ['_', '_'] => Some(Accidental::DoubleFlat),
            ['='] => Some(Accidental::Natural),
            _ => {
                self.fault(from, code!("odd-accidental"), "this is no accidental", "^ ^^ _ __ = are the signs");
                None
            }
        };
        // An accidental in brackets or a fraction of one is beyond the standard.
        let Some((letter, step)) = self.peek(0).and_then(|c| Some((c, Step::from_letter(c)?))) else {
            if signs > 0 && sign.is_some() {
                self.fault(
                    from,
                    code!("odd-accidental"),
                    "an accidental stands before no note",
                    "write it before the letter: ^f",
                );
            }
            return None;
        };
        self.at += 1;
        let mut octave = if letter.is_ascii_lowercase() { 5 } else { 4 };
        while let Some(mark @ (',' | '\'')) = self.peek(0) {
            self.at += 1;
            octave += if mark == '\'' { 1 } else { -1 };
        }
        if !(-1..=9).contains(&octave) {
            self.fault(
                from,
                code!("odd-octave"),
                "no instrument reaches this octave",
                "C is middle C; each , or ' moves an octave",
            );
            octave = octave.clamp(-1, 9);
        }
        Some(Kind::Note(NoteText { sign, step, octave, length: self.length() }))
    }
    fn bracket(&mut self) -> Option<Kind> {
        match (self.peek(1), self.peek(2)) {
            (Some('|'), _) | (Some(']'), _) => Some(Kind::Bar(bar(self))),
            (Some('1'..='9'), _) => {
                self.at += 1;
                Some(Kind::Ending(endings(self)))
            }
            (Some(letter), Some(':')) if letter.is_ascii_alphabetic() => {
                let from = self.at;
                let Some(end) = self.chars[from..].iter().position(|c| *c == ']') else {
                    self.at = self.chars.len();
                    self.fault(
                        from,
                        code!("field-not-closed"),
                        "a field in brackets is not closed",
                        "write ] after it",
                    );
                    return None;
                };
                let text: String = self.chars[from + 3..from + end].iter().collect();
                self.at = from + end + 1;
                let blanks = text.chars().take_while(|c| *c == ' ').count();
                Some(Kind::Field(letter, text.trim().to_owned(), from + 3 + blanks))
            }
            _ => {
                self.at += 1;
                Some(Kind::ChordOpen)
            }
        }
    }
    fn tuplet(&mut self) -> Kind {
        let from = self.at;
        self.at += 1;
        let mut parts = [0i64; 3];
        for (nth, part) in parts.iter_mut().enumerate() {
            if nth > 0 {
                if self.peek(0) != Some(':') || self.peek(1) == Some('|') {
                    break;
                }
                self.at += 1;
            }
            *part = self.figure().unwrap_or(0);
        }
        if parts.iter().any(|n| *n > 64) {
            self.fault(from, code!("odd-tuplet"), "a tuplet has at most 64 notes", "a triplet is (3 before its notes");
            return Kind::Blank;
        }
        let [p, q, r] = parts.map(|n| u32::try_from(n).unwrap_or(0));
        Kind::Tuplet { p, q, r }
    }
    fn text(&mut self) -> Option<Kind> {
        let from = self.at;
        let mut end = from + 1;
        while end < self.chars.len() && self.chars[end] != '"' {
            // `\"u` is a letter with two dots, not the end.
            let accent = self.chars[end] == '\\'
                && self.chars.get(end + 1) == Some(&'"')
                && self.chars.get(end + 2).is_some_and(|c| "AEIOUYaeiouy".contains(*c))
                && self.chars[end + 2..].contains(&'"');
            end += if accent { 3 } else { 1 };
        }
        if end >= self.chars.len() {
            // What belongs to the text is a guess: up to the next blank or barline.
            self.skip(|c| !matches!(c, ' ' | '|'));
            self.fault(from, code!("quote-not-closed"), "a quotation mark is not closed", "write \" after the text");
            return None;
        }
        self.at = end + 1;
        let text: String = self.chars[from + 1..end].iter().collect();
        Some(Kind::Text(super::text::decode(&text)))
    }
    /// A decoration's name up to the next mark; `None` (and one character taken) if the mark stands alone (§12.2).
    fn decoration(&mut self, mark: char) -> Option<Kind> {
        let from = self.at;
        self.at += 1;
        let end = self.chars[self.at..]
            .iter()
            .take(40)
            .position(|c| *c == mark || matches!(c, '|' | '[' | ':' | ']' | ' '))
            .map(|n| self.at + n)
            .filter(|end| self.chars[*end] == mark && *end > from + 1)?;
        let name = self.chars[self.at..end].iter().collect();
        self.at = end + 1;
        Some(Kind::Decoration(name))
    }
}
