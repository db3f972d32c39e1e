//! The first screen: the sentence, the chance of the count, the line, what to do next.

use super::grid::{data, linked};
use super::marks::histogram;
use super::picture::picture;
use super::writer::Page;
use crate::report::actions::actions;
use crate::report::inputs::Inputs;
use crate::report::record::Report;
use crate::report::rows::Verdict;
use crate::report::wording::{banded_percent, promise_detail, run_line, sentence, title};
use crate::units::decimals;

pub fn first(page: &mut Page, report: &Report, inputs: &Inputs) {
    page.element("header", &[], |page| {
        page.leaf("h1", &[], &title(report));
        page.leaf("p", &[("class", "run")], &run_line(report));
    });
    page.element("div", &[("class", "first")], |page| {
        page.element("section", &[("aria-labelledby", "answer-h")], |page| {
            page.leaf("h2", &[("id", "answer-h")], "What the line makes");
            page.leaf("p", &[("class", "said")], &sentence(report));
            chance(page, report);
        });
        page.element("section", &[("aria-labelledby", "next-h")], |page| {
            page.leaf("h2", &[("id", "next-h")], "What to do next");
            next(page, report);
            page.leaf("p", &[("class", "who")], &report.bottleneck.sentence);
            judged(page, report, inputs);
        });
    });
    picture(page, report, inputs);
}

/// The chance of the count, large, and the shifts behind it.
fn chance(page: &mut Page, report: &Report) {
    let Some(shifts) = &report.line_measures.units_per_shift else { return };
    if let Some((count, chance)) = shifts.count.zip(shifts.chance_of_count.as_ref()) {
        page.element("p", &[("class", "chance")], |page| {
            page.element("strong", &[], |page| {
                let at = "/line_measures/units_per_shift/chance_of_count";
                data(page, chance.mean, at, &banded_percent(chance));
            });
            page.text(&format!(" is the chance that a shift makes the count of {}", decimals(count, 2)));
        });
    }
    histogram(page, shifts);
}

fn next(page: &mut Page, report: &Report) {
    let actions = actions(report);
    if actions.is_empty() {
        page.leaf("p", &[], "Nothing in these runs calls for action.");
        return;
    }
    page.element("ol", &[("class", "next")], |page| {
        for action in &actions {
            page.element("li", &[], |page| {
                page.leaf("strong", &[], &action.what);
                page.text(" ");
                page.text(&action.why);
            });
        }
    });
}

/// Promises with their verdicts, the broken ones first.
pub fn judged(page: &mut Page, report: &Report, inputs: &Inputs) {
    if report.promises.is_empty() {
        return;
    }
    page.element("ul", &[("class", "promises")], |page| {
        for wanted in [Verdict::Broken, Verdict::Undecided, Verdict::Kept] {
            for promise in report.promises.iter().filter(|p| p.verdict == wanted) {
                page.element("li", &[], |page| {
                    page.leaf("span", &[("class", verdict_class(wanted))], wanted.word());
                    page.text(" ");
                    linked(page, &promise.text, inputs);
                    let detail = promise_detail(promise);
                    if !detail.is_empty() {
                        page.text(&format!(": {detail}"));
                    }
                });
            }
        }
    });
}

/// Verdicts differ by their word and their frame, not by colour alone.
fn verdict_class(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Kept => "verdict kept",
        Verdict::Broken => "verdict broken",
        Verdict::Undecided => "verdict undecided",
    }
}
