//! Tables that judge, and what a reader must know: costs, holds, windows, promises, doubts, cautions.

use super::{Cell, Kind, SHARE, Table, Writing};
use crate::report::record::Report;
use crate::report::rows::CostRow;

pub fn costs(report: &Report) -> Table {
    let rows = report.costs.as_ref().map(|costs| ("/costs".to_string(), costs)).into_iter().collect();
    Writing::at("costs", "What a good unit costs", rows)
        .word("money", |c: &CostRow| c.money.clone())
        .estimate("a good unit", "money", "/per_unit", |c| c.per_unit)
        .estimate("of that people", "money", "/people_per_unit", |c| c.people_per_unit)
        .estimate("bays", "money", "/bays_per_unit", |c| c.bays_per_unit)
        .estimate("floor", "money", "/space_per_unit", |c| c.space_per_unit)
        .figure("everybody, a paid hour", "money", "/people_per_paid_hour", |c| Some(c.people_per_paid_hour))
        .figure("people, a year", "money", "/people_per_year", |c| Some(c.people_per_year))
        .figure("bays, a year", "money", "/bays_per_year", |c| Some(c.bays_per_year))
        .figure("floor, a year", "money", "/space_per_year", |c| Some(c.space_per_year))
        .figure("floor taken", "m2", "/floor_m2", |c| c.floor_m2)
        .done()
}

pub fn holds(report: &Report) -> Table {
    let table = Writing::of("holds", "Audit of holds", "/holds", &report.holds)
        .name("hold", |h| (&h.id, &h.label))
        .word("at", |h| h.station.clone())
        .word("fixed by safety", |h| if h.safety { "yes" } else { "no" }.to_string())
        .figure("minimum", "clock min", "/minimum_min", |h| Some(h.minimum_min))
        .figure("shortest seen", "clock min", "/shortest_min", |h| h.shortest_min)
        .count("ended, all runs", "holds", "/count", |h| Some(h.count))
        .count("restarted in full", "holds", "/restarts", |h| Some(h.restarts));
    let table = match report.holds.iter().any(|h| h.moved.is_some()) {
        true => table.count("went on while pushed", "pushes", "/moved", |h| h.moved),
        false => table,
    };
    let table = match report.holds.iter().any(|h| h.cold_min.is_some()) {
        true => table.figure("longer for the cold, each", "clock min", "/cold_min", |h| h.cold_min),
        false => table,
    };
    table
        .word("verdict", |h| {
            match (h.kept, h.shortest_min) {
                (true, Some(_)) => "kept",
                (true, None) => "none ended",
                (false, _) => "SHORT",
            }
            .to_string()
        })
        .done()
}

pub fn windows(report: &Report) -> Table {
    Writing::of("windows", "Windows between steps", "/windows", &report.windows)
        .word("from", |w| w.opens.clone())
        .word("to", |w| w.closes.clone())
        .figure("within", "clock min", "/limit_min", |w| Some(w.limit_min))
        .count("judged, all runs", "times", "/judged", |w| Some(w.judged))
        .count("missed", "times", "/missed", |w| Some(w.missed))
        .estimate("missed", SHARE, "/share_missed", |w| w.share_missed)
        .done()
}

pub fn promises(report: &Report) -> Table {
    let share = |unit: &str| unit.starts_with(SHARE);
    Writing::of("promises", "Promises", "/promises", &report.promises)
        .word("promise", |p| p.text.clone())
        .word("verdict", |p| p.verdict.word().to_string())
        .column("found", "", Kind::Estimate, "/estimate", |p| Cell::Estimate {
            of: p.estimate,
            share: share(&p.unit),
        })
        .column("limit", "", Kind::Figure, "/limit", |p| Cell::Figure {
            value: Some(p.limit),
            share: share(&p.unit),
        })
        .word("unit", |p| p.unit.clone())
        .count("more replications that would tell", "", "/more_replications", |p| p.more_replications)
        .done()
}

pub fn warnings(report: &Report) -> Table {
    Writing::of("doubts", "Doubts", "/warnings", &report.warnings)
        .word("code", |w| w.code.clone().unwrap_or_default())
        .word("doubt", |w| w.text.clone())
        .done()
}

pub fn cautions(report: &Report) -> Table {
    Writing::of("cautions", "Cautions", "/cautions", &report.cautions)
        .word("about", |c| c.topic.clone())
        .word("caution", |c| c.text.clone())
        .done()
}
