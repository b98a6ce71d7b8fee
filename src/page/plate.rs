//! Pages before they are drawn: what is on each, its side, its label, the left edge of its type area.

use super::document::Side;
use super::paginate::PageSpan;
use super::setting::Setting;
use crate::geom::Abs;

/// A page before it is drawn: what is on it, and what it is called.
#[derive(Debug, Clone)]
pub(super) struct Plate {
    /// The pieces; `None` for a blank page.
    pub span: Option<PageSpan>,
    /// Its side.
    pub side: Side,
    /// Its label.
    pub label: String,
}

/// Gives each page its side and label: roman before the piece `body`, arabic from 1 on it.
pub(super) fn plates(spans: &[PageSpan], first: Side, body: usize) -> Vec<Plate> {
    let mut side = first;
    let mut out: Vec<Plate> = Vec::new();
    let mut arabic_from = None;
    for span in spans {
        if span.blank_before {
            out.push(Plate { span: None, side, label: String::new() });
            side = side.next();
        }
        if span.start >= body && arabic_from.is_none() {
            arabic_from = Some(out.len());
        }
        out.push(Plate { span: Some(*span), side, label: String::new() });
        side = side.next();
    }
    let arabic_from = arabic_from.unwrap_or(out.len());
    for (n, plate) in out.iter_mut().enumerate() {
        plate.label = if n < arabic_from { roman(n + 1) } else { (n - arabic_from + 1).to_string() };
    }
    out
}

/// Small roman numerals.
fn roman(mut n: usize) -> String {
    const SIGNS: [(usize, &str); 13] = [
        (1000, "m"),
        (900, "cm"),
        (500, "d"),
        (400, "cd"),
        (100, "c"),
        (90, "xc"),
        (50, "l"),
        (40, "xl"),
        (10, "x"),
        (9, "ix"),
        (5, "v"),
        (4, "iv"),
        (1, "i"),
    ];
    let mut out = String::new();
    for (value, sign) in SIGNS {
        while n >= value {
            out.push_str(sign);
            n -= value;
        }
    }
    out
}

/// The left edge of the type area.
pub(super) fn left(setting: &Setting<'_>, side: Side) -> Abs {
    match side {
        Side::Recto => setting.book.page.margins.inner,
        Side::Verso => setting.book.page.margins.outer,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn front_pages_are_roman() {
        assert_eq!([1, 4, 9, 14, 40, 1999].map(roman), ["i", "iv", "ix", "xiv", "xl", "mcmxcix"].map(str::to_owned));
        let span = |start, blank_before| PageSpan { start, end: start + 1, blank_before };
        let plates = plates(&[span(0, false), span(1, false), span(2, true)], Side::Recto, 2);
        let labels: Vec<_> =
            plates.iter().map(|plate| (plate.label.as_str(), plate.side, plate.span.is_some())).collect();
        assert_eq!(
            labels,
            [
                ("i", Side::Recto, true),
                ("ii", Side::Verso, true),
                ("iii", Side::Recto, false),
                ("1", Side::Verso, true)
            ]
        );
    }
}
