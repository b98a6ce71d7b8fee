//! Boxes: which button gives which note on the push and on the pull, and the left hand.
//!
//! Takes nothing, gives vocabulary and the built-in layouts as YAML text, which `book` reads exactly like an author's own
//! box. Buttons are counted from the chin end, from 1. Pitches are those of the middle reed, as written on a staff.

mod builtin;
mod layout;

pub use builtin::builtin;
pub use layout::{
    Bellows, Button, ButtonId, Direction, Instrument, LeftButton, LeftButtonId, LeftHand, LeftKind, LeftSound, Row,
    RowAt, Thirds, Triad,
};
