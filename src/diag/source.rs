//! The author's files as read, and places in them.

use std::ops::Range;

/// A file of a run, as an index into [`Sources`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(u32);

impl FileId {
    /// Its number among the files of a run, in the order in which they were read.
    pub const fn number(self) -> u32 {
        self.0
    }
}

/// A place in a file. Lines and columns are 1-based; columns count characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// The file.
    pub file: FileId,
    /// 1-based line.
    pub line: u32,
    /// 1-based column, in characters.
    pub column: u32,
    /// How many characters are meant; at least 1.
    pub width: u32,
}

/// All files of a run, with the text that was read.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    files: Vec<(String, String)>,
}

impl Sources {
    /// Takes a file in; `path` is how the author knows it.
    pub fn add(&mut self, path: impl Into<String>, text: impl Into<String>) -> FileId {
        let id = u32::try_from(self.files.len()).expect("a run reads fewer than 2^32 files");
        self.files.push((path.into(), text.into()));
        FileId(id)
    }
    /// The author's names of all files, in the order they were read.
    pub fn paths(&self) -> impl Iterator<Item = &str> {
        self.files.iter().map(|(path, _)| path.as_str())
    }
    /// The author's name of a file.
    pub fn path(&self, file: FileId) -> &str {
        &self.files[file.0 as usize].0
    }
    /// The whole text of a file.
    pub fn text(&self, file: FileId) -> &str {
        &self.files[file.0 as usize].1
    }
    /// One line of a file, 1-based, without its line end; empty if there is none.
    pub fn line(&self, file: FileId, line: u32) -> &str {
        let nth = (line.max(1) - 1) as usize;
        self.text(file).split('\n').nth(nth).unwrap_or("").trim_end_matches('\r')
    }
    /// All of a file as an excerpt.
    pub fn excerpt(&self, file: FileId) -> Excerpt {
        Excerpt::whole(file, self.text(file))
    }
}

impl Place {
    /// A place one character wide.
    pub const fn new(file: FileId, line: u32, column: u32) -> Self {
        Self { file, line, column, width: 1 }
    }
    /// The same place, `width` characters wide.
    pub const fn wide(self, width: u32) -> Self {
        Self { width, ..self }
    }
}

/// A text that stands inside a file, such as the ABC in a YAML block, with the way back to the file's lines and columns.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Excerpt {
    /// The text itself, as a reader sees it.
    pub text: String,
    file: FileId,
    /// For each line of `text`: the file's line and the column of its first character, both 1-based.
    lines: Vec<(u32, u32)>,
    /// Where each line of `text` starts, in bytes.
    starts: Vec<usize>,
}

fn starts(text: &str) -> Vec<usize> {
    // Counted first: a table that grows is there twice while it does.
    let mut starts = Vec::with_capacity(text.matches('\n').count() + 1);
    starts.push(0);
    starts.extend(text.match_indices('\n').map(|(at, _)| at + 1));
    starts
}

impl Excerpt {
    /// A whole file.
    pub fn whole(file: FileId, text: &str) -> Self {
        let count = text.split('\n').count();
        let lines = (1..=count).map(|n| (u32::try_from(n).unwrap_or(u32::MAX), 1)).collect();
        Self { text: text.to_owned(), file, lines, starts: starts(text) }
    }
    /// A text whose `n`th line starts at `lines[n]` (line, column; 1-based) of the file.
    pub fn new(file: FileId, text: impl Into<String>, lines: Vec<(u32, u32)>) -> Self {
        let text = text.into();
        let starts = starts(&text);
        Self { text, file, lines, starts }
    }
    /// Some of its lines, 0-based, one range after the other; what lies beyond the last line is not there.
    pub fn lines(&self, ranges: &[Range<usize>]) -> Self {
        let (mut text, mut lines) = (String::new(), Vec::new());
        for range in ranges {
            let at = |line: usize| self.starts.get(line).copied().unwrap_or(self.text.len());
            text.push_str(self.text.get(at(range.start)..at(range.end)).unwrap_or(""));
            lines.extend(self.lines.iter().take(range.end).skip(range.start));
        }
        Self::new(self.file, text, lines)
    }
    /// The file it stands in.
    pub const fn file(&self) -> FileId {
        self.file
    }
    /// The place of the character `column` (0-based) of the excerpt's line `line` (0-based).
    pub fn place(&self, line: usize, column: usize) -> Place {
        let (file_line, start) = self.lines.get(line).or(self.lines.last()).copied().unwrap_or((1, 1));
        Place::new(self.file, file_line, start + u32::try_from(column).unwrap_or(0))
    }
    /// The place of a byte offset into `text`; beyond its end, the end.
    pub fn place_at(&self, offset: usize) -> Place {
        let line = self.starts.partition_point(|start| *start <= offset).saturating_sub(1);
        let before = self.text.get(self.starts[line]..offset.min(self.text.len())).unwrap_or("");
        self.place(line, before.chars().count())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_excerpt_knows_its_place_in_the_file() {
        let mut sources = Sources::default();
        let file = sources.add("tunes/a.yaml", "title: A\nmusic: |\n  K:G\n  GAB\n");
        let block = Excerpt::new(file, "K:G\nGAB\n", vec![(3, 3), (4, 3)]);
        assert_eq!(block.place_at(5), Place::new(file, 4, 4));
        assert_eq!(block.place(0, 2), Place::new(file, 3, 5));
        assert_eq!(sources.line(file, 4), "  GAB");
    }
}
