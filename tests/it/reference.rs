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

/// No line of an example is wider than the printed page holds, no word of it so long that it could not be divided, and no
/// character is there that fonts lack.
fn folded(message: &str) -> String {
    const WIDEST: usize = 76;
    const LONGEST: usize = 36;
    let mut out: Vec<String> = Vec::new();
    for line in message.lines() {
        let plain: String = line.chars().map(|c| if c == '\u{a0}' { ' ' } else { c }).collect();
        let plain = plain.replace('\u{1f408}', "(a cat)").replace('\u{fffd}', "?");
        let mut rest = plain.split(' ').map(|word| cut(word, LONGEST)).collect::<Vec<_>>().join(" ");
        let indent = if line.starts_with("  ") { "        " } else { "  " };
        while rest.chars().count() > WIDEST {
            let end = rest.char_indices().nth(WIDEST).map_or(rest.len(), |(at, _)| at);
            let Some(blank) = rest[..end].rfind(' ').filter(|at| *at > indent.len() + 8) else { break };
            out.push(rest[..blank].trim_end().to_owned());
            // What is left of a line of the author's is not needed to see the mistake.
            let quoted = line.split_once(" | ").is_some_and(|(number, _)| number.trim().parse::<u32>().is_ok());
            rest = if quoted { String::new() } else { format!("{indent}{}", &rest[blank + 1..]) };
        }
        if !rest.is_empty() {
            out.push(rest);
        }
    }
    out.join("\n")
}

/// A word no longer than so many letters.
fn cut(word: &str, longest: usize) -> String {
    if word.chars().count() <= longest {
        return word.to_owned();
    }
    if word.starts_with('^') {
        return word.chars().take(longest).collect();
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
            if !codes.contains_key(code) {
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
    let missing: Vec<_> = codes.iter().filter(|(code, _)| !told.contains_key(*code)).collect();
    assert!(missing.is_empty(), "no section for {missing:?}");
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
