//! Charts read back as a learner reads them: a column by its name, a button by its number, its two notes left and right of the
//! middle; against the data of every built-in box.

use super::*;
use crate::book::builtin_box;
use crate::font::Fonts;
use crate::geom::Rect;
use crate::instrument::builtin;
use crate::page::picture::Pictures;
use crate::page::prose::Extras;
use crate::page::sample;
use crate::page::setting::Setting;
use std::collections::BTreeMap;

/// Words of a drawing with the left end of their baselines.
fn words(frame: &Frame) -> Vec<(Point, String, Abs)> {
    frame
        .items()
        .iter()
        .filter_map(|(at, item)| match item {
            Item::Text(run) => Some((*at, run.text.to_string(), run.width())),
            _ => None,
        })
        .collect()
}

/// Middles of the thin circles, top to bottom.
fn circles(frame: &Frame, radius: Abs) -> Vec<Point> {
    frame
        .items()
        .iter()
        .filter_map(|(at, item)| match item {
            Item::Shape(shape) => shape.path.moved(*at).ink(),
            _ => None,
        })
        .filter(|ink| ink.width().is_near(radius * 2.0) && ink.height().is_near(radius * 2.0))
        .map(|ink: Rect| Point::new((ink.min.x + ink.max.x) / 2.0, (ink.min.y + ink.max.y) / 2.0))
        .collect()
}

/// What stands in the left and in the right half of a circle.
fn halves(words: &[(Point, String, Abs)], centre: Point, radius: Abs) -> [String; 2] {
    let mut found = [Vec::new(), Vec::new()];
    for (at, text, width) in words {
        let middle = at.x + *width / 2.0;
        if (middle - centre.x).abs() < radius && (at.y - centre.y).abs() < radius {
            found[usize::from(middle > centre.x)].push((at.x, text.clone()));
        }
    }
    found.map(|mut parts| {
        parts.sort_by(|a, b| a.0.total_cmp(&b.0));
        parts.into_iter().map(|(_, text)| text).collect()
    })
}

/// The name of the column over a place: the nearest heading whose middle is near.
fn column_name(words: &[(Point, String, Abs)], names: &[&str], centre: Point) -> String {
    let (_, text, _) = words
        .iter()
        .filter(|(at, text, _)| names.contains(&text.as_str()) && at.y < centre.y)
        .min_by(|a, b| {
            let far = |word: &(Point, String, Abs)| (word.0.x + word.2 / 2.0 - centre.x).abs();
            far(a).total_cmp(&far(b))
        })
        .expect("each column has its name");
    text.clone()
}

#[test]
fn the_charts_of_every_built_in_box_say_what_its_data_say() {
    let fonts = Fonts::embedded();
    let plan = sample::plan();
    let mut boxes = 0;
    for (id, _) in builtin() {
        let mut book = sample::book(Size::new(Abs::mm(210.0), Abs::mm(297.0)), Abs::pt(11.0), Vec::new());
        book.instrument = builtin_box(id).expect("a built-in box reads");
        let setting = Setting::new(&book, &fonts);
        let (pictures, pages) = (Pictures::default(), BTreeMap::new());
        let material = sample::material(&book, &plan, &[]);
        let extras = Extras { examples: &[], pictures: &pictures };
        let desk = Desk { setting: &setting, material: &material, extras, pages: &pages };
        let rows = [RowAt::Outer, RowAt::Inner, RowAt::Half];
        let names = rows.map(|row| row_name(&setting, row));
        let row_of = |name: &str| rows[names.iter().position(|known| *known == name).expect("a row's name")];

        let right = keyboard(&desk, setting.area.height, (0.0, f64::MAX));
        let words = words(&right.frame);
        let mut seen = Vec::new();
        for centre in circles(&right.frame, right.radius) {
            let (_, number, _) = words
                .iter()
                .filter(|(at, text, _)| {
                    text.parse::<u8>().is_ok() && at.x < centre.x && (at.y - centre.y).abs() < right.radius
                })
                .max_by(|a, b| a.0.x.total_cmp(&b.0.x))
                .expect("each button has its number");
            let row = row_of(&column_name(&words, &names, centre));
            let button = ButtonId { row, number: number.parse().expect("it is a number") };
            let notes = book.instrument.button(button).unwrap_or_else(|| panic!("{id} has no {button:?}"));
            let wanted = [notes.push, notes.pull].map(|pitch| class_name(pitch.class()));
            assert_eq!(halves(&words, centre, right.radius), wanted, "{id}, {button:?}");
            seen.push(button);
        }
        seen.sort();
        seen.dedup();
        assert_eq!(seen.len(), book.instrument.buttons().count(), "{id}: each button is drawn once");

        let left = left_hand(&desk, right.radius);
        let words = self::words(&left);
        let radius = left_radius(&desk, right.radius);
        let mut centres = circles(&left, radius);
        centres.sort_by(|a, b| a.y.total_cmp(&b.y));
        let mut taken: BTreeMap<RowAt, u8> = BTreeMap::new();
        for centre in &centres {
            let row = row_of(&column_name(&words, &names, *centre));
            let number = taken.entry(row).or_default();
            *number += 1;
            let buttons = &book.instrument.left.buttons;
            let button = buttons.iter().find(|button| (button.row, button.number) == (row, *number));
            let button = button.unwrap_or_else(|| panic!("{id}: no left button {number} in {row:?}"));
            assert_eq!(halves(&words, *centre, radius), left_names(button), "{id}, left {row:?} {number}");
        }
        assert_eq!(centres.len(), book.instrument.left.buttons.len(), "{id}: each left button is drawn once");
        boxes += 1;
    }
    assert_eq!(boxes, builtin().len());
}
