//! Changes in words: facts against facts, the change list, the two lines that sum it up.

use super::{BarChange, Changes, PageFate};
use crate::page::{Document, Facts};
use std::collections::BTreeMap;

/// What differs between the facts of a bar then and now. A fact reads `note 2: outer 5, pull, finger 3`; what stands before
/// the colon names it.
pub(super) fn facts(before: &Facts, now: &Facts) -> Vec<String> {
    let split = |fact: &str| match fact.split_once(": ") {
        Some((name, says)) => (name.to_owned(), says.to_owned()),
        None => (fact.to_owned(), String::new()),
    };
    let old: BTreeMap<String, String> = before.iter().map(split).collect();
    let mut words = Vec::new();
    let mut named = Vec::new();
    for (name, says) in now.iter().map(split) {
        match old.get(&name) {
            Some(said) if *said == says => {}
            Some(said) => words.push(format!("{name}: now {}, formerly {}", or_nothing(&says), or_nothing(said))),
            None => {
                words.push(if says.is_empty() { format!("{name} is new") } else { format!("{name} is new: {says}") })
            }
        }
        named.push(name);
    }
    for (name, _) in before.iter().map(split) {
        if !named.contains(&name) {
            words.push(format!("{name} is gone"));
        }
    }
    words
}

fn or_nothing(says: &str) -> &str {
    if says.is_empty() { "nothing" } else { says }
}

/// The change list: one line a change, by page, tune and bar; pages without a changed bar are named as they are.
pub fn lines(changes: &Changes) -> Vec<String> {
    let mut out = Vec::new();
    for page in &changes.pages {
        let here: Vec<&BarChange> = changes.bars.iter().filter(|bar| bar.page == page.label).collect();
        for bar in &here {
            out.extend(
                bar.words.iter().map(|words| format!("page {}, {}, bar {}, {words}", page.label, bar.title, bar.bar)),
            );
        }
        match page.fate {
            PageFate::Added => out.push(format!("page {} is new", page.label)),
            PageFate::Removed => out.push(format!("page {} is gone", page.label)),
            PageFate::Changed if here.is_empty() => {
                out.push(format!("page {}: text, numbers or setting changed", page.label));
            }
            PageFate::Changed => {}
        }
    }
    out.extend(
        changes.moved.iter().map(|tune| format!("{} moved from page {} to page {}", tune.title, tune.from, tune.to)),
    );
    // A bar whose page stayed as it was has changed in the record alone; it is named all the same.
    for bar in &changes.bars {
        if !changes.pages.iter().any(|page| page.label == bar.page) {
            out.extend(
                bar.words.iter().map(|words| format!("page {}, {}, bar {}, {words}", bar.page, bar.title, bar.bar)),
            );
        }
    }
    out
}

/// How many pages differ and which.
pub(super) fn brief(changes: &Changes, document: &Document) -> String {
    if changes.pages.is_empty() {
        let count = document.pages.len();
        return format!("nothing changed since the last time: {count} {}", if count == 1 { "page" } else { "pages" });
    }
    let labels: Vec<&str> = changes.pages.iter().map(|page| page.label.as_str()).collect();
    let shown = labels.iter().take(8).copied().collect::<Vec<_>>().join(", ");
    let more = if labels.len() > 8 { format!(" and {} more", labels.len() - 8) } else { String::new() };
    let noun = if labels.len() == 1 { "page" } else { "pages" };
    format!("{} {noun} changed since the last time: {shown}{more}", labels.len())
}

/// What the first change is, and how many more there are; `None` where no page differs.
pub(super) fn first(changes: &Changes) -> Option<String> {
    let list = lines(changes);
    let (first, rest) = list.split_first().filter(|_| !changes.pages.is_empty())?;
    Some(if rest.is_empty() { first.clone() } else { format!("{first}; and {} more", rest.len()) })
}
