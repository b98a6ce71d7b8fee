//! Signs that look like others on the screen and are not the same to YAML: blanks that are none, dashes for hyphens, a hyphen
//! without its blank; and a bracket that is left open lines before anything goes wrong.
//!
//! Takes the place of a parser's complaint and the file's lines; says what most likely led there, or nothing.

use crate::diag::{Place, Sink};

/// So many lines before the place of a complaint are looked at: the parser notices late.
const NEAR: u32 = 4;
/// So many where a bracket may stand open.
const FAR: u32 = 100;

/// Message and hint about brackets.
pub(super) const OPEN_BRACKET: (&str, &str) = (
    "a bracket is not closed, or a comma is missing between two values",
    "`[` needs its `]` and `{` its `}`, with commas between the values",
);
/// The column of the last bracket on a line that is not closed on it.
pub(super) fn open_bracket(line: &str) -> Option<u32> {
    let mut open = Vec::new();
    let mut quote = None;
    let mut before = ' ';
    for (column, c) in (1u32..).zip(line.chars()) {
        match (quote, c) {
            (Some(end), c) if end == c => quote = None,
            (Some(_), _) => {}
            (None, '"' | '\'') if !before.is_alphanumeric() => quote = Some(c),
            (None, '#') if before.is_whitespace() => break,
            (None, '[' | '{') => open.push(column),
            (None, ']' | '}') => {
                open.pop();
            }
            _ => {}
        }
        before = c;
    }
    open.last().copied()
}

/// The lines from the one of a place upwards, with their numbers, and the one below it.
fn nearby<'l>(place: Place, lines: &'l [&str], most: u32) -> impl Iterator<Item = (u32, &'l str)> {
    let first = place.line.saturating_sub(most).max(1);
    (first..=place.line).rev().filter_map(|number| Some((number, *lines.get(number as usize - 1)?)))
}

fn count(text: &str) -> u32 {
    u32::try_from(text.chars().count()).unwrap_or(0)
}

/// A blank that is no plain one and no tab.
pub(super) fn is_odd_blank(c: char) -> bool {
    (c.is_whitespace() && !matches!(c, ' ' | '\t' | '\r' | '\n')) || matches!(c, '\u{200b}' | '\u{feff}')
}

/// Complains of a blank that YAML takes for a letter.
pub(super) fn odd_blank(place: Place, c: char, sink: &mut Sink) {
    let name = if matches!(c, '\u{a0}' | '\u{202f}') { "a no-break space" } else { "a blank of another kind" };
    let message = format!("{name} (U+{:04X}) stands here, which YAML takes for a letter", u32::from(c));
    let hint = "type a plain space in its place; it may have come in by copying from a web page or a PDF";
    sink.error(code!("odd-blank"), Some(place), message).hints.push(hint.into());
}

/// Says which sign near a place only looks right; `false` where none does.
pub(super) fn look_alike(place: Place, lines: &[&str], sink: &mut Sink) -> bool {
    nearby(place, lines, NEAR).any(|(number, line)| in_line(Place { line: number, width: 1, ..place }, line, sink))
}

fn in_line(place: Place, line: &str, sink: &mut Sink) -> bool {
    let at = |before: &str| Place { column: count(before) + 1, ..place };
    let content = line.trim_start_matches(|c: char| c.is_whitespace() || is_odd_blank(c));
    let indent = &line[..line.len() - content.len()];
    if let Some((start, c)) = indent.char_indices().find(|(_, c)| is_odd_blank(*c)) {
        odd_blank(at(&line[..start]), c, sink);
        return true;
    }
    let after_mark = |mark: char| content.strip_prefix(mark).filter(|rest| rest.starts_with(char::is_whitespace));
    if let Some(dash) =
        ['\u{2013}', '\u{2014}', '\u{2212}', '\u{2022}'].into_iter().find(|dash| after_mark(*dash).is_some())
    {
        let message = format!("`{dash}` is no hyphen: an entry of a list begins with `-`");
        let hint = "type the hyphen of the keyboard; word processors make dashes and bullets of it";
        sink.error(code!("odd-dash"), Some(at(indent)), message).hints.push(hint.into());
        return true;
    }
    let (item, rest) = match content.strip_prefix('-') {
        Some(rest) if !rest.starts_with(['-', ' ']) => (true, rest),
        Some(rest) => (false, rest.trim_start_matches(' ')),
        None => (false, content),
    };
    let key = rest.len() - rest.trim_start_matches(|c: char| c.is_ascii_lowercase() || c == '-').len();
    let Some(value) = rest[key..].strip_prefix(':').filter(|_| key > 0) else { return false };
    if item && (value.is_empty() || value.starts_with(' ')) {
        let message = "a blank is missing after this hyphen, so it is a part of the key";
        let hint = format!("write `- {}:`", &rest[..key]);
        sink.error(code!("odd-dash"), Some(at(indent)), message).hints.push(hint);
        return true;
    }
    let start = &line[..line.len() - value.len()];
    match value.chars().next() {
        Some('\t') => {
            sink.error(code!("tab"), Some(at(start)), "a tab follows this colon; YAML wants a space there")
                .hints
                .push("replace the tab by a space, and set the editor to insert spaces".into());
            true
        }
        Some(c) if is_odd_blank(c) => {
            odd_blank(at(start), c, sink);
            true
        }
        _ => false,
    }
}

/// A bracket that a key or an entry of a list opens above a place and that no line from there on closes.
pub(super) fn left_open(place: Place, lines: &[&str], sink: &mut Sink) -> bool {
    let found = nearby(place, lines, FAR).find_map(|(number, line)| {
        let column = open_bracket(line)?;
        // Music and words have brackets of their own.
        let before: String = line.chars().take(column as usize - 1).collect();
        let before = before.trim_start();
        let opens = before.trim_end().ends_with(':') || before.starts_with("- ");
        let depth = |line: &&str| {
            let count = |marks: [char; 2]| i64::try_from(line.matches(marks).count()).unwrap_or(0);
            count(['[', '{']) - count([']', '}'])
        };
        let below = lines.get(number as usize..place.line as usize).unwrap_or_default();
        (opens && below.iter().map(depth).sum::<i64>() >= 0).then_some(Place {
            line: number,
            column,
            width: 1,
            ..place
        })
    });
    let Some(at) = found else { return false };
    sink.error(code!("open-bracket"), Some(at), OPEN_BRACKET.0).hints.push(OPEN_BRACKET.1.into());
    true
}

/// What to do about a value that begins with an apostrophe and is no quoted text: `title: 'Tis the Jug`.
pub(super) fn apostrophe(place: Place, line: &str) -> Option<String> {
    let before: String = line.chars().take(place.column as usize - 1).collect();
    let value = line[before.len()..].trim_end();
    let key = before.trim().trim_start_matches("- ").strip_suffix(':')?;
    let is_open = value.starts_with('\'') && value[1..].starts_with(char::is_alphabetic);
    let inner = &value[1..];
    (is_open && !inner.ends_with('\'') && !value.contains(['"', '\\']))
        .then(|| format!("put the whole value in double quotes: `{key}: \"{value}\"`"))
}
