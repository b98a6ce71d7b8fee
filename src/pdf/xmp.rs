//! The XMP packet: who the file is, and which standard it claims.
//!
//! Sources: ISO 16684-1 (XMP); ISO 15930-7 (identification, as public writers agree), ISO 19005-2, 6.6, ISO 14289-1, 5.
//! PDF/A knows no property of trapping, which PDF/X-4 wants: no file claims both.

use super::finish::{PRODUCER, Parts};
use super::options::{PressStandard, Purpose};
use std::fmt::Write as _;

/// The packet for a file with an id.
pub(super) fn packet(parts: &Parts<'_>, id: &[u8; 16]) -> String {
    let identity = &parts.document.identity;
    let date = date(&identity.date);
    let title = if identity.title.is_empty() { "Untitled" } else { &identity.title };
    let mut body = String::new();
    let _ = write!(
        body,
        "<dc:format>application/pdf</dc:format>\n<dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">{}</rdf:li></rdf:Alt></dc:title>\n",
        escape(title)
    );
    if !identity.author.is_empty() {
        let _ =
            writeln!(body, "<dc:creator><rdf:Seq><rdf:li>{}</rdf:li></rdf:Seq></dc:creator>", escape(&identity.author));
    }
    if !identity.language.is_empty() {
        let _ = writeln!(
            body,
            "<dc:language><rdf:Bag><rdf:li>{}</rdf:li></rdf:Bag></dc:language>",
            escape(&identity.language)
        );
    }
    let _ = writeln!(body, "<xmp:CreatorTool>boxwright</xmp:CreatorTool>");
    for property in ["CreateDate", "ModifyDate", "MetadataDate"] {
        let _ = writeln!(body, "<xmp:{property}>{date}</xmp:{property}>");
    }
    let _ = writeln!(body, "<pdf:Producer>{PRODUCER}</pdf:Producer>");
    let uuid = uuid(id);
    let _ = writeln!(body, "<xmpMM:DocumentID>uuid:{uuid}</xmpMM:DocumentID>");
    match parts.options.purpose {
        Purpose::Reading => body.push_str("<pdfuaid:part>1</pdfuaid:part>\n"),
        Purpose::Press(PressStandard::A2b) => {
            body.push_str("<pdfaid:part>2</pdfaid:part>\n<pdfaid:conformance>B</pdfaid:conformance>\n");
        }
        Purpose::Press(PressStandard::X4) => {
            body.push_str(
                "<xmpMM:VersionID>1</xmpMM:VersionID>\n<xmpMM:RenditionClass>default</xmpMM:RenditionClass>\n\
                 <pdf:Trapped>False</pdf:Trapped>\n<pdfxid:GTS_PDFXVersion>PDF/X-4</pdfxid:GTS_PDFXVersion>\n",
            );
        }
        Purpose::Press(PressStandard::X1a2003) => {}
    }
    format!(
        "<?xpacket begin=\"\u{FEFF}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
         <x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n<rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n\
         <rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\" \
         xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\" xmlns:xmpMM=\"http://ns.adobe.com/xap/1.0/mm/\" \
         xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\" {}>\n{body}</rdf:Description>\n</rdf:RDF>\n</x:xmpmeta>\n\
         <?xpacket end=\"r\"?>",
        match parts.options.purpose {
            Purpose::Reading => "xmlns:pdfuaid=\"http://www.aiim.org/pdfua/ns/id/\"",
            Purpose::Press(PressStandard::A2b) => "xmlns:pdfaid=\"http://www.aiim.org/pdfa/ns/id/\"",
            Purpose::Press(_) => "xmlns:pdfxid=\"http://www.npes.org/pdfx/ns/id/\"",
        }
    )
}

/// The same moment as the Info dictionary's dates.
fn date(date: &str) -> String {
    let digits: String = date.chars().filter(char::is_ascii_digit).collect();
    let digits = if digits.len() == 8 { digits } else { "20000101".to_owned() };
    format!("{}-{}-{}T00:00:00Z", &digits[..4], &digits[4..6], &digits[6..])
}

fn uuid(id: &[u8; 16]) -> String {
    let hex: String = id.iter().fold(String::new(), |mut out, byte| {
        let _ = write!(out, "{byte:02x}");
        out
    });
    format!("{}-{}-{}-{}-{}", &hex[..8], &hex[8..12], &hex[12..16], &hex[16..20], &hex[20..])
}

fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            // Control characters are not allowed in XML 1.0.
            control if control < ' ' => out.push(' '),
            other => out.push(other),
        }
    }
    out
}
