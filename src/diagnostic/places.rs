//! From bytes to lines and columns, as people and editors count them.

use super::{FileId, SourceMap, Span};
use std::collections::BTreeMap;
use std::ops::Range;

/// A place in a file, counted from 1; columns in characters.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Place {
    pub line: usize,
    pub column: usize,
}

/// Finds lines and columns in the files of a source map.
///
/// Asked in rising order, as sorted diagnostics do, it counts every character once: a file that is one
/// endless line full of faults costs no more than any other.
pub struct Places<'a> {
    map: &'a SourceMap,
    files: BTreeMap<FileId, Lines>,
}

/// Starts of lines, and the last column that was counted.
struct Lines {
    starts: Vec<usize>,
    /// Byte, its line (an index), characters of the line before it.
    last: (usize, usize, usize),
}

impl<'a> Places<'a> {
    #[must_use]
    pub fn new(map: &'a SourceMap) -> Places<'a> {
        Places { map, files: BTreeMap::new() }
    }

    /// The text of a file; empty where there is none.
    #[must_use]
    pub fn text(&self, file: FileId) -> &'a str {
        self.map.get(file).map_or("", |file| &file.text)
    }

    /// The bytes of a span, held inside the text and moved out to whole characters.
    #[must_use]
    pub fn range(&self, span: Span) -> Range<usize> {
        let text = self.text(span.file);
        let border = |at: u32, step: fn(usize) -> usize| {
            let mut at = (at as usize).min(text.len());
            while !text.is_char_boundary(at) {
                at = step(at);
            }
            at
        };
        let start = border(span.start, |at| at - 1);
        start..border(span.end, |at| at + 1).max(start)
    }

    /// The place of a byte (one that `range` gave).
    pub fn place(&mut self, file: FileId, byte: usize) -> Place {
        let text = self.text(file);
        let lines = self.lines(file);
        let line = lines.starts.partition_point(|start| *start <= byte).max(1) - 1;
        let (from, counted) = match lines.last {
            (last, last_line, count) if last_line == line && last <= byte => (last, count),
            _ => (lines.starts[line], 0),
        };
        let count = counted + text.get(from..byte).map_or(0, |part| part.chars().count());
        lines.last = (byte, line, count);
        Place { line: line + 1, column: count + 1 }
    }

    /// The bytes of a line (counted from 1) without its line break.
    pub fn line(&mut self, file: FileId, line: usize) -> Range<usize> {
        let text = self.text(file);
        let starts = &self.lines(file).starts;
        let start = starts.get(line - 1).copied().unwrap_or(text.len());
        let end = starts.get(line).copied().unwrap_or(text.len());
        start..start + text[start..end].trim_end_matches(['\n', '\r']).len()
    }

    fn lines(&mut self, file: FileId) -> &mut Lines {
        let text = self.text(file);
        self.files.entry(file).or_insert_with(|| {
            let bytes = text.as_bytes();
            // A line ends at \n, at \r\n, or at \r alone.
            let ends = |(at, byte): (usize, &u8)| match byte {
                b'\n' => Some(at + 1),
                b'\r' if bytes.get(at + 1) != Some(&b'\n') => Some(at + 1),
                _ => None,
            };
            let starts = std::iter::once(0).chain(bytes.iter().enumerate().filter_map(ends)).collect();
            Lines { starts, last: (0, 0, 0) }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_end_at_every_kind_of_break_and_columns_count_characters() {
        let mut map = SourceMap::default();
        let text = "aé\r\nb\rc\n溶接x";
        let file = map.add("a.line", text);
        let mut places = Places::new(&map);
        let mut at = |needle: &str| {
            let byte = text.find(needle).expect("it stands in the text");
            let place = places.place(file, byte);
            (place.line, place.column)
        };
        assert_eq!(at("x"), (4, 3));
        assert_eq!(at("é"), (1, 2));
        assert_eq!(at("b"), (2, 1));
        assert_eq!(at("c"), (3, 1));
        assert_eq!(at("溶"), (4, 1));
        assert_eq!(at("接"), (4, 2));
        assert_eq!(places.line(file, 1), 0..3);
        assert_eq!(places.line(file, 4), 9..text.len());
        assert_eq!(places.line(file, 9), text.len()..text.len());
    }

    #[test]
    fn a_span_is_held_inside_the_text_and_to_whole_characters() {
        let mut map = SourceMap::default();
        let file = map.add("a.line", "aéb");
        let places = Places::new(&map);
        assert_eq!(places.range(Span { file, start: 2, end: 2 }), 1..3);
        assert_eq!(places.range(Span { file, start: 3, end: 900 }), 3..4);
        assert_eq!(places.range(Span { file, start: 900, end: 3 }), 4..4);
        assert_eq!(places.range(Span { file: FileId(7), start: 1, end: 2 }), 0..0);
    }
}
