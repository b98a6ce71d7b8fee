//! Dates as files write them.
//!
//! Takes text; says whether it is a date. Sources: ISO 32000-1, 7.9.4 (dates of PDF); ISO 16684-1, 8.2.1.2, which takes the
//! profile of ISO 8601 of the W3C's note *Date and Time Formats*.

/// The parts after the year: least, most.
const PARTS: [(u32, u32); 5] = [(1, 12), (1, 31), (0, 23), (0, 59), (0, 59)];

/// Whether text is a date of PDF: `D:20260105093000+01'00'`, cut off after any part from the year on; many leave out the `D:`.
pub(super) fn is_date(text: &str) -> bool {
    let text = text.trim();
    let mut rest = text.strip_prefix("D:").unwrap_or(text);
    if take(&mut rest, 4).is_none() {
        return false;
    }
    for (least, most) in PARTS {
        if !rest.starts_with(|next: char| next.is_ascii_digit()) {
            break;
        }
        if !take(&mut rest, 2).is_some_and(|part| (least..=most).contains(&part)) {
            return false;
        }
    }
    let rest = rest.replace('\'', "");
    rest.is_empty() || rest.starts_with('Z') || zone(&rest)
}

/// Whether text is a date of XMP: a year, a month of it, a day of that, or a day with its time and zone.
pub(super) fn is_iso_date(text: &str) -> bool {
    let mut rest = text.trim();
    if take(&mut rest, 4).is_none() {
        return false;
    }
    for (mark, (least, most)) in ['-', '-', 'T', ':', ':'].into_iter().zip(PARTS) {
        let Some(after) = rest.strip_prefix(mark) else { break };
        // Behind a time the same sign begins the zone.
        rest = after;
        if !take(&mut rest, 2).is_some_and(|part| (least..=most).contains(&part)) {
            return false;
        }
    }
    if let Some(parts) = rest.strip_prefix('.') {
        rest = parts.trim_start_matches(|next: char| next.is_ascii_digit());
    }
    // XMP lets the zone be left out.
    rest.is_empty() || rest == "Z" || zone(&rest.replace(':', ""))
}

/// Whether text is a zone: a sign, hours, and perhaps minutes.
fn zone(text: &str) -> bool {
    let Some(mut rest) = text.strip_prefix(['+', '-']) else { return false };
    let hours = take(&mut rest, 2).is_some_and(|hours| hours < 24);
    hours && (rest.is_empty() || (take(&mut rest, 2).is_some_and(|minutes| minutes < 60) && rest.is_empty()))
}

/// Takes so many digits from the front.
fn take(rest: &mut &str, digits: usize) -> Option<u32> {
    let (front, behind) = rest.split_at_checked(digits)?;
    let number = front.bytes().all(|byte| byte.is_ascii_digit()).then(|| front.parse().ok())?;
    *rest = behind;
    number
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first two are the examples of ISO 32000-1, 7.9.4.
    #[test]
    fn dates_of_pdf() {
        for date in [
            "D:199812231952-08'00",
            "D:199812231952-08'00'",
            "D:2026",
            "D:202611",
            "20261128064000Z",
            "D:20260101000000Z00'00'",
        ] {
            assert!(is_date(date), "{date}");
        }
        for none in
            ["yesterday", "", "D:", "D:20261301", "D:20260132", "D:202601012500", "D:2026 1", "D:20260101+1", "D:é026"]
        {
            assert!(!is_date(none), "{none}");
        }
    }

    /// The six examples of the W3C's note, and the last without a zone, as XMP allows.
    #[test]
    fn dates_of_xmp() {
        for date in [
            "1997",
            "1997-07",
            "1997-07-16",
            "1997-07-16T19:20+01:00",
            "1997-07-16T19:20:30+01:00",
            "1997-07-16T19:20:30.45+01:00",
            "1997-07-16T19:20:30",
            "2026-01-01T00:00:00Z",
        ] {
            assert!(is_iso_date(date), "{date}");
        }
        for none in
            ["yesterday", "", "97", "1997-13", "1997-07-16T", "1997-07-16T25:00Z", "16.7.1997", "1997-07-16 19:20"]
        {
            assert!(!is_iso_date(none), "{none}");
        }
    }
}
