//! Scales and arpeggios of the box: for the key of each row, along that row and with few turns of the bellows, each note with
//! its button and its finger, and where the hand moves.

use super::names::anchor;
use super::rows;
use super::scale_ways::{self, Way, Wish};
use crate::book::Matter;
use crate::frame::{Frame, Tag};
use crate::geom::{Abs, Point, Size};
use crate::instrument::Row;
use crate::lesson::{BoxWords, Stop};
use crate::page::chapter;
use crate::page::chart_staff::{self, Cluster, Spot};
use crate::page::desk::Desk;
use crate::page::facts::step_name;
use crate::page::flow::fixed;
use crate::page::flow::{Before, Piece};
use crate::page::hand::first_finger;
use crate::page::scale::Named;
use crate::page::setting::Compositor;
use crate::tune::{KeySignature, Mode, Pitch, PitchClass, Step};

/// Semitones of the major scale and of its chord broken up, one octave.
const SCALE: [i32; 8] = [0, 2, 4, 5, 7, 9, 11, 12];
/// See [`SCALE`].
const ARPEGGIO: [i32; 4] = [0, 4, 7, 12];

/// The part.
pub(super) fn pieces(desk: &Desk<'_>, comp: &mut Compositor<'_>) -> Vec<Piece> {
    let setting = desk.setting;
    let words = setting.words;
    let mut out = vec![chapter::head(desk, words.scales, &anchor(Matter::Scales), comp)];
    let mut intro = setting.paragraph(Named::Text, words.scales_intro, comp);
    intro[0].gap = fixed(setting.area.step);
    out.extend(intro);
    for row in setting.book.instrument.rows.iter().filter(|row| row.start > 0) {
        let Some(tonic) = row.buttons.get(usize::from(row.start) - 1).map(|button| button.push) else { continue };
        let key = format!("{} {}", step_name(words, tonic.class()), words.major);
        out.extend(rows::heading(desk, &key, 2, comp));
        let mut first = true;
        for (title, notes) in [(key.clone(), &SCALE[..]), (format!("{key}, {}", words.arpeggio), &ARPEGGIO[..])] {
            for mut piece in both_ways(desk, row, tonic, &title, notes, comp) {
                if first {
                    piece.before = Before::Never;
                    first = false;
                }
                out.push(piece);
            }
        }
    }
    rows::keep_first(&mut out, 3);
    out
}

/// A scale along its row, and across the rows with few turns where that is another way.
fn both_ways(
    desk: &Desk<'_>,
    row: &Row,
    tonic: Pitch,
    title: &str,
    intervals: &[i32],
    comp: &mut Compositor<'_>,
) -> Vec<Piece> {
    let setting = desk.setting;
    let (words, instrument) = (setting.words, &setting.book.instrument);
    let midi: Vec<i32> = intervals.iter().map(|interval| tonic.midi() + interval).collect();
    let Some(across) = scale_ways::way(instrument, &midi, Wish::Across) else {
        let missing: Vec<String> = midi
            .iter()
            .filter(|midi| instrument.ways(**midi).is_empty())
            .map(|midi| step_name(words, spelt(tonic, *midi).class()))
            .collect();
        let text = words.scale_missing.replace("{notes}", &missing.join(", ")).replace("{key}", &row.name);
        return setting.paragraph(Named::Label, &text, comp);
    };
    let mut ways = Vec::new();
    match scale_ways::way(instrument, &midi, Wish::Row(row.at)) {
        Some(along) => {
            let other = along.turns_more_than(&across).then_some((words.scale_across, across));
            ways.push((words.scale_along, along));
            ways.extend(other);
        }
        None => ways.push((words.scale_across, across)),
    }
    let frames: Vec<Frame> = ways
        .into_iter()
        .map(|(which, found)| {
            let turns = match found.turns() {
                0 => words.no_turn.to_owned(),
                1 => words.one_turn.to_owned(),
                n => words.turns.replace("{n}", &n.to_string()),
            };
            let label = format!("{title}, {which}{}{turns}", words.colon);
            way(desk, tonic, &label, &found)
        })
        .collect();
    beside(desk, frames)
}

/// Two drawings beside each other where the page is wide enough, else one under the other.
fn beside(desk: &Desk<'_>, frames: Vec<Frame>) -> Vec<Piece> {
    let setting = desk.setting;
    let half = setting.width / 2.0 + setting.scale.size(Named::Text);
    let rows: Vec<Frame> = if frames.iter().all(|frame| frame.size.width.fits(setting.width - half)) {
        let high = frames.iter().map(|frame| frame.size.height).fold(Abs::ZERO, Abs::max);
        let mut row = Frame::new(Size::new(setting.width, high));
        for (frame, x) in frames.into_iter().zip([Abs::ZERO, half]) {
            row.place(Point::new(x, Abs::ZERO), frame);
        }
        vec![row]
    } else {
        frames
    };
    rows.into_iter()
        .map(|frame| {
            let height = setting.whole_steps(frame.size.height);
            Piece::of_text(frame, height).after(setting.area.step)
        })
        .collect()
}

fn way(desk: &Desk<'_>, tonic: Pitch, label: &str, found: &Way) -> Frame {
    let setting = desk.setting;
    let size = setting.scale.size(Named::Label);
    // The index finger prints as 1, or as 2 where the thumb is 1.
    let printed = |finger: Option<u8>| finger.map(|finger| finger + first_finger(setting) - 1);
    let spots = found
        .steps
        .iter()
        .map(|step| Spot {
            pitch: spelt(tonic, step.midi),
            row: step.button.row,
            direction: step.direction,
            finger: printed(step.finger),
            place: step.place,
            under: step.button.number.to_string(),
        })
        .collect();
    let clusters = [Cluster { over: String::new(), spots }];
    let space = setting.book.engraving.space * 0.85;
    let width = (space * (4.4 + 3.6 * found.steps.len() as f64)).min(setting.width);
    let staff = chart_staff::staff(setting, &clusters, width, space, true);
    let words = setting.scale.label_within(Named::LabelStrong, label, setting.width);
    let mut frame = Frame::new(Size::new(width.max(words.width), size * 1.5 + staff.size.height));
    words.put(&mut frame, Point::new(Abs::ZERO, size));
    let steps = found.steps.iter().map(|step| Stop {
        pitch: spelt(tonic, step.midi),
        direction: step.direction,
        button: step.button,
        finger: printed(step.finger),
        place: step.place,
    });
    let said = BoxWords::new(&setting.book.instrument, &setting.book.language).way(steps);
    let alt = format!("{label}{}{said}.", setting.words.colon);
    frame.place_tagged(Point::new(Abs::ZERO, size * 1.5), staff, Tag::figure(alt));
    frame
}

/// A pitch spelt as the major key of a tonic spells it.
fn spelt(tonic: Pitch, midi: i32) -> Pitch {
    let key = KeySignature::regular(tonic.class(), Mode::Major);
    let Some(key) = key else { return Pitch::from_midi(midi) };
    Step::ALL
        .into_iter()
        .map(|step| PitchClass::new(step, key.alter(step)))
        .find(|class| class.semitones() == midi.rem_euclid(12))
        .map_or(Pitch::from_midi(midi), |class| {
            let octave = (midi - class.step.semitones() - i32::from(class.alter)).div_euclid(12) - 1;
            Pitch::new(class.step, class.alter, i8::try_from(octave).unwrap_or(i8::MAX))
        })
}
