//! Pages of studies: layouts side by side, a number varied, levers, losses. Each says its sentence first,
//! then draws its figures to scale, then its tables and cautions.

use super::grid::{data, grid};
use super::marks::{band_bar, loss_bar};
use super::whole;
use super::writer::Page;
use crate::report::choice::ChoiceReport;
use crate::report::comparison::{CompareReport, LayoutRow};
use crate::report::inputs::Inputs;
use crate::report::levers::LeversReport;
use crate::report::losses::{LossesReport, units};
use crate::report::record::{Caution, Estimate};
use crate::report::sweep::{ChanceAt, PointRow, SweepReport};
use crate::report::tables::{self, Table};
use crate::report::wording::{banded, plus_minus, promise_detail};
use crate::units::{count_of, decimals, join_and, percent};

pub fn comparison(report: &CompareReport) -> String {
    let count = count_of(report.layouts.len(), "layout");
    let opening = Opening {
        title: format!("{}, {count} on the same random days", report.line),
        run: run(&report.run, report.confidence),
        said: report.advice.sentence.clone(),
    };
    opening.page(&report.cautions, |page| {
        let rows: Vec<Drawn<'_>> = (report.layouts.iter().enumerate())
            .map(|(k, row)| does_drawn(row, format!("/layouts/{k}")))
            .collect();
        drawn(page, unit_of(&report.judged_on), &rows);
        let tables = [tables::layouts(report), tables::differences(report), tables::other_pairs(report)];
        section(page, ("figures", "The figures"), &tables);
    })
}

pub fn choice(report: &ChoiceReport) -> String {
    let count = count_of(report.layouts.len(), "layout");
    let opening = Opening {
        title: format!("{}, the best of {count} on the same random days", report.line),
        run: format!(
            "{}; taken with at least {} where it leads by {}",
            report.run,
            percent(report.confidence),
            report.lead()
        ),
        said: report.sentence.clone(),
    };
    opening.page(&report.cautions, |page| {
        listed(page, ("rests-on", "What the probability rests on"), report.rests_on.iter().cloned());
        let rows: Vec<Drawn<'_>> = (report.layouts.iter().enumerate())
            .map(|(k, row)| does_drawn(&row.does, format!("/layouts/{k}/does")))
            .collect();
        drawn(page, unit_of(&report.judged_on), &rows);
        section(page, ("figures", "The race"), &[tables::choice(report)]);
        left_out(page, report.left_out.iter().map(|left| (left.point.as_str(), left.why.as_str())));
    })
}

pub fn sweep(report: &SweepReport) -> String {
    let axes: Vec<&str> = report.axes.iter().map(|axis| axis.words.as_str()).collect();
    let opening = Opening {
        title: format!("{}: {}", report.line, join_and(&axes)),
        run: run(&report.run, report.confidence),
        said: report.advice.sentence.clone(),
    };
    opening.page(&report.cautions, |page| {
        fewest(page, report);
        let rows: Vec<Drawn<'_>> = (report.points.iter().enumerate())
            .map(|(k, point)| does_drawn(&point.does, format!("/points/{k}/does")))
            .collect();
        drawn(page, unit_of(&report.judged_on), &rows);
        section(page, ("figures", "The figures"), &[tables::points(report)]);
        curves(page, report);
        left_out(page, report.left_out.iter().map(|left| (left.point.as_str(), left.why.as_str())));
    })
}

pub fn levers(report: &LeversReport) -> String {
    let opening = Opening {
        title: format!("{}, layout {}: what one more of each thing buys", report.line, report.layout),
        run: run(&report.run, report.confidence),
        said: report.sentence.clone(),
    };
    opening.page(&report.cautions, |page| {
        section(page, ("figures", "The figures"), &[tables::levers(report)]);
        left_out(page, report.left_out.iter().map(|left| (left.lever.as_str(), left.why.as_str())));
    })
}

pub fn losses(report: &LossesReport) -> String {
    let opening = Opening {
        title: format!("{}, layout {}: where the units go", report.line, report.layout),
        run: run(&report.run, report.confidence),
        said: report.sentence.clone(),
    };
    opening.page(&report.cautions, |page| {
        falls(page, report);
        section(page, ("figures", "The figures"), &[tables::losses(report)]);
        let off = report.switched_off.iter().map(|cause| cause.words().to_string());
        listed(page, ("order", "Switched off one after another, each on top of those before"), off);
        left_out(page, report.left_out.iter().map(|left| (left.cause.words(), left.why.as_str())));
    })
}

/// What stands on top of a study.
pub struct Opening {
    pub title: String,
    pub run: String,
    pub said: String,
}

impl Opening {
    pub fn page(&self, cautions: &[Caution], inside: impl FnOnce(&mut Page)) -> String {
        whole(&self.title, |page| {
            page.element("header", &[], |page| {
                page.leaf("h1", &[], &self.title);
                page.leaf("p", &[("class", "run")], &self.run);
            });
            page.element("section", &[("aria-labelledby", "answer-h")], |page| {
                page.leaf("h2", &[("id", "answer-h")], "What it comes to");
                page.leaf("p", &[("class", "said")], &self.said);
            });
            inside(page);
            listed(page, ("cautions", "Before you act on this"), cautions.iter().map(|c| c.text.clone()));
        })
    }
}

fn run(words: &str, confidence: f64) -> String {
    format!("{words}; the same random days for all; bands hold together with {}", percent(confidence))
}

fn unit_of(judged_on: &str) -> &'static str {
    if judged_on == "units per shift" { "good units a shift" } else { "good units an hour" }
}

/// The count of a layout, of a shift or else of an hour; `at` is where the layout stands in the JSON report.
fn does_drawn(row: &LayoutRow, at: String) -> Drawn<'_> {
    let (field, of) = match &row.units_per_shift {
        Some(shift) => ("units_per_shift", Some(shift)),
        None => ("units_per_hour", row.units_per_hour.as_ref()),
    };
    Drawn { name: &row.layout, of, at: format!("{at}/{field}") }
}

pub fn section(page: &mut Page, (anchor, heading): (&'static str, &str), tables: &[Table]) {
    if tables.iter().all(|table| table.rows.is_empty()) {
        return;
    }
    let heading_id = format!("{anchor}-h");
    page.element("section", &[("id", anchor), ("aria-labelledby", &heading_id)], |page| {
        page.leaf("h2", &[("id", &heading_id)], heading);
        tables.iter().for_each(|table| grid(page, table, &Inputs::default()));
    });
}

pub(super) fn listed(
    page: &mut Page,
    (anchor, heading): (&'static str, &str),
    texts: impl Iterator<Item = String>,
) {
    let texts: Vec<String> = texts.collect();
    if texts.is_empty() {
        return;
    }
    let heading_id = format!("{anchor}-h");
    page.element("section", &[("id", anchor), ("aria-labelledby", &heading_id)], |page| {
        page.leaf("h2", &[("id", &heading_id)], heading);
        page.element("ul", &[], |page| texts.iter().for_each(|text| page.leaf("li", &[], text)));
    });
}

fn left_out<'r>(page: &mut Page, all: impl Iterator<Item = (&'r str, &'r str)>) {
    listed(page, ("left-out", "Left out"), all.map(|(name, why)| format!("{name}: {why}")));
}

/// A count to be drawn, and where it stands in the JSON report.
struct Drawn<'r> {
    name: &'r str,
    of: Option<&'r Estimate>,
    at: String,
}

/// A table of drawings: heads, from which of them on figures stand, and what writes the rows.
pub(super) fn drawings(
    page: &mut Page,
    caption: &str,
    (heads, first_figure): (&[&str], usize),
    rows: impl FnOnce(&mut Page),
) {
    let attributes = [("class", "box"), ("role", "region"), ("aria-label", caption), ("tabindex", "0")];
    page.element("div", &attributes, |page| {
        page.element("table", &[("class", "bars")], |page| {
            page.leaf("caption", &[], caption);
            page.element("thead", &[], |page| {
                page.element("tr", &[], |page| {
                    for (k, head) in heads.iter().enumerate() {
                        let class = if k >= first_figure { "n" } else { "w" };
                        page.leaf("th", &[("scope", "col"), ("class", class)], head);
                    }
                });
            });
            page.element("tbody", &[], rows);
        });
    });
}

fn row_head(page: &mut Page, text: &str) {
    page.leaf("th", &[("scope", "row"), ("class", "w")], text);
}

/// Means with their bands on one scale, from the lowest end to the highest.
fn drawn(page: &mut Page, unit: &str, rows: &[Drawn<'_>]) {
    let known = || rows.iter().filter_map(|row| row.of);
    let low = known().map(|e| e.low.unwrap_or(e.mean)).fold(f64::INFINITY, f64::min);
    let high = known().map(|e| e.high.unwrap_or(e.mean)).fold(f64::NEG_INFINITY, f64::max);
    if low > high {
        return;
    }
    let caption = format!("{unit}, drawn from {} to {}", decimals(low, 2), decimals(high, 2));
    drawings(page, &caption, (&["which", "mean and band", unit], 2), |page| {
        for row in rows {
            let Some(of) = row.of else { continue };
            page.element("tr", &[], |page| {
                row_head(page, row.name);
                page.element("td", &[("class", "w")], |page| {
                    band_bar(page, &format!("{}: {}", row.name, banded(of)), of, [low, high]);
                });
                page.element("td", &[("class", "n")], |page| data(page, of.mean, &row.at, &plus_minus(of)));
            });
        }
    });
}

fn fewest(page: &mut Page, report: &SweepReport) {
    let said = report.fewest.iter().map(|row| {
        let kept = row.point.as_deref().and_then(|name| report.point(name));
        let open = match row.undecided.is_empty() {
            true => String::new(),
            false => format!("; not decided: {}", join_and(&row.undecided)),
        };
        match (kept, row.people) {
            (Some(point), Some(people)) => {
                let promise = point.promises.iter().find(|promise| promise.text == row.promise);
                let detail = promise.map(promise_detail).filter(|detail| !detail.is_empty());
                let detail = detail.map_or_else(String::new, |detail| format!(", {detail}"));
                let people = count_of(people as usize, "person");
                format!("{}: {people}, at {}{detail}{open}", row.promise, point.does.layout)
            }
            _ => format!("{}: no point is sure to keep it{open}", row.promise),
        }
    });
    listed(page, ("fewest", "The fewest people that keep a promise"), said);
}

/// How often a shift makes at least so many, point by point.
fn curves(page: &mut Page, report: &SweepReport) {
    let rates: std::collections::BTreeSet<u32> =
        report.points.iter().flat_map(|point| point.curve.iter().map(|at| at.units)).collect();
    if rates.is_empty() {
        return;
    }
    let names: Vec<&str> = report.points.iter().map(|point| point.does.layout.as_str()).collect();
    let heads = [&["units or more"], names.as_slice()].concat();
    drawings(page, "The rate curve: shifts that make so many, in %", (&heads, 1), |page| {
        for units in rates {
            page.element("tr", &[], |page| {
                row_head(page, &units.to_string());
                for (k, point) in report.points.iter().enumerate() {
                    page.element("td", &[("class", "n")], |page| chance(page, (k, point), units));
                }
            });
        }
    });
}

/// A count that the curve does not hold is reached as often as the next one above it.
fn chance(page: &mut Page, (k, point): (usize, &PointRow), units: u32) {
    let shown = |at: &ChanceAt| format!("{:.1}", 100.0 * at.chance);
    match point.curve.iter().position(|at| at.units >= units) {
        Some(at) => {
            let found = &point.curve[at];
            data(page, found.chance, &format!("/points/{k}/curve/{at}/chance"), &shown(found));
        }
        None => page.text("0.0"),
    }
}

/// From the top down to the good units.
fn falls(page: &mut Page, report: &LossesReport) {
    let most = report.losses.iter().map(|row| row.left_thousandths).fold(report.start_thousandths, i64::max);
    let caption = format!("From {} down to its good units", report.start_words());
    let unit = unit_of(&report.judged_on);
    let heads = ["cause", "what is left, and what it takes", "lost", unit];
    drawings(page, &caption, (&heads, 2), |page| {
        page.element("tr", &[], |page| {
            row_head(page, &report.start_words());
            page.element("td", &[("class", "w")], |page| {
                loss_bar(page, &report.start_words(), [report.start_thousandths, 0, most]);
            });
            page.leaf("td", &[("class", "n")], "");
            page.leaf("td", &[("class", "n")], &units(report.start_thousandths));
        });
        for row in &report.losses {
            page.element("tr", &[], |page| {
                row_head(page, row.cause.words());
                page.element("td", &[("class", "w")], |page| {
                    let says = format!("{}: {} lost", row.cause.words(), units(row.lost_thousandths));
                    loss_bar(page, &says, [row.left_thousandths, row.lost_thousandths, most]);
                });
                page.leaf("td", &[("class", "n")], &units(row.lost_thousandths));
                page.leaf("td", &[("class", "n")], &units(row.left_thousandths));
            });
        }
    });
}
