//! The P: field of a header: the order in which parts are played, written out.
//!
//! Source: ABC 2.1 §3.1.9.

/// No order is written out longer than this.
const MOST_PARTS: usize = 1_000;
/// Brackets in brackets, at most.
const DEEPEST: usize = 16;

/// Reads an order such as `((AB)3.(CD)3)2` into its labels. `Err` is what is wrong.
pub(super) fn order(text: &str) -> Result<Vec<String>, &'static str> {
    let mut open: Vec<Vec<String>> = vec![Vec::new()];
    let mut last: Vec<String> = Vec::new();
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '(' if open.len() > DEEPEST => return Err("the brackets are nested too deep"),
            '(' => open.push(Vec::new()),
            ')' => {
                last = open.pop().filter(|_| !open.is_empty()).ok_or("a bracket is closed that was not opened")?;
                repeat(&mut open, &last, times(&mut chars))?;
            }
            c if c.is_ascii_alphabetic() => {
                last = vec![c.to_string()];
                repeat(&mut open, &last, times(&mut chars))?;
            }
            '.' | ' ' | ',' => {}
            _ => return Err("only letters, figures, brackets and dots stand in an order of parts"),
        }
    }
    drop(last);
    if open.len() > 1 {
        return Err("a bracket is not closed");
    }
    Ok(open.pop().unwrap_or_default())
}

fn times(chars: &mut std::iter::Peekable<std::str::Chars>) -> usize {
    let mut count = None;
    while let Some(digit) = chars.peek().and_then(|c| c.to_digit(10)) {
        chars.next();
        count = Some((count.unwrap_or(0usize) * 10 + digit as usize).min(MOST_PARTS + 1));
    }
    count.unwrap_or(1)
}

fn repeat(open: &mut [Vec<String>], what: &[String], times: usize) -> Result<(), &'static str> {
    let into = open.last_mut().ok_or("a bracket is closed that was not opened")?;
    if what.len().saturating_mul(times) + into.len() > MOST_PARTS {
        return Err("the order of parts is too long written out");
    }
    for _ in 0..times {
        into.extend_from_slice(what);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ABC 2.1 §3.1.9.
    #[test]
    fn orders_are_written_out() {
        let read = |text: &str| order(text).map(|labels| labels.concat());
        assert_eq!(read("ABACA"), Ok("ABACA".to_owned()));
        assert_eq!(read("A2B2"), Ok("AABB".to_owned()));
        assert_eq!(read("((AB)3.(CD)3)2"), Ok("ABABABCDCDCDABABABCDCDCD".to_owned()));
        assert!(read("(AB").is_err());
        assert!(read("AB)").is_err());
        assert!(read("A999999999").is_err());
        assert!(read(&"(".repeat(100)).is_err());
        assert!(read("((((((((((A99)99)99)99)99)99)99)99)99)99)").is_err());
        assert!(read("A-B").is_err());
    }
}
