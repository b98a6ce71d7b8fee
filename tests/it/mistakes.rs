//! Twenty kinds of mistakes that authors make, each put into a good file at a drawn place.
//!
//! Takes the files of a book and a seeded die; gives one changed file and the line on which the mistake now stands. A kind that
//! finds no place for itself in the drawn file says so, and another file is drawn.

use crate::invent::{Dice, Files};
use std::ops::Range;

/// One mistake.
#[derive(Debug)]
pub struct Mistake {
    /// The file's path within the book.
    pub path: String,
    /// 1-based line of the mistake in the changed text.
    pub line: usize,
    /// The changed text of the file.
    pub text: String,
}

/// A kind of mistake: changes one line of the file whose lines it is given.
pub type Kind = (&'static str, fn(&mut Dice, &Lines) -> Option<Change>);

/// What is changed: the indices of the lines that go, and what stands there instead. The mistake is on its last line.
pub type Change = (Range<usize>, String);

/// All kinds, by what went wrong.
pub const KINDS: [Kind; 20] = [
    ("typo in a key", key_typo),
    ("typo in a choice", choice_typo),
    ("length without its unit", lost_unit),
    ("tab for indentation", tab),
    ("wrong indentation", indentation),
    ("file that is not there", missing_file),
    ("key given twice", twice),
    ("keys swapped", swapped),
    ("pin that can't be met", impossible_pin),
    ("pin to a bar that is not there", pin_beyond),
    ("note missing in a bar", note_missing),
    ("note too many in a bar", note_too_many),
    ("note off the box", note_off_the_box),
    ("chord or name not closed", abc_unclosed),
    ("broken ABC field", abc_field),
    ("colon missing", colon),
    ("bracket missing", bracket),
    ("fact that is not there", fact),
    ("word for a number", word_for_number),
    ("left hand that is not there", left_hand),
];

/// Makes one mistake of a kind in one of the files; tries files and places until one takes it.
pub fn make(kind: &Kind, files: &Files, dice: &mut Dice) -> Mistake {
    for _ in 0..5_000 {
        let (path, text) = dice.pick(files);
        let lines = Lines::of(path, text);
        if let Some((gone, instead)) = kind.1(dice, &lines) {
            assert_ne!(lines.all[gone.clone()].join("\n"), instead, "{}: nothing was changed", kind.0);
            let line = gone.start + 1 + instead.matches('\n').count();
            let mut all: Vec<&str> = lines.all.clone();
            all.splice(gone, [instead.as_str()]);
            return Mistake { path: path.clone(), line, text: all.join("\n") };
        }
    }
    panic!("{}: no place for it in any file", kind.0)
}

/// What a line is part of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Yaml,
    /// Names of editions, which are the author's own.
    Editions,
    Music,
    Prose,
}

/// The lines of a file, and what each is part of.
pub struct Lines<'a> {
    all: Vec<&'a str>,
    parts: Vec<Part>,
    is_tune: bool,
}

impl<'a> Lines<'a> {
    fn of(path: &str, text: &'a str) -> Self {
        let all: Vec<&str> = text.split('\n').collect();
        let is_yaml = path.ends_with(".yaml");
        let mut part = Part::Yaml;
        let parts = all
            .iter()
            .map(|line| {
                if !is_yaml {
                    return Part::Prose;
                }
                if line.starts_with(|c: char| !c.is_whitespace()) {
                    part = match line.split(':').next() {
                        Some("music") if line.ends_with('|') => Part::Music,
                        Some("editions") => Part::Editions,
                        _ if line.ends_with('|') => Part::Prose,
                        _ => Part::Yaml,
                    };
                    // The key itself is YAML.
                    return Part::Yaml;
                }
                part
            })
            .collect();
        Self { all, parts, is_tune: path.starts_with("tunes/") && is_yaml }
    }

    /// An index drawn among the lines of a part that `wants` accepts.
    fn draw(&self, dice: &mut Dice, part: Part, wants: impl Fn(&str) -> bool) -> Option<usize> {
        let found: Vec<usize> =
            (0..self.all.len()).filter(|at| self.parts[*at] == part && wants(self.all[*at])).collect();
        (!found.is_empty()).then(|| *dice.pick(&found))
    }
}

/// A word with one slip of the finger: a letter lost, doubled, or exchanged with the next.
fn slip(dice: &mut Dice, word: &str) -> Option<String> {
    let letters: Vec<char> = word.chars().collect();
    let at = dice.below(letters.len());
    let mut slipped = letters.clone();
    match dice.below(3) {
        0 if letters.len() > 2 => {
            slipped.remove(at);
        }
        1 if at + 1 < letters.len() && letters[at] != letters[at + 1] => slipped.swap(at, at + 1),
        _ => slipped.insert(at, letters[at]),
    }
    let slipped: String = slipped.into_iter().collect();
    (slipped != word && !slipped.starts_with('-')).then_some(slipped)
}

/// Byte ranges of the words in a line that `is_word` accepts, words being letters, digits and hyphens.
fn words(line: &str, is_word: impl Fn(&str, &str) -> bool) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut start = None;
    for (at, c) in line.char_indices().chain([(line.len(), ' ')]) {
        let inside = c.is_ascii_alphanumeric() || c == '-' || c == '#';
        match (inside, start) {
            (true, None) => start = Some(at),
            (false, Some(from)) => {
                if is_word(&line[from..at], &line[at..]) {
                    found.push(from..at);
                }
                start = None;
            }
            _ => {}
        }
    }
    found
}

fn replaced(line: &str, range: Range<usize>, instead: &str) -> String {
    format!("{}{instead}{}", &line[..range.start], &line[range.end..])
}

/// Draws a word of a line and puts a slip into it.
fn slip_in(dice: &mut Dice, line: &str, is_word: impl Fn(&str, &str) -> bool) -> Option<String> {
    let found = words(line, is_word);
    let range = (!found.is_empty()).then(|| dice.pick(&found).clone())?;
    let slipped = slip(dice, &line[range.clone()])?;
    Some(replaced(line, range, &slipped))
}

fn is_key(word: &str, after: &str) -> bool {
    after.starts_with(": ") && word.starts_with(|c: char| c.is_ascii_lowercase())
}

fn key_typo(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    // A quoted title may hold a colon; what stands before it is no key.
    let at = lines.draw(dice, Part::Yaml, |line| line.contains(": ") && !line.contains('"') && !line.contains('#'))?;
    Some((at..at + 1, slip_in(dice, lines.all[at], is_key)?))
}

fn choice_typo(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    const CHOICES: &str = " auto along smooth tune exercise between after push pull inner outer portrait comb a4 new-page serif oval \
                           square triangle hold-bar band above index two-lines en-GB dg-21-third contents my-box key holding \
                           chord-chart scales practice-log glossary ";
    let is_choice = |word: &str, after: &str| CHOICES.contains(&format!(" {word} ")) && !after.starts_with(':');
    let at = lines.draw(dice, Part::Yaml, |line| {
        !["title", "composer", "teaches", "teacher-notes: ", "id", "subtitle"]
            .iter()
            .any(|key| line.trim_start().starts_with(key))
            && !line.contains(".yaml")
            && !line.contains("title:")
            && !words(line, is_choice).is_empty()
    })?;
    Some((at..at + 1, slip_in(dice, lines.all[at], is_choice)?))
}

fn lost_unit(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    let is_length = |word: &str, _: &str| {
        ["mm", "pt"].iter().any(|unit| word.strip_suffix(unit).is_some_and(|n| n.parse::<u32>().is_ok()))
    };
    let at = lines.draw(dice, Part::Yaml, |line| !words(line, is_length).is_empty())?;
    let range = dice.pick(&words(lines.all[at], is_length)).clone();
    let word = &lines.all[at][range.clone()];
    let number = &word[..word.len() - 2];
    let instead = [number.to_owned(), format!("{number}mn"), format!("{number}ptt")];
    Some((at..at + 1, replaced(lines.all[at], range, &instead[dice.below(3)])))
}

fn tab(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    let at = lines.draw(dice, Part::Yaml, |line| line.starts_with("  ") && !line.trim().is_empty())?;
    Some((at..at + 1, format!("\t{}", lines.all[at].trim_start())))
}

fn indentation(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    let indent = |line: &str| line.len() - line.trim_start().len();
    let found: Vec<usize> = (1..lines.all.len())
        .filter(|at| lines.parts[*at] == Part::Yaml && lines.parts[*at - 1] == Part::Yaml)
        .filter(|at| indent(lines.all[*at]) >= 2 && indent(lines.all[*at]) == indent(lines.all[*at - 1]))
        .filter(|at| !lines.all[*at].trim().is_empty())
        .collect();
    let at = (!found.is_empty()).then(|| *dice.pick(&found))?;
    let line = lines.all[at];
    Some((at..at + 1, if dice.chance(50) { format!(" {line}") } else { line[1..].to_owned() }))
}

fn missing_file(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    let is_name = |_: &str, after: &str| after.starts_with(".yaml") || after.starts_with(".md");
    let at = lines.draw(dice, Part::Yaml, |line| !words(line, is_name).is_empty())?;
    Some((at..at + 1, slip_in(dice, lines.all[at], is_name)?))
}

fn twice(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    let at = lines.draw(dice, Part::Yaml, |line| {
        line.contains(": ") && line.starts_with(|c: char| c.is_ascii_lowercase()) && !line.ends_with('|')
    })?;
    Some((at..at + 1, format!("{0}\n{0}", lines.all[at])))
}

fn swapped(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    const PAIRS: [(&str, &str); 6] = [
        ("kind", "level"),
        ("level", "teaches"),
        ("date", "impression"),
        ("impression", "language"),
        ("language", "box"),
        ("page", "type"),
    ];
    let (first, second) = *dice.pick(&PAIRS);
    let value = |at: usize, key: &str| lines.all.get(at)?.strip_prefix(key)?.strip_prefix(": ");
    let at = lines.draw(dice, Part::Yaml, |line| line.starts_with(first))?;
    let (one, other) = (value(at, first)?, value(at + 1, second)?);
    Some((at..at + 2, format!("{second}: {one}\n{first}: {other}")))
}

/// A line of the pins, as the lines of the demo books write them.
fn is_pin(line: &str) -> bool {
    line.starts_with("  - {bar") && !line.contains("play:")
}

fn impossible_pin(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    const PINS: [&str; 5] = [
        "  - {bar: 1, note: 1, button: 30}",
        "  - {bar: 1, note: 1, row: half}",
        "  - {bar: 1, note: 1, is: C2, direction: push}",
        "  - {bar: 1, note: 1, finger: 4, place: {row: half, button: 1}}",
        "  - {bar: 2, place: {row: inner, button: 40}}",
    ];
    let at = lines.draw(dice, Part::Yaml, |line| lines.is_tune && is_pin(line))?;
    Some((at..at + 1, format!("{}\n{}", lines.all[at], dice.pick(&PINS))))
}

fn pin_beyond(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    let at = lines.draw(dice, Part::Yaml, |line| lines.is_tune && line.contains("{bar: "))?;
    let line = lines.all[at];
    let from = line.find("{bar: ")? + 6;
    let to = from + line[from..].find(|c: char| !c.is_ascii_digit())?;
    Some((at..at + 1, replaced(line, from..to, "177")))
}

/// Byte ranges of plain notes inside bars that have plain barlines on both sides within their line, so that a length is told
/// wrong there and nowhere else.
fn notes_of(line: &str) -> Vec<Range<usize>> {
    if line.contains("(") || line.contains('{') || line.contains('[') || line.trim_start().starts_with("w:") {
        return Vec::new();
    }
    let bars: Vec<usize> = line.match_indices('|').map(|(at, _)| at).collect();
    let mut found = Vec::new();
    for pair in bars.windows(2) {
        let plain = |at: usize| {
            !line[..at].ends_with([':', '|', '[']) && !line[at + 1..].starts_with([':', '|', ']', '1', '2'])
        };
        if !(plain(pair[0]) && plain(pair[1])) {
            continue;
        }
        let inside = pair[0] + 1..pair[1];
        let mut quoted = false;
        for (at, c) in line[inside.clone()].char_indices().map(|(at, c)| (at + inside.start, c)) {
            quoted ^= c == '"';
            if quoted || !c.is_ascii_alphabetic() || c == 'z' {
                continue;
            }
            let end = at + 1 + line[at + 1..].find(|c: char| !(c.is_ascii_digit() || "/,'".contains(c))).unwrap_or(0);
            let before = line[..at].chars().last();
            let after = line[end..].chars().next();
            let plain = |c: Option<char>| !c.is_some_and(|c| "<>-^_=".contains(c));
            if plain(before) && plain(after) {
                found.push(at..end);
            }
        }
    }
    found
}

fn note_missing(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    let at = lines.draw(dice, Part::Music, |line| !notes_of(line).is_empty())?;
    let range = dice.pick(&notes_of(lines.all[at])).clone();
    Some((at..at + 1, replaced(lines.all[at], range, "")))
}

fn note_too_many(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    let at = lines.draw(dice, Part::Music, |line| !notes_of(line).is_empty())?;
    let range = dice.pick(&notes_of(lines.all[at])).clone();
    let note = &lines.all[at][range.clone()];
    Some((at..at + 1, replaced(lines.all[at], range, &format!("{note} {note}"))))
}

fn note_off_the_box(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    let at = lines.draw(dice, Part::Music, |line| !notes_of(line).is_empty())?;
    let range = dice.pick(&notes_of(lines.all[at])).clone();
    let note = &lines.all[at][range.clone()];
    let length = note.trim_start_matches(|c: char| c.is_ascii_alphabetic() || c == ',' || c == '\'');
    let letter = ["G,,,", "a'''", "D,,"][dice.below(3)];
    Some((at..at + 1, replaced(lines.all[at], range, &format!("{letter}{length}"))))
}

fn abc_unclosed(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    let at = lines.draw(dice, Part::Music, |line| !notes_of(line).is_empty() && line.contains('"'))?;
    let line = lines.all[at];
    if dice.chance(50) {
        let quote = line.rfind('"')?;
        return Some((at..at + 1, replaced(line, quote..quote + 1, "")));
    }
    let range = dice.pick(&notes_of(line)).clone();
    Some((at..at + 1, replaced(line, range.start..range.start, "[")))
}

fn abc_field(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    const BROKEN: [(&str, &str); 6] =
        [("M:", "M:3/"), ("M:", "M:three"), ("L:", "L:1/x"), ("L:", "L:0"), ("K:", "K:H"), ("Q:", "Q:1/4=")];
    let (field, broken) = *dice.pick(&BROKEN);
    let at = lines.draw(dice, Part::Music, |line| line.trim_start().starts_with(field))?;
    Some((at..at + 1, format!("  {broken}")))
}

fn colon(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    let at = lines.draw(dice, Part::Yaml, |line| {
        line.matches(": ").count() == 1 && line.starts_with(|c: char| c.is_ascii_lowercase()) && !line.ends_with('|')
    })?;
    Some((at..at + 1, lines.all[at].replacen(": ", " ", 1)))
}

fn bracket(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    let at = lines.draw(dice, Part::Yaml, |line| line.ends_with(']') || line.ends_with('}'))?;
    let line = lines.all[at];
    Some((at..at + 1, line[..line.len() - 1].to_owned()))
}

fn fact(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    let is_fact = |line: &str| ["{walk ", "{how ", "{count ", "{left "].iter().any(|fact| line.contains(fact));
    let at = lines.draw(dice, Part::Prose, is_fact)?;
    let line = lines.all[at];
    let from = ["{walk ", "{how ", "{count ", "{left "].iter().filter_map(|fact| line.find(fact)).min()?;
    let space = from + line[from..].find(' ')?;
    let to = from + line[from..].find('}')?;
    let instead = if dice.chance(50) {
        replaced(line, from + 1..space, &slip(dice, &line[from + 1..space])?)
    } else {
        replaced(line, space + 1..to, if line[from..].starts_with("{how") { "99.1" } else { "99" })
    };
    Some((at..at + 1, instead))
}

fn word_for_number(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    const WORDS: [(&str, &str); 5] = [
        ("level: ", "level: easy"),
        ("impression: ", "impression: first"),
        ("practice: ", "practice: slowly"),
        ("date: ", "date: last spring"),
        ("book: ", "book: one"),
    ];
    let (key, instead) = *dice.pick(&WORDS);
    let at = lines.draw(dice, Part::Yaml, |line| line.starts_with(key))?;
    Some((at..at + 1, instead.to_owned()))
}

fn left_hand(dice: &mut Dice, lines: &Lines) -> Option<Change> {
    if let Some(at) = lines.draw(dice, Part::Yaml, |line| line.contains("play: \"") && line.contains("G+g")) {
        return Some((at..at + 1, lines.all[at].replacen("G+g", ["G+q", "G+f#", "Bb+g", "G&g"][dice.below(4)], 1)));
    }
    let at = lines.draw(dice, Part::Yaml, |line| lines.is_tune && line == "  pattern: auto")?;
    Some((at..at + 1, format!("  pattern: {}", ["oompah", "autos", "[auto]"][dice.below(3)])))
}
