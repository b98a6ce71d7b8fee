//! A tune into pieces: head, music, the words below it, commentary after it or between its systems, notes for the teacher,
//! practice ladder.

use super::costs::PARTED_TUNE;
use super::fill::{Walk, pages_needed};
use super::flow::{Before, Gap, Opening, Piece, Substance};
use super::material::TuneMaterial;
use super::prose::{self, Column, Extras, SetPieces};
use super::setting::{Compositor, Setting};
use super::{closer, ladder, stack, teacher, tune_head, verses};
use crate::book::{CommentaryPlace, Extra};
use crate::frame::{Role, Tag};
use crate::geom::{Abs, Sp};
use crate::style::TunePages;
use crate::tune::BarLabel;
use std::sync::Arc;

/// White between the head and the first system.
const UNDER_HEAD: Sp = Sp::sp(2.0);
/// White between words and the system under them: a bar number stands at its upper left, near the words.
const UNDER_WORDS: Sp = Sp::sp(2.6);

/// White between music and the words after it, in lines: as much as between paragraphs at least.
const OVER_WORDS: f64 = 1.0;

/// The pieces of the tune of this number in the book.
pub(super) fn pieces(
    setting: &Setting<'_>,
    material: &TuneMaterial<'_>,
    tune: usize,
    extras: Extras<'_>,
    comp: &mut Compositor<'_>,
) -> Vec<Piece> {
    let mut head = tune_head::pieces(setting, material, comp);
    let mut music = stack::systems(setting, &material.systems, &material.alt);
    for piece in &mut music {
        for tag in &mut piece.tags {
            tag.0 = comp.number();
        }
    }
    teacher::add_curves(setting, material, &mut music);
    let space = setting.book.engraving.space;
    if let Some(first) = music.first_mut() {
        let white = UNDER_HEAD.at(space);
        first.gap = Gap { natural: white, stretch: white * 0.5, shrink: white * 0.5 };
        first.before = Before::Never;
    }
    for piece in head.iter_mut().chain(&mut music) {
        piece.substance = Substance::Music(tune);
    }
    fit(setting, material, &head, &mut music, comp);
    let verses = verses::pieces(setting, material, tune, comp);
    let mut notes = teacher_notes(setting, material, tune, extras, comp);
    notes.extend(teacher::pieces(setting, material, tune, comp));
    let ladder = ladder_piece(setting, material, tune, comp);
    let mut set = |way: &Way, comp: &mut Compositor<'_>| {
        let said = commentary(setting, material, tune, extras, way.column.of(setting), comp);
        let mut music = music.clone();
        // Drawings of the bellows part systems in their own way.
        if way.tight && !setting.book.shows(Extra::BellowsCurves) {
            stack::tighten(setting, &material.systems, &mut music);
        }
        let mut out = head.clone();
        out.extend(interleave(setting, material, music, &verses, said));
        let said = out.len();
        out.extend(notes.iter().chain(&ladder).cloned());
        open(setting, &mut out);
        let mut out = match way.closer {
            Some(level) => closer::by_level(&out, setting.area, level),
            None => out,
        };
        if !way.near {
            closer::seams(&mut out[..said], setting.area, setting.baseline());
        }
        out
    };
    let mut out = fewest_pages(setting, &mut set, comp);
    forbid_parting(setting, &mut out);
    out
}

/// The columns that commentary may be set in.
#[derive(Debug, Clone, Copy)]
enum Measure {
    Usual,
    /// A little wider.
    Wider,
}

impl Measure {
    fn of(self, setting: &Setting<'_>) -> Column {
        let usual = Column::with_bars(setting);
        match self {
            Self::Usual => usual,
            Self::Wider => usual.wider(setting),
        }
    }
}

/// How a tune may be set where its usual way takes a page more.
struct Way {
    column: Measure,
    /// By which level its words stand closer.
    closer: Option<usize>,
    /// Whether its systems may stand nearer to each other than their letters to their own staves.
    tight: bool,
    /// Whether its words may stand nearer to its music than its paragraphs to each other.
    near: bool,
}

const fn way(column: Measure, closer: Option<usize>, tight: bool) -> Way {
    Way { column, closer, tight, near: false }
}

/// The way with its words near to its music.
const fn near(way: Way) -> Way {
    Way { near: true, ..way }
}

/// The ways of a tune, from what a reader sees least to what is hardest to read: white between paragraphs gives way before
/// the measure, which is seen to differ from page to page, lines after that, the white between words and music and that between
/// systems last (judged on the page).
const WAYS: [Way; 9] = [
    way(Measure::Usual, None, false),
    way(Measure::Usual, Some(0), false),
    way(Measure::Wider, None, false),
    way(Measure::Wider, Some(0), false),
    way(Measure::Wider, Some(1), false),
    way(Measure::Wider, Some(2), false),
    near(way(Measure::Wider, Some(2), false)),
    way(Measure::Wider, Some(2), true),
    near(way(Measure::Wider, Some(2), true)),
];

/// The first way that takes no more pages than the closest one. In large print no system stands tight.
fn fewest_pages(
    setting: &Setting<'_>,
    set: &mut dyn FnMut(&Way, &mut Compositor<'_>) -> Vec<Piece>,
    comp: &mut Compositor<'_>,
) -> Vec<Piece> {
    let ways = || WAYS.iter().filter(|way| !(way.tight && setting.is_large()));
    let usual = set(&WAYS[0], comp);
    let pages = pages_needed(&usual, setting.area);
    if pages <= 1 {
        return usual;
    }
    let closest = ways().next_back().map(|way| set(way, comp)).unwrap_or_default();
    let fewest = pages_needed(&closest, setting.area);
    if fewest >= pages {
        return usual;
    }
    let found = ways().skip(1).map(|way| set(way, comp)).find(|out| pages_needed(out, setting.area) <= fewest);
    found.unwrap_or(closest)
}

/// Lines of music that no page holds, or no type area, are set smaller, and the author is told.
fn fit(
    setting: &Setting<'_>,
    material: &TuneMaterial<'_>,
    head: &[Piece],
    music: &mut [Piece],
    comp: &mut Compositor<'_>,
) {
    let over_music: Abs = head.iter().map(|piece| piece.height + piece.gap.natural).sum();
    let (mut high, mut wide) = (1.0_f64, 1.0_f64);
    for (n, piece) in music.iter_mut().enumerate() {
        // The first line stands on the page of the title, if that leaves it any room.
        let taken = if n == 0 { (over_music + piece.gap.natural).min(setting.area.height * 0.4) } else { Abs::ZERO };
        let height = (setting.area.height - taken) / piece.height;
        let width = setting.width / piece.frame.size.width;
        let factor = height.min(width);
        if factor >= 1.0 - 1e-6 || !factor.is_finite() || factor <= 0.0 {
            continue;
        }
        (high, wide) = (high.min(height), wide.min(width));
        piece.frame = Arc::new(piece.frame.scaled(factor));
        piece.height = piece.height * factor;
    }
    let place = Some(material.entry.place);
    let hint = "give it a smaller staff or a larger page";
    let told = |what: &str, factor: f64| {
        let (title, share) = (&material.entry.title, factor * 100.0);
        format!("`{title}` has a line of music {what}; it is set at {share:.0} % of its size")
    };
    if high < 1.0 - 1e-6 {
        comp.sink.warn(code!("over-the-page"), place, told("higher than its page", high)).hints.push(hint.into());
    }
    if wide < 1.0 - 1e-6 {
        comp.sink.warn(code!("over-the-margin"), place, told("wider than the type area", wide)).hints.push(hint.into());
    }
}

fn ladder_piece(
    setting: &Setting<'_>,
    material: &TuneMaterial<'_>,
    tune: usize,
    comp: &mut Compositor<'_>,
) -> Option<Piece> {
    let frame = ladder::ladder(setting, material.entry)?;
    let height = frame.size.height;
    let mut piece = Piece::of_text(frame, height).after(setting.steps(1.0));
    piece.at_foot = setting.book.page.tunes == TunePages::NewPage;
    piece.substance = Substance::Commentary(tune);
    Some(piece.tagged(comp.number(), Tag::new(Role::Paragraph)))
}

fn commentary(
    setting: &Setting<'_>,
    material: &TuneMaterial<'_>,
    tune: usize,
    extras: Extras<'_>,
    column: Column,
    comp: &mut Compositor<'_>,
) -> Vec<SetPieces> {
    let mut said = prose::set(setting, &material.commentary, extras, column, comp);
    for piece in said.iter_mut().flat_map(|block| &mut block.pieces) {
        piece.substance = Substance::Commentary(tune);
    }
    said
}

/// Puts the words below a tune and what is said after the music, or each block after the system that ends its bars; what is said before any bar is named
/// then leads into the tune.
fn interleave(
    setting: &Setting<'_>,
    material: &TuneMaterial<'_>,
    music: Vec<Piece>,
    verses: &[Piece],
    said: Vec<SetPieces>,
) -> Vec<Piece> {
    let last = music.len().saturating_sub(1);
    let mut after: Vec<Vec<SetPieces>> = vec![Vec::new(); music.len().max(1)];
    let between = material.entry.commentary_place == CommentaryPlace::Between;
    let mut said = said.into_iter().peekable();
    let mut lead = Vec::new();
    if between {
        while let Some(block) = said.next_if(|block| block.bars.is_none()) {
            lead.push(block);
        }
    }
    for block in said {
        let system = block.bars.as_ref().filter(|_| between).and_then(|(_, end)| system_of(material, end));
        after[system.unwrap_or(last)].push(block);
    }
    let mut out = prose::flat(lead);
    if let Some(first) = out.first_mut() {
        first.before = Before::Never;
        first.gap.natural = first.gap.natural.max(first.height * 0.5);
    }
    let mut music = music.into_iter();
    let white = UNDER_WORDS.at(setting.book.engraving.space);
    for (nth, blocks) in after.into_iter().enumerate() {
        let after_words = out.last().is_some_and(|last| matches!(last.substance, Substance::Commentary(_)));
        out.extend(music.next().map(|mut system| {
            if after_words {
                // Its white was measured to the system above the words, into which it may nest.
                system.gap.natural = system.gap.natural.max(white);
                system.gap.shrink = white * 0.55;
            }
            system
        }));
        if nth == last {
            out.extend_from_slice(verses);
        }
        let mut first = true;
        for piece in prose::flat(blocks) {
            out.push(if first { roomier(piece) } else { piece });
            first = false;
        }
    }
    out
}

/// A little more white than its own before the first words after music.
fn roomier(mut piece: Piece) -> Piece {
    let least = piece.height * OVER_WORDS;
    piece.gap = Gap { natural: piece.gap.natural.max(least), stretch: piece.height, shrink: least * 0.5 };
    piece
}

/// The system that holds the bar of this label.
fn system_of(material: &TuneMaterial<'_>, label: &str) -> Option<usize> {
    let bar = material.entry.tune.bar_index(BarLabel::parse(label)?)?;
    material.systems.iter().position(|system| system.bars.iter().any(|extent| extent.bar == bar))
}

fn teacher_notes(
    setting: &Setting<'_>,
    material: &TuneMaterial<'_>,
    tune: usize,
    extras: Extras<'_>,
    comp: &mut Compositor<'_>,
) -> Vec<Piece> {
    if material.teacher_notes.is_empty() {
        return Vec::new();
    }
    let mut out = teacher::heading(setting, setting.words.teacher_notes, comp);
    let notes = prose::flat(prose::set(setting, &material.teacher_notes, extras, Column::with_bars(setting), comp));
    let mut notes = notes.into_iter();
    out.extend(notes.next().map(|piece| piece.breaking(Before::Never)));
    out.extend(notes);
    for piece in &mut out {
        piece.substance = Substance::Commentary(tune);
    }
    out
}

/// The rule above the whole tune.
fn open(setting: &Setting<'_>, pieces: &mut [Piece]) {
    let Some(first) = pieces.first_mut() else { return };
    match setting.book.page.tunes {
        TunePages::NewPage => first.before = Before::Opens(Opening::Page),
        TunePages::RunOn => {
            first.before = Before::Free;
            let step = setting.area.step;
            first.gap = Gap { natural: step * 2.0, stretch: step * 2.0, shrink: step * 0.5 };
        }
    }
}

/// A tune that goes on one page is not parted. Where only its music does and tunes begin pages, the two pages that the tune
/// takes anyway may share it; between other things on a page the music stays whole.
fn forbid_parting(setting: &Setting<'_>, pieces: &mut [Piece]) {
    let fits = |walk: &Walk| walk.bottom().fits(setting.area.height);
    let mut walk = Walk::new();
    let mut music_fits = true;
    for piece in pieces.iter() {
        walk.put(piece, setting.area.step, -1.0);
        if matches!(piece.substance, Substance::Music(_)) {
            music_fits = fits(&walk);
        }
    }
    let all_fits = fits(&walk);
    let music_whole = music_fits && setting.book.page.tunes == TunePages::RunOn;
    for piece in pieces.iter_mut().skip(1) {
        let whole = all_fits || (music_whole && matches!(piece.substance, Substance::Music(_)));
        if whole && piece.before == Before::Free {
            piece.before = Before::Dear(PARTED_TUNE);
        }
    }
}
