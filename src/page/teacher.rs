//! What a teacher's edition adds to a tune: the bellows under each system, the places of the hand, the next best plan.

use super::flow::{Before, Piece, Substance, fixed};
use super::hand;
use super::material::TuneMaterial;
use super::scale::Named;
use super::setting::{Compositor, Setting};
use crate::book::Extra;
use crate::engrave::System;
use crate::fingering::Place;
use crate::frame::{Frame, Ink, Item, Role, Shape, Stroke, Tag};
use crate::geom::{Abs, Path, Point, Size, Sp};
use crate::lesson::Lesson;
use crate::tune::{Address, Onset};

/// Height of the drawing of the bellows, and the white above it.
const CURVE: (Sp, Sp) = (Sp::sp(3.6), Sp::sp(1.2));

/// White between the drawing and the next system, and the least of it: the drawing parts the letters from that system.
const UNDER_CURVE: (Sp, Sp) = (Sp::sp(2.0), Sp::sp(1.2));

/// Adds the bellows under each system of music.
pub(super) fn add_curves(setting: &Setting<'_>, material: &TuneMaterial<'_>, music: &mut [Piece]) {
    if !setting.book.shows(Extra::BellowsCurves) || material.plan.bellows.curve.is_empty() {
        return;
    }
    let space = setting.book.engraving.space;
    for (piece, system) in music.iter_mut().zip(&material.systems) {
        let curve = curve(setting, material, system);
        let top = piece.frame.size.height + CURVE.1.at(space);
        // Not a frame within a frame: the digests of printed pages go by the outermost groups with ink, and would all be others.
        let mut frame = (*piece.frame).clone();
        let height = top + curve.size.height;
        frame.place_tagged(Point::new(Abs::ZERO, top), curve, Tag::new(Role::Artifact));
        frame.size.height = height;
        piece.height = height;
        piece.frame = frame.shared();
        // The drawing is a flat box: nothing nests into it from below.
        piece.gap.natural = piece.gap.natural.max(UNDER_CURVE.0.at(space));
        piece.gap.shrink = piece.gap.shrink.max(piece.gap.natural - UNDER_CURVE.1.at(space));
    }
}

/// How far the bellows are open through one system: the first time through as an area, later times as thin lines; the limits
/// as lines, open at the top.
fn curve(setting: &Setting<'_>, material: &TuneMaterial<'_>, system: &System) -> Frame {
    let space = setting.book.engraving.space;
    let height = CURVE.0.at(space);
    let mut frame = Frame::new(Size::new(system.frame.size.width, height));
    let (left, right) = match (system.bars.first(), system.bars.last()) {
        (Some(first), Some(last)) => (first.left, last.right),
        _ => return frame,
    };
    let passes = material.plan.bellows.curve.points(&material.entry.tune).map(|point| point.pass).max().unwrap_or(1);
    for pass in 1..=passes.min(4) {
        let line = points(material, system, pass, height);
        let (Some(first), Some(last)) = (line.first(), line.last()) else { continue };
        if pass == 1 {
            let mut area = vec![Point::new(first.x, height)];
            area.extend(&line);
            area.push(Point::new(last.x, height));
            frame.fill(Point::default(), Path::polygon(&area), Ink::Grey(18));
        }
        let width = if pass == 1 { Abs::pt(0.9) } else { Abs::pt(0.4) };
        let stroke = Stroke { width, ink: Ink::Black, round: true, dash: None };
        frame.push(
            Point::default(),
            Item::Shape(Box::new(Shape { path: Path::open(&line), fill: None, stroke: Some(stroke) })),
        );
    }
    for y in [Abs::ZERO, height] {
        frame.line(Point::new(left, y), Point::new(right, y), Abs::pt(0.4), Ink::Black);
    }
    let label = setting.scale.size(Named::Label) * 0.86;
    let label = label.max(setting.book.text.smallest);
    for (words, y) in [(setting.words.open, label * 0.3), (setting.words.closed, height)] {
        let words = setting.scale.label_at(Named::Label, label, words);
        // Beside the clef, where no bar is drawn, or over the area where there is no such room.
        let x = (left - words.width - label * 0.3).max(Abs::ZERO);
        words.put(&mut frame, Point::new(x, y));
    }
    frame
}

/// A small drawing of the same kind for the key: a first time through and a later one.
pub(super) fn sample_curve(setting: &Setting<'_>) -> Frame {
    let label = setting.scale.size(Named::Label);
    let size = Size::new(label * 4.0, label * 1.8);
    let at = |x: f64, open: f64| Point::new(size.width * x, size.height * (1.0 - open));
    let mut frame = Frame::new(size);
    let line = [at(0.0, 0.2), at(0.3, 0.75), at(0.6, 0.35), at(1.0, 0.6)];
    let area = [&[at(0.0, 0.0)], &line[..], &[at(1.0, 0.0)]].concat();
    frame.fill(Point::default(), Path::polygon(&area), Ink::Grey(18));
    let later = [at(0.0, 0.6), at(0.3, 0.95), at(0.6, 0.7), at(1.0, 0.85)];
    for (line, width) in [(line, 0.9), (later, 0.4)] {
        let stroke = Stroke { width: Abs::pt(width), ink: Ink::Black, round: true, dash: None };
        let path = Path::open(&line);
        frame.push(Point::default(), Item::Shape(Box::new(Shape { path, fill: None, stroke: Some(stroke) })));
    }
    for open in [0.0, 1.0] {
        frame.line(at(0.0, open), at(1.0, open), Abs::pt(0.4), Ink::Black);
    }
    frame
}

fn points(material: &TuneMaterial<'_>, system: &System, pass: u32, height: Abs) -> Vec<Point> {
    let curve = &material.plan.bellows.curve;
    let on_page = |opening: f64| height * (1.0 - opening.clamp(0.0, 1.0));
    let mut out: Vec<Point> = Vec::new();
    for extent in &system.bars {
        let Some(bar) = material.entry.tune.bars.get(extent.bar) else { continue };
        let length = bar.length.0.to_f64().max(1e-9);
        let all = curve.points(&material.entry.tune);
        let here: Vec<_> = all.filter(|point| point.bar == extent.bar && point.pass == pass).collect();
        for (n, point) in here.iter().enumerate() {
            // A head's opening goes from its own onset to the next one's, or to the barline.
            let share = |onset: Onset| (onset.0.to_f64() / length).clamp(0.0, 1.0);
            let end = here.get(n + 1).map_or(1.0, |next| share(next.onset));
            for (at, opening) in [(share(point.onset), point.from), (end, point.to)] {
                out.push(Point::new(extent.left + (extent.right - extent.left) * at, on_page(opening)));
            }
        }
    }
    out
}

/// The places of the hand and the next best plan, after the commentary.
pub(super) fn pieces(
    setting: &Setting<'_>,
    material: &TuneMaterial<'_>,
    tune: usize,
    comp: &mut Compositor<'_>,
) -> Vec<Piece> {
    let mut out = Vec::new();
    if setting.book.shows(Extra::PlaceMaps) {
        let maps = place_maps(setting, material);
        if !maps.is_empty() {
            out.extend(heading(setting, setting.words.places, comp));
            out.extend(maps.into_iter().map(|(piece, said)| piece.tagged(comp.number(), Tag::figure(said))));
        }
    }
    if setting.book.shows(Extra::RunnersUp)
        && let Some(words) = runner_up(setting, material)
    {
        out.extend(heading(setting, setting.words.runner_up, comp));
        let mut text = setting.paragraph(Named::Text, &words, comp);
        if let Some(first) = text.first_mut() {
            first.before = Before::Never;
        }
        out.extend(text);
    }
    for piece in &mut out {
        piece.substance = Substance::Commentary(tune);
    }
    out
}

/// A heading of a teacher's part.
pub(super) fn heading(setting: &Setting<'_>, words: &str, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let tag = (comp.number(), Tag::new(Role::Heading(3)));
    let mut out = setting.tagged_lines(Named::Heading, words, setting.measure, tag, comp);
    if let Some(first) = out.first_mut() {
        first.gap = fixed(setting.steps(1.0));
    }
    out
}

/// The notes at which the hand comes to another place, as they are named beside the drawings.
pub(super) fn moves<'a>(material: &'a TuneMaterial<'_>) -> impl Iterator<Item = (Place, Option<Address>)> + 'a {
    let notes = material.plan.notes.iter().flatten().filter(|note| note.place_moves);
    notes.map(|note| (note.place, material.entry.tune.addresses.get(note.id.index()).copied()))
}

/// One small drawing for each place in the order in which the hand comes there first, with the notes' addresses, and how it is
/// heard.
fn place_maps(setting: &Setting<'_>, material: &TuneMaterial<'_>) -> Vec<(Piece, String)> {
    let mut seen: Vec<(Place, String)> = Vec::new();
    for (place, address) in moves(material) {
        let address = address.map_or_else(String::new, |address| address.to_string());
        match seen.iter_mut().find(|(known, _)| *known == place) {
            Some((_, where_)) => where_.push_str(&format!(", {address}")),
            None => seen.push((place, address)),
        }
    }
    seen.into_iter()
        .enumerate()
        .filter_map(|(n, (place, addresses))| {
            let label = setting.scale.size(Named::Label);
            let line = hand::line(setting, place, setting.width)?;
            let mut frame = Frame::new(Size::new(setting.width, line.size.height));
            let x = line.size.width + label;
            let height = line.size.height;
            frame.place_shared(Point::default(), line);
            let words = setting.scale.label_within(Named::Label, &addresses, setting.width - x);
            words.put(&mut frame, Point::new(x, setting.steps(0.75) + setting.scale.cap_height(Named::Label) / 2.0));
            let piece = Piece::of_text(frame, height);
            let said = hand::said(setting, place, setting.words.hand_from).replace("{notes}", &addresses);
            Some((if n == 0 { piece.breaking(Before::Never) } else { piece }, said))
        })
        .collect()
}

/// The cheapest other plan in words; `None` when none was looked for, or none that a teacher would weigh was found.
fn runner_up(setting: &Setting<'_>, material: &TuneMaterial<'_>) -> Option<String> {
    let (tune, book) = (&material.entry.tune, setting.book);
    let index = hand::first_finger(setting);
    let lesson = Lesson::new(tune, material.plan, &book.instrument, &book.language, index);
    material.plan.runners_up.iter().find_map(|other| lesson.other_way(other))
}
