//! Points of common practice for any file that goes to a print shop; no published standard, so they warn and do not fail,
//! but for what cannot be printed at all.

use super::survey::mm;
use super::x1a::millimetres;
use super::{Book, Check, Standard, Survey, Verdict};

/// All points.
pub(super) fn checks(survey: &Survey) -> Vec<Check> {
    let mut book = Book::new(Standard::Practice);
    book.point("P-01", "all pages are trimmed to one size", sizes(survey));
    book.point("P-02", "there are 3 mm of bleed round the trim, or none is meant", bleed(survey));
    book.point("P-03", "black and spot ink alone", black(survey));
    book.point("P-04", "no line is thinner than 0.25 point", lines(survey));
    book.checks()
}

fn warn(faults: Vec<String>) -> Verdict {
    match Verdict::of(faults) {
        Verdict::Fail(found) => Verdict::Warning(found),
        other => other,
    }
}

fn sizes(survey: &Survey) -> Verdict {
    let mut first = None;
    let mut faults = Vec::new();
    for (index, page) in survey.pages.iter().enumerate() {
        let Some([x0, y0, x1, y1]) = page.trim.or(page.art).or(page.crop).or(page.media) else {
            return Verdict::Fail(format!("page {} has no box at all", index + 1));
        };
        let size = (x1 - x0, y1 - y0);
        let (width, height) = *first.get_or_insert(size);
        if mm((size.0 - width).abs()) > 0.01 || mm((size.1 - height).abs()) > 0.01 {
            faults.push(format!("page {} is {} x {}", index + 1, millimetres(size.0), millimetres(size.1)));
        }
    }
    warn(faults)
}

fn bleed(survey: &Survey) -> Verdict {
    let mut least = f64::MAX;
    for page in &survey.pages {
        if let (Some(bleed), Some(trim)) = (page.bleed, page.trim) {
            let edges = [trim[0] - bleed[0], trim[1] - bleed[1], bleed[2] - trim[2], bleed[3] - trim[3]];
            least = edges.into_iter().fold(least, f64::min);
        }
    }
    if least == f64::MAX {
        return Verdict::Absent;
    }
    if mm(least) < 0.01 {
        return Verdict::Pass("none".to_owned());
    }
    if mm(least) < 2.99 { Verdict::Warning(millimetres(least)) } else { Verdict::Pass(millimetres(least)) }
}

fn black(survey: &Survey) -> Verdict {
    let mut faults = Vec::new();
    if survey.drawn.chromatic {
        faults.push("coloured ink is used".to_owned());
    }
    for family in &survey.drawn.colours {
        let plain = matches!(family.as_str(), "DeviceGray" | "DeviceCMYK" | "Pattern" | "Indexed");
        if let Some(ink) = family.strip_prefix("Separation ") {
            faults.extend(no_ink(ink));
        } else if !plain && family != "Separation" {
            faults.push(format!("{family} is used"));
        }
    }
    warn(faults).read(survey)
}

/// What a separation does that is no spot ink (ISO 32000-1, 8.6.6.4).
fn no_ink(name: &str) -> Option<String> {
    let plain = name.to_ascii_lowercase();
    match plain.as_str() {
        "none" => Some(format!("Separation {name} marks no plate: what is drawn in it is not printed")),
        "all" => Some(format!("Separation {name} marks every plate: it is for printer's marks alone")),
        "cyan" | "magenta" | "yellow" | "black" => {
            Some(format!("Separation {name} is an ink that every press has, not a spot ink"))
        }
        _ => None,
    }
}

fn lines(survey: &Survey) -> Verdict {
    survey.drawn.thinnest.map_or(Verdict::Absent, |thinnest| {
        // A staff line of the smallest print is 0.26 pt; rounding must not make it a fault.
        if thinnest < 0.249 {
            Verdict::Warning(format!("{thinnest:.3} point"))
        } else {
            Verdict::Pass(format!("{thinnest:.2} point"))
        }
    })
}
