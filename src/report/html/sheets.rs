//! Crew sheets: one page on paper for each station. Folded on the screen; what is open is printed.

use super::grid::{linked, place_name};
use super::writer::Page;
use crate::report::inputs::Inputs;
use crate::report::record::Report;
use crate::report::sheets::{Sheet, SheetStep};
use crate::units::{decimals, minutes};

const HEADS: [(&str, &str); 8] = [
    ("step", "w"),
    ("for", "w"),
    ("after", "w"),
    ("people", "w"),
    ("with", "w"),
    ("middle, min", "n"),
    ("mean, min", "n"),
    ("95 % within, min", "n"),
];

pub fn sheets(page: &mut Page, report: &Report, inputs: &Inputs) {
    if inputs.sheets.is_empty() {
        return;
    }
    page.element("section", &[("id", "sheets"), ("aria-labelledby", "sheets-h")], |page| {
        page.leaf("h2", &[("id", "sheets-h")], "Crew sheets");
        page.leaf(
            "p",
            &[],
            "One page for each station. What is open here is printed, each on a sheet of its own. \
            Times are planning times and no quota.",
        );
        for sheet in &inputs.sheets {
            page.element("details", &[("class", "sheet")], |page| {
                page.element("summary", &[], |page| {
                    page.leaf("strong", &[], &sheet.id);
                    page.text(&format!(" {}", sheet.label.as_deref().unwrap_or_default()));
                });
                one(page, report, sheet, inputs);
            });
        }
    });
}

fn one(page: &mut Page, report: &Report, sheet: &Sheet, inputs: &Inputs) {
    page.leaf(
        "h3",
        &[],
        &format!("{}: {} {}", report.line, sheet.id, sheet.label.as_deref().unwrap_or_default()),
    );
    if !sheet.crew.is_empty() {
        page.leaf("p", &[], &format!("Crew: {}.", sheet.crew));
    }
    let name = format!("Steps at {}", sheet.id);
    page.element(
        "div",
        &[("class", "box"), ("role", "region"), ("aria-label", &name), ("tabindex", "0")],
        |page| {
            page.element("table", &[], |page| {
                page.leaf("caption", &[], &name);
                page.element("thead", &[], |page| {
                    page.element("tr", &[], |page| {
                        for (head, class) in HEADS {
                            page.leaf("th", &[("scope", "col"), ("class", class)], head);
                        }
                    })
                });
                page.element("tbody", &[], |page| {
                    sheet.steps.iter().for_each(|step| row(page, step, inputs))
                });
            });
        },
    );
    for test in &sheet.tests {
        page.leaf(
            "p",
            &[],
            &format!("Must pass before the unit goes on: {test}. A repaired unit repeats the whole test."),
        );
    }
    page.element("ul", &[("class", "cautions")], |page| {
        report.cautions.iter().for_each(|caution| page.leaf("li", &[], &caution.text));
    });
}

fn row(page: &mut Page, step: &SheetStep, inputs: &Inputs) {
    page.element("tr", &[], |page| {
        page.element("th", &[("scope", "row"), ("class", "w")], |page| {
            place_name(page, &step.id, step.label.as_deref(), inputs);
            if let Some(minimum) = step.minimum_min {
                let fixed = if step.safety { ", fixed by safety" } else { "" };
                let says = format!(
                    "Hold: at least {} min on the clock, never shorter{fixed}.",
                    decimals(minimum, 3)
                );
                page.leaf("strong", &[("class", "must")], &says);
            }
            if let Some(place) = &step.travels_to {
                page.leaf(
                    "span",
                    &[("class", "must")],
                    &format!("May travel; done at {place} at the latest."),
                );
            }
        });
        page.leaf("td", &[("class", "w")], if step.models.is_empty() { "all" } else { &step.models });
        page.element("td", &[("class", "w")], |page| {
            for (k, name) in step.after.split(", ").enumerate() {
                page.text(if k > 0 { ", " } else { "" });
                linked(page, name, inputs);
            }
        });
        let people = if step.people.is_empty() { "nobody" } else { &step.people };
        page.leaf("td", &[("class", "w")], people);
        page.leaf("td", &[("class", "w")], &step.tools);
        for time in [step.p50_min, step.mean_min, step.p95_min] {
            page.leaf("td", &[("class", "n")], &minutes(time));
        }
    });
}
