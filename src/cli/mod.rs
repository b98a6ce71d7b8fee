//! Arguments, files, terminal, JSON: the only room that reads, writes and prints.

mod args;
mod box_text;
mod files;
mod json;
mod plan_text;
mod report;
