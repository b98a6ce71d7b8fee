//! The typed shapes of the files that authors write, key for key: the book format's contract. Doc comments here are what
//! the JSON Schema says to authors. Knows nothing of files on disk and does no work.

mod book_file;
mod box_file;
mod schema;
mod settled_file;
mod tune_file;

pub use book_file::{
    BookFile, ChapterFile, CoverFile, Language, PageFile, PlayingFile, PressFile, PrintMark, SignsFile, StockFile,
    TuneLine, TypeFile, WeightsFile,
};
pub use box_file::{BoxFile, BoxRow, BoxRowButtons, LeftButtonFile, LeftFile};
pub use schema::{BOOK, BOX, FileKind, SETTLED, TUNE, schema};
pub use settled_file::{SettledFile, SettledLine};
pub use tune_file::{LeftHandFile, MusicFile, PinFile, TuneFile};
