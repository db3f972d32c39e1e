//! Changes of a line in sentences of its own language.

use crate::line::{Crew, GroupId, LateWork, Line, MoveRule, PlaceId};
use crate::units::{Time, decimals};

/// `change station A10 bays 3`, `change rack H1 places 9`.
pub fn places(line: &Line, place: PlaceId, places: u32) -> String {
    let stated = &line.places[place.index()];
    let clause = if stated.is_station() { "bays" } else { "places" };
    format!("change {} {} {clause} {places}", word_of(line, place), stated.name)
}

/// The statement word of a place.
fn word_of(line: &Line, place: PlaceId) -> &'static str {
    match line.places[place.index()].kind {
        crate::line::PlaceKind::Station => "station",
        crate::line::PlaceKind::Rack => "rack",
        crate::line::PlaceKind::Repair => "repair",
    }
}

/// `change station A03 crew 3 plumbers, 1 fitters per bay`
pub fn crew(line: &Line, crew: &Crew, members: &[(u32, GroupId)]) -> String {
    let own = |place: &PlaceId| line.places[place.index()].name == crew.name;
    let who = match crew.places.as_slice() {
        [place] if own(place) => format!("{} {}", word_of(line, *place), crew.name),
        _ => format!("team {}", crew.name),
    };
    let members: Vec<String> = members.iter().map(|(n, group)| member(line, *n, *group)).collect();
    let per_bay = if crew.per_bay { " per bay" } else { "" };
    format!("change {who} crew {}{per_bay}", members.join(", "))
}

fn member(line: &Line, count: u32, group: GroupId) -> String {
    let group = &line.groups[group.index()];
    // A nameless group is called like its crew and can nothing.
    if group.skills == 0 { count.to_string() } else { format!("{count} {}", group.name) }
}

/// So many more people of a group; `None` where the file does not say how many there are.
pub fn more_people(line: &Line, group: GroupId, more: u32) -> Option<String> {
    people(line, group, line.groups[group.index()].count + more)
}

/// So many people of a group, likewise.
pub fn people(line: &Line, group: GroupId, count: u32) -> Option<String> {
    let stated = &line.groups[group.index()];
    let visits = line.visitors.iter().any(|visitor| visitor.group == group);
    let word = if visits { "visitor" } else { "people" };
    let is_stated = visits || line.people_stated && stated.skills != 0;
    is_stated.then(|| format!("change {word} {} {count}", stated.name))
}

/// How a segment moves: all its clauses.
pub fn rule(rule: MoveRule) -> String {
    match rule {
        MoveRule::WhenReady { moving } => format!("moving {}", time(moving)),
        MoveRule::PushedWhenReady { index } => format!("pushed when all are ready index {}", time(index)),
        MoveRule::PushedEvery { every, index, on_the_grid, late_work } => {
            let late = match late_work {
                LateWork::HoldsTheLine => String::new(),
                LateWork::Travels { most: None } => " late work travels".to_string(),
                LateWork::Travels { most: Some(most) } => format!(" late work travels up to {most} items"),
            };
            format!("{} index {}{late}", pushed_every(every, on_the_grid), time(index))
        }
    }
}

/// The signal alone; a `change` leaves index and late work as they are.
pub fn pushed_every(every: Time, on_the_grid: bool) -> String {
    format!("pushed every {}{}", time(every), if on_the_grid { " on the grid" } else { "" })
}

/// Exact to the microsecond: in minutes where three decimals do, else in seconds.
pub fn time(time: Time) -> String {
    match time.micros() % 60_000 {
        0 => format!("{} min", decimals(time.as_minutes(), 3)),
        _ => format!("{} s", decimals(time.micros() as f64 / 1e6, 6)),
    }
}

/// A share as a percentage that reads as itself.
pub fn percent(share: f64) -> String {
    format!("{} %", decimals(100.0 * share, 9))
}

/// The layout that makes these changes.
pub fn layout(name: &str, base: &str, edits: &[String]) -> String {
    let edits: String = edits.iter().map(|edit| format!("  {edit}\n")).collect();
    format!("layout \"{name}\" on \"{base}\" {{\n{edits}}}\n")
}

/// So many carriers of a kind.
pub fn carriers(carriers: &crate::line::Carriers, count: u32) -> String {
    format!("change carriers {} {count}", carriers.name)
}

/// A yard of so many places.
pub fn yard(yard: &crate::line::Yard, places: u32) -> String {
    format!("change yard {} places {places}", yard.name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_and_shares_read_as_exactly_what_they_are() {
        assert_eq!(time(Time::from_minutes(23)), "23 min");
        assert_eq!(time(Time(90_060_000)), "1.501 min");
        assert_eq!(time(Time(1_500_001)), "1.500001 s");
        assert_eq!(percent(1.0 - (1.0 - 0.94) / 2.0), "97 %");
    }
}
