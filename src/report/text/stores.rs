//! Feeders and stores of parts: how full they are, what went through them, and what was amiss with it.

use super::layout::{Grid, named};
use super::{cell, percent_cell};
use crate::report::record::Report;
use crate::report::rows::StoreRow;
use crate::report::wording::thousands;
use crate::units::{decimals, join_and, minutes};

pub fn feeders(report: &Report) -> Vec<String> {
    let mut headings =
        vec!["feeder", "stations", "made per net hour", "first pass, %", "min each", "made", "lots", "lost"];
    let own_hours = report.feeders.iter().any(|row| row.own_net_min.is_some());
    if own_hours {
        headings.push("own net h a run");
    }
    let on_the_way = report.feeders.iter().any(|row| row.on_the_way.is_some());
    if on_the_way {
        headings.push("on the way");
    }
    let mut grid = Grid::new(&headings);
    for row in &report.feeders {
        let mut cells = vec![
            named(&row.id, &row.label),
            join_and(&row.places),
            cell(&row.made_per_hour),
            percent_cell(&row.first_pass_yield),
            cell(&row.making_min),
            thousands(row.made),
            row.lots.map_or_else(|| "-".to_string(), thousands),
            thousands(row.lost),
        ];
        if own_hours {
            cells.push(row.own_net_min.map_or_else(|| "-".to_string(), |min| decimals(min / 60.0, 1)));
        }
        if on_the_way {
            cells.push(cell(&row.on_the_way));
        }
        grid.row(cells);
    }
    grid.lines()
}

pub fn stores(report: &Report) -> Vec<String> {
    let headings = [
        "store",
        "places",
        "mean, pieces",
        "empty, % of time",
        "full, %",
        "used, pieces a run",
        "waits a run",
        "lots, all runs",
        "late",
    ];
    let mut grid = Grid::new(&headings);
    for row in &report.stores {
        grid.row(vec![
            named(&row.id, &row.label),
            row.places.to_string(),
            cell(&row.mean),
            percent_cell(&row.share_empty),
            percent_cell(&row.share_full),
            cell(&row.used),
            cell(&row.waits),
            row.lots.map_or_else(|| "-".to_string(), thousands),
            row.late_lots.map_or_else(|| "-".to_string(), thousands),
        ]);
    }
    let mut lines = grid.lines();
    lines.extend(report.stores.iter().filter_map(ordering));
    lines.extend(report.stores.iter().flat_map(amiss));
    lines
}

/// Lots that are ordered at a level.
fn ordering(row: &StoreRow) -> Option<String> {
    let ordering = row.ordering.as_ref()?;
    let [on_order, orders, ran_out] = [&ordering.on_order, &ordering.orders, &ordering.ran_out].map(cell);
    let name = named(&row.id, &row.label);
    Some(format!(
        "  {name}: {on_order} pieces on order; {orders} lots ordered a run; ran empty {ran_out} times a run"
    ))
}

/// Parts that were short, for another model, or not in their turn.
fn amiss(row: &StoreRow) -> Vec<String> {
    let name = named(&row.id, &row.label);
    let each = |min: Option<f64>, clock: &str| {
        min.map_or_else(String::new, |min| format!(", {} {clock} min each on average", minutes(min)))
    };
    let short = row
        .short
        .map(|n| format!("  {name}: {} times found short{}", thousands(n), each(row.missing_min, "clock")));
    let wrong = row.wrong.zip(row.out_of_turn).map(|(wrong, turns)| {
        let (wrong, turns) = (thousands(wrong), thousands(turns));
        let rekit = each(row.rekit_min, "net");
        format!("  {name}: {wrong} times for the wrong model, {turns} units overtaken{rekit}")
    });
    short.into_iter().chain(wrong).collect()
}
