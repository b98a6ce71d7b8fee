//! Tests of the whole house: its walls, its books, its commands.

mod books;
mod bounds;
mod commands;
mod guide;
mod hostile;
mod hostile_rows;
#[path = "../../benches/speed/invent.rs"]
mod invent;
mod mistakes;
mod program;
mod readers;
mod text_widths;
mod walls;
