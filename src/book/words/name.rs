//! Names, dates, numbers of books, paths and links as an author writes them.

use super::{Choice, Word};
use crate::style::Family;
use schemars::{Schema, json_schema};

/// A short name: small letters, digits, hyphens.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Slug(pub String);

impl Word for Slug {
    const NAME: &'static str = "short-name";
    const WHAT: &'static str = "a short name of small letters, digits and hyphens, such as `tin-lantern`";
    fn read(text: &str) -> Result<Self, String> {
        let good = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        if text.is_empty() || text.len() > 80 {
            return Err("a short name has 1 to 80 letters".into());
        }
        match text.chars().find(|c| !good(*c)) {
            Some(' ') => Err(format!("`{text}` has a space in it")),
            Some(c) => Err(format!("`{text}` has `{c}` in it")),
            None => Ok(Self(text.to_owned())),
        }
    }
    fn schema() -> Schema {
        json_schema!({ "type": "string", "format": Self::NAME, "pattern": "^[a-z0-9-]{1,80}$", "description": Self::WHAT })
    }
}

/// What a part or a voice is called in a file of music: a name or a number, as it stands there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Called(pub String);

impl Word for Called {
    const NAME: &'static str = "name-in-file";
    const WHAT: &'static str = "a name or number as it stands in the file of music, such as `P1` or `2`";
    fn read(text: &str) -> Result<Self, String> {
        let text = text.trim();
        if text.is_empty() { Err("a name can't be empty".into()) } else { Ok(Self(text.to_owned())) }
    }
}

/// A day as `YYYY-MM-DD` (ISO 8601).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Date(pub String);

impl Word for Date {
    const NAME: &'static str = "day";
    const WHAT: &'static str = "a date as year, month, day, such as `2026-09-01`";
    fn read(text: &str) -> Result<Self, String> {
        let wrong = || format!("`{text}` is not a date");
        let fields: Vec<&str> = text.split('-').collect();
        let [year, month, day] = fields[..] else { return Err(wrong()) };
        if [year.len(), month.len(), day.len()] != [4, 2, 2] || !text.bytes().all(|b| b.is_ascii_digit() || b == b'-') {
            return Err(wrong());
        }
        let (year, month, day): (u32, u32, u32) = match (year.parse(), month.parse(), day.parse()) {
            (Ok(year), Ok(month), Ok(day)) => (year, month, day),
            _ => return Err(wrong()),
        };
        if year == 0 {
            return Err(format!("`{text}` has no such year"));
        }
        let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
        let days = match month {
            2 if leap => 29,
            2 => 28,
            4 | 6 | 9 | 11 => 30,
            1..=12 => 31,
            _ => return Err(format!("`{text}` has no such month")),
        };
        if (1..=days).contains(&day) { Ok(Self(text.to_owned())) } else { Err(format!("`{text}` has no such day")) }
    }
    fn schema() -> Schema {
        json_schema!({ "type": "string", "format": Self::NAME, "pattern": r"^\d{4}-\d{2}-\d{2}$", "description": Self::WHAT })
    }
}

/// An ISBN of thirteen digits, kept as written. Check digit as in ISO 2108.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Isbn(pub String);

impl Word for Isbn {
    const NAME: &'static str = "isbn-13";
    const WHAT: &'static str = "an ISBN of thirteen digits with or without hyphens, or `none`";
    fn read(text: &str) -> Result<Self, String> {
        if let Some(c) = text.chars().find(|c| !c.is_ascii_digit() && !matches!(c, '-' | ' ')) {
            return Err(format!("`{c}` does not belong in an ISBN"));
        }
        let digits: Vec<u32> = text.chars().filter_map(|c| c.to_digit(10)).collect();
        if digits.len() != 13 {
            return Err(format!("this ISBN has {} digits, not 13", digits.len()));
        }
        let weighted = |nth: usize, digit: u32| if nth.is_multiple_of(2) { digit } else { 3 * digit };
        let sum: u32 = digits[..12].iter().enumerate().map(|(nth, digit)| weighted(nth, *digit)).sum();
        let check = (10 - sum % 10) % 10;
        if !(text.starts_with("978") || text.starts_with("979")) {
            return Err("an ISBN starts with 978 or 979".into());
        }
        if check == digits[12] {
            Ok(Self(text.to_owned()))
        } else {
            Err(format!("the last digit of this ISBN should be {check}"))
        }
    }
    fn schema() -> Schema {
        json_schema!({ "type": ["string", "integer"], "format": Self::NAME, "description": Self::WHAT })
    }
}

/// A path inside the book's folder (or its shelf), with `/` between the parts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RelativePath(pub String);

impl Word for RelativePath {
    const NAME: &'static str = "relative-path";
    const WHAT: &'static str = "the path of a file from the folder of this one, with `/` between folders";
    fn read(text: &str) -> Result<Self, String> {
        let drive = text.len() > 1 && text.as_bytes()[1] == b':' && text.as_bytes()[0].is_ascii_alphabetic();
        if text.is_empty() || text.contains('\0') {
            return Err("a path can't be empty".into());
        }
        if text.starts_with('/') || text.starts_with('~') || drive {
            return Err(format!("`{text}` is an absolute path: it works on one computer only"));
        }
        if text.contains('\\') {
            return Err(format!("`{text}` has backslashes"));
        }
        if text.contains("://") {
            return Err(format!("`{text}` is a web address: nothing is read from the network"));
        }
        Ok(Self(text.to_owned()))
    }
    fn schema() -> Schema {
        json_schema!({ "type": "string", "format": Self::NAME, "pattern": r"^[^/~\\][^\\]*$", "description": Self::WHAT })
    }
}

/// A web address.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link(pub String);

impl Word for Link {
    const NAME: &'static str = "web-address";
    const WHAT: &'static str = "a web address, such as `https://example.org/tin-lantern`";
    fn read(text: &str) -> Result<Self, String> {
        let rest = text.strip_prefix("https://").or(text.strip_prefix("http://"));
        let rest = rest.ok_or_else(|| format!("`{text}` does not start with `https://`"))?;
        if rest.is_empty() || text.chars().any(|c| c.is_whitespace() || c.is_control()) {
            return Err(format!("`{text}` is not a web address"));
        }
        // Version 40 holds more, but a code of more modules than this is no longer scanned from a page.
        if text.len() > 300 {
            Err("this web address is too long to be printed as a code".into())
        } else {
            Ok(Self(text.to_owned()))
        }
    }
    fn schema() -> Schema {
        json_schema!({ "type": "string", "format": Self::NAME, "pattern": "^https?://", "description": Self::WHAT })
    }
}

/// Markdown or music: a `|` block, or the name of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Prose(pub String);

impl Word for Prose {
    const NAME: &'static str = "prose";
    const WHAT: &'static str = "a `|` block of text, or the path of a file";
    fn read(text: &str) -> Result<Self, String> {
        Ok(Self(text.to_owned()))
    }
    fn schema() -> Schema {
        json_schema!({ "type": "string", "format": Self::NAME, "description": Self::WHAT })
    }
}

impl Prose {
    /// Whether a text is the name of a file with one of these endings, and no prose.
    pub fn is_file(text: &str, endings: &[&str]) -> bool {
        let text = text.trim_end();
        !text.contains('\n') && endings.iter().any(|ending| text.to_ascii_lowercase().ends_with(ending))
    }
}

/// The name of a spot colour.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpotName(pub String);

/// Names that stand for something else than an ink of their own (ISO 32000-1, 8.6.6.4 and 8.6.6.5): every plate, and the inks
/// by process. `none`, which stands for no plate, means here what the author means by it, in any case.
const RESERVED: [&str; 10] = ["all", "cyan", "magenta", "yellow", "black", "red", "green", "blue", "gray", "grey"];

impl Word for SpotName {
    const NAME: &'static str = "spot-colour";
    const WHAT: &'static str = "the printer's name of a spot colour, or `none`";
    fn read(text: &str) -> Result<Self, String> {
        let plain = text.trim().to_ascii_lowercase();
        if let Some(known) = RESERVED.iter().find(|known| **known == plain) {
            return Err(format!(
                "`{text}` is no second ink: {}",
                match *known {
                    "all" => "in a PDF it means every plate",
                    _ => "every press calls one of its own inks so",
                }
            ));
        }
        // PDF limits names to 127 bytes (ISO 32000-1, annex C); a short name leaves room for escapes.
        if text.is_empty() || text.len() > 40 || text.chars().any(char::is_control) {
            Err("a colour's name has 1 to 40 letters".into())
        } else {
            Ok(Self(text.to_owned()))
        }
    }
    fn schema() -> Schema {
        let any_case =
            |word: &&str| word.chars().map(|letter| format!("[{}{letter}]", letter.to_ascii_uppercase())).collect();
        let reserved: Vec<String> = RESERVED.iter().map(any_case).collect();
        let pattern = format!(r"^(?!\s*({})\s*$)", reserved.join("|"));
        json_schema!({
            "type": "string",
            "format": Self::NAME,
            "pattern": pattern,
            "minLength": 1,
            "maxLength": 40,
            "description": Self::WHAT
        })
    }
}

/// A family of faces, or a folder of fonts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Face {
    /// One of the families that come with the program.
    Known(Family),
    /// A folder of the author's.
    Folder(String),
}

impl Word for Face {
    const NAME: &'static str = "family-or-folder";
    const WHAT: &'static str = "`serif`, `sans`, `legible`, or the path of a folder of fonts that ends with `/`";
    fn read(text: &str) -> Result<Self, String> {
        match Family::read(text) {
            Ok(family) => Ok(Self::Known(family)),
            Err(_) if text.ends_with('/') => RelativePath::read(text).map(|path| Self::Folder(path.0)),
            Err(error) => Err(match crate::diag::nearest(text, Family::ALL.iter().map(|(word, ..)| *word)) {
                Some(near) => format!("{error}; did you mean `{near}`?"),
                None => error,
            }),
        }
    }
    fn schema() -> Schema {
        json_schema!({ "anyOf": [<Family as Word>::schema(), { "type": "string", "format": Self::NAME, "pattern": "/$", "description": Self::WHAT }] })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_days_of_the_calendar() {
        assert!(Date::read("2028-02-29").is_ok());
        assert!(Date::read("2100-02-29").is_err());
        assert!(Date::read("2026-13-01").is_err());
        assert!(Date::read("1-9-2026").is_err());
    }

    /// Printed ISBNs, quoted in reference works on the number (978-3-16-148410-0 and 978-0-306-40615-7).
    #[test]
    fn an_isbn_has_a_check_digit() {
        assert!(Isbn::read("978-3-16-148410-0").is_ok());
        assert_eq!(Isbn::read("978-0-306-40615-8"), Err("the last digit of this ISBN should be 7".into()));
        assert_eq!(Isbn::read("0-306-40615-2"), Err("this ISBN has 10 digits, not 13".into()));
    }

    #[test]
    fn paths_stay_inside() {
        for text in ["/etc/hosts", "~/tunes/a.yaml", "C:/a.yaml", "a\\b.yaml", "https://example.org/a.yaml", ""] {
            assert!(RelativePath::read(text).is_err(), "{text}");
        }
        assert!(RelativePath::read("tunes/a.yaml").is_ok());
    }
}
