//! The Q: field: words, a beat of one or more parts, and a rate.
//!
//! Source: ABC 2.1 §3.1.8 (Q:), §10.1 (outdated forms).

use crate::tune::{Duration, Fraction, Tempo};

/// Reads the text after `Q:`; `None` if nothing of it is a tempo. `unit` is the unit note length.
pub(super) fn parse(text: &str, unit: Duration) -> Option<Tempo> {
    let mut tempo = Tempo { before: None, beat: Vec::new(), bpm: None, after: None };
    let mut figures = String::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        if let Some(tail) = rest.strip_prefix('"') {
            let end = tail.find('"').unwrap_or(tail.len());
            let words = super::text::decode(&tail[..end]);
            let into = if figures.trim().is_empty() { &mut tempo.before } else { &mut tempo.after };
            if !words.is_empty() {
                // Several texts on one side are one.
                let before = into.take().map_or_else(String::new, |before| before + " ");
                *into = Some(before + &words);
            }
            rest = tail.get(end + 1..).unwrap_or("");
        } else {
            let end = rest.find('"').unwrap_or(rest.len());
            figures.push_str(&rest[..end]);
            rest = &rest[end..];
        }
    }
    let figures = figures.trim();
    if !figures.is_empty() {
        let (beat, rate) = match figures.split_once('=') {
            Some((beat, rate)) => (beats(beat, unit)?, rate),
            // Outdated: so many unit lengths a minute.
            None => (vec![unit], figures),
        };
        tempo.beat = beat;
        tempo.bpm = Some(number(rate)?);
    }
    (tempo.bpm.is_some() || tempo.before.is_some()).then_some(tempo)
}

/// One to four lengths, or the outdated `C` and `C3`.
fn beats(text: &str, unit: Duration) -> Option<Vec<Duration>> {
    let text = text.trim();
    if let Some(times) = text.strip_prefix('C') {
        let times: i64 = if times.is_empty() { 1 } else { times.parse().ok().filter(|n| (1..=64).contains(n))? };
        return Some(vec![unit.times(Fraction::new(times, 1))]);
    }
    let beat: Option<Vec<_>> = text.split_whitespace().map(super::measure::unit).collect();
    beat.filter(|parts| (1..=4).contains(&parts.len()))
}

/// The first number of a text such as `120`, `132.5` (rounded) or `ca. 96`.
fn number(text: &str) -> Option<u32> {
    let from = text.find(|c: char| c.is_ascii_digit())?;
    let digits = &text[from..];
    let end = digits.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(digits.len());
    let rate: f64 = digits[..end].trim_end_matches('.').parse().ok()?;
    let rate = rate.round();
    // The range was checked, so the cast is exact.
    (1.0..=2000.0).contains(&rate).then_some(rate as u32)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ABC 2.1 §3.1.8: figures, several beat parts, words before and after, words alone.
    #[test]
    fn tempos_in_every_form() {
        let eighth = Duration::new(1, 8);
        let read = |text| parse(text, eighth);
        let tempo = read("1/4=120").expect("a tempo");
        assert_eq!((tempo.beat.clone(), tempo.bpm), (vec![Duration::new(1, 4)], Some(120)));
        let tempo = read("1/4 3/8 1/4 3/8=40").expect("a tempo");
        assert_eq!(tempo.wholes_a_minute(), Some(Fraction::new(50, 1)));
        let tempo = read("\"Allegro\" 1/4=120 \"or so\"").expect("a tempo");
        assert_eq!((tempo.before.as_deref(), tempo.after.as_deref()), (Some("Allegro"), Some("or so")));
        let tempo = read("\"Allegro\" \"con brio\" 1/4=120").expect("a tempo");
        assert_eq!(tempo.before.as_deref(), Some("Allegro con brio"));
        let tempo = read("\"Lively\"").expect("a tempo");
        assert_eq!((tempo.before.as_deref(), tempo.bpm), (Some("Lively"), None));
        assert_eq!(read("3/8=50").map(|t| t.beat), Some(vec![Duration::new(3, 8)]));
    }

    /// ABC 2.1 §10.1: `Q:120`, `Q:C=120`, `Q:C3=40`.
    #[test]
    fn outdated_tempos() {
        let eighth = Duration::new(1, 8);
        assert_eq!(parse("120", eighth).map(|t| (t.beat, t.bpm)), Some((vec![eighth], Some(120))));
        assert_eq!(parse("C=120", eighth).map(|t| t.beat), Some(vec![eighth]));
        assert_eq!(parse("C3=40", eighth).map(|t| t.beat), Some(vec![Duration::new(3, 8)]));
        for bad in ["", "fast", "1/4=", "1/0=3", "1/4=99999999999999999999"] {
            assert_eq!(parse(bad, eighth), None, "{bad}");
        }
    }
}
