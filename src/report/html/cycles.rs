//! The page of a station's cycles: what they go to, and two of them drawn to scale.

use super::marks::{fill, rectangle, ticks};
use super::studies::{Opening, section};
use super::writer::Page;
use crate::report::cycles::{Cycle, CyclesReport, HeldBy};
use crate::report::looks::Look;
use crate::report::tables;
use crate::units::{count_of, decimals, percent};

/// Length of the longest cycle drawn.
const WHOLE: f64 = 400.0;

pub fn cycles(report: &CyclesReport) -> String {
    let opening = Opening {
        title: format!("{}, layout {}: the cycles of {}", report.line, report.layout, report.station),
        run: format!("{}; bands hold with {}", report.run, percent(report.confidence)),
        said: report.sentence.clone(),
    };
    opening.page(&report.cautions, |page| {
        let of = [&report.typical, &report.bad].into_iter().flatten();
        let longest = of.map(|cycle| cycle.length_min).fold(0.0, f64::max);
        for (anchor, heading, cycle) in
            [("typical", "A typical cycle", &report.typical), ("bad", "A bad cycle", &report.bad)]
        {
            if let Some(cycle) = cycle {
                drawn(page, (anchor, heading), cycle, longest);
            }
        }
        let tables = [tables::held_by(report), tables::held_by_step(report), tables::cycles_by_model(report)];
        section(page, ("figures", "The figures"), &tables);
    })
}

fn drawn(page: &mut Page, (anchor, heading): (&'static str, &str), cycle: &Cycle, longest: f64) {
    let heading_id = format!("{anchor}-h");
    page.element("section", &[("id", anchor), ("aria-labelledby", &heading_id)], |page| {
        page.leaf("h2", &[("id", &heading_id)], heading);
        page.leaf("p", &[("class", "note")], &format!("{}.", cycle.words()));
        legend(page, cycle);
        let attributes = [("class", "box"), ("role", "region"), ("aria-label", heading), ("tabindex", "0")];
        page.element("div", &attributes, |page| {
            page.element("table", &[("class", "bars")], |page| {
                page.leaf("caption", &[], &format!("{heading}, minutes of net time since the unit came"));
                heads(page);
                page.element("tbody", &[], |page| rows(page, cycle, longest));
            });
        });
    });
}

fn heads(page: &mut Page) {
    page.element("thead", &[], |page| {
        page.element("tr", &[], |page| {
            for head in ["step", "when"] {
                page.leaf("th", &[("scope", "col"), ("class", "w")], head);
            }
            for head in ["from", "to"] {
                page.leaf("th", &[("scope", "col"), ("class", "n")], head);
            }
            page.leaf("th", &[("scope", "col"), ("class", "w")], "who, and what it waited for");
        });
    });
}

/// A row: its name, its pieces, from and to, and what is said of it.
struct Row<'a> {
    name: &'a str,
    pieces: Vec<(f64, f64, HeldBy)>,
    from: f64,
    to: f64,
    says: String,
}

fn rows(page: &mut Page, cycle: &Cycle, longest: f64) {
    let path = cycle.path.iter().map(|piece| (piece.from_min, piece.to_min, piece.held_by)).collect();
    let held =
        Row { name: "what held it", pieces: path, from: 0.0, to: cycle.length_min, says: String::new() };
    row(page, &held, longest);
    for bar in &cycle.bars {
        let (from, to) = bar.span();
        let people = (bar.people > 0).then(|| count_of(bar.people as usize, "person"));
        let says: Vec<String> = people.into_iter().chain(bar.waits()).collect();
        let pieces = bar.pieces.iter().map(|piece| (piece.from_min, piece.to_min, piece.held_by)).collect();
        let name =
            bar.label.as_ref().map_or_else(|| bar.step.clone(), |label| format!("{} {label}", bar.step));
        row(page, &Row { name: &name, pieces, from, to, says: says.join("; ") }, longest);
    }
}

fn row(page: &mut Page, row: &Row, longest: f64) {
    page.element("tr", &[], |page| {
        page.leaf("th", &[("scope", "row"), ("class", "w")], row.name);
        page.element("td", &[("class", "w")], |page| bar(page, row, longest));
        for at in [row.from, row.to] {
            page.leaf("td", &[("class", "n")], &decimals(at, 1));
        }
        page.leaf("td", &[("class", "w")], &row.says);
    });
}

fn bar(page: &mut Page, row: &Row, longest: f64) {
    let said = row.pieces.iter().map(|(from, to, held_by)| {
        format!("{} from {} to {}", held_by.words(), decimals(*from, 1), decimals(*to, 1))
    });
    let says = format!("{}: {}", row.name, said.collect::<Vec<String>>().join(", "));
    page.element("svg", &[("class", "bar"), ("viewBox", "0 0 402 18"), ("role", "img")], |page| {
        page.leaf("title", &[], &says);
        let at = |minutes: f64| 1.0 + WHOLE * minutes.max(0.0) / longest.max(1e-9);
        for (from, to, held_by) in &row.pieces {
            rectangle(page, [at(*from), 1.0, at(*to) - at(*from), 13.0], fill(look(*held_by)), "edge");
        }
        ticks(page);
    });
}

fn legend(page: &mut Page, cycle: &Cycle) {
    page.element("ul", &[("class", "legend")], |page| {
        for look_of in Look::ALL {
            let words: Vec<&str> = (HeldBy::ALL.iter())
                .filter(|held_by| look(**held_by) == look_of && cycle.shows(**held_by))
                .map(|held_by| held_by.words())
                .collect();
            if !words.is_empty() {
                page.element("li", &[], |page| {
                    page.element("svg", &[("viewBox", "0 0 26 14"), ("aria-hidden", "true")], |page| {
                        rectangle(page, [1.0, 1.0, 24.0, 12.0], fill(look_of), "edge");
                    });
                    page.text(&words.join(", "));
                });
            }
        }
    });
}

/// The same patterns as those of the states of a place.
fn look(held_by: HeldBy) -> Look {
    match held_by {
        HeldBy::Work | HeldBy::Fix => Look::Working,
        HeldBy::Hold => Look::Holding,
        HeldBy::PeopleOnTheWay => Look::Moving,
        HeldBy::People | HeldBy::Parts | HeldBy::Equipment | HeldBy::Room => Look::Short,
        HeldBy::TimeAhead | HeldBy::EarlierStep => Look::Waiting,
        HeldBy::Stopped => Look::Stopped,
        HeldBy::OffShift => Look::OffShift,
    }
}
