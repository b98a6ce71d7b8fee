//! The commands and their options.

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Typesets print-ready tutor books for the two-row diatonic button accordion.
#[derive(Debug, Parser)]
#[command(name = "boxwright", version, about)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// Say nothing but errors.
    #[arg(long, global = true)]
    pub quiet: bool,
    /// Say how long each stage took.
    #[arg(long, global = true)]
    pub verbose: bool,
    /// Print complaints as JSON, for editors; `plan`, `keys`, `reprint`, `bring` and `preflight` print their result so too.
    #[arg(long, global = true)]
    pub json: bool,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Bind a book into a PDF.
    Bind(Bind),
    /// Say all that `bind` would refuse or warn of, and write nothing.
    Check {
        /// The book's file, such as evening-class/book.yaml.
        book: PathBuf,
        /// An edition of the book, by its name; the book itself if not given.
        #[arg(long, value_name = "NAME")]
        edition: Option<String>,
    },
    /// Show how a tune is played: rows, buttons, directions, fingers, places, left hand.
    Plan(OneTune),
    /// Rank the keys a tune could stand in by how it lies on the box.
    Keys(OneTune),
    /// Keep the plan of a tune: write it beside the tune, for `bind` to follow from then on.
    Settle(OneTune),
    /// Print again only what changed since a PDF was printed.
    Reprint(Reprint),
    /// Write MIDI files of the tunes at their practice steps.
    Practice {
        /// The book's file, such as evening-class/book.yaml.
        book: PathBuf,
        /// The folder to write them to; `practice` beside the book if not given.
        #[arg(short, long, value_name = "FOLDER")]
        output: Option<PathBuf>,
        /// An edition of the book, by its name; the book itself if not given.
        #[arg(long, value_name = "NAME")]
        edition: Option<String>,
    },
    /// Bring tunes from an ABC or MusicXML file into tune files; with `--json` print what was read, and write nothing.
    Bring {
        /// The file.
        file: PathBuf,
        /// Only the tune with this number, as after `X:` in the file.
        #[arg(long, value_name = "NUMBER", value_parser = tune_number)]
        tune: Option<u32>,
        /// The part of a MusicXML score, by its id or name; the one with the most notes if not given.
        #[arg(long, value_name = "NAME")]
        part: Option<String>,
        /// The voice to read, by its id (`V:` in ABC, `voice` in a score); the first if not given.
        #[arg(long, value_name = "NAME")]
        voice: Option<String>,
        /// The folder to write tune files to; the present one if not given.
        #[arg(short, long, value_name = "FOLDER")]
        output: Option<PathBuf>,
    },
    /// Start a book that binds at once.
    NewBook {
        /// The folder to make.
        folder: PathBuf,
    },
    /// Bind again at each save, until stopped with Ctrl and C.
    Watch {
        /// The book's file, such as evening-class/book.yaml.
        book: PathBuf,
        /// An edition of the book, by its name; the book itself if not given.
        #[arg(long, value_name = "NAME")]
        edition: Option<String>,
    },
    /// Show the pages as pictures in one HTML file, complaints at their places.
    Proof {
        /// The book's file, such as evening-class/book.yaml.
        book: PathBuf,
        /// An edition of the book, by its name; the book itself if not given.
        #[arg(long, value_name = "NAME")]
        edition: Option<String>,
        /// Where to write it; beside the book if not given.
        #[arg(short, long, value_name = "FILE")]
        output: Option<PathBuf>,
    },
    /// Check a finished PDF for the press, point by point.
    Preflight {
        /// The PDF.
        file: PathBuf,
    },
    /// List the built-in boxes, or draw one.
    Boxes {
        /// The box to draw.
        name: Option<String>,
        /// Work out a full bellows from stopwatch times in seconds, commas or blanks between.
        #[arg(long, value_name = "SECONDS", num_args = 1.., conflicts_with = "name")]
        measure: Option<Vec<String>>,
    },
    /// Print the values that a preset stands for.
    Presets {
        /// The preset.
        name: Option<String>,
    },
    /// Print the JSON Schema of a kind of file.
    Schema {
        /// The kind.
        kind: SchemaKind,
    },
    /// Print a script with which a shell completes commands at the Tab key.
    ///
    /// Put it where your shell looks for it, for instance
    ///
    /// bash: boxwright completions bash > ~/.local/share/bash-completion/completions/boxwright
    ///
    /// fish: boxwright completions fish > ~/.config/fish/completions/boxwright.fish
    ///
    /// zsh: boxwright completions zsh > FOLDER/_boxwright, with a folder that is in `fpath`
    ///
    /// powershell: boxwright completions powershell >> $PROFILE
    ///
    /// elvish: boxwright completions elvish >> ~/.config/elvish/rc.elv
    Completions {
        /// The shell.
        shell: clap_complete::Shell,
    },
    /// Print the manual page: all commands with their options.
    ///
    /// Put it where `man` looks for it, for instance
    ///
    /// boxwright manual > ~/.local/share/man/man1/boxwright.1
    Manual,
}

fn tune_number(text: &str) -> Result<u32, String> {
    text.parse().map_err(|_| "tunes are chosen by the number after `X:` in the file, such as 12".to_owned())
}

/// The files that have a schema.
#[derive(Debug, Clone, Copy, ValueEnum)]
pub enum SchemaKind {
    /// book.yaml
    Book,
    /// A tune.
    Tune,
    /// A box.
    Box,
}

/// Options of `bind`.
#[derive(Debug, Args)]
pub struct Bind {
    /// The book's file, such as evening-class/book.yaml.
    pub book: PathBuf,
    /// Where to write the PDF; if not given, beside the book, named after its folder with .EDITION, .TUNE, .press, the standard
    /// if it is not x-1a, and the scheme of sheets added.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// An edition of the book, by its name; the book itself if not given.
    #[arg(long, value_name = "NAME", conflicts_with = "all_editions")]
    pub edition: Option<String>,
    /// The book and all its editions.
    #[arg(long, conflicts_with = "output")]
    pub all_editions: bool,
    /// Only this tune, by its `id`: a handout for a class.
    #[arg(long, value_name = "TUNE")]
    pub only: Option<String>,
    /// What the file is for.
    #[arg(long = "for", value_enum, default_value_t = Purpose::Reading)]
    pub purpose: Purpose,
    /// How the pages are laid on sheets.
    #[arg(long, value_enum, value_name = "SCHEME", default_value_t = Impose::None)]
    pub impose: Impose,
    /// About which edge the machine turns sheets for their backs, with `--impose` alone; `short` if not given.
    #[arg(long, value_enum, value_name = "EDGE")]
    pub turn: Option<Turn>,
    /// The standard of a file for the press, with `--for press` alone; `x-1a` if not given.
    #[arg(long, value_enum, value_name = "NAME")]
    pub standard: Option<Standard>,
    /// Write a job sheet for the printer beside the file: sizes, pages, paper, binding, inks, fonts.
    #[arg(long)]
    pub job_sheet: bool,
}

/// Options of `reprint`.
#[derive(Debug, Args)]
pub struct Reprint {
    /// The book's file, such as evening-class/book.yaml.
    pub book: PathBuf,
    /// The PDF that was printed.
    #[arg(long, value_name = "FILE")]
    pub against: PathBuf,
    /// Where to write the sheets; if not given, beside the book, named as `bind` names the printed file with .reprint added.
    #[arg(short, long, value_name = "FILE")]
    pub output: Option<PathBuf>,
    /// How the pages are laid on sheets; as the printed PDF says if not given.
    #[arg(long, value_enum, value_name = "SCHEME")]
    pub impose: Option<Impose>,
    /// Keep all later page numbers: what grew gets point pages (12a, 12b), what shrank leaves its page blank.
    #[arg(long)]
    pub hold_pages: bool,
    /// Draw a bar in the margin beside what changed.
    #[arg(long)]
    pub change_bars: bool,
    /// Words for the foot of replaced pages, such as "Revised 2026-11-01".
    #[arg(long, value_name = "WORDS")]
    pub revised: Option<String>,
    /// Write a slip with the changes beside the sheets, to put into copies.
    #[arg(long)]
    pub slip: bool,
}

/// What a bound file is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Purpose {
    /// For the screen and one's own printer: links, outline, tagged.
    Reading,
    /// For a print shop: PDF/X.
    Press,
}

/// Imposition schemes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Impose {
    /// One page a side.
    None,
    /// A saddle-stitched booklet: two pages a side, all sheets inside one another.
    Saddle,
    /// Sections of sixteen pages, two a side, to be sewn or glued.
    Sections,
    /// Sheets of eight pages folded twice.
    FoldedEight,
    /// Sheets of sixteen pages folded three times.
    FoldedSixteen,
    /// Two small pages a side, for a handout.
    TwoUp,
    /// Four small pages a side, for a handout.
    FourUp,
    /// Two pages a side, the pile cut and stacked.
    CutAndStack,
}

/// About which edge the printer's machine turns a sheet for its back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Turn {
    /// The short edge.
    Short,
    /// The long edge.
    Long,
}

/// The standard of a press file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Standard {
    /// PDF/X-1a:2003, with a registered output condition by name.
    #[value(name = "x-1a")]
    X1a,
    /// PDF/X-4, with a grey output profile of our own.
    #[value(name = "x-4")]
    X4,
    /// PDF/A-2b, for keeping, with the same profile.
    #[value(name = "a-2b")]
    A2b,
    /// Both in one file, which no file of ours can keep: asked for, it is refused in words.
    #[value(name = "x-4+a-2b", hide = true)]
    Both,
}

/// A tune to plan.
#[derive(Debug, Args)]
pub struct OneTune {
    /// The tune's file, such as evening-class/tunes/kettle.yaml.
    pub tune: PathBuf,
    /// The box; `dg-21-third` if neither this nor a book is given.
    #[arg(long = "box", value_name = "NAME")]
    pub instrument: Option<String>,
    /// The book whose box and playing style hold.
    #[arg(long, value_name = "BOOK")]
    pub book: Option<PathBuf>,
}
