//! PDF/X-4 point by point.
//!
//! Source: ISO 15930-7:2010 as quoted in public descriptions and as public writers and readers agree; points marked so are
//! from memory.

use super::dates::is_iso_date;
use super::packet::{property, unsound};
use super::survey::name;
use super::x1a::{annotations, box_faults, fonts, foreign, intents, operators};
use super::{Book, Check, Standard, Survey, Verdict};

const FOREIGN_FROM_MEMORY: &str =
    "nothing is PostScript, swapped, alternate, outside the file or separated beforehand (from memory)";

/// All points.
pub(super) fn checks(survey: &Survey) -> Vec<Check> {
    let mut book = Book::new(Standard::X4);
    let version = match survey.version {
        None => Some("the header names no version".to_owned()),
        Some(version) if version > (1, 6) => Some(survey.says(version)),
        Some(_) => None,
    };
    book.point("X4-01", "the file is PDF 1.6 or older", Verdict::unless(version));
    let xmp = survey.xmp.as_deref().unwrap_or("");
    let claim = property(xmp, "pdfxid", "GTS_PDFXVersion").unwrap_or_default();
    let fault = (claim != "PDF/X-4").then(|| format!("it says `{}`", claim.chars().take(40).collect::<String>()));
    book.point("X4-02", "the metadata name the version PDF/X-4", Verdict::unless(fault));
    book.point(
        "X4-03",
        "the metadata have title, dates, ids, rendition class and trapping state",
        metadata(survey, xmp),
    );
    let words = "a profile that is carried is an output profile for CMYK, grey or RGB (RGB from memory)";
    intents(&mut book, survey, "X4-04a", "X4-04b", ("X4-04c", words, &["CMYK", "GRAY", "RGB "]));
    let carried =
        survey.intents.iter().filter(|intent| intent.kind == "GTS_PDFX").any(|intent| intent.profile.is_some());
    let outside = survey.intents.iter().any(|intent| intent.refers_out);
    let fault = if outside {
        Some("it lies outside the file".to_owned())
    } else {
        (!carried).then(|| "there is none".to_owned())
    };
    book.point("X4-04d", "the profile of the output condition is carried in the file", Verdict::unless(fault));
    book.point("X4-05", "transparency, layers and later filters may be used", Verdict::Pass(String::new()));
    let words = "colour by device is of the kind of the output profile, or another space stands for it (from memory)";
    book.point("X4-06", words, colour(survey));
    book.point("X4-07a", "all fonts that are used are embedded", fonts(survey));
    let forbidden = survey
        .oddities
        .iter()
        .filter(|found| matches!(**found, "a script" | "a form" | "a form in a language of its own"));
    let faults = forbidden.map(|found| (*found).to_owned()).chain(survey.drawn.curves.iter().cloned()).collect();
    book.point(
        "X4-07b",
        "there are no scripts, forms or transfer curves",
        Verdict::of(faults).read(survey).searched(survey),
    );
    book.point("X4-07c", "annotations lie outside the bleed", annotations(survey));
    book.point("X4-07d", FOREIGN_FROM_MEMORY, foreign(survey, &[]));
    let (missing, nesting) = box_faults(survey);
    book.point(
        "X4-08a",
        "every page has a media box and either a trim box or an art box (from memory)",
        Verdict::of(missing).listed(survey),
    );
    book.point(
        "X4-08b",
        "trim lies inside bleed, bleed inside medium (from memory)",
        Verdict::of(nesting).listed(survey),
    );
    let id = (!survey.has_id).then(|| "there is no pair of ids".to_owned());
    book.point("X4-08c", "the trailer has an id (from memory)", Verdict::unless(id));
    let words = "all operators are known to the standard, and what they call is there (from memory)";
    book.point("X4-08d", words, operators(survey));
    book.checks()
}

fn metadata(survey: &Survey, xmp: &str) -> Verdict {
    if xmp.is_empty() {
        return Verdict::Fail("there are no metadata".to_owned());
    }
    const WANTED: [(&str, &str); 8] = [
        ("dc", "title"),
        ("xmp", "CreateDate"),
        ("xmp", "ModifyDate"),
        ("xmp", "MetadataDate"),
        ("xmpMM", "DocumentID"),
        ("xmpMM", "VersionID"),
        ("xmpMM", "RenditionClass"),
        ("pdf", "Trapped"),
    ];
    let missing = WANTED.iter().filter(|(prefix, name)| property(xmp, prefix, name).is_none());
    let mut faults: Vec<String> = missing.map(|(prefix, name)| format!("{prefix}:{name} is missing")).collect();
    faults.extend(unsound(xmp));
    for (prefix, name) in [("xmp", "CreateDate"), ("xmp", "ModifyDate"), ("xmp", "MetadataDate")] {
        if let Some(date) = property(xmp, prefix, name).filter(|date| !is_iso_date(date)) {
            faults.push(format!("{prefix}:{name} is no date: `{}`", date.chars().take(30).collect::<String>()));
        }
    }
    if property(xmp, "xmpMM", "RenditionClass").is_some_and(|class| class != "default") {
        faults.push("the rendition class is not `default`".to_owned());
    }
    let trapped = property(xmp, "pdf", "Trapped").unwrap_or_default();
    if !matches!(trapped.as_str(), "" | "True" | "False") {
        faults.push("the trapping state is neither True nor False".to_owned());
    }
    // That Info and metadata agree is from memory.
    let of_info = name(&survey.info, "Trapped");
    if !trapped.is_empty() && !of_info.is_empty() && of_info != trapped {
        faults.push(format!("Info says that trapping is {of_info}, the metadata say {trapped}"));
    }
    Verdict::of(faults)
}

/// Colour by device is the output device's, so it has to be of the kind that the profile of the output condition describes; grey is
/// part of CMYK (from memory).
fn colour(survey: &Survey) -> Verdict {
    let mut intents = survey.intents.iter().filter(|intent| intent.kind == "GTS_PDFX");
    let space = intents.find_map(|intent| intent.profile.as_ref()).map_or("", |profile| profile.space.as_str());
    let kinds = [
        ("DeviceGray", &["GRAY", "CMYK", ""][..], "grey"),
        ("DeviceRGB", &["RGB "], "RGB"),
        ("DeviceCMYK", &["CMYK"], "CMYK"),
    ];
    let faults =
        kinds.into_iter().filter(|(family, under, _)| survey.drawn.plain.contains(*family) && !under.contains(&space));
    let profile = match space.trim_end() {
        "" => "without a profile".to_owned(),
        space => format!("under a profile for {}", if space == "GRAY" { "grey" } else { space }),
    };
    let verdict = Verdict::of(faults.map(|(_, _, kind)| format!("plain {kind} is used {profile}")).collect());
    survey.drawn.coloured(verdict.read(survey))
}
