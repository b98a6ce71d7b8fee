//! `plan --json`: how a tune is played.

use super::Complaint;
use crate::fingering::{Air, LeftPress, Plan, PlannedNote, Sound};
use crate::instrument::{ButtonId, Instrument, LeftKind};
use crate::tune::{Event, NoteId, Onset, Tune};
use serde::Serialize;
use std::collections::BTreeMap;

/// The plan of one tune.
#[derive(Debug, Serialize)]
pub struct PlanShape {
    tune: String,
    #[serde(rename = "box")]
    instrument: String,
    style: String,
    cost: i64,
    costs: Vec<CostShape>,
    turns: u32,
    row_changes: u32,
    place_shifts: u32,
    bellows: BellowsShape,
    bars: Vec<BarShape>,
    /// Bars that are the same music and not fingered in one way, group by group.
    otherwise: Vec<Vec<String>>,
    runners_up: Vec<RunnerShape>,
    complaints: Vec<Complaint>,
}

#[derive(Debug, Serialize)]
struct CostShape {
    kind: &'static str,
    cost: i64,
}

#[derive(Debug, Serialize)]
struct BellowsShape {
    capacity_seconds: f64,
    begins: f64,
    passes: Vec<PassShape>,
    air: Vec<AirShape>,
    cost: i64,
    proven: bool,
}

#[derive(Debug, Serialize)]
struct PassShape {
    most_open: f64,
    least_open: f64,
}

#[derive(Debug, Serialize)]
struct AirShape {
    after: String,
    air: &'static str,
    pinned: bool,
}

#[derive(Debug, Serialize)]
struct BarShape {
    bar: String,
    notes: Vec<NoteShape>,
    left: Vec<LeftShape>,
}

#[derive(Debug, Serialize)]
struct ButtonShape {
    row: String,
    button: u8,
}

#[derive(Debug, Serialize)]
struct NoteShape {
    note: u32,
    #[serde(skip_serializing_if = "Option::is_none")]
    grace: Option<u32>,
    onset: String,
    duration: String,
    direction: String,
    pinned: bool,
    place: ButtonShape,
    presses: Vec<PressShape>,
    bellows: Vec<f64>,
}

#[derive(Debug, Serialize)]
struct PressShape {
    pitch: String,
    row: String,
    button: u8,
    finger: u8,
    sound: &'static str,
}

#[derive(Debug, Serialize)]
struct LeftShape {
    onset: String,
    duration: String,
    kind: &'static str,
    name: String,
    row: String,
    button: u8,
    finger: u8,
    dropped: bool,
}

#[derive(Debug, Serialize)]
struct RunnerShape {
    cost: i64,
    differs: Vec<DifferenceShape>,
}

#[derive(Debug, Serialize)]
struct DifferenceShape {
    bar: String,
    note: u32,
    row: String,
    button: u8,
    direction: String,
}

/// Two decimals: bellows are shown to a hundredth of their full opening.
fn hundredths(value: f64) -> f64 {
    (value * 100.0).round() / 100.0
}

fn button_shape(button: ButtonId) -> ButtonShape {
    ButtonShape { row: button.row.to_string(), button: button.number }
}

/// The name of a way of sounding in output.
pub const fn sound_name(sound: Sound) -> &'static str {
    match sound {
        Sound::Press => "press",
        Sound::Reversal => "reversal",
        Sound::Replay => "replay",
        Sound::Repeat => "repeat",
        Sound::Tie => "tie",
    }
}

impl PlanShape {
    /// A plan as output, with the complaints about it.
    pub fn new(
        tune: &Tune,
        title: &str,
        instrument: &Instrument,
        style: String,
        plan: &Plan,
        complaints: Vec<Complaint>,
    ) -> Self {
        Self {
            tune: title.to_owned(),
            instrument: instrument.id.clone(),
            style,
            cost: plan.cost.total,
            costs: plan.cost.by_kind.iter().map(|(kind, cost)| CostShape { kind: kind.name(), cost: *cost }).collect(),
            turns: plan.turns,
            row_changes: plan.row_changes,
            place_shifts: plan.place_shifts,
            bellows: bellows_shape(tune, plan),
            bars: bar_shapes(tune, instrument, plan),
            otherwise: plan
                .otherwise
                .iter()
                .map(|bars| bars.iter().map(|bar| tune.bars[*bar].label.to_string()).collect())
                .collect(),
            runners_up: plan
                .runners_up
                .iter()
                .map(|runner| RunnerShape {
                    cost: runner.cost,
                    differs: runner
                        .differs
                        .iter()
                        .flat_map(|difference| {
                            let address = tune.address(difference.note);
                            difference.buttons.iter().map(move |button| DifferenceShape {
                                bar: address.bar.to_string(),
                                note: address.note,
                                row: button.row.to_string(),
                                button: button.number,
                                direction: difference.direction.to_string(),
                            })
                        })
                        .collect(),
                })
                .collect(),
            complaints,
        }
    }
}

fn bellows_shape(tune: &Tune, plan: &Plan) -> BellowsShape {
    let points = plan.bellows.curve.points(tune);
    // The most and the least, by pass.
    let mut reach: BTreeMap<_, (f64, f64)> = BTreeMap::new();
    for point in points.clone() {
        let (most, least) = reach.entry(point.pass).or_insert((0.0, 1.0));
        (*most, *least) = (most.max(point.to), least.min(point.to));
    }
    let last = reach.last_key_value().map_or(0, |(pass, _)| *pass);
    let passes = (1..=last).map(|pass| {
        let (most, least) = reach.get(&pass).copied().unwrap_or((0.0, 1.0));
        PassShape { most_open: hundredths(most), least_open: hundredths(least) }
    });
    BellowsShape {
        capacity_seconds: plan.bellows.capacity_seconds,
        begins: hundredths(points.clone().next().map_or(0.0, |point| point.from)),
        passes: passes.collect(),
        cost: plan.cost.total - plan.bellows.free_cost,
        proven: plan.bellows.proven,
        air: plan
            .bellows
            .air
            .iter()
            .map(|point| AirShape {
                after: tune.address(point.after).to_string(),
                air: match point.air {
                    Air::Open => "open",
                    Air::Close => "close",
                },
                pinned: point.pinned,
            })
            .collect(),
    }
}

/// How far open the bellows are after what begins at an onset of a bar, each time that it is played.
type Openings = BTreeMap<(usize, Onset), Vec<f64>>;

fn bar_shapes(tune: &Tune, instrument: &Instrument, plan: &Plan) -> Vec<BarShape> {
    let mut openings = Openings::new();
    for point in plan.bellows.curve.points(tune) {
        openings.entry((point.bar, point.onset)).or_default().push(hundredths(point.to));
    }
    let mut left: BTreeMap<usize, Vec<_>> = BTreeMap::new();
    for press in &plan.left {
        left.entry(press.bar).or_default().push(left_shape(instrument, press));
    }
    let shape =
        |bar: usize| BarShape { left: left.remove(&bar).unwrap_or_default(), ..bar_shape(tune, plan, bar, &openings) };
    (0..tune.bars.len()).map(shape).collect()
}

/// The right hand of a bar.
fn bar_shape(tune: &Tune, plan: &Plan, bar: usize, openings: &Openings) -> BarShape {
    let written = &tune.bars[bar];
    let mut notes = Vec::new();
    for event in &written.events {
        for grace in &event.graces {
            notes.extend(note_shape(tune, plan, event, grace.id, &[]));
        }
        let bellows = openings.get(&(bar, event.onset)).map_or(&[][..], Vec::as_slice);
        notes.extend(event.head().and_then(|id| note_shape(tune, plan, event, id, bellows)));
    }
    BarShape { bar: written.label.to_string(), notes, left: Vec::new() }
}

fn note_shape(tune: &Tune, plan: &Plan, event: &Event, id: NoteId, bellows: &[f64]) -> Option<NoteShape> {
    let planned: &PlannedNote = plan.note(id)?;
    let address = tune.address(id);
    Some(NoteShape {
        note: address.note,
        grace: address.grace,
        onset: event.onset.to_string(),
        duration: event.duration.to_string(),
        direction: planned.direction.to_string(),
        pinned: planned.pinned,
        place: button_shape(planned.place.0),
        presses: planned
            .presses
            .iter()
            .map(|press| PressShape {
                pitch: press.pitch.to_string(),
                row: press.button.row.to_string(),
                button: press.button.number,
                finger: press.finger,
                sound: sound_name(press.sound),
            })
            .collect(),
        bellows: bellows.to_vec(),
    })
}

fn left_shape(instrument: &Instrument, press: &LeftPress) -> LeftShape {
    let button = instrument.left.buttons.get(press.button.0);
    LeftShape {
        onset: press.onset.to_string(),
        duration: press.duration.to_string(),
        kind: match press.kind {
            LeftKind::Bass => "bass",
            LeftKind::Chord => "chord",
        },
        name: press.name.to_string(),
        row: button.map_or_else(String::new, |button| button.row.to_string()),
        button: button.map_or(0, |button| button.number),
        finger: press.finger,
        dropped: press.dropped,
    }
}
