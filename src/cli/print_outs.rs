//! Commands that print what the program knows: boxes, presets, schemas, completions, the manual page.

use super::args::{Arguments, SchemaKind};
use super::box_text::box_text;
use super::desk::{Desk, Outcome, Voice, print};
use super::laying::counted;
use super::report::lines_shown;
use super::tunes::named_box;
use crate::book::{self, FileKind};
use crate::instrument::builtin;
use clap::CommandFactory;
use clap_mangen::Man;
use std::fmt::Write as _;
use std::io;

/// Lists the built-in boxes, or draws one.
pub fn boxes(voice: Voice, name: Option<&str>) -> Outcome {
    let mut desk = Desk::new(voice);
    let Some(name) = name else {
        let mut out = String::new();
        for (id, _) in builtin() {
            if let Some(instrument) = book::builtin_box(id) {
                let _ = writeln!(out, "{id:<26} {}", instrument.name);
            }
        }
        out.push_str("\n`boxwright boxes NAME` draws one. The path of a box file works wherever a name does.\n");
        print(&out);
        return Outcome::Done;
    };
    match named_box(&mut desk, name) {
        Some(instrument) => {
            print(&lines_shown(&box_text(&instrument)));
            desk.report()
        }
        None => {
            // A file of the author's has errors; a name that no box has is one of the command line.
            let told = desk.report();
            if desk.sink.items().iter().any(|item| item.place.is_some()) { told } else { Outcome::Fault }
        }
    }
}

/// Works a full bellows out from stopwatch times: seconds of push and pull with one melody note, bass and chord sounding.
pub fn measure(voice: Voice, times: &[String]) -> Outcome {
    let mut desk = Desk::new(voice);
    let words: Vec<&str> = times.iter().flat_map(|times| times.split_whitespace()).collect();
    if let Some(first) = words.first().filter(|_| words.iter().all(|word| has_decimal_comma(word))) {
        let point = first.replace(',', ".");
        let why =
            format!("`{first}` may be one time or two: write {point} for one, `{}` for two", first.replace(',', " "));
        return desk.fault(&why);
    }
    let mut seconds = Vec::new();
    for time in words.into_iter().flat_map(|word| word.split(',')).filter(|time| !time.is_empty()) {
        match time.parse::<f64>() {
            Ok(time) if TIMES.contains(&time) => seconds.push(time),
            Ok(time) if time.is_finite() => {
                let (least, most) = (TIMES.start(), TIMES.end());
                return desk
                    .fault(&format!("{time} seconds are no full bellows: a box file takes {least} to {most} seconds"));
            }
            _ => return desk.fault(&format!("`{time}` is no time in seconds; give them as 8.5 9.1 8.8")),
        }
    }
    if seconds.is_empty() {
        return desk.fault("no time is given; give them in seconds, as 8.5 9.1 8.8");
    }
    seconds.sort_by(f64::total_cmp);
    let middle = seconds[seconds.len() / 2];
    let median = if seconds.len() % 2 == 1 { middle } else { f64::midpoint(seconds[seconds.len() / 2 - 1], middle) };
    let spread = seconds[seconds.len() - 1] - seconds[0];
    let count = counted(seconds.len(), "time", "times");
    let mut out = format!("bellows: {{seconds: {median:.1}, source: \"measured with a stopwatch, {count}\"}}\n");
    if seconds.len() < 3 {
        out.push_str("Measure at least three times: fewer say little.\n");
    } else if spread > median / 4.0 {
        let _ = writeln!(out, "The times lie {spread:.1} seconds apart: play evenly, not loudly, and measure again.");
    }
    print(&out);
    Outcome::Done
}

/// The seconds of a full bellows that a box file takes.
const TIMES: std::ops::RangeInclusive<f64> = 1.0..=120.0;

/// Whether a word is two whole numbers with a comma between, which may be meant as one number.
fn has_decimal_comma(word: &str) -> bool {
    let is_whole = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    word.split_once(',').is_some_and(|(whole, part)| is_whole(whole) && is_whole(part))
}

/// Lists the presets, or prints the values one stands for.
pub fn presets(voice: Voice, name: Option<&str>) -> Outcome {
    let names: Vec<_> = book::presets().map(|(name, _)| name).collect();
    let Some(name) = name else {
        print(&format!("{}\n", names.join("\n")));
        return Outcome::Done;
    };
    match book::presets().find(|(known, _)| *known == name) {
        Some((_, preset)) => {
            print(book::preset_text(preset));
            Outcome::Done
        }
        None => Desk::new(voice).fault(&format!("there is no preset `{name}`; there are {}", names.join(", "))),
    }
}

/// Prints a JSON Schema.
pub fn schema(kind: SchemaKind) -> Outcome {
    let kind = match kind {
        SchemaKind::Book => FileKind::Book,
        SchemaKind::Tune => FileKind::Tune,
        SchemaKind::Box => FileKind::Box,
    };
    print(&(book::schema(kind) + "\n"));
    Outcome::Done
}

/// Prints a completion script.
pub fn completions(shell: clap_complete::Shell) -> Outcome {
    let mut out = Vec::new();
    clap_complete::generate(shell, &mut Arguments::command(), "boxwright", &mut out);
    print(&String::from_utf8_lossy(&out));
    Outcome::Done
}

/// Prints the manual page: a section for all commands, each with its options.
pub fn manual(voice: Voice) -> Outcome {
    let mut out = Vec::new();
    match manual_page(&mut out) {
        Ok(()) => {
            print(&String::from_utf8_lossy(&out));
            Outcome::Done
        }
        Err(error) => Desk::new(voice).fault(&error.to_string()),
    }
}

/// What a manual says besides (man-pages(7) names the sections).
const ENDINGS: &str = "\
.SH EXIT STATUS
.TP
0
done, warnings allowed
.TP
1
the author's files have errors, and nothing was written
.TP
2
the command line or the machine is at fault
.SH ENVIRONMENT
.TP
NO_COLOR
if set and not empty, messages are not coloured
";

fn manual_page(out: &mut Vec<u8>) -> io::Result<()> {
    let program = Arguments::command();
    let page = Man::new(program.clone());
    page.render_title(out)?;
    page.render_name_section(out)?;
    page.render_synopsis_section(out)?;
    page.render_description_section(out)?;
    page.render_options_section(out)?;
    out.extend(b".SH COMMANDS\n");
    for command in program.get_subcommands() {
        let name = format!("boxwright {}", command.get_name());
        let page = Man::new(command.clone().bin_name(name.clone()).disable_help_flag(true));
        let mut section = Vec::new();
        page.render_synopsis_section(&mut section)?;
        page.render_description_section(&mut section)?;
        page.render_options_section(&mut section)?;
        out.extend(format!(".SS {name}\n").into_bytes());
        // What has a heading of its own in a page for one command is a paragraph here.
        for line in String::from_utf8_lossy(&section).lines() {
            let line = if line.starts_with(".SH") { ".PP" } else { line };
            out.extend(line.bytes().chain([b'\n']));
        }
    }
    out.extend(ENDINGS.as_bytes());
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_manual_has_every_option_of_every_command() {
        let mut out = Vec::new();
        manual_page(&mut out).expect("it is written");
        let text =
            String::from_utf8(out).expect("it is text").replace("\\-", "-").replace("\\fB", "").replace("\\fR", "");
        for command in Arguments::command().get_subcommands() {
            let start = format!(".SS boxwright {}\n", command.get_name());
            let section = text.split(&start).nth(1).unwrap_or_else(|| panic!("{start}"));
            let section = section.split(".SS ").next().expect("it has a beginning");
            for long in command.get_arguments().filter_map(|argument| argument.get_long()) {
                assert!(section.contains(&format!("--{long}")), "{start}: {long}\n{section}");
            }
        }
        assert!(!text.contains("(1)\nBind"), "no page is named that cannot be printed");
        assert!(text.contains(".SH EXIT STATUS") && text.contains("NO_COLOR"));
    }
}
