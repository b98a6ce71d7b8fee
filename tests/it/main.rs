//! Tests of the whole house: its walls, its books, its commands.

mod bellows;
mod books;
mod bounds;
mod commands;
mod covers;
mod facts;
mod guide;
mod hostile;
mod hostile_books;
mod hostile_drawings;
mod hostile_pdfs;
mod hostile_rows;
#[path = "../../benches/speed/invent.rs"]
mod invent;
mod large_print;
mod lessons;
mod line_breaks;
mod messages;
mod mistakes;
mod modules;
mod own_fonts;
mod painter;
mod pictures;
mod plans;
mod press;
mod program;
mod readers;
mod reading;
mod reference;
mod reprint;
mod specimen;
mod spoken;
mod text_widths;
mod walls;
mod watch;
mod whole_files;
