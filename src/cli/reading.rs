//! A line file from the disk, its faults shown, one of its layouts chosen.

use super::console::{Console, Trouble};
use super::disk::FirstFile;
use super::options::LineArgs;
use std::path::Path;
use taktwright::Reading;
use taktwright::diagnostic::{Diagnostic, SourceMap, render_text};
use taktwright::line::Line;
use taktwright::study::nearest;
use taktwright::units::join_and;

/// Names listed where none is near, at most.
const MOST_NAMED: usize = 12;

/// Reads and checks the file; paths in its map read as the user typed them.
///
/// # Errors
/// The disk fails. A file that is not there is a fault in the reading.
pub fn read(path: &Path, sets: &[(String, String)]) -> Result<Reading, Trouble> {
    Ok(read_first(&FirstFile::open(path)?, sets))
}

fn read_first(first: &FirstFile, sets: &[(String, String)]) -> Reading {
    let mut reading = taktwright::read(&first.name, &first.sources, sets);
    for file in &mut reading.map.files {
        file.path.insert_str(0, &first.shown_before);
    }
    reading
}

/// As `read`; what is wrong with a file that can't be run is shown, and there is nothing to run.
///
/// # Errors
/// The disk fails.
pub fn sound(path: &Path, sets: &[(String, String)], console: Console) -> Result<Option<Reading>, Trouble> {
    sound_first(&FirstFile::open(path)?, sets, console)
}

/// As `sound`, of a file that has been opened.
///
/// # Errors
/// As `sound`.
pub fn sound_first(
    first: &FirstFile,
    sets: &[(String, String)],
    console: Console,
) -> Result<Option<Reading>, Trouble> {
    let reading = read_first(first, sets);
    if has_errors(&reading.faults) {
        show(&reading.faults, &reading.map, console);
        return Ok(None);
    }
    Ok(Some(reading))
}

/// Is there an error, so that nothing can be run?
pub fn has_errors(faults: &[Diagnostic]) -> bool {
    faults.iter().any(Diagnostic::is_error)
}

/// Shows faults (and doubts) with their source.
pub fn show(faults: &[Diagnostic], map: &SourceMap, console: Console) {
    if !faults.is_empty() {
        console.complain(&render_text(faults, map, true));
    }
}

/// The layout asked for; the file as it stands where none is.
///
/// # Errors
/// There is no such layout.
pub fn layout<'r>(reading: &'r Reading, args: &LineArgs) -> Result<&'r Line, Trouble> {
    let names: Vec<&str> = reading.layouts.iter().map(|line| line.layout.as_str()).collect();
    let wanted = args.layout.as_deref().unwrap_or(names.first().copied().unwrap_or("today"));
    let found = reading.layouts.iter().find(|line| line.layout == wanted);
    found.ok_or_else(|| not_among("layout", wanted, &names))
}

/// Nothing of that kind has the name; the nearest that there is.
pub fn not_among(what: &str, wanted: &str, known: &[&str]) -> Trouble {
    let cure = match nearest(wanted, known.iter().copied()) {
        Some(near) => format!("did you mean `{near}`?"),
        None if known.len() <= MOST_NAMED => format!("the file has {}", join_and(known)),
        None => format!("`taktwright check` lists every {what}"),
    };
    Trouble::Arguments(format!("no {what} is named `{wanted}`; {cure}"))
}
