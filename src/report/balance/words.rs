//! Why a task can't stand at a station, in words.

use crate::balance::{Caps, Holding, Reason, Verdict};
use crate::line::{Line, PlaceId, StepId};
use crate::units::{count_of, decimals, join_and, percent};

/// One sentence without its full stop: the first rule that forbids it, and what would have to change.
pub fn reason_words(line: &Line, step: StepId, place: PlaceId, reason: &Reason) -> String {
    let task = &line.steps[step.index()].name;
    let at = &line.places[place.index()].name;
    let crew = || line.places[place.index()].crew.map_or("", |c| line.crews[c.index()].name.as_str());
    match reason {
        Reason::Held(holding) => {
            let here = &line.places[line.steps[step.index()].place.index()].name;
            format!("{task} stays at {here}: {}", held_words(line, holding, here))
        }
        Reason::InLane { lane } => format!("{at} stands in lane {lane}, which not every unit takes"),
        Reason::NoStation => format!("{at} is no station of the line: work of people is not planned there"),
        Reason::Before { other } => {
            let other = &line.steps[other.index()];
            let there = &line.places[other.place.index()].name;
            format!(
                "{task} follows {}, which stands later, at {there}; {} would have to come to {at} or before",
                other.name, other.name
            )
        }
        Reason::After { other } => {
            let other = &line.steps[other.index()];
            let there = &line.places[other.place.index()].name;
            format!(
                "{} follows {task} and stands earlier, at {there}; it would have to go to {at} or beyond",
                other.name
            )
        }
        Reason::NoCrew => format!("{at} has no crew and {task} takes people"),
        Reason::TooFewPeople { wanted, there } => format!(
            "{task} takes {} at once and crew {} has {there}; it would need {} more",
            count_of(*wanted as usize, "person"),
            crew(),
            wanted - there
        ),
        Reason::NoSkill { skill, wanted, there } => match there {
            0 => format!("nobody in crew {} can {skill}, which {task} asks for", crew()),
            _ => format!("{task} takes {wanted} who can {skill} and crew {} has {there}", crew()),
        },
        Reason::NotAtOnce => {
            format!("crew {} can meet each need of {task}, but not all of them at once", crew())
        }
        Reason::NoRoom { cap, wanted, most } => {
            format!(
                "{task} takes {} and {cap} lets {most} work at once at {at}",
                count_of(*wanted as usize, "person")
            )
        }
        Reason::OutOfReach { equipment } => {
            let of = line.equipment.iter().find(|e| e.name == *equipment);
            let reached: Vec<&str> =
                of.iter().flat_map(|e| &e.serves).map(|p| line.places[p.index()].name.as_str()).collect();
            format!("{task} takes {equipment}, which serves {} and not {at}", join_and(&reached))
        }
        Reason::NotBeside { other } => {
            let other = &line.steps[other.index()];
            let there = &line.places[other.place.index()].name;
            format!("{task} is kept beside {}, which stands at {there}; both would have to move", other.name)
        }
        Reason::NotApart { other } => {
            format!("{task} is kept apart from {}, which stands there", line.steps[other.index()].name)
        }
        Reason::OutsideRange => format!("the file says that {}", may_stand(line, step)),
        Reason::BeyondTravel => beyond_travel(task),
    }
}

fn beyond_travel(task: &str) -> String {
    format!("{task} may travel: it can't begin earlier than where it stands, nor beyond where it may go")
}

/// Where a task may stand, as the file says.
pub(super) fn may_stand(line: &Line, step: StepId) -> String {
    let step = &line.steps[step.index()];
    let names: Vec<&str> = step.may_stand.iter().map(|p| line.places[p.index()].name.as_str()).collect();
    format!("{} may stand at {}", step.name, join_and(&names))
}

/// Why balancing leaves a step where it stands, at `here`.
pub(super) fn held_words(line: &Line, holding: &Holding, here: &str) -> String {
    match holding {
        Holding::Hold => "a hold stays where the unit rests".to_string(),
        Holding::Test { test } => format!("it belongs to test {test}, and tests stay where they are"),
        Holding::Redone { test } => {
            format!("test {test} sends units back to {here} to have it redone")
        }
        Holding::Window => "a window begins, ends or is redone with it".to_string(),
        Holding::Kept { equipment } => format!("{equipment} is kept over it"),
        Holding::Said => "the file says `stays`".to_string(),
        Holding::Turned { other } => {
            let other = &line.steps[other.index()].name;
            format!("the unit is turned, and only places say if it comes before {other}: say `after`")
        }
        Holding::Beside { other } => {
            format!("it is kept beside {}, which stays", line.steps[other.index()].name)
        }
        Holding::Feeder { feeder } => {
            format!("it is work of feeder {feeder}, which balancing leaves alone")
        }
        Holding::Lane { lane } => {
            format!("it stands in lane {lane}, and lanes keep their work: not every unit takes them")
        }
        Holding::Gate { gate } => {
            format!("it mends what gate {gate} finds, and gates stay where they are")
        }
        Holding::Rack => "it is done off the stations".to_string(),
    }
}

/// The answer to why a task can't go to a station, or what it comes to where it can.
pub fn verdict_words(line: &Line, step: StepId, place: PlaceId, caps: Caps, verdict: &Verdict) -> String {
    let task = &line.steps[step.index()].name;
    let at = &line.places[place.index()].name;
    match verdict {
        Verdict::There => format!("{task} stands at {at} already.\n"),
        Verdict::Forbidden(reason) => {
            format!("{task} can't go to {at}: {}.\n", reason_words(line, step, place, reason))
        }
        Verdict::Allowed { before, after, load_before, load_after, worst_after } => {
            let full = *load_after > caps.mix || *worst_after > caps.model;
            let head = match full {
                true => format!(
                    "{task} can't go to {at}: the station would be over its caps ({} of the window over the \
                     mix, {} for one model).",
                    percent(caps.mix),
                    percent(caps.model)
                ),
                false => format!("{task} can go to {at}."),
            };
            let shares = format!(
                "  load of {at}: {} -> {} of its window, at most {} for one model",
                percent(*load_before),
                percent(*load_after),
                percent(*worst_after)
            );
            let line_so = format!(
                "  largest load of the line: {} -> {}; over the caps {} -> {}; shortest pace {} -> {} min",
                percent(before.largest),
                percent(after.largest),
                percent(before.over),
                percent(after.over),
                decimals(before.pace / 60e6, 2),
                decimals(after.pace / 60e6, 2)
            );
            format!("{head}\n{shares}\n{line_so}\n")
        }
    }
}
