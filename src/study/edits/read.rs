//! From edits to lines: each is put into the file as the layout that it is, and read and checked as any
//! other.

use crate::check::{self, Checked};
use crate::diagnostic::{Diagnostic, Patched, Sources, Span};
use crate::line::Line;
use crate::syntax;

/// Layouts that are added at once, at most.
const AT_ONCE: usize = 100;

/// A line file as it was read.
#[derive(Clone, Copy)]
pub struct LineFile<'f> {
    pub path: &'f str,
    pub sources: &'f (dyn Sources + Sync),
    /// Other values for its `let` names.
    pub sets: &'f [(String, String)],
}

/// A layout that the file does not have.
#[derive(Clone, Copy, Debug)]
pub struct NewLayout<'e> {
    pub name: &'e str,
    /// All of it, in the language.
    pub edit: &'e str,
}

/// The line of every new layout, or why the file does not allow it.
pub fn lines(file: &LineFile<'_>, layouts: &[NewLayout<'_>]) -> Vec<Result<Line, String>> {
    let text = match file.sources.read(file.path) {
        Ok(bytes) => String::from_utf8_lossy(&bytes).into_owned(),
        Err(_) => return vec![Err("the file can no longer be read".to_string()); layouts.len()],
    };
    let room = check::room_for_layouts(&syntax::load(file.path, file.sources).tree.statements);
    layouts.chunks(room.clamp(1, AT_ONCE)).flat_map(|some| added(file, &text, some)).collect()
}

fn added(file: &LineFile<'_>, text: &str, layouts: &[NewLayout<'_>]) -> Vec<Result<Line, String>> {
    let mut whole = format!("{text}\n");
    let mut spans = Vec::new();
    for layout in layouts {
        whole.push('\n');
        let start = whole.len();
        whole.push_str(layout.edit);
        spans.push((start, whole.len()));
    }
    let sources = Patched { files: vec![(file.path.to_string(), whole)], under: file.sources };
    let loaded = syntax::load(file.path, &sources);
    let mut checked = check::check(&loaded.tree, &sources, file.sets);
    checked.faults.extend(loaded.faults);
    let each = layouts.iter().zip(spans);
    each.map(|(layout, span)| {
        let found = checked.layouts.iter().position(|line| line.layout == layout.name);
        found.map(|at| checked.layouts.swap_remove(at)).ok_or_else(|| why_not(layout, span, &checked))
    })
    .collect()
}

/// What the checker says against it.
fn why_not(layout: &NewLayout<'_>, (start, end): (usize, usize), checked: &Checked) -> String {
    let inside = |span: Span| {
        let (from, to) = (span.start as usize, span.end as usize);
        span.file.0 == 0 && start <= from && to <= end
    };
    let label = format!("\"{}\"", layout.name);
    let about_it =
        |fault: &&Diagnostic| inside(fault.primary) || fault.help.iter().any(|help| help.contains(&label));
    let found = checked.faults.iter().filter(|fault| fault.is_error()).find(about_it);
    found.map_or_else(|| "the file does not allow it".to_string(), |fault| fault.headline.clone())
}
