//! Tests of the whole house: its walls, its books, its commands.

mod walls;
