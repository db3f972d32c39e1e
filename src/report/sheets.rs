//! What the crew of a station needs on one page: its steps in order, who, with what, how long.

use super::check_page::TimeRow;
use crate::line::{Line, Need, PlaceId, Step};
use crate::units::join_and;

/// One station's page.
#[derive(Clone, PartialEq, Debug)]
pub struct Sheet {
    pub id: String,
    pub label: Option<String>,
    /// `2 plumbers and 1 fitter`; empty where nobody is stated.
    pub crew: String,
    pub steps: Vec<SheetStep>,
    /// What must pass here before the unit goes on.
    pub tests: Vec<String>,
}

/// A task or a hold, for some or all models.
#[derive(Clone, PartialEq, Debug)]
pub struct SheetStep {
    pub id: String,
    pub label: Option<String>,
    /// Empty where it is for every model.
    pub models: String,
    pub after: String,
    pub people: String,
    pub tools: String,
    /// Middle (half are shorter), mean and long (95 % are shorter) times, min; of a hold the drawn length.
    pub p50_min: f64,
    pub mean_min: f64,
    pub p95_min: f64,
    /// Of a hold.
    pub minimum_min: Option<f64>,
    /// The minimum is fixed by safety or quality.
    pub safety: bool,
    /// Where it must be done at the latest, if it may travel.
    pub travels_to: Option<String>,
}

/// A sheet for every station with work, in line order; `times` are those of `check`.
pub fn sheets(line: &Line, times: &[TimeRow]) -> Vec<Sheet> {
    let all = (0..line.on_line).map(PlaceId::from_index);
    all.filter(|place| line.steps_at(*place).next().is_some())
        .map(|place| sheet(line, place, times))
        .collect()
}

fn sheet(line: &Line, place: PlaceId, times: &[TimeRow]) -> Sheet {
    let station = &line.places[place.index()];
    let crew = station.crew.map(|crew| &line.crews[crew.index()]);
    let members = crew.map_or(Vec::new(), |crew| {
        let named = |(count, group): &(u32, crate::line::GroupId)| {
            format!("{count} {}", line.groups[group.index()].name)
        };
        crew.members.iter().map(named).collect()
    });
    let steps = line.steps_at(place).flat_map(|(_, step)| {
        times.iter().filter(|row| row.step == step.name).map(|row| sheet_step(line, step, row))
    });
    let tests = line.tests.iter().filter(|test| test.place == place).map(|test| {
        let names: Vec<&str> = test.steps.iter().map(|s| line.steps[s.index()].name.as_str()).collect();
        format!("{}: {}", test.label.as_deref().unwrap_or(&test.name), join_and(&names))
    });
    Sheet {
        id: station.name.clone(),
        label: station.label.clone(),
        // Without stated people every crew is one nameless group, called as the station.
        crew: match (line.people_stated, crew) {
            (false, Some(crew)) => crate::units::count_of(crew.size() as usize, "person"),
            (true, _) | (false, None) => join_and(&members),
        },
        steps: steps.collect(),
        tests: tests.collect(),
    }
}

fn sheet_step(line: &Line, step: &Step, row: &TimeRow) -> SheetStep {
    let names = |models: &[bool]| {
        let own = line.models.iter().zip(models).filter(|(_, applies)| **applies);
        own.map(|(model, _)| model.name.as_str()).collect::<Vec<&str>>()
    };
    let every = step.models.iter().all(|applies| *applies);
    let models = match &row.model {
        Some(model) => model.clone(),
        None if every => String::new(),
        None => names(&step.models).join(", "),
    };
    let m = row.model.as_ref().and_then(|name| line.models.iter().position(|model| model.name == *name));
    let m = m.or_else(|| step.models.iter().position(|applies| *applies)).unwrap_or(0);
    let options = step.options.iter().map(|o| format!("with {}", line.options[o.index()].name));
    let lot = step.once_a_lot.then(|| "once a lot".to_string());
    let models = std::iter::once(models).chain(options).chain(lot).filter(|word| !word.is_empty());
    let hold = step.hold();
    SheetStep {
        id: step.name.clone(),
        label: step.label.clone(),
        models: models.collect::<Vec<String>>().join(" "),
        after: step
            .after
            .iter()
            .map(|s| line.steps[s.index()].name.as_str())
            .collect::<Vec<&str>>()
            .join(", "),
        people: people(line, step.needs.get(m).map_or(&[], Vec::as_slice), row.most_people > row.people),
        tools: tools(line, step),
        p50_min: row.p50_min,
        mean_min: row.mean_min,
        p95_min: row.p95_min,
        minimum_min: hold.map(|hold| hold.minimum.as_minutes()),
        safety: hold.is_some_and(|hold| hold.safety),
        travels_to: step.travel.map(|travel| line.places[travel.to.index()].name.clone()),
    }
}

/// `1 plumb + 1`, `2 or more`; empty for nobody.
pub fn people(line: &Line, needs: &[Need], more: bool) -> String {
    let each = needs.iter().filter(|need| need.count > 0).map(|need| match need.skill {
        Some(skill) => format!("{} {}", need.count, line.skills[skill.index()]),
        None => need.count.to_string(),
    });
    let all = each.collect::<Vec<String>>().join(" + ");
    if more && !all.is_empty() { format!("{all} or more") } else { all }
}

fn tools(line: &Line, step: &Step) -> String {
    let equipment = step.equipment.iter().map(|(id, n)| (&line.equipment[id.index()].name, *n));
    let parts = step.uses.iter().map(|(id, n)| (&line.parts[id.index()].name, *n));
    let named = |(name, n): (&String, u32)| if n == 1 { name.clone() } else { format!("{n} {name}") };
    equipment.chain(parts).map(named).collect::<Vec<String>>().join(", ")
}
