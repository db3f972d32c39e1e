//! Levers, ranked, for whoever has to choose: what buys something, what does not, what can't be told.

use super::Dress;
use super::closing::closed;
use super::layout::{Grid, WIDTH, shortened, wrapped};
use crate::report::comparison::Difference;
use crate::report::levers::{LeverRow, LeversReport};
use crate::report::wording::{banded, quoted, thousands};
use crate::units::{count_of, decimals, join_and, percent};

/// Characters that a lever gets in a table.
const NAME: usize = 40;

pub fn page(report: &LeversReport, dress: &Dress) -> String {
    let mut lines =
        vec![dress.heading(&format!(
            "{}, layout {}: what one more of each thing buys",
            report.line, report.layout
        ))];
    lines.extend(wrapped(&how(report), WIDTH, ""));
    lines.push(String::new());
    lines.extend(wrapped(&report.sentence, WIDTH, ""));
    let of = |wanted: &dyn Fn(&LeverRow) -> bool| -> Vec<&LeverRow> {
        report.levers.iter().filter(|row| wanted(row)).collect()
    };
    let unit = unit(report);
    let more = format!("{unit} more");
    let better = of(&|row| row.verdict == Difference::Better);
    table(&mut lines, dress, "What buys something", &more, &better, report);
    let open = of(&|row| row.verdict == Difference::CannotTell && !row.screened_out);
    table(
        &mut lines,
        dress,
        "What these runs cannot tell; how many more replications would",
        &more,
        &open,
        report,
    );
    let worse = of(&|row| row.verdict == Difference::Worse);
    table(&mut lines, dress, "What makes it worse", &more, &worse, report);
    let ignored = percent(report.ignored);
    let little = of(&|row| row.verdict == Difference::Equal && !row.no_effect);
    list(&mut lines, dress, &format!("No effect worth deciding: within {ignored}"), &little);
    let screened = of(&|row| row.verdict == Difference::CannotTell && row.screened_out);
    let heading = format!("No sign of a gain over {ignored} in the first round");
    list(&mut lines, dress, &heading, &screened);
    let nothing = of(&|row| row.no_effect);
    list(&mut lines, dress, "No effect at all: the same count in every replication", &nothing);
    let left_out = report.left_out.iter().map(|left| (left.lever.as_str(), left.why.as_str()));
    closed(lines, left_out, &report.cautions, dress)
}

fn unit(report: &LeversReport) -> &'static str {
    if report.judged_on == "units per shift" { "units a shift" } else { "units an hour" }
}

fn how(report: &LeversReport) -> String {
    let closely = report.levers.iter().filter(|row| !row.screened_out).count();
    let all = count_of(report.levers.len(), "lever");
    let first = count_of(report.screening_replications as usize, "replication");
    let rounds = match report.replications > report.screening_replications {
        true => format!("{all} looked at in {first}, {closely} of them in {}", report.run),
        false => format!("{all} looked at in {}", report.run),
    };
    let bands = percent(report.confidence);
    format!(
        "{rounds}; the same random days for all; bands hold together with {bands}. Made: {}.",
        report.made
    )
}

fn table(
    lines: &mut Vec<String>,
    dress: &Dress,
    heading: &str,
    gained: &str,
    rows: &[&LeverRow],
    report: &LeversReport,
) {
    if rows.is_empty() {
        return;
    }
    lines.extend([String::new(), dress.heading(heading)]);
    let open = rows.iter().any(|row| row.verdict == Difference::CannotTell);
    let costs = report.money.as_ref().filter(|_| rows.iter().any(|row| row.cost_per_year.is_some()));
    let year = costs.map(|money| format!("{money} a year"));
    let each = costs.map(|money| format!("{money} a unit gained"));
    let mut headings = vec!["lever", gained, "in %"];
    if open {
        headings.push("more replications");
    }
    headings.extend(year.iter().chain(&each).map(String::as_str));
    let bought = rows.iter().any(|row| row.once.is_some());
    let paid = [format!("once{}", report.of_money()), format!("paid back, {}", report.periods())];
    headings.extend(paid.iter().filter(|_| bought).map(String::as_str));
    let mut grid = Grid::new(&headings);
    for row in rows {
        let dash = || "-".to_string();
        let mut cells = vec![
            format!("{:>2} {}", row.rank, shortened(&row.lever, NAME)),
            row.gained.as_ref().map_or_else(dash, banded),
            row.share.map_or_else(dash, |share| decimals(100.0 * share, 1)),
        ];
        if open {
            cells.push(row.more.map_or_else(dash, |more| thousands(u64::from(more))));
        }
        if costs.is_some() {
            cells.push(row.cost_per_year.map_or_else(dash, money));
            cells.push(row.cost_per_unit_gained.as_ref().map_or_else(dash, banded));
        }
        if bought {
            cells.push(row.once.map_or_else(dash, money));
            cells.push(paid_back(row));
        }
        grid.row(cells);
    }
    lines.extend(grid.lines());
}

fn paid_back(row: &LeverRow) -> String {
    match &row.payback {
        Some(after) => banded(after),
        None if row.never_pays => "never".to_string(),
        None => "-".to_string(),
    }
}

/// Money of a year, without decimals.
fn money(amount: f64) -> String {
    let whole = thousands(amount.abs().round_ties_even() as u64);
    if amount < 0.0 { format!("-{whole}") } else { whole }
}

fn list(lines: &mut Vec<String>, dress: &Dress, heading: &str, rows: &[&LeverRow]) {
    if rows.is_empty() {
        return;
    }
    lines.extend([String::new(), dress.heading(heading)]);
    let name = |row: &&LeverRow| match row.once {
        Some(once) if row.never_pays => format!("{} ({} once, never paid back)", row.lever, money(once)),
        Some(_) | None => row.lever.clone(),
    };
    let names: Vec<String> = rows.iter().map(name).collect();
    lines.extend(wrapped(&format!("  {}", names.join("; ")), WIDTH, "  "));
}

/// What the ranking comes to, for whoever reads one sentence.
pub fn sentence(report: &LeversReport) -> String {
    let unit = unit(report);
    let base =
        report.base.as_ref().map_or_else(|| "nothing".to_string(), |base| format!("{} {unit}", banded(base)));
    let better: Vec<&LeverRow> =
        report.levers.iter().filter(|row| row.verdict == Difference::Better).collect();
    let Some((best, others)) = better.split_first() else {
        return format!(
            "The line makes {base}. No single lever is sure to gain more than nothing in these runs."
        );
    };
    let gained =
        best.gained.as_ref().map_or_else(String::new, |gained| format!("{} {unit} more", banded(gained)));
    let mut said = format!("The line makes {base}. Most is bought by {}: {gained}", quoted(&best.lever));
    if let (Some(once), Some(after)) = (best.once, &best.payback) {
        let (once, money, periods) = (money(once), report.of_money(), report.periods());
        said.push_str(&format!(", for {once}{money} once, paid back after {} {periods}", banded(after)));
    }
    let next: Vec<String> = others.iter().take(2).map(|row| quoted(&row.lever)).collect();
    if !next.is_empty() {
        said.push_str(&format!("; then come {}", join_and(&next)));
    }
    said.push('.');
    said
}
