//! The tables of a report as comma-separated files (RFC 4180), one file for each.
//!
//! Fields as `tables` lays them flat: plain numbers, the unit in the heading, nothing where nothing exists. Words
//! that a spreadsheet might take for a formula get an apostrophe in front.

use super::record::Report;
use super::tables::{Column, Field, tables};

/// Name and text of every file that has a row.
pub fn files(report: &Report) -> Vec<(String, String)> {
    let all = tables(report);
    all.iter()
        .map(|table| {
            let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
            let headings = table.columns.iter().flat_map(Column::headings);
            let rows = table.rows.iter().map(|row| row.fields().into_iter().map(said).collect());
            for record in std::iter::once(headings.collect::<Vec<String>>()).chain(rows) {
                writer.write_record(record).expect("rows of one length go into memory");
            }
            let bytes = writer.into_inner().expect("memory takes everything");
            let text = String::from_utf8(bytes).expect("made of strings alone");
            (format!("{}.csv", table.name), text)
        })
        .collect()
}

fn said(field: Field) -> String {
    match field {
        // A spreadsheet takes text that begins so for a formula.
        Field::Text(text) if text.starts_with(['=', '+', '-', '@', '\t', '\r']) => format!("'{text}"),
        Field::Text(text) => text,
        Field::Number(number) => number.to_string(),
        Field::Empty => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_is_never_a_formula_and_a_number_is_a_number() {
        assert_eq!(said(Field::Text("=1+1".to_string())), "'=1+1");
        assert_eq!(said(Field::Number(-0.5)), "-0.5");
        assert_eq!(said(Field::Empty), "");
    }
}
