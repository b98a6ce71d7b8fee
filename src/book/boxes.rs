//! Box files into [`Instrument`]s: takes a checked file, gives the box, built-in ones read exactly like an author's own.
//! Knows no fingering.

use super::files::{BOX, BoxFile, BoxRow, BoxRowButtons, FileKind, LeftButtonFile, LeftFile};
use super::library::{Library, Unread};
use super::text::read_kind;
use super::words::Said;
use super::yaml::Node;
use crate::diag::{Code, FileId, Place, Sink, Sources, nearest};
use crate::instrument::{Bellows, Button, Instrument, LeftButton, LeftHand, LeftKind, Row, RowAt, Thirds, builtin};
use crate::tune::Pitch;

/// A full bellows where a box file gives no figure; a placeholder, as in the built-in boxes.
const BELLOWS_SECONDS: f64 = 9.0;

/// A built-in box by its name.
pub fn builtin_box(id: &str) -> Option<Instrument> {
    let (_, text) = builtin().iter().find(|(name, _)| *name == id)?;
    let mut sources = Sources::default();
    let file = sources.add(id, *text);
    let mut sink = Sink::default();
    let instrument = from_text(id, file, text, &mut sink).map(|(instrument, _)| instrument);
    assert!(!sink.has_errors(), "the built-in box {id} is sound: {:?}", sink.items());
    instrument
}

/// Reads an author's box file. `None`, or a box with errors in the sink, when something is wrong with it.
pub fn read_box<E: Into<Unread>>(
    path: &str,
    files: &mut dyn FnMut(&str) -> Result<Vec<u8>, E>,
    sources: &mut Sources,
    sink: &mut Sink,
) -> Option<Instrument> {
    let mut files = |path: &str| files(path).map_err(Into::into);
    let mut library = Library::new(path, &mut files, sources);
    let file = library.first(path, "a box's file, such as boxes/mine.yaml", sink)?;
    from_text(path, file, library.sources.text(file), sink).map(|(instrument, _)| instrument)
}

/// The box that a book, an edition or the command line names: a built-in one, or the path of a file from the book's folder, and
/// where the latter gives its name.
pub fn named_box(
    name: &str,
    place: Place,
    library: &mut Library<'_>,
    sink: &mut Sink,
) -> Option<(Instrument, Option<Place>)> {
    if let Some(instrument) = builtin_box(name) {
        return Some((instrument, None));
    }
    let is_path = name.ends_with(".yaml") || name.ends_with(".yml");
    if is_path || name.contains('/') && library.has("", name) {
        let file = library.text("", name, place, sink)?;
        return from_text(name, file, library.sources.text(file), sink);
    }
    unknown_box(name, place, sink);
    None
}

/// The built-in boxes of two keys as teachers write them: `D/G`, `DG`, `d-g`.
fn of_keys(name: &str) -> Vec<String> {
    let keys: String = name.chars().filter(char::is_ascii_alphabetic).flat_map(char::to_lowercase).collect();
    let of = |id: &&str| id.split('-').next() == Some(keys.as_str());
    builtin().iter().map(|(id, _)| *id).filter(of).map(|id| format!("`{id}`")).collect()
}

/// Complains about a name that no built-in box has.
pub fn unknown_box(name: &str, place: Place, sink: &mut Sink) {
    let complaint = sink.error(code!("unknown-box"), Some(place), format!("there is no built-in box `{name}`"));
    complaint.hints.push(match nearest(name, builtin().iter().map(|(name, _)| *name)) {
        Some(near) => format!("did you mean `{near}`?"),
        None if !of_keys(name).is_empty() => format!("built-in boxes of these keys: {}", of_keys(name).join(", ")),
        None => "`boxwright boxes` lists them; the path of a box file ends with `.yaml`".into(),
    });
}

fn from_text(id: &str, file: FileId, text: &str, sink: &mut Sink) -> Option<(Instrument, Option<Place>)> {
    let (node, parsed) = read_kind::<BoxFile>(file, text, (FileKind::Box, &BOX), sink)?;
    let instrument = Reading { node: &node, sink }.instrument(id, &parsed)?;
    Some((instrument, node.get("name").map(|name| name.place)))
}

struct Reading<'a> {
    node: &'a Node,
    sink: &'a mut Sink,
}

impl Reading<'_> {
    fn error(&mut self, code: Code, place: Place, message: String, hint: &str) {
        let complaint = self.sink.error(code, Some(place), message);
        if !hint.is_empty() {
            complaint.hints.push(hint.to_owned());
        }
    }

    fn missing(&mut self, key: &str) {
        let hint = "or start from a built-in box with `like:`";
        self.error(code!("missing-key"), self.node.place, format!("a box needs `{key}`"), hint);
    }

    fn instrument(&mut self, id: &str, file: &BoxFile) -> Option<Instrument> {
        let like = file.like.as_ref().and_then(|said| said.0.0.as_ref());
        let base = match like {
            Some(name) => {
                let base = builtin_box(&name.0);
                if base.is_none() {
                    unknown_box(&name.0, self.node.place_of("like"), self.sink);
                    return None;
                }
                base
            }
            None => {
                for (key, given) in
                    [("name", file.name.is_some()), ("rows", file.rows.is_some()), ("left", file.left.is_some())]
                {
                    if !given {
                        self.missing(key);
                    }
                }
                None
            }
        };
        let mut box_ = base.clone().unwrap_or_else(|| Instrument {
            id: String::new(),
            name: String::new(),
            family: "own".into(),
            rows: Vec::new(),
            left: LeftHand { rows: Vec::new(), buttons: Vec::new(), thirds: Thirds::In },
            bellows: Bellows { seconds: BELLOWS_SECONDS, source: "placeholder, no published figure".into() },
            source: "the author's own".into(),
        });
        if let (Some(like), true) = (like, base.is_some()) {
            box_.source = format!("like {}, changed by the author; {}", like.0, box_.source);
        }
        box_.id = id.to_owned();
        box_.name = file.name.clone().unwrap_or(box_.name);
        box_.family = file.family.as_ref().map_or(box_.family, |said| said.0.0.clone());
        box_.source = file.source.clone().unwrap_or(box_.source);
        box_.left.thirds = file.thirds.as_ref().map_or(box_.left.thirds, |said| said.0);
        if let Some(bellows) = &file.bellows {
            box_.bellows.seconds = bellows.seconds.unwrap_or(box_.bellows.seconds);
            box_.bellows.source = bellows.source.clone().unwrap_or_else(|| "the author's own".into());
        }
        self.rows(file.rows.as_deref().unwrap_or_default(), base.is_some(), &mut box_.rows);
        if let Some(left) = &file.left {
            self.left(left, base.is_some(), &mut box_.left);
        }
        (!box_.rows.is_empty()).then_some(box_)
    }

    fn rows(&mut self, rows: &[BoxRow], based: bool, out: &mut Vec<Row>) {
        let list = self.node.get("rows").cloned();
        let mut seen: Vec<RowAt> = Vec::new();
        for (row, node) in rows.iter().zip(list.as_ref().map_or(&[][..], Node::items)) {
            if seen.contains(&row.at.0) {
                self.error(
                    code!("duplicate-row"),
                    node.place,
                    format!("the {} row is described twice", row.at.0),
                    "keep one of them",
                );
                continue;
            }
            seen.push(row.at.0);
            self.row(row, node, based, out);
        }
        out.sort_by_key(|row| row.at);
        // Of rows that are left out for their faults it is not known what they would have been.
        let is_wanting = match out.first() {
            Some(first) => !rows.is_empty() && first.at != RowAt::Outer,
            None => list.is_some_and(|list| !list.partial && list.items().is_empty()),
        };
        if is_wanting {
            let place = self.node.place_of("rows");
            self.error(
                code!("no-outer-row"),
                place,
                "a box needs an outer row".into(),
                "the only row of a one-row box is its outer row",
            );
        }
    }

    fn row(&mut self, row: &BoxRow, node: &Node, based: bool, out: &mut Vec<Row>) {
        let at = row.at.0;
        let known = out.iter().position(|known| known.at == at);
        let usual = match at {
            RowAt::Outer => 0.0,
            RowAt::Inner => 0.5,
            RowAt::Half => 1.0,
        };
        let mut new = match known {
            Some(index) => out.remove(index),
            None => Row { at, name: String::new(), start: 0, offset: usual, buttons: Vec::new() },
        };
        new.offset = row.offset.unwrap_or(new.offset);
        match &row.buttons {
            Some(BoxRowButtons::All(all)) => new.buttons = all.iter().map(button).collect(),
            Some(BoxRowButtons::Some(some)) => {
                for (number, pair) in some {
                    let place =
                        node.get("buttons").and_then(|b| b.entry(&number.to_string())).map_or(node.place, |e| e.place);
                    let count = new.buttons.len();
                    let index = number.checked_sub(1).and_then(|index| usize::try_from(index).ok());
                    match index.and_then(|index| new.buttons.get_mut(index)) {
                        Some(old) => *old = button(pair),
                        None => {
                            let hint = if based {
                                "to add buttons, write the whole row"
                            } else {
                                "single buttons by number need `like:`"
                            };
                            let message = format!("the {at} row has {count} buttons, and none numbered {number}");
                            self.error(code!("no-such-button"), place, message, hint);
                        }
                    }
                }
            }
            // They are there and were refused.
            None if known.is_none() && node.partial => return,
            None if known.is_none() => {
                let hint = "from the chin end, each [push, pull]: `buttons: [[D4, E4], [F#4, G4]]`";
                self.error(code!("missing-key"), node.place, "a row needs `buttons`".into(), hint);
                return;
            }
            None => {}
        }
        new.start = row.start.unwrap_or(new.start);
        if usize::from(new.start) > new.buttons.len() {
            let message =
                format!("the {at} row has {} buttons, so it can't start on button {}", new.buttons.len(), new.start);
            self.error(code!("no-such-button"), node.place_of("start"), message, "count from the chin end");
        }
        let tonic =
            new.start.checked_sub(1).and_then(|index| new.buttons.get(usize::from(index))).map(|b| b.push.class());
        new.name = row.name.clone().unwrap_or(new.name);
        if new.name.is_empty() {
            new.name = tonic.map_or_else(|| at.to_string(), |tonic| tonic.to_string());
        }
        if at != RowAt::Half && new.start == 0 && known.is_none() {
            self.error(
                code!("missing-key"),
                node.place,
                "a row needs `start`".into(),
                "the button whose push gives the low home note",
            );
        }
        self.range(&new, node);
        out.push(new);
    }

    /// Notes that no reed of a box gives are slips of the octave.
    fn range(&mut self, row: &Row, node: &Node) {
        const LOW: i32 = 36;
        const HIGH: i32 = 108;
        let odd = |pitch: Pitch| !(LOW..=HIGH).contains(&pitch.midi());
        let found = (1..).zip(&row.buttons).find(|(_, button)| odd(button.push) || odd(button.pull));
        if let Some((number, button)) = found {
            let pitch = if odd(button.push) { button.push } else { button.pull };
            let message = format!("button {number} of the {} row gives {pitch}, which no box has", row.at);
            self.error(code!("odd-octave"), node.place_of("buttons"), message, "C4 is middle C");
        }
    }

    /// Small letters name chords: in the place of a bass they are a slip.
    fn spelt_as_its_kind(&mut self, file: &LeftButtonFile, node: &Node) {
        for key in ["push", "pull"].into_iter().filter(|_| file.kind.0 == LeftKind::Bass) {
            let small = node.get(key).and_then(Node::text);
            if let Some(text) = small.filter(|text| text.starts_with(|first: char| first.is_ascii_lowercase())) {
                let message = format!("`{text}` is the name of a chord, and this button is a bass");
                let hint = "a bass is named by a capital, such as `G`; or is this `kind: chord`?";
                self.error(code!("wrong-value"), node.place_of(key), message, hint);
            }
        }
    }

    fn left(&mut self, left: &LeftFile, based: bool, out: &mut LeftHand) {
        let node = self.node.get("left").cloned();
        let list = node.as_ref().and_then(|node| node.get("buttons"));
        let buttons = left.buttons.as_deref().unwrap_or_default();
        let single = based && !buttons.is_empty() && buttons.iter().all(|button| button.number.is_some());
        if let Some(rows) = &left.rows {
            out.rows = rows.iter().map(|said| said.0).collect();
        }
        if !buttons.is_empty() && !single {
            out.buttons.clear();
        }
        for (file, node) in buttons.iter().zip(list.map_or(&[][..], Node::items)) {
            let row = file.row.0;
            let number = if single { file.number.unwrap_or(1) } else { count(out, row) + 1 };
            self.spelt_as_its_kind(file, node);
            let new = LeftButton { row, number, kind: file.kind.0, push: file.push.0.0, pull: file.pull.0.0 };
            if single {
                match out.buttons.iter_mut().find(|old| (old.row, old.number) == (row, number)) {
                    Some(old) => *old = new,
                    None => {
                        let message = format!("there is no left-hand button {number} in the {row} row");
                        self.error(
                            code!("no-such-button"),
                            node.place,
                            message,
                            "to add buttons, write the whole left hand",
                        );
                    }
                }
            } else {
                out.buttons.push(new);
            }
        }
        for button in &out.buttons {
            if !out.rows.contains(&button.row) {
                out.rows.push(button.row);
            }
        }
        out.rows.sort_unstable();
        out.rows.dedup();
        // A stable sort: within a row the order stays that of the file, from the chin.
        out.buttons.sort_by_key(|button| button.row);
        let written = node.as_ref().and_then(|node| node.get("buttons"));
        if !out.buttons.is_empty() || node.as_ref().is_some_and(|node| node.partial) {
        } else if let Some(written) = written {
            let hint = "write one at least; a tune that names no chords leaves the left hand out";
            self.error(code!("wrong-length"), written.place, "the left hand has no buttons".into(), hint);
        } else {
            let place = self.node.place_of("left");
            let hint = "in their order from the chin: `- {row: outer, kind: bass, push: D, pull: A}`";
            self.error(code!("missing-key"), place, "the left hand needs `buttons`".into(), hint);
        }
    }
}

fn count(left: &LeftHand, row: RowAt) -> u8 {
    u8::try_from(left.buttons.iter().filter(|button| button.row == row).count()).unwrap_or(u8::MAX - 1)
}

fn button(pair: &[Said<Pitch>; 2]) -> Button {
    Button { push: pair[0].0, pull: pair[1].0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_built_in_box_reads() {
        for (id, _) in builtin() {
            let instrument = builtin_box(id).expect("it is built in");
            assert_eq!(instrument.id, *id);
            assert!(!instrument.rows.is_empty() && !instrument.left.buttons.is_empty(), "{id}");
        }
        let dg = builtin_box("dg-21-third").expect("it is built in");
        assert_eq!(dg.ways(76).len(), 2);
        assert_eq!(dg.rows[1].offset, 0.5);
    }

    fn read(text: &str) -> (Option<Instrument>, Vec<String>) {
        let mut sources = Sources::default();
        let mut sink = Sink::default();
        let mut files = |_: &str| Ok::<_, Unread>(text.as_bytes().to_vec());
        let instrument = read_box("boxes/mine.yaml", &mut files, &mut sources, &mut sink);
        (instrument, sink.items().iter().map(|d| format!("{}: {}", d.code, d.message)).collect())
    }

    #[test]
    fn a_box_like_another_changes_single_buttons() {
        let (instrument, complaints) =
            read("like: dg-21-third\nname: Mine\nrows:\n  - at: inner\n    buttons: {5: [E5, D5]}\n");
        assert_eq!(complaints, Vec::<String>::new());
        let instrument = instrument.expect("it reads");
        assert_eq!(instrument.rows[1].buttons[4].push.to_string(), "E5");
        assert_eq!(instrument.rows[1].buttons[3].push.to_string(), "B4");
        assert_eq!((instrument.name.as_str(), instrument.id.as_str()), ("Mine", "boxes/mine.yaml"));
    }

    #[test]
    fn mistakes_in_a_box() {
        let complaints = |text| read(text).1;
        assert_eq!(complaints("like: dg-21-thrid\n"), ["unknown-box: there is no built-in box `dg-21-thrid`"]);
        assert_eq!(
            complaints("like: dg-21-third\nrows:\n  - {at: inner, buttons: {11: [E5, D5]}}\n"),
            ["no-such-button: the inner row has 10 buttons, and none numbered 11"]
        );
        assert_eq!(
            complaints("name: Half a box\n"),
            ["missing-key: a box needs `rows`", "missing-key: a box needs `left`"]
        );
        assert_eq!(
            complaints("like: dg-21-third\nrows:\n  - {at: inner, buttons: {1: [B0, D4]}}\n"),
            ["odd-octave: button 1 of the inner row gives B0, which no box has"]
        );
        assert_eq!(
            complaints("like: dg-21-third\nrows:\n  - {at: inner, buttons: {1: [H3, D4]}}\n"),
            ["wrong-value: `H3` is not a note (in `1`)"]
        );
    }
}
