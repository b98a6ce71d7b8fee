//! What goes wrong when people write YAML by hand, each with a message of its own: takes lines and the parser's complaint,
//! gives words that an author understands. Knows nothing of the book format.

use super::node::{Node, ScalarStyle, Value};
use super::slips::{self, OPEN_BRACKET, open_bracket};
use crate::diag::{FileId, Place, Sink};

/// Looks at the text before it is parsed; true when parsing makes no sense.
pub fn before(file: FileId, text: &str, sink: &mut Sink) -> bool {
    let mut found = false;
    for (nth, line) in (1u32..).zip(text.split('\n')) {
        if line.starts_with('\t') && !line.trim().is_empty() {
            tab(Place::new(file, nth, 1), sink);
            found = true;
        }
        if let Some(blank) = line.chars().next().filter(|c| slips::is_odd_blank(*c) && !(nth == 1 && *c == '\u{feff}'))
        {
            slips::odd_blank(Place::new(file, nth, 1), blank, sink);
            found = true;
        }
        if let Some(column) = line.chars().position(is_control) {
            control(Place::new(file, nth, u32::try_from(column).unwrap_or(0) + 1), sink);
            return true;
        }
    }
    found
}

/// Whether a character has no business in a text; line ends are none here.
pub fn is_control(c: char) -> bool {
    c.is_control() && !matches!(c, '\t' | '\r' | '\u{85}')
}

/// Complains of a control character.
pub fn control(place: Place, sink: &mut Sink) {
    sink.error(code!("control-character"), Some(place), "there is an invisible control character here")
        .hints
        .push("delete it; it may have come in by copying from another program".into());
}

/// Message and hint about the lines of a block.
const BLOCK_INDENT: (&str, &str) = (
    "this block of text is not indented evenly",
    "indent every line of a `|` block by the same number of spaces, more than its key",
);

fn tab(place: Place, sink: &mut Sink) {
    sink.error(code!("tab"), Some(place), "this line is indented with a tab; YAML takes spaces only")
        .hints
        .push("replace the tab by two spaces a level, and set the editor to insert spaces".into());
}

/// An alias instead of a value.
pub fn alias(place: Place, sink: &mut Sink) {
    sink.error(
        code!("alias"),
        Some(place),
        "`*` at the start of a value makes it an alias, which book files don't use",
    )
    .hints
    .push("put the value in quotes if the `*` belongs to it".into());
}

/// Says a parser's complaint in an author's words.
pub fn parser(place: Place, info: &str, lines: &[&str], sink: &mut Sink) {
    if slips::look_alike(place, lines, sink) {
        return;
    }
    let line = |number: u32| lines.get(number.saturating_sub(1) as usize).copied().unwrap_or("");
    // The parser often notices on the next line, or at the end of the file, what went wrong before.
    let written = (1..=place.line).rev().find(|n| !line(*n).trim().is_empty()).unwrap_or(place.line);
    let nearby = [place.line, written, place.line + 1, written.saturating_sub(1).max(1)];
    let tabbed = |n: &u32| line(*n).chars().take_while(|c| c.is_whitespace()).any(|c| c == '\t');
    if info.contains("tab")
        && let Some(n) = nearby.iter().copied().find(|n| line(*n).contains('\t'))
    {
        let column = line(n).chars().position(|c| c == '\t').unwrap_or(0);
        return tab(Place { line: n, column: u32::try_from(column).unwrap_or(0) + 1, ..place }, sink);
    }
    if let Some(n) = nearby.iter().copied().find(tabbed) {
        let column = line(n).chars().position(|c| c == '\t').unwrap_or(0);
        return tab(Place { line: n, column: u32::try_from(column).unwrap_or(0) + 1, ..place }, sink);
    }
    if info.contains("unknown anchor") {
        return alias(place, sink);
    }
    if let Some(at) = uneven_block(place, lines) {
        sink.error(code!("block-indent"), Some(at), BLOCK_INDENT.0).hints.push(BLOCK_INDENT.1.into());
        return;
    }
    if info.contains("mapping values are not allowed") || info.contains("illegal placement of ':'") {
        let above = (1..place.line).rev().find(|n| !line(*n).trim().is_empty());
        if let Some(at) = above.and_then(|n| Some(Place { line: n, column: open_bracket(line(n))?, width: 1, ..place }))
        {
            sink.error(code!("open-bracket"), Some(at), OPEN_BRACKET.0).hints.push(OPEN_BRACKET.1.into());
            return;
        }
    }
    if info.contains("mapping values are not allowed") || info.contains("illegal placement of ':'") {
        return colon(place, lines, sink);
    }
    if info.contains("unexpected character") || info.contains("cannot start any token") {
        return reserved(place, line(place.line), sink);
    }
    for n in nearby {
        if let Some(column) = cut_in_brackets(line(n)) {
            let place = Place { line: n, column, width: 1, ..place };
            sink.error(
                code!("hash-cut"),
                Some(place),
                "everything after this `#` is a comment, so the bracket is never closed",
            )
            .hints
            .push("write a sharp right after its letter (`F#`), or put the value in quotes".into());
            return;
        }
    }
    other(place, info, lines, written, sink);
}

/// `title: Waltz: the second`; or a line that is indented too far, which YAML takes for more of the value above it.
fn colon(place: Place, lines: &[&str], sink: &mut Sink) {
    let numbered = |number: u32| lines.get(number.saturating_sub(1) as usize).copied().unwrap_or("");
    let (line, next) = (numbered(place.line), numbered(place.line + 1));
    let indent = |line: &str| line.chars().take_while(|c| *c == ' ').count();
    let written = line.trim_end();
    let last = written.strip_suffix(':').filter(|before| before.contains(": ")).map(str::len);
    let inner = line.match_indices(": ").nth(1).map(|(at, _)| at).or(last);
    let inner = inner.map(|at| line[..at].chars().count() + 1);
    if let Some(column) = inner.and_then(|column| u32::try_from(column).ok()) {
        let value = line.split_once(": ").map_or("", |(_, value)| value.trim());
        let start = line.len() - line.trim_end().len() + value.len();
        let at = line[..line.len() - start].chars().count() + 1;
        let at = Place { column: u32::try_from(at).unwrap_or(1), width: width(value), ..place };
        if curly(value, at, sink) {
            return;
        }
        sink.error(
            code!("colon-in-value"),
            Some(Place { column, width: 1, ..place }),
            "a colon inside a value without quotes",
        )
        .hints
        .push(quoted(line));
        return;
    }
    let goes_on = indent(next) > indent(line) && next.contains(':');
    let column = u32::try_from(indent(if goes_on { next } else { line })).unwrap_or(0) + 1;
    let place = Place { line: place.line + u32::from(goes_on), column, width: 1, ..place };
    sink.error(code!("indent"), Some(place), "this line does not fit the one above it").hints.push(
        if in_text(place, lines) {
            TEXT_BLOCK.into()
        } else {
            "keys of one map start in the same column; is the line above complete?".into()
        },
    );
}

/// Advice to put a line's value in quotes, with that very line where it can be shown.
fn quoted(line: &str) -> String {
    const LONGEST: usize = 60;
    let line = line.trim().trim_start_matches("- ");
    let (key, value) = line.split_once(": ").unwrap_or((line, ""));
    let is_plain = key.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'-');
    if is_plain && !value.contains(['"', '\\', '#']) && line.chars().count() <= LONGEST {
        return format!("put the whole value in double quotes: `{key}: \"{}\"`", value.trim());
    }
    "put the whole value in double quotes: `title: \"Waltz: the second\"`".to_owned()
}

/// Keys whose values are texts of several lines, and what to do when their lines are taken for keys.
const TEXTS: [&str; 4] = ["music", "commentary", "teacher-notes", "text"];
const TEXT_BLOCK: &str =
    "a text of several lines begins with `|` after its key, and its lines are indented, as in `music: |`";

/// Whether the nearest key above a place is that of a text.
fn in_text(place: Place, lines: &[&str]) -> bool {
    const FAR: usize = 200;
    let above = &lines[..(place.line as usize).min(lines.len())];
    let key = above.iter().rev().take(FAR).find_map(|line| {
        let (key, rest) = line.trim().trim_start_matches("- ").split_once(':')?;
        let is_word = key.len() > 1 && key.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'-');
        (is_word && (rest.is_empty() || rest.starts_with(' '))).then_some((key, rest.trim()))
    });
    key.is_some_and(|(key, rest)| TEXTS.contains(&key) && (rest.is_empty() || rest.starts_with('|')))
}

/// `title: @home`, or a backtick.
fn reserved(place: Place, line: &str, sink: &mut Sink) {
    let start = (place.column.saturating_sub(1)) as usize;
    let character = line.chars().nth(start).unwrap_or('@');
    sink.error(code!("reserved-character"), Some(place), format!("a value can't start with `{character}`"))
        .hints
        .push("put the value in double quotes".into());
}

/// The column of a `#` that starts a comment while a bracket is open on that line.
fn cut_in_brackets(line: &str) -> Option<u32> {
    let mut depth = 0i32;
    let mut quote = None;
    let mut before = ' ';
    for (column, c) in (1u32..).zip(line.chars()) {
        match (quote, c) {
            (Some(open), c) if open == c => quote = None,
            (Some(_), _) => {}
            (None, '"' | '\'') if !before.is_alphanumeric() => quote = Some(c),
            (None, '[' | '{') => depth += 1,
            (None, ']' | '}') => depth -= 1,
            (None, '#') if before.is_whitespace() => return (depth > 0).then_some(column),
            _ => {}
        }
        before = c;
    }
    None
}

/// The nearest line above, this one included, on which a bracket stays open.
fn unclosed(place: Place, lines: &[&str]) -> Option<Place> {
    const FAR: u32 = 200;
    (place.line.saturating_sub(FAR).max(1)..=place.line).rev().find_map(|line| {
        let column = open_bracket(lines.get(line as usize - 1)?)?;
        Some(Place { line, column, width: 1, ..place })
    })
}

/// The line itself or the last one before it that is written on, if it looks like a key that lacks its colon.
fn without_colon(place: Place, lines: &[&str]) -> Option<Place> {
    let line = |number: u32| lines.get(number.checked_sub(1)? as usize).copied();
    let above = (1..place.line).rev().find(|n| line(*n).is_some_and(|line| !line.trim().is_empty()));
    [Some(place.line), above].into_iter().flatten().find_map(|number| {
        let text = line(number)?;
        let trimmed = text.trim();
        let other = trimmed.is_empty() || trimmed.starts_with(['#', '-', '[', '{', ']', '}', '"', '\'', '|']);
        let has_colon = trimmed.contains(": ") || trimmed.ends_with(':');
        let column = u32::try_from(text.chars().take_while(|c| c.is_whitespace()).count()).unwrap_or(0) + 1;
        (!other && !has_colon).then_some(Place { line: number, column, width: width(trimmed), ..place })
    })
}

/// Everything else that the parser refuses.
fn other(place: Place, info: &str, lines: &[&str], line: u32, sink: &mut Sink) {
    let written = lines.get(line as usize - 1).copied().unwrap_or("");
    let mut at = Place { line, column: place.column.min(width(written)), ..place };
    let (code, message, hint) = if info.contains("escape") || info.contains("hexadecimal") {
        (
            code!("wrong-value"),
            "a backslash in these double quotes stands before what it can't stand before, or names a sign there is none of",
            "write `\\\\` for a backslash itself, or the sign itself",
        )
    } else if info.contains("quoted scalar") {
        (
            code!("open-quote"),
            "a quotation mark is opened and not closed, or text follows the closing one",
            "quotes come in pairs; inside double quotes write `\\\"` for a quotation mark",
        )
    } else if info.contains("flow") || info.contains("bracket") || info.contains("',' or") {
        (code!("open-bracket"), OPEN_BRACKET.0, OPEN_BRACKET.1)
    } else if info.contains("block scalar") {
        (code!("block-indent"), BLOCK_INDENT.0, BLOCK_INDENT.1)
    } else {
        (
            code!("indent"),
            "this line does not fit the ones above it",
            "keys of one map start in the same column, and each has a colon and a space after it",
        )
    };
    if code == code!("indent") && slips::left_open(at, lines, sink) {
        return;
    }
    if code == code!("open-quote")
        && let Some(hint) = slips::apostrophe(place, lines.get(place.line as usize - 1).copied().unwrap_or(""))
    {
        sink.error(code, Some(at), message).hints.push(hint);
        return;
    }
    if code == code!("open-bracket") {
        at = unclosed(at, lines).unwrap_or(at);
    }
    if code == code!("indent")
        && let Some(at) = without_colon(at, lines)
    {
        sink.error(code!("no-colon"), Some(at), "this line has no colon with a space after it, so it is no key")
            .hints
            .push(if in_text(at, lines) { TEXT_BLOCK.into() } else { "write `key: value`".into() });
        return;
    }
    let hint = if code == code!("indent") && in_text(at, lines) { TEXT_BLOCK } else { hint };
    sink.error(code, Some(at), message).hints.push(hint.into());
}

/// Where a line of a `|` block stands further left than the block's first line and is no key either: the place of that line.
fn uneven_block(place: Place, lines: &[&str]) -> Option<Place> {
    const FAR: usize = 200;
    let indent = |line: &str| line.chars().take_while(|c| *c == ' ').count();
    let at = (place.line as usize).min(lines.len());
    for number in (at.saturating_sub(1).max(1)..=at).rev() {
        let line = lines.get(number - 1)?;
        let own = indent(line);
        if line.trim().is_empty() || own == 0 {
            continue;
        }
        let above = lines[number.saturating_sub(FAR).max(1) - 1..number - 1].iter().rev();
        let mut first = None;
        for before in above.filter(|line| !line.trim().is_empty()) {
            let deeper = indent(before);
            if deeper > own {
                first = Some(deeper);
            } else {
                let opens = before.trim_end().ends_with(['|', '>']) && before.contains(':');
                if first.is_some() && opens && deeper < own {
                    let (line, column) = (u32::try_from(number).ok()?, u32::try_from(own).ok()? + 1);
                    return Some(Place { line, column, width: width(lines[number - 1].trim()), ..place });
                }
                break;
            }
        }
    }
    None
}

fn width(line: &str) -> u32 {
    u32::try_from(line.chars().count()).unwrap_or(1).max(1)
}

/// Complains about texts that YAML reads otherwise than they look: a `#` that cuts them, curly quotes around them. `lines`
/// is the file's text.
pub fn readable(node: &Node, lines: &[&str], sink: &mut Sink) {
    Looking { lines, line: 0, column: 0, rest: "", sink }.node(node);
}

/// Walks over the values in the file's order with a cursor, so that a line of a million values is passed once.
struct Looking<'a> {
    lines: &'a [&'a str],
    line: u32,
    /// 0-based, in characters.
    column: u32,
    /// The line from there on.
    rest: &'a str,
    sink: &'a mut Sink,
}

impl<'a> Looking<'a> {
    fn node(&mut self, node: &Node) {
        match &node.value {
            Value::List(items) => items.iter().for_each(|item| self.node(item)),
            Value::Map(entries) => entries.iter().for_each(|entry| self.node(&entry.value)),
            Value::Scalar(scalar) if scalar.style == ScalarStyle::Plain => {
                curly(&scalar.text, node.place, self.sink);
                self.cut(node.place, scalar.text.is_empty());
            }
            Value::Scalar(_) => {}
        }
    }

    /// What stands on the line after a place.
    fn after(&mut self, place: Place) -> &'a str {
        let column = place.column - 1 + place.width;
        if self.line != place.line || self.column > column {
            self.line = place.line;
            self.column = 0;
            self.rest = self.lines.get(place.line.saturating_sub(1) as usize).copied().unwrap_or("");
        }
        let skipped = (column - self.column) as usize;
        let at = self.rest.char_indices().nth(skipped).map_or(self.rest.len(), |(at, _)| at);
        self.rest = &self.rest[at..];
        self.column = column;
        self.rest
    }

    /// A plain value followed by ` #` and no space: more likely a sharp or a number than a comment. Where nothing is written
    /// the place is that of the key, and its colon follows.
    fn cut(&mut self, place: Place, empty: bool) {
        let rest = self.after(place);
        let colon = usize::from(empty && rest.starts_with(':'));
        let rest = &rest[colon..];
        let blank = rest.chars().take_while(|c| matches!(c, ' ' | '\t')).count();
        let mut found = rest.chars().skip(blank);
        let glued = |c: char| !c.is_whitespace() && c != '#';
        if blank > 0 && found.next() == Some('#') && found.next().is_some_and(glued) {
            let column = place.column + place.width + u32::try_from(colon + blank).unwrap_or(0);
            let place = Place { column, width: 1, ..place };
            self.sink
                .error(code!("hash-cut"), Some(place), "this `#` cuts the value: the rest of the line is a comment")
                .hints
                .push("put the whole value in quotes; if it is a comment, put a space after the `#`".into());
        }
    }
}

/// Complains of curly quotes around a value; whether there are any.
fn curly(text: &str, place: Place, sink: &mut Sink) -> bool {
    let opens = text.starts_with(['\u{201c}', '\u{201e}', '\u{201d}']);
    let single = text.starts_with(['\u{2018}', '\u{201a}']) && text.ends_with(['\u{2019}', '\u{2018}']);
    if opens || single {
        sink.error(
            code!("curly-quotes"),
            Some(place),
            "these curly quotes are no quotes to YAML: they would be printed",
        )
        .hints
        .push(
            "use straight quotes \" around the value; for curly ones in print, write them inside straight ones".into(),
        );
    }
    opens || single
}
