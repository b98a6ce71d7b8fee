//! A tune back into ABC that an author is glad to edit: one line of code a system, words under it, plain signs.
//!
//! Takes a tune from any reader, gives text that reads back as the same tune. Source: ABC 2.1, whole.

mod fields;
mod line;
mod words;

use crate::tune::{Bar, Barline, BarlineStyle, Tune};
use line::Hand;

/// The tune as a piece of a tunebook, from `X:` on.
pub fn write(tune: &Tune) -> String {
    let mut out = String::new();
    fields::credits(tune, &mut out);
    fields::music(tune, &mut out);
    body(tune, &mut out);
    for line in &tune.words {
        fields::field('W', line, &mut out);
    }
    out
}

/// The music alone, from its metre on, as it stands in a tune file that has its title and credits elsewhere.
pub fn write_music(tune: &Tune) -> String {
    let mut out = String::new();
    fields::music(tune, &mut out);
    body(tune, &mut out);
    out
}

/// Bars on a line where the source gives no line ends.
const BARS_A_LINE: usize = 4;

fn body(tune: &Tune, out: &mut String) {
    let mut hand = Hand::new(tune);
    let last_words = words::last_bar_with_words(tune);
    let guided = tune.bars.iter().rev().skip(1).any(|bar| bar.line_ends);
    let mut from = 0;
    for (at, bar) in tune.bars.iter().enumerate() {
        let last = at + 1 == tune.bars.len();
        let full = !guided && at + 1 - from >= BARS_A_LINE && tune.bars.len() - from > BARS_A_LINE + 2;
        if !(bar.line_ends || last || full) {
            continue;
        }
        let mut line = hand.bars(from..at + 1);
        if full && !last && !bar.line_ends {
            line.push('\\');
        }
        out.push_str(line.trim());
        out.push('\n');
        if last_words.is_some_and(|last| from <= last) {
            words::under(tune, from..at + 1, out);
        }
        from = at + 1;
    }
}

/// What stands at the end of a bar, before the ending that touches it.
fn right_side(bar: &Barline) -> String {
    if bar.repeat_end > 0 {
        return format!("{}|", ":".repeat(usize::from(bar.repeat_end.max(2) - 1)));
    }
    match bar.style {
        BarlineStyle::None => "",
        BarlineStyle::Single | BarlineStyle::HeavyLight => "|",
        BarlineStyle::Double => "||",
        BarlineStyle::Final => "|]",
        BarlineStyle::Dotted => ".|",
        BarlineStyle::Invisible => "[|]",
    }
    .to_owned()
}

/// The barline between two bars of one line, or at the start of a line (`before` is `None`).
fn between(before: Option<&Bar>, after: &Bar) -> String {
    let right = before.map(|bar| right_side(&bar.right)).unwrap_or_default();
    let plain = right == "|";
    if after.left.repeat_start {
        match right.as_str() {
            ":|" => "::".to_owned(),
            "" | "|" => "|:".to_owned(),
            _ => format!("{right} |:"),
        }
    } else if after.left.style == BarlineStyle::HeavyLight {
        if plain || right.is_empty() { "[|".to_owned() } else { format!("{right} [|") }
    } else if right.is_empty() && before.is_some() && after.ending.is_none() {
        "[|]".to_owned()
    } else {
        right
    }
}

/// The passes of an ending, runs as ranges.
fn passes(list: &[u8]) -> String {
    let mut out: Vec<String> = Vec::new();
    let mut at = 0;
    while at < list.len() {
        let mut to = at;
        while to + 1 < list.len() && list[to + 1] == list[to] + 1 {
            to += 1;
        }
        if to > at + 1 {
            out.push(format!("{}-{}", list[at], list[to]));
        } else {
            out.extend(list[at..=to].iter().map(u8::to_string));
        }
        at = to + 1;
    }
    out.join(",")
}
