//! Complaints about one tune: bounded in number, and some kinds said only once.

use std::collections::BTreeSet;

use crate::diag::{Code, Place, Severity, Sink};

/// The most complaints about one tune; further ones are counted, not shown.
const MOST_COMPLAINTS: usize = 100;

/// Adds all complaints of one sink to another, without looking for equal ones (they are about different tunes).
pub(super) fn pour(from: &Sink, into: &mut Sink) {
    for complaint in from.items() {
        let (code, place) = (complaint.code, complaint.place);
        let copy = match complaint.severity {
            Severity::Error => into.error(code, place, complaint.message.as_str()),
            Severity::Warning => into.warn(code, place, complaint.message.as_str()),
        };
        copy.hints.clone_from(&complaint.hints);
    }
}

/// Where a tune's complaints collect while it is read.
#[derive(Debug)]
pub(super) struct Complaints {
    pub sink: Sink,
    fault: Severity,
    said: BTreeSet<String>,
    count: usize,
    /// Whether the music is read from a score, which has no letters of ABC to mend.
    pub in_score: bool,
}

impl Complaints {
    /// `strict`: faults in the music are errors, else warnings.
    pub fn new(strict: bool) -> Self {
        let fault = if strict { Severity::Error } else { Severity::Warning };
        Self { sink: Sink::default(), fault, said: BTreeSet::new(), count: 0, in_score: false }
    }
    /// Something in the music that could not be read as it stands.
    pub fn fault(&mut self, code: Code, place: Place, message: impl Into<String>, hint: &str) {
        self.say(self.fault, code, place, message.into(), hint);
    }
    /// Something that was asked for and is not there: an error, however faults are taken.
    pub fn unmet(&mut self, code: Code, place: Place, message: impl Into<String>, hint: &str) {
        self.say(Severity::Error, code, place, message.into(), hint);
    }
    /// Something that is left out or guessed.
    pub fn warn(&mut self, code: Code, place: Place, message: impl Into<String>, hint: &str) {
        self.say(Severity::Warning, code, place, message.into(), hint);
    }
    /// A warning that is given once for each different `subject`.
    pub fn warn_once(&mut self, subject: &str, code: Code, place: Place, message: impl Into<String>, hint: &str) {
        if self.said.len() < 1000 && self.said.insert(format!("{code} {subject}")) {
            self.warn(code, place, message, hint);
        }
    }
    /// A fault that is told at its first place only: what it is about goes on until it is mended.
    pub fn fault_once(&mut self, code: Code, place: Place, message: impl Into<String>, hint: &str) {
        if self.said.insert(code.name().to_owned()) {
            self.fault(code, place, message, hint);
        }
    }
    fn say(&mut self, severity: Severity, code: Code, place: Place, message: String, hint: &str) {
        self.count += 1;
        if self.count > MOST_COMPLAINTS {
            if self.count == MOST_COMPLAINTS + 1 {
                self.sink
                    .warn(
                        code!("more-complaints"),
                        Some(place),
                        "there are more complaints about this tune than are shown",
                    )
                    .hints
                    .push("mend the first ones and look again".into());
            }
            return;
        }
        let added = match severity {
            Severity::Error => self.sink.error(code, Some(place), message),
            Severity::Warning => self.sink.warn(code, Some(place), message),
        };
        if !hint.is_empty() {
            added.hints.push(hint.to_owned());
        }
    }
}
