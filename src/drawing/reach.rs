//! How far the shapes of a drawing reach, how wide its pens are and how many bends a pen follows, by its text alone.
//!
//! The library strokes every line to know what it covers, and takes the more steps the wider the pen and the greater the bends are;
//! where numbers are so great that a step is smaller than their last digit, it takes steps without end. Source: SVG 1.1, 8.3 (path
//! data), 7.10 (units).

/// No place is farther out than this, in units of the drawing: single precision tells a sixteenth of a unit there.
const FARTHEST: f64 = 1e6;
/// No pen is wider.
const WIDEST: f64 = 1e5;
/// A pen follows a bend of one unit in about so many steps on both sides, one of a thousand units in ten times as many.
const STEPS: f64 = 3.2;

/// What is wrong with an attribute.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Fault {
    /// It leads too far out.
    Far,
    /// It is too wide a pen.
    Wide,
}

/// The steps that a pen takes along a bend of a size.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a size within bounds, and a cast saturates"
)]
fn steps(size: f64) -> u64 {
    (2.0 + STEPS * size.abs().cbrt()).min(1e9) as u64
}

/// The numbers of a value: each with its unit, `%` among them, in small letters.
fn numbers(value: &str) -> impl Iterator<Item = (f64, &str)> {
    let mut rest = value;
    std::iter::from_fn(move || {
        let start = rest.find(|c: char| c.is_ascii_digit())?;
        // A point may stand before the first digit.
        let start = if rest[..start].ends_with('.') { start - 1 } else { start };
        rest = &rest[start..];
        let (number, length) = number(rest)?;
        rest = &rest[length..];
        let unit = rest.find(|c: char| !c.is_ascii_alphabetic() && c != '%').unwrap_or(rest.len());
        let unit = &rest[..unit];
        Some((number, unit))
    })
}

/// The number that a text begins with, and its length.
fn number(text: &str) -> Option<(f64, usize)> {
    let bytes = text.as_bytes();
    let digits = |from: usize| bytes[from.min(bytes.len())..].iter().take_while(|byte| byte.is_ascii_digit()).count();
    let sign = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    let mut end = sign + digits(sign);
    if bytes.get(end) == Some(&b'.') {
        end += 1 + digits(end + 1);
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let signed = end + 1 + usize::from(matches!(bytes.get(end + 1), Some(b'+' | b'-')));
        let exponent = digits(signed);
        // Else it is a unit: `em`, `ex`.
        if exponent > 0 {
            end = signed + exponent;
        }
    }
    // A point with no digit is no number.
    text[..end].parse().ok().map(|number| (number, end))
}

/// The size of type that lengths may be given in: greater than it is where a drawing says nothing of type, and beyond all bounds where
/// it does, as sizes in sizes can be anything.
pub(super) const fn em(says_fonts: bool) -> f64 {
    if says_fonts { f64::INFINITY } else { 100.0 }
}

/// A length in units of the drawing, or a greater one: what is taken of something that is known later counts as that at its greatest.
fn length((number, unit): (f64, &str), em: f64) -> f64 {
    let factor = match unit {
        "em" | "ex" => em,
        "%" => 1_000.0,
        "in" => 96.0,
        "cm" | "mm" => 38.0,
        "pc" => 16.0,
        _ => 1.0,
    };
    number.abs() * factor
}

fn longest(value: &str, em: f64) -> f64 {
    numbers(value).map(|number| length(number, em)).fold(0.0, f64::max)
}

/// Asks an attribute of an element; gives the steps that a pen takes along it.
pub(super) fn attribute(name: &str, value: &str, em: f64) -> Result<u64, Fault> {
    let far = |reach: f64| if reach <= FARTHEST { Ok(()) } else { Err(Fault::Far) };
    match name {
        "d" => {
            let data = Data::of(value);
            far(data.reach)?;
            return Ok(data.steps);
        }
        "r" | "rx" | "ry" => {
            let reach = longest(value, em);
            far(reach)?;
            // Four bends.
            return Ok(4 * steps(reach));
        }
        "points" | "x" | "y" | "width" | "height" | "cx" | "cy" | "x1" | "y1" | "x2" | "y2" | "viewBox" | "refX"
        | "refY" | "markerWidth" | "markerHeight" => far(longest(value, em))?,
        "stroke-width" => pen(value, em)?,
        "style" => styles(value, em)?,
        _ => {}
    }
    Ok(0)
}

fn pen(value: &str, em: f64) -> Result<(), Fault> {
    if longest(&value.to_ascii_lowercase(), em) <= WIDEST { Ok(()) } else { Err(Fault::Wide) }
}

/// Asks the pens in a style sheet or a list of styles.
pub(super) fn styles(text: &str, em: f64) -> Result<(), Fault> {
    let text = text.to_ascii_lowercase();
    // The name could be spelled by the numbers of its letters.
    if text.contains('\\') {
        return pen(&text, em);
    }
    text.split("stroke-width").skip(1).try_for_each(|rest| {
        let value = rest.split([';', '}']).next().unwrap_or("");
        pen(value, em)
    })
}

/// What the data of a path come to.
#[derive(Debug, Default, PartialEq)]
struct Data {
    reach: f64,
    steps: u64,
}

impl Data {
    /// Follows a path as far as its data are sound.
    fn of(text: &str) -> Self {
        let mut data = Self::default();
        let mut rest = text;
        let (mut place, mut start) = ((0.0, 0.0), (0.0, 0.0));
        let mut command = ' ';
        let mut given: Vec<f64> = Vec::with_capacity(7);
        loop {
            rest = rest.trim_start_matches(|c: char| c.is_ascii_whitespace() || c == ',');
            let Some(first) = rest.chars().next() else { break };
            if first.is_ascii_alphabetic() {
                command = first;
                given.clear();
                rest = &rest[1..];
                if matches!(command, 'z' | 'Z') {
                    place = start;
                }
                continue;
            }
            let is_arc = matches!(command, 'a' | 'A');
            // The two flags of an arc may stand close to what follows.
            let (number, length) = match first {
                '0' | '1' if is_arc && matches!(given.len(), 3 | 4) => (f64::from(u8::from(first == '1')), 1),
                _ => match number(rest) {
                    Some(number) => number,
                    None => break,
                },
            };
            rest = &rest[length..];
            given.push(number);
            let wanted = match command.to_ascii_lowercase() {
                'm' | 'l' | 't' => 2,
                'h' | 'v' => 1,
                'c' => 6,
                's' | 'q' => 4,
                'a' => 7,
                _ => break,
            };
            if given.len() < wanted {
                continue;
            }
            data.step(command, &given, &mut place);
            if matches!(command, 'm' | 'M') {
                start = place;
                // Further pairs are lines (SVG 1.1, 8.3.2).
                command = if command == 'm' { 'l' } else { 'L' };
            }
            given.clear();
        }
        data
    }
    fn step(&mut self, command: char, given: &[f64], place: &mut (f64, f64)) {
        let from = if command.is_ascii_lowercase() { *place } else { (0.0, 0.0) };
        let (points, bends): (Vec<(f64, f64)>, bool) = match (command.to_ascii_lowercase(), given) {
            ('h', [x]) => (vec![(from.0 + x, place.1)], false),
            ('v', [y]) => (vec![(place.0, from.1 + y)], false),
            ('a', [rx, ry, _, _, _, x, y]) => {
                self.reach = self.reach.max(rx.abs()).max(ry.abs());
                // At most four bends, each no larger than the radius or the way to its end, whichever is more.
                let way = (from.0 + x - place.0).hypot(from.1 + y - place.1);
                self.steps = self.steps.saturating_add(3 * steps(rx.abs().max(ry.abs()).max(way)));
                (vec![(from.0 + x, from.1 + y)], true)
            }
            (kind, all) => {
                let points = all.chunks_exact(2).map(|pair| (from.0 + pair[0], from.1 + pair[1])).collect();
                (points, matches!(kind, 'c' | 's' | 'q' | 't'))
            }
        };
        let mut size: f64 = 0.0;
        for (x, y) in &points {
            self.reach = self.reach.max(x.abs()).max(y.abs());
            size = size.max((x - place.0).hypot(y - place.1));
        }
        if bends {
            self.steps = self.steps.saturating_add(steps(size));
        }
        *place = points.last().copied().unwrap_or(*place);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_are_followed_to_their_farthest_place() {
        let reach = |data| Data::of(data).reach;
        assert!((reach("M10 10l5-30h-40,v.5.5") - 25.0).abs() < 1e-9);
        assert!((reach("m1 1 2 2 3 3z l-9 0") - 8.0).abs() < 1e-9, "back to the start, and on");
        assert!((reach("M0 0a5 6 0 0120 3") - 20.0).abs() < 1e-9, "flags without blanks");
        assert!((reach("M0 0c1e3-5 2E+1 4 7 7c-1e3 0 0 0 0 0") - 1000.0).abs() < 1e-9);
        assert!((reach("M1.5.5 L 9 nonsense 1e9") - 1.5).abs() < 1e-9);
        assert_eq!(Data::of("M0 0L9 9").steps, 0);
        assert!(Data::of("M0 0c9 9 9 9 9 9").steps < Data::of("M0 0c900 9 9 9 9 9").steps);
    }

    #[test]
    fn great_numbers_and_wide_pens_are_found() {
        let asked = |name: &str, value: &str| attribute(name, value, em(false));
        assert_eq!(asked("d", "M0 0h1e9"), Err(Fault::Far));
        assert_eq!(asked("d", &format!("M0 0{}", "h9000".repeat(200))), Err(Fault::Far));
        assert_eq!(asked("d", &format!("M0 0{}", "h9000h-9000".repeat(200))), Ok(0));
        assert_eq!(asked("width", "100%"), Ok(0));
        assert_eq!(asked("points", "1,2 3,-1e7"), Err(Fault::Far));
        assert_eq!(asked("x", "2em"), Ok(0));
        assert_eq!(attribute("x", "2em", em(true)), Err(Fault::Far), "it may be of any size");
        assert_eq!(asked("stroke-width", "1e7"), Err(Fault::Wide));
        assert_eq!(asked("stroke-width", "2000in"), Err(Fault::Wide));
        assert_eq!(asked("stroke-width", ".5mm"), Ok(0));
        assert_eq!(asked("style", "fill:none;stroke-width : /* 1 */ 1e7;x:y"), Err(Fault::Wide));
        assert_eq!(asked("style", "Stroke-Width:9px;left:1e9"), Ok(0));
        assert_eq!(asked("style", "stroke-w\\69 dth:9000000"), Err(Fault::Wide));
        assert_eq!(asked("font-size", "1e9"), Ok(0), "no length may be taken of it");
    }
}
