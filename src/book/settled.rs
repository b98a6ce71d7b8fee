//! Settled plans: a tune's plan on a box as a file beside the tune, written and read back. `is:` stands on every note, so
//! that an edit of the tune can't move a decision silently. Decides nothing.

use super::files::{SETTLED, SettledFile, SettledLine};
use super::pins::pitches;
use super::text::read_file;
use super::yaml::Node;
use crate::diag::{FileId, Sink};
use crate::fingering::{Plan, PlannedNote, Settled, SettledNote};
use crate::instrument::ButtonId;
use crate::tune::{Address, NoteId, Tune};
use std::collections::BTreeMap;
use std::fmt::Write;

/// The path of the settled file of a tune file: `tin-lantern.yaml` has `tin-lantern.settled.yaml`.
pub fn settled_path(tune_path: &str) -> String {
    let stem = tune_path.strip_suffix(".yaml").or(tune_path.strip_suffix(".yml")).unwrap_or(tune_path);
    format!("{stem}.settled.yaml")
}

/// What helps with a settled file that is damaged: nobody is to write in it.
pub const RESTORE: &str = "take the file from your backup, or delete it: the plan is then worked out anew, and may differ from the printed one";

/// A settled file as it stands. What is wrong with it is told with what to do about a file that no one writes by hand.
fn read_settled_file(file: FileId, text: &str, sink: &mut Sink) -> Option<(Node, SettledFile)> {
    let mut own = Sink::default();
    let found = read_file::<SettledFile>(file, text, &SETTLED, &mut own);
    sink.absorb(own.hinted(RESTORE));
    found
}

/// The settled plan of a tune on one box, if the text has a section for it. Notes that are gone, or
/// others now, have no say; a warning counts them.
pub fn read_settled(
    file: FileId,
    text: &str,
    tune_id: &str,
    tune: &Tune,
    box_id: &str,
    sink: &mut Sink,
) -> Option<Settled> {
    let (node, parsed) = read_settled_file(file, text, sink)?;
    if parsed.tune.0.0 != tune_id {
        let message = format!("this settled plan is for `{}`, not for `{tune_id}`; it is not used", parsed.tune.0.0);
        sink.warn(code!("settled-other"), Some(node.place_of("tune")), message)
            .hints
            .push("delete it, or give the tune its old id back".into());
        return None;
    }
    let lines = parsed.boxes.get(box_id)?;
    let mut settled = Settled::default();
    let mut gone = 0usize;
    for line in lines {
        match note(line, tune) {
            Some(note) => {
                // What stands at its place now is another note.
                gone += usize::from(!note.still_there);
                settled.notes.push(note);
            }
            None => gone += 1,
        }
    }
    if gone > 0 {
        let place = node.get("boxes").and_then(|boxes| boxes.entry(box_id)).map(|entry| entry.place);
        let message = match gone {
            _ if gone == lines.len() && gone > 1 => {
                "no note of the settled plan is in the tune as it was: the plan is worked out anew".to_owned()
            }
            1 => "1 note of the settled plan is no longer in the tune".to_owned(),
            _ => format!("{gone} notes of the settled plan are no longer in the tune"),
        };
        sink.warn(code!("settled-gone"), place, message)
            .hints
            .push("look at the plan, then run `boxwright settle` again".into());
    }
    Some(settled)
}

fn note(line: &SettledLine, tune: &Tune) -> Option<SettledNote> {
    let address = Address { bar: line.bar.0.0, note: line.note.0.note, grace: line.note.0.grace };
    let id = tune.find(address)?;
    let there = pitches(tune, id);
    let then = line.is.iter().map(|said| said.0.midi());
    let button = |row, number| ButtonId { row, number };
    Some(SettledNote {
        note: id,
        direction: line.direction.0,
        presses: line.presses.iter().map(|press| (button(press.row.0, press.button), press.finger)).collect(),
        place: button(line.place.row.0, line.place.button),
        still_there: there.iter().map(|pitch| pitch.midi()).eq(then),
    })
}

/// The text of a settled file with the plan of one box in it; sections of other boxes in `before` (the file as it is now)
/// are kept.
pub fn settled_text(
    tune_id: &str,
    tune: &Tune,
    box_id: &str,
    plan: &Plan,
    before: Option<(FileId, &str)>,
    sink: &mut Sink,
) -> String {
    let mut boxes: BTreeMap<String, String> = BTreeMap::new();
    if let Some((_, parsed)) = before.and_then(|(file, text)| read_settled_file(file, text, sink)) {
        // What was settled for another tune says nothing of this one.
        for (name, lines) in parsed.boxes.iter().filter(|_| parsed.tune.0.0 == tune_id) {
            boxes.insert(name.clone(), lines.iter().map(again).collect());
        }
    }
    let lines = (0..tune.note_count()).filter_map(|index| {
        let id = NoteId(u32::try_from(index).ok()?);
        plan.note(id).map(|note| (id, note))
    });
    boxes.insert(box_id.to_owned(), lines.map(|(id, note)| planned(id, note, tune)).collect());
    let mut out = String::from(
        "# Written by `boxwright settle`. The plan as it was printed; delete this file to have it worked out anew.\n",
    );
    let _ = write!(out, "settled: 1\ntune: {tune_id}\nboxes:\n");
    for (name, lines) in boxes {
        let empty = if lines.is_empty() { " []" } else { "" };
        let _ = write!(out, "  \"{name}\":{empty}\n{lines}");
    }
    out
}

/// One note as a line of the file.
struct Line<'a> {
    address: Address,
    is: Vec<String>,
    direction: &'a str,
    place: ButtonId,
    presses: Vec<(ButtonId, u8)>,
}

impl Line<'_> {
    fn text(&self) -> String {
        let grace = self.address.grace.map_or(String::new(), |grace| format!("g{grace}"));
        let presses: Vec<String> = self
            .presses
            .iter()
            .map(|(button, finger)| format!("{{row: {}, button: {}, finger: {finger}}}", button.row, button.number))
            .collect();
        format!(
            "    - {{bar: {}, note: {}{grace}, is: [{}], direction: {}, place: {{row: {}, button: {}}}, presses: [{}]}}\n",
            self.address.bar,
            self.address.note,
            self.is.join(", "),
            self.direction,
            self.place.row,
            self.place.number,
            presses.join(", "),
        )
    }
}

fn planned(id: NoteId, note: &PlannedNote, tune: &Tune) -> String {
    let line = Line {
        address: tune.address(id),
        is: pitches(tune, id).iter().map(ToString::to_string).collect(),
        direction: &note.direction.to_string(),
        place: note.place.0,
        presses: note.presses.iter().map(|press| (press.button, press.finger)).collect(),
    };
    line.text()
}

fn again(line: &SettledLine) -> String {
    let line = Line {
        address: Address { bar: line.bar.0.0, note: line.note.0.note, grace: line.note.0.grace },
        is: line.is.iter().map(|said| said.0.to_string()).collect(),
        direction: &line.direction.0.to_string(),
        place: ButtonId { row: line.place.row.0, number: line.place.button },
        presses: line.presses.iter().map(|p| (ButtonId { row: p.row.0, number: p.button }, p.finger)).collect(),
    };
    line.text()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::Sources;
    use crate::reader::abc;

    /// What was settled for another tune is no plan of this one, though its file is called so.
    #[test]
    fn plans_of_another_tune_are_not_carried_along() {
        let mut sources = Sources::default();
        let music = sources.add("a.abc", "L:1/4\nK:G\nG|\n");
        let tune = abc::read(&sources.excerpt(music), &abc::AbcOptions::default(), &mut Sink::default()).remove(0);
        let text = "settled: 1\ntune: kettle\nboxes:\n  \"dg-21-third\":\n    - {bar: 1, note: 1, is: [G4], direction: push, \
                    place: {row: inner, button: 3}, presses: [{row: inner, button: 3, finger: 1}]}\n";
        let before = sources.add("a.settled.yaml", text);
        let kept = |id: &str| {
            let mut sink = Sink::default();
            let new = settled_text(id, &tune, "c-10", &Plan::default(), Some((before, text)), &mut sink);
            assert!(new.contains("\"c-10\": []") && sink.items().is_empty(), "{new} {sink:?}");
            new.contains("dg-21-third")
        };
        assert_eq!((kept("kettle"), kept("lantern")), (true, false));
    }
}
