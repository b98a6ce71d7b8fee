//! Set blocks of text into pieces: lines with their rules at page breaks, hanging labels, pictures, examples.

use super::costs::EXPLAINED;
use super::flow::{Before, Piece, lines};
use super::material::Example;
use super::picture::{self, Pictures};
use super::setting::{Compositor, Setting};
use super::stack;
use crate::frame::{Frame, Tag};
use crate::geom::{Abs, Point};
use crate::text::{Block, Content, Keep, SetBlock, Surroundings, longest_code};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What a text may hold beyond words.
#[derive(Debug, Clone, Copy)]
pub(super) struct Extras<'a> {
    /// Engraved examples.
    pub examples: &'a [Example],
    /// The pictures of the book.
    pub(super) pictures: &'a Pictures,
}

/// Pieces of one set block, with the bars it speaks of.
#[derive(Debug, Clone)]
pub(super) struct SetPieces {
    /// The pieces.
    pub pieces: Vec<Piece>,
    /// First and last bar as the author wrote them.
    pub bars: Option<(String, String)>,
    /// A heading's level and words.
    pub heading: Option<(u8, String)>,
    /// What it explains.
    pub terms: Vec<String>,
}

/// The column that blocks are set in.
#[derive(Debug, Clone, Copy)]
pub(super) struct Column {
    /// How wide it is.
    pub width: Abs,
    /// Whether headings that name bars stand beside the text.
    pub hang_bars: bool,
}

impl Column {
    /// The text column.
    pub const fn text(setting: &Setting<'_>) -> Self {
        Self { width: setting.measure, hang_bars: false }
    }
    /// The same column a little wider, where that spares a page.
    pub fn wider(self, setting: &Setting<'_>) -> Self {
        Self { width: (self.width * WIDER).min(setting.width), ..self }
    }
    /// The same column with bar numbers beside it.
    pub const fn with_bars(setting: &Setting<'_>) -> Self {
        Self { hang_bars: true, ..Self::text(setting) }
    }
}

/// A wider column still has less than 80 characters a line (WCAG 2, 1.4.8).
const WIDER: f64 = 1.18;

/// Whether a line of code of a text goes on below. Only code that might is set, and what is wrong with it is told where it stands.
pub(super) fn turns_code(
    setting: &Setting<'_>,
    blocks: &[Block],
    extras: Extras<'_>,
    column: Column,
    comp: &mut Compositor<'_>,
) -> bool {
    let text = &setting.book.text;
    if text.smallest * SURELY_WIDE * longest_code(blocks) as f64 <= setting.width * SURELY_ROOM {
        return false;
    }
    let told = std::mem::take(&mut comp.sink);
    let (set, _) = laid(setting, blocks, extras, column, comp);
    comp.sink = told;
    set.iter().any(|block| block.is_turned)
}

/// Letters of one width are narrower than this share of their size, and code has more than this share of the page, in lists too
/// (judged on the carried faces).
const SURELY_WIDE: f64 = 0.5;
/// See [`SURELY_WIDE`].
const SURELY_ROOM: f64 = 0.6;

/// Blocks set in a column, and how far the column stands in for the labels beside it.
fn laid(
    setting: &Setting<'_>,
    blocks: &[Block],
    extras: Extras<'_>,
    column: Column,
    comp: &mut Compositor<'_>,
) -> (Vec<SetBlock>, Abs) {
    let mut surroundings = Surroundings {
        pictures: Some(&extras.pictures.sizes),
        hang_bars: column.hang_bars,
        height: Some(setting.area.height),
        widest: Some(setting.width),
    };
    let mut set = comp.set_blocks(blocks, &surroundings, column.width);
    // Labels stand inside the type area, whose left edge is the margin of the binding on every right-hand page; the column moves
    // over for them, and gives way where the page has no room to spare.
    let mut indent = Abs::ZERO;
    let widest =
        set.iter().filter_map(|block| block.hang.as_ref()).map(|hang| hang.size.width).fold(Abs::ZERO, Abs::max);
    if widest > Abs::ZERO {
        indent = widest + setting.steps(HANG_GAP);
        let room = setting.width - indent;
        let wide = |block: &SetBlock| matches!(&block.content, Content::Piece(frame) if !frame.size.width.fits(room));
        if !column.width.fits(room) || set.iter().any(wide) {
            surroundings.widest = Some(room);
            set = comp.set_blocks(blocks, &surroundings, column.width.min(room));
        }
    }
    (set, indent)
}

/// Sets blocks in a column.
pub(super) fn set(
    setting: &Setting<'_>,
    blocks: &[Block],
    extras: Extras<'_>,
    column: Column,
    comp: &mut Compositor<'_>,
) -> Vec<SetPieces> {
    let (set, indent) = laid(setting, blocks, extras, column, comp);
    let mut containers: BTreeMap<u32, u64> = BTreeMap::new();
    let mut keep = Keep::default();
    let mut out = Vec::new();
    for block in set {
        let bars = block.bars.as_ref().map(|bars| (bars.first.clone(), bars.last.clone()));
        let keep_next = block.keep_with_next;
        let space = setting.steps(f64::from(block.space_before));
        let mut number = |number: u32| *containers.entry(number).or_insert_with(|| comp.number());
        let outer: Vec<(u64, Tag)> =
            block.containers.iter().map(|container| (number(container.number), container.tag.clone())).collect();
        let tag = (comp.number(), block.tag.clone());
        let head = block.head.clone();
        let (heading, terms) = (block.heading.clone(), block.terms.clone());
        let mut pieces = pieces(setting, block, extras, comp);
        if let Some(first) = pieces.first_mut() {
            first.gap.natural = first.gap.natural.max(space);
            // White of several steps, over headings, gives way down to one where that spares a page of a few lines.
            first.gap.shrink = first.gap.shrink.max(space - setting.area.step);
            match keep {
                Keep::Always => first.before = Before::Never,
                Keep::Rather if first.before == Before::Free => first.before = Before::Dear(EXPLAINED),
                _ => {}
            }
            keep = keep_next;
        }
        for piece in &mut pieces {
            piece.head.clone_from(&head);
            if piece.on_grid {
                piece.x = indent;
            }
            let mut own = std::mem::take(&mut piece.tags);
            own.iter_mut().for_each(|tag| tag.0 = comp.number());
            // No more room than that: there is a piece for each line of the book.
            piece.tags.reserve_exact(outer.len() + own.len().max(1));
            piece.tags.extend(outer.iter().cloned());
            if own.is_empty() {
                piece.tags.push(tag.clone());
            }
            piece.tags.extend(own);
        }
        out.push(SetPieces { pieces, bars, heading, terms });
    }
    out
}

/// The pieces of all blocks in a row.
pub(super) fn flat(set: Vec<SetPieces>) -> Vec<Piece> {
    set.into_iter().flat_map(|block| block.pieces).collect()
}

fn pieces(setting: &Setting<'_>, block: SetBlock, extras: Extras<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let mut out = match block.content {
        Content::Lines(frames) => {
            let frames = frames.into_iter().map(|line| line.frame).collect();
            let least = (block.least_first as usize, block.least_last as usize);
            lines(frames, least, block.may_split)
        }
        Content::Piece(frame) => vec![whole(setting, frame)],
        Content::Picture { path, alt, size, place } => {
            let Some(frame) = picture::frame(setting.book, extras.pictures, &path, size, place, &mut comp.sink) else {
                return Vec::new();
            };
            vec![whole(setting, frame).tagged(0, Tag::figure(alt))]
        }
        Content::Music(excerpt) => {
            let Some(example) = extras.examples.iter().find(|example| example.source == excerpt) else {
                return Vec::new();
            };
            stack::systems(setting, &example.systems, &example.alt)
        }
    };
    if let (Some(hang), Some(first)) = (block.hang, out.first_mut()) {
        hang_beside(setting, first, hang);
    }
    out
}

/// A frame as one piece, its height made whole steps.
fn whole(setting: &Setting<'_>, frame: Frame) -> Piece {
    let height = setting.whole_steps(frame.size.height);
    Piece::of_text(frame, height)
}

/// Puts a label beside a line, its right edge a little left of the column.
fn hang_beside(setting: &Setting<'_>, first: &mut Piece, hang: Frame) {
    let mut frame = Frame::new(first.frame.size);
    frame.place(Point::new(-hang.size.width - setting.steps(HANG_GAP), Abs::ZERO), hang);
    frame.place_shared(Point::default(), Arc::clone(&first.frame));
    first.frame = frame.shared();
}

/// Steps between a label and the column.
const HANG_GAP: f64 = 0.4;
