//! A place: a file and a range of bytes in it.

/// Index into the `SourceMap`; 0 is the file named on the command line.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct FileId(pub u32);

/// Bytes `start..end` of one file. Rendering clamps it to the text and to character borders.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Span {
    pub file: FileId,
    pub start: u32,
    pub end: u32,
}

impl Span {
    pub fn new(file: FileId, start: usize, end: usize) -> Span {
        let clamp = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Span { file, start: clamp(start.min(end)), end: clamp(end.max(start)) }
    }

    /// The smallest span that covers both (of the first one's file).
    pub fn to(self, other: Span) -> Span {
        Span { file: self.file, start: self.start.min(other.start), end: self.end.max(other.end) }
    }
}
