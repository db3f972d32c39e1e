//! A table of the report as a table of the page; every figure says where it stands in the JSON report.

use super::writer::Page;
use crate::report::inputs::Inputs;
use crate::report::json::rounded;
use crate::report::record::Estimate;
use crate::report::tables::{Cell, Column, Kind, SHARE, Table};
use crate::report::wording::{percent_plus_minus, plus_minus, thousands};
use crate::units::decimals;

/// The table in a box of its own, which scrolls where the page is narrow; nothing without a row.
pub fn grid(page: &mut Page, table: &Table, inputs: &Inputs) {
    if table.rows.is_empty() {
        return;
    }
    page.element(
        "div",
        &[("class", "box"), ("role", "region"), ("aria-label", table.title), ("tabindex", "0")],
        |page| {
            page.element("table", &[("id", table.name)], |page| {
                page.leaf("caption", &[], table.title);
                page.element("thead", &[], |page| {
                    page.element("tr", &[], |page| heads(page, &table.columns))
                });
                page.element("tbody", &[], |page| rows(page, table, inputs));
            });
        },
    );
}

fn heads(page: &mut Page, columns: &[Column]) {
    for column in columns {
        let class = if is_number(column.kind) { "n" } else { "w" };
        page.element("th", &[("scope", "col"), ("class", class)], |page| {
            page.text(&column.heading);
            match column.unit {
                "" => {}
                SHARE => page.leaf("small", &[], " %"),
                unit => page.leaf("small", &[], &format!(" {unit}")),
            }
        });
    }
}

fn is_number(kind: Kind) -> bool {
    match kind {
        Kind::Count | Kind::Figure | Kind::Estimate => true,
        Kind::Name | Kind::Word => false,
    }
}

fn rows(page: &mut Page, table: &Table, inputs: &Inputs) {
    for row in &table.rows {
        page.element("tr", &[], |page| {
            for (k, cell) in row.cells.iter().enumerate() {
                let pointer = table.pointer(row, k);
                // A share whose unit stands in its row says so in its cell.
                let own = table.columns[k].unit.is_empty();
                let (name, scope) = if k == 0 { ("th", "row") } else { ("td", "") };
                let class = if is_number(table.columns[k].kind) { "n" } else { "w" };
                let attributes: &[(&str, &str)] = match scope {
                    "" => &[("class", class)],
                    scope => &[("scope", scope), ("class", class)],
                };
                page.element(name, attributes, |page| content(page, cell, &pointer, own, inputs));
            }
        });
    }
}

fn content(page: &mut Page, cell: &Cell, pointer: &str, own_unit: bool, inputs: &Inputs) {
    match cell {
        Cell::Name { id, label } => place_name(page, id, label.as_deref(), inputs),
        Cell::Word(text) => linked(page, text, inputs),
        Cell::Count(Some(count)) => data(page, *count as f64, pointer, &thousands(*count)),
        Cell::Figure { value: Some(value), share } => {
            data(page, *value, pointer, &figure(*value, *share, own_unit));
        }
        Cell::Estimate { of: Some(e), share } => data(page, e.mean, pointer, &estimate(e, *share, own_unit)),
        Cell::Count(None) | Cell::Figure { value: None, .. } | Cell::Estimate { of: None, .. } => {
            page.constant("<span class=\"none\">none</span>");
        }
    }
}

/// A figure as people read it, with its exact value and its place in the JSON report beside it.
pub fn data(page: &mut Page, value: f64, pointer: &str, shown: &str) {
    let exact = rounded(value).to_string();
    page.leaf("data", &[("value", &exact), ("data-at", pointer)], shown);
}

fn figure(value: f64, share: bool, own_unit: bool) -> String {
    match (share, own_unit) {
        (true, true) => format!("{} %", decimals(100.0 * value, 1)),
        (true, false) => format!("{:.1}", 100.0 * value),
        (false, _) => decimals(value, if value.abs() >= 1000.0 { 0 } else { 2 }),
    }
}

pub fn estimate(e: &Estimate, share: bool, own_unit: bool) -> String {
    match (share, own_unit) {
        (true, true) => format!("{} %", percent_plus_minus(e)),
        (true, false) => percent_plus_minus(e),
        (false, _) => plus_minus(e),
    }
}

/// A name of the file, which leads to the row that states it, and its label.
pub fn place_name(page: &mut Page, id: &str, label: Option<&str>, inputs: &Inputs) {
    linked(page, id, inputs);
    if let Some(label) = label {
        page.text(" ");
        page.leaf("span", &[("class", "label")], label);
    }
}

/// Text that leads to its row of the file, if it is stated in one.
pub fn linked(page: &mut Page, text: &str, inputs: &Inputs) {
    match inputs.row_of(text).filter(|row| row.file < inputs.files.len()) {
        Some(row) => page.leaf("a", &[("href", &format!("#{}", row_anchor(row.file, row.row)))], text),
        None => page.text(text),
    }
}

/// Where a row of a file stands on the page.
pub fn row_anchor(file: usize, row: usize) -> String {
    format!("f{file}r{row}")
}
