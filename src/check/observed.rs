//! Observed times: a column of a file as an empirical distribution.

use super::desk::Desk;
use super::exact::Exact;
use super::quantity;
use super::table::{Table, unit_of_column};
use crate::diagnostic::Span;
use crate::diagnostic::words::quantities as words;
use crate::diagnostic::words::tables::{self, RowFault};
use crate::line::Shape;
use crate::syntax::tree::Name;

/// The column that a time names; `unit` is the size of its stated unit, else the end of the
/// column's name says it. `span` is the whole time.
pub(super) fn observed(
    file: &Name,
    column: Option<&Name>,
    unit: Option<Exact>,
    span: Span,
    desk: &mut Desk,
) -> Option<Shape> {
    let table = desk.table(file)?;
    let index = column_of(&table, file, column, desk)?;
    let header = &table.header[index];
    let size = unit.or_else(|| unit_of_column(header));
    let Some(size) = size else {
        let what = format!("column `{header}` of {}", file.text);
        let fix = format!("observed \"{}\" column {header} min", file.text);
        desk.fault(words::missing_unit(span, &what, "a unit of time", &fix));
        return None;
    };
    let mut values = Vec::new();
    let mut bad: Vec<(u64, RowFault)> = Vec::new();
    for (line, row) in &table.rows {
        match time_of_cell(&table, table.cell(row, index), size) {
            Ok(micros) => values.push(micros.as_f64()),
            Err(fault) => bad.push((*line, fault)),
        }
    }
    if !bad.is_empty() {
        desk.fault(tables::bad_rows(file.span, &file.text, header, &bad));
        return None;
    }
    if values.is_empty() {
        desk.fault(tables::no_values(file.span, &file.text, header));
        return None;
    }
    values.sort_by(f64::total_cmp);
    Some(Shape::Observed { values })
}

/// The column named, or the only one.
fn column_of(table: &Table, file: &Name, column: Option<&Name>, desk: &mut Desk) -> Option<usize> {
    let Some(column) = column else {
        if table.header.len() > 1 {
            desk.fault(tables::which_column(file.span, &file.text, &table.header));
        }
        return (table.header.len() == 1).then_some(0);
    };
    let found = table.column(&column.text);
    if found.is_none() {
        let near = desk.near(&column.text, table.header.iter().map(String::as_str));
        desk.fault(tables::no_column(column.span, &file.text, &column.text, &near, &table.header));
    }
    found
}

/// A time from 0 to 400 days in a cell, in microseconds.
pub(super) fn time_of_cell(table: &Table, cell: &str, size: Exact) -> Result<Exact, RowFault> {
    match table.number(cell).and_then(|number| number.times(size)) {
        Some(micros) if micros <= Exact::whole(quantity::LONGEST.0) => Ok(micros),
        Some(_) => Err(RowFault::TooLong(cell.to_string())),
        None if cell.is_empty() => Err(RowFault::NoValue),
        None => Err(RowFault::NotATime(cell.to_string())),
    }
}
