//! What a good unit costs.

use super::shown_if;
use crate::line::Line;
use crate::report::rows::CostRow;
use crate::stats::{Summary, floor_m2};

pub fn costs(line: &Line, summary: &Summary) -> Option<CostRow> {
    let (table, figures) = (line.costs.as_ref()?, summary.costs.as_ref()?);
    Some(CostRow {
        money: table.money.clone(),
        per_unit: shown_if(&figures.unit),
        people_per_unit: shown_if(&figures.unit_people),
        bays_per_unit: shown_if(&figures.unit_bays),
        space_per_unit: shown_if(&figures.unit_space),
        people_per_paid_hour: figures.people_hour,
        people_per_year: figures.year_people,
        bays_per_year: figures.year_bays,
        space_per_year: figures.year_space,
        floor_m2: floor_m2(line),
    })
}
