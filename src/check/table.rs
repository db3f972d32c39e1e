//! Tables from outside: comma, semicolon or tab separated files with a header row.
//!
//! Owns reading them through `Sources`: byte order mark, separator, decimal comma. Refuses to
//! guess: a row that is no value is reported with its number, never skipped.

use super::exact::Exact;
use crate::diagnostic::words::tables as words;
use crate::diagnostic::{Diagnostic, SourceFault, Sources, Span};
use crate::syntax::path_inside;
use std::collections::BTreeMap;
use std::rc::Rc;

/// Rows of a table at most.
const ROWS: usize = 1_000_000;

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
    Empty,
    NoHeader,
    TooManyRows,
    /// In the reader's words.
    Malformed(String),
}

impl TableFault {
    pub fn reported(&self, span: Span, file: &str) -> Diagnostic {
        match self {
            TableFault::Source(SourceFault::Missing) => words::missing(span, file),
            TableFault::Source(SourceFault::Unreadable(why)) => words::refused(span, file, why),
            TableFault::Source(SourceFault::Outside) => words::outside(span, file),
            TableFault::Source(SourceFault::TooLarge { found, allowed }) => {
                words::too_large(span, file, *found, *allowed)
            }
            TableFault::NotText => words::not_text(span, file),
            TableFault::Empty => words::empty(span, file),
            TableFault::NoHeader => words::no_header(span, file),
            TableFault::TooManyRows => words::too_many_rows(span, file, ROWS),
            TableFault::Malformed(why) => words::malformed(span, file, why),
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
        let Some(path) = path_inside(path) else { return Err(TableFault::Source(SourceFault::Outside)) };
        let bytes = self.sources.read(&path).map_err(TableFault::Source)?;
        let bytes = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(&bytes);
        let text = std::str::from_utf8(bytes).map_err(|_| TableFault::NotText)?;
        read_table(text)
    }
}

/// The line of a record: the reader counts blank lines before a record to it.
fn line_of(text: &str, start: &csv::Position) -> u64 {
    let from = usize::try_from(start.byte()).unwrap_or(usize::MAX);
    let rest = text.as_bytes().get(from..).unwrap_or_default();
    let blank = rest.iter().take_while(|byte| matches!(byte, b'\n' | b'\r'));
    start.line() + blank.filter(|byte| **byte == b'\n').count() as u64
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
        let line = record.position().map_or(0, |start| line_of(text, start));
        let cells: Vec<String> = record.iter().map(str::to_string).collect();
        match header {
            None => header = Some(cells),
            Some(_) if cells.iter().all(String::is_empty) => {}
            Some(_) => rows.push((line, cells)),
        }
        if rows.len() > ROWS {
            return Err(TableFault::TooManyRows);
        }
    }
    let Some(header) = header else { return Err(TableFault::Empty) };
    if header.iter().all(|cell| number(cell).is_some()) {
        return Err(TableFault::NoHeader);
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
        assert_eq!(read_table("1.5\n2\n"), Err(TableFault::NoHeader));
        assert_eq!(read_table(""), Err(TableFault::Empty));
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
