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
use std::num::NonZeroUsize;
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
    if !has_room() {
        complain(&format!(
            "error: less than {LEAST_ROOM} MB of memory can be had here (`ulimit -v` says what is allowed)\n"
        ));
        return ExitCode::from(Outcome::Fault.status());
    }
    side_by_side();
    let voice = Voice { quiet: arguments.quiet, verbose: arguments.verbose, json: arguments.json };
    ExitCode::from(heard(dispatch(voice, arguments.command).status()))
}

/// So many megabytes of room for addresses must be left: the allocator takes it in large pieces, one for each thread, and below some
/// 250 it depends on chance whether a small book finds room.
const LEAST_ROOM: usize = 256;

/// Whether there is that much, which is asked for and given back without being touched.
fn has_room() -> bool {
    Vec::<u8>::new().try_reserve_exact(LEAST_ROOM << 20).is_ok()
}

/// As many threads work side by side at most: the parts of a book are too few for more.
const MOST_THREADS: usize = 64;
/// As many may be asked for on any machine: what a book is bound to must not hang on their number, and that is tried out.
const MAY_BE_ASKED: usize = 8;

/// Starts a thread for each core, or as many as the surroundings ask for within bounds: thousands would do nothing but wait for one
/// another. Where the machine gives no thread, this one does all the work.
fn side_by_side() {
    let cores = std::thread::available_parallelism().map_or(1, NonZeroUsize::get);
    let asked = std::env::var("RAYON_NUM_THREADS").ok().and_then(|asked| asked.parse().ok()).filter(|asked| *asked > 0);
    let most = cores.clamp(MAY_BE_ASKED, MOST_THREADS);
    let pool = |threads| rayon::ThreadPoolBuilder::new().num_threads(threads);
    // There is no pool yet, so only a machine that gives no threads refuses one.
    if pool(asked.unwrap_or(cores).min(most)).build_global().is_err() {
        let _ = pool(1).use_current_thread().build_global();
    }
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
