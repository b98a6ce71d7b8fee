//! A finished PDF against the statements for the press, point by point.

use super::desk::{Desk, Outcome, Voice, print};
use super::files;
use super::report::path_shown;
use crate::pdf::{self, Report};
use serde::Serialize;
use std::fmt::Write as _;
use std::path::Path;

#[derive(Debug, Serialize)]
struct ReportShape {
    unreadable: Option<String>,
    claims: Vec<String>,
    passes: bool,
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

/// Checks a file and prints the report; a file that fails what it claims to be, or the common practice of print shops, or that
/// could not be looked at whole, ends with status 1.
pub fn run(voice: Voice, file: &Path) -> Outcome {
    let mut desk = Desk::new(voice);
    let bytes = match files::read_finished(file) {
        Ok(bytes) => bytes,
        Err(unread) => return desk.fault(&format!("{}: {}", path_shown(file), unread.why)),
    };
    let report = pdf::preflight(&bytes);
    if voice.json {
        print(&(serde_json::to_string_pretty(&shape(&report)).unwrap_or_default() + "\n"));
    } else {
        print(&text(&report));
    }
    if report.passes() { Outcome::Done } else { Outcome::Errors }
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
        out.push_str("\nThe file does not say that it keeps a standard for the press or for archives; here is how it stands to each. It is judged by PDF/X-1a:2003, which any print shop takes.\n");
    }
    for standard in report.shown() {
        let _ = writeln!(out, "\n{standard}, of these points");
        for check in report.of(standard) {
            let found = if check.found.is_empty() { String::new() } else { format!(" ({})", check.found) };
            let _ = writeln!(out, "  {:<15} {:<8} {}{found}", check.outcome.to_string(), check.id, check.statement);
        }
        if !standard.unseen().is_empty() {
            let _ = writeln!(out, "  {}", standard.unseen());
        }
    }
    if report.untold().is_some() {
        out.push_str(
            "\nNot all of this file could be looked at: it does not pass, though what was looked at may be sound.\n",
        );
    }
    out
}

fn shape(report: &Report) -> ReportShape {
    ReportShape {
        unreadable: report.unreadable.clone(),
        claims: report.claims.iter().map(ToString::to_string).collect(),
        passes: report.passes(),
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
