//! A place in a line of music code that moves on, and what is wrong there. Knows no signs of music.

use super::items::Code;
use crate::reader::complaints::Complaints;

/// Reads a line's characters from its beginning.
pub(super) struct Scanner<'a, 'b> {
    pub chars: &'b [char],
    pub at: usize,
    code: &'b Code<'a>,
    complaints: &'b mut Complaints,
}

impl<'a, 'b> Scanner<'a, 'b> {
    /// At the beginning of a line.
    pub fn new(code: &'b Code<'a>, complaints: &'b mut Complaints) -> Self {
        Self { chars: &code.chars, at: 0, code, complaints }
    }
    pub fn peek(&self, ahead: usize) -> Option<char> {
        self.chars.get(self.at + ahead).copied()
    }
    pub fn fault(&mut self, from: usize, code: crate::diag::Code, message: impl Into<String>, hint: &str) {
        let place = self.code.place(from, self.at.max(from + 1) - from);
        self.complaints.fault(code, place, message, hint);
    }
    pub fn skip(&mut self, like: impl Fn(char) -> bool) -> usize {
        let from = self.at;
        while self.peek(0).is_some_and(&like) {
            self.at += 1;
        }
        self.at - from
    }
    /// Figures; `None` if there are none. Absurd ones come back as a number above any that is taken.
    pub fn figure(&mut self) -> Option<i64> {
        let mut value = None;
        while let Some(digit) = self.peek(0).and_then(|c| c.to_digit(10)) {
            self.at += 1;
            value = Some((value.unwrap_or(0i64) * 10 + i64::from(digit)).min(1_000_000_000));
        }
        value
    }
}
