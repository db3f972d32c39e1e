//! Behind the first screen: every measure with its unit and band.

use super::Dress;
use super::layout::{Grid, WIDTH, load_bar, named, wrapped};
use super::states::{Look, bar, legend, share};
use crate::report::record::{Estimate, FlowTime, LineMeasures, Report};
use crate::report::rows::{
    HoldRow, LevelRow, Method, PeopleKind, PlaceKind, StateShares, StationRow, TestRow,
};
use crate::report::wording::{
    banded, banded_percent, percent_of, percent_plus_minus, plus_minus, promise_detail, thousands,
};
use crate::stats::BayState;
use crate::units::{decimals, minutes};

/// A heading and its lines; left out when it has none.
type Section = (&'static str, Vec<String>);

pub fn sections(report: &Report, dress: &Dress) -> Vec<String> {
    let all: Vec<Section> = vec![
        ("The line", line_measures(report)),
        ("Stations: shares of net time, %", stations(report)),
        ("Loads, % of the window", loads(report)),
        ("Pushes", pushes(report)),
        ("Evidence for the bottleneck", evidence(report)),
        ("Tests", tests(report)),
        ("Slots and racks", levels(report)),
        ("People: shares of net time, %", people(report)),
        ("Equipment: shares of net time, %", equipment(report)),
        ("Audit of holds", holds(report)),
        ("Windows", windows(report)),
        ("Promises", promises(report, dress)),
        ("Doubts", report.warnings.iter().flat_map(|w| bullet(w.code.as_deref(), &w.text)).collect()),
        (
            "Cautions",
            report.cautions.iter().flat_map(|c| wrapped(&c.text, WIDTH - 2, "")).map(indented).collect(),
        ),
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

fn indented(line: String) -> String {
    format!("  {line}")
}

fn bullet(code: Option<&str>, text: &str) -> Vec<String> {
    let text = match code {
        Some(code) => format!("{code}: {text}"),
        None => text.to_string(),
    };
    wrapped(&text, WIDTH - 2, "  ").into_iter().map(indented).collect()
}

fn cell(e: &Option<Estimate>) -> String {
    e.as_ref().map_or_else(|| "-".to_string(), plus_minus)
}

fn percent_cell(e: &Option<Estimate>) -> String {
    e.as_ref().map_or_else(|| "-".to_string(), percent_plus_minus)
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
    say("between units", between_units(m));
    say("flow time, line-on to end", flow(&m.flow_time_min));
    say("flow time from release", flow(&m.flow_time_from_release_min));
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

fn between_units(m: &LineMeasures) -> Option<String> {
    let i = &m.minutes_between_units;
    let cv = i.cv.as_ref().map_or_else(String::new, |cv| format!("; CV {}", banded(cv)));
    let spread = match (&i.p05, &i.p50, &i.p95) {
        (Some(p05), Some(p50), Some(p95)) => {
            format!("; p05 {}, p50 {}, p95 {}", minutes(p05.mean), minutes(p50.mean), minutes(p95.mean))
        }
        _ => String::new(),
    };
    Some(format!("{} net min{cv}{spread}", banded(i.mean.as_ref()?)))
}

fn flow(f: &FlowTime) -> Option<String> {
    let mean = f.mean.as_ref()?;
    // Long flows read better in hours.
    let (unit, factor) = if mean.mean >= 600.0 { ("h", 1.0 / 60.0) } else { ("min", 1.0) };
    let scaled = |e: &Estimate| Estimate {
        mean: e.mean * factor,
        low: e.low.map(|x| x * factor),
        high: e.high.map(|x| x * factor),
        ..*e
    };
    let each = [("p50", &f.p50), ("p90", &f.p90), ("p95", &f.p95)];
    let tail: Vec<String> = each
        .iter()
        .filter_map(|(name, e)| Some(format!("{name} {}", banded(&scaled(e.as_ref()?)))))
        .collect();
    Some(format!("{} {unit}; {}", banded(&scaled(mean)), tail.join(", ")))
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

fn stations(report: &Report) -> Vec<String> {
    let rows = &report.stations;
    let all_shares: Vec<&StateShares> = rows.iter().map(|s| &s.shares).collect();
    let looks: Vec<Look> = Look::ALL
        .into_iter()
        .filter(|look| all_shares.iter().any(|shares| share(shares, *look) >= 0.000_5))
        .collect();
    let mut headings = vec!["station"];
    headings.extend(looks.iter().map(|look| look.heading()));
    headings.push("each character 5 %");
    let mut grid = Grid::new(&headings).words(headings.len() - 1);
    for station in rows {
        let mut cells = vec![station_name(station)];
        cells.extend(looks.iter().map(|look| match share(&station.shares, *look) {
            0.0 => String::new(),
            s => format!("{:.1}", 100.0 * s),
        }));
        cells.push(bar(&station.shares));
        grid.row(cells);
    }
    let mut lines = grid.lines();
    lines.push(format!("  {}", legend(&all_shares)));
    lines.extend(widest_band(rows));
    lines.extend(short_of(rows));
    lines.extend(holding_outside(rows));
    lines
}

fn station_name(station: &StationRow) -> String {
    let name = named(&station.id, &station.label);
    match station.kind {
        PlaceKind::Station | PlaceKind::Rack => name,
        PlaceKind::Repair => format!("{name} *"),
    }
}

fn widest_band(rows: &[StationRow]) -> Option<String> {
    let halves = rows.iter().filter_map(|s| s.shares_plus_minus.as_ref());
    let widest = halves.flat_map(|h| BayState::ALL.map(|state| h.of(state))).reduce(f64::max)?;
    Some(format!("  Every share to ± {} % points or better.", decimals(100.0 * widest, 1)))
}

/// What stations are short of, where it is worth a line.
fn short_of(rows: &[StationRow]) -> Vec<String> {
    let kinds = [BayState::ShortOfPeople, BayState::ShortOfEquipment, BayState::ShortOfRoom];
    kinds
        .iter()
        .filter_map(|kind| {
            let mut short: Vec<&StationRow> = rows.iter().filter(|s| s.shares.of(*kind) >= 0.005).collect();
            short.sort_by(|a, b| b.shares.of(*kind).total_cmp(&a.shares.of(*kind)));
            let named: Vec<String> = short
                .iter()
                .take(5)
                .map(|s| format!("{} {:.1} %", s.id, 100.0 * s.shares.of(*kind)))
                .collect();
            (!named.is_empty()).then(|| format!("  {}: {}", kind.words(), named.join(", ")))
        })
        .collect()
}

fn holding_outside(rows: &[StationRow]) -> Option<String> {
    let named: Vec<String> = rows
        .iter()
        .filter_map(|s| {
            let e = s.holding_outside_min.filter(|e| e.mean > 0.0)?;
            Some(format!("{} {}", s.id, banded(&e)))
        })
        .collect();
    (!named.is_empty())
        .then(|| format!("  holding outside net time, clock min per replication: {}", named.join(", ")))
}

fn loads(report: &Report) -> Vec<String> {
    let Some(first) = report.stations.iter().find(|s| !s.load_by_model.is_empty()) else {
        return Vec::new();
    };
    let mut headings = vec!["station"];
    headings.extend(first.load_by_model.iter().map(|m| m.model.as_str()));
    headings.extend(["mix", "of the mix; | is the window"]);
    let mut grid = Grid::new(&headings).words(headings.len() - 1);
    for station in report.stations.iter().filter(|s| !s.load_by_model.is_empty()) {
        let percent = |load: f64| format!("{:.0}", 100.0 * load);
        let mut cells = vec![named(&station.id, &station.label)];
        cells.extend(station.load_by_model.iter().map(|m| m.load.map_or_else(|| "-".to_string(), percent)));
        let mix = station.load.unwrap_or(0.0);
        cells.extend([percent(mix), load_bar(mix)]);
        grid.row(cells);
    }
    grid.lines()
}

fn pushes(report: &Report) -> Vec<String> {
    let mut lines = Vec::new();
    for push in &report.pushes {
        let name = if push.segment.is_empty() { "line" } else { &push.segment };
        let rule = match push.every_min {
            Some(every) => format!("every {} min", decimals(every, 2)),
            None => "when all are ready".to_string(),
        };
        let on_time =
            push.on_time.as_ref().map_or_else(String::new, |e| format!(", on time {}", banded_percent(e)));
        let delay = push
            .delay_min
            .as_ref()
            .map_or_else(String::new, |e| format!(", delay {} min per push", banded(e)));
        let text = format!(
            "{name}, {} to {}, pushed {rule}, index {} min: {} pushes{on_time}{delay}",
            push.first,
            push.last,
            decimals(push.index_min, 2),
            thousands(push.pushes)
        );
        lines.extend(wrapped(&text, WIDTH - 2, "  ").into_iter().map(indented));
    }
    let mut grid = Grid::new(&[
        "station",
        "last, % of pushes",
        "delay caused, min a push",
        "min a shift",
        "held for return",
    ]);
    for s in report.stations.iter().filter(|s| s.last_to_finish.is_some()) {
        grid.row(vec![
            named(&s.id, &s.label),
            percent_cell(&s.last_to_finish),
            cell(&s.delay_caused_min),
            cell(&s.delay_caused_min_per_shift),
            if s.held_for_return == 0 { "-".to_string() } else { thousands(s.held_for_return) },
        ]);
    }
    if !grid.is_empty() {
        lines.extend(grid.lines());
    }
    lines
}

fn evidence(report: &Report) -> Vec<String> {
    let mut lines: Vec<String> =
        wrapped(&report.bottleneck.sentence, WIDTH - 2, "").into_iter().map(indented).collect();
    let mut grid = Grid::new(&["method", "names", "figure", "unit"]).words(1).words(3);
    for row in &report.bottleneck.methods {
        let method = match row.method {
            Method::UnitsGained => "units gained (paired runs)",
            Method::DelayCaused => "delay caused",
            Method::PushesLast => "share of pushes last",
            Method::TurningPoint => "turning point (Li 2009)",
            Method::ActivePeriod => "active period (Roser 2001)",
            Method::HighestUse => "highest use",
        };
        let share = row.unit.starts_with("share");
        let figure = if share { percent_cell(&row.figure) } else { cell(&row.figure) };
        let unit = if share { row.unit.replacen("share", "%", 1) } else { row.unit.clone() };
        // A turning point is one per stretch of stations; elsewhere the others are equal to the first.
        let join = if row.method == Method::TurningPoint { ", " } else { " = " };
        grid.row(vec![method.to_string(), row.stations.join(join), figure, unit]);
    }
    if !grid.is_empty() {
        lines.extend(grid.lines());
    }
    lines
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

fn levels(report: &Report) -> Vec<String> {
    let mut grid =
        Grid::new(&["where", "places", "mean, units", "p95, units", "full, % of time", "empty, %"]);
    let mut add = |kind: &str, row: &LevelRow| {
        grid.row(vec![
            format!("{kind}{}", named(&row.id, &row.label)),
            row.places.to_string(),
            cell(&row.mean),
            cell(&row.p95),
            percent_cell(&row.share_full),
            percent_cell(&row.share_empty),
        ]);
    };
    report.buffers.iter().for_each(|row| add("slots before ", row));
    report.racks.iter().for_each(|row| add("rack ", row));
    if grid.is_empty() { Vec::new() } else { grid.lines() }
}

fn people(report: &Report) -> Vec<String> {
    let mut grid = Grid::new(&["who", "people", "working", "waiting", "off shift", "to ±"]);
    for row in &report.people {
        let kind = match row.kind {
            PeopleKind::Crew => "crew",
            PeopleKind::Group => "group",
        };
        let share = |of: Option<f64>| of.map_or_else(|| "-".to_string(), |s| format!("{:.1}", 100.0 * s));
        let widest = row.shares_plus_minus.map(|h| h.working.max(h.waiting));
        grid.row(vec![
            format!("{kind} {}", named(&row.id, &row.label)),
            row.count.to_string(),
            share(row.shares.map(|s| s.working)),
            share(row.shares.map(|s| s.waiting)),
            share(row.shares.map(|s| s.off_shift)),
            share(widest),
        ]);
    }
    if grid.is_empty() { Vec::new() } else { grid.lines() }
}

fn equipment(report: &Report) -> Vec<String> {
    let mut grid = Grid::new(&["equipment", "pieces", "in use", "free", "to ±"]);
    for row in &report.equipment {
        let share = |of: Option<f64>| of.map_or_else(|| "-".to_string(), |s| format!("{:.1}", 100.0 * s));
        grid.row(vec![
            named(&row.id, &row.label),
            row.count.to_string(),
            share(row.shares.map(|s| s.in_use)),
            share(row.shares.map(|s| s.free)),
            share(row.shares_plus_minus.map(|s| s.in_use)),
        ]);
    }
    if grid.is_empty() { Vec::new() } else { grid.lines() }
}

fn holds(report: &Report) -> Vec<String> {
    let mut grid =
        Grid::new(&["hold", "at", "minimum, min", "shortest, min", "ended", "restarted", "verdict"])
            .words(1)
            .words(6);
    for hold in &report.holds {
        grid.row(vec![
            named(&hold.id, &hold.label),
            hold.station.clone(),
            decimals(hold.minimum_min, 3),
            hold.shortest_min.map_or_else(|| "-".to_string(), |m| decimals(m, 3)),
            thousands(hold.count),
            thousands(hold.restarts),
            hold_verdict(hold),
        ]);
    }
    if grid.is_empty() { Vec::new() } else { grid.lines() }
}

fn hold_verdict(hold: &HoldRow) -> String {
    let kept = match (hold.kept, hold.shortest_min) {
        (true, Some(_)) => "kept",
        (true, None) => "none ended",
        (false, _) => "SHORT",
    };
    if hold.safety { format!("{kept}, safety") } else { kept.to_string() }
}

fn windows(report: &Report) -> Vec<String> {
    let mut grid = Grid::new(&["window", "within, min", "judged", "missed", "missed, %"]);
    for w in &report.windows {
        grid.row(vec![
            format!("{} to {}", w.opens, w.closes),
            decimals(w.limit_min, 2),
            thousands(w.judged),
            thousands(w.missed),
            percent_cell(&w.share_missed),
        ]);
    }
    if grid.is_empty() { Vec::new() } else { grid.lines() }
}

fn promises(report: &Report, dress: &Dress) -> Vec<String> {
    report
        .promises
        .iter()
        .flat_map(|p| {
            let detail = promise_detail(p);
            let sep = if detail.is_empty() { "" } else { ": " };
            let word = p.verdict.word();
            let mut lines = wrapped(&format!("{word} {}{sep}{detail}", p.text), WIDTH - 2, "  ");
            if let Some(first) = lines.first_mut() {
                *first = first.replacen(word, &dress.verdict(p.verdict, word), 1);
            }
            lines.into_iter().map(indented)
        })
        .collect()
}
