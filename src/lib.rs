//! boxwright: an author's plain files in, a print-ready tutor book for the two-row diatonic button accordion out.
//!
//! One direction, no way back; each room a folder, each arrow a pure function, complaints into a [`diag::Sink`]:
//!
//! ```text
//! book.yaml, tunes --book, reader--> Book, Tune --fingering--> Plan --engrave--> Vec<System>
//!                                       |             |                              |
//!                                       |             +--lesson--> words, alt text --+
//!                                       +--text--> Vec<Line> ------------------------+--page--> Document
//!             --sheet--> Vec<Sheet> --pdf::paint--> --pdf::finish--> one PDF
//! ```
//!
//! Only `cli` reads, writes and prints. `DEVELOPERS.md` says what each room takes, gives, and must not know.

#[macro_use]
pub mod diag;

pub mod book;
pub mod cli;
pub mod drawing;
pub mod engrave;
pub mod fingering;
pub mod font;
pub mod frame;
pub mod geom;
pub mod instrument;
pub mod lesson;
pub mod page;
pub mod pdf;
pub mod pipeline;
pub mod practice;
pub mod proof;
pub mod reader;
pub mod reprint;
pub mod sheet;
pub mod style;
pub mod text;
pub mod tune;
pub mod xml;
