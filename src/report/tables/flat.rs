//! Tables for a spreadsheet: one field a cell, a figure with a band in three, the unit in the heading.

use super::{Cell, Column, Kind, Row};
use crate::report::json::rounded;

/// What stands in one cell of a spreadsheet.
#[derive(Clone, PartialEq, Debug)]
pub enum Field {
    Text(String),
    /// Rounded as in the JSON report; shares are 0..1.
    Number(f64),
    /// What does not exist.
    Empty,
}

impl Column {
    /// A heading for each field of the column, with its unit.
    pub fn headings(&self) -> Vec<String> {
        let with_unit = |heading: String| match self.unit {
            "" => heading,
            unit => format!("{heading} ({unit})"),
        };
        let heading = &self.heading;
        match self.kind {
            Kind::Name => vec![format!("{heading} id"), format!("{heading} label")],
            Kind::Word | Kind::Count | Kind::Figure => vec![with_unit(heading.clone())],
            Kind::Estimate => [heading.clone(), format!("{heading}, low"), format!("{heading}, high")]
                .map(with_unit)
                .to_vec(),
        }
    }
}

impl Row {
    pub fn fields(&self) -> Vec<Field> {
        self.cells.iter().flat_map(fields).collect()
    }
}

fn fields(cell: &Cell) -> Vec<Field> {
    let number =
        |x: Option<f64>| x.filter(|x| x.is_finite()).map_or(Field::Empty, |x| Field::Number(rounded(x)));
    match cell {
        Cell::Name { id, label } => vec![text(id), text(label.as_deref().unwrap_or_default())],
        Cell::Word(word) => vec![text(word)],
        Cell::Count(count) => vec![count.map_or(Field::Empty, |n| Field::Number(n as f64))],
        Cell::Figure { value, .. } => vec![number(*value)],
        Cell::Estimate { of, .. } => {
            let of = of.as_ref();
            vec![number(of.map(|e| e.mean)), number(of.and_then(|e| e.low)), number(of.and_then(|e| e.high))]
        }
    }
}

fn text(text: &str) -> Field {
    if text.is_empty() { Field::Empty } else { Field::Text(text.to_string()) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::record::Estimate;

    #[test]
    fn a_number_is_a_number_and_what_does_not_exist_is_empty() {
        assert_eq!(fields(&Cell::Word("=1+1".to_string())), [Field::Text("=1+1".to_string())]);
        assert_eq!(fields(&Cell::Word(String::new())), [Field::Empty]);
        assert_eq!(fields(&Cell::Figure { value: Some(-0.5), share: false }), [Field::Number(-0.5)]);
        assert_eq!(fields(&Cell::Figure { value: None, share: true }), [Field::Empty]);
        let e = Estimate { mean: 1.0 / 3.0, low: None, high: Some(2.0), confidence: 0.95, n: 20 };
        let found = fields(&Cell::Estimate { of: Some(e), share: false });
        assert_eq!(found, [Field::Number(0.333333), Field::Empty, Field::Number(2.0)]);
    }
}
