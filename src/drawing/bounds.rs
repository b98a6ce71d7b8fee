//! What a drawing may hold, asked of its XML before the library sees it: no part that is not set, nothing from outside, and no
//! more than a book can bear once every `use` is followed and every arrowhead stands at its place.
//!
//! The library multiplies what is referred to (SVG 1.1, 5.6 `use`, 11.6 `marker`, 14.3 `clipPath`), and references may lead to
//! references; here the result is counted without being made. What may be referred to from where is kept so narrow that nothing
//! multiplies twice.

use super::reach::{self, Fault as Reach};
use super::{Kind, Refusal, place_of, refusal};
use crate::xml::{self, Bounds, Fault};
use roxmltree::{Document, Node};
use std::collections::BTreeMap;

const SVG: &str = "http://www.w3.org/2000/svg";
const XLINK: &str = "http://www.w3.org/1999/xlink";

const BOUNDS: Bounds = Bounds { nodes: 60_000, depth: 64, attributes: 100 };
/// Elements in elements when every `use` is followed.
const DEEPEST: u32 = 96;
/// Bytes of attributes, and `ELEMENT` for each element, when every `use` is followed.
const MOST_WEIGHT: u64 = 4 << 20;
/// What an element costs beside its attributes.
const ELEMENT: u64 = 100;
/// No style sheet of a drawing is larger than this, in bytes.
const MOST_STYLE: u64 = 16 << 10;
/// Steps that pens take along all bends, when every `use` is followed and everything has a pen.
const MOST_STEPS: u64 = 1_500_000;
/// Bytes of style sheets times elements: each rule is held against each element.
const MOST_STYLING: u64 = 20_000_000;

const MANY: &str = "draw it with fewer parts, or save it as a PNG of 300 pixels to the inch";

/// Parses a drawing and sees to it that it may be read.
pub(super) fn parse(text: &str) -> Result<Document<'_>, Refusal> {
    let document = xml::parse(text, BOUNDS).map_err(|it| {
        let (why, hint) = match it.fault {
            Fault::Entities => {
                ("defines entities of its own".to_owned(), "save it as plain SVG, without data for editing it again")
            }
            Fault::Deep => ("has groups nested too deep".to_owned(), "take groups in it apart"),
            Fault::Attributes => ("has an element with too many attributes".to_owned(), "save it as plain SVG"),
            Fault::Nodes(_) => ("has too many parts".to_owned(), MANY),
            Fault::Damaged(said) => {
                (format!("is no well-formed XML: {said}"), "save it anew from the program that drew it")
            }
        };
        refusal(Kind::Bad, (it.line, it.column), why, hint)
    })?;
    let root = document.root_element();
    if kind(root) != Some("svg") {
        return Err(refusal(Kind::Bad, place_of(root), "is no SVG", "save it as SVG from the program that drew it"));
    }
    let ids = ids(&document);
    // A name in a style may be spelled by the numbers of its letters, behind a backslash.
    let says = |word: &str| {
        let is_said = |value: &str| value.contains(word) || value.contains('\\');
        document.descendants().any(|node| {
            node.attributes().any(|it| it.name().contains(word) || is_said(it.value()))
                || (node.is_text() && node.text().is_some_and(is_said))
        })
    };
    let (has_pens, em) = (says("stroke"), reach::em(says("font")));
    let mut style = 0;
    for node in document.descendants() {
        if let Some((why, hint)) = foreign(node, &ids) {
            return Err(refusal(Kind::Part, place_of(node), why, hint));
        }
        if kind(node) == Some("style") {
            let sheets = node.children().filter_map(|it| it.text());
            for sheet in sheets {
                style += sheet.len() as u64;
                reach::styles(sheet, em).map_err(|fault| too_far(node, &fault))?;
            }
        }
    }
    count(&document, &ids, style, has_pens, em)?;
    Ok(document)
}

fn too_far(node: Node<'_, '_>, fault: &Reach) -> Refusal {
    let (why, hint) = match fault {
        Reach::Far => ("has a shape farther out than any page", "draw it nearer to its corner, or smaller"),
        Reach::Wide => ("has a line wider than any page", "fill a shape in place of it"),
    };
    refusal(Kind::Bad, place_of(node), why, hint)
}

/// The name of an SVG element; none for what the library does not look at.
fn kind<'a>(node: Node<'a, '_>) -> Option<&'a str> {
    let is_svg = node.is_element() && matches!(node.tag_name().namespace(), None | Some(SVG));
    is_svg.then(|| node.tag_name().name())
}

/// All elements of each id.
type Ids<'a, 'i> = BTreeMap<&'a str, Vec<Node<'a, 'i>>>;

fn ids<'a, 'i>(document: &'a Document<'i>) -> Ids<'a, 'i> {
    let mut ids = Ids::new();
    for node in document.descendants() {
        if let Some(id) = node.attribute("id") {
            ids.entry(id).or_default().push(node);
        }
    }
    ids
}

/// The address that an element names, its own before that of the older standard.
fn href<'a>(node: Node<'a, '_>) -> Option<&'a str> {
    node.attribute("href").or_else(|| node.attribute((XLINK, "href")))
}

/// What in a value stands in brackets after `url`.
fn addresses(value: &str) -> impl Iterator<Item = &str> {
    value.split("url(").skip(1).map(|rest| rest.split(')').next().unwrap_or("").trim_matches([' ', '\'', '"']))
}

/// Why the book can't set an element as it is meant, and what to do; none where it can.
fn foreign(node: Node<'_, '_>, ids: &Ids<'_, '_>) -> Option<(String, &'static str)> {
    const OUTSIDE: &str = "put all that it needs into the one file";
    if node.pi().is_some_and(|it| it.target == "xml-stylesheet") {
        return Some(("wants a style sheet from another file".to_owned(), OUTSIDE));
    }
    let kind = kind(node)?;
    let plain = |why: &str, hint| Some((why.to_owned(), hint));
    let says =
        || node.descendants().any(|inner| inner.is_text() && inner.text().is_some_and(|it| !it.trim().is_empty()));
    match kind {
        "text" if says() => {
            let hint = "convert the text to paths in the program that drew it, or write it under the drawing";
            return plain("has text in it, which is not set", hint);
        }
        "image" | "feImage" => {
            return plain("has a picture in it, which is not set", "give the picture as PNG or JPEG by itself");
        }
        "foreignObject" if node.parent_element().and_then(self::kind) != Some("switch") => {
            return plain("has text in it, which is not set", "save it as plain SVG, with text converted to paths");
        }
        "style" if node.text().is_some_and(|it| it.contains("url(") || it.contains("@import")) => {
            let hint = "save it with presentation attributes in place of a style sheet";
            return plain("has a style sheet that refers to other parts", hint);
        }
        "use" if href(node).is_some_and(|it| !it.trim().starts_with('#')) => {
            return plain("wants a part from another file", OUTSIDE);
        }
        _ => {}
    }
    for attribute in node.attributes() {
        if attribute.name() == "filter" && !matches!(attribute.value().trim(), "none" | "") {
            return plain("has a filter in it, which is not set", "draw it without blur and shadow");
        }
        for address in addresses(attribute.value()) {
            let Some(id) = address.strip_prefix('#') else {
                return plain("wants a part from another file", OUTSIDE);
            };
            for target in ids.get(id).into_iter().flatten() {
                let (what, hint) = match self::kind(*target) {
                    Some("linearGradient" | "radialGradient") => ("a gradient", "fill with one grey"),
                    Some("pattern") => ("a pattern", "draw its lines as paths, or fill with one grey"),
                    Some("mask") => ("a mask", "cut with a path (a clip) in place of a mask"),
                    Some("filter") => ("a filter", "draw it without blur and shadow"),
                    _ => continue,
                };
                return Some((format!("has {what} in it, which is not set"), hint));
            }
        }
    }
    None
}

/// What an element comes to when every `use` in it is followed.
#[derive(Debug, Clone, Copy, Default)]
struct Weight {
    bytes: u64,
    elements: u64,
    /// At most so many points at which a marker may stand.
    points: u64,
    /// References to clips and markers.
    references: u64,
    /// Steps that a pen takes along its bends.
    steps: u64,
    depth: u32,
}

#[derive(Debug, Clone, Copy)]
enum Known {
    Nothing,
    /// It is being weighed: whoever asks is inside of it.
    Open,
    Weighed(Weight),
}

struct Scales<'d, 'a, 'i> {
    ids: &'d Ids<'a, 'i>,
    /// The size of type that lengths may be given in.
    em: f64,
    known: Vec<Known>,
}

/// Whether an element refers to a clip or a marker, or may take over such a reference from where it stands.
fn refers(node: Node<'_, '_>) -> bool {
    node.attributes().any(|it| {
        let value = it.value();
        addresses(value).next().is_some()
            || (value.contains("inherit") && (it.name() == "style" || it.name().starts_with(['c', 'm'])))
    })
}

/// How many numbers a value has.
fn numbers(value: &str) -> u64 {
    let mut before = b' ';
    let mut count = 0;
    for byte in value.bytes() {
        let starts = matches!(byte, b'0'..=b'9' | b'.') && !before.is_ascii_digit();
        count += u64::from(starts);
        before = byte;
    }
    count
}

impl<'a, 'i> Scales<'_, 'a, 'i> {
    fn weigh(&mut self, node: Node<'a, 'i>, depth: u32) -> Result<Weight, Refusal> {
        let deep = || refusal(Kind::Bad, place_of(node), "has groups nested too deep", "take groups in it apart");
        let index = node.id().get_usize();
        match self.known[index] {
            Known::Weighed(weight) if weight.depth + depth > DEEPEST => return Err(deep()),
            Known::Weighed(weight) => return Ok(weight),
            Known::Open => {
                let hint = "take the part that is used in itself out of it";
                return Err(refusal(Kind::Bad, place_of(node), "has a part that holds itself", hint));
            }
            Known::Nothing if depth > DEEPEST => return Err(deep()),
            Known::Nothing => self.known[index] = Known::Open,
        }
        let mut all = Weight { bytes: ELEMENT, elements: 1, points: 4, references: 0, steps: 0, depth: 1 };
        for attribute in node.attributes() {
            all.bytes += attribute.value().len() as u64;
            // The library's reader of styles counts lines anew at the end of each declaration.
            if attribute.name() == "style" {
                all.bytes += (attribute.value().len() as u64).pow(2) / 1_000;
            }
            // How large the drawing itself is, is asked when it is read.
            if depth > 1 || !matches!(attribute.name(), "width" | "height") {
                let steps = reach::attribute(attribute.name(), attribute.value(), self.em);
                all.steps = all.steps.saturating_add(steps.map_err(|fault| too_far(node, &fault))?);
            }
            if matches!(attribute.name(), "d" | "points") {
                all.points += numbers(attribute.value()) / 2;
            }
        }
        all.references += u64::from(refers(node));
        let used = (kind(node) == Some("use")).then(|| href(node)?.trim().strip_prefix('#')).flatten();
        let used = used.and_then(|id| self.ids.get(id)?.first().copied());
        for part in node.children().filter(Node::is_element).chain(used) {
            let part = self.weigh(part, depth + 1)?;
            all.bytes = all.bytes.saturating_add(part.bytes);
            all.elements = all.elements.saturating_add(part.elements);
            all.points = all.points.saturating_add(part.points);
            all.references = all.references.saturating_add(part.references);
            all.steps = all.steps.saturating_add(part.steps);
            all.depth = all.depth.max(part.depth + 1);
        }
        if all.bytes > MOST_WEIGHT {
            return Err(refusal(Kind::Bad, place_of(node), "has too many parts", MANY));
        }
        self.known[index] = Known::Weighed(all);
        Ok(all)
    }
}

/// Counts what the drawing comes to.
fn count(document: &Document<'_>, ids: &Ids<'_, '_>, style: u64, has_pens: bool, em: f64) -> Result<(), Refusal> {
    let root = document.root_element();
    let length = document.descendants().map(|node| node.id().get_usize()).max().unwrap_or(0) + 1;
    let mut scales = Scales { ids, em, known: vec![Known::Nothing; length] };
    let all = scales.weigh(root, 1)?;
    if style > MOST_STYLE || style.saturating_mul(all.elements) > MOST_STYLING {
        let hint = "save it with presentation attributes in place of a style sheet";
        return Err(refusal(Kind::Bad, place_of(root), "has too large a style sheet", hint));
    }
    let (mut clip, mut marker, mut head) = (0, 0, 0);
    for node in document.descendants() {
        let largest = match kind(node) {
            Some("clipPath") => &mut clip,
            Some("marker") => &mut marker,
            _ => continue,
        };
        let weight = scales.weigh(node, 1)?;
        *largest = weight.bytes.max(*largest);
        if kind(node) == Some("marker") {
            head = weight.steps.max(head);
        }
        if weight.references > 0 || node.ancestors().any(refers) {
            let hint = "take the clip or the arrowhead apart";
            return Err(refusal(Kind::Bad, place_of(node), "has a clip or an arrowhead inside another", hint));
        }
    }
    let made = all.references.saturating_mul(clip).saturating_add(all.points.saturating_mul(marker));
    if all.references > 0 && made > MOST_WEIGHT {
        return Err(refusal(Kind::Bad, place_of(root), "has too many clips or arrowheads", MANY));
    }
    let heads = if all.references > 0 { all.points.saturating_mul(head) } else { 0 };
    if has_pens && all.steps.saturating_add(heads) > MOST_STEPS {
        return Err(refusal(Kind::Bad, place_of(root), "has too many or too large bends for its lines", MANY));
    }
    Ok(())
}
