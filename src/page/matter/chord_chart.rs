//! The chord chart: every chord of the left hand with its directions, drawn; cross-chords in a table.

use super::chords::{self, Chord, Way};
use super::names::anchor;
use super::rows::{self, Cell, Grid};
use crate::book::Matter;
use crate::frame::{Frame, Ink, Item, Marks, Role, Shape, Stroke, Tag};
use crate::geom::{Abs, Path, Point, Size};
use crate::instrument::{Direction, LeftButtonId, LeftKind};
use crate::lesson::BoxWords;
use crate::page::desk::Desk;
use crate::page::fill::pages_needed;
use crate::page::flow::{Before, Piece, fixed};
use crate::page::hand::row_name;
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::page::{chapter, closer};

/// The chart.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let (words, instrument) = (setting.words, &setting.book.instrument);
    let mut out = vec![chapter::head(desk, words.chord_chart, &anchor(Matter::ChordChart), comp)];
    let mut intro = words.chord_intro.to_owned();
    if let [left, right] = instrument.left.rows[..] {
        let columns = words.chord_columns.replace("{left}", row_name(setting, left));
        intro = format!("{intro} {}", columns.replace("{right}", row_name(setting, right)));
    }
    let mut intro = setting.paragraph(Named::Text, &intro, comp);
    intro[0].gap = fixed(setting.area.step);
    out.extend(intro);
    let cards: Vec<Frame> = chords::plain(instrument).iter().map(|chord| card(desk, chord)).collect();
    let widest = cards.iter().map(|card| card.size.width).fold(Abs::ZERO, Abs::max);
    let gap = setting.scale.size(Named::Text) * 2.4;
    let across = (((setting.width + gap) / (widest + gap)).floor().max(1.0) as usize).min(4);
    let pitch = (setting.width + gap) / across as f64;
    let list = (comp.number(), Tag::new(Role::List(Marks::None)));
    for row in cards.chunks(across) {
        let high = row.iter().map(|card| card.size.height).fold(Abs::ZERO, Abs::max);
        let mut frame = Frame::new(Size::new(setting.width, high));
        for (n, card) in row.iter().enumerate() {
            frame.place_tagged(Point::new(pitch * n as f64, Abs::ZERO), card.clone(), Tag::new(Role::ListItem));
        }
        let height = setting.whole_steps(high);
        out.push(Piece::of_text(frame, height).after(setting.area.step).tagged(list.0, list.1.clone()));
    }
    let crossed = crossed(desk, &out, comp);
    out.extend(crossed);
    rows::keep_first(&mut out, 3);
    out
}

/// One chord: its name, and the left hand on the push and on the pull. Each drawing is heard with its chord and direction.
fn card(desk: &Desk<'_>, chord: &Chord) -> Frame {
    let setting = desk.setting;
    let scale = &setting.scale;
    let label = scale.size(Named::Label);
    let name = scale.label(Named::Heading, &chord.name);
    let name_room = scale.label(Named::Heading, "D♯m").width.max(name.width) + label * 0.8;
    let mut frame = Frame::new(Size::default());
    let at_name = Point::new(Abs::ZERO, label * 1.5 + hand_size(desk).height / 2.0);
    name.put_tagged(&mut frame, at_name, Tag::new(Role::Label));
    let by_direction = chords::directions(chord);
    let mut x = name_room;
    let mut high = Abs::ZERO;
    for direction in Direction::BOTH {
        let name = match direction {
            Direction::Push => setting.words.push,
            Direction::Pull => setting.words.pull,
        };
        let way = by_direction.get(&direction).map(|ways| ways[0]);
        let drawing = way.map(|way| (hand(desk, &way), way));
        let word = scale.label(Named::Label, name);
        let none = scale.label(Named::Label, "–");
        let empty = hand_size(desk);
        let width = drawing.as_ref().map_or(empty.width, |(drawing, _)| drawing.size.width).max(word.width);
        let at = Point::new(x + (width - word.width) / 2.0, label);
        word.put_tagged(&mut frame, at, Tag::new(Role::Artifact));
        let top = label * 1.5;
        match drawing {
            Some((drawing, way)) => {
                let size = drawing.size;
                let pressed: Vec<LeftButtonId> = way.bass.into_iter().chain([way.chord]).collect();
                let said = BoxWords::new(&setting.book.instrument, &setting.book.language).chord(direction, &pressed);
                let alt = format!("{}, {said}.", chord.name);
                frame.place_tagged(Point::new(x + (width - size.width) / 2.0, top), drawing, Tag::figure(alt));
                high = high.max(top + size.height);
            }
            None => {
                let alt = setting.words.no_chord.replace("{chord}", &chord.name).replace("{direction}", name);
                let at = Point::new(x + (width - none.width) / 2.0, top + empty.height / 2.0);
                none.put_tagged(&mut frame, at, Tag::figure(alt));
            }
        }
        x += width + label * 1.4;
    }
    high = high.max(label * 1.5 + hand_size(desk).height);
    frame.size = Size::new(x - label * 1.4, high);
    frame
}

/// Distance of the small circles.
fn pitch(desk: &Desk<'_>) -> Abs {
    (desk.setting.scale.size(Named::Label) * 1.15).max(Abs::mm(3.2))
}

fn hand_size(desk: &Desk<'_>) -> Size {
    let left = &desk.setting.book.instrument.left;
    let most = left.buttons.iter().map(|button| button.number).max().unwrap_or(1);
    Size::new(pitch(desk) * 1.2 * left.rows.len() as f64, pitch(desk) * f64::from(most))
}

/// The left hand with the buttons of one way filled; the bass has a white ring in it, so that the two are told apart.
fn hand(desk: &Desk<'_>, way: &Way) -> Frame {
    let left = &desk.setting.book.instrument.left;
    let pitch = pitch(desk);
    let radius = pitch * 0.38;
    let mut frame = Frame::new(hand_size(desk));
    for (n, button) in left.buttons.iter().enumerate() {
        let column = left.rows.iter().position(|row| *row == button.row).unwrap_or(0);
        let centre = Point::new(pitch * 1.2 * (column as f64 + 0.5), pitch * (f64::from(button.number) - 0.5));
        let circle = Path::circle(centre, radius);
        let pressed = way.chord.0 == n || way.bass.is_some_and(|bass| bass.0 == n);
        if pressed {
            frame.fill(Point::default(), circle, Ink::Black);
            if button.kind == LeftKind::Bass {
                frame.fill(Point::default(), Path::circle(centre, radius * 0.42), Ink::Paper);
            }
        } else {
            let stroke = Stroke { width: Abs::pt(0.5), ink: Ink::Black, round: false, dash: None };
            frame.push(
                Point::default(),
                Item::Shape(Box::new(Shape { path: circle, fill: None, stroke: Some(stroke) })),
            );
        }
    }
    frame
}

/// What it costs to part the table of cross-chords: more than the white of a few lines that it costs to keep it whole.
const PARTED_TABLE: i64 = 2_000;

/// The cross-chords with their heading, and those that are no chords: in one table, or in two beside each other where that
/// spares a page after what stands `above`.
fn crossed(desk: &Desk<'_>, above: &[Piece], comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let words = setting.words;
    let mut all = chords::crossed(&setting.book.instrument);
    if all.is_empty() {
        return Vec::new();
    }
    all.sort_by_key(|chord| super::filing::key(&chord.name.replace('♯', " sharp")));
    let mut head = rows::heading(desk, words.cross_chords, 2, comp);
    let mut intro = setting.paragraph(Named::Text, words.cross_intro, comp);
    intro[0].before = Before::Never;
    head.extend(intro);
    let (clashes, good): (Vec<_>, Vec<_>) = all.into_iter().partition(|chord| chord.clash);
    let foot = clashing(desk, &clashes, comp);
    let whole =
        |table: Vec<Piece>| -> Vec<Piece> { head.iter().cloned().chain(table).chain(foot.iter().cloned()).collect() };
    let pages = |crossed: &[Piece]| {
        let all: Vec<Piece> = above.iter().chain(crossed).cloned().collect();
        pages_needed(&closer::sparing(all, 1, setting.area), setting.area)
    };
    let under = whole(table(desk, &good, comp));
    if pages(&under) == 1 || !fits_beside(desk, &good) {
        return under;
    }
    let beside = whole(beside(desk, &good, comp));
    if pages(&beside) < pages(&under) { beside } else { under }
}

/// Whether no word of the table is wider than a column of two tables beside each other.
fn fits_beside(desk: &Desk<'_>, chords: &[Chord]) -> bool {
    let (scale, words) = (&desk.setting.scale, desk.setting.words);
    let column = half(desk) / 3.0 - scale.size(Named::Label);
    let heads = [words.chord, words.push, words.pull];
    let all = heads.into_iter().chain(chords.iter().map(|chord| chord.name.as_str()));
    all.map(|word| scale.label(Named::LabelStrong, word).width).all(|width| width.fits(column))
}

/// White between two tables beside each other, and the width of each.
fn between(desk: &Desk<'_>) -> Abs {
    desk.setting.scale.size(Named::Text) * 1.6
}
/// See [`between`].
fn half(desk: &Desk<'_>) -> Abs {
    (desk.setting.width - between(desk)) / 2.0
}

/// The ways that clash, in words.
fn clashing(desk: &Desk<'_>, clashes: &[Chord], comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let words = setting.words;
    if clashes.is_empty() {
        return Vec::new();
    }
    let way = |way: &Way| {
        let direction = match way.direction {
            Direction::Push => words.push,
            Direction::Pull => words.pull,
        };
        format!("{} ({direction})", buttons(desk, std::slice::from_ref(way)))
    };
    let ways: Vec<String> = clashes.iter().flat_map(|chord| &chord.ways).map(way).collect();
    let text = words.clash.replace("{ways}", &ways.join(", "));
    let mut pieces = setting.paragraph(Named::Label, &text, comp);
    if let Some(first) = pieces.first_mut() {
        first.gap = fixed(setting.area.step);
    }
    pieces
}

/// The chords one under the other.
fn table(desk: &Desk<'_>, chords: &[Chord], comp: &mut Compositor<'_>) -> Vec<Piece> {
    let mut table = rows_of(desk, chords, desk.setting.measure, comp);
    table[0].before = Before::Never;
    table[0].gap = fixed(desk.setting.area.step);
    let mut table = rows::table(table, comp);
    for row in table.iter_mut().filter(|row| row.before == Before::Free) {
        row.before = Before::Dear(PARTED_TABLE);
    }
    table
}

/// The head and a row a chord in a table of a width.
fn rows_of(desk: &Desk<'_>, chords: &[Chord], width: Abs, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let words = desk.setting.words;
    let grid = Grid { widths: vec![width / 3.0; 3], least: desk.setting.area.step, boxed: false };
    let mut table = vec![grid.head(desk, &[words.chord, words.push, words.pull], comp)];
    for chord in chords {
        let by_direction = chords::directions(chord);
        let cell = |direction| {
            let ways = by_direction.get(&direction).map(|ways| buttons(desk, ways));
            Cell::Words(ways.unwrap_or_default(), Named::Label)
        };
        let name = Cell::Head(chord.name.clone(), Named::LabelStrong);
        table.push(grid.row(desk, vec![name, cell(Direction::Push), cell(Direction::Pull)], comp));
    }
    table
}

/// The same in two tables beside each other, in one piece.
fn beside(desk: &Desk<'_>, chords: &[Chord], comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let (gap, width) = (between(desk), half(desk));
    let mut frame = Frame::new(Size::new(setting.width, Abs::ZERO));
    for (n, half) in chords.chunks(chords.len().div_ceil(2).max(1)).enumerate() {
        let mut column = Frame::new(Size::new(width, Abs::ZERO));
        for row in rows_of(desk, half, width, comp) {
            let y = column.size.height;
            column.place_tagged(Point::new(Abs::ZERO, y), (*row.frame).clone(), Tag::new(Role::TableRow));
            column.size.height += row.height;
        }
        frame.size.height = frame.size.height.max(column.size.height);
        frame.place_tagged(Point::new((width + gap) * n as f64, Abs::ZERO), column, Tag::new(Role::Table));
    }
    let height = frame.size.height;
    vec![Piece::of_text(frame, height).after(setting.area.step).breaking(Before::Never)]
}

/// The buttons of the ways in words: `A + c`.
fn buttons(desk: &Desk<'_>, ways: &[Way]) -> String {
    let left = &desk.setting.book.instrument.left;
    let name = |id: crate::instrument::LeftButtonId, direction| {
        let button = &left.buttons[id.0];
        button.sound(direction).name(button.kind).replace('#', "♯")
    };
    let ways: Vec<String> = ways
        .iter()
        .map(|way| {
            let chord = name(way.chord, way.direction);
            way.bass.map_or(chord.clone(), |bass| format!("{} + {chord}", name(bass, way.direction)))
        })
        .collect();
    ways.join(" ")
}
