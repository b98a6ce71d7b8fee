//! The lines of a tune into fields, directives and lines of music code, with continuations joined and comments dropped.
//!
//! Source: ABC 2.1 §2.2.6 and §6.1.1 (continuation), §3 (fields), §8.1 (comments), §11 (directives).

use crate::diag::{Excerpt, Place};
use crate::reader::complaints::Complaints;

/// A field goes on over at most so many lines.
const MOST_JOINS: usize = 1000;

/// A line as it stands in a text, without its end and trailing blanks.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line<'a> {
    pub text: &'a str,
    pub from: &'a Excerpt,
    /// 0-based line of `from`.
    pub number: usize,
    /// 0-based column of its first character.
    pub column: usize,
}

impl<'a> Line<'a> {
    /// The place of a character (0-based) of the line.
    pub fn place(&self, column: usize) -> Place {
        self.from.place(self.number, self.column + column)
    }
    /// Its letter and text if it is a field.
    pub fn field(&self) -> Option<(char, &'a str)> {
        let bytes = self.text.as_bytes();
        let letter = *bytes.first()?;
        let field = bytes.get(1) == Some(&b':') && (letter.is_ascii_alphabetic() || letter == b'+');
        field.then(|| (letter as char, &self.text[2..]))
    }
}

/// A field or directive.
#[derive(Debug, Clone)]
pub(super) struct Field<'a> {
    pub letter: char,
    /// Its text, trimmed, comment dropped, escapes still in it.
    pub text: String,
    pub line: Line<'a>,
    /// 0-based column of the text in its line.
    pub column: usize,
    /// Where a continuation's text begins: index of the character in `text`, its line, its column there.
    pub joins: Vec<(usize, Line<'a>, usize)>,
}

impl Field<'_> {
    /// The place of a character (0-based) of the text.
    pub fn place(&self, at: usize) -> Place {
        match self.joins.iter().rev().find(|(start, ..)| *start <= at) {
            Some((start, line, column)) => line.place(column + at - start),
            None => self.line.place(self.column + at),
        }
    }
}

/// One line of music code: its characters, and where they stand.
#[derive(Debug, Clone, Default)]
pub(super) struct Code<'a> {
    pub chars: Vec<char>,
    spans: Vec<Span<'a>>,
    /// Whether the next line of music goes on from here (a backslash at the end).
    pub goes_on: bool,
}

#[derive(Debug, Clone, Copy)]
struct Span<'a> {
    start: usize,
    line: Line<'a>,
    column: usize,
    /// Whether all characters stand at one place (they come from a macro).
    fixed: bool,
}

impl<'a> Code<'a> {
    /// Music code that begins with a line's text.
    pub fn of(line: Line<'a>, text: &str) -> Self {
        let mut code = Self::default();
        code.join(line, text);
        code
    }
    fn join(&mut self, line: Line<'a>, text: &str) {
        self.spans.push(Span { start: self.chars.len(), line, column: 0, fixed: false });
        self.chars.extend(text.chars().map(|c| if c == '\t' { ' ' } else { c }));
    }
    /// Adds characters that stand where character `at` of `other` stands.
    pub fn copy(&mut self, other: &Code<'a>, at: usize, text: impl Iterator<Item = char>, fixed: bool) {
        if let Some(span) = other.span(at) {
            let column = if span.fixed { span.column } else { span.column + at - span.start };
            self.spans.push(Span { start: self.chars.len(), line: span.line, column, fixed });
        }
        self.chars.extend(text);
    }
    fn span(&self, at: usize) -> Option<&Span<'a>> {
        let after = self.spans.partition_point(|span| span.start <= at);
        self.spans.get(after.checked_sub(1)?)
    }
    /// The place of `width` characters from `at` on.
    pub fn place(&self, at: usize, width: usize) -> Place {
        let span = self.span(at).expect("music code has at least one line");
        let column = if span.fixed { span.column } else { span.column + at - span.start };
        let width = if span.fixed { 1 } else { u32::try_from(width.max(1)).unwrap_or(1) };
        span.line.place(column).wide(width)
    }
}

/// A part of a tune, in order.
#[derive(Debug)]
pub(super) enum Item<'a> {
    /// A field; directives are fields of the letter `I`.
    Field(Field<'a>),
    /// A line of music.
    Music(Code<'a>),
}

/// A text without its comment; `\%` is kept for the text decoder.
fn without_comment(text: &str) -> &str {
    let bytes = text.as_bytes();
    let mut from = 0;
    while let Some(at) = bytes[from..].iter().position(|b| *b == b'%').map(|at| at + from) {
        // `\%` is a sign, `\\%` an escaped backslash and a comment.
        if bytes[..at].iter().rev().take_while(|byte| **byte == b'\\').count() % 2 == 0 {
            return text[..at].trim_end_matches([' ', '\t']);
        }
        from = at + 1;
    }
    text
}

/// Letters that begin a field inside a tune's body (§3): the others are notes, rests or spacers there.
fn body_letter(letter: char) -> bool {
    matches!(letter, 'H'..='W' | 'h'..='w')
}

/// The items of a tune (or of a file header: `body` never begins then).
pub(super) fn items<'a>(lines: &[Line<'a>], has_body: bool, complaints: &mut Complaints) -> Vec<Item<'a>> {
    let mut reader = Reader { items: Vec::new(), in_body: false, music_open: false, join_to: None };
    // A fragment may begin with music at once (§2.3.1).
    let fragment = has_body && !lines.iter().any(|l| l.text.starts_with("X:") || l.text.starts_with("K:"));
    // A header goes on to its K: (§2.2.1); only where none comes may music begin before it.
    let key = lines.iter().rposition(|l| l.text.starts_with("K:")).unwrap_or(0);
    for (nth, line) in lines.iter().enumerate() {
        if let Some(directive) = line.text.strip_prefix("%%") {
            let column = 2 + directive.len() - directive.trim_start().len();
            let text = without_comment(directive.trim_start()).to_owned();
            reader.push(Item::Field(Field { letter: 'I', text, line: *line, column, joins: Vec::new() }));
        } else if line.text.trim_start().starts_with('%') {
            continue;
        } else if let Some((letter, text)) = line.field().filter(|(l, t)| reader.is_field(*l, t)) {
            reader.field(*line, letter, text, complaints);
        } else if reader.in_body && is_words(line.text) {
            let hint =
                "begin it with `%` to keep it out; words to be sung begin with `w:`, words below the tune with `W:`";
            complaints.fault(code!("words-in-music"), line.place(0), "this line is words, and no music", hint);
        } else if reader.in_body || fragment || (has_body && nth >= key && starts_music_early(line.text, &reader)) {
            reader.in_body = true;
            reader.music(*line);
        } else {
            reader.stray(*line, complaints);
        }
    }
    reader.items
}

/// Whether a line of music is plainly a line of words: no barline, and several words that are more than names of notes.
fn is_words(text: &str) -> bool {
    if text.contains(['|', '"', '!', '[']) {
        return false;
    }
    let is_word = |word: &&str| {
        let word = word.trim_matches(|c: char| c.is_ascii_punctuation());
        let others = word.chars().filter(|c| !matches!(c, 'A'..='G' | 'a'..='g' | 'x'..='z' | 'X' | 'Z')).count();
        word.chars().count() >= 3
            && others >= 2
            && word.chars().all(|c| c.is_alphabetic() || matches!(c, '\'' | '’' | '-'))
    };
    text.split_whitespace().filter(is_word).count() >= 2
}

/// Old files leave the key out; a line of bars is music all the same.
fn starts_music_early(text: &str, reader: &Reader) -> bool {
    text.contains('|') && !matches!(reader.items.last(), Some(Item::Field(Field { letter: 'H' | 'N', .. })))
}

struct Reader<'a> {
    items: Vec<Item<'a>>,
    in_body: bool,
    /// Whether the last item is music that goes on in the next line.
    music_open: bool,
    /// Index of the field that a `+:` line continues.
    join_to: Option<usize>,
}

impl<'a> Reader<'a> {
    fn push(&mut self, item: Item<'a>) {
        self.items.push(item);
        self.music_open = false;
    }
    fn is_field(&self, letter: char, text: &str) -> bool {
        if !self.in_body || letter == '+' || body_letter(letter) {
            return true;
        }
        // Not a field of the body, but not music either: `Z: someone`, `X:2`; `C:|` is a note and a barline.
        !text.starts_with(['|', ':', ']']) && !matches!(letter, 'z' | 'x')
    }
    fn field(&mut self, line: Line<'a>, letter: char, text: &str, complaints: &mut Complaints) {
        let cut = without_comment(text);
        let trimmed = cut.trim_start_matches([' ', '\t']);
        let column = 2 + cut.chars().count() - trimmed.chars().count();
        if letter == '+' {
            self.go_on(line, column, trimmed, complaints);
            return;
        }
        if self.in_body && !body_letter(letter) {
            let hint = "put it before K:, or leave an empty line before the next tune";
            complaints.warn(
                code!("field-out-of-place"),
                line.place(0),
                format!("a line `{letter}:` can't stand inside a tune"),
                hint,
            );
            return;
        }
        let mut text = trimmed.to_owned();
        let continues = text.ends_with('\\') && !text.ends_with("\\\\");
        if continues {
            text.pop();
        }
        let earlier = self.join_to.filter(|at| self.music_open_field(*at, letter) && *at + 1 == self.items.len());
        if let Some(at) = earlier {
            self.append(at, line, column, (&text, continues), complaints);
            return;
        }
        self.items.push(Item::Field(Field { letter, text, line, column, joins: Vec::new() }));
        self.join_to = Some(self.items.len() - 1);
        if continues && let Some(Item::Field(field)) = self.items.last_mut() {
            field.joins.push((usize::MAX, line, 0));
        }
        if letter == 'K' {
            self.in_body = true;
        }
    }
    /// Whether the field at an index ended in a backslash and has this letter (the old way to continue, §10).
    fn music_open_field(&self, at: usize, letter: char) -> bool {
        matches!(&self.items[at], Item::Field(f) if f.letter == letter && f.joins.last().is_some_and(|j| j.0 == usize::MAX))
    }
    fn append(
        &mut self,
        at: usize,
        line: Line<'a>,
        column: usize,
        (text, continues): (&str, bool),
        complaints: &mut Complaints,
    ) {
        let Item::Field(field) = &mut self.items[at] else { return };
        // Only the last join can be the mark of a backslash.
        field.joins.pop_if(|join| join.0 == usize::MAX);
        if field.joins.len() >= MOST_JOINS {
            let message = format!("a field goes on over at most {MOST_JOINS} lines; the rest of this one is left out");
            complaints.warn_once("", code!("too-many-joins"), line.place(0), message, "say it in the commentary");
            return;
        }
        field.text.push(' ');
        field.joins.push((field.text.chars().count(), line, column));
        field.text.push_str(text);
        if continues {
            field.joins.push((usize::MAX, line, 0));
        }
    }
    fn go_on(&mut self, line: Line<'a>, column: usize, text: &str, complaints: &mut Complaints) {
        match self.join_to {
            Some(at) => self.append(at, line, column, (text, false), complaints),
            None => complaints.warn(
                code!("nothing-to-continue"),
                line.place(0),
                "there is no field above that +: could continue",
                "write it below the field it continues",
            ),
        }
    }
    fn music(&mut self, line: Line<'a>) {
        let text = without_comment(line.text);
        let goes_on = text.ends_with('\\');
        let text = text.strip_suffix('\\').unwrap_or(text);
        if self.music_open
            && let Some(Item::Music(code)) = self.items.last_mut()
            && code.chars.len() < super::MOST_LINE
        {
            code.join(line, text);
            code.goes_on = goes_on;
        } else {
            let mut code = Code::of(line, text);
            code.goes_on = goes_on;
            self.items.push(Item::Music(code));
        }
        self.music_open = goes_on;
        self.join_to = None;
    }
    fn stray(&mut self, line: Line<'a>, complaints: &mut Complaints) {
        // An old H: runs on until the next field (§10).
        if let Some(Item::Field(Field { letter: 'H', .. })) = self.items.last() {
            let at = self.items.len() - 1;
            self.append(at, line, 0, (without_comment(line.text).trim_start(), false), complaints);
        } else {
            let hint = "every line before the music begins with a letter and a colon, K: last";
            let message = "this line is no field and stands before the music";
            if line.text.contains('|') {
                // Bars that are not read are a fault, words are not.
                complaints.fault(code!("stray-line"), line.place(0), message, hint);
            } else {
                complaints.warn(code!("stray-line"), line.place(0), message, hint);
            }
        }
    }
}
