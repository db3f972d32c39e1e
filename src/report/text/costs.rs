//! What a good unit costs, and what a year and a minute of everybody cost.

use crate::report::record::Report;
use crate::report::wording::{banded, thousands};
use crate::units::decimals;

pub fn lines(report: &Report) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(cost) = &report.costs {
        let money = &cost.money;
        let mut say = |name: &str, text: String| lines.push(format!("  {name:<26}{text}"));
        let parts = [
            ("a good unit", &cost.per_unit, None),
            ("  people", &cost.people_per_unit, Some(cost.people_per_year)),
            ("  bays", &cost.bays_per_unit, Some(cost.bays_per_year)),
            ("  floor", &cost.space_per_unit, Some(cost.space_per_year)),
        ];
        for (name, unit, year) in parts {
            if year.is_some_and(|year| year <= 0.0) {
                continue;
            }
            let year = year.map_or(String::new(), |year| format!("; {} {money} a year", whole(year)));
            let unit = unit.as_ref().map_or_else(|| "-".to_string(), |e| format!("{} {money}", banded(e)));
            say(name, format!("{unit}{year}"));
        }
        let minute = decimals(cost.people_per_paid_hour / 60.0, 2);
        say("a minute of everybody", format!("{minute} {money}"));
        if let Some(floor) = cost.floor_m2 {
            say("floor", format!("{} m2", decimals(floor, 1)));
        }
    }
    lines
}

/// Money of a year, without decimals.
fn whole(money: f64) -> String {
    thousands(money.round_ties_even() as u64)
}
