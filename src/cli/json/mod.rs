//! Shapes of JSON output, apart from the model, so that the model can change and the output stay.
//!
//! Fractions are strings, of a whole note; pitches are scientific, as sounding; lines and columns are 1-based.

mod keys;
mod plan;
mod signs;
mod tune;

pub use keys::{KeyShape, transpose_for};
pub use plan::{PlanShape, sound_name};
pub use tune::TuneShape;

use crate::diag::{Diagnostic, Severity, Sources};
use serde::Serialize;

/// One complaint.
#[derive(Debug, Serialize)]
pub struct Complaint {
    severity: &'static str,
    code: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    file: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    line: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    column: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    width: Option<u32>,
    message: String,
    hints: Vec<String>,
}

impl Complaint {
    /// A complaint as output.
    pub fn new(diagnostic: &Diagnostic, sources: &Sources) -> Self {
        let place = diagnostic.place;
        Self {
            severity: match diagnostic.severity {
                Severity::Error => "error",
                Severity::Warning => "warning",
            },
            code: diagnostic.code.name(),
            file: place.map(|place| sources.path(place.file).to_owned()),
            line: place.map(|place| place.line),
            column: place.map(|place| place.column),
            width: place.map(|place| place.width),
            message: diagnostic.message.clone(),
            hints: diagnostic.hints.clone(),
        }
    }
}
