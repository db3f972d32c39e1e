//! Diagnostics as text for people: headline, place, the source underlined, the cure.
//!
//! Only the lines that a diagnostic touches go to the drawing, and of very long lines only the part
//! around the place, so that a hostile file costs no more to show than any other. Control characters
//! are made harmless, never passed on.

use super::json::severity;
use super::{Diagnostic, FileId, Places, Severity, SourceMap, Span};
use annotate_snippets::{
    Annotation, AnnotationKind, Group, Level, Origin, Renderer, Snippet, normalize_untrusted_str,
};
use std::borrow::Cow;
use std::ops::Range;

/// Lines between two places up to which they are shown in one excerpt.
const NEAR: usize = 6;
/// Bytes of a line up to which it is drawn from its start.
const LONG: usize = 4_000;
/// Bytes of a longer line that are drawn before and after a place.
const BEFORE: usize = 200;
const AFTER: usize = 400;

/// Each diagnostic as a paragraph, in the order given; ends with a line break unless empty.
#[must_use]
pub fn render_text(diagnostics: &[Diagnostic], map: &SourceMap, color: bool) -> String {
    let renderer = if color { Renderer::styled() } else { Renderer::plain() };
    let mut places = Places::new(map);
    let mut out = String::new();
    for diagnostic in diagnostics {
        if !out.is_empty() {
            out.push('\n');
        }
        let level = match diagnostic.severity {
            Severity::Error => Level::ERROR,
            Severity::Doubt => Level::WARNING.with_name(severity(Severity::Doubt)),
        };
        let title = level.primary_title(harmless(&diagnostic.headline)).id(diagnostic.code.text());
        let mut group = Group::with_title(title);
        for excerpt in excerpts(diagnostic, &mut places) {
            group = excerpt.draw(group, map);
        }
        let cures =
            diagnostic.help.iter().map(|help| Level::HELP.message(normalize_untrusted_str(&harmless(help))));
        out.push_str(&renderer.render(&[group.elements(cures)]));
        out.push('\n');
    }
    out
}

/// The drawing shows the control characters of ASCII as signs; the second set of them, which some
/// terminals obey too, becomes dots here. Each dot has as many bytes, so places stay right.
fn harmless(text: &str) -> Cow<'_, str> {
    let steers = |c: char| ('\u{80}'..='\u{9f}').contains(&c);
    if text.contains(steers) { Cow::Owned(text.replace(steers, "·")) } else { Cow::Borrowed(text) }
}

/// One place to underline, on one line: a span over several lines is underlined on its first.
struct Mark<'a> {
    file: FileId,
    line: usize,
    column: usize,
    /// Bytes of the file.
    range: Range<usize>,
    text: &'a str,
    primary: bool,
}

/// Some lines of one file with the places on them.
struct Excerpt<'a> {
    file: FileId,
    first_line: usize,
    column: usize,
    place_line: usize,
    source: String,
    /// The first line is not drawn from its start.
    cut: bool,
    /// Bytes of `source`.
    marks: Vec<(Range<usize>, &'a str, bool)>,
}

fn mark<'a>(span: Span, text: &'a str, primary: bool, places: &mut Places<'_>) -> Mark<'a> {
    let file = span.file;
    let range = places.range(span);
    let place = places.place(file, range.start);
    let end = range.end.min(places.line(file, place.line).end).max(range.start);
    Mark { file, line: place.line, column: place.column, range: range.start..end, text, primary }
}

fn excerpts<'a>(diagnostic: &'a Diagnostic, places: &mut Places<'_>) -> Vec<Excerpt<'a>> {
    let first = mark(diagnostic.primary, &diagnostic.marker, true, places);
    let mut groups = vec![vec![first]];
    for label in &diagnostic.labels {
        let mark = mark(label.span, &label.text, false, places);
        let near = |group: &&mut Vec<Mark<'_>>| {
            group[0].file == mark.file && group[0].line.abs_diff(mark.line) <= NEAR
        };
        match groups.iter_mut().find(near) {
            Some(group) => group.push(mark),
            None => groups.push(vec![mark]),
        }
    }
    groups.into_iter().map(|group| excerpt(group, places)).collect()
}

fn excerpt<'a>(marks: Vec<Mark<'a>>, places: &mut Places<'_>) -> Excerpt<'a> {
    let file = marks[0].file;
    let text = places.text(file);
    let lines = marks.iter().map(|mark| mark.line);
    let (from, to) = (lines.clone().min().unwrap_or(1), lines.max().unwrap_or(1));
    let mut source = String::new();
    let mut drawn = Vec::new();
    let mut any_cut = false;
    for line in from..=to {
        let bytes = places.line(file, line);
        let here = || marks.iter().filter(|mark| mark.line == line);
        let start = here().map(|mark| mark.range.start).min().unwrap_or(bytes.start);
        let shown = around(text, &bytes, start);
        let cut = shown.start > bytes.start;
        if cut {
            any_cut = true;
            source.push('…');
        }
        let offset = source.len();
        source.push_str(&harmless(&text[shown.clone()]));
        for mark in here() {
            let inside = |at: usize| at.clamp(shown.start, shown.end) - shown.start + offset;
            drawn.push((inside(mark.range.start)..inside(mark.range.end), mark.text, mark.primary));
        }
        source.push('\n');
    }
    let (place_line, column) = (marks[0].line, marks[0].column);
    Excerpt { file, first_line: from, column, place_line, source, cut: any_cut, marks: drawn }
}

/// The part of a line around a place.
fn around(text: &str, line: &Range<usize>, place: usize) -> Range<usize> {
    if line.len() <= LONG {
        return line.clone();
    }
    let mut start = place.saturating_sub(BEFORE).max(line.start);
    let mut end = place.saturating_add(AFTER).min(line.end);
    while !text.is_char_boundary(start) {
        start += 1;
    }
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    start.min(end)..end
}

impl<'a> Excerpt<'a> {
    fn draw(self, group: Group<'a>, map: &'a SourceMap) -> Group<'a> {
        let path = map.get(self.file).map_or("", |file| file.path.as_str());
        let origin = || Origin::path(path).line(self.place_line).char_column(self.column);
        if self.source.trim().is_empty() {
            return group.element(origin());
        }
        let annotation = |(range, text, primary): (Range<usize>, &'a str, bool)| -> Annotation<'a> {
            let kind = if primary { AnnotationKind::Primary } else { AnnotationKind::Context };
            kind.span(range).label((!text.is_empty()).then_some(text))
        };
        // The drawing counts columns itself; where a line is cut they have to be told.
        let (group, path) = if self.cut { (group.element(origin()), None) } else { (group, Some(path)) };
        let snippet = Snippet::source(self.source).line_start(self.first_line).path(path);
        group.element(snippet.annotations(self.marks.into_iter().map(annotation)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::Code;

    fn shown(text: &str, diagnostic: Diagnostic) -> String {
        let mut map = SourceMap::default();
        map.add("plant.line", text);
        render_text(&[diagnostic], &map, false)
    }

    fn fault(start: usize, end: usize) -> Diagnostic {
        Diagnostic::new(Code::Unreadable, Span::new(FileId(0), start, end), "what is wrong").marked("here")
    }

    #[test]
    fn a_diagnostic_shows_headline_place_source_labels_and_cures() {
        let diagnostic = fault(12, 16).label(Span::new(FileId(0), 5, 8), "it is about this").help("do that");
        let expected = "error[T101]: what is wrong
 --> plant.line:1:13
  |
1 | task a01    tkes 3 min
  |      ---    ^^^^ here
  |      |
  |      it is about this
  |
  = help: do that
";
        assert_eq!(shown("task a01    tkes 3 min", diagnostic), expected);
    }

    #[test]
    fn places_far_apart_are_shown_one_by_one() {
        let text = format!("task a\n{}task a\n", "\n".repeat(500));
        let diagnostic = fault(text.len() - 2, text.len() - 1).label(Span::new(FileId(0), 5, 6), "first");
        let shown = shown(&text, diagnostic);
        assert!(shown.contains("plant.line:502:6"), "{shown}");
        assert!(shown.lines().count() < 15, "{shown}");
    }

    #[test]
    fn control_characters_of_the_source_are_made_harmless() {
        let text = "task \u{1b}[31mred\u{7}\u{202e}x\u{0}\u{9b}31m";
        let diagnostic = fault(5, 6).help("not \u{1b}[31m here either");
        let shown = shown(text, diagnostic);
        assert!(!shown.chars().any(|c| c != '\n' && (c.is_control() || c == '\u{202e}')), "{shown:?}");
    }

    #[test]
    fn a_line_of_a_million_characters_is_cut_around_the_place() {
        let text = format!("{}tkes{}", "é ".repeat(300_000), " ü".repeat(300_000));
        let shown = shown(&text, fault(900_000, 900_004));
        assert!(shown.contains("plant.line:1:600001"), "{shown}");
        assert!(shown.contains("tkes") && shown.len() < 3_000, "{shown}");
    }

    #[test]
    fn any_span_over_any_text_is_drawn() {
        let texts = ["", "\n", "a", "é", "\r", "a\r\nb", "a\rb", "\u{feff}a", "溶接\n\t溶", "\0", "a\n\n"];
        for text in texts {
            for start in 0..=text.len() + 2 {
                for end in 0..=text.len() + 2 {
                    let odd = Span { file: FileId(0), start: start as u32, end: end as u32 };
                    let diagnostic = Diagnostic { primary: odd, ..fault(0, 0) }.label(odd, "and this");
                    assert!(shown(text, diagnostic).starts_with("error[T101]"));
                }
            }
        }
    }

    #[test]
    fn a_span_over_several_lines_is_underlined_on_its_first() {
        let shown = shown("task a\n  takes\n  3", fault(5, 17));
        assert!(shown.contains("1 | task a\n  |      ^ here"), "{shown}");
    }
}
