//! What of a line can be set to a number, and what it is set to today.

use super::say;
use crate::line::{CrewId, EquipmentId, GroupId, Line, MoveRule, PartId, PlaceId, PlaceKind, SegmentId};
use crate::study::values::nearest;
use crate::units::{Time, join_and, join_or};

/// One thing that has a number. Numbers are counts; a pace is in microseconds.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Dial {
    /// The signal of these segments, all of which are pushed every so often alike.
    Pace {
        segments: Vec<SegmentId>,
        named: bool,
    },
    /// Bays of a station, places of a rack or a repair area.
    Places(PlaceId),
    /// Waiting slots before a station.
    Slots(PlaceId),
    /// People of one group in a crew (in each of its gangs).
    Crew {
        crew: CrewId,
        member: usize,
    },
    /// People of a group that the file counts.
    People(GroupId),
    /// By their place among the `floaters` statements.
    Floaters(usize),
    Equipment(EquipmentId),
    /// Places of a store.
    Store(PartId),
    /// By their place among the `carriers` statements.
    Carriers(usize),
    /// Places of the yard.
    Yard,
}

/// How each kind of dial is asked for.
const FORMS: [&str; 12] = [
    "pace",
    "pace of SEGMENT",
    "bays of STATION",
    "places of RACK",
    "slots before STATION",
    "crew of STATION",
    "people GROUP",
    "floaters",
    "equipment NAME",
    "store of PART",
    "carriers NAME",
    "yard",
];

impl Dial {
    /// The dial that these words ask for: `bays of A10`, `crew of A03 plumbers`, `floaters Hall floaters`.
    ///
    /// # Errors
    /// What the line does not have, with the cure.
    pub fn read(line: &Line, words: &[&str]) -> Result<Dial, String> {
        let Some((what, rest)) = words.split_first() else {
            return Err(format!("say what to vary, as in `pace 22 to 26 min by 0.5`: {}", join_or(&FORMS)));
        };
        let rest = match rest.split_first() {
            Some((&("of" | "before" | "at" | "in"), rest)) => rest,
            Some(_) | None => rest,
        };
        let name = rest.join(" ");
        match *what {
            "pace" => pace(line, &name),
            "bays" | "places" => place(line, what, &name).map(Dial::Places),
            "slots" => place(line, "slots", &name).map(Dial::Slots),
            "crew" => crew(line, rest),
            "people" => people(line, &name),
            "floaters" => floaters(line, name.trim_matches('"')),
            "equipment" => {
                let names = line.equipment.iter().map(|equipment| equipment.name.as_str());
                one_of("equipment", &name, names).map(EquipmentId::from_index).map(Dial::Equipment)
            }
            "store" => {
                let names = line.parts.iter().map(|part| part.name.as_str());
                one_of("store", &name, names).map(PartId::from_index).map(Dial::Store)
            }
            "carriers" => {
                let names = line.carriers.iter().map(|carriers| carriers.name.as_str());
                one_of("`carriers` statement", &name, names).map(Dial::Carriers)
            }
            "yard" if line.yard.is_some() => Ok(Dial::Yard),
            "yard" => Err("the file has no `yard`: there is always room behind the line".to_string()),
            other => Err(format!("`{other}` is nothing that can be varied: {}", join_or(&FORMS))),
        }
    }

    /// Its name, as it is asked for.
    pub fn name(&self, line: &Line) -> String {
        let place = |place: &PlaceId| line.places[place.index()].name.as_str();
        match self {
            Dial::Pace { named: false, .. } => "pace".to_string(),
            Dial::Pace { segments, named: true } => {
                let names: Vec<&str> =
                    segments.iter().map(|s| line.segments[s.index()].name.as_str()).collect();
                format!("pace of {}", join_and(&names))
            }
            Dial::Places(id) => match line.places[id.index()].kind {
                PlaceKind::Station => format!("bays of {}", place(id)),
                PlaceKind::Rack | PlaceKind::Repair => format!("places of {}", place(id)),
            },
            Dial::Slots(id) => format!("slots before {}", place(id)),
            Dial::Crew { crew, member } => {
                let crew = &line.crews[crew.index()];
                let group = &line.groups[crew.members[*member].1.index()];
                match crew.members.len() {
                    1 => format!("crew of {}", crew.name),
                    _ => format!("crew of {} {}", crew.name, group.name),
                }
            }
            Dial::People(group) => format!("people {}", line.groups[group.index()].name),
            Dial::Floaters(k) => match (&line.floaters[*k].label, line.floaters.len()) {
                (Some(label), 2..) => format!("floaters {label}"),
                _ => "floaters".to_string(),
            },
            Dial::Equipment(id) => format!("equipment {}", line.equipment[id.index()].name),
            Dial::Carriers(k) => format!("carriers {}", line.carriers[*k].name),
            Dial::Yard => "yard".to_string(),
            Dial::Store(part) => format!("store of {}", line.parts[part.index()].name),
        }
    }

    pub fn is_a_time(&self) -> bool {
        match self {
            Dial::Pace { .. } => true,
            Dial::Places(_)
            | Dial::Slots(_)
            | Dial::Crew { .. }
            | Dial::People(_)
            | Dial::Floaters(_)
            | Dial::Equipment(_)
            | Dial::Store(_)
            | Dial::Carriers(_)
            | Dial::Yard => false,
        }
    }

    /// What it is set to.
    pub fn today(&self, line: &Line) -> i64 {
        match self {
            Dial::Pace { segments, .. } => {
                segments.first().and_then(|s| every(line, *s)).map_or(0, Time::micros)
            }
            Dial::Places(place) => i64::from(line.places[place.index()].bays),
            Dial::Slots(place) => i64::from(line.places[place.index()].slots),
            Dial::Crew { crew, member } => i64::from(line.crews[crew.index()].members[*member].0),
            Dial::People(group) => i64::from(line.groups[group.index()].count),
            Dial::Floaters(k) => i64::from(line.floaters[*k].count),
            Dial::Equipment(id) => i64::from(line.equipment[id.index()].count),
            Dial::Carriers(k) => i64::from(line.carriers[*k].count),
            Dial::Yard => line.yard.as_ref().map_or(0, |yard| i64::from(yard.places)),
            Dial::Store(part) => i64::from(line.parts[part.index()].places),
        }
    }

    /// A setting of it: `22.5 min`, `3`.
    pub fn said(&self, value: i64) -> String {
        if self.is_a_time() { say::time(Time(value)) } else { value.to_string() }
    }
}

/// The interval of the signal; `None` where nothing is pushed every so often.
fn every(line: &Line, segment: SegmentId) -> Option<Time> {
    match line.segments[segment.index()].rule {
        MoveRule::PushedEvery { every, .. } => Some(every),
        MoveRule::PushedWhenReady { .. } | MoveRule::WhenReady { .. } => None,
    }
}

/// All segments with a clock, where they have one pace; or the one of that name.
fn pace(line: &Line, name: &str) -> Result<Dial, String> {
    let clocked: Vec<(SegmentId, Time)> = (0..line.segments.len())
        .map(SegmentId::from_index)
        .filter_map(|segment| Some((segment, every(line, segment)?)))
        .collect();
    let called = |id: &SegmentId| line.segments[id.index()].name.as_str();
    let names: Vec<&str> = clocked.iter().map(|(id, _)| called(id)).collect();
    let Some((_, first)) = clocked.first() else {
        return Err("no segment is pushed every so many minutes, so the pace changes nothing: vary bays, \
                    crews or slots"
            .to_string());
    };
    if !name.is_empty() {
        let at = one_of("segment pushed every so often", name, names.into_iter())?;
        return Ok(Dial::Pace { segments: vec![clocked[at].0], named: true });
    }
    match clocked.iter().all(|(_, every)| every == first) {
        true => Ok(Dial::Pace { segments: clocked.iter().map(|(id, _)| *id).collect(), named: false }),
        false => Err(format!("several segments have a pace of their own: say `pace of {}`", join_or(&names))),
    }
}

fn place(line: &Line, what: &str, name: &str) -> Result<PlaceId, String> {
    let fits = |place: &crate::line::Place| match what {
        "places" => !place.is_station(),
        _ => place.is_station(),
    };
    let places: Vec<usize> = (0..line.places.len()).filter(|p| fits(&line.places[*p])).collect();
    let kind = if what == "places" { "rack or repair area" } else { "station" };
    let at = one_of(kind, name, places.iter().map(|p| line.places[*p].name.as_str()))?;
    Ok(PlaceId::from_index(places[at]))
}

/// `A03`, `A03 plumbers`: the group may be left out where there is one.
fn crew(line: &Line, words: &[&str]) -> Result<Dial, String> {
    let (name, group) = match words {
        [] => ("", ""),
        [name] => (*name, ""),
        [name, group, ..] => (*name, *group),
    };
    let at = one_of("crew", name, line.crews.iter().map(|crew| crew.name.as_str()))?;
    let members = &line.crews[at].members;
    let groups: Vec<&str> = members.iter().map(|(_, g)| line.groups[g.index()].name.as_str()).collect();
    let member = match (group, members.len()) {
        ("", 1) => 0,
        ("", _) => {
            let ways: Vec<String> = groups.iter().map(|group| format!("crew of {name} {group}")).collect();
            return Err(format!(
                "the crew of {name} has people of several groups: say `{}`",
                ways.join("` or `")
            ));
        }
        (group, _) => one_of(&format!("group in the crew of {name}"), group, groups.into_iter())?,
    };
    Ok(Dial::Crew { crew: CrewId::from_index(at), member })
}

fn people(line: &Line, name: &str) -> Result<Dial, String> {
    let groups: Vec<usize> =
        (0..line.groups.len()).filter(|g| say::people(line, GroupId::from_index(*g), 0).is_some()).collect();
    if groups.is_empty() {
        return Err("the file counts no people: vary a crew, as in `crew of STATION 1 to 3`".to_string());
    }
    let at = one_of("group of people", name, groups.iter().map(|g| line.groups[*g].name.as_str()))?;
    Ok(Dial::People(GroupId::from_index(groups[at])))
}

/// The only ones, or those of that label.
fn floaters(line: &Line, label: &str) -> Result<Dial, String> {
    let labels: Vec<&str> = line.floaters.iter().map(|f| f.label.as_deref().unwrap_or_default()).collect();
    match (labels.len(), label.is_empty()) {
        (0, _) => Err("the file has no `floaters`: add `floaters 1` to it, then vary them".to_string()),
        (1, true) => Ok(Dial::Floaters(0)),
        (_, true) => Err(format!("there are several `floaters`: say `floaters {}`", join_or(&labels))),
        (_, false) => {
            if labels.iter().filter(|other| **other == label).count() > 1 {
                return Err(format!("several `floaters` are called `{label}`: give each a label of its own"));
            }
            one_of("`floaters` statement", label, labels.into_iter()).map(Dial::Floaters)
        }
    }
}

/// Where the name stands among those that there are.
fn one_of<'n>(kind: &str, name: &str, known: impl Iterator<Item = &'n str>) -> Result<usize, String> {
    let known: Vec<&str> = known.collect();
    if let Some(at) = known.iter().position(|other| *other == name) {
        return Ok(at);
    }
    let cure = match nearest(name, known.iter().copied()) {
        Some(near) if !name.is_empty() => format!("did you mean `{near}`?"),
        Some(_) | None if known.is_empty() => "the file has none".to_string(),
        Some(_) | None => format!("the file has {}", join_and(&known)),
    };
    match name {
        "" => Err(format!("which {kind}? {cure}")),
        name => Err(format!("no {kind} is named `{name}`; {cure}")),
    }
}
