//! One shift of the run, played on the page: the moves in a short form for the script, and a table for whoever
//! has none or reads it otherwise. It never plays by itself.

use super::grid::data;
use super::writer::Page;
use crate::report::inputs::Inputs;
use crate::report::record::Report;
use crate::report::replay::{Replay, seconds};
use crate::report::rows::PlaceKind;
use crate::units::{count_of, time_of_day};

/// What plays it, without which it stays hidden.
pub const SCRIPT: &str = include_str!("replay.js");

const KEYS: &str = "The line, unit by unit. Space plays and stops; the arrow keys go a minute, with Shift ten minutes; \
    Home and End go to the start and the end";

/// Where the JSON report has the count of the shift.
const FIRST_SHIFT: &str = "/line_measures/units_per_shift/first_shift";

pub fn section(page: &mut Page, report: &Report, inputs: &Inputs) {
    let Some(replay) = &inputs.replay else { return };
    page.element("section", &[("id", "replay"), ("aria-labelledby", "replay-h")], |page| {
        page.leaf("h2", &[("id", "replay-h")], "One shift, move by move");
        page.element("p", &[("class", "note")], |page| note(page, report, replay));
        stage(page, report, replay);
        hours(page, report, replay);
    });
}

fn note(page: &mut Page, report: &Report, replay: &Replay) {
    let from = time_of_day(replay.starts);
    page.text(&format!("The first counted shift of the first replication, {} from {from}: ", replay.shift));
    let shifts = report.line_measures.units_per_shift.as_ref();
    if let Some(units) = shifts.and_then(|shifts| shifts.first_shift) {
        data(page, f64::from(units), FIRST_SHIFT, &count_of(units as usize, "unit"));
        page.text(" finished. ");
    }
    page.text(
        "It is one shift of many, no better or worse than chance made it; what holds over all of them stands above. \
         Parts in feeders are not drawn.",
    );
}

fn stage(page: &mut Page, report: &Report, replay: &Replay) {
    let (starts, lasts) = (seconds(replay.starts).to_string(), seconds(replay.lasts).to_string());
    let (standing, moves) = (replay.standing_text(), replay.moves_text());
    let attributes = [
        ("class", "replay"),
        ("hidden", ""),
        ("data-starts", starts.as_str()),
        ("data-lasts", &lasts),
        ("data-standing", &standing),
        ("data-moves", &moves),
    ];
    page.element("div", &attributes, |page| {
        page.element("div", &[("class", "controls")], |page| {
            page.leaf("button", &[("type", "button"), ("class", "play")], "Play");
            slider(page, "Speed", "speed", ["0", "6", "1", "3"]);
            slider(page, "Time", "when", ["0", &lasts, "60", "0"]);
        });
        page.constant(
            "<p class=\"clock\"><strong></strong> <span>finished <b class=\"done\"></b>, on the line \
             <b class=\"on\"></b></span></p>\n",
        );
        page.element(
            "div",
            &[("class", "stage"), ("tabindex", "0"), ("role", "group"), ("aria-label", KEYS)],
            |page| {
                page.element("ol", &[("class", "stops")], |page| {
                    let stations = report.stations.iter().zip(&replay.slots).enumerate();
                    for (k, (station, slots)) in stations.filter(|(_, (station, _))| station.feeder.is_none())
                    {
                        let (place, bays, slots) =
                            (k.to_string(), station.bays.to_string(), slots.to_string());
                        let class = match station.kind {
                            PlaceKind::Station => "stop",
                            PlaceKind::Rack => "stop rack",
                            PlaceKind::Repair => "stop repair",
                        };
                        let attributes = [
                            ("class", class),
                            ("data-at", place.as_str()),
                            ("data-bays", &bays),
                            ("data-slots", &slots),
                        ];
                        page.element("li", &attributes, |page| {
                            page.leaf("strong", &[], &station.id);
                            page.constant(" <span class=\"cells\"></span><span class=\"outside\"></span>");
                        });
                    }
                });
            },
        );
        page.constant("<p class=\"status\" role=\"status\"></p>\n");
    });
}

fn slider(page: &mut Page, name: &str, class: &'static str, [least, most, step, value]: [&str; 4]) {
    page.element("label", &[], |page| {
        page.text(name);
        page.text(" ");
        let range = [("min", least), ("max", most), ("step", step), ("value", value)];
        page.open("input", &[&[("type", "range"), ("class", class)], range.as_slice()].concat());
    });
}

/// The same shift in figures, which needs no script.
fn hours(page: &mut Page, report: &Report, replay: &Replay) {
    let off = |place: usize| report.stations.get(place).is_some_and(|s| s.kind == PlaceKind::Repair);
    let caption = "The same shift by the hour";
    let attributes = [("class", "box"), ("role", "region"), ("aria-label", caption), ("tabindex", "0")];
    page.element("div", &attributes, |page| {
        page.element("table", &[("class", "hours")], |page| {
            page.leaf("caption", &[], caption);
            page.element("thead", &[], |page| {
                page.element("tr", &[], |page| {
                    page.leaf("th", &[("scope", "col"), ("class", "w")], "at");
                    for head in ["finished so far", "on the line", "waiting", "in repair, off the line"] {
                        page.leaf("th", &[("scope", "col"), ("class", "n")], head);
                    }
                });
            });
            page.element("tbody", &[], |page| {
                for standing in replay.by_the_hour(off) {
                    page.element("tr", &[], |page| {
                        let at = time_of_day(replay.starts + standing.at);
                        page.leaf("th", &[("scope", "row"), ("class", "w")], &at);
                        let counts = [
                            standing.finished,
                            standing.on_the_line,
                            standing.waiting,
                            standing.off_the_line,
                        ];
                        for count in counts {
                            page.leaf("td", &[("class", "n")], &count.to_string());
                        }
                    });
                }
            });
        });
    });
}
