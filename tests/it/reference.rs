//! The guide's reference of messages against the program: a section for every code, showing the message as it is printed.

use crate::messages::{all_cases, codes, updating};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

/// The chapters of messages.
fn chapters() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("books/guide/chapters");
    let entries = fs::read_dir(folder).expect("the guide has chapters");
    let paths = entries.map(|entry| entry.expect("a chapter is listed").path());
    let mut found: Vec<_> = paths.filter(|path| path.to_string_lossy().contains("-messages-")).collect();
    found.sort();
    assert!(found.len() >= 3, "the chapters of messages are there: {found:?}");
    found
}

/// What a message's section shows: the first of its cases, without colour and summary. The machine that ran it leaves no trace,
/// for the cases' files have plain names.
fn shown() -> BTreeMap<String, String> {
    let mut shown = BTreeMap::new();
    for case in all_cases() {
        let own = format!("[{}]: ", case.code);
        if let Some(message) = case.messages().find(|message| message.contains(&own)) {
            shown.entry(case.code.clone()).or_insert_with(|| format!("```text\n{}\n```", folded(message)));
        }
    }
    shown
}

/// No line of an example is wider than the narrower column of the printed page holds in small code, no word of it so long that
/// it could not be divided, and no character is there that fonts lack. Of a line of the author's that is too long so much is left
/// as shows the mistake.
fn folded(message: &str) -> String {
    const LONGEST: usize = 36;
    let mut out: Vec<String> = Vec::new();
    let lines: Vec<String> = message.lines().map(printable).collect();
    let mut lines = lines.iter().peekable();
    while let Some(line) = lines.next() {
        if is_quoted(line) {
            let under = lines.next_if(|next| next.trim_start().starts_with("| "));
            let (line, under) = excerpt(line, under.map_or("", String::as_str));
            out.push(line);
            out.extend(Some(under).filter(|under| !under.is_empty()));
            continue;
        }
        let mut rest = line.split(' ').map(|word| cut(word, LONGEST)).collect::<Vec<_>>().join(" ");
        let indent = if line.starts_with("  ") { "        " } else { "  " };
        while rest.chars().count() > WIDEST {
            let end = rest.char_indices().nth(WIDEST).map_or(rest.len(), |(at, _)| at);
            let Some(blank) = rest[..end].rfind(' ').filter(|at| *at > indent.len() + 8) else { break };
            out.push(rest[..blank].trim_end().to_owned());
            rest = format!("{indent}{}", &rest[blank + 1..]);
        }
        if !rest.is_empty() {
            out.push(rest);
        }
    }
    out.join("\n")
}

/// Letters in a line of an example.
const WIDEST: usize = 65;

/// The line with signs that every font has.
fn printable(line: &str) -> String {
    let plain: String = line.chars().map(|c| if c == '\u{a0}' { ' ' } else { c }).collect();
    plain.replace('\u{1f408}', "(a cat)").replace('\u{1f3b9}', "(keys)").replace('\u{fffd}', "?")
}

/// Whether it is a line of the author's with its number.
fn is_quoted(line: &str) -> bool {
    line.split_once(" | ").is_some_and(|(number, _)| number.trim().parse::<u32>().is_ok())
}

/// A quoted line and the marks under it, both cut so that the marked place is seen: at the end where that suffices, else at the
/// beginning too, where dots then stand.
fn excerpt(line: &str, under: &str) -> (String, String) {
    const BEFORE: usize = 12;
    let chars: Vec<char> = line.chars().collect();
    let edge = line.find(" | ").map_or(0, |at| line[..at + 3].chars().count());
    let mark = under.chars().position(|c| c == '^').unwrap_or(edge).max(edge);
    let (from, dots) = if mark + 1 < WIDEST { (edge, "") } else { (mark - BEFORE, "…") };
    let room = WIDEST - edge - dots.chars().count();
    let shown: String = chars[from.min(chars.len())..].iter().take(room).collect();
    let is_whole = from + room >= chars.len();
    let shown =
        if is_whole { shown } else { shown.chars().take(room - 1).collect::<String>().trim_end().to_owned() + "…" };
    let head: String = chars[..edge].iter().collect();
    let shown = format!("{head}{dots}{shown}");
    let marks = under.chars().filter(|c| *c == '^').count();
    let blanks = mark - from + dots.chars().count();
    let marks = marks.min(shown.chars().count().saturating_sub(edge + blanks)).max(marks.min(1));
    let bar: String = under.chars().take(edge).collect();
    let under = if marks == 0 { String::new() } else { format!("{bar}{}{}", " ".repeat(blanks), "^".repeat(marks)) };
    (shown, under)
}

/// A word no longer than so many letters.
fn cut(word: &str, longest: usize) -> String {
    if word.chars().count() <= longest {
        return word.to_owned();
    }
    word.chars().take(longest - 1).collect::<String>() + "…"
}

#[test]
fn every_message_has_a_section_that_shows_it() {
    let (shown, codes) = (shown(), codes());
    let mut told: BTreeMap<String, String> = BTreeMap::new();
    let mut faults = Vec::new();
    for path in chapters() {
        let chapter = path.file_name().expect("it has a name").to_string_lossy().into_owned();
        let text = fs::read_to_string(&path).expect("a chapter is text");
        let mut parts = text.split("\n## ");
        let mut renewed = parts.next().unwrap_or_default().trim_end().to_owned();
        for section in parts {
            let (code, body) = section.split_once('\n').unwrap_or((section, ""));
            if let Some(other) = told.insert(code.to_owned(), chapter.clone()) {
                faults.push(format!("{chapter}: `{code}` has a section in {other} too"));
            }
            if !codes.contains(code) {
                faults.push(format!("{chapter}: the program says no `{code}`"));
            }
            let words = body.split("```").next().unwrap_or_default().trim();
            if words.split_whitespace().count() < 8 {
                faults.push(format!("{chapter}: the section of `{code}` explains nothing"));
            }
            let example = shown.get(code);
            if example.is_some_and(|example| !body.contains(example.as_str())) && !updating() {
                faults
                    .push(format!("{chapter}: `{code}` shows another message than\n{}", example.expect("it is there")));
            }
            let example = example.map_or(String::new(), |example| format!("\n\n{example}"));
            renewed.push_str(&format!("\n\n## {code}\n\n{words}{example}"));
        }
        if updating() {
            fs::write(&path, renewed + "\n").expect("a chapter is written");
        }
    }
    let missing: Vec<_> = codes.iter().filter(|code| !told.contains_key(**code)).collect();
    assert!(missing.is_empty(), "no section for {missing:?}");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
