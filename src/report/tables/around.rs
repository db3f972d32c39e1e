//! Tables of gates, lanes, carriers, moves and the yard.

use super::{SHARE, Table, Writing};
use crate::report::record::Report;
use crate::report::wording::chosen_by;

pub fn gates(report: &Report) -> Table {
    Writing::of("gates", "Gates", "/gates", &report.gates)
        .name("gate", |g| (&g.id, &g.label))
        .word("at", |g| g.station.clone())
        .count("units, all runs", "units", "/units", |g| Some(g.units))
        .estimate("found in a unit", "faults", "/found_per_unit", |g| g.found_per_unit)
        .estimate("without a fault", SHARE, "/clear", |g| g.clear)
        .word("what is left goes on to", |g| g.goes_on_to.clone().unwrap_or_default())
        .estimate("of a unit go on", "faults", "/went_on_per_unit", |g| g.went_on_per_unit)
        .estimate("of a unit let through by tests", "faults", "/let_through_per_unit", |g| {
            g.let_through_per_unit
        })
        .done()
}

pub fn lanes(report: &Report) -> Table {
    Writing::of("lanes", "Lanes", "/lanes", &report.lanes)
        .name("lane", |l| (&l.id, &l.label))
        .word("of", |l| l.lanes.clone())
        .word("chosen by", |l| chosen_by(l.chosen_by).to_string())
        .word("from", |l| l.first.clone())
        .word("to", |l| l.last.clone())
        .count("units, all runs", "units", "/units", |l| Some(l.units))
        .estimate("share of its group", SHARE, "/share", |l| l.share)
        .done()
}

pub fn carriers(report: &Report) -> Table {
    Writing::of("carriers", "Carriers", "/carriers", &report.carriers)
        .name("carriers", |c| (&c.id, &c.label))
        .word("from", |c| c.from.clone())
        .word("to", |c| c.to.clone())
        .count("how many", "", "/count", |c| Some(u64::from(c.count)))
        .estimate("under a unit", "", "/with_units", |c| c.with_units)
        .estimate("on the way back", "", "/on_the_way_back", |c| c.on_the_way_back)
        .estimate("none free", SHARE, "/share_none_free", |c| c.share_none_free)
        .done()
}

pub fn moved_one_by_one(report: &Report) -> Table {
    Writing::of("moves", "Units moved one by one", "/moved_one_by_one", &report.moved_one_by_one)
        .word("segment", |m| m.segment.clone())
        .word("from", |m| m.first.clone())
        .word("to", |m| m.last.clone())
        .figure("a move", "min", "/moving_min", |m| Some(m.moving_min))
        .count("moves, all runs", "moves", "/moves", |m| Some(m.moves))
        .estimate("moves a shift", "moves", "/moves_per_shift", |m| m.moves_per_shift)
        .estimate("waited for people, a move", "min", "/waited_for_people_min", |m| m.waited_for_people_min)
        .done()
}

pub fn yard(report: &Report) -> Table {
    Writing::of("yard", "Yard", "/yard", &report.yard)
        .name("yard", |y| (&y.id, &y.label))
        .count("places", "", "/places", |y| Some(u64::from(y.places)))
        .estimate("mean", "units", "/mean", |y| y.mean)
        .estimate("full", SHARE, "/share_full", |y| y.share_full)
        .count("a lorry takes", "units", "/load", |y| Some(u64::from(y.load)))
        .estimate("taken by a lorry", "units", "/taken_per_lorry", |y| y.taken_per_lorry)
        .count("lorries, all runs", "lorries", "/lorries", |y| Some(y.lorries))
        .count("not filled", "lorries", "/part_loads", |y| Some(y.part_loads))
        .done()
}
