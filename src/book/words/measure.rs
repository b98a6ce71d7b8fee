//! Lengths, seconds and per cent as an author writes them.

use super::Word;
use crate::geom::Abs;
use crate::tune::Fraction;
use schemars::{Schema, json_schema};

/// A length with its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span(pub Abs);

/// No length of a book is longer: ten metres, in points.
const LONGEST: f64 = 28_346.0;

/// Splits `3.5mm` into the figure and the unit.
fn parts(text: &str) -> Option<(&str, &str)> {
    let split = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
    let (figure, unit) = text.split_at(split);
    let plain = figure.bytes().any(|b| b.is_ascii_digit()) && figure.matches('.').count() <= 1;
    plain.then_some((figure, unit.trim_start()))
}

impl Word for Span {
    const NAME: &'static str = "length";
    const WHAT: &'static str = "a length with its unit, such as `3mm`, `11pt`, `1.2cm` or `0.5in`";
    fn read(text: &str) -> Result<Self, String> {
        if text.starts_with('-') {
            return Err(format!("`{text}` is a negative length"));
        }
        let (figure, unit) = parts(text).ok_or_else(|| format!("`{text}` is not a length"))?;
        let value: f64 = figure.parse().map_err(|_| format!("`{text}` is not a length"))?;
        let length = match unit {
            "mm" => Abs::mm(value),
            "cm" => Abs::mm(value * 10.0),
            "pt" => Abs::pt(value),
            "in" => Abs::inches(value),
            "" => return Err(format!("`{text}` has no unit")),
            unit if unit.starts_with(',') => {
                return Err(format!("`{text}` has a comma: write it with a point, `{}`", text.replace(',', ".")));
            }
            unit => return Err(format!("`{unit}` is no unit of length that is known here")),
        };
        if length.to_pt() > LONGEST {
            return Err(format!("`{text}` is longer than ten metres"));
        }
        Ok(Self(length))
    }
    fn schema() -> Schema {
        json_schema!({ "type": "string", "format": Self::NAME, "pattern": r"^\d*\.?\d+ *(mm|cm|pt|in)$", "description": Self::WHAT })
    }
}

/// How wide a spine is, and whether words stand on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SpineWish {
    /// As wide as paper, cover and glue make it; with words where they have room.
    Auto,
    /// As wide as that, and without words.
    Blank,
    /// As wide as the printer says; with words where they have room.
    Wide(Abs),
}

impl Word for SpineWish {
    const NAME: &'static str = "spine";
    const WHAT: &'static str = "`auto`, `blank`, or the printer's own width for the spine, such as `9.5mm`";
    fn read(text: &str) -> Result<Self, String> {
        match text {
            "auto" => Ok(Self::Auto),
            "blank" => Ok(Self::Blank),
            width => Span::read(width).map(|width| Self::Wide(width.0)),
        }
    }
    fn schema() -> Schema {
        json_schema!({ "anyOf": [
            { "const": "auto", "description": "reckoned from the paper, with title and author where there is room" },
            { "const": "blank", "description": "reckoned from the paper, without words" },
            Span::schema(),
        ] })
    }
}

/// Seconds, exactly as written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Seconds(pub Fraction);

impl Word for Seconds {
    const NAME: &'static str = "seconds";
    const WHAT: &'static str = "a time in seconds, such as `0.30s`";
    fn read(text: &str) -> Result<Self, String> {
        let figure = text.strip_suffix('s').ok_or_else(|| format!("`{text}` has no unit"))?.trim_end();
        let wrong = || format!("`{text}` is not a time in seconds");
        let (whole, part) = figure.split_once('.').unwrap_or((figure, ""));
        let digits = |text: &str| text.bytes().all(|b| b.is_ascii_digit()) && text.len() <= 6;
        if !digits(whole) || !digits(part) || figure.is_empty() || figure == "." {
            return Err(wrong());
        }
        let scale = 10i64.pow(u32::try_from(part.len()).unwrap_or(0));
        let number: i64 = format!("{whole}{part}").parse().map_err(|_| wrong())?;
        Ok(Self(Fraction::new(number, scale)))
    }
    fn schema() -> Schema {
        json_schema!({ "type": "string", "format": Self::NAME, "pattern": r"^\d*\.?\d+ *s$", "description": Self::WHAT })
    }
}

/// A step of practice, in per cent of the tempo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Percent(pub u32);

impl Word for Percent {
    const NAME: &'static str = "percent";
    const WHAT: &'static str = "a part of the tempo from `10%` to `200%`, such as `80%`";
    fn read(text: &str) -> Result<Self, String> {
        let figure = text.strip_suffix('%').ok_or_else(|| format!("`{text}` has no per cent sign"))?;
        let value: u32 = figure.trim_end().parse().map_err(|_| format!("`{text}` is not a part in per cent"))?;
        if (10..=200).contains(&value) { Ok(Self(value)) } else { Err(format!("`{text}` is no tempo to practise at")) }
    }
    fn schema() -> Schema {
        json_schema!({ "type": "string", "format": Self::NAME, "pattern": r"^\d+ *%$", "description": Self::WHAT })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_need_a_unit() {
        assert!(Span::read("0.5in").is_ok_and(|s| s.0.is_near(Abs::pt(36.0))));
        assert!(Span::read("1.2 cm").is_ok_and(|s| s.0.is_near(Abs::mm(12.0))));
        assert_eq!(Span::read("11"), Err("`11` has no unit".into()));
        assert_eq!(Span::read("-3mm"), Err("`-3mm` is a negative length".into()));
        assert_eq!(Span::read("7,5mm"), Err("`7,5mm` has a comma: write it with a point, `7.5mm`".into()));
        assert_eq!(Span::read("3px"), Err("`px` is no unit of length that is known here".into()));
        for text in ["", "mm", ".mm", "1.2.3mm", "1e9mm", "99999999mm"] {
            assert!(Span::read(text).is_err(), "{text}");
        }
    }

    #[test]
    fn seconds_are_exact() {
        assert_eq!(Seconds::read("0.30s"), Ok(Seconds(Fraction::new(3, 10))));
        assert_eq!(Seconds::read("1s"), Ok(Seconds(Fraction::ONE)));
        for text in ["0.30", "s", ".s", "-1s", "1,5s"] {
            assert!(Seconds::read(text).is_err(), "{text}");
        }
    }
}
