//! One piece of bad news, and the place where they collect.

use super::code::Code;
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
    /// What kind of complaint it is.
    pub code: Code,
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

/// So many errors are kept, and so many warnings: nobody reads more, and a broken file must not fill the memory.
const MOST: usize = 200;

/// Collects complaints; stages push and go on. Keeps the first `MOST` of each severity and counts the rest; the very same
/// complaint is kept once.
#[derive(Debug, Clone, Default)]
pub struct Sink {
    items: Vec<Diagnostic>,
    errors: Count,
    warnings: Count,
    /// Where a complaint goes that is not kept, so that hints can be given to it all the same.
    spare: Option<Diagnostic>,
}

#[derive(Debug, Clone, Copy, Default)]
struct Count {
    kept: usize,
    more: usize,
}

impl Sink {
    /// Takes a complaint in, unless the very same one is there.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        self.put(diagnostic);
    }
    /// Takes an error in and lends it for hints.
    pub fn error(&mut self, code: Code, place: Option<Place>, message: impl Into<String>) -> &mut Diagnostic {
        self.put(Diagnostic { code, severity: Severity::Error, place, message: message.into(), hints: Vec::new() })
    }
    /// Takes a warning in and lends it for hints.
    pub fn warn(&mut self, code: Code, place: Option<Place>, message: impl Into<String>) -> &mut Diagnostic {
        self.put(Diagnostic { code, severity: Severity::Warning, place, message: message.into(), hints: Vec::new() })
    }
    fn put(&mut self, new: Diagnostic) -> &mut Diagnostic {
        let count = self.count_mut(new.severity);
        if count.kept >= MOST {
            count.more += 1;
            return self.spare.insert(new);
        }
        let same = |old: &Diagnostic| {
            (old.code, old.severity, old.place, &old.message) == (new.code, new.severity, new.place, &new.message)
        };
        if self.items.iter().any(same) {
            return self.spare.insert(new);
        }
        let count = self.count_mut(new.severity);
        count.kept += 1;
        self.items.push(new);
        self.items.last_mut().expect("an item was just pushed")
    }
    const fn count_mut(&mut self, severity: Severity) -> &mut Count {
        match severity {
            Severity::Error => &mut self.errors,
            Severity::Warning => &mut self.warnings,
        }
    }
    /// Takes all of another sink's complaints.
    pub fn absorb(&mut self, other: Sink) {
        self.errors.more += other.errors.more;
        self.warnings.more += other.warnings.more;
        for item in other.items {
            self.put(item);
        }
    }
    /// The same complaints, each at the place that `place` gives it.
    #[must_use]
    pub fn placed(mut self, place: impl Fn(&Diagnostic) -> Option<Place>) -> Self {
        for item in &mut self.items {
            item.place = place(item);
        }
        self
    }
    /// The same complaints, each with this hint in place of its own.
    #[must_use]
    pub fn hinted(mut self, hint: &str) -> Self {
        for item in &mut self.items {
            item.hints = vec![hint.to_owned()];
        }
        self
    }
    /// Adds a hint to the complaints for which `hint` has one.
    pub fn advise(&mut self, hint: impl Fn(&Diagnostic) -> Option<String>) {
        for item in &mut self.items {
            let more = hint(item);
            item.hints.extend(more);
        }
    }
    /// The complaints that `keep` wants; what was counted and not kept stays counted.
    #[must_use]
    pub fn kept(self, keep: impl Fn(&Diagnostic) -> bool) -> Self {
        let mut kept = Self::default();
        (kept.errors.more, kept.warnings.more) = (self.errors.more, self.warnings.more);
        self.items.into_iter().filter(|item| keep(item)).for_each(|item| kept.push(item));
        kept
    }
    /// Whether any complaint is an error.
    pub const fn has_errors(&self) -> bool {
        self.errors.kept > 0 || self.errors.more > 0
    }
    /// How many complaints of a severity there are, kept or not.
    pub const fn count(&self, severity: Severity) -> usize {
        let count = match severity {
            Severity::Error => self.errors,
            Severity::Warning => self.warnings,
        };
        count.kept + count.more
    }
    /// How many complaints of a severity were counted and not kept.
    pub const fn more(&self, severity: Severity) -> usize {
        match severity {
            Severity::Error => self.errors.more,
            Severity::Warning => self.warnings.more,
        }
    }
    /// The complaints in the order they came.
    pub fn items(&self) -> &[Diagnostic] {
        &self.items
    }
    /// The complaints by severity, then place, each once.
    pub fn sorted(&self) -> Vec<&Diagnostic> {
        let mut all: Vec<&Diagnostic> = self.items.iter().collect();
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
        sink.warn(code!("table-row"), None, "a warning");
        sink.error(code!("unknown-key"), None, "an error").hints.push("mend it".into());
        sink.warn(code!("table-row"), None, "a warning");
        let codes: Vec<_> = sink.sorted().iter().map(|d| d.code).collect();
        assert_eq!(codes, ["unknown-key", "table-row"]);
        assert!(sink.has_errors());
        assert_eq!(sink.count(Severity::Warning), 1);
    }

    #[test]
    fn complaints_without_a_place_are_given_one() {
        let mut sources = crate::diag::Sources::default();
        let file = sources.add("book.yaml", "title: A\n");
        let (own, usual) = (Place::new(file, 1, 1), Place::new(file, 1, 8));
        let mut sink = Sink::default();
        sink.warn(code!("wide-word"), Some(own), "here");
        sink.warn(code!("wide-line"), None, "somewhere");
        let places = |sink: &Sink| sink.items().iter().map(|item| item.place).collect::<Vec<_>>();
        assert_eq!(places(&sink.clone().placed(|item| item.place.or(Some(usual)))), [Some(own), Some(usual)]);
        assert_eq!(places(&sink.placed(|_| Some(usual))), [Some(usual); 2]);
    }

    #[test]
    fn many_complaints_are_counted_and_errors_still_get_in() {
        let mut sink = Sink::default();
        for nth in 0..1000 {
            sink.warn(code!("wide-table"), None, format!("warning {nth}")).hints.push("none".into());
        }
        sink.error(code!("table-row"), None, "an error");
        assert_eq!((sink.items().len(), sink.more(Severity::Warning), sink.count(Severity::Warning)), (201, 800, 1000));
        assert!(sink.has_errors());
        let mut all = Sink::default();
        all.absorb(sink);
        assert_eq!(all.count(Severity::Warning), 1000);
    }
}
