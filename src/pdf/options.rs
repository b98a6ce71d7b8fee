//! What the caller asks of a file, and why a file could not be written.

use super::output_profile::OutputProfile;
use std::fmt;

/// The standard a press file keeps.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PressStandard {
    /// PDF/X-1a:2003 (ISO 15930-4): the safe choice; names its output condition and carries no profile of our own.
    X1a2003,
    /// PDF/X-4 (ISO 15930-7): carries our own grey output profile.
    X4,
    /// PDF/A-2b (ISO 19005-2): for keeping; carries our own grey output profile.
    A2b,
}

/// What a file is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Purpose {
    /// The screen and the reader's own printer: links, outline, tags.
    Reading,
    /// A printer's press.
    Press(PressStandard),
}

/// What is asked of a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PdfOptions {
    /// What it is for.
    pub purpose: Purpose,
    /// The output condition by its name, such as `FOGRA52`; used by PDF/X-1a, and by all where a profile is given.
    pub condition: String,
    /// Whether that is a reference name of the ICC's registry. One that is not wants a profile.
    pub is_registered: bool,
    /// The print shop's own profile, in the place of ours.
    pub profile: Option<OutputProfile>,
    /// The name of the second ink for the press; `None` prints it black.
    pub spot: Option<String>,
}

impl PdfOptions {
    /// A file for reading.
    pub fn reading() -> Self {
        Self { purpose: Purpose::Reading, condition: String::new(), is_registered: false, profile: None, spot: None }
    }
    /// A file for the press under a registered output condition.
    pub fn press(standard: PressStandard, condition: impl Into<String>) -> Self {
        Self {
            purpose: Purpose::Press(standard),
            condition: condition.into(),
            is_registered: true,
            profile: None,
            spot: None,
        }
    }
    /// Whether the content is tagged and linked.
    pub const fn is_reading(&self) -> bool {
        matches!(self.purpose, Purpose::Reading)
    }
    /// The spot ink, if this file may carry one. For reading, the second ink is black: a screen file promises grey alone.
    pub(super) fn press_spot(&self) -> Option<&str> {
        if self.is_reading() { None } else { self.spot.as_deref().filter(|name| !name.is_empty()) }
    }
}

/// Why a file could not be written or read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PdfError {
    /// There are no sheets to write.
    NoSheets,
    /// A sheet names a page that the document lacks.
    NoSuchPage {
        /// The sheet's label.
        sheet: String,
        /// Index of the page.
        page: usize,
    },
    /// A place or length on a sheet is no number, or beyond what a page can hold.
    NotANumber {
        /// The sheet's label.
        sheet: String,
    },
    /// A carried face could not be subset or read again.
    Font {
        /// The face's name.
        face: String,
        /// What went wrong.
        reason: String,
    },
    /// Our own operators broke a promise; nothing is written.
    Audit {
        /// The sheet's label.
        sheet: String,
        /// What was found.
        fault: String,
    },
    /// The press needs something that was not given.
    Option(String),
    /// The PDF library refused.
    Library(String),
}

impl fmt::Display for PdfError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSheets => f.write_str("there are no pages to write"),
            Self::NoSuchPage { sheet, page } => write!(f, "{sheet} wants page {}, which is not there", page + 1),
            Self::NotANumber { sheet } => write!(f, "a place on {sheet} is no usable number"),
            Self::Font { face, reason } => write!(f, "the face {face} cannot be embedded: {reason}"),
            Self::Audit { sheet, fault } => write!(f, "{sheet} fails its own audit: {fault}"),
            Self::Option(what) => f.write_str(what),
            Self::Library(what) => write!(f, "the PDF could not be made: {what}"),
        }
    }
}

impl std::error::Error for PdfError {}

impl From<lopdf::Error> for PdfError {
    fn from(error: lopdf::Error) -> Self {
        Self::Library(error.to_string())
    }
}
