//! A plan into words: facts, walk-throughs, counts, alternative text; one word table per language.
//!
//! Takes a [`Tune`](crate::tune::Tune), its [`Plan`](crate::fingering::Plan) and a language tag; gives sentences. Knows no
//! paper and no Markdown. Everything said is read off the plan at each call, so it changes when the plan does. Which of
//! several wordings is taken follows from the bar and the note alone.

mod alt;
mod alt_box;
mod ask;
mod bellows;
mod count;
mod facts;
mod left;
mod other;
mod symbol;
mod walk;
mod words;

pub use alt::Printed;
pub use alt_box::{BoxWords, Stop, value_name};
pub use bellows::bellows_begin;
pub use count::{Count, counted_example, counts};
pub use facts::Lesson;

#[cfg(test)]
mod alt_tests;
#[cfg(test)]
mod fixture;
#[cfg(test)]
mod tests;
