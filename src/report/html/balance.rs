//! The page of a balance: the sentence, loads before and after, the order of work as a picture, then tables,
//! what binds, what was checked, and cautions.

use super::grid::{data, place_name};
use super::marks::load_bar;
use super::order;
use super::studies::{Opening, drawings, listed, section};
use super::writer::Page;
use crate::report::balance::{BalanceReport, StationLoad, aim, answer, checked_words, clash_words};
use crate::report::inputs::Inputs;
use crate::report::tables;
use crate::report::wording::percent_of;
use crate::units::percent;

pub fn balance(report: &BalanceReport) -> String {
    let chance = report.chance.map_or_else(String::new, |kept| {
        format!("; {} of the units of each model shall keep each window", percent(kept))
    });
    let opening = Opening {
        title: format!("{}, layout {}: who does what where", report.line, report.layout),
        run: format!("{}{chance}; {}", aim(report), answer(report)),
        said: report.sentence.clone(),
    };
    opening.page(&report.cautions, |page| {
        listed(page, ("simulated", "On the same random days"), simulated(report));
        section(page, ("before-after", "Before and after"), &[tables::balance_measures(report)]);
        loads(page, report);
        listed(page, ("clash", "What clashes"), clash_words(report).into_iter());
        section(page, ("what-moves", "What moves"), &[tables::moves(report), tables::other_moves(report)]);
        order::picture(page, report);
        section(page, ("who", "Tasks, stations, people"), &[tables::assignment(report)]);
        section(page, ("by-model", "Stations"), &[tables::station_loads(report), tables::late(report)]);
        listed(page, ("binds", "What binds"), report.binding.iter().cloned());
        listed(page, ("checked", "Looked at once more"), report.checked.iter().map(checked_words));
    })
}

fn simulated(report: &BalanceReport) -> impl Iterator<Item = String> + '_ {
    report.simulated.iter().map(|simulated| simulated.text.clone())
}

/// Every station's load before and after, on one scale.
fn loads(page: &mut Page, report: &BalanceReport) {
    page.element("section", &[("id", "loads"), ("aria-labelledby", "loads-h")], |page| {
        page.leaf("h2", &[("id", "loads-h")], "Loads before and after");
        let note = "A bar is the mean time of one unit, over the mix and with retests; the heavy line is the window.";
        page.leaf("p", &[("class", "note")], note);
        let heads = ["station", "before", "after", "comes", "goes"];
        drawings(page, "Loads, % of the window", (&heads, heads.len()), |page| {
            for (k, row) in report.loads.iter().enumerate() {
                page.element("tr", &[], |page| {
                    page.element("th", &[("scope", "row"), ("class", "w")], |page| {
                        place_name(page, &row.station, row.label.as_deref(), &Inputs::default());
                    });
                    bar(page, row, row.share_before, &format!("/loads/{k}/share_before"));
                    bar(page, row, row.share, &format!("/loads/{k}/share"));
                    let named = |goes: bool| {
                        let here = report.assignment.iter().filter(|task| task.station != task.today);
                        let here = here.filter(|task| row.station == if goes { task.today.as_str() } else { task.station.as_str() });
                        here.map(|task| task.task.as_str()).collect::<Vec<&str>>().join(", ")
                    };
                    page.leaf("td", &[("class", "w")], &named(false));
                    page.leaf("td", &[("class", "w")], &named(true));
                });
            }
        });
    });
}

fn bar(page: &mut Page, row: &StationLoad, share: Option<f64>, at: &str) {
    page.element("td", &[("class", "w loaded")], |page| match share {
        Some(share) => {
            load_bar(page, &row.station, share);
            data(page, share, at, &percent_of(share));
        }
        None => page.constant("<span class=\"none\">no work</span>"),
    });
}
