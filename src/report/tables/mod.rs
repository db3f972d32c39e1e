//! The tables of a report of a simulation: what `html` and `csv` print, cell by cell.
//!
//! Owns which columns a table has, their units and from which field of the JSON report each figure
//! comes. Rounds nothing and knows no format.

mod around;
mod balance;
mod flat;
mod judged;
mod line;
mod people;
mod places;
mod studies;
mod tests;

pub use around::{carriers, gates, lanes, moved_one_by_one, yard};
pub use balance::{assignment, balance_measures, late, moves, other_moves, station_loads};
pub use flat::Field;
pub use judged::{cautions, costs, holds, promises, warnings, windows};
pub use line::{home, measures, models, shifts, times};
pub use people::{
    absence, breaks_in_turn, decided_shifts, equipment, feeders, floaters, helping, ordering, people, stops,
    stores,
};
pub use places::{hours, loads, methods, pushes, racks, slots, states, stations, week};
pub use studies::{
    choice, cycles_by_model, differences, held_by, held_by_step, layouts, levers, losses, other_pairs, points,
};
pub use tests::{formulas, tests, waits, wrong_verdicts};

use super::record::{Estimate, Report};

/// Unit of shares: 0..1, which a page for people shows in percent.
pub const SHARE: &str = "share";

/// One table. Its name is a word that serves as the name of a file and of an anchor.
#[derive(Clone, PartialEq, Debug)]
pub struct Table {
    pub name: &'static str,
    pub title: &'static str,
    pub columns: Vec<Column>,
    pub rows: Vec<Row>,
}

#[derive(Clone, PartialEq, Debug)]
pub struct Column {
    pub heading: String,
    /// Empty where there is none or where it stands in the row.
    pub unit: &'static str,
    pub kind: Kind,
    /// Pointer (RFC 6901) from a row's record to the figure.
    field: String,
}

/// What stands in a column, so that a format can lay it out before it sees a row.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    /// A name of the file and its label.
    Name,
    Word,
    Count,
    Figure,
    /// A figure with its band.
    Estimate,
}

#[derive(Clone, PartialEq, Debug)]
pub struct Row {
    /// Pointer to the row's record in the JSON report.
    at: String,
    pub cells: Vec<Cell>,
}

#[derive(Clone, PartialEq, Debug)]
pub enum Cell {
    Name { id: String, label: Option<String> },
    Word(String),
    Count(Option<u64>),
    Figure { value: Option<f64>, share: bool },
    Estimate { of: Option<Estimate>, share: bool },
}

impl Table {
    /// Where the figure of a cell stands in the JSON report.
    pub fn pointer(&self, row: &Row, column: usize) -> String {
        format!("{}{}", row.at, self.columns[column].field)
    }
}

/// Every table that has a row, in the order of the report.
pub fn tables(report: &Report) -> Vec<Table> {
    let all = [
        measures(report),
        times(report),
        home(report),
        shifts(report),
        models(report),
        stations(report),
        states(report),
        loads(report),
        pushes(report),
        methods(report),
        tests(report),
        wrong_verdicts(report),
        waits(report),
        formulas(report),
        gates(report),
        lanes(report),
        slots(report),
        racks(report),
        week(report),
        hours(report),
        people(report),
        absence(report),
        floaters(report),
        helping(report),
        decided_shifts(report),
        breaks_in_turn(report),
        equipment(report),
        feeders(report),
        stores(report),
        ordering(report),
        carriers(report),
        moved_one_by_one(report),
        yard(report),
        stops(report),
        costs(report),
        holds(report),
        windows(report),
        promises(report),
        warnings(report),
        cautions(report),
    ];
    all.into_iter().filter(|table| !table.rows.is_empty()).collect()
}

/// A table being written: one column after another over the same records.
struct Writing<'a, T> {
    table: Table,
    records: Vec<&'a T>,
}

impl<'a, T> Writing<'a, T> {
    /// A row for each record of a list of the report that stands at `at`.
    fn of(name: &'static str, title: &'static str, at: &str, records: &'a [T]) -> Writing<'a, T> {
        Writing::those(name, title, at, records, |_| true)
    }

    /// A row for each that is wanted.
    fn those(
        name: &'static str,
        title: &'static str,
        at: &str,
        records: &'a [T],
        wanted: impl Fn(&T) -> bool,
    ) -> Writing<'a, T> {
        let rows = records.iter().enumerate().filter(|(_, record)| wanted(record));
        Writing::at(name, title, rows.map(|(k, record)| (format!("{at}/{k}"), record)).collect())
    }

    /// A row for each record, wherever it stands.
    fn at(name: &'static str, title: &'static str, rows: Vec<(String, &'a T)>) -> Writing<'a, T> {
        let records = rows.iter().map(|(_, record)| *record).collect();
        let rows = rows.into_iter().map(|(at, _)| Row { at, cells: Vec::new() }).collect();
        Writing { table: Table { name, title, columns: Vec::new(), rows }, records }
    }

    fn column(
        mut self,
        heading: impl Into<String>,
        unit: &'static str,
        kind: Kind,
        field: impl Into<String>,
        cell: impl Fn(&'a T) -> Cell,
    ) -> Writing<'a, T> {
        self.table.columns.push(Column { heading: heading.into(), unit, kind, field: field.into() });
        for (row, record) in self.table.rows.iter_mut().zip(&self.records) {
            row.cells.push(cell(record));
        }
        self
    }

    fn name(self, heading: &str, of: impl Fn(&'a T) -> (&'a String, &'a Option<String>)) -> Writing<'a, T> {
        self.column(heading, "", Kind::Name, "/id", |record| {
            let (id, label) = of(record);
            Cell::Name { id: id.clone(), label: label.clone() }
        })
    }

    fn word(self, heading: &str, of: impl Fn(&'a T) -> String) -> Writing<'a, T> {
        self.column(heading, "", Kind::Word, "", |record| Cell::Word(of(record)))
    }

    fn count(
        self,
        heading: &str,
        unit: &'static str,
        field: &str,
        of: impl Fn(&'a T) -> Option<u64>,
    ) -> Writing<'a, T> {
        self.column(heading, unit, Kind::Count, field, |record| Cell::Count(of(record)))
    }

    fn figure(
        self,
        heading: impl Into<String>,
        unit: &'static str,
        field: impl Into<String>,
        of: impl Fn(&'a T) -> Option<f64>,
    ) -> Writing<'a, T> {
        let share = unit == SHARE;
        self.column(heading, unit, Kind::Figure, field, |record| Cell::Figure { value: of(record), share })
    }

    fn estimate(
        self,
        heading: &str,
        unit: &'static str,
        field: &str,
        of: impl Fn(&'a T) -> Option<Estimate>,
    ) -> Writing<'a, T> {
        let share = unit == SHARE;
        self.column(heading, unit, Kind::Estimate, field, |record| Cell::Estimate { of: of(record), share })
    }

    fn done(self) -> Table {
        self.table
    }
}
