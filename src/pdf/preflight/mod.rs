//! A finished file of any origin against the numbered statements for the press, point by point, in plain words.
//!
//! Takes bytes; gives a [`Report`]. A damaged, encrypted or foreign file gives a report that says so; nothing panics, and
//! work is bounded. The statements are our own wording of what ISO 15930-4 (PDF/X-1a:2003), ISO 15930-7 (PDF/X-4) and ISO
//! 19005-2 (PDF/A-2b) ask, as far as public sources quote them: the ISO texts themselves were not read. Points of common
//! practice begin with `P`.

mod a2b;
mod colours;
mod content;
mod dates;
mod drawn;
mod faces;
mod forms;
mod graphics;
mod layers;
mod oddities;
mod packet;
mod paths;
mod pictures;
mod practice;
mod resources;
mod settle;
mod strings;
mod survey;
#[cfg(test)]
mod tests;
mod text;
mod unpack;
mod walk;
mod x1a;
mod x4;

pub(super) use survey::Survey;

use std::fmt;

/// What a file may claim to be.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Standard {
    /// PDF/X-1a:2003.
    X1a,
    /// PDF/X-4.
    X4,
    /// PDF/A-2b.
    A2b,
    /// Common practice of print shops, for any file.
    Practice,
}

/// How a point came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Outcome {
    /// As it should be.
    Pass,
    /// Not as it should be.
    Fail,
    /// Worth knowing, no fault.
    Warning,
    /// There is nothing in the file that the point speaks of.
    NotApplicable,
    /// The file is too large or too damaged at that place to tell.
    CannotTell,
}

/// One point.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Check {
    /// Whose point it is.
    pub standard: Standard,
    /// Its number, such as `X1a-07`.
    pub id: &'static str,
    /// What is asked, in plain words.
    pub statement: &'static str,
    /// How it came out.
    pub outcome: Outcome,
    /// What was found; empty where there is nothing to add.
    pub found: String,
}

/// What preflight found.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Report {
    /// Why the file cannot be looked at; then there are no checks.
    pub unreadable: Option<String>,
    /// What the file says it is.
    pub claims: Vec<Standard>,
    /// Facts: pages, sizes, inks, fonts.
    pub facts: Vec<(String, String)>,
    /// The points, in order.
    pub checks: Vec<Check>,
}

impl Report {
    /// Whether the file could be read whole and failed no point of what it claims to be, nor of common practice. A file that
    /// claims nothing is held against PDF/X-1a:2003, which any print shop takes. What cannot be told is no pass.
    pub fn passes(&self) -> bool {
        self.unreadable.is_none() && self.asked().all(|check| check.outcome != Outcome::Fail) && self.untold().is_none()
    }
    /// The points that decide whether the file passes.
    pub fn asked(&self) -> impl Iterator<Item = &Check> {
        self.checks.iter().filter(|check| self.asks(check.standard))
    }
    /// The first point of those that cannot be told, for there is more in the file than is looked at, or it cannot be read.
    pub fn untold(&self) -> Option<&Check> {
        self.asked().find(|check| check.outcome == Outcome::CannotTell)
    }
    /// Whether a standard decides if the file passes.
    pub fn asks(&self, standard: Standard) -> bool {
        standard == Standard::Practice
            || self.claims.contains(&standard)
            || (self.claims.is_empty() && standard == Standard::X1a)
    }
    /// The standards worth showing: those that the file claims, else all; common practice always.
    pub fn shown(&self) -> Vec<Standard> {
        let all = [Standard::X1a, Standard::X4, Standard::A2b];
        let is_claimed = |standard: &Standard| self.claims.is_empty() || self.claims.contains(standard);
        all.into_iter().filter(is_claimed).chain([Standard::Practice]).collect()
    }
    /// The points of one standard.
    pub fn of(&self, standard: Standard) -> impl Iterator<Item = &Check> {
        self.checks.iter().filter(move |check| check.standard == standard)
    }
}

impl Standard {
    /// The points of a standard that are not looked at, in words for the end of its list; nothing where there are none.
    pub const fn unseen(self) -> &'static str {
        match self {
            Self::A2b => {
                "not looked at: 6.1.6, 6.1.8, 6.1.9, 6.2.4.4, 6.6.2.3, and of 6.2.11 whether widths agree and every glyph is there; an outside validator tells"
            }
            Self::X1a | Self::X4 | Self::Practice => "",
        }
    }
}

impl fmt::Display for Standard {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::X1a => "PDF/X-1a:2003",
            Self::X4 => "PDF/X-4",
            Self::A2b => "PDF/A-2b",
            Self::Practice => "common practice",
        })
    }
}

impl fmt::Display for Outcome {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Pass => "pass",
            Self::Fail => "FAIL",
            Self::Warning => "warning",
            Self::NotApplicable => "not applicable",
            Self::CannotTell => "cannot tell",
        })
    }
}

impl fmt::Display for Check {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}: {}", self.id, self.outcome, self.statement)?;
        if self.found.is_empty() { Ok(()) } else { write!(f, " ({})", self.found) }
    }
}

/// Looks at a file and holds it against all standards; what it claims to be decides whether it passes.
pub fn preflight(bytes: &[u8]) -> Report {
    let survey = match Survey::of(bytes) {
        Ok(survey) => survey,
        Err(reason) => return Report { unreadable: Some(reason), ..Report::default() },
    };
    let mut checks = x1a::checks(&survey);
    checks.extend(x4::checks(&survey));
    checks.extend(a2b::checks(&survey));
    checks.extend(practice::checks(&survey));
    Report { unreadable: None, facts: survey.facts(), claims: survey.claims(), checks }
}

/// What a rule finds.
pub(super) enum Verdict {
    Pass(String),
    Fail(String),
    Warning(String),
    Absent,
    CannotTell(String),
}

impl Verdict {
    /// Fails with the faults, passes without any.
    pub(super) fn of(faults: Vec<String>) -> Self {
        match faults.len() {
            0 => Self::Pass(String::new()),
            1..=5 => Self::Fail(faults.join("; ")),
            more => Self::Fail(format!("{}; and {} more", faults[..5].join("; "), more - 5)),
        }
    }
    /// Passes or fails with one fault.
    pub(super) fn unless(fault: Option<String>) -> Self {
        fault.map_or(Self::Pass(String::new()), Self::Fail)
    }
    /// As it is, but "cannot tell" where a pass rests on content that could not be read.
    pub(super) fn read(self, survey: &Survey) -> Self {
        match self {
            Self::Pass(_) if !survey.unread.is_empty() => Self::CannotTell(survey.unread[0].clone()),
            other => other,
        }
    }
    /// As it is, but "cannot tell" where a pass rests on values that were not searched to their end.
    pub(super) fn searched(self, survey: &Survey) -> Self {
        match self {
            Self::Pass(_) if survey.oddities.contains(oddities::TOO_DEEP) => {
                Self::CannotTell(oddities::TOO_DEEP.to_owned())
            }
            other => other,
        }
    }
    /// As it is, but "cannot tell" where a pass, or that nothing is there, rests on pages that are not all known.
    pub(super) fn listed(self, survey: &Survey) -> Self {
        match (self, &survey.unlisted) {
            (Self::Pass(_) | Self::Absent, Some(why)) => Self::CannotTell(why.clone()),
            (other, _) => other,
        }
    }
}

/// Makes the checks of one standard.
pub(super) struct Book {
    standard: Standard,
    checks: Vec<Check>,
}

impl Book {
    /// An empty book of checks.
    pub(super) const fn new(standard: Standard) -> Self {
        Self { standard, checks: Vec::new() }
    }
    /// Adds a point.
    pub(super) fn point(&mut self, id: &'static str, statement: &'static str, verdict: Verdict) {
        let (outcome, found) = match verdict {
            Verdict::Pass(found) => (Outcome::Pass, found),
            Verdict::Fail(found) => (Outcome::Fail, found),
            Verdict::Warning(found) => (Outcome::Warning, found),
            Verdict::Absent => (Outcome::NotApplicable, String::new()),
            Verdict::CannotTell(found) => (Outcome::CannotTell, found),
        };
        self.checks.push(Check { standard: self.standard, id, statement, outcome, found });
    }
    /// The points.
    pub(super) fn checks(self) -> Vec<Check> {
        self.checks
    }
}
