//! The author's `type:`, `signs:`, `playing:` and `press:` into styles, with defaults for what is not said.

use super::files::{PlayingFile, PressFile, PrintMark, SignsFile, StockFile, TypeFile, WeightsFile};
use super::words::{Align, Face, Hyphens, Italics};
use super::{Colour, Playing, Press, Stock};
use crate::diag::Sink;
use crate::fingering::{CostKind, Request, Weight, Weights};
use crate::geom::Abs;
use crate::style::{EngravingStyle, Family, Signs, SoundingLook, TextStyle, conditions};

use super::yaml::Node;

/// Text as the author wants it: 11 pt serif, justified, unless said otherwise. Leading is 1.3 times the size, to the half
/// point (DIN 1450 asks for 120 % at least).
pub fn text(file: &TypeFile, node: Option<&Node>, language: &str, sink: &mut Sink) -> TextStyle {
    let size = file.text.as_ref().map_or(Abs::pt(11.0), |said| said.0.0);
    let size = within(size, 6.0, 48.0, node, "text", sink);
    let leading = file.leading.as_ref().map_or_else(|| Abs::pt((size.to_pt() * 2.6).round() / 2.0), |said| said.0.0);
    let leading = within(leading, size.to_pt(), size.to_pt() * 3.0, node, "leading", sink);
    if let Some(smallest) = file.smallest.as_ref().map(|said| said.0.0)
        && smallest > size
    {
        let message = format!(
            "`smallest` of {:.1} pt is larger than the text, which is {:.1} pt",
            smallest.to_pt(),
            size.to_pt()
        );
        let place = node.map(|node| node.place_of("smallest"));
        let hint = format!("up to {:.1} pt it can be kept; or make `text` larger", size.to_pt());
        sink.error(code!("out-of-range"), place, message).hints.push(hint);
    }
    let family = match file.family.as_ref().map(|said| &said.0) {
        None => Family::Serif,
        Some(Face::Known(family)) => *family,
        Some(Face::Folder(_)) => Family::Own,
    };
    let follows = if family == Family::Legible { Family::Legible } else { Family::Sans };
    TextStyle {
        family,
        labels: file.labels.as_ref().map_or(follows, |said| said.0),
        size,
        leading,
        justified: file.align.as_ref().is_none_or(|said| said.0 == Align::Justified),
        hyphenate: file.hyphens.as_ref().is_none_or(|said| said.0 == Hyphens::Sparing),
        language: language.to_owned(),
        italics: file.stress.as_ref().is_none_or(|said| said.0 == Italics::Italics),
        smallest: file.smallest.as_ref().map_or(Abs::pt(7.0), |said| said.0.0).min(size),
    }
}

fn within(length: Abs, least: f64, most: f64, node: Option<&Node>, key: &str, sink: &mut Sink) -> Abs {
    if (least - 1e-9..=most + 1e-9).contains(&length.to_pt()) {
        return length;
    }
    let place = node.map(|node| node.place_of(key));
    // The range is told in the unit that the author wrote.
    let written = node.and_then(|node| node.get(key)).and_then(Node::text).unwrap_or_default();
    let (unit, points) = if written.ends_with("mm") { ("mm", Abs::mm(1.0).to_pt()) } else { ("pt", 1.0) };
    let message = format!("`{key}` of {:.1} {unit} can't be set", length.to_pt() / points);
    let (least_shown, most_shown) = (least / points, most / points);
    sink.error(code!("out-of-range"), place, message)
        .hints
        .push(format!("from {least_shown:.1} {unit} to {most_shown:.1} {unit} it can"));
    length.clamp(Abs::pt(least), Abs::pt(most))
}

/// Whether a staff is hard to read from a stand: below 7 mm, with a hair of tolerance (an orchestra librarians' guideline of 2017,
/// at second hand).
pub fn is_small(staff: Abs) -> bool {
    staff < Abs::mm(6.99)
}

/// Music as the author wants it. A staff of 7.5 mm unless said otherwise: less than 7 mm is hard to read, and more than 8.5 mm rare
/// outside beginners' books (the same guideline).
pub fn engraving(
    file: &TypeFile,
    signs: Signs,
    text: &TextStyle,
    node: Option<&Node>,
    sink: &mut Sink,
) -> EngravingStyle {
    let staff = file.staff.as_ref().map_or(Abs::mm(7.5), |said| said.0.0);
    let staff = within(staff, Abs::mm(3.0).to_pt(), Abs::mm(40.0).to_pt(), node, "staff", sink);
    if is_small(staff) {
        let place = node.map(|node| node.place_of("staff"));
        let message = format!("a staff of {:.1} mm is hard to read from a stand", staff.to_mm());
        sink.warn(code!("small-staff"), place, message)
            .hints
            .push("7.5mm is usual, beginners' books have 8mm to 10mm".into());
    }
    EngravingStyle {
        space: staff / 4.0,
        spacing: file.spacing.unwrap_or(1.0),
        lines: file.lines.unwrap_or(1.0),
        marks: file.marks.unwrap_or(1.0),
        text: file.letters.unwrap_or(1.0),
        smallest: text.smallest,
        most_bars: file.most_bars,
        signs,
        labels: text.labels,
        language: text.language.clone(),
    }
}

/// Characters of a sign of the author's own: notes stand closer than longer ones are wide.
const MOST_SIGN: usize = 3;

/// The row code and the marks.
pub fn signs(file: &SignsFile, node: Option<&Node>, sink: &mut Sink) -> Signs {
    let mut signs = Signs::default();
    if let Some(rows) = &file.rows {
        let shape = |said: &Option<super::words::Said<_>>, usual| said.as_ref().map_or(usual, |said| said.0);
        signs.rows.outer = shape(&rows.outer, signs.rows.outer);
        signs.rows.inner = shape(&rows.inner, signs.rows.inner);
        signs.rows.half = shape(&rows.half, signs.rows.half);
        if signs.rows.outer == signs.rows.inner
            || signs.rows.outer == signs.rows.half
            || signs.rows.inner == signs.rows.half
        {
            let place = node.map(|node| node.place_of("rows"));
            sink.error(code!("same-heads"), place, "two rows have the same head, so no reader can tell them apart")
                .hints
                .push("give each row a shape of its own".into());
        }
    }
    for (key, sign) in [("reversal", &file.reversal), ("replay", &file.replay)] {
        let Some(sign) = sign else { continue };
        let count = sign.trim().chars().count();
        if !(1..=MOST_SIGN).contains(&count) {
            let message = if count == 0 {
                format!("`{key}` shows nothing")
            } else {
                format!("`{key}` has {count} characters: signs of two notes would run into one another")
            };
            let place = node.map(|node| node.place_of(key));
            let hint = format!("give it one to {MOST_SIGN} characters that show, such as `R`");
            sink.error(code!("own-sign"), place, message).hints.push(hint);
        }
    }
    match (&file.reversal, &file.replay) {
        (Some(reversal), Some(replay)) if reversal != replay => {
            signs.sounding = SoundingLook::Characters { reversal: reversal.clone(), replay: replay.clone() };
        }
        (None, None) => {}
        (reversal, replay) => {
            let place = node.map(|node| node.place_of(if reversal.is_some() { "reversal" } else { "replay" }));
            let message = if reversal == replay {
                "`reversal` and `replay` are the same sign"
            } else {
                "`reversal` and `replay` need each other"
            };
            sink.error(code!("half-signs"), place, message)
                .hints
                .push("give a sign for each, or take both out for hold bars".into());
        }
    }
    let usual = Signs::default();
    signs.direction = file.direction.as_ref().map_or(usual.direction, |said| said.0);
    signs.buttons = file.buttons.as_ref().map_or(usual.buttons, |said| said.0);
    signs.fingers = file.fingers.as_ref().map_or(usual.fingers, |said| said.0);
    signs.finger_one = file.finger_one.as_ref().map_or(usual.finger_one, |said| said.0);
    signs.left = file.left_hand.as_ref().map_or(usual.left, |said| said.0);
    signs.counting = file.counting.as_ref().map_or(usual.counting, |said| said.0.0);
    signs.chord_symbols = file.chord_symbols.as_ref().map_or(usual.chord_symbols, |said| said.0.0);
    signs
}

/// How the tunes are played.
pub fn playing(file: &PlayingFile) -> Playing {
    let usual = Request::default();
    Playing {
        weights: Weights {
            style: file.style.as_ref().map(|said| said.0).unwrap_or_default(),
            changed: file.weights.as_ref().map(weights).unwrap_or_default(),
        },
        reversal_under: file.reversal_under.as_ref().map_or(usual.reversal_under, |said| said.0.0),
    }
}

/// The author's prices, by kind.
pub fn weights(file: &WeightsFile) -> Vec<Weight> {
    [
        (CostKind::Turn, file.turn),
        (CostKind::WeakTurn, file.weak_turn),
        (CostKind::RowChange, file.row_change),
        (CostKind::RowStay, file.row_stay),
        (CostKind::PlaceShift, file.place_shift),
        (CostKind::SameFinger, file.same_finger),
        (CostKind::FingerSwap, file.finger_swap),
        (CostKind::Stretch, file.stretch),
        (CostKind::LittleFinger, file.little_finger),
        (CostKind::ChinButton, file.chin_button),
        (CostKind::MissingChord, file.missing_chord),
        (CostKind::AirPoint, file.air_point),
        (CostKind::Drift, file.drift),
        (CostKind::BellowsEnd, file.bellows_end),
        (CostKind::Unlike, file.unlike),
    ]
    .into_iter()
    .filter_map(|(kind, price)| price.map(|price| Weight { kind, price }))
    .collect()
}

/// Wood-free uncoated paper unless said otherwise.
fn paper(file: Option<&StockFile>) -> Stock {
    Stock {
        grams: file.and_then(|stock| stock.grams).unwrap_or(100.0),
        bulk: file.and_then(|stock| stock.bulk).unwrap_or(1.2),
    }
}

/// Whether a printing condition is one of the registry. Complains where nothing is named, and of a name that is not known where no
/// profile says what it is.
pub fn is_registered(said: Option<&String>, has_profile: bool, node: Option<&Node>, sink: &mut Sink) -> bool {
    let Some(name) = said else { return false };
    let place = node.map(|node| node.place_of("condition"));
    if name.trim().is_empty() {
        sink.error(code!("no-value"), place, "`condition` has no value")
            .hints
            .push("write the name of a printing condition, such as `FOGRA51`, or take the key out".into());
        return false;
    }
    let unknown = conditions::unknown(name);
    if let Some(hint) = unknown.clone().filter(|_| !has_profile) {
        let message = format!("`{name}` is not known as the name of a registered printing condition");
        sink.warn(code!("unknown-condition"), place, message).hints.push(hint);
    }
    unknown.is_none()
}

/// For the press: 3 mm of bleed, crop marks, uncoated paper unless said otherwise; without the cover, which names files.
pub fn press(file: &PressFile, node: Option<&Node>, sink: &mut Sink) -> Press {
    let bleed = file.bleed.as_ref().map_or(Abs::mm(3.0), |said| said.0.0);
    if bleed > Abs::mm(20.0) {
        let place = node.map(|node| node.place_of("bleed"));
        sink.error(code!("out-of-range"), place, "a bleed of more than 20 mm can't be printed")
            .hints
            .push("3mm is usual".into());
    }
    // Two to three millimetres (common practice, no source).
    let milling = file.milling.as_ref().map_or(Abs::mm(3.0), |said| said.0.0);
    if milling > Abs::mm(5.0) {
        let place = node.map(|node| node.place_of("milling"));
        sink.error(code!("out-of-range"), place, "no bindery mills more than 5 mm off the folds")
            .hints
            .push("3mm is usual for glue; for sections that are sewn write 0mm".into());
    }
    let marks = file.marks.as_deref();
    let wants = |mark| marks.is_some_and(|marks| marks.iter().any(|said| said.0 == mark));
    // With the shop's own profile a condition is explained by that, whatever its name.
    let has_profile = file.profile.as_ref().is_some_and(|said| said.0.0.is_some());
    let is_registered = is_registered(file.condition.as_ref(), has_profile, node, sink);
    Press {
        bleed,
        crop_marks: marks.is_none() || wants(PrintMark::Crop),
        registration_marks: wants(PrintMark::Registration),
        milling,
        condition: file.condition.clone(),
        is_registered,
        // Read by whoever may open files, as the cover is.
        profile: None,
        stock: paper(file.stock.as_ref()),
        cover: None,
        spot: match file.spot.as_ref().and_then(|said| said.0.0.as_ref()) {
            // Written with a capital it is still no ink; a plate of that name would never be printed (ISO 32000-1, 8.6.6.4).
            Some(name) if !name.0.trim().eq_ignore_ascii_case("none") => Colour::Spot(name.0.clone()),
            _ => Colour::None,
        },
    }
}
