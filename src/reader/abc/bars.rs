//! Barlines and endings in music code.
//!
//! Source: ABC 2.1 §4.8 (bar lines, read liberally), §4.9 and §4.10 (endings).

use super::scanner::Scanner;
use super::token::BarText;
use crate::tune::BarlineStyle;

/// No ending is played on a later pass than this.
const MOST_PASSES: i64 = 64;

/// Reads the barline that begins at the scanner's place, with an ending that touches it.
pub(super) fn bar(scanner: &mut Scanner) -> BarText {
    let from = scanner.at;
    let dotted = scanner.peek(0) == Some('.');
    scanner.at += usize::from(dotted);
    let (mut left, mut middle, mut right) = (0u8, 0u8, 0u8);
    let (mut pipes, mut heavy_before, mut heavy_after, mut hidden) = (0u32, false, false, false);
    let mut last = '|';
    while let Some(c) = scanner.peek(0) {
        match c {
            '|' => {
                middle = middle.saturating_add(right);
                right = 0;
                pipes += 1;
            }
            ':' if pipes == 0 => left = left.saturating_add(1),
            ':' => right = right.saturating_add(1),
            '[' if scanner.peek(1) == Some('|') => heavy_before = true,
            '[' if scanner.peek(1) == Some(']') => hidden = true,
            ']' if last == '|' || last == '[' => {
                hidden |= last == '[' || (heavy_before && pipes == 1 && left == 0 && right == 0);
                heavy_after = true;
            }
            _ => break,
        }
        last = c;
        scanner.at += 1;
        if hidden && last == ']' {
            // `[|]` is whole; what follows is a barline of its own.
            break;
        }
    }
    if pipes == 0 && !hidden {
        // `::` is an end and a start; the colons are shared out.
        (left, right) = (left - left / 2, left / 2);
    }
    if middle > 0 {
        scanner.fault(
            from,
            code!("odd-barline"),
            "colons stand inside this barline",
            "a repeat begins with |: and ends with :|",
        );
        (left, right) = (left.max(middle), right.max(middle));
    }
    let style = if hidden {
        BarlineStyle::Invisible
    } else if dotted {
        BarlineStyle::Dotted
    } else if heavy_after || left > 0 {
        BarlineStyle::Final
    } else if pipes > 1 && !heavy_before && right == 0 {
        BarlineStyle::Double
    } else {
        BarlineStyle::Single
    };
    let times = |colons: u8| if colons == 0 { 0 } else { colons.min(31) + 1 };
    let touches = matches!(last, '|' | ']') && scanner.peek(0).is_some_and(|c| matches!(c, '1'..='9'));
    BarText {
        right: style,
        left: if right > 0 || (heavy_before && !hidden) { BarlineStyle::HeavyLight } else { BarlineStyle::None },
        repeat_end: times(left),
        repeat_start: times(right),
        ending: if touches { endings(scanner) } else { Vec::new() },
    }
}

/// Reads a list of passes such as `1`, `1,3`, `1-3`, `1,3,5-7`.
pub(super) fn endings(scanner: &mut Scanner) -> Vec<u8> {
    let from = scanner.at;
    let mut passes = Vec::new();
    let mut odd = false;
    loop {
        let first = scanner.figure().unwrap_or(0);
        let mut last = first;
        if scanner.peek(0) == Some('-') && scanner.peek(1).is_some_and(|c| c.is_ascii_digit()) {
            scanner.at += 1;
            last = scanner.figure().unwrap_or(0);
        }
        if first < 1 || last < first || last > MOST_PASSES {
            odd = true;
        } else {
            passes.extend((first..=last).filter_map(|pass| u8::try_from(pass).ok()));
        }
        let more = matches!(scanner.peek(0), Some(',' | '.')) && scanner.peek(1).is_some_and(|c| c.is_ascii_digit());
        if !more || passes.len() > 100 {
            break;
        }
        scanner.at += 1;
    }
    if odd {
        let hint = "write [1 or [1,3 or [1-3";
        scanner.fault(
            from,
            code!("odd-ending"),
            format!("an ending is for passes from 1 to {MOST_PASSES}, ascending"),
            hint,
        );
    }
    passes.sort_unstable();
    passes.dedup();
    if passes.is_empty() { vec![1] } else { passes }
}
