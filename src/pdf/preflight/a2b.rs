//! PDF/A-2b point by point.
//!
//! Source: ISO 19005-2:2011 as quoted clause by clause in the open rule set of the PDF validation consortium (CC BY 4.0);
//! the numbers are its clauses. What needs a full reading of fonts and streams is left to an outside validator.

use super::oddities::LIMITS;
use super::packet::{property, unsound};
use super::x1a::{fonts, operators};
use super::{Book, Check, Standard, Survey, Verdict};
use std::collections::BTreeSet;

/// All points.
pub(super) fn checks(survey: &Survey) -> Vec<Check> {
    let mut book = Book::new(Standard::A2b);
    let fault = if !survey.header_first || survey.version.is_none() {
        Some("the header is not %PDF-1.0 to 1.7 at the first byte".to_owned())
    } else if let Some(version) = survey.version.filter(|version| *version > (1, 7)) {
        Some(survey.says(version))
    } else {
        (!survey.binary_comment).then(|| "no comment of four high bytes follows the header".to_owned())
    };
    book.point("6.1.2", "the header stands first and is followed by a binary comment", Verdict::unless(fault));
    let mut faults = Vec::new();
    if !survey.has_id {
        faults.push("the trailer has no id".to_owned());
    }
    if survey.trailing > 0 {
        faults.push(format!("{} bytes stand behind the end-of-file mark", survey.trailing));
    }
    book.point(
        "6.1.3",
        "the trailer has an id, nothing is encrypted, nothing stands behind the end",
        Verdict::of(faults),
    );
    let packed = survey.filters.iter().filter(|filter| matches!(filter.as_str(), "LZWDecode" | "LZW" | "Crypt"));
    let mut faults: Vec<String> = packed.map(|filter| format!("{filter} is used")).collect();
    if survey.oddities.contains("a stream outside the file") {
        faults.push("a stream lies outside the file".to_owned());
    }
    let verdict = Verdict::of(faults).read(survey);
    book.point("6.1.7", "streams lie in the file and are not packed by LZW or encrypted", verdict);
    let words = "limits are kept: objects and what stands in them, saved states, page sides of 3 to 14,400 points";
    book.point("6.1.13", words, limits(survey));
    book.point("6.2.2", "all operators are known to the standard, and what they call is there", operators(survey));
    book.point(
        "6.2.3",
        "there is a PDF/A output intent with a fitting profile, and all intents share one",
        intent(survey),
    );
    book.point("6.2.4.3", "colour by device has an output intent of its kind", colour(survey));
    let curves = survey.drawn.curves.iter().cloned().collect();
    book.point("6.2.5", "there are no transfer curves and no special halftones", Verdict::of(curves).read(survey));
    let which = ["an interpolated picture", "an alternate picture", "a picture to be swapped for another"];
    book.point("6.2.8", "pictures are not interpolated, alternate or swapped", odd(survey, &which));
    let which = ["a PostScript picture", "a page of another file"];
    book.point("6.2.9", "nothing is PostScript, and no form shows a page of another file", odd(survey, &which));
    let blends = survey.drawn.odd_blends.iter().map(|mode| format!("blend mode {mode}")).collect();
    book.point("6.2.10", "blend modes are those of the standard", Verdict::of(blends).read(survey));
    book.point("6.2.11", "all fonts that are used are embedded", fonts(survey));
    let which = [
        "a script",
        "multimedia",
        "a form in a language of its own",
        "an action beyond links",
        "an action of a page, a field or the file",
    ];
    book.point("6.3", "there are no scripts, no multimedia and no actions beyond links", odd(survey, &which));
    // ISO 19005-2 lets a file carry other PDF/A files; whether they are such is not looked at here.
    let which = ["an embedded file"];
    book.point("6.8", "no file is embedded that may not be PDF/A itself", odd(survey, &which));
    let faults =
        if survey.layers.by_use { vec!["layers switch themselves by use (AS)".to_owned()] } else { Vec::new() };
    book.point("6.9", "layers do not switch themselves", Verdict::of(faults));
    book.point(
        "6.3.2",
        "annotations print: flag Print set, Hidden, Invisible and NoView not (from memory)",
        flags(survey),
    );
    metadata(&mut book, survey);
    book.checks()
}

fn odd(survey: &Survey, which: &[&str]) -> Verdict {
    let found = survey.oddities.iter().filter(|found| which.contains(found)).map(|found| (*found).to_owned());
    Verdict::of(found.collect()).searched(survey)
}

fn limits(survey: &Survey) -> Verdict {
    let mut faults = Vec::new();
    if survey.objects > 8_388_607 {
        faults.push(format!("{} objects", survey.objects));
    }
    if survey.drawn.deepest > 28 {
        faults.push(format!("{} states saved inside one another", survey.drawn.deepest));
    }
    faults.extend(survey.oddities.iter().filter(|found| LIMITS.contains(found)).map(|found| (*found).to_owned()));
    for (index, page) in survey.pages.iter().enumerate() {
        let boxes = [page.media, page.crop, page.bleed, page.trim, page.art].into_iter().flatten();
        let odd = |[x0, y0, x1, y1]: &[f64; 4]| [x1 - x0, y1 - y0].iter().any(|side| !(3.0..=14_400.0).contains(side));
        // The boxes of a page are much the same: one of them says enough.
        if let Some([x0, y0, x1, y1]) = boxes.into_iter().find(odd) {
            faults.push(format!("page {} has a box of {:.0} x {:.0} points", index + 1, x1 - x0, y1 - y0));
        }
    }
    Verdict::of(faults).read(survey).searched(survey)
}

fn intent(survey: &Survey) -> Verdict {
    let mut faults = Vec::new();
    let found: Vec<_> = survey.intents.iter().filter(|intent| intent.kind == "GTS_PDFA1").collect();
    if found.len() > 1 {
        faults.push(format!("there are {}", found.len()));
    }
    for intent in &found {
        match &intent.profile {
            None => faults.push("it carries no profile".to_owned()),
            Some(profile) => {
                let kind = matches!(profile.class.as_str(), "prtr" | "mntr");
                let space = matches!(profile.space.as_str(), "GRAY" | "RGB " | "CMYK");
                if !(profile.sound && kind && space && profile.version < 5) {
                    faults.push(format!(
                        "profile of class `{}`, space `{}`, version {}",
                        profile.class, profile.space, profile.version
                    ));
                }
            }
        }
    }
    let profiles: BTreeSet<_> = survey.intents.iter().filter_map(|intent| intent.profile_id).collect();
    if profiles.len() > 1 {
        faults.push("the intents carry different profiles".to_owned());
    }
    if survey.intents.iter().any(|intent| intent.refers_out) {
        faults.push("a profile lies outside the file".to_owned());
    }
    if found.is_empty() && faults.is_empty() {
        return Verdict::Absent;
    }
    Verdict::of(faults)
}

fn colour(survey: &Survey) -> Verdict {
    let spaces: BTreeSet<&str> = survey
        .intents
        .iter()
        .filter(|intent| intent.kind == "GTS_PDFA1")
        .filter_map(|intent| intent.profile.as_ref().map(|profile| profile.space.as_str()))
        .collect();
    let colours = &survey.drawn.plain;
    let mut faults = Vec::new();
    if colours.contains("DeviceRGB") && !spaces.contains("RGB ") {
        faults.push("plain RGB without an RGB intent".to_owned());
    }
    if colours.contains("DeviceCMYK") && !spaces.contains("CMYK") {
        faults.push("plain CMYK without a CMYK intent".to_owned());
    }
    if colours.contains("DeviceGray") && spaces.is_empty() {
        faults.push("plain grey without any intent".to_owned());
    }
    survey.drawn.coloured(Verdict::of(faults).read(survey))
}

fn flags(survey: &Survey) -> Verdict {
    let all: Vec<_> =
        survey.pages.iter().enumerate().flat_map(|(i, p)| p.annotations.iter().map(move |a| (i, a))).collect();
    if all.is_empty() {
        return Verdict::Absent.listed(survey);
    }
    // ISO 32000-1, table 165: Invisible 1, Hidden 2, Print 4, NoView 32.
    let faults = all
        .into_iter()
        .filter(|(_, (kind, _, flags))| kind != "Popup" && (flags & 4 == 0 || flags & (1 | 2 | 32) != 0));
    Verdict::of(faults.map(|(page, (kind, ..))| format!("page {}: {kind}", page + 1)).collect()).listed(survey)
}

fn metadata(book: &mut Book, survey: &Survey) {
    let xmp = survey.xmp.as_deref();
    let head = xmp.and_then(|xmp| xmp.trim_start_matches('\u{FEFF}').split("?>").next()).unwrap_or("");
    let fault = match xmp {
        None => Some("there are none that can be read".to_owned()),
        Some(_) if head.contains("bytes=") || head.contains("encoding=") => {
            Some("the packet's header says `bytes` or `encoding`".to_owned())
        }
        Some(xmp) => unsound(xmp),
    };
    book.point(
        "6.6.2.1",
        "the catalog has metadata in sound XML, their header without `bytes` or `encoding`",
        Verdict::unless(fault),
    );
    let xmp = xmp.unwrap_or("");
    let part = property(xmp, "pdfaid", "part").unwrap_or_default();
    let level = property(xmp, "pdfaid", "conformance").unwrap_or_default();
    let fits = part == "2" && matches!(level.as_str(), "A" | "B" | "U");
    let fault = (!fits).then(|| format!("part `{part}`, conformance `{level}`"));
    book.point("6.6.4", "the metadata claim part 2 and a conformance level (from memory)", Verdict::unless(fault));
}
