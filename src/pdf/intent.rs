//! Output intents, the second ink as a separation, overprint.
//!
//! Sources: ISO 32000-1, 14.11.5 (output intents), 8.6.6.4 (Separation), 8.6.7 (overprint); ISO 15930-4 and
//! -7 as quoted in public rules.

use super::finish::text;
use super::options::{PdfOptions, PressStandard, Purpose};
use super::output_profile::ProfileSpace;
use super::pack::deflated;
use super::profile;
use lopdf::{Dictionary, Document, Object};

/// The ICC's registry of characterisation data, by whose reference names conditions are given.
const REGISTRY: &str = "http://www.color.org";

fn name(name: &str) -> Object {
    Object::Name(name.into())
}

/// The output intent of a press file: the condition that is named, with the print shop's profile if there is one; else a registered
/// condition by name alone, or our own grey profile.
pub(super) fn intents(file: &mut Document, options: &PdfOptions, entries: &mut Dictionary) {
    let Purpose::Press(standard) = options.purpose else { return };
    let kind = if standard == PressStandard::A2b { "GTS_PDFA1" } else { "GTS_PDFX" };
    let mut intent = Dictionary::from_iter([("Type", name("OutputIntent")), ("S", name(kind))]);
    let is_named = options.profile.is_some() || standard == PressStandard::X1a2003;
    let (identifier, info) = match &options.profile {
        Some(profile) => (options.condition.as_str(), profile.description()),
        None if is_named => (options.condition.as_str(), options.condition.as_str()),
        None => ("Custom", profile::DESCRIPTION),
    };
    intent.set("OutputConditionIdentifier", text(identifier));
    if is_named && options.is_registered {
        intent.set("RegistryName", text(REGISTRY));
    } else {
        intent.set("OutputCondition", text(info));
    }
    intent.set("Info", text(info));
    let carried = match &options.profile {
        Some(profile) => Some((profile.bytes().to_vec(), profile.space())),
        None => (!is_named).then(|| (profile::grey(), ProfileSpace::Grey)),
    };
    if let Some((bytes, space)) = carried {
        let (inks, alternate) = match space {
            ProfileSpace::Grey => (1, "DeviceGray"),
            ProfileSpace::Cmyk => (4, "DeviceCMYK"),
        };
        let dictionary = Dictionary::from_iter([("N", inks.into()), ("Alternate", name(alternate))]);
        let stream = file.add_object(deflated(dictionary, &bytes));
        intent.set("DestOutputProfile", Object::Reference(stream));
    }
    entries.set("OutputIntents", vec![Object::Dictionary(intent)]);
}

/// The spot ink. The alternate is what a screen shows in its place; the press makes a plate of the name. Under a grey
/// profile the alternate is grey, since ISO 19005-2, 6.2.4.3, allows no CMYK there.
pub(super) fn separation(file: &mut Document, spot: &str, options: &PdfOptions) -> Object {
    let real = |values: &[f32]| Object::Array(values.iter().map(|value| Object::Real(*value)).collect());
    let is_cmyk = match &options.profile {
        Some(profile) => profile.space() == ProfileSpace::Cmyk,
        None => options.purpose == Purpose::Press(PressStandard::X1a2003),
    };
    let (space, none, full) = if is_cmyk {
        ("DeviceCMYK", real(&[0.0, 0.0, 0.0, 0.0]), real(&[0.0, 0.75, 0.9, 0.0]))
    } else {
        ("DeviceGray", real(&[1.0]), real(&[0.45]))
    };
    let function = Dictionary::from_iter([
        ("FunctionType", 2.into()),
        ("Domain", real(&[0.0, 1.0])),
        ("C0", none),
        ("C1", full),
        ("N", 1.into()),
    ]);
    let function = file.add_object(function);
    let space = vec![name("Separation"), name(spot), name(space), Object::Reference(function)];
    Object::Reference(file.add_object(Object::Array(space)))
}

/// Black over the second ink, and paper that covers it (ISO 32000-1, 8.6.7: with `OP` true, a grey leaves spot plates
/// alone).
pub(super) fn overprint_states() -> Dictionary {
    let state = |on: bool| {
        Dictionary::from_iter([
            ("Type", name("ExtGState")),
            ("OP", on.into()),
            ("op", on.into()),
            ("OPM", i64::from(on).into()),
        ])
    };
    Dictionary::from_iter([("Over", Object::Dictionary(state(true))), ("Cover", Object::Dictionary(state(false)))])
}
