//! What Markdown lets fall and a book must not: words behind a comment, HTML, cells that no column has.
//!
//! Source: CommonMark 0.31, 4.6 (a comment's block ends with the line that closes it) and 6.6; tables as GitHub Flavored Markdown 0.29,
//! 4.10 has them (what is beyond the head's columns is ignored).

use super::{Builder, Kind, parse};
use crate::diag::{Excerpt, Place};
use crate::text::model::{Block, Inline};
use std::ops::Range;

impl Builder<'_> {
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
