//! An author's YAML into a tree whose every key and value knows its place, checked against a shape, then into typed structs.
//!
//! One pass over the events of a marked parser bounds size and depth and refuses what a book never needs (anchors, aliases,
//! tags, merge keys, duplicate keys, second documents). The tree is checked whole, so that an author sees all mistakes at
//! once; then serde_yaml reads the typed struct. Knows no key of the format by name. Follows YAML 1.2.2.

mod check;
mod emit;
mod events;
mod forms;
pub mod hazards;
mod node;
mod overlay;
mod scalars;
mod shape;
mod slips;

pub use check::check;
pub use emit::typed;
pub use events::mark;
pub use hazards::readable;
pub use node::{Entry, Node, ScalarStyle, Value};
pub use overlay::overlay;
pub use shape::Shapes;
