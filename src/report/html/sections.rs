//! Behind the first screen: each family of figures in a section of its own.

use super::first::judged;
use super::grid::{grid, place_name};
use super::marks::{legend, load_bar, time_bar};
use super::week;
use super::writer::Page;
use crate::report::actions::who_can_act;
use crate::report::inputs::Inputs;
use crate::report::record::Report;
use crate::report::rows::StateShares;
use crate::report::tables::{self, Table};
use crate::report::wording::{percent_of, thousands};
use crate::units::decimals;

/// The sections, in the order of the page.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Section {
    Line,
    Stations,
    Tests,
    Places,
    People,
    Stores,
    Promises,
    Holds,
    Costs,
    Cautions,
}

impl Section {
    const ALL: [Section; 10] = [
        Section::Line,
        Section::Stations,
        Section::Tests,
        Section::Places,
        Section::People,
        Section::Stores,
        Section::Promises,
        Section::Holds,
        Section::Costs,
        Section::Cautions,
    ];

    /// Its anchor and its heading.
    pub fn names(self) -> (&'static str, &'static str) {
        match self {
            Section::Line => ("line-figures", "Figures of the whole line"),
            Section::Stations => ("at-stations", "Stations"),
            Section::Tests => ("at-tests", "Tests and waits"),
            Section::Places => ("at-places", "Slots and racks"),
            Section::People => ("at-people", "People and equipment"),
            Section::Stores => ("at-stores", "Feeders, stores and stops"),
            Section::Promises => ("at-promises", "Promises"),
            Section::Holds => ("at-holds", "Audit of holds"),
            Section::Costs => ("at-costs", "Costs"),
            Section::Cautions => ("at-cautions", "Doubts and cautions"),
        }
    }

    fn tables(self, report: &Report) -> Vec<Table> {
        match self {
            Section::Line => vec![
                tables::measures(report),
                tables::times(report),
                tables::home(report),
                tables::shifts(report),
                tables::models(report),
            ],
            Section::Stations => vec![
                tables::stations(report),
                tables::states(report),
                tables::loads(report),
                tables::pushes(report),
                tables::methods(report),
            ],
            Section::Tests => vec![
                tables::tests(report),
                tables::waits(report),
                tables::formulas(report),
                tables::gates(report),
            ],
            Section::Places => vec![
                tables::lanes(report),
                tables::slots(report),
                tables::racks(report),
                tables::week(report),
            ],
            Section::People => vec![
                tables::people(report),
                tables::absence(report),
                tables::floaters(report),
                tables::helping(report),
                tables::equipment(report),
            ],
            Section::Stores => {
                vec![
                    tables::feeders(report),
                    tables::stores(report),
                    tables::ordering(report),
                    tables::carriers(report),
                    tables::moved_one_by_one(report),
                    tables::yard(report),
                    tables::stops(report),
                ]
            }
            Section::Promises => vec![tables::promises(report)],
            Section::Holds => vec![tables::holds(report), tables::windows(report)],
            Section::Costs => vec![tables::costs(report)],
            Section::Cautions => Vec::new(),
        }
    }
}

/// Sections that have something to say.
pub fn present(report: &Report) -> Vec<Section> {
    let says = |section: &Section| {
        *section == Section::Cautions || section.tables(report).iter().any(|table| !table.rows.is_empty())
    };
    Section::ALL.into_iter().filter(says).collect()
}

pub fn sections(page: &mut Page, report: &Report, inputs: &Inputs) {
    for section in present(report) {
        let (anchor, heading) = section.names();
        let heading_id = format!("{anchor}-h");
        page.element("section", &[("id", anchor), ("aria-labelledby", &heading_id)], |page| {
            page.leaf("h2", &[("id", &heading_id)], heading);
            before(page, section, report, inputs);
            for table in &section.tables(report) {
                grid(page, table, inputs);
            }
        });
    }
}

/// What stands before the tables of a section.
fn before(page: &mut Page, section: Section, report: &Report, inputs: &Inputs) {
    match section {
        Section::Line => {
            let m = &report.line_measures;
            let text = format!(
                "{} good units were simulated, {} scrapped, {} set aside. Figures stand with ± half of their band, \
                 which holds with {} %. Little's identity leaves a residual of {} unit-microseconds.",
                thousands(m.finished),
                thousands(m.scrapped),
                thousands(m.set_aside),
                decimals(100.0 * report.confidence, 2),
                m.little_residual
            );
            page.leaf("p", &[], &text);
        }
        Section::Stations => bars(page, report, inputs),
        Section::Tests => page.leaf(
            "p",
            &[],
            "Waits are clock time from the moment a unit is done upstream until it enters a \
            bay of the test. The formula's mean is an estimate beside the simulated one.",
        ),
        Section::Promises => judged(page, report, inputs),
        Section::Holds if !report.holds.is_empty() => {
            let ended: u64 = report.holds.iter().map(|h| h.count).sum();
            let says = match report.holds.iter().all(|h| h.kept) {
                true => format!("{} holds ended; none was under its minimum.", thousands(ended)),
                false => "A HOLD WAS UNDER ITS MINIMUM: a fault of the program, use no figure.".to_string(),
            };
            page.leaf("p", &[], &says);
        }
        Section::Cautions => texts(page, report),
        Section::Places => week::drawings(page, report, inputs),
        Section::People | Section::Stores | Section::Holds | Section::Costs => {}
    }
}

/// Every place's time on one scale, its load, and who can act.
fn bars(page: &mut Page, report: &Report, inputs: &Inputs) {
    let shares: Vec<&StateShares> = report.stations.iter().map(|s| &s.shares).collect();
    page.leaf("p", &[], "Each bar is the whole of net time; the strokes below it part it into quarters.");
    legend(page, &shares);
    let loads = report.stations.iter().any(|s| s.load.is_some());
    page.element(
        "div",
        &[("class", "box"), ("role", "region"), ("aria-label", "Bars of time"), ("tabindex", "0")],
        |page| {
            page.element("table", &[("class", "bars")], |page| {
                page.leaf("caption", &[], "Where the time of each place goes, and who can act");
                page.element("thead", &[], |page| {
                    page.element("tr", &[], |page| {
                        let mut heads = vec!["place", "net time"];
                        if loads {
                            heads.push("load, mix with retests");
                        }
                        heads.push("most time besides work: who can act");
                        for head in heads {
                            page.leaf("th", &[("scope", "col"), ("class", "w")], head);
                        }
                    })
                });
                page.element("tbody", &[], |page| {
                    for k in 0..report.stations.len() {
                        bar_row(page, report, k, loads, inputs);
                    }
                });
            });
        },
    );
}

fn bar_row(page: &mut Page, report: &Report, k: usize, loads: bool, inputs: &Inputs) {
    let station = &report.stations[k];
    page.element("tr", &[("data-place", &station.id)], |page| {
        page.element("th", &[("scope", "row"), ("class", "w")], |page| {
            place_name(page, &station.id, station.label.as_deref(), inputs);
        });
        page.element("td", &[("class", "w")], |page| time_bar(page, &station.id, &station.shares));
        if loads {
            page.element("td", &[("class", "w loaded")], |page| {
                if let Some(load) = station.load_with_retests.or(station.load) {
                    load_bar(page, &station.id, load);
                    page.text(&percent_of(load));
                }
            });
        }
        let who = who_can_act(report, k).unwrap_or_else(|| "works nearly all the time".to_string());
        page.leaf("td", &[("class", "w")], &who);
    });
}

fn texts(page: &mut Page, report: &Report) {
    if !report.warnings.is_empty() {
        page.leaf("h3", &[], "Doubts");
        page.element("ul", &[], |page| {
            for doubt in &report.warnings {
                let code = doubt.code.as_ref().map_or(String::new(), |code| format!("{code}: "));
                page.leaf("li", &[], &format!("{code}{}", doubt.text));
            }
        });
    }
    page.leaf("h3", &[], "Cautions");
    page.element("ul", &[("class", "cautions")], |page| {
        for caution in &report.cautions {
            page.leaf("li", &[], &caution.text);
        }
    });
}
