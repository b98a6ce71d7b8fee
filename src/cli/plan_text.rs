//! A plan for reading in a terminal: a line a note, the left hand a line a bar, costs, the bellows as a small drawing.

use super::json::sound_name;
use crate::fingering::{self, Air, LeftOut, Plan, PlannedNote, Unplayable};
use crate::instrument::Instrument;
use crate::tune::{NoteId, Tune};
use std::fmt::Write as _;

/// Columns of the bellows drawing, and its rows.
const WIDE: usize = 60;
const HIGH: usize = 8;

/// A line on the tempo that the plan was made for, where the tune names none.
fn assumed_tempo(tune: &Tune) -> String {
    fingering::assumed_tempo(tune).map_or_else(String::new, |said| said + "\n")
}

/// The whole report.
pub fn plan_text(title: &str, tune: &Tune, instrument: &Instrument, style: &str, plan: &Plan) -> String {
    let mut out = String::new();
    let _ = writeln!(out, "{title} on {} ({style})", instrument.name);
    let _ = writeln!(
        out,
        "{}, {}, {}; cost {}",
        counted(plan.turns, "turn of the bellows", "turns of the bellows"),
        counted(plan.row_changes, "change of row", "changes of row"),
        counted(plan.place_shifts, "move of the hand", "moves of the hand"),
        plan.cost.total
    );
    let kinds: Vec<_> = plan
        .cost
        .by_kind
        .iter()
        .filter(|(_, cost)| *cost > 0)
        .map(|(kind, cost)| format!("{} {cost}", kind.name()))
        .collect();
    if !kinds.is_empty() {
        let _ = writeln!(out, "  of it {}", kinds.join(", "));
    }
    out.push_str(&assumed_tempo(tune));
    let _ = writeln!(out, "\n  bar.note  pitch   row    button  bellows  finger  how       hand");
    for (bar, written) in tune.bars.iter().enumerate() {
        for event in &written.events {
            let ids = event.graces.iter().map(|grace| grace.id).chain(event.head());
            for id in ids {
                note_lines(&mut out, tune, plan, id);
            }
        }
        let left: Vec<_> = plan
            .left
            .iter()
            .filter(|press| press.bar == bar)
            .map(|press| if press.dropped { format!("({} missing)", press.name) } else { press.name.to_string() })
            .collect();
        if !left.is_empty() {
            let _ = writeln!(out, "            left hand: {}", left.join(" "));
        }
    }
    for bars in &plan.otherwise {
        let labels: Vec<_> = bars.iter().map(|bar| tune.bars[*bar].label.to_string()).collect();
        let _ = writeln!(out, "\nThe same music, not fingered in one way: bars {}", labels.join(", "));
    }
    bellows_text(&mut out, tune, plan);
    // Where the plan takes air, a plan that would drain the bellows may look cheaper: it is no choice.
    for runner in plan.runners_up.iter().filter(|runner| runner.cost >= plan.cost.total) {
        let where_else: Vec<_> = runner
            .differs
            .iter()
            .map(|difference| {
                let buttons: Vec<_> = difference.buttons.iter().map(ToString::to_string).collect();
                format!("{} {} {}", tune.address(difference.note), buttons.join("+"), difference.direction)
            })
            .collect();
        let _ = writeln!(out, "\nNext best, {} dearer: {}", runner.cost - plan.cost.total, where_else.join("; "));
    }
    out
}

fn counted(count: u32, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

fn note_lines(out: &mut String, tune: &Tune, plan: &Plan, id: NoteId) {
    let address = tune.address(id).to_string();
    let Some(note) = plan.note(id) else {
        let why = match plan.left_out(id) {
            Some(LeftOut::OtherWay(way)) => format!("is left out: it does not sound on the {way} like its note"),
            Some(LeftOut::NoNote) => "is left out: it has no note to lean on".to_owned(),
            None => match plan.unplayable(id) {
                Some(Unplayable::TooMany) => "cannot be played: it has more notes than a hand has fingers".to_owned(),
                Some(Unplayable::NotOneWay) => "cannot be played: its notes do not sound in one direction".to_owned(),
                Some(Unplayable::TooFarApart) => {
                    "cannot be played: its notes lie too far apart for one hand".to_owned()
                }
                Some(Unplayable::NotOnBox) | None => "is not on this box".to_owned(),
            },
        };
        let _ = writeln!(out, "  {address:<9} {why}");
        return;
    };
    for (index, press) in note.presses.iter().rev().enumerate() {
        let name = if index == 0 { address.as_str() } else { "" };
        let _ = writeln!(
            out,
            "  {name:<9} {:<7} {:<6} {:<7} {:<8} {:<7} {:<9} {}",
            press.pitch.to_string(),
            press.button.row.to_string(),
            press.button.number,
            if index == 0 { note.direction.to_string() } else { String::new() },
            press.finger,
            sound_name(press.sound),
            if index == 0 { hand(note) } else { String::new() }
        );
    }
}

/// What the hand does at a note: where it moves, and whether the author pinned the note.
fn hand(note: &PlannedNote) -> String {
    let place = if note.place_moves { format!("index on {}", note.place.0) } else { String::new() };
    match (place.is_empty(), note.pinned) {
        (_, false) => place,
        (true, true) => "pinned".into(),
        (false, true) => format!("{place}, pinned"),
    }
}

/// What the bellows cost, and how sure that is.
fn bellows_cost(plan: &Plan) -> String {
    let (cost, free) = (plan.cost.total, plan.bellows.free_cost);
    match cost - free {
        0 => "they cost nothing: the best plan fits them".to_owned(),
        more if plan.bellows.proven => {
            format!(
                "they cost {more}: with bellows without an end the best plan would cost {free}; no other plan costs less"
            )
        }
        more => format!(
            "they cost {more} at the most: with bellows without an end the best plan would cost {free}; in a tune of this length not every way to turn was tried, and the best plan costs between {free} and {cost}"
        ),
    }
}

/// The opening of the bellows along the played tune, with the air points.
fn bellows_text(out: &mut String, tune: &Tune, plan: &Plan) {
    let curve = &plan.bellows.curve;
    let points: Vec<f64> = curve.points(tune).map(|point| point.to).collect();
    let Some(first) = curve.points(tune).next() else { return };
    let seconds = plan.bellows.capacity_seconds;
    let _ = writeln!(
        out,
        "\nBellows, {seconds:.0} seconds full: begin {:.0} % open ({:.1} seconds of push), open at the most {:.0} %, at the least \
         {:.0} %",
        first.from * 100.0,
        first.from * seconds,
        curve.most_open * 100.0,
        curve.least_open * 100.0
    );
    let _ = writeln!(out, "  {}", bellows_cost(plan));
    // Each column shows the opening at its share of the played notes.
    let columns: Vec<f64> = (0..WIDE.min(points.len()))
        .map(|column| points[column * points.len() / WIDE.min(points.len())].clamp(0.0, 1.0))
        .collect();
    for row in (0..HIGH).rev() {
        let floor = row as f64 / HIGH as f64;
        let line: String = columns.iter().map(|open| if *open > floor { '#' } else { ' ' }).collect();
        let label = if row == HIGH - 1 {
            "open  "
        } else if row == 0 {
            "closed"
        } else {
            "      "
        };
        let _ = writeln!(out, "  {label} |{}", line.trim_end());
    }
    for point in &plan.bellows.air {
        let what = if point.air == Air::Open { "air in" } else { "air out" };
        let by = if point.pinned { "pinned" } else { "proposed" };
        let _ = writeln!(out, "  {what} after {} ({by})", tune.address(point.after));
    }
}
