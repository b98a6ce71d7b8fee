//! The M: and L: fields: metres and the unit note length.
//!
//! Source: ABC 2.1 §3.1.6 (M:), §3.1.7 (L:).

use crate::tune::{Duration, Fraction, Meter};

/// Reads the text after `M:`; `None` if it is no metre.
pub(super) fn meter(text: &str) -> Option<Meter> {
    let text = text.trim();
    match text {
        "C" | "c" => return Some(Meter::Common),
        "C|" | "c|" => return Some(Meter::Cut),
        "none" | "" | "free" => return Some(Meter::Free),
        _ => {}
    }
    let (upper, lower) = text.split_once('/')?;
    let upper = upper.trim();
    let upper = upper.strip_prefix('(').and_then(|u| u.strip_suffix(')')).unwrap_or(upper);
    let mut groups = Vec::new();
    for part in upper.split('+') {
        let group: u32 = part.trim().parse().ok().filter(|n| (1..=128).contains(n))?;
        groups.push(group);
    }
    let unit: u32 = lower.trim().parse().ok().filter(|n: &u32| n.is_power_of_two() && *n <= 128)?;
    (groups.len() <= 16).then_some(Meter::Figures { groups, unit })
}

/// Reads the text after `L:`; `None` if it is no length.
pub(super) fn unit(text: &str) -> Option<Duration> {
    let text: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let length = Fraction::parse(&text)?;
    let fits = length > Fraction::ZERO && length <= Fraction::new(4, 1) && length.den() <= 512;
    fits.then_some(Duration(length))
}

/// The unit note length where no L: is given: from the metre as a decimal fraction, below 0.75 a sixteenth, else an eighth.
pub(in crate::reader) fn default_unit(meter: &Meter) -> Duration {
    match meter {
        Meter::Figures { .. } => {
            let short = meter.bar_length().is_some_and(|bar| bar < Duration::new(3, 4));
            if short { Duration::new(1, 16) } else { Duration::new(1, 8) }
        }
        Meter::Common | Meter::Cut | Meter::Free => Duration::new(1, 8),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ABC 2.1 §3.1.6.
    #[test]
    fn metres() {
        assert_eq!(meter("6/8"), Some(Meter::simple(6, 8)));
        assert_eq!(meter("C"), Some(Meter::Common));
        assert_eq!(meter("C|"), Some(Meter::Cut));
        assert_eq!(meter("none"), Some(Meter::Free));
        let sum = Meter::Figures { groups: vec![2, 3, 2], unit: 8 };
        assert_eq!(meter("(2+3+2)/8"), Some(sum.clone()));
        assert_eq!(meter("2+3+2/8"), Some(sum));
        for bad in ["6", "6/0", "0/4", "6/7", "x/4", "9999999999/4", "4/4/4"] {
            assert_eq!(meter(bad), None, "{bad}");
        }
    }

    /// ABC 2.1 §3.1.7.
    #[test]
    fn units() {
        assert_eq!(unit("1/8"), Some(Duration::new(1, 8)));
        assert_eq!(unit("1"), Some(Duration::new(1, 1)));
        assert_eq!(unit("1/0"), None);
        assert_eq!(default_unit(&Meter::simple(2, 4)), Duration::new(1, 16));
        assert_eq!(default_unit(&Meter::simple(3, 4)), Duration::new(1, 8));
        assert_eq!(default_unit(&Meter::simple(6, 8)), Duration::new(1, 8));
        assert_eq!(default_unit(&Meter::Free), Duration::new(1, 8));
    }
}
