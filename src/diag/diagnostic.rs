//! One piece of bad news, and the place where they collect.

use super::source::Place;

/// How bad the news is. Errors first when sorted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// The book cannot be bound.
    Error,
    /// The book can be bound, but the author should know.
    Warning,
}

/// One complaint: stands alone without its hints.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Diagnostic {
    /// A stable name such as `unknown-key`, kebab case.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// Where, if it is about a place in a file.
    pub place: Option<Place>,
    /// What is wrong, in the author's words.
    pub message: String,
    /// What to do about it, one sentence each.
    pub hints: Vec<String>,
}

impl Diagnostic {
    /// The same complaint with one more hint.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hints.push(hint.into());
        self
    }
}

/// Collects complaints; stages push and go on.
#[derive(Debug, Clone, Default)]
pub struct Sink {
    items: Vec<Diagnostic>,
}

impl Sink {
    /// Takes a complaint in, unless the very same one is there.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        if !self.items.contains(&diagnostic) {
            self.items.push(diagnostic);
        }
    }
    /// Takes an error in and lends it for hints.
    pub fn error(&mut self, code: &'static str, place: Option<Place>, message: impl Into<String>) -> &mut Diagnostic {
        self.add(code, Severity::Error, place, message.into())
    }
    /// Takes a warning in and lends it for hints.
    pub fn warn(&mut self, code: &'static str, place: Option<Place>, message: impl Into<String>) -> &mut Diagnostic {
        self.add(code, Severity::Warning, place, message.into())
    }
    fn add(
        &mut self,
        code: &'static str,
        severity: Severity,
        place: Option<Place>,
        message: String,
    ) -> &mut Diagnostic {
        self.items.push(Diagnostic { code, severity, place, message, hints: Vec::new() });
        self.items.last_mut().expect("an item was just pushed")
    }
    /// Takes all of another sink's complaints.
    pub fn absorb(&mut self, other: Sink) {
        for item in other.items {
            self.push(item);
        }
    }
    /// Whether any complaint is an error.
    pub fn has_errors(&self) -> bool {
        self.items.iter().any(|item| item.severity == Severity::Error)
    }
    /// The complaints in the order they came.
    pub fn items(&self) -> &[Diagnostic] {
        &self.items
    }
    /// The complaints by severity, then place, each once.
    pub fn sorted(&self) -> Vec<&Diagnostic> {
        let mut all: Vec<&Diagnostic> = Vec::new();
        for item in &self.items {
            if !all.contains(&item) {
                all.push(item);
            }
        }
        all.sort_by_key(|item| (item.severity, item.place));
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn errors_come_first_and_each_once() {
        let mut sink = Sink::default();
        sink.warn("late", None, "a warning");
        sink.error("early", None, "an error").hints.push("mend it".into());
        sink.warn("late", None, "a warning");
        let codes: Vec<_> = sink.sorted().iter().map(|d| d.code).collect();
        assert_eq!(codes, ["early", "late"]);
        assert!(sink.has_errors());
    }
}
