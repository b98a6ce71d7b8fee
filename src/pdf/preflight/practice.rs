//! Points of common practice for any file that goes to a print shop; no published standard, so they warn and do not fail,
//! but for what cannot be printed at all.

use super::survey::{Intent, mm};
use super::x1a::{REGISTRY, millimetres};
use super::{Book, Check, Standard, Survey, Verdict};
use crate::style::conditions;

/// All points.
pub(super) fn checks(survey: &Survey) -> Vec<Check> {
    let mut book = Book::new(Standard::Practice);
    book.point("P-01", "all pages are trimmed to one size and stand upright", sizes(survey).listed(survey));
    book.point("P-02", "the boxes leave 3 mm of bleed round the trim, or none is meant", bleed(survey).listed(survey));
    book.point("P-03", "black and spot ink alone", black(survey));
    book.point("P-04", "no line is thinner than 0.25 point", lines(survey));
    book.point("P-05", "pictures have 200 dots an inch or more, those in black and white alone 600", pictures(survey));
    book.point("P-06", "ink keeps 3 mm from the trim, or runs over it into the bleed", edges(survey));
    book.point("P-07", "no layer is switched off", layers(survey));
    book.point("P-08", "pictures, forms, fonts and colours that pages call are in the file", missing(survey));
    book.point("P-09", "the printing condition is one whose registered name is known", condition(survey));
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
        let number = index + 1;
        let Some(size) = page.size() else {
            return Verdict::Fail(format!("page {number} has no box at all"));
        };
        let (turn, (width, height)) = *first.get_or_insert((page.turn, size));
        if mm((size.0 - width).abs()) > 0.01 || mm((size.1 - height).abs()) > 0.01 {
            faults.push(format!("page {number} is {} x {}", millimetres(size.0), millimetres(size.1)));
        }
        // Programs that lay pages on sheets differ in whether they follow the entry.
        if page.turn != turn {
            faults.push(format!("page {number} is turned by {} degrees (Rotate), page 1 by {turn}", page.turn));
        }
    }
    warn(faults)
}

/// Facing pages may do without bleed at the edge that is bound; at the head, at the foot and at one side there is some, or none is
/// meant on any page.
fn bleed(survey: &Survey) -> Verdict {
    let (mut least, mut bare) = (f64::MAX, None);
    let mut boxes = 0;
    for (index, page) in survey.pages.iter().enumerate() {
        if let (Some(bleed), Some(trim)) = (page.bleed, page.trim) {
            boxes += 1;
            let edges = [trim[0] - bleed[0], trim[2] - bleed[2], trim[1] - bleed[1], trim[3] - bleed[3]];
            let signs = [1.0, -1.0, 1.0, -1.0];
            let [left, right, foot, head] = std::array::from_fn(|at| edges[at] * signs[at] * page.unit);
            let is_bound = |edge: f64| mm(edge).abs() < 0.01;
            let side = if is_bound(left) || is_bound(right) { left.max(right) } else { left.min(right) };
            let of_page = side.min(foot).min(head);
            if mm(of_page) < 0.01 {
                bare.get_or_insert(index + 1);
            } else {
                least = least.min(of_page);
            }
        }
    }
    match (bare, least) {
        _ if boxes == 0 => Verdict::Absent,
        (Some(_), f64::MAX) => Verdict::Pass("none".to_owned()),
        (Some(page), least) => Verdict::Warning(format!("page {page} has none, others have {}", millimetres(least))),
        (None, least) if mm(least) < 2.99 => Verdict::Warning(millimetres(least)),
        (None, least) => Verdict::Pass(millimetres(least)),
    }
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
    let mixes = survey.drawn.mixes.iter();
    faults.extend(
        mixes.map(|page| format!("page {page} has a picture or a shading in CMYK, whose inks are not told apart here")),
    );
    survey.drawn.coloured(warn(faults).read(survey))
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
            Verdict::Pass(format!("{thinnest:.2} point")).read(survey)
        }
    })
}

/// 300 dots an inch are wanted of tones and 1,200 of lines; that 200 and 600 still print well is common practice, no source.
fn pictures(survey: &Survey) -> Verdict {
    let found = [("", survey.drawn.tones, 200.0), (" in black and white alone", survey.drawn.bilevel, 600.0)];
    let found =
        found.into_iter().filter_map(|(kind, least, wanted)| least.map(|(dots, page)| (kind, dots, page, wanted)));
    let (mut faults, mut fine) = (Vec::new(), Vec::new());
    for (kind, dots, page, wanted) in found {
        let words = format!("the coarsest{kind}, on page {page}, has {dots:.0}");
        // A picture of 200 dots, its sides rounded to whole dots, may have a little less.
        if dots < wanted - 0.5 { faults.push(words) } else { fine.push(words) }
    }
    match (faults.is_empty(), fine.is_empty()) {
        (false, _) => warn(faults),
        (true, true) => Verdict::Absent,
        (true, false) => Verdict::Pass(fine.join("; ")).read(survey),
    }
}

/// Areas, lines and curves by their exact boxes, one by one; text by the outlines of its glyphs where the font's program can be looked
/// up by their numbers, else by their widths and the font's own heights; pictures by their place.
fn edges(survey: &Survey) -> Verdict {
    if !survey.pages.iter().any(|page| page.trim.or(page.art).is_some()) {
        return Verdict::Absent;
    }
    let (words, count) = &survey.drawn.edges;
    match count - words.len().min(5) {
        0 => match (warn(words.clone()).read(survey), survey.drawn.unmeasured.first()) {
            (Verdict::Pass(_), Some(what)) => Verdict::CannotTell(what.clone()),
            (other, _) => other,
        },
        more => Verdict::Warning(format!("{}; and {more} more", words[..words.len().min(5)].join("; "))),
    }
}

/// A layer that is off is lawful, and is not printed; it is seldom meant.
fn layers(survey: &Survey) -> Verdict {
    if survey.layers.count == 0 {
        return Verdict::Absent;
    }
    warn(survey.layers.off.iter().map(|name| format!("layer `{name}` is switched off: it will not print")).collect())
}

/// A name that leads to nothing stops a press, or leaves a hole: not a matter of taste.
fn missing(survey: &Survey) -> Verdict {
    Verdict::of(survey.drawn.missing.iter().cloned().collect()).read(survey)
}

/// The registry grows, and the list here is from memory: a name that is not in it may be right.
fn condition(survey: &Survey) -> Verdict {
    let registered = |intent: &&Intent| intent.kind == "GTS_PDFX" && intent.registry == REGISTRY;
    let names: Vec<&str> = survey.intents.iter().filter(registered).map(|intent| intent.identifier.as_str()).collect();
    if names.is_empty() {
        return Verdict::Absent;
    }
    let strange = names.into_iter().filter(|name| conditions::unknown(name).is_some());
    warn(strange.map(|name| format!("`{}` is not known here", name.chars().take(60).collect::<String>())).collect())
}
