//! The line of facts under a title: key, metre, tempo with its note sign, box, style of playing, how far open the bellows
//! begin where that is far.

use super::material::TuneMaterial;
use super::scale::Named;
use super::setting::Setting;
use super::words::Words;
use crate::fingering::Style;
use crate::frame::{Frame, Ink, Item, TextRun};
use crate::geom::{Abs, Point, Size};
use crate::lesson::{bellows_begin, value_name};
use crate::tune::{KeySignature, Meter, NoteValue, PitchClass, Step, Tempo};

/// The facts in as many lines as `room` asks for; the origin of each is the left end of its baseline, its size only says its
/// width.
pub(super) fn lines(setting: &Setting<'_>, material: &TuneMaterial<'_>, room: Abs) -> Vec<Frame> {
    let entry = material.entry;
    let label = setting.scale.size(Named::Label);
    let mut parts: Vec<Frame> = Vec::new();
    let words = |text: &str| {
        let set = setting.scale.label_within(Named::Label, text, room);
        let mut frame = Frame::new(Size::new(set.width, Abs::ZERO));
        set.put(&mut frame, Point::default());
        frame
    };
    if let Some(key) = key_name(setting, &entry.tune.key) {
        parts.push(words(&key));
    }
    parts.push(words(&metre_name(setting, &entry.tune.meter)));
    if let Some(tempo) = &entry.tune.tempo {
        parts.extend(self::tempo(setting, tempo, room));
    }
    parts.push(words(&box_name(setting)));
    parts.push(words(match entry.request.weights.style {
        Style::Along => setting.words.along,
        Style::Smooth => setting.words.smooth,
        Style::Easy => setting.words.easy,
    }));
    parts.extend(bellows_begin(&entry.tune, material.plan, &setting.book.language).map(|phrase| words(&phrase)));
    rows(parts, label * 0.9, room, setting)
}

/// Parts beside each other with a thin upright between them, in lines no wider than `room`.
fn rows(parts: Vec<Frame>, gap: Abs, room: Abs, setting: &Setting<'_>) -> Vec<Frame> {
    let height = setting.scale.cap_height(Named::Label);
    let mut lines: Vec<Frame> = Vec::new();
    for part in parts {
        let width = part.size.width;
        match lines.last_mut().filter(|line| (line.size.width + gap * 2.0 + width).fits(room)) {
            Some(line) => {
                let at = line.size.width + gap;
                line.line(Point::new(at, -height), Point::new(at, Abs::ZERO), Abs::pt(0.4), Ink::Black);
                line.place(Point::new(at + gap, Abs::ZERO), part);
                line.size.width = at + gap + width;
            }
            None => {
                let mut line = Frame::new(Size::new(width, Abs::ZERO));
                line.place(Point::default(), part);
                lines.push(line);
            }
        }
    }
    lines
}

/// A key in words: `E minor`, `A mixolydian`; `None` where the file gives none.
pub(super) fn key_name(setting: &Setting<'_>, key: &KeySignature) -> Option<String> {
    key.tonic.map(|(tonic, mode)| format!("{} {}", step_name(setting.words, tonic), (setting.words.mode)(mode)))
}

/// A step in the language's words, with a proper sharp or flat: `F♯`, `fa♯`.
pub(super) fn step_name(words: &Words, class: PitchClass) -> String {
    let letter = class_name(class);
    let sign = letter.trim_start_matches(|c: char| c.is_ascii_alphabetic());
    let step = Step::ALL.iter().position(|step| *step == class.step).unwrap_or_default();
    format!("{}{sign}", words.letters[step])
}

/// A letter with a proper sharp or flat.
pub(super) fn class_name(class: PitchClass) -> String {
    class.to_string().replace('#', "♯").replacen('b', "♭", 2)
}

/// A metre in figures.
pub(super) fn metre_name(setting: &Setting<'_>, metre: &Meter) -> String {
    match metre {
        Meter::Free => setting.words.no_metre.to_owned(),
        Meter::Common => "4/4".to_owned(),
        Meter::Cut => "2/2".to_owned(),
        Meter::Figures { .. } => metre.to_string(),
    }
}

/// The box in a few words: its name up to the first comma.
pub(super) fn box_name(setting: &Setting<'_>) -> String {
    box_parts(setting).swap_remove(0)
}

/// The parts of the box's name, at least one, in the book's language as far as they are those that built-in boxes are named
/// by.
pub(super) fn box_parts(setting: &Setting<'_>) -> Vec<String> {
    let name = &setting.book.instrument.name;
    name.split(',').map(|part| box_part(setting.words, part.trim())).collect()
}

fn box_part(words: &Words, part: &str) -> String {
    if let Some((_, own)) = words.box_parts.iter().find(|(english, _)| *english == part) {
        return (*own).to_owned();
    }
    if let Some(number) = part.strip_suffix(" buttons").filter(|number| number.parse::<u32>().is_ok()) {
        return words.buttons.replace("{n}", number);
    }
    // The keys of the rows: `D/G`.
    let keys: Option<Vec<String>> =
        part.split('/').map(|key| PitchClass::parse(key).map(|class| step_name(words, class))).collect();
    keys.map_or_else(|| part.to_owned(), |keys| keys.join("/"))
}

/// A tempo: words before, note sign and rate, words after.
fn tempo(setting: &Setting<'_>, tempo: &Tempo, room: Abs) -> Option<Frame> {
    let label = setting.scale.size(Named::Label);
    let mut frame = Frame::new(Size::default());
    let mut x = Abs::ZERO;
    let words = |frame: &mut Frame, x: &mut Abs, text: &str| {
        let set = setting.scale.label_within(Named::Label, text, room * 0.3);
        let width = set.width;
        set.put(frame, Point::new(*x, Abs::ZERO));
        *x += width;
    };
    if let Some(before) = &tempo.before {
        words(&mut frame, &mut x, before);
        x += label * 0.4;
    }
    if let Some(speed) = speed(setting, tempo, 100) {
        let width = speed.size.width;
        frame.place(Point::new(x, Abs::ZERO), speed);
        x += width;
    }
    if let Some(after) = &tempo.after {
        x += label * 0.4;
        words(&mut frame, &mut x, after);
    }
    frame.size.width = x;
    (x > Abs::ZERO).then_some(frame)
}

/// Note sign, equals sign and a rate at a percentage of the tempo; `None` when the tempo has no figures.
pub(super) fn speed(setting: &Setting<'_>, tempo: &Tempo, percent: u32) -> Option<Frame> {
    let bpm = tempo.bpm?;
    let label = setting.scale.size(Named::Label);
    // The sign's head is then about as wide as a small letter.
    let space = label * 0.27;
    let mut frame = Frame::new(Size::default());
    let mut x = Abs::ZERO;
    let put = |frame: &mut Frame, x: &mut Abs, text: &str| {
        let words = setting.scale.label(Named::Label, text);
        let width = words.width;
        words.put(frame, Point::new(*x, Abs::ZERO));
        *x += width;
    };
    let mut first = true;
    for beat in &tempo.beat {
        let values = NoteValue::sum(*beat);
        // Where no notes outside tuplets make a beat up, its fraction says it.
        let parts = if values.is_empty() { vec![None] } else { values.into_iter().map(Some).collect() };
        for part in parts {
            if !first {
                put(&mut frame, &mut x, "+");
            }
            match part {
                Some(value) => x += note_sign(setting, &mut frame, x, value, space)?,
                None => put(&mut frame, &mut x, &beat.to_string()),
            }
            first = false;
        }
    }
    let rate = (u64::from(bpm) * u64::from(percent) + 50) / 100;
    let words = setting.scale.label(Named::Label, &format!(" = {rate}"));
    let width = words.width;
    words.put(&mut frame, Point::new(x, Abs::ZERO));
    frame.size.width = x + width;
    Some(frame)
}

/// Puts a note sign for a value; gives its width.
fn note_sign(setting: &Setting<'_>, frame: &mut Frame, x: Abs, value: NoteValue, space: Abs) -> Option<Abs> {
    let name = match value.halvings {
        i8::MIN..=-1 => "metNoteDoubleWhole",
        0 => "metNoteWhole",
        1 => "metNoteHalfUp",
        2 => "metNoteQuarterUp",
        3 => "metNote8thUp",
        4 => "metNote16thUp",
        _ => "metNote32ndUp",
    };
    let music = setting.fonts().music();
    let glyph = music.get(name)?;
    // The note says its dots too.
    let said = value_name(value, &setting.book.language);
    frame.push(Point::new(x, Abs::ZERO), Item::Text(TextRun::music(setting.fonts(), glyph, space, &said)));
    let mut width = glyph.advance.at(space);
    for _ in 0..value.dots {
        let dot = music.get("metAugmentationDot")?;
        width += space * 0.35;
        frame.push(Point::new(x + width, Abs::ZERO), Item::Text(TextRun::music(setting.fonts(), dot, space, "")));
        width += dot.advance.at(space);
    }
    Some(width)
}
