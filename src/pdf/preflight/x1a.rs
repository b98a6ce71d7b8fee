//! PDF/X-1a:2003 point by point.
//!
//! Source: ISO 15930-4:2003 as quoted in public preflight rules, maker's help pages and ISO 32000-1, 14.11.5 (see the
//! statements' notes in the guide); two points are from memory and say so.

use super::dates::is_date;
use super::drawn::Carried;
use super::survey::{Area, Page, mm, name, text};
use super::{Book, Check, Standard, Survey, Verdict};

/// All points.
pub(super) fn checks(survey: &Survey) -> Vec<Check> {
    let mut book = Book::new(Standard::X1a);
    form(&mut book, survey);
    boxes(&mut book, survey);
    let class = ("X1a-11", "a profile that is carried is an output profile for CMYK or grey", &["CMYK", "GRAY"][..]);
    intents(&mut book, survey, "X1a-09", "X1a-10", class);
    inks(&mut book, survey);
    extras(&mut book, survey);
    book.checks()
}

fn form(book: &mut Book, survey: &Survey) {
    let version = match survey.version {
        None => Some("the header names no version".to_owned()),
        Some(version) if version > (1, 4) => Some(survey.says(version)),
        Some(_) if survey.modern => Some("object or cross-reference streams, which came with 1.5".to_owned()),
        Some(_) if survey.catalog.has(b"OCProperties") => Some("layers, which came with 1.5".to_owned()),
        Some(_) if !survey.drawn.later.is_empty() => survey.drawn.later.first().map(|what| (*what).to_owned()),
        Some(_) if survey.pages.iter().any(|page| (page.unit - 1.0).abs() > 1e-6) => {
            Some("a page with a unit of its own (UserUnit), which came with 1.6".to_owned())
        }
        Some(_) => None,
    };
    book.point("X1a-01", "the file is PDF 1.4 or older, without constructs of 1.5", Verdict::unless(version));
    book.point("X1a-02", "Info names the version PDF/X-1a:2003", claimed(survey));
    let missing: Vec<String> = ["Title", "CreationDate", "ModDate"]
        .into_iter()
        .filter(|key| text(&survey.info, key).trim().is_empty())
        .map(|key| format!("{key} is missing"))
        .chain(odd_dates(survey))
        .collect();
    book.point("X1a-03", "Info has title, date of creation and date of change", Verdict::of(missing));
    book.point("X1a-04", "Info says whether the file is trapped: the name True or False", trapped(survey));
    let id = (!survey.has_id).then(|| "there is no pair of ids".to_owned());
    book.point("X1a-05", "the trailer has an id", Verdict::unless(id));
    book.point("X1a-06", "the file is not encrypted", Verdict::Pass(String::new()));
}

/// Dates of Info that are there and are none (ISO 32000-1, 7.9.4).
fn odd_dates(survey: &Survey) -> impl Iterator<Item = String> {
    ["CreationDate", "ModDate"].into_iter().filter_map(|key| {
        let date = text(&survey.info, key);
        let is_odd = !date.trim().is_empty() && !is_date(&date);
        is_odd.then(|| format!("{key} is no date: `{}`", date.chars().take(30).collect::<String>()))
    })
}

/// Whether Info names the version. The older part of the standard, ISO 15930-1:2001, wants two entries and PDF 1.3.
fn claimed(survey: &Survey) -> Verdict {
    let claim = text(&survey.info, "GTS_PDFXVersion");
    match (claim.as_str(), text(&survey.info, "GTS_PDFXConformance").as_str()) {
        ("PDF/X-1a:2003", "PDF/X-1a:2001") => {
            Verdict::Fail("Info says both PDF/X-1a:2003 and PDF/X-1a:2001, the older part".to_owned())
        }
        ("PDF/X-1a:2003", _) => Verdict::Pass(String::new()),
        ("PDF/X-1:2001", "PDF/X-1a:2001") if survey.version.is_some_and(|version| version <= (1, 3)) => {
            Verdict::Warning("Info says PDF/X-1a:2001, the older part: shops that ask for 2003 take it".to_owned())
        }
        ("PDF/X-1:2001", "PDF/X-1a:2001") => {
            Verdict::Fail("Info says PDF/X-1a:2001, the older part, which wants PDF 1.3".to_owned())
        }
        _ => Verdict::Fail(format!("Info says `{}`", claim.chars().take(40).collect::<String>())),
    }
}

/// Whether Info names a trapping state.
pub(super) fn trapped(survey: &Survey) -> Verdict {
    let found = name(&survey.info, "Trapped");
    Verdict::unless(
        (found != "True" && found != "False").then(|| {
            if found.is_empty() { "it is missing, or no name".to_owned() } else { format!("it says {found}") }
        }),
    )
}

/// Points 7 and 8, shared with PDF/X-4.
pub(super) fn box_faults(survey: &Survey) -> (Vec<String>, Vec<String>) {
    let (mut missing, mut nesting) = (Vec::new(), Vec::new());
    for (index, page) in survey.pages.iter().enumerate() {
        let number = index + 1;
        let Some(media) = page.media else {
            missing.push(format!("page {number} has no media box"));
            continue;
        };
        let inner = match (page.trim, page.art) {
            (None, None) => {
                missing.push(format!("page {number} has neither trim box nor art box"));
                continue;
            }
            (Some(_), Some(_)) => {
                missing.push(format!("page {number} has both a trim box and an art box"));
                continue;
            }
            (Some(area), None) | (None, Some(area)) => area,
        };
        let bleed = page.bleed.unwrap_or(inner);
        let boxes = [
            ("media box", Some(media)),
            ("trim or art box", Some(inner)),
            ("bleed box", page.bleed),
            ("crop box", page.crop),
        ];
        let empty = boxes.into_iter().filter(|(_, area)| area.is_some_and(is_empty));
        missing.extend(empty.map(|(name, _)| format!("page {number}: the {name} is empty")));
        if !within(inner, bleed) {
            nesting.push(format!("page {number}: the trim lies outside the bleed"));
        }
        if !within(bleed, media) {
            nesting.push(format!("page {number}: the bleed lies outside the medium"));
        }
        if page.crop.is_some_and(|crop| !within(bleed, crop)) {
            nesting.push(format!("page {number}: the crop box cuts into the bleed"));
        }
    }
    (missing, nesting)
}

/// Whether nothing can be printed in a box.
fn is_empty([x0, y0, x1, y1]: Area) -> bool {
    x1 - x0 <= 0.0 || y1 - y0 <= 0.0
}

fn within(inner: Area, outer: Area) -> bool {
    // A hundredth of a millimetre, in points.
    const NEAR: f64 = 0.0284;
    inner[0] >= outer[0] - NEAR
        && inner[1] >= outer[1] - NEAR
        && inner[2] <= outer[2] + NEAR
        && inner[3] <= outer[3] + NEAR
}

fn boxes(book: &mut Book, survey: &Survey) {
    let (missing, nesting) = box_faults(survey);
    book.point(
        "X1a-07",
        "every page has a media box and either a trim box or an art box",
        Verdict::of(missing).listed(survey),
    );
    book.point(
        "X1a-08",
        "trim lies inside bleed, bleed inside medium, and the crop box leaves the bleed whole",
        Verdict::of(nesting).listed(survey),
    );
}

/// The address of the ICC's registry of printing conditions (ISO 32000-1, table 365).
pub(super) const REGISTRY: &str = "http://www.color.org";

/// Points 9 to 11, with the numbers of the standard that asks; the last with its words, and the spaces that a profile may be for.
pub(super) fn intents(
    book: &mut Book,
    survey: &Survey,
    one: &'static str,
    named: &'static str,
    (class, words, spaces): (&'static str, &'static str, &[&str]),
) {
    let found: Vec<_> = survey.intents.iter().filter(|intent| intent.kind == "GTS_PDFX").collect();
    let fault = (found.len() != 1).then(|| format!("there are {}", found.len()));
    book.point(one, "there is exactly one output intent for PDF/X", Verdict::unless(fault));
    let [intent] = found[..] else {
        book.point(named, "the intent names its output condition, or carries a profile", Verdict::Absent);
        book.point(class, words, Verdict::Absent);
        return;
    };
    let registered = intent.registry == REGISTRY;
    let fault = if intent.identifier.is_empty() {
        Some("the condition has no name".to_owned())
    } else if intent.profile.is_none() && !registered {
        Some(format!("`{}` is not said to be in the ICC's registry, and no profile is carried", intent.identifier))
    } else if !registered && intent.info.is_empty() {
        Some(format!("`{}` is not explained by Info", intent.identifier))
    } else {
        None
    };
    let verdict = fault.map_or_else(|| Verdict::Pass(intent.identifier.clone()), Verdict::Fail);
    book.point(named, "the intent names its output condition, or carries a profile", verdict);
    let verdict = intent.profile.as_ref().map_or(Verdict::Absent, |profile| {
        let fit = profile.sound && profile.class == "prtr" && spaces.contains(&profile.space.as_str());
        Verdict::unless((!fit).then(|| format!("class `{}`, space `{}`", profile.class, profile.space)))
    });
    book.point(class, words, verdict);
}

fn inks(book: &mut Book, survey: &Survey) {
    const FINE: [&str; 5] = ["DeviceGray", "DeviceCMYK", "DeviceN", "Indexed", "Pattern"];
    let faults: Vec<String> = survey
        .drawn
        .colours
        .iter()
        .filter(|family| !FINE.contains(&family.as_str()) && !family.starts_with("Separation"))
        .map(|family| format!("{family} is used"))
        .chain(survey.drawn.defaults.iter().cloned())
        .collect();
    book.point("X1a-12", "colour is grey, CMYK or spot ink only", Verdict::of(faults).read(survey));
    book.point("X1a-13", "all fonts that are used are embedded", fonts(survey));
    let transparency = survey.drawn.transparency.iter().cloned();
    let pages = survey.pages.iter().enumerate().filter(|(_, page)| page.group);
    let pages = pages.map(|(index, _)| format!("page {} is a transparency group", index + 1));
    let faults = transparency.chain(pages).collect();
    book.point("X1a-14", "nothing is transparent", Verdict::of(faults).read(survey));
    let filters: Vec<String> = survey
        .filters
        .iter()
        .filter(|filter| matches!(filter.as_str(), "LZWDecode" | "LZW" | "JBIG2Decode" | "JPXDecode" | "Crypt"))
        .map(|filter| format!("{filter} is used"))
        .collect();
    let verdict = Verdict::of(filters).read(survey);
    book.point("X1a-15", "streams are packed without LZW, JBIG2 or later filters", verdict);
}

/// Fonts that are used without being embedded.
pub(super) fn fonts(survey: &Survey) -> Verdict {
    let fault = |(font, carried): (&String, &Carried)| match carried {
        Carried::Absent => Some(format!("{font} is not embedded")),
        Carried::NoFont => Some(format!("{font} is embedded, but its program is no font")),
        Carried::Whole | Carried::Unread => None,
    };
    let faults: Vec<String> = survey.drawn.fonts.iter().filter_map(fault).collect();
    if survey.drawn.fonts.is_empty() && survey.unread.is_empty() {
        return Verdict::Absent;
    }
    Verdict::of(faults).read(survey)
}

fn odd(survey: &Survey, which: &[&str]) -> Verdict {
    let found = survey.oddities.iter().filter(|found| which.contains(found)).map(|found| (*found).to_owned());
    Verdict::of(found.collect()).searched(survey)
}

fn extras(book: &mut Book, survey: &Survey) {
    let actions = [
        "an action",
        "an action beyond links",
        "an action of a page, a field or the file",
        "an action at opening",
        "a script",
        "a form",
        "a form in a language of its own",
    ];
    book.point("X1a-16", "there are no actions and no scripts", odd(survey, &actions));
    book.point("X1a-17", "annotations lie outside the bleed", annotations(survey));
    let curves = survey.drawn.curves.iter().cloned().collect();
    book.point("X1a-18", "there are no transfer curves and no special halftones", Verdict::of(curves).read(survey));
    book.point("X1a-19", FOREIGN, foreign(survey, &["an embedded file"]));
    book.point("X1a-20", "all operators are known to the standard, and what they call is there", operators(survey));
    book.point("X1a-21", "viewer preferences speak only of media box or bleed box (from memory)", preferences(survey));
}

/// The words of the point on what is not drawn by the file itself.
const FOREIGN: &str = "nothing is PostScript, swapped, alternate, embedded, outside the file or separated beforehand";

/// What is not drawn by the file itself; `more` is what the standard forbids besides.
pub(super) fn foreign(survey: &Survey, more: &[&str]) -> Verdict {
    let which = [
        "a PostScript picture",
        "a picture to be swapped for another",
        "an alternate picture that is the one to print",
        "a stream outside the file",
        "a page of another file",
    ];
    let is_foreign = |found: &&&str| which.contains(found) || more.contains(found);
    let mut faults: Vec<String> = survey.oddities.iter().filter(is_foreign).map(|found| (*found).to_owned()).collect();
    if survey.pages.iter().any(|page| page.separated) {
        faults.push("pages are separated into plates".to_owned());
    }
    Verdict::of(faults).listed(survey).searched(survey)
}

/// Operators that the standard does not know, and what they call that is not there.
pub(super) fn operators(survey: &Survey) -> Verdict {
    let unknown = survey.drawn.unknown.iter().map(|word| format!("`{}`", word.escape_debug()));
    Verdict::of(unknown.chain(survey.drawn.missing.iter().cloned()).collect()).read(survey)
}

fn apart(a: Area, b: Area) -> bool {
    a[2] <= b[0] || a[0] >= b[2] || a[3] <= b[1] || a[1] >= b[3]
}

/// Annotations that touch the printed area.
pub(super) fn annotations(survey: &Survey) -> Verdict {
    if survey.pages.iter().all(|page| page.annotations.is_empty()) {
        return Verdict::Absent.listed(survey);
    }
    let mut faults = Vec::new();
    for (index, page) in survey.pages.iter().enumerate() {
        for (kind, place, _) in &page.annotations {
            if kind == "TrapNet" {
                continue;
            }
            let keep_out = if kind == "PrinterMark" { inner(page) } else { page.bleed.or_else(|| inner(page)) };
            if !matches!((place, keep_out), (Some(place), Some(area)) if apart(*place, area)) {
                faults.push(format!("page {}: {kind} lies on the printed area", index + 1));
            }
        }
    }
    Verdict::of(faults).listed(survey)
}

fn inner(page: &Page) -> Option<Area> {
    page.trim.or(page.art)
}

fn preferences(survey: &Survey) -> Verdict {
    let preferences = &survey.preferences;
    let keys = ["ViewArea", "ViewClip", "PrintArea", "PrintClip"];
    let named: Vec<_> = keys.iter().filter(|key| preferences.has(key.as_bytes())).collect();
    if named.is_empty() {
        return Verdict::Absent;
    }
    let faults = named.into_iter().filter(|key| !matches!(name(preferences, key).as_str(), "MediaBox" | "BleedBox"));
    Verdict::of(faults.map(|key| format!("{key} is {}", name(preferences, key))).collect())
}

/// A length for a message.
pub(super) fn millimetres(points: f64) -> String {
    format!("{:.2} mm", mm(points))
}
