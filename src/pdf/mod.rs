//! Sheets into bytes, and finished files back into facts. Knows no music.
