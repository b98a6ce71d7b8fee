//! Text strings of ABC: mnemonics, entities and code points into characters, and back.
//!
//! Source: ABC 2.1 §8.2 (table of accents and ligatures).

/// Decodes a text string.
pub(super) fn decode(text: &str) -> String {
    if !text.contains(['\\', '&', '$']) {
        return text.to_owned();
    }
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let (taken, made) = match c {
            '\\' => escape(rest),
            '&' => entity(rest),
            '$' => font_switch(rest),
            _ => (c.len_utf8(), Some(c)),
        };
        out.extend(made);
        rest = &rest[taken.max(1)..];
    }
    out
}

/// `$0` to `$4` switch fonts and are dropped; `$$` is a dollar sign.
fn font_switch(rest: &str) -> (usize, Option<char>) {
    match rest.as_bytes().get(1) {
        Some(b'0'..=b'4') => (2, None),
        Some(b'$') => (2, Some('$')),
        _ => (1, Some('$')),
    }
}

fn escape(rest: &str) -> (usize, Option<char>) {
    let mut chars = rest.chars().skip(1);
    let (Some(sign), next) = (chars.next(), chars.next()) else { return (1, Some('\\')) };
    if let '\\' | '%' | '&' | '-' | '~' | '"' = sign
        && (matches!(sign, '\\' | '%' | '&' | '-') || next.and_then(|n| accent(sign, n)).is_none())
    {
        return (1 + sign.len_utf8(), Some(sign));
    }
    let digits = match sign {
        'u' => 4,
        'U' => 8,
        _ => 0,
    };
    if digits > 0
        && let Some(code) = rest.get(2..2 + digits).and_then(|hex| u32::from_str_radix(hex, 16).ok())
        && let Some(made) = char::from_u32(code).filter(|c| !c.is_control())
    {
        return (2 + digits, Some(made));
    }
    match next.and_then(|n| accent(sign, n).map(|made| (n, made))) {
        Some((n, made)) => (1 + sign.len_utf8() + n.len_utf8(), Some(made)),
        None => (1, Some('\\')),
    }
}

/// The letter under an accent sign, or a ligature.
fn accent(sign: char, letter: char) -> Option<char> {
    let (from, to) = TABLE.iter().find(|(mark, ..)| *mark == sign).map(|(_, from, to)| (from, to))?;
    let at = from.chars().position(|c| c == letter)?;
    to.chars().nth(at)
}

const TABLE: [(char, &str, &str); 15] = [
    ('`', "AEIOUaeiou", "ÀÈÌÒÙàèìòù"),
    ('\'', "AEIOUYaeiouy", "ÁÉÍÓÚÝáéíóúý"),
    ('^', "AEIOUaeiou", "ÂÊÎÔÛâêîôû"),
    ('~', "ANOano", "ÃÑÕãñõ"),
    ('"', "AEIOUYaeiouy", "ÄËÏÖÜŸäëïöüÿ"),
    ('c', "Cc", "Çç"),
    ('a', "Aae", "Ååæ"),
    ('A', "AaE", "ÅÅÆ"),
    ('/', "Oo", "Øø"),
    ('u', "AaEe", "ĂăĔĕ"),
    ('v', "SsZzCc", "ŠšŽžČč"),
    ('H', "OoUu", "ŐőŰű"),
    ('o', "eE", "œŒ"),
    ('O', "E", "Œ"),
    ('s', "s", "ß"),
];

fn entity(rest: &str) -> (usize, Option<char>) {
    let Some(end) = rest.char_indices().take(12).find(|(_, c)| *c == ';').map(|(at, _)| at) else {
        return (1, Some('&'));
    };
    let name = &rest[1..end];
    let made = match name.strip_prefix('#') {
        Some(code) => match code.strip_prefix(['x', 'X']) {
            Some(hex) => u32::from_str_radix(hex, 16).ok(),
            None => code.parse().ok(),
        }
        .and_then(char::from_u32)
        .filter(|c| !c.is_control()),
        None => named(name),
    };
    match made {
        Some(made) => (end + 1, Some(made)),
        None => (1, Some('&')),
    }
}

fn named(name: &str) -> Option<char> {
    Some(match name {
        "quot" => '"',
        "amp" => '&',
        "lt" => '<',
        "gt" => '>',
        "nbsp" => '\u{a0}',
        "copy" => '©',
        "szlig" => 'ß',
        "AElig" => 'Æ',
        "aelig" => 'æ',
        "OElig" => 'Œ',
        "oelig" => 'œ',
        "eth" => 'ð',
        "ETH" => 'Ð',
        "thorn" => 'þ',
        "THORN" => 'Þ',
        _ => {
            let mut chars = name.chars();
            let letter = chars.next()?;
            let sign = match chars.as_str() {
                "grave" => '`',
                "acute" => '\'',
                "circ" => '^',
                "tilde" => '~',
                "uml" => '"',
                "cedil" => 'c',
                "ring" if letter == 'A' => 'A',
                "ring" => 'a',
                "slash" => '/',
                "breve" => 'u',
                "caron" => 'v',
                _ => return None,
            };
            let letter = if chars.as_str() == "ring" { 'a' } else { letter };
            return accent(sign, letter);
        }
    })
}

/// Writes a text so that reading it gives the same text: `%`, `\`, `&` and quotes are escaped.
pub(super) fn encode(text: &str, quoted: bool) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\\' | '%' | '&' => out.extend(['\\', c]),
            '"' if quoted => out.push_str("&quot;"),
            '$' => out.push_str("$$"),
            '\n' | '\r' => out.push(' '),
            _ => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ABC 2.1 §8.2: mnemonics, entities, code points.
    #[test]
    fn accents_in_three_ways() {
        assert_eq!(
            decode(r"caf\'e M\`ere \^ile ma\~nana \cc \aa \AA \/o \ss \ae \oe"),
            "café Mère île mañana ç å Å ø ß æ œ"
        );
        assert_eq!(decode("&eacute; &Uuml; &ccedil; &aring; &Aring; &amp; &quot;"), "é Ü ç å Å & \"");
        assert_eq!(decode(r"\u00e9 \U0001D11E \ua \vs \Ho \ug"), "é 𝄞 ă š ő \\ug");
        assert_eq!(decode(r#"\"u \"q 100\% a\\b \& Tom & Bess &nope;"#), "ü \"q 100% a\\b & Tom & Bess &nope;");
        assert_eq!(decode("$1big$0 $$5"), "big $5");
    }

    #[test]
    fn what_is_written_is_read_the_same() {
        for text in ["a % b", r"back\slash", "Tom & Bess", "say \"hi\"", "é ü ß", "$3", "&amp;", r"\'e"] {
            assert_eq!(decode(&encode(text, true)), text);
        }
    }
}
