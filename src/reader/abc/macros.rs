//! Macros: text put in the place of other text, fixed or moved with the note.
//!
//! Source: ABC 2.1 §9 (volatile). A macro's outcome is not searched for macros again, so that none can run for ever.

use super::MOST_LINE;
use super::items::Code;

/// A macro's two sides.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Macro {
    target: Vec<char>,
    replacement: Vec<char>,
    /// Where `n` stands in the target, for a macro that moves with the note.
    note: Option<usize>,
}

/// Sides longer than this are refused.
const MOST_SIDE: usize = 200;

impl Macro {
    /// Reads `target = replacement`; `None` if it is none.
    pub fn parse(text: &str) -> Option<Self> {
        let (target, replacement) = text.split_once('=').filter(|(target, _)| !target.trim().is_empty())?;
        let target: Vec<char> = target.trim().chars().collect();
        let replacement: Vec<char> = replacement.trim().chars().collect();
        let fits = target.len() <= MOST_SIDE && replacement.len() <= MOST_SIDE;
        let note = target.iter().position(|c| *c == 'n');
        fits.then_some(Self { target, replacement, note })
    }
    /// The text it matches, which a later macro of the same target replaces.
    pub fn target(&self) -> &[char] {
        &self.target
    }
    /// Whether it matches at `at`: how many characters, and what comes in their place.
    fn apply(&self, chars: &[char], at: usize) -> Option<(usize, Vec<char>)> {
        let Some(note_at) = self.note else {
            chars[at..].starts_with(&self.target).then_some(())?;
            let end = at + self.target.len();
            self.ends_there(chars, end).then_some(())?;
            return Some((self.target.len(), self.replacement.clone()));
        };
        let (before, after) = (&self.target[..note_at], &self.target[note_at + 1..]);
        chars[at..].starts_with(before).then_some(())?;
        let letter_at = at + before.len();
        let letter = *chars.get(letter_at).filter(|c| matches!(c, 'A'..='G' | 'a'..='g'))?;
        let marks = chars[letter_at + 1..].iter().take(8).take_while(|c| matches!(c, ',' | '\'')).count();
        let rest_at = letter_at + 1 + marks;
        chars[rest_at..].starts_with(after).then_some(())?;
        let end = rest_at + after.len();
        self.ends_there(chars, end).then_some(())?;
        let octave = chars[letter_at + 1..rest_at].iter().map(|c| if *c == '\'' { 1 } else { -1 }).sum();
        let mut out = Vec::with_capacity(self.replacement.len() * 2);
        for c in &self.replacement {
            match c {
                // `n` is the note itself, `o` one step up, `m` one step down, from h to z.
                'h'..='z' => out.extend(moved(letter, octave, i32::from(*c as u8) - i32::from(b'n'))),
                _ => out.push(*c),
            }
        }
        Some((end - at, out))
    }
    /// A macro for `~G3` does not match `~G32` or `~G3/2`; one for `~G` does not match `~G3` (§9.1).
    fn ends_there(&self, chars: &[char], end: usize) -> bool {
        let takes_length =
            self.target.last().is_some_and(|c| c.is_ascii_alphanumeric() || matches!(c, '/' | ',' | '\''));
        !takes_length || !chars.get(end).is_some_and(|c| c.is_ascii_digit() || matches!(c, '/' | ',' | '\''))
    }
}

/// A note some steps from another, in ABC's letters.
fn moved(letter: char, octave: i32, steps: i32) -> Vec<char> {
    const LETTERS: [char; 7] = ['C', 'D', 'E', 'F', 'G', 'A', 'B'];
    let index = LETTERS.iter().position(|l| *l == letter.to_ascii_uppercase()).and_then(|i| i32::try_from(i).ok());
    let octave = octave + i32::from(letter.is_ascii_lowercase());
    let step = octave * 7 + index.unwrap_or(0) + steps;
    let (octave, name) = (step.div_euclid(7), LETTERS[usize::try_from(step.rem_euclid(7)).unwrap_or(0)]);
    let mut out = vec![if octave > 0 { name.to_ascii_lowercase() } else { name }];
    let marks = usize::try_from(octave.abs()).unwrap_or(0);
    if octave > 1 {
        out.extend(std::iter::repeat_n('\'', marks - 1));
    } else if octave < 0 {
        out.extend(std::iter::repeat_n(',', marks));
    }
    out
}

/// Applies macros to a line of music; `Err` if the line would grow too long.
pub(super) fn expand<'a>(code: Code<'a>, macros: &[Macro]) -> Result<Code<'a>, Code<'a>> {
    let mut out = Code::default();
    out.goes_on = code.goes_on;
    let chars = &code.chars;
    let (mut at, mut plain_from, mut found) = (0, 0, false);
    while at < chars.len() {
        if let Some(end) = quoted(chars, at) {
            at = end;
            continue;
        }
        match macros.iter().find_map(|m| m.apply(chars, at)) {
            None => at += 1,
            Some((taken, text)) => {
                out.copy(&code, plain_from, chars[plain_from..at].iter().copied(), false);
                out.copy(&code, at, text.into_iter(), true);
                at += taken.max(1);
                (plain_from, found) = (at, true);
                if out.chars.len() > 4 * MOST_LINE {
                    return Err(code);
                }
            }
        }
    }
    if !found {
        return Ok(code);
    }
    out.copy(&code, plain_from, chars[plain_from..].iter().copied(), false);
    Ok(out)
}

/// The end of a text in quotes or exclamation marks, or of an inline field, that begins at `at`.
fn quoted(chars: &[char], at: usize) -> Option<usize> {
    let (close, limit) = match chars[at] {
        '"' => ('"', 400),
        '!' => ('!', 32),
        '[' if chars.get(at + 2) == Some(&':') && chars[at + 1].is_ascii_alphabetic() => (']', 200),
        _ => return None,
    };
    chars[at + 1..].iter().take(limit).position(|c| *c == close).map(|n| at + n + 2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::{Excerpt, Sources};
    use crate::reader::abc::items::Line;

    fn apply(macros: &[&str], music: &str) -> String {
        let mut sources = Sources::default();
        let from = Excerpt::whole(sources.add("t.abc", music), music);
        let code = Code::of(Line { text: music, from: &from, number: 0, column: 0 }, music);
        let macros: Vec<_> = macros.iter().filter_map(|m| Macro::parse(m)).collect();
        expand(code, &macros).expect("short").chars.iter().collect()
    }

    /// ABC 2.1 §9.1: static macros match the exact length only.
    #[test]
    fn fixed_macros() {
        assert_eq!(apply(&["~G3 = G{A}G{F}G"], "~G3 ~G32 ~G3/2 \"~G3\""), "G{A}G{F}G ~G32 ~G3/2 \"~G3\"");
    }

    /// ABC 2.1 §9.2: `h` to `z` stand for steps from the note.
    #[test]
    fn macros_that_move_with_the_note() {
        assert_eq!(
            apply(&["~n3 = n{o}n{m}n"], "~G3 ~B3 ~c'3 ~C,3"),
            "G{A}G{F}G B{c}B{A}B c'{d'}c'{b}c' C,{D,}C,{B,,}C,"
        );
        assert_eq!(apply(&["~n3 = n{o}n{m}n"], "~G2 G3"), "~G2 G3");
    }
}
