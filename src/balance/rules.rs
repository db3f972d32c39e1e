//! Where a step may stand: what holds it where it is, and which stations could take it.
//!
//! Owns the reasons. Looks at one step at a time and at its neighbours in the order of work; whether
//! the load of a station allows it is the search's question.

use crate::line::{Line, Need, OutcomeKind, PlaceId, Step, StepId, manning};

/// Why a step can't stand at a place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Reason {
    /// The step stays where it stands.
    Held(Holding),
    /// Racks and repair bays get no work from balancing.
    NoStation,
    /// Lanes get no work from balancing: not every unit takes them.
    InLane {
        lane: String,
    },
    /// A predecessor stands later on the line.
    Before {
        other: StepId,
    },
    /// A follower stands earlier on the line.
    After {
        other: StepId,
    },
    NoCrew,
    /// The crew is smaller than what the step takes at once.
    TooFewPeople {
        wanted: u32,
        there: u32,
    },
    /// So many with a skill are wanted, so many are there.
    NoSkill {
        skill: String,
        wanted: u32,
        there: u32,
    },
    /// Each need could be met, but not all at once.
    NotAtOnce,
    NoRoom {
        cap: String,
        wanted: u32,
        most: u32,
    },
    OutOfReach {
        equipment: String,
    },
    /// It is kept beside a step that stands elsewhere.
    NotBeside {
        other: StepId,
    },
    /// It is kept apart from a step that stands there.
    NotApart {
        other: StepId,
    },
    /// The file says where it may stand.
    OutsideRange,
    /// Work that may travel can't start earlier on the line, nor later than where it may go.
    BeyondTravel,
}

/// What keeps a step where it stands.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Holding {
    /// It is a hold.
    Hold,
    /// It belongs to a test.
    Test { test: String },
    /// A test sends units back to have it done again there.
    Redone { test: String },
    /// A window opens, closes or is redone with it.
    Window,
    /// Equipment is kept from it, up to it or over it.
    Kept { equipment: String },
    /// It makes parts in a feeder.
    Feeder { feeder: String },
    /// It stands in a lane.
    Lane { lane: String },
    /// It mends what a gate finds.
    Gate { gate: String },
    /// It stands on a rack or in a repair bay.
    Rack,
    /// The file says `stays`.
    Said,
    /// It turns the unit or needs it to stand in some way, and only their places say whether it comes before another.
    Turned { other: StepId },
    /// It is kept beside a step that stays.
    Beside { other: StepId },
}

/// What holds each step, `None` for steps that balancing may move.
pub fn holdings(line: &Line) -> Vec<Option<Holding>> {
    let mut found: Vec<Option<Holding>> = line.steps.iter().map(|step| held_alone(line, step)).collect();
    for gate in &line.gates {
        for step in std::iter::once(gate.step).chain(gate.goes_on.map(|on| on.step)) {
            if line.feeder_at(line.steps[step.index()].place).is_none() {
                found[step.index()] = Some(Holding::Gate { gate: gate.name.clone() });
            }
        }
    }
    let mut hold = |step: StepId, holding: Holding| {
        found[step.index()].get_or_insert(holding);
    };
    for test in &line.tests {
        test.steps.iter().for_each(|s| hold(*s, Holding::Test { test: test.name.clone() }));
        for outcome in &test.outcomes {
            let route = match &outcome.kind {
                OutcomeKind::BackTo { route } | OutcomeKind::ToRepair { route, .. } => route.as_slice(),
                OutcomeKind::FixedInPlace(_) | OutcomeKind::Scrapped | OutcomeKind::Retest { .. } => &[],
            };
            for step in route.iter().flat_map(|visit| &visit.redo) {
                hold(*step, Holding::Redone { test: test.name.clone() });
            }
        }
    }
    for window in &line.windows {
        for step in [window.opens, window.closes].iter().chain(&window.redo).chain(&window.undone) {
            hold(*step, Holding::Window);
        }
    }
    let order = crate::line::Precedence::of_line(line);
    for keep in &line.keeps {
        let equipment = line.equipment[keep.equipment.index()].name.clone();
        for step in order.between(keep.from, keep.to) {
            hold(step, Holding::Kept { equipment: equipment.clone() });
        }
    }
    for (step, other) in super::turns::kept_by_place(line, &order) {
        hold(step, Holding::Turned { other });
    }
    for group in groups(line) {
        if let Some(other) = group.iter().find(|s| found[s.index()].is_some()) {
            group.iter().for_each(|s| {
                found[s.index()].get_or_insert(Holding::Beside { other: *other });
            });
        }
    }
    found
}

/// What holds a step by itself and its place.
fn held_alone(line: &Line, step: &Step) -> Option<Holding> {
    if let Some(feeder) = line.feeder_at(step.place) {
        Some(Holding::Feeder { feeder: feeder.name.clone() })
    } else if let Some((lanes, lane)) = line.lane_at(step.place) {
        Some(Holding::Lane { lane: lanes.lanes[lane].name.clone() })
    } else if step.stays {
        Some(Holding::Said)
    } else if step.hold().is_some() {
        Some(Holding::Hold)
    } else {
        (!line.places[step.place.index()].is_station()).then_some(Holding::Rack)
    }
}

/// Steps that are kept at one station, `beside` taken both ways and on; each step in one group, groups
/// and steps in file order.
pub fn groups(line: &Line) -> Vec<Vec<StepId>> {
    let mut leader: Vec<usize> = (0..line.steps.len()).collect();
    let pairs = line.steps.iter().enumerate().flat_map(|(k, s)| s.beside.iter().map(move |o| (k, o.index())));
    for (one, other) in pairs {
        let (a, b) = (leader[one].min(leader[other]), leader[one].max(leader[other]));
        leader.iter_mut().filter(|l| **l == b).for_each(|l| *l = a);
    }
    let mut groups: Vec<Vec<StepId>> = vec![Vec::new(); line.steps.len()];
    for (step, leader) in leader.iter().enumerate() {
        groups[*leader].push(StepId::from_index(step));
    }
    groups.retain(|group| !group.is_empty());
    groups
}

/// Are the steps that are kept together together, and those that are kept apart apart?
pub fn keeps_company(line: &Line, at: &[PlaceId]) -> bool {
    line.steps.iter().zip(at).all(|(step, place)| {
        step.beside.iter().all(|s| at[s.index()] == *place)
            && step.apart.iter().all(|s| at[s.index()] != *place)
    })
}

/// Why `step` can't be done by the crew, in the room and with the equipment of `place`, whatever
/// else is done there; nothing where it can.
pub fn unable(line: &Line, step: StepId, place: PlaceId) -> Option<Reason> {
    hindrances(line, step, place).into_iter().next()
}

/// All that `unable` may say, the first of each kind first.
pub fn hindrances(line: &Line, step: StepId, place: PlaceId) -> Vec<Reason> {
    let stated = &line.places[place.index()];
    let it = &line.steps[step.index()];
    if !stated.is_station() || line.feeder_at(place).is_some() {
        return vec![Reason::NoStation];
    }
    if let Some((lanes, lane)) = line.lane_at(place) {
        return vec![Reason::InLane { lane: lanes.lanes[lane].name.clone() }];
    }
    let mut found = Vec::new();
    for (equipment, _) in &it.equipment {
        let equipment = &line.equipment[equipment.index()];
        if !equipment.reaches(place) {
            found.push(Reason::OutOfReach { equipment: equipment.name.clone() });
        }
    }
    if !it.may_stand.is_empty() && !it.may_stand.contains(&place) {
        found.push(Reason::OutsideRange);
    }
    if let Some(travel) = it.travel
        && (place > travel.to || place < it.place || stated.segment != line.places[it.place.index()].segment)
    {
        found.push(Reason::BeyondTravel);
    }
    for (model, needs) in it.needs.iter().enumerate() {
        if it.models[model] {
            unmanned(line, it, needs, place, &mut found);
        }
    }
    found
}

fn unmanned(line: &Line, step: &crate::line::Step, needs: &[Need], place: PlaceId, found: &mut Vec<Reason>) {
    let wanted: u32 = needs.iter().map(|need| need.count).sum();
    if wanted == 0 {
        return;
    }
    let Some(crew) = line.places[place.index()].crew.map(|c| &line.crews[c.index()]) else {
        found.push(Reason::NoCrew);
        return;
    };
    let before = found.len();
    if wanted > crew.size() {
        found.push(Reason::TooFewPeople { wanted, there: crew.size() });
    }
    let able = |skill: usize| -> u32 {
        let can = |group: usize| line.groups[group].skills >> skill & 1 == 1;
        crew.members.iter().filter(|(_, group)| can(group.index())).map(|(count, _)| count).sum()
    };
    for skill in needs.iter().filter_map(|need| need.skill) {
        let wanted: u32 = needs.iter().filter(|n| n.skill == Some(skill)).map(|n| n.count).sum();
        let there = able(skill.index());
        if wanted > there {
            found.push(Reason::NoSkill { skill: line.skills[skill.index()].clone(), wanted, there });
        }
    }
    for cap in &line.room_caps {
        let inside = cap.zones.as_ref().is_none_or(|zones| zones.iter().any(|zone| step.may_be_in(*zone)));
        let most = cap.people_at(place);
        if inside && wanted > most {
            found.push(Reason::NoRoom { cap: cap.name.clone(), wanted, most });
        }
    }
    if found.len() == before && manning(needs, &line.skills_of(crew), true).is_none() {
        found.push(Reason::NotAtOnce);
    }
}

/// Why `step` can't stand at `place` while all others stand as `at` says: the order of work.
pub fn out_of_order(line: &Line, at: &[PlaceId], step: StepId, place: PlaceId) -> Option<Reason> {
    if let Some(other) = line.steps[step.index()].after.iter().find(|p| at[p.index()] > place) {
        return Some(Reason::Before { other: *other });
    }
    let says = |list: fn(&crate::line::Step) -> &Vec<StepId>, k: usize| {
        list(&line.steps[k]).contains(&step)
            || list(&line.steps[step.index()]).contains(&StepId::from_index(k))
    };
    for k in (0..line.steps.len()).filter(|k| *k != step.index()) {
        if says(|s| &s.beside, k) && at[k] != place {
            return Some(Reason::NotBeside { other: StepId::from_index(k) });
        }
        if says(|s| &s.apart, k) && at[k] == place {
            return Some(Reason::NotApart { other: StepId::from_index(k) });
        }
    }
    let follows = |k: &usize| at[*k] < place && line.steps[*k].after.contains(&step);
    (0..line.steps.len()).find(follows).map(|k| Reason::After { other: StepId::from_index(k) })
}
