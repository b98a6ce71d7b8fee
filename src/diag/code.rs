//! The name of a complaint: one of the table and no other, which the compiler sees to.

use super::codes::CODES;
use std::fmt;

/// A stable name such as `unknown-key`, made by `code!("unknown-key")` alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Code(&'static str);

impl Code {
    /// The code of this name.
    ///
    /// # Panics
    /// While the program is compiled, where the table has no such name: `code!` asks nowhere else.
    pub(crate) const fn of(name: &'static str) -> Self {
        let mut at = 0;
        while at < CODES.len() {
            if is_same(CODES[at].as_bytes(), name.as_bytes()) {
                return Self(name);
            }
            at += 1;
        }
        panic!("no complaint has this name: it is to stand in diag/codes.rs")
    }
    /// The name.
    pub const fn name(self) -> &'static str {
        self.0
    }
}

const fn is_same(one: &[u8], other: &[u8]) -> bool {
    if one.len() != other.len() {
        return false;
    }
    let mut at = 0;
    while at < one.len() {
        if one[at] != other[at] {
            return false;
        }
        at += 1;
    }
    true
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.0)
    }
}

impl PartialEq<&str> for Code {
    fn eq(&self, other: &&str) -> bool {
        self.0 == *other
    }
}

/// The code of this name; a name that is not in the table does not compile.
macro_rules! code {
    ($name:literal) => {
        const { $crate::diag::Code::of($name) }
    };
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_is_in_order_and_in_kebab_case() {
        assert!(CODES.is_sorted_by(|one, other| one < other), "each once, in order");
        let kebab = |name: &str| name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-');
        assert!(CODES.iter().all(|name| kebab(name)), "{CODES:?}");
        assert_eq!(code!("unknown-key"), "unknown-key");
    }

    #[test]
    #[should_panic(expected = "no complaint has this name")]
    fn a_name_that_the_table_has_not_is_none() {
        Code::of("unknown-kee");
    }
}
