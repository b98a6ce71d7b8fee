//! Markdown into blocks.
//!
//! Takes an excerpt; gives blocks whose inlines know their places. Source: CommonMark 0.31 with tables, by the parser's own
//! reading; quotation marks, dashes and ellipses typed on a keyboard become typographic ones. On top of it, ours: facts in
//! braces (`{how 3.1}`, `{{` is a brace), signs between colons (`:outer:`), examples in fenced blocks named `abc`. HTML is
//! not set: it is reported and stands as text; HTML comments are dropped. Nothing here panics on any text.

use super::model::{Block, ColumnAlign, Inline, Table};
use crate::diag::{Excerpt, Place, Sink};
use crate::frame::LinkTarget;
use pulldown_cmark::{Alignment, CodeBlockKind, Event, LinkType, Options, Parser, Tag};
use signs::{near_sign, sign_word};
use std::ops::Range;

#[path = "markdown_losses.rs"]
mod losses;
#[path = "markdown_signs.rs"]
mod signs;

/// Quotations, lists and emphasis nested deeper than this are set at this depth.
const MOST_DEPTH: usize = 24;

/// Reads Markdown.
pub fn parse(excerpt: &Excerpt, sink: &mut Sink) -> Vec<Block> {
    let options = Options::ENABLE_TABLES | Options::ENABLE_SMART_PUNCTUATION;
    let mut builder = Builder::new(excerpt, sink);
    for (event, range) in Parser::new_ext(&excerpt.text, options).into_offset_iter() {
        builder.see(&event, &range);
        builder.take(event, range);
    }
    builder.unused_links();
    builder.finish()
}

/// What is being built.
#[derive(Debug)]
enum Kind {
    /// The whole text, a quotation or a list item: holds blocks.
    Blocks,
    Quote,
    Item,
    List {
        ordered: bool,
        start: u64,
        items: Vec<Vec<Block>>,
    },
    Paragraph,
    /// Words that stand in a block container without a paragraph, as in tight lists.
    Loose,
    Heading(u8),
    Table(Table),
    TableRow {
        head: bool,
        cells: Vec<Vec<Inline>>,
    },
    Cell,
    Emphasis,
    Strong,
    Link(LinkTarget),
    /// A link that leads nowhere we go: its words stand alone.
    Plain,
    Image {
        path: String,
        place: Place,
    },
    Code {
        music: bool,
        text: String,
        lines: Vec<(u32, u32)>,
        place: Place,
    },
    Html {
        text: String,
        place: Place,
        /// Where its lines begin, in `text` and in the source.
        pieces: Vec<(usize, usize)>,
    },
}

#[derive(Debug)]
struct Open {
    kind: Kind,
    blocks: Vec<Block>,
    inlines: Vec<Inline>,
}

impl Open {
    const fn new(kind: Kind) -> Self {
        Self { kind, blocks: Vec::new(), inlines: Vec::new() }
    }
}

/// Text events that belong together, with the way back to the source.
#[derive(Debug, Default)]
struct Pending {
    text: String,
    /// Offsets into `text` and into the source, ascending.
    map: Vec<(usize, usize)>,
}

struct Builder<'a> {
    excerpt: &'a Excerpt,
    sink: &'a mut Sink,
    line_starts: Vec<usize>,
    stack: Vec<Open>,
    skipped: usize,
    pending: Pending,
    seen: losses::Seen,
}

impl<'a> Builder<'a> {
    fn new(excerpt: &'a Excerpt, sink: &'a mut Sink) -> Self {
        let line_starts: Vec<usize> =
            std::iter::once(0).chain(excerpt.text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        let stack = vec![Open::new(Kind::Blocks)];
        let seen = losses::Seen::new(line_starts.len());
        Self { excerpt, sink, line_starts, stack, skipped: 0, pending: Pending::default(), seen }
    }

    fn place(&self, offset: usize) -> Place {
        let line = self.line_starts.partition_point(|start| *start <= offset).saturating_sub(1);
        // Columns beyond this are not counted out, so that a hostile line of a megabyte costs no megabyte a word.
        const FAR: usize = 4096;
        let start = self.line_starts[line];
        let column = self.excerpt.text.get(start..offset.min(start + FAR)).map_or(0, |before| before.chars().count());
        self.excerpt.place(line, column)
    }

    fn take(&mut self, event: Event<'_>, range: Range<usize>) {
        if let Event::Text(text) = event {
            self.take_text(&text, &range);
            return;
        }
        self.flush();
        match event {
            Event::Start(tag) => self.start(tag, &range),
            Event::End(_) => {
                if self.skipped > 0 {
                    self.skipped -= 1;
                } else {
                    self.close_loose();
                    self.close();
                }
            }
            Event::Code(text) => {
                let place = Some(self.place(range.start));
                self.push(Inline::Code { text: text.into_string(), place });
            }
            Event::Html(text) => match &mut self.top().kind {
                Kind::Html { text: html, pieces, .. } => {
                    pieces.push((html.len(), range.start));
                    html.push_str(&text);
                }
                _ => self.html(&text, range.start),
            },
            Event::InlineHtml(text) => self.html(&text, range.start),
            Event::SoftBreak => self.push(Inline::text(" ")),
            Event::HardBreak => self.push(Inline::LineBreak),
            Event::Rule => self.block(Block::Rule),
            // Not switched on in the options: footnotes, mathematics, task lists.
            Event::Text(_)
            | Event::FootnoteReference(_)
            | Event::TaskListMarker(_)
            | Event::InlineMath(_)
            | Event::DisplayMath(_) => {}
        }
    }

    fn take_text(&mut self, text: &str, range: &Range<usize>) {
        let places = matches!(self.top().kind, Kind::Code { .. }).then(|| {
            text.split_inclusive('\n').map(|line| self.line_place(text, line, range.start)).collect::<Vec<_>>()
        });
        match &mut self.top().kind {
            Kind::Code { text: code, lines, .. } => {
                for (line, at) in text.split_inclusive('\n').zip(places.into_iter().flatten()) {
                    if code.is_empty() || code.ends_with('\n') {
                        lines.push(at);
                    }
                    code.push_str(line);
                }
            }
            Kind::Html { text: html, .. } => html.push_str(text),
            _ => {
                self.pending.map.push((self.pending.text.len(), range.start));
                // An escaped brace is a brace: written as the author could have written it.
                let escaped = range.start > 0 && self.excerpt.text.as_bytes()[range.start - 1] == b'\\';
                if escaped && text.starts_with('{') {
                    self.pending.text.push('{');
                }
                self.pending.text.push_str(text);
            }
        }
    }

    fn line_place(&self, text: &str, line: &str, start: usize) -> (u32, u32) {
        let place = self.place(start + (line.as_ptr() as usize - text.as_ptr() as usize));
        (place.line, place.column)
    }

    fn flush(&mut self) {
        if self.pending.text.is_empty() {
            return;
        }
        let Pending { text, map } = std::mem::take(&mut self.pending);
        let source = |at: usize| {
            let entry = map[map.partition_point(|(start, _)| *start <= at).saturating_sub(1)];
            entry.1 + (at - entry.0)
        };
        let mut rest = 0;
        while rest < text.len() {
            let tail = &text[rest..];
            let next = tail.find(['{', ':']).unwrap_or(tail.len());
            let mut end = rest + next;
            let mut found = None;
            if tail[next..].starts_with("{{") {
                // The first brace ends this piece, the second one is left out.
                found = Some((end + 2, None));
                end += 1;
            } else if tail[next..].starts_with('{') {
                if let Some(close) = tail[next..].find('}') {
                    let fact = tail[next + 1..next + close].trim().to_owned();
                    found = Some((end + close + 1, Some(Inline::Fact { text: fact, place: self.place(source(end)) })));
                } else {
                    let place = self.place(source(end));
                    self.sink
                        .warn(
                            code!("open-brace"),
                            Some(place),
                            "a brace is opened and not closed in this paragraph's line",
                        )
                        .hints
                        .push("write `{{` for a brace that is meant as one".into());
                    end += 1;
                }
            } else if let Some(word) = sign_word(&tail[next..]) {
                let sign = Inline::Sign { word: word.to_owned(), place: Some(self.place(source(end))) };
                found = Some((end + word.len() + 2, Some(sign)));
            } else if next < tail.len() {
                if let Some((word, near)) = near_sign(&tail[next..]) {
                    let place = self.place(source(end)).wide(u32::try_from(word.len() + 2).unwrap_or(1));
                    self.sink
                        .warn(
                            code!("unknown-sign"),
                            Some(place),
                            format!("there is no sign `:{word}:`; it is printed as typed"),
                        )
                        .hints
                        .push(format!("did you mean `:{near}:`?"));
                }
                end += 1;
            }
            if end > rest {
                let place = Some(self.place(source(rest)));
                self.push(Inline::Text { text: text[rest..end].to_owned(), place });
            }
            rest = end;
            if let Some((after, inline)) = found {
                inline.into_iter().for_each(|inline| self.push(inline));
                rest = after;
            }
        }
    }

    fn start(&mut self, tag: Tag<'_>, range: &Range<usize>) {
        if self.stack.len() > MOST_DEPTH {
            self.skipped += 1;
            return;
        }
        let place = self.place(range.start);
        let kind = match tag {
            Tag::Paragraph => Kind::Paragraph,
            Tag::Heading { level, .. } => Kind::Heading(level as u8),
            Tag::BlockQuote(_) => Kind::Quote,
            Tag::CodeBlock(kind) => {
                let music = match kind {
                    CodeBlockKind::Fenced(info) => {
                        self.behind_fence(&info, range);
                        info.split_whitespace().next() == Some("abc")
                    }
                    CodeBlockKind::Indented => false,
                };
                Kind::Code { music, text: String::new(), lines: Vec::new(), place }
            }
            Tag::HtmlBlock => Kind::Html { text: String::new(), place, pieces: Vec::new() },
            Tag::List(start) => Kind::List { ordered: start.is_some(), start: start.unwrap_or(1), items: Vec::new() },
            Tag::Item => Kind::Item,
            Tag::Table(columns) => Kind::Table(Table {
                columns: columns.into_iter().map(column).collect(),
                place: Some(place),
                ..Table::default()
            }),
            Tag::TableHead => Kind::TableRow { head: true, cells: Vec::new() },
            Tag::TableRow => {
                self.row_fits(range);
                Kind::TableRow { head: false, cells: Vec::new() }
            }
            Tag::TableCell => Kind::Cell,
            Tag::Emphasis => Kind::Emphasis,
            Tag::Strong => Kind::Strong,
            // `<me@example.org>` (CommonMark 0.31, 6.5).
            Tag::Link { link_type: LinkType::Email, dest_url, .. } => self.link(&format!("mailto:{dest_url}"), place),
            Tag::Link { dest_url, .. } => self.link(&dest_url, place),
            Tag::Image { dest_url, .. } => Kind::Image { path: dest_url.into_string(), place },
            // Not switched on in the options.
            _ => Kind::Plain,
        };
        if matches!(
            kind,
            Kind::Paragraph
                | Kind::Heading(_)
                | Kind::Quote
                | Kind::Code { .. }
                | Kind::Html { .. }
                | Kind::List { .. }
                | Kind::Item
                | Kind::Table(_)
        ) {
            self.close_loose();
        } else if is_inline(&kind) {
            self.open_loose();
        }
        self.stack.push(Open::new(kind));
    }

    fn link(&mut self, target: &str, place: Place) -> Kind {
        let known = ["https://", "http://", "mailto:"];
        if let Some(anchor) = target.strip_prefix('#') {
            Kind::Link(LinkTarget::Anchor(anchor.into()))
        } else if target.starts_with("tune:") {
            Kind::Link(LinkTarget::Anchor(target.into()))
        } else if known.iter().any(|start| target.to_ascii_lowercase().starts_with(start)) {
            Kind::Link(LinkTarget::Url(target.into()))
        } else {
            self.sink
                .warn(code!("link-target"), Some(place), format!("a link to `{target}` leads nowhere; its words stand alone"))
                .hints
                .push("a link starts with https://, http:// or mailto:, or is `#` and a place of the book, or `tune:` and a tune's id".into());
            Kind::Plain
        }
    }

    fn top(&mut self) -> &mut Open {
        self.stack.last_mut().expect("the root stays open until the end")
    }

    fn open_loose(&mut self) {
        if matches!(self.top().kind, Kind::Blocks | Kind::Quote | Kind::Item | Kind::List { .. }) {
            self.stack.push(Open::new(Kind::Loose));
        }
    }

    fn close_loose(&mut self) {
        if matches!(self.top().kind, Kind::Loose) {
            self.close();
        }
    }

    fn push(&mut self, inline: Inline) {
        self.open_loose();
        let top = self.top();
        match (top.inlines.last_mut(), inline) {
            (Some(Inline::Text { text: before, .. }), Inline::Text { text, place: None }) => before.push_str(&text),
            (_, inline) => top.inlines.push(inline),
        }
    }

    fn block(&mut self, block: Block) {
        self.close_loose();
        self.top().blocks.push(block);
    }

    fn close(&mut self) {
        if self.stack.len() < 2 {
            return;
        }
        let Some(Open { kind, blocks, mut inlines }) = self.stack.pop() else { return };
        // A book keeps its texts until all of it is laid out.
        inlines.shrink_to_fit();
        match kind {
            Kind::Blocks => {}
            Kind::Quote => self.block(Block::Quote(blocks)),
            Kind::Item => match &mut self.top().kind {
                Kind::List { items, .. } => items.push(blocks),
                _ => self.top().blocks.extend(blocks),
            },
            Kind::List { ordered, start, mut items } => {
                if !blocks.is_empty() {
                    items.push(blocks);
                }
                self.block(Block::List { ordered, start, items });
            }
            Kind::Paragraph | Kind::Loose => {
                // Pictures stand alone, after the words they are named in.
                if inlines.iter().any(|inline| !is_blank(inline)) {
                    self.top().blocks.push(Block::Paragraph(inlines));
                }
                self.top().blocks.extend(blocks);
            }
            Kind::Heading(level) => {
                self.top().blocks.push(Block::Heading { level, inlines });
                self.top().blocks.extend(blocks);
            }
            Kind::Table(table) => {
                self.block(Block::Table(table));
                blocks.into_iter().for_each(|block| self.block(block));
            }
            Kind::TableRow { head, cells } => {
                if let Kind::Table(table) = &mut self.top().kind {
                    if head { table.head = cells } else { table.rows.push(cells) }
                }
                self.top().blocks.extend(blocks);
            }
            Kind::Cell => {
                match &mut self.top().kind {
                    Kind::TableRow { cells, .. } => cells.push(inlines),
                    _ => self.top().inlines.extend(inlines),
                }
                self.top().blocks.extend(blocks);
            }
            Kind::Emphasis => self.close_inline(Inline::Emphasis(inlines), blocks),
            Kind::Strong => self.close_inline(Inline::Strong(inlines), blocks),
            Kind::Link(target) => self.close_inline(Inline::Link { target, inlines }, blocks),
            Kind::Plain => {
                inlines.into_iter().for_each(|inline| self.push(inline));
                self.top().blocks.extend(blocks);
            }
            Kind::Image { path, place } => {
                let alt = Inline::plain(&inlines);
                if alt.trim().is_empty() {
                    self.sink
                        .warn(code!("picture-without-words"), Some(place), format!("the picture `{path}` has no words"))
                        .hints
                        .push("say in brackets what it shows, for readers who can't see it".into());
                }
                self.top().blocks.push(Block::Image { path, alt, place });
            }
            Kind::Code { music: true, text, mut lines, place } => {
                let file = self.excerpt.file();
                if lines.is_empty() {
                    lines.push((place.line, place.column));
                }
                self.block(Block::Music(Excerpt::new(file, text, lines)));
            }
            Kind::Code { text, lines, place, .. } => {
                // A fence stands on a line of its own over the code.
                let first = lines.first().copied().unwrap_or((place.line, place.column));
                let place = Place { line: first.0, column: first.1, ..place };
                self.block(Block::Code { text: text.trim_end_matches('\n').to_owned(), place });
            }
            Kind::Html { text, place, pieces } => self.html_block(&text, place, &pieces),
        }
    }

    /// An inline ends; pictures in it wait for the end of the paragraph.
    fn close_inline(&mut self, inline: Inline, pictures: Vec<Block>) {
        self.push(inline);
        self.top().blocks.extend(pictures);
    }

    fn finish(mut self) -> Vec<Block> {
        self.flush();
        while self.stack.len() > 1 {
            self.close();
        }
        self.stack.pop().map_or_else(Vec::new, |root| root.blocks)
    }
}

const fn is_inline(kind: &Kind) -> bool {
    matches!(kind, Kind::Emphasis | Kind::Strong | Kind::Link(_) | Kind::Plain | Kind::Image { .. })
}

fn is_blank(inline: &Inline) -> bool {
    matches!(inline, Inline::Text { text, .. } if text.trim().is_empty()) || matches!(inline, Inline::LineBreak)
}

const fn column(alignment: Alignment) -> ColumnAlign {
    match alignment {
        Alignment::None | Alignment::Left => ColumnAlign::Left,
        Alignment::Center => ColumnAlign::Centre,
        Alignment::Right => ColumnAlign::Right,
    }
}

#[cfg(test)]
#[path = "markdown_tests.rs"]
mod tests;
