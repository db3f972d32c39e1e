//! The tables of a report as comma-separated files (RFC 4180), one file for each.
//!
//! Numbers are plain numbers, rounded as in the JSON report; shares are 0..1; the unit stands in the
//! heading; what does not exist is empty. A figure with a band takes three columns. Words that a
//! spreadsheet might take for a formula get an apostrophe in front.

use super::json::rounded;
use super::record::Report;
use super::tables::{Cell, Column, Kind, tables};

/// Name and text of every file that has a row.
pub fn files(report: &Report) -> Vec<(String, String)> {
    let all = tables(report);
    all.iter()
        .map(|table| {
            let mut writer = csv::WriterBuilder::new().from_writer(Vec::new());
            let headings = table.columns.iter().flat_map(headings);
            let rows = table.rows.iter().map(|row| row.cells.iter().flat_map(fields).collect());
            for record in std::iter::once(headings.collect::<Vec<String>>()).chain(rows) {
                writer.write_record(record).expect("rows of one length go into memory");
            }
            let bytes = writer.into_inner().expect("memory takes everything");
            let text = String::from_utf8(bytes).expect("made of strings alone");
            (format!("{}.csv", table.name), text)
        })
        .collect()
}

fn headings(column: &Column) -> Vec<String> {
    let with_unit = |heading: String| match column.unit {
        "" => heading,
        unit => format!("{heading} ({unit})"),
    };
    let heading = &column.heading;
    match column.kind {
        Kind::Name => vec![format!("{heading} id"), format!("{heading} label")],
        Kind::Word | Kind::Count | Kind::Figure => vec![with_unit(heading.clone())],
        Kind::Estimate => {
            [heading.clone(), format!("{heading}, low"), format!("{heading}, high")].map(with_unit).to_vec()
        }
    }
}

fn fields(cell: &Cell) -> Vec<String> {
    let number = |x: Option<f64>| x.map_or_else(String::new, |x| rounded(x).to_string());
    match cell {
        Cell::Name { id, label } => vec![word(id), word(label.as_deref().unwrap_or_default())],
        Cell::Word(text) => vec![word(text)],
        Cell::Count(count) => vec![count.map_or_else(String::new, |n| n.to_string())],
        Cell::Figure { value, .. } => vec![number(*value)],
        Cell::Estimate { of, .. } => {
            let of = of.as_ref();
            vec![number(of.map(|e| e.mean)), number(of.and_then(|e| e.low)), number(of.and_then(|e| e.high))]
        }
    }
}

/// A spreadsheet takes text that begins so for a formula.
fn word(text: &str) -> String {
    match text.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        true => format!("'{text}"),
        false => text.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::record::Estimate;

    #[test]
    fn a_word_is_never_a_formula_and_a_number_is_a_number() {
        assert_eq!(fields(&Cell::Word("=1+1".to_string())), ["'=1+1"]);
        assert_eq!(fields(&Cell::Figure { value: Some(-0.5), share: false }), ["-0.5"]);
        assert_eq!(fields(&Cell::Figure { value: None, share: true }), [""]);
        let e = Estimate { mean: 1.0 / 3.0, low: None, high: Some(2.0), confidence: 0.95, n: 20 };
        assert_eq!(fields(&Cell::Estimate { of: Some(e), share: false }), ["0.333333", "", "2"]);
    }
}
