//! Tables from outside: comma, semicolon or tab separated files with a header row.
//!
//! Owns reading them through `Sources`: byte order mark, separator, decimal comma. Refuses to
//! guess: a row that is no value is reported with its number, never skipped.

use super::exact::Exact;
use crate::diagnostic::words::quantities as words;
use crate::diagnostic::{Diagnostic, SourceFault, Sources, Span};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Rows of a table at most.
const ROWS: usize = 1_000_000;
/// Faulty rows spelt out; the rest are counted.
const SPELT_OUT: usize = 12;

/// A header and its rows, cells trimmed.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Table {
    pub header: Vec<String>,
    /// (line number in the file, cells)
    pub rows: Vec<(u64, Vec<String>)>,
}

/// Why a table can't be had.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum TableFault {
    Source(SourceFault),
    NotText,
    Malformed(String),
}

impl TableFault {
    pub fn reported(&self, span: Span, file: &str) -> Diagnostic {
        match self {
            TableFault::Source(SourceFault::Missing) => {
                words::unreadable_file(span, file, "there is no such file")
            }
            TableFault::Source(SourceFault::Unreadable(why)) => words::unreadable_file(span, file, why),
            TableFault::Source(SourceFault::Outside) => {
                words::unreadable_file(span, file, "it lies outside the folder of the first file")
            }
            TableFault::Source(SourceFault::TooLarge { found, allowed }) => {
                words::unreadable_file(span, file, &format!("it has {found} bytes, the limit is {allowed}"))
            }
            TableFault::NotText => words::unreadable_file(span, file, "it is not UTF-8 text"),
            TableFault::Malformed(why) => words::bad_column(span, file, why, &[]),
        }
    }
}

/// Every table read so far.
pub(super) struct Shelf<'a> {
    sources: &'a dyn Sources,
    tables: BTreeMap<String, Result<Rc<Table>, TableFault>>,
}

impl<'a> Shelf<'a> {
    pub fn new(sources: &'a dyn Sources) -> Shelf<'a> {
        Shelf { sources, tables: BTreeMap::new() }
    }

    pub fn table(&mut self, path: &str) -> Result<Rc<Table>, TableFault> {
        if let Some(known) = self.tables.get(path) {
            return known.clone();
        }
        let read = self.read(path).map(Rc::new);
        self.tables.insert(path.to_string(), read.clone());
        read
    }

    fn read(&self, path: &str) -> Result<Table, TableFault> {
        let Some(path) = inside(path) else { return Err(TableFault::Source(SourceFault::Outside)) };
        let bytes = self.sources.read(&path).map_err(TableFault::Source)?;
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&bytes);
        let text = std::str::from_utf8(bytes).map_err(|_| TableFault::NotText)?;
        read_table(text)
    }
}

/// The path with `.` and `..` worked out; `None` where it leads out of the folder.
fn inside(path: &str) -> Option<String> {
    let mut parts: Vec<&str> = Vec::new();
    if path.starts_with('/') || path.contains(':') || path.contains('\\') {
        return None;
    }
    for part in path.split('/') {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            part => parts.push(part),
        }
    }
    Some(parts.join("/"))
}

fn read_table(text: &str) -> Result<Table, TableFault> {
    let first = text.lines().next().unwrap_or("");
    let separator =
        [b';', b'\t', b','].into_iter().find(|sign| first.as_bytes().contains(sign)).unwrap_or(b';');
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let mut header = None;
    let mut rows = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|fault| TableFault::Malformed(fault.to_string()))?;
        let line = record.position().map_or(0, csv::Position::line);
        let cells: Vec<String> = record.iter().map(str::to_string).collect();
        match header {
            None => header = Some(cells),
            Some(_) if cells.iter().all(String::is_empty) => {}
            Some(_) => rows.push((line, cells)),
        }
        if rows.len() > ROWS {
            return Err(TableFault::Malformed(format!("more than {ROWS} rows")));
        }
    }
    let Some(header) = header else { return Err(TableFault::Malformed("the file is empty".to_string())) };
    if header.iter().all(|cell| number(cell).is_some()) {
        return Err(TableFault::Malformed(
            "the first row holds numbers; it must name the columns (such as `cycle_min`)".to_string(),
        ));
    }
    Ok(Table { header, rows })
}

impl Table {
    pub fn column(&self, name: &str) -> Option<usize> {
        self.header.iter().position(|cell| cell == name)
    }

    /// A cell; empty where the row is short.
    pub fn cell<'t>(&self, row: &'t [String], column: usize) -> &'t str {
        row.get(column).map_or("", String::as_str)
    }

    /// A number of 0 or more in a cell.
    pub fn number(&self, cell: &str) -> Option<Exact> {
        number(cell)
    }
}

/// A comma parts decimals where it is the only sign: quoted, it does so in a comma separated file too.
fn number(cell: &str) -> Option<Exact> {
    match cell.matches(',').count() == 1 && !cell.contains('.') {
        true => Exact::typed(&cell.replace(',', ".")),
        false => Exact::typed(cell),
    }
}

/// The faulty rows of one file as help lines, the first ones spelt out.
pub(super) fn rows_spelt_out(rows: &[(u64, String)]) -> Vec<String> {
    let mut lines: Vec<String> =
        rows.iter().take(SPELT_OUT).map(|(line, why)| format!("line {line}: {why}")).collect();
    if rows.len() > SPELT_OUT {
        let rest: Vec<String> = rows[SPELT_OUT..].iter().map(|(line, _)| line.to_string()).collect();
        lines.push(format!("and lines {}", rest.join(", ")));
    }
    lines
}

/// The factor of a column's unit to microseconds, from the end of its name.
pub(super) fn unit_of_column(name: &str) -> Option<Exact> {
    let micros = match name.rsplit_once('_')?.1 {
        "s" => 1_000_000,
        "min" => 60_000_000,
        "h" => 3_600_000_000,
        _ => return None,
    };
    Some(Exact::whole(micros))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostic::MapSources;

    #[test]
    fn semicolons_bring_decimal_commas() {
        let table = read_table("part;cycle_min\nx; 1,5 \n\ny;2\n").unwrap();
        let column = table.column("cycle_min").unwrap();
        let values: Vec<_> =
            table.rows.iter().map(|(_, row)| table.number(table.cell(row, column))).collect();
        assert_eq!(values, vec![Exact::typed("1.5"), Exact::typed("2")]);
        assert_eq!(table.rows[1].0, 4);
    }

    #[test]
    fn a_table_without_names_is_refused() {
        assert!(matches!(read_table("1.5\n2\n"), Err(TableFault::Malformed(why)) if why.contains("name")));
        assert!(matches!(read_table(""), Err(TableFault::Malformed(_))));
    }

    #[test]
    fn paths_stay_inside_the_folder() {
        assert_eq!(inside("a/../b/./c.csv").as_deref(), Some("b/c.csv"));
        assert_eq!(inside("../c.csv"), None);
        assert_eq!(inside("/etc/passwd"), None);
        assert_eq!(inside("C:\\x"), None);
    }

    #[test]
    fn a_byte_order_mark_does_no_harm_and_a_file_is_read_once() {
        let sources = MapSources::one("t.csv", "\u{feff}cycle_min\n1\n");
        let mut shelf = Shelf::new(&sources);
        let table = shelf.table("t.csv").unwrap();
        assert_eq!(table.header, vec!["cycle_min"]);
        assert!(Rc::ptr_eq(&table, &shelf.table("t.csv").unwrap()));
        assert_eq!(shelf.table("u.csv"), Err(TableFault::Source(SourceFault::Missing)));
    }

    #[test]
    fn the_unit_stands_at_the_end_of_the_column_name() {
        assert_eq!(unit_of_column("cycle_min"), Some(Exact::whole(60_000_000)));
        assert_eq!(unit_of_column("cycle"), None);
        assert_eq!(unit_of_column("cycle_days"), None);
    }
}
