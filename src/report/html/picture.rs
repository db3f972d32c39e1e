//! The line as people know it: places in their order with bays, slots and racks, how full they are, who
//! stops it and where units wait. Each place is a small drawing and its words, so that the line folds
//! to any width.

use super::grid::{data, estimate, linked};
use super::marks::{fill, rectangle};
use super::writer::Page;
use crate::report::inputs::Inputs;
use crate::report::looks::{Look, share};
use crate::report::record::Report;
use crate::report::rows::{LevelRow, PlaceKind, PushRow, StationRow};
use crate::report::wording::{chosen_by, percent_of};
use crate::units::{count_of, decimals};

/// Bays that are drawn one by one, at most.
const MOST_BAYS: u32 = 60;
/// Slots that are drawn one by one, at most.
const MOST_SLOTS: u32 = 8;
/// What the drawings mean.
const NOTE: &str = "Units pass from left to right and on to the next row. A box is a bay, filled from below with its \
    time: work, holds, what it is short of, and blocked; what stays white it waits or is starved. Small squares are \
    waiting slots and shelves are racks, filled as far as they are occupied on average. The thick stroke below a \
    place is the delay it causes, and a flag stands on the place that holds the line back.";

pub fn picture(page: &mut Page, report: &Report, inputs: &Inputs) {
    page.element("section", &[("id", "picture"), ("aria-labelledby", "picture-h")], |page| {
        page.leaf("h2", &[("id", "picture-h")], "The line");
        page.leaf("p", &[("class", "note")], NOTE);
        for (heading, from, to) in stretches(report) {
            page.leaf("h3", &[], &heading);
            page.element("ol", &[("class", "line")], |page| {
                for k in from..to {
                    place(page, report, k, inputs);
                }
            });
        }
    });
}

/// Stretches that move by one rule, the feeders, and the repair bays; places `from..to` each.
fn stretches(report: &Report) -> Vec<(String, usize, usize)> {
    let index = |id: &str| report.stations.iter().position(|s| s.id == id);
    let is_on_line = |s: &&StationRow| s.kind != PlaceKind::Repair && s.feeder.is_none();
    let on_line = report.stations.iter().take_while(is_on_line).count();
    let mut cuts: Vec<(String, usize, usize)> = Vec::new();
    let mut from = 0;
    let alone = "Each unit moves on when it is done and there is room".to_string();
    for push in &report.pushes {
        let Some((first, last)) = index(&push.first).zip(index(&push.last)) else { continue };
        if first > from {
            cuts.push((alone.clone(), from, first));
        }
        cuts.push((pushed(push), first, last + 1));
        from = last + 1;
    }
    if on_line > from {
        cuts.push((alone, from, on_line));
    }
    let mut cuts = with_lanes(report, cuts);
    let mut from = on_line;
    for feeder in &report.feeders {
        let to = from + feeder.places.len();
        let name = feeder.label.as_ref().unwrap_or(&feeder.id);
        cuts.push((format!("Feeder: {name}"), from, to));
        from = to;
    }
    if report.stations.len() > from {
        cuts.push(("Repair, off the line".to_string(), from, report.stations.len()));
    }
    cuts
}

/// Stretches cut where lanes begin and end, each lane one of its own.
fn with_lanes(report: &Report, cuts: Vec<(String, usize, usize)>) -> Vec<(String, usize, usize)> {
    let index = |id: &str| report.stations.iter().position(|s| s.id == id);
    let mut found = Vec::with_capacity(cuts.len());
    for (heading, from, to) in cuts {
        let mut from = from;
        for lane in &report.lanes {
            let Some((first, last)) = index(&lane.first).zip(index(&lane.last)) else { continue };
            if first < from || last >= to {
                continue;
            }
            if first > from {
                found.push((heading.clone(), from, first));
            }
            let group = lane.lanes_label.as_ref().unwrap_or(&lane.lanes);
            let name = lane.label.as_ref().unwrap_or(&lane.id);
            let by = chosen_by(lane.chosen_by);
            found.push((format!("{group}, lane {name}: side by side, chosen by {by}"), first, last + 1));
            from = last + 1;
        }
        if to > from {
            found.push((heading, from, to));
        }
    }
    found
}

fn pushed(push: &PushRow) -> String {
    let rule = match push.every_min {
        Some(every) => format!("on a signal every {} min", decimals(every, 2)),
        None => "when all are ready".to_string(),
    };
    let name = if push.segment.is_empty() { String::new() } else { format!("{}: ", push.segment) };
    format!("{name}all units move together {rule}")
}

fn place(page: &mut Page, report: &Report, k: usize, inputs: &Inputs) {
    let station = &report.stations[k];
    let flagged = report.bottleneck.station.as_ref() == Some(&station.id);
    let class = match (station.kind, flagged) {
        (_, true) => "place flagged",
        (PlaceKind::Station, false) => "place",
        (PlaceKind::Rack, false) => "place rack",
        (PlaceKind::Repair, false) => "place repair",
    };
    page.element("li", &[("class", class), ("data-place", &station.id)], |page| {
        drawing(page, report, station, flagged);
        page.element("strong", &[], |page| linked(page, &station.id, inputs));
        page.leaf("span", &[("class", "label")], station.label.as_deref().unwrap_or(""));
        page.leaf("span", &[("class", "fact")], &about(report, station));
        if flagged {
            page.leaf("span", &[("class", "fact holds-back")], "holds the line back");
        }
        facts(page, report, k);
    });
}

/// `crew 3, 2 bays`
fn about(report: &Report, station: &StationRow) -> String {
    let people = |crew: &String| {
        let row = report.people.iter().find(|p| p.id == *crew);
        let count = row.map_or(0, |row| row.count);
        let shared = if *crew == station.id { String::new() } else { format!(" of {crew}") };
        format!("{}{shared}", count_of(count as usize, "person"))
    };
    let bays = match (station.kind, station.bays) {
        (PlaceKind::Rack, n) => Some(count_of(n as usize, "place")),
        (PlaceKind::Station | PlaceKind::Repair, 1) => None,
        (PlaceKind::Station | PlaceKind::Repair, n) => Some(count_of(n as usize, "bay")),
    };
    station.crew.as_ref().map(people).into_iter().chain(bays).collect::<Vec<String>>().join(", ")
}

/// What it costs the line, and what waits before it.
fn facts(page: &mut Page, report: &Report, k: usize) {
    let station = &report.stations[k];
    if let Some(delay) = station.delay_caused_min_per_shift.filter(|e| e.mean >= 0.5) {
        page.element("span", &[("class", "fact")], |page| {
            page.text("stops the line ");
            let pointer = format!("/stations/{k}/delay_caused_min_per_shift");
            data(page, delay.mean, &pointer, &estimate(&delay, false, false));
            page.text(" min a shift");
        });
    }
    for (t, test) in report.tests.iter().enumerate().filter(|(_, test)| test.station == station.id) {
        if let Some(wait) = test.wait_min.mean.filter(|e| e.mean >= 0.05) {
            page.element("span", &[("class", "fact")], |page| {
                page.text(&format!("wait before {} ", test.label.as_deref().unwrap_or(&test.id)));
                data(page, wait.mean, &format!("/tests/{t}/wait_min/mean"), &estimate(&wait, false, false));
                page.text(" min");
            });
        }
    }
    for (b, slots) in report.buffers.iter().enumerate().filter(|(_, row)| row.id == station.id) {
        let Some(full) = slots.share_full else { continue };
        page.element("span", &[("class", "fact")], |page| {
            page.text(&format!("{} full ", count_of(slots.places as usize, "slot")));
            data(page, full.mean, &format!("/buffers/{b}/share_full"), &percent_of(full.mean));
            page.text(" of the time");
        });
    }
}

fn drawing(page: &mut Page, report: &Report, station: &StationRow, flagged: bool) {
    let slots = report.buffers.iter().find(|row| row.id == station.id);
    page.element("svg", &[("viewBox", "0 0 132 71"), ("role", "img")], |page| {
        page.leaf("title", &[], &in_words(station, slots));
        page.constant("<path class=\"way\" d=\"M0 36 H132 M127 32 L131 36 L127 40\"></path>");
        if let Some(slots) = slots {
            waiting(page, slots);
        }
        bays(page, station);
        delay(page, report, station);
        if flagged {
            page.constant("<path class=\"flag\" d=\"M36 14 V1 L52 5 L36 9\"></path>");
        }
    });
}

fn in_words(station: &StationRow, slots: Option<&LevelRow>) -> String {
    let name = station.label.as_deref().unwrap_or(&station.id);
    let occupied =
        mean_of(station).map_or(String::new(), |mean| format!(", {} occupied on average", decimals(mean, 1)));
    let noun = if station.kind == PlaceKind::Rack { "place" } else { "bay" };
    let waiting = slots.map_or(String::new(), |s| {
        let mean =
            s.mean.map_or(String::new(), |e| format!(", {} of them taken on average", decimals(e.mean, 1)));
        format!("; {} before it{mean}", count_of(s.places as usize, "slot"))
    });
    format!("{name}: {}{occupied}{waiting}", count_of(station.bays as usize, noun))
}

fn mean_of(station: &StationRow) -> Option<f64> {
    station.bays_occupied.as_ref()?.mean.map(|e| e.mean)
}

/// How much of the k-th of several places is taken when `mean` of them are.
fn taken(mean: f64, k: u32) -> f64 {
    (mean - f64::from(k)).clamp(0.0, 1.0)
}

/// Squares in a column before the bays.
fn waiting(page: &mut Page, slots: &LevelRow) {
    let mean = slots.mean.map_or(0.0, |e| e.mean);
    let shown = slots.places.min(MOST_SLOTS);
    // A square stands for several where there are too many.
    let each = f64::from(slots.places) / f64::from(shown.max(1));
    for k in 0..shown {
        let (x, y) = (4.0 + 12.0 * f64::from(k / 4), 15.0 + 12.0 * f64::from(k % 4));
        rectangle(page, [x, y, 9.0, 9.0], "#ffffff", "edge");
        let part = taken(mean / each, k);
        if part > 0.0 {
            rectangle(page, [x, y + 9.0 * (1.0 - part), 9.0, 9.0 * part], "url(#p-step)", "edge");
        }
    }
}

/// Boxes in rows; a rack as shelves.
fn bays(page: &mut Page, station: &StationRow) {
    let mean = mean_of(station).unwrap_or(0.0);
    let shown = station.bays.clamp(1, MOST_BAYS);
    let each = f64::from(station.bays.max(1)) / f64::from(shown);
    let rows = match shown {
        1..=4 => shown,
        5..=12 => 3,
        _ => 5,
    };
    let columns = shown.div_ceil(rows);
    let (wide, high) = (80.0 / f64::from(columns), 52.0 / f64::from(rows));
    let class = match station.kind {
        PlaceKind::Station => "bay",
        PlaceKind::Rack => "shelf",
        PlaceKind::Repair => "bay off",
    };
    for k in 0..shown {
        let (x, y) = (36.0 + wide * f64::from(k / rows), 10.0 + high * f64::from(k % rows));
        let (inner_wide, inner_high) = (wide - 2.0, high - 2.0);
        rectangle(page, [x, y, inner_wide, inner_high], "#ffffff", class);
        let mut floor = y + inner_high;
        for (fill, part) in filling(station, taken(mean / each, k)) {
            let part = inner_high * part;
            floor -= part;
            rectangle(page, [x, floor, inner_wide, part], fill, class);
        }
    }
}

/// What a bay is filled with, from below: its time in the states that keep it, or, on a shelf, how far it
/// is taken.
fn filling(station: &StationRow, taken: f64) -> Vec<(&'static str, f64)> {
    let parts = match station.kind {
        PlaceKind::Rack => vec![(fill(Look::Holding), taken)],
        PlaceKind::Station | PlaceKind::Repair => {
            let looks = [Look::Working, Look::Holding, Look::Short, Look::Stopped, Look::Blocked];
            looks.map(|look| (fill(look), share(&station.shares, look))).to_vec()
        }
    };
    parts.into_iter().filter(|(_, part)| *part > 0.0).collect()
}

/// The delay that the place causes, against the greatest of any.
fn delay(page: &mut Page, report: &Report, station: &StationRow) {
    let of = |s: &StationRow| s.delay_caused_min.map_or(0.0, |e| e.mean);
    let greatest = report.stations.iter().map(of).fold(0.0, f64::max);
    if of(station) > 0.0 {
        rectangle(page, [36.0, 65.0, 78.0 * of(station) / greatest, 4.0], "#8f3410", "delay");
    }
}
