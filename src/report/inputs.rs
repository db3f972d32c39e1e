//! What a report was made from: the file's own rows, and where each name stands in them.

use std::collections::BTreeMap;

use super::check_page::TimeRow;
use super::replay::Replay;
use super::sheets::{Sheet, sheets};
use crate::diagnostic::{FileText, Places, SourceMap, Span};
use crate::line::Line;

/// A row of a file, both counted as people see them: files from 0, rows from 1.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct SourceRow {
    pub file: usize,
    pub row: usize,
}

#[derive(Clone, PartialEq, Debug, Default)]
pub struct Inputs {
    pub files: Vec<FileText>,
    /// Values given from outside for `let` names.
    pub sets: Vec<(String, String)>,
    /// A page for each station's crew.
    pub sheets: Vec<Sheet>,
    /// A shift to be played; none where the line has no shifts.
    pub replay: Option<Replay>,
    rows: BTreeMap<String, SourceRow>,
}

impl Inputs {
    /// `times` are those of the page of `check`.
    pub fn of(line: &Line, map: &SourceMap, sets: &[(String, String)], times: &[TimeRow]) -> Inputs {
        let mut places = Places::new(map);
        let mut rows = BTreeMap::new();
        for (name, span) in declared(line) {
            let start = places.range(span).start;
            let row = places.place(span.file, start).line;
            // Names of crews and groups may be those of stations: the first stands.
            rows.entry(name.to_string()).or_insert(SourceRow { file: span.file.0 as usize, row });
        }
        Inputs {
            files: map.files.clone(),
            sets: sets.to_vec(),
            sheets: sheets(line, times),
            replay: None,
            rows,
        }
    }

    /// Where a name of the file, or the text of a promise, is stated.
    pub fn row_of(&self, name: &str) -> Option<SourceRow> {
        self.rows.get(name).copied()
    }
}

fn declared(line: &Line) -> impl Iterator<Item = (&str, Span)> {
    let places = line.places.iter().map(|p| (p.name.as_str(), p.span));
    let tests = line.tests.iter().map(|t| (t.name.as_str(), t.span));
    let steps = line.steps.iter().map(|s| (s.name.as_str(), s.span));
    let models = line.models.iter().map(|m| (m.name.as_str(), m.span));
    let equipment = line.equipment.iter().map(|e| (e.name.as_str(), e.span));
    let parts = line.parts.iter().map(|p| (p.name.as_str(), p.span));
    let groups = line.groups.iter().map(|g| (g.name.as_str(), g.span));
    let promises = line.promises.iter().map(|p| (p.text.as_str(), p.span));
    places.chain(tests).chain(steps).chain(models).chain(equipment).chain(parts).chain(groups).chain(promises)
}
