//! What Markdown lets fall and a book must not: words behind a comment or a fence, lines that define links, HTML, cells that no column
//! has.
//!
//! Source: CommonMark 0.31, 4.5 (what stands behind a fence is no content), 4.6 (a comment's block ends with the line that closes it),
//! 4.7 (link reference definitions) and 6.6; tables as GitHub Flavored Markdown 0.29, 4.10 has them (what is beyond the head's columns
//! is ignored).

use super::{Builder, Kind, parse};
use crate::diag::{Excerpt, Place};
use crate::text::model::{Block, Inline};
use pulldown_cmark::{Event, LinkType, Tag};
use std::collections::BTreeSet;
use std::ops::Range;

/// What the parser has given of a text so far: the lines that something stands in, and the definitions of links that are used.
#[derive(Debug)]
pub(super) struct Seen {
    lines: Vec<bool>,
    labels: BTreeSet<String>,
}

impl Seen {
    /// Nothing yet of a text of so many lines.
    pub(super) fn new(lines: usize) -> Self {
        Self { lines: vec![false; lines], labels: BTreeSet::new() }
    }
}

impl Builder<'_> {
    /// Takes note of an event. Blocks that hold blocks are passed over: a definition stands in them and is no block.
    pub(super) fn see(&mut self, event: &Event<'_>, range: &Range<usize>) {
        let seen = match event {
            Event::Start(Tag::Link { link_type, id, .. } | Tag::Image { link_type, id, .. }) => {
                if matches!(link_type, LinkType::Reference | LinkType::Collapsed | LinkType::Shortcut) {
                    self.seen.labels.insert(folded(id));
                }
                range.start..range.start
            }
            Event::Start(Tag::List(_) | Tag::Item | Tag::BlockQuote(_)) | Event::End(_) => return,
            // Emphasis holds what is seen by itself.
            Event::Start(Tag::Emphasis | Tag::Strong) => range.start..range.start,
            _ => range.clone(),
        };
        let line = |offset: usize| self.line_starts.partition_point(|start| *start <= offset).saturating_sub(1);
        let (first, last) = (line(seen.start), line(seen.end.saturating_sub(1).max(seen.start)));
        if let Some(lines) = self.seen.lines.get_mut(first..=last) {
            lines.fill(true);
        }
    }

    /// Complains of lines that define a link which nothing uses: whoever does not know the form has written words for the page.
    pub(super) fn unused_links(&mut self) {
        let mut labels = std::mem::take(&mut self.seen.labels);
        let bare = self.seen.lines.iter().enumerate().filter(|(_, is_seen)| !**is_seen).map(|(line, _)| line);
        for line in bare.collect::<Vec<_>>() {
            let start = self.line_starts[line];
            let end = self.line_starts.get(line + 1).copied().unwrap_or(self.excerpt.text.len());
            let text = self.excerpt.text.get(start..end).unwrap_or_default();
            let at = text.len() - inside_blocks(text).len();
            let Some(label) = label(&text[at..]) else { continue };
            // The first definition of a label is the one that holds.
            let name = folded(label);
            if labels.remove(&name) {
                continue;
            }
            let short: String = label.chars().take(24).collect();
            let message = format!(
                "a line that begins with `[{short}]:` defines a link; nothing in this text uses it, and it is not set"
            );
            let place = self.place(start + at);
            self.sink
                .warn(code!("unused-link"), Some(place), message)
                .hints
                .push("write `\\[` for a bracket that is meant as one; a definition is used as `[words][name]`".into());
        }
    }

    /// Complains of words behind the fence that opens an example: one word is the name of what the example is written in, and no more
    /// has a meaning.
    pub(super) fn behind_fence(&mut self, words: &str, range: &Range<usize>) {
        let words = words.trim();
        if !words.contains(char::is_whitespace) {
            return;
        }
        let fence = self.excerpt.text.get(range.clone()).unwrap_or_default();
        let at = fence.find(|c: char| !matches!(c, '`' | '~') && !c.is_whitespace()).unwrap_or_default();
        let short: String = words.chars().take(40).collect();
        let place = self.place(range.start + at);
        self.sink
            .warn(code!("fence-words"), Some(place), format!("words behind a fence are not set: `{short}`"))
            .hints
            .push("write them on a line of their own, over the example or in it; behind a fence stands one word at most, such as `abc`".into());
    }

    /// HTML among words.
    pub(super) fn html(&mut self, html: &str, offset: usize) {
        if html.trim_start().starts_with("<!--") {
            return;
        }
        let place = self.place(offset);
        self.sink
            .warn(code!("html"), Some(place), "HTML is not set; it stands as text")
            .hints
            .push("write it in Markdown, or put it between backticks if it is meant as text".into());
        self.push(Inline::Text { text: html.trim_end().replace('\n', " "), place: Some(place) });
    }

    /// Lines of HTML. Comments are left out; words behind them on their last line are the author's. `pieces` are places in `text`
    /// and in the source.
    pub(super) fn html_block(&mut self, text: &str, place: Place, pieces: &[(usize, usize)]) {
        let Some(rest) = after_comments(text) else {
            self.sink
                .warn(code!("open-comment"), Some(place), "this comment is not closed: all that follows is left out")
                .hints
                .push("close it with `-->` where it ends".into());
            return;
        };
        if rest.trim().is_empty() {
            return;
        }
        if rest.len() < text.trim_start().len() {
            let at = text.len() - rest.len();
            let piece = pieces.iter().rev().find(|(start, _)| *start <= at).copied().unwrap_or_default();
            let start = self.place(piece.1 + at - piece.0);
            let excerpt = Excerpt::new(self.excerpt.file(), rest.trim_end(), vec![(start.line, start.column)]);
            let blocks = parse(&excerpt, self.sink);
            blocks.into_iter().for_each(|block| self.block(block));
            return;
        }
        self.sink
            .warn(code!("html"), Some(place), "HTML is not set; it stands as text")
            .hints
            .push("write it in Markdown".into());
        let text = text.trim_end().replace('\n', " ");
        self.block(Block::Paragraph(vec![Inline::Text { text, place: Some(place) }]));
    }

    /// Complains of a row of a table that has more cells than the head, for those are set nowhere.
    pub(super) fn row_fits(&mut self, range: &Range<usize>) {
        let Kind::Table(table) = &self.top().kind else { return };
        let columns = table.columns.len();
        let row = self.excerpt.text.get(range.clone()).unwrap_or_default();
        let cells = cells(row);
        if cells > columns {
            let message =
                format!("this row has {cells} cells and its table {columns} columns; the last ones are not set");
            let place = self.place(range.start);
            self.sink
                .warn(code!("table-row"), Some(place), message)
                .hints
                .push("give the first row of the table as many cells; a stroke that is text is written `\\|`".into());
        }
    }
}

/// What follows the comments that a text begins with; `None` where one is never closed.
fn after_comments(text: &str) -> Option<&str> {
    let mut rest = text.trim_start();
    while let Some(inside) = rest.strip_prefix("<!--") {
        // `<!-->` and `<!--->` are comments too.
        let end = ["->", ">"].iter().find(|short| inside.starts_with(**short)).map(|short| short.len());
        let end = end.or_else(|| inside.find("-->").map(|at| at + 3))?;
        rest = inside[end..].trim_start();
    }
    Some(rest)
}

/// A label of a definition as it is compared: in small letters, each white between words a blank (CommonMark 0.31, 6.3).
fn folded(label: &str) -> String {
    label.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
}

/// What of a line stands inside its quotations and items of lists.
fn inside_blocks(line: &str) -> &str {
    let mut rest = line.trim_start();
    loop {
        let digits = rest.trim_start_matches(|c: char| c.is_ascii_digit());
        let item = rest
            .strip_prefix(['-', '+', '*'])
            .or_else(|| digits.strip_prefix(['.', ')']).filter(|_| digits.len() < rest.len()))
            .filter(|after| after.starts_with(char::is_whitespace));
        match rest.strip_prefix('>').or(item) {
            Some(after) => rest = after.trim_start(),
            None => return rest,
        }
    }
}

/// The label of the definition that begins a line, as far as it stands in it.
fn label(line: &str) -> Option<&str> {
    let inside = line.strip_prefix('[')?;
    let mut escaped = false;
    for (at, c) in inside.char_indices() {
        if c == ']' && !escaped {
            return inside[at + 1..].starts_with(':').then_some(&inside[..at]);
        }
        escaped = c == '\\' && !escaped;
    }
    Some(inside.trim_end())
}

/// How many cells a row of a table has, between strokes that are not escaped.
fn cells(row: &str) -> usize {
    let row = row.trim();
    let row = row.strip_prefix('|').unwrap_or(row);
    let mut strokes = 0;
    let mut last = 0;
    let mut escaped = false;
    for (at, c) in row.char_indices() {
        if c == '|' && !escaped {
            strokes += 1;
            last = at + 1;
        }
        escaped = c == '\\' && !escaped;
    }
    if last == row.len() { strokes } else { strokes + 1 }
}
