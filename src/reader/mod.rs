//! ABC 2.1 and MusicXML 4.0 text into tunes, and tunes back into ABC. Knows no buttons and no paper, reads no file.

pub mod abc;
pub mod asked;
mod assemble;
mod complaints;
mod flow;
mod letters;
pub mod musicxml;
mod numbering;
mod split;

pub use flow::leads_nowhere;
pub use letters::wide_letters;
