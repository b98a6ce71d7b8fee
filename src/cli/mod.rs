//! Arguments, files, terminal, JSON: the only room that reads, writes and prints.
//!
//! Takes the command line, gives an exit status: 0 done (warnings allowed), 1 the author's files have errors and nothing was
//! written, 2 the command line or the machine is at fault.

mod args;
mod bind;
mod box_text;
mod bring;
mod desk;
mod docket;
mod files;
mod handout;
mod json;
mod laying;
mod outputs;
mod plan_text;
mod preflight;
mod print_outs;
mod report;
mod reprint;
mod timing;
mod tune_file;
mod tunes;
mod watch;
mod writing;

use args::{Arguments, Command, Impose, Purpose};
use clap::Parser;
use desk::{Outcome, Voice, complain, print, unsaid};
use std::ffi::OsString;
use std::io::{self, IsTerminal};
use std::process::ExitCode;

/// Runs the program on its arguments, the first being its own name.
pub fn run(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let arguments = match Arguments::try_parse_from(arguments) {
        Ok(arguments) => arguments,
        Err(error) => {
            // Help and version are no faults; the rest is.
            let status = u8::from(error.use_stderr()) * Outcome::Fault.status();
            if error.use_stderr() {
                let _ = error.print();
                return ExitCode::from(status);
            }
            // Help goes the way of all results, so that a disk that is full is told.
            let colour = io::stdout().is_terminal();
            print(&if colour { error.render().ansi().to_string() } else { error.render().to_string() });
            return ExitCode::from(heard(status));
        }
    };
    let voice = Voice { quiet: arguments.quiet, verbose: arguments.verbose, json: arguments.json };
    ExitCode::from(heard(dispatch(voice, arguments.command).status()))
}

/// A command's exit status, or that of a fault when what it said was not heard.
fn heard(status: u8) -> u8 {
    match unsaid() {
        Some(why) => {
            complain(&format!("error: cannot write to standard output: {why}\n"));
            Outcome::Fault.status()
        }
        None => status,
    }
}

fn dispatch(voice: Voice, command: Command) -> Outcome {
    match command {
        Command::Bind(arguments) => bind::run(voice, &arguments),
        Command::Check { book, edition } => outputs::check(voice, &book, edition.as_deref()),
        Command::Plan(one) => tunes::plan(voice, &one),
        Command::Keys(one) => tunes::keys(voice, &one),
        Command::Settle(one) => tunes::settle(voice, &one),
        Command::Reprint(arguments) => reprint::run(voice, &arguments),
        Command::Practice { book, output, edition } => {
            outputs::practice(voice, &book, edition.as_deref(), output.as_deref())
        }
        Command::Bring { file, tune, part, voice: of, output } => {
            bring::run(voice, &file, bring::Wish { tune, part, voice: of }, output.as_deref())
        }
        Command::NewBook { folder } => outputs::new_book(voice, &folder),
        Command::Watch { book, edition } => watch::run(
            voice,
            &args::Bind {
                book,
                output: None,
                edition,
                all_editions: false,
                only: None,
                purpose: Purpose::Reading,
                impose: Impose::None,
                turn: None,
                standard: None,
                job_sheet: false,
            },
        ),
        Command::Proof { book, edition, output } => outputs::proof(voice, &book, edition.as_deref(), output.as_deref()),
        Command::Preflight { file } => preflight::run(voice, &file),
        Command::Boxes { name: _, measure: Some(times) } => print_outs::measure(voice, &times),
        Command::Boxes { name, measure: None } => print_outs::boxes(voice, name.as_deref()),
        Command::Presets { name } => print_outs::presets(voice, name.as_deref()),
        Command::Schema { kind } => print_outs::schema(kind),
        Command::Completions { shell } => print_outs::completions(shell),
        Command::Manual => print_outs::manual(voice),
    }
}
