//! Lines of code that are longer than their column: where they turn, how far the rest stands in, the sign before it.
//!
//! Takes lines as typed and how many letters of one width the column holds; gives printed lines. A line turns at a blank, which a
//! reader who types it puts there again; signs under a line go with the part whose letters they point at. Knows no font.

use crate::frame::{Frame, Ink, Item, Shape, Stroke};
use crate::geom::{Abs, Path, Point, Size};

/// The rest of a line stands in by so many letters more than the line (our choice).
const TURN: usize = 4;
/// No line of code is indented by more blanks.
const MOST_BLANKS: usize = 40;
/// How many letters left of the rest of a line its sign begins.
pub(super) const SIGN_BEFORE: f64 = 2.8;

/// A printed line of code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Part {
    /// Which of the typed lines it is of, 0 first.
    pub line: usize,
    /// Its letters, without the blanks at its ends.
    pub text: String,
    /// How many letters it stands in.
    pub column: usize,
    /// Whether it is the rest of the line above.
    pub is_turned: bool,
    /// Whether a word goes on in the next part.
    pub is_broken: bool,
}

/// A part of a line with the places of its letters in what is typed: from, up to.
type Cut = (Part, usize, usize);

/// How many whole letters a width holds, given in letters; a hair of tolerance for what fits exactly.
pub(super) fn letters(width: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates; a number of letters")]
    let whole = (width + 1e-3).max(0.0) as usize;
    whole
}

/// The lines of a text as they are printed in a column of `room` letters.
pub(super) fn lines(text: &str, room: usize) -> Vec<Part> {
    let mut out = Vec::new();
    let mut typed = text.lines().enumerate().peekable();
    while let Some((nth, line)) = typed.next() {
        let cuts = cut(nth, line, room);
        let under = if cuts.len() > 1 { typed.next_if(|(_, below)| points(below)) } else { None };
        let Some((below, signs)) = under else {
            out.extend(cuts.into_iter().map(|(part, ..)| part));
            continue;
        };
        let signs: Vec<char> = signs.chars().collect();
        let last = cuts.len() - 1;
        for (n, (part, from, to)) in cuts.into_iter().enumerate() {
            let column = part.column;
            out.push(part);
            let (start, end) = (if n == 0 { 0 } else { from }, if n == last { signs.len() } else { to });
            let own = signs.get(start..end.min(signs.len())).unwrap_or_default();
            let Some(first) = own.iter().position(|c| !c.is_whitespace()) else { continue };
            let text = own[first..].iter().collect::<String>().trim_end().to_owned();
            let place = (column + start + first).saturating_sub(from);
            // Signs may point behind the last letter of a full line.
            let column = place.min(room.saturating_sub(text.chars().count()));
            out.push(Part { line: below, text, column, is_turned: false, is_broken: false });
        }
    }
    out
}

/// Whether a line is of signs that point at letters of the one above.
fn points(line: &str) -> bool {
    line.contains('^') && line.chars().all(|c| matches!(c, '^' | '|' | ' '))
}

/// A line as it is printed.
fn cut(line: usize, text: &str, room: usize) -> Vec<Cut> {
    let room = room.max(2);
    let letters: Vec<char> = text.trim_end().chars().collect();
    let blank = letters.iter().take_while(|c| c.is_whitespace()).count();
    let indent = blank.min(MOST_BLANKS);
    let hanging = (indent + TURN).min(room / 2);
    let mut out: Vec<Cut> = Vec::new();
    let mut from = blank;
    loop {
        let is_turned = !out.is_empty();
        let rest = &letters[from..];
        let column = match is_turned {
            true => hanging,
            // What is indented by nearly the whole column has room all the same.
            false if indent + rest.len() > room => indent.min(room / 2),
            false => indent,
        };
        let space = room - column.min(room - 1);
        let (length, is_broken) = match rest.len() <= space {
            true => (rest.len(), false),
            false => match rest[..=space].iter().rposition(|c| c.is_whitespace()) {
                Some(at) => (at, false),
                None => (space, true),
            },
        };
        let text = rest[..length].iter().collect::<String>().trim_end().to_owned();
        let end = from + length;
        let next = end + letters[end..].iter().take_while(|c| c.is_whitespace()).count();
        out.push((Part { line, text, column, is_turned, is_broken }, from, next));
        if next >= letters.len() {
            return out;
        }
        from = next;
    }
}

/// The sign before the rest of a line of code, for letters of a width: a hook that comes down from the line above and turns into
/// this one. Its lower edge stands on the baseline.
pub fn sign(letter: Abs) -> Frame {
    let thick = letter * 0.12;
    let mut frame = Frame::new(Size::new(letter * 1.9, letter * 1.2));
    let at = |x: f64, y: f64| Point::new(letter * x, letter * y);
    let path = Path::open(&[at(0.1, 0.0), at(0.1, 0.75), at(1.9, 0.75)]);
    let stroke = Stroke { width: thick, ink: Ink::Black, round: false, dash: None };
    frame.push(Point::default(), Item::Shape(Box::new(Shape { path, fill: None, stroke: Some(stroke) })));
    frame
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Printed lines as they look, `>` where a sign stands.
    fn printed(text: &str, room: usize) -> Vec<String> {
        let parts = lines(text, room);
        parts
            .iter()
            .map(|p| format!("{}{}{}", " ".repeat(p.column), if p.is_turned { ">" } else { "" }, p.text))
            .collect()
    }

    #[test]
    fn a_long_line_goes_on_below_and_hangs_in() {
        let pin = "  - {bar: 4, note: 1, is: A4, button: 3}";
        assert_eq!(printed(pin, 40), [pin]);
        assert_eq!(printed(pin, 34), ["  - {bar: 4, note: 1, is: A4,", "      >button: 3}"]);
        // Every letter is printed, and blanks go missing at turns alone.
        for room in 14..45 {
            let parts = lines(pin, room);
            let whole: Vec<&str> = parts.iter().map(|part| part.text.as_str()).collect();
            assert_eq!(format!("  {}", whole.join(" ")), pin, "{room}");
            assert!(parts.iter().all(|part| part.column + part.text.chars().count() <= room), "{room}: {parts:?}");
            assert!(parts.iter().all(|part| !part.is_broken), "{room}");
        }
    }

    #[test]
    fn a_word_wider_than_the_column_is_broken_and_a_blank_line_is_kept() {
        let parts = lines("one aaaaaaaaaaaaaaaaaaaaaaaaa b\n\nc", 12);
        let told: Vec<(&str, bool)> = parts.iter().map(|part| (part.text.as_str(), part.is_broken)).collect();
        let eight = "aaaaaaaa";
        assert_eq!(
            told,
            [("one", false), (eight, true), (eight, true), (eight, true), ("a b", false), ("", false), ("c", false)]
        );
        assert_eq!(parts.last().map(|part| part.line), Some(2));
    }

    #[test]
    fn signs_go_with_the_letters_they_point_at() {
        let message = "  3 | page: {size: a4, bindng: comb}\n    |                  ^^^^^^";
        assert_eq!(printed(message, 40), message.lines().collect::<Vec<_>>());
        let turned = ["  3 | page: {size: a4,", "    |", "      >bindng: comb}", "      ^^^^^^"];
        assert_eq!(printed(message, 26), turned);
        // At the end of a full line they stand at its last letter.
        let end = "aaaa bbbb\n         ^";
        assert_eq!(printed(end, 8), ["aaaa", "    >bbbb", "       ^"]);
    }
}
