//! Everything the library needs from outside comes through `Sources`; a map stands in for the disk in tests.

use super::FileId;
use std::collections::BTreeMap;

/// Why a file could not be had.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum SourceFault {
    /// No such file.
    Missing,
    /// It exists but can't be read; the system's reason in its own words.
    Unreadable(String),
    /// It lies outside the folder tree of the first file.
    Outside,
    /// Larger than the limit (bytes found, bytes allowed).
    TooLarge { found: u64, allowed: u64 },
}

/// What the library asks of the outside world.
pub trait Sources {
    /// The bytes of the file at `path`, written relative to the folder of the first file with `/`
    /// between parts and no `..` left in it. Encoding is judged by the caller.
    fn read(&self, path: &str) -> Result<Vec<u8>, SourceFault>;
    /// Today's date as year, month, day: only ever shown, never part of a result.
    fn today(&self) -> (i16, i8, i8);
}

/// Files held in memory, for tests and for text that comes from standard input.
#[derive(Clone, Default, Debug)]
pub struct MapSources {
    pub files: BTreeMap<String, Vec<u8>>,
}

impl MapSources {
    /// One file of that name.
    pub fn one(name: &str, text: &str) -> MapSources {
        MapSources { files: BTreeMap::from([(name.to_string(), text.as_bytes().to_vec())]) }
    }
}

impl Sources for MapSources {
    fn read(&self, path: &str) -> Result<Vec<u8>, SourceFault> {
        self.files.get(path).cloned().ok_or(SourceFault::Missing)
    }

    fn today(&self) -> (i16, i8, i8) {
        (2026, 1, 1)
    }
}

/// Some files as they would be, the rest as they are.
pub struct Patched<'a> {
    /// By name.
    pub files: Vec<(String, String)>,
    pub under: &'a dyn Sources,
}

impl Sources for Patched<'_> {
    fn read(&self, path: &str) -> Result<Vec<u8>, SourceFault> {
        match self.files.iter().find(|(name, _)| name == path) {
            Some((_, text)) => Ok(text.clone().into_bytes()),
            None => self.under.read(path),
        }
    }

    fn today(&self) -> (i16, i8, i8) {
        self.under.today()
    }
}

/// A file that has been read: its shown path and its text (valid UTF-8, as it stands on disk).
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct FileText {
    pub path: String,
    pub text: String,
}

/// Every file read so far; `FileId` is the index.
#[derive(Clone, Default, Debug)]
pub struct SourceMap {
    pub files: Vec<FileText>,
}

impl SourceMap {
    pub fn add(&mut self, path: impl Into<String>, text: impl Into<String>) -> FileId {
        self.files.push(FileText { path: path.into(), text: text.into() });
        FileId(u32::try_from(self.files.len() - 1).unwrap_or(u32::MAX))
    }

    /// `None` for an id that was never handed out.
    pub fn get(&self, file: FileId) -> Option<&FileText> {
        self.files.get(file.0 as usize)
    }
}
