//! The tables of a report as one workbook (Office Open XML, ISO/IEC 29500), a sheet for each.
//!
//! Fields as `tables` lays them flat: numbers are numbers, words are words and never formulas. The bytes say nothing of
//! when or where they were written.

use super::record::Report;
use super::tables::{Column, Field, Table, tables};
use super::wording::title;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, Worksheet, XlsxError};

/// Narrowest and widest column, in characters.
const WIDTHS: (usize, usize) = (8, 44);

/// The bytes of the workbook.
///
/// # Errors
/// The form has no room for it: a label longer than a cell, a table longer than a sheet; in words.
pub fn file(report: &Report) -> Result<Vec<u8>, String> {
    written(report).map_err(|error| error.to_string())
}

fn written(report: &Report) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    // Any date that never changes; the format has to have one.
    let date = ExcelDateTime::from_ymd(2000, 1, 1)?;
    workbook.set_properties(&DocProperties::new().set_title(title(report)).set_creation_datetime(&date));
    let head = Format::new().set_bold().set_text_wrap();
    for table in &tables(report) {
        sheet(workbook.add_worksheet(), table, &head)?;
    }
    workbook.save_to_buffer()
}

fn sheet(sheet: &mut Worksheet, table: &Table, head: &Format) -> Result<(), XlsxError> {
    sheet.set_name(table.name)?;
    sheet.set_freeze_panes(1, 0)?;
    let headings: Vec<String> = table.columns.iter().flat_map(Column::headings).collect();
    let mut widths: Vec<usize> = headings.iter().map(|heading| heading.chars().count() / 2).collect();
    for (column, heading) in (0..).zip(&headings) {
        sheet.write_string_with_format(0, column, heading, head)?;
    }
    for (row, record) in (1..).zip(&table.rows) {
        for ((column, field), width) in (0..).zip(record.fields()).zip(&mut widths) {
            match field {
                Field::Text(text) => {
                    *width = (*width).max(text.chars().count());
                    sheet.write_string(row, column, text)?;
                }
                Field::Number(number) => {
                    sheet.write_number(row, column, number)?;
                }
                Field::Empty => {}
            }
        }
    }
    for (column, width) in (0..).zip(widths) {
        sheet.set_column_width(column, width.clamp(WIDTHS.0, WIDTHS.1) as f64)?;
    }
    Ok(())
}
