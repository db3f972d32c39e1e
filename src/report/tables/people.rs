//! Tables of people, equipment, feeders, stores and stops.

use super::{SHARE, Table, Writing};
use crate::report::record::Report;
use crate::report::rows::{HelpShares, PeopleShares};

pub fn people(report: &Report) -> Table {
    let table = Writing::of("people", "People: shares of net time", "/people", &report.people)
        .name("who", |p| (&p.id, &p.label))
        .word("kind", |p| p.kind.word().to_string())
        .count("people", "", "/count", |p| Some(u64::from(p.count)))
        .figure("working", SHARE, "/shares/working", |p| Some(p.shares?.working))
        .figure("working ±", SHARE, "/shares_plus_minus/working", |p| Some(p.shares_plus_minus?.working))
        .figure("waiting", SHARE, "/shares/waiting", |p| Some(p.shares?.waiting))
        .figure("off shift", SHARE, "/shares/off_shift", |p| Some(p.shares?.off_shift));
    let some = |part: fn(&PeopleShares) -> Option<f64>| {
        report.people.iter().any(|p| p.shares.as_ref().and_then(part).is_some())
    };
    let table = match some(|shares| shares.walking) {
        true => table.figure("walking", SHARE, "/shares/walking", |p| p.shares?.walking),
        false => table,
    };
    match some(|shares| shares.moving_units) {
        true => {
            table.figure("moving units", SHARE, "/shares/moving_units", |p| p.shares?.moving_units).done()
        }
        false => table.done(),
    }
}

/// Who was there, where the file says who may be away.
pub fn absence(report: &Report) -> Table {
    Writing::those("absence", "Absence", "/people", &report.people, |p| p.presence.is_some())
        .name("who", |p| (&p.id, &p.label))
        .count("people", "", "/count", |p| Some(u64::from(p.count)))
        .figure("there on average", "people", "/presence/present", |p| Some(p.presence.as_ref()?.present))
        .figure("absent", SHARE, "/presence/absent", |p| Some(p.presence.as_ref()?.absent))
        .figure("shifts short", SHARE, "/presence/short_shifts", |p| p.presence.as_ref()?.short_shifts)
        .figure("shifts short, from", SHARE, "/presence/short_shifts_low", |p| {
            p.presence.as_ref()?.short_shifts_low
        })
        .figure("shifts short, to", SHARE, "/presence/short_shifts_high", |p| {
            p.presence.as_ref()?.short_shifts_high
        })
        .done()
}

pub fn floaters(report: &Report) -> Table {
    Writing::of("floaters", "Floaters: shares of net time", "/floaters", &report.floaters)
        .word("floaters", |f| f.label.clone().unwrap_or_else(|| "floaters".to_string()))
        .count("people", "", "/count", |f| Some(u64::from(f.count)))
        .figure("standing in", SHARE, "/shares/standing_in", |f| Some(f.shares?.standing_in))
        .figure("spare", SHARE, "/shares/spare", |f| Some(f.shares?.spare))
        .figure("absent", SHARE, "/shares/absent", |f| Some(f.shares?.absent))
        .done()
}

pub fn helping(report: &Report) -> Table {
    let some = |part: fn(&HelpShares) -> Option<f64>| {
        report.helping.iter().any(|h| h.shares.as_ref().and_then(part).is_some())
    };
    let table = Writing::of("helping", "People who help: shares of net time", "/helping", &report.helping)
        .name("who", |h| (&h.id, &h.label))
        .count("people", "", "/count", |h| Some(u64::from(h.count)))
        .figure("at most", SHARE, "/at_most", |h| Some(h.at_most))
        .figure("helping", SHARE, "/shares/helping", |h| Some(h.shares?.helping))
        .figure("own work", SHARE, "/shares/own", |h| Some(h.shares?.own))
        .figure("absent", SHARE, "/shares/absent", |h| Some(h.shares?.absent));
    let table = match some(|shares| shares.standing_in) {
        true => table.figure("standing in", SHARE, "/shares/standing_in", |h| h.shares?.standing_in),
        false => table,
    };
    let table = match some(|shares| shares.mending) {
        true => table.figure("mending", SHARE, "/shares/mending", |h| h.shares?.mending),
        false => table,
    };
    table.count("tasks helped with, all runs", "tasks", "/tasks", |h| Some(h.tasks)).done()
}

pub fn decided_shifts(report: &Report) -> Table {
    Writing::of("decided_shifts", "Overtime and shifts left out", "/decided_shifts", &report.decided_shifts)
        .word("shift", |s| s.shift.clone())
        .figure("longer by", "min", "/overtime_min", |s| s.overtime_min)
        .estimate("with overtime", SHARE, "/with_overtime", |s| s.with_overtime)
        .estimate("worked", SHARE, "/worked", |s| s.worked)
        .done()
}

pub fn breaks_in_turn(report: &Report) -> Table {
    Writing::of("breaks_in_turn", "Breaks in turn", "/breaks_in_turn", &report.breaks_in_turn)
        .word("shift", |t| t.shift.clone())
        .word("from", |t| t.at.clone())
        .count("people", "", "/people", |t| Some(u64::from(t.people)))
        .count("at a time", "people", "/at_a_time", |t| Some(u64::from(t.at_a_time)))
        .figure("a break", "clock min", "/length_min", |t| Some(t.length_min))
        .count("turns", "", "/turns", |t| Some(u64::from(t.turns)))
        .figure("all are back after", "clock min", "/takes_min", |t| Some(t.takes_min))
        .figure("next pause after", "clock min", "/room_min", |t| Some(t.room_min))
        .done()
}

pub fn equipment(report: &Report) -> Table {
    Writing::of("equipment", "Equipment: shares of net time", "/equipment", &report.equipment)
        .name("equipment", |e| (&e.id, &e.label))
        .count("pieces", "", "/count", |e| Some(u64::from(e.count)))
        .figure("in use", SHARE, "/shares/in_use", |e| Some(e.shares?.in_use))
        .figure("in use ±", SHARE, "/shares_plus_minus/in_use", |e| Some(e.shares_plus_minus?.in_use))
        .figure("free", SHARE, "/shares/free", |e| Some(e.shares?.free))
        .done()
}

pub fn feeders(report: &Report) -> Table {
    Writing::of("feeders", "Feeders", "/feeders", &report.feeders)
        .name("feeder", |f| (&f.id, &f.label))
        .word("stations", |f| f.places.join(", "))
        .estimate("made", "parts per net hour", "/made_per_hour", |f| f.made_per_hour)
        .figure("its own hours, a run", "net min", "/own_net_min", |f| f.own_net_min)
        .estimate("on the way", "parts", "/on_the_way", |f| f.on_the_way)
        .estimate("first pass", SHARE, "/first_pass_yield", |f| f.first_pass_yield)
        .estimate("to make one", "clock min", "/making_min", |f| f.making_min)
        .count("made, all runs", "parts", "/made", |f| Some(f.made))
        .count("lost, all runs", "parts", "/lost", |f| Some(f.lost))
        .count("lots, all runs", "lots", "/lots", |f| f.lots)
        .count("trucks, all runs", "trucks", "/trucks", |f| f.trucks)
        .done()
}

pub fn stores(report: &Report) -> Table {
    Writing::of("stores", "Stores of parts", "/stores", &report.stores)
        .name("store", |s| (&s.id, &s.label))
        .count("places", "", "/places", |s| Some(u64::from(s.places)))
        .estimate("mean", "pieces", "/mean", |s| s.mean)
        .estimate("empty", SHARE, "/share_empty", |s| s.share_empty)
        .estimate("full", SHARE, "/share_full", |s| s.share_full)
        .estimate("came, a run", "pieces", "/came", |s| s.came)
        .estimate("used, a run", "pieces", "/used", |s| s.used)
        .estimate("tasks that waited, a run", "waits", "/waits", |s| s.waits)
        .count("lots, all runs", "lots", "/lots", |s| s.lots)
        .count("lots late", "lots", "/late_lots", |s| s.late_lots)
        .count("lots kept out", "lots", "/lots_kept_out", |s| s.lots_kept_out)
        .count("found short, all runs", "starts", "/short", |s| s.short)
        .figure("until it arrived", "clock min", "/missing_min", |s| s.missing_min)
        .count("found wrong, all runs", "starts", "/wrong", |s| s.wrong)
        .count("units overtaken, all runs", "units", "/out_of_turn", |s| s.out_of_turn)
        .figure("a re-kit", "net min", "/rekit_min", |s| s.rekit_min)
        .done()
}

/// Stores for which lots are ordered at a level.
pub fn ordering(report: &Report) -> Table {
    Writing::those("ordering", "Lots ordered at a level", "/stores", &report.stores, |s| s.ordering.is_some())
        .name("store", |s| (&s.id, &s.label))
        .estimate("on order", "pieces", "/ordering/on_order", |s| s.ordering.as_ref()?.on_order)
        .estimate("lots ordered, a run", "lots", "/ordering/orders", |s| s.ordering.as_ref()?.orders)
        .estimate("ran empty, a run", "times", "/ordering/ran_out", |s| s.ordering.as_ref()?.ran_out)
        .done()
}

pub fn stops(report: &Report) -> Table {
    Writing::of("stops", "Stops", "/stops", &report.stops)
        .name("what stops", |s| (&s.id, &s.label))
        .word("kind", |s| s.kind.word().to_string())
        .count("stops, all runs", "stops", "/stops", |s| Some(s.stops))
        .count("calls answered, all runs", "calls", "/calls", |s| s.calls)
        .estimate("stops a shift", "stops", "/stops_per_shift", |s| s.stops_per_shift)
        .figure("length of a stop", "clock min", "/length_min", |s| s.length_min)
        .estimate("lost, a run", "net min", "/lost_min", |s| s.lost_min)
        .estimate("stopped", SHARE, "/stopped", |s| s.stopped)
        .done()
}
