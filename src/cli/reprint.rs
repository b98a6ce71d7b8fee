//! Prints again only what changed since a PDF was printed: the sheets that differ, and the change list.

use super::args::{Impose, Purpose, Reprint};
use super::bind::{compose, preflighted};
use super::desk::{Desk, Outcome, Voice, print, target};
use super::docket;
use super::files;
use super::json::Complaint;
use super::laying::{Wish, counted, is_nested, lay};
use super::report::path_shown;
use super::writing::Over;
use crate::font::Fonts;
use crate::page::{Document, Manifest};
use crate::pdf::{changed_blocks, manifest, record, write_recorded};
use crate::reprint::{Advice, Changes, PageFate, Refusal, compare, lines};
use crate::sheet::{Sheet, change_bars, foot_words};
use crate::style::Binding;
use serde::Serialize;

#[derive(Debug, Serialize)]
struct ChangesShape {
    pages: Vec<PageShape>,
    bars: Vec<BarShape>,
    of_pages: usize,
    list: Vec<String>,
    advice: String,
    sheets: Vec<String>,
    complaints: Vec<Complaint>,
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
pub fn run(voice: Voice, arguments: &Reprint) -> Outcome {
    let mut desk = Desk::new(voice);
    let (book, against) = (&arguments.book, &arguments.against);
    let old = match files::read_finished(against) {
        Ok(bytes) => bytes,
        Err(unread) => return desk.fault(&format!("{}: {}", path_shown(against), unread.why)),
    };
    let printed = match manifest(&old) {
        Ok(printed) => printed,
        Err(why) => return desk.fault(&format!("{} cannot be compared with: {why}", path_shown(against))),
    };
    // A record that this very book cannot have made is refused before anything is set.
    let known = desk.book(book, None).map(|book| book.id);
    if let Some(known) = known.filter(|known| *known != printed.identity.book) {
        let refusal = Refusal::OtherBook { printed: printed.identity.book, new: known };
        return desk.fault(&refusal.to_string());
    }
    let mut desk = Desk::new(voice);
    // The file of the printed copies is all that is known of them.
    desk.read.push(against.clone());
    let edition = Some(printed.identity.edition.clone()).filter(|name| !name.is_empty());
    let only = printed.laying.iter().find(|(key, _)| key == "only").map(|(_, tune)| tune.as_str());
    let fonts = Fonts::embedded();
    let held = arguments.hold_pages.then_some(&printed);
    let composed = compose(&mut desk, book, edition.as_deref(), only, held, &fonts);
    let Some((bound, mut document, fonts)) = composed else { return desk.report() };
    desk.clock.enter("comparing");
    Wish::recorded(&printed.laying).leave_cover(&mut document);
    document.manifest.laying.clone_from(&printed.laying);
    let recorded = record(&document, &fonts);
    let changes = match compare(&recorded, &printed) {
        Ok(changes) => changes,
        Err(refusal) => return desk.fault(&refusal.to_string()),
    };
    let list = lines(&changes);
    mark(&mut document, arguments, &changes, &printed, &fonts);
    let mut wish = Wish::recorded(&printed.laying);
    wish.impose = arguments.impose.unwrap_or(wish.impose);
    let laid = lay(&wish, &bound, &document, &fonts, &mut desk.sink);
    let sheets: Vec<Sheet> = changes.sheets(&laid.sheets, is_nested(wish.impose)).into_iter().cloned().collect();
    let advice = changes.advice(bound.page.binding == Binding::Perfect);
    if !sheets.is_empty() {
        let mut kind = wish.kind(only);
        kind.push("reprint".to_owned());
        let kind = kind.join(".");
        let to = arguments.output.clone().unwrap_or_else(|| target(book, edition.as_deref(), Some(&kind), "pdf"));
        desk.clock.enter("content and file");
        let bytes = match write_recorded(&document, &recorded, &sheets, &fonts, &laid.options) {
            Ok(bytes) => bytes,
            Err(error) => return desk.fault(&error.to_string()),
        };
        // Bars, words at the foot and point pages have never been held against the standard.
        if wish.purpose == Purpose::Press {
            preflighted(&mut desk, &bytes, wish.impose != Impose::None);
            if desk.sink.has_errors() {
                return desk.report();
            }
        }
        if let Err(why) = desk.write(&to, &bytes, Over::Pdf) {
            return desk.fault(&why);
        }
        desk.say(&format!("{} to print: {}\n", counted(sheets.len(), "side", "sides"), path_shown(&to)));
        if arguments.slip {
            match docket::slip(&mut desk, &list, &bound, &document, &printed, &to, &fonts) {
                Ok(slip) => desk.say(&format!("the slip: {}\n", path_shown(&slip))),
                Err(why) => return desk.fault(&why),
            }
        }
    }
    if voice.json {
        let complaints = desk.sink.sorted().into_iter().map(|item| Complaint::new(item, &desk.sources)).collect();
        let shape = shape(&changes, &advice, &sheets, complaints);
        print(&(serde_json::to_string_pretty(&shape).unwrap_or_default() + "\n"));
        return if desk.sink.has_errors() { Outcome::Errors } else { Outcome::Done };
    }
    desk.say(&format!("{}\n", changes.brief(&document)));
    if list.is_empty() {
        desk.say("the printed copies are up to date\n");
    }
    for line in list {
        desk.say(&format!("  {line}\n"));
    }
    if let Advice::Reissue(why) = &advice {
        desk.say(&format!("{why}\n"));
    }
    if arguments.hold_pages && bound.page.binding == Binding::Saddle && changes.recounted {
        desk.say("a stapled book takes no single leaves: its point pages have to be glued in by hand\n");
    }
    desk.report()
}

/// Puts on the pages what was asked for; the record keeps the pages as they are without it.
fn mark(document: &mut Document, arguments: &Reprint, changes: &Changes, printed: &Manifest, fonts: &Fonts) {
    let replaced: Vec<usize> = changes.pages.iter().filter_map(|page| page.index).collect();
    if arguments.change_bars {
        let mut areas = changed_blocks(document, printed, fonts);
        for (index, areas) in areas.iter_mut().enumerate() {
            if !replaced.contains(&index) {
                areas.clear();
            }
        }
        change_bars(document, &areas);
    }
    if let Some(words) = arguments.revised.as_deref().filter(|words| !words.trim().is_empty()) {
        foot_words(document, &replaced, words, fonts);
    }
}

fn shape(changes: &Changes, advice: &Advice, sheets: &[Sheet], complaints: Vec<Complaint>) -> ChangesShape {
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
        list: lines(changes),
        advice: match advice {
            Advice::Nothing => "nothing changed".into(),
            Advice::Sheets => "print these sheets".into(),
            Advice::Reissue(why) => why.clone(),
        },
        sheets: sheets.iter().map(|sheet| sheet.label.clone()).collect(),
        complaints,
    }
}
