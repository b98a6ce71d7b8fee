//! The key: exactly the signs that the engraved systems used, drawn by the code that draws the music, with one sentence each;
//! and what a teacher's edition draws beside the music.

use super::columns::{self, Columns, Slot};
use super::names::anchor;
use super::rows;
use crate::book::{Extra, Matter};
use crate::engrave::{Sign, draw_sign};
use crate::fingering::LeftPress;
use crate::frame::{Frame, Marks, Role, Tag};
use crate::geom::{Abs, Point, Size};
use crate::instrument::LeftKind;
use crate::page::chapter;
use crate::page::desk::Desk;
use crate::page::fill::pages_needed;
use crate::page::flow::fixed;
use crate::page::flow::{Before, Piece};
use crate::page::prose::{self, Column};
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::page::teacher;
use crate::page::words::Words;
use crate::text::{Inline, turn_sign};
use crate::tune::Address;
use std::collections::BTreeSet;

/// The signs used by all systems of the book, tunes and examples.
pub(super) fn used(desk: &Desk<'_>) -> BTreeSet<Sign> {
    let tunes = desk.material.tunes.iter().flat_map(|tune| &tune.systems);
    let examples = desk.material.examples.iter().flat_map(|example| &example.systems);
    tunes.chain(examples).flat_map(|system| system.signs.iter().copied()).collect()
}

/// The group of a sign in the table of group names.
const fn group(sign: Sign) -> usize {
    match sign {
        Sign::RowHead(_) | Sign::Place | Sign::Finger | Sign::Button | Sign::BoxedButton => 0,
        Sign::Pull | Sign::Push | Sign::Reversal | Sign::Replay | Sign::AirOpen | Sign::AirClose => 1,
        Sign::Bass | Sign::Chord | Sign::LeftHold | Sign::LeftStem | Sign::ChordSymbol => 2,
        Sign::Repeat | Sign::Ending | Sign::PickUp | Sign::Segno | Sign::Coda | Sign::Jump | Sign::BarNumber => 4,
        _ => 3,
    }
}

/// The key: one sign under the other, or in two columns where that spares a page and leaves the sentences room.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let drawn = drawn(desk, comp);
    let single = single(desk, &drawn, comp);
    if pages_needed(&single, desk.setting.area) == 1 {
        return single;
    }
    match doubled(desk, &drawn, comp) {
        Some(doubled) if doubled.len() < 3 || doubled.len() - 2 < pages_needed(&single, desk.setting.area) => doubled,
        _ => single,
    }
}

/// One entry of the key.
struct Shown {
    /// Its place in the table of group names.
    group: usize,
    drawing: Frame,
    sentence: String,
}

/// Each entry with its drawing, and the width of the drawings' column.
fn drawn(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> (Vec<Shown>, Abs) {
    let setting = desk.setting;
    let draw = |sign: Sign| Shown {
        group: group(sign),
        drawing: draw_sign(sign, &setting.book.engraving, setting.fonts()),
        sentence: sentence(desk, sign),
    };
    let mut drawn: Vec<Shown> = used(desk).into_iter().map(draw).collect();
    drawn.extend(for_teachers(desk));
    if turns_code(desk, comp) {
        let letter = setting.scale.size(Named::Text) * CODE_LETTER;
        drawn.push(Shown { group: 5, drawing: turn_sign(letter), sentence: setting.words.key_turned.to_owned() });
    }
    let widest = drawn.iter().map(|shown| shown.drawing.size.width).fold(Abs::ZERO, Abs::max);
    let column = widest.min(setting.width * 0.4) + setting.scale.size(Named::Text) * 1.5;
    (drawn, column)
}

/// How wide a letter of code is that is set in the size of the text, nearly.
const CODE_LETTER: f64 = 0.6;

/// Whether a line of code goes on below, in a chapter or in what is said of a tune.
fn turns_code(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> bool {
    let setting = desk.setting;
    let chapters = desk.material.chapters.iter().map(|blocks| (blocks, Column::text(setting)));
    let tunes = desk.material.tunes.iter().flat_map(|tune| [&tune.commentary, &tune.teacher_notes]);
    let mut texts = chapters.chain(tunes.map(|blocks| (blocks, Column::with_bars(setting))));
    texts.any(|(blocks, column)| prose::turns_code(setting, blocks, desk.extras, column, comp))
}

/// The sentence of a sign, with what is said only where the book has it.
fn sentence(desk: &Desk<'_>, sign: Sign) -> String {
    let (book, words) = (desk.setting.book, desk.setting.words);
    let sentence = (words.sign)(sign, &book.engraving.signs);
    let also = match sign {
        Sign::Chord => {
            let presses = desk.material.tunes.iter().flat_map(|tune| &tune.plan.left).filter(|press| !press.dropped);
            let minor = |press: &LeftPress| press.kind == LeftKind::Chord && press.name.ends_with('m');
            presses.into_iter().any(minor).then_some(words.key_minor)
        }
        Sign::BarNumber => {
            let mut bars = book.tunes().flat_map(|entry| &entry.tune.bars);
            bars.any(|bar| bar.label.second_half).then_some(words.key_second_half)
        }
        _ => None,
    };
    also.map_or(sentence.clone(), |also| format!("{sentence} {also}"))
}

/// What a teacher's edition draws beside the music.
fn for_teachers(desk: &Desk<'_>) -> Vec<Shown> {
    let setting = desk.setting;
    let (book, words) = (setting.book, setting.words);
    let mut out = Vec::new();
    if book.shows(Extra::PlaceMaps) {
        let label = setting.scale.label(Named::Label, "9.1");
        let mut drawing = Frame::new(Size::new(label.width, setting.scale.cap_height(Named::Label)));
        label.put(&mut drawing, Point::new(Abs::ZERO, setting.scale.cap_height(Named::Label)));
        let addresses: Vec<Address> =
            desk.material.tunes.iter().flat_map(teacher::moves).filter_map(|(_, address)| address).collect();
        out.push(Shown { group: 0, drawing, sentence: of_addresses(words, &addresses) });
    }
    if book.shows(Extra::BellowsCurves) {
        out.push(Shown { group: 1, drawing: teacher::sample_curve(setting), sentence: words.key_curve.to_owned() });
    }
    out
}

/// How the notes are named at which the hand comes to a place: with a second half and a grace note where one of them is such.
fn of_addresses(words: &Words, addresses: &[Address]) -> String {
    let also = [
        (words.key_places, true),
        (words.key_places_second_half, addresses.iter().any(|address| address.bar.second_half)),
        (words.key_places_grace, addresses.iter().any(|address| address.grace.is_some())),
    ];
    let said: Vec<&str> = also.into_iter().filter(|(_, is_there)| *is_there).map(|(words, _)| words).collect();
    said.join(" ")
}

/// A column whose sentences have fewer ems of room breaks them too often.
const LEAST_ROOM: f64 = 13.0;

/// The key in two columns; `None` where they would be too narrow.
fn doubled(desk: &Desk<'_>, (drawn, column): &(Vec<Shown>, Abs), comp: &mut Compositor<'_>) -> Option<Vec<Piece>> {
    let setting = desk.setting;
    let words = setting.words;
    let column = *column;
    let step = setting.area.step;
    let gap = setting.scale.size(Named::Text) * 2.0;
    let width = (setting.width - gap) / 2.0;
    let room = width - column;
    if room < setting.scale.size(Named::Text) * LEAST_ROOM {
        return None;
    }
    let mut out = vec![chapter::head(desk, words.key, &anchor(Matter::Key), comp)];
    out.extend(setting.paragraph(Named::Text, words.key_intro, comp));
    out[1].gap = fixed(step);
    let used: Abs = out.iter().map(|piece| piece.height + piece.gap.natural).sum::<Abs>() + step;
    let mut slots = Vec::new();
    for (n, title) in words.key_groups.iter().enumerate() {
        let in_group: Vec<_> = drawn.iter().filter(|shown| shown.group == n).collect();
        let last = in_group.len().saturating_sub(1);
        for (m, shown) in in_group.into_iter().enumerate() {
            if m == 0 {
                let frame = comp.label(title, &setting.scale.look(Named::Heading));
                slots.push(Slot { frame, gap: step * 1.5, keep: true, role: Role::Heading(2), under: None });
            }
            let frame = entry(desk, shown, column, room, false, comp);
            let keep = m == 0 || m + 1 == last;
            slots.push(Slot { frame, gap: Abs::ZERO, keep, role: Role::ListItem, under: None });
        }
    }
    let columns = Columns { count: 2, width, gap, area: setting.area, used, closer: 1.0 };
    let mut pages = columns::pieces(slots, &columns, setting, comp);
    if let Some(first) = pages.first_mut() {
        first.gap = fixed(step);
    }
    out.extend(pages);
    Some(out)
}

/// The key in one column as wide as text.
fn single(desk: &Desk<'_>, (drawn, column): &(Vec<Shown>, Abs), comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let words = setting.words;
    let mut out = vec![chapter::head(desk, words.key, &anchor(Matter::Key), comp)];
    out.extend(setting.paragraph(Named::Text, words.key_intro, comp));
    out[1].gap = fixed(setting.area.step);
    let column = *column;
    // Most sentences then stand on one line; no line is longer than the text column.
    let room = setting.measure.min(setting.width - column);
    for (n, title) in words.key_groups.iter().enumerate() {
        let in_group: Vec<_> = drawn.iter().filter(|shown| shown.group == n).collect();
        if in_group.is_empty() {
            continue;
        }
        let mut heading = rows::heading(desk, title, 2, comp);
        let list = (comp.number(), Tag::new(Role::List(Marks::None)));
        let last = in_group.len() - 1;
        for (m, shown) in in_group.into_iter().enumerate() {
            let frame = entry(desk, shown, column, room, true, comp);
            let height = frame.size.height;
            let mut piece = Piece::of_text(frame, height);
            piece.tags = vec![list.clone(), (comp.number(), Tag::new(Role::ListItem))];
            if m == 0 || m == last {
                piece.before = Before::Never;
            }
            heading.push(piece);
        }
        out.extend(heading);
    }
    out
}

/// One sign at the left, its sentence in a column beside it. A sign no higher than a line has its middle on the sentence's first
/// line, where one looks for it; a higher one begins where the sentence begins.
fn entry(desk: &Desk<'_>, shown: &Shown, column: Abs, room: Abs, on_grid: bool, comp: &mut Compositor<'_>) -> Frame {
    let setting = desk.setting;
    let step = setting.area.step;
    let (drawing, sentence) = (&shown.drawing, shown.sentence.as_str());
    let mut look = setting.scale.look(Named::Text);
    look.align = crate::text::Align::Left;
    look.hyphenate = false;
    let lines = comp.set(&[Inline::text(sentence)], &look, room);
    let text_height: Abs = lines.iter().map(|line| line.frame.size.height).sum();
    let first = lines.first().map_or(Abs::ZERO, |line| line.frame.size.height) / 2.0;
    let high = drawing.size.height;
    // Row heights are whole steps with some white, but for columns, whose lines don't stand beside text.
    let tight = (high + step * 0.5).max(text_height + step * 0.4);
    let height = if on_grid { setting.whole_steps(tight).max(step * 1.5) } else { tight };
    let mut frame = Frame::new(Size::new(column + room, height));
    let middle = height / 2.0;
    let highest = middle - high.max(text_height) / 2.0;
    let sign_top = (middle - text_height / 2.0 + first - high / 2.0).max(highest);
    // The sentence says what is drawn, and is heard once.
    frame.place_tagged(Point::new(Abs::ZERO, sign_top), drawing.clone(), Tag::new(Role::Artifact));
    let mut words = Frame::new(Size::new(room, text_height));
    let mut y = Abs::ZERO;
    for line in lines {
        let height = line.frame.size.height;
        words.place(Point::new(Abs::ZERO, y), line.frame);
        y += height;
    }
    // A line's own middle lies at the middle of its small letters, a little over half of the step.
    let lift = step * 0.06;
    frame.place_tagged(Point::new(column, middle - text_height / 2.0 - lift), words, Tag::new(Role::Paragraph));
    frame
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::page::words::words;

    /// Neither the plus of a second half nor the letter of a grace note can be guessed.
    #[test]
    fn addresses_are_explained_as_far_as_the_book_has_them() {
        let of = |language: &str, addresses: &[&str]| {
            let addresses: Vec<Address> = addresses.iter().filter_map(|text| Address::parse(text)).collect();
            let said = of_addresses(words(language), &addresses);
            (said.contains("9.1"), said.contains("8+.1"), said.contains("9.2g1"))
        };
        for language in ["en-GB", "en-US", "fr"] {
            assert_eq!(of(language, &["1.1", "4.2"]), (true, false, false));
            assert_eq!(of(language, &["1.1", "8+.1"]), (true, true, false));
            assert_eq!(of(language, &["2.6g1", "4.2"]), (true, false, true));
        }
    }
}
