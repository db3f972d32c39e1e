//! Behind the first screen: every measure with its unit and band.

use super::layout::{Grid, WIDTH, named, wrapped};
use super::{
    Dress, around, breaks, cell, costs, indented, levels, percent_cell, share_cell, stations, stores,
    verdicts,
};
use crate::report::record::{Estimate, LineMeasures, Report};
use crate::report::rows::{HelpShares, PeopleShares, TestRow};
use crate::report::wording::{banded, banded_percent, percent_of, thousands};
use crate::units::{decimals, minutes};

/// A heading and its lines; left out when it has none.
type Section = (&'static str, Vec<String>);

pub fn sections(report: &Report, dress: &Dress) -> Vec<String> {
    let all: Vec<Section> = vec![
        ("The line", line_measures(report)),
        ("Times", line_times(report)),
        ("Stations: shares of net time, %", stations::stations(report)),
        ("Loads, % of the window", stations::loads(report)),
        ("Pushes", stations::pushes(report)),
        ("Evidence for the bottleneck", stations::evidence(report)),
        ("Tests", tests(report)),
        ("Gates", around::gates(report)),
        ("Lanes", around::lanes(report)),
        ("Slots and racks", levels::levels(report)),
        ("Over the week, units there on average", levels::week(report)),
        ("People: shares of net time, %", people(report)),
        ("Absence", absence(report)),
        ("Floaters: shares of net time, %", floaters(report)),
        ("People who help: shares of net time, %", helping(report)),
        ("Overtime and shifts left out", breaks::decided_shifts(report)),
        ("Breaks in turn", breaks::breaks_in_turn(report)),
        ("Equipment: shares of net time, %", equipment(report)),
        ("Feeders", stores::feeders(report)),
        ("Stores of parts", stores::stores(report)),
        ("Carriers", around::carriers(report)),
        ("Units moved one by one", around::moved_one_by_one(report)),
        ("Yard", around::yard(report)),
        ("Stops", stops(report)),
        ("Costs", costs::lines(report)),
        ("Audit of holds", verdicts::holds(report)),
        ("Windows", verdicts::windows(report)),
        ("Promises", verdicts::promises(report, dress)),
        ("Doubts", verdicts::doubts(report)),
        ("Cautions", verdicts::cautions(report)),
    ];
    let mut lines = Vec::new();
    for (heading, content) in all.into_iter().filter(|(_, content)| !content.is_empty()) {
        if !lines.is_empty() {
            lines.push(String::new());
        }
        lines.push(dress.heading(heading));
        lines.extend(content);
    }
    lines
}

fn line_measures(report: &Report) -> Vec<String> {
    let m = &report.line_measures;
    let mut lines = Vec::new();
    let mut say = |name: &str, text: Option<String>| {
        if let Some(text) = text {
            lines.push(format!("  {name:<26}{text}"));
        }
    };
    let with_unit = |e: &Option<Estimate>, unit: &str| e.as_ref().map(|e| format!("{}{unit}", banded(e)));
    say("good units per hour", with_unit(&m.units_per_hour, " of net time"));
    if let Some(shifts) = &m.units_per_shift {
        let sd = shifts
            .sd
            .map_or_else(String::new, |sd| format!("; single shifts spread with sd {}", decimals(sd, 2)));
        say("good units per shift", Some(format!("{}{sd}", banded(&shifts.estimate()))));
        let chance = shifts.chance_of_count.as_ref().map(banded_percent);
        say("chance of the count", chance.map(|c| format!("{c} of shifts")));
    }
    say(
        "home after",
        m.home_after_min
            .as_ref()
            .and_then(|h| with_unit(&h.mean, " min from the shift's start, on shifts that make the count")),
    );
    say("work in process", with_unit(&m.work_in_process, " units"));
    say(
        "first-pass yield",
        m.first_pass_yield.as_ref().map(|e| format!("{} of good units", banded_percent(e))),
    );
    say(
        "rolled yield",
        m.rolled_yield.as_ref().map(|e| format!("{}, product over the tests", banded_percent(e))),
    );
    say("labour at work", with_unit(&m.labour_min_per_unit, " person-min per good unit"));
    say("labour attended", with_unit(&m.attended_min_per_unit, " person-min per good unit"));
    let gone = format!(
        "{}; scrapped {}, set aside {}",
        thousands(m.finished),
        thousands(m.scrapped),
        thousands(m.set_aside)
    );
    say("good units simulated", Some(gone));
    say("models", models(m));
    say("Little's identity", Some(format!("residual {} unit-microseconds", m.little_residual)));
    say("events", Some(thousands(report.events)));
    lines
}

/// Times of the whole line: between units in net minutes, flow in clock minutes.
fn line_times(report: &Report) -> Vec<String> {
    let m = &report.line_measures;
    let mut grid = Grid::new(&["min", "mean", "CV", "p05", "p50", "p90", "p95"]);
    let none = || "-".to_string();
    let i = &m.minutes_between_units;
    if i.mean.is_some() {
        grid.row(vec![
            "between units, net".to_string(),
            cell(&i.mean),
            cell(&i.cv),
            cell(&i.p05),
            cell(&i.p50),
            none(),
            cell(&i.p95),
        ]);
    }
    let flows = [
        ("flow from line-on, clock", &m.flow_time_min),
        ("flow from release, clock", &m.flow_time_from_release_min),
    ];
    for (name, f) in flows.into_iter().filter(|(_, f)| f.mean.is_some()) {
        grid.row(vec![
            name.to_string(),
            cell(&f.mean),
            none(),
            none(),
            cell(&f.p50),
            cell(&f.p90),
            cell(&f.p95),
        ]);
    }
    grid.lines()
}

fn models(m: &LineMeasures) -> Option<String> {
    let shares = m.models.iter().filter_map(|model| {
        Some(format!(
            "{} {} (ordered {})",
            model.id,
            percent_of(model.share_finished?),
            percent_of(model.share)
        ))
    });
    let shares: Vec<String> = shares.collect();
    (shares.len() > 1).then(|| shares.join(", "))
}

fn tests(report: &Report) -> Vec<String> {
    if report.tests.is_empty() {
        return Vec::new();
    }
    let mut yields = Grid::new(&[
        "test",
        "bays",
        "visits a shift",
        "first pass, %",
        "attempts a unit",
        "bays busy",
        "held, min a visit",
    ]);
    let mut waits =
        Grid::new(&["wait, clock min", "mean", "p50", "p90", "p95", "max", "waits, %", "queue, units"]);
    for t in &report.tests {
        yields.row(vec![
            named(&t.id, &t.label),
            t.bays.to_string(),
            cell(&t.arrivals_per_shift),
            percent_cell(&t.first_pass_yield),
            cell(&t.attempts_per_unit),
            cell(&t.busy_bays),
            cell(&t.service_min),
        ]);
        waits.row(vec![
            named(&t.id, &t.label),
            cell(&t.wait_min.mean),
            cell(&t.wait_min.p50),
            cell(&t.wait_min.p90),
            cell(&t.wait_min.p95),
            t.wait_min.max.map_or_else(|| "-".to_string(), minutes),
            percent_cell(&t.chance_of_wait),
            cell(&t.queue_length),
        ]);
    }
    let mut lines = yields.lines();
    lines.extend(waits.lines());
    for test in &report.tests {
        let Some(wrong) = &test.wrong_verdicts else { continue };
        let share = |e: &Option<Estimate>| e.as_ref().map_or_else(|| "none".to_string(), banded_percent);
        let text = format!(
            "{}: of its fails {} were false alarms, of its passes {} faulty; in {} units it found what another \
             test had let through",
            test.id,
            share(&wrong.false_alarms),
            share(&wrong.let_through),
            thousands(wrong.found_later)
        );
        lines.extend(wrapped(&text, WIDTH - 2, "  ").into_iter().map(indented));
    }
    for test in &report.tests {
        lines.extend(wrapped(&formula(test), WIDTH - 2, "  ").into_iter().map(indented));
    }
    lines
}

fn formula(test: &TestRow) -> String {
    let blocked = match &test.blocked_upstream {
        Some(e) if e.mean > 0.0 => format!("; {} of the wait was spent blocked upstream", banded_percent(e)),
        _ => String::new(),
    };
    match (&test.closed_form, &test.no_closed_form) {
        (Some(form), _) => format!(
            "{}: the formula says {} min ({}; load {}; an estimate: {}){blocked}",
            test.id,
            minutes(form.wait_min),
            form.model,
            percent_of(form.load),
            form.assumptions
        ),
        (None, Some(why)) => format!("{}: no formula beside it, because {why}{blocked}", test.id),
        (None, None) => format!("{}: no formula beside it{blocked}", test.id),
    }
}

fn people(report: &Report) -> Vec<String> {
    let some = |part: fn(PeopleShares) -> Option<f64>| {
        report.people.iter().any(|row| row.shares.and_then(part).is_some())
    };
    let (walks, moves) = (some(|s| s.walking), some(|s| s.moving_units));
    let mut headings = vec!["who", "people", "working", "waiting", "off shift", "to ±"];
    headings.extend(walks.then_some("walking"));
    headings.extend(moves.then_some("moving units"));
    let mut grid = Grid::new(&headings);
    for row in &report.people {
        let widest = row.shares_plus_minus.map(|h| h.working.max(h.waiting));
        let mut cells = vec![
            format!("{} {}", row.kind.word(), named(&row.id, &row.label)),
            row.count.to_string(),
            share_cell(row.shares.map(|s| s.working)),
            share_cell(row.shares.map(|s| s.waiting)),
            share_cell(row.shares.map(|s| s.off_shift)),
            share_cell(widest),
        ];
        cells.extend(walks.then(|| share_cell(row.shares.and_then(|s| s.walking))));
        cells.extend(moves.then(|| share_cell(row.shares.and_then(|s| s.moving_units))));
        grid.row(cells);
    }
    grid.lines()
}

/// Who was there: people wanted (or, of a group, on the list), there on average, absent, and the shifts
/// in which a crew was short.
fn absence(report: &Report) -> Vec<String> {
    let mut grid =
        Grid::new(&["who", "people", "there", "absent, %", "to ±", "short on % of shifts", "from", "to"]);
    for row in &report.people {
        let Some(presence) = &row.presence else { continue };
        grid.row(vec![
            format!("{} {}", row.kind.word(), named(&row.id, &row.label)),
            row.count.to_string(),
            format!("{:.2}", presence.present),
            share_cell(Some(presence.absent)),
            share_cell(presence.absent_plus_minus),
            share_cell(presence.short_shifts),
            share_cell(presence.short_shifts_low),
            share_cell(presence.short_shifts_high),
        ]);
    }
    grid.lines()
}

/// Where the floaters' time goes.
fn floaters(report: &Report) -> Vec<String> {
    let mut grid = Grid::new(&["floaters", "people", "standing in", "spare", "absent", "to ±"]);
    for row in &report.floaters {
        let widest = row.shares_plus_minus.map(|h| h.standing_in.max(h.spare).max(h.absent));
        grid.row(vec![
            row.label.clone().unwrap_or_else(|| "floaters".to_string()),
            row.count.to_string(),
            share_cell(row.shares.map(|s| s.standing_in)),
            share_cell(row.shares.map(|s| s.spare)),
            share_cell(row.shares.map(|s| s.absent)),
            share_cell(widest),
        ]);
    }
    grid.lines()
}

/// Where the time of those goes who lend a hand, and with how many tasks they helped.
fn helping(report: &Report) -> Vec<String> {
    let some = |part: fn(HelpShares) -> Option<f64>| {
        report.helping.iter().any(|row| row.shares.and_then(part).is_some())
    };
    let (sit_in, mend) = (some(|s| s.standing_in), some(|s| s.mending));
    let mut headings = vec!["who", "people", "at most", "helping", "own work", "absent", "to ±", "tasks"];
    headings.extend(sit_in.then_some("standing in"));
    headings.extend(mend.then_some("mending"));
    let mut grid = Grid::new(&headings);
    for row in &report.helping {
        let widest = row.shares_plus_minus.map(|h| h.helping.max(h.own).max(h.absent));
        let mut cells = vec![
            named(&row.id, &row.label),
            row.count.to_string(),
            share_cell(Some(row.at_most)),
            share_cell(row.shares.map(|s| s.helping)),
            share_cell(row.shares.map(|s| s.own)),
            share_cell(row.shares.map(|s| s.absent)),
            share_cell(widest),
            row.tasks.to_string(),
        ];
        cells.extend(sit_in.then(|| share_cell(row.shares.and_then(|s| s.standing_in))));
        cells.extend(mend.then(|| share_cell(row.shares.and_then(|s| s.mending))));
        grid.row(cells);
    }
    grid.lines()
}

fn equipment(report: &Report) -> Vec<String> {
    let mut grid = Grid::new(&["equipment", "pieces", "in use", "free", "to ±"]);
    for row in &report.equipment {
        grid.row(vec![
            named(&row.id, &row.label),
            row.count.to_string(),
            share_cell(row.shares.map(|s| s.in_use)),
            share_cell(row.shares.map(|s| s.free)),
            share_cell(row.shares_plus_minus.map(|s| s.in_use)),
        ]);
    }
    grid.lines()
}

fn stops(report: &Report) -> Vec<String> {
    let headings = [
        "what stops",
        "stops, all runs",
        "stops a shift",
        "min each",
        "net min lost a run",
        "stopped, % of net time",
    ];
    let mut grid = Grid::new(&headings);
    for row in &report.stops {
        grid.row(vec![
            format!("{} {}", row.kind.word(), named(&row.id, &row.label)),
            thousands(row.stops),
            cell(&row.stops_per_shift),
            row.length_min.map_or_else(|| "-".to_string(), minutes),
            cell(&row.lost_min),
            percent_cell(&row.stopped),
        ]);
    }
    let mut lines = grid.lines();
    for (row, calls) in report.stops.iter().filter_map(|row| Some((row, row.calls?))) {
        lines.push(format!("  {}: {} calls answered", named(&row.id, &row.label), thousands(calls)));
    }
    lines
}
