//! A score's head: titles, who made it, and the texts on its first page.
//!
//! Source: MusicXML 4.0, work, identification, credit.

use std::collections::BTreeSet;

use roxmltree::Node;

use super::Complaints;
use super::barline::cut;
use super::xml::{child, child_text, text};
use crate::diag::Place;
use crate::tune::Tune;

/// Entries of the head that are read.
const MOST_ENTRIES: usize = 200;
/// Further titles.
const MOST_TITLES: usize = 8;
/// Texts of the page that a message names.
const MOST_NAMED: usize = 3;

/// Titles and credits; texts of the page that say nothing of these stand below the tune.
pub(super) fn head(root: Node, tune: &mut Tune, place: Place, complaints: &mut Complaints) {
    let credits: Vec<Credit> =
        root.children().filter(|n| n.has_tag_name("credit")).take(MOST_ENTRIES).map(Credit::of).collect();
    let work = child(root, "work");
    let given = [child_text(root, "movement-title"), work.and_then(|work| child_text(work, "work-title"))];
    let of_kind =
        |kind: &'static str| credits.iter().filter(move |credit| credit.is(kind)).map(|credit| credit.lines.join(" "));
    let mut titles: Vec<String> = Vec::new();
    for title in given.into_iter().flatten().chain(of_kind("title")).chain(of_kind("subtitle")) {
        if !title.is_empty() && !titles.contains(&title) && titles.len() <= MOST_TITLES {
            titles.push(title);
        }
    }
    let mut known: BTreeSet<String> = titles.iter().map(|title| plain(title)).collect();
    if !titles.is_empty() {
        tune.title = titles.remove(0);
    }
    tune.other_titles = titles;
    let numbers = [
        ("work number", work.and_then(|work| child_text(work, "work-number"))),
        ("movement number", child_text(root, "movement-number")),
    ];
    for (label, number) in numbers {
        if let Some(number) = number {
            tune.credits.notes.push(format!("{label}: {number}"));
        }
    }
    if let Some(identification) = child(root, "identification") {
        makers(identification, tune, &mut known);
    }
    page(&credits, tune, &mut known, place, complaints);
}

fn makers(identification: Node, tune: &mut Tune, known: &mut BTreeSet<String>) {
    for node in identification.children().filter(Node::is_element).take(MOST_ENTRIES) {
        let words = text(node);
        let kind = node.attribute("type").map(str::trim).filter(|kind| !kind.is_empty());
        if words.is_empty() && !node.has_tag_name("miscellaneous") {
            continue;
        }
        known.insert(plain(&words));
        match node.tag_name().name() {
            "creator" => made_by(kind.unwrap_or("composer"), words, tune),
            "rights" => tune.credits.rights.push(words),
            "source" => tune.credits.source.push(words),
            "relation" => tune.credits.notes.push(format!("{}: {words}", kind.unwrap_or("relation"))),
            "miscellaneous" => {
                for field in node.children().filter(|n| n.has_tag_name("miscellaneous-field")).take(MOST_ENTRIES) {
                    let words = text(field);
                    if !words.is_empty() {
                        let name = field.attribute("name").unwrap_or("note");
                        tune.credits.notes.push(format!("{}: {words}", name.replace(": ", " ")));
                    }
                }
            }
            // How the file was made says nothing of the music.
            _ => {}
        }
    }
}

fn made_by(role: &str, words: String, tune: &mut Tune) {
    let credits = &mut tune.credits;
    match role {
        "composer" => credits.composer.push(words),
        "transcriber" => credits.transcription.push(words),
        other => credits.notes.push(format!("{}: {words}", other.replace(": ", " "))),
    }
}

/// A text on the page of a score.
struct Credit {
    kinds: Vec<String>,
    lines: Vec<String>,
}

impl Credit {
    fn of(node: Node) -> Self {
        let kinds = node.children().filter(|n| n.has_tag_name("credit-type")).map(text).collect();
        // Pieces in different type follow each other; lines are the author's.
        let words: Vec<String> = node
            .children()
            .filter(|n| n.has_tag_name("credit-words"))
            .map(|words| words.children().filter(Node::is_text).filter_map(|n| n.text()).collect())
            .collect();
        let line = |line: &str| line.split_whitespace().collect::<Vec<_>>().join(" ");
        let lines = words.join(" ").lines().map(line).filter(|line| !line.is_empty()).take(MOST_ENTRIES).collect();
        Self { kinds, lines }
    }
    fn is(&self, kind: &str) -> bool {
        self.kinds.iter().any(|known| known == kind)
    }
}

/// What the page says beyond the head: who made it, or words for below the tune.
fn page(credits: &[Credit], tune: &mut Tune, known: &mut BTreeSet<String>, place: Place, complaints: &mut Complaints) {
    let mut told: Vec<String> = Vec::new();
    for credit in credits {
        let whole = credit.lines.join(" ");
        // The page is made anew: its numbers and the part's name with it.
        let layout = ["page number", "part name", "title", "subtitle"].iter().any(|kind| credit.is(kind));
        let said = known.contains(&plain(&whole)) || credit.lines.iter().all(|line| known.contains(&plain(line)));
        if layout || said {
            continue;
        }
        known.insert(plain(&whole));
        match credit.kinds.first().map(String::as_str) {
            Some("rights") => tune.credits.rights.push(whole),
            Some(role @ ("composer" | "arranger" | "lyricist" | "poet" | "transcriber")) => made_by(role, whole, tune),
            _ => {
                told.push(format!("\u{201c}{}\u{201d}", cut(&whole)));
                tune.words.extend(credit.lines.iter().cloned());
            }
        }
    }
    if told.is_empty() {
        return;
    }
    let more = told.len().saturating_sub(MOST_NAMED);
    told.truncate(MOST_NAMED);
    let mut list = told.join(", ");
    if more > 0 {
        list.push_str(&format!(" and {more} more"));
    }
    let message = format!("what else stands on the page becomes words below the tune: {list}");
    complaints.warn(code!("not-kept"), place, message, "take out of the tune's W: lines what you do not want there");
}

/// A text by which it is told from others: letters and figures alone.
fn plain(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}
