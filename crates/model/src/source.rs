//! Where a value was written: files, places in them, and values that remember their place.

use core::fmt;
use core::ops::Deref;
use std::sync::Arc;

use serde::{Serialize, Serializer};

/// A file that took part in a load, by its number in [`Sources`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(u32);

/// Some bytes of one file. Places order by file, then by start.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Place {
    /// The file.
    pub file: FileId,
    /// First byte.
    pub start: u32,
    /// Byte after the last one; `start <= end`.
    pub end: u32,
}

impl Place {
    pub(crate) fn new(file: FileId, span: core::ops::Range<usize>) -> Self {
        let clip = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        Self {
            file,
            start: clip(span.start),
            end: clip(span.end.max(span.start)),
        }
    }
    /// The place of something that stands in no file, such as the rail `input`: the start of the first file.
    pub(crate) fn nowhere() -> Self {
        Self {
            file: FileId(0),
            start: 0,
            end: 0,
        }
    }
    /// The bytes as a range of the file's text.
    #[must_use]
    pub fn range(self) -> core::ops::Range<usize> {
        self.start as usize..self.end as usize
    }
}

/// A file as it was given: its path inside the swap folder and its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SourceFile {
    /// Path relative to the swap folder, with `/` between its parts.
    pub path: String,
    /// The whole text; empty where it could not be read.
    pub text: Arc<str>,
    /// The byte at which each line begins: a file with a hundred thousand faults is still shown soon.
    lines: Arc<[u32]>,
}

/// All files of a load, kept so that a finding deep in the plan can still underline a word.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sources {
    files: Vec<SourceFile>,
}

impl Sources {
    pub(crate) fn add(&mut self, path: &str, text: &str) -> FileId {
        let id = FileId(u32::try_from(self.files.len()).unwrap_or(u32::MAX));
        let ends = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n');
        let starts = ends.map(|(at, _)| u32::try_from(at + 1).unwrap_or(u32::MAX));
        self.files.push(SourceFile {
            path: path.to_owned(),
            text: Arc::from(text),
            lines: std::iter::once(0).chain(starts).collect(),
        });
        id
    }
    /// The file of a place.
    #[must_use]
    pub fn file(&self, id: FileId) -> &SourceFile {
        &self.files[id.0 as usize]
    }
    /// A place brought inside its file and onto borders of characters.
    pub(crate) fn fitted(&self, place: Place) -> Place {
        let text = &self.file(place.file).text;
        let down = |at: u32| {
            let at = text.floor_char_boundary(at as usize);
            u32::try_from(at).unwrap_or(u32::MAX)
        };
        let start = down(place.start);
        Place {
            start,
            end: down(place.end).max(start),
            ..place
        }
    }
    /// All files in the order of reading.
    #[must_use]
    pub fn files(&self) -> &[SourceFile] {
        &self.files
    }
    /// Line and column of the start of a place, both from 1; the column counts characters.
    #[must_use]
    pub fn line_column(&self, place: Place) -> (usize, usize) {
        let file = self.file(place.file);
        let line = file.lines.partition_point(|start| *start <= place.start);
        let start = file.lines[line - 1] as usize;
        let at = file.text.floor_char_boundary(place.start as usize);
        // A byte order mark is no column: nobody sees it.
        let before = file.text[start.min(at)..at].trim_start_matches('\u{feff}');
        let column = before.chars().count() + 1;
        (line, column)
    }
    /// "boards/alder.toml:41:8", the way editors understand it.
    #[must_use]
    pub fn show(&self, place: Place) -> String {
        let (line, column) = self.line_column(place);
        format!("{}:{line}:{column}", self.file(place.file).path)
    }
}

/// A value with the place where it was written. Equality ignores the place.
#[derive(Clone, Copy, Debug)]
pub struct Located<T> {
    /// What was written.
    pub value: T,
    /// Where.
    pub place: Place,
}

impl<T> Deref for Located<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.value
    }
}

impl<T: PartialEq> PartialEq for Located<T> {
    fn eq(&self, other: &Self) -> bool {
        self.value == other.value
    }
}

impl<T: fmt::Display> fmt::Display for Located<T> {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.value.fmt(formatter)
    }
}

impl<T: Serialize> Serialize for Located<T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.value.serialize(serializer)
    }
}

/// A name that a person wrote.
pub type Name = Located<String>;
