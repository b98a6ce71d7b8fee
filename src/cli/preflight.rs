//! A finished PDF against the statements for the press, point by point.

use super::desk::{Desk, Outcome, Voice, print};
use super::files;
use crate::pdf::{self, Check, Report, Standard};
use serde::Serialize;
use std::fmt::Write as _;
use std::path::Path;

#[derive(Debug, Serialize)]
struct ReportShape {
    unreadable: Option<String>,
    claims: Vec<String>,
    facts: Vec<FactShape>,
    checks: Vec<CheckShape>,
}

#[derive(Debug, Serialize)]
struct FactShape {
    name: String,
    value: String,
}

#[derive(Debug, Serialize)]
struct CheckShape {
    standard: String,
    id: &'static str,
    statement: &'static str,
    outcome: String,
    found: String,
}

/// Checks a file and prints the report; a file that fails what it claims to be, or the common practice of print shops, ends
/// with status 1.
pub fn run(voice: Voice, file: &Path) -> Outcome {
    let mut desk = Desk::new(voice);
    let bytes = match files::read(&files::folder(file), &file.to_string_lossy()) {
        Ok(bytes) => bytes,
        Err(why) => return desk.fault(&format!("{}: {why}", file.display())),
    };
    let report = pdf::preflight(&bytes);
    if voice.json {
        print(&(serde_json::to_string_pretty(&shape(&report)).unwrap_or_default() + "\n"));
    } else {
        print(&text(&report));
    }
    let asked = |check: &&Check| check.standard == Standard::Practice || report.claims.contains(&check.standard);
    let failed = report.checks.iter().filter(asked).any(|check| check.outcome == pdf::Verdict::Fail);
    if report.unreadable.is_some() || failed { Outcome::Errors } else { Outcome::Done }
}

/// The standards to show: those the file claims, else all; common practice always.
fn shown(report: &Report) -> Vec<Standard> {
    let all = [Standard::X1a, Standard::X4, Standard::A2b];
    let claimed: Vec<_> = all.into_iter().filter(|standard| report.claims.contains(standard)).collect();
    let mut shown = if claimed.is_empty() { all.to_vec() } else { claimed };
    shown.push(Standard::Practice);
    shown
}

fn text(report: &Report) -> String {
    let mut out = String::new();
    if let Some(why) = &report.unreadable {
        let _ = writeln!(out, "This file cannot be checked: {why}");
        return out;
    }
    for (name, value) in &report.facts {
        let _ = writeln!(out, "{name:<24} {value}");
    }
    if report.claims.is_empty() {
        out.push_str("\nThe file does not say that it keeps a standard; here is how it stands to each.\n");
    }
    for standard in shown(report) {
        let _ = writeln!(out, "\n{standard}");
        for check in report.of(standard) {
            let found = if check.found.is_empty() { String::new() } else { format!(" ({})", check.found) };
            let _ = writeln!(out, "  {:<15} {:<8} {}{found}", check.outcome.to_string(), check.id, check.statement);
        }
    }
    out
}

fn shape(report: &Report) -> ReportShape {
    ReportShape {
        unreadable: report.unreadable.clone(),
        claims: report.claims.iter().map(ToString::to_string).collect(),
        facts: report
            .facts
            .iter()
            .map(|(name, value)| FactShape { name: name.clone(), value: value.clone() })
            .collect(),
        checks: report
            .checks
            .iter()
            .map(|check| CheckShape {
                standard: check.standard.to_string(),
                id: check.id,
                statement: check.statement,
                outcome: check.outcome.to_string(),
                found: check.found.clone(),
            })
            .collect(),
    }
}
