//! Complaints for people and for editors: takes a sink and the texts it speaks of, gives text or JSON. Prints nothing
//! itself.
//!
//! For people: errors first, then warnings, alike ones together; each with file, line and column, the line itself with the
//! place marked, and what to do; one line of summary at the end.

use super::json::Complaint;
use crate::diag::{Code, Diagnostic, FileId, Place, Severity, Sink, Sources};
use std::collections::BTreeMap;
use std::fmt::Write;
use std::path::Path;

/// So many warnings of one kind about one file are shown in full; the rest are named by their lines.
const SHOWN_ALIKE: usize = 3;
/// The longest piece of a line that is shown, in characters.
const WIDEST: usize = 100;

/// All complaints as a JSON array for editors, errors first, in the order of their places. Lines and columns are 1-based.
pub fn json(sink: &Sink, sources: &Sources) -> String {
    let all: Vec<Complaint> = sink.sorted().into_iter().map(|item| Complaint::new(item, sources)).collect();
    serde_json::to_string_pretty(&all).expect("complaints are texts and numbers") + "\n"
}

/// The complaints of the book itself, whose edition is null, and of its editions: a JSON array of objects with `edition` and
/// `complaints`, these as [`json`] has them.
pub fn json_of_editions<'a>(told: impl Iterator<Item = (Option<&'a str>, &'a Sink, &'a Sources)>) -> String {
    #[derive(serde::Serialize)]
    struct Told<'a> {
        edition: Option<&'a str>,
        complaints: Vec<Complaint>,
    }
    let told = told.map(|(edition, sink, sources)| Told {
        edition,
        complaints: sink.sorted().into_iter().map(|item| Complaint::new(item, sources)).collect(),
    });
    let all: Vec<Told<'_>> = told.collect();
    serde_json::to_string_pretty(&all).expect("complaints are texts and numbers") + "\n"
}

/// All complaints as text, with colour when `colour` says so; `quiet` leaves warnings and summary out. Empty when there is
/// nothing to say.
pub fn text(sink: &Sink, sources: &Sources, colour: bool, quiet: bool) -> String {
    let mut out = String::new();
    let (errors, warnings): (Vec<_>, Vec<_>) =
        sink.sorted().into_iter().partition(|item| item.severity == Severity::Error);
    let mut finder = Finder::new(sources);
    for item in errors {
        one(item, &mut finder, colour, &mut out);
    }
    more(sink, Severity::Error, &mut out);
    if quiet {
        return out;
    }
    for group in alike(&warnings) {
        for item in group.iter().take(SHOWN_ALIKE) {
            one(item, &mut finder, colour, &mut out);
        }
        if let Some(rest) = group.get(SHOWN_ALIKE..).filter(|rest| !rest.is_empty()) {
            let lines: Vec<String> = rest.iter().filter_map(|i| i.place).map(|p| p.line.to_string()).collect();
            let place = rest[0].place.map_or(String::new(), |place| format!("{}: ", shown(sources.path(place.file))));
            let on = match lines.len() {
                0 => String::new(),
                1 => format!(", on line {}", lines[0]),
                _ => format!(", on lines {}", lines.join(", ")),
            };
            let _ = writeln!(out, "{place}warning[{}]: {} more of the same kind{on}\n", rest[0].code, rest.len());
        }
    }
    more(sink, Severity::Warning, &mut out);
    out.push_str(&summary(sink));
    out
}

/// Errors and warnings in one line; empty when there are none.
pub fn summary(sink: &Sink) -> String {
    let counted = |severity, one: &str| match sink.count(severity) {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {one}s")),
    };
    match (counted(Severity::Error, "error"), counted(Severity::Warning, "warning")) {
        (None, None) => String::new(),
        (Some(errors), None) => format!("{errors}\n"),
        (None, Some(warnings)) => format!("{warnings}\n"),
        (Some(errors), Some(warnings)) => format!("{errors}, {warnings}\n"),
    }
}

fn more(sink: &Sink, severity: Severity, out: &mut String) {
    let count = sink.more(severity);
    if count > 0 {
        let what = if severity == Severity::Error { "errors" } else { "warnings" };
        let _ = writeln!(out, "and {count} more {what}\n");
    }
}

/// Codes of which each message tells of another thing, so that one does not stand for the next.
const EACH_ITS_OWN: [Code; 1] = [code!("not-kept")];

/// Warnings of one kind about one file, in the order of the first of each.
fn alike<'a>(warnings: &[&'a Diagnostic]) -> Vec<Vec<&'a Diagnostic>> {
    let mut groups: Vec<Vec<&Diagnostic>> = Vec::new();
    let mut index = BTreeMap::new();
    for item in warnings {
        let own = EACH_ITS_OWN.contains(&item.code).then_some(item.message.as_str());
        let key = (item.code, own, item.place.map(|place| place.file));
        let nth = *index.entry(key).or_insert_with(|| {
            groups.push(Vec::new());
            groups.len() - 1
        });
        groups[nth].push(item);
    }
    groups
}

fn one(item: &Diagnostic, finder: &mut Finder<'_>, colour: bool, out: &mut String) {
    let (word, ink) = match item.severity {
        Severity::Error => ("error", "1;31"),
        Severity::Warning => ("warning", "1;33"),
    };
    if let Some(place) = item.place {
        let path = shown(finder.sources.path(place.file));
        let _ = write!(out, "{path}:{}:{}: ", place.line, place.column);
    }
    let _ = writeln!(out, "{}: {}", painted(&format!("{word}[{}]", item.code), ink, colour), shown(&item.message));
    if let Some(place) = item.place {
        marked(place, finder, ink, colour, out);
    }
    for hint in &item.hints {
        let _ = writeln!(out, "  {}: {}", painted("hint", "1;36", colour), shown(hint));
    }
    out.push('\n');
}

/// Finds places in texts, each on from the one before where it can: a line may be as long as a file, and have all complaints.
struct Finder<'s> {
    sources: &'s Sources,
    /// The line that was asked for last, the column that was found in it, 1-based, and where it begins in the line.
    file: Option<FileId>,
    line: u32,
    text: &'s str,
    /// What follows the line in its file.
    rest: &'s str,
    column: usize,
    start: usize,
}

/// The piece of a line around a place.
struct Piece<'s> {
    text: &'s str,
    /// Characters of it before the place.
    before: usize,
    /// Whether the line goes on before and after it.
    cut: [bool; 2],
}

impl<'s> Finder<'s> {
    const fn new(sources: &'s Sources) -> Self {
        Self { sources, file: None, line: 0, text: "", rest: "", column: 1, start: 0 }
    }
    fn go_to_line(&mut self, place: Place) {
        if self.file != Some(place.file) || self.line > place.line {
            (self.file, self.line, self.text, self.rest) = (Some(place.file), 0, "", self.sources.text(place.file));
        }
        while self.line < place.line.max(1) {
            let (line, rest) = self.rest.split_once('\n').unwrap_or((self.rest, ""));
            (self.line, self.text, self.rest) = (self.line + 1, line.trim_end_matches('\r'), rest);
            (self.column, self.start) = (1, 0);
        }
    }
    /// The line of a place, or the piece of a long one around it.
    fn piece(&mut self, place: Place) -> Piece<'s> {
        self.go_to_line(place);
        let at = place.column.max(1) as usize;
        if self.column > at {
            (self.column, self.start) = (1, 0);
        }
        let text = self.text;
        let mut steps = text[self.start..].char_indices();
        let steps = steps.by_ref().take(at - self.column);
        let (taken, bytes) = steps.fold((0, 0), |(taken, _), (byte, c)| (taken + 1, byte + c.len_utf8()));
        (self.column, self.start) = (self.column + taken, self.start + bytes);
        let start = self.start;
        // Up to a whole width on either side: how much of it is shown depends on how much there is.
        let after: Vec<usize> = text[start..].char_indices().map(|(byte, _)| start + byte).take(WIDEST + 1).collect();
        let back: Vec<usize> = text[..start].char_indices().rev().map(|(byte, _)| byte).take(WIDEST + 1).collect();
        // A line that is short enough is shown whole; of a longer one, half before the place, more at its end.
        let all = back.len() + after.len();
        let before = if all <= WIDEST {
            back.len()
        } else {
            back.len().min((WIDEST / 2).max(WIDEST.saturating_sub(after.len())))
        };
        let from = before.checked_sub(1).map_or(start, |nth| back[nth]);
        let until = after.get(WIDEST - before).copied().unwrap_or(text.len());
        Piece { text: &text[from..until], before, cut: [from > 0, until < text.len()] }
    }
}

/// The line with a marker under the place. Only a piece of a long line is shown, around the place.
fn marked(place: Place, finder: &mut Finder<'_>, ink: &str, colour: bool, out: &mut String) {
    let Piece { text, before, cut } = finder.piece(place);
    if text.chars().all(char::is_whitespace) {
        return;
    }
    let number = place.line.to_string();
    let dots = cut.map(|cut| if cut { "…" } else { "" });
    let _ = writeln!(out, "  {number} | {}{}{}", dots[0], shown(text).trim_end(), dots[1]);
    let room = text.chars().count().saturating_sub(before).max(1);
    let width = (place.width.max(1) as usize).min(room);
    let marker = painted(&"^".repeat(width), ink, colour);
    let indent = before + usize::from(cut[0]);
    let _ = writeln!(out, "  {} | {}{marker}", " ".repeat(number.len()), " ".repeat(indent));
}

fn painted(text: &str, ink: &str, colour: bool) -> String {
    if colour { format!("\u{1b}[{ink}m{text}\u{1b}[0m") } else { text.to_owned() }
}

/// Lines that can do nothing to a terminal but end: as [`shown`], line by line.
pub fn lines_shown(text: &str) -> String {
    text.split_inclusive('\n')
        .map(|line| line.strip_suffix('\n').map_or_else(|| shown(line), |line| shown(line) + "\n"))
        .collect()
}

/// A path as it is shown among words: one line, whatever its name has in it.
pub fn path_shown(path: &Path) -> String {
    shown(&path.to_string_lossy())
}

/// A text that can do nothing to a terminal: control characters are shown as dots, those that turn the direction of writing
/// (UAX #9, table 1) too, a tab as a blank.
fn shown(text: &str) -> String {
    text.chars()
        .map(|c| {
            if c == '\t' {
                ' '
            } else if c.is_control() || turns_writing(c) {
                '\u{b7}'
            } else {
                c
            }
        })
        .collect()
}

fn turns_writing(c: char) -> bool {
    matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_turns_the_line_round() {
        assert_eq!(shown("a\u{202e}b\u{2066}c\u{61c}\td\u{5d0}"), "a·b·c· d\u{5d0}");
    }

    fn sources() -> (Sources, crate::diag::FileId) {
        let mut sources = Sources::default();
        let file = sources.add("tunes/kettle.yaml", "title: Kettle\ntittle: Kettle\n\tx\u{1b}[31m: y\n");
        (sources, file)
    }

    #[test]
    fn errors_come_first_with_their_line_marked() {
        let (sources, file) = sources();
        let mut sink = Sink::default();
        sink.warn(code!("odd-sign"), Some(Place::new(file, 1, 8).wide(6)), "a warning");
        sink.error(code!("unknown-key"), Some(Place::new(file, 2, 1).wide(6)), "`tittle` is no key of a tune")
            .hints
            .push("did you mean `title`?".into());
        let expected = "\
tunes/kettle.yaml:2:1: error[unknown-key]: `tittle` is no key of a tune
  2 | tittle: Kettle
    | ^^^^^^
  hint: did you mean `title`?

tunes/kettle.yaml:1:8: warning[odd-sign]: a warning
  1 | title: Kettle
    |        ^^^^^^

1 error, 1 warning
";
        assert_eq!(text(&sink, &sources, false, false), expected);
        assert!(!text(&sink, &sources, false, true).contains("warning"));
        assert!(text(&sink, &sources, true, false).contains("\u{1b}[1;31merror[unknown-key]\u{1b}[0m"));
    }

    #[test]
    fn nothing_of_a_file_reaches_the_terminal_raw() {
        let (sources, file) = sources();
        let mut sink = Sink::default();
        sink.error(code!("odd-sign"), Some(Place::new(file, 3, 2)), "bad \u{1b}[31m text\u{7}");
        let text = text(&sink, &sources, false, false);
        assert!(!text.contains('\u{1b}') && !text.contains('\u{7}') && !text.contains('\t'), "{text:?}");
        assert!(text.contains("  3 |  x·[31m: y\n    |  ^\n"), "{text}");
    }

    #[test]
    fn alike_warnings_are_told_together() {
        let mut sources = Sources::default();
        let file = sources.add("a.abc", "x\n".repeat(9));
        let mut sink = Sink::default();
        for line in 1..=9 {
            sink.warn(code!("clef-ignored"), Some(Place::new(file, line, 1)), format!("ignored {line}"));
        }
        let text = text(&sink, &sources, false, false);
        assert_eq!(text.matches("ignored ").count(), 3);
        assert!(
            text.contains("a.abc: warning[clef-ignored]: 6 more of the same kind, on lines 4, 5, 6, 7, 8, 9\n"),
            "{text}"
        );
        assert!(text.ends_with("9 warnings\n"));
    }

    #[test]
    fn every_loss_of_a_score_is_told() {
        let mut sources = Sources::default();
        let file = sources.add("a.musicxml", "x\n".repeat(9));
        let mut sink = Sink::default();
        for line in 1..=9 {
            sink.warn(code!("not-kept"), Some(Place::new(file, line, 1)), format!("thing {line} is not kept"));
        }
        let text = text(&sink, &sources, false, false);
        assert_eq!(text.matches(" is not kept\n").count(), 9, "{text}");
    }

    #[test]
    fn a_long_line_is_cut_around_its_place() {
        let mut sources = Sources::default();
        let file = sources.add("a.yaml", format!("{}HERE{}", "a".repeat(500), "b".repeat(500)));
        let mut sink = Sink::default();
        sink.error(code!("odd-sign"), Some(Place::new(file, 1, 501).wide(4)), "here");
        let text = text(&sink, &sources, false, false);
        let lines: Vec<&str> = text.lines().collect();
        let column = |line: &str, what: &str| line.find(what).map(|at| line[..at].chars().count());
        assert_eq!(column(lines[1], "HERE"), column(lines[2], "^^^^"));
        assert!(lines[1].chars().count() < 120);
    }

    #[test]
    fn each_place_of_a_long_line_is_found_from_the_one_before() {
        let mut sources = Sources::default();
        let ink: String = (0..300).map(|n| if n % 10 == 0 { 'é' } else { 'x' }).collect();
        let file = sources.add("a.yaml", format!("first\r\n{ink}\nlast"));
        let mut finder = Finder::new(&sources);
        for (line, column, shown, before, cut) in [
            (2, 1, 100, 0, [false, true]),
            (2, 141, 100, 50, [true, true]),
            (2, 151, 100, 50, [true, true]),
            (2, 291, 100, 90, [true, false]),
            (2, 11, 100, 10, [false, true]),
            (2, 900, 100, 100, [true, false]),
            (1, 5, 5, 4, [false, false]),
            (3, 4, 4, 3, [false, false]),
            (9, 1, 0, 0, [false, false]),
        ] {
            let piece = finder.piece(Place::new(file, line, column));
            let found = (piece.text.chars().count(), piece.before, piece.cut);
            assert_eq!(found, (shown, before, cut), "{line}:{column}");
            let wanted = (line == 2 && column < 300).then_some('é');
            assert!(wanted.is_none() || piece.text.chars().nth(before) == wanted, "{line}:{column}");
        }
    }

    #[test]
    fn json_says_the_same() {
        let (sources, file) = sources();
        let mut sink = Sink::default();
        sink.error(code!("unknown-key"), Some(Place::new(file, 2, 1).wide(6)), "no key").hints.push("do".into());
        let value: serde_json::Value = serde_json::from_str(&json(&sink, &sources)).expect("it is JSON");
        assert_eq!(value[0]["code"], "unknown-key");
        assert_eq!(
            (value[0]["line"].as_u64(), value[0]["column"].as_u64(), value[0]["width"].as_u64()),
            (Some(2), Some(1), Some(6))
        );
        assert_eq!(value[0]["file"], "tunes/kettle.yaml");
        assert_eq!(value[0]["hints"][0], "do");
    }
}
