//! Bad news as data: where it is, what is wrong, what to do. Prints nothing and knows nothing of what it speaks about.
//!
//! Every stage takes a [`Sink`] and goes on; `cli` prints what has collected.

#[macro_use]
mod code;
mod codes;
mod diagnostic;
mod guard;
mod near;
mod source;

pub use code::Code;
pub use codes::CODES;
pub use diagnostic::{Diagnostic, Severity, Sink};
pub use guard::guarded;
pub use near::nearest;
pub use source::{Excerpt, FileId, Place, Sources};
