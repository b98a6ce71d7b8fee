//! Properties of an XMP packet (ISO 16684-1), read as text: a packet of any origin need not be XML that parses. Whether it does
//! is a point of its own.

use crate::xml;

/// The namespaces that a rule asks for, under the prefixes that are usual: ISO 16684-1, 8; ISO 15930-7; ISO 19005-2, 6.6.4;
/// ISO 14289-1, 5.
const NAMESPACES: [(&str, &str); 7] = [
    ("dc", "http://purl.org/dc/elements/1.1/"),
    ("xmp", "http://ns.adobe.com/xap/1.0/"),
    ("xmpMM", "http://ns.adobe.com/xap/1.0/mm/"),
    ("pdf", "http://ns.adobe.com/pdf/1.3/"),
    ("pdfxid", "http://www.npes.org/pdfx/ns/id/"),
    ("pdfaid", "http://www.aiim.org/pdfa/ns/id/"),
    ("pdfuaid", "http://www.aiim.org/pdfua/ns/id/"),
];

/// So many places are tried at which a property may stand, and so much text of it is read: a packet may be made to tire a reader.
const PLACES: usize = 10;
const TEXT: usize = 4_000;

/// A property, written as an element or as an attribute, under whatever prefix the packet gives its namespace; `None` where it
/// is not there or has no text. Of a list the text of all its items is given.
pub(super) fn property(xmp: &str, prefix: &str, name: &str) -> Option<String> {
    let key = format!("{}:{name}", bound(xmp, prefix).unwrap_or(prefix));
    let (mut rest, mut places) = (xmp, 0);
    while let Some(at) = rest.find(&key).filter(|_| places < PLACES) {
        let before = rest[..at].chars().next_back();
        let after = &rest[at + key.len()..];
        rest = after;
        if !matches!(before, Some('<' | ' ' | '\t' | '\n' | '\r')) {
            continue;
        }
        places += 1;
        let ends = after.starts_with(|next: char| next.is_whitespace() || matches!(next, '>' | '/' | '='));
        if !ends {
            continue;
        }
        let value = if before == Some('<') { element(after, &key) } else { attribute(after) };
        let value = value.map(|value| value.trim().to_owned()).filter(|value| !value.is_empty());
        if value.is_some() {
            return value;
        }
    }
    None
}

/// Bounds for the XML of a packet; no program writes one that comes near.
const XML: xml::Bounds = xml::Bounds { nodes: 200_000, depth: 64, attributes: 256 };

/// Why a packet is no XML that a reader could take; `None` where it is sound.
pub(super) fn unsound(xmp: &str) -> Option<String> {
    // A mark of byte order may stand before it, and the room for changes behind it is white space.
    let text = xmp.trim_start_matches('\u{FEFF}').trim_end_matches(['\0', ' ', '\t', '\r', '\n']);
    xml::parse(text, XML).err().map(|refusal| format!("the metadata are no sound XML, on their line {}", refusal.line))
}

/// The prefix that a packet gives to the namespace of a usual one.
fn bound<'a>(xmp: &'a str, usual: &str) -> Option<&'a str> {
    let (_, namespace) = NAMESPACES.iter().find(|(prefix, _)| *prefix == usual)?;
    for (at, _) in xmp.match_indices(namespace).take(PLACES) {
        // The whole namespace between quotes, not one that it is the beginning of.
        let before = &xmp[..at];
        let quote = before.chars().next_back().filter(|quote| matches!(quote, '"' | '\''))?;
        if !xmp[at + namespace.len()..].starts_with(quote) {
            continue;
        }
        let before = before[..before.len() - 1].trim_end().strip_suffix('=')?.trim_end();
        let start = before.rfind("xmlns:")?;
        let prefix = &before[start + "xmlns:".len()..];
        if !prefix.is_empty() && !prefix.contains(|sign: char| sign.is_whitespace() || matches!(sign, '"' | '\'' | '<'))
        {
            return Some(prefix);
        }
    }
    None
}

/// The text of an element whose name has been read.
fn element(after: &str, key: &str) -> Option<String> {
    let (tag, inside) = after.split_once('>')?;
    if tag.ends_with('/') {
        return None;
    }
    let inside = &inside[..inside.find(&format!("</{key}"))?];
    let mut text = String::new();
    let mut is_tag = false;
    for sign in inside.chars().take(TEXT) {
        match sign {
            '<' => is_tag = true,
            '>' => is_tag = false,
            _ if !is_tag => text.push(sign),
            _ => {}
        }
    }
    Some(text)
}

/// The value of an attribute whose name has been read.
fn attribute(after: &str) -> Option<String> {
    let value = after.trim_start().strip_prefix('=')?.trim_start();
    let quote = value.chars().next().filter(|quote| matches!(quote, '"' | '\''))?;
    value[1..].split_once(quote).map(|(value, _)| value.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    const HEAD: &str = "<rdf:Description xmlns:px=\"http://www.npes.org/pdfx/ns/id/\" \
                        xmlns:xmpMM='http://ns.adobe.com/xap/1.0/mm/' pdf:Trapped='False'";

    fn packet(inside: &str) -> String {
        format!("{HEAD}>{inside}</rdf:Description>")
    }

    #[test]
    fn properties_are_found_however_they_are_written() {
        let xmp = packet("<px:GTS_PDFXVersion> PDF/X-4 </px:GTS_PDFXVersion><xmpMM:VersionID>1</xmpMM:VersionID>");
        assert_eq!(property(&xmp, "pdfxid", "GTS_PDFXVersion").as_deref(), Some("PDF/X-4"));
        assert_eq!(property(&xmp, "pdf", "Trapped").as_deref(), Some("False"));
        assert_eq!(property(&xmp, "xmpMM", "VersionID").as_deref(), Some("1"));
        assert_eq!(property(&xmp, "xmpMM", "Version"), None, "a longer name is another");
        assert_eq!(property(&xmp, "xmp", "VersionID"), None, "the namespace of one begins another's");
    }

    #[test]
    fn a_list_is_the_text_of_its_items_and_nothing_is_missing() {
        let titled = |title: &str| {
            let alternatives = format!("<rdf:Alt><rdf:li xml:lang=\"x-default\">{title}</rdf:li></rdf:Alt>");
            packet(&format!("<dc:title>{alternatives}</dc:title>"))
        };
        assert_eq!(property(&titled("First Steps"), "dc", "title").as_deref(), Some("First Steps"));
        for empty in [titled(" "), packet("<dc:title/>"), packet("<dc:title />"), packet("<dc:title>")] {
            assert_eq!(property(&empty, "dc", "title"), None, "{empty}");
        }
    }

    #[test]
    fn a_packet_may_end_anywhere() {
        let whole = packet("<px:GTS_PDFXVersion a='1'>PDF/X-4</px:GTS_PDFXVersion><pdf:Trapped/>");
        for (end, _) in whole.char_indices() {
            for (prefix, name) in [("pdfxid", "GTS_PDFXVersion"), ("pdf", "Trapped"), ("dc", "title")] {
                let _ = property(&whole[..end], prefix, name);
            }
        }
    }
}
