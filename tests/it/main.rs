//! Tests of the whole house: its walls, its books, its commands.

mod bellows;
mod books;
mod commands;
mod guide;
mod hostile;
#[path = "../../benches/speed/invent.rs"]
mod invent;
mod lessons;
mod messages;
mod mistakes;
mod program;
mod reference;
mod specimen;
mod text_widths;
mod walls;
