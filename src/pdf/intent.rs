//! Output intents, the second ink as a separation, overprint.
//!
//! Sources: ISO 32000-1, 14.11.5 (output intents), 8.6.6.4 (Separation), 8.6.7 (overprint); ISO 15930-4 and
//! -7 as quoted in public rules.

use super::finish::text;
use super::options::{PdfOptions, PressStandard, Purpose};
use super::pack::deflated;
use super::profile;
use lopdf::{Dictionary, Document, Object};

/// The ICC's registry of characterisation data, by whose reference names conditions are given.
const REGISTRY: &str = "http://www.color.org";

fn name(name: &str) -> Object {
    Object::Name(name.into())
}

/// The output intent of a press file: a registered condition by name, or our own grey profile carried in the file.
pub(super) fn intents(file: &mut Document, options: &PdfOptions, entries: &mut Dictionary) {
    let Purpose::Press(standard) = options.purpose else { return };
    let intent = |kind: &str| Dictionary::from_iter([("Type", name("OutputIntent")), ("S", name(kind))]);
    if standard == PressStandard::X1a2003 {
        let mut intent = intent("GTS_PDFX");
        intent.set("OutputConditionIdentifier", text(&options.condition));
        intent.set("RegistryName", text(REGISTRY));
        intent.set("Info", text(&options.condition));
        entries.set("OutputIntents", vec![Object::Dictionary(intent)]);
        return;
    }
    let dictionary = Dictionary::from_iter([("N", 1.into()), ("Alternate", name("DeviceGray"))]);
    let stream = file.add_object(deflated(dictionary, &profile::grey()));
    let mut intent = intent(if standard == PressStandard::X4 { "GTS_PDFX" } else { "GTS_PDFA1" });
    intent.set("OutputConditionIdentifier", text("Custom"));
    intent.set("OutputCondition", text(profile::DESCRIPTION));
    intent.set("Info", text(profile::DESCRIPTION));
    intent.set("DestOutputProfile", Object::Reference(stream));
    entries.set("OutputIntents", vec![Object::Dictionary(intent)]);
}

/// The spot ink. The alternate is what a screen shows in its place; the press makes a plate of the name. Under a grey
/// profile the alternate is grey, since ISO 19005-2, 6.2.4.3, allows no CMYK there.
pub(super) fn separation(file: &mut Document, spot: &str, options: &PdfOptions) -> Object {
    let real = |values: &[f32]| Object::Array(values.iter().map(|value| Object::Real(*value)).collect());
    let (space, none, full) = if options.purpose == Purpose::Press(PressStandard::X1a2003) {
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
