//! Arguments, files, terminal, JSON: the only room that reads, writes and prints.
