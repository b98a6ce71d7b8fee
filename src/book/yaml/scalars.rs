//! One value that is no list and no map against the shape that is wanted: takes what the author wrote, gives what is wrong with it
//! and what to write instead.

use super::node::Scalar;
use super::shape::Shape;
use crate::book::words;
use crate::diag::{Code, nearest};

/// No title, name or statement has more characters than this: each is set in one piece, on one page.
pub(super) const MOST_CHARACTERS: usize = 1_000;

/// Words that players and printers say for words of the format (common practice, no source): what is written, what is meant.
const SAID: [(&str, &str); 10] = [
    ("in", "open"),
    ("out", "close"),
    ("draw", "pull"),
    ("press", "push"),
    ("inside", "inner"),
    ("outside", "outer"),
    ("stapled", "saddle"),
    ("glued", "perfect"),
    ("upright", "portrait"),
    ("justify", "justified"),
];

/// The word among the known ones that a player's or printer's word stands for.
pub(super) fn meant<'a>(text: &str, known: &'a [String]) -> Option<&'a str> {
    let (_, meant) = SAID.iter().find(|(said, _)| said.eq_ignore_ascii_case(text.trim()))?;
    known.iter().map(String::as_str).find(|word| word == meant)
}

/// What is wrong with a scalar under the key that `name` says: code, message, hint.
pub(super) fn complaint(scalar: &Scalar, shape: &Shape, name: &str) -> Option<(Code, String, String)> {
    let text = scalar.text.as_str();
    let switch = || {
        let hint = "to switch something off write `none`; if it is a text, put it in quotes".to_owned();
        (code!("bare-switch"), format!("`{text}` is YAML's yes or no, which {name} does not take"), hint)
    };
    match shape {
        Shape::Text if scalar.is_number() => {
            let hint = format!("put it in quotes: `\"{text}\"`");
            Some((code!("number-for-text"), format!("{name} is a text, but YAML reads `{text}` as a number"), hint))
        }
        Shape::Text if scalar.is_switch() && text.len() > 1 => Some(switch()),
        Shape::Text if text.chars().nth(MOST_CHARACTERS).is_some() => too_long(text, name),
        Shape::Text => None,
        Shape::Choice(words) if words.iter().any(|word| word == text) => None,
        Shape::Choice(words) if scalar.is_switch() && words.iter().all(|word| word != "none") => {
            let known = words.iter().map(|word| format!("`{word}`")).collect::<Vec<_>>().join(", ");
            let (code, message, _) = switch();
            Some((code, message, format!("known here: {known}")))
        }
        Shape::Choice(_) if scalar.is_switch() => Some(switch()),
        Shape::Choice(words) => {
            let near = meant(text, words).or_else(|| nearest(text, words.iter().map(String::as_str)));
            let hint = match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => {
                    format!("known here: {}", words.iter().map(|w| format!("`{w}`")).collect::<Vec<_>>().join(", "))
                }
            };
            Some((code!("unknown-word"), format!("`{text}` is not known here ({name})"), hint))
        }
        Shape::Word(format) => {
            let (message, what) = words::wrong(format, text)?;
            if scalar.is_switch() {
                return Some(switch());
            }
            Some((code!("wrong-value"), format!("{message} ({name})"), format!("write {what}")))
        }
        Shape::Number { whole, least, most } => number(scalar, *whole, *least, *most, name),
        // Values of another kind have been told before.
        Shape::List { .. } | Shape::Map { .. } | Shape::Named(_) | Shape::Any(_) | Shape::Ref(_) => None,
    }
}

pub(super) fn too_long(text: &str, name: &str) -> Option<(Code, String, String)> {
    let count = text.chars().count();
    let message = format!("{name} has {count} characters, more than {MOST_CHARACTERS}");
    Some((code!("too-long"), message, "say it in fewer words; running text belongs in Markdown".to_owned()))
}

fn number(
    scalar: &Scalar,
    whole: bool,
    least: Option<f64>,
    most: Option<f64>,
    name: &str,
) -> Option<(Code, String, String)> {
    let text = scalar.text.as_str();
    let kind = if whole { "a whole number" } else { "a number" };
    let range = match (least, most) {
        (Some(least), Some(most)) => format!("{kind} from {least} to {most}"),
        (Some(least), None) => format!("{kind} from {least} up"),
        _ => kind.to_owned(),
    };
    let wrong = |message: String| Some((code!("wrong-value"), message, format!("write {range}")));
    let value = if whole { text.parse::<i64>().ok().map(|n| n as f64) } else { text.parse::<f64>().ok() };
    match value.filter(|value| value.is_finite()) {
        _ if !scalar.is_number() => wrong(format!("`{text}` is not {kind} ({name})")),
        None => wrong(format!("`{text}` is not {kind} ({name})")),
        Some(value) if least.is_some() && least == most && least != Some(value) => {
            let (only, key) = (least.unwrap_or_default(), name.trim_matches('`'));
            let message = format!("`{text}` is another version than this program reads ({name})");
            Some((code!("wrong-value"), message, format!("write `{key}: {only}`, the version that these files have")))
        }
        Some(value) if least.is_some_and(|least| value < least) || most.is_some_and(|most| value > most) => {
            wrong(format!("`{text}` is out of range ({name})"))
        }
        Some(_) => None,
    }
}
