//! The page of `check` as text: takt, people, loads, times. Diagnostics have their own renderer.

use super::Dress;
use super::layout::{Grid, load_bar, named};
use super::stations::retests_show;
use crate::report::check_page::{CheckPage, GroupRow, LinePage};
use crate::units::{decimals, minutes, percent, plural};

pub fn page(page: &CheckPage, dress: &Dress) -> String {
    let mut text = String::new();
    for line in &page.lines {
        if !text.is_empty() {
            text.push('\n');
        }
        for row in one_line(line, dress) {
            text.push_str(&row);
            text.push('\n');
        }
    }
    text
}

fn one_line(page: &LinePage, dress: &Dress) -> Vec<String> {
    let mut lines = vec![dress.heading(&format!("{}, layout {}", page.line, page.layout))];
    if let Some(takt) = &page.takt {
        lines.push(format!("  {:<13}{}", "takt", takt.arithmetic));
    }
    if let Some(pace) = page.pace_min {
        let share = match &page.takt {
            Some(takt) if takt.takt_min > 0.0 && takt.takt_min != pace => {
                format!(", {} of takt", percent(pace / takt.takt_min))
            }
            _ => String::new(),
        };
        lines.push(format!("  {:<13}{} min{share}", "pace", decimals(pace, 4)));
    }
    let sections: [(&str, Grid, Option<String>); 4] = [
        ("Work content", content(page), None),
        ("People", people(page), people_line(page)),
        ("Loads, % of the window", loads(page), None),
        ("Times, min", times(page), None),
    ];
    for (heading, grid, after) in sections {
        if !grid.is_empty() {
            lines.push(String::new());
            lines.push(dress.heading(heading));
            lines.extend(grid.lines());
            lines.extend(after);
        }
    }
    lines
}

fn content(page: &LinePage) -> Grid {
    let mut grid = Grid::new(&["model", "share", "labour, person-min", "elapsed, min"]);
    for m in &page.models {
        grid.row(vec![
            named(&m.model, &m.label),
            percent(m.share),
            minutes(m.labour_min),
            minutes(m.elapsed_min),
        ]);
    }
    grid
}

fn people(page: &LinePage) -> Grid {
    let mut grid = Grid::new(&["crew", "wanted", "at"]).words(2);
    for crew in &page.crews {
        let per_bay = if crew.per_bay { " (a crew per bay)" } else { "" };
        grid.row(vec![
            crew.crew.clone(),
            crew.wanted.to_string(),
            format!("{}{per_bay}", crew.places.join(", ")),
        ]);
    }
    grid
}

fn people_line(page: &LinePage) -> Option<String> {
    let wanted: u32 = page.crews.iter().map(|c| c.wanted).sum();
    let groups: Vec<String> = page
        .groups
        .iter()
        .filter_map(|g| Some(format!("{} {} of {} existing{}", g.group, g.wanted, g.existing?, in_shifts(g))))
        .collect();
    let stated = match groups.as_slice() {
        [] => "; the file does not say who exists, so every crew is there".to_string(),
        groups => format!("; {}", groups.join(", ")),
    };
    Some(format!("  {wanted} {} wanted{stated}", plural(wanted as usize, "person")))
}

/// ` (4 on late)`, where shifts have another number of a group.
fn in_shifts(group: &GroupRow) -> String {
    let shifts: Vec<String> =
        group.in_shifts.iter().map(|shift| format!("{} on {}", shift.people, shift.shift)).collect();
    if shifts.is_empty() { String::new() } else { format!(" ({})", shifts.join(", ")) }
}

fn loads(page: &LinePage) -> Grid {
    let models: Vec<&str> =
        page.loads.first().map_or_else(Vec::new, |l| l.by_model.iter().map(|m| m.model.as_str()).collect());
    let mut headings = vec!["station", "window, min"];
    headings.extend(models);
    headings.push("mix");
    let again = page.loads.iter().any(|load| retests_show(load.mean, load.mean_with_retests));
    if again {
        headings.push("with retests");
    }
    headings.push("of the mix; | is the window");
    let mut grid = Grid::new(&headings).words(headings.len() - 1);
    for load in &page.loads {
        let mut cells = vec![named(&load.place, &load.label), minutes(load.window_min)];
        let hundred = |x: f64| format!("{:.0}", 100.0 * x);
        cells.extend(load.by_model.iter().map(|m| m.load.map_or_else(|| "-".to_string(), hundred)));
        cells.push(hundred(load.mean));
        if again {
            cells.push(hundred(load.mean_with_retests));
        }
        cells.push(load_bar(load.mean));
        grid.row(cells);
    }
    grid
}

fn times(page: &LinePage) -> Grid {
    let mut grid =
        Grid::new(&["step", "at", "model", "people", "mean", "sd", "p05", "p50", "p95", "timings"])
            .words(1)
            .words(2);
    for t in &page.times {
        grid.row(vec![
            named(&t.step, &t.label),
            t.place.clone(),
            t.model.clone().unwrap_or_else(|| "all".to_string()),
            if t.most_people > t.people {
                format!("{} to {}", t.people, t.most_people)
            } else {
                t.people.to_string()
            },
            minutes(t.mean_min),
            minutes(t.sd_min),
            minutes(t.p05_min),
            minutes(t.p50_min),
            minutes(t.p95_min),
            t.timings.map_or_else(|| "-".to_string(), |n| n.to_string()),
        ]);
    }
    grid
}
