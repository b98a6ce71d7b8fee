//! Prints again only what changed since a PDF was printed: the sheets that differ, and the change list.

use super::args::{Impose, Purpose, Standard, Turn};
use super::bind::compose;
use super::desk::{Desk, Outcome, Voice, print, target};
use super::files;
use super::laying::{Wish, is_nested, lay};
use crate::font::Fonts;
use crate::pdf::{manifest, record, write};
use crate::reprint::{Advice, Changes, PageFate, compare, lines};
use crate::sheet::Sheet;
use crate::style::Binding;
use serde::Serialize;
use std::path::Path;

#[derive(Debug, Serialize)]
struct ChangesShape {
    pages: Vec<PageShape>,
    bars: Vec<BarShape>,
    of_pages: usize,
    advice: String,
    sheets: Vec<String>,
}

#[derive(Debug, Serialize)]
struct PageShape {
    page: String,
    change: &'static str,
}

#[derive(Debug, Serialize)]
struct BarShape {
    page: String,
    tune: String,
    title: String,
    bar: String,
    changes: Vec<String>,
}

/// Binds anew, compares, writes the sheets that differ.
pub fn run(voice: Voice, book: &Path, against: &Path, output: Option<&Path>, impose: Impose) -> Outcome {
    let mut desk = Desk::new(voice);
    let old = match files::read(&files::folder(against), &against.to_string_lossy()) {
        Ok(bytes) => bytes,
        Err(why) => return desk.fault(&format!("{}: {why}", against.display())),
    };
    let printed = match manifest(&old) {
        Ok(printed) => printed,
        Err(why) => return desk.fault(&format!("{} cannot be compared with: {why}", against.display())),
    };
    let edition = Some(printed.identity.edition.clone()).filter(|name| !name.is_empty());
    let fonts = Fonts::embedded();
    let composed = compose(&mut desk, book, edition.as_deref(), None, &fonts);
    let Some((bound, document)) = composed else { return desk.report() };
    desk.clock.enter("comparing");
    let changes = match compare(&record(&document, &fonts), &printed) {
        Ok(changes) => changes,
        Err(refusal) => return desk.fault(&refusal.to_string()),
    };
    let wish = Wish { purpose: Purpose::Reading, standard: Standard::X1a, impose, turn: Turn::Short };
    let laid = lay(&wish, &bound, &document, &fonts);
    let sheets: Vec<Sheet> = changes.sheets(&laid.sheets, is_nested(impose)).into_iter().cloned().collect();
    let advice = changes.advice(bound.page.binding == Binding::Perfect);
    if !sheets.is_empty() {
        let to = output.map_or_else(|| target(book, edition.as_deref(), Some("reprint"), "pdf"), Path::to_owned);
        desk.clock.enter("content and file");
        let bytes = match write(&document, &sheets, &fonts, &laid.options) {
            Ok(bytes) => bytes,
            Err(error) => return desk.fault(&error.to_string()),
        };
        if let Err(why) = files::write(&to, &bytes) {
            return desk.fault(&why);
        }
        desk.say(&format!("{} sides to print: {}\n", sheets.len(), to.display()));
    }
    if voice.json {
        print(&(serde_json::to_string_pretty(&shape(&changes, &advice, &sheets)).unwrap_or_default() + "\n"));
        return Outcome::Done;
    }
    for line in changes.brief(&document) {
        desk.say(&format!("{line}\n"));
    }
    for line in lines(&changes) {
        desk.say(&format!("  {line}\n"));
    }
    if let Advice::Reissue(why) = &advice {
        desk.say(&format!("{why}\n"));
    }
    desk.report()
}

fn shape(changes: &Changes, advice: &Advice, sheets: &[Sheet]) -> ChangesShape {
    ChangesShape {
        pages: changes
            .pages
            .iter()
            .map(|page| PageShape {
                page: page.label.clone(),
                change: match page.fate {
                    PageFate::Changed => "changed",
                    PageFate::Added => "added",
                    PageFate::Removed => "removed",
                },
            })
            .collect(),
        bars: changes
            .bars
            .iter()
            .map(|bar| BarShape {
                page: bar.page.clone(),
                tune: bar.tune.clone(),
                title: bar.title.clone(),
                bar: bar.bar.clone(),
                changes: bar.words.clone(),
            })
            .collect(),
        of_pages: changes.of_pages,
        advice: match advice {
            Advice::Nothing => "nothing changed".into(),
            Advice::Sheets => "print these sheets".into(),
            Advice::Reissue(why) => why.clone(),
        },
        sheets: sheets.iter().map(|sheet| sheet.label.clone()).collect(),
    }
}
