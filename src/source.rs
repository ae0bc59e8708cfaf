//! Source text and places in it.
//!
//! A *file* is one text with the name a person knows it by. A *span* is a half-open range of bytes in one file.
//! The *line index* turns byte offsets into lines and columns; it is made once a file, when something in it is first told of, so that
//! no later stage counts newlines again. This module knows nothing of the language.

use std::num::NonZeroU32;
use std::ops::{Deref, Range};
use std::sync::{Arc, OnceLock};

/// Names one file of a compilation, and what its text is read for: a place of an `each`, a section that another file brings in.
#[derive(Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct FileId {
    number: u32,
    /// Counted from one, so that a place in the text stays small.
    section: Option<NonZeroU32>,
    /// The same.
    place: Option<NonZeroU32>,
}

fn from_one(count: usize) -> Option<NonZeroU32> {
    u32::try_from(count).ok().and_then(|count| NonZeroU32::new(count.saturating_add(1)))
}

fn from_zero(count: NonZeroU32) -> usize {
    count.get() as usize - 1
}

impl FileId {
    /// The file with this number, in order of loading from 0.
    pub const fn new(number: u32) -> FileId {
        FileId { number, section: None, place: None }
    }

    /// Its number, in order of loading from 0.
    pub const fn number(self) -> u32 {
        self.number
    }

    /// The same file, read for a place of an `each`: `place` counts all places of the procedure, from 0.
    #[must_use]
    pub fn at_place(self, place: usize) -> FileId {
        FileId { place: from_one(place), ..self }
    }

    /// The place of an `each` for which the text was read, if it was copied for one.
    pub fn place(self) -> Option<usize> {
        self.place.map(from_zero)
    }

    /// The same file, read for a section that stands in it: `section` counts those that a procedure brings in, or those of
    /// the library itself, from 0.
    #[must_use]
    pub fn for_section(self, section: usize) -> FileId {
        FileId { section: from_one(section), ..self }
    }

    /// The section for which the text was read, if it was read for one.
    pub fn section(self) -> Option<usize> {
        self.section.map(from_zero)
    }

    /// The same file, read for whatever it was, but for no place.
    #[must_use]
    pub fn of_all_places(self) -> FileId {
        FileId { place: None, ..self }
    }

    /// Whether `copy` is this text, or read from it for a place or a section.
    fn holds(self, copy: FileId) -> bool {
        let fits = |own: Option<NonZeroU32>, copy: Option<NonZeroU32>| own.is_none() || own == copy;
        self.number == copy.number && fits(self.section, copy.section) && fits(self.place, copy.place)
    }

    /// The file itself, whatever it was read for.
    #[must_use]
    pub fn whole(self) -> FileId {
        FileId::new(self.number)
    }
}

/// `FileId(0)`, and `FileId(0, place 2)`.
impl std::fmt::Debug for FileId {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "FileId({}", self.number)?;
        if let Some(section) = self.section() {
            write!(f, ", section {section}")?;
        }
        if let Some(place) = self.place() {
            write!(f, ", place {place}")?;
        }
        write!(f, ")")
    }
}

/// A half-open range of bytes in one file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Span {
    /// The file that the bytes stand in.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// A span from byte offsets. Offsets beyond 4 GiB cannot occur: files are bounded long before.
    pub fn new(file: FileId, start: usize, end: usize) -> Self {
        let clamp = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Span { file, start: clamp(start), end: clamp(end.max(start)) }
    }

    /// The smallest span that covers both. Spans of different files give the first back.
    pub fn to(self, other: Span) -> Span {
        if self.file != other.file {
            return self;
        }
        Span { file: self.file, start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// The empty place right before this span.
    pub fn before(self) -> Span {
        Span { end: self.start, ..self }
    }

    /// The same place of the text, whatever it was read for.
    #[must_use]
    pub fn whole(self) -> Span {
        Span { file: self.file.whole(), ..self }
    }

    /// The same place of the text, for all places of an `each`.
    #[must_use]
    pub fn of_all_places(self) -> Span {
        Span { file: self.file.of_all_places(), ..self }
    }

    /// Whether `other` lies wholly inside. A span of the text itself holds the copies of what stands in it.
    pub fn contains(self, other: Span) -> bool {
        self.file.holds(other.file) && self.start <= other.start && other.end <= self.end
    }

    /// The byte range, for slicing.
    pub fn range(self) -> Range<usize> {
        self.start as usize..self.end as usize
    }
}

/// A line and a column, both counted from one; the column counts characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Position {
    /// Line, from 1.
    pub line: u32,
    /// Column in characters, from 1.
    pub column: u32,
}

/// Where each line of a text begins.
#[derive(Debug, Clone)]
pub struct LineIndex {
    starts: Vec<u32>,
}

impl LineIndex {
    /// Reads the text once. LF and CRLF both end a line.
    pub fn new(text: &str) -> Self {
        let mut starts = vec![0];
        starts.extend(text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(at, _)| at as u32 + 1));
        LineIndex { starts }
    }

    /// The number (from 0) of the line that holds the byte.
    pub fn line_of(&self, offset: u32) -> usize {
        self.starts.partition_point(|start| *start <= offset).saturating_sub(1)
    }

    /// The byte at which a line (from 0) starts; the last line's for a number too large.
    pub fn start_of(&self, line: usize) -> u32 {
        self.starts.get(line).or(self.starts.last()).copied().unwrap_or(0)
    }

    /// How many lines there are; at least one.
    pub fn count(&self) -> usize {
        self.starts.len()
    }
}

/// A text: one that was read, or one that is built into the program and need not be copied.
#[derive(Debug, Clone)]
pub enum SourceText {
    /// It was read.
    Read(Arc<str>),
    /// It is built in.
    BuiltIn(&'static str),
}

impl Deref for SourceText {
    type Target = str;

    fn deref(&self) -> &str {
        match self {
            SourceText::Read(text) => text,
            SourceText::BuiltIn(text) => text,
        }
    }
}

impl<T: Into<Arc<str>>> From<T> for SourceText {
    fn from(text: T) -> Self {
        SourceText::Read(text.into())
    }
}

/// One text with its name and, once somebody asks, its line index.
#[derive(Debug, Clone)]
pub struct SourceFile {
    /// The path as a person should read it, relative to the project, with forward slashes.
    pub name: String,
    /// The whole text.
    pub text: SourceText,
    lines: OnceLock<LineIndex>,
}

impl SourceFile {
    /// Its lines. Of most files nothing is ever told.
    pub fn lines(&self) -> &LineIndex {
        self.lines.get_or_init(|| LineIndex::new(&self.text))
    }

    /// Line and column of a byte. Offsets past the end, or inside a character, are clamped.
    pub fn position(&self, offset: u32) -> Position {
        let mut at = (offset as usize).min(self.text.len());
        while !self.text.is_char_boundary(at) {
            at -= 1;
        }
        let line = self.lines().line_of(at as u32);
        let start = self.lines().start_of(line) as usize;
        let column = self.text.get(start..at).map_or(0, |part| part.chars().count());
        Position { line: line as u32 + 1, column: column as u32 + 1 }
    }

    /// The text of one line (from 0), without its line end.
    pub fn line_text(&self, line: usize) -> &str {
        let lines = self.lines();
        let start = lines.start_of(line) as usize;
        let end = if line + 1 < lines.count() { lines.start_of(line + 1) as usize } else { self.text.len() };
        self.text.get(start..end).unwrap_or("").trim_end_matches(['\n', '\r'])
    }
}

/// All files of one compilation.
#[derive(Debug, Clone, Default)]
pub struct Sources {
    files: Vec<SourceFile>,
}

impl Sources {
    /// Adds a text and gives its id.
    pub fn add(&mut self, name: impl Into<String>, text: impl Into<SourceText>) -> FileId {
        self.files.push(SourceFile { name: name.into(), text: text.into(), lines: OnceLock::new() });
        FileId::new(self.files.len() as u32 - 1)
    }

    /// The file of an id, if it is one of these sources.
    pub fn get(&self, id: FileId) -> Option<&SourceFile> {
        self.files.get(id.number as usize)
    }

    /// The text that a span covers; empty where the span does not fit its file.
    pub fn text(&self, span: Span) -> &str {
        self.get(span.file).and_then(|file| file.text.get(span.range())).unwrap_or("")
    }

    /// Every file with its id, in the order of reading.
    pub fn iter(&self) -> impl Iterator<Item = (FileId, &SourceFile)> {
        self.files.iter().enumerate().map(|(at, file)| (FileId::new(at as u32), file))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_copy_for_a_place_is_the_same_text_at_another_place() {
        let own = FileId::new(3);
        let copy = own.at_place(7);
        assert_eq!((own.place(), copy.place(), copy.whole()), (None, Some(7), own));
        let (whole, inside) = (Span::new(own, 2, 9), Span::new(copy, 3, 4));
        assert!(whole.contains(inside) && !inside.whole().contains(whole));
        assert!(!Span::new(own.at_place(6), 2, 9).contains(inside));
        let shared = own.for_section(1);
        assert_eq!((shared.section(), shared.at_place(7).section(), shared.whole()), (Some(1), Some(1), own));
        assert_eq!(shared.at_place(7).of_all_places(), shared);
        assert!(Span::new(shared, 2, 9).contains(Span::new(shared.at_place(7), 3, 4)));
        assert!(!Span::new(own.for_section(0), 2, 9).contains(Span::new(shared, 3, 4)));
    }

    #[test]
    fn positions_count_characters_and_clamp() {
        let mut sources = Sources::default();
        let id = sources.add("a.fitw", "ab\r\n5 N·m\n");
        let file = sources.get(id).expect("just added");
        assert_eq!(file.position(0), Position { line: 1, column: 1 });
        let dot = file.text.find("m\n").expect("in the text") as u32;
        assert_eq!(file.position(dot), Position { line: 2, column: 5 });
        assert_eq!(file.position(10_000).line, 3);
        assert_eq!(file.line_text(0), "ab");
    }
}
