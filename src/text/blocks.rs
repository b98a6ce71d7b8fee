//! Blocks into set blocks: headings, paragraphs, lists, quotations, pictures, examples; their gaps and how they keep together.
//!
//! Tables are in `table.rs`, headings that name bars in `bars.rs`. All heights are whole steps of the leading.

use super::bars::bar_heading;
use super::contract::{
    Align, BarSpan, Container, Content, Keep, Line, ParagraphLook, SetBlock, Surroundings, baseline, steps,
};
use super::model::{Block, Inline};
use super::typesetter::Typesetter;
use crate::diag::{Place, Sink};
use crate::frame::{Frame, Ink, Item, Marks, Role, Tag};
use crate::geom::{Abs, Point, Size};
use crate::style::TextStyle;

/// Insets in ems of the text size: of list items and of quotations (our choice).
const INSET: f64 = 1.6;
/// Between a list's marker and its words.
const MARKER_GAP: f64 = 0.5;
/// Fewest lines of a paragraph at the foot and at the head of a page (common practice: no widows, no orphans).
const LEAST_LINES: u32 = 2;
impl SetBlock {
    /// Its height, a whole number of steps; zero for an example, which only engraving can tell.
    pub fn height(&self) -> Abs {
        match &self.content {
            Content::Lines(lines) => lines.iter().map(|line| line.frame.size.height).sum(),
            Content::Piece(frame) => frame.size.height,
            Content::Picture { size, .. } => size.height,
            Content::Music(_) => Abs::ZERO,
        }
    }

    pub(super) fn new(content: Content, role: Role) -> Self {
        Self {
            content,
            tag: Tag::new(role),
            containers: Vec::new(),
            space_before: 0,
            keep_with_next: Keep::default(),
            may_split: false,
            is_turned: false,
            least_first: LEAST_LINES,
            least_last: LEAST_LINES,
            hang: None,
            bars: None,
            terms: Vec::new(),
            heading: None,
            head: None,
        }
    }
}

impl Typesetter<'_> {
    /// Sets blocks in a column of `width`. Facts should be filled in. Complains of what can't be set as meant.
    pub fn set_blocks(
        &mut self,
        blocks: &[Block],
        surroundings: &Surroundings<'_>,
        width: Abs,
        sink: &mut Sink,
    ) -> Vec<SetBlock> {
        let mut setter = Setter {
            typesetter: self,
            surroundings: *surroundings,
            width,
            out: Vec::new(),
            before: Before::Nothing,
            containers: 0,
            bars: None,
            label: None,
            code: f64::INFINITY,
            cells: 0,
        };
        setter.code = setter.code_of(blocks, sink);
        setter.blocks(blocks, &Inset::default(), sink);
        setter.out
    }
}

/// What came before a block, for its gap and indent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Before {
    Nothing,
    Heading,
    Paragraph,
    /// An item of the list that goes on.
    Item,
    Other,
}

/// Where in the column blocks are set: insets, what they are part of, tag of paragraphs, depth of lists.
#[derive(Debug, Clone, Default)]
pub(super) struct Inset {
    pub(super) left: Abs,
    pub(super) right: Abs,
    containers: Vec<Container>,
    role: Option<Role>,
    depth: usize,
}

impl Inset {
    /// The whole column, inside what another stands in.
    pub(super) fn in_column(other: &Self) -> Self {
        Self { containers: other.containers.clone(), ..Self::default() }
    }
    /// The same inside one thing more.
    pub(super) fn inside(&self, container: Container) -> Self {
        let mut containers = self.containers.clone();
        containers.push(container);
        Self { containers, ..self.clone() }
    }
}

pub(super) struct Setter<'t, 'a, 's> {
    pub typesetter: &'t mut Typesetter<'a>,
    pub(super) surroundings: Surroundings<'s>,
    pub width: Abs,
    pub out: Vec<SetBlock>,
    pub(super) before: Before,
    containers: u32,
    bars: Option<BarSpan>,
    pub(super) label: Option<Frame>,
    /// The size of all code of the text against the text's.
    pub(super) code: f64,
    /// Cells of tables that have been given lines of their own.
    pub(super) cells: usize,
}

impl Setter<'_, '_, '_> {
    pub fn style(&self) -> &TextStyle {
        self.typesetter.style()
    }
    fn em(&self) -> Abs {
        self.style().size
    }

    fn blocks(&mut self, blocks: &[Block], inset: &Inset, sink: &mut Sink) {
        for block in blocks {
            match block {
                Block::Heading { level, inlines } => self.heading(*level, inlines, inset, sink),
                Block::Paragraph(inlines) => self.paragraph(inlines, inset, sink),
                Block::List { ordered, start, items } => self.list(ordered.then_some(*start), items, inset, sink),
                Block::Table(table) => {
                    self.keep_before(Keep::Rather);
                    self.table(table, inset, sink);
                    self.before = Before::Other;
                }
                Block::Quote(inner) => self.quote(inner, inset, sink),
                Block::Image { path, alt, place } => self.picture(path, alt, *place, inset, sink),
                Block::Music(excerpt) => {
                    self.keep_before(Keep::Rather);
                    let mut block = SetBlock::new(Content::Music(excerpt.clone()), Role::Figure);
                    block.space_before = 1;
                    self.push(block, inset);
                    self.before = Before::Other;
                }
                Block::Code { text, place } => self.code(text, *place, inset, sink),
                Block::Rule => self.rule(inset),
            }
        }
    }

    /// Puts a block out with what it inherits: what it is part of, bars, the label that waits for a first line.
    pub fn push(&mut self, mut block: SetBlock, inset: &Inset) {
        block.containers.clone_from(&inset.containers);
        block.bars.clone_from(&self.bars);
        block.hang = self.label.take();
        if block.hang.is_some() && !self.out.is_empty() {
            block.space_before = block.space_before.max(1);
        }
        if self.out.is_empty() {
            block.space_before = 0;
        }
        self.out.push(block);
    }

    /// A list, an item, a table or a quotation that begins.
    pub(super) fn container(&mut self, role: Role) -> Container {
        self.containers += 1;
        Container { tag: Tag::new(role), number: self.containers }
    }

    fn heading(&mut self, level: u8, inlines: &[Inline], inset: &Inset, sink: &mut Sink) {
        let words = Inline::plain(inlines);
        if self.surroundings.hang_bars
            && let Some((mut span, rest)) = bar_heading(&words)
        {
            span.place = inlines.iter().find_map(Inline::place);
            // What follows the bars' numbers is set, and read, by itself.
            let bars = rest.as_deref().and_then(|rest| words.trim_end().strip_suffix(rest)).unwrap_or(&words);
            self.label = Some(self.hanging_label(&span, bars.trim_end_matches([':', '.', '\u{2014}', ' ']), sink));
            self.bars = Some(span);
            self.before = Before::Heading;
            if let Some(rest) = rest {
                self.set_heading(3, &[Inline::text(rest)], inset, sink);
            }
            return;
        }
        self.set_heading(level, inlines, inset, sink);
    }

    fn set_heading(&mut self, level: u8, inlines: &[Inline], inset: &Inset, sink: &mut Sink) {
        let look = ParagraphLook::heading(self.style(), level);
        let lines = self.lines(inlines, &look, inset, sink);
        if lines.is_empty() {
            return;
        }
        let mut block = SetBlock::new(Content::Lines(lines), Role::Heading(level));
        block.space_before = if level == 1 { 2 } else { 1 };
        block.keep_with_next = Keep::Always;
        block.heading = Some((level, Inline::plain(inlines)));
        self.push(block, inset);
        self.before = Before::Heading;
    }

    /// The numbers of bars in bold, read aloud as the words they were. No heading: the words beside them are what they label.
    fn hanging_label(&mut self, span: &BarSpan, words: &str, sink: &mut Sink) -> Frame {
        let look = ParagraphLook::hanging(self.style());
        let text =
            if span.first == span.last { span.first.clone() } else { format!("{}\u{2013}{}", span.first, span.last) };
        let label = self.typesetter.label(&text, &look, sink);
        let mut frame = Frame::new(label.size);
        frame.baseline = label.baseline;
        let tag = Tag { alt: Some(format!("{words}. ").into()), ..Tag::new(Role::Span) };
        frame.place_tagged(Point::default(), label, tag);
        frame
    }

    /// Lines in the column less its insets, each as wide as the column.
    pub fn lines(&mut self, inlines: &[Inline], look: &ParagraphLook, inset: &Inset, sink: &mut Sink) -> Vec<Line> {
        let width = self.width - inset.left - inset.right;
        let mut lines = self.typesetter.set(inlines, look, width, sink);
        for line in &mut lines {
            line.frame.shift(Point::new(inset.left, Abs::ZERO));
            line.frame.size.width = self.width;
        }
        lines
    }

    fn paragraph(&mut self, inlines: &[Inline], inset: &Inset, sink: &mut Sink) {
        let mut look = ParagraphLook::body(self.style());
        // A paragraph after another is told by its indent in justified text, by a step of space in ragged text.
        let follows = self.before == Before::Paragraph && self.label.is_none();
        let mut space = 0;
        if follows && self.style().justified {
            look.indent = self.em();
        } else if follows || self.before == Before::Other {
            space = 1;
        }
        let lines = self.lines(inlines, &look, inset, sink);
        if lines.is_empty() {
            return;
        }
        let mut block = SetBlock::new(Content::Lines(lines), inset.role.unwrap_or(Role::Paragraph));
        block.space_before = space;
        block.may_split = true;
        self.push(block, inset);
        self.before = Before::Paragraph;
    }

    fn list(&mut self, start: Option<u64>, items: &[Vec<Block>], inset: &Inset, sink: &mut Sink) {
        self.keep_after_colon();
        let look = ParagraphLook::body(self.style()).aligned(Align::Left);
        let marker = |nth: usize| {
            start.map_or_else(|| "\u{2022}".to_owned(), |start| format!("{}.", start.saturating_add(nth as u64)))
        };
        let mut markers = Vec::with_capacity(items.len());
        for nth in 0..items.len() {
            markers.push(self.typesetter.label(&marker(nth), &look, sink));
        }
        let widest = markers.iter().map(|marker| marker.size.width).fold(Abs::ZERO, Abs::max);
        let step = (self.em() * INSET).max(widest + self.em() * MARKER_GAP);
        // Deep lists in narrow columns must leave room for words.
        let room = self.width - inset.left - inset.right - step >= self.em() * 8.0;
        let list = self.container(Role::List(if start.is_some() { Marks::Numbers } else { Marks::Bullets }));
        let inner = Inset {
            left: inset.left + if room { step } else { Abs::ZERO },
            role: None,
            depth: inset.depth + 1,
            ..inset.inside(list)
        };
        let alone = Inset { role: Some(Role::ListItem), ..inner.clone() };
        let loose =
            items.iter().any(|item| item.iter().filter(|block| matches!(block, Block::Paragraph(_))).count() > 1);
        for (item, marker) in items.iter().zip(markers) {
            let first = self.out.len();
            let space = match self.before {
                Before::Item => u32::from(loose),
                // As near to its heading as a paragraph is.
                Before::Heading if self.label.is_none() => 0,
                _ => u32::from(inset.depth == 0),
            };
            self.before = Before::Heading;
            // What an item holds beside its paragraph, a list above all, is heard as part of it.
            if let [Block::Paragraph(_)] = item[..] {
                self.blocks(item, &alone, sink);
            } else {
                let inside = inner.inside(self.container(Role::ListItem));
                self.blocks(item, &inside, sink);
            }
            if let Some(block) = self.out.get_mut(first) {
                block.space_before = if first == 0 { 0 } else { space };
                block.terms = Inline::explained(item);
                if let Content::Lines(lines) = &mut block.content
                    && let Some(line) = lines.first_mut()
                {
                    let x = inner.left - marker.size.width - look.size * MARKER_GAP;
                    let at = Point::new(if room { x } else { x.max(Abs::ZERO) }, Abs::ZERO);
                    line.frame.place_first(at, marker, Tag::new(Role::Label));
                }
            }
            self.before = Before::Item;
        }
        self.before = if inset.depth == 0 { Before::Other } else { Before::Item };
    }

    /// The height of a page, where it is known.
    pub(super) const fn page_height(&self) -> Option<Abs> {
        self.surroundings.height
    }

    /// What ends in a colon stays with what it announces.
    fn keep_after_colon(&mut self) {
        self.keep_before(Keep::Loosely);
    }

    /// The same; and the last lines of any other paragraph hold as said to what follows it.
    pub(super) fn keep_before(&mut self, rather: Keep) {
        if self.before == Before::Paragraph
            && let Some(SetBlock { content: Content::Lines(lines), keep_with_next, .. }) = self.out.last_mut()
        {
            let announces = lines.last().is_some_and(|line| ends_in_colon(&line.frame));
            *keep_with_next = (*keep_with_next).max(if announces { Keep::Always } else { rather });
        }
    }

    fn quote(&mut self, inner: &[Block], inset: &Inset, sink: &mut Sink) {
        let step = self.em() * INSET;
        let room = self.width - inset.left - inset.right - step * 2.0 >= self.em() * 8.0;
        let step = if room { step } else { Abs::ZERO };
        let quote = self.container(Role::Quote);
        let inner_inset =
            Inset { left: inset.left + step, right: inset.right + step, role: None, ..inset.inside(quote) };
        self.before = Before::Heading;
        let first = self.out.len();
        self.blocks(inner, &inner_inset, sink);
        if let Some(block) = self.out.get_mut(first) {
            block.space_before = u32::from(first > 0);
        }
        self.before = Before::Other;
    }

    fn picture(&mut self, path: &str, alt: &str, place: Place, inset: &Inset, sink: &mut Sink) {
        let known = self.surroundings.pictures.and_then(|pictures| pictures.get(path)).copied();
        let Some(natural) = known.flatten() else {
            if known.is_none() {
                let message = format!("`{path}` is no picture that can be set; its words stand for it");
                sink.warn(code!("no-picture"), Some(place), message).hints.push("give a PNG, JPEG or SVG file".into());
            }
            let words = if alt.trim().is_empty() { path } else { alt };
            self.paragraph(&[Inline::Emphasis(vec![Inline::text(format!("[{words}]"))])], inset, sink);
            self.before = Before::Other;
            return;
        };
        let shape = natural.height / natural.width;
        let room = self.width - inset.left - inset.right;
        // No picture is wider than the column or higher than the column is wide, nor than a page.
        let high = self.surroundings.height.map_or(room, |height| height.min(room));
        let width = natural.width.min(room).min(high / shape);
        let lead = self.style().leading;
        let height = lead * (width * shape / lead).floor().max(1.0);
        let size = Size::new((height / shape).min(room), height);
        let content = Content::Picture { path: path.to_owned(), alt: alt.to_owned(), size, place };
        let mut block = SetBlock::new(content, Role::Figure);
        block.tag = Tag::figure(alt);
        block.space_before = 1;
        self.push(block, inset);
        self.before = Before::Other;
    }

    /// A short rule in the middle of an empty step.
    fn rule(&mut self, inset: &Inset) {
        let lead = steps(self.style(), 1);
        let mut frame = Frame::new(Size::new(self.width, lead));
        let half = self.em() * 3.0;
        let middle = self.width * 0.5;
        let y = baseline(self.style()) - self.em() * 0.25;
        frame.line(Point::new(middle - half, y), Point::new(middle + half, y), Abs::pt(0.5), Ink::Black);
        let mut block = SetBlock::new(Content::Piece(frame), Role::Artifact);
        block.space_before = 1;
        self.push(block, inset);
        self.before = Before::Other;
    }
}

fn ends_in_colon(frame: &Frame) -> bool {
    frame.items().last().is_some_and(|(_, item)| matches!(item, Item::Text(run) if run.text.trim_end().ends_with(':')))
}

#[cfg(test)]
#[path = "blocks_tests.rs"]
mod tests;
